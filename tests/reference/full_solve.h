/* The full set solved all at once by GSL's multidimensional root finders. */
#ifndef TESTS_REFERENCE_FULL_SOLVE_H
#define TESTS_REFERENCE_FULL_SOLVE_H

#include "reference/full_model.h"

typedef struct full_solver full_solver;

/* The solver's own unknowns are the logarithms of the physical ones over their scales, so that none can leave its
 * sign, and the shaft power over its scale. */
full_solver *full_solver_new(void);
void full_solver_free(full_solver *solver);

/* Hybrid steps (Powell's method as in MINPACK's hybrd, scaled) from a guess, then Newton steps until the largest
 * residual stops falling. Given: a guess in u. Returns: the largest residual left, with u the solution when it is at
 * most FULL_SOLVED; more, or NaN, and u as it was, when none was reached. */
double full_solve(full_solver *solver, const full_model *model, full_unknowns *u);

#define FULL_SOLVED 1e-12

#endif
