/* The charge cooler: its core, and the water circuit with its front exchanger where a build has one. */
#ifndef SWEPTLINE_COOLER_H
#define SWEPTLINE_COOLER_H

#include "sweptline/air.h"
#include "sweptline/curve.h"
#include "sweptline/flow.h"

#include <stdbool.h>

/* All zeros: no cooler. A member that is not given is 0, and a curve NULL. At most one of effectiveness_frac,
 * effectiveness and ua_w_k; either t_coolant_k or a front exchanger. */
typedef struct swl_cooler {
    double effectiveness_frac;
    double t_coolant_k; /* at the core's inlet */
    swl_loss loss;
    swl_curve *effectiveness;            /* fraction over air flow in kg/s, owned by whoever owns the build */
    swl_curve *effectiveness_half_width; /* of its points; NULL when none was given */
    double effectiveness_shift;          /* how many half-widths the curve is moved by */
    double ua_w_k;
    int passes; /* of the core; 0 and 1 are one */
    double glycol_frac;
    double coolant_m3_s; /* pump */
    double front_effectiveness_frac;
    double front_ua_w_k;
    double front_air_kg_s;
    double t_front_air_k;     /* 0: that of the site */
    double coolant_volume_m3; /* of the whole circuit */
    double metal_j_k;         /* heat capacity of what warms with the coolant */
} swl_cooler;

bool swl_cooler_there(const swl_cooler *cooler);
/* Whether it has an effectiveness of one value with a coolant of known temperature, 0 % included. */
bool swl_cooler_is_constant(const swl_cooler *cooler);
/* Whether the coolant's temperature follows from a front exchanger. */
bool swl_cooler_has_loop(const swl_cooler *cooler);

/* Air in front of the front exchanger, K. */
double swl_cooler_front_air_k(const swl_cooler *cooler, double t_site_k);

/* Heat capacity flow of the pumped coolant in W/K: density at the core's inlet, heat capacity at the mean of inlet and
 * outlet. 0 without a pump flow. */
double swl_cooler_flow_w_k(const swl_cooler *cooler, double t_in_k, double t_out_k);

/* Heat in W that the front exchanger rejects for each kelvin between coolant and air that come in: eps C_min, or by its
 * UA as one cross-flow pass, both fluids unmixed. Given: capacity flow of the coolant in W/K, flow in kg/s, heat
 * capacity in J/(kg K) of the air. 0 without a front exchanger or without air. */
double swl_cooler_front_w_k(const swl_cooler *cooler, double flow_w_k, double air_kg_s, double cp_air_j_kg_k);

/* t_out_k is NAN without a pump flow, and both are NAN without a cooler. */
typedef struct swl_cooler_state {
    double t3_k;
    double t_in_k, t_out_k; /* of the coolant at the core */
    double eff_frac;        /* temperature drop of the charge over (T2 - t_in) */
    double front_w_k;       /* swl_cooler_front_w_k, with the air flow of the build */
    double flow_w_k;
    bool settled; /* false where the temperatures are not those of a steady flow; no other member holds then */
} swl_cooler_state;

/* Charge and coolant around the core in steady flow. With a loop the coolant's inlet follows from the front exchanger,
 * unless t_held_k holds it; its rejection is then not that of the core.
 * Given: the cooler, the charge's air, its flow in kg/s (above 0) and temperature in K, the site's temperature in K,
 * the temperature in K at which the coolant's inlet is held, or NAN.
 * Heat capacities are means over the stream's own temperatures, so that m (h2 - h3) is what the coolant takes up; they
 * are found by substitution, until a round changes no temperature by more than 1e-10 K; one that still changes more
 * than 1e-9 K after 60 rounds has not settled. Equations: docs/model.md. */
swl_cooler_state swl_cooler_solve(const swl_cooler *cooler, const swl_air *air, double mdot_kg_s, double t2_k,
                                  double t_site_k, double t_held_k);

#endif
