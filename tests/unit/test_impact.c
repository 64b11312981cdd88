/* test_impact.c -- cases under two rule bases: what counts as a change, and what lack of
 * memory does to it.
 */
#include "fenmend/impact.h"
#include "unit.h"
#include "util/file.h"
#include "util/str.h"

static char folder[] = "/tmp/fenmend-impact-XXXXXX";
static char cases[64];

typedef struct seen {
    const fen_impact *impact;
    fen_impact_sums sums;
    size_t marks;
} seen;

static fen_base *load_edited(const char *from, const char *to)
{
    char path[64], *text;
    const char *paths[] = { path };
    size_t len;
    fen_str edited;
    fen_problems *problems;
    fen_base *base = NULL;
    assert_int_equal(fen_file_read(FEN_TESTS_DIR "/packs/small.yaml", 1 << 20, &text, &len), FEN_OK);
    fen_str_init(&edited, 1 << 20);
    const char *at = from ? strstr(text, from) : text + len;
    assert_non_null(at);
    fen_str_put(&edited, text, (size_t)(at - text));
    if (from) {
        fen_str_puts(&edited, to);
        fen_str_puts(&edited, at + strlen(from));
    }
    snprintf(path, sizeof path, "%s/small.yaml", folder);
    assert_int_equal(fen_file_write(path, edited.at, edited.len, 0644), FEN_OK);
    assert_int_equal(fen_problems_new(&problems), FEN_OK);
    assert_int_equal(fen_base_load(paths, 1, problems, &base), FEN_OK);
    fen_problems_free(problems);
    fen_str_free(&edited);
    fen_free(text);
    assert_int_equal(remove(path), 0);
    return base;
}

static void compare(void *ctx, fen_judged *j, struct fen_str *out)
{
    const seen *s = ctx;
    fen_impact_case c;
    assert_non_null(j->c);
    fen_impact_compare(s->impact, j, &c);
    fen_str_put(out, (const char *)&c, sizeof c);
}

static bool take(void *ctx, const fen_part *part)
{
    seen *s = ctx;
    for (size_t i = 0; i < part->n_marks; i++) {
        fen_impact_case c;
        memcpy(&c, part->out + i * sizeof c, sizeof c);
        fen_impact_count(&s->sums, &c);
    }
    s->marks += part->n_marks;
    return true;
}

static fen_status judge(const fen_base *a, const fen_base *b, fen_impact_sums *ret)
{
    const char *paths[] = { cases };
    fen_impact *m = NULL;
    fen_status st = fen_impact_new(a, b, &m);
    if (st)
        return st;
    seen s = { .impact = m };
    const fen_batch batch = { .base = a, .other = b, .today = 20000, .jobs = 1, .ask = true, .ctx = &s, .judge = compare, .deliver = take };
    st = fen_batch_run(&batch, paths, 1);
    fen_impact_free(m);
    *ret = s.sums;
    return st;
}

/* One edit and what it must change among the three cases below. */
static const struct {
    const char *from, *to;
    uint64_t changed, verdicts, plans, worse, better;
} edits[] = {
    { NULL, NULL, 0, 0, 0, 0, 0 },
    { "why: A rotten heart is soft.", "why: Rot is soft.", 0, 0, 0, 0, 0 },               /* words of a rule decide nothing */
    { "name: heart rot", "name: rot of the heart", 0, 0, 0, 0, 0 },                       /* nor do names of causes */
    { "Unpot the plant and", "Take the plant out and", 1, 0, 1, 0, 0 },                   /* a step in other words */
    { "[decisive for heart-rot]", "[slight for heart-rot]", 1, 1, 0, 1, 0 },              /* no longer leads, but the sign still wants it */
    { "[strong for thirst]", "[strong against thirst]", 1, 1, 1, 1, 0 },
};

static void each_edit_changes_what_it_must_and_no_more(void **state)
{
    (void)state;
    fen_base *a = load_edited(NULL, NULL);
    for (size_t i = 0; i < COUNT(edits); i++) {
        fen_impact_sums s;
        fen_base *b = load_edited(edits[i].from, edits[i].to);
        assert_int_equal(judge(a, b, &s), FEN_OK);
        if (s.cases != 3 || s.changed < edits[i].changed || (!edits[i].changed && s.changed) || s.changes[0] != edits[i].verdicts ||
            s.changes[2] != edits[i].plans || s.worse != edits[i].worse || s.better != edits[i].better)
            fail_msg("edit %zu: %u changed, %u verdicts, %u plans, %u worse, %u better", i, (unsigned)s.changed, (unsigned)s.changes[0],
                     (unsigned)s.changes[2], (unsigned)s.worse, (unsigned)s.better);
        fen_impact_sums back;
        assert_int_equal(judge(b, a, &back), FEN_OK); /* and the other way round */
        assert_int_equal(back.changed, s.changed);
        assert_int_equal(back.worse, s.better);
        assert_int_equal(back.better, s.worse);
        fen_base_free(b);
    }
    fen_base_free(a);
}

static void comparing_survives_every_failed_allocation(void **state)
{
    (void)state;
    fen_base *a = load_edited(NULL, NULL), *b = load_edited("> 150 ppm", "> 170 ppm");
    for (size_t nth = 0;; nth++) {
        const size_t before = fen_alloc_live();
        fen_impact_sums s;
        fen_alloc_fail_at(nth);
        const fen_status st = judge(a, b, &s);
        fen_alloc_fail_at(FEN_ALLOC_NEVER_FAIL);
        assert_int_equal(fen_alloc_live(), before);
        if (st == FEN_OK)
            break;
        assert_int_equal(st, FEN_ENOMEM);
    }
    fen_base_free(a);
    fen_base_free(b);
}

int main(void)
{
    static const char text[] = "case: soft\nkind: trap-plant\nfindings: {heart: soft, tray: standing}\nsettled: [heart-rot]\n---\n"
                               "case: dry\nkind: trap-plant\nfindings: {heart: firm, tray: dry-often}\nsettled: [thirst]\n---\n"
                               "case: old\nkind: trap-plant\nfindings: {heart: firm, blackened: [old-leaves]}\n";
    if (!mkdtemp(folder))
        return 1;
    snprintf(cases, sizeof cases, "%s/cases.yaml", folder);
    if (fen_file_write(cases, text, strlen(text), 0644))
        return 1;
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(each_edit_changes_what_it_must_and_no_more),
        cmocka_unit_test(comparing_survives_every_failed_allocation),
    };
    const int failed = cmocka_run_group_tests(tests, NULL, NULL);
    return remove(cases) || remove(folder) ? 1 : failed;
}
