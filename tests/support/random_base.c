/* random_base.c -- the dice, and the checks that need nothing but the rb_base.
 *
 * Levels: a derived finding has a level; a rule of level L uses derived findings
 * of lower levels in any way, those of level L only positively and only if they
 * have no default, and sets only findings of level L or above. Such a base is
 * stratified. A wild base throws the same dice without looking at levels.
 */
#include "support/random_base.h"

#include <string.h>

uint64_t rb_next(rb_rng *r) /* splitmix64: any seed will do, every bit is good */
{
    uint64_t z = (r->state += UINT64_C(0x9e3779b97f4a7c15));
    z = (z ^ (z >> 30)) * UINT64_C(0xbf58476d1ce4e5b9);
    z = (z ^ (z >> 27)) * UINT64_C(0x94d049bb133111eb);
    return z ^ (z >> 31);
}

unsigned rb_below(rb_rng *r, unsigned n)
{
    return (unsigned)(((rb_next(r) >> 32) * n) >> 32);
}

bool rb_chance(rb_rng *r, unsigned percent)
{
    return rb_below(r, 100) < percent;
}

void rb_shuffle(rb_rng *r, unsigned *items, unsigned n)
{
    for (unsigned i = n; i > 1; i--) {
        const unsigned j = rb_below(r, i);
        const unsigned kept = items[i - 1];
        items[i - 1] = items[j];
        items[j] = kept;
    }
}

static int pick(rb_rng *r, int n)
{
    return (int)rb_below(r, (unsigned)n);
}

/* ---- the parts that rules talk about ---- */

static void make_kinds(rb_base *b, rb_rng *r)
{
    b->n_kinds = 1 + pick(r, RB_KINDS);
    for (int i = 0; i < b->n_kinds; i++)
        b->parent[i] = i > 0 && rb_chance(r, 60) ? pick(r, i) : -1;
}

bool rb_kind_within(const rb_base *b, int kind, unsigned kinds)
{
    for (; kind >= 0; kind = b->parent[kind])
        if (kinds >> kind & 1u)
            return true;
    return kinds == 0;
}

int rb_kind_test(const rb_base *b, int have, int kind)
{
    if (rb_kind_within(b, have, 1u << kind))
        return 1;
    return rb_kind_within(b, kind, 1u << have) ? 0 : -1;
}

static bool is_group(const rb_base *b, int kind)
{
    for (int i = 0; i < b->n_kinds; i++)
        if (b->parent[i] == kind)
            return true;
    return false;
}

static rb_finding plain_finding(void)
{
    return (rb_finding){.type = FEN_CHOICE, .fallback = -1, .ask_when = -1};
}

static void give_options(rb_finding *f, rb_rng *r, int n)
{
    f->n_options = n;
    for (int i = 0; i < n; i++)
        f->share[i] = 1 + pick(r, 9);
    if (rb_chance(r, 50))
        f->signs = rb_below(r, 1u << n);
}

static rb_finding asked_finding(rb_rng *r)
{
    static const fen_type types[] = {FEN_CHOICE, FEN_CHOICE, FEN_SEVERAL, FEN_YES_NO, FEN_YES_NO, FEN_QUANTITY, FEN_QUANTITY, FEN_DATE};
    rb_finding f = plain_finding();
    f.type = types[rb_below(r, 8)];
    f.effort = (fen_effort)rb_below(r, FEN_EFFORTS);
    if (f.type == FEN_YES_NO)
        give_options(&f, r, 2);
    else if (f.type == FEN_CHOICE || f.type == FEN_SEVERAL)
        give_options(&f, r, 2 + pick(r, RB_OPTIONS - 1));
    return f;
}

static rb_finding derived_finding(rb_rng *r, int level)
{
    static const fen_type types[] = {FEN_CHOICE, FEN_CHOICE, FEN_SEVERAL, FEN_YES_NO};
    rb_finding f = plain_finding();
    f.type = types[rb_below(r, 4)];
    give_options(&f, r, f.type == FEN_YES_NO ? 2 : 2 + pick(r, RB_OPTIONS - 1));
    f.derived = true;
    f.level = level;
    f.fallback = rb_chance(r, 35) ? pick(r, f.n_options) : -1;
    return f;
}

static void make_findings(rb_base *b, rb_rng *r)
{
    const int n_asked = 2 + pick(r, 7), n_derived = pick(r, 8);
    b->finding[0] = plain_finding();
    give_options(&b->finding[0], r, b->n_kinds);
    b->finding[0].signs = 0;
    b->n_findings = 1;
    for (int i = 0; i < n_asked; i++)
        b->finding[b->n_findings++] = asked_finding(r);
    for (int i = 0; i < n_derived; i++)
        b->finding[b->n_findings++] = derived_finding(r, 1 + i * 3 / (n_derived + 1));
}

static void make_causes(rb_base *b, rb_rng *r)
{
    b->n_causes = 2 + pick(r, RB_CAUSES - 1);
    for (int i = 0; i < b->n_causes; i++)
        b->cause[i] = (rb_cause){.share = 1 + pick(r, 300),
                                 .kinds = rb_chance(r, 20) ? 1u + rb_below(r, (1u << b->n_kinds) - 1u) : 0,
                                 .urgency = (fen_urgency)rb_below(r, 4),
                                 .deciding = rb_chance(r, 40) ? 1 + pick(r, b->n_findings - 1) : -1};
    for (int i = 0; i < b->n_causes; i++)
        if (b->cause[i].deciding >= 0 && b->finding[b->cause[i].deciding].derived)
            b->cause[i].deciding = -1; /* only what can be asked decides */
    b->n_hazards = 1 + pick(r, RB_HAZARDS);
    b->something_else = rb_chance(r, 80) ? 1 + pick(r, 100) : 0;
}

/* ---- conditions ---- */

typedef struct maker {
    rb_base *b;
    rb_rng *r;
    bool wild;
    int level;
    int nones; /* how many `none` are above */
} maker;

static bool may_use(const maker *m, int finding)
{
    const rb_finding *f = &m->b->finding[finding];
    if (!f->derived || m->wild || f->level < m->level)
        return true;
    return f->level == m->level && f->fallback < 0 && m->nones == 0;
}

static void make_bounds(rb_cond *c, rb_rng *r, int most)
{
    c->lo = pick(r, most + 1);
    c->hi = rb_chance(r, 15) ? c->lo : c->lo + pick(r, most + 1 - c->lo);
    const unsigned shape = rb_below(r, 3);
    c->has_lo = shape != 0;
    c->has_hi = shape != 1;
    c->lo_open = c->lo != c->hi && rb_chance(r, 50);
    c->hi_open = c->lo != c->hi && rb_chance(r, 50);
}

static int another_quantity(const maker *m, int first)
{
    for (int tries = 0; tries < 6; tries++) {
        const int f = pick(m->r, m->b->n_findings);
        if (f != first && m->b->finding[f].type == FEN_QUANTITY)
            return f;
    }
    return -1;
}

static void make_quantity_test(const maker *m, rb_cond *c)
{
    c->op = RB_RANGE;
    c->second = m->b->finding[c->finding].type == FEN_QUANTITY && rb_chance(m->r, 35) ? another_quantity(m, c->finding) : -1;
    make_bounds(c, m->r, 20);
    if (c->second < 0)
        return;
    c->op = RB_SUM;
    c->arith = "+-*"[rb_below(m->r, 3)];
    if (c->arith == '-') {
        c->lo -= 10;
        c->hi -= 10;
    }
}

static int make_test(const maker *m)
{
    rb_cond c = {.op = RB_IS, .second = -1};
    const bool prefer_derived = rb_chance(m->r, 45);
    for (int tries = 0; tries < 20; tries++) {
        c.finding = pick(m->r, m->b->n_findings);
        if (may_use(m, c.finding) && m->b->finding[c.finding].derived == (prefer_derived && tries < 10))
            break;
    }
    if (!may_use(m, c.finding))
        c.finding = 0;
    const rb_finding *f = &m->b->finding[c.finding];
    const bool same_level = f->derived && !m->wild && f->level == m->level;
    if (!same_level && rb_chance(m->r, 10))
        c.op = RB_UNKNOWN;
    else if (!f->derived && rb_chance(m->r, 12))
        c.op = RB_UNSURE;
    else if (f->n_options > 0)
        c.option = pick(m->r, f->n_options);
    else
        make_quantity_test(m, &c);
    m->b->cond[m->b->n_conds] = c;
    return m->b->n_conds++;
}

static int make_cond(maker *m, int depth)
{
    if (depth == 0 || rb_chance(m->r, 40) || m->b->n_conds > RB_CONDS - 60)
        return make_test(m);
    rb_cond c = {.op = (rb_op)rb_below(m->r, 3), .second = -1};
    c.n_parts = rb_chance(m->r, 10) ? 1 : 2 + pick(m->r, RB_PARTS - 1);
    m->nones += c.op == RB_NONE;
    for (int i = 0; i < c.n_parts; i++)
        c.part[i] = make_cond(m, depth - 1);
    m->nones -= c.op == RB_NONE;
    m->b->cond[m->b->n_conds] = c;
    return m->b->n_conds++;
}

/* ---- rules ---- */

static bool has_effect(const rb_rule *rule, const rb_effect *e)
{
    for (int i = 0; i < rule->n_effects; i++)
        if (rule->effect[i].op == e->op && rule->effect[i].target == e->target && rule->effect[i].option == e->option)
            return true;
    return false;
}

/* A derived finding that a rule of this level may set, or -1. */
static int pick_target(const maker *m)
{
    for (int tries = 0; tries < 8; tries++) {
        const int f = pick(m->r, m->b->n_findings);
        if (m->b->finding[f].derived && (m->wild || m->b->finding[f].level >= m->level))
            return f;
    }
    return -1;
}

static rb_effect make_effect(const maker *m)
{
    rb_effect e = {.op = FEN_WEIGH};
    const unsigned dice = rb_below(m->r, 100);
    const int target = dice < 45 ? pick_target(m) : -1;
    if (target >= 0) {
        e.op = FEN_DERIVE;
        e.target = target;
        e.option = pick(m->r, m->b->finding[target].n_options);
    } else if (dice < 85) {
        e.target = pick(m->r, m->b->n_causes);
        e.tenths = (1 + pick(m->r, 150)) * (rb_chance(m->r, 30) ? -1 : 1);
    } else if (dice < 92) {
        e.op = FEN_EXCLUDE;
        e.target = pick(m->r, m->b->n_causes);
    } else {
        e.op = FEN_RAISE;
        e.target = pick(m->r, m->b->n_hazards);
    }
    return e;
}

static void make_rule(maker *m, rb_rule *rule)
{
    const int top = 3;
    *rule = (rb_rule){.cond = -1};
    m->level = rule->level = 1 + pick(m->r, top + 1);
    if (!rb_chance(m->r, 8))
        rule->cond = make_cond(m, pick(m->r, 6) / 2);
    if (rb_chance(m->r, 15))
        rule->kinds = 1u + rb_below(m->r, (1u << m->b->n_kinds) - 1u);
    const int wanted = 1 + pick(m->r, RB_EFFECTS);
    for (int i = 0; i < wanted; i++) {
        const rb_effect e = make_effect(m);
        if (!has_effect(rule, &e))
            rule->effect[rule->n_effects++] = e;
    }
}

static bool derives(const rb_rule *rule)
{
    for (int i = 0; i < rule->n_effects; i++)
        if (rule->effect[i].op == FEN_DERIVE)
            return true;
    return false;
}

/* May rule I go over rule J without a cycle? */
static bool may_beat(const maker *m, int i, int j)
{
    if (m->wild)
        return i != j || rb_chance(m->r, 10);
    const rb_rule *a = &m->b->rule[i], *c = &m->b->rule[j];
    return a->level < c->level || (i < j && !derives(a) && !derives(c));
}

static void make_exceptions(const maker *m)
{
    for (int i = 0; i < m->b->n_rules; i++) {
        rb_rule *rule = &m->b->rule[i];
        const int wanted = rb_chance(m->r, m->wild ? 8 : 30) ? 1 + pick(m->r, RB_OVER) : 0;
        for (int k = 0; k < wanted; k++) {
            const int j = pick(m->r, m->b->n_rules);
            bool there = !may_beat(m, i, j);
            for (int n = 0; n < rule->n_over; n++)
                there |= rule->over[n] == j;
            if (!there)
                rule->over[rule->n_over++] = j;
        }
    }
}

static void make_ask_whens(maker *m)
{
    m->level = 9; /* above everything: any use is fine */
    for (int i = 1; i < m->b->n_findings; i++)
        if (!m->b->finding[i].derived && rb_chance(m->r, 20))
            m->b->finding[i].ask_when = make_cond(m, 1);
}

void rb_generate(rb_base *ret_base, uint64_t seed, bool wild)
{
    static const unsigned sizes[] = {5, 12, 12, 25, 25, RB_RULES};
    rb_rng r = {.state = seed};
    memset(ret_base, 0, sizeof *ret_base);
    ret_base->seed = seed;
    make_kinds(ret_base, &r);
    make_findings(ret_base, &r);
    make_causes(ret_base, &r);
    maker m = {.b = ret_base, .r = &r, .wild = wild};
    ret_base->n_rules = 1 + pick(&r, (int)sizes[rb_below(&r, 6)]);
    for (int i = 0; i < ret_base->n_rules; i++)
        make_rule(&m, &ret_base->rule[i]);
    make_exceptions(&m);
    make_ask_whens(&m);
    rb_random_answers(ret_base, &r);
}

/* ---- answers ---- */

/* A number of the kind the tests compare with, often one of their bounds. */
static double random_number(const rb_base *b, rb_rng *r, int finding)
{
    for (int tries = 0; tries < 12; tries++) {
        const rb_cond *c = b->n_conds ? &b->cond[pick(r, b->n_conds)] : NULL;
        if (c && c->op == RB_RANGE && c->finding == finding)
            return rb_chance(r, 50) ? c->lo : c->hi;
    }
    return rb_below(r, 21);
}

static int random_kind(const rb_base *b, rb_rng *r)
{
    int kind = pick(r, b->n_kinds);
    while (is_group(b, kind) && !rb_chance(r, 30))
        kind = pick(r, b->n_kinds);
    return kind;
}

fen_answer rb_random_answer(const rb_base *b, rb_rng *r, int finding)
{
    const rb_finding *f = &b->finding[finding];
    fen_answer a = {.state = FEN_KNOWN};
    if (rb_chance(r, 12))
        return (fen_answer){.state = FEN_UNSURE};
    if (finding == 0)
        a.picks = UINT64_C(1) << random_kind(b, r);
    else if (f->type == FEN_SEVERAL)
        a.picks = rb_below(r, 1u << f->n_options);
    else if (f->n_options > 0)
        a.picks = UINT64_C(1) << pick(r, f->n_options);
    else if (f->type == FEN_DATE)
        a.value = RB_TODAY - random_number(b, r, finding);
    else
        a.value = random_number(b, r, finding);
    return a;
}

void rb_random_answers(rb_base *b, rb_rng *r)
{
    const unsigned open = rb_below(r, 45);
    memset(b->answer, 0, sizeof b->answer);
    for (int i = 0; i < b->n_findings; i++)
        if (!b->finding[i].derived && !rb_chance(r, open))
            b->answer[i] = rb_random_answer(b, r, i);
}

/* ---- who needs whom ---- */

static uint64_t setters(const rb_base *b, int finding, int option)
{
    uint64_t rules = 0;
    for (int i = 0; i < b->n_rules; i++)
        for (int k = 0; k < b->rule[i].n_effects; k++) {
            const rb_effect *e = &b->rule[i].effect[k];
            if (e->op == FEN_DERIVE && e->target == finding && (option < 0 || e->option == option))
                rules |= UINT64_C(1) << i;
        }
    return rules;
}

static void collect(const rb_base *b, int cond, bool negated, bool by_option, uint64_t *positive, uint64_t *negative)
{
    const rb_cond *c = &b->cond[cond];
    for (int i = 0; i < c->n_parts; i++)
        collect(b, c->part[i], negated != (c->op == RB_NONE), by_option, positive, negative);
    if (c->n_parts > 0 || !b->finding[c->finding].derived)
        return;
    if (c->op == RB_IS && !negated && b->finding[c->finding].fallback < 0)
        *positive |= setters(b, c->finding, by_option ? c->option : -1);
    else
        *negative |= setters(b, c->finding, -1);
}

void rb_find_needs(const rb_base *b, bool by_option, rb_needs *ret_needs)
{
    memset(ret_needs, 0, sizeof *ret_needs);
    for (int i = 0; i < b->n_rules; i++) {
        if (b->rule[i].cond >= 0)
            collect(b, b->rule[i].cond, false, by_option, &ret_needs->positive[i], &ret_needs->negative[i]);
        for (int k = 0; k < b->rule[i].n_over; k++)
            ret_needs->negative[b->rule[i].over[k]] |= UINT64_C(1) << i;
    }
    for (int i = 0; i < b->n_rules; i++)
        ret_needs->reach[i] = ret_needs->positive[i] | ret_needs->negative[i];
    for (int k = 0; k < b->n_rules; k++)
        for (int i = 0; i < b->n_rules; i++)
            if (ret_needs->reach[i] >> k & 1)
                ret_needs->reach[i] |= ret_needs->reach[k];
}

bool rb_stratified(const rb_base *b, const rb_needs *needs)
{
    for (int i = 0; i < b->n_rules; i++)
        for (int j = 0; j < b->n_rules; j++)
            if ((needs->negative[i] >> j & 1) && (i == j || (needs->reach[j] >> i & 1)))
                return false;
    return true;
}

/* ---- comparing ---- */

static bool differ(FILE *out, const char *what, int i, const char *want, const char *got)
{
    if (out)
        fprintf(out, "%s %d: expected %s, the engine says %s\n", what, i, want, got);
    return false;
}

bool rb_same_facts(const rb_base *b, const rb_facts *want, const rb_facts *got, FILE *out)
{
    static const char *const firing[] = {"fired", "beaten", "pending", "refuted"};
    static const char *const no_yes[] = {"no", "yes"};
    for (int i = 0; i < b->n_rules; i++)
        if (want->rule[i] != got->rule[i])
            return differ(out, "rule", i, firing[want->rule[i]], firing[got->rule[i]]);
    for (int i = 0; i < b->n_findings; i++)
        if (b->finding[i].derived && want->derived[i] != got->derived[i]) {
            char a[32], c[32];
            snprintf(a, sizeof a, "options %llx", (unsigned long long)want->derived[i]);
            snprintf(c, sizeof c, "options %llx", (unsigned long long)got->derived[i]);
            return differ(out, "finding", i, a, c);
        }
    for (int i = 0; i < b->n_hazards; i++)
        if (want->raised[i] != got->raised[i])
            return differ(out, "raised hazard", i, no_yes[want->raised[i]], no_yes[got->raised[i]]);
    for (int i = 0; i < b->n_causes; i++)
        if (want->out[i] != got->out[i])
            return differ(out, "excluded cause", i, no_yes[want->out[i]], no_yes[got->out[i]]);
    return true;
}
