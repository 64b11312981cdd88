/* compare.c -- comparisons: dimensions first, then sums, then tests.
 *
 * What may be added, multiplied and compared is decided here and never again.
 * "5 C" is a temperature beside a temperature and a difference beside a
 * difference; until its neighbour is known it is `loose`. Degrees of a scale
 * with an arbitrary zero are not multiplied or divided (Stevens 1946, Science
 * 103:677-680: interval scales allow sums of differences, not ratios).
 */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "dims.h"
#include "model/quantity.h"
#include "resolve.h"
#include "util/limits.h"

typedef struct sum { /* the sentence and where it stands */
    fen_loader *l;
    const fen_node *node;
    fen_term *at;
} sum;

#define TEXT(s, term) FEN_QUOTE((s)->node->text + (term)->span.at, (term)->span.len)

static bool is_temperature(fen_dim d)
{
    return d == FEN_DIM_TEMPERATURE;
}

/* ---- messages ---- */

static fen_place place_of(const sum *s, const fen_term *t)
{
    return fen_resolve_place(s->l, s->node, t->span);
}

/* A stands on the other side, B is the one that does not fit. */
static bool differ(const sum *s, const fen_term *a, const fen_term *b)
{
    char right[FEN_SUGGEST_MAX], is[FEN_SUGGEST_MAX];
    const char *unit = fen_dims_unit(a->dim);
    const bool count = a->dim == FEN_DIM_COUNT, degrees = is_temperature(a->dim) || a->dim == FEN_DIM_TEMPERATURE_DIFFERENCE;
    if (b->op != FEN_TERM_QUANTITY)
        snprintf(right, sizeof right, "compare and add quantities of one dimension only");
    else if (b->plain)
        snprintf(right, sizeof right, "write '%.*s %s'", TEXT(s, b), unit);
    else if (count)
        snprintf(right, sizeof right, "write a plain number");
    else
        snprintf(right, sizeof right, "write a number of %s", unit);
    if (count || degrees)
        snprintf(is, sizeof is, "is %s", fen_dims_noun(a->dim));
    else
        snprintf(is, sizeof is, "is in %s", unit);
    fen_loader_error(s->l, FEN_CODE_DIMENSION, place_of(s, b), right, "'%.*s' %s, but '%.*s' is %s", TEXT(s, a), is, TEXT(s, b),
                     fen_dims_noun(b->dim));
    return false;
}

static bool no_sum(const sum *s, const fen_term *t)
{
    fen_loader_error(s->l, FEN_CODE_DIMENSION, place_of(s, t), "subtract them, or add a difference",
                     "two temperatures cannot be added");
    return false;
}

static bool no_product(const sum *s, const fen_term *t, const fen_term *l, const fen_term *r)
{
    const bool times = t->op == FEN_TERM_MUL;
    if (is_temperature(l->dim) || is_temperature(r->dim))
        fen_loader_error(s->l, FEN_CODE_DIMENSION, place_of(s, t), "subtract two temperatures first",
                         "a temperature cannot be %s", times ? "multiplied" : "divided");
    else
        fen_loader_error(s->l, FEN_CODE_DIMENSION, place_of(s, t),
                         times ? "multiply by a plain number" : "divide by a plain number, or by the same dimension",
                         "'%.*s' is %s, and '%.*s' is %s", TEXT(s, l), fen_dims_noun(l->dim), TEXT(s, r), fen_dims_noun(r->dim));
    return false;
}

/* ---- dimensions ---- */

/* Decide that the loose term I is a difference of temperatures, or a
 * temperature. Of two loose ones the right is then the difference. */
static void settle(sum *s, uint32_t i, fen_dim want)
{
    fen_term *t = &s->at[i];
    if (!t->loose)
        return;
    t->loose = false;
    t->dim = want;
    if (t->op == FEN_TERM_QUANTITY) {
        t->value = is_temperature(want) ? t->value : t->difference;
        return;
    }
    const bool both = s->at[t->left].loose && s->at[t->right].loose;
    settle(s, t->left, want);
    settle(s, t->right, both ? FEN_DIM_TEMPERATURE_DIFFERENCE : want);
}

static bool set_dim(fen_term *t, fen_dim dim, bool loose)
{
    t->dim = dim;
    t->loose = loose;
    return true;
}

static bool add_dims(sum *s, fen_term *t)
{
    const bool minus = t->op == FEN_TERM_SUB;
    fen_term *l = &s->at[t->left], *r = &s->at[t->right];
    const fen_dim T = FEN_DIM_TEMPERATURE, D = FEN_DIM_TEMPERATURE_DIFFERENCE;
    if (l->loose && (r->loose || r->dim == D))
        return set_dim(t, T, true);
    if (r->loose && l->dim == D && !minus)
        return set_dim(t, T, true);
    if (l->loose && r->dim == T)
        settle(s, t->left, minus ? T : D);
    if (r->loose && (l->dim == T || l->dim == D))
        settle(s, t->right, D);
    if (l->dim == T && r->dim == T)
        return minus ? set_dim(t, D, false) : no_sum(s, t);
    if ((l->dim == T && r->dim == D) || (l->dim == D && r->dim == T && !minus))
        return set_dim(t, T, false);
    return l->dim == r->dim ? set_dim(t, l->dim, false) : differ(s, l, r);
}

static bool multiply_dims(sum *s, fen_term *t)
{
    settle(s, t->left, FEN_DIM_TEMPERATURE_DIFFERENCE);
    settle(s, t->right, FEN_DIM_TEMPERATURE_DIFFERENCE);
    const fen_term *l = &s->at[t->left], *r = &s->at[t->right];
    if (is_temperature(l->dim) || is_temperature(r->dim))
        return no_product(s, t, l, r);
    if (r->dim == FEN_DIM_COUNT)
        return set_dim(t, l->dim, false);
    if (t->op == FEN_TERM_MUL && l->dim == FEN_DIM_COUNT)
        return set_dim(t, r->dim, false);
    if (t->op == FEN_TERM_DIV && l->dim == r->dim)
        return set_dim(t, FEN_DIM_COUNT, false);
    return no_product(s, t, l, r);
}

static bool name_dim(sum *s, fen_term *t)
{
    if (!fen_resolve_finding(s->l, s->node, t->span, &t->finding))
        return false;
    const fen_finding *f = &s->l->draft->findings.at[t->finding];
    if (f->type == FEN_QUANTITY || f->type == FEN_DATE)
        return set_dim(t, f->type == FEN_DATE ? FEN_DIM_TIME_SPAN : f->dim, false);
    fen_loader_error(s->l, FEN_CODE_CONDITION, place_of(s, t),
                     f->type == FEN_SEVERAL ? "write 'includes' or 'excludes' and an answer" : "write 'is' and an answer",
                     "'%.*s' is not a quantity", TEXT(s, t));
    return false;
}

/* Terms stand behind their parts, so one pass from the front settles all; both
 * sides of the comparison are in the same array. */
static bool find_dims(sum *s, uint32_t from, uint32_t to)
{
    for (uint32_t i = from; i <= to; i++) {
        fen_term *t = &s->at[i];
        bool ok = true;
        if (t->op == FEN_TERM_NAME)
            ok = name_dim(s, t);
        else if (t->op == FEN_TERM_ADD || t->op == FEN_TERM_SUB)
            ok = add_dims(s, t);
        else if (t->op != FEN_TERM_QUANTITY)
            ok = multiply_dims(s, t);
        if (!ok)
            return false;
    }
    return true;
}

static bool same_dim(sum *s, uint32_t left, uint32_t right)
{
    fen_term *l = &s->at[left], *r = &s->at[right];
    const bool l_degrees = is_temperature(l->dim) || l->dim == FEN_DIM_TEMPERATURE_DIFFERENCE;
    const bool r_degrees = is_temperature(r->dim) || r->dim == FEN_DIM_TEMPERATURE_DIFFERENCE;
    if (l_degrees && r_degrees) {
        settle(s, left, r->loose ? FEN_DIM_TEMPERATURE : r->dim);
        settle(s, right, l->dim);
    }
    if (l->dim == r->dim)
        return true;
    /* point at the constant, whichever side it is on */
    return l->op == FEN_TERM_QUANTITY && r->op != FEN_TERM_QUANTITY ? differ(s, r, l) : differ(s, l, r);
}

/* ---- values ---- */

/* The value of a sum without findings. */
static bool constant(const sum *s, uint32_t i, double *ret)
{
    const fen_term *t = &s->at[i];
    double l, r;
    if (t->op == FEN_TERM_QUANTITY) {
        *ret = t->value;
        return true;
    }
    if (t->op == FEN_TERM_NAME || !constant(s, t->left, &l) || !constant(s, t->right, &r))
        return false;
    *ret = t->op == FEN_TERM_ADD ? l + r : t->op == FEN_TERM_SUB ? l - r : t->op == FEN_TERM_MUL ? l * r : l / r;
    return true;
}

/* No part of the sum may be without a finite value from the start. */
static bool all_finite(const sum *s, uint32_t i)
{
    const fen_term *t = &s->at[i];
    double v;
    if (t->op == FEN_TERM_NAME || t->op == FEN_TERM_QUANTITY)
        return true;
    if (!all_finite(s, t->left) || !all_finite(s, t->right))
        return false;
    const bool zero = t->op == FEN_TERM_DIV && constant(s, t->right, &v) && v == 0;
    if (!zero && (!constant(s, i, &v) || isfinite(v)))
        return true;
    fen_loader_error(s->l, FEN_CODE_NUMBER, place_of(s, t), zero ? "divide by something else" : "use smaller numbers",
                     "'%.*s' %s", TEXT(s, t), zero ? "divides by zero" : "is too large a number");
    return false;
}

static uint32_t emit(const sum *s, uint32_t i, fen_expr_step *steps, uint32_t n)
{
    static const fen_expr_op ops[] = {
        [FEN_TERM_ADD] = FEN_EXPR_ADD,
        [FEN_TERM_SUB] = FEN_EXPR_SUB,
        [FEN_TERM_MUL] = FEN_EXPR_MUL,
        [FEN_TERM_DIV] = FEN_EXPR_DIV,
    };
    const fen_term *t = &s->at[i];
    double v;
    if (constant(s, i, &v)) {
        steps[n] = (fen_expr_step){ FEN_EXPR_NUMBER, FEN_NONE, v };
    } else if (t->op == FEN_TERM_NAME) {
        steps[n] = (fen_expr_step){ FEN_EXPR_FINDING, t->finding, 0 };
    } else {
        n = emit(s, t->left, steps, n);
        n = emit(s, t->right, steps, n);
        steps[n] = (fen_expr_step){ ops[t->op], FEN_NONE, 0 };
    }
    return n + 1;
}

/* Equal expressions are one in the base: the engine reckons each once. */
static bool add_expr(fen_loader *l, const fen_expr_step *steps, uint32_t n, fen_dim dim, fen_id *ret)
{
    char key[FEN_EXPR_MAX * 32];
    size_t len = 0;
    uint32_t id;
    for (uint32_t i = 0; i < n; i++) {
        unsigned long long bits;
        memcpy(&bits, &steps[i].number, sizeof bits);
        len += (size_t)snprintf(key + len, sizeof key - len, "%d %x %llx,", (int)steps[i].op, (unsigned)steps[i].finding, bits);
    }
    if (fen_intern_add(l->exprs, key, len, &id))
        return fen_loader_nomem(l);
    if (id == l->draft->exprs.count &&
        fen_draft_expr(l->draft, (fen_expr){ .steps = steps, .n_steps = n, .dim = dim }, &id) != FEN_OK)
        return fen_loader_nomem(l);
    *ret = id;
    return true;
}

/* The test "the sum I lies within T's bounds". */
static bool add_test(sum *s, uint32_t i, fen_test t, fen_id *ret)
{
    fen_expr_step steps[FEN_EXPR_MAX];
    t.option = t.expr = t.finding = FEN_NONE;
    if (s->at[i].op == FEN_TERM_NAME) {
        t.op = FEN_TEST_RANGE;
        t.finding = s->at[i].finding;
    } else {
        const uint32_t n = emit(s, i, steps, 0);
        t.op = FEN_TEST_EXPR;
        if (!add_expr(s->l, steps, n, s->at[i].dim, &t.expr))
            return false;
    }
    return fen_resolve_test(s->l, t, ret);
}

/* ---- comparisons ---- */

static fen_test bounds_of(fen_compare compare, double v)
{
    fen_test t = { .lo = -INFINITY, .hi = INFINITY };
    if (compare == FEN_LESS || compare == FEN_AT_MOST || compare == FEN_EQUAL)
        t.hi = v;
    if (compare == FEN_MORE || compare == FEN_AT_LEAST || compare == FEN_EQUAL)
        t.lo = v;
    t.hi_open = compare == FEN_LESS;
    t.lo_open = compare == FEN_MORE;
    return t;
}

static fen_compare turned(fen_compare c)
{
    return c == FEN_LESS       ? FEN_MORE
           : c == FEN_MORE     ? FEN_LESS
           : c == FEN_AT_MOST  ? FEN_AT_LEAST
           : c == FEN_AT_LEAST ? FEN_AT_MOST
                               : c;
}

static bool nothing_observed(const sum *s, const fen_clause *c)
{
    fen_loader_error(s->l, FEN_CODE_CONDITION, fen_resolve_place(s->l, s->node, c->span), "name a finding on one side",
                     "nothing observed is compared here");
    return false;
}

/* A finding only believed from F.from to F.to makes some tests idle. */
static void warn_idle(const sum *s, const fen_clause *c, const fen_test *t)
{
    const fen_finding *f = t->op == FEN_TEST_RANGE ? &s->l->draft->findings.at[t->finding] : NULL;
    if (!f || f->type != FEN_QUANTITY)
        return;
    const bool never = t->lo > f->to || t->hi < f->from || (t->lo_open && t->lo >= f->to) || (t->hi_open && t->hi <= f->from);
    const bool always =
        (t->lo < f->from || (t->lo == f->from && !t->lo_open)) && (t->hi > f->to || (t->hi == f->to && !t->hi_open));
    if (!never && !always)
        return;
    char from[FEN_QUANTITY_TEXT], to[FEN_QUANTITY_TEXT];
    fen_quantity_show(from, (fen_quantity){ f->from, f->dim }, FEN_UNITS_METRIC);
    fen_quantity_show(to, (fen_quantity){ f->to, f->dim }, FEN_UNITS_METRIC);
    fen_loader_warn(s->l, FEN_CODE_NEVER, fen_resolve_place(s->l, s->node, c->span), "compare it with something in between",
                    "'%.*s' %s holds, since '%s' goes from %s to %s", FEN_QUOTE(s->node->text + c->span.at, c->span.len),
                    never ? "never" : "always", f->id, from, isfinite(f->to) ? to : "any size");
}

static bool one_test(sum *s, const fen_clause *c, uint32_t i, fen_test t, const char *text, fen_id *ret)
{
    fen_id test;
    if (!add_test(s, i, t, &test))
        return false;
    warn_idle(s, c, &s->l->draft->tests.at[test]);
    if (fen_draft_cond(s->l->draft, FEN_COND_TEST, NULL, 0, test, text, fen_resolve_place(s->l, s->node, c->span), ret))
        return fen_loader_nomem(s->l);
    return true;
}

/* LEFT compare RIGHT: the constant goes to one side, everything else to the other. */
static bool compare(sum *s, const fen_clause *c, uint32_t left, fen_compare how, uint32_t right, const char *text, fen_id *ret)
{
    double l, r;
    const bool l_constant = constant(s, left, &l), r_constant = constant(s, right, &r);
    if (l_constant && r_constant)
        return nothing_observed(s, c);
    if (r_constant)
        return one_test(s, c, left, bounds_of(how, r), text, ret);
    if (l_constant)
        return one_test(s, c, right, bounds_of(turned(how), l), text, ret);
    const fen_dim dim = is_temperature(s->at[left].dim) ? FEN_DIM_TEMPERATURE_DIFFERENCE : s->at[left].dim;
    const fen_term both = { .op = FEN_TERM_SUB, .left = left, .right = right, .dim = dim };
    if (!FEN_VEC_PUSH(&s->l->sentence.terms, both))
        return fen_loader_nomem(s->l);
    s->at = s->l->sentence.terms.at;
    return one_test(s, c, s->l->sentence.terms.count - 1, bounds_of(how, 0), text, ret);
}

static bool empty_range(const sum *s, const fen_clause *c)
{
    const fen_term *lo = &s->at[c->right], *hi = &s->at[c->upper];
    fen_loader_error(s->l, FEN_CODE_NEVER, place_of(s, lo), "write the smaller bound first",
                     "nothing lies from %s'%.*s' to %s'%.*s'", c->lo_open ? "above " : "", TEXT(s, lo),
                     c->hi_open ? "below " : "", TEXT(s, hi));
    return false;
}

/* A range between constants is one test; with findings in its bounds, two. */
static bool between(sum *s, const fen_clause *c, const char *text, fen_id *ret)
{
    double lo, hi, middle;
    fen_id parts[2];
    if (constant(s, c->left, &middle))
        return nothing_observed(s, c);
    if (constant(s, c->right, &lo) && constant(s, c->upper, &hi)) {
        if (lo > hi || (lo == hi && (c->lo_open || c->hi_open)))
            return empty_range(s, c);
        const fen_test t = { .lo = lo, .hi = hi, .lo_open = c->lo_open, .hi_open = c->hi_open };
        return one_test(s, c, c->left, t, text, ret);
    }
    if (!compare(s, c, c->left, c->lo_open ? FEN_MORE : FEN_AT_LEAST, c->right, NULL, &parts[0]) ||
        !compare(s, c, c->left, c->hi_open ? FEN_LESS : FEN_AT_MOST, c->upper, NULL, &parts[1]))
        return false;
    if (fen_draft_cond(s->l->draft, FEN_COND_ALL, parts, 2, FEN_NONE, text, fen_resolve_place(s->l, s->node, c->span), ret))
        return fen_loader_nomem(s->l);
    return true;
}

/* The first term that belongs to the sum I: terms of one sum are side by side. */
static uint32_t first_of(const sum *s, uint32_t i)
{
    while (s->at[i].op != FEN_TERM_NAME && s->at[i].op != FEN_TERM_QUANTITY)
        i = s->at[i].left;
    return i;
}

bool fen_compare_clause(fen_loader *l, const fen_node *node, const fen_clause *c, const char *text, fen_id *ret_cond)
{
    sum s = { l, node, l->sentence.terms.at };
    const uint32_t last = c->form == FEN_CLAUSE_BETWEEN ? c->upper : c->right;
    if (!find_dims(&s, first_of(&s, c->left), last) || !same_dim(&s, c->left, c->right))
        return false;
    if (c->form == FEN_CLAUSE_BETWEEN && !same_dim(&s, c->left, c->upper))
        return false;
    if (!all_finite(&s, c->left) || !all_finite(&s, c->right) || (c->form == FEN_CLAUSE_BETWEEN && !all_finite(&s, c->upper)))
        return false;
    if (c->form == FEN_CLAUSE_BETWEEN)
        return between(&s, c, text, ret_cond);
    return compare(&s, c, c->left, c->compare, c->right, text, ret_cond);
}
