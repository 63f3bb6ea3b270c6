/* The operating point: where the blower's flow equals the engine's. */
#ifndef SWEPTLINE_MATCH_H
#define SWEPTLINE_MATCH_H

#include "sweptline/build.h"

#include <stdbool.h>
#include <stddef.h>

/* Why a solve stopped. */
typedef enum swl_match_end {
    SWL_MATCH_SOLVED,
    SWL_MATCH_BLOWER_TOO_SMALL, /* even at the lowest pressure ratio the engine swallows more than the blower supplies
                                 */
    SWL_MATCH_ENGINE_TOO_SMALL, /* even at the highest pressure ratio the engine swallows less */
    SWL_MATCH_COOLER_LOSS,      /* the loss of the charge cooler takes all the pressure that the blower makes */
    SWL_MATCH_AIR_RANGE,        /* a temperature lies outside what the air properties cover */
    SWL_MATCH_NOT_CONVERGED,
    SWL_MATCH_NOT_FINITE
} swl_match_end;

/* The bracket in which the pressure ratio is sought. */
#define SWL_MATCH_RATIO_MIN 0.3
#define SWL_MATCH_RATIO_MAX 8.0

/* Stations: 0 site, t upstream of the throttle, 1 blower inlet, 2 discharge, 3 manifold, e exhaust. */
typedef struct swl_point {
    double engine_rpm;
    double blower_rpm;    /* with slip */
    double corrected_rpm; /* at which the map is read */
    double p_ratio;       /* p2/p1 */
    double p_t_pa, p1_pa, p2_pa, p3_pa, p_e_pa;
    double p_throttle_pa; /* behind the throttle body, ahead of the adapter's step */
    double t1_k, t2s_k, t2_k, t3_k;
    double boost_pa; /* p3 - p0 */
    double mdot_kg_s;
    double vdot1_m3_s;
    double map_vdot_m3_s; /* vdot1 corrected to the map's air, where the point stands on the map */
    double ev_frac, ea_frac;
    double engine_ve_frac; /* after both corrections */
    double p_shaft_w;
    double q_cooler_w;    /* heat that the charge cooler takes out */
    double torque_nm;     /* at the blower's pulley shaft */
    double balance_frac;  /* (blower flow - engine flow)/flow that was left */
    unsigned map_where;   /* SWL_MAP_INSIDE or why not */
    bool ve_held;         /* engine speed outside the VE curve */
    bool choked;          /* the throttle body is choked */
    bool below_dew_point; /* the charge would give off water, which the model leaves out */
    bool several;         /* the flows balance at other pressure ratios too; set by swl_check_run */
    int evaluations;
    swl_match_end end;
    /* The water circuit; what does not exist is NAN. */
    double t_coolant_in_k, t_coolant_out_k; /* at the cooler's core; NAN without a cooler or a pump flow */
    double cooler_eff_frac;                 /* temperature drop of the charge over (T2 - coolant inlet) */
    bool cooler_settled; /* false: the core's temperatures were not found, and the end is SWL_MATCH_NOT_CONVERGED */
    double front_w_k;    /* heat that the front exchanger rejects for each kelvin; 0 without one */
    bool coolant_held;   /* the coolant's properties are held at the end of what is known */
} swl_point;

typedef struct swl_match swl_match;

/* Makes what solving wants: one a thread, no allocation afterwards.
 * Given: a build, which must outlive it and keep its values (or be set again).
 * Returns: the solver, which the caller frees; NULL with an error. */
swl_match *swl_match_new(const swl_build *build, swl_err *err) SWL_MUST_CHECK;
void swl_match_free(swl_match *match);
/* Turns the solver to another build, or to the same one after a change. Never allocates. */
void swl_match_set(swl_match *match, const swl_build *build);

/* Holds the coolant at the core's inlet at a temperature in K, whatever the build says, until the solver is set again:
 * for a circuit that is not in steady flow. NAN lets go. */
void swl_match_hold_coolant(swl_match *match, double t_k);

/* Solves one engine speed at wide-open throttle by Brent's method on the pressure ratio. Where the flows balance
 * more than once, as with a map whose efficiency collapses, it is the lowest that steps of 0.02 show.
 * Given: engine speed in rev/min, above 0.
 * Returns: the point; its end tells whether it was solved, and then the flows agree to 1e-12 or to the
 * last digit of the pressure ratio. Equations and their order: docs/model.md. */
swl_point swl_match_point(swl_match *match, double engine_rpm);

/* Looks for further balances in steps of 0.02, on a steep map only, since others have none.
 * Given: a point that this solver has solved. Returns: whether there are. */
bool swl_match_several(swl_match *match, const swl_point *point);

/* Everything at a pressure ratio, balanced or not; balance_frac tells how far off, and end is SWL_MATCH_SOLVED when
 * the numbers are sound. For plots and tests. Like swl_match_point it wants the build's volumetric efficiency. */
swl_point swl_match_state(swl_match *match, double engine_rpm, double p_ratio);

/* The blower alone on this build's site air: what a map shows at a corrected speed and a pressure ratio. */
typedef struct swl_map_state {
    double map_vdot_m3_s;
    double ea_frac;
    double t2_k;
    unsigned where;
} swl_map_state;
swl_map_state swl_match_map_state(swl_match *match, double corrected_rpm, double p_ratio);

/* The air and the blower inlet temperature in K that the solver uses. */
const swl_air *swl_match_air(const swl_match *match);
double swl_match_t1_k(const swl_match *match);

/* Returns: a reason in words that follows "at 3000 rpm", such as "the blower cannot supply the air: ...". */
const char *swl_match_reason(swl_match_end end);

#endif
