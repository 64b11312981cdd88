#include "vet_deep.h"

const fen_source *fen_vet_source(const fen_vetting *v, fen_place place)
{
    uint32_t i = 0;
    while (i + 1 < v->l->files.count && v->l->files.at[i].source->file != place.file)
        i++;
    return v->l->files.at[i].source;
}

bool fen_vet_over(const fen_base *base, fen_id a, fen_id b)
{
    const fen_list over = base->rules[a].over;
    for (uint32_t i = 0; i < over.count; i++)
        if (over.at[i] == b)
            return true;
    return false;
}

static fen_status find_regions(fen_vetting *v)
{
    fen_region *rule = fen_arena_zeroed(v->arena, v->base->n_rules, sizeof *rule);
    if (!rule)
        return FEN_ENOMEM;
    for (fen_id r = 0; r < v->base->n_rules && !v->boxes.nomem; r++)
        rule[r] = fen_region_of_rule(&v->boxes, &v->base->rules[r]);
    v->rule = rule;
    return v->boxes.nomem ? FEN_ENOMEM : FEN_OK;
}

static void run(fen_vetting *v)
{
    static void (*const checks[])(fen_vetting *) = {
        fen_vet_conditions, fen_vet_pairs, fen_vet_edges, fen_vet_clashes, fen_vet_whole, fen_vet_words,
    };
    for (size_t i = 0; i < FEN_COUNT(checks) && !v->nomem && !v->boxes.nomem; i++)
        checks[i](v);
}

fen_status fen_vet_deep(fen_loader *l, const fen_base *base)
{
    fen_vetting v = { .l = l, .base = base, .arena = fen_arena_new() };
    if (!v.arena)
        return FEN_ENOMEM;
    fen_status st = fen_boxes_begin(&v.boxes, base, v.arena);
    if (!st)
        st = find_regions(&v);
    if (!st)
        run(&v);
    if (v.nomem || v.boxes.nomem || fen_problems_status(l->problems))
        st = FEN_ENOMEM;
    fen_arena_free(v.arena);
    return st;
}
