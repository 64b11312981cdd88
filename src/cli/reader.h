/* reader.h -- where the prompt's lines come from: a terminal with editing, a pipe,
 * or a test's array.
 */
#ifndef FEN_READER_H
#define FEN_READER_H

#include <stdbool.h>
#include <stdint.h>

#include "util/str.h"

typedef enum fen_read {
    FEN_READ_LINE,      /* a line, without its end */
    FEN_READ_LONG,      /* a line over FEN_LINE_MAX; it was passed over */
    FEN_READ_ABANDONED, /* Ctrl-C: what was typed is thrown away */
    FEN_READ_END,       /* end of the input, Ctrl-D */
    FEN_READ_FAILED     /* errno says how */
} fen_read;

typedef struct fen_reader fen_reader;
struct fen_reader {
    /* Show ASK if this is a terminal and read the next line into RET_LINE (cleared
     * first). */
    fen_read (*next)(fen_reader *r, const char *ask, fen_str *ret_line);
    void (*close)(fen_reader *r);
    bool terminal; /* a person sees what was typed, and the prompt */
};

/* Lines from a file descriptor, nothing shown; NULL: no memory. */
fen_reader *fen_reader_plain(int fd);

#endif
