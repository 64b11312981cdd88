/* prompt.h -- the dialogue about one plant: ask, take an answer, ask on, until the
 * verdict stands or the grower leaves.
 *
 * It reads lines from a reader and writes to two sinks, so that it runs the same
 * on a terminal, in a pipe and in a test. Results go to OUT, complaints to ERR.
 * A line that is refused changes nothing.
 *
 * What a line means, in this order: nothing (ask again, or ask on after the
 * verdict); `= ANSWER`, always an answer; `/WORD`, always a word of the prompt;
 * exactly an answer of the open question; a word of the prompt with what it
 * needs; an answer.
 */
#ifndef FEN_PROMPT_H
#define FEN_PROMPT_H

#include "fenmend/case.h"
#include "fenmend/follow_view.h"
#include "fenmend/report.h"
#include "message.h"
#include "reader.h"
#include "teach.h"

typedef struct fen_prompt_setup {
    fen_session *session;     /* borrowed, and changed; a case's answers are in it already */
    const fen_case *earlier;  /* the case that is gone on with, or NULL */
    const char *path;         /* its file, or NULL */
    fen_reader *in;
    fen_sink *out, *err;
    fen_look (*look)(void *); /* asked before each page: a window changes size */
    void *look_arg;
    const fen_follow *follow; /* what the last visit promised, if this is another; or NULL */
    const fen_lesson_places *places; /* where `lesson` and `keep` put what is settled, or NULL */
} fen_prompt_setup;

typedef struct fen_prompt fen_prompt;

FEN_MUST_USE fen_status fen_prompt_new(const fen_prompt_setup *setup, fen_prompt **ret_prompt);
void fen_prompt_free(fen_prompt *p);

/* Talk until it ends. FEN_EXIT_INPUT when a line of a pipe was refused: what came
 * after it may have answered the wrong question. */
fen_exit fen_prompt_run(fen_prompt *p);

/* The finding of the open question, or FEN_NONE; for completion. */
fen_id fen_prompt_open(const fen_prompt *p);
/* Is it the dialogue about a lesson that reads? Then its words are to be completed. */
bool fen_prompt_teaching(const fen_prompt *p);

#endif
