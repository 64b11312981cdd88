/* test_feed.c -- files of cases are cut between cases, whatever way they arrive. */
#include <fcntl.h>
#include <unistd.h>

#include "casebook/feed.h"
#include "casebook/feed_cut.h"
#include "unit.h"
#include "util/limits.h"

enum { MOST = 32 };

typedef struct cutting {
    size_t n, at[MOST], len[MOST];
    fen_unit_state state[MOST];
    uint32_t lines[MOST]; /* before the unit */
} cutting;

/* Cut TEXT as it would come in steps of STEP bytes; what is passed over is left out. */
static void cut(fen_input input, const char *text, size_t len, size_t step, cutting *ret)
{
    fen_cut c = { .input = input, .separator = ',' };
    size_t from = 0, have = 0;
    uint32_t lines = 0;
    fen_cut_unit u;
    ret->n = 0;
    for (;;) {
        const fen_cut_result r = fen_cut_next(&c, text + from, have - from, have == len, &u);
        if (r == FEN_CUT_MORE) {
            if (have == len)
                break;
            have = have + step > len ? len : have + step;
            continue;
        }
        if (r == FEN_CUT_UNIT) {
            assert_true(ret->n < MOST);
            ret->at[ret->n] = from;
            ret->len[ret->n] = u.len;
            ret->state[ret->n] = u.state;
            ret->lines[ret->n++] = lines;
            from += u.len;
        }
        from += u.skip;
        lines += u.lines;
    }
    assert_int_equal(from, len);
}

/* The units of TEXT begin as told, in any steps; each knows the lines before it. */
static void begins(fen_input input, const char *text, const char *const *starts, size_t n)
{
    const size_t len = strlen(text);
    for (size_t step = 1; step <= len + 1; step++) {
        cutting c;
        cut(input, text, len, step, &c);
        if (c.n != n)
            fail_msg("%zu units, not %zu, in steps of %zu of '%s'", c.n, n, step, text);
        for (size_t i = 0; i < n; i++) {
            uint32_t lines = 0;
            if (strncmp(text + c.at[i], starts[i], strlen(starts[i])) != 0)
                fail_msg("unit %zu is '%.12s', not '%s', in steps of %zu", i, text + c.at[i], starts[i], step);
            for (size_t k = 0; k < c.at[i]; k++)
                lines += text[k] == '\n';
            assert_int_equal(c.lines[i], lines);
        }
    }
}

#define BEGINS(input, text, ...) \
    begins((input), (text), (const char *const[]){ __VA_ARGS__ }, sizeof((const char *const[]){ __VA_ARGS__ }) / sizeof(char *))

static void yaml_is_cut_between_documents(void **unused)
{
    (void)unused;
    BEGINS(FEN_INPUT_YAML, "a: 1\n---\nb: 2\n---\nc: 3\n", "a: 1", "---\nb", "---\nc");
    BEGINS(FEN_INPUT_YAML, "---\na: 1\n--- # second\nb: 2", "---\na", "--- # second");
    BEGINS(FEN_INPUT_YAML, "# top\n%YAML 1.1\n---\na: 1\n...\n# between\n%YAML 1.1\n---\nb: 2\n", "# top", "# between");
    BEGINS(FEN_INPUT_YAML, "a: |\n  ---\n  text\nb: 1\n", "a: |");
    BEGINS(FEN_INPUT_YAML, "a: 1\r\n---\r\nb: 2\r\n", "a: 1", "---\r\nb");
    BEGINS(FEN_INPUT_YAML, "a: ---x\n----\n", "a: ---x");
    BEGINS(FEN_INPUT_YAML, "--- {a: 1}\n--- {b: 1}\n", "--- {a", "--- {b");
}

static void a_list_is_cut_between_its_items(void **unused)
{
    (void)unused;
    BEGINS(FEN_INPUT_YAML, "- a: 1\n  s:\n  - x\n  - y\n- b: 2\n", "- a", "- b");
    BEGINS(FEN_INPUT_YAML, "---\n  # note\n  - a: 1\n    t: |\n      - x\n  - b: 2\n", "---\n", "  - b");
    BEGINS(FEN_INPUT_YAML, "-\n  a: 1\n-\n  b: 2\n---\n- c: 3\n- d: 4\n", "-\n  a", "-\n  b", "---\n- c", "- d");
    BEGINS(FEN_INPUT_YAML, "a: 1\ns:\n- x\n- y\n", "a: 1"); /* a list within a map is none of cases */
}

static void json_and_csv_are_cut_by_line_and_record(void **unused)
{
    (void)unused;
    BEGINS(FEN_INPUT_JSONL, "{\"a\":1}\n\n  \n{\"b\":2}", "{\"a\"", "{\"b\"");
    BEGINS(FEN_INPUT_CSV, "a,b\n\n\"x\ny\",2\r\n3,4", "a,b", "\"x", "3,4");
}

static void a_json_array_is_cut_between_its_items(void **unused)
{
    (void)unused;
    BEGINS(FEN_INPUT_JSON, "[{\"a\":1},{\"b\":\"},{\"},\n {\"c\":[{\"d\":2},{}]}]", "{\"a\":1}", "{\"b\"", "{\"c\"");
    BEGINS(FEN_INPUT_JSON, "\n[\n  {\n    \"a\": 1\n  },\n\n  { \"b\": \"\\\"]\" }\n]\n", "{\n    \"a\"", "{ \"b\"");
    BEGINS(FEN_INPUT_JSON, "[1, \"a\", {\"b\":1}, []]", "1", "\"a\"", "{\"b\"", "[]");
    BEGINS(FEN_INPUT_JSON, "[{\"a\":1}] x, y", "{\"a\":1}", "x", ",", "y"); /* none of it is lost */
    BEGINS(FEN_INPUT_JSON, "[{\"a\":1},", "{\"a\":1}", ""); /* it has no end */
}

static void an_item_of_json_that_is_not_closed_costs_itself_alone(void **unused)
{
    (void)unused;
    BEGINS(FEN_INPUT_JSON, "[\n{\"a\":1},\n{\"a\":{\"b\":2},\n{\"a\":3}\n]", "{\"a\":1}", "{\"a\":{", "{\"a\":3}");
    BEGINS(FEN_INPUT_JSON, "[\n{\"a\":1\n{\"a\":2},\n{\"a\":\"x},\n{\"a\":3}\n]", "{\"a\":1", "{\"a\":2", "{\"a\":\"x", "{\"a\":3}");
    BEGINS(FEN_INPUT_JSON, "[\n  {\"a\":[\n {\"a\":1},\n    {\"a\":2}\n  ]},\n  {\"a\":3}\n]", "{\"a\":[", "{\"a\":3}");
    BEGINS(FEN_INPUT_JSON, "[{\"a\":1}},\n{\"a\":2}]", "{\"a\":1}", "}", "{\"a\":2}");
}

static void a_quote_amiss_costs_its_own_line(void **unused)
{
    cutting c;
    (void)unused;
    static const char text[] = "1,2\n3,4\" pot\n5,\"six\" x\n7,8\n9,\"open\n10,11\n";
    for (size_t step = 1; step < sizeof text; step++) {
        cut(FEN_INPUT_CSV, text, sizeof text - 1, step, &c);
        assert_int_equal(c.n, 6);
        static const fen_unit_state want[] = { FEN_UNIT_TEXT, FEN_UNIT_STRAY, FEN_UNIT_AFTER, FEN_UNIT_TEXT, FEN_UNIT_OPEN, FEN_UNIT_TEXT };
        for (size_t i = 0; i < 6; i++)
            assert_int_equal(c.state[i], want[i]);
    }
}

static void check_guess(const char *text, bool last, bool told, fen_input input)
{
    fen_input guess;
    if (fen_feed_guess(text, strlen(text), last, &guess) != told || (told && guess != input))
        fail_msg("'%s'", text);
}

static void the_kind_of_file_is_told_from_its_content(void **unused)
{
    static const struct { const char *text; fen_input input; } files[] = {
        { "case: a\n", FEN_INPUT_YAML }, { "---\n", FEN_INPUT_YAML }, { "- case: a\n", FEN_INPUT_YAML },
        { "# a, b\n\nkind: x\n", FEN_INPUT_YAML }, { "[{case: a}]\n", FEN_INPUT_YAML }, { "\n[\n {\"case\"", FEN_INPUT_JSON }, { "[]", FEN_INPUT_YAML }, { "{case: a}\n", FEN_INPUT_YAML },
        { "%YAML 1.1\n", FEN_INPUT_YAML }, { "", FEN_INPUT_YAML }, { "findings:\n  a: b\n", FEN_INPUT_YAML },
        { "{\"case\": \"a\"}\n", FEN_INPUT_JSONL }, { "\n {\"case\": \"a, b\"} \n", FEN_INPUT_JSONL }, { "{ }\n", FEN_INPUT_JSONL },
        { "{\"case\":\n\"a\"}\n", FEN_INPUT_YAML }, { "case,kind\n", FEN_INPUT_CSV }, { "case;kind\n", FEN_INPUT_CSV },
        { "kind\nx\n", FEN_INPUT_CSV }, { "\"a: b\",c\n", FEN_INPUT_CSV }, { "a,b: c\n", FEN_INPUT_CSV },
    };
    (void)unused;
    for (size_t i = 0; i < COUNT(files); i++)
        check_guess(files[i].text, true, true, files[i].input);
}

/* The first line may be the broken one, or a part of a line. */
static void lines_of_json_are_known_by_those_that_are_whole(void **unused)
{
    static const char *const files[] = {
        "{\"case\":\"a\",\n{\"case\":\"b\"}\n", "{\"case\":\"a\n{\"case\":\"b\"}\n", "{'case':'a'}\n{\"case\":\"b\"}\n",
        "{\"case\":\"a\"", "se\":\"a\"}\n{\"case\":\"b\"}\n", "kind: x\"}\n{\"case\":\"b\"}\n", "{\"case\": \"a\"\n\n\n{\"case\":\"b\"}\n",
    };
    (void)unused;
    for (size_t i = 0; i < COUNT(files); i++)
        check_guess(files[i], true, true, FEN_INPUT_JSONL);
    check_guess("kind: x\n---\n{\"kind\": \"x\"}\n", true, true, FEN_INPUT_YAML);
}

static void more_is_read_where_the_first_line_does_not_tell(void **unused)
{
    (void)unused;
    check_guess("{\"case\":\"a\"", false, false, FEN_INPUT_AUTO);
    check_guess("kind: x}\n", false, false, FEN_INPUT_AUTO);
    check_guess("kind: x\n", false, true, FEN_INPUT_YAML); /* nobody waits for more of it */
    check_guess("\n# a\nca", false, false, FEN_INPUT_AUTO);
    check_guess("[\n {", false, false, FEN_INPUT_AUTO);
    check_guess("[\n {\"", false, true, FEN_INPUT_JSON);
    check_guess("[ca", false, true, FEN_INPUT_YAML);
    check_guess("---\n", false, true, FEN_INPUT_YAML);
    check_guess("case,kind\na,b\n", false, true, FEN_INPUT_CSV);
    check_guess("case,}\na,b\na,b\na,b\na,b\na,b\na,b\n", false, false, FEN_INPUT_AUTO);
    check_guess("case,}\na,b\na,b\n\na,b\na,b\na,b\na,b\na,b\n", false, true, FEN_INPUT_CSV); /* eight lines are enough */
    check_guess("kind: }\na: b\na: b\na: b\na: b\na: b\na: b\na: b\na: b\n", false, true, FEN_INPUT_YAML);
    check_guess("{\"case\":\"a\"}\n", false, true, FEN_INPUT_JSONL);
}

static void lines_are_counted_as_the_yaml_reader_counts_them(void **unused)
{
    (void)unused;
    assert_int_equal(fen_cut_lines("a\nb\r\nc\rd\xC2\x85" "e\xE2\x80\xA8" "f\xE2\x80\xA9", 18), 6);
    assert_int_equal(fen_cut_lines("\xC3\xA9\xE2\x82\xAC", 5), 0);
}

/* One case of seventeen megabytes between two small ones. */
static void a_case_that_is_too_long_is_passed_over(void **unused)
{
    char path[] = "/tmp/fenmend-feed-XXXXXX";
    const char *const paths[] = { path };
    const int fd = mkstemp(path);
    FILE *out = fdopen(fd, "w");
    fen_feed *feed;
    fen_piece_of_file piece = { 0 };
    bool more = true;
    size_t n = 0;
    fen_unit_state states[4] = { 0 };
    uint32_t lines[4] = { 0 };
    (void)unused;
    fputs("case: a\n---\ncase: b\nnote: |\n", out);
    for (size_t i = 0; i < FEN_CASE_MAX / 16 + 70000; i++)
        fputs("  0123456789abc\n", out);
    fputs("---\ncase: c\n", out);
    assert_int_equal(fclose(out), 0);
    fen_str_init(&piece.text, (size_t)FEN_CASE_MAX * 2);
    assert_int_equal(fen_feed_new(paths, 1, FEN_INPUT_AUTO, &feed), FEN_OK);
    while (more) {
        assert_int_equal(fen_feed_next(feed, &piece, &more), FEN_OK);
        for (uint32_t i = 0; more && i < piece.units.count; i++, n++) {
            assert_true(n < 4);
            states[n] = piece.units.at[i].state;
            lines[n] = piece.units.at[i].lines_before;
        }
    }
    assert_int_equal(n, 3);
    assert_int_equal(states[1], FEN_UNIT_TOO_LONG);
    assert_int_equal(states[2], FEN_UNIT_TEXT);
    assert_int_equal(lines[1], 1);
    assert_int_equal(lines[2], FEN_CASE_MAX / 16 + 70000 + 4);
    fen_feed_free(feed);
    fen_str_free(&piece.text);
    FEN_VEC_FREE(&piece.units);
    unlink(path);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(yaml_is_cut_between_documents),
        cmocka_unit_test(a_list_is_cut_between_its_items),
        cmocka_unit_test(json_and_csv_are_cut_by_line_and_record),
        cmocka_unit_test(a_json_array_is_cut_between_its_items),
        cmocka_unit_test(an_item_of_json_that_is_not_closed_costs_itself_alone),
        cmocka_unit_test(a_quote_amiss_costs_its_own_line),
        cmocka_unit_test(the_kind_of_file_is_told_from_its_content),
        cmocka_unit_test(lines_of_json_are_known_by_those_that_are_whole),
        cmocka_unit_test(more_is_read_where_the_first_line_does_not_tell),
        cmocka_unit_test(lines_are_counted_as_the_yaml_reader_counts_them),
        cmocka_unit_test(a_case_that_is_too_long_is_passed_over),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
