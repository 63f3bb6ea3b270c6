/* Jobs shared among threads. */
#ifndef SWL_STUDY_POOL_H
#define SWL_STUDY_POOL_H

#include <stddef.h>

/* Does one job; worker tells which of the threads is at it, from 0. */
typedef void swl_pool_job(void *context, size_t job, size_t worker);

/* Does jobs 0 to count - 1, each once, in any order, on at most so many threads, the caller's among them; with fewer
 * where the system gives fewer. What a job writes must not depend on other jobs. */
void swl_pool_run(size_t threads, size_t count, swl_pool_job *job, void *context);

#endif
