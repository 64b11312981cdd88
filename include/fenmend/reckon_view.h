/* reckon_view.h -- the calculators as text for people, and as JSON.
 */
#ifndef FENMEND_RECKON_VIEW_H
#define FENMEND_RECKON_VIEW_H

#include "fenmend/reckon.h"
#include "fenmend/report.h"

struct fen_str; /* util/str.h */

/* All calculators, by family. */
void fen_show_reckoners(fen_page *page);
/* What one takes and gives, and an example. */
void fen_show_reckoner(fen_page *page, const fen_reckoner *r);
/* A result: IN after, and OUT from, fen_reckon_run. FULL: with its formula. */
void fen_show_reckoning(fen_page *page, const fen_reckoner *r, const fen_reckon_value in[], const double out[], bool full);

/* The same as one JSON object and a newline, appended to OUT. Values are in the
 * stored unit, named beside them, and read back to the same double; what could not be
 * reckoned is null. */
void fen_json_reckoners(struct fen_str *out);
void fen_json_reckoner(struct fen_str *out, const fen_reckoner *r);
void fen_json_reckoning(struct fen_str *out, const fen_reckoner *r, const fen_reckon_value in[], const double results[]);

#endif
