/* Plans and thresholds against what growers agree on (common practice, no source): where
 * the shipped rules differ, they say why.
 */
#include "advice/plan.h"
#include "plans.h"
#include "util/str.h"

static fen_base *base;

static fen_session *plant(const char *const answers[][2], size_t n)
{
    fen_session *s = views_session(base);
    for (size_t i = 0; i < n; i++)
        views_answer(s, answers[i][0], answers[i][1]);
    return s;
}
#define PLANT(...) plant((const char *const[][2]){ { "kind", "venus-flytrap" }, __VA_ARGS__ }, sizeof((const char *const[][2]){ { "kind", "venus-flytrap" }, __VA_ARGS__ }) / sizeof(const char *[2]))

static bool has_hazard(fen_session *s, const char *id)
{
    const fen_verdict *v = fen_session_verdict(s);
    for (uint32_t i = 0; i < v->hazards.count; i++)
        if (strcmp(fen_base_hazard(base, v->hazards.at[i])->id, id) == 0)
            return true;
    return false;
}

static const fen_remedy *remedy(const char *id)
{
    for (fen_id i = 0; i < fen_base_remedies(base); i++)
        if (strcmp(fen_base_remedy(base, i)->id, id) == 0)
            return fen_base_remedy(base, i);
    fail_msg("there is no remedy '%s'", id);
    return NULL;
}

static const fen_step *step(const char *of, const char *id)
{
    const fen_remedy *r = remedy(of);
    for (uint32_t i = 0; i < r->n_steps; i++)
        if (strcmp(r->steps[i].id, id) == 0)
            return &r->steps[i];
    fail_msg("'%s' has no step '%s'", of, id);
    return NULL;
}

/* "runoff and water below 50 ppm" */
static void water_up_to_50_ppm_is_clean(void **state)
{
    (void)state;
    static const struct { const char *water; bool hard; } rows[] = { { "10 ppm", false }, { "49 ppm", false }, { "200 ppm", true } };
    for (size_t i = 0; i < COUNT(rows); i++) {
        fen_session *s = PLANT({ "water-reading", rows[i].water });
        assert_int_equal(has_hazard(s, "hard-water"), rows[i].hard);
        fen_session_free(s);
    }
    assert_non_null(strstr(step("change-the-water", "switch")->text, "up to 50 ppm"));
    const fen_amount *flush = step("change-the-water", "flush")->amount;
    bool found = false;
    for (uint32_t i = 0; i < flush->n_bindings; i++)
        if (strcmp(flush->reckoner->inputs[flush->bindings[i].input].name, "target") == 0) {
            assert_near(flush->bindings[i].number, 50, 0);
            found = true;
        }
    assert_true(found);
}

/* "a tray kept full only above 27 C (80 F)" */
static void a_tray_may_stay_full_above_27_C_only(void **state)
{
    (void)state;
    static const struct { const char *hottest; fen_truth dry; } rows[] = { { "20 C", 1 }, { "27 C", 1 }, { "28 C", -1 } };
    for (size_t i = 0; i < COUNT(rows); i++) {
        fen_session *s = PLANT({ "hottest", rows[i].hottest });
        assert_int_equal(fen_session_cond(s, step("let-the-tray-fall-dry", "fall-dry")->when), rows[i].dry);
        fen_session_free(s);
    }
}

/* "12 hours or more under lamps" */
static void lamps_are_on_for_twelve_hours_or_more(void **state)
{
    (void)state;
    assert_non_null(strstr(step("more-light", "lamp")->without, "14 to 16 hours"));
}

/* "12 to 16 weeks at -1 to 10 C" */
static void a_rest_is_12_to_16_weeks_in_the_cool(void **state)
{
    (void)state;
    assert_non_null(strstr(step("let-it-rest", "cool")->text, "0 to 10 C (32 to 50 F) for 12 to 16 weeks"));
}

/* "3 parts peat to 1 part perlite": the rules say equal parts, and why. */
static void the_mix_differs_and_says_why(void **state)
{
    (void)state;
    assert_non_null(strstr(step("repot-into-plain-mix", "repot")->without, "equal parts"));
    assert_non_null(strstr(remedy("repot-into-plain-mix")->why, "Three parts of peat to one of perlite"));
}

/* "pots at least 10 cm and better 15 cm deep" */
static void pots_are_10_cm_deep_or_better_15(void **state)
{
    (void)state;
    assert_non_null(strstr(step("pot-on", "choose")->text, "at least 10 cm (4 in) deep, better 15 cm"));
    fen_session *s = PLANT({ "pot-depth", "5 cm" });
    assert_true(has_hazard(s, "shallow-pot"));
    fen_session_free(s);
    s = PLANT({ "pot-depth", "15 cm" });
    assert_false(has_hazard(s, "shallow-pot"));
    fen_session_free(s);
}

/* "a trap reopens after about a week" */
static void a_fed_trap_opens_after_about_a_week(void **state)
{
    (void)state;
    assert_non_null(strstr(step("feed-small-prey", "compare")->text, "opens again after about a week"));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(water_up_to_50_ppm_is_clean),
        cmocka_unit_test(a_tray_may_stay_full_above_27_C_only),
        cmocka_unit_test(lamps_are_on_for_twelve_hours_or_more),
        cmocka_unit_test(a_rest_is_12_to_16_weeks_in_the_cool),
        cmocka_unit_test(the_mix_differs_and_says_why),
        cmocka_unit_test(a_fed_trap_opens_after_about_a_week),
        cmocka_unit_test(pots_are_10_cm_deep_or_better_15),
    };
    base = plans_base_of(FEN_RULES_DIR);
    const int failed = cmocka_run_group_tests(tests, NULL, NULL);
    fen_base_free(base);
    return failed;
}
