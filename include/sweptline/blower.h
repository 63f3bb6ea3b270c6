/* The blower: what its maker states, its map, and the compression it makes. */
#ifndef SWEPTLINE_BLOWER_H
#define SWEPTLINE_BLOWER_H

#include "sweptline/air.h"
#include "sweptline/input.h"
#include "sweptline/map.h"

enum { SWL_NAME_MAX = 128, SWL_NOTE_MAX = 400 };

typedef enum swl_blower_kind { SWL_BLOWER_ROOTS, SWL_BLOWER_SCREW } swl_blower_kind;
/* Where a map's adiabatic efficiency comes from. */
typedef enum swl_efficiency_from { SWL_FROM_TEMPERATURE_RISE, SWL_FROM_SHAFT_POWER } swl_efficiency_from;

/* map is owned by the blower. Limits the maker does not state are NAN. */
typedef struct swl_blower {
    char name[SWL_NAME_MAX];
    swl_blower_kind kind;
    double disp_m3_rev; /* at the speed the map and the limits are stated for */
    double gear_ratio;
    double continuous_rpm;
    double short_time_rpm;
    double d_rotor_m; /* NAN when not given */
    double mechanical_eff_frac;
    swl_map *map;
    double ev_factor; /* what the map's volumetric efficiencies are multiplied by */
    double ea_factor; /* and its adiabatic efficiencies */
    double t_map_k;   /* the air the map was measured in */
    double p_map_pa;  /* NAN when not given */
    swl_efficiency_from efficiency_from;
    char source[SWL_NOTE_MAX];
    swl_input inputs[SWL_UNIT_INPUTS_MAX]; /* those given with +-, offsets in swl_blower */
    size_t input_count;
} swl_blower;

void swl_blower_free(swl_blower *blower);

/* Speed at which the map is read. Given: blower speed in rev/min, inlet temperature in K. */
double swl_blower_corrected_rpm(const swl_blower *blower, double speed_rpm, double t1_k);
/* The blower speed that a corrected speed stands for. */
double swl_blower_speed_rpm(const swl_blower *blower, double corrected_rpm, double t1_k);

typedef struct swl_compression {
    double t2s_k;           /* after isentropic compression */
    double t2_k;            /* discharge */
    double work_shaft_j_kg; /* shaft work per kilogram of air, below 0 when the blower is driven by the air */
} swl_compression;

/* Compression of humid air.
 * Given: inlet temperature in K, pressure ratio, adiabatic efficiency as the blower's map states it (fraction).
 * Returns: temperatures and work. With efficiency from temperature rise: h2 = h1 + (h2s - h1)/ea and
 * work = (h2 - h1)/eta_mech; from shaft power: work = (h2s - h1)/ea and h2 = h1 + eta_mech work. Below pressure
 * ratio 1 the air drives the blower, and ea and eta_mech each stand on the other side. Left out: heat lost through the
 * case. */
swl_compression swl_blower_compress(const swl_blower *blower, const swl_air *air, double t1_k, double p_ratio,
                                    double ea_frac);

#endif
