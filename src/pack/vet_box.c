#include "vet_box.h"

#include <math.h>
#include <string.h>

#include "util/limits.h"

/* ---- what a variable can be ---- */

static uint64_t all_options(const fen_finding *f)
{
    return f->n_options >= 64 ? UINT64_MAX : (UINT64_C(1) << f->n_options) - 1;
}

typedef struct span {
    double lo, hi;
} span;

static span product(span a, span b)
{
    const double p[4] = { a.lo * b.lo, a.lo * b.hi, a.hi * b.lo, a.hi * b.hi };
    span s = { INFINITY, -INFINITY };
    for (int i = 0; i < 4; i++) {
        if (isnan(p[i])) /* nothing times no end */
            return (span){ -INFINITY, INFINITY };
        s.lo = fmin(s.lo, p[i]);
        s.hi = fmax(s.hi, p[i]);
    }
    return s;
}

static span quotient(span a, span b)
{
    if (b.lo <= 0 && b.hi >= 0)
        return (span){ -INFINITY, INFINITY };
    return product(a, (span){ 1 / b.hi, 1 / b.lo });
}

static span combine(fen_expr_op op, span a, span b)
{
    switch (op) {
    case FEN_EXPR_ADD: return (span){ a.lo + b.lo, a.hi + b.hi };
    case FEN_EXPR_SUB: return (span){ a.lo - b.hi, a.hi - b.lo };
    case FEN_EXPR_MUL: return product(a, b);
    case FEN_EXPR_DIV: return quotient(a, b);
    case FEN_EXPR_NUMBER:
    case FEN_EXPR_FINDING: break;
    }
    return a;
}

/* From what its findings are believed to be (interval arithmetic: Moore 1966). */
static span span_of_expr(const fen_base *base, const fen_expr *e)
{
    span stack[FEN_EXPR_MAX];
    uint32_t n = 0;
    for (uint32_t i = 0; i < e->n_steps; i++) {
        const fen_expr_step *s = &e->steps[i];
        if (s->op == FEN_EXPR_NUMBER)
            stack[n++] = (span){ s->number, s->number };
        else if (s->op == FEN_EXPR_FINDING)
            stack[n++] = (span){ base->findings[s->finding].from, base->findings[s->finding].to };
        else {
            n--;
            stack[n - 1] = combine(s->op, stack[n - 1], stack[n]);
        }
    }
    return stack[0];
}

static void fill_full(fen_limit *full, const fen_base *base)
{
    for (uint32_t i = 0; i < base->n_findings; i++) {
        const fen_finding *f = &base->findings[i];
        full[i] = (fen_limit){ .var = i, .states = FEN_IS_KNOWN, .lo = -INFINITY, .hi = INFINITY };
        if (f->type == FEN_CHOICE || f->type == FEN_YES_NO)
            full[i].in = all_options(f);
        if (f->type == FEN_QUANTITY || f->type == FEN_DATE)
            full[i].lo = f->from, full[i].hi = f->to;
        if (f->type == FEN_DATE && isinf(full[i].lo))
            full[i].lo = 0; /* no date is after today */
    }
    for (uint32_t i = 0; i < base->n_exprs; i++) {
        const span s = span_of_expr(base, &base->exprs[i]);
        full[base->n_findings + i] = (fen_limit){ .var = base->n_findings + i, .states = FEN_IS_KNOWN, .lo = s.lo, .hi = s.hi };
    }
}

static void fill_kinds(const fen_base *base, uint64_t *below, uint64_t *beside)
{
    for (fen_id k = 0; k < base->n_kinds; k++)
        for (fen_id other = 0; other < base->n_kinds; other++) {
            const bool under = fen_base_kind_within(base, other, (fen_list){ &k, 1 });
            const bool over = fen_base_kind_within(base, k, (fen_list){ &other, 1 });
            if (under)
                below[k] |= UINT64_C(1) << other;
            else if (!over)
                beside[k] |= UINT64_C(1) << other;
        }
}

fen_status fen_boxes_begin(fen_boxes *b, const fen_base *base, fen_arena *arena)
{
    uint64_t *below = fen_arena_zeroed(arena, base->n_kinds, sizeof *below);
    uint64_t *beside = fen_arena_zeroed(arena, base->n_kinds, sizeof *beside);
    fen_limit *full = fen_arena_zeroed(arena, (size_t)base->n_findings + base->n_exprs, sizeof *full);
    *b = (fen_boxes){ base, arena, below, beside, full, false };
    if (!below || !beside || !full)
        return FEN_ENOMEM;
    fill_full(full, base);
    fill_kinds(base, below, beside);
    return FEN_OK;
}

/* ---- limits ---- */

static bool is_several(const fen_boxes *b, uint32_t var)
{
    return var < b->base->n_findings && b->base->findings[var].type == FEN_SEVERAL;
}

static bool has_options(const fen_boxes *b, uint32_t var)
{
    return var < b->base->n_findings && b->base->findings[var].type != FEN_QUANTITY && b->base->findings[var].type != FEN_DATE;
}

static bool nothing_between(const fen_boxes *b, const fen_limit *l)
{
    if (l->lo > l->hi || (l->lo == l->hi && (l->lo_open || l->hi_open)))
        return true;
    if (l->var >= b->base->n_findings || b->base->findings[l->var].type != FEN_DATE || !isfinite(l->lo) || !isfinite(l->hi))
        return false;
    double first = ceil(l->lo); /* ages are whole days */
    if (first == l->lo && l->lo_open)
        first += 1;
    return first > l->hi || (first == l->hi && l->hi_open);
}

static bool empty(const fen_boxes *b, const fen_limit *l)
{
    if (l->states != FEN_IS_KNOWN)
        return !l->states;
    if (is_several(b, l->var))
        return (l->in & l->out) != 0 || (l->in && !fen_finding_fits(&b->base->findings[l->var], l->in));
    if (has_options(b, l->var))
        return !l->in;
    return nothing_between(b, l);
}

static fen_limit meet(const fen_boxes *b, const fen_limit *x, const fen_limit *y)
{
    fen_limit l = *x;
    l.states &= y->states;
    if (y->states != FEN_IS_KNOWN)
        return l;
    if (x->states != FEN_IS_KNOWN) {
        l = *y;
        l.states &= x->states;
        return l;
    }
    l.in = is_several(b, l.var) ? x->in | y->in : x->in & y->in;
    l.out = x->out | y->out;
    if (y->lo > x->lo || (y->lo == x->lo && y->lo_open))
        l.lo = y->lo, l.lo_open = y->lo_open;
    if (y->hi < x->hi || (y->hi == x->hi && y->hi_open))
        l.hi = y->hi, l.hi_open = y->hi_open;
    return l;
}

static bool limit_within(const fen_boxes *b, const fen_limit *x, const fen_limit *y)
{
    if (x->states & ~y->states)
        return false;
    if (y->states != FEN_IS_KNOWN)
        return true;
    if (is_several(b, x->var))
        return !(y->in & ~x->in) && !(y->out & ~x->out);
    if (has_options(b, x->var))
        return !(x->in & ~y->in);
    return (x->lo > y->lo || (x->lo == y->lo && (x->lo_open || !y->lo_open))) &&
           (x->hi < y->hi || (x->hi == y->hi && (x->hi_open || !y->hi_open)));
}

/* ---- boxes ---- */

/* The next limit of two boxes side by side: *X and *Y are what each says of the variable,
 * or NULL. */
static bool next_pair(const fen_box *x, const fen_box *y, uint32_t *i, uint32_t *k, const fen_limit **ret_x, const fen_limit **ret_y)
{
    const fen_limit *a = *i < x->n ? &x->at[*i] : NULL, *c = *k < y->n ? &y->at[*k] : NULL;
    if (!a && !c)
        return false;
    *ret_x = a && (!c || a->var <= c->var) ? a : NULL;
    *ret_y = c && (!a || c->var <= a->var) ? c : NULL;
    *i += *ret_x != NULL;
    *k += *ret_y != NULL;
    return true;
}

bool fen_box_meets(const fen_boxes *b, const fen_box *x, const fen_box *y)
{
    uint32_t i = 0, k = 0;
    const fen_limit *a, *c;
    while (next_pair(x, y, &i, &k, &a, &c)) {
        if (!a || !c)
            continue;
        const fen_limit l = meet(b, a, c);
        if (empty(b, &l))
            return false;
    }
    return true;
}

bool fen_box_both(fen_boxes *b, const fen_box *x, const fen_box *y, fen_box *ret)
{
    uint32_t i = 0, k = 0, n = 0;
    const fen_limit *a, *c;
    if (!fen_box_meets(b, x, y))
        return false;
    fen_limit *at = fen_arena_take(b->arena, (size_t)x->n + y->n, sizeof *at);
    if (!at) {
        b->nomem = true;
        return false;
    }
    while (next_pair(x, y, &i, &k, &a, &c))
        at[n++] = a && c ? meet(b, a, c) : a ? *a : *c;
    *ret = (fen_box){ at, n, x->vars | y->vars };
    return true;
}

bool fen_box_within(const fen_boxes *b, const fen_box *x, const fen_box *y)
{
    uint32_t i = 0, k = 0;
    const fen_limit *a, *c;
    if (y->vars & ~x->vars)
        return false;
    while (next_pair(x, y, &i, &k, &a, &c))
        if (c && (!a || !limit_within(b, a, c)))
            return false;
    return true;
}

/* ---- regions ---- */

static const fen_region unknown = { NULL, 0, false };

static fen_region region(fen_boxes *b, const fen_box *boxes, uint32_t n)
{
    const fen_box *copy = fen_arena_copy(b->arena, boxes, n, sizeof *boxes);
    if (copy)
        return (fen_region){ copy, n, true };
    b->nomem = true;
    return unknown;
}

static fen_region everywhere(fen_boxes *b)
{
    return region(b, &(fen_box){ NULL, 0, 0 }, 1);
}

fen_region fen_region_both(fen_boxes *b, fen_region x, fen_region y)
{
    fen_box boxes[FEN_BOXES_MAX];
    uint32_t n = 0;
    if (!x.whole || !y.whole)
        return unknown;
    for (uint32_t i = 0; i < x.n; i++)
        for (uint32_t k = 0; k < y.n; k++) {
            fen_box both;
            if (!fen_box_both(b, &x.at[i], &y.at[k], &both))
                continue;
            if (n == FEN_BOXES_MAX)
                return unknown;
            boxes[n++] = both;
        }
    return region(b, boxes, n);
}

static fen_region either(fen_boxes *b, fen_region x, fen_region y)
{
    fen_box boxes[FEN_BOXES_MAX];
    if (!x.whole || !y.whole || x.n + y.n > FEN_BOXES_MAX)
        return unknown;
    if (!x.n)
        return y;
    if (!y.n)
        return x;
    memcpy(boxes, x.at, x.n * sizeof *boxes);
    memcpy(boxes + x.n, y.at, y.n * sizeof *boxes);
    return region(b, boxes, x.n + y.n);
}

bool fen_region_within(const fen_boxes *b, fen_region x, fen_region y)
{
    if (!x.whole || !y.whole)
        return false;
    for (uint32_t i = 0; i < x.n; i++) {
        bool in = false;
        for (uint32_t k = 0; !in && k < y.n; k++)
            in = fen_box_within(b, &x.at[i], &y.at[k]);
        if (!in)
            return false;
    }
    return true;
}

/* ---- tests ---- */

static fen_region one_limit(fen_boxes *b, fen_limit l)
{
    if (empty(b, &l))
        return region(b, NULL, 0);
    const fen_limit *copy = fen_arena_copy(b->arena, &l, 1, sizeof l);
    if (!copy) {
        b->nomem = true;
        return unknown;
    }
    return region(b, &(fen_box){ copy, 1, UINT64_C(1) << l.var % 64 }, 1);
}

static fen_region in_states(fen_boxes *b, uint32_t var, uint8_t states)
{
    fen_limit l = b->full[var];
    l.states = states;
    if (states != FEN_IS_KNOWN)
        l.in = l.out = 0, l.lo = -INFINITY, l.hi = INFINITY;
    return one_limit(b, l);
}

static fen_region of_atom(fen_boxes *b, const fen_test *t, bool negated)
{
    const uint64_t bit = UINT64_C(1) << t->option;
    fen_limit l = b->full[t->finding];
    if (t->finding == FEN_KIND_FINDING)
        l.in = negated ? b->beside[t->option] : b->below[t->option];
    else if (!is_several(b, t->finding))
        l.in &= negated ? ~bit : bit;
    else if (negated)
        l.out = bit;
    else
        l.in = bit;
    return one_limit(b, l);
}

static fen_region of_interval(fen_boxes *b, uint32_t var, const fen_test *t, bool negated)
{
    const fen_limit *full = &b->full[var];
    fen_limit l = *full, below = *full, above = *full;
    l.lo = t->lo, l.hi = t->hi, l.lo_open = t->lo_open, l.hi_open = t->hi_open;
    if (!negated) {
        l = meet(b, full, &l);
        return one_limit(b, l);
    }
    below.hi = t->lo, below.hi_open = !t->lo_open;
    below.lo_open = false;
    above.lo = t->hi, above.lo_open = !t->hi_open;
    below = meet(b, full, &below);
    above = meet(b, full, &above);
    const bool left = isfinite(t->lo), right = isfinite(t->hi);
    const fen_region none = region(b, NULL, 0);
    return either(b, left ? one_limit(b, below) : none, right ? one_limit(b, above) : none);
}

/* A sum has a value only if all its findings are known. */
static fen_region of_expr(fen_boxes *b, const fen_test *t, bool negated)
{
    const fen_list in = b->base->exprs[t->expr].findings;
    fen_region r = of_interval(b, b->base->n_findings + t->expr, t, negated);
    for (uint32_t i = 0; i < in.count; i++)
        r = fen_region_both(b, r, in_states(b, in.at[i], FEN_IS_KNOWN));
    return r;
}

static fen_region of_test(fen_boxes *b, fen_id test, bool negated)
{
    const fen_test *t = &b->base->tests[test];
    switch (t->op) {
    case FEN_TEST_ATOM: return of_atom(b, t, negated);
    case FEN_TEST_RANGE: return of_interval(b, t->finding, t, negated);
    case FEN_TEST_EXPR: return of_expr(b, t, negated);
    case FEN_TEST_UNSURE: return in_states(b, t->finding, negated ? FEN_IS_KNOWN : FEN_IS_UNSURE);
    case FEN_TEST_UNKNOWN: return in_states(b, t->finding, negated ? FEN_IS_KNOWN : FEN_IS_OPEN | FEN_IS_UNSURE);
    }
    return unknown;
}

/* ---- conditions ---- */

fen_region fen_region_of(fen_boxes *b, fen_id cond, bool negated)
{
    if (cond == FEN_NONE)
        return negated ? region(b, NULL, 0) : everywhere(b);
    const fen_cond *c = &b->base->conds[cond];
    if (c->op == FEN_COND_TEST)
        return of_test(b, c->test, negated);
    const bool parts_negated = c->op == FEN_COND_NONE ? !negated : negated;
    const bool all = (c->op == FEN_COND_ANY) == negated;
    fen_region r = all ? everywhere(b) : region(b, NULL, 0);
    for (uint32_t i = 0; i < c->parts.count && r.whole; i++) {
        const fen_region part = fen_region_of(b, c->parts.at[i], parts_negated);
        r = all ? fen_region_both(b, r, part) : either(b, r, part);
    }
    return r;
}

fen_region fen_region_of_rule(fen_boxes *b, const fen_rule *r)
{
    const fen_region cond = fen_region_of(b, r->cond, false);
    if (!r->kinds.count)
        return cond;
    fen_limit l = b->full[FEN_KIND_FINDING];
    l.in = 0;
    for (uint32_t i = 0; i < r->kinds.count; i++)
        l.in |= b->below[r->kinds.at[i]];
    return fen_region_both(b, one_limit(b, l), cond);
}
