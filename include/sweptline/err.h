/* Status codes and the caller-owned error record. */
#ifndef SWEPTLINE_ERR_H
#define SWEPTLINE_ERR_H

#if defined(__GNUC__)
#define SWL_MUST_CHECK __attribute__((warn_unused_result))
#define SWL_PRINTF(fmt_at, args_at) __attribute__((format(printf, fmt_at, args_at)))
#else
#define SWL_MUST_CHECK
#define SWL_PRINTF(fmt_at, args_at)
#endif

enum { SWL_ERR_TEXT_MAX = 640 };

typedef enum swl_status {
    SWL_OK = 0,
    SWL_ERR_USAGE,  /* the call or the command line is wrong */
    SWL_ERR_INPUT,  /* a file's contents are not accepted */
    SWL_ERR_SOLVE,  /* the input is valid but has no solution the model covers */
    SWL_ERR_MEMORY, /* out of memory */
    SWL_ERR_READ,   /* a file could not be opened or read */
    SWL_ERR_WRITE,  /* an output could not be written; what stood there still stands */
    SWL_ERR_CLOSED, /* who reads standard output has gone; there is nobody to tell */
    SWL_ERR_DRAW    /* a plotting library failed */
} swl_status;

/* Owned by the caller, fixed size, the first error is kept. */
typedef struct swl_err {
    swl_status status;
    char text[SWL_ERR_TEXT_MAX];
} swl_err;

/* Records an error unless one is recorded already.
 * Given: err (may be NULL), the status, a printf format and its arguments.
 * Returns: the given status, so that a function can return the call. */
swl_status swl_err_set(swl_err *err, swl_status status, const char *format, ...) SWL_PRINTF(3, 4);

/* Returns: the process exit status for a status: 0, 2 (usage, input, no solution) or 3. */
int swl_err_exit_code(swl_status status);

#endif
