/* The winter rest's window, and the way into the sun. */
#include "support/reckoning.h"
#include "util/date.h"

static void the_window_lies_in_the_winter_of_its_hemisphere(void **state)
{
    (void)state;
    const reckoning north = reckon("dormancy", "latitude=51.5N;today=2025-10-01");
    assert_near(reckon_get(&north, "begins"), fen_date_day(2025, 11, 23), 0);
    assert_near(reckon_get(&north, "ends"), fen_date_day(2026, 3, 1), 0);
    assert_near(reckon_get(&north, "wait"), 53, 0);
    assert_near(reckon_one("dormancy", "latitude=51.5N;today=2026-03-01", "ends"), fen_date_day(2026, 3, 1), 0); /* its last day */
    assert_near(reckon_one("dormancy", "latitude=51.5N;today=2026-03-02", "begins"), fen_date_day(2026, 11, 23), 0);
    const reckoning south = reckon("dormancy", "latitude=33.9S;today=2025-10-01");
    assert_near(reckon_get(&south, "begins"), fen_date_day(2026, 5, 24), 0);
    assert_near(reckon_get(&south, "ends"), fen_date_day(2026, 8, 30), 0);
    assert_true(isnan(reckon_get(&south, "done")));
}

static void the_window_is_the_one_that_is_or_comes_next(void **state)
{
    (void)state;
    for (int32_t today = fen_date_day(2023, 1, 1); today < fen_date_day(2026, 1, 1); today++) {
        for (int south = 0; south < 2; south++) {
            char date[FEN_DATE_TEXT];
            char input[96];
            fen_date_write(date, today);
            snprintf(input, sizeof input, "latitude=45%c;today=%s;rest=17 weeks", south ? 'S' : 'N', date);
            const reckoning k = reckon("dormancy", input);
            assert_true(reckon_get(&k, "ends") >= today && reckon_get(&k, "ends") - today <= 367);
            assert_near(reckon_get(&k, "ends") - reckon_get(&k, "begins"), 119, 0);
            assert_near(reckon_get(&k, "wait"), fmax(reckon_get(&k, "begins") - today, 0), 0);
            assert_true(reckon_get(&k, "day-at-begin") < 11.5 && reckon_get(&k, "day-at-end") < 12.5);
        }
    }
}

static void a_rest_that_began_is_paid_off_day_by_day(void **state)
{
    (void)state;
    const reckoning k = reckon("dormancy", "latitude=51.5N;today=2026-01-10;started=2025-12-01;rest=10 weeks");
    assert_near(reckon_get(&k, "done"), 40, 0);
    assert_near(reckon_get(&k, "owed"), 30, 0);
    assert_near(reckon_get(&k, "ends"), fen_date_day(2026, 2, 9), 0);
    assert_near(reckon_one("dormancy", "latitude=51.5N;today=2026-06-10;started=2025-12-01;rest=10 weeks", "owed"), 0, 0);
}

static void the_sun_comes_step_by_step(void **state)
{
    (void)state;
    reckoning k = reckon("sun-ramp", "target=6h;start=2026-05-01");
    fen_reckon_value cells[FEN_RECKON_OUTPUTS];
    static const double hours[] = { 2, 2, 3, 3, 4, 4, 5, 5, 6 };
    assert_near(reckon_get(&k, "days"), 8, 0);
    assert_near(reckon_get(&k, "full-sun"), fen_date_day(2026, 5, 9), 0);
    assert_int_equal(fen_reckon_lines(k.r, k.in), COUNT(hours));
    for (size_t i = 0; i < COUNT(hours); i++) {
        fen_reckon_line(k.r, k.in, i, cells);
        assert_near(cells[0].number, (double)i + 1, 0);
        assert_near(cells[1].number, fen_date_day(2026, 5, 1) + (double)i, 0);
        assert_near(cells[2].number, hours[i], 0);
    }
    k = reckon("sun-ramp", "target=5h 30m");
    assert_int_equal(k.status, FEN_EINPUT); /* one number, one unit */
}

static void no_day_has_more_sun_than_its_target_or_jumps(void **state)
{
    (void)state;
    uint64_t seed = 5;
    for (int i = 0; i < 500; i++) {
        char input[128];
        const double from = (double)(unit_random(&seed) % 32) / 4;
        const double target = from + 0.5 + (double)(unit_random(&seed) % 36) / 4;
        const double step = 0.25 + (double)(unit_random(&seed) % 8) / 4;
        snprintf(input, sizeof input, "target=%g;from=%g;step=%g;every=%d", target, from, fmin(step, 2), (int)(1 + unit_random(&seed) % 5));
        reckoning k = reckon("sun-ramp", input);
        fen_reckon_value cells[FEN_RECKON_OUTPUTS];
        double last = from;
        const size_t n = fen_reckon_lines(k.r, k.in);
        assert_near(reckon_get(&k, "days"), (double)n - 1, 0);
        for (size_t d = 0; d < n; d++) {
            fen_reckon_line(k.r, k.in, d, cells);
            assert_true(cells[2].number >= last && cells[2].number - last <= fmin(step, 2) + 1e-12 && cells[2].number <= target);
            last = cells[2].number;
            assert_true(d == n - 1 || last < target);
        }
        assert_near(last, target, 0);
    }
}

static void impossible_seasons_are_refused(void **state)
{
    (void)state;
    assert_refused("dormancy", "latitude=4N;today=2026-01-10",
                   "at 4 deg no season is cold or short enough for a window; give the rest in a cool place instead, and count it with chill [number]");
    assert_refused("dormancy", "latitude=51N;today=2026-01-10;started=2026-02-01", "'started' is after 'today'; leave it out until the rest has begun [bad-value]");
    assert_refused("dormancy", "latitude=51N;today=2026-01-10;rest=2 weeks", "'rest' cannot be 2 weeks; give a value from 8 weeks to 22 weeks [number]");
    assert_refused("sun-ramp", "target=4h;from=5h",
                   "there is nothing to get used to from 5 h to 4 h; begin with fewer hours than it will get, or leave it where it stands [number]");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_window_lies_in_the_winter_of_its_hemisphere),
        cmocka_unit_test(the_window_is_the_one_that_is_or_comes_next),
        cmocka_unit_test(a_rest_that_began_is_paid_off_day_by_day),
        cmocka_unit_test(the_sun_comes_step_by_step),
        cmocka_unit_test(no_day_has_more_sun_than_its_target_or_jumps),
        cmocka_unit_test(impossible_seasons_are_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
