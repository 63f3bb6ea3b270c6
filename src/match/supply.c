#include "sweptline/supply.h"

#include <math.h>

int swl_supply_injectors(const swl_build *build)
{
    return build->injection.injectors > 0 ? build->injection.injectors : build->engine.cylinders;
}

swl_supply swl_supply_at(const swl_build *build, const swl_power_basis *basis, const swl_point *point,
                         const swl_power *power)
{
    const swl_injection *injection = &build->injection;
    double density_kg_m3 = basis->fuel->density_kg_m3;
    swl_supply supply = {.fuel_kg_s = power->fuel_kg_s,
                         .rail_pa = NAN,
                         .dp_pa = NAN,
                         .injector_kg_s = NAN,
                         .duty_frac = NAN,
                         .pump_kg_s = NAN,
                         .on_map = point->map_where == SWL_MAP_INSIDE};
    if (!injection->given) {
        return supply;
    }
    supply.rail_pa = swl_injection_rail_pa(injection, build->site.p_pa, point->p3_pa);
    supply.dp_pa = swl_injection_dp_pa(injection, build->site.p_pa, point->p3_pa);
    supply.injector_kg_s = swl_injection_flow_kg_s(injection, density_kg_m3, supply.dp_pa);
    supply.duty_frac = power->fuel_kg_s / (supply.injector_kg_s * swl_supply_injectors(build));
    if (injection->pump != NULL) {
        supply.pump_kg_s = density_kg_m3 * swl_curve_at(injection->pump, supply.rail_pa);
        supply.pump_held =
            supply.rail_pa < swl_curve_first_x(injection->pump) || supply.rail_pa > swl_curve_last_x(injection->pump);
    }
    return supply;
}
