/* page.c -- see page.h. A paragraph is gathered here; page_wrap.c lays it out.
 */
#include "page.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "page_own.h"
#include "util/alloc.h"
#include "util/utf8.h"

enum {
    NARROWEST = 32,
    WIDEST = 100,       /* longer lines are hard to read, however wide the window */
    LONGEST = 16 << 20, /* bytes of a page: far above any view */
};

fen_status fen_page_new(fen_look look, fen_page **ret_page)
{
    fen_page *page = fen_calloc(1, sizeof *page);
    if (!page)
        return FEN_ENOMEM;
    page->look = look;
    if (page->look.width < NARROWEST)
        page->look.width = NARROWEST;
    if (page->look.width > WIDEST)
        page->look.width = WIDEST;
    fen_str_init(&page->out, LONGEST);
    fen_str_init(&page->para, LONGEST);
    fen_str_init(&page->scratch, LONGEST);
    *ret_page = page;
    return FEN_OK;
}

void fen_page_free(fen_page *page)
{
    if (!page)
        return;
    fen_str_free(&page->out);
    fen_str_free(&page->para);
    fen_str_free(&page->scratch);
    fen_free(page);
}

void fen_page_clear(fen_page *page)
{
    fen_str_clear(&page->out);
    fen_str_clear(&page->para);
}

const char *fen_page_text(const fen_page *page, size_t *ret_len)
{
    if (ret_len)
        *ret_len = page->out.len;
    return page->out.at;
}

fen_status fen_page_status(const fen_page *page)
{
    if (page->status)
        return page->status;
    if (fen_str_status(&page->out) || fen_str_status(&page->para) || fen_str_status(&page->scratch))
        return FEN_ENOMEM;
    return FEN_OK;
}

void fen_page_fail(fen_page *page, fen_status st)
{
    if (!page->status)
        page->status = st;
}

fen_look fen_page_look(const fen_page *page)
{
    return page->look;
}

uint32_t fen_page_width(const fen_page *page)
{
    return page->look.width;
}

const char *fen_page_glyph(const fen_page *page, fen_glyph glyph)
{
    static const char *const glyphs[FEN_GLYPHS][2] = {
        [FEN_GLYPH_DASH] = { "\xe2\x80\x93", "-" },
        [FEN_GLYPH_TO] = { "\xe2\x86\x92", "->" },
        [FEN_GLYPH_BAR] = { "\xe2\x96\xa0", "#" },
        [FEN_GLYPH_BAR_REST] = { "\xc2\xb7", "." },
    };
    return glyphs[glyph][page->look.ascii];
}

/* Deep trees must leave half a line to their text. */
static unsigned bounded(const fen_page *page, unsigned indent)
{
    return indent > page->look.width / 2 ? page->look.width / 2 : indent;
}

void fen_page_open(fen_page *page, unsigned first, unsigned rest)
{
    fen_str_clear(&page->para);
    page->first = bounded(page, first);
    page->rest = bounded(page, rest);
}

void fen_page_open_mark(fen_page *page, unsigned indent, const char *mark)
{
    const size_t width = fen_utf8_width(mark, strlen(mark)) + 1;
    fen_page_open(page, indent, indent + (unsigned)width);
    fen_page_say(page, FEN_TONE_PLAIN, mark);
    fen_str_putc(&page->para, FEN_GLUE);
}

void fen_page_say(fen_page *page, fen_tone tone, const char *text)
{
    fen_str_putc(&page->para, (char)(FEN_TONE_MARK + (int)tone));
    for (const char *glue; (glue = strstr(text, FEN_NBSP)); text = glue + strlen(FEN_NBSP)) {
        fen_utf8_clean(&page->para, text, (size_t)(glue - text), false, page->look.ascii);
        fen_str_putc(&page->para, FEN_GLUE);
    }
    fen_utf8_clean(&page->para, text, strlen(text), false, page->look.ascii);
}

FEN_PRINTF(3, 0)
static void say_args(fen_page *page, fen_tone tone, const char *format, va_list args)
{
    char small[512];
    va_list again;
    va_copy(again, args);
    const int n = vsnprintf(small, sizeof small, format, again);
    va_end(again);
    if (n < 0 || (size_t)n < sizeof small) {
        fen_page_say(page, tone, n < 0 ? "" : small);
        return;
    }
    char *big = fen_alloc((size_t)n + 1);
    if (!big) {
        fen_page_fail(page, FEN_ENOMEM);
        return;
    }
    vsnprintf(big, (size_t)n + 1, format, args);
    fen_page_say(page, tone, big);
    fen_free(big);
}

void fen_page_sayf(fen_page *page, fen_tone tone, const char *format, ...)
{
    va_list args;
    va_start(args, format);
    say_args(page, tone, format, args);
    va_end(args);
}

void fen_page_line(fen_page *page, unsigned indent, fen_tone tone, const char *format, ...)
{
    va_list args;
    fen_page_open(page, indent, indent);
    va_start(args, format);
    say_args(page, tone, format, args);
    va_end(args);
    fen_page_close(page);
}

void fen_page_gap(fen_page *page)
{
    const fen_str *out = &page->out;
    if (out->len == 0 || (out->len >= 2 && out->at[out->len - 1] == '\n' && out->at[out->len - 2] == '\n'))
        return;
    fen_str_putc(&page->out, '\n');
}

void fen_page_title(fen_page *page, const char *text)
{
    fen_page_gap(page);
    fen_page_line(page, 0, FEN_TONE_STRONG, "%s", text);
}

void fen_page_raw(fen_page *page, const char *text)
{
    fen_utf8_clean(&page->out, text, strlen(text), true, page->look.ascii);
}

/* An empty text is an empty line. */
void fen_show_text(fen_page *page, const char *text)
{
    do {
        const char *stop = strchr(text, '\n');
        const size_t len = stop ? (size_t)(stop - text) : strlen(text);
        fen_page_open(page, 0, 0);
        fen_str_clear(&page->scratch);
        fen_str_put(&page->scratch, text, len);
        fen_page_say(page, FEN_TONE_PLAIN, page->scratch.at);
        fen_page_close(page);
        text += len + (stop != NULL);
    } while (*text);
}
