/* impact.h -- what an edited rule base changes about cases: each is judged by the
 * base as it is and by the edited one, and the two verdicts are held side by side.
 *
 * The two bases have ids of their own; causes, hazards, findings and remedies are
 * the same if they are called the same. A plan is the same if it is made for the same
 * causes and hazards, out of the same remedies word for word.
 */
#ifndef FENMEND_IMPACT_H
#define FENMEND_IMPACT_H

#include "fenmend/batch.h"
#include "fenmend/report.h"

enum { /* what changed, as bits */
    FEN_IMPACT_VERDICT = 1,    /* the leading cause */
    FEN_IMPACT_URGENCY = 2,
    FEN_IMPACT_PLAN = 4,
    FEN_IMPACT_QUESTION = 8,   /* what would be asked next, or that nothing would */
    FEN_IMPACT_UNREADABLE = 16, /* under the edited base, or only under it readable */
    FEN_IMPACT_RANK = 32        /* settled cases: the place of the best settled cause; all that are better or worse, and readable, have it */
};
#define FEN_IMPACT_BITS 6

typedef struct fen_impact_side {
    fen_id cause;       /* leading; FEN_NONE: none */
    double p;
    fen_urgency urgency;
    fen_id next;        /* finding asked, or FEN_NONE */
    uint32_t rank;      /* settled: of the best settled cause, from 1; 0: not ranked */
} fen_impact_side;

/* One case. Plain data: may be copied byte by byte. */
typedef struct fen_impact_case {
    unsigned what;
    bool settled, worse, better; /* settled cases: the true cause went down, or up */
    fen_impact_side before, after;
} fen_impact_case;

/* All of them. */
typedef struct fen_impact_sums {
    uint64_t cases, broken, changed, changes[FEN_IMPACT_BITS];
    uint64_t settled, worse, better, right_before, right_after;
    uint64_t more_urgent, less_urgent;
} fen_impact_sums;

typedef struct fen_impact fen_impact;

/* Borrows both. */
FEN_MUST_USE fen_status fen_impact_new(const fen_base *before, const fen_base *after, fen_impact **ret_impact);
void fen_impact_free(fen_impact *m);

/* J was judged by a batch with `other`; in any thread. */
void fen_impact_compare(const fen_impact *m, const fen_judged *j, fen_impact_case *ret_change);
void fen_impact_count(fen_impact_sums *sums, const fen_impact_case *c);

const char *fen_impact_name(unsigned bit); /* "verdict", "urgency", "plan", "question", "unreadable", "rank" */

/* Appended to a text: one case as lines for people or as one line of JSON, and the sums. */
void fen_impact_row(struct fen_str *out, const fen_impact *m, fen_look look, const fen_judged *j, const fen_impact_case *c);
void fen_impact_json(struct fen_str *out, const fen_impact *m, const fen_judged *j, const fen_impact_case *c);
void fen_impact_totals(struct fen_str *out, fen_look look, const fen_impact_sums *sums);
void fen_impact_totals_json(struct fen_str *out, const fen_impact_sums *sums);

const fen_base *fen_impact_before(const fen_impact *m);
const fen_base *fen_impact_after(const fen_impact *m);

#endif
