#include "net.h"

#include <assert.h>
#include <math.h>

#include "util/limits.h"

typedef struct occurrence {
    uint32_t literal, node;
} occurrence;

typedef struct compiler {
    const fen_base *base;
    FEN_VEC(occurrence) occs;
    FEN_VEC(int32_t) need;    /* of all nodes, roots first */
    FEN_VEC(uint32_t) parent; /* of inner nodes */
    FEN_VEC(uint32_t) root;
    fen_id rule;
    bool failed;
} compiler;

bool fen_literal_waits(const fen_base *base, fen_id test, bool negated)
{
    const fen_test *t = &base->tests[test];
    if (t->op == FEN_TEST_EXPR || !base->findings[t->finding].derived)
        return false;
    return negated || t->op != FEN_TEST_ATOM || base->findings[t->finding].default_option != FEN_NONE;
}

fen_cond_op fen_cond_normal(const fen_cond *c, bool negated, bool *ret_parts_negated)
{
    *ret_parts_negated = c->op == FEN_COND_NONE ? !negated : negated;
    if (c->op == FEN_COND_TEST)
        return FEN_COND_TEST;
    const bool all = c->op == FEN_COND_ALL || c->op == FEN_COND_NONE;
    return all != negated ? FEN_COND_ALL : FEN_COND_ANY;
}

void fen_cond_walk(const fen_base *base, fen_id cond, bool negated,
                   void (*f)(void *ctx, fen_id test, bool negated), void *ctx)
{
    if (cond == FEN_NONE)
        return;
    const fen_cond *c = &base->conds[cond];
    if (c->op == FEN_COND_TEST) {
        f(ctx, c->test, negated);
        return;
    }
    bool parts_negated;
    (void)fen_cond_normal(c, negated, &parts_negated);
    for (uint32_t i = 0; i < c->parts.count; i++)
        fen_cond_walk(base, c->parts.at[i], parts_negated, f, ctx);
}

static void add_literal(compiler *k, uint32_t node, bool all, fen_id test, bool negated)
{
    if (!FEN_VEC_PUSH(&k->occs, (occurrence){ 2 * test + negated, node }))
        k->failed = true;
    if (all)
        k->need.at[node]++;
}

static uint32_t add_node(compiler *k, uint32_t parent, bool parent_all, bool all)
{
    if (parent_all)
        k->need.at[parent]++;
    if (!FEN_VEC_PUSH(&k->need, all ? 0 : 1) || !FEN_VEC_PUSH(&k->parent, parent) ||
        !FEN_VEC_PUSH(&k->root, k->rule)) {
        k->failed = true;
        return parent;
    }
    return k->need.count - 1;
}

/* Put COND below NODE; trees of the same operator become one node. */
static void add_cond(compiler *k, uint32_t node, bool all, fen_id cond, bool negated)
{
    const fen_cond *c = &k->base->conds[cond];
    bool parts_negated;
    const fen_cond_op op = fen_cond_normal(c, negated, &parts_negated);
    if (op == FEN_COND_TEST) {
        add_literal(k, node, all, c->test, negated);
        return;
    }
    const bool part_all = op == FEN_COND_ALL;
    if (part_all != all && c->parts.count != 1) {
        node = add_node(k, node, all, part_all);
        all = part_all;
    }
    for (uint32_t i = 0; i < c->parts.count && !k->failed; i++)
        add_cond(k, node, all, c->parts.at[i], parts_negated);
}

static void add_kinds(compiler *k, uint32_t node, fen_list kinds)
{
    const uint32_t first = k->base->findings[FEN_KIND_FINDING].first_atom;
    if (kinds.count == 1) {
        add_literal(k, node, true, first + kinds.at[0], false);
        return;
    }
    const uint32_t any = add_node(k, node, true, false);
    for (uint32_t i = 0; i < kinds.count && !k->failed; i++)
        add_literal(k, any, false, first + kinds.at[i], false);
}

static void add_rule(compiler *k, fen_id rule)
{
    const fen_rule *r = &k->base->rules[rule];
    bool all = true, ignored;
    if (r->cond != FEN_NONE && !r->kinds.count)
        all = fen_cond_normal(&k->base->conds[r->cond], false, &ignored) != FEN_COND_ANY;
    k->rule = rule;
    k->need.at[rule] = all ? 0 : 1;
    if (r->kinds.count)
        add_kinds(k, rule, r->kinds);
    if (r->cond != FEN_NONE)
        add_cond(k, rule, all, r->cond, false);
}

/* -- flat arrays --------------------------------------------------------- */

/* Turn counts at [i + 1] into starts at [i]. */
static void starts_of(uint32_t *at, uint32_t n)
{
    for (uint32_t i = 0; i < n; i++)
        at[i + 1] += at[i];
}

/* After filling with at[i]++ each start has become the next one's: shift back. */
static void unshift(uint32_t *at, uint32_t n)
{
    for (uint32_t i = n; i > 0; i--)
        at[i] = at[i - 1];
    at[0] = 0;
}

static fen_status lay_occurrences(compiler *k, fen_arena *a, fen_net *net)
{
    const uint32_t n = 2 * net->n_tests;
    uint32_t *at = fen_arena_zeroed(a, (size_t)n + 1, sizeof *at);
    uint32_t *occ = fen_arena_take(a, k->occs.count, sizeof *occ);
    if (!at || !occ)
        return FEN_ENOMEM;
    for (uint32_t i = 0; i < k->occs.count; i++)
        at[k->occs.at[i].literal + 1]++;
    starts_of(at, n);
    for (uint32_t i = 0; i < k->occs.count; i++)
        occ[at[k->occs.at[i].literal]++] = k->occs.at[i].node;
    unshift(at, n);
    net->occ_at = at;
    net->occ = occ;
    return FEN_OK;
}

static fen_status lay_reads(const fen_base *base, fen_arena *a, fen_net *net)
{
    uint32_t *at = fen_arena_zeroed(a, (size_t)base->n_findings + 1, sizeof *at);
    if (!at)
        return FEN_ENOMEM;
    for (int fill = 0; fill < 2; fill++) {
        fen_id *reads = NULL;
        if (fill) {
            starts_of(at, base->n_findings);
            reads = fen_arena_take(a, at[base->n_findings], sizeof *reads);
            if (!reads)
                return FEN_ENOMEM;
            net->reads = reads;
        }
        for (fen_id t = 0; t < base->n_tests; t++) {
            const fen_test *x = &base->tests[t];
            const fen_list of = x->op == FEN_TEST_EXPR ? base->exprs[x->expr].findings : (fen_list){ &x->finding, 1 };
            for (uint32_t i = 0; i < of.count && x->op != FEN_TEST_ATOM; i++) {
                if (fill)
                    reads[at[of.at[i]]++] = t;
                else
                    at[of.at[i] + 1]++;
            }
        }
    }
    unshift(at, base->n_findings);
    net->reads_at = at;
    return FEN_OK;
}

static fen_stretch stretch_of(const fen_test *t, fen_id test)
{
    return (fen_stretch){
        .test = test, .ranged = t->op == FEN_TEST_RANGE,
        .from = t->lo_open ? nextafter(t->lo, INFINITY) : t->lo,
        .to = t->hi_open ? nextafter(t->hi, -INFINITY) : t->hi,
    };
}

static fen_status lay_stretches(const fen_base *base, fen_arena *a, fen_net *net)
{
    const uint32_t n = net->reads_at[base->n_findings];
    fen_stretch *stretches = fen_arena_take(a, n, sizeof *stretches);
    if (!stretches)
        return FEN_ENOMEM;
    for (uint32_t i = 0; i < n; i++)
        stretches[i] = stretch_of(&base->tests[net->reads[i]], net->reads[i]);
    net->stretches = stretches;
    return FEN_OK;
}

static fen_status lay_deeds(const fen_base *base, fen_arena *a, fen_net *net)
{
    static const fen_effect_op ops[] = { FEN_WEIGH, FEN_EXCLUDE, FEN_RAISE };
    uint32_t n = 0, n_effects = 0;
    for (fen_id r = 0; r < base->n_rules; r++)
        n_effects += base->rules[r].n_effects;
    uint32_t *at = fen_arena_take(a, 3 * (size_t)base->n_rules + 1, sizeof *at);
    fen_effect *does = fen_arena_take(a, n_effects - net->derives_at[base->n_rules], sizeof *does);
    if (!at || !does)
        return FEN_ENOMEM;
    for (uint32_t i = 0; i < 3 * base->n_rules; i++) {
        const fen_rule *rule = &base->rules[i / 3];
        at[i] = n;
        for (uint32_t e = 0; e < rule->n_effects; e++)
            if (rule->effects[e].op == ops[i % 3])
                does[n++] = rule->effects[e];
    }
    at[3 * base->n_rules] = n;
    net->does_at = at;
    net->does = does;
    return FEN_OK;
}

static fen_status lay_derives(const fen_base *base, fen_arena *a, fen_net *net)
{
    uint32_t n = 0;
    for (fen_id r = 0; r < base->n_rules; r++)
        for (uint32_t e = 0; e < base->rules[r].n_effects; e++)
            n += base->rules[r].effects[e].op == FEN_DERIVE;
    uint32_t *at = fen_arena_take(a, (size_t)base->n_rules + 1, sizeof *at);
    fen_id *derives = fen_arena_take(a, n, sizeof *derives);
    if (!at || !derives)
        return FEN_ENOMEM;
    n = 0;
    for (fen_id r = 0; r < base->n_rules; r++) {
        at[r] = n;
        for (uint32_t e = 0; e < base->rules[r].n_effects; e++)
            if (base->rules[r].effects[e].op == FEN_DERIVE)
                derives[n++] = base->rules[r].effects[e].target;
    }
    at[base->n_rules] = n;
    net->derives_at = at;
    net->derives = derives;
    return FEN_OK;
}

static bool literal_used(const fen_net *net, uint32_t literal)
{
    return net->occ_at[literal] < net->occ_at[literal + 1];
}

/* A derived finding that no rule waits for need not be settled at all. */
static fen_status lay_settles(const fen_base *base, fen_arena *a, fen_net *net)
{
    bool *settles = fen_arena_zeroed(a, base->n_findings, sizeof *settles);
    if (!settles)
        return FEN_ENOMEM;
    for (fen_id f = 0; f < base->n_findings; f++) {
        const fen_finding *x = &base->findings[f];
        if (!x->derived)
            continue;
        settles[f] = x->default_option != FEN_NONE;
        for (uint32_t o = 0; o < x->n_options; o++)
            settles[f] |= literal_used(net, 2 * (x->first_atom + o) + 1);
        for (uint32_t i = net->reads_at[f]; i < net->reads_at[f + 1]; i++)
            settles[f] |= literal_used(net, 2 * net->reads[i]) || literal_used(net, 2 * net->reads[i] + 1);
    }
    net->settles = settles;
    return FEN_OK;
}

static fen_status lay_setters(const fen_base *base, fen_arena *a, fen_net *net)
{
    uint32_t *at = fen_arena_zeroed(a, (size_t)net->n_atoms + 1, sizeof *at);
    if (!at)
        return FEN_ENOMEM;
    for (int fill = 0; fill < 2; fill++) {
        fen_id *sets = NULL;
        if (fill) {
            starts_of(at, net->n_atoms);
            sets = fen_arena_take(a, at[net->n_atoms], sizeof *sets);
            if (!sets)
                return FEN_ENOMEM;
            net->sets = sets;
        }
        for (fen_id r = 0; r < base->n_rules; r++)
            for (uint32_t e = 0; e < base->rules[r].n_effects; e++) {
                const fen_effect *x = &base->rules[r].effects[e];
                if (x->op != FEN_DERIVE)
                    continue;
                if (fill)
                    sets[at[x->target]++] = r;
                else
                    at[x->target + 1]++;
            }
    }
    unshift(at, net->n_atoms);
    net->sets_at = at;
    return FEN_OK;
}

static fen_signs signs_of(const fen_base *base, fen_id finding)
{
    const fen_finding *f = &base->findings[finding];
    fen_signs s = { .finding = finding, .first_atom = f->first_atom, .derived = f->derived };
    for (uint32_t o = 0; o < f->n_options; o++)
        s.options |= (uint64_t)f->options[o].sign << o;
    return s;
}

static fen_status lay_signs(const fen_base *base, fen_arena *a, fen_net *net)
{
    fen_signs *signs = fen_arena_take(a, base->n_findings, sizeof *signs);
    if (!signs)
        return FEN_ENOMEM;
    for (fen_id f = 0; f < base->n_findings; f++) {
        const fen_signs s = signs_of(base, f);
        if (s.options)
            signs[net->n_signed++] = s;
        net->n_signs += (uint32_t)__builtin_popcountll(s.options);
    }
    net->signs = signs;
    return FEN_OK;
}

static fen_status lay_single(const fen_base *base, fen_arena *a, fen_net *net)
{
    fen_id *single = fen_arena_take(a, base->n_findings, sizeof *single);
    if (!single)
        return FEN_ENOMEM;
    uint32_t n = 0;
    for (fen_id f = 0; f < base->n_findings; f++)
        if (base->findings[f].derived && base->findings[f].type != FEN_SEVERAL)
            single[n++] = f;
    net->single = (fen_list){ single, n };
    return FEN_OK;
}

typedef struct sign_use {
    const fen_base *base;
    bool uses;
} sign_use;

/* A sign, or a derived value behind which one may stand. */
static void note_sign(void *ctx, fen_id test, bool negated)
{
    const fen_base *base = ((sign_use *)ctx)->base;
    const fen_test *t = &base->tests[test];
    if (negated || t->op != FEN_TEST_ATOM)
        return;
    const fen_finding *f = &base->findings[t->finding];
    ((sign_use *)ctx)->uses |= f->derived || f->options[t->option].sign;
}

static fen_status lay_beaten(const fen_base *base, fen_arena *a, fen_net *net)
{
    bool *beaten = fen_arena_zeroed(a, base->n_rules, sizeof *beaten);
    if (!beaten)
        return FEN_ENOMEM;
    for (fen_id r = 0; r < base->n_rules; r++)
        for (uint32_t i = 0; i < base->rules[r].over.count; i++)
            beaten[base->rules[r].over.at[i]] = true;
    net->beaten = beaten;
    return FEN_OK;
}

/* How many; which, where CAUSES is given. */
static uint32_t causes_spoken_for(const fen_base *base, fen_id r, fen_id *causes)
{
    const fen_rule *rule = &base->rules[r];
    uint32_t n = 0;
    for (uint32_t e = 0; e < rule->n_effects; e++) {
        const fen_effect *x = &rule->effects[e];
        bool again = x->op != FEN_WEIGH;
        for (uint32_t before = 0; before < e && !again; before++)
            again = rule->effects[before].op == FEN_WEIGH && rule->effects[before].target == x->target;
        if (again || fen_base_rule_weight(base, r, x->target) <= 0)
            continue;
        if (causes)
            causes[n] = x->target;
        n++;
    }
    return n;
}

static fen_status lay_explains(const fen_base *base, fen_arena *a, fen_net *net)
{
    uint32_t *at = fen_arena_take(a, (size_t)base->n_rules + 1, sizeof *at);
    if (!at)
        return FEN_ENOMEM;
    at[0] = 0;
    for (fen_id r = 0; r < base->n_rules; r++) {
        sign_use w = { base, false };
        fen_cond_walk(base, base->rules[r].cond, false, note_sign, &w);
        at[r + 1] = at[r] + (w.uses ? causes_spoken_for(base, r, NULL) : 0);
    }
    fen_id *explains = fen_arena_take(a, at[base->n_rules], sizeof *explains);
    if (!explains)
        return FEN_ENOMEM;
    for (fen_id r = 0; r < base->n_rules; r++)
        if (at[r + 1] > at[r])
            (void)causes_spoken_for(base, r, explains + at[r]);
    net->explains_at = at;
    net->explains = explains;
    return FEN_OK;
}

static fen_status lay_kinds(const fen_base *base, fen_arena *a, fen_net *net)
{
    uint64_t *up = fen_arena_zeroed(a, base->n_kinds, sizeof *up);
    uint64_t *cannot = fen_arena_zeroed(a, base->n_kinds, sizeof *cannot);
    if (!up || !cannot)
        return FEN_ENOMEM;
    for (fen_id k = 0; k < base->n_kinds; k++)
        for (fen_id at = k; at != FEN_NONE; at = base->kinds[at].parent)
            up[k] |= UINT64_C(1) << at;
    for (fen_id k = 0; k < base->n_kinds; k++)
        for (fen_id other = 0; other < base->n_kinds; other++)
            if (!(up[k] >> other & 1) && !(up[other] >> k & 1))
                cannot[k] |= UINT64_C(1) << other;
    net->kind_up = up;
    net->kind_not = cannot;
    net->only_kind = FEN_NONE;
    for (fen_id k = 0; k < base->n_kinds; k++)
        if (!base->kinds[k].group) {
            net->only_kind = net->leaf_kinds ? FEN_NONE : k;
            net->leaf_kinds++;
        }
    return FEN_OK;
}

static fen_status lay_nodes(compiler *k, fen_arena *a, fen_net *net)
{
    net->n_nodes = k->need.count;
    net->need = fen_arena_copy(a, k->need.at, k->need.count, sizeof *k->need.at);
    net->parent = fen_arena_copy(a, k->parent.at, k->parent.count, sizeof *k->parent.at);
    net->root = fen_arena_copy(a, k->root.at, k->root.count, sizeof *k->root.at);
    return net->need && net->parent && net->root ? FEN_OK : FEN_ENOMEM;
}

static uint32_t atoms_of(const fen_base *base)
{
    uint32_t n = 0; /* findings' atoms need not be the first tests: other tests may stand between */
    for (fen_id f = 0; f < base->n_findings; f++)
        if (base->findings[f].n_options)
            n = base->findings[f].first_atom + base->findings[f].n_options;
    return n;
}

fen_status fen_net_compile(fen_base *base, fen_rule *rules, fen_cycle *reterr_cycle)
{
    fen_net *net = &base->net;
    fen_arena *a = base->arena;
    compiler k = { .base = base };
    net->n_tests = base->n_tests;
    net->n_rules = base->n_rules;
    net->n_atoms = atoms_of(base);
    fen_status st = FEN_VEC_ROOM(&k.need, base->n_rules + 1) ? FEN_OK : FEN_ENOMEM;
    if (!st) {
        k.need.count = base->n_rules;
        for (fen_id r = 0; r < base->n_rules && !k.failed; r++)
            add_rule(&k, r);
        st = k.failed ? FEN_ENOMEM : FEN_OK;
    }
    if (!st)
        st = lay_nodes(&k, a, net);
    if (!st)
        st = lay_occurrences(&k, a, net);
    if (!st)
        st = lay_reads(base, a, net);
    if (!st)
        st = lay_stretches(base, a, net);
    if (!st)
        st = lay_derives(base, a, net);
    if (!st)
        st = lay_deeds(base, a, net);
    if (!st)
        st = lay_settles(base, a, net);
    if (!st)
        st = lay_setters(base, a, net);
    if (!st)
        st = lay_signs(base, a, net);
    if (!st)
        st = lay_single(base, a, net);
    if (!st)
        st = lay_beaten(base, a, net);
    if (!st)
        st = lay_explains(base, a, net);
    if (!st)
        st = fen_lines_find(base);
    if (!st)
        st = fen_strata_find(base, rules, reterr_cycle);
    if (!st)
        st = lay_kinds(base, a, net);
    if (!st)
        st = fen_views_make(base);
    FEN_VEC_FREE(&k.occs);
    FEN_VEC_FREE(&k.need);
    FEN_VEC_FREE(&k.parent);
    FEN_VEC_FREE(&k.root);
    return st;
}
