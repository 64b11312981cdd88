/* shared.c -- see fenmend/shared.h. Counts of each value and of each key, by cause; the four
 * cells of a table follow from them, so memory grows with the values and not with the
 * cases.
 */
#include "fenmend/shared.h"

#include <stdlib.h>
#include <string.h>

#include "stats.h"
#include "util/alloc.h"
#include "util/intern.h"
#include "util/str.h"
#include "util/vec.h"

#define VALUES_MAX (1u << 16) /* different values in all: names that no two plants share are of no use */

/* Counts of one value, or of all cases in which a key is recorded. */
typedef struct counts {
    uint64_t n;
    uint32_t key;
    uint32_t *what; /* [n_whats]: causes, then hazards */
} counts;

struct fen_shared {
    const fen_base *base;
    uint32_t n_causes, n_whats;
    fen_intern *wanted; /* keys asked for; none: all of `where` */
    fen_intern *keys, *values; /* values: "key=value" */
    FEN_VEC(counts) of_key, of_value;
    FEN_VEC(fen_shared_row) rows;
    uint32_t full;      /* the key that had one value too many */
};

/* -- what is asked for ------------------------------------------------------------ */

static bool has_named_answers(const fen_finding *f)
{
    return f->type == FEN_CHOICE || f->type == FEN_YES_NO || f->type == FEN_SEVERAL;
}

static fen_status want(fen_shared *s, const char *const *keys, size_t n, const char **reterr_key)
{
    for (size_t i = 0; i < n; i++) {
        uint32_t id;
        const fen_id f = fen_base_find_finding(s->base, keys[i]);
        if (f != FEN_NONE && !has_named_answers(fen_base_finding(s->base, f))) {
            *reterr_key = keys[i];
            return FEN_EINPUT;
        }
        if (fen_intern_add(s->wanted, keys[i], strlen(keys[i]), &id))
            return FEN_ENOMEM;
    }
    return FEN_OK;
}

fen_status fen_shared_new(const fen_base *base, const char *const *keys, size_t n_keys, fen_shared **ret_shared,
                          const char **reterr_key)
{
    fen_shared *s = fen_calloc(1, sizeof *s);
    if (!s)
        return FEN_ENOMEM;
    s->base = base;
    s->n_causes = fen_base_causes(base);
    s->n_whats = s->n_causes + fen_base_hazards(base);
    s->wanted = fen_intern_new();
    s->keys = fen_intern_new();
    s->values = fen_intern_new();
    fen_status st = s->wanted && s->keys && s->values ? want(s, keys, n_keys, reterr_key) : FEN_ENOMEM;
    if (st) {
        fen_shared_free(s);
        return st;
    }
    *ret_shared = s;
    return FEN_OK;
}

void fen_shared_free(fen_shared *s)
{
    if (!s)
        return;
    for (uint32_t i = 0; i < s->of_key.count; i++)
        fen_free(s->of_key.at[i].what);
    for (uint32_t i = 0; i < s->of_value.count; i++)
        fen_free(s->of_value.at[i].what);
    FEN_VEC_FREE(&s->of_key);
    FEN_VEC_FREE(&s->of_value);
    FEN_VEC_FREE(&s->rows);
    fen_intern_free(s->wanted);
    fen_intern_free(s->keys);
    fen_intern_free(s->values);
    fen_free(s);
}

const char *fen_shared_full(const fen_shared *s)
{
    return fen_intern_name(s->keys, s->full);
}

/* -- noting: "what what ...\0key\0value\0key\0value\0" ------------------------------ */

static void note_what(fen_str *out, uint32_t what)
{
    fen_str_put(out, (const char *)&what, sizeof what);
}

static void note_causes(const fen_shared *s, const fen_judged *j, fen_str *out)
{
    const fen_verdict *v = fen_session_verdict(j->session);
    const fen_list causes = j->settled.count ? j->settled : v->held;
    for (uint32_t i = 0; i < causes.count; i++)
        if (causes.at[i] + 1 != s->n_causes) /* something else is nothing in common */
            note_what(out, causes.at[i]);
    for (uint32_t i = 0; i < v->hazards.count; i++)
        note_what(out, s->n_causes + v->hazards.at[i]);
}

static void note_tag(fen_str *out, const char *key, const char *value)
{
    fen_str_put(out, key, strlen(key) + 1);
    fen_str_put(out, value, strlen(value) + 1);
}

static void note_finding(const fen_shared *s, const fen_judged *j, fen_id f, fen_str *out)
{
    const fen_finding *finding = fen_base_finding(s->base, f);
    const fen_answer a = fen_session_given(j->session, f);
    for (uint32_t o = 0; a.state == FEN_KNOWN && o < finding->n_options; o++)
        if (a.picks >> o & 1)
            note_tag(out, finding->id, finding->options[o].id);
}

static void note_keys(const fen_shared *s, const fen_judged *j, fen_str *out)
{
    const uint32_t n = fen_intern_count(s->wanted);
    for (size_t i = 0; i < j->c->n_where; i++) {
        const fen_tag *t = &j->c->where[i];
        if (!n || fen_intern_find(s->wanted, t->key, strlen(t->key)) != FEN_INTERN_NONE)
            note_tag(out, t->key, t->value);
    }
    for (uint32_t k = 0; k < n; k++) {
        const fen_id f = fen_base_find_finding(s->base, fen_intern_name(s->wanted, k));
        if (f != FEN_NONE)
            note_finding(s, j, f, out);
    }
}

void fen_shared_note(const fen_shared *s, const fen_judged *j, struct fen_str *out)
{
    if (!j->c)
        return;
    const size_t at = out->len;
    uint32_t n = 0;
    note_what(out, n);
    note_causes(s, j, out);
    if (fen_str_status(out))
        return;
    n = (uint32_t)((out->len - at) / sizeof n - 1);
    memcpy(out->at + at, &n, sizeof n);
    note_keys(s, j, out);
}

/* -- counting ------------------------------------------------------------------------ */

typedef struct note {
    const char *whats;
    uint32_t n_whats;
} note;

static fen_status add_to(fen_shared *s, counts *c, const note *n)
{
    if (!c->what)
        c->what = fen_calloc(s->n_whats, sizeof *c->what);
    if (!c->what)
        return FEN_ENOMEM;
    c->n++;
    for (uint32_t i = 0; i < n->n_whats; i++) {
        uint32_t what;
        memcpy(&what, n->whats + i * sizeof what, sizeof what);
        c->what[what]++;
    }
    return FEN_OK;
}

static fen_status find_key(fen_shared *s, const char *key, uint32_t *ret)
{
    if (fen_intern_add(s->keys, key, strlen(key), ret))
        return FEN_ENOMEM;
    if (*ret == s->of_key.count && !FEN_VEC_PUSH(&s->of_key, (counts){ .key = *ret }))
        return FEN_ENOMEM;
    return FEN_OK;
}

static fen_status find_value(fen_shared *s, uint32_t key, const char *value, uint32_t *ret)
{
    fen_str name;
    fen_str_init(&name, 1u << 20);
    fen_str_printf(&name, "%u=", (unsigned)key);
    fen_str_puts(&name, value);
    fen_status st = fen_str_status(&name);
    if (!st)
        st = fen_intern_add(s->values, name.at, name.len, ret);
    fen_str_free(&name);
    if (st)
        return FEN_ENOMEM;
    if (*ret >= VALUES_MAX) {
        s->full = key;
        return FEN_EINPUT;
    }
    if (*ret == s->of_value.count && !FEN_VEC_PUSH(&s->of_value, (counts){ .key = key }))
        return FEN_ENOMEM;
    return FEN_OK;
}

/* A key with several values (of a finding that takes several) is recorded once. */
fen_status fen_shared_count(fen_shared *s, const char *text, size_t len)
{
    const char *end = text + len;
    uint32_t key, value, last = UINT32_MAX;
    note n;
    if (len < sizeof n.n_whats)
        return FEN_OK;
    memcpy(&n.n_whats, text, sizeof n.n_whats);
    n.whats = text + sizeof n.n_whats;
    for (const char *p = n.whats + n.n_whats * sizeof(uint32_t); p < end;) {
        const char *name = p, *of = p + strlen(p) + 1;
        p = of + strlen(of) + 1;
        fen_status st = find_key(s, name, &key);
        if (!st)
            st = find_value(s, key, of, &value);
        if (!st && key != last)
            st = add_to(s, &s->of_key.at[key], &n);
        if (!st)
            st = add_to(s, &s->of_value.at[value], &n);
        if (st)
            return st;
        last = key;
    }
    return FEN_OK;
}

/* -- testing --------------------------------------------------------------------------- */

static bool may_be_shared(uint64_t n, uint64_t all)
{
    return n >= 2 && n < all;
}

static fen_status try_pair(fen_shared *s, uint32_t v, uint32_t what, double most)
{
    const counts *value = &s->of_value.at[v], *key = &s->of_key.at[value->key];
    const uint64_t both = value->what[what], with_what = key->what[what];
    const double p = both ? fen_fisher_more(both, value->n - both, with_what - both, key->n - value->n - with_what + both) : 1;
    if (p > most)
        return FEN_OK;
    const bool hazard = what >= s->n_causes;
    const fen_shared_row row = {
        .key = fen_intern_name(s->keys, value->key),
        .value = strchr(fen_intern_name(s->values, v), '=') + 1,
        .hazard = hazard, .what = hazard ? what - s->n_causes : what,
        .both = both, .with_value = value->n, .with_what = with_what, .all = key->n, .p = p,
    };
    return FEN_VEC_PUSH(&s->rows, row) ? FEN_OK : FEN_ENOMEM;
}

static int most_significant(const void *a, const void *b)
{
    const fen_shared_row *x = a, *y = b;
    if (x->p != y->p)
        return x->p < y->p ? -1 : 1;
    int c = strcmp(x->key, y->key);
    c = c ? c : strcmp(x->value, y->value);
    if (c)
        return c;
    return x->hazard != y->hazard ? (x->hazard ? 1 : -1) : (x->what > y->what) - (x->what < y->what);
}

static fen_status try_all(fen_shared *s, double most, uint64_t *ret_tried)
{
    s->rows.count = 0;
    *ret_tried = 0;
    for (uint32_t v = 0; v < s->of_value.count; v++) {
        const counts *value = &s->of_value.at[v], *key = &s->of_key.at[value->key];
        if (!may_be_shared(value->n, key->n))
            continue;
        for (uint32_t w = 0; w < s->n_whats; w++) {
            if (!may_be_shared(key->what[w], key->n))
                continue;
            ++*ret_tried;
            if (try_pair(s, v, w, most))
                return FEN_ENOMEM;
        }
    }
    return FEN_OK;
}

/* Holm over all pairs tried: those left out are the least significant, and come last. */
fen_status fen_shared_rows(fen_shared *s, double most, const fen_shared_row **ret_rows, size_t *ret_count, uint64_t *ret_tried)
{
    const fen_status st = try_all(s, most, ret_tried);
    if (st)
        return st;
    if (s->rows.count)
        qsort(s->rows.at, s->rows.count, sizeof *s->rows.at, most_significant);
    fen_holm_state h = { .m = *ret_tried };
    for (uint32_t i = 0; i < s->rows.count; i++)
        s->rows.at[i].corrected = fen_holm_next(&h, s->rows.at[i].p);
    *ret_rows = s->rows.at;
    *ret_count = s->rows.count;
    return FEN_OK;
}
