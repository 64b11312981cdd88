/* bench.c -- see bench.h.
 */
#define _DEFAULT_SOURCE /* wait4 */
#include "bench.h"

#include <stdio.h>
#include <stdlib.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

double bench_now(void)
{
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return (double)t.tv_sec * 1e3 + (double)t.tv_nsec / 1e6;
}

double bench_least(double a, double b)
{
    return a < b ? a : b;
}

double bench_apart(void (*f)(void *), void *context)
{
    struct rusage use;
    int status = 0;
    fflush(NULL);
    const pid_t child = fork();
    if (child == 0) {
        f(context);
        fflush(NULL);
        _exit(0);
    }
    if (child < 0 || wait4(child, &status, 0, &use) != child || !WIFEXITED(status) || WEXITSTATUS(status) != 0)
        return -1;
    return (double)use.ru_maxrss / 1024;
}

void bench_about(const char *what)
{
    printf("\n%s\n", what);
#ifndef NDEBUG
    printf("(built with assertions: configure with -DCMAKE_BUILD_TYPE=Release for numbers that count)\n");
#endif
#if defined(__SANITIZE_ADDRESS__)
    printf("(built with sanitizers: these numbers mean nothing)\n");
#endif
}
