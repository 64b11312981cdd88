/* Cells of the tables that batches print: what is cut, and where. */
#include "show/record_text.h"
#include "unit.h"

static const fen_look narrow = { .width = 80 }, plain = { .width = 80, .ascii = true }, whole = { .width = 80, .whole = true };

static void assert_put(void put(fen_str *, const char *, size_t, fen_look), fen_look look, size_t width, const char *text, const char *shown)
{
    fen_str out;
    fen_str_init(&out, 4096);
    put(&out, text, width, look);
    fen_str_putc(&out, '|');
    assert_int_equal(fen_str_status(&out), FEN_OK);
    assert_string_equal(out.at, shown);
    fen_str_free(&out);
}

static void a_long_name_is_cut_in_its_middle_so_that_numbers_at_its_end_stay(void **state)
{
    (void)state;
    assert_put(fen_name_put, narrow, 8, "tray", "tray    |");
    assert_put(fen_name_put, narrow, 8, "tray-b41", "tray-b41|");
    assert_put(fen_name_put, narrow, 8, "greenhouse-b41", "gree\u2026b41|");
    assert_put(fen_name_put, plain, 8, "greenhouse-b41", "gre..b41|");
    assert_put(fen_name_put, narrow, 9, "greenhouse-b41", "gree\u2026-b41|");
    assert_put(fen_name_put, whole, 9, "greenhouse-b41", "greenhouse-b41|");
    assert_put(fen_name_put, whole, 9, "b41", "b41      |");
}

/* Wide characters take two columns; a combining mark none, and it stays with its letter. */
static void columns_are_counted_and_not_bytes(void **state)
{
    (void)state;
    assert_put(fen_name_put, narrow, 6, "\u4e00\u4e8c\u4e09\u56db\u4e94", "\u4e00\u2026\u4e94 |");
    assert_put(fen_name_put, narrow, 5, "abcdee\u0301fg", "ab\u2026fg|");
    assert_put(fen_name_put, narrow, 5, "abcdeg\u0301h", "ab\u2026g\u0301h|");
    assert_put(fen_name_put, narrow, 8, "\x1b[31mred", "\uFFFDred    |");
}

static void the_last_cell_is_cut_only_where_a_width_is_given(void **state)
{
    (void)state;
    assert_put(fen_last_put, narrow, 10, "roots rotting in airless mix", "roots rot\u2026|");
    assert_put(fen_last_put, whole, 10, "roots rotting in airless mix", "roots rotting in airless mix|");
    assert_put(fen_last_put, whole, 10, "drought", "drought|");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_long_name_is_cut_in_its_middle_so_that_numbers_at_its_end_stay),
        cmocka_unit_test(columns_are_counted_and_not_bytes),
        cmocka_unit_test(the_last_cell_is_cut_only_where_a_width_is_given),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
