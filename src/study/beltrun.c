#include "sweptline/beltrun.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define PI 3.14159265358979323846
/* Positions along a tensioner's travel at which its length and wraps are looked at. */
enum { TRAVEL_STEPS = 200 };

static size_t stop_of(const swl_belt_path *path, size_t pulley)
{
    size_t k = 0;
    while (k < path->count && path->stops[k].pulley != pulley) {
        k++;
    }
    return k;
}

/* A layout moved along its travel. Returns: whether the belt can be laid there. */
static bool path_moved(const swl_belt *belt, const swl_belt_layout *layout, double b_m, double share,
                       swl_belt_path *path)
{
    swl_belt_layout moved = *layout;
    swl_belt_fault fault;
    swl_belt_move(&moved, share);
    return swl_belt_path_find(belt, &moved, b_m, path, &fault);
}

static double stated_length_m(const swl_belt *belt, const swl_belt_path *path)
{
    return belt->lengths_at == SWL_BELT_PITCH_LINE ? path->length_m : path->effective_length_m;
}

static void widen(swl_range *range, double value)
{
    range->least = fmin(range->least, value);
    range->most = fmax(range->most, value);
}

/* The share between two at which the belt is as long as wanted, by halving: the length is continuous between them.
 * Returns: NAN where the belt cannot be laid on the way there. */
static double share_of_length(const swl_belt *belt, const swl_belt_layout *layout, double b_m, double wanted_m,
                              double from, double from_m, double to, swl_belt_path *path)
{
    bool rising = from_m < wanted_m;
    for (int i = 0; i < 60; i++) {
        double middle = (from + to) / 2;
        if (!path_moved(belt, layout, b_m, middle, path)) {
            return NAN;
        }
        bool short_of = stated_length_m(belt, path) < wanted_m;
        if (short_of == rising) {
            from = middle;
        } else {
            to = middle;
        }
    }
    return (from + to) / 2;
}

/* One more place at which a belt is taut. One that two neighbouring intervals share is told once. */
static void fit_add(swl_belt_fit *fit, double share, double wrap_rad)
{
    if (fit->places > 0 && fabs(share - fit->last_share) < 1e-9) {
        return;
    }
    if (fit->places == 0) {
        fit->fits = true;
        fit->share = share;
        fit->blower_wrap_rad = wrap_rad;
    }
    fit->places++;
    fit->last_share = share;
    fit->last_wrap_rad = wrap_rad;
}

/* Every belt of the shelf that is taut between two neighbouring positions. */
static void fits_between(const swl_belt *belt, swl_belt_alternative *a, double b_m, double from, double from_m,
                         double to, double to_m)
{
    for (size_t i = 0; i < belt->length_count; i++) {
        double wanted_m = belt->lengths_m[i];
        bool within = (from_m <= wanted_m && wanted_m <= to_m) || (to_m <= wanted_m && wanted_m <= from_m);
        if (!within) {
            continue;
        }
        swl_belt_path path;
        double share = share_of_length(belt, &a->layout, b_m, wanted_m, from, from_m, to, &path);
        if (isnan(share)) {
            a->travel_whole = false;
        } else {
            fit_add(&a->fits[i], share, path.stops[a->blower_stop].wrap_rad);
        }
    }
}

static void travel_run(const swl_belt *given, swl_belt_alternative *a, double b_m)
{
    /* It keeps the way round that it has at the centres given. */
    swl_belt same_way = *given;
    const swl_belt *belt = &same_way;
    same_way.runs = a->path.direction > 0 ? SWL_BELT_COUNTERCLOCKWISE : SWL_BELT_CLOCKWISE;
    double last_m = NAN;
    bool first = true;
    for (size_t i = 0; i < belt->length_count; i++) {
        a->fits[i] = (swl_belt_fit){.length_m = belt->lengths_m[i],
                                    .share = NAN,
                                    .blower_wrap_rad = NAN,
                                    .last_share = NAN,
                                    .last_wrap_rad = NAN};
    }
    a->travel_whole = true;
    a->effective_length_m = (swl_range){a->path.effective_length_m, a->path.effective_length_m};
    for (size_t k = 0; k < a->path.count; k++) {
        a->stops[k].wrap_rad = (swl_range){a->path.stops[k].wrap_rad, a->path.stops[k].wrap_rad};
    }
    if (a->mover_stop == a->path.count) {
        return;
    }
    for (int i = 0; i <= TRAVEL_STEPS; i++) {
        swl_belt_path path;
        double share = (double)i / TRAVEL_STEPS;
        if (!path_moved(belt, &a->layout, b_m, share, &path)) {
            a->travel_whole = false;
            last_m = NAN;
            continue;
        }
        if (first) {
            a->effective_length_m = (swl_range){path.effective_length_m, path.effective_length_m};
        }
        widen(&a->effective_length_m, path.effective_length_m);
        for (size_t k = 0; k < path.count; k++) {
            if (first) {
                a->stops[k].wrap_rad = (swl_range){path.stops[k].wrap_rad, path.stops[k].wrap_rad};
            }
            widen(&a->stops[k].wrap_rad, path.stops[k].wrap_rad);
        }
        first = false;
        if (!isnan(last_m)) {
            fits_between(belt, a, b_m, (double)(i - 1) / TRAVEL_STEPS, last_m, share, stated_length_m(belt, &path));
        }
        last_m = stated_length_m(belt, &path);
    }
}

/* What a pulley other than crank and blower takes, in W. */
static double accessory_w(const swl_belt_pulley *pulley, double engine_rpm, double pulley_rpm)
{
    if (pulley->power_w != NULL) {
        return swl_curve_at(pulley->power_w, engine_rpm);
    }
    return pulley->torque_nm == NULL ? 0 : swl_curve_at(pulley->torque_nm, engine_rpm) * 2 * PI * pulley_rpm / 60;
}

static double speed_at_m_s(const swl_belt_alternative *a, double engine_rpm)
{
    return 2 * PI * a->path.stops[a->crank_stop].r_m * engine_rpm / 60;
}

static double stop_rpm(const swl_belt_alternative *a, size_t stop, double engine_rpm)
{
    return engine_rpm * a->path.stops[a->crank_stop].r_m / a->path.stops[stop].r_m;
}

static bool has_tension(const swl_belt_alternative *a)
{
    return !isnan(a->layout.static_tension_n);
}

/* The pulls and tensions at one engine speed, with 0 for a static tension that is not given. */
static void row_solve(const swl_belt *belt, const swl_belt_alternative *a, const swl_point *point, double slip_frac,
                      double static_n, swl_belt_row *row)
{
    *row = (swl_belt_row){.engine_rpm = point->engine_rpm};
    row->state.speed_m_s = speed_at_m_s(a, point->engine_rpm);
    for (size_t k = 0; k < a->path.count; k++) {
        const swl_belt_pulley *pulley = &a->layout.pulleys[a->path.stops[k].pulley];
        /* The blower's pulley runs slower than the belt by the slip, so that its torque is larger. */
        double power_w = k == a->blower_stop
                             ? point->p_shaft_w / (1 - slip_frac)
                             : accessory_w(pulley, point->engine_rpm, stop_rpm(a, k, point->engine_rpm));
        row->state.pull_n[k] = k == a->crank_stop ? 0 : power_w / row->state.speed_m_s;
    }
    swl_belt_walk(belt, &a->path, a->crank_stop, a->mover_stop, static_n, &row->state);
    for (size_t k = 0; k < a->path.count; k++) {
        row->slack = row->slack || (has_tension(a) && !(row->state.tension_n[k] - row->state.centrifugal_n > 0));
    }
    /* With a slack span the others are not as the walk has them either: nothing is known to hold. */
    for (size_t k = 0; k < a->path.count && !row->slack; k++) {
        row->pull_max_n[k] = swl_belt_pull_max_n(belt, &a->layout, &a->path, &row->state, k);
    }
}

static bool carries(const swl_belt_alternative *a, size_t stop)
{
    const swl_belt_pulley *pulley = &a->layout.pulleys[a->path.stops[stop].pulley];
    return stop == a->crank_stop || stop == a->blower_stop || pulley->power_w != NULL || pulley->torque_nm != NULL;
}

static void stops_run(const swl_belt *belt, swl_belt_alternative *a, double static_n)
{
    for (size_t k = 0; k < a->path.count; k++) {
        swl_belt_stop_run *stop = &a->stops[k];
        stop->static_needed_n = -INFINITY;
        for (size_t i = 0; i < a->row_count; i++) {
            const swl_belt_row *row = &a->rows[i];
            double needed_n = static_n + swl_belt_tension_wanted_n(belt, &a->layout, &a->path, &row->state, k);
            if (needed_n > stop->static_needed_n) {
                stop->static_needed_n = needed_n;
                stop->needed_rpm = row->engine_rpm;
            }
            stop->hub_load_max_n = fmax(stop->hub_load_max_n, swl_belt_hub_load_n(&a->path, &row->state, k));
            if (row->state.tension_n[k] > a->tension_max_n) {
                a->tension_max_n = row->state.tension_n[k];
                a->tension_max_rpm = row->engine_rpm;
                a->tension_max_stop = k;
            }
            a->tension_min_n = fmin(a->tension_min_n, row->state.tension_n[k] - row->state.centrifugal_n);
        }
        if (stop->carries && stop->static_needed_n > a->static_needed_n) {
            a->static_needed_n = stop->static_needed_n;
            a->static_needed_stop = k;
        }
        stop->static_needed_n = stop->carries ? stop->static_needed_n : (double)NAN;
        stop->hub_load_max_n = a->slack == 0 ? stop->hub_load_max_n : (double)NAN;
    }
    a->tension_max_n = a->slack == 0 ? a->tension_max_n : (double)NAN;
}

/* The largest static tension that a stop wants when the belt grips less. */
static void slick_run(const swl_belt *belt, swl_belt_alternative *a, double static_n)
{
    swl_belt slick = *belt;
    slick.friction *= SWL_BELT_SLICK;
    slick.back_friction *= SWL_BELT_SLICK;
    a->static_needed_slick_n = -INFINITY;
    for (size_t k = 0; k < a->path.count; k++) {
        for (size_t i = 0; i < a->row_count && a->stops[k].carries; i++) {
            double more_n = swl_belt_tension_wanted_n(&slick, &a->layout, &a->path, &a->rows[i].state, k);
            a->static_needed_slick_n = fmax(a->static_needed_slick_n, static_n + more_n);
        }
    }
}

/* Given: a limit with its margin; one that is not known is not kept. */
static void limit_judge(swl_belt_alternative *a, swl_belt_limit limit)
{
    limit.verdict = !(limit.margin_frac >= 0)                   ? SWL_EXCEEDED
                    : limit.margin_frac < SWL_CLOSE_MARGIN_FRAC ? SWL_CLOSE
                                                                : SWL_KEPT;
    a->exceeded = a->exceeded || limit.verdict == SWL_EXCEEDED;
    a->limits[a->limit_count++] = limit;
}

static void limit_add(swl_belt_alternative *a, swl_belt_limit limit)
{
    limit.margin_frac = (limit.limit - limit.value) / limit.limit;
    limit_judge(a, limit);
}

/* The worst engine speed for one stop's grip. A pulley that takes nothing at some speed cannot slip there. */
static void limit_slip(swl_belt_alternative *a, size_t stop)
{
    double worst = INFINITY;
    const swl_belt_row *at = NULL;
    for (size_t i = 0; i < a->row_count; i++) {
        double pull_n = fabs(a->rows[i].state.pull_n[stop]);
        double most_n = a->rows[i].pull_max_n[stop];
        double margin = most_n > 0 ? (most_n - pull_n) / most_n : pull_n > 0 ? -(double)INFINITY : 1;
        if (margin < worst || at == NULL) {
            worst = margin;
            at = &a->rows[i];
        }
    }
    if (at != NULL) {
        limit_judge(a, (swl_belt_limit){.name = "slip",
                                        .pulley = a->layout.pulleys[a->path.stops[stop].pulley].name,
                                        .show = SWL_SHOW_FORCE,
                                        .value = fabs(at->state.pull_n[stop]),
                                        .limit = at->pull_max_n[stop],
                                        .margin_frac = worst,
                                        .engine_rpm = at->engine_rpm});
    }
}

static void limits_run(const swl_belt *belt, const swl_build *build, swl_belt_alternative *a, bool tension)
{
    for (size_t k = 0; k < a->path.count && tension; k++) {
        if (a->stops[k].carries) {
            limit_slip(a, k);
        }
    }
    if (!isnan(belt->speed_limit_m_s)) {
        limit_add(a, (swl_belt_limit){.name = "speed_limit",
                                      .show = SWL_SHOW_VELOCITY,
                                      .value = a->speed_over_rev_m_s,
                                      .limit = belt->speed_limit_m_s,
                                      .engine_rpm = build->engine.speed_limit_rpm + build->engine.over_rev_rpm});
    }
    if (tension && !isnan(belt->tension_limit_n)) {
        limit_add(a, (swl_belt_limit){.name = "tension_limit",
                                      .show = SWL_SHOW_FORCE,
                                      .value = a->tension_max_n,
                                      .limit = belt->tension_limit_n,
                                      .engine_rpm = a->tension_max_rpm});
    }
}

/* The rotors' speeds as check has them, and whatever else of check is exceeded. */
static void limits_check(const swl_check *check, swl_belt_alternative *a)
{
    for (size_t i = 0; i < check->limit_count; i++) {
        const swl_limit_row *row = &check->limits[i];
        if (row->show == SWL_SHOW_BLOWER_SPEED) {
            a->limits[a->limit_count++] = (swl_belt_limit){.name = row->name,
                                                           .show = row->show,
                                                           .verdict = row->verdict,
                                                           .value = row->value,
                                                           .limit = row->limit,
                                                           .margin_frac = row->margin_frac,
                                                           .engine_rpm = row->engine_rpm};
        } else if (row->verdict == SWL_EXCEEDED) {
            a->others[a->other_count++] = *row;
        }
    }
    a->exceeded = a->exceeded || check->exceeded;
}

/* No belt has a tension below that of its own mass: the numbers of rows with a slack span are taken out. */
static void slack_forget(swl_belt_alternative *a)
{
    for (size_t i = 0; i < a->row_count; i++) {
        for (size_t k = 0; k < a->path.count && a->rows[i].slack; k++) {
            a->rows[i].state.tension_n[k] = NAN;
        }
    }
}

/* Without a static tension the walk was made from 0, which the needed ones rest on; what depends on it is taken out. */
static void tensions_forget(swl_belt_alternative *a)
{
    a->tension_max_n = NAN;
    a->tension_min_n = NAN;
    for (size_t k = 0; k < a->path.count; k++) {
        a->stops[k].hub_load_max_n = NAN;
        for (size_t i = 0; i < a->row_count; i++) {
            a->rows[i].state.tension_n[k] = NAN;
            a->rows[i].pull_max_n[k] = NAN;
        }
    }
}

static swl_status line_run(const swl_belt *belt, const swl_build *build, swl_belt_alternative *a, swl_err *err)
{
    swl_check check;
    swl_err own = {0};
    swl_status status = swl_check_run(build, &check, &own);
    if (status == SWL_ERR_SOLVE) {
        (void)snprintf(a->failure, sizeof a->failure, "%s", own.text);
        return SWL_OK;
    }
    if (status != SWL_OK) {
        return swl_err_set(err, status, "%s", own.text);
    }
    bool tension = has_tension(a);
    double static_n = tension ? a->layout.static_tension_n : 0;
    a->rows = calloc(check.line_count, sizeof *a->rows);
    if (a->rows == NULL) {
        swl_check_free(&check);
        return swl_err_set(err, SWL_ERR_MEMORY, "out of memory for the belt's tensions");
    }
    a->row_count = check.line_count;
    for (size_t i = 0; i < check.line_count; i++) {
        row_solve(belt, a, &check.line[i], build->drive.slip_frac, static_n, &a->rows[i]);
        a->outside += check.line[i].map_where != SWL_MAP_INSIDE;
        a->slack += a->rows[i].slack;
    }
    a->solved = true;
    stops_run(belt, a, static_n);
    slick_run(belt, a, static_n);
    limits_run(belt, build, a, tension);
    limits_check(&check, a);
    swl_check_free(&check);
    slack_forget(a);
    if (!tension) {
        tensions_forget(a);
    }
    return SWL_OK;
}

static swl_status alternative_run(const swl_build *build, const swl_belt_layout *layout, swl_belt_alternative *a,
                                  swl_err *err)
{
    const swl_belt *belt = build->belt;
    swl_build changed = *build;
    double b_m = build->drive.line_differential_m;
    *a = (swl_belt_alternative){
        .layout = *layout, .tension_max_n = -INFINITY, .tension_min_n = INFINITY, .static_needed_n = -INFINITY};
    swl_belt_diameters(&a->layout, &build->drive);
    size_t crank = swl_belt_find(&a->layout, swl_slice_of("crank"));
    size_t blower = swl_belt_find(&a->layout, swl_slice_of("blower"));
    bool sound = crank < layout->pulley_count && blower < layout->pulley_count &&
                 swl_belt_path_find(belt, &a->layout, b_m, &a->path, &a->gap);
    if (sound) {
        a->crank_stop = stop_of(&a->path, crank);
        a->blower_stop = stop_of(&a->path, blower);
        a->mover_stop = stop_of(&a->path, swl_belt_mover(&a->layout));
        sound = a->crank_stop < a->path.count && a->blower_stop < a->path.count;
    }
    if (!sound) {
        return swl_err_set(err, SWL_ERR_USAGE, "the belt's path is not one that can be laid");
    }
    a->d_crank_m = changed.drive.d_crank_m = a->layout.pulleys[crank].d_m;
    a->d_blower_m = changed.drive.d_blower_m = a->layout.pulleys[blower].d_m;
    travel_run(belt, a, b_m);
    a->speed_max_m_s = speed_at_m_s(a, build->engine.speed_limit_rpm);
    a->speed_over_rev_m_s = speed_at_m_s(a, build->engine.speed_limit_rpm + build->engine.over_rev_rpm);
    for (size_t k = 0; k < a->path.count; k++) {
        a->stops[k].rpm_at_limit = stop_rpm(a, k, build->engine.speed_limit_rpm);
        a->stops[k].carries = carries(a, k);
        a->stops[k].static_needed_n = NAN;
    }
    return line_run(belt, &changed, a, err);
}

swl_status swl_belt_study_run(const swl_build *build, swl_belt_study *study, swl_err *err)
{
    *study = (swl_belt_study){.belt = build->belt};
    if (build->belt == NULL) {
        return swl_err_set(
            err, SWL_ERR_USAGE,
            "the build has no [belt]; a [belt] with path and tension and a [pulley NAME] for each of its "
            "pulleys are wanted");
    }
    study->alternatives = calloc(build->belt->layout_count, sizeof *study->alternatives);
    if (study->alternatives == NULL) {
        return swl_err_set(err, SWL_ERR_MEMORY, "out of memory for the belt");
    }
    swl_status status = SWL_OK;
    for (size_t i = 0; i < build->belt->layout_count && status == SWL_OK; i++) {
        study->count++;
        status = alternative_run(build, &build->belt->layouts[i], &study->alternatives[i], err);
    }
    if (status != SWL_OK) {
        swl_belt_study_free(study);
        return status;
    }
    /* The line is asked of the build as it is: another way to lay the belt that slips is no fault of this one. */
    study->exceeded = study->alternatives[0].exceeded;
    if (!study->alternatives[0].solved) {
        status = swl_err_set(err, SWL_ERR_SOLVE, "%s", study->alternatives[0].failure);
        swl_belt_study_free(study);
    }
    return status;
}

void swl_belt_study_free(swl_belt_study *study)
{
    for (size_t i = 0; i < study->count; i++) {
        free(study->alternatives[i].rows);
    }
    free(study->alternatives);
    *study = (swl_belt_study){0};
}
