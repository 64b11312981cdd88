/* Explanations, contrasts, flips and outcomes, on bases of a few rules each. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>

#include <cmocka.h>

#include "engine/state.h"
#include "fenmend/why.h"
#include "support/small_base.h"

typedef struct world {
    fen_base *base;
    fen_session *s;
    fen_id soft, wet, season, late, rot, rest, r_soft, r_wet, r_both, r_set, r_rest;
} world;

/* Soft crown and wet soil speak for rot, late in the year for rest; a soft crown late in the
 * year is overruled. */
static int make_world(void **state)
{
    static world w;
    fen_draft *d = sb_new();
    w.soft = sb_sign(d, "soft", 0.2);
    w.wet = sb_yes_no(d, "wet", 0.5);
    w.late = sb_yes_no(d, "late", 0.4);
    w.season = sb_derived(d, "season", 0);
    w.rot = sb_cause(d, "rot", 0.1);
    w.rest = sb_cause(d, "rest", 0.3);
    d->something_else = 0.1;
    w.r_soft = SB_RULE(d, "soft", sb_is(d, w.soft, 0), SB_FOR(w.rot, 10), SB_FOR(w.rest, -5));
    w.r_wet = SB_RULE(d, "wet", sb_is(d, w.wet, 0), SB_FOR(w.rot, 3));
    w.r_set = SB_RULE(d, "set", sb_is(d, w.late, 0), SB_SET(d, w.season, 1));
    w.r_rest = SB_RULE(d, "rest", sb_is(d, w.season, 1), SB_FOR(w.rest, 8));
    w.r_both = SB_RULE(d, "late-soft", SB_ALL(d, sb_is(d, w.soft, 0), sb_is(d, w.season, 1)), SB_FOR(w.rot, 4));
    sb_over(d, w.r_both, w.r_soft);
    w.base = sb_finish(d);
    assert_int_equal(fen_session_new(w.base, 20000, &w.s), FEN_OK);
    *state = &w;
    return 0;
}

static int free_world(void **state)
{
    world *w = *state;
    fen_session_free(w->s);
    fen_base_free(w->base);
    return 0;
}

static void answer(world *w, fen_id f, fen_answer a)
{
    assert_int_equal(fen_session_answer(w->s, f, a), FEN_OK);
}

static void a_chain_leads_from_the_score_down_to_the_answers(void **state)
{
    world *w = *state;
    fen_because *b = NULL;
    answer(w, w->wet, YES);
    answer(w, w->late, YES);
    assert_int_equal(fen_why_because(w->s, w->rest, &b), FEN_OK);
    static const fen_line_type types[] = { FEN_LINE_RULE, FEN_LINE_DERIVED, FEN_LINE_RULE, FEN_LINE_ANSWER };
    const fen_id rules[] = { w->r_rest, FEN_NONE, w->r_set, FEN_NONE };
    assert_int_equal(b->n_pro, 4);
    for (uint32_t i = 0; i < 4; i++) {
        assert_int_equal(b->pro[i].type, types[i]);
        assert_int_equal(b->pro[i].rule, rules[i]);
        assert_int_equal(b->pro[i].depth, i);
    }
    assert_int_equal(b->pro[3].finding, w->late);
    assert_true(b->pro[0].weight == 8 * FEN_DBAN);
    fen_because_free(b);
}

static void the_running_probability_ends_at_the_verdict(void **state)
{
    world *w = *state;
    fen_because *b = NULL;
    answer(w, w->soft, YES);
    answer(w, w->wet, YES);
    assert_int_equal(fen_why_because(w->s, w->rot, &b), FEN_OK);
    assert_int_equal(b->pro[0].rule, w->r_soft); /* strongest first */
    assert_near(b->p_usual, 0.1 / 0.5, 1e-12);
    double last = b->p_before;
    for (size_t i = 0; i < b->n_pro; i++)
        if (b->pro[i].depth == 0) {
            assert_true(b->pro[i].p_after > last);
            last = b->pro[i].p_after;
        }
    assert_near(last, fen_session_verdict(w->s)->p[w->rot], 1e-12);
    assert_near(b->p, last, 1e-12);
    fen_because_free(b);
}

static void overruled_and_waiting_rules_are_told(void **state)
{
    world *w = *state;
    fen_because *b = NULL;
    answer(w, w->soft, YES);
    answer(w, w->late, YES);
    assert_int_equal(fen_why_because(w->s, w->rot, &b), FEN_OK);
    assert_int_equal(b->beaten.count, 1);
    assert_int_equal(b->beaten.at[0], w->r_soft);
    assert_int_equal(b->n_pending, 1);
    assert_int_equal(b->pending[0].rule, w->r_wet);
    assert_int_equal(b->pending[0].waits_for.count, 1);
    assert_int_equal(b->pending[0].waits_for.at[0], w->wet);
    fen_because_free(b);
}

static void a_contrast_shows_only_what_separates_and_asks_the_best(void **state)
{
    world *w = *state;
    fen_contrast *c = NULL;
    answer(w, w->soft, YES);
    answer(w, w->wet, YES);
    assert_int_equal(fen_why_contrast(w->s, w->rot, w->rest, &c), FEN_OK);
    assert_int_equal(c->n_rows, 2);
    assert_int_equal(c->row[0].rule, w->r_soft);
    assert_true(c->row[0].for_a == 10 * FEN_DBAN && c->row[0].for_b == -5 * FEN_DBAN);
    assert_int_equal(c->ask, w->late);
    assert_true(c->gain > 0);
    fen_contrast_free(c);
}

static void a_flip_is_the_smallest_change_that_changes_the_leader(void **state)
{
    world *w = *state;
    fen_flip f;
    answer(w, w->soft, YES);
    answer(w, w->wet, NO);
    answer(w, w->late, NO);
    assert_int_equal(fen_session_verdict(w->s)->ranking.at[0], w->rot);
    assert_int_equal(fen_why_flip(w->s, &f), FEN_OK);
    assert_int_equal(f.n_changes, 1);
    assert_int_equal(f.from, w->rot);
    assert_int_equal(f.to, w->rest);
    /* take its word for it: the change must really do what was said */
    const double before = fen_session_verdict(w->s)->p[w->rot];
    const fen_answer kept = fen_session_given(w->s, f.change[0].finding);
    answer(w, f.change[0].finding, f.change[0].to);
    assert_int_equal(fen_session_verdict(w->s)->ranking.at[0], f.to);
    assert_near(fen_session_verdict(w->s)->p[f.to], f.p, 1e-12);
    answer(w, f.change[0].finding, kept);
    assert_true(fen_session_verdict(w->s)->p[w->rot] == before);
}

static void outcomes_tell_what_each_answer_would_do(void **state)
{
    world *w = *state;
    fen_outcomes *o = NULL;
    assert_int_equal(fen_why_outcomes(w->s, w->soft, &o), FEN_OK);
    assert_int_equal(o->count, 2);
    double sum = 0;
    for (size_t i = 0; i < o->count; i++) {
        sum += o->at[i].chance;
        answer(w, w->soft, o->at[i].answer);
        assert_int_equal(fen_session_verdict(w->s)->ranking.at[0], o->at[i].leader);
        assert_near(fen_session_verdict(w->s)->p[o->at[i].leader], o->at[i].p, 1e-12);
    }
    assert_near(sum, 1, 1e-12);
    fen_outcomes_free(o);
}

static void thresholds_cut_a_quantity_into_stretches(void **state)
{
    (void)state;
    fen_draft *d = sb_new();
    const fen_id q = sb_quantity(d, "q", 0, 1000), c = sb_cause(d, "c", 0.5);
    sb_cause(d, "e", 0.5);
    d->findings.at[q].low = 10;
    d->findings.at[q].middle = 50;
    d->findings.at[q].high = 200;
    SB_RULE(d, "low", sb_range(d, q, 0, 50), SB_FOR(c, -5));
    SB_RULE(d, "high", sb_range(d, q, 100, INFINITY), SB_FOR(c, 10));
    fen_base *b = sb_finish(d);
    fen_session *s = NULL;
    fen_outcomes *o = NULL;
    assert_int_equal(fen_session_new(b, 20000, &s), FEN_OK);
    assert_int_equal(fen_why_outcomes(s, q, &o), FEN_OK);
    assert_int_equal(o->count, 3);
    assert_true(o->at[0].lo == 0 && o->at[0].hi == 50 && o->at[0].lo_in && !o->at[0].hi_in);
    assert_true(o->at[1].lo == 50 && o->at[1].hi == 100 && o->at[1].lo_in && !o->at[1].hi_in);
    assert_true(o->at[2].lo == 100 && o->at[2].lo_in);
    fen_outcomes_free(o);
    fen_session_free(s);
    fen_base_free(b);
}

static void explaining_survives_every_failed_allocation(void **state)
{
    world *w = *state;
    answer(w, w->soft, YES);
    answer(w, w->late, YES);
    const size_t live = fen_alloc_live();
    for (size_t nth = 0;; nth++) {
        fen_because *b = NULL;
        fen_contrast *c = NULL;
        fen_outcomes *o = NULL;
        fen_flip f;
        fen_alloc_fail_at(nth);
        fen_status st = fen_why_because(w->s, w->rot, &b);
        if (!st)
            st = fen_why_contrast(w->s, w->rot, w->rest, &c);
        if (!st)
            st = fen_why_outcomes(w->s, w->wet, &o);
        if (!st)
            st = fen_why_flip(w->s, &f);
        fen_alloc_fail_at(FEN_ALLOC_NEVER_FAIL);
        fen_because_free(b);
        fen_contrast_free(c);
        fen_outcomes_free(o);
        assert_int_equal(fen_alloc_live(), live);
        if (st == FEN_OK)
            return;
        assert_int_equal(st, FEN_ENOMEM);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(a_chain_leads_from_the_score_down_to_the_answers, make_world, free_world),
        cmocka_unit_test_setup_teardown(the_running_probability_ends_at_the_verdict, make_world, free_world),
        cmocka_unit_test_setup_teardown(overruled_and_waiting_rules_are_told, make_world, free_world),
        cmocka_unit_test_setup_teardown(a_contrast_shows_only_what_separates_and_asks_the_best, make_world, free_world),
        cmocka_unit_test_setup_teardown(a_flip_is_the_smallest_change_that_changes_the_leader, make_world, free_world),
        cmocka_unit_test_setup_teardown(outcomes_tell_what_each_answer_would_do, make_world, free_world),
        cmocka_unit_test(thresholds_cut_a_quantity_into_stretches),
        cmocka_unit_test_setup_teardown(explaining_survives_every_failed_allocation, make_world, free_world),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
