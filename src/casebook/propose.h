/* propose.h -- a flat pack while it is made from a table: what stands where, the fit's
 * problem, and weights as the pack will have them.
 *
 * A *feature* is an answer of a finding or, if missing answers are used, that it is
 * unsure. Parameter g * n_causes + c is the weight of feature g for cause c;
 * the last n_causes are the causes' rates.
 */
#ifndef FEN_PROPOSE_H
#define FEN_PROPOSE_H

#include "fit.h"
#include "table.h"

#define FEN_PROPOSE_WEAK 0.1 /* dBan: a weight below moves odds by less than a fortieth, and is dropped */
#define FEN_PROPOSE_UNSURE (-1)

typedef struct fen_proposed_finding {
    uint32_t column;  /* of the table */
    uint32_t first;   /* feature of its first answer */
    uint32_t answers; /* its unsure, if used, is the feature behind them */
} fen_proposed_finding;

typedef struct fen_proposal {
    const fen_table *t;
    bool missing_used;
    uint32_t n_causes, n_features;
    FEN_VEC(fen_proposed_finding) findings;
    int8_t *cell;       /* [n_rows * n_findings]: answer or FEN_PROPOSE_UNSURE */
    fen_fit fit;        /* over the arrays below */
    uint32_t *cause, *active, *group;
    size_t *active_at;
    double *offset;
    uint8_t *role;
    /* scratch of counting */
    double *count;      /* [n_features * n_causes] */
    double *known;      /* [n_causes] */
    double *rate;       /* [n_causes] */
} fen_proposal;

/* FEN_EINPUT: too few cases, causes or findings. */
FEN_MUST_USE fen_status fen_proposal_new(const fen_table *t, bool missing_used, fen_proposal **ret);
void fen_proposal_free(fen_proposal *p);

/* Naive Bayes from the cases with USE: fen_fit_prior's. */
void fen_proposal_centre(void *proposal, const bool *use, double *ret_centre);
/* How often each answer occurs, into RET[n_features]. */
void fen_proposal_usual(const fen_proposal *p, const bool *use, double *ret_usual);

/* A fitted weight in dBan as the pack has it: rounded to hundredths; 0 when dropped. */
double fen_proposal_weight(const fen_proposal *p, const double *w, uint32_t feature, uint32_t cause);
/* The rates, adding up to 1, into RET[n_causes]. */
void fen_proposal_rates(const fen_proposal *p, const double *w, double *ret_rates);

/* propose_pack.c: the pack as a base, and as text. */
FEN_MUST_USE fen_status fen_proposal_base(const fen_proposal *p, const double *w, const double *usual, fen_base **ret_base);
void fen_proposal_write(const fen_proposal *p, const double *w, const double *usual, const fen_tune_report *r, struct fen_str *out);

/* propose_ask.c: when to stop, by asking cases that a fit has not seen. Fills the
 * report's stop_level, least_worth, asked and asked_right. */
FEN_MUST_USE fen_status fen_proposal_stop(fen_proposal *p, const fen_fit_choice *choice, fen_tune_report *report);

#endif
