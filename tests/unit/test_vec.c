/* Growing arrays. */
#include "unit.h"
#include "util/vec.h"

static void items_stay_in_the_order_they_were_pushed(void **state)
{
    (void)state;
    FEN_VEC(uint64_t) v = { 0 };
    for (uint64_t i = 0; i < 100000; i++)
        assert_true(FEN_VEC_PUSH(&v, i * i));
    assert_int_equal(v.count, 100000);
    for (uint64_t i = 0; i < 100000; i++)
        assert_int_equal(v.at[i], i * i);
    FEN_VEC_FREE(&v);
    assert_int_equal(v.count, 0);
    assert_null(v.at);
}

static void pushing_takes_few_allocations(void **state)
{
    (void)state;
    FEN_VEC(char) v = { 0 };
    const size_t before = fen_alloc_calls();
    for (int i = 0; i < 1000000; i++)
        assert_true(FEN_VEC_PUSH(&v, 'x'));
    assert_true(fen_alloc_calls() - before < 25);
    FEN_VEC_FREE(&v);
}

static void more_than_a_count_can_hold_is_refused(void **state)
{
    (void)state;
    FEN_VEC(char) v = { 0 };
    assert_true(FEN_VEC_PUSH(&v, 'x'));
    assert_false(FEN_VEC_ROOM(&v, UINT32_MAX - 1));
    assert_int_equal(v.count, 1);
    assert_int_equal(v.at[0], 'x');
    FEN_VEC_FREE(&v);
}

static fen_status push_some(void *arg)
{
    (void)arg;
    FEN_VEC(int) v = { 0 };
    fen_status st = FEN_OK;
    for (int i = 0; i < 200 && !st; i++) {
        if (!FEN_VEC_PUSH(&v, i)) {
            st = FEN_ENOMEM;
            for (uint32_t k = 0; k < v.count; k++) /* as before the call */
                assert_int_equal(v.at[k], k);
        }
    }
    FEN_VEC_FREE(&v);
    return st;
}

static void pushing_survives_every_failed_allocation(void **state)
{
    (void)state;
    unit_refuse_each(push_some, NULL);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(items_stay_in_the_order_they_were_pushed),
        cmocka_unit_test(pushing_takes_few_allocations),
        cmocka_unit_test(more_than_a_count_can_hold_is_refused),
        cmocka_unit_test(pushing_survives_every_failed_allocation),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
