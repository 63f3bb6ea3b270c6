/* One build: an engine, a donor blower and all that joins them. */
#ifndef SWEPTLINE_BUILD_H
#define SWEPTLINE_BUILD_H

#include "sweptline/belt.h"
#include "sweptline/blower.h"
#include "sweptline/cooler.h"
#include "sweptline/drive.h"
#include "sweptline/engine.h"
#include "sweptline/flow.h"
#include "sweptline/injection.h"
#include "sweptline/input.h"
#include "sweptline/units.h"

enum { SWL_SITE_NAME_MAX = 64 };

typedef struct swl_site {
    double t_k;
    double p_pa;
    double rh_frac;
    double altitude_m;            /* NAN when the pressure was given */
    char name[SWL_SITE_NAME_MAX]; /* of a set that stands in for the build's own site; empty for that one */
} swl_site;

/* bore_m is NAN when there is no throttle body; adapter_bore_m and inlet_bore_m, given together, when there is no step
 * from an adapter into a larger blower inlet. */
typedef struct swl_intake {
    double bore_m;
    double adapter_bore_m;
    double inlet_bore_m;
    int throttle_count;
    double discharge_coefficient;
    swl_loss loss;
    double heat_pickup_k;
} swl_intake;

/* A cycle of pulls at wide-open throttle and rests. pulls is 0 when none is given. */
typedef struct swl_cycle {
    int pulls;
    double from_rpm, to_rpm; /* engine speed rises evenly from one to the other; 0: ends of the rev range */
    double pull_s, rest_s;
    double t_start_k;     /* coolant; 0: the coolant_temperature of a build without a loop, else front air */
    double t_recovered_k; /* rise above the start at which the circuit counts as recovered */
    double rest_heat_w;   /* heat that the charge gives off while the engine idles */
    double rest_air_kg_s; /* front exchanger, at rest; NAN: as in a pull */
} swl_cycle;

/* NAN: not given. */
typedef struct swl_limit_values {
    double boost_pa;
    double p_ratio;
    double t_charge_k;
    double t_discharge_k;
    double p_drive_w;
    double p_sensor_pa; /* absolute, full scale */
    double mdot_sensor_kg_s;
    double injector_duty_frac;
} swl_limit_values;

/* Values that a file left out and that were filled in, so that a report can say so. */
enum {
    SWL_ASSUMED_SITE_PRESSURE = 1,
    SWL_ASSUMED_SITE_TEMPERATURE = 2,
    SWL_ASSUMED_DRY_AIR = 4,
    SWL_ASSUMED_NO_OVER_REV = 8,
    SWL_ASSUMED_NO_SLIP = 16,
    SWL_ASSUMED_NO_VE_TEMPERATURE = 32,
    SWL_ASSUMED_NO_VE_PRESSURE = 64,
    SWL_ASSUMED_PLAIN_DIAMETERS = 128,
    SWL_ASSUMED_NO_MECHANICAL_LOSS = 256,
    SWL_ASSUMED_COEFFICIENT = 512,
    SWL_ASSUMED_NO_BACK_PRESSURE = 4096,
    SWL_ASSUMED_WATER = 16384,
    SWL_ASSUMED_FRONT_AIR = 32768,
    SWL_ASSUMED_ONE_PASS = 65536,
};

typedef struct swl_build {
    char name[SWL_NAME_MAX];
    char note[SWL_NOTE_MAX];
    swl_units units;
    swl_site site;
    swl_engine engine;
    swl_intake intake;
    swl_drive drive;
    swl_blower blower;
    swl_cooler cooler;
    swl_cycle cycle;
    swl_injection injection;
    swl_limit_values limits;
    swl_belt *belt; /* owned, NULL when the file has none */
    unsigned assumed;
    swl_input inputs[SWL_INPUTS_MAX]; /* those given with +- */
    size_t input_count;
} swl_build;

/* Whether a build's values go together as a file's must: an adapter no wider than the blower's inlet, air of at most
 * half vapour, a short-time limit not below the continuous one, a rev limit not below the first speed. For values that
 * were sampled one by one. */
bool swl_build_sound(const swl_build *build);

/* Sets an input of a build to a value. */
void swl_build_set(swl_build *build, const swl_input *input, double value);

/* Frees the curves, the belt and the map; the struct itself is the caller's. */
void swl_build_free(swl_build *build);

#endif
