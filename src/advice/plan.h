/* plan.h -- what to do, merged from the remedies of everything that is wrong.
 *
 * Taken in: the remedies of the covering set, of the leading cause where it is at
 * least as likely as not, and of every hazard raised. Steps come most urgent remedy first, within a remedy as `after` says;
 * a step that two remedies share comes once, where it is first wanted. A step
 * whose `when` is not known to hold is told apart by `ready`; `after` is order
 * only, so what follows such a step is not held back with it. Fast killers that
 * are not ruled out put their deciding finding into `checks`.
 *
 * A plan owns its memory and borrows texts from the base.
 */
#ifndef FEN_PLAN_H
#define FEN_PLAN_H

#include "fenmend/session.h"

typedef struct fen_plan_step {
    fen_id remedy;
    uint32_t step;        /* of the remedy */
    fen_urgency urgency;  /* of what the remedy is for */
    fen_truth ready;      /* +1: to be done; 0, -1: held back, its condition unknown or false */
} fen_plan_step;

typedef struct fen_plan_check {
    fen_id cause;
    fen_id finding; /* what decides it; open or unsure, and askable */
    double p;
} fen_plan_check;

typedef struct fen_plan_remedy {
    fen_id remedy;
    fen_urgency urgency;
    fen_id cause, hazard; /* what it is for here: one of the two, the other FEN_NONE */
} fen_plan_remedy;

typedef struct fen_plan {
    fen_list causes; /* what it is for, beside hazards; most probable first */
    const fen_plan_check *checks;
    size_t n_checks;
    const fen_plan_remedy *remedies; /* most urgent first */
    size_t n_remedies;
    const fen_plan_step *steps;
    size_t n_steps;
    fen_texts never;
    fen_texts cautions; /* ids, each once, in order of the steps */
    double look_again;  /* days, the soonest of all; NaN if no remedy names any */
} fen_plan;

FEN_MUST_USE fen_status fen_plan_make(fen_session *s, fen_plan **ret_plan);
void fen_plan_free(fen_plan *plan);

#endif
