/* Where a curve starts. */
#ifndef SWL_SCAN_FOLLOW_H
#define SWL_SCAN_FOLLOW_H

#include "scan/thin.h"

/* Finds the line near a seed: its colour, its centre, the way it runs and the width it is drawn in.
 * Returns: SWL_TRACK_FOLLOWED, or why there is none, with the colour there in found. */
swl_track_fault swl_track_start(const swl_image *image, const swl_track_order *order, swl_stroke *stroke,
                                swl_pixel *centre, swl_pixel *heading, unsigned char found[3]);

#endif
