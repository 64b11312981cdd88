/* lesson.c -- see fenmend/lesson.h: from a case that was judged wrongly to proposals in order, and
 * how one is made narrower or lighter.
 */
#include <assert.h>
#include <errno.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "lesson_own.h"
#include "util/sort.h"

enum { MISLED = 3, TESTS = 3 };

/* ---- beginning ------------------------------------------------------------------------------- */

static bool in_list(fen_list list, fen_id id)
{
    for (uint32_t i = 0; i < list.count; i++)
        if (list.at[i] == id)
            return true;
    return false;
}

static void judge(fen_lesson *l)
{
    const fen_list settled = fen_case_settled(l->set.c);
    fen_case_answer(l->set.c, l->set.c->n_visits - 1, l->session);
    const fen_verdict *v = fen_session_verdict(l->session);
    l->wrong = v->ranking.count ? v->ranking.at[0] : FEN_NONE;
    l->right = FEN_NONE;
    for (uint32_t i = 0; i < v->ranking.count && l->right == FEN_NONE; i++)
        if (in_list(settled, v->ranking.at[i]))
            l->right = v->ranking.at[i];
    for (uint32_t i = 0; i < settled.count && l->right == FEN_NONE; i++)
        if (fen_session_cause_applies(l->session, settled.at[i]))
            l->right = settled.at[i];
    if (l->right == FEN_NONE) {
        l->right = settled.at[0];
        l->state = FEN_LESSON_UNFIT;
    } else {
        l->state = l->right == l->wrong ? FEN_LESSON_RIGHT : FEN_LESSON_WRONG;
    }
}

/* "lesson-porch-flytrap": what of the case's name can stand in a name of a pack; with a number if
 * there is such a rule. */
static void name_rule(fen_lesson *l)
{
    char stem[48] = "lesson";
    size_t n = strlen(stem);
    for (const char *c = l->set.c->id; *c && n + 2 < sizeof stem; c++) {
        const char small = *c >= 'A' && *c <= 'Z' ? (char)(*c - 'A' + 'a') : *c;
        const bool fits = (small >= 'a' && small <= 'z') || (small >= '0' && small <= '9');
        if (!fits || n == strlen("lesson"))
            n += stem[n - 1] != '-' ? (stem[n] = '-', 1u) : 0u;
        if (fits)
            stem[n++] = small;
    }
    n -= stem[n - 1] == '-';
    stem[n] = '\0';
    snprintf(l->rule, sizeof l->rule, "%s", stem);
    for (unsigned nth = 2; fen_base_find_rule(l->set.base, l->rule) != FEN_NONE; nth++)
        snprintf(l->rule, sizeof l->rule, "%s-%u", stem, nth);
}

static void find_self(fen_lesson *l)
{
    l->self = UINT32_MAX;
    for (uint32_t i = 0; i < l->store.cases.count; i++)
        if (strcmp(l->store.cases.at[i].c->id, l->set.c->id) == 0)
            l->self = i;
}

static fen_status tell_other(const fen_lesson *l, fen_problems *problems)
{
    fen_place place = { 0, 0, 0, 1 };
    const fen_status st = fen_problems_file(problems, l->set.store, &place.file);
    if (!st)
        fen_problems_add(problems, FEN_ERROR, FEN_CODE_DUPLICATE, place, NULL, "give this one another name, or let it replace that with '--replace'",
                         "the settled case '%.100s' says something else, which would be lost", l->set.c->id);
    return st ? st : FEN_EINPUT;
}

static fen_status begin(fen_lesson *l, fen_problems *problems)
{
    fen_status st = fen_session_new(l->set.base, l->visit->date, &l->session);
    if (!st)
        st = fen_store_read(l->set.base, l->set.store, l->set.today, problems, &l->store);
    if (!st)
        st = fen_own_read(l->set.pack, problems, &l->own);
    if (!st)
        st = fen_own_last(&l->own, problems, &l->last);
    if (st)
        return st;
    find_self(l);
    if (l->self != UINT32_MAX && !l->set.replace && !fen_store_says_all(l->set.c, l->store.cases.at[l->self].c))
        return tell_other(l, problems);
    judge(l);
    name_rule(l);
    return FEN_OK;
}

fen_status fen_lesson_new(const fen_lesson_setup *setup, fen_problems *problems, fen_lesson **ret_lesson)
{
    fen_lesson *l = fen_calloc(1, sizeof *l);
    assert(fen_case_settled(setup->c).count);
    if (!l)
        return FEN_ENOMEM;
    l->set = *setup;
    l->visit = &setup->c->visits[setup->c->n_visits - 1];
    const fen_status st = begin(l, problems);
    if (st) {
        const int error = errno;
        fen_lesson_free(l);
        errno = error;
        return st;
    }
    *ret_lesson = l;
    return FEN_OK;
}

static void drop_drafts(fen_lesson *l)
{
    for (uint32_t i = 0; i < l->drafts.count; i++)
        fen_drafted_free(&l->drafts.at[i]);
    l->drafts.count = 0;
}

void fen_lesson_free(fen_lesson *l)
{
    if (!l)
        return;
    drop_drafts(l);
    FEN_VEC_FREE(&l->drafts);
    fen_session_free(l->session);
    fen_store_close(&l->store);
    fen_own_close(&l->own);
    fen_problems_free(l->known);
    fen_free(l);
}

fen_lesson_state fen_lesson_how(const fen_lesson *l)
{
    return l->state;
}

fen_id fen_lesson_true(const fen_lesson *l)
{
    return l->right;
}

fen_id fen_lesson_wrong(const fen_lesson *l)
{
    return l->wrong;
}

fen_session *fen_lesson_session(fen_lesson *l)
{
    return l->session;
}

fen_weight fen_lesson_behind(const fen_lesson *l)
{
    const fen_weight *score = fen_session_verdict(l->session)->score;
    return l->wrong == FEN_NONE ? 0 : score[l->wrong] - score[l->right];
}

size_t fen_lesson_settled(const fen_lesson *l)
{
    return l->store.cases.count - (l->self != UINT32_MAX);
}

const char *fen_lesson_rule(const fen_lesson *l)
{
    return l->rule;
}

/* ---- proposing --------------------------------------------------------------------------------- */

static uint32_t count_tests(const fen_base *base, fen_id cond)
{
    uint32_t n = 0;
    if (cond == FEN_NONE)
        return 0;
    const fen_cond *c = fen_base_cond(base, cond);
    if (c->op == FEN_COND_TEST)
        return 1;
    for (uint32_t i = 0; i < c->parts.count; i++)
        n += count_tests(base, c->parts.at[i]);
    return n;
}

/* What an exception adds to the rule it goes over is what is new; a weight changed everywhere
 * is held together by the tests of that rule alone. */
static uint32_t weigh_tests(const fen_lesson *l, const fen_sketch *s)
{
    uint32_t n = s->n_tests;
    for (uint32_t i = 0; s->form == FEN_LESSON_WEIGHT && i < s->n_over; i++)
        n += count_tests(l->set.base, fen_base_rule(l->set.base, s->over[i])->cond);
    return n;
}

/* How often plants that are brought in pass the tests, taken as independent. */
static double share_of(const fen_lesson *l, const fen_sketch *s)
{
    double share = 1;
    for (uint32_t i = 0; i < s->n_tests; i++) {
        const fen_lesson_test *t = &s->tests[i];
        const fen_finding *f = fen_base_finding(l->set.base, t->finding);
        const double usual = t->option == FEN_NONE ? 0.5 : t->finding == FEN_KIND_FINDING ? 1 : f->options[t->option].usual;
        share *= t->op == FEN_LESSON_EXCLUDES ? 1 - usual : usual;
    }
    return share;
}

/* No answer is seen more often than always: what half of all plants show cannot be ten times
 * as frequent with one cause. */
static bool claims_too_much(const fen_lesson *l, const fen_sketch *s)
{
    double most = 0;
    for (uint32_t i = 0; s->form == FEN_LESSON_FOR && i < s->n_moves; i++)
        most = fmax(most, (double)s->moves[i].after / (double)FEN_DBAN);
    return share_of(l, s) * pow(10, most / 10) > 1;
}

/* What a rule says that goes over others has to be said again: of a rule on twenty causes that is
 * long, and nobody reads it. */
static void weigh_up(const fen_lesson *l, fen_drafted *d)
{
    enum { SHORT = 4 };
    uint32_t effects = 0;
    for (uint32_t i = 0; i < d->sketch.n_over; i++)
        effects += fen_base_rule(l->set.base, d->sketch.over[i])->n_effects;
    d->tests_weigh = weigh_tests(l, &d->sketch);
    d->is_poor = effects > SHORT || claims_too_much(l, &d->sketch);
}

static fen_status add(fen_lesson *l, fen_sketch *s, fen_problems *problems)
{
    fen_drafted d;
    bool good;
    if (l->drafts.count == FEN_LESSON_PROPOSALS || !fen_lesson_weigh(l, s))
        return FEN_OK;
    const fen_status st = fen_lesson_try(l, s, problems, &d, &good);
    if (st || !good)
        return st;
    weigh_up(l, &d);
    if (FEN_VEC_PUSH(&l->drafts, d))
        return FEN_OK;
    fen_drafted_free(&d);
    return FEN_ENOMEM;
}

/* S with each of the tests that separate best. */
static fen_status add_with_tests(fen_lesson *l, const fen_sketch *s, const bool *against, fen_problems *problems)
{
    fen_lesson_test tests[TESTS];
    const uint32_t n = fen_lesson_separate(l, s, against, false, tests, TESTS);
    if (n == UINT32_MAX)
        return FEN_ENOMEM;
    fen_status st = FEN_OK;
    for (uint32_t i = 0; i < n && !st; i++) {
        fen_sketch with = *s;
        if (fen_lesson_add_test(&with, &tests[i]))
            st = add(l, &with, problems);
    }
    return st;
}

/* Rules that exclude the true cause: nothing else helps than going over all of them. */
static uint32_t excluders(const fen_lesson *l, fen_id *ret, uint32_t most)
{
    uint32_t n = 0;
    const fen_list rules = fen_base_cause(l->set.base, l->right)->rules;
    for (uint32_t i = 0; i < rules.count; i++) {
        if (!fen_base_rule_excludes(l->set.base, rules.at[i], l->right) || fen_session_rule(l->session, rules.at[i]) != FEN_FIRED)
            continue;
        if (n < most)
            ret[n] = rules.at[i];
        n++;
    }
    return n;
}

static fen_status propose_forms(fen_lesson *l, const bool *against, fen_problems *problems)
{
    fen_id misled[MISLED];
    fen_sketch s = { .form = FEN_LESSON_EXCEPTION };
    fen_status st = FEN_OK;
    s.n_over = excluders(l, s.over, FEN_LESSON_OVER);
    if (s.n_over)
        return s.n_over <= FEN_LESSON_OVER ? add_with_tests(l, &s, against, problems) : FEN_OK;
    const uint32_t n = fen_lesson_misled(l, misled, MISLED);
    for (uint32_t i = 0; i < n && !st; i++) {
        s = (fen_sketch){ .form = FEN_LESSON_EXCEPTION, .over = { misled[i] }, .n_over = 1 };
        st = add_with_tests(l, &s, against, problems);
        s = (fen_sketch){ .form = FEN_LESSON_WEIGHT, .over = { misled[i] }, .n_over = 1 };
        if (!st)
            st = add(l, &s, problems);
    }
    static const fen_lesson_form plain[] = { FEN_LESSON_FOR, FEN_LESSON_AGAINST };
    for (size_t i = 0; i < FEN_COUNT(plain) && !st; i++) {
        s = (fen_sketch){ .form = plain[i] };
        st = add_with_tests(l, &s, against, problems);
    }
    return st;
}

static bool stands_before(const void *ctx, const void *a, const void *b)
{
    const fen_drafted *drafts = ctx, *x = &drafts[*(const uint32_t *)a], *y = &drafts[*(const uint32_t *)b];
    if (x->shown.n_changed != y->shown.n_changed)
        return x->shown.n_changed < y->shown.n_changed;
    if (x->is_poor != y->is_poor)
        return y->is_poor;
    if (x->tests_weigh != y->tests_weigh)
        return x->tests_weigh < y->tests_weigh;
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

static void put_in_order(fen_lesson *l)
{
    const uint32_t n = l->drafts.count;
    uint32_t order[FEN_LESSON_PROPOSALS];
    fen_drafted sorted[FEN_LESSON_PROPOSALS];
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

fen_status fen_lesson_propose(fen_lesson *l, fen_problems *problems)
{
    drop_drafts(l);
    if (l->state != FEN_LESSON_WRONG)
        return FEN_OK;
    bool *against = fen_calloc(l->store.cases.count + 1u, sizeof *against);
    if (!against)
        return FEN_ENOMEM;
    for (uint32_t i = 0; i < l->store.cases.count; i++)
        against[i] = i != l->self && in_list(fen_case_settled(l->store.cases.at[i].c), l->wrong) &&
                     !in_list(fen_case_settled(l->store.cases.at[i].c), l->right);
    fen_status st = propose_forms(l, against, problems);
    if (st)
        drop_drafts(l);
    else
        put_in_order(l);
    fen_free(against);
    return st;
}

size_t fen_lesson_count(const fen_lesson *l)
{
    return l->drafts.count;
}

const fen_proposal *fen_lesson_at(const fen_lesson *l, size_t i)
{
    return &l->drafts.at[i].shown;
}

/* ---- narrower, lighter ---------------------------------------------------------------------------- */

static void take_place(fen_lesson *l, size_t i, const fen_drafted *d)
{
    fen_drafted_free(&l->drafts.at[i]);
    l->drafts.at[i] = *d;
    weigh_up(l, &l->drafts.at[i]);
}

/* One test more. *ret_done: nothing would change any more, or nothing tells. */
static fen_status narrow_once(fen_lesson *l, size_t i, bool *against, fen_problems *problems, bool *ret_done)
{
    fen_lesson_test test;
    fen_drafted d;
    bool good = false;
    fen_sketch s = l->drafts.at[i].sketch;
    const fen_proposal *p = &l->drafts.at[i].shown;
    memset(against, 0, l->store.cases.count * sizeof *against);
    for (size_t k = 0; k < p->n_flips; k++)
        against[p->flips[k].nth] = !p->flips[k].right_now;
    const uint32_t n = fen_lesson_separate(l, &s, against, true, &test, 1);
    if (n == UINT32_MAX)
        return FEN_ENOMEM;
    if (s.form == FEN_LESSON_WEIGHT)
        s.form = FEN_LESSON_EXCEPTION; /* of the rule everywhere an exception is made */
    if (n == 1 && fen_lesson_add_test(&s, &test) && fen_lesson_weigh(l, &s)) {
        const fen_status st = fen_lesson_try(l, &s, problems, &d, &good);
        if (st)
            return st;
    }
    *ret_done = !good;
    if (good) {
        take_place(l, i, &d);
        *ret_done = d.shown.n_changed == 0;
    }
    l->drafts.at[i].shown.stuck = !good;
    return FEN_OK;
}

fen_status fen_lesson_narrow(fen_lesson *l, size_t i, fen_problems *problems)
{
    bool done = l->drafts.at[i].shown.n_changed == 0;
    bool *against = fen_calloc(l->store.cases.count + 1u, sizeof *against);
    fen_status st = against ? FEN_OK : FEN_ENOMEM;
    while (!st && !done)
        st = narrow_once(l, i, against, problems, &done);
    fen_free(against);
    return st;
}

fen_status fen_lesson_lighten(fen_lesson *l, size_t i, fen_problems *problems)
{
    fen_drafted d;
    bool good;
    fen_sketch s = l->drafts.at[i].sketch;
    const bool stuck = l->drafts.at[i].shown.stuck;
    s.light = true;
    if (!fen_lesson_weigh(l, &s))
        return FEN_OK;
    const fen_status st = fen_lesson_try(l, &s, problems, &d, &good);
    if (st || !good)
        return st;
    take_place(l, i, &d);
    l->drafts.at[i].shown.stuck = stuck && d.shown.n_changed;
    return FEN_OK;
}
