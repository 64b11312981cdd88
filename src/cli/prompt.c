#include "prompt.h"

#include <errno.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "names.h"
#include "prompt_state.h"
#include "prompt_words.h"
#include "term.h"
#include "util/alloc.h"
#include "util/date.h"
#include "util/limits.h"
#include "util/near.h"

/* ---- saying things --------------------------------------------------------- */

void fen_prompt_part(fen_prompt *p)
{
    fen_sink_puts(p->set.out, "\n");
}

void fen_prompt_flush(fen_prompt *p)
{
    size_t len;
    const char *text = fen_page_text(p->page, &len);
    fen_sink_put(p->set.out, text, len);
    if (fen_page_status(p->page))
        fen_prompt_fault(p, NULL, FEN_ENOMEM, 0);
    fen_page_clear(p->page);
    p->fresh = false;
}

/* A new page if the window has changed; the old one does when there is no memory. */
static void fit_window(fen_prompt *p)
{
    const fen_look now = p->set.look(p->set.look_arg);
    fen_page *page;
    if (now.width == p->look.width && now.colour == p->look.colour && now.ascii == p->look.ascii)
        return;
    if (fen_page_new(now, &page))
        return;
    fen_page_free(p->page);
    p->page = page;
    p->look = now;
}

/* A pipe's lines are found again by number; on a terminal the line is in sight.
 * What was said before must stand before it where both go to one screen. */
static void complain(fen_prompt *p, fen_severity severity, const char *text)
{
    char where[32];
    if (fen_sink_finish(p->set.out))
        p->leave = true;
    snprintf(where, sizeof where, "stdin:%u", (unsigned)p->line);
    if (p->set.in->terminal)
        fen_message_wrapped(p->set.err, severity, text, p->look.width);
    else
        fen_message(p->set.err, severity, severity == FEN_ERROR ? where : NULL, text);
    if (fen_sink_finish(p->set.err))
        p->leave = true;
}

void fen_prompt_refuse(fen_prompt *p, const char *format, ...)
{
    char text[1024];
    va_list args;
    va_start(args, format);
    vsnprintf(text, sizeof text, format, args);
    va_end(args);
    complain(p, FEN_ERROR, text);
    if (!p->set.in->terminal && p->exit < FEN_EXIT_INPUT)
        p->exit = FEN_EXIT_INPUT;
}

void fen_prompt_problems(fen_prompt *p, const fen_problems *problems)
{
    if (fen_sink_finish(p->set.out))
        p->leave = true;
    const fen_exit e = fen_teach_complain(p->set.err, p->look, "fenmend", FEN_EINPUT, 0, problems);
    if (fen_sink_finish(p->set.err))
        p->leave = true;
    if (!p->set.in->terminal && p->exit < e)
        p->exit = e;
}

void fen_prompt_fault(fen_prompt *p, const char *what, fen_status st, int error)
{
    char text[512];
    snprintf(text, sizeof text, "%s%s%s; the case is as it was", what ? what : "", what ? ": " : "",
             st == FEN_EIO && error ? strerror(error) : fen_status_text(st));
    complain(p, FEN_ERROR, text);
    const fen_exit e = fen_exit_for(st, error);
    if (!p->set.in->terminal && p->exit < e)
        p->exit = e;
}

void fen_prompt_tell(fen_prompt *p, const char *format, ...)
{
    char text[1024];
    va_list args;
    va_start(args, format);
    vsnprintf(text, sizeof text, format, args);
    va_end(args);
    fen_show_text(p->page, text);
    fen_prompt_flush(p);
}

/* ---- one line ---------------------------------------------------------------- */

/* Is TEXT, whole, an answer of the open question? */
static bool is_exactly_an_answer(const fen_prompt *p, const char *text)
{
    if (!p->open)
        return false;
    const fen_finding *f = fen_base_finding(p->base, p->q.finding);
    for (uint32_t i = 0; i < f->n_options; i++)
        if (fen_names_same(text, strlen(text), f->options[i].id) || fen_names_same(text, strlen(text), f->options[i].say))
            return true;
    return false;
}

/* What was most likely meant by a line that is no answer: a word of the prompt
 * that is nearer than any answer, or NULL. */
static const char *near_word(const fen_prompt *p, const char *text, size_t len)
{
    fen_near near;
    fen_near_begin(&near, text, len);
    if (p->open) {
        const fen_finding *f = fen_base_finding(p->base, p->q.finding);
        for (uint32_t i = 0; i < f->n_options; i++)
            fen_near_offer(&near, f->options[i].id);
    }
    const char *answer = near.name;
    for (size_t i = 0; i < fen_prompt_word_count(); i++)
        fen_near_offer(&near, fen_prompt_word_at(i)->name);
    return near.name != answer ? near.name : NULL;
}

/* The first word is a finding: whoever writes "crown-feel soft" means a note. */
static bool names_a_finding(const fen_prompt *p, const char *text, size_t len)
{
    const fen_id f = fen_base_findings(p->base);
    for (fen_id i = 0; i < f; i++)
        if (!fen_base_finding(p->base, i)->derived && fen_names_same(text, len, fen_base_finding(p->base, i)->id))
            return true;
    return false;
}

static void take_as_answer(fen_prompt *p, const char *text)
{
    char err[256];
    fen_answer a;
    const char *rest = text, *word;
    const size_t len = fen_names_word(&rest, &word);
    fen_status st = FEN_EINPUT;
    if (p->open)
        st = fen_prompt_parse(p, p->q.finding, text, &a, err);
    if (!st) {
        fen_prompt_take(p, p->q.finding, a);
        return;
    }
    const char *meant = near_word(p, word, len);
    if (st != FEN_EINPUT)
        fen_prompt_fault(p, NULL, st, 0);
    else if (names_a_finding(p, word, len))
        fen_prompt_refuse(p, "'%.60s' is not what is asked; to tell it all the same, write 'note %.120s'", text, text);
    else if (meant)
        fen_prompt_refuse(p, "'%.*s' is no %sword of the prompt; did you mean '%s'", (int)(len > 60 ? 60 : len), word,
                          p->open ? "answer and no " : "", meant);
    else if (p->open)
        fen_prompt_refuse(p, "%s", err);
    else
        fen_prompt_refuse(p, "no question is open; an empty line asks on, 'note FINDING ANSWER' tells something, 'help' lists the words");
    if (p->open && !p->fresh && !p->leave)
        fen_prompt_show_question(p);
}

static void empty_line(fen_prompt *p)
{
    if (p->open || p->q.finding != FEN_NONE)
        fen_prompt_show_question(p);
    else
        fen_prompt_say_what_is_left(p);
}

/* A word is meant when what follows can be its arguments: a word that takes
 * nothing leaves "standing water" to the answers. */
static bool is_meant(const fen_prompt_word *w, const char *rest)
{
    return w && (w->takes != FEN_TAKES_NOTHING || !*rest);
}

static void take_line(fen_prompt *p, const char *text)
{
    const char *rest = text, *word;
    const size_t len = fen_names_word(&rest, &word);
    const bool forced = len > 1 && word[0] == '/';
    const fen_prompt_word *w = fen_prompt_word_find(word + forced, len - forced);
    if (!len)
        empty_line(p);
    else if (forced && !w)
        fen_prompt_refuse(p, "'%.*s' is no word of the prompt; 'help' lists them", (int)(len > 60 ? 60 : len), word);
    else if (forced || (!is_exactly_an_answer(p, text) && is_meant(w, rest)))
        w->run(p, rest);
    else
        take_as_answer(p, text);
}

/* From the terminal's bytes to a tidy line: UTF-8, no blanks around it. */
static void take_bytes(fen_prompt *p, const fen_str *bytes)
{
    fen_str text;
    fen_str_init(&text, 4 * FEN_LINE_MAX + 16);
    const char *line = fen_term_line(&text, bytes);
    if (line)
        take_line(p, line);
    else if (fen_str_status(&text))
        fen_prompt_fault(p, NULL, FEN_ENOMEM, 0);
    else if (memchr(bytes->at, '\0', bytes->len))
        fen_prompt_refuse(p, "the line holds a zero byte; write plain text");
    else
        fen_prompt_refuse(p, "the line is not valid text; write it in UTF-8 or the character set of the locale");
    fen_str_free(&text);
}

/* ---- the whole dialogue -------------------------------------------------------- */

static void greet(fen_prompt *p)
{
    fen_prompt_tell(p, "fenmend ranks what may ail one plant, by its rules alone; it can be mistaken.");
    fen_prompt_tell(p, "Answer by word or number; '?' says how to look, 'done' judges, 'quit' leaves.");
}

static void show_known(fen_prompt *p)
{
    char date[FEN_DATE_TEXT];
    if (!p->set.earlier)
        return;
    fen_prompt_part(p);
    if (p->set.follow) {
        fen_date_write(date, p->set.follow->date);
        fen_prompt_tell(p, "The case '%s', last looked at on %s. Taken over from then, as it lasts:", p->set.earlier->id, date);
    } else {
        fen_date_write(date, fen_session_today(p->s));
        fen_prompt_tell(p, "The case '%s', looked at on %s:", p->set.earlier->id, date);
    }
    fen_show_answers(p->page, p->s, (fen_list){p->order.at, p->order.count});
    if (p->set.follow)
        fen_show_promises(p->page, p->s, p->set.follow);
    fen_prompt_flush(p);
}

/* Answers that leaving now would lose. */
static uint32_t count_unkept(const fen_prompt *p)
{
    uint32_t n = 0;
    if (p->kept == UINT32_MAX)
        return p->order.count;
    for (uint32_t i = p->kept; i < p->undo.count; i++)
        n += !p->undo.at[i].skip;
    return n;
}

static void farewell(fen_prompt *p)
{
    const uint32_t n = count_unkept(p);
    if (fen_sink_finish(p->set.out) || !n)
        return;
    char text[512];
    snprintf(text, sizeof text, "%u answer%s not kept; 'keep %.300s' before leaving would have kept the case", (unsigned)n,
             n == 1 ? " is" : "s are", p->file.len ? p->file.at : "FILE");
    complain(p, FEN_NOTE, text);
}

static void read_one(fen_prompt *p, fen_str *line)
{
    char ask[FEN_NAME_MAX + 16];
    snprintf(ask, sizeof ask, "%.64s> ", p->open ? fen_base_finding(p->base, p->q.finding)->id : "fenmend");
    const fen_read r = p->set.in->next(p->set.in, ask, line);
    const int error = errno;
    p->line++;
    fit_window(p);
    switch (r) {
    case FEN_READ_LINE:
        take_bytes(p, line);
        break;
    case FEN_READ_LONG:
        fen_prompt_refuse(p, "the line is longer than %u bytes; write a shorter one", FEN_LINE_MAX);
        break;
    case FEN_READ_ABANDONED:
        p->line--;
        break;
    case FEN_READ_END:
        p->leave = true;
        break;
    case FEN_READ_FAILED:
        if (error == ENOMEM) { /* for this line; there may be some for the next */
            fen_str_free(line);
            fen_prompt_fault(p, NULL, FEN_ENOMEM, 0);
            break;
        }
        p->exit = fen_exit_for(FEN_EIO, error);
        fen_message_status(p->set.err, "standard input", FEN_EIO, error);
        p->leave = true;
        break;
    }
}

fen_exit fen_prompt_run(fen_prompt *p)
{
    fen_str line;
    fen_str_init(&line, FEN_LINE_MAX + 1);
    p->leave = false;
    greet(p);
    show_known(p);
    fen_prompt_ask_on(p);
    /* A failed write is said once, by whoever made the sinks. */
    while (!p->leave && !fen_sink_finish(p->set.out))
        read_one(p, &line);
    farewell(p);
    fen_str_free(&line);
    return p->exit;
}

fen_id fen_prompt_open(const fen_prompt *p)
{
    return p->open ? p->q.finding : FEN_NONE;
}

bool fen_prompt_teaching(const fen_prompt *p)
{
    return p->teaching;
}

/* ---- making ---------------------------------------------------------------------- */

/* What a case file says can be taken back like what was typed. */
static bool remember_given(fen_prompt *p, fen_id finding)
{
    const fen_undo u = {
        .finding = finding,
        .joined = true,
        .asked = {.finding = finding, .reason = FEN_ASK_GAIN, .cause = FEN_NONE, .rule = FEN_NONE},
        .open = true,
    };
    if (fen_session_given(p->s, finding).state == FEN_OPEN)
        return true;
    return FEN_VEC_PUSH(&p->undo, u) && FEN_VEC_PUSH(&p->order, finding);
}

static bool remember_case(fen_prompt *p)
{
    if (!p->set.earlier)
        return true;
    const fen_visit *last = &p->set.earlier->visits[p->set.earlier->n_visits - 1];
    bool ok = remember_given(p, FEN_KIND_FINDING);
    for (size_t i = 0; ok && i < last->n_given; i++)
        if (last->given[i].finding != FEN_KIND_FINDING)
            ok = remember_given(p, last->given[i].finding);
    p->kept = p->undo.count;
    if (p->set.path)
        fen_str_puts(&p->file, p->set.path);
    return ok && !fen_str_status(&p->file);
}

fen_status fen_prompt_new(const fen_prompt_setup *setup, fen_prompt **ret_prompt)
{
    fen_prompt *p = fen_calloc(1, sizeof *p);
    if (!p)
        return FEN_ENOMEM;
    p->set = *setup;
    p->s = setup->session;
    p->base = fen_session_base(p->s);
    p->look = setup->look(setup->look_arg);
    p->q.finding = FEN_NONE;
    p->settled = FEN_NONE;
    fen_str_init(&p->file, FEN_LINE_MAX);
    fen_str_init(&p->refused_file, FEN_LINE_MAX);
    fen_status st = fen_page_new(p->look, &p->page);
    if (!st && !remember_case(p))
        st = FEN_ENOMEM;
    if (st) {
        fen_prompt_free(p);
        return st;
    }
    *ret_prompt = p;
    return FEN_OK;
}

void fen_prompt_free(fen_prompt *p)
{
    if (!p)
        return;
    fen_page_free(p->page);
    FEN_VEC_FREE(&p->undo);
    FEN_VEC_FREE(&p->order);
    fen_str_free(&p->file);
    fen_str_free(&p->refused_file);
    fen_free(p);
}
