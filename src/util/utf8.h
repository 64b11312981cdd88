/* utf8.h -- UTF-8: validity, columns on a terminal, and keeping control
 * sequences of untrusted text away from it (ECMA-48).
 */
#ifndef FEN_UTF8_H
#define FEN_UTF8_H

#include <stdbool.h>
#include <stddef.h>

#include "str.h"

/* Offset of the first byte that is not part of valid UTF-8 (RFC 3629: no
 * surrogates, no overlong forms), or LEN if all is. */
size_t fen_utf8_check(const char *text, size_t len);
/* Bytes of the character at TEXT (LEN > 0); 1 for a bad byte. */
size_t fen_utf8_step(const char *text, size_t len);
/* Characters (code points) in TEXT. */
size_t fen_utf8_count(const char *text, size_t len);
/* Terminal columns (UAX #11 widths; combining marks 0); TEXT must be valid. */
size_t fen_utf8_width(const char *text, size_t len);
/* Append TEXT with every C0/C1 control, DEL, and bidirectional override made
 * harmless: shown as U+FFFD, or '?' when ASCII is true. A control sequence or string
 * (ECMA-48: from its introducer to its end, or to the end of TEXT) is one mark. TAB and newline become a
 * space unless KEEP_LINES keeps newlines. With ASCII true, characters beyond
 * ASCII are transliterated where common (dashes, quotes, degree, micro) else '?'. */
void fen_utf8_clean(fen_str *out, const char *text, size_t len, bool keep_lines, bool ascii);
/* Append TEXT broken into lines of at most WIDTH columns at spaces, each line
 * after the first indented by INDENT columns; the first starts at column START.
 * A word longer than a line is broken. Newlines in TEXT are kept as breaks. */
void fen_utf8_wrap(fen_str *out, const char *text, size_t len, size_t width, size_t indent, size_t start);

#endif
