/* why.c -- the chain from answers to a cause's score, a hazard, a derived value.
 *
 * A chain is a walk down the conditions that hold: every fired rule, the tests
 * that made it fire, and for a derived value the rules that set it. A derived
 * value is explained once; further uses point up to it, which also ends walks
 * through values that support each other.
 */
#include "fenmend/why.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "scratch.h"
#include "util/sort.h"

typedef FEN_VEC(fen_line) lines;
typedef FEN_VEC(fen_pending) pendings;
typedef FEN_VEC(fen_id) ids;

typedef struct walker {
    fen_session *s;
    lines *out;
    bool *shown;    /* atoms already explained */
    uint32_t depth;
    bool failed;
} walker;

static void put(walker *w, fen_line line)
{
    if (!FEN_VEC_PUSH(w->out, line))
        w->failed = true;
}

static void walk_cond(walker *w, fen_id cond, bool negated);
static void walk_rule(walker *w, fen_id rule);

/* What holds of a derived finding, once: its value, then the rules that set it. */
static void walk_derived(walker *w, fen_id test, bool negated)
{
    const fen_session *s = w->s;
    const fen_id finding = s->base->tests[test].finding;
    const fen_finding *f = &s->base->findings[finding];
    bool is_default;
    const uint64_t picks = fen_session_derived(s, finding, &is_default);
    fen_line line = { .depth = w->depth, .rule = FEN_NONE, .test = test, .finding = finding, .denied = negated };
    for (uint32_t o = 0; o < f->n_options; o++) {
        const fen_id atom = f->first_atom + o;
        if (!(picks >> o & 1) || (!negated && s->base->tests[test].op == FEN_TEST_ATOM && atom != test))
            continue;
        line.type = w->shown[atom] ? FEN_LINE_ABOVE : is_default ? FEN_LINE_DEFAULT : FEN_LINE_DERIVED;
        put(w, line);
        if (w->shown[atom] || is_default)
            continue;
        w->shown[atom] = true;
        w->depth++;
        for (uint32_t i = s->base->net.sets_at[atom]; i < s->base->net.sets_at[atom + 1]; i++)
            if (s->rule[s->base->net.sets[i]].fired)
                walk_rule(w, s->base->net.sets[i]);
        w->depth--;
    }
    if (!picks) { /* "is unknown" holds: nothing set it */
        line.type = FEN_LINE_DERIVED;
        put(w, line);
    }
}

static void walk_test(walker *w, fen_id test, bool negated)
{
    const fen_session *s = w->s;
    const fen_test *t = &s->base->tests[test];
    const fen_id finding = t->op == FEN_TEST_EXPR ? s->base->exprs[t->expr].findings.at[0] : t->finding;
    if (fen_truth_now(s, test) != (negated ? -1 : 1))
        return; /* a part of an `any` that does not hold */
    if (s->base->findings[finding].derived)
        walk_derived(w, test, negated);
    else
        put(w, (fen_line){ .type = FEN_LINE_ANSWER, .depth = w->depth, .rule = FEN_NONE, .test = test,
                           .finding = finding, .denied = negated });
}

static void walk_cond(walker *w, fen_id cond, bool negated)
{
    if (cond == FEN_NONE || w->failed)
        return;
    const fen_cond *c = &w->s->base->conds[cond];
    if (c->op == FEN_COND_TEST) {
        walk_test(w, c->test, negated);
        return;
    }
    const bool parts_negated = c->op == FEN_COND_NONE ? !negated : negated;
    for (uint32_t i = 0; i < c->parts.count; i++) {
        const fen_truth t = fen_session_cond(w->s, c->parts.at[i]);
        if (parts_negated ? t < 0 : t > 0)
            walk_cond(w, c->parts.at[i], parts_negated);
    }
}

static void walk_rule(walker *w, fen_id rule)
{
    put(w, (fen_line){ .type = FEN_LINE_RULE, .depth = w->depth, .rule = rule, .test = FEN_NONE, .finding = FEN_NONE });
    w->depth++;
    walk_cond(w, w->s->base->rules[rule].cond, false);
    w->depth--;
}

static fen_status walker_new(fen_session *s, lines *out, walker *w)
{
    *w = (walker){ .s = s, .out = out, .shown = fen_calloc(s->base->net.n_atoms, sizeof(bool)) };
    return w->shown ? FEN_OK : FEN_ENOMEM;
}

/* -- because --------------------------------------------------------------- */

typedef struct share { /* a rule and what it does to the cause */
    fen_id rule;
    fen_weight weight;
} share;
typedef FEN_VEC(share) shares;

static bool stronger(const void *ctx, const void *a, const void *b)
{
    (void)ctx;
    const share *x = a, *y = b;
    const fen_weight wx = x->weight < 0 ? -x->weight : x->weight, wy = y->weight < 0 ? -y->weight : y->weight;
    return wx != wy ? wx > wy : x->rule < y->rule;
}

/* Open or unsure findings that a pending rule still waits for, down through the
 * derived ones; each of those is gone into once, or loops would have no end. */
typedef struct waiting {
    fen_session *s;
    ids *out;
    uint32_t *seen; /* [n_findings] == stamp: gone into */
    uint32_t stamp, depth;
    bool failed;
} waiting;

#define WAIT_DEPTH 64u /* derived findings behind derived ones: what is further off tells nobody anything */

static void wait_for_cond(waiting *w, fen_id cond);

static void wait_for_finding(waiting *w, fen_id finding)
{
    const fen_session *s = w->s;
    const fen_finding *f = &s->base->findings[finding];
    const fen_net *net = &s->base->net;
    if (w->seen[finding] == w->stamp || w->depth == WAIT_DEPTH)
        return;
    w->seen[finding] = w->stamp;
    w->depth++;
    for (uint32_t o = 0; f->derived && o < f->n_options; o++)
        for (uint32_t k = net->sets_at[f->first_atom + o]; k < net->sets_at[f->first_atom + o + 1]; k++)
            wait_for_cond(w, s->base->rules[net->sets[k]].cond);
    w->depth--;
    if (!f->derived && s->given[finding].state != FEN_KNOWN && !FEN_VEC_PUSH(w->out, finding))
        w->failed = true;
}

static void wait_for_cond(waiting *w, fen_id cond)
{
    if (cond == FEN_NONE || fen_session_cond(w->s, cond) != 0)
        return;
    const fen_base *base = w->s->base;
    const fen_cond *c = &base->conds[cond];
    for (uint32_t i = 0; i < c->parts.count; i++)
        wait_for_cond(w, c->parts.at[i]);
    if (c->op != FEN_COND_TEST)
        return;
    const fen_test *t = &base->tests[c->test];
    const fen_list of = t->op == FEN_TEST_EXPR ? base->exprs[t->expr].findings : (fen_list){ &t->finding, 1 };
    for (uint32_t i = 0; i < of.count; i++)
        wait_for_finding(w, of.at[i]);
}

typedef struct gathering {
    shares pro, contra, pending;
    ids beaten;
    bool excluded;
} gathering;

static fen_status gather(fen_session *s, fen_id cause, gathering *g)
{
    const fen_list rules = s->base->causes[cause].rules;
    fen_id last = FEN_NONE;
    for (uint32_t i = 0; i < rules.count; i++) {
        const fen_id r = rules.at[i];
        if (r == last) /* several effects on one cause stand side by side */
            continue;
        last = r;
        const bool excludes = fen_base_rule_excludes(s->base, r, cause);
        const fen_firing state = fen_session_rule(s, r);
        const share sh = { r, excludes ? INT64_MIN + 1 : fen_base_rule_weight(s->base, r, cause) };
        bool ok = true;
        if (state == FEN_FIRED)
            ok = sh.weight > 0 ? FEN_VEC_PUSH(&g->pro, sh) : FEN_VEC_PUSH(&g->contra, sh);
        else if (state == FEN_PENDING)
            ok = FEN_VEC_PUSH(&g->pending, sh);
        else if (state == FEN_BEATEN)
            ok = FEN_VEC_PUSH(&g->beaten, r);
        g->excluded |= state == FEN_FIRED && excludes;
        if (!ok)
            return FEN_ENOMEM;
    }
    fen_sort(g->pro.at, g->pro.count, sizeof(share), stronger, NULL);
    fen_sort(g->contra.at, g->contra.count, sizeof(share), stronger, NULL);
    fen_sort(g->pending.at, g->pending.count, sizeof(share), stronger, NULL);
    return FEN_OK;
}

/* P(cause) were its score SCORE, all others as they are now. */
static double p_at(const fen_session *s, fen_id cause, fen_weight score)
{
    const struct fen_scratch *x = s->scratch;
    fen_weight top = score;
    for (fen_id c = 0; c < s->base->n_causes; c++)
        if (c != cause && x->p[c] > 0 && s->score[c] > top)
            top = s->score[c];
    double sum = 0;
    for (fen_id c = 0; c < s->base->n_causes; c++)
        if (c != cause && x->p[c] > 0)
            sum += pow(10, (double)(s->score[c] - top) / (10.0 * (double)FEN_DBAN));
    const double own = pow(10, (double)(score - top) / (10.0 * (double)FEN_DBAN));
    return own / (own + sum);
}

static double p_usual(const fen_session *s, fen_id cause)
{
    double sum = 0;
    for (fen_id c = 0; c < s->base->n_causes; c++)
        if (s->scratch->applies[c])
            sum += s->base->causes[c].usual;
    return s->scratch->applies[cause] && sum > 0 ? s->base->causes[cause].usual / sum : 0;
}

/* Lines of one side, with running probabilities; *score goes on. */
static fen_status write_side(fen_session *s, fen_id cause, const shares *side, fen_weight *score, walker *w)
{
    for (uint32_t i = 0; i < side->count; i++) {
        const uint32_t at = w->out->count;
        walk_rule(w, side->at[i].rule);
        if (w->failed)
            return FEN_ENOMEM;
        const bool excludes = side->at[i].weight == INT64_MIN + 1;
        if (!excludes)
            *score += side->at[i].weight;
        w->out->at[at].weight = side->at[i].weight;
        w->out->at[at].p_after = excludes ? 0 : p_at(s, cause, *score);
    }
    return FEN_OK;
}

static fen_status write_pending(fen_session *s, const shares *from, pendings *out)
{
    waiting w = { .s = s, .seen = fen_calloc(s->base->n_findings, sizeof *w.seen) };
    fen_status st = w.seen ? FEN_OK : FEN_ENOMEM;
    for (uint32_t i = 0; !st && i < from->count; i++) {
        ids waits = { 0 };
        w.out = &waits;
        w.stamp = i + 1;
        wait_for_cond(&w, s->base->rules[from->at[i].rule].cond);
        const fen_pending p = { from->at[i].rule, from->at[i].weight, { waits.at, waits.count } };
        if (w.failed || !FEN_VEC_PUSH(out, p)) {
            FEN_VEC_FREE(&waits);
            st = FEN_ENOMEM;
        }
    }
    fen_free(w.seen);
    return st;
}

static void free_pending(const fen_pending *p, size_t n)
{
    for (size_t i = 0; i < n; i++)
        fen_free((void *)(uintptr_t)p[i].waits_for.at);
    fen_free((void *)(uintptr_t)p);
}

fen_status fen_why_because(fen_session *s, fen_id cause, fen_because **ret)
{
    fen_weigh(s);
    gathering g = { 0 };
    lines pro = { 0 }, contra = { 0 };
    pendings pending = { 0 };
    walker w = { 0 };
    fen_weight score = s->base->causes[cause].prior;
    fen_because *b = fen_calloc(1, sizeof *b);
    fen_status st = b ? gather(s, cause, &g) : FEN_ENOMEM;
    if (!st)
        st = walker_new(s, &pro, &w);
    if (!st)
        st = write_side(s, cause, &g.pro, &score, &w);
    w.out = &contra;
    if (!st)
        st = write_side(s, cause, &g.contra, &score, &w);
    if (!st)
        st = write_pending(s, &g.pending, &pending);
    FEN_VEC_FREE(&g.pro);
    FEN_VEC_FREE(&g.contra);
    FEN_VEC_FREE(&g.pending);
    fen_free(w.shown);
    if (st) {
        FEN_VEC_FREE(&g.beaten);
        FEN_VEC_FREE(&pro);
        FEN_VEC_FREE(&contra);
        free_pending(pending.at, pending.count);
        fen_free(b);
        return st;
    }
    const bool out = g.excluded || !s->scratch->applies[cause];
    *b = (fen_because){
        .cause = cause, .p_usual = p_usual(s, cause), .p_before = out ? 0 : p_at(s, cause, s->base->causes[cause].prior),
        .p = s->scratch->p[cause], .score = s->score[cause], .excluded = out,
        .pro = pro.at, .n_pro = pro.count, .contra = contra.at, .n_contra = contra.count,
        .pending = pending.at, .n_pending = pending.count, .beaten = { g.beaten.at, g.beaten.count },
    };
    *ret = b;
    return FEN_OK;
}

void fen_because_free(fen_because *b)
{
    if (!b)
        return;
    fen_free((void *)(uintptr_t)b->pro);
    fen_free((void *)(uintptr_t)b->contra);
    free_pending(b->pending, b->n_pending);
    fen_free((void *)(uintptr_t)b->beaten.at);
    fen_free(b);
}

/* -- hazards and clashes --------------------------------------------------- */

static fen_status chain_of(fen_session *s, bool (*wanted)(const fen_session *s, const fen_rule *r, fen_id target), fen_id target, fen_chain **ret)
{
    lines out = { 0 };
    walker w = { 0 };
    fen_chain *c = fen_calloc(1, sizeof *c);
    fen_status st = c ? walker_new(s, &out, &w) : FEN_ENOMEM;
    for (fen_id r = 0; !st && r < s->base->n_rules; r++)
        if (s->rule[r].fired && wanted(s, &s->base->rules[r], target)) {
            walk_rule(&w, r);
            st = w.failed ? FEN_ENOMEM : FEN_OK;
        }
    fen_free(w.shown);
    if (st) {
        FEN_VEC_FREE(&out);
        fen_free(c);
        return st;
    }
    *c = (fen_chain){ out.at, out.count };
    *ret = c;
    return FEN_OK;
}

static bool raises(const fen_session *s, const fen_rule *r, fen_id hazard)
{
    (void)s;
    for (uint32_t i = 0; i < r->n_effects; i++)
        if (r->effects[i].op == FEN_RAISE && r->effects[i].target == hazard)
            return true;
    return false;
}

static bool sets(const fen_session *s, const fen_rule *r, fen_id finding)
{
    for (uint32_t i = 0; i < r->n_effects; i++)
        if (r->effects[i].op == FEN_DERIVE && s->base->tests[r->effects[i].target].finding == finding)
            return true;
    return false;
}

fen_status fen_why_hazard(fen_session *s, fen_id hazard, fen_chain **ret)
{
    return chain_of(s, raises, hazard, ret);
}

fen_status fen_why_derived(fen_session *s, fen_id finding, fen_chain **ret)
{
    return chain_of(s, sets, finding, ret);
}

void fen_chain_free(fen_chain *c)
{
    if (!c)
        return;
    fen_free((void *)(uintptr_t)c->line);
    fen_free(c);
}
