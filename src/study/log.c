#include "sweptline/log.h"

#include "study/log_fit.h"

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_fit.h>
#include <math.h>
#include <stdlib.h>

/* Predicted boost over the site's pressure from which hardly any measured boost is suspect by itself. */
#define GAUGE_BOOST_SHARE 0.1

double swl_log_sigma(swl_log_kind kind, double predicted)
{
    switch (kind) {
    case SWL_LOG_MANIFOLD_PRESSURE:
    case SWL_LOG_INLET_PRESSURE:
        return 0.01 * fabs(predicted);
    case SWL_LOG_CHARGE_TEMPERATURE:
    case SWL_LOG_DISCHARGE_TEMPERATURE:
        return 3;
    case SWL_LOG_MASS_FLOW:
    case SWL_LOG_CRANK_POWER:
    case SWL_LOG_WHEEL_POWER:
    case SWL_LOG_KINDS:
        break;
    }
    return 0.03 * fabs(predicted);
}

void swl_log_predict(const swl_build *build, const swl_power_basis *basis, const swl_point *point,
                     double predicted[SWL_LOG_KINDS])
{
    const swl_power power = swl_power_at(build, basis, point);
    predicted[SWL_LOG_MANIFOLD_PRESSURE] = point->p3_pa;
    predicted[SWL_LOG_CHARGE_TEMPERATURE] = point->t3_k;
    predicted[SWL_LOG_MASS_FLOW] = point->mdot_kg_s;
    predicted[SWL_LOG_INLET_PRESSURE] = point->p1_pa;
    predicted[SWL_LOG_DISCHARGE_TEMPERATURE] = point->t2_k;
    predicted[SWL_LOG_CRANK_POWER] = power.crank_w;
    predicted[SWL_LOG_WHEEL_POWER] = power.wheel_w;
}

static bool is_temperature(size_t kind)
{
    return kind == SWL_LOG_CHARGE_TEMPERATURE || kind == SWL_LOG_DISCHARGE_TEMPERATURE;
}

/* Whether a row is one to lay over the prediction; one that is not is counted. */
static bool row_is_used(const swl_build *build, const swl_run *run, const swl_run_row *row, swl_log *log)
{
    bool wide_open = !run->has_throttle || row->throttle_frac >= SWL_RUN_WIDE_OPEN_FRAC;
    bool inside = row->engine_rpm >= build->engine.speed_from_rpm && row->engine_rpm <= build->engine.speed_limit_rpm;
    log->part_throttle += !wide_open;
    log->outside += wide_open && !inside;
    return wide_open && inside;
}

/* Where a measured flow and pressure stand on the map. The pressure ratio takes the predicted loss of the cooler, and
 * the predicted inlet pressure where none was measured. */
static void row_place(const swl_build *build, const swl_match *match, const swl_point *point, swl_log_row *row)
{
    const double *value = row->measured->value;
    double p1_pa = isnan(value[SWL_LOG_INLET_PRESSURE]) ? point->p1_pa : value[SWL_LOG_INLET_PRESSURE];
    double p2_pa = value[SWL_LOG_MANIFOLD_PRESSURE] + point->p2_pa - point->p3_pa;
    double vdot1_m3_s = value[SWL_LOG_MASS_FLOW] * swl_match_air(match)->r_j_kg_k * point->t1_k / p1_pa;
    row->p_ratio = p2_pa / p1_pa;
    row->map_vdot_m3_s = vdot1_m3_s * sqrt(build->blower.t_map_k / point->t1_k);
}

static swl_status rows_solve(const swl_build *build, const swl_run *run, swl_log *log, swl_err *err)
{
    log->rows = calloc(run->count, sizeof *log->rows);
    swl_match *match = swl_match_new(build, err);
    if (log->rows == NULL || match == NULL) {
        swl_match_free(match);
        return swl_err_set(err, SWL_ERR_MEMORY, "out of memory for the run");
    }
    const swl_power_basis basis = swl_power_basis_of(build);
    double ratio = swl_drive_ratio(&build->drive, build->blower.gear_ratio);
    for (size_t i = 0; i < run->count; i++) {
        if (!row_is_used(build, run, &run->rows[i], log)) {
            continue;
        }
        swl_point point = swl_match_point(match, run->rows[i].engine_rpm);
        if (point.end != SWL_MATCH_SOLVED) {
            log->unsolved++;
            continue;
        }
        swl_log_row *row = &log->rows[log->count++];
        *row = (swl_log_row){.measured = &run->rows[i],
                             .blower_rpm = point.blower_rpm,
                             .blower_rpm_free = point.engine_rpm * ratio,
                             .on_map = point.map_where == SWL_MAP_INSIDE};
        swl_log_predict(build, &basis, &point, row->predicted);
        row_place(build, match, &point, row);
        log->off_map += !row->on_map;
    }
    swl_match_free(match);
    if (log->count == 0) {
        return swl_err_set(err, SWL_ERR_INPUT,
                           "no row of the run can be used: %zu are not at wide open (throttle of 95 %% or more), %zu "
                           "are outside the rev range of %.0f to %.0f rpm, %zu have no operating point",
                           log->part_throttle, log->outside, build->engine.speed_from_rpm,
                           build->engine.speed_limit_rpm, log->unsolved);
    }
    return SWL_OK;
}

/* Measured less predicted; NAN where one is missing. */
static double row_residual(const swl_log_row *row, size_t kind)
{
    return row->measured->value[kind] - row->predicted[kind];
}

static void residuals_fill(swl_log *log)
{
    for (size_t k = 0; k < SWL_LOG_KINDS; k++) {
        swl_log_residual *sum = &log->residuals[k];
        for (size_t i = 0; i < log->count; i++) {
            double left = row_residual(&log->rows[i], k);
            if (isnan(left)) {
                continue;
            }
            double predicted = log->rows[i].predicted[k];
            sum->count++;
            sum->mean += left;
            sum->mean_frac += is_temperature(k) ? (double)NAN : left / predicted;
            sum->rms += left * left;
            sum->sigma_mean += swl_log_sigma((swl_log_kind)k, predicted);
            if (sum->count == 1 || fabs(left) > fabs(sum->worst)) {
                sum->worst = left;
                sum->worst_rpm = log->rows[i].measured->engine_rpm;
            }
        }
        log->has[k] = sum->count > 0;
        double n = (double)sum->count;
        sum->mean /= n;
        sum->mean_frac /= n;
        sum->rms = sqrt(sum->rms / n);
        sum->sigma_mean /= n;
    }
}

/* The width of a bin: a round step that makes at most 24 of the rev range. */
static double bin_width_rpm(const swl_engine *engine)
{
    static const double steps[] = {25, 50, 100, 250, 500, 1000};
    size_t k = 0;
    while (k < 5 && (engine->speed_limit_rpm - engine->speed_from_rpm) / steps[k] > 24) {
        k++;
    }
    return steps[k];
}

static int compare_rows(const void *a, const void *b)
{
    const swl_log_row *left = a;
    const swl_log_row *right = b;
    double d = left->measured->engine_rpm - right->measured->engine_rpm;
    return d < 0 ? -1 : d > 0 ? 1 : left->measured->line - right->measured->line;
}

static void bin_value(swl_log_bin *bin, const swl_log_row *row, size_t kind, size_t *counts)
{
    double value = row->measured->value[kind];
    double predicted = row->predicted[kind];
    if (isnan(value) || isnan(predicted)) {
        return;
    }
    double n = (double)++counts[kind];
    bool first = counts[kind] == 1;
    bin->measured[kind] = first ? value : bin->measured[kind] + (value - bin->measured[kind]) / n;
    bin->predicted[kind] = first ? predicted : bin->predicted[kind] + (predicted - bin->predicted[kind]) / n;
    bin->low[kind] = first ? value : fmin(bin->low[kind], value);
    bin->high[kind] = first ? value : fmax(bin->high[kind], value);
}

static void bin_fill(swl_log_bin *bin, const swl_log_row *rows, size_t count)
{
    size_t counts[SWL_LOG_KINDS] = {0};
    size_t placed = 0;
    double vdot_m3_s = 0;
    double p_ratio = 0;
    *bin = (swl_log_bin){.count = count};
    for (size_t k = 0; k < SWL_LOG_KINDS; k++) {
        bin->measured[k] = bin->low[k] = bin->high[k] = bin->predicted[k] = NAN;
    }
    for (size_t i = 0; i < count; i++) {
        bin->engine_rpm += rows[i].measured->engine_rpm / (double)count;
        for (size_t k = 0; k < SWL_LOG_KINDS; k++) {
            bin_value(bin, &rows[i], k, counts);
        }
        if (!isnan(rows[i].map_vdot_m3_s)) {
            placed++;
            vdot_m3_s += rows[i].map_vdot_m3_s;
            p_ratio += rows[i].p_ratio;
        }
    }
    bin->map_vdot_m3_s = placed > 0 ? vdot_m3_s / (double)placed : (double)NAN;
    bin->p_ratio = placed > 0 ? p_ratio / (double)placed : (double)NAN;
}

/* Rows whose engine speeds round to the same multiple of the width make a bin. Rows stand by engine speed. */
static void bins_fill(const swl_build *build, swl_log *log)
{
    double width_rpm = bin_width_rpm(&build->engine);
    for (size_t from = 0; from < log->count && log->bin_count < SWL_LOG_BINS_MAX;) {
        double multiple = round(log->rows[from].measured->engine_rpm / width_rpm);
        size_t to = from + 1;
        while (to < log->count && round(log->rows[to].measured->engine_rpm / width_rpm) <= multiple) {
            to++;
        }
        bin_fill(&log->bins[log->bin_count++], &log->rows[from], to - from);
        from = to;
    }
}

/* The share by which the pressure is off, over blower speed. */
static swl_status shape_fill(swl_log *log, swl_err *err)
{
    swl_log_shape *shape = &log->shape;
    double *x = calloc(2 * log->count, sizeof *x);
    if (x == NULL) {
        return swl_err_set(err, SWL_ERR_MEMORY, "out of memory for the run");
    }
    double *y = x + log->count;
    shape->low_rpm = log->rows[0].blower_rpm_free;
    shape->high_rpm = log->rows[log->count - 1].blower_rpm_free;
    double counts[3] = {0, 0, 0};
    for (size_t i = 0; i < log->count; i++) {
        double left_pa = row_residual(&log->rows[i], SWL_LOG_MANIFOLD_PRESSURE);
        x[i] = log->rows[i].blower_rpm_free;
        y[i] = left_pa / log->rows[i].predicted[SWL_LOG_MANIFOLD_PRESSURE];
        double place = (x[i] - shape->low_rpm) / (shape->high_rpm - shape->low_rpm);
        size_t third = place >= 2.0 / 3 ? 2 : place >= 1.0 / 3 ? 1 : 0;
        counts[third] += 1;
        shape->third_frac[third] += y[i];
        shape->third_pa[third] += left_pa;
    }
    for (size_t t = 0; t < 3; t++) {
        shape->third_frac[t] /= counts[t];
        shape->third_pa[t] /= counts[t];
    }
    shape->slope_frac_rpm = NAN;
    shape->slope_half_width = NAN;
    if (log->count > 2 && shape->high_rpm > shape->low_rpm) {
        double c0 = 0;
        double cov[3] = {0, 0, 0};
        double sum = 0;
        (void)gsl_fit_linear(x, 1, y, 1, log->count, &c0, &shape->slope_frac_rpm, &cov[0], &cov[1], &cov[2], &sum);
        shape->slope_half_width =
            gsl_cdf_tdist_Pinv(0.5 + SWL_LOG_CONFIDENCE / 2, (double)(log->count - 2)) * sqrt(cov[2]);
    }
    free(x);
    return SWL_OK;
}

/* Whether a row speaks for gauge and absolute mixed up. A gauge reading in an absolute column shows hardly any boost
 * where much is predicted, also when the real boost is far above the prediction. */
static bool row_is_mixed_up(const swl_log_row *row, double site_pa, bool from_boost)
{
    double boost_pa = row->measured->value[SWL_LOG_MANIFOLD_PRESSURE] - site_pa;
    double predicted_pa = row->predicted[SWL_LOG_MANIFOLD_PRESSURE] - site_pa;
    double left_pa = boost_pa - predicted_pa;
    if (from_boost) {
        return boost_pa >= site_pa && left_pa > site_pa / 2;
    }
    return left_pa < -site_pa / 2 || (predicted_pa > GAUGE_BOOST_SHARE * site_pa && boost_pa < predicted_pa / 4);
}

/* Finds gauge and absolute mixed up. Such a row has no place on the map. */
static void gauge_find(const swl_build *build, const swl_run *run, swl_log *log)
{
    size_t mixed_up = 0;
    for (size_t i = 0; i < log->count; i++) {
        mixed_up += row_is_mixed_up(&log->rows[i], build->site.p_pa, run->from_boost);
    }
    log->gauge = 2 * mixed_up <= log->count ? 0 : run->from_boost ? 1 : -1;
    for (size_t i = 0; log->gauge != 0 && i < log->count; i++) {
        log->rows[i].map_vdot_m3_s = NAN;
        log->rows[i].p_ratio = NAN;
    }
}

/* Effectiveness straight from both measured temperatures, with no model of the compression in between. */
static void cooler_fill(const swl_build *build, swl_log *log)
{
    size_t n = 0;
    double mean = 0;
    double square = 0;
    for (size_t i = 0; i < log->count; i++) {
        const double *value = log->rows[i].measured->value;
        double share = (value[SWL_LOG_DISCHARGE_TEMPERATURE] - value[SWL_LOG_CHARGE_TEMPERATURE]) /
                       (value[SWL_LOG_DISCHARGE_TEMPERATURE] - build->cooler.t_coolant_k);
        if (isfinite(share) && build->cooler.t_coolant_k > 0) {
            n++;
            double step = share - mean;
            mean += step / (double)n;
            square += step * (share - mean);
        }
    }
    log->cooler_frac = n > 2 ? mean : (double)NAN;
    log->cooler_half_width = n > 2 ? gsl_cdf_tdist_Pinv(0.5 + SWL_LOG_CONFIDENCE / 2, (double)(n - 1)) *
                                         sqrt(square / (double)(n - 1) / (double)n)
                                   : (double)NAN;
}

static void limit_add(swl_log *log, swl_log_limit out)
{
    swl_limit_row *row = &out.row;
    row->on_map = true;
    row->smallest_pulley_m = NAN;
    row->margin_frac = out.judged ? (row->limit - row->value) / row->limit : (double)NAN;
    row->verdict = out.over > 0 ? SWL_EXCEEDED : row->margin_frac < SWL_CLOSE_MARGIN_FRAC ? SWL_CLOSE : SWL_KEPT;
    log->exceeded = log->exceeded || (out.judged && out.over > 0);
    log->unjudged = log->unjudged || !out.judged;
    log->limits[log->limit_count++] = out;
}

/* A reading at its limit but for rounding is not over it, as in a check. */
static bool is_over(double value, double limit)
{
    return value > limit + 1e-12 * fabs(limit);
}

/* A limit against one measured quantity; shift is taken off the reading first. Every row counts. */
static void limit_hold(const swl_build *build, const swl_run *run, swl_log *log, swl_limit_row limit, swl_log_kind kind)
{
    double shift = limit.show == SWL_SHOW_BOOST ? build->site.p_pa : 0;
    bool judged = kind != SWL_LOG_MANIFOLD_PRESSURE || log->gauge == 0;
    swl_log_limit out = {.row = limit, .judged = judged, .otherwise = NAN};
    out.row.value = -INFINITY;
    for (size_t i = 0; i < run->count; i++) {
        double value = run->rows[i].value[kind] - shift;
        out.over += is_over(value, limit.limit);
        if (value > out.row.value) {
            out.row.value = value;
            out.row.engine_rpm = run->rows[i].engine_rpm;
            out.line = run->rows[i].line;
        }
    }
    if (isnan(limit.limit) || !isfinite(out.row.value)) {
        return;
    }
    out.row.engine_rpm_at_limit = NAN;
    if (!judged) {
        out.otherwise = out.row.value - log->gauge * build->site.p_pa;
    }
    limit_add(log, out);
}

/* The rotors without slip at the highest engine speed of the run up to a given one, against a limit. */
static void limit_speed(const swl_build *build, const swl_run *run, swl_log *log, swl_limit_row limit, double up_to_rpm)
{
    double ratio = swl_drive_ratio(&build->drive, build->blower.gear_ratio);
    swl_log_limit out = {.row = limit, .judged = true, .otherwise = NAN};
    out.row.unit = "rpm";
    out.row.show = SWL_SHOW_BLOWER_SPEED;
    out.row.engine_rpm_at_limit = limit.limit / ratio;
    for (size_t i = 0; i < run->count; i++) {
        double rpm = run->rows[i].engine_rpm * ratio;
        bool held = run->rows[i].engine_rpm <= up_to_rpm;
        out.over += held && is_over(rpm, limit.limit);
        if (held && rpm > out.row.value) {
            out.row.value = rpm;
            out.row.engine_rpm = run->rows[i].engine_rpm;
            out.line = run->rows[i].line;
        }
    }
    if (!isnan(limit.limit) && out.row.value > 0) {
        limit_add(log, out);
    }
}

/* As in a check: the continuous limit up to the rev limit, the short-time one wherever the run went; without a
 * short-time limit the continuous one holds everywhere. */
static void limits_speed(const swl_build *build, const swl_run *run, swl_log *log)
{
    const swl_blower *blower = &build->blower;
    bool moments = !isnan(blower->short_time_rpm);
    const swl_limit_row continuous = {.name = "continuous_speed",
                                      .words =
                                          moments ? "blower speed up to the rev limit" : "blower speed at its highest",
                                      .limit = blower->continuous_rpm};
    const swl_limit_row short_time = {
        .name = "short_time_speed", .words = "blower speed at its highest", .limit = blower->short_time_rpm};
    limit_speed(build, run, log, continuous, moments ? build->engine.speed_limit_rpm : (double)INFINITY);
    limit_speed(build, run, log, short_time, INFINITY);
}

static void limits_hold(const swl_build *build, const swl_run *run, swl_log *log)
{
    const swl_limit_values *given = &build->limits;
    const swl_limit_row boost = {
        .name = "boost", .words = "boost", .unit = "Pa", .show = SWL_SHOW_BOOST, .limit = given->boost_pa};
    const swl_limit_row discharge = {.name = "discharge_temperature",
                                     .words = "discharge temperature",
                                     .unit = "K",
                                     .show = SWL_SHOW_TEMPERATURE,
                                     .limit = given->t_discharge_k};
    const swl_limit_row charge = {.name = "charge_temperature",
                                  .words = "charge temperature",
                                  .unit = "K",
                                  .show = SWL_SHOW_TEMPERATURE,
                                  .limit = given->t_charge_k};
    const swl_limit_row sensor = {.name = "manifold_pressure_sensor",
                                  .words = "manifold pressure sensor",
                                  .unit = "Pa",
                                  .show = SWL_SHOW_PRESSURE,
                                  .limit = given->p_sensor_pa};
    const swl_limit_row flow = {.name = "mass_flow_sensor",
                                .words = "mass flow sensor",
                                .unit = "kg/s",
                                .show = SWL_SHOW_MASS_FLOW,
                                .limit = given->mdot_sensor_kg_s};
    limit_hold(build, run, log, boost, SWL_LOG_MANIFOLD_PRESSURE);
    limit_hold(build, run, log, discharge, SWL_LOG_DISCHARGE_TEMPERATURE);
    limit_hold(build, run, log, charge, SWL_LOG_CHARGE_TEMPERATURE);
    limit_hold(build, run, log, sensor, SWL_LOG_MANIFOLD_PRESSURE);
    limit_hold(build, run, log, flow, SWL_LOG_MASS_FLOW);
    limits_speed(build, run, log);
}

swl_status swl_log_run(const swl_build *build, const swl_run *run, swl_log *log, swl_err *err)
{
    *log = (swl_log){0};
    swl_status status = rows_solve(build, run, log, err);
    if (status == SWL_OK) {
        qsort(log->rows, log->count, sizeof *log->rows, compare_rows);
        gauge_find(build, run, log);
        residuals_fill(log);
        bins_fill(build, log);
        cooler_fill(build, log);
        limits_hold(build, run, log);
        log->fitted[SWL_LOG_MANIFOLD_PRESSURE] = true;
        log->fitted[SWL_LOG_CHARGE_TEMPERATURE] = log->has[SWL_LOG_CHARGE_TEMPERATURE];
        log->fitted[SWL_LOG_MASS_FLOW] = log->has[SWL_LOG_MASS_FLOW];
        status = shape_fill(log, err);
    }
    if (status == SWL_OK) {
        status = swl_log_fit_all(build, log, err);
    }
    if (status != SWL_OK) {
        swl_log_free(log);
    }
    return status;
}

void swl_log_free(swl_log *log)
{
    free(log->rows);
    *log = (swl_log){0};
}

void swl_run_free(swl_run *run)
{
    free(run->rows);
    *run = (swl_run){0};
}
