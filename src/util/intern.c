#include "intern.h"

#include <string.h>

#include "alloc.h"
#include "arena.h"
#include "vec.h"

struct fen_intern {
    fen_arena *names;
    FEN_VEC(const char *) by_id;
    uint32_t *slots; /* id + 1, 0 is free; size a power of two, at most 3/4 full */
    uint32_t n_slots;
};

fen_intern *fen_intern_new(void)
{
    fen_intern *t = fen_calloc(1, sizeof *t);
    if (!t)
        return NULL;
    t->names = fen_arena_new();
    t->n_slots = 64;
    t->slots = fen_calloc(t->n_slots, sizeof *t->slots);
    if (!t->names || !t->slots) {
        fen_intern_free(t);
        return NULL;
    }
    return t;
}

void fen_intern_free(fen_intern *t)
{
    if (!t)
        return;
    fen_arena_free(t->names);
    FEN_VEC_FREE(&t->by_id);
    fen_free(t->slots);
    fen_free(t);
}

/* FNV-1a (Fowler, Noll, Vo), folded once: names are short and alike. */
static uint32_t hash(const char *s, size_t len)
{
    uint64_t h = 14695981039346656037u;
    for (size_t i = 0; i < len; i++)
        h = (h ^ (unsigned char)s[i]) * 1099511628211u;
    return (uint32_t)(h ^ (h >> 32));
}

static uint32_t slot_of(const fen_intern *t, const char *name, size_t len)
{
    uint32_t i = hash(name, len) & (t->n_slots - 1);
    while (t->slots[i]) {
        const char *have = t->by_id.at[t->slots[i] - 1];
        if (strncmp(have, name, len) == 0 && have[len] == '\0')
            break;
        i = (i + 1) & (t->n_slots - 1);
    }
    return i;
}

static fen_status enlarge(fen_intern *t)
{
    uint32_t *slots = fen_calloc((size_t)t->n_slots * 2, sizeof *slots);
    if (!slots)
        return FEN_ENOMEM;
    fen_free(t->slots);
    t->slots = slots;
    t->n_slots *= 2;
    for (uint32_t id = 0; id < t->by_id.count; id++) {
        const char *name = t->by_id.at[id];
        t->slots[slot_of(t, name, strlen(name))] = id + 1;
    }
    return FEN_OK;
}

fen_status fen_intern_add(fen_intern *t, const char *name, size_t len, uint32_t *ret_id)
{
    uint32_t i = slot_of(t, name, len);
    if (!t->slots[i]) {
        if (t->by_id.count + 1 > t->n_slots / 4 * 3) {
            if (enlarge(t))
                return FEN_ENOMEM;
            i = slot_of(t, name, len);
        }
        const char *copy = fen_arena_text(t->names, name, len);
        if (!copy || !FEN_VEC_PUSH(&t->by_id, copy))
            return FEN_ENOMEM;
        t->slots[i] = t->by_id.count;
    }
    *ret_id = t->slots[i] - 1;
    return FEN_OK;
}

uint32_t fen_intern_find(const fen_intern *t, const char *name, size_t len)
{
    const uint32_t i = slot_of(t, name, len);
    return t->slots[i] ? t->slots[i] - 1 : FEN_INTERN_NONE;
}

const char *fen_intern_name(const fen_intern *t, uint32_t id)
{
    return t->by_id.at[id];
}

uint32_t fen_intern_count(const fen_intern *t)
{
    return t->by_id.count;
}
