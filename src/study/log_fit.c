#include "study/log_fit.h"

#include "base/gsl_quiet.h"

#include <gsl/gsl_blas.h>
#include <gsl/gsl_cdf.h>
#include <gsl/gsl_errno.h>
#include <gsl/gsl_multifit_nlinear.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { NODES_MAX = 401, ITERATIONS_MAX = 40, ONSET_STARTS = 3 };

/* Each parameter is fitted in steps of its own size; between low and high it makes sense. The onset's bounds are the
 * blower speeds of the run. */
typedef struct parameter_row {
    double scale;
    double step; /* of the difference quotient, in scales */
    double low, high;
} parameter_row;

static const parameter_row parameters[SWL_FIT_PARAMETERS] = {
    [SWL_FIT_SLIP] = {1, 1e-4, 0, 0.3},        [SWL_FIT_VE_FACTOR] = {1, 1e-4, 0.5, 1.5},
    [SWL_FIT_EFFECTIVENESS] = {1, 1e-4, 0, 1}, [SWL_FIT_SLIP_RISE] = {1e-5, 1e-2, 0, 1e-3},
    [SWL_FIT_SLIP_ONSET] = {1e4, 1e-3, 0, 0},
};

/* One reading: the nodes that it stands between, its share of the way to the upper one, and what it weighs. */
typedef struct reading {
    size_t node;
    double share;
    swl_log_kind kind;
    double measured;
    double sigma;
} reading;

/* A fit in the making. changed is the build that the match solves; free says which parameters may move. */
typedef struct fitting {
    const swl_build *build;
    swl_build changed;
    swl_match *match;
    double ratio;
    double node_rpm[NODES_MAX];
    double node_value[NODES_MAX][SWL_LOG_KINDS];
    size_t nodes;
    reading *readings;
    size_t count;                     /* of those that are fitted, which stand first */
    size_t all_count;                 /* and of all */
    double value[SWL_FIT_PARAMETERS]; /* in SI; NAN where the build's own holds */
    swl_log_parameter free[SWL_LOG_VALUES_MAX];
    size_t free_count;
    double low_rpm, high_rpm;
} fitting;

/* Solves every node with the values set. Returns: false where the model has no answer, or a value is far out of what
 * it can mean. */
static bool nodes_solve(fitting *f)
{
    const double *value = f->value;
    swl_build *changed = &f->changed;
    *changed = *f->build;
    changed->engine.ve_factor = isnan(value[SWL_FIT_VE_FACTOR]) ? f->build->engine.ve_factor : value[SWL_FIT_VE_FACTOR];
    if (!isnan(value[SWL_FIT_EFFECTIVENESS])) {
        changed->cooler.effectiveness_frac = value[SWL_FIT_EFFECTIVENESS];
    }
    double slip_frac = isnan(value[SWL_FIT_SLIP]) ? f->build->drive.slip_frac : value[SWL_FIT_SLIP];
    bool sound = changed->engine.ve_factor > 0.1 && changed->engine.ve_factor < 4 &&
                 changed->cooler.effectiveness_frac > -1 && changed->cooler.effectiveness_frac < 2;
    if (!sound) {
        return false;
    }
    swl_match_set(f->match, changed);
    const swl_power_basis basis = swl_power_basis_of(changed);
    for (size_t i = 0; i < f->nodes; i++) {
        double over_rpm = f->node_rpm[i] * f->ratio - value[SWL_FIT_SLIP_ONSET];
        changed->drive.slip_frac = slip_frac + (over_rpm > 0 ? value[SWL_FIT_SLIP_RISE] * over_rpm : 0);
        if (!(changed->drive.slip_frac > -0.5 && changed->drive.slip_frac < 0.9)) {
            return false;
        }
        swl_point point = swl_match_point(f->match, f->node_rpm[i]);
        if (point.end != SWL_MATCH_SOLVED) {
            return false;
        }
        swl_log_predict(changed, &basis, &point, f->node_value[i]);
    }
    return true;
}

static double reading_residual(const fitting *f, const reading *r)
{
    double low = f->node_value[r->node][r->kind];
    double high = r->share > 0 ? f->node_value[r->node + 1][r->kind] : low;
    return (low + r->share * (high - low) - r->measured) / r->sigma;
}

static void values_take(fitting *f, const gsl_vector *x)
{
    for (size_t k = 0; k < f->free_count; k++) {
        f->value[f->free[k]] = gsl_vector_get(x, k) * parameters[f->free[k]].scale;
    }
}

/* Where there is no answer the residuals are made so large that the step is not taken. */
static int residuals_at(const gsl_vector *x, void *context, gsl_vector *out)
{
    fitting *f = context;
    values_take(f, x);
    if (!nodes_solve(f)) {
        gsl_vector_set_all(out, 1e6);
        return GSL_SUCCESS;
    }
    for (size_t i = 0; i < f->count; i++) {
        gsl_vector_set(out, i, reading_residual(f, &f->readings[i]));
    }
    return GSL_SUCCESS;
}

/* Central differences: the match is good to 1e-12, so steps may be far larger than rounding asks for. */
/* Where one side of a central difference has no answer, the slope is that from the middle to the other; where neither
 * has, or the middle has none, it is 0. out holds the half of the difference that was solved. */
static void slope_one_sided(fitting *f, const gsl_vector *x, size_t k, const bool *solved, gsl_matrix *out)
{
    values_take(f, x);
    bool middle = nodes_solve(f) && (solved[0] || solved[1]);
    double sign = solved[1] ? 1 : -1;
    for (size_t i = 0; i < f->count; i++) {
        double step = parameters[f->free[k]].step;
        double half = gsl_matrix_get(out, i, k);
        double slope = 2 * half - sign * reading_residual(f, &f->readings[i]) / step;
        gsl_matrix_set(out, i, k, middle ? slope : 0);
    }
}

static int slopes_at(const gsl_vector *x, void *context, gsl_matrix *out)
{
    fitting *f = context;
    for (size_t k = 0; k < f->free_count; k++) {
        const parameter_row *row = &parameters[f->free[k]];
        bool solved[2] = {false, false};
        for (int side = -1; side <= 1; side += 2) {
            values_take(f, x);
            f->value[f->free[k]] += side * row->step * row->scale;
            solved[side > 0] = nodes_solve(f);
            for (size_t i = 0; i < f->count; i++) {
                double term = solved[side > 0] ? side * reading_residual(f, &f->readings[i]) / (2 * row->step) : 0;
                gsl_matrix_set(out, i, k, side < 0 ? term : gsl_matrix_get(out, i, k) + term);
            }
        }
        if (!solved[0] || !solved[1]) {
            slope_one_sided(f, x, k, solved, out);
        }
    }
    return GSL_SUCCESS;
}

static double chi2_now(fitting *f)
{
    double sum = 0;
    if (!nodes_solve(f)) {
        return INFINITY;
    }
    for (size_t i = 0; i < f->count; i++) {
        double left = reading_residual(f, &f->readings[i]);
        sum += left * left;
    }
    return sum;
}

/* What a run of the solver leaves: chi2, and the covariance of the free parameters in SI. */
typedef struct solution {
    double chi2;
    double covariance[SWL_LOG_VALUES_MAX][SWL_LOG_VALUES_MAX];
    bool converged;
} solution;

/* How small a diagonal of R may be over its largest for the slopes to count as independent. */
#define RANK_TOLERANCE 1e-7

static swl_status solution_take(fitting *f, gsl_multifit_nlinear_workspace *w, gsl_matrix *covariance, solution *out,
                                swl_err *err)
{
    values_take(f, gsl_multifit_nlinear_position(w));
    const gsl_vector *left = gsl_multifit_nlinear_residual(w);
    (void)gsl_blas_ddot(left, left, &out->chi2);
    /* Slopes that lie in one another's direction leave rows of zeros and a success; a variance that is not above 0
     * tells, and then none of them is known. */
    int code = swl_gsl_multifit_nlinear_covar(gsl_multifit_nlinear_jac(w), RANK_TOLERANCE, covariance);
    if (code == GSL_ENOMEM) {
        return swl_err_set(err, SWL_ERR_MEMORY, "out of memory for a fit");
    }
    bool known = code == GSL_SUCCESS;
    for (size_t i = 0; i < f->free_count; i++) {
        known = known && gsl_matrix_get(covariance, i, i) > 0;
    }
    for (size_t i = 0; i < f->free_count; i++) {
        for (size_t k = 0; k < f->free_count; k++) {
            double scale = parameters[f->free[i]].scale * parameters[f->free[k]].scale;
            out->covariance[i][k] = known ? gsl_matrix_get(covariance, i, k) * scale : (double)NAN;
        }
    }
    return SWL_OK;
}

/* Moves the free parameters from where they stand to the least sum of squares near it. */
static swl_status descend(fitting *f, solution *out, swl_err *err)
{
    const gsl_multifit_nlinear_parameters settings = gsl_multifit_nlinear_default_parameters();
    gsl_multifit_nlinear_fdf fdf = {.f = residuals_at, .df = slopes_at, .n = f->count, .p = f->free_count, .params = f};
    gsl_multifit_nlinear_workspace *w =
        gsl_multifit_nlinear_alloc(gsl_multifit_nlinear_trust, &settings, f->count, f->free_count);
    gsl_vector *start = gsl_vector_alloc(f->free_count);
    gsl_matrix *covariance = gsl_matrix_alloc(f->free_count, f->free_count);
    swl_status status = SWL_OK;
    if (w == NULL || start == NULL || covariance == NULL) {
        status = swl_err_set(err, SWL_ERR_MEMORY, "out of memory for a fit");
    } else {
        for (size_t k = 0; k < f->free_count; k++) {
            gsl_vector_set(start, k, f->value[f->free[k]] / parameters[f->free[k]].scale);
        }
        int info = 0;
        int end = gsl_multifit_nlinear_init(start, &fdf, w);
        if (end == GSL_SUCCESS) {
            end = gsl_multifit_nlinear_driver(ITERATIONS_MAX, 1e-7, 1e-9, 0, NULL, NULL, &info, w);
        }
        /* No progress from the start means that the start is the least already. */
        out->converged = end == GSL_SUCCESS || info == GSL_ENOPROG;
        status = solution_take(f, w, covariance, out, err);
    }
    if (w != NULL) {
        gsl_multifit_nlinear_free(w);
    }
    gsl_vector_free(start);
    gsl_matrix_free(covariance);
    return status;
}

static double bound_low(const fitting *f, swl_log_parameter parameter)
{
    return parameter == SWL_FIT_SLIP_ONSET ? f->low_rpm : parameters[parameter].low;
}

static double bound_high(const fitting *f, swl_log_parameter parameter)
{
    return parameter == SWL_FIT_SLIP_ONSET ? f->high_rpm : parameters[parameter].high;
}

/* How far a free parameter is out of its bounds, in scales. */
static double out_of_bounds(const fitting *f, swl_log_parameter parameter)
{
    double value = f->value[parameter];
    double out = fmax(bound_low(f, parameter) - value, value - bound_high(f, parameter));
    return out / parameters[parameter].scale;
}

/* Takes the parameter that is furthest out of its bounds out of the free ones and holds it at its bound.
 * Returns: whether there was one. */
static bool hold_worst(fitting *f, swl_log_fit *fit)
{
    size_t worst = f->free_count;
    for (size_t k = 0; k < f->free_count; k++) {
        if (out_of_bounds(f, f->free[k]) > 0 &&
            (worst == f->free_count || out_of_bounds(f, f->free[k]) > out_of_bounds(f, f->free[worst]))) {
            worst = k;
        }
    }
    if (worst == f->free_count) {
        return false;
    }
    swl_log_parameter parameter = f->free[worst];
    double wanted = f->value[parameter];
    for (size_t k = 0; k < fit->count; k++) {
        if (fit->values[k].parameter == parameter) {
            fit->values[k].at_bound = true;
            fit->values[k].wanted = parameter == SWL_FIT_SLIP_ONSET ? (double)NAN : wanted;
        }
    }
    double low = bound_low(f, parameter);
    f->value[parameter] = wanted < low ? low : bound_high(f, parameter);
    f->free_count--;
    memmove(f->free + worst, f->free + worst + 1, (f->free_count - worst) * sizeof *f->free);
    return true;
}

/* Fits; a parameter that would leave its bounds is held there and the others are fitted again. */
static swl_status descend_within(fitting *f, swl_log_fit *fit, solution *out, swl_err *err)
{
    swl_status status = SWL_OK;
    do {
        if (f->free_count == 0) {
            *out = (solution){.chi2 = chi2_now(f), .converged = true};
            return SWL_OK;
        }
        status = descend(f, out, err);
    } while (status == SWL_OK && hold_worst(f, fit));
    return status;
}

static double own_value(const fitting *f, swl_log_parameter parameter)
{
    switch (parameter) {
    case SWL_FIT_SLIP:
        return f->build->drive.slip_frac;
    case SWL_FIT_VE_FACTOR:
        return f->build->engine.ve_factor;
    case SWL_FIT_EFFECTIVENESS:
        return f->build->cooler.effectiveness_frac;
    case SWL_FIT_SLIP_RISE:
    case SWL_FIT_SLIP_ONSET:
    case SWL_FIT_PARAMETERS:
        break;
    }
    return 0;
}

static void values_fill(const fitting *f, const solution *found, swl_log_fit *fit)
{
    double dof = (double)fit->degrees_of_freedom;
    double widen = sqrt(fmax(1, found->chi2 / dof)) * gsl_cdf_tdist_Pinv(0.5 + SWL_LOG_CONFIDENCE / 2, dof);
    for (size_t k = 0; k < fit->count; k++) {
        swl_log_value *value = &fit->values[k];
        value->value = f->value[value->parameter];
        value->half_width = NAN;
        for (size_t i = 0; i < f->free_count; i++) {
            if (f->free[i] == value->parameter) {
                value->half_width = widen * sqrt(found->covariance[i][i]);
            }
        }
        value->low = value->value - value->half_width;
        value->high = value->value + value->half_width;
    }
    bool both = f->free_count > 1 && f->free[0] == SWL_FIT_SLIP && f->free[1] == SWL_FIT_VE_FACTOR;
    fit->correlation =
        both ? found->covariance[0][1] / sqrt(found->covariance[0][0] * found->covariance[1][1]) : (double)NAN;
}

/* The build unchanged. */
static void values_reset(fitting *f)
{
    for (size_t p = 0; p < SWL_FIT_PARAMETERS; p++) {
        f->value[p] = p == SWL_FIT_SLIP_RISE ? 0 : p == SWL_FIT_SLIP_ONSET ? (double)INFINITY : (double)NAN;
    }
    f->free_count = 0;
}

/* Sets a fit out from the build's own values; of the onset, from a share of the speed range. */
static void fit_start(fitting *f, swl_log_fit *fit, double onset_share)
{
    values_reset(f);
    f->free_count = fit->count;
    for (size_t k = 0; k < fit->count; k++) {
        swl_log_parameter parameter = fit->values[k].parameter;
        fit->values[k].at_bound = false;
        fit->values[k].wanted = NAN;
        fit->values[k].stated = own_value(f, parameter);
        fit->values[k].stated_half_width = swl_log_own_half_width(f->build, parameter);
        f->free[k] = parameter;
        f->value[parameter] = fit->values[k].stated;
    }
    if (fit->cause == SWL_CAUSE_SLIP_ONSET) {
        f->value[SWL_FIT_SLIP_RISE] = 1e-5;
        f->value[SWL_FIT_SLIP_ONSET] = f->low_rpm + onset_share * (f->high_rpm - f->low_rpm);
    }
}

/* Whether a slip that starts at a speed does so beyond the run, or does not grow: then it is no slip. */
static bool never_starts(const fitting *f, const swl_log_fit *fit)
{
    bool growing = fit->cause == SWL_CAUSE_SLIP_ONSET;
    return growing && (!(fit->values[0].value > 0) || fit->values[1].value >= f->high_rpm);
}

/* How many engine speeds of the run lie beyond an onset: a line that starts there wants three to be one. */
static size_t speeds_beyond(const fitting *f, double onset_rpm)
{
    size_t count = 0;
    for (size_t i = 0; i < f->nodes; i++) {
        count += f->node_rpm[i] * f->ratio > onset_rpm;
    }
    return count;
}

/* An onset may have a least sum of squares on either side of a row, so several starts are made and the best kept. */
static swl_status fit_make(fitting *f, swl_log_fit *fit, swl_err *err)
{
    int starts = fit->cause == SWL_CAUSE_SLIP_ONSET ? ONSET_STARTS : 1;
    fit->chi2 = INFINITY;
    for (int s = 0; s < starts; s++) {
        swl_log_fit tried = *fit;
        solution found = {.chi2 = INFINITY};
        fit_start(f, &tried, (s + 0.5) / ONSET_STARTS);
        swl_status status = descend_within(f, &tried, &found, err);
        if (status != SWL_OK) {
            return status;
        }
        if (found.chi2 < fit->chi2) {
            tried.chi2 = found.chi2;
            tried.converged = found.converged;
            values_fill(f, &found, &tried);
            *fit = tried;
        }
    }
    fit->failure = !isfinite(fit->chi2)   ? "the model has no operating point on the way"
                   : never_starts(f, fit) ? "the boost does not fall away as speed rises"
                   : fit->cause == SWL_CAUSE_SLIP_ONSET && speeds_beyond(f, fit->values[1].value) < 3
                       ? "too few engine speeds beyond the onset"
                       : NULL;
    return SWL_OK;
}

/* Nodes at the rows' own engine speeds when these are few, else evenly over their span. Rows stand by speed. */
static void nodes_lay(fitting *f, const swl_log *log)
{
    double first_rpm = log->rows[0].measured->engine_rpm;
    double last_rpm = log->rows[log->count - 1].measured->engine_rpm;
    f->nodes = 0;
    for (size_t i = 0; i < log->count; i++) {
        double rpm = log->rows[i].measured->engine_rpm;
        if (f->nodes > 0 && rpm <= f->node_rpm[f->nodes - 1]) {
            continue;
        }
        if (f->nodes == NODES_MAX) {
            for (size_t k = 0; k < NODES_MAX; k++) {
                f->node_rpm[k] = first_rpm + (last_rpm - first_rpm) * (double)k / (NODES_MAX - 1);
            }
            return;
        }
        f->node_rpm[f->nodes++] = rpm;
    }
}

/* Appends the readings of the kinds that are fitted, or those of the others. */
static void readings_append(fitting *f, const swl_log *log, bool fitted)
{
    size_t node = 0;
    for (size_t i = 0; i < log->count; i++) {
        const swl_log_row *row = &log->rows[i];
        double rpm = row->measured->engine_rpm;
        while (node + 2 < f->nodes && f->node_rpm[node + 1] <= rpm) {
            node++;
        }
        double span_rpm = f->nodes > 1 ? f->node_rpm[node + 1] - f->node_rpm[node] : 1;
        double share = fmin(fmax((rpm - f->node_rpm[node]) / span_rpm, 0), 1);
        for (size_t k = 0; k < SWL_LOG_KINDS; k++) {
            if (log->fitted[k] == fitted && !isnan(row->measured->value[k]) && !isnan(row->predicted[k])) {
                f->readings[f->all_count++] = (reading){.node = node,
                                                        .share = share,
                                                        .kind = (swl_log_kind)k,
                                                        .measured = row->measured->value[k],
                                                        .sigma = swl_log_sigma((swl_log_kind)k, row->predicted[k])};
            }
        }
    }
}

static swl_status readings_lay(fitting *f, const swl_log *log, swl_err *err)
{
    f->readings = calloc(log->count * SWL_LOG_KINDS, sizeof *f->readings);
    if (f->readings == NULL) {
        return swl_err_set(err, SWL_ERR_MEMORY, "out of memory for the readings");
    }
    readings_append(f, log, true);
    f->count = f->all_count;
    readings_append(f, log, false);
    return SWL_OK;
}

/* Why a fit is not made; NULL when it can be. */
static const char *fit_hindered(const fitting *f, const swl_log *log, const swl_log_fit *fit)
{
    if (log->gauge != 0) {
        return "the pressures look like gauge and absolute mixed up";
    }
    if (!isfinite(fit->chi2_before)) {
        return "the build unchanged has no operating point between the run's engine speeds";
    }
    if (f->count < fit->count + 2) {
        return "too few readings";
    }
    if (fit->cause == SWL_CAUSE_SLIP_ONSET && f->nodes < 6) {
        return "too few engine speeds";
    }
    return NULL;
}

/* What the best fit leaves of every kind of reading. */
static void left_fill(fitting *f, swl_log *log)
{
    const swl_log_fit *best = &log->fits[log->best];
    values_reset(f);
    for (size_t k = 0; k < best->count; k++) {
        f->value[best->values[k].parameter] = best->values[k].value;
    }
    bool solved = nodes_solve(f) && log->fits_made > 0;
    for (size_t i = 0; i < f->all_count; i++) {
        const reading *r = &f->readings[i];
        swl_log_residual *left = &log->residuals[r->kind];
        double more = solved ? -reading_residual(f, r) * r->sigma : (double)NAN;
        left->mean_after += more / (double)left->count;
    }
}

static swl_status fits_make(fitting *f, swl_log *log, swl_err *err)
{
    values_reset(f);
    double chi2_before = chi2_now(f);
    for (size_t i = 0; i < log->fit_count; i++) {
        swl_log_fit *fit = &log->fits[i];
        fit->chi2_before = chi2_before;
        fit->chi2 = chi2_before;
        fit->readings = f->count;
        fit->failure = i == 0 ? NULL : fit_hindered(f, log, fit);
        fit->degrees_of_freedom = f->count > fit->count ? f->count - fit->count : 0;
        fit->converged = i == 0;
        swl_status status = i == 0 || fit->failure != NULL ? SWL_OK : fit_make(f, fit, err);
        if (status != SWL_OK) {
            return status;
        }
    }
    swl_log_fits_choose(log);
    left_fill(f, log);
    log->agrees = log->fits_made > 0 && gsl_cdf_chisq_Q(chi2_before, (double)f->count) > 0.01;
    return SWL_OK;
}

swl_status swl_log_fit_all(const swl_build *build, swl_log *log, swl_err *err)
{
    swl_gsl_quiet();
    swl_log_fits_list(build, log);
    fitting *f = calloc(1, sizeof *f);
    swl_status status = SWL_OK;
    if (f == NULL) {
        return swl_err_set(err, SWL_ERR_MEMORY, "out of memory for the fits");
    }
    f->build = build;
    f->ratio = swl_drive_ratio(&build->drive, build->blower.gear_ratio);
    f->low_rpm = log->shape.low_rpm;
    f->high_rpm = log->shape.high_rpm;
    f->match = swl_match_new(build, err);
    status = f->match == NULL ? SWL_ERR_MEMORY : SWL_OK;
    if (status == SWL_OK) {
        nodes_lay(f, log);
        status = readings_lay(f, log, err);
    }
    if (status == SWL_OK) {
        status = fits_make(f, log, err);
    }
    swl_match_free(f->match);
    free(f->readings);
    free(f);
    return status;
}
