/* caution.h -- what can hurt the person doing a step, and what is said about it.
 *
 * One fixed table: packs name cautions, they do not write them, so that no pack
 * can water them down. Each defers to labels, local rules and licensed practice.
 * Words of a step's text that call for a caution stand in the same module.
 */
#ifndef FEN_CAUTION_H
#define FEN_CAUTION_H

#include <stdbool.h>
#include <stddef.h>

typedef enum fen_caution {
    FEN_CAUTION_DUST,
    FEN_CAUTION_MOSS,
    FEN_CAUTION_PESTICIDE,
    FEN_CAUTION_ALCOHOL,
    FEN_CAUTION_SULPHUR,
    FEN_CAUTION_ELECTRICITY,
    FEN_CAUTION_BLADES,
    FEN_CAUTION_LIFTING,
    FEN_CAUTION_LAW,
    FEN_CAUTION_BLEACH,
    FEN_CAUTION_HEAT,
    FEN_CAUTIONS
} fen_caution;

const char *fen_caution_name(fen_caution c); /* "blades", as packs write it */
const char *fen_caution_text(fen_caution c); /* the sentence for the grower */
/* By name; false if there is none. */
bool fen_caution_find(const char *name, fen_caution *ret_caution);

/* A word, at bytes AT of a text, that calls for a caution. */
typedef struct fen_caution_word {
    fen_caution caution;
    size_t at, len;
} fen_caution_word;

/* The first such word of TEXT at or after FROM; false: none. */
bool fen_caution_next(const char *text, size_t len, size_t from, fen_caution_word *ret_word);

#endif
