/* GSL ends the process on an error unless it is told not to, and where it is short of memory some of its functions read
 * what they have not got. */
#ifndef SWL_BASE_GSL_QUIET_H
#define SWL_BASE_GSL_QUIET_H

#include <gsl/gsl_matrix.h>
#include <gsl/gsl_multifit.h>
#include <gsl/gsl_odeiv2.h>
#include <gsl/gsl_permutation.h>

/* Errors come back as codes from here on. Once in a process; safe to call from any thread. */
void swl_gsl_quiet(void);

/* As the GSL functions after whose names they are called, with the same arguments and codes, after swl_gsl_quiet;
 * without memory GSL_ENOMEM or NULL, and what GSL has made for itself by then is not given back. */
int swl_gsl_linalg_LU_decomp(gsl_matrix *a, gsl_permutation *p, int *sign);
int swl_gsl_multifit_linear(const gsl_matrix *x, const gsl_vector *y, gsl_vector *c, gsl_matrix *covariance,
                            double *chi2, gsl_multifit_linear_workspace *work);
int swl_gsl_multifit_nlinear_covar(const gsl_matrix *jacobian, double tolerance, gsl_matrix *covariance);
gsl_odeiv2_driver *swl_gsl_odeiv2_driver_alloc_y_new(const gsl_odeiv2_system *system, const gsl_odeiv2_step_type *step,
                                                     double start, double error_abs, double error_rel);

#endif
