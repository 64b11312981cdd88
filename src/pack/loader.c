/* loader.c -- names: declared once, found often, suggested when mistyped. */
#include "loader.h"

#include <stdio.h>
#include <string.h>

#include "util/limits.h"
#include "util/near.h"
#include "util/utf8.h"

/* Comparing every unknown name with every known one is quadratic for a hostile
 * pack; after this many comparisons in one load, nothing is suggested. */
#define OFFERED_MAX ((size_t)4 << 20)

static const struct {
    const char *noun;
    uint32_t max;
} parts[FEN_PARTS] = {
    [FEN_PART_KINDS] = { "kind", FEN_OPTIONS_MAX },       [FEN_PART_FINDINGS] = { "finding", FEN_PARTS_MAX },
    [FEN_PART_HAZARDS] = { "hazard", FEN_PARTS_MAX },     [FEN_PART_CAUSES] = { "cause", FEN_PARTS_MAX },
    [FEN_PART_RULES] = { "rule", FEN_RULES_MAX },         [FEN_PART_REMEDIES] = { "remedy", FEN_PARTS_MAX },
    [FEN_PART_TASKS] = { "task", FEN_PARTS_MAX },
};

const char *fen_part_noun(fen_part part)
{
    return parts[part].noun;
}

int fen_quote_len(const char *text, size_t len)
{
    size_t n = 0;
    while (n < len) {
        const size_t step = fen_utf8_step(text + n, len - n);
        if (n + step > FEN_NAME_MAX)
            break;
        n += step;
    }
    return (int)n;
}

bool fen_loader_nomem(fen_loader *l)
{
    l->nomem = true;
    return false;
}

fen_id fen_loader_find(const fen_loader *l, fen_part part, const char *name, size_t len)
{
    const fen_names *names = &l->part[part];
    const uint32_t id = fen_intern_find(names->table, name, len);
    return id == FEN_INTERN_NONE ? FEN_NONE : names->first.at[id];
}

fen_id fen_loader_find_finding(const fen_loader *l, const char *name, size_t len)
{
    if (len == 4 && memcmp(name, "kind", 4) == 0)
        return FEN_KIND_FINDING;
    const fen_id item = fen_loader_find(l, FEN_PART_FINDINGS, name, len);
    return item == FEN_NONE ? FEN_NONE : item + 1;
}

bool fen_loader_broken_finding(const fen_loader *l, fen_id finding)
{
    return finding != FEN_KIND_FINDING && l->part[FEN_PART_FINDINGS].items.at[finding - 1].broken;
}

const char *fen_loader_meant(const char *name, const char *otherwise, char buf[FEN_SUGGEST_MAX])
{
    if (!name)
        return otherwise;
    snprintf(buf, FEN_SUGGEST_MAX, "did you mean '%.*s'", FEN_QUOTE(name, strlen(name)));
    return buf;
}

const char *fen_loader_suggest(fen_loader *l, fen_part part, const char *name, size_t len, const char *otherwise,
                               char buf[FEN_SUGGEST_MAX])
{
    const fen_intern *table = l->part[part].table;
    const uint32_t n = fen_intern_count(table);
    l->meant = NULL;
    if (l->offered + n > OFFERED_MAX)
        return otherwise;
    l->offered += n;
    fen_near near;
    fen_near_begin(&near, name, len);
    for (uint32_t i = 0; i < n; i++)
        fen_near_offer(&near, fen_intern_name(table, i));
    fen_loader_note_meant(l, &near);
    return fen_loader_meant(near.name, otherwise, buf);
}

void fen_loader_note_meant(fen_loader *l, const fen_near *near)
{
    l->meant = fen_near_certain(near) ? near->name : NULL;
}

void fen_loader_mend_name(fen_loader *l, fen_place at)
{
    if (l->meant && !l->doubled)
        fen_problems_instead(l->problems, at, l->meant);
    l->meant = NULL;
}

bool fen_loader_name(fen_loader *l, const fen_node *node, const char *noun)
{
    if (node->len > FEN_NAME_MAX) {
        fen_loader_error(l, FEN_CODE_TOO_LARGE, node->place, "write a name of at most 64 letters",
                         "the name of this %s has %u letters", noun, node->len);
        return false;
    }
    if (fen_name_formed(node->text, node->len))
        return true;
    if (node->len == 0)
        fen_loader_error(l, FEN_CODE_BAD_NAME, node->place, "write one of small letters, digits and hyphens",
                         "this %s has no name", noun);
    else
        fen_loader_error(l, FEN_CODE_BAD_NAME, node->place, "names are made of small letters, digits and hyphens",
                         "'%.*s' cannot be the name of a%s %s", FEN_QUOTE(node->text, node->len),
                         noun[0] == 'a' ? "n" : "", noun);
    return false;
}

/* A well-formed name that has another meaning already. */
static bool is_free(fen_loader *l, fen_part part, const fen_node *key)
{
    const char *right = NULL;
    if ((part == FEN_PART_FINDINGS && fen_word_reserved(key->text, key->len)) ||
        (part == FEN_PART_KINDS && fen_word_reserved_answer(key->text, key->len))) /* "kind is ..." */
        right = "it has a meaning in sentences already";
    if (part == FEN_PART_FINDINGS && key->text[0] >= '0' && key->text[0] <= '9')
        right = "begin it with a letter";
    if ((part == FEN_PART_CAUSES || part == FEN_PART_HAZARDS) && strcmp(key->text, "something-else") == 0)
        right = "it is built in";
    if (right)
        fen_loader_error(l, FEN_CODE_BAD_NAME, key->place, right, "'%s' cannot be the name of a %s", key->text,
                         parts[part].noun);
    return !right;
}

static void tell_double(fen_loader *l, const fen_node *key, const fen_item *first, const char *noun)
{
    const fen_source *where = l->files.at[first->file].source;
    l->doubled = true;
    fen_loader_error(l, FEN_CODE_DUPLICATE, key->place, "give one of them another name",
                     "the %s '%.*s' is declared already, at %s:%u", noun, FEN_QUOTE(key->text, key->len), where->path,
                     (unsigned)first->key->place.line);
}

/* Causes and hazards share the list a remedy is `for`. */
static bool is_other_kind(fen_loader *l, fen_part part, const fen_node *key)
{
    fen_part other = part == FEN_PART_CAUSES ? FEN_PART_HAZARDS : FEN_PART_CAUSES;
    if (part != FEN_PART_CAUSES && part != FEN_PART_HAZARDS)
        return false;
    const fen_id have = fen_loader_find(l, other, key->text, key->len);
    if (have == FEN_NONE)
        return false;
    tell_double(l, key, &l->part[other].items.at[have], parts[other].noun);
    return true;
}

static void declare(fen_loader *l, fen_part part, uint32_t file, const fen_pair *pair)
{
    fen_names *names = &l->part[part];
    fen_item item = { .key = pair->key, .value = pair->value, .file = file };
    item.broken = !fen_loader_name(l, pair->key, parts[part].noun) || !is_free(l, part, pair->key) ||
                  is_other_kind(l, part, pair->key);
    uint32_t id;
    const uint32_t before = fen_intern_count(names->table);
    if (fen_intern_add(names->table, pair->key->text, pair->key->len, &id)) {
        fen_loader_nomem(l);
        return;
    }
    if (id < before) {
        if (!item.broken) /* the same bad name twice is not worth two messages */
            tell_double(l, pair->key, &names->items.at[names->first.at[id]], parts[part].noun);
        item.broken = true;
    } else if (!FEN_VEC_PUSH(&names->first, names->items.count)) {
        fen_loader_nomem(l);
        return;
    }
    if (!FEN_VEC_PUSH(&names->items, item))
        fen_loader_nomem(l);
}

void fen_loader_declare(fen_loader *l, fen_part part, uint32_t file, const fen_node *section, const char *title)
{
    fen_names *names = &l->part[part];
    for (size_t i = 0; i < section->count && !l->nomem && !names->full; i++) {
        if (names->items.count >= parts[part].max) {
            names->full = true;
            fen_loader_error(l, FEN_CODE_TOO_LARGE, section->pairs[i].key->place, "leave some out",
                             "'%s' has more than %u names over all packs", title, (unsigned)parts[part].max);
            return;
        }
        declare(l, part, file, &section->pairs[i]);
    }
}

uint64_t fen_loader_kinds(const fen_loader *l, fen_list kinds)
{
    uint64_t all = 0;
    if (!kinds.count)
        return UINT64_MAX;
    for (uint32_t i = 0; i < kinds.count; i++)
        all |= l->kind_below[kinds.at[i]];
    return all;
}

void fen_loader_fell_trees(fen_loader *l)
{
    for (uint32_t i = 0; i < l->files.count; i++) {
        fen_tree_free(l->files.at[i].tree);
        l->files.at[i].tree = NULL;
    }
}

void fen_loader_unload(fen_loader *l)
{
    fen_draft_free(l->draft);
    fen_loader_fell_trees(l);
    for (uint32_t i = 0; i < l->files.count; i++)
        fen_source_free(l->files.at[i].source);
    FEN_VEC_FREE(&l->files);
    for (size_t i = 0; i < FEN_PARTS; i++) {
        fen_intern_free(l->part[i].table);
        FEN_VEC_FREE(&l->part[i].items);
        FEN_VEC_FREE(&l->part[i].first);
    }
    fen_sentence_free(&l->sentence);
    FEN_VEC_FREE(&l->parts);
    FEN_VEC_FREE(&l->effects);
    FEN_VEC_FREE(&l->cause_rule);
    FEN_VEC_FREE(&l->hazard_rule);
    FEN_VEC_FREE(&l->finding_rule);
    fen_intern_free(l->acts);
    fen_intern_free(l->exprs);
    fen_intern_free(l->tests);
    fen_intern_free(l->sentences);
    FEN_VEC_FREE(&l->sentence_conds);
    FEN_VEC_FREE(&l->test_ids);
}
