/* vet.h -- what can only be judged when every pack is in: cycles, questions that
 * can never be asked, things that nothing uses.
 */
#ifndef FEN_VET_H
#define FEN_VET_H

#include "loader.h"

/* The draft has no errors so far. Unused things are warnings. */
void fen_vet_draft(fen_loader *l);
/* Tell why the draft could not be finished. */
void fen_vet_cycle(fen_loader *l, const fen_cycle *cycle);

#endif
