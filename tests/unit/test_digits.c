/* test_digits.c -- the fast writers against the right ones and against strtod. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "unit.h"
#include "util/digits.h"

static uint64_t state = UINT64_C(0x9E3779B97F4A7C15);
static uint64_t next_random(void)
{
    state ^= state << 13;
    state ^= state >> 7;
    state ^= state << 17;
    return state;
}

static size_t significant(const char *text)
{
    size_t n = 0;
    for (; *text && *text != 'e'; text++)
        n += *text >= '0' && *text <= '9' && (n || *text != '0');
    return n;
}

static void check(double p)
{
    char fast[FEN_NUMBER_MAX], slow[FEN_NUMBER_MAX];
    const size_t len = fen_digits_chance(fast, p);
    assert_int_equal(len, strlen(fast));
    if (strtod(fast, NULL) != p)
        fail_msg("%.17g became %s", p, fast);
    fen_number_write(slow, p);
    if (significant(fast) > significant(slow))
        fail_msg("%s has more digits than %s", fast, slow);
    /* of as many digits the nearest; two may be equally near */
    if (fabsl(strtold(fast, NULL) - p) > fabsl(strtold(slow, NULL) - p) + p * 1e-19L)
        fail_msg("%s is farther from %.25g than %s", fast, p, slow);
}

static void a_chance_reads_back_as_the_same_double_in_as_few_digits(void **unused)
{
    static const double rows[] = { 0, 1, 0.5, 0.25, 0.1, 0.3, 1.0 / 3, 2.0 / 3, 0.99, 1 - 0x1p-53, 1 - 0x1p-52, 0x1p-20,
                                   0x1p-35, 1e-11, 2e-11, 1e-10, 1e-5, 9.999999999999999e-6, 1e-300, 5e-324, 0.007, 1.5, 100 };
    (void)unused;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        check(rows[i]);
    for (int i = 0; i < 200000; i++) {
        const double u = (double)(next_random() >> 11) * 0x1p-53;
        check(u);
        check(u * pow(10, -(double)(next_random() % 14)));
        check((double)(next_random() % 1000) / 1000);
        check((double)(next_random() % 100000) * ldexp(1, -(int)(next_random() % 36))); /* halves of a digit */
    }
}

static void neighbours_of_powers_of_two_are_told_apart(void **unused)
{
    (void)unused;
    for (int e = -36; e < 0; e++)
        for (int i = -3; i <= 3; i++) {
            double p = ldexp(1, e);
            for (int k = i; k; k += k < 0 ? 1 : -1)
                p = nextafter(p, k < 0 ? 0 : 1);
            check(p);
        }
}

static void a_score_is_written_exactly(void **unused)
{
    static const struct { int64_t value; const char *text; } rows[] = {
        { 0, "0" }, { INT64_C(1000000000000), "1" }, { INT64_C(-7500000000000), "-7.5" }, { 1, "0.000000000001" },
        { -1, "-0.000000000001" }, { INT64_C(3010299956640), "3.01029995664" }, { INT64_C(120000000000000), "120" },
        { INT64_MIN, "-9223372.036854775808" }, { INT64_MAX, "9223372.036854775807" },
    };
    char buf[FEN_DIGITS_FIXED];
    (void)unused;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        assert_int_equal(fen_digits_fixed12(buf, rows[i].value), strlen(rows[i].text));
        assert_string_equal(buf, rows[i].text);
    }
    for (int i = 0; i < 100000; i++) { /* and reads back as the quotient that is shown elsewhere */
        const int64_t v = (int64_t)(next_random() % UINT64_C(2000000000000000)) - INT64_C(1000000000000000);
        fen_digits_fixed12(buf, v);
        assert_true(strtod(buf, NULL) == (double)v / 1e12);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_chance_reads_back_as_the_same_double_in_as_few_digits),
        cmocka_unit_test(neighbours_of_powers_of_two_are_told_apart),
        cmocka_unit_test(a_score_is_written_exactly),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
