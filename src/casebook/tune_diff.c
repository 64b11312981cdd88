/* tune_diff.c -- new weights at the places of the old ones, told as a unified diff (the
 * format of POSIX diff -u, which patch reads). Nothing but the strength before a
 * cause's name, and the value of a cause's `usual`, gives way.
 */
#include <math.h>
#include <string.h>

#include "pack/sentence.h"
#include "text/yaml.h"
#include "tune.h"
#include "tune_score.h"
#include "util/alloc.h"
#include "util/file.h"
#include "util/limits.h"
#include "util/sort.h"

enum { CONTEXT = 3 };

typedef struct edit {
    size_t at, len;     /* bytes of the source */
    size_t new_at, new_len; /* in `words` */
} edit;

typedef struct differ {
    const fen_tuning *t;
    fen_tune_report *report;
    fen_problems *problems;
    const fen_source *src;
    fen_sentence sentence;
    FEN_VEC(edit) edits;
    fen_str words;
    fen_str *out;
} differ;

/* ---- finding the places -------------------------------------------------------------- */

/* LEN bytes at OFFSET of NODE's text, if they stand so in the source. */
static bool place(const differ *d, const fen_node *node, size_t offset, size_t len, size_t *ret_at)
{
    const fen_place p = fen_node_place_at(d->src, node, offset, len);
    const size_t at = fen_source_offset(d->src, p.line, p.column);
    *ret_at = at;
    return at + len <= d->src->len && memcmp(d->src->text + at, node->text + offset, len) == 0;
}

static fen_status put_edit(differ *d, const fen_node *node, size_t offset, size_t len, size_t words_at)
{
    edit e = { 0, len, words_at, d->words.len - words_at };
    if (!place(d, node, offset, len, &e.at)) {
        d->report->unplaced++;
        return FEN_OK;
    }
    d->report->changed++;
    return FEN_VEC_PUSH(&d->edits, e) ? FEN_OK : FEN_ENOMEM;
}

/* One effect; *J is the parameter of the next weight. */
static fen_status visit_effect(differ *d, const fen_node *node, uint32_t end, uint32_t *j)
{
    fen_effect_words e;
    double dban;
    if (node->type != FEN_NODE_TEXT || fen_sentence_effect(&d->sentence, node->text, node->len, &e) || e.op != FEN_WEIGH || *j >= end)
        return FEN_OK;
    const uint32_t mine = (*j)++;
    if (!fen_tuning_weight(d->t, mine, &dban))
        return FEN_OK;
    size_t from = 0;
    while (from < e.target.at && (node->text[from] == ' ' || node->text[from] == '\n'))
        from++;
    const size_t words_at = d->words.len;
    fen_tune_put_number(&d->words, fabs(dban), 6);
    fen_str_puts(&d->words, dban < 0 ? " dBan against " : " dBan for ");
    return put_edit(d, node, from, e.target.at - from, words_at);
}

static fen_status visit_rule(differ *d, const fen_pair *pair)
{
    const fen_id rule = fen_base_find_rule(d->t->base, pair->key->text);
    const fen_node *then = pair->value->type == FEN_NODE_MAP ? fen_node_get(pair->value, "then") : NULL;
    if (rule == FEN_NONE || !then)
        return FEN_OK;
    uint32_t j = d->t->first[rule];
    const uint32_t end = d->t->first[rule + 1];
    if (then->type == FEN_NODE_TEXT)
        return visit_effect(d, then, end, &j);
    fen_status st = FEN_OK;
    for (uint32_t i = 0; then->type == FEN_NODE_LIST && i < then->count && !st; i++)
        st = visit_effect(d, then->items[i], end, &j);
    return st;
}

static fen_status visit_rate(differ *d, fen_id cause, const fen_node *usual)
{
    double rate;
    if (cause == FEN_NONE || !usual || usual->type != FEN_NODE_TEXT || !fen_tuning_rate(d->t, cause, &rate))
        return FEN_OK;
    const size_t words_at = d->words.len;
    fen_tune_put_number(&d->words, 100 * rate, 3);
    fen_str_puts(&d->words, " %");
    return put_edit(d, usual, 0, usual->len, words_at);
}

static fen_status visit(differ *d, const fen_node *root)
{
    const fen_node *rules = fen_node_get(root, "rules"), *causes = fen_node_get(root, "causes"), *settings = fen_node_get(root, "settings");
    fen_status st = FEN_OK;
    if (settings && settings->type == FEN_NODE_MAP)
        st = visit_rate(d, d->t->n_causes - 1, fen_node_get(settings, "something else"));
    for (uint32_t i = 0; causes && causes->type == FEN_NODE_MAP && i < causes->count && !st; i++)
        if (causes->pairs[i].value->type == FEN_NODE_MAP)
            st = visit_rate(d, fen_base_find_cause(d->t->base, causes->pairs[i].key->text), fen_node_get(causes->pairs[i].value, "usual"));
    for (uint32_t i = 0; rules && rules->type == FEN_NODE_MAP && i < rules->count && !st; i++)
        st = visit_rule(d, &rules->pairs[i]);
    return st;
}

/* ---- the diff -------------------------------------------------------------------------- */

/* Lines as patch counts them: ended by LF. */
typedef struct lines {
    const fen_source *src;
    FEN_VEC(size_t) at;
} lines;

static bool cut_lines(lines *l)
{
    bool fine = FEN_VEC_PUSH(&l->at, 0);
    for (size_t i = 0; fine && i < l->src->len; i++)
        if (l->src->text[i] == '\n' && i + 1 < l->src->len)
            fine = FEN_VEC_PUSH(&l->at, i + 1);
    return fine && FEN_VEC_PUSH(&l->at, l->src->len);
}

static void put_line_end(fen_str *out, const lines *l, uint32_t line)
{
    const size_t end = l->at.at[line + 1];
    if (!end || l->src->text[end - 1] != '\n')
        fen_str_puts(out, "\n\\ No newline at end of file\n");
}

static void put_old(fen_str *out, const lines *l, uint32_t line, char mark)
{
    fen_str_putc(out, mark);
    fen_str_put(out, l->src->text + l->at.at[line], l->at.at[line + 1] - l->at.at[line]);
    put_line_end(out, l, line);
}

/* The line with the edits from *E on that lie in it. */
static void put_new(differ *d, const lines *l, uint32_t line, uint32_t *e)
{
    size_t from = l->at.at[line];
    fen_str_putc(d->out, '+');
    for (; *e < d->edits.count && d->edits.at[*e].at < l->at.at[line + 1]; ++*e) {
        const edit *x = &d->edits.at[*e];
        fen_str_put(d->out, l->src->text + from, x->at - from);
        fen_str_put(d->out, d->words.at + x->new_at, x->new_len);
        from = x->at + x->len;
    }
    fen_str_put(d->out, l->src->text + from, l->at.at[line + 1] - from);
    put_line_end(d->out, l, line);
}

static uint32_t line_of(const lines *l, size_t at, uint32_t from)
{
    while (l->at.at[from + 1] <= at)
        from++;
    return from;
}

/* The changes from edit *E on whose lines are near each other. */
static void put_hunk(differ *d, const lines *l, uint32_t *e)
{
    const uint32_t n_lines = l->at.count - 1, first = line_of(l, d->edits.at[*e].at, 0);
    uint32_t last = first;
    for (uint32_t i = *e; i < d->edits.count; i++) {
        const uint32_t line = line_of(l, d->edits.at[i].at, last);
        if (line > last + 2 * CONTEXT)
            break;
        last = line;
    }
    const uint32_t begin = first > CONTEXT ? first - CONTEXT : 0;
    const uint32_t end = last + CONTEXT + 1 < n_lines ? last + CONTEXT + 1 : n_lines;
    fen_str_printf(d->out, "@@ -%u,%u +%u,%u @@\n", begin + 1, end - begin, begin + 1, end - begin);
    for (uint32_t line = begin; line < end; line++) {
        const bool changed = *e < d->edits.count && d->edits.at[*e].at < l->at.at[line + 1];
        put_old(d->out, l, line, changed ? '-' : ' ');
        if (changed)
            put_new(d, l, line, e);
    }
}

static bool edit_before(const void *ctx, const void *a, const void *b)
{
    (void)ctx;
    return ((const edit *)a)->at < ((const edit *)b)->at;
}

static fen_status put_diff(differ *d, const char *path)
{
    lines l = { .src = d->src };
    if (!d->edits.count)
        return FEN_OK;
    if (!cut_lines(&l)) {
        FEN_VEC_FREE(&l.at);
        return FEN_ENOMEM;
    }
    fen_sort(d->edits.at, d->edits.count, sizeof *d->edits.at, edit_before, NULL);
    fen_str_printf(d->out, "--- %s\n+++ %s\n", path, path);
    for (uint32_t e = 0; e < d->edits.count;)
        put_hunk(d, &l, &e);
    FEN_VEC_FREE(&l.at);
    return fen_str_status(&d->words);
}

/* ---- files ------------------------------------------------------------------------------- */

/* A file that cannot be read any more had no weights to change. */
static fen_status visit_file(differ *d, const char *path)
{
    fen_source *src = NULL;
    fen_tree *tree = NULL;
    d->edits.count = 0;
    fen_str_clear(&d->words);
    fen_status st = fen_source_open(path, FEN_PACK_MAX, d->problems, &src);
    if (!st)
        st = fen_yaml_read(src, d->problems, &tree);
    d->src = src;
    if (!st)
        st = visit(d, fen_tree_root(tree));
    if (!st)
        st = put_diff(d, path);
    fen_tree_free(tree);
    fen_source_free(src);
    return st == FEN_EINPUT ? FEN_OK : st;
}

static fen_status visit_path(differ *d, const char *path)
{
    char **names;
    size_t n;
    if (!fen_file_is_folder(path))
        return visit_file(d, path);
    fen_status st = fen_file_list(path, ".yaml", &names, &n);
    if (st)
        return st;
    for (size_t i = 0; i < n && !st; i++)
        st = visit_file(d, names[i]);
    fen_file_names_free(names, n);
    return st;
}

fen_status fen_tuning_diff(const fen_tuning *t, const char *const *packs, size_t n_packs, fen_str *out, fen_tune_report *report)
{
    differ d = { .t = t, .report = report, .out = out };
    fen_str_init(&d.words, FEN_PACK_MAX);
    fen_status st = fen_problems_new(&d.problems);
    for (size_t i = 0; i < n_packs && !st; i++)
        st = visit_path(&d, packs[i]);
    fen_sentence_free(&d.sentence);
    FEN_VEC_FREE(&d.edits);
    fen_str_free(&d.words);
    fen_problems_free(d.problems);
    return st;
}
