/* Fuel over the rev range: what the engine wants, and what injectors and pump have for it. */
#ifndef SWEPTLINE_FUELING_H
#define SWEPTLINE_FUELING_H

#include "sweptline/check.h"
#include "sweptline/supply.h"

/* The most that a fuel of the table would ask of this build's injectors and pump over the line, same air and lambda. */
typedef struct swl_fueling_fuel {
    const swl_fuel *fuel;
    double fuel_kg_s;  /* highest */
    double duty_frac;  /* highest */
    double pump_share; /* highest of fuel over pump flow; NAN without a pump */
    double engine_rpm; /* where the duty is highest */
} swl_fueling_fuel;

enum { SWL_FUELING_FUELS_MAX = 12 };

/* rows is owned, one for each row of the line. */
typedef struct swl_fueling {
    swl_supply *rows;
    double *engine_rpm; /* owned */
    size_t count;
    int injectors;
    double duty_limit_frac;     /* the build's, or 1 */
    double injector_least_kg_s; /* smallest that keeps it, held open at the rated pressure */
    double injector_rated_kg_s; /* the build's own there */
    const swl_fuel *fuel;
    double lambda;
    swl_fueling_fuel fuels[SWL_FUELING_FUELS_MAX];
    size_t fuel_count;
    bool exceeded; /* a limit of the build, those of the fuel among them */
} swl_fueling;

/* Given: a build with injectors. Errors: SWL_ERR_USAGE without; those of swl_check_run. */
swl_status swl_fueling_run(const swl_build *build, swl_fueling *study, swl_err *err) SWL_MUST_CHECK;
void swl_fueling_free(swl_fueling *study);

#endif
