#include "cli/progress.h"

#include "base/locale_c.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#define PAUSE_NS 100000000L

static bool before(const struct timespec *a, const struct timespec *b)
{
    return a->tv_sec < b->tv_sec || (a->tv_sec == b->tv_sec && a->tv_nsec < b->tv_nsec);
}

/* A run in the background would write over the prompt, and is stopped for it where the terminal is set so. */
static bool in_front(void)
{
    pid_t front = tcgetpgrp(STDERR_FILENO);
    return front < 0 || front == getpgrp();
}

/* Blanks over what the last line leaves; no codes of a terminal are wanted. */
static void put_line(cli_progress *progress, const char *text)
{
    int width = (int)strlen(text);
    int rest = progress->width > width ? progress->width - width : 0;
    (void)fprintf(stderr, "\r%s%*s", text, rest, "");
    (void)fflush(stderr);
    progress->width = width;
}

static void tell(void *context, const char *what, size_t done, size_t of)
{
    cli_progress *progress = context;
    struct timespec now;
    /* Who finds another thread drawing goes on computing. */
    if (!progress->shows || pthread_mutex_trylock(&progress->lock) != 0) {
        return;
    }
    (void)clock_gettime(CLOCK_MONOTONIC, &now);
    if (!before(&now, &progress->next)) {
        char text[80];
        double share = of > 0 ? 100 * (double)done / (double)of : 100;
        (void)swl_locale_print(text, sizeof text, "%s: %zu of %zu, %.0f %%", what, done, of, share);
        if (in_front()) {
            put_line(progress, text);
        }
        progress->next = now;
        progress->next.tv_nsec += PAUSE_NS;
        if (progress->next.tv_nsec >= 1000000000L) {
            progress->next.tv_nsec -= 1000000000L;
            progress->next.tv_sec++;
        }
    }
    (void)pthread_mutex_unlock(&progress->lock);
}

void cli_progress_begin(cli_progress *progress)
{
    const char *term = getenv("TERM");
    bool dumb = term == NULL || strcmp(term, "dumb") == 0;
    *progress = (cli_progress){.of = {.tell = tell, .context = progress}, .lock = PTHREAD_MUTEX_INITIALIZER};
    progress->shows = !dumb && isatty(STDERR_FILENO) == 1;
    (void)clock_gettime(CLOCK_MONOTONIC, &progress->next);
    progress->next.tv_sec++;
}

void cli_progress_end(cli_progress *progress)
{
    if (progress->width > 0 && in_front()) {
        put_line(progress, "");
        (void)fputc('\r', stderr);
        (void)fflush(stderr);
    }
    progress->shows = false;
    (void)pthread_mutex_destroy(&progress->lock);
}
