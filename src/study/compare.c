#include "sweptline/compare.h"

#include <math.h>
#include <string.h>

/* Of the words of a table none is longer than 20 characters, so that six builds fit a page. */
const swl_compare_quantity swl_compare_values[SWL_COMPARE_VALUES] = {
    [SWL_COMPARE_RATIO] = {"pressure_ratio", "pressure ratio", SWL_SHOW_RATIO, SWL_BETTER_NEITHER, 0, 0.01},
    [SWL_COMPARE_BOOST_AT] = {"boost_pa", "boost", SWL_SHOW_BOOST, SWL_BETTER_NEITHER, 1000, 0},
    [SWL_COMPARE_AIR] = {"air_mass_flow_kg_s", "air flow", SWL_SHOW_MASS_FLOW, SWL_BETTER_MORE, 0, 0.01},
    [SWL_COMPARE_DISCHARGE] = {"discharge_temperature_k", "discharge", SWL_SHOW_TEMPERATURE, SWL_BETTER_LESS, 1, 0},
    [SWL_COMPARE_CHARGE] = {"charge_temperature_k", "charge", SWL_SHOW_TEMPERATURE, SWL_BETTER_LESS, 1, 0},
    [SWL_COMPARE_EFFICIENCY] = {"blower_adiabatic_efficiency", "adiabatic eff.", SWL_SHOW_FRACTION, SWL_BETTER_MORE,
                                0.01, 0},
    [SWL_COMPARE_DRIVE_POWER] = {"drive_power_w", "drive power", SWL_SHOW_POWER, SWL_BETTER_LESS, 0, 0.02},
    [SWL_COMPARE_DRIVE_TORQUE] = {"drive_torque_n_m", "drive torque", SWL_SHOW_TORQUE, SWL_BETTER_NEITHER, 0, 0.02},
    [SWL_COMPARE_CRANK_POWER] = {"crank_power_w", "crank power", SWL_SHOW_POWER, SWL_BETTER_MORE, 0, 0.01},
    [SWL_COMPARE_CRANK_TORQUE] = {"crank_torque_n_m", "crank torque", SWL_SHOW_TORQUE, SWL_BETTER_MORE, 0, 0.01},
    [SWL_COMPARE_WHEEL_POWER] = {"wheel_power_w", "wheel power", SWL_SHOW_POWER, SWL_BETTER_MORE, 0, 0.01},
    [SWL_COMPARE_BLOWER_SPEED] = {"blower_speed_rpm", "blower speed", SWL_SHOW_BLOWER_SPEED, SWL_BETTER_NEITHER, 0,
                                  0.01},
};

const swl_compare_quantity swl_compare_figures[SWL_FIGURES] = {
    [SWL_FIGURE_BOOST] = {"boost_peak_pa", "boost", SWL_SHOW_BOOST, SWL_BETTER_NEITHER, 1000, 0},
    [SWL_FIGURE_AIR] = {"air_mass_flow_peak_kg_s", "air flow", SWL_SHOW_MASS_FLOW, SWL_BETTER_MORE, 0, 0.01},
    [SWL_FIGURE_DISCHARGE] = {"discharge_temperature_peak_k", "discharge", SWL_SHOW_TEMPERATURE, SWL_BETTER_LESS, 1, 0},
    [SWL_FIGURE_CHARGE] = {"charge_temperature_peak_k", "charge", SWL_SHOW_TEMPERATURE, SWL_BETTER_LESS, 1, 0},
    [SWL_FIGURE_DRIVE_POWER] = {"drive_power_peak_w", "drive power", SWL_SHOW_POWER, SWL_BETTER_LESS, 0, 0.02},
    [SWL_FIGURE_CRANK_POWER] = {"crank_power_peak_w", "crank power", SWL_SHOW_POWER, SWL_BETTER_MORE, 0, 0.01},
    [SWL_FIGURE_WHEEL_POWER] = {"wheel_power_peak_w", "wheel power", SWL_SHOW_POWER, SWL_BETTER_MORE, 0, 0.01},
    [SWL_FIGURE_SPEED_MARGIN] = {"speed_margin_at_limit", "rev limit/continuous", SWL_SHOW_FRACTION, SWL_BETTER_MORE,
                                 0.01, 0},
    [SWL_FIGURE_OVER_REV_MARGIN] = {"speed_margin_at_over_rev", "over-rev/short-time", SWL_SHOW_FRACTION,
                                    SWL_BETTER_MORE, 0.01, 0},
    [SWL_FIGURE_OVER_REV_CONTINUOUS] = {"speed_margin_at_over_rev_continuous", "over-rev/continuous", SWL_SHOW_FRACTION,
                                        SWL_BETTER_MORE, 0.01, 0},
    [SWL_FIGURE_LEAST_MARGIN] = {"least_margin", "least of all limits", SWL_SHOW_FRACTION, SWL_BETTER_MORE, 0.01, 0},
    [SWL_FIGURE_EFFICIENCY_MEAN] = {"adiabatic_efficiency_mean", "mean", SWL_SHOW_FRACTION, SWL_BETTER_MORE, 0.01, 0},
    [SWL_FIGURE_EFFICIENCY_BEST] = {"adiabatic_efficiency_best", "best of the map", SWL_SHOW_FRACTION,
                                    SWL_BETTER_NEITHER, 0.01, 0},
    [SWL_FIGURE_SHARE_OWN_BEST] = {"share_near_own_best", "near its own best", SWL_SHOW_FRACTION, SWL_BETTER_MORE, 0.01,
                                   0},
    [SWL_FIGURE_SHARE_COMMON] = {"share_at_common_level", "at common level", SWL_SHOW_FRACTION, SWL_BETTER_MORE, 0.01,
                                 0},
    [SWL_FIGURE_SHARE_OUTSIDE] = {"share_outside_map", "outside the map", SWL_SHOW_FRACTION, SWL_BETTER_LESS, 0.01, 0},
};

static const swl_compare_value none = {.value = NAN, .engine_rpm = NAN, .on_map = true};

size_t swl_compare_speeds(const swl_build *const *builds, size_t count, double speeds_rpm[SWL_COMPARE_SPEEDS_MAX])
{
    static const double steps_rpm[] = {5000, 2500, 2000, 1000, 500, 250, 100, 50};
    double from_rpm = 0;
    double limit_rpm = INFINITY;
    for (size_t i = 0; i < count; i++) {
        from_rpm = fmax(from_rpm, builds[i]->engine.speed_from_rpm);
        limit_rpm = fmin(limit_rpm, builds[i]->engine.speed_limit_rpm);
    }
    if (!(from_rpm <= limit_rpm)) {
        return 0;
    }
    size_t n = 0;
    for (size_t s = 0; s < sizeof steps_rpm / sizeof steps_rpm[0] && n == 0; s++) {
        long first = (long)ceil(from_rpm / steps_rpm[s] - 1e-9);
        /* The limit has its own column, and one right before it would tell nothing more. */
        long last = (long)floor((limit_rpm - 0.04 * (limit_rpm - from_rpm)) / steps_rpm[s]);
        if (last - first >= 2) {
            speeds_rpm[n++] = (double)first * steps_rpm[s];
            long middle = (first + last + 1) / 2;
            speeds_rpm[n++] = (double)middle * steps_rpm[s];
            speeds_rpm[n++] = (double)last * steps_rpm[s];
        }
    }
    speeds_rpm[n++] = limit_rpm;
    return n;
}

/* Finds the pulley for the wish. Returns: SWL_OK, whether or not there is one; SWL_ERR_MEMORY. */
static swl_status solve_pulley(const swl_compare_wish *wish, swl_compare_build *one, swl_err *err)
{
    swl_pulley_goal goal = wish->goal == SWL_COMPARE_FLOW ? SWL_GOAL_FLOW
                           : isfinite(wish->engine_rpm)   ? SWL_GOAL_BOOST_AT
                                                          : SWL_GOAL_BOOST_PEAK;
    double at_rpm = isfinite(wish->engine_rpm) ? wish->engine_rpm : one->build.engine.speed_limit_rpm;
    swl_err own = {0};
    swl_status status = swl_pulley_find(&one->build, SWL_PULLEY_BLOWER, goal, wish->value, at_rpm, &one->found, &own);
    if (status == SWL_OK) {
        one->build.drive.d_blower_m = one->found.exact_m;
    }
    return status == SWL_ERR_SOLVE ? SWL_OK : status == SWL_OK ? status : swl_err_set(err, status, "%s", own.text);
}

static void values_at(swl_compare_value *values, const swl_point *point, const swl_power *power)
{
    const double found[SWL_COMPARE_VALUES] = {
        [SWL_COMPARE_RATIO] = point->p_ratio,         [SWL_COMPARE_BOOST_AT] = point->boost_pa,
        [SWL_COMPARE_AIR] = point->mdot_kg_s,         [SWL_COMPARE_DISCHARGE] = point->t2_k,
        [SWL_COMPARE_CHARGE] = point->t3_k,           [SWL_COMPARE_EFFICIENCY] = point->ea_frac,
        [SWL_COMPARE_DRIVE_POWER] = point->p_shaft_w, [SWL_COMPARE_DRIVE_TORQUE] = point->torque_nm,
        [SWL_COMPARE_CRANK_POWER] = power->crank_w,   [SWL_COMPARE_CRANK_TORQUE] = power->crank_torque_nm,
        [SWL_COMPARE_WHEEL_POWER] = power->wheel_w,   [SWL_COMPARE_BLOWER_SPEED] = point->blower_rpm,
    };
    for (size_t q = 0; q < SWL_COMPARE_VALUES; q++) {
        values[q] = (swl_compare_value){
            .value = found[q], .engine_rpm = point->engine_rpm, .on_map = point->map_where == SWL_MAP_INSIDE};
    }
}

/* The highest of each value over the line's rows. */
static void figures_line(swl_compare_build *one)
{
    static const int pairs[][2] = {
        {SWL_FIGURE_BOOST, SWL_COMPARE_BOOST_AT},          {SWL_FIGURE_AIR, SWL_COMPARE_AIR},
        {SWL_FIGURE_DISCHARGE, SWL_COMPARE_DISCHARGE},     {SWL_FIGURE_CHARGE, SWL_COMPARE_CHARGE},
        {SWL_FIGURE_DRIVE_POWER, SWL_COMPARE_DRIVE_POWER}, {SWL_FIGURE_CRANK_POWER, SWL_COMPARE_CRANK_POWER},
        {SWL_FIGURE_WHEEL_POWER, SWL_COMPARE_WHEEL_POWER},
    };
    for (size_t i = 0; i < one->check.line_count; i++) {
        swl_compare_value values[SWL_COMPARE_VALUES];
        values_at(values, &one->check.line[i], &one->check.power[i]);
        one->points_outside += one->check.line[i].map_where != SWL_MAP_INSIDE;
        for (size_t k = 0; k < sizeof pairs / sizeof pairs[0]; k++) {
            swl_compare_value *highest = &one->figures[pairs[k][0]];
            const swl_compare_value *here = &values[pairs[k][1]];
            if (isnan(highest->value) || here->value > highest->value) {
                *highest = *here;
            }
        }
    }
}

static void figures_limits(swl_compare_build *one)
{
    const swl_check *check = &one->check;
    const swl_blower *blower = &one->build.blower;
    const swl_engine *engine = &one->build.engine;
    double over_rpm = engine->speed_limit_rpm + engine->over_rev_rpm;
    one->figures[SWL_FIGURE_SPEED_MARGIN].value = 1 - check->blower_rpm_at_limit / blower->continuous_rpm;
    one->figures[SWL_FIGURE_SPEED_MARGIN].engine_rpm = engine->speed_limit_rpm;
    one->figures[SWL_FIGURE_OVER_REV_MARGIN].value = 1 - check->blower_rpm_at_over_rev / blower->short_time_rpm;
    one->figures[SWL_FIGURE_OVER_REV_MARGIN].engine_rpm = over_rpm;
    one->figures[SWL_FIGURE_OVER_REV_CONTINUOUS].value = 1 - check->blower_rpm_at_over_rev / blower->continuous_rpm;
    one->figures[SWL_FIGURE_OVER_REV_CONTINUOUS].engine_rpm = over_rpm;
    for (size_t i = 0; i < check->limit_count; i++) {
        const swl_limit_row *row = &check->limits[i];
        swl_compare_value *least = &one->figures[SWL_FIGURE_LEAST_MARGIN];
        one->exceeded += row->verdict == SWL_EXCEEDED;
        if (isnan(least->value) || row->margin_frac < least->value) {
            *least =
                (swl_compare_value){.value = row->margin_frac, .engine_rpm = row->engine_rpm, .on_map = row->on_map};
            one->least_margin = row->name;
        }
    }
}

static double best_of_map_frac(const swl_blower *blower)
{
    double best_frac = 0;
    for (size_t k = 0; k < swl_map_line_count(blower->map); k++) {
        swl_map_line line = swl_map_line_at(blower->map, k);
        for (size_t i = 0; i < line.count; i++) {
            best_frac = fmax(best_frac, line.ea_frac[i] * blower->ea_factor);
        }
    }
    return best_frac;
}

/* Shares of the rev range and the mean efficiency, each from the middles of equal spans of engine speed. */
static swl_status figures_shares(swl_compare_build *one, double level_frac, swl_err *err)
{
    const swl_engine *engine = &one->build.engine;
    double own_frac = one->figures[SWL_FIGURE_EFFICIENCY_BEST].value - SWL_COMPARE_ISLAND_FRAC;
    swl_match *match = swl_match_new(&one->build, err);
    if (match == NULL) {
        return SWL_ERR_MEMORY;
    }
    size_t outside = 0;
    size_t own = 0;
    size_t common = 0;
    size_t points = 0;
    double sum_frac = 0;
    for (size_t i = 0; i < SWL_COMPARE_SPANS; i++) {
        double share = ((double)i + 0.5) / SWL_COMPARE_SPANS;
        swl_point point =
            swl_match_point(match, engine->speed_from_rpm + share * (engine->speed_limit_rpm - engine->speed_from_rpm));
        bool inside = point.end == SWL_MATCH_SOLVED && point.map_where == SWL_MAP_INSIDE;
        outside += !inside;
        own += inside && point.ea_frac >= own_frac;
        common += inside && point.ea_frac >= level_frac - 1e-12;
        points += point.end == SWL_MATCH_SOLVED;
        sum_frac += point.end == SWL_MATCH_SOLVED ? point.ea_frac : 0;
    }
    swl_match_free(match);
    one->figures[SWL_FIGURE_SHARE_OUTSIDE].value = (double)outside / SWL_COMPARE_SPANS;
    one->figures[SWL_FIGURE_SHARE_OWN_BEST].value = (double)own / SWL_COMPARE_SPANS;
    one->figures[SWL_FIGURE_SHARE_COMMON].value = (double)common / SWL_COMPARE_SPANS;
    one->figures[SWL_FIGURE_EFFICIENCY_MEAN].value = points == 0 ? (double)NAN : sum_frac / (double)points;
    /* Ten points of efficiency off over a tenth of the range move the mean by the one point that counts. */
    one->figures[SWL_FIGURE_EFFICIENCY_MEAN].on_map = outside <= SWL_COMPARE_SPANS / 10;
    return SWL_OK;
}

/* The point that the pulley was solved on. */
static swl_status solved_on(const swl_compare *compare, swl_compare_build *one, swl_err *err)
{
    const swl_compare_wish *wish = &compare->wish;
    const swl_compare_value *peak = &one->figures[SWL_FIGURE_BOOST];
    one->solved_rpm = wish->goal == SWL_COMPARE_FLOW ? one->build.engine.speed_limit_rpm
                      : isnan(wish->engine_rpm)      ? peak->engine_rpm
                                                     : wish->engine_rpm;
    swl_match *match = swl_match_new(&one->build, err);
    if (match == NULL) {
        return SWL_ERR_MEMORY;
    }
    one->solved_on_map = swl_match_point(match, one->solved_rpm).map_where == SWL_MAP_INSIDE;
    swl_match_free(match);
    return SWL_OK;
}

static swl_status solve_speeds(const swl_compare *compare, swl_compare_build *one, swl_err *err)
{
    swl_match *match = swl_match_new(&one->build, err);
    if (match == NULL) {
        return SWL_ERR_MEMORY;
    }
    for (size_t k = 0; k < compare->speed_count; k++) {
        swl_point point = swl_match_point(match, compare->speeds_rpm[k]);
        if (point.end == SWL_MATCH_SOLVED) {
            swl_power power = swl_power_at(&one->build, &one->check.basis, &point);
            values_at(one->at[k], &point, &power);
        }
    }
    swl_match_free(match);
    return SWL_OK;
}

static swl_status solve_build(const swl_compare *compare, swl_compare_build *one, swl_err *err)
{
    swl_status status = SWL_OK;
    one->figures[SWL_FIGURE_EFFICIENCY_BEST].value = best_of_map_frac(&one->build.blower);
    if (compare->wish.goal != SWL_COMPARE_AS_FITTED) {
        status = solve_pulley(&compare->wish, one, err);
    }
    if (status != SWL_OK || one->found.stop != SWL_STOP_FOUND) {
        return status;
    }
    swl_err own = {0};
    status = swl_check_run(&one->build, &one->check, &own);
    if (status == SWL_ERR_SOLVE) {
        memcpy(one->failure, own.text, sizeof one->failure);
        return SWL_OK;
    }
    if (status != SWL_OK) {
        return swl_err_set(err, status, "%s", own.text);
    }
    one->solved = true;
    figures_line(one);
    figures_limits(one);
    if (compare->wish.goal != SWL_COMPARE_AS_FITTED) {
        status = solved_on(compare, one, err);
    }
    return status == SWL_OK ? solve_speeds(compare, one, err) : status;
}

/* Nothing is solved outside a rev range. */
static swl_status speed_check(const swl_build *const *builds, size_t count, double speed_rpm, swl_err *err)
{
    for (size_t i = 0; i < count; i++) {
        const swl_engine *engine = &builds[i]->engine;
        if (!(speed_rpm >= engine->speed_from_rpm && speed_rpm <= engine->speed_limit_rpm)) {
            return swl_err_set(err, SWL_ERR_USAGE,
                               "an engine speed of %.6g rpm lies outside the rev range of `%s`; %.6g to %.6g rpm is "
                               "accepted for it",
                               speed_rpm, builds[i]->name, engine->speed_from_rpm, engine->speed_limit_rpm);
        }
    }
    return SWL_OK;
}

static swl_status speeds_check(const swl_build *const *builds, size_t count, const swl_compare_wish *wish,
                               const double *speeds_rpm, size_t speed_count, swl_err *err)
{
    if (count < SWL_COMPARE_LEAST || count > SWL_COMPARE_MOST) {
        return swl_err_set(err, SWL_ERR_USAGE, "%zu builds; %d to %d are accepted", count, SWL_COMPARE_LEAST,
                           SWL_COMPARE_MOST);
    }
    if (speed_count < 1 || speed_count > SWL_COMPARE_SPEEDS_MAX) {
        return swl_err_set(err, SWL_ERR_USAGE, "%zu engine speeds; 1 to %d are accepted", speed_count,
                           SWL_COMPARE_SPEEDS_MAX);
    }
    swl_status status = SWL_OK;
    if (wish->goal == SWL_COMPARE_BOOST && isfinite(wish->engine_rpm)) {
        status = speed_check(builds, count, wish->engine_rpm, err);
    }
    for (size_t k = 0; k < speed_count && status == SWL_OK; k++) {
        status = speed_check(builds, count, speeds_rpm[k], err);
    }
    return status;
}

static void build_begin(swl_compare_build *one, const swl_build *given)
{
    *one = (swl_compare_build){
        .build = *given, .fitted_m = given->drive.d_blower_m, .solved_rpm = NAN, .solved_on_map = true};
    for (size_t q = 0; q < SWL_FIGURES; q++) {
        one->figures[q] = none;
    }
    for (size_t k = 0; k < SWL_COMPARE_SPEEDS_MAX; k++) {
        for (size_t q = 0; q < SWL_COMPARE_VALUES; q++) {
            one->at[k][q] = none;
        }
    }
}

swl_status swl_compare_run(const swl_build *const *builds, size_t count, const swl_compare_wish *wish,
                           const double *speeds_rpm, size_t speed_count, swl_compare *compare, swl_err *err)
{
    *compare = (swl_compare){.wish = *wish};
    swl_status status = speeds_check(builds, count, wish, speeds_rpm, speed_count, err);
    if (status != SWL_OK) {
        return status;
    }
    compare->count = count;
    compare->first = count;
    compare->speed_count = speed_count;
    memcpy(compare->speeds_rpm, speeds_rpm, speed_count * sizeof *speeds_rpm);
    double reached_frac = 1;
    for (size_t i = 0; i < count && status == SWL_OK; i++) {
        swl_compare_build *one = &compare->builds[i];
        build_begin(one, builds[i]);
        status = solve_build(compare, one, err);
        compare->first = one->solved && compare->first == count ? i : compare->first;
        compare->solved += one->solved;
        reached_frac = fmin(reached_frac, one->figures[SWL_FIGURE_EFFICIENCY_BEST].value);
    }
    compare->common_level_frac = floor(reached_frac / SWL_COMPARE_LEVEL_STEP_FRAC + 1e-9) * SWL_COMPARE_LEVEL_STEP_FRAC;
    for (size_t i = 0; i < count && status == SWL_OK; i++) {
        if (compare->builds[i].solved) {
            status = figures_shares(&compare->builds[i], compare->common_level_frac, err);
        }
    }
    if (status != SWL_OK) {
        swl_compare_free(compare);
        return status;
    }
    return compare->solved > 0 ? SWL_OK : swl_err_set(err, SWL_ERR_SOLVE, "none of the builds has an operating line");
}

void swl_compare_free(swl_compare *compare)
{
    for (size_t i = 0; i < compare->count; i++) {
        swl_check_free(&compare->builds[i].check);
    }
    *compare = (swl_compare){0};
}

bool swl_compare_differ(const swl_compare_quantity *quantity, double a, double b)
{
    double share = quantity->resolution_share * fmax(fabs(a), fabs(b));
    return fabs(a - b) > fmax(quantity->resolution, share);
}

size_t swl_compare_best(const swl_compare_quantity *quantity, const swl_compare_value *const *values, size_t count)
{
    size_t best = count;
    for (size_t i = 0; i < count && quantity->better != SWL_BETTER_NEITHER; i++) {
        double value = values[i]->value;
        /* What is not known of one, or only guessed, may be better than all. */
        if (isnan(value) || !values[i]->on_map) {
            return count;
        }
        bool more = best < count && value > values[best]->value;
        bool less = best < count && value < values[best]->value;
        best = best == count || (quantity->better == SWL_BETTER_MORE ? more : less) ? i : best;
    }
    if (count < 2 || best == count) {
        return count;
    }
    for (size_t i = 0; i < count; i++) {
        if (i != best && !swl_compare_differ(quantity, values[i]->value, values[best]->value)) {
            return count;
        }
    }
    return best;
}
