/* lesson_view.h -- a lesson as text for people. */
#ifndef FENMEND_LESSON_VIEW_H
#define FENMEND_LESSON_VIEW_H

#include "fenmend/lesson.h"
#include "fenmend/report.h"

/* How the case was judged and how it turned out, and what spoke for either. */
void fen_show_lesson_case(fen_page *page, fen_lesson *l);
/* Proposal I: in words, what would change, and as it would stand in the pack. */
void fen_show_proposal(fen_page *page, fen_lesson *l, size_t i);
/* All of them, a line each; AT is at hand. */
void fen_show_proposals(fen_page *page, fen_lesson *l, size_t at);
/* The parts of it alone. */
void fen_show_proposal_rule(fen_page *page, fen_lesson *l, size_t i);
void fen_show_proposal_changes(fen_page *page, fen_lesson *l, size_t i);

#endif
