/* Random plants under the shipped rules: whatever was answered, every view fits
 * its width, shows no control byte and changes nothing, and the case kept from it
 * reads back to the same answers.
 */
#include <unistd.h>

#include "fenmend/report.h"
#include "unit/unit.h"
#include "util/date.h"
#include "util/utf8.h"

enum { PLANTS = 120 };

static fen_base *base;
static int32_t today;

static int open_base(void **state)
{
    const char *const paths[] = { FEN_RULES_DIR };
    fen_problems *problems;
    (void)state;
    today = fen_date_day(2026, 7, 12);
    assert_int_equal(fen_problems_new(&problems), FEN_OK);
    const fen_status st = fen_base_load(paths, 1, problems, &base);
    fen_problems_free(problems);
    return st == FEN_OK ? 0 : -1;
}

static int close_base(void **state)
{
    (void)state;
    fen_base_free(base);
    return 0;
}

typedef struct dice {
    uint64_t state;
} dice;

static unsigned below(dice *d, uint32_t n)
{
    return (unsigned)(unit_random(&d->state) % n);
}

static bool chance(dice *d, unsigned percent)
{
    return below(d, 100) < percent;
}

static fen_answer random_answer(const fen_finding *f, dice *r)
{
    fen_answer a = { chance(r, 10) ? FEN_UNSURE : FEN_KNOWN, 0, 0 };
    if (a.state == FEN_UNSURE)
        return a;
    if (f->type == FEN_DATE)
        a.value = today - (double)below(r, 900);
    else if (f->type == FEN_QUANTITY)
        a.value = f->from + (f->to - f->from) * below(r, 10001) / 10000.0;
    else if (f->type == FEN_SEVERAL)
        for (uint32_t i = 0; i < f->n_options; i++)
            a.picks = chance(r, 30) ? fen_finding_with(f, a.picks, i) : a.picks;
    else
        a.picks = UINT64_C(1) << below(r, f->n_options);
    if (f->type == FEN_SEVERAL && !a.picks)
        a.picks = fen_finding_without(f);
    return a;
}

static fen_session *random_plant(dice *r)
{
    fen_session *s;
    const unsigned share = below(r, 101);
    assert_int_equal(fen_session_new(base, today, &s), FEN_OK);
    for (fen_id f = 0; f < fen_base_findings(base); f++)
        if (!fen_base_finding(base, f)->derived && chance(r, share))
            assert_int_equal(fen_session_answer(s, f, random_answer(fen_base_finding(base, f), r)), FEN_OK);
    return s;
}

static void check_page(fen_page *page, uint32_t width, bool ascii)
{
    size_t len;
    const char *text = fen_page_text(page, &len);
    assert_int_equal(fen_page_status(page), FEN_OK);
    assert_int_equal(fen_utf8_check(text, len), len);
    for (const char *end; (end = strchr(text, '\n')); text = end + 1) {
        if (fen_utf8_width(text, (size_t)(end - text)) > width)
            fail_msg("wider than %lu: %.*s", (unsigned long)width, (int)(end - text), text);
        if (end > text && end[-1] == ' ')
            fail_msg("ends in a blank: '%.*s'", (int)(end - text), text);
        for (const char *c = text; c < end; c++)
            if ((unsigned char)*c < 0x20 || *c == 0x7f || (ascii && (unsigned char)*c > 0x7e))
                fail_msg("byte %02x in: %.*s", (unsigned char)*c, (int)(end - text), text);
    }
    assert_int_equal(*text, '\0');
    fen_page_clear(page);
}

static void show_causes(fen_page *page, fen_session *s, fen_look look)
{
    for (fen_id c = 0; c < fen_base_causes(base); c++) {
        fen_because *b;
        assert_int_equal(fen_why_because(s, c, &b), FEN_OK);
        fen_show_because(page, s, b);
        check_page(page, look.width, look.ascii);
        fen_because_free(b);
    }
}

static void show_all(fen_session *s, fen_look look, dice *r)
{
    fen_page *page;
    fen_question q;
    fen_contrast *c;
    const fen_id f = 1 + below(r, fen_base_findings(base) - 1);
    assert_int_equal(fen_page_new(look, &page), FEN_OK);
    fen_session_next(s, &q);
    fen_show_question(page, s, &q);
    check_page(page, look.width, look.ascii);
    fen_show_help_for(page, s, &q);
    check_page(page, look.width, look.ascii);
    fen_show_standing(page, s);
    check_page(page, look.width, look.ascii);
    fen_show_answers(page, s, (fen_list){ NULL, 0 });
    check_page(page, look.width, look.ascii);
    fen_show_verdict(page, s, q.stop);
    check_page(page, look.width, look.ascii);
    assert_int_equal(fen_why_contrast(s, below(r, fen_base_causes(base)), below(r, fen_base_causes(base)), &c), FEN_OK);
    fen_show_contrast(page, s, c);
    fen_contrast_free(c);
    check_page(page, look.width, look.ascii);
    if (!fen_base_finding(base, f)->derived) {
        fen_show_suppose(page, s, f, random_answer(fen_base_finding(base, f), r));
        check_page(page, look.width, look.ascii);
    }
    show_causes(page, s, look);
    fen_page_free(page);
}

static bool same(fen_answer a, fen_answer b)
{
    return a.state == b.state && a.picks == b.picks && memcmp(&a.value, &b.value, sizeof a.value) == 0;
}

static void check_case(fen_session *s)
{
    char path[] = "/tmp/fenmend-views-XXXXXX";
    fen_problems *problems;
    fen_session *again;
    fen_case *c, *back;
    assert_int_equal(close(mkstemp(path)), 0);
    assert_int_equal(fen_problems_new(&problems), FEN_OK);
    assert_int_equal(fen_session_new(base, today, &again), FEN_OK);
    assert_int_equal(fen_case_from_session(s, "random", NULL, (fen_list){ NULL, 0 }, NULL, &c), FEN_OK);
    assert_int_equal(fen_case_keep(base, c, path), FEN_OK);
    assert_int_equal(fen_case_load(base, path, today, problems, &back), FEN_OK);
    fen_case_answer(back, 0, again);
    for (fen_id f = 0; f < fen_base_findings(base); f++)
        if (!same(fen_session_given(s, f), fen_session_given(again, f)))
            fail_msg("'%s' does not come back", fen_base_finding(base, f)->id);
    assert_int_equal(unlink(path), 0);
    fen_case_free(c);
    fen_case_free(back);
    fen_session_free(again);
    fen_problems_free(problems);
}

static void every_view_of_any_plant_keeps_to_its_page(void **state)
{
    (void)state;
    dice r = { .state = 20260712 };
    for (int i = 0; i < PLANTS; i++) {
        fen_session *s = random_plant(&r);
        const fen_look look = { .width = 32 + below(&r, 60), .ascii = chance(&r, 30), .us = chance(&r, 50) };
        fen_answer before[1024];
        assert_true(fen_base_findings(base) <= 1024);
        for (fen_id f = 0; f < fen_base_findings(base); f++)
            before[f] = fen_session_given(s, f);
        show_all(s, look, &r);
        for (fen_id f = 0; f < fen_base_findings(base); f++)
            assert_true(same(before[f], fen_session_given(s, f)));
        check_case(s);
        fen_session_free(s);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = { cmocka_unit_test(every_view_of_any_plant_keeps_to_its_page) };
    return cmocka_run_group_tests(tests, open_base, close_base);
}
