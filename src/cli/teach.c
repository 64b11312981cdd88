/* teach.c -- see teach.h. The words are a table; what each does is a function of the dialogue.
 */
#include "teach.h"

#include <errno.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

#include "columns.h"
#include "names.h"
#include "paths.h"
#include "term.h"
#include "util/limits.h"
#include "util/near.h"

typedef struct talk {
    const fen_teach *t;
    fen_lesson *l;
    fen_page *page;
    size_t at;        /* the proposal in question */
    bool leave, kept, rule, refused;
    fen_exit exit;
} talk;

/* ---- saying things ----------------------------------------------------------------------- */

fen_exit fen_teach_complain(fen_sink *err, fen_look look, const char *what, fen_status st, int error, const fen_problems *problems)
{
    fen_page *page;
    if (st == FEN_EINPUT && problems && fen_problems_errors(problems) && !fen_page_new(look, &page)) {
        size_t len;
        fen_show_problems(page, problems);
        const char *text = fen_page_text(page, &len);
        fen_sink_put(err, text, len);
        fen_page_free(page);
    } else {
        fen_message_status(err, what, st, error);
    }
    return fen_exit_for(st, error);
}

static void flush(talk *k)
{
    size_t len;
    const char *text = fen_page_text(k->page, &len);
    fen_sink_put(k->t->out, text, len);
    if (fen_page_status(k->page)) {
        fen_message_status(k->t->err, "fenmend", FEN_ENOMEM, 0);
        k->exit = FEN_EXIT_MACHINE;
        k->leave = true;
    }
    fen_page_clear(k->page);
}

static void tell(talk *k, const char *format, ...) FEN_PRINTF(2, 3);
static void tell(talk *k, const char *format, ...)
{
    char text[1024];
    va_list args;
    va_start(args, format);
    vsnprintf(text, sizeof text, format, args);
    va_end(args);
    fen_show_text(k->page, text);
    flush(k);
}

static void refuse(talk *k, const char *format, ...) FEN_PRINTF(2, 3);
static void refuse(talk *k, const char *format, ...)
{
    char text[512], where[32];
    va_list args;
    va_start(args, format);
    vsnprintf(text, sizeof text, format, args);
    va_end(args);
    if (fen_sink_finish(k->t->out))
        k->leave = true;
    snprintf(where, sizeof where, "stdin:%u", k->t->line ? (unsigned)*k->t->line : 0u);
    if (k->t->in->terminal)
        fen_message_wrapped(k->t->err, FEN_ERROR, text, k->t->look.width);
    else
        fen_message(k->t->err, FEN_ERROR, k->t->line ? where : NULL, text);
    if (fen_sink_finish(k->t->err))
        k->leave = true;
    k->refused = true;
}

static void part(talk *k)
{
    fen_sink_puts(k->t->out, "\n");
}

/* ST, with its problems, told; true if it was a failure. */
static bool failed(talk *k, fen_status st, const fen_problems *problems)
{
    if (!st)
        return false;
    const int error = errno;
    if (fen_sink_finish(k->t->out))
        k->leave = true;
    const fen_exit e = fen_teach_complain(k->t->err, k->t->look, "fenmend", st, error, problems);
    if (e > k->exit)
        k->exit = e;
    return true;
}

static void show_proposal(talk *k)
{
    part(k);
    fen_show_proposal(k->page, k->l, k->at);
    flush(k);
}

/* ---- keeping --------------------------------------------------------------------------------- */

static void say_case(talk *k, fen_settled_put put)
{
    static const char *const what[] = {
        [FEN_SETTLED_ADDED] = "is now among", [FEN_SETTLED_SAME] = "was already among", [FEN_SETTLED_GREW] = "stands, as it is now, among",
        [FEN_SETTLED_REPLACED] = "takes the place of the other of its name among", [FEN_SETTLED_OTHER] = "is not among",
    };
    tell(k, "The case '%s' %s the settled cases in %s.", k->t->lesson.c->id, what[put], k->t->lesson.store);
}

/* Proposal I, or the case alone. */
static void keep(talk *k, size_t i)
{
    fen_problems *problems = NULL;
    fen_settled_put put = FEN_SETTLED_OTHER;
    const size_t changed = i == FEN_LESSON_NONE ? 0 : fen_lesson_at(k->l, i)->n_changed;
    fen_status st = fen_problems_new(&problems);
    if (!st)
        st = fen_paths_make_room(k->t->lesson.store);
    if (!st)
        st = fen_paths_make_room(k->t->lesson.pack); /* of a case alone too: its lock lies there */
    if (!st)
        st = fen_lesson_keep(k->l, i, problems, &put);
    const int error = errno;
    if (put != FEN_SETTLED_OTHER)
        say_case(k, put);
    errno = error;
    if (failed(k, st, problems)) {
        if (i != FEN_LESSON_NONE)
            fen_message(k->t->err, FEN_NOTE, NULL, put != FEN_SETTLED_OTHER ? "the rule was not kept; the same lesson again completes it" : "nothing was kept");
    } else {
        k->kept = k->leave = true;
        k->rule = i != FEN_LESSON_NONE;
        if (i != FEN_LESSON_NONE)
            tell(k, "The rule '%s' is kept in %s. 'fenmend lesson --undo' takes both back.%s", fen_lesson_rule(k->l), k->t->lesson.pack,
                 k->t->later ? " 'lesson' goes by it from now on, the questions from the next start." : "");
        if (changed && k->exit < FEN_EXIT_ATTENTION)
            k->exit = FEN_EXIT_ATTENTION;
    }
    fen_problems_free(problems);
}

/* ---- the words ---------------------------------------------------------------------------------- */

static bool has_proposal(talk *k)
{
    if (fen_lesson_count(k->l))
        return true;
    refuse(k, "there is no proposal; 'case' keeps the case alone, 'leave' keeps nothing");
    return false;
}

static void run_keep(talk *k, const char *rest)
{
    (void)rest;
    if (has_proposal(k))
        keep(k, k->at);
}

static void run_case(talk *k, const char *rest)
{
    (void)rest;
    keep(k, FEN_LESSON_NONE);
}

/* NARROW or LIGHTEN on the proposal at hand, and what came of it. */
static void change(talk *k, fen_status (*work)(fen_lesson *, size_t, fen_problems *))
{
    fen_problems *problems = NULL;
    fen_status st = fen_problems_new(&problems);
    if (!st)
        st = work(k->l, k->at, problems);
    if (failed(k, st, problems))
        k->leave = st != FEN_EINPUT;
    fen_problems_free(problems);
}

static void run_narrow(talk *k, const char *rest)
{
    (void)rest;
    if (!has_proposal(k))
        return;
    if (!fen_lesson_at(k->l, k->at)->n_changed) {
        refuse(k, "no settled verdict would change, so there is nothing to narrow; 'keep' keeps it, 'another' shows the next");
        return;
    }
    change(k, fen_lesson_narrow);
    if (k->leave)
        return;
    show_proposal(k);
    if (fen_lesson_at(k->l, k->at)->stuck)
        tell(k, "'keep' keeps it all the same, with the changes named above; 'lighter' moves less weight; 'another' shows the next; 'leave' keeps nothing.");
}

static void run_lighter(talk *k, const char *rest)
{
    (void)rest;
    if (!has_proposal(k))
        return;
    if (fen_lesson_at(k->l, k->at)->light) {
        refuse(k, "no less weight would put the true cause ahead; 'narrow' or 'another' may help");
        return;
    }
    change(k, fen_lesson_lighten);
    if (!k->leave && fen_lesson_at(k->l, k->at)->light)
        show_proposal(k);
    else if (!k->leave)
        refuse(k, "no less weight would put the true cause ahead; 'narrow' or 'another' may help");
}

static void run_another(talk *k, const char *rest)
{
    (void)rest;
    if (!has_proposal(k))
        return;
    k->at = (k->at + 1) % fen_lesson_count(k->l);
    show_proposal(k);
}

static const char *const parts[] = { "all", "case", "changes", "rule" };

static void run_show(talk *k, const char *rest)
{
    static const struct { const char *name; void (*show)(fen_page *, fen_lesson *, size_t); } views[] = {
        { "rule", fen_show_proposal_rule }, { "changes", fen_show_proposal_changes }, { "all", fen_show_proposals }, { "", fen_show_proposal },
    };
    if (strcmp(rest, "case") == 0) {
        part(k);
        fen_show_lesson_case(k->page, k->l);
        flush(k);
        return;
    }
    if (!has_proposal(k))
        return;
    for (size_t i = 0; i < FEN_COUNT(views); i++)
        if (strcmp(rest, views[i].name) == 0) {
            part(k);
            views[i].show(k->page, k->l, k->at);
            flush(k);
            return;
        }
    refuse(k, "'%.60s' cannot be shown; write 'show', 'show all', 'show case', 'show changes' or 'show rule'", rest);
}

static void run_leave(talk *k, const char *rest)
{
    (void)rest;
    k->leave = true;
}

static void run_help(talk *k, const char *rest);

static const struct word {
    const char *name, *arguments, *does;
    void (*run)(talk *k, const char *rest);
} words[] = {
    { "keep", NULL, "keep the rule in your own pack, and the case among the settled ones", run_keep },
    { "narrow", NULL, "add what tells this plant from those whose verdict would change, until none does", run_narrow },
    { "lighter", NULL, "move only as much weight as it takes", run_lighter },
    { "another", NULL, "the next proposal", run_another },
    { "show", "[all|case|changes|rule]", "this proposal again; all in short; the case; what would change; the rule", run_show },
    { "case", NULL, "keep the case alone, and no rule", run_case },
    { "leave", NULL, "keep nothing", run_leave },
    { "?", NULL, "these words", run_help },
};

static void run_help(talk *k, const char *rest)
{
    fen_str out;
    (void)rest;
    fen_str_init(&out, 1u << 16);
    for (size_t i = 0; i < sizeof words / sizeof *words; i++) {
        char usage[64];
        snprintf(usage, sizeof usage, "%s%s%s", words[i].name, words[i].arguments ? " " : "", words[i].arguments ? words[i].arguments : "");
        fen_columns_put(&out, usage, words[i].does, 12, k->t->look.width);
    }
    if (!failed(k, fen_str_status(&out), NULL))
        fen_sink_puts(k->t->out, out.at);
    fen_str_free(&out);
}

/* ---- one line ------------------------------------------------------------------------------------- */

static void take_line(talk *k, const char *text)
{
    const char *rest = text, *word;
    const size_t len = fen_names_word(&rest, &word);
    fen_near near;
    if (!len) {
        run_help(k, "");
        return;
    }
    fen_near_begin(&near, word, len);
    for (size_t i = 0; i < sizeof words / sizeof *words; i++) {
        fen_near_offer(&near, words[i].name);
        if (!fen_names_same(word, len, words[i].name) && !(len == 4 && memcmp(word, "help", 4) == 0 && words[i].run == run_help))
            continue;
        if (*rest && !words[i].arguments)
            refuse(k, "'%s' takes nothing after it", words[i].name);
        else
            words[i].run(k, rest);
        return;
    }
    refuse(k, "'%.*s' is no word here; %s%s%s", (int)(len > 60 ? 60 : len), word, near.name ? "did you mean '" : "'?' lists them", near.name ? near.name : "",
           near.name ? "'" : "");
}

static bool offer(fen_candidates *c, const char *candidate, const char *word, size_t len)
{
    return (len && !fen_names_begins(word, len, candidate)) || FEN_VEC_PUSH(&c->at, candidate);
}

fen_status fen_teach_complete(const char *line, size_t start, size_t end, fen_candidates *ret)
{
    const char *rest = line + strspn(line, " \t"), *word;
    fen_candidates c = { .files = false };
    bool kept = true;
    if (rest >= line + start) {
        for (size_t i = 0; i < FEN_COUNT(words); i++)
            kept = offer(&c, words[i].name, line + start, end - start) && kept;
    } else {
        const size_t len = fen_names_word(&rest, &word);
        for (size_t i = 0; i < FEN_COUNT(parts) && fen_names_same(word, len, "show") && rest >= line + start; i++)
            kept = offer(&c, parts[i], line + start, end - start) && kept;
    }
    *ret = c;
    if (kept)
        return FEN_OK;
    fen_candidates_free(ret);
    return FEN_ENOMEM;
}

static void take_bytes(talk *k, fen_str *bytes)
{
    fen_str text;
    fen_str_init(&text, 4 * FEN_LINE_MAX + 16);
    const char *line = fen_term_line(&text, bytes);
    if (line)
        take_line(k, line);
    else if (!failed(k, fen_str_status(&text), NULL))
        refuse(k, "the line is not valid text; write one of the words that '?' lists");
    fen_str_free(&text);
}

static void read_one(talk *k, fen_str *line)
{
    const fen_read r = k->t->in->next(k->t->in, "lesson> ", line);
    const int error = errno;
    if (k->t->line && r != FEN_READ_ABANDONED)
        ++*k->t->line;
    switch (r) {
    case FEN_READ_LINE:
        take_bytes(k, line);
        break;
    case FEN_READ_LONG:
        refuse(k, "the line is too long; write one of the words that '?' lists");
        break;
    case FEN_READ_ABANDONED:
        break;
    case FEN_READ_END:
        k->leave = true;
        break;
    case FEN_READ_FAILED:
        fen_message_status(k->t->err, "standard input", error == ENOMEM ? FEN_ENOMEM : FEN_EIO, error);
        k->exit = fen_exit_for(error == ENOMEM ? FEN_ENOMEM : FEN_EIO, error);
        k->leave = true;
        break;
    }
}

/* ---- all of it --------------------------------------------------------------------------------------- */

static void say_none(talk *k)
{
    if (fen_lesson_behind(k->l) > FEN_LESSON_WEIGHT_MAX)
        tell(k, "It is more than %d dBan behind, and one plant is no ground to move more: look whether its answers are right, or whether a rule for it is missing.",
             (int)(FEN_LESSON_WEIGHT_MAX / FEN_DBAN));
    else
        tell(k, "No rule was found that would put it right.");
}

static void ask(talk *k)
{
    fen_str line;
    fen_str_init(&line, FEN_LINE_MAX + 1);
    if (fen_lesson_count(k->l)) {
        show_proposal(k);
        part(k);
        tell(k, "'keep', %s'another', 'lighter', 'show', 'case' or 'leave'; '?' says what they do.",
             fen_lesson_at(k->l, 0)->n_changed ? "'narrow', " : "");
    } else {
        say_none(k);
        tell(k, "'case' keeps the case alone among the settled ones, 'leave' keeps nothing.");
    }
    while (!k->leave && !fen_sink_finish(k->t->out))
        read_one(k, &line);
    fen_str_free(&line);
}

static void narrow_any(talk *k)
{
    for (k->at = 0; k->at < fen_lesson_count(k->l) && !k->leave; k->at++) {
        change(k, fen_lesson_narrow);
        if (!k->leave && fen_lesson_at(k->l, k->at)->n_changed == 0) {
            show_proposal(k);
            part(k);
            keep(k, k->at);
            return;
        }
    }
    if (!k->leave)
        tell(k, "No rule was found that puts it right and changes no settled verdict.");
}

static void unattended(talk *k)
{
    const size_t n = fen_lesson_count(k->l);
    if (!n)
        say_none(k);
    else if (k->t->wish == FEN_WISH_NARROW)
        narrow_any(k);
    else if (k->t->wish == FEN_WISH_FIRST) {
        show_proposal(k);
        part(k);
        keep(k, 0);
    } else
        for (k->at = 0; k->at < n; k->at++)
            show_proposal(k);
}

static void learn(talk *k)
{
    fen_problems *problems = NULL;
    fen_status st = fen_problems_new(&problems);
    if (!st)
        st = fen_lesson_propose(k->l, problems);
    const bool lost = failed(k, st, problems);
    fen_problems_free(problems);
    if (lost)
        return;
    if (k->t->wish == FEN_WISH_ASK)
        ask(k);
    else
        unattended(k);
}

static void hold(talk *k)
{
    fen_show_lesson_case(k->page, k->l);
    flush(k);
    switch (fen_lesson_how(k->l)) {
    case FEN_LESSON_RIGHT:
        if (k->t->wish != FEN_WISH_NONE)
            keep(k, FEN_LESSON_NONE);
        return;
    case FEN_LESSON_UNFIT:
        tell(k, "No rule can change that: look at 'kinds' where the cause is declared, and at the kind of this case. Nothing was kept.");
        k->exit = k->exit > FEN_EXIT_ATTENTION ? k->exit : FEN_EXIT_ATTENTION;
        return;
    case FEN_LESSON_WRONG:
        learn(k);
        break;
    }
    if (!k->kept)
        tell(k, "Nothing was kept.");
    if (k->refused && !(k->t->in && k->t->in->terminal) && k->exit < FEN_EXIT_INPUT)
        k->exit = FEN_EXIT_INPUT;
    if (!k->kept && k->exit < FEN_EXIT_ATTENTION)
        k->exit = FEN_EXIT_ATTENTION;
}

fen_exit fen_teach_run(const fen_teach *teach, bool *ret_kept, bool *ret_rule)
{
    talk k = { .t = teach, .exit = FEN_EXIT_DONE };
    fen_problems *problems = NULL;
    fen_status st = fen_problems_new(&problems);
    if (!st)
        st = fen_page_new(teach->look, &k.page);
    if (!st)
        st = fen_lesson_new(&teach->lesson, problems, &k.l);
    if (!failed(&k, st, problems))
        hold(&k);
    fen_lesson_free(k.l);
    fen_page_free(k.page);
    fen_problems_free(problems);
    *ret_kept = k.kept;
    *ret_rule = k.rule;
    return k.exit;
}
