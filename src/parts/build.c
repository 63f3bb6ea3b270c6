#include "sweptline/build.h"

void swl_build_free(swl_build *build)
{
    swl_curve_free(build->engine.ve);
    build->engine.ve = NULL;
    swl_blower_free(&build->blower);
}
