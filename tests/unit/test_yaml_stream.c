/* Many documents, one at a time, in memory that does not grow. */
#include <errno.h>
#include <fcntl.h>
#include <unistd.h>

#include <yaml.h>

#include "text/yaml_stream.h"
#include "unit.h"
#include "util/problem_text.h"

/* A text handed out in steps of at most STEP bytes; FAIL_AT: then reading fails. */
typedef struct feed {
    const char *text;
    size_t len, at, step, fail_at;
} feed;

static ptrdiff_t take(void *ctx, char *buf, size_t size)
{
    feed *f = ctx;
    if (f->fail_at && f->at >= f->fail_at) {
        errno = EIO;
        return -1;
    }
    size_t n = f->len - f->at;
    n = n < f->step ? n : f->step;
    n = n < size ? n : size;
    memcpy(buf, f->text + f->at, n);
    f->at += n;
    return (ptrdiff_t)n;
}

static void put_node(fen_str *out, const fen_node *node)
{
    if (node->type == FEN_NODE_TEXT) {
        fen_str_printf(out, "%s@%u", node->text, (unsigned)node->place.line);
        return;
    }
    fen_str_putc(out, node->type == FEN_NODE_LIST ? '[' : '{');
    for (size_t i = 0; i < node->count; i++) {
        fen_str_puts(out, i ? " " : "");
        if (node->type == FEN_NODE_MAP)
            fen_str_printf(out, "%s=", node->pairs[i].key->text);
        put_node(out, node->type == FEN_NODE_MAP ? node->pairs[i].value : node->items[i]);
    }
    fen_str_putc(out, node->type == FEN_NODE_LIST ? ']' : '}');
}

/* All documents as one text, a broken one as its messages. */
static void run(feed *f, size_t max, fen_str *out, size_t *ret_documents, size_t *ret_broken)
{
    fen_yaml_stream *s = NULL;
    assert_int_equal(fen_yaml_stream_open("cases.yaml", take, f, max, &s), FEN_OK);
    for (;;) {
        fen_problems *problems;
        fen_source *source = NULL;
        fen_tree *tree = NULL;
        assert_int_equal(fen_problems_new(&problems), FEN_OK);
        const fen_status st = fen_yaml_stream_next(s, problems, &source, &tree);
        assert_true(st == FEN_OK || st == FEN_EINPUT);
        assert_int_equal(st == FEN_EINPUT, fen_problems_errors(problems) > 0);
        for (size_t i = 0; i < fen_problems_count(problems); i++)
            fen_problem_write(out, problems, fen_problems_at(problems, i));
        if (tree) {
            put_node(out, fen_tree_root(tree));
            fen_str_putc(out, '\n');
        }
        const bool end = st == FEN_OK && !tree;
        fen_tree_free(tree);
        fen_source_free(source);
        fen_problems_free(problems);
        if (end)
            break;
    }
    *ret_documents = fen_yaml_stream_documents(s);
    *ret_broken = fen_yaml_stream_broken(s);
    fen_yaml_stream_free(s);
}

static void assert_stream(const char *text, size_t max, const char *want, size_t documents, size_t broken)
{
    static const size_t steps[] = { 1, 2, 3, 7, 1 << 20 }; /* however the bytes arrive */
    for (size_t i = 0; i < COUNT(steps); i++) {
        feed f = { .text = text, .len = strlen(text), .step = steps[i] };
        size_t got_documents, got_broken;
        fen_str out;
        fen_str_init(&out, 1 << 20);
        run(&f, max, &out, &got_documents, &got_broken);
        assert_string_equal(out.at, want);
        assert_int_equal(got_documents, documents);
        assert_int_equal(got_broken, broken);
        fen_str_free(&out);
    }
}

static void documents_come_one_by_one_with_the_lines_of_the_file(void **state)
{
    (void)state;
    assert_stream("a: 1\n---\nb: 2\n--- \nc: 3", 1000, "{a=1@1}\n{b=2@3}\n{c=3@5}\n", 3, 0);
    assert_stream("---\na: 1\n...\n---\nb: 2\n...\n", 1000, "{a=1@2}\n{b=2@5}\n", 2, 0);
    assert_stream("--- {a: 1}\n--- [b]\n---\ttext\n", 1000, "{a=1@1}\n[b@2]\ntext@3\n", 3, 0);
    assert_stream("%YAML 1.2\n---\na: 1\n...\n%YAML 1.2\n---\nb: 2\n", 1000, "{a=1@3}\n{b=2@7}\n", 2, 0);
    assert_stream("a: 1\n...\nb: 2\n", 1000, "{a=1@1}\n{b=2@3}\n", 2, 0);
    assert_stream("a: 1\r\n---\r\nb: 2\r\n", 1000, "{a=1@1}\n{b=2@3}\n", 2, 0);
    assert_stream("\xEF\xBB\xBF---\na: 1\n---\nb: 2\n", 1000, "{a=1@2}\n{b=2@4}\n", 2, 0);
    assert_stream("a: x\xE2\x80\xA8" "b: y\n---\nb: 2\n", 1000, "{a=x@1 b=y@2}\n{b=2@4}\n", 2, 0); /* U+2028 ends a line */
}

static void documents_with_nothing_in_them_are_passed_over(void **state)
{
    (void)state;
    assert_stream("", 1000, "", 0, 0);
    assert_stream("\n\n# only a comment\n", 1000, "", 0, 0);
    assert_stream("---\n---\n# nothing\n---\na: 1\n---\n", 1000, "{a=1@5}\n", 1, 0);
    assert_stream("...\n...\n", 1000, "", 0, 0);
    assert_stream("--- {}\n", 1000, "{}\n", 1, 0); /* said to be empty is something */
}

static void what_only_looks_like_a_marker_cuts_nothing(void **state)
{
    (void)state;
    assert_stream("a: |\n  ---\n  b\n  --- x\n", 1000, "{a=---\nb\n--- x\n@1}\n", 1, 0);
    assert_stream("a: ---\nb: --- c\n", 1000, "{a=---@1 b=--- c@2}\n", 1, 0);
    assert_stream("---x: 1\n....: 2\n", 1000, "{---x=1@1 ....=2@2}\n", 1, 0);
}

static void a_broken_document_costs_only_itself(void **state)
{
    (void)state;
    assert_stream("a: 1\n---\nb: [1, 2\n---\nc: 3\n---\nd: \"x\n---\ne: 5\n", 1000,
                  "{a=1@1}\n"
                  "cases.yaml:3:4: error: the list opened here with '[' is not closed properly; separate its items by ',' and end it with ']' [syntax]\n"
                  "    3 | b: [1, 2\n      |    ^\n"
                  "{c=3@5}\n"
                  "cases.yaml:7:4: error: the quotes opened here are never closed; close them [syntax]\n"
                  "    7 | d: \"x\n      |    ^\n"
                  "{e=5@9}\n", 5, 2);
    assert_stream("a: \xFF\n---\nb: 2\n---\nc: 1\nc: 2\n", 1000,
                  "cases.yaml:1:4: error: byte 3 (0xFF) is not UTF-8; save the text as UTF-8 [encoding]\n"
                  "    1 | a: \xEF\xBF\xBD\n      |    ^\n"
                  "{b=2@3}\n"
                  "cases.yaml:6:1: error: 'c' is given a second time, after line 5; keep one of the two, or give one another name [duplicate]\n"
                  "    6 | c: 2\n      | ^\n", 3, 2);
    assert_stream("a: 1\n---\n\nb: \xFF\n", 1000,
                  "{a=1@1}\n"
                  "cases.yaml:4:4: error: byte 13 (0xFF) is not UTF-8; save the text as UTF-8 [encoding]\n"
                  "    4 | b: \xEF\xBF\xBD\n      |    ^\n", 2, 1);
}

static void a_document_that_is_too_large_is_told_once_and_passed_over(void **state)
{
    (void)state;
    assert_stream("a: 1\n---\nb: 23456789\nc: 3456789\n---\nd: 4\n", 20,
                  "{a=1@1}\n"
                  "cases.yaml:2:1: error: this document has more than 20 bytes; split it, or mend its '---' lines [too-large]\n"
                  "    2 | ---\n      | ^\n"
                  "{d=4@6}\n", 3, 1);
    enum { LONG = 1000000 };
    char *text = malloc(LONG + 100);
    size_t n = (size_t)sprintf(text, "a: 1\n---\nb: ");
    memset(text + n, '-', LONG); /* one line without end, full of what might be markers */
    for (size_t i = 0; i < LONG; i += 5)
        text[n + i] = i % 10 ? ' ' : 'y';
    strcpy(text + n + LONG, "\n---\nc: 3\n");
    assert_stream(text, 300000,
                  "{a=1@1}\n"
                  "cases.yaml:2:1: error: this document has more than 300000 bytes; split it, or mend its '---' lines [too-large]\n"
                  "    2 | ---\n      | ^\n"
                  "{c=3@5}\n", 3, 1);
    free(text);
}

static size_t count_with_libyaml(const char *text, size_t len)
{
    yaml_parser_t parser;
    yaml_event_t event;
    size_t count = 0;
    assert_true(yaml_parser_initialize(&parser));
    yaml_parser_set_input_string(&parser, (const unsigned char *)text, len);
    for (bool more = true; more;) {
        if (!yaml_parser_parse(&parser, &event)) {
            count = SIZE_MAX;
            break;
        }
        count += event.type == YAML_DOCUMENT_START_EVENT;
        more = event.type != YAML_STREAM_END_EVENT;
        yaml_event_delete(&event);
    }
    yaml_parser_delete(&parser);
    return count;
}

/* Random documents with contents, against libyaml reading them all at once. */
static void cutting_finds_the_documents_that_libyaml_finds(void **state)
{
    (void)state;
    static const char *const bodies[] = { "a: 1\n", "- x\n- y\n", "{a: b}\n", "text\n", "a: |\n  ---\n  b\n", "'x\n  y'\n",
                                          "# c\na: 1 # ---\n", "a:\n - --- b\n", "\n\nx: y\n" };
    static const char *const markers[] = { "---\n", "--- # c\n", "...\n---\n", "---\t\n", "...\n# c\n---\n", "---\r\n" };
    uint64_t random = 12;
    for (int round = 0; round < 3000; round++) {
        char text[1000] = "";
        const size_t count = 1 + unit_random(&random) % 8;
        for (size_t i = 0; i < count; i++) {
            if (i || unit_random(&random) % 2)
                strcat(text, markers[unit_random(&random) % (i ? COUNT(markers) : 2)]);
            strcat(text, bodies[unit_random(&random) % COUNT(bodies)]);
        }
        feed f = { .text = text, .len = strlen(text), .step = 1 + unit_random(&random) % 50 };
        size_t documents, broken;
        fen_str out;
        fen_str_init(&out, 1 << 20);
        run(&f, 10000, &out, &documents, &broken);
        assert_int_equal(broken, 0);
        assert_int_equal(documents, count);
        assert_int_equal(count_with_libyaml(text, strlen(text)), count);
        fen_str_free(&out);
    }
}

/* Endless documents, of which a few megabytes are read. */
typedef struct spring {
    size_t given, total;
} spring;

static const char doc[] = "---\nplant: p\nfindings:\n  water-reading: 180 ppm\n  crown-feel: soft\n";

static ptrdiff_t pour(void *ctx, char *buf, size_t size)
{
    spring *s = ctx;
    size_t n = 0;
    while (n < size && s->given < s->total)
        buf[n++] = doc[s->given++ % (sizeof doc - 1)];
    return (ptrdiff_t)n;
}

static void memory_does_not_grow_with_the_file(void **state)
{
    (void)state;
    spring water = { 0, (sizeof doc - 1) * 200000 };
    fen_yaml_stream *s = NULL;
    fen_problems *problems;
    assert_int_equal(fen_problems_new(&problems), FEN_OK);
    assert_int_equal(fen_yaml_stream_open("-", pour, &water, 1 << 20, &s), FEN_OK);
    const size_t live = fen_alloc_live();
    for (;;) {
        fen_source *source = NULL;
        fen_tree *tree = NULL;
        assert_int_equal(fen_yaml_stream_next(s, problems, &source, &tree), FEN_OK);
        assert_true(fen_yaml_stream_bytes(s) <= 300000);
        if (!tree)
            break;
        fen_tree_free(tree);
        fen_source_free(source);
        assert_true(fen_alloc_live() <= live + 3); /* the buffer, and the name of the file in the list */
    }
    assert_int_equal(fen_yaml_stream_documents(s), 200000);
    fen_yaml_stream_free(s);
    fen_problems_free(problems);
}

static void a_read_that_fails_ends_the_stream_with_its_errno(void **state)
{
    (void)state;
    feed f = { .text = "a: 1\n---\nb: 2\n", .len = 14, .step = 5, .fail_at = 10 };
    fen_yaml_stream *s = NULL;
    fen_problems *problems;
    fen_source *source = NULL;
    fen_tree *tree = NULL;
    assert_int_equal(fen_problems_new(&problems), FEN_OK);
    assert_int_equal(fen_yaml_stream_open("-", take, &f, 1000, &s), FEN_OK);
    assert_int_equal(fen_yaml_stream_next(s, problems, &source, &tree), FEN_OK);
    fen_tree_free(tree);
    fen_source_free(source);
    assert_int_equal(fen_yaml_stream_next(s, problems, &source, &tree), FEN_EIO);
    assert_int_equal(errno, EIO);
    fen_yaml_stream_free(s);
    fen_problems_free(problems);
}

static void a_descriptor_is_read_to_its_end(void **state)
{
    (void)state;
    int ends[2];
    fen_yaml_stream *s = NULL;
    fen_problems *problems;
    fen_source *source = NULL;
    fen_tree *tree = NULL;
    assert_int_equal(pipe(ends), 0);
    assert_int_equal(write(ends[1], "a: 1\n", 5), 5);
    close(ends[1]);
    assert_int_equal(fen_problems_new(&problems), FEN_OK);
    assert_int_equal(fen_yaml_stream_open("-", fen_read_fd, &ends[0], 1000, &s), FEN_OK);
    assert_int_equal(fen_yaml_stream_next(s, problems, &source, &tree), FEN_OK);
    assert_string_equal(fen_node_get(fen_tree_root(tree), "a")->text, "1");
    fen_tree_free(tree);
    fen_source_free(source);
    assert_int_equal(fen_yaml_stream_next(s, problems, &source, &tree), FEN_OK);
    assert_null(tree);
    close(ends[0]);
    assert_int_equal(fen_yaml_stream_next(s, problems, &source, &tree), FEN_OK); /* the end stays the end */
    fen_yaml_stream_free(s);
    fen_problems_free(problems);
}

static fen_status read_all(void *arg)
{
    (void)arg;
    feed f = { .text = "a: 1\n---\nb: [\n---\nc: 345678901234567\n---\nd: 4\n", .len = 45, .step = 6 };
    fen_yaml_stream *s = NULL;
    fen_problems *problems = NULL;
    fen_status st = fen_problems_new(&problems);
    if (!st)
        st = fen_yaml_stream_open("cases.yaml", take, &f, 20, &s);
    for (bool more = true; more && !st;) {
        fen_source *source = NULL;
        fen_tree *tree = NULL;
        st = fen_yaml_stream_next(s, problems, &source, &tree);
        more = st == FEN_EINPUT || tree;
        if (st == FEN_EINPUT)
            st = fen_problems_status(problems);
        fen_tree_free(tree);
        fen_source_free(source);
    }
    fen_yaml_stream_free(s);
    fen_problems_free(problems);
    return st;
}

static void reading_survives_every_failed_allocation(void **state)
{
    (void)state;
    unit_refuse_each(read_all, NULL);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(documents_come_one_by_one_with_the_lines_of_the_file),
        cmocka_unit_test(documents_with_nothing_in_them_are_passed_over),
        cmocka_unit_test(what_only_looks_like_a_marker_cuts_nothing),
        cmocka_unit_test(a_broken_document_costs_only_itself),
        cmocka_unit_test(a_document_that_is_too_large_is_told_once_and_passed_over),
        cmocka_unit_test(cutting_finds_the_documents_that_libyaml_finds),
        cmocka_unit_test(memory_does_not_grow_with_the_file),
        cmocka_unit_test(a_read_that_fails_ends_the_stream_with_its_errno),
        cmocka_unit_test(a_descriptor_is_read_to_its_end),
        cmocka_unit_test(reading_survives_every_failed_allocation),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
