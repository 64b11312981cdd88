/* kind_name.h -- a plant's Latin name to its kind.
 *
 * A kind has a genus, the first word of its `latin`, and the species and hybrids listed in `latin`,
 * `species` and `called`. A name is a genus (or "D." for it) with a species, a hybrid's name or two
 * parents; what follows (subspecies, cultivar, where it is from) does not count. Of a species
 * that no kind has, and of a cross between kinds, the genus alone is taken.
 *
 *     Drosera capensis 'Albino'      Sarracenia x moorei      N. ventricosa x alata      Drosera sp.
 */
#ifndef FEN_KIND_NAME_H
#define FEN_KIND_NAME_H

#include "answer_text.h"

typedef struct fen_kind_name {
    fen_id kind;
    bool loose;       /* the species is not known, or its parents are of several kinds: KIND is what the genus alone means */
    fen_piece genus;  /* then: in full */
    const char *near; /* then a species of the genus that may have been meant, or NULL */
} fen_kind_name;

/* false: TEXT is no Latin name that leads to one kind. */
bool fen_kind_by_latin(const fen_base *base, fen_piece text, fen_kind_name *ret);

#endif
