/* vet_edges.c -- thresholds at which rules about one thing leave a value out or take
 * it twice.
 *
 * Rules belong together here if they do something to the same cause, hazard or
 * derived finding and need the same besides the quantity. Each then has an interval of
 * it; where one ends and another begins, the value in between must belong to one.
 */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "model/quantity.h"
#include "vet_deep.h"

typedef struct piece {
    uint64_t group; /* what it is about, which quantity, what else is needed: as a hash */
    uint32_t var;
    double lo, hi;
    bool lo_open, hi_open, bands; /* bands: values of a derived finding without a default */
    fen_id rule;
} piece;

typedef FEN_VEC(piece) pieces;

/* FNV-1a; two groups with one hash would need 2^32 groups to be likely. */
static uint64_t mix(uint64_t h, uint64_t x)
{
    for (int i = 0; i < 8; i++)
        h = (h ^ (x >> 8 * i & 0xff)) * UINT64_C(0x100000001b3);
    return h;
}

static uint64_t mix_double(uint64_t h, double x)
{
    uint64_t bits;
    memcpy(&bits, &x, sizeof bits);
    return mix(h, bits);
}

static uint64_t hash_others(const fen_box *box, uint32_t but, uint64_t h)
{
    for (uint32_t i = 0; i < box->n; i++) {
        const fen_limit *l = &box->at[i];
        h = mix(h, l->var);
        if (i == but)
            continue;
        h = mix(mix(mix(h, l->in), l->out), l->states | (uint64_t)l->lo_open << 8 | (uint64_t)l->hi_open << 9);
        h = mix_double(mix_double(h, l->lo), l->hi);
    }
    return h;
}

static bool is_interval(const fen_vetting *v, const fen_limit *l)
{
    const fen_limit *full = &v->boxes.full[l->var];
    if (l->states != FEN_IS_KNOWN)
        return false;
    if (l->var < v->base->n_findings && v->base->findings[l->var].type != FEN_QUANTITY && v->base->findings[l->var].type != FEN_DATE)
        return false;
    return l->lo != full->lo || l->hi != full->hi;
}

static uint64_t topic(const fen_vetting *v, const fen_effect *e, bool *ret_bands)
{
    const fen_id target = e->op == FEN_DERIVE ? v->base->tests[e->target].finding : e->target;
    *ret_bands = e->op == FEN_DERIVE && v->base->findings[target].type != FEN_SEVERAL && v->base->findings[target].default_option == FEN_NONE;
    return mix(mix(UINT64_C(0xcbf29ce484222325), e->op == FEN_EXCLUDE ? FEN_WEIGH : e->op), target);
}

static bool add_rule(fen_vetting *v, pieces *all, fen_id rule)
{
    const fen_region g = v->rule[rule];
    const fen_rule *r = &v->base->rules[rule];
    for (uint32_t e = 0; e < r->n_effects; e++)
        for (uint32_t i = 0; i < g.n; i++)
            for (uint32_t k = 0; k < g.at[i].n; k++) {
                const fen_limit *l = &g.at[i].at[k];
                piece p = { .var = l->var, .lo = l->lo, .hi = l->hi, .lo_open = l->lo_open, .hi_open = l->hi_open, .rule = rule };
                if (!is_interval(v, l))
                    continue;
                p.group = hash_others(&g.at[i], k, topic(v, &r->effects[e], &p.bands));
                if (!FEN_VEC_PUSH(all, p))
                    return false;
            }
    return true;
}

static int by_start(const void *a, const void *b)
{
    const piece *x = a, *y = b;
    if (x->group != y->group)
        return (x->group > y->group) - (x->group < y->group);
    if (x->var != y->var)
        return (x->var > y->var) - (x->var < y->var);
    if (x->lo < y->lo || x->lo > y->lo)
        return (x->lo > y->lo) - (x->lo < y->lo);
    if (x->lo_open != y->lo_open)
        return x->lo_open - y->lo_open;
    return (x->rule > y->rule) - (x->rule < y->rule);
}

/* ---- telling ---- */

static fen_quantity quantity(const fen_vetting *v, uint32_t var, double value)
{
    const fen_base *b = v->base;
    const fen_dim dim = var < b->n_findings ? (b->findings[var].type == FEN_DATE ? FEN_DIM_TIME_SPAN : b->findings[var].dim)
                                            : b->exprs[var - b->n_findings].dim;
    return (fen_quantity){ value, dim };
}

static const char *name(const fen_vetting *v, uint32_t var)
{
    return var < v->base->n_findings ? v->base->findings[var].id : "the sum";
}

static void tell_gap(fen_vetting *v, const piece *a, const piece *c)
{
    char from[FEN_QUANTITY_TEXT], to[FEN_QUANTITY_TEXT];
    fen_quantity_show(from, quantity(v, a->var, a->hi), FEN_UNITS_METRIC);
    fen_quantity_show(to, quantity(v, a->var, c->lo), FEN_UNITS_METRIC);
    const char *first = v->base->rules[a->rule].id, *second = v->base->rules[c->rule].id;
    const fen_place at = v->base->rules[c->rule].place;
    if (a->hi < c->lo)
        fen_vet_tell(v, FEN_CODE_GAP, at, "let one begin where the other ends", "between '%s' and '%s' nothing is said of '%s' from %s to %s", first,
                     second, name(v, a->var), from, to);
    else
        fen_vet_tell(v, FEN_CODE_GAP, at, "write '<=' or '>=' in one of them", "'%s' and '%s' both leave out '%s' at exactly %s", first, second,
                     name(v, a->var), from);
}

static void tell_overlap(fen_vetting *v, const piece *a, const piece *c)
{
    char at[FEN_QUANTITY_TEXT];
    fen_quantity_show(at, quantity(v, a->var, a->hi), FEN_UNITS_METRIC);
    fen_vet_tell(v, FEN_CODE_OVERLAP, v->base->rules[c->rule].place, "write '<' or '>' in one of them",
                 "'%s' and '%s' both take '%s' at exactly %s", v->base->rules[a->rule].id, v->base->rules[c->rule].id, name(v, a->var), at);
}

/* ---- one group ---- */

static bool related(const fen_vetting *v, const piece *a, const piece *c)
{
    return a->rule == c->rule || fen_vet_over(v->base, a->rule, c->rule) || fen_vet_over(v->base, c->rule, a->rule);
}

/* The pieces AT[0..N) by where they begin; FAR is the one of those before that reaches farthest. */
static void judge_group(fen_vetting *v, const piece *at, uint32_t n)
{
    const piece *far = &at[0];
    for (uint32_t i = 1; i < n; i++) {
        const piece *c = &at[i];
        const bool touch = far->hi == c->lo, apart = far->hi < c->lo;
        if (touch && !far->hi_open && !c->lo_open && far->lo < far->hi && c->lo < c->hi && !related(v, far, c))
            tell_overlap(v, far, c);
        else if (far->rule != c->rule && ((touch && far->hi_open && c->lo_open) || (apart && c->bands)))
            tell_gap(v, far, c);
        if (c->hi > far->hi || (c->hi == far->hi && far->hi_open && !c->hi_open))
            far = c;
    }
}

void fen_vet_edges(fen_vetting *v)
{
    pieces all = { 0 };
    for (fen_id r = 0; r < v->base->n_rules && !v->nomem; r++)
        v->nomem = !add_rule(v, &all, r);
    if (all.count)
        qsort(all.at, all.count, sizeof *all.at, by_start);
    for (uint32_t i = 0, k; i < all.count && !v->nomem; i = k) {
        for (k = i; k < all.count && all.at[k].group == all.at[i].group && all.at[k].var == all.at[i].var;)
            k++;
        judge_group(v, &all.at[i], k - i);
    }
    FEN_VEC_FREE(&all);
}
