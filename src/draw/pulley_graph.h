/* What each panel of a plot over pulley sizes shows. */
#ifndef SWL_DRAW_PULLEY_GRAPH_H
#define SWL_DRAW_PULLEY_GRAPH_H

#include "draw/panel.h"

enum { SWL_GRAPHS = 6, SWL_GRAPH_LINES = 4 };

typedef enum swl_marker { SWL_MARKER_DISC, SWL_MARKER_RING, SWL_MARKER_SQUARE, SWL_MARKER_TRIANGLE } swl_marker;

/* One line: its value in a row (k for a boost column), its weight, how listed sizes are marked, its name. */
typedef struct swl_graph_line {
    double (*value)(const swl_pulley_row *row, size_t k);
    size_t k;
    double width;
    swl_marker marker;
    char label[40];
} swl_graph_line;

/* One limit, NAN when there is none; solid tells the second of two apart. */
typedef struct swl_graph_limit {
    double value;
    const char *words;
    bool solid;
} swl_graph_limit;

typedef struct swl_graph {
    const char *title;
    swl_show show;
    swl_graph_line lines[SWL_GRAPH_LINES];
    size_t count;
    swl_graph_limit limits[2];
    bool is_margin;
    const char *empty; /* why there may be no line though there are operating points */
} swl_graph;

void swl_graphs_fill(const swl_pulley_chart *chart, swl_graph graphs[SWL_GRAPHS]);

/* A size, and a line's value in a row, in the units shown; NAN where the row has no operating point. */
double swl_pulley_length(const swl_pulley_chart *chart, double d_m);
double swl_graph_shown(const swl_pulley_chart *chart, const swl_graph *g, size_t line, const swl_pulley_row *row);

/* Span of a graph in the units shown: its lines, and its limits when they are not far off. Returns: false when no size
 * has a value. */
bool swl_graph_span(const swl_pulley_chart *chart, const swl_graph *g, double *low, double *high);

/* The lines, heaviest last, and over them the marks of the sizes listed. */
void swl_graph_lines(const swl_panel *panel, const swl_pulley_chart *chart, const swl_graph *g);
void swl_graph_markers(const swl_panel *panel, const swl_pulley_chart *chart, const swl_graph *g);

#endif
