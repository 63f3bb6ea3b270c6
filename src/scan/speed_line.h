/* A traced speed line as flow over pressure ratio. */
#ifndef SWL_SCAN_SPEED_LINE_H
#define SWL_SCAN_SPEED_LINE_H

#include "sweptline/trace.h"

enum { SWL_SPEED_LINE_TERMS_MAX = 12 };

/* A cubic B-spline on even knots between the lowest and the highest pressure ratio. */
typedef struct swl_speed_line {
    double low, high;
    size_t terms;
    double term[SWL_SPEED_LINE_TERMS_MAX];
} swl_speed_line;

/* Fits the line's points by least squares, a term for each so many pixels of it; x in the calibration's flow.
 * residual_px is the root of the mean square distance of all its points from the first fit; points far off it are then
 * dropped, and the line ends where those that are left do.
 * Returns: SWL_OK; SWL_ERR_SOLVE when the line covers no span of pressure ratio; SWL_ERR_MEMORY. */
swl_status swl_speed_line_fit(const swl_track *track, const swl_calibration *calibration, swl_speed_line *line,
                              double *residual_px, swl_err *err) SWL_MUST_CHECK;
double swl_speed_line_at(const swl_speed_line *line, double p_ratio);

#endif
