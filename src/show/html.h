/* html.h -- what the HTML views are written with: escaped text, and words out of
 * the text views.
 *
 * A piece of a text view is taken by filling the scratch page and closing it: one
 * paragraph, whose line breaks become blanks. Failures are kept in `status` and in
 * the text itself.
 */
#ifndef FEN_HTML_H
#define FEN_HTML_H

#include "advice/plan.h"
#include "fenmend/due.h"
#include "page.h"

typedef struct fen_html {
    fen_str *out;
    fen_page *scratch;
    fen_session *s;
    const fen_base *base;
    const fen_plan *plan;
    bool us;
    fen_status status;
} fen_html;

void fen_html_raw(fen_html *h, const char *markup);
void fen_html_rawf(fen_html *h, const char *format, ...) FEN_PRINTF(2, 3); /* no %f, nothing from packs or cases */
/* Text, escaped and cleaned. */
void fen_html_text(fen_html *h, const char *text);
/* "<p class='x'>text</p>" */
void fen_html_element(fen_html *h, const char *tag, const char *text);

/* The scratch page, open for one paragraph; and its text, put as text. */
fen_page *fen_html_open(fen_html *h);
void fen_html_close(fen_html *h);
/* The same to a text of its own, for SVG, which does not wrap by itself. */
void fen_html_take(fen_html *h, fen_str *ret);

/* SVG text of at most COLUMNS columns a line and LINES lines (the last ends in an ellipsis), each
 * a tspan 17 units below the one before. Returns the number of lines. */
unsigned fen_svg_wrap(fen_html *h, const char *text, int x, int y, unsigned columns, unsigned lines, const char *classes);
/* How many lines that would be. */
unsigned fen_svg_lines(const char *text, unsigned columns, unsigned lines);

/* The pictures; each with a title and a description, for those who do not see it. */
void fen_html_causes(fen_html *h);
void fen_html_chain(fen_html *h, fen_id cause);
void fen_html_days(fen_html *h, const fen_dues *dues, int32_t today);

#endif
