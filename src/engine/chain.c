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
    const uint32_t stratum = s->base->net.stratum[r];
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
    const uint32_t stratum = s->base->net.stratum[r];
    x->in_unfire = true;
    x->next_unfire = s->unfire_head[stratum];
    s->unfire_head[stratum] = r;
    mark(s, stratum);
}

/* A rule's condition came to hold. In the stratum at work it joins the line
 * without its state being looked at: that is fetched while others fire. */
static void ready(fen_session *s, fen_id r)
{
    if (s->base->net.stratum[r] == s->firing)
        s->ready[s->n_ready++] = r; /* within a stratum a condition comes to hold once */
    else if (!s->rule[r].fired)
        queue_fire(s, r);
}

/* All parts of NODE have come to hold. */
static void hold_whole(fen_session *s, uint32_t node)
{
    const uint32_t n_rules = s->base->net.n_rules;
    do {
        if (node < n_rules) {
            ready(s, node);
            return;
        }
        node = s->base->net.parent[node - n_rules];
    } while (--s->left[node] == 0);
}

/* A part of NODE came to hold; seldom the last one. */
static inline void hold(fen_session *s, uint32_t node)
{
    if (--s->left[node] == 0)
        hold_whole(s, node);
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
    while (s->left[node]++ == 0) {
        if (node < n_rules) {
            if (s->rule[node].fired)
                queue_unfire(s, node);
            return;
        }
        node = s->base->net.parent[node - n_rules];
    }
}

static void release_literal(fen_session *s, uint32_t literal)
{
    const fen_view *v = s->view;
    for (uint32_t i = v->occ_at[literal]; i < v->occ_at[literal + 1]; i++)
        release(s, v->occ[i]);
}

static inline void hold_literal(fen_session *s, uint32_t literal)
{
    const fen_view *v = s->view;
    const uint32_t end = v->occ_at[literal + 1];
    for (uint32_t i = v->occ_at[literal]; i < end; i++)
        hold(s, v->occ[i]);
}

/* Mostly it was open, and nobody hears that it is false. */
static inline void set_truth(fen_session *s, fen_id test, fen_truth now)
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
    atom_state *a = &s->atom[atom];
    a->on = true;
    if (a->plain) {
        for (uint32_t i = a->occ; i < a->occ_end; i++)
            hold(s, s->base->net.occ[i]);
        return;
    }
    const fen_id finding = s->base->tests[atom].finding;
    queue_settle(s, finding);
    if (passes_at_once(s, finding))
        set_truth(s, atom, 1);
}

static void switch_off(fen_session *s, fen_id atom)
{
    atom_state *a = &s->atom[atom];
    const fen_id finding = s->base->tests[atom].finding;
    a->on = false;
    if (a->plain)
        for (uint32_t i = a->occ; i < a->occ_end; i++)
            release(s, s->base->net.occ[i]);
    else
        queue_settle(s, finding);
    if (!a->plain && passes_at_once(s, finding))
        set_truth(s, atom, 0);
    if (a->support && !a->in_again) {
        const uint32_t stratum = s->base->net.settle[finding];
        a->in_again = true;
        s->again_next[atom] = s->again_head[stratum];
        s->again_head[stratum] = atom;
        mark(s, stratum);
    }
}

static void settle(fen_session *s, fen_id finding)
{
    const fen_finding *f = &s->base->findings[finding];
    const bool set = fen_values_on(s, finding) > 0;
    const bool known = set || f->default_option != FEN_NONE;
    for (uint32_t o = 0; o < f->n_options; o++) {
        const bool holds = set ? s->atom[f->first_atom + o].on : o == f->default_option;
        set_truth(s, f->first_atom + o, holds ? 1 : known ? -1 : 0);
    }
    const fen_net *net = &s->base->net;
    for (uint32_t i = net->reads_at[finding]; i < net->reads_at[finding + 1]; i++) {
        const bool unsure = s->base->tests[net->reads[i]].op == FEN_TEST_UNSURE;
        set_truth(s, net->reads[i], known ? -1 : unsure ? 0 : 1);
    }
}

static void touch(fen_session *s, fen_id cause)
{
    if (!s->is_touched[cause]) {
        s->is_touched[cause] = true;
        s->touched[s->n_touched++] = cause;
    }
}

static void derive(fen_session *s, fen_id atom)
{
    if (s->atom[atom].support++ == 0)
        switch_on(s, atom);
}

static void underive(fen_session *s, fen_id atom)
{
    atom_state *a = &s->atom[atom];
    a->support--;
    if (a->on && (a->support == 0 || a->looped))
        switch_off(s, atom);
}

/* For fetching ahead: some atom that R sets, or any. */
static fen_id first_atom(const fen_session *s, fen_id r)
{
    return s->rule[r].n_derives == 1 ? s->rule[r].derives : 0;
}

static void derive_all(fen_session *s, fen_id r, bool on)
{
    const fen_net *net = &s->base->net;
    const rule_state *x = &s->rule[r];
    if (!x->n_derives)
        return;
    if (x->n_derives == 1) {
        (on ? derive : underive)(s, x->derives);
        return;
    }
    const uint32_t end = x->n_derives == UINT16_MAX ? net->derives_at[r + 1] : x->derives + x->n_derives;
    for (uint32_t i = x->derives; i < end; i++)
        if (on)
            derive(s, net->derives[i]);
        else
            underive(s, net->derives[i]);
}

/* Weights, exclusions and hazards: added with SIGN 1, taken away with -1. */
static void apply_others(fen_session *s, fen_id r, int sign)
{
    const uint32_t *at = s->base->net.does_at + 3 * (size_t)r;
    const fen_effect *does = s->base->net.does;
    for (uint32_t i = at[0]; i < at[1]; i++)
        s->score[does[i].target] += sign * does[i].weight;
    for (uint32_t i = at[1]; i < at[2]; i++)
        s->excluded[does[i].target] += (uint32_t)sign;
    for (uint32_t i = at[2]; i < at[3]; i++)
        s->raised[does[i].target] += (uint32_t)sign;
    for (uint32_t i = at[0]; s->watching && i < at[2]; i++)
        touch(s, does[i].target);
}

static void log_rule(fen_session *s, fen_id r)
{
    if (s->rule[r].logged)
        return;
    s->rule[r].logged = true;
    s->log[s->n_log++] = r;
}

/* Few do, and the others need not be looked up. */
static fen_list goes_over(const fen_session *s, fen_id r)
{
    return s->rule[r].goes_over ? s->base->rules[r].over : (fen_list){ 0 };
}

static void fire(fen_session *s, fen_id r)
{
    s->rule[r].fired = true;
    log_rule(s, r);
    derive_all(s, r, true);
    if (s->rule[r].only_derives)
        return;
    apply_others(s, r, 1);
    const fen_list over = goes_over(s, r);
    for (uint32_t i = 0; i < over.count; i++) {
        rule_state *x = &s->rule[over.at[i]];
        if (x->blockers++ == 0 && x->fired)
            queue_unfire(s, over.at[i]);
    }
}

static void unfire(fen_session *s, fen_id r)
{
    s->rule[r].fired = false;
    log_rule(s, r);
    derive_all(s, r, false);
    if (s->rule[r].only_derives)
        return;
    apply_others(s, r, -1);
    const fen_list over = goes_over(s, r);
    for (uint32_t i = 0; i < over.count; i++) {
        rule_state *x = &s->rule[over.at[i]];
        if (--x->blockers == 0 && s->left[over.at[i]] <= 0)
            queue_fire(s, over.at[i]);
    }
}

static void take_back(fen_session *s, uint32_t stratum)
{
    while (s->unfire_head[stratum] != FEN_NONE) {
        const fen_id r = s->unfire_head[stratum];
        rule_state *x = &s->rule[r];
        s->unfire_head[stratum] = x->next_unfire;
        x->in_unfire = false;
        const bool stays = s->left[r] <= 0 && !x->blockers;
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
        s->atom[atom].in_again = false;
        if (s->atom[atom].support && !s->atom[atom].on)
            switch_on(s, atom);
    }
}

/* What will be needed soon is asked of memory now: the rule, then what it sets,
 * then who reads that. */
static void fetch_ahead(const fen_session *s, uint32_t at)
{
#if defined(__GNUC__)
    if (at + 12 < s->n_ready)
        __builtin_prefetch(&s->rule[s->ready[at + 12]], 1);
    if (at + 6 < s->n_ready)
        __builtin_prefetch(&s->atom[first_atom(s, s->ready[at + 6])], 1);
    if (at + 3 < s->n_ready)
        __builtin_prefetch(&s->base->net.occ[s->atom[first_atom(s, s->ready[at + 3])].occ]);
#else
    (void)s;
    (void)at;
#endif
}

static void fire_all(fen_session *s, uint32_t stratum)
{
    s->firing = stratum;
    s->n_ready = 0;
    for (fen_id r = s->fire_head[stratum]; r != FEN_NONE; r = s->rule[r].next_fire) {
        s->rule[r].in_fire = false;
        if (s->left[r] <= 0) /* else it joins when it comes to hold: never twice */
            s->ready[s->n_ready++] = r;
    }
    s->fire_head[stratum] = FEN_NONE;
    for (uint32_t i = 0; i < s->n_ready; i++) {
        const fen_id r = s->ready[i];
        fetch_ahead(s, i);
        if (!s->rule[r].fired && s->left[r] <= 0 && !s->rule[r].blockers)
            fire(s, r);
    }
    s->firing = FEN_NONE;
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
    const fen_answer *a = &s->given[finding];
    const fen_options now = fen_options_now(s, finding);
    for (uint32_t o = 0; o < f->n_options; o++)
        set_truth(s, f->first_atom + o, fen_option_truth(now, o));
    const int known = a->state == FEN_KNOWN;
    const double value = f->type == FEN_DATE ? s->today - a->value : a->value;
    for (uint32_t i = net->reads_at[finding]; i < net->reads_at[finding + 1]; i++) {
        const fen_stretch *x = &net->stretches[i];
        const int within = (value >= x->from) & (value <= x->to); /* without a branch: it cannot be foreseen */
        set_truth(s, x->test, x->ranged ? (fen_truth)(known * (2 * within - 1)) : fen_truth_of(s, x->test));
    }
}

/* What the tests see, but not yet what follows from it. */
static void put_answer(fen_session *s, fen_id finding, fen_answer answer)
{
    if (finding != FEN_KIND_FINDING)
        s->n_given += (answer.state != FEN_OPEN) - (uint32_t)(s->given[finding].state != FEN_OPEN);
    s->given[finding] = answer;
    refresh(s, finding);
}

static void set_answer(fen_session *s, fen_id finding, fen_answer answer)
{
    put_answer(s, finding, answer);
    propagate(s);
}

/* Under another view other rules hear of the answers: all are taken back before,
 * and given again after. */
static void change_kind(fen_session *s, fen_answer answer)
{
    const fen_list asked = s->base->net.whole.findings;
    const uint32_t n_given = s->n_given;
    for (uint32_t i = 0; n_given && i < asked.count; i++) {
        const fen_id f = asked.at[i];
        s->set_by[f] = s->given[f];
        if (s->given[f].state != FEN_OPEN)
            set_answer(s, f, (fen_answer){ 0 });
    }
    s->view = fen_view_of(s->base, &answer);
    set_answer(s, FEN_KIND_FINDING, answer);
    for (uint32_t i = 0; n_given && i < asked.count; i++)
        if (s->set_by[asked.at[i]].state != FEN_OPEN)
            set_answer(s, asked.at[i], s->set_by[asked.at[i]]);
}

void fen_chain_answer(fen_session *s, fen_id finding, fen_answer answer)
{
    if (finding == FEN_KIND_FINDING && fen_view_of(s->base, &answer) != s->view)
        change_kind(s, answer);
    else
        set_answer(s, finding, answer);
}

void fen_chain_answer_all(fen_session *s, const fen_given *given, size_t n)
{
    for (size_t i = 0; i < n; i++)
        if (given[i].finding == FEN_KIND_FINDING)
            fen_chain_answer(s, FEN_KIND_FINDING, given[i].answer);
        else
            put_answer(s, given[i].finding, given[i].answer);
    propagate(s);
}

/* -- setting back --------------------------------------------------------------- */

/* Of rules and derived values only those are other than fresh that are in the log, that it sets, and that it goes over. */
void fen_chain_set_back(fen_session *s)
{
    const fen_net *net = &s->base->net;
    const rule_state *rule = (const rule_state *)(const void *)(s->fresh + s->plain_size);
    const atom_state *atom = (const atom_state *)(const void *)(s->fresh + ((const unsigned char *)s->atom - (const unsigned char *)s->given));
    memcpy(s->given, s->fresh, s->plain_size);
    for (uint32_t i = 0; i < s->n_log; i++) {
        const fen_id r = s->log[i];
        const fen_list over = goes_over(s, r);
        s->rule[r] = rule[r];
        for (uint32_t k = net->derives_at[r]; k < net->derives_at[r + 1]; k++)
            s->atom[net->derives[k]] = atom[net->derives[k]];
        for (uint32_t k = 0; k < over.count; k++)
            s->rule[over.at[k]] = rule[over.at[k]];
    }
    s->n_log = s->n_log_fresh;
    s->n_given = 0;
    s->view = fen_view_of(s->base, &s->given[FEN_KIND_FINDING]);
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
        if (s->left[r] <= 0 && !s->rule[r].fired)
            queue_fire(s, r);
}

static rule_state fresh_rule(const fen_base *base, fen_id r)
{
    const fen_net *net = &base->net;
    const uint32_t n = net->derives_at[r + 1] - net->derives_at[r];
    return (rule_state){
        .derives = n == 1 ? net->derives[net->derives_at[r]] : net->derives_at[r],
        .n_derives = n < UINT16_MAX ? (uint16_t)n : UINT16_MAX, .loops = net->loops[r],
        .only_derives = n == base->rules[r].n_effects && !base->rules[r].over.count, .goes_over = base->rules[r].over.count > 0,
    };
}

static atom_state fresh_atom(const fen_base *base, fen_id finding, uint32_t option)
{
    const fen_net *net = &base->net;
    const fen_id atom = base->findings[finding].first_atom + option;
    return (atom_state){
        .occ = net->occ_at[2 * atom], .occ_end = net->occ_at[2 * atom + 1], .looped = net->looped[finding],
        .plain = base->findings[finding].derived && !net->settles[finding],
    };
}

void fen_chain_start(fen_session *s)
{
    const fen_net *net = &s->base->net;
    s->view = &net->whole;
    for (fen_id r = 0; r < net->n_rules; r++)
        s->rule[r] = fresh_rule(s->base, r);
    for (fen_id f = 0; f < s->base->n_findings; f++)
        for (uint32_t o = 0; o < s->base->findings[f].n_options; o++)
            s->atom[s->base->findings[f].first_atom + o] = fresh_atom(s->base, f, o);
    memcpy(s->left, net->need, net->n_nodes * sizeof *s->left);
    memset(s->fire_head, 0xff, net->n_strata * sizeof *s->fire_head);
    memset(s->unfire_head, 0xff, net->n_strata * sizeof *s->unfire_head);
    memset(s->settle_head, 0xff, net->n_strata * sizeof *s->settle_head);
    s->firing = FEN_NONE;
    memset(s->again_head, 0xff, net->n_strata * sizeof *s->again_head);
    for (fen_id c = 0; c < s->base->n_causes; c++)
        s->score[c] = s->base->causes[c].prior;
    hold_empty_nodes(s);
    for (fen_id f = 0; f < s->base->n_findings; f++) {
        if (!s->base->findings[f].derived)
            refresh(s, f);
        else if (net->settles[f])
            queue_settle(s, f);
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
