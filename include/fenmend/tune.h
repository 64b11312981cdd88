/* tune.h -- weights and rates from settled cases.
 *
 * Tuning changes the weights of rules for causes, and the causes' usual rates, by a
 * maximum a posteriori fit of P(settled causes | answers): the authored numbers are the
 * centre of the prior, so that few cases move little. How strong the prior is, is
 * chosen by cross-validation; what the result is worth is told from cases that neither
 * the fit nor that choice has seen. The result is text to be reviewed: a unified
 * diff of the packs in which only weights and rates differ. No file is changed.
 *
 * Proposing makes a flat pack from cases alone: a rule for each answer of each finding.
 * Centre and start are the weights of naive Bayes, counted with one more case in each
 * cell. When to stop asking is chosen by asking cases that the fit has not seen.
 *
 * Cases settled as several causes are right with any of them.
 */
#ifndef FENMEND_TUNE_H
#define FENMEND_TUNE_H

#include "fenmend/batch.h"

typedef struct fen_tune_score {
    uint64_t cases, right;
    double log_loss; /* mean, natural */
} fen_tune_score;

typedef struct fen_tune_plan {
    const char *const *paths; /* of cases; "-": standard input */
    size_t n_paths;
    fen_input input;
    int32_t today;
    bool missing_used;        /* propose: that an answer is missing counts, by a rule `FINDING is unsure` */
    void *ctx;
    void (*tell)(void *ctx, const char *text, size_t len); /* what was wrong with the cases; lines with places */
} fen_tune_plan;

typedef struct fen_tune_report {
    uint64_t cases, settled;  /* read; used, i.e. settled */
    uint64_t impossible;      /* settled as what the rules exclude; left out */
    uint64_t broken;          /* cases and files that could not be read */
    double strength;          /* of the prior, chosen; per squared natural unit */
    double gradient;          /* largest component that is left of the fit */
    fen_tune_score before, after; /* on cases not seen; `before` of naive Bayes when proposing */
    uint64_t weights, changed; /* that could be fitted; in the diff. Proposing: in the pack, dropped */
    uint64_t unplaced;        /* changed, but not found in the text as a plain sentence */
    /* proposing */
    double stop_level, least_worth, asked, asked_right; /* chosen; mean questions and share right on held-out cases */
    uint32_t findings, left_out;
} fen_tune_report;

/* Append the diff to OUT. FEN_EINPUT: fewer than FEN_TUNE_LEAST usable settled cases;
 * *ret_report tells how many. */
#define FEN_TUNE_LEAST 20u /* five folds of four */
FEN_MUST_USE fen_status fen_tune(const fen_base *base, const char *const *packs, size_t n_packs, const fen_tune_plan *plan,
                                 struct fen_str *out, fen_tune_report *ret_report);

/* Append the pack to OUT. FEN_EINPUT as above, or fewer than two causes, or no finding. */
FEN_MUST_USE fen_status fen_propose(const fen_tune_plan *plan, struct fen_str *out, fen_tune_report *ret_report);

#endif
