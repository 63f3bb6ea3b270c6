#include "cli/cli.h"

#include "files/look.h"

#include <errno.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

const char cli_estimates[] = "Estimates from a model and typed map data; the makers' limits, local codes and licensed "
                             "practice come first.";

static swl_status source_read(void *context, const char *path, swl_buf *out, swl_err *err)
{
    cli_inputs *inputs = context;
    swl_source disk = swl_source_disk();
    size_t before = out->len;
    swl_status status = disk.read(disk.context, path, out, err);
    if (inputs->count < INPUTS_MAX) {
        swl_buf *bytes = &inputs->bytes[inputs->count];
        inputs->paths[inputs->count] = strdup(path);
        if (inputs->paths[inputs->count] == NULL) {
            return swl_err_set(err, SWL_ERR_MEMORY, "out of memory");
        }
        inputs->count++;
        if (status == SWL_OK) {
            swl_buf_put_raw(bytes, swl_buf_text(out) + before, out->len - before);
            status = swl_buf_status(bytes, err);
        }
    }
    return status;
}

swl_source cli_source(cli_inputs *inputs)
{
    return (swl_source){.read = source_read, .context = inputs};
}

static swl_status source_again(void *context, const char *path, swl_buf *out, swl_err *err)
{
    const cli_inputs *inputs = context;
    for (size_t i = 0; i < inputs->count; i++) {
        if (strcmp(inputs->paths[i], path) == 0) {
            swl_buf_put_raw(out, swl_buf_text(&inputs->bytes[i]), inputs->bytes[i].len);
            out->failed = out->failed || inputs->bytes[i].failed;
            return swl_buf_status(out, err);
        }
    }
    return swl_err_set(err, SWL_ERR_READ, "%s: could not be read again", path);
}

swl_source cli_source_again(cli_inputs *inputs)
{
    return (swl_source){.read = source_again, .context = inputs};
}

void cli_inputs_free(cli_inputs *inputs)
{
    for (size_t i = 0; i < inputs->count; i++) {
        free(inputs->paths[i]);
        swl_buf_free(&inputs->bytes[i]);
    }
    inputs->count = 0;
}

void cli_say(const char *format, ...)
{
    char text[1024];
    va_list args;
    va_start(args, format);
    swl_text_fit(text, sizeof text, format, args);
    va_end(args);
    swl_utf8_clean(text);
    swl_one_line(text);
    (void)fprintf(stderr, "%s\n", text);
}

int cli_fail(const swl_diags *diags, const swl_err *err, const char *file)
{
    if (err->status == SWL_ERR_CLOSED) {
        return swl_err_exit_code(err->status);
    }
    swl_buf text = {0};
    /* What is odd in the input, though it may be read, can be why there is no solution. */
    swl_diag_print(diags, err->status == SWL_ERR_SOLVE ? SWL_WARNING : SWL_ERROR, &text);
    bool lost = text.failed;
    (void)fputs(lost ? "sweptline: out of memory\n" : swl_buf_text(&text), stderr);
    swl_buf_free(&text);
    if (lost) {
        return swl_err_exit_code(SWL_ERR_MEMORY);
    }
    if (err->status == SWL_ERR_INPUT && diags->errors > 0) {
        cli_say("sweptline: %s: %s; nothing was computed or written", file, err->text);
    } else {
        cli_say("sweptline: %s%s%s", err->status == SWL_ERR_SOLVE ? file : "", err->status == SWL_ERR_SOLVE ? ": " : "",
                err->text);
    }
    return swl_err_exit_code(err->status);
}

bool cli_is_near(int distance, const char *name)
{
    return 2 * (size_t)distance <= strlen(name) + 1;
}

bool cli_draws(const cli_options *options)
{
    return options->formats[0] || options->formats[1] || options->formats[2];
}

swl_status cli_study_failed(const cli_options *options, const swl_err *own, swl_err *err)
{
    bool lacks = own->status == SWL_ERR_USAGE;
    return swl_err_set(err, own->status, "%s%s%s", lacks ? options->file : "", lacks ? ": " : "", own->text);
}

swl_units cli_units(const cli_options *options, const swl_build *build)
{
    return options->units < 0 ? build->units : options->units == 1 ? SWL_UNITS_US : SWL_UNITS_SI;
}

bool cli_colour(void)
{
    const char *no_colour = getenv("NO_COLOR");
    const char *term = getenv("TERM");
    bool refused = no_colour != NULL && no_colour[0] != '\0';
    bool dumb = term == NULL || strcmp(term, "dumb") == 0;
    return !refused && !dumb && isatty(STDOUT_FILENO) == 1;
}

/* "-" among the inputs is whatever standard input was opened on. */
static swl_status file_there(const char *path, struct stat *info, bool *there, swl_err *err)
{
    if (strcmp(path, "-") != 0) {
        return swl_file_look(path, info, there, err);
    }
    *there = fstat(STDIN_FILENO, info) == 0;
    return SWL_OK;
}

/* Two names: whether they are of one file, and whether neither is there. */
typedef struct pair {
    bool same;
    bool neither;
} pair;

static swl_status pair_look(const char *a, const char *b, pair *found, swl_err *err)
{
    struct stat left;
    struct stat right;
    bool left_there = false;
    bool right_there = false;
    *found = (pair){.same = false};
    swl_status status = file_there(a, &left, &left_there, err);
    if (status == SWL_OK) {
        status = file_there(b, &right, &right_there, err);
    }
    if (status == SWL_OK) {
        found->same = left_there && right_there && left.st_dev == right.st_dev && left.st_ino == right.st_ino;
        found->neither = !left_there && !right_there;
    }
    return status;
}

static swl_status same_file(const char *a, const char *b, bool *same, swl_err *err)
{
    pair found;
    swl_status status = pair_look(a, b, &found, err);
    *same = found.same;
    return status;
}

swl_status cli_files_differ(const cli_options *options, swl_err *err)
{
    for (size_t i = 0; i < options->file_count; i++) {
        for (size_t k = 0; k < i; k++) {
            if (strcmp(options->files[i], "-") == 0 && strcmp(options->files[k], "-") == 0) {
                return swl_err_set(err, SWL_ERR_USAGE,
                                   "standard input can be one of the builds only; - is given twice");
            }
            bool same = false;
            swl_status status = same_file(options->files[i], options->files[k], &same, err);
            if (status != SWL_OK) {
                return status;
            }
            if (same || strcmp(options->files[i], options->files[k]) == 0) {
                return swl_err_set(err, SWL_ERR_USAGE,
                                   "%s and %s are the same file; a build is compared with another one",
                                   options->files[k], options->files[i]);
            }
        }
    }
    return SWL_OK;
}

swl_status cli_may_write(const cli_inputs *inputs, const char *path, swl_err *err)
{
    struct stat info;
    bool there = false;
    if (path == NULL || strcmp(path, "-") == 0) {
        return SWL_OK;
    }
    for (size_t i = 0; i < inputs->count; i++) {
        bool same = false;
        swl_status status = same_file(path, inputs->paths[i], &same, err);
        if (status != SWL_OK) {
            return status;
        }
        if (same) {
            return swl_err_set(err, SWL_ERR_USAGE, "%s: is an input of this run; give another name for the output",
                               path);
        }
    }
    swl_status status = file_there(path, &info, &there, err);
    if (status == SWL_OK && there && S_ISDIR(info.st_mode)) {
        return swl_err_set(err, SWL_ERR_WRITE, "%s: is a folder, not a file", path);
    }
    return status;
}

swl_status cli_stdout_differs(const char *path, swl_err *err)
{
    struct stat out;
    struct stat in;
    bool there = false;
    if (fstat(STDOUT_FILENO, &out) != 0 || !S_ISREG(out.st_mode)) {
        return SWL_OK;
    }
    swl_status status = file_there(path, &in, &there, err);
    if (status != SWL_OK) {
        return status;
    }
    if (there && in.st_dev == out.st_dev && in.st_ino == out.st_ino) {
        return swl_err_set(err, SWL_ERR_USAGE,
                           "standard output goes to %s, which is an input of this run; send it elsewhere", path);
    }
    return SWL_OK;
}

void cli_stem(const char *file, const char *word, swl_buf *out)
{
    const char *slash = strrchr(file, '/');
    const char *base = slash == NULL ? file : slash + 1;
    if (strcmp(file, "-") == 0) {
        base = "standard-input";
    }
    const char *dot = strrchr(base, '.');
    swl_buf_put(out, base, dot != NULL && dot > base ? (size_t)(dot - base) : strlen(base));
    swl_buf_printf(out, "-%s", word);
}

static void picture_path(const cli_options *options, const char *stem, int format, swl_buf *out)
{
    static const char *const endings[] = {"png", "svg", "pdf"};
    size_t n = strlen(options->out);
    const char *slash = n > 0 && options->out[n - 1] == '/' ? "" : "/";
    swl_buf_printf(out, "%s%s%s.%s", options->out, slash, stem, endings[format]);
}

/* Without what may stand behind a folder's name and changes nothing: "/" and "/.". */
static size_t bare_len(const char *path, size_t n)
{
    while (n > 1 && (path[n - 1] == '/' || (path[n - 1] == '.' && path[n - 2] == '/'))) {
        n--;
    }
    return n;
}

/* Whether two names of what is not there yet differ in their folders' spelling only. A folder may be still to be made:
 * then the same is asked of its own name. Given: the names and how many bytes of each count. */
static swl_status same_place(const char *a, size_t a_len, const char *b, size_t b_len, bool *same, swl_err *err)
{
    a_len = bare_len(a, a_len);
    b_len = bare_len(b, b_len);
    size_t a_at = a_len;
    size_t b_at = b_len;
    while (a_at > 0 && a[a_at - 1] != '/') {
        a_at--;
    }
    while (b_at > 0 && b[b_at - 1] != '/') {
        b_at--;
    }
    if (a_len - a_at != b_len - b_at || memcmp(a + a_at, b + b_at, a_len - a_at) != 0) {
        return SWL_OK;
    }
    char *folder_a = a_at == 0 ? strdup(".") : strndup(a, a_at);
    char *folder_b = b_at == 0 ? strdup(".") : strndup(b, b_at);
    pair found = {.same = false};
    swl_status status = SWL_OK;
    if (folder_a == NULL || folder_b == NULL) {
        status = swl_err_set(err, SWL_ERR_MEMORY, "out of memory");
    } else {
        status = pair_look(folder_a, folder_b, &found, err);
    }
    *same = found.same;
    if (status == SWL_OK && found.neither && a_at > 0 && b_at > 0) {
        status = same_place(a, a_at, b, b_at, same, err);
    }
    free(folder_a);
    free(folder_b);
    return status;
}

/* Whether two outputs of a run would go to one file, which need not be there yet. */
static swl_status same_output(const char *a, const char *b, bool *same, swl_err *err)
{
    struct stat info;
    bool there = false;
    *same = false;
    if (a == NULL || b == NULL || strcmp(a, "-") == 0) {
        return SWL_OK;
    }
    swl_status status = file_there(a, &info, &there, err);
    if (status != SWL_OK || (there && !S_ISREG(info.st_mode))) {
        return status; /* a device takes both */
    }
    if (strcmp(a, b) == 0) {
        *same = true;
        return SWL_OK;
    }
    status = same_file(a, b, same, err);
    return status != SWL_OK || *same ? status : same_place(a, strlen(a), b, strlen(b), same, err);
}

static swl_status outputs_differ(const char *a, const char *b, swl_err *err)
{
    bool same = false;
    swl_status status = same_output(a, b, &same, err);
    return !same ? status
                 : swl_err_set(err, SWL_ERR_USAGE,
                               "%s: two outputs of this run would go there; give them different names", a);
}

swl_status cli_may_write_all(const cli_options *options, const cli_inputs *inputs, const char *stem, swl_err *err)
{
    swl_buf pictures[3] = {{0}, {0}, {0}};
    const char *outputs[6] = {options->json, options->csv, NULL, NULL, NULL, options->sheet};
    for (int f = 0; f < 3; f++) {
        if (options->formats[f]) {
            picture_path(options, stem, f, &pictures[f]);
            outputs[2 + f] = swl_buf_text(&pictures[f]);
        }
    }
    swl_status status = SWL_OK;
    for (int f = 0; f < 3 && status == SWL_OK; f++) {
        status = swl_buf_status(&pictures[f], err);
    }
    for (size_t i = 0; i < inputs->count && status == SWL_OK; i++) {
        status = cli_stdout_differs(inputs->paths[i], err);
    }
    for (size_t i = 0; i < 6 && status == SWL_OK; i++) {
        status = cli_may_write(inputs, outputs[i], err);
        for (size_t k = 0; k < i && status == SWL_OK; k++) {
            status = outputs_differ(outputs[i], outputs[k], err);
        }
    }
    for (int f = 0; f < 3; f++) {
        swl_buf_free(&pictures[f]);
    }
    return status;
}

swl_status cli_save(const char *path, const swl_buf *bytes, swl_err *err)
{
    if (path == NULL) {
        return SWL_OK;
    }
    swl_status status = swl_buf_status(bytes, err);
    return status == SWL_OK ? swl_file_save(path, swl_buf_text(bytes), bytes->len, err) : status;
}

/* Whether an output goes to standard output, by "-" or by a name of what that is open on, as /dev/stdout. */
static bool is_stdout(const char *path)
{
    struct stat named;
    struct stat open_on;
    return path != NULL &&
           (strcmp(path, "-") == 0 || (stat(path, &named) == 0 && fstat(STDOUT_FILENO, &open_on) == 0 &&
                                       named.st_dev == open_on.st_dev && named.st_ino == open_on.st_ino));
}

swl_status cli_write_tables(const cli_options *options, const cli_out *out, swl_err *err)
{
    swl_status status = cli_save(options->json, &out->json, err);
    return status == SWL_OK ? cli_save(options->csv, &out->csv, err) : status;
}

swl_status cli_write(const cli_options *options, const cli_out *out, swl_err *err)
{
    swl_status status = cli_write_tables(options, out, err);
    if (status == SWL_OK && !is_stdout(options->json) && !is_stdout(options->csv)) {
        status = cli_save("-", &out->text, err);
    }
    return status;
}

/* Makes the folder, or takes the one that is there: asked in this order, as another run may make it at the same time.
 */
static swl_status out_folder(const char *folder, bool *made, swl_err *err)
{
    struct stat info;
    *made = mkdir(folder, 0777) == 0;
    if (*made) {
        return SWL_OK;
    }
    if (errno != EEXIST) {
        return swl_err_set(err, SWL_ERR_WRITE, "%s: the folder could not be made: %s", folder, strerror(errno));
    }
    if (stat(folder, &info) != 0) {
        int reason = errno;
        bool link = reason == ENOENT && lstat(folder, &info) == 0 && S_ISLNK(info.st_mode);
        return link ? swl_err_set(err, SWL_ERR_WRITE, "%s: is a link that leads to no folder", folder)
                    : swl_err_set(err, SWL_ERR_WRITE, "%s: could not be looked at: %s", folder, strerror(reason));
    }
    return S_ISDIR(info.st_mode)
               ? SWL_OK
               : swl_err_set(err, SWL_ERR_WRITE, "%s: is a file, not a folder to put charts in", folder);
}

swl_status cli_draw_with(const cli_options *options, cli_drawer *drawer, const void *context, const char *stem,
                         swl_err *err)
{
    swl_buf pictures[3] = {{0}, {0}, {0}};
    swl_status status = SWL_OK;
    bool made = false;
    /* All are drawn before the first is written. */
    for (int f = 0; f < 3 && status == SWL_OK; f++) {
        swl_picture picture = options->picture;
        picture.format = (swl_format)f;
        if (f == SWL_FORMAT_PDF && !options->size_given) {
            picture.width = 0;
            picture.height = 0;
        }
        if (options->formats[f]) {
            status = drawer(context, &picture, &pictures[f], err);
        }
    }
    if (status == SWL_OK) {
        status = out_folder(options->out, &made, err);
    }
    for (int f = 0; f < 3 && status == SWL_OK; f++) {
        if (!options->formats[f]) {
            continue;
        }
        swl_buf path = {0};
        picture_path(options, stem, f, &path);
        status = swl_buf_status(&path, err);
        if (status == SWL_OK) {
            status = cli_save(swl_buf_text(&path), &pictures[f], err);
        }
        if (status == SWL_OK) {
            cli_say("wrote %s", swl_buf_text(&path));
        }
        swl_buf_free(&path);
    }
    if (status != SWL_OK && made) {
        (void)rmdir(options->out); /* stays when something is in it */
    }
    for (int f = 0; f < 3; f++) {
        swl_buf_free(&pictures[f]);
    }
    return status;
}

static swl_status draw_chart(const void *context, const swl_picture *picture, swl_buf *out, swl_err *err)
{
    return swl_draw_chart(context, picture, out, err);
}

swl_status cli_draw(const cli_options *options, const swl_chart *chart, const char *stem, swl_err *err)
{
    return cli_draw_with(options, draw_chart, chart, stem, err);
}
