/* spool.h -- bytes put aside to be handed on later: in memory while they are few, in an
 * unnamed temporary file beyond that.
 */
#ifndef FEN_SPOOL_H
#define FEN_SPOOL_H

#include <stdio.h>

#include "sink.h"

#define FEN_SPOOL_MEMORY ((size_t)1 << 20) /* bytes kept in memory: a few thousand lines */

typedef struct fen_spool {
    fen_str text;
    FILE *file;
} fen_spool;

void fen_spool_init(fen_spool *s);
void fen_spool_free(fen_spool *s);
/* FEN_EIO with errno, FEN_ENOMEM. */
FEN_MUST_USE fen_status fen_spool_put(fen_spool *s, const char *bytes, size_t len);
FEN_MUST_USE fen_status fen_spool_copy(fen_spool *s, fen_sink *to);

#endif
