/* plants.c -- see plants.h. */
#include "plants.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>

#include <cmocka.h>

/* Another plant, or one like that before but for some answers: the rules that wait for
 * other findings alone, and the exceptions in force, are then others. */
static void next_plant(const plant_walk *w, rb_base *b, rb_rng *r)
{
    if (rb_chance(r, w->anew))
        rb_random_answers(b, r);
    for (unsigned i = 0; i < w->changes; i++) {
        const int f = (int)rb_below(r, (unsigned)b->n_findings);
        if (!b->finding[f].derived)
            b->answer[f] = f && rb_chance(r, w->open) ? (fen_answer){ .state = FEN_OPEN } : rb_random_answer(b, r, f);
    }
}

/* Do the plants of the base all come out right? */
static bool walk_base(const plant_walk *w, rb_base *b, const fen_base *base, uint64_t seed)
{
    fen_session *s = NULL;
    rb_rng r = { .state = seed };
    bool right = true;
    assert_int_equal(fen_session_new(base, RB_TODAY, &s), FEN_OK);
    for (int plant = 0; plant < w->plants && right; plant++) {
        next_plant(w, b, &r);
        fen_session_clear(s);
        assert_int_equal(rb_answer_all(b, s), FEN_OK);
        right = w->is_right(w->ctx, s);
        if (!right)
            print_error("seed %llu, plant %d\n", (unsigned long long)seed, plant);
    }
    w->add(w->ctx, s);
    fen_session_free(s);
    return right;
}

int walk_random_plants(const plant_walk *w)
{
    static rb_base b;
    int bad = 0;
    for (uint64_t seed = w->from; seed < w->to; seed++) {
        fen_base *base = NULL;
        rb_refusal refusal;
        rb_needs needs;
        rb_generate(&b, seed, seed % 3 == 0);
        rb_find_needs(&b, false, &needs);
        if (!rb_stratified(&b, &needs) || rb_build(&b, NULL, &base, &refusal) != FEN_OK || refusal.refused)
            continue;
        bad += !walk_base(w, &b, base, seed);
        fen_base_free(base);
    }
    return bad;
}

static fen_answer any_answer(const fen_session *s, const fen_finding *f, rb_rng *r)
{
    fen_answer a = { .state = rb_chance(r, 8) ? FEN_UNSURE : FEN_KNOWN };
    if (f->type == FEN_QUANTITY)
        a.value = f->low + (f->high - f->low) * rb_below(r, 1000) / 999;
    else if (f->type == FEN_DATE)
        a.value = fen_session_today(s) - (int32_t)rb_below(r, 400);
    else
        a.picks = UINT64_C(1) << rb_below(r, f->n_options);
    return a;
}

void meet_plant(fen_session *s, fen_id kind, unsigned percent, rb_rng *r)
{
    const fen_base *base = fen_session_base(s);
    fen_session_clear(s);
    assert_int_equal(fen_session_answer(s, FEN_KIND_FINDING, (fen_answer){ .state = FEN_KNOWN, .picks = UINT64_C(1) << kind }), FEN_OK);
    for (fen_id f = 1; f < fen_base_findings(base); f++)
        if (rb_chance(r, percent) && fen_session_askable(s, f))
            (void)!fen_session_answer(s, f, any_answer(s, fen_base_finding(base, f), r)); /* or it is not believed */
}
