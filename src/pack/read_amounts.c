/* read_amounts.c -- `reckon` and `with` of a step: a calculator, and where each of
 * its inputs comes from.
 *
 * An input is a finding of the same measure, `today`, `here` (the latitude of the settings), a value as it is typed at a
 * shell, or another calculation: {reckon: pot, result: volume, with: {...}}.
 */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "advise.h"
#include "fenmend/reckon.h"
#include "model/quantity.h"
#include "shape.h"
#include "util/near.h"

#define NESTED_MAX 3u /* a calculation of a calculation of one: nobody follows more */

static bool read_amount(fen_loader *l, const fen_node *name, fen_place at, const fen_node *with_key, const fen_node *with, unsigned depth,
                        const fen_amount **ret);

static const fen_reckoner *find_reckoner(fen_loader *l, const fen_node *name)
{
    char buf[FEN_SUGGEST_MAX];
    fen_near near;
    const fen_reckoner *r = name->type == FEN_NODE_TEXT ? fen_reckoner_find(name->text, name->len) : NULL;
    if (r)
        return r;
    if (name->type != FEN_NODE_TEXT || !name->len) {
        fen_loader_error(l, FEN_CODE_SHAPE, name->place, "name one; 'fenmend reckon' lists them", "'reckon' needs a calculator, but has %s",
                         fen_shape_found(name));
        return NULL;
    }
    fen_near_begin(&near, name->text, name->len);
    for (size_t i = 0; i < fen_reckoners(); i++)
        fen_near_offer(&near, fen_reckoner_at(i)->name);
    fen_loader_error(l, FEN_CODE_UNKNOWN_NAME, name->place, fen_loader_meant(near.name, "'fenmend reckon' lists them", buf),
                     "there is no calculator '%.*s'", FEN_QUOTE(name->text, name->len));
    return NULL;
}

static bool no_such(fen_loader *l, fen_place place, const fen_reckoner *r, const char *noun, const char *name, size_t len, bool inputs, bool outputs)
{
    char buf[FEN_SUGGEST_MAX], list[FEN_SUGGEST_MAX] = "there are";
    size_t at = strlen(list);
    fen_near near;
    fen_near_begin(&near, name, len);
    for (size_t i = 0; i < (inputs ? r->n_inputs : 0) + (outputs ? r->n_outputs : 0); i++) {
        const size_t n = inputs ? r->n_inputs : 0;
        const char *one = i < n ? r->inputs[i].name : r->outputs[i - n].name;
        fen_near_offer(&near, one);
        if (at < sizeof list)
            at += (size_t)snprintf(list + at, sizeof list - at, "%s '%s'", i ? "," : "", one);
    }
    fen_loader_error(l, FEN_CODE_UNKNOWN_NAME, place, fen_loader_meant(near.name, list, buf), "the calculator '%s' has no %s '%.*s'", r->name, noun,
                     FEN_QUOTE(name, len));
    return false;
}

/* ---- where an input comes from ---- */

/* The dimension of a measure that findings have too; FEN_DIM_NONE: none. */
static fen_dim dim_of(fen_measure m)
{
    static const fen_dim dims[FEN_MEASURES] = {
        [FEN_MEASURE_TEMPERATURE] = FEN_DIM_TEMPERATURE, [FEN_MEASURE_DIFFERENCE] = FEN_DIM_TEMPERATURE_DIFFERENCE,
        [FEN_MEASURE_SOLIDS] = FEN_DIM_DISSOLVED_SOLIDS, [FEN_MEASURE_LENGTH] = FEN_DIM_LENGTH,
        [FEN_MEASURE_VOLUME] = FEN_DIM_VOLUME,           [FEN_MEASURE_TIME] = FEN_DIM_TIME_SPAN,
        [FEN_MEASURE_LIGHT] = FEN_DIM_LIGHT,             [FEN_MEASURE_DAILY_LIGHT] = FEN_DIM_DAILY_LIGHT,
        [FEN_MEASURE_PERCENT] = FEN_DIM_PERCENT,         [FEN_MEASURE_COUNT] = FEN_DIM_COUNT,
        [FEN_MEASURE_HOURS] = FEN_DIM_TIME_SPAN, /* the plan turns days into hours */
    };
    return dims[m];
}

/* Every choice of the calculator is an answer of the finding, which may have more. */
static bool has_choices(const fen_finding *f, const char *const *choices)
{
    for (size_t i = 0; choices[i]; i++) {
        uint32_t k = 0;
        while (k < f->n_options && strcmp(f->options[k].id, choices[i]) != 0)
            k++;
        if (k == f->n_options)
            return false;
    }
    return true;
}

static bool bind_finding(fen_loader *l, const fen_node *node, fen_id finding, const fen_reckoner *r, fen_binding *b)
{
    const fen_finding *f = &l->draft->findings.at[finding];
    const fen_reckon_input *in = &r->inputs[b->input];
    const fen_dim dim = dim_of(in->measure);
    if (fen_loader_broken_finding(l, finding))
        return false;
    b->op = FEN_BIND_FINDING;
    b->finding = finding;
    if ((f->type == FEN_QUANTITY && dim != FEN_DIM_NONE && f->dim == dim) || (f->type == FEN_DATE && in->measure == FEN_MEASURE_DATE) ||
        (f->type == FEN_CHOICE && in->measure == FEN_MEASURE_CHOICE && has_choices(f, in->choices)))
        return true;
    fen_loader_error(l, FEN_CODE_DIMENSION, node->place, "name a finding of the same measure, or write a value",
                     "'%s' of '%s' is %s, but the finding '%s' is not", in->name, r->name, fen_measure_name(in->measure), f->id);
    return false;
}

static bool bind_value(fen_loader *l, const fen_node *node, const fen_reckoner *r, fen_binding *b)
{
    fen_reckon_value v;
    fen_reckon_error err;
    char right[FEN_SUGGEST_MAX];
    b->op = FEN_BIND_VALUE;
    if (fen_reckon_read(r, b->input, node->text, node->len, &v, &err)) {
        snprintf(right, sizeof right, "%s, or name a finding", err.right);
        fen_loader_error(l, err.code, fen_node_place_at(l->source, node, err.at < node->len ? err.at : 0, node->len - (err.at < node->len ? err.at : 0)),
                         right, "%s", err.wrong);
        return false;
    }
    b->number = v.number;
    const fen_measure m = r->inputs[b->input].measure;
    const bool text = m == FEN_MEASURE_PARTS || m == FEN_MEASURE_LOG; /* the others are their number, shown in any units */
    b->text = text ? fen_shape_keep(l, node) : NULL;
    return !text || b->text;
}

enum { N_RECKON, N_RESULT, N_WITH };
static const fen_key nested_keys[] = { { "reckon", true }, { "result", true }, { "with", true } };

static bool bind_amount(fen_loader *l, const fen_node *node, const fen_reckoner *r, unsigned depth, fen_binding *b)
{
    fen_fields f;
    if (depth == NESTED_MAX) {
        fen_loader_error(l, FEN_CODE_TOO_LARGE, node->place, "name a finding or write a value", "calculations are nested more than %u deep", NESTED_MAX);
        return false;
    }
    if (!fen_shape_fields(l, node, node->place, "a calculation as an input", nested_keys, FEN_COUNT(nested_keys), &f) || !f.clean ||
        !read_amount(l, f.value[N_RECKON], node->place, f.key[N_WITH], f.value[N_WITH], depth + 1, &b->amount))
        return false;
    const fen_node *name = f.value[N_RESULT];
    const char *text;
    if (!fen_shape_text(l, f.key[N_RESULT], name, &text))
        return false;
    const fen_reckoner *from = b->amount->reckoner;
    b->op = FEN_BIND_AMOUNT;
    b->result = fen_reckon_output_find(from, name->text, name->len);
    if (b->result == FEN_RECKON_NONE)
        return no_such(l, name->place, from, "result", name->text, name->len, false, true);
    if (from->outputs[b->result].measure == r->inputs[b->input].measure)
        return true;
    fen_loader_error(l, FEN_CODE_DIMENSION, name->place, "take a result of the same measure", "'%s' of '%s' is %s, but '%s' of '%s' is %s",
                     r->inputs[b->input].name, r->name, fen_measure_name(r->inputs[b->input].measure), from->outputs[b->result].name, from->name,
                     fen_measure_name(from->outputs[b->result].measure));
    return false;
}

static bool read_binding(fen_loader *l, const fen_pair *pair, const fen_reckoner *r, unsigned depth, fen_binding *b)
{
    *b = (fen_binding){ .finding = FEN_NONE, .number = NAN };
    b->input = fen_reckon_input_find(r, pair->key->text, pair->key->len);
    if (b->input == FEN_RECKON_NONE)
        return no_such(l, pair->key->place, r, "input", pair->key->text, pair->key->len, true, false);
    const fen_node *value = pair->value;
    if (value->type == FEN_NODE_MAP)
        return bind_amount(l, value, r, depth, b);
    const char *text;
    if (!fen_shape_text(l, pair->key, value, &text))
        return false;
    const fen_id finding = fen_loader_find_finding(l, value->text, value->len);
    if (finding != FEN_NONE && finding != FEN_KIND_FINDING)
        return bind_finding(l, value, finding, r, b);
    if (r->inputs[b->input].measure == FEN_MEASURE_DATE && strcmp(value->text, "today") == 0) {
        b->op = FEN_BIND_TODAY;
        return true;
    }
    if (r->inputs[b->input].measure == FEN_MEASURE_LATITUDE && strcmp(value->text, "here") == 0) {
        b->op = FEN_BIND_HERE;
        return true;
    }
    return bind_value(l, value, r, b);
}

/* ---- a calculation ---- */

static size_t bound(const fen_amount *a, size_t input)
{
    size_t n = 0;
    for (uint32_t i = 0; i < a->n_bindings; i++)
        n += a->bindings[i].input == input;
    return n;
}

static size_t bound_of_group(const fen_amount *a, char group)
{
    size_t n = 0;
    for (size_t i = 0; i < a->reckoner->n_inputs; i++)
        if (a->reckoner->inputs[i].group == group)
            n += bound(a, i);
    return n;
}

/* Whatever the calculator cannot do without has to come from somewhere. */
static bool check_inputs(fen_loader *l, fen_place at, const fen_amount *a)
{
    char right[FEN_SUGGEST_MAX];
    const fen_reckoner *r = a->reckoner;
    for (size_t i = 0; i < r->n_inputs; i++) {
        const fen_reckon_input *in = &r->inputs[i];
        const size_t n = in->group ? bound_of_group(a, in->group) : bound(a, i);
        if (in->group && n > 1) {
            fen_loader_error(l, FEN_CODE_BAD_VALUE, at, "give one of them", "the calculator '%s' takes '%s' or another input in its place, not both", r->name, in->name);
            return false;
        }
        if (n || (!in->group && in->need != FEN_RECKON_REQUIRED))
            continue;
        snprintf(right, sizeof right, "add '%s: ...' (%s) below 'with'", in->name, in->about);
        fen_loader_error(l, FEN_CODE_MISSING, at, right, "the calculator '%s' needs '%s'", r->name, in->name);
        return false;
    }
    return true;
}

static bool read_amount(fen_loader *l, const fen_node *name, fen_place at, const fen_node *with_key, const fen_node *with, unsigned depth,
                        const fen_amount **ret)
{
    const fen_reckoner *r = find_reckoner(l, name);
    bool ok = r != NULL;
    if (!r)
        return false;
    if (with && with->type != FEN_NODE_MAP) {
        fen_loader_error(l, FEN_CODE_SHAPE, with_key->place, "write lines of 'input: finding' below it", "'with' needs a map, but has %s",
                         fen_shape_found(with));
        return false;
    }
    const size_t n = with ? with->count : 0;
    fen_amount *a = fen_arena_zeroed(l->draft->arena, 1, sizeof *a);
    fen_binding *bindings = fen_arena_take(l->draft->arena, n, sizeof *bindings);
    if (!a || !bindings)
        return fen_loader_nomem(l);
    for (size_t i = 0; i < n && !l->nomem; i++)
        ok &= read_binding(l, &with->pairs[i], r, depth, &bindings[i]);
    *a = (fen_amount){ r, bindings, (uint32_t)n };
    *ret = a;
    return ok && !l->nomem && check_inputs(l, with_key ? with_key->place : at, a);
}

bool fen_read_amount(fen_loader *l, const fen_node *name, fen_place at, const fen_node *with_key, const fen_node *with, const fen_amount **ret)
{
    return read_amount(l, name, at, with_key, with, 1, ret);
}

bool fen_read_placeholders(fen_loader *l, const fen_node *text, const fen_amount *amount)
{
    bool ok = true;
    for (const char *at = text->text; (at = strchr(at, '{')) != NULL; at++) {
        const char *end = strchr(at, '}');
        const size_t len = end ? (size_t)(end - at - 1) : 0;
        const size_t offset = (size_t)(at - text->text);
        if (!end) {
            fen_loader_error(l, FEN_CODE_SYNTAX, fen_node_place_at(l->source, text, offset, 1), "close it with '}'", "a '{' of this step has no end");
            return false;
        }
        if (fen_reckon_output_find(amount->reckoner, at + 1, len) == FEN_RECKON_NONE &&
            fen_reckon_input_find(amount->reckoner, at + 1, len) == FEN_RECKON_NONE)
            ok = no_such(l, fen_node_place_at(l->source, text, offset + 1, len ? len : 1), amount->reckoner, "result or input", at + 1, len, true, true);
    }
    return ok;
}
