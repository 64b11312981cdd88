/* impact.c -- two verdicts about one case, each in the ids of its own base. */
#include "fenmend/impact.h"

#include <string.h>

#include "util/alloc.h"

struct fen_impact {
    const fen_base *before, *after;
    fen_id *cause, *hazard, *finding; /* by id before: the one called the same after, or FEN_NONE */
    bool *same_remedy;                /* by id before: it reads the same after */
    fen_id *remedy;                   /* by id before: the one called the same after */
};

const fen_base *fen_impact_before(const fen_impact *m)
{
    return m->before;
}

const fen_base *fen_impact_after(const fen_impact *m)
{
    return m->after;
}

const char *fen_impact_name(unsigned bit)
{
    static const char *const names[FEN_IMPACT_BITS] = { "verdict", "urgency", "plan", "question", "unreadable", "rank" };
    return names[bit];
}

/* ---- remedies, word for word ---- */

static bool same_text(const char *a, const char *b)
{
    return a && b ? strcmp(a, b) == 0 : a == b;
}

static bool same_texts(fen_texts a, fen_texts b)
{
    if (a.count != b.count)
        return false;
    for (uint32_t i = 0; i < a.count; i++)
        if (strcmp(a.at[i], b.at[i]) != 0)
            return false;
    return true;
}

static bool same_cond(const fen_base *x, fen_id a, const fen_base *y, fen_id c)
{
    if (a == FEN_NONE || c == FEN_NONE)
        return a == c;
    const fen_cond *p = fen_base_cond(x, a), *q = fen_base_cond(y, c);
    if (p->op != q->op || !same_text(p->text, q->text) || p->parts.count != q->parts.count)
        return false;
    for (uint32_t i = 0; i < p->parts.count; i++)
        if (!same_cond(x, p->parts.at[i], y, q->parts.at[i]))
            return false;
    return true;
}

static bool same_number(double a, double b)
{
    return !(a < b) && !(a > b) && (a == a) == (b == b);
}

static bool same_amount(const fen_base *x, const fen_amount *a, const fen_base *y, const fen_amount *c)
{
    if (!a || !c)
        return a == c;
    if (a->reckoner != c->reckoner || a->n_bindings != c->n_bindings)
        return false;
    for (uint32_t i = 0; i < a->n_bindings; i++) {
        const fen_binding *p = &a->bindings[i], *q = &c->bindings[i];
        if (p->op != q->op || p->input != q->input)
            return false;
        if (p->op == FEN_BIND_FINDING && strcmp(fen_base_finding(x, p->finding)->id, fen_base_finding(y, q->finding)->id) != 0)
            return false;
        if (p->op == FEN_BIND_VALUE && (!same_text(p->text, q->text) || (!p->text && !same_number(p->number, q->number))))
            return false;
        if (p->op == FEN_BIND_AMOUNT && (p->result != q->result || !same_amount(x, p->amount, y, q->amount)))
            return false;
    }
    return true;
}

static bool same_step(const fen_base *x, const fen_step *a, const fen_base *y, const fen_step *c)
{
    return same_text(a->id, c->id) && same_text(a->text, c->text) && same_text(a->without, c->without) &&
           same_texts(a->cautions, c->cautions) && same_texts(a->does, c->does) && same_texts(a->against, c->against) &&
           same_cond(x, a->when, y, c->when) && same_amount(x, a->amount, y, c->amount) && same_number(a->again, c->again) && a->times == c->times;
}

static bool same_remedy(const fen_base *x, const fen_remedy *a, const fen_base *y, const fen_remedy *c)
{
    if (a->n_steps != c->n_steps || !same_texts(a->never, c->never) || !same_number(a->look_again, c->look_again) ||
        !same_text(a->expect, c->expect) || !same_text(a->otherwise, c->otherwise))
        return false;
    for (uint32_t i = 0; i < a->n_steps; i++)
        if (!same_step(x, &a->steps[i], y, &c->steps[i]))
            return false;
    return true;
}

/* ---- who is called the same ---- */

static fen_id find_remedy(const fen_base *base, const char *id)
{
    for (fen_id r = 0; r < fen_base_remedies(base); r++)
        if (strcmp(fen_base_remedy(base, r)->id, id) == 0)
            return r;
    return FEN_NONE;
}

static void match_names(fen_impact *m)
{
    for (fen_id i = 0; i < fen_base_causes(m->before); i++) {
        const char *id = fen_base_cause(m->before, i)->id;
        m->cause[i] = strcmp(id, "something-else") == 0 ? fen_base_causes(m->after) - 1 : fen_base_find_cause(m->after, id);
    }
    for (fen_id i = 0; i < fen_base_hazards(m->before); i++)
        m->hazard[i] = fen_base_find_hazard(m->after, fen_base_hazard(m->before, i)->id);
    m->finding[0] = 0;
    for (fen_id i = 1; i < fen_base_findings(m->before); i++)
        m->finding[i] = fen_base_find_finding(m->after, fen_base_finding(m->before, i)->id);
    for (fen_id i = 0; i < fen_base_remedies(m->before); i++) {
        const fen_remedy *r = fen_base_remedy(m->before, i);
        m->remedy[i] = find_remedy(m->after, r->id);
        m->same_remedy[i] = m->remedy[i] != FEN_NONE && same_remedy(m->before, r, m->after, fen_base_remedy(m->after, m->remedy[i]));
    }
}

fen_status fen_impact_new(const fen_base *before, const fen_base *after, fen_impact **ret_impact)
{
    fen_impact *m = fen_calloc(1, sizeof *m);
    if (!m)
        return FEN_ENOMEM;
    m->before = before;
    m->after = after;
    m->cause = fen_calloc(fen_base_causes(before), sizeof *m->cause);
    m->hazard = fen_calloc(fen_base_hazards(before) + 1u, sizeof *m->hazard);
    m->finding = fen_calloc(fen_base_findings(before), sizeof *m->finding);
    m->remedy = fen_calloc(fen_base_remedies(before) + 1u, sizeof *m->remedy);
    m->same_remedy = fen_calloc(fen_base_remedies(before) + 1u, sizeof *m->same_remedy);
    if (!m->cause || !m->hazard || !m->finding || !m->remedy || !m->same_remedy) {
        fen_impact_free(m);
        return FEN_ENOMEM;
    }
    match_names(m);
    *ret_impact = m;
    return FEN_OK;
}

void fen_impact_free(fen_impact *m)
{
    if (!m)
        return;
    fen_free(m->cause);
    fen_free(m->hazard);
    fen_free(m->finding);
    fen_free(m->remedy);
    fen_free(m->same_remedy);
    fen_free(m);
}

/* ---- comparing ---- */

static bool in_list(fen_list list, fen_id id)
{
    for (uint32_t i = 0; i < list.count; i++)
        if (list.at[i] == id)
            return true;
    return false;
}

/* The same things, whatever their order. */
static bool same_set(fen_list a, fen_list b, const fen_id *to)
{
    if (a.count != b.count)
        return false;
    for (uint32_t i = 0; i < a.count; i++)
        if (to[a.at[i]] == FEN_NONE || !in_list(b, to[a.at[i]]))
            return false;
    return true;
}

static bool same_remedies(const fen_impact *m, fen_list a, fen_list c)
{
    if (!same_set(a, c, m->remedy))
        return false;
    for (uint32_t i = 0; i < a.count; i++)
        if (!m->same_remedy[a.at[i]])
            return false;
    return true;
}

static bool same_cure(const fen_impact *m, fen_id cause)
{
    return same_remedies(m, fen_base_cause(m->before, cause)->remedies, fen_base_cause(m->after, m->cause[cause])->remedies);
}

static bool same_plan(const fen_impact *m, const fen_verdict *a, const fen_verdict *c)
{
    if (!same_set(a->held, c->held, m->cause) || !same_set(a->hazards, c->hazards, m->hazard))
        return false;
    for (uint32_t i = 0; i < a->held.count; i++)
        if (!same_cure(m, a->held.at[i]))
            return false;
    for (uint32_t i = 0; i < a->hazards.count; i++)
        if (!same_remedies(m, fen_base_hazard(m->before, a->hazards.at[i])->remedies,
                           fen_base_hazard(m->after, m->hazard[a->hazards.at[i]])->remedies))
            return false;
    return true;
}

static uint32_t rank_of(const fen_verdict *v, fen_list settled)
{
    for (uint32_t i = 0; i < v->ranking.count; i++)
        if (in_list(settled, v->ranking.at[i]))
            return i + 1;
    return 0;
}

static fen_impact_side side(fen_session *s, const fen_question *q, fen_list settled)
{
    const fen_verdict *v = fen_session_verdict(s);
    const fen_id leader = v->ranking.count ? v->ranking.at[0] : FEN_NONE;
    return (fen_impact_side){
        .cause = leader, .p = leader == FEN_NONE ? 0 : v->p[leader], .urgency = v->urgency,
        .next = q->reason == FEN_ASK_NOTHING ? FEN_NONE : q->finding, .rank = rank_of(v, settled),
    };
}

static void grade(fen_impact_case *c)
{
    const uint32_t before = c->before.rank ? c->before.rank : UINT32_MAX, after = c->after.rank ? c->after.rank : UINT32_MAX;
    c->worse = after > before;
    c->better = after < before;
    c->what |= c->worse || c->better ? FEN_IMPACT_RANK : 0;
}

void fen_impact_compare(const fen_impact *m, const fen_judged *j, fen_impact_case *ret)
{
    fen_impact_case c;
    memset(&c, 0, sizeof c); /* it is copied byte by byte */
    c.before = side(j->session, &j->question, j->settled);
    c.settled = j->settled.count > 0;
    if (!j->other_c) {
        c.what = FEN_IMPACT_UNREADABLE;
        c.after.cause = c.after.next = FEN_NONE;
        c.worse = c.settled;
        *ret = c;
        return;
    }
    c.after = side(j->other, &j->other_question, j->other_settled);
    const fen_verdict *a = fen_session_verdict(j->session), *b = fen_session_verdict(j->other);
    const fen_id led = c.before.cause == FEN_NONE ? FEN_NONE : m->cause[c.before.cause];
    const fen_id asked = c.before.next == FEN_NONE ? FEN_NONE : m->finding[c.before.next];
    if (led != c.after.cause)
        c.what |= FEN_IMPACT_VERDICT;
    if (c.before.urgency != c.after.urgency)
        c.what |= FEN_IMPACT_URGENCY;
    if (!same_plan(m, a, b))
        c.what |= FEN_IMPACT_PLAN;
    if (asked != c.after.next || (c.before.next == FEN_NONE && j->question.stop != j->other_question.stop) ||
        (c.before.next != FEN_NONE && asked == FEN_NONE))
        c.what |= FEN_IMPACT_QUESTION;
    if (c.settled)
        grade(&c);
    *ret = c;
}

void fen_impact_count(fen_impact_sums *s, const fen_impact_case *c)
{
    s->cases++;
    s->changed += c->what != 0;
    for (unsigned i = 0; i < FEN_IMPACT_BITS; i++)
        s->changes[i] += c->what >> i & 1;
    s->settled += c->settled;
    s->worse += c->worse;
    s->better += c->better;
    s->right_before += c->settled && c->before.rank == 1;
    s->right_after += c->settled && c->after.rank == 1;
    s->more_urgent += !(c->what & FEN_IMPACT_UNREADABLE) && c->after.urgency > c->before.urgency;
    s->less_urgent += !(c->what & FEN_IMPACT_UNREADABLE) && c->after.urgency < c->before.urgency;
}
