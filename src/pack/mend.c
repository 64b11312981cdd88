/* mend.c -- problems with one obvious answer, carried out in the author's file: the text
 * underlined gives way to the one that should stand there, and not a byte besides.
 */
#include <errno.h>
#include <stdlib.h>
#include <string.h>

#include "fenmend/vet.h"
#include "text/source.h"
#include "util/file.h"
#include "util/limits.h"
#include "util/str.h"
#include "util/vec.h"

typedef struct change {
    size_t at, len;
    const char *instead;
} change;

typedef FEN_VEC(change) changes;

static int by_offset(const void *a, const void *b)
{
    const change *x = a, *y = b;
    if (x->at != y->at)
        return (x->at > y->at) - (x->at < y->at);
    return (x->len > y->len) - (x->len < y->len);
}

/* What is to change in the file of S, in order; of two changes of the same text the
 * first stays, and the other is for the next time. */
static fen_status gather(const fen_problems *problems, const fen_source *s, const char *path, changes *all)
{
    for (size_t i = 0; i < fen_problems_count(problems); i++) {
        const fen_problem *p = fen_problems_at(problems, i);
        const fen_place there = p->instead_at;
        if (!p->instead || strcmp(fen_problems_path(problems, there.file), path) != 0)
            continue;
        const size_t at = fen_source_offset(s, there.line, there.column);
        const size_t end = fen_source_offset(s, there.line, there.column + there.width);
        if (!FEN_VEC_PUSH(all, (change){ at, end - at, p->instead }))
            return FEN_ENOMEM;
    }
    if (all->count)
        qsort(all->at, all->count, sizeof *all->at, by_offset);
    uint32_t n = 0;
    for (uint32_t i = 0; i < all->count; i++)
        if (!n || all->at[i].at >= all->at[n - 1].at + all->at[n - 1].len + !all->at[n - 1].len)
            all->at[n++] = all->at[i];
    all->count = n;
    return FEN_OK;
}

static fen_status rewrite(const fen_source *s, const changes *all, const char *path)
{
    fen_str text;
    size_t from = 0;
    fen_str_init(&text, (size_t)FEN_PACK_MAX + FEN_SCALAR_MAX);
    fen_str_put(&text, s->owned, (size_t)(s->text - s->owned)); /* a byte order mark */
    for (uint32_t i = 0; i < all->count; i++) {
        fen_str_put(&text, s->text + from, all->at[i].at - from);
        fen_str_puts(&text, all->at[i].instead);
        from = all->at[i].at + all->at[i].len;
    }
    fen_str_put(&text, s->text + from, s->len - from);
    fen_status st = fen_str_status(&text);
    if (!st)
        st = fen_file_write(path, text.at, text.len, 0666);
    const int error = errno;
    fen_str_free(&text);
    errno = error;
    return st;
}

fen_status fen_vet_mend(const fen_problems *problems, const char *path, size_t *ret_mended)
{
    fen_problems *own;
    fen_source *s = NULL;
    changes all = { 0 };
    *ret_mended = 0;
    fen_status st = fen_problems_new(&own);
    if (st)
        return st;
    st = fen_source_open(path, FEN_PACK_MAX, own, &s);
    if (!st)
        st = gather(problems, s, path, &all);
    if (!st && all.count)
        st = rewrite(s, &all, path);
    if (!st)
        *ret_mended = all.count;
    const int error = errno;
    FEN_VEC_FREE(&all);
    fen_source_free(s);
    fen_problems_free(own);
    errno = error;
    return st;
}
