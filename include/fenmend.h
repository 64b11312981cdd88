/* fenmend.h -- the whole of what the library promises, in the order in which a
 * program meets it:
 *
 *     fen_base_load          packs -> a rule base, compiled once, shared
 *     fen_session_new        one plant
 *     fen_session_answer     what was seen; _next: what to ask
 *     fen_session_verdict    what follows
 *     fen_why_*              where that comes from
 *     fen_case_*             reading and keeping it
 *     fen_follow_*           the next visit: is it getting better?
 *     fen_dues_*             what is due, and when
 *     fen_show_*             as text for people
 *
 * The library never prints, never exits, keeps no global state, and asks neither
 * the clock nor the locale.
 */
#ifndef FENMEND_H
#define FENMEND_H

#include "fenmend/base.h"
#include "fenmend/case.h"
#include "fenmend/due.h"
#include "fenmend/follow_view.h"
#include "fenmend/plan_data.h"
#include "fenmend/problem.h"
#include "fenmend/report.h"
#include "fenmend/session.h"
#include "fenmend/status.h"
#include "fenmend/visit.h"
#include "fenmend/why.h"

#endif
