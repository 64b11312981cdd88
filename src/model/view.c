#include "view.h"

#include <string.h>

#include "fenmend/session.h"
#include "net.h"
#include "util/alloc.h"
#include "util/limits.h"

/* A group is concerned by what concerns any kind below it. */
static bool concerns(const fen_base *base, fen_list kinds, fen_id kind)
{
    if (kind == FEN_NONE || fen_base_kind_within(base, kind, kinds))
        return true;
    for (uint32_t i = 0; i < kinds.count; i++)
        if (fen_base_kind_within(base, kinds.at[i], (fen_list){ &kind, 1 }))
            return true;
    return false;
}

typedef fen_list kinds_fn(const fen_base *base, fen_id i);

static fen_list kinds_of_rule(const fen_base *base, fen_id i) { return base->rules[i].kinds; }
static fen_list kinds_of_cause(const fen_base *base, fen_id i) { return base->causes[i].kinds; }
static fen_list kinds_of_finding(const fen_base *base, fen_id i) { return base->findings[i].kinds; }

static bool is_asked(const fen_base *base, fen_id i)
{
    return i != FEN_KIND_FINDING && !base->findings[i].derived;
}

/* Those of N things that concern KIND. */
static fen_status list_concerned(fen_base *base, uint32_t n, kinds_fn *kinds_of, fen_id kind, fen_list *ret)
{
    const bool findings = kinds_of == kinds_of_finding;
    fen_id *at = NULL;
    for (int fill = 0; fill < 2; fill++) {
        uint32_t count = 0;
        for (fen_id i = 0; i < n; i++)
            if (concerns(base, kinds_of(base, i), kind) && (!findings || is_asked(base, i))) {
                if (fill)
                    at[count] = i;
                count++;
            }
        if (!fill && !(at = fen_arena_take(base->arena, count, sizeof *at)))
            return FEN_ENOMEM;
        *ret = (fen_list){ at, count };
    }
    return FEN_OK;
}

static bool is_listed_whole(const fen_base *base, fen_id test)
{
    const fen_test *t = &base->tests[test];
    return t->op != FEN_TEST_EXPR && (t->finding == FEN_KIND_FINDING || base->findings[t->finding].derived);
}

/* IN: by rule, does it concern the kind? */
static fen_status list_occurrences(fen_base *base, const bool *in, fen_view *v)
{
    const fen_net *net = &base->net;
    uint32_t *at = fen_arena_take(base->arena, 2 * (size_t)net->n_tests + 1, sizeof *at), *occ = NULL;
    if (!at)
        return FEN_ENOMEM;
    for (int fill = 0; fill < 2; fill++) {
        uint32_t n = 0;
        for (uint32_t l = 0; l < 2 * net->n_tests; l++) {
            const bool whole = is_listed_whole(base, l / 2);
            at[l] = n;
            for (uint32_t i = net->occ_at[l]; i < net->occ_at[l + 1]; i++) {
                const uint32_t node = net->occ[i];
                if (!whole && !in[node < net->n_rules ? node : net->root[node - net->n_rules]])
                    continue;
                if (fill)
                    occ[n] = node;
                n++;
            }
        }
        at[2 * net->n_tests] = n;
        if (!fill && !(occ = fen_arena_take(base->arena, n, sizeof *occ)))
            return FEN_ENOMEM;
    }
    v->occ_at = at;
    v->occ = occ;
    return FEN_OK;
}

static fen_status list_parts(fen_base *base, fen_id kind, fen_view *v)
{
    fen_status st = list_concerned(base, base->n_rules, kinds_of_rule, kind, &v->rules);
    if (!st)
        st = list_concerned(base, base->n_causes, kinds_of_cause, kind, &v->causes);
    if (!st)
        st = list_concerned(base, base->n_findings, kinds_of_finding, kind, &v->findings);
    return st;
}

static fen_status make_view(fen_base *base, fen_id kind, fen_view *v)
{
    fen_status st = list_parts(base, kind, v);
    bool *in = st ? NULL : fen_calloc(base->n_rules, sizeof *in);
    if (!st && !in)
        st = FEN_ENOMEM;
    for (uint32_t i = 0; !st && i < v->rules.count; i++)
        in[v->rules.at[i]] = true;
    if (!st)
        st = list_occurrences(base, in, v);
    fen_free(in);
    return st;
}

static bool is_worth_it(const fen_base *base)
{
    const fen_net *net = &base->net;
    const uint64_t each = 2 * (uint64_t)net->n_tests + net->occ_at[2 * net->n_tests] + net->n_rules;
    if (each * base->n_kinds > FEN_VIEWS_MAX)
        return false;
    for (fen_id r = 0; r < base->n_rules; r++)
        if (base->rules[r].kinds.count)
            return true;
    return false;
}

fen_status fen_views_make(fen_base *base)
{
    fen_net *net = &base->net;
    net->whole.occ_at = net->occ_at;
    net->whole.occ = net->occ;
    const fen_status st = list_parts(base, FEN_NONE, &net->whole);
    if (st || !is_worth_it(base))
        return st;
    fen_view *views = fen_arena_zeroed(base->arena, base->n_kinds, sizeof *views);
    if (!views)
        return FEN_ENOMEM;
    for (fen_id k = 0; k < base->n_kinds; k++)
        if (make_view(base, k, &views[k]))
            return FEN_ENOMEM;
    net->views = views;
    return FEN_OK;
}

const fen_view *fen_view_of(const fen_base *base, const fen_answer *kind)
{
    if (!base->net.views || kind->state != FEN_KNOWN)
        return &base->net.whole;
    return &base->net.views[__builtin_ctzll(kind->picks)];
}
