#include "lock.h"

#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <poll.h>
#include <stdbool.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "alloc.h"
#include "str.h"

#define STEP 20u /* ms between two tries */

/* Two names of one file are one lock. A file that is not there yet has but the name given. */
static fen_status name_lock(const char *path, char **ret_name)
{
    char real[PATH_MAX];
    fen_str name;
    const char *at = realpath(path, real) ? real : path;
    const char *slash = strrchr(at, '/');
    fen_str_init(&name, 2 * PATH_MAX);
    fen_str_put(&name, at, slash ? (size_t)(slash - at) + 1 : 0);
    fen_str_printf(&name, ".%s.lock", slash ? slash + 1 : at);
    *ret_name = fen_str_status(&name) ? NULL : fen_strndup(name.at, name.len);
    fen_str_free(&name);
    return *ret_name ? FEN_OK : FEN_ENOMEM;
}

/* Whoever held the lock may have taken its file away since it was opened: then it is
 * a lock on nothing. */
static bool still_there(int fd, const char *name)
{
    struct stat held, now;
    return fstat(fd, &held) == 0 && stat(name, &now) == 0 && held.st_dev == now.st_dev && held.st_ino == now.st_ino;
}

/* One try: 1 held, 0 another has it, -1 errno. */
static int try_once(const char *name, int *ret_fd)
{
    struct flock whole = { .l_type = F_WRLCK, .l_whence = SEEK_SET };
    const int fd = open(name, O_RDWR | O_CREAT | O_CLOEXEC | O_NOFOLLOW, 0666);
    if (fd < 0)
        return -1;
    if (fcntl(fd, F_SETLK, &whole) == 0 && still_there(fd, name)) {
        *ret_fd = fd;
        return 1;
    }
    const int error = errno;
    const bool taken = error == EACCES || error == EAGAIN || !still_there(fd, name);
    close(fd);
    errno = error;
    return taken ? 0 : -1;
}

fen_status fen_lock_take(const char *path, unsigned wait_ms, fen_lock *ret_lock)
{
    char *name;
    int fd = -1, got = 0;
    const fen_status st = name_lock(path, &name);
    if (st)
        return st;
    for (unsigned waited = 0; (got = try_once(name, &fd)) == 0 && waited < wait_ms; waited += STEP)
        (void)poll(NULL, 0, STEP);
    if (got != 1) {
        const int error = got ? errno : EWOULDBLOCK;
        fen_free(name);
        errno = error;
        return FEN_EIO;
    }
    *ret_lock = (fen_lock){ fd, name };
    return FEN_OK;
}

void fen_lock_give(fen_lock *lock)
{
    const int error = errno;
    if (lock->fd >= 0) {
        unlink(lock->name); /* while it is held: nobody else can be behind it */
        close(lock->fd);
        fen_free(lock->name);
    }
    *lock = (fen_lock)FEN_LOCK_NONE;
    errno = error;
}
