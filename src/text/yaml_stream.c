#include "yaml_stream.h"

#include <errno.h>
#include <string.h>
#include <unistd.h>

#include "util/alloc.h"

#define CHUNK ((size_t)64 << 10)

struct fen_yaml_stream {
    char *path;
    fen_read_fn *read;
    void *ctx;
    size_t max;
    char *buf;           /* [0, len) is read and not yet given; a NUL behind it */
    size_t len, cap;
    size_t line;         /* where the line begins that is looked at next */
    bool end;            /* nothing more to read */
    bool marked;         /* the document at hand has its '---' */
    bool content;        /* ... or something else that is not a comment */
    bool skipping;       /* the rest of a document that was too large */
    uint32_t lines;      /* before the document at hand */
    size_t bytes;        /* likewise */
    size_t documents, broken;
};

ptrdiff_t fen_read_fd(void *ctx, char *buf, size_t size)
{
    ssize_t got;
    do
        got = read(*(const int *)ctx, buf, size);
    while (got < 0 && errno == EINTR);
    return got;
}

fen_status fen_yaml_stream_open(const char *path, fen_read_fn *read, void *ctx, size_t max, fen_yaml_stream **ret_stream)
{
    fen_yaml_stream *s = fen_calloc(1, sizeof *s);
    if (!s)
        return FEN_ENOMEM;
    *s = (fen_yaml_stream){ .read = read, .ctx = ctx, .max = max, .path = fen_strndup(path, strlen(path)) };
    if (!s->path) {
        fen_yaml_stream_free(s);
        return FEN_ENOMEM;
    }
    *ret_stream = s;
    return FEN_OK;
}

void fen_yaml_stream_free(fen_yaml_stream *s)
{
    if (!s)
        return;
    fen_free(s->path);
    fen_free(s->buf);
    fen_free(s);
}

/* Room for one more chunk; never more than the largest document and a chunk. */
static fen_status fill(fen_yaml_stream *s)
{
    if (s->cap - s->len < CHUNK + 1) {
        const size_t want = s->cap ? s->cap * 2 : 2 * CHUNK + 1;
        char *more = fen_realloc(s->buf, want, 1);
        if (!more)
            return FEN_ENOMEM;
        s->buf = more;
        s->cap = want;
    }
    const ptrdiff_t got = s->read(s->ctx, s->buf + s->len, CHUNK);
    if (got < 0)
        return FEN_EIO;
    s->end = got == 0;
    s->len += (size_t)got;
    s->buf[s->len] = '\0';
    return FEN_OK;
}

/* ---- cutting ---- */

static bool is_blank(char c)
{
    return c == ' ' || c == '\t' || c == '\r' || c == '\n';
}

static bool is_marker(const char *line, size_t len, const char *marker)
{
    return len >= 3 && memcmp(line, marker, 3) == 0 && (len == 3 || is_blank(line[3]));
}

/* Blank, a comment, or (before '---') a directive. */
static bool says_nothing(const fen_yaml_stream *s, const char *line, size_t len)
{
    size_t i = 0;
    while (i < len && is_blank(line[i]))
        i++;
    return i == len || line[i] == '#' || (line[0] == '%' && !s->marked && !s->content);
}

/* Look at one line; true: the document ends at *RET_CUT. */
static bool look_at(fen_yaml_stream *s, const char *line, size_t len, size_t *ret_cut)
{
    if (is_marker(line, len, "---")) {
        if (s->marked || s->content) {
            *ret_cut = s->line;
            return true;
        }
        s->marked = true;
        s->content = !says_nothing(s, line + 3, len - 3);
    } else if (is_marker(line, len, "...")) {
        *ret_cut = s->line + len;
        return true;
    } else if (!says_nothing(s, line, len)) {
        s->content = true;
    }
    s->line += len;
    return false;
}

/* Where the document at hand ends, if all of it is here. */
static bool find_end(fen_yaml_stream *s, size_t *ret_cut)
{
    while (s->line < s->len) {
        const char *line = s->buf + s->line;
        const char *lf = memchr(line, '\n', s->len - s->line);
        if (!lf && !s->end)
            return false;
        const size_t len = lf ? (size_t)(lf - line) + 1 : s->len - s->line;
        if (look_at(s, line, len, ret_cut))
            return true;
    }
    *ret_cut = s->len;
    return s->end;
}

/* The document of CUT bytes has been dealt with. */
static void drop(fen_yaml_stream *s, size_t cut)
{
    if (!cut)
        return;
    s->lines += fen_source_breaks(s->buf, cut);
    s->bytes += cut;
    s->len -= cut;
    memmove(s->buf, s->buf + cut, s->len + 1);
    s->line = s->line > cut ? s->line - cut : 0;
}

static void begin_document(fen_yaml_stream *s)
{
    s->line = 0;
    s->marked = s->content = s->skipping = false;
}

/* ---- documents ---- */

static fen_status tell_too_large(const fen_yaml_stream *s, fen_problems *problems)
{
    fen_place place = { .line = s->lines + 1, .column = 1, .width = 1 };
    const fen_status st = fen_problems_file(problems, s->path, &place.file);
    if (st)
        return st;
    fen_problems_add(problems, FEN_ERROR, FEN_CODE_TOO_LARGE, place, s->buf, "split it, or mend its '---' lines",
                     "this document has more than %zu bytes", s->max);
    return FEN_EINPUT;
}

/* Told once, where it begins; the rest is read over without being kept. */
static fen_status refuse_too_large(fen_yaml_stream *s, fen_problems *problems)
{
    const fen_status st = tell_too_large(s, problems);
    if (st == FEN_EINPUT) {
        s->documents++;
        s->broken++;
        s->skipping = true;
    }
    return st;
}

/* Of a document that is passed over only an unfinished last line is kept; of one
 * without end a letter, so that what follows is not taken for a line's start. */
static void drop_skipped(fen_yaml_stream *s)
{
    size_t cut = s->line;
    if (s->len - cut > CHUNK) {
        cut = s->len - 1;
        s->buf[cut] = 'x';
    }
    drop(s, cut);
    s->line = 0;
}

static fen_status parse(fen_yaml_stream *s, size_t cut, fen_problems *problems, fen_source **ret_source,
                        fen_tree **ret_tree)
{
    fen_source *source = NULL;
    s->documents++;
    fen_status st = fen_source_piece(s->path, s->buf, cut, s->lines, s->bytes, problems, &source);
    if (!st)
        st = fen_yaml_read(source, problems, ret_tree);
    s->broken += st == FEN_EINPUT;
    if (st)
        fen_source_free(source);
    else
        *ret_source = source;
    return st;
}

fen_status fen_yaml_stream_next(fen_yaml_stream *s, fen_problems *problems, fen_source **ret_source, fen_tree **ret_tree)
{
    for (;;) {
        size_t cut;
        fen_status st = FEN_OK;
        if (!find_end(s, &cut)) {
            if (s->skipping)
                drop_skipped(s);
            else if (s->len > s->max)
                st = refuse_too_large(s, problems);
            if (!st)
                st = fill(s);
            if (st)
                return st;
            continue;
        }
        if (!cut && s->end && !s->len) {
            *ret_source = NULL;
            *ret_tree = NULL;
            return FEN_OK;
        }
        const bool wanted = s->content && !s->skipping;
        if (wanted)
            st = cut > s->max ? refuse_too_large(s, problems) : parse(s, cut, problems, ret_source, ret_tree);
        drop(s, cut);
        begin_document(s);
        if (wanted || st)
            return st;
    }
}

size_t fen_yaml_stream_documents(const fen_yaml_stream *s)
{
    return s->documents;
}

size_t fen_yaml_stream_broken(const fen_yaml_stream *s)
{
    return s->broken;
}

size_t fen_yaml_stream_bytes(const fen_yaml_stream *s)
{
    return s->cap;
}
