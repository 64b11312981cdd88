/* html.c -- see html.h.
 */
#include "html.h"

#include <stdarg.h>
#include <string.h>

#include "util/utf8.h"

void fen_html_raw(fen_html *h, const char *markup)
{
    fen_str_puts(h->out, markup);
}

void fen_html_rawf(fen_html *h, const char *format, ...)
{
    va_list args;
    va_start(args, format);
    fen_str_vprintf(h->out, format, args);
    va_end(args);
}

static void escape(fen_str *out, const char *text, size_t len)
{
    for (size_t i = 0; i < len; i++) {
        switch (text[i]) {
        case '&':
            fen_str_puts(out, "&amp;");
            break;
        case '<':
            fen_str_puts(out, "&lt;");
            break;
        case '>':
            fen_str_puts(out, "&gt;");
            break;
        case '"':
            fen_str_puts(out, "&quot;");
            break;
        default:
            fen_str_putc(out, text[i]);
        }
    }
}

void fen_html_text(fen_html *h, const char *text)
{
    fen_str clean;
    fen_str_init(&clean, 1u << 20);
    fen_utf8_clean(&clean, text, strlen(text), false, false);
    if (fen_str_status(&clean))
        h->status = FEN_ENOMEM;
    escape(h->out, clean.at, clean.len);
    fen_str_free(&clean);
}

void fen_html_element(fen_html *h, const char *tag, const char *text)
{
    const size_t name = strcspn(tag, " ");
    fen_html_rawf(h, "<%s>", tag);
    fen_html_text(h, text);
    fen_html_rawf(h, "</%.*s>\n", (int)name, tag);
}

fen_page *fen_html_open(fen_html *h)
{
    fen_page_clear(h->scratch);
    fen_page_open(h->scratch, 0, 0);
    return h->scratch;
}

void fen_html_take(fen_html *h, fen_str *ret)
{
    size_t len;
    fen_page_close(h->scratch);
    const char *text = fen_page_text(h->scratch, &len);
    if (fen_page_status(h->scratch))
        h->status = FEN_ENOMEM;
    while (len && text[len - 1] == '\n')
        len--;
    for (size_t i = 0; i < len; i++)
        fen_str_putc(ret, text[i] == '\n' ? ' ' : text[i]);
    if (fen_str_status(ret))
        h->status = FEN_ENOMEM;
}

void fen_html_close(fen_html *h)
{
    fen_str text;
    fen_str_init(&text, 1u << 20);
    fen_html_take(h, &text);
    escape(h->out, text.at, text.len);
    fen_str_free(&text);
}

/* ---- text in pictures ---- */

/* Bytes of the next line of TEXT: as many words as fit, at least a character. */
static size_t next_line(const char *text, unsigned columns)
{
    const size_t all = strlen(text);
    size_t fits = 0;
    for (size_t at = 0; at <= all; at += at < all ? fen_utf8_step(text + at, all - at) : 1) {
        if (at && (at == all || text[at] == ' ')) {
            if (fen_utf8_width(text, at) > columns)
                break;
            fits = at;
        }
        if (!fits && at && fen_utf8_width(text, at) >= columns)
            return at; /* a word longer than a line */
    }
    return fits ? fits : all;
}

unsigned fen_svg_lines(const char *text, unsigned columns, unsigned lines)
{
    unsigned n = 0;
    for (; *text && n < lines; n++) {
        text += next_line(text, columns);
        text += strspn(text, " ");
    }
    return n;
}

unsigned fen_svg_wrap(fen_html *h, const char *text, int x, int y, unsigned columns, unsigned lines, const char *classes)
{
    unsigned n = 0;
    fen_html_rawf(h, "<text class=\"%s\" x=\"%d\" y=\"%d\">", classes, x, y);
    for (; *text && n < lines; n++) {
        const size_t len = next_line(text, columns);
        fen_html_rawf(h, "<tspan x=\"%d\" dy=\"%d\">", x, n ? 17 : 0);
        escape(h->out, text, len);
        text += len;
        text += strspn(text, " ");
        fen_html_raw(h, *text && n + 1 == lines ? "\xe2\x80\xa6</tspan>" : " </tspan>");
    }
    fen_html_raw(h, "</text>\n");
    return n;
}
