/* edit.h -- lines from a terminal with editing, history and completion: the only
 * file that knows readline.
 *
 * One editor at a time, for readline has one state. While it is open, Ctrl-C
 * abandons the line instead of ending the program; a stop (Ctrl-Z), a hangup and a
 * request to terminate leave the terminal as it was found.
 */
#ifndef FEN_EDIT_H
#define FEN_EDIT_H

#include "complete.h"
#include "reader.h"
#include "util/sink.h"

typedef struct fen_edit_setup {
    /* What may stand in LINE between START and END. */
    fen_status (*complete)(void *arg, const char *line, size_t start, size_t end, fen_candidates *ret);
    void *arg;
    const char *folder;  /* of the history file; made with mode 0700; NULL: none is kept */
    fen_sink *err;       /* told once if the history cannot be written */
    bool colour;
} fen_edit_setup;

/* Standard input and output must be terminals. NULL: no memory, or one is open. */
fen_reader *fen_edit_open(const fen_edit_setup *setup);

#endif
