/* columns.h -- two columns of help: a term, and what it means.
 */
#ifndef FEN_COLUMNS_H
#define FEN_COLUMNS_H

#include <stddef.h>

#include "util/str.h"

/* Append "  LEFT   RIGHT": RIGHT begins at column AT, or on the next line if LEFT is
 * too long or the page narrow; wrapped to WIDTH. */
void fen_columns_put(fen_str *out, const char *left, const char *right, size_t at, size_t width);
/* Append TEXT as a paragraph wrapped to WIDTH. */
void fen_columns_text(fen_str *out, const char *text, size_t width);

#endif
