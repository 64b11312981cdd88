/* tune_score.h -- sums of the fit as the report has them, and as a remark in a text.
 */
#ifndef FEN_TUNE_SCORE_H
#define FEN_TUNE_SCORE_H

#include "fenmend/tune.h"
#include "fit.h"
#include "util/str.h"

fen_tune_score fen_tune_score_of(const fen_fit_sums *s);
/* "#   WHAT   620 of 683 right, log loss 0.25" */
void fen_tune_put_score(fen_str *out, const char *what, const fen_tune_score *s);
/* A number for people, rounded to DIGITS. */
void fen_tune_put_number(fen_str *out, double value, int digits);

#endif
