/* What a verdict puts together in few steps, against the same put together plainly:
 * the ranking by counting who goes before whom, the urgency by going through every
 * cause, what is accounted for by going through every rule, a stretch by comparing
 * with its ends. One session meets many plants, of
 * several kinds, so that nothing of one may be left to the next.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdio.h>

#include <cmocka.h>

#include "engine/state.h"
#include "support/small_base.h"

enum { KINDS = 3, SIGNS = 12, MOST_CAUSES = 70, PLANTS = 60 };

typedef struct dice {
    uint64_t state;
} dice;

static uint32_t below(dice *d, uint32_t n) /* Vigna's splitmix64, from memory */
{
    uint64_t z = d->state += UINT64_C(0x9E3779B97F4A7C15);
    z = (z ^ z >> 30) * UINT64_C(0xBF58476D1CE4E5B9);
    z = (z ^ z >> 27) * UINT64_C(0x94D049BB133111EB);
    return (uint32_t)((z ^ z >> 31) % n);
}

static const char *name_of(fen_draft *d, const char *what, uint32_t i)
{
    char name[32];
    const int len = snprintf(name, sizeof name, "%s-%u", what, (unsigned)i);
    return fen_arena_copy(d->arena, name, (size_t)len + 1, 1);
}

/* Some of all kinds, some of one: of kind i % KINDS. */
static void add_causes(fen_draft *d, uint32_t n, dice *r)
{
    for (uint32_t i = 0; i < n; i++) {
        const fen_id c = sb_cause(d, name_of(d, "cause", i), (1 + below(r, 4)) / 100.0), kind = i % KINDS;
        d->causes.at[c].urgency = (fen_urgency)below(r, FEN_HOURS + 1);
        if (below(r, 2))
            d->causes.at[c].kinds = (fen_list){ fen_arena_copy(d->arena, &kind, 1, sizeof kind), 1 };
    }
}

/* Few different weights: many causes rank alike. */
static void add_rules(fen_draft *d, uint32_t n_causes, fen_id first, dice *r)
{
    for (uint32_t i = 0; i < 3 * n_causes; i++) {
        const fen_id c = below(r, n_causes), sign = first + below(r, SIGNS);
        const fen_effect weigh = SB_FOR(c, (int)below(r, 5) * 3 - 4), exclude = SB_EXCLUDE(c);
        const fen_id rule = sb_rule(d, name_of(d, "rule", i), sb_is(d, sign, below(r, 2)), 1, below(r, 15) ? &weigh : &exclude);
        if (below(r, 2)) /* or it fires in vain for plants of other kinds */
            d->rules.at[rule].kinds = d->causes.at[c].kinds;
    }
}

static fen_base *make_base(uint32_t n_causes, dice *r)
{
    fen_draft *d = fen_draft_new();
    assert_non_null(d);
    for (uint32_t k = 0; k < KINDS; k++)
        assert_true(FEN_VEC_PUSH(&d->kinds, ((fen_kind){ .id = name_of(d, "kind", k), .name = "kind", .parent = FEN_NONE })));
    assert_int_equal(fen_draft_seal_kinds(d), FEN_OK);
    const fen_id first = sb_sign(d, "sign-0", 0.5);
    for (uint32_t i = 1; i < SIGNS; i++)
        sb_sign(d, name_of(d, "sign", i), 0.5);
    add_causes(d, n_causes, r);
    add_rules(d, n_causes, first, r);
    return sb_finish(d);
}

/* A plant of any kind, or of none that is known. */
static void meet(fen_session *s, dice *r)
{
    const uint32_t kind = below(r, KINDS + 1);
    fen_session_clear(s);
    if (kind < KINDS)
        assert_int_equal(fen_session_answer(s, FEN_KIND_FINDING, (fen_answer){ FEN_KNOWN, UINT64_C(1) << kind, 0 }), FEN_OK);
    for (fen_id f = 1; f <= SIGNS; f++)
        if (below(r, 3))
            assert_int_equal(fen_session_answer(s, f, below(r, 2) ? YES : NO), FEN_OK);
}

/* -- the definitions -------------------------------------------------------- */

static bool concerns(const fen_session *s, fen_id cause)
{
    const fen_cause *c = fen_base_cause(fen_session_base(s), cause);
    const fen_answer kind = fen_session_given(s, FEN_KIND_FINDING);
    return !c->kinds.count || kind.state != FEN_KNOWN || kind.picks >> c->kinds.at[0] & 1;
}

/* Does a rule that fired use SIGN to speak for the cause? */
static bool is_spoken_for(const fen_session *s, fen_id cause, fen_id sign)
{
    const fen_base *b = fen_session_base(s);
    bool found = false;
    for (fen_id r = 0; r < fen_base_rules(b); r++)
        found |= fen_session_rule(s, r) == FEN_FIRED && fen_base_rule_weight(b, r, cause) > 0 && fen_base_cond(b, fen_base_rule(b, r)->cond)->test == sign;
    return found && concerns(s, cause) && !s->excluded[cause];
}

static void check_accounts(const fen_session *s, const fen_verdict *v)
{
    uint32_t n = 0;
    for (fen_id f = 1; f <= SIGNS; f++) {
        const fen_id sign = fen_base_finding(fen_session_base(s), f)->first_atom;
        const bool present = fen_session_test(s, sign) > 0;
        if (present)
            assert_int_equal(v->signs.at[n++], sign);
        for (fen_id c = 0; c < fen_base_causes(fen_session_base(s)); c++)
            assert_int_equal(fen_session_accounts(s, c, sign), present && is_spoken_for(s, c, sign));
    }
    assert_int_equal(v->signs.count, n);
}

static void check_chances(const fen_session *s, const fen_verdict *v)
{
    const uint32_t n = fen_base_causes(fen_session_base(s));
    double sum = 0;
    for (fen_id c = 0; c < n; c++)
        sum += concerns(s, c) && !s->excluded[c] ? pow(10, (double)v->score[c] / (double)FEN_DBAN / 10) : 0;
    for (fen_id c = 0; c < n; c++) {
        const double weight = concerns(s, c) && !s->excluded[c] ? pow(10, (double)v->score[c] / (double)FEN_DBAN / 10) : 0;
        assert_near(v->p[c], sum > 0 ? weight / sum : 0, 1e-12);
    }
}

static void check_ranking(const fen_session *s, const fen_verdict *v)
{
    const uint32_t n = fen_base_causes(fen_session_base(s));
    uint32_t n_ranked = 0;
    for (fen_id c = 0; c < n; c++) {
        uint32_t before = 0;
        for (fen_id other = 0; other < n; other++)
            before += v->p[other] > 0 && (v->score[other] > v->score[c] || (v->score[other] == v->score[c] && other < c));
        if (!(v->p[c] > 0))
            continue;
        assert_true(before < v->ranking.count);
        assert_int_equal(v->ranking.at[before], c);
        n_ranked++;
    }
    assert_int_equal(v->ranking.count, n_ranked);
}

/* Of the covering set, of the leader, of whoever has 15 in a hundred, and of what has 25 together. */
static void check_urgency(const fen_session *s, const fen_verdict *v)
{
    const fen_base *b = fen_session_base(s);
    fen_urgency worst = FEN_NO_URGENCY;
    for (uint32_t i = 0; i < v->covering.count; i++)
        worst = fen_base_cause(b, v->covering.at[i])->urgency > worst ? fen_base_cause(b, v->covering.at[i])->urgency : worst;
    double together[FEN_HOURS + 1] = { 0 };
    for (uint32_t i = 0; i < v->ranking.count; i++) {
        const fen_id c = v->ranking.at[i];
        const fen_urgency u = fen_base_cause(b, c)->urgency;
        worst = (!i || v->p[c] >= 0.15) && u > worst ? u : worst;
        for (unsigned at = 1; at <= (unsigned)u; at++)
            together[at] += v->p[c];
    }
    for (unsigned u = 1; u <= FEN_HOURS; u++)
        worst = together[u] >= 0.25 && u > (unsigned)worst ? (fen_urgency)u : worst;
    assert_int_equal(v->urgency, worst);
}

static void every_plant_is_ranked_as_if_it_were_the_first(void **state)
{
    dice r = { 7 };
    (void)state;
    for (uint32_t n = 1; n <= MOST_CAUSES; n++) {
        fen_base *b = make_base(n, &r);
        fen_session *s = NULL;
        assert_int_equal(fen_session_new(b, 20000, &s), FEN_OK);
        for (int plant = 0; plant < PLANTS; plant++) {
            meet(s, &r);
            const fen_verdict *v = fen_session_verdict(s);
            check_chances(s, v);
            check_ranking(s, v);
            check_urgency(s, v);
            check_accounts(s, v);
        }
        fen_session_free(s);
        fen_base_free(b);
    }
}

/* Nobody has said anything, yet there is a sign: that X is not known sets it. */
static void what_holds_without_an_answer_is_accounted_for_plant_after_plant(void **state)
{
    (void)state;
    fen_draft *d = sb_new();
    const fen_option options[2] = { { .id = "a", .say = "a", .sign = true }, { .id = "b", .say = "b" } };
    fen_finding derived = sb_blank("f", FEN_CHOICE);
    derived.options = options;
    derived.n_options = 2;
    derived.derived = true;
    const fen_id x = sb_yes_no(d, "x", 0.5), y = sb_yes_no(d, "y", 0.5), f = sb_finding(d, derived), c = sb_cause(d, "c", 0.5);
    SB_RULE(d, "sets", sb_state(d, x, FEN_TEST_UNKNOWN), SB_SET(d, f, 0));
    SB_RULE(d, "speaks", sb_is(d, f, 0), SB_FOR(c, 5));
    fen_base *b = sb_finish(d);
    fen_session *s = NULL;
    assert_int_equal(fen_session_new(b, 20000, &s), FEN_OK);
    for (int plant = 0; plant < 3; plant++) {
        const fen_verdict *v = fen_session_verdict(s);
        assert_int_equal(v->signs.count, 1);
        assert_int_equal(v->covering.count, 1);
        assert_true(fen_session_accounts(s, c, b->findings[f].first_atom));
        assert_int_equal(fen_session_answer(s, x, YES), FEN_OK);
        assert_int_equal(fen_session_answer(s, y, YES), FEN_OK);
        assert_int_equal(fen_session_verdict(s)->covering.count, 0);
        fen_session_clear(s);
    }
    fen_session_free(s);
    fen_base_free(b);
}

/* -- stretches ------------------------------------------------------------------- */

static const double ends[] = { -INFINITY, -3.5, -0.0, 0, 1e-300, 0.1, 0.3, 7, 1e300, INFINITY };
#define N_ENDS (sizeof ends / sizeof *ends)

static void add_stretches(fen_draft *d, fen_id q)
{
    fen_id ignored;
    for (size_t i = 0; i < N_ENDS; i++)
        for (size_t j = i; j < N_ENDS; j++)
            for (unsigned open = 0; open < 4; open++)
                assert_int_equal(fen_draft_test(d, (fen_test){ .op = FEN_TEST_RANGE, .finding = q, .option = FEN_NONE, .expr = FEN_NONE, .lo = ends[i],
                                                               .hi = ends[j], .lo_open = open & 1, .hi_open = open & 2 }, &ignored), FEN_OK);
}

/* Returns how many stretches VALUE is in. */
static uint32_t check_value(fen_session *s, fen_id q, double value)
{
    const fen_base *b = fen_session_base(s);
    uint32_t n = 0;
    assert_int_equal(fen_session_answer(s, q, (fen_answer){ FEN_KNOWN, 0, value }), FEN_OK);
    for (fen_id t = 0; t < b->n_tests; t++) {
        if (b->tests[t].op != FEN_TEST_RANGE)
            continue;
        const bool within = fen_in_range(&b->tests[t], value);
        assert_int_equal(fen_session_test(s, t), within ? 1 : -1);
        assert_int_equal(fen_truth_of(s, t), within ? 1 : -1);
        n += within;
    }
    return n;
}

static void a_value_is_within_a_stretch_as_its_ends_say(void **state)
{
    (void)state;
    fen_draft *d = sb_new();
    const fen_id q = sb_quantity(d, "q", -INFINITY, INFINITY);
    sb_cause(d, "c", 0.5);
    add_stretches(d, q);
    fen_base *b = sb_finish(d);
    fen_session *s = NULL;
    assert_int_equal(fen_session_new(b, 20000, &s), FEN_OK);
    uint32_t n = 0;
    for (size_t i = 1; i + 1 < N_ENDS; i++) {
        n += check_value(s, q, nextafter(ends[i], -INFINITY));
        n += check_value(s, q, ends[i]);
        n += check_value(s, q, nextafter(ends[i], INFINITY));
    }
    assert_true(n > 1000);
    assert_int_equal(fen_session_answer(s, q, UNSURE), FEN_OK);
    for (fen_id t = 0; t < b->n_tests; t++)
        assert_true(b->tests[t].op != FEN_TEST_RANGE || fen_session_test(s, t) == 0);
    fen_session_free(s);
    fen_base_free(b);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_plant_is_ranked_as_if_it_were_the_first),
        cmocka_unit_test(what_holds_without_an_answer_is_accounted_for_plant_after_plant),
        cmocka_unit_test(a_value_is_within_a_stretch_as_its_ends_say),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
