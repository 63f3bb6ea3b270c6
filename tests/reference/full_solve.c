#include "reference/full_solve.h"

#include <gsl/gsl_errno.h>
#include <gsl/gsl_multiroots.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { HYBRID_MAX = 200, POLISH_MAX = 20, POLISH_IDLE = 3 };
/* Where Newton steps from a numeric Jacobian are sure to gain. */
#define HYBRID_DONE 1e-7
/* GSL's numeric Jacobian steps by a share of each unknown, so none may come near zero. */
#define SHIFT 5

struct full_solver {
    const full_model *model;
    full_unknowns scale;
    gsl_multiroot_fsolver *hybrid;
    gsl_multiroot_fsolver *newton;
    gsl_vector *start;
    gsl_vector *best;
};

full_solver *full_solver_new(void)
{
    full_solver *solver = calloc(1, sizeof *solver);
    if (solver == NULL) {
        (void)fputs("full: out of memory\n", stderr);
        exit(2);
    }
    /* GSL's own handler ends the program when memory is short. */
    solver->hybrid = gsl_multiroot_fsolver_alloc(gsl_multiroot_fsolver_hybrids, FULL_UNKNOWNS);
    solver->newton = gsl_multiroot_fsolver_alloc(gsl_multiroot_fsolver_dnewton, FULL_UNKNOWNS);
    solver->start = gsl_vector_alloc(FULL_UNKNOWNS);
    solver->best = gsl_vector_alloc(FULL_UNKNOWNS);
    return solver;
}

void full_solver_free(full_solver *solver)
{
    gsl_multiroot_fsolver_free(solver->hybrid);
    gsl_multiroot_fsolver_free(solver->newton);
    gsl_vector_free(solver->start);
    gsl_vector_free(solver->best);
    free(solver);
}

static full_unknowns scale_of(const full_model *model)
{
    double vdot_m3_s = model->build->blower.disp_m3_rev * model->blower_rpm / 60;
    double mdot_kg_s = vdot_m3_s * model->rho0_kg_m3;
    double p_pa = model->p0_pa;
    double t_k = model->t0_k;
    return (full_unknowns){p_pa,
                           p_pa,
                           p_pa,
                           p_pa,
                           p_pa,
                           t_k,
                           t_k,
                           t_k,
                           t_k,
                           t_k,
                           mdot_kg_s,
                           vdot_m3_s,
                           mdot_kg_s,
                           1,
                           1,
                           1,
                           mdot_kg_s * model->cp1_j_kg_k * t_k};
}

static void to_vector(const full_solver *solver, const full_unknowns *u, gsl_vector *x)
{
    double value[FULL_UNKNOWNS];
    double scale[FULL_UNKNOWNS];
    memcpy(value, u, sizeof value);
    memcpy(scale, &solver->scale, sizeof scale);
    for (size_t i = 0; i < FULL_UNKNOWNS; i++) {
        bool signed_one = i == FULL_UNKNOWNS - 1;
        gsl_vector_set(x, i, SHIFT + (signed_one ? value[i] / scale[i] : log(value[i] / scale[i])));
    }
}

static full_unknowns of_vector(const full_solver *solver, const gsl_vector *x)
{
    double value[FULL_UNKNOWNS];
    double scale[FULL_UNKNOWNS];
    full_unknowns u;
    memcpy(scale, &solver->scale, sizeof scale);
    for (size_t i = 0; i < FULL_UNKNOWNS; i++) {
        double at = gsl_vector_get(x, i) - SHIFT;
        bool signed_one = i == FULL_UNKNOWNS - 1;
        value[i] = signed_one ? at * scale[i] : exp(at) * scale[i];
    }
    memcpy(&u, value, sizeof u);
    return u;
}

static int residuals_at(const gsl_vector *x, void *context, gsl_vector *f)
{
    const full_solver *solver = context;
    full_unknowns u = of_vector(solver, x);
    double left[FULL_UNKNOWNS];
    full_residuals(solver->model, &u, left);
    bool finite = true;
    for (size_t i = 0; i < FULL_UNKNOWNS; i++) {
        gsl_vector_set(f, i, left[i]);
        finite = finite && isfinite(left[i]);
    }
    return finite ? GSL_SUCCESS : GSL_EDOM;
}

static double largest(const gsl_vector *f)
{
    double most = 0;
    for (size_t i = 0; i < FULL_UNKNOWNS; i++) {
        double size = fabs(gsl_vector_get(f, i));
        most = size <= most ? most : size; /* keeps NaN */
    }
    return most;
}

/* Returns: the largest residual, and where in best. */
static double hybrid_steps(full_solver *solver, gsl_multiroot_function *function)
{
    gsl_vector_memcpy(solver->best, solver->start);
    if (gsl_multiroot_fsolver_set(solver->hybrid, function, solver->start) != GSL_SUCCESS) {
        return (double)NAN;
    }
    for (int i = 0; i < HYBRID_MAX && !(largest(solver->hybrid->f) <= HYBRID_DONE); i++) {
        if (gsl_multiroot_fsolver_iterate(solver->hybrid) != GSL_SUCCESS) {
            break;
        }
    }
    gsl_vector_memcpy(solver->best, solver->hybrid->x);
    return largest(solver->hybrid->f);
}

/* Returns: the largest residual, no more than before, and where in best. */
static double newton_steps(full_solver *solver, gsl_multiroot_function *function, double before)
{
    double least = before;
    gsl_vector_memcpy(solver->start, solver->best);
    if (gsl_multiroot_fsolver_set(solver->newton, function, solver->start) != GSL_SUCCESS) {
        return least;
    }
    for (int i = 0, idle = 0; i < POLISH_MAX && idle < POLISH_IDLE; i++) {
        if (gsl_multiroot_fsolver_iterate(solver->newton) != GSL_SUCCESS) {
            break;
        }
        double now = largest(solver->newton->f);
        idle++;
        if (now < least) {
            idle = 0;
            least = now;
            gsl_vector_memcpy(solver->best, solver->newton->x);
        }
    }
    return least;
}

double full_solve(full_solver *solver, const full_model *model, full_unknowns *u)
{
    gsl_multiroot_function function = {.f = residuals_at, .n = FULL_UNKNOWNS, .params = solver};
    solver->model = model;
    solver->scale = scale_of(model);
    to_vector(solver, u, solver->start);
    double least = hybrid_steps(solver, &function);
    if (isfinite(least)) {
        least = newton_steps(solver, &function, least);
    }
    if (least <= FULL_SOLVED) {
        *u = of_vector(solver, solver->best);
    }
    return least;
}
