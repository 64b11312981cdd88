/* page_wrap.c -- a paragraph laid out to the page's width, tones and all.
 */
#include <string.h>

#include "page_own.h"
#include "util/utf8.h"

/* Where a line being written stands. */
typedef struct pen {
    fen_page *page;
    fen_tone tone; /* of the text to come */
    size_t column;
    bool fresh;    /* nothing on this line but its indent */
    bool toned;    /* the terminal is in a tone now */
} pen;

static bool is_tone(char c)
{
    return c >= FEN_TONE_MARK && c < FEN_TONE_MARK + FEN_TONES;
}

static void stop_tone(pen *p)
{
    if (p->toned)
        fen_str_puts(&p->page->out, "\033[0m");
    p->toned = false;
}

static void start_tone(pen *p)
{
    static const char *const codes[FEN_TONES] = {
        [FEN_TONE_STRONG] = "\033[1m", [FEN_TONE_DANGER] = "\033[1;31m",
        [FEN_TONE_GOOD] = "\033[32m",  [FEN_TONE_DIM] = "\033[2m",
    };
    if (!p->page->look.colour || !codes[p->tone] || p->toned)
        return;
    fen_str_puts(&p->page->out, codes[p->tone]);
    p->toned = true;
}

static void end_line(pen *p)
{
    stop_tone(p);
    fen_str_putc(&p->page->out, '\n');
    p->fresh = true;
}

static void begin_line(pen *p, unsigned indent)
{
    for (unsigned i = 0; i < indent; i++)
        fen_str_putc(&p->page->out, ' ');
    p->column = indent;
    p->fresh = true;
}

/* Bytes and columns of the character at TEXT; marks take no column. */
static size_t char_size(const char *text, size_t len, size_t *ret_width)
{
    if (is_tone(*text) || *text == FEN_GLUE)
        return *ret_width = *text == FEN_GLUE, 1;
    const size_t n = fen_utf8_step(text, len);
    *ret_width = fen_utf8_width(text, n);
    return n;
}

static size_t word_width(const char *word, size_t len)
{
    size_t width = 0, one;
    for (size_t i = 0; i < len; width += one)
        i += char_size(word + i, len - i, &one);
    return width;
}

static void put_char(pen *p, const char *text, size_t n)
{
    if (is_tone(*text)) {
        const fen_tone tone = (fen_tone)(*text - FEN_TONE_MARK);
        if (tone != p->tone)
            stop_tone(p);
        p->tone = tone;
        return;
    }
    start_tone(p);
    if (*text == FEN_GLUE)
        fen_str_putc(&p->page->out, ' ');
    else
        fen_str_put(&p->page->out, text, n);
    p->fresh = false;
}

/* A word goes on the next line if it does not fit; one longer than a line is cut. */
static void put_word(pen *p, const char *word, size_t len, bool blank_before)
{
    const size_t room = p->page->look.width;
    const size_t blank = blank_before && !p->fresh;
    if (!p->fresh && p->column + blank + word_width(word, len) > room) {
        end_line(p);
        begin_line(p, p->page->rest);
    } else if (blank) {
        fen_str_putc(&p->page->out, ' ');
        p->column++;
    }
    for (size_t i = 0, width; i < len;) {
        const size_t n = char_size(word + i, len - i, &width);
        if (width && !p->fresh && p->column + width > room) {
            end_line(p);
            begin_line(p, p->page->rest);
        }
        put_char(p, word + i, n);
        p->column += width;
        i += n;
    }
}

static void put_marks(pen *p, const char *marks, size_t len)
{
    for (size_t i = 0; i < len; i++)
        if (is_tone(marks[i]))
            put_char(p, marks + i, 1);
}

void fen_page_close(fen_page *page)
{
    pen p = { page, FEN_TONE_PLAIN, 0, true, false };
    const char *at = page->para.at, *end = at + page->para.len;
    bool blank = false;
    begin_line(&p, page->first);
    while (at < end) {
        const char *stop = memchr(at, ' ', (size_t)(end - at));
        const size_t len = (size_t)((stop ? stop : end) - at);
        if (len && word_width(at, len) == 0)
            put_marks(&p, at, len); /* no word, so no blank of its own */
        else if (len)
            put_word(&p, at, len, blank);
        blank = blank || stop;
        at = stop ? stop + 1 : end;
    }
    end_line(&p);
    fen_str_clear(&page->para);
}
