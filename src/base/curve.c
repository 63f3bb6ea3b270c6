#include "sweptline/curve.h"

#include "base/gsl_quiet.h"

#include <gsl/gsl_errno.h>
#include <gsl/gsl_interp.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

struct swl_curve {
    size_t count;
    double *x;
    double *y;
    gsl_interp *interp; /* NULL when there is one point */
};

swl_curve *swl_curve_new(const double *x, const double *y, size_t count, swl_err *err)
{
    bool sound = count >= 1 && count <= SWL_CURVE_POINTS_MAX;
    for (size_t i = 0; sound && i < count; i++) {
        sound = isfinite(x[i]) && isfinite(y[i]) && (i == 0 || x[i] > x[i - 1]);
    }
    if (!sound) {
        (void)swl_err_set(err, SWL_ERR_USAGE, "a curve wants 1 to %d finite points with rising x",
                          SWL_CURVE_POINTS_MAX);
        return NULL;
    }
    swl_gsl_quiet();
    swl_curve *curve = calloc(1, sizeof *curve);
    if (curve == NULL) {
        goto memory;
    }
    curve->count = count;
    curve->x = malloc(count * sizeof *x);
    curve->y = malloc(count * sizeof *y);
    if (curve->x == NULL || curve->y == NULL) {
        goto memory;
    }
    memcpy(curve->x, x, count * sizeof *x);
    memcpy(curve->y, y, count * sizeof *y);
    if (count > 1) {
        curve->interp = gsl_interp_alloc(count > 2 ? gsl_interp_steffen : gsl_interp_linear, count);
        if (curve->interp == NULL || gsl_interp_init(curve->interp, curve->x, curve->y, count) != GSL_SUCCESS) {
            goto memory;
        }
    }
    return curve;
memory:
    (void)swl_err_set(err, SWL_ERR_MEMORY, "out of memory for a curve");
    swl_curve_free(curve);
    return NULL;
}

void swl_curve_free(swl_curve *curve)
{
    if (curve != NULL) {
        gsl_interp_free(curve->interp);
        free(curve->x);
        free(curve->y);
        free(curve);
    }
}

double swl_curve_at(const swl_curve *curve, double x)
{
    if (isnan(x)) {
        return x;
    }
    if (x <= curve->x[0]) {
        return curve->y[0];
    }
    if (x >= curve->x[curve->count - 1]) {
        return curve->y[curve->count - 1];
    }
    return gsl_interp_eval(curve->interp, curve->x, curve->y, x, NULL);
}

double swl_curve_first_x(const swl_curve *curve)
{
    return curve->x[0];
}

double swl_curve_last_x(const swl_curve *curve)
{
    return curve->x[curve->count - 1];
}

size_t swl_curve_count(const swl_curve *curve)
{
    return curve->count;
}

const double *swl_curve_x(const swl_curve *curve)
{
    return curve->x;
}

const double *swl_curve_y(const swl_curve *curve)
{
    return curve->y;
}
