/* Files that a test holds in memory, for what reads by a source. */
#ifndef TESTS_SUPPORT_MEMORY_H
#define TESTS_SUPPORT_MEMORY_H

#include "sweptline/files.h"

#include <string.h>

typedef struct memory_file {
    const char *path;
    const char *text; /* NULL: memory runs out when it is read */
} memory_file;

enum { MEMORY_FILES = 6 };

/* Given: as context an array of MEMORY_FILES, those behind the last without a path. */
static inline swl_status memory_read(void *context, const char *path, swl_buf *out, swl_err *err)
{
    const memory_file *files = context;
    for (size_t i = 0; i < MEMORY_FILES && files[i].path != NULL; i++) {
        if (strcmp(files[i].path, path) == 0 && files[i].text == NULL) {
            return swl_err_set(err, SWL_ERR_MEMORY, "out of memory");
        }
        if (strcmp(files[i].path, path) == 0) {
            swl_buf_puts(out, files[i].text);
            return swl_buf_status(out, err);
        }
    }
    return swl_err_set(err, SWL_ERR_READ, "could not be opened: not there");
}

/* One file, whatever its name; NULL: there is none. */
typedef struct memory_text {
    const char *text;
} memory_text;

static inline swl_status memory_text_read(void *context, const char *path, swl_buf *out, swl_err *err)
{
    const memory_text *file = context;
    if (file->text == NULL) {
        return swl_err_set(err, SWL_ERR_READ, "%s: could not be opened", path);
    }
    swl_buf_puts(out, file->text);
    return swl_buf_status(out, err);
}

#endif
