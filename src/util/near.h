/* near.h -- "did you mean": the most similar of some names.
 */
#ifndef FEN_NEAR_H
#define FEN_NEAR_H

#include <stdbool.h>
#include <stddef.h>

/* Edits (insert, delete, replace, swap of neighbours) between two texts, or
 * MAX + 1 if more than MAX. Bytes, ASCII case ignored. */
size_t fen_near_distance(const char *a, size_t a_len, const char *b, size_t b_len, size_t max);

/* Feed candidates one by one; best.name is the nearest within a third of the
 * wanted length (at least 1, at most 4 edits), or a name that WANT begins or
 * that begins with WANT; NULL if none. Earlier candidates win ties. */
typedef struct fen_near {
    const char *want;
    size_t want_len;
    const char *name;
    size_t score; /* internal */
    bool tied;    /* another is just as near */
} fen_near;
void fen_near_begin(fen_near *n, const char *want, size_t want_len);
void fen_near_offer(fen_near *n, const char *candidate);
/* Is the nearest one edit away, and no other? */
bool fen_near_certain(const fen_near *n);

#endif
