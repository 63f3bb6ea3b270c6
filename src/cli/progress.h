/* One line on a terminal that tells how far a long command is. */
#ifndef SWL_CLI_PROGRESS_H
#define SWL_CLI_PROGRESS_H

#include "sweptline/progress.h"

#include <pthread.h>
#include <stdbool.h>
#include <time.h>

/* Shown on standard error when that is a terminal, from the second second on, ten times a second at most. */
typedef struct cli_progress {
    swl_progress of;      /* to be handed to what computes */
    bool shows;           /* whether there is a terminal for it */
    pthread_mutex_t lock; /* for what follows */
    struct timespec next; /* not to be drawn before */
    int width;            /* of what is drawn now */
} cli_progress;

/* To be ended in any case, before anything else is written. It must stay where it is until then. */
void cli_progress_begin(cli_progress *progress);
/* Wipes the line away. */
void cli_progress_end(cli_progress *progress);

#endif
