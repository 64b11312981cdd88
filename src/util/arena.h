/* arena.h -- many small things that live and die together.
 *
 * Memory comes in blocks and is given back all at once. Nothing in an arena is
 * freed on its own. Alignment suits every type.
 */
#ifndef FEN_ARENA_H
#define FEN_ARENA_H

#include <stddef.h>

typedef struct fen_arena fen_arena;

fen_arena *fen_arena_new(void); /* NULL: no memory */
void fen_arena_free(fen_arena *a);
/* All that was taken is gone; a first block of the usual size stays, to be filled again. */
void fen_arena_clear(fen_arena *a);
/* COUNT * SIZE bytes, uninitialised; NULL: no memory or overflow. */
void *fen_arena_take(fen_arena *a, size_t count, size_t size);
void *fen_arena_zeroed(fen_arena *a, size_t count, size_t size);
char *fen_arena_text(fen_arena *a, const char *s, size_t len); /* NUL-terminated copy */
void *fen_arena_copy(fen_arena *a, const void *from, size_t count, size_t size);
/* Bytes taken from the heap so far. */
size_t fen_arena_bytes(const fen_arena *a);

#endif
