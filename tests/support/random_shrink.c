/* random_shrink.c -- the smallest base that still fails, greedily.
 *
 * Every step takes one thing away from a copy and keeps the copy if it still
 * fails; steps repeat until a whole round takes nothing. What rules no longer
 * mention stays in the base, since it does no harm to a reader.
 */
#include <string.h>

#include "support/random_base.h"

static void drop_rule(rb_base *b, int gone)
{
    for (int i = gone; i + 1 < b->n_rules; i++)
        b->rule[i] = b->rule[i + 1];
    b->n_rules--;
    for (int i = 0; i < b->n_rules; i++) {
        rb_rule *r = &b->rule[i];
        int kept = 0;
        for (int k = 0; k < r->n_over; k++)
            if (r->over[k] != gone)
                r->over[kept++] = r->over[k] - (r->over[k] > gone);
        r->n_over = kept;
    }
}

static bool take(rb_base *b, const rb_base *smaller, rb_fails fails, void *context)
{
    if (!fails(smaller, context))
        return false;
    *b = *smaller;
    return true;
}

static bool fewer_rules(rb_base *b, rb_fails fails, void *context)
{
    static rb_base smaller;
    bool any = false;
    for (int i = b->n_rules - 1; i >= 0; i--) {
        smaller = *b;
        drop_rule(&smaller, i);
        any |= take(b, &smaller, fails, context);
    }
    return any;
}

static bool fewer_effects(rb_base *b, rb_fails fails, void *context)
{
    static rb_base smaller;
    bool any = false;
    for (int i = 0; i < b->n_rules; i++)
        for (int k = b->rule[i].n_effects - 1; k >= 0; k--) {
            smaller = *b;
            rb_rule *r = &smaller.rule[i];
            memmove(&r->effect[k], &r->effect[k + 1], (size_t)(r->n_effects - k - 1) * sizeof r->effect[0]);
            r->n_effects--;
            any |= take(b, &smaller, fails, context);
        }
    return any;
}

static bool fewer_exceptions(rb_base *b, rb_fails fails, void *context)
{
    static rb_base smaller;
    bool any = false;
    for (int i = 0; i < b->n_rules; i++) {
        for (int k = b->rule[i].n_over - 1; k >= 0; k--) {
            smaller = *b;
            rb_rule *r = &smaller.rule[i];
            memmove(&r->over[k], &r->over[k + 1], (size_t)(r->n_over - k - 1) * sizeof r->over[0]);
            r->n_over--;
            any |= take(b, &smaller, fails, context);
        }
        if (b->rule[i].kinds == 0)
            continue;
        smaller = *b;
        smaller.rule[i].kinds = 0;
        any |= take(b, &smaller, fails, context);
    }
    return any;
}

/* The condition of *ROOT: gone, one of its parts, or without one of its parts. */
static bool smaller_root(rb_base *b, int rule, rb_fails fails, void *context)
{
    static rb_base smaller;
    const int at = b->rule[rule].cond;
    if (at < 0)
        return false;
    smaller = *b;
    smaller.rule[rule].cond = -1;
    if (take(b, &smaller, fails, context))
        return true;
    for (int k = 0; k < b->cond[at].n_parts; k++) {
        smaller = *b;
        smaller.rule[rule].cond = b->cond[at].part[k];
        if (take(b, &smaller, fails, context))
            return true;
    }
    return false;
}

static bool smaller_part(rb_base *b, int at, rb_fails fails, void *context)
{
    static rb_base smaller;
    bool any = false;
    for (int k = b->cond[at].n_parts - 1; k >= 0; k--) {
        if (smaller_part(b, b->cond[at].part[k], fails, context))
            any = true;
        if (b->cond[at].n_parts == 1)
            continue;
        smaller = *b;
        rb_cond *c = &smaller.cond[at];
        memmove(&c->part[k], &c->part[k + 1], (size_t)(c->n_parts - k - 1) * sizeof c->part[0]);
        c->n_parts--;
        any |= take(b, &smaller, fails, context);
    }
    return any;
}

static bool smaller_conds(rb_base *b, rb_fails fails, void *context)
{
    bool any = false;
    for (int i = 0; i < b->n_rules; i++) {
        while (smaller_root(b, i, fails, context))
            any = true;
        if (b->rule[i].cond >= 0)
            any |= smaller_part(b, b->rule[i].cond, fails, context);
    }
    return any;
}

static bool fewer_answers(rb_base *b, rb_fails fails, void *context)
{
    static rb_base smaller;
    bool any = false;
    for (int i = 0; i < b->n_findings; i++) {
        if (b->answer[i].state == FEN_OPEN)
            continue;
        smaller = *b;
        smaller.answer[i] = (fen_answer){.state = FEN_OPEN};
        any |= take(b, &smaller, fails, context);
    }
    return any;
}

static bool plainer_findings(rb_base *b, rb_fails fails, void *context)
{
    static rb_base smaller;
    bool any = false;
    for (int i = 0; i < b->n_findings; i++) {
        const rb_finding *f = &b->finding[i];
        if (f->ask_when < 0 && f->signs == 0 && f->fallback < 0)
            continue;
        smaller = *b;
        smaller.finding[i].ask_when = -1;
        any |= f->ask_when >= 0 && take(b, &smaller, fails, context);
        smaller = *b;
        smaller.finding[i].signs = 0;
        any |= f->signs != 0 && take(b, &smaller, fails, context);
        smaller = *b;
        smaller.finding[i].fallback = -1;
        any |= f->fallback >= 0 && take(b, &smaller, fails, context);
    }
    return any;
}

void rb_shrink(rb_base *b, rb_fails fails, void *context)
{
    bool again = true;
    while (again) {
        again = fewer_rules(b, fails, context);
        again |= fewer_exceptions(b, fails, context);
        again |= fewer_effects(b, fails, context);
        again |= smaller_conds(b, fails, context);
        again |= fewer_answers(b, fails, context);
        again |= plainer_findings(b, fails, context);
    }
}
