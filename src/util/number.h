/* number.h -- numbers as text, with '.' in every locale.
 */
#ifndef FEN_NUMBER_H
#define FEN_NUMBER_H

#include <stdbool.h>
#include <stddef.h>

/* Bytes that fen_number_write needs at most, with the NUL. */
#define FEN_NUMBER_MAX 32

/* Read the longest decimal number (sign, digits, '.', exponent) at the start of
 * TEXT; *ret_len is how many bytes it took. false: none there, or not finite.
 * A comma is never a point; hex, inf and nan are not numbers; the exponent is
 * taken only when digits follow ("5em" is 5 then "em"). */
bool fen_number_read(const char *text, size_t len, double *ret_value, size_t *ret_len);

/* The shortest decimal that reads back as the same double; returns its length. */
size_t fen_number_write(char buf[FEN_NUMBER_MAX], double value);

/* For people: rounded to DIGITS significant digits, no exponent below 1e15, no
 * trailing zeros ("180", "0.25", "23.9"). */
size_t fen_number_show(char buf[FEN_NUMBER_MAX], double value, int digits);

#endif
