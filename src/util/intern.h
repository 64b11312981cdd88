/* intern.h -- names to small numbers.
 *
 * Each different name gets the next id, counted from 0, and keeps it. Names are
 * copied; fen_intern_name is valid for the table's life. Lookup and insertion
 * take constant time on average; the hash is seeded by nothing, so ids depend
 * on the order of insertion alone.
 */
#ifndef FEN_INTERN_H
#define FEN_INTERN_H

#include <stddef.h>
#include <stdint.h>

#include "fenmend/status.h"

#define FEN_INTERN_NONE UINT32_MAX

typedef struct fen_intern fen_intern;

fen_intern *fen_intern_new(void); /* NULL: no memory */
void fen_intern_free(fen_intern *t);
/* The id of NAME, given now if it has none yet. */
FEN_MUST_USE fen_status fen_intern_add(fen_intern *t, const char *name, size_t len, uint32_t *ret_id);
uint32_t fen_intern_find(const fen_intern *t, const char *name, size_t len); /* or FEN_INTERN_NONE */
const char *fen_intern_name(const fen_intern *t, uint32_t id);
uint32_t fen_intern_count(const fen_intern *t);

/* By which a table tells names apart: equal names have the same, different ones nearly never. */
uint32_t fen_intern_hash(const char *name, size_t len);

#endif
