#include "sweptline/calibration.h"

#include "base/gsl_quiet.h"

#include <gsl/gsl_multifit.h>
#include <math.h>
#include <stdio.h>

enum { TERMS_MAX = 3 };

#define FLATNESS_MIN 0.01
#define AXES_SINE_MIN 0.087 /* of 5 degrees */

static swl_status refuse(swl_calibration_fault *fault, size_t first, size_t second, const char *text, swl_err *err)
{
    *fault = (swl_calibration_fault){.first = first, .second = second};
    (void)snprintf(fault->text, sizeof fault->text, "%s", text);
    return swl_err_set(err, SWL_ERR_INPUT, "%s", text);
}

static double level_of(double value, bool logarithmic)
{
    return logarithmic ? log(value) : value;
}

/* The points that a fit rests on: where they are, and their terms but for the constant one. */
typedef struct rows {
    size_t id[SWL_CALIBRATION_POINTS_MAX];
    double pixel[SWL_CALIBRATION_POINTS_MAX][2];
    double term[SWL_CALIBRATION_POINTS_MAX][2];
    size_t count;
    size_t terms;
} rows;

/* The points of one axis, x's when is_x, else y's. */
static rows rows_of_axis(const swl_calibration *c, bool is_x)
{
    rows r = {.terms = 1};
    for (size_t i = 0; i < c->count; i++) {
        const swl_calibration_point *point = &c->points[i];
        double value = is_x ? point->x : point->y;
        if (isnan(value)) {
            continue;
        }
        r.id[r.count] = i;
        r.pixel[r.count][0] = isnan(point->px) ? 0 : point->px;
        r.pixel[r.count][1] = isnan(point->py) ? 0 : point->py;
        r.term[r.count++][0] = level_of(value, is_x ? c->x_log : c->y_log);
    }
    return r;
}

static rows rows_of_corners(const swl_calibration *c)
{
    rows r = {.terms = 2, .count = c->count};
    for (size_t i = 0; i < c->count; i++) {
        const swl_calibration_point *point = &c->points[i];
        r.id[i] = i;
        r.pixel[i][0] = point->px;
        r.pixel[i][1] = point->py;
        r.term[i][0] = level_of(point->x, c->x_log);
        r.term[i][1] = level_of(point->y, c->y_log);
    }
    return r;
}

/* Least squares of one pixel coordinate: pixel = f[0] + f[1] term[0] + f[2] term[1]. The terms are put on a span of
 * about one about their mean first, so that flows of 0.1 and ratios of 2 weigh alike. */
static swl_status fit(const rows *r, size_t coordinate, double f[TERMS_MAX], swl_err *err)
{
    size_t n = r->terms + 1;
    double mean[2] = {0, 0};
    double span[2] = {0, 0};
    for (size_t t = 0; t < r->terms; t++) {
        for (size_t i = 0; i < r->count; i++) {
            mean[t] += r->term[i][t] / (double)r->count;
        }
        for (size_t i = 0; i < r->count; i++) {
            span[t] = fmax(span[t], fabs(r->term[i][t] - mean[t]));
        }
    }
    gsl_matrix *design = gsl_matrix_alloc(r->count, n);
    gsl_matrix *covariance = gsl_matrix_alloc(n, n);
    gsl_vector *pixel = gsl_vector_alloc(r->count);
    gsl_vector *factor = gsl_vector_alloc(n);
    gsl_multifit_linear_workspace *work = gsl_multifit_linear_alloc(r->count, n);
    bool made = design != NULL && covariance != NULL && pixel != NULL && factor != NULL && work != NULL;
    for (size_t i = 0; i < r->count && made; i++) {
        gsl_vector_set(pixel, i, r->pixel[i][coordinate]);
        gsl_matrix_set(design, i, 0, 1);
        for (size_t t = 0; t < r->terms; t++) {
            gsl_matrix_set(design, i, t + 1, (r->term[i][t] - mean[t]) / span[t]);
        }
    }
    double squares = 0;
    made = made && swl_gsl_multifit_linear(design, pixel, factor, covariance, &squares, work) == 0;
    double none = NAN;
    f[0] = made ? gsl_vector_get(factor, 0) : none;
    for (size_t t = 0; t < r->terms; t++) {
        f[t + 1] = made ? gsl_vector_get(factor, t + 1) / span[t] : none;
        f[0] -= f[t + 1] * mean[t];
    }
    gsl_multifit_linear_free(work);
    gsl_vector_free(factor);
    gsl_vector_free(pixel);
    gsl_matrix_free(covariance);
    gsl_matrix_free(design);
    return made ? SWL_OK : swl_err_set(err, SWL_ERR_MEMORY, "out of memory for a calibration");
}

/* How far from a line points are: the least over the largest root-mean-square extent, 0 on a line to 1 all round. */
static double flatness(const double (*at)[2], size_t count)
{
    double mean[2] = {0, 0};
    double xx = 0;
    double xy = 0;
    double yy = 0;
    for (size_t i = 0; i < count; i++) {
        mean[0] += at[i][0] / (double)count;
        mean[1] += at[i][1] / (double)count;
    }
    for (size_t i = 0; i < count; i++) {
        double dx = at[i][0] - mean[0];
        double dy = at[i][1] - mean[1];
        xx += dx * dx;
        xy += dx * dy;
        yy += dy * dy;
    }
    double middle = (xx + yy) / 2;
    double half = hypot((xx - yy) / 2, xy);
    return middle + half > 0 ? sqrt(fmax(middle - half, 0) / (middle + half)) : 0;
}

static swl_status check_twice(const rows *r, swl_calibration_fault *fault, swl_err *err)
{
    for (size_t i = 0; i < r->count; i++) {
        for (size_t k = 0; k < i; k++) {
            if (hypot(r->pixel[i][0] - r->pixel[k][0], r->pixel[i][1] - r->pixel[k][1]) < 1e-9) {
                return refuse(fault, r->id[i], r->id[k], "the same pixel is given twice", err);
            }
            bool same = r->term[i][0] == r->term[k][0] && (r->terms == 1 || r->term[i][1] == r->term[k][1]);
            if (same) {
                return refuse(fault, r->id[i], r->id[k], "the same value is given twice, for two pixels", err);
            }
        }
    }
    return SWL_OK;
}

/* Along an axis the value must rise, or fall, from each point to the next. */
static swl_status check_order(const rows *r, const double along[2], swl_calibration_fault *fault, swl_err *err)
{
    for (size_t i = 0; i < r->count; i++) {
        for (size_t k = 0; k < i; k++) {
            double step = (r->pixel[i][0] - r->pixel[k][0]) * along[0] + (r->pixel[i][1] - r->pixel[k][1]) * along[1];
            if (!(step * (r->term[i][0] - r->term[k][0]) > 0)) {
                return refuse(
                    fault, r->id[i], r->id[k],
                    "the values do not rise, or fall, all along the axis: these two go the other way than the "
                    "rest",
                    err);
            }
        }
    }
    return SWL_OK;
}

/* One axis: pixel = base + value * along. */
static swl_status fit_axis(const swl_calibration *c, bool is_x, double base[2], double along[2],
                           swl_calibration_fault *fault, swl_err *err)
{
    rows r = rows_of_axis(c, is_x);
    if (r.count < 2) {
        return refuse(
            fault, 0, 0,
            is_x ? "two points or more are wanted on the x axis" : "two points or more are wanted on the y axis", err);
    }
    swl_status status = check_twice(&r, fault, err);
    for (size_t k = 0; k < 2 && status == SWL_OK; k++) {
        double f[TERMS_MAX] = {0};
        status = fit(&r, k, f, err);
        base[k] = f[0];
        along[k] = f[1];
    }
    return status == SWL_OK ? check_order(&r, along, fault, err) : status;
}

static double cross(const double a[2], const double b[2])
{
    return a[0] * b[1] - a[1] * b[0];
}

static double length(const double a[2])
{
    return hypot(a[0], a[1]);
}

static swl_status check_angle(const swl_calibration *c, swl_calibration_fault *fault, swl_err *err)
{
    double sine = cross(c->along_x, c->along_y) / (length(c->along_x) * length(c->along_y));
    if (!(fabs(sine) >= AXES_SINE_MIN)) {
        return refuse(fault, 0, 0,
                      "the points of both axes lie on one line, or on lines within 5 degrees of each other", err);
    }
    return SWL_OK;
}

/* Keeps the distance of one point from where the fit puts it; residual_px is a sum of squares until the end. */
static void keep_distance(swl_calibration *c, double off_px)
{
    c->residual_px += off_px * off_px;
    c->worst_px = fmax(c->worst_px, off_px);
}

/* Of a point of one axis, against the fit of that axis alone: the other value is free. */
static void axis_distances(swl_calibration *c, bool is_x, const double base[2], const double along[2])
{
    for (size_t i = 0; i < c->count; i++) {
        const swl_calibration_point *point = &c->points[i];
        double value = is_x ? point->x : point->y;
        if (!isnan(value)) {
            double level = level_of(value, is_x ? c->x_log : c->y_log);
            double dx = isnan(point->px) ? 0 : point->px - base[0] - level * along[0];
            double dy = isnan(point->py) ? 0 : point->py - base[1] - level * along[1];
            keep_distance(c, hypot(dx, dy));
        }
    }
}

/* Two lines of points, each parallel to its axis. Where they meet both values are known, which gives the origin. */
static swl_status fit_axes(swl_calibration *c, swl_calibration_fault *fault, swl_err *err)
{
    double base_x[2] = {0, 0};
    double base_y[2] = {0, 0};
    swl_status status = fit_axis(c, true, base_x, c->along_x, fault, err);
    if (status == SWL_OK) {
        status = fit_axis(c, false, base_y, c->along_y, fault, err);
    }
    if (status == SWL_OK) {
        status = check_angle(c, fault, err);
    }
    if (status != SWL_OK) {
        return status;
    }
    axis_distances(c, true, base_x, c->along_x);
    axis_distances(c, false, base_y, c->along_y);
    if (c->way == SWL_CALIBRATION_UPRIGHT) {
        c->origin[0] = base_x[0];
        c->origin[1] = base_y[1];
        return SWL_OK;
    }
    /* x is u_meet all along the line of y's points. */
    double apart[2] = {base_y[0] - base_x[0], base_y[1] - base_x[1]};
    double u_meet = cross(apart, c->along_y) / cross(c->along_x, c->along_y);
    for (size_t k = 0; k < 2; k++) {
        c->origin[k] = base_y[k] - u_meet * c->along_x[k];
    }
    return SWL_OK;
}

static swl_status fit_corners(swl_calibration *c, swl_calibration_fault *fault, swl_err *err)
{
    rows r = rows_of_corners(c);
    if (r.count < 4) {
        return refuse(fault, 0, 0, "four points or more are wanted", err);
    }
    swl_status status = check_twice(&r, fault, err);
    if (status != SWL_OK) {
        return status;
    }
    if (!(flatness(r.pixel, r.count) >= FLATNESS_MIN)) {
        return refuse(fault, 0, 0, "all points lie on one line of the picture", err);
    }
    double low[2] = {INFINITY, INFINITY};
    double high[2] = {-INFINITY, -INFINITY};
    double share[SWL_CALIBRATION_POINTS_MAX][2];
    for (size_t i = 0; i < 2 * r.count; i++) {
        low[i % 2] = fmin(low[i % 2], r.term[i / 2][i % 2]);
        high[i % 2] = fmax(high[i % 2], r.term[i / 2][i % 2]);
    }
    if (!(high[0] > low[0]) || !(high[1] > low[1])) {
        return refuse(fault, 0, 0,
                      high[0] > low[0] ? "all points have the same pressure ratio" : "all points have the same flow",
                      err);
    }
    for (size_t i = 0; i < 2 * r.count; i++) {
        share[i / 2][i % 2] = (r.term[i / 2][i % 2] - low[i % 2]) / (high[i % 2] - low[i % 2]);
    }
    if (!(flatness(share, r.count) >= FLATNESS_MIN)) {
        return refuse(fault, 0, 0, "the values of all points lie on one line of the chart", err);
    }
    for (size_t k = 0; k < 2 && status == SWL_OK; k++) {
        double f[TERMS_MAX] = {0};
        status = fit(&r, k, f, err);
        c->origin[k] = f[0];
        c->along_x[k] = f[1];
        c->along_y[k] = f[2];
    }
    for (size_t i = 0; i < c->count && status == SWL_OK; i++) {
        double px = 0;
        double py = 0;
        swl_calibration_pixel(c, c->points[i].x, c->points[i].y, &px, &py);
        keep_distance(c, hypot(px - c->points[i].px, py - c->points[i].py));
    }
    return status == SWL_OK ? check_angle(c, fault, err) : status;
}

static swl_status fit_all(swl_calibration *c, swl_calibration_fault *fault, swl_err *err)
{
    c->residual_px = 0;
    c->worst_px = 0;
    c->suspect = c->count;
    c->rest_px = 0;
    swl_status status = c->way == SWL_CALIBRATION_CORNERS ? fit_corners(c, fault, err) : fit_axes(c, fault, err);
    c->residual_px = c->count > 0 ? sqrt(c->residual_px / (double)c->count) : 0;
    return status;
}

/* Leaves out each point in turn. Few points bend to a wrong one, so that it is not the one furthest off. */
static void find_suspect(swl_calibration *c)
{
    double best_px = INFINITY;
    double next_px = INFINITY;
    size_t suspect = c->count;
    for (size_t i = 0; i < c->count; i++) {
        swl_calibration rest = *c;
        swl_calibration_fault ignored = {0};
        rest.points[i] = rest.points[--rest.count];
        if (fit_all(&rest, &ignored, NULL) != SWL_OK) {
            continue;
        }
        if (rest.residual_px < best_px) {
            next_px = best_px;
            best_px = rest.residual_px;
            suspect = i;
        } else {
            next_px = fmin(next_px, rest.residual_px);
        }
    }
    if (isfinite(next_px) && 3 * best_px < next_px) {
        c->suspect = suspect;
        c->rest_px = best_px;
    }
}

swl_status swl_calibration_fit(swl_calibration *c, swl_calibration_fault *fault, swl_err *err)
{
    swl_gsl_quiet();
    swl_status status = fit_all(c, fault, err);
    if (status == SWL_OK) {
        find_suspect(c);
    }
    return status;
}

void swl_calibration_value(const swl_calibration *c, double px, double py, double *x, double *y)
{
    double from[2] = {px - c->origin[0], py - c->origin[1]};
    double whole = cross(c->along_x, c->along_y);
    double u = cross(from, c->along_y) / whole;
    double v = cross(c->along_x, from) / whole;
    *x = c->x_log ? exp(u) : u;
    *y = c->y_log ? exp(v) : v;
}

void swl_calibration_pixel(const swl_calibration *c, double x, double y, double *px, double *py)
{
    bool has = (!c->x_log || x > 0) && (!c->y_log || y > 0);
    double none = NAN;
    double u = has ? level_of(x, c->x_log) : none;
    double v = has ? level_of(y, c->y_log) : none;
    *px = c->origin[0] + u * c->along_x[0] + v * c->along_y[0];
    *py = c->origin[1] + u * c->along_x[1] + v * c->along_y[1];
}
