/* state.h -- what a session remembers, and who may change it.
 *
 * chain.c alone changes the fields above the line; weigh.c, cover.c and ask.c
 * work on the scratch below it. All memory is taken when the session is made.
 * Truth is -1, 0, +1; `not` is a minus sign.
 */
#ifndef FEN_STATE_H
#define FEN_STATE_H

#include "fenmend/session.h"
#include "model/net.h"

/* Everything of one rule that a propagation touches, side by side: one cache
 * line a rule. */
typedef struct rule_state {
    int32_t left;     /* parts of the condition still to hold; <= 0: it holds */
    uint32_t blockers; /* fired rules that go over this one */
    fen_id next_fire, next_unfire; /* links of the stratum's queues */
    bool fired, in_fire, in_unfire;
    bool loops;      /* copy of net->loops */
    bool shaken;     /* loops, and lost a part of its condition: is what is left its own doing? */
} rule_state;

struct fen_session {
    const fen_base *base;
    int32_t today;
    fen_answer *given;    /* [n_findings] */
    bool *skipped;        /* [n_findings] */
    fen_truth *truth;     /* [n_tests] */
    rule_state *rule;     /* [n_rules] */
    int32_t *left;        /* [inner nodes] */
    uint32_t *support;    /* [n_atoms] fired rules that set it */
    bool *on;             /* [n_atoms] set, derived ones only */
    uint32_t *n_on;       /* [n_findings] atoms on */
    fen_weight *score;    /* [n_causes] */
    uint32_t *excluded;   /* [n_causes] fired rules that exclude it */
    uint32_t *raised;     /* [n_hazards] fired rules that raise it */
    /* queues of one propagation, all empty between two */
    fen_id *fire_head, *unfire_head; /* [n_strata] */
    fen_id *settle_head;  /* [n_strata] findings to settle */
    fen_id *settle_next;  /* [n_findings] */
    bool *in_settle;      /* [n_findings] */
    fen_id *again_next;   /* [n_atoms] looped atoms taken off, to be set again if still supported */
    bool *in_again;       /* [n_atoms] */
    fen_id *again_head;   /* [n_strata] */
    uint64_t *pending;    /* bits of strata with work */
    /* ---------------------------------------------------------------- */
    bool watching;        /* collect causes whose score changes */
    fen_id *touched;      /* [n_causes] */
    bool *is_touched;     /* [n_causes] */
    uint32_t n_touched;
    struct fen_scratch *scratch; /* of verdict and questions, see scratch.h */
    void *block;          /* the one allocation behind all arrays */
};

/* chain.c: fill a new session's state: what holds without any answer. */
void fen_chain_start(fen_session *s);
/* Set one answer, known to be fit, and bring everything up to date. */
void fen_chain_answer(fen_session *s, fen_id finding, fen_answer answer);

/* Causes whose score or exclusion changes from now on are listed in s->touched. */
void fen_watch_begin(fen_session *s);
void fen_watch_end(fen_session *s);

/* truth.c: a base test's truth under the answers given. */
fen_truth fen_truth_of(const fen_session *s, fen_id test);
/* The same, were FINDING answered so. Nothing is changed. */
bool fen_expr_value(const fen_session *s, fen_id expr, double *ret_value);
bool fen_in_range(const fen_test *t, double value);
/* Does the answer fit the finding? */
bool fen_answer_fits(const fen_session *s, fen_id finding, const fen_answer *a);

/* weigh.c: relative probabilities from scores, into scratch; see scratch.h. */

#endif
