#include "cli/serve.h"

#include <stdlib.h>
#include <string.h>

const swl_buf *serve_files_find(const serve_files *files, const char *path)
{
    for (size_t i = 0; i < files->count; i++) {
        if (strcmp(files->items[i].path, path) == 0) {
            return &files->items[i].bytes;
        }
    }
    return NULL;
}

/* A file that two builds name is read once, so that both stand on the same bytes. */
static swl_status read_and_keep(void *context, const char *path, swl_buf *out, swl_err *err)
{
    serve_files *files = context;
    swl_source disk = swl_source_disk();
    const swl_buf *kept = serve_files_find(files, path);
    if (kept == NULL) {
        swl_buf bytes = {0};
        swl_status status = disk.read(disk.context, path, &bytes, err);
        char *name = strdup(path);
        if (status == SWL_OK && (name == NULL || files->count == INPUTS_MAX)) {
            status = swl_err_set(err, SWL_ERR_MEMORY, "out of memory for the files, of which %d are kept", INPUTS_MAX);
        }
        if (status != SWL_OK) {
            free(name);
            swl_buf_free(&bytes);
            return status;
        }
        files->items[files->count++] = (serve_file){.path = name, .bytes = bytes};
        kept = &files->items[files->count - 1].bytes;
    }
    swl_buf_put_raw(out, swl_buf_text(kept), kept->len);
    return swl_buf_status(out, err);
}

swl_source serve_files_reading(serve_files *files)
{
    return (swl_source){.read = read_and_keep, .context = files};
}

static swl_status read_kept(void *context, const char *path, swl_buf *out, swl_err *err)
{
    const serve_kept *kept = context;
    bool own = kept->bytes != NULL && strcmp(path, kept->path) == 0;
    const swl_buf *bytes = own ? kept->bytes : serve_files_find(kept->files, path);
    if (bytes == NULL) {
        return swl_err_set(err, SWL_ERR_READ, "is not among the files that were read at the start");
    }
    swl_buf_put_raw(out, swl_buf_text(bytes), bytes->len);
    return swl_buf_status(out, err);
}

swl_source serve_files_kept(serve_kept *kept)
{
    return (swl_source){.read = read_kept, .context = kept};
}

void serve_files_free(serve_files *files)
{
    for (size_t i = 0; i < files->count; i++) {
        free(files->items[i].path);
        swl_buf_free(&files->items[i].bytes);
    }
    files->count = 0;
}
