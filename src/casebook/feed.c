/* feed.c -- reading files in chunks, telling what they are, and filling pieces; where a
 * unit ends is feed_cut.c's business.
 */
#include "feed.h"

#include <errno.h>
#include <fcntl.h>
#include <poll.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "feed_cut.h"
#include "text/csv.h"
#include "util/alloc.h"
#include "util/limits.h"

#define CHUNK ((size_t)128 << 10) /* bytes asked for at a time: large enough that calls do not count */
#define PIECE ((size_t)48 << 10)  /* bytes of a piece: some dozens of cases, so that workers even out */
#define PIECE_UNITS 64            /* and so many at most: a result may be forty times as long as its case */

typedef struct file_node {
    fen_feed_file file; /* first */
    struct file_node *older;
} file_node;

struct fen_feed {
    const char *const *paths;
    size_t n_paths, next_path;
    fen_input input;
    file_node *files; /* newest first: pieces refer to them */
    fen_feed_file *now; /* NULL: open the next */
    int fd;
    char *buf;
    size_t cap, from, to; /* what is not yet cut */
    bool at_end, fresh;
    fen_cut cut;
    size_t bytes_before;
    uint32_t lines_before;
};

fen_status fen_feed_new(const char *const *paths, size_t n_paths, fen_input input, fen_feed **ret_feed)
{
    fen_feed *f = fen_calloc(1, sizeof *f);
    if (!f)
        return FEN_ENOMEM;
    *f = (fen_feed){ .paths = paths, .n_paths = n_paths, .input = input, .fd = -1 };
    *ret_feed = f;
    return FEN_OK;
}

static void close_file(fen_feed *f)
{
    if (f->fd > STDIN_FILENO)
        close(f->fd);
    f->fd = -1;
    f->now = NULL;
}

void fen_feed_free(fen_feed *f)
{
    if (!f)
        return;
    close_file(f);
    while (f->files) {
        file_node *older = f->files->older;
        fen_free((void *)(uintptr_t)f->files->file.stem);
        fen_free(f->files->file.header);
        fen_free(f->files);
        f->files = older;
    }
    fen_free(f->buf);
    fen_free(f);
}

/* -- opening --------------------------------------------------------------- */

bool fen_feed_waits(const fen_feed *f)
{
    struct pollfd p = { .fd = f->fd, .events = POLLIN };
    return f->now && f->fd >= 0 && !f->at_end && poll(&p, 1, 0) == 0;
}

void fen_feed_drop(fen_feed *f)
{
    if (f->now)
        close_file(f);
}

static char *stem_of(const char *path)
{
    if (strcmp(path, "-") == 0)
        return fen_strndup("stdin", 5);
    const char *slash = strrchr(path, '/');
    const char *name = slash ? slash + 1 : path;
    const char *dot = strrchr(name, '.');
    return fen_strndup(name, dot && dot > name ? (size_t)(dot - name) : strlen(name));
}

/* A folder can be opened but not read: say so before. */
static int open_path(const char *path)
{
    struct stat st;
    const int fd = strcmp(path, "-") == 0 ? STDIN_FILENO : open(path, O_RDONLY | O_CLOEXEC);
    if (fd >= 0 && fstat(fd, &st) == 0 && S_ISDIR(st.st_mode)) {
        if (fd != STDIN_FILENO)
            close(fd);
        errno = EISDIR;
        return -1;
    }
    return fd;
}

static fen_status open_next(fen_feed *f)
{
    file_node *node = fen_calloc(1, sizeof *node);
    const char *path = f->paths[f->next_path];
    char *stem = stem_of(path);
    if (!node || !stem) {
        fen_free(node);
        fen_free(stem);
        return FEN_ENOMEM;
    }
    f->next_path++;
    node->file = (fen_feed_file){ .path = strcmp(path, "-") == 0 ? "stdin" : path, .stem = stem, .input = f->input };
    node->older = f->files;
    f->files = node;
    f->now = &node->file;
    f->from = f->to = f->bytes_before = 0;
    f->lines_before = 0;
    f->at_end = false;
    f->fresh = true;
    f->cut = (fen_cut){ 0 };
    f->fd = open_path(path);
    f->now->error = f->fd < 0 ? errno : 0;
    return FEN_OK;
}

/* -- the buffer ------------------------------------------------------------- */

static fen_status make_room(fen_feed *f)
{
    if (f->from) {
        memmove(f->buf, f->buf + f->from, f->to - f->from);
        f->to -= f->from;
        f->from = 0;
    }
    if (f->cap - f->to >= CHUNK)
        return FEN_OK;
    const size_t cap = f->cap ? f->cap * 2 : 2 * CHUNK;
    char *buf = fen_realloc(f->buf, cap, 1);
    if (!buf)
        return FEN_ENOMEM;
    f->buf = buf;
    f->cap = cap;
    return FEN_OK;
}

/* A fault of reading ends the file; what came before it is still judged. */
static fen_status read_more(fen_feed *f)
{
    const fen_status st = make_room(f);
    if (st)
        return st;
    ssize_t n;
    do
        n = read(f->fd, f->buf + f->to, CHUNK);
    while (n < 0 && errno == EINTR);
    if (n < 0)
        f->now->error = errno;
    if (n <= 0)
        f->at_end = true;
    else
        f->to += (size_t)n;
    return FEN_OK;
}

/* -- the start of a file --------------------------------------------------- */

static void take(fen_feed *f, size_t len, uint32_t lines)
{
    f->from += len;
    f->bytes_before += len;
    f->lines_before += lines;
}

static bool header_at_hand(const fen_feed *f, size_t *ret_len, uint32_t *ret_blank)
{
    const char *text = f->buf + f->from;
    const size_t len = f->to - f->from;
    size_t skip = 0, record, bad;
    uint32_t blank = 0;
    for (; skip < len && (text[skip] == '\n' || text[skip] == '\r'); skip++)
        blank += text[skip] == '\n';
    const char separator = fen_csv_separator(text + skip, len - skip);
    if (fen_csv_next(text + skip, len - skip, f->at_end, separator, &record, &bad) == FEN_CSV_MORE &&
        len - skip < FEN_LINE_MAX)
        return false;
    *ret_len = skip;
    *ret_blank = blank;
    return true;
}

/* Take the first record out; a fault in it shows when it is read. */
static fen_status take_header(fen_feed *f)
{
    size_t skip, len, bad;
    uint32_t blank;
    fen_status st = FEN_OK;
    while (!st && !header_at_hand(f, &skip, &blank))
        st = read_more(f);
    if (st)
        return st;
    take(f, skip, blank);
    const char *text = f->buf + f->from;
    f->now->separator = fen_csv_separator(text, f->to - f->from);
    if (fen_csv_next(text, f->to - f->from, f->at_end, f->now->separator, &len, &bad) == FEN_CSV_MORE)
        len = f->to - f->from;
    f->now->header = fen_strndup(text, len);
    f->now->header_len = len;
    f->now->header_line = f->lines_before;
    f->now->header_byte = f->bytes_before;
    take(f, len, fen_cut_lines(text, len));
    return f->now->header ? FEN_OK : FEN_ENOMEM;
}

/* Read until it can be told what the file is. */
static fen_status find_input(fen_feed *f)
{
    const bool is_told = f->now->input != FEN_INPUT_AUTO;
    fen_input guess;
    for (;;) {
        const fen_status st = read_more(f);
        if (st)
            return st;
        f->from = f->to >= 3 && memcmp(f->buf, "\xEF\xBB\xBF", 3) == 0 ? 3 : 0; /* a byte order mark */
        const bool last = f->at_end || f->to >= FEN_CASE_MAX;
        if ((is_told && (last || f->to > 3)) || (!is_told && fen_feed_guess(f->buf + f->from, f->to - f->from, last, &guess)))
            break;
        f->from = 0;
    }
    f->bytes_before = f->from;
    f->now->input = is_told ? f->now->input : guess;
    return FEN_OK;
}

static fen_status begin(fen_feed *f)
{
    fen_status st = find_input(f);
    if (st)
        return st;
    f->cut.input = f->now->input;
    if (f->now->input != FEN_INPUT_CSV || f->from == f->to)
        return FEN_OK;
    st = take_header(f);
    f->cut.separator = f->now->separator;
    return st;
}

/* -- pieces ----------------------------------------------------------------- */

static fen_status put_unit(fen_feed *f, fen_piece_of_file *piece, const fen_cut_unit *u)
{
    const fen_unit unit = { .state = u->state, .at = piece->text.len, .len = u->len, .bad = u->bad,
                            .lines_before = f->lines_before, .bytes_before = f->bytes_before };
    fen_str_put(&piece->text, f->buf + f->from, u->len);
    take(f, u->len + u->skip, u->lines);
    return FEN_VEC_PUSH(&piece->units, unit) ? fen_str_status(&piece->text) : FEN_ENOMEM;
}

/* All whole units at hand, up to a piece's size. */
static fen_status cut_units(fen_feed *f, fen_piece_of_file *piece)
{
    fen_cut_unit u;
    while (piece->text.len < PIECE && piece->units.count < PIECE_UNITS) {
        switch (fen_cut_next(&f->cut, f->buf + f->from, f->to - f->from, f->at_end, &u)) {
        case FEN_CUT_UNIT: {
            if (f->fresh && u.state == FEN_UNIT_TEXT && f->at_end && f->from + u.len == f->to)
                u.state = FEN_UNIT_ONLY;
            f->fresh = false;
            const fen_status st = put_unit(f, piece, &u);
            if (st)
                return st;
            break;
        }
        case FEN_CUT_SKIP: /* nothing but blanks, or what is too long to keep */
            take(f, u.skip, u.lines);
            break;
        case FEN_CUT_MORE:
            return FEN_OK;
        }
    }
    return FEN_OK;
}

static fen_status fill(fen_feed *f, fen_piece_of_file *piece)
{
    fen_status st = FEN_OK;
    if (f->fd >= 0 && f->fresh && f->to == 0 && !f->at_end)
        st = begin(f);
    while (!st && f->fd >= 0 && !f->now->error) {
        st = cut_units(f, piece);
        if (st || piece->units.count || (f->at_end && f->from == f->to))
            break;
        if (!f->at_end)
            st = read_more(f);
    }
    return st;
}

fen_status fen_feed_next(fen_feed *f, fen_piece_of_file *piece, bool *ret_more)
{
    fen_status st = FEN_OK;
    fen_str_clear(&piece->text);
    piece->units.count = 0;
    piece->failed = piece->first = false;
    *ret_more = false;
    if (!f->now) {
        if (f->next_path == f->n_paths)
            return FEN_OK;
        st = open_next(f);
        if (st)
            return st;
        piece->first = true;
    }
    st = fill(f, piece);
    if (st)
        return st;
    piece->file = f->now;
    piece->bytes = f->bytes_before;
    piece->failed = f->now->error && !piece->units.count;
    if (piece->failed || (f->at_end && f->from == f->to))
        close_file(f);
    *ret_more = true;
    return FEN_OK;
}
