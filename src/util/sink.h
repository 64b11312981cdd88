/* sink.h -- where bytes of a result go: a stream, or a text in memory.
 *
 * Like str.h, a failed write is noted and checked once at the end.
 */
#ifndef FEN_SINK_H
#define FEN_SINK_H

#include <stdbool.h>
#include <stdio.h>

#include "str.h"

typedef struct fen_sink {
    FILE *file;    /* or NULL */
    fen_str *text; /* or NULL */
    int error;     /* errno of the first failed write, 0 none */
} fen_sink;

fen_sink fen_sink_file(FILE *file);
fen_sink fen_sink_text(fen_str *text);
void fen_sink_put(fen_sink *s, const char *bytes, size_t len);
void fen_sink_puts(fen_sink *s, const char *text);
void fen_sink_printf(fen_sink *s, const char *format, ...) FEN_PRINTF(2, 3);
/* Hand on what a stream has in memory, so that who reads along gets whole pieces. False:
 * this or a put before has failed, and more of the same is of no use. */
bool fen_sink_flush(fen_sink *s);
/* Flush; FEN_EIO (errno set), FEN_ENOMEM or FEN_OK. */
FEN_MUST_USE fen_status fen_sink_finish(fen_sink *s);

#endif
