/* store.c -- see store.h. The file is cut into cases by the same rules as for a batch, so that
 * what is one case there is one here.
 */
#include "store.h"

#include <assert.h>
#include <errno.h>
#include <stdio.h>
#include <string.h>

#include "case_yaml.h"
#include "feed_cut.h"
#include "util/alloc.h"
#include "util/file.h"
#include "util/limits.h"

/* ---- reading --------------------------------------------------------------------------- */

typedef struct cutter {
    fen_store *s;
    const char *path;
    int32_t today;
    fen_problems *problems;
    size_t at;           /* of the unit */
    uint32_t lines;      /* before it */
} cutter;

/* Bytes of a unit before the case: comments, and the marker where what follows is an item of a
 * list, for the next item needs it. */
static size_t lead_of(const char *text, size_t len, bool item)
{
    size_t at = 0, comments = 0;
    while (at < len) {
        const char *lf = memchr(text + at, '\n', len - at);
        const size_t line = lf ? (size_t)(lf - text) + 1 - at : len - at;
        const size_t blank = strspn(text + at, " \t\r");
        const bool marker = line >= 3 && memcmp(text + at, "---", 3) == 0;
        if (!marker && blank < line && text[at + blank] != '\n' && text[at + blank] != '#')
            break;
        at += line;
        if (item || !marker)
            comments = at;
        if (marker && !item)
            break;
    }
    return comments;
}

/* Bytes behind the case: blank lines and remarks at the margin are about what follows, or nothing. */
static size_t trail_of(const char *text, size_t len)
{
    size_t end = len;
    while (end) {
        size_t start = end - 1;
        while (start && text[start - 1] != '\n')
            start--;
        if (text[start] != '#' && start + strspn(text + start, " \t\r") < end - (text[end - 1] == '\n'))
            break;
        end = start;
    }
    return len - end;
}

static fen_status take_case(cutter *k, const fen_source *src, const fen_node *node, size_t len, bool document, bool alone)
{
    char name[32];
    fen_case *c = NULL;
    const char *text = k->s->text + k->at;
    snprintf(name, sizeof name, "settled:%u", (unsigned)node->place.line);
    const fen_status st = fen_case_read(k->s->base, src, node, name, k->today, k->problems, &c);
    if (st)
        return st == FEN_EINPUT ? FEN_OK : st; /* told; go on to tell all */
    const size_t lead = lead_of(text, len, !document);
    const size_t trail = trail_of(text + lead, len - lead);
    if (FEN_VEC_PUSH(&k->s->cases, (fen_stored){ c, k->at + lead, len - lead - trail, document, alone }))
        return FEN_OK;
    fen_case_free(c);
    return FEN_ENOMEM;
}

static fen_status take_root(cutter *k, const fen_source *src, const fen_node *root, size_t len)
{
    fen_status st = FEN_OK;
    if (root->type == FEN_NODE_MAP)
        return root->count ? take_case(k, src, root, len, true, true) : FEN_OK;
    if (root->type == FEN_NODE_TEXT)
        return take_case(k, src, root, len, true, true);
    for (uint32_t i = 0; i < root->count && !st; i++)
        st = take_case(k, src, root->items[i], len, false, root->count == 1);
    return st;
}

static fen_status take_unit(cutter *k, const fen_cut_unit *u)
{
    fen_source *src = NULL;
    fen_tree *tree = NULL;
    fen_status st = fen_source_piece(k->path, k->s->text + k->at, u->len, k->lines, k->at, k->problems, &src);
    if (!st)
        st = fen_yaml_read(src, k->problems, &tree);
    if (!st)
        st = take_root(k, src, fen_tree_root(tree), u->len);
    fen_tree_free(tree);
    fen_source_free(src);
    return st == FEN_EINPUT ? FEN_OK : st;
}

static fen_status cut(cutter *k)
{
    fen_cut c = { .input = FEN_INPUT_YAML };
    fen_cut_unit u;
    fen_status st = FEN_OK;
    while (!st && k->at < k->s->len) {
        const fen_cut_result r = fen_cut_next(&c, k->s->text + k->at, k->s->len - k->at, true, &u);
        if (r == FEN_CUT_MORE)
            break;
        if (r == FEN_CUT_UNIT)
            st = take_unit(k, &u);
        k->at += (r == FEN_CUT_UNIT ? u.len : 0) + u.skip;
        k->lines += u.lines;
    }
    return st;
}

static fen_status whole_file(const char *path, fen_problems *problems, fen_code code, const char *right, const char *wrong)
{
    fen_place place = { 0, 0, 0, 1 };
    const fen_status st = fen_problems_file(problems, path, &place.file);
    if (st)
        return st;
    fen_problems_add(problems, FEN_ERROR, code, place, NULL, right, "%s", wrong);
    return fen_problems_status(problems) ? FEN_ENOMEM : FEN_EINPUT;
}

fen_status fen_store_busy(const char *path, fen_problems *problems)
{
    return whole_file(path, problems, FEN_CODE_BUSY, "say the same again when it is done", "another program is writing this file");
}

static fen_status open_text(const char *path, fen_problems *problems, fen_store *s)
{
    const fen_status st = fen_file_read(path, FEN_PACK_MAX, &s->text, &s->len);
    if (st == FEN_EIO && errno == ENOENT)
        return FEN_OK;
    if (st == FEN_EIO || st == FEN_EINPUT)
        return whole_file(path, problems, errno == EFBIG ? FEN_CODE_TOO_LARGE : FEN_CODE_READ, NULL, strerror(errno));
    fen_input input;
    if (!st && (!fen_feed_guess(s->text, s->len, true, &input) || input != FEN_INPUT_YAML))
        return whole_file(path, problems, FEN_CODE_SYNTAX, "name a file of YAML, or one that is not there yet",
                          "settled cases are kept as YAML, and this is not");
    return st;
}

fen_status fen_store_read(const fen_base *base, const char *path, int32_t today, fen_problems *problems, fen_store *ret_store)
{
    cutter k = { .s = ret_store, .path = path, .today = today, .problems = problems };
    const size_t errors = fen_problems_errors(problems);
    ret_store->base = base;
    fen_status st = open_text(path, problems, ret_store);
    if (!st && ret_store->text)
        st = cut(&k);
    if (fen_problems_status(problems))
        return FEN_ENOMEM;
    return !st && fen_problems_errors(problems) > errors ? FEN_EINPUT : st;
}

void fen_store_close(fen_store *s)
{
    for (uint32_t i = 0; i < s->cases.count; i++)
        fen_case_free(s->cases.at[i].c);
    FEN_VEC_FREE(&s->cases);
    fen_free(s->text);
    *s = (fen_store){ 0 };
}

const fen_stored *fen_store_find(const fen_store *s, const char *id, bool *ret_twice)
{
    const fen_stored *found = NULL;
    *ret_twice = false;
    for (uint32_t i = 0; i < s->cases.count; i++) {
        if (strcmp(s->cases.at[i].c->id, id) != 0)
            continue;
        *ret_twice = found != NULL;
        found = &s->cases.at[i];
    }
    return found;
}

/* ---- what one case says ------------------------------------------------------------------- */

static bool same_list(fen_list a, fen_list b)
{
    return a.count == b.count && (!a.count || memcmp(a.at, b.at, a.count * sizeof *a.at) == 0);
}

static bool same_answer(fen_answer a, fen_answer b)
{
    return a.state == b.state && a.picks == b.picks && !(a.value < b.value) && !(a.value > b.value);
}

static bool gives(const fen_visit *v, const fen_given *g)
{
    for (size_t i = 0; i < v->n_given; i++)
        if (v->given[i].finding == g->finding)
            return same_answer(v->given[i].answer, g->answer);
    return false;
}

static bool visit_says_all(const fen_visit *now, const fen_visit *before)
{
    for (size_t i = 0; i < before->n_given; i++)
        if (!gives(now, &before->given[i]))
            return false;
    if (before->note && (!now->note || strcmp(now->note, before->note) != 0))
        return false;
    return !before->settled.count || same_list(now->settled, before->settled);
}

static bool has_tag(const fen_case *c, const fen_tag *tag)
{
    for (size_t i = 0; i < c->n_where; i++)
        if (strcmp(c->where[i].key, tag->key) == 0)
            return strcmp(c->where[i].value, tag->value) == 0;
    return false;
}

bool fen_store_says_all(const fen_case *now, const fen_case *before)
{
    if (now->kind != before->kind && (before->kind != FEN_NONE || before->kind_unsure))
        return false;
    for (size_t i = 0; i < before->n_where; i++)
        if (!has_tag(now, &before->where[i]))
            return false;
    size_t v = 0;
    for (size_t i = 0; i < before->n_visits; i++) {
        while (v < now->n_visits && now->visits[v].date < before->visits[i].date)
            v++;
        if (v == now->n_visits || now->visits[v].date != before->visits[i].date || !visit_says_all(&now->visits[v], &before->visits[i]))
            return false;
    }
    return true;
}

/* ---- the text with one case more, or less ---------------------------------------------------- */

static fen_status put_document(const fen_store *s, const fen_case *c, fen_str *out)
{
    fen_str_puts(out, "---\n");
    const fen_status st = fen_case_write(s->base, c, true, out);
    return st ? st : fen_str_status(out);
}

fen_status fen_store_without(const fen_store *s, const fen_stored *old, fen_str *out)
{
    assert(old->alone);
    fen_str_put(out, s->text, old->at);
    fen_str_put(out, s->text + old->at + old->len, s->len - old->at - old->len);
    return fen_str_status(out);
}

fen_status fen_store_with(const fen_store *s, const fen_stored *old, const fen_case *c, fen_str *out)
{
    fen_status st = FEN_OK;
    if (old && old->document) {
        fen_str_put(out, s->text, old->at);
        st = put_document(s, c, out);
        fen_str_put(out, s->text + old->at + old->len, s->len - old->at - old->len);
        return st ? st : fen_str_status(out);
    }
    if (old)
        st = fen_store_without(s, old, out);
    else if (s->text)
        fen_str_put(out, s->text, s->len);
    else
        fen_str_puts(out, FEN_STORE_HEAD);
    if (out->len && out->at[out->len - 1] != '\n')
        fen_str_putc(out, '\n');
    return st ? st : put_document(s, c, out);
}

static fen_status same_text(const fen_store *s, const fen_case *a, const fen_case *b, bool *ret_same)
{
    fen_str x, y;
    fen_case bare = *a;
    bare.lesson = b->lesson ? a->lesson : NULL; /* whoever learnt nothing now does not take away what was learnt */
    fen_str_init(&x, FEN_CASE_MAX);
    fen_str_init(&y, FEN_CASE_MAX);
    fen_status st = fen_case_write(s->base, &bare, true, &x);
    if (!st)
        st = fen_case_write(s->base, b, true, &y);
    *ret_same = !st && strcmp(x.at, y.at) == 0;
    fen_str_free(&x);
    fen_str_free(&y);
    return st;
}

static fen_status refuse_twice(const char *path, fen_problems *problems, const char *id, bool twice)
{
    char wrong[256];
    if (twice)
        snprintf(wrong, sizeof wrong, "there are two cases called '%.100s'", id);
    else
        snprintf(wrong, sizeof wrong, "the case '%.100s' stands in brackets with others", id);
    return whole_file(path, problems, FEN_CODE_DUPLICATE,
                      twice ? "give one of them another name" : "write it as a document of its own, behind '---'", wrong);
}

/* A file that people edit may have shapes that are not thought of here: look before it is
 * written that every case is still there. */
fen_status fen_store_check(const fen_store *s, const char *path, const fen_str *text, uint32_t n_cases, int32_t today, fen_problems *problems)
{
    fen_store again = { .base = s->base, .text = fen_strndup(text->at, text->len), .len = text->len };
    cutter k = { .s = &again, .path = path, .today = today };
    fen_status st = again.text ? fen_problems_new(&k.problems) : FEN_ENOMEM;
    if (!st)
        st = cut(&k);
    const bool whole = !st && !fen_problems_errors(k.problems) && again.cases.count == n_cases;
    if (!st && !whole)
        st = fen_problems_status(k.problems) ? FEN_ENOMEM
             : whole_file(path, problems, FEN_CODE_SYNTAX, "put each case into a document of its own, behind '---'",
                          "the case cannot be changed without touching what stands beside it");
    fen_store_close(&again);
    fen_problems_free(k.problems);
    return st;
}

fen_status fen_store_put(const fen_store *s, const char *path, const fen_case *c, bool replace, int32_t today, fen_problems *problems,
                         fen_settled_put *ret_put, fen_str *out)
{
    bool twice, same = false;
    const fen_stored *old = fen_store_find(s, c->id, &twice);
    if (twice)
        return refuse_twice(path, problems, c->id, true);
    fen_status st = old ? same_text(s, old->c, c, &same) : FEN_OK;
    if (st)
        return st;
    if (same) {
        *ret_put = FEN_SETTLED_SAME;
        return FEN_OK;
    }
    const bool more = old && fen_store_says_all(c, old->c);
    if (old && !more && !replace) {
        *ret_put = FEN_SETTLED_OTHER;
        return FEN_OK;
    }
    if (old && !old->alone)
        return refuse_twice(path, problems, c->id, false);
    *ret_put = !old ? FEN_SETTLED_ADDED : more ? FEN_SETTLED_GREW : FEN_SETTLED_REPLACED;
    st = fen_store_with(s, old, c, out);
    return st ? st : fen_store_check(s, path, out, s->cases.count + !old, today, problems);
}
