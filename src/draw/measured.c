#include "draw/chart.h"

#include <math.h>

enum { RADIUS = 5 };

/* One marker: white inside and inked around, so that it shows on a curve, on any band, and in grey. The first curve of
 * a panel has triangles, the second diamonds. */
static void marker(const swl_panel *panel, double x, double y, size_t shape)
{
    cairo_t *cr = panel->canvas->cr;
    double r = RADIUS * panel->canvas->stroke;
    cairo_move_to(cr, x, y - r);
    if (shape == 0) {
        cairo_line_to(cr, x + r, y + 0.75 * r);
        cairo_line_to(cr, x - r, y + 0.75 * r);
    } else {
        cairo_line_to(cr, x + r, y);
        cairo_line_to(cr, x, y + r);
        cairo_line_to(cr, x - r, y);
    }
    cairo_close_path(cr);
    swl_canvas_colour(panel->canvas, (swl_rgb){1, 1, 1}, 1);
    cairo_fill_preserve(cr);
    swl_canvas_colour(panel->canvas, swl_ink, 1);
    swl_canvas_stroke(panel->canvas, 1.4, NULL);
    swl_canvas_take(panel->canvas, (swl_rect){x - r, y - r, x + r, y + r});
}

/* What is taken off a reading before it is shown: boost stands on the site's pressure. */
static double shown(const swl_chart *chart, int kind, swl_show show, double value)
{
    double shift = kind == SWL_LOG_MANIFOLD_PRESSURE ? chart->site_pa : 0;
    return swl_shown_value(value - shift, show, chart->units);
}

void swl_measured_span(const swl_chart *chart, int measured, swl_show show, double *low, double *high)
{
    for (size_t i = 0; measured > 0 && chart->log != NULL && i < chart->log->bin_count; i++) {
        *low = fmin(*low, shown(chart, measured - 1, show, chart->log->bins[i].low[measured - 1]));
        *high = fmax(*high, shown(chart, measured - 1, show, chart->log->bins[i].high[measured - 1]));
    }
}

void swl_measured_curve(const swl_panel *panel, const swl_chart *chart, int measured, swl_show show, size_t shape)
{
    for (size_t i = 0; measured > 0 && chart->log != NULL && i < chart->log->bin_count; i++) {
        const swl_log_bin *bin = &chart->log->bins[i];
        int kind = measured - 1;
        if (isnan(bin->measured[kind])) {
            continue;
        }
        double x = swl_panel_x(panel, bin->engine_rpm);
        cairo_move_to(panel->canvas->cr, x, swl_panel_y(panel, shown(chart, kind, show, bin->low[kind])));
        cairo_line_to(panel->canvas->cr, x, swl_panel_y(panel, shown(chart, kind, show, bin->high[kind])));
        swl_canvas_colour(panel->canvas, swl_ink, 1);
        swl_canvas_stroke(panel->canvas, 1, NULL);
        marker(panel, x, swl_panel_y(panel, shown(chart, kind, show, bin->measured[kind])), shape);
    }
}

void swl_measured_map_span(const swl_chart *chart, double *flow_m3_s, double *low, double *high)
{
    for (size_t i = 0; chart->log != NULL && i < chart->log->bin_count; i++) {
        const swl_log_bin *bin = &chart->log->bins[i];
        *flow_m3_s = fmax(*flow_m3_s, bin->map_vdot_m3_s);
        *low = fmin(*low, bin->p_ratio);
        *high = fmax(*high, bin->p_ratio);
    }
}

void swl_measured_map(const swl_panel *panel, const swl_chart *chart)
{
    for (size_t i = 0; chart->log != NULL && i < chart->log->bin_count; i++) {
        const swl_log_bin *bin = &chart->log->bins[i];
        if (!isnan(bin->map_vdot_m3_s)) {
            swl_spot spot = swl_panel_spot(panel, bin->map_vdot_m3_s, bin->p_ratio);
            marker(panel, spot.x, spot.y, 0);
        }
    }
}
