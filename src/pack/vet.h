/* vet.h -- what can only be judged when every pack is in: cycles, questions that
 * can never be asked, things that nothing uses.
 */
#ifndef FEN_VET_H
#define FEN_VET_H

#include "loader.h"

/* The draft has no errors so far. Things that are idle but do no harm are warnings. */
void fen_vet_draft(fen_loader *l);
/* Questions that wait for their own answers. */
void fen_vet_asking(fen_loader *l);
/* Is the quantity NODE, which was read, one that nobody would write so? */
void fen_vet_written(fen_loader *l, const fen_node *node, fen_dim dim);
/* Tell why the draft could not be finished. */
void fen_vet_cycle(fen_loader *l, const fen_cycle *cycle);

/* F(ctx, finding) for every finding that a condition looks at; false from F ends
 * the walk and is handed on. */
bool fen_vet_walk(const fen_draft *d, fen_id cond, bool (*f)(void *ctx, fen_id finding, fen_id cond), void *ctx);
/* Make l->source the file that declared thing I of PART. */
void fen_vet_go_to(fen_loader *l, fen_part part, uint32_t i);

#endif
