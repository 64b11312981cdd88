/* vet_chain.h -- what a set of answers leads to, worked out the plain way.
 *
 * The engine knows this better, but serves one case at a time and is of another room.
 * Here a handful of answers, found by looking at conditions, is tried once: derived
 * findings alone are worked out, stratum by stratum, until nothing changes. Ages stand for
 * dates.
 */
#ifndef FEN_VET_CHAIN_H
#define FEN_VET_CHAIN_H

#include "vet_box.h"

typedef struct fen_trial {
    const fen_base *base;
    /* by finding: the answers */
    uint8_t *state;   /* FEN_IS_... */
    uint64_t *picks;
    double *value;
    /* what follows */
    uint64_t *derived; /* by finding: values that hold */
    bool *fired, *beaten; /* by rule */
    fen_id *rules;     /* those that matter for derived findings, by stratum */
    uint32_t n_rules;
    uint64_t work;     /* conditions looked at so far */
} fen_trial;

FEN_MUST_USE fen_status fen_trial_begin(fen_trial *t, const fen_base *base, fen_arena *arena);
void fen_trial_clear(fen_trial *t);
/* Work out what follows from the answers. */
void fen_trial_run(fen_trial *t);
/* The value of a sum; false if there is none. */
bool fen_trial_sum(const fen_trial *t, const fen_expr *e, double *ret_value);

#endif
