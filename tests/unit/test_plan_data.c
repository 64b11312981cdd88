/* A plan as JSON and as a page: complete, escaped, the same each time, and whole or
 * not at all when memory runs out.
 */
#include "advice/plan.h"
#include "fenmend/plan_data.h"
#include "model/caution.h"
#include "plans.h"
#include "util/str.h"

static fen_base *base;

/* A case that no file needs to hold: the id is all that the writers take from it. */
static const fen_visit visit = { .date = 0 };

static fen_case named(const char *id)
{
    return (fen_case){ .id = id, .kind = fen_base_find_kind(base, "snap-trap"), .visits = &visit, .n_visits = 1 };
}

static fen_session *sick(void)
{
    fen_session *s = views_session(base);
    static const char *const answers[][2] = { { "kind", "snap-trap" }, { "heart", "soft" },  { "newest", "limp" },  { "tray", "empty" },
                                              { "runoff", "200 ppm" }, { "pot-top", "9 cm" }, { "pot-base", "7 cm" }, { "pot-depth", "9 cm" } };
    for (size_t i = 0; i < COUNT(answers); i++)
        views_answer(s, answers[i][0], answers[i][1]);
    return s;
}

static void write_html(fen_str *out, const char *id, fen_session *s)
{
    fen_dues *d = NULL;
    const fen_case c = named(id);
    assert_int_equal(fen_dues_new(base, &d), FEN_OK);
    assert_int_equal(fen_html_plan(out, &c, s, d, false), FEN_OK);
    fen_dues_free(d);
}

static void nothing_out_of_a_case_becomes_markup(void **state)
{
    (void)state;
    static const struct { const char *id, *want, *not; } rows[] = {
        { "<script>alert(1)</script>", "&lt;script&gt;", "<script" },
        { "a & b", "a &amp; b", "a & b" },
        { "\"x\" onload='y'", "&quot;x&quot;", "\"x\"" },
        { "\x1b[31mred", "Plan for", "\x1b" },
    };
    fen_session *s = sick();
    for (size_t i = 0; i < COUNT(rows); i++) {
        fen_str out;
        fen_str_init(&out, 1u << 22);
        write_html(&out, rows[i].id, s);
        assert_non_null(strstr(out.at, rows[i].want));
        assert_null(strstr(out.at, rows[i].not));
        fen_str_free(&out);
    }
    fen_session_free(s);
}

static void the_page_has_every_step_caution_and_do_not(void **state)
{
    (void)state;
    fen_str out, text;
    fen_plan *p = NULL;
    fen_session *s = sick();
    fen_str_init(&out, 1u << 22);
    fen_str_init(&text, 1u << 16);
    write_html(&out, "x", s);
    assert_int_equal(fen_plan_make(s, &p), FEN_OK);
    assert_true(p->n_steps >= 3 && p->cautions.count && p->never.count && p->n_left);
    for (size_t i = 0; i < p->n_steps; i++) {
        fen_str_clear(&text);
        fen_plan_step_text(&text, base, &p->steps[i], false);
        assert_non_null(strstr(out.at, text.at));
    }
    for (uint32_t i = 0; i < p->never.count; i++)
        assert_non_null(strstr(out.at, p->never.at[i]));
    for (uint32_t i = 0; i < p->cautions.count; i++) {
        fen_caution c;
        assert_true(fen_caution_find(p->cautions.at[i], &c));
        assert_non_null(strstr(out.at, fen_caution_text(c)));
    }
    for (size_t i = 0; i < p->n_left; i++)
        assert_non_null(strstr(out.at, fen_plan_item_text(base, p->left[i].item)));
    fen_plan_free(p);
    fen_str_free(&text);
    fen_str_free(&out);
    fen_session_free(s);
}

static void the_same_case_gives_the_same_bytes(void **state)
{
    (void)state;
    fen_str a, b;
    fen_session *s = sick(), *t = sick();
    fen_str_init(&a, 1u << 22);
    fen_str_init(&b, 1u << 22);
    const fen_case c = named("x");
    write_html(&a, "x", s);
    write_html(&b, "x", t);
    assert_string_equal(a.at, b.at);
    fen_str_clear(&a);
    fen_str_clear(&b);
    assert_int_equal(fen_json_plan(&a, &c, s, false), FEN_OK);
    assert_int_equal(fen_json_plan(&b, &c, t, false), FEN_OK);
    assert_string_equal(a.at, b.at);
    fen_str_free(&a);
    fen_str_free(&b);
    fen_session_free(s);
    fen_session_free(t);
}

static fen_status json_and_free(void *s)
{
    fen_str out;
    const fen_case c = named("x");
    fen_str_init(&out, 1u << 22);
    const fen_status st = fen_json_plan(&out, &c, s, false);
    fen_str_free(&out);
    return st;
}

static fen_status html_and_free(void *s)
{
    fen_str out;
    fen_dues *d = NULL;
    const fen_case c = named("x");
    fen_str_init(&out, 1u << 22);
    fen_status st = fen_dues_new(base, &d);
    if (!st)
        st = fen_html_plan(&out, &c, s, d, false);
    fen_dues_free(d);
    fen_str_free(&out);
    return st;
}

static void both_survive_every_failed_allocation(void **state)
{
    (void)state;
    fen_session *s = sick();
    views_answer(s, "pot-top", "unsure");
    unit_refuse_each(json_and_free, s);
    unit_refuse_each(html_and_free, s);
    fen_session_free(s);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(nothing_out_of_a_case_becomes_markup),
        cmocka_unit_test(the_page_has_every_step_caution_and_do_not),
        cmocka_unit_test(the_same_case_gives_the_same_bytes),
        cmocka_unit_test(both_survive_every_failed_allocation),
    };
    base = plans_base();
    const int failed = cmocka_run_group_tests(tests, NULL, NULL);
    fen_base_free(base);
    return failed;
}
