#include "shape.h"

#include <stdio.h>
#include <string.h>

#include "dims.h"
#include "model/quantity.h"
#include "util/limits.h"
#include "util/near.h"
#include "util/number.h"
#include "vet.h"

const char *const fen_urgency_words[4] = { "none", "weeks", "days", "hours" };

bool fen_shape_empty(const fen_node *node)
{
    return node->type == FEN_NODE_TEXT && node->plain && node->len == 0;
}

const char *fen_shape_found(const fen_node *node)
{
    if (fen_shape_empty(node))
        return "nothing";
    return node->type == FEN_NODE_MAP ? "a map" : node->type == FEN_NODE_LIST ? "a list" : "a text";
}

/* ---- maps ---- */

static size_t key_index(const fen_key *keys, size_t n, const fen_node *key)
{
    for (size_t i = 0; i < n; i++)
        if (keys[i].name[0] == key->text[0] && strcmp(keys[i].name, key->text) == 0)
            return i;
    return n;
}

static void unknown_key(fen_loader *l, const fen_node *key, const char *what, const fen_key *keys, size_t n)
{
    char buf[FEN_SUGGEST_MAX], list[FEN_SUGGEST_MAX];
    fen_near near;
    size_t len = (size_t)snprintf(list, sizeof list, "the keys are");
    fen_near_begin(&near, key->text, key->len);
    for (size_t i = 0; i < n; i++) {
        fen_near_offer(&near, keys[i].name);
        if (len < sizeof list)
            len += (size_t)snprintf(list + len, sizeof list - len, "%s '%s'", i ? "," : "", keys[i].name);
    }
    fen_loader_error(l, FEN_CODE_UNKNOWN_KEY, key->place, fen_loader_meant(near.name, len < sizeof list ? list : NULL, buf),
                     "%s has no key '%.*s'", what, FEN_QUOTE(key->text, key->len));
}

static void missing_keys(fen_loader *l, fen_place at, const char *what, const fen_key *keys, size_t n, fen_fields *f)
{
    char buf[FEN_SUGGEST_MAX];
    for (size_t i = 0; i < n; i++) {
        if (!keys[i].required || f->value[i])
            continue;
        snprintf(buf, sizeof buf, "add a line '%s: ...'", keys[i].name);
        fen_loader_error(l, FEN_CODE_MISSING, at, buf, "%s has no '%s'", what, keys[i].name);
        f->clean = false;
    }
}

bool fen_shape_fields(fen_loader *l, const fen_node *map, fen_place at, const char *what, const fen_key *keys,
                      size_t n_keys, fen_fields *ret)
{
    memset(ret, 0, sizeof *ret);
    ret->clean = true;
    if (map->type != FEN_NODE_MAP && !fen_shape_empty(map)) {
        fen_loader_error(l, FEN_CODE_SHAPE, map->place, "write lines of 'key: value' below it",
                         "%s needs a map, but has %s", what, fen_shape_found(map));
        return false;
    }
    for (size_t i = 0; i < (map->type == FEN_NODE_MAP ? map->count : 0); i++) {
        const fen_pair *p = &map->pairs[i];
        const size_t k = key_index(keys, n_keys, p->key);
        if (k == n_keys) {
            unknown_key(l, p->key, what, keys, n_keys);
            ret->clean = false;
        } else {
            ret->key[k] = p->key;
            ret->value[k] = p->value;
        }
    }
    if (ret->clean) /* else the missing key is most likely the mistyped one */
        missing_keys(l, at, what, keys, n_keys, ret);
    return true;
}

bool fen_shape_item(fen_loader *l, fen_part part, fen_item *item, const fen_key *keys, size_t n_keys, fen_fields *ret)
{
    char what[FEN_NAME_MAX + 32];
    l->source = l->files.at[item->file].source;
    snprintf(what, sizeof what, "the %s '%.*s'", fen_part_noun(part), FEN_QUOTE(item->key->text, item->key->len));
    if (!fen_shape_fields(l, item->value, item->key->place, what, keys, n_keys, ret)) {
        item->broken = true;
        return false;
    }
    item->broken |= !ret->clean;
    return true;
}

/* ---- texts ---- */

static bool wants_text(fen_loader *l, const fen_node *key, const fen_node *value)
{
    if (value->type == FEN_NODE_TEXT && value->len)
        return true;
    const bool empty = value->type == FEN_NODE_TEXT;
    fen_loader_error(l, FEN_CODE_SHAPE, empty ? key->place : value->place,
                     empty ? "write it behind the colon" : "put a text with ': ' or brackets in it in quotes",
                     "'%.*s' needs a text, but has %s", FEN_QUOTE(key->text, key->len),
                     empty ? "nothing" : fen_shape_found(value));
    return false;
}

bool fen_shape_pair(const fen_node *map, const char *key, fen_pair *ret)
{
    for (size_t i = 0; i < map->count; i++) {
        if (strcmp(map->pairs[i].key->text, key) == 0) {
            *ret = map->pairs[i];
            return true;
        }
    }
    return false;
}

const char *fen_shape_keep(fen_loader *l, const fen_node *node)
{
    const char *text = fen_arena_text(l->draft->arena, node->text, node->len);
    if (!text)
        fen_loader_nomem(l);
    return text;
}

bool fen_shape_text(fen_loader *l, const fen_node *key, const fen_node *value, const char **ret)
{
    *ret = NULL;
    if (!value)
        return true;
    if (!wants_text(l, key, value))
        return false;
    *ret = fen_shape_keep(l, value);
    return *ret != NULL;
}

bool fen_shape_texts(fen_loader *l, const fen_node *key, const fen_node *value, fen_texts *ret)
{
    *ret = (fen_texts){ NULL, 0 };
    if (!value)
        return true;
    const bool list = value->type == FEN_NODE_LIST;
    const size_t n = list ? value->count : 1;
    const char **texts = fen_arena_take(l->draft->arena, n, sizeof *texts);
    if (!texts)
        return fen_loader_nomem(l);
    for (size_t i = 0; i < n; i++) {
        const fen_node *one = list ? value->items[i] : value;
        if (!wants_text(l, key, one) || !(texts[i] = fen_shape_keep(l, one)))
            return false;
    }
    *ret = (fen_texts){ texts, (uint32_t)n };
    return true;
}

bool fen_shape_word(fen_loader *l, const fen_node *key, const fen_node *value, const char *const *words, size_t n_words,
                    int *ret)
{
    if (!value)
        return true;
    if (!wants_text(l, key, value))
        return false;
    char list[FEN_SUGGEST_MAX], buf[FEN_SUGGEST_MAX];
    fen_near near;
    size_t len = (size_t)snprintf(list, sizeof list, "write");
    fen_near_begin(&near, value->text, value->len);
    for (size_t i = 0; i < n_words; i++) {
        if (strcmp(words[i], value->text) == 0) {
            *ret = (int)i;
            return true;
        }
        fen_near_offer(&near, words[i]);
        const char *join = i == 0 ? "" : i + 1 == n_words ? " or" : ",";
        if (len < sizeof list)
            len += (size_t)snprintf(list + len, sizeof list - len, "%s '%s'", join, words[i]);
    }
    fen_loader_error(l, FEN_CODE_BAD_VALUE, value->place, fen_loader_meant(near.name, len < sizeof list ? list : NULL, buf),
                     "'%.*s' cannot be '%.*s'", FEN_QUOTE(key->text, key->len), FEN_QUOTE(value->text, value->len));
    return false;
}

bool fen_shape_flag(fen_loader *l, const fen_node *key, const fen_node *value, bool *ret)
{
    static const char *const words[] = { "no", "yes" };
    int index = *ret;
    if (!fen_shape_word(l, key, value, words, FEN_COUNT(words), &index))
        return false;
    *ret = index;
    return true;
}

/* ---- numbers ---- */

/* A place within VALUE, for a number or unit that does not fit. */
static fen_place bad_place(const fen_loader *l, const fen_node *value, size_t bad)
{
    return bad >= value->len ? value->place : fen_node_place_at(l->source, value, bad, value->len - bad);
}

static void bad_quantity(fen_loader *l, const fen_node *key, const fen_node *value, fen_dim dim, size_t bad)
{
    char buf[FEN_SUGGEST_MAX];
    double number;
    size_t n;
    const bool numeric = fen_number_read(value->text, value->len, &number, &n);
    const bool bare = numeric && n == value->len;
    char whole[FEN_NUMBER_MAX];
    if (!numeric)
        snprintf(buf, sizeof buf, "write one such as '5 %s'", fen_dims_unit(dim));
    else if (value->text[n] == ',')
        snprintf(buf, sizeof buf, "a point, not a comma, stands before decimals");
    else if (bare && dim == FEN_DIM_PERCENT && number > 0 && number <= 1)
        snprintf(buf, sizeof buf, "write '%.*s %%'", (int)fen_number_show(whole, number * 100, 6), whole);
    else if (bare)
        snprintf(buf, sizeof buf, "write '%.*s %s'", FEN_QUOTE(value->text, value->len), fen_dims_unit(dim));
    else
        snprintf(buf, sizeof buf, "the units of %s are %s", fen_dims_noun(dim), fen_dim_units(dim));
    if (bare)
        fen_loader_error(l, FEN_CODE_NUMBER, value->place, buf, "'%.*s' in '%.*s' has no unit",
                         FEN_QUOTE(value->text, value->len), FEN_QUOTE(key->text, key->len));
    else
        fen_loader_error(l, FEN_CODE_NUMBER, numeric ? bad_place(l, value, bad) : value->place, buf,
                         "'%.*s' is not a number%s", FEN_QUOTE(value->text, value->len), numeric ? " with a unit" : "");
}

bool fen_shape_quantity(fen_loader *l, const fen_node *key, const fen_node *value, fen_dim dim, double *ret)
{
    fen_quantity q;
    size_t bad = 0;
    if (!value)
        return true;
    if (!wants_text(l, key, value))
        return false;
    if (fen_quantity_parse(value->text, value->len, dim, &q, &bad)) {
        bad_quantity(l, key, value, dim, bad);
        return false;
    }
    if (q.dim != dim) {
        char buf[FEN_SUGGEST_MAX];
        snprintf(buf, sizeof buf, dim == FEN_DIM_PERCENT ? "write a percentage, such as '80 %s'" : "write a number of %s",
                 fen_dims_unit(dim));
        fen_loader_error(l, FEN_CODE_DIMENSION, value->place, buf, "'%.*s' needs %s, but '%.*s' is %s",
                         FEN_QUOTE(key->text, key->len), fen_dims_noun(dim), FEN_QUOTE(value->text, value->len),
                         fen_dims_noun(q.dim));
        return false;
    }
    if (l->deep)
        fen_vet_written(l, value, dim);
    *ret = q.value;
    return true;
}

bool fen_shape_share(fen_loader *l, const fen_node *key, const fen_node *value, double *ret)
{
    double percent = *ret * 100;
    if (!value)
        return true;
    if (!fen_shape_quantity(l, key, value, FEN_DIM_PERCENT, &percent))
        return false;
    if (percent < 0 || percent > 100) {
        fen_loader_error(l, FEN_CODE_NUMBER, value->place, "write a share from 0 % to 100 %",
                         "'%.*s' cannot be '%.*s'", FEN_QUOTE(key->text, key->len), FEN_QUOTE(value->text, value->len));
        return false;
    }
    *ret = percent / 100;
    return true;
}

bool fen_shape_number(fen_loader *l, const fen_node *key, const fen_node *value, double lo, double hi, double *ret)
{
    double number;
    size_t n = 0;
    if (!value)
        return true;
    if (!wants_text(l, key, value))
        return false;
    if (!fen_number_read(value->text, value->len, &number, &n) || n != value->len) {
        fen_loader_error(l, FEN_CODE_NUMBER, bad_place(l, value, n), "write a number without a unit, such as '2.5'",
                         "'%.*s' is not a number", FEN_QUOTE(value->text, value->len));
        return false;
    }
    if (!(number >= lo && number <= hi)) {
        char buf[FEN_SUGGEST_MAX], a[FEN_NUMBER_MAX], b[FEN_NUMBER_MAX];
        fen_number_show(a, lo, 6);
        fen_number_show(b, hi, 6);
        snprintf(buf, sizeof buf, "write a number from %s to %s", a, b);
        fen_loader_error(l, FEN_CODE_NUMBER, value->place, buf, "'%.*s' cannot be '%.*s'",
                         FEN_QUOTE(key->text, key->len), FEN_QUOTE(value->text, value->len));
        return false;
    }
    *ret = number;
    return true;
}

/* ---- names ---- */

bool fen_shape_one_name(fen_loader *l, const fen_node *key, const fen_node *value, fen_part part, fen_id *ret)
{
    char buf[FEN_SUGGEST_MAX];
    if (!wants_text(l, key, value))
        return false;
    const fen_id id = fen_loader_find(l, part, value->text, value->len);
    if (id == FEN_NONE) {
        const char *right =
            fen_loader_suggest(l, part, value->text, value->len, "declare it in a pack, or correct the name", buf);
        fen_loader_error(l, FEN_CODE_UNKNOWN_NAME, value->place, right, "there is no %s '%.*s'", fen_part_noun(part),
                         FEN_QUOTE(value->text, value->len));
        return false;
    }
    *ret = id;
    return true;
}

bool fen_shape_listed_name(fen_loader *l, const fen_node *key, const fen_node *node, fen_part part, fen_id *ret)
{
    if (!fen_shape_one_name(l, key, node, part, ret))
        return false;
    fen_item *item = &l->part[part].items.at[*ret];
    if (item->stamp == l->stamp) {
        fen_loader_error(l, FEN_CODE_DUPLICATE, node->place, "leave it out once", "'%.*s' stands twice in '%.*s'",
                         FEN_QUOTE(node->text, node->len), FEN_QUOTE(key->text, key->len));
        return false;
    }
    item->stamp = l->stamp;
    return true;
}

bool fen_shape_names(fen_loader *l, const fen_node *key, const fen_node *value, fen_part part, fen_list *ret)
{
    *ret = (fen_list){ NULL, 0 };
    if (!value)
        return true;
    const bool list = value->type == FEN_NODE_LIST;
    const size_t n = list ? value->count : 1;
    if (n == 0)
        return true;
    fen_id *ids = fen_arena_take(l->draft->arena, n, sizeof *ids);
    if (!ids)
        return fen_loader_nomem(l);
    bool ok = true;
    l->stamp++;
    for (size_t i = 0; i < n; i++)
        ok &= fen_shape_listed_name(l, key, list ? value->items[i] : value, part, &ids[i]);
    if (ok)
        *ret = (fen_list){ ids, (uint32_t)n };
    return ok;
}
