/* stats.h -- the few statistics of scores and of what cases share. Pure numbers;
 * each formula's source stands beside its code.
 */
#ifndef FEN_STATS_H
#define FEN_STATS_H

#include <stddef.h>
#include <stdint.h>

#define FEN_Z95 1.959963984540054 /* the normal distribution's 97.5 % point */

/* -ln P, P at least 1e-15: a certain miss costs 34.54 and not infinity. */
double fen_log_loss(double p);

/* Brier's score, sum form 0..2: the squared distance of P (of N classes) from what was
 * right. Several right classes count as one, with their chances added. */
double fen_brier(const double *p, uint32_t n, const uint32_t *right, uint32_t n_right);

/* Wilson's interval for K of N; N 0 gives 0..1. */
void fen_wilson(uint64_t k, uint64_t n, double z, double *ret_lo, double *ret_hi);

/* The largest gap between confidence and accuracy over bins, and the mean one,
 * weighted by the cases in a bin. A bin's sums are of confidence and of right ones. */
typedef struct fen_bin {
    uint64_t n, right;
    double confidence; /* summed */
} fen_bin;
double fen_calibration_error(const fen_bin *bins, size_t n_bins, double *ret_largest);
/* Which of N bins of equal width, (lower, upper], P falls into; 0 falls into the first. */
size_t fen_bin_of(double p, size_t n_bins);

/* Cohen's kappa of a square table in rows, and its standard error; NaN if one
 * column and row hold all. */
double fen_kappa(const uint64_t *table, size_t n, double *ret_se);
/* Mean over the rows that have any of the share on the diagonal. */
double fen_mean_recall(const uint64_t *table, size_t n);

/* McNemar's test of B against C cases that only one of two judges had right. */
double fen_mcnemar_chi2(uint64_t b, uint64_t c, int corrected);
double fen_chi2_tail(double x);                   /* one degree of freedom */
double fen_mcnemar_exact(uint64_t b, uint64_t c); /* two-sided; at least DBL_MIN */

/* Fisher's exact test, one-sided: the chance of A or more in the first cell of
 * | A B | with these margins, were rows and columns unrelated.
 * | C D | Never 0, which it cannot be: DBL_MIN is a bound for all that is smaller, and
 * the natural logarithm tells those apart. */
double fen_fisher_more(uint64_t a, uint64_t b, uint64_t c, uint64_t d);
double fen_fisher_more_ln(uint64_t a, uint64_t b, uint64_t c, uint64_t d);
/* Holm's correction of M p-values, handed over in ascending order; those that are not of
 * interest at the end may be left out. */
typedef struct fen_holm_state {
    uint64_t m, done;
    double so_far;
} fen_holm_state;
double fen_holm_next(fen_holm_state *h, double p);

#endif
