/* case_own.h -- the memory of a case: one arena that goes with it.
 */
#ifndef FEN_CASE_OWN_H
#define FEN_CASE_OWN_H

#include "fenmend/case.h"
#include "util/arena.h"

/* Make ARENA (taken, also on failure) the owner of a copy of C, whose parts all
 * lie in it. NULL: no memory. */
fen_case *fen_case_own(fen_arena *arena, const fen_case *c);

#endif
