#include "cli/cli.h"
#include "cli/progress.h"

#include <stdio.h>
#include <string.h>
#include <unistd.h>

/* Reads a whole number given to an option. */
static swl_status read_whole(const char *option, const char *given, double least, double most, const char *accepted,
                             double *value, swl_err *err)
{
    swl_fault fault;
    if (given == NULL) {
        return SWL_OK;
    }
    bool ok = strspn(given, "0123456789") == strlen(given) && swl_number_read(swl_slice_of(given), value, &fault);
    if (!ok || !(*value >= least && *value <= most)) {
        return swl_err_set(err, SWL_ERR_USAGE, "%s read `%s`; %s is accepted", option, given, accepted);
    }
    return SWL_OK;
}

/* As many threads as processors are online, unless a number is given. */
static double default_threads(void)
{
    long online = sysconf(_SC_NPROCESSORS_ONLN);
    return online < 1 ? 1 : online > SWL_SPREAD_THREADS_MAX ? SWL_SPREAD_THREADS_MAX : (double)online;
}

static swl_status read_options(const cli_options *options, swl_spread_options *out, swl_err *err)
{
    static const char accepted[] = "a power of two from 128 to 65536, as 1024 or 4096,";
    double samples = SWL_SPREAD_SAMPLES;
    double seed = 1;
    double threads = default_threads();
    swl_status status =
        read_whole("--samples", options->samples, SWL_SOBOL_ROWS_MIN, SWL_SOBOL_ROWS_MAX, accepted, &samples, err);
    if (status == SWL_OK && ((size_t)samples & ((size_t)samples - 1)) != 0) {
        status = swl_err_set(err, SWL_ERR_USAGE, "--samples read `%s`; %s is accepted", options->samples, accepted);
    }
    if (status == SWL_OK) {
        status =
            read_whole("--seed", options->seed, 0, 4294967295.0, "a whole number from 0 to 4294967295", &seed, err);
    }
    if (status == SWL_OK) {
        status = read_whole("--threads", options->threads, 1, SWL_SPREAD_THREADS_MAX, "a whole number from 1 to 256",
                            &threads, err);
    }
    *out = (swl_spread_options){.samples = (size_t)samples, .seed = (uint32_t)seed, .threads = (size_t)threads};
    return status;
}

/* A build, its middle, its spread and what must be said with them. */
typedef struct job {
    cli_in in;
    swl_check check;
    swl_spread spread;
} job;

/* Whether any input is sampled: speed_from and speed_step only say where the line has its rows. */
static bool has_inputs(const swl_build *build)
{
    for (size_t i = 0; i < build->input_count; i++) {
        const char *name = build->inputs[i].name;
        if (strcmp(name, "speed_from") != 0 && strcmp(name, "speed_step") != 0) {
            return true;
        }
    }
    return false;
}

static swl_status job_run(job *j, swl_err *err)
{
    const cli_options *options = j->in.options;
    swl_spread_options how;
    swl_status status = read_options(options, &how, err);
    if (status == SWL_OK) {
        status = cli_in_read(&j->in, err);
    }
    if (status == SWL_OK) {
        static const char *const words[] = {"spread", "spread-map", "spread-curves"};
        status = cli_in_may_write(&j->in, options->file, words[options->picture.parts], err);
    }
    if (status == SWL_OK && !has_inputs(&j->in.build)) {
        status = swl_err_set(
            err, SWL_ERR_USAGE,
            "%s: no value is given with +-, so there is nothing to spread. A number of the build file or of its "
            "unit file may carry a half-width (95 %%), as `blower_pulley = 92 mm +- 0.3 mm`; so may the "
            "points of volumetric_efficiency, as `2500: 85 +- 2 %%`, and the map as a whole by [map] "
            "volumetric_efficiency_factor and adiabatic_efficiency_factor. speed_from and speed_step "
            "only place rows and are not sampled",
            options->file);
    }
    if (status == SWL_OK) {
        status = swl_check_run(&j->in.build, &j->check, err);
    }
    if (status == SWL_OK) {
        cli_progress progress;
        cli_progress_begin(&progress);
        how.progress = &progress.of;
        status = swl_spread_run(&j->in.build, &j->check, &how, &j->spread, err);
        cli_progress_end(&progress);
    }
    return status;
}

static swl_status notes_make(const job *j, swl_units units, swl_notes *notes, swl_err *err)
{
    swl_notes_spread(notes, &j->in.build, &j->check, &j->spread, &j->in.diags, units);
    return cli_notes_made(notes, err);
}

static swl_status job_draw(const job *j, swl_err *err)
{
    if (!cli_draws(j->in.options)) {
        return SWL_OK;
    }
    return cli_chart_draw(j->in.options, &j->in.build, &j->check, &j->spread, NULL, NULL, j->in.units,
                          swl_buf_text(&j->in.stem), err);
}

static swl_status job_write(const job *j, swl_err *err)
{
    cli_out out = {.notes = {0}};
    swl_status status = notes_make(j, j->in.units, &out.notes, err);
    if (status == SWL_OK && j->in.options->json != NULL) {
        status = notes_make(j, SWL_UNITS_SI, &out.si_notes, err);
        if (status == SWL_OK) {
            status = swl_report_spread_json(&out.json, &j->in.build, &j->spread, &out.si_notes, err);
        }
    }
    if (j->in.options->csv != NULL) {
        swl_report_spread_csv(&out.csv, &j->spread, j->in.units);
    }
    swl_report_spread_text(&out.text, &j->in.build, &j->spread, &out.notes, j->in.units, cli_colour());
    if (status == SWL_OK) {
        status = cli_write(j->in.options, &out, err);
    }
    cli_out_free(&out);
    return status;
}

int cli_spread(const cli_options *options)
{
    swl_err err = {0};
    job j = {.in = {.options = options, .at_fault = options->file}};
    swl_status status = job_run(&j, &err);
    if (status == SWL_OK) {
        status = job_draw(&j, &err);
    }
    if (status == SWL_OK) {
        status = job_write(&j, &err);
    }
    int code = status == SWL_OK ? (j.check.exceeded ? 1 : 0) : cli_fail(&j.in.diags, &err, j.in.at_fault);
    swl_spread_free(&j.spread);
    swl_check_free(&j.check);
    cli_in_free(&j.in);
    return code;
}
