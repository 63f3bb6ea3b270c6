#include "base/gsl_quiet.h"

#include <gsl/gsl_errno.h>
#include <pthread.h>

static pthread_once_t quiet_once = PTHREAD_ONCE_INIT;

static void quiet(void)
{
    (void)gsl_set_error_handler_off();
}

void swl_gsl_quiet(void)
{
    (void)pthread_once(&quiet_once, quiet);
}
