/* test_teach.c -- the dialogue about a lesson: what each word does, what leaves everything as it
 * was, and what lack of memory does to it.
 */
#include "cli/teach.h"

#include "support/lesson_folder.h"
#include "util/date.h"

static fen_base *base;
static fen_case *c;

/* ---- a reader that has its lines in an array ------------------------------------------------- */

typedef struct script {
    fen_reader reader; /* first */
    const char *const *lines;
    size_t n, at;
} script;

static fen_read next(fen_reader *r, const char *ask, fen_str *ret_line)
{
    script *s = (script *)r;
    (void)ask;
    fen_str_clear(ret_line);
    if (s->at == s->n)
        return FEN_READ_END;
    fen_str_puts(ret_line, s->lines[s->at++]);
    if (!fen_str_status(ret_line))
        return FEN_READ_LINE;
    errno = ENOMEM;
    return FEN_READ_FAILED;
}

static void no_close(fen_reader *r)
{
    (void)r;
}

typedef struct outcome {
    fen_exit e;
    bool kept, rule;
    fen_str out, err;
} outcome;

static void run(fen_wish wish, bool terminal, const char *const *lines, size_t n, outcome *ret)
{
    static const char *const packs[] = { FEN_TESTS_DIR "/lessons/pack.yaml" };
    script s = { .reader = { .next = next, .close = no_close, .terminal = terminal }, .lines = lines, .n = n };
    uint32_t line = 0;
    fen_str_init(&ret->out, 1 << 20);
    fen_str_init(&ret->err, 1 << 20);
    fen_sink out = fen_sink_text(&ret->out), err = fen_sink_text(&ret->err);
    const fen_teach t = {
        .lesson = { .base = base, .packs = packs, .n_packs = 1, .pack = own_path, .store = store_path, .c = c, .today = fen_date_day(2026, 7, 12), .jobs = 1 },
        .wish = wish, .in = &s.reader, .out = &out, .err = &err, .look = { .width = 72 }, .line = &line,
    };
    ret->e = fen_teach_run(&t, &ret->kept, &ret->rule);
}

static void done(outcome *o)
{
    fen_str_free(&o->out);
    fen_str_free(&o->err);
}

#define RUN(wish, terminal, ret, ...)                                                               \
    run((wish), (terminal), (const char *const[]){ __VA_ARGS__ }, sizeof((const char *const[]){ __VA_ARGS__ }) / sizeof(char *), (ret))

static bool is_there(const char *path)
{
    return access(path, F_OK) == 0;
}

/* ---- tests -------------------------------------------------------------------------------------- */

static const struct { const char *line, *says; } refusals[] = {
    { "kepe", "'kepe' is no word here; did you mean 'keep'\n" },
    { "xyzzy", "'xyzzy' is no word here; '?' lists them\n" },
    { "keep it", "'keep' takes nothing after it\n" },
    { "show me", "'me' cannot be shown; write 'show', 'show all', 'show case', 'show changes' or 'show rule'\n" },
    { "\xff", "the line is not valid text; write one of the words that '?' lists\n" },
};

static void a_refused_line_says_what_would_be_right_and_keeps_nothing(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(refusals); i++) {
        outcome o;
        RUN(FEN_WISH_ASK, false, &o, refusals[i].line);
        assert_int_equal(o.e, FEN_EXIT_INPUT);
        assert_memory_equal(o.err.at, "stdin:1: error: ", 16);
        assert_string_equal(o.err.at + 16, refusals[i].says);
        assert_false(o.kept || o.rule || is_there(own_path) || is_there(store_path));
        done(&o);
        RUN(FEN_WISH_ASK, true, &o, refusals[i].line); /* on a terminal the line is in sight, and there is another try */
        assert_int_equal(o.e, FEN_EXIT_ATTENTION);
        assert_memory_equal(o.err.at, "error: ", 7);
        done(&o);
    }
}

static void leaving_and_the_end_of_input_keep_nothing_and_say_so(void **state)
{
    (void)state;
    static const char *const lines[] = { "", "leave" };
    for (size_t i = 0; i < COUNT(lines); i++) {
        outcome o;
        RUN(FEN_WISH_ASK, false, &o, lines[i]);
        assert_int_equal(o.e, FEN_EXIT_ATTENTION);
        assert_non_null(strstr(o.out.at, "Nothing was kept.\n"));
        assert_false(o.kept || is_there(own_path) || is_there(store_path));
        done(&o);
    }
}

static void each_word_does_what_help_says(void **state)
{
    (void)state;
    static const char *const words[] = { "keep", "narrow", "lighter", "another", "show", "case", "leave", "?" };
    outcome o;
    RUN(FEN_WISH_ASK, false, &o, "?");
    for (size_t i = 0; i < COUNT(words); i++)
        assert_non_null(strstr(o.out.at, words[i]));
    done(&o);
    RUN(FEN_WISH_ASK, false, &o, "another");
    assert_non_null(strstr(o.out.at, "Proposal 2 of "));
    done(&o);
    RUN(FEN_WISH_ASK, false, &o, "case");
    assert_true(o.kept && !o.rule && is_there(store_path) && !is_there(own_path));
    assert_int_equal(o.e, FEN_EXIT_DONE);
    done(&o);
    assert_int_equal(unlink(store_path), 0);
    RUN(FEN_WISH_ASK, false, &o, "keep");
    assert_true(o.kept && o.rule && is_there(store_path) && is_there(own_path));
    assert_int_equal(o.e, FEN_EXIT_DONE);
    done(&o);
}

static void unattended_it_keeps_what_it_was_told_to(void **state)
{
    (void)state;
    char *settled;
    size_t len;
    outcome o;
    assert_int_equal(fen_file_read(FEN_TESTS_DIR "/lessons/settled.yaml", 1 << 20, &settled, &len), FEN_OK);
    assert_int_equal(fen_file_write(store_path, settled, len, 0666), FEN_OK);
    run(FEN_WISH_NONE, false, NULL, 0, &o);
    assert_int_equal(o.e, FEN_EXIT_ATTENTION);
    assert_true(!o.kept && strstr(o.out.at, "Proposal 8 of 8") && !is_there(own_path));
    done(&o);
    run(FEN_WISH_NARROW, false, NULL, 0, &o);
    assert_int_equal(o.e, FEN_EXIT_DONE);
    assert_true(o.rule && strstr(o.out.at, "All 5 settled verdicts stay as they are."));
    done(&o);
    assert_int_equal(unlink(own_path), 0);
    assert_int_equal(fen_file_write(store_path, settled, len, 0666), FEN_OK);
    run(FEN_WISH_FIRST, false, NULL, 0, &o); /* kept, though a settled verdict changes: that needs attention */
    assert_int_equal(o.e, FEN_EXIT_ATTENTION);
    assert_true(o.rule && strstr(o.out.at, "Of 5 settled verdicts, 1 would change:"));
    done(&o);
    fen_free(settled);
}

static const struct { const char *line, *offers; } completions[] = {
    { "", "keep narrow lighter another show case leave ?" },
    { "l", "lighter leave" },
    { "  KE", "keep" },
    { "x", "" },
    { "show ", "all case changes rule" },
    { "show ca", "case" },
    { " show c", "case changes" },
    { "show all ", "" }, /* it takes one */
    { "keep ", "" },
};

static void offered(const char *line, fen_str *ret)
{
    fen_candidates got;
    size_t start = strlen(line);
    while (start && line[start - 1] != ' ')
        start--;
    assert_int_equal(fen_teach_complete(line, start, strlen(line), &got), FEN_OK);
    for (uint32_t i = 0; i < got.at.count; i++)
        fen_str_printf(ret, "%s%s", i ? " " : "", got.at.at[i]);
    assert_false(got.files);
    fen_candidates_free(&got);
}

static void the_words_of_the_dialogue_are_completed(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(completions); i++) {
        fen_str got;
        fen_str_init(&got, 1024);
        offered(completions[i].line, &got);
        if (strcmp(got.at, completions[i].offers) != 0)
            fail_msg("'%s' offers '%s'", completions[i].line, got.at);
        fen_str_free(&got);
    }
    fen_candidates none;
    const size_t before = fen_alloc_live();
    fen_alloc_fail_at(0);
    assert_int_equal(fen_teach_complete("", 0, 0, &none), FEN_ENOMEM);
    fen_alloc_fail_at(FEN_ALLOC_NEVER_FAIL);
    assert_int_equal(fen_alloc_live(), before);
}

static void lack_of_memory_is_told_and_nothing_leaks(void **state)
{
    (void)state;
    static const char *const lines[] = { "?", "show all", "show case", "show changes", "show rule", "narrow", "lighter", "another", "show", "leave" };
    size_t refusals_met = 0;
    for (size_t nth = 0;; nth += nth < 200 ? 1 : nth / 30) {
        outcome o;
        const size_t before = fen_alloc_live(), calls = fen_alloc_calls();
        fen_alloc_fail_at(nth);
        run(FEN_WISH_ASK, true, lines, COUNT(lines), &o);
        fen_alloc_fail_at(FEN_ALLOC_NEVER_FAIL);
        const bool met = fen_alloc_calls() - calls > nth;
        done(&o);
        assert_int_equal(fen_alloc_live(), before);
        assert_false(o.kept || is_there(own_path) || is_there(store_path));
        if (!met)
            break;
        refusals_met++;
    }
    assert_true(refusals_met > 200);
}

/* ---- around them ------------------------------------------------------------------------------------- */

static int open_all(void **state)
{
    const char *const paths[] = { FEN_TESTS_DIR "/lessons/pack.yaml" };
    fen_problems *problems;
    if (make_folder(state) || fen_problems_new(&problems))
        return -1;
    const fen_status st = fen_base_load(paths, 1, problems, &base) ? FEN_EINPUT
                          : fen_case_load(base, FEN_TESTS_DIR "/lessons/porch.yaml", 20646, problems, &c);
    fen_problems_free(problems);
    return st ? -1 : 0;
}

static int close_all(void **state)
{
    fen_case_free(c);
    fen_base_free(base);
    return remove_folder(state);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(a_refused_line_says_what_would_be_right_and_keeps_nothing),
        TEST(leaving_and_the_end_of_input_keep_nothing_and_say_so),
        TEST(each_word_does_what_help_says),
        TEST(unattended_it_keeps_what_it_was_told_to),
        TEST(the_words_of_the_dialogue_are_completed),
        TEST(lack_of_memory_is_told_and_nothing_leaks),
    };
    return cmocka_run_group_tests(tests, open_all, close_all);
}
