/* scratch.h -- the working memory of verdicts and questions, and the small
 * modules that share it: weigh, answers, ask, together, cover.
 *
 * "Now" is the state of the answers when fen_weigh last ran; trials compare
 * with it. Everything is sized when the session is made.
 */
#ifndef FEN_SCRATCH_H
#define FEN_SCRATCH_H

#include "fenmend/why.h"
#include "state.h"

/* One possible answer of an open finding: fen_outcome without its result. */
typedef struct possible {
    fen_answer answer;
    double usual;       /* share among plants brought in, sums to 1 over the list */
    double lo, hi;      /* stretch of a quantity or of an age; NaN otherwise */
    bool lo_in, hi_in;
} possible;

typedef struct cut { /* a place where some rule changes its mind */
    double at;
    bool after; /* false: just below AT belongs to the other side than AT */
} cut;

struct fen_scratch {
    bool weighed, judged;   /* p is of now; verdict is of now */
    double *p;              /* [n_causes] */
    fen_weight top;         /* a score and the sum of weights relative to it behind p: */
    double sum;             /* p is 10^((score - top)/10) / sum; 0: every cause is out */
    fen_weight *score0;     /* [n_causes] scores of now */
    bool *out0;             /* [n_causes] excluded now */
    bool *applies;          /* [n_causes] */
    fen_id *ranking;        /* [n_causes] */
    uint32_t n_ranking;
    double *norm;           /* [n_causes] sum over answers of usual * factor */
    double *moved;          /* [n_causes] share of the answers that touch it */
    fen_id *normed;         /* [n_causes] whose norm is not 1 */
    bool *is_normed;        /* [n_causes] */
    uint32_t n_normed;
    possible *answers;      /* [max_answers] */
    uint32_t n_answers, max_answers;
    cut *cuts;              /* [max_answers] */
    /* together.c: a set of answers that would make one rule fire */
    fen_id *plan_finding;   /* [FEN_PLAN_MAX] */
    fen_answer *plan_answer;
    double *plan_usual;
    uint32_t n_plan;
    /* cover.c */
    uint32_t words;         /* of one set of signs */
    fen_id *present;        /* [n_signs] */
    uint32_t n_present;
    uint64_t *accounts;     /* [n_causes * words] */
    uint64_t *need, *have;  /* [words] scratch sets */
    uint64_t *levels;       /* [words * FEN_COVER_MAX] */
    fen_id *trying, *best;  /* [FEN_COVER_MAX] */
    uint32_t *rule_seen;    /* [n_rules] stamps */
    uint32_t stamp;
    fen_id *rule_stack;     /* [n_rules] */
    fen_id *unexplained;    /* [n_signs] */
    fen_id *hazards;        /* [n_hazards] */
    fen_id *clashes;        /* [n_findings] */
    fen_verdict verdict;
};

#define FEN_COVER_MAX 8u      /* causes of one covering set: no plant has nine */
#define FEN_COVER_WORK 200000u /* sets looked at before the search gives up on exactness */
#define FEN_PLAN_MAX 8u       /* open findings one rule may wait for and still be asked together */

/* weigh.c: p, ranking and score0 of now, unless they are. */
void fen_weigh(fen_session *s);
/* How a trial changed the weight of CAUSE: 1 is not at all, 0 excluded. */
double fen_factor(const fen_session *s, fen_id cause);
/* Sum of p * factor over all causes, given that the touched ones are in s->touched. */
double fen_mass(const fen_session *s);
/* Bits by which the trial's P differs from P now: KL(after || now). */
double fen_surprise(const fen_session *s, double mass);
/* The leading cause in the trial, and its probability. */
fen_id fen_leader(const fen_session *s, double mass, double *ret_p);

/* answers.c: what FINDING could be answered, into scratch->answers. */
void fen_list_answers(fen_session *s, fen_id finding);

/* ask.c: chance of each listed answer, by what is known of the causes; calls
 * f(ctx, i, chance, mass) within each trial. */
void fen_try_answers(fen_session *s, fen_id finding,
                     void (*f)(fen_session *s, void *ctx, uint32_t i, double chance, double mass), void *ctx);

/* together.c: the best line of several questions that one rule waits for. */
typedef struct fen_line_of_questions {
    fen_id rule, finding; /* FEN_NONE: there is none */
    double gain, worth;
} fen_line_of_questions;
void fen_best_together(fen_session *s, fen_line_of_questions *ret);

/* cover.c: fills accounts, covering, unexplained of the verdict. */
void fen_cover(fen_session *s);
/* The signs that CAUSE accounts for, as bits over scratch->present. */
const uint64_t *fen_accounts_of(fen_session *s, fen_id cause);

/* Put ANSWER in without touching the verdict of now (the caller undoes it). */
static inline void fen_trial(fen_session *s, fen_id finding, fen_answer a)
{
    fen_chain_answer(s, finding, a);
}

#endif
