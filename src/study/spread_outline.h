/* Where the samples lie on the map at each engine speed, and the band about the line made of that. */
#ifndef SWL_STUDY_SPREAD_OUTLINE_H
#define SWL_STUDY_SPREAD_OUTLINE_H

#include "sweptline/spread.h"

/* Half a turn is cut into this many directions; each of them, and the line's normal, may add two corners. */
enum { SPREAD_DIRECTIONS = 16, SPREAD_CORNERS_MAX = 2 * (SPREAD_DIRECTIONS + 1) + 4 };

/* A place, or a direction, on the map in shares of its spans. */
typedef struct spread_place {
    double v, r;
} spread_place;

/* The places of one engine speed's samples, as shares from the middle's place: a convex polygon, corners
 * anticlockwise; upper and lower are the corners furthest to the left and to the right of the line. */
typedef struct spread_section {
    spread_place corner[SPREAD_CORNERS_MAX];
    size_t count;
    size_t upper, lower;
} spread_section;

/* Samples of one engine speed on the map; NAN where there is none. */
typedef struct spread_cloud {
    const double *vdot_m3_s;
    const double *p_ratio;
    size_t count;
    double v_span, r_span;   /* what distances are shares of */
    const swl_point *middle; /* the middle build's point */
} spread_cloud;

/* Cuts the plane, in each direction, at the 5 and the 95 % quantile of the samples: what is left reaches in none of
 * them past the middle 90 %, flow and ratio being two of them. Given: the line's direction, of length 1; room for count
 * values. */
void swl_spread_section(const spread_cloud *cloud, spread_place along, double *scratch, spread_section *out);

/* The band's outline: upper edge from the first section to the last, round that, lower edge back, round the first.
 * Given: the middle's points; room for 2 count + 2 SPREAD_CORNERS_MAX places. Returns: how many there are. */
size_t swl_spread_outline(const spread_section *sections, const swl_point *middle, size_t count, double v_span,
                          double r_span, double *vdot_m3_s, double *p_ratio);

#endif
