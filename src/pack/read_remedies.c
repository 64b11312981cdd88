/* read_remedies.c -- remedies: steps in order, what never to do, when to look again.
 *
 * A remedy joins the lists of its causes and hazards; a step that can hurt a
 * person must carry its caution, see model/caution.h.
 */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "model/caution.h"
#include "resolve.h"
#include "shape.h"
#include "util/limits.h"
#include "util/near.h"

enum { FOR, STEPS, NEVER, LOOK_AGAIN, EXPECT, OTHERWISE, WHY, SOURCE };
static const fen_key keys[] = {
    { "for", true },     { "steps", false },     { "never", false }, { "look again", false },
    { "expect", false }, { "otherwise", false }, { "why", false },   { "source", false },
};

enum { S_DO, S_AFTER, S_CAUTION, S_WHEN };
static const fen_key step_keys[] = { { "do", true }, { "after", false }, { "caution", false }, { "when", false } };

/* ---- cautions ---- */

static bool is_caution(fen_loader *l, const fen_node *key, const fen_node *node)
{
    const char *names[FEN_CAUTIONS];
    int index;
    for (int i = 0; i < FEN_CAUTIONS; i++)
        names[i] = fen_caution_name((fen_caution)i);
    return fen_shape_word(l, key, node, names, FEN_CAUTIONS, &index);
}

static bool has_caution(const fen_step *s, fen_caution c)
{
    for (uint32_t i = 0; i < s->cautions.count; i++)
        if (strcmp(s->cautions.at[i], fen_caution_name(c)) == 0)
            return true;
    return false;
}

static bool read_cautions(fen_loader *l, const fen_node *key, const fen_node *value, fen_step *s)
{
    const bool many = value && value->type == FEN_NODE_LIST;
    for (size_t i = 0; value && i < (many ? value->count : 1); i++)
        if (!is_caution(l, key, many ? value->items[i] : value))
            return false;
    return fen_shape_texts(l, key, value, &s->cautions);
}

/* A word of the step's text that calls for a caution it does not carry. */
static bool check_cautions(fen_loader *l, const fen_node *text, const fen_step *s)
{
    char right[FEN_SUGGEST_MAX];
    fen_caution_word found = { 0 };
    uint32_t told = 0;
    for (size_t at = 0; fen_caution_next(text->text, text->len, at, &found); at = found.at + found.len) {
        if (has_caution(s, found.caution) || told >> found.caution & 1)
            continue;
        told |= 1u << found.caution;
        snprintf(right, sizeof right, "add a line 'caution: %s'", fen_caution_name(found.caution));
        fen_loader_error(l, FEN_CODE_CAUTION, fen_node_place_at(l->source, text, found.at, found.len), right,
                         "'%.*s' in the step '%s' can hurt a person", FEN_QUOTE(text->text + found.at, found.len), s->id);
    }
    return !told;
}

/* ---- steps ---- */

/* "after" names steps of the same remedy, before or behind; linear search would
 * be quadratic in a hostile remedy, so their number is bounded. */
#define STEPS_MAX 256u

static bool step_index(fen_loader *l, const fen_node *steps, const fen_node *name, uint32_t *ret)
{
    char buf[FEN_SUGGEST_MAX];
    if (name->type != FEN_NODE_TEXT) {
        fen_loader_error(l, FEN_CODE_SHAPE, name->place, "name a step of this remedy",
                         "'after' needs a name, but has %s", fen_shape_found(name));
        return false;
    }
    fen_near near;
    fen_near_begin(&near, name->text, name->len);
    for (uint32_t i = 0; i < steps->count; i++) {
        if (strcmp(steps->pairs[i].key->text, name->text) == 0) {
            *ret = i;
            return true;
        }
        fen_near_offer(&near, steps->pairs[i].key->text);
    }
    fen_loader_error(l, FEN_CODE_UNKNOWN_NAME, name->place, fen_loader_meant(near.name, "name a step of this remedy", buf),
                     "this remedy has no step '%.*s'", FEN_QUOTE(name->text, name->len));
    return false;
}

static bool read_after(fen_loader *l, const fen_node *steps, const fen_node *value, fen_step *s)
{
    const bool many = value && value->type == FEN_NODE_LIST;
    const size_t n = !value ? 0 : many ? value->count : 1;
    fen_id *ids = fen_arena_take(l->draft->arena, n, sizeof *ids);
    bool ok = true;
    if (!ids)
        return fen_loader_nomem(l);
    for (size_t i = 0; i < n; i++)
        ok &= step_index(l, steps, many ? value->items[i] : value, &ids[i]);
    s->after = (fen_list){ ids, ok ? (uint32_t)n : 0 };
    return ok;
}

static bool read_step(fen_loader *l, const fen_node *steps, const fen_pair *pair, fen_step *s)
{
    char what[FEN_NAME_MAX + 32];
    fen_fields f;
    *s = (fen_step){ .id = fen_shape_keep(l, pair->key), .when = FEN_NONE, .place = pair->key->place };
    if (!s->id || !fen_loader_name(l, pair->key, "step"))
        return false;
    snprintf(what, sizeof what, "the step '%s'", s->id);
    if (!fen_shape_fields(l, pair->value, pair->key->place, what, step_keys, FEN_COUNT(step_keys), &f))
        return false;
    bool ok = fen_shape_text(l, f.key[S_DO], f.value[S_DO], &s->text);
    ok &= read_after(l, steps, f.value[S_AFTER], s);
    const bool cautions = read_cautions(l, f.key[S_CAUTION], f.value[S_CAUTION], s);
    if (ok && cautions && f.clean)
        ok = check_cautions(l, f.value[S_DO], s);
    if (f.value[S_WHEN])
        ok &= fen_resolve_condition(l, f.key[S_WHEN], f.value[S_WHEN], &s->when);
    return ok && cautions && f.clean;
}

/* Steps that wait for each other: take away, again and again, those that wait
 * for nothing that is left. */
static bool check_order(fen_loader *l, const fen_remedy *r)
{
    bool done[STEPS_MAX] = { false };
    uint32_t left = r->n_steps;
    for (bool moved = true; moved;) {
        moved = false;
        for (uint32_t i = 0; i < r->n_steps; i++) {
            bool waits = done[i];
            for (uint32_t k = 0; !waits && k < r->steps[i].after.count; k++)
                waits = !done[r->steps[i].after.at[k]];
            if (waits)
                continue;
            done[i] = moved = true;
            left--;
        }
    }
    for (uint32_t i = 0; left && i < r->n_steps; i++) {
        if (done[i])
            continue;
        fen_loader_error(l, FEN_CODE_CYCLE, r->steps[i].place, "take out one 'after'",
                         "the step '%s' comes after a step that waits for it", r->steps[i].id);
        return false;
    }
    return true;
}

static bool read_steps(fen_loader *l, const fen_node *key, const fen_node *value, fen_remedy *r)
{
    bool ok = true;
    if (!value)
        return true;
    if (value->type != FEN_NODE_MAP || !value->count) {
        fen_loader_error(l, FEN_CODE_SHAPE, key->place, "give each step a name and a 'do' below it",
                         "'steps' needs a map, but has %s", value->type == FEN_NODE_MAP ? "nothing" : fen_shape_found(value));
        return false;
    }
    if (value->count > STEPS_MAX) {
        fen_loader_error(l, FEN_CODE_TOO_LARGE, value->pairs[STEPS_MAX].key->place, "make two remedies of it",
                         "a remedy can have at most %u steps, but this has %zu", STEPS_MAX, value->count);
        return false;
    }
    fen_step *steps = fen_arena_zeroed(l->draft->arena, value->count, sizeof *steps);
    if (!steps)
        return fen_loader_nomem(l);
    for (size_t i = 0; i < value->count && !l->nomem; i++)
        ok &= read_step(l, value, &value->pairs[i], &steps[i]);
    r->steps = steps;
    r->n_steps = (uint32_t)value->count;
    return ok && check_order(l, r);
}

/* ---- remedies ---- */

static bool no_target(fen_loader *l, const fen_node *node)
{
    char buf[FEN_SUGGEST_MAX];
    const char *right = fen_loader_suggest(l, FEN_PART_CAUSES, node->text, node->len, NULL, buf);
    if (!right)
        right = fen_loader_suggest(l, FEN_PART_HAZARDS, node->text, node->len, "declare it in a pack, or correct the name", buf);
    fen_loader_error(l, FEN_CODE_UNKNOWN_NAME, node->place, right, "there is no cause or hazard '%.*s'",
                     FEN_QUOTE(node->text, node->len));
    return false;
}

/* Cause or hazard NODE goes to the matching list. */
static bool one_target(fen_loader *l, const fen_node *key, const fen_node *node, fen_id *causes, uint32_t *n_causes,
                       fen_id *hazards, uint32_t *n_hazards)
{
    if (node->type != FEN_NODE_TEXT || !node->len) {
        fen_loader_error(l, FEN_CODE_SHAPE, node->place, "name a cause or hazard", "'for' needs a name, but has %s",
                         node->len ? "a list or map" : "nothing");
        return false;
    }
    const fen_id cause = fen_loader_find(l, FEN_PART_CAUSES, node->text, node->len);
    const fen_id hazard = fen_loader_find(l, FEN_PART_HAZARDS, node->text, node->len);
    if (cause == FEN_NONE && hazard == FEN_NONE)
        return no_target(l, node);
    const fen_part part = cause != FEN_NONE ? FEN_PART_CAUSES : FEN_PART_HAZARDS;
    fen_id id;
    if (!fen_shape_listed_name(l, key, node, part, &id))
        return false;
    if (part == FEN_PART_CAUSES)
        causes[(*n_causes)++] = id;
    else
        hazards[(*n_hazards)++] = id;
    return true;
}

static bool read_for(fen_loader *l, const fen_node *key, const fen_node *value, fen_remedy *r)
{
    const bool many = value->type == FEN_NODE_LIST;
    const size_t n = many ? value->count : 1;
    fen_id *causes = fen_arena_take(l->draft->arena, n, sizeof *causes),
           *hazards = fen_arena_take(l->draft->arena, n, sizeof *hazards);
    uint32_t n_causes = 0, n_hazards = 0;
    bool ok = true;
    if (!causes || !hazards)
        return fen_loader_nomem(l);
    if (n == 0) {
        fen_loader_error(l, FEN_CODE_MISSING, key->place, "name a cause or hazard", "this remedy is for nothing");
        return false;
    }
    l->stamp++;
    for (size_t i = 0; i < n; i++)
        ok &= one_target(l, key, many ? value->items[i] : value, causes, &n_causes, hazards, &n_hazards);
    r->causes = (fen_list){ causes, n_causes };
    r->hazards = (fen_list){ hazards, n_hazards };
    return ok;
}

static bool read_look_again(fen_loader *l, const fen_fields *f, fen_remedy *r)
{
    const fen_node *value = f->value[LOOK_AGAIN];
    if (!value)
        return true;
    if (!fen_shape_quantity(l, f->key[LOOK_AGAIN], value, FEN_DIM_TIME_SPAN, &r->look_again))
        return false;
    if (r->look_again >= 1 && r->look_again <= 3653)
        return true;
    fen_loader_error(l, FEN_CODE_NUMBER, value->place, "write a time from one day to ten years", "'look again' cannot be '%.*s'",
                     FEN_QUOTE(value->text, value->len));
    return false;
}

static bool read_fields(fen_loader *l, const fen_item *item, const fen_fields *f, fen_remedy *r)
{
    bool ok = true;
    if (f->value[FOR])
        ok &= read_for(l, f->key[FOR], f->value[FOR], r);
    ok &= read_steps(l, f->key[STEPS], f->value[STEPS], r);
    ok &= fen_shape_texts(l, f->key[NEVER], f->value[NEVER], &r->never);
    ok &= read_look_again(l, f, r);
    ok &= fen_shape_text(l, f->key[EXPECT], f->value[EXPECT], &r->expect);
    ok &= fen_shape_text(l, f->key[OTHERWISE], f->value[OTHERWISE], &r->otherwise);
    ok &= fen_shape_text(l, f->key[WHY], f->value[WHY], &r->why);
    ok &= fen_shape_text(l, f->key[SOURCE], f->value[SOURCE], &r->source);
    if (f->clean && !f->value[STEPS] && !f->value[NEVER]) {
        fen_loader_error(l, FEN_CODE_MISSING, item->key->place, "add 'steps', or 'never' for what must not be done",
                         "the remedy '%s' says nothing to do", r->id);
        ok = false;
    }
    return ok;
}

static void read_remedy(fen_loader *l, uint32_t i)
{
    fen_item *item = &l->part[FEN_PART_REMEDIES].items.at[i];
    fen_remedy r = { .id = fen_shape_keep(l, item->key), .look_again = NAN, .place = item->key->place };
    fen_fields f;
    if (!r.id)
        return;
    if (fen_shape_item(l, FEN_PART_REMEDIES, item, keys, FEN_COUNT(keys), &f))
        item->broken |= !read_fields(l, item, &f, &r);
    if (!FEN_VEC_PUSH(&l->draft->remedies, r))
        fen_loader_nomem(l);
}

/* The remedies of each cause and hazard, counted first and then filled in. */
static bool link_lists(fen_loader *l, bool hazards, uint32_t n)
{
    fen_list *lists = fen_calloc(n + 1, sizeof *lists);
    fen_id *at = NULL;
    uint32_t all = 0;
    if (!lists)
        return fen_loader_nomem(l);
    for (int pass = 0; pass < 2; pass++) {
        for (uint32_t r = 0; r < l->draft->remedies.count; r++) {
            const fen_list to = hazards ? l->draft->remedies.at[r].hazards : l->draft->remedies.at[r].causes;
            for (uint32_t i = 0; i < to.count; i++) {
                if (pass)
                    at[(size_t)(lists[to.at[i]].at - at) + lists[to.at[i]].count] = r;
                lists[to.at[i]].count++;
            }
        }
        if (pass)
            break;
        for (uint32_t i = 0; i < n; i++)
            all += lists[i].count;
        at = fen_arena_take(l->draft->arena, all, sizeof *at);
        if (!at)
            break;
        const fen_id *next = at;
        for (uint32_t i = 0; i < n; i++) {
            lists[i].at = next;
            next += lists[i].count;
            lists[i].count = 0;
        }
    }
    for (uint32_t i = 0; at && i < n; i++) {
        if (hazards)
            l->draft->hazards.at[i].remedies = lists[i];
        else
            l->draft->causes.at[i].remedies = lists[i];
    }
    fen_free(lists);
    return at || fen_loader_nomem(l);
}

void fen_read_remedies(fen_loader *l)
{
    for (uint32_t i = 0; i < l->part[FEN_PART_REMEDIES].items.count && !l->nomem; i++)
        read_remedy(l, i);
    if (!l->nomem && link_lists(l, false, l->draft->causes.count))
        (void)link_lists(l, true, l->draft->hazards.count);
}
