/* refusal.c -- bases with cycles: the compiler's verdict against a closure
 * computed here, and the cycle it names against the rules themselves.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <string.h>

#include <cmocka.h>

#include "support/oracle.h"

/* Each rule needs the next, the last the first, and at least one step is
 * negative or enters a strong component that holds one. */
static const char *cycle_fault(const rb_base *b, const rb_needs *needs, const rb_refusal *r)
{
    int n = r->n_cycle;
    bool negative = false;
    if (r->cycle_is_odd)
        return "names rules that are not there";
    if (n > 1 && r->cycle[n - 1] == r->cycle[0])
        n--; /* closed explicitly */
    if (n == 0)
        return "is empty";
    for (int i = 0; i < n; i++) {
        const int from = r->cycle[i], to = r->cycle[(i + 1) % n];
        for (int k = 0; k < i; k++)
            if (r->cycle[k] == from)
                return "names a rule twice";
        if (from >= b->n_rules || !((needs->positive[from] | needs->negative[from]) >> to & 1))
            return "has a step that is no dependency";
        negative |= needs->negative[from] >> to & 1;
    }
    return negative ? NULL : "has no negative step";
}

/* Strata must rise with the dependencies. */
static const char *strata_fault(const rb_base *b, const rb_needs *needs, const fen_base *base)
{
    for (int i = 0; i < b->n_rules; i++)
        for (int j = 0; j < b->n_rules; j++) {
            const uint32_t si = fen_base_rule(base, (fen_id)i)->stratum, sj = fen_base_rule(base, (fen_id)j)->stratum;
            if ((needs->positive[i] >> j & 1) && si < sj)
                return "a rule's stratum is below one it needs";
            if ((needs->negative[i] >> j & 1) && si <= sj)
                return "a rule's stratum is not above one whose absence it needs";
        }
    return NULL;
}

static const char *fault(const rb_base *b, bool *ret_refused)
{
    rb_needs needs;
    rb_refusal refusal;
    fen_base *base = NULL;
    rb_find_needs(b, false, &needs);
    const bool fine = rb_stratified(b, &needs);
    const char *what = NULL;
    if (rb_build(b, NULL, &base, &refusal) != FEN_OK)
        what = "cannot be built";
    else if (fine && refusal.refused)
        what = "is stratified, but refused";
    else if (!fine && !refusal.refused)
        what = "has a negative cycle, but is taken";
    else if (refusal.refused)
        what = cycle_fault(b, &needs, &refusal);
    else
        what = strata_fault(b, &needs, base);
    *ret_refused = refusal.refused;
    fen_base_free(base);
    return what;
}

static bool still_faulty(const rb_base *b, void *context)
{
    bool refused;
    (void)context;
    return fault(b, &refused) != NULL;
}

void refusal_campaign(uint64_t first_seed, int count)
{
    static rb_base b;
    int refused = 0, finer = 0;
    for (int i = 0; i < count; i++) {
        bool was_refused = false;
        rb_generate(&b, first_seed + (uint64_t)i, i % 4 != 0);
        const char *what = fault(&b, &was_refused);
        if (what) {
            char name[64];
            print_error("seed %llu: %s\n", (unsigned long long)b.seed, what);
            rb_shrink(&b, still_faulty, NULL);
            snprintf(name, sizeof name, "cycle-%llu", (unsigned long long)b.seed);
            rb_keep(&b, name);
            fail();
        }
        rb_needs needs;
        rb_find_needs(&b, true, &needs);
        refused += was_refused;
        finer += was_refused && rb_stratified(&b, &needs);
    }
    print_message("%d bases: %d refused (%d of them only because a finding, not an option, is the unit)\n", count, refused, finer);
    assert_true(refused > count / 10 && refused < count);
}

static void replay_one(void *context, const rb_base *b, const char *path)
{
    bool refused;
    const char *what = fault(b, &refused);
    if (!what)
        return;
    print_error("%s %s again\n", path, what);
    ++*(int *)context;
}

void refusal_replay(void)
{
    int bad = 0;
    for_each_kept(replay_one, &bad);
    assert_int_equal(bad, 0);
}
