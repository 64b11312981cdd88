/* sort.h -- sorting in place, without memory of its own and with a context.
 *
 * Heap sort: n log n always, not stable; make the order total where ties matter.
 * qsort(3) may allocate, which answering and trying must not.
 */
#ifndef FEN_SORT_H
#define FEN_SORT_H

#include <stdbool.h>
#include <stddef.h>

/* LESS(ctx, a, b): must a stand before b? SIZE at most FEN_SORT_ITEM bytes. */
#define FEN_SORT_ITEM 64
void fen_sort(void *items, size_t count, size_t size, bool (*less)(const void *ctx, const void *a, const void *b), const void *ctx);

#endif
