/* Regions of a grid where a value is at least a level, as closed loops. */
#ifndef SWL_DRAW_CONTOUR_H
#define SWL_DRAW_CONTOUR_H

#include "sweptline/err.h"

#include <stdbool.h>
#include <stddef.h>

/* value[i * columns + j] on nodes (x, y)[same index]. */
typedef struct swl_grid {
    size_t rows;
    size_t columns;
    const double *x;
    const double *y;
    const double *value;
} swl_grid;

/* All loops one after another. start[k]..start[k+1] are the points of loop k. edge tells that the step
 * from a point to the next runs along the grid's border, not along the level. The region lies on
 * one side all along: to the left when rows run right and columns run up. Owned. */
typedef struct swl_loops {
    double *x;
    double *y;
    bool *edge;
    size_t points;
    size_t *start;
    size_t count;
} swl_loops;

/* Marching squares with linear crossings; a saddle is cut by the mean of its corners.
 * Errors: SWL_ERR_MEMORY. */
swl_status swl_contour(const swl_grid *grid, double level, swl_loops *loops, swl_err *err) SWL_MUST_CHECK;
void swl_loops_free(swl_loops *loops);

#endif
