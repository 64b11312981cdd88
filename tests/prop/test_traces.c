/* Random histories of a session -- answer, change, take back, suppose and undo,
 * skip -- must end exactly where a fresh session with the same answers ends,
 * whatever the order, allocate nothing on the way, and agree with the slow
 * engine. Doubles are compared bit by bit. A failing history is shrunk: first
 * its steps, then its base.
 */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <string.h>

#include <cmocka.h>

#include "support/oracle.h"
#include "support/slow_engine.h"
#include "support/snapshot.h"
#include "util/alloc.h"

enum { MOST_STEPS = 24 };

typedef enum step_type { ANSWER, ANSWER_ALL, TAKE_BACK, SUPPOSE, SKIP, UNSKIP, CLEAR, STEP_TYPES } step_type;

typedef struct step {
    step_type type;
    fen_id finding;
    fen_answer answer;
} step;

typedef struct trace {
    step step[MOST_STEPS];
    int n_steps;
    uint64_t seed; /* for the order of the fresh session's answers */
} trace;

/* ---- making one ---- */

static fen_id random_asked(const rb_base *b, rb_rng *r)
{
    fen_id f;
    do
        f = rb_below(r, (unsigned)b->n_findings);
    while (b->finding[f].derived);
    return f;
}

static void make_trace(const rb_base *b, uint64_t seed, trace *ret)
{
    static const step_type usual[] = {ANSWER, ANSWER, ANSWER, ANSWER, ANSWER_ALL, TAKE_BACK, TAKE_BACK, SUPPOSE, SUPPOSE, SKIP, UNSKIP};
    rb_rng r = {.state = seed};
    ret->seed = seed;
    ret->n_steps = 3 + (int)rb_below(&r, MOST_STEPS - 3);
    for (int i = 0; i < ret->n_steps; i++) {
        step *x = &ret->step[i];
        x->type = rb_chance(&r, 6) ? CLEAR : usual[rb_below(&r, 11)];
        x->finding = random_asked(b, &r);
        x->answer = rb_random_answer(b, &r, (int)x->finding);
    }
}

/* ---- running one ---- */

/* What went wrong, or NULL; steps are counted from 1 in *ret_step. */
static const char *suppose(const rb_base *b, fen_session *s, const step *x)
{
    static snapshot before, after;
    const fen_answer kept = fen_session_given(s, x->finding);
    snap_take(b, s, true, &before);
    if (fen_session_answer(s, x->finding, x->answer) != FEN_OK || fen_session_answer(s, x->finding, kept) != FEN_OK)
        return "an answer that fits is refused";
    snap_take(b, s, true, &after);
    return snap_differs(&before, &after);
}

/* Several at once, of which some change the answer before, or that to the kind; what does not fit changes nothing. */
static const char *answer_all(const rb_base *b, fen_session *s, const step *x)
{
    static snapshot before, after;
    fen_given given[8];
    rb_rng r = {.state = x->finding * 977u + (uint64_t)x->answer.picks};
    const unsigned n = rb_below(&r, 8);
    for (unsigned i = 0; i < n; i++) {
        given[i].finding = random_asked(b, &r);
        given[i].answer = rb_random_answer(b, &r, (int)given[i].finding);
    }
    given[n].finding = x->finding;
    given[n].answer = (fen_answer){.state = (fen_asked)7};
    snap_take(b, s, true, &before);
    if (fen_session_answer_all(s, given, n + 1) != FEN_EINPUT)
        return "an answer of no state is taken";
    snap_take(b, s, true, &after);
    if (snap_differs(&before, &after))
        return "what was refused has changed something";
    return fen_session_answer_all(s, given, n) == FEN_OK ? NULL : "answers that fit are refused";
}

static const char *do_step(const rb_base *b, fen_session *s, const step *x)
{
    const fen_answer none = {.state = FEN_OPEN};
    switch (x->type) {
    case ANSWER: return fen_session_answer(s, x->finding, x->answer) == FEN_OK ? NULL : "an answer that fits is refused";
    case ANSWER_ALL: return answer_all(b, s, x);
    case TAKE_BACK: return fen_session_answer(s, x->finding, none) == FEN_OK ? NULL : "taking back is refused";
    case SUPPOSE: return suppose(b, s, x);
    case SKIP: fen_session_skip(s, x->finding, true); return NULL;
    case UNSKIP: fen_session_skip(s, x->finding, false); return NULL;
    case CLEAR: fen_session_clear(s); return NULL;
    case STEP_TYPES: break;
    }
    return "no such step";
}

/* A session with the answers and skips of S, given in an order of its own. */
static fen_status fresh_session(const rb_base *b, const fen_session *s, rb_rng *r, fen_session **ret)
{
    unsigned order[RB_FINDINGS];
    fen_status st = fen_session_new(fen_session_base(s), RB_TODAY, ret);
    for (unsigned i = 0; i < (unsigned)b->n_findings; i++)
        order[i] = i;
    rb_shuffle(r, order, (unsigned)b->n_findings);
    for (int i = 0; i < b->n_findings && st == FEN_OK; i++) {
        if (b->finding[order[i]].derived)
            continue;
        st = fen_session_answer(*ret, order[i], fen_session_given(s, order[i]));
        fen_session_skip(*ret, order[i], fen_session_skipped(s, order[i]));
    }
    return st;
}

static const char *unlike_fresh(const rb_base *b, fen_session *s, rb_rng *r)
{
    static snapshot have, want;
    fen_session *fresh = NULL;
    const char *what = "no memory";
    snap_take(b, s, true, &have);
    if (fresh_session(b, s, r, &fresh) == FEN_OK) {
        snap_take(b, fresh, true, &want);
        what = snap_differs(&want, &have);
    }
    fen_session_free(fresh);
    return what;
}

static bool same_signs(const rb_base *b, const slow_result *slow, const fen_session *s, const fen_verdict *v)
{
    unsigned have[RB_FINDINGS] = {0};
    for (uint32_t i = 0; i < v->signs.count; i++) {
        const fen_test *t = fen_base_test(fen_session_base(s), v->signs.at[i]);
        have[t->finding] |= 1u << t->option;
    }
    return memcmp(have, slow->signs, (size_t)b->n_findings * sizeof have[0]) == 0;
}

static const char *unlike_slow(const rb_base *b, fen_session *s)
{
    static rb_base now;
    slow_result slow;
    rb_facts facts;
    now = *b;
    for (int i = 0; i < b->n_findings; i++)
        now.answer[i] = fen_session_given(s, (fen_id)i);
    slow_engine(&now, &slow);
    rb_read_facts(&now, NULL, s, &facts);
    if (!rb_same_facts(&now, &slow.facts, &facts, NULL))
        return "facts, against the slow engine";
    const fen_verdict *v = fen_session_verdict(s);
    uint64_t clash = 0;
    for (uint32_t i = 0; i < v->clashes.count; i++)
        clash |= UINT64_C(1) << v->clashes.at[i];
    if (clash != slow.clash)
        return "clashes, against the slow engine";
    if (!same_signs(b, &slow, s, v))
        return "signs, against the slow engine";
    for (int c = 0; c <= b->n_causes; c++) {
        const fen_cause *cause = fen_base_cause(fen_session_base(s), (fen_id)c);
        if (c < b->n_causes && v->score[c] - cause->prior != slow.tenths[c] * (FEN_DBAN / 10))
            return "a score, against the slow engine";
        if (!(fabs(v->p[c] - slow.p[c]) <= 1e-12))
            return "a probability, against the slow engine";
    }
    return NULL;
}

static const char *run(const rb_base *b, const trace *t, int *ret_step)
{
    fen_base *base = NULL;
    fen_session *s = NULL;
    rb_refusal refusal;
    rb_rng r = {.state = t->seed};
    const char *what = NULL;
    if (rb_build(b, NULL, &base, &refusal) != FEN_OK || refusal.refused || fen_session_new(base, RB_TODAY, &s) != FEN_OK) {
        fen_base_free(base);
        return NULL; /* not this test's business */
    }
    for (*ret_step = 1; *ret_step <= t->n_steps && !what; ++*ret_step) {
        const size_t calls = fen_alloc_calls();
        static snapshot ignored;
        what = do_step(b, s, &t->step[*ret_step - 1]);
        snap_take(b, s, true, &ignored);
        if (!what && fen_alloc_calls() != calls)
            what = "memory: a call allocated";
        if (!what)
            what = unlike_slow(b, s);
        if (!what)
            what = unlike_fresh(b, s, &r);
    }
    --*ret_step;
    fen_session_free(s);
    fen_base_free(base);
    return what;
}

/* ---- failing ---- */

static bool still_fails(const rb_base *b, void *context)
{
    int at;
    rb_needs needs;
    rb_find_needs(b, false, &needs);
    return rb_stratified(b, &needs) && run(b, context, &at) != NULL;
}

static void shrink_steps(const rb_base *b, trace *t)
{
    for (int i = t->n_steps - 1; i >= 0; i--) {
        trace shorter = *t;
        int at;
        memmove(&shorter.step[i], &shorter.step[i + 1], (size_t)(t->n_steps - i - 1) * sizeof(step));
        shorter.n_steps--;
        if (run(b, &shorter, &at))
            *t = shorter;
    }
}

static void keep(const rb_base *b, const trace *t)
{
    char name[64], path[512];
    snprintf(name, sizeof name, "trace-%llu", (unsigned long long)t->seed);
    rb_keep(b, name);
    snprintf(path, sizeof path, FEN_TESTS_DIR "/prop/kept/%s", name);
    FILE *out = fopen(path, "a");
    if (!out)
        return;
    fprintf(out, "op seed %llu\n", (unsigned long long)t->seed);
    for (int i = 0; i < t->n_steps; i++)
        fprintf(out, "op %d finding %u state %d picks %llu value %.17g\n", (int)t->step[i].type, t->step[i].finding, (int)t->step[i].answer.state,
                (unsigned long long)t->step[i].answer.picks, t->step[i].answer.value);
    fclose(out);
}

static void report(const rb_base *found, const trace *failing)
{
    static rb_base b;
    trace t = *failing;
    int at = 0;
    b = *found;
    shrink_steps(&b, &t);
    rb_shrink(&b, still_fails, &t);
    shrink_steps(&b, &t);
    const char *what = run(&b, &t, &at);
    print_error("after step %d of %d they differ in: %s\n", at, t.n_steps, what ? what : "nothing any more");
    keep(&b, &t);
}

static bool read_trace(const char *path, trace *ret)
{
    char line[512];
    FILE *in = fopen(path, "r");
    memset(ret, 0, sizeof *ret);
    while (in && fgets(line, sizeof line, in)) {
        unsigned long long big;
        int type, state;
        step x;
        if (sscanf(line, "op seed %llu", &big) == 1)
            ret->seed = big;
        else if (ret->n_steps < MOST_STEPS && sscanf(line, "op %d finding %u state %d picks %llu value %lf", &type, &x.finding, &state, &big, &x.answer.value) == 5) {
            x.type = (step_type)type;
            x.answer.state = (fen_asked)state;
            x.answer.picks = big;
            ret->step[ret->n_steps++] = x;
        }
    }
    if (in)
        fclose(in);
    return ret->n_steps > 0;
}

/* ---- the tests ---- */

static void replay_one(void *context, const rb_base *b, const char *path)
{
    trace t;
    int at = 0;
    rb_needs needs;
    rb_find_needs(b, false, &needs);
    if (!rb_stratified(b, &needs))
        return;
    if (!read_trace(path, &t))
        make_trace(b, b->seed, &t); /* any history of a base that once failed */
    const char *what = run(b, &t, &at);
    if (!what)
        return;
    print_error("%s: after step %d they differ in: %s\n", path, at, what);
    ++*(int *)context;
}

static void kept_histories_end_where_a_fresh_start_ends(void **state)
{
    int bad = 0;
    (void)state;
    for_each_kept(replay_one, &bad);
    assert_int_equal(bad, 0);
}

static void random_histories_end_where_a_fresh_start_ends(void **state)
{
    static rb_base b;
    int bad = 0, steps = 0;
    (void)state;
    for (uint64_t seed = 7000000; seed < 7012000; seed++) {
        rb_needs needs;
        trace t;
        int at = 0;
        rb_generate(&b, seed, seed % 3 == 0);
        rb_find_needs(&b, false, &needs);
        if (!rb_stratified(&b, &needs))
            continue;
        make_trace(&b, seed, &t);
        const char *what = run(&b, &t, &at);
        steps += at;
        if (!what)
            continue;
        print_error("seed %llu, step %d: %s\n", (unsigned long long)seed, at, what);
        if (bad++ == 0)
            report(&b, &t);
    }
    print_message("%d steps compared\n", steps);
    assert_true(steps > 100000);
    assert_int_equal(bad, 0);
}

/* Equal but for the numbering of rules; gains are sums over causes in the order
 * in which they are reached, so they may differ in the last place. */
static const char *unlike_shuffled(const rb_base *b, fen_session *plain, fen_session *shuffled, const unsigned *order)
{
    static snapshot x, y;
    rb_facts fx, fy;
    snap_take(b, plain, true, &x);
    snap_take(b, shuffled, true, &y);
    rb_read_facts(b, NULL, plain, &fx);
    rb_read_facts(b, order, shuffled, &fy);
    if (!rb_same_facts(b, &fx, &fy, NULL))
        return "facts";
    for (int f = 0; f < b->n_findings; f++)
        if (!(fabs(x.gain[f] - y.gain[f]) <= 1e-12))
            return "an expected gain";
    if (!(fabs(x.next.worth - y.next.worth) <= 1e-11) || x.next.stop != y.next.stop)
        return "the worth of the next question";
    if (x.next.finding != y.next.finding)
        return "the next question";
    memcpy(y.rule, x.rule, sizeof y.rule);
    memcpy(y.gain, x.gain, sizeof y.gain);
    y.next = x.next;
    return snap_differs(&x, &y);
}

static const char *shuffle_and_compare(const rb_base *b, uint64_t seed)
{
    rb_rng r = {.state = seed * 31};
    unsigned order[RB_RULES];
    fen_base *base[2] = {NULL, NULL};
    fen_session *s[2] = {NULL, NULL};
    rb_refusal refusal;
    const char *what = NULL;
    for (unsigned i = 0; i < (unsigned)b->n_rules; i++)
        order[i] = i;
    rb_shuffle(&r, order, (unsigned)b->n_rules);
    for (int i = 0; i < 2 && !what; i++)
        if (rb_build(b, i ? order : NULL, &base[i], &refusal) != FEN_OK || refusal.refused || fen_session_new(base[i], RB_TODAY, &s[i]) != FEN_OK || rb_answer_all(b, s[i]) != FEN_OK)
            what = refusal.refused ? "refused in one order" : "no memory";
    if (!what)
        what = unlike_shuffled(b, s[0], s[1], order);
    for (int i = 0; i < 2; i++) {
        fen_session_free(s[i]);
        fen_base_free(base[i]);
    }
    return what;
}

static bool shuffle_fails(const rb_base *b, void *context)
{
    rb_needs needs;
    rb_find_needs(b, false, &needs);
    return rb_stratified(b, &needs) && shuffle_and_compare(b, *(uint64_t *)context) != NULL;
}

static void the_order_of_rules_changes_nothing(void **state)
{
    static rb_base b;
    int bad = 0;
    (void)state;
    for (uint64_t seed = 8000000; seed < 8020000; seed++) {
        rb_needs needs;
        rb_generate(&b, seed, seed % 3 == 0);
        rb_find_needs(&b, false, &needs);
        if (!rb_stratified(&b, &needs))
            continue;
        const char *what = shuffle_and_compare(&b, seed);
        if (!what)
            continue;
        print_error("seed %llu, rules in another order: %s\n", (unsigned long long)seed, what);
        if (bad++ > 0)
            continue;
        char name[64];
        snprintf(name, sizeof name, "shuffle-%llu", (unsigned long long)seed);
        rb_shrink(&b, shuffle_fails, &seed);
        rb_keep(&b, name);
    }
    assert_int_equal(bad, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(kept_histories_end_where_a_fresh_start_ends),
        cmocka_unit_test(random_histories_end_where_a_fresh_start_ends),
        cmocka_unit_test(the_order_of_rules_changes_nothing),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
