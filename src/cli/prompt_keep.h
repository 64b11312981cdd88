/* prompt_keep.h -- the word `keep`: the case to a file, without losing another.
 */
#ifndef FEN_PROMPT_KEEP_H
#define FEN_PROMPT_KEEP_H

#include "prompt.h"

/* NAME: as typed; empty for the file of last time. A file that is neither empty
 * nor the one this case is kept in is replaced only when asked twice. */
void fen_prompt_keep(fen_prompt *p, const char *name);

#endif
