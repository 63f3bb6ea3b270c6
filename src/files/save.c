#include "sweptline/files.h"

#include "files/look.h"

#include <errno.h>
#include <fcntl.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

/* A file to be put in the place of path, which is no link. */
typedef struct output {
    const char *path;
    const char *bytes;
    size_t len;
    bool replaces; /* there is one already */
    bool keeps;    /* one that is there, or comes meanwhile, is to stay */
    mode_t mode;   /* of that one, which the new one gets; else the umask decides */
} output;

static swl_status refuse(const char *path, const char *what, swl_err *err)
{
    return swl_err_set(err, SWL_ERR_WRITE, "%s: %s: %s", path, what, strerror(errno));
}

/* Returns: 0, or -1 with errno set. */
static int write_all(int fd, const char *bytes, size_t len)
{
    while (len > 0) {
        ssize_t n = write(fd, bytes, len);
        if (n < 0 && errno == EINTR) {
            continue;
        }
        if (n < 0) {
            return -1;
        }
        bytes += n;
        len -= (size_t)n;
    }
    return 0;
}

/* The folder that a path is in, to be freed; NULL when out of memory. */
static char *folder_of(const char *path)
{
    const char *slash = strrchr(path, '/');
    return slash == NULL ? strdup(".") : strndup(path, slash == path ? 1 : (size_t)(slash - path));
}

/* Makes a rename last through a power cut. A file system that cannot sync a folder is not an error. */
static void sync_folder(const char *folder)
{
    int fd = open(folder, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    if (fd >= 0) {
        (void)fsync(fd);
        (void)close(fd);
    }
}

/* A signal that ends the run waits while a temporary file has a name, so that none is left. */
static void hold_signals(sigset_t *before)
{
    sigset_t held;
    (void)sigemptyset(&held);
    (void)sigaddset(&held, SIGHUP);
    (void)sigaddset(&held, SIGINT);
    (void)sigaddset(&held, SIGQUIT);
    (void)sigaddset(&held, SIGTERM);
    (void)pthread_sigmask(SIG_BLOCK, &held, before);
}

static void release_signals(const sigset_t *before)
{
    (void)pthread_sigmask(SIG_SETMASK, before, NULL);
}

static bool fill(int fd, const output *file)
{
    return (!file->replaces || fchmod(fd, file->mode) == 0) && write_all(fd, file->bytes, file->len) == 0 &&
           fsync(fd) == 0;
}

/* Returns: 0, or -1 with errno set. */
static int rename_to(const char *temporary, const output *file)
{
    if (file->keeps) {
        int put = renameat2(AT_FDCWD, temporary, AT_FDCWD, file->path, RENAME_NOREPLACE);
        if (put == 0 || (errno != EINVAL && errno != ENOSYS)) {
            return put;
        }
        /* This file system knows no such rename; that nothing was there has been seen. */
    }
    return rename(temporary, file->path);
}

static swl_status rename_over(const char *temporary, const output *file, swl_err *err)
{
    if (rename_to(temporary, file) == 0) {
        return SWL_OK;
    }
    swl_status status = refuse(file->path, "could not be put in place", err);
    (void)unlink(temporary);
    return status;
}

/* Names for a temporary file in a folder. The name does not grow with the file's own, which may be as long as names
 * get.
 */
enum { NAME_ROOM = 32, NAME_TRIES = 100 };

static void name_temporary(const char *folder, int attempt, char *temporary, size_t size)
{
    (void)snprintf(temporary, size, "%s/sweptline-%08x%02d.tmp", folder, (unsigned)getpid(), attempt);
}

/* Gives a file that has none a name. Returns: 0, or -1 with errno set. */
static int link_as(int fd, const char *name)
{
    char from[NAME_ROOM];
    (void)snprintf(from, sizeof from, "/proc/self/fd/%d", fd);
    return linkat(AT_FDCWD, from, AT_FDCWD, name, AT_SYMLINK_FOLLOW);
}

/* Puts a finished file without a name in place. A new one gets its name at once; over an earlier one it can only be
 * renamed, for which it has another name for a moment. Returns: false where the system cannot name such a file. */
static bool put_unnamed(int fd, const output *file, const char *folder, char *temporary, size_t size,
                        swl_status *status, swl_err *err)
{
    if (!file->replaces && link_as(fd, file->path) == 0) {
        *status = SWL_OK;
        return true;
    }
    if (file->keeps && errno == EEXIST) {
        *status = refuse(file->path, "could not be put in place", err);
        return true;
    }
    sigset_t before;
    hold_signals(&before);
    bool named = false;
    for (int attempt = 0; attempt < NAME_TRIES && !named; attempt++) {
        name_temporary(folder, attempt, temporary, size);
        named = link_as(fd, temporary) == 0;
        if (!named && errno != EEXIST) {
            break;
        }
    }
    if (named) {
        *status = rename_over(temporary, file, err);
    }
    release_signals(&before);
    return named;
}

/* By way of a file that has no name until it is whole, and that goes by itself however the run ends.
 * Returns: false where the system has no such files; nothing is told then. */
static bool save_unnamed(const output *file, const char *folder, char *temporary, size_t size, swl_status *status,
                         swl_err *err)
{
    int fd = open(folder, O_TMPFILE | O_WRONLY | O_CLOEXEC, 0666);
    if (fd < 0) {
        return false;
    }
    bool done = true;
    if (fill(fd, file)) {
        done = put_unnamed(fd, file, folder, temporary, size, status, err);
    } else {
        *status = refuse(file->path, "could not be written", err);
    }
    (void)close(fd); /* what can fail has failed in fsync */
    return done;
}

/* By way of a file that has a name from the start, where there are no others. */
static swl_status save_named(const output *file, const char *folder, char *temporary, size_t size, swl_err *err)
{
    int fd = -1;
    for (int attempt = 0; attempt < NAME_TRIES && fd < 0; attempt++) {
        name_temporary(folder, attempt, temporary, size);
        fd = open(temporary, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0666);
        if (fd < 0 && errno != EEXIST) {
            break;
        }
    }
    if (fd < 0) {
        return refuse(file->path, "could not be created", err);
    }
    swl_status status = fill(fd, file) ? SWL_OK : refuse(file->path, "could not be written", err);
    if (close(fd) != 0 && status == SWL_OK) {
        status = refuse(file->path, "could not be written", err);
    }
    if (status == SWL_OK) {
        return rename_over(temporary, file, err);
    }
    (void)unlink(temporary);
    return status;
}

static swl_status save_beside(const output *file, swl_err *err)
{
    char *folder = folder_of(file->path);
    size_t size = folder == NULL ? 0 : strlen(folder) + NAME_ROOM;
    char *temporary = folder == NULL ? NULL : malloc(size);
    if (temporary == NULL) {
        free(folder);
        return swl_err_set(err, SWL_ERR_MEMORY, "%s: could not be written: out of memory", file->path);
    }
    swl_status status = SWL_OK;
    if (!save_unnamed(file, folder, temporary, size, &status, err)) {
        sigset_t before;
        hold_signals(&before);
        status = save_named(file, folder, temporary, size, err);
        release_signals(&before);
    }
    if (status == SWL_OK) {
        sync_folder(folder);
    }
    free(temporary);
    free(folder);
    return status;
}

/* A device or a pipe cannot be replaced by a rename. */
static swl_status save_into(const char *path, const char *bytes, size_t len, swl_err *err)
{
    int fd = open(path, O_WRONLY | O_CLOEXEC);
    if (fd < 0) {
        return refuse(path, "could not be opened", err);
    }
    int written = write_all(fd, bytes, len);
    int saved = errno;
    int closed = close(fd);
    errno = written != 0 ? saved : errno;
    return written == 0 && closed == 0 ? SWL_OK : refuse(path, "could not be written", err);
}

/* Standard output or standard error, when it was opened on this very file; else -1. To replace that file would take it
 * away under the other outputs of the run: /dev/stdout is a name of it. */
static int standard_stream(const struct stat *info)
{
    static const int streams[] = {STDOUT_FILENO, STDERR_FILENO};
    for (size_t i = 0; i < sizeof streams / sizeof streams[0]; i++) {
        struct stat open_on;
        if (fstat(streams[i], &open_on) == 0 && open_on.st_dev == info->st_dev && open_on.st_ino == info->st_ino) {
            return streams[i];
        }
    }
    return -1;
}

static swl_status save_stream(int fd, const char *name, const char *bytes, size_t len, swl_err *err)
{
    if (write_all(fd, bytes, len) == 0) {
        return SWL_OK;
    }
    if (errno == EPIPE) {
        return swl_err_set(err, SWL_ERR_CLOSED, "%s: its reader has gone", name);
    }
    return refuse(name, "could not be written", err);
}

/* Through a link, it is the file that it leads to that is replaced, and the link that stays. */
static swl_status save_over(const char *path, const struct stat *info, const char *bytes, size_t len, swl_err *err)
{
    char *real = realpath(path, NULL);
    if (real == NULL) {
        return refuse(path, "could not be found again", err);
    }
    const output file = {.path = real, .bytes = bytes, .len = len, .replaces = true, .mode = info->st_mode & 0777};
    swl_status status = save_beside(&file, err);
    free(real);
    return status;
}

swl_status swl_file_save(const char *path, const char *bytes, size_t len, swl_err *err)
{
    if (strcmp(path, "-") == 0) {
        return save_stream(STDOUT_FILENO, "standard output", bytes, len, err);
    }
    struct stat info;
    bool there = false;
    swl_status status = swl_file_look(path, &info, &there, err);
    if (status != SWL_OK) {
        return status;
    }
    if (!there && lstat(path, &info) == 0) {
        if (S_ISLNK(info.st_mode)) {
            return swl_err_set(err, SWL_ERR_WRITE, "%s: is a link that leads to no file", path);
        }
        there = true; /* another run has made it since */
    }
    if (!there) {
        const output file = {.path = path, .bytes = bytes, .len = len};
        return save_beside(&file, err);
    }
    if (S_ISDIR(info.st_mode)) {
        return swl_err_set(err, SWL_ERR_WRITE, "%s: is a directory, not a file", path);
    }
    int stream = standard_stream(&info);
    if (stream >= 0) {
        return save_stream(stream, path, bytes, len, err);
    }
    return S_ISREG(info.st_mode) ? save_over(path, &info, bytes, len, err) : save_into(path, bytes, len, err);
}

swl_status swl_file_create(const char *path, const char *bytes, size_t len, swl_err *err)
{
    struct stat info;
    if (strcmp(path, "-") == 0) {
        return save_stream(STDOUT_FILENO, "standard output", bytes, len, err);
    }
    if (lstat(path, &info) == 0) {
        errno = EEXIST;
        return refuse(path, "could not be created", err);
    }
    const output file = {.path = path, .bytes = bytes, .len = len, .keeps = true};
    return save_beside(&file, err);
}
