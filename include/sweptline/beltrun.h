/* The belt over the rev range: every layout against the power that its blower and accessories take. */
#ifndef SWEPTLINE_BELTRUN_H
#define SWEPTLINE_BELTRUN_H

#include "sweptline/check.h"

/* Friction is the least certain number of a belt: what is wanted is also told with this share of it. */
#define SWL_BELT_SLICK 0.8

enum { SWL_BELT_LIMITS_MAX = SWL_BELT_PULLEYS_MAX + 5 };

typedef struct swl_range {
    double least, most;
} swl_range;

/* One engine speed. pull_max_n is what a stop can carry before it slips, NAN without static tension; so are the
 * tensions of the state then. slack: the pulls take more out of a span than there is in it, which no belt can; no
 * tension is known then, so those of the state are NAN and a pulley carries nothing. */
typedef struct swl_belt_row {
    double engine_rpm;
    bool slack;
    swl_belt_state state;
    double pull_max_n[SWL_BELT_PULLEYS_MAX];
} swl_belt_row;

/* A limit of a layout: a pulley that must not slip, the belt's speed or tension, the rotors' speeds of check. value
 * and limit in the SI unit of show, rev/min for a rotor's speed; margin_frac = (limit - value)/limit. Where the belt is
 * slack a pulley that pulls has the limit 0 and the margin minus infinity; the largest tension is not known, and value
 * and margin are NAN with the verdict SWL_EXCEEDED. */
typedef struct swl_belt_limit {
    const char *name;   /* "slip", "speed_limit", "tension_limit", or that of a speed of swl_check */
    const char *pulley; /* that slips, else NULL */
    swl_show show;
    swl_verdict verdict;
    double value, limit;
    double margin_frac;
    double engine_rpm; /* where it is worst */
} swl_belt_limit;

/* What one stop of the path comes to over the line. */
typedef struct swl_belt_stop_run {
    bool carries; /* it drives, or is driven with a power */
    double rpm_at_limit;
    swl_range wrap_rad;     /* over the travel; both the same without one */
    double hub_load_max_n;  /* of its bearing, NAN without static tension and where the belt is slack */
    double static_needed_n; /* the static tension with which it just does not slip; NAN for one that carries nothing */
    double needed_rpm;      /* the engine speed that asks for it */
} swl_belt_stop_run;

/* A belt of the list on the shelf. share of the travel at which it is taut, NAN where it is at none. Where the length
 * has a largest or least value within the travel it is taut at more than one place: places counts them, and the last
 * members are of the last of them. */
typedef struct swl_belt_fit {
    double length_m; /* as given */
    double share;
    double blower_wrap_rad;
    bool fits;
    size_t places;
    double last_share;
    double last_wrap_rad;
} swl_belt_fit;

/* One layout. layout is the one solved: every diameter filled in, centres as given. end tells whether the build with
 * its blower pulley has an operating line; without one only the geometry is there. */
typedef struct swl_belt_alternative {
    swl_belt_layout layout;
    swl_belt_path path;
    swl_belt_fault gap; /* SWL_BELT_TIGHT_GAP or SWL_BELT_CROSSED beside a sound path */
    double d_crank_m, d_blower_m;
    size_t crank_stop, blower_stop;
    size_t mover_stop; /* path.count where nothing moves */
    bool solved;
    char failure[SWL_ERR_TEXT_MAX];
    swl_belt_row *rows; /* owned */
    size_t row_count;
    size_t outside; /* rows whose point lies outside the blower's map */
    swl_belt_stop_run stops[SWL_BELT_PULLEYS_MAX];
    double speed_max_m_s; /* at the rev limit */
    double speed_over_rev_m_s;
    size_t slack;         /* rows with a slack span; 0 without static tension */
    double tension_max_n; /* NAN without static tension and where the belt is slack */
    double tension_max_rpm;
    size_t tension_max_stop; /* behind which it is */
    double tension_min_n;    /* the least that presses the belt on a pulley, less m v^2 */
    double static_needed_n;  /* the largest of all stops */
    size_t static_needed_stop;
    double static_needed_slick_n; /* the same with SWL_BELT_SLICK of the friction on both sides */
    swl_range effective_length_m; /* over the travel */
    bool travel_whole;            /* the belt can be laid over all of the travel */
    swl_belt_fit fits[SWL_BELT_LENGTHS_MAX];
    swl_belt_limit limits[SWL_BELT_LIMITS_MAX];
    size_t limit_count;
    swl_limit_row others[SWL_LIMIT_ROWS_MAX]; /* limits of check, without the rotors' speeds, that are exceeded */
    size_t other_count;
    bool exceeded; /* any of both */
} swl_belt_alternative;

typedef struct swl_belt_study {
    const swl_belt *belt;
    swl_belt_alternative *alternatives; /* owned; the build as it is first */
    size_t count;
    bool exceeded; /* by the build as it is */
} swl_belt_study;

/* Solves every layout of a build's belt. The blower's power is that of the operating line at each row, over 1 less the
 * drive's slip; jackshaft and gears pass on all of it. Belt speed is that of the crank's pitch line. A layout with
 * another pulley on crank or blower is matched with it, and every limit of check is held against that line. Returns:
 * SWL_OK and a study to free; SWL_ERR_USAGE where the build has no belt; SWL_ERR_MEMORY. */
swl_status swl_belt_study_run(const swl_build *build, swl_belt_study *study, swl_err *err) SWL_MUST_CHECK;
void swl_belt_study_free(swl_belt_study *study);

#endif
