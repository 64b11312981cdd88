/* The demonstration cases, each a common way for a flytrap to get into trouble,
 * judged by the shipped rules: what is settled must lead, and what is dangerous
 * must be called so. Their plants are invented; what the rules say of them also
 * stands in tests/cli/demo-*.out. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>

#include <cmocka.h>

#include "fenmend/case.h"
#include "util/file.h"

static fen_base *shipped(void)
{
    const char *path = FEN_RULES_DIR;
    fen_problems *problems = NULL;
    fen_base *base = NULL;
    assert_int_equal(fen_problems_new(&problems), FEN_OK);
    assert_int_equal(fen_base_load(&path, 1, problems, &base), FEN_OK);
    fen_problems_free(problems);
    return base;
}

static bool is_settled(const fen_visit *v, fen_id cause)
{
    for (uint32_t i = 0; i < v->settled.count; i++)
        if (v->settled.at[i] == cause)
            return true;
    return false;
}

static void judge(const fen_base *base, const char *path)
{
    fen_problems *problems = NULL;
    fen_case *c = NULL;
    fen_session *s = NULL;
    assert_int_equal(fen_problems_new(&problems), FEN_OK);
    if (fen_case_load(base, path, 20000, problems, &c) != FEN_OK)
        fail_msg("%s: %s", path, fen_problems_at(problems, 0)->text);
    const fen_visit *visit = &c->visits[c->n_visits - 1];
    assert_int_equal(fen_session_new(base, visit->date, &s), FEN_OK);
    fen_case_answer(c, c->n_visits - 1, s);
    const fen_verdict *v = fen_session_verdict(s);
    const fen_cause *lead = fen_base_cause(base, v->ranking.at[0]);
    assert_true(visit->settled.count > 0);
    if (!is_settled(visit, v->ranking.at[0]))
        fail_msg("%s: '%s' leads", path, lead->id);
    for (uint32_t i = 0; i < visit->settled.count; i++)
        assert_true(v->urgency >= fen_base_cause(base, visit->settled.at[i])->urgency);
    fen_session_free(s);
    fen_case_free(c);
    fen_problems_free(problems);
}

static void the_settled_cause_of_every_demonstration_case_leads(void **state)
{
    (void)state;
    fen_base *base = shipped();
    char **names = NULL;
    size_t n = 0;
    assert_int_equal(fen_file_list(FEN_CASES_DIR, ".yaml", &names, &n), FEN_OK);
    assert_true(n >= 12);
    for (size_t i = 0; i < n; i++)
        judge(base, names[i]);
    fen_file_names_free(names, n);
    fen_base_free(base);
}

static void the_first_pack_is_as_rich_as_promised(void **state)
{
    (void)state;
    fen_base *base = shipped();
    uint32_t harmless = 0, n = fen_base_causes(base) - 1;
    for (fen_id c = 0; c < n; c++)
        harmless += fen_base_cause(base, c)->harmless;
    assert_true(n >= 30);
    assert_true(harmless >= 25 || 3 * harmless >= n);
    for (fen_id r = 0; r < fen_base_rules(base); r++) {
        assert_non_null(fen_base_rule(base, r)->why);
        assert_non_null(fen_base_rule(base, r)->source);
    }
    fen_base_free(base);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_settled_cause_of_every_demonstration_case_leads),
        cmocka_unit_test(the_first_pack_is_as_rich_as_promised),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
