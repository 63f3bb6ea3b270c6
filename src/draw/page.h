/* What stands around the axes of a page. */
#ifndef SWL_DRAW_PAGE_H
#define SWL_DRAW_PAGE_H

#include "draw/canvas.h"

/* Writes the title and the words under it at the head of the page and the caption at its foot, broken into lines.
 * Returns: the room between them, margins left out. */
swl_rect swl_page_frame(swl_canvas *canvas, const char *title, const char *subtitle, const char *caption);
/* The same room, and nothing written. */
swl_rect swl_page_room(swl_canvas *canvas, const char *subtitle, const char *caption);

#endif
