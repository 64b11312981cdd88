/* complete.h -- what the Tab key may put at a place of the prompt's line.
 *
 * Knows nothing of the terminal: edit.c asks, and tests do. Candidates are
 * borrowed from the base and the table of words.
 */
#ifndef FEN_COMPLETE_H
#define FEN_COMPLETE_H

#include <stdbool.h>

#include "fenmend/session.h"
#include "util/vec.h"

typedef struct fen_candidates {
    FEN_VEC(const char *) at;
    bool files; /* names of files belong here, which the terminal lists itself */
} fen_candidates;

/* START is where the word to be completed begins in LINE, END where the cursor is.
 * OPEN is the question's finding, or FEN_NONE. Only candidates that begin with
 * what stands between START and END are given, in the order of the base. */
FEN_MUST_USE fen_status fen_complete(const fen_session *s, fen_id open, const char *line, size_t start, size_t end, fen_candidates *ret);
void fen_candidates_free(fen_candidates *c);

#endif
