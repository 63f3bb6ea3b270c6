#include "sweptline/build.h"

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
