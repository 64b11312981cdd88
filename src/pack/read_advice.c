/* read_advice.c -- cautions, acts that exclude each other, and what a later look
 * is to find.
 */
#include <stdio.h>
#include <string.h>

#include "advise.h"
#include "model/caution.h"
#include "resolve.h"
#include "shape.h"
#include "util/limits.h"
#include "util/near.h"

/* ---- cautions ---- */

static bool is_caution(fen_loader *l, const fen_node *key, const fen_node *node)
{
    const char *names[FEN_CAUTIONS];
    int index;
    for (int i = 0; i < FEN_CAUTIONS; i++)
        names[i] = fen_caution_name((fen_caution)i);
    return fen_shape_word(l, key, node, names, FEN_CAUTIONS, &index);
}

static bool has_caution(fen_texts cautions, fen_caution c)
{
    for (uint32_t i = 0; i < cautions.count; i++)
        if (strcmp(cautions.at[i], fen_caution_name(c)) == 0)
            return true;
    return false;
}

bool fen_read_cautions(fen_loader *l, const fen_node *key, const fen_node *value, fen_texts *ret)
{
    const bool many = value && value->type == FEN_NODE_LIST;
    for (size_t i = 0; value && i < (many ? value->count : 1); i++)
        if (!is_caution(l, key, many ? value->items[i] : value))
            return false;
    return fen_shape_texts(l, key, value, ret);
}

/* A line of its own before FIRST, or, in braces, a pair more; the caution written already becomes
 * a list, or a list longer. A list over several lines is left to its author. */
static void mend(fen_loader *l, const fen_node *first, const fen_node *written, const char *caution)
{
    char text[2 * FEN_NAME_MAX + FEN_LINE_MAX / 256];
    fen_place at = first->place;
    size_t len;
    const char *line = fen_source_line(l->source, at.line, &len);
    const int indent = (int)at.column - 1;
    at.width = 0;
    if (!written && indent < 128 && strspn(line, " ") == (size_t)indent) {
        snprintf(text, sizeof text, "caution: %s\n%*s", caution, indent, "");
    } else if (!written) {
        snprintf(text, sizeof text, "caution: %s, ", caution);
    } else if (written->type == FEN_NODE_TEXT && written->plain && written->len <= FEN_NAME_MAX) {
        at = written->place;
        snprintf(text, sizeof text, "[%s, %s]", written->text, caution);
    } else if (written->type == FEN_NODE_LIST && written->count && l->source->text[fen_source_offset(l->source, written->place.line, written->place.column)] == '[') {
        at = written->items[written->count - 1]->place;
        at.column += at.width;
        at.width = 0;
        snprintf(text, sizeof text, ", %s", caution);
    } else {
        return;
    }
    fen_problems_instead(l->problems, at, text);
}

bool fen_check_cautions(fen_loader *l, const fen_node *text, fen_texts cautions, const fen_node *first, const fen_node *written,
                        const char *what, const char *id)
{
    char right[FEN_SUGGEST_MAX];
    fen_caution_word found = { 0 };
    uint32_t told = 0;
    for (size_t at = 0; fen_caution_next(text->text, text->len, at, &found); at = found.at + found.len) {
        if (has_caution(cautions, found.caution) || told >> found.caution & 1)
            continue;
        told |= 1u << found.caution;
        snprintf(right, sizeof right, "add a line 'caution: %s'", fen_caution_name(found.caution));
        fen_loader_error(l, FEN_CODE_CAUTION, fen_node_place_at(l->source, text, found.at, found.len), right,
                         "'%.*s' in the %s '%s' can hurt a person", FEN_QUOTE(text->text + found.at, found.len), what, id);
        if (!(told & (told - 1))) /* one at a time: two would be written over each other */
            mend(l, first, written, fen_caution_name(found.caution));
    }
    return !told;
}

/* ---- acts ---- */

/* WORDS of one text or a list, each with its node: f says whether it is good. */
static bool each_word(fen_loader *l, const fen_node *value, bool (*f)(fen_loader *, const fen_node *))
{
    const bool many = value && value->type == FEN_NODE_LIST;
    bool ok = true;
    for (size_t i = 0; value && i < (many ? value->count : 1); i++) {
        const fen_node *one = many ? value->items[i] : value;
        if (one->type == FEN_NODE_TEXT && one->len)
            ok &= f(l, one);
    }
    return ok;
}

static bool is_act_name(fen_loader *l, const fen_node *node)
{
    return fen_loader_name(l, node, "act");
}

static bool note_act(fen_loader *l, const fen_node *node)
{
    uint32_t id;
    return !fen_intern_add(l->acts, node->text, node->len, &id) || fen_loader_nomem(l);
}

static bool is_done_somewhere(fen_loader *l, const fen_node *node)
{
    char buf[FEN_SUGGEST_MAX];
    fen_near near;
    if (fen_intern_find(l->acts, node->text, node->len) != FEN_INTERN_NONE)
        return true;
    fen_near_begin(&near, node->text, node->len);
    for (uint32_t i = 0; i < fen_intern_count(l->acts); i++)
        fen_near_offer(&near, fen_intern_name(l->acts, i));
    fen_loader_error(l, FEN_CODE_UNKNOWN_NAME, node->place, fen_loader_meant(near.name, "write it behind the 'does' of the step that is meant", buf),
                     "no step does '%.*s'", FEN_QUOTE(node->text, node->len));
    return false;
}

bool fen_read_does(fen_loader *l, const fen_node *key, const fen_node *value, fen_texts *ret)
{
    return fen_shape_texts(l, key, value, ret) && each_word(l, value, is_act_name);
}

bool fen_read_against(fen_loader *l, const fen_node *key, const fen_node *value, fen_texts *ret)
{
    return fen_shape_texts(l, key, value, ret) && each_word(l, value, is_done_somewhere);
}

bool fen_gather_acts(fen_loader *l)
{
    for (uint32_t i = 0; i < l->part[FEN_PART_REMEDIES].items.count; i++) {
        const fen_node *remedy = l->part[FEN_PART_REMEDIES].items.at[i].value;
        const fen_node *steps = remedy->type == FEN_NODE_MAP ? fen_node_get(remedy, "steps") : NULL;
        for (size_t k = 0; steps && steps->type == FEN_NODE_MAP && k < steps->count; k++) {
            const fen_node *step = steps->pairs[k].value;
            const fen_node *does = step->type == FEN_NODE_MAP ? fen_node_get(step, "does") : NULL;
            if (does && !each_word(l, does, note_act))
                return false;
        }
    }
    return true;
}

/* ---- looking again ---- */

enum { L_BETTER, L_WORSE };
static const fen_key look_keys[] = { { "better", true }, { "worse", false } };

/* "lower" and "higher" compare a quantity with what it was. */
static bool read_trend(fen_loader *l, const fen_fields *f, fen_look_for *look)
{
    const fen_node *better = f->value[L_BETTER];
    const fen_finding *finding = &l->draft->findings.at[look->finding];
    if (better->type != FEN_NODE_TEXT || (strcmp(better->text, "lower") != 0 && strcmp(better->text, "higher") != 0))
        return true;
    look->trend = better->text[0] == 'l' ? -1 : +1;
    if (finding->type != FEN_QUANTITY) {
        fen_loader_error(l, FEN_CODE_BAD_VALUE, better->place, "write a sentence such as 'crown-feel is firm'",
                         "'%s' is not a quantity, so it cannot be %s than before", finding->id, better->text);
        return false;
    }
    return true;
}

static bool read_one_look(fen_loader *l, const fen_pair *pair, fen_look_for *look)
{
    char what[FEN_NAME_MAX + 32], buf[FEN_SUGGEST_MAX];
    fen_fields f;
    *look = (fen_look_for){ fen_loader_find_finding(l, pair->key->text, pair->key->len), FEN_NONE, FEN_NONE, 0 };
    if (look->finding == FEN_NONE || look->finding == FEN_KIND_FINDING) {
        fen_loader_error(l, FEN_CODE_UNKNOWN_NAME, pair->key->place,
                         fen_loader_suggest(l, FEN_PART_FINDINGS, pair->key->text, pair->key->len, "name a finding that is asked", buf),
                         "there is no finding '%.*s' to look at", FEN_QUOTE(pair->key->text, pair->key->len));
        return false;
    }
    if (fen_loader_broken_finding(l, look->finding))
        return false;
    if (l->draft->findings.at[look->finding].derived) {
        fen_loader_error(l, FEN_CODE_BAD_VALUE, pair->key->place, "name a finding that is asked", "'%s' is never asked: rules work it out", pair->key->text);
        return false;
    }
    snprintf(what, sizeof what, "the look at '%s'", pair->key->text);
    if (!fen_shape_fields(l, pair->value, pair->key->place, what, look_keys, FEN_COUNT(look_keys), &f) || !f.clean || !read_trend(l, &f, look))
        return false;
    bool ok = look->trend || fen_resolve_condition(l, f.key[L_BETTER], f.value[L_BETTER], &look->better);
    if (f.value[L_WORSE])
        ok &= fen_resolve_condition(l, f.key[L_WORSE], f.value[L_WORSE], &look->worse);
    return ok;
}

bool fen_read_look(fen_loader *l, const fen_node *key, const fen_node *value, fen_remedy *r)
{
    bool ok = true;
    if (!value)
        return true;
    if (value->type != FEN_NODE_MAP || !value->count) {
        fen_loader_error(l, FEN_CODE_SHAPE, key->place, "name findings, each with 'better' and 'worse' below it", "'look' needs a map, but has %s",
                         value->type == FEN_NODE_MAP ? "nothing" : fen_shape_found(value));
        return false;
    }
    fen_look_for *look = fen_arena_take(l->draft->arena, value->count, sizeof *look);
    if (!look)
        return fen_loader_nomem(l);
    for (size_t i = 0; i < value->count && !l->nomem; i++)
        ok &= read_one_look(l, &value->pairs[i], &look[i]);
    r->look = look;
    r->n_look = (uint32_t)value->count;
    return ok;
}
