/* bench.h -- clocks, memory and tables for the benchmarks.
 *
 * Times are wall milliseconds of a monotonic clock. Rivals are timed in turn in
 * the same run and the smallest time of each counts, since a busy machine only
 * ever adds. Every size runs in a process of its own, so that its peak memory is
 * its own.
 */
#ifndef BENCH_H
#define BENCH_H

#include <stddef.h>

double bench_now(void);
double bench_least(double a, double b);

/* Run F in a child process and wait; what it prints is shown. Its peak resident
 * memory in MiB, or -1 if it failed. */
double bench_apart(void (*f)(void *), void *context);

/* Says how the library was built, and warns if that makes the numbers useless. */
void bench_about(const char *what);

#endif
