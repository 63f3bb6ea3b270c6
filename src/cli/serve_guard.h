/* Who may ask, and how often. */
#ifndef SWL_CLI_SERVE_GUARD_H
#define SWL_CLI_SERVE_GUARD_H

#include "sweptline/err.h"

#include <stdbool.h>
#include <stddef.h>

/* 128 bits in hexadecimal. */
enum { SERVE_TOKEN_LENGTH = 32, SERVE_BODY_MAX = 64 * 1024, SERVE_RATE = 100, SERVE_BURST = 200 };

/* Makes a token of the system's random bytes. Errors: SWL_ERR_READ without any. */
swl_status serve_token(char token[SERVE_TOKEN_LENGTH + 1], swl_err *err) SWL_MUST_CHECK;

/* Returns: what stands behind "/TOKEN/" in a path; NULL where the path does not start with it. How long it takes does
 * not tell how much of the token was right. */
const char *serve_path(const char *path, const char *token);

/* Whether a Host header names this server and no other name that leads to it. */
bool serve_host(const char *host, unsigned port);
/* The same for an Origin header. */
bool serve_origin(const char *origin, unsigned port);
/* Whether a Content-Type header says JSON. */
bool serve_type(const char *type);
/* Whether a Content-Length header is a number within bounds; NULL is one that is not given. */
bool serve_length(const char *length);

/* Reads a port: 1 to 65535. */
bool serve_port(const char *text, unsigned *port);

/* Requests that may still come, filled up at SERVE_RATE a second. */
typedef struct serve_bucket {
    double left;
    double at_s;
} serve_bucket;
bool serve_bucket_take(serve_bucket *bucket, double now_s);

#endif
