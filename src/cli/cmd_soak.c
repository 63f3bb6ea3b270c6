#include "cli/cli.h"

#include <math.h>

/* A build with its soak and what is said about it. */
typedef struct job {
    const cli_options *options;
    const char *at_fault;
    cli_inputs inputs;
    swl_diags diags;
    swl_build build;
    swl_soak soak;
    swl_units units;
    swl_buf stem; /* of the pictures' names */
} job;

static swl_status job_open(job *j, const cli_options *options, swl_err *err)
{
    *j = (job){.options = options, .at_fault = options->file};
    swl_source source = cli_source(&j->inputs);
    swl_status status = swl_build_load(&source, options->file, &j->build, &j->diags, err);
    if (status == SWL_OK) {
        status = cli_put_on_site(options, &source, &j->build, &j->diags, &j->at_fault, err);
    }
    if (status != SWL_OK) {
        return status;
    }
    cli_stem(options->file, "soak", &j->stem);
    status = cli_may_write_all(options, &j->inputs, swl_buf_text(&j->stem), err);
    if (status != SWL_OK) {
        return status;
    }
    j->units = cli_units(options, &j->build);
    swl_err own = {0};
    status = swl_soak_run(&j->build, &j->soak, &own);
    return status == SWL_OK ? status : cli_study_failed(options, &own, err);
}

static void job_close(job *j)
{
    swl_buf_free(&j->stem);
    swl_soak_free(&j->soak);
    swl_build_free(&j->build);
    swl_diag_free(&j->diags);
    cli_inputs_free(&j->inputs);
}

static swl_status job_json(const job *j, swl_buf *json, swl_err *err)
{
    swl_notes notes = {0};
    /* JSON is in SI, and so are the values in its notes. */
    swl_notes_soak(&notes, &j->build, &j->soak, &j->diags, SWL_UNITS_SI);
    swl_status status = notes.failed ? swl_err_set(err, SWL_ERR_MEMORY, "out of memory for the notes")
                                     : swl_report_soak_json(json, &j->build, &j->soak, &notes, err);
    swl_notes_free(&notes);
    return status;
}

static swl_status job_write(const job *j, swl_err *err)
{
    swl_buf json = {0};
    swl_buf csv = {0};
    swl_buf text = {0};
    swl_notes notes = {0};
    swl_notes_soak(&notes, &j->build, &j->soak, &j->diags, j->units);
    swl_status status = notes.failed ? swl_err_set(err, SWL_ERR_MEMORY, "out of memory for the notes") : SWL_OK;
    if (status == SWL_OK && j->options->json != NULL) {
        status = job_json(j, &json, err);
    }
    swl_report_soak_csv(&csv, &j->soak, j->units);
    swl_report_soak_text(&text, &j->build, &j->soak, &notes, j->units);
    if (status == SWL_OK) {
        status = cli_write(j->options, &json, &csv, &text, err);
    }
    swl_notes_free(&notes);
    swl_buf_free(&json);
    swl_buf_free(&csv);
    swl_buf_free(&text);
    return status;
}

static void chart_subtitle(const job *j, swl_buf *out)
{
    const swl_cycle *cycle = &j->build.cycle;
    const swl_cooler *cooler = &j->build.cooler;
    swl_buf_printf(out, "%s; %d x (pull %.6g s, rest %.6g s); circuit of ", j->build.blower.name, cycle->pulls,
                   cycle->pull_s, cycle->rest_s);
    swl_report_value(out, cooler->coolant_volume_m3, SWL_SHOW_LIQUID_VOLUME, j->units);
    swl_buf_puts(out, ", pumped at ");
    swl_report_value(out, cooler->coolant_m3_s, SWL_SHOW_LIQUID_FLOW, j->units);
    swl_buf_puts(out, "; front air ");
    swl_report_value(out, j->soak.t_front_air_k, SWL_SHOW_TEMPERATURE, j->units);
    if (j->build.site.name[0] != '\0') {
        swl_buf_printf(out, "; site %s", j->build.site.name);
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
    if (isnan(soak->recovery_s)) {
        swl_buf_printf(out, "Not recovered within %.0f min after the last pull. ", SWL_SOAK_WATCH_S / 60);
    } else {
        swl_buf_printf(out, "Recovered %.0f s after the last pull. ", soak->recovery_s);
    }
    if (soak->outside > 0) {
        swl_buf_printf(out, "%zu of %zu rows of the pulls lie outside the map's data, whose edge is held there. ",
                       soak->outside, soak->pull_rows);
    }
    swl_buf_puts(out, "Shaded: pulls at wide-open throttle. Estimates from a model and typed map data; the makers' "
                      "limits, local codes and licensed practice come first.");
}

static swl_status draw_soak(const void *context, const swl_picture *picture, swl_buf *out, swl_err *err)
{
    return swl_draw_soak(context, picture, out, err);
}

static swl_status job_draw(const job *j, swl_err *err)
{
    if (!cli_draws(j->options)) {
        return SWL_OK;
    }
    swl_buf subtitle = {0};
    swl_buf caption = {0};
    chart_subtitle(j, &subtitle);
    chart_caption(j, &caption);
    swl_soak_chart chart = {.title = j->build.name,
                            .subtitle = swl_buf_text(&subtitle),
                            .caption = swl_buf_text(&caption),
                            .soak = &j->soak,
                            .units = j->units};
    swl_status status = cli_draw_with(j->options, draw_soak, &chart, swl_buf_text(&j->stem), err);
    swl_buf_free(&subtitle);
    swl_buf_free(&caption);
    return status;
}

int cli_soak(const cli_options *options)
{
    swl_err err = {0};
    job j;
    swl_status status = job_open(&j, options, &err);
    if (status == SWL_OK) {
        status = job_draw(&j, &err);
    }
    if (status == SWL_OK) {
        status = job_write(&j, &err);
    }
    int code = status == SWL_OK ? (j.soak.exceeded ? 1 : 0) : cli_fail(&j.diags, &err, j.at_fault);
    job_close(&j);
    return code;
}
