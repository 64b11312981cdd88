/* Visits: what the last plan promised, what is taken over, and whether it is
 * getting better.
 */
#include "fenmend/follow_view.h"
#include "plans.h"

#include <unistd.h>

static fen_base *base;

static fen_case *load(const char *text)
{
    char path[] = "/tmp/fen-visit-XXXXXX";
    const int fd = mkstemp(path);
    fen_problems *problems;
    fen_case *c = NULL;
    assert_true(fd >= 0);
    assert_int_equal(write(fd, text, strlen(text)), (ssize_t)strlen(text));
    close(fd);
    assert_int_equal(fen_problems_new(&problems), FEN_OK);
    const fen_status st = fen_case_load(base, path, TODAY, problems, &c);
    for (size_t i = 0; i < fen_problems_count(problems); i++)
        print_error("%s\n", fen_problems_at(problems, i)->text);
    assert_int_equal(st, FEN_OK);
    fen_problems_free(problems);
    unlink(path);
    return c;
}

static const char sick[] = "case: one\nkind: snap-trap\ndate: 2026-07-12\nfindings:\n  heart: soft\n  newest: limp\n  tray: empty\n"
                           "  runoff: 200 ppm\n  pot-top: 9 cm\n  bought: 2026-06-01\n";

static void the_plan_says_what_to_look_at_and_what_lasts_is_taken_over(void **state)
{
    (void)state;
    fen_session *s = views_session(base);
    fen_case *c = load(sick);
    fen_follow *f = NULL;
    assert_int_equal(fen_follow_make(c, 0, s, &f), FEN_OK);
    assert_int_equal(f->date, TODAY);
    assert_int_equal(f->ask.count, 3); /* rot is more urgent than salt */
    assert_int_equal(f->ask.at[0], views_finding(base, "heart"));
    assert_int_equal(f->ask.at[1], views_finding(base, "newest"));
    assert_int_equal(f->ask.at[2], views_finding(base, "runoff"));
    assert_int_equal(f->promises[0].due, TODAY + 7);
    fen_follow_begin(f, c, 0, s, TODAY + 8);
    assert_int_equal(fen_session_today(s), TODAY + 8);
    static const struct { const char *finding; fen_asked state; } rows[] = {
        { "kind", FEN_KNOWN }, { "pot-top", FEN_KNOWN }, { "bought", FEN_KNOWN },
        { "heart", FEN_OPEN }, { "newest", FEN_OPEN },   /* signs pass */
        { "runoff", FEN_OPEN },                          /* asked for again */
        { "tray", FEN_OPEN },                            /* `lasts: no` */
    };
    for (size_t i = 0; i < COUNT(rows); i++)
        if (fen_session_given(s, views_finding(base, rows[i].finding)).state != rows[i].state)
            fail_msg("%s", rows[i].finding);
    assert_int_equal(fen_follow_overall(f, s), FEN_TREND_UNKNOWN);
    fen_follow_free(f);
    fen_case_free(c);
    fen_session_free(s);
}

static void each_look_tells_better_from_worse(void **state)
{
    (void)state;
    static const struct { const char *heart, *newest, *runoff; fen_trend each[3], overall; } rows[] = {
        { "firm", "sound", "60 ppm", { FEN_TREND_BETTER, FEN_TREND_BETTER, FEN_TREND_BETTER }, FEN_TREND_BETTER },
        { "soft", "sound", "60 ppm", { FEN_TREND_WORSE, FEN_TREND_BETTER, FEN_TREND_BETTER }, FEN_TREND_WORSE },
        { "firm", "black", "190 ppm", { FEN_TREND_BETTER, FEN_TREND_WORSE, FEN_TREND_SAME }, FEN_TREND_WORSE },
        { "unsure", "unsure", "190 ppm", { FEN_TREND_UNKNOWN, FEN_TREND_UNKNOWN, FEN_TREND_SAME }, FEN_TREND_SAME },
        { "unsure", "unsure", "220 ppm", { FEN_TREND_UNKNOWN, FEN_TREND_UNKNOWN, FEN_TREND_SAME }, FEN_TREND_SAME }, /* exactly a tenth more */
        { "unsure", "unsure", "221 ppm", { FEN_TREND_UNKNOWN, FEN_TREND_UNKNOWN, FEN_TREND_WORSE }, FEN_TREND_WORSE },
        { "unsure", "unsure", "unsure", { FEN_TREND_UNKNOWN, FEN_TREND_UNKNOWN, FEN_TREND_UNKNOWN }, FEN_TREND_UNKNOWN },
    };
    fen_session *s = views_session(base);
    fen_case *c = load(sick);
    fen_follow *f = NULL;
    assert_int_equal(fen_follow_make(c, 0, s, &f), FEN_OK);
    for (size_t i = 0; i < COUNT(rows); i++) {
        fen_follow_begin(f, c, 0, s, TODAY + 8);
        views_answer(s, "heart", rows[i].heart);
        views_answer(s, "newest", rows[i].newest);
        views_answer(s, "runoff", rows[i].runoff);
        for (size_t k = 0; k < 3; k++)
            if (fen_follow_trend(f, s, k) != rows[i].each[k])
                fail_msg("row %zu, look %zu: %s", i, k, fen_trend_name(fen_follow_trend(f, s, k)));
        assert_int_equal(fen_follow_overall(f, s), rows[i].overall);
    }
    fen_follow_free(f);
    fen_case_free(c);
    fen_session_free(s);
}

static void what_was_sound_and_is_no_more_is_worse(void **state)
{
    (void)state;
    fen_session *s = views_session(base);
    fen_case *c = load("case: two\nkind: snap-trap\nvisits:\n- date: 2026-07-01\n  findings: {heart: soft, newest: black}\n"
                       "- date: 2026-07-12\n  findings: {heart: soft, newest: sound}\n");
    fen_follow *f = NULL;
    assert_int_equal(fen_follow_make(c, 1, s, &f), FEN_OK); /* the last visit counts */
    assert_int_equal(f->date, TODAY);
    fen_follow_begin(f, c, 1, s, TODAY + 1);
    views_answer(s, "newest", "sound");
    assert_int_equal(fen_follow_trend(f, s, 1), FEN_TREND_SOUND);
    views_answer(s, "newest", "limp");
    assert_int_equal(fen_follow_trend(f, s, 1), FEN_TREND_WORSE);
    fen_follow_free(f);
    fen_case_free(c);
    fen_session_free(s);
}

typedef struct work {
    fen_case *c;
    fen_session *s;
} work;

static fen_status follow_and_show(void *arg)
{
    work *w = arg;
    fen_follow *f = NULL;
    fen_page *page = NULL;
    fen_status st = fen_follow_make(w->c, 0, w->s, &f);
    if (!st) {
        fen_follow_begin(f, w->c, 0, w->s, TODAY + 8);
        st = fen_page_new((fen_look){ .width = 60 }, &page);
    }
    if (!st) {
        fen_show_promises(page, w->s, f);
        fen_show_progress(page, w->s, f);
        st = fen_page_status(page);
    }
    fen_page_free(page);
    fen_follow_free(f);
    return st;
}

static void a_visit_survives_every_failed_allocation(void **state)
{
    (void)state;
    work w = { load(sick), views_session(base) };
    unit_refuse_each(follow_and_show, &w);
    fen_case_free(w.c);
    fen_session_free(w.s);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_plan_says_what_to_look_at_and_what_lasts_is_taken_over),
        cmocka_unit_test(each_look_tells_better_from_worse),
        cmocka_unit_test(what_was_sound_and_is_no_more_is_worse),
        cmocka_unit_test(a_visit_survives_every_failed_allocation),
    };
    base = plans_base();
    const int failed = cmocka_run_group_tests(tests, NULL, NULL);
    fen_base_free(base);
    return failed;
}
