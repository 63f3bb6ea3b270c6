/* Makes the two invented map tables in this folder from published physics. See maps/README.md.
 *
 * generate roots|screw > table.csv
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
#include "sweptline/flow.h"

#include <math.h>
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

int main(int argc, char **argv)
{
    const unit *u = argc == 2 && strcmp(argv[1], "roots") == 0   ? &roots
                    : argc == 2 && strcmp(argv[1], "screw") == 0 ? &screw
                                                                 : NULL;
    if (u == NULL) {
        fprintf(stderr, "usage: generate roots|screw\n");
        return 2;
    }
    printf("# Invented data, computed by maps/generate.c; not measured on any unit.\n");
    printf("blower speed [rpm],pressure ratio,flow [m3/h],adiabatic efficiency [%%]\n");
    for (int i = 0; i < u->lines; i++) {
        line(u, u->speeds[i], u->ratios_top[i]);
    }
    return ferror(stdout) || fflush(stdout) != 0 ? 3 : 0;
}
