/* Curves followed on a picture of a chart. */
#ifndef SWEPTLINE_TRACK_H
#define SWEPTLINE_TRACK_H

#include "sweptline/image.h"

#include <stdbool.h>

/* A place on the picture: the centre of the top left pixel is (0, 0), x to the right, y down. */
typedef struct swl_pixel {
    double x, y;
} swl_pixel;

/* A colour in OKLab: lightness 0 to 1 and two opponent axes. A distance of 0.02 is just seen. */
typedef struct swl_oklab {
    double l, a, b;
} swl_oklab;

/* Given: sRGB, each 0 to 255.
 * Source: B. Ottosson, A perceptual color space for image processing (2020), matrices of linear sRGB; transfer curve of
 * IEC 61966-2-1. */
swl_oklab swl_oklab_of(double r, double g, double b);
double swl_oklab_distance(swl_oklab a, swl_oklab b);
/* Returns: the pixel's colour, of the nearest pixel when (x, y) lies between or outside. */
swl_oklab swl_oklab_at(const swl_image *image, double x, double y);

/* Distance of OKLab that a pixel may be off the mixtures of line and background. */
#define SWL_TRACK_TOLERANCE 0.12
/* Returns: how long a gap is bridged when nothing else is said. Islands have labels in them, four signs on most charts;
 * speed lines have dashes, and labels beyond their ends that are not to be met. */
double swl_track_gap_px(const swl_image *image, bool corners);
/* How far a simplified curve may stand off the traced one. */
#define SWL_TRACK_SIMPLE_PX 0.25
/* A curve shorter than this is none. */
#define SWL_TRACK_SHORTEST_PX 12.0

/* What is to be followed: from a seed, by the colour there or a given one; or given as a line in pixels (owned by the
 * caller; seed and colour are then not looked at). */
typedef struct swl_track_order {
    swl_pixel seed;
    bool has_colour;
    unsigned char rgb[3];
    double tolerance;
    double gap_px;
    bool is_edge; /* followed is the edge between two filled areas, of the colours rgb and rgb_beyond */
    unsigned char rgb_beyond[3];
    bool corners; /* may turn sharply, as the edge of an island may; a speed line does not */
    swl_pixel *line;
    size_t line_count; /* 0: from the seed */
} swl_track_order;

/* Why nothing was followed. */
typedef enum swl_track_fault {
    SWL_TRACK_FOLLOWED,
    SWL_TRACK_SEED_OUTSIDE,
    SWL_TRACK_ON_BACKGROUND,  /* no line within reach of the seed; found has the colour there */
    SWL_TRACK_NO_SUCH_COLOUR, /* nothing of the given colour or colours within reach; found has the colour there */
    SWL_TRACK_TOO_SHORT,      /* it ends length_px from its start */
    SWL_TRACK_ENDLESS         /* it goes round and round, on a frame of the same colour for one */
} swl_track_fault;

/* A curve on the picture. points are its centres, a few pixels apart and to a fraction of a pixel, none inside a gap;
 * simple the same within SWL_TRACK_SIMPLE_PX. Both are owned. */
typedef struct swl_track {
    swl_track_fault fault;
    unsigned char found[3]; /* the colour followed, or that at a seed which led to nothing */
    swl_pixel *points;
    size_t count;
    swl_pixel *simple;
    size_t simple_count;
    bool closed;
    double length_px; /* bridged gaps counted in */
    double width_px;  /* of the drawn line; 0 when given in pixels */
    size_t gaps;      /* bridged: dashes, labels */
    size_t crossings; /* of lines of the same colour */
    double longest_gap_px;
} swl_track;

/* Follows one curve both ways from its seed until it ends, leaves the picture or comes back. At each step the picture
 * is read across the heading; how much of a pixel is line is the projection of its colour on the way from the
 * background on that side to the line's colour, and the line's centre is the mean weighted by that. Where it is lost or
 * runs into another line, it is sought along the heading, bent as it was before, up to the gap. Returns: SWL_OK, with
 * the reason in track->fault when there is no curve; SWL_ERR_MEMORY. The track is to be freed. Left out: where two
 * lines of one colour part under a few degrees, either may be followed; no line thinner than half a pixel's contrast.
 */
swl_status swl_track_follow(const swl_image *image, const swl_track_order *order, swl_track *track,
                            swl_err *err) SWL_MUST_CHECK;
/* Keeps the points from one to before another and simplifies them anew. Returns: SWL_OK; SWL_ERR_MEMORY. */
swl_status swl_track_cut(swl_track *track, size_t from, size_t to, swl_err *err) SWL_MUST_CHECK;
void swl_track_free(swl_track *track);
/* Distance of a place from the stretch between two others, in pixels. */
double swl_off_segment(swl_pixel place, swl_pixel a, swl_pixel b);

/* Leaves out points that stand within a distance of the line through the others.
 * Given: count points. Returns: how many are kept; out has room for count.
 * Source: D. H. Douglas, T. K. Peucker, Algorithms for the reduction of the number of points required to represent a
 * digitized line or its caricature, Cartographica 10 (1973) 112-122; U. Ramer (1972) has the same. */
swl_status swl_simplify(const swl_pixel *points, size_t count, double error_px, swl_pixel *out, size_t *kept,
                        swl_err *err) SWL_MUST_CHECK;

#endif
