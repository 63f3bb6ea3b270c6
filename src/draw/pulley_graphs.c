#include "draw/pulley_graph.h"

#include "base/locale_c.h"

#include <math.h>
#include <stdio.h>

static double boost_at(const swl_pulley_row *row, size_t k)
{
    return row->boost_pa[k];
}

static double boost_peak(const swl_pulley_row *row, size_t k)
{
    (void)k;
    return row->boost_peak_pa;
}

static double rpm_at_limit(const swl_pulley_row *row, size_t k)
{
    (void)k;
    return row->blower_rpm_at_limit;
}

static double rpm_at_over_rev(const swl_pulley_row *row, size_t k)
{
    (void)k;
    return row->blower_rpm_at_over_rev;
}

static double discharge(const swl_pulley_row *row, size_t k)
{
    (void)k;
    return row->t2_max_k;
}

static double charge(const swl_pulley_row *row, size_t k)
{
    (void)k;
    return row->t3_max_k;
}

static double drive_power(const swl_pulley_row *row, size_t k)
{
    (void)k;
    return row->p_shaft_max_w;
}

static double crank_power(const swl_pulley_row *row, size_t k)
{
    (void)k;
    return row->crank_max_w;
}

static double wheel_power(const swl_pulley_row *row, size_t k)
{
    (void)k;
    return row->wheel_max_w;
}

static double margin(const swl_pulley_row *row, size_t k)
{
    (void)k;
    return row->worst_margin_frac;
}

static swl_graph graph_boost(const swl_pulley_chart *chart)
{
    static const double widths[SWL_PULLEY_SPEEDS] = {0.9, 1.4, 1.9};
    swl_graph g = {.title = "Boost",
                   .show = SWL_SHOW_BOOST,
                   .lines = {{boost_peak, 0, 3.2, SWL_MARKER_DISC, "peak"}},
                   .count = 1,
                   .limits = {{chart->build->limits.boost_pa, "limit", false}, {NAN, NULL, false}}};
    for (size_t k = 0; k < chart->study->speeds.count; k++) {
        swl_graph_line *line = &g.lines[g.count++];
        *line = (swl_graph_line){boost_at, k, widths[k], (swl_marker)(SWL_MARKER_RING + k), ""};
        (void)swl_locale_print(line->label, sizeof line->label, "%.6g rpm", chart->study->speeds.rpm[k]);
    }
    return g;
}

void swl_graphs_fill(const swl_pulley_chart *chart, swl_graph graphs[SWL_GRAPHS])
{
    const swl_build *build = chart->build;
    const swl_limit_values *limits = &build->limits;
    graphs[0] = graph_boost(chart);
    graphs[1] = (swl_graph){.title = "Blower speed without slip",
                            .show = SWL_SHOW_BLOWER_SPEED,
                            .lines = {{rpm_at_limit, 0, 2.6, SWL_MARKER_DISC, "at rev limit"},
                                      {rpm_at_over_rev, 0, 1.2, SWL_MARKER_RING, "in over-rev"}},
                            .count = build->engine.over_rev_rpm > 0 ? 2 : 1,
                            .limits = {{build->blower.continuous_rpm, "continuous limit", false},
                                       {build->blower.short_time_rpm, "short-time limit", true}}};
    graphs[2] = (swl_graph){
        .title = "Highest temperature",
        .show = SWL_SHOW_TEMPERATURE,
        .lines = {{discharge, 0, 2.6, SWL_MARKER_DISC, "discharge"}, {charge, 0, 1.2, SWL_MARKER_RING, "charge"}},
        .count = 2,
        .limits = {{limits->t_discharge_k, "discharge limit", true}, {limits->t_charge_k, "charge limit", false}}};
    graphs[3] = (swl_graph){.title = "Highest blower drive power",
                            .show = SWL_SHOW_POWER,
                            .lines = {{drive_power, 0, 2.6, SWL_MARKER_DISC, ""}},
                            .count = 1,
                            .limits = {{limits->p_drive_w, "limit", false}, {NAN, NULL, false}}};
    graphs[4] = (swl_graph){
        .title = "Highest engine power, estimated",
        .show = SWL_SHOW_POWER,
        .lines = {{crank_power, 0, 2.6, SWL_MARKER_DISC, "crank"}, {wheel_power, 0, 1.2, SWL_MARKER_RING, "wheel"}},
        .empty = "not estimated",
        .count = isnan(build->engine.driveline_loss_frac) ? 1 : 2,
        .limits = {{NAN, NULL, false}, {NAN, NULL, false}}};
    graphs[5] = (swl_graph){.title = "Least to spare of all limits",
                            .show = SWL_SHOW_FRACTION,
                            .lines = {{margin, 0, 2.6, SWL_MARKER_DISC, ""}},
                            .count = 1,
                            .limits = {{NAN, NULL, false}, {NAN, NULL, false}},
                            .is_margin = true,
                            .empty = "no limit is given"};
}

double swl_pulley_length(const swl_pulley_chart *chart, double d_m)
{
    return swl_shown_value(d_m, SWL_SHOW_LENGTH, chart->units);
}

double swl_graph_shown(const swl_pulley_chart *chart, const swl_graph *g, size_t line, const swl_pulley_row *row)
{
    double si = row->end == SWL_MATCH_SOLVED ? g->lines[line].value(row, g->lines[line].k) : (double)NAN;
    return swl_shown_value(si, g->show, chart->units);
}

bool swl_graph_span(const swl_pulley_chart *chart, const swl_graph *g, double *low, double *high)
{
    *low = INFINITY;
    *high = -INFINITY;
    for (size_t c = 0; c < g->count; c++) {
        for (size_t i = 0; i < chart->curve_count; i++) {
            double y = swl_graph_shown(chart, g, c, &chart->curve[i]);
            *low = fmin(*low, y);
            *high = fmax(*high, y);
        }
    }
    if (!isfinite(*low) || !isfinite(*high)) {
        return false;
    }
    double reach = fmax(0.9 * (*high - *low), 0.15 * fabs(*high));
    for (size_t k = 0; k < 2; k++) {
        double limit = swl_shown_value(g->limits[k].value, g->show, chart->units);
        if (limit > *low - reach && limit < *high + reach) {
            *high = fmax(*high, limit);
            *low = fmin(*low, limit);
        }
    }
    if (g->is_margin) {
        *low = fmin(*low, 0);
        *high = fmax(*high, 5);
    }
    double least = fmax(0.02 * fabs(*high), 1e-3);
    double room = fmax(0.13 * (*high - *low), least);
    *low -= room;
    *high += room;
    return true;
}

static const double dash_outside[] = {4, 4, 0};

static void marker_draw(const swl_panel *panel, swl_marker shape, double x, double y)
{
    cairo_t *cr = panel->canvas->cr;
    double r = (shape == SWL_MARKER_DISC ? 3.4 : 3.1) * panel->canvas->stroke;
    double px = swl_panel_x(panel, x);
    double py = swl_panel_y(panel, y);
    cairo_new_path(cr);
    if (shape == SWL_MARKER_SQUARE) {
        cairo_rectangle(cr, px - r, py - r, 2 * r, 2 * r);
    } else if (shape == SWL_MARKER_TRIANGLE) {
        cairo_move_to(cr, px, py - 1.25 * r);
        cairo_line_to(cr, px + 1.15 * r, py + 0.85 * r);
        cairo_line_to(cr, px - 1.15 * r, py + 0.85 * r);
        cairo_close_path(cr);
    } else {
        cairo_arc(cr, px, py, r, 0, 6.2831853);
    }
    swl_canvas_colour(panel->canvas, shape == SWL_MARKER_DISC ? swl_ink : (swl_rgb){1, 1, 1}, 1);
    cairo_fill_preserve(cr);
    swl_canvas_colour(panel->canvas, swl_ink, 1);
    swl_canvas_stroke(panel->canvas, 1.1, NULL);
}

/* Solid where the whole line lies on the map, dashed where part of it does not, nothing where a size has no operating
 * point. */
static void line_draw(const swl_panel *panel, const swl_pulley_chart *chart, const swl_graph *g, size_t c)
{
    const swl_pulley_row *rows = chart->curve;
    for (size_t from = 0; from + 1 < chart->curve_count;) {
        bool outside = rows[from].tally.outside > 0 || rows[from + 1].tally.outside > 0;
        size_t to = from;
        cairo_new_path(panel->canvas->cr);
        do {
            double x[2] = {swl_pulley_length(chart, rows[to].d_m), swl_pulley_length(chart, rows[to + 1].d_m)};
            double y[2] = {swl_graph_shown(chart, g, c, &rows[to]), swl_graph_shown(chart, g, c, &rows[to + 1])};
            if (!isnan(y[0]) && !isnan(y[1])) {
                if (to == from || !cairo_has_current_point(panel->canvas->cr)) {
                    cairo_move_to(panel->canvas->cr, swl_panel_x(panel, x[0]), swl_panel_y(panel, y[0]));
                }
                cairo_line_to(panel->canvas->cr, swl_panel_x(panel, x[1]), swl_panel_y(panel, y[1]));
                swl_panel_take(panel, x, y, 2);
            } else {
                cairo_new_sub_path(panel->canvas->cr);
            }
            to++;
        } while (to + 1 < chart->curve_count &&
                 (rows[to].tally.outside > 0 || rows[to + 1].tally.outside > 0) == outside);
        swl_canvas_colour(panel->canvas, swl_ink, 1);
        swl_canvas_stroke(panel->canvas, g->lines[c].width, outside ? dash_outside : NULL);
        from = to;
    }
}

static void line_markers(const swl_panel *panel, const swl_pulley_chart *chart, const swl_graph *g, size_t c)
{
    const swl_pulley_study *study = chart->study;
    for (size_t i = 0; i < study->count; i++) {
        double y = swl_graph_shown(chart, g, c, &study->rows[i]);
        if (!isnan(y)) {
            marker_draw(panel, g->lines[c].marker, swl_pulley_length(chart, study->rows[i].d_m), y);
        }
    }
}

void swl_graph_lines(const swl_panel *panel, const swl_pulley_chart *chart, const swl_graph *g)
{
    for (size_t c = g->count; c-- > 0;) {
        line_draw(panel, chart, g, c);
    }
}

void swl_graph_markers(const swl_panel *panel, const swl_pulley_chart *chart, const swl_graph *g)
{
    for (size_t c = g->count; c-- > 0;) {
        line_markers(panel, chart, g, c);
    }
}
