/* The engine as an air pump. */
#ifndef SWEPTLINE_ENGINE_H
#define SWEPTLINE_ENGINE_H

#include "sweptline/curve.h"
#include "sweptline/flow.h"

#include <stdbool.h>

enum { SWL_FUEL_MAX = 48 };

/* ve and ve_half_width are owned by whoever owns the engine. lambda to driveline_loss_frac are NAN when not given. */
typedef struct swl_engine {
    double disp_m3;
    int cylinders;            /* 0 when not given */
    double compression_ratio; /* NAN when not given */
    double speed_from_rpm;
    double speed_step_rpm;
    double speed_limit_rpm;
    double over_rev_rpm;
    swl_curve *ve;             /* fraction over rev/min */
    swl_curve *ve_half_width;  /* of its points, over the same speeds; NULL when none was given */
    double ve_shift;           /* how many half-widths the curve is moved by */
    double ve_factor;          /* what the curve is multiplied by */
    bool ve_t_sqrt;            /* correct for charge temperature */
    double t_ve_k;             /* charge temperature at which ve was measured; NAN when not given */
    bool ve_p_ideal;           /* correct for exhaust over intake pressure */
    double ve_p_exhaust_ratio; /* exhaust over intake pressure at which ve was measured */
    swl_loss back_pressure;    /* exhaust gauge pressure at a flow */
    double lambda;
    char fuel[SWL_FUEL_MAX];
    double known_power_w;
    double known_power_speed_rpm;
    double driveline_loss_frac;
    double indicated_eff_frac; /* NAN when not given */
    swl_curve *friction;       /* mean effective pressure in Pa over rev/min, owned; NULL when not given */
} swl_engine;

/* Volumetric efficiency of the ideal four-stroke cycle, gamma 1.4.
 * Given: compression ratio above 1, exhaust over intake pressure. Returns: a fraction, below 0 when the
 * clearance gas fills the cylinder. Source: J. B. Heywood, Internal Combustion Engine Fundamentals (1988),
 * section 6.2.1, from eq. 5.38: r/(r-1) - (pe/pi + g - 1)/(g (r-1)). Left out: valve timing and overlap. */
double swl_engine_ideal_ve_frac(double compression_ratio, double p_exhaust_ratio);

/* The curve's value at a speed in rev/min with shift and factor, before both corrections: a fraction, 0 or more. */
double swl_engine_ve_curve_frac(const swl_engine *engine, double speed_rpm);

/* Exhaust pressure in Pa at a mass flow in kg/s, with p0 in Pa. */
double swl_engine_exhaust_pa(const swl_engine *engine, double p0_pa, double mdot_kg_s);

/* Volumetric efficiency after both corrections, referred to the manifold.
 * Given: the curve's value (fraction), charge temperature in K, exhaust over manifold pressure.
 * Returns: a fraction, 0 or more. Source of the temperature term, sqrt(T3/T_ve): Heywood section 6.2. */
double swl_engine_ve_frac(const swl_engine *engine, double ve_frac, double t3_k, double p_exhaust_ratio);

/* The engine breathing from a manifold of its own, without a blower. */
typedef struct swl_aspirated {
    double mdot_kg_s;
    double ve_frac;
    double p_exhaust_pa;
} swl_aspirated;

/* Flow and exhaust pressure depend on each other; the flow is bracketed, since more of it never lets more in, and
 * halved to the last digit. Given: manifold pressure in Pa, which the exhaust opens to, charge temperature in K, R in
 * J/(kg K), engine speed in rev/min. */
swl_aspirated swl_engine_aspirated(const swl_engine *engine, double p_pa, double t_k, double r_j_kg_k,
                                   double speed_rpm);

/* Air mass flow in kg/s into a four-stroke: ve p3/(R T3) Vd N/120.
 * Given: ve (fraction), manifold pressure in Pa and temperature in K, R in J/(kg K), engine speed in rev/min. */
double swl_engine_mdot_kg_s(const swl_engine *engine, double ve_frac, double p3_pa, double t3_k, double r_j_kg_k,
                            double speed_rpm);

#endif
