/* progress.h -- one line on a terminal's standard error that says how far long work
 * has come. Nothing at all if it is no terminal, or the work is short.
 */
#ifndef FEN_PROGRESS_H
#define FEN_PROGRESS_H

#include <stdbool.h>
#include <stdint.h>

#include "util/sink.h"

typedef struct fen_progress {
    fen_sink *err;
    bool on, shown;
    uint64_t started, last; /* ms */
    uint64_t bytes;         /* of all files, 0: not known */
} fen_progress;

/* PATHS: what will be read; a size is known only of files. */
void fen_progress_start(fen_progress *p, fen_sink *err, const char *const *paths, uint32_t n_paths);
void fen_progress_show(fen_progress *p, uint64_t cases, uint64_t bytes);
/* Take the line away, before anything else is printed. */
void fen_progress_hide(fen_progress *p);

#endif
