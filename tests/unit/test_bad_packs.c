/* Every refusal has a pack in tests/packs/bad and its exact words beside it.
 *
 * NAME.yaml, or a folder NAME of several packs, against NAME.expect: all problems
 * as a terminal would show them. FEN_RENEW=1 in the environment writes the
 * .expect files anew; read them before you keep them.
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

#include "fenmend/base.h"
#include "util/alloc.h"
#include "util/file.h"
#include "util/problem_text.h"
#include "util/vec.h"

#define FEWEST 70 /* packs without which the folder cannot be whole */

/* Load PATH; what was said goes to SAID. True if that fits the status. */
static bool load(const char *path, fen_str *said)
{
    fen_problems *problems;
    fen_base *base = NULL;
    assert_int_equal(fen_problems_new(&problems), FEN_OK);
    const fen_status st = fen_base_load(&path, 1, problems, &base);
    for (size_t i = 0; i < fen_problems_count(problems); i++)
        fen_problem_write(said, problems, fen_problems_at(problems, i));
    const bool fits = fen_problems_count(problems) > 0 && (fen_problems_errors(problems) > 0) == (st == FEN_EINPUT) &&
                      (st == FEN_OK) == (base != NULL);
    fen_base_free(base);
    fen_problems_free(problems);
    return fits;
}

static bool matches(const char *expect, const fen_str *said)
{
    char *text;
    size_t len;
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

/* One pack, or folder of packs. */
static bool check(const char *path, const char *expect)
{
    fen_str said;
    fen_str_init(&said, 1 << 20);
    bool ok = load(path, &said);
    if (!ok)
        print_error("%s: the status does not fit\n%s", path, said.at);
    if (getenv("FEN_RENEW"))
        assert_int_equal(fen_file_write(expect, said.at, said.len, 0644), FEN_OK);
    else
        ok &= matches(expect, &said);
    fen_str_free(&said);
    return ok;
}

static void every_bad_pack_is_told_what_is_wrong_and_what_would_be_right(void **state)
{
    (void)state;
    char **names;
    char expect[512];
    size_t n, wrong = 0;
    assert_int_equal(chdir(FEN_TESTS_DIR "/packs/bad"), 0);
    assert_int_equal(fen_file_list(".", ".yaml", &names, &n), FEN_OK);
    assert_true(n >= FEWEST);
    for (size_t i = 0; i < n; i++) {
        const char *path = names[i] + strlen("./");
        snprintf(expect, sizeof expect, "%.*s.expect", (int)(strlen(path) - strlen(".yaml")), path);
        wrong += !check(path, expect);
    }
    fen_file_names_free(names, n);
    assert_int_equal(wrong, 0);
}

static void problems_name_the_pack_of_several_that_they_are_in(void **state)
{
    (void)state;
    static const char *const folders[] = { "name-twice", "name-rule-for-nothing" };
    char expect[512];
    size_t wrong = 0;
    assert_int_equal(chdir(FEN_TESTS_DIR "/packs/bad"), 0);
    for (size_t i = 0; i < FEN_COUNT(folders); i++) {
        snprintf(expect, sizeof expect, "%s.expect", folders[i]);
        wrong += !check(folders[i], expect);
    }
    assert_int_equal(wrong, 0);
}

/* No expectation lies about without its pack: it would be checked by nobody. */
static void no_expectation_is_left_without_a_pack(void **state)
{
    (void)state;
    char **names;
    char pack[512];
    size_t n;
    assert_int_equal(chdir(FEN_TESTS_DIR "/packs/bad"), 0);
    assert_int_equal(fen_file_list(".", ".expect", &names, &n), FEN_OK);
    for (size_t i = 0; i < n; i++) {
        const int stem = (int)(strlen(names[i]) - strlen(".expect"));
        snprintf(pack, sizeof pack, "%.*s.yaml", stem, names[i]);
        if (access(pack, R_OK) == 0)
            continue;
        pack[stem] = '\0';
        if (!fen_file_is_folder(pack))
            fail_msg("%s has no pack", names[i]);
    }
    fen_file_names_free(names, n);
}

/* A refusal needs memory too; without it, it is the machine that has failed. Packs
 * larger than a few screens only repeat what smaller ones do. */
static void sweep(const char *path)
{
    for (size_t nth = 0;; nth++) {
        const size_t before = fen_alloc_live();
        fen_problems *problems;
        fen_base *base = NULL;
        assert_int_equal(fen_problems_new(&problems), FEN_OK);
        fen_alloc_fail_at(nth);
        const fen_status st = fen_base_load(&path, 1, problems, &base);
        fen_alloc_fail_at(FEN_ALLOC_NEVER_FAIL);
        const bool idle = st == FEN_OK && base != NULL;
        fen_base_free(base);
        fen_problems_free(problems);
        assert_int_equal(fen_alloc_live(), before);
        if (st != FEN_ENOMEM) {
            assert_true(idle || st == FEN_EINPUT);
            return; /* this load makes no nth allocation */
        }
    }
}

static void a_refusal_survives_every_failed_allocation(void **state)
{
    (void)state;
    char **names, *text;
    size_t n, len;
    assert_int_equal(chdir(FEN_TESTS_DIR "/packs/bad"), 0);
    assert_int_equal(fen_file_list(".", ".yaml", &names, &n), FEN_OK);
    for (size_t i = 0; i < n; i++) {
        assert_int_equal(fen_file_read(names[i], 1 << 20, &text, &len), FEN_OK);
        fen_free(text);
        if (len < 4096)
            sweep(names[i]);
    }
    fen_file_names_free(names, n);
    sweep("name-twice");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_bad_pack_is_told_what_is_wrong_and_what_would_be_right),
        cmocka_unit_test(problems_name_the_pack_of_several_that_they_are_in),
        cmocka_unit_test(no_expectation_is_left_without_a_pack),
        cmocka_unit_test(a_refusal_survives_every_failed_allocation),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
