/* record_text.h -- cells and lines of the tables that batches print.
 */
#ifndef FEN_RECORD_TEXT_H
#define FEN_RECORD_TEXT_H

#include <stdbool.h>

#include "fenmend/report.h"
#include "util/number.h"
#include "util/str.h"

/* TEXT cleaned, cut or filled to WIDTH columns. */
void fen_cell_put(fen_str *out, const char *text, size_t width, bool right, bool ascii);
/* The same, but cut in its middle: names that are numbered at their end stay apart. LOOK.whole: not cut. */
void fen_name_put(fen_str *out, const char *text, size_t width, fen_look look);
/* The last cell of a line: cut to WIDTH, unless LOOK.whole, and not filled. */
void fen_last_put(fen_str *out, const char *text, size_t width, fen_look look);
/* A chance to three digits, however small: "0.0123", "3.48e-6"; but of what is below what
 * numbers are made for only that it is: "<1e-300". */
void fen_small_show(char buf[FEN_NUMBER_MAX], double p);
void fen_gap_put(fen_str *out, size_t n);
/* TEXT cleaned, from column START on; further lines, up to WIDTH, begin at INDENT. Its own line
 * ends are blanks: nothing in it can look like another line of the table. */
void fen_wrapped_put(fen_str *out, const char *text, size_t width, size_t indent, size_t start, bool ascii);
/* End the line without blanks before its end. */
void fen_line_end(fen_str *out);

#endif
