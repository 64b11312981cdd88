/* YAML written: what our own reader makes of it again, and what people see.
 * Which plain texts need quotes follows YAML 1.1, section 9.1.3 (libyaml).
 */
#include "text/yaml.h"
#include "text/yaml_write.h"
#include "unit.h"

static char *written(void (*write)(fen_yaml_out *out, const char *text), const char *text)
{
    fen_str str;
    fen_yaml_out *out;
    fen_str_init(&str, 1 << 20);
    assert_int_equal(fen_yaml_out_new(&str, &out), FEN_OK);
    write(out, text);
    assert_int_equal(fen_yaml_out_finish(out), FEN_OK);
    fen_yaml_out_free(out);
    char *copy = fen_strndup(str.at, str.len);
    fen_str_free(&str);
    return copy;
}

static void map_of_one(fen_yaml_out *out, const char *text)
{
    fen_yaml_out_map(out, false);
    fen_yaml_out_text(out, "key");
    fen_yaml_out_text(out, text);
    fen_yaml_out_text(out, "flow");
    fen_yaml_out_list(out, true);
    fen_yaml_out_text(out, text);
    fen_yaml_out_end(out);
    fen_yaml_out_end(out);
}

static void assert_reads_back(const char *text)
{
    fen_problems *problems;
    fen_source *src;
    fen_tree *tree;
    char *yaml = written(map_of_one, text);
    assert_int_equal(fen_problems_new(&problems), FEN_OK);
    assert_int_equal(fen_source_text("w", yaml, strlen(yaml), problems, &src), FEN_OK);
    if (fen_yaml_read(src, problems, &tree))
        fail_msg("not read back: %s", yaml);
    const fen_node *key = fen_node_get(fen_tree_root(tree), "key"), *flow = fen_node_get(fen_tree_root(tree), "flow");
    if (strcmp(key->text, text) != 0 || flow->count != 1 || strcmp(flow->items[0]->text, text) != 0)
        fail_msg("read back as '%s' and '%s': %s", key->text, flow->items[0]->text, yaml);
    if (!*text || strcmp(text, "~") == 0)
        assert_false(key->plain); /* or it would be taken for nothing */
    fen_tree_free(tree);
    fen_source_free(src);
    fen_problems_free(problems);
    fen_free(yaml);
}

static void any_text_reads_back_as_it_was(void **state)
{
    (void)state;
    static const char *const texts[] = {
        "", "~", "null", "no", "yes", "12", "0x1f", "1e3", "a", " a", "a ", "a: b", "a #b", "# a", "- a", "-", "?", ":", "[", "]", "{a}",
        "*a", "&a", "!a", "%a", "@a", "`a", "'", "\"", "''", "it's", "a\\b", "---", "...", "a\nb", "a\n\nb", "\na", "a\n", " a\n b",
        "a\n  b", "a \nb", "tab\there", "\ttab", "caf\xc3\xa9", "\xe6\xb0\xb4", "\xf0\x9f\x8c\xb1", "a\xc2\x85" "b", "a\xe2\x80\xa8" "b",
        "\xef\xbb\xbf", "bell\a", "esc\033[0m", "a,b", "a, b", "|", ">", "| a\nb", "a very long text that goes on for much more than "
        "eighty columns, so that an emitter with a line width would fold it, which would make the diff of two cases ugly",
    };
    for (size_t i = 0; i < COUNT(texts); i++)
        assert_reads_back(texts[i]);
}

static void random_texts_read_back_as_they_were(void **state)
{
    (void)state;
    static const char *const bits[] = { "a", " ", "\n", ":", "#", "-", "'", "\"", "\\", "[", "}", ",", "\t", "\xc3\xa9", "|", "~", "0" };
    uint64_t seed = 31;
    for (int round = 0; round < 5000; round++) {
        char text[64] = "";
        for (size_t n = unit_random(&seed) % 12; n; n--)
            strcat(text, bits[unit_random(&seed) % COUNT(bits)]);
        assert_reads_back(text);
    }
}

static void everything(fen_yaml_out *out, const char *text)
{
    fen_yaml_out_map(out, false);
    fen_yaml_out_text(out, "flow");
    fen_yaml_out_map(out, true);
    fen_yaml_out_text(out, "a");
    fen_yaml_out_text(out, text);
    fen_yaml_out_end(out);
    fen_yaml_out_text(out, "block");
    fen_yaml_out_list(out, false);
    fen_yaml_out_map(out, false);
    fen_yaml_out_text(out, "note");
    fen_yaml_out_text(out, "two\nlines");
    fen_yaml_out_end(out);
    fen_yaml_out_text(out, "");
    fen_yaml_out_list(out, true);
    fen_yaml_out_end(out);
    fen_yaml_out_end(out);
    fen_yaml_out_end(out);
}

static void maps_and_lists_come_out_for_people(void **state)
{
    (void)state;
    char *yaml = written(everything, "b c");
    assert_string_equal(yaml, "flow: {a: b c}\n"
                              "block:\n"
                              "- note: |-\n"
                              "    two\n"
                              "    lines\n"
                              "- \"\"\n"
                              "- []\n");
    fen_free(yaml);
}

static void what_is_not_utf_8_is_refused(void **state)
{
    (void)state;
    fen_str str;
    fen_yaml_out *out;
    fen_str_init(&str, 1 << 20);
    assert_int_equal(fen_yaml_out_new(&str, &out), FEN_OK);
    map_of_one(out, "caf\xe9");
    assert_int_equal(fen_yaml_out_finish(out), FEN_EINPUT);
    fen_yaml_out_free(out);
    fen_str_free(&str);
}

static void a_text_over_its_size_is_no_memory(void **state)
{
    (void)state;
    fen_str str;
    fen_yaml_out *out;
    fen_str_init(&str, 16);
    assert_int_equal(fen_yaml_out_new(&str, &out), FEN_OK);
    map_of_one(out, "more than sixteen bytes");
    assert_int_equal(fen_yaml_out_finish(out), FEN_ENOMEM);
    fen_yaml_out_free(out);
    fen_str_free(&str);
}

static fen_status write_some(void *arg)
{
    fen_str str;
    fen_yaml_out *out = NULL;
    (void)arg;
    fen_str_init(&str, 1 << 20);
    fen_status st = fen_yaml_out_new(&str, &out);
    if (!st) {
        everything(out, "x");
        st = fen_yaml_out_finish(out);
    }
    fen_yaml_out_free(out);
    fen_str_free(&str);
    return st;
}

static void writing_survives_every_failed_allocation(void **state)
{
    (void)state;
    unit_refuse_each(write_some, NULL);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(any_text_reads_back_as_it_was),
        cmocka_unit_test(random_texts_read_back_as_they_were),
        cmocka_unit_test(maps_and_lists_come_out_for_people),
        cmocka_unit_test(what_is_not_utf_8_is_refused),
        cmocka_unit_test(a_text_over_its_size_is_no_memory),
        cmocka_unit_test(writing_survives_every_failed_allocation),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
