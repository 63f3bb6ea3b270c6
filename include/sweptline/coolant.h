/* Water, and water with ethylene glycol, as the liquid of a charge cooler's circuit. */
#ifndef SWEPTLINE_COOLANT_H
#define SWEPTLINE_COOLANT_H

#include <stdbool.h>

/* glycol_frac is the share of ethylene glycol by volume: 0 for water, else 0.1 to 0.6.
 *
 * Water: quartics in temperature through IAPWS-IF97 at 0.2 MPa, 0 to 120 degC, within 0.006 % of its density and 0.06 %
 * of its heat capacity. Glycol: polynomials through the tables of aqueous ethylene glycol in the ASHRAE Handbook,
 * Fundamentals, chapter Physical Properties of Secondary Coolants, read for 10 to 50 % by volume at 0 to 100 degC; the
 * tables' values from memory, fair, the polynomials within 0.05 % of those.
 * Outside 0 to 120 degC (water) and -35 to 120 degC (glycol) the value at that end is held.
 * Left out: freezing and boiling, which bound the coolant long before; additives. */
#define SWL_GLYCOL_MIN_FRAC 0.1
#define SWL_GLYCOL_MAX_FRAC 0.6

/* Density in kg/m3, heat capacity in J/(kg K) and enthalpy in J/kg, from 0 degC, at a temperature in K. The enthalpy is
 * the integral of the heat capacity, outside the range too. */
double swl_coolant_rho_kg_m3(double glycol_frac, double t_k);
double swl_coolant_cp_j_kg_k(double glycol_frac, double t_k);
double swl_coolant_h_j_kg(double glycol_frac, double t_k);
/* Returns: whether the properties are read, not held, at a temperature in K. */
bool swl_coolant_covers(double glycol_frac, double t_k);

#endif
