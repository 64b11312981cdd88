/* json_write.c -- see json_write.h.
 */
#include "json_write.h"

#include <math.h>
#include <string.h>

#include "util/digits.h"
#include "util/utf8.h"

static void separate(fen_json_out *j)
{
    if (j->comma)
        fen_str_putc(j->text, ',');
    j->comma = true;
}

void fen_json_open(fen_json_out *j, char bracket)
{
    separate(j);
    fen_str_putc(j->text, bracket);
    j->comma = false;
}

void fen_json_close(fen_json_out *j, char bracket)
{
    fen_str_putc(j->text, bracket);
    j->comma = true;
}

/* Bytes of the character at P that must be escaped; 0: it may stand as it is. */
static size_t to_escape(const unsigned char *p, size_t len)
{
    if (p[0] < 0x20 || p[0] == '"' || p[0] == '\\' || p[0] == 0x7F)
        return 1;
    if (p[0] < 0x80)
        return 0;
    const size_t step = fen_utf8_step((const char *)p, len);
    if (fen_utf8_check((const char *)p, step) != step)
        return step;
    return p[0] == 0xC2 && p[1] < 0xA0 ? 2 : 0;
}

static void escape(fen_str *out, const unsigned char *p, size_t len)
{
    if (p[0] == '"' || p[0] == '\\')
        fen_str_printf(out, "\\%c", p[0]);
    else if (p[0] == '\n')
        fen_str_puts(out, "\\n");
    else if (p[0] == '\t')
        fen_str_puts(out, "\\t");
    else if (p[0] == 0xC2 && len == 2)
        fen_str_printf(out, "\\u%04x", p[1]);
    else
        fen_str_printf(out, "\\u%04x", p[0] < 0x80 ? p[0] : 0xFFFDu);
}

static void put_text(fen_str *out, const char *text)
{
    const size_t len = strlen(text);
    size_t from = 0;
    fen_str_putc(out, '"');
    for (size_t i = 0; i < len;) {
        const unsigned char *p = (const unsigned char *)text + i;
        const size_t bad = to_escape(p, len - i);
        if (!bad) {
            i += p[0] < 0x80 ? 1 : fen_utf8_step(text + i, len - i);
            continue;
        }
        fen_str_put(out, text + from, i - from);
        escape(out, p, bad);
        from = i += bad;
    }
    fen_str_put(out, text + from, len - from);
    fen_str_putc(out, '"');
}

static void put_name(fen_str *out, const char *name)
{
    fen_str_putc(out, '"');
    fen_str_puts(out, name);
    fen_str_putc(out, '"');
}

void fen_json_key(fen_json_out *j, const char *key)
{
    separate(j);
    put_name(j->text, key);
    fen_str_putc(j->text, ':');
    j->comma = false;
}

void fen_json_text(fen_json_out *j, const char *text)
{
    separate(j);
    if (text)
        put_text(j->text, text);
    else
        fen_str_puts(j->text, "null");
}

void fen_json_name(fen_json_out *j, const char *name)
{
    separate(j);
    put_name(j->text, name);
}

void fen_json_bool(fen_json_out *j, bool value)
{
    separate(j);
    fen_str_puts(j->text, value ? "true" : "false");
}

void fen_json_count(fen_json_out *j, uint64_t value)
{
    char buf[FEN_DIGITS_FIXED];
    separate(j);
    fen_str_put(j->text, buf, fen_digits_count(buf, value));
}

void fen_json_number(fen_json_out *j, double value)
{
    char buf[FEN_NUMBER_MAX];
    separate(j);
    if (isfinite(value))
        fen_str_put(j->text, buf, fen_number_write(buf, value));
    else
        fen_str_puts(j->text, "null");
}

void fen_json_chance(fen_json_out *j, double value)
{
    char buf[FEN_NUMBER_MAX];
    separate(j);
    fen_str_put(j->text, buf, fen_digits_chance(buf, value));
}

void fen_json_fixed12(fen_json_out *j, int64_t value)
{
    char buf[FEN_DIGITS_FIXED];
    separate(j);
    fen_str_put(j->text, buf, fen_digits_fixed12(buf, value));
}

void fen_json_key_text(fen_json_out *j, const char *key, const char *text)
{
    fen_json_key(j, key);
    fen_json_text(j, text);
}

void fen_json_name_or_null(fen_json_out *j, const char *key, const char *name)
{
    fen_json_key(j, key);
    if (name)
        fen_json_name(j, name);
    else
        fen_json_text(j, NULL);
}
