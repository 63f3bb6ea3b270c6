#include "sweptline/pulley.h"

#include <math.h>
#include <string.h>

static swl_build build_with(const swl_build *build, swl_pulley pulley, double d_m)
{
    /* A flat copy: the curve and the map stay the original's. */
    swl_build changed = *build;
    if (pulley == SWL_PULLEY_CRANK) {
        changed.drive.d_crank_m = d_m;
    } else {
        changed.drive.d_blower_m = d_m;
    }
    return changed;
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
}

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
        row->p_shaft_max_w = i == 0 ? point->p_shaft_w : fmax(row->p_shaft_max_w, point->p_shaft_w);
        row->mdot_max_kg_s = fmax(row->mdot_max_kg_s, point->mdot_kg_s);
        row->outside += point->map_where != SWL_MAP_INSIDE;
    }
}

static swl_status row_solve(const swl_build *build, const double *speeds_rpm, swl_pulley_row *row, swl_err *err)
{
    const swl_engine *engine = &build->engine;
    row->drive_ratio = swl_drive_ratio(&build->drive, build->blower.gear_ratio);
    row->blower_rpm_at_limit = engine->speed_limit_rpm * row->drive_ratio;
    row->blower_rpm_at_over_rev = (engine->speed_limit_rpm + engine->over_rev_rpm) * row->drive_ratio;
    swl_check check;
    swl_err own = {0};
    swl_status status = swl_check_run(build, &check, &own);
    if (status == SWL_ERR_SOLVE) {
        row->end = SWL_MATCH_NOT_CONVERGED;
        row->verdict = SWL_EXCEEDED;
        return SWL_OK;
    }
    if (status != SWL_OK) {
        return swl_err_set(err, status, "%s", own.text);
    }
    row_line(row, &check);
    row_worst(row, &check);
    swl_check_free(&check);
    swl_match *match = swl_match_new(build, err);
    if (match == NULL) {
        return SWL_ERR_MEMORY;
    }
    for (size_t k = 0; k < SWL_PULLEY_SPEEDS; k++) {
        swl_point point = swl_match_point(match, speeds_rpm[k]);
        row->boost_pa[k] = point.end == SWL_MATCH_SOLVED ? point.boost_pa : (double)NAN;
    }
    swl_match_free(match);
    return SWL_OK;
}

swl_status swl_pulley_table(const swl_build *build, swl_pulley pulley, const double *d_m, size_t count,
                            const double *speeds_rpm, swl_pulley_row *rows, swl_err *err)
{
    if (count < 1 || count > SWL_PULLEY_SIZES_MAX) {
        return swl_err_set(err, SWL_ERR_USAGE, "%zu pulley sizes; 1 to %d are accepted", count, SWL_PULLEY_SIZES_MAX);
    }
    swl_status status = SWL_OK;
    for (size_t i = 0; i < count && status == SWL_OK; i++) {
        swl_build changed = build_with(build, pulley, d_m[i]);
        rows[i] = (swl_pulley_row){.d_m = d_m[i]};
        status = row_solve(&changed, speeds_rpm, &rows[i], err);
    }
    return status;
}

/* One question of a search: how much of the goal a size gives, and what decides. */
typedef struct answer {
    double value;
    const char *binds;
} answer;

typedef struct search {
    const swl_build *build;
    swl_pulley pulley;
    swl_pulley_goal goal;
    double engine_rpm;
} search;

/* The goal's value at a size; more of it the faster the blower turns. No operating point counts as too fast. */
static swl_status ask(const search *s, double d_m, answer *out, swl_err *err)
{
    swl_build changed = build_with(s->build, s->pulley, d_m);
    double limit_rpm = changed.engine.speed_limit_rpm;
    *out = (answer){.value = INFINITY};
    if (s->goal == SWL_GOAL_SPEED) {
        out->value = limit_rpm * swl_drive_ratio(&changed.drive, changed.blower.gear_ratio);
        return SWL_OK;
    }
    if (s->goal == SWL_GOAL_BOOST_AT || s->goal == SWL_GOAL_FLOW) {
        swl_match *match = swl_match_new(&changed, err);
        if (match == NULL) {
            return SWL_ERR_MEMORY;
        }
        swl_point point = swl_match_point(match, s->goal == SWL_GOAL_FLOW ? limit_rpm : s->engine_rpm);
        if (point.end == SWL_MATCH_SOLVED) {
            out->value = s->goal == SWL_GOAL_FLOW ? point.mdot_kg_s : point.boost_pa;
        } else if (point.end == SWL_MATCH_BLOWER_TOO_SMALL) {
            out->value = -INFINITY;
        }
        swl_match_free(match);
        return SWL_OK;
    }
    const double speeds_rpm[SWL_PULLEY_SPEEDS] = {limit_rpm, limit_rpm, limit_rpm};
    swl_pulley_row row = {.d_m = d_m};
    swl_status status = row_solve(&changed, speeds_rpm, &row, err);
    if (status == SWL_OK && row.end == SWL_MATCH_SOLVED) {
        out->value = s->goal == SWL_GOAL_BOOST_PEAK ? row.boost_peak_pa : -row.worst_margin_frac;
        out->binds = row.worst;
    }
    return status;
}

static swl_status not_reached(const search *s, double value, double slow_m, double fast_m, const answer *slow,
                              const answer *fast, swl_err *err)
{
    bool too_little = fast->value < value;
    double best_m = too_little ? fast_m : slow_m;
    if (s->goal == SWL_GOAL_LIMITS) {
        return swl_err_set(err, SWL_ERR_SOLVE, "no pulley from %.4g to %.4g mm %s", 1000 * fmin(slow_m, fast_m),
                           1000 * fmax(slow_m, fast_m),
                           too_little ? "reaches a limit" : "keeps every limit; what binds does not depend on it");
    }
    const char *unit = s->goal == SWL_GOAL_SPEED ? "rpm" : s->goal == SWL_GOAL_FLOW ? "kg/h" : "kPa";
    double scale = s->goal == SWL_GOAL_SPEED ? 1 : s->goal == SWL_GOAL_FLOW ? 3600 : 1e-3;
    return swl_err_set(err, SWL_ERR_SOLVE,
                       "no pulley gives %.4g %s: from %.4g to %.4g mm the nearest is %.4g %s, at %.4g mm",
                       value * scale, unit, 1000 * fmin(slow_m, fast_m), 1000 * fmax(slow_m, fast_m),
                       (too_little ? fast->value : slow->value) * scale, unit, 1000 * best_m);
}

swl_status swl_pulley_find(const swl_build *build, swl_pulley pulley, swl_pulley_goal goal, double value,
                           double engine_rpm, swl_pulley_found *found, swl_err *err)
{
    const search s = {.build = build, .pulley = pulley, .goal = goal, .engine_rpm = engine_rpm};
    double own_m = pulley == SWL_PULLEY_CRANK ? build->drive.d_crank_m : build->drive.d_blower_m;
    /* The blower turns slower with a larger pulley of its own and with a smaller one on the crank. */
    double slow_m = pulley == SWL_PULLEY_CRANK ? own_m / 10 : own_m * 10;
    double fast_m = pulley == SWL_PULLEY_CRANK ? own_m * 10 : own_m / 10;
    double wanted = goal == SWL_GOAL_LIMITS ? 0 : value;
    answer slow;
    answer fast;
    swl_status status = ask(&s, slow_m, &slow, err);
    if (status == SWL_OK) {
        status = ask(&s, fast_m, &fast, err);
    }
    if (status != SWL_OK) {
        return status;
    }
    if (!(slow.value <= wanted && fast.value >= wanted)) {
        return not_reached(&s, wanted, slow_m, fast_m, &slow, &fast, err);
    }
    *found = (swl_pulley_found){.binds = fast.binds};
    for (int i = 0; i < 60 && fabs(fast_m - slow_m) > 1e-9; i++) {
        double middle_m = (slow_m + fast_m) / 2;
        answer middle;
        status = ask(&s, middle_m, &middle, err);
        if (status != SWL_OK) {
            return status;
        }
        if (middle.value > wanted) {
            fast_m = middle_m;
            found->binds = middle.binds != NULL ? middle.binds : found->binds;
        } else {
            slow_m = middle_m;
        }
    }
    /* The slow end keeps what is asked for. */
    found->exact_m = slow_m;
    return SWL_OK;
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

swl_status swl_pulley_wishes(const swl_build *build, swl_pulley_study *study, swl_err *err)
{
    for (size_t i = 0; i < study->wish_count; i++) {
        swl_pulley_wish *wish = &study->wishes[i];
        swl_err own = {0};
        swl_status status =
            swl_pulley_find(build, study->pulley, wish->goal, wish->value, wish->engine_rpm, &wish->found, &own);
        wish->row = study->count;
        if (status == SWL_ERR_SOLVE) {
            memcpy(wish->failure, own.text, sizeof wish->failure);
        } else if (status != SWL_OK) {
            return swl_err_set(err, status, "%s", own.text);
        } else {
            wish->row = nearest_row(study, wish->found.exact_m);
        }
    }
    return SWL_OK;
}
