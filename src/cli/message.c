#include "message.h"

#include <errno.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "term.h"
#include "util/utf8.h"

enum { MESSAGE_MAX = 64 << 10 }; /* bytes: far more than any call composes */

static const char *const severity_word[] = {
    [FEN_NOTE] = "note",
    [FEN_WARNING] = "warning",
    [FEN_ERROR] = "error",
};

fen_exit fen_exit_for(fen_status st, int error)
{
    static const int callers_fault[] = {ENOENT, ENOTDIR, EISDIR, EACCES, EPERM, ELOOP, ENAMETOOLONG, EINVAL, EEXIST, EROFS, EBADF};
    switch (st) {
    case FEN_OK:
        return FEN_EXIT_DONE;
    case FEN_EINPUT:
        return FEN_EXIT_INPUT;
    case FEN_ENOMEM:
        return FEN_EXIT_MACHINE;
    case FEN_EIO:
        break;
    }
    for (size_t i = 0; i < sizeof callers_fault / sizeof *callers_fault; i++)
        if (error == callers_fault[i])
            return FEN_EXIT_INPUT;
    return FEN_EXIT_MACHINE;
}

/* "WHERE: error: TEXT" on one line, with nothing in it that could move a cursor. */
static void compose(fen_str *line, fen_severity severity, const char *where, const char *text)
{
    const bool ascii = !fen_term_utf8();
    if (where) {
        fen_utf8_clean(line, where, strlen(where), false, ascii);
        fen_str_puts(line, ": ");
    }
    fen_str_puts(line, severity_word[severity]);
    fen_str_puts(line, ": ");
    fen_utf8_clean(line, text, strlen(text), false, ascii);
}

/* Without memory for the tidy line, that at least is said. */
static void print(fen_sink *err, const fen_str *line)
{
    fen_sink_puts(err, fen_str_status(line) ? "error: no memory left to say what went wrong" : line->at);
    fen_sink_puts(err, "\n");
}

void fen_message(fen_sink *err, fen_severity severity, const char *where, const char *text)
{
    fen_str line;
    fen_str_init(&line, MESSAGE_MAX);
    compose(&line, severity, where, text);
    print(err, &line);
    fen_str_free(&line);
}

void fen_message_wrapped(fen_sink *err, fen_severity severity, const char *text, size_t width)
{
    fen_str line, lines;
    fen_str_init(&line, MESSAGE_MAX);
    fen_str_init(&lines, 2 * MESSAGE_MAX);
    compose(&line, severity, NULL, text);
    fen_utf8_wrap(&lines, line.at, line.len, width, 2, 0);
    if (fen_str_status(&line))
        lines.failed = true;
    print(err, &lines);
    fen_str_free(&line);
    fen_str_free(&lines);
}

void fen_messagef(fen_sink *err, fen_severity severity, const char *where, const char *format, ...)
{
    char text[1024];
    va_list args;
    va_start(args, format);
    vsnprintf(text, sizeof text, format, args);
    va_end(args);
    fen_message(err, severity, where, text);
}

void fen_message_status(fen_sink *err, const char *where, fen_status st, int error)
{
    if (st == FEN_EIO && error)
        fen_messagef(err, FEN_ERROR, where, "%s", strerror(error));
    else
        fen_messagef(err, FEN_ERROR, where, "%s", fen_status_text(st));
}
