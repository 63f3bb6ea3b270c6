#include "cli/cli.h"

#include <math.h>

/* A build with its soak and what is said about it. */
typedef struct job {
    cli_in in;
    swl_soak soak;
} job;

static swl_status job_open(job *j, swl_err *err)
{
    const cli_options *options = j->in.options;
    swl_status status = cli_in_read(&j->in, err);
    if (status == SWL_OK) {
        status = cli_in_may_write(&j->in, options->file, "soak", err);
    }
    if (status != SWL_OK) {
        return status;
    }
    swl_err own = {0};
    status = swl_soak_run(&j->in.build, &j->soak, &own);
    return status == SWL_OK ? status : cli_study_failed(options, &own, err);
}

static swl_status notes_make(const job *j, swl_units units, swl_notes *notes, swl_err *err)
{
    swl_notes_soak(notes, &j->in.build, &j->soak, &j->in.diags, units);
    return cli_notes_made(notes, err);
}

static swl_status job_write(const job *j, swl_err *err)
{
    cli_out out = {.notes = {0}};
    swl_status status = notes_make(j, j->in.units, &out.notes, err);
    if (status == SWL_OK && j->in.options->json != NULL) {
        status = notes_make(j, SWL_UNITS_SI, &out.si_notes, err);
        status =
            status == SWL_OK ? swl_report_soak_json(&out.json, &j->in.build, &j->soak, &out.si_notes, err) : status;
    }
    if (j->in.options->csv != NULL) {
        swl_report_soak_csv(&out.csv, &j->soak, j->in.units);
    }
    swl_report_soak_text(&out.text, &j->in.build, &j->soak, &out.notes, j->in.units);
    if (status == SWL_OK) {
        status = cli_write(j->in.options, &out, err);
    }
    cli_out_free(&out);
    return status;
}

static void chart_subtitle(const job *j, swl_buf *out)
{
    const swl_cycle *cycle = &j->in.build.cycle;
    const swl_cooler *cooler = &j->in.build.cooler;
    swl_buf_printf(out, "%s; %d x (pull %.6g s, rest %.6g s); circuit of ", j->in.build.blower.name, cycle->pulls,
                   cycle->pull_s, cycle->rest_s);
    swl_report_value(out, cooler->coolant_volume_m3, SWL_SHOW_LIQUID_VOLUME, j->in.units);
    swl_buf_puts(out, ", pumped at ");
    swl_report_value(out, cooler->coolant_m3_s, SWL_SHOW_LIQUID_FLOW, j->in.units);
    swl_buf_puts(out, "; front air ");
    swl_report_value(out, j->soak.t_front_air_k, SWL_SHOW_TEMPERATURE, j->in.units);
    if (j->in.build.site.name[0] != '\0') {
        swl_buf_printf(out, "; site %s", j->in.build.site.name);
    }
}

static void chart_caption(const job *j, swl_buf *out)
{
    const swl_soak *soak = &j->soak;
    size_t exceeded = 0;
    size_t close = 0;
    for (size_t i = 0; i < soak->pull_count; i++) {
        exceeded += soak->pulls[i].verdict == SWL_EXCEEDED;
        close += soak->pulls[i].verdict == SWL_CLOSE;
    }
    if (isnan(soak->limit_k)) {
        swl_buf_puts(out, "No limit of the charge temperature is given, so none was checked. ");
    } else if (exceeded > 0) {
        swl_buf_printf(out, "EXCEEDED: the limit of the charge temperature, in %zu of %zu pulls. ", exceeded,
                       soak->pull_count);
    } else {
        swl_buf_puts(out, "Every pull keeps the limit of the charge temperature");
        if (close > 0) {
            swl_buf_printf(out, ", %zu of %zu with less than 5 %% of it (absolute) to spare", close, soak->pull_count);
        }
        swl_buf_puts(out, ". ");
    }
    if (soak->coolant_held) {
        swl_buf_puts(out, "The coolant leaves the range of its properties: no verdict to build on. ");
    }
    if (soak->over_count > 0) {
        swl_buf_printf(out, "EXCEEDED in steady flow: %s%s. ", soak->over[0].words,
                       soak->over_count > 1 ? " and other limits" : "");
    }
    if (isnan(soak->recovery_s) && swl_soak_settles_above(soak)) {
        swl_buf_puts(out, "Does not recover however long it rests: the coolant settles at ");
        swl_report_value(out, soak->t_rest_k, SWL_SHOW_TEMPERATURE, j->in.units);
        swl_buf_puts(out, ", above ");
        swl_report_value(out, soak->t_recovered_k, SWL_SHOW_TEMPERATURE, j->in.units);
        swl_buf_puts(out, ". ");
    } else if (isnan(soak->recovery_s)) {
        swl_buf_printf(out, "Not recovered within %.0f min after the last pull. ", SWL_SOAK_WATCH_S / 60);
    } else {
        swl_buf_printf(out, "Recovered %.0f s after the last pull. ", soak->recovery_s);
    }
    if (soak->outside > 0) {
        swl_buf_printf(out, "%zu of %zu rows of the pulls lie outside the map's data, whose edge is held there. ",
                       soak->outside, soak->pull_rows);
    }
    swl_buf_printf(out, "Shaded: pulls at wide-open throttle. %s", cli_estimates);
}

static swl_status draw_soak(const void *context, const swl_picture *picture, swl_buf *out, swl_err *err)
{
    return swl_draw_soak(context, picture, out, err);
}

static swl_status job_draw(const job *j, swl_err *err)
{
    if (!cli_draws(j->in.options)) {
        return SWL_OK;
    }
    swl_buf subtitle = {0};
    swl_buf caption = {0};
    chart_subtitle(j, &subtitle);
    chart_caption(j, &caption);
    swl_soak_chart chart = {.title = j->in.build.name,
                            .subtitle = swl_buf_text(&subtitle),
                            .caption = swl_buf_text(&caption),
                            .soak = &j->soak,
                            .units = j->in.units};
    swl_status status = cli_draw_with(j->in.options, draw_soak, &chart, swl_buf_text(&j->in.stem), err);
    swl_buf_free(&subtitle);
    swl_buf_free(&caption);
    return status;
}

int cli_soak(const cli_options *options)
{
    swl_err err = {0};
    job j = {.in = {.options = options, .at_fault = options->file}};
    swl_status status = job_open(&j, &err);
    if (status == SWL_OK) {
        status = job_draw(&j, &err);
    }
    if (status == SWL_OK) {
        status = job_write(&j, &err);
    }
    int code = status == SWL_OK ? (j.soak.exceeded ? 1 : 0) : cli_fail(&j.in.diags, &err, j.in.at_fault);
    swl_soak_free(&j.soak);
    cli_in_free(&j.in);
    return code;
}
