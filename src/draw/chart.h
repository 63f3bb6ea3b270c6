/* The parts of a chart. */
#ifndef SWL_DRAW_CHART_H
#define SWL_DRAW_CHART_H

#include "draw/islands.h"
#include "draw/panel.h"

/* What a limit is marked with: strokes across a line on its forbidden side, pointing off it. */
void swl_mark_forbidden(const swl_panel *panel, const double *x, const double *y, size_t count, bool left);

/* The last row of the longest stretch from a row on whose steps are all inside the map, or all not. */
size_t swl_run_end(const swl_check *check, size_t from, bool *inside);

/* The map with islands, speed lines, limits and the operating line, in a box that leaves room for its numbers. */
swl_status swl_draw_map(swl_canvas *canvas, const swl_chart *chart, const swl_islands *islands, swl_rect box,
                        swl_err *err) SWL_MUST_CHECK;
/* Curves over engine speed, one panel under another. Both: SWL_ERR_USAGE when the box leaves no room for type. */
swl_status swl_draw_curves(swl_canvas *canvas, const swl_chart *chart, swl_rect box, swl_err *err) SWL_MUST_CHECK;
/* The bands of a spread, band.c; a chart without one has none. Spans are widened to hold them. */
void swl_band_map_span(const swl_chart *chart, double *flow, double *low, double *high);
void swl_band_map_draw(const swl_panel *panel, const swl_chart *chart);
void swl_band_map_take(const swl_panel *panel, const swl_chart *chart);
void swl_band_curve_span(const swl_chart *chart, swl_spread_quantity quantity, swl_show show, double *low,
                         double *high);
void swl_band_curve_draw(const swl_panel *panel, const swl_chart *chart, swl_spread_quantity quantity, swl_show show);
void swl_band_over_rev_draw(const swl_panel *panel, const swl_chart *chart);

/* A measured run over a panel of curves: measured is a swl_log_kind and 1, 0 for a curve without readings; shape 0 is
 * the panel's first curve. The spans grow to hold it. All do nothing on a chart without a run. */
void swl_measured_span(const swl_chart *chart, int measured, swl_show show, double *low, double *high);
void swl_measured_curve(const swl_panel *panel, const swl_chart *chart, int measured, swl_show show, size_t shape);
/* And over the map, where a mass flow was measured. */
void swl_measured_map_span(const swl_chart *chart, double *flow_m3_s, double *low, double *high);
void swl_measured_map(const swl_panel *panel, const swl_chart *chart);

/* Frame, ticks, numbers and titles of the map. */
void swl_map_axes_draw(const swl_panel *panel, const swl_chart *chart);

/* The picture of the unit's own chart in the map's place: its axes for a box, itself with what tells the calibration,
 * and the values along the edges of the calibrated frame. grid: lines across the picture and a cross at each point. */
swl_panel swl_scan_panel(swl_canvas *canvas, const swl_scan *scan, swl_rect box);
/* A copy of the picture in cairo's own form, mixed with white; its status may tell of no memory. */
cairo_surface_t *swl_scan_surface(const swl_image *image, double dim_frac);
swl_status swl_scan_draw(const swl_panel *panel, const swl_chart *chart, swl_err *err) SWL_MUST_CHECK;
void swl_scan_grid(const swl_panel *panel, const swl_chart *chart);
void swl_scan_axes(const swl_panel *panel, const swl_chart *chart, double size);

/* Records that the page is too small for its type. */
swl_status swl_no_room(const swl_canvas *canvas, swl_err *err);

#endif
