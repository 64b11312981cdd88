/* settled.c -- keeping a settled case: locked, read, changed in memory, written as a whole.
 */
#include "fenmend/settled.h"

#include <assert.h>
#include <errno.h>

#include "store.h"
#include "util/file.h"
#include "util/limits.h"
#include "util/lock.h"

static fen_status keep(const fen_base *base, const char *path, const fen_case *c, bool replace, int32_t today, fen_problems *problems,
                       fen_settled_put *ret_put)
{
    fen_store store = { 0 };
    fen_str text;
    fen_str_init(&text, (size_t)FEN_PACK_MAX + FEN_CASE_MAX);
    fen_status st = fen_store_read(base, path, today, problems, &store);
    if (!st)
        st = fen_store_put(&store, path, c, replace, today, problems, ret_put, &text);
    if (!st && text.len)
        st = fen_file_write(path, text.at, text.len, 0666);
    const int error = errno;
    fen_store_close(&store);
    fen_str_free(&text);
    errno = error;
    return st;
}

fen_status fen_settled_keep(const fen_base *base, const char *path, const fen_case *c, bool replace, int32_t today, fen_problems *problems,
                            fen_settled_put *ret_put)
{
    fen_lock lock = FEN_LOCK_NONE;
    assert(fen_case_settled(c).count);
    fen_status st = fen_lock_take(path, FEN_LOCK_WAIT, &lock);
    if (st == FEN_EIO && errno == EWOULDBLOCK)
        return fen_store_busy(path, problems);
    if (!st)
        st = keep(base, path, c, replace, today, problems, ret_put);
    fen_lock_give(&lock);
    return st;
}
