/* fit_choose.c -- how strong the prior is to be, and what a fit is worth on cases that it
 * has not seen; see fit.h. The folds are dealt by rank, not by chance: the same cases
 * give the same weights everywhere.
 */
#include "fit.h"

#include <math.h>
#include <string.h>

#include "util/alloc.h"

/* Choosing needs no more digits than held-out cases can tell apart. */
#define CHOOSING 1e-4
#define FITTING 1e-9

void fen_fit_deal(const fen_fit *f, const bool *use, uint32_t n, uint32_t *counts, uint8_t *ret_fold)
{
    memset(counts, 0, f->n_causes * sizeof *counts);
    for (uint32_t i = 0; i < f->n_cases; i++)
        ret_fold[i] = (uint8_t)(use && !use[i] ? n : counts[f->group[i]]++ % n);
}

typedef struct chooser {
    const fen_fit *f;
    const fen_fit_prior *prior;
    bool *rest;        /* [n_cases] */
    uint8_t *fold;     /* [n_cases] */
    uint32_t *counts;  /* [n_causes] */
    double *centre, *w, *p;
    fen_fit_sums *sums; /* [n_strengths] */
    double *loss;       /* [n_strengths * n_cases]: of each case when it was held out */
} chooser;

static void end(chooser *k)
{
    fen_free(k->rest);
    fen_free(k->fold);
    fen_free(k->counts);
    fen_free(k->centre);
    fen_free(k->w);
    fen_free(k->p);
    fen_free(k->sums);
    fen_free(k->loss);
}

static fen_status begin(chooser *k)
{
    const fen_fit *f = k->f;
    k->rest = fen_calloc(f->n_cases, sizeof *k->rest);
    k->fold = fen_calloc(f->n_cases, sizeof *k->fold);
    k->counts = fen_calloc(f->n_causes, sizeof *k->counts);
    k->centre = fen_calloc(f->n_params, sizeof *k->centre);
    k->w = fen_calloc(f->n_params, sizeof *k->w);
    k->p = fen_calloc(f->n_causes, sizeof *k->p);
    k->sums = fen_calloc(k->prior->n_strengths, sizeof *k->sums);
    k->loss = fen_calloc((size_t)k->prior->n_strengths * f->n_cases, sizeof *k->loss);
    if (k->rest && k->fold && k->counts && k->centre && k->w && k->p && k->sums && k->loss)
        return FEN_OK;
    end(k);
    return FEN_ENOMEM;
}

/* Every row of the grid on one fold held out. Strengths are tried from the strongest
 * prior on, each starting where the one before ended. */
static fen_status try_fold(chooser *k, const bool *use, uint32_t out)
{
    const fen_fit *f = k->f;
    double left;
    for (uint32_t i = 0; i < f->n_cases; i++)
        k->rest[i] = (!use || use[i]) && k->fold[i] != out;
    k->prior->centre(k->prior->ctx, k->rest, k->centre);
    memcpy(k->w, k->centre, f->n_params * sizeof *k->w);
    for (uint32_t r = 0; r < k->prior->n_strengths; r++) {
        const fen_status st = fen_fit_solve(f, k->rest, k->prior->strengths[r], k->centre, CHOOSING, k->w, &left);
        if (st)
            return st;
        for (uint32_t i = 0; i < f->n_cases; i++)
            if (k->fold[i] == out) {
                const double before = k->sums[r].log_loss;
                fen_fit_score(f, i, k->w, k->p, &k->sums[r]);
                k->loss[(size_t)r * f->n_cases + i] = k->sums[r].log_loss - before;
            }
    }
    return FEN_OK;
}

/* Is row R worse than row BEST by no more than one standard error of their difference? */
static bool as_good(const chooser *k, uint32_t r, uint32_t best)
{
    const double *a = k->loss + (size_t)r * k->f->n_cases, *b = k->loss + (size_t)best * k->f->n_cases;
    const double n = (double)k->sums[best].cases, mean = (k->sums[r].log_loss - k->sums[best].log_loss) / n;
    double squares = 0;
    for (uint32_t i = 0; i < k->f->n_cases; i++)
        if (k->fold[i] < FEN_FIT_FOLDS)
            squares += (a[i] - b[i] - mean) * (a[i] - b[i] - mean);
    return mean <= sqrt(squares / (n * (n - 1)));
}

/* The strongest prior that is as good as the best (the one-standard-error rule: Breiman,
 * Friedman, Olshen and Stone 1984, section 3.4.3): what cases cannot tell apart stays near
 * the centre. */
static uint32_t choose(const chooser *k)
{
    uint32_t best = 0, r = 0;
    for (uint32_t i = 1; i < k->prior->n_strengths; i++)
        if (k->sums[i].log_loss < k->sums[best].log_loss)
            best = i;
    while (r < best && !as_good(k, r, best))
        r++;
    return r;
}

fen_status fen_fit_choose(const fen_fit *f, const bool *use, const fen_fit_prior *prior, fen_fit_choice *ret)
{
    chooser k = { .f = f, .prior = prior };
    fen_status st = begin(&k);
    if (st)
        return st;
    fen_fit_deal(f, use, FEN_FIT_FOLDS, k.counts, k.fold);
    for (uint32_t out = 0; out < FEN_FIT_FOLDS && !st; out++)
        st = try_fold(&k, use, out);
    const uint32_t best = st ? 0 : choose(&k);
    if (!st)
        *ret = (fen_fit_choice){ prior->strengths[best], k.sums[best] };
    end(&k);
    return st;
}

/* ---- honest scores --------------------------------------------------------------- */

static fen_status fit_without(chooser *k, uint32_t out)
{
    fen_fit_choice choice;
    double left;
    for (uint32_t i = 0; i < k->f->n_cases; i++)
        k->rest[i] = k->fold[i] != out;
    const fen_status st = fen_fit_choose(k->f, k->rest, k->prior, &choice);
    if (st)
        return st;
    k->prior->centre(k->prior->ctx, k->rest, k->centre);
    memcpy(k->w, k->centre, k->f->n_params * sizeof *k->w);
    return fen_fit_solve(k->f, k->rest, choice.strength, k->centre, FITTING, k->w, &left);
}

fen_status fen_fit_honest(const fen_fit *f, uint32_t n, const fen_fit_prior *prior, const double *before,
                          fen_fit_sums *ret_before, fen_fit_sums *ret_after)
{
    chooser k = { .f = f, .prior = prior };
    fen_fit_sums was = { 0 }, is = { 0 };
    fen_status st = begin(&k);
    if (st)
        return st;
    fen_fit_deal(f, NULL, n, k.counts, k.fold);
    for (uint32_t out = 0; out < n && !st; out++) {
        st = fit_without(&k, out);
        for (uint32_t i = 0; i < f->n_cases && !st; i++) {
            if (k.fold[i] != out)
                continue;
            fen_fit_score(f, i, k.w, k.p, &is);
            if (before)
                fen_fit_score(f, i, before, k.p, &was);
        }
    }
    end(&k);
    if (!st) {
        *ret_before = was;
        *ret_after = is;
    }
    return st;
}
