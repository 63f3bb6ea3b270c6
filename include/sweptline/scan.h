/* A unit's chart as a picture: the [scan] section of a unit file. */
#ifndef SWEPTLINE_SCAN_H
#define SWEPTLINE_SCAN_H

#include "sweptline/calibration.h"
#include "sweptline/image.h"

enum { SWL_SCAN_NAME_MAX = 400, SWL_SCAN_UNIT_MAX = 16 };

/* The image is owned; its pixels are there only where they were asked for. x of the calibration is inlet volume flow in
 * m3/s, or mass flow in kg/s when x_is_mass; y is pressure ratio. */
typedef struct swl_scan {
    bool given; /* the unit file has [scan] */
    char image_name[SWL_SCAN_NAME_MAX];
    swl_image image;
    bool x_is_mass;
    char x_unit[SWL_SCAN_UNIT_MAX]; /* of the chart's x axis; SI value = value on the chart * x_factor */
    double x_factor;
    double x_per_m3_s; /* what the x axis says of 1 m3/s of the map's air: 1, or its density in kg/m3; NAN: not known */
    swl_calibration calibration;
} swl_scan;

/* Returns: whether the calibration has more points than it needs, without which its residual is 0 and tells nothing. */
bool swl_scan_has_spare(const swl_scan *scan);

/* The pixel of an inlet volume flow of the map's air and a pressure ratio. */
void swl_scan_pixel(const swl_scan *scan, double vdot_m3_s, double p_ratio, double *px, double *py);

void swl_scan_free(swl_scan *scan);

#endif
