/* From curves followed on a picture of a chart to a map table. */
#ifndef SWEPTLINE_TRACE_H
#define SWEPTLINE_TRACE_H

#include "sweptline/blower.h"
#include "sweptline/diag.h"
#include "sweptline/files.h"
#include "sweptline/progress.h"
#include "sweptline/scan.h"
#include "sweptline/track.h"

enum { SWL_TRACE_CURVES_MAX = 80, SWL_TRACE_NAME_MAX = 48 };

typedef enum swl_trace_kind { SWL_TRACE_SPEED_LINE, SWL_TRACE_ISLAND } swl_trace_kind;

/* One curve of the chart. order.line and track are owned. value: blower speed in rev/min of a speed line, adiabatic
 * efficiency (fraction) of an island; islands of one value may come in pieces. */
typedef struct swl_trace_curve {
    char name[SWL_TRACE_NAME_MAX];
    swl_trace_kind kind;
    double value;
    swl_track_order order; /* gap_px NAN: by the picture's width */
    swl_track track;
    const char *at_section, *at_value, *at_place, *at_colour; /* in the unit file's text */
    /* How far the table is from what was traced. */
    double residual_px;   /* of a speed line: root of the mean square distance of its points from the smooth line */
    double residual_frac; /* of an island: the same of the fitted efficiency at its points */
    double unseen_frac;   /* of an island: the same of a fit that was made without it; NAN for the outermost and
                             innermost value */
} swl_trace_curve;

void swl_trace_curve_free(swl_trace_curve *curve);

/* An island whose end is this near to a speed line, the width of the line's stroke besides, counts as reaching it: the
 * edge of a filled band ends at the stroke that covers it, and the last steps before it, which bend along the
 * stroke, are not taken. */
#define SWL_TRACE_REACH_PX 6.0

typedef struct swl_trace_row {
    double speed_rpm;
    double p_ratio;
    double vdot_m3_s;
    double ea_frac;
} swl_trace_row;

/* Owned rows, slowest line first, by pressure ratio. */
typedef struct swl_trace_map {
    swl_trace_row *rows;
    size_t count;
    size_t left_outside;  /* rows left out: outside the hull of the islands, */
    size_t left_below;    /* below the lowest island by more than half the step to the next, */
    size_t left_above;    /* above the highest by more than the step to the next, or at all unless top_told */
    size_t left_untold;   /* where two surfaces through the islands differ by a tenth of their step */
    size_t lines_without; /* speed lines that have no row left */
    size_t reached;       /* rows kept outside that hull, on or inside speed lines that islands reach */
    size_t above_highest; /* rows kept though no island surrounds their value: what the fit rises to */
    double ea_low_frac, ea_high_frac; /* lowest and highest island */
    double ea_top_frac;               /* highest row */
    double rms_frac, worst_frac;      /* of the fit at the islands' points */
    size_t worst_curve;               /* the island with the worst, and where on the picture */
    swl_pixel worst_at;
    double unseen_rms_frac; /* over all islands left out in turn; NAN when there are fewer than three values */
    size_t unseen_islands;
    double top_rms_frac; /* the highest islands foretold by the others, root mean square; NAN as above */
    bool top_told;       /* that is a quarter of the step to the next or less, so that rows inside them are kept */
    bool stretched;      /* the surface is smooth over ln(r - 0.9), not over r */
    size_t fit_points;
    double smoothing;
} swl_trace_map;

/* Two curves that do not go together. */
typedef struct swl_trace_clash {
    size_t first, second;
    swl_pixel at;
    double share; /* of the second's points that lie on the first; 0 when they cross */
} swl_trace_clash;

/* Looks for curves traced twice and for speed lines that cross. Returns: whether there is one, the first found. */
bool swl_trace_clashes(const swl_trace_curve *curves, size_t count, swl_trace_clash *clash);

/* Makes the table: each speed line smoothed as flow over pressure ratio by a cubic B-spline, and at even pressure
 * ratios and its ends read from a thin-plate spline through the islands.
 * Given: followed curves, two speed lines or more of different speeds and two islands or more of different values;
 * what the calibration's x says of 1 m3/s of the map's air, 1 or a density.
 * Returns: SWL_OK and a map to be freed; SWL_ERR_SOLVE when no row lies among the islands or the islands lie on one
 * straight line; SWL_ERR_MEMORY. Source: model.md (T1) to (T6). Left out: what lies outside the hull of the islands and
 * of what they reach of the speed lines (SWL_TRACE_REACH_PX). */
swl_status swl_trace_map_make(swl_trace_curve *curves, size_t count, const swl_calibration *calibration,
                              double x_per_m3_s, swl_trace_map *map, swl_err *err) SWL_MUST_CHECK;
void swl_trace_map_free(swl_trace_map *map);

/* A unit whose map is on a picture. The blower has no map; text is the unit file. All is owned. */
typedef struct swl_tracing {
    swl_text text;
    swl_blower blower;
    swl_scan scan;
    swl_trace_curve *curves;
    size_t count;
    swl_trace_map map;
    const swl_progress *progress; /* told of curves followed by swl_tracing_run; set after loading, may be NULL */
} swl_tracing;

/* Reads a unit file, its picture and its sections [trace NAME]. Findings go to diags, beside those of every unit file:
 * unknown and missing keys, values out of range, fewer than two speed lines or islands, a speed given twice.
 * Returns: SWL_OK; SWL_ERR_INPUT when diags holds an error; SWL_ERR_MEMORY. The tracing is to be freed either way. */
swl_status swl_tracing_load(const swl_source *source, const char *path, swl_tracing *tracing, swl_diags *diags,
                            swl_err *err) SWL_MUST_CHECK;
/* Follows every curve on the scan's image and makes the map. Findings go to diags, with the place of the key.
 * Returns: SWL_OK; SWL_ERR_INPUT when diags holds an error; else as swl_trace_map_make. */
swl_status swl_tracing_run(swl_tracing *tracing, swl_diags *diags, swl_err *err) SWL_MUST_CHECK;
void swl_tracing_free(swl_tracing *tracing);

#endif
