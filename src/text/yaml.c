/* yaml.c -- libyaml's events to a tree, which yaml_make.c puts together.
 *
 * Traps of libyaml (0.2.5), each met here: it counts lines and columns from 0, and
 * columns in characters; a bad byte has only an offset (source.c has looked for
 * those before); UTF-16 passes unless the encoding is set; keys given twice pass; any
 * depth passes, and takes time with the square of it, so the bound is watched
 * while events come; after the end it goes on saying "done" without an event.
 */
#include "yaml.h"

#include <assert.h>
#include <string.h>
#include <yaml.h>

#include "util/utf8.h"
#include "yaml_error.h"
#include "yaml_make.h"

struct fen_tree {
    fen_yaml_maker maker;
};

typedef struct reader {
    fen_yaml_maker *m;
    uint32_t documents, events;
} reader;

static fen_place place_of(const reader *r, const yaml_event_t *e)
{
    fen_place place = fen_yaml_place(r->m->source, &e->start_mark);
    if (e->type == YAML_SCALAR_EVENT && e->start_mark.line == e->end_mark.line &&
        e->end_mark.column > e->start_mark.column)
        place.width = (uint32_t)(e->end_mark.column - e->start_mark.column);
    return place;
}

static void refuse(reader *r, fen_code code, const yaml_event_t *e, const char *right, const char *wrong)
{
    fen_yaml_refuse(r->m, code, place_of(r, e), right, wrong);
}

static void refuse_tag(reader *r, const yaml_event_t *e, const yaml_char_t *tag)
{
    if (tag)
        refuse(r, FEN_CODE_SYNTAX, e, "leave the '!' out, or put the text in double quotes",
               "a text that begins with '!' is a YAML tag, and tags have no use here");
}

static fen_status on_text(reader *r, const yaml_event_t *e)
{
    const char *text = (const char *)e->data.scalar.value;
    const size_t len = e->data.scalar.length;
    refuse_tag(r, e, e->data.scalar.tag);
    if (len > FEN_SCALAR_MAX) {
        fen_source_problem(r->m->source, r->m->problems, FEN_ERROR, FEN_CODE_TOO_LARGE, place_of(r, e), "shorten it",
                           "a text has more than %u bytes", FEN_SCALAR_MAX);
        r->m->refused = true;
    }
    /* elsewhere than in an escape it would be a byte, of which the source has none */
    if (e->data.scalar.style == YAML_DOUBLE_QUOTED_SCALAR_STYLE && memchr(text, '\0', len))
        refuse(r, FEN_CODE_BAD_VALUE, e, "leave it out", "a text has a NUL character in it");
    return fen_yaml_add(r->m, place_of(r, e), text, len, e->data.scalar.style == YAML_PLAIN_SCALAR_STYLE);
}

/* Its place in the tree is filled, so that all that follows keeps its role. */
static fen_status on_alias(reader *r, const yaml_event_t *e)
{
    refuse(r, FEN_CODE_SYNTAX, e, "write it out, or put a text that begins with '*' in double quotes",
           "YAML aliases are not read here");
    return fen_yaml_add(r->m, place_of(r, e), "", 0, false);
}

static fen_status open_node(reader *r, const yaml_event_t *e, fen_node_type type, const yaml_char_t *tag)
{
    refuse_tag(r, e, tag);
    if (fen_yaml_wants_key(r->m))
        refuse(r, FEN_CODE_SHAPE, e, "write a name, or put the text in double quotes",
               "a list or a map stands where a name is needed");
    if (r->m->depth == FEN_DEPTH_MAX) {
        fen_source_problem(r->m->source, r->m->problems, FEN_ERROR, FEN_CODE_TOO_LARGE, place_of(r, e), "nest less deeply",
                           "lists and maps are nested more than %u deep", FEN_DEPTH_MAX);
        return FEN_EINPUT;
    }
    return fen_yaml_open(r->m, place_of(r, e), type);
}

static fen_status on_document(reader *r, const yaml_event_t *e)
{
    if (r->documents++ == 0)
        return FEN_OK;
    refuse(r, FEN_CODE_SHAPE, e, "keep one document to a file, without '---' in its middle",
           "a second document begins here");
    return FEN_EINPUT;
}

static fen_status on_event(reader *r, const yaml_event_t *e)
{
    if (r->events++ > FEN_NODES_MAX) {
        fen_source_problem(r->m->source, r->m->problems, FEN_ERROR, FEN_CODE_TOO_LARGE, place_of(r, e),
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
        return fen_yaml_close(r->m);
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
            return fen_yaml_tell(parser, r->m->source, r->m->problems);
        const yaml_event_type_t type = event.type;
        const fen_status st = on_event(r, &event);
        yaml_event_delete(&event);
        if (st)
            return st;
        if (type == YAML_STREAM_END_EVENT || type == YAML_NO_EVENT)
            return FEN_OK;
    }
}

static fen_status parse(fen_yaml_maker *m)
{
    yaml_parser_t parser;
    reader r = { .m = m };
    if (!yaml_parser_initialize(&parser))
        return FEN_ENOMEM;
    yaml_parser_set_encoding(&parser, YAML_UTF8_ENCODING);
    yaml_parser_set_input_string(&parser, (const unsigned char *)m->source->text, m->source->len);
    const fen_status st = read_events(&r, &parser);
    yaml_parser_delete(&parser);
    return st ? st : m->refused ? FEN_EINPUT : FEN_OK;
}

/* Nothing written is a map with nothing in it. */
static fen_status settle_root(fen_yaml_maker *m)
{
    const fen_node *root = m->root;
    if (root && !(root->type == FEN_NODE_TEXT && root->plain && root->len == 0))
        return FEN_OK;
    const fen_source *s = m->source;
    const fen_place start = { .file = s->file, .line = s->lines_before + 1, .column = 1, .width = 1 };
    const fen_status st = fen_yaml_open(m, root ? root->place : start, FEN_NODE_MAP);
    return st ? st : fen_yaml_close(m);
}

fen_status fen_tree_new(fen_tree **ret_tree)
{
    fen_tree *tree = fen_calloc(1, sizeof *tree);
    if (!tree)
        return FEN_ENOMEM;
    tree->maker.arena = fen_arena_new();
    if (!tree->maker.arena) {
        fen_free(tree);
        return FEN_ENOMEM;
    }
    *ret_tree = tree;
    return FEN_OK;
}

fen_status fen_tree_read(fen_tree *t, const fen_source *s, fen_problems *problems)
{
    fen_yaml_maker *m = &t->maker;
    fen_yaml_begin(m, s, problems);
    const fen_status st = parse(m);
    return st ? st : settle_root(m);
}

fen_status fen_yaml_read(const fen_source *s, fen_problems *problems, fen_tree **ret_tree)
{
    fen_tree *tree = NULL;
    fen_status st = fen_tree_new(&tree);
    if (!st)
        st = fen_tree_read(tree, s, problems);
    if (st)
        fen_tree_free(tree);
    else
        *ret_tree = tree;
    return st;
}

void fen_tree_free(fen_tree *t)
{
    if (!t)
        return;
    FEN_VEC_FREE(&t->maker.waiting);
    FEN_VEC_FREE(&t->maker.keys);
    fen_arena_free(t->maker.arena);
    fen_free(t);
}

const fen_node *fen_tree_root(const fen_tree *t)
{
    return t->maker.root;
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
