/* csv.h -- comma-separated values as RFC 4180 has them, read one record at a time
 * out of a buffer that is still filling, and written.
 *
 * Taken beyond the RFC: LF alone between records, and a separator other than
 * the comma (spreadsheets of many countries write ';'). Blanks belong to the cell.
 * A '"' within an unquoted cell, or anything but a separator after a closing one,
 * is refused: guessing there would shift every later cell.
 */
#ifndef FEN_CSV_H
#define FEN_CSV_H

#include <stdbool.h>
#include <stddef.h>

#include "util/arena.h"
#include "util/str.h"
#include "util/vec.h"

typedef enum fen_csv_state {
    FEN_CSV_RECORD,  /* a whole record */
    FEN_CSV_MORE,    /* it goes on after the end of the buffer */
    FEN_CSV_STRAY,   /* a '"' in a cell that does not begin with one */
    FEN_CSV_AFTER,   /* text behind a closing '"' */
    FEN_CSV_OPEN     /* a '"' that is never closed */
} fen_csv_state;

/* The record at the start of TEXT; LAST: nothing follows LEN. *ret_len: its bytes with
 * the line end. For the faults *ret_bad is the offset of the '"' to blame and
 * *ret_len the first line alone, so that reading may go on after it. */
fen_csv_state fen_csv_next(const char *text, size_t len, bool last, char separator, size_t *ret_len, size_t *ret_bad);

typedef struct fen_csv_cell {
    const char *text; /* unquoted; NUL-terminated, in the arena */
    size_t len;
    size_t at, span;  /* bytes of the record it was written in, quotes and all */
    bool quoted;
} fen_csv_cell;

typedef FEN_VEC(fen_csv_cell) fen_csv_cells;

/* The cells of a whole record of LEN bytes. A blank line has one empty cell. */
FEN_MUST_USE fen_status fen_csv_split(const char *record, size_t len, char separator, fen_arena *arena, fen_csv_cells *cells);

/* Which of ',', ';' and TAB comes first outside quotes; ',' if none does. */
char fen_csv_separator(const char *record, size_t len);

/* Append one cell, quoted where it must be. Control characters other than TAB and
 * newline are made harmless as everywhere (fen_utf8_clean; CR LF becomes LF), wherever the
 * bytes go: a terminal obeys them, and no spreadsheet wants them. Spreadsheets run a cell
 * that begins with = + - @ TAB or a line end: a text that does gets an apostrophe before
 * it. */
void fen_csv_put(fen_str *out, const char *text, size_t len);

#endif
