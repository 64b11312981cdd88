/* test_spool.c -- what is put aside comes back the same, from memory and from a file. */
#include "unit.h"
#include "util/spool.h"

static void much_and_little_come_back_the_same(void **unused)
{
    static const size_t lines[] = { 0, 1, 1000, 200000 };
    (void)unused;
    for (size_t n = 0; n < COUNT(lines); n++) {
        fen_spool s;
        fen_str want, got;
        fen_spool_init(&s);
        fen_str_init(&want, SIZE_MAX / 4);
        fen_str_init(&got, SIZE_MAX / 4);
        for (size_t i = 0; i < lines[n]; i++) {
            char line[32];
            const int len = snprintf(line, sizeof line, "line %zu\n", i * 7919);
            fen_str_put(&want, line, (size_t)len);
            assert_int_equal(fen_spool_put(&s, line, (size_t)len), FEN_OK);
        }
        assert_true((s.file != NULL) == (want.len >= FEN_SPOOL_MEMORY));
        assert_true(s.text.len < FEN_SPOOL_MEMORY);
        fen_sink sink = fen_sink_text(&got);
        assert_int_equal(fen_spool_copy(&s, &sink), FEN_OK);
        assert_int_equal(got.len, want.len);
        assert_memory_equal(got.at, want.at, want.len);
        fen_str_free(&want);
        fen_str_free(&got);
        fen_spool_free(&s);
    }
}

static void a_lack_of_memory_is_told(void **unused)
{
    fen_spool s;
    (void)unused;
    fen_spool_init(&s);
    fen_alloc_fail_at(0);
    assert_int_equal(fen_spool_put(&s, "x", 1), FEN_ENOMEM);
    fen_alloc_fail_at(FEN_ALLOC_NEVER_FAIL);
    fen_spool_free(&s);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(much_and_little_come_back_the_same),
        cmocka_unit_test(a_lack_of_memory_is_told),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
