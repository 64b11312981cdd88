/* read_remedies.c -- remedies: steps in order, what never to do, when to look again.
 *
 * A remedy joins the lists of its causes and hazards; a step that can hurt a
 * person must carry its caution, see model/caution.h.
 */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "advise.h"
#include "resolve.h"
#include "shape.h"
#include "util/limits.h"
#include "util/near.h"

enum { FOR, STEPS, NEVER, LOOK_AGAIN, LOOK, EXPECT, OTHERWISE, WHY, SOURCE };
static const fen_key keys[] = {
    { "for", true },     { "steps", false },     { "never", false }, { "look again", false }, { "look", false },
    { "expect", false }, { "otherwise", false }, { "why", false },   { "source", false },
};

enum { S_DO, S_AFTER, S_CAUTION, S_WHEN, S_DOES, S_AGAINST, S_RECKON, S_WITH, S_WITHOUT, S_AGAIN, S_TIMES };
static const fen_key step_keys[] = {
    { "do", true },        { "after", false },  { "caution", false }, { "when", false },  { "does", false },  { "against", false },
    { "reckon", false },   { "with", false },   { "without", false }, { "again", false }, { "times", false },
};

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

/* An amount, with the words that do while it cannot be worked out. */
static bool read_reckon(fen_loader *l, const fen_pair *pair, const fen_fields *f, fen_step *s)
{
    if (!f->value[S_RECKON]) {
        if (!f->value[S_WITH] && !f->value[S_WITHOUT])
            return true;
        fen_loader_error(l, FEN_CODE_MISSING, f->key[f->value[S_WITH] ? S_WITH : S_WITHOUT]->place, "add a line 'reckon: ...'",
                         "the step '%s' names no calculator", s->id);
        return false;
    }
    bool ok = fen_read_amount(l, f->value[S_RECKON], pair->key->place, f->key[S_WITH], f->value[S_WITH], &s->amount);
    if (ok && s->text)
        ok = fen_read_placeholders(l, f->value[S_DO], s->amount);
    if (!f->value[S_WITHOUT]) {
        fen_loader_error(l, FEN_CODE_MISSING, f->key[S_RECKON]->place, "add 'without: ...' in words that need no number",
                         "the step '%s' does not say what to do while a number is missing", s->id);
        return false;
    }
    ok &= fen_shape_text(l, f->key[S_WITHOUT], f->value[S_WITHOUT], &s->without);
    return ok && fen_check_cautions(l, f->value[S_WITHOUT], s->cautions, f->key[S_DO], f->value[S_CAUTION], "step", s->id);
}

static bool read_again(fen_loader *l, const fen_fields *f, fen_step *s)
{
    double times = 1;
    s->again = NAN;
    if (!f->value[S_AGAIN]) {
        if (!f->value[S_TIMES])
            return true;
        fen_loader_error(l, FEN_CODE_MISSING, f->key[S_TIMES]->place, "add 'again: 7 days'", "'times' needs a time between");
        return false;
    }
    if (!fen_shape_quantity(l, f->key[S_AGAIN], f->value[S_AGAIN], FEN_DIM_TIME_SPAN, &s->again) ||
        (f->value[S_TIMES] && !fen_shape_number(l, f->key[S_TIMES], f->value[S_TIMES], 1, 60, &times)))
        return false;
    s->times = (uint32_t)times;
    if (s->again >= 1 && s->again <= 3653)
        return true;
    fen_loader_error(l, FEN_CODE_NUMBER, f->value[S_AGAIN]->place, "write a time from one day to ten years", "'again' cannot be '%.*s'",
                     FEN_QUOTE(f->value[S_AGAIN]->text, f->value[S_AGAIN]->len));
    return false;
}

static bool read_step_fields(fen_loader *l, const fen_node *steps, const fen_pair *pair, const fen_fields *f, fen_step *s)
{
    bool ok = fen_shape_text(l, f->key[S_DO], f->value[S_DO], &s->text);
    ok &= read_after(l, steps, f->value[S_AFTER], s);
    const bool cautions = fen_read_cautions(l, f->key[S_CAUTION], f->value[S_CAUTION], &s->cautions);
    if (ok && cautions && f->clean)
        ok = fen_check_cautions(l, f->value[S_DO], s->cautions, f->key[S_DO], f->value[S_CAUTION], "step", s->id);
    if (f->value[S_WHEN])
        ok &= fen_resolve_condition(l, f->key[S_WHEN], f->value[S_WHEN], &s->when);
    ok &= fen_read_does(l, f->key[S_DOES], f->value[S_DOES], &s->does);
    ok &= fen_read_against(l, f->key[S_AGAINST], f->value[S_AGAINST], &s->against);
    if (f->clean && cautions)
        ok &= read_reckon(l, pair, f, s);
    ok &= read_again(l, f, s);
    return ok && cautions && f->clean;
}

static bool read_step(fen_loader *l, const fen_node *steps, const fen_pair *pair, fen_step *s)
{
    char what[FEN_NAME_MAX + 32];
    fen_fields f;
    *s = (fen_step){ .id = fen_shape_keep(l, pair->key), .when = FEN_NONE, .again = NAN, .place = pair->key->place };
    if (!s->id || !fen_loader_name(l, pair->key, "step"))
        return false;
    snprintf(what, sizeof what, "the step '%s'", s->id);
    return fen_shape_fields(l, pair->value, pair->key->place, what, step_keys, FEN_COUNT(step_keys), &f) &&
           read_step_fields(l, steps, pair, &f, s);
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
                         "a remedy can have at most %u steps, but this has %u", STEPS_MAX, value->count);
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

enum { N_SAY, N_AGAINST };
static const fen_key never_keys[] = { { "say", true }, { "against", true } };

/* A do-not is a text, or a text with the acts it forbids. */
static bool read_one_never(fen_loader *l, const fen_node *key, const fen_node *node, const char **ret_say, fen_texts *ret_against)
{
    fen_fields f;
    if (node->type != FEN_NODE_MAP) {
        fen_texts one;
        if (!fen_shape_texts(l, key, node, &one) || one.count != 1)
            return false;
        *ret_say = one.at[0];
        return true;
    }
    return fen_shape_fields(l, node, node->place, "a do-not", never_keys, FEN_COUNT(never_keys), &f) && f.clean &&
           fen_shape_text(l, f.key[N_SAY], f.value[N_SAY], ret_say) && fen_read_against(l, f.key[N_AGAINST], f.value[N_AGAINST], ret_against);
}

static bool read_never(fen_loader *l, const fen_node *key, const fen_node *value, fen_remedy *r)
{
    const bool many = value && value->type == FEN_NODE_LIST;
    const size_t n = !value ? 0 : many ? value->count : 1;
    const char **say = fen_arena_zeroed(l->draft->arena, n, sizeof *say);
    fen_texts *against = fen_arena_zeroed(l->draft->arena, n, sizeof *against);
    bool ok = true;
    if (!say || !against)
        return fen_loader_nomem(l);
    for (size_t i = 0; i < n && !l->nomem; i++)
        ok &= read_one_never(l, key, many ? value->items[i] : value, &say[i], &against[i]);
    r->never = (fen_texts){ say, ok ? (uint32_t)n : 0 };
    r->never_against = against;
    return ok;
}

static bool share_word(fen_texts a, fen_texts b)
{
    for (uint32_t i = 0; i < a.count; i++)
        for (uint32_t k = 0; k < b.count; k++)
            if (strcmp(a.at[i], b.at[k]) == 0)
                return true;
    return false;
}

/* Which of two remedies gives way can be told by urgency; within one it cannot. */
static bool check_against(fen_loader *l, const fen_remedy *r)
{
    for (uint32_t i = 0; i < r->n_steps; i++) {
        bool both = false;
        for (uint32_t k = 0; k < r->n_steps; k++)
            both |= share_word(r->steps[i].does, r->steps[k].against);
        for (uint32_t k = 0; k < r->never.count; k++)
            both |= share_word(r->steps[i].does, r->never_against[k]);
        if (!both)
            continue;
        fen_loader_error(l, FEN_CODE_BAD_VALUE, r->steps[i].place, "take one of them out, or word them so that both can hold",
                         "this remedy does in '%s' what it is against elsewhere", r->steps[i].id);
        return false;
    }
    return true;
}

static bool read_fields(fen_loader *l, const fen_item *item, const fen_fields *f, fen_remedy *r)
{
    bool ok = true;
    if (f->value[FOR])
        ok &= read_for(l, f->key[FOR], f->value[FOR], r);
    ok &= read_steps(l, f->key[STEPS], f->value[STEPS], r);
    ok &= read_never(l, f->key[NEVER], f->value[NEVER], r);
    if (ok)
        ok = check_against(l, r);
    ok &= read_look_again(l, f, r);
    ok &= fen_read_look(l, f->key[LOOK], f->value[LOOK], r);
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
    l->acts = fen_intern_new();
    if (!l->acts || !fen_gather_acts(l)) {
        fen_loader_nomem(l);
        return;
    }
    for (uint32_t i = 0; i < l->part[FEN_PART_REMEDIES].items.count && !l->nomem; i++)
        read_remedy(l, i);
    if (!l->nomem && link_lists(l, false, l->draft->causes.count))
        (void)link_lists(l, true, l->draft->hazards.count);
}
