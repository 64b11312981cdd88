/* peek.c -- what answers would do to the causes, read off the counters.
 *
 * To chain an answer and to take it back touches everything twice. Most rules
 * only weigh, and whether such a rule would fire can be told without chaining:
 * the literals that would come to hold are counted down (those that would cease
 * to, up), the rules whose count comes to nothing are noted with their weights,
 * and the counts are put back.
 *
 * What fires sets derived values, and so may reach more; a finding that rules wait for is
 * settled in its turn, before any rule that waits for it.
 *
 * Where more could follow than can be told so (a derived value would go, a value may hold
 * itself up), the answers are tried by chaining instead. Which of the two it is, is a matter of
 * the state alone; both tell the same shifts.
 */
#include <assert.h>

#include "scratch.h"

typedef struct peek {
    fen_session *s;
    const fen_id *asked; /* the findings answered, and how many of them were looked at */
    uint32_t n_asked;
    bool beyond;   /* more would follow than can be told here */
    bool lasts;    /* no cause is let in: that depends on who else excludes it */
    uint32_t n_held, n_reached;
    uint32_t n_due; /* findings to be settled */
    fen_id due[FEN_PEEK_DUE];
} peek;

/* -- counting --------------------------------------------------------------- */

#define UP (UINT32_C(1) << 31) /* a node was counted up, not down */

static bool note(peek *k, uint32_t node)
{
    k->beyond |= k->n_held == FEN_PEEK_MAX;
    if (!k->beyond)
        k->s->scratch->held[k->n_held++] = node;
    return !k->beyond;
}

/* What NODE's rule does is to be looked at in its turn. */
static void reach(peek *k, fen_id r)
{
    k->beyond |= k->n_reached == FEN_PEEK_MAX;
    if (!k->beyond)
        k->s->scratch->reached[k->n_reached++] = r;
}

/* A part of NODE would come to hold. */
static void count_down(peek *k, uint32_t node)
{
    const fen_net *net = &k->s->base->net;
    while (note(k, node) && --k->s->left[node] == 0) {
        if (node < net->n_rules) {
            reach(k, node);
            return;
        }
        node = net->parent[node - net->n_rules];
    }
}

/* A part of NODE would cease to hold. A rule that may hold itself up is beyond us. */
static void count_up(peek *k, uint32_t node)
{
    const fen_net *net = &k->s->base->net;
    const rule_state *r = &k->s->rule[node < net->n_rules ? node : net->root[node - net->n_rules]];
    k->beyond |= r->loops && r->fired;
    while (note(k, node | UP) && k->s->left[node]++ == 0) {
        if (node < net->n_rules) {
            reach(k, node);
            return;
        }
        node = net->parent[node - net->n_rules];
    }
}

static void put_back(peek *k)
{
    while (k->n_held) {
        const uint32_t node = k->s->scratch->held[--k->n_held];
        k->s->left[node & ~UP] += node & UP ? -1 : 1;
    }
}

static bool is_read(const fen_view *v, fen_id test)
{
    return v->occ_at[2 * test] < v->occ_at[2 * test + 2];
}

/* TEST would be NOW. */
static void look_at(peek *k, fen_id test, fen_truth now)
{
    const fen_view *v = k->s->view;
    const fen_truth was = k->s->truth[test];
    if (now == was)
        return;
    if (was) {
        const uint32_t ceases = 2 * test + (was < 0);
        for (uint32_t i = v->occ_at[ceases]; i < v->occ_at[ceases + 1]; i++)
            count_up(k, v->occ[i]);
    }
    if (!now)
        return;
    const uint32_t holds = 2 * test + (now < 0);
    for (uint32_t i = v->occ_at[holds]; i < v->occ_at[holds + 1]; i++)
        count_down(k, v->occ[i]);
}

/* A sum of several findings that are answered is looked at with the first of them. */
static bool was_counted(const peek *k, const fen_test *t)
{
    const fen_list of = t->op == FEN_TEST_EXPR ? k->s->base->exprs[t->expr].findings : (fen_list){ NULL, 0 };
    for (uint32_t i = 0; i < of.count; i++)
        for (uint32_t j = 0; j < k->n_asked; j++)
            if (of.at[i] == k->asked[j])
                return true;
    return false;
}

/* All answers looked at together are in s->given. */
static void look_at_finding(peek *k, fen_id finding)
{
    const fen_session *s = k->s;
    const fen_net *net = &s->base->net;
    const fen_finding *f = &s->base->findings[finding];
    const fen_answer *a = &s->given[finding];
    assert(a->state == FEN_KNOWN);
    /* another kind: the counts of rules outside the view are not kept */
    k->beyond |= finding == FEN_KIND_FINDING && s->view != &net->whole;
    for (uint32_t o = 0; o < f->n_options && !k->beyond; o++) {
        const fen_id atom = f->first_atom + o;
        if (is_read(s->view, atom))
            look_at(k, atom, finding == FEN_KIND_FINDING ? fen_truth_of(s, atom) : a->picks >> o & 1 ? 1 : -1);
    }
    for (uint32_t i = net->reads_at[finding]; i < net->reads_at[finding + 1] && !k->beyond; i++) {
        const fen_id test = net->reads[i];
        if (is_read(s->view, test) && !was_counted(k, &s->base->tests[test]))
            look_at(k, test, fen_truth_of(s, test));
    }
}

/* -- firing ----------------------------------------------------------------- */

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
    for (uint32_t i = 0; i < rule->over.count; i++)
        if (k->s->rule[rule->over.at[i]].blockers++ == 0)
            reach(k, rule->over.at[i]);
}

/* It would not any more. */
static void let_go(peek *k, const fen_rule *rule)
{
    for (uint32_t i = 0; i < rule->over.count; i++)
        if (--k->s->rule[rule->over.at[i]].blockers == 0)
            reach(k, rule->over.at[i]);
}

static void wait_to_settle(peek *k, fen_id finding)
{
    for (uint32_t i = 0; i < k->n_due; i++)
        if (k->due[i] == finding)
            return;
    k->beyond |= k->n_due == FEN_PEEK_DUE || k->s->base->net.looped[finding];
    if (!k->beyond)
        k->due[k->n_due++] = finding;
}

/* A value comes to be set: it is passed on at once, unless the finding has a default. */
static void switch_on(peek *k, fen_id atom)
{
    const fen_net *net = &k->s->base->net;
    const atom_state *a = &k->s->atom[atom];
    for (uint32_t j = a->occ; j < a->occ_end && a->plain; j++)
        count_down(k, net->occ[j]);
    if (a->plain)
        return;
    const fen_id finding = k->s->base->tests[atom].finding;
    wait_to_settle(k, finding);
    if (k->s->base->findings[finding].default_option == FEN_NONE)
        look_at(k, atom, 1);
}

static void derive(peek *k, fen_id r)
{
    const fen_net *net = &k->s->base->net;
    for (uint32_t i = net->derives_at[r]; i < net->derives_at[r + 1]; i++)
        if (!k->s->atom[net->derives[i]].support++)
            switch_on(k, net->derives[i]);
}

/* All its values are known by now: which are set, and so that the others are not. */
static void settle(peek *k, fen_id finding)
{
    const fen_session *s = k->s;
    const fen_net *net = &s->base->net;
    const fen_finding *f = &s->base->findings[finding];
    for (fen_id atom = f->first_atom; atom < f->first_atom + f->n_options; atom++)
        if (!s->atom[atom].support)
            look_at(k, atom, -1);
        else if (f->default_option != FEN_NONE) /* else it was passed on at once */
            look_at(k, atom, 1);
    for (uint32_t i = net->reads_at[finding]; i < net->reads_at[finding + 1]; i++)
        look_at(k, net->reads[i], -1);
}

/* Of those due, one that may be settled before rules of STRATUM fire; false: there is none. */
static bool settle_next(peek *k, uint32_t stratum)
{
    const uint32_t *of = k->s->base->net.settle;
    uint32_t first = 0;
    if (!k->n_due)
        return false;
    for (uint32_t i = 1; i < k->n_due; i++)
        if (of[k->due[i]] < of[k->due[first]])
            first = i;
    const fen_id finding = k->due[first];
    if (of[finding] >= stratum)
        return false;
    k->due[first] = k->due[--k->n_due];
    settle(k, finding);
    return true;
}

/* R begins or ceases to fire by the trial: undo what that did, but for the counts. */
static void take_back(fen_session *s, fen_id r)
{
    const fen_net *net = &s->base->net;
    const fen_list over = s->base->rules[r].over;
    const bool fired = s->rule[r].fired;
    for (uint32_t i = net->derives_at[r]; i < net->derives_at[r + 1] && !fired; i++)
        s->atom[net->derives[i]].support--;
    for (uint32_t i = 0; i < over.count; i++)
        s->rule[over.at[i]].blockers += fired ? 1 : UINT32_MAX;
}

/* From AT on, exceptions first: a rule stands in a higher stratum than those that
 * go over it. */
static void put_in_order(peek *k, uint32_t at)
{
    fen_id *r = k->s->scratch->reached;
    const uint16_t *stratum = k->s->base->net.stratum;
    bool matters = false;
    for (uint32_t i = at; i < k->n_reached && !matters; i++)
        matters = k->s->base->rules[r[i]].over.count || k->s->rule[r[i]].n_derives; /* who knows what that reaches */
    for (uint32_t i = at + 1; i < k->n_reached && matters; i++) {
        const fen_id moved = r[i];
        uint32_t j = i;
        for (; j > at && stratum[r[j - 1]] > stratum[moved]; j--)
            r[j] = r[j - 1];
        r[j] = moved;
    }
}

/* Does R, in its turn, begin to fire, or cease to? Once is all that can be told here. */
static bool turn(peek *k, fen_id r)
{
    fen_session *s = k->s;
    struct fen_scratch *x = s->scratch;
    const rule_state *now = &s->rule[r];
    const bool fires = s->left[r] <= 0 && !now->blockers, turned = x->rule_seen[r] == x->stamp;
    if (fires == (now->fired != turned))
        return false;
    k->beyond |= turned || (!fires && now->n_derives);
    if (k->beyond)
        return false;
    x->rule_seen[r] = x->stamp;
    add_effects(x, &s->base->rules[r], fires ? 1 : -1);
    (fires ? beat : let_go)(k, &s->base->rules[r]);
    if (now->n_derives)
        derive(k, r);
    return true;
}

/* From AT on, whatever can be settled before the rule there is; that may reach more. */
static void settle_before(peek *k, uint32_t at)
{
    const struct fen_scratch *x = k->s->scratch;
    const uint32_t n = k->n_reached;
    while (!k->beyond && settle_next(k, at < k->n_reached ? k->s->base->net.stratum[x->reached[at]] : UINT32_MAX))
        if (k->n_reached > n)
            put_in_order(k, at);
}

/* What each of the rules reached does; that may reach more. */
static void turn_reached(peek *k)
{
    struct fen_scratch *x = k->s->scratch;
    uint32_t n_turned = 0;
    fen_new_stamp(k->s);
    put_in_order(k, 0);
    for (uint32_t i = 0; i < k->n_reached && !k->beyond; i++) {
        const uint32_t n = k->n_reached;
        const fen_id r = x->reached[i];
        if (turn(k, r))
            x->reached[n_turned++] = r;
        if (k->n_reached > n)
            put_in_order(k, i + 1);
        if (k->n_due)
            settle_before(k, i + 1);
    }
    while (n_turned)
        take_back(k->s, x->reached[--n_turned]);
}

/* What was hit, as shifts; nothing is left hit. */
static uint32_t take_shifts(peek *k, fen_shift *ret)
{
    fen_session *s = k->s;
    struct fen_scratch *x = s->scratch;
    uint32_t n = 0;
    for (uint32_t i = 0; i < x->n_hit; i++) {
        const fen_id c = x->hit[i];
        n += fen_shift_of(s, c, x->change[c], x->change_out[c], &ret[n]);
        k->lasts &= x->change_out[c] >= 0;
        x->change[c] = 0;
        x->change_out[c] = 0;
        x->is_hit[c] = false;
    }
    x->n_hit = 0;
    return n;
}

static bool read_off(peek *k, uint32_t n, fen_shift *ret, uint32_t *ret_n)
{
    for (; k->n_asked < n && !k->beyond; k->n_asked++)
        look_at_finding(k, k->asked[k->n_asked]);
    if (!k->beyond)
        turn_reached(k);
    put_back(k);
    *ret_n = take_shifts(k, ret);
    return !k->beyond;
}

/* Whether a cause is let in depends on who else excludes it. */
static bool some_let_in(const fen_session *s)
{
    const struct fen_scratch *x = s->scratch;
    for (uint32_t i = 0; i < s->n_touched; i++)
        if (x->applies[s->touched[i]] && s->excluded[s->touched[i]] < x->excluded0[s->touched[i]])
            return true;
    return false;
}

static uint32_t chain(fen_session *s, const fen_id *finding, const fen_answer *answer, const fen_answer *kept, uint32_t n, fen_shift *ret, bool *ret_lasts)
{
    fen_watch_begin(s);
    for (uint32_t i = 0; i < n; i++)
        fen_chain_answer(s, finding[i], answer[i]);
    const uint32_t n_shifts = fen_shifts_touched(s, ret);
    if (some_let_in(s))
        *ret_lasts = false;
    for (uint32_t i = n; i-- > 0;)
        fen_chain_answer(s, finding[i], kept[i]);
    fen_watch_end(s);
    return n_shifts;
}

uint32_t fen_peek(fen_session *s, const fen_id *finding, const fen_answer *answer, uint32_t n, fen_shift *ret, bool *ret_lasts)
{
    fen_answer kept[FEN_PLAN_MAX];
    uint32_t n_shifts;
    peek k = { .s = s, .asked = finding, .lasts = true };
    assert(n <= FEN_PLAN_MAX && s->scratch->weighed);
    for (uint32_t i = 0; i < n; i++) {
        kept[i] = s->given[finding[i]];
        s->given[finding[i]] = answer[i];
    }
    const bool told = read_off(&k, n, ret, &n_shifts);
    for (uint32_t i = n; i-- > 0;)
        s->given[finding[i]] = kept[i];
    s->scratch->n_peeked += told;
    s->scratch->n_tried += !told;
    if (told && !k.lasts)
        *ret_lasts = false;
    return told ? n_shifts : chain(s, finding, answer, kept, n, ret, ret_lasts);
}
