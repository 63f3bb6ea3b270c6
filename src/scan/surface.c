#include "scan/surface.h"

#include "base/gsl_quiet.h"

#include <gsl/gsl_errno.h>
#include <gsl/gsl_linalg.h>
#include <math.h>
#include <stdbool.h>
#include <stdlib.h>

/* r2 log r of the squared distance. */
static double kernel(double r2)
{
    return r2 > 0 ? 0.5 * r2 * log(r2) : 0;
}

static void fill(const swl_surface *s, double smoothing, gsl_matrix *m)
{
    size_t n = s->count;
    gsl_matrix_set_zero(m);
    for (size_t i = 0; i < n; i++) {
        for (size_t j = 0; j < i; j++) {
            double du = s->u[i] - s->u[j];
            double dv = s->v[i] - s->v[j];
            double k = kernel(du * du + dv * dv);
            gsl_matrix_set(m, i, j, k);
            gsl_matrix_set(m, j, i, k);
        }
        gsl_matrix_set(m, i, i, smoothing * (double)n);
        double plane[3] = {1, s->u[i], s->v[i]};
        for (size_t k = 0; k < 3; k++) {
            gsl_matrix_set(m, i, n + k, plane[k]);
            gsl_matrix_set(m, n + k, i, plane[k]);
        }
    }
}

/* The error at a group's points of the fit without them solves inverse_GG error = weight_G. */
static swl_status unseen_group(const swl_surface *s, const gsl_matrix *inverse, size_t group, swl_surface_unseen *out,
                               swl_err *err)
{
    size_t n = 0;
    for (size_t i = 0; i < s->count; i++) {
        n += s->group[i] == group;
    }
    *out = (swl_surface_unseen){0};
    /* A plane is left to be fitted by the others. */
    if (n == 0 || n + 3 > s->count) {
        return SWL_OK;
    }
    gsl_matrix *part = gsl_matrix_alloc(n, n);
    gsl_vector *x = gsl_vector_alloc(n);
    gsl_permutation *order = gsl_permutation_alloc(n);
    swl_status status = SWL_OK;
    if (part == NULL || x == NULL || order == NULL) {
        status = swl_err_set(err, SWL_ERR_MEMORY, "out of memory for a fit");
    } else {
        size_t row = 0;
        for (size_t i = 0; i < s->count; i++) {
            size_t column = 0;
            for (size_t j = 0; j < s->count && s->group[i] == group; j++) {
                if (s->group[j] == group) {
                    gsl_matrix_set(part, row, column++, gsl_matrix_get(inverse, i, j));
                }
            }
            if (s->group[i] == group) {
                gsl_vector_set(x, row++, s->weight[i]);
            }
        }
        int sign = 0;
        int code = swl_gsl_linalg_LU_decomp(part, order, &sign);
        if (code == GSL_ENOMEM) {
            status = swl_err_set(err, SWL_ERR_MEMORY, "out of memory for a fit");
        } else if (code == GSL_SUCCESS && gsl_linalg_LU_svx(part, order, x) == GSL_SUCCESS) {
            for (size_t i = 0; i < n; i++) {
                out->sum2 += gsl_vector_get(x, i) * gsl_vector_get(x, i);
            }
            out->count = n;
        }
    }
    gsl_matrix_free(part);
    gsl_vector_free(x);
    gsl_permutation_free(order);
    return status;
}

static swl_status solve(swl_surface *s, gsl_matrix *m, gsl_permutation *order, gsl_vector *x, swl_err *err)
{
    int sign = 0;
    gsl_vector_set_zero(x);
    for (size_t i = 0; i < s->count; i++) {
        gsl_vector_set(x, i, s->z[i]);
    }
    int code = swl_gsl_linalg_LU_decomp(m, order, &sign);
    if (code == GSL_ENOMEM) {
        return swl_err_set(err, SWL_ERR_MEMORY, "out of memory for a fit");
    }
    bool ok = code == GSL_SUCCESS && gsl_linalg_LU_svx(m, order, x) == GSL_SUCCESS;
    for (size_t i = 0; i < s->count + 3; i++) {
        s->weight[i] = gsl_vector_get(x, i);
        ok = ok && isfinite(s->weight[i]);
    }
    return ok ? SWL_OK : swl_err_set(err, SWL_ERR_SOLVE, "no surface fits: the islands lie on one straight line");
}

swl_status swl_surface_fit(swl_surface *s, double smoothing, swl_surface_unseen *unseen, size_t groups, swl_err *err)
{
    swl_gsl_quiet();
    size_t n = s->count + 3;
    s->smoothing = smoothing;
    free(s->weight);
    s->weight = calloc(n, sizeof *s->weight);
    gsl_matrix *m = gsl_matrix_alloc(n, n);
    gsl_matrix *inverse = unseen == NULL ? NULL : gsl_matrix_alloc(n, n);
    gsl_vector *x = gsl_vector_alloc(n);
    gsl_permutation *order = gsl_permutation_alloc(n);
    swl_status status = SWL_OK;
    if (s->weight == NULL || m == NULL || x == NULL || order == NULL || (unseen != NULL && inverse == NULL)) {
        status = swl_err_set(err, SWL_ERR_MEMORY, "out of memory for a fit");
        goto done;
    }
    fill(s, smoothing, m);
    status = solve(s, m, order, x, err);
    if (status == SWL_OK && unseen != NULL && gsl_linalg_LU_invert(m, order, inverse) != GSL_SUCCESS) {
        status = swl_err_set(err, SWL_ERR_SOLVE, "no surface fits: the islands lie on one straight line");
    }
    for (size_t g = 0; status == SWL_OK && unseen != NULL && g < groups; g++) {
        status = unseen_group(s, inverse, g, &unseen[g], err);
    }
done:
    gsl_matrix_free(m);
    gsl_matrix_free(inverse);
    gsl_vector_free(x);
    gsl_permutation_free(order);
    return status;
}

double swl_surface_at(const swl_surface *s, double u, double v)
{
    size_t n = s->count;
    double z = s->weight[n] + s->weight[n + 1] * u + s->weight[n + 2] * v;
    for (size_t i = 0; i < n; i++) {
        double du = u - s->u[i];
        double dv = v - s->v[i];
        z += s->weight[i] * kernel(du * du + dv * dv);
    }
    return z;
}

void swl_surface_free(swl_surface *s)
{
    free(s->u);
    free(s->v);
    free(s->z);
    free(s->group);
    free(s->weight);
    *s = (swl_surface){0};
}
