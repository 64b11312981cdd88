/* thermal.h -- what warmth and cold add up to: degree-days and chill.
 *
 * Temperatures in C, time in hours or days. A day between its lowest and highest
 * temperature is taken as one sine.
 */
#ifndef FEN_THERMAL_H
#define FEN_THERMAL_H

typedef enum fen_degree_rule { FEN_DEGREE_SINE, FEN_DEGREE_TRIANGLE, FEN_DEGREE_AVERAGE, FEN_DEGREE_FOUR_CASE } fen_degree_rule;

/* Degree-days of one day above BASE, and below it; LOW <= HIGH. */
void fen_degree_days(fen_degree_rule rule, double low, double high, double base, double *ret_above, double *ret_below);

typedef enum fen_chill_rule {
    FEN_CHILL_REST,      /* an hour at or below 10 C counts 1 */
    FEN_CHILL_BAND,      /* an hour from 0 to 7.2 C, both included */
    FEN_CHILL_BELOW,     /* an hour below 7.2 C */
    FEN_CHILL_UTAH_C,    /* Utah units by the bands published in C */
    FEN_CHILL_UTAH_F     /* and by those in F, which are not their image */
} fen_chill_rule;

/* Chill of one hour at CELSIUS; Utah units go down to -1. */
double fen_chill_at(fen_chill_rule rule, double celsius);
/* Chill of HOURS during which it went between LOW and HIGH. */
double fen_chill_over(fen_chill_rule rule, double low, double high, double hours);

#endif
