/* yaml.c -- libyaml's events to a tree.
 *
 * Traps of libyaml (0.2.5), each met here: it counts lines and columns from 0, and
 * columns in characters; a bad byte has only an offset (source.c has looked for
 * those before); UTF-16 passes unless the encoding is set; keys given twice pass; any
 * depth passes, and takes time with the square of it, so the bound is watched
 * while events come; after the end it goes on saying "done" without an event.
 *
 * One arena holds nodes and texts. The children of all open lists and maps wait on
 * one stack and are copied when theirs closes.
 */
#include "yaml.h"

#include <assert.h>
#include <stdlib.h>
#include <string.h>
#include <yaml.h>

#include "util/arena.h"
#include "util/limits.h"
#include "util/utf8.h"
#include "util/vec.h"
#include "yaml_error.h"

struct fen_tree {
    fen_arena *arena;
    const fen_node *root;
};

typedef struct frame {
    fen_node *node;
    uint32_t first; /* of its children on the stack */
} frame;

typedef struct key_ref {
    const fen_node *key;
    uint32_t nth;
} key_ref;

typedef struct reader {
    const fen_source *source;
    fen_problems *problems;
    fen_arena *arena;
    FEN_VEC(const fen_node *) waiting;
    FEN_VEC(key_ref) keys; /* scratch of the search for double keys */
    frame frames[FEN_DEPTH_MAX];
    uint32_t depth, documents, nodes;
    const fen_node *root;
    bool refused; /* a problem that reading went on after */
} reader;

static void refuse(reader *r, fen_code code, fen_place place, const char *right, const char *wrong)
{
    fen_source_problem(r->source, r->problems, FEN_ERROR, code, place, right, "%s", wrong);
    r->refused = true;
}

static fen_place place_of(const reader *r, const yaml_event_t *e)
{
    fen_place place = fen_yaml_place(r->source, e->start_mark);
    if (e->type == YAML_SCALAR_EVENT && e->start_mark.line == e->end_mark.line &&
        e->end_mark.column > e->start_mark.column)
        place.width = (uint32_t)(e->end_mark.column - e->start_mark.column);
    return place;
}

/* A child is the next item of the list, or key or value of the map, now open. */
static fen_status add_child(reader *r, const fen_node *node)
{
    if (!r->depth) {
        r->root = node;
        return FEN_OK;
    }
    return FEN_VEC_PUSH(&r->waiting, node) ? FEN_OK : FEN_ENOMEM;
}

static bool is_key(const reader *r)
{
    if (!r->depth)
        return false;
    const frame *f = &r->frames[r->depth - 1];
    return f->node->type == FEN_NODE_MAP && (r->waiting.count - f->first) % 2 == 0;
}

static fen_node *new_node(reader *r, fen_node_type type, fen_place place, size_t text_bytes)
{
    fen_node *node = fen_arena_take(r->arena, 1, sizeof *node + text_bytes);
    if (node)
        *node = (fen_node){ .type = type, .place = place };
    return node;
}

static fen_status add_text(reader *r, fen_place place, const char *text, size_t len, bool plain)
{
    fen_node *node = new_node(r, FEN_NODE_TEXT, place, len + 1);
    if (!node)
        return FEN_ENOMEM;
    char *copy = (char *)(node + 1);
    if (len)
        memcpy(copy, text, len);
    copy[len] = '\0';
    node->plain = plain;
    node->text = copy;
    node->len = len;
    return add_child(r, node);
}

static void refuse_tag(reader *r, const yaml_event_t *e, const yaml_char_t *tag)
{
    if (tag)
        refuse(r, FEN_CODE_SYNTAX, place_of(r, e), "leave the '!' out, or put the text in double quotes",
               "a text that begins with '!' is a YAML tag, and tags have no use here");
}

static fen_status on_text(reader *r, const yaml_event_t *e)
{
    const char *text = (const char *)e->data.scalar.value;
    const size_t len = e->data.scalar.length;
    refuse_tag(r, e, e->data.scalar.tag);
    if (len > FEN_SCALAR_MAX) {
        fen_source_problem(r->source, r->problems, FEN_ERROR, FEN_CODE_TOO_LARGE, place_of(r, e), "shorten it",
                           "a text has more than %u bytes", FEN_SCALAR_MAX);
        r->refused = true;
    }
    if (memchr(text, '\0', len))
        refuse(r, FEN_CODE_BAD_VALUE, place_of(r, e), "leave it out", "a text has a NUL character in it");
    return add_text(r, place_of(r, e), text, len, e->data.scalar.style == YAML_PLAIN_SCALAR_STYLE);
}

/* Its place in the tree is filled, so that all that follows keeps its role. */
static fen_status on_alias(reader *r, const yaml_event_t *e)
{
    refuse(r, FEN_CODE_SYNTAX, place_of(r, e), "write it out, or put a text that begins with '*' in double quotes",
           "YAML aliases are not read here");
    return add_text(r, place_of(r, e), "", 0, false);
}

static fen_status open_node(reader *r, const yaml_event_t *e, fen_node_type type, const yaml_char_t *tag)
{
    refuse_tag(r, e, tag);
    if (is_key(r))
        refuse(r, FEN_CODE_SHAPE, place_of(r, e), "write a name, or put the text in double quotes",
               "a list or a map stands where a name is needed");
    if (r->depth == FEN_DEPTH_MAX) {
        fen_source_problem(r->source, r->problems, FEN_ERROR, FEN_CODE_TOO_LARGE, place_of(r, e), "nest less deeply",
                           "lists and maps are nested more than %u deep", FEN_DEPTH_MAX);
        return FEN_EINPUT;
    }
    fen_node *node = new_node(r, type, place_of(r, e), 0);
    if (!node || add_child(r, node))
        return FEN_ENOMEM;
    r->frames[r->depth++] = (frame){ .node = node, .first = r->waiting.count };
    return FEN_OK;
}

/* ---- keys given twice ---- */

static void refuse_double(reader *r, const fen_node *key, const fen_node *first)
{
    fen_source_problem(r->source, r->problems, FEN_ERROR, FEN_CODE_DUPLICATE, key->place,
                       "keep one of the two, or give one another name", "'%s' is given a second time, after line %u",
                       key->text, (unsigned)first->place.line);
    r->refused = true;
}

static bool same_key(const fen_node *a, const fen_node *b)
{
    return a->len == b->len && memcmp(a->text, b->text, a->len) == 0;
}

/* The first of the same name, for a map small enough to look at every pair. */
static void check_small(reader *r, const fen_node *map)
{
    for (size_t i = 1; i < map->count; i++) {
        for (size_t j = 0; j < i; j++) {
            if (same_key(map->pairs[i].key, map->pairs[j].key)) {
                refuse_double(r, map->pairs[i].key, map->pairs[j].key);
                break;
            }
        }
    }
}

static int by_key(const void *a, const void *b)
{
    const key_ref *x = a, *y = b;
    if (x->key->len != y->key->len)
        return x->key->len < y->key->len ? -1 : 1;
    const int c = memcmp(x->key->text, y->key->text, x->key->len);
    return c ? c : (x->nth > y->nth) - (x->nth < y->nth);
}

/* Sorted, not hashed: no choice of names makes this slow. */
static fen_status check_large(reader *r, const fen_node *map)
{
    r->keys.count = 0;
    for (uint32_t i = 0; i < map->count; i++)
        if (!FEN_VEC_PUSH(&r->keys, (key_ref){ .key = map->pairs[i].key, .nth = i }))
            return FEN_ENOMEM;
    qsort(r->keys.at, r->keys.count, sizeof *r->keys.at, by_key);
    const fen_node *first = r->keys.at[0].key;
    for (uint32_t i = 1; i < r->keys.count; i++) {
        if (same_key(r->keys.at[i].key, first))
            refuse_double(r, r->keys.at[i].key, first);
        else
            first = r->keys.at[i].key;
    }
    return FEN_OK;
}

/* ---- closing ---- */

static fen_status close_list(reader *r, const frame *f)
{
    f->node->count = r->waiting.count - f->first;
    f->node->items = fen_arena_copy(r->arena, r->waiting.at + f->first, f->node->count, sizeof *r->waiting.at);
    return f->node->items ? FEN_OK : FEN_ENOMEM;
}

static fen_status close_map(reader *r, const frame *f)
{
    const fen_node *const *at = r->waiting.at + f->first;
    const size_t all = (r->waiting.count - f->first) / 2;
    fen_pair *pairs = fen_arena_take(r->arena, all, sizeof *pairs);
    if (!pairs)
        return FEN_ENOMEM;
    size_t count = 0;
    for (size_t i = 0; i < all; i++)
        if (at[2 * i]->type == FEN_NODE_TEXT) /* the others have been refused */
            pairs[count++] = (fen_pair){ .key = at[2 * i], .value = at[2 * i + 1] };
    f->node->pairs = pairs;
    f->node->count = count;
    if (count > 32) /* a case has some twenty findings */
        return check_large(r, f->node);
    check_small(r, f->node);
    return FEN_OK;
}

static fen_status close_node(reader *r)
{
    assert(r->depth > 0); /* libyaml pairs starts and ends */
    const frame *f = &r->frames[--r->depth];
    const fen_status st = f->node->type == FEN_NODE_LIST ? close_list(r, f) : close_map(r, f);
    r->waiting.count = f->first;
    return st;
}

static fen_status on_document(reader *r, const yaml_event_t *e)
{
    if (r->documents++ == 0)
        return FEN_OK;
    refuse(r, FEN_CODE_SHAPE, place_of(r, e), "keep one document to a file, without '---' in its middle",
           "a second document begins here");
    return FEN_EINPUT;
}

static fen_status on_event(reader *r, const yaml_event_t *e)
{
    if (r->nodes++ > FEN_NODES_MAX) {
        fen_source_problem(r->source, r->problems, FEN_ERROR, FEN_CODE_TOO_LARGE, place_of(r, e),
                           "split it into several files", "the file has more than %u entries", FEN_NODES_MAX);
        return FEN_EINPUT;
    }
    switch (e->type) {
    case YAML_SCALAR_EVENT:
        return on_text(r, e);
    case YAML_ALIAS_EVENT:
        return on_alias(r, e);
    case YAML_SEQUENCE_START_EVENT:
        return open_node(r, e, FEN_NODE_LIST, e->data.sequence_start.tag);
    case YAML_MAPPING_START_EVENT:
        return open_node(r, e, FEN_NODE_MAP, e->data.mapping_start.tag);
    case YAML_SEQUENCE_END_EVENT:
    case YAML_MAPPING_END_EVENT:
        return close_node(r);
    case YAML_DOCUMENT_START_EVENT:
        return on_document(r, e);
    case YAML_NO_EVENT:
    case YAML_STREAM_START_EVENT:
    case YAML_STREAM_END_EVENT:
    case YAML_DOCUMENT_END_EVENT:
        break;
    }
    return FEN_OK;
}

static fen_status read_events(reader *r, yaml_parser_t *parser)
{
    for (;;) {
        yaml_event_t event;
        if (!yaml_parser_parse(parser, &event))
            return fen_yaml_tell(parser, r->source, r->problems);
        const yaml_event_type_t type = event.type;
        const fen_status st = on_event(r, &event);
        yaml_event_delete(&event);
        if (st)
            return st;
        if (type == YAML_STREAM_END_EVENT || type == YAML_NO_EVENT)
            return FEN_OK;
    }
}

static fen_status parse(reader *r)
{
    yaml_parser_t parser;
    if (!yaml_parser_initialize(&parser))
        return FEN_ENOMEM;
    yaml_parser_set_encoding(&parser, YAML_UTF8_ENCODING);
    yaml_parser_set_input_string(&parser, (const unsigned char *)r->source->text, r->source->len);
    const fen_status st = read_events(r, &parser);
    yaml_parser_delete(&parser);
    return st;
}

/* Nothing written is a map with nothing in it. */
static fen_status settle_root(reader *r)
{
    if (r->root && !(r->root->type == FEN_NODE_TEXT && r->root->plain && r->root->len == 0))
        return FEN_OK;
    const fen_place start = { .file = r->source->file, .line = r->source->lines_before + 1, .column = 1, .width = 1 };
    r->root = new_node(r, FEN_NODE_MAP, r->root ? r->root->place : start, 0);
    return r->root ? FEN_OK : FEN_ENOMEM;
}

fen_status fen_yaml_read(const fen_source *s, fen_problems *problems, fen_tree **ret_tree)
{
    fen_tree *tree = fen_calloc(1, sizeof *tree);
    if (!tree)
        return FEN_ENOMEM;
    reader r = { .source = s, .problems = problems };
    r.arena = tree->arena = fen_arena_new();
    fen_status st = tree->arena ? parse(&r) : FEN_ENOMEM;
    if (!st)
        st = r.refused ? FEN_EINPUT : settle_root(&r);
    FEN_VEC_FREE(&r.waiting);
    FEN_VEC_FREE(&r.keys);
    if (st) {
        fen_tree_free(tree);
        return st;
    }
    tree->root = r.root;
    *ret_tree = tree;
    return FEN_OK;
}

void fen_tree_free(fen_tree *t)
{
    if (!t)
        return;
    fen_arena_free(t->arena);
    fen_free(t);
}

const fen_node *fen_tree_root(const fen_tree *t)
{
    return t->root;
}

const fen_node *fen_node_get(const fen_node *map, const char *key)
{
    if (!map || map->type != FEN_NODE_MAP)
        return NULL;
    const size_t len = strlen(key);
    for (size_t i = 0; i < map->count; i++)
        if (map->pairs[i].key->len == len && memcmp(map->pairs[i].key->text, key, len) == 0)
            return map->pairs[i].value;
    return NULL;
}
