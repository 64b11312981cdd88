/* plans.h -- the rule base of tests/packs/plan.yaml, for tests of plans, visits
 * and what is due.
 */
#ifndef FEN_PLANS_H
#define FEN_PLANS_H

#include "views.h"

static inline fen_base *plans_base_of(const char *path)
{
    fen_problems *problems;
    fen_base *base = NULL;
    assert_int_equal(fen_problems_new(&problems), FEN_OK);
    if (fen_base_load(&path, 1, problems, &base))
        for (size_t i = 0; i < fen_problems_count(problems); i++)
            print_error("%s:%lu: %s\n", path, (unsigned long)fen_problems_at(problems, i)->place.line,
                        fen_problems_at(problems, i)->text);
    fen_problems_free(problems);
    assert_non_null(base);
    return base;
}

static inline fen_base *plans_base(void)
{
    return plans_base_of(FEN_TESTS_DIR "/packs/plan.yaml");
}

#endif
