/* reckon_rows.h -- how the calculators' rows are written, and the families of them.
 *
 * Private to the advice room. A row's function gets all inputs filled in and inside
 * their limits, and results preset to NaN; it checks only what the limits of single
 * inputs cannot say.
 */
#ifndef FEN_RECKON_ROWS_H
#define FEN_RECKON_ROWS_H

#include <math.h>

#include "fenmend/reckon.h"

typedef struct fen_reckon_family {
    const fen_reckoner *rows;
    size_t count;
} fen_reckon_family;

extern const fen_reckon_family fen_reckon_meter;  /* scales, pens, membranes */
extern const fen_reckon_family fen_reckon_water;  /* blends and flushes */
extern const fen_reckon_family fen_reckon_salt;   /* runoff and trays */
extern const fen_reckon_family fen_reckon_light;
extern const fen_reckon_family fen_reckon_air;
extern const fen_reckon_family fen_reckon_climate; /* day length, water use */
extern const fen_reckon_family fen_reckon_season;
extern const fen_reckon_family fen_reckon_warmth; /* chill, degree-days, treatments */
extern const fen_reckon_family fen_reckon_pot;
extern const fen_reckon_family fen_reckon_feed;

#define IN_NEEDED(n, m, lo, hi, text) \
    { .name = n, .about = text, .measure = FEN_MEASURE_##m, .need = FEN_RECKON_REQUIRED, .least = lo, .most = hi }
#define IN_USUAL(n, m, u, lo, hi, text) \
    { .name = n, .about = text, .measure = FEN_MEASURE_##m, .need = FEN_RECKON_USUAL, .usual = u, .least = lo, .most = hi }
#define IN_MAYBE(n, m, lo, hi, text) \
    { .name = n, .about = text, .measure = FEN_MEASURE_##m, .need = FEN_RECKON_OPTIONAL, .least = lo, .most = hi }
#define IN_ONE_OF(letter, n, m, lo, hi, text) \
    { .name = n, .about = text, .measure = FEN_MEASURE_##m, .need = FEN_RECKON_OPTIONAL, .least = lo, .most = hi, .group = letter }
#define IN_PICK(n, list, u, text) \
    { .name = n, .about = text, .measure = FEN_MEASURE_CHOICE, .need = FEN_RECKON_USUAL, .usual = u, .choices = list }
#define IN_PICK_NEEDED(n, list, text) \
    { .name = n, .about = text, .measure = FEN_MEASURE_CHOICE, .need = FEN_RECKON_REQUIRED, .choices = list }
#define OUT(n, m, text) { .name = n, .about = text, .measure = FEN_MEASURE_##m }
#define OUT_PICK(n, list, text) { .name = n, .about = text, .measure = FEN_MEASURE_CHOICE, .choices = list }

#define ROWS(list) (list), sizeof(list) / sizeof *(list)

/* Limits that many rows share: generous, but a slip of the unit falls outside. */
#define SOLIDS_MOST 50000.0 /* ppm: sea water is 35,000 */
#define VOLUME_MOST 1e7     /* ml: ten cubic metres, a pond */
#define LENGTH_MOST 20000.0 /* mm: twenty metres, a bog bed */
#define COLD_LEAST (-60.0)  /* C, open air */
#define HEAT_MOST 60.0
#define DATE_LEAST (-25567.0) /* 1900-01-01 */
#define DATE_MOST 84006.0     /* 2200-01-01 */

/* Fill *E and return FEN_EINPUT. */
fen_status fen_reckon_refuse(fen_reckon_error *e, fen_code code, size_t input, const char *right, const char *wrong, ...)
    FEN_PRINTF(5, 6);

/* A value's text, for messages. */
typedef struct fen_shown {
    char at[FEN_RECKON_TEXT];
} fen_shown;
fen_shown fen_shown_of(fen_measure m, double number);

/* A cell of a line. */
fen_reckon_value fen_reckon_cell(double number);
fen_reckon_value fen_reckon_word(const char *text, size_t len);

#endif
