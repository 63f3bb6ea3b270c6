/* What the throttle body and its adapter cost. */
#ifndef SWEPTLINE_THROTTLE_H
#define SWEPTLINE_THROTTLE_H

#include "sweptline/check.h"

/* One engine speed with the throttle body as it is, and without throttle body and step. */
typedef struct swl_throttle_row {
    double site_pa;
    swl_point with;
    swl_point without;
    swl_power power_with; /* NAN members as in swl_power */
    swl_power power_without;
} swl_throttle_row;

/* rows is owned. The bores are those at which the loss across the throttle body itself is half of what it is at the
 * rev limit; NAN when no bore up to ten times the present one does it. */
typedef struct swl_throttle_study {
    swl_throttle_row *rows;
    size_t count;
    bool exceeded; /* the build as it is exceeds a limit */
    double bore_half_m;
    double loss_half_pa;  /* across the throttle body at that bore */
    double boost_half_pa; /* at the rev limit then */
} swl_throttle_study;

/* Solves the operating line twice, and the bore that halves the loss by bisection to a micrometre at the rev limit.
 * Given: a build with a throttle body.
 * Returns: SWL_OK and a study to free; SWL_ERR_USAGE without a throttle body; SWL_ERR_SOLVE as swl_check_run. */
swl_status swl_throttle_run(const swl_build *build, swl_throttle_study *study, swl_err *err) SWL_MUST_CHECK;
void swl_throttle_free(swl_throttle_study *study);

#endif
