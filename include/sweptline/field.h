/* A map laid out for drawing: values on a grid of speeds and pressure ratios. */
#ifndef SWEPTLINE_FIELD_H
#define SWEPTLINE_FIELD_H

#include "sweptline/match.h"

/* Grid node (i, j) stands at index i * ratios + j: speed i, slowest first, and pressure ratio j.
 * Every line of the map is a grid speed; line_speed[k] is the index of line k, and it covers
 * line_low[k]..line_high[k]. vdot in m3/s of the map's air. All arrays are owned. */
typedef struct swl_field {
    size_t speeds;
    size_t ratios;
    double *speed_rpm;
    double *p_ratio;
    double *vdot_m3_s;
    double *ea_frac;
    double *t2_k;
    size_t lines;
    size_t *line_speed;
    double *line_low;
    double *line_high;
} swl_field;

/* Fills the grid between the map's slowest and fastest line and its lowest and highest pressure ratio.
 * Given: a solver, how many steps each gap between lines is cut into, how many pressure ratios.
 * Errors: SWL_ERR_USAGE outside 1 to 100 cuts and 2 to 10000 ratios; SWL_ERR_MEMORY. */
swl_status swl_field_init(swl_field *field, swl_match *match, const swl_map *map, size_t cuts, size_t ratios,
                          swl_err *err) SWL_MUST_CHECK;
void swl_field_free(swl_field *field);

/* A line of constant blower speed on the map: where a speed limit runs. */
enum { SWL_TRACE_POINTS = 41 };
typedef struct swl_trace {
    const char *words; /* what it is */
    bool short_time;   /* the short-time limit, else the continuous one */
    double blower_rpm;
    double corrected_rpm;
    double vdot_m3_s[SWL_TRACE_POINTS];
    double p_ratio[SWL_TRACE_POINTS];
    bool inside; /* whether the map has data on both sides of this speed */
} swl_trace;

/* Fills in a trace for each speed limit that the solver's blower states, over the field's pressure ratios.
 * Returns: how many, at most SWL_TRACES_MAX. */
enum { SWL_TRACES_MAX = 2 };
size_t swl_field_traces(swl_match *match, const swl_blower *blower, const swl_field *field, swl_trace *traces);

/* Where a row of the operating line stands in a picture, in its own units from the top left: on the map, and in the
 * curves, which reach from top to bottom there. NAN where there is no such place. */
typedef struct swl_place {
    double x, y;
    double curves_x, curves_top, curves_bottom;
} swl_place;

#endif
