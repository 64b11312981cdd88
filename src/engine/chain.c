/* chain.c -- forward chaining, kept up to date answer by answer.
 *
 * One change of an answer touches: the tests that look at it; the condition
 * nodes in which those occur (counters, see model/net.h); the rules whose
 * condition came to hold or ceased to. Rules wait in a queue of their stratum;
 * strata are worked off upward, each in three steps: take back what no longer
 * holds, set again what still has support, fire what now holds. Within a
 * stratum nothing depends on an absence, so each step only takes away or only
 * adds: every rule is touched a bounded number of times per change.
 *
 * A derived value that may support itself (its finding is `looped`) is taken
 * off as soon as any support goes, and a rule of a loop is taken back as soon as
 * any part of its condition goes, though another alternative may still hold: it
 * may hold by the rule's own doing. With all that rests on them they come back
 * in the second and third step if an independent support is left (delete and
 * rederive: Gupta, Mumick and Subrahmanian 1993, SIGMOD). Others count.
 *
 * Undoing a trial is the opposite change: there is no second mechanism.
 */
#include <assert.h>
#include <string.h>

#include "state.h"

static void mark(fen_session *s, uint32_t stratum)
{
    s->pending[stratum / 64] |= UINT64_C(1) << (stratum % 64);
}

static void queue_fire(fen_session *s, fen_id r)
{
    rule_state *x = &s->rule[r];
    if (x->in_fire)
        return;
    const uint32_t stratum = s->base->rules[r].stratum;
    x->in_fire = true;
    x->next_fire = s->fire_head[stratum];
    s->fire_head[stratum] = r;
    mark(s, stratum);
}

static void queue_unfire(fen_session *s, fen_id r)
{
    rule_state *x = &s->rule[r];
    if (x->in_unfire)
        return;
    const uint32_t stratum = s->base->rules[r].stratum;
    x->in_unfire = true;
    x->next_unfire = s->unfire_head[stratum];
    s->unfire_head[stratum] = r;
    mark(s, stratum);
}

/* A part of NODE came to hold. */
static void hold(fen_session *s, uint32_t node)
{
    const uint32_t n_rules = s->base->net.n_rules;
    while (node >= n_rules) {
        if (--s->left[node - n_rules] != 0)
            return;
        node = s->base->net.parent[node - n_rules];
    }
    if (--s->rule[node].left == 0 && !s->rule[node].fired)
        queue_fire(s, node);
}

static void shake(fen_session *s, fen_id r)
{
    if (s->rule[r].loops && s->rule[r].fired) {
        s->rule[r].shaken = true;
        queue_unfire(s, r);
    }
}

/* A part of NODE ceased to hold. */
static void release(fen_session *s, uint32_t node)
{
    const uint32_t n_rules = s->base->net.n_rules;
    shake(s, node < n_rules ? node : s->base->net.root[node - n_rules]);
    while (node >= n_rules) {
        if (s->left[node - n_rules]++ != 0)
            return;
        node = s->base->net.parent[node - n_rules];
    }
    if (s->rule[node].left++ == 0 && s->rule[node].fired)
        queue_unfire(s, node);
}

static void hold_literal(fen_session *s, uint32_t literal)
{
    const fen_net *net = &s->base->net;
    for (uint32_t i = net->occ_at[literal]; i < net->occ_at[literal + 1]; i++)
        hold(s, net->occ[i]);
}

static void release_literal(fen_session *s, uint32_t literal)
{
    const fen_net *net = &s->base->net;
    for (uint32_t i = net->occ_at[literal]; i < net->occ_at[literal + 1]; i++)
        release(s, net->occ[i]);
}

static void set_truth(fen_session *s, fen_id test, fen_truth now)
{
    const fen_truth was = s->truth[test];
    if (was == now)
        return;
    s->truth[test] = now;
    if (was)
        release_literal(s, 2 * test + (was < 0));
    if (now)
        hold_literal(s, 2 * test + (now < 0));
}

static void queue_settle(fen_session *s, fen_id finding)
{
    if (s->in_settle[finding])
        return;
    const uint32_t stratum = s->base->net.settle[finding];
    s->in_settle[finding] = true;
    s->settle_next[finding] = s->settle_head[stratum];
    s->settle_head[stratum] = finding;
    mark(s, stratum);
}

/* A derived finding with a default is read only when complete; without one its
 * values are passed on at once. */
static bool passes_at_once(const fen_session *s, fen_id finding)
{
    return s->base->findings[finding].default_option == FEN_NONE;
}

static void switch_on(fen_session *s, fen_id atom)
{
    const fen_id finding = s->base->tests[atom].finding;
    s->on[atom] = true;
    s->n_on[finding]++;
    queue_settle(s, finding);
    if (passes_at_once(s, finding))
        set_truth(s, atom, 1);
}

static void switch_off(fen_session *s, fen_id atom)
{
    const fen_id finding = s->base->tests[atom].finding;
    s->on[atom] = false;
    s->n_on[finding]--;
    queue_settle(s, finding);
    if (passes_at_once(s, finding))
        set_truth(s, atom, 0);
    if (s->support[atom] && !s->in_again[atom]) {
        s->in_again[atom] = true;
        const uint32_t stratum = s->base->net.settle[finding];
        s->again_next[atom] = s->again_head[stratum];
        s->again_head[stratum] = atom;
    }
}

static void settle(fen_session *s, fen_id finding)
{
    const fen_finding *f = &s->base->findings[finding];
    const bool set = s->n_on[finding] > 0;
    const bool known = set || f->default_option != FEN_NONE;
    for (uint32_t o = 0; o < f->n_options; o++) {
        const bool holds = set ? s->on[f->first_atom + o] : o == f->default_option;
        set_truth(s, f->first_atom + o, holds ? 1 : known ? -1 : 0);
    }
    const fen_net *net = &s->base->net;
    for (uint32_t i = net->reads_at[finding]; i < net->reads_at[finding + 1]; i++) {
        const bool unsure = s->base->tests[net->reads[i]].op == FEN_TEST_UNSURE;
        set_truth(s, net->reads[i], unsure ? (known ? -1 : 0) : known ? -1 : 1);
    }
}

static void touch(fen_session *s, fen_id cause)
{
    if (s->watching && !s->is_touched[cause]) {
        s->is_touched[cause] = true;
        s->touched[s->n_touched++] = cause;
    }
}

static void derive(fen_session *s, fen_id atom)
{
    if (s->support[atom]++ == 0)
        switch_on(s, atom);
}

static void underive(fen_session *s, fen_id atom)
{
    s->support[atom]--;
    if (s->on[atom] && (s->support[atom] == 0 || s->base->net.looped[s->base->tests[atom].finding]))
        switch_off(s, atom);
}

static void fire(fen_session *s, fen_id r)
{
    const fen_rule *rule = &s->base->rules[r];
    s->rule[r].fired = true;
    for (uint32_t i = 0; i < rule->n_effects; i++) {
        const fen_effect *e = &rule->effects[i];
        switch (e->op) {
        case FEN_WEIGH: s->score[e->target] += e->weight; touch(s, e->target); break;
        case FEN_EXCLUDE: s->excluded[e->target]++; touch(s, e->target); break;
        case FEN_RAISE: s->raised[e->target]++; break;
        case FEN_DERIVE: derive(s, e->target); break;
        }
    }
    for (uint32_t i = 0; i < rule->over.count; i++) {
        rule_state *x = &s->rule[rule->over.at[i]];
        if (x->blockers++ == 0 && x->fired)
            queue_unfire(s, rule->over.at[i]);
    }
}

static void unfire(fen_session *s, fen_id r)
{
    const fen_rule *rule = &s->base->rules[r];
    s->rule[r].fired = false;
    for (uint32_t i = 0; i < rule->n_effects; i++) {
        const fen_effect *e = &rule->effects[i];
        switch (e->op) {
        case FEN_WEIGH: s->score[e->target] -= e->weight; touch(s, e->target); break;
        case FEN_EXCLUDE: s->excluded[e->target]--; touch(s, e->target); break;
        case FEN_RAISE: s->raised[e->target]--; break;
        case FEN_DERIVE: underive(s, e->target); break;
        }
    }
    for (uint32_t i = 0; i < rule->over.count; i++) {
        rule_state *x = &s->rule[rule->over.at[i]];
        if (--x->blockers == 0 && x->left <= 0)
            queue_fire(s, rule->over.at[i]);
    }
}

static void take_back(fen_session *s, uint32_t stratum)
{
    while (s->unfire_head[stratum] != FEN_NONE) {
        const fen_id r = s->unfire_head[stratum];
        rule_state *x = &s->rule[r];
        s->unfire_head[stratum] = x->next_unfire;
        x->in_unfire = false;
        const bool stays = x->left <= 0 && !x->blockers;
        if (x->fired && (!stays || x->shaken)) {
            unfire(s, r);
            if (stays)
                queue_fire(s, r);
        }
        x->shaken = false;
    }
}

/* Only when the stratum has taken back all that must go: a loop holds itself up
 * until then. */
static void set_again(fen_session *s, uint32_t stratum)
{
    while (s->again_head[stratum] != FEN_NONE) {
        const fen_id atom = s->again_head[stratum];
        s->again_head[stratum] = s->again_next[atom];
        s->in_again[atom] = false;
        if (s->support[atom] && !s->on[atom])
            switch_on(s, atom);
    }
}

static void fire_all(fen_session *s, uint32_t stratum)
{
    while (s->fire_head[stratum] != FEN_NONE) {
        const fen_id r = s->fire_head[stratum];
        rule_state *x = &s->rule[r];
        s->fire_head[stratum] = x->next_fire;
        x->in_fire = false;
        if (!x->fired && x->left <= 0 && !x->blockers)
            fire(s, r);
    }
}

static void settle_all(fen_session *s, uint32_t stratum)
{
    while (s->settle_head[stratum] != FEN_NONE) {
        const fen_id f = s->settle_head[stratum];
        s->settle_head[stratum] = s->settle_next[f];
        s->in_settle[f] = false;
        settle(s, f);
    }
}

/* Work in a stratum makes work only there and above. */
static void propagate(fen_session *s)
{
    const uint32_t words = (s->base->net.n_strata + 63) / 64;
    for (uint32_t w = 0; w < words; w++)
        while (s->pending[w]) {
            const uint32_t bit = (uint32_t)__builtin_ctzll(s->pending[w]);
            const uint32_t stratum = w * 64 + bit;
            take_back(s, stratum);
            set_again(s, stratum);
            fire_all(s, stratum);
            settle_all(s, stratum);
            assert(s->unfire_head[stratum] == FEN_NONE && s->fire_head[stratum] == FEN_NONE);
            s->pending[w] &= ~(UINT64_C(1) << bit);
        }
}

static void refresh(fen_session *s, fen_id finding)
{
    const fen_finding *f = &s->base->findings[finding];
    const fen_net *net = &s->base->net;
    for (uint32_t o = 0; o < f->n_options; o++)
        set_truth(s, f->first_atom + o, fen_truth_of(s, f->first_atom + o));
    for (uint32_t i = net->reads_at[finding]; i < net->reads_at[finding + 1]; i++)
        set_truth(s, net->reads[i], fen_truth_of(s, net->reads[i]));
}

void fen_chain_answer(fen_session *s, fen_id finding, fen_answer answer)
{
    s->given[finding] = answer;
    refresh(s, finding);
    propagate(s);
}

/* Nodes that need nothing hold from the start; inner ones tell their parent,
 * which was made before them. */
static void hold_empty_nodes(fen_session *s)
{
    const fen_net *net = &s->base->net;
    for (uint32_t i = net->n_nodes; i-- > net->n_rules;)
        if (net->need[i] == 0)
            hold(s, net->parent[i - net->n_rules]);
    for (fen_id r = 0; r < net->n_rules; r++)
        if (s->rule[r].left <= 0 && !s->rule[r].fired)
            queue_fire(s, r);
}

void fen_chain_start(fen_session *s)
{
    const fen_net *net = &s->base->net;
    for (fen_id r = 0; r < net->n_rules; r++) {
        s->rule[r].left = net->need[r];
        s->rule[r].loops = net->loops[r];
    }
    for (uint32_t i = net->n_rules; i < net->n_nodes; i++)
        s->left[i - net->n_rules] = net->need[i];
    memset(s->fire_head, 0xff, net->n_strata * sizeof *s->fire_head);
    memset(s->unfire_head, 0xff, net->n_strata * sizeof *s->unfire_head);
    memset(s->settle_head, 0xff, net->n_strata * sizeof *s->settle_head);
    memset(s->again_head, 0xff, net->n_strata * sizeof *s->again_head);
    for (fen_id c = 0; c < s->base->n_causes; c++)
        s->score[c] = s->base->causes[c].prior;
    hold_empty_nodes(s);
    for (fen_id f = 0; f < s->base->n_findings; f++) {
        if (s->base->findings[f].derived)
            queue_settle(s, f);
        else
            refresh(s, f);
    }
    propagate(s);
}

void fen_watch_begin(fen_session *s)
{
    assert(!s->watching && !s->n_touched);
    s->watching = true;
}

void fen_watch_end(fen_session *s)
{
    for (uint32_t i = 0; i < s->n_touched; i++)
        s->is_touched[s->touched[i]] = false;
    s->n_touched = 0;
    s->watching = false;
}
