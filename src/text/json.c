/* json.c -- see json.h.
 *
 * jansson keeps no places. Once it has accepted the text, the same text is
 * walked beside its tree: of well-formed JSON in which names are unique, members
 * are iterated in the order written (promised since jansson 2.8), so the walk needs no
 * grammar of its own, only where each value begins and ends.
 */
#include "json.h"

#include <jansson.h>
#include <string.h>

#include "util/limits.h"

typedef struct walker {
    const fen_source *source;
    fen_problems *problems;
    fen_arena *arena;
    size_t at;              /* offset in the text */
    fen_place place;        /* of `at` */
    unsigned depth;
    bool refused, lost;
} walker;

/* -- the text beside the tree ---------------------------------------------- */

static void advance(walker *w, size_t bytes)
{
    const char *p = w->source->text + w->at;
    for (size_t i = 0; i < bytes; i++) {
        if (p[i] == '\n') {
            w->place.line++;
            w->place.column = 1;
        } else if (((unsigned char)p[i] & 0xC0) != 0x80) {
            w->place.column++;
        }
    }
    w->at += bytes;
}

static void skip_blanks(walker *w)
{
    advance(w, strspn(w->source->text + w->at, " \t\r\n"));
}

/* Over blanks and the one separator or bracket that stands next. */
static void skip_sign(walker *w)
{
    skip_blanks(w);
    advance(w, 1);
}

static size_t lexeme_len(const char *p)
{
    if (*p != '"')
        return strcspn(p, " \t\r\n,]}");
    size_t n = 1;
    while (p[n] != '"')
        n += p[n] == '\\' ? 2 : 1;
    return n + 1;
}

/* -- nodes ----------------------------------------------------------------- */

static const fen_node *build(walker *w, json_t *value);

static fen_node *new_node(walker *w, fen_node_type type)
{
    fen_node *node = fen_arena_zeroed(w->arena, 1, sizeof *node);
    if (!node) {
        w->lost = true;
        return NULL;
    }
    node->type = type;
    node->place = w->place;
    node->place.width = 1;
    return node;
}

/* The text at hand, LEN bytes of it decoded as TEXT. */
static const fen_node *text_node(walker *w, const char *text, size_t len, bool plain)
{
    fen_node *node = new_node(w, FEN_NODE_TEXT);
    const size_t span = lexeme_len(w->source->text + w->at);
    const uint32_t column = w->place.column;
    advance(w, span);
    if (!node)
        return NULL;
    if (len > FEN_SCALAR_MAX) {
        fen_source_problem(w->source, w->problems, FEN_ERROR, FEN_CODE_TOO_LARGE, node->place, "shorten it",
                           "a text has more than %u bytes", FEN_SCALAR_MAX);
        w->refused = true;
    }
    node->place.width = w->place.column > column ? w->place.column - column : 1;
    node->plain = plain;
    node->len = len;
    node->text = fen_arena_text(w->arena, text, len);
    w->lost = w->lost || !node->text;
    return node;
}

static bool too_deep(walker *w)
{
    if (w->depth < FEN_DEPTH_MAX)
        return false;
    if (!w->refused) {
        w->place.width = 1;
        fen_source_problem(w->source, w->problems, FEN_ERROR, FEN_CODE_TOO_LARGE, w->place, "nest less deeply",
                           "lists and maps are nested more than %u deep", FEN_DEPTH_MAX);
    }
    return w->refused = true;
}

static const fen_node *list_node(walker *w, json_t *value)
{
    fen_node *node = new_node(w, FEN_NODE_LIST);
    const size_t count = json_array_size(value);
    const fen_node **items = fen_arena_take(w->arena, count, sizeof *items);
    w->lost = w->lost || !items;
    for (size_t i = 0; i < count && !w->lost && !w->refused; i++) {
        skip_sign(w); /* '[' or ',' */
        items[i] = build(w, json_array_get(value, i));
    }
    if (!count)
        skip_sign(w);
    skip_sign(w); /* ']' */
    if (node)
        node->items = items, node->count = count;
    return node;
}

static const fen_node *map_node(walker *w, json_t *value)
{
    fen_node *node = new_node(w, FEN_NODE_MAP);
    const size_t count = json_object_size(value);
    fen_pair *pairs = fen_arena_take(w->arena, count, sizeof *pairs);
    void *it = json_object_iter(value);
    w->lost = w->lost || !pairs;
    for (size_t i = 0; i < count && it && !w->lost && !w->refused; i++, it = json_object_iter_next(value, it)) {
        skip_sign(w); /* '{' or ',' */
        skip_blanks(w);
        const char *key = json_object_iter_key(it);
        pairs[i].key = text_node(w, key, strlen(key), false);
        skip_sign(w); /* ':' */
        pairs[i].value = build(w, json_object_iter_value(it));
    }
    if (!count)
        skip_sign(w);
    skip_sign(w); /* '}' */
    if (node)
        node->pairs = pairs, node->count = count;
    return node;
}

/* Depth at most FEN_DEPTH_MAX. */
static const fen_node *nested(walker *w, json_t *value, bool map)
{
    if (too_deep(w))
        return NULL;
    w->depth++;
    const fen_node *node = map ? map_node(w, value) : list_node(w, value);
    w->depth--;
    return node;
}

static const fen_node *build(walker *w, json_t *value)
{
    skip_blanks(w);
    const char *p = w->source->text + w->at;
    switch (json_typeof(value)) {
    case JSON_OBJECT: return nested(w, value, true);
    case JSON_ARRAY: return nested(w, value, false);
    case JSON_STRING: return text_node(w, json_string_value(value), json_string_length(value), false);
    case JSON_INTEGER:
    case JSON_REAL:
    case JSON_TRUE:
    case JSON_FALSE: return text_node(w, p, lexeme_len(p), true);
    case JSON_NULL: return text_node(w, "", 0, true);
    }
    return NULL;
}

/* -- reading --------------------------------------------------------------- */

/* jansson stands behind what it read last, which it calls NEAR. */
static fen_place place_of(const fen_source *s, const json_error_t *error, const char *near)
{
    const size_t at = error->position > 0 && (size_t)error->position <= s->len ? (size_t)error->position : 0;
    const char *word = near ? strchr(near, '\'') : NULL;
    const size_t len = word ? strlen(word + 1) : 0; /* with the closing quote */
    if (len > 1 && len - 1 <= at && memcmp(s->text + at - (len - 1), word + 1, len - 1) == 0) {
        fen_place place = fen_source_place(s, at - (len - 1));
        place.width = 0;
        for (size_t i = at - (len - 1); i < at && s->text[i] != '\n'; i++)
            place.width += ((unsigned char)s->text[i] & 0xC0) != 0x80;
        place.width += !place.width;
        return place;
    }
    return fen_source_place(s, at ? at - 1 : 0);
}

static fen_status tell(const fen_source *s, const json_error_t *error, fen_problems *problems)
{
    const enum json_error_code code = json_error_code(error);
    if (code == json_error_out_of_memory)
        return FEN_ENOMEM;
    /* jansson ends its sentences with "near 'x'": the caret shows that */
    const char *near = strstr(error->text, " near ");
    const int len = near ? (int)(near - error->text) : (int)strlen(error->text);
    const fen_place place = place_of(s, error, near);
    if (code == json_error_duplicate_key)
        fen_source_problem(s, problems, FEN_ERROR, FEN_CODE_DUPLICATE, place, "keep one of the two",
                           "a name is given twice in one object");
    else if (code == json_error_stack_overflow)
        fen_source_problem(s, problems, FEN_ERROR, FEN_CODE_TOO_LARGE, place, "nest less deeply",
                           "lists and maps are nested more than %u deep", FEN_DEPTH_MAX);
    else if (code == json_error_null_character || code == json_error_null_byte_in_key)
        fen_source_problem(s, problems, FEN_ERROR, FEN_CODE_BAD_VALUE, place, "leave it out", "a text has a NUL character in it");
    else
        fen_source_problem(s, problems, FEN_ERROR, FEN_CODE_SYNTAX, place, "write one JSON value, as RFC 8259 has it",
                           "this is not JSON: %.*s", len, error->text);
    return FEN_EINPUT;
}

fen_status fen_json_read(const fen_source *s, fen_arena *arena, fen_problems *problems, const fen_node **ret_root)
{
    json_error_t error;
    json_t *value = json_loadb(s->text, s->len, JSON_REJECT_DUPLICATES | JSON_DECODE_ANY, &error);
    if (!value)
        return tell(s, &error, problems);
    walker w = { .source = s, .problems = problems, .arena = arena };
    w.place = (fen_place){ .file = s->file, .line = s->lines_before + 1, .column = 1, .width = 1 };
    const fen_node *root = build(&w, value);
    json_decref(value);
    if (w.lost)
        return FEN_ENOMEM;
    if (w.refused)
        return FEN_EINPUT;
    *ret_root = root;
    return FEN_OK;
}
