/* doubts.c -- what beside the kind has a part in what a finding's answers do.
 *
 * Rules that look at nothing but the finding and the kind always do the same. Of all
 * others the counters tell: a rule on several findings is *near* while the rest of its
 * condition holds, so that the finding alone decides, and *far* while it does not, so
 * that no answer to the finding can make it fire. An exception is in force against a
 * rule, or is not. So what an outlook was worked out under is a row of bits, and
 * where the bits are the same, the outlook is.
 *
 * A condition in which the finding stands beside others below an `all` within an `any` is
 * left alone: the counter of the rule does not tell which of the two it waits for.
 */
#include "scratch.h"

/* -- shapes ------------------------------------------------------------------- */

typedef struct look {
    const fen_base *base;
    fen_id finding;
    int32_t parts;  /* of the root, with the finding in them */
    bool elsewhere; /* others are tested */
    bool shared;    /* a part holds others as well */
    bool mixed;
} look;

enum { READS_IT = 1, READS_OTHERS = 2 };

static unsigned look_at_test(look *k, fen_id test)
{
    const fen_test *t = &k->base->tests[test];
    if (t->op == FEN_TEST_EXPR) {
        k->mixed = k->elsewhere = true;
        return READS_OTHERS;
    }
    if (t->finding == k->finding)
        return READS_IT;
    if (t->finding == FEN_KIND_FINDING)
        return 0;
    k->elsewhere = true;
    return READS_OTHERS;
}

/* Below the root. What stands in a node of the same operator is part of that node, as
 * the compiled net has it. */
static unsigned look_below(look *k, fen_id cond, bool negated, bool all)
{
    const fen_cond *c = &k->base->conds[cond];
    bool parts_negated;
    const fen_cond_op op = fen_cond_normal(c, negated, &parts_negated);
    if (op == FEN_COND_TEST)
        return look_at_test(k, c->test);
    const bool part_all = c->parts.count == 1 ? all : op == FEN_COND_ALL;
    unsigned reads = 0;
    for (uint32_t i = 0; i < c->parts.count; i++)
        reads |= look_below(k, c->parts.at[i], parts_negated, part_all);
    k->mixed |= part_all && reads == (READS_IT | READS_OTHERS);
    return reads;
}

/* One part of the root, or more if the operator is the root's own. */
static void look_at_part(look *k, fen_id cond, bool negated, bool all)
{
    const fen_cond *c = &k->base->conds[cond];
    bool parts_negated;
    const fen_cond_op op = fen_cond_normal(c, negated, &parts_negated);
    if (op != FEN_COND_TEST && (c->parts.count == 1 || (op == FEN_COND_ALL) == all)) {
        for (uint32_t i = 0; i < c->parts.count; i++)
            look_at_part(k, c->parts.at[i], parts_negated, all);
        return;
    }
    const unsigned reads = look_below(k, cond, negated, all);
    k->parts += (reads & READS_IT) != 0;
    k->shared |= reads == (READS_IT | READS_OTHERS);
}

static look look_at_rule(const fen_base *base, fen_id rule, fen_id finding, doubt_shape *ret_shape)
{
    const fen_rule *r = &base->rules[rule];
    look k = { .base = base, .finding = finding };
    bool all = true, ignored;
    if (r->cond != FEN_NONE && !r->kinds.count)
        all = fen_cond_normal(&base->conds[r->cond], false, &ignored) != FEN_COND_ANY;
    if (r->cond != FEN_NONE)
        look_at_part(&k, r->cond, false, all);
    *ret_shape = k.mixed || (all && k.shared && k.parts > 1) ? FEN_SHAPE_MIXED : !all ? FEN_SHAPE_ANY : k.shared ? FEN_SHAPE_SHARED : FEN_SHAPE_PARTS;
    return k;
}

/* -- listing ------------------------------------------------------------------- */

static void find_beaten(const fen_base *base, struct fen_memory *m)
{
    m->begun = true;
    for (fen_id r = 0; r < base->n_rules; r++)
        for (uint32_t i = 0; i < base->rules[r].over.count; i++)
            m->is_beaten[base->rules[r].over.at[i]] = true;
}

static bool add_doubt(fen_session *s, memory_of *o, doubt d)
{
    struct fen_memory *m = &s->scratch->memory;
    if (m->n_doubts == m->room / FEN_SHIFTS_A_DOUBT)
        return false;
    m->doubts[m->n_doubts++] = d;
    o->n_doubts++;
    return true;
}

/* What could keep R from firing, and what R could keep from it. */
static bool doubt_exceptions(fen_session *s, memory_of *o, fen_id r, fen_id finding, bool under)
{
    const fen_list over = s->base->rules[r].over;
    bool fits = !s->scratch->memory.is_beaten[r] || add_doubt(s, o, (doubt){ .op = FEN_DOUBT_BEATEN, .rule = r, .under = under });
    for (uint32_t i = 0; i < over.count && fits; i++) {
        doubt_shape ignored;
        const bool elsewhere = look_at_rule(s->base, over.at[i], finding, &ignored).elsewhere;
        fits = add_doubt(s, o, (doubt){ .op = elsewhere ? FEN_DOUBT_FIRED : FEN_DOUBT_BEATEN, .rule = over.at[i], .under = under });
    }
    return fits;
}

static bool doubt_rule(fen_session *s, memory_of *o, fen_id r, fen_id finding)
{
    doubt d = { .op = FEN_DOUBT_NEAR, .rule = r, .part = FEN_NONE };
    const look k = look_at_rule(s->base, r, finding, &d.shape);
    if (k.elsewhere && !add_doubt(s, o, d))
        return false;
    return doubt_exceptions(s, o, r, finding, k.elsewhere);
}

/* One part more of the rule's condition that the finding could settle: the root's
 * child in which NODE stands. Those met one after another are told apart. */
static void reach_part(fen_session *s, const memory_of *o, fen_id r, uint32_t node, bool holds)
{
    const fen_net *net = &s->base->net;
    doubt *d = s->scratch->memory.doubts + o->doubt;
    doubt *end = d + o->n_doubts;
    while (d < end && (d->op != FEN_DOUBT_NEAR || d->rule != r))
        d++;
    if (d == end)
        return;
    while (node >= net->n_rules && net->parent[node - net->n_rules] >= net->n_rules)
        node = net->parent[node - net->n_rules];
    if (node < net->n_rules || node != d->part) /* literals of the root itself are parts of their own */
        d->parts++;
    d->holds |= holds;
    d->part = node < net->n_rules ? FEN_NONE : node;
}

/* Every rule that a literal of the finding occurs in. */
static bool doubt_literal(fen_session *s, memory_of *o, uint32_t literal, fen_id finding)
{
    struct fen_scratch *x = s->scratch;
    const fen_net *net = &s->base->net;
    const fen_view *v = s->view;
    const fen_truth now = s->truth[literal / 2];
    const bool holds = literal % 2 ? now < 0 : now > 0;
    for (uint32_t i = v->occ_at[literal]; i < v->occ_at[literal + 1]; i++) {
        const uint32_t node = v->occ[i];
        const fen_id r = node < net->n_rules ? node : net->root[node - net->n_rules];
        if (x->rule_seen[r] != x->stamp && !doubt_rule(s, o, r, finding))
            return false;
        x->rule_seen[r] = x->stamp;
        reach_part(s, o, r, node, holds);
    }
    return true;
}

static bool doubt_test(fen_session *s, memory_of *o, fen_id test, fen_id finding)
{
    return doubt_literal(s, o, 2 * test, finding) && doubt_literal(s, o, 2 * test + 1, finding);
}

/* Where the parts were not told apart rightly, the counter tells nothing. */
static void check_parts(fen_session *s, const memory_of *o, fen_id finding)
{
    doubt *d = s->scratch->memory.doubts + o->doubt;
    for (uint32_t i = 0; i < o->n_doubts; i++, d++) {
        doubt_shape shape;
        if (d->op == FEN_DOUBT_NEAR && (d->holds || look_at_rule(s->base, d->rule, finding, &shape).parts != d->parts))
            d->shape = FEN_SHAPE_MIXED;
    }
}

bool fen_doubts_list(fen_session *s, memory_of *o, fen_id finding)
{
    const fen_net *net = &s->base->net;
    const fen_finding *f = &s->base->findings[finding];
    bool fits = true;
    if (!s->scratch->memory.begun)
        find_beaten(s->base, &s->scratch->memory);
    fen_new_stamp(s);
    o->doubt = s->scratch->memory.n_doubts;
    o->n_doubts = 0;
    for (uint32_t i = 0; i < f->n_options && fits; i++)
        fits = doubt_test(s, o, f->first_atom + i, finding);
    for (uint32_t i = net->reads_at[finding]; i < net->reads_at[finding + 1] && fits; i++)
        fits = doubt_test(s, o, net->reads[i], finding);
    if (fits)
        check_parts(s, o, finding);
    return fits;
}

/* -- settling ------------------------------------------------------------------ */

typedef enum distance { FAR, NEAR, NOT_TOLD } distance;

static distance distance_of(const fen_session *s, const doubt *d)
{
    const int32_t left = s->left[d->rule];
    switch (d->shape) {
    case FEN_SHAPE_PARTS: return left == d->parts ? NEAR : left > 0 && left < d->parts ? NOT_TOLD : FAR;
    case FEN_SHAPE_SHARED: return left == 1 && s->left[d->part] > 0 ? NEAR : FAR;
    case FEN_SHAPE_ANY: return left > 0 ? NEAR : FAR;
    case FEN_SHAPE_MIXED: break;
    }
    return left <= d->parts && (d->holds || left > 0) ? NOT_TOLD : FAR;
}

bool fen_doubts_settle(const fen_session *s, const memory_of *o, uint64_t *ret_bits)
{
    const doubt *d = s->scratch->memory.doubts + o->doubt;
    bool near = false;
    *ret_bits = 0;
    for (uint32_t i = 0; i < o->n_doubts; i++, d++) {
        const rule_state *r = &s->rule[d->rule];
        bool now;
        if (d->op == FEN_DOUBT_NEAR) {
            const distance to = distance_of(s, d);
            if (to == NOT_TOLD)
                return false;
            now = near = to == NEAR;
        } else {
            now = (near || !d->under) && (d->op == FEN_DOUBT_BEATEN ? r->blockers > 0 : r->fired);
        }
        *ret_bits |= (uint64_t)now << (i % 64);
    }
    return o->n_doubts <= 64;
}
