/* One operating point of the library held against the full set: tallies, deviations and complaints. */
#ifndef TESTS_REFERENCE_FULL_COMPARE_H
#define TESTS_REFERENCE_FULL_COMPARE_H

#include "reference/full_solve.h"

#include <stddef.h>

/* What a deviation is a share of: the value itself, or where that passes through zero no less than a hundredth of what
 * it is a difference of. Boost is p3 - p0, both about p0; power, torque and cooler heat are m (h - h1), with enthalpies
 * of about cp T1. A difference of two numbers can be no better than a share of them. */
typedef enum full_scale { FULL_OWN, FULL_SITE, FULL_POWER, FULL_TORQUE } full_scale;
#define FULL_SCALE_FLOOR 0.01
#define FULL_TOLERANCE 1e-9

enum { FULL_WHERE_MAX = 80, FULL_FIELDS = 27 };

/* A double of swl_point, and the worst deviation so far. */
typedef struct full_field {
    const char *name;
    size_t at;
    full_scale scale;
    double worst;
    char where[FULL_WHERE_MAX];
} full_field;

typedef struct full_tally {
    size_t points, passed, failed;
    /* what the reference finds; refused: a temperature outside the air properties */
    size_t solved, refused, too_small_blower, too_small_engine, cooler_loss;
    /* which start led it there */
    size_t plain, scanned, stepped, unreached;
    /* kinds of the solved points */
    size_t choked, throttled, open, below_one, inside, outside, cooled, uncooled, looped, by_ua, by_curve, wet, held,
        from_power, from_rise;
    size_t several, several_told, not_lowest, none_seen;
    double left, balance;
    full_field fields[FULL_FIELDS];
} full_tally;

void full_tally_init(full_tally *tally);

/* One build, set up in both. */
typedef struct full_trial {
    full_solver *solver;
    full_model *model;
    swl_match *match;
    full_tally *tally;
    char where[FULL_WHERE_MAX];
    bool ok;
} full_trial;

/* Solves one engine speed both ways and counts it as passed or failed; every disagreement is printed. */
void full_try_point(full_trial *trial, double engine_rpm);

#endif
