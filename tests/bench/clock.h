/* What the timed programs share: processor time, peak memory, and a line of the result, "name<TAB>value<TAB>unit". */
#ifndef TESTS_BENCH_CLOCK_H
#define TESTS_BENCH_CLOCK_H

#include <stdio.h>
#include <sys/resource.h>
#include <time.h>

static inline double clock_s(clockid_t which)
{
    struct timespec t;
    (void)clock_gettime(which, &t);
    return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

/* Of one thread: what other programs do does not count. */
static inline double busy_s(void)
{
    return clock_s(CLOCK_THREAD_CPUTIME_ID);
}

static inline double wall_s(void)
{
    return clock_s(CLOCK_MONOTONIC);
}

static inline void tell(const char *name, double value, const char *unit)
{
    printf("%s\t%.6g\t%s\n", name, value, unit);
}

static inline void tell_memory(const char *name)
{
    struct rusage usage;
    (void)getrusage(RUSAGE_SELF, &usage);
    tell(name, (double)usage.ru_maxrss / 1024, "MB");
}

#endif
