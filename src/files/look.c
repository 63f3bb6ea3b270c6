#include "files/look.h"

#include <errno.h>
#include <string.h>

swl_status swl_file_look(const char *path, struct stat *info, bool *there, swl_err *err)
{
    *there = stat(path, info) == 0;
    bool no_such = errno == ENOENT || errno == ENOTDIR || errno == EACCES || errno == ELOOP || errno == ENAMETOOLONG;
    return *there || no_such ? SWL_OK
                             : swl_err_set(err, SWL_ERR_WRITE, "%s: could not be looked at: %s", path, strerror(errno));
}
