#include "sort.h"

#include <assert.h>
#include <string.h>

typedef struct heap {
    unsigned char *at;
    size_t size;
    bool (*less)(const void *ctx, const void *a, const void *b);
    const void *ctx;
} heap;

/* Let ITEM sink from ROOT in a heap of COUNT whose greatest is on top. */
static void sink(const heap *h, size_t root, size_t count, const unsigned char *item)
{
    for (size_t child; (child = 2 * root + 1) < count; root = child) {
        if (child + 1 < count && h->less(h->ctx, h->at + child * h->size, h->at + (child + 1) * h->size))
            child++;
        if (!h->less(h->ctx, item, h->at + child * h->size))
            break;
        memcpy(h->at + root * h->size, h->at + child * h->size, h->size);
    }
    memcpy(h->at + root * h->size, item, h->size);
}

void fen_sort(void *items, size_t count, size_t size, bool (*less)(const void *ctx, const void *a, const void *b), const void *ctx)
{
    assert(size <= FEN_SORT_ITEM);
    const heap h = { items, size, less, ctx };
    unsigned char item[FEN_SORT_ITEM];
    for (size_t i = count / 2; i-- > 0;) {
        memcpy(item, h.at + i * size, size);
        sink(&h, i, count, item);
    }
    for (size_t end = count; end-- > 1;) {
        memcpy(item, h.at + end * size, size);
        memcpy(h.at + end * size, h.at, size);
        sink(&h, 0, end, item);
    }
}
