/* text_parts.h -- sections that several views share. Each has its own title and
 * is left out altogether where there is nothing to show.
 */
#ifndef FEN_TEXT_PARTS_H
#define FEN_TEXT_PARTS_H

#include "page.h"

/* FULL: with what they do and why they are believed. */
void fen_show_part_hazards(fen_page *page, fen_session *s, bool full);
void fen_show_part_unexplained(fen_page *page, fen_session *s);
void fen_show_part_clashes(fen_page *page, fen_session *s);
/* "If ... were ..., ... would be most likely": one paragraph at INDENT. */
void fen_show_part_flip(fen_page *page, fen_session *s, const fen_flip *f, unsigned indent);

#endif
