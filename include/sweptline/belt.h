/* The belt: where it runs, how long it is, and what it carries before it slips. */
#ifndef SWEPTLINE_BELT_H
#define SWEPTLINE_BELT_H

#include "sweptline/buf.h"
#include "sweptline/curve.h"
#include "sweptline/drive.h"
#include "sweptline/text.h"

#include <stdbool.h>
#include <stddef.h>

enum { SWL_BELT_PULLEYS_MAX = 12, SWL_BELT_LAYOUTS_MAX = 8, SWL_BELT_LENGTHS_MAX = 40, SWL_BELT_NAME_MAX = 32 };

typedef struct swl_xy {
    double x_m, y_m;
} swl_xy;

typedef enum swl_belt_kind { SWL_BELT_RIBBED, SWL_BELT_FLAT } swl_belt_kind;
/* Which face of the belt touches a pulley. */
typedef enum swl_belt_side { SWL_BELT_RIBS, SWL_BELT_BACK } swl_belt_side;
typedef enum swl_belt_hold { SWL_BELT_FIXED_CENTRES, SWL_BELT_AUTOMATIC } swl_belt_hold;
typedef enum swl_belt_runs { SWL_BELT_EITHER_WAY, SWL_BELT_CLOCKWISE, SWL_BELT_COUNTERCLOCKWISE } swl_belt_runs;
/* At which line the lengths of the belts on the shelf are stated. */
typedef enum swl_belt_line { SWL_BELT_EFFECTIVE_LINE, SWL_BELT_PITCH_LINE } swl_belt_line;

/* How a pulley's centre can move: along a straight line between two positions, or on an arc about a pivot between two
 * angles measured from the centre given, counterclockwise above 0. */
typedef enum swl_belt_travel { SWL_BELT_STILL, SWL_BELT_ON_LINE, SWL_BELT_ON_ARC } swl_belt_travel;

/* d_m is the outside (effective) diameter, NAN where the drive has it. The curves are what a driven pulley takes over
 * engine speed, one of them or none; torque at the pulley's own shaft. */
typedef struct swl_belt_pulley {
    char name[SWL_BELT_NAME_MAX];
    swl_xy centre;
    double d_m;
    int side; /* a swl_belt_side */
    swl_belt_travel travel;
    swl_xy from, to; /* of a line */
    swl_xy pivot;    /* of an arc */
    double swing_from_rad, swing_to_rad;
    swl_curve *power_w;
    swl_curve *torque_nm;
} swl_belt_pulley;

/* One way to lay the belt. path holds places in pulleys, in the order in which a point of the belt meets them as it
 * runs; a pulley that is not in it is not fitted. */
typedef struct swl_belt_layout {
    char name[SWL_BELT_NAME_MAX]; /* empty for the build as it is */
    swl_belt_pulley pulleys[SWL_BELT_PULLEYS_MAX];
    size_t pulley_count;
    size_t path[SWL_BELT_PULLEYS_MAX];
    size_t path_count;
    double static_tension_n; /* NAN: not given */
} swl_belt_layout;

enum {
    SWL_BELT_ASSUMED_FRICTION = 1,
    SWL_BELT_ASSUMED_BACK_FRICTION = 2,
    SWL_BELT_ASSUMED_GROOVE = 4,
    SWL_BELT_ASSUMED_BACK_OFFSET = 8,
    SWL_BELT_ASSUMED_MASS = 16,
    SWL_BELT_NO_MASS = 32 /* neither its mass nor its ribs are known: 0 */
};

/* From memory, none retrieved: friction that with a groove of 40 degrees gives the tension ratio of 4 at half a turn
 * which design tables of ribbed belts rest on; rubber on bare steel; the cord of a PK belt under its back; a PK belt's
 * mass to a rib. */
#define SWL_BELT_FRICTION 0.15
#define SWL_BELT_BACK_FRICTION 0.25
#define SWL_BELT_GROOVE_RAD (40 * 3.14159265358979323846 / 180)
#define SWL_BELT_BACK_OFFSET_M 0.0015
#define SWL_BELT_MASS_PER_RIB_KG_M 0.020

/* The belt of a build. layouts is owned: the first is the build as it is, the others its alternatives, which share the
 * first one's curves unless they have their own. NAN: not given. */
typedef struct swl_belt {
    int kind;
    int hold;
    int runs; /* a swl_belt_runs; either way where the path tells */
    double friction;
    double back_friction;
    double groove_rad;
    double back_offset_m; /* from the pitch line to the back */
    double mass_kg_m;     /* of the whole width */
    double speed_limit_m_s;
    double tension_limit_n;
    int lengths_at;
    double lengths_m[SWL_BELT_LENGTHS_MAX];
    size_t length_count;
    swl_belt_layout *layouts;
    size_t layout_count;
    unsigned assumed;
} swl_belt;

/* Frees the belt and all in it; NULL is allowed. */
void swl_belt_free(swl_belt *belt);

/* Returns: the place of a pulley by its name, or the layout's pulley_count. */
size_t swl_belt_find(const swl_belt_layout *layout, swl_slice name);
/* Returns: the place of the pulley that can move, or the layout's pulley_count. */
size_t swl_belt_mover(const swl_belt_layout *layout);
/* Fills in the diameters that the drive has: pulleys called crank and blower. */
void swl_belt_diameters(swl_belt_layout *layout, const swl_drive *drive);
/* Moves the pulley that can move: share 0 is where its travel starts, 1 where it ends. */
void swl_belt_move(swl_belt_layout *layout, double share);

/* ---- the path ---- */

/* One pulley of a path and the span behind it. turn is 1 where the belt runs round it counterclockwise, -1 clockwise;
 * r_m is the radius of the pitch line; on and off are where the pitch line meets and leaves it. */
typedef struct swl_belt_stop {
    size_t pulley;
    int turn;
    double r_m;
    swl_xy on, off;
    double wrap_rad;
    double span_m; /* from off to the next stop's on */
} swl_belt_stop;

/* length_m is that of the pitch line. The effective line, at which pulleys are measured, lies the line differential b
 * inside it, and is shorter by b times the angle the belt turns through in all: 2 pi for a belt that does not cross. */
typedef struct swl_belt_path {
    swl_belt_stop stops[SWL_BELT_PULLEYS_MAX];
    size_t count;
    int direction; /* 1: the belt runs counterclockwise */
    double turned_rad;
    double length_m;
    double effective_length_m;
} swl_belt_path;

typedef enum swl_belt_fault_kind {
    SWL_BELT_SOUND,
    SWL_BELT_OVERLAP,    /* pulleys a and b touch or overlap */
    SWL_BELT_NO_TANGENT, /* no straight span fits between a and b */
    SWL_BELT_TURNS,      /* the belt does not close in one turn; a has the largest wrap */
    SWL_BELT_BOTH_WAYS,  /* it is sound either way round, and which is not said */
    SWL_BELT_CROSSED,    /* the spans behind a and behind b cross */
    SWL_BELT_THROUGH,    /* the span from a to b runs through c */
    SWL_BELT_TIGHT_GAP   /* sound, but a and b, or the span from a to b and c, leave less than the belt's thickness */
} swl_belt_fault_kind;

/* What is wrong with a path: places of pulleys; next to a, for CROSSED, a_next and b_next end the two spans. */
typedef struct swl_belt_fault {
    swl_belt_fault_kind kind;
    size_t a, b, c;
    size_t a_next, b_next;
    double angle_rad; /* the largest wrap */
} swl_belt_fault;

/* Lays the belt round a layout whose diameters are filled in, by the common tangents of consecutive pitch circles.
 * A pulley on the ribs turns one way, one on the back the other. Where the belt does not say which way it runs, it is
 * the one way in which it can be laid; of two pulleys, which can always be laid either way, clockwise.
 * Given: the effective line differential b; pitch radii are D/2 + b on the ribs and D/2 + back_offset on the back.
 * Returns: whether there is a path; fault tells why not, or SWL_BELT_TIGHT_GAP beside a sound one. A crossed belt is
 * a path of a flat belt only. */
bool swl_belt_path_find(const swl_belt *belt, const swl_belt_layout *layout, double line_differential_m,
                        swl_belt_path *path, swl_belt_fault *fault);
/* Appends the fault in words: a clause without a full stop. */
void swl_belt_fault_words(const swl_belt_layout *layout, const swl_belt_fault *fault, swl_buf *out);

/* ---- what it carries ---- */

/* Friction as it acts on the ribbed side: mu/sin(groove/2). Source: R. G. Budynas and J. K. Nisbett, Shigley's
 * Mechanical Engineering Design, chapter 17 (the chapter from memory). */
double swl_belt_wedge_friction(double friction, double groove_rad);
/* The friction that acts at a side of this belt. A flat belt has no wedge. */
double swl_belt_friction_at(const swl_belt *belt, int side);
/* exp(friction * wrap): the ratio of the tensions, each less the centrifugal one, at which a belt begins to slip
 * (Euler and Eytelwein). */
double swl_belt_grip(double friction, double wrap_rad);
/* Tension that a belt's own mass takes up: m v^2. */
double swl_belt_centrifugal_n(double mass_kg_m, double speed_m_s);
/* The slack and tight tension of a belt that is about to slip while it passes on a power, centrifugal tension
 * included. Given: speed above 0, grip above 1. */
double swl_belt_slack_at_slip_n(double power_w, double speed_m_s, double mass_kg_m, double grip_ratio);
double swl_belt_power_w(double tight_n, double slack_n, double speed_m_s);

/* The state of a belt at one speed. Per stop of the path: pull_n is what a pulley takes out of the belt, below 0 for
 * the one that drives it, so that all add up to 0; tension_n is that of the span behind the stop. */
typedef struct swl_belt_state {
    double speed_m_s;
    double centrifugal_n;
    double pull_n[SWL_BELT_PULLEYS_MAX];
    double tension_n[SWL_BELT_PULLEYS_MAX];
} swl_belt_state;

/* Walks the belt from the driving stop and adds each pulley's pull to the tension behind it.
 * Given: a path, the speed, pulls of all stops but the driving one (whose pull is filled in), the static tension.
 * Fixed centres: the belt is a spring of one stiffness whose length stays, so that the mean of the tension along its
 * length, an arc counted at the mean of its two spans, is the static tension at any speed. Automatic tensioner: the
 * tension in the spans at the pulley that moves, less m v^2, is the static tension, as its arm feels no centrifugal
 * part. Left out: bending stiffness, friction of bearings, vibration, creep, the arm's own friction and the change of
 * its force with position. */
void swl_belt_walk(const swl_belt *belt, const swl_belt_path *path, size_t driver, size_t mover_stop, double static_n,
                   swl_belt_state *state);
/* The pull that a stop can carry before it slips: the smaller of its two tensions less m v^2, times (grip - 1); 0 where
 * the belt is slack. */
double swl_belt_pull_max_n(const swl_belt *belt, const swl_belt_layout *layout, const swl_belt_path *path,
                           const swl_belt_state *state, size_t stop);
/* How much more static tension a stop wants before it slips; below 0 for what it has to spare. Both models shift every
 * tension alike, so it is a difference. */
double swl_belt_tension_wanted_n(const swl_belt *belt, const swl_belt_layout *layout, const swl_belt_path *path,
                                 const swl_belt_state *state, size_t stop);
/* What a stop's bearing carries: the sum of the pulls of both spans, less m v^2 each; NAN where one of them is slack.
 */
double swl_belt_hub_load_n(const swl_belt_path *path, const swl_belt_state *state, size_t stop);

#endif
