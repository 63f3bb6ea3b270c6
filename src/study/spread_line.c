#include "study/spread_line.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* The outputs before the margins, in this order; the wheel's power is last, since not every build has one. */
enum {
    OUT_BOOST,
    OUT_MASS_FLOW,
    OUT_DISCHARGE,
    OUT_CHARGE,
    OUT_DRIVE_POWER,
    OUT_SPEED,
    OUT_OVER_REV,
    OUT_CRANK_POWER,
    OUT_WHEEL_POWER,
    OUT_FIXED
};
_Static_assert((int)OUT_FIXED + (int)SWL_LIMIT_ROWS_MAX <= (int)SWL_SPREAD_OUTPUTS_MAX, "every output has a place");

static const swl_spread_output fixed_outputs[OUT_FIXED] = {
    [OUT_BOOST] = {.name = "boost_peak_pa", .words = "peak boost", .show = SWL_SHOW_BOOST},
    [OUT_MASS_FLOW] = {.name = "air_mass_flow_at_limit_kg_s",
                       .words = "air flow at the rev limit",
                       .show = SWL_SHOW_MASS_FLOW},
    [OUT_DISCHARGE] = {.name = "discharge_temperature_max_k",
                       .words = "highest discharge temperature",
                       .show = SWL_SHOW_TEMPERATURE},
    [OUT_CHARGE] = {.name = "charge_temperature_max_k",
                    .words = "highest charge temperature",
                    .show = SWL_SHOW_TEMPERATURE},
    [OUT_DRIVE_POWER] = {.name = "drive_power_max_w", .words = "highest drive power", .show = SWL_SHOW_POWER},
    [OUT_SPEED] = {.name = "blower_speed_at_limit_rpm",
                   .words = "blower speed at the rev limit",
                   .show = SWL_SHOW_BLOWER_SPEED},
    [OUT_OVER_REV] = {.name = "blower_speed_at_over_rev_rpm",
                      .words = "blower speed in an over-rev",
                      .show = SWL_SHOW_BLOWER_SPEED},
    [OUT_CRANK_POWER] = {.name = "crank_power_peak_w", .words = "peak crank power", .show = SWL_SHOW_POWER},
    [OUT_WHEEL_POWER] = {.name = "wheel_power_peak_w", .words = "peak wheel power", .show = SWL_SHOW_POWER},
};

size_t swl_spread_outputs(const spread_plan *plan, swl_spread_output *outputs)
{
    size_t count = plan->has_wheel ? OUT_FIXED : OUT_WHEEL_POWER;
    memcpy(outputs, fixed_outputs, count * sizeof *outputs);
    for (size_t k = 0; k < plan->check->limit_count; k++) {
        const swl_limit_row *row = &plan->check->limits[k];
        outputs[count++] =
            (swl_spread_output){.name = row->name, .words = row->words, .show = SWL_SHOW_FRACTION, .is_margin = true};
    }
    return count;
}

spread_worker *swl_spread_worker_new(const spread_plan *plan)
{
    spread_worker *worker = calloc(1, sizeof *worker);
    if (worker == NULL) {
        return NULL;
    }
    swl_err err;
    /* A flat copy: curves and map stay the original's and are only read. */
    worker->build = *plan->build;
    worker->match = swl_match_new(&worker->build, &err);
    worker->line = calloc(plan->check->line_count, sizeof *worker->line);
    worker->power = calloc(plan->check->line_count, sizeof *worker->power);
    worker->own = calloc(plan->check->line_count + 1, sizeof *worker->own);
    if (worker->match == NULL || worker->line == NULL || worker->power == NULL || worker->own == NULL) {
        swl_spread_worker_free(worker);
        return NULL;
    }
    return worker;
}

void swl_spread_worker_free(spread_worker *worker)
{
    if (worker != NULL) {
        swl_match_free(worker->match);
        free(worker->line);
        free(worker->power);
        free(worker->own);
        free(worker);
    }
}

/* The rows that the sample's own line has: all, or those below its rev limit and one there. Returns: how many. */
static size_t own_line(const spread_plan *plan, spread_worker *worker)
{
    size_t rows = plan->check->line_count;
    double limit_rpm = worker->build.engine.speed_limit_rpm;
    size_t count = 0;
    while (count < rows && (!plan->own_limit || worker->line[count].engine_rpm < limit_rpm)) {
        worker->own[count] = worker->line[count];
        count++;
    }
    if (plan->own_limit) {
        worker->own[count++] = swl_match_point(worker->match, limit_rpm);
    }
    return count;
}

static void output_line(const spread_plan *plan, const spread_worker *worker, const swl_power_basis *basis,
                        size_t count, double *output)
{
    double highest[OUT_FIXED];
    for (size_t k = 0; k < OUT_FIXED; k++) {
        highest[k] = -INFINITY;
    }
    for (size_t i = 0; i < count; i++) {
        const swl_point *point = &worker->own[i];
        swl_power power = swl_power_at(&worker->build, basis, point);
        highest[OUT_BOOST] = fmax(highest[OUT_BOOST], point->boost_pa);
        highest[OUT_DISCHARGE] = fmax(highest[OUT_DISCHARGE], point->t2_k);
        highest[OUT_CHARGE] = fmax(highest[OUT_CHARGE], point->t3_k);
        highest[OUT_DRIVE_POWER] = fmax(highest[OUT_DRIVE_POWER], point->p_shaft_w);
        highest[OUT_CRANK_POWER] = fmax(highest[OUT_CRANK_POWER], power.crank_w);
        highest[OUT_WHEEL_POWER] = fmax(highest[OUT_WHEEL_POWER], power.wheel_w);
    }
    highest[OUT_MASS_FLOW] = worker->own[count - 1].mdot_kg_s;
    for (size_t k = 0; k < (plan->has_wheel ? OUT_FIXED : OUT_WHEEL_POWER); k++) {
        bool of_line = k != OUT_SPEED && k != OUT_OVER_REV;
        if (of_line && isfinite(highest[k])) {
            output[k] = highest[k];
        }
    }
}

/* Margins by the limits' names, since a sample may have one more or less than the middle build. Without a line only
 * the speeds are told. */
static void output_margins(const spread_plan *plan, const swl_check *check, bool solved, double *output)
{
    for (size_t k = 0; k < plan->output_count; k++) {
        for (size_t i = 0; plan->outputs[k].is_margin && i < check->limit_count; i++) {
            const swl_limit_row *row = &check->limits[i];
            bool told = solved || !isnan(row->engine_rpm_at_limit);
            if (told && strcmp(row->name, plan->outputs[k].name) == 0) {
                output[k] = row->margin_frac;
            }
        }
    }
}

void swl_spread_sample(const spread_plan *plan, spread_worker *worker, const double *shares, double *output)
{
    swl_build *build = &worker->build;
    for (size_t i = 0; shares != NULL && i < plan->input_count; i++) {
        swl_build_set(build, &plan->inputs[i].of, swl_spread_value(&plan->inputs[i].of, shares[i]));
    }
    swl_match_set(worker->match, build);
    swl_power_basis basis = swl_power_basis_of(build);
    bool solved = true;
    bool sound = swl_build_sound(build);
    for (size_t i = 0; i < plan->check->line_count; i++) {
        double rpm = plan->check->line[i].engine_rpm;
        worker->line[i] =
            sound ? swl_match_point(worker->match, rpm) : (swl_point){.engine_rpm = rpm, .end = SWL_MATCH_NOT_FINITE};
        worker->power[i] = swl_power_at(build, &basis, &worker->line[i]);
    }
    size_t count = own_line(plan, worker);
    solved = sound;
    for (size_t i = 0; i < count; i++) {
        solved = solved && worker->own[i].end == SWL_MATCH_SOLVED;
    }
    for (size_t k = 0; k < plan->output_count; k++) {
        output[k] = NAN;
    }
    if (solved) {
        output_line(plan, worker, &basis, count, output);
    }
    swl_check check = {.line = worker->own, .line_count = count, .basis = basis};
    swl_check_limits(build, &check);
    output_margins(plan, &check, solved, output);
    output[OUT_SPEED] = check.blower_rpm_at_limit;
    output[OUT_OVER_REV] = check.blower_rpm_at_over_rev;
}

void swl_spread_quantities(const spread_plan *plan, const spread_worker *worker, size_t row, double *of)
{
    const swl_point *point = &worker->line[row];
    const swl_power *power = &worker->power[row];
    bool solved = point->end == SWL_MATCH_SOLVED;
    const swl_drive *drive = &worker->build.drive;
    double no_slip_rpm = plan->check->line[row].engine_rpm * swl_drive_ratio(drive, worker->build.blower.gear_ratio);
    for (size_t q = 0; q < SWL_SPREAD_QUANTITIES; q++) {
        of[q] = NAN;
    }
    of[SWL_SPREAD_BLOWER_NO_SLIP] = no_slip_rpm;
    of[SWL_SPREAD_BLOWER_SPEED] = no_slip_rpm * (1 - drive->slip_frac);
    if (solved) {
        of[SWL_SPREAD_BOOST] = point->boost_pa;
        of[SWL_SPREAD_MASS_FLOW] = point->mdot_kg_s;
        of[SWL_SPREAD_DISCHARGE] = point->t2_k;
        of[SWL_SPREAD_CHARGE] = point->t3_k;
        of[SWL_SPREAD_DRIVE_POWER] = point->p_shaft_w;
        of[SWL_SPREAD_CRANK_POWER] = power->crank_w;
        of[SWL_SPREAD_WHEEL_POWER] = power->wheel_w;
        of[SWL_SPREAD_RATIO] = point->p_ratio;
        of[SWL_SPREAD_VOLUME_FLOW] = point->vdot1_m3_s;
        of[SWL_SPREAD_MAP_VOLUME_FLOW] = point->map_vdot_m3_s;
    }
}
