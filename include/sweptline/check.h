/* The operating line over the rev range, and each limit against it. */
#ifndef SWEPTLINE_CHECK_H
#define SWEPTLINE_CHECK_H

#include "sweptline/match.h"
#include "sweptline/power.h"

enum { SWL_LINE_ROWS_MAX = 2000, SWL_LIMIT_ROWS_MAX = 16 };

/* Kept with 5 % or more to spare, kept with less, exceeded. */
typedef enum swl_verdict { SWL_KEPT, SWL_CLOSE, SWL_EXCEEDED } swl_verdict;
#define SWL_CLOSE_MARGIN_FRAC 0.05

/* value, limit in the SI unit named by unit. margin_frac = (limit - value)/limit, so for a
 * temperature it is a share of the absolute temperature. The last two are for speeds only, else NAN:
 * the engine speed at which the limit is reached, and the smallest blower pulley (outside diameter) that keeps it. */
typedef struct swl_limit_row {
    const char *name;
    const char *words;
    const char *unit;
    swl_show show;
    swl_verdict verdict;
    double value;
    double limit;
    double margin_frac;
    double engine_rpm; /* where it is worst */
    double
        exceeded_from_rpm; /* the engine speed from which it is exceeded, to 0.01 rpm; NAN for speeds and when kept */
    bool on_map;           /* whether the map has data there; always for a speed */
    double engine_rpm_at_limit;
    double smallest_pulley_m;
} swl_limit_row;

/* line and power, a row each of the same engine speed, are owned. Speeds without slip. */
typedef struct swl_check {
    swl_point *line;
    swl_power *power;
    size_t line_count;
    swl_power_basis basis; /* what power rests on */
    swl_limit_row limits[SWL_LIMIT_ROWS_MAX];
    size_t limit_count;
    bool exceeded;
    size_t pump_held; /* rows whose rail pressure lies outside the pump's curve, which is held there */
    double drive_ratio;
    double blower_rpm_at_limit;    /* engine at its rev limit */
    double blower_rpm_at_over_rev; /* engine at rev limit and over-rev */
} swl_check;

/* How many points of a line are outside the map, by each side of the map in the order of its bits (a point may be on
 * two), have no boost, or have the air drive the blower. */
typedef struct swl_line_tally {
    size_t points;
    size_t outside;
    size_t on_side[SWL_MAP_SIDES];
    size_t without_boost;
    size_t driven;
} swl_line_tally;

swl_line_tally swl_check_tally(const swl_check *check);

/* Solves a row at speed_from, every speed_step after it and one at speed_limit, and holds every limit
 * that is given against them. continuous_speed is held at the rev limit, short_time_speed at rev limit and
 * over-rev; without a short-time limit the over-rev is held to the continuous one as over_rev_speed.
 * Returns: SWL_OK and a check to free; SWL_ERR_SOLVE naming the engine speed and the reason; SWL_ERR_USAGE for speeds
 * that make no line; SWL_ERR_MEMORY. */
swl_status swl_check_run(const swl_build *build, swl_check *check, swl_err *err) SWL_MUST_CHECK;
void swl_check_free(swl_check *check);

/* Holds every limit of a build against a line that is solved already, as swl_check_run does; fills in limits, drive
 * ratio and blower speeds anew and allocates nothing; exceeded_from_rpm is left NAN. Given: line and line_count, every
 * point solved. */
void swl_check_limits(const swl_build *build, swl_check *check);

/* Points to mark on a chart: the ends of the line and the round engine speeds between them, whether or not the
 * line has a row there. Given: a solver of the check's build, room for SWL_MARKS_MAX. Returns: how many. */
enum { SWL_MARKS_MAX = 40 };
size_t swl_check_marks(swl_match *match, const swl_check *check, swl_point *marks);

const char *swl_verdict_word(swl_verdict verdict);

#endif
