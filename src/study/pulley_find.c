#include "sweptline/pulley.h"

#include <math.h>

/* One question of a search: how much of the goal a size gives, and what decides. */
typedef struct answer {
    double value;
    const char *binds;
    swl_match_end end;
    double end_rpm;
} answer;

typedef struct search {
    const swl_build *build;
    swl_pulley pulley;
    swl_pulley_goal goal;
    double engine_rpm;
} search;

/* Without an operating point the goal is infinitely little where the blower turns too slowly, and infinitely much
 * otherwise. Far too slow it holds the engine back so much that cold air leaves it colder than the air's properties
 * reach. */
static double without_point(swl_match_end end, double end_p_ratio)
{
    bool slow = end == SWL_MATCH_BLOWER_TOO_SMALL || (end == SWL_MATCH_AIR_RANGE && end_p_ratio < 1);
    return slow ? -(double)INFINITY : (double)INFINITY;
}

static swl_status ask_point(const search *s, const swl_build *changed, answer *out, swl_err *err)
{
    swl_match *match = swl_match_new(changed, err);
    if (match == NULL) {
        return SWL_ERR_MEMORY;
    }
    bool flow = s->goal == SWL_GOAL_FLOW;
    swl_point point = swl_match_point(match, flow ? changed->engine.speed_limit_rpm : s->engine_rpm);
    out->end = point.end;
    out->end_rpm = point.engine_rpm;
    out->value = point.end != SWL_MATCH_SOLVED ? without_point(point.end, point.p_ratio)
                 : flow                        ? point.mdot_kg_s
                                               : point.boost_pa;
    swl_match_free(match);
    return SWL_OK;
}

/* The goal's value at a size; more of it the faster the blower turns. */
static swl_status ask(const search *s, double d_m, answer *out, swl_err *err)
{
    swl_build changed = swl_pulley_build(s->build, s->pulley, d_m);
    *out = (answer){.end = SWL_MATCH_SOLVED};
    if (s->goal == SWL_GOAL_SPEED) {
        out->value = changed.engine.speed_limit_rpm * swl_drive_ratio(&changed.drive, changed.blower.gear_ratio);
        return SWL_OK;
    }
    if (s->goal == SWL_GOAL_BOOST_AT || s->goal == SWL_GOAL_FLOW) {
        return ask_point(s, &changed, out, err);
    }
    const swl_pulley_speeds speeds = {.count = 0};
    swl_pulley_row row;
    swl_status status = swl_pulley_table(s->build, s->pulley, &d_m, 1, &speeds, &row, err);
    if (status != SWL_OK) {
        return status;
    }
    out->end = row.end;
    out->end_rpm = row.end_rpm;
    out->binds = row.worst;
    /* Without any limit nothing is reached. */
    double over = row.worst == NULL ? -1 : -row.worst_margin_frac;
    out->value = row.end != SWL_MATCH_SOLVED      ? without_point(row.end, row.end_p_ratio)
                 : s->goal == SWL_GOAL_BOOST_PEAK ? row.boost_peak_pa
                                                  : over;
    return SWL_OK;
}

/* One end of a search. */
typedef struct search_end {
    double d_m;
    answer got;
} search_end;

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

static void found_at(swl_pulley_found *found, swl_pulley_stop stop, const search_end *at, const search_end *beyond)
{
    found->stop = stop;
    found->exact_m = at->d_m;
    found->reached = at->got.value;
    found->binds = at->got.binds;
    found->end = beyond->got.end;
    found->end_rpm = beyond->got.end_rpm;
}

/* What two neighbouring sizes, on either side of what is wanted, say. */
static void found_between(const search *s, const search_end *slow, const search_end *fast, swl_pulley_found *found)
{
    bool limits = s->goal == SWL_GOAL_LIMITS;
    if (isfinite(slow->got.value) && (isfinite(fast->got.value) || limits)) {
        found_at(found, SWL_STOP_FOUND, slow, fast);
        found->binds = limits && isfinite(fast->got.value) ? slow->got.binds : NULL;
    } else if (isfinite(slow->got.value)) {
        found_at(found, SWL_STOP_FAST_POINT, slow, fast);
    } else if (isfinite(fast->got.value)) {
        found_at(found, SWL_STOP_SLOW_POINT, fast, slow);
    } else {
        found->end = fast->got.end;
        found->end_rpm = fast->got.end_rpm;
    }
}

/* The end of the search, where more or less is wanted than it gives. */
static void found_at_end(swl_pulley_stop stop, const search_end *end, swl_pulley_found *found)
{
    if (isfinite(end->got.value)) {
        found_at(found, stop, end, end);
    } else {
        found->end = end->got.end;
        found->end_rpm = end->got.end_rpm;
    }
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
    *found = (swl_pulley_found){.stop = SWL_STOP_NOWHERE,
                                .exact_m = NAN,
                                .reached = NAN,
                                .end_rpm = NAN,
                                .slow_m = slow.d_m,
                                .fast_m = fast.d_m};
    swl_status status = ask(&s, slow.d_m, &slow.got, err);
    if (status == SWL_OK) {
        status = ask(&s, fast.d_m, &fast.got, err);
    }
    if (status == SWL_OK && slow.got.value <= wanted && fast.got.value >= wanted) {
        status = narrow(&s, wanted, &slow, &fast, err);
        if (status == SWL_OK) {
            found_between(&s, &slow, &fast, found);
        }
    } else if (status == SWL_OK) {
        bool more = slow.got.value <= wanted;
        found_at_end(more ? SWL_STOP_FAST_END : SWL_STOP_SLOW_END, more ? &fast : &slow, found);
    }
    if (status == SWL_OK && found->stop != SWL_STOP_FOUND) {
        status = swl_err_set(err, SWL_ERR_SOLVE, "no size from %.4g mm to %.4g mm gives what is wanted",
                             1000 * fmin(found->slow_m, found->fast_m), 1000 * fmax(found->slow_m, found->fast_m));
    }
    return status;
}
