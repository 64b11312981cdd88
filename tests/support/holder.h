/* holder.h -- another process that holds the lock of a file.
 */
#ifndef TESTS_HOLDER_H
#define TESTS_HOLDER_H

#include <sys/types.h>
#include <unistd.h>

#include "unit/unit.h"
#include "util/lock.h"

/* Take the lock in a process of its own, say so, and hold it until told or killed. */
static inline pid_t hold_elsewhere(const char *path, int *ret_release)
{
    int ready[2], release[2];
    char c;
    assert_int_equal(pipe(ready), 0);
    assert_int_equal(pipe(release), 0);
    const pid_t child = fork();
    assert_true(child >= 0);
    if (child == 0) {
        fen_lock lock = FEN_LOCK_NONE;
        close(release[1]);
        if (fen_lock_take(path, 0, &lock) != FEN_OK || write(ready[1], "x", 1) != 1)
            _exit(1);
        (void)!read(release[0], &c, 1);
        fen_lock_give(&lock);
        _exit(0);
    }
    close(ready[1]);
    close(release[0]);
    assert_int_equal(read(ready[0], &c, 1), 1);
    close(ready[0]);
    *ret_release = release[1];
    return child;
}

#endif
