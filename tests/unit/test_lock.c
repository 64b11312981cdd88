/* test_lock.c -- two processes that want the same file.
 *
 * The rules of record locks are those of POSIX.1-2017, fcntl(): they belong to the process, and end
 * with it.
 */
#include "util/lock.h"

#include <errno.h>
#include <signal.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

#include "support/holder.h"
#include "unit.h"

static char folder[] = "/tmp/fenmend-lock-XXXXXX";
static char path[64], lock_file[64];

static void a_second_process_is_refused_after_its_wait(void **state)
{
    (void)state;
    int release, status;
    fen_lock lock = FEN_LOCK_NONE;
    const pid_t child = hold_elsewhere(path, &release);
    errno = 0;
    assert_int_equal(fen_lock_take(path, 60, &lock), FEN_EIO);
    assert_int_equal(errno, EWOULDBLOCK);
    assert_int_equal(lock.fd, -1);
    close(release);
    assert_int_equal(waitpid(child, &status, 0), child);
    assert_int_equal(status, 0);
    assert_int_equal(fen_lock_take(path, 0, &lock), FEN_OK);
    fen_lock_give(&lock);
}

static void a_second_process_gets_it_when_the_first_gives_it_back(void **state)
{
    (void)state;
    int release, status;
    fen_lock lock = FEN_LOCK_NONE;
    const pid_t child = hold_elsewhere(path, &release);
    const pid_t later = fork();
    if (later == 0) {
        const struct timespec tenth = { 0, 100000000L };
        nanosleep(&tenth, NULL);
        _exit(close(release) != 0);
    }
    close(release);
    assert_int_equal(fen_lock_take(path, 20000, &lock), FEN_OK);
    assert_int_equal(access(lock_file, F_OK), 0);
    fen_lock_give(&lock);
    assert_int_equal(waitpid(child, &status, 0), child);
    assert_int_equal(waitpid(later, &status, 0), later);
}

static void a_killed_holder_holds_nobody_up(void **state)
{
    (void)state;
    int release, status;
    fen_lock lock = FEN_LOCK_NONE;
    const pid_t child = hold_elsewhere(path, &release);
    assert_int_equal(kill(child, SIGKILL), 0);
    assert_int_equal(waitpid(child, &status, 0), child);
    close(release);
    assert_int_equal(access(lock_file, F_OK), 0); /* it lies there still */
    assert_int_equal(fen_lock_take(path, 0, &lock), FEN_OK);
    fen_lock_give(&lock);
}

static void nothing_is_left_when_it_is_given_back(void **state)
{
    (void)state;
    fen_lock lock = FEN_LOCK_NONE;
    assert_int_equal(fen_lock_take(path, 0, &lock), FEN_OK);
    fen_lock_give(&lock);
    fen_lock_give(&lock); /* of none: nothing */
    assert_int_equal(access(lock_file, F_OK), -1);
    assert_int_equal(errno, ENOENT);
}

static void a_folder_that_is_not_there_is_told(void **state)
{
    (void)state;
    fen_lock lock = FEN_LOCK_NONE;
    assert_int_equal(fen_lock_take("/nowhere-at-all/x.yaml", 0, &lock), FEN_EIO);
    assert_int_equal(errno, ENOENT);
}

static void two_names_of_one_file_are_one_lock(void **state)
{
    (void)state;
    char alias[64];
    int release, status;
    fen_lock lock = FEN_LOCK_NONE;
    FILE *f = fopen(path, "w");
    assert_non_null(f);
    assert_int_equal(fclose(f), 0);
    snprintf(alias, sizeof alias, "%s/alias.yaml", folder);
    assert_int_equal(symlink("x.yaml", alias), 0);
    const pid_t child = hold_elsewhere(path, &release);
    assert_int_equal(fen_lock_take(alias, 0, &lock), FEN_EIO);
    assert_int_equal(errno, EWOULDBLOCK);
    close(release);
    assert_int_equal(waitpid(child, &status, 0), child);
    assert_int_equal(remove(alias), 0);
    assert_int_equal(remove(path), 0);
}

static fen_status take_and_give(void *arg)
{
    fen_lock lock = FEN_LOCK_NONE;
    const fen_status st = fen_lock_take(arg, 0, &lock);
    fen_lock_give(&lock);
    return st;
}

static void a_lock_survives_every_failed_allocation(void **state)
{
    (void)state;
    unit_refuse_each(take_and_give, path);
}

static int make_folder(void **state)
{
    (void)state;
    if (!mkdtemp(folder))
        return -1;
    snprintf(path, sizeof path, "%s/x.yaml", folder);
    snprintf(lock_file, sizeof lock_file, "%s/.x.yaml.lock", folder);
    return 0;
}

static int remove_folder(void **state)
{
    (void)state;
    return rmdir(folder);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_second_process_is_refused_after_its_wait),
        cmocka_unit_test(a_second_process_gets_it_when_the_first_gives_it_back),
        cmocka_unit_test(a_killed_holder_holds_nobody_up),
        cmocka_unit_test(nothing_is_left_when_it_is_given_back),
        cmocka_unit_test(a_folder_that_is_not_there_is_told),
        cmocka_unit_test(two_names_of_one_file_are_one_lock),
        cmocka_unit_test(a_lock_survives_every_failed_allocation),
    };
    return cmocka_run_group_tests(tests, make_folder, remove_folder);
}
