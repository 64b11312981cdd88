/* test_names.c -- what a person types for a finding or a cause. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "cli/names.h"
#include "util/vec.h"

static fen_base *base;
static fen_session *session;

static int open_small(void **state)
{
    (void)state;
    const char *path = FEN_TESTS_DIR "/packs/small.yaml";
    fen_problems *problems;
    if (fen_problems_new(&problems))
        return -1;
    const fen_status st = fen_base_load(&path, 1, problems, &base);
    fen_problems_free(problems);
    return st || fen_session_new(base, 20000, &session) ? -1 : 0;
}

static int close_small(void **state)
{
    (void)state;
    fen_session_free(session);
    fen_base_free(base);
    return 0;
}

static void blanks_hyphens_and_capitals_are_all_one(void **state)
{
    (void)state;
    static const struct {
        const char *typed, *name;
        bool same, begins;
    } rows[] = {
        {"crown-rot", "crown-rot", true, true},
        {"crown rot", "crown-rot", true, true},
        {"Crown   Rot", "crown-rot", true, true},
        {"crown_rot", "crown rot", true, true},
        {"crown", "crown-rot", false, true},
        {"crown-", "crown-rot", false, true},
        {"rot", "crown-rot", false, false},
        {"crown-rots", "crown-rot", false, false},
        {"", "crown-rot", false, false},
        {"", "", true, false},
    };
    for (size_t i = 0; i < FEN_COUNT(rows); i++) {
        assert_int_equal(fen_names_same(rows[i].typed, strlen(rows[i].typed), rows[i].name), rows[i].same);
        assert_int_equal(fen_names_begins(rows[i].typed, strlen(rows[i].typed), rows[i].name), rows[i].begins);
    }
}

static void a_finding_takes_as_many_words_as_are_its_name(void **state)
{
    (void)state;
    static const struct {
        const char *typed, *finding, *rest;
    } rows[] = {
        {"heart soft", "heart", "soft"},
        {"water-reading 75 ppm", "water-reading", "75 ppm"},
        {"water reading 75 ppm", "water-reading", "75 ppm"},
        {"water in the tray standing", "tray", "standing"}, /* as it is shown */
        {"what has blackened traps, old-leaves", "blackened", "traps, old-leaves"},
        {"wat 75 ppm", "water-reading", "75 ppm"},           /* a beginning is one word */
        {"last 3 weeks ago", "last-move", "3 weeks ago"},
        {"stalk", "stalk", ""},
        {"  stalk \t yes", "stalk", "yes"},
    };
    for (size_t i = 0; i < FEN_COUNT(rows); i++) {
        char err[FEN_NAMES_ERROR];
        const char *rest = NULL;
        fen_id f = FEN_NONE;
        assert_int_equal(fen_names_finding_first(session, rows[i].typed, &f, &rest, err), FEN_OK);
        assert_string_equal(fen_base_finding(base, f)->id, rows[i].finding);
        assert_string_equal(rest, rows[i].rest);
    }
}

static void two_causes_are_cut_where_both_halves_fit(void **state)
{
    (void)state;
    static const struct {
        const char *typed, *a, *b;
    } rows[] = {
        {"heart-rot thirst", "heart-rot", "thirst"},
        {"heart rot old age", "heart-rot", "old-age"},
        {"thirst sulking after a move", "thirst", "moving-sulk"},
        {"ageing leaves mineral burn", "old-age", "mineral-burn"},
        {"h m", "heart-rot", NULL}, /* 'm' is two causes: refused */
        {"h s", "heart-rot", "something-else"}, /* 'sulking after a move' is only shown, 'moving-sulk' its name */
        {"he so", "heart-rot", "something-else"},
    };
    for (size_t i = 0; i < FEN_COUNT(rows); i++) {
        char err[FEN_NAMES_ERROR] = "";
        fen_id a = FEN_NONE, b = FEN_NONE;
        const fen_status st = fen_names_two_causes(session, rows[i].typed, &a, &b, err);
        assert_int_equal(st, rows[i].b ? FEN_OK : FEN_EINPUT);
        if (st) {
            assert_non_null(strstr(err, "; "));
            continue;
        }
        assert_string_equal(fen_base_cause(base, a)->id, rows[i].a);
        assert_string_equal(fen_base_cause(base, b)->id, rows[i].b);
    }
}

static void a_long_line_is_quoted_in_part_only(void **state)
{
    (void)state;
    char text[4096], err[FEN_NAMES_ERROR];
    fen_id c;
    memset(text, 'q', sizeof text - 1);
    text[sizeof text - 1] = '\0';
    assert_int_equal(fen_names_cause(session, text, strlen(text), NULL, &c, err), FEN_EINPUT);
    assert_true(strlen(err) < 120);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(blanks_hyphens_and_capitals_are_all_one),
        cmocka_unit_test(a_finding_takes_as_many_words_as_are_its_name),
        cmocka_unit_test(two_causes_are_cut_where_both_halves_fit),
        cmocka_unit_test(a_long_line_is_quoted_in_part_only),
    };
    return cmocka_run_group_tests(tests, open_small, close_small);
}
