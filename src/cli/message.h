/* message.h -- the one printer of complaints, and the one way from a status to an
 * exit status.
 *
 * Every complaint is one line: `WHERE: error: what is wrong; what would be right`.
 * Whatever it quotes is cleaned of control sequences.
 */
#ifndef FEN_MESSAGE_H
#define FEN_MESSAGE_H

#include <stdbool.h>

#include "fenmend/problem.h"
#include "fenmend/status.h"
#include "util/sink.h"

typedef enum fen_exit {
    FEN_EXIT_DONE = 0,
    FEN_EXIT_ATTENTION = 1, /* done, and something needs attention where the command says so */
    FEN_EXIT_INPUT = 2,     /* unusable input or usage */
    FEN_EXIT_MACHINE = 3    /* disk full, no memory */
} fen_exit;

/* For FEN_EIO errno decides: a file that is not there or may not be read is
 * unusable input, a disk that fails is a fault of the machine. */
fen_exit fen_exit_for(fen_status st, int error);

/* WHERE (NULL: left out) says which file, line or program; TEXT is printed after
 * the word for SEVERITY. */
void fen_message(fen_sink *err, fen_severity severity, const char *where, const char *text);
void fen_messagef(fen_sink *err, fen_severity severity, const char *where, const char *format, ...) FEN_PRINTF(4, 5);
/* The same for a person at a terminal of WIDTH columns, broken at blanks. */
void fen_message_wrapped(fen_sink *err, fen_severity severity, const char *text, size_t width);
/* What a status means for WHERE, with ERROR (an errno) for FEN_EIO. */
void fen_message_status(fen_sink *err, const char *where, fen_status st, int error);

#endif
