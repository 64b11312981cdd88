/* say_test.c -- conditions of rules in the words of the findings they test.
 */
#include <math.h>

#include "say.h"
#include "util/limits.h"
#include "util/number.h"

static void say_bound(fen_page *page, const char *before, double bound, fen_dim dim, const char *after)
{
    fen_page_say(page, FEN_TONE_PLAIN, before);
    fen_say_quantity(page, bound, dim);
    fen_page_say(page, FEN_TONE_PLAIN, after);
}

void fen_say_range(fen_page *page, double lo, double hi, bool lo_open, bool hi_open, fen_dim dim)
{
    if (isinf(hi)) {
        say_bound(page, lo_open ? "above " : "", lo, dim, lo_open ? "" : " or more");
    } else if (isinf(lo)) {
        say_bound(page, hi_open ? "below " : "", hi, dim, hi_open ? "" : " or less");
    } else if (!(lo < hi)) {
        say_bound(page, "exactly ", lo, dim, "");
    } else if (!lo_open && !hi_open) {
        say_bound(page, "from ", lo, dim, " to ");
        say_bound(page, "", hi, dim, "");
    } else {
        say_bound(page, lo_open ? "above " : "", lo, dim, lo_open ? ", " : " or more, ");
        say_bound(page, hi_open ? "below " : "up to ", hi, dim, "");
    }
}

/* Ages: nothing is younger than today, so a lower bound of 0 is none. */
void fen_say_ago(fen_page *page, double lo, double hi, bool lo_open, bool hi_open)
{
    const bool from = lo > 0.0 && !isinf(lo);
    if (from)
        say_bound(page, lo_open ? "more than " : "at least ", lo, FEN_DIM_TIME_SPAN, isinf(hi) ? FEN_NBSP "ago" : ", ");
    if (!isinf(hi))
        say_bound(page, hi_open ? "less than " : "at most ", hi, FEN_DIM_TIME_SPAN, FEN_NBSP "ago");
}

/* -- expressions: steps are postfix, people read infix -- */

static uint32_t start_of(const fen_expr *e, uint32_t end)
{
    if (e->steps[end].op == FEN_EXPR_NUMBER || e->steps[end].op == FEN_EXPR_FINDING)
        return end;
    return start_of(e, start_of(e, end - 1) - 1);
}

static bool is_sum(fen_expr_op op)
{
    return op == FEN_EXPR_ADD || op == FEN_EXPR_SUB;
}

/* SUM: the step is added or subtracted, so a number in it has the unit of the whole. */
static void say_step(fen_page *page, const fen_base *base, const fen_expr *e, uint32_t end, bool sum)
{
    static const char *const signs[] = {
        [FEN_EXPR_ADD] = " + ", [FEN_EXPR_SUB] = " - ", [FEN_EXPR_MUL] = " * ", [FEN_EXPR_DIV] = " / ",
    };
    char number[FEN_NUMBER_MAX];
    const fen_expr_step *step = &e->steps[end];
    if (step->op == FEN_EXPR_FINDING) {
        fen_page_sayf(page, FEN_TONE_PLAIN, "(%s)", fen_base_finding(base, step->finding)->name);
    } else if (step->op == FEN_EXPR_NUMBER && sum) {
        fen_say_quantity(page, step->number, e->dim);
    } else if (step->op == FEN_EXPR_NUMBER) {
        fen_number_show(number, step->number, 6);
        fen_page_say(page, FEN_TONE_PLAIN, number);
    } else {
        const uint32_t left = start_of(e, end - 1) - 1;
        const bool brackets = !sum && is_sum(step->op);
        fen_page_say(page, FEN_TONE_PLAIN, brackets ? "(" : "");
        say_step(page, base, e, left, is_sum(step->op));
        fen_page_say(page, FEN_TONE_PLAIN, signs[step->op]);
        say_step(page, base, e, end - 1, is_sum(step->op));
        fen_page_say(page, FEN_TONE_PLAIN, brackets ? ")" : "");
    }
}

static void say_expr(fen_page *page, const fen_base *base, const fen_test *t, bool denied)
{
    const fen_expr *e = fen_base_expr(base, t->expr);
    say_step(page, base, e, e->n_steps - 1, true);
    fen_page_say(page, FEN_TONE_PLAIN, denied ? " is not " : " is ");
    fen_say_range(page, t->lo, t->hi, t->lo_open, t->hi_open, e->dim);
}

static void say_atom(fen_page *page, const fen_finding *f, fen_id option, bool denied)
{
    const char *verb = denied ? "is not" : "is";
    if (f->type == FEN_SEVERAL)
        verb = denied ? "does not include" : "includes";
    if (f->type == FEN_YES_NO && denied) { /* two answers: what is not yes is no */
        option = 1 - option;
        verb = "is";
    }
    fen_page_sayf(page, FEN_TONE_PLAIN, "%s %s '%s'", f->name, verb, fen_say_option(f, option));
}

void fen_say_limits(fen_page *page, const fen_finding *f, const fen_test *t)
{
    if (f->type == FEN_DATE)
        fen_say_ago(page, t->lo, t->hi, t->lo_open, t->hi_open);
    else
        fen_say_range(page, t->lo, t->hi, t->lo_open, t->hi_open, f->dim);
}

void fen_say_test(fen_page *page, const fen_base *base, fen_id test, bool denied)
{
    const fen_test *t = fen_base_test(base, test);
    if (t->op == FEN_TEST_EXPR) {
        say_expr(page, base, t, denied);
        return;
    }
    const fen_finding *f = fen_base_finding(base, t->finding);
    switch (t->op) {
    case FEN_TEST_ATOM:
        say_atom(page, f, t->option, denied);
        break;
    case FEN_TEST_RANGE:
        fen_page_sayf(page, FEN_TONE_PLAIN, "%s is %s", f->name, denied ? "not " : "");
        fen_say_limits(page, f, t);
        break;
    case FEN_TEST_UNSURE:
        fen_page_sayf(page, FEN_TONE_PLAIN, "%s %s", f->name, denied ? "can be told" : "cannot be told");
        break;
    case FEN_TEST_UNKNOWN:
        fen_page_sayf(page, FEN_TONE_PLAIN, "%s %s", f->name, denied ? "is known" : "is not known");
        break;
    case FEN_TEST_EXPR:
        break;
    }
}

/* TOP: no brackets around the whole. DENIED turns the sense round. */
static void say_cond(fen_page *page, const fen_base *base, fen_id cond, bool denied, bool top)
{
    const fen_cond *c = fen_base_cond(base, cond);
    if (c->op == FEN_COND_TEST) {
        fen_say_test(page, base, c->test, denied);
        return;
    }
    const bool part_denied = c->op == FEN_COND_NONE ? !denied : denied;
    const bool all = c->op == FEN_COND_ALL ? !denied : c->op == FEN_COND_ANY ? denied : !denied;
    const bool brackets = !top && c->parts.count > 1;
    fen_page_say(page, FEN_TONE_PLAIN, brackets ? "(" : "");
    for (uint32_t i = 0; i < c->parts.count; i++) {
        if (i)
            fen_page_say(page, FEN_TONE_PLAIN, all ? ", and " : ", or ");
        say_cond(page, base, c->parts.at[i], part_denied, c->parts.count == 1 && top);
    }
    fen_page_say(page, FEN_TONE_PLAIN, brackets ? ")" : "");
}

void fen_say_cond(fen_page *page, const fen_base *base, fen_id cond)
{
    if (cond == FEN_NONE)
        fen_page_say(page, FEN_TONE_PLAIN, "always");
    else
        say_cond(page, base, cond, false, true);
}
