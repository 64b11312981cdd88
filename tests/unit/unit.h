/* unit.h -- what the unit tests share: cmocka with what it needs before it,
 * doubles compared as doubles (cmocka 1.1.5 compares them as float), refused
 * allocations, and a folder of one's own.
 */
#ifndef FEN_UNIT_H
#define FEN_UNIT_H

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "fenmend/status.h"
#include "util/alloc.h"

#define COUNT(array) (sizeof(array) / sizeof((array)[0]))

#define assert_near(got, want, tolerance) unit_near((got), (want), (tolerance), #got, __FILE__, __LINE__)
static inline void unit_near(double got, double want, double tolerance, const char *what, const char *file, int line)
{
    if (fabs(got - want) <= tolerance)
        return;
    print_error("%s is %.17g, not %.17g within %g\n", what, got, want, tolerance);
    _fail(file, line);
}

/* Run WORK with its first, second, ... allocation refused, until it makes none
 * that is refused. Each time it must say so and give everything back. Returns how
 * many refusals there were; a test that allocates nothing tests nothing. */
static inline size_t unit_refuse_each(fen_status (*work)(void *), void *arg)
{
    for (size_t nth = 0;; nth++) {
        const size_t before = fen_alloc_live();
        fen_alloc_fail_at(nth);
        const fen_status st = work(arg);
        fen_alloc_fail_at(FEN_ALLOC_NEVER_FAIL);
        assert_int_equal(fen_alloc_live(), before);
        if (st == FEN_OK) {
            assert_true(nth > 0);
            return nth;
        }
        assert_int_equal(st, FEN_ENOMEM);
    }
}

/* Numbers that look random and are the same everywhere (xorshift64*, Vigna 2016). */
static inline uint64_t unit_random(uint64_t *state)
{
    *state ^= *state >> 12;
    *state ^= *state << 25;
    *state ^= *state >> 27;
    return *state * UINT64_C(2685821657736338717);
}

#endif
