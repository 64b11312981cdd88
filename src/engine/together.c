/* together.c -- rules that need several answers at once.
 *
 * A rule on two open findings moves nothing when either is tried alone, so by
 * gain alone neither would ever be asked. For each rule that is still open, the
 * cheapest set of answers that makes it fire is looked for, down through derived
 * findings and questions that only make sense after others; the set is tried as
 * a whole; and what "it fires" would tell is divided by the effort of all the
 * questions. The cheapest finding of the best set is asked first: if its answer
 * refutes the rule, the dear ones are never asked.
 */
#include <assert.h>
#include <math.h>
#include <string.h>

#include "scratch.h"

#define SEARCH_DEPTH 6   /* derived findings behind derived findings */
#define SEARCH_WORK 2000 /* tests looked at for one rule: no honest pack comes near */

typedef struct search {
    fen_session *s;
    int depth, work;
    fen_id path[SEARCH_DEPTH]; /* derived values being planned: none can rest on itself */
} search;

static bool plan_cond(search *k, fen_id cond, bool negated);

static int planned(const struct fen_scratch *x, fen_id finding)
{
    for (uint32_t i = 0; i < x->n_plan; i++)
        if (x->plan_finding[i] == finding)
            return (int)i;
    return -1;
}

/* Would A make the test of FINDING what is wanted? Only for tests of one base
 * finding. */
static bool would_hold(fen_session *s, fen_id test, fen_id finding, const fen_answer *a, bool negated)
{
    const fen_test *x = &s->base->tests[test];
    fen_truth t;
    if (x->op == FEN_TEST_ATOM && finding != FEN_KIND_FINDING) {
        t = a->picks >> x->option & 1 ? 1 : -1; /* most are of this sort */
    } else {
        const fen_answer kept = s->given[finding];
        s->given[finding] = *a;
        t = fen_truth_of(s, test);
        s->given[finding] = kept;
    }
    return negated ? t < 0 : t > 0;
}

/* A finding is planned once: what makes a question askable may have planned it before. */
static bool push(search *k, fen_id finding, fen_answer a, double usual, uint32_t at)
{
    struct fen_scratch *x = k->s->scratch;
    if (x->n_plan == FEN_PLAN_MAX || !(usual > 0) || planned(x, finding) >= 0)
        return false;
    x->plan_finding[x->n_plan] = finding;
    x->plan_answer[x->n_plan] = a;
    x->plan_at[x->n_plan] = at;
    x->plan_usual[x->n_plan++] = usual;
    return true;
}

/* The most usual listed answer that makes the test right; its share is that of
 * all that would. */
static struct chosen choose(fen_session *s, fen_id test, fen_id finding, bool negated)
{
    const struct fen_scratch *x = s->scratch;
    struct chosen c = { .known = x->listing[finding].lasts && s->base->findings[finding].type != FEN_DATE &&
                                s->base->tests[test].op != FEN_TEST_EXPR };
    double best = -1;
    for (uint32_t i = 0; i < x->n_answers; i++) {
        const possible *p = &x->answers[i];
        if (!would_hold(s, test, finding, &p->answer, negated))
            continue;
        c.share += p->usual;
        if (p->usual > best) {
            best = p->usual;
            c.at = i;
        }
    }
    return c;
}

/* It is the same one whenever the listing is one that lasts. */
static bool plan_answer(search *k, fen_id test, fen_id finding, bool negated)
{
    fen_session *s = k->s;
    struct fen_scratch *x = s->scratch;
    struct chosen *c = &x->chosen[2 * test + negated];
    fen_list_answers(s, finding);
    const bool lasts = x->listing[finding].lasts;
    const struct chosen now = lasts && c->known ? *c : choose(s, test, finding, negated);
    if (now.known)
        *c = now;
    return now.share > 0 && push(k, finding, x->answers[now.at].answer, now.share, lasts ? now.at : FEN_NONE);
}

/* A finding already planned must also suit this test; answers of a `several`
 * may be added to. */
static bool suit_planned(search *k, int at, fen_id test, bool negated)
{
    fen_session *s = k->s;
    struct fen_scratch *x = s->scratch;
    const fen_test *t = &s->base->tests[test];
    const fen_finding *f = &s->base->findings[x->plan_finding[at]];
    if (would_hold(s, test, x->plan_finding[at], &x->plan_answer[at], negated))
        return true;
    const uint64_t picks = x->plan_answer[at].picks | UINT64_C(1) << t->option;
    if (f->type != FEN_SEVERAL || t->op != FEN_TEST_ATOM || negated || !fen_finding_fits(f, picks))
        return false;
    x->plan_answer[at].picks = picks;
    x->plan_at[at] = FEN_NONE;
    x->plan_usual[at] *= f->options[t->option].usual;
    return x->plan_usual[at] > 0;
}

/* FINDING must be one that can be asked, or become one by the plan. */
static bool plan_asking(search *k, fen_id finding)
{
    const fen_truth may = k->s->scratch->askable[finding];
    if (may < 0 || k->depth >= SEARCH_DEPTH)
        return false;
    k->path[k->depth] = FEN_NONE;
    if (may > 0)
        return true;
    k->depth++;
    const bool ok = plan_cond(k, k->s->base->findings[finding].ask_when, false);
    k->depth--;
    return ok;
}

/* What has been planned since MARK, to be compared with another way. */
typedef struct way {
    fen_id finding[FEN_PLAN_MAX];
    fen_answer answer[FEN_PLAN_MAX];
    double usual[FEN_PLAN_MAX];
    uint32_t at[FEN_PLAN_MAX];
    uint32_t n;
    double effort, chance;
} way;

static double effort_since(const fen_session *s, uint32_t from)
{
    double sum = 0;
    for (uint32_t i = from; i < s->scratch->n_plan; i++)
        sum += s->base->settings.effort[s->base->findings[s->scratch->plan_finding[i]].effort];
    return sum;
}

static way way_since(const fen_session *s, uint32_t mark)
{
    const struct fen_scratch *x = s->scratch;
    way w = { .n = x->n_plan - mark, .effort = effort_since(s, mark), .chance = 1 };
    for (uint32_t i = 0; i < w.n; i++) {
        w.finding[i] = x->plan_finding[mark + i];
        w.answer[i] = x->plan_answer[mark + i];
        w.usual[i] = x->plan_usual[mark + i];
        w.at[i] = x->plan_at[mark + i];
        w.chance *= w.usual[i];
    }
    return w;
}

static void take_way(fen_session *s, uint32_t mark, const way *w)
{
    struct fen_scratch *x = s->scratch;
    for (uint32_t i = 0; i < w->n; i++) {
        x->plan_finding[mark + i] = w->finding[i];
        x->plan_answer[mark + i] = w->answer[i];
        x->plan_usual[mark + i] = w->usual[i];
        x->plan_at[mark + i] = w->at[i];
    }
    x->n_plan = mark + w->n;
}

/* Less effort, then the likelier, then by findings and answers: never by the
 * order of the rules. */
static bool better_way(const way *a, const way *b)
{
    if (a->effort != b->effort)
        return a->effort < b->effort;
    if (a->chance != b->chance)
        return a->chance > b->chance;
    for (uint32_t i = 0; i < a->n && i < b->n; i++) {
        if (a->finding[i] != b->finding[i])
            return a->finding[i] < b->finding[i];
        if (a->answer[i].picks != b->answer[i].picks)
            return a->answer[i].picks < b->answer[i].picks;
        if (a->answer[i].value != b->answer[i].value)
            return a->answer[i].value < b->answer[i].value;
    }
    return a->n < b->n;
}

static bool on_path(const search *k, int depth, fen_id atom)
{
    for (int i = 0; i < depth; i++)
        if (k->path[i] == atom)
            return true;
    return false;
}

/* Every rule that would set the value, or for a denied one another value. */
static bool plan_derived(search *k, const fen_test *t, bool negated)
{
    const fen_session *s = k->s;
    const fen_net *net = &s->base->net;
    struct fen_scratch *x = s->scratch;
    if (k->depth >= SEARCH_DEPTH || t->op != FEN_TEST_ATOM)
        return false;
    const fen_finding *f = &s->base->findings[t->finding];
    const uint32_t mark = x->n_plan;
    const int depth = k->depth++;
    bool ok = false;
    way best = { 0 };
    for (uint32_t o = 0; o < f->n_options; o++) {
        const fen_id atom = f->first_atom + o;
        if ((o == t->option) == negated || on_path(k, depth, atom))
            continue;
        k->path[depth] = atom;
        for (uint32_t i = net->sets_at[atom]; i < net->sets_at[atom + 1]; i++) {
            x->n_plan = mark;
            if (s->rule[net->sets[i]].blockers || !plan_cond(k, s->base->rules[net->sets[i]].cond, false))
                continue;
            const way w = way_since(s, mark);
            if (!ok || better_way(&w, &best))
                best = w;
            ok = true;
        }
    }
    k->depth--;
    x->n_plan = mark;
    if (ok)
        take_way(k->s, mark, &best);
    return ok;
}

/* Unless what makes another finding askable has planned it meanwhile. */
static bool plan_middle(search *k, fen_id finding)
{
    const fen_session *s = k->s;
    const fen_finding *f = &s->base->findings[finding];
    if (planned(s->scratch, finding) >= 0)
        return true;
    return !isnan(f->middle) && push(k, finding, (fen_answer){ FEN_KNOWN, 0, f->type == FEN_DATE ? s->today - f->middle : f->middle }, 1, FEN_NONE);
}

/* An expression: all but one open finding at their middle, the last so that it holds. */
static bool plan_expr(search *k, fen_id test, bool negated)
{
    const fen_session *s = k->s;
    const fen_list of = s->base->exprs[s->base->tests[test].expr].findings;
    fen_id last = FEN_NONE;
    for (uint32_t i = 0; i < of.count; i++) {
        if (s->given[of.at[i]].state == FEN_KNOWN)
            continue;
        if (planned(s->scratch, of.at[i]) >= 0 || !plan_asking(k, of.at[i]))
            return false;
        if (last != FEN_NONE && !plan_middle(k, last))
            return false;
        last = of.at[i];
    }
    if (last == FEN_NONE || planned(s->scratch, last) >= 0)
        return false;
    /* the planned ones count while the last is chosen */
    struct fen_scratch *x = s->scratch;
    fen_answer kept[FEN_PLAN_MAX];
    const uint32_t n = x->n_plan;
    for (uint32_t i = 0; i < n; i++) {
        kept[i] = s->given[x->plan_finding[i]];
        s->given[x->plan_finding[i]] = x->plan_answer[i];
    }
    const bool ok = plan_answer(k, test, last, negated);
    for (uint32_t i = n; i-- > 0;)
        s->given[x->plan_finding[i]] = kept[i];
    return ok;
}

static bool plan_test(search *k, fen_id test, bool negated)
{
    const fen_session *s = k->s;
    const fen_test *t = &s->base->tests[test];
    const bool derived = t->op != FEN_TEST_EXPR && s->base->findings[t->finding].derived;
    const fen_truth now = derived ? fen_truth_now(s, test) : s->truth[test];
    if (++k->work > SEARCH_WORK)
        return false;
    if (now)
        return negated ? now < 0 : now > 0;
    if (t->op == FEN_TEST_EXPR)
        return plan_expr(k, test, negated);
    if (t->op == FEN_TEST_UNSURE || t->op == FEN_TEST_UNKNOWN)
        return false;
    if (derived)
        return plan_derived(k, t, negated);
    const int at = planned(s->scratch, t->finding);
    if (at >= 0)
        return suit_planned(k, at, test, negated);
    return plan_asking(k, t->finding) && plan_answer(k, test, t->finding, negated);
}

/* One of the parts: the one that costs least. */
static bool plan_any(search *k, const fen_cond *c, bool negated)
{
    struct fen_scratch *x = k->s->scratch;
    const uint32_t mark = x->n_plan;
    uint32_t best = UINT32_MAX;
    double least = INFINITY;
    for (uint32_t i = 0; i < c->parts.count; i++) {
        x->n_plan = mark;
        if (plan_cond(k, c->parts.at[i], negated) && effort_since(k->s, mark) < least) {
            least = effort_since(k->s, mark);
            best = i;
        }
    }
    x->n_plan = mark;
    return best != UINT32_MAX && plan_cond(k, c->parts.at[best], negated);
}

static bool plan_cond(search *k, fen_id cond, bool negated)
{
    if (cond == FEN_NONE)
        return !negated;
    const fen_cond *c = &k->s->base->conds[cond];
    if (c->op == FEN_COND_TEST)
        return plan_test(k, c->test, negated);
    const bool parts_negated = c->op == FEN_COND_NONE ? !negated : negated;
    const bool all = (c->op == FEN_COND_ANY) == negated;
    if (!all)
        return plan_any(k, c, parts_negated);
    const uint32_t mark = k->s->scratch->n_plan;
    for (uint32_t i = 0; i < c->parts.count; i++)
        if (!plan_cond(k, c->parts.at[i], parts_negated)) {
            k->s->scratch->n_plan = mark;
            return false;
        }
    return true;
}

/* -- worth ---------------------------------------------------------------- */

/* Bits expected from learning that the whole plan holds, as one yes-or-no. */
static double plan_gain(fen_session *s)
{
    struct fen_scratch *x = s->scratch;
    double usual = 1;
    bool ignored;
    for (uint32_t i = 0; i < x->n_plan; i++)
        usual *= x->plan_usual[i];
    const fen_shifts shifts = { x->shift, fen_peek(s, x->plan_finding, x->plan_answer, x->n_plan, x->shift, &ignored) };
    double chance = usual; /* P(plan holds): sum over causes of p * usual f / (1 + usual (f - 1)) */
    for (uint32_t i = 0; i < shifts.n; i++) {
        const double f = shifts.at[i].factor;
        chance += x->p[shifts.at[i].cause] * (usual * f / (1 + usual * (f - 1)) - usual);
    }
    const fen_sums sums = fen_sum_shifts(s, shifts, x->p);
    return chance > 0 ? chance * fen_surprise(s, shifts, &sums) : 0;
}

static fen_id cheapest_first(const fen_session *s)
{
    const struct fen_scratch *x = s->scratch;
    fen_id best = FEN_NONE;
    for (uint32_t i = 0; i < x->n_plan; i++) {
        const fen_id f = x->plan_finding[i];
        if (x->askable[f] <= 0)
            continue; /* not before another answer of the plan */
        const fen_effort e = s->base->findings[f].effort;
        if (best == FEN_NONE || e < s->base->findings[best].effort || (e == s->base->findings[best].effort && f < best))
            best = f;
    }
    return best;
}

/* More worth; among equals the finding declared first, then the rule's name, so
 * that the order of the rules decides nothing. */
static bool better_line(const fen_session *s, const fen_line_of_questions *a, const fen_line_of_questions *b)
{
    if (b->finding == FEN_NONE || fabs(a->worth - b->worth) > 1e-12)
        return a->worth > b->worth;
    if (a->finding != b->finding)
        return a->finding < b->finding;
    return strcmp(s->base->rules[a->rule].id, s->base->rules[b->rule].id) < 0;
}

/* -- which rules ---------------------------------------------------------- */

static void try_line(fen_session *s, fen_id r, double floor, fen_line_of_questions *best)
{
    struct fen_scratch *x = s->scratch;
    search k = { .s = s };
    x->n_plan = 0;
    if (!plan_cond(&k, s->base->rules[r].cond, false) || x->n_plan < 2)
        return;
    const double effort = effort_since(s, 0);
    const double enough = (fen_larger(floor, best->worth) - FEN_ROUNDING) * effort;
    if (fen_most_gain(s, r, enough) < enough) {
        x->n_bounded++;
        return;
    }
    x->n_lines++;
    const double gain = plan_gain(s), worth = gain / effort;
    const fen_line_of_questions line = { r, cheapest_first(s), gain, worth };
    if (line.finding != FEN_NONE && better_line(s, &line, best))
        *best = line;
}

/* A rule on one finding needs two answers while it is open whether that makes
 * sense to ask. */
static bool may_need_two(const fen_session *s, fen_id r)
{
    const fen_id finding = s->base->net.line[r];
    return finding == FEN_NONE || s->scratch->askable[finding] == 0;
}

static bool may_fire(const fen_session *s, fen_id r)
{
    const rule_state *now = &s->rule[r];
    return s->left[r] > 0 && !now->fired && !now->blockers && fen_truth_of_kinds(s, s->base->rules[r].kinds) >= 0;
}

void fen_best_together(fen_session *s, double floor, fen_line_of_questions *ret)
{
    const fen_list lines = s->view->lines;
    *ret = (fen_line_of_questions){ FEN_NONE, FEN_NONE, 0, 0 };
    for (uint32_t i = 0; i < lines.count; i++)
        if (may_need_two(s, lines.at[i]) && may_fire(s, lines.at[i]))
            try_line(s, lines.at[i], floor, ret);
}
