/* records.h -- results as data and as a table, one case a line, for batches.
 *
 * Lines of JSON keep the keys of this table for ever: case, kind, urgency, causes
 * (cause, p, score in dBan), covering, unexplained, hazards, next, stopped; a case that
 * could not be read has `case` and `error`. Numbers read back to the same double;
 * what cannot be known (the mean of no case) is null.
 * CSV is RFC 4180's, lines ending in CR LF. All append to a text; a lack of memory shows
 * in its status.
 */
#ifndef FENMEND_RECORDS_H
#define FENMEND_RECORDS_H

#include "fenmend/report.h"
#include "fenmend/score.h"
#include "fenmend/shared.h"

void fen_record_json(struct fen_str *out, const fen_base *base, const fen_judged *j);
void fen_record_csv(struct fen_str *out, const fen_base *base, const fen_judged *j);
void fen_record_csv_head(struct fen_str *out);
/* One line of at most LOOK's width. */
void fen_record_row(struct fen_str *out, const fen_base *base, fen_look look, const fen_judged *j);
void fen_record_row_head(struct fen_str *out, fen_look look);

/* What a batch came to. */
typedef struct fen_tally {
    uint64_t cases, broken, unusable; /* read and judged; not readable; whole files */
    uint64_t blank;                   /* of them, nothing but a kind was told: neither urgent nor not */
    uint64_t urgency[4];
    uint64_t *leading;                /* [causes] cases that each cause leads */
} fen_tally;
void fen_record_totals(struct fen_str *out, const fen_base *base, fen_look look, const fen_tally *t);

void fen_record_score_json(struct fen_str *out, const fen_base *base, const fen_score_sums *s);
void fen_record_score(struct fen_str *out, const fen_base *base, fen_look look, const fen_score_sums *s);

/* What cases share: a table for people, a line of JSON or CSV a row. */
void fen_record_shared(struct fen_str *out, const fen_base *base, fen_look look, const fen_shared_row *rows, size_t n,
                       uint64_t cases, uint64_t tried);
void fen_record_shared_json(struct fen_str *out, const fen_base *base, const fen_shared_row *row);
void fen_record_shared_csv_head(struct fen_str *out);
void fen_record_shared_csv(struct fen_str *out, const fen_base *base, const fen_shared_row *row);

/* The whole chain behind CAUSES (of the session's base) and behind every hazard, from the
 * answers on: one object of JSON, or a graph for Graphviz, whose arrows point from what
 * is known to what follows. FEN_ENOMEM. */
FEN_MUST_USE fen_status fen_explain_json(struct fen_str *out, fen_session *s, const fen_case *c, const fen_id *causes, size_t n);
FEN_MUST_USE fen_status fen_explain_dot(struct fen_str *out, fen_session *s, const fen_case *c, const fen_id *causes, size_t n);

const char *fen_urgency_name(fen_urgency u); /* "none", "weeks", "days", "hours" */

#endif
