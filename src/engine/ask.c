/* ask.c -- the next question.
 *
 * The worth of a finding is what it tells per effort: the expected distance
 * between P after the answer and P now (KL divergence in bits; Lindley 1956,
 * Ann. Math. Stat. 27(4)). Where the weights are coherent, as in a base made
 * from a data set, this is exactly the expected drop in entropy, the
 * information gain. Where an author gave a weight to one answer only, it is
 * still never negative, counts nothing for answers that move nothing, and gives
 * full value to an answer that would overthrow the leader, which the plain drop
 * in entropy would count as a loss.
 */
#include <math.h>
#include <string.h>

#include "scratch.h"

/* Per cause p / norm, and their sum over all causes. */
static double find_shares(struct fen_scratch *x, const fen_outlook *o)
{
    double all = 1;
    for (uint32_t i = 0; i < o->n_causes; i++) {
        const fen_id c = o->causes[i];
        x->share[c] = x->p[c] * o->by[i];
        all += x->share[c] - x->p[c];
    }
    return all;
}

/* All that some answer shifts, as this answer does; and what none does. */
static double sum_afresh(struct fen_scratch *x, const fen_outlook *o, fen_shifts shifts)
{
    double sum = 0;
    for (uint32_t i = 0; i < o->n_causes; i++) {
        x->is_hit[o->causes[i]] = true;
        x->norm[o->causes[i]] = 1;
    }
    for (uint32_t i = 0; i < shifts.n; i++)
        x->norm[shifts.at[i].cause] = shifts.at[i].factor;
    for (uint32_t i = 0; i < x->n_ranking; i++)
        if (!x->is_hit[x->ranking[i]])
            sum += x->p[x->ranking[i]];
    for (uint32_t i = 0; i < o->n_causes; i++) {
        const fen_id c = o->causes[i];
        sum += x->share[c] * x->norm[c];
        x->is_hit[c] = false;
    }
    return sum;
}

/* P(answer | everything known); SHARED is the sum over what it shifts. */
static double chance_of(struct fen_scratch *x, double usual, double all, double shared, const fen_outlook *o, fen_shifts shifts)
{
    double sum = all + shared;
    if (!(usual > 0))
        return 0;
    if (sum < all * 0.25) /* the changes cancel: add up afresh */
        sum = sum_afresh(x, o, shifts);
    return sum > 0 ? usual * sum : 0;
}

void fen_try_answers(fen_session *s, fen_id finding,
                     void (*f)(fen_session *s, void *ctx, uint32_t i, double chance, fen_shifts shifts), void *ctx)
{
    struct fen_scratch *x = s->scratch;
    fen_weigh(s);
    const fen_outlook *o = fen_outlook_of(s, finding);
    const double all = find_shares(x, o);
    for (uint32_t i = 0; i < x->n_answers; i++) {
        const fen_shifts shifts = fen_outlook_shifts(s, finding, o, i);
        const fen_sums sums = fen_sum_shifts(s, shifts, x->share);
        f(s, ctx, i, chance_of(x, x->answers[i].usual, all, sums.shared, o, shifts), shifts);
    }
}

static double gain_with(fen_session *s, fen_id finding, const fen_outlook *o)
{
    struct fen_scratch *x = s->scratch;
    const double all = find_shares(x, o);
    double gain = 0;
    for (uint32_t i = 0; i < x->n_answers; i++) {
        const fen_shifts shifts = fen_outlook_shifts(s, finding, o, i);
        if (!shifts.n)
            continue; /* it tells nothing */
        const fen_sums sums = fen_sum_shifts(s, shifts, x->share);
        const double chance = chance_of(x, x->answers[i].usual, all, sums.shared, o, shifts);
        gain += chance > 0 ? chance * fen_surprise(s, shifts, &sums) : 0;
    }
    return gain;
}

static double gain_of(fen_session *s, fen_id finding)
{
    fen_weigh(s);
    return gain_with(s, finding, fen_outlook_of(s, finding));
}

double fen_session_gain(fen_session *s, fen_id finding)
{
    return fen_session_askable(s, finding) ? gain_of(s, finding) : 0;
}

/* -- choosing ------------------------------------------------------------- */

/* Now, perhaps after another answer, or not at all. */
static fen_truth may_be_asked(const fen_session *s, fen_id finding)
{
    if (s->given[finding].state != FEN_OPEN || s->skipped[finding] || !fen_session_applies(s, finding))
        return -1;
    const fen_id when = s->base->findings[finding].ask_when;
    return when == FEN_NONE ? 1 : fen_session_cond(s, when);
}

static void find_askable(fen_session *s)
{
    struct fen_scratch *x = s->scratch;
    const fen_list asked = s->view->findings;
    memset(x->askable, -1, s->base->n_findings * sizeof *x->askable);
    memset(x->outlook_of, 0, s->base->n_findings * sizeof *x->outlook_of);
    for (uint32_t i = 0; i < asked.count; i++)
        x->askable[asked.at[i]] = may_be_asked(s, asked.at[i]);
}

/* "Some sundew" is an answer that can be asked further. */
static bool kind_is_open(const fen_session *s)
{
    const fen_answer *a = &s->given[FEN_KIND_FINDING];
    if (s->skipped[FEN_KIND_FINDING] || s->base->net.leaf_kinds < 2)
        return false;
    return a->state == FEN_OPEN || (a->state == FEN_KNOWN && s->base->kinds[__builtin_ctzll(a->picks)].group);
}

static bool is_cheap(const fen_finding *f)
{
    return f->effort == FEN_GLANCE || f->effort == FEN_TOUCH;
}

/* What kills fast comes first: the deciding question of the most urgent, then
 * most probable, cause above the danger level, if it is cheap and open. */
static bool ask_danger(fen_session *s, fen_question *q)
{
    const struct fen_scratch *x = s->scratch;
    const fen_base *base = s->base;
    fen_id best = FEN_NONE;
    for (uint32_t i = 0; i < x->n_ranking; i++) { /* most probable first */
        const fen_id c = x->ranking[i];
        const fen_cause *cause = &base->causes[c];
        if (x->p[c] < base->settings.danger_level)
            break;
        if (cause->urgency < FEN_DAYS || cause->deciding == FEN_NONE)
            continue;
        if (x->askable[cause->deciding] <= 0 || !is_cheap(&base->findings[cause->deciding]))
            continue;
        if (best == FEN_NONE || cause->urgency > base->causes[best].urgency)
            best = c;
    }
    if (best == FEN_NONE)
        return false;
    q->finding = base->causes[best].deciding;
    q->reason = FEN_ASK_DANGER;
    q->cause = best;
    return true;
}

static double worth_of(const fen_session *s, fen_id finding, double gain)
{
    return gain / s->base->settings.effort[s->base->findings[finding].effort];
}

/* What each question could be worth at most; it is found out at once where the answers
 * had to be looked at anew. Returns what the most promising is worth. */
static double find_most(fen_session *s)
{
    struct fen_scratch *x = s->scratch;
    const fen_list asked = s->view->findings;
    fen_id first = FEN_NONE;
    double best = 0, most = -1;
    for (uint32_t i = 0; i < asked.count; i++) {
        const fen_id f = asked.at[i];
        if (x->askable[f] <= 0)
            continue;
        const fen_outlook *o = fen_outlook_of(s, f);
        x->outlook_of[f] = o != &x->worked_out ? o : NULL;
        x->gain[f] = x->outlook_of[f] ? NAN : gain_with(s, f, o);
        x->most[f] = x->outlook_of[f] ? fen_most_of(s, o) : x->gain[f];
        if (x->outlook_of[f] && worth_of(s, f, x->most[f]) > most) {
            first = f;
            most = worth_of(s, f, x->most[f]);
        } else if (!x->outlook_of[f]) {
            best = fen_larger(best, worth_of(s, f, x->gain[f]));
        }
    }
    if (first == FEN_NONE)
        return best;
    x->gain[first] = gain_of(s, first);
    return fen_larger(best, worth_of(s, first, x->gain[first]));
}

/* In the order of the findings, for the first among equals; but what cannot be the best
 * is passed by. */
static void best_single(fen_session *s, fen_question *q)
{
    struct fen_scratch *x = s->scratch;
    const fen_list asked = s->view->findings;
    const double reached = find_most(s);
    for (uint32_t i = 0; i < asked.count; i++) {
        const fen_id f = asked.at[i];
        if (x->askable[f] <= 0 || worth_of(s, f, x->most[f]) < fen_larger(reached, q->worth) - FEN_ROUNDING)
            continue;
        const double gain = isnan(x->gain[f]) ? gain_of(s, f) : x->gain[f], worth = worth_of(s, f, gain);
        if (worth > q->worth + 1e-12) {
            q->worth = worth;
            q->gain = gain;
            q->finding = f;
            q->reason = FEN_ASK_GAIN;
        }
    }
}

static void better_together(fen_session *s, fen_question *q)
{
    fen_line_of_questions line;
    fen_best_together(s, q->worth, &line);
    if (line.finding != FEN_NONE && line.worth > q->worth + 1e-12) {
        q->worth = line.worth;
        q->gain = line.gain;
        q->finding = line.finding;
        q->rule = line.rule;
        q->reason = FEN_ASK_TOGETHER;
    }
}

/* -- stopping ------------------------------------------------------------- */

static double p_of(const struct fen_scratch *x, fen_list causes)
{
    double p = 0;
    for (uint32_t i = 0; i < causes.count; i++)
        p += x->p[causes.at[i]];
    return p;
}

static bool same_list(fen_list a, fen_list b)
{
    if (a.count != b.count)
        return false;
    for (uint32_t i = 0; i < a.count; i++)
        if (a.at[i] != b.at[i])
            return false;
    return true;
}

/* All causes still above 5 %, if together they are above the stop level, have
 * the same (and some) remedies. */
static bool same_plan(fen_session *s)
{
    const struct fen_scratch *x = s->scratch;
    double p = 0;
    const fen_cause *first = NULL;
    for (uint32_t i = 0; i < x->n_ranking && x->p[x->ranking[i]] > 0.05; i++) {
        const fen_cause *c = &s->base->causes[x->ranking[i]];
        if (!c->remedies.count || (first && !same_list(first->remedies, c->remedies)))
            return false;
        first = first ? first : c;
        p += x->p[x->ranking[i]];
    }
    return first && p >= s->base->settings.stop_level;
}

/* The same plan settles nothing while signs wait for a second cause. */
static fen_stop stop_reason(fen_session *s)
{
    const struct fen_scratch *x = s->scratch;
    const double level = s->base->settings.stop_level;
    const fen_verdict *v = fen_session_verdict(s);
    if (!x->n_ranking || v->unexplained.count)
        return FEN_GO_ON;
    const fen_id top = x->ranking[0];
    const bool alone = !v->covering.count || (v->covering.count == 1 && v->covering.at[0] == top);
    if (alone && x->p[top] >= level && top + 1 != s->base->n_causes)
        return FEN_STOP_ONE_CAUSE;
    if (v->covering.count > 1 && p_of(x, v->covering) >= level)
        return FEN_STOP_COVERING;
    return same_plan(s) ? FEN_STOP_SAME_PLAN : FEN_GO_ON;
}

const char *fen_stop_name(fen_stop stop)
{
    static const char *const names[] = { NULL, "one-cause", "covering-set", "same-plan", "not-worth-it" };
    return names[stop];
}

/* What is asked before anything is compared. */
static bool ask_first(fen_session *s, fen_question *q)
{
    *q = (fen_question){ .finding = FEN_NONE, .cause = FEN_NONE, .rule = FEN_NONE };
    fen_weigh(s);
    if (kind_is_open(s)) {
        q->finding = FEN_KIND_FINDING;
        q->reason = FEN_ASK_KIND;
        return true;
    }
    find_askable(s);
    if (!ask_danger(s, q))
        return false;
    q->gain = gain_of(s, q->finding);
    q->worth = worth_of(s, q->finding, q->gain);
    return true;
}

static void ask_best(fen_session *s, fen_question *q)
{
    q->worth = -1;
    best_single(s, q);
    better_together(s, q);
    if (!q->stop && (q->finding == FEN_NONE || q->worth < s->base->settings.least_worth))
        q->stop = FEN_STOP_NOT_WORTH;
    if (q->stop)
        q->reason = FEN_ASK_NOTHING;
    if (q->worth < 0)
        q->worth = 0;
}

void fen_session_next(fen_session *s, fen_question *q)
{
    if (ask_first(s, q))
        return;
    q->stop = stop_reason(s);
    ask_best(s, q);
}

void fen_session_next_or_stop(fen_session *s, fen_question *q)
{
    if (ask_first(s, q))
        return;
    q->stop = stop_reason(s);
    if (q->stop)
        q->reason = FEN_ASK_NOTHING;
    else
        ask_best(s, q);
}
