#include "cli/serve.h"
#include "cli/serve_guard.h"
#include "cli/serve_mhd.h"

#include <arpa/inet.h>
#include <errno.h>
#include <netinet/in.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>
#include <sys/socket.h>
#include <time.h>
#include <unistd.h>

/* Connections at a time, bytes of head each, seconds for a request, and how often the loop looks up. */
enum { CONNECTIONS = 32, HEAD_BYTES = 32 * 1024, DEADLINE_S = 5, LOOP_MS = 200, FLOOD_BYTES = 1024 * 1024 };

/* A connection in use, and since when it has had no answer. */
typedef struct slot {
    int fd; /* -1: free */
    double since_s;
} slot;

typedef struct server {
    const serve_job *job;
    char token[SERVE_TOKEN_LENGTH + 1];
    unsigned port;
    serve_bucket bucket;
    slot slots[CONNECTIONS];
} server;

/* A request while its body comes in. */
typedef struct request {
    serve_asked *asked;
    const char *refusal; /* NULL: accepted so far */
    swl_buf body;
    size_t seen;
} request;

typedef struct route {
    const char *name;
    const char *method;
    serve_asked *asked;
} route;

static const route routes[] = {
    {"about", MHD_HTTP_METHOD_GET, serve_about},
    {"solve", MHD_HTTP_METHOD_POST, serve_solve},
    {"compare", MHD_HTTP_METHOD_POST, serve_compare},
    {"build-file", MHD_HTTP_METHOD_POST, serve_build_file},
};

static volatile sig_atomic_t stop_asked = 0;
/* Filled once, before the first connection; its callbacks have no other way to it. */
static serve_mhd mhd;

static void on_signal(int number)
{
    (void)number;
    stop_asked = 1;
}

static double now_s(void)
{
    struct timespec now;
    (void)clock_gettime(CLOCK_MONOTONIC, &now);
    return (double)now.tv_sec + 1e-9 * (double)now.tv_nsec;
}

static void add_headers(struct MHD_Response *response)
{
    static const char *const headers[][2] = {
        {"Content-Security-Policy", "default-src 'none'; script-src 'self'; style-src 'self'; connect-src 'self'; "
                                    "img-src data:; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"},
        {"X-Content-Type-Options", "nosniff"},
        {"X-Frame-Options", "DENY"},
        {"Cache-Control", "no-store"},
        {"Referrer-Policy", "no-referrer"},
        {"Cross-Origin-Resource-Policy", "same-origin"},
        {"Cross-Origin-Opener-Policy", "same-origin"},
    };
    for (size_t i = 0; i < sizeof headers / sizeof headers[0]; i++) {
        (void)mhd.add_response_header(response, headers[i][0], headers[i][1]);
    }
}

/* Paths are taken as they come: no name here wants an escape, and a decoded zero byte would end one early. */
static size_t unescape_nothing(void *context, struct MHD_Connection *connection, char *text)
{
    (void)context;
    (void)connection;
    return strlen(text);
}

/* Sends and releases an answer; more is one further header or NULL. */
static enum MHD_Result send_answer(struct MHD_Connection *connection, serve_answer *answer, const char *type,
                                   const char *more, const char *more_value)
{
    /* Short of memory, there is room for an answer that is there already. */
    char none[] = SERVE_NO_MEMORY;
    bool lost = answer->body.failed || (answer->body.bytes == NULL && answer->status == MHD_HTTP_INTERNAL_SERVER_ERROR);
    if (lost) {
        answer->status = MHD_HTTP_INTERNAL_SERVER_ERROR;
        answer->download = NULL;
        type = "application/json";
    }
    struct MHD_Response *response = mhd.create_response_from_buffer(
        lost ? strlen(none) : answer->body.len, lost ? none : answer->body.bytes, MHD_RESPMEM_MUST_COPY);
    enum MHD_Result sent = MHD_NO;
    if (response != NULL) {
        add_headers(response);
        (void)mhd.add_response_header(response, "Content-Type", type);
        if (more != NULL) {
            (void)mhd.add_response_header(response, more, more_value);
        }
        if (answer->download != NULL) {
            char name[SERVE_NAME_MAX + 32];
            (void)snprintf(name, sizeof name, "attachment; filename=\"%s\"", answer->download);
            (void)mhd.add_response_header(response, "Content-Disposition", name);
        }
        sent = mhd.queue_response(connection, answer->status, response);
        mhd.destroy_response(response);
    }
    swl_buf_free(&answer->body);
    return sent;
}

static enum MHD_Result refuse(struct MHD_Connection *connection, unsigned status, const char *words, const char *more,
                              const char *more_value)
{
    serve_answer answer = {.status = status};
    serve_refuse(&answer, status, "%s", words);
    return send_answer(connection, &answer, "application/json", more, more_value);
}

/* What the headers of a request must be. hosts counts. */
typedef struct heads {
    unsigned port;
    size_t hosts;
    bool foreign;
} heads;

static enum MHD_Result on_head(void *context, enum MHD_ValueKind kind, const char *key, const char *value)
{
    heads *h = context;
    (void)kind;
    if (strcasecmp(key, "Host") == 0) {
        h->hosts++;
        h->foreign = h->foreign || !serve_host(value, h->port);
    } else if (strcasecmp(key, "Origin") == 0) {
        h->foreign = h->foreign || value == NULL || !serve_origin(value, h->port);
    }
    return MHD_YES;
}

/* Another name that leads to this address is how a page from elsewhere would ask in a browser's name. */
static bool is_foreign(const server *s, struct MHD_Connection *connection)
{
    heads h = {.port = s->port};
    (void)mhd.get_connection_values(connection, MHD_HEADER_KIND, on_head, &h);
    return h.hosts != 1 || h.foreign;
}

static const char *header(struct MHD_Connection *connection, const char *name)
{
    return mhd.lookup_connection_value(connection, MHD_HEADER_KIND, name);
}

static enum MHD_Result send_page(struct MHD_Connection *connection, const serve_page *page)
{
    serve_answer answer = {.status = MHD_HTTP_OK};
    swl_buf_put_raw(&answer.body, page->bytes, page->len);
    return send_answer(connection, &answer, page->type, NULL, NULL);
}

/* The same to whoever has no token, a wrong one, or a right one and no such name. A browser gets it as a page. */
static enum MHD_Result nothing_here(struct MHD_Connection *connection)
{
    static const char html[] =
        "<!doctype html>\n<html lang=\"en\"><head><meta charset=\"utf-8\"><meta name=\"viewport\" "
        "content=\"width=device-width, initial-scale=1\"><meta name=\"color-scheme\" content=\"light dark\">"
        "<link rel=\"icon\" href=\"data:,\"><title>Nothing here</title></head>\n<body><h1>Nothing here</h1>\n"
        "<p>This address is of an earlier run, or mistyped: use the one that the program printed.</p></body></html>\n";
    const char *accept = header(connection, "Accept");
    if (accept == NULL || strcasestr(accept, "text/html") == NULL) {
        return refuse(connection, MHD_HTTP_NOT_FOUND, "there is nothing here", NULL, NULL);
    }
    serve_answer answer = {.status = MHD_HTTP_NOT_FOUND};
    swl_buf_puts(&answer.body, html);
    return send_answer(connection, &answer, "text/html; charset=utf-8", NULL, NULL);
}

/* Answers what can be answered or refused by its head alone. Returns: MHD_YES with *of set when a body is to come. */
static enum MHD_Result begin(server *s, struct MHD_Connection *connection, const char *url, const char *method,
                             request **of)
{
    if (!serve_bucket_take(&s->bucket, now_s())) {
        return refuse(connection, MHD_HTTP_TOO_MANY_REQUESTS, "too many requests at once; wait a second", "Retry-After",
                      "1");
    }
    if (is_foreign(s, connection)) {
        return refuse(connection, MHD_HTTP_FORBIDDEN, "Host and Origin must be this server's own", NULL, NULL);
    }
    const char *name = serve_path(url, s->token);
    serve_page page;
    bool is_page = name != NULL && serve_page_find(name, &page);
    const route *way = NULL;
    for (size_t i = 0; name != NULL && i < sizeof routes / sizeof routes[0]; i++) {
        way = strcmp(routes[i].name, name) == 0 ? &routes[i] : way;
    }
    if (!is_page && way == NULL) {
        return nothing_here(connection);
    }
    const char *wanted = way == NULL ? MHD_HTTP_METHOD_GET : way->method;
    if (strcmp(method, wanted) != 0) {
        return refuse(connection, MHD_HTTP_METHOD_NOT_ALLOWED, "another method is wanted here", "Allow", wanted);
    }
    if (!serve_length(header(connection, "Content-Length"))) {
        return refuse(connection, MHD_HTTP_CONTENT_TOO_LARGE, "a request of at most 64 KiB is accepted", NULL, NULL);
    }
    if (way == NULL) {
        return send_page(connection, &page);
    }
    if (strcmp(wanted, MHD_HTTP_METHOD_POST) == 0 && !serve_type(header(connection, "Content-Type"))) {
        return refuse(connection, MHD_HTTP_UNSUPPORTED_MEDIA_TYPE, "Content-Type: application/json is accepted", NULL,
                      NULL);
    }
    *of = calloc(1, sizeof **of);
    if (*of == NULL) {
        return MHD_NO;
    }
    (*of)->asked = way->asked;
    return MHD_YES;
}

static enum MHD_Result on_request(void *context, struct MHD_Connection *connection, const char *url, const char *method,
                                  const char *version, const char *data, size_t *size, void **state)
{
    server *s = context;
    request *r = *state;
    (void)version;
    if (r == NULL) {
        enum MHD_Result result = begin(s, connection, url, method, &r);
        *state = r;
        return result;
    }
    if (*size > 0) {
        r->seen += *size;
        if (r->seen <= SERVE_BODY_MAX) {
            swl_buf_put_raw(&r->body, data, *size);
        }
        *size = 0;
        /* A body in pieces has not said how long it is; one that goes on for ever is not waited for. */
        return r->seen <= FLOOD_BYTES ? MHD_YES : MHD_NO;
    }
    if (r->seen > SERVE_BODY_MAX) {
        return refuse(connection, MHD_HTTP_CONTENT_TOO_LARGE, "a request of at most 64 KiB is accepted", NULL, NULL);
    }
    if (r->body.failed) {
        return refuse(connection, MHD_HTTP_INTERNAL_SERVER_ERROR, "out of memory", NULL, NULL);
    }
    serve_answer answer = {.status = MHD_HTTP_INTERNAL_SERVER_ERROR};
    r->asked(s->job, swl_buf_text(&r->body), r->body.len, &answer);
    const char *type = answer.download != NULL ? "text/plain; charset=utf-8" : "application/json";
    return send_answer(connection, &answer, type, NULL, NULL);
}

static void on_done(void *context, struct MHD_Connection *connection, void **state, enum MHD_RequestTerminationCode why)
{
    request *r = *state;
    (void)context;
    (void)why;
    if (r != NULL) {
        swl_buf_free(&r->body);
        free(r);
        *state = NULL;
    }
    const union MHD_ConnectionInfo *info = mhd.get_connection_info(connection, MHD_CONNECTION_INFO_SOCKET_CONTEXT);
    slot *own = info == NULL ? NULL : info->socket_context;
    if (own != NULL) {
        own->since_s = now_s();
    }
}

static void on_connection(void *context, struct MHD_Connection *connection, void **socket_context,
                          enum MHD_ConnectionNotificationCode what)
{
    server *s = context;
    slot *own = *socket_context;
    if (what == MHD_CONNECTION_NOTIFY_CLOSED) {
        if (own != NULL) {
            own->fd = -1;
        }
        return;
    }
    const union MHD_ConnectionInfo *info = mhd.get_connection_info(connection, MHD_CONNECTION_INFO_CONNECTION_FD);
    for (size_t i = 0; i < CONNECTIONS && info != NULL; i++) {
        if (s->slots[i].fd < 0) {
            s->slots[i] = (slot){.fd = info->connect_fd, .since_s = now_s()};
            *socket_context = &s->slots[i];
            return;
        }
    }
}

/* The library's own timeout starts anew with each byte, so that a client that sends one now and then would stay. */
static void drop_slow(server *s)
{
    double now = now_s();
    for (size_t i = 0; i < CONNECTIONS; i++) {
        if (s->slots[i].fd >= 0 && now - s->slots[i].since_s > DEADLINE_S) {
            (void)shutdown(s->slots[i].fd, SHUT_RDWR);
        }
    }
}

/* Opens a listening socket on the loopback address. Returns: it, or -1 with an error. */
static int listen_on(unsigned port, unsigned *got, swl_err *err)
{
    struct sockaddr_in address = {.sin_family = AF_INET, .sin_port = htons((uint16_t)port)};
    address.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
    socklen_t size = sizeof address;
    int on = 1;
    int fd = socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0);
    if (fd >= 0) {
        (void)setsockopt(fd, SOL_SOCKET, SO_REUSEADDR, &on, sizeof on);
    }
    struct sockaddr *any = (struct sockaddr *)&address;
    if (fd < 0 || bind(fd, any, size) != 0 || listen(fd, CONNECTIONS) != 0 || getsockname(fd, any, &size) != 0) {
        const char *why = strerror(errno);
        bool asked = port != 0;
        (void)swl_err_set(err, SWL_ERR_WRITE, "port %u of 127.0.0.1 could not be opened: %s%s", port, why,
                          asked ? "; another --port, or none for any that is free" : "");
        if (fd >= 0) {
            (void)close(fd);
        }
        return -1;
    }
    *got = ntohs(address.sin_port);
    return fd;
}

static void catch_signals(void)
{
    struct sigaction action = {.sa_handler = on_signal};
    (void)sigemptyset(&action.sa_mask);
    (void)sigaction(SIGINT, &action, NULL);
    (void)sigaction(SIGTERM, &action, NULL);
    /* Who started this may have held them back; nothing else ends it. */
    sigset_t ends;
    (void)sigemptyset(&ends);
    (void)sigaddset(&ends, SIGINT);
    (void)sigaddset(&ends, SIGTERM);
    (void)pthread_sigmask(SIG_UNBLOCK, &ends, NULL);
}

/* Says where, in one line that a script can read, and what it is, to whoever sits there. */
static swl_status announce(const server *s, swl_err *err)
{
    swl_buf address = {0};
    swl_buf_printf(&address, "http://127.0.0.1:%u/%s/\n", s->port, s->token);
    swl_status status = cli_save("-", &address, err);
    swl_buf_free(&address);
    if (status != SWL_OK) {
        return status;
    }
    (void)fprintf(stderr,
                  "sweptline: the page of %zu build%s is at that address, for this machine alone, until Ctrl-C.\n"
                  "No file is changed by it; whoever knows the address can use it.\n",
                  s->job->count, s->job->count == 1 ? "" : "s");
    return SWL_OK;
}

static swl_status server_open(server *s, const serve_job *job, unsigned port, struct MHD_Daemon **daemon, swl_err *err)
{
    swl_status status = serve_mhd_load(&mhd, err);
    if (status == SWL_OK) {
        status = serve_token(s->token, err);
    }
    if (status != SWL_OK) {
        return status;
    }
    s->job = job;
    s->bucket = (serve_bucket){.left = SERVE_BURST, .at_s = now_s()};
    for (size_t i = 0; i < CONNECTIONS; i++) {
        s->slots[i].fd = -1;
    }
    int fd = listen_on(port, &s->port, err);
    if (fd < 0) {
        return err->status;
    }
    const struct MHD_OptionItem options[] = {{MHD_OPTION_LISTEN_SOCKET, fd, NULL},
                                             {MHD_OPTION_CONNECTION_LIMIT, CONNECTIONS, NULL},
                                             {MHD_OPTION_CONNECTION_MEMORY_LIMIT, HEAD_BYTES, NULL},
                                             {MHD_OPTION_CONNECTION_TIMEOUT, DEADLINE_S, NULL},
                                             {MHD_OPTION_STRICT_FOR_CLIENT, 1, NULL},
                                             {MHD_OPTION_UNESCAPE_CALLBACK, (intptr_t)unescape_nothing, NULL},
                                             {MHD_OPTION_NOTIFY_COMPLETED, (intptr_t)on_done, s},
                                             {MHD_OPTION_NOTIFY_CONNECTION, (intptr_t)on_connection, s},
                                             {MHD_OPTION_END, 0, NULL}};
    *daemon = mhd.start_daemon(MHD_USE_AUTO, 0, NULL, NULL, on_request, s, MHD_OPTION_ARRAY, options, MHD_OPTION_END);
    if (*daemon == NULL) {
        (void)close(fd);
        return swl_err_set(err, SWL_ERR_MEMORY, "the server could not be started");
    }
    return SWL_OK;
}

/* Answers until a signal asks for the end. */
static swl_status server_run(server *s, struct MHD_Daemon *daemon, swl_err *err)
{
    swl_status status = announce(s, err);
    while (status == SWL_OK && stop_asked == 0) {
        if (mhd.run_wait(daemon, LOOP_MS) != MHD_YES && errno != EINTR) {
            status = swl_err_set(err, SWL_ERR_READ, "the server's sockets failed: %s", strerror(errno));
        }
        drop_slow(s);
    }
    return status;
}

int serve_run(const serve_job *job, unsigned port)
{
    swl_err err = {0};
    struct MHD_Daemon *daemon = NULL;
    server *s = calloc(1, sizeof *s);
    if (s == NULL) {
        (void)fprintf(stderr, "sweptline: out of memory\n");
        return 3;
    }
    catch_signals();
    swl_status status = server_open(s, job, port, &daemon, &err);
    if (status == SWL_OK) {
        status = server_run(s, daemon, &err);
        mhd.stop_daemon(daemon);
    }
    free(s);
    if (status != SWL_ERR_CLOSED) {
        cli_say("sweptline: %s", status == SWL_OK ? "stopped" : err.text);
    }
    return status == SWL_OK ? 0 : 3;
}
