/* say.h -- pieces that many views put into their paragraphs: names, answers,
 * tests and conditions in words, and the walk over a chain of reasons.
 *
 * Each adds to the paragraph that is open, and closes nothing unless it says so.
 */
#ifndef FEN_SAY_H
#define FEN_SAY_H

#include "page.h"
#include "words.h"

/* What option I of F says; its id if the pack gives no words. */
const char *fen_say_option(const fen_finding *f, fen_id option);
void fen_say_quantity(fen_page *page, double value, fen_dim dim);
void fen_say_date(fen_page *page, int32_t date);

/* "soft or mushy", "180 ppm", "3 weeks ago (2026-07-01)", "unsure" */
void fen_say_answer(fen_page *page, const fen_finding *f, fen_answer a, int32_t today);
/* "feel of the crown: soft or mushy": what was given, or worked out by rules. */
void fen_say_given(fen_page *page, fen_session *s, fen_id finding);

/* "feel of the crown is 'soft or mushy'", "... is above 100 ppm"; denied: "is not". */
void fen_say_test(fen_page *page, const fen_base *base, fen_id test, bool denied);
/* A condition in words, "and" and "or" between its parts. */
void fen_say_cond(fen_page *page, const fen_base *base, fen_id cond);
/* "above 100 ppm", "50 ppm or more, below 100 ppm" */
void fen_say_range(fen_page *page, double lo, double hi, bool lo_open, bool hi_open, fen_dim dim);
/* "less than 2 weeks ago"; ages in days */
void fen_say_ago(fen_page *page, double lo, double hi, bool lo_open, bool hi_open);
/* The bounds of a test of one quantity or date. */
void fen_say_limits(fen_page *page, const fen_finding *f, const fen_test *t);

/* "72 %, likely" */
void fen_say_probability(fen_page *page, double p);
/* " [source]", dim; nothing if there is none. */
void fen_say_source(fen_page *page, const char *source);

/* The answers among N lines of a chain, "; " between them, each once. */
void fen_say_answers_of(fen_page *page, fen_session *s, const fen_line *line, size_t n);

/* A chain as paragraphs of its own, closed: what follows LINE[0] (a rule) and is
 * deeper than it. */
void fen_show_under(fen_page *page, fen_session *s, const fen_line *line, size_t n, unsigned indent);
/* How many lines belong to the rule at LINE[0], itself counted. */
size_t fen_chain_span(const fen_line *line, size_t n);

const char *fen_say_name_of_cause(const fen_base *base, fen_id cause);

/* The group of kinds that was answered where a kind was asked for, or FEN_NONE. */
fen_id fen_say_group(const fen_session *s);

#endif
