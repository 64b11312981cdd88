/* test_own_pack.c -- a rule put into a grower's own pack and taken out again: the bytes of
 * everything else, in every layout that people write.
 */
#include <errno.h>
#include <unistd.h>

#include "casebook/own_pack.h"
#include "support/said.h"
#include "unit.h"
#include "util/file.h"

static char path[] = "/tmp/fenmend-own-XXXXXX";
static char said[2048];

#define RULE "lesson-b:\n  when: x is y\n  then:\n  - fair for z\n  why: w\n  lesson: {case: b, date: 2026-07-01}\n"
#define AT2 "  lesson-b:\n    when: x is y\n    then:\n    - fair for z\n    why: w\n    lesson: {case: b, date: 2026-07-01}\n"
#define AT4 "    lesson-b:\n      when: x is y\n      then:\n      - fair for z\n      why: w\n      lesson: {case: b, date: 2026-07-01}\n"
#define A2 "  a:\n    then: fair for z\n    why: w\n"

static void tell(const fen_problems *problems)
{
    say_problems(problems, said, sizeof said);
}

typedef struct change {
    const char *file; /* NULL: there is none */
    const char *rule;
    bool more;
    fen_str out;
} change;

static fen_status run(void *arg)
{
    change *c = arg;
    fen_own_pack p = { 0 };
    fen_problems *problems = NULL;
    fen_str_init(&c->out, 1 << 20);
    fen_status st = fen_problems_new(&problems);
    if (!st)
        st = fen_own_read(path, problems, &p);
    if (!st)
        st = c->more ? fen_own_with(&p, c->rule, problems, &c->out) : fen_own_without(&p, c->rule, problems, &c->out);
    if (st && problems)
        tell(problems);
    fen_own_close(&p);
    fen_problems_free(problems);
    if (st)
        fen_str_free(&c->out);
    return st;
}

static void put_file(const char *text)
{
    if (text)
        assert_int_equal(fen_file_write(path, text, strlen(text), 0666), FEN_OK);
    else
        assert_true(unlink(path) == 0 || errno == ENOENT);
}

static const struct { const char *before, *after; } layouts[] = {
    { NULL, "pack: my-own\nabout: What my own plants have taught me.\n\nrules: # learnt from cases\n" AT2 },
    { "", "rules: # learnt from cases\n" AT2 },
    { "# only a remark\n", "# only a remark\n\nrules: # learnt from cases\n" AT2 },
    { "pack: mine\n", "pack: mine\n\nrules: # learnt from cases\n" AT2 },
    { "pack: mine", "pack: mine\n\nrules: # learnt from cases\n  lesson-b:\n    when: x is y\n    then:\n    - fair for z\n    why: w\n    lesson: {case: b, date: 2026-07-01}" },
    { "rules:\n" A2, "rules:\n" A2 AT2 },
    { "rules:\n  a:\n    then: fair for z\n    why: w", "rules:\n  a:\n    then: fair for z\n    why: w\n  lesson-b:\n    when: x is y\n    then:\n    - fair for z\n    why: w\n    lesson: {case: b, date: 2026-07-01}" },
    { "# mine\nrules:   # all of them\n" A2 "  # the last\n\n# of plants\ncauses:\n  z: {name: z}\n",
      "# mine\nrules:   # all of them\n" A2 AT2 "  # the last\n\n# of plants\ncauses:\n  z: {name: z}\n" },
    { "rules:\n    a:\n        why: |\n            one\n            # no remark\n\n            two\n        then: fair for z\nkinds: {}\n",
      "rules:\n    a:\n        why: |\n            one\n            # no remark\n\n            two\n        then: fair for z\n" AT4 "kinds: {}\n" },
    { "rules:\n  a: {then: fair for z, # at once\n    why: w}\nkinds:\n", "rules:\n  a: {then: fair for z, # at once\n    why: w}\n" AT2 "kinds:\n" },
    { "rules:\nkinds:\n  k: {name: k}\n", "rules:\n" AT2 "kinds:\n  k: {name: k}\n" },
    { "\xef\xbb\xbfrules:\n" A2, "\xef\xbb\xbfrules:\n" A2 AT2 },
    { "rules:\r\n  a:\r\n    why: w\r\n", "rules:\r\n  a:\r\n    why: w\r\n  lesson-b:\r\n    when: x is y\r\n    then:\r\n    - fair for z\r\n    why: w\r\n    "
                                      "lesson: {case: b, date: 2026-07-01}\r\n" },
    { "pack: mine\r\n", "pack: mine\r\n\r\nrules: # learnt from cases\r\n  lesson-b:\r\n    when: x is y\r\n    then:\r\n    - fair for z\r\n    why: w\r\n    "
                        "lesson: {case: b, date: 2026-07-01}\r\n" },
    { "rules:\n  a:\n    why: \"of two\n\n      lines\"\n    then: fair for z\n...\n", "rules:\n  a:\n    why: \"of two\n\n      lines\"\n    then: fair for z\n" AT2 "...\n" },
};

static void a_rule_joins_the_others_and_goes_without_a_trace(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(layouts); i++) {
        change c = { .rule = RULE, .more = true };
        put_file(layouts[i].before);
        if (run(&c))
            fail_msg("layout %zu: %s", i, said);
        assert_string_equal(c.out.at, layouts[i].after);
        put_file(c.out.at);
        fen_str_free(&c.out);
        c = (change){ .rule = "lesson-b" };
        if (run(&c))
            fail_msg("layout %zu, back: %s", i, said);
        assert_string_equal(c.out.at, layouts[i].before ? layouts[i].before : "");
        fen_str_free(&c.out);
    }
}

static void what_the_grower_wrote_behind_a_rule_stays_when_it_goes(void **state)
{
    (void)state;
    change c = { .rule = "lesson-b" };
    put_file("rules: # learnt from cases\n" AT2 "  # a remark\n" A2 "kinds: {}\n");
    assert_int_equal(run(&c), FEN_OK);
    assert_string_equal(c.out.at, "rules: # learnt from cases\n  # a remark\n" A2 "kinds: {}\n");
    fen_str_free(&c.out);
    put_file("pack: mine\n\nrules: # learnt from cases\n" AT2 "\ncauses:\n  z: {name: z}\n"); /* something came behind it */
    assert_int_equal(run(&c), FEN_OK);
    assert_string_equal(c.out.at, "pack: mine\n\ncauses:\n  z: {name: z}\n");
    fen_str_free(&c.out);
}

static const struct { const char *file, *rule; bool more; const char *says; } refused[] = {
    { "rules: {}\n", RULE, true, ":1:1: error: no rule can be put in or out of 'rules' as it is written here; write 'rules:' on a line" },
    { "rules: {a: {why: w}}\n", RULE, true, ":1:1: error: no rule can be put in or out" },
    { "rules:\n- a\n", RULE, true, ":1:1: error: no rule can be put in or out" },
    { "pack: mine\n...\n", RULE, true, ":1:1: error: a rule cannot be added without changing what stands beside it; " },
    { "pack: mine\n---\npack: other\n", RULE, true, ":2:1: error: " },
    { "rules:\n" A2, "lesson-b", false, ":1:1: error: the rule is not there any more; " },
    { "rules:\n  lesson-b: {why: w,\n  then: fair for z}\n", "lesson-b", false, ":1:1: error: the rule cannot be taken out without" },
    { "rules: [\n", RULE, true, ":2:1: error: " },
    { "rules: \xff\n", RULE, true, ":1:8: error: " },
};

static void a_layout_that_would_be_damaged_is_refused(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(refused); i++) {
        change c = { .rule = refused[i].rule, .more = refused[i].more };
        put_file(refused[i].file);
        if (run(&c) != FEN_EINPUT)
            fail_msg("layout %zu was not refused", i);
        if (strncmp(said, path, strlen(path)) != 0 || strncmp(said + strlen(path), refused[i].says, strlen(refused[i].says)) != 0)
            fail_msg("layout %zu: %s", i, said);
    }
}

static void the_last_lesson_is_the_last_in_the_file(void **state)
{
    (void)state;
    static const struct { const char *file, *rule, *of; } rows[] = {
        { NULL, "", "" },
        { "rules:\n" A2, "", "" },
        { "rules:\n" A2 AT2 "  c:\n    why: w\n", "lesson-b", "b" },
        { "rules:\n" AT2 "  lesson-c: {lesson: {case: 'c: d'}}\n" A2, "lesson-c", "c: d" },
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        fen_own_pack p = { 0 };
        fen_own_lesson last;
        fen_problems *problems;
        put_file(rows[i].file);
        assert_int_equal(fen_problems_new(&problems), FEN_OK);
        assert_int_equal(fen_own_read(path, problems, &p), FEN_OK);
        assert_int_equal(fen_own_last(&p, problems, &last), FEN_OK);
        assert_string_equal(last.rule, rows[i].rule);
        assert_string_equal(last.of_case, rows[i].of);
        fen_own_close(&p);
        fen_problems_free(problems);
    }
}

static fen_status run_and_free(void *arg)
{
    const fen_status st = run(arg);
    fen_str_free(&((change *)arg)->out);
    return st;
}

static void both_survive_every_failed_allocation(void **state)
{
    (void)state;
    change c = { .rule = RULE, .more = true };
    put_file("# mine\nrules:\n" A2 "causes:\n");
    unit_refuse_each(run_and_free, &c);
    put_file("# mine\nrules:\n" A2 AT2 "causes:\n");
    c = (change){ .rule = "lesson-b" };
    unit_refuse_each(run_and_free, &c);
}

static int make_file(void **state)
{
    (void)state;
    const int fd = mkstemp(path);
    return fd >= 0 ? close(fd) : -1;
}

static int remove_file(void **state)
{
    (void)state;
    return unlink(path) == 0 || errno == ENOENT ? 0 : -1;
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_rule_joins_the_others_and_goes_without_a_trace),
        cmocka_unit_test(what_the_grower_wrote_behind_a_rule_stays_when_it_goes),
        cmocka_unit_test(a_layout_that_would_be_damaged_is_refused),
        cmocka_unit_test(the_last_lesson_is_the_last_in_the_file),
        cmocka_unit_test(both_survive_every_failed_allocation),
    };
    return cmocka_run_group_tests(tests, make_file, remove_file);
}
