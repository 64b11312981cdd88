/* date.h -- days of the proleptic Gregorian calendar, as ISO 8601 writes them.
 * A day is a count of days since 1970-01-01; no clock, no time zone here.
 */
#ifndef FEN_DATE_H
#define FEN_DATE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#define FEN_DATE_TEXT 16

int32_t fen_date_day(int year, int month, int day);         /* parts must be valid */
void fen_date_parts(int32_t date, int *ret_year, int *ret_month, int *ret_day);
bool fen_date_valid(int year, int month, int day);
/* "2026-11-25", years 0001 to 9999; false: not such a date. */
bool fen_date_read(const char *text, size_t len, int32_t *ret_date);
void fen_date_write(char buf[FEN_DATE_TEXT], int32_t date);

#endif
