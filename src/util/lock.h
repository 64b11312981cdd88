/* lock.h -- one writer at a time for a file that several programs may change.
 *
 * The lock is a file of its own beside the one that is written (".NAME.lock"), for that one is
 * replaced as a whole and takes any lock on itself away with it. It is held by the
 * process (POSIX record locks), ends with it however it ends, and is taken away when it
 * is given back. A lock file that a kill left behind holds nobody up.
 */
#ifndef FEN_LOCK_H
#define FEN_LOCK_H

#include "fenmend/status.h"

typedef struct fen_lock {
    int fd;     /* -1: not held */
    char *name; /* of the lock file */
} fen_lock;
#define FEN_LOCK_NONE { -1, 0 }

#define FEN_LOCK_WAIT 2000u /* ms: keeping a case takes a hundredth of it */

/* Lock PATH, waiting at most WAIT_MS. FEN_EIO with errno; EWOULDBLOCK: another process
 * holds it. */
FEN_MUST_USE fen_status fen_lock_take(const char *path, unsigned wait_ms, fen_lock *ret_lock);
void fen_lock_give(fen_lock *lock); /* errno stays */

#endif
