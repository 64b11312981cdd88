/* Every view on the small base of tests/packs/views.yaml: its text at 80 and 50
 * columns against tests/views/NAME.80 and .50, in ASCII at 32 against NAME.32,
 * and what must hold at any width.
 *
 * FEN_RENEW=1 writes the expected texts anew; they are read before they are kept.
 */
#include "util/file.h"
#include "util/utf8.h"
#include "views.h"

static fen_base *base;

/* -- what a scene shows -- */

static void show_question_of(fen_page *page, fen_session *s, const char *finding, fen_ask_reason reason)
{
    const fen_question q = { .finding = views_finding(base, finding), .reason = reason, .rule = FEN_NONE, .gain = 0.25,
                             .cause = reason == FEN_ASK_DANGER ? fen_base_find_cause(base, "crown-rot") : FEN_NONE };
    fen_show_question(page, s, &q);
}

static void choice(fen_page *page, fen_session *s) { show_question_of(page, s, "crown", FEN_ASK_GAIN); }
static void several(fen_page *page, fen_session *s) { show_question_of(page, s, "blackened", FEN_ASK_GAIN); }
static void yes_no(fen_page *page, fen_session *s) { show_question_of(page, s, "flower", FEN_ASK_GAIN); }
static void quantity(fen_page *page, fen_session *s) { show_question_of(page, s, "water", FEN_ASK_GAIN); }
static void count(fen_page *page, fen_session *s) { show_question_of(page, s, "shoots", FEN_ASK_GAIN); }
static void date(fen_page *page, fen_session *s) { show_question_of(page, s, "moved", FEN_ASK_GAIN); }
static void kind(fen_page *page, fen_session *s) { show_question_of(page, s, "kind", FEN_ASK_KIND); }
static void danger(fen_page *page, fen_session *s) { show_question_of(page, s, "crown", FEN_ASK_DANGER); }

static void help_next(fen_page *page, fen_session *s)
{
    fen_question q;
    fen_session_next(s, &q);
    fen_show_help_for(page, s, &q);
}

static void help_of(fen_page *page, fen_session *s, const char *finding, fen_ask_reason reason)
{
    const fen_question q = { .finding = views_finding(base, finding), .reason = reason, .gain = 0.25,
                             .cause = fen_base_find_cause(base, "crown-rot"), .rule = fen_base_find_rule(base, "salty-runoff") };
    fen_show_help_for(page, s, &q);
}

static void help_water(fen_page *page, fen_session *s) { help_of(page, s, "water", FEN_ASK_TOGETHER); }
static void help_moved(fen_page *page, fen_session *s) { help_of(page, s, "moved", FEN_ASK_NOTHING); }
static void help_crown(fen_page *page, fen_session *s) { help_of(page, s, "crown", FEN_ASK_DANGER); }
static void help_kind(fen_page *page, fen_session *s) { help_of(page, s, "kind", FEN_ASK_KIND); }

static void because(fen_page *page, fen_session *s, const char *cause)
{
    fen_because *b = NULL;
    const fen_status st = fen_why_because(s, fen_base_find_cause(base, cause), &b);
    if (!st)
        fen_show_because(page, s, b);
    else /* what the prompt does with it */
        fen_show_text(page, "no memory");
    fen_because_free(b);
}

static void because_rot(fen_page *page, fen_session *s) { because(page, s, "crown-rot"); }
static void because_salts(fen_page *page, fen_session *s) { because(page, s, "salts"); }
static void because_age(fen_page *page, fen_session *s) { because(page, s, "old-age"); }
static void because_sulking(fen_page *page, fen_session *s) { because(page, s, "sulking"); }
static void because_glue(fen_page *page, fen_session *s) { because(page, s, "dull-glue"); }

static void contrast(fen_page *page, fen_session *s)
{
    fen_contrast *c = NULL;
    if (!fen_why_contrast(s, fen_base_find_cause(base, "crown-rot"), fen_base_find_cause(base, "salts"), &c))
        fen_show_contrast(page, s, c);
    fen_contrast_free(c);
}

static void flip(fen_page *page, fen_session *s)
{
    fen_flip f;
    if (!fen_why_flip(s, &f))
        fen_show_flip(page, s, &f);
}

static void suppose(fen_page *page, fen_session *s)
{
    fen_show_suppose(page, s, views_finding(base, "tray"), (fen_answer){ FEN_KNOWN, 2, 0 });
}

static void suppose_moved(fen_page *page, fen_session *s)
{
    fen_show_suppose(page, s, views_finding(base, "moved"), (fen_answer){ FEN_KNOWN, 0, TODAY - 400 });
}

static void answers(fen_page *page, fen_session *s)
{
    const fen_id order[] = { views_finding(base, "moved"), views_finding(base, "dew"), views_finding(base, "crown") };
    fen_show_answers(page, s, (fen_list){ order, 3 });
}

static void verdict(fen_page *page, fen_session *s)
{
    fen_question q;
    fen_session_next(s, &q);
    fen_show_verdict(page, s, q.stop);
}

static void verdict_early(fen_page *page, fen_session *s) { fen_show_verdict(page, s, FEN_GO_ON); }

/* -- the scenes -- */

#define ROT "kind=snap-trap;crown=soft;tray=full;blackened=new-leaves"
#define EVERYTHING ROT ";flower=yes;water=180 ppm;runoff=400 ppm;coldest=-5 C;shoots=5;shade=70 %;moved=3 days ago"

static const struct scene {
    const char *name, *answers;
    void (*show)(fen_page *page, fen_session *s);
    bool us;
} scenes[] = {
    { "question-choice", "", choice, false },
    { "question-several", "", several, false },
    { "question-yes-no", "", yes_no, false },
    { "question-quantity", "", quantity, false },
    { "question-count", "", count, false },
    { "question-date", "", date, false },
    { "question-kind", "", kind, false },
    { "question-danger", "", danger, false },
    { "help-next", "kind=snap-trap", help_next, false },
    { "help-quantity-together", "kind=snap-trap;runoff=200 ppm", help_water, false },
    { "help-date-past-the-end", "kind=snap-trap", help_moved, false },
    { "help-danger", "kind=snap-trap;blackened=new-leaves", help_crown, false },
    { "help-kind", "", help_kind, false },
    { "standing-at-first", "", fen_show_standing, false },
    { "standing-with-all", EVERYTHING, fen_show_standing, false },
    { "because-strong", EVERYTHING, because_rot, false },
    { "because-expression", EVERYTHING, because_salts, false },
    { "because-clash", EVERYTHING, because_age, false },
    { "because-derived", "kind=snap-trap;moved=3 days ago", because_sulking, false },
    { "because-default", "kind=snap-trap;moved=unsure;crown=unsure", because_sulking, false },
    { "because-ruled-out", "kind=snap-trap;moved=2 years ago", because_sulking, false },
    { "because-other-kind", "kind=snap-trap", because_glue, false },
    { "because-nothing", "", because_salts, false },
    { "contrast", EVERYTHING, contrast, false },
    { "contrast-nothing", "", contrast, false },
    { "flip", "kind=snap-trap;crown=soft;blackened=old-traps", flip, false },
    { "flip-two", "kind=snap-trap;crown=soft;blackened=new-leaves,old-traps;water=20 ppm;moved=3 weeks ago", flip, false },
    { "flip-nothing", "", flip, false },
    { "suppose", "kind=snap-trap;crown=soft", suppose, false },
    { "suppose-ruled-out", "kind=snap-trap;crown=firm;moved=3 days ago", suppose_moved, false },
    { "answers", EVERYTHING, answers, false },
    { "answers-us-units", EVERYTHING, answers, true },
    { "answers-none", "", answers, false },
    { "verdict-danger", ROT ";flower=no;moved=yesterday", verdict, false },
    { "verdict-harmless", "kind=snap-trap;crown=firm;blackened=old-traps;tray=empty;moved=2 years ago", verdict, false },
    { "verdict-two-causes", "kind=snap-trap;crown=soft;blackened=old-traps", verdict, false },
    { "verdict-everything", EVERYTHING, verdict, false },
    { "verdict-ended-early", "kind=snap-trap", verdict_early, false },
    { "verdict-unexplained", "kind=glue-leaf;dew=dull;crown=dry", verdict, false },
    { "verdict-of-nothing", "", verdict_early, false },
};

static void answer_all(fen_session *s, const char *texts)
{
    char copy[512];
    snprintf(copy, sizeof copy, "%s", texts);
    for (char *save = NULL, *part = strtok_r(copy, ";", &save); part; part = strtok_r(NULL, ";", &save)) {
        char *is = strchr(part, '=');
        *is = '\0';
        views_answer(s, part, is + 1);
    }
}

/* The text of SCENE, owned by the page. */
static fen_page *show_scene(const struct scene *scene, fen_look look)
{
    fen_page *page;
    fen_session *s = views_session(base);
    look.us = scene->us;
    assert_int_equal(fen_page_new(look, &page), FEN_OK);
    answer_all(s, scene->answers);
    scene->show(page, s);
    assert_int_equal(fen_page_status(page), FEN_OK);
    fen_session_free(s);
    return page;
}

static size_t check_against_file(const struct scene *scene, fen_look look)
{
    char path[256];
    size_t len, want_len, bad = 0;
    char *want = NULL;
    fen_page *page = show_scene(scene, look);
    const char *got = fen_page_text(page, &len);
    snprintf(path, sizeof path, "%s/views/%s.%lu", FEN_TESTS_DIR, scene->name, (unsigned long)look.width);
    if (getenv("FEN_RENEW")) {
        assert_int_equal(fen_file_write(path, got, len, 0644), FEN_OK);
    } else if (fen_file_read(path, 1 << 20, &want, &want_len) || want_len != len || memcmp(want, got, len) != 0) {
        print_error("%s is now:\n%s--- but is expected to be:\n%s", path, got, want ? want : "(no such file)\n");
        bad = 1;
    }
    fen_free(want);
    fen_page_free(page);
    return bad;
}

static void every_view_reads_as_expected(void **state)
{
    (void)state;
    size_t bad = 0;
    for (size_t i = 0; i < COUNT(scenes); i++) {
        bad += check_against_file(&scenes[i], (fen_look){ .width = 80 });
        bad += check_against_file(&scenes[i], (fen_look){ .width = 50 });
        bad += check_against_file(&scenes[i], (fen_look){ .width = 32, .ascii = true });
    }
    assert_int_equal(bad, 0);
}

static void no_line_is_wider_than_the_page(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(scenes); i++)
        for (uint32_t width = 32; width <= 104; width += 9) {
            fen_page *page = show_scene(&scenes[i], (fen_look){ .width = width });
            const char *line = fen_page_text(page, NULL);
            for (const char *end; (end = strchr(line, '\n')); line = end + 1) {
                const size_t columns = fen_utf8_width(line, (size_t)(end - line));
                if (columns > width || columns > 100)
                    fail_msg("%s at %lu: %.*s", scenes[i].name, (unsigned long)width, (int)(end - line), line);
                if (end > line && end[-1] == ' ')
                    fail_msg("%s at %lu ends in a blank: '%.*s'", scenes[i].name, (unsigned long)width, (int)(end - line), line);
            }
            assert_int_equal(*line, '\0'); /* the last line is ended */
            fen_page_free(page);
        }
}

static void a_page_for_ascii_has_nothing_else(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(scenes); i++) {
        fen_page *page = show_scene(&scenes[i], (fen_look){ .width = 60, .ascii = true });
        for (const char *c = fen_page_text(page, NULL); *c; c++)
            if (*c != '\n' && ((unsigned char)*c < 0x20 || (unsigned char)*c > 0x7e))
                fail_msg("%s has byte %02x", scenes[i].name, (unsigned char)*c);
        fen_page_free(page);
    }
}

static void strip_colour(char *text)
{
    char *to = text;
    for (const char *from = text; *from;)
        if (*from == '\033')
            from = strchr(from, 'm') + 1;
        else
            *to++ = *from++;
    *to = '\0';
}

/* ECMA-48: SGR is CSI ... m; each line must begin and end without one in force,
 * or a pager that cuts lines bleeds colour. */
static void colour_adds_to_the_words_and_ends_with_each_line(void **state)
{
    (void)state;
    size_t coloured = 0;
    for (size_t i = 0; i < COUNT(scenes); i++) {
        fen_page *plain = show_scene(&scenes[i], (fen_look){ .width = 50 });
        fen_page *colour = show_scene(&scenes[i], (fen_look){ .width = 50, .colour = true });
        size_t len;
        const char *text = fen_page_text(colour, &len);
        bool on = false;
        for (size_t k = 0; k < len; k++) {
            if (text[k] == '\033')
                on = strncmp(text + k, "\033[0m", 4) != 0, coloured++;
            if (text[k] == '\n')
                assert_false(on);
        }
        char *copy = fen_strndup(text, len);
        strip_colour(copy);
        assert_string_equal(copy, fen_page_text(plain, NULL));
        fen_free(copy);
        fen_page_free(plain);
        fen_page_free(colour);
    }
    assert_true(coloured > 0);
}

static void a_view_changes_nothing_in_its_session(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(scenes); i++) {
        fen_page *page;
        fen_session *s = views_session(base);
        assert_int_equal(fen_page_new((fen_look){ .width = 80 }, &page), FEN_OK);
        answer_all(s, scenes[i].answers);
        fen_answer before[64];
        for (fen_id f = 0; f < fen_base_findings(base); f++)
            before[f] = fen_session_given(s, f);
        scenes[i].show(page, s);
        char *first = fen_strndup(fen_page_text(page, NULL), strlen(fen_page_text(page, NULL)));
        for (fen_id f = 0; f < fen_base_findings(base); f++)
            assert_true(same_answer(before[f], fen_session_given(s, f)));
        fen_page_clear(page);
        scenes[i].show(page, s);
        assert_string_equal(first, fen_page_text(page, NULL));
        fen_free(first);
        fen_page_free(page);
        fen_session_free(s);
    }
}

static const struct scene *scene_now;
static fen_session *session_now;

static fen_status show_now(void *arg)
{
    fen_page *page = NULL;
    (void)arg;
    fen_status st = fen_page_new((fen_look){ .width = 80 }, &page);
    if (st)
        return st;
    scene_now->show(page, session_now);
    st = fen_page_status(page);
    /* A call of why.h that found no memory was the prompt's to report, and
     * leaves a page that is too short. */
    if (!st && strcmp(fen_page_text(page, NULL), "no memory\n") == 0)
        st = FEN_ENOMEM;
    if (!st && fen_page_text(page, NULL)[0] == '\0')
        st = FEN_ENOMEM;
    fen_page_free(page);
    return st;
}

static void every_view_survives_every_failed_allocation(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(scenes); i++) {
        scene_now = &scenes[i];
        session_now = views_session(base);
        answer_all(session_now, scene_now->answers);
        unit_refuse_each(show_now, NULL);
        fen_session_free(session_now);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_view_reads_as_expected),
        cmocka_unit_test(no_line_is_wider_than_the_page),
        cmocka_unit_test(a_page_for_ascii_has_nothing_else),
        cmocka_unit_test(colour_adds_to_the_words_and_ends_with_each_line),
        cmocka_unit_test(a_view_changes_nothing_in_its_session),
        cmocka_unit_test(every_view_survives_every_failed_allocation),
    };
    base = views_base();
    const int failed = cmocka_run_group_tests(tests, NULL, NULL);
    fen_base_free(base);
    return failed;
}
