/* test_csv.c -- RFC 4180 by rows (tests/reference/formats.csv: the csv-spectrum files and
 * Python's csv module), and what happens to tables that are not.
 */
#include "support/reference.h"
#include "text/csv.h"
#include "unit.h"
#include "util/arena.h"

static ref_row rows[REF_ROWS];
static int n_rows;

/* The escapes of the reference file: \s \n \r \t, and a doubled backslash. */
static size_t unescape(const char *from, char *to)
{
    size_t n = 0;
    if (strcmp(from, "(empty)") == 0 || strcmp(from, "(empty field)") == 0)
        from = "";
    for (; *from; from++) {
        if (*from != '\\') {
            to[n++] = *from;
            continue;
        }
        from++;
        to[n++] = *from == 's' ? ' ' : *from == 'n' ? '\n' : *from == 'r' ? '\r' : *from == 't' ? '\t' : *from;
    }
    to[n] = '\0';
    return n;
}

/* "[[a;b][1;2]]" of a whole text; line breaks within cells as they are. */
static void as_list(const char *text, size_t len, char *out)
{
    fen_arena *arena = fen_arena_new();
    fen_csv_cells cells = { 0 };
    size_t at = 0, n, bad;
    strcpy(out, "[");
    while (at < len) {
        assert_int_equal(fen_csv_next(text + at, len - at, true, ',', &n, &bad), FEN_CSV_RECORD);
        assert_int_equal(fen_csv_split(text + at, n, ',', arena, &cells), FEN_OK);
        strcat(out, "[");
        for (uint32_t i = 0; i < cells.count; i++) {
            strcat(out, i ? ";" : "");
            strcat(out, cells.at[i].text);
        }
        strcat(out, "]");
        at += n;
    }
    strcat(out, "]");
    FEN_VEC_FREE(&cells);
    fen_arena_free(arena);
}

static int records(const char *list)
{
    int n = 0;
    for (const char *p = list + 1; (p = strstr(p, "][")); p++)
        n++;
    return n + 1;
}

static void texts_are_read_as_published(void **unused)
{
    int seen = 0;
    (void)unused;
    for (int i = 0; i < n_rows; i++) {
        char given[REF_TEXT], text[REF_TEXT], want[REF_TEXT], got[1024];
        if (strncmp(rows[i].input, "csv_text=", 9) != 0)
            continue;
        snprintf(given, sizeof given, "%s", rows[i].input + 9);
        const size_t len = unescape(given, text);
        as_list(text, len, got);
        unescape(rows[i].expected, want);
        seen++;
        if (want[0] == '[')
            assert_string_equal(got, want);
        else if (strstr(want, "records"))
            assert_int_equal(records(got), atoi(want));
        else /* "zip stays text 08123; city Anytown, WW" */
            assert_true(strstr(got, ";Anytown, WW;08123]") != NULL);
    }
    assert_int_equal(seen, 5);
}

static void fields_are_written_as_published(void **unused)
{
    int seen = 0;
    (void)unused;
    for (int i = 0; i < n_rows; i++) {
        char text[REF_TEXT], want[REF_TEXT];
        fen_str out;
        if (strncmp(rows[i].input, "csv_field_to_write=", 19) != 0 || strcmp(rows[i].how, "from-memory") == 0)
            continue;
        const size_t len = unescape(rows[i].input + 19, text);
        unescape(rows[i].expected, want);
        fen_str_init(&out, 4096);
        fen_csv_put(&out, text, len);
        assert_string_equal(out.at, want);
        fen_str_free(&out);
        seen++;
    }
    assert_int_equal(seen, 6);
}

static void check_written(const char *const *given, const char *const *want, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        fen_str out;
        fen_str_init(&out, 64);
        fen_csv_put(&out, given[i], strlen(given[i]));
        assert_string_equal(out.at, want[i]);
        fen_str_free(&out);
    }
}

/* FMT-057: spreadsheets run such cells. */
static void a_text_that_a_spreadsheet_would_run_is_guarded(void **unused)
{
    static const char *const given[] = { "=1+1", "+1", "-x", "@a", "\tb", "\n=1", "\r\n=1", "a=b" };
    static const char *const want[] = { "'=1+1", "'+1", "'-x", "'@a", "'\tb", "\"'\n=1\"", "\"'\n=1\"", "a=b" };
    (void)unused;
    check_written(given, want, COUNT(given));
}

/* ECMA-48, 5.4 and 5.6: control sequences and strings; one mark each. TAB and newline belong to
 * the cell (RFC 4180, 2.6). */
static void no_control_sequence_is_written(void **unused)
{
    static const char *const given[] = {
        "x\033[31my", "a\033]0;title\007b", "\007bell", "a\rb", "a\r\nb", "a\tb", "\033[2J\"q\"", "\302\23331mz", "d\177", "\303\234ber", "\377",
    };
    static const char *const want[] = {
        "x\357\277\275y", "a\357\277\275b", "\357\277\275bell", "a\357\277\275b", "\"a\nb\"", "a\tb", "\"\357\277\275\"\"q\"\"\"",
        "\357\277\275z", "d\357\277\275", "\303\234ber", "\357\277\275",
    };
    (void)unused;
    check_written(given, want, COUNT(given));
}

static void broken_quotes_cost_their_own_line_alone(void **unused)
{
    static const struct { const char *text; bool last; fen_csv_state state; size_t len, bad; } cases[] = {
        { "a,b\nc", true, FEN_CSV_RECORD, 4, 0 },
        { "a,b\r\nc", true, FEN_CSV_RECORD, 5, 0 },
        { "a,b", false, FEN_CSV_MORE, 0, 0 },
        { "a,b", true, FEN_CSV_RECORD, 3, 0 },
        { "a,5\" pot\nc", true, FEN_CSV_STRAY, 9, 3 },
        { "a,\"x\" y\nc", true, FEN_CSV_AFTER, 8, 4 },
        { "a,\"x\nb,c\n", true, FEN_CSV_OPEN, 5, 2 },
        { "a,\"x\nb,c\n", false, FEN_CSV_MORE, 0, 0 },
        { "a,\"x\"", false, FEN_CSV_MORE, 0, 0 },   /* the next byte may double it */
        { "a,\"x\"\r", false, FEN_CSV_MORE, 0, 0 },
        { "a,\"x\"\r\nb", false, FEN_CSV_RECORD, 7, 0 },
        { "\"\"\"\"\n", true, FEN_CSV_RECORD, 5, 0 },
        { "\"a\nb\",c\nd", true, FEN_CSV_RECORD, 8, 0 },
    };
    (void)unused;
    for (size_t i = 0; i < COUNT(cases); i++) {
        size_t len = 0, bad = 0;
        assert_int_equal(fen_csv_next(cases[i].text, strlen(cases[i].text), cases[i].last, ',', &len, &bad), cases[i].state);
        assert_int_equal(len, cases[i].len);
        assert_int_equal(bad, cases[i].bad);
    }
}

/* A record is the same however much of what follows is at hand. */
static void a_record_does_not_depend_on_what_is_at_hand(void **unused)
{
    static const char text[] = "a,\"b\"\"\r\n,\",c\r\nnext,\"one\",\r\n";
    (void)unused;
    for (size_t len = 1; len < sizeof text; len++) {
        size_t n = 0, bad = 0;
        const fen_csv_state state = fen_csv_next(text, len, false, ',', &n, &bad);
        if (state == FEN_CSV_RECORD)
            assert_int_equal(n, 14);
        else
            assert_int_equal(state, FEN_CSV_MORE);
        if (len >= 14)
            assert_int_equal(state, FEN_CSV_RECORD);
    }
}

static void the_separator_is_the_first_outside_quotes(void **unused)
{
    (void)unused;
    assert_int_equal(fen_csv_separator("a;b,c\n", 6), ';');
    assert_int_equal(fen_csv_separator("\"a;b\",c\n", 8), ',');
    assert_int_equal(fen_csv_separator("a\tb\n", 4), '\t');
    assert_int_equal(fen_csv_separator("a\n;", 3), ',');
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
        cmocka_unit_test(texts_are_read_as_published),
        cmocka_unit_test(fields_are_written_as_published),
        cmocka_unit_test(a_text_that_a_spreadsheet_would_run_is_guarded),
        cmocka_unit_test(no_control_sequence_is_written),
        cmocka_unit_test(broken_quotes_cost_their_own_line_alone),
        cmocka_unit_test(a_record_does_not_depend_on_what_is_at_hand),
        cmocka_unit_test(the_separator_is_the_first_outside_quotes),
    };
    return cmocka_run_group_tests(tests, read_rows, NULL);
}
