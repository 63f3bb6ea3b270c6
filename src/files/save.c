#include "sweptline/files.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

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

/* Makes a rename last through a power cut. A file system that cannot sync a folder is not an error. */
static void sync_folder(const char *path)
{
    const char *slash = strrchr(path, '/');
    char *folder = slash == NULL ? strdup(".") : strndup(path, slash == path ? 1 : (size_t)(slash - path));
    int fd = folder == NULL ? -1 : open(folder, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    if (fd >= 0) {
        (void)fsync(fd);
        (void)close(fd);
    }
    free(folder);
}

static swl_status save_temporary(const char *path, const char *temporary, int fd, const char *bytes, size_t len,
                                 swl_err *err)
{
    /* An existing file keeps its mode; a new one has what the umask left. */
    struct stat info;
    bool there = stat(path, &info) == 0;
    swl_status status = SWL_OK;
    if ((there && fchmod(fd, info.st_mode & 0777) != 0) || write_all(fd, bytes, len) != 0 || fsync(fd) != 0) {
        status = refuse(path, "could not be written", err);
    }
    if (close(fd) != 0 && status == SWL_OK) {
        status = refuse(path, "could not be written", err);
    }
    if (status == SWL_OK && rename(temporary, path) != 0) {
        status = refuse(path, "could not be put in place", err);
    }
    if (status != SWL_OK) {
        (void)unlink(temporary);
    }
    return status;
}

/* Opens a new file beside path and writes its name into temporary, which has room for SUFFIX more characters.
 * Returns: its descriptor, or -1 with errno set. */
enum { SUFFIX = 16 };
static int open_beside(const char *path, char *temporary, size_t size)
{
    int fd = -1;
    for (int attempt = 0; attempt < 100 && fd < 0; attempt++) {
        (void)snprintf(temporary, size, "%s.%08x%02d", path, (unsigned)getpid(), attempt);
        fd = open(temporary, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0666);
        if (fd < 0 && errno != EEXIST) {
            return -1;
        }
    }
    return fd;
}

static swl_status save_beside(const char *path, const char *bytes, size_t len, swl_err *err)
{
    size_t size = strlen(path) + SUFFIX;
    char *temporary = malloc(size);
    if (temporary == NULL) {
        return swl_err_set(err, SWL_ERR_MEMORY, "out of memory");
    }
    int fd = open_beside(path, temporary, size);
    swl_status status =
        fd < 0 ? refuse(path, "could not be created", err) : save_temporary(path, temporary, fd, bytes, len, err);
    free(temporary);
    if (status == SWL_OK) {
        sync_folder(path);
    }
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

swl_status swl_file_save(const char *path, const char *bytes, size_t len, swl_err *err)
{
    if (strcmp(path, "-") == 0) {
        return write_all(STDOUT_FILENO, bytes, len) == 0 ? SWL_OK
                                                         : refuse("standard output", "could not be written", err);
    }
    struct stat info;
    bool there = stat(path, &info) == 0;
    if (there && S_ISDIR(info.st_mode)) {
        return swl_err_set(err, SWL_ERR_WRITE, "%s: is a directory, not a file", path);
    }
    if (there && !S_ISREG(info.st_mode)) {
        return save_into(path, bytes, len, err);
    }
    /* Through a link to a file, it is the file that is replaced and the link that stays. */
    char *real = there ? realpath(path, NULL) : NULL;
    swl_status status = save_beside(real != NULL ? real : path, bytes, len, err);
    free(real);
    return status;
}
