/* table_read.c -- files of cases into a table; see table.h. Cut by feed.h as any
 * batch; a case that is a tree is YAML's or JSON's, one that is a record CSV's. */
#include <errno.h>
#include <string.h>

#include "batch_judge.h"
#include "table.h"
#include "text/csv.h"
#include "text/json.h"
#include "util/limits.h"

typedef struct reader {
    fen_table *t;
    const fen_tune_plan *plan;
    fen_problems *problems;
    const fen_source *src;
    fen_arena *heads;
    fen_csv_cells head; /* of the file at hand */
} reader;

static fen_status refuse(reader *r, fen_place at, const char *right, const char *wrong)
{
    fen_source_problem(r->src, r->problems, FEN_ERROR, FEN_CODE_SHAPE, at, right, "%s", wrong);
    r->t->broken++;
    return FEN_OK;
}

static fen_status settle(reader *r, fen_place at, const char *text, size_t len)
{
    const fen_status st = fen_table_settle(r->t, text, len);
    if (st != FEN_EINPUT)
        return st;
    fen_source_problem(r->src, r->problems, FEN_ERROR, FEN_CODE_BAD_NAME, at, "names are made of small letters, digits and hyphens",
                       "'%.*s' cannot be the name of a cause", (int)(len > FEN_NAME_MAX ? FEN_NAME_MAX : len), text);
    r->t->broken++;
    return FEN_OK;
}

/* ---- trees ------------------------------------------------------------------------- */

static fen_status take_findings(reader *r, const fen_node *map)
{
    fen_status st = FEN_OK;
    for (size_t i = 0; map && map->type == FEN_NODE_MAP && i < map->count && !st; i++) {
        const fen_node *key = map->pairs[i].key, *value = map->pairs[i].value;
        st = value->type == FEN_NODE_TEXT ? fen_table_cell(r->t, key->text, key->len, value->text, value->len)
                                          : fen_table_list(r->t, key->text, key->len);
    }
    return st;
}

static fen_status take_settled(reader *r, const fen_node *node)
{
    fen_status st = FEN_OK;
    if (node && node->type == FEN_NODE_TEXT)
        return settle(r, node->place, node->text, node->len);
    for (size_t i = 0; node && node->type == FEN_NODE_LIST && i < node->count && !st; i++)
        if (node->items[i]->type == FEN_NODE_TEXT)
            st = settle(r, node->items[i]->place, node->items[i]->text, node->items[i]->len);
    return st;
}

/* The last visit's findings; the causes of the latest that names any. */
static fen_status take_case(reader *r, const fen_node *node)
{
    if (node->type != FEN_NODE_MAP)
        return refuse(r, node->place, "write 'findings' and 'settled' in it", "a case is a map");
    const fen_node *visits = fen_node_get(node, "visits"), *settled = fen_node_get(node, "settled"), *last = node;
    fen_status st = fen_table_begin(r->t);
    if (st)
        return st;
    for (size_t v = 0; visits && visits->type == FEN_NODE_LIST && v < visits->count; v++)
        if (visits->items[v]->type == FEN_NODE_MAP) {
            const fen_node *then = fen_node_get(visits->items[v], "settled");
            last = visits->items[v];
            settled = then ? then : settled;
        }
    st = take_settled(r, settled);
    if (!st)
        st = take_findings(r, fen_node_get(last, "findings"));
    fen_table_end(r->t);
    return st;
}

static fen_status take_root(reader *r, const fen_node *root)
{
    fen_status st = FEN_OK;
    if (root->type != FEN_NODE_LIST)
        return root->type == FEN_NODE_MAP && !root->count ? FEN_OK : take_case(r, root);
    for (size_t i = 0; i < root->count && !st; i++)
        st = take_case(r, root->items[i]);
    return st;
}

/* ---- records ------------------------------------------------------------------------- */

static bool is(const fen_csv_cell *c, const char *word)
{
    return c->len == strlen(word) && memcmp(c->text, word, c->len) == 0;
}

static fen_status settle_cell(reader *r, const fen_csv_cell *c)
{
    fen_status st = FEN_OK;
    for (size_t from = 0; from < c->len && !st;) {
        size_t to = from + strcspn(c->text + from, ";|,");
        const size_t next = to + 1;
        while (from < to && c->text[from] == ' ')
            from++;
        while (to > from && c->text[to - 1] == ' ')
            to--;
        if (to > from)
            st = settle(r, fen_source_place(r->src, c->at), c->text + from, to - from);
        from = next;
    }
    return st;
}

static fen_status take_cell(reader *r, const fen_csv_cell *head, const fen_csv_cell *c)
{
    static const char prefix[] = "finding.";
    const size_t n = sizeof prefix - 1;
    if (is(head, "settled"))
        return settle_cell(r, c);
    if (is(head, "case") || is(head, "kind") || is(head, "date") || is(head, "note") || head->text[0] == '#' ||
        strncmp(head->text, "where.", 6) == 0 || !head->len)
        return FEN_OK;
    const bool prefixed = head->len > n && memcmp(head->text, prefix, n) == 0;
    const char *name = head->text + (prefixed ? n : 0);
    const size_t len = head->len - (prefixed ? n : 0);
    return strpbrk(c->text, ";|") ? fen_table_list(r->t, name, len) : fen_table_cell(r->t, name, len, c->text, c->len);
}

static fen_status take_record(reader *r, const fen_feed_file *file, fen_arena *arena)
{
    fen_csv_cells cells = { 0 };
    fen_status st = fen_csv_split(r->src->text, r->src->len, file->separator, arena, &cells);
    if (!st && cells.count > 1)
        st = fen_table_begin(r->t);
    for (uint32_t i = 0; cells.count > 1 && i < cells.count && i < r->head.count && !st; i++)
        st = take_cell(r, &r->head.at[i], &cells.at[i]);
    if (!st && cells.count > 1)
        fen_table_end(r->t);
    FEN_VEC_FREE(&cells);
    return st;
}

/* ---- files ------------------------------------------------------------------------------ */

static fen_status read_source(reader *r, const fen_feed_file *file)
{
    fen_tree *tree = NULL;
    const fen_node *root = NULL;
    fen_arena *arena = fen_arena_new();
    fen_status st = arena ? FEN_OK : FEN_ENOMEM;
    if (!st && file->input == FEN_INPUT_CSV) {
        st = take_record(r, file, arena);
    } else if (!st) {
        st = file->input == FEN_INPUT_YAML ? fen_yaml_read(r->src, r->problems, &tree) : fen_json_read(r->src, arena, r->problems, &root);
        r->t->broken += st == FEN_EINPUT;
        if (!st)
            st = take_root(r, tree ? fen_tree_root(tree) : root);
        st = st == FEN_EINPUT ? FEN_OK : st;
    }
    fen_tree_free(tree);
    fen_arena_free(arena);
    return st;
}

static fen_status take_unit(reader *r, const fen_piece_of_file *piece, const fen_unit *u)
{
    fen_source *src = NULL;
    fen_status st = fen_source_piece(piece->file->path, piece->text.at + u->at, u->len, u->lines_before, u->bytes_before, r->problems, &src);
    if (st == FEN_EINPUT) {
        r->t->broken++;
        return FEN_OK;
    }
    if (st)
        return st;
    r->src = src;
    st = u->state == FEN_UNIT_TEXT || u->state == FEN_UNIT_ONLY
             ? read_source(r, piece->file)
             : refuse(r, fen_source_place(src, 0), "split it, or mend its quotes", "this case cannot be read");
    fen_source_free(src);
    return st;
}

static fen_status read_head(reader *r, const fen_piece_of_file *piece)
{
    r->head.count = 0;
    if (piece->file->input != FEN_INPUT_CSV || !piece->file->header)
        return FEN_OK;
    return fen_csv_split(piece->file->header, piece->file->header_len, piece->file->separator, r->heads, &r->head);
}

static void tell_unreadable(reader *r, const fen_feed_file *file)
{
    uint32_t index;
    r->t->broken++;
    if (fen_problems_file(r->problems, file->path, &index))
        return;
    fen_problems_add(r->problems, FEN_ERROR, FEN_CODE_READ, (fen_place){ .file = index, .width = 1 }, NULL, NULL, "%s", strerror(file->error));
}

static fen_status read_all(reader *r, fen_feed *feed, fen_piece_of_file *piece)
{
    bool more = true;
    fen_str text;
    fen_str_init(&text, 64u << 20);
    fen_status st = FEN_OK;
    while (!st) {
        st = fen_feed_next(feed, piece, &more);
        if (st || !more)
            break;
        if (piece->first)
            st = read_head(r, piece);
        if (piece->failed && piece->file->error)
            tell_unreadable(r, piece->file);
        for (uint32_t i = 0; i < piece->units.count && !st; i++)
            st = take_unit(r, piece, &piece->units.at[i]);
        fen_str_clear(&text);
        if (!st)
            st = fen_problems_flush(&r->problems, &text);
        if (!st && text.len && r->plan->tell)
            r->plan->tell(r->plan->ctx, text.at, text.len);
    }
    fen_str_free(&text);
    return st;
}

fen_status fen_table_read(fen_table *t, const fen_tune_plan *plan)
{
    reader r = { .t = t, .plan = plan };
    fen_feed *feed = NULL;
    fen_piece_of_file piece = { 0 };
    fen_str_init(&piece.text, (size_t)FEN_CASE_MAX * 2);
    r.heads = fen_arena_new();
    fen_status st = r.heads ? fen_problems_new(&r.problems) : FEN_ENOMEM;
    if (!st)
        st = fen_feed_new(plan->paths, plan->n_paths, plan->input, &feed);
    if (!st)
        st = read_all(&r, feed, &piece);
    FEN_VEC_FREE(&piece.units);
    fen_str_free(&piece.text);
    FEN_VEC_FREE(&r.head);
    fen_feed_free(feed);
    fen_problems_free(r.problems);
    fen_arena_free(r.heads);
    return st;
}
