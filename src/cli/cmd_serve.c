#include "cli/serve.h"
#include "cli/serve_guard.h"

#include "sweptline/version.h"

#include <ctype.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* The name of a changed file: that of the build's with a word behind it, of letters that no shell or browser takes
 * for anything else. */
static swl_status name_download(serve_build *build, swl_err *err)
{
    swl_buf stem = {0};
    cli_stem(build->path, "changed", &stem);
    (void)snprintf(build->download, sizeof build->download, "%.80s.ini", swl_buf_text(&stem));
    for (char *at = build->download; *at != '\0'; at++) {
        unsigned char c = (unsigned char)*at;
        *at = c < 0x80 && (isalnum(c) || strchr("-_.", c) != NULL) ? *at : '_';
    }
    swl_status status = swl_buf_status(&stem, err);
    swl_buf_free(&stem);
    return status;
}

static json_t *build_json(const serve_job *job, const serve_build *build, const double *level, size_t levels)
{
    const swl_blower *blower = &build->build.blower;
    char path[SWL_DIAG_EXCERPT_MAX];
    (void)snprintf(path, sizeof path, "%s", build->path);
    swl_utf8_clean(path);
    return json_pack("{s:s, s:s, s:s, s:s, s:s, s:s, s:o, s:o}", "file", path, "download", build->download, "name",
                     build->build.name, "note", build->build.note, "unit", blower->name, "kind",
                     blower->kind == SWL_BLOWER_ROOTS ? "roots" : "screw", "controls", serve_controls(job, build),
                     "map", serve_map(build, level, levels));
}

static swl_status make_about(serve_job *job, swl_err *err)
{
    double level[SWL_BANDS_MAX];
    size_t levels = 0;
    json_t *builds = json_array();
    swl_status status = serve_levels(job, level, &levels, err);
    int bad = builds == NULL;
    for (size_t i = 0; i < job->count && status == SWL_OK; i++) {
        bad |= json_array_append_new(builds, build_json(job, &job->builds[i], level, levels));
    }
    if (bad || status != SWL_OK) {
        json_decref(builds);
        return swl_err_set(err, SWL_ERR_MEMORY, "out of memory for the page");
    }
    job->about = json_pack("{s:s, s:s, s:s, s:s, s:o}", "program", "sweptline", "version", SWL_VERSION, "caution",
                           swl_report_caution(), "units", job->units == SWL_UNITS_US ? "us" : "si", "builds", builds);
    return job->about == NULL ? swl_err_set(err, SWL_ERR_MEMORY, "out of memory for the page") : SWL_OK;
}

static swl_status load_one(serve_build *build, const swl_source *source, swl_err *err)
{
    swl_check check = {0};
    swl_status status = name_download(build, err);
    if (status == SWL_OK) {
        status = swl_build_load(source, build->path, &build->build, &build->diags, err);
    }
    if (status == SWL_OK) {
        status = swl_check_run(&build->build, &check, err);
    }
    if (status == SWL_OK) {
        status = serve_field(build, err);
    }
    swl_check_free(&check);
    return status;
}

/* Reads every build and solves it once, so that what cannot be shown is told, of all files in one go, before there is a
 * page. Returns: the exit status. */
static int load(serve_job *job)
{
    swl_source source = serve_files_reading(&job->files);
    int code = 0;
    for (size_t i = 0; i < job->count; i++) {
        serve_build *build = &job->builds[i];
        swl_err err = {0};
        build->path = job->options->files[i];
        if (load_one(build, &source, &err) != SWL_OK) {
            int own = cli_fail(&build->diags, &err, build->path);
            code = own > code ? own : code;
        }
    }
    return code;
}

static void job_close(serve_job *job)
{
    json_decref(job->about);
    for (size_t i = 0; i < job->count; i++) {
        swl_field_free(&job->builds[i].field);
        swl_build_free(&job->builds[i].build);
        swl_diag_free(&job->builds[i].diags);
    }
    serve_files_free(&job->files);
}

int cli_serve(const cli_options *options)
{
    swl_err err = {0};
    unsigned port = 0;
    if (options->port != NULL && !serve_port(options->port, &port)) {
        cli_say("sweptline serve: --port read `%s`; a whole number from 1 to 65535 is accepted", options->port);
        return 2;
    }
    serve_job *job = calloc(1, sizeof *job); /* six builds are much for a stack */
    if (job == NULL) {
        cli_say("sweptline: out of memory");
        return swl_err_exit_code(SWL_ERR_MEMORY);
    }
    job->options = options;
    job->count = options->file_count;
    const swl_diags none = {0};
    int code = cli_files_differ(options, &err) == SWL_OK ? load(job) : cli_fail(&none, &err, options->file);
    if (code == 0) {
        job->units = cli_units(options, &job->builds[0].build);
        swl_status status = SWL_OK;
        for (size_t i = 0; i < job->files.count && status == SWL_OK; i++) {
            status = cli_stdout_differs(job->files.items[i].path, &err);
        }
        status = status == SWL_OK ? make_about(job, &err) : status;
        code = status == SWL_OK ? serve_run(job, port) : cli_fail(&none, &err, options->file);
    }
    job_close(job);
    free(job);
    return code;
}
