#include "base/gsl_quiet.h"

#include <gsl/gsl_errno.h>
#include <gsl/gsl_linalg.h>
#include <gsl/gsl_multifit_nlinear.h>
#include <pthread.h>
#include <setjmp.h>

static pthread_once_t quiet_once = PTHREAD_ONCE_INIT;
/* Where a function that does not look after its memory is left; NULL outside of one. */
static _Thread_local jmp_buf *way_out;

static void on_error(const char *reason, const char *file, int line, int code)
{
    (void)reason;
    (void)file;
    (void)line;
    if (code == GSL_ENOMEM && way_out != NULL) {
        jmp_buf *to = way_out;
        way_out = NULL;
        longjmp(*to, 1);
    }
}

static void quiet(void)
{
    (void)gsl_set_error_handler(on_error);
}

void swl_gsl_quiet(void)
{
    (void)pthread_once(&quiet_once, quiet);
}

int swl_gsl_linalg_LU_decomp(gsl_matrix *a, gsl_permutation *p, int *sign)
{
    jmp_buf back;
    if (setjmp(back) != 0) {
        return GSL_ENOMEM;
    }
    way_out = &back;
    int code = gsl_linalg_LU_decomp(a, p, sign);
    way_out = NULL;
    return code;
}

int swl_gsl_multifit_linear(const gsl_matrix *x, const gsl_vector *y, gsl_vector *c, gsl_matrix *covariance,
                            double *chi2, gsl_multifit_linear_workspace *work)
{
    jmp_buf back;
    if (setjmp(back) != 0) {
        return GSL_ENOMEM;
    }
    way_out = &back;
    int code = gsl_multifit_linear(x, y, c, covariance, chi2, work);
    way_out = NULL;
    return code;
}

int swl_gsl_multifit_nlinear_covar(const gsl_matrix *jacobian, double tolerance, gsl_matrix *covariance)
{
    jmp_buf back;
    if (setjmp(back) != 0) {
        return GSL_ENOMEM;
    }
    way_out = &back;
    int code = gsl_multifit_nlinear_covar(jacobian, tolerance, covariance);
    way_out = NULL;
    return code;
}

gsl_odeiv2_driver *swl_gsl_odeiv2_driver_alloc_y_new(const gsl_odeiv2_system *system, const gsl_odeiv2_step_type *step,
                                                     double start, double error_abs, double error_rel)
{
    jmp_buf back;
    if (setjmp(back) != 0) {
        return NULL;
    }
    way_out = &back;
    gsl_odeiv2_driver *driver = gsl_odeiv2_driver_alloc_y_new(system, step, start, error_abs, error_rel);
    way_out = NULL;
    return driver;
}
