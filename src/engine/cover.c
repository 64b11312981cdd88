/* cover.c -- which causes together account for every sign (parsimonious
 * covering: Peng and Reggia 1990, Abductive Inference Models).
 *
 * The smallest set wins; among sets of one size the most probable. Causes under
 * two in a hundred are used only for signs that no likelier cause accounts for:
 * a set is not better for being small if nobody would believe it.
 */
#include <assert.h>
#include <math.h>
#include <string.h>

#include "scratch.h"

#define BELIEVABLE 0.02

typedef struct sign_walk {
    fen_session *s;
    uint64_t *bits;
    uint32_t n_stack;
} sign_walk;

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
    if (negated || t->op != FEN_TEST_ATOM)
        return;
    const uint32_t sign = s->scratch->sign_at[test];
    if (sign)
        w->bits[(sign - 1) / 64] |= UINT64_C(1) << ((sign - 1) % 64);
    if (!s->base->findings[t->finding].derived || !s->atom[test].on || fen_truth_now(s, test) <= 0)
        return;
    for (uint32_t i = s->base->net.sets_at[test]; i < s->base->net.sets_at[test + 1]; i++)
        push_rule(w, s->base->net.sets[i]);
}

/* The signs that the fired rule R used. */
static void list_used(fen_session *s, fen_id r)
{
    struct fen_scratch *x = s->scratch;
    sign_walk w = { s, x->have, 0 };
    memset(w.bits, 0, x->words_present * sizeof *w.bits);
    fen_new_stamp(s);
    push_rule(&w, r);
    while (w.n_stack)
        fen_cond_walk(s->base, s->base->rules[x->rule_stack[--w.n_stack]].cond, false, use_test, &w);
}

/* They are accounted for by every cause it speaks for. */
static void account(fen_session *s, fen_id r)
{
    struct fen_scratch *x = s->scratch;
    const fen_net *net = &s->base->net;
    list_used(s, r);
    for (uint32_t i = net->explains_at[r]; i < net->explains_at[r + 1]; i++) {
        const fen_id cause = net->explains[i];
        for (uint32_t w = 0; w < x->words_present && !x->out0[cause]; w++)
            x->accounts[(size_t)cause * x->words_present + w] |= x->have[w];
    }
}

static void account_all(fen_session *s)
{
    struct fen_scratch *x = s->scratch;
    const uint32_t *at = s->base->net.explains_at;
    memset(x->accounts, 0, (size_t)s->base->n_causes * x->words_present * sizeof *x->accounts);
    for (uint32_t i = 0; x->n_present && i < s->n_log; i++) /* others have not fired */
        if (s->rule[s->log[i]].fired && at[s->log[i]] < at[s->log[i] + 1])
            account(s, s->log[i]);
}

const uint64_t *fen_accounts_of(fen_session *s, fen_id cause)
{
    (void)fen_session_verdict(s);
    return s->scratch->accounts + (size_t)cause * s->scratch->words_present;
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

/* Who accounts for anything, in order of rank, and how many causes each sign has.
 * Unlikely ones may be in a set for a sign only if they must: then they count. */
static void count_coverers(fen_session *s)
{
    struct fen_scratch *x = s->scratch;
    memset(x->coverers, 0, x->n_present * sizeof *x->coverers);
    x->n_covering = 0;
    for (uint32_t i = 0; i < x->n_ranking; i++) {
        const fen_id c = x->ranking[i];
        const bool likely = x->p[c] >= BELIEVABLE;
        bool any = false;
        for (uint32_t w = 0; w < x->words_present; w++) {
            const uint64_t all = x->accounts[(size_t)c * x->words_present + w];
            any |= all != 0;
            for (uint64_t bits = all; bits; bits &= bits - 1) {
                struct coverers *n = &x->coverers[w * 64 + (uint32_t)__builtin_ctzll(bits)];
                n->all++;
                n->likely += likely;
            }
        }
        if (any)
            x->cover_by[x->n_covering++] = c;
    }
}

/* The open sign with the fewest causes: branching on it keeps the tree narrow. */
static uint32_t hardest(const fen_session *s, const uint64_t *open)
{
    const struct fen_scratch *x = s->scratch;
    uint32_t best = UINT32_MAX, fewest = UINT32_MAX;
    for (uint32_t w = 0; w < x->words_present; w++)
        for (uint64_t bits = open[w]; bits; bits &= bits - 1) {
            const uint32_t i = w * 64 + (uint32_t)__builtin_ctzll(bits);
            const uint32_t n = x->coverers[i].likely ? x->coverers[i].likely : x->coverers[i].all;
            if (n < fewest) {
                fewest = n;
                best = i;
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
    const uint32_t sign = hardest(s, open);
    if (sign == UINT32_MAX) {
        keep_best(k, depth, score);
        return;
    }
    const bool unlikely = !x->coverers[sign].likely;
    uint64_t *left = x->levels + (size_t)depth * x->words;
    for (uint32_t i = 0; i < x->n_covering && depth < k->want; i++) {
        const fen_id c = x->cover_by[i];
        const uint64_t *accounts = x->accounts + (size_t)c * x->words_present;
        if (!has(accounts, sign) || (!unlikely && x->p[c] < BELIEVABLE))
            continue;
        if (++k->work > FEN_COVER_WORK)
            return;
        for (uint32_t w = 0; w < x->words_present; w++)
            left[w] = open[w] & ~accounts[w];
        x->trying[depth] = c;
        cover_from(k, depth + 1, left, score + log_odds(s, c));
    }
}

/* Which of a finding's signs hold, as bits over its options. */
static uint64_t signs_that_hold(const fen_session *s, const fen_signs *of)
{
    uint64_t hold = 0;
    if (!of->derived)
        return fen_options_now(s, of->finding).yes & of->options;
    for (uint64_t set = of->options; set; set &= set - 1)
        if (fen_truth_now(s, of->first_atom + (uint32_t)__builtin_ctzll(set)) > 0)
            hold |= set & -set;
    return hold;
}

static void list_present(fen_session *s)
{
    struct fen_scratch *x = s->scratch;
    const fen_net *net = &s->base->net;
    for (uint32_t i = 0; i < x->n_present; i++)
        x->sign_at[x->present[i]] = 0;
    x->n_present = 0;
    for (uint32_t i = 0; i < net->n_signed; i++)
        for (uint64_t set = signs_that_hold(s, &net->signs[i]); set; set &= set - 1) {
            const fen_id atom = net->signs[i].first_atom + (uint32_t)__builtin_ctzll(set);
            x->present[x->n_present++] = atom;
            x->sign_at[atom] = x->n_present;
        }
    x->words_present = (x->n_present + 63) / 64;
}

static void list_unexplained(fen_session *s)
{
    struct fen_scratch *x = s->scratch;
    uint32_t n = 0;
    memset(x->need, 0, x->words * sizeof *x->need);
    for (uint32_t i = 0; i < x->n_present; i++)
        if (x->coverers[i].all)
            x->need[i / 64] |= UINT64_C(1) << (i % 64);
        else
            x->unexplained[n++] = x->present[i];
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
        for (uint32_t i = 0; i < x->n_covering; i++) {
            int gain = 0;
            for (uint32_t w = 0; w < x->words_present; w++)
                gain += __builtin_popcountll(x->have[w] & x->accounts[(size_t)x->cover_by[i] * x->words_present + w]);
            if (gain > most) {
                most = gain;
                best = x->cover_by[i];
            }
        }
        if (best == FEN_NONE)
            break;
        for (uint32_t w = 0; w < x->words_present; w++)
            x->have[w] &= ~x->accounts[(size_t)best * x->words_present + w];
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
    account_all(s);
    count_coverers(s);
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
