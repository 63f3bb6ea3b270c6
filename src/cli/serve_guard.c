#include "cli/serve_guard.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>
#include <sys/random.h>

swl_status serve_token(char token[SERVE_TOKEN_LENGTH + 1], swl_err *err)
{
    unsigned char bytes[SERVE_TOKEN_LENGTH / 2];
    if (getrandom(bytes, sizeof bytes, 0) != (ssize_t)sizeof bytes) {
        return swl_err_set(err, SWL_ERR_READ, "the system gave no random bytes: %s", strerror(errno));
    }
    for (size_t i = 0; i < sizeof bytes; i++) {
        (void)snprintf(token + 2 * i, 3, "%02x", bytes[i]);
    }
    return SWL_OK;
}

const char *serve_path(const char *path, const char *token)
{
    if (strlen(path) < SERVE_TOKEN_LENGTH + 2) {
        return NULL;
    }
    unsigned differs = (unsigned)(path[0] != '/') | (unsigned)(path[SERVE_TOKEN_LENGTH + 1] != '/');
    for (size_t i = 0; i < SERVE_TOKEN_LENGTH; i++) {
        differs |= (unsigned char)path[1 + i] ^ (unsigned char)token[i];
    }
    return differs == 0 ? path + SERVE_TOKEN_LENGTH + 2 : NULL;
}

bool serve_host(const char *host, unsigned port)
{
    static const char *const names[] = {"127.0.0.1", "localhost"};
    for (size_t i = 0; host != NULL && i < 2; i++) {
        char wanted[32];
        (void)snprintf(wanted, sizeof wanted, "%s:%u", names[i], port);
        /* A browser leaves out the port that the scheme implies. */
        if (strcasecmp(host, wanted) == 0 || (port == 80 && strcasecmp(host, names[i]) == 0)) {
            return true;
        }
    }
    return false;
}

bool serve_origin(const char *origin, unsigned port)
{
    static const char scheme[] = "http://";
    return strncasecmp(origin, scheme, sizeof scheme - 1) == 0 && serve_host(origin + sizeof scheme - 1, port);
}

bool serve_type(const char *type)
{
    static const char wanted[] = "application/json";
    size_t n = sizeof wanted - 1;
    return type != NULL && strncasecmp(type, wanted, n) == 0 && (type[n] == '\0' || type[n] == ';' || type[n] == ' ');
}

/* Digits alone, at most nine. */
static bool whole(const char *text, unsigned *value)
{
    size_t n = strspn(text, "0123456789");
    if (n == 0 || n > 9 || text[n] != '\0') {
        return false;
    }
    *value = (unsigned)strtoul(text, NULL, 10);
    return true;
}

bool serve_length(const char *length)
{
    unsigned bytes = 0;
    return length == NULL || (whole(length, &bytes) && bytes <= SERVE_BODY_MAX);
}

bool serve_port(const char *text, unsigned *port)
{
    return whole(text, port) && *port >= 1 && *port <= 65535;
}

bool serve_bucket_take(serve_bucket *bucket, double now_s)
{
    double since_s = now_s > bucket->at_s ? now_s - bucket->at_s : 0;
    bucket->at_s += since_s;
    bucket->left += since_s * SERVE_RATE;
    bucket->left = bucket->left > SERVE_BURST ? SERVE_BURST : bucket->left;
    bool taken = bucket->left >= 1;
    bucket->left -= taken ? 1 : 0;
    return taken;
}
