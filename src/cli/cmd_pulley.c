#include "cli/cli.h"
#include "cli/progress.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* Nine sizes around the build's own, in steps of 5 %, when none are given. */
static size_t default_sizes(double own_m, double *d_m)
{
    enum { STEPS = 9 };
    for (int i = 0; i < STEPS; i++) {
        d_m[i] = own_m * (0.80 + 0.05 * i);
    }
    return STEPS;
}

/* Two round speeds inside the rev range, and its limit. */
static swl_pulley_speeds default_speeds(const swl_engine *engine)
{
    double from_rpm = engine->speed_from_rpm;
    double span_rpm = engine->speed_limit_rpm - from_rpm;
    return (swl_pulley_speeds){.rpm = {fmax(from_rpm, round((from_rpm + span_rpm / 4) / 100) * 100),
                                       fmax(from_rpm, round((from_rpm + span_rpm * 0.6) / 100) * 100),
                                       engine->speed_limit_rpm},
                               .count = SWL_PULLEY_SPEEDS};
}

/* Above zero: no blower is chosen to make less. What no size gives is told by the search, with the most there is. */
static swl_status wish_value(const char *option, const char *given, swl_dim dim, double most, const char *accepted,
                             double *value, swl_err *err)
{
    return swl_option_value_read(option, given, dim, 1e-12, most, accepted, value, err);
}

/* The weights are kept by whoever runs the study. */
static swl_status wish_island(const cli_options *options, const swl_source *source, const swl_engine *engine,
                              swl_pulley_study *study, swl_curve **weights, swl_diags *diags, swl_err *err)
{
    swl_pulley_wish *wish = &study->wishes[study->wish_count++];
    *wish = (swl_pulley_wish){.goal = SWL_GOAL_ISLAND, .words = "Size for the best mean adiabatic efficiency"};
    swl_status status =
        swl_speed_span_read("--island", options->island, engine, &wish->span.from_rpm, &wish->span.to_rpm, err);
    if (status == SWL_OK && options->weights != NULL) {
        status = swl_weights_read(source, "--weights", options->weights, weights, diags, err);
        wish->span.weight = *weights;
    }
    return status;
}

static swl_status wish_boost(const cli_options *options, const swl_engine *engine, swl_pulley_study *study,
                             swl_err *err)
{
    swl_pulley_wish *wish = &study->wishes[study->wish_count];
    swl_status status = wish_value("--boost", options->boost, SWL_DIM_PRESSURE, 1e7,
                                   "a boost above zero, up to 10000 kPa,", &wish->value, err);
    wish->goal = SWL_GOAL_BOOST_PEAK;
    wish->words = "Size for boost at its peak";
    if (status == SWL_OK && options->at != NULL) {
        size_t count = 0;
        status = swl_speeds_read("--at", options->at, engine, 1, &wish->engine_rpm, &count, err);
        wish->goal = SWL_GOAL_BOOST_AT;
        wish->words = "Size for boost at one engine speed";
    }
    study->wish_count++;
    return status;
}

/* The smallest that keeps every limit is always sought; the others as asked for. */
static swl_status read_wishes(const cli_options *options, const swl_source *source, const swl_build *build,
                              swl_pulley_study *study, swl_curve **weights, swl_diags *diags, swl_err *err)
{
    swl_status status = SWL_OK;
    if (options->boost != NULL) {
        status = wish_boost(options, &build->engine, study, err);
    } else if (options->at != NULL) {
        return swl_err_set(err, SWL_ERR_USAGE, "--at goes with --boost");
    }
    if (status == SWL_OK && options->max_speed != NULL) {
        swl_pulley_wish *wish = &study->wishes[study->wish_count++];
        *wish = (swl_pulley_wish){.goal = SWL_GOAL_SPEED, .words = "Size for blower speed at the rev limit"};
        status = wish_value("--max-speed", options->max_speed, SWL_DIM_SPEED, 1e6,
                            "a speed above zero, up to 1000000 rpm,", &wish->value, err);
    }
    if (status == SWL_OK && options->manifold_flow != NULL) {
        swl_pulley_wish *wish = &study->wishes[study->wish_count++];
        *wish = (swl_pulley_wish){.goal = SWL_GOAL_FLOW, .words = "Size for air flow at the rev limit"};
        status = wish_value("--manifold-flow", options->manifold_flow, SWL_DIM_MASS_FLOW, 100,
                            "a flow above zero, up to 100 kg/s,", &wish->value, err);
    }
    if (status == SWL_OK && options->island != NULL) {
        status = wish_island(options, source, &build->engine, study, weights, diags, err);
    } else if (status == SWL_OK && options->weights != NULL) {
        status = swl_err_set(err, SWL_ERR_USAGE, "--weights goes with --island");
    }
    const swl_limit_values *limits = &build->limits;
    bool any = !isnan(build->blower.continuous_rpm) || !isnan(build->blower.short_time_rpm) ||
               !isnan(limits->boost_pa) || !isnan(limits->p_ratio) || !isnan(limits->t_charge_k) ||
               !isnan(limits->t_discharge_k) || !isnan(limits->p_drive_w) || !isnan(limits->p_sensor_pa) ||
               !isnan(limits->mdot_sensor_kg_s);
    if (status == SWL_OK && any) {
        study->wishes[study->wish_count++] = (swl_pulley_wish){
            .goal = SWL_GOAL_LIMITS,
            .words = study->pulley == SWL_PULLEY_CRANK ? "Largest that keeps every limit, with nothing to spare"
                                                       : "Smallest that keeps every limit, with nothing to spare",
        };
    }
    return status;
}

/* What one run holds. */
typedef struct job {
    cli_in in;
    swl_pulley_study study;
    swl_curve *weights;
} job;

static swl_status job_run(job *j, swl_err *err)
{
    double d_m[SWL_PULLEY_SIZES_MAX];
    const cli_options *options = j->in.options;
    swl_pulley_study *study = &j->study;
    const swl_build *build = &j->in.build;
    swl_source source = cli_source(&j->in.inputs);
    bool crank = options->crank != NULL;
    const char *given = crank ? options->crank : options->blower;
    swl_status status = SWL_OK;
    study->pulley = crank ? SWL_PULLEY_CRANK : SWL_PULLEY_BLOWER;
    study->own_m = crank ? build->drive.d_crank_m : build->drive.d_blower_m;
    study->speeds = default_speeds(&build->engine);
    if (options->speeds != NULL) {
        status = swl_speeds_read("--speeds", options->speeds, &build->engine, SWL_PULLEY_SPEEDS, study->speeds.rpm,
                                 &study->speeds.count, err);
    }
    if (status == SWL_OK && given != NULL) {
        status = swl_sizes_read(&source, crank ? "--crank" : "--blower", given, d_m, &study->count, &j->in.diags, err);
    } else if (status == SWL_OK) {
        study->count = default_sizes(build->drive.d_blower_m, d_m);
    }
    if (status == SWL_OK) {
        status = read_wishes(options, &source, build, study, &j->weights, &j->in.diags, err);
    }
    /* Asked now that all inputs are known: the files of sizes and of weights are some too. */
    if (status == SWL_OK) {
        status = cli_in_may_write(&j->in, options->file, "pulley", err);
    }
    if (status != SWL_OK) {
        return status;
    }
    study->rows = calloc(study->count, sizeof *study->rows);
    if (study->rows == NULL) {
        return swl_err_set(err, SWL_ERR_MEMORY, "out of memory for the table");
    }
    cli_progress progress;
    cli_progress_begin(&progress);
    for (size_t i = 0; i < study->count && status == SWL_OK; i++) {
        status = swl_pulley_table(build, study->pulley, &d_m[i], 1, &study->speeds, &study->rows[i], err);
        swl_progress_tell(&progress.of, "solving pulley sizes", i + 1, study->count);
    }
    if (status == SWL_OK) {
        status = swl_pulley_wishes(build, study, err);
    }
    cli_progress_end(&progress);
    return status;
}

static swl_status notes_make(const job *j, swl_units units, swl_notes *notes, swl_err *err)
{
    swl_notes_pulley(notes, &j->in.build, &j->study, &j->in.diags, units);
    return cli_notes_made(notes, err);
}

static swl_status job_write(const job *j, swl_err *err)
{
    cli_out out = {.notes = {0}};
    swl_status status = notes_make(j, j->in.units, &out.notes, err);
    if (status == SWL_OK && j->in.options->json != NULL) {
        status = notes_make(j, SWL_UNITS_SI, &out.si_notes, err);
        if (status == SWL_OK) {
            status = swl_report_pulley_json(&out.json, &j->in.build, &j->study, &out.si_notes, err);
        }
    }
    if (j->in.options->csv != NULL) {
        swl_report_pulley_csv(&out.csv, &j->study, j->in.units);
    }
    swl_report_pulley_text(&out.text, &j->in.build, &j->study, &out.notes, j->in.units);
    if (status == SWL_OK) {
        status = cli_write(j->in.options, &out, err);
    }
    cli_out_free(&out);
    return status;
}

static void chart_subtitle(const job *j, swl_buf *out)
{
    const swl_build *build = &j->in.build;
    bool crank = j->study.pulley == SWL_PULLEY_CRANK;
    swl_buf_printf(out, "%s; sizes of the %s pulley on ", build->blower.name, crank ? "crank" : "blower");
    swl_buf_puts(out, crank ? "a blower pulley of " : "a crank pulley of ");
    swl_report_value(out, crank ? build->drive.d_blower_m : build->drive.d_crank_m, SWL_SHOW_LENGTH, j->in.units);
    swl_buf_puts(out, "; as built ");
    swl_report_value(out, j->study.own_m, SWL_SHOW_LENGTH, j->in.units);
    cli_site_words(build, j->in.units, out);
}

/* What was found, by letters, then what has none. */
static void caption_found(const job *j, const swl_pulley_chart *chart, swl_buf *out)
{
    const swl_pulley_study *study = &j->study;
    for (int k = 0; k <= SWL_PULLEY_WISHES_MAX; k++) {
        char wanted = k == SWL_PULLEY_WISHES_MAX ? '\0' : (char)('A' + k);
        for (size_t i = 0; i < study->wish_count; i++) {
            const swl_pulley_wish *wish = &study->wishes[i];
            if (swl_pulley_chart_letter(chart, wish) != wanted) {
                continue;
            }
            if (wanted != '\0') {
                swl_buf_printf(out, "%c: ", wanted);
            }
            swl_report_pulley_wish(out, study, wish, j->in.units);
            bool beyond = wanted == '\0' && wish->found.stop == SWL_STOP_FOUND;
            swl_buf_puts(out, beyond ? ", beyond this scale. " : ". ");
        }
    }
}

static void chart_caption(const job *j, const swl_pulley_chart *chart, swl_buf *out)
{
    size_t outside = 0;
    size_t without = 0;
    for (size_t i = 0; i < chart->curve_count; i++) {
        outside += chart->curve[i].tally.outside > 0;
        without += chart->curve[i].end != SWL_MATCH_SOLVED;
    }
    size_t no_boost = 0;
    for (size_t i = 0; i < j->study.count; i++) {
        no_boost += j->study.rows[i].tally.without_boost > 0;
    }
    caption_found(j, chart, out);
    swl_buf_puts(out, "Marks: the sizes listed. ");
    if (no_boost > 0) {
        swl_buf_printf(out, "NO BOOST at some engine speeds or at all with %zu of them. ", no_boost);
    }
    swl_buf_puts(out, outside > 0 ? "Dashed: part or all of the operating line is outside the map's data. " : "");
    swl_buf_puts(out, without > 0 ? "No line, and a cross at a size listed: no operating point. " : "");
    if (isnan(j->in.build.blower.continuous_rpm) && isnan(j->in.build.blower.short_time_rpm)) {
        swl_buf_puts(out, "ROTOR SPEED HAS NOT BEEN CHECKED: the unit file states no limit. ");
    }
    swl_buf_puts(out, cli_estimates);
}

static swl_status pulley_drawer(const void *context, const swl_picture *picture, swl_buf *out, swl_err *err)
{
    return swl_draw_pulley(context, picture, out, err);
}

static swl_status job_draw(const job *j, swl_err *err)
{
    const cli_options *options = j->in.options;
    if (!cli_draws(options)) {
        return SWL_OK;
    }
    swl_buf subtitle = {0};
    swl_buf caption = {0};
    swl_pulley_row *curve = NULL;
    swl_pulley_chart chart = {
        .title = j->in.build.name, .build = &j->in.build, .study = &j->study, .units = j->in.units};
    swl_status status = swl_pulley_curve(&j->in.build, &j->study, &curve, &chart.curve_count, err);
    if (status == SWL_OK) {
        chart.curve = curve;
        chart_subtitle(j, &subtitle);
        chart_caption(j, &chart, &caption);
        chart.subtitle = swl_buf_text(&subtitle);
        chart.caption = swl_buf_text(&caption);
        status = swl_buf_status(&subtitle, err);
    }
    if (status == SWL_OK) {
        status = swl_buf_status(&caption, err);
    }
    if (status == SWL_OK) {
        status = cli_draw_with(options, pulley_drawer, &chart, swl_buf_text(&j->in.stem), err);
    }
    free(curve);
    swl_buf_free(&subtitle);
    swl_buf_free(&caption);
    return status;
}

/* 0 when a size listed keeps every limit, 1 when none does. */
static int study_code(const swl_pulley_study *study)
{
    for (size_t i = 0; i < study->count; i++) {
        if (study->rows[i].end == SWL_MATCH_SOLVED && study->rows[i].verdict != SWL_EXCEEDED) {
            return 0;
        }
    }
    return 1;
}

int cli_pulley(const cli_options *options)
{
    swl_err err = {0};
    job j = {.in = {.options = options, .at_fault = options->file}};
    swl_status status = SWL_OK;
    if (options->blower != NULL && options->crank != NULL) {
        status = swl_err_set(&err, SWL_ERR_USAGE, "--blower and --crank cannot both be given");
    }
    if (status == SWL_OK) {
        status = cli_in_read(&j.in, &err);
    }
    if (status == SWL_OK) {
        status = job_run(&j, &err);
    }
    /* A picture that cannot be drawn is refused before anything is written. */
    if (status == SWL_OK) {
        status = job_draw(&j, &err);
    }
    if (status == SWL_OK) {
        status = job_write(&j, &err);
    }
    int code = status == SWL_OK ? study_code(&j.study) : cli_fail(&j.in.diags, &err, j.in.at_fault);
    free(j.study.rows);
    swl_curve_free(j.weights);
    cli_in_free(&j.in);
    return code;
}
