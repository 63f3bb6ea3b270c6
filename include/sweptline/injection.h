/* Injectors and fuel pump against the fuel that the engine wants. */
#ifndef SWEPTLINE_INJECTION_H
#define SWEPTLINE_INJECTION_H

#include "sweptline/curve.h"

#include <stdbool.h>

/* Injectors are taken as rated with petrol of the table of fuels. A rating with a lighter test fluid, as n-heptane of
 * 684 kg/m3 (from memory), stands for 4 % more of this. */
#define SWL_RATING_KG_M3 745.0

/* Flow of one injector held open, at a pressure across it: a mass flow, or a volume flow, of petrol. */
typedef struct swl_injector_rating {
    double mdot_kg_s; /* NAN when the volume flow is given */
    double vdot_m3_s; /* NAN when the mass flow is given */
    double dp_pa;
} swl_injector_rating;

/* Curves are owned by whoever owns this. */
typedef struct swl_injection {
    bool given;    /* injectors are */
    int injectors; /* 0: one a cylinder */
    swl_injector_rating rating;
    double rail_pa; /* gauge, or over the manifold when it follows boost */
    bool rail_follows_boost;
    swl_curve *pump; /* m3/s over gauge rail pressure in Pa; NULL when not given */
} swl_injection;

/* Pressure across an injector in Pa, below 0 where the manifold is above the rail.
 * Given: site and manifold pressure, absolute. */
double swl_injection_dp_pa(const swl_injection *injection, double p0_pa, double p3_pa);
/* Gauge pressure at the rail, which the pump works against. */
double swl_injection_rail_pa(const swl_injection *injection, double p0_pa, double p3_pa);

/* Flow of one injector held open at a pressure across it, in kg/s: rating times sqrt(rho/rho_rating dp/dp_rating); none
 * below 0. Given: the fuel's density in kg/m3. Source: Bernoulli's equation for an orifice. Left out: the time an
 * injector takes to open and close, which a pulse of a few milliseconds loses a part of. */
double swl_injection_flow_kg_s(const swl_injection *injection, double density_kg_m3, double dp_pa);

#endif
