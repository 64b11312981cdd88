/* Plans of random plants under the shipped rules and under the small pack of
 * contradictions: the same whatever the order of answers, and never a step beside
 * its do-not.
 */
#include "advice/plan.h"
#include "unit/plans.h"

#define PLANTS 400

static uint64_t seed = UINT64_C(0x9E3779B97F4A7C15);

static fen_answer random_answer(const fen_finding *f)
{
    fen_answer a = { FEN_KNOWN, 0, 0 };
    const double share = (double)(unit_random(&seed) >> 11) / 9007199254740992.0;
    if (unit_random(&seed) % 16 == 0)
        return (fen_answer){ FEN_UNSURE, 0, 0 };
    if (f->type == FEN_QUANTITY)
        a.value = f->dim == FEN_DIM_COUNT ? floor(f->from + share * (f->to - f->from)) : f->from + share * share * (f->to - f->from);
    else if (f->type == FEN_DATE)
        a.value = TODAY - (int)(share * share * 800);
    else if (f->type == FEN_SEVERAL)
        for (fen_id o = 0; o < f->n_options; o++)
            a.picks = unit_random(&seed) % 4 ? a.picks : fen_finding_with(f, a.picks, o);
    else
        a.picks = UINT64_C(1) << unit_random(&seed) % f->n_options;
    if (f->type == FEN_SEVERAL && !a.picks)
        a.picks = fen_finding_without(f);
    return a;
}

static uint32_t draw(const fen_base *base, fen_id *ids, fen_answer *answers)
{
    uint32_t n = 0;
    const unsigned wanted = 1 + (unsigned)(unit_random(&seed) % 4);
    for (fen_id i = 0; i < fen_base_findings(base); i++) {
        const fen_finding *f = fen_base_finding(base, i);
        if (f->derived || unit_random(&seed) % 5 >= wanted)
            continue;
        ids[n] = i;
        answers[n++] = random_answer(f);
    }
    return n;
}

static void shuffle(fen_id *ids, fen_answer *answers, uint32_t n)
{
    for (uint32_t i = n; i > 1; i--) {
        const uint32_t k = (uint32_t)(unit_random(&seed) % i);
        const fen_id id = ids[k];
        const fen_answer a = answers[k];
        ids[k] = ids[i - 1], answers[k] = answers[i - 1];
        ids[i - 1] = id, answers[i - 1] = a;
    }
}

static fen_session *answered(const fen_base *base, const fen_id *ids, const fen_answer *answers, uint32_t n)
{
    fen_session *s;
    assert_int_equal(fen_session_new(base, TODAY, &s), FEN_OK);
    for (uint32_t i = 0; i < n; i++)
        assert_int_equal(fen_session_answer(s, ids[i], answers[i]), FEN_OK);
    return s;
}

/* Everything a plan shows, as one text. */
static void say(fen_session *s, fen_str *text)
{
    fen_page *page;
    size_t len;
    assert_int_equal(fen_page_new((fen_look){ .width = 80 }, &page), FEN_OK);
    fen_show_plan(page, s);
    fen_show_plan_amounts(page, s);
    assert_int_equal(fen_page_status(page), FEN_OK);
    const char *at = fen_page_text(page, &len);
    fen_str_put(text, at, len);
    fen_page_free(page);
}

static bool shares(fen_texts a, fen_texts b)
{
    for (uint32_t i = 0; i < a.count; i++)
        for (uint32_t k = 0; k < b.count; k++)
            if (strcmp(a.at[i], b.at[k]) == 0)
                return true;
    return false;
}

static bool is_shown(const fen_plan *p, const char *never)
{
    for (uint32_t i = 0; i < p->never.count; i++)
        if (strcmp(p->never.at[i], never) == 0)
            return true;
    return false;
}

/* Of the remedies taken in, no do-not that is shown forbids a step to be done, and
 * no two steps to be done forbid each other. */
static void assert_no_quarrel(const fen_base *base, const fen_plan *p)
{
    for (size_t i = 0; i < p->n_steps; i++) {
        const fen_step *step = &fen_base_remedy(base, p->steps[i].remedy)->steps[p->steps[i].step];
        if (p->steps[i].ready < 1)
            continue;
        for (size_t k = 0; k < p->n_steps; k++)
            if (p->steps[k].ready == 1)
                assert_false(shares(step->does, fen_base_remedy(base, p->steps[k].remedy)->steps[p->steps[k].step].against));
        for (size_t r = 0; r < p->n_remedies; r++) {
            const fen_remedy *remedy = fen_base_remedy(base, p->remedies[r].remedy);
            for (uint32_t n = 0; n < remedy->never.count; n++)
                if (remedy->never_against && shares(step->does, remedy->never_against[n]))
                    assert_false(is_shown(p, remedy->never.at[n]));
        }
    }
}

/* Nothing is left out that nothing stands against. */
static void assert_left_for_a_reason(const fen_base *base, const fen_plan *p)
{
    for (size_t i = 0; i < p->n_left; i++) {
        const fen_plan_item by = p->left[i].by;
        bool there = by.never != FEN_NONE && is_shown(p, fen_base_remedy(base, by.remedy)->never.at[by.never]);
        for (size_t k = 0; by.step != FEN_NONE && k < p->n_steps; k++)
            there = there || strcmp(fen_base_remedy(base, p->steps[k].remedy)->steps[p->steps[k].step].text,
                                    fen_base_remedy(base, by.remedy)->steps[by.step].text) == 0;
        assert_true(there);
    }
}

static size_t run(const char *path)
{
    fen_base *base = plans_base_of(path);
    fen_id ids[512];
    fen_answer answers[512];
    size_t left = 0;
    assert_true(fen_base_findings(base) <= COUNT(ids));
    for (size_t i = 0; i < PLANTS; i++) {
        fen_str a, b;
        fen_plan *p;
        fen_str_init(&a, 1u << 22);
        fen_str_init(&b, 1u << 22);
        const uint32_t n = draw(base, ids, answers);
        fen_session *s = answered(base, ids, answers, n);
        say(s, &a);
        assert_int_equal(fen_plan_make(s, &p), FEN_OK);
        assert_no_quarrel(base, p);
        assert_left_for_a_reason(base, p);
        left += p->n_left;
        fen_plan_free(p);
        fen_session_free(s);
        shuffle(ids, answers, n);
        s = answered(base, ids, answers, n);
        say(s, &b);
        assert_string_equal(a.at, b.at);
        fen_session_free(s);
        fen_str_free(&a);
        fen_str_free(&b);
    }
    fen_base_free(base);
    return left;
}

static void plans_are_the_same_in_any_order_and_never_contradict_themselves(void **state)
{
    (void)state;
    assert_true(run(FEN_RULES_DIR) > 0); /* the shipped rules do contradict each other at times */
    assert_true(run(FEN_TESTS_DIR "/packs/plan.yaml") > 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(plans_are_the_same_in_any_order_and_never_contradict_themselves),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
