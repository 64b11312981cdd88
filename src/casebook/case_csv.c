/* case_csv.c -- the first row once, into columns; every other row into the tree that a case
 * file would give, with the places of its cells, so that one reader judges both.
 */
#include "case_csv.h"

#include <stdio.h>
#include <string.h>
#include <strings.h>

#include "answer_text.h"
#include "model/quantity.h"
#include "util/alloc.h"
#include "util/near.h"
#include "util/number.h"

typedef enum part { PART_CASE, PART_KIND, PART_DATE, PART_NOTE, PART_SETTLED, PART_FINDING, PART_WHERE, PART_NONE } part;

typedef struct column {
    part part;
    fen_id finding;   /* PART_FINDING */
    const char *key;  /* of the case file; PART_WHERE: of the record */
    const char *unit; /* PART_FINDING: for bare numbers, or NULL */
} column;

struct fen_csv_head {
    fen_arena *arena;
    const fen_base *base;
    char separator;
    column *at;
    uint32_t count;
};

static const struct { const char *name; part part; } parts[] = {
    { "case", PART_CASE }, { "kind", PART_KIND }, { "date", PART_DATE }, { "note", PART_NOTE }, { "settled", PART_SETTLED },
};

/* -- the first row ----------------------------------------------------------- */

typedef struct head_reader {
    fen_csv_head *head;
    const fen_source *src;
    fen_problems *problems;
    fen_place place;
    bool lost;
} head_reader;

static const char *keep(head_reader *r, fen_piece text)
{
    const char *copy = fen_arena_text(r->head->arena, text.at, text.len);
    r->lost = r->lost || !copy;
    return copy;
}

/* "water-reading (ppm)", or with [], is cut into its name and its unit. */
static fen_piece cut_unit(fen_piece *name)
{
    const fen_piece none = { NULL, 0 };
    const char last = name->len ? name->at[name->len - 1] : '\0';
    const char *open = last == ')' || last == ']' ? memchr(name->at, last == ')' ? '(' : '[', name->len) : NULL;
    if (!open)
        return none;
    const fen_piece unit = { open + 1, (size_t)(name->at + name->len - 2 - open) };
    *name = fen_piece_trim((fen_piece){ name->at, (size_t)(open - name->at) });
    return fen_piece_trim(unit);
}

static void refuse_column(head_reader *r, fen_piece name)
{
    char buf[FEN_SHORT_TEXT], right[160];
    fen_near near;
    fen_near_begin(&near, name.at, name.len);
    for (size_t i = 0; i < FEN_COUNT(parts); i++)
        fen_near_offer(&near, parts[i].name);
    for (fen_id f = 1; f < fen_base_findings(r->head->base); f++)
        if (!fen_base_finding(r->head->base, f)->derived)
            fen_near_offer(&near, fen_base_finding(r->head->base, f)->id);
    if (near.name)
        snprintf(right, sizeof right, "did you mean '%s'", near.name);
    else
        snprintf(right, sizeof right, "call it 'where.%.40s' to record it, or '#%.40s' to pass it over",
                 fen_piece_short(name, buf), fen_piece_short(name, buf));
    fen_source_problem(r->src, r->problems, FEN_ERROR, FEN_CODE_UNKNOWN_NAME, r->place, right, "there is no finding '%s'",
                       fen_piece_short(name, buf));
}

/* Once for all its cells, which have nothing amiss. */
static void check_unit(head_reader *r, const fen_finding *f, fen_piece unit)
{
    char one[FEN_SHORT_TEXT + 2], buf[FEN_SHORT_TEXT], right[400];
    fen_quantity q = { 0, FEN_DIM_NONE };
    size_t bad;
    const int len = snprintf(one, sizeof one, "1 %.*s", unit.len < FEN_SHORT_TEXT ? (int)unit.len : 0, unit.at);
    if (len > 2 && fen_quantity_parse(one, (size_t)len, f->dim, &q, &bad) == FEN_OK && q.dim == f->dim)
        return;
    snprintf(right, sizeof right, "write one of: %s", fen_dim_units(f->dim));
    fen_source_problem(r->src, r->problems, FEN_ERROR, FEN_CODE_DIMENSION, r->place, right, "'%s' is no unit of '%s'",
                       fen_piece_short(unit, buf), f->id);
}

static column read_finding(head_reader *r, fen_piece name)
{
    const fen_piece unit = cut_unit(&name);
    column c = { PART_FINDING, fen_finding_named(r->head->base, name), NULL, NULL };
    if (c.finding == FEN_NONE) {
        refuse_column(r, name);
        return c;
    }
    if (c.finding == FEN_KIND_FINDING) /* called by its name */
        return (column){ PART_KIND, FEN_NONE, "kind", NULL };
    const fen_finding *f = fen_base_finding(r->head->base, c.finding);
    c.key = f->id;
    if (unit.at && f->type != FEN_QUANTITY)
        fen_source_problem(r->src, r->problems, FEN_ERROR, FEN_CODE_BAD_VALUE, r->place, "leave the brackets out",
                           "'%s' is not a quantity, so it has no unit", f->id);
    else if (unit.at)
        check_unit(r, f, unit);
    if (unit.at)
        c.unit = keep(r, unit);
    return c;
}

static column read_column(head_reader *r, fen_piece name)
{
    static const char where[] = "where.", finding[] = "finding.";
    for (size_t i = 0; i < FEN_COUNT(parts); i++)
        if (fen_piece_match(name, parts[i].name) == FEN_MATCH_ALL)
            return (column){ parts[i].part, FEN_NONE, parts[i].name, NULL };
    if (name.len >= sizeof where && strncasecmp(name.at, where, sizeof where - 1) == 0) {
        const fen_piece key = { name.at + sizeof where - 1, name.len - (sizeof where - 1) };
        return (column){ PART_WHERE, FEN_NONE, keep(r, fen_piece_trim(key)), NULL };
    }
    if (name.len >= sizeof finding && strncasecmp(name.at, finding, sizeof finding - 1) == 0)
        return read_finding(r, (fen_piece){ name.at + sizeof finding - 1, name.len - (sizeof finding - 1) });
    if (name.len && name.at[0] == '#')
        return (column){ PART_NONE, FEN_NONE, NULL, NULL };
    if (name.len)
        return read_finding(r, name);
    fen_source_problem(r->src, r->problems, FEN_ERROR, FEN_CODE_MISSING, r->place, "name it, or write '#' to pass it over",
                       "a column has no name");
    return (column){ PART_NONE, FEN_NONE, NULL, NULL };
}

static void refuse_double(head_reader *r, uint32_t n)
{
    const column *c = &r->head->at[n];
    for (uint32_t i = 0; i < n && c->key; i++)
        if (r->head->at[i].part == c->part && r->head->at[i].key && strcmp(r->head->at[i].key, c->key) == 0) {
            fen_source_problem(r->src, r->problems, FEN_ERROR, FEN_CODE_DUPLICATE, r->place, "keep one of the two",
                               "there are two columns '%s'", c->key);
            return;
        }
}

static fen_status read_columns(head_reader *r, const fen_csv_cells *cells)
{
    r->head->at = fen_arena_take(r->head->arena, cells->count, sizeof *r->head->at);
    if (!r->head->at)
        return FEN_ENOMEM;
    for (uint32_t i = 0; i < cells->count; i++) {
        const fen_csv_cell *cell = &cells->at[i];
        r->place = fen_source_place(r->src, cell->at);
        r->place.width = cell->span ? (uint32_t)cell->span : 1;
        r->head->at[r->head->count++] = read_column(r, fen_piece_trim((fen_piece){ cell->text, cell->len }));
        refuse_double(r, i);
    }
    return r->lost ? FEN_ENOMEM : FEN_OK;
}

void fen_csv_complain(const fen_source *src, fen_csv_state state, size_t bad, fen_problems *problems)
{
    static const char *const what[] = { [FEN_CSV_STRAY] = "a '\"' stands within a cell that does not begin with one",
                                        [FEN_CSV_AFTER] = "text stands behind the closing '\"' of a cell",
                                        [FEN_CSV_OPEN] = "this '\"' is never closed" };
    const char *say = what[state];
    if (bad >= src->len) { /* on a later line than the one that is kept: tell where the cell begins */
        say = "text stands behind the closing '\"' of the cell that begins here";
        for (bad = src->len ? src->len - 1 : 0; bad && src->text[bad] != '"'; bad--)
            ;
    }
    fen_source_problem(src, problems, FEN_ERROR, FEN_CODE_SYNTAX, fen_source_place(src, bad),
                       "put the whole cell in quotes and double each '\"' in it", "%s", say);
}

static fen_status read_head(fen_csv_head *h, const fen_feed_file *file, const fen_source *src, fen_problems *problems)
{
    fen_csv_cells cells = { 0 };
    size_t len, bad;
    const fen_csv_state state = fen_csv_next(src->text, src->len, true, file->separator, &len, &bad);
    if (state != FEN_CSV_RECORD) {
        fen_csv_complain(src, state, bad, problems);
        return FEN_EINPUT;
    }
    fen_status st = fen_csv_split(src->text, src->len, file->separator, h->arena, &cells);
    head_reader r = { .head = h, .src = src, .problems = problems };
    if (!st)
        st = read_columns(&r, &cells);
    FEN_VEC_FREE(&cells);
    return st;
}

fen_status fen_csv_head_read(const fen_base *base, const fen_feed_file *file, fen_problems *problems, fen_csv_head **ret_head)
{
    const size_t errors = fen_problems_errors(problems);
    fen_csv_head *h = fen_calloc(1, sizeof *h);
    fen_source *src = NULL;
    if (!h)
        return FEN_ENOMEM;
    h->base = base;
    h->separator = file->separator;
    h->arena = fen_arena_new();
    fen_status st = h->arena ? FEN_OK : FEN_ENOMEM;
    if (!st)
        st = fen_source_piece(file->path, file->header, file->header_len, file->header_line, file->header_byte, problems, &src);
    if (!st)
        st = read_head(h, file, src, problems);
    fen_source_free(src);
    if (!st && fen_problems_errors(problems) > errors)
        st = FEN_EINPUT;
    if (st) {
        fen_csv_head_free(h);
        return st;
    }
    *ret_head = h;
    return FEN_OK;
}

void fen_csv_head_free(fen_csv_head *h)
{
    if (!h)
        return;
    fen_arena_free(h->arena);
    fen_free(h);
}

/* -- a row -------------------------------------------------------------------- */

typedef struct row_reader {
    const fen_csv_head *head;
    const fen_source *src;
    fen_arena *arena;
    size_t at;       /* offset up to which `place` is known */
    fen_place place;
    bool lost;
} row_reader;

static fen_place place_at(row_reader *r, size_t at, size_t span)
{
    for (; r->at < at; r->at++) {
        const unsigned char c = (unsigned char)r->src->text[r->at];
        if (c == '\n')
            r->place.line++, r->place.column = 1;
        else if ((c & 0xC0) != 0x80)
            r->place.column++;
    }
    fen_place p = r->place;
    p.width = 0;
    for (size_t i = 0; i < span && r->src->text[at + i] != '\n'; i++)
        p.width += ((unsigned char)r->src->text[at + i] & 0xC0) != 0x80;
    p.width += !p.width;
    return p;
}

static fen_node *new_node(row_reader *r, fen_node_type type, fen_place place)
{
    fen_node *node = fen_arena_zeroed(r->arena, 1, sizeof *node);
    r->lost = r->lost || !node;
    if (node)
        node->type = type, node->place = place;
    return node;
}

static const fen_node *text_node(row_reader *r, fen_place place, const char *text, size_t len)
{
    fen_node *node = new_node(r, FEN_NODE_TEXT, place);
    if (node) {
        node->text = text;
        node->len = len;
    }
    return node;
}

static const fen_node *copied_node(row_reader *r, fen_place place, fen_piece text)
{
    const char *copy = fen_arena_text(r->arena, text.at, text.len);
    r->lost = r->lost || !copy;
    return text_node(r, place, copy, text.len);
}

static bool is_bare_number(fen_piece text)
{
    double value;
    size_t len;
    return fen_number_read(text.at, text.len, &value, &len) && len == text.len;
}

/* "180" below `water-reading (ppm)` */
static const fen_node *with_unit(row_reader *r, fen_place place, fen_piece text, const char *unit)
{
    const size_t unit_len = strlen(unit), len = text.len + 1 + unit_len;
    char *both = fen_arena_take(r->arena, len + 1, 1);
    if (!both) {
        r->lost = true;
        return NULL;
    }
    memcpy(both, text.at, text.len);
    both[text.len] = ' ';
    memcpy(both + text.len + 1, unit, unit_len + 1);
    return text_node(r, place, both, len);
}

static size_t item_len(const char *at, const char *end)
{
    size_t n = 0;
    while (at + n < end && at[n] != ';' && at[n] != '|')
        n++;
    return n;
}

/* "old-traps; new-leaves" as a list; one alone stays a text. */
static const fen_node *split_items(row_reader *r, fen_place place, fen_piece text)
{
    const char *end = text.at + text.len;
    size_t count = 1, n = 0;
    for (const char *p = text.at; p < end; p++)
        count += *p == ';' || *p == '|';
    if (count == 1)
        return copied_node(r, place, text);
    fen_node *list = new_node(r, FEN_NODE_LIST, place);
    const fen_node **items = fen_arena_take(r->arena, count, sizeof *items);
    r->lost = r->lost || !items;
    for (const char *p = text.at; items && p <= end; p++) {
        const size_t len = item_len(p, end);
        const fen_piece item = fen_piece_trim((fen_piece){ p, len });
        if (item.len) /* "a; b;" has two */
            items[n++] = copied_node(r, place, item);
        p += len;
    }
    if (list)
        list->items = items, list->count = n;
    return list;
}

static const fen_node *cell_node(row_reader *r, const column *c, const fen_csv_cell *cell, fen_piece text)
{
    const fen_place place = place_at(r, cell->at, cell->span);
    if (c->part == PART_SETTLED)
        return split_items(r, place, text);
    if (c->part != PART_FINDING)
        return copied_node(r, place, text);
    if (fen_base_finding(r->head->base, c->finding)->type == FEN_SEVERAL)
        return split_items(r, place, text);
    if (c->unit && is_bare_number(text))
        return with_unit(r, place, text, c->unit);
    return copied_node(r, place, text);
}

typedef struct pairs {
    fen_pair *at;
    size_t count;
} pairs;

static void add_pair(row_reader *r, pairs *to, const char *key, const fen_node *value)
{
    const fen_node *name = value ? text_node(r, value->place, key, strlen(key)) : NULL;
    if (name)
        to->at[to->count++] = (fen_pair){ name, value };
}

static const fen_node *map_of(row_reader *r, fen_place place, const pairs *from)
{
    fen_node *map = new_node(r, FEN_NODE_MAP, place);
    if (map)
        map->pairs = from->at, map->count = from->count;
    return map;
}

static bool make_pairs(row_reader *r, pairs *p, size_t most)
{
    p->at = fen_arena_take(r->arena, most, sizeof *p->at);
    r->lost = r->lost || !p->at;
    return p->at;
}

static const fen_node *build_case(row_reader *r, const fen_csv_cells *cells)
{
    pairs whole = { 0 }, findings = { 0 }, where = { 0 };
    const fen_place start = place_at(r, 0, r->src->len);
    if (!make_pairs(r, &whole, FEN_COUNT(parts) + 2) || !make_pairs(r, &findings, cells->count) ||
        !make_pairs(r, &where, cells->count))
        return NULL;
    for (uint32_t i = 0; i < cells->count; i++) {
        const column *c = &r->head->at[i];
        const fen_piece text = fen_piece_trim((fen_piece){ cells->at[i].text, cells->at[i].len });
        if (text.len && c->part != PART_NONE)
            add_pair(r, c->part == PART_FINDING ? &findings : c->part == PART_WHERE ? &where : &whole, c->key,
                     cell_node(r, c, &cells->at[i], text));
    }
    if (where.count)
        add_pair(r, &whole, "where", map_of(r, start, &where));
    add_pair(r, &whole, "findings", map_of(r, start, &findings));
    return map_of(r, start, &whole);
}

fen_status fen_csv_case(const fen_csv_head *h, const fen_source *src, fen_arena *arena, fen_problems *problems,
                        const fen_node **ret_root)
{
    fen_csv_cells cells = { 0 };
    row_reader r = { .head = h, .src = src, .arena = arena,
                     .place = { .file = src->file, .line = src->lines_before + 1, .column = 1, .width = 1 } };
    fen_status st = fen_csv_split(src->text, src->len, h->separator, arena, &cells);
    if (!st && cells.count != h->count) {
        fen_source_problem(src, problems, FEN_ERROR, FEN_CODE_SHAPE, place_at(&r, 0, src->len),
                           "give every row a cell for every column, empty ones too",
                           "this row has %u cell%s, but the first row has %u", (unsigned)cells.count,
                           cells.count == 1 ? "" : "s", (unsigned)h->count);
        st = FEN_EINPUT;
    }
    const fen_node *root = st ? NULL : build_case(&r, &cells);
    FEN_VEC_FREE(&cells);
    if (!st && r.lost)
        st = FEN_ENOMEM;
    if (!st)
        *ret_root = root;
    return st;
}
