/* What `vet` concludes rests on two things: that the region of a condition has exactly the
 * answers that make it true, and that a trial chains as the engine does. Random bases and
 * answers are put to both, and the slow engine has the last word. Answers that make a
 * finding clash are left out: a region has one value for it.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <string.h>

#include <cmocka.h>

#include "pack/vet_box.h"
#include "pack/vet_chain.h"
#include "support/slow_engine.h"

enum { BASES = 600, ANSWERS = 6 };

typedef struct counts {
    int bases, in, out, narrow, clashes;
} counts;

static void give_answers(const rb_base *b, fen_trial *t)
{
    fen_trial_clear(t);
    for (int f = 0; f < b->n_findings; f++) {
        const fen_answer *a = &b->answer[f];
        if (b->finding[f].derived)
            continue;
        t->state[f] = a->state == FEN_KNOWN ? FEN_IS_KNOWN : a->state == FEN_UNSURE ? FEN_IS_UNSURE : FEN_IS_OPEN;
        t->picks[f] = a->state == FEN_KNOWN ? a->picks : 0;
        t->value[f] = b->finding[f].type == FEN_DATE ? RB_TODAY - a->value : a->value;
    }
}

static bool inside(const fen_limit *l, double x)
{
    return (l->lo_open ? x > l->lo : x >= l->lo) && (l->hi_open ? x < l->hi : x <= l->hi);
}

static bool finding_fits(const rb_base *b, const fen_trial *t, const rb_facts *facts, const fen_limit *l)
{
    const rb_finding *f = &b->finding[l->var];
    const uint64_t picks = f->derived ? facts->derived[l->var] : t->picks[l->var];
    const unsigned state = f->derived ? (picks ? FEN_IS_KNOWN : FEN_IS_OPEN) : t->state[l->var];
    if (!(l->states & state))
        return false;
    if (l->states != FEN_IS_KNOWN)
        return true;
    if (f->type == FEN_SEVERAL)
        return !(l->in & ~picks) && !(l->out & picks);
    if (f->type == FEN_QUANTITY || f->type == FEN_DATE)
        return inside(l, t->value[l->var]);
    return (l->in & picks) != 0;
}

static bool fits(const rb_base *b, const fen_base *base, const fen_trial *t, const rb_facts *facts, const fen_box *box)
{
    for (uint32_t i = 0; i < box->n; i++) {
        const fen_limit *l = &box->at[i];
        double x;
        if (l->var < base->n_findings ? !finding_fits(b, t, facts, l)
                                      : !fen_trial_sum(t, &base->exprs[l->var - base->n_findings], &x) || !inside(l, x))
            return false;
    }
    return true;
}

static bool within(const rb_base *b, const fen_base *base, const fen_trial *t, const rb_facts *facts, fen_region r)
{
    for (uint32_t i = 0; i < r.n; i++)
        if (fits(b, base, t, facts, &r.at[i]))
            return true;
    return false;
}

static void compare_rules(const rb_base *b, const fen_base *base, fen_boxes *boxes, const fen_trial *t, const rb_facts *facts, counts *n)
{
    for (int r = 0; r < b->n_rules; r++) {
        const fen_region g = fen_region_of_rule(boxes, fen_base_rule(base, (fen_id)r));
        const fen_region none = fen_region_of(boxes, fen_base_rule(base, (fen_id)r)->cond, true);
        const bool is_true = facts->rule[r] == FEN_FIRED || facts->rule[r] == FEN_BEATEN;
        if (!g.whole || !none.whole) {
            n->narrow++;
            continue;
        }
        if (within(b, base, t, facts, g) != is_true)
            fail_msg("seed %llu: rule %d is %s, but its region says otherwise", (unsigned long long)b->seed, r, is_true ? "true" : "not true");
        if (within(b, base, t, facts, none) && is_true)
            fail_msg("seed %llu: rule %d is true where its condition is false", (unsigned long long)b->seed, r);
        n->in += is_true;
        n->out += !is_true;
    }
}

static void compare_derived(const rb_base *b, const fen_trial *t, const rb_facts *facts)
{
    for (int f = 0; f < b->n_findings; f++) {
        const rb_finding *x = &b->finding[f];
        uint64_t have = t->derived[f];
        if (!x->derived)
            continue;
        if (!have && x->fallback >= 0)
            have = UINT64_C(1) << x->fallback;
        if (have != facts->derived[f])
            fail_msg("seed %llu: the trial derives %llx for finding %d, not %llx", (unsigned long long)b->seed, (unsigned long long)have, f,
                     (unsigned long long)facts->derived[f]);
    }
}

static void compare_base(rb_base *b, const fen_base *base, counts *n)
{
    static slow_result slow;
    rb_rng dice = { .state = b->seed };
    fen_arena *arena = fen_arena_new();
    fen_boxes boxes;
    fen_trial trial;
    assert_non_null(arena);
    assert_int_equal(fen_boxes_begin(&boxes, base, arena), FEN_OK);
    assert_int_equal(fen_trial_begin(&trial, base, arena), FEN_OK);
    for (int i = 0; i < ANSWERS; i++) {
        rb_random_answers(b, &dice);
        slow_engine(b, &slow);
        give_answers(b, &trial);
        fen_trial_run(&trial);
        compare_derived(b, &trial, &slow.facts);
        if (slow.clash)
            n->clashes++;
        else
            compare_rules(b, base, &boxes, &trial, &slow.facts, n);
    }
    assert_false(boxes.nomem);
    fen_arena_free(arena);
}

static void regions_and_trials_agree_with_the_slow_engine(void **state)
{
    (void)state;
    static rb_base b;
    counts n = { 0 };
    for (uint64_t seed = 1; n.bases < BASES; seed++) {
        fen_base *base = NULL;
        rb_refusal refusal;
        rb_generate(&b, seed, false);
        assert_int_equal(rb_build(&b, NULL, &base, &refusal), FEN_OK);
        if (refusal.refused)
            continue;
        n.bases++;
        compare_base(&b, base, &n);
        fen_base_free(base);
    }
    print_message("%d bases: rules %d times true, %d times not; %d too wide, %d answers with a clash\n", n.bases, n.in, n.out, n.narrow, n.clashes);
    assert_true(n.in > 1000 && n.out > 1000);
}

/* Within, both and apart are about the same answers. */
static void relations_of_boxes_hold_for_the_answers_in_them(void **state)
{
    (void)state;
    static rb_base b;
    static slow_result slow;
    int both = 0, inner = 0;
    for (uint64_t seed = 1; seed <= 150; seed++) {
        fen_base *base = NULL;
        rb_refusal refusal;
        rb_generate(&b, seed, false);
        assert_int_equal(rb_build(&b, NULL, &base, &refusal), FEN_OK);
        if (refusal.refused)
            continue;
        fen_arena *arena = fen_arena_new();
        fen_boxes boxes;
        fen_trial trial;
        rb_rng dice = { .state = seed };
        assert_int_equal(fen_boxes_begin(&boxes, base, arena), FEN_OK);
        assert_int_equal(fen_trial_begin(&trial, base, arena), FEN_OK);
        for (int i = 0; i < ANSWERS; i++) {
            rb_random_answers(&b, &dice);
            slow_engine(&b, &slow);
            give_answers(&b, &trial);
            for (int r = 0; !slow.clash && r + 1 < b.n_rules; r++) {
                const fen_region x = fen_region_of_rule(&boxes, fen_base_rule(base, (fen_id)r));
                const fen_region y = fen_region_of_rule(&boxes, fen_base_rule(base, (fen_id)r + 1));
                const fen_region z = fen_region_both(&boxes, x, y);
                const bool in_x = within(&b, base, &trial, &slow.facts, x), in_y = within(&b, base, &trial, &slow.facts, y);
                if (z.whole && within(&b, base, &trial, &slow.facts, z) != (in_x && in_y))
                    fail_msg("seed %llu: rules %d and %d", (unsigned long long)seed, r, r + 1);
                if (fen_region_within(&boxes, x, y) && in_x)
                    assert_true(in_y);
                inner += fen_region_within(&boxes, x, y) && x.n;
                both += in_x && in_y;
            }
        }
        fen_arena_free(arena);
        fen_base_free(base);
    }
    assert_true(both > 50 && inner > 50);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(regions_and_trials_agree_with_the_slow_engine),
        cmocka_unit_test(relations_of_boxes_hold_for_the_answers_in_them),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
