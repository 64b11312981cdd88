/* vet_clash.c -- two values at once for a derived finding that has room for one.
 *
 * For two rules that set different values, the answers are sought that make both true: their
 * regions, with what they say of derived findings replaced by where the rules are true
 * that set it. A box of both gives answers; only what they really lead to is told, so
 * a rule that goes over one of the two, or a default that gets in the way, is no false
 * alarm. What is sought is bounded, so a clash may go unseen; none is invented.
 */
#include <math.h>
#include <string.h>

#include "model/quantity.h"
#include "util/limits.h"
#include "util/str.h"
#include "vet_chain.h"
#include "vet_deep.h"

#define PAIRS_MAX 10000000u /* pairs of rules looked at in one run: a fraction of a second */
#define TRIES_MAX 20000u    /* of them, those that may meet: these cost memory too */
#define WORK_MAX 4000000u   /* conditions looked at in trials */

typedef struct search {
    fen_vetting *v;
    fen_trial trial;
    uint32_t pairs, tries;
    uint64_t told[64]; /* by value: others that it was told to clash with */
} search;

/* ---- answers out of a box ---- */

/* A value between the bounds, round if possible, and near the thresholds rather than where
 * the finding itself ends. */
static double pick(const fen_limit *l, const fen_limit *full, bool whole)
{
    const bool narrow = l->lo != full->lo && l->hi != full->hi;
    const bool lo = isfinite(l->lo) && (narrow || l->lo != full->lo || l->hi == full->hi);
    const bool hi = isfinite(l->hi) && (narrow || l->hi != full->hi || l->lo == full->lo);
    double x = lo && hi ? l->lo + (l->hi - l->lo) / 2 : lo ? l->lo + fmax(1, fabs(l->lo) / 4) : hi ? l->hi - fmax(1, fabs(l->hi) / 4) : 0;
    if (lo && !l->lo_open && !hi)
        x = l->lo;
    if (hi && !l->hi_open && !lo)
        x = l->hi;
    if (x < l->lo || x > l->hi || (x == l->lo && l->lo_open) || (x == l->hi && l->hi_open))
        x = l->lo + (l->hi - l->lo) / 2; /* beyond the end of the finding */
    const double step = x != 0 ? pow(10, floor(log10(fabs(x))) - 1) : 1, round_x = round(x / step) * step;
    if (round_x > l->lo && round_x < l->hi)
        x = round_x;
    if (whole && floor(x) < x)
        x = ceil(x) < l->hi || (ceil(x) <= l->hi && !l->hi_open) ? ceil(x) : floor(x);
    return x;
}

static fen_id lowest(uint64_t bits)
{
    return (fen_id)__builtin_ctzll(bits);
}

static void answer(search *s, const fen_limit *l)
{
    const fen_finding *f = &s->v->base->findings[l->var];
    if (l->states != FEN_IS_KNOWN) {
        s->trial.state[l->var] = l->states & FEN_IS_OPEN ? FEN_IS_OPEN : FEN_IS_UNSURE;
        return;
    }
    s->trial.state[l->var] = FEN_IS_KNOWN;
    if (f->type == FEN_QUANTITY || f->type == FEN_DATE)
        s->trial.value[l->var] = pick(l, &s->v->boxes.full[l->var], f->type == FEN_DATE);
    else
        s->trial.picks[l->var] = f->type != FEN_SEVERAL ? UINT64_C(1) << lowest(l->in) : l->in ? l->in : fen_finding_without(f) & ~l->out;
}

static bool inside(const fen_limit *l, double x)
{
    return (l->lo_open ? x > l->lo : x >= l->lo) && (l->hi_open ? x < l->hi : x <= l->hi);
}

static const fen_limit *limit_of(const fen_box *box, uint32_t var)
{
    for (uint32_t i = 0; i < box->n; i++)
        if (box->at[i].var == var)
            return &box->at[i];
    return NULL;
}

static bool try_values(search *s, const fen_box *box, const fen_limit *sum, const fen_expr *e, uint32_t i);

static bool try_value(search *s, const fen_box *box, const fen_limit *sum, const fen_expr *e, uint32_t i, double x)
{
    const fen_id f = e->findings.at[i];
    const fen_limit *l = limit_of(box, f);
    const fen_finding *finding = &s->v->base->findings[f];
    if (!isfinite(x) || (l && !inside(l, x)) || x < finding->from || x > finding->to)
        return false;
    s->trial.value[f] = finding->type == FEN_DATE ? floor(x) : x;
    return try_values(s, box, sum, e, i + 1);
}

/* The sum must come out within its limit: a few values of each of its findings are tried,
 * around the bounds and the usual. */
static bool try_values(search *s, const fen_box *box, const fen_limit *sum, const fen_expr *e, uint32_t i)
{
    double x;
    if (i == e->findings.count)
        return fen_trial_sum(&s->trial, e, &x) && inside(sum, x);
    if (i >= 3)
        return try_values(s, box, sum, e, i + 1); /* enough freedom in three */
    const fen_finding *f = &s->v->base->findings[e->findings.at[i]];
    const double near = isfinite(sum->lo) ? sum->lo : sum->hi, lo = isfinite(f->from) ? f->from : 0;
    const double xs[] = { s->trial.value[e->findings.at[i]], lo, f->middle, f->low, f->high, lo + near + fmax(1, fabs(near) / 10), lo + near,
                          2 * fabs(near) + 1, 10 * fabs(near) + 1, f->to };
    for (size_t k = 0; k < FEN_COUNT(xs); k++)
        if (try_value(s, box, sum, e, i, xs[k]))
            return true;
    return false;
}

/* The kinds that are asked all of what is known. */
static bool fits_a_kind(const search *s, uint64_t *ret_kinds)
{
    const fen_base *b = s->v->base;
    uint64_t kinds = s->trial.state[0] == FEN_IS_KNOWN ? s->trial.picks[0] : s->v->boxes.full[0].in;
    for (fen_id f = 1; f < b->n_findings; f++) {
        uint64_t here = 0;
        if (s->trial.state[f] != FEN_IS_KNOWN || !b->findings[f].kinds.count)
            continue;
        for (uint32_t i = 0; i < b->findings[f].kinds.count; i++)
            here |= s->v->boxes.below[b->findings[f].kinds.at[i]];
        kinds &= here;
    }
    *ret_kinds = kinds;
    return kinds != 0;
}

static bool is_asked(fen_vetting *v, const fen_box *box, fen_id finding)
{
    const fen_region asked = fen_region_of(&v->boxes, v->base->findings[finding].ask_when, false);
    for (uint32_t i = 0; i < asked.n; i++)
        if (fen_box_meets(&v->boxes, box, &asked.at[i]))
            return true;
    return !asked.whole;
}

/* Fill the trial with answers that lie in BOX. */
static bool find_answers(search *s, const fen_box *box)
{
    const fen_base *b = s->v->base;
    uint64_t kinds;
    fen_trial_clear(&s->trial);
    for (uint32_t i = 0; i < box->n; i++) {
        if (box->at[i].var >= b->n_findings)
            continue;
        if (box->at[i].states == FEN_IS_KNOWN && !is_asked(s->v, box, box->at[i].var))
            return false;
        answer(s, &box->at[i]);
    }
    const fen_limit *kind = limit_of(box, FEN_KIND_FINDING);
    if (kind && kind->states == FEN_IS_KNOWN)
        s->trial.picks[FEN_KIND_FINDING] = kind->in; /* narrowed by what the kinds are asked */
    if (!fits_a_kind(s, &kinds))
        return false;
    if (kind && kind->states == FEN_IS_KNOWN)
        s->trial.picks[FEN_KIND_FINDING] = UINT64_C(1) << lowest(kinds);
    for (uint32_t i = 0; i < box->n; i++) {
        if (box->at[i].var < b->n_findings)
            continue;
        const fen_expr *e = &b->exprs[box->at[i].var - b->n_findings];
        if (!try_values(s, box, &box->at[i], e, 0))
            return false;
    }
    return true;
}

/* ---- telling ---- */

static void say_value(fen_str *out, const fen_finding *f, const fen_trial *t, fen_id finding)
{
    char text[FEN_QUANTITY_TEXT];
    uint32_t n = 0;
    if (f->type == FEN_QUANTITY || f->type == FEN_DATE) {
        fen_quantity_write(text, (fen_quantity){ t->value[finding], f->dim });
        fen_str_printf(out, "%s%s", text, f->type == FEN_DATE ? " ago" : "");
        return;
    }
    for (uint32_t o = 0; o < f->n_options; o++)
        if (t->picks[finding] >> o & 1)
            fen_str_printf(out, "%s%s", n++ ? " and " : "", f->options[o].id);
    if (!n)
        fen_str_puts(out, "none");
}

static void say_answers(fen_str *out, const fen_base *base, const fen_trial *t)
{
    uint32_t n = 0;
    for (fen_id f = 0; f < base->n_findings; f++) {
        if (t->state[f] == FEN_IS_OPEN || base->findings[f].derived)
            continue;
        fen_str_printf(out, "%s%s: ", n++ ? ", " : "", base->findings[f].id);
        if (t->state[f] == FEN_IS_UNSURE)
            fen_str_puts(out, "unsure");
        else
            say_value(out, &base->findings[f], t, f);
    }
    if (!n)
        fen_str_puts(out, "no answers at all");
}

static void tell(search *s, fen_id finding, fen_id r, fen_id other, fen_id a, fen_id c)
{
    const fen_base *b = s->v->base;
    fen_str answers;
    fen_str_init(&answers, FEN_LINE_MAX);
    say_answers(&answers, b, &s->trial);
    if (fen_str_status(&answers))
        s->v->nomem = true;
    else
        fen_vet_tell(s->v, FEN_CODE_CLASH, b->rules[other].place, "let one go 'over' the other, or narrow one",
                     "'%s' and '%s' make '%s' both '%s' and '%s' with these answers: %s", b->rules[r].id, b->rules[other].id,
                     b->findings[finding].id, b->findings[finding].options[a].id, b->findings[finding].options[c].id, answers.at);
    fen_str_free(&answers);
}

/* ---- pairs ---- */

static bool leads_to_both(search *s, fen_id finding, fen_id a, fen_id c)
{
    const uint64_t both = UINT64_C(1) << a | UINT64_C(1) << c;
    fen_trial_run(&s->trial);
    return (s->trial.derived[finding] & both) == both;
}

static bool may_meet(const fen_vetting *v, fen_region x, fen_region y)
{
    for (uint32_t i = 0; i < x.n; i++)
        for (uint32_t k = 0; k < y.n; k++)
            if (fen_box_meets(&v->boxes, &x.at[i], &y.at[k]))
                return true;
    return false;
}

static void try_pair(search *s, fen_id finding, fen_id a, fen_id r, fen_id c, fen_id other)
{
    fen_vetting *v = s->v;
    if (!may_meet(v, v->rule[r], v->rule[other]) || fen_vet_over(v->base, r, other) || fen_vet_over(v->base, other, r))
        return;
    s->tries++;
    const fen_region x = fen_vet_unfold(v, v->rule[r]), y = fen_vet_unfold(v, v->rule[other]);
    for (uint32_t i = 0; i < x.n && !v->nomem; i++)
        for (uint32_t k = 0; k < y.n && s->trial.work < WORK_MAX; k++) {
            fen_box both;
            if (!fen_box_both(&v->boxes, &x.at[i], &y.at[k], &both) || !find_answers(s, &both) || !leads_to_both(s, finding, a, c))
                continue;
            s->told[a] |= UINT64_C(1) << c;
            tell(s, finding, r, other, a, c);
            return;
        }
}

static void try_values_of(search *s, fen_id finding, fen_id a, fen_id c)
{
    const fen_net *net = &s->v->base->net;
    const fen_id first = s->v->base->findings[finding].first_atom;
    for (uint32_t i = net->sets_at[first + a]; i < net->sets_at[first + a + 1]; i++)
        for (uint32_t k = net->sets_at[first + c]; k < net->sets_at[first + c + 1]; k++) {
            if (s->v->nomem || s->told[a] >> c & 1 || s->pairs++ >= PAIRS_MAX || s->tries >= TRIES_MAX || s->trial.work >= WORK_MAX)
                return;
            try_pair(s, finding, a, net->sets[i], c, net->sets[k]);
        }
}

void fen_vet_clashes(fen_vetting *v)
{
    search s = { .v = v };
    if (fen_trial_begin(&s.trial, v->base, v->arena)) {
        v->nomem = true;
        return;
    }
    for (fen_id f = 0; f < v->base->n_findings; f++) {
        const fen_finding *x = &v->base->findings[f];
        memset(s.told, 0, sizeof s.told);
        for (uint32_t a = 0; x->derived && x->type != FEN_SEVERAL && a < x->n_options; a++)
            for (uint32_t c = a + 1; c < x->n_options; c++)
                try_values_of(&s, f, a, c);
    }
}
