/* read_rules.c -- rules: when ... then ... */
#include <string.h>

#include "resolve.h"
#include "shape.h"

enum { KINDS, WHEN, THEN, OVER, WHY, SOURCE, LESSON };
static const fen_key keys[] = {
    { "kinds", false }, { "when", false }, { "then", true }, { "over", false }, { "why", true }, { "source", false }, { "lesson", false },
};

/* Where a rule was learnt from a case; nothing is judged by it. */
static const fen_key lesson_keys[] = { { "case", true }, { "date", false }, { "author", false } };

/* ---- effects ---- */

/* The named thing of an effect; broken ones are not judged. */
static bool target(fen_loader *l, const fen_node *node, fen_span span, fen_part part, fen_id *ret)
{
    const char *name = node->text + span.at;
    char buf[FEN_SUGGEST_MAX];
    *ret = fen_loader_find(l, part, name, span.len);
    if (*ret != FEN_NONE)
        return true;
    const bool built_in = part == FEN_PART_CAUSES && span.len == strlen("something-else") &&
                          memcmp(name, "something-else", span.len) == 0;
    const fen_part other = part == FEN_PART_CAUSES ? FEN_PART_HAZARDS : FEN_PART_CAUSES;
    if (fen_loader_find(l, other, name, span.len) != FEN_NONE) {
        fen_loader_error(l, FEN_CODE_EFFECT, fen_resolve_place(l, node, span),
                         other == FEN_PART_HAZARDS ? "write 'hazard' and its name"
                                                   : "write 'strong for' and its name, or the like",
                         "'%.*s' is a %s", FEN_QUOTE(name, span.len), fen_part_noun(other));
        return false;
    }
    const char *right = built_in ? "give evidence for or against a cause of a pack"
                                 : fen_loader_suggest(l, part, name, span.len, "declare it in a pack, or correct the name", buf);
    if (built_in)
        fen_loader_error(l, FEN_CODE_EFFECT, fen_resolve_place(l, node, span), right,
                         "no evidence speaks for what no pack knows");
    else {
        fen_loader_error(l, FEN_CODE_UNKNOWN_NAME, fen_resolve_place(l, node, span), right, "there is no %s '%.*s'",
                         fen_part_noun(part), FEN_QUOTE(name, span.len));
        fen_loader_mend_name(l, fen_resolve_place(l, node, span));
    }
    return false;
}

/* One rule says one thing about each cause, hazard and single-valued finding. */
static bool only_once(fen_loader *l, const fen_node *node, fen_span span, uint32_t *last, uint32_t rule)
{
    const bool first = *last != rule + 1;
    *last = rule + 1;
    if (!first)
        fen_loader_error(l, FEN_CODE_DUPLICATE, fen_resolve_place(l, node, span), "join the two, or make two rules",
                         "this rule has an effect on '%.*s' already", FEN_QUOTE(node->text + span.at, span.len));
    return first;
}

static bool derive(fen_loader *l, const fen_node *node, const fen_effect_words *w, uint32_t rule, fen_effect *e)
{
    fen_id finding;
    if (!fen_resolve_finding(l, node, w->target, &finding))
        return false;
    const fen_finding *f = &l->draft->findings.at[finding];
    if (!f->derived) {
        fen_loader_error(l, FEN_CODE_EFFECT, fen_resolve_place(l, node, w->target),
                         "declare it with 'derived: yes', or use another finding",
                         "'%s' is asked, so rules cannot set it", f->id);
        return false;
    }
    if (w->includes != (f->type == FEN_SEVERAL)) {
        fen_loader_error(l, FEN_CODE_EFFECT, fen_resolve_place(l, node, w->target),
                         w->includes ? "write 'is'" : "write 'includes'", "'%s' has %s", f->id,
                         w->includes ? "one answer at a time" : "several answers at once");
        return false;
    }
    const fen_id option = fen_resolve_option(f, node->text + w->answer.at, w->answer.len);
    if (option == FEN_NONE) {
        fen_resolve_no_option(l, node, w->answer, f);
        return false;
    }
    e->target = f->first_atom + option;
    return f->type == FEN_SEVERAL || only_once(l, node, w->target, &l->finding_rule.at[finding], rule);
}

static bool effect(fen_loader *l, const fen_node *node, uint32_t rule, fen_effect *e)
{
    fen_effect_words w;
    const fen_status st = node->type == FEN_NODE_TEXT ? fen_sentence_effect(&l->sentence, node->text, node->len, &w) : FEN_OK;
    if (node->type != FEN_NODE_TEXT) {
        fen_loader_error(l, FEN_CODE_SHAPE, node->place, "write one such as 'strong for crown-rot'",
                         "an effect is a sentence, but here is %s", fen_shape_found(node));
        return false;
    }
    if (st) {
        fen_resolve_grammar(l, node);
        return false;
    }
    *e = (fen_effect){ .op = w.op, .weight = w.weight, .target = FEN_NONE };
    if (w.op == FEN_DERIVE)
        return derive(l, node, &w, rule, e);
    const bool hazard = w.op == FEN_RAISE;
    return target(l, node, w.target, hazard ? FEN_PART_HAZARDS : FEN_PART_CAUSES, &e->target) &&
           only_once(l, node, w.target, hazard ? &l->hazard_rule.at[e->target] : &l->cause_rule.at[e->target], rule);
}

static bool read_then(fen_loader *l, const fen_node *key, const fen_node *value, uint32_t rule, fen_rule *r)
{
    const bool many = value->type == FEN_NODE_LIST;
    const size_t n = many ? value->count : 1;
    bool ok = true;
    if (n == 0 || fen_shape_empty(value)) {
        fen_loader_error(l, FEN_CODE_MISSING, key->place, "write an effect such as 'strong for crown-rot'",
                         "this rule does nothing");
        return false;
    }
    l->effects.count = 0;
    for (size_t i = 0; i < n && !l->nomem; i++) {
        fen_effect e;
        const bool good = effect(l, many ? value->items[i] : value, rule, &e);
        ok &= good;
        if (good && !FEN_VEC_PUSH(&l->effects, e))
            return fen_loader_nomem(l);
    }
    r->effects = fen_arena_copy(l->draft->arena, l->effects.at, l->effects.count, sizeof *l->effects.at);
    r->n_effects = l->effects.count;
    return r->effects ? ok : fen_loader_nomem(l);
}

/* ---- rules ---- */

static bool read_over(fen_loader *l, const fen_fields *f, uint32_t rule, fen_rule *r)
{
    if (!fen_shape_names(l, f->key[OVER], f->value[OVER], FEN_PART_RULES, &r->over))
        return false;
    for (uint32_t i = 0; i < r->over.count; i++) {
        if (r->over.at[i] != rule)
            continue;
        fen_loader_error(l, FEN_CODE_CYCLE, f->key[OVER]->place, "name the rule that this one beats",
                         "the rule '%s' goes over itself", r->id);
        return false;
    }
    return true;
}

static bool read_lesson(fen_loader *l, const fen_fields *f)
{
    fen_fields lesson;
    const char *text;
    bool ok = true;
    if (!f->value[LESSON])
        return true;
    if (!fen_shape_fields(l, f->value[LESSON], f->key[LESSON]->place, "'lesson'", lesson_keys, FEN_COUNT(lesson_keys), &lesson))
        return false;
    for (size_t i = 0; i < FEN_COUNT(lesson_keys); i++)
        ok &= !lesson.value[i] || fen_shape_text(l, lesson.key[i], lesson.value[i], &text);
    return ok && lesson.clean;
}

static bool read_fields(fen_loader *l, const fen_fields *f, uint32_t rule, fen_rule *r)
{
    bool ok = fen_shape_names(l, f->key[KINDS], f->value[KINDS], FEN_PART_KINDS, &r->kinds);
    if (f->value[WHEN])
        ok &= fen_resolve_condition(l, f->key[WHEN], f->value[WHEN], &r->cond);
    if (f->value[THEN])
        ok &= read_then(l, f->key[THEN], f->value[THEN], rule, r);
    ok &= read_over(l, f, rule, r);
    ok &= fen_shape_text(l, f->key[WHY], f->value[WHY], &r->why);
    ok &= fen_shape_text(l, f->key[SOURCE], f->value[SOURCE], &r->source);
    return read_lesson(l, f) && ok;
}

static void read_rule(fen_loader *l, uint32_t i)
{
    fen_item *item = &l->part[FEN_PART_RULES].items.at[i];
    fen_rule r = { .id = fen_shape_keep(l, item->key), .cond = FEN_NONE, .place = item->key->place };
    fen_fields f;
    if (!r.id)
        return;
    if (fen_shape_item(l, FEN_PART_RULES, item, keys, FEN_COUNT(keys), &f))
        item->broken |= !read_fields(l, &f, i, &r);
    if (!FEN_VEC_PUSH(&l->draft->rules, r))
        fen_loader_nomem(l);
}

/* ITEMS zeros. */
#define ZEROS(v, items)                                                                             \
    (FEN_VEC_ROOM((v), (items)) && ((v)->count = (items), memset((v)->at, 0, (items) * sizeof *(v)->at), true))

void fen_read_rules(fen_loader *l)
{
    const uint32_t n = l->part[FEN_PART_RULES].items.count;
    if (!ZEROS(&l->cause_rule, l->draft->causes.count + 1) || !ZEROS(&l->hazard_rule, l->draft->hazards.count + 1) ||
        !ZEROS(&l->finding_rule, l->draft->findings.count + 1) || !FEN_VEC_ROOM(&l->draft->rules, n)) {
        fen_loader_nomem(l);
        return;
    }
    for (uint32_t i = 0; i < n && !l->nomem; i++)
        read_rule(l, i);
}
