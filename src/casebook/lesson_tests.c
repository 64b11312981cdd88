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
    fen_weight leaning;      /* what the rules make of it here, for the true cause and against the other */
    bool tells;              /* known not to hold of one */
    bool sign, any_use;      /* it is abnormal in itself; rules look at it */
} scored;

typedef struct finder {
    const fen_lesson *l;
    const fen_sketch *s;
    const bool *against;
    bool must;
    FEN_VEC(scored) found;
    bool lost;
} finder;

bool fen_lesson_looks_at(const fen_base *base, fen_id cond, fen_id finding, fen_id atom)
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
        if (fen_lesson_looks_at(base, c->parts.at[i], finding, atom))
            return true;
    return false;
}

/* ---- what follows from a condition already -------------------------------------------------- */

static bool same_bound(double a, double b)
{
    return !(a < b) && !(b < a);
}

static bool range_within(const fen_test *x, const fen_lesson_test *t)
{
    switch (t->op) {
    case FEN_LESSON_LESS: return x->hi < t->bound || (same_bound(x->hi, t->bound) && x->hi_open);
    case FEN_LESSON_AT_MOST: return x->hi <= t->bound;
    case FEN_LESSON_AT_LEAST: return x->lo >= t->bound;
    case FEN_LESSON_MORE: return x->lo > t->bound || (same_bound(x->lo, t->bound) && x->lo_open);
    case FEN_LESSON_IS:
    case FEN_LESSON_INCLUDES:
    case FEN_LESSON_EXCLUDES: break;
    }
    return false;
}

/* Where COND is false, is ATOM false too? */
static bool denies(const fen_base *base, fen_id cond, fen_id atom)
{
    const fen_cond *c = fen_base_cond(base, cond);
    uint32_t n = 0;
    if (c->op == FEN_COND_TEST)
        return c->test == atom;
    for (uint32_t i = 0; i < c->parts.count; i++)
        n += denies(base, c->parts.at[i], atom);
    return c->op == FEN_COND_ANY ? n > 0 : c->op == FEN_COND_ALL && n == c->parts.count;
}

/* Does `none` of the parts of C leave nothing but T? */
static bool none_leaves(const fen_base *base, const fen_cond *c, const fen_lesson_test *t)
{
    const fen_finding *f = fen_base_finding(base, t->finding);
    if (t->op != FEN_LESSON_EXCLUDES && t->op != FEN_LESSON_IS)
        return false;
    for (fen_id o = 0; o < f->n_options; o++) {
        bool denied = false;
        if ((o == t->option) == (t->op == FEN_LESSON_IS))
            continue;
        for (uint32_t i = 0; i < c->parts.count; i++)
            denied |= denies(base, c->parts.at[i], f->first_atom + o);
        if (!denied)
            return false;
    }
    return true;
}

/* Does T hold wherever COND does? Only what can be seen from one finding is seen. */
static bool implies(const fen_base *base, fen_id cond, const fen_lesson_test *t)
{
    if (cond == FEN_NONE)
        return false;
    const fen_cond *c = fen_base_cond(base, cond);
    if (c->op == FEN_COND_NONE)
        return none_leaves(base, c, t);
    if (c->op == FEN_COND_TEST) {
        const fen_test *x = fen_base_test(base, c->test);
        if (x->finding != t->finding)
            return false;
        return x->op == FEN_TEST_ATOM ? x->option == t->option && t->op != FEN_LESSON_EXCLUDES : x->op == FEN_TEST_RANGE && range_within(x, t);
    }
    uint32_t n = 0;
    for (uint32_t i = 0; i < c->parts.count; i++)
        n += implies(base, c->parts.at[i], t);
    return c->op == FEN_COND_ALL ? n > 0 : c->parts.count && n == c->parts.count;
}

static bool kinds_within(const fen_base *base, fen_list kinds, fen_id kind)
{
    for (uint32_t i = 0; i < kinds.count; i++)
        if (!fen_base_kind_within(base, kinds.at[i], (fen_list){ &kind, 1 }))
            return false;
    return kinds.count > 0;
}

bool fen_lesson_asked_for(const fen_base *base, const fen_sketch *s, const fen_lesson_test *t)
{
    for (uint32_t i = 0; i < s->n_misled; i++) {
        const fen_rule *r = fen_base_rule(base, s->misled[i]);
        if (implies(base, r->cond, t) || (t->finding == FEN_KIND_FINDING && kinds_within(base, r->kinds, t->option)))
            return true;
    }
    for (uint32_t i = 0; i < s->n_tests; i++)
        if (s->tests[i].finding == t->finding && s->tests[i].op == t->op && s->tests[i].option == t->option &&
            (t->option != FEN_NONE || same_bound(s->tests[i].bound, t->bound)))
            return true;
    return false;
}

/* ---- what the rules make of it ---------------------------------------------------------------- */

static bool is_mended(const fen_sketch *s, fen_id rule)
{
    for (uint32_t i = 0; i < s->n_misled; i++)
        if (s->misled[i] == rule)
            return true;
    return false;
}

fen_weight fen_lesson_leaning(const fen_lesson *l, const fen_sketch *s, const fen_lesson_test *t)
{
    const fen_base *base = l->set.base;
    const fen_finding *f = fen_base_finding(base, t->finding);
    const fen_id atom = f->type == FEN_SEVERAL ? f->first_atom + t->option : FEN_NONE; /* of several answers each is its own matter */
    fen_weight sum = 0;
    for (fen_id r = 0; r < fen_base_rules(base); r++) {
        fen_weight w = s->form == FEN_LESSON_AGAINST ? 0 : fen_base_rule_weight(base, r, l->right);
        w -= l->wrong == FEN_NONE ? 0 : fen_base_rule_weight(base, r, l->wrong);
        if (w && !is_mended(s, r) && fen_session_rule(l->session, r) == FEN_FIRED && fen_lesson_looks_at(base, fen_base_rule(base, r)->cond, t->finding, atom))
            sum += w;
    }
    return sum;
}

static bool used_at_all(const fen_base *base, fen_id finding)
{
    for (fen_id r = 0; r < fen_base_rules(base); r++)
        if (fen_lesson_looks_at(base, fen_base_rule(base, r)->cond, finding, FEN_NONE))
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
    if (fen_lesson_asked_for(base, f->s, &t) || fen_lesson_holds(base, &t, l->set.c) != 1)
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
    x.leaning = fen_lesson_leaning(l, f->s, &t);
    x.sign = t.option != FEN_NONE && t.op != FEN_LESSON_EXCLUDES && t.finding != FEN_KIND_FINDING && fen_base_finding(base, t.finding)->options[t.option].sign;
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

/* What speaks for it besides the settled cases: the rules; then what costs little to see, and what
 * is a sign. To take for evidence what the rules take for the opposite sets them against each other. */
static int more_plausible(const scored *a, const scored *b)
{
    if (a->leaning != b->leaning)
        return a->leaning > b->leaning ? 1 : -1;
    if (a->effort != b->effort)
        return a->effort < b->effort ? 1 : -1;
    if (a->sign != b->sign)
        return a->sign ? 1 : -1;
    return a->any_use - b->any_use;
}

static bool separates_better(const scored *a, const scored *b)
{
    if (a->not_told != b->not_told)
        return a->not_told < b->not_told;
    const int plausible = more_plausible(a, b);
    return plausible ? plausible > 0 : a->others < b->others; /* else as it was told in the case */
}

static bool is_more_plausible(const scored *a, const scored *b)
{
    const int plausible = more_plausible(a, b);
    return plausible ? plausible > 0 : separates_better(a, b);
}

static const scored *best_of(const finder *f, bool (*before)(const scored *, const scored *))
{
    const scored *best = NULL;
    for (uint32_t i = 0; i < f->found.count; i++)
        if (f->found.at[i].test.finding != FEN_NONE && (!best || before(&f->found.at[i], best)))
            best = &f->found.at[i];
    return best;
}

/* While few cases are settled, which of them a test tells apart is chance: so what the rules
 * bear out most is among what is tried, if there is room for more than one. */
static uint32_t pick(finder *f, fen_lesson_test *ret, uint32_t most)
{
    const scored *plausible = best_of(f, is_more_plausible);
    const fen_id wanted = plausible && most > 1 ? plausible->test.finding : FEN_NONE;
    bool has_it = wanted == FEN_NONE;
    uint32_t n = 0;
    while (n < most) {
        const scored *best = best_of(f, n + 1 == most && !has_it ? is_more_plausible : separates_better);
        if (!best)
            break;
        const fen_id finding = best->test.finding;
        has_it |= finding == wanted;
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
