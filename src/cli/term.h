/* term.h -- what the terminal and the locale can do. Only this file asks them.
 */
#ifndef FEN_TERM_H
#define FEN_TERM_H

#include <stdbool.h>
#include <stdint.h>

#include "util/str.h"

typedef enum fen_colour { FEN_COLOUR_AUTO, FEN_COLOUR_ALWAYS, FEN_COLOUR_NEVER } fen_colour;

/* Take character set (and nothing else: numbers and dates stay ours) from the
 * environment. Call once, first. */
void fen_term_start(void);

/* Columns to write in: COLUMNS if it is a number; else the window of FD; else
 * 80. A very wide window is not filled: long lines read badly. At least 32. */
uint32_t fen_term_width(int fd);
/* Neither a terminal nor COLUMNS says how wide lines may be. */
bool fen_term_unbounded(int fd);

/* Shall FD get colour? AUTO: a terminal that is not dumb, unless NO_COLOR is set
 * and not empty (no-color.org). */
bool fen_term_colour(fen_colour wish, int fd);

/* Is the locale's character set UTF-8? */
bool fen_term_utf8(void);

/* Typed bytes as UTF-8: valid UTF-8 stays as it is, other bytes are read in the
 * locale's character set. false: they are in neither (or no memory). */
bool fen_term_read(fen_str *out, const char *text, size_t len);

/* The same of a line typed, without the blanks around it; it lies in TEXT, which is empty
 * before. NULL: as above, or there is a zero byte in it. */
const char *fen_term_line(fen_str *text, const fen_str *bytes);

#endif
