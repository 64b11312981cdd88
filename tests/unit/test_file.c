/* Whole files: read within a limit, written so that nothing is ever half there. */
#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <signal.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

#include "unit.h"
#include "util/file.h"

static char folder[64];

static int set_up(void **state)
{
    (void)state;
    snprintf(folder, sizeof folder, "/tmp/fenmend-file-XXXXXX");
    return mkdtemp(folder) == NULL;
}

static int tear_down(void **state)
{
    (void)state;
    char command[100];
    snprintf(command, sizeof command, "rm -r %s", folder);
    return system(command);
}

static const char *in(const char *name)
{
    static char paths[4][200];
    static int next;
    char *path = paths[next++ % 4];
    snprintf(path, sizeof paths[0], "%s/%s", folder, name);
    return path;
}

static void put(const char *path, const char *text)
{
    FILE *f = fopen(path, "w");
    assert_non_null(f);
    fputs(text, f);
    fclose(f);
}

static void assert_holds(const char *path, const char *text)
{
    char *got;
    size_t len;
    assert_int_equal(fen_file_read(path, 1 << 20, &got, &len), FEN_OK);
    assert_int_equal(len, strlen(text));
    assert_string_equal(got, text);
    fen_free(got);
}

static size_t names_in_folder(void)
{
    size_t count = 0;
    DIR *dir = opendir(folder);
    assert_non_null(dir);
    for (struct dirent *e; (e = readdir(dir));)
        count += strcmp(e->d_name, ".") && strcmp(e->d_name, "..");
    closedir(dir);
    return count;
}

static void a_file_is_read_whole_with_a_nul_behind_it(void **state)
{
    (void)state;
    put(in("a"), "one\ntwo\n");
    assert_holds(in("a"), "one\ntwo\n");
    put(in("a"), "");
    assert_holds(in("a"), "");
}

static void a_file_of_just_the_limit_is_read_and_one_byte_more_is_not(void **state)
{
    (void)state;
    char *text = NULL;
    size_t len = 0;
    put(in("five"), "12345");
    assert_int_equal(fen_file_read(in("five"), 5, &text, &len), FEN_OK);
    fen_free(text);
    text = NULL;
    assert_int_equal(fen_file_read(in("five"), 4, &text, &len), FEN_EINPUT);
    assert_int_equal(errno, EFBIG);
    assert_null(text);
    assert_int_equal(len, 5); /* as it was */
}

static void a_stream_without_end_stops_at_the_limit(void **state)
{
    (void)state;
    char *text = NULL;
    size_t len;
    assert_int_equal(fen_file_read("/dev/zero", 1 << 20, &text, &len), FEN_EINPUT);
    assert_int_equal(errno, EFBIG);
    assert_null(text);
}

static void standard_input_is_read_under_the_name_of_a_dash(void **state)
{
    (void)state;
    int ends[2];
    assert_int_equal(pipe(ends), 0);
    const int before = dup(0);
    assert_int_equal(write(ends[1], "piped", 5), 5);
    close(ends[1]);
    dup2(ends[0], 0);
    assert_holds("-", "piped");
    dup2(before, 0);
    close(before);
    close(ends[0]);
}

static void a_missing_file_and_a_folder_are_told_apart(void **state)
{
    (void)state;
    char *text;
    size_t len;
    assert_int_equal(fen_file_read(in("none"), 100, &text, &len), FEN_EIO);
    assert_int_equal(errno, ENOENT);
    assert_int_equal(fen_file_read(folder, 100, &text, &len), FEN_EINPUT);
    assert_int_equal(errno, EISDIR);
}

static void a_new_file_is_written_with_the_mode_asked_for(void **state)
{
    (void)state;
    struct stat info;
    const mode_t mask = umask(027);
    assert_int_equal(fen_file_write(in("new"), "text", 4, 0666), FEN_OK);
    umask(mask);
    assert_holds(in("new"), "text");
    assert_int_equal(stat(in("new"), &info), 0);
    assert_int_equal(info.st_mode & 0777, 0640);
    assert_int_equal(names_in_folder(), 1);
}

static void an_old_file_is_replaced_and_keeps_its_mode(void **state)
{
    (void)state;
    struct stat info;
    put(in("old"), "before");
    chmod(in("old"), 0604);
    assert_int_equal(fen_file_write(in("old"), "after", 5, 0666), FEN_OK);
    assert_holds(in("old"), "after");
    assert_int_equal(stat(in("old"), &info), 0);
    assert_int_equal(info.st_mode & 0777, 0604);
    assert_int_equal(names_in_folder(), 1);
}

static void a_symbolic_link_stays_and_its_target_is_written(void **state)
{
    (void)state;
    struct stat info;
    mkdir(in("sub"), 0777);
    put(in("sub/real"), "before");
    assert_int_equal(symlink("sub/real", in("link")), 0);
    assert_int_equal(symlink("link", in("link2")), 0);
    assert_int_equal(fen_file_write(in("link2"), "after", 5, 0666), FEN_OK);
    assert_holds(in("sub/real"), "after");
    assert_int_equal(lstat(in("link"), &info), 0);
    assert_true(S_ISLNK(info.st_mode));
    assert_int_equal(symlink("sub/fresh", in("dangling")), 0); /* its target is made */
    assert_int_equal(fen_file_write(in("dangling"), "made", 4, 0666), FEN_OK);
    assert_holds(in("sub/fresh"), "made");
}

static void a_circle_of_links_is_an_error_and_no_hang(void **state)
{
    (void)state;
    assert_int_equal(symlink("y", in("x")), 0);
    assert_int_equal(symlink("x", in("y")), 0);
    assert_int_equal(fen_file_write(in("x"), "a", 1, 0666), FEN_EIO);
    assert_int_equal(errno, ELOOP);
    assert_int_equal(names_in_folder(), 2);
}

static void a_device_is_written_to_and_not_replaced(void **state)
{
    (void)state;
    struct stat info;
    assert_int_equal(fen_file_write("/dev/null", "gone", 4, 0666), FEN_OK);
    assert_int_equal(stat("/dev/null", &info), 0);
    assert_true(S_ISCHR(info.st_mode));
    if (access("/dev/full", W_OK) == 0) {
        assert_int_equal(fen_file_write("/dev/full", "lost", 4, 0666), FEN_EIO);
        assert_int_equal(errno, ENOSPC);
    }
}

static void a_disk_that_fills_up_leaves_the_old_file_and_nothing_beside_it(void **state)
{
    (void)state;
    char *big = calloc(1, 100000);
    struct rlimit before, small = { 5000, RLIM_INFINITY };
    put(in("kept"), "precious");
    assert_int_equal(getrlimit(RLIMIT_FSIZE, &before), 0);
    small.rlim_max = before.rlim_max;
    signal(SIGXFSZ, SIG_IGN); /* writing over the limit then fails like a full disk */
    assert_int_equal(setrlimit(RLIMIT_FSIZE, &small), 0);
    const fen_status st = fen_file_write(in("kept"), big, 100000, 0666);
    const int error = errno;
    setrlimit(RLIMIT_FSIZE, &before);
    signal(SIGXFSZ, SIG_DFL);
    free(big);
    assert_int_equal(st, FEN_EIO);
    assert_int_equal(error, EFBIG);
    assert_holds(in("kept"), "precious");
    assert_int_equal(names_in_folder(), 1);
}

static void a_folder_that_is_not_there_or_may_not_be_written_is_an_error(void **state)
{
    (void)state;
    assert_int_equal(fen_file_write(in("none/file"), "a", 1, 0666), FEN_EIO);
    assert_int_equal(errno, ENOENT);
    assert_int_equal(fen_file_write(folder, "a", 1, 0666), FEN_EIO);
    assert_int_equal(errno, EISDIR);
    assert_int_equal(names_in_folder(), 0);
}

/* As a user who is not root: root may write everywhere. */
static void a_write_protected_file_is_left_alone(void **state)
{
    (void)state;
    put(in("locked"), "mine");
    chmod(in("locked"), 0444);
    chmod(folder, 0777);
    fflush(NULL);
    const pid_t child = fork();
    if (child == 0) {
        if (geteuid() == 0 && (setgid(65534) || setuid(65534)))
            _exit(77);
        _exit(fen_file_write(in("locked"), "yours", 5, 0666) == FEN_EIO && errno == EACCES ? 0 : 1);
    }
    int how;
    assert_int_equal(waitpid(child, &how, 0), child);
    if (WIFEXITED(how) && WEXITSTATUS(how) == 77)
        skip();
    assert_true(WIFEXITED(how) && WEXITSTATUS(how) == 0);
    assert_holds(in("locked"), "mine");
    assert_int_equal(names_in_folder(), 1);
}

static void a_kill_at_any_moment_leaves_the_old_text_or_the_new(void **state)
{
    (void)state;
    enum { SIZE = 200000 };
    static char one[SIZE + 1], two[SIZE + 1];
    memset(one, '1', SIZE);
    memset(two, '2', SIZE);
    for (int round = 0; round < 25; round++) {
        assert_int_equal(fen_file_write(in("case"), one, SIZE, 0666), FEN_OK);
        const pid_t child = fork();
        if (child == 0)
            for (;;)
                if (fen_file_write(in("case"), two, SIZE, 0666) || fen_file_write(in("case"), one, SIZE, 0666))
                    _exit(1);
        nanosleep(&(struct timespec){ .tv_nsec = round * 317000 + 50000 }, NULL);
        kill(child, SIGKILL);
        int how;
        waitpid(child, &how, 0);
        assert_true(WIFSIGNALED(how));
        char *got;
        size_t len;
        assert_int_equal(fen_file_read(in("case"), 1 << 20, &got, &len), FEN_OK);
        assert_true(strcmp(got, one) == 0 || strcmp(got, two) == 0);
        fen_free(got);
    }
}

static void a_left_over_temporary_file_is_no_obstacle(void **state)
{
    (void)state;
    char name[64];
    for (unsigned i = 0; i < 1000; i += 2) { /* as a process of the same number may have left them */
        snprintf(name, sizeof name, ".fenmend-%ld-%u", (long)getpid(), i);
        put(in(name), "left");
    }
    const size_t before = names_in_folder();
    assert_int_equal(fen_file_write(in("case"), "text", 4, 0666), FEN_OK);
    assert_holds(in("case"), "text");
    assert_int_equal(names_in_folder(), before + 1);
}

static void files_of_a_folder_come_sorted_and_only_those_that_fit(void **state)
{
    (void)state;
    static const char *const made[] = { "b.yaml", "a.yaml", "B.yaml", "10.yaml", "9.yaml", ".hidden.yaml",
                                        "c.yml", "yaml", ".yaml", "d.yaml.bak" };
    static const char *const want[] = { "10.yaml", "9.yaml", "B.yaml", "a.yaml", "b.yaml", "l.yaml" };
    for (size_t i = 0; i < COUNT(made); i++)
        put(in(made[i]), "");
    mkdir(in("folder.yaml"), 0777);
    assert_int_equal(symlink("a.yaml", in("l.yaml")), 0);
    assert_int_equal(symlink("gone", in("m.yaml")), 0);
    char **names;
    size_t count;
    assert_int_equal(fen_file_list(folder, ".yaml", &names, &count), FEN_OK);
    assert_int_equal(count, COUNT(want));
    for (size_t i = 0; i < count; i++)
        assert_string_equal(names[i], in(want[i]));
    fen_file_names_free(names, count);
    char with_slash[80];
    snprintf(with_slash, sizeof with_slash, "%s/", folder);
    assert_int_equal(fen_file_list(with_slash, "9.yaml", &names, &count), FEN_OK);
    assert_int_equal(count, 0); /* a suffix alone is no name */
    fen_file_names_free(names, count);
    assert_int_equal(fen_file_list(in("none"), ".yaml", &names, &count), FEN_EIO);
    assert_int_equal(errno, ENOENT);
}

static void folders_are_made_with_their_parents(void **state)
{
    (void)state;
    assert_int_equal(fen_file_make_folders(in("a/b//c/"), 0777), FEN_OK);
    assert_true(fen_file_is_folder(in("a/b/c")));
    assert_int_equal(fen_file_make_folders(in("a/b/c"), 0777), FEN_OK); /* again is fine */
    put(in("file"), "");
    assert_false(fen_file_is_folder(in("file")));
    assert_int_equal(fen_file_make_folders(in("file"), 0777), FEN_EIO);
    assert_int_equal(fen_file_make_folders(in("file/x"), 0777), FEN_EIO);
    assert_int_equal(fen_file_make_folders("/", 0777), FEN_OK);
}

static void a_file_is_the_same_under_all_its_names(void **state)
{
    (void)state;
    char a[256], b[256];
    assert_int_equal(fen_file_write(in("one.yaml"), "x", 1, 0666), FEN_OK);
    snprintf(a, sizeof a, "%s", in("one.yaml"));
    snprintf(b, sizeof b, "%s", in("./one.yaml"));
    assert_true(fen_file_same(a, b));
    snprintf(b, sizeof b, "%s", in("two.yaml"));
    assert_false(fen_file_same(a, b));
    assert_true(fen_file_same(b, b)); /* neither is there */
    assert_int_equal(fen_file_remove(a), FEN_OK);
    assert_int_equal(access(a, F_OK), -1);
    assert_int_equal(fen_file_remove(a), FEN_OK); /* it is gone already */
    assert_int_equal(fen_file_remove(in("no/where")), FEN_OK);
    assert_int_equal(fen_file_remove(in(".")), FEN_EIO);
}

static fen_status do_everything(void *arg)
{
    (void)arg;
    char *text = NULL, **names = NULL;
    size_t len, count = 0;
    fen_status st = fen_file_make_folders(in("deep/er"), 0777);
    if (!st)
        st = fen_file_write(in("deep/er/a.yaml"), "text", 4, 0666);
    if (!st)
        st = fen_file_write(in("deep/er/a.yaml"), "text2", 5, 0666);
    if (!st)
        st = fen_file_read(in("deep/er/a.yaml"), 100, &text, &len);
    if (!st)
        st = fen_file_list(in("deep/er"), ".yaml", &names, &count);
    fen_free(text);
    fen_file_names_free(names, count);
    return st;
}

static void all_of_it_survives_every_failed_allocation(void **state)
{
    (void)state;
    unit_refuse_each(do_everything, NULL);
    char **names;
    size_t count;
    assert_int_equal(fen_file_list(in("deep/er"), "", &names, &count), FEN_OK);
    assert_int_equal(count, 1); /* nothing left beside it */
    fen_file_names_free(names, count);
}

#define TEST(f) cmocka_unit_test_setup_teardown(f, set_up, tear_down)

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(a_file_is_read_whole_with_a_nul_behind_it),
        TEST(a_file_of_just_the_limit_is_read_and_one_byte_more_is_not),
        TEST(a_stream_without_end_stops_at_the_limit),
        TEST(standard_input_is_read_under_the_name_of_a_dash),
        TEST(a_missing_file_and_a_folder_are_told_apart),
        TEST(a_new_file_is_written_with_the_mode_asked_for),
        TEST(an_old_file_is_replaced_and_keeps_its_mode),
        TEST(a_symbolic_link_stays_and_its_target_is_written),
        TEST(a_circle_of_links_is_an_error_and_no_hang),
        TEST(a_device_is_written_to_and_not_replaced),
        TEST(a_disk_that_fills_up_leaves_the_old_file_and_nothing_beside_it),
        TEST(a_folder_that_is_not_there_or_may_not_be_written_is_an_error),
        TEST(a_write_protected_file_is_left_alone),
        TEST(a_kill_at_any_moment_leaves_the_old_text_or_the_new),
        TEST(a_left_over_temporary_file_is_no_obstacle),
        TEST(files_of_a_folder_come_sorted_and_only_those_that_fit),
        TEST(folders_are_made_with_their_parents),
        TEST(a_file_is_the_same_under_all_its_names),
        TEST(all_of_it_survives_every_failed_allocation),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
