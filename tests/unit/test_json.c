/* test_json.c -- RFC 8259 by rows (tests/reference/formats.csv: Python's json module),
 * places in the text, and what is written read back by jansson.
 */
#include <jansson.h>

#include "support/reference.h"
#include "text/json.h"
#include "text/json_write.h"
#include "unit.h"

static ref_row rows[REF_ROWS];
static int n_rows;

typedef struct reading {
    fen_problems *problems;
    fen_source *src;
    fen_arena *arena;
    const fen_node *root;
    fen_status st;
} reading;

static reading read_text(const char *text, size_t len)
{
    reading r = { 0 };
    assert_int_equal(fen_problems_new(&r.problems), FEN_OK);
    r.arena = fen_arena_new();
    r.st = fen_source_text("x.jsonl", text, len, r.problems, &r.src);
    if (!r.st)
        r.st = fen_json_read(r.src, r.arena, r.problems, &r.root);
    if (r.st)
        assert_true(fen_problems_errors(r.problems) > 0);
    return r;
}

static void done(reading *r)
{
    fen_arena_free(r->arena);
    fen_source_free(r->src);
    fen_problems_free(r->problems);
}

/* \s in the reference file is a blank; other backslashes are doubled there. */
static size_t unescape(const char *from, char *to)
{
    size_t n = 0;
    if (strcmp(from, "(empty)") == 0)
        from = "";
    for (; *from; from++) {
        if (*from == '\\' && from[1] == 's')
            to[n++] = ' ', from++;
        else if (*from == '\\' && from[1] == '\\')
            to[n++] = *from++;
        else if (*from == '\\' && from[1] == 't')
            to[n++] = '\t', from++;
        else
            to[n++] = *from;
    }
    to[n] = '\0';
    return n;
}

static void texts_are_taken_and_refused_as_the_rfc_has_it(void **unused)
{
    int seen = 0;
    (void)unused;
    for (int i = 0; i < n_rows; i++) {
        char text[REF_TEXT];
        if (strncmp(rows[i].input, "json_text=", 10) != 0)
            continue;
        const size_t len = unescape(rows[i].input + 10, text);
        reading r = read_text(text, len);
        if ((r.st == FEN_OK) != (strcmp(rows[i].expected, "valid") == 0))
            fail_msg("%s: '%s' is %s", rows[i].id, text, rows[i].expected);
        done(&r);
        seen++;
    }
    assert_int_equal(seen, 28);
}

static void every_value_keeps_its_place(void **unused)
{
    static const char text[] = "{ \"case\" : \"a\\u00e9\\\"b\" ,\n  \"n\":[1.50, -2e3,true,null , {}, [ ]],\"\xC3\xA9\": \"x\"}";
    (void)unused;
    reading r = read_text(text, sizeof text - 1);
    assert_int_equal(r.st, FEN_OK);
    const fen_node *name = fen_node_get(r.root, "case"), *list = fen_node_get(r.root, "n"), *x = fen_node_get(r.root, "\xC3\xA9");
    assert_string_equal(name->text, "a\xC3\xA9\"b");
    assert_int_equal(name->place.line, 1);
    assert_int_equal(name->place.column, 12);
    assert_int_equal(name->place.width, 12);
    assert_int_equal(list->count, 6);
    static const struct { const char *text; uint32_t column; } items[] = { { "1.50", 8 }, { "-2e3", 14 }, { "true", 19 }, { "", 24 } };
    for (size_t i = 0; i < COUNT(items); i++) {
        assert_string_equal(list->items[i]->text, items[i].text);
        assert_true(list->items[i]->plain);
        assert_int_equal(list->items[i]->place.line, 2);
        assert_int_equal(list->items[i]->place.column, items[i].column);
    }
    assert_int_equal(list->items[4]->type, FEN_NODE_MAP);
    assert_int_equal(list->items[4]->place.column, 31);
    assert_int_equal(list->items[5]->type, FEN_NODE_LIST);
    assert_int_equal(list->items[5]->place.column, 35);
    assert_int_equal(x->place.column, 45);
    done(&r);
}

static void what_is_hostile_is_refused(void **unused)
{
    char deep[400] = "", nul[] = "{\"a\":\"x\\u0000y\"}";
    static const char *const bad[] = { "{\"a\":1,\"a\":2}", "[1e999]", "\"\\ud800\"", "{\"a\":\"\xff\"}" };
    (void)unused;
    for (size_t i = 0; i < COUNT(bad); i++) {
        reading r = read_text(bad[i], strlen(bad[i]));
        assert_int_equal(r.st, FEN_EINPUT);
        done(&r);
    }
    for (int i = 0; i < 100; i++)
        strcat(deep, "[");
    for (int i = 0; i < 100; i++)
        strcat(deep, "]");
    reading r = read_text(deep, strlen(deep));
    assert_int_equal(r.st, FEN_EINPUT);
    done(&r);
    r = read_text(nul, sizeof nul - 1);
    assert_int_equal(r.st, FEN_EINPUT);
    done(&r);
}

static void what_is_written_reads_back_the_same(void **unused)
{
    static const char text[] = "q\"b\\s/\n\t\r\x01\x1b[31m\x7f\xC2\x9b" "e\xC3\xA9\xF0\x9F\x8C\xB1";
    fen_str out;
    (void)unused;
    fen_str_init(&out, 4096);
    fen_json_out j = fen_json_begin(&out);
    fen_json_open(&j, '{');
    fen_json_key_text(&j, "t", text);
    fen_json_key(&j, "n");
    fen_json_open(&j, '[');
    fen_json_number(&j, 0.1);
    fen_json_chance(&j, 1.0 / 3);
    fen_json_fixed12(&j, INT64_C(-7500000000001));
    fen_json_count(&j, UINT64_C(9007199254740991));
    fen_json_number(&j, (double)NAN);
    fen_json_bool(&j, true);
    fen_json_text(&j, NULL);
    fen_json_text(&j, "bad\xff!");
    fen_json_close(&j, ']');
    fen_json_close(&j, '}');
    for (size_t i = 0; i < out.len; i++) /* nothing that a terminal would act on */
        assert_true((unsigned char)out.at[i] >= 0x20 && out.at[i] != 0x7f);
    json_t *o = json_loads(out.at, 0, NULL);
    assert_non_null(o);
    assert_string_equal(json_string_value(json_object_get(o, "t")), text);
    const json_t *n = json_object_get(o, "n");
    assert_true(json_real_value(json_array_get(n, 0)) == 0.1);
    assert_true(json_real_value(json_array_get(n, 1)) == 1.0 / 3);
    assert_true(json_real_value(json_array_get(n, 2)) == -7.500000000001);
    assert_true(json_integer_value(json_array_get(n, 3)) == INT64_C(9007199254740991));
    assert_true(json_is_null(json_array_get(n, 4)));
    assert_true(json_is_true(json_array_get(n, 5)));
    assert_true(json_is_null(json_array_get(n, 6)));
    assert_string_equal(json_string_value(json_array_get(n, 7)), "bad\xEF\xBF\xBD!");
    json_decref(o);
    fen_str_free(&out);
}

static void reading_survives_every_failed_allocation(void **unused)
{
    static const char text[] = "{\"a\":[\"x\",1,{\"b\":null}],\"c\":\"d\"}";
    (void)unused;
    for (size_t nth = 0;; nth++) {
        fen_problems *problems;
        fen_source *src = NULL;
        const fen_node *root;
        assert_int_equal(fen_problems_new(&problems), FEN_OK);
        assert_int_equal(fen_source_text("x", text, sizeof text - 1, problems, &src), FEN_OK);
        const size_t before = fen_alloc_live();
        fen_alloc_fail_at(nth);
        fen_arena *arena = fen_arena_new();
        const fen_status st = arena ? fen_json_read(src, arena, problems, &root) : FEN_ENOMEM;
        fen_alloc_fail_at(FEN_ALLOC_NEVER_FAIL);
        fen_arena_free(arena);
        assert_int_equal(fen_alloc_live(), before);
        fen_source_free(src);
        fen_problems_free(problems);
        if (st == FEN_OK)
            return;
        assert_int_equal(st, FEN_ENOMEM);
    }
}

static int read_rows(void **unused)
{
    (void)unused;
    n_rows = ref_read("formats.csv", rows);
    return n_rows > 0 ? 0 : -1;
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(texts_are_taken_and_refused_as_the_rfc_has_it),
        cmocka_unit_test(every_value_keeps_its_place),
        cmocka_unit_test(what_is_hostile_is_refused),
        cmocka_unit_test(what_is_written_reads_back_the_same),
        cmocka_unit_test(reading_survives_every_failed_allocation),
    };
    return cmocka_run_group_tests(tests, read_rows, NULL);
}
