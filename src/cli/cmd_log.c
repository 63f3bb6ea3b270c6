#include "cli/cli.h"

#include <string.h>

/* A run beside its prediction, with all that belongs to it. */
typedef struct job {
    cli_in in;
    swl_run run;
    swl_check check;
    swl_log log;
} job;

/* What the run itself rests on comes before what the prediction does. */
static swl_status notes_make(const job *j, swl_units units, swl_notes *notes, swl_err *err)
{
    swl_notes_log(notes, &j->in.build, &j->run, &j->log, units);
    swl_notes_check(notes, &j->in.build, &j->check, &j->in.diags, units);
    return cli_notes_made(notes, err);
}

static swl_status job_read(job *j, swl_err *err)
{
    const cli_options *options = j->in.options;
    if (strcmp(options->files[0], "-") == 0 && strcmp(options->files[1], "-") == 0) {
        return swl_err_set(err, SWL_ERR_USAGE, "BUILD and RUN.csv cannot both be standard input");
    }
    swl_status status = cli_in_read(&j->in, err);
    if (status == SWL_OK) {
        swl_source source = cli_source(&j->in.inputs);
        j->in.at_fault = options->files[1];
        status = swl_run_load(&source, options->files[1], j->in.build.site.p_pa, &j->run, &j->in.diags, err);
    }
    if (status != SWL_OK) {
        return status;
    }
    j->in.at_fault = options->file;
    return cli_in_may_write(&j->in, options->files[1], "log", err);
}

static swl_status job_solve(job *j, swl_err *err)
{
    swl_err own = {0};
    swl_status status = swl_check_run(&j->in.build, &j->check, err);
    if (status == SWL_OK) {
        status = swl_log_run(&j->in.build, &j->run, &j->log, &own);
        if (status != SWL_OK) {
            (void)swl_err_set(err, status, "%s%s%s", status == SWL_ERR_INPUT ? j->in.options->files[1] : "",
                              status == SWL_ERR_INPUT ? ": " : "", own.text);
        }
    }
    return status;
}

static swl_status job_write(const job *j, swl_err *err)
{
    const cli_options *options = j->in.options;
    const char *run_name = options->files[1];
    cli_out out = {.notes = {0}};
    swl_status status = notes_make(j, j->in.units, &out.notes, err);
    if (status == SWL_OK && options->json != NULL) {
        status = notes_make(j, SWL_UNITS_SI, &out.si_notes, err);
        if (status == SWL_OK) {
            status =
                swl_report_log_json(&out.json, &j->in.build, run_name, &j->run, &j->check, &j->log, &out.si_notes, err);
        }
    }
    if (options->csv != NULL) {
        swl_report_log_csv(&out.csv, &j->log, j->in.units);
    }
    swl_report_log_text(&out.text, &j->in.build, run_name, &j->run, &j->check, &j->log, &out.notes, j->in.units,
                        cli_colour());
    if (status == SWL_OK) {
        status = cli_write(options, &out, err);
    }
    cli_out_free(&out);
    return status;
}

int cli_log(const cli_options *options)
{
    swl_err err = {0};
    job j = {.in = {.options = options, .at_fault = options->file}};
    swl_status status = job_read(&j, &err);
    if (status == SWL_OK) {
        status = job_solve(&j, &err);
    }
    bool draws = cli_draws(options);
    if (status == SWL_OK && draws) {
        status = cli_chart_draw(options, &j.in.build, &j.check, NULL, &j.log, NULL, j.in.units,
                                swl_buf_text(&j.in.stem), &err);
    }
    if (status == SWL_OK) {
        status = job_write(&j, &err);
    }
    int code = status == SWL_OK ? (j.check.exceeded || j.log.exceeded || j.log.unjudged ? 1 : 0)
                                : cli_fail(&j.in.diags, &err, j.in.at_fault);
    swl_log_free(&j.log);
    swl_check_free(&j.check);
    swl_run_free(&j.run);
    cli_in_free(&j.in);
    return code;
}
