#ifndef SWL_FILES_LOOK_H
#define SWL_FILES_LOOK_H

#include "sweptline/err.h"

#include <stdbool.h>
#include <sys/stat.h>

/* Looks whether a file is there, through links. info: of it, where *there.
 * Returns: SWL_OK; or SWL_ERR_WRITE where the system cannot tell, since it may be there. */
swl_status swl_file_look(const char *path, struct stat *info, bool *there, swl_err *err);

#endif
