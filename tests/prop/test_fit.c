/* test_fit.c -- the fit behind `tune` held against another program where the problems
 * coincide, and against differences of its own loss where they do not.
 */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

#include "casebook/fit.h"
#include "support/near_double.h"
#include "util/alloc.h"

enum { CASES = 150, FEATURES = 7, CAUSES = 4, PARAMS = FEATURES * CAUSES };

typedef struct problem {
    uint32_t cause[PARAMS], group[CASES], active[CASES * PARAMS];
    size_t active_at[CASES + 1];
    uint8_t role[CASES * CAUSES];
    double offset[CAUSES], centre[PARAMS];
    bool x[CASES][FEATURES];
    fen_fit fit;
} problem;

static problem p;
static uint64_t seed;

static double chance(void)
{
    seed = seed * UINT64_C(6364136223846793005) + UINT64_C(1442695040888963407); /* Knuth's MMIX generator */
    return (double)(seed >> 11) / 9007199254740992.0;
}

/* SEVERAL: some cases have two settled causes, some causes are impossible, and the prior
 * is not around zero. */
static void make(uint64_t from, bool several)
{
    size_t n = 0;
    memset(&p, 0, sizeof p);
    seed = from;
    for (uint32_t j = 0; j < PARAMS; j++) {
        p.cause[j] = j % CAUSES;
        p.centre[j] = several ? 2 * chance() - 1 : 0;
    }
    for (uint32_t i = 0; i < CASES; i++) {
        const uint32_t c = i < CAUSES ? i : (uint32_t)(chance() * CAUSES);
        p.active_at[i] = n;
        p.group[i] = c;
        for (uint32_t f = 0; f < FEATURES; f++)
            if ((p.x[i][f] = chance() < (f % CAUSES == c ? 0.7 : 0.3)))
                for (uint32_t k = 0; k < CAUSES; k++)
                    p.active[n++] = f * CAUSES + k;
        for (uint32_t k = 0; k < CAUSES; k++)
            p.role[i * CAUSES + k] = k == c || (several && chance() < 0.1) ? FEN_ROLE_SETTLED : several && chance() < 0.2 ? FEN_ROLE_OUT : FEN_ROLE_POSSIBLE;
    }
    p.active_at[CASES] = n;
    p.fit = (fen_fit){ PARAMS, CAUSES, CASES, p.cause, p.offset, 1, p.active_at, p.active, p.role, p.group };
}

static void ask_outside(double strength, double ret[PARAMS])
{
    char path[] = "/tmp/fenmend-fit-XXXXXX", command[256];
    const int fd = mkstemp(path);
    assert_true(fd >= 0);
    FILE *out = fdopen(fd, "w");
    fprintf(out, "%d %d %.17g\n", FEATURES, CAUSES, strength);
    for (int i = 0; i < CASES; i++) {
        fprintf(out, "%u", (unsigned)p.group[i]);
        for (int f = 0; f < FEATURES; f++)
            fprintf(out, " %d", p.x[i][f]);
        fputc('\n', out);
    }
    assert_int_equal(fclose(out), 0);
    snprintf(command, sizeof command, "/usr/bin/python3 %s/outside/logistic.py < %s", FEN_TESTS_DIR, path);
    FILE *in = popen(command, "r");
    assert_non_null(in);
    for (int c = 0; c < CAUSES; c++)
        for (int f = 0; f < FEATURES; f++)
            assert_int_equal(fscanf(in, "%lf", &ret[f * CAUSES + c]), 1);
    assert_int_equal(pclose(in), 0);
    unlink(path);
}

static void the_fit_is_that_of_scikit_learn_where_the_problems_coincide(void **unused)
{
    static const double strengths[] = { 0.1, 1, 8 };
    double worst = 0;
    (void)unused;
    for (uint64_t i = 0; i < 3; i++) {
        double want[PARAMS], w[PARAMS] = { 0 }, left;
        make(i + 1, false);
        assert_int_equal(fen_fit_solve(&p.fit, NULL, strengths[i], p.centre, 1e-9, w, &left), FEN_OK);
        assert_true(left <= 1e-9);
        ask_outside(strengths[i], want);
        for (int j = 0; j < PARAMS; j++)
            worst = fmax(worst, fabs(w[j] - want[j]));
    }
    print_message("largest difference of a weight: %.2g\n", worst);
    assert_true(worst <= 1e-6);
}

static double loss(const double *w, double strength)
{
    fen_fit_sums sums = { 0 };
    double scratch[CAUSES], far = 0;
    for (uint32_t i = 0; i < CASES; i++)
        fen_fit_score(&p.fit, i, w, scratch, &sums);
    for (int j = 0; j < PARAMS; j++)
        far += (w[j] - p.centre[j]) * (w[j] - p.centre[j]);
    return sums.log_loss + strength / 2 * far;
}

/* Central differences of the loss, which fit.c does not use. */
static void any_of_several_settled_causes_counts_and_the_end_is_a_minimum(void **unused)
{
    const double step = 1e-4;
    (void)unused;
    for (uint64_t from = 11; from < 16; from++) {
        double w[PARAMS], left;
        make(from, true);
        memcpy(w, p.centre, sizeof w);
        assert_int_equal(fen_fit_solve(&p.fit, NULL, 0.5, p.centre, 1e-9, w, &left), FEN_OK);
        assert_true(left <= 1e-9);
        const double least = loss(w, 0.5);
        for (int j = 0; j < PARAMS; j++) {
            const double at = w[j];
            w[j] = at + step;
            const double above = loss(w, 0.5);
            w[j] = at - step;
            const double below = loss(w, 0.5);
            w[j] = at;
            assert_near((above - below) / (2 * step), 0, 1e-6);
            assert_true(above > least && below > least);
        }
    }
}

/* At the end, strength * |w - centre| is the slope of the cases' loss, at most one a case. */
static void few_cases_move_little_from_the_centre(void **unused)
{
    bool use[CASES] = { [3] = true, [77] = true };
    double w[PARAMS], left;
    (void)unused;
    make(5, true);
    memcpy(w, p.centre, sizeof w);
    assert_int_equal(fen_fit_solve(&p.fit, use, 10, p.centre, 1e-9, w, &left), FEN_OK);
    double most = 0;
    for (int j = 0; j < PARAMS; j++)
        most = fmax(most, fabs(w[j] - p.centre[j]));
    assert_true(most > 0 && most <= 2 / 10.0);
}

static void centre_of_zero(void *ctx, const bool *use, double *ret)
{
    (void)ctx;
    (void)use;
    memset(ret, 0, PARAMS * sizeof *ret);
}

static void the_strength_chosen_is_the_one_that_foretells_best(void **unused)
{
    static const double strengths[] = { 1e6, 1, 1e-6 };
    const fen_fit_prior prior = { NULL, centre_of_zero, strengths, 3 };
    fen_fit_choice choice;
    fen_fit_sums before, after;
    double zero[PARAMS] = { 0 };
    (void)unused;
    make(9, false);
    assert_int_equal(fen_fit_choose(&p.fit, NULL, &prior, &choice), FEN_OK);
    assert_near(choice.strength, 1, 0);
    assert_int_equal(fen_fit_honest(&p.fit, FEN_FIT_FOLDS, &prior, zero, &before, &after), FEN_OK);
    assert_int_equal(before.cases, CASES);
    assert_int_equal(after.cases, CASES);
    assert_near(before.log_loss, CASES * log(CAUSES), 1e-9); /* all alike under no weights */
    assert_true(after.log_loss < before.log_loss);
}

/* Cases of noise: no weight foretells anything, and the strongest prior wins. */
static void what_tells_nothing_moves_nothing(void **unused)
{
    static const double strengths[] = { 1e6, 10, 1, 0.1 };
    const fen_fit_prior prior = { NULL, centre_of_zero, strengths, 4 };
    fen_fit_choice choice;
    (void)unused;
    make(21, false);
    for (uint32_t i = 0; i < CASES; i++) {
        p.group[i] = (uint32_t)(chance() * CAUSES);
        for (uint32_t k = 0; k < CAUSES; k++)
            p.role[i * CAUSES + k] = k == p.group[i] ? FEN_ROLE_SETTLED : FEN_ROLE_POSSIBLE;
    }
    assert_int_equal(fen_fit_choose(&p.fit, NULL, &prior, &choice), FEN_OK);
    assert_true(choice.strength >= 10);
}

static void a_choice_survives_every_failed_allocation(void **unused)
{
    static const double strengths[] = { 10, 1 };
    const fen_fit_prior prior = { NULL, centre_of_zero, strengths, 2 };
    fen_fit_sums before, after;
    (void)unused;
    make(2, false);
    for (size_t nth = 0;; nth++) {
        const size_t live = fen_alloc_live();
        fen_alloc_fail_at(nth);
        const fen_status st = fen_fit_honest(&p.fit, 2, &prior, NULL, &before, &after);
        fen_alloc_fail_at(FEN_ALLOC_NEVER_FAIL);
        assert_int_equal(fen_alloc_live(), live);
        if (st == FEN_OK)
            return;
        assert_int_equal(st, FEN_ENOMEM);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_fit_is_that_of_scikit_learn_where_the_problems_coincide),
        cmocka_unit_test(any_of_several_settled_causes_counts_and_the_end_is_a_minimum),
        cmocka_unit_test(few_cases_move_little_from_the_centre),
        cmocka_unit_test(the_strength_chosen_is_the_one_that_foretells_best),
        cmocka_unit_test(what_tells_nothing_moves_nothing),
        cmocka_unit_test(a_choice_survives_every_failed_allocation),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
