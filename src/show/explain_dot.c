/* explain_dot.c -- the chain as a graph in Graphviz's language: answers as boxes, what was
 * worked out as ellipses, rules as rounded boxes, causes and hazards below. What is
 * reached in several ways is one node with several arrows.
 */
#include <stdio.h>
#include <string.h>

#include "fenmend/records.h"
#include "say.h"
#include "util/utf8.h"
#include "util/vec.h"

typedef struct edge {
    char from[24], to[24];
} edge;

typedef struct graph {
    fen_str *out;
    fen_session *s;
    const fen_base *base;
    FEN_VEC(edge) edges; /* written so far: arrows and nodes are written once */
    bool lost;
} graph;

/* -- texts --------------------------------------------------------------------------- */

/* Wrapped, so that boxes are no ribbons. */
static void put_label(graph *g, const char *text)
{
    fen_str clean, wrapped;
    fen_str_init(&clean, 1u << 20);
    fen_str_init(&wrapped, 1u << 20);
    fen_utf8_clean(&clean, text, strlen(text), false, false);
    fen_utf8_wrap(&wrapped, clean.at, clean.len, 32, 0, 0);
    while (wrapped.len && wrapped.at[wrapped.len - 1] == '\n')
        wrapped.len--;
    for (size_t i = 0; i < wrapped.len; i++) {
        const char c = wrapped.at[i];
        if (c == '\n')
            fen_str_puts(g->out, "\\n");
        else if (c == '"' || c == '\\')
            fen_str_printf(g->out, "\\%c", c);
        else
            fen_str_putc(g->out, c);
    }
    g->lost = g->lost || fen_str_status(&clean) || fen_str_status(&wrapped);
    fen_str_free(&clean);
    fen_str_free(&wrapped);
}

/* Has this arrow (or node: an arrow to nothing) been written? Few hundred at most. */
static bool is_new(graph *g, const char *from, const char *to)
{
    edge e = { "", "" };
    for (uint32_t i = 0; i < g->edges.count; i++)
        if (strcmp(g->edges.at[i].from, from) == 0 && strcmp(g->edges.at[i].to, to) == 0)
            return false;
    snprintf(e.from, sizeof e.from, "%s", from);
    snprintf(e.to, sizeof e.to, "%s", to);
    g->lost = g->lost || !FEN_VEC_PUSH(&g->edges, e);
    return true;
}

static void put_node(graph *g, const char *id, const char *style, const char *label)
{
    if (!is_new(g, id, ""))
        return;
    fen_str_printf(g->out, "  %s [%s, label=\"", id, style);
    put_label(g, label);
    fen_str_puts(g->out, "\"];\n");
}

static void put_edge(graph *g, const char *from, const char *to, const char *label)
{
    if (!is_new(g, from, to))
        return;
    fen_str_printf(g->out, "  %s -> %s", from, to);
    if (label)
        fen_str_printf(g->out, " [label=\"%s\"]", label);
    fen_str_puts(g->out, ";\n");
}

/* -- lines ----------------------------------------------------------------------------- */

static void put_test_node(graph *g, const char *id, const char *style, const fen_line *l)
{
    fen_page *page;
    size_t len;
    if (fen_page_new((fen_look){ .width = 2000 }, &page)) {
        g->lost = true;
        return;
    }
    fen_page_open(page, 0, 0);
    fen_say_test(page, g->base, l->test, l->denied);
    fen_page_close(page);
    char text[512];
    const char *at = fen_page_text(page, &len);
    snprintf(text, sizeof text, "%.*s", (int)(len && at[len - 1] == '\n' ? len - 1 : len), at);
    g->lost = g->lost || fen_page_status(page);
    fen_page_free(page);
    put_node(g, id, style, text);
}

static void name_line(const fen_line *l, char id[24])
{
    if (l->type == FEN_LINE_RULE)
        snprintf(id, 24, "rule%u", (unsigned)l->rule);
    else
        snprintf(id, 24, "test%u%s", (unsigned)l->test, l->denied ? "not" : "");
}

static void put_line_node(graph *g, const char *id, const fen_line *l)
{
    switch (l->type) {
    case FEN_LINE_RULE: put_node(g, id, "shape=box, style=rounded", fen_base_rule(g->base, l->rule)->why); break;
    case FEN_LINE_ANSWER: put_test_node(g, id, "shape=box", l); break;
    case FEN_LINE_DERIVED:
    case FEN_LINE_ABOVE: put_test_node(g, id, "shape=ellipse", l); break;
    case FEN_LINE_DEFAULT: put_test_node(g, id, "shape=ellipse, style=dashed", l); break;
    }
}

/* Each line hangs below the nearest earlier one that is one less deep. */
static void put_lines(graph *g, const fen_line *line, size_t n, const char *root, bool weighed)
{
    for (size_t i = 0; i < n; i++) {
        char id[24], parent[24], weight[FEN_WORDS_MAX];
        size_t k = i;
        name_line(&line[i], id);
        put_line_node(g, id, &line[i]);
        while (k > 0 && line[k].depth >= line[i].depth)
            k--;
        if (!line[i].depth) {
            put_edge(g, id, root, weighed ? fen_words_dban(weight, line[i].weight) : NULL);
        } else {
            name_line(&line[k], parent);
            put_edge(g, id, parent, NULL);
        }
    }
}

static fen_status put_cause(graph *g, fen_id cause)
{
    fen_because *b;
    char id[24], text[256], percent[FEN_WORDS_MAX];
    const fen_status st = fen_why_because(g->s, cause, &b);
    if (st)
        return st;
    snprintf(id, sizeof id, "cause%u", (unsigned)cause);
    snprintf(text, sizeof text, "%.200s: %s", fen_base_cause(g->base, cause)->name, fen_words_percent(percent, b->p));
    put_node(g, id, "shape=box, penwidth=2", text);
    put_lines(g, b->pro, b->n_pro, id, true);
    put_lines(g, b->contra, b->n_contra, id, true);
    fen_because_free(b);
    return FEN_OK;
}

static fen_status put_hazard(graph *g, fen_id hazard)
{
    fen_chain *c;
    char id[24];
    const fen_status st = fen_why_hazard(g->s, hazard, &c);
    if (st)
        return st;
    snprintf(id, sizeof id, "hazard%u", (unsigned)hazard);
    put_node(g, id, "shape=octagon", fen_base_hazard(g->base, hazard)->name);
    put_lines(g, c->line, c->n_lines, id, false);
    fen_chain_free(c);
    return FEN_OK;
}

fen_status fen_explain_dot(struct fen_str *out, fen_session *s, const fen_case *c, const fen_id *causes, size_t n)
{
    graph g = { .out = out, .s = s, .base = fen_session_base(s) };
    fen_status st = FEN_OK;
    fen_str_puts(out, "digraph verdict {\n  rankdir=LR;\n  label=\"");
    put_label(&g, c->id);
    fen_str_puts(out, "\";\n");
    for (size_t i = 0; !st && i < n; i++)
        st = put_cause(&g, causes[i]);
    for (uint32_t i = 0; !st && i < fen_session_verdict(s)->hazards.count; i++)
        st = put_hazard(&g, fen_session_verdict(s)->hazards.at[i]);
    fen_str_puts(out, "}\n");
    FEN_VEC_FREE(&g.edges);
    if (g.lost)
        st = FEN_ENOMEM;
    return st ? st : fen_str_status(out);
}
