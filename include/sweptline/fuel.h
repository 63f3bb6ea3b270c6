/* Fuels: what a kilogram of each burns in and gives. */
#ifndef SWEPTLINE_FUEL_H
#define SWEPTLINE_FUEL_H

#include <stddef.h>

/* hydrogen and oxygen are atoms to one of carbon; of a blend, on average. */
typedef struct swl_fuel {
    const char *name;
    double hydrogen;
    double oxygen;
    double lhv_j_kg;       /* lower heating value of the liquid */
    double density_kg_m3;  /* near 20 degC */
    double air_fuel_ratio; /* stoichiometric, kg of dry air to a kg of fuel */
    const char *source;    /* of composition, heating value and density */
} swl_fuel;

/* Returns: the fuel of a name in small letters, NULL when there is none. NULL and "" are petrol. */
const swl_fuel *swl_fuel_find(const char *name);
/* Returns: the fuel at a place in the table, NULL past its end. */
const swl_fuel *swl_fuel_at(size_t index);

/* Stoichiometric air-fuel ratio of CHyOz in dry air, (1 + y/4 - z/2) M_air/x_O2 over the fuel's mass to an atom of
 * carbon. Given: y and z, with 1 + y/4 - z/2 above 0. Source: J. B. Heywood, Internal Combustion Engine Fundamentals
 * (1988), section 3.4, with the air of include/sweptline/air.h (x_O2 0.209476, 28.9651 g/mol). */
double swl_fuel_air_ratio(double hydrogen, double oxygen);

#endif
