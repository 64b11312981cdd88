/* test_tune.c -- tuning and proposing when memory runs out, and what they refuse. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

#include "fenmend/tune.h"
#include "util/alloc.h"
#include "util/str.h"

static const char *const packs[] = { FEN_TESTS_DIR "/packs/small.yaml" };
static char cases[] = "/tmp/fenmend-tune-XXXXXX";
static const char *const paths[] = { cases };

static int write_cases(void **unused)
{
    (void)unused;
    const int fd = mkstemp(cases);
    FILE *out = fd < 0 ? NULL : fdopen(fd, "w");
    if (!out)
        return -1;
    fputs("case,heart,tray,settled\n", out);
    for (int i = 0; i < 24; i++)
        fprintf(out, "p%d,%s,%s,%s\n", i, i % 2 ? "firm" : "soft", i % 3 ? "standing" : "dry-often", i % 2 ? "thirst" : "heart-rot");
    return fclose(out);
}

static int remove_cases(void **unused)
{
    (void)unused;
    return unlink(cases);
}

static fen_status propose(void)
{
    const fen_tune_plan plan = { .paths = paths, .n_paths = 1, .missing_used = true };
    fen_tune_report r;
    fen_str out;
    fen_str_init(&out, 1u << 20);
    fen_status st = fen_propose(&plan, &out, &r);
    if (!st)
        st = fen_str_status(&out);
    fen_str_free(&out);
    return st;
}

static fen_base *base;

static fen_status tune(void)
{
    const fen_tune_plan plan = { .paths = paths, .n_paths = 1 };
    fen_tune_report r;
    fen_str out;
    fen_str_init(&out, 1u << 20);
    fen_status st = fen_tune(base, packs, 1, &plan, &out, &r);
    if (!st)
        st = fen_str_status(&out);
    fen_str_free(&out);
    return st;
}

/* Every early allocation, then ever fewer: the same loops make the later ones. */
static void survive(fen_status (*work)(void))
{
    for (size_t nth = 0;; nth += 1 + nth / 16) {
        const size_t live = fen_alloc_live();
        fen_alloc_fail_at(nth);
        const fen_status st = work();
        fen_alloc_fail_at(FEN_ALLOC_NEVER_FAIL);
        assert_int_equal(fen_alloc_live(), live);
        if (st == FEN_OK)
            return;
        assert_int_equal(st, FEN_ENOMEM);
    }
}

static void proposing_survives_failed_allocations(void **unused)
{
    (void)unused;
    survive(propose);
}

static void tuning_survives_failed_allocations(void **unused)
{
    fen_problems *problems;
    (void)unused;
    assert_int_equal(fen_problems_new(&problems), FEN_OK);
    assert_int_equal(fen_base_load(packs, 1, problems, &base), FEN_OK);
    survive(tune);
    fen_base_free(base);
    fen_problems_free(problems);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(proposing_survives_failed_allocations),
        cmocka_unit_test(tuning_survives_failed_allocations),
    };
    return cmocka_run_group_tests(tests, write_cases, remove_cases);
}
