#include "source.h"

#include <errno.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stdio.h>
#include <string.h>

#include "util/alloc.h"
#include "util/file.h"
#include "util/str.h"
#include "util/utf8.h"

/* ---- lines ---- */

/* Bytes of the line end at P, 0 if there is none. P is NUL-terminated. */
static size_t break_len(const char *p)
{
    const unsigned char *u = (const unsigned char *)p;
    if (u[0] == '\n')
        return 1;
    if (u[0] == '\r')
        return u[1] == '\n' ? 2 : 1;
    if (u[0] == 0xC2 && u[1] == 0x85)
        return 2;
    if (u[0] == 0xE2 && u[1] == 0x80 && (u[2] == 0xA8 || u[2] == 0xA9))
        return 3;
    return 0;
}

/* The next line end at or after P, or END. Few texts have any but LF, and those
 * are found at the speed of memchr. */
static const char *next_break(const char *p, const char *end, bool only_lf)
{
    if (only_lf) {
        const char *lf = memchr(p, '\n', (size_t)(end - p));
        return lf ? lf : end;
    }
    while (p < end && !break_len(p))
        p++;
    return p;
}

static bool has_only_lf(const char *text)
{
    return !strchr(text, '\r') && !strstr(text, "\xC2\x85") && !strstr(text, "\xE2\x80\xA8") &&
           !strstr(text, "\xE2\x80\xA9");
}

/* Counts the lines, and stores their starts if AT is given. */
static uint32_t find_lines(const char *text, size_t len, bool only_lf, uint32_t *at)
{
    const char *end = text + len, *p = text;
    uint32_t count = 0;
    for (;;) {
        if (at)
            at[count] = (uint32_t)(p - text);
        count++;
        p = next_break(p, end, only_lf);
        if (p >= end) /* beyond it if a CR LF lies across it */
            return count;
        p += break_len(p);
    }
}

struct fen_lines {
    uint32_t count; /* 0: nobody has asked */
    uint32_t *at;   /* where they begin */
    uint32_t none[1]; /* `at` without memory: all is one line, and problems told of it are lost */
};

typedef struct with_lines {
    fen_source source; /* first, so that it has the address of all */
    struct fen_lines lines;
} with_lines;

static fen_status index_lines(const fen_source *s)
{
    const bool only_lf = has_only_lf(s->text);
    struct fen_lines *l = s->lines;
    l->count = find_lines(s->text, s->len, only_lf, NULL);
    l->at = fen_alloc(l->count * sizeof *l->at);
    if (!l->at) {
        l->count = 1;
        l->at = l->none;
        return FEN_ENOMEM;
    }
    find_lines(s->text, s->len, only_lf, l->at);
    return FEN_OK;
}

/* Nobody asks for the lines of most pieces: they have no problem. */
static const struct fen_lines *lines_of(const fen_source *s)
{
    if (!s->lines->count)
        (void)index_lines(s); /* fen_source_problem looks at how it went */
    return s->lines;
}

uint32_t fen_source_breaks(const char *text, size_t len)
{
    return find_lines(text, len, false, NULL) - 1;
}

/* The bytes of the line end that stops right at P, which follows START. */
static size_t break_before(const char *start, const char *p)
{
    for (size_t n = 3; n > 0; n--)
        if ((size_t)(p - start) >= n && break_len(p - n) == n)
            return n;
    return 0;
}

const char *fen_source_line(const fen_source *s, uint32_t line, size_t *ret_len)
{
    *ret_len = 0;
    const struct fen_lines *l = lines_of(s);
    if (line <= s->lines_before || line - s->lines_before > l->count)
        return "";
    const uint32_t i = line - s->lines_before - 1;
    const char *start = s->text + l->at[i];
    const char *end = s->text + s->len;
    if (i + 1 < l->count) {
        end = s->text + l->at[i + 1];
        end -= break_before(start, end);
    }
    *ret_len = (size_t)(end - start);
    return start;
}

fen_place fen_source_place(const fen_source *s, size_t offset)
{
    const struct fen_lines *l = lines_of(s);
    uint32_t low = 0, high = l->count; /* at[low] <= offset */
    while (high - low > 1) {
        const uint32_t middle = low + (high - low) / 2;
        if (l->at[middle] <= offset)
            low = middle;
        else
            high = middle;
    }
    const size_t start = l->at[low];
    const size_t column = fen_utf8_count(s->text + start, offset - start) + 1;
    return (fen_place){ .file = s->file, .line = s->lines_before + low + 1, .column = (uint32_t)column, .width = 1 };
}

size_t fen_source_offset(const fen_source *s, uint32_t line, uint32_t column)
{
    size_t len, i = 0;
    const char *start = fen_source_line(s, line, &len);
    if (start < s->text || start > s->text + s->len)
        return s->len;
    for (uint32_t c = 1; c < column && i < len; c++)
        i += fen_utf8_step(start + i, len - i);
    return (size_t)(start - s->text) + i;
}

void fen_source_problem(const fen_source *s, fen_problems *problems, fen_severity severity, fen_code code,
                        fen_place place, const char *right, const char *text, ...)
{
    fen_str message;
    size_t len;
    fen_str_init(&message, (size_t)-2);
    va_list args;
    va_start(args, text);
    fen_str_vprintf(&message, text, args);
    va_end(args);
    const char *line = place.line ? fen_source_line(s, place.line, &len) : NULL;
    /* Without memory the bare format is still told: it says what, if not whom. */
    fen_problems_add(problems, severity, code, place, line, right, "%s", message.failed ? text : message.at);
    fen_str_free(&message);
    if (s->lines->at == s->lines->none)
        fen_problems_lose(problems);
}

/* ---- opening ---- */

static bool looks_utf16(const char *text, size_t len)
{
    const unsigned char *u = (const unsigned char *)text;
    if (len >= 2 && ((u[0] == 0xFF && u[1] == 0xFE) || (u[0] == 0xFE && u[1] == 0xFF)))
        return true;
    return len >= 4 && ((!u[0] && u[1] && !u[2] && u[3]) || (u[0] && !u[1] && u[2] && !u[3]));
}

/* The whole text must be UTF-8 without NUL; the first bad byte is told with its
 * offset in the file, and its place. */
static fen_status check_encoding(const fen_source *s, fen_problems *problems)
{
    static const char right[] = "save the text as UTF-8";
    if (!s->bytes_before && s->owned && looks_utf16(s->owned, s->len)) {
        const fen_place whole = { .file = s->file, .width = 1 };
        fen_problems_add(problems, FEN_ERROR, FEN_CODE_ENCODING, whole, NULL, right, "the text is UTF-16");
        return FEN_EINPUT;
    }
    const size_t bad = fen_utf8_check(s->text, s->len);
    const char *nul = memchr(s->text, '\0', bad);
    if (bad == s->len && !nul)
        return FEN_OK;
    const size_t offset = nul ? (size_t)(nul - s->text) : bad;
    const size_t in_file = s->bytes_before + (size_t)(s->text - s->owned) + offset;
    const fen_place place = fen_source_place(s, offset);
    if (nul)
        fen_source_problem(s, problems, FEN_ERROR, FEN_CODE_ENCODING, place, right, "byte %zu is a NUL", in_file);
    else
        fen_source_problem(s, problems, FEN_ERROR, FEN_CODE_ENCODING, place, right,
                           "byte %zu (0x%02X) is not UTF-8", in_file, (unsigned)(unsigned char)s->text[offset]);
    return FEN_EINPUT;
}

static void skip_mark(fen_source *s)
{
    if (!s->bytes_before && s->len >= 3 && memcmp(s->text, "\xEF\xBB\xBF", 3) == 0) {
        s->text += 3;
        s->len -= 3;
    }
}

/* Takes OWNED, also when it fails. A part of a file is one of many. */
static fen_status make(const char *path, uint32_t file, char *owned, size_t len, bool part, uint32_t lines_before,
                       size_t bytes_before, fen_problems *problems, fen_source **ret_source)
{
    with_lines *w = fen_calloc(1, sizeof *w);
    if (!w) {
        fen_free(owned);
        return FEN_ENOMEM;
    }
    fen_source *s = &w->source;
    *s = (fen_source){ .text = owned, .len = len, .file = file, .owned = owned,
                       .lines_before = lines_before, .bytes_before = bytes_before, .lines = &w->lines };
    skip_mark(s);
    s->path = fen_strndup(path, strlen(path));
    fen_status st = s->path ? FEN_OK : FEN_ENOMEM;
    if (!st && !part)
        st = index_lines(s);
    if (!st)
        st = check_encoding(s, problems);
    if (st) {
        fen_source_free(s);
        return st;
    }
    *ret_source = s;
    return FEN_OK;
}

/* What an author can do something about, in words that no locale changes. */
static const char *reason(int error)
{
    switch (error) {
    case ENOENT:
        return "there is no such file";
    case ENOTDIR:
        return "a part of its path is not a folder";
    case EACCES:
    case EPERM:
        return "it may not be read";
    case ELOOP:
        return "its links lead in a circle";
    case ENAMETOOLONG:
        return "its name is too long";
    case EMFILE:
    case ENFILE:
        return "too many files are open";
    default:
        return "reading failed";
    }
}

static void add_whole(fen_problems *problems, uint32_t file, fen_code code, const char *right, const char *text)
{
    const fen_place whole = { .file = file, .width = 1 };
    fen_problems_add(problems, FEN_ERROR, code, whole, NULL, right, "%s", text);
}

static void tell_too_large(fen_problems *problems, uint32_t file, size_t max)
{
    const fen_place whole = { .file = file, .width = 1 };
    fen_problems_add(problems, FEN_ERROR, FEN_CODE_TOO_LARGE, whole, NULL, "split it into several files",
                     "the file has more than %zu bytes", max);
}

fen_status fen_source_open(const char *path, size_t max, fen_problems *problems, fen_source **ret_source)
{
    uint32_t file;
    char *text;
    size_t len;
    fen_status st = fen_problems_file(problems, path, &file);
    if (st)
        return st;
    if (max > UINT32_MAX - 2)
        max = UINT32_MAX - 2; /* line starts are 32 bits wide */
    st = fen_file_read(path, max, &text, &len);
    if (st == FEN_ENOMEM)
        return st;
    if (st == FEN_EINPUT && errno == EFBIG)
        tell_too_large(problems, file, max);
    else if (st == FEN_EINPUT)
        add_whole(problems, file, FEN_CODE_READ, "name a file in it", "this is a folder");
    else if (st)
        add_whole(problems, file, FEN_CODE_READ, NULL, reason(errno));
    return st ? FEN_EINPUT : make(path, file, text, len, false, 0, 0, problems, ret_source);
}

static fen_status copy(const char *path, const char *text, size_t len, bool part, uint32_t lines_before,
                       size_t bytes_before, fen_problems *problems, fen_source **ret_source)
{
    uint32_t file;
    const fen_status st = fen_problems_file(problems, path, &file);
    if (st)
        return st;
    if (len > UINT32_MAX - 2) {
        tell_too_large(problems, file, UINT32_MAX - 2);
        return FEN_EINPUT;
    }
    char *owned = fen_strndup(text, len);
    return owned ? make(path, file, owned, len, part, lines_before, bytes_before, problems, ret_source) : FEN_ENOMEM;
}

fen_status fen_source_piece(const char *path, const char *text, size_t len, uint32_t lines_before,
                            size_t bytes_before, fen_problems *problems, fen_source **ret_source)
{
    return copy(path, text, len, true, lines_before, bytes_before, problems, ret_source);
}

fen_status fen_source_text(const char *path, const char *text, size_t len, fen_problems *problems,
                           fen_source **ret_source)
{
    return copy(path, text, len, false, 0, 0, problems, ret_source);
}

void fen_source_free(fen_source *s)
{
    if (!s)
        return;
    fen_free((void *)(uintptr_t)s->path);
    if (s->lines->at != s->lines->none)
        fen_free(s->lines->at);
    fen_free(s->owned);
    fen_free(s);
}
