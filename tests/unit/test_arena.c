/* Many small things that live and die together. */
#include <stdalign.h>

#include "unit.h"
#include "util/arena.h"

static void things_do_not_overlap_and_suit_every_type(void **state)
{
    (void)state;
    enum { N = 20000 };
    fen_arena *a = fen_arena_new();
    unsigned char **at = fen_alloc(N * sizeof *at);
    uint64_t random = 1;
    size_t *size = fen_alloc(N * sizeof *size);
    for (size_t i = 0; i < N; i++) {
        size[i] = unit_random(&random) % (i % 500 ? 60 : 200000);
        at[i] = fen_arena_take(a, size[i], 1);
        assert_non_null(at[i]);
        assert_int_equal((uintptr_t)at[i] % alignof(max_align_t), 0);
        memset(at[i], (int)(i & 0xFF), size[i]);
    }
    for (size_t i = 0; i < N; i++)
        for (size_t k = 0; k < size[i]; k++)
            assert_int_equal(at[i][k], i & 0xFF);
    fen_free(at);
    fen_free(size);
    fen_arena_free(a);
}

static void texts_and_copies_are_what_was_given(void **state)
{
    (void)state;
    fen_arena *a = fen_arena_new();
    const int numbers[] = { 3, 1, 4, 1, 5 };
    assert_string_equal(fen_arena_text(a, "crown rot", 5), "crown");
    assert_string_equal(fen_arena_text(a, "", 0), "");
    assert_memory_equal(fen_arena_copy(a, numbers, 5, sizeof *numbers), numbers, sizeof numbers);
    const unsigned char *zero = fen_arena_zeroed(a, 300, 3);
    for (size_t i = 0; i < 900; i++)
        assert_int_equal(zero[i], 0);
    fen_arena_free(a);
}

static void small_things_share_few_blocks(void **state)
{
    (void)state;
    fen_arena *a = fen_arena_new();
    const size_t before = fen_alloc_calls();
    for (int i = 0; i < 10000; i++)
        assert_non_null(fen_arena_take(a, 1, 16));
    assert_true(fen_alloc_calls() - before < 5);
    assert_true(fen_arena_bytes(a) >= 160000);
    fen_arena_free(a);
}

static void a_cleared_arena_is_filled_again_without_more_memory(void **state)
{
    (void)state;
    fen_arena *a = fen_arena_new();
    fen_arena_clear(a); /* nothing yet */
    assert_int_equal(fen_arena_bytes(a), 0);
    assert_non_null(fen_arena_take(a, 1000, 16));
    const size_t first = fen_arena_bytes(a), before = fen_alloc_calls();
    for (int round = 0; round < 50; round++) {
        fen_arena_clear(a);
        assert_string_equal(fen_arena_text(a, "crown rot", 9), "crown rot");
        assert_non_null(fen_arena_take(a, 1000, 16));
    }
    assert_int_equal(fen_alloc_calls(), before);
    assert_non_null(fen_arena_take(a, 1000000, 16));
    fen_arena_clear(a); /* what was large is given back */
    assert_int_equal(fen_arena_bytes(a), first);
    fen_arena_free(a);
}

static void a_size_that_overflows_gives_nothing(void **state)
{
    (void)state;
    fen_arena *a = fen_arena_new();
    assert_null(fen_arena_take(a, SIZE_MAX / 2, 3));
    assert_null(fen_arena_take(a, SIZE_MAX, 1));
    assert_null(fen_arena_text(a, "", SIZE_MAX));
    fen_arena_free(a);
}

static fen_status fill(void *arg)
{
    (void)arg;
    fen_arena *a = fen_arena_new();
    fen_status st = a ? FEN_OK : FEN_ENOMEM;
    for (int i = 0; i < 40 && !st; i++)
        st = fen_arena_text(a, "0123456789", 10) && fen_arena_zeroed(a, 1000, 8) ? FEN_OK : FEN_ENOMEM;
    fen_arena_free(a);
    return st;
}

static void filling_survives_every_failed_allocation(void **state)
{
    (void)state;
    unit_refuse_each(fill, NULL);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(things_do_not_overlap_and_suit_every_type),
        cmocka_unit_test(texts_and_copies_are_what_was_given),
        cmocka_unit_test(small_things_share_few_blocks),
        cmocka_unit_test(a_cleared_arena_is_filled_again_without_more_memory),
        cmocka_unit_test(a_size_that_overflows_gives_nothing),
        cmocka_unit_test(filling_survives_every_failed_allocation),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
