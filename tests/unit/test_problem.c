/* The list of problems, and how one is shown. */
#include "fenmend/problem.h"
#include "unit.h"
#include "util/limits.h"
#include "util/problem_text.h"

static fen_problems *new_list(uint32_t *ret_file)
{
    fen_problems *list;
    assert_int_equal(fen_problems_new(&list), FEN_OK);
    assert_int_equal(fen_problems_file(list, "rules/water.yaml", ret_file), FEN_OK);
    return list;
}

static void assert_shown(const fen_problems *list, size_t i, const char *want)
{
    fen_str out;
    fen_str_init(&out, 1 << 20);
    fen_problem_write(&out, list, fen_problems_at(list, i));
    assert_int_equal(fen_str_status(&out), FEN_OK);
    assert_string_equal(out.at, want);
    fen_str_free(&out);
}

/* One problem, shown. */
static void assert_form(fen_place place, const char *line, const char *right, const char *text, const char *want)
{
    fen_problems *list = new_list(&place.file);
    fen_problems_add(list, FEN_ERROR, FEN_CODE_DIMENSION, place, line, right, "%s", text);
    assert_shown(list, 0, want);
    fen_problems_free(list);
}

static void a_problem_names_place_fault_remedy_and_code_over_the_line_and_a_caret(void **state)
{
    (void)state;
    assert_form((fen_place){ 0, 41, 14, 4 }, "  - runoff > 30 C\nnext line", "write a number of ppm",
                "'runoff' is in ppm, but '30 C' is a temperature",
                "rules/water.yaml:41:14: error: 'runoff' is in ppm, but '30 C' is a temperature; "
                "write a number of ppm [dimension]\n"
                "   41 |   - runoff > 30 C\n"
                "      |              ^~~~\n");
}

static void without_remedy_line_or_place_that_part_is_left_out(void **state)
{
    (void)state;
    assert_form((fen_place){ 0, 0, 0, 1 }, NULL, NULL, "it may not be read",
                "rules/water.yaml: error: it may not be read [dimension]\n");
    assert_form((fen_place){ 0, 7, 2, 1 }, NULL, "do", "bad", "rules/water.yaml:7:2: error: bad; do [dimension]\n");
    assert_form((fen_place){ 0, 7, 0, 1 }, "line", NULL, "bad", "rules/water.yaml:7: error: bad [dimension]\n");
}

static void severities_have_their_words(void **state)
{
    (void)state;
    uint32_t file;
    fen_problems *list = new_list(&file);
    fen_problems_add(list, FEN_NOTE, FEN_CODE_NEVER, (fen_place){ file, 0, 0, 1 }, NULL, NULL, "a");
    fen_problems_add(list, FEN_WARNING, FEN_CODE_NEVER, (fen_place){ file, 0, 0, 1 }, NULL, NULL, "b");
    assert_shown(list, 0, "rules/water.yaml: note: a [never]\n");
    assert_shown(list, 1, "rules/water.yaml: warning: b [never]\n");
    assert_int_equal(fen_problems_errors(list), 0);
    fen_problems_free(list);
}

static void tabs_and_wide_characters_are_lined_up(void **state)
{
    (void)state;
    assert_form((fen_place){ 0, 1, 3, 2 }, "\ta\tbc", NULL, "x",
                "rules/water.yaml:1:3: error: x [dimension]\n"
                "    1 |         a       bc\n"
                "      |          ^~~~~~~~\n"); /* the tab after a, and b */
    assert_form((fen_place){ 0, 1, 4, 1 }, "\ta\tbc", NULL, "x",
                "rules/water.yaml:1:4: error: x [dimension]\n"
                "    1 |         a       bc\n"
                "      |                 ^\n");
    assert_form((fen_place){ 0, 1, 3, 2 }, "\xE4\xB8\xAD\xE4\xB8\xAD\xE4\xB8\xAD" "b", NULL, "x",
                "rules/water.yaml:1:3: error: x [dimension]\n"
                "    1 | \xE4\xB8\xAD\xE4\xB8\xAD\xE4\xB8\xAD" "b\n"
                "      |     ^~~\n");
    assert_form((fen_place){ 0, 1, 3, 1 }, "e\xCC\x81x", NULL, "y", /* a mark is a character without a column */
                "rules/water.yaml:1:3: error: y [dimension]\n"
                "    1 | e\xCC\x81x\n"
                "      |  ^\n");
}

static void a_caret_past_the_end_stands_right_behind_the_line(void **state)
{
    (void)state;
    assert_form((fen_place){ 0, 1, 99, 5 }, "abc", NULL, "x",
                "rules/water.yaml:1:99: error: x [dimension]\n    1 | abc\n      |    ^\n");
    assert_form((fen_place){ 0, 1, 2, 500 }, "abc", NULL, "x",
                "rules/water.yaml:1:2: error: x [dimension]\n    1 | abc\n      |  ^~\n");
    assert_form((fen_place){ 0, 1, 1, 1 }, "", NULL, "x",
                "rules/water.yaml:1:1: error: x [dimension]\n    1 | \n      | ^\n");
}

static void control_sequences_in_texts_lines_and_paths_are_shown_harmless(void **state)
{
    (void)state;
    fen_problems *list;
    uint32_t file;
    assert_int_equal(fen_problems_new(&list), FEN_OK);
    assert_int_equal(fen_problems_file(list, "a\x1B[31m.yaml", &file), FEN_OK);
    fen_problems_add(list, FEN_ERROR, FEN_CODE_BAD_NAME, (fen_place){ file, 1, 6, 1 }, "b: \x1B[2Jx", "not \x07",
                     "'%s' is bad", "\x1B]0;t");
    assert_shown(list, 0, "a\xEF\xBF\xBD[31m.yaml:1:6: error: '\xEF\xBF\xBD]0;t' is bad; not \xEF\xBF\xBD [bad-name]\n"
                          "    1 | b: \xEF\xBF\xBD[2Jx\n"
                          "      |      ^\n");
    fen_problems_free(list);
}

static void bytes_that_are_not_utf8_keep_their_columns(void **state)
{
    (void)state;
    assert_form((fen_place){ 0, 1, 4, 1 }, "a\xFF\xFE" "b", NULL, "x\xFF",
                "rules/water.yaml:1:4: error: x\xEF\xBF\xBD [dimension]\n"
                "    1 | a\xEF\xBF\xBD\xEF\xBF\xBD" "b\n"
                "      |    ^\n");
}

/* The columns of the widest line of what is shown. */
static size_t widest(const char *text)
{
    size_t most = 0;
    for (; *text; text += strcspn(text, "\n") + 1) {
        const size_t len = strcspn(text, "\n");
        most = len > most ? len : most;
    }
    return most;
}

static void a_long_line_is_cut_around_the_caret(void **state)
{
    (void)state;
    char line[1001];
    for (int i = 0; i < 1000; i++)
        line[i] = (char)('a' + i % 26);
    line[1000] = '\0';
    for (uint32_t column = 1; column <= 1001; column += 25) {
        fen_place place = { 0, 3, column, 4 };
        fen_problems *list = new_list(&place.file);
        fen_problems_add(list, FEN_ERROR, FEN_CODE_SYNTAX, place, line, NULL, "x");
        fen_str out;
        fen_str_init(&out, 10000);
        fen_problem_write(&out, list, fen_problems_at(list, 0));
        const char *quoted = strchr(out.at, '\n') + 1, *under = strchr(quoted, '\n') + 1;
        assert_true(widest(quoted) <= 101);
        assert_int_equal(quoted[strcspn(under, "^")], column <= 1000 ? line[column - 1] : '\n');
        assert_int_equal(strncmp(quoted + 8, "...", 3) == 0, column > 61);
        fen_str_free(&out);
        fen_problems_free(list);
    }
}

static void a_cut_never_splits_a_wide_character(void **state)
{
    (void)state;
    char line[901];
    for (int i = 0; i < 300; i++)
        memcpy(line + 3 * i, "\xE4\xB8\xAD", 3);
    line[900] = '\0';
    for (uint32_t column = 1; column <= 300; column += 7) {
        fen_place place = { 0, 3, column, 1 };
        fen_problems *list = new_list(&place.file);
        fen_problems_add(list, FEN_ERROR, FEN_CODE_SYNTAX, place, line, NULL, "x");
        fen_str out;
        fen_str_init(&out, 10000);
        fen_problem_write(&out, list, fen_problems_at(list, 0));
        const char *quoted = strchr(out.at, '\n') + 1, *under = strchr(quoted, '\n') + 1;
        /* the columns before the caret are those of the text above it */
        size_t columns = 0;
        const char *p = quoted;
        while (columns < strcspn(under, "^")) {
            columns += *p == '\xE4' ? 2 : 1;
            p += *p == '\xE4' ? 3 : 1;
        }
        assert_int_equal(columns, strcspn(under, "^"));
        assert_int_equal(*p, '\xE4');
        fen_str_free(&out);
        fen_problems_free(list);
    }
}

static void problems_are_sorted_by_place_and_equals_keep_their_order(void **state)
{
    (void)state;
    uint32_t a, b;
    fen_problems *list = new_list(&a);
    assert_int_equal(fen_problems_file(list, "another.yaml", &b), FEN_OK);
    static const struct { int file; uint32_t line, column; const char *text; } rows[] = {
        { 1, 1, 1, "7" }, { 0, 9, 2, "5" }, { 0, 9, 1, "3" }, { 0, 9, 1, "4" }, { 0, 0, 0, "1" }, { 0, 2, 50, "2" }, { 0, 10, 1, "6" },
    };
    for (size_t i = 0; i < COUNT(rows); i++)
        fen_problems_add(list, FEN_ERROR, FEN_CODE_SHAPE,
                         (fen_place){ rows[i].file ? b : a, rows[i].line, rows[i].column, 1 }, NULL, NULL, "%s", rows[i].text);
    fen_problems_sort(list);
    for (size_t i = 0; i < COUNT(rows); i++)
        assert_int_equal(fen_problems_at(list, i)->text[0], '1' + i);
    fen_problems_free(list);
}

static void a_path_named_twice_has_one_index(void **state)
{
    (void)state;
    uint32_t a, b, c;
    fen_problems *list = new_list(&a);
    assert_int_equal(fen_problems_file(list, "b", &b), FEN_OK);
    assert_int_equal(fen_problems_file(list, "rules/water.yaml", &c), FEN_OK);
    assert_int_equal(a, c);
    assert_int_not_equal(a, b);
    assert_string_equal(fen_problems_path(list, b), "b");
    fen_problems_free(list);
}

static void past_the_bound_one_last_problem_says_so(void **state)
{
    (void)state;
    fen_place place = { 0, 1, 1, 1 };
    fen_problems *list = new_list(&place.file);
    for (uint32_t i = 0; i < FEN_PROBLEMS_MAX; i++)
        fen_problems_add(list, FEN_WARNING, FEN_CODE_NEVER, place, "x", NULL, "%u", i);
    assert_int_equal(fen_problems_count(list), FEN_PROBLEMS_MAX);
    for (int i = 0; i < 5000; i++)
        fen_problems_add(list, FEN_ERROR, FEN_CODE_NEVER, place, "x", NULL, "more");
    assert_int_equal(fen_problems_count(list), FEN_PROBLEMS_MAX + 1);
    assert_int_equal(fen_problems_errors(list), 5000); /* counted, though not kept */
    fen_problems_sort(list);
    assert_shown(list, FEN_PROBLEMS_MAX,
                 "rules/water.yaml: error: there are more problems than are listed here; mend these first [too-large]\n");
    assert_int_equal(fen_problems_status(list), FEN_OK);
    fen_problems_free(list);
}

static void a_flood_of_long_lines_stays_within_bounds(void **state)
{
    (void)state;
    enum { HUGE_LINE = 40 << 20 };
    char *line = malloc(HUGE_LINE + 1);
    memset(line, 'x', HUGE_LINE);
    line[HUGE_LINE] = '\0';
    fen_place place = { 0, 1, 1, 1 };
    fen_problems *list = new_list(&place.file);
    for (uint32_t i = 0; i < FEN_PROBLEMS_MAX; i++)
        fen_problems_add(list, FEN_ERROR, FEN_CODE_NEVER, place, line, NULL, "%s", "much");
    assert_null(fen_problems_at(list, 0)->line); /* too long to quote */
    line[FEN_LINE_MAX] = '\n';
    fen_problems_add(list, FEN_ERROR, FEN_CODE_NEVER, place, line, NULL, "much");
    fen_problems_free(list);

    list = new_list(&place.file);
    for (uint32_t i = 0; i < 500; i++)
        fen_problems_add(list, FEN_ERROR, FEN_CODE_NEVER, place, line, NULL, "%.*s", HUGE_LINE / 100, line + FEN_LINE_MAX + 1);
    assert_int_equal(strlen(fen_problems_at(list, 0)->line), FEN_LINE_MAX);
    assert_ptr_equal(fen_problems_at(list, 0)->line, fen_problems_at(list, 499)->line); /* kept once */
    assert_int_equal(strlen(fen_problems_at(list, 0)->text), FEN_SCALAR_MAX);
    fen_problems_free(list);
    free(line);
}

static void every_code_has_a_name_of_its_own_and_help(void **state)
{
    (void)state;
    for (int i = 0; i < FEN_CODE_COUNT; i++) {
        const char *name = fen_code_name((fen_code)i);
        assert_true(strlen(name) > 0);
        assert_int_equal(strspn(name, "abcdefghijklmnopqrstuvwxyz-"), strlen(name));
        assert_true(strlen(fen_code_help((fen_code)i)) > 10);
        for (int j = 0; j < i; j++)
            assert_string_not_equal(name, fen_code_name((fen_code)j));
    }
}

static fen_status add_some(void *arg)
{
    (void)arg;
    char text[400];
    memset(text, 'y', sizeof text - 1);
    text[sizeof text - 1] = '\0';
    fen_problems *list = NULL;
    fen_place place = { 0, 1, 1, 1 };
    fen_status st = fen_problems_new(&list);
    if (!st)
        st = fen_problems_file(list, "some/file", &place.file);
    for (uint32_t i = 0; i < 100 && !st; i++) {
        place.line = i;
        fen_problems_add(list, FEN_ERROR, FEN_CODE_SHAPE, place, "a\xFF line", "do this", "%s", text + i);
        assert_int_equal(fen_problems_errors(list), i + 1); /* an error lost is still an error */
        st = fen_problems_status(list);
    }
    fen_problems_free(list);
    return st;
}

static void adding_survives_every_failed_allocation(void **state)
{
    (void)state;
    unit_refuse_each(add_some, NULL);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_problem_names_place_fault_remedy_and_code_over_the_line_and_a_caret),
        cmocka_unit_test(without_remedy_line_or_place_that_part_is_left_out),
        cmocka_unit_test(severities_have_their_words),
        cmocka_unit_test(tabs_and_wide_characters_are_lined_up),
        cmocka_unit_test(a_caret_past_the_end_stands_right_behind_the_line),
        cmocka_unit_test(control_sequences_in_texts_lines_and_paths_are_shown_harmless),
        cmocka_unit_test(bytes_that_are_not_utf8_keep_their_columns),
        cmocka_unit_test(a_long_line_is_cut_around_the_caret),
        cmocka_unit_test(a_cut_never_splits_a_wide_character),
        cmocka_unit_test(problems_are_sorted_by_place_and_equals_keep_their_order),
        cmocka_unit_test(a_path_named_twice_has_one_index),
        cmocka_unit_test(past_the_bound_one_last_problem_says_so),
        cmocka_unit_test(a_flood_of_long_lines_stays_within_bounds),
        cmocka_unit_test(every_code_has_a_name_of_its_own_and_help),
        cmocka_unit_test(adding_survives_every_failed_allocation),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
