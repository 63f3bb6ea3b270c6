/* How far a long computation is, told to whoever asked for it. */
#ifndef SWEPTLINE_PROGRESS_H
#define SWEPTLINE_PROGRESS_H

#include <stddef.h>

/* tell gets the context, what is being done ("solving builds"), and how many parts of how many are done; parts of one
 * kind are told in no fixed order of threads, so done may once come lower than before. It is called from any thread
 * that computes, from several at once, often: it must be safe for that, quick, and not fail. */
typedef struct swl_progress {
    void (*tell)(void *context, const char *what, size_t done, size_t of);
    void *context;
} swl_progress;

/* Tells it; does nothing when progress or its tell is NULL. */
void swl_progress_tell(const swl_progress *progress, const char *what, size_t done, size_t of);

#endif
