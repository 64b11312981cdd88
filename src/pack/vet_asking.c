/* vet_asking.c -- a question whose `ask when` waits, through other questions and
 * through rules, for its own answer can never be asked.
 *
 * Findings and rules are nodes; an arrow goes to what a node waits for: from a
 * finding to the findings of its `ask when`, and to the rules that derive it; from
 * a rule to the findings of its condition, and to the rules that go over it. Rules
 * may well derive in a circle; only a circle with an `ask when` in it is wrong. So:
 * strongly connected components (Tarjan 1972, SIAM J. Comput. 1:146-160), without
 * recursion, and an `ask when` arrow inside one is a problem.
 */
#include <string.h>

#include "util/limits.h"
#include "util/str.h"
#include "vet.h"

typedef struct arrow {
    uint32_t from, to;
} arrow;

typedef struct graph {
    fen_loader *l;
    uint32_t n_findings, n;   /* nodes: findings, then rules */
    FEN_VEC(arrow) arrows;
    uint32_t *at;             /* [n + 1]: arrows of a node in `to` */
    uint32_t *to;
    uint32_t from;            /* while arrows are collected */
    uint32_t *index, *low, *component, *stack, *path, *next; /* [n] each, one block */
    uint32_t n_stack, n_path, n_index, n_components;
} graph;

#define NOT_YET UINT32_MAX

/* ---- arrows ---- */

static bool add_arrow(graph *g, uint32_t from, uint32_t to)
{
    return FEN_VEC_PUSH(&g->arrows, (arrow){ from, to }) || fen_loader_nomem(g->l);
}

static bool add_leaf(void *ctx, fen_id finding, fen_id cond)
{
    graph *g = ctx;
    (void)cond;
    return add_arrow(g, g->from, finding);
}

static bool add_rule(graph *g, uint32_t r)
{
    const fen_draft *d = g->l->draft;
    const fen_rule *rule = &d->rules.at[r];
    const uint32_t node = g->n_findings + r;
    g->from = node;
    if (!fen_vet_walk(d, rule->cond, add_leaf, g))
        return false;
    for (uint32_t i = 0; i < rule->over.count; i++)
        if (!add_arrow(g, g->n_findings + rule->over.at[i], node))
            return false;
    for (uint32_t i = 0; i < rule->n_effects; i++)
        if (rule->effects[i].op == FEN_DERIVE && !add_arrow(g, d->tests.at[rule->effects[i].target].finding, node))
            return false;
    return true;
}

static bool collect(graph *g)
{
    const fen_draft *d = g->l->draft;
    for (uint32_t i = 0; i < g->n_findings; i++) {
        g->from = i;
        if (!fen_vet_walk(d, d->findings.at[i].ask_when, add_leaf, g))
            return false;
    }
    for (uint32_t r = 0; r < d->rules.count; r++)
        if (!add_rule(g, r))
            return false;
    return true;
}

/* Arrows by where they start. */
static bool sort_arrows(graph *g)
{
    g->at = fen_calloc((size_t)g->n + 2, sizeof *g->at);
    g->to = fen_calloc((size_t)g->arrows.count + 1, sizeof *g->to);
    uint32_t *all = fen_calloc((size_t)g->n * 6 + 1, sizeof *all);
    g->index = all;
    if (!g->at || !g->to || !all)
        return fen_loader_nomem(g->l);
    g->low = all + g->n;
    g->component = g->low + g->n;
    g->stack = g->component + g->n;
    g->path = g->stack + g->n;
    g->next = g->path + g->n;
    for (uint32_t i = 0; i < g->arrows.count; i++)
        g->at[g->arrows.at[i].from + 2]++;
    for (uint32_t i = 0; i < g->n; i++)
        g->at[i + 2] += g->at[i + 1];
    for (uint32_t i = 0; i < g->arrows.count; i++)
        g->to[g->at[g->arrows.at[i].from + 1]++] = g->arrows.at[i].to;
    return true;
}

/* ---- components ---- */

static void enter(graph *g, uint32_t v)
{
    g->index[v] = g->low[v] = g->n_index++;
    g->next[v] = g->at[v];
    g->stack[g->n_stack++] = v;
    g->path[g->n_path++] = v;
}

static void leave(graph *g, uint32_t v)
{
    g->n_path--;
    if (g->n_path && g->low[v] < g->low[g->path[g->n_path - 1]])
        g->low[g->path[g->n_path - 1]] = g->low[v];
    if (g->low[v] != g->index[v])
        return;
    uint32_t w;
    do {
        w = g->stack[--g->n_stack];
        g->component[w] = g->n_components;
    } while (w != v);
    g->n_components++;
}

static void find_components(graph *g)
{
    for (uint32_t i = 0; i < g->n; i++)
        g->index[i] = g->component[i] = NOT_YET;
    for (uint32_t root = 0; root < g->n; root++) {
        if (g->index[root] != NOT_YET)
            continue;
        enter(g, root);
        while (g->n_path) {
            const uint32_t v = g->path[g->n_path - 1];
            if (g->next[v] == g->at[v + 1]) {
                leave(g, v);
                continue;
            }
            const uint32_t w = g->to[g->next[v]++];
            if (g->index[w] == NOT_YET)
                enter(g, w);
            else if (g->component[w] == NOT_YET && g->index[w] < g->low[v])
                g->low[v] = g->index[w]; /* still on the stack */
        }
    }
}

/* ---- telling ---- */

/* The shortest way from START to GOAL within their component; every node's
 * forerunner is left in g->low. */
static void find_way(graph *g, uint32_t start, uint32_t goal)
{
    for (uint32_t i = 0; i < g->n; i++)
        g->low[i] = NOT_YET;
    uint32_t first = 0, last = 0;
    g->low[start] = start;
    g->stack[last++] = start;
    while (first < last && g->low[goal] == NOT_YET) {
        const uint32_t v = g->stack[first++];
        for (uint32_t i = g->at[v]; i < g->at[v + 1]; i++) {
            const uint32_t w = g->to[i];
            if (g->component[w] != g->component[start] || g->low[w] != NOT_YET)
                continue;
            g->low[w] = v;
            g->stack[last++] = w;
        }
    }
}

static const char *node_id(const graph *g, uint32_t v)
{
    return v < g->n_findings ? g->l->draft->findings.at[v].id : g->l->draft->rules.at[v - g->n_findings].id;
}

/* "'a' waits for 'b' waits for 'a'": FROM, whose `ask when` looks at TO. */
static void tell(graph *g, uint32_t from, uint32_t to)
{
    fen_str s;
    uint32_t n = 0;
    find_way(g, to, from);
    for (uint32_t v = from; v != to; v = g->low[v])
        g->path[n++] = v;
    fen_str_init(&s, FEN_SCALAR_MAX);
    fen_str_printf(&s, "'%s' waits for '%s'", node_id(g, from), node_id(g, to));
    while (n)
        fen_str_printf(&s, " waits for '%s'", node_id(g, g->path[--n]));
    const fen_status st = fen_str_status(&s);
    fen_vet_go_to(g->l, FEN_PART_FINDINGS, from - 1);
    fen_loader_error(g->l, FEN_CODE_CYCLE, g->l->draft->findings.at[from].place, "take out one 'ask when' among them",
                     "'%s' can never be asked: %s", node_id(g, from), st ? "too many to name" : s.at);
    fen_str_free(&s);
}

/* One message for each component: the others would name the same circle. Each
 * takes time with the size of the base, so a few must do. */
#define TOLD_MAX 20
static void tell_all(graph *g)
{
    uint32_t n_told = 0;
    for (uint32_t v = 1; v < g->n_findings && n_told < TOLD_MAX; v++) {
        if (g->l->draft->findings.at[v].ask_when == FEN_NONE || g->component[v] == NOT_YET)
            continue;
        for (uint32_t i = g->at[v]; i < g->at[v + 1]; i++) {
            if (g->to[i] >= g->n_findings || g->component[g->to[i]] != g->component[v])
                continue;
            tell(g, v, g->to[i]);
            n_told++;
            const uint32_t told = g->component[v];
            for (uint32_t w = 0; w < g->n; w++)
                if (g->component[w] == told)
                    g->component[w] = NOT_YET;
            break;
        }
    }
}

void fen_vet_asking(fen_loader *l)
{
    graph g = { .l = l, .n_findings = l->draft->findings.count };
    bool any = false;
    for (uint32_t i = 0; i < g.n_findings; i++)
        any |= l->draft->findings.at[i].ask_when != FEN_NONE;
    if (!any)
        return;
    g.n = g.n_findings + l->draft->rules.count;
    if (collect(&g) && sort_arrows(&g)) {
        find_components(&g);
        tell_all(&g);
    }
    FEN_VEC_FREE(&g.arrows);
    fen_free(g.at);
    fen_free(g.to);
    fen_free(g.index);
}
