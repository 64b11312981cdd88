/* text_verdict.h -- the sections of the closing verdict, in the order shown.
 */
#ifndef FEN_TEXT_VERDICT_H
#define FEN_TEXT_VERDICT_H

#include "advice/plan.h"
#include "page.h"

/* Harmless or dangerous, and how fast. */
void fen_show_verdict_head(fen_page *page, fen_session *s, const fen_plan *plan);
/* Likely causes, how sure, and why in short. */
void fen_show_verdict_causes(fen_page *page, fen_session *s);
/* Checks, steps, what to hold back and leave, cautions, when to look again. */
void fen_show_verdict_plan(fen_page *page, fen_session *s, const fen_plan *plan);

#endif
