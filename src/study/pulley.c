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

/* Which of the line's speeds has no operating point, and why. */
static swl_status row_failure(const swl_build *build, swl_pulley_row *row, swl_err *err)
{
    const swl_engine *engine = &build->engine;
    swl_match *match = swl_match_new(build, err);
    if (match == NULL) {
        return SWL_ERR_MEMORY;
    }
    row->end = SWL_MATCH_SOLVED;
    for (int i = 0; i <= 40 && row->end == SWL_MATCH_SOLVED; i++) {
        double rpm = engine->speed_from_rpm + (engine->speed_limit_rpm - engine->speed_from_rpm) * i / 40;
        row->end = swl_match_point(match, rpm).end;
    }
    row->end = row->end == SWL_MATCH_SOLVED ? SWL_MATCH_NOT_CONVERGED : row->end;
    swl_match_free(match);
    return SWL_OK;
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
        row->verdict = SWL_EXCEEDED;
        return row_failure(build, row, err);
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

/* The goal's value at a size; more of it the faster the blower turns. Without an operating point it is infinitely
 * little where the blower is too small and infinitely much otherwise. */
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
    if (row.end == SWL_MATCH_BLOWER_TOO_SMALL) {
        out->value = -INFINITY;
    } else if (status == SWL_OK && row.end == SWL_MATCH_SOLVED) {
        out->value = s->goal == SWL_GOAL_BOOST_PEAK ? row.boost_peak_pa : -row.worst_margin_frac;
        out->binds = row.worst;
    }
    return status;
}

/* One end of a search. */
typedef struct search_end {
    double d_m;
    answer got;
} search_end;

static swl_status not_reached(const search *s, double wanted, const search_end *slow, const search_end *fast,
                              swl_err *err)
{
    if (s->goal == SWL_GOAL_LIMITS) {
        bool never = isfinite(fast->got.value) && fast->got.value <= wanted;
        return swl_err_set(err, SWL_ERR_SOLVE, "%s",
                           never ? "no size reaches a limit"
                                 : "no size keeps every limit; what binds does not depend on the pulley");
    }
    const char *unit = s->goal == SWL_GOAL_SPEED ? "rpm" : s->goal == SWL_GOAL_FLOW ? "kg/h" : "kPa";
    double scale = s->goal == SWL_GOAL_SPEED ? 1 : s->goal == SWL_GOAL_FLOW ? 3600 : 1e-3;
    const search_end *best = isfinite(slow->got.value) ? slow : fast;
    if (!isfinite(best->got.value)) {
        return swl_err_set(err, SWL_ERR_SOLVE, "no size gives %.4g %s, and none has an operating point", wanted * scale,
                           unit);
    }
    return swl_err_set(err, SWL_ERR_SOLVE, "no size gives %.4g %s; the nearest is %.4g %s, with %.4g mm%s",
                       wanted * scale, unit, best->got.value * scale, unit, 1000 * best->d_m,
                       best == slow && !isfinite(fast->got.value)
                           ? ", beyond which there is no operating point within the air's properties"
                           : "");
}

/* Halves the span until it is a nanometre wide; slow keeps what is asked for, fast does not. */
static swl_status narrow(const search *s, double wanted, search_end *slow, search_end *fast, swl_err *err)
{
    for (int i = 0; i < 60 && fabs(fast->d_m - slow->d_m) > 1e-9; i++) {
        search_end middle = {.d_m = (slow->d_m + fast->d_m) / 2};
        swl_status status = ask(s, middle.d_m, &middle.got, err);
        if (status != SWL_OK) {
            return status;
        }
        if (middle.got.value > wanted) {
            *fast = middle;
        } else {
            *slow = middle;
        }
    }
    return SWL_OK;
}

swl_status swl_pulley_find(const swl_build *build, swl_pulley pulley, swl_pulley_goal goal, double value,
                           double engine_rpm, swl_pulley_found *found, swl_err *err)
{
    const search s = {.build = build, .pulley = pulley, .goal = goal, .engine_rpm = engine_rpm};
    bool crank = pulley == SWL_PULLEY_CRANK;
    double own_m = crank ? build->drive.d_crank_m : build->drive.d_blower_m;
    double wanted = goal == SWL_GOAL_LIMITS ? 0 : value;
    /* The blower turns slower with a larger pulley of its own and with a smaller one on the crank. */
    search_end slow = {.d_m = crank ? own_m / 10 : own_m * 10};
    search_end fast = {.d_m = crank ? own_m * 10 : own_m / 10};
    swl_status status = ask(&s, slow.d_m, &slow.got, err);
    if (status == SWL_OK) {
        status = ask(&s, fast.d_m, &fast.got, err);
    }
    if (status != SWL_OK) {
        return status;
    }
    if (!(slow.got.value <= wanted && fast.got.value >= wanted)) {
        return not_reached(&s, wanted, &slow, &fast, err);
    }
    status = narrow(&s, wanted, &slow, &fast, err);
    if (status != SWL_OK) {
        return status;
    }
    bool jumped = !isfinite(slow.got.value) || (goal != SWL_GOAL_LIMITS && !isfinite(fast.got.value));
    if (jumped) {
        return not_reached(&s, wanted, &slow, &fast, err);
    }
    *found = (swl_pulley_found){.exact_m = slow.d_m, .binds = goal == SWL_GOAL_LIMITS ? slow.got.binds : NULL};
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
            status =
                swl_pulley_table(build, study->pulley, &wish->found.exact_m, 1, study->speeds_rpm, &wish->exact, err);
            if (status != SWL_OK) {
                return status;
            }
        }
    }
    return SWL_OK;
}
