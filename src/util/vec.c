#include "vec.h"

bool fen_vec_room(void **at, uint32_t *cap, uint32_t count, uint32_t more, size_t size)
{
    if (more <= *cap - count)
        return true;
    if (more > UINT32_MAX / 2 - count)
        return false;
    uint32_t want = *cap ? *cap * 2 : 8; /* doubling: pushing n items copies O(n) */
    if (want < count + more)
        want = count + more;
    void *p = fen_realloc(*at, want, size);
    if (!p)
        return false;
    *at = p;
    *cap = want;
    return true;
}
