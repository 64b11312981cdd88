/* read_kinds.c -- the tree of kinds, and what lies below each as one word of bits. */
#include <string.h>

#include "shape.h"

enum { NAME, LATIN, CALLED, SPECIES, WITHIN };
static const fen_key keys[] = { { "name", true }, { "latin", false }, { "called", false }, { "species", false }, { "within", false } };

static void read_kind(fen_loader *l, uint32_t i)
{
    fen_item *item = &l->part[FEN_PART_KINDS].items.at[i];
    fen_kind k = { .id = item->key->text, .name = "", .parent = FEN_NONE, .place = item->key->place };
    fen_fields f;
    bool ok = fen_shape_item(l, FEN_PART_KINDS, item, keys, FEN_COUNT(keys), &f);
    if (ok) {
        ok &= fen_shape_text(l, f.key[NAME], f.value[NAME], &k.name);
        ok &= fen_shape_text(l, f.key[LATIN], f.value[LATIN], &k.latin);
        ok &= fen_shape_texts(l, f.key[CALLED], f.value[CALLED], &k.called);
        ok &= fen_shape_texts(l, f.key[SPECIES], f.value[SPECIES], &k.species);
        if (f.value[WITHIN])
            ok &= fen_shape_one_name(l, f.key[WITHIN], f.value[WITHIN], FEN_PART_KINDS, &k.parent);
    }
    item->broken |= !ok;
    k.id = fen_shape_keep(l, item->key);
    if (!k.id || !FEN_VEC_PUSH(&l->draft->kinds, k))
        fen_loader_nomem(l);
}

/* A kind that is its own ancestor: cut the tree there, so that walks end. */
static void check_tree(fen_loader *l)
{
    fen_kind *kinds = l->draft->kinds.at;
    const uint32_t n = l->draft->kinds.count;
    for (uint32_t i = 0; i < n; i++) {
        fen_id k = kinds[i].parent;
        for (uint32_t steps = 0; steps < n && k != FEN_NONE && k != i; steps++)
            k = kinds[k].parent;
        if (k != i)
            continue; /* ends at a root, or in somebody else's loop */
        l->source = l->files.at[l->part[FEN_PART_KINDS].items.at[i].file].source;
        fen_loader_error(l, FEN_CODE_KIND_TREE, kinds[i].place, "take out one 'within'", "the kind '%s' lies within itself",
                         kinds[i].id);
        l->part[FEN_PART_KINDS].items.at[i].broken = true;
        kinds[i].parent = FEN_NONE;
    }
}

static void find_below(fen_loader *l)
{
    const fen_kind *kinds = l->draft->kinds.at;
    for (uint32_t i = 0; i < l->draft->kinds.count; i++)
        for (fen_id k = i; k != FEN_NONE; k = kinds[k].parent)
            l->kind_below[k] |= UINT64_C(1) << i;
}

void fen_read_kinds(fen_loader *l)
{
    for (uint32_t i = 0; i < l->part[FEN_PART_KINDS].items.count && !l->nomem; i++)
        read_kind(l, i);
    if (l->nomem)
        return;
    check_tree(l);
    if (fen_draft_seal_kinds(l->draft)) {
        fen_loader_nomem(l);
        return;
    }
    find_below(l);
}
