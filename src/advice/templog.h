/* templog.h -- a temperature log, row by row, from comma-separated text.
 *
 * The first line names the columns: a date (or date and time in one), perhaps a
 * time, and a temperature or the day's lowest and highest. The unit stands in the
 * heading ("temperature C") or behind each number ("4.5 C"). Comma, semicolon or
 * tab part the columns (RFC 4180 quoting); other columns are passed over. Dates are
 * ISO 8601, clocks have 24 hours, rows go forward in time.
 *
 * Nothing is allocated; a log borrows its text. Errors carry line and column.
 */
#ifndef FEN_TEMPLOG_H
#define FEN_TEMPLOG_H

#include <stdbool.h>

#include "fenmend/reckon.h"

#define FEN_TEMPLOG_GAP 3.0 /* hours: what lies further apart leaves the time between unknown */

typedef struct fen_templog_span {
    double day;      /* when it begins, days since 1970-01-01 */
    double hours;    /* how long the reading stands for */
    double unlogged; /* hours after that without a reading */
    double low, high; /* C */
} fen_templog_span;

typedef struct fen_templog_row {
    double day;
    double low, high;
    bool timed;
} fen_templog_row;

typedef struct fen_templog {
    const char *text;
    size_t len, at;
    uint32_t line;
    size_t line_at;    /* where the line begins */
    char between;
    int date, time, temperature, low, high; /* columns; -1: none */
    char unit;         /* 'C', 'F', or 0: behind each number */
    bool pending;
    fen_templog_row row; /* read, its span not yet known */
    double step;       /* hours, of the last span */
} fen_templog;

FEN_MUST_USE fen_status fen_templog_open(const char *text, size_t len, fen_templog *ret, fen_reckon_error *reterr);
/* The next span; *ret_more false at the end. */
FEN_MUST_USE fen_status fen_templog_next(fen_templog *log, fen_templog_span *ret, bool *ret_more, fen_reckon_error *reterr);

#endif
