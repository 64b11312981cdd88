/* Text that grows, notes its failure and stays quiet. */
#include "unit.h"
#include "util/str.h"

static void an_unused_text_is_empty_and_takes_no_memory(void **state)
{
    (void)state;
    const size_t before = fen_alloc_calls();
    fen_str s;
    fen_str_init(&s, 100);
    assert_string_equal(s.at, "");
    fen_str_put(&s, NULL, 0);
    fen_str_puts(&s, "");
    assert_int_equal(fen_alloc_calls(), before);
    assert_int_equal(fen_str_status(&s), FEN_OK);
    fen_str_free(&s);
}

static void pieces_join_in_order_and_end_in_nul(void **state)
{
    (void)state;
    fen_str s;
    fen_str_init(&s, 1000);
    fen_str_puts(&s, "a");
    fen_str_putc(&s, '-');
    fen_str_put(&s, "bcd", 2);
    fen_str_printf(&s, "[%d %s]", 42, "x");
    assert_string_equal(s.at, "a-bc[42 x]");
    assert_int_equal(s.len, 10);
    fen_str_clear(&s);
    assert_string_equal(s.at, "");
    fen_str_puts(&s, "new");
    assert_string_equal(s.at, "new");
    fen_str_free(&s);
    assert_string_equal(s.at, "");
}

static void a_text_fills_to_its_largest_size_and_not_beyond(void **state)
{
    (void)state;
    fen_str s;
    fen_str_init(&s, 5);
    fen_str_puts(&s, "12345");
    assert_int_equal(fen_str_status(&s), FEN_OK);
    assert_string_equal(s.at, "12345");
    fen_str_putc(&s, '6');
    assert_int_equal(fen_str_status(&s), FEN_ENOMEM);
    assert_string_equal(s.at, "12345");
    fen_str_clear(&s);
    fen_str_puts(&s, "a");
    assert_int_equal(fen_str_status(&s), FEN_ENOMEM); /* the failure is kept until freed */
    assert_string_equal(s.at, "");
    fen_str_free(&s);
    fen_str_puts(&s, "abc");
    assert_int_equal(fen_str_status(&s), FEN_OK);
    fen_str_free(&s);
}

static void an_append_that_does_not_fit_adds_no_part_of_itself(void **state)
{
    (void)state;
    fen_str s;
    fen_str_init(&s, 8);
    fen_str_puts(&s, "1234");
    fen_str_printf(&s, "%s", "56789");
    assert_string_equal(s.at, "1234");
    fen_str_puts(&s, "5");
    assert_string_equal(s.at, "1234");
    fen_str_free(&s);
}

static void a_million_bytes_take_few_allocations(void **state)
{
    (void)state;
    fen_str s;
    fen_str_init(&s, 2000000);
    const size_t before = fen_alloc_calls();
    for (int i = 0; i < 1000000; i++)
        fen_str_putc(&s, (char)('a' + i % 26));
    assert_true(fen_alloc_calls() - before < 20);
    assert_int_equal(s.len, 1000000);
    assert_int_equal(s.at[999999], 'a' + 999999 % 26);
    fen_str_free(&s);
}

static void what_is_written_by_hand_stands_after_what_was_there(void **state)
{
    (void)state;
    fen_str s;
    fen_str_init(&s, 10);
    fen_str_puts(&s, "abc");
    char *at = fen_str_room(&s, 7);
    assert_non_null(at);
    memcpy(at, "1234567", 7);
    fen_str_end(&s, at + 4);
    assert_string_equal(s.at, "abc1234");
    assert_int_equal(s.len, 7);
    assert_null(fen_str_room(&s, 4)); /* over the largest size */
    assert_int_equal(fen_str_status(&s), FEN_ENOMEM);
    assert_string_equal(s.at, "abc1234");
    fen_str_putc(&s, 'x'); /* there is room, but a part was lost */
    assert_string_equal(s.at, "abc1234");
    fen_str_free(&s);
}

static fen_status build(void *arg)
{
    (void)arg;
    fen_str s;
    fen_str_init(&s, 100000);
    for (int i = 0; i < 300; i++)
        fen_str_printf(&s, "line %d of many\n", i);
    const fen_status st = fen_str_status(&s);
    assert_int_equal(s.at[s.len], '\0');
    fen_str_free(&s);
    return st;
}

static void building_survives_every_failed_allocation(void **state)
{
    (void)state;
    unit_refuse_each(build, NULL);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(an_unused_text_is_empty_and_takes_no_memory),
        cmocka_unit_test(pieces_join_in_order_and_end_in_nul),
        cmocka_unit_test(a_text_fills_to_its_largest_size_and_not_beyond),
        cmocka_unit_test(an_append_that_does_not_fit_adds_no_part_of_itself),
        cmocka_unit_test(a_million_bytes_take_few_allocations),
        cmocka_unit_test(what_is_written_by_hand_stands_after_what_was_there),
        cmocka_unit_test(building_survives_every_failed_allocation),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
