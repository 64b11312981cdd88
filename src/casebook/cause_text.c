#include "cause_text.h"

#include <stdio.h>
#include <string.h>

#include "util/near.h"

/* The id of the one that may have been meant, or NULL. */
static const char *nearest(const fen_base *base, fen_piece text)
{
    fen_near near;
    const char *id = NULL, *found = NULL;
    fen_near_begin(&near, text.at, text.len);
    for (fen_id c = 0; c < fen_base_causes(base); c++) {
        fen_near_offer(&near, fen_base_cause(base, c)->id);
        fen_near_offer(&near, fen_base_cause(base, c)->name);
        if (near.name != found)
            id = fen_base_cause(base, c)->id;
        found = near.name;
    }
    return id;
}

/* The next of several from *AT on; its bytes are in *RET_PART, *RET_CAUSE is FEN_NONE where they
 * name none. false: no more. */
static bool next_cause(const fen_base *base, fen_piece text, size_t *at, fen_piece *ret_part, fen_id *ret_cause)
{
    size_t past = 0;
    while (*at < text.len && strchr(" ,;&+", text.at[*at]))
        ++*at;
    if (*at == text.len)
        return false;
    size_t end = fen_piece_break(text, *at, &past);
    *ret_part = fen_piece_trim((fen_piece){ text.at + *at, end - *at });
    *ret_cause = fen_cause_named(base, *ret_part);
    for (size_t next = past; end < text.len;) { /* the longest that is a cause in full */
        end = fen_piece_break(text, next, &next);
        const fen_piece part = fen_piece_trim((fen_piece){ text.at + *at, end - *at });
        const fen_id cause = fen_cause_named(base, part);
        if (cause == FEN_NONE)
            continue;
        *ret_part = part;
        *ret_cause = cause;
        past = next;
    }
    *at = past;
    return true;
}

typedef struct list_reader {
    const fen_base *base;
    const fen_source *src;
    fen_problems *problems;
    fen_id *at;
    uint32_t count;
} list_reader;

static void refuse(list_reader *r, const fen_node *node, fen_piece part)
{
    char buf[FEN_FAULT_TEXT], shown[FEN_SHORT_TEXT];
    const char *near = nearest(r->base, part);
    snprintf(buf, sizeof buf, "did you mean '%s'", near ? near : "");
    fen_source_problem(r->src, r->problems, FEN_ERROR, FEN_CODE_UNKNOWN_NAME,
                       fen_node_place_at(r->src, node, (size_t)(part.at - node->text), part.len),
                       near ? buf : "write a cause of the rules, or 'something-else'", "there is no cause '%s'",
                       fen_piece_short(part, shown));
}

static void add(list_reader *r, const fen_node *node, fen_piece part, fen_id cause)
{
    if (cause == FEN_NONE) {
        refuse(r, node, part);
        return;
    }
    for (uint32_t i = 0; i < r->count; i++)
        if (r->at[i] == cause) {
            fen_source_problem(r->src, r->problems, FEN_ERROR, FEN_CODE_DUPLICATE,
                               fen_node_place_at(r->src, node, (size_t)(part.at - node->text), part.len), "write it once",
                               "'%s' is settled twice", fen_base_cause(r->base, cause)->id);
            return;
        }
    r->at[r->count++] = cause;
}

static void read_text(list_reader *r, const fen_node *node)
{
    const fen_piece whole = { node->text, node->len };
    fen_piece part;
    fen_id cause;
    size_t from = 0;
    if (!next_cause(r->base, whole, &from, &part, &cause)) {
        refuse(r, node, whole);
        return;
    }
    do {
        add(r, node, part, cause);
    } while (next_cause(r->base, whole, &from, &part, &cause));
}

static void read_item(list_reader *r, const fen_node *item)
{
    const fen_piece name = { item->text, item->len };
    if (item->type == FEN_NODE_TEXT)
        add(r, item, name, fen_cause_named(r->base, name));
    else
        fen_source_problem(r->src, r->problems, FEN_ERROR, FEN_CODE_SHAPE, item->place, "write one name in each item",
                           "the name of a cause is a text, not a %s", item->type == FEN_NODE_LIST ? "list" : "map");
}

fen_status fen_causes_read(const fen_base *base, const fen_source *src, const fen_node *node, fen_problems *problems,
                           fen_arena *arena, fen_list *ret_causes)
{
    list_reader r = { .base = base, .src = src, .problems = problems };
    r.at = fen_arena_take(arena, node->type == FEN_NODE_LIST ? node->count : node->len + 1, sizeof *r.at);
    if (!r.at)
        return FEN_ENOMEM;
    if (node->type == FEN_NODE_TEXT)
        read_text(&r, node);
    for (size_t i = 0; node->type == FEN_NODE_LIST && i < node->count; i++)
        read_item(&r, node->items[i]);
    *ret_causes = (fen_list){ r.at, r.count };
    return FEN_OK;
}
