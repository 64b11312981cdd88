#include "alloc.h"

#include <stdatomic.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

static atomic_size_t live, calls;
static atomic_size_t fail_in = FEN_ALLOC_NEVER_FAIL;

/* Counting down only when armed keeps the usual path to one relaxed load. */
static int refused(void)
{
    atomic_fetch_add_explicit(&calls, 1, memory_order_relaxed);
    size_t left = atomic_load_explicit(&fail_in, memory_order_relaxed);
    if (left == FEN_ALLOC_NEVER_FAIL)
        return 0;
    if (left == 0)
        return 1;
    atomic_store_explicit(&fail_in, left - 1, memory_order_relaxed);
    return 0;
}

static void *counted(void *p)
{
    if (p)
        atomic_fetch_add_explicit(&live, 1, memory_order_relaxed);
    return p;
}

void *fen_alloc(size_t size)
{
    return refused() ? NULL : counted(malloc(size ? size : 1));
}

void *fen_calloc(size_t count, size_t size)
{
    if (size && count > SIZE_MAX / size)
        return NULL;
    return refused() ? NULL : counted(calloc(count ? count : 1, size ? size : 1));
}

void *fen_realloc(void *p, size_t count, size_t size)
{
    if (size && count > SIZE_MAX / size)
        return NULL;
    const size_t bytes = count && size ? count * size : 1;
    if (!p)
        return fen_alloc(bytes);
    return refused() ? NULL : realloc(p, bytes);
}

char *fen_strndup(const char *s, size_t len)
{
    if (len == SIZE_MAX)
        return NULL;
    char *copy = fen_alloc(len + 1);
    if (copy) {
        if (len)
            memcpy(copy, s, len);
        copy[len] = '\0';
    }
    return copy;
}

void fen_free(void *p)
{
    if (p)
        atomic_fetch_sub_explicit(&live, 1, memory_order_relaxed);
    free(p);
}

size_t fen_alloc_live(void)
{
    return atomic_load(&live);
}

size_t fen_alloc_calls(void)
{
    return atomic_load(&calls);
}

void fen_alloc_fail_at(size_t nth)
{
    atomic_store(&fail_in, nth);
}
