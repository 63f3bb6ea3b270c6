/* A measured run laid over the prediction, and what explains the difference. */
#ifndef SWEPTLINE_LOG_H
#define SWEPTLINE_LOG_H

#include "sweptline/check.h"

/* What a run may have measured beside engine speed. SI; pressures absolute. */
typedef enum swl_log_kind {
    SWL_LOG_MANIFOLD_PRESSURE,     /* station 3 */
    SWL_LOG_CHARGE_TEMPERATURE,    /* station 3 */
    SWL_LOG_MASS_FLOW,             /* air */
    SWL_LOG_INLET_PRESSURE,        /* station 1, at the blower inlet behind the throttle body */
    SWL_LOG_DISCHARGE_TEMPERATURE, /* station 2 */
    SWL_LOG_CRANK_POWER,
    SWL_LOG_WHEEL_POWER,
    SWL_LOG_KINDS
} swl_log_kind;

enum { SWL_RUN_ROWS_MAX = 100000 };
/* From this throttle opening on a row counts as wide open. */
#define SWL_RUN_WIDE_OPEN_FRAC 0.95

/* One row of a run. NAN where a cell is empty or a column is not there. */
typedef struct swl_run_row {
    double engine_rpm;
    double time_s;
    double throttle_frac;
    double value[SWL_LOG_KINDS];
    int line; /* in the file */
} swl_run_row;

/* rows is owned. It holds every row of the file whose engine speed and manifold pressure are given. */
typedef struct swl_run {
    swl_run_row *rows;
    size_t count;
    size_t rows_read; /* rows under the header */
    size_t without;   /* left out since engine speed or manifold pressure was empty */
    size_t gaps[SWL_LOG_KINDS];
    bool has[SWL_LOG_KINDS];
    bool has_time;
    bool has_throttle;
    bool from_boost; /* the pressure was given as boost over the site's pressure */
} swl_run;

void swl_run_free(swl_run *run);

/* Assumed standard deviation of a reading, where fits weigh by it. Common practice, no source: a pressure 1 % of the
 * absolute value, a temperature 3 K, a flow or a power 3 %. */
double swl_log_sigma(swl_log_kind kind, double predicted);

/* One used row: what the model gives at its engine speed. */
typedef struct swl_log_row {
    const swl_run_row *measured;
    double predicted[SWL_LOG_KINDS];
    double blower_rpm;      /* with the build's slip */
    double blower_rpm_free; /* without slip */
    double map_vdot_m3_s;   /* where the measured flow stands on the map; NAN without one */
    double p_ratio;         /* the same, from the measured pressure and the predicted cooler loss */
    bool on_map;            /* of the prediction */
} swl_log_row;

/* Rows about one engine speed. NAN where none was measured. */
typedef struct swl_log_bin {
    size_t count;
    double engine_rpm;
    double measured[SWL_LOG_KINDS];
    double low[SWL_LOG_KINDS];
    double high[SWL_LOG_KINDS];
    double predicted[SWL_LOG_KINDS];
    double map_vdot_m3_s;
    double p_ratio;
} swl_log_bin;

enum { SWL_LOG_BINS_MAX = 48 };

/* Measured less predicted over the used rows that have the quantity. */
typedef struct swl_log_residual {
    size_t count;
    double mean;
    double mean_frac; /* of the predicted value; for a temperature NAN */
    double rms;
    double sigma_mean; /* mean assumed standard deviation of a reading */
    double worst;
    double worst_rpm;
    double mean_after; /* what the best fit leaves of the mean */
} swl_log_residual;

/* Shares (measured less predicted over predicted absolute manifold pressure) over the slowest, middle and fastest third
 * of the measured blower speeds, and a straight line through all. */
typedef struct swl_log_shape {
    double third_frac[3];
    double third_pa[3];
    double slope_frac_rpm;
    double slope_half_width; /* 95 % */
    double low_rpm, high_rpm;
} swl_log_shape;

/* What is fitted. */
typedef enum swl_log_parameter {
    SWL_FIT_SLIP,          /* of the belt, a fraction, at every speed */
    SWL_FIT_VE_FACTOR,     /* volumetric_efficiency_factor */
    SWL_FIT_EFFECTIVENESS, /* of the cooler */
    SWL_FIT_SLIP_RISE,     /* slip a rev/min of the blower above the onset, on top of the build's own */
    SWL_FIT_SLIP_ONSET,    /* blower speed without slip at which it starts to grow, rev/min */
    SWL_FIT_PARAMETERS
} swl_log_parameter;

/* One fitted value. low and high are the ends of its 95 % interval, NAN for a value held at a bound; wanted is then
 * what the readings ask for beyond the bound, NAN for an onset, which has no meaning there. stated is the build's own
 * value with its half-width, 0 for none. */
typedef struct swl_log_value {
    swl_log_parameter parameter;
    double value, half_width, low, high;
    bool at_bound;
    double wanted;
    double stated, stated_half_width;
} swl_log_value;

/* How the boost is explained, whatever the charge temperature asks for. */
typedef enum swl_log_cause {
    SWL_CAUSE_NONE,
    SWL_CAUSE_SLIP,
    SWL_CAUSE_VE,
    SWL_CAUSE_SLIP_ONSET,
    SWL_CAUSE_SLIP_AND_VE,
    SWL_CAUSES
} swl_log_cause;

enum { SWL_LOG_VALUES_MAX = 3, SWL_LOG_FITS_MAX = 10 };

/* One fit. failure is NULL when it was made. */
typedef struct swl_log_fit {
    const char *name; /* for JSON */
    const char *words;
    swl_log_cause cause;
    bool cooler; /* effectiveness is fitted too */
    swl_log_value values[SWL_LOG_VALUES_MAX];
    size_t count;
    double chi2_before, chi2;
    size_t readings, degrees_of_freedom;
    double aicc;
    double correlation; /* of slip and VE factor; NAN unless both were fitted */
    bool converged;
    /* Whether it may be taken as an explanation: made, no value at a bound, and no interval that holds the build's own
     * value. */
    bool stands;
    const char *failure;
} swl_log_fit;

/* Correlation from which two fitted values count as not to be told apart. */
#define SWL_LOG_COLLINEAR 0.95
/* How much of AICc one explanation must be ahead of another, and how much of chi2 every parameter must earn to be taken
 * in (by chance 1 in 70). */
#define SWL_LOG_AHEAD 6.0
#define SWL_LOG_CONFIDENCE 0.95

/* A limit of the build held against what was measured, in every row of the run, used or not. Where gauge and absolute
 * look mixed up a pressure is not judged: row.verdict then means nothing, row.margin_frac is NAN, and otherwise is what
 * row.value would be the other way round (else NAN). */
typedef struct swl_log_limit {
    swl_limit_row row;
    bool judged;
    double otherwise;
    size_t over; /* rows above it */
    int line;    /* where it is worst */
} swl_log_limit;

enum { SWL_LOG_LIMITS_MAX = 8 };

/* rows, run and build: the caller's run and build must outlive it; rows is owned. */
typedef struct swl_log {
    swl_log_row *rows;
    size_t count;
    size_t part_throttle;       /* rows left out: throttle below SWL_RUN_WIDE_OPEN_FRAC or not given */
    size_t outside;             /* engine speed outside speed_from to speed_limit */
    size_t unsolved;            /* no operating point there */
    size_t off_map;             /* used rows whose predicted point is outside the map */
    bool has[SWL_LOG_KINDS];    /* measured and predicted */
    bool fitted[SWL_LOG_KINDS]; /* weighed in the fits */
    swl_log_residual residuals[SWL_LOG_KINDS];
    swl_log_bin bins[SWL_LOG_BINS_MAX];
    size_t bin_count;
    swl_log_shape shape;
    /* Most used rows speak for gauge and absolute mixed up: -1 a gauge pressure in a column of absolute ones, which
     * lies at or about the site's pressure or would be nearer to the prediction with the site's on top; 1 an absolute
     * pressure in a column of boost, which is the site's or more and would be nearer without it. Nothing is fitted
     * then, and no pressure is judged. */
    int gauge;
    swl_log_fit fits[SWL_LOG_FITS_MAX];
    size_t fit_count;
    size_t fits_made;   /* beside the build unchanged; without any nothing is explained */
    size_t best;        /* the fit taken as the explanation, one that stands; fits[0] is the build unchanged */
    double best_margin; /* AICc of the nearest other cause less that of the best; below 0 it takes more values */
    swl_log_cause second;
    double spread;      /* what chi2 is divided by in AICc, 1 or more */
    bool agrees;        /* fits were made and the build unchanged leaves no more than the assumed scatter (1 in 100) */
    double cooler_frac; /* effectiveness from measured discharge and charge temperature; NAN without both */
    double cooler_half_width;
    swl_log_limit limits[SWL_LOG_LIMITS_MAX];
    size_t limit_count;
    bool exceeded; /* a measured value is over its limit */
    bool unjudged; /* a limit could not be held against what was measured */
} swl_log;

/* Lays a run over the prediction and fits what may explain the difference.
 * Prediction: a solve at each used row's engine speed.
 * Fits: trust-region least squares over the readings of manifold pressure, charge temperature and mass flow, each
 * residual over swl_log_sigma; the others are compared only, since what the model leaves open of power, intake and
 * compression is more than a sensor's noise. When the rows have more than 401 engine speeds the model is solved at 401
 * evenly spaced ones while fitting, and is linear between. 95 % intervals from the covariance with Student's t, widened
 * by chi2 over its degrees of freedom where that is above 1. Slip is bound to 0 to 30 %, the factor to 0.5 to 1.5, the
 * effectiveness to 0 to 1; a value that would leave them is held there and flagged. Equations: docs/model.md (L1) to
 * (L4).
 * Given: a build and a run of at least one row.
 * Returns: SWL_OK and a log to free; SWL_ERR_INPUT when no row is left to use, with the counts; SWL_ERR_MEMORY. */
swl_status swl_log_run(const swl_build *build, const swl_run *run, swl_log *log, swl_err *err) SWL_MUST_CHECK;
void swl_log_free(swl_log *log);

#endif
