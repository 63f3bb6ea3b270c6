/* The page on which a build is changed: what its parts share. */
#ifndef SWL_CLI_SERVE_H
#define SWL_CLI_SERVE_H

#include "cli/cli.h"
#include "cli/serve_half.h"

#include <jansson.h>

enum { SERVE_CHANGES_MAX = 24, SERVE_NAME_MAX = 96 };

/* A file as it was read at the start. path and bytes are owned. */
typedef struct serve_file {
    char *path;
    swl_buf bytes;
} serve_file;

typedef struct serve_files {
    serve_file items[INPUTS_MAX];
    size_t count;
} serve_files;

/* A build as its file has it, and what the page is told of it once. */
typedef struct serve_build {
    const char *path;
    char download[SERVE_NAME_MAX]; /* name of a changed file */
    swl_build build;
    swl_diags diags;
    swl_field field;
} serve_build;

typedef struct serve_job {
    const cli_options *options;
    serve_build builds[CLI_FILES_MAX];
    size_t count;
    serve_files files;
    swl_units units;
    json_t *about; /* what the page is told of all builds */
} serve_job;

/* What goes back: an HTTP status, a body, the name to save it under (NULL: none) and whether it is JSON. */
typedef struct serve_answer {
    unsigned status;
    swl_buf body;
    const char *download;
} serve_answer;

/* Reads from the disk and keeps what was read. */
swl_source serve_files_reading(serve_files *files);
/* Gives what was kept, and nothing else: no file is opened. bytes stand in for the file at path; NULL: its own. */
typedef struct serve_kept {
    const serve_files *files;
    const char *path;
    const swl_buf *bytes;
} serve_kept;
swl_source serve_files_kept(serve_kept *kept);
const swl_buf *serve_files_find(const serve_files *files, const char *path);
void serve_files_free(serve_files *files);

/* A changed build with the text that was read. To be closed whatever became of it. */
typedef struct serve_changed {
    swl_buf text;
    swl_build build;
    swl_diags diags;
    json_t *halves; /* of each change whose value in the file has a +-: what became of that */
} serve_changed;

/* Reads changes as the page sends them, an array of section, key and value, puts them into the text of a build and
 * reads that as any build file is read. Returns: whether it did; if not, answer tells why. */
bool serve_change(const serve_job *job, size_t build, const json_t *changes, serve_changed *changed,
                  serve_answer *answer);
void serve_changed_close(serve_changed *changed);

/* The values that the page may change in a build, each with its unit, its number and the span of its slider. NULL when
 * out of memory. */
json_t *serve_controls(const serve_job *job, const serve_build *build);
/* Whether a key is one of those, in any build. */
bool serve_may_change(const char *section, const char *key);
/* serve_half_keep for a key of a build file. */
serve_half serve_keep_half(const char *section, const char *key, const char *was, const char *now, swl_buf *out);
/* The section of the control by that name; NULL for none. */
const char *serve_section_of(const char *key, size_t len);

/* The map of a build in SI, for drawing: what no change of a value moves. NULL when out of memory. */
json_t *serve_map(const serve_build *build, const double *level, size_t levels);
/* Lays the map of a build out. */
swl_status serve_field(serve_build *build, swl_err *err) SWL_MUST_CHECK;
/* Levels that suit the maps of all builds. */
swl_status serve_levels(const serve_job *job, double *level, size_t *levels, swl_err *err) SWL_MUST_CHECK;
/* Where the discharge reaches its limit on the map, as pieces of a line in SI. NULL when out of memory. */
json_t *serve_hot(swl_match *match, const swl_build *build, swl_err *err);

/* What the page draws and writes of one solved build, in the units shown. Returns NULL with an error. */
json_t *serve_view(const swl_build *build, const swl_check *check, swl_units units, swl_err *err);
/* Values and figures of builds side by side, in the units shown. NULL when out of memory. */
json_t *serve_compare_view(const swl_compare_report *report, swl_units units);

/* What the page can ask for. Given: the body of a request, JSON. */
typedef void serve_asked(const serve_job *job, const char *body, size_t len, serve_answer *answer);
serve_asked serve_about;
serve_asked serve_solve;
serve_asked serve_compare;
serve_asked serve_build_file;

/* Makes the answer one of an error in words. */
void serve_refuse(serve_answer *answer, unsigned status, const char *format, ...) SWL_PRINTF(3, 4);
/* What is answered, with 500, when there is no memory for an answer. */
#define SERVE_NO_MEMORY "{\"error\":\"out of memory\",\"findings\":[]}"
/* Writes and releases a JSON body; NULL is out of memory. */
void serve_put_json(serve_answer *answer, json_t *root);
/* Releases the text. Returns: it as JSON; NULL when out of memory. */
json_t *serve_text(swl_buf *buf);
/* Returns: a number with this many decimals, a dash for none, as a JSON text. */
json_t *serve_number_text(double value, int decimals);

/* A file of the page. */
typedef struct serve_page {
    const char *type;
    const char *bytes;
    size_t len;
} serve_page;
/* Returns: whether the page has a file by this name. */
bool serve_page_find(const char *name, serve_page *page);

/* Listens on the loopback address until told to stop. port 0: any that is free. Returns: the exit status. */
int serve_run(const serve_job *job, unsigned port);

#endif
