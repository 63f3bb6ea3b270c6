/* How far the results move for a small change of each input. */
#ifndef SWEPTLINE_SENSITIVITY_H
#define SWEPTLINE_SENSITIVITY_H

#include "sweptline/match.h"

enum { SWL_SENSITIVITY_MAX = 16 };

/* One input changed by one step, all else alike; what the results at one engine speed gain by it. */
typedef struct swl_sensitivity_row {
    const char *name;  /* for JSON */
    const char *words; /* the change, as "blower pulley 1 mm larger" */
    double d_boost_pa;
    double d_mdot_kg_s;
    double d_t2_k;
    double d_t3_k;
    double d_p_shaft_w;
} swl_sensitivity_row;

typedef struct swl_sensitivity {
    double engine_rpm;
    swl_sensitivity_row rows[SWL_SENSITIVITY_MAX];
    size_t count;
} swl_sensitivity;

/* Solves the build again for each change at one engine speed.
 * Given: a build, an engine speed in rev/min that has an operating point.
 * Errors: SWL_ERR_SOLVE when the build or a changed one has none; SWL_ERR_MEMORY. */
swl_status swl_sensitivity_run(const swl_build *build, double engine_rpm, swl_sensitivity *out,
                               swl_err *err) SWL_MUST_CHECK;

#endif
