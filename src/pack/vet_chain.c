#include "vet_chain.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "util/limits.h"

/* ---- truth ---- */

bool fen_trial_sum(const fen_trial *t, const fen_expr *e, double *ret_value)
{
    double stack[FEN_EXPR_MAX];
    uint32_t n = 0;
    for (uint32_t i = 0; i < e->n_steps; i++) {
        const fen_expr_step *s = &e->steps[i];
        if (s->op == FEN_EXPR_FINDING && t->state[s->finding] != FEN_IS_KNOWN)
            return false;
        if (s->op == FEN_EXPR_NUMBER || s->op == FEN_EXPR_FINDING) {
            stack[n++] = s->op == FEN_EXPR_NUMBER ? s->number : t->value[s->finding];
            continue;
        }
        const double b = stack[--n], a = stack[n - 1];
        stack[n - 1] = s->op == FEN_EXPR_ADD ? a + b : s->op == FEN_EXPR_SUB ? a - b : s->op == FEN_EXPR_MUL ? a * b : a / b;
        if (!isfinite(stack[n - 1]))
            return false;
    }
    *ret_value = stack[0];
    return true;
}

static int within(const fen_test *t, double v)
{
    return (t->lo_open ? v > t->lo : v >= t->lo) && (t->hi_open ? v < t->hi : v <= t->hi) ? 1 : -1;
}

static uint64_t values(const fen_trial *t, fen_id finding)
{
    const fen_finding *f = &t->base->findings[finding];
    if (!f->derived)
        return t->picks[finding];
    return t->derived[finding]     ? t->derived[finding]
           : f->default_option != FEN_NONE ? UINT64_C(1) << f->default_option
                                           : 0;
}

static bool known(const fen_trial *t, fen_id finding)
{
    return t->base->findings[finding].derived ? values(t, finding) != 0 : t->state[finding] == FEN_IS_KNOWN;
}

static int kind_truth(const fen_trial *t, fen_id kind)
{
    if (t->state[FEN_KIND_FINDING] != FEN_IS_KNOWN)
        return 0;
    const fen_id have = (fen_id)__builtin_ctzll(t->picks[FEN_KIND_FINDING]);
    if (fen_base_kind_within(t->base, have, (fen_list){ &kind, 1 }))
        return 1;
    return fen_base_kind_within(t->base, kind, (fen_list){ &have, 1 }) ? 0 : -1;
}

static int test_truth(const fen_trial *t, const fen_test *x)
{
    double v;
    switch (x->op) {
    case FEN_TEST_EXPR: return fen_trial_sum(t, &t->base->exprs[x->expr], &v) ? within(x, v) : 0;
    case FEN_TEST_UNKNOWN: return known(t, x->finding) ? -1 : 1;
    case FEN_TEST_UNSURE: return t->state[x->finding] == FEN_IS_UNSURE ? 1 : t->state[x->finding] == FEN_IS_KNOWN ? -1 : 0;
    case FEN_TEST_RANGE: return known(t, x->finding) ? within(x, t->value[x->finding]) : 0;
    case FEN_TEST_ATOM: break;
    }
    if (x->finding == FEN_KIND_FINDING)
        return kind_truth(t, x->option);
    return !known(t, x->finding) ? 0 : values(t, x->finding) >> x->option & 1 ? 1 : -1;
}

static int truth(const fen_trial *t, fen_id cond)
{
    const fen_cond *c = &t->base->conds[cond];
    if (c->op == FEN_COND_TEST)
        return test_truth(t, &t->base->tests[c->test]);
    int worst = 1;
    for (uint32_t i = 0; i < c->parts.count; i++) {
        const int part = truth(t, c->parts.at[i]) * (c->op == FEN_COND_ALL ? 1 : -1);
        worst = part < worst ? part : worst;
    }
    return c->op == FEN_COND_ANY ? -worst : worst; /* any = not all not; none = all not */
}

static bool holds(fen_trial *t, fen_id rule)
{
    const fen_rule *r = &t->base->rules[rule];
    bool kind = !r->kinds.count;
    t->work++;
    for (uint32_t i = 0; i < r->kinds.count && !kind; i++)
        kind = kind_truth(t, r->kinds.at[i]) > 0;
    return kind && (r->cond == FEN_NONE || truth(t, r->cond) > 0);
}

/* ---- chaining ---- */

static void fire(fen_trial *t, fen_id rule)
{
    const fen_rule *r = &t->base->rules[rule];
    t->fired[rule] = true;
    for (uint32_t i = 0; i < r->over.count; i++)
        t->beaten[r->over.at[i]] = true;
    for (uint32_t i = 0; i < r->n_effects; i++)
        if (r->effects[i].op == FEN_DERIVE) {
            const fen_test *x = &t->base->tests[r->effects[i].target];
            t->derived[x->finding] |= UINT64_C(1) << x->option;
        }
}

void fen_trial_run(fen_trial *t)
{
    memset(t->derived, 0, t->base->n_findings * sizeof *t->derived);
    memset(t->fired, 0, t->base->n_rules * sizeof *t->fired);
    memset(t->beaten, 0, t->base->n_rules * sizeof *t->beaten);
    for (uint32_t from = 0, to; from < t->n_rules; from = to) {
        for (to = from; to < t->n_rules && t->base->rules[t->rules[to]].stratum == t->base->rules[t->rules[from]].stratum;)
            to++;
        for (bool again = true; again;) {
            again = false;
            for (uint32_t i = from; i < to; i++) {
                const fen_id r = t->rules[i];
                if (t->fired[r] || t->beaten[r] || !holds(t, r))
                    continue;
                fire(t, r);
                again = true;
            }
        }
    }
}

/* ---- making one ---- */

/* Rules that derive, and those that go over one of these. */
static void mark_rules(const fen_base *base, bool *mark)
{
    for (fen_id r = 0; r < base->n_rules; r++)
        for (uint32_t e = 0; e < base->rules[r].n_effects; e++)
            mark[r] |= base->rules[r].effects[e].op == FEN_DERIVE;
    for (bool again = true; again;) {
        again = false;
        for (fen_id r = 0; r < base->n_rules; r++)
            for (uint32_t i = 0; !mark[r] && i < base->rules[r].over.count; i++)
                if (mark[base->rules[r].over.at[i]])
                    mark[r] = again = true;
    }
}

typedef struct placed {
    uint32_t stratum;
    fen_id rule;
} placed;

static int by_stratum(const void *a, const void *b)
{
    const placed *x = a, *y = b;
    return x->stratum != y->stratum ? (x->stratum > y->stratum) - (x->stratum < y->stratum) : (x->rule > y->rule) - (x->rule < y->rule);
}

static fen_status order_rules(fen_trial *t, fen_arena *arena)
{
    const fen_base *base = t->base;
    placed *all = fen_arena_take(arena, base->n_rules, sizeof *all);
    t->rules = fen_arena_take(arena, base->n_rules, sizeof *t->rules);
    if (!all || !t->rules)
        return FEN_ENOMEM;
    mark_rules(base, t->fired);
    for (fen_id r = 0; r < base->n_rules; r++)
        if (t->fired[r])
            all[t->n_rules++] = (placed){ base->rules[r].stratum, r };
    if (t->n_rules)
        qsort(all, t->n_rules, sizeof *all, by_stratum);
    for (uint32_t i = 0; i < t->n_rules; i++)
        t->rules[i] = all[i].rule;
    return FEN_OK;
}

fen_status fen_trial_begin(fen_trial *t, const fen_base *base, fen_arena *arena)
{
    *t = (fen_trial){ .base = base };
    t->state = fen_arena_zeroed(arena, base->n_findings, sizeof *t->state);
    t->picks = fen_arena_zeroed(arena, base->n_findings, sizeof *t->picks);
    t->value = fen_arena_zeroed(arena, base->n_findings, sizeof *t->value);
    t->derived = fen_arena_zeroed(arena, base->n_findings, sizeof *t->derived);
    t->fired = fen_arena_zeroed(arena, base->n_rules, sizeof *t->fired);
    t->beaten = fen_arena_zeroed(arena, base->n_rules, sizeof *t->beaten);
    if (!t->state || !t->picks || !t->value || !t->derived || !t->fired || !t->beaten)
        return FEN_ENOMEM;
    fen_trial_clear(t);
    return order_rules(t, arena);
}

void fen_trial_clear(fen_trial *t)
{
    memset(t->state, FEN_IS_OPEN, t->base->n_findings);
    memset(t->picks, 0, t->base->n_findings * sizeof *t->picks);
}
