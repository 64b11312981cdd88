/* What follows from answers, what is asked next and when to stop, on bases of a
 * few rules each. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>

#include <cmocka.h>

#include "engine/state.h"
#include "support/small_base.h"

static fen_session *open_session(const fen_base *base)
{
    fen_session *s = NULL;
    assert_int_equal(fen_session_new(base, 20000, &s), FEN_OK);
    return s;
}

static void answer(fen_session *s, fen_id f, fen_answer a)
{
    assert_int_equal(fen_session_answer(s, f, a), FEN_OK);
}

static void a_rule_fires_only_when_its_condition_is_true(void **state)
{
    (void)state;
    fen_draft *d = sb_new();
    const fen_id x = sb_yes_no(d, "x", 0.5), y = sb_yes_no(d, "y", 0.5), c = sb_cause(d, "c", 0.5);
    const fen_id all = SB_RULE(d, "all", SB_ALL(d, sb_is(d, x, 0), sb_is(d, y, 0)), SB_FOR(c, 1));
    const fen_id any = SB_RULE(d, "any", SB_ANY(d, sb_is(d, x, 0), sb_is(d, y, 0)), SB_FOR(c, 1));
    const fen_id none = SB_RULE(d, "none", SB_NOT(d, sb_is(d, x, 0), sb_is(d, y, 0)), SB_FOR(c, 1));
    fen_base *b = sb_finish(d);
    fen_session *s = open_session(b);
    static const struct { const fen_answer *x, *y; fen_firing all, any, none; } rows[] = {
        { &OPEN, &OPEN, FEN_PENDING, FEN_PENDING, FEN_PENDING },
        { &YES, &OPEN, FEN_PENDING, FEN_FIRED, FEN_REFUTED },
        { &NO, &OPEN, FEN_REFUTED, FEN_PENDING, FEN_PENDING },
        { &NO, &UNSURE, FEN_REFUTED, FEN_PENDING, FEN_PENDING }, /* unsure counts for nothing */
        { &YES, &YES, FEN_FIRED, FEN_FIRED, FEN_REFUTED },
        { &NO, &NO, FEN_REFUTED, FEN_REFUTED, FEN_FIRED },
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        answer(s, x, *rows[i].x);
        answer(s, y, *rows[i].y);
        assert_int_equal(fen_session_rule(s, all), rows[i].all);
        assert_int_equal(fen_session_rule(s, any), rows[i].any);
        assert_int_equal(fen_session_rule(s, none), rows[i].none);
    }
    fen_session_free(s);
    fen_base_free(b);
}

static void an_exception_beats_the_rule_it_refines_and_lets_go_again(void **state)
{
    (void)state;
    fen_draft *d = sb_new();
    const fen_id x = sb_yes_no(d, "x", 0.5), y = sb_yes_no(d, "y", 0.5), c = sb_cause(d, "c", 0.5);
    const fen_id plain = SB_RULE(d, "plain", sb_is(d, x, 0), SB_FOR(c, 10));
    const fen_id exception = SB_RULE(d, "exception", sb_is(d, y, 0), SB_FOR(c, -10));
    sb_over(d, exception, plain);
    fen_base *b = sb_finish(d);
    fen_session *s = open_session(b);
    const fen_weight prior = fen_base_cause(b, c)->prior;
    answer(s, x, YES);
    assert_true(fen_session_verdict(s)->score[c] == prior + 10 * FEN_DBAN);
    answer(s, y, YES);
    assert_int_equal(fen_session_rule(s, plain), FEN_BEATEN);
    assert_true(fen_session_verdict(s)->score[c] == prior - 10 * FEN_DBAN);
    answer(s, y, OPEN);
    assert_true(fen_session_verdict(s)->score[c] == prior + 10 * FEN_DBAN);
    fen_session_free(s);
    fen_base_free(b);
}

static void a_default_holds_until_a_rule_says_otherwise(void **state)
{
    (void)state;
    fen_draft *d = sb_new();
    const fen_id x = sb_yes_no(d, "x", 0.5), season = sb_derived(d, "season", 0), c = sb_cause(d, "c", 0.5);
    SB_RULE(d, "set", sb_is(d, x, 0), SB_SET(d, season, 1));
    const fen_id usual = SB_RULE(d, "usual", sb_is(d, season, 0), SB_FOR(c, 1));
    const fen_id other = SB_RULE(d, "other", SB_NOT(d, sb_is(d, season, 0)), SB_FOR(c, 2));
    fen_base *b = sb_finish(d);
    fen_session *s = open_session(b);
    bool is_default;
    assert_int_equal(fen_session_derived(s, season, &is_default), 1);
    assert_true(is_default);
    assert_int_equal(fen_session_rule(s, usual), FEN_FIRED);
    answer(s, x, YES);
    assert_int_equal(fen_session_derived(s, season, &is_default), 2);
    assert_false(is_default);
    assert_int_equal(fen_session_rule(s, usual), FEN_REFUTED);
    assert_int_equal(fen_session_rule(s, other), FEN_FIRED);
    answer(s, x, UNSURE);
    assert_int_equal(fen_session_rule(s, usual), FEN_FIRED);
    fen_session_free(s);
    fen_base_free(b);
}

static void two_values_of_a_single_valued_finding_are_a_clash_and_both_stay(void **state)
{
    (void)state;
    fen_draft *d = sb_new();
    const fen_id x = sb_yes_no(d, "x", 0.5), y = sb_yes_no(d, "y", 0.5), v = sb_derived(d, "v", FEN_NONE), c = sb_cause(d, "c", 0.5);
    SB_RULE(d, "a", sb_is(d, x, 0), SB_SET(d, v, 0));
    SB_RULE(d, "b", sb_is(d, y, 0), SB_SET(d, v, 1));
    const fen_id use_a = SB_RULE(d, "use-a", sb_is(d, v, 0), SB_FOR(c, 1)), use_b = SB_RULE(d, "use-b", sb_is(d, v, 1), SB_FOR(c, 1));
    fen_base *b = sb_finish(d);
    fen_session *s = open_session(b);
    answer(s, x, YES);
    assert_int_equal(fen_session_verdict(s)->clashes.count, 0);
    answer(s, y, YES);
    const fen_verdict *verdict = fen_session_verdict(s);
    assert_int_equal(verdict->clashes.count, 1);
    assert_int_equal(verdict->clashes.at[0], v);
    assert_int_equal(fen_session_rule(s, use_a), FEN_FIRED);
    assert_int_equal(fen_session_rule(s, use_b), FEN_FIRED);
    fen_session_free(s);
    fen_base_free(b);
}

static void values_that_only_support_each_other_fall_together(void **state)
{
    (void)state;
    fen_draft *d = sb_new();
    const fen_id x = sb_yes_no(d, "x", 0.5), y = sb_yes_no(d, "y", 0.5);
    const fen_id p = sb_derived(d, "p", FEN_NONE), q = sb_derived(d, "q", FEN_NONE);
    const fen_id by_x = SB_RULE(d, "x-p", sb_is(d, x, 0), SB_SET(d, p, 0));
    const fen_id p_q = SB_RULE(d, "p-q", sb_is(d, p, 0), SB_SET(d, q, 0));
    const fen_id q_p = SB_RULE(d, "q-p", sb_is(d, q, 0), SB_SET(d, p, 0));
    SB_RULE(d, "y-q", sb_is(d, y, 0), SB_SET(d, q, 0));
    fen_base *b = sb_finish(d);
    fen_session *s = open_session(b);
    answer(s, x, YES);
    assert_int_equal(fen_session_rule(s, q_p), FEN_FIRED);
    answer(s, x, NO); /* p and q hold each other up, on nothing */
    assert_int_equal(fen_session_rule(s, by_x), FEN_REFUTED);
    assert_int_equal(fen_session_rule(s, p_q), FEN_PENDING);
    assert_int_equal(fen_session_rule(s, q_p), FEN_PENDING);
    answer(s, y, YES);
    answer(s, x, YES);
    answer(s, x, OPEN); /* q stands on y: both stay */
    assert_int_equal(fen_session_rule(s, p_q), FEN_FIRED);
    assert_int_equal(fen_session_rule(s, q_p), FEN_FIRED);
    fen_session_free(s);
    fen_base_free(b);
}

static void a_cycle_through_an_absence_is_refused_and_named(void **state)
{
    (void)state;
    fen_draft *d = sb_new();
    const fen_id v = sb_derived(d, "v", FEN_NONE), w = sb_derived(d, "w", FEN_NONE);
    SB_RULE(d, "v-unless-w", SB_NOT(d, sb_is(d, w, 0)), SB_SET(d, v, 0));
    SB_RULE(d, "w-when-v", sb_is(d, v, 0), SB_SET(d, w, 0));
    fen_base *b = NULL;
    fen_cycle cycle;
    assert_int_equal(fen_draft_finish(d, &b, &cycle), FEN_EINPUT);
    assert_int_equal(cycle.rules.count, 2);
    fen_draft_free(d);
}

static void a_value_on_a_threshold_falls_on_the_side_written(void **state)
{
    (void)state;
    fen_draft *d = sb_new();
    const fen_id q = sb_quantity(d, "q", 0, 1000), c = sb_cause(d, "c", 0.5);
    const fen_id low = SB_RULE(d, "low", sb_range(d, q, 0, 100), SB_FOR(c, 1)), high = SB_RULE(d, "high", sb_range(d, q, 100, INFINITY), SB_FOR(c, 1));
    fen_base *b = sb_finish(d);
    fen_session *s = open_session(b);
    answer(s, q, (fen_answer){ FEN_KNOWN, 0, 100 });
    assert_int_equal(fen_session_rule(s, low), FEN_REFUTED);
    assert_int_equal(fen_session_rule(s, high), FEN_FIRED);
    answer(s, q, (fen_answer){ FEN_KNOWN, 0, nextafter(100, 0) });
    assert_int_equal(fen_session_rule(s, low), FEN_FIRED);
    assert_int_equal(fen_session_answer(s, q, (fen_answer){ FEN_KNOWN, 0, 1001 }), FEN_EINPUT);
    assert_int_equal(fen_session_answer(s, q, (fen_answer){ FEN_KNOWN, 0, NAN }), FEN_EINPUT);
    assert_int_equal(fen_session_rule(s, low), FEN_FIRED);
    fen_session_free(s);
    fen_base_free(b);
}

static void unsure_and_unknown_can_be_asked_about(void **state)
{
    (void)state;
    fen_draft *d = sb_new();
    const fen_id x = sb_yes_no(d, "x", 0.5), c = sb_cause(d, "c", 0.5);
    const fen_id unsure = SB_RULE(d, "unsure", sb_state(d, x, FEN_TEST_UNSURE), SB_FOR(c, 1));
    const fen_id unknown = SB_RULE(d, "unknown", sb_state(d, x, FEN_TEST_UNKNOWN), SB_FOR(c, 1));
    fen_base *b = sb_finish(d);
    fen_session *s = open_session(b);
    assert_int_equal(fen_session_rule(s, unsure), FEN_PENDING);
    assert_int_equal(fen_session_rule(s, unknown), FEN_FIRED);
    answer(s, x, UNSURE);
    assert_int_equal(fen_session_rule(s, unsure), FEN_FIRED);
    assert_int_equal(fen_session_rule(s, unknown), FEN_FIRED);
    answer(s, x, YES);
    assert_int_equal(fen_session_rule(s, unsure), FEN_REFUTED);
    assert_int_equal(fen_session_rule(s, unknown), FEN_REFUTED);
    fen_session_free(s);
    fen_base_free(b);
}

static void weights_become_odds_and_something_else_keeps_its_share(void **state)
{
    (void)state;
    fen_draft *d = sb_new();
    d->something_else = 0.1;
    const fen_id x = sb_yes_no(d, "x", 0.5), a = sb_cause(d, "a", 0.4), c = sb_cause(d, "c", 0.5);
    SB_RULE(d, "r", sb_is(d, x, 0), SB_FOR(a, 10));
    SB_RULE(d, "out", sb_is(d, x, 1), SB_EXCLUDE(c));
    fen_base *b = sb_finish(d);
    fen_session *s = open_session(b);
    assert_near(fen_session_verdict(s)->p[a], 0.4, 1e-12);
    answer(s, x, YES); /* ten times the odds: 4 : 0.5 : 0.1 */
    assert_near(fen_session_verdict(s)->p[a], 4.0 / 4.6, 1e-12);
    answer(s, x, NO);
    assert_true(fen_session_verdict(s)->p[c] == 0);
    assert_near(fen_session_verdict(s)->p[a], 0.4 / 0.5, 1e-12);
    fen_session_free(s);
    fen_base_free(b);
}

static void the_smallest_believable_set_accounts_for_all_signs(void **state)
{
    (void)state;
    fen_draft *d = sb_new();
    const fen_id s1 = sb_sign(d, "s1", 0.2), s2 = sb_sign(d, "s2", 0.2), s3 = sb_sign(d, "s3", 0.2), odd = sb_sign(d, "odd", 0.1);
    const fen_id a = sb_cause(d, "a", 0.3), e = sb_cause(d, "e", 0.3), both = sb_cause(d, "both", 0.05);
    SB_RULE(d, "1", sb_is(d, s1, 0), SB_FOR(a, 10), SB_FOR(both, 5));
    SB_RULE(d, "2", sb_is(d, s2, 0), SB_FOR(e, 10), SB_FOR(both, 5));
    SB_RULE(d, "3", sb_is(d, s3, 0), SB_FOR(e, 10));
    fen_base *b = sb_finish(d);
    fen_session *s = open_session(b);
    answer(s, s1, YES);
    answer(s, s2, YES);
    const fen_verdict *v = fen_session_verdict(s);
    assert_int_equal(v->covering.count, 1); /* one cause explains both signs */
    assert_int_equal(v->covering.at[0], both);
    answer(s, s3, YES);
    answer(s, odd, YES);
    v = fen_session_verdict(s);
    assert_int_equal(v->covering.count, 2);
    assert_int_equal(v->covering.at[0], e);
    assert_int_equal(v->covering.at[1], a);
    assert_int_equal(v->unexplained.count, 1);
    assert_int_equal(v->unexplained.at[0], fen_base_finding(b, odd)->first_atom);
    assert_true(v->covering_exact);
    assert_true(fen_session_accounts(s, e, fen_base_finding(b, s2)->first_atom));
    assert_false(fen_session_accounts(s, a, fen_base_finding(b, s2)->first_atom));
    fen_session_free(s);
    fen_base_free(b);
}

static void assert_list(fen_list list, fen_id first, fen_id second)
{
    assert_int_equal(list.count, (first != FEN_NONE) + (second != FEN_NONE));
    if (list.count)
        assert_int_equal(list.at[0], first);
    if (list.count > 1)
        assert_int_equal(list.at[1], second);
}

/* Odds of a, e and something else: 0.2, 0.28 and 0.1; x makes a ten times as likely, y 1.8 times. */
static void what_is_likelier_than_not_is_held_though_another_accounts_for_the_sign(void **state)
{
    (void)state;
    fen_draft *d = sb_new();
    d->something_else = 0.1;
    const fen_id sign = sb_sign(d, "sign", 0.2), x = sb_yes_no(d, "x", 0.5), y = sb_yes_no(d, "y", 0.5);
    const fen_id a = sb_cause(d, "a", 0.2), e = sb_cause(d, "e", 0.28);
    SB_RULE(d, "1", sb_is(d, sign, 0), SB_FOR(e, 0.001));
    SB_RULE(d, "2", sb_is(d, x, 0), SB_FOR(a, 10));
    SB_RULE(d, "3", sb_is(d, y, 0), SB_FOR(a, 2.5));
    fen_base *b = sb_finish(d);
    fen_session *s = open_session(b);
    assert_list(fen_session_verdict(s)->shown, e, FEN_NONE); /* nothing to account for, and less than 50 % */
    assert_list(fen_session_verdict(s)->held, FEN_NONE, FEN_NONE);
    answer(s, sign, YES);
    assert_list(fen_session_verdict(s)->shown, e, FEN_NONE);
    assert_list(fen_session_verdict(s)->held, e, FEN_NONE);
    answer(s, y, YES);
    assert_list(fen_session_verdict(s)->shown, a, e); /* a leads with 48 % */
    assert_list(fen_session_verdict(s)->held, e, FEN_NONE);
    answer(s, x, YES);
    assert_list(fen_session_verdict(s)->shown, a, e);
    assert_list(fen_session_verdict(s)->held, a, e);
    assert_list(fen_session_verdict(s)->covering, e, FEN_NONE);
    answer(s, sign, NO);
    assert_list(fen_session_verdict(s)->held, a, FEN_NONE);
    fen_session_free(s);
    fen_base_free(b);
}

static void a_sign_is_used_through_a_derived_value(void **state)
{
    (void)state;
    fen_draft *d = sb_new();
    const fen_id s1 = sb_sign(d, "s1", 0.2), v = sb_derived(d, "v", FEN_NONE), a = sb_cause(d, "a", 0.3);
    SB_RULE(d, "set", sb_is(d, s1, 0), SB_SET(d, v, 0));
    SB_RULE(d, "use", sb_is(d, v, 0), SB_FOR(a, 5));
    fen_base *b = sb_finish(d);
    fen_session *s = open_session(b);
    answer(s, s1, YES);
    assert_int_equal(fen_session_verdict(s)->unexplained.count, 0);
    assert_int_equal(fen_session_verdict(s)->covering.at[0], a);
    fen_session_free(s);
    fen_base_free(b);
}

static void the_cheaper_question_wins_when_both_tell_as_much(void **state)
{
    (void)state;
    fen_draft *d = sb_new();
    const fen_id dear = sb_yes_no(d, "dear", 0.5), cheap = sb_yes_no(d, "cheap", 0.5), a = sb_cause(d, "a", 0.5);
    sb_cause(d, "z", 0.5);
    d->findings.at[dear].effort = FEN_UNPOT;
    SB_RULE(d, "r1", sb_is(d, dear, 0), SB_FOR(a, 5));
    SB_RULE(d, "r2", sb_is(d, cheap, 0), SB_FOR(a, 5));
    fen_base *b = sb_finish(d);
    fen_session *s = open_session(b);
    fen_question q;
    fen_session_next(s, &q);
    assert_int_equal(q.finding, cheap);
    assert_int_equal(q.reason, FEN_ASK_GAIN);
    assert_near(fen_session_gain(s, dear), fen_session_gain(s, cheap), 1e-12);
    answer(s, cheap, UNSURE); /* asked, not asked again */
    fen_session_next(s, &q);
    assert_int_equal(q.finding, dear);
    fen_session_free(s);
    fen_base_free(b);
}

static void a_rule_on_two_open_findings_still_gets_its_questions_asked(void **state)
{
    (void)state;
    fen_draft *d = sb_new();
    const fen_id x = sb_yes_no(d, "x", 0.3), y = sb_yes_no(d, "y", 0.3), a = sb_cause(d, "a", 0.2);
    sb_cause(d, "z", 0.7);
    d->findings.at[x].effort = FEN_TOUCH;
    const fen_id r = SB_RULE(d, "both", SB_ALL(d, sb_is(d, x, 0), sb_is(d, y, 0)), SB_FOR(a, 20));
    fen_base *b = sb_finish(d);
    fen_session *s = open_session(b);
    fen_question q;
    assert_true(fen_session_gain(s, x) == 0 && fen_session_gain(s, y) == 0);
    fen_session_next(s, &q);
    assert_int_equal(q.reason, FEN_ASK_TOGETHER);
    assert_int_equal(q.rule, r);
    assert_int_equal(q.finding, y); /* the glance before the touch */
    answer(s, y, NO);
    fen_session_next(s, &q);
    assert_int_equal(q.stop, FEN_STOP_NOT_WORTH); /* the rule is refuted: x is never asked */
    fen_session_free(s);
    fen_base_free(b);
}

static void what_kills_fast_is_asked_first_while_it_is_cheap_and_open(void **state)
{
    (void)state;
    fen_draft *d = sb_new();
    const fen_id big = sb_yes_no(d, "big", 0.5), crown = sb_yes_no(d, "crown", 0.1);
    const fen_id a = sb_cause(d, "a", 0.5), rot = sb_cause(d, "rot", 0.06);
    d->causes.at[rot].urgency = FEN_DAYS;
    d->causes.at[rot].deciding = crown;
    SB_RULE(d, "r1", sb_is(d, big, 0), SB_FOR(a, 20));
    SB_RULE(d, "r2", sb_is(d, crown, 0), SB_FOR(rot, 10));
    SB_RULE(d, "r3", sb_is(d, crown, 1), SB_FOR(rot, -10));
    fen_base *b = sb_finish(d);
    fen_session *s = open_session(b);
    fen_question q;
    assert_true(fen_session_gain(s, big) > fen_session_gain(s, crown));
    fen_session_next(s, &q);
    assert_int_equal(q.reason, FEN_ASK_DANGER);
    assert_int_equal(q.finding, crown);
    assert_int_equal(q.cause, rot);
    answer(s, crown, NO);
    fen_session_next(s, &q);
    assert_int_equal(q.finding, big);
    fen_session_free(s);
    fen_base_free(b);
}

static void dangers_that_are_unlikely_one_by_one_count_together(void **state)
{
    (void)state;
    fen_draft *d = sb_new();
    const fen_id dry = sb_yes_no(d, "dry", 0.5), other = sb_yes_no(d, "other", 0.5), harmless = sb_cause(d, "harmless", 0.5);
    const fen_id rot = sb_cause(d, "rot", 0.13), mites = sb_cause(d, "mites", 0.13), salts = sb_cause(d, "salts", 0.13);
    d->causes.at[harmless].urgency = FEN_NO_URGENCY;
    d->causes.at[rot].urgency = FEN_HOURS;
    d->causes.at[mites].urgency = FEN_DAYS;
    d->causes.at[salts].urgency = FEN_WEEKS;
    SB_RULE(d, "no-salts", sb_is(d, dry, 0), SB_FOR(salts, -30));
    SB_RULE(d, "all-is-well", sb_is(d, dry, 0), SB_FOR(harmless, 6));
    fen_base *b = sb_finish(d);
    fen_session *s = open_session(b);
    const fen_verdict *v = fen_session_verdict(s);
    assert_true(v->blank);
    assert_int_equal(v->urgency, FEN_NO_URGENCY); /* what ails plants in general hurries nobody */
    answer(s, other, YES);
    v = fen_session_verdict(s);
    assert_false(v->blank);
    assert_int_equal(v->ranking.at[0], harmless);
    for (uint32_t i = 1; i < v->ranking.count; i++)
        assert_true(v->p[v->ranking.at[i]] < 0.15);
    assert_true(v->p[rot] + v->p[mites] > 0.25);
    assert_int_equal(v->urgency, FEN_DAYS); /* rot within hours counts for what kills within days, not the other way round */
    answer(s, dry, YES);
    v = fen_session_verdict(s);
    assert_true(v->p[rot] + v->p[mites] + v->p[salts] < 0.25);
    assert_int_equal(v->urgency, FEN_NO_URGENCY);
    fen_session_free(s);
    fen_base_free(b);
}

static void each_reason_for_stopping_is_reached(void **state)
{
    (void)state;
    fen_draft *d = sb_new();
    d->something_else = 0.001;
    const fen_id x = sb_yes_no(d, "x", 0.5), s1 = sb_sign(d, "s1", 0.2), s2 = sb_sign(d, "s2", 0.2);
    const fen_id a = sb_cause(d, "a", 0.3), c = sb_cause(d, "c", 0.3);
    SB_RULE(d, "1", sb_is(d, s1, 0), SB_FOR(a, 20));
    SB_RULE(d, "2", sb_is(d, s2, 0), SB_FOR(c, 20));
    SB_RULE(d, "3", sb_is(d, x, 0), SB_FOR(a, 10));
    fen_base *b = sb_finish(d);
    fen_session *s = open_session(b);
    fen_question q;
    fen_session_next(s, &q);
    assert_int_equal(q.stop, FEN_GO_ON);
    answer(s, s1, YES);
    fen_session_next(s, &q);
    assert_int_equal(q.stop, FEN_STOP_ONE_CAUSE);
    assert_int_equal(q.reason, FEN_ASK_NOTHING);
    assert_int_not_equal(q.finding, FEN_NONE); /* one could go on */
    answer(s, s2, YES);
    fen_session_next(s, &q);
    assert_int_equal(q.stop, FEN_STOP_COVERING);
    answer(s, s1, OPEN);
    answer(s, s2, OPEN);
    answer(s, s1, UNSURE);
    answer(s, s2, UNSURE);
    answer(s, x, UNSURE);
    fen_session_next(s, &q);
    assert_int_equal(q.stop, FEN_STOP_NOT_WORTH);
    assert_int_equal(q.finding, FEN_NONE);
    fen_session_free(s);
    fen_base_free(b);
}

static void answering_trying_and_asking_allocate_nothing(void **state)
{
    (void)state;
    fen_draft *d = sb_new();
    const fen_id x = sb_yes_no(d, "x", 0.5), s1 = sb_sign(d, "s1", 0.2), a = sb_cause(d, "a", 0.3);
    SB_RULE(d, "1", SB_ALL(d, sb_is(d, s1, 0), sb_is(d, x, 0)), SB_FOR(a, 20));
    fen_base *b = sb_finish(d);
    fen_session *s = open_session(b);
    const size_t before = fen_alloc_calls();
    fen_question q;
    fen_session_next(s, &q);
    answer(s, s1, YES);
    (void)fen_session_verdict(s);
    fen_session_next(s, &q);
    answer(s, s1, OPEN);
    fen_session_clear(s);
    assert_int_equal(fen_alloc_calls(), before);
    fen_session_free(s);
    fen_base_free(b);
}

static void a_session_without_memory_is_refused_whole(void **state)
{
    (void)state;
    fen_draft *d = sb_new();
    sb_yes_no(d, "x", 0.5);
    fen_base *b = sb_finish(d);
    const size_t live = fen_alloc_live();
    for (size_t nth = 0;; nth++) {
        fen_session *s = NULL;
        fen_alloc_fail_at(nth);
        const fen_status st = fen_session_new(b, 0, &s);
        fen_alloc_fail_at(FEN_ALLOC_NEVER_FAIL);
        if (st == FEN_OK) {
            fen_session_free(s);
            break;
        }
        assert_int_equal(st, FEN_ENOMEM);
        assert_int_equal(fen_alloc_live(), live);
    }
    fen_base_free(b);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_rule_fires_only_when_its_condition_is_true),
        cmocka_unit_test(an_exception_beats_the_rule_it_refines_and_lets_go_again),
        cmocka_unit_test(a_default_holds_until_a_rule_says_otherwise),
        cmocka_unit_test(two_values_of_a_single_valued_finding_are_a_clash_and_both_stay),
        cmocka_unit_test(values_that_only_support_each_other_fall_together),
        cmocka_unit_test(a_cycle_through_an_absence_is_refused_and_named),
        cmocka_unit_test(a_value_on_a_threshold_falls_on_the_side_written),
        cmocka_unit_test(unsure_and_unknown_can_be_asked_about),
        cmocka_unit_test(weights_become_odds_and_something_else_keeps_its_share),
        cmocka_unit_test(the_smallest_believable_set_accounts_for_all_signs),
        cmocka_unit_test(what_is_likelier_than_not_is_held_though_another_accounts_for_the_sign),
        cmocka_unit_test(a_sign_is_used_through_a_derived_value),
        cmocka_unit_test(the_cheaper_question_wins_when_both_tell_as_much),
        cmocka_unit_test(a_rule_on_two_open_findings_still_gets_its_questions_asked),
        cmocka_unit_test(what_kills_fast_is_asked_first_while_it_is_cheap_and_open),
        cmocka_unit_test(dangers_that_are_unlikely_one_by_one_count_together),
        cmocka_unit_test(each_reason_for_stopping_is_reached),
        cmocka_unit_test(answering_trying_and_asking_allocate_nothing),
        cmocka_unit_test(a_session_without_memory_is_refused_whole),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
