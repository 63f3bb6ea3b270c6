/* Reading a picture across a line. */
#ifndef SWL_SCAN_THIN_H
#define SWL_SCAN_THIN_H

#include "sweptline/track.h"

/* The line that is followed: its colour, how far a pixel may be off, the width it is drawn in and how strongly it
 * stands out where it was last read. */
typedef struct swl_stroke {
    swl_oklab ink;
    double tolerance;
    double width_px;
    double peak;
    bool is_edge; /* not a line but the edge between two areas: lightness and chroma left and right of the heading, of
                     what a line drawn on it adds, how wide that line is and how far all is blurred (standard deviation)
                   */
    double left[3], right[3], line[3];
    double line_px, blur_px;
    bool line_free; /* line is not known yet */
} swl_stroke;

/* What stands across a heading. offset_px is the line's centre, to the right of the heading. */
typedef struct swl_section {
    bool found;
    bool merged; /* wider than the line, or no line but its colour: it touches another */
    double offset_px;
    double width_px;
    double peak; /* 1: the line's colour in full */
} swl_section;

/* Reads across the heading (unit vector) at a place. The line nearest to the place counts, up to gate_px off it. */
swl_section swl_section_read(const swl_image *image, const swl_stroke *stroke, swl_pixel at, swl_pixel heading,
                             double gate_px);
/* Returns: how much of a colour is line, 0 to about 1, on the way from a background to the line's colour; less the
 * further it is off that way, none at 1.25 of the tolerance, which counts in full for a pixel that is all line. */
double swl_share_of(swl_oklab colour, swl_oklab ground, swl_oklab ink, double tolerance);
/* Adds a share of the sRGB between pixels, by straight lines; the picture goes on at its edges. */
void swl_image_mix(const swl_image *image, double x, double y, double share, double rgb[3]);

#endif
