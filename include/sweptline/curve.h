/* A curve through points: Steffen's monotone cubic, held at its end values outside. */
#ifndef SWEPTLINE_CURVE_H
#define SWEPTLINE_CURVE_H

#include "sweptline/err.h"

#include <stdbool.h>
#include <stddef.h>

typedef struct swl_curve swl_curve;

enum { SWL_CURVE_POINTS_MAX = 500 };

/* Makes a curve that passes through every point and has no extremum between two of them.
 * Given: count points, x strictly rising, all finite. One point makes a constant, two a straight line.
 * Returns: the curve, which the caller frees; NULL with SWL_ERR_USAGE or SWL_ERR_MEMORY in err.
 * Source: M. Steffen, A simple method for monotonic interpolation in one dimension,
 * Astronomy and Astrophysics 239 (1990) 443-450; computed by the GNU Scientific Library. */
swl_curve *swl_curve_new(const double *x, const double *y, size_t count, swl_err *err) SWL_MUST_CHECK;
void swl_curve_free(swl_curve *curve);

/* Returns: y at x; the end value outside the points. */
double swl_curve_at(const swl_curve *curve, double x);
double swl_curve_first_x(const swl_curve *curve);
double swl_curve_last_x(const swl_curve *curve);
size_t swl_curve_count(const swl_curve *curve);
/* Returns: the points' own arrays, of swl_curve_count entries, owned by the curve. */
const double *swl_curve_x(const swl_curve *curve);
const double *swl_curve_y(const swl_curve *curve);

#endif
