/* test_prompt_lesson.c -- the word `lesson` at the prompt: twice in one run, by rules that have changed
 * between, and what keeps it from that.
 */
#include "cli/prompt.h"
#include "support/lesson_folder.h"
#include "util/date.h"

static const char rules_path[] = FEN_TESTS_DIR "/lessons/pack.yaml";
static fen_base *base;

/* ---- a grower made of lines ------------------------------------------------------------------- */

typedef struct script {
    fen_reader in; /* first */
    const char *const *lines;
    size_t n, at;
    size_t fail_from; /* from this line on ... */
    size_t fail_at;   /* ... this allocation fails */
    const char *instead; /* from there the own pack says this */
} script;

static fen_read next_line(fen_reader *r, const char *ask, fen_str *ret_line)
{
    script *t = (script *)r;
    (void)ask;
    fen_str_clear(ret_line);
    if (t->at == t->n)
        return FEN_READ_END;
    fen_str_puts(ret_line, t->lines[t->at++]);
    if (t->at == t->fail_from && t->instead)
        put_file(own_path, t->instead);
    if (t->at == t->fail_from)
        fen_alloc_fail_at(t->fail_at);
    if (!fen_str_status(ret_line))
        return FEN_READ_LINE;
    errno = ENOMEM;
    return FEN_READ_FAILED;
}

static void no_close(fen_reader *r)
{
    (void)r;
}

static fen_look plain_look(void *arg)
{
    (void)arg;
    return (fen_look){ .width = 200 };
}

/* The first lesson is kept; then a reading turns the verdict, and line 8 is the second. */
static const char *const lines[] = { "trap", "note crown soft", "note tray dry-often", "note smell no", "lesson drought", "keep",
                                     "note water-reading 300 ppm", "lesson", "keep" };
enum { SECOND = 8 };

static fen_exit talk(script *t, fen_str *out, fen_str *err)
{
    const char *const packs[] = { rules_path };
    const fen_lesson_places places = { .packs = packs, .n_packs = 1, .pack = own_path, .store = store_path, .today = fen_date_day(2026, 7, 12) };
    fen_session *s = NULL;
    fen_prompt *p = NULL;
    fen_exit e = FEN_EXIT_MACHINE;
    fen_sink to_out = fen_sink_text(out), to_err = fen_sink_text(err);
    t->in = (fen_reader){ .next = next_line, .close = no_close };
    t->lines = lines;
    t->n = COUNT(lines);
    fen_str_init(out, 4u << 20);
    fen_str_init(err, 1u << 20);
    assert_int_equal(fen_session_new(base, fen_date_day(2026, 7, 12), &s), FEN_OK);
    const fen_prompt_setup setup = { s, NULL, NULL, &t->in, &to_out, &to_err, plain_look, NULL, NULL, &places };
    assert_int_equal(fen_prompt_new(&setup, &p), FEN_OK);
    e = fen_prompt_run(p);
    fen_alloc_fail_at(FEN_ALLOC_NEVER_FAIL);
    fen_prompt_free(p);
    fen_session_free(s);
    return e;
}

/* ---- tests ---------------------------------------------------------------------------------------- */

static void the_second_lesson_is_about_the_rules_with_the_first(void **state)
{
    (void)state;
    script t = { 0 };
    fen_str out, err;
    fen_problems *problems;
    fen_base *after = NULL;
    const char *const packs[] = { rules_path, own_path };
    assert_int_equal(talk(&t, &out, &err), FEN_EXIT_DONE);
    assert_string_equal(err.at, "");
    const char *second = strstr(out.at, "Judged by the rules with what was learnt since they were loaded.\nThe verdict was mineral burn");
    assert_non_null(second);
    assert_null(strstr(second, "soft-crown)\n")); /* the first lesson goes over it */
    assert_int_equal(fen_problems_new(&problems), FEN_OK);
    assert_int_equal(fen_base_load(packs, 2, problems, &after), FEN_OK);
    assert_int_not_equal(fen_base_find_rule(after, "lesson-trap-plant-2026-07-12"), FEN_NONE);
    assert_int_not_equal(fen_base_find_rule(after, "lesson-trap-plant-2026-07-12-2"), FEN_NONE);
    fen_base_free(after);
    fen_problems_free(problems);
    fen_str_free(&out);
    fen_str_free(&err);
}

static void rules_that_no_longer_load_are_told_and_left_alone(void **state)
{
    (void)state;
    static const char broken[] = "rules:\n  mine:\n    when: crown is hard\n    then: slight for rot\n    why: w\n";
    script t = { .fail_from = SECOND, .fail_at = FEN_ALLOC_NEVER_FAIL, .instead = broken };
    fen_str out, err;
    assert_int_equal(talk(&t, &out, &err), FEN_EXIT_INPUT);
    assert_non_null(strstr(err.at, "/own.yaml:3:20: error: "));
    assert_null(strstr(out.at, "Judged by the rules with what was learnt"));
    file_is(own_path, broken);
    fen_str_free(&out);
    fen_str_free(&err);
}

static void lack_of_memory_at_the_second_lesson_keeps_what_the_first_kept(void **state)
{
    (void)state;
    char *own = NULL;
    size_t refusals = 0;
    for (size_t nth = 0;; nth += nth < 60 ? 1 : nth / 8) {
        script t = { .fail_from = SECOND, .fail_at = nth };
        fen_str out, err;
        const size_t before = fen_alloc_live();
        talk(&t, &out, &err);
        const bool whole = strstr(out.at, "The rule 'lesson-trap-plant-2026-07-12-2' is kept") != NULL;
        fen_str_free(&out);
        fen_str_free(&err);
        assert_int_equal(fen_alloc_live(), before);
        if (whole)
            break;
        if (own)
            file_is(own_path, own);
        else
            assert_int_equal(fen_file_read(own_path, 1 << 20, &own, &(size_t){ 0 }), FEN_OK);
        refusals++;
        assert_int_equal(clean(state), 0);
    }
    assert_true(refusals > 60);
    fen_free(own);
}

static int open_all(void **state)
{
    const char *const paths[] = { rules_path };
    fen_problems *problems;
    if (make_folder(state) || fen_problems_new(&problems))
        return -1;
    const fen_status st = fen_base_load(paths, 1, problems, &base);
    fen_problems_free(problems);
    return st ? -1 : 0;
}

static int close_all(void **state)
{
    fen_base_free(base);
    return remove_folder(state);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(the_second_lesson_is_about_the_rules_with_the_first),
        TEST(rules_that_no_longer_load_are_told_and_left_alone),
        TEST(lack_of_memory_at_the_second_lesson_keeps_what_the_first_kept),
    };
    return cmocka_run_group_tests(tests, open_all, close_all);
}
