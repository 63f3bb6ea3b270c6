#include "sweptline/throttle.h"

#include <math.h>
#include <stdlib.h>

static double throttle_loss_pa(const swl_point *point)
{
    return point->p_t_pa - point->p_throttle_pa;
}

/* Loss across a throttle body of another bore at the rev limit. Returns: false without an operating point. */
static bool loss_at(swl_match *match, const swl_build *build, double bore_m, swl_point *point)
{
    swl_build changed = *build;
    changed.intake.bore_m = bore_m;
    swl_match_set(match, &changed);
    *point = swl_match_point(match, build->engine.speed_limit_rpm);
    swl_match_set(match, build);
    return point->end == SWL_MATCH_SOLVED;
}

static void half(swl_match *match, const swl_build *build, double loss_pa, swl_throttle_study *study)
{
    double small_m = build->intake.bore_m;
    double large_m = 10 * small_m;
    swl_point point;
    study->bore_half_m = NAN;
    study->loss_half_pa = NAN;
    study->boost_half_pa = NAN;
    if (!loss_at(match, build, large_m, &point) || !(throttle_loss_pa(&point) <= loss_pa / 2)) {
        return;
    }
    for (int i = 0; i < 60 && large_m - small_m > 1e-6; i++) {
        double middle_m = (small_m + large_m) / 2;
        bool halved = loss_at(match, build, middle_m, &point) && throttle_loss_pa(&point) <= loss_pa / 2;
        *(halved ? &large_m : &small_m) = middle_m;
    }
    if (loss_at(match, build, large_m, &point)) {
        study->bore_half_m = large_m;
        study->loss_half_pa = throttle_loss_pa(&point);
        study->boost_half_pa = point.boost_pa;
    }
}

static swl_status rows_fill(const swl_build *build, const swl_check *with, const swl_check *without,
                            swl_throttle_study *study, swl_err *err)
{
    swl_throttle_row *rows = calloc(with->line_count, sizeof *rows);
    if (rows == NULL || with->line == NULL || with->power == NULL || without->line == NULL || without->power == NULL) {
        free(rows);
        return swl_err_set(err, SWL_ERR_MEMORY, "out of memory for the table");
    }
    for (size_t i = 0; i < with->line_count; i++) {
        rows[i] = (swl_throttle_row){.site_pa = build->site.p_pa,
                                     .with = with->line[i],
                                     .without = without->line[i],
                                     .power_with = with->power[i],
                                     .power_without = without->power[i]};
    }
    study->rows = rows;
    study->count = with->line_count;
    study->exceeded = with->exceeded;
    return SWL_OK;
}

swl_status swl_throttle_run(const swl_build *build, swl_throttle_study *study, swl_err *err)
{
    *study = (swl_throttle_study){0};
    if (isnan(build->intake.bore_m)) {
        return swl_err_set(err, SWL_ERR_USAGE, "the build has no throttle body; give throttle_bore in [intake]");
    }
    swl_build open = *build;
    open.intake.bore_m = NAN;
    open.intake.adapter_bore_m = NAN;
    open.intake.inlet_bore_m = NAN;
    swl_check with = {0};
    swl_check without = {0};
    swl_match *match = swl_match_new(build, err);
    swl_status status = match == NULL ? SWL_ERR_MEMORY : swl_check_run(build, &with, err);
    if (status == SWL_OK) {
        status = swl_check_run(&open, &without, err);
    }
    if (status == SWL_OK) {
        status = rows_fill(build, &with, &without, study, err);
    }
    if (status == SWL_OK && study->count > 0) {
        half(match, build, throttle_loss_pa(&study->rows[study->count - 1].with), study);
    }
    swl_match_free(match);
    swl_check_free(&with);
    swl_check_free(&without);
    return status;
}

void swl_throttle_free(swl_throttle_study *study)
{
    free(study->rows);
    *study = (swl_throttle_study){0};
}
