/* weigh.c -- from scores to probabilities, and what shifts of some do to all.
 *
 * P(c) = 10^(score(c)/10) / sum over the causes that apply (design: evidence).
 * An answer shifts few causes; what it does to the whole is computed from those
 * alone, so that trying hundreds of answers stays cheap.
 */
#include <assert.h>
#include <math.h>
#include <string.h>

#include "scratch.h"

/* 10^(w/10) for a weight in units of 1e-12 dBan. */
static double odds_of(fen_weight w)
{
    return exp2((double)w / (double)FEN_DBAN * 0.33219280948873623); /* log2(10)/10 */
}

/* In a row of so many each counts who goes before it: for few that is less than to merge. */
#define FEW 8u

uint32_t fen_ranking_room(uint32_t n)
{
    uint32_t room = FEW;
    while (room < n)
        room *= 2;
    return room;
}

/* Nothing here and in merge branches on scores: which of two stands first cannot be
 * foreseen. Of equals the one that came first stays so. */
static void rank_few(const ranked *from, ranked *to)
{
    uint32_t before[FEW] = { 0 };
    for (uint32_t i = 1; i < FEW; i++)
        for (uint32_t j = 0; j < i; j++) {
            const bool swap = from[i].score > from[j].score;
            before[i] += !swap;
            before[j] += swap;
        }
    for (uint32_t i = 0; i < FEW; i++)
        to[before[i]] = from[i];
}

/* Two runs of WIDE next to each other become one, from both ends at once: neither end
 * waits for the other, and neither run can come to its end too early. */
static void merge(const ranked *from, ranked *to, uint32_t wide)
{
    const ranked *a = from, *b = from + wide, *a_last = b - 1, *b_last = b + wide - 1;
    ranked *last = to + 2 * wide - 1;
    for (uint32_t i = 0; i < wide; i++) {
        const bool second = b->score > a->score, first = b_last->score > a_last->score;
        *to++ = *(second ? b : a);
        *last-- = *(first ? a_last : b_last);
        a += !second;
        b += second;
        a_last -= first;
        b_last -= !first;
    }
}

/* The N causes in scratch->sorted[0], by id, with a score each. */
static void rank(struct fen_scratch *x, uint32_t n)
{
    const uint32_t room = fen_ranking_room(n);
    ranked *from = x->sorted[1], *to = x->sorted[0];
    for (uint32_t i = n; i < room; i++)
        to[i] = (ranked){ INT64_MIN, FEN_NONE }; /* behind all others */
    for (uint32_t at = 0; at < room; at += FEW)
        rank_few(to + at, from + at);
    for (uint32_t wide = FEW; wide < room; wide *= 2) {
        for (uint32_t at = 0; at < room; at += 2 * wide)
            merge(from + at, to + at, wide);
        ranked *swap = from;
        from = to;
        to = swap;
    }
    for (uint32_t i = 0; i < n; i++)
        x->ranking[i] = from[i].cause;
    x->n_ranking = n;
}

/* Causes of other kinds do not apply: what the last plant left of them is swept away. */
static void turn_to_view(fen_session *s)
{
    struct fen_scratch *x = s->scratch;
    if (x->weighed_view == s->view)
        return;
    for (uint32_t i = 0; x->weighed_view && i < x->weighed_view->causes.count; i++) {
        const fen_id c = x->weighed_view->causes.at[i];
        x->applies[c] = false;
        x->out0[c] = true;
        x->p[c] = 0;
    }
    x->weighed_view = s->view;
}

/* What each cause is now; returns the best score that counts: of all if every cause is out. */
static fen_weight look_at_causes(fen_session *s)
{
    struct fen_scratch *x = s->scratch;
    const fen_list causes = s->view->causes;
    const uint64_t kinds = fen_kinds_now(s);
    fen_weight top = INT64_MIN, top_out = INT64_MIN;
    for (uint32_t i = 0; i < causes.count; i++) {
        const fen_id c = causes.at[i];
        const fen_weight score = s->score[c];
        const bool applies = (s->base->net.cause_kinds[c] & kinds) != 0;
        const bool out = !applies || s->excluded[c] > 0;
        x->applies[c] = applies;
        x->out0[c] = out;
        x->excluded0[c] = s->excluded[c];
        x->score0[c] = score;
        top = !out && score > top ? score : top;
        top_out = applies && score > top_out ? score : top_out;
    }
    return top != INT64_MIN ? top : top_out != INT64_MIN ? top_out : 0;
}

void fen_weigh(fen_session *s)
{
    struct fen_scratch *x = s->scratch;
    const fen_list causes = s->view->causes;
    if (x->weighed)
        return;
    turn_to_view(s);
    x->top = look_at_causes(s);
    x->sum = 0;
    for (uint32_t i = 0; i < causes.count; i++) {
        const fen_id c = causes.at[i];
        x->p[c] = x->out0[c] ? 0 : odds_of(s->score[c] - x->top);
        x->sum += x->p[c];
    }
    uint32_t n = 0;
    for (uint32_t i = 0; x->sum > 0 && i < causes.count; i++) {
        const fen_id c = causes.at[i];
        x->p[c] /= x->sum;
        x->sorted[0][n] = (ranked){ s->score[c], c };
        n += x->p[c] > 0;
    }
    rank(x, n);
    x->weighed = true;
}

/* -- shifts ---------------------------------------------------------------- */

static const odds *odds_met(struct fen_scratch *x, fen_weight w)
{
    odds *o = &x->odds[(uint64_t)w * UINT64_C(0x9E3779B97F4A7C15) >> 56];
    if (o->weight != w) {
        const double log2_factor = (double)w / (double)FEN_DBAN * 0.33219280948873623;
        *o = (odds){ w, exp2(log2_factor), 0 };
        o->log = o->factor > 0 ? log2_factor : 0;
    }
    return o;
}

/* A cause that a trial lets back in had no probability to compare with; it is
 * as surprising as if it had had one in a million. */
#define LET_IN 1e-6

/* Of a cause that stays out, whatever is told weighs nothing; it is told as if it
 * were not out, so that the same can be told of other plants. */
bool fen_shift_of(fen_session *s, fen_id c, fen_weight change, int64_t out, fen_shift *ret)
{
    struct fen_scratch *x = s->scratch;
    *ret = (fen_shift){ .cause = c };
    if (!x->applies[c])
        return false;
    if (out > 0)
        return true;
    if (x->out0[c] && x->excluded0[c] + out == 0) {
        ret->in = true;
        ret->factor = odds_of(x->score0[c] + change - x->top) / (x->sum > 0 ? x->sum : 1);
        ret->log = log2(ret->factor / LET_IN);
        return ret->factor > 0;
    }
    if (!change)
        return false;
    const odds *o = odds_met(x, change);
    ret->factor = o->factor;
    ret->log = o->log;
    return true;
}

uint32_t fen_shifts_touched(fen_session *s, fen_shift *ret)
{
    const struct fen_scratch *x = s->scratch;
    uint32_t n = 0;
    for (uint32_t i = 0; i < s->n_touched; i++) {
        const fen_id c = s->touched[i];
        n += fen_shift_of(s, c, s->score[c] - x->score0[c], (int64_t)s->excluded[c] - x->excluded0[c], &ret[n]);
    }
    return n;
}

static double after(const struct fen_scratch *x, const fen_shift *h)
{
    return h->in ? h->factor : x->p[h->cause] * h->factor;
}

/* Causes are marked while others are looked for. */
static void mark(struct fen_scratch *x, fen_shifts shifts, bool on)
{
    for (uint32_t i = 0; i < shifts.n; i++)
        x->is_hit[shifts.at[i].cause] = on;
}

/* The short way adds up changes to 1; where little of 1 is left they cancel, and
 * the sum is made afresh. */
#define CANCELLED 0.25

static double mass_afresh(struct fen_scratch *x, fen_shifts shifts)
{
    double mass = 0;
    mark(x, shifts, true);
    for (uint32_t i = 0; i < x->n_ranking; i++)
        mass += x->is_hit[x->ranking[i]] ? 0 : x->p[x->ranking[i]];
    mark(x, shifts, false);
    for (uint32_t i = 0; i < shifts.n; i++)
        mass += after(x, &shifts.at[i]);
    return mass;
}

double fen_mass(fen_session *s, fen_shifts shifts)
{
    struct fen_scratch *x = s->scratch;
    double mass = x->sum > 0 ? 1 : 0;
    for (uint32_t i = 0; i < shifts.n; i++)
        mass += after(x, &shifts.at[i]) - x->p[shifts.at[i].cause];
    return mass > CANCELLED ? mass : mass_afresh(x, shifts);
}

fen_sums fen_sum_shifts(const fen_session *s, fen_shifts shifts, const double *share)
{
    const struct fen_scratch *x = s->scratch;
    fen_sums sums = { .mass = x->sum > 0 ? 1 : 0 };
    for (uint32_t i = 0; i < shifts.n; i++) {
        const fen_shift *h = &shifts.at[i];
        const double then = after(x, h);
        sums.told += then * h->log;
        sums.mass += then - x->p[h->cause];
        sums.shared += share[h->cause] * (h->factor - 1);
    }
    return sums;
}

double fen_surprise(fen_session *s, fen_shifts shifts, const fen_sums *sums)
{
    const double mass = sums->mass > CANCELLED ? sums->mass : mass_afresh(s->scratch, shifts);
    if (!(mass > 0))
        return 0;
    const double bits = sums->told / mass - log2(mass);
    return bits > 0 ? bits : 0;
}

fen_id fen_leader(fen_session *s, fen_shifts shifts, double *ret_p)
{
    struct fen_scratch *x = s->scratch;
    const double mass = fen_mass(s, shifts);
    fen_id best = FEN_NONE;
    mark(x, shifts, true);
    for (uint32_t i = 0; i < x->n_ranking && best == FEN_NONE; i++)
        if (!x->is_hit[x->ranking[i]]) /* the best that stays as it is comes first */
            best = x->ranking[i];
    mark(x, shifts, false);
    double best_w = best != FEN_NONE ? x->p[best] : 0;
    for (uint32_t i = 0; i < shifts.n; i++) {
        const fen_id c = shifts.at[i].cause;
        const double w = after(x, &shifts.at[i]);
        if (w > best_w || (w == best_w && w > 0 && c < best)) {
            best = c;
            best_w = w;
        }
    }
    *ret_p = mass > 0 ? best_w / mass : 0;
    return best;
}
