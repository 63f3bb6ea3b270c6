/* Compressible flow through a restriction, and losses entered as "pressure drop at a flow". */
#ifndef SWEPTLINE_FLOW_H
#define SWEPTLINE_FLOW_H

#include <stdbool.h>

/* Density at which every loss is entered. */
#define SWL_LOSS_DENSITY_KG_M3 1.2

/* Orifice flow function, m sqrt(R T) / (Cd A p_up), held at its maximum below the critical ratio.
 * Given: p_down/p_up in (0, 1], gamma above 1. Returns: a number without unit.
 * Source: J. B. Heywood, Internal Combustion Engine Fundamentals (1988), appendix C, eqs C.8 and C.9. */
double swl_flow_orifice(double p_ratio, double gamma);
/* Returns: the pressure ratio at and below which the flow is choked, (2/(g+1))^(g/(g-1)). */
double swl_flow_critical_ratio(double gamma);

/* Pressure ratio across a restriction that feeds a given volume flow.
 * A displacement machine draws a volume at the state behind its throttle, so the mass flow is proportional
 * to the pressure there: orifice(r) = demand * r. With u = r^((g-1)/g) this is the quadratic
 * k u^2 + u - 1 = 0, k = demand^2 (g-1)/(2g); below the critical ratio r = orifice maximum / demand.
 * Given: demand = V sqrt(R T_up) / (Cd A R T_down) with V in m3/s, without unit, 0 or more; gamma.
 * Returns: p_down/p_up, 1 for no demand; *choked tells whether the throat is sonic.
 * Left out: pressure recovery behind the throat; the area is the bore's. */
double swl_flow_throttle_ratio(double demand, double gamma, bool *choked);

/* Pressure ratio across a step from a bore into a larger one, ahead of a machine that draws a volume V at the far side.
 * The head that the step destroys is rho v^2/2 (1 - A/A_large)^2, rho and v those in the smaller bore; with m as in
 * swl_flow_throttle_ratio this is the quadratic k x^2 + x - 1 = 0, k = (1 - A/A_large)^2 (V/A)^2 / (2 R T).
 * Given: bores in m, the second not smaller; volume flow in m3/s, R in J/(kg K), temperature in K.
 * Returns: the pressure behind over that ahead. Source: Borda-Carnot, e.g. B. R. Munson, D. F. Young and T. H. Okiishi,
 * Fundamentals of Fluid Mechanics, section 8.4.2, sudden expansion. Left out: compressibility, at speeds well below
 * that of sound; what an adapter's shape gives back. */
double swl_flow_step_ratio(double bore_m, double bore_large_m, double vdot_m3_s, double r_j_kg_k, double t_k);

/* A pressure drop in Pa at a mass flow in kg/s; both 0 for no loss. */
typedef struct swl_loss {
    double dp_pa;
    double mdot_kg_s;
} swl_loss;

/* Given: a loss entered for air at 1.2 kg/m3. Returns: K in dp = K m^2 / rho, Pa kg/m3 / (kg/s)^2. */
double swl_flow_loss_factor(swl_loss loss);

#endif
