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

void fen_weigh(fen_session *s)
{
    struct fen_scratch *x = s->scratch;
    if (x->weighed)
        return;
    fen_weight top = INT64_MIN;
    for (fen_id c = 0; c < s->base->n_causes; c++) {
        x->applies[c] = fen_session_cause_applies(s, c) && s->base->causes[c].usual > 0;
        x->out0[c] = s->excluded[c] > 0 || !x->applies[c];
        x->score0[c] = s->score[c];
        if (!x->out0[c] && s->score[c] > top)
            top = s->score[c];
    }
    double sum = 0;
    for (fen_id c = 0; c < s->base->n_causes; c++) {
        x->p[c] = x->out0[c] ? 0 : odds_of(s->score[c] - top);
        sum += x->p[c];
    }
    for (fen_id c = 0; sum > 0 && c < s->base->n_causes; c++)
        x->p[c] /= sum;
    rank(s);
    x->weighed = true;
}

/* A cause that a trial lets back in had no probability to multiply; it is
 * counted as if it had had one in a million. */
#define LET_IN 1e-6

static double before(const struct fen_scratch *x, fen_id c)
{
    return x->p[c] > 0 ? x->p[c] : LET_IN;
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

/* Does the touched cause count in the trial's sums at all? */
static bool counts(const fen_session *s, fen_id c)
{
    const struct fen_scratch *x = s->scratch;
    return x->applies[c] && !(x->out0[c] && s->excluded[c]);
}

/* The short way adds up changes to 1; where little of 1 is left they cancel, and
 * the sum is made afresh. */
#define CANCELLED 0.25

double fen_mass(const fen_session *s)
{
    const struct fen_scratch *x = s->scratch;
    double mass = 1;
    for (uint32_t i = 0; i < s->n_touched; i++) {
        const fen_id c = s->touched[i];
        if (counts(s, c))
            mass += before(x, c) * fen_factor(s, c) - x->p[c];
    }
    if (mass > CANCELLED)
        return mass;
    mass = 0;
    for (fen_id c = 0; c < s->base->n_causes; c++)
        mass += !s->is_touched[c] ? x->p[c] : counts(s, c) ? before(x, c) * fen_factor(s, c) : 0;
    return mass;
}

double fen_surprise(const fen_session *s, double mass)
{
    const struct fen_scratch *x = s->scratch;
    if (!(mass > 0))
        return 0;
    double sum = 0;
    for (uint32_t i = 0; i < s->n_touched; i++) {
        const fen_id c = s->touched[i];
        const double f = counts(s, c) ? fen_factor(s, c) : 0;
        if (f > 0)
            sum += before(x, c) * f * log2(f);
    }
    const double bits = sum / mass - log2(mass);
    return bits > 0 ? bits : 0;
}

fen_id fen_leader(const fen_session *s, double mass, double *ret_p)
{
    const struct fen_scratch *x = s->scratch;
    fen_id best = FEN_NONE;
    double best_w = 0;
    for (uint32_t i = 0; i < x->n_ranking; i++) { /* the best untouched one comes first */
        const fen_id c = x->ranking[i];
        if (s->is_touched[c])
            continue;
        best = c;
        best_w = x->p[c];
        break;
    }
    for (uint32_t i = 0; i < s->n_touched; i++) {
        const fen_id c = s->touched[i];
        const double w = counts(s, c) ? before(x, c) * fen_factor(s, c) : 0;
        if (w > best_w || (w == best_w && w > 0 && c < best)) {
            best = c;
            best_w = w;
        }
    }
    *ret_p = mass > 0 ? best_w / mass : 0;
    return best;
}
