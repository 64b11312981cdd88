/* store.h -- the file of settled cases in memory: every case with the bytes it stands in,
 * and the text with one case more, other, or less.
 *
 * See settled.h for what the file is. Nothing here writes or locks.
 */
#ifndef FEN_STORE_H
#define FEN_STORE_H

#include "fenmend/settled.h"
#include "util/str.h"
#include "util/vec.h"

typedef struct fen_stored {
    fen_case *c;
    size_t at, len; /* of what goes when it goes; what stands before stays */
    bool document;  /* it can be replaced where it stands */
    bool alone;     /* nothing else stands in these bytes */
} fen_stored;

typedef struct fen_store {
    const fen_base *base;
    char *text; /* NULL: there is no such file */
    size_t len;
    FEN_VEC(fen_stored) cases;
} fen_store;

#define FEN_STORE_HEAD "# Settled cases, kept by fenmend: plants whose true cause is known. Rules are held to them.\n"

/* Zeroed before; to be closed whatever comes of it. A file that is not there is an empty one.
 * FEN_EINPUT: problems were added. */
FEN_MUST_USE fen_status fen_store_read(const fen_base *base, const char *path, int32_t today, fen_problems *problems, fen_store *ret_store);
void fen_store_close(fen_store *s);

/* The case called ID, or NULL; *ret_twice: there are more of them. */
const fen_stored *fen_store_find(const fen_store *s, const char *id, bool *ret_twice);
/* Does NOW say all that BEFORE said? Their ids are those of one base; `lesson` does not count. */
bool fen_store_says_all(const fen_case *now, const fen_case *before);

/* The text with C in place of OLD, or behind all if OLD is NULL; and without OLD. */
FEN_MUST_USE fen_status fen_store_with(const fen_store *s, const fen_stored *old, const fen_case *c, fen_str *out);
FEN_MUST_USE fen_status fen_store_without(const fen_store *s, const fen_stored *old, fen_str *out);

/* What keeping C would do, and the text then (nothing is appended when nothing is to be written). */
FEN_MUST_USE fen_status fen_store_put(const fen_store *s, const char *path, const fen_case *c, bool replace, int32_t today,
                                      fen_problems *problems, fen_settled_put *ret_put, fen_str *out);
/* Does TEXT hold N_CASES that can be read? FEN_EINPUT, and a problem, if not. */
FEN_MUST_USE fen_status fen_store_check(const fen_store *s, const char *path, const fen_str *text, uint32_t n_cases, int32_t today,
                                        fen_problems *problems);

/* Add the problem that another process is writing PATH. */
FEN_MUST_USE fen_status fen_store_busy(const char *path, fen_problems *problems);

#endif
