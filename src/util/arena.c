#include "arena.h"

#include <stdalign.h>
#include <stdbool.h>
#include <stdint.h>
#include <string.h>

#include "alloc.h"

/* A shipped pack needs a handful; blocks double, so that a huge one needs few. */
#define BLOCK_BYTES ((size_t)64 << 10)
#define BLOCK_MOST ((size_t)4 << 20)
#define ALIGN alignof(max_align_t)

/* Aligned things fill a block from its start, texts from its end, so that texts
 * need no padding. */
typedef struct block {
    struct block *older;
    size_t size, used, end; /* free: used..end */
    alignas(max_align_t) unsigned char bytes[];
} block;

struct fen_arena {
    block *newest;
    size_t total;
};

fen_arena *fen_arena_new(void)
{
    return fen_calloc(1, sizeof(fen_arena));
}

void fen_arena_free(fen_arena *a)
{
    if (!a)
        return;
    for (block *b = a->newest; b;) {
        block *older = b->older;
        fen_free(b);
        b = older;
    }
    fen_free(a);
}

void fen_arena_clear(fen_arena *a)
{
    block *kept = NULL;
    while (a->newest) {
        block *older = a->newest->older;
        if (!kept && a->newest->size == BLOCK_BYTES)
            kept = a->newest;
        else
            fen_free(a->newest);
        a->newest = older;
    }
    a->newest = kept;
    a->total = 0;
    if (kept) {
        kept->older = NULL;
        kept->used = 0;
        kept->end = kept->size;
        a->total = sizeof *kept + kept->size;
    }
}

static block *grow(fen_arena *a, size_t need)
{
    const size_t usual = a->newest && a->newest->size < BLOCK_MOST ? a->newest->size * 2 : a->newest ? BLOCK_MOST : BLOCK_BYTES;
    const size_t size = need > usual ? need : usual;
    if (size > SIZE_MAX - sizeof(block))
        return NULL;
    block *b = fen_alloc(sizeof(block) + size);
    if (!b)
        return NULL;
    b->size = b->end = size;
    b->used = 0;
    a->total += sizeof(block) + size;
    if (need > usual && a->newest) { /* keep filling the block at hand */
        b->older = a->newest->older;
        a->newest->older = b;
    } else {
        b->older = a->newest;
        a->newest = b;
    }
    return b;
}

/* Dividing takes longer than all the rest of taking, so only what may overflow is divided. */
static bool overflows(size_t count, size_t size)
{
    return (count | size) >> (sizeof(size_t) * 4) && size && count > (SIZE_MAX - ALIGN) / size;
}

void *fen_arena_take(fen_arena *a, size_t count, size_t size)
{
    if (overflows(count, size))
        return NULL;
    const size_t need = (count * size + ALIGN - 1) / ALIGN * ALIGN;
    block *b = a->newest;
    if (!b || b->end - b->used < need) {
        b = grow(a, need);
        if (!b)
            return NULL;
    }
    void *p = b->bytes + b->used;
    b->used += need;
    return p;
}

void *fen_arena_zeroed(fen_arena *a, size_t count, size_t size)
{
    void *p = fen_arena_take(a, count, size);
    if (p)
        memset(p, 0, count * size);
    return p;
}

char *fen_arena_text(fen_arena *a, const char *s, size_t len)
{
    if (len >= SIZE_MAX - ALIGN)
        return NULL;
    block *b = a->newest;
    if (!b || b->end - b->used < len + 1) {
        b = grow(a, len + 1);
        if (!b)
            return NULL;
    }
    b->end -= len + 1;
    char *copy = (char *)b->bytes + b->end;
    if (len)
        memcpy(copy, s, len);
    copy[len] = '\0';
    return copy;
}

void *fen_arena_copy(fen_arena *a, const void *from, size_t count, size_t size)
{
    void *p = fen_arena_take(a, count, size);
    if (p && count && size)
        memcpy(p, from, count * size);
    return p;
}

size_t fen_arena_bytes(const fen_arena *a)
{
    return a->total;
}
