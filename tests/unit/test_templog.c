/* Temperature logs: what is read, and where a broken one is broken. */
#include "advice/templog.h"
#include "unit/unit.h"
#include "util/date.h"

typedef struct summary {
    size_t spans;
    double hours, unlogged, low, high, first;
    fen_status status;
    fen_reckon_error error;
} summary;

static summary read_all(const char *text)
{
    summary s = { .low = 1000, .high = -1000 };
    fen_templog log;
    fen_templog_span span;
    bool more = true;
    s.status = fen_templog_open(text, strlen(text), &log, &s.error);
    while (!s.status && more) {
        s.status = fen_templog_next(&log, &span, &more, &s.error);
        if (s.status || !more)
            break;
        if (!s.spans++)
            s.first = span.day;
        s.hours += span.hours;
        s.unlogged += span.unlogged;
        s.low = fmin(s.low, span.low);
        s.high = fmax(s.high, span.high);
    }
    return s;
}

static void logs_of_many_loggers_are_read(void **state)
{
    (void)state;
    static const struct {
        const char *text;
        size_t spans;
        double hours, unlogged, low, high;
    } rows[] = {
        { "date,time,temperature C\n2026-01-01,00:00,4\n2026-01-01,01:00,5\n", 2, 2, 0, 4, 5 },
        { "Timestamp;Temp (\xC2\xB0" "F);RH\r\n2026-01-01 00:00:00;50;80\r\n2026-01-01 00:30:00;41;81\r\n", 2, 1, 0, 5, 10 },
        { "\xEF\xBB\xBFtime\ttemp_c\n2026-01-01T00:00:00Z\t-1.5\n2026-01-01T02:00:00.25+01:00\t2\n", 2, 4, 0, -1.5, 2 },
        { "id,\"date\",\"min C\",\"max C\"\n1,\"2026-01-01\",\"-2\",\"7\"\n2,\"2026-01-02\",\"0\",\"9\"\n", 2, 48, 0, -2, 9 },
        { "date,temp\n2026-01-01,4 C\n2026-01-02,50F\n", 2, 48, 0, 4, 10 },
        { "date,note,temp C\n2026-01-01,\"two\nlines, \"\"quoted\"\"\",4\n\n2026-01-02,,5", 2, 48, 0, 4, 5 },
        { "date,temp C\n", 0, 0, 0, 1000, -1000 },
        /* a failed reading is a hole: 4 hours, of which the reading before stands for one */
        { "time,temp C\n2026-01-01 00:00,1\n2026-01-01 01:00,1\n2026-01-01 02:00,\n2026-01-01 03:00,NaN\n2026-01-01 04:00,--\n2026-01-01 05:00,3\n", 3, 3, 3, 1, 3 },
        /* clocks go back: the hour is there twice, and counts twice */
        { "time,temp C\n2026-10-25 01:00,5\n2026-10-25 02:00,5\n2026-10-25 02:00,5\n2026-10-25 03:00,5\n", 4, 4, 0, 5, 5 },
        { "time,temp C\n2026-10-25 01:30,5\n2026-10-25 02:30,5\n2026-10-25 02:00,5\n2026-10-25 03:00,5\n", 4, 4, 0, 5, 5 },
        { "date,low C,high C\n2026-01-01,1,5\n2026-01-05,1,5\n", 2, 48, 72, 1, 5 },
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        const summary s = read_all(rows[i].text);
        if (s.status)
            fail_msg("row %zu: %u:%u: %s; %s", i, s.error.line, s.error.column, s.error.wrong, s.error.right);
        assert_int_equal(s.spans, rows[i].spans);
        assert_near(s.hours, rows[i].hours, 0.01);
        assert_near(s.unlogged, rows[i].unlogged, 1e-6);
        assert_near(s.low, rows[i].low, 1e-9);
        assert_near(s.high, rows[i].high, 1e-9);
    }
}

static void a_broken_log_is_refused_at_its_place(void **state)
{
    (void)state;
    static const struct {
        const char *text, *wrong;
        uint32_t line, column;
    } rows[] = {
        { "", "the log is empty", 1, 1 },
        { "\n\n", "the log is empty", 1, 1 },
        { "temp C\n4\n", "the log's first line names no date", 1, 1 },
        { "date,humidity\n2026-01-01,80\n", "the log's first line names no temperature", 1, 1 },
        { "date,low C\n2026-01-01,4\n", "the log's first line names no temperature", 1, 1 },
        { "date,temp C\n01/02/2026,4\n", "'01/02/2026' is not a date", 2, 1 },
        { "date,temp C\n2026-02-30,4\n", "'2026-02-30' is not a date", 2, 1 },
        { "date,time,temp C\n2026-01-01,2 pm,4\n", "'2 pm' is not a time of day", 2, 12 },
        { "date,time,temp C\n2026-01-01,24:30,4\n", "'24:30' is not a time of day", 2, 12 },
        { "date;temp C\n2026-01-01;4,5\n", "'4,5' is neither in C nor in F", 2, 13 },
        { "date,temp\n2026-01-01,4\n", "'4' is neither in C nor in F", 2, 13 },
        { "date,temp C\n2026-01-01,cold\n", "'cold' is not a temperature", 2, 12 },
        { "date,temp C\n2026-01-01,75\n", "no air is at 75 C", 2, 12 },
        { "date,note,temp C\n2026-01-01,\xC3\xA4\xC3\xB6,x\n", "'x' is not a temperature", 2, 15 },
        { "date,temp C\n2026-01-02,4\n2026-01-01,4\n", "this row is not later than the one before it", 3, 1 },
        { "date,temp C\n2026-01-02,4\n2026-01-02,4\n", "this row is not later than the one before it", 3, 1 },
        { "time,temp C\n2026-01-02 10:00,4\n2026-01-02 08:30,4\n", "this row is not later than the one before it", 3, 1 },
        { "date,low C,high C\n2026-01-02,9,4\n", "the lowest is above the highest", 2, 12 },
        { "date,note,temp C\n2026-01-01,\"a\nb\",4\n2026-01-02,,x\n", "'x' is not a temperature", 4, 13 },
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        const summary s = read_all(rows[i].text);
        if (s.status != FEN_EINPUT)
            fail_msg("row %zu was taken", i);
        assert_string_equal(s.error.wrong, rows[i].wrong);
        assert_true(s.error.right[0]);
        assert_int_equal(s.error.line, rows[i].line);
        assert_int_equal(s.error.column, rows[i].column);
    }
}

static void days_begin_where_they_should(void **state)
{
    (void)state;
    assert_near(read_all("time,temp C\n2026-01-01 18:00,1\n").first, fen_date_day(2026, 1, 1) + 0.75, 1e-9);
    assert_near(read_all("date,temp C\n0001-01-01,1\n").first, fen_date_day(1, 1, 1), 0);
}

/* Whatever bytes come, it ends, stays inside them, and every refusal has its words. */
static void noise_is_refused_or_read_but_never_more(void **state)
{
    (void)state;
    static const char pieces[][12] = { "date", "time", "temp C", "low C", "high F", ",", ";", "\t", "\n", "\r\n", "\"", "2026-01-01", "2026-01-02",
                                       "12:30", "T", " ", "4", "-4.5", "C", "F", "1e9", "nan", "\xC3", "\xC2\xB0", "x", "" };
    uint64_t seed = 99;
    for (int i = 0; i < 20000; i++) {
        char text[256] = "";
        size_t len = i % 2 ? (size_t)snprintf(text, sizeof text, "date,time,temp C\n") : 0;
        const size_t n = unit_random(&seed) % 20;
        for (size_t k = 0; k < n; k++)
            len += (size_t)snprintf(text + len, sizeof text - len, "%s", pieces[unit_random(&seed) % COUNT(pieces)]);
        char *exact = malloc(len + 1); /* so that a sanitizer sees a step too far */
        assert_non_null(exact);
        memcpy(exact, text, len + 1);
        const summary s = read_all(exact);
        free(exact);
        if (s.status) {
            assert_int_equal(s.status, FEN_EINPUT);
            assert_true(s.error.wrong[0] && s.error.right[0] && s.error.line >= 1 && s.error.column >= 1);
        } else {
            assert_true(isfinite(s.hours) && s.hours >= 0 && s.unlogged >= 0);
        }
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(logs_of_many_loggers_are_read),
        cmocka_unit_test(a_broken_log_is_refused_at_its_place),
        cmocka_unit_test(days_begin_where_they_should),
        cmocka_unit_test(noise_is_refused_or_read_but_never_more),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
