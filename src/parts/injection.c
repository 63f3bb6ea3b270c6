#include "sweptline/injection.h"

#include <math.h>

double swl_injection_rail_pa(const swl_injection *injection, double p0_pa, double p3_pa)
{
    return injection->rail_pa + (injection->rail_follows_boost ? p3_pa - p0_pa : 0);
}

double swl_injection_dp_pa(const swl_injection *injection, double p0_pa, double p3_pa)
{
    return injection->rail_pa - (injection->rail_follows_boost ? 0 : p3_pa - p0_pa);
}

double swl_injection_flow_kg_s(const swl_injection *injection, double density_kg_m3, double dp_pa)
{
    const swl_injector_rating *rating = &injection->rating;
    double rated_kg_s = isnan(rating->mdot_kg_s) ? rating->vdot_m3_s * SWL_RATING_KG_M3 : rating->mdot_kg_s;
    return dp_pa > 0 ? rated_kg_s * sqrt(density_kg_m3 / SWL_RATING_KG_M3 * dp_pa / rating->dp_pa) : 0;
}
