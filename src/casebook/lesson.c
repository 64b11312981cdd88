/* lesson.c -- see fenmend/lesson.h: from a case that was judged wrongly to proposals, and how one
 * is made narrower or lighter.
 */
#include <assert.h>
#include <errno.h>
#include <stdio.h>
#include <string.h>

#include "lesson_own.h"

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

static fen_status mark_settled(fen_lesson *l)
{
    l->as_wrong = fen_calloc(l->store.cases.count + 1u, sizeof *l->as_wrong);
    if (!l->as_wrong)
        return FEN_ENOMEM;
    for (uint32_t i = 0; i < l->store.cases.count; i++) {
        const fen_list settled = fen_case_settled(l->store.cases.at[i].c);
        l->as_wrong[i] = i != l->self && in_list(settled, l->wrong) && !in_list(settled, l->right);
    }
    return FEN_OK;
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
    return mark_settled(l);
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
    fen_free(l->as_wrong);
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

static fen_status add(fen_lesson *l, fen_sketch *s, fen_problems *problems)
{
    fen_drafted d;
    bool good;
    if (l->drafts.count == FEN_LESSON_PROPOSALS || !fen_lesson_weigh(l, s))
        return FEN_OK;
    const fen_status st = fen_lesson_try(l, s, problems, &d, &good);
    if (st || !good)
        return st;
    fen_lesson_appraise(l, &d);
    if (FEN_VEC_PUSH(&l->drafts, d))
        return FEN_OK;
    fen_drafted_free(&d);
    return FEN_ENOMEM;
}

/* S with each of the tests that separate best. */
static fen_status add_with_tests(fen_lesson *l, const fen_sketch *s, fen_problems *problems)
{
    fen_lesson_test tests[TESTS];
    const uint32_t n = fen_lesson_separate(l, s, l->as_wrong, false, tests, TESTS);
    if (n == UINT32_MAX)
        return FEN_ENOMEM;
    fen_status st = FEN_OK;
    for (uint32_t i = 0; i < n && !st; i++) {
        fen_sketch with = *s;
        if (!s->n_misled && tests[i].finding == FEN_KIND_FINDING)
            continue; /* that all plants of a kind are prone to it is no matter of evidence, and one of them no ground to say so */
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

static fen_status propose_forms(fen_lesson *l, fen_problems *problems)
{
    fen_id misled[MISLED];
    fen_sketch s = { .form = FEN_LESSON_EXCEPTION };
    fen_status st = FEN_OK;
    s.n_misled = excluders(l, s.misled, FEN_LESSON_OVER);
    if (s.n_misled)
        return s.n_misled <= FEN_LESSON_OVER ? add_with_tests(l, &s, problems) : FEN_OK;
    const uint32_t n = fen_lesson_misled(l, misled, MISLED);
    for (uint32_t i = 0; i < n && !st; i++) {
        s = (fen_sketch){ .form = FEN_LESSON_EXCEPTION, .misled = { misled[i] }, .n_misled = 1 };
        st = add_with_tests(l, &s, problems);
        s = (fen_sketch){ .form = FEN_LESSON_WEIGHT, .misled = { misled[i] }, .n_misled = 1 };
        if (!st)
            st = add(l, &s, problems);
    }
    static const fen_lesson_form plain[] = { FEN_LESSON_FOR, FEN_LESSON_AGAINST };
    for (size_t i = 0; i < FEN_COUNT(plain) && !st; i++) {
        s = (fen_sketch){ .form = plain[i] };
        st = add_with_tests(l, &s, problems);
    }
    return st;
}

fen_status fen_lesson_propose(fen_lesson *l, fen_problems *problems)
{
    drop_drafts(l);
    if (l->state != FEN_LESSON_WRONG)
        return FEN_OK;
    const fen_status st = propose_forms(l, problems);
    if (st)
        drop_drafts(l);
    else
        fen_lesson_put_in_order(l);
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
