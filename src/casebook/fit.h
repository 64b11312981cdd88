/* fit.h -- the conditional (multinomial) logistic model behind `tune`, and its fit.
 *
 * score(c) = offset(c) + the parameters of cause c that are active in the case, and
 * P(c) = exp(score(c)) / sum over the causes that are possible in it. A parameter
 * belongs to one cause. Fitted is the maximum a posteriori: parameters have normal
 * priors around their centres, so that what is minimised is
 *     - sum over cases of ln(P of its settled causes together) + strength/2 * |w - centre|^2
 * A case may be fitted in several copies, of which the first is the case, and is what is
 * judged and scored; the others have fewer parameters active. They teach the weights to
 * be right when only some of the answers are known.
 * All in natural logarithms; FEN_NAT turns dBan into them. Pure numbers: no base, no
 * files. Method: Newton steps by conjugate gradients on products with the curvature
 * (Nocedal and Wright, Numerical Optimization, 2nd ed., algorithm 7.1), which needs
 * no matrix; for cases with one settled cause the problem is convex.
 */
#ifndef FEN_FIT_H
#define FEN_FIT_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "fenmend/status.h"

#define FEN_NAT 0.23025850929940457 /* ln(10) / 10: natural units of a dBan */

typedef enum fen_role { FEN_ROLE_OUT, FEN_ROLE_POSSIBLE, FEN_ROLE_SETTLED } fen_role;

typedef struct fen_fit { /* borrowed arrays */
    uint32_t n_params, n_causes, n_cases;
    const uint32_t *cause;  /* [n_params] */
    const double *offset;   /* [n_causes] */
    uint32_t copies;        /* of all cases that are fitted, at least 1; the others know less, below */
    const size_t *active_at; /* [n_cases * copies + 1]; copy k of case i is k * n_cases + i */
    const uint32_t *active; /* parameters, each at most once a case */
    const uint8_t *role;    /* [n_cases * n_causes] fen_role; each case has a settled cause that is possible */
    const uint32_t *group;  /* [n_cases]: what folds are balanced by, below n_causes */
} fen_fit;

typedef struct fen_fit_sums {
    uint64_t cases, right;
    double log_loss; /* summed, natural */
} fen_fit_sums;

/* Fit to the cases with USE (NULL: all), starting from W and ending in it. Ends when no
 * component of the gradient is above TOLERANCE, or rounding forbids more: *ret_gradient
 * is the largest that is left. */
FEN_MUST_USE fen_status fen_fit_solve(const fen_fit *f, const bool *use, double strength, const double *centre,
                                      double tolerance, double *w, double *ret_gradient);

/* Judge case I under W: P into RET_P[n_causes]; true if a settled cause comes first. */
bool fen_fit_judge(const fen_fit *f, uint32_t i, const double *w, double *ret_p);
/* Add the verdict on case I to SUMS; P is scratch. */
void fen_fit_score(const fen_fit *f, uint32_t i, const double *w, double *p, fen_fit_sums *sums);

/* Deal the cases with USE to N folds by their rank within their group; others get N. */
void fen_fit_deal(const fen_fit *f, const bool *use, uint32_t n, uint32_t *counts, uint8_t *ret_fold);

/* How the centre is made from some of the cases: from what authors wrote (whatever is
 * in USE), or counted from the cases in USE. */
typedef struct fen_fit_prior {
    void *ctx;
    void (*centre)(void *ctx, const bool *use, double *ret_centre);
    const double *strengths; /* tried, strongest first */
    uint32_t n_strengths;
} fen_fit_prior;

typedef struct fen_fit_choice {
    double strength;
    fen_fit_sums held_out; /* of the one chosen, over the folds */
} fen_fit_choice;

#define FEN_FIT_FOLDS 5u

/* Choose a strength by the log loss on folds held out: the strongest prior that is worse
 * than the best by at most one standard error. */
FEN_MUST_USE fen_status fen_fit_choose(const fen_fit *f, const bool *use, const fen_fit_prior *prior, fen_fit_choice *ret);

/* The whole procedure, choice included, on each of N outer folds: what BEFORE (weights
 * that saw nothing, or NULL) and the fitted weights do on cases they did not see. */
FEN_MUST_USE fen_status fen_fit_honest(const fen_fit *f, uint32_t n, const fen_fit_prior *prior, const double *before,
                                       fen_fit_sums *ret_before, fen_fit_sums *ret_after);

#endif
