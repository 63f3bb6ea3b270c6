/* One sample of a spread: a build changed in every input, its line solved, and what is kept of it. */
#ifndef SWL_STUDY_SPREAD_LINE_H
#define SWL_STUDY_SPREAD_LINE_H

#include "sweptline/spread.h"

/* What every sample shares. */
typedef struct spread_plan {
    const swl_build *build;
    const swl_check *check; /* of the middle build */
    const swl_spread_input *inputs;
    size_t input_count;
    bool own_limit; /* the rev limit is among the inputs */
    bool has_wheel;
    swl_spread_output *outputs;
    size_t output_count;
} spread_plan;

/* What one thread works with: a point and a power for each row of the middle's line, and the sample's own line. */
typedef struct spread_worker {
    swl_build build;
    swl_match *match;
    swl_point *line;
    swl_power *power;
    swl_point *own;
} spread_worker;

/* To be called by the thread that works with it: what is small and written often then lies in memory that the allocator
 * keeps for that thread, apart from what others write. Returns: NULL when out of memory. The caller frees it. */
spread_worker *swl_spread_worker_new(const spread_plan *plan) SWL_MUST_CHECK;
void swl_spread_worker_free(spread_worker *worker);

/* Names the outputs of a build: peaks and values at the rev limit, then the margin of every limit. */
size_t swl_spread_outputs(const spread_plan *plan, swl_spread_output *outputs);

/* Solves one sample. Given: the inputs' shares, NULL for the build as it is. The worker then holds a point for each row
 * of the middle's line; output has room for every output and gets NAN where there is none. */
void swl_spread_sample(const spread_plan *plan, spread_worker *worker, const double *shares, double *output);

/* What is kept of one row of a solved sample; NAN where there is none. */
void swl_spread_quantities(const spread_plan *plan, const spread_worker *worker, size_t row, double *of);

#endif
