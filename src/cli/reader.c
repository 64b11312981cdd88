#include "reader.h"

#include <errno.h>
#include <string.h>
#include <unistd.h>

#include "util/alloc.h"
#include "util/limits.h"

typedef struct plain {
    fen_reader base;
    int fd;
    size_t at, end;
    char block[4096];
} plain;

/* More bytes into the block: 1, at the end 0, -1 with errno. */
static int refill(plain *p)
{
    ssize_t n;
    do
        n = read(p->fd, p->block, sizeof p->block);
    while (n < 0 && errno == EINTR);
    p->at = 0;
    p->end = n > 0 ? (size_t)n : 0;
    return n > 0 ? 1 : (int)n;
}

static fen_read plain_next(fen_reader *r, const char *ask, fen_str *ret_line)
{
    plain *p = (plain *)r;
    bool any = false, too_long = false;
    (void)ask;
    fen_str_clear(ret_line);
    for (;;) {
        if (p->at == p->end) {
            const int more = refill(p);
            if (more < 0)
                return FEN_READ_FAILED;
            if (more == 0 && !any)
                return FEN_READ_END;
            if (more == 0)
                break; /* a last line without its end is a line */
        }
        any = true;
        const char *from = p->block + p->at;
        const char *end = memchr(from, '\n', p->end - p->at);
        const size_t n = end ? (size_t)(end - from) : p->end - p->at;
        p->at += end ? n + 1 : n;
        too_long = too_long || ret_line->len + n > FEN_LINE_MAX;
        if (!too_long)
            fen_str_put(ret_line, from, n);
        if (end)
            break;
    }
    if (too_long)
        return FEN_READ_LONG;
    if (fen_str_status(ret_line)) {
        errno = ENOMEM;
        return FEN_READ_FAILED;
    }
    if (ret_line->len && ret_line->at[ret_line->len - 1] == '\r')
        ret_line->at[--ret_line->len] = '\0';
    return FEN_READ_LINE;
}

static void plain_close(fen_reader *r)
{
    fen_free(r);
}

fen_reader *fen_reader_plain(int fd)
{
    plain *p = fen_calloc(1, sizeof *p);
    if (!p)
        return NULL;
    p->base = (fen_reader){.next = plain_next, .close = plain_close};
    p->fd = fd;
    return &p->base;
}
