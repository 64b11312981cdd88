/* answer.h -- what a person wrote, read as an answer to one finding.
 *
 * One grammar for the prompt (fen_answer_read in case.h) and for case files,
 * which need the fault in parts: what is wrong, what would be right, and which
 * bytes to underline. Nothing here allocates.
 *
 * Words are compared without regard to case, and a hyphen is a blank. Where a
 * text could be several answers the closer way of meeting it wins: its id, then
 * what it says, then its words, then its number, then the start of id or say.
 */
#ifndef FEN_ANSWER_H
#define FEN_ANSWER_H

#include "fenmend/case.h"

#define FEN_FAULT_TEXT 192

typedef struct fen_answer_fault {
    fen_code code;
    size_t at, width; /* bytes of the text to underline */
    char what[FEN_FAULT_TEXT];
    char right[FEN_FAULT_TEXT]; /* "" if nothing is to be said */
} fen_answer_fault;

FEN_MUST_USE fen_status fen_answer_parse(const fen_base *base, fen_id finding, const char *text, size_t len,
                                         int32_t today, fen_answer *ret_answer, fen_answer_fault *reterr_fault);

/* One answer's name, number or start: for the items of a list. */
FEN_MUST_USE fen_status fen_answer_option(const fen_base *base, fen_id finding, const char *text, size_t len,
                                          fen_id *ret_option, fen_answer_fault *reterr_fault);

/* Can PICKS (at least one) of F be said of one plant? If not, WIDTH bytes are to be underlined. */
bool fen_answer_together(const fen_finding *f, uint64_t picks, size_t width, fen_answer_fault *reterr_fault);

/* "unsure", "not sure", "don't know", ... */
bool fen_answer_is_unsure(const char *text, size_t len);
/* "none", "nothing", "none of these" */
bool fen_answer_is_none(const char *text, size_t len);
/* Only digits: an answer's number, which changes when a pack does. */
bool fen_answer_is_number(const char *text, size_t len);

/* The number by which OPTION is shown and taken, from 1; 0 for a group of kinds,
 * which is taken by its name alone: it is half an answer, and better ones are offered. */
uint32_t fen_answer_number(const fen_base *base, fen_id finding, fen_id option);

#endif
