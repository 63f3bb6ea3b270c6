#include "files/keys.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

static swl_status disk_read(void *context, const char *path, swl_buf *out, swl_err *err)
{
    (void)context;
    bool is_stdin = strcmp(path, "-") == 0;
    FILE *file = is_stdin ? stdin : fopen(path, "rb");
    if (file == NULL) {
        /* What the machine lacks is no fault of the input. */
        bool lacks = errno == ENOMEM || errno == EMFILE || errno == ENFILE;
        return swl_err_set(err, lacks ? SWL_ERR_MEMORY : SWL_ERR_READ, "could not be opened: %s", strerror(errno));
    }
    struct stat info;
    swl_status status = SWL_OK;
    if (fstat(fileno(file), &info) == 0 && S_ISDIR(info.st_mode)) {
        status = swl_err_set(err, SWL_ERR_READ, "is a directory, not a file");
    }
    char chunk[65536];
    size_t n = 1;
    while (status == SWL_OK && n > 0 && out->len <= SWL_SOURCE_MAX_BYTES) {
        n = fread(chunk, 1, sizeof chunk, file);
        swl_buf_put_raw(out, chunk, n);
        status = out->failed ? swl_err_set(err, SWL_ERR_MEMORY, "out of memory") : SWL_OK;
    }
    if (status == SWL_OK && ferror(file)) {
        status = swl_err_set(err, SWL_ERR_READ, "could not be read: %s", strerror(errno));
    }
    if (!is_stdin) {
        (void)fclose(file);
    }
    return status;
}

swl_source swl_source_disk(void)
{
    return (swl_source){.read = disk_read};
}

/* Steps over ":NUMBER". Returns: the number, or 0 when there is none. */
static int place_number(const char **at)
{
    char *end = NULL;
    if ((*at)[0] != ':' || (*at)[1] < '0' || (*at)[1] > '9') {
        return 0;
    }
    long n = strtol(*at + 1, &end, 10);
    *at = end;
    return (int)n;
}

/* A text's own refusal starts with "name:" or "name:line:column:"; a finding wants them apart. */
static void diag_of_refusal(swl_diags *diags, const char *path, const char *refusal)
{
    size_t n = strlen(path);
    const char *at = strncmp(refusal, path, n) == 0 ? refusal + n : refusal;
    int line = place_number(&at);
    int column = place_number(&at);
    swl_diag_file(diags, SWL_ERROR, path, "%s", strncmp(at, ": ", 2) == 0 ? at + 2 : at);
    if (diags->count > 0 && diags->dropped == 0) {
        diags->items[diags->count - 1].line = line;
        diags->items[diags->count - 1].column = column;
    }
}

swl_status swl_text_load(const swl_source *source, const char *path, swl_text *text, swl_diags *diags, swl_err *err)
{
    swl_buf bytes = {0};
    swl_err own = {0};
    swl_status status = source->read(source->context, path, &bytes, &own);
    if (status == SWL_ERR_MEMORY) {
        status = swl_err_set(err, status, "%s: %s", path, own.text);
    }
    if (status == SWL_OK) {
        status = swl_text_init(text, path, swl_buf_text(&bytes), bytes.len, &own);
    }
    swl_buf_free(&bytes);
    if (status == SWL_ERR_MEMORY) {
        return swl_err_set(err, status, "%s", own.text); /* keeps what is told already */
    }
    if (status != SWL_OK) {
        diag_of_refusal(diags, path, own.text);
        return SWL_ERR_INPUT;
    }
    return SWL_OK;
}

static swl_status beside_read(void *context, const char *path, swl_buf *out, swl_err *err)
{
    const swl_beside *beside = context;
    swl_err own = {0};
    swl_status status = beside->of->read(beside->of->context, path, out, &own);
    if (status == SWL_OK) {
        return status;
    }
    bool missing = strncmp(own.text, "could not be opened", 19) == 0;
    if (!missing || beside->named_in == NULL || strcmp(path, beside->path) != 0) {
        return swl_err_set(err, status, "%s", own.text);
    }
    const char *slash = strrchr(beside->named_in, '/');
    bool piped = strcmp(beside->named_in, "-") == 0;
    const char *name = piped ? "standard input" : slash == NULL ? beside->named_in : slash + 1;
    if (beside->absolute || piped) {
        return swl_err_set(err, status, "%s; named in line %d of %s", own.text, beside->line, name);
    }
    return swl_err_set(err, status, "%s; named in line %d of %s, relative to that file's folder", own.text,
                       beside->line, name);
}

swl_beside swl_beside_of(const swl_keys_file *file, const char *path, swl_slice name)
{
    int line = 0;
    int column = 0;
    swl_text_where(file->text, name.at, &line, &column);
    /* What an option names is sought as the user's own words say. */
    bool of_option = strncmp(file->path, "--", 2) == 0;
    return (swl_beside){.of = file->source,
                        .path = path,
                        .named_in = of_option ? NULL : file->path,
                        .line = line,
                        .absolute = name.len > 0 && name.at[0] == '/'};
}

swl_source swl_source_beside(swl_beside *beside)
{
    return (swl_source){.read = beside_read, .context = beside};
}

char *swl_path_beside(const char *path, swl_slice name)
{
    const char *slash = strrchr(path, '/');
    if (slash == NULL || name.at[0] == '/') {
        return swl_slice_dup(name);
    }
    size_t folder = (size_t)(slash - path) + 1;
    char *joined = malloc(folder + name.len + 1);
    if (joined != NULL) {
        memcpy(joined, path, folder);
        memcpy(joined + folder, name.at, name.len);
        joined[folder + name.len] = '\0';
    }
    return joined;
}
