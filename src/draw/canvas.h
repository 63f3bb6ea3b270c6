/* A page to draw on: a cairo surface of ours, a queue of labels, and the boxes they take. */
#ifndef SWL_DRAW_CANVAS_H
#define SWL_DRAW_CANVAS_H

#include "sweptline/draw.h"

#include <cairo.h>

typedef struct swl_rgb {
    double r, g, b;
} swl_rgb;

/* Page rectangle, y down. */
typedef struct swl_rect {
    double x0, y0, x1, y1;
} swl_rect;

/* Which point of the text stands at (x, y): -1 left, 0 middle, 1 right; -1 top, 0 middle, 1 bottom. */
typedef struct swl_label {
    double x, y;
    int across;
    int down;
    double size;
    double angle_deg; /* counterclockwise, 0 or 90 */
    bool bold;
    bool halo;
    swl_rgb colour;
    char text[200];
} swl_label;

/* width and height in page units, 1/96 inch on screen. font is the base size of type in them. */
typedef struct swl_canvas {
    swl_picture picture;
    double width, height;
    double font;
    double stroke; /* what one unit of line width is */
    cairo_surface_t *surface;
    cairo_t *cr;
    swl_buf bytes;
    swl_label *labels;
    size_t label_count;
    swl_rect *taken;
    size_t taken_count;
    bool out_of_memory;
    const char *title;
} swl_canvas;

swl_status swl_canvas_open(swl_canvas *canvas, const swl_picture *picture, const char *title,
                           swl_err *err) SWL_MUST_CHECK;
/* Draws the labels, finishes the surface and appends the file's bytes to out. */
swl_status swl_canvas_close(swl_canvas *canvas, swl_buf *out, swl_err *err) SWL_MUST_CHECK;
void swl_canvas_free(swl_canvas *canvas);

/* Width and height of a text. */
void swl_canvas_measure(const swl_canvas *canvas, const char *text, double size, bool bold, double *width,
                        double *height);
/* The room that a label takes on the page. */
swl_rect swl_canvas_label_box(const swl_canvas *canvas, const swl_label *label);
/* Queues a label whatever stands there, and takes its box. */
void swl_canvas_label(swl_canvas *canvas, const swl_label *label);
/* Queues a label when its box lies inside within and touches no box taken so far. */
bool swl_canvas_label_try(swl_canvas *canvas, const swl_label *label, swl_rect within);
/* Takes a box, so that no label is put there. */
void swl_canvas_take(swl_canvas *canvas, swl_rect box);

void swl_canvas_colour(swl_canvas *canvas, swl_rgb colour, double alpha);
/* Strokes the current path. dash is a list of lengths in line widths of one unit, 0 at its end; NULL for solid. */
void swl_canvas_stroke(swl_canvas *canvas, double width, const double *dash);

/* Writes the canvas's image as PNG with its physical size and title. */
swl_status swl_png_write(const swl_canvas *canvas, swl_buf *out, swl_err *err) SWL_MUST_CHECK;

#endif
