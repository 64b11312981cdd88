/* vet_deep.h -- checks of a rule base that loads: what its rules mean beside each
 * other. `vet` runs them; loading for work does not, since none of them keeps a rule
 * base from being used.
 *
 * They look at the finished base and at the conditions as regions (vet_box.h).
 * Each tells a problem where its author would mend it.
 */
#ifndef FEN_VET_DEEP_H
#define FEN_VET_DEEP_H

#include "loader.h"
#include "vet_box.h"

typedef struct fen_vetting {
    fen_loader *l;
    const fen_base *base;
    fen_arena *arena;
    fen_boxes boxes;
    const fen_region *rule; /* [rules] where each rule's condition is true */
    bool nomem;
} fen_vetting;

/* All of them. Problems join the loader's list; FEN_ENOMEM. */
FEN_MUST_USE fen_status fen_vet_deep(fen_loader *l, const fen_base *base);

void fen_vet_conditions(fen_vetting *v); /* that never or always hold, or wait for what is not asked */
void fen_vet_pairs(fen_vetting *v);      /* rules that say the same, or the opposite, of the same answers */
void fen_vet_edges(fen_vetting *v);      /* thresholds that leave a value out, or take it twice */
void fen_vet_clashes(fen_vetting *v);    /* two values at once for a derived finding */
void fen_vet_whole(fen_vetting *v);      /* parts that a cause, hazard or rule should have */
void fen_vet_words(fen_vetting *v);      /* texts and units */

/* Which file PLACE is in. */
const fen_source *fen_vet_source(const fen_vetting *v, fen_place place);
#define fen_vet_tell(v, code, place, right, ...)                                                    \
    fen_source_problem(fen_vet_source((v), (place)), (v)->l->problems, fen_code_severity(code), (code), (place), (right), \
                       __VA_ARGS__)

/* R in terms of what is asked; does it have anything else? */
fen_region fen_vet_unfold(fen_vetting *v, fen_region r);
bool fen_vet_is_folded(const fen_vetting *v, fen_region r);

/* Does A go over B, so that they never fire together? */
bool fen_vet_over(const fen_base *base, fen_id a, fen_id b);

#endif
