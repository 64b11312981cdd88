/* bound.c -- what questions could tell at most.
 *
 * The chance of an answer is the sum of p u f n, where u is its usual share, p a cause's
 * probability now, f its factor and n the cause's norm; it is at most u N M, with N the
 * largest norm and M the sum of p f. What the answer tells is the sum of p f log f over
 * M, less log M. Since M ln M >= M - 1, the two together are at most u N times the sum
 * of p phi(f), where phi(f) = f log f - (f - 1) / ln 2: it is 0 at f = 1 and grows to both
 * sides. So the gain is at most N times a sum over causes, whose terms but for p are
 * remembered with the outlook.
 *
 * Of lines of several questions nearly none comes near the best single one, and to try a
 * plan as a whole is dear. What it would do to a cause is, but for a few rules, what its answers do
 * one by one, and that is remembered. The few are the *companions* of the line: rules
 * that more than one of its findings has an influence on. They are listed once a rule;
 * all of them but those that are far from firing are taken for the worst.
 *
 * A plan has the chance sum of p u f / (1 - u + u f), at most u M / (1 - u), and so its
 * gain is at most u / (1 - u) times the sum of p phi(f); of a range of factors the worse
 * end counts. Where such a range is wide, this is far too much: however large a factor is, the
 * chance grows by no more than p, and no cause becomes likelier than certain. So the gain
 * is also at most the largest chance times the log of the most that a cause is raised by,
 * which is min(1 / p, f / M).
 */
#include <math.h>
#include <string.h>

#include "scratch.h"

#define TRIED_BEFORE 3   /* times a line is met before its companions are looked for */
#define MOST_REACHED 512 /* rules; beyond, the line is tried every time */
#define TANGLED (UINT32_C(1) << 31) /* among the findings that have an influence on a rule: exceptions to it come and go */

/* -- companions ------------------------------------------------------------- */

typedef struct spread {
    fen_session *s;
    uint32_t n;   /* rules reached, in scratch->rule_stack */
    bool grew;    /* some influence did */
} spread;

static void reach_rule(spread *k, fen_id r, uint32_t by)
{
    struct fen_scratch *x = k->s->scratch;
    if (!(by & ~x->by_rule[r]) || (!x->by_rule[r] && k->n == MOST_REACHED))
        return;
    if (!x->by_rule[r])
        x->rule_stack[k->n++] = r;
    x->by_rule[r] |= by;
    k->grew = true;
}

static void reach_literals(spread *k, fen_id test, uint32_t by)
{
    const fen_net *net = &k->s->base->net;
    for (uint32_t i = net->occ_at[2 * test]; i < net->occ_at[2 * test + 2]; i++) {
        const uint32_t node = net->occ[i];
        reach_rule(k, node < net->n_rules ? node : net->root[node - net->n_rules], by);
    }
}

/* Whoever reads FINDING is influenced BY what it is. */
static void reach_finding(spread *k, fen_id finding, uint32_t by)
{
    struct fen_scratch *x = k->s->scratch;
    const fen_net *net = &k->s->base->net;
    const fen_finding *f = &k->s->base->findings[finding];
    if (!(by & ~x->by_finding[finding]))
        return;
    x->by_finding[finding] |= by;
    for (uint32_t o = 0; o < f->n_options; o++)
        reach_literals(k, f->first_atom + o, by);
    for (uint32_t i = net->reads_at[finding]; i < net->reads_at[finding + 1]; i++)
        reach_literals(k, net->reads[i], by);
}

typedef struct steadiness {
    const fen_base *base;
    bool steady;
} steadiness;

static void note_unsteady(void *ctx, fen_id test, bool negated)
{
    steadiness *w = ctx;
    const fen_test *t = &w->base->tests[test];
    (void)negated;
    w->steady &= (t->op == FEN_TEST_ATOM || t->op == FEN_TEST_RANGE) && !w->base->findings[t->finding].derived;
}

/* Does R, if some answers make it fire, fire under more of them, too? */
static bool is_steady(const fen_session *s, fen_id r)
{
    steadiness w = { s->base, !s->base->net.beaten[r] };
    fen_cond_walk(s->base, s->base->rules[r].cond, false, note_unsteady, &w);
    return w.steady;
}

/* What a rule has an influence on: rules that it goes over, findings that it sets. */
static void spread_rule(spread *k, fen_id r)
{
    const fen_base *base = k->s->base;
    const uint32_t by = k->s->scratch->by_rule[r];
    const fen_list over = base->rules[r].over;
    const uint32_t how = over.count && !is_steady(k->s, r) ? TANGLED : 0;
    for (uint32_t i = 0; i < over.count; i++)
        reach_rule(k, over.at[i], by | how);
    for (uint32_t i = base->net.derives_at[r]; i < base->net.derives_at[r + 1]; i++)
        reach_finding(k, base->tests[base->net.derives[i]].finding, by);
}

static uint32_t by_test(const fen_session *s, fen_id test)
{
    const fen_test *t = &s->base->tests[test];
    const fen_list of = t->op == FEN_TEST_EXPR ? s->base->exprs[t->expr].findings : (fen_list){ &t->finding, 1 };
    uint32_t by = 0;
    for (uint32_t i = 0; i < of.count; i++)
        by |= s->scratch->by_finding[of.at[i]];
    return by;
}

/* By how many parts at most BY's findings can bring the condition nearer to holding. */
static uint32_t parts_by(const fen_session *s, fen_id cond, bool negated, uint32_t by)
{
    const fen_cond *c = &s->base->conds[cond];
    bool parts_negated;
    const fen_cond_op op = fen_cond_normal(c, negated, &parts_negated);
    if (op == FEN_COND_TEST)
        return (by_test(s, c->test) & by) != 0;
    uint32_t n = 0;
    for (uint32_t i = 0; i < c->parts.count; i++)
        n += parts_by(s, c->parts.at[i], parts_negated, by);
    return op == FEN_COND_ALL || c->parts.count == 1 ? n : n > 0;
}

static companion companion_of(const fen_session *s, fen_id r)
{
    const fen_id cond = s->base->rules[r].cond;
    companion c = { .rule = r, .by = s->scratch->by_rule[r] & ~TANGLED, .tangled = s->scratch->by_rule[r] & TANGLED };
    for (uint32_t bits = c.by; bits && cond != FEN_NONE; bits &= bits - 1) {
        const uint32_t parts = parts_by(s, cond, false, bits & -bits);
        c.alone = parts > c.alone ? parts : c.alone;
        c.reads |= parts ? bits & -bits : 0;
    }
    c.parts = cond != FEN_NONE ? parts_by(s, cond, false, c.by) : 0;
    return c;
}

typedef struct asked_of {
    const fen_base *base;
    line_of_rule *line;
    uint32_t n_derived;
    fen_id derived[FEN_LINE_ASKED]; /* findings that it may rest on */
    bool fits;
} asked_of;

static bool is_new(asked_of *w, fen_id *list, uint32_t *n, fen_id finding)
{
    for (uint32_t i = 0; i < *n; i++)
        if (list[i] == finding)
            return false;
    w->fits &= *n < FEN_LINE_ASKED;
    if (w->fits)
        list[(*n)++] = finding;
    return w->fits;
}

static void add_asked(void *ctx, fen_id test, bool negated);

/* All that a plan can come to through FINDING: itself, what makes it sense to ask, or
 * what the rules that set it look at. */
static void add_finding(asked_of *w, fen_id finding)
{
    const fen_finding *f = &w->base->findings[finding];
    const fen_net *net = &w->base->net;
    if (finding == FEN_KIND_FINDING)
        return;
    if (!f->derived && is_new(w, w->line->asked, &w->line->n_asked, finding) && f->ask_when != FEN_NONE)
        fen_cond_walk(w->base, f->ask_when, false, add_asked, w);
    if (!f->derived || !is_new(w, w->derived, &w->n_derived, finding))
        return;
    for (uint32_t i = net->sets_at[f->first_atom]; i < net->sets_at[f->first_atom + f->n_options]; i++)
        fen_cond_walk(w->base, w->base->rules[net->sets[i]].cond, false, add_asked, w);
}

static void add_asked(void *ctx, fen_id test, bool negated)
{
    asked_of *w = ctx;
    const fen_test *t = &w->base->tests[test];
    const fen_list of = t->op == FEN_TEST_EXPR ? w->base->exprs[t->expr].findings : (fen_list){ &t->finding, 1 };
    (void)negated;
    for (uint32_t i = 0; i < of.count && w->fits; i++)
        add_finding(w, of.at[i]);
}

/* Of what the line's findings reach, all that more than one of them does. */
static bool keep_companions(const spread *k, line_of_rule *line)
{
    struct fen_scratch *x = k->s->scratch;
    line->companion = x->n_companions;
    for (uint32_t i = 0; i < k->n; i++) {
        const uint32_t by = x->by_rule[x->rule_stack[i]] & ~TANGLED;
        if (!(by & (by - 1)))
            continue; /* one alone */
        if (x->n_companions == x->max_companions)
            return false;
        x->companions[x->n_companions++] = companion_of(k->s, x->rule_stack[i]);
    }
    line->n_companions = x->n_companions - line->companion;
    return true;
}

static void find_companions(fen_session *s, fen_id r, line_of_rule *line)
{
    struct fen_scratch *x = s->scratch;
    asked_of w = { .base = s->base, .line = line, .fits = true };
    spread k = { .s = s };
    fen_cond_walk(s->base, s->base->rules[r].cond, false, add_asked, &w);
    for (uint32_t i = 0; i < line->n_asked && w.fits; i++)
        reach_finding(&k, line->asked[i], UINT32_C(1) << i);
    for (k.grew = w.fits; k.grew && k.n < MOST_REACHED;) {
        k.grew = false;
        for (uint32_t i = 0; i < k.n; i++)
            spread_rule(&k, x->rule_stack[i]);
    }
    line->bounded = w.fits && k.n < MOST_REACHED && keep_companions(&k, line);
    while (k.n)
        x->by_rule[x->rule_stack[--k.n]] = 0;
    memset(x->by_finding, 0, s->base->n_findings * sizeof *x->by_finding);
}

/* -- limits of what the plan does -------------------------------------------- */

static limit *limit_of(struct fen_scratch *x, fen_id cause)
{
    limit *l = &x->limits[cause];
    if (!x->is_hit[cause]) {
        x->is_hit[cause] = true;
        x->hit[x->n_hit++] = cause;
        *l = (limit){ .factor = 1 };
    }
    return l;
}

/* What one of the answers does by itself. */
static void add_shifts(struct fen_scratch *x, const fen_outlook *o, uint32_t answer)
{
    for (uint32_t i = o->ends[answer]; i < o->ends[answer + 1]; i++) {
        const packed_shift h = o->packed[i];
        const struct odds_met *met = &x->memory.odds[h & ((1u << FEN_ODDS_BITS) - 1)];
        limit *l = limit_of(x, h >> FEN_ODDS_BITS);
        l->factor *= met->factor;
        l->log += met->log;
    }
}

/* Between MORE and LESS times the rule's effects beside what single answers do; false: none can be told. */
static bool add_range(struct fen_scratch *x, const fen_rule *rule, int less, int more)
{
    if (less == more)
        return true;
    for (uint32_t i = 0; i < rule->n_effects; i++) {
        const fen_effect *e = &rule->effects[i];
        if (e->op == FEN_EXCLUDE)
            return false;
        if (e->op != FEN_WEIGH)
            continue;
        limit *l = limit_of(x, e->target);
        l->less += e->weight * (e->weight > 0 ? less : more);
        l->more += e->weight * (e->weight > 0 ? more : less);
    }
    return true;
}

static int count_bits(uint32_t set)
{
    int n = 0;
    for (; set; set &= set - 1) /* few of them */
        n++;
    return n;
}

/* The PLANNED have an influence on the rule. If it has fired, the plan may undo that,
 * and each answer by itself, too; else the same of firing. Where one answer alone has to
 * do with its condition, all that the plan can do more is to beat it, unless exceptions
 * that this answer would bring about are beaten, too. */
static bool add_companion(fen_session *s, const companion *c, uint32_t planned)
{
    const int32_t left = s->left[c->rule];
    if (left > (int32_t)c->parts)
        return true; /* far from firing */
    const fen_rule *rule = &s->base->rules[c->rule];
    if (s->rule[c->rule].fired)
        return add_range(s->scratch, rule, -1, count_bits(c->by & planned));
    if (s->rule[c->rule].blockers || c->tangled)
        return add_range(s->scratch, rule, -count_bits(c->by & planned), 1);
    const int n_reads = count_bits(c->reads & planned);
    if (n_reads < 2)
        return add_range(s->scratch, rule, -n_reads, 0);
    return add_range(s->scratch, rule, left > (int32_t)c->alone ? 0 : -n_reads, 1);
}

/* What CAUSE's factor comes to if CHANGE is added to what single answers do. */
static limit after(fen_session *s, fen_id cause, const limit *l, fen_weight change)
{
    fen_shift h;
    if (!change)
        return (limit){ .factor = l->factor, .log = l->log };
    if (!fen_shift_of(s, cause, change, 0, &h))
        return (limit){ .factor = 1 }; /* it does not apply */
    return (limit){ .factor = l->factor * h.factor, .log = l->log + h.log };
}

static double phi_of(const limit *l)
{
    const double phi = fen_phi(l->factor, l->log);
    return isnan(phi) ? INFINITY : phi; /* of factors beyond all numbers */
}

/* The first bound: u / (1 - u) times the sum of p phi(f). */
static double told_at_most(fen_session *s, double usual)
{
    const struct fen_scratch *x = s->scratch;
    double sum = 0;
    if (!(usual < 1))
        return INFINITY;
    for (uint32_t i = 0; i < x->n_hit; i++) {
        const fen_id c = x->hit[i];
        const limit *l = &x->limits[c];
        limit f = after(s, c, l, l->less);
        double worse = phi_of(&f);
        if (l->more != l->less) {
            f = after(s, c, l, l->more);
            worse = fen_larger(worse, phi_of(&f));
        }
        sum += x->p[c] * worse;
    }
    return usual / (1 - usual) * sum;
}

#define LITTLE 1e-9 /* what is left of the sum of weights: too little to tell from rounding */

/* The second: the chance that the plan holds, times the log of how many times likelier it
 * makes any cause. The factors' upper ends are left in the limits. */
static double raised_at_most(fen_session *s, double usual)
{
    struct fen_scratch *x = s->scratch;
    double least = 1, chance = usual;
    for (uint32_t i = 0; i < x->n_hit; i++) {
        const fen_id c = x->hit[i];
        limit *l = &x->limits[c];
        least += x->p[c] * (after(s, c, l, l->less).factor - 1);
        l->factor = after(s, c, l, l->more).factor;
        chance += x->p[c] * (1 - usual) * (1 - 1 / (1 - usual + usual * l->factor)); /* p (u f / (1 - u + u f) - u), even of infinity */
    }
    if (!(least > LITTLE))
        return INFINITY;
    double most = 1 / least;
    for (uint32_t i = 0; i < x->n_hit; i++) {
        const fen_id c = x->hit[i];
        const double p = x->p[c], factor = x->limits[c].factor;
        if (p > 0)
            most = fen_larger(most, factor * p > least ? 1 / p : factor / least);
    }
    return chance * log2(most);
}

/* Not looked at twice where the first bound is below ENOUGH. */
static double gain_within(fen_session *s, double usual, double enough)
{
    const double first = told_at_most(s, usual);
    return first < enough ? first : fen_smaller(first, raised_at_most(s, usual));
}

static void clear_limits(struct fen_scratch *x)
{
    while (x->n_hit)
        x->is_hit[x->hit[--x->n_hit]] = false;
}

/* What cannot be asked yet has not been looked at either. It is before anything is hit:
 * looking hits causes, too, and what is remembered may have to make room. */
static void remember_planned(fen_session *s)
{
    struct fen_scratch *x = s->scratch;
    for (uint32_t i = 0; i < x->n_plan; i++) {
        const fen_id finding = x->plan_finding[i];
        if (x->askable[finding] > 0)
            continue;
        const fen_outlook *o = fen_outlook_of(s, finding);
        x->outlook_of[finding] = o != &x->worked_out ? o : NULL;
    }
}

/* The line's findings that are planned, as bits; false: others are planned, too, or what
 * an answer does by itself is not at hand. */
static bool add_answers(fen_session *s, const line_of_rule *line, uint32_t *ret_planned)
{
    struct fen_scratch *x = s->scratch;
    *ret_planned = 0;
    remember_planned(s);
    for (uint32_t i = 0; i < x->n_plan; i++) {
        const fen_outlook *o = x->outlook_of[x->plan_finding[i]];
        uint32_t at = 0;
        while (at < line->n_asked && line->asked[at] != x->plan_finding[i])
            at++;
        if (at == line->n_asked || !o || x->plan_at[i] == FEN_NONE)
            return false;
        add_shifts(x, o, x->plan_at[i]);
        *ret_planned |= UINT32_C(1) << at;
    }
    return true;
}

static bool add_companions(fen_session *s, const line_of_rule *line, uint32_t planned)
{
    const companion *c = s->scratch->companions + line->companion;
    bool told = true;
    for (uint32_t i = 0; i < line->n_companions && told; i++, c++) {
        const uint32_t by = c->by & planned;
        if (by & (by - 1)) /* more than one */
            told = add_companion(s, c, planned);
    }
    return told;
}

double fen_most_of(const fen_session *s, const fen_outlook *o)
{
    const double *p = s->scratch->p;
    double sum = 0;
    for (uint32_t i = 0; i < o->n_causes; i++)
        sum += p[o->causes[i]] * o->told[i];
    return o->most_by * sum;
}

double fen_most_gain(fen_session *s, fen_id r, double enough)
{
    struct fen_scratch *x = s->scratch;
    line_of_rule *line = &x->lines[r];
    uint32_t planned;
    double usual = 1;
    if (line->met < TRIED_BEFORE) {
        line->met++;
        return INFINITY;
    }
    if (line->met == TRIED_BEFORE) {
        line->met++;
        find_companions(s, r, line);
    }
    if (!line->bounded)
        return INFINITY;
    const bool told = add_answers(s, line, &planned) && add_companions(s, line, planned);
    for (uint32_t i = 0; i < x->n_plan; i++)
        usual *= x->plan_usual[i];
    const double most = told ? gain_within(s, usual, enough) : INFINITY;
    clear_limits(x);
    return most;
}
