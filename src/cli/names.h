/* names.h -- what a person types, to a finding or a cause.
 *
 * Taken are the name as in the packs (crown-rot), with blanks for the hyphens
 * (crown rot), the words shown for it, in any case, and any beginning that fits
 * only one. Exact beats beginning.
 */
#ifndef FEN_NAMES_H
#define FEN_NAMES_H

#include <stdbool.h>
#include <stddef.h>

#include "fenmend/session.h"

#define FEN_NAMES_ERROR 256

/* Next word of *REST, which moves past it and the blanks after; its length, 0 at the end. */
size_t fen_names_word(const char **rest, const char **ret_word);

/* Do the typed bytes say NAME, blanks and hyphens alike, any case; or begin it? */
bool fen_names_same(const char *typed, size_t len, const char *name);
bool fen_names_begins(const char *typed, size_t len, const char *name);

/* FEN_EINPUT: RETERR says "what is wrong; what would be right". Findings that
 * rules derive are refused here; whether one applies to the plant is not asked. */
FEN_MUST_USE fen_status fen_names_finding(const fen_session *s, const char *typed, size_t len, fen_id *ret_finding, char reterr[FEN_NAMES_ERROR]);
/* A cause that the plant can have, as far as its kind is known. LIST is what lists them, and is named
 * where none is near; NULL: the word of the prompt that does. */
FEN_MUST_USE fen_status fen_names_cause(const fen_session *s, const char *typed, size_t len, const char *list, fen_id *ret_cause,
                                        char reterr[FEN_NAMES_ERROR]);
/* What lists causes on a command line. */
#define FEN_NAMES_LISTED "'fenmend check --format=json'"

/* "crown feel soft": the finding is as many words at the front as fit, at least
 * one; *ret_rest is what follows. */
FEN_MUST_USE fen_status fen_names_finding_first(const fen_session *s, const char *typed, fen_id *ret_finding, const char **ret_rest, char reterr[FEN_NAMES_ERROR]);
/* "crown rot winter rest": two causes, cut where both halves fit. */
FEN_MUST_USE fen_status fen_names_two_causes(const fen_session *s, const char *typed, fen_id *ret_a, fen_id *ret_b, char reterr[FEN_NAMES_ERROR]);

#endif
