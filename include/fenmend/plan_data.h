/* plan_data.h -- a plan for programs and for paper: JSON, and one HTML page.
 *
 * C and S go together: S is answered with C's visit at hand. DUES are what that visit
 * leaves to be done (due.h), for the days. All append to a text.
 */
#ifndef FENMEND_PLAN_DATA_H
#define FENMEND_PLAN_DATA_H

#include "fenmend/due.h"

/* One object and a newline. Keys: case, kind, date, urgency, causes (cause, name, p), hazards,
 * checks, steps (remedy, step, text, urgency, ready, cautions, missing, refused, amounts), measure,
 * left_out, never, cautions, look_again (remedy, day, expect, otherwise, look). Numbers of amounts are
 * in the stored unit named beside them. */
FEN_MUST_USE fen_status fen_json_plan(struct fen_str *out, const fen_case *c, fen_session *s, bool us);

/* A whole page that needs nothing from outside: pictures of the causes, of the reasons and of
 * the days as SVG, each with its words beside it. No script. */
FEN_MUST_USE fen_status fen_html_plan(struct fen_str *out, const fen_case *c, fen_session *s, const fen_dues *dues, bool us);

#endif
