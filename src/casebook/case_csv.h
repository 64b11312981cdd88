/* case_csv.h -- a row of a table as a case.
 *
 * The first row names the columns: case, kind, date, note, settled, a finding (its
 * unit may stand behind it in brackets: `water-reading (ppm)`; `finding.date` if it is
 * called like one of the others), or `where.tray` for what is recorded but not asked. A column whose name begins with '#' is passed over;
 * any other name is refused, because an answer that is lost in silence is worse. An
 * empty cell says nothing. Several answers, or causes, are separated by ';' or '|'
 * within the cell, or as they are at the prompt.
 */
#ifndef FEN_CASE_CSV_H
#define FEN_CASE_CSV_H

#include "feed.h"
#include "text/csv.h"
#include "text/source.h"
#include "text/yaml.h"
#include "util/arena.h"

typedef struct fen_csv_head fen_csv_head;

/* FEN_EINPUT: problems were added; no row of this file can be read. */
FEN_MUST_USE fen_status fen_csv_head_read(const fen_base *base, const fen_feed_file *file, fen_problems *problems,
                                          fen_csv_head **ret_head);
void fen_csv_head_free(fen_csv_head *h);

/* Tell what is wrong with the quote at BAD. */
void fen_csv_complain(const fen_source *src, fen_csv_state state, size_t bad, fen_problems *problems);

/* The row in SRC as the tree of a case file, in ARENA. */
FEN_MUST_USE fen_status fen_csv_case(const fen_csv_head *h, const fen_source *src, fen_arena *arena,
                                     fen_problems *problems, const fen_node **ret_root);

#endif
