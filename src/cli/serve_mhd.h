/* The HTTP library, loaded when the page is served and not before: it brings a library of encryption along, whose
 * setting up every other command would wait for. */
#ifndef CLI_SERVE_MHD_H
#define CLI_SERVE_MHD_H

#include "sweptline/err.h"

#include <microhttpd.h>

/* Its functions that are used here, by their own names. */
#define SERVE_MHD_FUNCTIONS(X)                                                                                         \
    X(start_daemon)                                                                                                    \
    X(run_wait)                                                                                                        \
    X(stop_daemon)                                                                                                     \
    X(get_connection_values)                                                                                           \
    X(get_connection_info)                                                                                             \
    X(lookup_connection_value)                                                                                         \
    X(create_response_from_buffer)                                                                                     \
    X(add_response_header)                                                                                             \
    X(queue_response)                                                                                                  \
    X(destroy_response)

#define SERVE_MHD_FIELD(name) __typeof__(MHD_##name) *name;
typedef struct serve_mhd {
    SERVE_MHD_FUNCTIONS(SERVE_MHD_FIELD)
} serve_mhd;

/* Loads it, for as long as the process runs. Errors: SWL_ERR_READ with the loader's reason. */
swl_status serve_mhd_load(serve_mhd *mhd, swl_err *err) SWL_MUST_CHECK;

#endif
