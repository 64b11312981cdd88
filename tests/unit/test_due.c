/* What is due: looks, repetitions and the season's tasks; and the calendar made of them.
 */
#include "fenmend/follow_view.h"
#include "plans.h"
#include "util/str.h"

#include <unistd.h>

static fen_base *base;

static fen_case *load(const char *text)
{
    char path[] = "/tmp/fen-due-XXXXXX";
    const int fd = mkstemp(path);
    fen_problems *problems;
    fen_case *c = NULL;
    assert_true(fd >= 0);
    assert_int_equal(write(fd, text, strlen(text)), (ssize_t)strlen(text));
    close(fd);
    assert_int_equal(fen_problems_new(&problems), FEN_OK);
    assert_int_equal(fen_case_load(base, path, TODAY, problems, &c), FEN_OK);
    fen_problems_free(problems);
    unlink(path);
    return c;
}

static const char sick[] = "case: 'one; two, three\\four'\nkind: snap-trap\ndate: 2026-07-12\nfindings:\n  heart: soft\n  newest: limp\n"
                           "  runoff: 200 ppm\n  pot-top: 9 cm\n  pot-base: 7 cm\n  pot-depth: 9 cm\n  bought: 2026-06-01\n";

static fen_dues *dues_of(const char *text, fen_due_span span)
{
    fen_dues *d = NULL;
    fen_session *s = views_session(base);
    fen_case *c = load(text);
    assert_int_equal(fen_dues_new(base, &d), FEN_OK);
    assert_int_equal(fen_dues_add(d, c, s, span), FEN_OK);
    fen_dues_sort(d);
    fen_case_free(c);
    fen_session_free(s);
    return d;
}

static void looks_repetitions_and_tasks_come_by_day(void **state)
{
    (void)state;
    static const struct { int day; fen_due_type type; const char *text; } rows[] = {
        { 7, FEN_DUE_LOOK, "The heart is firm." },
        /* pi/12 * 9 * (81 + 63 + 49) * 0.6 * ln(195 / 45) = 400 ml */
        { 7, FEN_DUE_AGAIN, "Pour 400 ml through, 80 ml at a time, from 200 ppm to 50 ppm." },
        { 14, FEN_DUE_AGAIN, "Pour 400 ml through, 80 ml at a time, from 200 ppm to 50 ppm." },
        { 19, FEN_DUE_TASK, "It may join the others." }, /* 60 days after the first of June */
        { 21, FEN_DUE_AGAIN, "Pour 400 ml through, 80 ml at a time, from 200 ppm to 50 ppm." },
        { 28, FEN_DUE_LOOK, "Less runs out." },
    };
    fen_dues *d = dues_of(sick, (fen_due_span){ .today = TODAY, .ahead = 30 });
    assert_int_equal(fen_dues_count(d), COUNT(rows));
    for (size_t i = 0; i < COUNT(rows); i++) {
        assert_int_equal(fen_dues_at(d, i)->day, TODAY + rows[i].day);
        assert_int_equal(fen_dues_at(d, i)->type, rows[i].type);
        assert_string_equal(fen_dues_at(d, i)->text, rows[i].text);
    }
    fen_dues_free(d);
}

static size_t count_tasks(const char *text, fen_due_span span, const char *task)
{
    fen_dues *d = dues_of(text, span);
    size_t n = 0;
    for (size_t i = 0; i < fen_dues_count(d); i++)
        n += fen_dues_at(d, i)->type == FEN_DUE_TASK && strcmp(fen_base_task(base, fen_dues_at(d, i)->task)->id, task) == 0;
    fen_dues_free(d);
    return n;
}

static void seasons_turn_with_the_hemisphere_and_tasks_keep_to_their_kinds(void **state)
{
    (void)state;
    static const struct { const char *text; int month, day; bool south; uint32_t ahead; const char *task; size_t n; } rows[] = {
        { "kind: snap-trap\nfindings: {}\n", 2, 1, false, 0, "mix", 1 },
        { "kind: snap-trap\nfindings: {}\n", 3, 31, false, 0, "mix", 1 },
        { "kind: snap-trap\nfindings: {}\n", 4, 1, false, 0, "mix", 0 },
        { "kind: snap-trap\nfindings: {}\n", 1, 31, false, 0, "mix", 0 },
        { "kind: snap-trap\nfindings: {}\n", 1, 31, false, 1, "mix", 1 },   /* a day ahead */
        { "kind: snap-trap\nfindings: {}\n", 8, 1, true, 0, "mix", 1 },     /* six months on in the south */
        { "kind: snap-trap\nfindings: {}\n", 2, 1, true, 0, "mix", 0 },
        { "kind: snap-trap\nwhere: {hemisphere: south}\nfindings: {}\n", 8, 1, false, 0, "mix", 1 },
        { "kind: snap-trap\nwhere: {hemisphere: north}\nfindings: {}\n", 8, 1, true, 0, "mix", 0 },
        { "kind: glue-leaf\nfindings: {}\n", 2, 1, false, 0, "mix", 0 },    /* another kind */
        { "findings: {}\n", 2, 1, false, 0, "mix", 0 },                     /* no kind */
        { "findings: {}\n", 1, 10, false, 0, "rest", 1 },                   /* over the turn of the year */
        { "findings: {}\n", 12, 10, false, 0, "rest", 1 },
        { "findings: {}\n", 5, 31, true, 0, "rest", 0 },
        { "findings: {}\n", 6, 1, true, 0, "rest", 1 },                     /* said apart for the south */
        { "kind: glue-leaf\nfindings: {}\n", 5, 3, false, 0, "never-for-glue", 0 },
        { "kind: glue-leaf\nfindings: {heart: firm}\n", 5, 3, false, 0, "never-for-glue", 1 },
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        char text[256];
        snprintf(text, sizeof text, "case: x\ndate: 2026-01-01\n%s", rows[i].text);
        const fen_due_span span = { .today = fen_date_day(2026, rows[i].month, rows[i].day), .ahead = (int32_t)rows[i].ahead, .south = rows[i].south };
        if (count_tasks(text, span, rows[i].task) != rows[i].n)
            fail_msg("row %zu", i);
    }
}

static void a_leap_day_belongs_to_february(void **state)
{
    (void)state;
    int32_t first, last;
    fen_due_season(11, 2, fen_date_day(2028, 1, 1), &first, &last);
    assert_int_equal(first, fen_date_day(2027, 11, 1));
    assert_int_equal(last, fen_date_day(2028, 2, 29));
    fen_due_season(11, 2, fen_date_day(2028, 3, 1), &first, &last);
    assert_int_equal(first, fen_date_day(2028, 11, 1));
    assert_int_equal(last, fen_date_day(2029, 2, 28));
    fen_due_season(1, 12, fen_date_day(2026, 6, 1), &first, &last);
    assert_int_equal(last - first, 364);
}

/* RFC 5545, 3.1: lines end in CR LF and hold at most 75 octets. */
static void calendar_lines_are_folded_and_whole(void **state)
{
    (void)state;
    fen_str text;
    fen_str_init(&text, 1u << 20);
    fen_dues *d = dues_of("case: \xc3\x84\xc3\xb6\xc3\xbc\xe2\x82\xac\xf0\x9f\x8c\xb1\xc3\x84\xc3\xb6\xc3\xbc\xe2\x82\xac\xf0\x9f\x8c\xb1\xc3\x84\xc3\xb6\xc3\xbc\xe2\x82\xac\xf0\x9f\x8c\xb1\xc3\x84"
                          "\xc3\xb6\xc3\xbc\xe2\x82\xac\xf0\x9f\x8c\xb1\xc3\x84\xc3\xb6\nkind: snap-trap\ndate: 2026-07-12\nfindings: {heart: soft}\n",
                          (fen_due_span){ .today = TODAY, .ahead = 300 });
    fen_ics_dues(&text, d, TODAY);
    assert_int_equal(fen_str_status(&text), FEN_OK);
    for (const char *at = text.at; *at;) {
        const char *end = strstr(at, "\r\n");
        assert_non_null(end);
        assert_true(end - at <= 75);
        assert_null(memchr(at, '\n', (size_t)(end - at)));
        assert_true(((unsigned char)at[at[0] == ' '] & 0xC0) != 0x80); /* no character is cut */
        at = end + 2;
    }
    fen_str_free(&text);
    fen_dues_free(d);
}

static void uids_stay_from_one_export_to_the_next(void **state)
{
    (void)state;
    fen_str a, b;
    fen_str_init(&a, 1u << 20);
    fen_str_init(&b, 1u << 20);
    fen_dues *one = dues_of(sick, (fen_due_span){ .today = TODAY, .ahead = 30 });
    fen_dues *two = dues_of(sick, (fen_due_span){ .today = TODAY + 3, .ahead = 30, .us = true });
    fen_ics_dues(&a, one, TODAY);
    fen_ics_dues(&b, two, TODAY + 3);
    const char *x = a.at, *y = b.at;
    for (size_t n = 0;; n++) {
        x = strstr(x, "UID:");
        y = strstr(y, "UID:");
        assert_int_equal(!x, !y);
        if (!x) {
            assert_true(n >= 6);
            break;
        }
        const size_t len = strcspn(x, "@"); /* a folded line is folded alike */
        assert_memory_equal(x, y, len);
        for (const char *z = a.at; (z = strstr(z, "UID:")) && z < x; z++)
            assert_true(strncmp(x, z, len) != 0); /* and no two are the same */
        x++, y++;
    }
    fen_str_free(&a);
    fen_str_free(&b);
    fen_dues_free(one);
    fen_dues_free(two);
}

typedef struct work {
    fen_case *c;
    fen_session *s;
} work;

static fen_status list_and_show(void *arg)
{
    work *w = arg;
    fen_dues *d = NULL;
    fen_page *page = NULL;
    fen_str text;
    fen_str_init(&text, 1u << 20);
    fen_status st = fen_dues_new(base, &d);
    if (!st)
        st = fen_dues_add(d, w->c, w->s, (fen_due_span){ .today = TODAY, .ahead = 300 });
    if (!st)
        st = fen_page_new((fen_look){ .width = 60 }, &page);
    if (!st) {
        fen_dues_sort(d);
        fen_show_dues(page, d, TODAY);
        fen_ics_dues(&text, d, TODAY);
        fen_json_dues(&text, d, TODAY);
        st = fen_page_status(page);
        if (!st)
            st = fen_str_status(&text);
    }
    fen_str_free(&text);
    fen_page_free(page);
    fen_dues_free(d);
    return st;
}

static void what_is_due_survives_every_failed_allocation(void **state)
{
    (void)state;
    work w = { load(sick), views_session(base) };
    unit_refuse_each(list_and_show, &w);
    fen_case_free(w.c);
    fen_session_free(w.s);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(looks_repetitions_and_tasks_come_by_day),
        cmocka_unit_test(seasons_turn_with_the_hemisphere_and_tasks_keep_to_their_kinds),
        cmocka_unit_test(a_leap_day_belongs_to_february),
        cmocka_unit_test(calendar_lines_are_folded_and_whole),
        cmocka_unit_test(uids_stay_from_one_export_to_the_next),
        cmocka_unit_test(what_is_due_survives_every_failed_allocation),
    };
    base = plans_base();
    const int failed = cmocka_run_group_tests(tests, NULL, NULL);
    fen_base_free(base);
    return failed;
}
