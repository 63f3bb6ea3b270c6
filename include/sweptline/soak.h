/* Heat soak: the charge cooler's water circuit over a cycle of pulls and rests. */
#ifndef SWEPTLINE_SOAK_H
#define SWEPTLINE_SOAK_H

#include "sweptline/check.h"

enum { SWL_SOAK_PULLS_MAX = 100 };

/* How long the circuit is watched after the last pull for it to recover, at most. */
#define SWL_SOAK_WATCH_S 3600.0

/* At rest engine_rpm and t_charge_k are NAN. Where a pull starts or ends there are two rows of one time. */
typedef struct swl_soak_row {
    double time_s;
    size_t pull; /* counted from 1; 0 at rest */
    double engine_rpm;
    double t_coolant_k; /* of the circuit, which is what enters the core */
    double t_charge_k;
    double heat_in_w;  /* from the charge; at rest from the idling engine and its bay */
    double heat_out_w; /* at the front exchanger */
    bool on_map;       /* true at rest */
} swl_soak_row;

typedef struct swl_soak_pull {
    double start_s, end_s;
    double t_coolant_start_k, t_coolant_end_k;
    double t_charge_peak_k, peak_s, peak_rpm; /* of its rows, of which one stands at each end */
    double t_charge_end_k;
    double mdot_end_kg_s; /* engine's air at the end */
    double heat_in_j, heat_out_j;
    swl_verdict verdict; /* of the peak against the limit */
    double margin_frac;  /* NAN without a limit */
    bool on_map;         /* the peak rests on data of the map */
    bool coolant_held;   /* the coolant left the range of its properties, which are held there */
} swl_soak_pull;

/* Heats in J over the whole time. error_frac: what does not add up, as a share of the larger of in and out. */
typedef struct swl_soak_energy {
    double in_j, out_j, stored_j;
    double error_frac;
} swl_soak_energy;

/* rows and pulls are owned. */
typedef struct swl_soak {
    swl_soak_row *rows;
    size_t row_count;
    swl_soak_pull *pulls;
    size_t pull_count;
    swl_soak_energy energy;
    double t_start_k, t_peak_k, t_end_k; /* of the coolant */
    double t_rest_k;                     /* where it settles at rest; NAN without a front exchanger */
    double t_pull_k;      /* where it would settle at the end speed of a pull; NAN without a front exchanger */
    double t_recovered_k; /* at or below which the circuit counts as recovered */
    double recovery_s;    /* after the last pull; NAN when not within SWL_SOAK_WATCH_S */
    double capacity_j_k;  /* of coolant and metal, at the start */
    double t_front_air_k;
    double limit_k;    /* of the charge; NAN when not given */
    bool coolant_held; /* the coolant's properties were held at the end of what is known */
    size_t outside;    /* rows outside the map */
    size_t pull_rows;
    swl_limit_row over[SWL_LIMIT_ROWS_MAX]; /* limits of check, in steady flow, that are exceeded, but the charge's */
    size_t over_count;
    bool steady_charge_over; /* check's limit of the charge is exceeded: no verdict here, where the pulls decide */
    swl_limit_row steady_charge;
    char failure[SWL_ERR_TEXT_MAX]; /* why check has no operating line; empty where it has one */
    bool exceeded;                  /* by a pull or by a limit of check */
} swl_soak;

/* Follows one well-mixed circuit of coolant and metal: C dT/dt = Q(T, t) - P(T, t), with the pump always running. In a
 * pull the engine speed rises evenly at wide-open throttle and every instant is an operating point with the coolant at
 * T, so Q = m (h2 - h3); at rest Q is rest_heat_w. P is what the front exchanger rejects from T + Q/(m_w c_w). The
 * equation is integrated by the eighth-order Runge-Kutta method of Prince and Dormand (GNU Scientific Library) to
 * 1e-10, and anew from each end of a pull. Equations: docs/model.md. Given: a build with a cycle, a pump flow and a
 * coolant volume. Errors: SWL_ERR_USAGE when one of those is missing; SWL_ERR_SOLVE when a pull has no operating point
 * or the circuit holds so little that a million rates do not reach the cycle's end; SWL_ERR_MEMORY. The other limits of
 * check are held against the whole operating line. Left out: the time that coolant takes around the circuit, heat of
 * the engine bay, fans that switch. */
swl_status swl_soak_run(const swl_build *build, swl_soak *soak, swl_err *err) SWL_MUST_CHECK;
/* Whether the coolant cannot come back to t_recovered_k, as it settles at rest above it. False without a front
 * exchanger, where nothing is known of that. */
bool swl_soak_settles_above(const swl_soak *soak);
void swl_soak_free(swl_soak *soak);

#endif
