/* page_own.h -- what a page is made of, shared by the two files that make one.
 *
 * The paragraph being filled holds clean text, in which bytes below 0x20 are
 * ours: FEN_TONE_MARK and up switch the tone, FEN_GLUE is a blank that does not
 * break. Wrapping works on that, so that colour never counts as width.
 */
#ifndef FEN_PAGE_OWN_H
#define FEN_PAGE_OWN_H

#include "page.h"
#include "util/str.h"

enum { FEN_TONE_MARK = 0x01, FEN_GLUE = 0x1f };

struct fen_page {
    fen_look look;
    fen_str out, para, scratch;
    unsigned first, rest; /* indents of the paragraph */
    fen_status status;    /* of the first failure that no text remembers */
};

#endif
