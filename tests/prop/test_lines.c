/* Questions that are passed by because they could not be worth enough (engine/bound.c),
 * against all of them tried, on random bases and the shipped rules.
 *
 * One session goes through many plants. The next question is compared with the best of
 * all gains, and the best line of several questions with that found when all bounds are
 * taken away: both must name the same rule, finding and worth, above the worth of the
 * best single question as well as above nothing.
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
#include "support/plants.h"

typedef struct tally {
    uint64_t bounded, tried, found;
} tally;

static void best_of_all(fen_session *s, double floor, fen_line_of_questions *ret)
{
    struct fen_scratch *x = s->scratch;
    const uint32_t n = s->base->n_rules;
    const uint64_t n_lines = x->n_lines, n_bounded = x->n_bounded;
    line_of_rule *kept = malloc((n + 1) * sizeof *kept);
    memcpy(kept, x->lines, n * sizeof *kept);
    memset(x->lines, 0, n * sizeof *kept); /* as if none had been met */
    fen_best_together(s, floor, ret);
    assert_int_equal(x->n_bounded, n_bounded);
    memcpy(x->lines, kept, n * sizeof *kept);
    x->n_lines = n_lines;
    free(kept);
}

static bool same_line(fen_session *s, double floor, tally *t)
{
    fen_line_of_questions have, want;
    fen_best_together(s, floor, &have);
    best_of_all(s, floor, &want);
    t->found += want.finding != FEN_NONE && want.worth > floor;
    if (want.finding == FEN_NONE || want.worth <= floor)
        return have.finding == FEN_NONE || have.worth <= floor + 1e-12;
    if (have.finding == want.finding && have.rule == want.rule && fabs(have.worth - want.worth) <= 1e-12)
        return true;
    print_error("above %.17g: rule %d, finding %d, worth %.17g, not rule %d, finding %d, worth %.17g\n", floor, (int)have.rule, (int)have.finding, have.worth,
                (int)want.rule, (int)want.finding, want.worth);
    return false;
}

/* The first of the findings that are worth most, all of them looked at. */
static bool same_single(fen_session *s, const fen_question *q)
{
    const fen_settings *set = fen_base_settings(s->base);
    fen_id best = FEN_NONE;
    double worth = -1;
    for (fen_id f = 1; f < s->base->n_findings; f++) {
        const double w = fen_session_askable(s, f) ? fen_session_gain(s, f) / set->effort[s->base->findings[f].effort] : -1;
        if (w > worth + 1e-12) {
            worth = w;
            best = f;
        }
    }
    const bool together = q->rule != FEN_NONE; /* a line is worth more */
    if (together ? q->worth > worth : q->finding == best && fabs(q->worth - fmax(worth, 0)) <= 1e-12)
        return true;
    print_error("finding %d, worth %.17g, not finding %d, worth %.17g\n", (int)q->finding, q->worth, (int)best, worth);
    return false;
}

/* Whoever stops when it is time to is asked the same until then, and told the same then. */
static bool same_until_stop(fen_session *s, const fen_question *q)
{
    fen_question or_stop;
    fen_session_next_or_stop(s, &or_stop);
    return or_stop.reason == q->reason && or_stop.stop == q->stop &&
           (q->reason == FEN_ASK_NOTHING || (or_stop.finding == q->finding && or_stop.rule == q->rule && or_stop.worth == q->worth));
}

/* After fen_session_next, which finds out what may be asked. */
static bool lines_are_right(void *ctx, fen_session *s)
{
    tally *t = ctx;
    fen_question q;
    fen_session_next(s, &q);
    if (!same_until_stop(s, &q))
        return false;
    if (q.reason == FEN_ASK_KIND || q.reason == FEN_ASK_DANGER)
        return true;
    return same_single(s, &q) && same_line(s, 0, t) && same_line(s, q.worth / 4, t) && same_line(s, q.worth, t);
}

static void add_tally(void *ctx, const fen_session *s)
{
    tally *t = ctx;
    t->bounded += s->scratch->n_bounded;
    t->tried += s->scratch->n_lines;
}

static void tell(const tally *t)
{
    print_message("%llu lines passed by, %llu tried, %llu above the floor\n", (unsigned long long)t->bounded, (unsigned long long)t->tried,
                  (unsigned long long)t->found);
}

static void no_line_of_random_rules_is_passed_by_that_would_be_asked(void **state)
{
    tally t = { 0 };
    const plant_walk walk = { 23000000, 23008000, .plants = 30, .anew = 20, .changes = 3, .open = 65, lines_are_right, add_tally, &t };
    (void)state;
    const int bad = walk_random_plants(&walk);
    tell(&t);
    assert_int_equal(bad, 0);
    assert_true(t.bounded > 4000 && t.tried > 40000 && t.found > 10000);
}

static void no_line_of_the_shipped_rules_is_passed_by_that_would_be_asked(void **state)
{
    const char *const path = FEN_RULES_DIR;
    fen_problems *problems = NULL;
    fen_base *base = NULL;
    fen_session *s = NULL;
    rb_rng r = {.state = 23};
    tally t = {0};
    (void)state;
    assert_int_equal(fen_problems_new(&problems), FEN_OK);
    assert_int_equal(fen_base_load(&path, 1, problems, &base), FEN_OK);
    assert_int_equal(fen_session_new(base, RB_TODAY, &s), FEN_OK);
    for (int plant = 0; plant < 1500; plant++) {
        const fen_id kind = rb_below(&r, fen_base_kinds(base)); /* groups are asked further, and skipped here */
        meet_plant(s, kind, 20, &r);
        if (!lines_are_right(&t, s))
            fail_msg("plant %d, of the kind '%s'", plant, fen_base_kind(base, kind)->id);
    }
    add_tally(&t, s);
    tell(&t);
    assert_true(t.bounded > 5000 && t.tried > 500 && t.found > 500);
    fen_session_free(s);
    fen_base_free(base);
    fen_problems_free(problems);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(no_line_of_random_rules_is_passed_by_that_would_be_asked),
        cmocka_unit_test(no_line_of_the_shipped_rules_is_passed_by_that_would_be_asked),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
