/* thermal.c -- see thermal.h.
 *
 * Degree-days: Zalom and others 1983 (UC leaflet 21373) for average, triangle and
 * sine; the four-case rule as Met Eireann gives it. Chill: Richardson 1974 for Utah
 * units, in C after the documentation of the R package ChillModels and in F after
 * the fruit and nut centre of UC Davis.
 */
#include "thermal.h"

#include <math.h>
#include <stdbool.h>
#include <stddef.h>

#define PI 3.14159265358979323846
#define HAIR 1e-9 /* C: 36 F, converted, must still lie on its own threshold */

/* ---- degree-days ---- */

static double above_by_sine(double low, double high, double base)
{
    const double mean = (high + low) / 2;
    const double half = (high - low) / 2;
    const double turn = asin((base - mean) / half);
    return ((mean - base) * (PI / 2 - turn) + half * cos(turn)) / PI;
}

static double above_four_case(double low, double high, double base)
{
    if ((high + low) / 2 >= base)
        return (high - base) / 2 - (base - low) / 4;
    return (high - base) / 4;
}

void fen_degree_days(fen_degree_rule rule, double low, double high, double base, double *ret_above, double *ret_below)
{
    const double excess = (high + low) / 2 - base;
    double above = fmax(excess, 0);
    if (low < base && base < high) {
        switch (rule) {
        case FEN_DEGREE_SINE:
            above = above_by_sine(low, high, base);
            break;
        case FEN_DEGREE_TRIANGLE:
            above = (high - base) * (high - base) / (2 * (high - low));
            break;
        case FEN_DEGREE_FOUR_CASE:
            above = above_four_case(low, high, base);
            break;
        case FEN_DEGREE_AVERAGE:
            break;
        }
    }
    *ret_above = above;
    *ret_below = fmax(above - excess, 0); /* whatever the rule, the two differ by the mean's excess */
}

/* ---- chill ---- */

typedef struct band {
    double edge;   /* upper end */
    bool closed;   /* the edge itself belongs to this band */
    double chill;  /* of an hour */
} band;

#define BANDS 7
static const band bands[][BANDS] = {
    [FEN_CHILL_REST] = { { 10, true, 1 }, { INFINITY, true, 0 } },
    [FEN_CHILL_BAND] = { { 0, false, 0 }, { 7.2, true, 1 }, { INFINITY, true, 0 } },
    [FEN_CHILL_BELOW] = { { 7.2, false, 1 }, { INFINITY, true, 0 } },
    [FEN_CHILL_UTAH_C] = { { 1.5, false, 0 }, { 2.5, false, 0.5 }, { 9.2, false, 1 }, { 12.5, false, 0.5 }, { 16, false, 0 }, { 18, true, -0.5 }, { INFINITY, true, -1 } },
    [FEN_CHILL_UTAH_F] = { { (34 - 32) / 1.8, true, 0 }, { (36 - 32) / 1.8, true, 0.5 }, { (48 - 32) / 1.8, true, 1 }, { (54 - 32) / 1.8, true, 0.5 },
                           { (60 - 32) / 1.8, true, 0 }, { (65 - 32) / 1.8, true, -0.5 }, { INFINITY, true, -1 } },
};

double fen_chill_at(fen_chill_rule rule, double celsius)
{
    const band *b = bands[rule];
    while (b->closed ? celsius > b->edge + HAIR : celsius >= b->edge - HAIR)
        b++;
    return b->chill;
}

/* Share of a sine between LOW and HIGH that lies below EDGE. */
static double share_below(double low, double high, double edge)
{
    if (edge >= high)
        return 1;
    if (edge <= low)
        return 0;
    return 0.5 + asin((edge - (high + low) / 2) / ((high - low) / 2)) / PI;
}

double fen_chill_over(fen_chill_rule rule, double low, double high, double hours)
{
    if (high - low < HAIR)
        return fen_chill_at(rule, low) * hours;
    double sum = 0;
    double below = 0;
    for (size_t i = 0; i < BANDS; i++) {
        const double upto = share_below(low, high, bands[rule][i].edge);
        sum += bands[rule][i].chill * (upto - below);
        below = upto;
        if (isinf(bands[rule][i].edge))
            break;
    }
    return sum * hours;
}
