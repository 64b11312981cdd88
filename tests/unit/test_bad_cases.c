/* Every file of tests/cases/bad against its .expect: each message in full, with
 * place, line and caret. Files named ...-is-a-warning are read all the same.
 *
 * FEN_RENEW=1 writes the .expect files anew; they are read before they are kept.
 */
#include <unistd.h>

#include "util/file.h"
#include "views.h"

static fen_base *base;

/* The messages of one file, as the program prints them on a wide terminal. */
static fen_status messages_of(const char *path, fen_page *page, size_t *ret_errors)
{
    fen_problems *problems;
    fen_case *c = NULL;
    assert_int_equal(fen_problems_new(&problems), FEN_OK);
    const fen_status st = fen_case_load(base, path, TODAY, problems, &c);
    assert_true((c != NULL) == (st == FEN_OK));
    *ret_errors = fen_problems_errors(problems);
    fen_show_problems(page, problems);
    assert_int_equal(fen_page_status(page), FEN_OK);
    fen_case_free(c);
    fen_problems_free(problems);
    return st;
}

static char *expected(const char *yaml, char *path, size_t size)
{
    char *text;
    size_t len;
    snprintf(path, size, "%.*s.expect", (int)(strlen(yaml) - strlen(".yaml")), yaml);
    if (fen_file_read(path, 1 << 20, &text, &len))
        return NULL;
    return text;
}

static bool check(const char *yaml, bool renew)
{
    char path[256];
    fen_page *page;
    size_t errors;
    assert_int_equal(fen_page_new((fen_look){ .width = 80 }, &page), FEN_OK);
    const bool warning = strstr(yaml, "-is-a-warning") != NULL;
    const fen_status st = messages_of(yaml, page, &errors);
    size_t len;
    const char *got = fen_page_text(page, &len);
    bool good = st == (warning ? FEN_OK : FEN_EINPUT) && (errors > 0) == !warning && len > 0;
    if (!good)
        print_error("%s: read with status %d and %lu errors\n", yaml, (int)st, (unsigned long)errors);
    char *want = expected(yaml, path, sizeof path);
    if (renew) {
        assert_int_equal(fen_file_write(path, got, len, 0644), FEN_OK);
    } else if (!want || strcmp(want, got) != 0) {
        print_error("%s says:\n%s--- but is expected to say:\n%s", yaml, got, want ? want : "(no .expect)\n");
        good = false;
    }
    fen_free(want);
    fen_page_free(page);
    return good;
}

static void every_bad_case_is_refused_with_its_message(void **state)
{
    (void)state;
    char **names;
    size_t n, bad = 0;
    assert_int_equal(chdir(FEN_TESTS_DIR "/cases/bad"), 0);
    assert_int_equal(fen_file_list(".", ".yaml", &names, &n), FEN_OK);
    assert_true(n >= 25);
    for (size_t i = 0; i < n; i++) {
        const char *name = strncmp(names[i], "./", 2) == 0 ? names[i] + 2 : names[i];
        bad += !check(name, getenv("FEN_RENEW") != NULL);
    }
    fen_file_names_free(names, n);
    assert_int_equal(bad, 0);
}

static void a_file_that_is_not_there_is_one_problem(void **state)
{
    (void)state;
    fen_page *page;
    size_t errors;
    assert_int_equal(fen_page_new((fen_look){ .width = 80 }, &page), FEN_OK);
    assert_int_equal(messages_of("no-such-file.yaml", page, &errors), FEN_EINPUT);
    assert_int_equal(errors, 1);
    assert_non_null(strstr(fen_page_text(page, NULL), "no-such-file.yaml"));
    fen_page_free(page);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_bad_case_is_refused_with_its_message),
        cmocka_unit_test(a_file_that_is_not_there_is_one_problem),
    };
    base = views_base();
    const int failed = cmocka_run_group_tests(tests, NULL, NULL);
    fen_base_free(base);
    return failed;
}
