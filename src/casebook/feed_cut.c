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

/* Nothing but cells with nothing in them: spreadsheets end in such rows. */
static bool is_empty_row(const char *row, size_t len, char separator)
{
    size_t n = 0;
    while (n < len && (is_blank(row[n]) || row[n] == separator || row[n] == '"'))
        n++;
    return n == len;
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
    if (state == FEN_CSV_RECORD && is_empty_row(text, n, c->separator))
        return go_on_skipping(c, text, ret);
    finish(c, text, ret);
    if (state != FEN_CSV_RECORD) {
        ret->state = faults[state];
        ret->bad = bad;
    }
    return FEN_CUT_UNIT;
}

/* -- a JSON array -------------------------------------------------------------- */

/* What stands between items is passed over; a comma carries no case. */
static size_t between_items(fen_cut *c, const char *text, size_t len)
{
    size_t n = 0;
    for (; n < len; n++) {
        const char at = text[n];
        if (at == '[' && !c->begun)
            c->begun = true;
        else if (at == ']' && !c->ended)
            c->ended = true;
        else if (!is_blank(at) && (at != ',' || c->ended))
            break;
        c->lead = at == '\n' ? 0 : c->lead != FEN_NO_LEAD && is_blank(at) ? c->lead + 1 : FEN_NO_LEAD;
    }
    return n;
}

/* How the first item that begins a line does: all up to the end of its first name. */
static void keep_first(fen_cut *c, const char *item, size_t len)
{
    const size_t name = len ? 1 + blanks(item + 1, len - 1) : 0;
    if (c->n_first || c->lead == FEN_NO_LEAD || !len || item[0] != '{' || name >= len || item[name] != '"')
        return;
    const char *quote = memchr(item + name + 1, '"', len - name - 1);
    if (!quote || (size_t)(quote - item) >= sizeof c->first)
        return;
    c->first_lead = c->lead;
    c->n_first = (size_t)(quote - item) + 1;
    memcpy(c->first, item, c->n_first);
}

static bool begins_as_first(const fen_cut *c, const char *line, size_t len)
{
    return c->n_first && len >= c->first_lead + c->n_first && blanks(line, c->first_lead + 1) == c->first_lead &&
           memcmp(line + c->first_lead, c->first, c->n_first) == 0;
}

typedef enum step { GO_ON, END_BEFORE, END_WITH } step;

/* One character of an item; no string goes on beyond its line. */
static step step_item(fen_cut *c, char at)
{
    if (at == '\n')
        c->quoted = c->escaped = false;
    if (c->quoted) {
        c->quoted = c->escaped || at != '"';
        c->escaped = !c->escaped && at == '\\';
        return GO_ON;
    }
    if (at == '"')
        c->quoted = true;
    else if (at == '{' || at == '[')
        c->depth++;
    else if (!c->depth)
        return at == ',' || at == ']' || at == '\n' ? END_BEFORE : GO_ON;
    else if ((at == '}' || at == ']') && --c->depth == 0)
        return END_WITH;
    return GO_ON;
}

static fen_cut_result end_item(fen_cut *c, const char *text, fen_cut_unit *ret)
{
    c->item = c->quoted = c->escaped = false;
    c->depth = 0;
    return boundary(c, text, ret);
}

/* One that is never closed ends where another line begins as the first item did. */
static fen_cut_result cut_item(fen_cut *c, const char *text, size_t len, bool last, fen_cut_unit *ret)
{
    while (c->scanned < len) {
        const char at = text[c->scanned];
        if (at == '\n') {
            if (!c->skipping)
                keep_first(c, text, c->scanned);
            const size_t rest = len - c->scanned - 1;
            if (rest < c->first_lead + c->n_first && !last)
                break;
            if (begins_as_first(c, text + c->scanned + 1, rest))
                return end_item(c, text, ret);
        }
        const step s = step_item(c, at);
        if (s == END_BEFORE && c->scanned)
            return end_item(c, text, ret);
        c->lines += at == '\n';
        c->scanned++;
        if (s != GO_ON)
            return end_item(c, text, ret);
    }
    return last ? end_item(c, text, ret) : wait(c, text, len, last, ret);
}

static fen_cut_result cut_array(fen_cut *c, const char *text, size_t len, bool last, fen_cut_unit *ret)
{
    const size_t n = c->item ? 0 : between_items(c, text, len);
    *ret = (fen_cut_unit){ .skip = n, .lines = fen_cut_lines(text, n) };
    if (n)
        return FEN_CUT_SKIP;
    c->item |= len > 0;
    if (c->item)
        return cut_item(c, text, len, last, ret);
    if (!last || c->ended)
        return FEN_CUT_MORE;
    c->ended = true; /* told once */
    ret->state = FEN_UNIT_UNENDED;
    return FEN_CUT_UNIT;
}

fen_cut_result fen_cut_next(fen_cut *c, const char *text, size_t len, bool last, fen_cut_unit *ret)
{
    if (c->input == FEN_INPUT_JSONL)
        return cut_json(c, text, len, last, ret);
    if (c->input == FEN_INPUT_JSON)
        return cut_array(c, text, len, last, ret);
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

static bool begins_json(const char *line, size_t len)
{
    const size_t at = 1 + blanks(line + 1, len - 1);
    return line[0] == '{' && at < len && (line[at] == '"' || line[at] == '}');
}

static bool is_json_line(const char *line, size_t len)
{
    size_t end = len;
    while (end && is_blank(line[end - 1]))
        end--;
    return end > 1 && line[end - 1] == '}' && begins_json(line, len);
}

/* What an array that begins with LINE's bracket is: a list of YAML, unless its first item is
 * a map of JSON. False: the item is not here yet. */
static bool guess_list(const char *line, size_t len, bool last, fen_input *ret)
{
    const size_t map = 1 + blanks(line + 1, len - 1), name = map < len ? map + 1 + blanks(line + map + 1, len - map - 1) : len;
    *ret = name < len && begins_json(line + map, len - map) ? FEN_INPUT_JSON : FEN_INPUT_YAML;
    return name < len || last || (map < len && line[map] != '{');
}

/* By its first line alone; false: what follows may tell otherwise. */
static bool guess_first(const char *line, size_t len, fen_input *ret)
{
    const bool whole = line[len - 1] == '\n', sure = whole ? is_json_line(line, len) : begins_json(line, len);
    if (sure || line[0] == '%' || is_marker(line, len, "---") || is_item(line, len, 0)) {
        *ret = sure ? FEN_INPUT_JSONL : FEN_INPUT_YAML;
        return true;
    }
    *ret = line[0] == '{' || is_yaml_line(line, len) ? FEN_INPUT_YAML : FEN_INPUT_CSV;
    return false;
}

#define LOOKED_AT 8 /* lines, if the first is none of JSON: it may be broken */

bool fen_feed_guess(const char *text, size_t len, bool last, fen_input *ret)
{
    uint32_t seen = 0;
    bool doubtful = true; /* so that more is waited for: nothing is seen yet, or what may be a part of JSON */
    *ret = FEN_INPUT_YAML;
    while (len && seen < LOOKED_AT) {
        const char *lf = memchr(text, '\n', len);
        const size_t n = lf ? (size_t)(lf - text) + 1 : len, lead = blanks(text, n);
        const bool first = !seen && !says_nothing(text, n);
        if (first && text[lead] == '[')
            return guess_list(text + lead, len - lead, last, ret);
        if (!lf && !last)
            return !doubtful;
        if (first && guess_first(text + lead, n - lead, ret))
            return true;
        doubtful = first ? memchr(text, '{', n) || memchr(text, '}', n) : doubtful;
        if (!first && is_marker(text, n, "---"))
            return true;
        if (!first && is_json_line(text, n)) {
            *ret = FEN_INPUT_JSONL;
            return true;
        }
        seen += !says_nothing(text, n);
        text += n;
        len -= n;
    }
    return last || seen == LOOKED_AT || !doubtful;
}
