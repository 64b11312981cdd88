/* quantity.h -- numbers with a unit, and which of them may be compared.
 *
 * A quantity is kept in the one unit of its dimension (see fen_dim in base.h);
 * what was typed and what is shown are told by the unit table here. Values, not
 * objects: nothing allocates. Numbers are read and written with '.' in every
 * locale.
 *
 * Stored units: C; C of difference; ppm on the 0.5 scale (ppm = uS/cm * 0.5, the
 * NaCl scale of most hobby meters; a scale may be written: "180 ppm 700", "ppm640");
 * mm; ml; g; days (a month is 30.4375 days, a year 365.25); umol/m2/s; mol/m2/d; percent; pieces. Light in lux
 * or foot-candles needs a source: "20000 lux sun", "1500 fc white-led".
 */
#ifndef FEN_QUANTITY_H
#define FEN_QUANTITY_H

#include <stdbool.h>
#include <stddef.h>

#include "fenmend/base.h"

typedef struct fen_quantity {
    double value; /* in the dimension's stored unit */
    fen_dim dim;
} fen_quantity;

typedef enum fen_units { FEN_UNITS_METRIC, FEN_UNITS_US } fen_units;

/* "dissolved solids" and the like, as packs write them; NULL-safe table. */
const char *fen_dim_name(fen_dim dim);
bool fen_dim_find(const char *name, size_t len, fen_dim *ret_dim);
/* "ppm, uS/cm, mS/cm": the units one may write, for messages. */
const char *fen_dim_units(fen_dim dim);

/* Read "75 F", "180ppm", "1 1/2 in" (mixed fractions of inches, feet, cups and
 * other kitchen measures), "-5 C", "40 %". HINT is the dimension expected, or
 * FEN_DIM_NONE: it decides between a temperature and a difference of temperatures
 * ("5 C"), and a bare number is a count if a count is expected, else FEN_EINPUT. At a
 * prompt put fen_quantity_unit behind a bare number first. A light in lux or
 * foot-candles needs its source. FEN_EINPUT also for what is not finite, or below
 * absolute zero. *reterr_bad: offset of the first byte that does not fit. The dimension
 * read may differ from HINT: comparing them is the caller's. */
FEN_MUST_USE fen_status fen_quantity_parse(const char *text, size_t len, fen_dim hint, fen_quantity *ret, size_t *reterr_bad);
/* The same at the front of a longer text; *ret_len bytes taken. */
FEN_MUST_USE fen_status fen_quantity_scan(const char *text, size_t len, fen_dim hint, fen_quantity *ret, size_t *ret_len);

/* The unit in which a bare number at the prompt is meant: "C", "F", "in", ...; "" for a count. */
const char *fen_quantity_unit(fen_dim dim, fen_units units);
/* Q in another unit of its dimension ("F", "mS/cm", "ppm 700", "lux sun"); false: UNIT is none. */
bool fen_quantity_in(fen_quantity q, const char *unit, double *ret_value);

/* Shown in the unit system: "24 C", "75.2 F", "180 ppm", "15 cm", "6 in", "3 weeks". BUF of at
 * least FEN_QUANTITY_TEXT bytes. */
#define FEN_QUANTITY_TEXT 64
size_t fen_quantity_show(char buf[FEN_QUANTITY_TEXT], fen_quantity q, fen_units units);
/* Exact, in the stored unit, reads back to the same double: for case files. */
size_t fen_quantity_write(char buf[FEN_QUANTITY_TEXT], fen_quantity q);

/* Conductivity at 25 C from a reading at T C with linear coefficient (default
 * 0.0191 to 0.02 per C, see the source beside each use). */
double fen_conductivity_25(double us_cm, double celsius, double per_degree);

#endif
