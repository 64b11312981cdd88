#include "view.h"

#include "fenmend/session.h"
#include "net.h"
#include "util/alloc.h"
#include "util/limits.h"

/* Kinds are bits. A group is concerned by what concerns any kind below it. */
static uint64_t concerned_by(const fen_base *base, fen_list kinds)
{
    const uint64_t *up = base->net.kind_up;
    uint64_t set = kinds.count ? 0 : UINT64_MAX;
    for (uint32_t i = 0; i < kinds.count; i++) {
        set |= up[kinds.at[i]];
        for (fen_id k = 0; k < base->n_kinds; k++)
            set |= (up[k] >> kinds.at[i] & 1) << k;
    }
    return set;
}

typedef fen_list kinds_fn(const fen_base *base, fen_id i);

static fen_list kinds_of_rule(const fen_base *base, fen_id i) { return base->rules[i].kinds; }
static fen_list kinds_of_cause(const fen_base *base, fen_id i) { return base->causes[i].kinds; }
static fen_list kinds_of_finding(const fen_base *base, fen_id i) { return base->findings[i].kinds; }

/* Into SET, if there is memory for it, by thing the kinds it concerns. */
static uint64_t *find_concerned(const fen_base *base, uint32_t n, kinds_fn *kinds_of, uint64_t *set)
{
    for (fen_id i = 0; set && i < n; i++)
        set[i] = concerned_by(base, kinds_of(base, i));
    return set;
}

typedef bool listed_fn(const fen_base *base, fen_id i);

static bool is_any(const fen_base *base, fen_id i)
{
    (void)base;
    (void)i;
    return true;
}

static bool is_asked(const fen_base *base, fen_id finding)
{
    return finding != FEN_KIND_FINDING && !base->findings[finding].derived;
}

static bool is_line(const fen_base *base, fen_id rule)
{
    return base->net.line[rule] != FEN_NO_LINE;
}

static bool is_ever_met(const fen_base *base, fen_id cause)
{
    return base->causes[cause].usual > 0;
}

/* Those of N things to be listed of which SET has one of KINDS. */
static fen_status list_concerned(const fen_base *base, const uint64_t *set, uint32_t n, listed_fn *listed, uint64_t kinds, fen_list *ret)
{
    uint32_t count = 0;
    for (fen_id i = 0; i < n; i++)
        count += (set[i] & kinds) != 0 && listed(base, i);
    fen_id *at = fen_arena_take(base->arena, count, sizeof *at);
    if (!at)
        return FEN_ENOMEM;
    count = 0;
    for (fen_id i = 0; i < n; i++)
        if ((set[i] & kinds) != 0 && listed(base, i))
            at[count++] = i;
    *ret = (fen_list){ at, count };
    return FEN_OK;
}

typedef struct sets { /* of kinds, by rule, cause and finding */
    const uint64_t *rules, *causes, *findings;
} sets;

static fen_status list_parts(fen_base *base, const sets *of, uint64_t kinds, fen_view *v)
{
    fen_status st = list_concerned(base, of->rules, base->n_rules, is_any, kinds, &v->rules);
    if (!st)
        st = list_concerned(base, of->rules, base->n_rules, is_line, kinds, &v->lines);
    if (!st)
        st = list_concerned(base, of->causes, base->n_causes, is_ever_met, kinds, &v->causes);
    if (!st)
        st = list_concerned(base, of->findings, base->n_findings, is_asked, kinds, &v->findings);
    return st;
}

static bool is_listed_whole(const fen_base *base, fen_id test)
{
    const fen_test *t = &base->tests[test];
    return t->op != FEN_TEST_EXPR && (t->finding == FEN_KIND_FINDING || base->findings[t->finding].derived);
}

static uint64_t all_kinds(const fen_base *base)
{
    return base->n_kinds < 64 ? (UINT64_C(1) << base->n_kinds) - 1 : UINT64_MAX;
}

/* Each occurrence goes to the views it concerns: AT[k] is where view k is filled, or
 * with OCC NULL, only counted. */
static void deal_occurrences(const fen_base *base, const uint64_t *rules, uint32_t *const *occ_at, uint32_t *const *occ, uint32_t *at)
{
    const fen_net *net = &base->net;
    for (uint32_t l = 0; l < 2 * net->n_tests; l++) {
        const bool whole = is_listed_whole(base, l / 2);
        for (fen_id k = 0; k < base->n_kinds && occ; k++)
            occ_at[k][l] = at[k];
        for (uint32_t i = net->occ_at[l]; i < net->occ_at[l + 1]; i++) {
            const uint32_t node = net->occ[i];
            uint64_t set = all_kinds(base);
            if (!whole)
                set &= rules[node < net->n_rules ? node : net->root[node - net->n_rules]];
            for (; set; set &= set - 1) {
                const int k = __builtin_ctzll(set);
                if (occ)
                    occ[k][at[k]] = node;
                at[k]++;
            }
        }
    }
    for (fen_id k = 0; k < base->n_kinds && occ; k++)
        occ_at[k][2 * net->n_tests] = at[k];
}

static fen_status list_occurrences(fen_base *base, const uint64_t *rules, fen_view *views)
{
    uint32_t *occ_at[FEN_OPTIONS_MAX], *occ[FEN_OPTIONS_MAX], at[FEN_OPTIONS_MAX] = { 0 };
    deal_occurrences(base, rules, NULL, NULL, at);
    for (fen_id k = 0; k < base->n_kinds; k++) {
        views[k].occ_at = occ_at[k] = fen_arena_take(base->arena, 2 * (size_t)base->net.n_tests + 1, sizeof **occ_at);
        views[k].occ = occ[k] = fen_arena_take(base->arena, at[k], sizeof **occ);
        if (!occ_at[k] || !occ[k])
            return FEN_ENOMEM;
        at[k] = 0;
    }
    deal_occurrences(base, rules, occ_at, occ, at);
    return FEN_OK;
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

static fen_status make_views(fen_base *base, const sets *of)
{
    fen_view *views = fen_arena_zeroed(base->arena, base->n_kinds, sizeof *views);
    fen_status st = views ? list_occurrences(base, of->rules, views) : FEN_ENOMEM;
    for (fen_id k = 0; k < base->n_kinds && !st; k++)
        st = list_parts(base, of, UINT64_C(1) << k, &views[k]);
    if (!st)
        base->net.views = views;
    return st;
}

fen_status fen_views_make(fen_base *base)
{
    fen_net *net = &base->net;
    uint64_t *rules = fen_calloc(base->n_rules, sizeof *rules);
    const sets of = {
        find_concerned(base, base->n_rules, kinds_of_rule, rules),
        find_concerned(base, base->n_causes, kinds_of_cause, fen_arena_take(base->arena, base->n_causes, sizeof(uint64_t))),
        find_concerned(base, base->n_findings, kinds_of_finding, fen_arena_take(base->arena, base->n_findings, sizeof(uint64_t))),
    };
    net->whole.occ_at = net->occ_at;
    net->whole.occ = net->occ;
    fen_status st = of.rules && of.causes && of.findings ? list_parts(base, &of, UINT64_MAX, &net->whole) : FEN_ENOMEM;
    if (!st && is_worth_it(base))
        st = make_views(base, &of);
    net->cause_kinds = of.causes;
    net->finding_kinds = of.findings;
    fen_free(rules);
    return st;
}

const fen_view *fen_view_of(const fen_base *base, const fen_answer *kind)
{
    if (!base->net.views || kind->state != FEN_KNOWN)
        return &base->net.whole;
    return &base->net.views[__builtin_ctzll(kind->picks)];
}
