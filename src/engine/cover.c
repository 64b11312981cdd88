/* cover.c -- which causes together account for every sign (parsimonious
 * covering: Peng and Reggia 1990, Abductive Inference Models).
 *
 * The smallest set wins; among sets of one size the most probable. Causes under
 * half a percent are used only for signs that no likelier cause accounts for:
 * a set is not better for being small if nobody would believe it.
 */
#include <assert.h>
#include <math.h>
#include <string.h>

#include "scratch.h"

#define BELIEVABLE 0.005

typedef struct sign_walk {
    fen_session *s;
    uint64_t *bits;
    uint32_t n_stack;
} sign_walk;

static void set_sign(sign_walk *w, fen_id atom)
{
    const struct fen_scratch *x = w->s->scratch;
    uint32_t lo = 0, hi = x->n_present; /* present is ascending */
    while (lo < hi) {
        const uint32_t mid = lo + (hi - lo) / 2;
        if (x->present[mid] < atom)
            lo = mid + 1;
        else
            hi = mid;
    }
    if (lo < x->n_present && x->present[lo] == atom)
        w->bits[lo / 64] |= UINT64_C(1) << (lo % 64);
}

static void push_rule(sign_walk *w, fen_id r)
{
    struct fen_scratch *x = w->s->scratch;
    if (!w->s->rule[r].fired || x->rule_seen[r] == x->stamp)
        return;
    x->rule_seen[r] = x->stamp;
    x->rule_stack[w->n_stack++] = r;
}

/* A sign is used where a condition that holds needed its presence; through a
 * derived value, where the rules that set it did. */
static void use_test(void *ctx, fen_id test, bool negated)
{
    sign_walk *w = ctx;
    const fen_session *s = w->s;
    const fen_test *t = &s->base->tests[test];
    if (negated || t->op != FEN_TEST_ATOM || fen_truth_now(s, test) <= 0)
        return;
    set_sign(w, test);
    if (!s->base->findings[t->finding].derived || !s->atom[test].on)
        return;
    for (uint32_t i = s->base->net.sets_at[test]; i < s->base->net.sets_at[test + 1]; i++)
        push_rule(w, s->base->net.sets[i]);
}

static fen_weight weight_for(const fen_rule *r, fen_id cause)
{
    for (uint32_t i = 0; i < r->n_effects; i++)
        if (r->effects[i].op == FEN_WEIGH && r->effects[i].target == cause)
            return r->effects[i].weight;
    return 0;
}

static void account(fen_session *s, fen_id cause)
{
    struct fen_scratch *x = s->scratch;
    sign_walk w = { s, x->accounts + (size_t)cause * x->words, 0 };
    memset(w.bits, 0, x->words * sizeof *w.bits);
    if (!x->n_present || x->out0[cause])
        return;
    x->stamp++;
    const fen_list rules = s->base->causes[cause].rules;
    for (uint32_t i = 0; i < rules.count; i++)
        if (weight_for(&s->base->rules[rules.at[i]], cause) > 0)
            push_rule(&w, rules.at[i]);
    while (w.n_stack)
        fen_cond_walk(s->base, s->base->rules[x->rule_stack[--w.n_stack]].cond, false, use_test, &w);
}

const uint64_t *fen_accounts_of(fen_session *s, fen_id cause)
{
    (void)fen_session_verdict(s);
    return s->scratch->accounts + (size_t)cause * s->scratch->words;
}

/* -- the search ----------------------------------------------------------- */

typedef struct cover_search {
    fen_session *s;
    uint32_t want, work;
    double best_score;
    uint32_t n_best;
} cover_search;

static bool has(const uint64_t *set, uint32_t i)
{
    return set[i / 64] >> (i % 64) & 1;
}

static double log_odds(const fen_session *s, fen_id c)
{
    return (double)s->score[c] / (double)FEN_DBAN;
}

/* May this cause be in a set for this sign? Unlikely ones only if they must. */
static bool may_cover(const fen_session *s, fen_id c, uint32_t sign, bool unlikely_too)
{
    const struct fen_scratch *x = s->scratch;
    return has(x->accounts + (size_t)c * x->words, sign) && (unlikely_too || x->p[c] >= BELIEVABLE);
}

static uint32_t count_coverers(const fen_session *s, uint32_t sign, bool *ret_unlikely)
{
    const struct fen_scratch *x = s->scratch;
    uint32_t likely = 0, all = 0;
    for (uint32_t i = 0; i < x->n_ranking; i++) {
        likely += may_cover(s, x->ranking[i], sign, false);
        all += may_cover(s, x->ranking[i], sign, true);
    }
    *ret_unlikely = !likely;
    return likely ? likely : all;
}

/* The open sign with the fewest causes: branching on it keeps the tree narrow. */
static uint32_t hardest(const fen_session *s, const uint64_t *open, bool *ret_unlikely)
{
    const struct fen_scratch *x = s->scratch;
    uint32_t best = UINT32_MAX, fewest = UINT32_MAX;
    for (uint32_t i = 0; i < x->n_present; i++) {
        bool unlikely;
        if (!has(open, i))
            continue;
        const uint32_t n = count_coverers(s, i, &unlikely);
        if (n < fewest) {
            fewest = n;
            best = i;
            *ret_unlikely = unlikely;
        }
    }
    return best;
}

static void keep_best(cover_search *k, uint32_t depth, double score)
{
    struct fen_scratch *x = k->s->scratch;
    if (k->n_best && score <= k->best_score)
        return;
    memcpy(x->best, x->trying, depth * sizeof *x->best);
    k->n_best = depth;
    k->best_score = score;
}

/* Depth at most FEN_COVER_MAX. */
static void cover_from(cover_search *k, uint32_t depth, const uint64_t *open, double score)
{
    fen_session *s = k->s;
    struct fen_scratch *x = s->scratch;
    bool unlikely = false;
    const uint32_t sign = hardest(s, open, &unlikely);
    if (sign == UINT32_MAX) {
        keep_best(k, depth, score);
        return;
    }
    uint64_t *left = x->levels + (size_t)depth * x->words;
    for (uint32_t i = 0; i < x->n_ranking && depth < k->want; i++) {
        const fen_id c = x->ranking[i];
        if (!may_cover(s, c, sign, unlikely))
            continue;
        if (++k->work > FEN_COVER_WORK)
            return;
        for (uint32_t w = 0; w < x->words; w++)
            left[w] = open[w] & ~x->accounts[(size_t)c * x->words + w];
        x->trying[depth] = c;
        cover_from(k, depth + 1, left, score + log_odds(s, c));
    }
}

static void list_present(fen_session *s)
{
    struct fen_scratch *x = s->scratch;
    x->n_present = 0;
    for (uint32_t i = 0; i < s->base->net.n_signs; i++)
        if (fen_truth_now(s, s->base->net.signs[i]) > 0)
            x->present[x->n_present++] = s->base->net.signs[i];
}

static void list_unexplained(fen_session *s)
{
    struct fen_scratch *x = s->scratch;
    uint32_t n = 0;
    memset(x->need, 0, x->words * sizeof *x->need);
    for (uint32_t i = 0; i < x->n_present; i++) {
        bool ignored;
        if (count_coverers(s, i, &ignored))
            x->need[i / 64] |= UINT64_C(1) << (i % 64);
        else
            x->unexplained[n++] = x->present[i];
    }
    x->verdict.unexplained = (fen_list){ x->unexplained, n };
}

/* Too many causes for an exact search: the one that explains most, again and again. */
static uint32_t cover_greedily(fen_session *s)
{
    struct fen_scratch *x = s->scratch;
    uint32_t n = 0;
    memcpy(x->have, x->need, x->words * sizeof *x->have);
    while (n < FEN_COVER_MAX) {
        fen_id best = FEN_NONE;
        int most = 0;
        for (uint32_t i = 0; i < x->n_ranking; i++) {
            int gain = 0;
            for (uint32_t w = 0; w < x->words; w++)
                gain += __builtin_popcountll(x->have[w] & x->accounts[(size_t)x->ranking[i] * x->words + w]);
            if (gain > most) {
                most = gain;
                best = x->ranking[i];
            }
        }
        if (best == FEN_NONE)
            break;
        for (uint32_t w = 0; w < x->words; w++)
            x->have[w] &= ~x->accounts[(size_t)best * x->words + w];
        x->best[n++] = best;
    }
    return n;
}

static void sort_by_rank(fen_session *s, fen_id *set, uint32_t n)
{
    for (uint32_t i = 1; i < n; i++)
        for (uint32_t j = i; j && (s->score[set[j]] > s->score[set[j - 1]] ||
                                   (s->score[set[j]] == s->score[set[j - 1]] && set[j] < set[j - 1])); j--) {
            const fen_id swap = set[j];
            set[j] = set[j - 1];
            set[j - 1] = swap;
        }
}

void fen_cover(fen_session *s)
{
    struct fen_scratch *x = s->scratch;
    list_present(s);
    for (fen_id c = 0; c < s->base->n_causes && x->n_present; c++)
        account(s, c);
    list_unexplained(s);
    cover_search k = { .s = s };
    for (k.want = 0; k.want <= FEN_COVER_MAX && !k.n_best && k.work <= FEN_COVER_WORK; k.want++)
        cover_from(&k, 0, x->need, 0);
    x->verdict.covering_exact = k.work <= FEN_COVER_WORK && (k.n_best || k.want <= FEN_COVER_MAX);
    bool any = false;
    for (uint32_t w = 0; w < x->words; w++)
        any |= x->need[w] != 0;
    if (!any)
        x->verdict.covering_exact = true;
    else if (!k.n_best)
        k.n_best = cover_greedily(s);
    sort_by_rank(s, x->best, k.n_best);
    x->verdict.signs = (fen_list){ x->present, x->n_present };
    x->verdict.covering = (fen_list){ x->best, any ? k.n_best : 0 };
}
