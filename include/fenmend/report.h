/* report.h -- results as text for people: one view each, to a growing text.
 *
 * The views do no arithmetic of their own: they show what session.h and why.h
 * computed. Lines are at most `width` columns (at least 32), wrapped at spaces;
 * colour only adds to what the words already say. All text from packs and cases
 * is cleaned of control sequences on the way out.
 */
#ifndef FENMEND_REPORT_H
#define FENMEND_REPORT_H

#include "fenmend/case.h"
#include "fenmend/session.h"
#include "fenmend/why.h"

typedef struct fen_look {
    uint32_t width;  /* terminal columns */
    bool colour;
    bool ascii;      /* the locale cannot show UTF-8 */
    bool us;         /* US units */
    bool whole;      /* nobody said how wide lines may be: names in tables are not cut */
} fen_look;

typedef struct fen_page fen_page; /* a text being written */
FEN_MUST_USE fen_status fen_page_new(fen_look look, fen_page **ret_page);
void fen_page_free(fen_page *page);
void fen_page_clear(fen_page *page);
/* The text so far; status tells whether any of it was lost to lack of memory. */
const char *fen_page_text(const fen_page *page, size_t *ret_len);
fen_status fen_page_status(const fen_page *page);

/* The one table of words for probability: "almost certain", ... */
const char *fen_words_for(double p);

/* Plain paragraphs, one a line of TEXT, cleaned and wrapped; for messages of the
 * prompt. An empty text is an empty line. */
void fen_show_text(fen_page *page, const char *text);
/* The question: text, its numbered answers or the units that are taken. */
void fen_show_question(fen_page *page, fen_session *s, const fen_question *q);
/* `?`: how to look, why it is asked now, and what each answer would do. */
void fen_show_help_for(fen_page *page, fen_session *s, const fen_question *q);
/* An answer in words: "soft or mushy", "180 ppm", "3 weeks ago (2026-07-01)". */
void fen_show_answer(fen_page *page, const fen_base *base, fen_id finding, fen_answer a, int32_t today);
/* The ranking now: cause, probability with a bar and words, urgency; hazards; unexplained. */
void fen_show_standing(fen_page *page, fen_session *s);
/* The closing verdict: harmless or dangerous first, then cause(s), how sure, why in short, hazards, what is unexplained,
 * what would change it, what to do (remedies' steps with cautions), when to look again. */
void fen_show_verdict(fen_page *page, fen_session *s, fen_stop stop);
/* What to do as things stand, without the reasons: the verdict's first line and its plan. */
void fen_show_plan(fen_page *page, fen_session *s);
/* How the amounts of the plan were worked out. */
void fen_show_plan_amounts(fen_page *page, fen_session *s);
void fen_show_because(fen_page *page, fen_session *s, const fen_because *b);
void fen_show_contrast(fen_page *page, fen_session *s, const fen_contrast *c);
void fen_show_flip(fen_page *page, fen_session *s, const fen_flip *f);
/* Before and after of `suppose`. */
void fen_show_suppose(fen_page *page, fen_session *s, fen_id finding, fen_answer a);
/* What was answered so far, in order. */
void fen_show_answers(fen_page *page, fen_session *s, fen_list order);
/* Problems in the form FILE:LINE:COL: error: ... with line and caret. Not wrapped:
 * editors and other programs read these lines. */
void fen_show_problems(fen_page *page, const fen_problems *problems);

#endif
