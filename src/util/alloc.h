/* alloc.h -- the one door to the heap, so that tests can count and refuse.
 *
 * All memory of the library comes from here and goes back here. The counters
 * are atomic: threads may allocate side by side. A size of 0 gives a pointer
 * that may be freed. Overflow of count * size is a failed allocation.
 */
#ifndef FEN_ALLOC_H
#define FEN_ALLOC_H

#include <stddef.h>

void *fen_alloc(size_t size);                   /* uninitialised */
void *fen_calloc(size_t count, size_t size);    /* zeroed */
void *fen_realloc(void *p, size_t count, size_t size); /* on failure P stays as it was */
char *fen_strndup(const char *s, size_t len);   /* NUL-terminated copy */
void fen_free(void *p);

/* For tests: blocks not yet freed, calls so far, and "the NTHth call from now
 * on fails" (0 is the next one). */
size_t fen_alloc_live(void);
size_t fen_alloc_calls(void);
#define FEN_ALLOC_NEVER_FAIL ((size_t)-1)
void fen_alloc_fail_at(size_t nth);

#endif
