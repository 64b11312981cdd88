/* reckon.h -- the calculators: one number out of a few others, with the formula,
 * where it comes from and how far to trust it.
 *
 * Every calculation is a row: name, purpose, inputs, results, formula, source,
 * trust. The command and the plan run all of them through the one call below, so
 * that both can show what went in. Pure: no allocation, no clock, no files (a
 * temperature log comes as text); results are computed, never invented: what
 * cannot be reckoned from the inputs is NaN and is not shown.
 *
 * Numbers travel in the stored unit of their measure (see fen_reckon_unit);
 * texts in a value are borrowed from the caller and must outlive its use.
 */
#ifndef FENMEND_RECKON_H
#define FENMEND_RECKON_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "fenmend/problem.h"
#include "fenmend/status.h"

#define FEN_RECKON_INPUTS 12  /* at most, of one reckoner */
#define FEN_RECKON_OUTPUTS 12 /* results, or columns of its lines */
#define FEN_RECKON_TEXT 64    /* bytes that hold any shown value */
#define FEN_RECKON_NONE SIZE_MAX

/* What a value measures. Up to COUNT these are the dimensions of findings (base.h),
 * in their stored units; the rest are needed by calculations alone. */
typedef enum fen_measure {
    FEN_MEASURE_TEMPERATURE,     /* C */
    FEN_MEASURE_DIFFERENCE,      /* C */
    FEN_MEASURE_SOLIDS,          /* ppm on the 0.5 scale */
    FEN_MEASURE_LENGTH,          /* mm */
    FEN_MEASURE_VOLUME,          /* ml */
    FEN_MEASURE_TIME,            /* days */
    FEN_MEASURE_LIGHT,           /* umol/m2/s */
    FEN_MEASURE_DAILY_LIGHT,     /* mol/m2/d */
    FEN_MEASURE_PERCENT,
    FEN_MEASURE_COUNT,
    FEN_MEASURE_NUMBER,          /* a plain number or a ratio */
    FEN_MEASURE_CONDUCTIVITY,    /* uS/cm */
    FEN_MEASURE_PPM,             /* ppm as a pen shows it, its scale left open */
    FEN_MEASURE_CHARGE,          /* mmol of charge in a litre */
    FEN_MEASURE_PER_DEGREE,      /* percent for each C */
    FEN_MEASURE_ILLUMINANCE,     /* lux */
    FEN_MEASURE_PRESSURE,        /* kPa */
    FEN_MEASURE_SLOPE,           /* kPa for each C */
    FEN_MEASURE_HOURS,           /* hours (of a day, or of cold) */
    FEN_MEASURE_LATITUDE,        /* degrees, north positive */
    FEN_MEASURE_LONGITUDE,       /* degrees, east positive */
    FEN_MEASURE_HEIGHT,          /* m above the sea */
    FEN_MEASURE_ENERGY,          /* MJ/m2/d */
    FEN_MEASURE_DEGREE_DAYS,     /* C d */
    FEN_MEASURE_CHILL,           /* hours of chill, or chill units */
    FEN_MEASURE_DATE,            /* days since 1970-01-01 */
    FEN_MEASURE_CHOICE,          /* index into the row's choices */
    FEN_MEASURE_PARTS,           /* text: "2 peat, 1 perlite" */
    FEN_MEASURE_LOG,             /* text: a temperature log, comma-separated */
    FEN_MEASURES
} fen_measure;

typedef struct fen_reckon_value {
    double number;    /* stored unit; NaN if there is none */
    const char *text; /* as typed, or NULL; parts and logs are nothing else */
    size_t len;
    bool given;       /* by the user, not the usual value */
} fen_reckon_value;

typedef enum fen_reckon_need {
    FEN_RECKON_REQUIRED,
    FEN_RECKON_USUAL,   /* has a value that is taken if none is given */
    FEN_RECKON_OPTIONAL /* may be left out; then some results may be too */
} fen_reckon_need;

typedef struct fen_reckon_input {
    const char *name, *about;
    fen_measure measure;
    fen_reckon_need need;
    double usual;       /* FEN_RECKON_USUAL */
    double least, most; /* believed, both inclusive */
    char group;         /* not 0: exactly one of the inputs of this letter must be given */
    const char *const *choices; /* FEN_MEASURE_CHOICE, NULL at the end */
} fen_reckon_input;

typedef struct fen_reckon_output {
    const char *name, *about;
    fen_measure measure;
    const char *const *choices;
} fen_reckon_output;

/* Why a calculation is refused: "WRONG; RIGHT [code]". */
typedef struct fen_reckon_error {
    fen_code code;
    size_t input;          /* index, or FEN_RECKON_NONE */
    size_t at;             /* first byte of its text that does not fit */
    uint32_t line, column; /* within a log, from 1; 0 otherwise */
    char wrong[224];
    char right[160];
} fen_reckon_error;

typedef struct fen_reckoner {
    const char *name, *purpose;
    const char *example; /* inputs as they are typed at a shell */
    const char *family; /* "water", "light", "air", "season", "pot", "feeding" */
    const fen_reckon_input *inputs;
    size_t n_inputs;
    const fen_reckon_output *outputs;
    size_t n_outputs;
    const fen_reckon_output *columns; /* of its lines (a schedule, a mix); none if 0 */
    size_t n_columns;
    const char *formula, *source, *trust;
    const char *caution; /* what can hurt a person here, or NULL */
    fen_status (*run)(const fen_reckon_value in[], double out[], fen_reckon_error *reterr);
    size_t (*lines)(const fen_reckon_value in[]);
    void (*line)(const fen_reckon_value in[], size_t i, fen_reckon_value ret_cells[]);
} fen_reckoner;

/* The table, ordered by family. */
size_t fen_reckoners(void);
const fen_reckoner *fen_reckoner_at(size_t i);
const fen_reckoner *fen_reckoner_find(const char *name, size_t len); /* NULL if none */
size_t fen_reckon_input_find(const fen_reckoner *r, const char *name, size_t len);  /* or FEN_RECKON_NONE */
size_t fen_reckon_output_find(const fen_reckoner *r, const char *name, size_t len); /* or FEN_RECKON_NONE */

/* All of R's inputs as "not given". */
void fen_reckon_begin(const fen_reckoner *r, fen_reckon_value ret_in[]);

/* Read one value as typed: "180 ppm", "75 F", "14:30", "51.5 N", "2026-03-01", an
 * unambiguous beginning of a choice. FEN_EINPUT: *reterr says why (INPUT is set to
 * the row's index within R). */
FEN_MUST_USE fen_status fen_reckon_read(const fen_reckoner *r, size_t input, const char *text, size_t len, fen_reckon_value *ret, fen_reckon_error *reterr);

/* Reckon. IN gets the usual value of what was not given (GIVEN stays false), or
 * NaN where there is none. FEN_EINPUT: something is missing, outside its limits or
 * contradictory; RET_OUT is untouched. */
FEN_MUST_USE fen_status fen_reckon_run(const fen_reckoner *r, fen_reckon_value in[], double ret_out[], fen_reckon_error *reterr);

/* The lines of a schedule, after a run with the same IN; 0 if R has none. */
size_t fen_reckon_lines(const fen_reckoner *r, const fen_reckon_value in[]);
void fen_reckon_line(const fen_reckoner *r, const fen_reckon_value in[], size_t i, fen_reckon_value ret_cells[]);

/* The stored unit ("ppm", "ml", ""), never NULL; and which units may be typed. */
const char *fen_reckon_unit(fen_measure m);
const char *fen_reckon_units(fen_measure m);
const char *fen_measure_name(fen_measure m);

/* As people read it, in metric or US units; CHOICES for a choice, else NULL. */
size_t fen_reckon_show(char buf[FEN_RECKON_TEXT], fen_measure m, const char *const *choices, double number, bool us);

#endif
