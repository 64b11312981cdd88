/* One file's text and its lines. */
#include <sys/stat.h>
#include <unistd.h>

#include "text/source.h"
#include "unit.h"
#include "util/problem_text.h"

static fen_problems *problems;

static int set_up(void **state)
{
    (void)state;
    return fen_problems_new(&problems) != FEN_OK;
}

static int tear_down(void **state)
{
    (void)state;
    fen_problems_free(problems);
    return 0;
}

static fen_source *source(const char *text, size_t len)
{
    fen_source *s = NULL;
    assert_int_equal(fen_source_text("a.yaml", text, len, problems, &s), FEN_OK);
    return s;
}

static void assert_problem(const char *want)
{
    fen_str out;
    fen_str_init(&out, 100000);
    for (size_t i = 0; i < fen_problems_count(problems); i++)
        fen_problem_write(&out, problems, fen_problems_at(problems, i));
    assert_string_equal(out.at, want);
    fen_str_free(&out);
}

static void lines_end_where_yaml_ends_them(void **state)
{
    (void)state;
    static const char text[] = "one\ntwo\r\nthree\rfour\xC2\x85" "five\xE2\x80\xA8six\xE2\x80\xA9\n\nlast";
    static const char *const lines[] = { "one", "two", "three", "four", "five", "six", "", "", "last" };
    fen_source *s = source(text, sizeof text - 1);
    for (uint32_t i = 0; i < COUNT(lines); i++) {
        size_t len;
        const char *line = fen_source_line(s, i + 1, &len);
        assert_int_equal(len, strlen(lines[i]));
        assert_memory_equal(line, lines[i], len);
    }
    fen_source_free(s);
}

static fen_status tell_of_a_piece(void *arg)
{
    static const char text[] = "one\ntwo\nthree";
    fen_problems *list = NULL;
    fen_source *s = NULL;
    fen_status st = fen_problems_new(&list);
    if (!st)
        st = fen_source_piece("a.yaml", text, sizeof text - 1, 10, 100, list, &s);
    if (!st) {
        fen_source_problem(s, list, FEN_ERROR, FEN_CODE_SHAPE, fen_source_place(s, 9), "right", "%s", "wrong");
        st = fen_problems_status(list);
    }
    if (!st) {
        const fen_problem *p = fen_problems_at(list, 0);
        assert_int_equal(p->place.line, 13);
        assert_int_equal(p->place.column, 2);
        assert_string_equal(p->line, "three");
        ++*(int *)arg;
    }
    fen_source_free(s);
    fen_problems_free(list);
    return st;
}

static void a_piece_without_memory_for_its_lines_tells_no_wrong_place(void **state)
{
    (void)state;
    int told = 0;
    unit_refuse_each(tell_of_a_piece, &told);
    assert_int_equal(told, 1);
}

static void a_line_that_is_not_there_is_empty(void **state)
{
    (void)state;
    size_t len = 9;
    fen_source *s = source("a\n", 2);
    fen_source_line(s, 0, &len);
    assert_int_equal(len, 0);
    fen_source_line(s, 2, &len); /* after the last newline */
    assert_int_equal(len, 0);
    fen_source_line(s, 3, &len);
    assert_int_equal(len, 0);
    fen_source_line(s, UINT32_MAX, &len);
    assert_int_equal(len, 0);
    fen_source_free(s);
}

static void places_and_offsets_are_each_others_inverse(void **state)
{
    (void)state;
    static const char text[] = "a\xC3\xA9z\r\n\xE4\xB8\xAD: x\n\nend";
    fen_source *s = source(text, sizeof text - 1);
    for (size_t i = 0; i <= s->len; i++) {
        if ((text[i] & 0xC0) == 0x80 || text[i] == '\n')
            continue; /* inside a character or a line end */
        const fen_place p = fen_source_place(s, i);
        assert_int_equal(fen_source_offset(s, p.line, p.column), i);
    }
    const fen_place x = fen_source_place(s, 11);
    assert_int_equal(x.line, 2);
    assert_int_equal(x.column, 4);
    assert_int_equal(fen_source_offset(s, 1, 99), 4); /* not beyond the line */
    fen_source_free(s);
}

static void a_byte_order_mark_is_passed_over(void **state)
{
    (void)state;
    fen_source *s = source("\xEF\xBB\xBF" "a: b", 7);
    assert_string_equal(s->text, "a: b");
    assert_int_equal(s->len, 4);
    fen_source_free(s);
}

static void what_is_not_utf8_is_told_with_its_byte_and_place(void **state)
{
    (void)state;
    static const struct { const char *text; size_t len; const char *want; } rows[] = {
        { "a: b\nc: \xFFx\n", 11,
          "a.yaml:2:4: error: byte 8 (0xFF) is not UTF-8; save the text as UTF-8 [encoding]\n"
          "    2 | c: \xEF\xBF\xBDx\n      |    ^\n" },
        { "\xEF\xBB\xBF" "caf\xE9", 7,
          "a.yaml:1:4: error: byte 6 (0xE9) is not UTF-8; save the text as UTF-8 [encoding]\n"
          "    1 | caf\xEF\xBF\xBD\n      |    ^\n" },
        { "a: \0b", 5,
          "a.yaml:1:4: error: byte 3 is a NUL; save the text as UTF-8 [encoding]\n"
          "    1 | a: \n      |    ^\n" },
        { "\xFF\xFE" "a\0:\0", 6, "a.yaml: error: the text is UTF-16; save the text as UTF-8 [encoding]\n" },
        { "\xFE\xFF\0a", 4, "a.yaml: error: the text is UTF-16; save the text as UTF-8 [encoding]\n" },
        { "\0a\0:", 4, "a.yaml: error: the text is UTF-16; save the text as UTF-8 [encoding]\n" },
        { "a\0:\0", 4, "a.yaml: error: the text is UTF-16; save the text as UTF-8 [encoding]\n" },
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        fen_source *s = NULL;
        tear_down(NULL);
        set_up(NULL);
        assert_int_equal(fen_source_text("a.yaml", rows[i].text, rows[i].len, problems, &s), FEN_EINPUT);
        assert_null(s);
        assert_problem(rows[i].want);
    }
}

static void a_piece_of_a_file_has_the_files_lines_and_bytes(void **state)
{
    (void)state;
    fen_source *s = NULL;
    size_t len;
    assert_int_equal(fen_source_piece("a.yaml", "x\ny\n", 4, 100, 5000, problems, &s), FEN_OK);
    assert_memory_equal(fen_source_line(s, 102, &len), "y", 1);
    assert_int_equal(len, 1);
    assert_int_equal(fen_source_place(s, 2).line, 102);
    fen_source_line(s, 2, &len);
    assert_int_equal(len, 0);
    fen_source_free(s);
    assert_int_equal(fen_source_piece("a.yaml", "x\n\xFF", 3, 100, 5000, problems, &s), FEN_EINPUT);
    assert_problem("a.yaml:102:1: error: byte 5002 (0xFF) is not UTF-8; save the text as UTF-8 [encoding]\n"
                   "  102 | \xEF\xBF\xBD\n      | ^\n");
}

static void unreadable_files_are_problems_of_the_input(void **state)
{
    (void)state;
    char folder[] = "/tmp/fenmend-source-XXXXXX", path[60], want[500];
    fen_source *s = NULL;
    assert_non_null(mkdtemp(folder));
    assert_int_equal(fen_source_open("/nowhere/at-all.yaml", 100, problems, &s), FEN_EINPUT);
    assert_int_equal(fen_source_open(folder, 100, problems, &s), FEN_EINPUT);
    snprintf(path, sizeof path, "%s/big.yaml", folder);
    FILE *f = fopen(path, "w");
    assert_non_null(f);
    fputs("0123456789", f);
    fclose(f);
    assert_int_equal(fen_source_open(path, 9, problems, &s), FEN_EINPUT);
    assert_null(s);
    snprintf(want, sizeof want,
             "/nowhere/at-all.yaml: error: there is no such file [read]\n"
             "%s: error: this is a folder; name a file in it [read]\n"
             "%s: error: the file has more than 9 bytes; split it into several files [too-large]\n", folder, path);
    assert_problem(want);
    assert_int_equal(fen_source_open(path, 10, problems, &s), FEN_OK);
    assert_string_equal(s->text, "0123456789");
    assert_string_equal(s->path, path);
    fen_source_free(s);
    unlink(path);
    rmdir(folder);
}

static fen_status open_one(void *arg)
{
    fen_problems *list = NULL;
    fen_source *s = NULL;
    fen_status st = fen_problems_new(&list);
    if (!st)
        st = fen_source_text("a.yaml", arg, strlen(arg), list, &s);
    if (!st) {
        fen_source_problem(s, list, FEN_ERROR, FEN_CODE_SHAPE, fen_source_place(s, 3), "right", "%s", "wrong");
        st = fen_problems_status(list);
    } else if (st == FEN_EINPUT) {
        st = fen_problems_status(list); /* refused, as it should be */
    }
    fen_source_free(s);
    fen_problems_free(list);
    return st;
}

static void opening_survives_every_failed_allocation(void **state)
{
    (void)state;
    char good[] = "one\ntwo\nthree", bad[] = "one\ntwo\n\xFF";
    unit_refuse_each(open_one, good);
    unit_refuse_each(open_one, bad);
}

#define TEST(f) cmocka_unit_test_setup_teardown(f, set_up, tear_down)

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(lines_end_where_yaml_ends_them),
        TEST(a_piece_without_memory_for_its_lines_tells_no_wrong_place),
        TEST(a_line_that_is_not_there_is_empty),
        TEST(places_and_offsets_are_each_others_inverse),
        TEST(a_byte_order_mark_is_passed_over),
        TEST(what_is_not_utf8_is_told_with_its_byte_and_place),
        TEST(a_piece_of_a_file_has_the_files_lines_and_bytes),
        TEST(unreadable_files_are_problems_of_the_input),
        TEST(opening_survives_every_failed_allocation),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
