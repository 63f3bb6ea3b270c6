/* A build file, beside a unit that is sound. The input may bring further files: curves, or a unit of its own. */
#include "fuzz.h"

#include <math.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    fuzz_files files;
    swl_build build;
    swl_diags diags = {0};
    swl_err err = {0};
    fuzz_split(&files, "build.ini", data, size);
    fuzz_add_unit(&files);
    swl_source source = fuzz_source(&files);
    swl_status status = swl_build_load(&source, "build.ini", &build, &diags, &err);
    fuzz_hold_findings(&diags, status, &err);
    if (status == SWL_OK) {
        FUZZ_HOLD(isfinite(build.site.t_k) && isfinite(build.site.p_pa));
        FUZZ_HOLD(build.engine.speed_from_rpm > 0 && build.engine.speed_step_rpm > 0);
        FUZZ_HOLD(build.engine.speed_limit_rpm <= 30000);
        FUZZ_HOLD(build.engine.ve != NULL && build.blower.map != NULL);
        const swl_build *const builds[] = {&build, &build};
        swl_differences differences = {0};
        FUZZ_HOLD(swl_build_differences(builds, 2, build.units, &differences, &err) == SWL_OK);
        FUZZ_HOLD(differences.count == 0);
        swl_differences_free(&differences);
        swl_build_free(&build);
    }
    swl_diag_free(&diags);
    return 0;
}
