/* answer_value.h -- the measured half of answer.h: quantities and dates.
 */
#ifndef FEN_ANSWER_VALUE_H
#define FEN_ANSWER_VALUE_H

#include "answer_text.h"

/* A number with a unit of the finding's dimension, within what is believed. */
FEN_MUST_USE fen_status fen_answer_quantity(const fen_finding *f, fen_piece text, double *ret_value,
                                            fen_answer_fault *reterr_fault);
/* "2026-07-01", "today", "yesterday", "3 weeks ago", "two months": a day number
 * that is not after TODAY. */
FEN_MUST_USE fen_status fen_answer_date(const fen_finding *f, fen_piece text, int32_t today, double *ret_value,
                                        fen_answer_fault *reterr_fault);

#endif
