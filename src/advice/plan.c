/* plan.c -- see plan.h.
 *
 * Steps are compared by their text: ids are only unique within a remedy, and two
 * authors who mean the same step write the same sentence or do not mean the same.
 */
#include "plan.h"

#include <math.h>
#include <string.h>

#include "util/arena.h"
#include "util/vec.h"

typedef struct owned_plan {
    fen_plan plan; /* first, so that a fen_plan * is an owned_plan * */
    fen_arena *arena;
} owned_plan;

typedef struct maker {
    fen_session *s;
    const fen_base *base;
    const fen_verdict *v;
    fen_plan *plan;
    FEN_VEC(fen_id) causes;
    FEN_VEC(fen_plan_remedy) remedies;
    FEN_VEC(fen_plan_step) steps;
    FEN_VEC(fen_plan_check) checks;
    FEN_VEC(const char *) never;
    FEN_VEC(const char *) cautions;
    bool lost;
} maker;

static bool in_list(fen_list list, fen_id id)
{
    for (uint32_t i = 0; i < list.count; i++)
        if (list.at[i] == id)
            return true;
    return false;
}

static void add_causes(maker *m)
{
    const fen_id leader = m->v->ranking.count ? m->v->ranking.at[0] : FEN_NONE;
    if (leader != FEN_NONE && m->v->p[leader] >= 0.5 && !in_list(m->v->covering, leader))
        m->lost = !FEN_VEC_PUSH(&m->causes, leader) || m->lost;
    for (uint32_t i = 0; i < m->v->covering.count; i++)
        m->lost = !FEN_VEC_PUSH(&m->causes, m->v->covering.at[i]) || m->lost;
}

/* A remedy wanted twice keeps the more urgent of its reasons. */
static void add_remedy(maker *m, fen_plan_remedy r)
{
    for (uint32_t i = 0; i < m->remedies.count; i++)
        if (m->remedies.at[i].remedy == r.remedy) {
            if (r.urgency > m->remedies.at[i].urgency)
                m->remedies.at[i] = r;
            return;
        }
    m->lost = !FEN_VEC_PUSH(&m->remedies, r) || m->lost;
}

static void add_remedies(maker *m)
{
    for (uint32_t i = 0; i < m->causes.count; i++) {
        const fen_cause *c = fen_base_cause(m->base, m->causes.at[i]);
        for (uint32_t r = 0; r < c->remedies.count; r++)
            add_remedy(m, (fen_plan_remedy){ c->remedies.at[r], c->urgency, m->causes.at[i], FEN_NONE });
    }
    for (uint32_t i = 0; i < m->v->hazards.count; i++) {
        const fen_hazard *h = fen_base_hazard(m->base, m->v->hazards.at[i]);
        for (uint32_t r = 0; r < h->remedies.count; r++)
            add_remedy(m, (fen_plan_remedy){ h->remedies.at[r], h->urgency, FEN_NONE, m->v->hazards.at[i] });
    }
}

/* Most urgent first; equals stay as they were (causes by rank, then hazards). */
static void sort_remedies(maker *m)
{
    for (uint32_t i = 1; i < m->remedies.count; i++) {
        const fen_plan_remedy r = m->remedies.at[i];
        uint32_t j = i;
        for (; j > 0 && m->remedies.at[j - 1].urgency < r.urgency; j--)
            m->remedies.at[j] = m->remedies.at[j - 1];
        m->remedies.at[j] = r;
    }
}

static const fen_step *step_of(const maker *m, const fen_plan_step *p)
{
    return &fen_base_remedy(m->base, p->remedy)->steps[p->step];
}

/* The same step of an earlier remedy is done once, on the more lenient condition. */
static bool is_there(maker *m, const fen_plan_step *p)
{
    for (uint32_t i = 0; i < m->steps.count; i++)
        if (strcmp(step_of(m, &m->steps.at[i])->text, step_of(m, p)->text) == 0) {
            if (p->ready > m->steps.at[i].ready)
                m->steps.at[i].ready = p->ready;
            return true;
        }
    return false;
}

static void add_text(maker *m, const char *text, bool caution)
{
    const char *const *at = caution ? m->cautions.at : m->never.at;
    const uint32_t n = caution ? m->cautions.count : m->never.count;
    for (uint32_t i = 0; i < n; i++)
        if (strcmp(at[i], text) == 0)
            return;
    m->lost = !(caution ? FEN_VEC_PUSH(&m->cautions, text) : FEN_VEC_PUSH(&m->never, text)) || m->lost;
}

/* DONE: steps of the remedy already placed. */
static bool may_come(const fen_step *step, const bool *done)
{
    for (uint32_t i = 0; i < step->after.count; i++)
        if (!done[step->after.at[i]])
            return false;
    return true;
}

static void add_step(maker *m, const fen_plan_remedy *r, uint32_t i)
{
    const fen_step *step = &fen_base_remedy(m->base, r->remedy)->steps[i];
    const fen_plan_step p = { r->remedy, i, r->urgency, fen_session_cond(m->s, step->when) };
    if (!is_there(m, &p))
        m->lost = !FEN_VEC_PUSH(&m->steps, p) || m->lost;
    for (uint32_t c = 0; c < step->cautions.count; c++)
        add_text(m, step->cautions.at[c], true);
}

/* Steps in the order written, except that each waits for those it comes after.
 * The loader refuses a loop of `after`, so every round places one. */
static void add_steps(maker *m, const fen_plan_remedy *r, fen_arena *arena)
{
    const fen_remedy *remedy = fen_base_remedy(m->base, r->remedy);
    bool *done = fen_arena_zeroed(arena, remedy->n_steps + 1, sizeof *done);
    m->lost = m->lost || !done;
    for (uint32_t placed = 0; done && placed < remedy->n_steps;) {
        const uint32_t before = placed;
        for (uint32_t i = 0; i < remedy->n_steps; i++)
            if (!done[i] && may_come(&remedy->steps[i], done)) {
                add_step(m, r, i);
                done[i] = true;
                placed++;
                break;
            }
        if (placed == before)
            break;
    }
    for (uint32_t i = 0; i < remedy->never.count; i++)
        add_text(m, remedy->never.at[i], false);
    if (!isnan(remedy->look_again) && !(m->plan->look_again <= remedy->look_again))
        m->plan->look_again = remedy->look_again;
}

/* Fast killers that the plan does not treat and that are not ruled out. */
static void add_checks(maker *m)
{
    const fen_list treated = { m->causes.at, m->causes.count };
    for (uint32_t i = 0; i < m->v->ranking.count; i++) {
        const fen_id cause = m->v->ranking.at[i];
        const fen_cause *c = fen_base_cause(m->base, cause);
        if (c->urgency < FEN_DAYS || in_list(treated, cause) || c->deciding == FEN_NONE ||
            m->v->p[cause] < fen_base_settings(m->base)->danger_level || !fen_session_applies(m->s, c->deciding) ||
            fen_session_given(m->s, c->deciding).state == FEN_KNOWN)
            continue;
        m->lost = !FEN_VEC_PUSH(&m->checks, (fen_plan_check){ cause, c->deciding, m->v->p[cause] }) || m->lost;
    }
}

#define HAND_OVER(m, arena, field, ret_at, ret_count) \
    ((ret_at) = fen_arena_copy((arena), (m)->field.at, (m)->field.count, sizeof *(m)->field.at), \
     (ret_count) = (m)->field.count, (m)->lost = (m)->lost || ((m)->field.count && !(ret_at)))

static void hand_over(maker *m, fen_arena *arena)
{
    fen_plan *p = m->plan;
    HAND_OVER(m, arena, causes, p->causes.at, p->causes.count);
    HAND_OVER(m, arena, checks, p->checks, p->n_checks);
    HAND_OVER(m, arena, remedies, p->remedies, p->n_remedies);
    HAND_OVER(m, arena, steps, p->steps, p->n_steps);
    HAND_OVER(m, arena, never, p->never.at, p->never.count);
    HAND_OVER(m, arena, cautions, p->cautions.at, p->cautions.count);
}

static void fill(maker *m, fen_arena *arena)
{
    add_causes(m);
    add_remedies(m);
    sort_remedies(m);
    for (uint32_t i = 0; i < m->remedies.count; i++)
        add_steps(m, &m->remedies.at[i], arena);
    add_checks(m);
    hand_over(m, arena);
    FEN_VEC_FREE(&m->causes);
    FEN_VEC_FREE(&m->remedies);
    FEN_VEC_FREE(&m->steps);
    FEN_VEC_FREE(&m->checks);
    FEN_VEC_FREE(&m->never);
    FEN_VEC_FREE(&m->cautions);
}

fen_status fen_plan_make(fen_session *s, fen_plan **ret_plan)
{
    fen_arena *arena = fen_arena_new();
    owned_plan *o = arena ? fen_arena_zeroed(arena, 1, sizeof *o) : NULL;
    if (!o) {
        fen_arena_free(arena);
        return FEN_ENOMEM;
    }
    o->arena = arena;
    o->plan.look_again = NAN;
    maker m = { .s = s, .base = fen_session_base(s), .v = fen_session_verdict(s), .plan = &o->plan };
    fill(&m, arena);
    if (m.lost) {
        fen_arena_free(arena);
        return FEN_ENOMEM;
    }
    *ret_plan = &o->plan;
    return FEN_OK;
}

void fen_plan_free(fen_plan *plan)
{
    if (plan)
        fen_arena_free(((owned_plan *)(void *)plan)->arena);
}
