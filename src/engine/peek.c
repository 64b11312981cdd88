/* peek.c -- what answers would do to the causes, read off the counters.
 *
 * To chain an answer and to take it back touches everything twice. Most rules
 * only weigh, and whether such a rule would fire can be told without chaining:
 * the literals that would come to hold are counted down, the rules whose count
 * reaches nothing are noted with their weights, and the counts are put back.
 *
 * That is all there is to it as long as nothing can follow from those rules and
 * nothing ceases to hold. Where a rule would derive a finding, where a test that
 * holds now would not, or where an exception would be beaten itself, the answers
 * are tried by chaining. Which of the two it is, is a matter of the state alone;
 * both tell the same shifts.
 */
#include <assert.h>

#include "scratch.h"

typedef struct peek {
    fen_session *s;
    bool several;       /* answers at once */
    bool beyond;        /* more would follow than can be told here */
    uint32_t n_held, n_reached;
} peek;

/* A part of NODE would come to hold. */
static void count_down(peek *k, uint32_t node)
{
    struct fen_scratch *x = k->s->scratch;
    const fen_net *net = &k->s->base->net;
    for (;;) {
        if (k->n_held == FEN_PEEK_MAX) {
            k->beyond = true;
            return;
        }
        x->held[k->n_held++] = node;
        if (--k->s->left[node])
            return;
        if (node < net->n_rules) {
            x->reached[k->n_reached++] = node;
            return;
        }
        node = net->parent[node - net->n_rules];
    }
}

static void put_back(peek *k)
{
    while (k->n_held)
        k->s->left[k->s->scratch->held[--k->n_held]]++;
}

static bool is_read(const fen_net *net, fen_id test)
{
    return net->occ_at[2 * test] < net->occ_at[2 * test + 2];
}

/* The literal would cease to hold. That may undo rules, unless they are about
 * other kinds of plants. */
static void release(peek *k, uint32_t literal)
{
    const fen_net *net = &k->s->base->net;
    for (uint32_t i = net->occ_at[literal]; i < net->occ_at[literal + 1] && !k->beyond; i++) {
        const uint32_t node = net->occ[i];
        const fen_id r = node < net->n_rules ? node : net->root[node - net->n_rules];
        k->beyond = fen_truth_of_kinds(k->s, k->s->base->rules[r].kinds) >= 0;
    }
}

/* TEST would be NOW. */
static void look_at(peek *k, fen_id test, fen_truth now)
{
    const fen_net *net = &k->s->base->net;
    const fen_truth was = k->s->truth[test];
    if (now == was)
        return;
    if (was)
        release(k, 2 * test + (was < 0));
    if (!now)
        return;
    const uint32_t holds = 2 * test + (now < 0);
    for (uint32_t i = net->occ_at[holds]; i < net->occ_at[holds + 1]; i++)
        count_down(k, net->occ[i]);
}

/* All answers looked at together are in s->given. */
static void look_at_finding(peek *k, fen_id finding)
{
    const fen_session *s = k->s;
    const fen_net *net = &s->base->net;
    const fen_finding *f = &s->base->findings[finding];
    const fen_answer *a = &s->given[finding];
    assert(a->state == FEN_KNOWN);
    for (uint32_t o = 0; o < f->n_options && !k->beyond; o++) {
        const fen_id atom = f->first_atom + o;
        if (is_read(net, atom))
            look_at(k, atom, finding == FEN_KIND_FINDING ? fen_truth_of(s, atom) : a->picks >> o & 1 ? 1 : -1);
    }
    for (uint32_t i = net->reads_at[finding]; i < net->reads_at[finding + 1] && !k->beyond; i++) {
        const fen_id test = net->reads[i];
        if (!is_read(net, test))
            continue;
        const fen_truth now = fen_truth_of(s, test);
        /* a sum of two of them would be counted twice */
        k->beyond |= k->several && s->base->tests[test].op == FEN_TEST_EXPR && now != s->truth[test];
        look_at(k, test, now);
    }
}

static void hit(struct fen_scratch *x, fen_id cause)
{
    if (!x->is_hit[cause]) {
        x->is_hit[cause] = true;
        x->hit[x->n_hit++] = cause;
    }
}

static void add_effects(struct fen_scratch *x, const fen_rule *rule, int sign)
{
    for (uint32_t i = 0; i < rule->n_effects; i++) {
        const fen_effect *e = &rule->effects[i];
        if (e->op == FEN_WEIGH)
            x->change[e->target] += sign * e->weight;
        else if (e->op == FEN_EXCLUDE)
            x->change_out[e->target] += sign;
        else
            continue;
        hit(x, e->target);
    }
}

/* RULE would fire: those it goes over would not, or not any more. */
static void beat(peek *k, const fen_rule *rule)
{
    fen_session *s = k->s;
    for (uint32_t i = 0; i < rule->over.count; i++) {
        const fen_id r = rule->over.at[i];
        rule_state *x = &s->rule[r];
        if (x->blockers++ || !x->fired)
            continue;
        k->beyond |= x->n_derives || s->base->rules[r].over.count;
        add_effects(s->scratch, &s->base->rules[r], -1);
    }
}

static void unbeat(fen_session *s, const fen_rule *rule)
{
    for (uint32_t i = 0; i < rule->over.count; i++)
        s->rule[rule->over.at[i]].blockers--;
}

/* Exceptions first: a rule stands in a higher stratum than those that go over it. */
static void sort_reached(peek *k)
{
    fen_id *at = k->s->scratch->reached;
    const uint16_t *stratum = k->s->base->net.stratum;
    for (uint32_t i = 1; i < k->n_reached; i++) {
        const fen_id r = at[i];
        uint32_t j = i;
        for (; j && stratum[at[j - 1]] > stratum[r]; j--)
            at[j] = at[j - 1];
        at[j] = r;
    }
}

static bool may_matter_in_order(const peek *k)
{
    for (uint32_t i = 0; i < k->n_reached; i++)
        if (k->s->base->rules[k->s->scratch->reached[i]].over.count)
            return true;
    return false;
}

/* Of the rules reached, those that nothing beats fire. */
static void fire_reached(peek *k)
{
    fen_session *s = k->s;
    fen_id *at = s->scratch->reached;
    uint32_t n = 0;
    if (may_matter_in_order(k))
        sort_reached(k);
    for (uint32_t i = 0; i < k->n_reached && !k->beyond; i++) {
        const fen_id r = at[i];
        if (s->rule[r].blockers)
            continue;
        k->beyond |= s->rule[r].n_derives > 0;
        add_effects(s->scratch, &s->base->rules[r], 1);
        beat(k, &s->base->rules[r]);
        at[n++] = r;
    }
    while (n)
        unbeat(s, &s->base->rules[at[--n]]);
}

/* What was hit, as shifts; nothing is left hit. */
static uint32_t take_shifts(fen_session *s, fen_shift *ret, bool *ret_lasts)
{
    struct fen_scratch *x = s->scratch;
    uint32_t n = 0;
    for (uint32_t i = 0; i < x->n_hit; i++) {
        const fen_id c = x->hit[i];
        n += fen_shift_of(s, c, x->change[c], x->change_out[c], &ret[n]);
        if (x->change_out[c] < 0)
            *ret_lasts = false; /* whether it is let in depends on who else excludes it */
        x->change[c] = 0;
        x->change_out[c] = 0;
        x->is_hit[c] = false;
    }
    x->n_hit = 0;
    return n;
}

static bool read_off(peek *k, const fen_id *finding, uint32_t n, fen_shift *ret, bool *ret_lasts, uint32_t *ret_n)
{
    for (uint32_t i = 0; i < n && !k->beyond; i++)
        look_at_finding(k, finding[i]);
    if (!k->beyond)
        fire_reached(k);
    put_back(k);
    *ret_n = take_shifts(k->s, ret, ret_lasts);
    return !k->beyond;
}

static uint32_t chain(fen_session *s, const fen_id *finding, const fen_answer *answer, const fen_answer *kept, uint32_t n, fen_shift *ret)
{
    fen_watch_begin(s);
    for (uint32_t i = 0; i < n; i++)
        fen_chain_answer(s, finding[i], answer[i]);
    const uint32_t n_shifts = fen_shifts_touched(s, ret);
    for (uint32_t i = n; i-- > 0;)
        fen_chain_answer(s, finding[i], kept[i]);
    fen_watch_end(s);
    return n_shifts;
}

uint32_t fen_peek(fen_session *s, const fen_id *finding, const fen_answer *answer, uint32_t n, fen_shift *ret, bool *ret_lasts)
{
    fen_answer kept[FEN_PLAN_MAX];
    uint32_t n_shifts;
    peek k = { .s = s, .several = n > 1 };
    assert(n <= FEN_PLAN_MAX && s->scratch->weighed);
    for (uint32_t i = 0; i < n; i++) {
        kept[i] = s->given[finding[i]];
        s->given[finding[i]] = answer[i];
    }
    const bool told = read_off(&k, finding, n, ret, ret_lasts, &n_shifts);
    for (uint32_t i = n; i-- > 0;)
        s->given[finding[i]] = kept[i];
    s->scratch->n_peeked += told;
    s->scratch->n_tried += !told;
    if (told)
        return n_shifts;
    *ret_lasts = false;
    return chain(s, finding, answer, kept, n, ret);
}
