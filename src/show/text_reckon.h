/* text_reckon.h -- what the views of the calculators share.
 */
#ifndef FEN_TEXT_RECKON_H
#define FEN_TEXT_RECKON_H

#include "fenmend/reckon_view.h"
#include "page.h"

enum { INDENT = 2, GAP = 2, ROOMY = 64 }; /* columns; from ROOMY on there is room for a table */

/* TEXT, then blanks that hold together up to COLUMNS columns. */
void fen_reckon_say_padded(fen_page *page, fen_tone tone, const char *text, size_t columns);
/* Source, trust and caution, after the formula if FORMULA. */
void fen_reckon_show_background(fen_page *page, const fen_reckoner *r, bool formula);

#endif
