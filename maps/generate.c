/* Makes the two invented map tables in this folder from published physics, and an invented run. See maps/README.md.
 *
 * generate roots|screw > table.csv
 * generate run estate-roots.ini > estate-roots-run.csv
 *
 * Roots: every revolution carries the displacement from inlet to discharge at constant volume, and the
 * discharge pressure flows back into it. Work is therefore D (p2 - p1) a revolution.
 *   Source: Mechanical Engineer's Data Handbook, section 3.11.3.
 * Screw with fixed ports: isentropic compression down to 1/vi of the volume, then the rest at constant volume.
 *   w/(p1 v1) = (vi^(g-1) - 1)/(g - 1) + r/vi - 1   (from memory; at vi = 1 it is the Roots work)
 * Leakage: air at discharge density through a clearance, as an orifice.
 *   Source: J. B. Heywood, Internal Combustion Engine Fundamentals (1988), appendix C.
 * Port loss: pressure drop with the square of speed, at inlet and discharge together.
 * Everything below marked invented is ours, chosen for a clear difference of character and no real unit. */
#include "sweptline/files.h"
#include "sweptline/flow.h"
#include "sweptline/match.h"

#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#define GAMMA 1.4
#define R_AIR 287.05
#define T1_K 298.15
#define P1_PA 100000.0

typedef struct unit {
    double disp_m3_rev;    /* invented */
    double built_in_ratio; /* invented; 1 for a Roots unit */
    double clearance_m2;   /* invented */
    double filling;        /* invented, share of the displacement that fills at low speed */
    double filling_speed;  /* invented, rpm: filling falls by a tenth of (rpm/this)^2 */
    double port_pa;        /* invented, port loss at 10000 rpm */
    double drag_pa;        /* invented, mean pressure of shearing in the clearances, at any speed */
    double windage_pa;     /* invented, mean pressure of windage that heats the air, at 10000 rpm */
    double speeds[12];
    double ratios_top[12]; /* how far each line is stated */
    int lines;
} unit;

static const unit roots = {
    .disp_m3_rev = 1.85e-3,
    .built_in_ratio = 1,
    .clearance_m2 = 6.5e-5,
    .filling = 0.995,
    .filling_speed = 30000,
    .port_pa = 1500,
    .drag_pa = 2400,
    .windage_pa = 1500,
    .speeds = {2000, 3500, 5000, 6500, 8000, 9500, 11000, 12500, 14000},
    .ratios_top = {1.8, 2.0, 2.2, 2.2, 2.2, 2.2, 2.2, 2.2, 2.2},
    .lines = 9,
};

static const unit screw = {
    .disp_m3_rev = 1.20e-3,
    .built_in_ratio = 1.32,
    .clearance_m2 = 3.6e-5,
    .filling = 0.985,
    .filling_speed = 42000,
    .port_pa = 600,
    .drag_pa = 4200,
    .windage_pa = 1300,
    .speeds = {4000, 6000, 8000, 10000, 12000, 14000, 16000, 18500, 21000},
    .ratios_top = {2.0, 2.3, 2.6, 2.6, 2.6, 2.6, 2.6, 2.6, 2.6},
    .lines = 9,
};

/* Work over p1 v1 of one intake volume. */
static double work_ratio(const unit *u, double r)
{
    return (pow(u->built_in_ratio, GAMMA - 1) - 1) / (GAMMA - 1) + r / u->built_in_ratio - 1;
}

static void line(const unit *u, double rpm, double top)
{
    for (double r = 1.1; r < top + 0.001; r += 0.1) {
        double share = rpm / u->filling_speed;
        double geometric_m3_s = u->disp_m3_rev * rpm / 60 * u->filling * (1 - 0.1 * share * share);
        double leak_kg_s = u->clearance_m2 * r * P1_PA * swl_flow_orifice(1 / r, GAMMA) / sqrt(R_AIR * T1_K);
        double rho1_kg_m3 = P1_PA / (R_AIR * T1_K);
        double flow_m3_s = geometric_m3_s - leak_kg_s / rho1_kg_m3;
        double square = (rpm / 10000) * (rpm / 10000);
        double r_inside = r + u->port_pa * square / P1_PA;
        double heat_w = P1_PA * geometric_m3_s * work_ratio(u, r_inside) +
                        (u->drag_pa + u->windage_pa * square) * u->disp_m3_rev * rpm / 60;
        double ideal_w = GAMMA / (GAMMA - 1) * P1_PA * flow_m3_s * (pow(r, (GAMMA - 1) / GAMMA) - 1);
        printf("%.0f,%.1f,%.1f,%.2f\n", rpm, r, flow_m3_s * 3600, 100 * ideal_w / heat_w);
    }
}

/* The invented run: the build with a belt that slips beyond a blower speed and a cooler worse than its file says, as
 * sensors with noise of their own would log it. */
#define ONSET_RPM 8200.0
#define RISE_PER_RPM 2.2e-5
#define EFFECTIVENESS 0.62
#define P_NOISE 0.004
#define T_NOISE_K 1.2
#define FLOW_NOISE 0.012

/* A uniform number between 0 and 1. Source: G. L. Steele, D. Lea, C. H. Flood, Fast splittable pseudorandom number
 * generators (2014), splitmix64. */
static double uniform(uint64_t *state)
{
    *state += 0x9E3779B97F4A7C15U;
    uint64_t z = *state;
    z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9U;
    z = (z ^ (z >> 27)) * 0x94D049BB133111EBU;
    z ^= z >> 31;
    return ((double)(z >> 11) + 0.5) / 9007199254740992.0;
}

/* A normal number by the method of Box and Muller (1958). */
static double normal(uint64_t *state)
{
    double radius = sqrt(-2 * log(uniform(state)));
    return radius * cos(2 * 3.14159265358979323846 * uniform(state));
}

static void run_row(swl_match *match, swl_build *build, double own_slip_frac, int row, uint64_t *state)
{
    /* The foot goes down in the first second and comes off at the end of the pull. */
    enum { DOWN = 5, UP = 100 };
    double rpm = row < UP ? 1650 + 47.0 * row + 4 * normal(state) : 6302 - 150 * (row - UP) + 4 * normal(state);
    double throttle_frac = row < DOWN ? 0.2 + 0.16 * row : row >= UP ? 0.1 : 1;
    double over_rpm = rpm * swl_drive_ratio(&build->drive, build->blower.gear_ratio) - ONSET_RPM;
    build->drive.slip_frac = own_slip_frac + (over_rpm > 0 ? RISE_PER_RPM * over_rpm : 0);
    swl_point point = swl_match_point(match, rpm);
    double p_pa = point.p3_pa * (1 + P_NOISE * normal(state));
    double t_k = point.t3_k + T_NOISE_K * normal(state);
    double mdot_kg_s = point.mdot_kg_s * (1 + FLOW_NOISE * normal(state));
    double share = throttle_frac < 0.95 ? 0.3 + 0.6 * throttle_frac : 1; /* a guess of part throttle, left out anyway */
    printf("%.2f,%.0f,%.1f,%.1f,", 0.2 * row, rpm, 100 * throttle_frac, share * p_pa / 1000);
    /* The temperature is asked for half as often. */
    if (row % 2 == 0) {
        printf("%.1f", t_k - 273.15);
    }
    printf(",%.1f\n", share * mdot_kg_s * 1000);
}

static int run(const char *path)
{
    swl_source source = swl_source_disk();
    swl_build build;
    swl_diags diags = {0};
    swl_err err = {0};
    if (swl_build_load(&source, path, &build, &diags, &err) != SWL_OK) {
        fprintf(stderr, "%s: %s\n", path, err.text);
        return 2;
    }
    double own_slip_frac = build.drive.slip_frac;
    build.cooler.effectiveness_frac = EFFECTIVENESS;
    swl_match *match = swl_match_new(&build, &err);
    uint64_t state = 2;
    printf("# Invented data, computed by maps/generate.c; not measured on any car.\n");
    printf("time [s],engine speed [rpm],throttle [%%],manifold pressure [kPa],charge temperature [degC],"
           "mass flow [g/s]\n");
    for (int row = 0; row < 105 && match != NULL; row++) {
        run_row(match, &build, own_slip_frac, row, &state);
    }
    bool made = match != NULL;
    swl_match_free(match);
    swl_build_free(&build);
    swl_diag_free(&diags);
    return made && !ferror(stdout) && fflush(stdout) == 0 ? 0 : 3;
}

int main(int argc, char **argv)
{
    if (argc == 3 && strcmp(argv[1], "run") == 0) {
        return run(argv[2]);
    }
    const unit *u = argc == 2 && strcmp(argv[1], "roots") == 0   ? &roots
                    : argc == 2 && strcmp(argv[1], "screw") == 0 ? &screw
                                                                 : NULL;
    if (u == NULL) {
        fprintf(stderr, "usage: generate roots|screw|run BUILD\n");
        return 2;
    }
    printf("# Invented data, computed by maps/generate.c; not measured on any unit.\n");
    printf("blower speed [rpm],pressure ratio,flow [m3/h],adiabatic efficiency [%%]\n");
    for (int i = 0; i < u->lines; i++) {
        line(u, u->speeds[i], u->ratios_top[i]);
    }
    return ferror(stdout) || fflush(stdout) != 0 ? 3 : 0;
}
