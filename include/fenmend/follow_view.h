/* follow_view.h -- visits and what is due, as text for people.
 */
#ifndef FENMEND_FOLLOW_VIEW_H
#define FENMEND_FOLLOW_VIEW_H

#include "fenmend/due.h"
#include "fenmend/report.h"
#include "fenmend/visit.h"

/* What should be visible by when, as the earlier plan said. */
void fen_show_promises(fen_page *page, fen_session *s, const fen_follow *f);
/* Each thing looked at again, before and now, and whether it is getting better. */
void fen_show_progress(fen_page *page, fen_session *s, const fen_follow *f);
/* Overdue, today, coming, and the season's tasks with their cautions. */
void fen_show_dues(fen_page *page, const fen_dues *d, int32_t today);

#endif
