#include "study/pool.h"

#include <pthread.h>
#include <stdatomic.h>

enum { HELPERS_MAX = 255 };

typedef struct pool {
    swl_pool_job *job;
    void *context;
    size_t count;
    atomic_size_t next;
} pool;

typedef struct helper {
    pool *of;
    size_t worker;
    pthread_t thread;
} helper;

static void *work(void *given)
{
    const helper *self = given;
    pool *p = self->of;
    for (size_t job = atomic_fetch_add(&p->next, 1); job < p->count; job = atomic_fetch_add(&p->next, 1)) {
        p->job(p->context, job, self->worker);
    }
    return NULL;
}

void swl_pool_run(size_t threads, size_t count, swl_pool_job *job, void *context)
{
    pool p = {.job = job, .context = context, .count = count};
    atomic_init(&p.next, 0);
    helper helpers[HELPERS_MAX];
    size_t started = 0;
    while (started + 1 < threads && started + 1 < count && started < HELPERS_MAX) {
        helpers[started] = (helper){.of = &p, .worker = started + 1};
        if (pthread_create(&helpers[started].thread, NULL, work, &helpers[started]) != 0) {
            break;
        }
        started++;
    }
    helper self = {.of = &p, .worker = 0};
    (void)work(&self);
    for (size_t i = 0; i < started; i++) {
        (void)pthread_join(helpers[i].thread, NULL);
    }
}
