/* A smooth surface through scattered points. */
#ifndef SWL_SCAN_SURFACE_H
#define SWL_SCAN_SURFACE_H

#include "sweptline/err.h"

#include <stddef.h>

/* A thin-plate spline z(u, v); arrays are owned. */
typedef struct swl_surface {
    size_t count;
    double *u, *v, *z;
    size_t *group;
    double *weight; /* count of the spline, then 3 of the plane */
    double smoothing;
} swl_surface;

/* What leaving out each group of points in turn would have erred by. */
typedef struct swl_surface_unseen {
    double sum2; /* of squares over the points of the group */
    size_t count;
} swl_surface_unseen;

/* Fits by least squares with a price on bending. u, v, z, group and count are filled in by the caller.
 * Given: smoothing, the price, 0 for through all points; unseen with room for groups, or NULL.
 * Returns: SWL_OK; SWL_ERR_SOLVE when the points lie on a straight line; SWL_ERR_MEMORY.
 * Source: J. Duchon, Splines minimizing rotation-invariant semi-norms in Sobolev spaces (1977); G. Wahba, Spline models
 * for observational data (1990), section 2.4. Leaving out from one inverse: S. Rippa, Advances in Computational
 * Mathematics 11 (1999) 193-210, there for single points. Computed by the GNU Scientific Library. */
swl_status swl_surface_fit(swl_surface *surface, double smoothing, swl_surface_unseen *unseen, size_t groups,
                           swl_err *err) SWL_MUST_CHECK;
double swl_surface_at(const swl_surface *surface, double u, double v);
void swl_surface_free(swl_surface *surface);

#endif
