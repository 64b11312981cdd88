#include "utf8.h"

#include <stdint.h>
#include <string.h>
#include <utf8proc.h>

/* Length of the valid character at P, or 0 (RFC 3629, table of section 4). */
static size_t char_len(const unsigned char *p, size_t len)
{
    if (p[0] < 0x80)
        return 1;
    unsigned low = 0x80, high = 0xBF;
    size_t n;
    if (p[0] >= 0xC2 && p[0] <= 0xDF) {
        n = 2;
    } else if ((p[0] & 0xF0) == 0xE0) {
        n = 3;
        low = p[0] == 0xE0 ? 0xA0 : 0x80;  /* no overlong forms */
        high = p[0] == 0xED ? 0x9F : 0xBF; /* no surrogates */
    } else if (p[0] >= 0xF0 && p[0] <= 0xF4) {
        n = 4;
        low = p[0] == 0xF0 ? 0x90 : 0x80;
        high = p[0] == 0xF4 ? 0x8F : 0xBF; /* nothing above U+10FFFF */
    } else {
        return 0;
    }
    if (len < n || p[1] < low || p[1] > high)
        return 0;
    for (size_t i = 2; i < n; i++)
        if ((p[i] & 0xC0) != 0x80)
            return 0;
    return n;
}

size_t fen_utf8_check(const char *text, size_t len)
{
    const unsigned char *p = (const unsigned char *)text;
    size_t i = 0;
    while (i < len) {
        uint64_t eight;
        if (len - i >= sizeof eight) { /* most text is ASCII: take it in words */
            memcpy(&eight, p + i, sizeof eight);
            if (!(eight & UINT64_C(0x8080808080808080))) {
                i += sizeof eight;
                continue;
            }
        }
        const size_t n = char_len(p + i, len - i);
        if (!n)
            return i;
        i += n;
    }
    return len;
}

size_t fen_utf8_step(const char *text, size_t len)
{
    const size_t n = char_len((const unsigned char *)text, len);
    return n ? n : 1;
}

size_t fen_utf8_count(const char *text, size_t len)
{
    size_t count = 0;
    for (size_t i = 0; i < len; i += fen_utf8_step(text + i, len - i))
        count++;
    return count;
}

#define BAD_BYTE 0xFFFDu

/* The code point at TEXT; *ret_step its bytes. */
static uint32_t decode(const char *text, size_t len, size_t *ret_step)
{
    const unsigned char *p = (const unsigned char *)text;
    const size_t n = char_len(p, len);
    *ret_step = n ? n : 1;
    switch (n) {
    case 1:
        return p[0];
    case 2:
        return (uint32_t)(p[0] & 0x1F) << 6 | (p[1] & 0x3Fu);
    case 3:
        return (uint32_t)(p[0] & 0x0F) << 12 | (uint32_t)(p[1] & 0x3F) << 6 | (p[2] & 0x3Fu);
    case 4:
        return (uint32_t)(p[0] & 0x07) << 18 | (uint32_t)(p[1] & 0x3F) << 12 | (uint32_t)(p[2] & 0x3F) << 6 |
               (p[3] & 0x3Fu);
    default:
        return BAD_BYTE;
    }
}

static size_t columns_of(uint32_t c)
{
    if (c >= 0x20 && c < 0x7F)
        return 1;
    const int width = utf8proc_charwidth((utf8proc_int32_t)c);
    return width > 0 ? (size_t)width : 0;
}

size_t fen_utf8_width(const char *text, size_t len)
{
    size_t width = 0, step;
    for (size_t i = 0; i < len; i += step)
        width += columns_of(decode(text + i, len - i, &step));
    return width;
}

/* ---- control sequences ---- */

enum { ESC = 0x1B, BEL = 0x07, DCS = 0x90, SOS = 0x98, CSI = 0x9B, ST = 0x9C, OSC = 0x9D, PM = 0x9E, APC = 0x9F };

static bool opens_string(uint32_t c)
{
    return c == DCS || c == SOS || c == OSC || c == PM || c == APC;
}

/* Bytes up to and with the string terminator; a string without one would
 * swallow all that follows on a terminal, so it does here too. */
static size_t string_end(const char *text, size_t len, size_t i, bool bell_ends)
{
    size_t step;
    for (; i < len; i += step) {
        const uint32_t c = decode(text + i, len - i, &step);
        if (c == ST || (c == BEL && bell_ends))
            return i + step;
        if (c == ESC && i + 1 < len && text[i + 1] == '\\')
            return i + 2;
    }
    return len;
}

/* Bytes of the control sequence that begins with the control C of STEP bytes
 * (ECMA-48 sections 5.3 to 5.6); STEP for a control that stands alone. */
static size_t sequence_len(const char *text, size_t len, uint32_t c, size_t step)
{
    size_t i = step;
    if (c == ESC && i < len && text[i] >= 0x40 && text[i] <= 0x5F) { /* the 7-bit form of a C1 control */
        c = (uint32_t)text[i] + 0x40;
        i++;
    } else if (c == ESC) {
        while (i < len && text[i] >= 0x20 && text[i] <= 0x2F)
            i++;
        return i < len && text[i] >= 0x30 && text[i] <= 0x7E ? i + 1 : i;
    }
    if (opens_string(c))
        return string_end(text, len, i, c == OSC);
    if (c != CSI)
        return i;
    while (i < len && text[i] >= 0x30 && text[i] <= 0x3F)
        i++;
    while (i < len && text[i] >= 0x20 && text[i] <= 0x2F)
        i++;
    return i < len && text[i] >= 0x40 && text[i] <= 0x7E ? i + 1 : i;
}

static bool is_control(uint32_t c)
{
    return c < 0x20 || (c >= 0x7F && c < 0xA0);
}

static bool turns_direction(uint32_t c)
{
    return (c >= 0x202A && c <= 0x202E) || (c >= 0x2066 && c <= 0x2069);
}

/* ---- ASCII for those who have no more ---- */

static const struct {
    uint32_t first, last;
    const char *ascii;
} plain[] = {
    { 0x00A0, 0x00A0, " " },   { 0x00AB, 0x00AB, "\"" }, { 0x00AD, 0x00AD, "-" },   { 0x00B0, 0x00B0, "deg" },
    { 0x00B1, 0x00B1, "+-" },  { 0x00B2, 0x00B2, "2" },  { 0x00B3, 0x00B3, "3" },   { 0x00B5, 0x00B5, "u" },
    { 0x00B7, 0x00B7, "-" },   { 0x00BB, 0x00BB, "\"" }, { 0x00BC, 0x00BC, "1/4" }, { 0x00BD, 0x00BD, "1/2" },
    { 0x00BE, 0x00BE, "3/4" }, { 0x00C6, 0x00C6, "AE" }, { 0x00D7, 0x00D7, "x" },   { 0x00D8, 0x00D8, "O" },
    { 0x00DF, 0x00DF, "ss" },  { 0x00E6, 0x00E6, "ae" }, { 0x00F7, 0x00F7, "/" },   { 0x00F8, 0x00F8, "o" },
    { 0x0152, 0x0152, "OE" },  { 0x0153, 0x0153, "oe" }, { 0x03BC, 0x03BC, "u" },   { 0x2002, 0x200A, " " },
    { 0x2010, 0x2015, "-" },   { 0x2018, 0x201B, "'" },  { 0x201C, 0x201F, "\"" },  { 0x2022, 0x2022, "*" },
    { 0x2026, 0x2026, "..." }, { 0x202F, 0x202F, " " },  { 0x2032, 0x2032, "'" },   { 0x2033, 0x2033, "\"" },
    { 0x2103, 0x2103, "deg C" }, { 0x2109, 0x2109, "deg F" }, { 0x2190, 0x2190, "<-" }, { 0x2192, 0x2192, "->" },
    { 0x2212, 0x2212, "-" },   { 0x2248, 0x2248, "~" },  { 0x2260, 0x2260, "!=" },  { 0x2264, 0x2264, "<=" },
    { 0x2265, 0x2265, ">=" },  { 0x2500, 0x2501, "-" },  { 0x2502, 0x2503, "|" },
};

/* A letter with marks becomes the letter; marks alone vanish. */
static void put_ascii(fen_str *out, uint32_t c)
{
    for (size_t i = 0; i < sizeof plain / sizeof *plain; i++) {
        if (c >= plain[i].first && c <= plain[i].last) {
            fen_str_puts(out, plain[i].ascii);
            return;
        }
    }
    utf8proc_int32_t parts[8];
    int last_class = UTF8PROC_BOUNDCLASS_START;
    const utf8proc_ssize_t n =
        utf8proc_decompose_char((utf8proc_int32_t)c, parts, 8, UTF8PROC_DECOMPOSE, &last_class);
    if (n > 1 && n <= 8 && parts[0] > 0x20 && parts[0] < 0x7F)
        fen_str_putc(out, (char)parts[0]);
    else if (columns_of(c) > 0)
        fen_str_putc(out, '?');
}

static void put_mark(fen_str *out, bool ascii)
{
    fen_str_puts(out, ascii ? "?" : "\xEF\xBF\xBD");
}

void fen_utf8_clean(fen_str *out, const char *text, size_t len, bool keep_lines, bool ascii)
{
    size_t i = 0, step;
    while (i < len) {
        size_t run = i; /* printable ASCII goes out in one piece */
        while (run < len && text[run] >= 0x20 && text[run] < 0x7F)
            run++;
        fen_str_put(out, text + i, run - i);
        i = run;
        if (i == len)
            break;
        const uint32_t c = decode(text + i, len - i, &step);
        if (c == '\r' && i + 1 < len && text[i + 1] == '\n')
            ; /* the line end as some systems write it */
        else if (c == '\n' || c == '\t' || c == 0x2028 || c == 0x2029)
            fen_str_putc(out, c == '\n' && keep_lines ? '\n' : ' ');
        else if (is_control(c)) {
            put_mark(out, ascii);
            step = sequence_len(text + i, len - i, c, step);
        } else if (turns_direction(c) || c == BAD_BYTE)
            put_mark(out, ascii);
        else if (ascii)
            put_ascii(out, c);
        else
            fen_str_put(out, text + i, step);
        i += step;
    }
}

/* ---- wrapping ---- */

typedef struct wrapper {
    fen_str *out;
    size_t width, indent, column;
    bool fresh; /* nothing but indentation on this line */
} wrapper;

static void put_blanks(fen_str *out, size_t count)
{
    while (count--)
        fen_str_putc(out, ' ');
}

static void new_line(wrapper *w)
{
    fen_str_putc(w->out, '\n');
    w->column = 0; /* indentation waits for a word: no blanks at a line's end */
    w->fresh = true;
}

static void indent(wrapper *w)
{
    if (w->column < w->indent && w->fresh && w->column == 0) {
        put_blanks(w->out, w->indent);
        w->column = w->indent;
    }
}

/* A word of more than a line, from where we are, cut at the right edge. */
static void put_broken(wrapper *w, const char *word, size_t len)
{
    size_t step;
    for (size_t i = 0; i < len; i += step) {
        const size_t columns = columns_of(decode(word + i, len - i, &step));
        if (columns && w->column + columns > w->width && !w->fresh)
            new_line(w);
        if (w->fresh)
            indent(w);
        fen_str_put(w->out, word + i, step);
        w->column += columns;
        w->fresh = false;
    }
}

static void put_word(wrapper *w, size_t blanks, const char *word, size_t len)
{
    size_t step;
    const size_t columns = fen_utf8_width(word, len), first = columns_of(decode(word, len, &step));
    const size_t line = w->width > w->indent ? w->width - w->indent : 1;
    /* what fits on no line begins here, if only its first letter fits */
    const size_t need = w->column + blanks + (columns <= line ? columns : first);
    if (!w->fresh && need > w->width)
        new_line(w);
    if (w->fresh) {
        indent(w);
    } else {
        put_blanks(w->out, blanks);
        w->column += blanks;
    }
    if (columns <= line) {
        fen_str_put(w->out, word, len);
        w->column += columns;
        w->fresh = false;
    } else {
        put_broken(w, word, len);
    }
}

void fen_utf8_wrap(fen_str *out, const char *text, size_t len, size_t width, size_t indent_by, size_t start)
{
    wrapper w = { .out = out, .width = width ? width : 1, .indent = indent_by, .column = start, .fresh = start == 0 };
    size_t blanks = 0;
    if (start == 0)
        w.indent = 0; /* the first line has no indentation of its own */
    for (size_t i = 0; i < len;) {
        if (text[i] == '\n') {
            w.indent = indent_by;
            new_line(&w);
            blanks = 0;
            i++;
        } else if (text[i] == ' ' || text[i] == '\t') {
            blanks++;
            i++;
        } else {
            size_t end = i;
            while (end < len && text[end] != ' ' && text[end] != '\t' && text[end] != '\n')
                end++;
            put_word(&w, blanks, text + i, end - i);
            w.indent = indent_by;
            blanks = 0;
            i = end;
        }
    }
}
