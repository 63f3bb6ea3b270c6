#include "sweptline/check.h"

#include "base/locale_c.h"
#include "match/column.h"
#include "sweptline/supply.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

/* Rows of the operating line; one at the limit itself whatever the step. */
static size_t line_rows(const swl_engine *engine)
{
    double span = (engine->speed_limit_rpm - engine->speed_from_rpm) / engine->speed_step_rpm;
    /* A last step that ends within a millionth of the limit is the row at the limit. */
    double whole = floor(span + 1e-6);
    bool ends_on_step = fabs(span - whole) <= 1e-6;
    return (size_t)whole + (ends_on_step ? 1 : 2);
}

static swl_status line_solve(const swl_build *build, swl_match *match, swl_check *check, swl_err *err)
{
    const swl_engine *engine = &build->engine;
    size_t failed = 0;
    const swl_point *first_failed = NULL;
    for (size_t i = 0; i < check->line_count; i++) {
        bool last = i + 1 == check->line_count;
        double rpm = last ? engine->speed_limit_rpm : engine->speed_from_rpm + (double)i * engine->speed_step_rpm;
        check->line[i] = swl_match_point(match, rpm);
        check->line[i].several = check->line[i].end == SWL_MATCH_SOLVED && swl_match_several(match, &check->line[i]);
        if (check->line[i].end != SWL_MATCH_SOLVED) {
            failed++;
            first_failed = first_failed == NULL ? &check->line[i] : first_failed;
        }
    }
    if (failed == 0) {
        return SWL_OK;
    }
    char hot[64] = "";
    if (first_failed->end == SWL_MATCH_AIR_RANGE) {
        (void)swl_locale_print(hot, sizeof hot, " (the discharge would be at %.0f K)", first_failed->t2_k);
    }
    return swl_err_set(
        err, SWL_ERR_SOLVE,
        "no operating point at %.6g rpm: %s%s; %zu of %zu engine speeds are without one. Check the pulleys, "
        "the unit's displacement and the losses",
        first_failed->engine_rpm, swl_match_reason(first_failed->end), hot, failed, check->line_count);
}

static swl_limit_row *limit_add(swl_check *check, swl_limit_row row)
{
    row.margin_frac = (row.limit - row.value) / row.limit;
    /* A value that equals its limit but for rounding is at the limit, not over it. */
    bool over = row.value > row.limit * (1 + 1e-12);
    row.verdict = over ? SWL_EXCEEDED : row.margin_frac < SWL_CLOSE_MARGIN_FRAC ? SWL_CLOSE : SWL_KEPT;
    row.engine_rpm_at_limit = NAN;
    row.exceeded_from_rpm = NAN;
    row.smallest_pulley_m = NAN;
    check->exceeded = check->exceeded || row.verdict == SWL_EXCEEDED;
    check->limits[check->limit_count] = row;
    return &check->limits[check->limit_count++];
}

static void limit_speed(const swl_build *build, swl_check *check, const char *name, const char *words,
                        double engine_rpm, double limit_rpm)
{
    if (isnan(limit_rpm)) {
        return;
    }
    swl_limit_row *row = limit_add(check, (swl_limit_row){
                                              .name = name,
                                              .words = words,
                                              .unit = "rpm",
                                              .show = SWL_SHOW_BLOWER_SPEED,
                                              .value = engine_rpm * check->drive_ratio,
                                              .limit = limit_rpm,
                                              .engine_rpm = engine_rpm,
                                              .on_map = true,
                                          });
    row->engine_rpm_at_limit = limit_rpm / check->drive_ratio;
    row->smallest_pulley_m = swl_drive_blower_pulley_m(&build->drive, build->blower.gear_ratio, engine_rpm, limit_rpm);
}

static void limits_speed(const swl_build *build, swl_check *check)
{
    double top_rpm = build->engine.speed_limit_rpm;
    double over_rpm = top_rpm + build->engine.over_rev_rpm;
    check->blower_rpm_at_limit = top_rpm * check->drive_ratio;
    check->blower_rpm_at_over_rev = over_rpm * check->drive_ratio;
    limit_speed(build, check, "continuous_speed", "blower speed at the rev limit", top_rpm,
                build->blower.continuous_rpm);
    limit_speed(build, check, "short_time_speed", "blower speed in an over-rev", over_rpm,
                build->blower.short_time_rpm);
    if (isnan(build->blower.short_time_rpm) && over_rpm > top_rpm) {
        limit_speed(build, check, "over_rev_speed", "over-rev, no short-time limit", over_rpm,
                    build->blower.continuous_rpm);
    }
}

/* A limit held against every row of the line. */
typedef struct line_limit {
    const char *name;
    const char *words;
    const char *unit;
    swl_show show;
    size_t offset; /* of the limit in swl_limit_values */
    swl_number_at value;
} line_limit;

#define GIVEN(member) offsetof(swl_limit_values, member)

static const line_limit line_limits[] = {
    {"boost", "boost", "Pa", SWL_SHOW_BOOST, GIVEN(boost_pa), SWL_OF_POINT(boost_pa)},
    {"pressure_ratio", "pressure ratio", "1", SWL_SHOW_RATIO, GIVEN(p_ratio), SWL_OF_POINT(p_ratio)},
    {"discharge_temperature", "discharge temperature", "K", SWL_SHOW_TEMPERATURE, GIVEN(t_discharge_k),
     SWL_OF_POINT(t2_k)},
    {"charge_temperature", "charge temperature", "K", SWL_SHOW_TEMPERATURE, GIVEN(t_charge_k), SWL_OF_POINT(t3_k)},
    {"drive_power", "drive power", "W", SWL_SHOW_POWER, GIVEN(p_drive_w), SWL_OF_POINT(p_shaft_w)},
    {"manifold_pressure_sensor", "manifold pressure sensor", "Pa", SWL_SHOW_PRESSURE, GIVEN(p_sensor_pa),
     SWL_OF_POINT(p3_pa)},
    {"mass_flow_sensor", "mass flow sensor", "kg/s", SWL_SHOW_MASS_FLOW, GIVEN(mdot_sensor_kg_s),
     SWL_OF_POINT(mdot_kg_s)},
};

/* The engine speed from which a limit is exceeded, to a hundredth of a rev/min; row is the first of the line that is
 * over it. */
static double exceeded_from_rpm(swl_match *match, const swl_check *check, size_t row, const line_limit *of,
                                double limit)
{
    double high_rpm = check->line[row].engine_rpm;
    double low_rpm = row == 0 ? high_rpm : check->line[row - 1].engine_rpm;
    while (high_rpm - low_rpm > 0.01) {
        double middle_rpm = (low_rpm + high_rpm) / 2;
        swl_point point = swl_match_point(match, middle_rpm);
        bool over = point.end == SWL_MATCH_SOLVED && swl_point_number(&point, of->value) > limit;
        *(over ? &high_rpm : &low_rpm) = middle_rpm;
    }
    return high_rpm;
}

static void limit_line(swl_match *match, swl_check *check, const line_limit *of, double limit)
{
    swl_limit_row row = {.name = of->name, .words = of->words, .unit = of->unit, .show = of->show, .limit = limit};
    row.value = -INFINITY;
    size_t first = check->line_count;
    for (size_t i = check->line_count; i-- > 0;) {
        double value = swl_point_number(&check->line[i], of->value);
        first = value > limit ? i : first;
        if (value >= row.value) {
            row.value = value;
            row.engine_rpm = check->line[i].engine_rpm;
            row.on_map = check->line[i].map_where == SWL_MAP_INSIDE;
        }
    }
    swl_limit_row *added = limit_add(check, row);
    if (match != NULL && added->verdict == SWL_EXCEEDED && first < check->line_count) {
        added->exceeded_from_rpm = exceeded_from_rpm(match, check, first, of, limit);
    }
}

static void limits_line(swl_match *match, const swl_limit_values *given, swl_check *check)
{
    for (size_t k = 0; k < sizeof line_limits / sizeof line_limits[0]; k++) {
        double limit = *(const double *)(const void *)((const char *)given + line_limits[k].offset);
        if (!isnan(limit)) {
            limit_line(match, check, &line_limits[k], limit);
        }
    }
}

/* Where a value comes nearest to its limit, or furthest over it, when both change along the line. */
static void limit_at_worst(swl_check *check, swl_limit_row row, size_t i, bool held, double value, double limit)
{
    row.value = value;
    row.limit = limit;
    row.engine_rpm = check->line[i].engine_rpm;
    row.on_map = check->line[i].map_where == SWL_MAP_INSIDE && !held;
    (void)limit_add(check, row);
}

/* Injectors against the time there is, and the pump against the fuel at the rail's pressure. */
static void limits_fuel(const swl_build *build, swl_check *check)
{
    if (!build->injection.given || check->basis.fuel == NULL) {
        return;
    }
    swl_supply worst_duty = {.duty_frac = -1};
    swl_supply worst_pump = {.pump_kg_s = INFINITY};
    size_t duty_at = 0;
    size_t pump_at = 0;
    for (size_t i = 0; i < check->line_count; i++) {
        swl_power power = swl_power_at(build, &check->basis, &check->line[i]);
        swl_supply supply = swl_supply_at(build, &check->basis, &check->line[i], &power);
        check->pump_held += (size_t)supply.pump_held;
        if (supply.duty_frac > worst_duty.duty_frac) {
            worst_duty = supply;
            duty_at = i;
        }
        if (supply.fuel_kg_s / supply.pump_kg_s > worst_pump.fuel_kg_s / worst_pump.pump_kg_s) {
            worst_pump = supply;
            pump_at = i;
        }
    }
    double duty_limit = isnan(build->limits.injector_duty_frac) ? 1 : build->limits.injector_duty_frac;
    limit_at_worst(
        check,
        (swl_limit_row){.name = "injector_duty", .words = "injector duty", .unit = "1", .show = SWL_SHOW_FRACTION},
        duty_at, false, worst_duty.duty_frac, duty_limit);
    if (build->injection.pump != NULL) {
        limit_at_worst(
            check,
            (swl_limit_row){
                .name = "fuel_pump", .words = "fuel pump at rail pressure", .unit = "kg/s", .show = SWL_SHOW_FUEL_FLOW},
            pump_at, worst_pump.pump_held != 0, worst_pump.fuel_kg_s, worst_pump.pump_kg_s);
    }
}

/* Without a solver the speeds from which limits are exceeded are not sought. */
static void limits_all(const swl_build *build, swl_match *match, swl_check *check)
{
    check->limit_count = 0;
    check->pump_held = 0;
    check->exceeded = false;
    check->drive_ratio = swl_drive_ratio(&build->drive, build->blower.gear_ratio);
    limits_speed(build, check);
    limits_line(match, &build->limits, check);
    limits_fuel(build, check);
}

void swl_check_limits(const swl_build *build, swl_check *check)
{
    limits_all(build, NULL, check);
}

swl_status swl_check_run(const swl_build *build, swl_check *check, swl_err *err)
{
    *check = (swl_check){0};
    const swl_engine *engine = &build->engine;
    bool sound = engine->speed_from_rpm > 0 && engine->speed_step_rpm > 0 &&
                 engine->speed_limit_rpm >= engine->speed_from_rpm && isfinite(engine->speed_limit_rpm);
    if (!sound) {
        return swl_err_set(err, SWL_ERR_USAGE,
                           "an operating line wants speed_limit at or above speed_from and a step above 0");
    }
    double rows = ceil((engine->speed_limit_rpm - engine->speed_from_rpm) / engine->speed_step_rpm - 1e-6) + 1;
    if (rows > SWL_LINE_ROWS_MAX) {
        return swl_err_set(err, SWL_ERR_USAGE, "the operating line would have %.0f rows; at most %d are accepted", rows,
                           SWL_LINE_ROWS_MAX);
    }
    check->line_count = line_rows(&build->engine);
    check->line = calloc(check->line_count, sizeof *check->line);
    check->power = calloc(check->line_count, sizeof *check->power);
    if (check->line == NULL || check->power == NULL) {
        swl_check_free(check);
        return swl_err_set(err, SWL_ERR_MEMORY, "out of memory for the operating line");
    }
    swl_match *match = swl_match_new(build, err);
    swl_status status = match == NULL ? SWL_ERR_MEMORY : line_solve(build, match, check, err);
    if (status != SWL_OK) {
        swl_match_free(match);
        swl_check_free(check);
        return status;
    }
    check->basis = swl_power_basis_of(build);
    for (size_t i = 0; i < check->line_count; i++) {
        check->power[i] = swl_power_at(build, &check->basis, &check->line[i]);
    }
    limits_all(build, match, check);
    swl_match_free(match);
    return SWL_OK;
}

swl_line_tally swl_check_tally(const swl_check *check)
{
    swl_line_tally tally = {.points = check->line_count};
    for (size_t i = 0; i < check->line_count; i++) {
        const swl_point *point = &check->line[i];
        tally.outside += point->map_where != SWL_MAP_INSIDE;
        for (unsigned k = 0; k < SWL_MAP_SIDES; k++) {
            tally.on_side[k] += (point->map_where >> k) & 1U;
        }
        tally.without_boost += point->boost_pa <= 0;
        tally.driven += point->p_shaft_w < 0;
    }
    return tally;
}

/* Steps that put three to ten marks on the line. */
static double mark_step_rpm(double span_rpm)
{
    static const double steps[] = {50, 100, 250, 500, 1000, 2000, 2500, 5000};
    size_t k = 0;
    while (k < 7 && span_rpm / steps[k] > 9) {
        k++;
    }
    return steps[k];
}

size_t swl_check_marks(swl_match *match, const swl_check *check, swl_point *marks)
{
    const swl_point *first = &check->line[0];
    const swl_point *last = &check->line[check->line_count - 1];
    double step_rpm = mark_step_rpm(last->engine_rpm - first->engine_rpm);
    size_t count = 0;
    marks[count++] = *first;
    for (long k = (long)floor(first->engine_rpm / step_rpm) + 1; count + 1 < SWL_MARKS_MAX; k++) {
        double rpm = (double)k * step_rpm;
        if (rpm > last->engine_rpm - 0.1 * step_rpm) {
            break;
        }
        swl_point point = swl_match_point(match, rpm);
        if (rpm > first->engine_rpm + 0.1 * step_rpm && point.end == SWL_MATCH_SOLVED) {
            marks[count++] = point;
        }
    }
    if (check->line_count > 1) {
        marks[count++] = *last;
    }
    return count;
}

void swl_check_free(swl_check *check)
{
    free(check->line);
    free(check->power);
    *check = (swl_check){0};
}

const char *swl_verdict_word(swl_verdict verdict)
{
    static const char *const words[] = {"kept", "close", "exceeded"};
    return words[verdict];
}
