/* Preloaded into the program: lets the Nth call of one kind fail, or kills the program there.
 *
 *   FAULT_KIND   open, write, short, fsync, close, link, rename, mkdir, chmod, stat or memory
 *   FAULT_AT     which call of that kind, counted from 1; with FAULT_ON=1 every one from it on
 *   FAULT_ERRNO  what it fails with; 0: the program is killed before the call
 *   FAULT_MARK   a file that is made when a call has failed
 *   FAULT_TOTAL  a file that is told at the end how many calls of that kind there were
 *   FAULT_OF     counts only calls that one library makes, as libgsl.so
 *   FAULT_ALL    also calls that a drawing library makes by itself
 *   FAULT_SLOW   microseconds that every call of any kind takes longer, so that a kill from outside falls into it
 *   FAULT_EACH   two descriptors, as 5,6: one run meets every call, in copies of the process (is_copy)
 *
 * Counted are calls of the program itself, through the C library or not, and of the libraries that hand an error back
 * to it: Jansson, libpng, zlib and GSL. Cairo, PLplot, fontconfig and what stands below them
 * are left alone: some of them end the process by themselves, or go on without what they could not get, when there is
 * no memory. */
#define _GNU_SOURCE
#include <dlfcn.h>
#include <errno.h>
#include <execinfo.h>
#include <fcntl.h>
#include <signal.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/syscall.h>
#include <sys/wait.h>
#include <unistd.h>

static struct {
    bool ready;
    char kind[16];
    long at;
    bool on;
    int error;
    char mark[512];
    char of[32];
    bool all;
    useconds_t slow_us;
    int each_from, each_to; /* descriptors; 0: none */
    long count;
} fault;
static __thread int inside;

static long number_of(const char *name)
{
    const char *text = getenv(name);
    return text == NULL ? 0 : atol(text);
}

__attribute__((constructor)) static void start(void)
{
    const char *kind = getenv("FAULT_KIND");
    const char *mark = getenv("FAULT_MARK");
    void *frames[4];
    inside++;
    (void)backtrace(frames, 4); /* the first call loads a library */
    inside--;
    (void)snprintf(fault.kind, sizeof fault.kind, "%s", kind == NULL ? "" : kind);
    (void)snprintf(fault.mark, sizeof fault.mark, "%s", mark == NULL ? "" : mark);
    const char *of = getenv("FAULT_OF");
    (void)snprintf(fault.of, sizeof fault.of, "%s", of == NULL ? "" : of);
    fault.at = number_of("FAULT_AT");
    fault.on = number_of("FAULT_ON") != 0;
    fault.error = (int)number_of("FAULT_ERRNO");
    fault.all = number_of("FAULT_ALL") != 0;
    const char *each = getenv("FAULT_EACH");
    if (each != NULL && sscanf(each, "%d,%d", &fault.each_from, &fault.each_to) != 2) {
        abort();
    }
    fault.slow_us = (useconds_t)number_of("FAULT_SLOW");
    fault.ready = true;
}

static bool is_of(const char *object, const char *name)
{
    const char *slash = strrchr(object, '/');
    return strncmp(slash == NULL ? object : slash + 1, name, strlen(name)) == 0;
}

/* Whether the call comes from the program or a library that hands errors back: the first frame that is neither the
 * shim's nor the C library's tells. */
static bool is_ours(void)
{
    static const char *const skipped[] = {"shim.so", "libc.so", "libc-", "ld-linux", "libgcc"};
    static const char *const ours[] = {"sweptline", "libjansson", "libpng", "libz.", "libgsl.so"};
    void *frames[12];
    int count = backtrace(frames, 12);
    for (int i = 0; i < count; i++) {
        Dl_info info;
        if (dladdr(frames[i], &info) == 0 || info.dli_fname == NULL) {
            return false;
        }
        if (fault.of[0] != '\0' && is_of(info.dli_fname, fault.of)) {
            return true;
        }
        bool skip = false;
        for (size_t k = 0; k < sizeof skipped / sizeof skipped[0]; k++) {
            skip = skip || is_of(info.dli_fname, skipped[k]);
        }
        for (size_t k = 0; !skip && fault.of[0] == '\0' && k < sizeof ours / sizeof ours[0]; k++) {
            if (is_of(info.dli_fname, ours[k])) {
                return true;
            }
        }
        if (!skip) {
            return false;
        }
    }
    return false;
}

__attribute__((destructor)) static void finish(void)
{
    const char *name = getenv("FAULT_TOTAL");
    char text[32];
    if (name == NULL) {
        return;
    }
    int length = snprintf(text, sizeof text, "%ld", fault.count);
    long fd = syscall(SYS_openat, AT_FDCWD, name, O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC, 0600);
    (void)syscall(SYS_write, fd, text, (size_t)length);
    (void)syscall(SYS_close, fd);
}

static void leave_mark(void)
{
    long fd = syscall(SYS_openat, AT_FDCWD, fault.mark, O_WRONLY | O_CREAT | O_CLOEXEC, 0600);
    if (fd >= 0) {
        (void)syscall(SYS_close, fd);
    }
}

static char ask(const char *text)
{
    char answer = 'e';
    if (syscall(SYS_write, fault.each_to, text, strlen(text)) < 0 ||
        syscall(SYS_read, fault.each_from, &answer, 1) != 1) {
        (void)syscall(SYS_exit_group, 70);
    }
    return answer;
}

/* Writes "N", the number of the call, to the second descriptor and reads an answer from the first: with g a copy of the
 * process goes on with this call failed, while this one waits for its end, writes "N STATUS", reads once more and goes
 * on as if nothing had been. Returns: whether this is the copy. */
static bool is_copy(void)
{
    enum { FDS = 64 };
    char text[64];
    off_t at[FDS];
    (void)snprintf(text, sizeof text, "%ld\n", fault.count);
    if (ask(text) != 'g') {
        return false;
    }
    for (int fd = 3; fd < FDS; fd++) {
        at[fd] = lseek(fd, 0, SEEK_CUR);
    }
    pid_t copy = fork();
    if (copy == 0) {
        fault.ready = false;
        return true;
    }
    int status = 0;
    while (waitpid(copy, &status, 0) < 0 && errno == EINTR) {
    }
    /* The copy has moved what both read from and write to. */
    for (int fd = 3; fd < FDS; fd++) {
        if (at[fd] >= 0) {
            (void)lseek(fd, at[fd], SEEK_SET);
        }
    }
    (void)snprintf(text, sizeof text, "%ld %d\n", fault.count,
                   copy < 0            ? 70
                   : WIFEXITED(status) ? WEXITSTATUS(status)
                                       : -WTERMSIG(status));
    (void)ask(text);
    return false;
}

/* Whether this call is to fail; errno is set then. */
static bool fails(const char *kind)
{
    if (!fault.ready || inside > 0) {
        return false;
    }
    if (fault.slow_us > 0 && strcmp(kind, "memory") != 0) {
        (void)usleep(fault.slow_us);
    }
    if (strcmp(fault.kind, kind) != 0) {
        return false;
    }
    inside++;
    bool hit = fault.all || is_ours();
    if (hit) {
        long number = __atomic_add_fetch(&fault.count, 1, __ATOMIC_RELAXED);
        hit = fault.each_to > 0 ? is_copy() : number == fault.at || (fault.on && number > fault.at);
    }
    inside--;
    if (!hit) {
        return false;
    }
    if (fault.mark[0] != '\0') {
        leave_mark();
    }
    if (fault.error == 0) {
        (void)syscall(SYS_kill, getpid(), SIGKILL);
    }
    errno = fault.error;
    return true;
}

#define NEXT(result, name, ...)                                                                                        \
    static result (*next)(__VA_ARGS__);                                                                                \
    if (next == NULL) {                                                                                                \
        *(void **)&next = dlsym(RTLD_NEXT, name);                                                                      \
    }

int open(const char *path, int flags, ...)
{
    NEXT(int, "open", const char *, int, ...)
    va_list args;
    va_start(args, flags);
    mode_t mode = (flags & (O_CREAT | O_TMPFILE)) != 0 ? va_arg(args, mode_t) : 0;
    va_end(args);
    return fails("open") ? -1 : next(path, flags, mode);
}

int open64(const char *path, int flags, ...)
{
    va_list args;
    va_start(args, flags);
    mode_t mode = (flags & (O_CREAT | O_TMPFILE)) != 0 ? va_arg(args, mode_t) : 0;
    va_end(args);
    return open(path, flags, mode);
}

FILE *fopen(const char *path, const char *how)
{
    NEXT(FILE *, "fopen", const char *, const char *)
    return fails("open") ? NULL : next(path, how);
}

FILE *fopen64(const char *path, const char *how)
{
    return fopen(path, how);
}

ssize_t write(int fd, const void *bytes, size_t size)
{
    NEXT(ssize_t, "write", int, const void *, size_t)
    if (strcmp(fault.kind, "short") == 0 && size > 7) {
        bool cut = fails("short");
        return next(fd, bytes, cut ? size / 3 : size);
    }
    return fails("write") ? -1 : next(fd, bytes, size);
}

int fsync(int fd)
{
    NEXT(int, "fsync", int)
    return fails("fsync") ? -1 : next(fd);
}

/* It is closed all the same, as the system does. */
int close(int fd)
{
    NEXT(int, "close", int)
    bool failed = fails("close");
    int code = next(fd);
    if (failed) {
        errno = fault.error;
    }
    return failed ? -1 : code;
}

int linkat(int from_fd, const char *from, int to_fd, const char *to, int flags)
{
    NEXT(int, "linkat", int, const char *, int, const char *, int)
    return fails("link") ? -1 : next(from_fd, from, to_fd, to, flags);
}

int rename(const char *from, const char *to)
{
    NEXT(int, "rename", const char *, const char *)
    return fails("rename") ? -1 : next(from, to);
}

int mkdir(const char *path, mode_t mode)
{
    NEXT(int, "mkdir", const char *, mode_t)
    return fails("mkdir") ? -1 : next(path, mode);
}

int fchmod(int fd, mode_t mode)
{
    NEXT(int, "fchmod", int, mode_t)
    return fails("chmod") ? -1 : next(fd, mode);
}

int stat(const char *path, struct stat *info)
{
    NEXT(int, "stat", const char *, struct stat *)
    return fails("stat") ? -1 : next(path, info);
}

/* The C library's own names for these, so that looking them up needs no memory. */
void *__libc_malloc(size_t size);
void *__libc_calloc(size_t count, size_t size);
void *__libc_realloc(void *block, size_t size);

void *malloc(size_t size)
{
    return fails("memory") ? NULL : __libc_malloc(size);
}

void *calloc(size_t count, size_t size)
{
    return fails("memory") ? NULL : __libc_calloc(count, size);
}

void *realloc(void *block, size_t size)
{
    return fails("memory") ? NULL : __libc_realloc(block, size);
}
