/* test_lesson_keep.c -- lessons kept and taken back: files that stay whole, and what must not be
 * written over.
 */
#include "fenmend/lesson.h"

#include "lesson_world.h"

/* ---- keeping, and taking back -------------------------------------------------------------------------- */

static void keep_first(const char *own, const char *settled, fen_settled_put want)
{
    world w;
    fen_settled_put put;
    if (own)
        put_file(own_path, own);
    open_world(&w, "", settled, porch);
    propose(&w);
    assert_int_equal(fen_lesson_keep(w.l, 0, w.problems, &put), FEN_OK);
    assert_int_equal(put, want);
    end(&w);
}

static void undo(fen_lesson_undone *ret)
{
    world w;
    if (begin(&w))
        fail_msg("%s", said);
    if (fen_lesson_undo(&w.set, w.problems, ret)) {
        tell(w.problems);
        fail_msg("%s", said);
    }
    end(&w);
}

static void what_is_kept_is_right_afterwards_and_goes_without_a_trace(void **state)
{
    (void)state;
    static const char own[] = "# mine\nrules:\n  mine:\n    when: smell is yes\n    then: fair for rot\n    why: w # because\n\n# the end\n";
    static const char settled[] = "# mine too\n---\ncase: other\nsettled: rot\nfindings: {crown: soft}\n# the end\n";
    world w;
    fen_lesson_undone done;
    keep_first(own, settled, FEN_SETTLED_ADDED);
    if (begin(&w))
        fail_msg("%s", said);
    assert_int_equal(fen_lesson_how(w.l), FEN_LESSON_RIGHT);
    end(&w);
    undo(&done);
    assert_string_equal(done.rule, "lesson-porch");
    assert_true(done.case_out && !done.pack_gone && !done.store_gone);
    file_is(own_path, own);
    file_is(store_path, settled);
    undo(&done);
    assert_string_equal(done.rule, ""); /* `mine` was not learnt from a case */
    file_is(own_path, own);
}

static void files_that_held_nothing_else_are_gone_again(void **state)
{
    (void)state;
    fen_lesson_undone done;
    keep_first(NULL, NULL, FEN_SETTLED_ADDED);
    undo(&done);
    assert_true(done.case_out && done.pack_gone && done.store_gone);
    assert_int_equal(access(own_path, F_OK), -1);
    assert_int_equal(access(store_path, F_OK), -1);
}

static void a_case_that_was_settled_before_stays(void **state)
{
    (void)state;
    fen_lesson_undone done;
    char *before;
    size_t len;
    keep_first(NULL, "---\ncase: porch\nformat: 1\nkind: trap-plant\ndate: 2026-07-10\nfindings:\n  crown: soft\nsettled: [drought]\n", FEN_SETTLED_GREW);
    assert_int_equal(fen_file_read(store_path, 1 << 20, &before, &len), FEN_OK);
    assert_null(strstr(before, "lesson"));
    undo(&done);
    assert_false(done.case_out);
    file_is(store_path, before);
    fen_free(before);
}

static void a_second_lesson_from_the_same_case_has_a_name_of_its_own(void **state)
{
    (void)state;
    world w;
    fen_settled_put put;
    fen_lesson_undone done;
    keep_first(NULL, NULL, FEN_SETTLED_ADDED);
    open_world(&w, "  later:\n    when: crown is soft\n    then: strong for rot\n    why: w\n", NULL, porch); /* the rules have changed since */
    assert_int_equal(fen_lesson_how(w.l), FEN_LESSON_WRONG);
    assert_string_equal(fen_lesson_rule(w.l), "lesson-porch-2");
    propose(&w);
    assert_int_equal(fen_lesson_keep(w.l, 0, w.problems, &put), FEN_OK);
    assert_int_equal(put, FEN_SETTLED_SAME);
    end(&w);
    undo(&done);
    assert_string_equal(done.rule, "lesson-porch-2");
    assert_false(done.case_out); /* it was put there for the first */
    undo(&done);
    assert_string_equal(done.rule, "lesson-porch");
    assert_true(done.case_out);
}

static void a_case_that_was_judged_rightly_joins_the_settled_ones(void **state)
{
    (void)state;
    world w;
    fen_settled_put put;
    open_world(&w, "", NULL, "case: Der Topf! am Fenster\ndate: 2026-07-10\nfindings: {crown: soft}\nsettled: [rot, salts]\n");
    assert_int_equal(fen_lesson_how(w.l), FEN_LESSON_RIGHT);
    assert_string_equal(fen_lesson_rule(w.l), "lesson-der-topf-am-fenster");
    propose(&w);
    assert_int_equal(fen_lesson_count(w.l), 0);
    assert_int_equal(fen_lesson_keep(w.l, FEN_LESSON_NONE, w.problems, &put), FEN_OK);
    assert_int_equal(put, FEN_SETTLED_ADDED);
    file_is(store_path, FEN_STORE_HEAD "---\ncase: Der Topf! am Fenster\nformat: 1\ndate: 2026-07-10\nfindings:\n  crown: soft\nsettled: [rot, salts]\n");
    assert_int_equal(access(own_path, F_OK), -1);
    end(&w);
}

static void names_that_need_quotes_stay_what_they_are(void **state)
{
    (void)state;
    world w;
    fen_settled_put put;
    fen_lesson_undone done;
    open_world(&w, "", NULL, "case: \"#1: 'the' {big} one\"\ndate: 2026-07-10\nfindings: {crown: soft, tray: dry-often, leaves: [limp], smell: no}\nsettled: drought\n");
    w.set.author = "x: y # z";
    fen_lesson_free(w.l);
    assert_int_equal(fen_lesson_new(&w.set, w.problems, &w.l), FEN_OK);
    propose(&w);
    assert_int_equal(fen_lesson_keep(w.l, 0, w.problems, &put), FEN_OK);
    end(&w);
    undo(&done);
    assert_string_equal(done.of_case, "#1: 'the' {big} one");
    assert_true(done.case_out);
}

/* ---- what must not be written over -------------------------------------------------------------------- */

static void what_changed_meanwhile_is_not_written_over(void **state)
{
    (void)state;
    for (int which = 0; which < 2; which++) {
        world w;
        fen_settled_put put = FEN_SETTLED_OTHER;
        const char *path = which ? own_path : store_path;
        open_world(&w, "", NULL, porch);
        propose(&w);
        put_file(path, "# somebody was here\n");
        assert_int_equal(fen_lesson_keep(w.l, 0, w.problems, &put), FEN_EINPUT);
        tell(w.problems);
        assert_non_null(strstr(said, "the file has changed meanwhile; ask for the lesson again [busy]\n"));
        assert_int_equal(put, FEN_SETTLED_OTHER);
        file_is(path, "# somebody was here\n");
        assert_int_equal(unlink(path), 0);
        assert_int_equal(access(which ? store_path : own_path, F_OK), -1);
        end(&w);
    }
}

static const struct { const char *settled, *says; } refused[] = {
    { "---\ncase: a\nsettled: root\n", "/settled.yaml:3:10: error: there is no cause 'root'; did you mean 'rot' [unknown-name]" },
    { "---\ncase: a\nformat: 7\n", "/settled.yaml:3:9: error: the case has the format 7" },
    { "---\ncase: [\n", "/settled.yaml:3:1: error: " },
    { "---\ncase: porch\ndate: 2026-07-10\nfindings: {crown: firm}\nsettled: rot\n", "/settled.yaml: error: the settled case 'porch' says something else" },
};

static void a_file_that_is_broken_is_told_with_its_place_before_anything_is_proposed(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(refused); i++) {
        world w;
        put_pack("");
        put_file(case_path, porch);
        put_file(store_path, refused[i].settled);
        assert_int_equal(begin(&w), FEN_EINPUT);
        if (!strstr(said, refused[i].says))
            fail_msg("%zu: %s", i, said);
        file_is(store_path, refused[i].settled);
        end(&w);
    }
}

static void a_rule_that_others_need_is_not_taken_out(void **state)
{
    (void)state;
    world w;
    fen_lesson_undone done;
    char *text;
    size_t len;
    keep_first(NULL, NULL, FEN_SETTLED_ADDED);
    put_pack("  needs-it:\n    when: crown is soft\n    then: slight for salts\n    over: [lesson-porch]\n    why: w\n");
    assert_int_equal(fen_file_read(own_path, 1 << 20, &text, &len), FEN_OK);
    if (begin(&w))
        fail_msg("%s", said);
    assert_int_equal(fen_lesson_undo(&w.set, w.problems, &done), FEN_EINPUT);
    tell(w.problems);
    assert_non_null(strstr(said, "there is no rule 'lesson-porch'"));
    file_is(own_path, text);
    fen_free(text);
    end(&w);
}

static fen_status learn(void *arg)
{
    world *w = arg;
    fen_problems *problems = NULL;
    fen_lesson *l = NULL;
    fen_settled_put put;
    fen_lesson_undone done;
    fen_status st = fen_problems_new(&problems);
    if (!st)
        st = fen_lesson_new(&w->set, problems, &l);
    if (!st)
        st = fen_lesson_propose(l, problems);
    if (!st && fen_lesson_count(l))
        st = fen_lesson_narrow(l, 0, problems);
    if (!st)
        st = fen_lesson_keep(l, fen_lesson_count(l) ? 0 : FEN_LESSON_NONE, problems, &put);
    fen_lesson_free(l);
    if (!st)
        st = fen_lesson_undo(&w->set, problems, &done);
    fen_problems_free(problems);
    return st;
}

/* Proposing loads a pack for each rule it tries, so that the allocations are many: every
 * one of them for the first proposals, then steps. */
static void a_lesson_survives_failed_allocations(void **state)
{
    (void)state;
    world w;
    char *settled;
    size_t len;
    assert_int_equal(fen_file_read(FEN_TESTS_DIR "/lessons/settled.yaml", 1 << 20, &settled, &len), FEN_OK);
    open_world(&w, "", settled, porch);
    size_t refusals = 0;
    for (size_t nth = 0;; nth += nth < 300 ? 1 : nth / 40) {
        const size_t before = fen_alloc_live();
        fen_alloc_fail_at(nth);
        const fen_status st = learn(&w);
        fen_alloc_fail_at(FEN_ALLOC_NEVER_FAIL);
        assert_int_equal(fen_alloc_live(), before);
        if (st == FEN_OK)
            break;
        assert_int_equal(st, FEN_ENOMEM);
        refusals++;
        if (access(own_path, F_OK) == 0) { /* kept, and not taken back */
            fen_lesson_undone done;
            end(&w);
            undo(&done);
            if (begin(&w))
                fail_msg("%s", said);
        }
        file_is(store_path, settled);
    }
    assert_true(refusals > 300);
    fen_free(settled);
    end(&w);
}
int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(what_is_kept_is_right_afterwards_and_goes_without_a_trace),
        TEST(files_that_held_nothing_else_are_gone_again),
        TEST(a_case_that_was_settled_before_stays),
        TEST(a_second_lesson_from_the_same_case_has_a_name_of_its_own),
        TEST(a_case_that_was_judged_rightly_joins_the_settled_ones),
        TEST(names_that_need_quotes_stay_what_they_are),
        TEST(what_changed_meanwhile_is_not_written_over),
        TEST(a_file_that_is_broken_is_told_with_its_place_before_anything_is_proposed),
        TEST(a_rule_that_others_need_is_not_taken_out),
        TEST(a_lesson_survives_failed_allocations),
    };
    return cmocka_run_group_tests(tests, make_folder, remove_folder);
}
