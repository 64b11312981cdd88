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
    FEN_VEC(fen_plan_left) left;
    FEN_VEC(fen_plan_item) kept; /* while conflicts are settled */
    FEN_VEC(fen_id) measure;
    fen_arena *arena;
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
    for (uint32_t i = 0; i < m->v->held.count; i++)
        m->lost = !FEN_VEC_PUSH(&m->causes, m->v->held.at[i]) || m->lost;
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

/* ---- what excludes each other ---- */

static fen_texts does_of(const maker *m, fen_plan_item i)
{
    const fen_remedy *r = fen_base_remedy(m->base, i.remedy);
    return i.step == FEN_NONE ? (fen_texts){ NULL, 0 } : r->steps[i.step].does;
}

static fen_texts against_of(const maker *m, fen_plan_item i)
{
    const fen_remedy *r = fen_base_remedy(m->base, i.remedy);
    if (i.step != FEN_NONE)
        return r->steps[i.step].against;
    return r->never_against ? r->never_against[i.never] : (fen_texts){ NULL, 0 };
}

static const char *common(fen_texts a, fen_texts b)
{
    for (uint32_t i = 0; i < a.count; i++)
        for (uint32_t k = 0; k < b.count; k++)
            if (strcmp(a.at[i], b.at[k]) == 0)
                return a.at[i];
    return NULL;
}

/* The act on which two items disagree, or NULL. */
static const char *quarrel(const maker *m, fen_plan_item a, fen_plan_item b)
{
    const char *act = common(does_of(m, a), against_of(m, b));
    return act ? act : common(does_of(m, b), against_of(m, a));
}

static void settle(maker *m, fen_plan_item item)
{
    for (uint32_t i = 0; i < m->kept.count; i++) {
        const char *act = quarrel(m, item, m->kept.at[i]);
        if (!act)
            continue;
        m->lost = !FEN_VEC_PUSH(&m->left, (fen_plan_left){ item, m->kept.at[i], act }) || m->lost;
        return;
    }
    m->lost = !FEN_VEC_PUSH(&m->kept, item) || m->lost;
}

static void settle_remedy(maker *m, const fen_plan_remedy *p, bool nevers)
{
    const fen_remedy *r = fen_base_remedy(m->base, p->remedy);
    for (uint32_t i = 0; nevers && i < r->never.count; i++)
        settle(m, (fen_plan_item){ p->remedy, FEN_NONE, i });
    for (uint32_t i = 0; !nevers && i < r->n_steps; i++)
        if (fen_session_cond(m->s, r->steps[i].when) == 1)
            settle(m, (fen_plan_item){ p->remedy, i, FEN_NONE });
}

/* Remedies are in order of urgency; of equal ones the do-nots come first. */
static void settle_conflicts(maker *m)
{
    for (uint32_t i = 0, end; i < m->remedies.count; i = end) {
        for (end = i; end < m->remedies.count && m->remedies.at[end].urgency == m->remedies.at[i].urgency; end++)
            settle_remedy(m, &m->remedies.at[end], true);
        for (uint32_t k = i; k < end; k++)
            settle_remedy(m, &m->remedies.at[k], false);
    }
}

static bool gave_way(const maker *m, fen_plan_item item)
{
    for (uint32_t i = 0; i < m->left.count; i++)
        if (m->left.at[i].item.remedy == item.remedy && m->left.at[i].item.step == item.step && m->left.at[i].item.never == item.never)
            return true;
    return false;
}

/* ---- steps ---- */

/* An input that may be left out, and without which the words of this step have a hole. */
static void miss_optional(maker *m, const fen_amount *a, fen_workings *w)
{
    fen_id *missing = fen_arena_take(m->arena, a->n_bindings, sizeof *missing);
    uint32_t n = 0;
    m->lost = m->lost || !missing;
    for (uint32_t i = 0; missing && i < a->n_bindings; i++)
        if (a->bindings[i].op == FEN_BIND_FINDING && fen_session_given(m->s, a->bindings[i].finding).state != FEN_KNOWN)
            missing[n++] = a->bindings[i].finding;
    w->missing = (fen_list){ missing, n };
    w->done = false;
}

static void work_out(maker *m, fen_plan_step *p)
{
    const fen_step *step = step_of(m, p);
    if (!step->amount)
        return;
    if (fen_amount_work(m->s, step->amount, m->arena, &p->worked))
        m->lost = true;
    else if (p->worked.done && !fen_amount_says(step->text, &p->worked.at[p->worked.count - 1]))
        miss_optional(m, step->amount, &p->worked);
    for (uint32_t i = 0; p->ready == 1 && i < p->worked.missing.count; i++)
        if (!in_list((fen_list){ m->measure.at, m->measure.count }, p->worked.missing.at[i]))
            m->lost = !FEN_VEC_PUSH(&m->measure, p->worked.missing.at[i]) || m->lost;
}

/* Equal words with amounts that differ are two steps. */
static bool is_same(const maker *m, const fen_plan_step *a, const fen_plan_step *b)
{
    if (strcmp(step_of(m, a)->text, step_of(m, b)->text) != 0 || !step_of(m, a)->amount != !step_of(m, b)->amount)
        return false;
    if (!step_of(m, a)->amount)
        return true;
    fen_str x, y;
    fen_str_init(&x, 1u << 20);
    fen_str_init(&y, 1u << 20);
    fen_plan_step_text(&x, m->base, a, false);
    fen_plan_step_text(&y, m->base, b, false);
    const bool same = x.len == y.len && memcmp(x.at, y.at, x.len) == 0;
    fen_str_free(&x);
    fen_str_free(&y);
    return same;
}

/* The same step of an earlier remedy is done once, on the more lenient condition. */
static bool is_there(maker *m, const fen_plan_step *p)
{
    for (uint32_t i = 0; i < m->steps.count; i++)
        if (is_same(m, &m->steps.at[i], p)) {
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
    fen_plan_step p = { .remedy = r->remedy, .step = i, .urgency = r->urgency, .ready = fen_session_cond(m->s, step->when) };
    if (gave_way(m, (fen_plan_item){ r->remedy, i, FEN_NONE }))
        return;
    work_out(m, &p);
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
        if (!gave_way(m, (fen_plan_item){ r->remedy, FEN_NONE, i }))
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
    HAND_OVER(m, arena, left, p->left, p->n_left);
    HAND_OVER(m, arena, measure, p->measure.at, p->measure.count);
    HAND_OVER(m, arena, cautions, p->cautions.at, p->cautions.count);
}

static void fill(maker *m, fen_arena *arena)
{
    add_causes(m);
    add_remedies(m);
    sort_remedies(m);
    settle_conflicts(m);
    for (uint32_t i = 0; i < m->remedies.count; i++)
        add_steps(m, &m->remedies.at[i], arena);
    add_checks(m);
    hand_over(m, arena);
    FEN_VEC_FREE(&m->causes);
    FEN_VEC_FREE(&m->remedies);
    FEN_VEC_FREE(&m->steps);
    FEN_VEC_FREE(&m->checks);
    FEN_VEC_FREE(&m->never);
    FEN_VEC_FREE(&m->left);
    FEN_VEC_FREE(&m->kept);
    FEN_VEC_FREE(&m->measure);
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
    maker m = { .s = s, .base = fen_session_base(s), .v = fen_session_verdict(s), .plan = &o->plan, .arena = arena };
    fill(&m, arena);
    if (m.lost) {
        fen_arena_free(arena);
        return FEN_ENOMEM;
    }
    *ret_plan = &o->plan;
    return FEN_OK;
}

void fen_plan_step_text(fen_str *out, const fen_base *base, const fen_plan_step *p, bool us)
{
    const fen_step *step = &fen_base_remedy(base, p->remedy)->steps[p->step];
    if (!step->amount)
        fen_str_puts(out, step->text);
    else if (p->worked.done)
        fen_amount_text(out, step->text, &p->worked.at[p->worked.count - 1], us);
    else
        fen_str_puts(out, step->without);
}

const char *fen_plan_item_text(const fen_base *base, fen_plan_item item)
{
    const fen_remedy *r = fen_base_remedy(base, item.remedy);
    if (item.step == FEN_NONE)
        return r->never.at[item.never];
    const fen_step *step = &r->steps[item.step];
    return step->amount ? step->without : step->text;
}

void fen_plan_free(fen_plan *plan)
{
    if (plan)
        fen_arena_free(((owned_plan *)(void *)plan)->arena);
}
