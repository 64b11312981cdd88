/* vet_pairs.c -- two rules about one thing, of which one is true wherever the other
 * is: the same observation then counts twice, or two rules cancel, or one says nothing.
 *
 * Comparing every rule with every other would be quadratic. If all that makes S true makes R
 * true, then some box of R looks at nothing that S's first box does not look at; so R
 * is kept under the variable of each of its boxes that fewest rules look at, and looked up
 * under the variables of S.
 */
#include <stdlib.h>

#include "vet_deep.h"

typedef struct entry {
    fen_id rule;
    uint32_t next; /* index + 1 */
} entry;

/* Pairs compared in one run. Rules of a generated base may all look at one finding; a part of a second is
 * spent on them, and what was left out is told. */
#define COMPARED_MAX 4000000u

typedef struct pairs {
    fen_vetting *v;
    uint32_t n_vars;
    uint32_t *used;   /* by var: rules that look at it */
    uint32_t *head;   /* by var, and one more for boxes without any: index + 1 */
    uint32_t *seen;   /* by rule: last one it was compared with, + 1 */
    bool *beaten;     /* by rule: some rule goes over it */
    uint8_t *told;    /* by rule: it was told of once */
    uint64_t compared;
    FEN_VEC(entry) entries;
    FEN_VEC(uint32_t) heads; /* in use */
} pairs;

/* What a pair of rules do to the same thing. */
typedef struct topic {
    fen_effect_op op;
    fen_id target;
} topic;

static const fen_effect *effect_on(const fen_base *base, fen_id rule, topic t)
{
    for (uint32_t i = 0; i < base->rules[rule].n_effects; i++) {
        const fen_effect *e = &base->rules[rule].effects[i];
        const bool cause = e->op == FEN_WEIGH || e->op == FEN_EXCLUDE;
        if (e->target == t.target && (cause ? t.op == FEN_WEIGH : e->op == t.op))
            return e;
    }
    return NULL;
}

/* ---- telling ---- */

static const char *id_of(const pairs *p, fen_id rule)
{
    return p->v->base->rules[rule].id;
}

static void tell_twice(pairs *p, fen_id s, fen_id r, topic t)
{
    p->told[s] = p->told[r] = 1;
    fen_vet_tell(p->v, FEN_CODE_COUNTED_TWICE, p->v->base->rules[s].place, "let one go 'over' the other",
                 "'%s' and '%s' count the same answers twice for the cause '%s'", id_of(p, s), id_of(p, r), p->v->base->causes[t.target].id);
}

static void tell_opposite(pairs *p, fen_id s, fen_id r, topic t, bool excluded)
{
    const char *cause = p->v->base->causes[t.target].id;
    p->told[s] = 1;
    if (excluded)
        fen_vet_tell(p->v, FEN_CODE_CONTRADICTS, p->v->base->rules[s].place, "take one of them out, or let one go 'over' the other",
                     "'%s' weighs the cause '%s' only where '%s' excludes it", id_of(p, s), cause, id_of(p, r));
    else
        fen_vet_tell(p->v, FEN_CODE_CONTRADICTS, p->v->base->rules[s].place, "take one of them out, or narrow it",
                     "'%s' and '%s' speak for and against the cause '%s' on the same answers", id_of(p, s), id_of(p, r), cause);
}

static void tell_implied(pairs *p, fen_id s, fen_id r)
{
    p->told[s] = 1;
    fen_vet_tell(p->v, FEN_CODE_IMPLIED, p->v->base->rules[s].place, "take it out, or change what it says",
                 "'%s' says nothing that '%s' has not said already", id_of(p, s), id_of(p, r));
}

/* ---- judging ---- */

static const fen_limit *next_limit(const fen_box *x, uint32_t *i)
{
    while (*i < x->n && x->at[*i].var == FEN_KIND_FINDING) /* the kind is no observation of what ails it */
        ++*i;
    return *i < x->n ? &x->at[(*i)++] : NULL;
}

/* Do both look at the same findings, and is there an answer to each that suits both? A rule that
 * looks at one more weighs what that adds, which is no fault. */
static bool same_observation(const fen_boxes *b, const fen_box *x, const fen_box *y)
{
    uint32_t i = 0, k = 0;
    for (;;) {
        const fen_limit *a = next_limit(x, &i), *c = next_limit(y, &k);
        if (!a && !c)
            return (i || k) && fen_box_meets(b, x, y);
        if (!a || !c || a->var != c->var)
            return false;
        const fen_finding *f = a->var < b->base->n_findings ? &b->base->findings[a->var] : NULL;
        if (f && f->type == FEN_SEVERAL && (a->in != c->in || a->out != c->out))
            return false; /* other answers of the same question */
    }
}

static bool share_observation(const pairs *p, fen_region x, fen_region y)
{
    for (uint32_t i = 0; i < x.n; i++)
        for (uint32_t k = 0; k < y.n; k++)
            if (same_observation(&p->v->boxes, &x.at[i], &y.at[k]))
                return true;
    return false;
}

/* All that S does is done by R, where S is true. */
static bool says_no_more(const fen_base *base, fen_id s, fen_id r)
{
    const fen_rule *rule = &base->rules[s];
    for (uint32_t i = 0; i < rule->n_effects; i++) {
        const fen_effect *e = &rule->effects[i];
        const fen_effect *same = e->op == FEN_WEIGH ? NULL : effect_on(base, r, (topic){ e->op == FEN_EXCLUDE ? FEN_WEIGH : e->op, e->target });
        if (!same || same->op != e->op)
            return false;
    }
    return !rule->over.count;
}

static void judge_causes(pairs *p, fen_id s, fen_id r, topic t, bool within)
{
    const fen_effect *a = effect_on(p->v->base, s, t), *c = effect_on(p->v->base, r, t);
    const bool equal = within && s > r && fen_region_within(&p->v->boxes, p->v->rule[r], p->v->rule[s]);
    if (a->op == FEN_EXCLUDE)
        return;
    if (c->op == FEN_EXCLUDE) {
        if (within && !p->beaten[r])
            tell_opposite(p, s, r, t, true);
    } else if ((a->weight < 0) == (c->weight < 0)) {
        if (share_observation(p, p->v->rule[s], p->v->rule[r]))
            tell_twice(p, s, r, t);
    } else if (equal) {
        tell_opposite(p, s, r, t, false);
    }
}

static void judge(pairs *p, fen_id s, fen_id r, topic t)
{
    const fen_base *base = p->v->base;
    if (p->told[s] || fen_vet_over(base, s, r) || fen_vet_over(base, r, s))
        return;
    const bool within = fen_region_within(&p->v->boxes, p->v->rule[s], p->v->rule[r]);
    if (within && !p->beaten[r] && says_no_more(base, s, r) &&
        (s > r || !fen_region_within(&p->v->boxes, p->v->rule[r], p->v->rule[s])))
        tell_implied(p, s, r);
    else if (t.op == FEN_WEIGH)
        judge_causes(p, s, r, t, within);
}

/* ---- finding pairs ---- */

static uint32_t rarest(const pairs *p, const fen_box *box)
{
    uint32_t best = p->n_vars;
    for (uint32_t i = box->n > 1 && box->at[0].var == FEN_KIND_FINDING; i < box->n; i++)
        if (best == p->n_vars || p->used[box->at[i].var] < p->used[best])
            best = box->at[i].var;
    return best;
}

static void keep(pairs *p, fen_id rule)
{
    const fen_region r = p->v->rule[rule];
    for (uint32_t i = 0; i < r.n; i++) {
        const uint32_t at = rarest(p, &r.at[i]);
        if (p->head[at] && p->entries.at[p->head[at] - 1].rule == rule)
            continue;
        if (!FEN_VEC_PUSH(&p->entries, (entry){ rule, p->head[at] }) || !FEN_VEC_PUSH(&p->heads, at)) {
            p->v->nomem = true;
            return;
        }
        p->head[at] = p->entries.count;
    }
}

static void compare_with(pairs *p, fen_id rule, uint32_t at, topic t)
{
    for (uint32_t e = p->head[at]; e && !p->told[rule] && p->compared < COMPARED_MAX; e = p->entries.at[e - 1].next) {
        const fen_id other = p->entries.at[e - 1].rule;
        if (other == rule || p->seen[other] == rule + 1)
            continue;
        p->seen[other] = rule + 1;
        p->compared++;
        judge(p, rule, other, t);
    }
}

static void compare(pairs *p, fen_id rule, topic t)
{
    const fen_region r = p->v->rule[rule];
    if (!r.whole || !r.n)
        return;
    compare_with(p, rule, p->n_vars, t);
    for (uint32_t i = 0; i < r.at[0].n; i++)
        compare_with(p, rule, r.at[0].at[i].var, t);
}

/* ---- through derived findings ---- */

static void judge_unfolded(pairs *p, fen_id s, fen_region x, fen_id r, topic t)
{
    const fen_effect *a = effect_on(p->v->base, s, t), *c = effect_on(p->v->base, r, t);
    if (p->told[s] || p->told[r] || a->op == FEN_EXCLUDE || c->op == FEN_EXCLUDE || (a->weight < 0) != (c->weight < 0))
        return;
    if (fen_vet_over(p->v->base, s, r) || fen_vet_over(p->v->base, r, s))
        return;
    if (share_observation(p, x, p->v->rule[r]))
        tell_twice(p, s, r, t);
}

/* A rule on a derived finding counts what its finding was derived from. */
static void compare_unfolded(pairs *p, fen_id rule, topic t)
{
    const fen_region r = p->v->rule[rule];
    if (!r.whole || !r.n || p->told[rule] || !fen_vet_is_folded(p->v, r))
        return;
    const fen_region x = fen_vet_unfold(p->v, r);
    for (uint32_t i = 0; i < x.n; i++)
        for (uint32_t k = 0; k < x.at[i].n; k++)
            for (uint32_t e = p->head[x.at[i].at[k].var]; e && !p->told[rule] && p->compared < COMPARED_MAX; e = p->entries.at[e - 1].next) {
                p->compared++;
                if (p->entries.at[e - 1].rule != rule)
                    judge_unfolded(p, rule, x, p->entries.at[e - 1].rule, t);
            }
}

/* RULES all do something to T. */
static void compare_all(pairs *p, const fen_id *rules, uint32_t n, topic t)
{
    for (uint32_t i = 0; i < p->heads.count; i++)
        p->head[p->heads.at[i]] = 0;
    p->heads.count = p->entries.count = 0;
    for (uint32_t i = 0; i < n; i++)
        p->seen[rules[i]] = 0;
    for (uint32_t i = 0; i < n && !p->v->nomem; i++)
        if (p->v->rule[rules[i]].whole)
            keep(p, rules[i]);
    for (uint32_t i = 0; i < n && !p->v->nomem; i++)
        compare(p, rules[i], t);
    for (uint32_t i = 0; t.op == FEN_WEIGH && i < n && !p->v->nomem; i++)
        compare_unfolded(p, rules[i], t);
}

static void compare_causes(pairs *p)
{
    const fen_base *base = p->v->base;
    for (fen_id c = 0; c + 1 < base->n_causes && !p->v->nomem; c++)
        compare_all(p, base->causes[c].rules.at, base->causes[c].rules.count, (topic){ FEN_WEIGH, c });
}

static void compare_derived(pairs *p)
{
    const fen_net *net = &p->v->base->net;
    for (fen_id a = 0; a < net->n_atoms && !p->v->nomem; a++)
        compare_all(p, net->sets + net->sets_at[a], net->sets_at[a + 1] - net->sets_at[a], (topic){ FEN_DERIVE, a });
}

typedef struct raising {
    fen_id hazard, rule;
} raising;

static int by_hazard(const void *a, const void *b)
{
    const raising *x = a, *y = b;
    return x->hazard != y->hazard ? (x->hazard > y->hazard) - (x->hazard < y->hazard) : (x->rule > y->rule) - (x->rule < y->rule);
}

static void compare_hazards(pairs *p)
{
    const fen_base *base = p->v->base;
    FEN_VEC(raising) all = { 0 };
    FEN_VEC(fen_id) rules = { 0 };
    for (fen_id r = 0; r < base->n_rules; r++)
        for (uint32_t i = 0; i < base->rules[r].n_effects; i++)
            if (base->rules[r].effects[i].op == FEN_RAISE && !FEN_VEC_PUSH(&all, (raising){ base->rules[r].effects[i].target, r }))
                p->v->nomem = true;
    if (all.count)
        qsort(all.at, all.count, sizeof *all.at, by_hazard);
    for (uint32_t i = 0; i < all.count && !p->v->nomem; i++) {
        if (!FEN_VEC_PUSH(&rules, all.at[i].rule))
            p->v->nomem = true;
        else if (i + 1 == all.count || all.at[i + 1].hazard != all.at[i].hazard) {
            compare_all(p, rules.at, rules.count, (topic){ FEN_RAISE, all.at[i].hazard });
            rules.count = 0;
        }
    }
    FEN_VEC_FREE(&all);
    FEN_VEC_FREE(&rules);
}

static void count_uses(pairs *p)
{
    const fen_base *base = p->v->base;
    for (fen_id r = 0; r < base->n_rules; r++) {
        const fen_region g = p->v->rule[r];
        for (uint32_t i = 0; i < g.n; i++)
            for (uint32_t k = 0; k < g.at[i].n; k++)
                p->used[g.at[i].at[k].var]++;
        for (uint32_t i = 0; i < base->rules[r].over.count; i++)
            p->beaten[base->rules[r].over.at[i]] = true;
    }
}

void fen_vet_pairs(fen_vetting *v)
{
    const fen_base *base = v->base;
    pairs p = { .v = v, .n_vars = base->n_findings + base->n_exprs };
    p.used = fen_arena_zeroed(v->arena, p.n_vars, sizeof *p.used);
    p.head = fen_arena_zeroed(v->arena, (size_t)p.n_vars + 1, sizeof *p.head);
    p.seen = fen_arena_zeroed(v->arena, base->n_rules, sizeof *p.seen);
    p.beaten = fen_arena_zeroed(v->arena, base->n_rules, sizeof *p.beaten);
    p.told = fen_arena_zeroed(v->arena, base->n_rules, sizeof *p.told);
    v->nomem = !p.used || !p.head || !p.seen || !p.beaten || !p.told;
    if (!v->nomem) {
        count_uses(&p);
        compare_causes(&p);
        compare_derived(&p);
        compare_hazards(&p);
    }
    if (p.compared >= COMPARED_MAX && base->n_rules)
        fen_source_problem(fen_vet_source(v, base->rules[0].place), v->l->problems, FEN_NOTE, FEN_CODE_TOO_LARGE, base->rules[0].place, NULL,
                           "so many rules look at the same findings that not all were compared with each other");
    FEN_VEC_FREE(&p.entries);
    FEN_VEC_FREE(&p.heads);
}
