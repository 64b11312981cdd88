/* lesson_order.c -- which of the rules that would do comes first.
 *
 * All of them put this case right, so that says nothing. What tells them apart is what they upset,
 * what bears them out, and what has to be read and trusted. One plant bears out little: so a
 * rule of one line that the other rules give no reason for comes after one of three that they do.
 */
#include <assert.h>
#include <math.h>
#include <string.h>

#include "lesson_own.h"
#include "util/sort.h"

/* ---- how often ------------------------------------------------------------------------------- */

/* Among plants that are brought in; of a number or a date half of them, for want of better. */
static double share_of_test(const fen_base *base, fen_id finding, fen_id option)
{
    if (option == FEN_NONE)
        return 0.5;
    return finding == FEN_KIND_FINDING ? 1 : fen_base_finding(base, finding)->options[option].usual;
}

/* Its tests taken as independent. */
static double share_of_cond(const fen_base *base, fen_id cond)
{
    if (cond == FEN_NONE)
        return 1;
    const fen_cond *c = fen_base_cond(base, cond);
    if (c->op == FEN_COND_TEST) {
        const fen_test *t = fen_base_test(base, c->test);
        return share_of_test(base, t->finding, t->op == FEN_TEST_ATOM ? t->option : FEN_NONE);
    }
    double all = 1, none = 1;
    for (uint32_t i = 0; i < c->parts.count; i++) {
        const double share = share_of_cond(base, c->parts.at[i]);
        all *= share;
        none *= 1 - share;
    }
    return c->op == FEN_COND_ALL ? all : c->op == FEN_COND_NONE ? none : 1 - none;
}

static double share_of(const fen_base *base, const fen_sketch *s)
{
    double share = 1;
    for (uint32_t i = 0; i < s->n_misled; i++)
        share *= share_of_cond(base, fen_base_rule(base, s->misled[i])->cond);
    for (uint32_t i = 0; i < s->n_tests; i++) {
        const double usual = share_of_test(base, s->tests[i].finding, s->tests[i].option);
        share *= s->tests[i].op == FEN_LESSON_EXCLUDES ? 1 - usual : usual;
    }
    return share;
}

/* ---- how much that is ------------------------------------------------------------------------- */

static bool is_misled(const fen_sketch *s, fen_id rule)
{
    for (uint32_t i = 0; i < s->n_misled; i++)
        if (s->misled[i] == rule)
            return true;
    return false;
}

static bool is_in_view(const fen_base *base, const fen_sketch *s, fen_id finding)
{
    for (uint32_t i = 0; i < s->n_misled; i++)
        if (fen_lesson_looks_at(base, fen_base_rule(base, s->misled[i])->cond, finding, FEN_NONE))
            return true;
    for (uint32_t i = 0; i < s->n_tests; i++)
        if (s->tests[i].finding == finding)
            return true;
    return finding == FEN_KIND_FINDING;
}

/* Does the condition look at nothing but what S looks at? */
static bool is_all_in_view(const fen_base *base, const fen_sketch *s, fen_id cond)
{
    if (cond == FEN_NONE)
        return true;
    const fen_cond *c = fen_base_cond(base, cond);
    if (c->op == FEN_COND_TEST) {
        const fen_test *t = fen_base_test(base, c->test);
        if (t->op != FEN_TEST_EXPR)
            return is_in_view(base, s, t->finding);
        const fen_list in = fen_base_expr(base, t->expr)->findings;
        for (uint32_t i = 0; i < in.count; i++)
            if (!is_in_view(base, s, in.at[i]))
                return false;
        return true;
    }
    for (uint32_t i = 0; i < c->parts.count; i++)
        if (!is_all_in_view(base, s, c->parts.at[i]))
            return false;
    return true;
}

/* All that would speak for CAUSE where S holds, by what S looks at. */
static fen_weight all_for(const fen_lesson *l, const fen_sketch *s, const fen_lesson_move *m)
{
    const fen_base *base = l->set.base;
    fen_weight sum = m->after;
    for (fen_id r = 0; r < fen_base_rules(base); r++) {
        const fen_weight w = fen_base_rule_weight(base, r, m->cause);
        if (w && !is_misled(s, r) && fen_session_rule(l->session, r) == FEN_FIRED && is_all_in_view(base, s, fen_base_rule(base, r)->cond))
            sum += w;
    }
    return sum;
}

/* No answer is seen more often than always: what half of all plants show cannot be ten times as
 * frequent with one cause. */
static double overclaim(const fen_lesson *l, const fen_sketch *s)
{
    const double allowed = -10 * log10(fmax(share_of(l->set.base, s), 1e-9));
    double most = 0;
    for (uint32_t i = 0; i < s->n_moves; i++)
        if (s->moves[i].after > s->moves[i].before)
            most = fmax(most, (double)all_for(l, s, &s->moves[i]) / (double)FEN_DBAN - allowed);
    return most;
}

/* ---- what bears it out ---------------------------------------------------------------------------- */

static bool tells_some_apart(const fen_lesson *l, const fen_lesson_test *t)
{
    for (uint32_t i = 0; i < l->store.cases.count; i++)
        if (l->as_wrong[i] && fen_lesson_holds(l->set.base, t, l->store.cases.at[i].c) < 0)
            return true;
    return false;
}

void fen_lesson_appraise(const fen_lesson *l, fen_drafted *d)
{
    const fen_sketch *s = &d->sketch;
    bool tells = false;
    d->leaning = 0;
    for (uint32_t i = 0; i < s->n_tests; i++) {
        d->leaning += fen_lesson_leaning(l, s, &s->tests[i]);
        tells |= tells_some_apart(l, &s->tests[i]);
    }
    d->ground = d->leaning < 0 ? FEN_LESSON_CONTRARY : d->leaning > 0 || tells ? FEN_LESSON_BORNE_OUT : FEN_LESSON_GROUNDLESS;
    d->overclaim = overclaim(l, s);
}

/* ---- in order ---------------------------------------------------------------------------------------- */

/* What stands by itself, and not where a rule misled, is to be trusted of every other plant as well:
 * that is as much as one test more. */
static size_t to_trust(const fen_drafted *d)
{
    return d->shown.size + (d->sketch.n_misled == 0);
}

static bool stands_before(const void *ctx, const void *a, const void *b)
{
    const fen_drafted *drafts = ctx, *x = &drafts[*(const uint32_t *)a], *y = &drafts[*(const uint32_t *)b];
    if (x->shown.n_changed != y->shown.n_changed)
        return x->shown.n_changed < y->shown.n_changed;
    if (x->ground != y->ground)
        return x->ground < y->ground;
    if (x->overclaim < y->overclaim || x->overclaim > y->overclaim)
        return x->overclaim < y->overclaim;
    if (to_trust(x) != to_trust(y))
        return to_trust(x) < to_trust(y);
    if (x->leaning != y->leaning)
        return x->leaning > y->leaning;
    if (x->shown.moved != y->shown.moved)
        return x->shown.moved < y->shown.moved;
    if (!x->shown.warnings[0] != !y->shown.warnings[0])
        return !x->shown.warnings[0];
    if (x->shown.form != y->shown.form)
        return x->shown.form < y->shown.form;
    return *(const uint32_t *)a < *(const uint32_t *)b;
}

static bool has_like_before(const fen_lesson *l, uint32_t i)
{
    for (uint32_t k = 0; k < i; k++)
        if (l->drafts.at[k].shown.form == l->drafts.at[i].shown.form)
            return true;
    return false;
}

/* The best of each form stays, so that 'another' comes to other ideas too. There are fewer
 * forms than proposals shown. */
static void drop_last_alike(fen_lesson *l)
{
    uint32_t i = l->drafts.count - 1;
    while (!has_like_before(l, i))
        i--;
    fen_drafted_free(&l->drafts.at[i]);
    memmove(&l->drafts.at[i], &l->drafts.at[i + 1], (l->drafts.count - i - 1) * sizeof *l->drafts.at);
    l->drafts.count--;
}

void fen_lesson_put_in_order(fen_lesson *l)
{
    const uint32_t n = l->drafts.count;
    uint32_t order[FEN_LESSON_PROPOSALS];
    fen_drafted sorted[FEN_LESSON_PROPOSALS];
    assert(n <= FEN_LESSON_PROPOSALS);
    for (uint32_t i = 0; i < n; i++)
        order[i] = i;
    fen_sort(order, n, sizeof *order, stands_before, l->drafts.at);
    for (uint32_t i = 0; i < n; i++)
        sorted[i] = l->drafts.at[order[i]];
    if (n)
        memcpy(l->drafts.at, sorted, n * sizeof *sorted);
    while (l->drafts.count > FEN_LESSON_SHOWN)
        drop_last_alike(l);
}
