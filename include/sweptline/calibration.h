/* Which pixel of a picture of a chart stands for which values. */
#ifndef SWEPTLINE_CALIBRATION_H
#define SWEPTLINE_CALIBRATION_H

#include "sweptline/err.h"

#include <stdbool.h>
#include <stddef.h>

enum { SWL_CALIBRATION_POINTS_MAX = 40 };

/* Pixel coordinates: the centre of the top left pixel is (0, 0); x right, y down. */
typedef struct swl_calibration_point {
    double px, py; /* NAN for the one that was not given, of a point of an upright axis */
    double x, y;   /* NAN for the one that was not given */
} swl_calibration_point;

typedef enum swl_calibration_way {
    SWL_CALIBRATION_UPRIGHT, /* points of each axis with one pixel coordinate: x has px, y has py */
    SWL_CALIBRATION_AXES,    /* points along each axis with both pixel coordinates */
    SWL_CALIBRATION_CORNERS  /* points with both pixel coordinates and both values */
} swl_calibration_way;

/* The affine map pixel = origin + u * along_x + v * along_y, u being x or its natural logarithm, v the same of y.
 * x is an inlet flow in SI, m3/s or kg/s as the reader of the file states; y a pressure ratio. */
typedef struct swl_calibration {
    swl_calibration_way way;
    bool x_log, y_log;
    double origin[2], along_x[2], along_y[2];
    swl_calibration_point points[SWL_CALIBRATION_POINTS_MAX];
    size_t count;
    double residual_px; /* root of the mean square distance between the points and where the map puts them */
    double worst_px;    /* the largest of those distances */
    /* The point that does not go with the others: without it they fit to rest_px, root of the mean square, a third or
     * less of what they do without any other. suspect is count where no point stands out like that. */
    size_t suspect;
    double rest_px;
} swl_calibration;

/* What is wrong with the points, and with which two; both are 0 when all are meant. */
typedef struct swl_calibration_fault {
    size_t first, second;
    char text[200];
} swl_calibration_fault;

/* Fits the map to the points by least squares of their distance in pixels.
 * Given: way, x_log, y_log, points and count. Upright and along the axes: two points or more of each axis, those of
 * an axis on a line parallel to it; corners: four or more, for rotation and shear too. Values finite, above 0 on a
 * logarithmic axis.
 * Returns: SWL_OK and the rest filled in; SWL_ERR_INPUT with the fault: too few points, a pixel or value given twice,
 * values that do not rise or fall all along an axis, points or values all on a line, axes within 5 degrees of each
 * other; SWL_ERR_MEMORY. Source: model.md (I1) to (I5). Left out: perspective and curved paper. */
swl_status swl_calibration_fit(swl_calibration *c, swl_calibration_fault *fault, swl_err *err) SWL_MUST_CHECK;

/* Values at a pixel, and the pixel of values; each is the other's inverse. A value of 0 or below on a logarithmic axis
 * has no pixel: NAN. */
void swl_calibration_value(const swl_calibration *c, double px, double py, double *x, double *y);
void swl_calibration_pixel(const swl_calibration *c, double x, double y, double *px, double *py);

#endif
