#include "cli/cli.h"

#include <string.h>

/* A run beside its prediction, with all that belongs to it. */
typedef struct job {
    const cli_options *options;
    cli_inputs inputs;
    swl_diags diags;
    swl_build build;
    swl_run run;
    swl_check check;
    swl_log log;
    swl_notes notes;
    swl_buf stem;     /* of the pictures' names */
    const char *file; /* the one being read, for messages */
    swl_units units;
} job;

/* What the run itself rests on comes before what the prediction does. */
static swl_status notes_make(const job *j, swl_units units, swl_notes *notes, swl_err *err)
{
    swl_notes_log(notes, &j->build, &j->run, &j->log, units);
    swl_notes_check(notes, &j->build, &j->check, &j->diags, units);
    return notes->failed ? swl_err_set(err, SWL_ERR_MEMORY, "out of memory for the notes") : SWL_OK;
}

static swl_status job_read(job *j, swl_err *err)
{
    const cli_options *options = j->options;
    swl_source source = cli_source(&j->inputs);
    if (strcmp(options->files[0], "-") == 0 && strcmp(options->files[1], "-") == 0) {
        return swl_err_set(err, SWL_ERR_USAGE, "BUILD and RUN.csv cannot both be standard input");
    }
    swl_status status = swl_build_load(&source, options->files[0], &j->build, &j->diags, err);
    if (status == SWL_OK) {
        status = cli_put_on_site(options, &source, &j->build, &j->diags, &j->file, err);
    }
    if (status == SWL_OK) {
        j->file = options->files[1];
        status = swl_run_load(&source, options->files[1], j->build.site.p_pa, &j->run, &j->diags, err);
    }
    if (status != SWL_OK) {
        return status;
    }
    j->file = options->file;
    j->units = cli_units(options, &j->build);
    cli_stem(options->files[1], "log", &j->stem);
    return cli_may_write_all(options, &j->inputs, swl_buf_text(&j->stem), err);
}

static swl_status job_solve(job *j, swl_err *err)
{
    swl_err own = {0};
    swl_status status = swl_check_run(&j->build, &j->check, err);
    if (status == SWL_OK) {
        status = swl_log_run(&j->build, &j->run, &j->log, &own);
        if (status != SWL_OK) {
            (void)swl_err_set(err, status, "%s%s%s", status == SWL_ERR_INPUT ? j->options->files[1] : "",
                              status == SWL_ERR_INPUT ? ": " : "", own.text);
        }
    }
    return status == SWL_OK ? notes_make(j, j->units, &j->notes, err) : status;
}

static swl_status job_write(const job *j, swl_err *err)
{
    const cli_options *options = j->options;
    swl_buf json = {0};
    swl_buf csv = {0};
    swl_buf text = {0};
    swl_notes si_notes = {0};
    swl_status status = SWL_OK;
    if (options->json != NULL) {
        /* JSON is in SI, and so are the values in its notes. */
        status = notes_make(j, SWL_UNITS_SI, &si_notes, err);
    }
    if (options->json != NULL && status == SWL_OK) {
        status = swl_report_log_json(&json, &j->build, options->files[1], &j->run, &j->check, &j->log, &si_notes, err);
    }
    if (options->csv != NULL) {
        swl_report_log_csv(&csv, &j->log, j->units);
    }
    swl_report_log_text(&text, &j->build, options->files[1], &j->run, &j->check, &j->log, &j->notes, j->units,
                        cli_colour());
    if (status == SWL_OK) {
        status = cli_write(options, &json, &csv, &text, err);
    }
    swl_notes_free(&si_notes);
    swl_buf_free(&json);
    swl_buf_free(&csv);
    swl_buf_free(&text);
    return status;
}

static void job_close(job *j)
{
    swl_buf_free(&j->stem);
    swl_notes_free(&j->notes);
    swl_log_free(&j->log);
    swl_check_free(&j->check);
    swl_run_free(&j->run);
    swl_build_free(&j->build);
    swl_diag_free(&j->diags);
    cli_inputs_free(&j->inputs);
}

int cli_log(const cli_options *options)
{
    swl_err err = {0};
    job j = {.options = options, .file = options->file};
    swl_status status = job_read(&j, &err);
    if (status == SWL_OK) {
        status = job_solve(&j, &err);
    }
    bool draws = cli_draws(options);
    if (status == SWL_OK && draws) {
        status = cli_chart_draw(options, &j.build, &j.check, NULL, &j.log, NULL, j.units, swl_buf_text(&j.stem), &err);
    }
    if (status == SWL_OK) {
        status = job_write(&j, &err);
    }
    int code = status == SWL_OK ? (j.check.exceeded || j.log.exceeded || j.log.unjudged ? 1 : 0)
                                : cli_fail(&j.diags, &err, j.file);
    job_close(&j);
    return code;
}
