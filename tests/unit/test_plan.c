/* What is to be done: which remedies are taken in, in what order their steps
 * come, and what is held back.
 */
#include "advice/plan.h"
#include "views.h"

static fen_base *base;

static fen_plan *plan_of(fen_session *s)
{
    fen_plan *plan = NULL;
    assert_int_equal(fen_plan_make(s, &plan), FEN_OK);
    return plan;
}

static const fen_step *step_at(const fen_plan *p, size_t i)
{
    return &fen_base_remedy(base, p->steps[i].remedy)->steps[p->steps[i].step];
}

static void assert_steps(const fen_plan *p, const char *const *ids, size_t n)
{
    assert_int_equal(p->n_steps, n);
    for (size_t i = 0; i < n; i++)
        assert_string_equal(step_at(p, i)->id, ids[i]);
}

static void steps_come_by_urgency_then_as_after_says_and_never_twice(void **state)
{
    (void)state;
    /* crown rot kills in days, salts and the full tray in weeks; both remedies unpot */
    static const char *const want[] = { "unpot", "cut", "feed", "empty", "rinse" };
    fen_session *s = views_session(base);
    views_answer(s, "kind", "snap-trap");
    views_answer(s, "crown", "soft");
    views_answer(s, "tray", "full");
    views_answer(s, "blackened", "new-leaves");
    fen_plan *p = plan_of(s);
    assert_steps(p, want, COUNT(want));
    assert_int_equal(p->steps[0].urgency, FEN_DAYS);
    assert_int_equal(p->steps[4].urgency, FEN_WEEKS);
    assert_int_equal(p->never.count, 2); /* one of them is in both remedies */
    assert_int_equal(p->cautions.count, 1);
    assert_string_equal(p->cautions.at[0], "blades");
    assert_near(p->look_again, 14, 0);
    fen_plan_free(p);
    fen_session_free(s);
}

static void a_step_is_held_back_until_its_condition_is_known_to_hold(void **state)
{
    (void)state;
    fen_session *s = views_session(base);
    views_answer(s, "kind", "snap-trap");
    views_answer(s, "crown", "soft");
    views_answer(s, "blackened", "new-leaves");
    static const struct { const char *flower, *coldest; fen_truth ready; } rows[] = {
        { "unsure", "unsure", 0 }, { "yes", "unsure", 0 }, { "no", "unsure", -1 }, { "yes", "5 C", -1 },
        { "yes", "10 C", -1 },     /* "> 10 C" does not count 10 */
        { "yes", "11 C", 1 },
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        views_answer(s, "flower", rows[i].flower);
        views_answer(s, "coldest", rows[i].coldest);
        fen_plan *p = plan_of(s);
        bool found = false;
        for (size_t k = 0; k < p->n_steps; k++)
            if (strcmp(step_at(p, k)->id, "feed") == 0) {
                assert_int_equal(p->steps[k].ready, rows[i].ready);
                found = true;
            }
        assert_true(found);
        fen_plan_free(p);
    }
    fen_session_free(s);
}

static void a_hazard_is_treated_whatever_the_ranking(void **state)
{
    (void)state;
    static const char *const want[] = { "empty", "pot", "rinse", "snip" };
    fen_session *s = views_session(base);
    views_answer(s, "kind", "snap-trap");
    views_answer(s, "blackened", "old-traps");
    views_answer(s, "tray", "full");
    fen_plan *p = plan_of(s);
    assert_steps(p, want, COUNT(want));
    assert_int_equal(p->causes.count, 1);
    fen_plan_free(p);
    fen_session_free(s);
}

static void a_likely_leader_is_treated_beside_what_covers(void **state)
{
    (void)state;
    /* salts lead, but only crown rot accounts for the soft crown */
    fen_session *s = views_session(base);
    views_answer(s, "kind", "snap-trap");
    views_answer(s, "crown", "soft");
    views_answer(s, "blackened", "new-leaves");
    views_answer(s, "water", "180 ppm");
    views_answer(s, "runoff", "400 ppm");
    fen_plan *p = plan_of(s);
    assert_int_equal(p->causes.count, 2);
    assert_int_equal(p->causes.at[0], fen_base_find_cause(base, "salts"));
    assert_int_equal(p->causes.at[1], fen_base_find_cause(base, "crown-rot"));
    fen_plan_free(p);
    fen_session_free(s);
}

static void a_fast_killer_not_ruled_out_is_to_be_checked(void **state)
{
    (void)state;
    fen_session *s = views_session(base);
    views_answer(s, "kind", "snap-trap");
    views_answer(s, "blackened", "new-leaves");
    fen_plan *p = plan_of(s);
    bool treated = false;
    for (uint32_t i = 0; i < p->causes.count; i++)
        treated = treated || p->causes.at[i] == fen_base_find_cause(base, "crown-rot");
    assert_int_equal(p->n_checks, treated ? 0 : 1);
    assert_false(treated);
    assert_int_equal(p->checks[0].finding, views_finding(base, "crown"));
    fen_plan_free(p);
    views_answer(s, "crown", "firm"); /* looked at: nothing to check */
    p = plan_of(s);
    assert_int_equal(p->n_checks, 0);
    fen_plan_free(p);
    fen_session_free(s);
}

static void nothing_known_is_nothing_to_do(void **state)
{
    (void)state;
    fen_session *s = views_session(base);
    fen_plan *p = plan_of(s);
    assert_int_equal(p->n_steps, 0);
    assert_true(isnan(p->look_again));
    fen_plan_free(p);
    fen_plan_free(NULL);
    fen_session_free(s);
}

static fen_status make_and_free(void *s)
{
    fen_plan *p = NULL;
    const fen_status st = fen_plan_make(s, &p);
    fen_plan_free(p);
    return st;
}

static void a_plan_survives_every_failed_allocation(void **state)
{
    (void)state;
    fen_session *s = views_session(base);
    views_answer(s, "crown", "soft");
    views_answer(s, "tray", "full");
    unit_refuse_each(make_and_free, s);
    fen_session_free(s);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(steps_come_by_urgency_then_as_after_says_and_never_twice),
        cmocka_unit_test(a_step_is_held_back_until_its_condition_is_known_to_hold),
        cmocka_unit_test(a_hazard_is_treated_whatever_the_ranking),
        cmocka_unit_test(a_likely_leader_is_treated_beside_what_covers),
        cmocka_unit_test(a_fast_killer_not_ruled_out_is_to_be_checked),
        cmocka_unit_test(nothing_known_is_nothing_to_do),
        cmocka_unit_test(a_plan_survives_every_failed_allocation),
    };
    base = views_base();
    const int failed = cmocka_run_group_tests(tests, NULL, NULL);
    fen_base_free(base);
    return failed;
}
