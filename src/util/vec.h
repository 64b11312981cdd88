/* vec.h -- growing arrays of any type.
 *
 *     FEN_VEC(fen_rule) rules = {0};
 *     if (!FEN_VEC_PUSH(&rules, r)) ... no memory, the vector is as before
 *     rules.at[i], rules.count
 *     FEN_VEC_FREE(&rules);
 */
#ifndef FEN_VEC_H
#define FEN_VEC_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "alloc.h"

#define FEN_COUNT(array) (sizeof(array) / sizeof((array)[0]))

#define FEN_VEC(T)                                                                                  \
    struct {                                                                                        \
        T *at;                                                                                      \
        uint32_t count, cap;                                                                        \
    }

#define FEN_VEC_ROOM(v, more)                                                                       \
    ((more) <= (v)->cap - (v)->count ||                                                             \
     fen_vec_room((void **)&(v)->at, &(v)->cap, (v)->count, (more), sizeof *(v)->at))
#define FEN_VEC_PUSH(v, ...) (FEN_VEC_ROOM((v), 1) && (((v)->at[(v)->count++] = (__VA_ARGS__)), true))
#define FEN_VEC_FREE(v) (fen_free((v)->at), (v)->at = NULL, (v)->count = (v)->cap = 0)

/* Make room for MORE items after COUNT; false (and unchanged) without memory. */
bool fen_vec_room(void **at, uint32_t *cap, uint32_t count, uint32_t more, size_t size);

#endif
