/* Reading a picture across the edge between two filled areas. */
#ifndef SWL_SCAN_EDGE_H
#define SWL_SCAN_EDGE_H

#include "scan/thin.h"

/* The edge's place across a heading, as swl_section_read: the stroke's left area on the left, its right one on the
 * right. It is where a step between both, blurred as the stroke tells and with the stroke's line on it, fits the
 * picture best by least squares. Left out: an area narrower than some 3 pixels, which the next one hides. */
swl_section swl_edge_read(const swl_image *image, const swl_stroke *stroke, swl_pixel at, swl_pixel heading,
                          double gate_px);
/* Finds the edge near a seed, as swl_track_start. */
swl_track_fault swl_edge_start(const swl_image *image, const swl_track_order *order, swl_stroke *stroke,
                               swl_pixel *centre, swl_pixel *heading, unsigned char found[3]);
/* The other way along the same edge. */
void swl_edge_turn(swl_stroke *stroke);
/* Places the points of a followed edge anew: the mean of all their sections tells blur, line and colours far better
 * than one does; those that then show no edge are dropped. step_px: points further apart than twice that have a gap
 * between them. Returns: how many are kept. */
size_t swl_edge_place(const swl_image *image, swl_stroke *stroke, swl_pixel *points, size_t count, double step_px);

#endif
