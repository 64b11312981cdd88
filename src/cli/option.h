/* option.h -- command-line options read by table.
 *
 * A command lists its options as rows; each row names the member of the
 * command's own argument struct that it fills, so there are no globals and a
 * test can read a made-up line. The common options are a second group read
 * beside it. Help is written from the same rows.
 *
 * Conventions (POSIX XBD 12.2 and the GNU long options): `--name=value`, `--name
 * value`, `-n value`, `-nvalue`, bundled flags `-ab`, unambiguous beginnings of
 * long names, options and operands in any order, `--` ends the options, a lone
 * `-` is an operand.
 *
 * Texts given are borrowed from ARGV. A list grows on the heap: fen_opt_list_free.
 */
#ifndef FEN_OPTION_H
#define FEN_OPTION_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "fenmend/status.h"
#include "util/str.h"
#include "util/vec.h"

typedef enum fen_opt_type {
    FEN_OPT_END,
    FEN_OPT_FLAG,   /* bool */
    FEN_OPT_CHOICE, /* int: index into the row's "a|b|c" */
    FEN_OPT_COUNT,  /* uint32_t, from 1 */
    FEN_OPT_TEXT,   /* const char * */
    FEN_OPT_LIST,   /* fen_opt_list, one more each time */
    FEN_OPT_DATE    /* fen_opt_date */
} fen_opt_type;

typedef FEN_VEC(const char *) fen_opt_list;
typedef struct fen_opt_date {
    bool given;
    int32_t day;
} fen_opt_date;

typedef struct fen_opt {
    fen_opt_type type;
    char letter;       /* 0: long name only */
    const char *name;
    size_t to;         /* offset into the argument struct */
    const char *value; /* what the value is called; CHOICE: the choices "a|b|c"; FLAG: NULL */
    const char *help;
} fen_opt;

typedef struct fen_opt_group {
    const fen_opt *opts; /* up to a row of FEN_OPT_END */
    void *into;
} fen_opt_group;

#define FEN_OPT_ERROR 256

/* Read ARGV[0..argc). Operands join OPERANDS; with TO_OPERAND reading ends before the
 * first one. *ret_used: how many arguments were taken. FEN_EINPUT: RETERR says
 * "what is wrong; what would be right", and what was read so far is kept. */
FEN_MUST_USE fen_status fen_opt_read(const fen_opt_group *groups, size_t n_groups, int argc, char **argv, bool to_operand,
                                     fen_opt_list *operands, int *ret_used, char reterr[FEN_OPT_ERROR]);
void fen_opt_list_free(fen_opt_list *list);

/* Append one help line per row: "  -f, --format=table|json  shape of ...",
 * wrapped to WIDTH. */
void fen_opt_help(fen_str *out, const fen_opt *opts, size_t width);

/* Are the groups free of doubled names and letters, and every row complete?
 * For debug builds and tests. */
bool fen_opt_sound(const fen_opt_group *groups, size_t n_groups);

#endif
