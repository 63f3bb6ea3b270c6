/* Where on the picture the islands of a map tell of it. */
#ifndef SWL_SCAN_REGION_H
#define SWL_SCAN_REGION_H

#include "sweptline/trace.h"

/* The convex hull of the islands, and the same with what they reach of the speed lines. Both are owned. */
typedef struct swl_region {
    swl_pixel *islands;
    size_t islands_count;
    swl_pixel *reached;
    size_t reached_count;
} swl_region;

/* An island whose end stands within SWL_TRACE_REACH_PX and the stroke's width of a speed line reaches it; so does the
 * line between two places that are reached. Given: followed curves. Returns: SWL_OK; SWL_ERR_MEMORY. */
swl_status swl_region_make(const swl_trace_curve *curves, size_t count, swl_region *region,
                           swl_err *err) SWL_MUST_CHECK;
void swl_region_free(swl_region *region);

/* Returns: how far a place lies outside, in pixels; 0 or below inside. */
double swl_region_outside(const swl_region *region, swl_pixel at);
double swl_region_outside_islands(const swl_region *region, swl_pixel at);

#endif
