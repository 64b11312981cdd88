/* test_settled.c -- the file of settled cases: what joins it, what it is held to, and what a
 * second writer or a broken file does to it.
 */
#include <errno.h>
#include <fcntl.h>
#include <sys/wait.h>
#include <unistd.h>

#include "casebook/store.h"
#include "fenmend/batch.h"
#include "support/holder.h"
#include "support/said.h"
#include "util/file.h"
#include "views.h"

static fen_base *base;
static char folder[] = "/tmp/fenmend-settled-XXXXXX";
static char path[64];
static char said[4096]; /* what was wrong, last */

static int open_all(void **state)
{
    (void)state;
    base = views_base();
    if (!mkdtemp(folder))
        return -1;
    snprintf(path, sizeof path, "%s/settled.yaml", folder);
    return 0;
}

static int close_all(void **state)
{
    (void)state;
    fen_base_free(base);
    return rmdir(folder); /* nothing was left beside the file */
}

static int no_file(void **state)
{
    (void)state;
    return unlink(path) == 0 || errno == ENOENT ? 0 : -1;
}

static fen_case *read_case(const char *text)
{
    char name[80];
    fen_problems *problems;
    fen_case *c = NULL;
    snprintf(name, sizeof name, "%s/given.yaml", folder);
    assert_int_equal(fen_file_write(name, text, strlen(text), 0666), FEN_OK);
    assert_int_equal(fen_problems_new(&problems), FEN_OK);
    assert_int_equal(fen_case_load(base, name, TODAY, problems, &c), FEN_OK);
    fen_problems_free(problems);
    assert_int_equal(unlink(name), 0);
    return c;
}

static void tell(const fen_problems *problems)
{
    say_problems(problems, said, sizeof said);
}

static fen_status keep(const char *text, bool replace, fen_settled_put *ret_put)
{
    fen_problems *problems;
    fen_case *c = read_case(text);
    assert_int_equal(fen_problems_new(&problems), FEN_OK);
    const fen_status st = fen_settled_keep(base, path, c, replace, TODAY, problems, ret_put);
    tell(problems);
    fen_problems_free(problems);
    fen_case_free(c);
    return st;
}

static void put_file(const char *text)
{
    assert_int_equal(fen_file_write(path, text, strlen(text), 0666), FEN_OK);
}

static void file_is(const char *want)
{
    char *got;
    size_t len;
    assert_int_equal(fen_file_read(path, 1 << 20, &got, &len), FEN_OK);
    assert_string_equal(got, want);
    fen_free(got);
}

#define A "case: a\nkind: snap-trap\ndate: 2026-07-01\nfindings: {crown: soft}\nsettled: crown-rot\n"
#define A_KEPT "---\ncase: a\nformat: 1\nkind: snap-trap\ndate: 2026-07-01\nfindings:\n  crown: soft\nsettled: [crown-rot]\n"
#define B "case: b\ndate: 2026-07-02\nfindings: {crown: firm, tray: unsure}\nsettled: something-else\n"
#define B_KEPT "---\ncase: b\nformat: 1\ndate: 2026-07-02\nfindings:\n  crown: firm\n  tray: unsure\nsettled: [something-else]\n"

static void cases_join_one_after_the_other(void **state)
{
    (void)state;
    fen_settled_put put;
    assert_int_equal(keep(A, false, &put), FEN_OK);
    assert_int_equal(put, FEN_SETTLED_ADDED);
    file_is(FEN_STORE_HEAD A_KEPT);
    assert_int_equal(keep(B, false, &put), FEN_OK);
    assert_int_equal(put, FEN_SETTLED_ADDED);
    file_is(FEN_STORE_HEAD A_KEPT B_KEPT);
    assert_int_equal(keep(A, false, &put), FEN_OK);
    assert_int_equal(put, FEN_SETTLED_SAME);
    file_is(FEN_STORE_HEAD A_KEPT B_KEPT);
}

static const struct {
    const char *before, *now;
    bool says_all;
} pairs[] = {
    { A, "case: a\nkind: snap-trap\ndate: 2026-07-01\nfindings: {tray: unsure, crown: soft}\nsettled: crown-rot\n", true }, /* more found */
    { A, "case: a\nkind: snap-trap\nwhere: {tray: b4}\nvisits: [{date: 2026-07-01, findings: {crown: soft}, settled: crown-rot}, "
         "{date: 2026-07-20, findings: {crown: firm}, settled: something-else}]\n", true },                                 /* a later visit */
    { A, "case: a\nkind: snap-trap\ndate: 2026-07-01\nfindings: {crown: firm}\nsettled: crown-rot\n", false },              /* found otherwise */
    { A, "case: a\nkind: snap-trap\ndate: 2026-07-01\nsettled: crown-rot\n", false },                                       /* not found any more */
    { A, "case: a\nkind: snap-trap\ndate: 2026-07-02\nfindings: {crown: soft}\nsettled: crown-rot\n", false },              /* another day */
    { A, "case: a\nkind: snap-trap\ndate: 2026-07-01\nfindings: {crown: soft}\nsettled: something-else\n", false },         /* settled otherwise */
    { A, "case: a\ndate: 2026-07-01\nfindings: {crown: soft}\nsettled: crown-rot\n", false },                               /* of no kind */
    { "case: a\ndate: 2026-07-01\nnote: by the door\nsettled: crown-rot\n", "case: a\ndate: 2026-07-01\nsettled: crown-rot\n", false },
    { "case: a\nwhere: {bench: 4}\ndate: 2026-07-01\nsettled: crown-rot\n", "case: a\nwhere: {bench: 5}\ndate: 2026-07-01\nsettled: crown-rot\n", false },
    { "case: a\ndate: 2026-07-01\nfindings: {water: 180 ppm}\n", "case: a\ndate: 2026-07-01\nfindings: {water: 360 uS/cm}\nsettled: crown-rot\n", true },
};

static void a_case_that_would_be_lost_is_replaced_only_when_told(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(pairs); i++) {
        fen_settled_put put;
        char file[1024];
        snprintf(file, sizeof file, "# mine\n%s", pairs[i].before);
        put_file(file);
        assert_int_equal(keep(pairs[i].now, false, &put), FEN_OK);
        if (put != (pairs[i].says_all ? FEN_SETTLED_GREW : FEN_SETTLED_OTHER))
            fail_msg("pair %zu: put is %d", i, (int)put);
        if (pairs[i].says_all)
            continue;
        file_is(file);
        assert_int_equal(keep(pairs[i].now, true, &put), FEN_OK);
        assert_int_equal(put, FEN_SETTLED_REPLACED);
        assert_int_equal(keep(pairs[i].now, true, &put), FEN_OK);
        assert_int_equal(put, FEN_SETTLED_SAME);
    }
}

#define A_LATER "case: a\nkind: snap-trap\ndate: 2026-07-05\nsettled: crown-rot\n"
#define L_KEPT "---\ncase: a\nformat: 1\nkind: snap-trap\ndate: 2026-07-05\nfindings: {}\nsettled: [crown-rot]\n"
/* Each with the case `a` once, in one of the ways in which people write files. */
static const struct { const char *file, *then; } layouts[] = {
    { "# mine\n" A "\n# the next\n---\n" B, "# mine\n" L_KEPT "\n# the next\n---\n" B },
    { "# mine\n---\n" A, "# mine\n" L_KEPT },
    { B "---\n# of the porch\n" A "---\ncase: c\n", B L_KEPT "---\ncase: c\n" },
    { B "---\n" A "...\n---\ncase: c\n", B L_KEPT "---\ncase: c\n" },
    { "# mine\n- case: b\n- case: a\n  date: 2026-07-01\n- case: c\n", "# mine\n- case: b\n- case: c\n" L_KEPT },
    { "# mine\n- case: a\n  date: 2026-07-01\n- case: c\n", "# mine\n- case: c\n" L_KEPT },
    { "---\n- case: a\n  date: 2026-07-01\n- case: c", "---\n- case: c\n" L_KEPT },
    { B "---\n- case: a\n- case: c\n", B "---\n- case: c\n" L_KEPT },
    { B "...\n", B "...\n" L_KEPT },
    { "", FEN_STORE_HEAD L_KEPT },
    { "# nothing yet", "# nothing yet\n" L_KEPT },
};

static void what_else_stands_in_the_file_stays(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(layouts); i++) {
        fen_settled_put put;
        put_file(layouts[i].file);
        if (!layouts[i].file[0])
            assert_int_equal(unlink(path), 0);
        assert_int_equal(keep(A_LATER, true, &put), FEN_OK);
        file_is(layouts[i].then);
    }
}

static const struct { const char *file, *says; } refused[] = {
    { A "---\ncase: b\nformat: 2\nfuture: yes\n", "/settled.yaml:8:9: error: the case has the format 2, and" },
    { A "---\ncase: [\n", "/settled.yaml:8:1: error: " },
    { A "---\ncase: b\nfindings: {crown: sot}\n", "/settled.yaml:8:19: error: " },
    { "case: a\n---\ncase: a\n", "/settled.yaml: error: there are two cases called 'a'; give one of them another name [duplicate]\n" },
    { "[{case: a}, {case: b}]\n", "/settled.yaml: error: the case 'a' stands in brackets with others; " },
    { "case,date\na,2026-07-01\n", "/settled.yaml: error: settled cases are kept as YAML, and this is not; " },
    { "{\"case\": \"a\"}\n", "/settled.yaml: error: settled cases are kept as YAML, and this is not; " },
    { B "---\n" A "...\ncase: c\n", "/settled.yaml: error: the case cannot be changed without touching what stands beside it; " },
    { "case: \xff\n", "/settled.yaml:1:7: error: " },
};

static void a_file_that_cannot_be_read_is_not_written_over(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(refused); i++) {
        fen_settled_put put;
        put_file(refused[i].file);
        if (keep("case: a\ndate: 2026-07-03\nsettled: crown-rot\n", true, &put) != FEN_EINPUT)
            fail_msg("file %zu was not refused", i);
        const size_t at = strlen(folder);
        if (strncmp(said, folder, at) != 0 || strncmp(said + at, refused[i].says, strlen(refused[i].says)) != 0)
            fail_msg("file %zu: %s", i, said);
        file_is(refused[i].file);
    }
}

static void a_second_writer_is_told_that_there_is_a_first(void **state)
{
    (void)state;
    int release, status;
    fen_settled_put put;
    put_file(B);
    const pid_t child = hold_elsewhere(path, &release);
    assert_int_equal(keep(A, false, &put), FEN_EINPUT);
    assert_non_null(strstr(said, "/settled.yaml: error: another program is writing this file; say the same again when it is done [busy]\n"));
    file_is(B);
    close(release);
    assert_int_equal(waitpid(child, &status, 0), child);
    assert_int_equal(status, 0);
    assert_int_equal(keep(A, false, &put), FEN_OK);
}

static void two_processes_that_keep_at_once_lose_nothing(void **state)
{
    (void)state;
    enum { EACH = 20 };
    pid_t child[2];
    for (int who = 0; who < 2; who++) {
        child[who] = fork();
        if (child[who])
            continue;
        fen_problems *problems = NULL;
        fen_settled_put put;
        char text[160];
        if (fen_problems_new(&problems))
            _exit(1);
        for (int i = 0; i < EACH; i++) {
            char name[80];
            fen_case *c = NULL;
            snprintf(name, sizeof name, "%s/given-%d.yaml", folder, who);
            snprintf(text, sizeof text, "case: plant-%d-%d\ndate: 2026-07-01\nsettled: crown-rot\n", who, i);
            if (fen_file_write(name, text, strlen(text), 0666) || fen_case_load(base, name, TODAY, problems, &c) ||
                fen_settled_keep(base, path, c, false, TODAY, problems, &put) || put != FEN_SETTLED_ADDED || unlink(name))
                _exit(1);
            fen_case_free(c);
        }
        _exit(0);
    }
    for (int who = 0; who < 2; who++) {
        int status;
        assert_int_equal(waitpid(child[who], &status, 0), child[who]);
        assert_int_equal(status, 0);
    }
    fen_store s = { 0 };
    fen_problems *problems;
    assert_int_equal(fen_problems_new(&problems), FEN_OK);
    assert_int_equal(fen_store_read(base, path, TODAY, problems, &s), FEN_OK);
    assert_int_equal(s.cases.count, 2 * EACH);
    fen_store_close(&s);
    fen_problems_free(problems);
}

static bool count(void *ctx, const fen_part *part)
{
    size_t *n = ctx;
    for (size_t i = 0; i < part->n_marks; i++)
        n[part->marks[i].broken]++;
    return true;
}

static void a_batch_reads_it_as_it_is(void **state)
{
    (void)state;
    fen_settled_put put;
    size_t n[2] = { 0 };
    assert_int_equal(keep(A, false, &put), FEN_OK);
    assert_int_equal(keep(B, false, &put), FEN_OK);
    const char *paths[] = { path };
    const fen_batch batch = { .base = base, .today = TODAY, .jobs = 1, .ctx = n, .deliver = count };
    assert_int_equal(fen_batch_run(&batch, paths, 1), FEN_OK);
    assert_int_equal(n[0], 2);
    assert_int_equal(n[1], 0);
}

static void a_full_disk_or_a_missing_folder_is_told(void **state)
{
    (void)state;
    fen_problems *problems;
    fen_settled_put put;
    char missing[96];
    fen_case *c = read_case(A);
    snprintf(missing, sizeof missing, "%s/none/settled.yaml", folder);
    assert_int_equal(fen_problems_new(&problems), FEN_OK);
    assert_int_equal(fen_settled_keep(base, missing, c, false, TODAY, problems, &put), FEN_EIO);
    assert_int_equal(errno, ENOENT);
    fen_problems_free(problems);
    fen_case_free(c);
}

static fen_status keep_both(void *arg)
{
    fen_problems *problems = NULL;
    fen_settled_put put;
    fen_status st = fen_problems_new(&problems);
    if (!st)
        st = fen_settled_keep(base, path, arg, true, TODAY, problems, &put);
    fen_problems_free(problems);
    return st;
}

static void keeping_survives_every_failed_allocation(void **state)
{
    (void)state;
    fen_case *c = read_case("case: a\ndate: 2026-07-03\nsettled: crown-rot\n");
    put_file("# mine\n" A "---\n" B);
    unit_refuse_each(keep_both, c);
    file_is("# mine\n---\ncase: a\nformat: 1\ndate: 2026-07-03\nfindings: {}\nsettled: [crown-rot]\n---\n" B);
    fen_case_free(c);
}

#define TEST(f) cmocka_unit_test_setup_teardown(f, no_file, no_file)

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(cases_join_one_after_the_other),
        TEST(a_case_that_would_be_lost_is_replaced_only_when_told),
        TEST(what_else_stands_in_the_file_stays),
        TEST(a_file_that_cannot_be_read_is_not_written_over),
        TEST(a_second_writer_is_told_that_there_is_a_first),
        TEST(two_processes_that_keep_at_once_lose_nothing),
        TEST(a_batch_reads_it_as_it_is),
        TEST(a_full_disk_or_a_missing_folder_is_told),
        TEST(keeping_survives_every_failed_allocation),
    };
    return cmocka_run_group_tests(tests, open_all, close_all);
}
