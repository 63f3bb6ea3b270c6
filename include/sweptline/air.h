/* Humid air of fixed composition as a mixture of ideal gases. */
#ifndef SWEPTLINE_AIR_H
#define SWEPTLINE_AIR_H

#include <stdbool.h>

/* cp[0..6] are the mixture's coefficients of cp/R in T^-2 .. T^4; b_h its enthalpy constant.
 * x_water is the mole fraction of water vapour. */
typedef struct swl_air {
    double r_j_kg_k;
    double molar_mass_kg_mol;
    double x_water;
    double cp[7];
    double b_h;
} swl_air;

#define SWL_AIR_T_MIN_K 200.0
#define SWL_AIR_T_MAX_K 1000.0

/* Makes air of a relative humidity, which is over ice below 0 degC.
 * Given: temperature 200..373 K, pressure above 0 Pa, relative humidity 0..1 (fraction).
 * Returns: the mixture. A vapour pressure above the total pressure gives x_water above 1, which the caller refuses.
 * Dry air by mole: N2 0.780840, O2 0.209476, Ar 0.009365, CO2 0.000319.
 * Source: B. J. McBride, M. J. Zehe, S. Gordon, NASA Glenn Coefficients for Calculating Thermodynamic Properties
 * of Individual Species, NASA/TP-2002-211556 (2002), 200 to 1000 K interval; R = 8.31446261815324 J/(mol K), SI 2019.
 * Left out: real-gas effects, condensation, the enhancement factor of vapour in air (below 0.5 % of x_water). */
swl_air swl_air_humid(double t_k, double p_pa, double rh_frac);

/* Each takes a temperature in kelvin, 200..1000; outside, cp keeps its end value so that a solver's
 * bracket stays well behaved, and swl_air_covers tells.
 * Returns: cp in J/(kg K), the ratio of specific heats, h in J/kg (heats of formation included),
 * and the part of the entropy that depends on temperature in J/(kg K), less its mixing constant. */
double swl_air_cp_j_kg_k(const swl_air *air, double t_k);
double swl_air_gamma(const swl_air *air, double t_k);
double swl_air_h_j_kg(const swl_air *air, double t_k);
double swl_air_s0_j_kg_k(const swl_air *air, double t_k);
bool swl_air_covers(double t_k);

/* Returns: the temperature in kelvin at which h has the given value; Newton from the guess, which
 * is above 0, to 1e-12 relative. */
double swl_air_t_of_h_k(const swl_air *air, double h_j_kg, double guess_k);

/* Temperature after an isentropic change of pressure: s0(t2) = s0(t1) + R ln(p2/p1).
 * Given: t1 in kelvin, the pressure ratio p2/p1 above 0. Returns: t2 in kelvin, to 1e-12 relative. */
double swl_air_t_isentropic_k(const swl_air *air, double t1_k, double p_ratio);

/* Saturation pressure of water vapour, over ice below 0 degC, over liquid from 0 degC.
 * Given: temperature 173..473 K. Returns: Pa.
 * Source: R. W. Hyland and A. Wexler (1983), as in ASHRAE Handbook, Fundamentals, chapter Psychrometrics. */
double swl_air_saturation_pa(double t_k);

/* Given: the air, a pressure of up to 1 MPa.
 * Returns: the temperature in kelvin at which it starts to give off water; 0 for dry air. */
double swl_air_dew_point_k(const swl_air *air, double p_pa);

#endif
