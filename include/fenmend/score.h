/* score.h -- how well many settled cases were judged, added up in the order read.
 *
 * "Right" is: the cause is among those that the case turned out to have. Brier score
 * in its sum form (0..2), log loss natural, clipped at 1e-15; where a case has several
 * settled causes they count as one class. Confidence is the leading cause's chance, in
 * ten bins of equal width, (lower, upper].
 *
 * Nothing depends on the order in which a case names its settled causes. It counts as
 * urgent if any of them is a matter of hours or days. One of them stands for the case in
 * the confusion table, and so in kappa and mean recall: that which the verdict thinks
 * likeliest (the leading cause, if it is among them), the first of the base among equals
 * and where none is in the ranking.
 *
 * What cannot be known of so few cases is NaN: every mean and share of none, and kappa
 * where all is in one row and column.
 */
#ifndef FENMEND_SCORE_H
#define FENMEND_SCORE_H

#include "fenmend/batch.h"

#define FEN_SCORE_BINS 10

typedef struct fen_share { /* K of N with Wilson's 95 % interval */
    uint64_t k, n;
    double p, lo, hi;
} fen_share;

typedef struct fen_score_bin {
    uint64_t n;
    double confidence, right; /* means */
} fen_score_bin;

typedef struct fen_confusion {
    fen_id was, judged;
    uint64_t n;
} fen_confusion;

typedef struct fen_score_sums {
    uint64_t seen, cases;       /* all that could be read; those settled */
    fen_share top1, top3;
    double brier, log_loss;     /* means */
    double calibration, largest_gap;
    double kappa, kappa_se, mean_recall;
    uint64_t missed, late;      /* of `urgent`: judged not urgent, judged a matter of weeks */
    uint64_t urgent;            /* settled as urgent */
    /* one question at a time */
    double asked, answered;     /* means */
    fen_share asked_top1;
    uint64_t only_asked, only_all; /* right only when asked, only with all answers */
    double asked_p;             /* McNemar's exact test of the two */
    fen_score_bin bin[FEN_SCORE_BINS];
    const fen_confusion *confusion; /* all pairs met, most frequent first, ties by base order */
    size_t n_confusion;
} fen_score_sums;

typedef struct fen_score fen_score;
FEN_MUST_USE fen_status fen_score_new(const fen_base *base, fen_score **ret_score);
void fen_score_free(fen_score *s);
void fen_score_add(fen_score *s, const fen_grade *g);
/* Borrowed until the next call. FEN_ENOMEM. */
FEN_MUST_USE fen_status fen_score_sum(fen_score *s, const fen_score_sums **ret_sums);

#endif
