/* case_file.c -- whole case files: from disk, and back to it.
 *
 * What is written is what the reader reads: option ids rather than what they
 * say, quantities in the stored unit with every digit they need, dates in full.
 * The text is complete in memory before the old file is touched.
 */
#include <errno.h>
#include <string.h>

#include "case_yaml.h"
#include "model/quantity.h"
#include "text/yaml_write.h"
#include "util/alloc.h"
#include "util/date.h"
#include "util/file.h"
#include "util/limits.h"

#define TEXT_OF(number) TEXT_OF_EXPANDED(number)
#define TEXT_OF_EXPANDED(number) #number
#define FORMAT_TEXT TEXT_OF(FEN_CASE_FORMAT)

/* The file's name without folder and suffix, as an owned text. */
static char *stem_of(const char *path)
{
    const char *slash = strrchr(path, '/');
    const char *name = slash ? slash + 1 : path;
    const char *dot = strrchr(name, '.');
    return fen_strndup(name, dot && dot > name ? (size_t)(dot - name) : strlen(name));
}

fen_status fen_case_load(const fen_base *base, const char *path, int32_t today, fen_problems *problems,
                         fen_case **ret_case)
{
    fen_source *src = NULL;
    fen_tree *tree = NULL;
    char *stem = NULL;

    fen_status st = fen_source_open(path, FEN_CASE_MAX, problems, &src);
    if (st)
        goto out;
    st = fen_yaml_read(src, problems, &tree);
    if (st)
        goto out;
    stem = stem_of(path);
    st = stem ? fen_case_read(base, src, fen_tree_root(tree), stem, today, problems, ret_case) : FEN_ENOMEM;
    fen_problems_sort(problems);
out:
    fen_free(stem);
    fen_tree_free(tree);
    fen_source_free(src);
    return st;
}

static void put_pair(fen_yaml_out *out, const char *key, const char *value)
{
    fen_yaml_out_text(out, key);
    fen_yaml_out_text(out, value);
}

static void put_date(fen_yaml_out *out, int32_t date)
{
    char buf[FEN_DATE_TEXT];
    fen_date_write(buf, date);
    fen_yaml_out_text(out, buf);
}

static void put_picks(fen_yaml_out *out, const fen_finding *f, uint64_t picks)
{
    const bool list = f->type == FEN_SEVERAL;
    if (list)
        fen_yaml_out_list(out, true);
    for (uint32_t i = 0; i < f->n_options; i++)
        if (picks >> i & 1)
            fen_yaml_out_text(out, f->options[i].id);
    if (list)
        fen_yaml_out_end(out);
}

static void put_answer(fen_yaml_out *out, const fen_finding *f, fen_answer a)
{
    char buf[FEN_QUANTITY_TEXT];
    if (a.state == FEN_UNSURE) {
        fen_yaml_out_text(out, "unsure");
    } else if (f->type == FEN_DATE) {
        put_date(out, (int32_t)a.value);
    } else if (f->type == FEN_QUANTITY) {
        fen_quantity_write(buf, (fen_quantity){ a.value, f->dim });
        fen_yaml_out_text(out, buf);
    } else {
        put_picks(out, f, a.picks);
    }
}

static void put_findings(fen_yaml_out *out, const fen_base *base, const fen_visit *v)
{
    fen_yaml_out_text(out, "findings");
    fen_yaml_out_map(out, v->n_given == 0);
    for (size_t i = 0; i < v->n_given; i++) {
        const fen_finding *f = fen_base_finding(base, v->given[i].finding);
        fen_yaml_out_text(out, f->id);
        put_answer(out, f, v->given[i].answer);
    }
    fen_yaml_out_end(out);
}

static void put_visit(fen_yaml_out *out, const fen_base *base, const fen_visit *v)
{
    fen_yaml_out_text(out, "date");
    put_date(out, v->date);
    put_findings(out, base, v);
    if (v->note)
        put_pair(out, "note", v->note);
    if (v->settled.count) {
        fen_yaml_out_text(out, "settled");
        fen_yaml_out_list(out, true);
        for (uint32_t i = 0; i < v->settled.count; i++)
            fen_yaml_out_text(out, fen_base_cause(base, v->settled.at[i])->id);
        fen_yaml_out_end(out);
    }
}

static void put_visits(fen_yaml_out *out, const fen_base *base, const fen_case *c)
{
    if (c->n_visits == 1) {
        put_visit(out, base, &c->visits[0]);
        return;
    }
    fen_yaml_out_text(out, "visits");
    fen_yaml_out_list(out, false);
    for (size_t i = 0; i < c->n_visits; i++) {
        fen_yaml_out_map(out, false);
        put_visit(out, base, &c->visits[i]);
        fen_yaml_out_end(out);
    }
    fen_yaml_out_end(out);
}

static void put_case(fen_yaml_out *out, const fen_base *base, const fen_case *c, bool kept)
{
    fen_yaml_out_map(out, false);
    put_pair(out, "case", c->id);
    if (kept)
        put_pair(out, "format", FORMAT_TEXT);
    if (kept && c->lesson)
        put_pair(out, "lesson", c->lesson);
    if (c->kind != FEN_NONE)
        put_pair(out, "kind", fen_base_kind(base, c->kind)->id);
    else if (c->kind_unsure)
        put_pair(out, "kind", "unsure");
    if (c->n_where) {
        fen_yaml_out_text(out, "where");
        fen_yaml_out_map(out, true);
        for (size_t i = 0; i < c->n_where; i++)
            put_pair(out, c->where[i].key, c->where[i].value);
        fen_yaml_out_end(out);
    }
    put_visits(out, base, c);
    fen_yaml_out_end(out);
}

fen_status fen_case_write(const fen_base *base, const fen_case *c, bool kept, fen_str *text)
{
    fen_yaml_out *out = NULL;
    fen_status st = fen_yaml_out_new(text, &out);
    if (!st) {
        put_case(out, base, c, kept);
        st = fen_yaml_out_finish(out);
    }
    fen_yaml_out_free(out);
    return st;
}

/* By way of its text: what a name means in another base is the reader's business. */
fen_status fen_case_carry(const fen_base *from, const fen_case *c, const fen_base *to, fen_problems *problems, fen_case **ret_case)
{
    fen_source *src = NULL;
    fen_tree *tree = NULL;
    fen_str text;
    fen_str_init(&text, FEN_CASE_MAX);
    fen_status st = fen_case_write(from, c, true, &text);
    if (!st)
        st = fen_source_text(c->id, text.at, text.len, problems, &src);
    if (!st)
        st = fen_yaml_read(src, problems, &tree);
    if (!st)
        st = fen_case_read(to, src, fen_tree_root(tree), c->id, c->visits[c->n_visits - 1].date, problems, ret_case);
    fen_tree_free(tree);
    fen_source_free(src);
    fen_str_free(&text);
    return st;
}

fen_status fen_case_keep(const fen_base *base, const fen_case *c, const char *path)
{
    fen_str text;
    fen_str_init(&text, FEN_CASE_MAX);
    fen_status st = fen_case_write(base, c, false, &text);
    if (st == FEN_OK)
        st = fen_file_write(path, text.at, text.len, 0666);
    const int error = errno;
    fen_str_free(&text);
    errno = error;
    return st;
}
