/* What injectors and fuel pump supply at an operating point, against what the engine wants there. */
#ifndef SWEPTLINE_SUPPLY_H
#define SWEPTLINE_SUPPLY_H

#include "sweptline/power.h"

/* NAN where the build gives no injectors or no pump. */
typedef struct swl_supply {
    double fuel_kg_s;     /* wanted */
    double rail_pa;       /* gauge */
    double dp_pa;         /* across an injector */
    double injector_kg_s; /* one, held open */
    double duty_frac;     /* of the time that the injectors must be open; INFINITY when nothing flows */
    double pump_kg_s;     /* at that rail pressure */
    bool on_map;          /* whether the point lies inside the blower's map */
    int pump_held;        /* 1 where the rail pressure lies outside the pump's curve, whose end is held */
} swl_supply;

/* Given: a solved point of the build and its power. */
swl_supply swl_supply_at(const swl_build *build, const swl_power_basis *basis, const swl_point *point,
                         const swl_power *power);

/* How many injectors a build has: as given, else one a cylinder; 0 when neither is known. */
int swl_supply_injectors(const swl_build *build);

#endif
