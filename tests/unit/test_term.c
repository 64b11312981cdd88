/* test_term.c -- width, colour and character set, as the environment says. */
#include <fcntl.h>
#include <locale.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

#include "cli/term.h"
#include "util/vec.h"

static int nowhere; /* no terminal */

static int open_nowhere(void **state)
{
    (void)state;
    nowhere = open("/dev/null", O_RDWR);
    return nowhere < 0 ? -1 : 0;
}

static void columns_are_believed_when_they_are_a_number(void **state)
{
    (void)state;
    static const struct {
        const char *columns;
        uint32_t width;
    } rows[] = {
        {NULL, 80}, {"", 80},     {"50", 50},       {"200", 200},       {"10", 32},
        {"0", 80},  {"-5", 80},   {"80x", 80},      {"1e3", 80},        {"99999999999999999999", 1000},
        {"32", 32}, {" 50", 80},
    };
    for (size_t i = 0; i < FEN_COUNT(rows); i++) {
        if (rows[i].columns)
            setenv("COLUMNS", rows[i].columns, 1);
        else
            unsetenv("COLUMNS");
        assert_int_equal(fen_term_width(nowhere), rows[i].width);
    }
    unsetenv("COLUMNS");
}

static void colour_goes_to_terminals_only_unless_it_is_asked_for(void **state)
{
    (void)state;
    setenv("TERM", "xterm", 1);
    unsetenv("NO_COLOR");
    assert_false(fen_term_colour(FEN_COLOUR_AUTO, nowhere));
    assert_true(fen_term_colour(FEN_COLOUR_ALWAYS, nowhere));
    setenv("NO_COLOR", "1", 1);
    assert_true(fen_term_colour(FEN_COLOUR_ALWAYS, nowhere)); /* no-color.org: a flag of the program's own may override */
    assert_false(fen_term_colour(FEN_COLOUR_NEVER, nowhere));
    unsetenv("NO_COLOR");
}

static const struct {
    const char *typed, *utf8, *latin1; /* what it is read as; NULL: refused */
} bytes[] = {
    {"75 ppm", "75 ppm", "75 ppm"},
    {"24 \xc2\xb0" "C", "24 \xc2\xb0" "C", "24 \xc2\xb0" "C"}, /* what is UTF-8 stays it */
    {"24 \xb0" "C", NULL, "24 \xc2\xb0" "C"},                  /* ISO/IEC 8859-1: B0 is the degree sign, */
    {"\xb5mol, \xe9t\xe9", NULL, "\xc2\xb5mol, \xc3\xa9t\xc3\xa9"}, /* B5 the micro sign, E9 e acute */
    {"", "", ""},
};

static void read_all(int latin1)
{
    for (size_t i = 0; i < FEN_COUNT(bytes); i++) {
        fen_str out;
        fen_str_init(&out, 4096);
        const char *want = latin1 ? bytes[i].latin1 : bytes[i].utf8;
        assert_int_equal(fen_term_read(&out, bytes[i].typed, strlen(bytes[i].typed)), want != NULL);
        if (want)
            assert_string_equal(out.at, want);
        fen_str_free(&out);
    }
}

static void bytes_that_are_no_utf8_are_refused_in_a_utf8_locale(void **state)
{
    (void)state;
    assert_non_null(setlocale(LC_CTYPE, "C.UTF-8"));
    assert_true(fen_term_utf8());
    read_all(0);
}

static void the_posix_locale_is_not_utf8(void **state)
{
    (void)state;
    assert_non_null(setlocale(LC_CTYPE, "C"));
    assert_false(fen_term_utf8());
    read_all(0);
}

/* A locale of that character set is made here, if the system has the sources. */
static void another_character_set_is_converted(void **state)
{
    (void)state;
    char folder[] = "/tmp/fenmend-locale-XXXXXX", line[256];
    assert_non_null(mkdtemp(folder));
    snprintf(line, sizeof line, "localedef -i en_GB -f ISO-8859-1 %s/en_GB.ISO-8859-1 >/dev/null 2>&1", folder);
    const int made = system(line);
    setenv("LOCPATH", folder, 1);
    const int set = setlocale(LC_CTYPE, "en_GB.ISO-8859-1") != NULL;
    if (set) {
        assert_false(fen_term_utf8());
        read_all(1);
        /* a character set is converted in pieces; none may be lost between them */
        char many[1000], twice[2001];
        memset(many, '\xe9', sizeof many);
        for (size_t i = 0; i < sizeof many; i++)
            memcpy(twice + 2 * i, "\xc3\xa9", 2);
        twice[2000] = '\0';
        fen_str out;
        fen_str_init(&out, 4096);
        assert_true(fen_term_read(&out, many, sizeof many));
        assert_string_equal(out.at, twice);
        fen_str_free(&out);
    }
    unsetenv("LOCPATH");
    setlocale(LC_CTYPE, "C");
    snprintf(line, sizeof line, "rm -rf %s", folder);
    assert_int_equal(system(line), 0);
    if (made || !set)
        skip();
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(columns_are_believed_when_they_are_a_number),
        cmocka_unit_test(colour_goes_to_terminals_only_unless_it_is_asked_for),
        cmocka_unit_test(bytes_that_are_no_utf8_are_refused_in_a_utf8_locale),
        cmocka_unit_test(the_posix_locale_is_not_utf8),
        cmocka_unit_test(another_character_set_is_converted),
    };
    return cmocka_run_group_tests(tests, open_nowhere, NULL);
}
