/* GSL ends the process on an error unless its handler is off. */
#ifndef SWL_BASE_GSL_QUIET_H
#define SWL_BASE_GSL_QUIET_H

/* Switches the handler off, once in a process; errors come back as codes. Safe to call from any thread. */
void swl_gsl_quiet(void);

#endif
