#include "sweptline/build.h"

bool swl_build_sound(const swl_build *build)
{
    const swl_site *site = &build->site;
    const swl_blower *blower = &build->blower;
    /* Comparisons that a value left out, NAN, does not fail. */
    bool wide = build->intake.adapter_bore_m > build->intake.inlet_bore_m;
    bool wet = site->rh_frac > 0 && swl_air_humid(site->t_k, site->p_pa, site->rh_frac).x_water > 0.5;
    bool limits = blower->short_time_rpm < blower->continuous_rpm;
    bool speeds = build->engine.speed_limit_rpm < build->engine.speed_from_rpm;
    return !wide && !wet && !limits && !speeds;
}

void swl_build_set(swl_build *build, const swl_input *input, double value)
{
    *(double *)(void *)((char *)build + input->offset) = value;
}

void swl_build_free(swl_build *build)
{
    swl_curve_free(build->engine.ve);
    swl_curve_free(build->engine.ve_half_width);
    swl_curve_free(build->engine.friction);
    swl_curve_free(build->cooler.effectiveness);
    swl_curve_free(build->cooler.effectiveness_half_width);
    build->cooler.effectiveness = NULL;
    build->cooler.effectiveness_half_width = NULL;
    build->engine.ve = NULL;
    build->engine.ve_half_width = NULL;
    build->engine.friction = NULL;
    swl_belt_free(build->belt);
    build->belt = NULL;
    swl_curve_free(build->injection.pump);
    build->injection.pump = NULL;
    swl_blower_free(&build->blower);
}
