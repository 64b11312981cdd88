/* progress.c -- see progress.h; silent for the first moment, then a few times a second.
 */
#include "progress.h"

#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <time.h>
#include <unistd.h>

enum { FIRST_MS = 800, EVERY_MS = 200 };

static uint64_t now_ms(void)
{
    struct timespec t;
    if (clock_gettime(CLOCK_MONOTONIC, &t))
        return 0;
    return (uint64_t)t.tv_sec * 1000 + (uint64_t)t.tv_nsec / 1000000;
}

static uint64_t size_of(const char *const *paths, uint32_t n)
{
    uint64_t sum = 0;
    struct stat st;
    for (uint32_t i = 0; i < n; i++) {
        if (strcmp(paths[i], "-") == 0 || stat(paths[i], &st) || !S_ISREG(st.st_mode))
            return 0;
        sum += (uint64_t)st.st_size;
    }
    return sum;
}

void fen_progress_start(fen_progress *p, fen_sink *err, const char *const *paths, uint32_t n_paths)
{
    const char *term = getenv("TERM");
    *p = (fen_progress){ .err = err, .on = isatty(STDERR_FILENO) && term && strcmp(term, "dumb") != 0 };
    p->started = p->on ? now_ms() : 0;
    p->bytes = p->on ? size_of(paths, n_paths) : 0;
}

void fen_progress_show(fen_progress *p, uint64_t cases, uint64_t bytes)
{
    if (!p->on)
        return;
    const uint64_t now = now_ms();
    if (now - p->started < FIRST_MS || now - p->last < EVERY_MS)
        return;
    p->last = now;
    p->shown = true;
    fen_sink_printf(p->err, "\r\033[K%llu cases", (unsigned long long)cases);
    if (p->bytes)
        fen_sink_printf(p->err, ", %llu %%", (unsigned long long)(bytes * 100 / p->bytes));
    if (fen_sink_finish(p->err))
        p->on = false;
}

void fen_progress_hide(fen_progress *p)
{
    if (!p->shown)
        return;
    fen_sink_puts(p->err, "\r\033[K");
    p->shown = false;
}
