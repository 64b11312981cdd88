/* shared_keys.h -- what cases are compared by: the keys asked for, and what is said of one that
 * no case records.
 *
 * A key is a name of a case's `where`, or a finding; "where." and "finding." before it say
 * which, as in the first row of a CSV file. Names are compared as everywhere (answer_text.h).
 */
#ifndef FEN_SHARED_KEYS_H
#define FEN_SHARED_KEYS_H

#include "fenmend/shared.h"
#include "util/intern.h"

typedef struct fen_wanted {
    const char *typed; /* borrowed, as is the name in it: what stands behind "where." or "finding." */
    const char *name;
    bool where, of_finding; /* which of the two it may be */
    fen_id finding;         /* or FEN_NONE */
} fen_wanted;

/* FEN_EINPUT: RETERR says why. */
FEN_MUST_USE fen_status fen_wanted_read(const fen_base *base, const char *key, fen_wanted *ret, char reterr[FEN_SHARED_TEXT]);
/* Is WHERE, a name of a case's `where`, what is wanted? */
bool fen_wanted_is(const fen_wanted *w, const char *where);
/* No case records it; SEEN is what they record. */
void fen_wanted_missing(const fen_base *base, const fen_wanted *w, const fen_intern *seen, char ret[FEN_SHARED_TEXT]);

#endif
