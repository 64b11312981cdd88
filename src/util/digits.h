/* digits.h -- the two kinds of number of which a batch writes millions: chances
 * and scores. number.h is right for everything; this is the same, fast.
 */
#ifndef FEN_DIGITS_H
#define FEN_DIGITS_H

#include <stddef.h>
#include <stdint.h>

#include "number.h"

/* A chance from 0 to 1, in the fewest digits that read back as the same double.
 * Other numbers go to fen_number_write. */
size_t fen_digits_chance(char buf[FEN_NUMBER_MAX], double p);

/* VALUE / 10^12 exactly, in decimals. */
#define FEN_DIGITS_FIXED 24
size_t fen_digits_fixed12(char buf[FEN_DIGITS_FIXED], int64_t value);
size_t fen_digits_count(char buf[FEN_DIGITS_FIXED], uint64_t value);

#endif
