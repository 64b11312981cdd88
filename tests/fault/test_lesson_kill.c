/* test_lesson_kill.c -- a lesson is kept, or taken back, and the process is killed (SIGKILL) at
 * every point at which it touches a file: before and after each call, and after a quarter, a
 * half and three quarters of the bytes of each write.
 *
 * Whatever the point, the settled cases and the pack are each as they were or as they were to
 * become, both load, the rule is never there without its case, and the same command again
 * completes it. The linker puts the functions below in place of the system's
 * (--wrap); what a power cut does to what the disk was told is not tried here.
 */
#include <errno.h>
#include <fcntl.h>
#include <signal.h>
#include <stdarg.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include "casebook/store.h"
#include "cli/command.h"
#include "unit/unit.h"
#include "util/file.h"

#define NEVER (-1L)
static long points, kill_at = NEVER;
static bool counting;

static void point(void)
{
    if (counting && points++ == kill_at)
        (void)kill(getpid(), SIGKILL);
}

/* The system's calls, as the linker renames them. */
#define REAL(name) __real_##name
int REAL(open)(const char *path, int flags, ...);
int REAL(fcntl)(int fd, int command, ...);
ssize_t REAL(write)(int fd, const void *bytes, size_t len);
int REAL(fsync)(int fd);
int REAL(rename)(const char *from, const char *to);
int REAL(close)(int fd);
int REAL(unlink)(const char *path);
int REAL(mkdir)(const char *path, mode_t mode);
int REAL(fchmod)(int fd, mode_t mode);

int __wrap_open(const char *path, int flags, ...);
int __wrap_fcntl(int fd, int command, ...);
ssize_t __wrap_write(int fd, const void *bytes, size_t len);
int __wrap_fsync(int fd);
int __wrap_rename(const char *from, const char *to);
int __wrap_close(int fd);
int __wrap_unlink(const char *path);
int __wrap_mkdir(const char *path, mode_t mode);
int __wrap_fchmod(int fd, mode_t mode);

int __wrap_open(const char *path, int flags, ...)
{
    va_list args;
    mode_t mode = 0;
    if (flags & O_CREAT) {
        va_start(args, flags);
        mode = va_arg(args, mode_t);
        va_end(args);
    }
    if (!(flags & O_CREAT))
        return REAL(open)(path, flags, mode);
    point();
    const int fd = REAL(open)(path, flags, mode);
    point();
    return fd;
}

int __wrap_fcntl(int fd, int command, ...)
{
    va_list args;
    va_start(args, command);
    void *arg = va_arg(args, void *);
    va_end(args);
    point();
    const int got = REAL(fcntl)(fd, command, arg);
    point();
    return got;
}

ssize_t __wrap_write(int fd, const void *bytes, size_t len)
{
    enum { PARTS = 4 };
    const char *at = bytes;
    size_t done = 0;
    if (!counting)
        return REAL(write)(fd, bytes, len);
    for (int i = 1; i <= PARTS; i++) {
        point();
        const size_t until = len * (size_t)i / PARTS;
        const ssize_t put = until > done ? REAL(write)(fd, at + done, until - done) : 0;
        if (put < 0)
            return done ? (ssize_t)done : put;
        done += (size_t)put;
    }
    point();
    return (ssize_t)done;
}

#define BOTH(call)                                                                                  \
    point();                                                                                        \
    const int got = call;                                                                           \
    point();                                                                                        \
    return got

int __wrap_fsync(int fd) { BOTH(REAL(fsync)(fd)); }
int __wrap_rename(const char *from, const char *to) { BOTH(REAL(rename)(from, to)); }
int __wrap_close(int fd) { BOTH(REAL(close)(fd)); }
int __wrap_unlink(const char *path) { BOTH(REAL(unlink)(path)); }
int __wrap_mkdir(const char *path, mode_t mode) { BOTH(REAL(mkdir)(path, mode)); }
int __wrap_fchmod(int fd, mode_t mode) { BOTH(REAL(fchmod)(fd, mode)); }

/* ---- one run --------------------------------------------------------------------------------- */

static char folder[] = "/tmp/fenmend-kill-XXXXXX";
static char own_path[80], store_path[80], case_path[80], own_dir[80];
static char o_rules[256], o_own[112], o_store[112];

static const char *const keep_args[] = { "fenmend", "lesson", "--only-rules", o_rules, o_own, o_store, "--take=narrow", "--today=2026-07-12", "--author=A", case_path, NULL };
static const char *const undo_args[] = { "fenmend", "lesson", "--only-rules", o_rules, o_own, o_store, "--today=2026-07-12", "--undo", NULL };

/* Run a command in a process of its own, to be killed at point AT; *ret_points: how many
 * there were, if it lived. Returns its wait status. */
static int run(const char *const *args, long at, long *ret_points)
{
    int told[2], status;
    assert_int_equal(pipe(told), 0);
    const pid_t child = fork();
    assert_true(child >= 0);
    if (child == 0) {
        char *argv[16];
        int argc = 0;
        const int nothing = REAL(open)("/dev/null", O_RDWR);
        for (int fd = 0; fd < 3; fd++)
            (void)dup2(nothing, fd);
        for (; args[argc]; argc++)
            argv[argc] = fen_strndup(args[argc], strlen(args[argc]));
        argv[argc] = NULL;
        kill_at = at;
        counting = true;
        const int e = fen_command_main(argc, argv);
        counting = false;
        if (REAL(write)(told[1], &points, sizeof points) != sizeof points)
            _exit(99);
        _exit(e);
    }
    REAL(close)(told[1]);
    long n = 0;
    if (read(told[0], &n, sizeof n) == sizeof n && ret_points)
        *ret_points = n;
    REAL(close)(told[0]);
    assert_int_equal(waitpid(child, &status, 0), child);
    return status;
}

/* ---- what is in the files ------------------------------------------------------------------------ */

typedef struct files {
    char *own, *store; /* NULL: not there */
} files;

static char *read_or_null(const char *path)
{
    char *text = NULL;
    size_t len;
    return fen_file_read(path, 1 << 20, &text, &len) == FEN_OK ? text : NULL;
}

static files read_files(void)
{
    return (files){ read_or_null(own_path), read_or_null(store_path) };
}

static void free_files(files *f)
{
    fen_free(f->own);
    fen_free(f->store);
}

static bool same(const char *a, const char *b)
{
    return a && b ? strcmp(a, b) == 0 : a == b;
}

static void put_or_remove(const char *path, const char *text)
{
    if (text)
        assert_int_equal(fen_file_write(path, text, strlen(text), 0666), FEN_OK);
    else
        assert_int_equal(fen_file_remove(path), FEN_OK);
}

static void both_load(const char *what, long at)
{
    const char *paths[] = { FEN_TESTS_DIR "/lessons/pack.yaml", own_path };
    fen_problems *problems;
    fen_base *base = NULL;
    fen_store store = { 0 };
    assert_int_equal(fen_problems_new(&problems), FEN_OK);
    if (fen_base_load(paths, access(own_path, F_OK) == 0 ? 2 : 1, problems, &base) || fen_store_read(base, store_path, 20000, problems, &store))
        fail_msg("%s killed at %ld: what is left does not load", what, at);
    fen_store_close(&store);
    fen_base_free(base);
    fen_problems_free(problems);
}

/* ---- killing ---------------------------------------------------------------------------------------- */

/* From BEFORE, ARGS lead to AFTER; kill them everywhere. Returns how many kills. */
static long kill_everywhere(const char *what, const char *const *args, const files *before, const files *after, bool keeping)
{
    long n = 0, kills = 0;
    put_or_remove(own_path, before->own);
    put_or_remove(store_path, before->store);
    assert_int_equal(run(args, NEVER, &n), 0);
    assert_true(n > 20);
    for (long at = 0; at < n; at++) {
        put_or_remove(own_path, before->own);
        put_or_remove(store_path, before->store);
        const int status = run(args, at, NULL);
        if (!WIFSIGNALED(status) || WTERMSIG(status) != SIGKILL)
            fail_msg("%s was to be killed at %ld of %ld, but ended with %d", what, at, n, status);
        kills++;
        files now = read_files();
        const bool own_new = same(now.own, after->own), store_new = same(now.store, after->store);
        if ((!own_new && !same(now.own, before->own)) || (!store_new && !same(now.store, before->store)))
            fail_msg("%s killed at %ld: a file is neither as it was nor as it was to be:\n%s---\n%s", what, at, now.own ? now.own : "(none)\n",
                     now.store ? now.store : "(none)\n");
        if (own_new && !store_new)
            fail_msg("%s killed at %ld: the rule is %s its case", what, at, keeping ? "there without" : "gone before");
        free_files(&now);
        both_load(what, at);
        (void)run(args, NEVER, NULL); /* of one that was done already: nothing is left to do */
        now = read_files();
        if (!same(now.own, after->own) || !same(now.store, after->store))
            fail_msg("%s killed at %ld: the same again does not complete it:\n%s---\n%s", what, at, now.own ? now.own : "(none)\n",
                     now.store ? now.store : "(none)\n");
        free_files(&now);
    }
    return kills;
}

static const char *const owns[] = { NULL, "# mine\nrules:\n  mine:\n    when: smell is yes\n    then: fair for rot\n    why: w # so\n# the end\n" };

static void a_kill_at_any_point_loses_nothing_and_the_same_again_completes_it(void **state)
{
    (void)state;
    long kills = 0;
    char *settled = read_or_null(FEN_TESTS_DIR "/lessons/settled.yaml");
    assert_non_null(settled);
    for (size_t i = 0; i < COUNT(owns); i++) {
        for (int with_store = 0; with_store < 2; with_store++) {
            char own[256], store[4096];
            files before = { NULL, NULL };
            if (owns[i])
                before.own = strcpy(own, owns[i]);
            if (with_store)
                before.store = strcpy(store, settled);
            put_or_remove(own_path, before.own);
            put_or_remove(store_path, before.store);
            assert_int_equal(run(keep_args, NEVER, NULL), 0);
            files after = read_files();
            assert_non_null(after.own);
            assert_non_null(strstr(after.own, "lesson-porch:"));
            assert_non_null(strstr(after.store, "lesson: lesson-porch\n"));
            kills += kill_everywhere("keeping", keep_args, &before, &after, true);
            kills += kill_everywhere("taking back", undo_args, &after, &before, false);
            free_files(&after);
        }
    }
    print_message("%ld kills\n", kills);
    assert_true(kills >= 200);
    fen_free(settled);
}

static void a_killed_lesson_leaves_no_lock_that_holds(void **state)
{
    (void)state;
    long n = 0;
    put_or_remove(own_path, NULL);
    put_or_remove(store_path, NULL);
    assert_int_equal(run(keep_args, NEVER, &n), 0);
    put_or_remove(own_path, NULL);
    put_or_remove(store_path, NULL);
    assert_true(WIFSIGNALED(run(keep_args, n / 2, NULL)));
    assert_int_equal(run(keep_args, NEVER, NULL), 0);
}

static int make_folder(void **state)
{
    (void)state;
    char *porch;
    size_t len;
    if (!mkdtemp(folder))
        return -1;
    snprintf(own_dir, sizeof own_dir, "%s/rules", folder);
    snprintf(own_path, sizeof own_path, "%s/rules/own.yaml", folder);
    snprintf(store_path, sizeof store_path, "%s/settled.yaml", folder);
    snprintf(case_path, sizeof case_path, "%s/porch.yaml", folder);
    snprintf(o_rules, sizeof o_rules, "--rules=%s", FEN_TESTS_DIR "/lessons/pack.yaml");
    snprintf(o_own, sizeof o_own, "--into=%s", own_path);
    snprintf(o_store, sizeof o_store, "--kept-in=%s", store_path);
    if (REAL(mkdir)(own_dir, 0700) || fen_file_read(FEN_TESTS_DIR "/lessons/porch.yaml", 1 << 20, &porch, &len))
        return -1;
    const fen_status st = fen_file_write(case_path, porch, len, 0666);
    fen_free(porch);
    return st ? -1 : 0;
}

static int remove_folder(void **state)
{
    char command[128];
    (void)state;
    snprintf(command, sizeof command, "rm -rf %s", folder);
    return system(command);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_kill_at_any_point_loses_nothing_and_the_same_again_completes_it),
        cmocka_unit_test(a_killed_lesson_leaves_no_lock_that_holds),
    };
    return cmocka_run_group_tests(tests, make_folder, remove_folder);
}
