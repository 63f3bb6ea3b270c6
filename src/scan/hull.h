/* The convex hull of points on the picture. */
#ifndef SWL_SCAN_HULL_H
#define SWL_SCAN_HULL_H

#include "sweptline/track.h"

/* Sorts the points and writes the corners of their hull, all round one way.
 * Given: count points, room for count + 1 corners. Returns: how many.
 * Source: A. M. Andrew, Another efficient algorithm for convex hulls in two dimensions, Information Processing Letters
 * 9 (1979) 216-219. */
size_t swl_hull(swl_pixel *points, size_t count, swl_pixel *corners);
/* Returns: how far a place lies outside, in pixels; 0 or below inside. */
double swl_hull_outside(const swl_pixel *corners, size_t count, swl_pixel at);

#endif
