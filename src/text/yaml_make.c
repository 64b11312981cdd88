/* yaml_make.c -- see yaml_make.h.
 */
#include "yaml_make.h"

#include <assert.h>
#include <stdlib.h>
#include <string.h>

void fen_yaml_begin(fen_yaml_maker *m, const fen_source *s, fen_problems *problems)
{
    fen_arena_clear(m->arena);
    m->source = s;
    m->problems = problems;
    m->waiting.count = m->depth = 0;
    m->root = NULL;
    m->refused = false;
}

void fen_yaml_refuse(fen_yaml_maker *m, fen_code code, fen_place place, const char *right, const char *wrong)
{
    fen_source_problem(m->source, m->problems, FEN_ERROR, code, place, right, "%s", wrong);
    m->refused = true;
}

bool fen_yaml_wants_key(const fen_yaml_maker *m)
{
    if (!m->depth)
        return false;
    const fen_yaml_frame *f = &m->frames[m->depth - 1];
    return f->node->type == FEN_NODE_MAP && (m->waiting.count - f->first) % 2 == 0;
}

static fen_status add_child(fen_yaml_maker *m, const fen_node *node)
{
    if (!m->depth) {
        m->root = node;
        return FEN_OK;
    }
    return FEN_VEC_PUSH(&m->waiting, node) ? FEN_OK : FEN_ENOMEM;
}

fen_status fen_yaml_add(fen_yaml_maker *m, fen_place place, const char *text, size_t len, bool plain)
{
    fen_node *node = fen_arena_take(m->arena, 1, sizeof *node + len + 1);
    if (!node)
        return FEN_ENOMEM;
    char *copy = (char *)(node + 1);
    if (len)
        memcpy(copy, text, len);
    copy[len] = '\0';
    *node = (fen_node){ .type = FEN_NODE_TEXT, .plain = plain, .len = (uint32_t)len, .place = place, .text = copy };
    return add_child(m, node);
}

fen_status fen_yaml_open(fen_yaml_maker *m, fen_place place, fen_node_type type)
{
    assert(m->depth < FEN_DEPTH_MAX);
    fen_node *node = fen_arena_take(m->arena, 1, sizeof *node);
    if (!node || add_child(m, node))
        return FEN_ENOMEM;
    *node = (fen_node){ .type = type, .place = place };
    m->frames[m->depth++] = (fen_yaml_frame){ .node = node, .first = m->waiting.count };
    return FEN_OK;
}

/* ---- keys given twice ---- */

static void refuse_double(fen_yaml_maker *m, const fen_node *key, const fen_node *first)
{
    fen_source_problem(m->source, m->problems, FEN_ERROR, FEN_CODE_DUPLICATE, key->place,
                       "keep one of the two, or give one another name", "'%s' is given a second time, after line %u",
                       key->text, (unsigned)first->place.line);
    m->refused = true;
}

static bool same_key(const fen_node *a, const fen_node *b)
{
    return a->len == b->len && memcmp(a->text, b->text, a->len) == 0;
}

/* Keys of the same name have the same one. */
static uint64_t bit_of(const fen_node *key)
{
    const unsigned last = key->len ? (unsigned char)key->text[key->len - 1] : 0;
    return UINT64_C(1) << ((key->len * 7 + last + (unsigned char)key->text[0] * 3u) % 64);
}

/* The first of the same name, for a map small enough to look at every pair. */
static void check_small(fen_yaml_maker *m, const fen_node *map)
{
    uint64_t seen = 0;
    for (size_t i = 0; i < map->count; i++) {
        const uint64_t bit = bit_of(map->pairs[i].key);
        for (size_t j = 0; seen & bit && j < i; j++) {
            if (same_key(map->pairs[i].key, map->pairs[j].key)) {
                refuse_double(m, map->pairs[i].key, map->pairs[j].key);
                break;
            }
        }
        seen |= bit;
    }
}

static int by_key(const void *a, const void *b)
{
    const fen_yaml_key *x = a, *y = b;
    if (x->key->len != y->key->len)
        return x->key->len < y->key->len ? -1 : 1;
    const int c = memcmp(x->key->text, y->key->text, x->key->len);
    return c ? c : (x->nth > y->nth) - (x->nth < y->nth);
}

/* Sorted, not hashed: no choice of names makes this slow. */
static fen_status check_large(fen_yaml_maker *m, const fen_node *map)
{
    m->keys.count = 0;
    for (uint32_t i = 0; i < map->count; i++)
        if (!FEN_VEC_PUSH(&m->keys, (fen_yaml_key){ .key = map->pairs[i].key, .nth = i }))
            return FEN_ENOMEM;
    qsort(m->keys.at, m->keys.count, sizeof *m->keys.at, by_key);
    const fen_node *first = m->keys.at[0].key;
    for (uint32_t i = 1; i < m->keys.count; i++) {
        if (same_key(m->keys.at[i].key, first))
            refuse_double(m, m->keys.at[i].key, first);
        else
            first = m->keys.at[i].key;
    }
    return FEN_OK;
}

/* ---- closing ---- */

/* Before anything has waited there is no stack to point into. */
static const fen_node *const *waiting_from(const fen_yaml_maker *m, const fen_yaml_frame *f)
{
    return m->waiting.at ? m->waiting.at + f->first : NULL;
}

static fen_status close_list(fen_yaml_maker *m, const fen_yaml_frame *f)
{
    f->node->count = m->waiting.count - f->first;
    f->node->items = fen_arena_copy(m->arena, waiting_from(m, f), f->node->count, sizeof *m->waiting.at);
    return f->node->items ? FEN_OK : FEN_ENOMEM;
}

static fen_status close_map(fen_yaml_maker *m, const fen_yaml_frame *f)
{
    const fen_node *const *at = waiting_from(m, f);
    const size_t all = (m->waiting.count - f->first) / 2;
    fen_pair *pairs = fen_arena_take(m->arena, all, sizeof *pairs);
    if (!pairs)
        return FEN_ENOMEM;
    uint32_t count = 0;
    for (size_t i = 0; i < all; i++)
        if (at[2 * i]->type == FEN_NODE_TEXT) /* the others have been refused */
            pairs[count++] = (fen_pair){ .key = at[2 * i], .value = at[2 * i + 1] };
    f->node->pairs = pairs;
    f->node->count = count;
    if (count > 32) /* a case has some twenty findings */
        return check_large(m, f->node);
    check_small(m, f->node);
    return FEN_OK;
}

fen_status fen_yaml_close(fen_yaml_maker *m)
{
    assert(m->depth > 0);
    const fen_yaml_frame *f = &m->frames[--m->depth];
    const fen_status st = f->node->type == FEN_NODE_LIST ? close_list(m, f) : close_map(m, f);
    m->waiting.count = f->first;
    return st;
}
