/* Every check of `vet` has two packs in tests/packs/vet that differ in little: CODE-bad.yaml
 * shows the fault and gives CODE-bad.expect, CODE-good.yaml gives nothing at all. Each is
 * loaded beside common.yaml. FEN_RENEW=1 in the environment writes the .expect files anew;
 * read them before you keep them.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

#include "fenmend/case.h"
#include "fenmend/vet.h"
#include "util/alloc.h"
#include "util/file.h"
#include "util/problem_text.h"
#include "util/str.h"
#include "util/vec.h"

#define FEWEST 30 /* twins without which the folder cannot be whole */
#define TODAY 20000

/* The checks that look at a base that loads; others have their packs in tests/packs/bad. */
static const fen_code deep[] = {
    FEN_CODE_NEVER_TRUE, FEN_CODE_ALWAYS_TRUE, FEN_CODE_NOT_ASKED,    FEN_CODE_COUNTED_TWICE, FEN_CODE_IMPLIED,
    FEN_CODE_CONTRADICTS, FEN_CODE_GAP,        FEN_CODE_OVERLAP,      FEN_CODE_CLASH,         FEN_CODE_NONE_AGAINST,
    FEN_CODE_NO_REMEDY,  FEN_CODE_NO_DECIDING, FEN_CODE_NO_SOURCE,    FEN_CODE_LONG_TEXT,     FEN_CODE_ODD_UNIT,
};

static fen_base *vet(const char *path, fen_problems **ret_problems)
{
    const char *paths[] = { "common.yaml", path };
    fen_base *base = NULL;
    assert_int_equal(fen_problems_new(ret_problems), FEN_OK);
    assert_int_equal(fen_vet(paths, 2, *ret_problems, &base), FEN_OK);
    return base;
}

static bool matches(const char *expect, const fen_str *said)
{
    char *text;
    size_t len;
    if (getenv("FEN_RENEW"))
        assert_int_equal(fen_file_write(expect, said->at, said->len, 0644), FEN_OK);
    if (fen_file_read(expect, 1 << 20, &text, &len)) {
        print_error("%s cannot be read\n", expect);
        return false;
    }
    const bool same = len == said->len && memcmp(text, said->at, len) == 0;
    if (!same)
        print_error("%s wants\n%sbut was said\n%s", expect, text, said->at);
    fen_free(text);
    return same;
}

/* All problems as text; true if each has a code that begins PATH. */
static bool write_all(const char *path, const fen_problems *problems, fen_str *said)
{
    bool own = true;
    for (size_t i = 0; i < fen_problems_count(problems); i++) {
        const fen_problem *p = fen_problems_at(problems, i);
        const char *code = fen_code_name(p->code);
        own &= strncmp(path, code, strlen(code)) == 0;
        fen_problem_write(said, problems, p);
    }
    return own;
}

static bool check(const char *path)
{
    char expect[256];
    fen_problems *problems;
    fen_str said;
    const char *end = strstr(path, "-bad.yaml");
    fen_base *base = vet(path, &problems);
    fen_str_init(&said, 1 << 20);
    bool ok = write_all(path, problems, &said);
    snprintf(expect, sizeof expect, "%.*s-bad.expect", end ? (int)(end - path) : 0, path);
    if (!ok)
        print_error("%s has another fault as well:\n%s", path, said.at);
    if (end)
        ok &= said.len > 0 && matches(expect, &said);
    else if (said.len) {
        print_error("%s should be fine, but:\n%s", path, said.at);
        ok = false;
    }
    fen_str_free(&said);
    fen_base_free(base);
    fen_problems_free(problems);
    return ok;
}

static void each_check_tells_the_bad_twin_from_the_good_one(void **state)
{
    (void)state;
    char **names;
    size_t n, wrong = 0;
    assert_int_equal(chdir(FEN_TESTS_DIR "/packs/vet"), 0);
    assert_int_equal(fen_file_list(".", ".yaml", &names, &n), FEN_OK);
    assert_true(n >= FEWEST);
    for (size_t i = 0; i < n; i++)
        if (strcmp(names[i], "./common.yaml") != 0)
            wrong += !check(names[i] + strlen("./"));
    fen_file_names_free(names, n);
    assert_int_equal(wrong, 0);
}

static void no_check_is_without_its_twins(void **state)
{
    (void)state;
    char path[256];
    assert_int_equal(chdir(FEN_TESTS_DIR "/packs/vet"), 0);
    for (size_t i = 0; i < FEN_COUNT(deep); i++)
        for (int good = 0; good < 2; good++) {
            snprintf(path, sizeof path, "%s-%s.yaml", fen_code_name(deep[i]), good ? "good" : "bad");
            if (access(path, R_OK))
                fail_msg("there is no %s", path);
        }
}

static void every_code_has_help_that_says_more_than_its_name(void **state)
{
    (void)state;
    for (fen_code c = 0; c < FEN_CODE_COUNT; c++)
        assert_true(strlen(fen_code_help(c)) > 20);
    for (size_t i = 0; i < FEN_COUNT(deep); i++) {
        assert_true(strlen(fen_code_help(deep[i])) > 80);
        assert_true(fen_code_severity(deep[i]) != FEN_ERROR); /* the base can be used */
    }
}

/* ---- clashes: the engine has the last word ---- */

/* "month: summer, warmth: 6 C", answered. */
static void answer_all(fen_session *s, char *text)
{
    char why[256];
    for (char *at = strtok(text, ","); at; at = strtok(NULL, ",")) {
        char *value = strstr(at, ": ");
        fen_answer a;
        assert_non_null(value);
        *value = '\0';
        value += 2;
        at += strspn(at, " ");
        const fen_id f = strcmp(at, "kind") == 0 ? FEN_KIND_FINDING : fen_base_find_finding(fen_session_base(s), at);
        assert_int_not_equal(f, FEN_NONE);
        if (fen_answer_read(fen_session_base(s), f, value, strlen(value), TODAY, &a, why))
            fail_msg("'%s' cannot be '%s': %s", at, value, why);
        assert_int_equal(fen_session_answer(s, f, a), FEN_OK);
    }
}

static void the_answers_told_with_a_clash_lead_to_it(void **state)
{
    (void)state;
    static const char *const packs[] = { "clash-bad.yaml", "clash-through-sums-bad.yaml" };
    static const char mark[] = "with these answers: ";
    assert_int_equal(chdir(FEN_TESTS_DIR "/packs/vet"), 0);
    for (size_t i = 0; i < FEN_COUNT(packs); i++) {
        fen_problems *problems;
        fen_session *s;
        fen_base *base = vet(packs[i], &problems);
        assert_int_equal(fen_problems_count(problems), 1);
        const char *at = strstr(fen_problems_at(problems, 0)->text, mark);
        assert_non_null(at);
        char *answers = fen_strndup(at + strlen(mark), strlen(at + strlen(mark)));
        assert_int_equal(fen_session_new(base, TODAY, &s), FEN_OK);
        answer_all(s, answers);
        assert_int_equal(fen_session_verdict(s)->clashes.count, 1);
        fen_free(answers);
        fen_session_free(s);
        fen_base_free(base);
        fen_problems_free(problems);
    }
}

/* ---- the shipped rules ---- */

static void the_shipped_rules_give_nothing_to_complain_of(void **state)
{
    (void)state;
    const char *path = FEN_RULES_DIR;
    fen_problems *problems;
    fen_base *base = NULL;
    size_t wrong = 0;
    assert_int_equal(fen_problems_new(&problems), FEN_OK);
    assert_int_equal(fen_vet(&path, 1, problems, &base), FEN_OK);
    for (size_t i = 0; i < fen_problems_count(problems); i++) {
        const fen_problem *p = fen_problems_at(problems, i);
        print_error("%s:%u: %s [%s]\n", fen_problems_path(problems, p->place.file), (unsigned)p->place.line, p->text, fen_code_name(p->code));
        wrong++;
    }
    fen_base_free(base);
    fen_problems_free(problems);
    assert_int_equal(wrong, 0);
}

/* ---- mending ---- */

static void copy(const char *from, const char *to)
{
    char *text;
    size_t len;
    assert_int_equal(fen_file_read(from, 1 << 20, &text, &len), FEN_OK);
    assert_int_equal(fen_file_write(to, text, len, 0644), FEN_OK);
    fen_free(text);
}

static size_t mend_once(const char *path)
{
    const char *paths[] = { FEN_TESTS_DIR "/packs/vet/common.yaml", path };
    fen_problems *problems;
    fen_base *base = NULL;
    size_t n;
    assert_int_equal(fen_problems_new(&problems), FEN_OK);
    (void)!fen_vet(paths, 2, problems, &base);
    assert_int_equal(fen_vet_mend(problems, path, &n), FEN_OK);
    fen_base_free(base);
    fen_problems_free(problems);
    return n;
}

static void mending_changes_the_slips_and_not_a_byte_besides(void **state)
{
    (void)state;
    static const char *const twins[][2] = { { "mend/before.yaml", "mend/after.yaml" }, { "vet/odd-unit-bad.yaml", "vet/odd-unit-good.yaml" } };
    char folder[] = "/tmp/fenmend-mend-XXXXXX", path[128], from[512], *is, *should;
    size_t n, m;
    assert_non_null(mkdtemp(folder));
    snprintf(path, sizeof path, "%s/pack.yaml", folder);
    for (size_t i = 0; i < FEN_COUNT(twins); i++) {
        snprintf(from, sizeof from, FEN_TESTS_DIR "/packs/%s", twins[i][0]);
        copy(from, path);
        for (int rounds = 0; mend_once(path); rounds++)
            assert_true(rounds < 8);
        snprintf(from, sizeof from, FEN_TESTS_DIR "/packs/%s", twins[i][1]);
        assert_int_equal(fen_file_read(path, 1 << 20, &is, &n), FEN_OK);
        assert_int_equal(fen_file_read(from, 1 << 20, &should, &m), FEN_OK);
        assert_string_equal(is, should);
        fen_free(is);
        fen_free(should);
    }
    assert_int_equal(unlink(path), 0);
    assert_int_equal(rmdir(folder), 0);
}

/* A name that might be one of two is left to its author. */
static void what_might_be_one_of_two_is_not_mended(void **state)
{
    (void)state;
    static const char text[] = "findings:\n"
                               "  hears: {name: a, ask: A?, effort: glance, yes-no: {}}\n"
                               "rules:\n"
                               "  r: {when: hearx is yes, then: slight for old-age, why: x, source: x}\n";
    char path[] = "/tmp/fenmend-two-XXXXXX";
    const int fd = mkstemp(path);
    assert_true(fd >= 0);
    close(fd);
    assert_int_equal(fen_file_write(path, text, strlen(text), 0644), FEN_OK);
    assert_int_equal(mend_once(path), 0); /* 'heart' or 'hears' */
    assert_int_equal(unlink(path), 0);
}

/* ---- the machine ---- */

static void vetting_survives_every_failed_allocation(void **state)
{
    (void)state;
    const char *paths[] = { "common.yaml", "clash-bad.yaml" };
    assert_int_equal(chdir(FEN_TESTS_DIR "/packs/vet"), 0);
    for (size_t nth = 0;; nth++) {
        const size_t before = fen_alloc_live();
        fen_problems *problems;
        fen_base *base = NULL;
        assert_int_equal(fen_problems_new(&problems), FEN_OK);
        fen_alloc_fail_at(nth);
        const fen_status st = fen_vet(paths, 2, problems, &base);
        fen_alloc_fail_at(FEN_ALLOC_NEVER_FAIL);
        assert_true((st == FEN_OK) == (base != NULL));
        fen_base_free(base);
        fen_problems_free(problems);
        assert_int_equal(fen_alloc_live(), before);
        if (st == FEN_OK)
            return;
        assert_int_equal(st, FEN_ENOMEM);
    }
}

/* How many rules there are with TEXT put for the file PATH; 0: it does not load. */
static uint32_t rules_with(const char *path, const char *text)
{
    const char *paths[] = { FEN_TESTS_DIR "/packs/small.yaml" };
    const fen_pack_text edited = { path, text, strlen(text) };
    fen_problems *problems;
    fen_base *base = NULL;
    assert_int_equal(fen_problems_new(&problems), FEN_OK);
    const fen_status st = fen_vet_edited(paths, 1, &edited, problems, &base);
    assert_true((st == FEN_OK) == (base != NULL));
    if (st)
        assert_string_equal(fen_problems_path(problems, fen_problems_at(problems, 0)->place.file), path);
    const uint32_t n = base ? fen_base_rules(base) : 0;
    fen_base_free(base);
    fen_problems_free(problems);
    return n;
}

static void a_text_is_judged_in_place_of_its_file_or_beside_the_others(void **state)
{
    (void)state;
    const char *paths[] = { FEN_TESTS_DIR "/packs/small.yaml" };
    fen_problems *problems;
    fen_base *base;
    assert_int_equal(fen_problems_new(&problems), FEN_OK);
    assert_int_equal(fen_base_load(paths, 1, problems, &base), FEN_OK);
    const uint32_t all = fen_base_rules(base);
    fen_base_free(base);
    fen_problems_free(problems);
    const char more[] = "rules: {wet-heart: {when: heart is soft, then: slight for thirst, over: [soft-heart], why: w}}";
    assert_int_equal(rules_with("not-there.yaml", more), all + 1);
    assert_int_equal(rules_with("not-there.yaml", ""), all);
    /* In its place, under any name of the file. */
    const char one[] = "findings: {f: {name: f, ask: f, effort: glance, yes-no: {usual: 5 %}}}\n"
                       "causes: {a: {name: a, about: b, usual: 1 %, urgency: none, harmless: no}}\n"
                       "rules: {r: {when: f is yes, then: slight for a, why: w}}\n";
    assert_int_equal(rules_with(FEN_TESTS_DIR "/packs/../packs/small.yaml", one), 1);
    assert_int_equal(rules_with("not-there.yaml", "rules: ["), 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(each_check_tells_the_bad_twin_from_the_good_one),
        cmocka_unit_test(no_check_is_without_its_twins),
        cmocka_unit_test(every_code_has_help_that_says_more_than_its_name),
        cmocka_unit_test(the_answers_told_with_a_clash_lead_to_it),
        cmocka_unit_test(the_shipped_rules_give_nothing_to_complain_of),
        cmocka_unit_test(mending_changes_the_slips_and_not_a_byte_besides),
        cmocka_unit_test(what_might_be_one_of_two_is_not_mended),
        cmocka_unit_test(a_text_is_judged_in_place_of_its_file_or_beside_the_others),
        cmocka_unit_test(vetting_survives_every_failed_allocation),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
