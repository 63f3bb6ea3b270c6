#include "cli/cli.h"

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
static void default_speeds(const swl_engine *engine, double *speeds_rpm)
{
    double from_rpm = engine->speed_from_rpm;
    double span_rpm = engine->speed_limit_rpm - from_rpm;
    speeds_rpm[0] = fmax(from_rpm, round((from_rpm + span_rpm / 4) / 100) * 100);
    speeds_rpm[1] = fmax(from_rpm, round((from_rpm + span_rpm * 0.6) / 100) * 100);
    speeds_rpm[2] = engine->speed_limit_rpm;
}

static swl_status read_wish(const char *option, const char *given, swl_dim dim, double *value, swl_err *err)
{
    swl_quantity quantity = {0};
    swl_fault fault = {0};
    if (!swl_quantity_read(swl_slice_of(given), dim, &quantity, &fault)) {
        return swl_err_set(err, SWL_ERR_USAGE, "%s: %s", option, fault.text);
    }
    *value = quantity.value;
    return SWL_OK;
}

static swl_status wish_boost(const cli_options *options, swl_pulley_study *study, swl_err *err)
{
    swl_pulley_wish *wish = &study->wishes[study->wish_count];
    swl_status status = read_wish("--boost", options->boost, SWL_DIM_PRESSURE, &wish->value, err);
    wish->goal = SWL_GOAL_BOOST_PEAK;
    wish->words = "Size for the wanted boost at its peak";
    if (status == SWL_OK && options->at != NULL) {
        status = read_wish("--at", options->at, SWL_DIM_SPEED, &wish->engine_rpm, err);
        wish->goal = SWL_GOAL_BOOST_AT;
        wish->words = "Size for the wanted boost at that engine speed";
    }
    if (status == SWL_OK && options->at != NULL && !(wish->engine_rpm >= 100 && wish->engine_rpm <= 30000)) {
        status = swl_err_set(err, SWL_ERR_USAGE, "--at: read `%s`; 100 rpm to 30000 rpm is accepted", options->at);
    }
    study->wish_count++;
    return status;
}

/* The smallest that keeps every limit is always sought; the others as asked for. */
static swl_status read_wishes(const cli_options *options, const swl_build *build, swl_pulley_study *study, swl_err *err)
{
    swl_status status = SWL_OK;
    if (options->boost != NULL) {
        status = wish_boost(options, study, err);
    } else if (options->at != NULL) {
        return swl_err_set(err, SWL_ERR_USAGE, "--at goes with --boost");
    }
    if (status == SWL_OK && options->max_speed != NULL) {
        swl_pulley_wish *wish = &study->wishes[study->wish_count++];
        *wish = (swl_pulley_wish){.goal = SWL_GOAL_SPEED, .words = "Size for the wanted blower speed at the rev limit"};
        status = read_wish("--max-speed", options->max_speed, SWL_DIM_SPEED, &wish->value, err);
    }
    if (status == SWL_OK && options->manifold_flow != NULL) {
        swl_pulley_wish *wish = &study->wishes[study->wish_count++];
        *wish = (swl_pulley_wish){.goal = SWL_GOAL_FLOW, .words = "Size for the wanted air flow at the rev limit"};
        status = read_wish("--manifold-flow", options->manifold_flow, SWL_DIM_MASS_FLOW, &wish->value, err);
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

static swl_status study_run(const cli_options *options, const swl_source *source, const swl_build *build,
                            swl_pulley_study *study, swl_err *err)
{
    double d_m[SWL_PULLEY_SIZES_MAX];
    const char *given = options->crank != NULL ? options->crank : options->blower;
    swl_status status = SWL_OK;
    study->pulley = options->crank != NULL ? SWL_PULLEY_CRANK : SWL_PULLEY_BLOWER;
    default_speeds(&build->engine, study->speeds_rpm);
    if (given != NULL) {
        status = swl_sizes_read(source, given, d_m, &study->count, err);
    } else {
        study->count = default_sizes(build->drive.d_blower_m, d_m);
    }
    if (status == SWL_OK) {
        status = read_wishes(options, build, study, err);
    }
    if (status != SWL_OK) {
        return status;
    }
    study->rows = calloc(study->count, sizeof *study->rows);
    if (study->rows == NULL) {
        return swl_err_set(err, SWL_ERR_MEMORY, "out of memory for the table");
    }
    status = swl_pulley_table(build, study->pulley, d_m, study->count, study->speeds_rpm, study->rows, err);
    return status == SWL_OK ? swl_pulley_wishes(build, study, err) : status;
}

static swl_status study_write(const cli_options *options, const swl_build *build, const swl_pulley_study *study,
                              swl_err *err)
{
    swl_units units = cli_units(options, build);
    swl_buf json = {0};
    swl_buf csv = {0};
    swl_buf text = {0};
    swl_status status = SWL_OK;
    if (options->json != NULL) {
        status = swl_report_pulley_json(&json, build, study, err);
    }
    swl_report_pulley_csv(&csv, study, units);
    swl_report_pulley_text(&text, build, study, units);
    if (status == SWL_OK) {
        status = cli_write(options, &json, &csv, &text, err);
    }
    swl_buf_free(&json);
    swl_buf_free(&csv);
    swl_buf_free(&text);
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
    cli_inputs inputs = {0};
    swl_diags diags = {0};
    swl_build build = {0};
    swl_pulley_study study = {0};
    swl_source source = cli_source(&inputs);
    const char *at_fault = options->file;
    swl_status status = SWL_OK;
    if (options->blower != NULL && options->crank != NULL) {
        status = swl_err_set(&err, SWL_ERR_USAGE, "--blower and --crank cannot both be given");
    }
    if (status == SWL_OK) {
        status = swl_build_load(&source, options->file, &build, &diags, &err);
    }
    if (status == SWL_OK) {
        status = cli_put_on_site(options, &source, &build, &diags, &at_fault, &err);
    }
    if (status == SWL_OK) {
        status = study_run(options, &source, &build, &study, &err);
    }
    /* Asked now that all inputs are known: the file of sizes is one too. */
    if (status == SWL_OK) {
        status = cli_may_write_all(options, &inputs, "", &err);
    }
    if (status == SWL_OK) {
        status = study_write(options, &build, &study, &err);
    }
    int code = status == SWL_OK ? study_code(&study) : cli_fail(&diags, &err, at_fault);
    free(study.rows);
    swl_build_free(&build);
    swl_diag_free(&diags);
    cli_inputs_free(&inputs);
    return code;
}
