/* Days of the calendar, against the C library's own and published day numbers. */
#include <time.h>

#include "unit.h"
#include "util/date.h"

static void known_days_have_their_numbers(void **state)
{
    (void)state;
    static const struct { int y, m, d; int32_t day; const char *source; } rows[] = {
        { 1970, 1, 1, 0, "POSIX, seconds since the epoch" },
        { 2000, 1, 1, 10957, "POSIX, 946684800 s / 86400" },
        { 2038, 1, 19, 24855, "last day of 32-bit seconds: 2147483647 s" },
        { 1858, 11, 17, -40587, "Modified Julian Date 0 (MJD 40587 is 1970-01-01)" },
        { 2000, 3, 1, 11017, "day after the leap day of a year divisible by 400" },
        { 1, 1, 1, -719162, "ISO 8601 proleptic; Rata Die 1 (Reingold and Dershowitz)" },
        { 1945, 11, 12, -8816, "Rata Die 710347 (Reingold and Dershowitz, Calendrical Calculations)" },
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        int y, m, d;
        assert_int_equal(fen_date_day(rows[i].y, rows[i].m, rows[i].d), rows[i].day);
        fen_date_parts(rows[i].day, &y, &m, &d);
        assert_int_equal(y, rows[i].y);
        assert_int_equal(m, rows[i].m);
        assert_int_equal(d, rows[i].d);
    }
}

static void every_day_of_six_centuries_agrees_with_the_c_library(void **state)
{
    (void)state;
    for (int32_t day = -110000; day <= 110000; day++) {
        const time_t t = (time_t)day * 86400;
        struct tm tm;
        int y, m, d;
        assert_non_null(gmtime_r(&t, &tm));
        fen_date_parts(day, &y, &m, &d);
        assert_int_equal(y, tm.tm_year + 1900);
        assert_int_equal(m, tm.tm_mon + 1);
        assert_int_equal(d, tm.tm_mday);
        assert_int_equal(fen_date_day(y, m, d), day);
    }
}

static void any_day_number_goes_to_parts_and_back(void **state)
{
    (void)state;
    uint64_t random = 7;
    char buf[FEN_DATE_TEXT];
    for (int i = 0; i < 100000; i++) {
        const int32_t day = i == 0 ? INT32_MIN : i == 1 ? INT32_MAX : (int32_t)(uint32_t)unit_random(&random);
        int y, m, d;
        fen_date_parts(day, &y, &m, &d);
        assert_in_range(m, 1, 12);
        assert_in_range(d, 1, 31);
        assert_int_equal(fen_date_day(y, m, d), day);
        fen_date_write(buf, day);
        assert_true(strlen(buf) < FEN_DATE_TEXT);
    }
}

static void leap_years_follow_the_gregorian_rule(void **state)
{
    (void)state;
    assert_true(fen_date_valid(2024, 2, 29));
    assert_true(fen_date_valid(2000, 2, 29));
    assert_false(fen_date_valid(1900, 2, 29));
    assert_false(fen_date_valid(2023, 2, 29));
    assert_false(fen_date_valid(2024, 2, 30));
    assert_false(fen_date_valid(2024, 4, 31));
    assert_false(fen_date_valid(2024, 13, 1));
    assert_false(fen_date_valid(2024, 0, 1));
    assert_false(fen_date_valid(2024, 1, 0));
    assert_false(fen_date_valid(0, 1, 1));
    assert_false(fen_date_valid(10000, 1, 1));
}

static void only_whole_iso_dates_are_read(void **state)
{
    (void)state;
    static const char *const bad[] = { "", "2026", "2026-1-1", "26-01-01", "2026-02-29", "2026/01/01", "2026-01-01 ",
                                       " 2026-01-01", "2026-01-1x", "+026-01-01", "2026-00-10", "0000-01-01",
                                       "20260101", "2026-01-011", "-026-01-01" };
    int32_t day = 99;
    for (size_t i = 0; i < COUNT(bad); i++)
        assert_false(fen_date_read(bad[i], strlen(bad[i]), &day));
    assert_int_equal(day, 99);
    assert_true(fen_date_read("2026-11-25", 10, &day));
    assert_int_equal(day, fen_date_day(2026, 11, 25));
    assert_true(fen_date_read("2026-11-25 and more", 10, &day));
    assert_true(fen_date_read("0001-01-01", 10, &day));
    assert_true(fen_date_read("9999-12-31", 10, &day));
}

static void what_is_written_reads_back(void **state)
{
    (void)state;
    char buf[FEN_DATE_TEXT];
    for (int32_t day = fen_date_day(1, 1, 1); day <= fen_date_day(9999, 12, 31); day += 97) {
        int32_t back;
        fen_date_write(buf, day);
        assert_true(fen_date_read(buf, strlen(buf), &back));
        assert_int_equal(back, day);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(known_days_have_their_numbers),
        cmocka_unit_test(every_day_of_six_centuries_agrees_with_the_c_library),
        cmocka_unit_test(any_day_number_goes_to_parts_and_back),
        cmocka_unit_test(leap_years_follow_the_gregorian_rule),
        cmocka_unit_test(only_whole_iso_dates_are_read),
        cmocka_unit_test(what_is_written_reads_back),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
