/* The belt drive from crank to blower: its ratio, and the pulley that a speed asks for. */
#ifndef SWEPTLINE_DRIVE_H
#define SWEPTLINE_DRIVE_H

enum { SWL_BELT_PROFILE_MAX = 8 };

/* Diameters are outside (effective) diameters. */
typedef struct swl_drive {
    double d_crank_m;
    double d_blower_m;
    double jackshaft_ratio;     /* 1 when there is none */
    double line_differential_m; /* effective line differential of the belt, 0 when no profile is given */
    char belt_profile[SWL_BELT_PROFILE_MAX];
    int belt_ribs;
    double slip_frac;
} swl_drive;

/* Blower revolutions for one of the crank, without slip.
 * Given: the drive, the unit's internal gear ratio. Returns: (dc + 2 b)/(db + 2 b) * gear * jackshaft.
 * Source: pitch diameter = effective diameter + 2 b, ISO 9981:2020. */
double swl_drive_ratio(const swl_drive *drive, double gear_ratio);

/* Outside diameter in metres of the blower pulley that turns the blower at blower_rpm when the engine
 * turns at engine_rpm, without slip. Returns: 0 or less when no pulley is that small. */
double swl_drive_blower_pulley_m(const swl_drive *drive, double gear_ratio, double engine_rpm, double blower_rpm);

#endif
