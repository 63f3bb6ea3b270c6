/* What stands around the axes of a page. */
#ifndef SWL_DRAW_PAGE_H
#define SWL_DRAW_PAGE_H

#include "draw/panel.h"

/* Writes the title and the words under it at the head of the page and the caption at its foot, broken into lines.
 * Returns: the room between them, margins left out. */
swl_rect swl_page_frame(swl_canvas *canvas, const char *title, const char *subtitle, const char *caption);
/* The same room, and nothing written. */
swl_rect swl_page_room(swl_canvas *canvas, const char *subtitle, const char *caption);

/* A page being drawn, handed to its drawing as context. */
typedef struct swl_page {
    swl_canvas *canvas;
    const void *chart;
} swl_page;

/* Opens a canvas, runs the drawing with a swl_page of the chart under the plotting library, and writes the picture. */
swl_status swl_page_draw(const char *title, const void *chart, swl_draw_function *draw, const swl_picture *picture,
                         swl_buf *out, swl_err *err) SWL_MUST_CHECK;

#endif
