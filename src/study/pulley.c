#include "sweptline/pulley.h"

#include <math.h>
#include <stdlib.h>

swl_build swl_pulley_build(const swl_build *build, swl_pulley pulley, double d_m)
{
    swl_build changed = *build;
    if (pulley == SWL_PULLEY_CRANK) {
        changed.drive.d_crank_m = d_m;
    } else {
        changed.drive.d_blower_m = d_m;
    }
    return changed;
}

double swl_pulley_rounded(swl_pulley pulley, double shown, int decimals)
{
    double step = pow(10, -decimals);
    double steps = shown / step;
    return (pulley == SWL_PULLEY_CRANK ? floor(steps + 1e-6) : ceil(steps - 1e-6)) * step;
}

static void row_worst(swl_pulley_row *row, const swl_check *check)
{
    row->worst_margin_frac = INFINITY;
    for (size_t i = 0; i < check->limit_count; i++) {
        const swl_limit_row *limit = &check->limits[i];
        if (limit->verdict > row->verdict) {
            row->verdict = limit->verdict;
        }
        if (limit->margin_frac < row->worst_margin_frac) {
            row->worst_margin_frac = limit->margin_frac;
            row->worst = limit->name;
        }
    }
    if (row->worst == NULL) {
        row->worst_margin_frac = NAN;
    }
}

/* fmax takes the number where one of two is NAN. */
static void row_line(swl_pulley_row *row, const swl_check *check)
{
    row->boost_peak_pa = -INFINITY;
    for (size_t i = 0; i < check->line_count; i++) {
        const swl_point *point = &check->line[i];
        if (point->boost_pa > row->boost_peak_pa) {
            row->boost_peak_pa = point->boost_pa;
            row->boost_peak_rpm = point->engine_rpm;
        }
        row->t2_max_k = fmax(row->t2_max_k, point->t2_k);
        row->t3_max_k = fmax(row->t3_max_k, point->t3_k);
        row->p_shaft_max_w = fmax(row->p_shaft_max_w, point->p_shaft_w);
        row->mdot_max_kg_s = fmax(row->mdot_max_kg_s, point->mdot_kg_s);
        row->crank_max_w = fmax(row->crank_max_w, check->power[i].crank_w);
        row->wheel_max_w = fmax(row->wheel_max_w, check->power[i].wheel_w);
    }
    row->tally = swl_check_tally(check);
}

/* Which of the line's speeds has no operating point, and why. */
static void row_failure(swl_match *match, const swl_engine *engine, swl_pulley_row *row)
{
    row->end = SWL_MATCH_SOLVED;
    for (int i = 0; i <= 40 && row->end == SWL_MATCH_SOLVED; i++) {
        row->end_rpm = engine->speed_from_rpm + (engine->speed_limit_rpm - engine->speed_from_rpm) * i / 40;
        swl_point point = swl_match_point(match, row->end_rpm);
        row->end = point.end;
        row->end_p_ratio = point.p_ratio;
    }
    row->end = row->end == SWL_MATCH_SOLVED ? SWL_MATCH_NOT_CONVERGED : row->end;
}

static void row_speeds(const swl_build *build, swl_pulley_row *row)
{
    const swl_engine *engine = &build->engine;
    const swl_blower *blower = &build->blower;
    row->drive_ratio = swl_drive_ratio(&build->drive, blower->gear_ratio);
    row->blower_rpm_at_limit = engine->speed_limit_rpm * row->drive_ratio;
    row->blower_rpm_at_over_rev = (engine->speed_limit_rpm + engine->over_rev_rpm) * row->drive_ratio;
    double over_limit_rpm = blower->short_time_rpm;
    if (isnan(over_limit_rpm) && engine->over_rev_rpm > 0) {
        over_limit_rpm = blower->continuous_rpm;
    }
    row->margin_at_limit_frac = (blower->continuous_rpm - row->blower_rpm_at_limit) / blower->continuous_rpm;
    row->margin_at_over_rev_frac = (over_limit_rpm - row->blower_rpm_at_over_rev) / over_limit_rpm;
}

static swl_pulley_row row_empty(double d_m)
{
    const double none = NAN;
    return (swl_pulley_row){.d_m = d_m,
                            .boost_pa = {none, none, none},
                            .boost_peak_pa = none,
                            .boost_peak_rpm = none,
                            .t2_max_k = none,
                            .t3_max_k = none,
                            .p_shaft_max_w = none,
                            .mdot_max_kg_s = none,
                            .crank_max_w = none,
                            .wheel_max_w = none,
                            .worst_margin_frac = none,
                            .end_rpm = none,
                            .end_p_ratio = none};
}

static swl_status row_solve(const swl_build *build, const swl_pulley_speeds *speeds, swl_pulley_row *row, swl_err *err)
{
    row_speeds(build, row);
    swl_match *match = swl_match_new(build, err);
    if (match == NULL) {
        return SWL_ERR_MEMORY;
    }
    swl_check check;
    swl_err own = {0};
    swl_status status = swl_check_run(build, &check, &own);
    if (status == SWL_ERR_SOLVE) {
        row->verdict = SWL_EXCEEDED;
        row_failure(match, &build->engine, row);
        status = SWL_OK;
    } else if (status == SWL_OK) {
        row_line(row, &check);
        row_worst(row, &check);
        swl_check_free(&check);
        for (size_t k = 0; k < speeds->count; k++) {
            swl_point point = swl_match_point(match, speeds->rpm[k]);
            row->boost_pa[k] = point.end == SWL_MATCH_SOLVED ? point.boost_pa : (double)NAN;
        }
    } else {
        status = swl_err_set(err, status, "%s", own.text);
    }
    swl_match_free(match);
    return status;
}

static swl_status rows_solve(const swl_build *build, swl_pulley pulley, const double *d_m, size_t count,
                             const swl_pulley_speeds *speeds, swl_pulley_row *rows, swl_err *err)
{
    swl_status status = SWL_OK;
    for (size_t i = 0; i < count && status == SWL_OK; i++) {
        swl_build changed = swl_pulley_build(build, pulley, d_m[i]);
        rows[i] = row_empty(d_m[i]);
        status = row_solve(&changed, speeds, &rows[i], err);
    }
    return status;
}

swl_status swl_pulley_table(const swl_build *build, swl_pulley pulley, const double *d_m, size_t count,
                            const swl_pulley_speeds *speeds, swl_pulley_row *rows, swl_err *err)
{
    if (count < 1 || count > SWL_PULLEY_SIZES_MAX) {
        return swl_err_set(err, SWL_ERR_USAGE, "%zu pulley sizes; 1 to %d are accepted", count, SWL_PULLEY_SIZES_MAX);
    }
    return rows_solve(build, pulley, d_m, count, speeds, rows, err);
}

/* The listed size next to an exact one on the side that turns the blower slower. */
static size_t nearest_row(const swl_pulley_study *study, double exact_m)
{
    size_t best = study->count;
    for (size_t i = 0; i < study->count; i++) {
        double d_m = study->rows[i].d_m;
        bool slower = study->pulley == SWL_PULLEY_CRANK ? d_m <= exact_m + 1e-9 : d_m >= exact_m - 1e-9;
        if (slower && (best == study->count || fabs(d_m - exact_m) < fabs(study->rows[best].d_m - exact_m))) {
            best = i;
        }
    }
    return best;
}

static swl_status wish_island(const swl_build *build, const swl_pulley_study *study, swl_pulley_wish *wish,
                              swl_err *err)
{
    double listed_m[SWL_PULLEY_SIZES_MAX];
    for (size_t i = 0; i < study->count; i++) {
        listed_m[i] = study->rows[i].d_m;
    }
    wish->found = (swl_pulley_found){.stop = SWL_STOP_NOWHERE, .exact_m = NAN, .reached = NAN, .end_rpm = NAN};
    swl_status status =
        swl_pulley_find_island(build, study->pulley, &wish->span, listed_m, study->count, &wish->island, err);
    bool crank = study->pulley == SWL_PULLEY_CRANK;
    wish->found.slow_m = crank ? wish->island.small_m : wish->island.large_m;
    wish->found.fast_m = crank ? wish->island.large_m : wish->island.small_m;
    if (status != SWL_OK) {
        return status;
    }
    wish->found.stop = SWL_STOP_FOUND;
    wish->found.exact_m = wish->island.peaks[0].d_m;
    wish->found.reached = wish->island.peaks[0].eff_frac;
    for (size_t i = 0; i < study->count; i++) {
        if (study->rows[i].d_m == wish->island.listed.d_m) {
            wish->row = i;
        }
    }
    return SWL_OK;
}

static swl_status wish_fulfil(const swl_build *build, const swl_pulley_study *study, swl_pulley_wish *wish,
                              swl_err *err)
{
    swl_err own = {0};
    swl_status status = SWL_OK;
    wish->row = study->count;
    if (wish->goal == SWL_GOAL_ISLAND) {
        status = wish_island(build, study, wish, &own);
    } else {
        status = swl_pulley_find(build, study->pulley, wish->goal, wish->value, wish->engine_rpm, &wish->found, &own);
        wish->row = status == SWL_OK ? nearest_row(study, wish->found.exact_m) : study->count;
    }
    if (status != SWL_OK && status != SWL_ERR_SOLVE) {
        return swl_err_set(err, status, "%s", own.text);
    }
    if (isnan(wish->found.exact_m)) {
        return SWL_OK;
    }
    return swl_pulley_table(build, study->pulley, &wish->found.exact_m, 1, &study->speeds, &wish->exact, err);
}

swl_status swl_pulley_wishes(const swl_build *build, swl_pulley_study *study, swl_err *err)
{
    swl_status status = SWL_OK;
    for (size_t i = 0; i < study->wish_count && status == SWL_OK; i++) {
        status = wish_fulfil(build, study, &study->wishes[i], err);
    }
    return status;
}

/* Sizes that a plot shows: those listed and, where they are not far off, the build's own and the found ones. */
static void plot_span(const swl_pulley_study *study, double *from_m, double *to_m)
{
    double low_m = study->rows[0].d_m;
    double high_m = low_m;
    for (size_t i = 1; i < study->count; i++) {
        low_m = fmin(low_m, study->rows[i].d_m);
        high_m = fmax(high_m, study->rows[i].d_m);
    }
    double reach_m = fmax(0.5 * (high_m - low_m), 0.15 * low_m);
    double low_reach_m = low_m - reach_m;
    double high_reach_m = high_m + reach_m;
    for (size_t i = 0; i <= study->wish_count; i++) {
        double d_m = i == study->wish_count ? study->own_m : study->wishes[i].found.exact_m;
        if (d_m >= low_reach_m && d_m <= high_reach_m) {
            low_m = fmin(low_m, d_m);
            high_m = fmax(high_m, d_m);
        }
    }
    double room_m = fmax(0.04 * (high_m - low_m), 0.04 * low_m * (high_m - low_m < 0.04 * low_m));
    *from_m = low_m - room_m;
    *to_m = high_m + room_m;
}

static int by_size(const void *a, const void *b)
{
    double left = *(const double *)a;
    double right = *(const double *)b;
    return (left > right) - (left < right);
}

swl_status swl_pulley_curve(const swl_build *build, const swl_pulley_study *study, swl_pulley_row **rows, size_t *count,
                            swl_err *err)
{
    double d_m[SWL_PULLEY_CURVE_STEPS + 2 + SWL_PULLEY_SIZES_MAX + SWL_PULLEY_WISHES_MAX];
    double from_m = 0;
    double to_m = 0;
    size_t n = 0;
    plot_span(study, &from_m, &to_m);
    for (int i = 0; i <= SWL_PULLEY_CURVE_STEPS; i++) {
        d_m[n++] = from_m + (to_m - from_m) * i / SWL_PULLEY_CURVE_STEPS;
    }
    for (size_t i = 0; i < study->count; i++) {
        d_m[n++] = study->rows[i].d_m;
    }
    for (size_t i = 0; i <= study->wish_count; i++) {
        double at_m = i == study->wish_count ? study->own_m : study->wishes[i].found.exact_m;
        if (at_m >= from_m && at_m <= to_m) {
            d_m[n++] = at_m;
        }
    }
    qsort(d_m, n, sizeof d_m[0], by_size);
    size_t kept = 1;
    for (size_t i = 1; i < n; i++) {
        if (d_m[i] > d_m[kept - 1] + 1e-9) {
            d_m[kept++] = d_m[i];
        }
    }
    *count = kept;
    *rows = calloc(kept, sizeof **rows);
    if (*rows == NULL) {
        return swl_err_set(err, SWL_ERR_MEMORY, "out of memory for the curves");
    }
    return rows_solve(build, study->pulley, d_m, kept, &study->speeds, *rows, err);
}
