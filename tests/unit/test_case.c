/* Case files: what is read, what is kept, and what a failing machine leaves.
 */
#include <errno.h>
#include <signal.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <unistd.h>

#include "util/file.h"
#include "util/str.h"
#include "views.h"

static fen_base *base;
static char folder[64];

static int open_all(void **state)
{
    (void)state;
    base = views_base();
    snprintf(folder, sizeof folder, "/tmp/fenmend-case-XXXXXX");
    return mkdtemp(folder) ? 0 : -1;
}

static int close_all(void **state)
{
    (void)state;
    fen_base_free(base);
    return rmdir(folder); /* fails if a test left anything behind */
}

static const char *in_folder(const char *name)
{
    static char path[2][128];
    static int which;
    which = !which;
    snprintf(path[which], sizeof path[which], "%s/%s", folder, name);
    return path[which];
}

static void write_file(const char *path, const char *text)
{
    FILE *f = fopen(path, "w");
    assert_non_null(f);
    assert_true(fputs(text, f) >= 0);
    assert_int_equal(fclose(f), 0);
}

static fen_case *load(const char *path)
{
    fen_problems *problems;
    fen_case *c = NULL;
    assert_int_equal(fen_problems_new(&problems), FEN_OK);
    if (fen_case_load(base, path, TODAY, problems, &c))
        for (size_t i = 0; i < fen_problems_count(problems); i++)
            print_error("%s:%lu: %s\n", path, (unsigned long)fen_problems_at(problems, i)->place.line,
                        fen_problems_at(problems, i)->text);
    fen_problems_free(problems);
    assert_non_null(c);
    return c;
}

static fen_case *load_text(const char *text)
{
    const char *path = in_folder("given.yaml");
    write_file(path, text);
    fen_case *c = load(path);
    assert_int_equal(unlink(path), 0);
    return c;
}

static fen_answer given(const fen_case *c, size_t visit, const char *finding)
{
    const fen_id f = views_finding(base, finding);
    for (size_t i = 0; i < c->visits[visit].n_given; i++)
        if (c->visits[visit].given[i].finding == f)
            return c->visits[visit].given[i].answer;
    return (fen_answer){ FEN_OPEN, 0, 0 };
}

static const char full[] =
    "case: porch-flytrap\n"
    "kind: snap-trap\n"
    "date: 2026-07-12\n"
    "findings:\n"
    "  crown: soft\n"
    "  blackened: [old-traps, new leaves in the centre]\n"
    "  flower: no\n"
    "  water: 360 uS/cm\n"
    "  moved: 2 weeks ago\n"
    "  tray: unsure\n"
    "note: bought at a market in June\n"
    "where: {tray: b4, water: rain butt}\n"
    "settled: [crown-rot, something-else]\n";

static void every_part_of_a_case_is_read(void **state)
{
    (void)state;
    fen_case *c = load_text(full);
    assert_string_equal(c->id, "porch-flytrap");
    assert_int_equal(c->kind, fen_base_find_kind(base, "snap-trap"));
    assert_false(c->kind_unsure);
    assert_int_equal(c->n_visits, 1);
    const fen_visit *v = &c->visits[0];
    assert_int_equal(v->date, TODAY);
    assert_int_equal(v->n_given, 6);
    assert_int_equal(v->given[0].finding, views_finding(base, "crown")); /* in the order written */
    assert_int_equal(given(c, 0, "crown").picks, 2);
    assert_int_equal(given(c, 0, "blackened").picks, 3);
    assert_int_equal(given(c, 0, "flower").picks, 2);
    assert_near(given(c, 0, "water").value, 180, 1e-9);
    assert_near(given(c, 0, "moved").value, TODAY - 14, 0);
    assert_int_equal(given(c, 0, "tray").state, FEN_UNSURE);
    assert_string_equal(v->note, "bought at a market in June");
    assert_int_equal(c->n_where, 2);
    assert_string_equal(c->where[1].key, "water");
    assert_string_equal(c->where[1].value, "rain butt");
    assert_int_equal(v->settled.count, 2);
    assert_int_equal(v->settled.at[0], fen_base_find_cause(base, "crown-rot"));
    assert_int_equal(v->settled.at[1], fen_base_causes(base) - 1);
    fen_case_free(c);
}

static void visits_are_read_each_with_its_own_date(void **state)
{
    (void)state;
    fen_case *c = load_text("kind: snap-trap\n"
                            "visits:\n"
                            "- date: 2026-06-01\n"
                            "  findings: {moved: yesterday, crown: firm}\n"
                            "- date: 2026-06-20\n"
                            "  findings: {crown: soft}\n"
                            "  settled: crown-rot\n"
                            "- note: today, since it gives no date\n");
    assert_int_equal(c->n_visits, 3);
    assert_near(given(c, 0, "moved").value, fen_date_day(2026, 5, 31), 0);
    assert_int_equal(given(c, 1, "crown").picks, 2);
    assert_int_equal(c->visits[1].settled.count, 1);
    assert_int_equal(c->visits[2].date, TODAY);
    assert_int_equal(c->visits[2].n_given, 0);
    fen_case_free(c);
}

static void assert_settled(const char *text, const char *first, const char *second)
{
    fen_case *c = load_text(text);
    const fen_list settled = fen_case_settled(c);
    assert_int_equal(settled.count, second ? 2 : 1);
    assert_string_equal(fen_base_cause(base, settled.at[0])->id, first);
    if (second)
        assert_string_equal(fen_base_cause(base, settled.at[1])->id, second);
    fen_case_free(c);
}

static void a_settled_cause_is_taken_by_its_name_and_a_text_may_hold_several(void **state)
{
    (void)state;
    assert_settled("settled: Crown Rot\n", "crown-rot", NULL);
    assert_settled("settled: [salts in the mix, crown_rot]\n", "salts", "crown-rot");
    assert_settled("settled: crown rot, salts\n", "crown-rot", "salts");
    assert_settled("settled: Something else and salts in the  mix,\n", "something-else", "salts");
}

static void what_is_left_out_has_its_usual_value(void **state)
{
    (void)state;
    fen_case *c = load_text("");
    assert_string_equal(c->id, "given"); /* the file's stem */
    assert_int_equal(c->kind, FEN_NONE);
    assert_int_equal(c->n_visits, 1);
    assert_int_equal(c->visits[0].date, TODAY);
    fen_case_free(c);

    c = load_text("case: 7\nkind: unsure\nfindings:\nnote: ~\nsettled: []\n");
    assert_string_equal(c->id, "7");
    assert_true(c->kind_unsure);
    assert_null(c->visits[0].note);
    assert_int_equal(c->visits[0].settled.count, 0);
    fen_case_free(c);
}

static void a_case_answers_a_session(void **state)
{
    (void)state;
    fen_case *c = load_text(full);
    fen_session *s = views_session(base);
    fen_case_answer(c, 0, s);
    assert_int_equal(fen_session_given(s, FEN_KIND_FINDING).picks, 2);
    for (size_t i = 0; i < c->visits[0].n_given; i++)
        assert_true(same_answer(fen_session_given(s, c->visits[0].given[i].finding), c->visits[0].given[i].answer));
    fen_session_free(s);
    fen_case_free(c);
}

static char *read_all(const char *path)
{
    char *text;
    size_t len;
    assert_int_equal(fen_file_read(path, 1 << 20, &text, &len), FEN_OK);
    return text;
}

static void a_kept_case_is_written_for_people(void **state)
{
    (void)state;
    const char *path = in_folder("kept.yaml");
    fen_case *c = load_text(full);
    assert_int_equal(fen_case_keep(base, c, path), FEN_OK);
    char *text = read_all(path);
    assert_string_equal(text, "case: porch-flytrap\n"
                              "kind: snap-trap\n"
                              "where: {tray: b4, water: rain butt}\n"
                              "date: 2026-07-12\n"
                              "findings:\n"
                              "  crown: soft\n"
                              "  blackened: [old-traps, new-leaves]\n"
                              "  flower: no\n"
                              "  water: 180 ppm\n"
                              "  moved: 2026-06-28\n"
                              "  tray: unsure\n"
                              "note: bought at a market in June\n"
                              "settled: [crown-rot, something-else]\n");
    fen_free(text);
    fen_case_free(c);
    assert_int_equal(unlink(path), 0);
}

/* -- sessions to cases -- */

static fen_case *from(fen_session *s, const fen_case *earlier, fen_list order, const char *note)
{
    fen_case *c = NULL;
    assert_int_equal(fen_case_from_session(s, "made", earlier, order, note, &c), FEN_OK);
    return c;
}

static void answers_keep_the_order_in_which_they_were_given(void **state)
{
    (void)state;
    fen_session *s = views_session(base);
    views_answer(s, "kind", "snap-trap");
    views_answer(s, "crown", "soft");
    views_answer(s, "moved", "yesterday");
    views_answer(s, "tray", "unsure");
    const fen_id order[] = { views_finding(base, "tray"), views_finding(base, "water"), views_finding(base, "moved"),
                             views_finding(base, "tray") };
    fen_case *c = from(s, NULL, (fen_list){ order, 4 }, "n");
    assert_int_equal(c->visits[0].n_given, 3); /* the open one and the kind are not among them */
    assert_int_equal(c->visits[0].given[0].finding, order[0]);
    assert_int_equal(c->visits[0].given[1].finding, order[2]);
    assert_int_equal(c->visits[0].given[2].finding, views_finding(base, "crown"));
    assert_int_equal(c->kind, fen_base_find_kind(base, "snap-trap"));
    assert_string_equal(c->visits[0].note, "n");
    fen_case_free(c);
    fen_session_free(s);
}

static void a_new_visit_joins_the_earlier_ones_by_date(void **state)
{
    (void)state;
    fen_case *earlier = load_text("case: old\nwhere: {tray: b4}\nvisits:\n"
                                  "- {date: 2026-06-01, findings: {crown: firm}, note: first}\n"
                                  "- {date: 2026-07-12, findings: {crown: firm}, note: second, settled: [salts]}\n"
                                  "- {date: 2026-08-01, findings: {crown: dry}}\n");
    fen_session *s = views_session(base);
    views_answer(s, "crown", "soft");
    fen_case *same_day = from(s, earlier, (fen_list){ NULL, 0 }, NULL);
    assert_int_equal(same_day->n_visits, 3);
    assert_int_equal(given(same_day, 1, "crown").picks, 2);
    assert_string_equal(same_day->visits[1].note, "second"); /* what was written down that day stays */
    assert_int_equal(same_day->visits[1].settled.count, 1);
    assert_string_equal(same_day->where[0].value, "b4");
    fen_session_free(s);

    assert_int_equal(fen_session_new(base, fen_date_day(2026, 7, 20), &s), FEN_OK);
    fen_case *between = from(s, same_day, (fen_list){ NULL, 0 }, "new");
    assert_int_equal(between->n_visits, 4);
    for (size_t i = 1; i < between->n_visits; i++)
        assert_true(between->visits[i - 1].date < between->visits[i].date);
    assert_string_equal(between->visits[2].note, "new");
    assert_int_equal(between->visits[2].n_given, 0);
    fen_case_free(earlier); /* a case owns all it shows */
    fen_case_free(same_day);
    assert_int_equal(given(between, 3, "crown").picks, 4);
    fen_case_free(between);
    fen_session_free(s);
}

static void notes_are_cleaned_of_what_a_terminal_would_obey(void **state)
{
    (void)state;
    fen_session *s = views_session(base);
    const char *path = in_folder("clean.yaml");
    fen_case *c = from(s, NULL, (fen_list){ NULL, 0 }, "red \033[31m, bad \xff byte,\ntwo lines");
    assert_int_equal(fen_case_keep(base, c, path), FEN_OK);
    fen_case *back = load(path);
    assert_string_equal(back->visits[0].note, c->visits[0].note);
    assert_null(strchr(back->visits[0].note, '\033'));
    assert_non_null(strstr(back->visits[0].note, "\ntwo lines"));
    fen_case_free(back);
    fen_case_free(c);
    fen_session_free(s);
    assert_int_equal(unlink(path), 0);
}

/* -- round trips -- */

static fen_answer random_answer(const fen_finding *f, uint64_t *seed)
{
    fen_answer a = { unit_random(seed) % 8 == 0 ? FEN_UNSURE : FEN_KNOWN, 0, 0 };
    if (a.state == FEN_UNSURE)
        return a;
    if (f->type == FEN_DATE)
        a.value = TODAY - (double)(unit_random(seed) % 40000);
    else if (f->type == FEN_QUANTITY) /* any double there is, not only round ones */
        a.value = f->from + (f->to - f->from) * ((double)(unit_random(seed) >> 11) / 9007199254740992.0);
    else if (f->type == FEN_SEVERAL)
        a.picks = unit_random(seed) & ((UINT64_C(1) << f->n_options) - 1);
    else
        a.picks = UINT64_C(1) << unit_random(seed) % f->n_options;
    return a;
}

static void random_text(char *buf, size_t size, uint64_t *seed)
{
    static const char *const bits[] = { "a", "B", " ", " ", "\n", ": ", " #", "- ", "'", "\"", "{", "]", "%", "@", "~", "no", "|", ">",
                                        "\xc3\xa4", "\xe6\x9c\xa8", "\xf0\x9f\x8c\xb1", ",", "&x", "*y", "!", "0x1", "?", "\\", "null",
                                        "\xc2\x85", "\xe2\x80\xa8", "\xef\xbb\xbf" };
    size_t n = 0;
    buf[0] = '\0';
    for (size_t k = unit_random(seed) % 12; k; k--) {
        const char *bit = bits[unit_random(seed) % COUNT(bits)];
        if (n + strlen(bit) + 1 < size)
            n += (size_t)snprintf(buf + n, size - n, "%s", bit);
    }
}

static void random_session(fen_session *s, uint64_t *seed)
{
    for (fen_id f = 0; f < fen_base_findings(base); f++)
        if (!fen_base_finding(base, f)->derived && unit_random(seed) % 3)
            assert_int_equal(fen_session_answer(s, f, random_answer(fen_base_finding(base, f), seed)), FEN_OK);
}

static void keep_then_load_gives_the_same_answers_bit_for_bit(void **state)
{
    (void)state;
    uint64_t seed = 4711;
    const char *path = in_folder("round.yaml");
    for (int round = 0; round < 500; round++) {
        char note[200], id[200];
        fen_session *s = views_session(base), *again = views_session(base);
        random_session(s, &seed);
        random_text(note, sizeof note, &seed);
        random_text(id, sizeof id, &seed);
        fen_case *c = NULL;
        assert_int_equal(fen_case_from_session(s, id[0] ? id : "x", NULL, (fen_list){ NULL, 0 }, note, &c), FEN_OK);
        assert_int_equal(fen_case_keep(base, c, path), FEN_OK);
        fen_case *back = load(path);
        fen_case_answer(back, 0, again);
        for (fen_id f = 0; f < fen_base_findings(base); f++)
            if (!same_answer(fen_session_given(s, f), fen_session_given(again, f)))
                fail_msg("round %d: '%s' does not come back", round, fen_base_finding(base, f)->id);
        assert_string_equal(back->id, c->id);
        assert_string_equal(back->visits[0].note, c->visits[0].note);
        fen_case_free(back);
        fen_case_free(c);
        fen_session_free(s);
        fen_session_free(again);
    }
    assert_int_equal(unlink(path), 0);
}

static void keeping_a_loaded_case_again_changes_no_byte(void **state)
{
    (void)state;
    uint64_t seed = 99;
    const char *first = in_folder("first.yaml"), *second = in_folder("second.yaml");
    fen_case *c = NULL;
    for (int visit = 0; visit < 5; visit++) {
        fen_session *s;
        fen_case *next = NULL;
        assert_int_equal(fen_session_new(base, TODAY + 30 * visit, &s), FEN_OK);
        random_session(s, &seed);
        assert_int_equal(fen_case_from_session(s, "grows", c, (fen_list){ NULL, 0 }, "line one\nline two", &next), FEN_OK);
        fen_case_free(c);
        c = next;
        assert_int_equal(fen_case_keep(base, c, first), FEN_OK);
        fen_case *back = load(first);
        assert_int_equal(back->n_visits, (size_t)visit + 1);
        assert_int_equal(fen_case_keep(base, back, second), FEN_OK);
        char *a = read_all(first), *b = read_all(second);
        assert_string_equal(a, b);
        fen_free(a);
        fen_free(b);
        fen_case_free(back);
        fen_session_free(s);
    }
    fen_case_free(c);
    assert_int_equal(unlink(first) | unlink(second), 0);
}

/* -- faults -- */

static fen_status load_given(void *path)
{
    fen_problems *problems = NULL;
    fen_case *c = NULL;
    fen_status st = fen_problems_new(&problems);
    if (!st)
        st = fen_case_load(base, path, TODAY, problems, &c);
    if (!st)
        st = fen_problems_status(problems);
    fen_case_free(c);
    fen_problems_free(problems);
    return st;
}

static void a_load_survives_every_failed_allocation(void **state)
{
    (void)state;
    char path[128];
    snprintf(path, sizeof path, "%s", in_folder("fault.yaml"));
    write_file(path, full);
    unit_refuse_each(load_given, path);
    assert_int_equal(unlink(path), 0);
}

static void a_load_with_problems_survives_every_failed_allocation(void **state)
{
    (void)state;
    const char *path = in_folder("fault.yaml");
    write_file(path, "kind: snap-trpa\nfindings: {crwon: soft, water: 12, stress: none, tray: [full]}\nsettled: [nothing]\nwere: x\n");
    for (size_t nth = 0;; nth++) {
        const size_t before = fen_alloc_live();
        fen_problems *problems = NULL;
        fen_case *c = NULL;
        fen_alloc_fail_at(nth);
        fen_status st = fen_problems_new(&problems);
        if (!st)
            st = fen_case_load(base, path, TODAY, problems, &c);
        fen_alloc_fail_at(FEN_ALLOC_NEVER_FAIL);
        const size_t n = problems ? fen_problems_errors(problems) : 0;
        fen_problems_free(problems);
        assert_null(c);
        assert_int_equal(fen_alloc_live(), before);
        if (st == FEN_EINPUT && n == 7)
            break;
        assert_true(st == FEN_ENOMEM);
    }
    assert_int_equal(unlink(path), 0);
}

static fen_case *to_keep;

static fen_status keep_it(void *path)
{
    return fen_case_keep(base, to_keep, path);
}

static fen_status make_it(void *s)
{
    fen_case *c = NULL;
    const fen_id order[] = { 1 };
    const fen_status st = fen_case_from_session(s, "id", to_keep, (fen_list){ order, 1 }, "note", &c);
    fen_case_free(c);
    return st;
}

static void making_and_keeping_survive_every_failed_allocation(void **state)
{
    (void)state;
    char path[128];
    snprintf(path, sizeof path, "%s", in_folder("fault.yaml"));
    to_keep = load_text(full);
    unit_refuse_each(keep_it, path);
    fen_session *s = views_session(base);
    views_answer(s, "crown", "soft");
    unit_refuse_each(make_it, s);
    fen_session_free(s);
    fen_case_free(to_keep);
    assert_int_equal(unlink(path), 0);
}

static void a_full_disk_leaves_the_old_file(void **state)
{
    (void)state;
    char path[128];
    snprintf(path, sizeof path, "%s", in_folder("old.yaml"));
    write_file(path, "case: old\n");
    fen_case *c = load_text(full);
    const struct rlimit none = { 16, RLIM_INFINITY };
    struct rlimit before;
    assert_int_equal(getrlimit(RLIMIT_FSIZE, &before), 0);
    signal(SIGXFSZ, SIG_IGN);
    const struct rlimit tight = { none.rlim_cur, before.rlim_max };
    assert_int_equal(setrlimit(RLIMIT_FSIZE, &tight), 0);
    const fen_status st = fen_case_keep(base, c, path);
    const int error = errno;
    assert_int_equal(setrlimit(RLIMIT_FSIZE, &before), 0);
    assert_int_equal(st, FEN_EIO);
    assert_int_equal(error, EFBIG);
    char *text = read_all(path);
    assert_string_equal(text, "case: old\n");
    fen_free(text);
    fen_case_free(c);
    assert_int_equal(unlink(path), 0); /* and close_all finds the folder empty: nothing beside it */
}

static void a_place_that_cannot_be_written_is_told(void **state)
{
    (void)state;
    char missing[160];
    fen_case *c = load_text(full);
    snprintf(missing, sizeof missing, "%s/none/such.yaml", folder);
    assert_int_equal(fen_case_keep(base, c, missing), FEN_EIO);
    assert_int_equal(errno, ENOENT);
    assert_int_equal(fen_case_keep(base, c, folder), FEN_EIO); /* a folder */
    struct stat st;
    assert_int_equal(stat(folder, &st), 0);
    assert_true(S_ISDIR(st.st_mode));
    assert_int_equal(fen_case_keep(base, c, "/dev/full"), FEN_EIO);
    assert_int_equal(errno, ENOSPC);
    assert_int_equal(stat("/dev/full", &st), 0);
    assert_true(S_ISCHR(st.st_mode)); /* a device is written to, never replaced */
    fen_case_free(c);
}

static void a_settled_copy_stands_alone_and_says_its_format(void **state)
{
    (void)state;
    fen_str text;
    fen_case *settled = NULL, *c = load_text("case: b\nkind: snap-trap\nvisits:\n- date: 2026-06-01\n  settled: something-else\n"
                                             "- date: 2026-06-20\n  findings: {crown: soft}\n");
    assert_int_equal(fen_case_settled(c).count, 1);
    assert_int_equal(fen_case_settled(c).at[0], fen_base_causes(base) - 1);
    assert_int_equal(fen_case_settle(c, fen_base_find_cause(base, "crown-rot"), "lesson-b", &settled), FEN_OK);
    fen_case_free(c);
    assert_int_equal(fen_case_settled(settled).at[0], fen_base_find_cause(base, "crown-rot")); /* the latest that says */
    fen_str_init(&text, 1 << 20);
    assert_int_equal(fen_case_write(base, settled, true, &text), FEN_OK);
    assert_string_equal(text.at, "case: b\nformat: 1\nlesson: lesson-b\nkind: snap-trap\nvisits:\n- date: 2026-06-01\n  findings: {}\n"
                                 "  settled: [something-else]\n- date: 2026-06-20\n  findings:\n    crown: soft\n  settled: [crown-rot]\n");
    fen_case_free(settled);
    c = load_text(text.at);
    assert_string_equal(c->lesson, "lesson-b");
    assert_int_equal(fen_case_settle(c, FEN_NONE, NULL, &settled), FEN_OK);
    assert_null(settled->lesson);
    assert_int_equal(fen_case_settled(settled).at[0], fen_base_find_cause(base, "crown-rot"));
    fen_case_free(settled);
    fen_case_free(c);
    fen_str_free(&text);
}

static fen_status settle(void *arg)
{
    fen_case *settled = NULL;
    const fen_status st = fen_case_settle(arg, 0, "lesson", &settled);
    fen_case_free(settled);
    return st;
}

static void settling_survives_every_failed_allocation(void **state)
{
    (void)state;
    fen_case *c = load_text(full);
    unit_refuse_each(settle, c);
    fen_case_free(c);
}

/* ---- to another base --------------------------------------------------------------------------- */

/* The pack of these tests, with names before its own so that all its numbers are others; or with one gone. */
static fen_base *other_base(bool gone)
{
    static const char before[] = "findings:\n  aaa: {name: a, ask: a, effort: glance, yes-no: {usual: 10 %}}\n"
                                 "causes:\n  aaa: {name: a, about: a, usual: 1 %, urgency: weeks, harmless: no}\n"
                                 "kinds:\n  aaa: {name: a}\n";
    char path[160];
    fen_problems *problems;
    fen_base *other = NULL;
    snprintf(path, sizeof path, "%s/before.yaml", folder);
    assert_int_equal(fen_file_write(path, before, strlen(before), 0666), FEN_OK);
    const char *paths[] = { path, FEN_TESTS_DIR "/packs/views.yaml" };
    assert_int_equal(fen_problems_new(&problems), FEN_OK);
    assert_int_equal(fen_base_load(paths, gone ? 1 : 2, problems, &other), FEN_OK);
    fen_problems_free(problems);
    assert_int_equal(unlink(path), 0);
    return other;
}

static void a_case_is_carried_to_another_base_by_its_names(void **state)
{
    (void)state;
    fen_str was, is;
    fen_problems *problems;
    fen_case *carried = NULL, *c = load_text(full);
    fen_base *other = other_base(false);
    assert_int_equal(fen_problems_new(&problems), FEN_OK);
    assert_int_equal(fen_case_carry(base, c, other, problems, &carried), FEN_OK);
    assert_int_not_equal(carried->kind, c->kind);
    assert_int_not_equal(carried->visits[0].given[0].finding, c->visits[0].given[0].finding);
    fen_str_init(&was, 1 << 20);
    fen_str_init(&is, 1 << 20);
    assert_int_equal(fen_case_write(base, c, true, &was), FEN_OK);
    assert_int_equal(fen_case_write(other, carried, true, &is), FEN_OK);
    assert_string_equal(is.at, was.at);
    fen_str_free(&was);
    fen_str_free(&is);
    fen_case_free(carried);
    fen_base_free(other);
    carried = NULL;
    other = other_base(true);
    assert_int_equal(fen_case_carry(base, c, other, problems, &carried), FEN_EINPUT);
    assert_null(carried);
    assert_true(fen_problems_errors(problems) > 0);
    fen_problems_free(problems);
    fen_base_free(other);
    fen_case_free(c);
}

static fen_status carry(void *arg)
{
    fen_case *carried = NULL;
    fen_problems *problems = NULL;
    fen_status st = fen_problems_new(&problems);
    if (!st)
        st = fen_case_carry(base, arg, base, problems, &carried);
    fen_case_free(carried);
    fen_problems_free(problems);
    return st;
}

static void carrying_survives_every_failed_allocation(void **state)
{
    (void)state;
    fen_case *c = load_text(full);
    unit_refuse_each(carry, c);
    fen_case_free(c);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_case_is_carried_to_another_base_by_its_names),
        cmocka_unit_test(carrying_survives_every_failed_allocation),
        cmocka_unit_test(every_part_of_a_case_is_read),
        cmocka_unit_test(visits_are_read_each_with_its_own_date),
        cmocka_unit_test(a_settled_cause_is_taken_by_its_name_and_a_text_may_hold_several),
        cmocka_unit_test(what_is_left_out_has_its_usual_value),
        cmocka_unit_test(a_case_answers_a_session),
        cmocka_unit_test(a_kept_case_is_written_for_people),
        cmocka_unit_test(answers_keep_the_order_in_which_they_were_given),
        cmocka_unit_test(a_new_visit_joins_the_earlier_ones_by_date),
        cmocka_unit_test(notes_are_cleaned_of_what_a_terminal_would_obey),
        cmocka_unit_test(keep_then_load_gives_the_same_answers_bit_for_bit),
        cmocka_unit_test(keeping_a_loaded_case_again_changes_no_byte),
        cmocka_unit_test(a_load_survives_every_failed_allocation),
        cmocka_unit_test(a_load_with_problems_survives_every_failed_allocation),
        cmocka_unit_test(making_and_keeping_survive_every_failed_allocation),
        cmocka_unit_test(a_settled_copy_stands_alone_and_says_its_format),
        cmocka_unit_test(settling_survives_every_failed_allocation),
        cmocka_unit_test(a_full_disk_leaves_the_old_file),
        cmocka_unit_test(a_place_that_cannot_be_written_is_told),
    };
    return cmocka_run_group_tests(tests, open_all, close_all);
}
