/* Expected gains by the engine, which reads them off counters and remembers them
 * from plant to plant, against the plain definition: every answer is really given,
 * and the verdict after it compared with the verdict before.
 *
 * P(answer | cause) is usual * 10^(change of score / 10), over the sum of that for
 * all answers; the gain is the divergence of P after the answer from P before it,
 * on average over the answers (Lindley 1956, Ann. Math. Stat. 27(4):986-1005).
 * One session goes through many plants, so that what is remembered is put to the
 * test; how often each way of telling was taken is counted, so that none is left out.
 *
 * And what several answers at once are said to do, against giving them.
 */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "engine/scratch.h"
#include "fenmend/session.h"
#include "fenmend/why.h"
#include "support/plants.h"

typedef struct ways { /* in which answers were looked at */
    uint64_t remembered, peeked, tried, compared;
} ways;

static void add_ways(void *ctx, const fen_session *s)
{
    ways *to = ctx;
    to->remembered += s->scratch->n_remembered;
    to->peeked += s->scratch->n_peeked;
    to->tried += s->scratch->n_tried;
}

/* ---- the definition ---- */

typedef struct look { /* the verdict under one answer */
    double p, factor; /* by cause: after it; 10^(change of score / 10), 0 if it is out */
} look;

/* False: a cause that was out is let in, and no divergence is finite. */
static bool really_answer(fen_session *s, fen_id finding, fen_answer a, const double *p, const fen_weight *score, look *ret)
{
    const uint32_t n = fen_base_causes(fen_session_base(s));
    assert_int_equal(fen_session_answer(s, finding, a), FEN_OK);
    const fen_verdict *v = fen_session_verdict(s);
    bool finite = true;
    for (fen_id c = 0; c < n; c++) {
        ret[c].p = v->p[c];
        ret[c].factor = v->p[c] > 0 ? pow(10, (double)(v->score[c] - score[c]) / (double)FEN_DBAN / 10) : 0;
        finite &= p[c] > 0 || !(v->p[c] > 0);
    }
    assert_int_equal(fen_session_answer(s, finding, (fen_answer){.state = FEN_OPEN}), FEN_OK);
    return finite;
}

static double divergence(const look *after, const double *p, uint32_t n)
{
    double bits = 0;
    for (uint32_t c = 0; c < n; c++)
        if (after[c].p > 0)
            bits += after[c].p * log2(after[c].p / p[c]);
    return bits;
}

/* NaN: some cause is let in. */
static double defined_gain(fen_session *s, fen_id finding)
{
    const uint32_t n = fen_base_causes(fen_session_base(s));
    const fen_verdict *v = fen_session_verdict(s);
    fen_list_answers(s, finding);
    const uint32_t n_answers = s->scratch->n_answers;
    double *p = calloc(n, sizeof *p), *norm = calloc(n, sizeof *norm), gain = 0;
    fen_weight *score = calloc(n, sizeof *score);
    possible *answer = calloc(n_answers + 1, sizeof *answer);
    look *after = calloc((size_t)n * n_answers + 1, sizeof *after);
    memcpy(p, v->p, n * sizeof *p);
    memcpy(score, v->score, n * sizeof *score);
    memcpy(answer, s->scratch->answers, n_answers * sizeof *answer);
    for (uint32_t i = 0; i < n_answers; i++) {
        if (!really_answer(s, finding, answer[i].answer, p, score, after + (size_t)i * n))
            gain = NAN;
        for (uint32_t c = 0; c < n; c++)
            norm[c] += answer[i].usual * after[(size_t)i * n + c].factor;
    }
    for (uint32_t i = 0; i < n_answers; i++) {
        double chance = 0;
        for (uint32_t c = 0; c < n; c++)
            chance += norm[c] > 0 ? answer[i].usual * p[c] * after[(size_t)i * n + c].factor / norm[c] : 0;
        gain += chance * divergence(after + (size_t)i * n, p, n);
    }
    free(p);
    free(norm);
    free(score);
    free(answer);
    free(after);
    return gain;
}

/* A question is passed by if this is less than another's gain. */
static bool is_bounded(fen_session *s, fen_id finding, double gain)
{
    fen_weigh(s);
    const fen_outlook *o = fen_outlook_of(s, finding);
    return o == &s->scratch->worked_out || gain <= fen_most_of(s, o) + FEN_ROUNDING;
}

/* The first finding whose gain is wrong, or FEN_NONE. */
static fen_id wrong_gain(fen_session *s, ways *w)
{
    const fen_base *base = fen_session_base(s);
    for (fen_id f = 1; f < fen_base_findings(base); f++) {
        if (!fen_session_askable(s, f))
            continue;
        const double have = fen_session_gain(s, f), want = defined_gain(s, f);
        if (!is_bounded(s, f, have)) {
            print_error("'%s': %.17g bits are more than there could be\n", fen_base_finding(base, f)->id, have);
            return f;
        }
        w->compared += !isnan(want);
        if (!isnan(want) && !(fabs(have - want) <= 1e-9)) {
            print_error("'%s': %.17g bits, not %.17g\n", fen_base_finding(base, f)->id, have, want);
            return f;
        }
    }
    return FEN_NONE;
}

static bool gains_are_right(void *ctx, fen_session *s)
{
    return wrong_gain(s, ctx) == FEN_NONE;
}

static void tell(const ways *w)
{
    print_message("%llu gains: %llu remembered, %llu answers read off, %llu chained\n", (unsigned long long)w->compared,
                  (unsigned long long)w->remembered, (unsigned long long)w->peeked, (unsigned long long)w->tried);
}

static void gains_of_random_plants_follow_their_definition(void **state)
{
    ways w = { 0 };
    const plant_walk walk = { 21000000, 21012000, .plants = 24, .anew = 25, .changes = 2, .open = 40, gains_are_right, add_ways, &w };
    (void)state;
    const int bad = walk_random_plants(&walk);
    tell(&w);
    assert_int_equal(bad, 0);
    assert_true(w.compared > 200000 && w.remembered > 100000 && w.peeked > 200000 && w.tried > 50000);
}

/* ---- several answers ---- */

typedef struct plans {
    ways w;
    rb_rng rng;
    uint64_t n;
} plans;

/* Some listed answer of up to N findings that can be asked; returns of how many. */
static uint32_t draw_plan(fen_session *s, rb_rng *r, uint32_t n, fen_id *finding, fen_answer *answer)
{
    const fen_id all = fen_base_findings(fen_session_base(s));
    uint32_t got = 0;
    for (fen_id i = 0, first = rb_below(r, all); i < all && got < n; i++) {
        const fen_id f = (first + i) % all;
        if (!f || !fen_session_askable(s, f))
            continue;
        fen_list_answers(s, f);
        if (!s->scratch->n_answers)
            continue;
        finding[got] = f;
        answer[got++] = s->scratch->answers[rb_below(r, s->scratch->n_answers)].answer;
    }
    return got;
}

/* CAUSE was so before and is now as the session says; is that what is TOLD of it (NULL: nothing)? */
static bool is_told(const fen_session *s, fen_id cause, bool was_out, fen_weight score, const fen_shift *told)
{
    const bool out = s->excluded[cause] > 0;
    if (was_out && out)
        return true; /* whatever is told weighs nothing */
    if (was_out || out)
        return told && told->in == was_out && (told->factor > 0) == was_out;
    const double want = pow(10, (double)(s->score[cause] - score) / (double)FEN_DBAN / 10);
    return told ? !told->in && fabs(told->factor - want) <= 1e-9 * want : s->score[cause] == score;
}

/* The first cause of which something else is told than giving the answers does, or FEN_NONE. */
static fen_id wrong_cause(fen_session *s, const fen_id *finding, const fen_answer *answer, uint32_t n)
{
    const uint32_t n_causes = fen_base_causes(fen_session_base(s));
    fen_shift *shift = calloc(n_causes, sizeof *shift);
    const fen_shift **of = calloc(n_causes, sizeof *of);
    bool *out = calloc(n_causes, sizeof *out), *apply = calloc(n_causes, sizeof *apply), ignored;
    fen_weight *score = calloc(n_causes, sizeof *score);
    fen_id wrong = FEN_NONE;
    fen_weigh(s);
    const uint32_t told = fen_peek(s, finding, answer, n, shift, &ignored);
    for (uint32_t i = 0; i < told; i++)
        of[shift[i].cause] = &shift[i];
    for (fen_id c = 0; c < n_causes; c++) {
        out[c] = s->excluded[c] > 0;
        apply[c] = s->scratch->applies[c];
        score[c] = s->score[c];
    }
    for (uint32_t i = 0; i < n; i++)
        assert_int_equal(fen_session_answer(s, finding[i], answer[i]), FEN_OK);
    for (fen_id c = 0; c < n_causes && wrong == FEN_NONE; c++)
        wrong = apply[c] && !is_told(s, c, out[c], score[c], of[c]) ? c : FEN_NONE;
    for (uint32_t i = n; i-- > 0;)
        assert_int_equal(fen_session_answer(s, finding[i], (fen_answer){ .state = FEN_OPEN }), FEN_OK);
    free(shift);
    free(of);
    free(out);
    free(apply);
    free(score);
    return wrong;
}

static bool plans_are_right(void *ctx, fen_session *s)
{
    plans *p = ctx;
    fen_id finding[4];
    fen_answer answer[4];
    for (int i = 0; i < 4; i++) {
        const uint32_t n = draw_plan(s, &p->rng, 2 + rb_below(&p->rng, 3), finding, answer);
        const fen_id wrong = wrong_cause(s, finding, answer, n);
        p->n += n > 1;
        if (wrong == FEN_NONE)
            continue;
        print_error("%u answers from '%s' on: wrong of cause '%s'\n", n, fen_base_finding(fen_session_base(s), finding[0])->id,
                    fen_base_cause(fen_session_base(s), wrong)->id);
        return false;
    }
    return true;
}

static void add_plans(void *ctx, const fen_session *s)
{
    add_ways(&((plans *)ctx)->w, s);
}

static void several_answers_at_once_do_what_giving_them_does(void **state)
{
    plans p = { .rng.state = 22 };
    const plant_walk walk = { 22000000, 22012000, .plants = 12, .anew = 25, .changes = 2, .open = 40, plans_are_right, add_plans, &p };
    (void)state;
    const int bad = walk_random_plants(&walk);
    print_message("%llu plans: %llu read off, %llu chained\n", (unsigned long long)p.n, (unsigned long long)p.w.peeked, (unsigned long long)p.w.tried);
    assert_int_equal(bad, 0);
    assert_true(p.n > 100000 && p.w.peeked > 100000 && p.w.tried > 10000);
}

/* ---- the shipped rules ---- */

/* The largest share of a cause by its score now, among those that APPLY. */
static double largest_share(fen_session *s, const bool *apply)
{
    const fen_verdict *v = fen_session_verdict(s);
    double sum = 0, most = 0;
    for (fen_id c = 0; c < fen_base_causes(fen_session_base(s)); c++) {
        const double w = apply[c] && !s->excluded[c] ? pow(10, (double)v->score[c] / (double)FEN_DBAN / 10) : 0;
        sum += w;
        most = fmax(most, w);
    }
    return most / sum;
}

/* Whoever named a group is asked further, and shown what each kind would mean for
 * the causes that may apply to the group. */
static void check_kinds_below(fen_session *s)
{
    const uint32_t n = fen_base_causes(fen_session_base(s));
    const fen_answer group = fen_session_given(s, FEN_KIND_FINDING);
    bool *apply = calloc(n, sizeof *apply);
    fen_outcomes *o = NULL;
    assert_int_equal(fen_why_outcomes(s, FEN_KIND_FINDING, &o), FEN_OK);
    memcpy(apply, s->scratch->applies, n * sizeof *apply);
    for (size_t i = 0; i < o->count; i++) {
        assert_int_equal(fen_session_answer(s, FEN_KIND_FINDING, o->at[i].answer), FEN_OK);
        assert_true(fabs(largest_share(s, apply) - o->at[i].p) <= 1e-9);
    }
    assert_int_equal(fen_session_answer(s, FEN_KIND_FINDING, group), FEN_OK);
    fen_outcomes_free(o);
    free(apply);
}

static void gains_of_plants_under_the_shipped_rules_follow_their_definition(void **state)
{
    const char *const path = FEN_RULES_DIR;
    fen_problems *problems = NULL;
    fen_base *base = NULL;
    fen_session *s = NULL;
    ways w = { 0 };
    rb_rng r = { .state = 21 };
    (void)state;
    assert_int_equal(fen_problems_new(&problems), FEN_OK);
    assert_int_equal(fen_base_load(&path, 1, problems, &base), FEN_OK);
    assert_int_equal(fen_session_new(base, RB_TODAY, &s), FEN_OK);
    for (int plant = 0; plant < 120; plant++) {
        const fen_id kind = rb_below(&r, fen_base_kinds(base)); /* groups too */
        meet_plant(s, kind, 33, &r);
        fen_session_set_today(s, RB_TODAY + (int32_t)rb_below(&r, 3));
        if (wrong_gain(s, &w) != FEN_NONE)
            fail_msg("plant %d, of the kind '%s'", plant, fen_base_kind(base, kind)->id);
        if (fen_base_kind(base, kind)->group)
            check_kinds_below(s);
        fen_session_clear(s);
        fen_session_set_today(s, RB_TODAY);
    }
    add_ways(&w, s);
    tell(&w);
    assert_true(w.compared > 3000 && w.remembered > 500 && w.peeked > 5000 && w.tried > 50);
    fen_session_free(s);
    fen_base_free(base);
    fen_problems_free(problems);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(gains_of_random_plants_follow_their_definition),
        cmocka_unit_test(several_answers_at_once_do_what_giving_them_does),
        cmocka_unit_test(gains_of_plants_under_the_shipped_rules_follow_their_definition),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
