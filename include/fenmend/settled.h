/* settled.h -- the cases whose true cause is known, kept in one file: what rules are
 * held to.
 *
 * The file is YAML, one case a document, in the format of case.h with `format` in
 * each; every command that reads cases reads it as it is, and so does a person. What
 * else stands in it (comments, the order, cases written by hand or in a list) stays, byte for
 * byte. A file of which anything cannot be read is never written to.
 *
 * Writing is atomic, and one process at a time: a second one waits for a moment, then is
 * told. Nothing that was kept is lost silently: a case takes the place of one of the same
 * name only if it says all that that one said, or if the caller was told to replace it.
 */
#ifndef FENMEND_SETTLED_H
#define FENMEND_SETTLED_H

#include "fenmend/case.h"

typedef enum fen_settled_put {
    FEN_SETTLED_ADDED,
    FEN_SETTLED_SAME,     /* it is there already; nothing was written */
    FEN_SETTLED_GREW,     /* in place of one that said nothing else */
    FEN_SETTLED_REPLACED, /* in place of one that said something else, as told */
    FEN_SETTLED_OTHER     /* one of this name says something else; nothing was written */
} fen_settled_put;

/* Keep C, which is settled, in the file PATH (made if there is none; its folder must be there).
 * FEN_EINPUT: problems were added, nothing was written. FEN_EIO with errno: the same. */
FEN_MUST_USE fen_status fen_settled_keep(const fen_base *base, const char *path, const fen_case *c, bool replace, int32_t today,
                                         fen_problems *problems, fen_settled_put *ret_put);

#endif
