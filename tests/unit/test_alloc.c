/* The one door to the heap: counting, refusing, overflow. */
#include "unit.h"

static void every_block_is_counted_until_it_is_freed(void **state)
{
    (void)state;
    const size_t before = fen_alloc_live();
    void *a = fen_alloc(10), *b = fen_calloc(3, 4), *c = fen_strndup("abc", 2);
    assert_int_equal(fen_alloc_live(), before + 3);
    assert_string_equal(c, "ab");
    a = fen_realloc(a, 20, 10);
    assert_int_equal(fen_alloc_live(), before + 3);
    fen_free(a);
    fen_free(b);
    fen_free(c);
    fen_free(NULL);
    assert_int_equal(fen_alloc_live(), before);
}

static void zeroed_memory_is_zero(void **state)
{
    (void)state;
    unsigned char *p = fen_calloc(100, 7);
    for (size_t i = 0; i < 700; i++)
        assert_int_equal(p[i], 0);
    fen_free(p);
}

static void growing_keeps_what_was_there(void **state)
{
    (void)state;
    char *p = fen_strndup("flytrap", 7);
    p = fen_realloc(p, 1000, 100);
    assert_string_equal(p, "flytrap");
    fen_free(p);
}

static void a_size_that_overflows_is_a_failed_allocation(void **state)
{
    (void)state;
    const size_t before = fen_alloc_live();
    assert_null(fen_realloc(NULL, SIZE_MAX / 2, 3));
    assert_null(fen_calloc(SIZE_MAX / 2, 3));
    assert_null(fen_strndup("", SIZE_MAX));
    assert_int_equal(fen_alloc_live(), before);
}

static void no_bytes_still_give_a_pointer(void **state)
{
    (void)state;
    void *all[] = { fen_alloc(0), fen_calloc(0, 8), fen_realloc(NULL, 0, 8), fen_strndup("", 0) };
    for (size_t i = 0; i < COUNT(all); i++) {
        assert_non_null(all[i]);
        fen_free(all[i]);
    }
}

static void exactly_the_nth_call_is_refused_and_keeps_being_so_until_told_otherwise(void **state)
{
    (void)state;
    const size_t before = fen_alloc_calls();
    fen_alloc_fail_at(2);
    void *a = fen_alloc(1), *b = fen_alloc(1), *c = fen_alloc(1);
    assert_non_null(a);
    assert_non_null(b);
    assert_null(c);
    fen_alloc_fail_at(FEN_ALLOC_NEVER_FAIL);
    void *d = fen_alloc(1);
    assert_non_null(d);
    assert_int_equal(fen_alloc_calls(), before + 4);
    fen_free(a);
    fen_free(b);
    fen_free(d);
}

static void a_refused_growth_leaves_the_block_as_it_was(void **state)
{
    (void)state;
    char *p = fen_strndup("still here", 10);
    fen_alloc_fail_at(0);
    assert_null(fen_realloc(p, 100, 100));
    fen_alloc_fail_at(FEN_ALLOC_NEVER_FAIL);
    assert_string_equal(p, "still here");
    fen_free(p);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_block_is_counted_until_it_is_freed),
        cmocka_unit_test(zeroed_memory_is_zero),
        cmocka_unit_test(growing_keeps_what_was_there),
        cmocka_unit_test(a_size_that_overflows_is_a_failed_allocation),
        cmocka_unit_test(no_bytes_still_give_a_pointer),
        cmocka_unit_test(exactly_the_nth_call_is_refused_and_keeps_being_so_until_told_otherwise),
        cmocka_unit_test(a_refused_growth_leaves_the_block_as_it_was),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
