/* page.h -- paragraphs of a text view: cleaned, wrapped, indented, toned.
 *
 * A paragraph is opened, filled with pieces, and closed; closing wraps it to
 * the page's width. Everything that comes out of a pack or a case goes through
 * fen_page_say(f), which takes control sequences out. U+00A0 in a piece keeps
 * two words on one line and is written as a blank.
 *
 * Failures are noted and shown by fen_page_status; nothing here returns one.
 */
#ifndef FEN_PAGE_H
#define FEN_PAGE_H

#include "fenmend/report.h"

#define FEN_NBSP "\xc2\xa0"

/* Tones only repeat what the words say. */
typedef enum fen_tone { FEN_TONE_PLAIN, FEN_TONE_STRONG, FEN_TONE_DANGER, FEN_TONE_GOOD, FEN_TONE_DIM, FEN_TONES } fen_tone;

/* Signs with a stand-in for terminals that only know ASCII. */
typedef enum fen_glyph { FEN_GLYPH_DASH, FEN_GLYPH_TO, FEN_GLYPH_BAR, FEN_GLYPH_BAR_REST, FEN_GLYPHS } fen_glyph;
const char *fen_page_glyph(const fen_page *page, fen_glyph glyph);

fen_look fen_page_look(const fen_page *page);
uint32_t fen_page_width(const fen_page *page); /* columns a line may have */
void fen_page_fail(fen_page *page, fen_status st);

/* A paragraph whose first line is indented by FIRST columns, the others by REST. */
void fen_page_open(fen_page *page, unsigned first, unsigned rest);
/* One that begins with a mark ("-", "1.") at column INDENT, its text beside it. */
void fen_page_open_mark(fen_page *page, unsigned indent, const char *mark);
void fen_page_say(fen_page *page, fen_tone tone, const char *text);
void fen_page_sayf(fen_page *page, fen_tone tone, const char *format, ...) FEN_PRINTF(3, 4);
void fen_page_close(fen_page *page);

/* A whole paragraph at once. */
void fen_page_line(fen_page *page, unsigned indent, fen_tone tone, const char *format, ...) FEN_PRINTF(4, 5);
/* An empty line, unless there is one or the page is empty. */
void fen_page_gap(fen_page *page);
/* A gap and a title. */
void fen_page_title(fen_page *page, const char *text);
/* Text that is already laid out, lines and all; cleaned only. */
void fen_page_raw(fen_page *page, const char *text);

#endif
