/* words.h -- figures of the evidence in words; every view says them alike.
 */
#ifndef FEN_WORDS_H
#define FEN_WORDS_H

#include "fenmend/report.h"

#define FEN_WORDS_MAX 64 /* bytes for any text written into a buffer here */

/* "72 %"; what is uncertain never reads 0 % or 100 %: "<1 %", ">99 %". The two
 * are joined by U+00A0. */
const char *fen_words_percent(char buf[FEN_WORDS_MAX], double p);
/* The size of a weight, whatever its sign: slight, fair, strong, decisive. */
const char *fen_words_strength(fen_weight weight);
/* "10 dBan" with its sign; "-5 dBan". */
const char *fen_words_dban(char buf[FEN_WORDS_MAX], fen_weight weight);
/* "10 times as likely", "a tenth as likely" and the like. */
const char *fen_words_ratio(char buf[FEN_WORDS_MAX], fen_weight weight);
/* "hours", "days", "weeks", "not urgent" */
const char *fen_words_urgency(fen_urgency urgency);
/* Why asking stopped, as a sentence; NULL for FEN_GO_ON. */
const char *fen_words_stop(fen_stop stop);

#endif
