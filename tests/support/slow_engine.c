/* slow_engine.c -- sixty lines that must agree with the fast one.
 *
 * Strata are numbered by relaxation over the test's own dependency check. Since
 * whatever is used negatively lies in a lower stratum, conditions may simply be
 * looked at again and again.
 */
#include "support/slow_engine.h"

#include <math.h>
#include <string.h>

static int from_bool(bool truth)
{
    return truth ? 1 : -1;
}

static int range(const rb_cond *c, double v)
{
    return from_bool(!(c->has_lo && (c->lo_open ? v <= c->lo : v < c->lo)) && !(c->has_hi && (c->hi_open ? v >= c->hi : v > c->hi)));
}

/* Truth of a test: the answers, or what rules have derived so far. */
static int test(const rb_base *b, const rb_facts *x, const rb_cond *c)
{
    const rb_finding *f = &b->finding[c->finding];
    const fen_answer *a = &b->answer[c->finding];
    const uint64_t have = !f->derived ? a->picks : x->derived[c->finding] ? x->derived[c->finding] : f->fallback >= 0 ? UINT64_C(1) << f->fallback : 0;
    const bool known = f->derived ? have != 0 : a->state == FEN_KNOWN;
    if (c->op == RB_UNKNOWN)
        return from_bool(!known);
    if (c->op == RB_UNSURE)
        return a->state == FEN_OPEN ? 0 : from_bool(a->state == FEN_UNSURE);
    if (!known)
        return 0;
    if (c->op == RB_IS)
        return c->finding == 0 ? rb_kind_test(b, __builtin_ctzll(have), c->option) : from_bool(have >> c->option & 1);
    const double v = f->type == FEN_DATE ? RB_TODAY - a->value : a->value;
    if (c->op == RB_RANGE)
        return range(c, v);
    const fen_answer *second = &b->answer[c->second];
    if (second->state != FEN_KNOWN)
        return 0;
    return range(c, c->arith == '+' ? v + second->value : c->arith == '-' ? v - second->value : v * second->value);
}

static int truth(const rb_base *b, const rb_facts *x, int cond)
{
    const rb_cond *c = &b->cond[cond];
    if (c->n_parts == 0)
        return test(b, x, c);
    int worst = 1;
    for (int i = 0; i < c->n_parts; i++) {
        const int part = truth(b, x, c->part[i]) * (c->op == RB_ALL ? 1 : -1);
        worst = part < worst ? part : worst;
    }
    return c->op == RB_ANY ? -worst : worst; /* any = not all not; none = all not */
}

static int rule_truth(const rb_base *b, const rb_facts *x, const rb_rule *r)
{
    int kind = r->kinds == 0 ? 1 : b->answer[0].state == FEN_KNOWN ? -1 : 0;
    for (int k = 0; k < b->n_kinds && r->kinds && b->answer[0].state == FEN_KNOWN; k++)
        if (r->kinds >> k & 1u) {
            const int one = rb_kind_test(b, __builtin_ctzll(b->answer[0].picks), k);
            kind = one > kind ? one : kind;
        }
    const int cond = r->cond < 0 ? 1 : truth(b, x, r->cond);
    return cond < kind ? cond : kind;
}

static int number_strata(const rb_base *b, int stratum[RB_RULES])
{
    rb_needs needs;
    int top = 0;
    rb_find_needs(b, false, &needs);
    memset(stratum, 0, RB_RULES * sizeof *stratum);
    for (bool again = true; again;) {
        again = false;
        for (int i = 0; i < b->n_rules; i++)
            for (int j = 0; j < b->n_rules; j++) {
                const int least = needs.negative[i] >> j & 1 ? stratum[j] + 1 : needs.positive[i] >> j & 1 ? stratum[j] : 0;
                if (stratum[i] < least) {
                    stratum[i] = least;
                    again = true;
                }
                top = stratum[i] > top ? stratum[i] : top;
            }
    }
    return top;
}

static bool beaten(const rb_base *b, const bool fired[RB_RULES], int rule)
{
    for (int j = 0; j < b->n_rules; j++)
        for (int k = 0; k < b->rule[j].n_over; k++)
            if (b->rule[j].over[k] == rule && fired[j])
                return true;
    return false;
}

static void apply(const rb_rule *r, slow_result *ret)
{
    for (int k = 0; k < r->n_effects; k++) {
        const rb_effect *e = &r->effect[k];
        switch (e->op) {
        case FEN_WEIGH: ret->tenths[e->target] += e->tenths; break;
        case FEN_EXCLUDE: ret->facts.out[e->target] = true; break;
        case FEN_RAISE: ret->facts.raised[e->target] = true; break;
        case FEN_DERIVE: ret->facts.derived[e->target] |= UINT64_C(1) << e->option; break;
        }
    }
}

static void chain(const rb_base *b, slow_result *ret, bool fired[RB_RULES])
{
    int stratum[RB_RULES];
    const int top = number_strata(b, stratum);
    for (int level = 0; level <= top; level++)
        for (bool again = true; again;) {
            again = false;
            for (int i = 0; i < b->n_rules; i++)
                if (stratum[i] == level && !fired[i] && rule_truth(b, &ret->facts, &b->rule[i]) > 0 && !beaten(b, fired, i)) {
                    fired[i] = again = true;
                    apply(&b->rule[i], ret);
                }
        }
    for (int i = 0; i < b->n_rules; i++) {
        const int t = rule_truth(b, &ret->facts, &b->rule[i]);
        ret->facts.rule[i] = fired[i] ? FEN_FIRED : t > 0 ? FEN_BEATEN : t < 0 ? FEN_REFUTED : FEN_PENDING;
    }
}

static bool single(uint64_t bits)
{
    return !(bits & (bits - 1));
}

static void weigh(const rb_base *b, slow_result *ret)
{
    double sum = 0;
    for (int i = 0; i < b->n_causes; i++) {
        bool fits = b->cause[i].kinds == 0 || b->answer[0].state != FEN_KNOWN;
        for (int k = 0; k < b->n_kinds && !fits; k++)
            fits = (b->cause[i].kinds >> k & 1u) && rb_kind_test(b, __builtin_ctzll(b->answer[0].picks), k) >= 0;
        ret->facts.out[i] |= !fits;
        ret->p[i] = ret->facts.out[i] ? 0 : b->cause[i].share / 1000.0 * pow(10, (double)ret->tenths[i] / 100.0);
        sum += ret->p[i];
    }
    ret->p[b->n_causes] = b->something_else / 1000.0;
    sum += ret->p[b->n_causes];
    for (int i = 0; i <= b->n_causes && sum > 0; i++)
        ret->p[i] /= sum;
}

void slow_engine(const rb_base *b, slow_result *ret)
{
    bool fired[RB_RULES] = {false};
    memset(ret, 0, sizeof *ret);
    chain(b, ret, fired);
    for (int f = 0; f < b->n_findings; f++) {
        const rb_finding *x = &b->finding[f];
        if (x->derived && !single(ret->facts.derived[f]) && x->type != FEN_SEVERAL)
            ret->clash |= UINT64_C(1) << f;
        if (x->derived && ret->facts.derived[f] == 0 && x->fallback >= 0)
            ret->facts.derived[f] = UINT64_C(1) << x->fallback;
        ret->signs[f] = x->signs & (unsigned)(x->derived ? ret->facts.derived[f] : b->answer[f].picks);
    }
    weigh(b, ret);
}
