/* Numbers as text: against the C library, against Python's repr, in any locale. */
#include <float.h>
#include <locale.h>
#include <unistd.h>

#include "unit.h"
#include "util/number.h"

static double read_all(const char *text)
{
    double value;
    size_t n;
    assert_true(fen_number_read(text, strlen(text), &value, &n));
    assert_int_equal(n, strlen(text));
    return value;
}

static double from_bits(uint64_t bits)
{
    double value;
    memcpy(&value, &bits, sizeof value);
    return value;
}

static bool same_bits(double a, double b)
{
    return memcmp(&a, &b, sizeof a) == 0;
}

static void the_longest_number_at_the_start_is_taken(void **state)
{
    (void)state;
    static const struct { const char *text; double value; size_t len; } rows[] = {
        { "180ppm", 180, 3 },
        { "1,5 C", 1, 1 },          /* a comma is never a point */
        { "1.5.2", 1.5, 3 },
        { "5em", 5, 1 },            /* no digits behind the e */
        { "5e", 5, 1 },
        { "5e+", 5, 1 },
        { "5e+x", 5, 1 },
        { "5e2x", 500, 3 },
        { "5E-2", 0.05, 4 },
        { "1.", 1, 1 },             /* the point ends a sentence */
        { "1.e5", 1, 1 },
        { ".5", 0.5, 2 },
        { "-.5", -0.5, 3 },
        { "+3", 3, 2 },
        { "-40", -40, 3 },
        { "0x10", 0, 1 },           /* no hexadecimal */
        { "007", 7, 3 },            /* no octal */
        { "1_000", 1, 1 },
        { "1 000", 1, 1 },
        { "0", 0, 1 },
        { "000.000e99", 0, 10 },
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        double value = NAN;
        size_t n = 99;
        assert_true(fen_number_read(rows[i].text, strlen(rows[i].text), &value, &n));
        assert_true(same_bits(value, rows[i].value));
        assert_int_equal(n, rows[i].len);
    }
}

static void what_is_no_number_or_not_finite_is_refused_untouched(void **state)
{
    (void)state;
    static const char *const bad[] = { "", "-", "+", ".", "-.", "e5", "inf", "nan", "-inf", "infinity", "x1", " 1",
                                       "1e309", "-1e400", "1e999999999999999999999", "--1", ("\xE2\x88\x92" "5") };
    double value = 77;
    size_t n = 88;
    for (size_t i = 0; i < COUNT(bad); i++)
        assert_false(fen_number_read(bad[i], strlen(bad[i]), &value, &n));
    assert_true(same_bits(value, 77));
    assert_int_equal(n, 88);
}

static void nothing_is_read_beyond_the_length_given(void **state)
{
    (void)state;
    double value;
    size_t n;
    char *exact = malloc(3); /* a sanitizer sees a fourth byte being read */
    memcpy(exact, "1.5", 3);
    assert_true(fen_number_read(exact, 3, &value, &n));
    assert_true(same_bits(value, 1.5));
    memcpy(exact, "15e", 3);
    assert_true(fen_number_read(exact, 3, &value, &n));
    assert_int_equal(n, 2);
    memcpy(exact, "15.", 3);
    assert_true(fen_number_read(exact, 3, &value, &n));
    assert_int_equal(n, 2);
    assert_true(fen_number_read("12345", 2, &value, &n));
    assert_true(same_bits(value, 12));
    free(exact);
}

static void hard_cases_of_rounding_are_read_right(void **state)
{
    (void)state;
    assert_true(same_bits(read_all("2.2250738585072011e-308"), from_bits(0x000FFFFFFFFFFFFF))); /* hung PHP and Java, 2011 */
    assert_true(same_bits(read_all("2.2250738585072014e-308"), DBL_MIN));
    assert_true(same_bits(read_all("9007199254740993"), 9007199254740992.0)); /* half to even, IEEE 754 */
    assert_true(same_bits(read_all("9007199254740993.0000000000000000000000000000001"), 9007199254740994.0));
    assert_true(same_bits(read_all("1e23"), 1e23));
    assert_true(same_bits(read_all("1.7976931348623157e308"), DBL_MAX));
    assert_true(same_bits(read_all("4.9e-324"), from_bits(1)));
    assert_true(same_bits(read_all("1e-400"), 0.0));
    assert_true(same_bits(read_all("-0"), -0.0));
}

static void thousands_of_digits_round_as_one_number(void **state)
{
    (void)state;
    char text[6000];
    size_t n = (size_t)snprintf(text, sizeof text, "9007199254740993."); /* exactly between two doubles */
    memset(text + n, '0', 5000);
    text[n + 5000] = '\0';
    assert_true(same_bits(read_all(text), 9007199254740992.0));
    text[n + 4999] = '1';
    assert_true(same_bits(read_all(text), 9007199254740994.0));
    memset(text, '0', 5000);
    snprintf(text + 5000, 100, "1.25e3");
    assert_true(same_bits(read_all(text), 1250));
    snprintf(text, sizeof text, "0.%0*d", 4000, 0);
    snprintf(text + 4002, 100, "5e4001");
    assert_true(same_bits(read_all(text), 5));
    memset(text, '7', 400);
    snprintf(text + 400, 100, "e-399");
    assert_true(same_bits(read_all(text), strtod(text, NULL)));
}

static void random_texts_are_read_as_the_c_library_reads_them(void **state)
{
    (void)state;
    uint64_t random = 20260101;
    char text[64];
    for (int i = 0; i < 100000; i++) {
        const int digits = 1 + (int)(unit_random(&random) % 24), point = (int)(unit_random(&random) % 26);
        int n = unit_random(&random) % 2 ? 0 : snprintf(text, 2, "-");
        for (int k = 0; k < digits; k++) {
            if (k == point && k > 0)
                text[n++] = '.';
            text[n++] = (char)('0' + unit_random(&random) % 10);
        }
        text[n] = '\0';
        if (unit_random(&random) % 2)
            snprintf(text + n, 8, "e%d", (int)(unit_random(&random) % 600) - 300);
        const double want = strtod(text, NULL);
        if (isfinite(want))
            assert_true(same_bits(read_all(text), want));
    }
}

/* A finite double of any size; every third a short decimal as people type. */
static double some_double(uint64_t *random)
{
    const uint64_t bits = unit_random(random);
    if (bits % 3 == 0)
        return (double)(int64_t)(unit_random(random) % 2000000) / 1000 - 1000;
    const double value = from_bits(bits);
    return isfinite(value) ? value : from_bits(bits & ~(UINT64_C(1) << 62));
}

/* The fewest significant digits with which printf's text reads back. */
static int fewest_digits(double value)
{
    char text[64];
    for (int n = 1; n < 17; n++) {
        snprintf(text, sizeof text, "%.*e", n - 1, value);
        if (same_bits(strtod(text, NULL), value))
            return n;
    }
    return 17;
}

static int count_digits(const char *text)
{
    int count = 0, zeros = 0;
    for (; *text && *text != 'e'; text++) {
        if (*text >= '1' && *text <= '9') {
            count += 1 + zeros;
            zeros = 0;
        } else if (*text == '0' && count) {
            zeros++;
        }
    }
    return count ? count : 1;
}

static void what_is_written_is_short_and_reads_back_to_the_same_double(void **state)
{
    (void)state;
    uint64_t random = 42;
    char buf[FEN_NUMBER_MAX];
    for (int i = 0; i < 60000; i++) {
        const double value = some_double(&random);
        const size_t n = fen_number_write(buf, value);
        assert_int_equal(n, strlen(buf));
        assert_true(n < FEN_NUMBER_MAX);
        assert_true(same_bits(read_all(buf), value));
        assert_true(same_bits(strtod(buf, NULL), value));
        assert_true(count_digits(buf) <= fewest_digits(value));
    }
}

static void subnormals_and_powers_of_two_are_short_too(void **state)
{
    (void)state;
    char buf[FEN_NUMBER_MAX];
    for (int e = -1074; e < 1024; e++) {
        for (int side = -1; side <= 1; side++) {
            double value = ldexp(1, e);
            value = side < 0 ? nextafter(value, 0) : side > 0 ? nextafter(value, DBL_MAX) : value;
            fen_number_write(buf, value);
            assert_true(same_bits(read_all(buf), value));
            assert_true(count_digits(buf) <= fewest_digits(value));
        }
    }
    fen_number_write(buf, from_bits(1));
    assert_string_equal(buf, "5e-324");
}

static void written_numbers_have_the_form_that_json_reads(void **state)
{
    (void)state;
    static const struct { double value; const char *text; } rows[] = {
        { 0, "0" }, { -0.0, "-0" }, { 180, "180" }, { 0.1, "0.1" }, { -2.5, "-2.5" }, { 1e15, "1000000000000000" },
        { 1e16, "10000000000000000" }, { 1e17, "1e17" }, { 1e22, "1e22" }, { 1.5e-7, "1.5e-7" },
        { 0.00001, "0.00001" }, { 1.0 / 3, "0.3333333333333333" }, { 23.888888888888889, "23.88888888888889" },
        { DBL_MAX, "1.7976931348623157e308" }, { 0.1 + 0.2, "0.30000000000000004" },
    };
    char buf[FEN_NUMBER_MAX];
    for (size_t i = 0; i < COUNT(rows); i++) {
        fen_number_write(buf, rows[i].value);
        assert_string_equal(buf, rows[i].text);
    }
}

static void numbers_for_people_are_rounded_and_plain(void **state)
{
    (void)state;
    static const struct { double value; int digits; const char *text; } rows[] = {
        { 180, 3, "180" },       { 0.25, 3, "0.25" },    { 23.888888, 3, "23.9" }, { 1234.5, 3, "1230" },
        { 999.9, 3, "1000" },    { 0.0999, 2, "0.1" },   { -0.0, 3, "0" },         { 5e-8, 3, "5e-8" },
        { 1e14, 3, "100000000000000" }, { 1e15, 3, "1e15" }, { -17.24, 3, "-17.2" }, { 0.5, 1, "0.5" },
        { 2.0 / 3, 0, "0.7" },   { 1.0 / 3, 99, "0.33333333333333331" }, { 0.000123456, 3, "0.000123" },
    };
    char buf[FEN_NUMBER_MAX];
    for (size_t i = 0; i < COUNT(rows); i++) {
        assert_int_equal(fen_number_show(buf, rows[i].value, rows[i].digits), strlen(rows[i].text));
        assert_string_equal(buf, rows[i].text);
    }
}

static void shown_numbers_agree_with_printf(void **state)
{
    (void)state;
    uint64_t random = 4711;
    char buf[FEN_NUMBER_MAX], want[64];
    for (int i = 0; i < 50000; i++) {
        const double value = some_double(&random);
        const int digits = 1 + (int)(unit_random(&random) % 17);
        fen_number_show(buf, value, digits);
        snprintf(want, sizeof want, "%.*e", digits - 1, value);
        const double rounded = strtod(want, NULL);
        if (isfinite(rounded))
            assert_true(same_bits(strtod(buf, NULL), rounded));
    }
}

/* ---- against Python, whose repr is the shortest decimal by another algorithm ---- */

static FILE *python(const char *numbers)
{
    char command[300];
    if (system("python3 -c '' >/dev/null 2>&1"))
        return NULL;
    snprintf(command, sizeof command,
             "python3 -c 'import sys\nfor l in open(sys.argv[1]): print(repr(float.fromhex(l)))' %s", numbers);
    return popen(command, "r");
}

static void shortest_digits_are_those_of_pythons_repr(void **state)
{
    (void)state;
    enum { N = 20000 };
    char path[] = "/tmp/fenmend-numbers-XXXXXX", line[64], buf[FEN_NUMBER_MAX];
    const int fd = mkstemp(path);
    assert_true(fd >= 0);
    FILE *out = fdopen(fd, "w");
    uint64_t random = 99;
    for (int i = 0; i < N; i++)
        fprintf(out, "%a\n", some_double(&random));
    fclose(out);
    FILE *answers = python(path);
    if (!answers) {
        unlink(path);
        skip();
    }
    random = 99;
    for (int i = 0; i < N; i++) {
        const double value = some_double(&random);
        assert_non_null(fgets(line, sizeof line, answers));
        fen_number_write(buf, value);
        assert_true(same_bits(strtod(line, NULL), value));
        assert_int_equal(count_digits(buf), count_digits(line));
    }
    pclose(answers);
    unlink(path);
}

/* ---- in a locale whose point is a comma ---- */

/* One that is installed, or one made for this test by localedef. */
static bool set_comma_locale(char *folder)
{
    static const char *const installed[] = { "de_DE.UTF-8", "fr_FR.UTF-8", "nl_NL.UTF-8", "ru_RU.UTF-8" };
    for (size_t i = 0; i < COUNT(installed); i++)
        if (setlocale(LC_ALL, installed[i]) && strcmp(localeconv()->decimal_point, ",") == 0)
            return true;
    char command[200];
    snprintf(command, sizeof command, "localedef -i de_DE -f UTF-8 %s/de_DE.UTF-8 >/dev/null 2>&1", folder);
    if (system(command))
        return false;
    setenv("LOCPATH", folder, 1);
    return setlocale(LC_ALL, "de_DE.UTF-8") && strcmp(localeconv()->decimal_point, ",") == 0;
}

static void a_locale_with_a_comma_changes_nothing(void **state)
{
    (void)state;
    char folder[] = "/tmp/fenmend-locale-XXXXXX", buf[FEN_NUMBER_MAX], command[100], c_text[64];
    assert_non_null(mkdtemp(folder));
    const bool set = set_comma_locale(folder);
    snprintf(c_text, sizeof c_text, "%.1f", 1.5);
    if (set) {
        assert_string_equal(c_text, "1,5"); /* the locale does what it should */
        assert_true(same_bits(read_all("1234.5678901234567"), 1234.5678901234567));
        assert_true(same_bits(read_all("2.2250738585072011e-308"), from_bits(0x000FFFFFFFFFFFFF)));
        double value;
        size_t n;
        assert_true(fen_number_read("1,5", 3, &value, &n));
        assert_int_equal(n, 1);
        fen_number_write(buf, 0.30000000000000004);
        assert_string_equal(buf, "0.30000000000000004");
        fen_number_show(buf, 23.888888, 3);
        assert_string_equal(buf, "23.9");
    }
    setlocale(LC_ALL, "C");
    snprintf(command, sizeof command, "rm -r %s", folder);
    assert_int_equal(system(command), 0);
    if (!set)
        skip();
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_longest_number_at_the_start_is_taken),
        cmocka_unit_test(what_is_no_number_or_not_finite_is_refused_untouched),
        cmocka_unit_test(nothing_is_read_beyond_the_length_given),
        cmocka_unit_test(hard_cases_of_rounding_are_read_right),
        cmocka_unit_test(thousands_of_digits_round_as_one_number),
        cmocka_unit_test(random_texts_are_read_as_the_c_library_reads_them),
        cmocka_unit_test(what_is_written_is_short_and_reads_back_to_the_same_double),
        cmocka_unit_test(subnormals_and_powers_of_two_are_short_too),
        cmocka_unit_test(written_numbers_have_the_form_that_json_reads),
        cmocka_unit_test(numbers_for_people_are_rounded_and_plain),
        cmocka_unit_test(shown_numbers_agree_with_printf),
        cmocka_unit_test(shortest_digits_are_those_of_pythons_repr),
        cmocka_unit_test(a_locale_with_a_comma_changes_nothing),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
