/* vet_unfold.c -- regions in terms of what is asked: what a condition says of a derived
 * finding gives way to where the rules are true that set it.
 *
 * That a finding is *not* derived so, and what goes over the rules that set it, is left
 * out: who unfolds a region to claim something must try the answers he finds. Boxes beyond
 * FEN_BOXES_MAX are dropped.
 */
#include "vet_deep.h"

#define UNFOLD_DEPTH 3u /* derived from derived from derived */

static fen_region unfold(fen_vetting *v, fen_region r, unsigned depth);

/* Where some rule sets an option of BITS. */
static fen_region where_set(fen_vetting *v, const fen_finding *f, uint64_t bits, unsigned depth)
{
    fen_box found[FEN_BOXES_MAX];
    uint32_t n = 0;
    for (uint32_t o = 0; o < f->n_options; o++) {
        if (!(bits >> o & 1))
            continue;
        if (f->default_option == o && n < FEN_BOXES_MAX)
            found[n++] = (fen_box){ NULL, 0, 0 };
        const uint32_t *at = v->base->net.sets_at + f->first_atom + o;
        for (uint32_t i = at[0]; i < at[1] && n < FEN_BOXES_MAX; i++) {
            const fen_region g = unfold(v, v->rule[v->base->net.sets[i]], depth - 1);
            for (uint32_t k = 0; k < g.n && n < FEN_BOXES_MAX; k++)
                found[n++] = g.at[k];
        }
    }
    const fen_box *copy = fen_arena_copy(v->arena, found, n, sizeof *found);
    v->nomem |= !copy;
    return (fen_region){ copy, copy ? n : 0, copy != NULL };
}

static bool is_derived(const fen_vetting *v, const fen_limit *l)
{
    return l->var < v->base->n_findings && v->base->findings[l->var].derived;
}

/* BOX without its limits of derived findings. */
static fen_region asked_part(fen_vetting *v, const fen_box *box)
{
    fen_limit *at = fen_arena_take(v->arena, box->n, sizeof *at);
    fen_box *one = fen_arena_take(v->arena, 1, sizeof *one);
    if (!at || !one) {
        v->nomem = true;
        return (fen_region){ NULL, 0, false };
    }
    *one = (fen_box){ at, 0, 0 };
    for (uint32_t i = 0; i < box->n; i++) {
        if (is_derived(v, &box->at[i]))
            continue;
        at[one->n++] = box->at[i];
        one->vars |= UINT64_C(1) << box->at[i].var % 64;
    }
    return (fen_region){ one, 1, true };
}

static fen_region unfold_box(fen_vetting *v, const fen_box *box, unsigned depth)
{
    fen_region r = asked_part(v, box);
    for (uint32_t i = 0; i < box->n && r.whole && !v->nomem; i++) {
        const fen_limit *l = &box->at[i];
        if (!is_derived(v, l) || l->states != FEN_IS_KNOWN || !depth || !l->in)
            continue;
        r = fen_region_both(&v->boxes, r, where_set(v, &v->base->findings[l->var], l->in, depth));
    }
    return r;
}

static fen_region unfold(fen_vetting *v, fen_region r, unsigned depth)
{
    fen_box found[FEN_BOXES_MAX];
    uint32_t n = 0;
    if (!fen_vet_is_folded(v, r))
        return r;
    for (uint32_t i = 0; i < r.n && !v->nomem; i++) {
        const fen_region one = unfold_box(v, &r.at[i], depth);
        for (uint32_t k = 0; k < one.n && n < FEN_BOXES_MAX; k++)
            found[n++] = one.at[k];
    }
    const fen_box *copy = fen_arena_copy(v->arena, found, n, sizeof *found);
    v->nomem |= !copy;
    return (fen_region){ copy, copy ? n : 0, copy != NULL };
}

fen_region fen_vet_unfold(fen_vetting *v, fen_region r)
{
    return unfold(v, r, UNFOLD_DEPTH);
}

bool fen_vet_is_folded(const fen_vetting *v, fen_region r)
{
    for (uint32_t i = 0; i < r.n; i++)
        for (uint32_t k = 0; k < r.at[i].n; k++)
            if (is_derived(v, &r.at[i].at[k]))
                return true;
    return false;
}
