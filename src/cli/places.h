/* places.h -- where what a grower teaches goes: the pack for rules, the file for settled
 * cases, as told or in the usual place; and the packs that are loaded for it.
 */
#ifndef FEN_PLACES_H
#define FEN_PLACES_H

#include "load.h"
#include "teach.h"

typedef struct fen_places {
    fen_str pack, store;
    fen_load_paths packs;
    fen_lesson_places shown; /* borrows of the others; `pack` or `store` NULL where there is no such place */
} fen_places;

/* INTO and KEPT_IN: as told, or NULL. A pack named by INTO is loaded as well if it is there.
 * What is wrong is printed; that there is no place is not, see `why_not`. */
fen_exit fen_places_find(const fen_run *run, const char *into, const char *kept_in, fen_places *ret_places);
void fen_places_free(fen_places *p);

/* Is PACK one of PACKS, by itself or in its folder? */
bool fen_places_loaded(const char *const *packs, size_t n_packs, const char *pack);

#endif
