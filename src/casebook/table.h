/* table.h -- settled cases of any format as a table, read without a rule base: which
 * findings there are, and which answers, is what the cases say.
 *
 * Only answers by name are taken. A finding with lists of answers, with more than
 * FEN_TABLE_ANSWERS different ones (a number, mostly), or whose name could not be one in
 * a pack, is left out, and `why` says so. Names of answers are as in packs: small
 * letters, digits and hyphens.
 */
#ifndef FEN_TABLE_H
#define FEN_TABLE_H

#include "fenmend/tune.h"
#include "util/arena.h"
#include "util/intern.h"
#include "util/vec.h"

#define FEN_TABLE_ANSWERS 32u

typedef struct fen_table_column {
    const char *name;
    fen_intern *answers; /* ids of answers, by what is written */
    const char *why;     /* left out because; or NULL */
} fen_table_column;

typedef struct fen_table_row {
    size_t cell_at, cells;      /* in `pairs` */
    size_t settled_at, settled; /* in `settled` */
} fen_table_row;

typedef struct fen_table_pair {
    uint32_t column, answer;
} fen_table_pair;

typedef struct fen_table {
    fen_arena *arena;
    fen_intern *names;  /* of columns */
    fen_intern *causes;
    FEN_VEC(fen_table_column) columns;
    FEN_VEC(fen_table_row) rows; /* settled cases */
    FEN_VEC(fen_table_pair) pairs;
    FEN_VEC(uint32_t) settled;
    uint64_t cases, broken;
} fen_table;

FEN_MUST_USE fen_status fen_table_new(fen_table **ret_table);
void fen_table_free(fen_table *t);
/* Read the plan's cases. What is wrong is told; broken cases are counted. */
FEN_MUST_USE fen_status fen_table_read(fen_table *t, const fen_tune_plan *plan);

/* table.c, for the reader: a row is begun, gets its cells, and stays only if it is settled. */
FEN_MUST_USE fen_status fen_table_begin(fen_table *t);
FEN_MUST_USE fen_status fen_table_settle(fen_table *t, const char *cause, size_t len);
FEN_MUST_USE fen_status fen_table_cell(fen_table *t, const char *finding, size_t name_len, const char *answer, size_t len);
FEN_MUST_USE fen_status fen_table_list(fen_table *t, const char *finding, size_t name_len); /* a list stands there */
void fen_table_end(fen_table *t);

#endif
