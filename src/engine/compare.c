/* compare.c -- what separates two causes, what each answer would do, and what
 * would have to be otherwise for another cause to lead.
 */
#include <math.h>
#include <stdint.h>

#include "fenmend/why.h"
#include "scratch.h"
#include "util/sort.h"

/* -- contrast -------------------------------------------------------------- */

static fen_weight apart(const fen_contrast_row *r)
{
    const fen_weight d = r->for_a - r->for_b;
    return d < 0 ? -d : d;
}

static bool wider(const void *ctx, const void *x, const void *y)
{
    (void)ctx;
    const fen_contrast_row *a = x, *b = y;
    return apart(a) != apart(b) ? apart(a) > apart(b) : a->rule < b->rule;
}

typedef struct duel {
    fen_id a, b;
    double p_a;        /* of "A or B" */
    double gain;
    double norm_a, norm_b;
    bool second;       /* first pass: norms; second: bits */
} duel;

static double bits(double p)
{
    return p > 0 && p < 1 ? -p * log2(p) - (1 - p) * log2(1 - p) : 0;
}

static double factor_of(fen_shifts shifts, fen_id cause)
{
    for (uint32_t i = 0; i < shifts.n; i++)
        if (shifts.at[i].cause == cause)
            return shifts.at[i].in ? 1 : shifts.at[i].factor;
    return 1;
}

/* Expected drop in "A or B" entropy; chances are those under A or B alone. */
static void duel_answer(fen_session *s, void *ctx, uint32_t i, double chance, fen_shifts shifts)
{
    duel *d = ctx;
    (void)chance;
    const double u = s->scratch->answers[i].usual;
    const double fa = factor_of(shifts, d->a), fb = factor_of(shifts, d->b);
    if (!d->second) {
        d->norm_a += u * fa;
        d->norm_b += u * fb;
        return;
    }
    const double a = d->norm_a > 0 ? d->p_a * u * fa / d->norm_a : 0;
    const double b = d->norm_b > 0 ? (1 - d->p_a) * u * fb / d->norm_b : 0;
    if (a + b > 0)
        d->gain -= (a + b) * bits(a / (a + b));
}

static void best_separator(fen_session *s, fen_contrast *c)
{
    const struct fen_scratch *x = s->scratch;
    const double both = x->p[c->a] + x->p[c->b];
    c->ask = FEN_NONE;
    if (!(both > 0))
        return;
    double best = 1e-9;
    for (fen_id f = 1; f < s->base->n_findings; f++) {
        if (!fen_session_askable(s, f))
            continue;
        duel d = { c->a, c->b, x->p[c->a] / both, bits(x->p[c->a] / both), 0, 0, false };
        fen_try_answers(s, f, duel_answer, &d);
        d.second = true;
        fen_try_answers(s, f, duel_answer, &d);
        const double worth = d.gain / s->base->settings.effort[s->base->findings[f].effort];
        if (worth > best + 1e-12) {
            best = worth;
            c->ask = f;
            c->gain = d.gain;
        }
    }
}

fen_status fen_why_contrast(fen_session *s, fen_id a, fen_id b, fen_contrast **ret)
{
    FEN_VEC(fen_contrast_row) rows = { 0 };
    fen_weigh(s);
    for (fen_id r = 0; r < s->base->n_rules; r++) {
        if (!s->rule[r].fired)
            continue;
        const fen_contrast_row row = { r, fen_base_rule_weight(s->base, r, a), fen_base_rule_weight(s->base, r, b) };
        if (row.for_a != row.for_b && !FEN_VEC_PUSH(&rows, row)) {
            FEN_VEC_FREE(&rows);
            return FEN_ENOMEM;
        }
    }
    fen_contrast *c = fen_calloc(1, sizeof *c);
    if (!c) {
        FEN_VEC_FREE(&rows);
        return FEN_ENOMEM;
    }
    fen_sort(rows.at, rows.count, sizeof *rows.at, wider, NULL);
    *c = (fen_contrast){ .a = a, .b = b, .usual_a = s->base->causes[a].usual, .usual_b = s->base->causes[b].usual,
                         .p_a = s->scratch->p[a], .p_b = s->scratch->p[b], .row = rows.at, .n_rows = rows.count };
    best_separator(s, c);
    *ret = c;
    return FEN_OK;
}

void fen_contrast_free(fen_contrast *c)
{
    if (!c)
        return;
    fen_free((void *)(uintptr_t)c->row);
    fen_free(c);
}

/* -- outcomes -------------------------------------------------------------- */

static void note_outcome(fen_session *s, void *ctx, uint32_t i, double chance, fen_shifts shifts)
{
    const possible *p = &s->scratch->answers[i];
    fen_outcome *o = (fen_outcome *)ctx + i;
    *o = (fen_outcome){ .answer = p->answer, .lo = p->lo, .hi = p->hi, .lo_in = p->lo_in, .hi_in = p->hi_in, .chance = chance };
    o->leader = fen_leader(s, shifts, &o->p);
}

fen_status fen_why_outcomes(fen_session *s, fen_id finding, fen_outcomes **ret)
{
    fen_weigh(s);
    fen_list_answers(s, finding);
    fen_outcomes *o = fen_calloc(1, sizeof *o);
    fen_outcome *at = fen_calloc(s->scratch->n_answers, sizeof *at);
    if (!o || !at) {
        fen_free(o);
        fen_free(at);
        return FEN_ENOMEM;
    }
    fen_try_answers(s, finding, note_outcome, at);
    *o = (fen_outcomes){ at, s->scratch->n_answers };
    *ret = o;
    return FEN_OK;
}

void fen_outcomes_free(fen_outcomes *o)
{
    if (!o)
        return;
    fen_free((void *)(uintptr_t)o->at);
    fen_free(o);
}

/* -- flip ------------------------------------------------------------------ */

#define FLIP_WORK 50000u /* trials before a larger set is given up */

typedef struct alternative { /* one other answer of one given finding */
    fen_id finding;
    fen_answer to;
} alternative;

typedef struct flipping {
    fen_session *s;
    const alternative *alt;
    uint32_t n_alt, work, size;
    uint32_t chosen[FEN_FLIP_MOST];
    fen_flip *best;
} flipping;

typedef FEN_VEC(alternative) alternatives;

/* Of several answers one is added or taken away at a time. */
static bool add_toggles(alternatives *out, fen_session *s, fen_id f)
{
    const fen_finding *x = &s->base->findings[f];
    const uint64_t picks = s->given[f].picks;
    for (uint32_t o = 0; o < x->n_options; o++) {
        const uint64_t bit = UINT64_C(1) << o;
        const uint64_t left = picks & ~bit ? picks & ~bit : fen_finding_without(x);
        const fen_answer to = { FEN_KNOWN, picks & bit ? left : fen_finding_with(x, picks, o), 0 };
        if (to.picks != picks && !FEN_VEC_PUSH(out, (alternative){ f, to }))
            return false;
    }
    return true;
}

static fen_status list_alternatives(fen_session *s, alternative **ret, uint32_t *ret_n)
{
    alternatives out = { 0 };
    for (fen_id f = 1; f < s->base->n_findings; f++) {
        const fen_answer have = s->given[f];
        if (have.state != FEN_KNOWN)
            continue;
        const bool several = s->base->findings[f].type == FEN_SEVERAL;
        if (several && !add_toggles(&out, s, f)) {
            FEN_VEC_FREE(&out);
            return FEN_ENOMEM;
        }
        s->scratch->n_answers = 0;
        if (!several)
            fen_list_answers(s, f);
        for (uint32_t i = 0; i < s->scratch->n_answers; i++) {
            const possible *p = &s->scratch->answers[i];
            const double now = s->base->findings[f].type == FEN_DATE ? s->today - have.value : have.value;
            const fen_test within = { .lo = p->lo, .hi = p->hi, .lo_open = !p->lo_in, .hi_open = !p->hi_in };
            const bool same = isnan(p->lo) ? p->answer.picks == have.picks : fen_in_range(&within, now);
            if (!same && !FEN_VEC_PUSH(&out, (alternative){ f, p->answer })) {
                FEN_VEC_FREE(&out);
                return FEN_ENOMEM;
            }
        }
    }
    *ret = out.at;
    *ret_n = out.count;
    return FEN_OK;
}

/* All changes of the chosen size are in force: does another cause lead? */
static void look(flipping *k)
{
    double p;
    fen_shift *at = k->s->scratch->shift;
    const fen_shifts shifts = { at, fen_shifts_touched(k->s, at) };
    const fen_id leader = fen_leader(k->s, shifts, &p);
    if (leader == FEN_NONE || leader == k->best->from || (k->best->n_changes && p <= k->best->p))
        return;
    k->best->to = leader;
    k->best->p = p;
    k->best->n_changes = k->size;
    for (uint32_t i = 0; i < k->size; i++)
        k->best->change[i] = (fen_change){ k->alt[k->chosen[i]].finding, k->alt[k->chosen[i]].to };
}

static void choose(flipping *k, uint32_t from, uint32_t depth)
{
    if (depth == k->size || depth == FEN_FLIP_MOST) {
        look(k);
        return;
    }
    for (uint32_t i = from; i < k->n_alt; i++) {
        const alternative *a = &k->alt[i];
        if (depth && k->alt[k->chosen[depth - 1]].finding == a->finding)
            continue;
        if (++k->work > FLIP_WORK) {
            k->best->exhaustive = false;
            return;
        }
        const fen_answer kept = k->s->given[a->finding];
        k->chosen[depth] = i;
        fen_chain_answer(k->s, a->finding, a->to);
        choose(k, i + 1, depth + 1);
        fen_chain_answer(k->s, a->finding, kept);
    }
}

fen_status fen_why_flip(fen_session *s, fen_flip *ret)
{
    fen_weigh(s);
    *ret = (fen_flip){ .from = FEN_NONE, .to = FEN_NONE, .exhaustive = true };
    if (!s->scratch->n_ranking)
        return FEN_OK;
    ret->from = s->scratch->ranking[0];
    alternative *alt = NULL;
    flipping k = { .s = s, .best = ret };
    fen_status st = list_alternatives(s, &alt, &k.n_alt);
    k.alt = alt;
    for (k.size = 1; !st && k.size <= FEN_FLIP_MOST && !ret->n_changes && ret->exhaustive; k.size++) {
        fen_watch_begin(s);
        choose(&k, 0, 0);
        fen_watch_end(s);
    }
    fen_free(alt);
    return st;
}
