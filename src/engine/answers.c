/* answers.c -- what an open finding could be answered, and how often each
 * answer occurs among plants that are brought in.
 *
 * A quantity is cut at every threshold at which some rule changes its mind
 * given what else is known; inside a stretch all values are alike to the rules,
 * so one value stands for it. A `several` is tried with each answer alone and
 * with none: pairs would be exponential, and rules on pairs are found by
 * together.c.
 */
#include <assert.h>
#include <math.h>

#include "scratch.h"
#include "util/sort.h"

static void add(struct fen_scratch *x, possible p)
{
    assert(x->n_answers < x->max_answers);
    x->answers[x->n_answers++] = p;
}

static void list_options(struct fen_scratch *x, const fen_finding *f)
{
    for (uint32_t o = 0; o < f->n_options; o++)
        if (f->options[o].usual > 0)
            add(x, (possible){ { FEN_KNOWN, UINT64_C(1) << o, 0 }, f->options[o].usual, NAN, NAN, false, false });
}

static void list_several(struct fen_scratch *x, const fen_finding *f)
{
    const bool excludes = fen_finding_without(f) != 0; /* one answer says none of the others: as of a choice */
    double sum = 0;
    for (uint32_t o = 0; o < f->n_options; o++) {
        const double u = fmin(f->options[o].usual, 0.99); /* odds of a sure thing are infinite */
        if (u > 0)
            add(x, (possible){ { FEN_KNOWN, UINT64_C(1) << o, 0 }, excludes ? u : u / (1 - u), NAN, NAN, false, false });
    }
    if (!excludes)
        add(x, (possible){ { FEN_KNOWN, 0, 0 }, 1, NAN, NAN, false, false });
    for (uint32_t i = 0; i < x->n_answers; i++)
        sum += x->answers[i].usual;
    for (uint32_t i = 0; i < x->n_answers; i++)
        x->answers[i].usual /= sum;
}

/* -- quantities and ages -------------------------------------------------- */

typedef struct axis {
    double from, to;          /* what may be answered */
    double x[5], share[5];    /* points of the cumulative share; n 0: not given */
    int n;
} axis;

static axis axis_of(const fen_finding *f)
{
    axis a = { .from = f->type == FEN_DATE ? 0 : f->from, .to = f->type == FEN_DATE ? INFINITY : f->to };
    if (isnan(f->low) || isnan(f->middle) || isnan(f->high))
        return a;
    const double lo = isfinite(a.from) ? a.from : f->low - (f->middle - f->low);
    const double hi = isfinite(a.to) ? a.to : f->high + (f->high - f->middle);
    const double x[5] = { fmin(lo, f->low), f->low, f->middle, f->high, fmax(hi, f->high) };
    const double share[5] = { 0, 0.1, 0.5, 0.9, 1 };
    for (int i = 0; i < 5; i++) {
        a.x[i] = x[i];
        a.share[i] = share[i];
    }
    a.n = 5;
    return a;
}

static double below(const axis *a, double v)
{
    if (v <= a->x[0])
        return 0;
    for (int i = 1; i < a->n; i++)
        if (v < a->x[i])
            return a->share[i - 1] + (a->share[i] - a->share[i - 1]) * (v - a->x[i - 1]) / (a->x[i] - a->x[i - 1]);
    return 1;
}

static bool cut_before(const void *ctx, const void *p, const void *q)
{
    (void)ctx;
    const cut *a = p, *b = q;
    return a->at != b->at ? a->at < b->at : a->after < b->after;
}

/* Where does the expression cross BOUND when only FINDING varies? Exact where it
 * is straight; by halving where it is not and the range is bounded. */
static bool expr_at(fen_session *s, fen_id expr, fen_id finding, double at, double *ret)
{
    const fen_finding *f = &s->base->findings[finding];
    const fen_answer kept = s->given[finding];
    s->given[finding] = (fen_answer){ FEN_KNOWN, 0, f->type == FEN_DATE ? s->today - at : at };
    const bool ok = fen_expr_value(s, expr, ret);
    s->given[finding] = kept;
    return ok;
}

static bool crossing(fen_session *s, const fen_test *t, fen_id finding, double bound, const axis *a, double *ret, bool *ret_rising)
{
    double e0, e1, e3;
    if (!expr_at(s, t->expr, finding, 1, &e0) || !expr_at(s, t->expr, finding, 2, &e1) || !expr_at(s, t->expr, finding, 4, &e3))
        return false;
    *ret_rising = e1 > e0;
    if (e1 != e0 && fabs((e3 - e1) - 2 * (e1 - e0)) <= 1e-9 * (fabs(e3) + fabs(e0))) {
        *ret = 1 + (bound - e0) / (e1 - e0);
        return true;
    }
    double lo = a->from, hi = a->to, at_lo, at_hi;
    if (!isfinite(lo) || !isfinite(hi) || !expr_at(s, t->expr, finding, hi, &at_hi))
        return false;
    if (!expr_at(s, t->expr, finding, lo, &at_lo)) /* 1/x has no value at 0 */
        if (!expr_at(s, t->expr, finding, lo += (hi - lo) * 1e-9, &at_lo))
            return false;
    *ret_rising = at_hi > at_lo;
    if ((at_lo - bound) * (at_hi - bound) >= 0)
        return false;
    for (int i = 0; i < 60; i++) {
        const double mid = lo + (hi - lo) / 2;
        double e;
        if (!expr_at(s, t->expr, finding, mid, &e))
            return false;
        *((e > bound) == (at_hi > bound) ? &hi : &lo) = mid;
    }
    *ret = hi;
    return true;
}

static void add_cut(struct fen_scratch *x, uint32_t *n, const axis *a, double at, bool after)
{
    if (at >= a->from && at <= a->to)
        x->cuts[(*n)++] = (cut){ at, after };
}

/* "lo <= v" flips just below lo; "v <= hi" just above hi; open bounds the other way. */
static void cuts_of_test(fen_session *s, const fen_test *t, fen_id finding, const axis *a, uint32_t *n)
{
    for (int upper = 0; upper < 2; upper++) {
        double at = upper ? t->hi : t->lo;
        bool after = upper ? !t->hi_open : t->lo_open;
        bool rising = true;
        if (!isfinite(at))
            continue;
        if (t->op == FEN_TEST_EXPR && !crossing(s, t, finding, at, a, &at, &rising))
            continue;
        add_cut(s->scratch, n, a, at, rising ? after : !after);
    }
}

static uint32_t find_cuts(fen_session *s, fen_id finding, const axis *a)
{
    const fen_net *net = &s->base->net;
    struct fen_scratch *x = s->scratch;
    uint32_t n = 0, kept = 0;
    for (uint32_t i = net->reads_at[finding]; i < net->reads_at[finding + 1]; i++) {
        const fen_test *t = &s->base->tests[net->reads[i]];
        if (t->op == FEN_TEST_RANGE || t->op == FEN_TEST_EXPR)
            cuts_of_test(s, t, finding, a, &n);
    }
    fen_sort(x->cuts, n, sizeof *x->cuts, cut_before, NULL);
    for (uint32_t i = 0; i < n; i++)
        if (!kept || cut_before(NULL, &x->cuts[kept - 1], &x->cuts[i]))
            x->cuts[kept++] = x->cuts[i];
    return kept;
}

/* A value inside the stretch; false if there is none (whole days only for ages). */
static bool pick(const axis *a, bool whole, possible *p, double *ret)
{
    double v;
    if (isfinite(p->lo) && isfinite(p->hi))
        v = p->lo + (p->hi - p->lo) / 2;
    else if (isfinite(p->lo))
        v = a->n && a->x[3] > p->lo ? a->x[3] : p->lo + fmax(1, fabs(p->lo) * 0.1);
    else if (isfinite(p->hi))
        v = a->n && a->x[1] < p->hi ? a->x[1] : p->hi - fmax(1, fabs(p->hi) * 0.1);
    else
        v = a->n ? a->x[2] : 0;
    if (whole) {
        v = floor(v);
        if (v < p->lo || (v == p->lo && !p->lo_in))
            v++;
    }
    if (v < p->lo || v > p->hi || (v == p->lo && !p->lo_in) || (v == p->hi && !p->hi_in))
        return false;
    *ret = v;
    return true;
}

static void list_stretches(fen_session *s, fen_id finding)
{
    struct fen_scratch *x = s->scratch;
    const fen_finding *f = &s->base->findings[finding];
    const axis a = axis_of(f);
    const uint32_t n = find_cuts(s, finding, &a);
    double sum = 0;
    for (uint32_t i = 0; i <= n; i++) {
        possible p = { .answer.state = FEN_KNOWN,
                       .lo = i ? x->cuts[i - 1].at : a.from, .lo_in = i ? !x->cuts[i - 1].after : isfinite(a.from),
                       .hi = i < n ? x->cuts[i].at : a.to, .hi_in = i < n ? x->cuts[i].after : isfinite(a.to) };
        double v;
        if (!pick(&a, f->type == FEN_DATE, &p, &v))
            continue;
        p.answer.value = f->type == FEN_DATE ? s->today - v : v;
        if (!fen_answer_fits(s, finding, &p.answer)) {
            x->listing[finding].left_out = true;
            continue;
        }
        p.usual = a.n ? below(&a, p.hi) - below(&a, p.lo) : p.lo == p.hi ? 0 : 1;
        sum += p.usual;
        add(x, p);
    }
    for (uint32_t i = 0; i < x->n_answers; i++)
        x->answers[i].usual = sum > 0 ? x->answers[i].usual / sum : 1.0 / x->n_answers;
}

/* -- the door -------------------------------------------------------------- */

static bool is_number(const fen_finding *f)
{
    return f->type == FEN_QUANTITY || f->type == FEN_DATE;
}

uint32_t fen_most_answers(const fen_base *base, fen_id finding)
{
    const fen_finding *f = &base->findings[finding];
    if (is_number(f)) /* every test cuts at two ends */
        return 2 * (base->net.reads_at[finding + 1] - base->net.reads_at[finding]) + 1;
    return f->n_options + (f->type == FEN_SEVERAL);
}

static bool lacks_others(const fen_session *s, fen_list findings, fen_id finding)
{
    for (uint32_t i = 0; i < findings.count; i++)
        if (findings.at[i] != finding && s->given[findings.at[i]].state != FEN_KNOWN)
            return true;
    return false;
}

/* Is it tested in a sum of several findings, and if LACKING, in one that lacks nothing else? */
static bool is_summed(const fen_session *s, fen_id finding, bool lacking)
{
    const fen_net *net = &s->base->net;
    for (uint32_t i = net->reads_at[finding]; i < net->reads_at[finding + 1]; i++) {
        const fen_test *t = &s->base->tests[net->reads[i]];
        if (t->op == FEN_TEST_EXPR && !(lacking && lacks_others(s, s->base->exprs[t->expr].findings, finding)))
            return true;
    }
    return false;
}

static void list_anew(fen_session *s, fen_id finding, listing *l)
{
    const fen_finding *f = &s->base->findings[finding];
    l->left_out = false;
    if (is_number(f))
        list_stretches(s, finding);
    else if (f->type == FEN_SEVERAL)
        list_several(s->scratch, f);
    else
        list_options(s->scratch, f);
    l->n = s->scratch->n_answers;
    l->today = s->today;
    l->summed = is_summed(s, finding, false);
    l->lasts = !l->summed || !is_summed(s, finding, true);
}

/* A date's answers are ages: on another day they are other days. */
static bool move_days(fen_session *s, fen_id finding, listing *l)
{
    const bool is_date = s->base->findings[finding].type == FEN_DATE;
    possible *p = s->scratch->answers;
    if (is_date && l->left_out)
        return false;
    for (uint32_t i = 0; i < l->n && is_date; i++) {
        p[i].answer.value += s->today - l->today;
        if (!fen_answer_fits(s, finding, &p[i].answer))
            return false;
    }
    l->today = s->today;
    return true;
}

void fen_list_answers(fen_session *s, fen_id finding)
{
    struct fen_scratch *x = s->scratch;
    listing *l = &x->listing[finding];
    x->answers = x->possible + l->at;
    x->n_answers = 0;
    const bool summed = l->summed && is_summed(s, finding, true);
    if (!l->lasts || summed || (l->today != s->today && !move_days(s, finding, l)))
        list_anew(s, finding, l);
    x->n_answers = l->n;
}
