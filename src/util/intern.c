#include "intern.h"

#include <string.h>

#include "alloc.h"
#include "arena.h"
#include "vec.h"

typedef struct slot {
    uint32_t id1;  /* id + 1; 0: free */
    uint32_t hash; /* of the name: most strangers are told apart without looking at it */
} slot;

struct fen_intern {
    fen_arena *names;
    FEN_VEC(const char *) by_id;
    slot *slots; /* a power of two of them, at most 3/4 full */
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

/* Eight bytes at a time, multiplied by an odd constant near 2^64 / golden ratio
 * (Knuth, TAOCP 6.4) and folded: names are short, alike, and looked up by the
 * million. The bytes' order in memory does not matter: a hash is never stored. */
static uint64_t mix(uint64_t h, uint64_t word)
{
    h = (h ^ word) * 0x9e3779b97f4a7c15u;
    return h ^ (h >> 32);
}

/* Less than eight bytes as a number, each of them at least once. */
static uint64_t few_bytes(const char *s, size_t len)
{
    uint32_t first, last;
    if (len >= 4) {
        memcpy(&first, s, 4);
        memcpy(&last, s + len - 4, 4);
        return (uint64_t)first << 32 | last;
    }
    const unsigned char *u = (const unsigned char *)s;
    return len ? (uint64_t)u[0] << 16 | (uint64_t)u[len / 2] << 8 | u[len - 1] : 0;
}

uint32_t fen_intern_hash(const char *name, size_t len)
{
    uint64_t h = len, word;
    if (len < 8)
        return (uint32_t)mix(h, few_bytes(name, len));
    for (; len > 8; name += 8, len -= 8) {
        memcpy(&word, name, 8);
        h = mix(h, word);
    }
    memcpy(&word, name + len - 8, 8); /* the last eight, some of them seen before */
    return (uint32_t)mix(h, word);
}

static uint32_t slot_of(const fen_intern *t, const char *name, size_t len, uint32_t h)
{
    uint32_t i = h & (t->n_slots - 1);
    for (; t->slots[i].id1; i = (i + 1) & (t->n_slots - 1)) {
        if (t->slots[i].hash != h)
            continue;
        const char *have = t->by_id.at[t->slots[i].id1 - 1];
        if (strncmp(have, name, len) == 0 && have[len] == '\0')
            break;
    }
    return i;
}

static fen_status enlarge(fen_intern *t)
{
    const slot *old = t->slots;
    const uint32_t n_old = t->n_slots;
    slot *slots = fen_calloc((size_t)n_old * 2, sizeof *slots);
    if (!slots)
        return FEN_ENOMEM;
    for (uint32_t k = 0; k < n_old; k++) {
        if (!old[k].id1)
            continue;
        uint32_t i = old[k].hash & (n_old * 2 - 1);
        while (slots[i].id1)
            i = (i + 1) & (n_old * 2 - 1);
        slots[i] = old[k];
    }
    fen_free(t->slots);
    t->slots = slots;
    t->n_slots = n_old * 2;
    return FEN_OK;
}

fen_status fen_intern_add(fen_intern *t, const char *name, size_t len, uint32_t *ret_id)
{
    const uint32_t h = fen_intern_hash(name, len);
    uint32_t i = slot_of(t, name, len, h);
    if (!t->slots[i].id1) {
        if (t->by_id.count + 1 > t->n_slots / 4 * 3) {
            if (enlarge(t))
                return FEN_ENOMEM;
            i = slot_of(t, name, len, h);
        }
        const char *copy = fen_arena_text(t->names, name, len);
        if (!copy || !FEN_VEC_PUSH(&t->by_id, copy))
            return FEN_ENOMEM;
        t->slots[i] = (slot){ t->by_id.count, h };
    }
    *ret_id = t->slots[i].id1 - 1;
    return FEN_OK;
}

uint32_t fen_intern_find(const fen_intern *t, const char *name, size_t len)
{
    const uint32_t i = slot_of(t, name, len, fen_intern_hash(name, len));
    return t->slots[i].id1 ? t->slots[i].id1 - 1 : FEN_INTERN_NONE;
}

const char *fen_intern_name(const fen_intern *t, uint32_t id)
{
    return t->by_id.at[id];
}

uint32_t fen_intern_count(const fen_intern *t)
{
    return t->by_id.count;
}
