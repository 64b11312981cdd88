/* Where bytes of a result go, and that no lost byte stays unnoticed. */
#include <errno.h>

#include "unit.h"
#include "util/sink.h"

static void a_text_and_a_stream_get_the_same_bytes(void **state)
{
    (void)state;
    fen_str text;
    fen_str_init(&text, 10000);
    FILE *file = tmpfile();
    assert_non_null(file);
    fen_sink sinks[] = { fen_sink_text(&text), fen_sink_file(file) };
    for (size_t i = 0; i < 2; i++) {
        fen_sink_puts(&sinks[i], "case ");
        fen_sink_put(&sinks[i], "a\0b", 3);
        fen_sink_printf(&sinks[i], " %d %1000s|", 7, "wide");
        fen_sink_printf(&sinks[i], "%s", "");
        assert_int_equal(fen_sink_finish(&sinks[i]), FEN_OK);
    }
    char back[2000];
    rewind(file);
    assert_int_equal(fread(back, 1, sizeof back, file), text.len);
    assert_memory_equal(back, text.at, text.len);
    assert_int_equal(text.len, 5 + 3 + 3 + 1000 + 1);
    fclose(file);
    fen_str_free(&text);
}

static void a_full_disk_is_noticed_at_the_end(void **state)
{
    (void)state;
    FILE *full = fopen("/dev/full", "w");
    if (!full)
        skip();
    fen_sink s = fen_sink_file(full);
    fen_sink_puts(&s, "lost");
    assert_int_equal(s.error, 0); /* still in the stream's buffer */
    assert_int_equal(fen_sink_finish(&s), FEN_EIO);
    assert_int_equal(errno, ENOSPC);
    fclose(full);
}

static void the_first_failure_is_the_one_told(void **state)
{
    (void)state;
    FILE *full = fopen("/dev/full", "w");
    if (!full)
        skip();
    setvbuf(full, NULL, _IONBF, 0);
    fen_sink s = fen_sink_file(full);
    fen_sink_puts(&s, "lost");
    assert_int_equal(s.error, ENOSPC);
    errno = 0;
    fen_sink_printf(&s, "%d", 1);
    assert_int_equal(fen_sink_finish(&s), FEN_EIO);
    assert_int_equal(errno, ENOSPC);
    fclose(full);
}

static void a_flush_on_the_way_keeps_the_reason(void **state)
{
    (void)state;
    FILE *full = fopen("/dev/full", "w");
    if (!full)
        skip();
    fen_sink s = fen_sink_file(full);
    assert_true(fen_sink_flush(&s));
    fen_sink_puts(&s, "lost");
    assert_false(fen_sink_flush(&s));
    errno = 0;
    assert_false(fen_sink_flush(&s));
    assert_int_equal(fen_sink_finish(&s), FEN_EIO);
    assert_int_equal(errno, ENOSPC);
    fclose(full);
}

static void a_stream_that_cannot_be_written_is_noticed(void **state)
{
    (void)state;
    FILE *file = fopen("/dev/null", "r");
    assert_non_null(file);
    fen_sink s = fen_sink_file(file);
    fen_sink_puts(&s, "nowhere");
    assert_int_equal(fen_sink_finish(&s), FEN_EIO);
    fclose(file);
}

static fen_status write_much(void *arg)
{
    (void)arg;
    fen_str text;
    fen_str_init(&text, 100000);
    fen_sink s = fen_sink_text(&text);
    for (int i = 0; i < 20; i++)
        fen_sink_printf(&s, "%*d\n", 600, i);
    const fen_status st = fen_sink_finish(&s);
    fen_str_free(&text);
    return st;
}

static void writing_survives_every_failed_allocation(void **state)
{
    (void)state;
    unit_refuse_each(write_much, NULL);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_text_and_a_stream_get_the_same_bytes),
        cmocka_unit_test(a_full_disk_is_noticed_at_the_end),
        cmocka_unit_test(the_first_failure_is_the_one_told),
        cmocka_unit_test(a_flush_on_the_way_keeps_the_reason),
        cmocka_unit_test(a_stream_that_cannot_be_written_is_noticed),
        cmocka_unit_test(writing_survives_every_failed_allocation),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
