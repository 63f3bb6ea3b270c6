/* How far the results spread when what was given with +- is taken at all its values. */
#ifndef SWEPTLINE_SPREAD_H
#define SWEPTLINE_SPREAD_H

#include "sweptline/check.h"
#include "sweptline/progress.h"
#include "sweptline/sobol.h"

/* What is kept at every row of the operating line, SI. */
typedef enum swl_spread_quantity {
    SWL_SPREAD_BOOST,
    SWL_SPREAD_MASS_FLOW,
    SWL_SPREAD_DISCHARGE,
    SWL_SPREAD_CHARGE,
    SWL_SPREAD_DRIVE_POWER,
    SWL_SPREAD_CRANK_POWER,
    SWL_SPREAD_WHEEL_POWER,
    SWL_SPREAD_RATIO,
    SWL_SPREAD_VOLUME_FLOW,
    SWL_SPREAD_BLOWER_SPEED,    /* with slip */
    SWL_SPREAD_BLOWER_NO_SLIP,  /* without */
    SWL_SPREAD_MAP_VOLUME_FLOW, /* in the map's air */
    SWL_SPREAD_QUANTITIES
} swl_spread_quantity;

/* Quantiles of 5, 50 and 95 %: a central interval of 90 %. NAN where there is no value. */
typedef struct swl_interval {
    double p05, p50, p95;
} swl_interval;

/* Shares are of the samples; off_map_frac is of those with an operating point at this speed. */
typedef struct swl_spread_row {
    double engine_rpm;
    swl_interval of[SWL_SPREAD_QUANTITIES];
    double no_point_frac;
    double off_map_frac;
} swl_spread_row;

enum { SWL_SPREAD_OUTPUTS_MAX = 9 + SWL_LIMIT_ROWS_MAX };

/* One figure of a whole line. middle is what the build gives with every input at its middle. without_frac is the share
 * of samples that have none: no operating point somewhere on the line, or no power estimate. index has one entry for
 * each input and belongs to the spread; rows_left_out of its rows had a sample without the figure. */
typedef struct swl_spread_output {
    const char *name;
    const char *words;
    swl_show show;
    bool is_margin; /* of a limit, a fraction of it */
    double middle;
    swl_interval interval;
    double without_frac;
    swl_sobol_index *index;
    size_t rows_left_out;
} swl_spread_output;

/* row is the limit at the middle of every input. over_frac is the share, of the samples that tell, in which it is
 * exceeded; over_error_frac is the half-width of a 95 % interval of that share, the larger side of Clopper and
 * Pearson's, which takes the samples as independent and so is never too small. */
typedef struct swl_spread_limit {
    swl_limit_row row;
    size_t output; /* its margin */
    double over_frac;
    double over_error_frac;
    double undecided_frac; /* samples without an operating point somewhere on the line */
} swl_spread_limit;

/* cut_frac is the share of the input's normal distribution that lies beyond what a file may say and is cut off. */
typedef struct swl_spread_input {
    swl_input of;
    double cut_frac;
} swl_spread_input;

/* rows, outputs' indices and the outline are owned. The outline is where the operating line runs on the map: see
 * swl_spread_run. */
typedef struct swl_spread {
    size_t samples; /* base rows: intervals rest on twice as many builds */
    size_t builds;  /* solved in all */
    uint32_t seed;
    bool quasi;
    swl_spread_input inputs[SWL_INPUTS_MAX];
    size_t input_count;
    size_t left_out; /* inputs with +- that only say where the line has its rows */
    swl_spread_row *rows;
    size_t row_count;
    swl_spread_output outputs[SWL_SPREAD_OUTPUTS_MAX];
    size_t output_count;
    swl_spread_limit limits[SWL_LIMIT_ROWS_MAX];
    size_t limit_count;
    double no_point_frac; /* samples without an operating point at one engine speed or more */
    double *outline_vdot_m3_s;
    double *outline_p_ratio;
    size_t outline_count;
    swl_sobol_index *indices;
} swl_spread;

/* threads changes how long it takes and no figure. */
typedef struct swl_spread_options {
    size_t samples; /* a power of two, SWL_SOBOL_ROWS_MIN to SWL_SOBOL_ROWS_MAX */
    uint32_t seed;
    size_t threads;               /* 1 to SWL_SPREAD_THREADS_MAX */
    const swl_progress *progress; /* told of builds solved; may be NULL */
} swl_spread_options;

enum { SWL_SPREAD_SAMPLES = 2048, SWL_SPREAD_THREADS_MAX = 256 };
/* What the sampled figures may take, in bytes. */
#define SWL_SPREAD_BYTES_MAX 1e9

/* Value of an input at a share of its distribution: normal about the middle with sigma = half_width/1.96, cut at low
 * and high. Given: share above 0 and below 1. */
double swl_spread_value(const swl_input *input, double share);

/* 5, 50 and 95 % quantiles, by linear interpolation between the sorted values. Sorts in place; values that are not
 * finite go to the end and are not counted. Returns: NANs when none is left. */
swl_interval swl_spread_interval(double *values, size_t count);

/* Samples all inputs together and solves the line of each build.
 * A sample's line has the rows of the middle build's; where speed_limit has +-, its peaks and limits stop at its own
 * rev limit. speed_from and speed_step with +- are not sampled. The outline's edges lie, at each engine speed, where
 * the samples' places on the map reach across the line without going past the 5 or 95 % quantile in any direction, flow
 * and pressure ratio among them; its ends go round the places of the first and of the last speed alike. Distances are
 * shares of the map's flow and pressure ratio spans (docs/model.md). Of several balances of a steep map the lowest is
 * taken, as everywhere. Given: a build with at least one input, its check. Takes about 8 (12 L 2 N + 21 N (d + 2))
 * bytes for L rows, N samples and d inputs. Returns: SWL_OK and a spread to free; SWL_ERR_USAGE for no input, options
 * out of range or more than SWL_SPREAD_BYTES_MAX; SWL_ERR_MEMORY. */
swl_status swl_spread_run(const swl_build *build, const swl_check *check, const swl_spread_options *options,
                          swl_spread *spread, swl_err *err) SWL_MUST_CHECK;
void swl_spread_free(swl_spread *spread);

/* The larger side of Clopper and Pearson's 95 % interval of a share, never too small.
 * Given: how many of how many, the second above 0. Source: C. J. Clopper and E. S. Pearson, The use of confidence or
 * fiducial limits, Biometrika 26 (1934) 404-413; from memory. */
double swl_spread_share_error(size_t over, size_t of);

#endif
