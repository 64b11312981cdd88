/* strata.c -- an order of the rules in which every exception and default is
 * settled before anyone relies on it.
 *
 * Rules and derived findings are the nodes of a graph: a rule points to what it
 * sets (weight 0) and to the rules it goes over (weight 1); a derived finding
 * points to the rules that read it, with weight 1 if they must wait until it is
 * complete. A cycle with a weight of 1 has no order; otherwise a node's stratum is
 * the heaviest way to it. Strong components: Tarjan 1972, SIAM J. Comput. 1(2):
 * 146-160, without recursion, since packs may have millions of rules.
 */
#include <assert.h>
#include <string.h>

#include "net.h"
#include "util/limits.h"

#define UNSEEN UINT32_MAX

typedef struct graph {
    const fen_base *base;
    uint32_t n_rules, n; /* nodes: rules, then findings */
    uint32_t *at;        /* [n + 1] */
    uint32_t *edge;      /* target * 2 + weight */
} graph;

typedef struct components {
    uint32_t *of;    /* component of a node; numbered from the sinks up */
    uint32_t *order; /* nodes by component */
    uint32_t n;
} components;

static void emit(graph *g, bool fill, uint32_t from, uint32_t to, bool heavy)
{
    if (fill)
        g->edge[g->at[from]++] = to * 2 + heavy;
    else
        g->at[from + 1]++;
}

static void emit_readers(graph *g, bool fill, fen_id test)
{
    const fen_net *net = &g->base->net;
    const fen_id finding = g->base->tests[test].finding;
    for (uint32_t l = 2 * test; l < 2 * test + 2; l++)
        for (uint32_t i = net->occ_at[l]; i < net->occ_at[l + 1]; i++) {
            const uint32_t node = net->occ[i];
            const uint32_t rule = node < g->n_rules ? node : net->root[node - g->n_rules];
            emit(g, fill, g->n_rules + finding, rule, fen_literal_waits(g->base, test, l & 1));
        }
}

static void emit_all(graph *g, bool fill)
{
    const fen_base *base = g->base;
    for (fen_id r = 0; r < g->n_rules; r++) {
        for (uint32_t e = 0; e < base->rules[r].n_effects; e++)
            if (base->rules[r].effects[e].op == FEN_DERIVE)
                emit(g, fill, r, g->n_rules + base->tests[base->rules[r].effects[e].target].finding, false);
        for (uint32_t i = 0; i < base->rules[r].over.count; i++)
            emit(g, fill, r, base->rules[r].over.at[i], true);
    }
    for (fen_id f = 0; f < base->n_findings; f++) {
        if (!base->findings[f].derived)
            continue;
        for (uint32_t o = 0; o < base->findings[f].n_options; o++)
            emit_readers(g, fill, base->findings[f].first_atom + o);
        for (uint32_t i = base->net.reads_at[f]; i < base->net.reads_at[f + 1]; i++)
            emit_readers(g, fill, base->net.reads[i]);
    }
}

static fen_status build(graph *g, const fen_base *base)
{
    *g = (graph){ .base = base, .n_rules = base->n_rules, .n = base->n_rules + base->n_findings };
    g->at = fen_calloc((size_t)g->n + 1, sizeof *g->at);
    if (!g->at)
        return FEN_ENOMEM;
    emit_all(g, false);
    for (uint32_t i = 0; i < g->n; i++)
        g->at[i + 1] += g->at[i];
    g->edge = fen_alloc((size_t)g->at[g->n] * sizeof *g->edge);
    if (!g->edge)
        return FEN_ENOMEM;
    emit_all(g, true);
    memmove(g->at + 1, g->at, (size_t)g->n * sizeof *g->at);
    g->at[0] = 0;
    return FEN_OK;
}

typedef struct tarjan {
    uint32_t *seen, *low, *next_edge, *stack, *path;
    uint32_t n_stack, n_path, clock;
} tarjan;

static void close_component(tarjan *t, components *c, uint32_t root, uint32_t *n_order)
{
    uint32_t v;
    do {
        v = t->stack[--t->n_stack];
        c->of[v] = c->n;
        c->order[(*n_order)++] = v;
    } while (v != root);
    c->n++;
}

static void open_node(tarjan *t, const graph *g, uint32_t v)
{
    t->seen[v] = t->low[v] = t->clock++;
    t->next_edge[v] = g->at[v];
    t->stack[t->n_stack++] = v;
    t->path[t->n_path++] = v;
}

static void search_from(tarjan *t, const graph *g, components *c, uint32_t start, uint32_t *n_order)
{
    open_node(t, g, start);
    while (t->n_path) {
        const uint32_t v = t->path[t->n_path - 1];
        if (t->next_edge[v] < g->at[v + 1]) {
            const uint32_t w = g->edge[t->next_edge[v]++] / 2;
            if (t->seen[w] == UNSEEN)
                open_node(t, g, w);
            else if (c->of[w] == UNSEEN && t->seen[w] < t->low[v])
                t->low[v] = t->seen[w];
            continue;
        }
        t->n_path--;
        if (t->low[v] == t->seen[v])
            close_component(t, c, v, n_order);
        if (t->n_path && t->low[v] < t->low[t->path[t->n_path - 1]])
            t->low[t->path[t->n_path - 1]] = t->low[v];
    }
}

static fen_status find_components(const graph *g, components *c)
{
    uint32_t *work = fen_alloc((size_t)g->n * 5 * sizeof *work);
    c->of = fen_alloc((size_t)g->n * sizeof *c->of);
    c->order = fen_alloc((size_t)g->n * sizeof *c->order);
    if (!work || !c->of || !c->order) {
        fen_free(work);
        return FEN_ENOMEM;
    }
    tarjan t = { work, work + g->n, work + 2 * (size_t)g->n, work + 3 * (size_t)g->n, work + 4 * (size_t)g->n, 0, 0, 0 };
    memset(t.seen, 0xff, (size_t)g->n * sizeof *t.seen);
    memset(c->of, 0xff, (size_t)g->n * sizeof *c->of);
    uint32_t n_order = 0;
    for (uint32_t v = 0; v < g->n; v++)
        if (t.seen[v] == UNSEEN)
            search_from(&t, g, c, v, &n_order);
    fen_free(work);
    return FEN_OK;
}

/* The rules on a shortest way from FROM to TO inside one component, TO -> FROM
 * being a heavy edge; listed from TO back, so that each needs the next. */
static fen_status trace_cycle(const graph *g, const components *c, uint32_t to, uint32_t from, fen_cycle *ret)
{
    uint32_t *came = fen_alloc((size_t)g->n * sizeof *came);
    uint32_t *queue = fen_alloc((size_t)g->n * sizeof *queue);
    uint32_t *rules = fen_arena_take(g->base->arena, g->n_rules, sizeof *rules);
    if (!came || !queue || !rules) {
        fen_free(came);
        fen_free(queue);
        return FEN_ENOMEM;
    }
    memset(came, 0xff, (size_t)g->n * sizeof *came);
    uint32_t head = 0, tail = 0;
    queue[tail++] = from;
    came[from] = from;
    while (head < tail && came[to] == UNSEEN) {
        const uint32_t v = queue[head++];
        for (uint32_t e = g->at[v]; e < g->at[v + 1]; e++) {
            const uint32_t w = g->edge[e] / 2;
            if (c->of[w] == c->of[from] && came[w] == UNSEEN) {
                came[w] = v;
                queue[tail++] = w;
            }
        }
    }
    uint32_t n = 0;
    for (uint32_t v = to;; v = came[v]) {
        if (v < g->n_rules)
            rules[n++] = v;
        if (v == from)
            break;
    }
    ret->rules = (fen_list){ rules, n };
    fen_free(came);
    fen_free(queue);
    return FEN_EINPUT;
}

/* Levels by component, sources first. FEN_EINPUT: a heavy edge inside one. */
static fen_status find_levels(const graph *g, const components *c, uint32_t *level, fen_cycle *ret)
{
    for (uint32_t i = g->n; i-- > 0;) {
        const uint32_t v = c->order[i];
        for (uint32_t e = g->at[v]; e < g->at[v + 1]; e++) {
            const uint32_t w = g->edge[e] / 2, heavy = g->edge[e] & 1;
            if (c->of[w] != c->of[v]) {
                if (level[c->of[w]] < level[c->of[v]] + heavy)
                    level[c->of[w]] = level[c->of[v]] + heavy;
            } else if (heavy) {
                return trace_cycle(g, c, v, w, ret);
            }
        }
    }
    return FEN_OK;
}

static fen_status write_strata(const graph *g, const components *c, const uint32_t *level, fen_rule *rules,
                               fen_net *net, fen_arena *a, fen_cycle *ret)
{
    const fen_base *base = g->base;
    uint32_t *settle = fen_arena_take(a, base->n_findings, sizeof *settle);
    bool *looped = fen_arena_zeroed(a, base->n_findings, sizeof *looped);
    bool *loops = fen_arena_zeroed(a, base->n_rules, sizeof *loops);
    uint16_t *stratum = fen_arena_take(a, base->n_rules, sizeof *stratum);
    if (!settle || !looped || !loops || !stratum)
        return FEN_ENOMEM;
    uint32_t top = 0;
    for (fen_id r = 0; r < g->n_rules; r++) {
        rules[r].stratum = level[c->of[r]];
        stratum[r] = (uint16_t)rules[r].stratum; /* of no use if there are too many */
    }
    for (fen_id f = 0; f < base->n_findings; f++)
        settle[f] = level[c->of[g->n_rules + f]];
    for (uint32_t i = 0; i < c->n; i++)
        top = level[i] > top ? level[i] : top;
    for (uint32_t i = 0; i < g->n; i++) { /* a component of two or more holds a loop */
        const uint32_t v = c->order[i];
        const bool shared = (i && c->of[c->order[i - 1]] == c->of[v]) || (i + 1 < g->n && c->of[c->order[i + 1]] == c->of[v]);
        if (shared)
            *(v < g->n_rules ? &loops[v] : &looped[v - g->n_rules]) = true;
    }
    net->settle = settle;
    net->looped = looped;
    net->loops = loops;
    net->stratum = stratum;
    net->n_strata = top + 1;
    ret->too_many_strata = net->n_strata > FEN_STRATA_MAX;
    return ret->too_many_strata ? FEN_EINPUT : FEN_OK;
}

fen_status fen_strata_find(fen_base *base, fen_rule *rules, fen_cycle *reterr_cycle)
{
    graph g;
    components c = { 0 };
    uint32_t *level = NULL;
    fen_status st = build(&g, base);
    if (!st)
        st = find_components(&g, &c);
    if (!st && !(level = fen_calloc(c.n, sizeof *level)))
        st = FEN_ENOMEM;
    if (!st)
        st = find_levels(&g, &c, level, reterr_cycle);
    if (!st)
        st = write_strata(&g, &c, level, rules, &base->net, base->arena, reterr_cycle);
    fen_free(level);
    fen_free(c.of);
    fen_free(c.order);
    fen_free(g.at);
    fen_free(g.edge);
    return st;
}
