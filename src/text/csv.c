/* csv.c -- see csv.h. Finding a record's end keeps no state: a record that is not all here is
 * looked at again when there is more, and records are short.
 */
#include "csv.h"

#include <stdint.h>
#include <string.h>

#include "util/utf8.h"

/* -- finding the end of a record ------------------------------------------- */

static size_t line_end(const char *text, size_t len)
{
    const char *lf = memchr(text, '\n', len);
    return lf ? (size_t)(lf - text) + 1 : len;
}

/* The offset behind the quoted cell that begins at AT; 0: it is not closed here. */
static size_t skip_quoted(const char *text, size_t len, size_t at)
{
    for (size_t i = at + 1; i < len;) {
        const char *quote = memchr(text + i, '"', len - i);
        if (!quote)
            return 0;
        i = (size_t)(quote - text) + 1;
        if (i == len || text[i] != '"')
            return i;
        i++; /* a doubled one */
    }
    return 0;
}

/* The whole line must be at hand: reading goes on behind it. */
static fen_csv_state blame(fen_csv_state state, const char *text, size_t len, bool last, size_t at, size_t *ret_len, size_t *ret_bad)
{
    if (!last && !memchr(text, '\n', len))
        return FEN_CSV_MORE;
    *ret_len = line_end(text, len);
    *ret_bad = at;
    return state;
}

/* The end of an unquoted cell: at a separator, a line end, a '"' or LEN. */
static size_t skip_plain(const char *text, size_t len, size_t at, char separator)
{
    while (at < len && text[at] != separator && text[at] != '\n' && text[at] != '"')
        at++;
    return at;
}

fen_csv_state fen_csv_next(const char *text, size_t len, bool last, char separator, size_t *ret_len, size_t *ret_bad)
{
    size_t at = 0;
    for (;;) {
        if (at < len && text[at] == '"') {
            const size_t quote = at;
            at = skip_quoted(text, len, at);
            /* a quote at the very end may be the first half of a doubled one */
            if (!at || (at == len && !last))
                return last ? blame(FEN_CSV_OPEN, text, len, last, quote, ret_len, ret_bad) : FEN_CSV_MORE;
            if (at + 1 < len && text[at] == '\r' && text[at + 1] == '\n')
                at++;
            else if (at + 1 == len && text[at] == '\r' && last)
                at++;
            else if (at + 1 == len && text[at] == '\r')
                return FEN_CSV_MORE;
            if (at < len && text[at] != separator && text[at] != '\n')
                return blame(FEN_CSV_AFTER, text, len, last, at - 1, ret_len, ret_bad);
        } else {
            at = skip_plain(text, len, at, separator);
            if (at < len && text[at] == '"')
                return blame(FEN_CSV_STRAY, text, len, last, at, ret_len, ret_bad);
        }
        if (at == len && !last)
            return FEN_CSV_MORE;
        if (at == len || text[at] == '\n') {
            *ret_len = at == len ? len : at + 1;
            return FEN_CSV_RECORD;
        }
        at++; /* the separator */
    }
}

/* -- cells ----------------------------------------------------------------- */

/* What stands between the quotes, doubled ones halved. */
static const char *unquote(const char *text, size_t len, fen_arena *arena, size_t *ret_len)
{
    char *copy = fen_arena_take(arena, len + 1, 1);
    size_t n = 0;
    if (!copy)
        return NULL;
    for (size_t i = 0; i < len; i++) {
        copy[n++] = text[i];
        i += text[i] == '"';
    }
    copy[n] = '\0';
    *ret_len = n;
    return copy;
}

fen_status fen_csv_split(const char *record, size_t len, char separator, fen_arena *arena, fen_csv_cells *cells)
{
    cells->count = 0;
    if (len && record[len - 1] == '\n')
        len--;
    if (len && record[len - 1] == '\r')
        len--;
    for (size_t at = 0;; at++) {
        fen_csv_cell c = { .at = at, .quoted = at < len && record[at] == '"' };
        if (c.quoted) {
            const size_t after = skip_quoted(record, len, at);
            c.span = (after ? after : len) - at;
            c.text = unquote(record + at + 1, c.span - 2, arena, &c.len);
        } else {
            const char *end = memchr(record + at, separator, len - at);
            c.len = c.span = end ? (size_t)(end - record) - at : len - at;
            c.text = fen_arena_text(arena, record + at, c.len);
        }
        if (!c.text || !FEN_VEC_PUSH(cells, c))
            return FEN_ENOMEM;
        at += c.span;
        if (at >= len)
            return FEN_OK;
    }
}

char fen_csv_separator(const char *record, size_t len)
{
    bool quoted = false;
    for (size_t i = 0; i < len && (quoted || record[i] != '\n'); i++) {
        quoted ^= record[i] == '"';
        if (!quoted && (record[i] == ',' || record[i] == ';' || record[i] == '\t'))
            return record[i];
    }
    return ',';
}

/* -- writing --------------------------------------------------------------- */

/* Most cells are printable ASCII, which needs no look but for quotes and commas. */
static bool is_plain(const char *text, size_t len)
{
    for (size_t i = 0; i < len; i++)
        if (text[i] < 0x20 || text[i] > 0x7E)
            return false;
    return true;
}

/* TAB stays, and newline, on which cleaning agrees. */
static void clean(fen_str *out, const char *text, size_t len)
{
    for (size_t from = 0; from < len;) {
        const char *tab = memchr(text + from, '\t', len - from);
        const size_t to = tab ? (size_t)(tab - text) : len;
        fen_utf8_clean(out, text + from, to - from, true, false);
        if (tab)
            fen_str_putc(out, '\t');
        from = to + 1;
    }
}

static void put_cell(fen_str *out, const char *text, size_t len)
{
    const bool guard = len && strchr("=+-@\t\n", text[0]);
    bool quote = false;
    for (size_t i = 0; i < len; i++)
        quote = quote || text[i] == '"' || text[i] == ',' || text[i] == '\n';
    if (quote)
        fen_str_putc(out, '"');
    if (guard)
        fen_str_putc(out, '\'');
    for (size_t from = 0; quote && from < len;) {
        const char *q = memchr(text + from, '"', len - from);
        const size_t to = q ? (size_t)(q - text) + 1 : len;
        fen_str_put(out, text + from, to - from);
        if (q)
            fen_str_putc(out, '"');
        from = to;
    }
    if (!quote)
        fen_str_put(out, text, len);
    else
        fen_str_putc(out, '"');
}

void fen_csv_put(fen_str *out, const char *text, size_t len)
{
    fen_str cleaned;
    if (is_plain(text, len)) {
        put_cell(out, text, len);
        return;
    }
    fen_str_init(&cleaned, SIZE_MAX / 4);
    clean(&cleaned, text, len);
    if (fen_str_status(&cleaned))
        out->failed = true;
    else
        put_cell(out, cleaned.at, cleaned.len);
    fen_str_free(&cleaned);
}
