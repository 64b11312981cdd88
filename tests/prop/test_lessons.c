/* test_lessons.c -- lessons from random rule bases and cases: what is kept makes the case right, and
 * changes no settled verdict but those that were named; taking it back gives the bytes of before.
 *
 * Verdicts are judged here one by one, with sessions of the base that is loaded again from
 * the files, and not by the batch that the lesson itself uses.
 */
#include "fenmend/lesson.h"
#include "support/lesson_folder.h"
#include "util/str.h"

enum { ROUNDS = 320, SETTLED = 14, RULES = 14, CAUSES = 4, TODAY = 20646 };

/* ---- dice ------------------------------------------------------------------------------------- */

static uint64_t seed;

static unsigned below(unsigned n)
{
    return (unsigned)(unit_random(&seed) >> 33) % n;
}

static bool chance(unsigned percent)
{
    return below(100) < percent;
}

/* Dice are thrown one by one: the order of a call's arguments is the compiler's. */
static void put_sentence(fen_str *out, bool may_read)
{
    const unsigned form = below(may_read ? 8 : 7), which = below(12), answer = below(3), times = below(30);
    const bool yes = chance(50);
    switch (form) {
    case 0:
    case 1: fen_str_printf(out, "c%u is %s%c", which % 4, yes && times < 15 ? "not " : "", 'a' + (int)answer); break;
    case 2: fen_str_printf(out, "s0 %s %c", yes || times < 12 ? "includes" : "excludes", 'a' + (int)answer); break;
    case 3: fen_str_printf(out, "y%u is %s", which % 2, yes ? "yes" : "no"); break;
    case 4: fen_str_printf(out, "q%u %s %u ppm", which % 2, yes ? ">" : "<=", 100 * (1 + times % 9)); break;
    case 5: fen_str_printf(out, "q0 - q1 > %u ppm", 100 * (times % 4)); break;
    case 6: fen_str_printf(out, "d0 < %u days", 10 * (1 + times)); break;
    default: fen_str_puts(out, "m0 is some"); break;
    }
}

static void put_effects(fen_str *out, unsigned rule)
{
    static const char *const strengths[] = { "slight", "fair", "strong", "7.5 dBan", "12 dBan", "0.3 dBan" };
    const unsigned first = below(CAUSES), second = below(CAUSES), a = below(6), b = below(6);
    const bool first_for = chance(75), second_for = chance(50);
    fen_str_printf(out, "    then:\n    - %s %s x%u\n", strengths[a], first_for ? "for" : "against", first);
    if (second != first && chance(40))
        fen_str_printf(out, "    - %s %s x%u\n", strengths[b], second_for ? "for" : "against", second);
    else if (second != first && chance(15))
        fen_str_printf(out, "    - excludes x%u\n", second);
    if (chance(20)) /* a rule that speaks of much else */
        for (unsigned i = 0; i < CAUSES; i++)
            if (i != first && i != second)
                fen_str_printf(out, "    - slight for x%u\n", i);
    if (chance(15))
        fen_str_puts(out, "    - hazard h0\n");
    if (rule < 3 && chance(60))
        fen_str_puts(out, "    - m0 is some\n");
}

/* Rules that read the derived finding go over none that may set it: else many bases would be
 * circular. */
static void put_rule(fen_str *out, unsigned rule)
{
    const unsigned n = 1 + below(2);
    fen_str_printf(out, "  r%u:\n", rule);
    if (chance(15))
        fen_str_printf(out, "    kinds: [k%u]\n", 1 + below(2));
    fen_str_puts(out, "    when:\n");
    if (chance(25)) {
        fen_str_puts(out, "    - any:\n      - ");
        put_sentence(out, rule > 3);
        fen_str_puts(out, "\n      - ");
        put_sentence(out, rule > 3);
        fen_str_puts(out, "\n");
    }
    for (unsigned i = 0; i < n; i++) {
        fen_str_puts(out, "    - ");
        put_sentence(out, rule > 3);
        fen_str_puts(out, "\n");
    }
    put_effects(out, rule);
    if (rule > 5 && chance(30))
        fen_str_printf(out, "    over: [r%u]\n", 4 + below(rule - 4));
    fen_str_puts(out, "    why: w\n");
}

static void write_file(const char *path, const fen_str *text)
{
    assert_int_equal(fen_str_status(text), FEN_OK);
    assert_int_equal(fen_file_write(path, text->at, text->len, 0666), FEN_OK);
}

static void write_pack(void)
{
    fen_str out;
    fen_str_init(&out, 1 << 20);
    fen_str_puts(&out, "settings: {something else: 3 %}\nkinds:\n  k0: {name: k0}\n  k1: {name: k1, within: k0}\n  k2: {name: k2, within: k0}\nfindings:\n");
    for (int i = 0; i < 4; i++)
        fen_str_printf(&out, "  c%d: {name: c%d, ask: c, effort: %s, answers: {a: , b: , c: {sign: yes}}}\n", i, i, i % 2 ? "touch" : "glance");
    fen_str_puts(&out, "  s0: {name: s0, ask: s, effort: glance, several: yes, answers: {a: , b: {sign: yes}, c: }}\n");
    for (int i = 0; i < 2; i++)
        fen_str_printf(&out, "  y%d: {name: y%d, ask: y, effort: touch, yes-no: {usual: 30 %%}}\n"
                             "  q%d: {name: q%d, ask: q, effort: meter, quantity: dissolved solids, from: 0 ppm, to: 2000 ppm}\n", i, i, i, i);
    fen_str_puts(&out, "  d0: {name: d0, ask: d, effort: glance, date: yes}\n"
                       "  m0: {name: m0, derived: yes, answers: {none: , some: }, default: none}\nhazards:\n  h0: {name: h0, about: h, urgency: weeks}\ncauses:\n");
    for (int i = 0; i < CAUSES; i++) {
        const unsigned usual = 3 + below(20);
        const bool of_one_kind = i == 3 && chance(30);
        fen_str_printf(&out, "  x%d: {name: x%d, about: x, usual: %u %%, urgency: weeks, harmless: no%s}\n", i, i, usual,
                       of_one_kind ? ", kinds: [k1]" : "");
    }
    fen_str_puts(&out, "rules:\n");
    for (unsigned i = 0; i < RULES; i++)
        put_rule(&out, i);
    write_file(pack_path, &out);
    fen_str_free(&out);
}

static void put_findings(fen_str *out)
{
    fen_str_puts(out, "findings: {y0: no");
    for (int i = 0; i < 4; i++)
        if (chance(75)) {
            const unsigned answer = below(36);
            fen_str_printf(out, ", c%d: %s", i, answer < 3 ? "unsure" : (const char *const[]){ "a", "b", "c" }[answer % 3]);
        }
    if (chance(70))
        fen_str_printf(out, ", s0: %s", (const char *const[]){ "[a]", "[b]", "[a, c]", "none", "[b, c]" }[below(5)]);
    if (chance(60))
        fen_str_printf(out, ", y1: %s", chance(50) ? "yes" : "no");
    for (int i = 0; i < 2; i++)
        if (chance(60))
            fen_str_printf(out, ", q%d: %u ppm", i, chance(30) ? 100 * below(10) : below(1000));
    if (chance(60))
        fen_str_printf(out, ", d0: %u days ago", below(300));
    fen_str_puts(out, "}\n");
}

static void put_case(fen_str *out, const char *name, unsigned nth, const char *settled)
{
    fen_str_printf(out, "case: %s-%u\n", name, nth);
    if (chance(80))
        fen_str_printf(out, "kind: k%u\n", below(3));
    fen_str_puts(out, "date: 2026-06-01\n");
    put_findings(out);
    fen_str_printf(out, "settled: [%s]\n", settled);
}

/* ---- judging one by one -------------------------------------------------------------------------- */

static fen_id leader(const fen_base *base, const fen_case *c)
{
    fen_session *s;
    assert_int_equal(fen_session_new(base, c->visits[0].date, &s), FEN_OK);
    fen_case_answer(c, 0, s);
    const fen_verdict *v = fen_session_verdict(s);
    const fen_id best = v->ranking.count ? v->ranking.at[0] : FEN_NONE;
    fen_session_free(s);
    return best;
}

static fen_case *load_case(const fen_base *base, const char *text)
{
    char path[96];
    fen_case *c = NULL;
    fen_problems *problems;
    snprintf(path, sizeof path, "%s/one.yaml", folder);
    assert_int_equal(fen_file_write(path, text, strlen(text), 0666), FEN_OK);
    assert_int_equal(fen_problems_new(&problems), FEN_OK);
    assert_int_equal(fen_case_load(base, path, TODAY, problems, &c), FEN_OK);
    fen_problems_free(problems);
    assert_int_equal(unlink(path), 0);
    return c;
}

/* ---- one round ------------------------------------------------------------------------------------ */

typedef struct trial {
    fen_base *base;
    fen_str settled[SETTLED]; /* as text */
    fen_id was[SETTLED];      /* leading causes before */
    fen_case *c;
} trial;

typedef struct counts {
    int loaded, wrong, proposed, kept, added, narrowed, with_flips, gains;
} counts;

static fen_base *load(bool with_own)
{
    const char *paths[] = { pack_path, own_path };
    fen_base *base = NULL;
    fen_problems *problems;
    assert_int_equal(fen_problems_new(&problems), FEN_OK);
    const fen_status st = fen_base_load(paths, with_own ? 2 : 1, problems, &base);
    assert_true(st == FEN_OK || st == FEN_EINPUT);
    fen_problems_free(problems);
    return base;
}

/* Most settled cases are as they were judged: those are what a lesson can break. */
static void make_settled(trial *r)
{
    fen_str all;
    fen_str_init(&all, 1 << 20);
    for (unsigned i = 0; i < SETTLED; i++) {
        char cause[8];
        fen_str draft;
        const uint64_t before = seed;
        fen_str_init(&draft, 1 << 16);
        put_case(&draft, "old", i, "x0");
        fen_case *c = load_case(r->base, draft.at);
        r->was[i] = leader(r->base, c);
        snprintf(cause, sizeof cause, "x%u", chance(75) && r->was[i] < CAUSES ? (unsigned)r->was[i] : below(CAUSES));
        fen_str_free(&draft);
        fen_case_free(c);
        const uint64_t after = seed;
        seed = before; /* the same case, settled as that */
        fen_str_init(&r->settled[i], 1 << 16);
        put_case(&r->settled[i], "old", i, cause);
        seed = after;
        fen_str_puts(&all, i ? "---\n" : "");
        fen_str_puts(&all, r->settled[i].at);
    }
    write_file(store_path, &all);
    fen_str_free(&all);
}

/* A case that is judged as something else than it is settled as; false: none was found. */
static bool make_wrong(trial *r)
{
    for (int tries = 0; tries < 20; tries++) {
        fen_str text;
        char cause[8];
        snprintf(cause, sizeof cause, "x%u", below(CAUSES));
        fen_str_init(&text, 1 << 16);
        put_case(&text, "new", 0, cause);
        write_file(case_path, &text);
        r->c = load_case(r->base, text.at);
        fen_str_free(&text);
        if (leader(r->base, r->c) != fen_case_settled(r->c).at[0])
            return true;
        fen_case_free(r->c);
        r->c = NULL;
    }
    return false;
}

static bool was_named(const fen_proposal *p, unsigned i, fen_id was, fen_id now)
{
    char id[16];
    snprintf(id, sizeof id, "old-%u", i);
    for (size_t k = 0; k < p->n_flips; k++)
        if (strcmp(p->flips[k].id, id) == 0)
            return p->flips[k].was == was && p->flips[k].now == now;
    return false;
}

/* What the files hold now: the case is right; verdicts changed as P said, and none besides. */
static void check_kept(trial *r, const fen_proposal *p, counts *n, unsigned nth)
{
    fen_base *after = load(true);
    size_t changed = 0;
    if (!after)
        fail_msg("round %u: what was kept does not load", nth);
    if (leader(after, r->c) != fen_case_settled(r->c).at[0])
        fail_msg("round %u: the case is not right", nth);
    for (unsigned i = 0; i < SETTLED; i++) {
        fen_case *c = load_case(after, r->settled[i].at);
        const fen_id now = leader(after, c);
        if (now != r->was[i]) {
            changed++;
            n->gains += now == fen_case_settled(c).at[0];
            if (!was_named(p, i, r->was[i], now))
                fail_msg("round %u: the verdict on old-%u changed and nobody said so", nth, i);
        }
        fen_case_free(c);
    }
    if (changed != p->n_flips)
        fail_msg("round %u: %zu verdicts changed, %zu were named", nth, changed, p->n_flips);
    fen_base_free(after);
}

/* The first proposal that, narrowed, changes nothing; in one round of four the one that
 * changes most, as it is. */
static size_t choose(fen_lesson *l, fen_problems *problems, counts *n, unsigned nth)
{
    if (nth % 4 == 0) {
        n->with_flips += fen_lesson_at(l, fen_lesson_count(l) - 1)->n_changed > 0;
        return fen_lesson_count(l) - 1;
    }
    for (size_t i = 0; i < fen_lesson_count(l); i++) {
        const bool had = fen_lesson_at(l, i)->n_changed > 0;
        assert_int_equal(fen_lesson_narrow(l, i, problems), FEN_OK);
        assert_true(fen_lesson_at(l, i)->n_changed == 0 || fen_lesson_at(l, i)->stuck);
        if (fen_lesson_at(l, i)->n_changed == 0) {
            n->narrowed += had;
            return i;
        }
    }
    return 0;
}

static void check_undone(const fen_lesson_setup *set, const char *store_before)
{
    char *store;
    size_t len;
    const char *paths[] = { pack_path, own_path };
    fen_lesson_undone done;
    fen_problems *problems;
    fen_base *base = load(true);
    fen_lesson_setup now = *set;
    now.base = base;
    now.packs = paths;
    now.n_packs = 2;
    assert_int_equal(fen_problems_new(&problems), FEN_OK);
    assert_int_equal(fen_lesson_undo(&now, problems, &done), FEN_OK);
    assert_true(done.case_out && done.pack_gone);
    assert_int_equal(access(own_path, F_OK), -1);
    assert_int_equal(fen_file_read(store_path, 1 << 20, &store, &len), FEN_OK);
    assert_string_equal(store, store_before);
    fen_free(store);
    fen_base_free(base);
    fen_problems_free(problems);
}

static void learn(trial *r, counts *n, unsigned nth)
{
    const char *paths[] = { pack_path };
    const fen_lesson_setup set = { .base = r->base, .packs = paths, .n_packs = 1, .pack = own_path, .store = store_path, .c = r->c, .today = TODAY, .jobs = 1 };
    fen_problems *problems;
    fen_lesson *l = NULL;
    fen_settled_put put;
    char *store;
    size_t len;
    assert_int_equal(fen_problems_new(&problems), FEN_OK);
    assert_int_equal(fen_lesson_new(&set, problems, &l), FEN_OK);
    assert_int_equal(fen_file_read(store_path, 1 << 20, &store, &len), FEN_OK);
    n->wrong += fen_lesson_how(l) == FEN_LESSON_WRONG;
    assert_int_equal(fen_lesson_propose(l, problems), FEN_OK);
    if (fen_lesson_count(l)) {
        n->proposed++;
        const size_t i = choose(l, problems, n, nth);
        assert_int_equal(fen_lesson_keep(l, i, problems, &put), FEN_OK);
        assert_int_equal(put, FEN_SETTLED_ADDED);
        n->kept++;
        n->added += fen_lesson_at(l, i)->adds;
        check_kept(r, fen_lesson_at(l, i), n, nth);
        check_undone(&set, store);
    }
    fen_free(store);
    fen_lesson_free(l);
    fen_problems_free(problems);
}

static void what_is_kept_is_right_and_changes_only_what_it_named(void **state)
{
    (void)state;
    counts n = { 0 };
    for (unsigned nth = 0; nth < ROUNDS; nth++) {
        trial r = { 0 };
        seed = UINT64_C(0x9E3779B97F4A7C15) * (nth + 1);
        write_pack();
        r.base = load(false);
        n.loaded += r.base != NULL;
        if (r.base && make_wrong(&r)) {
            make_settled(&r);
            learn(&r, &n, nth);
            for (unsigned i = 0; i < SETTLED; i++)
                fen_str_free(&r.settled[i]);
        }
        fen_case_free(r.c);
        fen_base_free(r.base);
    }
    print_message("%d bases, %d wrong, %d with proposals, %d kept (%d beside the rule that misled, %d narrowed, %d with changes named, %d verdicts became right)\n", n.loaded, n.wrong,
                  n.proposed, n.kept, n.added, n.narrowed, n.with_flips, n.gains);
    assert_true(n.loaded > ROUNDS * 8 / 10);
    assert_true(n.kept > ROUNDS / 2 && n.added > 10 && n.narrowed > 10 && n.gains > 10 && n.with_flips > 10);
}

int main(void)
{
    const struct CMUnitTest tests[] = { cmocka_unit_test(what_is_kept_is_right_and_changes_only_what_it_named) };
    return cmocka_run_group_tests(tests, make_folder, remove_folder);
}
