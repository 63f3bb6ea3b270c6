/* Which input a spread comes from: variance-based indices of any function of independent inputs. */
#ifndef SWEPTLINE_SOBOL_H
#define SWEPTLINE_SOBOL_H

#include "sweptline/err.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* Rows come in groups of their own shift, so that the error of a result shows in how far the groups differ. */
enum {
    SWL_SOBOL_GROUPS = 16,
    SWL_SOBOL_ROWS_MIN = 128,
    SWL_SOBOL_ROWS_MAX = 65536,
    SWL_SOBOL_QUASI_INPUTS_MAX = 20,
    SWL_SOBOL_INPUTS_MAX = 200
};

/* Where a function is to be asked: two independent samples A and B of rows points each, and for every input i the
 * sample A with column i from B. bits is owned. */
typedef struct swl_sobol {
    size_t inputs;
    size_t rows;
    bool quasi;     /* Sobol points; else pseudo-random ones */
    uint32_t *bits; /* rows times 2 inputs numbers of 30 bits */
} swl_sobol;

/* Lays out the points. Up to SWL_SOBOL_QUASI_INPUTS_MAX inputs (the library's Sobol sequence has 40 dimensions and
 * two samples want twice the inputs) each group is the same stretch of the sequence with a random digital shift of its
 * own; beyond that the points are pseudo-random (MT19937).
 * Given: 1 to SWL_SOBOL_INPUTS_MAX inputs; rows, a power of two from SWL_SOBOL_ROWS_MIN to SWL_SOBOL_ROWS_MAX; a seed.
 * The same three give the same points.
 * Returns: SWL_OK and points to free; SWL_ERR_USAGE; SWL_ERR_MEMORY. */
swl_status swl_sobol_init(swl_sobol *sobol, size_t inputs, size_t rows, uint32_t seed, swl_err *err) SWL_MUST_CHECK;
void swl_sobol_free(swl_sobol *sobol);

/* One point of the unit cube, every coordinate above 0 and below 1.
 * Given: a row; a sample, 0 for A, 1 for B, 2 + i for A with column i from B; room for as many as there are inputs. */
void swl_sobol_point(const swl_sobol *sobol, size_t row, size_t sample, double *u);

/* The shares of one input in a result's variance. first is what the input does alone, total with all interplay that
 * it has part in; the errors are standard errors. All NAN when the result does not vary. */
typedef struct swl_sobol_index {
    double first, first_error;
    double total, total_error;
} swl_sobol_index;

/* value[row * (inputs + 2) + sample] is the function at swl_sobol_point. first by the estimator of
 * A. Saltelli et al., Computer Physics Communications 181 (2010) 259-270, total by that of M. J. W. Jansen, Computer
 * Physics Communications 117 (1999) 35-43, both from memory: with mean square V of A and B about their mean f0,
 *     first = mean((f(B) - f0) (f(A_B^i) - f(A)))/V,   total = mean((f(A) - f(A_B^i))^2)/(2 V)
 * and the errors by a jackknife over the groups, each left out in turn.
 * Given: values, NAN where there is none; a row with one is left out whole.
 * Returns: how many rows were left out; index[i] for every input. */
size_t swl_sobol_indices(const swl_sobol *sobol, const double *value, swl_sobol_index *index);

/* Whether an index tells itself from zero: above a millionth and 2.13 times its error, Student's 95 % for 16 groups. */
bool swl_sobol_tells(double index, double error);

#endif
