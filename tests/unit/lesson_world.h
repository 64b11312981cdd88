/* lesson_world.h -- a folder with packs, settled cases and a case that is judged wrongly, for tests of
 * lessons.
 */
#ifndef FEN_LESSON_WORLD_H
#define FEN_LESSON_WORLD_H

#include "casebook/lesson_own.h"
#include "support/lesson_folder.h"
#include "support/said.h"
#include "util/date.h"

static char said[8192];

typedef struct world {
    fen_base *base;
    fen_case *c;
    fen_problems *problems;
    fen_lesson *l;
    fen_lesson_setup set;
    const char *packs[2];
} world;

static inline void tell(const fen_problems *problems)
{
    say_problems(problems, said, sizeof said);
}

/* The test pack with MORE rules behind its rules. */
static inline void put_pack(const char *more)
{
    char *text;
    size_t len;
    fen_str out;
    assert_int_equal(fen_file_read(FEN_TESTS_DIR "/lessons/pack.yaml", 1 << 20, &text, &len), FEN_OK);
    const char *at = strstr(text, "\nremedies:\n");
    fen_str_init(&out, 1 << 20);
    fen_str_put(&out, text, (size_t)(at - text) + 1);
    fen_str_puts(&out, more);
    fen_str_puts(&out, at);
    put_file(pack_path, out.at);
    fen_str_free(&out);
    fen_free(text);
}

static inline fen_status begin(world *w)
{
    w->packs[0] = pack_path;
    w->packs[1] = own_path;
    const size_t n = access(own_path, F_OK) == 0 ? 2 : 1;
    assert_int_equal(fen_problems_new(&w->problems), FEN_OK);
    if (fen_base_load(w->packs, n, w->problems, &w->base) || fen_case_load(w->base, case_path, 20646, w->problems, &w->c)) {
        tell(w->problems);
        fail_msg("%s", said);
    }
    w->set = (fen_lesson_setup){ .base = w->base, .packs = w->packs, .n_packs = n, .pack = own_path, .store = store_path, .c = w->c,
                                 .author = "A. Grower", .today = fen_date_day(2026, 7, 12), .jobs = 1 };
    w->l = NULL;
    const fen_status st = fen_lesson_new(&w->set, w->problems, &w->l);
    tell(w->problems);
    return st;
}

static inline void end(world *w)
{
    fen_lesson_free(w->l);
    fen_problems_free(w->problems);
    fen_case_free(w->c);
    fen_base_free(w->base);
}

static inline void open_world(world *w, const char *more_rules, const char *settled, const char *porch)
{
    put_pack(more_rules);
    put_file(case_path, porch);
    if (settled)
        put_file(store_path, settled);
    if (begin(w))
        fail_msg("%s", said);
}

static inline void propose(world *w)
{
    if (fen_lesson_propose(w->l, w->problems)) {
        tell(w->problems);
        fail_msg("%s", said);
    }
}

/* The first proposal of FORM, or NONE. */
static inline size_t first_of(const world *w, fen_lesson_form form)
{
    for (size_t i = 0; i < fen_lesson_count(w->l); i++)
        if (fen_lesson_at(w->l, i)->form == form)
            return i;
    return FEN_LESSON_NONE;
}

static inline bool in_yaml(const world *w, size_t i, const char *part)
{
    return strstr(fen_lesson_at(w->l, i)->yaml, part) != NULL;
}

static const char porch[] = "case: porch\nkind: trap-plant\ndate: 2026-07-10\nfindings: {crown: soft, tray: dry-often, leaves: [limp], smell: no, "
                            "water-reading: 40 ppm}\nsettled: drought\n";

/* With the settled cases of the test. */
static inline void open_settled_world(world *w)
{
    char *settled;
    size_t len;
    assert_int_equal(fen_file_read(FEN_TESTS_DIR "/lessons/settled.yaml", 1 << 20, &settled, &len), FEN_OK);
    open_world(w, "", settled, porch);
    fen_free(settled);
}

static inline fen_base *with_rule(world *w, size_t i)
{
    fen_base *after = NULL;
    fen_str text;
    fen_own_pack own = { .path = own_path };
    fen_problems *problems;
    assert_int_equal(fen_problems_new(&problems), FEN_OK);
    fen_str_init(&text, 1 << 20);
    assert_int_equal(fen_own_with(&own, fen_lesson_at(w->l, i)->yaml, problems, &text), FEN_OK);
    put_file(own_path, text.at);
    const char *paths[] = { pack_path, own_path };
    assert_int_equal(fen_base_load(paths, 2, problems, &after), FEN_OK);
    assert_int_equal(unlink(own_path), 0);
    fen_str_free(&text);
    fen_problems_free(problems);
    return after;
}

/* How far the true cause is ahead of the next with proposal I, in dBan. */
static inline double lead(world *w, size_t i)
{
    fen_session *s;
    fen_base *after = with_rule(w, i);
    assert_int_equal(fen_session_new(after, w->c->visits[0].date, &s), FEN_OK);
    fen_case_answer(w->c, 0, s);
    const fen_verdict *v = fen_session_verdict(s);
    const fen_id right = fen_lesson_true(w->l);
    assert_int_equal(v->ranking.at[0], right);
    const double ahead = (double)(v->score[right] - v->score[v->ranking.at[1]]) / (double)FEN_DBAN;
    assert_near(v->p[right], fen_lesson_at(w->l, i)->p, 1e-12);
    fen_session_free(s);
    fen_base_free(after);
    return ahead;
}

#endif
