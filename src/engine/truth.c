/* truth.c -- what an answer makes of the tests that look at it (Kleene 1952:
 * what is not known makes a test neither true nor false).
 */
#include <assert.h>
#include <math.h>

#include "state.h"
#include "util/limits.h"

/* A finding as rules see it: a date is its age in days on the case's day. */
static bool number_of(const fen_session *s, fen_id finding, double *ret_value)
{
    const fen_answer *a = &s->given[finding];
    if (a->state != FEN_KNOWN)
        return false;
    *ret_value = s->base->findings[finding].type == FEN_DATE ? s->today - a->value : a->value;
    return true;
}

static bool apply(fen_expr_op op, double *stack, uint32_t *n)
{
    const double b = stack[--*n];
    double *a = &stack[*n - 1];
    switch (op) {
    case FEN_EXPR_ADD: *a += b; break;
    case FEN_EXPR_SUB: *a -= b; break;
    case FEN_EXPR_MUL: *a *= b; break;
    case FEN_EXPR_DIV: *a /= b; break;
    case FEN_EXPR_NUMBER:
    case FEN_EXPR_FINDING: assert(false);
    }
    return isfinite(*a);
}

bool fen_expr_value(const fen_session *s, fen_id expr, double *ret_value)
{
    const fen_expr *e = &s->base->exprs[expr];
    double stack[FEN_EXPR_MAX];
    uint32_t n = 0;
    for (uint32_t i = 0; i < e->n_steps; i++) {
        const fen_expr_step *step = &e->steps[i];
        if (step->op == FEN_EXPR_NUMBER)
            stack[n++] = step->number;
        else if (step->op == FEN_EXPR_FINDING) {
            if (!number_of(s, step->finding, &stack[n++]))
                return false;
        } else if (!apply(step->op, stack, &n))
            return false; /* divided by nothing: not known */
    }
    assert(n == 1);
    *ret_value = stack[0];
    return true;
}

fen_truth fen_truth_of(const fen_session *s, fen_id test)
{
    const fen_test *t = &s->base->tests[test];
    double value;
    switch (t->op) {
    case FEN_TEST_ATOM:
        return fen_option_truth(fen_options_now(s, t->finding), t->option);
    case FEN_TEST_RANGE:
        return !number_of(s, t->finding, &value) ? 0 : fen_in_range(t, value) ? 1 : -1;
    case FEN_TEST_EXPR:
        return !fen_expr_value(s, t->expr, &value) ? 0 : fen_in_range(t, value) ? 1 : -1;
    case FEN_TEST_UNSURE:
        return s->given[t->finding].state == FEN_OPEN ? 0 : s->given[t->finding].state == FEN_UNSURE ? 1 : -1;
    case FEN_TEST_UNKNOWN:
        return s->given[t->finding].state == FEN_KNOWN ? -1 : 1;
    }
    assert(false);
    return 0;
}

fen_truth fen_truth_of_kinds(const fen_session *s, fen_list kinds)
{
    const fen_truth *of = s->truth + s->base->findings[FEN_KIND_FINDING].first_atom;
    fen_truth t = kinds.count ? -1 : 1;
    for (uint32_t i = 0; i < kinds.count; i++)
        if (of[kinds.at[i]] > t)
            t = of[kinds.at[i]];
    return t;
}

bool fen_answer_fits(const fen_session *s, fen_id finding, const fen_answer *a)
{
    if (finding >= s->base->n_findings || s->base->findings[finding].derived)
        return false;
    const fen_finding *f = &s->base->findings[finding];
    if (a->state == FEN_OPEN || a->state == FEN_UNSURE)
        return true;
    if (a->state != FEN_KNOWN)
        return false;
    switch (f->type) {
    case FEN_CHOICE:
    case FEN_SEVERAL:
    case FEN_YES_NO: return fen_finding_fits(f, a->picks);
    case FEN_QUANTITY: return isfinite(a->value) && a->value >= f->from && a->value <= f->to;
    case FEN_DATE: return isfinite(a->value) && a->value == floor(a->value) && a->value <= s->today && a->value >= -1e6;
    }
    return false;
}

uint32_t fen_values_on(const fen_session *s, fen_id finding)
{
    const fen_finding *f = &s->base->findings[finding];
    uint32_t n = 0;
    for (uint32_t o = 0; f->derived && o < f->n_options; o++)
        n += s->atom[f->first_atom + o].on;
    return n;
}

/* Findings that no rule waits for are not settled; their tests are read off. */
fen_truth fen_truth_now(const fen_session *s, fen_id test)
{
    const fen_test *t = &s->base->tests[test];
    if (t->op == FEN_TEST_EXPR || !s->base->findings[t->finding].derived || s->base->net.settles[t->finding])
        return s->truth[test];
    const bool known = fen_values_on(s, t->finding) > 0;
    if (t->op == FEN_TEST_ATOM)
        return s->atom[test].on ? 1 : known ? -1 : 0;
    return known ? -1 : t->op == FEN_TEST_UNKNOWN ? 1 : 0;
}
