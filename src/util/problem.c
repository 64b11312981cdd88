/* problem.c -- the list of problems: bounded, ordered, owning its texts.
 *
 * A hostile file can have a problem in every line, and lines of any length. So
 * FEN_PROBLEMS_MAX problems are kept and one more that says so; a line longer
 * than FEN_LINE_MAX is not quoted; and a line quoted twice in a row is kept once.
 */
#include "fenmend/problem.h"

#include <assert.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "alloc.h"
#include "arena.h"
#include "intern.h"
#include "limits.h"
#include "str.h"
#include "utf8.h"
#include "vec.h"

typedef struct entry {
    fen_problem shown; /* first, so that a pointer to it is one to the entry */
    uint32_t seq;      /* order of arrival */
} entry;

struct fen_problems {
    fen_arena *texts;
    fen_intern *files;
    FEN_VEC(entry) entries;
    fen_problem last; /* "too many": stands after all others */
    bool has_last, failed, over; /* over: the one added last was not kept */
    size_t errors;
};

#define CODE_NAME(sym, name, help) [FEN_CODE_##sym] = name,
#define CODE_HELP(sym, name, help) [FEN_CODE_##sym] = help,
static const char *const code_names[] = { FEN_PROBLEM_CODES(CODE_NAME) };
static const char *const code_helps[] = { FEN_PROBLEM_CODES(CODE_HELP) };

const char *fen_code_name(fen_code code)
{
    return code < FEN_CODE_COUNT ? code_names[code] : "unknown";
}

const char *fen_code_help(fen_code code)
{
    return code < FEN_CODE_COUNT ? code_helps[code] : "";
}

/* What keeps a base from being used is an error; a rule that does not do what it seems to
 * is a warning; what only makes it less useful is a note. */
fen_severity fen_code_severity(fen_code code)
{
    switch ((int)code) {
    case FEN_CODE_NEVER:
    case FEN_CODE_NEVER_TRUE:
    case FEN_CODE_ALWAYS_TRUE:
    case FEN_CODE_NOT_ASKED:
    case FEN_CODE_COUNTED_TWICE:
    case FEN_CODE_IMPLIED:
    case FEN_CODE_CONTRADICTS:
    case FEN_CODE_GAP:
    case FEN_CODE_OVERLAP:
    case FEN_CODE_CLASH:
    case FEN_CODE_NO_REMEDY: return FEN_WARNING;
    case FEN_CODE_NONE_AGAINST:
    case FEN_CODE_NO_DECIDING:
    case FEN_CODE_NO_SOURCE:
    case FEN_CODE_LONG_TEXT:
    case FEN_CODE_ODD_UNIT: return FEN_NOTE;
    default: return FEN_ERROR;
    }
}

fen_status fen_problems_new(fen_problems **ret_list)
{
    fen_problems *list = fen_calloc(1, sizeof *list);
    if (!list)
        return FEN_ENOMEM;
    list->texts = fen_arena_new();
    list->files = fen_intern_new();
    if (!list->texts || !list->files) {
        fen_problems_free(list);
        return FEN_ENOMEM;
    }
    *ret_list = list;
    return FEN_OK;
}

void fen_problems_free(fen_problems *list)
{
    if (!list)
        return;
    FEN_VEC_FREE(&list->entries);
    fen_intern_free(list->files);
    fen_arena_free(list->texts);
    fen_free(list);
}

fen_status fen_problems_file(fen_problems *list, const char *path, uint32_t *ret_file)
{
    return fen_intern_add(list->files, path, strlen(path), ret_file);
}

const char *fen_problems_path(const fen_problems *list, uint32_t file)
{
    assert(file < fen_intern_count(list->files));
    return fen_intern_name(list->files, file);
}

/* A copy in which every byte that is not UTF-8 is U+FFFD: what is quoted goes
 * into JSON too, and must stay in its column. */
static const char *keep(fen_problems *list, const char *text, size_t len)
{
    size_t bad = fen_utf8_check(text, len);
    if (bad == len)
        return fen_arena_text(list->texts, text, len);
    fen_str out;
    fen_str_init(&out, 3 * (size_t)FEN_SCALAR_MAX + 3);
    for (;;) {
        fen_str_put(&out, text, bad);
        if (bad == len)
            break;
        fen_str_puts(&out, "\xEF\xBF\xBD");
        text += bad + 1;
        len -= bad + 1;
        bad = fen_utf8_check(text, len);
    }
    const char *copy = fen_str_status(&out) ? NULL : fen_arena_text(list->texts, out.at, out.len);
    fen_str_free(&out);
    return copy;
}

/* The message, cut where it would be a flood rather than a message. */
static FEN_PRINTF(2, 0) const char *keep_format(fen_problems *list, const char *format, va_list args)
{
    char small[256];
    va_list again;
    va_copy(again, args);
    const int len = vsnprintf(small, sizeof small, format, args);
    const char *copy = NULL;
    if (len >= 0 && (size_t)len < sizeof small) {
        copy = keep(list, small, (size_t)len);
    } else if (len >= 0) {
        fen_str big;
        fen_str_init(&big, (size_t)-2);
        fen_str_vprintf(&big, format, again);
        if (!fen_str_status(&big))
            copy = keep(list, big.at, big.len < FEN_SCALAR_MAX ? big.len : FEN_SCALAR_MAX);
        fen_str_free(&big);
    }
    va_end(again);
    return copy;
}

static bool same_line(fen_place a, fen_place b)
{
    return a.line && a.line == b.line && a.file == b.file;
}

/* Bytes of the line at TEXT; FEN_LINE_MAX + 1 for all that is longer. */
static size_t line_len(const char *text)
{
    size_t len = 0;
    while (len <= FEN_LINE_MAX && text[len] && text[len] != '\r' && text[len] != '\n')
        len++;
    return len;
}

static const char *keep_line(fen_problems *list, fen_place place, const char *line)
{
    if (list->entries.count) {
        const fen_problem *before = &list->entries.at[list->entries.count - 1].shown;
        if (before->line && same_line(before->place, place))
            return before->line;
    }
    return keep(list, line, line_len(line));
}

/* Past the bound only what the list as a whole says is kept up to date. */
static void add_to_last(fen_problems *list, fen_severity severity, fen_place place)
{
    if (!list->has_last) {
        list->has_last = true;
        list->last = (fen_problem){ .severity = severity,
                                    .code = FEN_CODE_TOO_LARGE,
                                    .place = { .file = place.file, .width = 1 },
                                    .text = "there are more problems than are listed here",
                                    .right = "mend these first" };
    }
    if (severity > list->last.severity)
        list->last.severity = severity;
}

void fen_problems_add(fen_problems *list, fen_severity severity, fen_code code, fen_place place, const char *line,
                      const char *right, const char *text, ...)
{
    list->errors += severity == FEN_ERROR;
    list->over = list->entries.count >= FEN_PROBLEMS_MAX;
    if (list->over) {
        add_to_last(list, severity, place);
        return;
    }
    entry e = { .shown = { .severity = severity, .code = code, .place = place }, .seq = list->entries.count };
    if (!e.shown.place.width)
        e.shown.place.width = 1;
    va_list args;
    va_start(args, text);
    e.shown.text = keep_format(list, text, args);
    va_end(args);
    bool stored = e.shown.text != NULL;
    if (stored && right)
        stored = (e.shown.right = keep(list, right, strlen(right))) != NULL;
    if (stored && line && line_len(line) <= FEN_LINE_MAX)
        stored = (e.shown.line = keep_line(list, place, line)) != NULL;
    if (!stored || !FEN_VEC_PUSH(&list->entries, e)) {
        list->failed = true;
        list->over = true;
    }
}

void fen_problems_instead(fen_problems *list, fen_place at, const char *instead)
{
    if (list->over || !list->entries.count)
        return;
    fen_problem *p = &list->entries.at[list->entries.count - 1].shown;
    p->instead_at = at;
    p->instead = keep(list, instead, strlen(instead));
    list->failed |= !p->instead;
}

void fen_problems_lose(fen_problems *list)
{
    list->failed = true;
}

size_t fen_problems_count(const fen_problems *list)
{
    return (size_t)list->entries.count + list->has_last;
}

size_t fen_problems_errors(const fen_problems *list)
{
    return list->errors;
}

const fen_problem *fen_problems_at(const fen_problems *list, size_t i)
{
    assert(i < fen_problems_count(list));
    return i < list->entries.count ? &list->entries.at[i].shown : &list->last;
}

fen_status fen_problems_status(const fen_problems *list)
{
    return list->failed ? FEN_ENOMEM : FEN_OK;
}

static int order(uint32_t a, uint32_t b)
{
    return (a > b) - (a < b);
}

static int by_place(const void *a, const void *b)
{
    const entry *x = a, *y = b;
    int c = order(x->shown.place.file, y->shown.place.file);
    if (!c)
        c = order(x->shown.place.line, y->shown.place.line);
    if (!c)
        c = order(x->shown.place.column, y->shown.place.column);
    return c ? c : order(x->seq, y->seq);
}

void fen_problems_sort(fen_problems *list)
{
    if (list->entries.count)
        qsort(list->entries.at, list->entries.count, sizeof *list->entries.at, by_place);
}
