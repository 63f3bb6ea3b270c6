/* Choosing a pulley: one build over many sizes, and the size that gives what is wanted. */
#ifndef SWEPTLINE_PULLEY_H
#define SWEPTLINE_PULLEY_H

#include "sweptline/check.h"

typedef enum swl_pulley { SWL_PULLEY_BLOWER, SWL_PULLEY_CRANK } swl_pulley;

enum { SWL_PULLEY_SPEEDS = 3, SWL_PULLEY_SIZES_MAX = 200 };

/* Engine speeds in rev/min at which boost is told, one to three. */
typedef struct swl_pulley_speeds {
    double rpm[SWL_PULLEY_SPEEDS];
    size_t count;
} swl_pulley_speeds;

/* What one size gives. Without an operating point at some speed end and end_rpm tell why and where, and only size,
 * ratio, blower speeds and their margins are numbers. */
typedef struct swl_pulley_row {
    double d_m; /* outside diameter */
    double drive_ratio;
    double blower_rpm_at_limit;     /* without slip */
    double blower_rpm_at_over_rev;  /* without slip */
    double margin_at_limit_frac;    /* of the continuous limit; NAN when none is stated */
    double margin_at_over_rev_frac; /* of the short-time limit, or without one of the continuous limit where an over-rev
                                       is held against it; NAN when there is none */
    double boost_pa[SWL_PULLEY_SPEEDS];
    double boost_peak_pa;
    double boost_peak_rpm;
    double t2_max_k;
    double t3_max_k;
    double p_shaft_max_w;
    double mdot_max_kg_s;
    double crank_max_w;  /* estimated; NAN without an estimate */
    double wheel_max_w;  /* NAN too when no driveline loss is given */
    swl_verdict verdict; /* the worst of all limits */
    const char *worst;   /* the limit with the least to spare, NULL when none is given */
    double worst_margin_frac;
    swl_line_tally tally;
    swl_match_end end;
    double end_rpm;
    double end_p_ratio; /* where the search for it ended; NAN with a point */
} swl_pulley_row;

/* Returns: a size in the units shown, rounded to that many decimals to the side that turns the blower slower, so that
 * the figure itself gives no more than was asked for. */
double swl_pulley_rounded(swl_pulley pulley, double shown, int decimals);

/* Returns: the build with another size. A flat copy: its curves and map stay the original's. */
swl_build swl_pulley_build(const swl_build *build, swl_pulley pulley, double d_m);

/* Solves the build with each size.
 * Given: the build, which pulley, count sizes in metres, the engine speeds for the boost columns.
 * Returns: SWL_OK with count rows; SWL_ERR_USAGE for no size or too many; SWL_ERR_MEMORY. */
swl_status swl_pulley_table(const swl_build *build, swl_pulley pulley, const double *d_m, size_t count,
                            const swl_pulley_speeds *speeds, swl_pulley_row *rows, swl_err *err) SWL_MUST_CHECK;

/* What a size is sought for. */
typedef enum swl_pulley_goal {
    SWL_GOAL_BOOST_AT,   /* boost in Pa at engine_rpm */
    SWL_GOAL_BOOST_PEAK, /* highest boost in Pa over the line */
    SWL_GOAL_SPEED,      /* blower speed in rev/min at the rev limit, without slip */
    SWL_GOAL_FLOW,       /* air flow in kg/s at the rev limit */
    SWL_GOAL_LIMITS,     /* every limit kept, with nothing to spare; value is not read */
    SWL_GOAL_ISLAND      /* most efficient over a span of engine speed, by swl_pulley_find_island */
} swl_pulley_goal;

/* What ends a search. */
typedef enum swl_pulley_stop {
    SWL_STOP_FOUND,
    SWL_STOP_SLOW_END,   /* even the size that turns the blower slowest gives more, or exceeds a limit */
    SWL_STOP_FAST_END,   /* even the size that turns it fastest gives less, or reaches no limit */
    SWL_STOP_SLOW_POINT, /* a size that turns it slower has no operating point, and this one gives more */
    SWL_STOP_FAST_POINT, /* a size that turns it faster has no operating point, and this one gives less */
    SWL_STOP_NOWHERE     /* no size searched has an operating point */
} swl_pulley_stop;

/* exact_m gives the goal or comes nearest to it; NAN when nothing does. */
typedef struct swl_pulley_found {
    swl_pulley_stop stop;
    double exact_m;
    double reached;        /* what exact_m gives, in the goal's unit; for SWL_GOAL_LIMITS less the least margin */
    const char *binds;     /* for SWL_GOAL_LIMITS the limit that decides, else NULL */
    swl_match_end end;     /* why a size just beyond has no operating point, SWL_MATCH_SOLVED when it has */
    double end_rpm;        /* the engine speed where it has none */
    double slow_m, fast_m; /* the sizes searched: that which turns the blower slowest, and fastest */
} swl_pulley_found;

/* Finds the size, between a tenth and ten times the build's own, by bisection on what rises or falls with the size.
 * Where every limit is kept up to the border of the operating points, the size at that border is found and end tells
 * what is beyond.
 * Errors: SWL_ERR_SOLVE with found telling what stopped it and the nearest that can be reached; SWL_ERR_MEMORY. */
swl_status swl_pulley_find(const swl_build *build, swl_pulley pulley, swl_pulley_goal goal, double value,
                           double engine_rpm, swl_pulley_found *found, swl_err *err) SWL_MUST_CHECK;

/* Engine speeds over which efficiency counts, and how much: weight over engine speed, above 0; NULL for even. */
typedef struct swl_island_span {
    double from_rpm;
    double to_rpm;
    const swl_curve *weight;
} swl_island_span;

/* How good a size is: the weighted mean of adiabatic efficiency over the span, where a point outside the map's data, or
 * none, counts 0; and the weighted share of the span that is inside. */
typedef struct swl_island_mean {
    double d_m;
    double eff_frac;
    double inside_frac;
} swl_island_mean;

/* Sizes of highest mean, best first. at_end: the best lies at the end of the sizes searched, and is still rising. */
enum { SWL_ISLAND_PEAKS_MAX = 6 };
typedef struct swl_pulley_island {
    swl_island_mean peaks[SWL_ISLAND_PEAKS_MAX];
    size_t peak_count;
    bool at_end;
    swl_island_mean own;     /* of the build as it is */
    swl_island_mean listed;  /* the best of the sizes listed; d_m NAN when there is none */
    double map_best_frac;    /* the highest adiabatic efficiency of the map's points */
    double small_m, large_m; /* the sizes searched */
} swl_pulley_island;

/* Mean of one size. Equation: docs/model.md (P1). */
swl_status swl_pulley_island_mean(const swl_build *build, swl_pulley pulley, const swl_island_span *span, double d_m,
                                  swl_island_mean *mean, swl_err *err) SWL_MUST_CHECK;

/* Finds the sizes between half and twice the build's own whose mean is highest: a scan, then Brent's minimisation in
 * the bracket of every maximum that stands out by SWL_ISLAND_STANDS_OUT_FRAC from the dips beside it.
 * Given: count listed sizes to compare, which may be none. Returns: SWL_OK; SWL_ERR_SOLVE when no size puts any of the
 * span on the map; SWL_ERR_USAGE for a span that is none; SWL_ERR_MEMORY. */
#define SWL_ISLAND_STANDS_OUT_FRAC 0.001
swl_status swl_pulley_find_island(const swl_build *build, swl_pulley pulley, const swl_island_span *span,
                                  const double *listed_m, size_t count, swl_pulley_island *island,
                                  swl_err *err) SWL_MUST_CHECK;

/* One search of a study: what was wished for, what was found, what that size gives, and the row of the table that
 * comes nearest without turning the blower faster (for an island the row that is best); row is the study's count when
 * there is none. */
typedef struct swl_pulley_wish {
    const char *words;
    swl_pulley_goal goal;
    double value;
    double engine_rpm;
    swl_island_span span; /* of an island */
    swl_pulley_found found;
    swl_pulley_island island;
    swl_pulley_row exact; /* what found.exact_m gives, when it is a number */
    size_t row;
} swl_pulley_wish;

enum { SWL_PULLEY_WISHES_MAX = 5 };

/* A table and its searches. rows is owned by whoever made it. */
typedef struct swl_pulley_study {
    swl_pulley pulley;
    double own_m; /* the build's own size */
    swl_pulley_speeds speeds;
    swl_pulley_row *rows;
    size_t count;
    swl_pulley_wish wishes[SWL_PULLEY_WISHES_MAX];
    size_t wish_count;
} swl_pulley_study;

/* Fulfils the wishes of a study whose table is filled in; of one that cannot be, found.stop tells why.
 * Errors: SWL_ERR_MEMORY. */
swl_status swl_pulley_wishes(const swl_build *build, swl_pulley_study *study, swl_err *err) SWL_MUST_CHECK;

/* The same over a fine table for a plot: even steps over the sizes listed, the build's own and the found ones where
 * they are not far off, and each of those itself. Returns: SWL_OK and count rows, which the caller frees;
 * SWL_ERR_MEMORY. */
enum { SWL_PULLEY_CURVE_STEPS = 72 };
swl_status swl_pulley_curve(const swl_build *build, const swl_pulley_study *study, swl_pulley_row **rows, size_t *count,
                            swl_err *err) SWL_MUST_CHECK;

#endif
