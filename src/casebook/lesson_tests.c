/* lesson_tests.c -- tests that hold of this case and not of others.
 *
 * Only what is known on both sides separates. That a thing was never asked of a plant is no
 * difference between the two; that the rule would not fire there is luck, for the next such
 * plant will be asked.
 */
#include <math.h>
#include <stdio.h>

#include "lesson_own.h"
#include "util/number.h"

/* ---- one test, one case ------------------------------------------------------------------- */

static fen_answer answer_of(const fen_case *c, fen_id finding)
{
    const fen_visit *v = &c->visits[c->n_visits - 1];
    for (size_t i = 0; i < v->n_given; i++)
        if (v->given[i].finding == finding)
            return v->given[i].answer;
    return (fen_answer){ .state = FEN_OPEN };
}

static int kind_holds(const fen_base *base, fen_id kind, const fen_case *c)
{
    if (c->kind == FEN_NONE)
        return 0;
    if (fen_base_kind_within(base, c->kind, (fen_list){ &kind, 1 }))
        return 1;
    return fen_base_kind_within(base, kind, (fen_list){ &c->kind, 1 }) ? 0 : -1; /* of a group above it: perhaps */
}

/* A quantity, or a date's age in days; false: not known. */
static bool value_of(const fen_base *base, fen_id finding, const fen_case *c, double *ret)
{
    const fen_answer a = answer_of(c, finding);
    *ret = fen_base_finding(base, finding)->type == FEN_DATE ? c->visits[c->n_visits - 1].date - a.value : a.value;
    return a.state == FEN_KNOWN;
}

int fen_lesson_holds(const fen_base *base, const fen_lesson_test *t, const fen_case *c)
{
    double value;
    if (t->finding == FEN_KIND_FINDING)
        return kind_holds(base, t->option, c);
    if (!value_of(base, t->finding, c, &value))
        return 0;
    const bool picked = answer_of(c, t->finding).picks >> (t->option & 63) & 1;
    switch (t->op) {
    case FEN_LESSON_IS:
    case FEN_LESSON_INCLUDES: return picked ? 1 : -1;
    case FEN_LESSON_EXCLUDES: return picked ? -1 : 1;
    case FEN_LESSON_LESS: return value < t->bound ? 1 : -1;
    case FEN_LESSON_AT_MOST: return value <= t->bound ? 1 : -1;
    case FEN_LESSON_AT_LEAST: return value >= t->bound ? 1 : -1;
    case FEN_LESSON_MORE: return value > t->bound ? 1 : -1;
    }
    return 0;
}

/* ---- a round number between two values ---------------------------------------------------- */

/* The roundest number within LO..HI, nearest to the middle among its like: a multiple of
 * 1, 2 or 5 times a power of ten. */
static double round_between(double lo, double hi)
{
    static const int steps[] = { 5, 2, 1 };
    const double middle = lo + (hi - lo) / 2;
    for (int power = (int)ceil(log10(fmax(fabs(lo), fabs(hi)) + 1e-300)) + 1; power > -15; power--) {
        for (size_t i = 0; i < FEN_COUNT(steps); i++) {
            char text[48];
            double value;
            size_t len;
            const double step = steps[i] * pow(10, power), nth = round(middle / step);
            if (fabs(nth) > 1e9)
                return middle;
            /* Through its digits: three times 0.1 is not 0.3. */
            const int n = snprintf(text, sizeof text, "%lde%d", (long)nth * steps[i], power);
            if (fen_number_read(text, (size_t)n, &value, &len) && value >= lo && value <= hi)
                return value + 0.0;
        }
    }
    return middle;
}

/* VALUE holds, OTHER does not, wherever the number between them falls. */
static fen_lesson_test threshold(fen_id finding, double value, double other)
{
    const double bound = value < other ? round_between(value, other) : round_between(other, value);
    fen_lesson_test t = { .finding = finding, .option = FEN_NONE, .bound = bound };
    if (value < other)
        t.op = value < bound ? FEN_LESSON_LESS : FEN_LESSON_AT_MOST;
    else
        t.op = other < bound ? FEN_LESSON_AT_LEAST : FEN_LESSON_MORE;
    return t;
}

/* ---- what could be tested ------------------------------------------------------------------- */

typedef struct scored {
    fen_lesson_test test;
    uint32_t not_told, others, effort; /* cases it does not tell apart; further ones it holds of; what it costs to see */
    fen_weight leaning;      /* what the rules make of its finding here, for the true cause and against the other */
    bool tells;              /* known not to hold of one */
    bool known_use, any_use; /* rules on the true cause look at it; any rules do */
} scored;

typedef struct finder {
    const fen_lesson *l;
    const fen_sketch *s;
    const bool *against;
    bool must;
    FEN_VEC(scored) found;
    bool lost;
} finder;

static bool cond_uses(const fen_base *base, fen_id cond, fen_id finding, fen_id atom)
{
    if (cond == FEN_NONE)
        return false;
    const fen_cond *c = fen_base_cond(base, cond);
    if (c->op == FEN_COND_TEST) {
        const fen_test *t = fen_base_test(base, c->test);
        if (t->op == FEN_TEST_EXPR) {
            const fen_list in = fen_base_expr(base, t->expr)->findings;
            for (uint32_t i = 0; i < in.count; i++)
                if (in.at[i] == finding && atom == FEN_NONE)
                    return true;
            return false;
        }
        return t->finding == finding && (atom == FEN_NONE || c->test == atom);
    }
    for (uint32_t i = 0; i < c->parts.count; i++)
        if (cond_uses(base, c->parts.at[i], finding, atom))
            return true;
    return false;
}

/* Do the rules gone over ask for it already? Then it would say nothing new. */
static bool is_asked_for(const finder *f, const fen_lesson_test *t)
{
    const fen_base *base = f->l->set.base;
    const fen_finding *finding = fen_base_finding(base, t->finding);
    for (uint32_t i = 0; i < f->s->n_over; i++) {
        const fen_rule *r = fen_base_rule(base, f->s->over[i]);
        if (finding->type == FEN_SEVERAL && cond_uses(base, r->cond, t->finding, finding->first_atom + t->option))
            return true;
        if (finding->type != FEN_SEVERAL && finding->n_options && cond_uses(base, r->cond, t->finding, FEN_NONE))
            return true;
        if (t->finding == FEN_KIND_FINDING && r->kinds.count)
            return true;
    }
    for (uint32_t i = 0; i < f->s->n_tests; i++)
        if (f->s->tests[i].finding == t->finding && f->s->tests[i].op == t->op && f->s->tests[i].option == t->option &&
            (t->option != FEN_NONE || !(f->s->tests[i].bound < t->bound || f->s->tests[i].bound > t->bound)))
            return true;
    return false;
}

static bool used_for(const fen_base *base, fen_id cause, fen_id finding)
{
    const fen_list rules = fen_base_cause(base, cause)->rules;
    for (uint32_t i = 0; i < rules.count; i++)
        if (cond_uses(base, fen_base_rule(base, rules.at[i])->cond, finding, FEN_NONE))
            return true;
    return false;
}

/* How much more the rules make of the finding, as it was answered, for the true cause than for the
 * one that was ahead. */
static fen_weight leaning_of(const fen_lesson *l, fen_id finding)
{
    const fen_base *base = l->set.base;
    fen_weight sum = 0;
    for (fen_id r = 0; r < fen_base_rules(base); r++) {
        const fen_weight w = fen_base_rule_weight(base, r, l->right) - (l->wrong == FEN_NONE ? 0 : fen_base_rule_weight(base, r, l->wrong));
        if (w && fen_session_rule(l->session, r) == FEN_FIRED && cond_uses(base, fen_base_rule(base, r)->cond, finding, FEN_NONE))
            sum += w;
    }
    return sum;
}

static bool used_at_all(const fen_base *base, fen_id finding)
{
    for (fen_id r = 0; r < fen_base_rules(base); r++)
        if (cond_uses(base, fen_base_rule(base, r)->cond, finding, FEN_NONE))
            return true;
    return false;
}

static bool settled_as(const fen_case *c, fen_id cause)
{
    const fen_list settled = fen_case_settled(c);
    for (uint32_t i = 0; i < settled.count; i++)
        if (settled.at[i] == cause)
            return true;
    return false;
}

static void consider(finder *f, fen_lesson_test t)
{
    const fen_lesson *l = f->l;
    const fen_base *base = l->set.base;
    scored x = { .test = t };
    if (is_asked_for(f, &t) || fen_lesson_holds(base, &t, l->set.c) != 1)
        return;
    for (uint32_t i = 0; i < l->store.cases.count; i++) {
        const int holds = fen_lesson_holds(base, &t, l->store.cases.at[i].c);
        if (i == l->self)
            continue;
        if (f->against[i]) {
            x.not_told += holds >= 0;
            x.tells |= holds < 0;
        } else if (!settled_as(l->store.cases.at[i].c, l->right)) {
            x.others += holds > 0;
        }
    }
    if (f->must && !x.tells)
        return;
    x.leaning = leaning_of(l, t.finding);
    x.known_use = used_for(base, l->right, t.finding);
    x.any_use = used_at_all(base, t.finding);
    x.effort = t.finding == FEN_KIND_FINDING ? FEN_EFFORTS : fen_base_finding(base, t.finding)->effort;
    f->lost |= !FEN_VEC_PUSH(&f->found, x);
}

static void consider_options(finder *f, fen_id finding, fen_answer a)
{
    const fen_finding *x = fen_base_finding(f->l->set.base, finding);
    for (fen_id i = 0; i < x->n_options; i++) {
        const bool picked = a.picks >> i & 1;
        if (picked || x->type == FEN_SEVERAL)
            consider(f, (fen_lesson_test){ finding, x->type != FEN_SEVERAL ? FEN_LESSON_IS : picked ? FEN_LESSON_INCLUDES : FEN_LESSON_EXCLUDES, i, 0 });
    }
}

/* Against the nearest value on either side; where no other is known, against what is usual. */
static void consider_values(finder *f, fen_id finding)
{
    const fen_lesson *l = f->l;
    const fen_base *base = l->set.base;
    double value, below = -INFINITY, above = INFINITY;
    if (!value_of(base, finding, l->set.c, &value))
        return;
    for (uint32_t i = 0; i < l->store.cases.count; i++) {
        double other;
        if (i == l->self || !f->against[i] || !value_of(base, finding, l->store.cases.at[i].c, &other))
            continue;
        if (other < value && other > below)
            below = other;
        if (other > value && other < above)
            above = other;
    }
    const double middle = fen_base_finding(base, finding)->middle;
    if (isinf(below) && isinf(above) && middle < value)
        below = middle;
    else if (isinf(below) && isinf(above) && middle > value)
        above = middle;
    if (!isinf(below))
        consider(f, threshold(finding, value, below));
    if (!isinf(above))
        consider(f, threshold(finding, value, above));
}

static bool better(const scored *a, const scored *b)
{
    if (a->not_told != b->not_told)
        return a->not_told < b->not_told;
    if (a->leaning != b->leaning) /* to take for evidence what the rules take for the opposite sets them against each other */
        return a->leaning > b->leaning;
    if (a->known_use != b->known_use)
        return a->known_use;
    if (a->effort != b->effort)
        return a->effort < b->effort;
    if (a->any_use != b->any_use)
        return a->any_use;
    return a->others < b->others; /* else as it was told in the case */
}

static uint32_t pick(finder *f, fen_lesson_test *ret, uint32_t most)
{
    uint32_t n = 0;
    while (n < most) {
        scored *best = NULL;
        for (uint32_t i = 0; i < f->found.count; i++)
            if (f->found.at[i].test.finding != FEN_NONE && (!best || better(&f->found.at[i], best)))
                best = &f->found.at[i];
        if (!best)
            break;
        const fen_id finding = best->test.finding;
        ret[n++] = best->test;
        for (uint32_t i = 0; i < f->found.count; i++)
            if (f->found.at[i].test.finding == finding)
                f->found.at[i].test.finding = FEN_NONE;
    }
    return n;
}

uint32_t fen_lesson_separate(const fen_lesson *l, const fen_sketch *s, const bool *against, bool must, fen_lesson_test *ret, uint32_t most)
{
    finder f = { .l = l, .s = s, .against = against, .must = must };
    const fen_case *c = l->set.c;
    for (size_t i = 0; i < l->visit->n_given; i++) {
        const fen_given *g = &l->visit->given[i];
        const fen_type type = fen_base_finding(l->set.base, g->finding)->type;
        if (g->answer.state != FEN_KNOWN)
            continue;
        if (type == FEN_QUANTITY || type == FEN_DATE)
            consider_values(&f, g->finding);
        else
            consider_options(&f, g->finding, g->answer);
    }
    if (c->kind != FEN_NONE)
        consider(&f, (fen_lesson_test){ FEN_KIND_FINDING, FEN_LESSON_IS, c->kind, 0 });
    const uint32_t n = f.lost ? UINT32_MAX : pick(&f, ret, most);
    FEN_VEC_FREE(&f.found);
    return n;
}

bool fen_lesson_add_test(fen_sketch *s, const fen_lesson_test *t)
{
    for (uint32_t i = 0; i < s->n_tests; i++) {
        const bool less = t->op == FEN_LESSON_LESS || t->op == FEN_LESSON_AT_MOST;
        const bool was_less = s->tests[i].op == FEN_LESSON_LESS || s->tests[i].op == FEN_LESSON_AT_MOST;
        if (s->tests[i].finding != t->finding || t->option != FEN_NONE || less != was_less)
            continue;
        s->tests[i] = *t; /* nearer to this case than the one before, which it implies */
        return true;
    }
    if (s->n_tests == FEN_LESSON_TESTS)
        return false;
    s->tests[s->n_tests++] = *t;
    return true;
}
