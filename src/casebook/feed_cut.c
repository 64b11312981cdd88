/* feed_cut.c -- looking at lines alone, each once, however the text arrives; nothing here
 * allocates.
 */
#include "feed_cut.h"

#include <string.h>

#include "text/csv.h"
#include "util/limits.h"

/* -- lines ------------------------------------------------------------------ */

static bool is_blank(char c) { return c == ' ' || c == '\t' || c == '\r' || c == '\n'; }

static size_t blanks(const char *line, size_t len)
{
    size_t n = 0;
    while (n < len && is_blank(line[n]))
        n++;
    return n;
}

static bool says_nothing(const char *line, size_t len)
{
    const size_t n = blanks(line, len);
    return n == len || line[n] == '#';
}

/* CR alone, NEL, LS and PS end lines too, for libyaml and for source.c. They are
 * rare: look for them only where their first bytes are. */
static uint32_t rare_lines(const char *text, size_t len)
{
    uint32_t n = 0;
    const unsigned char *p = (const unsigned char *)text;
    for (const unsigned char *at = p; (at = memchr(at, '\r', len - (size_t)(at - p))); at++)
        n += (size_t)(at - p) + 1 == len || at[1] != '\n';
    for (const unsigned char *at = p; (at = memchr(at, 0xC2, len - (size_t)(at - p))); at++)
        n += (size_t)(at - p) + 1 < len && at[1] == 0x85;
    for (const unsigned char *at = p; (at = memchr(at, 0xE2, len - (size_t)(at - p))); at++)
        n += (size_t)(at - p) + 2 < len && at[1] == 0x80 && (at[2] == 0xA8 || at[2] == 0xA9);
    return n;
}

uint32_t fen_cut_lines(const char *text, size_t len)
{
    uint32_t n = rare_lines(text, len);
    for (const char *at = text; (at = memchr(at, '\n', len - (size_t)(at - text))); at++)
        n++;
    return n;
}

bool fen_cut_has_content(const char *text, size_t len)
{
    while (len) {
        const char *lf = memchr(text, '\n', len);
        if (!lf)
            return false;
        const size_t line = (size_t)(lf - text) + 1;
        if (!says_nothing(text, line))
            return true;
        text += line;
        len -= line;
    }
    return false;
}

/* The line that begins where C has looked to; false: it is not all here yet. */
static bool next_line(const fen_cut *c, const char *text, size_t len, bool last, size_t *ret_len)
{
    const size_t rest = len - c->scanned;
    const char *lf = rest ? memchr(text + c->scanned, '\n', rest) : NULL;
    if (!lf && (!last || !rest))
        return false;
    *ret_len = lf ? (size_t)(lf - text - (ptrdiff_t)c->scanned) + 1 : rest;
    return true;
}

static void pass(fen_cut *c, const char *text, size_t line)
{
    c->lines += line && text[c->scanned + line - 1] == '\n';
    c->scanned += line;
}

/* What has been looked at is a unit. */
static fen_cut_result finish(fen_cut *c, const char *text, fen_cut_unit *ret)
{
    *ret = (fen_cut_unit){ .state = FEN_UNIT_TEXT, .len = c->scanned, .lines = c->lines + rare_lines(text, c->scanned) };
    c->scanned = c->lines = 0;
    return FEN_CUT_UNIT;
}

/* -- units that are too long ------------------------------------------------- */

/* The first line is kept to be shown; the rest is passed over as it comes. */
static fen_cut_result begin_skipping(fen_cut *c, const char *text, fen_cut_unit *ret)
{
    const char *lf = memchr(text, '\n', c->scanned);
    const size_t line = lf ? (size_t)(lf - text) : 0;
    c->skipping = true;
    *ret = (fen_cut_unit){ .state = FEN_UNIT_TOO_LONG, .len = line < FEN_LINE_MAX ? line : 0 };
    ret->skip = c->scanned - ret->len;
    ret->lines = fen_cut_lines(text, c->scanned);
    c->scanned = c->lines = 0;
    return FEN_CUT_UNIT;
}

static fen_cut_result go_on_skipping(fen_cut *c, const char *text, fen_cut_unit *ret)
{
    *ret = (fen_cut_unit){ .skip = c->scanned, .lines = c->lines + rare_lines(text, c->scanned) };
    c->scanned = c->lines = 0;
    return FEN_CUT_SKIP;
}

/* A unit ends where C has looked to: one that was too long has been told. */
static fen_cut_result boundary(fen_cut *c, const char *text, fen_cut_unit *ret)
{
    if (!c->skipping)
        return finish(c, text, ret);
    c->skipping = false;
    return go_on_skipping(c, text, ret);
}

static fen_cut_result wait(fen_cut *c, const char *text, size_t len, bool last, fen_cut_unit *ret)
{
    if (last) {
        c->scanned = len;
        if (!len)
            return FEN_CUT_MORE;
        return boundary(c, text, ret);
    }
    if (c->skipping && c->scanned)
        return go_on_skipping(c, text, ret);
    if (len > FEN_CASE_MAX && c->scanned > FEN_CASE_MAX / 2)
        return begin_skipping(c, text, ret);
    if (len > FEN_CASE_MAX) { /* a line without end */
        c->scanned = len;
        return c->skipping ? go_on_skipping(c, text, ret) : begin_skipping(c, text, ret);
    }
    return FEN_CUT_MORE;
}

uint32_t fen_cut_lead(const char *text, size_t len)
{
    uint32_t n = 0;
    while (len) {
        const char *lf = memchr(text, '\n', len);
        const size_t line = lf ? (size_t)(lf - text) + 1 : len;
        const bool marker = line >= 3 && memcmp(text, "---", 3) == 0 && says_nothing(text + 3, line - 3);
        if (!marker && !says_nothing(text, line) && text[0] != '%')
            return n;
        n++;
        text += line;
        len -= line;
    }
    return 0;
}

/* -- YAML ------------------------------------------------------------------- */

static bool is_marker(const char *line, size_t len, const char *marker)
{
    return len >= 3 && memcmp(line, marker, 3) == 0 && (len == 3 || is_blank(line[3]));
}

static bool is_item(const char *line, size_t len, size_t indent)
{
    return len > indent && line[indent] == '-' && (len == indent + 1 || is_blank(line[indent + 1]));
}

/* Spaces only: a tab never indents. */
static size_t spaces(const char *line, size_t len)
{
    size_t n = 0;
    while (n < len && line[n] == ' ')
        n++;
    return n;
}

static void begin_document(fen_cut *c)
{
    c->content = c->decided = c->list = false;
}

static void meet_content(fen_cut *c, const char *line, size_t len)
{
    c->content = true;
    if (c->decided)
        return;
    c->decided = true;
    c->indent = spaces(line, len);
    c->list = is_item(line, len, c->indent);
}

static fen_cut_result cut_yaml(fen_cut *c, const char *text, size_t len, bool last, fen_cut_unit *ret)
{
    size_t n;
    while (next_line(c, text, len, last, &n)) {
        const char *line = text + c->scanned;
        if (is_marker(line, n, "---")) {
            if (c->content) {
                begin_document(c);
                return boundary(c, text, ret);
            }
            c->content = true; /* so that the next marker is seen to end it */
            c->decided = !says_nothing(line + 3, n - 3);
        } else if (is_marker(line, n, "...")) {
            pass(c, text, n);
            begin_document(c);
            return boundary(c, text, ret);
        } else if (c->list && spaces(line, n) == c->indent && is_item(line, n, c->indent) && c->scanned) {
            return boundary(c, text, ret); /* the item begins the next unit */
        } else if (!says_nothing(line, n) && (c->content || line[0] != '%')) {
            meet_content(c, line, n);
        }
        pass(c, text, n);
    }
    return wait(c, text, len, last, ret);
}

/* -- JSON Lines, CSV --------------------------------------------------------- */

static fen_cut_result cut_json(fen_cut *c, const char *text, size_t len, bool last, fen_cut_unit *ret)
{
    size_t n;
    if (!next_line(c, text, len, last, &n))
        return wait(c, text, len, last, ret);
    const bool empty = !c->skipping && blanks(text + c->scanned, n) == n;
    pass(c, text, n);
    if (!empty)
        return boundary(c, text, ret);
    return go_on_skipping(c, text, ret);
}

static fen_cut_result cut_csv(fen_cut *c, const char *text, size_t len, bool last, fen_cut_unit *ret)
{
    static const fen_unit_state faults[] = { [FEN_CSV_STRAY] = FEN_UNIT_STRAY, [FEN_CSV_AFTER] = FEN_UNIT_AFTER,
                                             [FEN_CSV_OPEN] = FEN_UNIT_OPEN };
    size_t n, bad = 0;
    if (c->skipping)
        return cut_json(c, text, len, last, ret); /* to the end of the line */
    if (!len)
        return FEN_CUT_MORE;
    /* a quote that stays open this long was never meant to be one */
    const bool enough = last || len > FEN_QUOTED_MAX;
    const fen_csv_state state = fen_csv_next(text, len, enough, c->separator, &n, &bad);
    if (state == FEN_CSV_MORE || (state == FEN_CSV_RECORD && !last && text[n - 1] != '\n'))
        return wait(c, text, len, last, ret);
    c->scanned = n;
    c->lines = 0;
    for (size_t i = 0; i < n; i++)
        c->lines += text[i] == '\n';
    if (state == FEN_CSV_RECORD && blanks(text, n) == n)
        return go_on_skipping(c, text, ret);
    finish(c, text, ret);
    if (state != FEN_CSV_RECORD) {
        ret->state = faults[state];
        ret->bad = bad;
    }
    return FEN_CUT_UNIT;
}

fen_cut_result fen_cut_next(fen_cut *c, const char *text, size_t len, bool last, fen_cut_unit *ret)
{
    if (c->input == FEN_INPUT_JSONL)
        return cut_json(c, text, len, last, ret);
    if (c->input == FEN_INPUT_CSV)
        return cut_csv(c, text, len, last, ret);
    return cut_yaml(c, text, len, last, ret);
}

/* -- guessing ----------------------------------------------------------------- */

/* "key: " or "key:" at the end of the line, before anything that separates cells. */
static bool is_yaml_line(const char *line, size_t len)
{
    for (size_t i = 0; i < len; i++) {
        if (line[i] == ':')
            return i + 1 == len || is_blank(line[i + 1]);
        if (strchr(",;\t\"", line[i]))
            return false;
    }
    return false;
}

static bool is_json_line(const char *line, size_t len)
{
    size_t end = len, at = 1;
    while (end && is_blank(line[end - 1]))
        end--;
    at += blanks(line + 1, len - 1);
    return end > 1 && line[0] == '{' && line[end - 1] == '}' && at < len && (line[at] == '"' || line[at] == '}');
}

fen_input fen_feed_guess(const char *text, size_t len)
{
    while (len) {
        const char *lf = memchr(text, '\n', len);
        const size_t n = lf ? (size_t)(lf - text) + 1 : len;
        if (!says_nothing(text, n)) {
            const size_t lead = blanks(text, n);
            const char *line = text + lead;
            if (is_json_line(line, n - lead))
                return FEN_INPUT_JSONL;
            if (strchr("{[%", line[0]) || is_marker(line, n - lead, "---") || is_item(line, n - lead, 0) ||
                is_yaml_line(line, n - lead))
                return FEN_INPUT_YAML;
            return FEN_INPUT_CSV;
        }
        text += n;
        len -= n;
    }
    return FEN_INPUT_YAML;
}
