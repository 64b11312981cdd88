/* stats.c -- see stats.h. Sums are of positive numbers wherever there is a choice, so that
 * nothing cancels.
 */
#include "stats.h"

#include <float.h>
#include <math.h>

double fen_log_loss(double p)
{
    return -log(fmin(fmax(p, 1e-15), 1));
}

/* Brier 1950, Monthly Weather Review 78(1). */
double fen_brier(const double *p, uint32_t n, const uint32_t *right, uint32_t n_right)
{
    double of_right = 0, sum = 0;
    for (uint32_t i = 0; i < n; i++) {
        uint32_t k = 0;
        while (k < n_right && right[k] != i)
            k++;
        of_right += k < n_right ? p[i] : 0;
        sum += k < n_right ? 0 : p[i] * p[i];
    }
    return sum + (1 - of_right) * (1 - of_right);
}

/* Wilson 1927, J. Am. Stat. Assoc. 22(158). */
void fen_wilson(uint64_t k, uint64_t n, double z, double *ret_lo, double *ret_hi)
{
    *ret_lo = 0;
    *ret_hi = 1;
    if (!n)
        return;
    const double p = (double)k / (double)n, t = z * z / (double)n;
    const double middle = (p + t / 2) / (1 + t);
    const double half = z * sqrt(p * (1 - p) / (double)n + t / (4 * (double)n)) / (1 + t);
    if (k)
        *ret_lo = middle - half;
    if (k < n)
        *ret_hi = middle + half;
}

size_t fen_bin_of(double p, size_t n_bins)
{
    const double at = ceil(p * (double)n_bins) - 1;
    return at < 0 ? 0 : at >= (double)n_bins ? n_bins - 1 : (size_t)at;
}

/* Guo et al. 2017, ICML: expected and maximum calibration error. */
double fen_calibration_error(const fen_bin *bins, size_t n_bins, double *ret_largest)
{
    uint64_t all = 0;
    double sum = 0;
    *ret_largest = 0;
    for (size_t i = 0; i < n_bins; i++) {
        if (!bins[i].n)
            continue;
        const double gap = fabs(bins[i].confidence - (double)bins[i].right); /* times n */
        all += bins[i].n;
        sum += gap;
        *ret_largest = fmax(*ret_largest, gap / (double)bins[i].n);
    }
    return all ? sum / (double)all : 0;
}

static double row_sum(const uint64_t *table, size_t n, size_t row)
{
    double sum = 0;
    for (size_t i = 0; i < n; i++)
        sum += (double)table[row * n + i];
    return sum;
}

static double column_sum(const uint64_t *table, size_t n, size_t column)
{
    double sum = 0;
    for (size_t i = 0; i < n; i++)
        sum += (double)table[i * n + column];
    return sum;
}

/* Cohen 1960, Educ. Psychol. Meas. 20(1); standard error of Fleiss, Cohen and
 * Everitt 1969, Psychol. Bull. 72(5). */
double fen_kappa(const uint64_t *table, size_t n, double *ret_se)
{
    double all = 0, agreed = 0, chance = 0, a = 0, b = 0;
    *ret_se = NAN;
    for (size_t i = 0; i < n; i++)
        all += row_sum(table, n, i);
    for (size_t i = 0; all > 0 && i < n; i++) {
        agreed += (double)table[i * n + i] / all;
        chance += row_sum(table, n, i) / all * (column_sum(table, n, i) / all);
    }
    if (!(all > 0) || chance >= 1)
        return NAN;
    const double kappa = (agreed - chance) / (1 - chance);
    for (size_t i = 0; i < n; i++) {
        const double row = row_sum(table, n, i) / all, column = column_sum(table, n, i) / all;
        const double off = 1 - (row + column) * (1 - kappa);
        a += (double)table[i * n + i] / all * off * off;
        for (size_t j = 0; j < n; j++)
            if (j != i) {
                const double both = column_sum(table, n, i) / all + row_sum(table, n, j) / all;
                b += (double)table[i * n + j] / all * both * both;
            }
    }
    b *= (1 - kappa) * (1 - kappa);
    const double c = kappa - chance * (1 - kappa);
    *ret_se = sqrt(fmax(a + b - c * c, 0) / all) / (1 - chance);
    return kappa;
}

double fen_mean_recall(const uint64_t *table, size_t n)
{
    double sum = 0;
    size_t rows = 0;
    for (size_t i = 0; i < n; i++) {
        const double row = row_sum(table, n, i);
        if (row > 0) {
            sum += (double)table[i * n + i] / row;
            rows++;
        }
    }
    return rows ? sum / (double)rows : NAN;
}

/* McNemar 1947, Psychometrika 12(2); correction of Edwards 1948. */
double fen_mcnemar_chi2(uint64_t b, uint64_t c, int corrected)
{
    const double gap = fabs((double)b - (double)c) - (corrected ? 1 : 0);
    return b + c ? gap * gap / (double)(b + c) : NAN;
}

double fen_chi2_tail(double x)
{
    return erfc(sqrt(x / 2));
}

/* Twice the smaller binomial tail at one half. Terms grow from the middle outward
 * by ratios, in long double: no factorials, nothing to overflow. Never 0, as Fisher's below. */
double fen_mcnemar_exact(uint64_t b, uint64_t c)
{
    const uint64_t n = b + c, least = b < c ? b : c;
    if (!n || b == c)
        return 1;
    long double term = 1, tail = 0, all = 0; /* term: of k, relative to that of the middle */
    for (uint64_t k = n / 2;; k--) {
        all += 2 * k == n ? term : 2 * term;
        tail += k <= least ? term : 0;
        if (!k)
            break;
        term *= (long double)k / (long double)(n - k + 1);
    }
    return fmax((double)fminl(1, 2 * tail / all), DBL_MIN);
}

/* A sum of terms that may be far smaller than any number: both in units of 2^-down. */
#define STEP 500

typedef struct tail_sum {
    long double term, at;
    uint64_t down;
} tail_sum;

static void next_term(tail_sum *t, long double ratio)
{
    t->term *= ratio;
    if (t->at <= 0 && t->term < 0x1p-500L) { /* nothing is summed yet, so only the unit changes */
        t->term = ldexpl(t->term, STEP);
        t->down += STEP;
    }
}

/* Fisher 1935, The Design of Experiments, II. The hypergeometric chances are
 * followed by their ratios from the likeliest cell outward, so that every sum is one of
 * positive numbers and its error stays that of the ratios. The chance's natural
 * logarithm; *ret_p is the chance itself, or 0 where it is below all numbers. */
static double fisher(uint64_t a, uint64_t b, uint64_t c, uint64_t d, double *ret_p)
{
    const uint64_t row = a + b, column = a + c, n = row + c + d;
    const uint64_t low = row + column > n ? row + column - n : 0, high = row < column ? row : column;
    uint64_t mode = (uint64_t)((long double)(row + 1) * (long double)(column + 1) / (long double)(n + 2));
    mode = mode < low ? low : mode > high ? high : mode;
    long double all = 0, term = 1;
    tail_sum tail = { .term = 1 };
    for (uint64_t x = mode; x <= high && tail.term > tail.at * LDBL_EPSILON / 1024; x++) {
        all += tail.down ? 0 : tail.term;
        tail.at += x >= a ? tail.term : 0;
        next_term(&tail, (long double)(row - x) * (long double)(column - x) / ((long double)(x + 1) * (long double)(n + x + 1 - row - column)));
    }
    for (uint64_t x = mode; x > low && term > all * LDBL_EPSILON / 1024; x--) {
        term *= (long double)x * (long double)(n + x - row - column) / ((long double)(row - x + 1) * (long double)(column - x + 1));
        all += term;
        tail.at += x - 1 >= a ? term : 0;
    }
    *ret_p = tail.down < 4 * STEP ? (double)ldexpl(tail.at / all, -(int)tail.down) : 0;
    return (double)(logl(tail.at / all) - (long double)tail.down * logl(2));
}

double fen_fisher_more(uint64_t a, uint64_t b, uint64_t c, uint64_t d)
{
    double p;
    (void)fisher(a, b, c, d, &p);
    return fmax(p, DBL_MIN);
}

double fen_fisher_more_ln(uint64_t a, uint64_t b, uint64_t c, uint64_t d)
{
    double p;
    return fisher(a, b, c, d, &p);
}

/* Holm 1979, Scand. J. Stat. 6(2). */
double fen_holm_next(fen_holm_state *h, double p)
{
    h->so_far = fmax(h->so_far, fmin(1, p * (double)(h->m - h->done)));
    h->done++;
    return h->so_far;
}
