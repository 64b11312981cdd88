/* plan.h -- what to do, merged from the remedies of everything that is wrong.
 *
 * Taken in: the remedies of the covering set, of the leading cause where it is at
 * least as likely as not, and of every hazard raised. Steps come most urgent remedy first, within a remedy as `after` says;
 * a step that two remedies share comes once, where it is first wanted. A step
 * whose `when` is not known to hold is told apart by `ready`; `after` is order
 * only, so what follows such a step is not held back with it. Fast killers that
 * are not ruled out put their deciding finding into `checks`.
 *
 * Acts (`does`, `against`) keep apart what two remedies say of one thing. The more
 * urgent stays; between equals a do-not, since leaving be harms less than doing, then
 * whatever comes first in the plan. What gives way is in `left`, with what it gave way
 * to. Only steps that are ready can conflict: a step held back is not done.
 *
 * A plan owns its memory and borrows texts from the base.
 */
#ifndef FEN_PLAN_H
#define FEN_PLAN_H

#include "amount.h"
#include "fenmend/session.h"

typedef struct fen_plan_step {
    fen_id remedy;
    uint32_t step;        /* of the remedy */
    fen_urgency urgency;  /* of what the remedy is for */
    fen_truth ready;      /* +1: to be done; 0, -1: held back, its condition unknown or false */
    fen_workings worked;  /* of its amount; count 0: it has none */
} fen_plan_step;

/* A step or do-not of a remedy. */
typedef struct fen_plan_item {
    fen_id remedy;
    uint32_t step, never; /* indices; one of the two is FEN_NONE */
} fen_plan_item;

/* ITEM gave way to BY, for they disagree on ACT. */
typedef struct fen_plan_left {
    fen_plan_item item, by;
    const char *act;
} fen_plan_left;

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
    const fen_plan_left *left;
    size_t n_left;
    fen_list measure;   /* findings that amounts of steps to be done wait for, each once */
    fen_texts cautions; /* ids, each once, in order of the steps */
    double look_again;  /* days, the soonest of all; NaN if no remedy names any */
} fen_plan;

FEN_MUST_USE fen_status fen_plan_make(fen_session *s, fen_plan **ret_plan);
void fen_plan_free(fen_plan *plan);

/* What to do, with its amounts; without them in words that need none. */
void fen_plan_step_text(fen_str *out, const fen_base *base, const fen_plan_step *p, bool us);
const char *fen_plan_item_text(const fen_base *base, fen_plan_item item);

#endif
