/* horn.c -- see horn.h.
 */
#include "horn.h"

#include <stdlib.h>
#include <string.h>

#include "support/random_base.h"

bool horn_make(horn *ret, uint32_t n_rules, uint64_t seed)
{
    rb_rng r = {.state = seed};
    memset(ret, 0, sizeof *ret);
    ret->n_rules = n_rules;
    ret->n_atoms = (n_rules / 2 + 2 * HORN_GROUP) / HORN_GROUP * HORN_GROUP;
    ret->n_given = (ret->n_atoms / 10 + HORN_GROUP) / HORN_GROUP * HORN_GROUP;
    ret->rule = calloc(n_rules, sizeof *ret->rule);
    ret->answer = calloc(ret->n_given / HORN_GROUP, sizeof *ret->answer);
    if (!ret->rule || !ret->answer)
        return false;
    for (uint32_t i = 0; i < n_rules; i++) {
        horn_rule *x = &ret->rule[i];
        x->head = ret->n_given + rb_below(&r, ret->n_atoms - ret->n_given);
        const uint32_t dice = rb_below(&r, 10); /* mostly short: the answers then set off about half of the rules */
        x->n_body = dice < 5 ? 1 : dice < 8 ? 2 : 3;
        for (uint32_t k = 0; k < x->n_body; k++)
            x->body[k] = rb_below(&r, ret->n_atoms);
    }
    for (uint32_t g = 0; g < ret->n_given / HORN_GROUP; g++)
        ret->answer[g] = rb_next(&r); /* half of them hold */
    return true;
}

void horn_free(horn *h)
{
    free(h->rule);
    free(h->answer);
}

bool horn_loop_make(horn_loop *ret, const horn *h)
{
    memset(ret, 0, sizeof *ret);
    ret->h = h;
    ret->occ_at = calloc((size_t)h->n_atoms + 2, sizeof *ret->occ_at);
    ret->occ = calloc((size_t)h->n_rules * HORN_BODY, sizeof *ret->occ);
    ret->left = calloc(h->n_rules, sizeof *ret->left);
    ret->start = calloc(h->n_rules, sizeof *ret->start);
    ret->on = calloc(h->n_atoms, sizeof *ret->on);
    ret->queue = calloc(h->n_atoms, sizeof *ret->queue);
    if (!ret->occ_at || !ret->occ || !ret->left || !ret->start || !ret->on || !ret->queue)
        return false;
    for (uint32_t i = 0; i < h->n_rules; i++)
        for (uint32_t k = 0; k < h->rule[i].n_body; k++)
            ret->occ_at[h->rule[i].body[k] + 2]++;
    for (uint32_t a = 0; a < h->n_atoms; a++)
        ret->occ_at[a + 2] += ret->occ_at[a + 1];
    for (uint32_t i = 0; i < h->n_rules; i++) {
        ret->start[i] = (int32_t)h->rule[i].n_body;
        for (uint32_t k = 0; k < h->rule[i].n_body; k++)
            ret->occ[ret->occ_at[h->rule[i].body[k] + 1]++] = i;
    }
    horn_loop_reset(ret);
    return true;
}

void horn_loop_free(horn_loop *l)
{
    free(l->occ_at);
    free(l->occ);
    free(l->left);
    free(l->start);
    free(l->on);
    free(l->queue);
}

void horn_loop_reset(horn_loop *l)
{
    memcpy(l->left, l->start, l->h->n_rules * sizeof *l->left);
    memset(l->on, 0, l->h->n_atoms * sizeof *l->on);
}

uint32_t horn_loop_answer(horn_loop *l, uint32_t group)
{
    uint32_t head = 0, tail = 0, fired = 0;
    for (uint64_t bits = l->h->answer[group]; bits; bits &= bits - 1) {
        const uint32_t atom = group * HORN_GROUP + (uint32_t)__builtin_ctzll(bits);
        l->on[atom] = true;
        l->queue[tail++] = atom;
    }
    while (head < tail) {
        const uint32_t atom = l->queue[head++];
        for (uint32_t i = l->occ_at[atom]; i < l->occ_at[atom + 1]; i++) {
            const uint32_t r = l->occ[i];
            if (--l->left[r] != 0)
                continue;
            fired++;
            const uint32_t set = l->h->rule[r].head;
            if (!l->on[set]) {
                l->on[set] = true;
                l->queue[tail++] = set;
            }
        }
    }
    return fired;
}
