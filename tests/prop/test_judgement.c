/* What a session says about its own verdict, on random bases, against plain
 * definitions computed by the slow engine or by a session that really was
 * answered so: expected gains, what accounts for a sign, covering sets, what
 * each answer would do, what would change the leader, what made the score.
 */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <string.h>
#include <time.h>

#include <cmocka.h>

#include "fenmend/why.h"
#include "support/oracle.h"
#include "support/slow_engine.h"
#include "support/snapshot.h"

/* ---- expected gain ----
 * P(answer | c) = usual * f / norm, f being 10^(shift of score(c) / 10); the gain
 * is the expected divergence of P after the answer from P now (Lindley 1956). */

typedef struct outlook {
    double f[RB_OPTIONS][RB_CAUSES + 1], usual[RB_OPTIONS], norm[RB_CAUSES + 1];
    slow_result now;
    bool lets_in; /* some answer lets an excluded cause back in: no divergence is finite then */
} outlook;

static void look_ahead(const rb_base *b, int finding, outlook *ret)
{
    static rb_base then;
    double all = 0;
    memset(ret, 0, sizeof *ret);
    slow_engine(b, &ret->now);
    for (int o = 0; o < b->finding[finding].n_options; o++)
        all += b->finding[finding].share[o];
    for (int o = 0; o < b->finding[finding].n_options; o++) {
        slow_result after;
        then = *b;
        then.answer[finding] = (fen_answer){.state = FEN_KNOWN, .picks = UINT64_C(1) << o};
        slow_engine(&then, &after);
        ret->usual[o] = b->finding[finding].share[o] / all;
        for (int c = 0; c <= b->n_causes; c++) {
            const bool last = c == b->n_causes;
            const bool out = !last && after.facts.out[c];
            ret->lets_in |= !last && ret->now.facts.out[c] && !out;
            ret->f[o][c] = out ? 0 : last ? 1 : pow(10, (double)(after.tenths[c] - ret->now.tenths[c]) / 100);
            ret->norm[c] += ret->usual[o] * ret->f[o][c];
        }
    }
}

static double defined_gain(const rb_base *b, int n_options, const outlook *x)
{
    double gain = 0;
    for (int o = 0; o < n_options; o++) {
        double chance = 0, mass = 0, bits = 0;
        for (int c = 0; c <= b->n_causes; c++) {
            chance += x->norm[c] > 0 ? x->usual[o] * x->now.p[c] * x->f[o][c] / x->norm[c] : 0;
            mass += x->now.p[c] * x->f[o][c];
        }
        for (int c = 0; c <= b->n_causes && mass > 0; c++)
            if (x->f[o][c] > 0)
                bits += x->now.p[c] * x->f[o][c] / mass * log2(x->f[o][c] / mass);
        gain += chance * bits;
    }
    return gain;
}

static const char *wrong_gain(const rb_base *b, fen_session *s)
{
    static outlook x;
    for (int f = 1; f < b->n_findings; f++) {
        const fen_type type = b->finding[f].type;
        if (!fen_session_askable(s, (fen_id)f) || (type != FEN_CHOICE && type != FEN_YES_NO))
            continue;
        look_ahead(b, f, &x);
        if (!x.lets_in && !(fabs(fen_session_gain(s, (fen_id)f) - defined_gain(b, b->finding[f].n_options, &x)) <= 1e-9))
            return "an expected gain";
    }
    return NULL;
}

/* ---- covering ---- */

static unsigned sign_bits[RB_FINDINGS]; /* what one cause uses, by finding */
static uint64_t seen_rules;

static void use_rule(const rb_base *b, const slow_result *x, int rule);

/* A sign is used where a true test needed its presence; through a derived value,
 * by the fired rules that set it. */
static void use_cond(const rb_base *b, const slow_result *x, int cond, bool negated)
{
    const rb_cond *c = &b->cond[cond];
    for (int i = 0; i < c->n_parts; i++)
        use_cond(b, x, c->part[i], negated != (c->op == RB_NONE));
    if (c->n_parts > 0 || c->op != RB_IS || negated)
        return;
    const rb_finding *f = &b->finding[c->finding];
    const uint64_t have = f->derived ? x->facts.derived[c->finding] : b->answer[c->finding].picks;
    if (!(have >> c->option & 1))
        return;
    sign_bits[c->finding] |= x->signs[c->finding] & 1u << c->option;
    for (int r = 0; r < b->n_rules && f->derived; r++)
        for (int k = 0; k < b->rule[r].n_effects; k++) {
            const rb_effect *e = &b->rule[r].effect[k];
            if (e->op == FEN_DERIVE && e->target == c->finding && e->option == c->option)
                use_rule(b, x, r);
        }
}

static void use_rule(const rb_base *b, const slow_result *x, int rule)
{
    if (x->facts.rule[rule] != FEN_FIRED || (seen_rules >> rule & 1))
        return;
    seen_rules |= UINT64_C(1) << rule;
    if (b->rule[rule].cond >= 0)
        use_cond(b, x, b->rule[rule].cond, false);
}

static void find_accounts(const rb_base *b, const slow_result *x, int cause)
{
    memset(sign_bits, 0, sizeof sign_bits);
    seen_rules = 0;
    for (int r = 0; r < b->n_rules && !x->facts.out[cause]; r++)
        for (int k = 0; k < b->rule[r].n_effects; k++) {
            const rb_effect *e = &b->rule[r].effect[k];
            if (e->op == FEN_WEIGH && e->target == cause && e->tenths > 0)
                use_rule(b, x, r);
        }
}

/* The signs present, numbered as in the verdict; what each cause accounts for. */
static const char *wrong_accounts(const rb_base *b, fen_session *s, const slow_result *x, uint64_t ret_set[RB_CAUSES])
{
    const fen_verdict *v = fen_session_verdict(s);
    for (int c = 0; c < b->n_causes; c++) {
        find_accounts(b, x, c);
        ret_set[c] = 0;
        for (uint32_t i = 0; i < v->signs.count && i < 64; i++) {
            const fen_test *t = fen_base_test(fen_session_base(s), v->signs.at[i]);
            const bool want = sign_bits[t->finding] >> t->option & 1u;
            if (want != fen_session_accounts(s, (fen_id)c, v->signs.at[i]))
                return "what a cause accounts for";
            ret_set[c] |= (uint64_t)want << i;
        }
    }
    return NULL;
}

static double set_score(const rb_base *b, const slow_result *x, unsigned set)
{
    double sum = 0;
    for (int c = 0; c < b->n_causes; c++)
        if (set >> c & 1u)
            sum += log10(x->p[c]);
    return sum;
}

static const char *wrong_covering(const rb_base *b, fen_session *s)
{
    slow_result x;
    uint64_t set[RB_CAUSES], all = 0, covered = 0;
    slow_engine(b, &x);
    const fen_verdict *v = fen_session_verdict(s);
    if (v->signs.count > 64)
        return NULL;
    const char *what = wrong_accounts(b, s, &x, set);
    if (what)
        return what;
    for (int c = 0; c < b->n_causes; c++) {
        if (x.p[c] > 0 && x.p[c] < 0.006)
            return NULL; /* the rule about unlikely causes has its own unit test */
        all |= set[c];
    }
    unsigned have = 0;
    for (uint32_t i = 0; i < v->covering.count; i++) {
        have |= 1u << v->covering.at[i];
        covered |= set[v->covering.at[i]];
    }
    if (covered != all || !v->covering_exact)
        return "a covering set that does not cover";
    if ((uint32_t)__builtin_popcountll(all) + v->unexplained.count != v->signs.count)
        return "the unexplained signs";
    for (unsigned other = 0; other < 1u << b->n_causes; other++) {
        uint64_t bits = 0;
        for (int c = 0; c < b->n_causes; c++)
            bits |= other >> c & 1u ? set[c] : 0;
        if (bits != all)
            continue;
        const int size = __builtin_popcount(other), best = __builtin_popcount(have);
        if (size < best)
            return "a covering set that is not the smallest";
        if (size == best && set_score(b, &x, other) > set_score(b, &x, have) + 1e-9)
            return "a covering set that is not the most probable";
    }
    return NULL;
}

/* ---- what each answer would do ---- */

static const char *wrong_outcomes(const rb_base *b, fen_session *s)
{
    for (int f = 1; f < b->n_findings; f++) {
        fen_outcomes *o = NULL;
        const char *what = NULL;
        double chances = 0;
        if (!fen_session_askable(s, (fen_id)f))
            continue;
        if (fen_why_outcomes(s, (fen_id)f, &o) != FEN_OK)
            return "no memory";
        for (size_t i = 0; i < o->count && !what; i++) {
            chances += o->at[i].chance;
            if (fen_session_answer(s, (fen_id)f, o->at[i].answer) != FEN_OK)
                what = "an outcome of an answer that does not fit";
            const fen_verdict *v = fen_session_verdict(s);
            const bool any = v->ranking.count > 0;
            if (!what && (any ? v->ranking.at[0] : FEN_NONE) != o->at[i].leader && any && !(fabs(v->p[v->ranking.at[0]] - v->p[o->at[i].leader == FEN_NONE ? 0 : o->at[i].leader]) <= 1e-12))
                what = "the leader after an answer";
            if (!what && any && !(fabs(v->p[v->ranking.at[0]] - o->at[i].p) <= 1e-9))
                what = "the leader's probability after an answer";
        }
        if (!what && chances > 1 + 1e-9)
            what = "chances of answers above one";
        fen_outcomes_free(o);
        if (fen_session_answer(s, (fen_id)f, (fen_answer){.state = FEN_OPEN}) != FEN_OK)
            what = "taking back is refused";
        if (what)
            return what;
    }
    return NULL;
}

/* ---- what would change the leader ---- */

static bool leads_after(const rb_base *b, fen_session *s, const fen_change *change, size_t n, fen_id leader, double p)
{
    bool fine = true;
    for (size_t i = 0; i < n; i++)
        fine &= fen_session_answer(s, change[i].finding, change[i].to) == FEN_OK;
    const fen_verdict *v = fen_session_verdict(s);
    fine = fine && v->ranking.count > 0 && v->ranking.at[0] == leader && fabs(v->p[leader] - p) <= 1e-9;
    for (size_t i = 0; i < n; i++)
        fine &= fen_session_answer(s, change[i].finding, b->answer[change[i].finding]) == FEN_OK;
    return fine;
}

/* Does one other answer to a choice or a yes-no change the leader? */
static bool one_change_does(const rb_base *b, fen_session *s, fen_id leader)
{
    for (int f = 1; f < b->n_findings; f++) {
        const rb_finding *x = &b->finding[f];
        if (x->derived || b->answer[f].state != FEN_KNOWN || (x->type != FEN_CHOICE && x->type != FEN_YES_NO))
            continue;
        for (int o = 0; o < x->n_options; o++) {
            const bool ok = fen_session_answer(s, (fen_id)f, (fen_answer){.state = FEN_KNOWN, .picks = UINT64_C(1) << o}) == FEN_OK;
            const fen_verdict *v = fen_session_verdict(s);
            const bool other = ok && v->ranking.count > 0 && v->ranking.at[0] != leader && v->p[v->ranking.at[0]] > v->p[leader] + 1e-9;
            if (fen_session_answer(s, (fen_id)f, b->answer[f]) != FEN_OK || other)
                return other;
        }
    }
    return false;
}

static const char *wrong_flip(const rb_base *b, fen_session *s)
{
    fen_flip flip;
    if (fen_why_flip(s, &flip) != FEN_OK)
        return "no memory";
    const fen_verdict *v = fen_session_verdict(s);
    if (v->ranking.count == 0)
        return flip.from == FEN_NONE && flip.n_changes == 0 ? NULL : "a flip of nothing";
    if (flip.from != v->ranking.at[0])
        return "the leader before a flip";
    if (flip.n_changes > 0 && !leads_after(b, s, flip.change, flip.n_changes, flip.to, flip.p))
        return "the leader after a flip";
    if (flip.n_changes != 1 && one_change_does(b, s, flip.from))
        return "a flip that one change would do";
    return NULL;
}

/* ---- what made the score ---- */

static const char *wrong_lines(const fen_because *w, const slow_result *x, int cause)
{
    uint64_t listed = 0;
    fen_weight sum = 0;
    for (int side = 0; side < 2; side++) {
        const fen_line *at = side ? w->contra : w->pro;
        const size_t n = side ? w->n_contra : w->n_pro;
        for (size_t i = 0; i < n; i++) {
            if (at[i].depth > 0 || at[i].type != FEN_LINE_RULE)
                continue;
            if (listed >> at[i].rule & 1)
                return "a rule told twice";
            if (x->facts.rule[at[i].rule] != FEN_FIRED || (side == 0 && at[i].weight <= 0) || (side == 1 && at[i].weight >= 0))
                return "a rule on the wrong side";
            listed |= UINT64_C(1) << at[i].rule;
            sum += x->facts.out[cause] ? 0 : at[i].weight; /* what excludes has no weight that could be added */
        }
    }
    return x->facts.out[cause] || sum == x->tenths[cause] * (FEN_DBAN / 10) ? NULL : "the weights told do not add up to the score";
}

/* Sixty rules can hold loops through which there are millions of ways; to tell
 * what a rule waits for must not go them all. Not shrunk: that would take hours. */
static const char too_long[] = "an explanation that takes too long";
#define LONG_MS 200

static const char *wrong_because(const rb_base *b, fen_session *s)
{
    slow_result x;
    slow_engine(b, &x);
    const clock_t start = clock();
    for (int c = 0; c < b->n_causes; c++) {
        fen_because *w = NULL;
        if (fen_why_because(s, (fen_id)c, &w) != FEN_OK)
            return "no memory";
        const char *what = wrong_lines(w, &x, c);
        if (!what && !(fabs(w->p - x.p[c]) <= 1e-12))
            what = "the probability told";
        if (!what && w->excluded != x.facts.out[c])
            what = "whether it is excluded";
        for (uint32_t i = 0; i < w->beaten.count && !what; i++)
            if (x.facts.rule[w->beaten.at[i]] != FEN_BEATEN)
                what = "a rule told as beaten";
        for (size_t i = 0; i < w->n_pending && !what; i++)
            if (x.facts.rule[w->pending[i].rule] != FEN_PENDING)
                what = "a rule told as pending";
        fen_because_free(w);
        if (what)
            return what;
    }
    return (clock() - start) * 1000 / CLOCKS_PER_SEC > LONG_MS ? too_long : NULL;
}

static const char *wrong_contrast(const rb_base *b, fen_session *s)
{
    slow_result x;
    slow_engine(b, &x);
    for (fen_id a = 0; a + 1 < (fen_id)b->n_causes; a++) {
        fen_contrast *c = NULL;
        fen_weight apart = 0;
        if (fen_why_contrast(s, a, a + 1, &c) != FEN_OK)
            return "no memory";
        bool fine = fabs(c->p_a - x.p[a]) <= 1e-12 && fabs(c->p_b - x.p[a + 1]) <= 1e-12;
        for (size_t i = 0; i < c->n_rows; i++) {
            apart += c->row[i].for_a - c->row[i].for_b;
            fine &= x.facts.rule[c->row[i].rule] == FEN_FIRED && c->row[i].for_a != c->row[i].for_b;
        }
        fine &= apart == (x.tenths[a] - x.tenths[a + 1]) * (FEN_DBAN / 10);
        fine &= c->ask == FEN_NONE || fen_session_askable(s, c->ask);
        fen_contrast_free(c);
        if (!fine)
            return "a contrast";
    }
    return NULL;
}

/* ---- running ---- */

typedef const char *(*judge)(const rb_base *b, fen_session *s);

/* What is wrong, or NULL; afterwards the session must be as it was. */
static const char *run(const rb_base *b, judge wrong)
{
    static snapshot before, after;
    fen_base *base = NULL;
    fen_session *s = NULL;
    rb_refusal refusal;
    const char *what = NULL;
    if (rb_build(b, NULL, &base, &refusal) == FEN_OK && !refusal.refused && fen_session_new(base, RB_TODAY, &s) == FEN_OK && rb_answer_all(b, s) == FEN_OK) {
        snap_take(b, s, true, &before);
        what = wrong(b, s);
        snap_take(b, s, true, &after);
        if (!what)
            what = snap_differs(&before, &after);
    }
    fen_session_free(s);
    fen_base_free(base);
    return what;
}

static bool still_wrong(const rb_base *b, void *context)
{
    rb_needs needs;
    rb_find_needs(b, false, &needs);
    return rb_stratified(b, &needs) && run(b, *(judge *)context) != NULL;
}

typedef struct replay {
    judge wrong;
    int bad;
} replay;

static void replay_one(void *context, const rb_base *b, const char *path)
{
    replay *r = context;
    rb_needs needs;
    rb_find_needs(b, false, &needs);
    const char *what = rb_stratified(b, &needs) ? run(b, r->wrong) : NULL;
    if (what)
        print_error("%s: %s\n", path, what);
    r->bad += what != NULL;
}

static void campaign(judge wrong, const char *name, uint64_t first_seed, int count)
{
    static rb_base b;
    replay kept = {.wrong = wrong};
    int bad = 0;
    for_each_kept(replay_one, &kept);
    for (int i = 0; i < count; i++) {
        rb_needs needs;
        rb_generate(&b, first_seed + (uint64_t)i, i % 4 == 0);
        rb_find_needs(&b, false, &needs);
        const char *what = rb_stratified(&b, &needs) ? run(&b, wrong) : NULL;
        if (!what)
            continue;
        if (bad++ > 0)
            continue;
        char file[64];
        print_error("seed %llu: %s\n", (unsigned long long)b.seed, what);
        snprintf(file, sizeof file, "%s-%llu", name, (unsigned long long)b.seed);
        if (what != too_long)
            rb_shrink(&b, still_wrong, &wrong);
        what = run(&b, wrong);
        print_error("shrunk: %s\n", what ? what : "nothing any more");
        rb_keep(&b, file);
    }
    if (bad > 0)
        print_error("%d of %d bases\n", bad, count);
    assert_int_equal(bad + kept.bad, 0);
}

static void expected_gains_follow_their_definition(void **state)
{
    (void)state;
    campaign(wrong_gain, "gain", 11000000, 6000);
}

static void covering_sets_are_the_smallest_and_most_probable(void **state)
{
    (void)state;
    campaign(wrong_covering, "cover", 12000000, 12000);
}

static void what_an_answer_would_do_is_what_it_does(void **state)
{
    (void)state;
    campaign(wrong_outcomes, "outcome", 13000000, 6000);
}

static void a_flip_is_true_and_no_smaller_one_is_missed(void **state)
{
    (void)state;
    campaign(wrong_flip, "flip", 14000000, 400);
}

static void a_chain_adds_up_to_the_score(void **state)
{
    (void)state;
    campaign(wrong_because, "because", 15000000, 6000);
}

static void a_contrast_holds_what_separates_two_causes(void **state)
{
    (void)state;
    campaign(wrong_contrast, "contrast", 16000000, 3000);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(expected_gains_follow_their_definition),
        cmocka_unit_test(covering_sets_are_the_smallest_and_most_probable),
        cmocka_unit_test(what_an_answer_would_do_is_what_it_does),
        cmocka_unit_test(a_flip_is_true_and_no_smaller_one_is_missed),
        cmocka_unit_test(a_chain_adds_up_to_the_score),
        cmocka_unit_test(a_contrast_holds_what_separates_two_causes),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
