/* read_causes.c -- hazards and causes. */
#include "shape.h"

static bool read_urgency(fen_loader *l, const fen_fields *f, int key, fen_urgency *ret)
{
    int word = FEN_NO_URGENCY;
    const bool ok = fen_shape_word(l, f->key[key], f->value[key], fen_urgency_words, FEN_COUNT(fen_urgency_words), &word);
    *ret = (fen_urgency)word;
    return ok;
}

static void read_hazard(fen_loader *l, uint32_t i)
{
    enum { NAME, ABOUT, URGENCY };
    static const fen_key keys[] = { { "name", true }, { "about", true }, { "urgency", true } };
    fen_item *item = &l->part[FEN_PART_HAZARDS].items.at[i];
    fen_hazard h = { .id = fen_shape_keep(l, item->key), .place = item->key->place };
    fen_fields f;
    if (!h.id)
        return;
    if (fen_shape_item(l, FEN_PART_HAZARDS, item, keys, FEN_COUNT(keys), &f)) {
        bool ok = fen_shape_text(l, f.key[NAME], f.value[NAME], &h.name);
        ok &= fen_shape_text(l, f.key[ABOUT], f.value[ABOUT], &h.about);
        ok &= read_urgency(l, &f, URGENCY, &h.urgency);
        item->broken |= !ok;
    }
    if (!FEN_VEC_PUSH(&l->draft->hazards, h))
        fen_loader_nomem(l);
}

void fen_read_hazards(fen_loader *l)
{
    for (uint32_t i = 0; i < l->part[FEN_PART_HAZARDS].items.count && !l->nomem; i++)
        read_hazard(l, i);
}

enum { NAME, ABOUT, USUAL, URGENCY, HARMLESS, OUTLOOK, IMPROVES, DECIDING, KINDS };
static const fen_key keys[] = {
    { "name", true },     { "about", true },    { "usual", true },    { "urgency", true }, { "harmless", false },
    { "outlook", false }, { "improves", false }, { "deciding", false }, { "kinds", false },
};

static bool read_usual(fen_loader *l, const fen_fields *f, fen_cause *c)
{
    if (!f->value[USUAL])
        return true;
    if (!fen_shape_share(l, f->key[USUAL], f->value[USUAL], &c->usual))
        return false;
    if (c->usual > 0)
        return true;
    fen_loader_error(l, FEN_CODE_NUMBER, f->value[USUAL]->place, "leave the cause out, or give it a small share",
                     "a cause that never occurs cannot be found");
    return false;
}

/* The deciding finding must be one that the grower can be asked in every kind
 * that the cause is about. */
static bool read_deciding(fen_loader *l, const fen_fields *f, fen_cause *c)
{
    const fen_node *value = f->value[DECIDING];
    fen_id item;
    if (!value)
        return true;
    if (!fen_shape_one_name(l, f->key[DECIDING], value, FEN_PART_FINDINGS, &item))
        return false;
    c->deciding = item + 1;
    if (l->part[FEN_PART_FINDINGS].items.at[item].broken)
        return true;
    const fen_finding *d = &l->draft->findings.at[c->deciding];
    const uint64_t all = UINT64_MAX >> (64 - l->draft->kinds.count);
    const char *wrong = d->derived ? "is derived and cannot be asked"
                        : fen_loader_kinds(l, c->kinds) & all & ~fen_loader_kinds(l, d->kinds)
                            ? "is not asked of all kinds that have this cause"
                            : NULL;
    if (wrong)
        fen_loader_error(l, FEN_CODE_NEVER, value->place, "name another finding, or correct 'kinds'", "'%s' %s", d->id, wrong);
    return !wrong;
}

static void read_cause(fen_loader *l, uint32_t i)
{
    fen_item *item = &l->part[FEN_PART_CAUSES].items.at[i];
    fen_cause c = { .id = fen_shape_keep(l, item->key), .usual = 0, .deciding = FEN_NONE, .place = item->key->place };
    fen_fields f;
    if (!c.id)
        return;
    if (fen_shape_item(l, FEN_PART_CAUSES, item, keys, FEN_COUNT(keys), &f)) {
        bool ok = fen_shape_text(l, f.key[NAME], f.value[NAME], &c.name);
        ok &= fen_shape_text(l, f.key[ABOUT], f.value[ABOUT], &c.about);
        ok &= fen_shape_text(l, f.key[OUTLOOK], f.value[OUTLOOK], &c.outlook);
        ok &= fen_shape_text(l, f.key[IMPROVES], f.value[IMPROVES], &c.improves);
        ok &= read_usual(l, &f, &c);
        ok &= read_urgency(l, &f, URGENCY, &c.urgency);
        ok &= fen_shape_flag(l, f.key[HARMLESS], f.value[HARMLESS], &c.harmless);
        ok &= fen_shape_names(l, f.key[KINDS], f.value[KINDS], FEN_PART_KINDS, &c.kinds) && read_deciding(l, &f, &c);
        item->broken |= !ok;
    }
    if (!FEN_VEC_PUSH(&l->draft->causes, c))
        fen_loader_nomem(l);
}

void fen_read_causes(fen_loader *l)
{
    for (uint32_t i = 0; i < l->part[FEN_PART_CAUSES].items.count && !l->nomem; i++)
        read_cause(l, i);
}
