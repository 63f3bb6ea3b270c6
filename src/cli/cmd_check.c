#include "cli/cli.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* What a check and a chart have in common: a build, solved, with its notes. */
typedef struct job {
    cli_in in;
    swl_scan scan; /* of the unit, with --over-scan */
    swl_check check;
    swl_sensitivity sensitivity;
} job;

static swl_status job_read(job *j, swl_err *err)
{
    const cli_options *options = j->in.options;
    swl_source source = cli_source(&j->in.inputs);
    swl_status status = options->over_scan
                            ? swl_build_scan_load(&source, options->file, &j->in.build, &j->scan, &j->in.diags, err)
                            : swl_build_load(&source, options->file, &j->in.build, &j->in.diags, err);
    double ignored = 0;
    if (status == SWL_OK) {
        status = cli_dim(options, options->over_scan, &ignored, err);
    }
    if (status == SWL_OK) {
        status = cli_wants_scan(options, &j->scan, err);
    }
    if (status == SWL_OK) {
        status = cli_put_on_site(options, &source, &j->in.build, &j->in.diags, &j->in.at_fault, err);
    }
    j->in.units = cli_units(options, &j->in.build);
    return status;
}

static swl_status notes_make(const job *j, swl_units units, swl_notes *notes, swl_err *err)
{
    swl_notes_check(notes, &j->in.build, &j->check, &j->in.diags, units);
    return cli_notes_made(notes, err);
}

static swl_status job_open(job *j, swl_err *err)
{
    static const char *const words[] = {"chart", "map", "curves"};
    const cli_options *options = j->in.options;
    swl_status status = job_read(j, err);
    if (status == SWL_OK) {
        status = cli_in_may_write(&j->in, options->file, words[options->picture.parts], err);
    }
    if (status == SWL_OK) {
        status = swl_check_run(&j->in.build, &j->check, err);
    }
    if (status == SWL_OK && options->sensitivity) {
        status = swl_sensitivity_run(&j->in.build, j->in.build.engine.speed_limit_rpm, &j->sensitivity, err);
    }
    return status;
}

static void job_close(job *j)
{
    swl_check_free(&j->check);
    swl_scan_free(&j->scan);
    cli_in_free(&j->in);
}

static swl_status job_write(const job *j, swl_err *err)
{
    const cli_options *options = j->in.options;
    cli_out out = {.notes = {0}};
    swl_status status = notes_make(j, j->in.units, &out.notes, err);
    if (status == SWL_OK && options->json != NULL) {
        status = notes_make(j, SWL_UNITS_SI, &out.si_notes, err);
        if (status == SWL_OK) {
            status = swl_report_check_json(&out.json, options->command, &j->in.build, &j->check,
                                           options->sensitivity ? &j->sensitivity : NULL, &out.si_notes, err);
        }
    }
    if (options->csv != NULL) {
        swl_report_check_csv(&out.csv, &j->check, j->in.units);
    }
    swl_report_check_text(&out.text, &j->in.build, &j->check, &out.notes, j->in.units, cli_colour());
    if (options->sensitivity) {
        swl_report_sensitivity_text(&out.text, &j->sensitivity, j->in.units);
    }
    if (status == SWL_OK) {
        status = cli_write(options, &out, err);
    }
    cli_out_free(&out);
    return status;
}

int cli_check(const cli_options *options)
{
    swl_err err = {0};
    job j = {.in = {.options = options, .at_fault = options->file}};
    swl_status status = job_open(&j, &err);
    if (status == SWL_OK) {
        status = job_write(&j, &err);
    }
    int code = status == SWL_OK ? (j.check.exceeded ? 1 : 0) : cli_fail(&j.in.diags, &err, j.in.at_fault);
    job_close(&j);
    return code;
}

static void chart_subtitle(const swl_build *build, const swl_check *check, swl_units units, swl_buf *out)
{
    swl_buf_printf(out, "%s; crank pulley ", build->blower.name);
    swl_report_value(out, build->drive.d_crank_m, SWL_SHOW_LENGTH, units);
    swl_buf_puts(out, " on blower pulley ");
    swl_report_value(out, build->drive.d_blower_m, SWL_SHOW_LENGTH, units);
    swl_buf_printf(out, ", ratio %.3f", check->drive_ratio);
    cli_site_words(build, units, out);
}

/* What the markers of a run are, and first of all what it measured over a limit. */
static void caption_log(const swl_log *log, swl_units units, swl_parts parts, swl_buf *out)
{
    for (size_t i = 0; i < log->limit_count; i++) {
        const swl_limit_row *row = &log->limits[i].row;
        if (row->verdict == SWL_EXCEEDED) {
            swl_buf_printf(out, "MEASURED OVER ITS LIMIT: %s ", row->words);
            swl_report_limit(out, row, units);
            swl_buf_puts(out, ". ");
        }
    }
    swl_buf_puts(out, "Triangles and diamonds: measured, the mean of the rows about an engine speed, with a bar from "
                      "the lowest to the highest. Lines: predicted. ");
    if (parts == SWL_PARTS_CURVES) {
        return;
    }
    if (log->has[SWL_LOG_MASS_FLOW]) {
        swl_buf_printf(out,
                       "On the map a measured point stands at its mass flow over the inlet density, and at the "
                       "manifold pressure plus the predicted cooler loss over the %s inlet pressure. ",
                       log->has[SWL_LOG_INLET_PRESSURE] ? "measured" : "predicted");
    } else {
        swl_buf_puts(out, "No mass flow was measured, so nothing measured stands on the map. ");
    }
}

static void chart_caption(const swl_build *build, const swl_check *check, const swl_spread *spread,
                          const swl_scan *scan, swl_units units, const swl_trace *traces, size_t trace_count,
                          swl_buf *out)
{
    static const char *const heads[] = {"", "Close (less than 5 % to spare): ", "EXCEEDED: "};
    size_t kept = 0;
    for (int verdict = SWL_EXCEEDED; verdict >= SWL_KEPT; verdict--) {
        const char *separator = heads[verdict];
        for (size_t i = 0; i < check->limit_count; i++) {
            const swl_limit_row *row = &check->limits[i];
            if (row->verdict != (swl_verdict)verdict) {
                continue;
            }
            if (verdict == SWL_KEPT) {
                kept++;
                continue;
            }
            swl_buf_printf(out, "%s%s ", separator, row->words);
            swl_report_limit(out, row, units);
            separator = ", ";
        }
        swl_buf_puts(out, separator == heads[verdict] ? "" : ". ");
    }
    if (check->limit_count > 0) {
        swl_buf_printf(out, "%zu of %zu limits kept with 5 %% or more to spare. ", kept, check->limit_count);
    } else {
        swl_buf_puts(out, "No limit is given, so none was checked. ");
    }
    if (isnan(build->blower.continuous_rpm) && isnan(build->blower.short_time_rpm)) {
        swl_buf_puts(out, "ROTOR SPEED HAS NOT BEEN CHECKED: the unit file states no limit. ");
    }
    size_t outside = 0;
    size_t without = 0;
    for (size_t i = 0; i < check->line_count; i++) {
        outside += check->line[i].map_where != SWL_MAP_INSIDE;
        without += check->line[i].boost_pa <= 0;
    }
    if (without > 0) {
        swl_buf_printf(out, "NO BOOST at %zu of %zu engine speeds. ", without, check->line_count);
    }
    if (outside > 0) {
        swl_buf_printf(out,
                       "Dashed: %zu of %zu points lie outside the map's data, whose edge is held there: no verdict on "
                       "them to build on. ",
                       outside, check->line_count);
    }
    for (size_t k = 0; k < trace_count; k++) {
        if (!traces[k].inside) {
            swl_buf_printf(out, "The %s of %.0f rpm lies beyond the map and is not drawn on it. ", traces[k].words,
                           traces[k].blower_rpm);
        }
    }
    if (spread != NULL) {
        swl_buf_printf(
            out,
            "Outlined about the line and shaded about the curves: the middle 90 %% of %zu samples of the %zu inputs "
            "given with +-, on the map as seen in any direction. ",
            2 * spread->samples, spread->input_count);
    }
    if (scan == NULL) {
        swl_buf_printf(out, "%s and their numbers: adiabatic efficiency. ", spread != NULL ? "Colours" : "Bands");
    }
    swl_buf_puts(out, cli_estimates);
}

swl_status cli_chart_draw(const cli_options *options, const swl_build *build, const swl_check *check,
                          const swl_spread *spread, const swl_log *log, const swl_scan *scan, swl_units units,
                          const char *stem, swl_err *err)
{
    const swl_blower *blower = &build->blower;
    swl_field field = {0};
    swl_buf subtitle = {0};
    swl_buf caption = {0};
    swl_trace traces[SWL_TRACES_MAX];
    size_t trace_count = 0;
    swl_point marks[SWL_MARKS_MAX];
    double dim_frac = 0;
    swl_match *match = swl_match_new(build, err);
    swl_status status = match == NULL ? SWL_ERR_MEMORY : swl_field_init(&field, match, blower->map, 8, 97, err);
    if (status == SWL_OK) {
        status = cli_dim(options, scan != NULL, &dim_frac, err);
    }
    if (status == SWL_OK) {
        trace_count = swl_field_traces(match, blower, &field, traces);
        chart_subtitle(build, check, units, &subtitle);
        if (scan != NULL) {
            cli_scan_caption(scan, check, &caption);
        }
        if (log != NULL) {
            caption_log(log, units, options->picture.parts, &caption);
        }
        chart_caption(build, check, spread, scan, units, traces, trace_count, &caption);
        swl_chart chart = {
            .title = build->name,
            .subtitle = swl_buf_text(&subtitle),
            .caption = swl_buf_text(&caption),
            .blower = blower,
            .build = build,
            .check = check,
            .spread = spread,
            .marks = marks,
            .mark_count = swl_check_marks(match, check, marks),
            .field = &field,
            .traces = traces,
            .trace_count = trace_count,
            .site_pa = build->site.p_pa,
            .t_discharge_limit_k = build->limits.t_discharge_k,
            .units = units,
            .log = log,
            .scan = scan,
            .scan_dim_frac = dim_frac,
        };
        status = cli_draw(options, &chart, stem, err);
    }
    swl_match_free(match);
    swl_field_free(&field);
    swl_buf_free(&subtitle);
    swl_buf_free(&caption);
    return status;
}

int cli_chart(const cli_options *options)
{
    swl_err err = {0};
    job j = {.in = {.options = options, .at_fault = options->file}};
    swl_status status = job_open(&j, &err);
    if (status == SWL_OK) {
        status = cli_chart_draw(options, &j.in.build, &j.check, NULL, NULL, options->over_scan ? &j.scan : NULL,
                                j.in.units, swl_buf_text(&j.in.stem), &err);
    }
    if (status == SWL_OK) {
        status = job_write(&j, &err);
    }
    int code = status == SWL_OK ? (j.check.exceeded ? 1 : 0) : cli_fail(&j.in.diags, &err, j.in.at_fault);
    job_close(&j);
    return code;
}
