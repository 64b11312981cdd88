/* vet.h -- judging a rule base as its author would want it judged, mending what has one
 * obvious answer, and telling it to other programs.
 */
#ifndef FENMEND_VET_H
#define FENMEND_VET_H

#include "fenmend/base.h"

struct fen_str; /* util/str.h */

/* Load packs as fen_base_load does and, if they load, look at what their rules mean
 * beside each other: conditions that never or always hold, rules that repeat or
 * contradict others, gaps between thresholds, clashes that some answers reach, what is
 * missing. All that is found joins PROBLEMS as a warning or a note. */
FEN_MUST_USE fen_status fen_vet(const char *const *paths, size_t n_paths, fen_problems *problems, fen_base **ret_base);

/* The same with EDITED in place of what is in its file, or after all packs if its file is none of
 * them (it need not be there yet). */
typedef struct fen_pack_text {
    const char *path;
    const char *text; /* LEN bytes and a NUL */
    size_t len;
} fen_pack_text;
FEN_MUST_USE fen_status fen_vet_edited(const char *const *paths, size_t n_paths, const fen_pack_text *edited, fen_problems *problems,
                                       fen_base **ret_base);

/* Carry out in the file PATH what PROBLEMS say should stand `instead`, all at once and
 * atomically; comments, order and every other byte stay. *ret_mended: how many. Mending one
 * thing may show another: judge again. FEN_EIO with errno: the file is as it was. */
FEN_MUST_USE fen_status fen_vet_mend(const fen_problems *problems, const char *path, size_t *ret_mended);

/* Append PROBLEMS to OUT as a SARIF 2.1.0 log; VERSION is that of the program. */
void fen_vet_sarif(struct fen_str *out, const fen_problems *problems, const char *version);

#endif
