#include "sweptline/belt.h"

#include <math.h>

double swl_belt_wedge_friction(double friction, double groove_rad)
{
    return friction / sin(groove_rad / 2);
}

double swl_belt_friction_at(const swl_belt *belt, int side)
{
    if (side == SWL_BELT_BACK) {
        return belt->back_friction;
    }
    return belt->kind == SWL_BELT_FLAT ? belt->friction : swl_belt_wedge_friction(belt->friction, belt->groove_rad);
}

double swl_belt_grip(double friction, double wrap_rad)
{
    return exp(friction * wrap_rad);
}

double swl_belt_centrifugal_n(double mass_kg_m, double speed_m_s)
{
    return mass_kg_m * speed_m_s * speed_m_s;
}

double swl_belt_slack_at_slip_n(double power_w, double speed_m_s, double mass_kg_m, double grip_ratio)
{
    return power_w / speed_m_s / (grip_ratio - 1) + swl_belt_centrifugal_n(mass_kg_m, speed_m_s);
}

double swl_belt_power_w(double tight_n, double slack_n, double speed_m_s)
{
    return (tight_n - slack_n) * speed_m_s;
}

static size_t before(const swl_belt_path *path, size_t stop)
{
    return (stop + path->count - 1) % path->count;
}

/* The left side of (B4): the mean of tensions that start at 0 behind the driving stop, over the belt's length. */
static double mean_n(const swl_belt_path *path, const swl_belt_state *state)
{
    double sum = 0;
    for (size_t k = 0; k < path->count; k++) {
        const swl_belt_stop *stop = &path->stops[k];
        double arc_n = (state->tension_n[k] + state->tension_n[before(path, k)]) / 2;
        sum += stop->span_m * state->tension_n[k] + stop->r_m * stop->wrap_rad * arc_n;
    }
    return sum / path->length_m;
}

void swl_belt_walk(const swl_belt *belt, const swl_belt_path *path, size_t driver, size_t mover_stop, double static_n,
                   swl_belt_state *state)
{
    size_t n = path->count;
    state->centrifugal_n = swl_belt_centrifugal_n(belt->mass_kg_m, state->speed_m_s);
    state->pull_n[driver] = 0;
    state->tension_n[driver] = 0;
    for (size_t k = 1; k < n; k++) {
        size_t stop = (driver + k) % n;
        state->tension_n[stop] = state->tension_n[before(path, stop)] + state->pull_n[stop];
        state->pull_n[driver] -= state->pull_n[stop];
    }
    /* (B4) or (B5). */
    bool held = belt->hold == SWL_BELT_AUTOMATIC && mover_stop < n;
    double shift_n =
        held ? static_n + state->centrifugal_n - state->tension_n[mover_stop] : static_n - mean_n(path, state);
    for (size_t k = 0; k < n; k++) {
        state->tension_n[k] += shift_n;
    }
}

static double grip_at(const swl_belt *belt, const swl_belt_layout *layout, const swl_belt_path *path, size_t stop)
{
    const swl_belt_stop *at = &path->stops[stop];
    return swl_belt_grip(swl_belt_friction_at(belt, layout->pulleys[at->pulley].side), at->wrap_rad);
}

static double pressing_n(const swl_belt_path *path, const swl_belt_state *state, size_t stop)
{
    return fmin(state->tension_n[stop], state->tension_n[before(path, stop)]) - state->centrifugal_n;
}

double swl_belt_pull_max_n(const swl_belt *belt, const swl_belt_layout *layout, const swl_belt_path *path,
                           const swl_belt_state *state, size_t stop)
{
    double least_n = pressing_n(path, state, stop);
    return least_n > 0 ? least_n * (grip_at(belt, layout, path, stop) - 1) : 0;
}

double swl_belt_tension_wanted_n(const swl_belt *belt, const swl_belt_layout *layout, const swl_belt_path *path,
                                 const swl_belt_state *state, size_t stop)
{
    double need_n = fabs(state->pull_n[stop]) / (grip_at(belt, layout, path, stop) - 1);
    return need_n - pressing_n(path, state, stop);
}

double swl_belt_hub_load_n(const swl_belt_path *path, const swl_belt_state *state, size_t stop)
{
    double in_n = state->tension_n[before(path, stop)] - state->centrifugal_n;
    double out_n = state->tension_n[stop] - state->centrifugal_n;
    if (!(in_n >= 0 && out_n >= 0)) {
        return NAN;
    }
    double square = in_n * in_n + out_n * out_n - 2 * in_n * out_n * cos(path->stops[stop].wrap_rad);
    return square > 0 ? sqrt(square) : 0;
}
