/* Following a curve that bends slowly and may be dashed. */
#ifndef SWL_SCAN_STIFF_H
#define SWL_SCAN_STIFF_H

#include "scan/follow.h"

/* Follows a curve both ways from its centre near the seed. At each step it is looked for where a parabola over the last
 * stretch goes on, so that a dash of a few pixels is enough; what is met behind an unusual gap at an end and does not
 * go on for longer than gap_px is a label and is dropped.
 * Given: the stroke, centre and heading that swl_track_start found; most, a bound on the points.
 * Returns: SWL_OK with points (owned by the track), gaps, crossings, longest_gap_px and fault filled in;
 * SWL_ERR_MEMORY. */
swl_status swl_stiff_follow(const swl_image *image, swl_stroke *stroke, double gap_px, swl_pixel centre,
                            swl_pixel heading, size_t most, swl_track *track, swl_err *err) SWL_MUST_CHECK;

#endif
