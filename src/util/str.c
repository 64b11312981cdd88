#include "str.h"

#include <stdio.h>
#include <string.h>

#include "alloc.h"

/* What an unused text points at, so that readers need no NULL check. Never
 * written: put() allocates before it stores the first byte. */
static char nothing[1];

void fen_str_init(fen_str *s, size_t max)
{
    *s = (fen_str){ .at = nothing, .max = max };
}

void fen_str_free(fen_str *s)
{
    if (s->cap)
        fen_free(s->at);
    fen_str_init(s, s->max);
}

void fen_str_clear(fen_str *s)
{
    s->len = 0;
    if (s->cap)
        s->at[0] = '\0';
}

/* Room for MORE bytes and the NUL; doubling keeps appending linear. */
static bool room(fen_str *s, size_t more)
{
    if (s->failed)
        return false;
    if (more > s->max - s->len || s->max == (size_t)-1) {
        s->failed = true;
        return false;
    }
    const size_t need = s->len + more + 1;
    if (need <= s->cap)
        return true;
    size_t want = s->cap ? s->cap : 64;
    while (want < need)
        want = want > (size_t)-1 / 2 ? need : want * 2;
    if (want > s->max + 1)
        want = s->max + 1;
    char *p = fen_realloc(s->cap ? s->at : NULL, want, 1);
    if (!p) {
        s->failed = true;
        return false;
    }
    s->at = p;
    s->cap = want;
    return true;
}

void fen_str_put(fen_str *s, const char *bytes, size_t len)
{
    if (!len || !room(s, len))
        return;
    memcpy(s->at + s->len, bytes, len);
    s->len += len;
    s->at[s->len] = '\0';
}

void fen_str_puts(fen_str *s, const char *text)
{
    fen_str_put(s, text, strlen(text));
}

void fen_str_putc(fen_str *s, char c)
{
    if (s->failed || s->len + 1 >= s->cap) {
        fen_str_put(s, &c, 1);
        return;
    }
    s->at[s->len++] = c;
    s->at[s->len] = '\0';
}

char *fen_str_room(fen_str *s, size_t more)
{
    return room(s, more) ? s->at + s->len : NULL;
}

void fen_str_end(fen_str *s, const char *end)
{
    s->len = (size_t)(end - s->at);
    s->at[s->len] = '\0';
}

void fen_str_vprintf(fen_str *s, const char *format, va_list args)
{
    va_list again;
    va_copy(again, args);
    const int len = vsnprintf(NULL, 0, format, again);
    va_end(again);
    if (len < 0)
        s->failed = true;
    else if (len > 0 && room(s, (size_t)len)) {
        vsnprintf(s->at + s->len, (size_t)len + 1, format, args);
        s->len += (size_t)len;
    }
}

void fen_str_printf(fen_str *s, const char *format, ...)
{
    va_list args;
    va_start(args, format);
    fen_str_vprintf(s, format, args);
    va_end(args);
}

fen_status fen_str_status(const fen_str *s)
{
    return s->failed ? FEN_ENOMEM : FEN_OK;
}
