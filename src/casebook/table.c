/* table.c -- the table itself; see table.h. table_read.c fills it. */
#include "table.h"

#include <string.h>

#include "pack/sentence.h"
#include "util/limits.h"

fen_status fen_table_new(fen_table **ret_table)
{
    fen_table *t = fen_calloc(1, sizeof *t);
    if (!t)
        return FEN_ENOMEM;
    t->arena = fen_arena_new();
    t->names = fen_intern_new();
    t->causes = fen_intern_new();
    if (!t->arena || !t->names || !t->causes) {
        fen_table_free(t);
        return FEN_ENOMEM;
    }
    *ret_table = t;
    return FEN_OK;
}

void fen_table_free(fen_table *t)
{
    if (!t)
        return;
    for (uint32_t i = 0; i < t->columns.count; i++)
        fen_intern_free(t->columns.at[i].answers);
    FEN_VEC_FREE(&t->columns);
    FEN_VEC_FREE(&t->rows);
    FEN_VEC_FREE(&t->pairs);
    FEN_VEC_FREE(&t->settled);
    fen_intern_free(t->causes);
    fen_intern_free(t->names);
    fen_arena_free(t->arena);
    fen_free(t);
}

/* ---- names ----------------------------------------------------------------------- */

/* What is written as an answer, in the letters of names; 0 if nothing is left of it.
 * The reader of cases passes over case and hyphens just so. */
static size_t slug(const char *text, size_t len, char out[FEN_NAME_MAX])
{
    size_t n = 0;
    for (size_t i = 0; i < len && n < FEN_NAME_MAX; i++) {
        const char c = text[i] >= 'A' && text[i] <= 'Z' ? (char)(text[i] - 'A' + 'a') : text[i];
        if ((c >= 'a' && c <= 'z') || (c >= '0' && c <= '9'))
            out[n++] = c;
        else if (n && out[n - 1] != '-')
            out[n++] = '-';
    }
    return n && out[n - 1] == '-' ? n - 1 : n;
}

/* ---- rows ------------------------------------------------------------------------- */

fen_status fen_table_begin(fen_table *t)
{
    const fen_table_row row = { .cell_at = t->pairs.count, .settled_at = t->settled.count };
    t->cases++;
    return FEN_VEC_PUSH(&t->rows, row) ? FEN_OK : FEN_ENOMEM;
}

void fen_table_end(fen_table *t)
{
    fen_table_row *row = &t->rows.at[t->rows.count - 1];
    row->cells = t->pairs.count - row->cell_at;
    row->settled = t->settled.count - row->settled_at;
    if (!row->settled) {
        t->pairs.count = (uint32_t)row->cell_at;
        t->rows.count--;
    }
}

fen_status fen_table_settle(fen_table *t, const char *cause, size_t len)
{
    uint32_t id;
    if (!fen_name_formed(cause, len) || (len == strlen("something-else") && memcmp(cause, "something-else", len) == 0))
        return FEN_EINPUT;
    const fen_status st = fen_intern_add(t->causes, cause, len, &id);
    if (st)
        return st;
    for (size_t i = t->rows.at[t->rows.count - 1].settled_at; i < t->settled.count; i++)
        if (t->settled.at[i] == id)
            return FEN_OK;
    return FEN_VEC_PUSH(&t->settled, id) ? FEN_OK : FEN_ENOMEM;
}

static fen_status column_of(fen_table *t, const char *name, size_t len, uint32_t *ret)
{
    const uint32_t before = t->columns.count;
    const fen_status st = fen_intern_add(t->names, name, len, ret);
    if (st || *ret < before)
        return st;
    fen_table_column c = { .name = fen_arena_text(t->arena, name, len), .answers = fen_intern_new() };
    if (!fen_name_formed(name, len) || (name[0] >= '0' && name[0] <= '9') || fen_word_reserved(name, len))
        c.why = "it cannot be the name of a finding; use small letters, digits and hyphens";
    if (c.name && c.answers && FEN_VEC_PUSH(&t->columns, c))
        return FEN_OK;
    fen_intern_free(c.answers);
    return FEN_ENOMEM;
}

fen_status fen_table_list(fen_table *t, const char *finding, size_t name_len)
{
    uint32_t column;
    const fen_status st = column_of(t, finding, name_len, &column);
    if (!st && !t->columns.at[column].why)
        t->columns.at[column].why = "it has lists of answers";
    return st;
}

fen_status fen_table_cell(fen_table *t, const char *finding, size_t name_len, const char *answer, size_t len)
{
    char name[FEN_NAME_MAX + 1];
    uint32_t column, id;
    fen_status st = column_of(t, finding, name_len, &column);
    const size_t n = slug(answer, len, name);
    if (st || !n || (n == 6 && memcmp(name, "unsure", 6) == 0))
        return st; /* no answer */
    fen_table_column *c = &t->columns.at[column];
    if (fen_word_reserved_answer(name, n) && !c->why)
        c->why = "the name of an answer has a meaning in sentences already";
    if (c->why)
        return FEN_OK;
    st = fen_intern_add(c->answers, name, n, &id);
    if (st)
        return st;
    if (fen_intern_count(c->answers) > FEN_TABLE_ANSWERS)
        c->why = "it has too many different answers; numbers are not proposed";
    return FEN_VEC_PUSH(&t->pairs, (fen_table_pair){ column, id }) ? FEN_OK : FEN_ENOMEM;
}
