#include "scan/speed_line.h"

#include "base/gsl_quiet.h"

#include <gsl/gsl_errno.h>
#include <gsl/gsl_multifit.h>
#include <math.h>
#include <stdlib.h>

/* A speed line bends slowly: one term more for so many pixels takes out the grain and keeps the bend. */
#define PX_A_TERM 160.0
#define FAR_TIMES 2.5
#define FAR_LEAST_PX 0.4
enum { ORDER = 4, PASSES = 4 };

/* Cubic B-splines on even knots that go on beyond both ends: the value of each of the four that are not 0, and the
 * first one's place. */
static size_t basis(const swl_speed_line *line, double p_ratio, double value[ORDER])
{
    size_t spans = line->terms - (ORDER - 1);
    double at = (p_ratio - line->low) / (line->high - line->low) * (double)spans;
    double first = fmin(fmax(floor(at), 0), (double)spans - 1);
    double t = at - first;
    value[0] = (1 - t) * (1 - t) * (1 - t) / 6;
    value[1] = (3 * t * t * t - 6 * t * t + 4) / 6;
    value[2] = (-3 * t * t * t + 3 * t * t + 3 * t + 1) / 6;
    value[3] = t * t * t / 6;
    return (size_t)first;
}

double swl_speed_line_at(const swl_speed_line *line, double p_ratio)
{
    double value[ORDER];
    size_t first = basis(line, p_ratio, value);
    double sum = 0;
    for (size_t k = 0; k < ORDER; k++) {
        sum += value[k] * line->term[first + k];
    }
    return sum;
}

static swl_status fit_terms(const double *flow, const double *p_ratio, size_t count, swl_speed_line *line, swl_err *err)
{
    gsl_matrix *x = gsl_matrix_calloc(count, line->terms);
    gsl_vector *y = gsl_vector_alloc(count);
    gsl_vector *c = gsl_vector_alloc(line->terms);
    gsl_matrix *covariance = gsl_matrix_alloc(line->terms, line->terms);
    gsl_multifit_linear_workspace *work = gsl_multifit_linear_alloc(count, line->terms);
    swl_status status = SWL_OK;
    if (x == NULL || y == NULL || c == NULL || covariance == NULL || work == NULL) {
        status = swl_err_set(err, SWL_ERR_MEMORY, "out of memory for a fit");
    } else {
        double chi2 = 0;
        for (size_t i = 0; i < count; i++) {
            double value[ORDER];
            size_t first = basis(line, p_ratio[i], value);
            for (size_t k = 0; k < ORDER; k++) {
                gsl_matrix_set(x, i, first + k, value[k]);
            }
            gsl_vector_set(y, i, flow[i]);
        }
        int code = swl_gsl_multifit_linear(x, y, c, covariance, &chi2, work);
        if (code == GSL_ENOMEM) {
            status = swl_err_set(err, SWL_ERR_MEMORY, "out of memory for a fit");
        } else if (code != GSL_SUCCESS) {
            status = swl_err_set(err, SWL_ERR_SOLVE, "no smooth line fits its points");
        }
        for (size_t k = 0; k < line->terms && status == SWL_OK; k++) {
            line->term[k] = gsl_vector_get(c, k);
        }
    }
    gsl_matrix_free(x);
    gsl_vector_free(y);
    gsl_vector_free(c);
    gsl_matrix_free(covariance);
    gsl_multifit_linear_free(work);
    return status;
}

/* How far a point stands off the fit, in pixels. */
static double off_line(const swl_calibration *calibration, const swl_speed_line *line, double flow, double p_ratio)
{
    swl_pixel is;
    swl_pixel fit;
    swl_calibration_pixel(calibration, flow, p_ratio, &is.x, &is.y);
    swl_calibration_pixel(calibration, swl_speed_line_at(line, p_ratio), p_ratio, &fit.x, &fit.y);
    return hypot(is.x - fit.x, is.y - fit.y);
}

static double residual_of(const swl_calibration *calibration, const swl_speed_line *line, const double *flow,
                          const double *p_ratio, size_t count)
{
    double sum2 = 0;
    for (size_t i = 0; i < count; i++) {
        double off = off_line(calibration, line, flow[i], p_ratio[i]);
        sum2 += off * off;
    }
    return sqrt(sum2 / (double)count);
}

/* Drops points that stand far off all others' line: where the line's end runs into a sign. Returns: how many are left.
 */
static size_t drop_far(const swl_calibration *calibration, const swl_speed_line *line, double *flow, double *p_ratio,
                       size_t count, double rms_px)
{
    size_t kept = 0;
    double most_px = fmax(FAR_TIMES * rms_px, FAR_LEAST_PX);
    for (size_t i = 0; i < count; i++) {
        if (off_line(calibration, line, flow[i], p_ratio[i]) <= most_px) {
            flow[kept] = flow[i];
            p_ratio[kept++] = p_ratio[i];
        }
    }
    return kept;
}

static swl_status fit_once(const swl_track *track, const double *flow, const double *p_ratio, size_t count,
                           swl_speed_line *line, swl_err *err)
{
    *line = (swl_speed_line){.low = INFINITY, .high = -INFINITY};
    for (size_t i = 0; i < count; i++) {
        line->low = fmin(line->low, p_ratio[i]);
        line->high = fmax(line->high, p_ratio[i]);
    }
    if (!(line->high - line->low > 1e-3)) {
        return swl_err_set(err, SWL_ERR_SOLVE, "a speed line covers no span of pressure ratio");
    }
    double terms = fmin(ORDER + floor(track->length_px / PX_A_TERM), SWL_SPEED_LINE_TERMS_MAX);
    line->terms = (size_t)fmin(terms, fmax(ORDER, (double)count / 3));
    return fit_terms(flow, p_ratio, count, line, err);
}

swl_status swl_speed_line_fit(const swl_track *track, const swl_calibration *calibration, swl_speed_line *line,
                              double *residual_px, swl_err *err)
{
    swl_gsl_quiet();
    size_t count = track->count;
    double *flow = calloc(track->count + 1, sizeof *flow);
    double *p_ratio = calloc(track->count + 1, sizeof *p_ratio);
    swl_status status = SWL_OK;
    if (flow == NULL || p_ratio == NULL) {
        status = swl_err_set(err, SWL_ERR_MEMORY, "out of memory for a fit");
    }
    for (size_t i = 0; i < track->count && status == SWL_OK; i++) {
        swl_calibration_value(calibration, track->points[i].x, track->points[i].y, &flow[i], &p_ratio[i]);
    }
    for (int pass = 0; pass < PASSES && status == SWL_OK && flow != NULL && p_ratio != NULL; pass++) {
        status = fit_once(track, flow, p_ratio, count, line, err);
        if (status == SWL_OK) {
            double rms_px = residual_of(calibration, line, flow, p_ratio, count);
            *residual_px = pass == 0 ? rms_px : *residual_px;
            count = pass + 1 < PASSES ? drop_far(calibration, line, flow, p_ratio, count, rms_px) : count;
        }
    }
    free(flow);
    free(p_ratio);
    return status;
}
