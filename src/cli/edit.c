#include "edit.h"

#include <errno.h>
#include <fcntl.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/select.h>
#include <sys/stat.h>
#include <unistd.h>

#include <readline/history.h>
#include <readline/readline.h>

#include "message.h"
#include "util/alloc.h"
#include "util/file.h"
#include "util/limits.h"

enum { HISTORY_LINES = 1000 };

static const int watched[] = {SIGINT, SIGWINCH, SIGTSTP, SIGTERM, SIGHUP};
enum { N_SIGNALS = FEN_COUNT(watched), INTERRUPT = 0 /* SIGINT's place */ };

typedef struct editor {
    fen_reader base;
    fen_edit_setup set;
    fen_str history; /* the file's name; empty: none is kept */
    int added;       /* lines of history since it was opened */
    char *got;       /* the finished line, readline's */
    bool finished;   /* GOT is set, or NULL for the end of input */
    struct sigaction before[N_SIGNALS]; /* what the signals did until now */
    fen_candidates candidates;
    uint32_t next_candidate;
} editor;

/* readline's callbacks carry no argument. */
static editor *the_editor;

/* ---- signals --------------------------------------------------------------------
 *
 * They are blocked except inside pselect, so a handler only has to note its
 * number, and nothing is lost between looking and waiting. */

static volatile sig_atomic_t noted[N_SIGNALS];

static void note_signal(int number)
{
    for (size_t i = 0; i < N_SIGNALS; i++)
        if (watched[i] == number)
            noted[i] = 1;
}

static void watched_set(sigset_t *set)
{
    sigemptyset(set);
    for (size_t i = 0; i < N_SIGNALS; i++)
        sigaddset(set, watched[i]);
}

static void watch_signals(editor *e)
{
    struct sigaction act = {.sa_handler = note_signal}; /* no SA_RESTART: pselect must return */
    for (size_t i = 0; i < N_SIGNALS; i++)
        sigaction(watched[i], &act, &e->before[i]);
}

static void unwatch_signals(editor *e)
{
    for (size_t i = 0; i < N_SIGNALS; i++)
        sigaction(watched[i], &e->before[i], NULL);
}

/* Do to the program what the signal would have done without us; from a stop it
 * comes back. */
static void pass_on(editor *e, size_t i)
{
    sigset_t set, old;
    struct sigaction ours;
    rl_deprep_terminal();
    sigaction(watched[i], &e->before[i], &ours);
    raise(watched[i]);
    sigemptyset(&set);
    sigaddset(&set, watched[i]);
    sigprocmask(SIG_UNBLOCK, &set, &old); /* here it strikes */
    sigprocmask(SIG_SETMASK, &old, NULL);
    sigaction(watched[i], &ours, NULL);
    rl_prep_terminal(1);
    rl_forced_update_display();
}

/* true: the line is to be abandoned. */
static bool act_on_signals(editor *e)
{
    bool abandoned = false;
    for (size_t i = 0; i < N_SIGNALS; i++) {
        if (!noted[i])
            continue;
        noted[i] = 0;
        if (watched[i] == SIGINT)
            abandoned = true;
        else if (watched[i] == SIGWINCH)
            rl_resize_terminal();
        else
            pass_on(e, i);
    }
    return abandoned;
}

/* ---- reading ---------------------------------------------------------------------- */

static void line_done(char *line)
{
    the_editor->got = line;
    the_editor->finished = true;
    rl_callback_handler_remove(); /* before the prompt is drawn again */
}

static bool any_noted(void)
{
    for (size_t i = 0; i < N_SIGNALS; i++)
        if (noted[i])
            return true;
    return false;
}

/* Wait for a key; false: a signal came first. A key that is there already does
 * not let pselect deliver what is pending, and what is typed after Ctrl-C must
 * not join the line that it abandons: so the door is opened once more. */
static bool wait_for_key(const sigset_t *open_mask)
{
    fd_set in;
    sigset_t shut;
    FD_ZERO(&in);
    FD_SET(STDIN_FILENO, &in);
    const int ready = pselect(STDIN_FILENO + 1, &in, NULL, NULL, NULL, open_mask);
    sigprocmask(SIG_SETMASK, open_mask, &shut);
    sigprocmask(SIG_SETMASK, &shut, NULL);
    return ready != 0 && !any_noted();
}

/* The prompt in bold; readline must know which bytes take no column. */
static void dress(const editor *e, const char *ask, char *buf, size_t size)
{
    if (e->set.colour)
        snprintf(buf, size, "\001\033[1m\002%s\001\033[0m\002", ask);
    else
        snprintf(buf, size, "%s", ask);
}

/* What was typed stays to be seen, with the sign of its end behind it; giving up
 * the terminal would move the cursor to the line's start, so that comes after. */
static void abandon_line(void)
{
    rl_point = rl_end;
    rl_redisplay();
    fputs("^C\n", rl_outstream);
    rl_free_line_state();
    rl_callback_sigcleanup();
    rl_callback_handler_remove();
}

static fen_read read_keys(editor *e, const char *ask)
{
    sigset_t set, old;
    char prompt[256];
    dress(e, ask, prompt, sizeof prompt);
    watched_set(&set);
    sigprocmask(SIG_BLOCK, &set, &old);
    e->finished = false;
    noted[INTERRUPT] = 0; /* struck while we were computing: there is no line to abandon */
    rl_callback_handler_install(prompt, line_done);
    bool abandoned = false;
    /* Signals are looked at before waiting, never after a line is finished:
     * there is nothing to draw again then. */
    while (!e->finished && !(abandoned = act_on_signals(e)))
        if (wait_for_key(&old))
            rl_callback_read_char();
    if (abandoned)
        abandon_line();
    sigprocmask(SIG_SETMASK, &old, NULL);
    fflush(stdout);
    return abandoned ? FEN_READ_ABANDONED : e->got ? FEN_READ_LINE : FEN_READ_END;
}

static void add_to_history(editor *e, const char *line)
{
    const HIST_ENTRY *last = history_length ? history_get(history_base + history_length - 1) : NULL;
    if (strspn(line, " \t") == strlen(line) || (last && strcmp(last->line, line) == 0))
        return;
    add_history(line);
    e->added++;
}

static fen_read edit_next(fen_reader *r, const char *ask, fen_str *ret_line)
{
    editor *e = (editor *)r;
    fen_str_clear(ret_line);
    fen_read result = read_keys(e, ask);
    if (result == FEN_READ_END)
        fputs("\n", stdout); /* what follows begins on a line of its own */
    if (result != FEN_READ_LINE)
        return result;
    if (strlen(e->got) > FEN_LINE_MAX) {
        result = FEN_READ_LONG;
    } else {
        fen_str_puts(ret_line, e->got);
        add_to_history(e, e->got);
    }
    free(e->got); /* readline's own malloc */
    e->got = NULL;
    if (!fen_str_status(ret_line))
        return result;
    errno = ENOMEM;
    return FEN_READ_FAILED;
}

/* ---- completion --------------------------------------------------------------------- */

static char *next_candidate(const char *text, int state)
{
    (void)text;
    editor *e = the_editor;
    if (!state)
        e->next_candidate = 0;
    /* readline frees it, so it must come from malloc */
    return e->next_candidate < e->candidates.at.count ? strdup(e->candidates.at.at[e->next_candidate++]) : NULL;
}

static char **complete(const char *text, int start, int end)
{
    editor *e = the_editor;
    char **matches = NULL;
    rl_attempted_completion_over = 1; /* file names only where they belong */
    if (e->set.complete(e->set.arg, rl_line_buffer, (size_t)start, (size_t)end, &e->candidates))
        return NULL;
    if (e->candidates.files) {
        rl_filename_completion_desired = 1;
        matches = rl_completion_matches(text, rl_filename_completion_function);
    } else {
        matches = rl_completion_matches(text, next_candidate);
    }
    fen_candidates_free(&e->candidates);
    return matches;
}

/* ---- history ------------------------------------------------------------------------- */

/* The file exists, for nobody's eyes but the owner's, whatever umask says and
 * however it was left. */
static bool make_private(const char *file)
{
    const int fd = open(file, O_RDWR | O_CREAT | O_CLOEXEC, 0600);
    if (fd < 0)
        return false;
    const bool ok = fchmod(fd, 0600) == 0;
    close(fd);
    return ok;
}

static void open_history(editor *e)
{
    using_history();
    stifle_history(HISTORY_LINES);
    fen_str_init(&e->history, 4096);
    if (!e->set.folder)
        return;
    fen_str_printf(&e->history, "%s/history", e->set.folder);
    if (!fen_str_status(&e->history))
        read_history(e->history.at); /* the first time there is none */
}

static void save_history(editor *e)
{
    if (!e->history.len || !e->added)
        return;
    const bool ok = !fen_file_make_folders(e->set.folder, 0700) && make_private(e->history.at) &&
                    append_history(e->added, e->history.at) == 0 && history_truncate_file(e->history.at, HISTORY_LINES) == 0 &&
                    make_private(e->history.at);
    if (!ok)
        fen_messagef(e->set.err, FEN_WARNING, e->history.at, "the history of this talk is not kept: %s", strerror(errno));
}

/* ---- opening and closing ---------------------------------------------------------------- */

static void edit_close(fen_reader *r)
{
    editor *e = (editor *)r;
    save_history(e);
    clear_history();
    unwatch_signals(e);
    fen_str_free(&e->history);
    the_editor = NULL;
    fen_free(e);
}

static void set_readline(void)
{
    rl_readline_name = "fenmend";     /* for $if in the user's inputrc */
    rl_catch_signals = 0;             /* ours, see above */
    rl_catch_sigwinch = 0;
    rl_change_environment = 0;        /* else it sets COLUMNS, and the window's size is never asked again */
    rl_attempted_completion_function = complete;
    rl_completer_word_break_characters = " \t,"; /* a name has hyphens; answers of `several` commas */
    rl_completer_quote_characters = "";
}

fen_reader *fen_edit_open(const fen_edit_setup *setup)
{
    if (the_editor)
        return NULL;
    editor *e = fen_calloc(1, sizeof *e);
    if (!e)
        return NULL;
    e->base = (fen_reader){.next = edit_next, .close = edit_close, .terminal = true};
    e->set = *setup;
    the_editor = e;
    set_readline();
    open_history(e);
    watch_signals(e);
    return &e->base;
}
