/* Choosing a pulley: one build over many sizes, and the size that gives what is wanted. */
#ifndef SWEPTLINE_PULLEY_H
#define SWEPTLINE_PULLEY_H

#include "sweptline/check.h"

typedef enum swl_pulley { SWL_PULLEY_BLOWER, SWL_PULLEY_CRANK } swl_pulley;

enum { SWL_PULLEY_SPEEDS = 3, SWL_PULLEY_SIZES_MAX = 200 };

/* What one size gives. Without an operating point at some speed end tells why, and only the speeds are filled in. */
typedef struct swl_pulley_row {
    double d_m; /* outside diameter */
    double drive_ratio;
    double blower_rpm_at_limit;    /* without slip */
    double blower_rpm_at_over_rev; /* without slip */
    double boost_pa[SWL_PULLEY_SPEEDS];
    double boost_peak_pa;
    double boost_peak_rpm;
    double t2_max_k;
    double t3_max_k;
    double p_shaft_max_w;
    double mdot_max_kg_s;
    swl_verdict verdict; /* the worst of all limits */
    const char *worst;   /* the limit with the least to spare, NULL when none is given */
    double worst_margin_frac;
    size_t outside; /* rows of the line outside the map */
    swl_match_end end;
} swl_pulley_row;

/* Solves the build with each size.
 * Given: the build, which pulley, count sizes in metres, three engine speeds in rev/min for the boost columns.
 * Returns: SWL_OK with count rows; SWL_ERR_USAGE for no size or too many; SWL_ERR_MEMORY. */
swl_status swl_pulley_table(const swl_build *build, swl_pulley pulley, const double *d_m, size_t count,
                            const double *speeds_rpm, swl_pulley_row *rows, swl_err *err) SWL_MUST_CHECK;

/* What a size is sought for. */
typedef enum swl_pulley_goal {
    SWL_GOAL_BOOST_AT,   /* boost in Pa at engine_rpm */
    SWL_GOAL_BOOST_PEAK, /* highest boost in Pa over the line */
    SWL_GOAL_SPEED,      /* blower speed in rev/min at the rev limit, without slip */
    SWL_GOAL_FLOW,       /* air flow in kg/s at the rev limit */
    SWL_GOAL_LIMITS      /* every limit kept, with nothing to spare; value is not read */
} swl_pulley_goal;

/* exact_m gives the goal; binds is the limit that decides for SWL_GOAL_LIMITS, else NULL. */
typedef struct swl_pulley_found {
    double exact_m;
    const char *binds;
} swl_pulley_found;

/* Finds the size, between a tenth and ten times the build's own, by bisection on what rises or falls with the size.
 * Errors: SWL_ERR_SOLVE that names the best that can be reached and the size it takes; SWL_ERR_MEMORY. */
swl_status swl_pulley_find(const swl_build *build, swl_pulley pulley, swl_pulley_goal goal, double value,
                           double engine_rpm, swl_pulley_found *found, swl_err *err) SWL_MUST_CHECK;

/* One search of a study: what was wished for, what was found, and the row of the table that comes nearest
 * without turning the blower faster; row is the study's count when there is none. */
typedef struct swl_pulley_wish {
    const char *words;
    swl_pulley_goal goal;
    double value;
    double engine_rpm;
    swl_pulley_found found;
    swl_pulley_row exact;           /* what the exact size gives */
    char failure[SWL_ERR_TEXT_MAX]; /* why none was found, empty when one was */
    size_t row;
} swl_pulley_wish;

enum { SWL_PULLEY_WISHES_MAX = 5 };

/* A table and its searches. rows is owned by whoever made it. */
typedef struct swl_pulley_study {
    swl_pulley pulley;
    double speeds_rpm[SWL_PULLEY_SPEEDS];
    swl_pulley_row *rows;
    size_t count;
    swl_pulley_wish wishes[SWL_PULLEY_WISHES_MAX];
    size_t wish_count;
} swl_pulley_study;

/* Fulfils the wishes of a study whose table is filled in; one that cannot be has its failure in words.
 * Errors: SWL_ERR_MEMORY. */
swl_status swl_pulley_wishes(const swl_build *build, swl_pulley_study *study, swl_err *err) SWL_MUST_CHECK;

#endif
