/* Where a curve starts. */
#ifndef SWL_SCAN_FOLLOW_H
#define SWL_SCAN_FOLLOW_H

#include "scan/thin.h"

/* Finds the line near a seed: its colour, its centre, the way it runs and the width it is drawn in.
 * Returns: SWL_TRACK_FOLLOWED, or why there is none, with the colour there in found. */
swl_track_fault swl_track_start(const swl_image *image, const swl_track_order *order, swl_stroke *stroke,
                                swl_pixel *centre, swl_pixel *heading, unsigned char found[3]);

/* Takes the stairs and grain out of each run, none with a gap over gap_px in it: a parabola over seven points, by least
 * squares. Returns: SWL_OK; SWL_ERR_MEMORY.
 * Source: A. Savitzky, M. J. E. Golay, Analytical Chemistry 36 (1964) 1627-1639, table I. */
swl_status swl_track_smooth(swl_pixel *points, size_t count, double gap_px, swl_err *err) SWL_MUST_CHECK;
/* Measures a track's length and simplifies its points. Returns: SWL_OK; SWL_ERR_MEMORY. */
swl_status swl_track_finish(swl_track *track, swl_err *err) SWL_MUST_CHECK;
/* Makes a track of a line given in pixels, cut into steps. Returns: SWL_OK; SWL_ERR_MEMORY. */
swl_status swl_track_take_line(const swl_track_order *order, swl_track *track, swl_err *err) SWL_MUST_CHECK;

#endif
