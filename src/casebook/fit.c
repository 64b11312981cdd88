/* fit.c -- the Newton iteration; see fit.h. */
#include "fit.h"

#include <float.h>
#include <math.h>
#include <string.h>

#include "util/alloc.h"

enum { NEWTON_STEPS = 200, CG_STEPS = 400, HALVINGS = 40 };

/* The work arrays of one fit, in one block. */
typedef struct solver {
    const fen_fit *f;
    const bool *use;
    double strength;
    const double *centre;
    double *p;                 /* [n_cases * copies * n_causes] at the point last looked at */
    double *z, *q;             /* [n_causes] */
    double *gradient, *diagonal, *step, *residual, *direction, *product, *scaled, *trial; /* [n_params] */
    double *block;
} solver;

static fen_status begin(solver *s)
{
    const size_t cells = (size_t)s->f->n_cases * s->f->copies * s->f->n_causes, n = s->f->n_params;
    double *at = s->block = fen_calloc(cells + 2 * (size_t)s->f->n_causes + 8 * n + 1, sizeof *s->block);
    if (!at)
        return FEN_ENOMEM;
    double **const of_params[] = { &s->gradient, &s->diagonal, &s->step, &s->residual, &s->direction, &s->product, &s->scaled, &s->trial };
    s->p = at;
    s->z = at + cells;
    s->q = s->z + s->f->n_causes;
    at = s->q + s->f->n_causes;
    for (size_t i = 0; i < sizeof of_params / sizeof of_params[0]; i++, at += n)
        *of_params[i] = at;
    return FEN_OK;
}

/* ---- one case ------------------------------------------------------------------ */

static void scores(const fen_fit *f, uint32_t i, const double *w, double *ret_z)
{
    memcpy(ret_z, f->offset, f->n_causes * sizeof *ret_z);
    for (size_t a = f->active_at[i]; a < f->active_at[i + 1]; a++)
        ret_z[f->cause[f->active[a]]] += w[f->active[a]];
}

/* P over the causes whose role is LEAST or more; returns the logarithm of their sum. */
static double soften(const fen_fit *f, const uint8_t *role, uint8_t least, const double *z, double *ret_p)
{
    double top = -INFINITY, sum = 0;
    for (uint32_t c = 0; c < f->n_causes; c++)
        if (role[c] >= least && z[c] > top)
            top = z[c];
    for (uint32_t c = 0; c < f->n_causes; c++)
        sum += ret_p[c] = role[c] >= least ? exp(z[c] - top) : 0;
    for (uint32_t c = 0; c < f->n_causes; c++)
        ret_p[c] /= sum;
    return top + log(sum);
}

bool fen_fit_judge(const fen_fit *f, uint32_t i, const double *w, double *ret_p)
{
    const uint8_t *role = f->role + (size_t)i * f->n_causes;
    uint32_t best = 0;
    scores(f, i, w, ret_p);
    soften(f, role, FEN_ROLE_POSSIBLE, ret_p, ret_p);
    for (uint32_t c = 1; c < f->n_causes; c++)
        if (ret_p[c] > ret_p[best])
            best = c;
    return role[best] == FEN_ROLE_SETTLED;
}

void fen_fit_score(const fen_fit *f, uint32_t i, const double *w, double *p, fen_fit_sums *sums)
{
    const uint8_t *role = f->role + (size_t)i * f->n_causes;
    double settled = 0;
    sums->right += fen_fit_judge(f, i, w, p);
    sums->cases++;
    for (uint32_t c = 0; c < f->n_causes; c++)
        settled += role[c] == FEN_ROLE_SETTLED ? p[c] : 0;
    sums->log_loss -= log(fmax(settled, DBL_MIN));
}

/* ---- the whole ----------------------------------------------------------------- */

/* What is minimised, at W; with GRADIENT its slope and the curvature's diagonal too. */
static double look(solver *s, const double *w, bool gradient)
{
    const fen_fit *f = s->f;
    double loss = 0;
    for (uint32_t j = 0; j < f->n_params; j++) {
        const double d = w[j] - s->centre[j];
        loss += s->strength / 2 * d * d;
        if (gradient) {
            s->gradient[j] = s->strength * d;
            s->diagonal[j] = s->strength;
        }
    }
    for (uint32_t i = 0; i < f->n_cases * f->copies; i++) {
        if (s->use && !s->use[i % f->n_cases])
            continue;
        const uint8_t *role = f->role + (size_t)(i % f->n_cases) * f->n_causes;
        double *p = s->p + (size_t)i * f->n_causes;
        scores(f, i, w, s->z);
        loss += soften(f, role, FEN_ROLE_POSSIBLE, s->z, p) - soften(f, role, FEN_ROLE_SETTLED, s->z, s->q);
        for (size_t a = f->active_at[i]; gradient && a < f->active_at[i + 1]; a++) {
            const uint32_t j = f->active[a], c = f->cause[j];
            s->gradient[j] += p[c] - s->q[c];
            s->diagonal[j] += p[c] * (1 - p[c]);
        }
    }
    return loss;
}

/* The curvature at the point last looked at, times V. Of cases with several settled causes
 * the part that bends the other way is left out: the product stays positive, and
 * the true loss below its model. */
static void curve(solver *s, const double *v, double *ret)
{
    const fen_fit *f = s->f;
    for (uint32_t j = 0; j < f->n_params; j++)
        ret[j] = s->strength * v[j];
    for (uint32_t i = 0; i < f->n_cases * f->copies; i++) {
        if (s->use && !s->use[i % f->n_cases])
            continue;
        const double *p = s->p + (size_t)i * f->n_causes;
        double mean = 0;
        memset(s->z, 0, f->n_causes * sizeof *s->z);
        for (size_t a = f->active_at[i]; a < f->active_at[i + 1]; a++)
            s->z[f->cause[f->active[a]]] += v[f->active[a]];
        for (uint32_t c = 0; c < f->n_causes; c++)
            mean += p[c] * s->z[c];
        for (uint32_t c = 0; c < f->n_causes; c++)
            s->z[c] = p[c] * (s->z[c] - mean);
        for (size_t a = f->active_at[i]; a < f->active_at[i + 1]; a++)
            ret[f->active[a]] += s->z[f->cause[f->active[a]]];
    }
}

static double dot(const double *a, const double *b, uint32_t n)
{
    double sum = 0;
    for (uint32_t j = 0; j < n; j++)
        sum += a[j] * b[j];
    return sum;
}

static double largest(const double *a, uint32_t n)
{
    double most = 0;
    for (uint32_t j = 0; j < n; j++)
        most = fmax(most, fabs(a[j]));
    return most;
}

/* STEP solves curvature * STEP = -gradient, as well as it pays at this distance. */
static void conjugate(solver *s)
{
    const uint32_t n = s->f->n_params;
    const double norm = sqrt(dot(s->gradient, s->gradient, n));
    const double enough = fmin(0.1, sqrt(norm)) * norm;
    memset(s->step, 0, n * sizeof *s->step);
    for (uint32_t j = 0; j < n; j++) {
        s->residual[j] = -s->gradient[j];
        s->direction[j] = s->residual[j] / s->diagonal[j];
    }
    double rz = dot(s->residual, s->direction, n);
    for (int k = 0; k < CG_STEPS && rz > 0; k++) {
        curve(s, s->direction, s->product);
        const double alpha = rz / dot(s->direction, s->product, n);
        for (uint32_t j = 0; j < n; j++) {
            s->step[j] += alpha * s->direction[j];
            s->residual[j] -= alpha * s->product[j];
            s->scaled[j] = s->residual[j] / s->diagonal[j];
        }
        if (sqrt(dot(s->residual, s->residual, n)) <= enough)
            return;
        const double next = dot(s->residual, s->scaled, n), beta = next / rz;
        for (uint32_t j = 0; j < n; j++)
            s->direction[j] = s->scaled[j] + beta * s->direction[j];
        rz = next;
    }
}

/* Go along STEP until the loss has fallen; near the end it cannot be seen to fall any
 * more, and the slack lets the last steps through. */
static bool advance(solver *s, double *w, double *loss)
{
    const uint32_t n = s->f->n_params;
    const double slope = dot(s->gradient, s->step, n), slack = 64 * DBL_EPSILON * (1 + fabs(*loss));
    double t = 1;
    for (int h = 0; h < HALVINGS; h++, t /= 2) {
        for (uint32_t j = 0; j < n; j++)
            s->trial[j] = w[j] + t * s->step[j];
        const double there = look(s, s->trial, false);
        if (there <= *loss + 1e-4 * t * slope + slack) {
            memcpy(w, s->trial, n * sizeof *w);
            return true;
        }
    }
    return false;
}

fen_status fen_fit_solve(const fen_fit *f, const bool *use, double strength, const double *centre, double tolerance, double *w,
                         double *ret_gradient)
{
    solver s = { .f = f, .use = use, .strength = strength, .centre = centre };
    const fen_status st = begin(&s);
    if (st)
        return st;
    double left = INFINITY;
    for (int k = 0; k < NEWTON_STEPS; k++) {
        double loss = look(&s, w, true);
        left = largest(s.gradient, f->n_params);
        if (left <= tolerance)
            break;
        conjugate(&s);
        if (!advance(&s, w, &loss))
            break;
    }
    fen_free(s.block);
    *ret_gradient = left;
    return FEN_OK;
}
