/* Chill, degree-days, and the next treatment of a pest. */
#include "advice/thermal.h"
#include "support/reckoning.h"
#include "util/date.h"

static fen_chill_rule rule_of(const char *input)
{
    return reckon_arg_is(input, "by", "utah-f") ? FEN_CHILL_UTAH_F : reckon_arg_is(input, "by", "utah-c") ? FEN_CHILL_UTAH_C
         : reckon_arg_is(input, "by", "band") ? FEN_CHILL_BAND : FEN_CHILL_BELOW;
}

static double chill_of_hour(const char *input)
{
    const double at = reckon_arg(input, "at");
    return fen_chill_at(rule_of(input), reckon_arg_is(input, "unit", "F") ? (at - 32) * 5 / 9 : at);
}

/* A whole log of hourly readings through the calculator. */
static double chill_of_hours(const char *input)
{
    static const char *const rules[] = { "rest", "band", "below", "utah-c", "utah-f" };
    char log[2048];
    char line[64];
    size_t used = (size_t)snprintf(log, sizeof log, "time,temperature %c\n", reckon_arg_is(input, "unit", "F") ? 'F' : 'C');
    const char *at = strstr(input, "readings=") + strlen("readings=");
    for (int hour = 0; *at; hour++) {
        char *end;
        const double reading = strtod(at, &end);
        used += (size_t)snprintf(log + used, sizeof log - used, "2026-01-%02dT%02d:00,%g\n", 10 + hour / 24, hour % 24, reading);
        at = end + strspn(end, " ");
    }
    const fen_reckoner *r = fen_reckoner_find("chill", 5);
    fen_reckon_value in[FEN_RECKON_INPUTS];
    double out[FEN_RECKON_OUTPUTS];
    fen_reckon_error error;
    fen_reckon_begin(r, in);
    assert_int_equal(fen_reckon_read(r, fen_reckon_input_find(r, "log", 3), log, used, &in[fen_reckon_input_find(r, "log", 3)], &error), FEN_OK);
    snprintf(line, sizeof line, "%s", rules[rule_of(input)]);
    assert_int_equal(fen_reckon_read(r, fen_reckon_input_find(r, "by", 2), line, strlen(line), &in[fen_reckon_input_find(r, "by", 2)], &error), FEN_OK);
    assert_int_equal(fen_reckon_run(r, in, out, &error), FEN_OK);
    return out[fen_reckon_output_find(r, "so-far", 6)];
}

static void published_chill_and_degree_days_come_out(void **state)
{
    (void)state;
    static const reckon_special specials[] = { { "hour.chill", chill_of_hour }, { "hourly.chill", chill_of_hours }, { NULL, NULL } };
    check_reference("reckon-warmth", specials, 73);
}

/* Sum of a sine in a hundred thousand steps. */
static double sine_above(double low, double high, double base)
{
    double sum = 0;
    const int n = 100000;
    for (int i = 0; i < n; i++)
        sum += fmax((low + high) / 2 + (high - low) / 2 * sin(2 * 3.14159265358979323846 * (i + 0.5) / n) - base, 0);
    return sum / n;
}

static void the_sine_is_a_sine_and_the_rules_keep_their_order(void **state)
{
    (void)state;
    uint64_t seed = 7;
    for (int i = 0; i < 60; i++) {
        const double low = -10 + (double)(unit_random(&seed) % 300) / 10;
        const double high = low + 0.5 + (double)(unit_random(&seed) % 200) / 10;
        const double base = -12 + (double)(unit_random(&seed) % 500) / 10;
        double above[4];
        double below[4];
        for (int rule = 0; rule < 4; rule++) {
            fen_degree_days((fen_degree_rule)rule, low, high, base, &above[rule], &below[rule]);
            assert_near(above[rule] - below[rule], (low + high) / 2 - base, 1e-9); /* the mean's excess, whatever the rule */
            assert_true(above[rule] >= 0 && below[rule] >= 0);
        }
        assert_near(above[FEN_DEGREE_SINE], sine_above(low, high, base), 1e-4);
        assert_true(above[FEN_DEGREE_AVERAGE] <= above[FEN_DEGREE_TRIANGLE] + 1e-12);
        assert_true(above[FEN_DEGREE_TRIANGLE] <= above[FEN_DEGREE_SINE] + 1e-12);
    }
}

static void a_day_between_two_temperatures_counts_like_its_hours(void **state)
{
    (void)state;
    for (int rule = FEN_CHILL_REST; rule <= FEN_CHILL_UTAH_F; rule++) {
        double sum = 0;
        const int n = 200000;
        for (int i = 0; i < n; i++)
            sum += fen_chill_at((fen_chill_rule)rule, 8 + 12 * sin(2 * 3.14159265358979323846 * (i + 0.5) / n)) * 24 / n;
        assert_near(fen_chill_over((fen_chill_rule)rule, -4, 20, 24), sum, 1e-3);
    }
    assert_near(fen_chill_over(FEN_CHILL_REST, 4, 4, 24), 24, 0);
}

static void chill_from_dates_alone(void **state)
{
    (void)state;
    const reckoning k = reckon("chill", "from=2025-12-01;today=2026-01-10");
    assert_near(reckon_get(&k, "so-far"), 40 * 24, 0);
    assert_near(reckon_get(&k, "owed"), 720, 0); /* of ten weeks */
    assert_near(reckon_get(&k, "left"), 30, 1e-9);
    assert_near(reckon_get(&k, "ready"), fen_date_day(2026, 2, 9), 0);
    assert_true(isnan(reckon_get(&k, "logged")));
    assert_near(reckon_one("chill", "from=2025-12-01;today=2026-01-10;cold=12;need=4 weeks", "owed"), 672 - 480, 1e-9);
    assert_near(reckon_one("chill", "from=2025-10-01;today=2026-02-10", "owed"), 0, 0);
    assert_true(isnan(reckon_one("chill", "from=2025-10-01;today=2026-02-10;by=band", "owed"))); /* nobody said how much */
}

static void a_log_of_days_is_counted_from_its_date(void **state)
{
    (void)state;
    static const char log[] = "log=date,low C,high C,who\n2026-01-01,2,8,\n2026-01-02,2,8,\"a, b\"\n2026-01-03,15,20,x\n2026-01-04,2,8,";
    assert_near(reckon_one("chill", log, "so-far"), 72, 1e-9);
    assert_near(reckon_one("chill", log, "pace"), 18, 1e-9);
    char from[256];
    snprintf(from, sizeof from, "%s;from=2026-01-04", log);
    /* the last row's empty field ends where the next input begins */
    assert_near(reckon_one("chill", from, "so-far"), 24, 1e-9);
}

static void a_cold_that_never_comes_gives_no_date(void **state)
{
    (void)state;
    const reckoning k = reckon("chill", "log=date,low C,high C\n2026-01-01,15,20\n2026-01-02,14,22\n");
    assert_near(reckon_get(&k, "so-far"), 0, 0);
    assert_near(reckon_get(&k, "owed"), 1680, 0);
    assert_true(isnan(reckon_get(&k, "ready")) && isnan(reckon_get(&k, "left")));
}

/* Observed egg to adult of western flower thrips: 34.2, 19.2, 12.1 and 9.5 days at 15,
 * 20, 25 and 30 C, Jpn. J. Appl. Entomol. Zool. 41(4). */
static void thrips_grow_as_fast_as_observed(void **state)
{
    (void)state;
    static const struct {
        int celsius;
        double days;
    } rows[] = { { 15, 34.2 }, { 20, 19.2 }, { 25, 12.1 }, { 30, 9.5 } };
    for (size_t i = 0; i < COUNT(rows); i++) {
        char input[64];
        snprintf(input, sizeof input, "pest=thrips;warmth=%dC", rows[i].celsius);
        assert_near(reckon_one("next-treatment", input, "generation"), rows[i].days, 0.05 * rows[i].days);
    }
}

/* What growers do at 20 and 25 C: common practice, no source. */
static void intervals_are_those_of_practice_and_shrink_with_warmth(void **state)
{
    (void)state;
    static const struct {
        const char *pest;
        double at20_least, at20_most, at25_least, at25_most;
    } rows[] = { { "thrips", 7, 10, 4, 5 }, { "mealybug", 7, 10, 5, 7 }, { "spider-mite", 6, 7, 4, 5 }, { "aphid", 5, 6, 4, 5 }, { "fungus-gnat", 6, 7, 4, 7 } };
    for (size_t i = 0; i < COUNT(rows); i++) {
        char input[64];
        snprintf(input, sizeof input, "pest=%s;warmth=20C", rows[i].pest);
        const double at20 = reckon_one("next-treatment", input, "interval");
        snprintf(input, sizeof input, "pest=%s;warmth=25C", rows[i].pest);
        const double at25 = reckon_one("next-treatment", input, "interval");
        assert_true(at20 >= rows[i].at20_least && at20 <= rows[i].at20_most);
        assert_true(at25 >= rows[i].at25_least && at25 <= rows[i].at25_most);
        snprintf(input, sizeof input, "pest=%s;warmth=25C", rows[i].pest);
        assert_true(at25 < reckon_one("next-treatment", input, "generation")); /* before they lay again */
    }
}

static void the_next_treatment_follows_dates_or_a_log(void **state)
{
    (void)state;
    assert_near(reckon_one("next-treatment", "pest=thrips;warmth=20C;treated=2026-03-01", "next"), fen_date_day(2026, 3, 8), 0);
    /* 10.5 C d a day: 78 are full within the eighth day */
    static const char log[] = "pest=thrips;treated=2026-03-01;log=date,temp C\n2026-02-20,30\n2026-03-01,20\n2026-03-02,20\n2026-03-03,20\n";
    const reckoning k = reckon("next-treatment", log);
    assert_near(reckon_get(&k, "so-far"), 31.5, 1e-9);
    assert_near(reckon_get(&k, "next"), fen_date_day(2026, 3, 8), 0);
    const reckoning late = reckon("next-treatment", "pest=aphid;treated=2026-03-01;log=date,temp C\n2026-03-01,24.5\n2026-03-02,24.5\n2026-03-03,24.5\n"
                                                    "2026-03-04,24.5\n2026-03-05,24.5\n2026-03-06,4\n2026-03-07,4\n");
    assert_near(reckon_get(&late, "next"), fen_date_day(2026, 3, 5), 0); /* it was due already */
}

static void impossible_warmth_is_refused(void **state)
{
    (void)state;
    assert_refused("next-treatment", "pest=thrips;warmth=9C",
                   "this pest stands still below 9.5 C, so no date follows; keep looking once a week, and reckon again when it is warmer [number]");
    assert_refused("next-treatment", "pest=tiger;warmth=20C",
                   "'pest' cannot be 'tiger'; write one of thrips, mealybug, spider-mite, aphid, fungus-gnat [bad-value]");
    assert_refused("next-treatment", "pest=thrips", "'next-treatment' needs one thing more; give 'warmth' or 'log' [missing]");
    assert_refused("degree-days", "high=5C;low=10C;base=10C", "'low' is warmer than 'high'; give the colder of the two as low= [number]");
    assert_refused("chill", "today=2026-01-10",
                   "chill cannot be counted from nothing; give from=, the day the rest began, or log=, a temperature log [missing]");
    assert_refused("chill", "today=2026-01-10;from=2026-02-01", "the rest has not begun by 2026-01-10; give the day the rest began [bad-value]");
    assert_refused("chill", "from=2026-02-01;log=date,temp C\n2026-01-01,5\n",
                   "the log has no reading to count; give a log that covers the time since then [missing]");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(published_chill_and_degree_days_come_out),
        cmocka_unit_test(the_sine_is_a_sine_and_the_rules_keep_their_order),
        cmocka_unit_test(a_day_between_two_temperatures_counts_like_its_hours),
        cmocka_unit_test(chill_from_dates_alone),
        cmocka_unit_test(a_log_of_days_is_counted_from_its_date),
        cmocka_unit_test(a_cold_that_never_comes_gives_no_date),
        cmocka_unit_test(thrips_grow_as_fast_as_observed),
        cmocka_unit_test(intervals_are_those_of_practice_and_shrink_with_warmth),
        cmocka_unit_test(the_next_treatment_follows_dates_or_a_log),
        cmocka_unit_test(impossible_warmth_is_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
