/* weigh.c -- from scores to probabilities, and how a trial shifts them.
 *
 * P(c) = 10^(score(c)/10) / sum over the causes that apply (design: evidence).
 * A trial changes few causes; what it does to the whole is computed from those
 * alone, so that trying hundreds of answers stays cheap.
 */
#include <assert.h>
#include <math.h>

#include "scratch.h"
#include "util/sort.h"

/* 10^(w/10) for a weight in units of 1e-12 dBan. */
static double odds_of(fen_weight w)
{
    return exp2((double)w / (double)FEN_DBAN * 0.33219280948873623); /* log2(10)/10 */
}

static bool ranks_before(const void *ctx, const void *a, const void *b)
{
    const fen_session *s = ctx;
    const fen_id i = *(const fen_id *)a, j = *(const fen_id *)b;
    return s->score[i] != s->score[j] ? s->score[i] > s->score[j] : i < j;
}

static void rank(fen_session *s)
{
    struct fen_scratch *x = s->scratch;
    x->n_ranking = 0;
    for (fen_id c = 0; c < s->base->n_causes; c++)
        if (x->p[c] > 0)
            x->ranking[x->n_ranking++] = c;
    fen_sort(x->ranking, x->n_ranking, sizeof *x->ranking, ranks_before, s);
}

/* The best score that counts; if every cause is out, the best of all. */
static fen_weight top_score(const fen_session *s, bool out_too)
{
    const struct fen_scratch *x = s->scratch;
    fen_weight top = INT64_MIN;
    for (fen_id c = 0; c < s->base->n_causes; c++)
        if (x->applies[c] && (out_too || !x->out0[c]) && s->score[c] > top)
            top = s->score[c];
    return top != INT64_MIN ? top : out_too ? 0 : top_score(s, true);
}

void fen_weigh(fen_session *s)
{
    struct fen_scratch *x = s->scratch;
    if (x->weighed)
        return;
    for (fen_id c = 0; c < s->base->n_causes; c++) {
        x->applies[c] = fen_session_cause_applies(s, c) && s->base->causes[c].usual > 0;
        x->out0[c] = s->excluded[c] > 0 || !x->applies[c];
        x->score0[c] = s->score[c];
    }
    x->top = top_score(s, false);
    x->sum = 0;
    for (fen_id c = 0; c < s->base->n_causes; c++) {
        x->p[c] = x->out0[c] ? 0 : odds_of(s->score[c] - x->top);
        x->sum += x->p[c];
    }
    for (fen_id c = 0; x->sum > 0 && c < s->base->n_causes; c++)
        x->p[c] /= x->sum;
    rank(s);
    x->weighed = true;
}

double fen_factor(const fen_session *s, fen_id c)
{
    const struct fen_scratch *x = s->scratch;
    if (!x->applies[c])
        return 1;
    if (s->excluded[c])
        return x->out0[c] ? 1 : 0;
    return odds_of(s->score[c] - x->score0[c]);
}

/* What a touched cause weighs in the trial, on the scale on which all weighed 1. */
static double after(const fen_session *s, fen_id c)
{
    const struct fen_scratch *x = s->scratch;
    if (!x->applies[c] || s->excluded[c])
        return 0;
    if (x->out0[c]) /* the trial lets it back in */
        return odds_of(s->score[c] - x->top) / (x->sum > 0 ? x->sum : 1);
    return x->p[c] * odds_of(s->score[c] - x->score0[c]);
}

/* The short way adds up changes to 1; where little of 1 is left they cancel, and
 * the sum is made afresh. */
#define CANCELLED 0.25

double fen_mass(const fen_session *s)
{
    const struct fen_scratch *x = s->scratch;
    double mass = x->sum > 0 ? 1 : 0;
    for (uint32_t i = 0; i < s->n_touched; i++)
        mass += after(s, s->touched[i]) - x->p[s->touched[i]];
    if (mass > CANCELLED)
        return mass;
    mass = 0;
    for (fen_id c = 0; c < s->base->n_causes; c++)
        mass += s->is_touched[c] ? after(s, c) : x->p[c];
    return mass;
}

/* A cause that a trial lets back in had no probability to compare with; it is
 * as surprising as if it had had one in a million. */
#define LET_IN 1e-6

double fen_surprise(const fen_session *s, double mass)
{
    const struct fen_scratch *x = s->scratch;
    if (!(mass > 0))
        return 0;
    double sum = 0;
    for (uint32_t i = 0; i < s->n_touched; i++) {
        const fen_id c = s->touched[i];
        const double w = after(s, c);
        if (w > 0)
            sum += w * log2(w / (x->p[c] > 0 ? x->p[c] : LET_IN));
    }
    const double bits = sum / mass - log2(mass);
    return bits > 0 ? bits : 0;
}

fen_id fen_leader(const fen_session *s, double mass, double *ret_p)
{
    const struct fen_scratch *x = s->scratch;
    fen_id best = FEN_NONE;
    for (uint32_t i = 0; i < x->n_ranking && best == FEN_NONE; i++)
        if (!s->is_touched[x->ranking[i]]) /* the best untouched one comes first */
            best = x->ranking[i];
    double best_w = best != FEN_NONE ? x->p[best] : 0;
    for (uint32_t i = 0; i < s->n_touched; i++) {
        const fen_id c = s->touched[i];
        const double w = after(s, c);
        if (w > best_w || (w == best_w && w > 0 && c < best)) {
            best = c;
            best_w = w;
        }
    }
    *ret_p = mass > 0 ? best_w / mass : 0;
    return best;
}
