/* batch_judge.h -- one worker of a batch: a piece of a file in, results out.
 *
 * A worker has one session (and one more for the simulated user), cleared from case
 * to case. Nothing is shared between workers but the base and the file's head.
 */
#ifndef FEN_BATCH_JUDGE_H
#define FEN_BATCH_JUDGE_H

#include "case_csv.h"
#include "feed.h"

typedef FEN_VEC(fen_mark) fen_marks;

/* A piece, and what became of it. */
typedef struct fen_batch_task {
    fen_piece_of_file piece;
    const fen_csv_head *head; /* CSV; NULL: the head could not be read, and the rows cannot */
    fen_str out, err;
    fen_marks marks;
    fen_status status;
} fen_batch_task;

typedef struct fen_worker fen_worker;

FEN_MUST_USE fen_status fen_worker_new(const fen_batch *b, fen_worker **ret_worker);
void fen_worker_free(fen_worker *w);
/* Judge all cases of TASK; its `status` is FEN_OK unless the machine failed. */
void fen_worker_do(fen_worker *w, fen_batch_task *task);

/* Append PROBLEMS as text to OUT and empty the list (a new one is made). */
FEN_MUST_USE fen_status fen_problems_flush(fen_problems **problems, fen_str *out);

#endif
