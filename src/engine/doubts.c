/* doubts.c -- what beside the kind has a part in what a finding's answers do.
 *
 * What an answer can do is bounded by who hears of it: the rules that look at the
 * finding; if one of them fires, the rules that it goes over, and those that look at
 * what it derives; and so on. How all these stand before the answer, as far as it can
 * matter, is told here as a row of bits: by how many parts a condition is from holding,
 * whether an exception is in force, whether a derived value is set. Where the rows are
 * the same, the answers do the same.
 *
 * The consequences of a rule stand behind it in the list, to be passed over while it is
 * *far*: while its condition lacks more than the finding could bring about. So the row
 * is short though the list may be long, and no row is the beginning of another.
 *
 * Left alone (FEN_DOUBT_MURKY) are loops, what follows when a rule that does more than
 * weigh is undone, and what is too long to be told.
 */
#include <assert.h>

#include "scratch.h"

#define DEEPEST 6       /* derived findings behind derived findings */
#define MOST_RULES 512u /* of those that may hear of one finding, directly or not */
#define MOST_DOUBTS 400u /* of one finding */
#define MOST_BITS 63u   /* of a row; it begins with a 1 */

enum { HEARD = 1, DIRECTLY = 2 }; /* the latter stand in the list whatever else does */

typedef struct teller { /* of one finding's doubts, while they are listed */
    fen_session *s;
    memory_of *o;
    fen_id finding;
    uint32_t n_heard; /* rules, in scratch->rule_stack */
    uint32_t n_nodes; /* of their conditions, that may change, in scratch->held */
    int depth;
    fen_id path[DEEPEST];
    bool murky;       /* too much for us */
    bool fits;        /* in the memory */
} teller;

static fen_id rule_of(const fen_net *net, uint32_t node)
{
    return node < net->n_rules ? node : net->root[node - net->n_rules];
}

/* -- who hears of it -------------------------------------------------------------- */

static void tell_finding(teller *k, fen_id finding);

static void tell_rule(teller *k, fen_id r, uint8_t how)
{
    struct fen_scratch *x = k->s->scratch;
    const bool is_new = !x->heard[r];
    k->murky |= is_new && k->n_heard == MOST_RULES;
    if (k->murky)
        return;
    x->heard[r] |= how;
    if (is_new)
        x->rule_stack[k->n_heard++] = r;
}

/* A part of NODE may come to hold, or cease to; then so may NODE. */
static void tell_node(teller *k, uint32_t node, bool comes, bool ceases)
{
    struct fen_scratch *x = k->s->scratch;
    const fen_net *net = &k->s->base->net;
    while (comes || ceases) {
        parts_told *p = &x->parts[node];
        const bool is_new = !p->come && !p->cease;
        const bool first_comes = comes && !p->come, first_ceases = ceases && !p->cease;
        k->murky |= (is_new && k->n_nodes == FEN_PEEK_MAX) || p->come == UINT16_MAX || p->cease == UINT16_MAX;
        if (k->murky)
            return;
        if (is_new)
            x->held[k->n_nodes++] = node;
        p->come = (uint16_t)(p->come + comes);
        p->cease = (uint16_t)(p->cease + ceases);
        if (node < net->n_rules)
            return;
        node = net->parent[node - net->n_rules];
        comes = first_comes;
        ceases = first_ceases;
    }
}

static void tell_literal(teller *k, const uint32_t *occ_at, const uint32_t *occ, uint32_t literal, uint8_t how, bool comes, bool ceases)
{
    for (uint32_t i = occ_at[literal]; i < occ_at[literal + 1] && !k->murky; i++) {
        tell_rule(k, rule_of(&k->s->base->net, occ[i]), how);
        tell_node(k, occ[i], comes, ceases);
    }
}

/* Of the finding asked, what holds while it is open may cease to, and the rest come. */
static void tell_asked(teller *k, fen_id test)
{
    const fen_view *v = k->s->view;
    const fen_truth now = k->s->truth[test];
    tell_literal(k, v->occ_at, v->occ, 2 * test, DIRECTLY, now <= 0, now > 0);
    tell_literal(k, v->occ_at, v->occ, 2 * test + 1, DIRECTLY, now >= 0, now < 0);
}

/* Values passed on at once only come: what undoes a rule that derives is left alone. But
 * a value that holds itself up is no support. */
static void tell_derived(teller *k, fen_id test, bool ceases)
{
    const fen_net *net = &k->s->base->net;
    tell_literal(k, net->occ_at, net->occ, 2 * test, HEARD, true, ceases);
    tell_literal(k, net->occ_at, net->occ, 2 * test + 1, HEARD, true, ceases);
}

static void tell_finding(teller *k, fen_id finding)
{
    const fen_net *net = &k->s->base->net;
    const fen_finding *f = &k->s->base->findings[finding];
    const bool ceases = net->settles[finding] || net->looped[finding];
    for (uint32_t i = 0; i < f->n_options && !k->murky; i++)
        if (f->derived)
            tell_derived(k, f->first_atom + i, ceases);
        else
            tell_asked(k, f->first_atom + i);
    for (uint32_t i = net->reads_at[finding]; i < net->reads_at[finding + 1] && !k->murky; i++)
        if (f->derived)
            tell_derived(k, net->reads[i], ceases);
        else
            tell_asked(k, net->reads[i]);
}

static void tell_all(teller *k)
{
    const fen_base *base = k->s->base;
    struct fen_scratch *x = k->s->scratch;
    tell_finding(k, k->finding);
    for (uint32_t i = 0; i < k->n_heard && !k->murky; i++) {
        const fen_id r = x->rule_stack[i];
        for (uint32_t j = base->net.derives_at[r]; j < base->net.derives_at[r + 1] && !k->murky; j++) {
            const fen_id f = base->tests[base->net.derives[j]].finding;
            if (x->is_told[f])
                continue;
            x->is_told[f] = true;
            tell_finding(k, f);
        }
    }
}

static void forget_told(teller *k)
{
    const fen_base *base = k->s->base;
    struct fen_scratch *x = k->s->scratch;
    while (k->n_heard) {
        const fen_id r = x->rule_stack[--k->n_heard];
        x->heard[r] = 0;
        for (uint32_t j = base->net.derives_at[r]; j < base->net.derives_at[r + 1]; j++)
            x->is_told[base->tests[base->net.derives[j]].finding] = false;
    }
    while (k->n_nodes)
        x->parts[x->held[--k->n_nodes]] = (parts_told){ 0 };
}

/* -- listing ---------------------------------------------------------------------- */

typedef struct reading {
    const fen_base *base;
    fen_id finding;
    bool elsewhere;
} reading;

static void read_test(void *ctx, fen_id test, bool negated)
{
    reading *w = ctx;
    const fen_test *t = &w->base->tests[test];
    (void)negated;
    w->elsewhere |= t->op == FEN_TEST_EXPR || (t->finding != w->finding && t->finding != FEN_KIND_FINDING);
}

/* Does the rule look at more than the finding and the kind? */
static bool reads_elsewhere(const fen_base *base, fen_id rule, fen_id finding)
{
    reading w = { base, finding, false };
    fen_cond_walk(base, base->rules[rule].cond, false, read_test, &w);
    return w.elsewhere;
}

/* Its place among those of the finding. */
static uint32_t add(teller *k, doubt d)
{
    struct fen_memory *m = &k->s->scratch->memory;
    k->murky |= k->o->n_doubts == MOST_DOUBTS;
    k->fits &= m->n_doubts < m->max_doubts;
    if (k->murky || !k->fits)
        return 0;
    m->doubts[m->n_doubts++] = d;
    return k->o->n_doubts++;
}

/* What was added since AT ends here; it is passed over when AT says so. */
static void end_of(teller *k, uint32_t at)
{
    if (!k->murky && k->fits)
        k->s->scratch->memory.doubts[k->o->doubt + at].next = k->o->n_doubts;
}

static bool is_grave(const fen_base *base, fen_id r)
{
    return base->rules[r].over.count || base->net.derives_at[r] < base->net.derives_at[r + 1];
}

/* How the condition stands: its root, and what is below it. */
static uint32_t list_parts(teller *k, fen_id r)
{
    const fen_net *net = &k->s->base->net;
    const parts_told *p = k->s->scratch->parts;
    const uint32_t at = add(k, (doubt){ .op = FEN_DOUBT_NEAR, .of = r, .come = p[r].come, .cease = p[r].cease });
    uint32_t low = 0, high = net->n_nodes - net->n_rules; /* inner nodes stand in the order of their rules */
    while (low < high) {
        const uint32_t middle = low + (high - low) / 2;
        if (net->root[middle] < r)
            low = middle + 1;
        else
            high = middle;
    }
    for (uint32_t node = net->n_rules + low; node < net->n_nodes && net->root[node - net->n_rules] == r; node++)
        if (p[node].come || p[node].cease)
            add(k, (doubt){ .op = FEN_DOUBT_PART, .of = node, .come = p[node].come, .cease = p[node].cease });
    return at;
}

static void list_rule(teller *k, fen_id r);

static void list_hearers(teller *k, uint32_t literal)
{
    const fen_net *net = &k->s->base->net;
    for (uint32_t i = net->occ_at[literal]; i < net->occ_at[literal + 1] && !k->murky && k->fits; i++) {
        const fen_id r = rule_of(net, net->occ[i]);
        if (!(k->s->scratch->heard[r] & DIRECTLY))
            list_rule(k, r);
    }
}

/* A value that is set: nothing happens if it was before. */
static void list_derived(teller *k, fen_id atom)
{
    const fen_net *net = &k->s->base->net;
    const fen_id finding = k->s->base->tests[atom].finding;
    const fen_finding *f = &k->s->base->findings[finding];
    const bool settles = net->settles[finding];
    if (net->looped[finding]) {
        add(k, (doubt){ .op = FEN_DOUBT_MURKY });
        return;
    }
    if (!settles && net->occ_at[2 * atom] == net->occ_at[2 * atom + 1])
        return;
    const uint32_t at = add(k, (doubt){ .op = FEN_DOUBT_SET, .of = atom });
    for (uint32_t i = 0; i < f->n_options && settles; i++)
        if (f->first_atom + i != atom)
            add(k, (doubt){ .op = FEN_DOUBT_SET, .of = f->first_atom + i, .next = k->o->n_doubts + 1 });
    for (uint32_t i = 0; i < f->n_options; i++)
        if (settles || f->first_atom + i == atom) {
            list_hearers(k, 2 * (f->first_atom + i));
            list_hearers(k, 2 * (f->first_atom + i) + 1);
        }
    for (uint32_t i = net->reads_at[finding]; i < net->reads_at[finding + 1] && settles; i++) {
        list_hearers(k, 2 * net->reads[i]);
        list_hearers(k, 2 * net->reads[i] + 1);
    }
    end_of(k, at);
}

/* What follows if it fires, or if it does no more. */
static void list_consequences(teller *k, fen_id r)
{
    const fen_base *base = k->s->base;
    const fen_list over = base->rules[r].over;
    for (uint32_t i = 0; i < over.count; i++)
        add(k, (doubt){ .op = FEN_DOUBT_FIRED, .of = over.at[i], .grave = is_grave(base, over.at[i]) });
    if (k->s->scratch->parts[r].cease && is_grave(base, r))
        add(k, (doubt){ .op = FEN_DOUBT_FIRED, .of = r, .grave = true });
    if (base->net.loops[r])
        add(k, (doubt){ .op = FEN_DOUBT_MURKY });
    for (uint32_t i = base->net.derives_at[r]; i < base->net.derives_at[r + 1]; i++)
        list_derived(k, base->net.derives[i]);
}

static void list_rule(teller *k, fen_id r)
{
    const bool elsewhere = reads_elsewhere(k->s->base, r, k->finding), beaten = k->s->base->net.beaten[r];
    for (int i = 0; i < k->depth; i++)
        k->murky |= k->path[i] == r;
    k->murky |= k->depth == DEEPEST;
    if (k->murky || !k->fits)
        return;
    k->path[k->depth++] = r;
    const uint32_t near_at = elsewhere ? list_parts(k, r) : 0;
    const uint32_t beaten_at = beaten ? add(k, (doubt){ .op = FEN_DOUBT_BEATEN, .of = r }) : 0;
    list_consequences(k, r);
    if (beaten)
        end_of(k, beaten_at);
    if (elsewhere)
        end_of(k, near_at);
    k->depth--;
}

bool fen_doubts_list(fen_session *s, memory_of *o, fen_id finding)
{
    struct fen_scratch *x = s->scratch;
    struct fen_memory *m = &x->memory;
    teller k = { .s = s, .o = o, .finding = finding, .fits = true };
    o->doubt = m->n_doubts;
    o->n_doubts = 0;
    tell_all(&k);
    for (uint32_t i = 0; i < k.n_heard && !k.murky && k.fits; i++)
        if (x->heard[x->rule_stack[i]] & DIRECTLY)
            list_rule(&k, x->rule_stack[i]);
    forget_told(&k);
    if (k.murky) {
        m->n_doubts = o->doubt;
        o->n_doubts = 0;
        k.murky = false;
        add(&k, (doubt){ .op = FEN_DOUBT_MURKY });
    }
    return k.fits;
}

/* -- the row ------------------------------------------------------------------------ */

typedef struct row {
    uint64_t bits;
    uint32_t n;
} row;

/* One of SIZE values. */
static void put(row *w, uint32_t value, uint32_t size)
{
    const uint32_t n = size > 1 ? 32 - (uint32_t)__builtin_clz(size - 1) : 0;
    w->n += n;
    if (w->n <= MOST_BITS)
        w->bits = w->bits << n | value;
}

/* Far, or by how many parts it is not. */
static bool put_near(row *w, const doubt *d, int32_t left)
{
    const bool near = left <= d->come && left + d->cease > 0;
    put(w, near, 2);
    if (near)
        put(w, (uint32_t)(left + d->cease - 1), (uint32_t)d->come + d->cease);
    return near;
}

static void put_part(row *w, const doubt *d, int32_t left)
{
    const int32_t low = -(int32_t)d->cease, high = d->come + 1;
    put(w, (uint32_t)((left < low ? low : left > high ? high : left) - low), (uint32_t)(high - low) + 1);
}

bool fen_doubts_settle(const fen_session *s, const memory_of *o, uint64_t *ret_bits)
{
    const doubt *all = s->scratch->memory.doubts + o->doubt;
    row w = { .bits = 1 };
    for (uint32_t i = 0; i < o->n_doubts;) {
        const doubt *d = &all[i++];
        bool on = false;
        switch (d->op) {
        case FEN_DOUBT_NEAR:
            if (!put_near(&w, d, s->left[d->of]))
                i = d->next;
            break;
        case FEN_DOUBT_PART: put_part(&w, d, s->left[d->of]); break;
        case FEN_DOUBT_BEATEN:
        case FEN_DOUBT_SET:
            on = d->op == FEN_DOUBT_SET ? s->atom[d->of].support > 0 : s->rule[d->of].blockers > 0;
            put(&w, on, 2);
            if (on)
                i = d->next;
            break;
        case FEN_DOUBT_FIRED:
            on = s->rule[d->of].fired;
            put(&w, on, 2);
            if (on && d->grave)
                return false;
            break;
        case FEN_DOUBT_MURKY: return false;
        }
    }
    *ret_bits = w.bits;
    return w.n <= MOST_BITS;
}
