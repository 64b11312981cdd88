/* YAML text to trees: what is read, and each refusal with its message. */
#include <time.h>

#include "text/yaml.h"
#include "unit.h"
#include "util/limits.h"
#include "util/problem_text.h"

typedef struct doc {
    fen_problems *problems;
    fen_source *source;
    fen_tree *tree;
    fen_status st;
} doc;

static doc read_bytes(const char *text, size_t len)
{
    doc d = { 0 };
    assert_int_equal(fen_problems_new(&d.problems), FEN_OK);
    assert_int_equal(fen_source_text("a.yaml", text, len, d.problems, &d.source), FEN_OK);
    d.st = fen_yaml_read(d.source, d.problems, &d.tree);
    return d;
}

static void drop(doc *d)
{
    fen_tree_free(d->tree);
    fen_source_free(d->source);
    fen_problems_free(d->problems);
}

static void show(fen_str *out, const fen_node *node)
{
    if (node->type == FEN_NODE_TEXT) {
        fen_str_printf(out, node->plain ? "%s" : "'%s'", node->text);
        return;
    }
    fen_str_putc(out, node->type == FEN_NODE_LIST ? '[' : '{');
    for (size_t i = 0; i < node->count; i++) {
        fen_str_puts(out, i ? ", " : "");
        if (node->type == FEN_NODE_MAP) {
            show(out, node->pairs[i].key);
            fen_str_puts(out, ": ");
        }
        show(out, node->type == FEN_NODE_MAP ? node->pairs[i].value : node->items[i]);
    }
    fen_str_putc(out, node->type == FEN_NODE_LIST ? ']' : '}');
}

static void trees_hold_what_was_written(void **state)
{
    (void)state;
    static const struct { const char *text, *tree; } rows[] = {
        { "a: 1\nb: [x, y]\nc:\n- p\n- q: r\n", "{a: 1, b: [x, y], c: [p, {q: r}]}" },
        { "", "{}" },
        { "# nothing but this\n", "{}" },
        { "---\n", "{}" },
        { "- a\n-\n- ''\n", "[a, , '']" },
        { "text", "text" },
        { "a: {}\nb: []\n", "{a: {}, b: []}" },
        { "'a b': \"c\\nd\"\n", "{'a b': 'c\nd'}" },
        { "a: >\n  one\n  two\nb: |\n  one\n  two\n", "{a: 'one two\n', b: 'one\ntwo\n'}" },
        { "a: one\n  two\n", "{a: one two}" },
        { "? a\n: b\n", "{a: b}" },
        { "ask when: x is y\n", "{ask when: x is y}" },
        { "%YAML 1.2\n---\na: b\n...\n", "{a: b}" },
        { "\xEF\xBB\xBF" "a: b", "{a: b}" },
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        doc d = read_bytes(rows[i].text, strlen(rows[i].text));
        assert_int_equal(d.st, FEN_OK);
        assert_int_equal(fen_problems_count(d.problems), 0);
        fen_str out;
        fen_str_init(&out, 1000);
        show(&out, fen_tree_root(d.tree));
        assert_string_equal(out.at, rows[i].tree);
        fen_str_free(&out);
        drop(&d);
    }
}

/* YAML 1.2.2, 10.3: the words that other schemas turn into booleans, null, numbers and dates. */
static void scalars_stay_the_text_they_are(void **state)
{
    (void)state;
    static const char *const words[] = { "yes", "no", "on", "off", "Yes", "NO", "true", "TRUE", "~", "null", "012", "0o12",
                                         "0x1F", "1:30", "190:20:30", ".5", "1e3", "+1", "-.inf", ".NaN", "08", "1_000",
                                         "0b11", "2024-01-01", "y", "n" };
    char text[64];
    for (size_t i = 0; i < COUNT(words); i++) {
        const int n = snprintf(text, sizeof text, "a: %s", words[i]);
        doc d = read_bytes(text, (size_t)n);
        assert_int_equal(d.st, FEN_OK);
        const fen_node *a = fen_node_get(fen_tree_root(d.tree), "a");
        assert_string_equal(a->text, words[i]);
        assert_true(a->plain);
        drop(&d);
    }
}

static void keys_are_found_by_name(void **state)
{
    (void)state;
    doc d = read_bytes("a: 1\nab: 2\n", 11);
    const fen_node *root = fen_tree_root(d.tree);
    assert_string_equal(fen_node_get(root, "ab")->text, "2");
    assert_null(fen_node_get(root, "b"));
    assert_null(fen_node_get(root, ""));
    assert_null(fen_node_get(fen_node_get(root, "a"), "a")); /* a text has no keys */
    assert_null(fen_node_get(NULL, "a"));
    drop(&d);
}

static void places_count_characters_from_one(void **state)
{
    (void)state;
    static const char text[] = "\xC3\xA9t\xC3\xA9: {k: 'v w'}\nlist:\n  - \xE4\xB8\xADx\n";
    doc d = read_bytes(text, sizeof text - 1);
    assert_int_equal(d.st, FEN_OK);
    const fen_node *root = fen_tree_root(d.tree), *map = root->pairs[0].value, *list = root->pairs[1].value;
    const struct { const fen_node *node; uint32_t line, column, width; } rows[] = {
        { root->pairs[0].key, 1, 1, 3 }, { map, 1, 6, 1 }, { map->pairs[0].value, 1, 10, 5 },
        { root->pairs[1].key, 2, 1, 4 }, { list->items[0], 3, 5, 2 },
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        assert_int_equal(rows[i].node->place.line, rows[i].line);
        assert_int_equal(rows[i].node->place.column, rows[i].column);
        assert_int_equal(rows[i].node->place.width, rows[i].width);
    }
    drop(&d);
}

/* The word "xx" is looked for in the node's text, and must be found in the source. */
static void a_byte_of_a_text_is_traced_to_where_it_was_written(void **state)
{
    (void)state;
    static const struct { const char *text; uint32_t line, column, width; } rows[] = {
        { "a: crown is xx\n", 1, 13, 2 },
        { "a: 'crown is xx'\n", 1, 14, 2 },
        { "a: \"crown is xx\"\n", 1, 14, 2 },
        { "a: 'it''s xx'\n", 1, 11, 2 },
        { "a: \"say \\\"xx\\\"\"\n", 1, 11, 2 },
        { "a: \xC3\xA9\xE4\xB8\xAD xx\n", 1, 7, 2 },
        { "a: crown\n   is xx\n", 2, 7, 2 },               /* a plain text over two lines */
        { "a: crown  \n\n   xx\n", 3, 4, 2 },              /* an empty line is a newline of the text */
        { "a: \"crown\n   is xx\"\n", 2, 7, 2 },
        { "a: >\n  crown\n  is xx\n", 3, 6, 2 },
        { "a: |\n  crown\n  is xx\n", 3, 6, 2 },
        { "a: >-\r\n  crown\r\n  is xx\r\n", 3, 6, 2 },
        { "a: \"\\u0063rown xx\"\n", 1, 4, 15 },            /* an escape by number: the start of the text */
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        doc d = read_bytes(rows[i].text, strlen(rows[i].text));
        assert_int_equal(d.st, FEN_OK);
        const fen_node *a = fen_node_get(fen_tree_root(d.tree), "a");
        const char *xx = strstr(a->text, "xx");
        assert_non_null(xx);
        const fen_place p = fen_node_place_at(d.source, a, (size_t)(xx - a->text), 2);
        if (p.line != rows[i].line || p.column != rows[i].column)
            print_error("%s", rows[i].text);
        assert_int_equal(p.line, rows[i].line);
        assert_int_equal(p.column, rows[i].column);
        assert_int_equal(p.width, rows[i].width);
        drop(&d);
    }
}

static void any_offset_into_any_text_gives_a_place_within_the_source(void **state)
{
    (void)state;
    static const char *const texts[] = { "a: x", "a: 'x'", "a: |\n\n   x\n    y\n", "a: >\n x\n\n\n y\n", "a:", "a: \"\\\n x\"",
                                         "a: |", "a: >2\n   x\n", "a: \"\\x41\\t\"", "a: '\n\n'\n" };
    for (size_t i = 0; i < COUNT(texts); i++) {
        doc d = read_bytes(texts[i], strlen(texts[i]));
        assert_int_equal(d.st, FEN_OK);
        const fen_node *a = fen_node_get(fen_tree_root(d.tree), "a");
        for (size_t k = 0; k < 20; k++) {
            const fen_place p = fen_node_place_at(d.source, a, k, k);
            assert_true(p.line >= 1 && p.column >= 1 && p.width >= 1);
            assert_true(fen_source_offset(d.source, p.line, p.column) <= d.source->len);
        }
        drop(&d);
    }
}

/* ---- refusals ---- */

static void assert_refused(const char *text, size_t len, const char *want)
{
    doc d = read_bytes(text, len);
    fen_str out;
    fen_str_init(&out, 1 << 20);
    fen_problems_sort(d.problems);
    for (size_t i = 0; i < fen_problems_count(d.problems); i++)
        fen_problem_write(&out, d.problems, fen_problems_at(d.problems, i));
    assert_string_equal(out.at, want);
    assert_int_equal(d.st, FEN_EINPUT);
    assert_null(d.tree);
    fen_str_free(&out);
    drop(&d);
}

static void each_mistake_has_its_message_in_an_authors_words(void **state)
{
    (void)state;
    static const struct { const char *text, *want; } rows[] = {
        { "a: b: c\n",
          "1:5: error: a text with ': ' in it reads like a second name; put the text in double quotes [syntax]\n"
          "    1 | a: b: c\n      |     ^\n" },
        { "a: 1\n  b: 2\n",
          "2:4: error: this name stands where the text of the line above goes on; indent the line like the entries it belongs to [syntax]\n"
          "    2 |   b: 2\n      |    ^\n" },
        { "a:\n\tb: 1\n",
          "2:1: error: a tab stands in the indentation; use blanks [syntax]\n    2 |         b: 1\n      | ^~~~~~~~\n" },
        { "a: 1\n\tb: 2\n",
          "2:1: error: a tab stands in the indentation; use blanks [syntax]\n    2 |         b: 2\n      | ^~~~~~~~\n" },
        { "a: @x\n",
          "1:4: error: a text may not begin with '@'; put the text in double quotes [syntax]\n    1 | a: @x\n      |    ^\n" },
        { "a: %5\n",
          "1:4: error: a text may not begin with '%'; put the text in double quotes [syntax]\n    1 | a: %5\n      |    ^\n" },
        { "a: 1\nb\n",
          "2:1: error: this line is not 'name: value'; add the ': ', or indent the line if it goes on with the text above [syntax]\n"
          "    2 | b\n      | ^\n" },
        { "a:\n  b: 1\n c: 2\n",
          "3:2: error: this does not line up with the entries above; indent it like them [syntax]\n"
          "    3 |  c: 2\n      |  ^\n" },
        { "- a\nb: 1\n",
          "2:1: error: this does not belong to the list above; begin it with '- ', or indent it like what it belongs to [syntax]\n"
          "    2 | b: 1\n      | ^\n" },
        { "a: 1\nb: [1, 2\n",
          "2:4: error: the list opened here with '[' is not closed properly; separate its items by ',' and end it with ']' [syntax]\n"
          "    2 | b: [1, 2\n      |    ^\n" },
        { "a: {b: 1\n",
          "1:4: error: the map opened here with '{' is not closed properly; separate its entries by ',' and end it with '}' [syntax]\n"
          "    1 | a: {b: 1\n      |    ^\n" },
        { "a: \"x\nb: 1\n",
          "1:4: error: the quotes opened here are never closed; close them [syntax]\n    1 | a: \"x\n      |    ^\n" },
        { "a: 'it's'\n",
          "1:8: error: this stands behind a text that was complete; put the whole text in single quotes, with '' for a ' inside [syntax]\n"
          "    1 | a: 'it's'\n      |        ^\n" },
        { "a: \"\\q\"\n",
          "1:5: error: a backslash in double quotes begins an escape, and this is none; use single quotes, or double the backslash [syntax]\n"
          "    1 | a: \"\\q\"\n      |     ^\n" },
        { "a: \"\\x4\"\n",
          "1:7: error: an escape lacks its hexadecimal digits; use single quotes, or double the backslash [syntax]\n"
          "    1 | a: \"\\x4\"\n      |       ^\n" },
        { "a: - b\n",
          "1:4: error: a list item '- ' cannot begin here; begin it on a line of its own [syntax]\n    1 | a: - b\n      |    ^\n" },
        { "a: ]\n",
          "1:4: error: a value is missing before this, or this stands in the wrong place; put a text that begins so in double quotes [syntax]\n"
          "    1 | a: ]\n      |    ^\n" },
        { "a: |x\n  b\n",
          "1:5: error: a text may not begin on the line of its '|' or '>'; begin it on the next line, indented [syntax]\n"
          "    1 | a: |x\n      |     ^\n" },
        { "  a: 1\nb: 2\n",
          "2:1: error: this does not belong to what stands above; indent it like what it belongs to [syntax]\n"
          "    2 | b: 2\n      | ^\n" },
        { "a: *x\n",
          "1:4: error: YAML aliases are not read here; write it out, or put a text that begins with '*' in double quotes [syntax]\n"
          "    1 | a: *x\n      |    ^\n" },
        { "a: !!str x\n",
          "1:4: error: a text that begins with '!' is a YAML tag, and tags have no use here; leave the '!' out, or put the text in double quotes [syntax]\n"
          "    1 | a: !!str x\n      |    ^~~~~~~\n" },
        { "a: !x\n- b\n",
          "1:4: error: a text that begins with '!' is a YAML tag, and tags have no use here; leave the '!' out, or put the text in double quotes [syntax]\n"
          "    1 | a: !x\n      |    ^\n" }, /* a tag of the list: libyaml lets the list stand there */
        { "[a, b]: c\n",
          "1:1: error: a list or a map stands where a name is needed; write a name, or put the text in double quotes [shape]\n"
          "    1 | [a, b]: c\n      | ^\n" },
        { "a: 1\n---\nb: 2\n",
          "2:1: error: a second document begins here; keep one document to a file, without '---' in its middle [shape]\n"
          "    2 | ---\n      | ^\n" },
        { "a: \x07\n",
          "1:4: error: the control character U+0007 may not stand in a text; leave it out [syntax]\n"
          "    1 | a: \xEF\xBF\xBD\n      |    ^\n" },
        { "a: \"\\0\"\n",
          "1:4: error: a text has a NUL character in it; leave it out [bad-value]\n    1 | a: \"\\0\"\n      |    ^~~~\n" },
        { "a: 1\nb: 2\na: 3\nb: 4\n",
          "3:1: error: 'a' is given a second time, after line 1; keep one of the two, or give one another name [duplicate]\n"
          "    3 | a: 3\n      | ^\n"
          "a.yaml:4:1: error: 'b' is given a second time, after line 2; keep one of the two, or give one another name [duplicate]\n"
          "    4 | b: 4\n      | ^\n" },
        { "a: {x: 1, 'x': 2}\n",
          "1:11: error: 'x' is given a second time, after line 1; keep one of the two, or give one another name [duplicate]\n"
          "    1 | a: {x: 1, 'x': 2}\n      |           ^~~\n" },
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        char want[2000];
        snprintf(want, sizeof want, "a.yaml:%s", rows[i].want);
        assert_refused(rows[i].text, strlen(rows[i].text), want);
    }
}

static void double_keys_of_a_large_map_are_all_told(void **state)
{
    (void)state;
    fen_str text, want;
    fen_str_init(&text, 1 << 20);
    fen_str_init(&want, 1 << 20);
    for (int i = 0; i < 200; i++)
        fen_str_printf(&text, "key-%d: %d\n", i % 150 * 7 % 150, i); /* 50 of them twice */
    doc d = read_bytes(text.at, text.len);
    assert_int_equal(d.st, FEN_EINPUT);
    assert_int_equal(fen_problems_count(d.problems), 50);
    fen_problems_sort(d.problems);
    for (uint32_t i = 0; i < 50; i++) {
        char message[100];
        snprintf(message, sizeof message, "'key-%u' is given a second time, after line %u", i * 7 % 150, i + 1);
        assert_string_equal(fen_problems_at(d.problems, i)->text, message);
        assert_int_equal(fen_problems_at(d.problems, i)->place.line, 151 + i);
    }
    fen_str_free(&text);
    fen_str_free(&want);
    drop(&d);
}

static void texts_are_bounded(void **state)
{
    (void)state;
    const size_t max = FEN_SCALAR_MAX;
    char *text = malloc(max + 10);
    memcpy(text, "a: ", 3);
    memset(text + 3, 'x', max + 1);
    doc d = read_bytes(text, 3 + max);
    assert_int_equal(d.st, FEN_OK);
    drop(&d);
    assert_refused(text, 3 + max + 1, "a.yaml:1:4: error: a text has more than 65536 bytes; shorten it [too-large]\n");
    free(text);
}

static char *repeated(const char *piece, size_t count, const char *end)
{
    const size_t n = strlen(piece);
    char *text = malloc(n * count + strlen(end) + 1);
    for (size_t i = 0; i < count; i++)
        memcpy(text + i * n, piece, n);
    strcpy(text + n * count, end);
    return text;
}

static double seconds(void)
{
    return (double)clock() / CLOCKS_PER_SEC;
}

/* The bound is watched while reading: libyaml alone takes a quarter of a minute here. */
static void deep_nesting_is_refused_at_once(void **state)
{
    (void)state;
    static const char *const pieces[] = { "[", "{a: ", "- ", "? ", "[\n", "{? " , "a: [", "\"b\": {" };
    for (size_t i = 0; i < COUNT(pieces); i++) {
        char *text = repeated(pieces[i], 100000, "x");
        const double start = seconds();
        doc d = read_bytes(text, strlen(text));
        assert_int_equal(d.st, FEN_EINPUT);
        assert_int_equal(fen_problems_errors(d.problems) > 0, 1);
        assert_true(seconds() - start < 2.0);
        drop(&d);
        free(text);
    }
    char *just = repeated("[", FEN_DEPTH_MAX, ""), *closed = repeated("]", FEN_DEPTH_MAX, "");
    char both[2 * FEN_DEPTH_MAX + 10];
    snprintf(both, sizeof both, "%s%s", just, closed);
    doc d = read_bytes(both, strlen(both));
    assert_int_equal(d.st, FEN_OK);
    drop(&d);
    snprintf(both, sizeof both, "[%s%s]", just, closed);
    char want[400];
    snprintf(want, sizeof want,
             "a.yaml:1:65: error: lists and maps are nested more than 64 deep; nest less deeply [too-large]\n"
             "    1 | ...%.58s%.28s...\n      | %60s^\n", just, closed, "");
    assert_refused(both, strlen(both), want);
    free(just);
    free(closed);
}

static void what_tempts_to_quadratic_time_is_read_in_linear(void **state)
{
    (void)state;
    fen_str text;
    fen_str_init(&text, 64 << 20);
    for (int i = 0; i < 100000; i++)
        fen_str_printf(&text, "k%d: v\n", i);
    double start = seconds();
    doc d = read_bytes(text.at, text.len);
    assert_int_equal(d.st, FEN_OK);
    assert_int_equal(fen_tree_root(d.tree)->count, 100000);
    drop(&d);
    fen_str_clear(&text);
    fen_str_puts(&text, "[");
    for (int i = 0; i < 300000; i++)
        fen_str_puts(&text, "a,");
    fen_str_puts(&text, "a]"); /* one line of 600 KB */
    d = read_bytes(text.at, text.len);
    assert_int_equal(d.st, FEN_OK);
    assert_int_equal(fen_tree_root(d.tree)->count, 300001);
    drop(&d);
    fen_str_clear(&text);
    for (int i = 0; i < 100000; i++)
        fen_str_puts(&text, "same: x\n"); /* a problem in every line */
    d = read_bytes(text.at, text.len);
    assert_int_equal(d.st, FEN_EINPUT);
    assert_int_equal(fen_problems_errors(d.problems), 99999);
    drop(&d);
    fen_str_free(&text);
    assert_true(seconds() - start < 10.0);
}

/* ---- whatever comes ---- */

static const char sample[] = "pack: own\nfindings:\n  crown-feel:\n    ask: \"How, then?\"\n    answers:\n"
                             "      firm: {say: firm, usual: 80 %}\n      soft: {say: 'soft or mushy', sign: yes}\n"
                             "rules:\n  r1:\n    when:\n    - crown-feel is soft\n    - any: [a is b, c > 30 ppm]\n"
                             "    then: >\n      strong for x\n      and more\n    why: |\n      one\n      two\n";

static void mutated_bytes_never_do_worse_than_a_problem(void **state)
{
    (void)state;
    uint64_t random = 3;
    static const char odd[] = "{}[]:,-?&*!|>'\"%@`#\t\n\r \\\x07\xC2\x85\xE2\x80\xA8 0ax~.";
    for (int round = 0; round < 20000; round++) {
        char text[sizeof sample];
        memcpy(text, sample, sizeof sample);
        const int changes = 1 + (int)(unit_random(&random) % 4);
        for (int i = 0; i < changes; i++)
            text[unit_random(&random) % (sizeof sample - 1)] = odd[unit_random(&random) % (sizeof odd - 1)];
        fen_problems *problems;
        fen_source *source = NULL;
        fen_tree *tree = NULL;
        assert_int_equal(fen_problems_new(&problems), FEN_OK);
        fen_status st = fen_source_text("a.yaml", text, sizeof sample - 1, problems, &source);
        if (!st)
            st = fen_yaml_read(source, problems, &tree);
        assert_int_equal(st == FEN_EINPUT, fen_problems_errors(problems) > 0);
        assert_int_equal(st == FEN_OK, tree != NULL);
        fen_str out;
        fen_str_init(&out, 1 << 20);
        for (size_t i = 0; i < fen_problems_count(problems); i++)
            fen_problem_write(&out, problems, fen_problems_at(problems, i));
        fen_str_free(&out);
        fen_tree_free(tree);
        fen_source_free(source);
        fen_problems_free(problems);
    }
}

static fen_status read_one(void *arg)
{
    fen_problems *problems = NULL;
    fen_source *source = NULL;
    fen_tree *tree = NULL;
    fen_status st = fen_problems_new(&problems);
    if (!st)
        st = fen_source_text("a.yaml", arg, strlen(arg), problems, &source);
    if (!st)
        st = fen_yaml_read(source, problems, &tree);
    if (st == FEN_EINPUT)
        st = fen_problems_status(problems); /* refused, as it should be */
    fen_tree_free(tree);
    fen_source_free(source);
    fen_problems_free(problems);
    return st;
}

static void a_tree_that_is_read_into_again_holds_the_last_text_alone(void **state)
{
    (void)state;
    static const struct { const char *text; fen_status st; const char *tree; } rows[] = {
        { "a: [b, c]\nd: {e: f}\n", FEN_OK, "{a: [b, c], d: {e: f}}" },
        { "a: [b, {c: \"\n", FEN_EINPUT, NULL }, /* stops with three of them open */
        { "- x\n", FEN_OK, "[x]" },
        { "a: 1\na: 2\n", FEN_EINPUT, NULL },
        { "", FEN_OK, "{}" },
        { "a: 1\nb: 2\n", FEN_OK, "{a: 1, b: 2}" },
    };
    fen_tree *tree = NULL;
    assert_int_equal(fen_tree_new(&tree), FEN_OK);
    for (size_t i = 0; i < COUNT(rows); i++) {
        fen_problems *problems;
        fen_source *source;
        fen_str out;
        assert_int_equal(fen_problems_new(&problems), FEN_OK);
        assert_int_equal(fen_source_text("a.yaml", rows[i].text, strlen(rows[i].text), problems, &source), FEN_OK);
        assert_int_equal(fen_tree_read(tree, source, problems), rows[i].st);
        fen_str_init(&out, 1000);
        if (!rows[i].st)
            show(&out, fen_tree_root(tree));
        assert_string_equal(out.at, rows[i].tree ? rows[i].tree : "");
        assert_int_equal(fen_problems_count(problems) > 0, rows[i].st != FEN_OK);
        fen_str_free(&out);
        fen_source_free(source);
        fen_problems_free(problems);
    }
    fen_tree_free(tree);
}

static void reading_survives_every_failed_allocation(void **state)
{
    (void)state;
    char good[sizeof sample], bad[] = "a: 1\na: 2\nb: *x\nc: \"\n";
    memcpy(good, sample, sizeof sample);
    unit_refuse_each(read_one, good);
    unit_refuse_each(read_one, bad);
    fen_str large;
    fen_str_init(&large, 10000);
    for (int i = 0; i < 40; i++)
        fen_str_printf(&large, "k%d: v\n", i % 39);
    unit_refuse_each(read_one, large.at);
    fen_str_free(&large);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(trees_hold_what_was_written),
        cmocka_unit_test(scalars_stay_the_text_they_are),
        cmocka_unit_test(keys_are_found_by_name),
        cmocka_unit_test(places_count_characters_from_one),
        cmocka_unit_test(a_byte_of_a_text_is_traced_to_where_it_was_written),
        cmocka_unit_test(any_offset_into_any_text_gives_a_place_within_the_source),
        cmocka_unit_test(each_mistake_has_its_message_in_an_authors_words),
        cmocka_unit_test(double_keys_of_a_large_map_are_all_told),
        cmocka_unit_test(texts_are_bounded),
        cmocka_unit_test(deep_nesting_is_refused_at_once),
        cmocka_unit_test(what_tempts_to_quadratic_time_is_read_in_linear),
        cmocka_unit_test(mutated_bytes_never_do_worse_than_a_problem),
        cmocka_unit_test(a_tree_that_is_read_into_again_holds_the_last_text_alone),
        cmocka_unit_test(reading_survives_every_failed_allocation),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
