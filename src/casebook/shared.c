/* shared.c -- see fenmend/shared.h. Counts of each value and of each key, by cause; the four
 * cells of a table follow from them, so memory grows with the values and not with the
 * cases.
 */
#include "fenmend/shared.h"

#include <float.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "answer_text.h"
#include "shared_keys.h"
#include "stats.h"
#include "util/alloc.h"
#include "util/str.h"
#include "util/vec.h"

#define VALUES_MAX (1u << 16)  /* different values in all: names that no two plants share are of no use */
#define LEFT_OUT_MAX 64u       /* keys left out, whose values stay among the names */
#define SEEN_MAX 256u          /* names kept of what was not asked for */

/* Counts of one value, or of all cases in which a key is recorded. */
typedef struct counts {
    uint64_t n;
    uint64_t last;     /* the note that was counted last: one case may record a key twice */
    uint32_t key;
    uint32_t n_values; /* of a key */
    bool left_out;     /* a key */
    const char *name;  /* of a key: as it was written first */
    uint32_t *what;    /* [n_whats]: causes, then hazards */
} counts;

struct fen_shared {
    const fen_base *base;
    uint32_t n_causes, n_whats;
    FEN_VEC(fen_wanted) wanted; /* none: all of `where` */
    fen_intern *keys, *values;  /* keys: KIND and folded name; values: "key=value" */
    fen_intern *names, *seen;   /* keys as written; what cases record besides those asked for */
    FEN_VEC(counts) of_key, of_value;
    FEN_VEC(fen_shared_row) rows;
    uint64_t notes;
    uint32_t n_values, n_left_out; /* values of keys that are not left out */
    uint32_t full;                 /* the key that had one value too many */
};

/* What a note says of a key, in its first byte. */
enum { BY_WHERE = 'w', BY_FINDING = 'f', BY_NONE = 's' };

fen_status fen_shared_new(const fen_base *base, const char *const *keys, size_t n_keys, fen_shared **ret_shared,
                          char reterr[FEN_SHARED_TEXT])
{
    fen_shared *s = fen_calloc(1, sizeof *s);
    if (!s)
        return FEN_ENOMEM;
    s->base = base;
    s->n_causes = fen_base_causes(base);
    s->n_whats = s->n_causes + fen_base_hazards(base);
    fen_intern **const tables[] = { &s->keys, &s->values, &s->names, &s->seen };
    fen_status st = FEN_OK;
    for (size_t i = 0; !st && i < FEN_COUNT(tables); i++)
        st = (*tables[i] = fen_intern_new()) ? FEN_OK : FEN_ENOMEM;
    for (size_t i = 0; !st && i < n_keys; i++) {
        fen_wanted w;
        st = fen_wanted_read(base, keys[i], &w, reterr);
        if (!st && !FEN_VEC_PUSH(&s->wanted, w))
            st = FEN_ENOMEM;
    }
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
    FEN_VEC_FREE(&s->wanted);
    fen_intern_free(s->keys);
    fen_intern_free(s->values);
    fen_intern_free(s->names);
    fen_intern_free(s->seen);
    fen_free(s);
}

const char *fen_shared_full(const fen_shared *s)
{
    return s->of_key.at[s->full].name;
}

const char *fen_shared_left_out(const fen_shared *s, uint32_t *at)
{
    while (*at < s->of_key.count) {
        const counts *key = &s->of_key.at[(*at)++];
        if (key->left_out)
            return key->name;
    }
    return NULL;
}

static bool is_recorded(const fen_shared *s, const fen_wanted *w)
{
    for (uint32_t i = 0; i < s->of_key.count; i++) {
        const counts *key = &s->of_key.at[i];
        const bool finding = *fen_intern_name(s->keys, i) == BY_FINDING;
        if (finding ? w->finding != FEN_NONE && strcmp(key->name, fen_base_finding(s->base, w->finding)->id) == 0
                    : fen_wanted_is(w, key->name))
            return true;
    }
    return false;
}

bool fen_shared_unrecorded(const fen_shared *s, uint32_t *at, char ret_text[FEN_SHARED_TEXT])
{
    while (*at < s->wanted.count) {
        const fen_wanted *w = &s->wanted.at[(*at)++];
        if (is_recorded(s, w))
            continue;
        fen_wanted_missing(s->base, w, s->seen, ret_text);
        return true;
    }
    return false;
}

/* -- noting: "what what ...wkey\0value\0fkey\0value\0" ------------------------------- */

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

static void note_tag(fen_str *out, char by, const char *key, const char *value)
{
    fen_str_putc(out, by);
    fen_str_put(out, key, strlen(key) + 1);
    fen_str_put(out, value, strlen(value) + 1);
}

static void note_finding(const fen_shared *s, const fen_judged *j, fen_id f, fen_str *out)
{
    const fen_finding *finding = fen_base_finding(s->base, f);
    const fen_answer a = fen_session_given(j->session, f);
    for (uint32_t o = 0; a.state == FEN_KNOWN && o < finding->n_options; o++)
        if (a.picks >> o & 1)
            note_tag(out, BY_FINDING, finding->id, finding->options[o].id);
}

static bool is_wanted(const fen_shared *s, const char *where)
{
    for (uint32_t k = 0; k < s->wanted.count; k++)
        if (fen_wanted_is(&s->wanted.at[k], where))
            return true;
    return !s->wanted.count;
}

static void note_keys(const fen_shared *s, const fen_judged *j, fen_str *out)
{
    for (size_t i = 0; i < j->c->n_where; i++) {
        const fen_tag *t = &j->c->where[i];
        if (is_wanted(s, t->key))
            note_tag(out, BY_WHERE, t->key, t->value);
        else
            note_tag(out, BY_NONE, t->key, "");
    }
    for (uint32_t k = 0; k < s->wanted.count; k++)
        if (s->wanted.at[k].finding != FEN_NONE)
            note_finding(s, j, s->wanted.at[k].finding, out);
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
    if (c->last == s->notes)
        return FEN_OK;
    c->last = s->notes;
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

static fen_status new_key(fen_shared *s, uint32_t key, const char *name)
{
    uint32_t id;
    if (fen_intern_add(s->names, name, strlen(name), &id))
        return FEN_ENOMEM;
    const counts c = { .key = key, .name = fen_intern_name(s->names, id) };
    return FEN_VEC_PUSH(&s->of_key, c) ? FEN_OK : FEN_ENOMEM;
}

static fen_status find_key(fen_shared *s, char by, const char *name, uint32_t *ret)
{
    fen_str folded;
    fen_str_init(&folded, 1u << 20);
    fen_str_putc(&folded, by);
    fen_piece_fold(&folded, (fen_piece){ name, strlen(name) });
    fen_status st = fen_str_status(&folded);
    if (!st)
        st = fen_intern_add(s->keys, folded.at, folded.len, ret);
    fen_str_free(&folded);
    if (!st && *ret == s->of_key.count)
        st = new_key(s, *ret, name);
    return st ? FEN_ENOMEM : FEN_OK;
}

/* The key with the most values makes room for the others, unless keys were asked for. */
static fen_status leave_out_widest(fen_shared *s)
{
    uint32_t widest = 0;
    for (uint32_t i = 1; i < s->of_key.count; i++)
        if (s->of_key.at[i].n_values > s->of_key.at[widest].n_values)
            widest = i;
    if (s->wanted.count || s->n_left_out == LEFT_OUT_MAX) {
        s->full = widest;
        return FEN_EINPUT;
    }
    for (uint32_t i = 0; i < s->of_value.count; i++) {
        counts *value = &s->of_value.at[i];
        if (value->key != widest)
            continue;
        fen_free(value->what);
        value->what = NULL;
    }
    counts *key = &s->of_key.at[widest];
    s->n_values -= key->n_values;
    s->n_left_out++;
    key->n_values = 0;
    key->left_out = true;
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
    if (*ret < s->of_value.count)
        return FEN_OK;
    if (!FEN_VEC_PUSH(&s->of_value, (counts){ .key = key }))
        return FEN_ENOMEM;
    s->n_values++;
    s->of_key.at[key].n_values++;
    return s->n_values > VALUES_MAX ? leave_out_widest(s) : FEN_OK;
}

static fen_status count_tag(fen_shared *s, const note *n, char by, const char *name, const char *of)
{
    uint32_t key, value;
    if (by == BY_NONE)
        return fen_intern_count(s->seen) < SEEN_MAX && fen_intern_add(s->seen, name, strlen(name), &key) ? FEN_ENOMEM : FEN_OK;
    fen_status st = find_key(s, by, name, &key);
    if (!st && !s->of_key.at[key].left_out)
        st = find_value(s, key, of, &value);
    if (st || s->of_key.at[key].left_out)
        return st;
    st = add_to(s, &s->of_key.at[key], n);
    return st ? st : add_to(s, &s->of_value.at[value], n);
}

fen_status fen_shared_count(fen_shared *s, const char *text, size_t len)
{
    const char *end = text + len;
    note n;
    if (len < sizeof n.n_whats)
        return FEN_OK;
    memcpy(&n.n_whats, text, sizeof n.n_whats);
    n.whats = text + sizeof n.n_whats;
    s->notes++;
    for (const char *p = n.whats + n.n_whats * sizeof(uint32_t); p < end;) {
        const char by = *p, *name = p + 1, *of = name + strlen(name) + 1;
        p = of + strlen(of) + 1;
        const fen_status st = count_tag(s, &n, by, name, of);
        if (st)
            return st;
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
    const uint64_t other = value->n - both, elsewhere = with_what - both, rest = key->n - value->n - elsewhere;
    const double p = both ? fen_fisher_more(both, other, elsewhere, rest) : 1;
    if (p > most)
        return FEN_OK;
    const bool hazard = what >= s->n_causes;
    const fen_shared_row row = {
        .key = key->name,
        .value = strchr(fen_intern_name(s->values, v), '=') + 1,
        .hazard = hazard, .what = hazard ? what - s->n_causes : what,
        .both = both, .with_value = value->n, .with_what = with_what, .all = key->n, .p = p,
        .ln_p = both ? fen_fisher_more_ln(both, other, elsewhere, rest) : 0,
    };
    return FEN_VEC_PUSH(&s->rows, row) ? FEN_OK : FEN_ENOMEM;
}

static int most_significant(const void *a, const void *b)
{
    const fen_shared_row *x = a, *y = b;
    if (x->p != y->p)
        return x->p < y->p ? -1 : 1;
    /* Rounding must not decide between equals. */
    const double x_ln = x->p > DBL_MIN ? 0 : round(x->ln_p * 1e6), y_ln = y->p > DBL_MIN ? 0 : round(y->ln_p * 1e6);
    if (x_ln != y_ln)
        return x_ln < y_ln ? -1 : 1;
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
        if (key->left_out || !may_be_shared(value->n, key->n))
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
