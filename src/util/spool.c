/* spool.c -- see spool.h; the file has no name, so a kill leaves nothing behind.
 */
#include "spool.h"

#include <errno.h>

void fen_spool_init(fen_spool *s)
{
    fen_str_init(&s->text, FEN_SPOOL_MEMORY * 64);
    s->file = NULL;
}

void fen_spool_free(fen_spool *s)
{
    fen_str_free(&s->text);
    if (s->file)
        fclose(s->file);
    s->file = NULL;
}

static fen_status spill(fen_spool *s)
{
    if (!s->file)
        s->file = tmpfile();
    if (!s->file || fwrite(s->text.at, 1, s->text.len, s->file) != s->text.len)
        return FEN_EIO;
    fen_str_clear(&s->text);
    return FEN_OK;
}

fen_status fen_spool_put(fen_spool *s, const char *bytes, size_t len)
{
    fen_str_put(&s->text, bytes, len);
    if (fen_str_status(&s->text))
        return FEN_ENOMEM;
    return s->text.len >= FEN_SPOOL_MEMORY ? spill(s) : FEN_OK;
}

fen_status fen_spool_copy(fen_spool *s, fen_sink *to)
{
    char buf[16384];
    size_t n;
    if (s->file && (fflush(s->file) || fseek(s->file, 0, SEEK_SET)))
        return FEN_EIO;
    while (s->file && (n = fread(buf, 1, sizeof buf, s->file)) > 0)
        fen_sink_put(to, buf, n);
    if (s->file && ferror(s->file)) {
        errno = EIO;
        return FEN_EIO;
    }
    fen_sink_put(to, s->text.at, s->text.len);
    return FEN_OK;
}
