/* prompt_keep.h -- the words `keep` and `lesson`: the case to a file, or among the settled
 * ones, without losing another.
 */
#ifndef FEN_PROMPT_KEEP_H
#define FEN_PROMPT_KEEP_H

#include "prompt.h"

/* NAME: as typed; empty for the file of last time. A file that is neither empty
 * nor the one this case is kept in is replaced only when asked twice. */
void fen_prompt_keep(fen_prompt *p, const char *name);

/* The case as it stands, with what it turned out to be. */
FEN_MUST_USE fen_status fen_prompt_case(fen_prompt *p, const char *id, fen_case **ret_case);
/* The name it has where no file gives it one. */
void fen_prompt_name(const fen_prompt *p, fen_str *out);

/* CAUSE: as typed; empty for what the case says. */
void fen_prompt_lesson(fen_prompt *p, const char *cause);

#endif
