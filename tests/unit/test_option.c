/* test_option.c -- made-up command lines read by made-up tables.
 *
 * The conventions are those of POSIX.1-2017 XBD 12.2 (guidelines 4 to 10, 13) and
 * of the GNU coding standards' chapter on long options; each row that follows
 * from one of them says so.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "cli/command.h"
#include "cli/option.h"
#include "util/alloc.h"

typedef struct args {
    fen_opt_list packs;
    bool strict, quiet;
    int format;
    uint32_t jobs;
    const char *title;
    fen_opt_date day;
} args;

#define TO(member) offsetof(args, member)
static const fen_opt rows[] = {
    {FEN_OPT_LIST, 'r', "rules", TO(packs), "FILE", "packs to add"},
    {FEN_OPT_FLAG, 's', "strict", TO(strict), NULL, "be strict"},
    {FEN_OPT_FLAG, 'q', "quiet", TO(quiet), NULL, "say less"},
    {FEN_OPT_CHOICE, 'f', "format", TO(format), "table|json|csv", "shape of the results"},
    {FEN_OPT_COUNT, 'j', "jobs", TO(jobs), "N", "how many at once"},
    {FEN_OPT_TEXT, 't', "title", TO(title), "TEXT", "a title"},
    {FEN_OPT_DATE, 0, "today", TO(day), "DATE", "the day"},
    {.type = FEN_OPT_END},
};

typedef struct result {
    args a;
    fen_opt_list operands;
    int used;
    fen_status st;
    char err[FEN_OPT_ERROR];
} result;

/* Read LINE, cut at single blanks. */
static void read_line(const char *line, bool to_operand, result *r)
{
    static char text[256];
    char *argv[32];
    int argc = 0;
    *r = (result){.a.format = 0};
    strcpy(text, line);
    for (char *p = strtok(text, " "); p; p = strtok(NULL, " "))
        argv[argc++] = p;
    const fen_opt_group group = {rows, &r->a};
    r->st = fen_opt_read(&group, 1, argc, argv, to_operand, &r->operands, &r->used, r->err);
}

static void drop(result *r)
{
    fen_opt_list_free(&r->operands);
    fen_opt_list_free(&r->a.packs);
}

static void a_value_may_be_attached_or_the_next_argument(void **state)
{
    (void)state;
    static const char *const same[] = {
        "--format=json", "--format json", "-f json", "-fjson", /* guideline 6 and GNU */
        "--fo=json",                                          /* GNU: an unambiguous beginning */
    };
    for (size_t i = 0; i < FEN_COUNT(same); i++) {
        result r;
        read_line(same[i], false, &r);
        assert_int_equal(r.st, FEN_OK);
        assert_int_equal(r.a.format, 1);
        assert_int_equal(r.operands.count, 0);
        drop(&r);
    }
}

static void flags_may_share_one_hyphen_and_end_in_a_value(void **state)
{
    (void)state;
    result r;
    read_line("-sqj4 x", false, &r); /* guideline 5 */
    assert_int_equal(r.st, FEN_OK);
    assert_true(r.a.strict && r.a.quiet);
    assert_int_equal(r.a.jobs, 4);
    assert_int_equal(r.operands.count, 1);
    drop(&r);
}

static void options_and_operands_mix_until_two_hyphens(void **state)
{
    (void)state;
    result r;
    read_line("a -s - b -- -q --jobs", false, &r); /* GNU permutation; guidelines 10 and 13 */
    assert_int_equal(r.st, FEN_OK);
    assert_true(r.a.strict);
    assert_false(r.a.quiet);
    static const char *const left[] = {"a", "-", "b", "-q", "--jobs"};
    assert_int_equal(r.operands.count, FEN_COUNT(left));
    for (size_t i = 0; i < FEN_COUNT(left); i++)
        assert_string_equal(r.operands.at[i], left[i]);
    drop(&r);
}

static void reading_can_stop_before_the_command(void **state)
{
    (void)state;
    result r;
    read_line("-s --jobs 3 explain -q", true, &r);
    assert_int_equal(r.st, FEN_OK);
    assert_int_equal(r.used, 3);
    assert_false(r.a.quiet);
    assert_int_equal(r.operands.count, 0);
    drop(&r);
}

static void a_list_keeps_every_value_in_order_and_others_keep_the_last(void **state)
{
    (void)state;
    result r;
    read_line("--rules=a -rb --rules c -fcsv -f table", false, &r);
    assert_int_equal(r.st, FEN_OK);
    assert_int_equal(r.a.packs.count, 3);
    assert_string_equal(r.a.packs.at[1], "b");
    assert_int_equal(r.a.format, 0);
    drop(&r);
}

static void a_value_may_begin_with_a_hyphen_or_be_empty(void **state)
{
    (void)state;
    result r;
    read_line("--title -x", false, &r); /* the next argument is the value, whatever it is */
    assert_int_equal(r.st, FEN_OK);
    assert_string_equal(r.a.title, "-x");
    drop(&r);
    read_line("--title=", false, &r);
    assert_int_equal(r.st, FEN_OK);
    assert_string_equal(r.a.title, "");
    drop(&r);
}

static void a_date_is_a_day_of_the_calendar(void **state)
{
    (void)state;
    result r;
    read_line("--today=1970-01-02", false, &r);
    assert_true(r.a.day.given);
    assert_int_equal(r.a.day.day, 1);
    drop(&r);
    read_line("--today=2026-02-29", false, &r);
    assert_int_equal(r.st, FEN_EINPUT);
    assert_false(r.a.day.given);
    drop(&r);
}

static const struct {
    const char *line, *says;
} refusals[] = {
    {"--frmat=json", "unknown option '--frmat'; did you mean '--format'"},
    {"--zzz", "unknown option '--zzz'; '--help' lists the options"},
    {"-x", "unknown option '-x'; '--help' lists the options"},
    {"--t=2", "option '--t' could be two; write '--title' or '--today'"},
    {"--format=xml", "'xml' is no value of '--format'; write one of table|json|csv"},
    {"--format=tab", "'tab' is no value of '--format'; write one of table|json|csv"}, /* choices are not shortened */
    {"--format", "option '--format' needs a value; write '--format=table|json|csv'"},
    {"-sj", "option '--jobs' needs a value; write '--jobs=N'"},
    {"-j0", "'0' is no value of '--jobs'; write a whole number from 1"},
    {"-j-1", "'-1' is no value of '--jobs'; write a whole number from 1"},
    {"-j 4294967296", "'4294967296' is no value of '--jobs'; write a whole number from 1"},
    {"-j 1e3", "'1e3' is no value of '--jobs'; write a whole number from 1"},
    {"--strict=yes", "option '--strict' takes no value; write '--strict' alone"},
    {"--today=12.7.2026", "'12.7.2026' is no date for '--today'; write year, month and day as in 2026-07-12"},
    {"--=3", "unknown option '--'; '--help' lists the options"},
};

static void every_refusal_says_what_would_be_right(void **state)
{
    (void)state;
    for (size_t i = 0; i < FEN_COUNT(refusals); i++) {
        result r;
        read_line(refusals[i].line, false, &r);
        assert_int_equal(r.st, FEN_EINPUT);
        assert_string_equal(r.err, refusals[i].says);
        drop(&r);
    }
}

static void the_greatest_count_is_the_greatest_number_of_32_bits(void **state)
{
    (void)state;
    result r;
    read_line("-j 4294967295", false, &r);
    assert_int_equal(r.st, FEN_OK);
    assert_true(r.a.jobs == UINT32_MAX);
    drop(&r);
}

static void a_hostile_line_is_quoted_in_part_only(void **state)
{
    (void)state;
    char line[250] = "--";
    memset(line + 2, 'z', sizeof line - 3);
    result r;
    read_line(line, false, &r);
    assert_int_equal(r.st, FEN_EINPUT);
    assert_true(strlen(r.err) < 120);
    drop(&r);
}

static void help_has_a_line_for_every_row_and_fits_the_width(void **state)
{
    (void)state;
    static const size_t widths[] = {32, 50, 80, 120};
    for (size_t w = 0; w < FEN_COUNT(widths); w++) {
        fen_str out;
        fen_str_init(&out, 1u << 16);
        fen_opt_help(&out, rows, widths[w]);
        assert_int_equal(fen_str_status(&out), FEN_OK);
        for (const fen_opt *o = rows; o->type != FEN_OPT_END; o++)
            assert_non_null(strstr(out.at, o->name));
        for (const char *p = out.at; *p; p = strchr(p, '\n') + 1)
            assert_true((size_t)(strchr(p, '\n') - p) <= widths[w]);
        fen_str_free(&out);
    }
}

static void a_doubled_or_half_filled_row_is_found(void **state)
{
    (void)state;
    static const fen_opt doubled[] = {
        {FEN_OPT_FLAG, 'a', "all", 0, NULL, "x"}, {FEN_OPT_FLAG, 'a', "any", 1, NULL, "x"}, {.type = FEN_OPT_END}};
    static const fen_opt half[] = {{FEN_OPT_TEXT, 0, "title", 0, NULL, "x"}, {.type = FEN_OPT_END}};
    char into[8];
    assert_false(fen_opt_sound(&(fen_opt_group){doubled, into}, 1));
    assert_false(fen_opt_sound(&(fen_opt_group){half, into}, 1));
    const fen_opt_group twice[] = {{rows, into}, {rows, into}};
    assert_false(fen_opt_sound(twice, 2));
}

static void the_tables_of_the_program_are_sound(void **state)
{
    (void)state;
    static const fen_opt none[] = {{.type = FEN_OPT_END}};
    char into[8];
    for (size_t i = 0; fen_command_at(i); i++) {
        const fen_command *c = fen_command_at(i);
        const fen_opt_group groups[] = {{fen_command_common(), into}, {c->opts ? c->opts : none, into}};
        assert_true(fen_opt_sound(groups, 2));
        assert_true(c->least <= c->most);
        assert_non_null(c->about);
        for (size_t j = 0; j < i; j++)
            assert_string_not_equal(c->name, fen_command_at(j)->name);
    }
}

static void a_list_without_memory_says_so_and_leaks_nothing(void **state)
{
    (void)state;
    const size_t before = fen_alloc_live();
    for (size_t nth = 0;; nth++) {
        result r;
        fen_alloc_fail_at(nth);
        read_line("--rules=a x --rules=b y", false, &r);
        fen_alloc_fail_at(FEN_ALLOC_NEVER_FAIL);
        const fen_status st = r.st;
        drop(&r);
        assert_int_equal(fen_alloc_live(), before);
        if (!st) {
            assert_true(nth > 0);
            return;
        }
        assert_int_equal(st, FEN_ENOMEM);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_value_may_be_attached_or_the_next_argument),
        cmocka_unit_test(flags_may_share_one_hyphen_and_end_in_a_value),
        cmocka_unit_test(options_and_operands_mix_until_two_hyphens),
        cmocka_unit_test(reading_can_stop_before_the_command),
        cmocka_unit_test(a_list_keeps_every_value_in_order_and_others_keep_the_last),
        cmocka_unit_test(a_value_may_begin_with_a_hyphen_or_be_empty),
        cmocka_unit_test(a_date_is_a_day_of_the_calendar),
        cmocka_unit_test(every_refusal_says_what_would_be_right),
        cmocka_unit_test(the_greatest_count_is_the_greatest_number_of_32_bits),
        cmocka_unit_test(a_hostile_line_is_quoted_in_part_only),
        cmocka_unit_test(help_has_a_line_for_every_row_and_fits_the_width),
        cmocka_unit_test(a_doubled_or_half_filled_row_is_found),
        cmocka_unit_test(the_tables_of_the_program_are_sound),
        cmocka_unit_test(a_list_without_memory_says_so_and_leaks_nothing),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
