#include "sink.h"

#include <errno.h>
#include <stdarg.h>
#include <string.h>

fen_sink fen_sink_file(FILE *file)
{
    return (fen_sink){ .file = file };
}

fen_sink fen_sink_text(fen_str *text)
{
    return (fen_sink){ .text = text };
}

static void note_error(fen_sink *s)
{
    if (!s->error)
        s->error = errno ? errno : EIO;
}

void fen_sink_put(fen_sink *s, const char *bytes, size_t len)
{
    if (s->error)
        return; /* the first failure is the one to tell */
    if (s->text)
        fen_str_put(s->text, bytes, len);
    if (s->file && len) {
        errno = 0;
        if (fwrite(bytes, 1, len, s->file) != len)
            note_error(s);
    }
}

void fen_sink_puts(fen_sink *s, const char *text)
{
    fen_sink_put(s, text, strlen(text));
}

void fen_sink_printf(fen_sink *s, const char *format, ...)
{
    char buf[512];
    va_list args, again;
    va_start(args, format);
    va_copy(again, args);
    const int len = vsnprintf(buf, sizeof buf, format, args);
    va_end(args);
    if (len >= 0 && (size_t)len < sizeof buf) {
        fen_sink_put(s, buf, (size_t)len);
    } else if (!s->error) {
        fen_str big;
        fen_str_init(&big, (size_t)-2);
        if (len < 0)
            big.failed = true;
        else
            fen_str_vprintf(&big, format, again);
        if (fen_str_status(&big))
            s->error = ENOMEM;
        else
            fen_sink_put(s, big.at, big.len);
        fen_str_free(&big);
    }
    va_end(again);
}

/* A stream tells why it failed only once: a flush whose reason is thrown away leaves
 * nothing but the fact behind. */
bool fen_sink_flush(fen_sink *s)
{
    if (s->file && !s->error) {
        errno = 0;
        if (fflush(s->file) || ferror(s->file))
            note_error(s);
    }
    return !s->error;
}

fen_status fen_sink_finish(fen_sink *s)
{
    (void)fen_sink_flush(s);
    if (s->text && fen_str_status(s->text))
        return FEN_ENOMEM;
    if (s->error == ENOMEM)
        return FEN_ENOMEM;
    if (s->error) {
        errno = s->error;
        return FEN_EIO;
    }
    return FEN_OK;
}
