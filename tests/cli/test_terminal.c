/* test_terminal.c -- the program at the far end of a pseudo-terminal (POSIX
 * posix_openpt): what keys do, which no pipe can show.
 */
#include <errno.h>
#include <fcntl.h>
#include <poll.h>
#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/ioctl.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <termios.h>
#include <unistd.h>

#include <cmocka.h>

#include "util/utf8.h"

enum { PATIENCE = 20000, OUTPUT = 1 << 20 }; /* milliseconds: a busy machine is slow; bytes */

typedef struct terminal {
    int master, slave;
    pid_t pid;
    size_t len, seen; /* bytes received; bytes that `expect` has passed */
    char text[OUTPUT];
} terminal;

static terminal term;
static char home[] = "/tmp/fenmend-home-XXXXXX";

extern char **environ; /* POSIX declares it nowhere */
static char *no_environment[] = {NULL};
static char name[] = "fenmend", only[] = "--only-rules", rules[] = "--rules=" FEN_TESTS_DIR "/packs/small.yaml", today[] = "--today=2026-07-12",
            triage[] = "triage", into[] = "--into=own.yaml", kept_in[] = "--kept-in=settled.yaml";

static void be_the_program(const char *const *env, int slave)
{
    static char *args[] = {name, only, rules, today, triage, into, kept_in, NULL};
    char home_is[64];
    snprintf(home_is, sizeof home_is, "HOME=%s", home);
    environ = no_environment;
    putenv(home_is);
    setenv("PATH", "/usr/bin:/bin", 1);
    setenv("LC_ALL", "C.UTF-8", 1);
    setenv("INPUTRC", "/dev/null", 1);
    for (size_t i = 0; env[i]; i++) {
        char copy[64];
        strcpy(copy, env[i]);
        char *equals = strchr(copy, '=');
        *equals = '\0';
        setenv(copy, equals + 1, 1);
    }
    setsid();
    ioctl(slave, TIOCSCTTY, 0);
    for (int fd = 0; fd < 3; fd++)
        dup2(slave, fd);
    if (slave > 2)
        close(slave);
    if (chdir(home) == 0)
        execv(FEN_PROGRAM, args);
    _exit(127);
}

static void start_in(unsigned short columns, const char *const *env)
{
    term.len = term.seen = 0;
    term.master = posix_openpt(O_RDWR | O_NOCTTY);
    assert_true(term.master >= 0);
    assert_int_equal(grantpt(term.master) || unlockpt(term.master), 0);
    term.slave = open(ptsname(term.master), O_RDWR | O_NOCTTY); /* held, so that its modes can be asked for later */
    assert_true(term.slave >= 0);
    const struct winsize size = {.ws_row = 40, .ws_col = columns};
    assert_int_equal(ioctl(term.master, TIOCSWINSZ, &size), 0);
    term.pid = fork();
    assert_true(term.pid >= 0);
    if (term.pid == 0)
        be_the_program(env, term.slave);
}

static void start(unsigned short columns)
{
    static const char *const env[] = {"TERM=vt100", NULL};
    start_in(columns, env);
}

static void keys(const char *bytes)
{
    const size_t n = strlen(bytes);
    assert_int_equal(write(term.master, bytes, n), n);
}

/* More output; false: none came in time, or the program has gone. */
static int receive(void)
{
    struct pollfd p = {.fd = term.master, .events = POLLIN};
    if (poll(&p, 1, PATIENCE) <= 0)
        return 0;
    const ssize_t n = read(term.master, term.text + term.len, OUTPUT - 1 - term.len);
    if (n <= 0)
        return 0;
    term.len += (size_t)n;
    term.text[term.len] = '\0';
    return 1;
}

static void expect(const char *what)
{
    for (;;) {
        term.text[term.len] = '\0';
        const char *found = strstr(term.text + term.seen, what);
        if (found) {
            term.seen = (size_t)(found - term.text) + strlen(what);
            return;
        }
        if (!receive())
            fail_msg("'%s' did not come; there was:\n%s", what, term.text + term.seen);
    }
}

/* Its wait status, with everything it still wrote. */
static int finish(void)
{
    int status;
    for (int tries = 0; waitpid(term.pid, &status, WNOHANG) == 0; tries++) {
        struct pollfd p = {.fd = term.master, .events = POLLIN};
        if (poll(&p, 1, 10) > 0)
            receive();
        if (tries > PATIENCE / 10) {
            kill(term.pid, SIGKILL);
            fail_msg("it did not end; there was:\n%s", term.text + term.seen);
        }
    }
    struct pollfd p = {.fd = term.master, .events = POLLIN};
    while (poll(&p, 1, 50) > 0 && receive())
        continue;
    close(term.slave);
    close(term.master);
    return status;
}

static void ends_well(void)
{
    const int status = finish();
    assert_true(WIFEXITED(status));
    assert_int_equal(WEXITSTATUS(status), 0);
}

/* ---- the tests -------------------------------------------------------------------- */

static void an_answer_is_typed_after_a_prompt_that_names_the_question(void **state)
{
    (void)state;
    start(80);
    expect("kind> ");
    keys("trap-plant\r");
    expect("Noted: kind of plant: trap plant");
    expect("heart> ");
    keys("quit\r");
    ends_well();
}

static void control_c_abandons_the_line_and_nothing_else(void **state)
{
    (void)state;
    start(80);
    expect("kind> ");
    keys("glue-plant\003"); /* never sent off with Return */
    expect("^C");
    expect("kind> ");
    keys("trap-plant\r");
    expect("trap plant");
    expect("heart> ");
    keys("\003");
    expect("heart> ");
    keys("quit\r");
    ends_well();
    assert_null(strstr(term.text, "Noted: kind of plant: glue plant"));
}

static void control_d_leaves_and_says_what_is_not_kept(void **state)
{
    (void)state;
    start(80);
    expect("kind> ");
    keys("1\r");
    expect("heart> ");
    keys("\004");
    expect("1 answer is not kept; 'keep FILE' before leaving would have kept the case");
    ends_well();
}

static void control_d_on_nothing_lost_says_nothing(void **state)
{
    (void)state;
    start(80);
    expect("kind> ");
    term.seen = term.len;
    keys("\004");
    ends_well();
    assert_null(strstr(term.text + term.seen, "kept"));
}

static void the_tab_key_completes_words_answers_and_files(void **state)
{
    (void)state;
    start(80);
    expect("kind> ");
    keys("tr\t\r");
    expect("Noted: kind of plant: trap plant");
    expect("heart> ");
    keys("note wat\t75 ppm\r");
    expect("note water-reading 75 ppm");
    expect("Noted: dissolved solids in the water: 75");
    expect("> ");
    keys("note tr\tst\t\r");
    expect("note tray standing");
    expect("Noted: water in the tray: standing water");
    expect("> ");
    keys("because mi\t\r");
    expect("because mineral-burn");
    expect("Why mineral burn");
    expect("> ");
    keys("keep wanted-name.yaml\r");
    expect("Kept in wanted-name.yaml");
    expect("> ");
    keys("keep wan\t\r"); /* the file that is there now */
    expect("Kept in wanted-name.yaml");
    expect("> ");
    keys("quit\r");
    ends_well();
}

static void the_tab_key_completes_the_words_of_a_lesson(void **state)
{
    (void)state;
    start(80);
    expect("kind> ");
    keys("tr\t\r");
    expect("heart> ");
    keys("lesson mi\t\r");
    expect("The verdict was");
    expect("lesson> ");
    keys("sh\tca\t\r");
    expect("show case");
    expect("The verdict was");
    expect("lesson> ");
    keys("bec\t\r"); /* no word here */
    expect("is no word here");
    expect("lesson> ");
    keys("le\t\r");
    expect("Nothing was kept.");
    expect("> ");
    keys("bec\tmi\t\r"); /* but here */
    expect("because mineral-burn");
    expect("Why mineral burn");
    expect("> ");
    keys("quit\r");
    ends_well();
}

static void two_tabs_list_what_is_possible(void **state)
{
    (void)state;
    start(80);
    expect("kind> ");
    keys("because \t\t");
    expect("heart-rot");
    expect("something-else");
    keys("\003"); /* what is typed after it is a line of its own, however fast */
    keys("quit\r");
    ends_well();
}

static mode_t mode_of(const char *below_home)
{
    char path[256];
    struct stat st;
    snprintf(path, sizeof path, "%s/%s", home, below_home);
    assert_int_equal(stat(path, &st), 0);
    return st.st_mode & 0777;
}

static void the_history_is_kept_for_its_owner_alone(void **state)
{
    (void)state;
    const mode_t before = umask(0);
    start(80);
    umask(before);
    expect("kind> ");
    keys("trap-plant\r");
    expect("heart> ");
    keys("quit\r");
    ends_well();
    assert_int_equal(mode_of(".local/state/fenmend/history"), 0600);
    assert_int_equal(mode_of(".local/state/fenmend"), 0700);

    char path[256];
    snprintf(path, sizeof path, "%s/.local/state/fenmend/history", home);
    assert_int_equal(chmod(path, 0644), 0); /* as somebody may have left it */
    start(80);
    expect("kind> ");
    keys("\033[A\033[A"); /* up, past "quit" */
    expect("trap-plant");
    keys("\r");
    expect("heart> ");
    keys("quit\r");
    ends_well();
    assert_int_equal(mode_of(".local/state/fenmend/history"), 0600);
}

static void the_history_follows_the_state_folder(void **state)
{
    (void)state;
    char variable[64];
    snprintf(variable, sizeof variable, "XDG_STATE_HOME=%s/elsewhere", home);
    const char *const env[] = {"TERM=dumb", variable, NULL};
    start_in(80, env);
    expect("kind> ");
    keys("quit\r");
    ends_well();
    assert_int_equal(mode_of("elsewhere/fenmend/history"), 0600);
    assert_int_equal(mode_of("elsewhere"), 0700); /* XDG: folders that are made get 0700 */
}

static void a_history_that_cannot_be_kept_is_told_and_no_failure(void **state)
{
    (void)state;
    char path[64];
    snprintf(path, sizeof path, "%s/.local", home);
    const int fd = open(path, O_WRONLY | O_CREAT, 0600); /* a file stands where a folder should */
    assert_true(fd >= 0);
    close(fd);
    start(80);
    expect("kind> ");
    keys("trap-plant\r");
    expect("heart> ");
    keys("quit\r");
    expect("warning: the history of this talk is not kept");
    ends_well();
}

static size_t longest_line(const char *from)
{
    size_t longest = 0;
    while (*from) {
        const size_t n = strcspn(from, "\r\n");
        const size_t columns = fen_utf8_width(from, n);
        longest = columns > longest ? columns : longest;
        from += n + strspn(from + n, "\r\n");
    }
    return longest;
}

static void a_window_that_changes_changes_the_width(void **state)
{
    (void)state;
    static const char *const env[] = {"TERM=dumb", NULL};
    start_in(80, env);
    expect("kind> ");
    keys("trap-plant\r");
    expect("heart> ");
    const struct winsize size = {.ws_row = 40, .ws_col = 44};
    assert_int_equal(ioctl(term.master, TIOCSWINSZ, &size), 0);
    expect("heart> "); /* drawn again */
    const size_t narrow = term.len;
    keys("?\r");
    expect("How to look");
    expect("heart> ");
    keys("because\r");
    expect("Why ageing leaves");
    expect("heart> ");
    keys("quit\r");
    ends_well();
    assert_true(longest_line(term.text + narrow) <= 44);
}

static void columns_in_the_environment_beat_the_window(void **state)
{
    (void)state;
    static const char *const env[] = {"TERM=dumb", "COLUMNS=40", NULL};
    start_in(80, env);
    expect("kind> ");
    keys("trap-plant\r");
    expect("heart> ");
    keys("because\r");
    expect("heart> ");
    assert_true(longest_line(term.text) <= 40);
    keys("quit\r");
    ends_well();
}

static void colour_is_for_terminals_that_want_it(void **state)
{
    (void)state;
    static const struct {
        const char *const env[4];
        int coloured;
    } rows[] = {
        {{"TERM=vt100", NULL}, 1},
        {{"TERM=vt100", "NO_COLOR=1", NULL}, 0},
        {{"TERM=vt100", "NO_COLOR=", NULL}, 1}, /* no-color.org: "when present and not an empty string" */
        {{"TERM=dumb", NULL}, 0},
        {{NULL}, 0},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        start_in(80, rows[i].env);
        expect("kind");
        keys("trap-plant\r");
        expect("heart");
        keys("quit\r");
        ends_well();
        assert_int_equal(strstr(term.text, "\033[1m") != NULL, rows[i].coloured);
    }
}

static void a_terminal_without_utf8_gets_none(void **state)
{
    (void)state;
    static const char *const env[] = {"TERM=dumb", "LC_ALL=C", NULL};
    start_in(80, env);
    expect("kind> ");
    keys("trap-plant\r");
    expect("heart> ");
    keys("standing\r");
    expect("heart rot");
    expect("heart> ");
    keys("plan\r");
    expect("heart> ");
    keys("quit\r");
    ends_well();
    for (size_t i = 0; i < term.len; i++)
        assert_true((unsigned char)term.text[i] < 0x80);
}

static void a_request_to_end_leaves_the_terminal_as_it_was(void **state)
{
    (void)state;
    struct termios before, during, after;
    start(80);
    tcgetattr(term.slave, &before); /* perhaps too early or too late, so: */
    expect("kind> ");
    tcgetattr(term.slave, &during);
    assert_false(during.c_lflag & ICANON);
    keys("half a li");
    expect("half a li");
    kill(term.pid, SIGTERM);
    int status;
    assert_int_equal(waitpid(term.pid, &status, 0), term.pid);
    assert_true(WIFSIGNALED(status));
    assert_int_equal(WTERMSIG(status), SIGTERM);
    tcgetattr(term.slave, &after);
    assert_true(after.c_lflag & ICANON);
    assert_true(after.c_lflag & ECHO);
    close(term.slave);
    close(term.master);
}

static int make_home(void **state)
{
    (void)state;
    strcpy(home, "/tmp/fenmend-home-XXXXXX");
    return mkdtemp(home) ? 0 : -1;
}

static int drop_home(void **state)
{
    (void)state;
    char line[64];
    snprintf(line, sizeof line, "rm -rf %s", home);
    return system(line);
}

#define AT_HOME(test) cmocka_unit_test_setup_teardown(test, make_home, drop_home)

int main(void)
{
    const struct CMUnitTest tests[] = {
        AT_HOME(an_answer_is_typed_after_a_prompt_that_names_the_question),
        AT_HOME(control_c_abandons_the_line_and_nothing_else),
        AT_HOME(control_d_leaves_and_says_what_is_not_kept),
        AT_HOME(control_d_on_nothing_lost_says_nothing),
        AT_HOME(the_tab_key_completes_words_answers_and_files),
        AT_HOME(the_tab_key_completes_the_words_of_a_lesson),
        AT_HOME(two_tabs_list_what_is_possible),
        AT_HOME(the_history_is_kept_for_its_owner_alone),
        AT_HOME(the_history_follows_the_state_folder),
        AT_HOME(a_history_that_cannot_be_kept_is_told_and_no_failure),
        AT_HOME(a_window_that_changes_changes_the_width),
        AT_HOME(columns_in_the_environment_beat_the_window),
        AT_HOME(colour_is_for_terminals_that_want_it),
        AT_HOME(a_terminal_without_utf8_gets_none),
        AT_HOME(a_request_to_end_leaves_the_terminal_as_it_was),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
