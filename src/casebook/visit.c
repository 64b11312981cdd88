/* visit.c -- see visit.h.
 */
#include "fenmend/visit.h"

#include <assert.h>
#include <math.h>
#include <string.h>

#include "advice/plan.h"
#include "util/arena.h"
#include "util/vec.h"

/* Readings of one thing differ by this much from one day to the next without
 * anything having changed. Common practice, no source. */
#define NOISE 0.1

typedef struct owned_follow {
    fen_follow f; /* first, so that a fen_follow * is an owned_follow * */
    fen_arena *arena;
} owned_follow;

typedef struct maker {
    FEN_VEC(fen_promise) promises;
    FEN_VEC(fen_id) remedies, ask;
    bool lost;
} maker;

const char *fen_trend_name(fen_trend t)
{
    static const char *const names[] = { "unknown", "worse", "same", "sound", "better" };
    return names[t];
}

static void add_finding(maker *m, fen_id finding)
{
    for (uint32_t i = 0; i < m->ask.count; i++)
        if (m->ask.at[i] == finding)
            return;
    m->lost = !FEN_VEC_PUSH(&m->ask, finding) || m->lost;
}

static void add_remedy(maker *m, const fen_session *s, fen_id id)
{
    const fen_remedy *r = fen_base_remedy(fen_session_base(s), id);
    if (isnan(r->look_again))
        return;
    m->lost = !FEN_VEC_PUSH(&m->remedies, id) || m->lost;
    for (uint32_t i = 0; i < r->n_look; i++) {
        const fen_look_for *look = &r->look[i];
        const fen_promise p = {
            .remedy = id,
            .look = look,
            .before = fen_session_given(s, look->finding),
            .sound_then = look->better != FEN_NONE && fen_session_cond(s, look->better) == 1,
            .due = fen_session_today(s) + (int32_t)ceil(r->look_again),
        };
        m->lost = !FEN_VEC_PUSH(&m->promises, p) || m->lost;
        add_finding(m, look->finding);
    }
}

static bool hand_over(maker *m, owned_follow *o)
{
    o->f.promises = fen_arena_copy(o->arena, m->promises.at, m->promises.count, sizeof *m->promises.at);
    o->f.n_promises = m->promises.count;
    const fen_id *remedies = fen_arena_copy(o->arena, m->remedies.at, m->remedies.count, sizeof *remedies);
    const fen_id *ask = fen_arena_copy(o->arena, m->ask.at, m->ask.count, sizeof *ask);
    o->f.remedies = (fen_list){ remedies, m->remedies.count };
    o->f.ask = (fen_list){ ask, m->ask.count };
    return !m->lost && o->f.promises && remedies && ask;
}

fen_status fen_follow_make(const fen_case *c, size_t visit, fen_session *s, fen_follow **ret_follow)
{
    fen_arena *arena = fen_arena_new();
    owned_follow *o = arena ? fen_arena_zeroed(arena, 1, sizeof *o) : NULL;
    fen_plan *plan = NULL;
    maker m = { .lost = false };
    if (!o) {
        fen_arena_free(arena);
        return FEN_ENOMEM;
    }
    o->arena = arena;
    o->f.date = c->visits[visit].date;
    fen_session_clear(s);
    fen_session_set_today(s, o->f.date);
    fen_case_answer(c, visit, s);
    fen_status st = fen_plan_make(s, &plan);
    for (size_t i = 0; !st && i < plan->n_remedies; i++)
        add_remedy(&m, s, plan->remedies[i].remedy);
    if (!st && !hand_over(&m, o))
        st = FEN_ENOMEM;
    fen_plan_free(plan);
    FEN_VEC_FREE(&m.promises);
    FEN_VEC_FREE(&m.remedies);
    FEN_VEC_FREE(&m.ask);
    if (st)
        fen_arena_free(arena);
    else
        *ret_follow = &o->f;
    return st;
}

void fen_follow_free(fen_follow *f)
{
    if (f)
        fen_arena_free(((owned_follow *)(void *)f)->arena);
}

/* Signs come and go; so does what an author says does not last. */
static bool passes(const fen_finding *f)
{
    bool sign = f->passing;
    for (uint32_t i = 0; i < f->n_options; i++)
        sign = sign || f->options[i].sign;
    return sign;
}

static bool is_asked(const fen_follow *f, fen_id finding)
{
    for (uint32_t i = 0; i < f->ask.count; i++)
        if (f->ask.at[i] == finding)
            return true;
    return false;
}

void fen_follow_begin(const fen_follow *f, const fen_case *c, size_t visit, fen_session *s, int32_t today)
{
    const fen_visit *v = &c->visits[visit];
    fen_session_clear(s);
    fen_session_set_today(s, today);
    fen_case_answer(c, visit, s);
    for (size_t i = 0; i < v->n_given; i++) {
        const fen_id finding = v->given[i].finding;
        if (!passes(fen_base_finding(fen_session_base(s), finding)) && !is_asked(f, finding) && v->given[i].answer.state == FEN_KNOWN)
            continue;
        const fen_status st = fen_session_answer(s, finding, (fen_answer){ .state = FEN_OPEN });
        assert(st == FEN_OK);
        (void)st;
    }
}

/* A quantity against what it was. */
static fen_trend compare(fen_answer before, fen_answer now, int better)
{
    if (before.state != FEN_KNOWN)
        return FEN_TREND_UNKNOWN;
    const double change = now.value - before.value;
    if (fabs(change) <= NOISE * fabs(before.value))
        return FEN_TREND_SAME;
    return (change > 0) == (better > 0) ? FEN_TREND_BETTER : FEN_TREND_WORSE;
}

fen_trend fen_follow_trend(const fen_follow *f, const fen_session *s, size_t promise)
{
    const fen_promise *p = &f->promises[promise];
    const fen_answer now = fen_session_given(s, p->look->finding);
    if (now.state != FEN_KNOWN)
        return FEN_TREND_UNKNOWN;
    if (p->look->worse != FEN_NONE && fen_session_cond(s, p->look->worse) == 1)
        return FEN_TREND_WORSE;
    if (p->look->trend)
        return compare(p->before, now, p->look->trend);
    if (fen_session_cond(s, p->look->better) == 1)
        return p->sound_then ? FEN_TREND_SOUND : FEN_TREND_BETTER;
    return p->sound_then ? FEN_TREND_WORSE : FEN_TREND_SAME;
}

fen_trend fen_follow_overall(const fen_follow *f, const fen_session *s)
{
    bool seen[FEN_TREND_BETTER + 1] = { false };
    for (size_t i = 0; i < f->n_promises; i++)
        seen[fen_follow_trend(f, s, i)] = true;
    static const fen_trend order[] = { FEN_TREND_WORSE, FEN_TREND_BETTER, FEN_TREND_SAME, FEN_TREND_SOUND };
    for (size_t i = 0; i < FEN_COUNT(order); i++)
        if (seen[order[i]])
            return order[i];
    return FEN_TREND_UNKNOWN;
}
