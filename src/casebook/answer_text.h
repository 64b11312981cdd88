/* answer_text.h -- comparing what was typed with what a pack calls things, and
 * putting typed text into a message.
 */
#ifndef FEN_ANSWER_TEXT_H
#define FEN_ANSWER_TEXT_H

#include "answer.h"

struct fen_str; /* util/str.h */

/* A borrowed piece of text. */
typedef struct fen_piece {
    const char *at;
    size_t len;
} fen_piece;

typedef enum fen_match { FEN_MATCH_NONE, FEN_MATCH_START, FEN_MATCH_ALL } fen_match;

/* Does NAME equal, or begin with, what is in PIECE? Case, hyphens, curly
 * apostrophes and doubled blanks do not count. An empty piece matches nothing. */
fen_match fen_piece_match(fen_piece piece, const char *name);
/* The same of two pieces, and of several names. */
bool fen_piece_same(fen_piece a, fen_piece b);
bool fen_piece_is_one_of(fen_piece piece, const char *const *names, size_t n);
/* What is called so: by its id, or else in full by its name; FEN_NONE: nothing is. */
fen_id fen_finding_named(const fen_base *base, fen_piece name);
fen_id fen_cause_named(const fen_base *base, fen_piece name);
fen_piece fen_piece_trim(fen_piece piece);
/* The next place at or after AT where one of several answers may end and another begin: a
 * comma and the like, or the word "and". *RET_NEXT is where the next begins. */
size_t fen_piece_break(fen_piece t, size_t at, size_t *ret_next);
/* PIECE with what does not count made the same: two texts fold alike if they match. */
void fen_piece_fold(struct fen_str *out, fen_piece piece);

/* PIECE as it may stand in a message: cut at 40 bytes, control characters and
 * broken UTF-8 replaced. */
#define FEN_SHORT_TEXT 56
const char *fen_piece_short(fen_piece piece, char buf[FEN_SHORT_TEXT]);

/* Fill FAULT; returns FEN_EINPUT so that a reader can end with it. */
fen_status fen_fault_set(fen_answer_fault *fault, fen_code code, size_t at, size_t width);
void fen_fault_what(fen_answer_fault *fault, const char *format, ...) FEN_PRINTF(2, 3);
void fen_fault_right(fen_answer_fault *fault, const char *format, ...) FEN_PRINTF(2, 3);

#endif
