#include "draw/contour.h"

#include <stdlib.h>

/* The grid is thought of with a border of nodes below every level, so every loop closes. Each crossed edge of that
 * larger grid is a point; cells lead from one to the next. Edge 2n goes from node n to the next row, 2n + 1 to
 * the next column. */
typedef struct tracer {
    const swl_grid *grid;
    double level;
    size_t rows;
    size_t columns;
    size_t *next; /* by edge; NONE where nothing leads on */
    swl_loops *loops;
} tracer;

#define NONE ((size_t)-1)

static bool is_border(const tracer *t, size_t row, size_t column)
{
    return row == 0 || column == 0 || row + 1 == t->rows || column + 1 == t->columns;
}

static size_t inner(const tracer *t, size_t row, size_t column)
{
    return (row - 1) * t->grid->columns + column - 1;
}

static bool above(const tracer *t, size_t row, size_t column)
{
    return !is_border(t, row, column) && t->grid->value[inner(t, row, column)] >= t->level;
}

/* Edges of the cell at (row, column), counterclockwise from the one along the row direction at the bottom. */
static void cell_edges(const tracer *t, size_t row, size_t column, size_t edges[4])
{
    size_t node = row * t->columns + column;
    edges[0] = 2 * node;
    edges[1] = 2 * (node + t->columns) + 1;
    edges[2] = 2 * (node + 1);
    edges[3] = 2 * node + 1;
}

static bool saddle_joined(const tracer *t, size_t row, size_t column)
{
    double sum = 0;
    for (size_t k = 0; k < 4; k++) {
        size_t r = row + (k & 1);
        size_t c = column + (k >> 1);
        if (is_border(t, r, c)) {
            return false;
        }
        sum += t->grid->value[inner(t, r, c)];
    }
    return sum / 4 >= t->level;
}

/* Links the crossed edges of one cell so that the region stays on the left. Corners are numbered
 * counterclockwise; edge k joins corner k and k + 1. A path enters where the walk around the cell leaves
 * the region and goes out where it comes in again. */
static void cell_link(tracer *t, size_t row, size_t column)
{
    const bool in[4] = {above(t, row, column), above(t, row + 1, column), above(t, row + 1, column + 1),
                        above(t, row, column + 1)};
    size_t edges[4];
    cell_edges(t, row, column, edges);
    bool saddle = in[0] == in[2] && in[1] == in[3] && in[0] != in[1];
    bool joined = saddle && saddle_joined(t, row, column);
    for (size_t k = 0; k < 4; k++) {
        bool leaves = in[k] && !in[(k + 1) % 4];
        if (!leaves) {
            continue;
        }
        /* From here the region's boundary runs back to the edge where the region was entered; in a joined
         * saddle it runs around the corner outside instead. */
        size_t to = k;
        if (joined) {
            to = (k + 1) % 4;
        } else {
            do {
                to = (to + 3) % 4;
            } while (in[to] == in[(to + 1) % 4]);
        }
        t->next[edges[k]] = edges[to];
    }
}

static void edge_point(const tracer *t, size_t edge, double *x, double *y, bool *border)
{
    size_t node = edge / 2;
    size_t row = node / t->columns;
    size_t column = node % t->columns;
    size_t row2 = edge % 2 == 0 ? row + 1 : row;
    size_t column2 = edge % 2 == 0 ? column : column + 1;
    const swl_grid *g = t->grid;
    bool first_border = is_border(t, row, column);
    *border = first_border || is_border(t, row2, column2);
    if (*border) {
        size_t n = first_border ? inner(t, row2, column2) : inner(t, row, column);
        *x = g->x[n];
        *y = g->y[n];
        return;
    }
    size_t a = inner(t, row, column);
    size_t b = inner(t, row2, column2);
    double share = (t->level - g->value[a]) / (g->value[b] - g->value[a]);
    *x = g->x[a] + share * (g->x[b] - g->x[a]);
    *y = g->y[a] + share * (g->y[b] - g->y[a]);
}

static void loop_follow(tracer *t, size_t first)
{
    swl_loops *loops = t->loops;
    size_t edge = first;
    bool first_border = false;
    loops->start[loops->count] = loops->points;
    do {
        bool border = false;
        size_t at = loops->points;
        edge_point(t, edge, &loops->x[at], &loops->y[at], &border);
        if (at == loops->start[loops->count]) {
            first_border = border;
        } else {
            loops->edge[at - 1] = loops->edge[at - 1] || border;
        }
        loops->edge[at] = border;
        loops->points++;
        size_t onward = t->next[edge];
        t->next[edge] = NONE;
        edge = onward;
    } while (edge != first && edge != NONE);
    loops->edge[loops->points - 1] = loops->edge[loops->points - 1] || first_border;
    loops->count++;
    loops->start[loops->count] = loops->points;
}

swl_status swl_contour(const swl_grid *grid, double level, swl_loops *loops, swl_err *err)
{
    tracer t = {.grid = grid, .level = level, .rows = grid->rows + 2, .columns = grid->columns + 2, .loops = loops};
    size_t edges = 2 * t.rows * t.columns;
    *loops = (swl_loops){0};
    t.next = malloc(edges * sizeof *t.next);
    if (t.next == NULL) {
        return swl_err_set(err, SWL_ERR_MEMORY, "out of memory for a contour");
    }
    for (size_t e = 0; e < edges; e++) {
        t.next[e] = NONE;
    }
    for (size_t row = 0; row + 1 < t.rows; row++) {
        for (size_t column = 0; column + 1 < t.columns; column++) {
            cell_link(&t, row, column);
        }
    }
    size_t crossed = 0;
    for (size_t e = 0; e < edges; e++) {
        crossed += t.next[e] != NONE;
    }
    loops->x = malloc((crossed + 1) * sizeof *loops->x);
    loops->y = malloc((crossed + 1) * sizeof *loops->y);
    loops->edge = malloc((crossed + 1) * sizeof *loops->edge);
    loops->start = malloc((crossed + 2) * sizeof *loops->start);
    swl_status status = SWL_OK;
    if (loops->x == NULL || loops->y == NULL || loops->edge == NULL || loops->start == NULL) {
        swl_loops_free(loops);
        status = swl_err_set(err, SWL_ERR_MEMORY, "out of memory for a contour");
    } else {
        loops->start[0] = 0;
        for (size_t e = 0; e < edges; e++) {
            if (t.next[e] != NONE) {
                loop_follow(&t, e);
            }
        }
    }
    free(t.next);
    return status;
}

void swl_loops_free(swl_loops *loops)
{
    free(loops->x);
    free(loops->y);
    free(loops->edge);
    free(loops->start);
    *loops = (swl_loops){0};
}
