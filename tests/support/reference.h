/* reference.h -- rows of tests/reference/NAME.csv: numbers from outside the
 * project, each with its source and how it was checked.
 *
 * Columns: id, input (name=value pairs between spaces; lists between ';', matrix
 * rows '|', cells ','), expected, tolerance (absolute, or relative with a
 * trailing "rel"), source, how_verified. A row of how_verified "from-memory" is
 * compared and reported, but fails nothing.
 */
#ifndef REFERENCE_H
#define REFERENCE_H

#include <stdbool.h>
#include <stddef.h>

enum { REF_ROWS = 400, REF_LIST = 64, REF_TEXT = 256 };

typedef struct ref_row {
    char id[16], input[REF_TEXT], expected[REF_TEXT], tolerance[32], source[96], how[32];
} ref_row;

/* Rows of the file, or -1 with a message. */
int ref_read(const char *name, ref_row rows[REF_ROWS]);

/* The text after KEY=, or false. */
bool ref_text(const ref_row *row, const char *key, char ret[REF_TEXT]);
bool ref_number(const ref_row *row, const char *key, double *ret);
bool ref_is(const ref_row *row, const char *key, const char *value);
/* "a;b;c" (or any of ";|," as separators): how many numbers. */
int ref_list(const char *text, double ret[REF_LIST]);

/* Is the I-th number of `expected` (or `expected` as a whole) GOT, within the
 * row's tolerance? Says what differs on standard error. */
bool ref_near(const ref_row *row, int i, double got);

#endif
