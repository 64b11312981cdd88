/* test_sarif.c -- the log that `vet` writes, held against the schema of SARIF 2.1.0 (OASIS,
 * errata 01), whose required properties and values stand in tests/reference/sarif.csv.
 *
 * The checker here reads them from there, and is itself tried on the documents in
 * that file, which an independent JSON Schema library has called valid or not.
 */
#include <jansson.h>

#include "fenmend/vet.h"
#include "support/reference.h"
#include "unit.h"
#include "util/str.h"

static ref_row rows[REF_ROWS];
static int n_rows;

/* The row whose input is KEY=VALUE. */
static const char *fact(const char *what)
{
    for (int i = 0; i < n_rows; i++)
        if (ref_is(&rows[i], "sarif_schema", what))
            return rows[i].expected;
    fail_msg("there is no row for %s", what);
    return "";
}

/* Does NAME stand in "a;b;c (remark)"? */
static bool listed(const char *list, const char *name)
{
    const size_t n = strlen(name);
    for (const char *at = list; *at; at += strcspn(at, "; "), at += strspn(at, "; "))
        if (strncmp(at, name, n) == 0 && (at[n] == ';' || at[n] == ' ' || at[n] == '\0'))
            return true;
    return false;
}

/* All names of the fact's list are keys of O. */
static bool has_all(const json_t *o, const char *what)
{
    char list[REF_TEXT];
    snprintf(list, sizeof list, "%s", fact(what));
    for (char *key = strtok(list, ";"); key; key = strtok(NULL, ";"))
        if (!json_object_get(o, key))
            return false;
    return json_is_object(o);
}

static bool has_any(const json_t *o, const char *what)
{
    char list[REF_TEXT];
    snprintf(list, sizeof list, "%s", fact(what));
    for (char *key = strtok(list, ";"); key; key = strtok(NULL, ";"))
        if (json_object_get(o, key))
            return true;
    return false;
}

static bool at_least_one(const json_t *o, const char *key)
{
    const json_t *n = json_object_get(o, key);
    return !n || (json_is_integer(n) && json_integer_value(n) >= 1);
}

static bool is_region(const json_t *r)
{
    return !r || (has_any(r, "region_anyOf") && at_least_one(r, "startLine") && at_least_one(r, "startColumn") && at_least_one(r, "endColumn"));
}

static bool is_location(const json_t *l)
{
    const json_t *p = json_object_get(l, "physicalLocation");
    return !p || (has_any(p, "physicalLocation_anyOf") && is_region(json_object_get(p, "region")));
}

static bool is_result(const json_t *r)
{
    const json_t *level = json_object_get(r, "level"), *rank = json_object_get(r, "rank"), *l;
    size_t i;
    if (!has_all(r, "result_required") || !has_any(json_object_get(r, "message"), "message_anyOf"))
        return false;
    if (level && !listed(fact("level_values"), json_string_value(level)))
        return false;
    if (rank && (json_number_value(rank) < -1 || json_number_value(rank) > 100)) /* row rank_range */
        return false;
    json_array_foreach(json_object_get(r, "locations"), i, l)
        if (!is_location(l))
            return false;
    return true;
}

static bool is_run(const json_t *run)
{
    const json_t *tool = json_object_get(run, "tool"), *kind = json_object_get(run, "columnKind"), *x;
    size_t i;
    if (!has_all(run, "run_required") || !has_all(tool, "tool_required") || !has_all(json_object_get(tool, "driver"), "driver_required"))
        return false;
    if (kind && !listed(fact("columnKind"), json_string_value(kind)))
        return false;
    json_array_foreach(json_object_get(json_object_get(tool, "driver"), "rules"), i, x)
        if (!has_all(x, "rule_required"))
            return false;
    json_array_foreach(json_object_get(run, "results"), i, x)
        if (!is_result(x))
            return false;
    return true;
}

static bool is_log(const json_t *log)
{
    static const char root[] = "$schema;version;runs;inlineExternalProperties;properties"; /* section 3.13 of the standard */
    const char *key;
    json_t *value;
    size_t i;
    if (!has_all(log, "root_required") || strcmp(json_string_value(json_object_get(log, "version")), "2.1.0") != 0)
        return false;
    json_object_foreach((json_t *)(uintptr_t)log, key, value)
        if (!listed(root, key))
            return false;
    json_array_foreach(json_object_get(log, "runs"), i, value)
        if (!is_run(value))
            return false;
    return true;
}

static void the_checker_agrees_with_the_schema_about_every_document(void **state)
{
    (void)state;
    int n = 0;
    for (int i = 0; i < n_rows; i++) {
        char text[REF_TEXT];
        if (!ref_text(&rows[i], "json", text))
            continue;
        json_t *log = json_loads(text, 0, NULL);
        if (!log)
            fail_msg("%s is not JSON: %s", rows[i].id, text);
        if (is_log(log) != (strcmp(rows[i].expected, "valid") == 0))
            fail_msg("%s is %s: %s", rows[i].id, rows[i].expected, text);
        json_decref(log);
        n++;
    }
    assert_int_equal(n, 14);
}

/* ---- our logs ---- */

static json_t *log_of(const char *path, fen_problems **ret_problems)
{
    fen_base *base = NULL;
    fen_str out;
    const char *paths[] = { FEN_TESTS_DIR "/packs/vet/common.yaml", path };
    assert_int_equal(fen_problems_new(ret_problems), FEN_OK);
    (void)!fen_vet(paths, 2, *ret_problems, &base);
    fen_base_free(base);
    fen_str_init(&out, 1 << 24);
    fen_vet_sarif(&out, *ret_problems, "1.2.3");
    assert_int_equal(fen_str_status(&out), FEN_OK);
    json_t *log = json_loadb(out.at, out.len, 0, NULL);
    assert_non_null(log);
    fen_str_free(&out);
    return log;
}

static const json_t *path_of(const json_t *o, const char *keys)
{
    char list[128];
    snprintf(list, sizeof list, "%s", keys);
    for (char *k = strtok(list, "/"); k; k = strtok(NULL, "/"))
        o = *k >= '0' && *k <= '9' ? json_array_get(o, (size_t)atoi(k)) : json_object_get(o, k);
    return o;
}

/* Every result names its rule twice, and means one. */
static void check_rules(const json_t *log)
{
    const json_t *rules = path_of(log, "runs/0/tool/driver/rules"), *r;
    size_t i;
    json_array_foreach(path_of(log, "runs/0/results"), i, r) {
        const json_t *rule = json_array_get(rules, (size_t)json_integer_value(json_object_get(r, "ruleIndex")));
        assert_string_equal(json_string_value(json_object_get(rule, "id")), json_string_value(json_object_get(r, "ruleId")));
    }
}

static void what_vet_writes_keeps_to_the_schema_and_says_what_was_found(void **state)
{
    (void)state;
    static const char *const packs[] = {
        "vet/clash-bad.yaml", "vet/odd-unit-bad.yaml", "vet/long-text-bad.yaml", "mend/before.yaml", "bad/bytes-not-utf8.yaml",
        "bad/there-is-no-such-pack.yaml", "vet/gap-good.yaml",
    };
    for (size_t i = 0; i < sizeof packs / sizeof *packs; i++) {
        char path[512];
        fen_problems *problems;
        snprintf(path, sizeof path, FEN_TESTS_DIR "/packs/%s", packs[i]);
        json_t *log = log_of(path, &problems);
        assert_true(is_log(log));
        assert_int_equal(json_array_size(path_of(log, "runs/0/results")), fen_problems_count(problems));
        check_rules(log);
        json_decref(log);
        fen_problems_free(problems);
    }
}

static void a_place_and_what_should_stand_there_are_told(void **state)
{
    (void)state;
    fen_problems *problems;
    json_t *log = log_of(FEN_TESTS_DIR "/packs/vet/odd-unit-bad.yaml", &problems);
    const json_t *region = path_of(log, "runs/0/results/0/locations/0/physicalLocation/region");
    assert_int_equal(json_integer_value(json_object_get(region, "startLine")), 9);
    assert_int_equal(json_integer_value(json_object_get(region, "startColumn")), 22);
    assert_int_equal(json_integer_value(json_object_get(region, "endColumn")), 29); /* the one behind the last */
    const json_t *change = path_of(log, "runs/0/results/0/fixes/0/artifactChanges/0/replacements/0");
    assert_string_equal(json_string_value(path_of(change, "insertedContent/text")), "4 mm");
    assert_true(json_equal((json_t *)(uintptr_t)json_object_get(change, "deletedRegion"), (json_t *)(uintptr_t)region));
    json_decref(log);
    fen_problems_free(problems);
}

static void a_path_is_written_as_a_uri(void **state)
{
    (void)state;
    fen_problems *problems;
    fen_str out;
    static const struct { const char *path, *uri; } names[] = {
        { "my rules/50%.yaml", "my%20rules/50%25.yaml" }, /* RFC 3986, 2.1 */
        { "/a/b.yaml", "file:///a/b.yaml" },              /* RFC 8089, 2 */
        { "c:d.yaml", "c%3Ad.yaml" },                     /* RFC 3986, 4.2: no scheme is meant */
        { "\xC3\xA9.yaml", "%C3%A9.yaml" },
    };
    for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
        uint32_t file;
        assert_int_equal(fen_problems_new(&problems), FEN_OK);
        assert_int_equal(fen_problems_file(problems, names[i].path, &file), FEN_OK);
        fen_problems_add(problems, FEN_NOTE, FEN_CODE_READ, (fen_place){ file, 0, 0, 1 }, NULL, NULL, "x");
        fen_str_init(&out, 1 << 20);
        fen_vet_sarif(&out, problems, "1");
        json_t *log = json_loadb(out.at, out.len, 0, NULL);
        assert_true(is_log(log));
        assert_string_equal(json_string_value(path_of(log, "runs/0/results/0/locations/0/physicalLocation/artifactLocation/uri")), names[i].uri);
        assert_null(path_of(log, "runs/0/results/0/locations/0/physicalLocation/region")); /* of a whole file */
        json_decref(log);
        fen_str_free(&out);
        fen_problems_free(problems);
    }
}

int main(void)
{
    n_rows = ref_read("sarif.csv", rows);
    if (n_rows < 0)
        return 1;
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_checker_agrees_with_the_schema_about_every_document),
        cmocka_unit_test(what_vet_writes_keeps_to_the_schema_and_says_what_was_found),
        cmocka_unit_test(a_place_and_what_should_stand_there_are_told),
        cmocka_unit_test(a_path_is_written_as_a_uri),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
