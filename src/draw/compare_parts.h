/* The parts of a comparison's page besides its maps. */
#ifndef SWL_DRAW_COMPARE_PARTS_H
#define SWL_DRAW_COMPARE_PARTS_H

#include "draw/canvas.h"

/* How a build's line is drawn. */
typedef struct swl_build_line {
    double width;
    const double *dash;
    swl_rgb colour;
} swl_build_line;
const swl_build_line *swl_build_line_of(size_t build);
/* A short stretch of it, to the right of a point. */
void swl_build_line_sample(swl_canvas *canvas, size_t build, double x, double y, double width);

/* Curves over engine speed in rows of panels, as many as there is room for.
 * Errors: SWL_ERR_USAGE when there is none for a single one. */
swl_status swl_compare_curves(swl_canvas *canvas, const swl_compare_chart *chart, swl_rect box,
                              swl_err *err) SWL_MUST_CHECK;

/* Values of all builds at the chosen engine speeds, better ones in bold; the last speeds where not all fit. */
double swl_compare_table_height(const swl_canvas *canvas, const swl_compare_chart *chart);
void swl_compare_table(swl_canvas *canvas, const swl_compare_chart *chart, swl_rect box);

#endif
