/* Amounts that a plan works out, what it asks to be measured, and what gives way
 * where two remedies contradict each other.
 */
#include "advice/plan.h"
#include "plans.h"

static fen_base *base;

static fen_plan *plan_of(fen_session *s)
{
    fen_plan *plan = NULL;
    assert_int_equal(fen_plan_make(s, &plan), FEN_OK);
    return plan;
}

static const fen_plan_step *find_step(const fen_plan *p, const char *id)
{
    for (size_t i = 0; i < p->n_steps; i++)
        if (strcmp(fen_base_remedy(base, p->steps[i].remedy)->steps[p->steps[i].step].id, id) == 0)
            return &p->steps[i];
    return NULL;
}

static void assert_text(const fen_plan_step *p, bool us, const char *want)
{
    fen_str text;
    fen_str_init(&text, 4096);
    assert_non_null(p);
    fen_plan_step_text(&text, base, p, us);
    assert_string_equal(text.at, want);
    fen_str_free(&text);
}

static void salted(fen_session *s)
{
    views_answer(s, "kind", "snap-trap");
    views_answer(s, "heart", "firm");
    views_answer(s, "newest", "limp");
}

static void measured(fen_session *s)
{
    views_answer(s, "runoff", "300 ppm");
    views_answer(s, "pot-top", "10 cm");
    views_answer(s, "pot-base", "10 cm");
    views_answer(s, "pot-depth", "10 cm");
    views_answer(s, "pot-shape", "square");
}

static void an_amount_is_worked_out_from_the_answers(void **state)
{
    (void)state;
    fen_session *s = views_session(base);
    salted(s);
    measured(s);
    fen_plan *p = plan_of(s);
    const fen_plan_step *flush = find_step(p, "flush");
    assert_true(flush->worked.done);
    assert_int_equal(flush->worked.count, 2); /* the pot first, then the flush */
    /* a cube of 10 cm holds a litre; washout of a well-mixed vessel: 0.6 ln(295/45) litres */
    assert_near(flush->worked.at[0].out[0], 1000, 1e-9);
    assert_near(flush->worked.at[1].out[1], 600 * log(295.0 / 45.0), 1e-9);
    assert_text(flush, false, "Pour 1.13 l through, 226 ml at a time, from 300 ppm to 50 ppm.");
    assert_int_equal(p->measure.count, 0);
    fen_plan_free(p);
    fen_session_free(s);
}

static void amounts_come_in_the_units_asked_for(void **state)
{
    (void)state;
    fen_session *s = views_session(base);
    salted(s);
    measured(s);
    fen_plan *p = plan_of(s);
    assert_text(find_step(p, "flush"), true, "Pour 1.19 qt through, 7.63 fl oz at a time, from 300 ppm to 50 ppm.");
    fen_plan_free(p);
    fen_session_free(s);
}

/* Whatever is missing of the five, exactly that is asked for; the shape has a usual value. */
static void what_is_missing_is_to_be_measured_and_nothing_is_invented(void **state)
{
    (void)state;
    static const char *const needed[] = { "runoff", "pot-top", "pot-base", "pot-depth" };
    for (unsigned open = 1; open < 16; open++) {
        fen_session *s = views_session(base);
        salted(s);
        measured(s);
        for (unsigned i = 0; i < 4; i++)
            if (open >> i & 1)
                views_answer(s, needed[i], "unsure");
        fen_plan *p = plan_of(s);
        assert_text(find_step(p, "flush"), false, "Pour pure water through.");
        assert_int_equal(p->measure.count, (uint32_t)__builtin_popcount(open));
        for (uint32_t i = 0; i < p->measure.count; i++) {
            unsigned k = 0;
            while (views_finding(base, needed[k]) != p->measure.at[i])
                k++;
            assert_true(open >> k & 1);
        }
        fen_plan_free(p);
        fen_session_free(s);
    }
}

static void a_calculator_that_refuses_is_quoted(void **state)
{
    (void)state;
    fen_session *s = views_session(base);
    views_answer(s, "kind", "snap-trap");
    views_answer(s, "heart", "firm");
    views_answer(s, "sun", "2 h");
    fen_plan *p = plan_of(s);
    assert_text(find_step(p, "ramp"), false, "Give it more sun, 2 h at first, all of it from 2026-07-20.");
    fen_plan_free(p);
    views_answer(s, "pot-shape", "odd"); /* an answer the calculator has no choice for is not known to it */
    measured(s);
    views_answer(s, "pot-shape", "odd");
    views_answer(s, "newest", "limp");
    p = plan_of(s);
    assert_true(find_step(p, "flush")->worked.done); /* round, as usual */
    assert_false(find_step(p, "flush")->worked.at[0].in[3].given);
    fen_plan_free(p);
    views_answer(s, "pot-base", "1 cm");
    views_answer(s, "pot-top", "1 cm");
    views_answer(s, "pot-depth", "1 cm");
    p = plan_of(s);
    const fen_plan_step *flush = find_step(p, "flush");
    assert_false(flush->worked.done); /* under 10 ml there is no pot */
    assert_int_equal(flush->worked.missing.count, 0);
    assert_true(flush->worked.at[1].error.wrong[0]);
    assert_text(flush, false, "Pour pure water through.");
    fen_plan_free(p);
    fen_session_free(s);
}

static void the_more_urgent_of_two_that_contradict_wins_and_it_is_told(void **state)
{
    (void)state;
    fen_session *s = views_session(base);
    views_answer(s, "kind", "snap-trap");
    views_answer(s, "heart", "soft");
    views_answer(s, "newest", "limp");
    views_answer(s, "tray", "empty");
    fen_plan *p = plan_of(s);
    assert_non_null(find_step(p, "dry-out"));
    assert_null(find_step(p, "fill")); /* rot kills in days, a dry tray in weeks */
    assert_null(find_step(p, "feed"));
    assert_int_equal(p->n_left, 2);
    assert_string_equal(p->left[0].act, "feeding");
    assert_string_equal(fen_plan_item_text(base, p->left[0].by), "Do not feed it.");
    assert_string_equal(p->left[1].act, "full-tray");
    assert_string_equal(fen_plan_item_text(base, p->left[1].by), "Empty the tray.");
    fen_plan_free(p);
    fen_session_free(s);
}

static void between_equals_a_do_not_wins(void **state)
{
    (void)state;
    fen_session *s = views_session(base);
    views_answer(s, "kind", "snap-trap");
    views_answer(s, "heart", "firm");
    views_answer(s, "tray", "empty");
    views_answer(s, "sun", "1 h");
    fen_plan *p = plan_of(s);
    assert_null(find_step(p, "ramp"));
    assert_non_null(find_step(p, "fill"));
    assert_int_equal(p->n_left, 1);
    fen_plan_free(p);
    fen_session_free(s);
}

/* "shortest day + 21 days" in the middle of 14 weeks: at 51.5 N that is about 11 January 2027 */
static void a_rest_is_reckoned_for_the_latitude_of_the_settings(void **state)
{
    (void)state;
    fen_base *shared = base;
    base = plans_base_of(FEN_TESTS_DIR "/packs/plan-rest.yaml");
    fen_session *s;
    assert_int_equal(fen_session_new(base, fen_date_day(2026, 12, 20), &s), FEN_OK);
    views_answer(s, "heart", "soft");
    fen_plan *p = plan_of(s);
    const fen_plan_step *window = find_step(p, "window"), *owed = find_step(p, "owed");
    assert_true(window->worked.done);
    assert_near(window->worked.at[0].out[0], fen_date_day(2027, 1, 11) - 49, 1);
    assert_near(window->worked.at[0].out[1] - window->worked.at[0].out[0], 98, 0);
    assert_text(owed, false, "Count the weeks."); /* the calculator runs, but has no answer to that */
    assert_int_equal(owed->worked.missing.count, 1);
    assert_int_equal(p->measure.at[0], views_finding(base, "began"));
    fen_plan_free(p);
    views_answer(s, "began", "2026-11-22");
    p = plan_of(s);
    assert_text(find_step(p, "owed"), false, "Rested 4 weeks, owed 10 weeks.");
    fen_plan_free(p);
    fen_session_free(s);
    fen_base_free(base);
    base = shared;
}

static fen_status make_and_free(void *s)
{
    fen_plan *p = NULL;
    const fen_status st = fen_plan_make(s, &p);
    fen_plan_free(p);
    return st;
}

static fen_status show_and_free(void *s)
{
    fen_page *page = NULL;
    fen_status st = fen_page_new((fen_look){ .width = 80 }, &page);
    if (st)
        return st;
    fen_show_plan(page, s);
    fen_show_plan_amounts(page, s);
    st = fen_page_status(page);
    fen_page_free(page);
    return st;
}

static void plans_with_amounts_survive_every_failed_allocation(void **state)
{
    (void)state;
    fen_session *s = views_session(base);
    views_answer(s, "kind", "snap-trap");
    views_answer(s, "heart", "soft");
    views_answer(s, "newest", "limp");
    views_answer(s, "tray", "empty");
    measured(s);
    views_answer(s, "pot-top", "unsure");
    unit_refuse_each(make_and_free, s);
    unit_refuse_each(show_and_free, s);
    fen_session_free(s);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(an_amount_is_worked_out_from_the_answers),
        cmocka_unit_test(amounts_come_in_the_units_asked_for),
        cmocka_unit_test(what_is_missing_is_to_be_measured_and_nothing_is_invented),
        cmocka_unit_test(a_calculator_that_refuses_is_quoted),
        cmocka_unit_test(a_rest_is_reckoned_for_the_latitude_of_the_settings),
        cmocka_unit_test(the_more_urgent_of_two_that_contradict_wins_and_it_is_told),
        cmocka_unit_test(between_equals_a_do_not_wins),
        cmocka_unit_test(plans_with_amounts_survive_every_failed_allocation),
    };
    base = plans_base();
    const int failed = cmocka_run_group_tests(tests, NULL, NULL);
    fen_base_free(base);
    return failed;
}
