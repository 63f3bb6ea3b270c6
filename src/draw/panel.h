/* One set of axes on a page. */
#ifndef SWL_DRAW_PANEL_H
#define SWL_DRAW_PANEL_H

#include "draw/canvas.h"

/* Where the axes stand on the page and what they span. With a scan the box is that of its picture, the spans are the
 * picture's edges in pixels, and a spot is where the calibration puts its values. */
typedef struct swl_panel {
    swl_canvas *canvas;
    swl_rect box;
    double xa, xb, ya, yb;
    const swl_scan *scan; /* NULL: straight axes */
} swl_panel;

/* A place on the page. */
typedef struct swl_spot {
    double x, y;
} swl_spot;

/* Ticks at whole multiples of step. */
typedef struct swl_ticks {
    double step;
    int minor; /* small steps in one */
    int decimals;
} swl_ticks;

/* A step of 1, 2, 2.5 or 5 times a power of ten that puts at most the given number of steps in a span. */
swl_ticks swl_ticks_for(double span, int most);

double swl_panel_x(const swl_panel *panel, double x);
double swl_panel_y(const swl_panel *panel, double y);
/* The place of a pair of values; on a scan, of a volume flow of the map's air and a pressure ratio. */
swl_spot swl_panel_spot(const swl_panel *panel, double x, double y);
/* Whether a place lies within the axes. */
bool swl_panel_shows(const swl_panel *panel, swl_spot spot);
/* Confines drawing to the axes until swl_panel_unclip. */
void swl_panel_clip(const swl_panel *panel);
void swl_panel_unclip(const swl_panel *panel);
/* Adds a polyline in the panel's values to the current path. */
void swl_panel_path(const swl_panel *panel, const double *x, const double *y, size_t count);

/* Takes the room along a polyline, so that no label is put on it. */
void swl_panel_take(const swl_panel *panel, const double *x, const double *y, size_t count);

/* Faint lines across, at the ticks of y. */
void swl_panel_grid_y(const swl_panel *panel, swl_ticks y);
/* Frame, and ticks on its left and bottom, by PLplot. */
void swl_panel_frame(const swl_panel *panel, swl_ticks x, swl_ticks y);
/* A curve in one stroke. */
void swl_panel_curve(const swl_panel *panel, const double *x, const double *y, size_t count, double width,
                     swl_rgb colour);
/* Tick numbers; side 0 left or bottom, 1 right or top. value shown = position * scale + shift, at multiples of the
 * ticks. */
void swl_panel_numbers_x(const swl_panel *panel, swl_ticks ticks, bool top, double scale, double shift, double size);
void swl_panel_numbers_y(const swl_panel *panel, swl_ticks ticks, bool right, double scale, double shift, double size);
/* Small ticks on a side whose scale is its own: value = position * scale + shift. */
void swl_panel_ticks_side(const swl_panel *panel, swl_ticks ticks, bool is_x, double scale, double shift);

/* Starts PLplot on the canvas and runs draw, which may call PLplot; a PLplot abort comes back as SWL_ERR_DRAW. */
typedef swl_status swl_draw_function(void *context, swl_err *err);
swl_status swl_plot_run(swl_canvas *canvas, swl_draw_function *draw, void *context, swl_err *err) SWL_MUST_CHECK;

/* The house colours. */
extern const swl_rgb swl_ink;
extern const swl_rgb swl_grey;
extern const swl_rgb swl_warn;
/* Dark is poor, light is good: share 0..1 to a colour of evenly rising lightness. */
swl_rgb swl_ramp(double share);

#endif
