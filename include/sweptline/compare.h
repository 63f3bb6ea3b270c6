/* Builds side by side: the same engine with one donor unit or another. */
#ifndef SWEPTLINE_COMPARE_H
#define SWEPTLINE_COMPARE_H

#include "sweptline/check.h"
#include "sweptline/pulley.h"

enum { SWL_COMPARE_LEAST = 2, SWL_COMPARE_MOST = 6, SWL_COMPARE_SPEEDS_MAX = 8 };

/* What is the same in all: nothing but what the builds share, or the boost, or the air flow. */
typedef enum swl_compare_goal { SWL_COMPARE_AS_FITTED, SWL_COMPARE_BOOST, SWL_COMPARE_FLOW } swl_compare_goal;

/* value in Pa or kg/s. A boost is wanted at engine_rpm, or at its peak where that is NAN; a flow at the rev limit. */
typedef struct swl_compare_wish {
    swl_compare_goal goal;
    double value;
    double engine_rpm;
} swl_compare_wish;

/* Values at one engine speed. */
enum {
    SWL_COMPARE_RATIO,
    SWL_COMPARE_BOOST_AT,
    SWL_COMPARE_AIR,
    SWL_COMPARE_DISCHARGE,
    SWL_COMPARE_CHARGE,
    SWL_COMPARE_EFFICIENCY,
    SWL_COMPARE_DRIVE_POWER,
    SWL_COMPARE_DRIVE_TORQUE,
    SWL_COMPARE_CRANK_POWER,
    SWL_COMPARE_CRANK_TORQUE,
    SWL_COMPARE_WHEEL_POWER,
    SWL_COMPARE_BLOWER_SPEED,
    SWL_COMPARE_VALUES
};

/* Figures of the whole rev range; the highest of a value are those of the operating line's rows. */
enum {
    SWL_FIGURE_BOOST,
    SWL_FIGURE_AIR,
    SWL_FIGURE_DISCHARGE,
    SWL_FIGURE_CHARGE,
    SWL_FIGURE_DRIVE_POWER,
    SWL_FIGURE_CRANK_POWER,
    SWL_FIGURE_WHEEL_POWER,
    SWL_FIGURE_SPEED_MARGIN,        /* (limit - speed)/limit at the rev limit, of the continuous limit */
    SWL_FIGURE_OVER_REV_MARGIN,     /* in an over-rev, of the short-time limit */
    SWL_FIGURE_OVER_REV_CONTINUOUS, /* in an over-rev, of the continuous limit */
    SWL_FIGURE_LEAST_MARGIN,        /* of all limits that are given */
    SWL_FIGURE_EFFICIENCY_MEAN,     /* adiabatic, over the rev range by engine speed, held values included */
    SWL_FIGURE_EFFICIENCY_BEST,     /* the highest of the map's own points */
    SWL_FIGURE_SHARE_OWN_BEST,      /* of the rev range: inside the map and within SWL_COMPARE_ISLAND_FRAC of that */
    SWL_FIGURE_SHARE_COMMON,        /* of the rev range: inside the map and at common_level_frac or above */
    SWL_FIGURE_SHARE_OUTSIDE,       /* of the rev range: outside the map */
    SWL_FIGURES
};

#define SWL_COMPARE_ISLAND_FRAC 0.02
/* The common level is the highest multiple of this that every map has points at. */
#define SWL_COMPARE_LEVEL_STEP_FRAC 0.05
/* Into how many equal spans of engine speed the rev range is cut for the shares and the mean. */
enum { SWL_COMPARE_SPANS = 1000 };

typedef enum swl_better { SWL_BETTER_NEITHER, SWL_BETTER_LESS, SWL_BETTER_MORE } swl_better;

/* name as in JSON, words for a table. A difference up to resolution, or up to resolution_share of the larger value, is
 * none to build on: 1 K, 1 % of a flow or of the engine's power, one point of an efficiency, a margin or a share, and
 * 2 % of drive power and torque, which is what reading a map's efficiency one or two points off does to them. */
typedef struct swl_compare_quantity {
    const char *name;
    const char *words;
    swl_show show;
    swl_better better;
    double resolution;
    double resolution_share;
} swl_compare_quantity;

extern const swl_compare_quantity swl_compare_values[SWL_COMPARE_VALUES];
extern const swl_compare_quantity swl_compare_figures[SWL_FIGURES];

/* A value in SI, NAN where there is none. engine_rpm is where it stands, NAN for a figure of no one speed; on_map is
 * false when it rests on a point outside the map; of a mean, when more than a tenth of the rev range does. */
typedef struct swl_compare_value {
    double value;
    double engine_rpm;
    bool on_map;
} swl_compare_value;

/* One build. build is a flat copy that has the size it was solved with; its curves and its map are the given build's,
 * which must outlive it. check is owned. Where it was not solved, found or failure tells why, there is no check and
 * every value is NAN. */
typedef struct swl_compare_build {
    swl_build build;
    swl_check check;
    double fitted_m; /* blower pulley, outside diameter, as given */
    bool solved;
    swl_pulley_found found;         /* of the wish; stop is SWL_STOP_FOUND as fitted */
    double solved_rpm;              /* engine speed at which it gives the wish; NAN as fitted */
    bool solved_on_map;             /* false when that point is outside the map: then all rests on its held edge */
    char failure[SWL_ERR_TEXT_MAX]; /* why there is no operating line with that pulley */
    swl_compare_value at[SWL_COMPARE_SPEEDS_MAX][SWL_COMPARE_VALUES];
    swl_compare_value figures[SWL_FIGURES];
    const char *least_margin; /* name of the limit, NULL when none is given */
    size_t exceeded;
    size_t points_outside; /* rows of the line outside the map */
} swl_compare_build;

typedef struct swl_compare {
    swl_compare_wish wish;
    swl_compare_build builds[SWL_COMPARE_MOST];
    size_t count;
    size_t solved;
    size_t first; /* the first build that was solved, which differences are against */
    double speeds_rpm[SWL_COMPARE_SPEEDS_MAX];
    size_t speed_count;
    double common_level_frac;
} swl_compare;

/* Three round engine speeds inside the rev ranges of all builds and the lowest rev limit, rising; the limit alone when
 * the ranges share too little.
 * Returns: how many; 0 when the rev ranges have no engine speed in common. */
size_t swl_compare_speeds(const swl_build *const *builds, size_t count, double speeds_rpm[SWL_COMPARE_SPEEDS_MAX]);

/* Solves every build, as fitted or with the blower pulley that gives the wish, and fills in values and figures.
 * Given: two to six builds, the wish, one to eight engine speeds rising.
 * Returns: SWL_OK and a comparison to free, in which a build may have a failure; SWL_ERR_USAGE for too few or too many
 * builds or speeds, or a speed (the wish's too) outside a build's rev range; SWL_ERR_SOLVE when no build was solved,
 * the reasons being in the builds; SWL_ERR_MEMORY. */
swl_status swl_compare_run(const swl_build *const *builds, size_t count, const swl_compare_wish *wish,
                           const double *speeds_rpm, size_t speed_count, swl_compare *compare,
                           swl_err *err) SWL_MUST_CHECK;
void swl_compare_free(swl_compare *compare);

/* Whether two values differ by more than the quantity's resolution; false when one of them is NAN. */
bool swl_compare_differ(const swl_compare_quantity *quantity, double a, double b);
/* Returns: which of the values is better than every other by more than the resolution; count when none is, when
 * one rests on a point outside its map, when neither direction is better, when one is NAN, or of fewer than two. */
size_t swl_compare_best(const swl_compare_quantity *quantity, const swl_compare_value *const *values, size_t count);

#endif
