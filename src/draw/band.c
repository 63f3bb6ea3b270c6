#include "draw/chart.h"

#include <math.h>
#include <string.h>

void swl_band_map_span(const swl_chart *chart, double *flow, double *low, double *high)
{
    for (size_t i = 0; chart->spread != NULL && i < chart->spread->outline_count; i++) {
        *flow = fmax(*flow, chart->spread->outline_vdot_m3_s[i]);
        *low = fmin(*low, chart->spread->outline_p_ratio[i]);
        *high = fmax(*high, chart->spread->outline_p_ratio[i]);
    }
}

/* Light on any colour of the map, with an edge that also shows on paper and in grey. */
void swl_band_map_draw(const swl_panel *panel, const swl_chart *chart)
{
    if (chart->spread == NULL) {
        return;
    }
    const swl_spread *spread = chart->spread;
    swl_canvas *canvas = panel->canvas;
    swl_panel_path(panel, spread->outline_vdot_m3_s, spread->outline_p_ratio, spread->outline_count);
    cairo_close_path(canvas->cr);
    swl_canvas_colour(canvas, (swl_rgb){1, 1, 1}, 0.5);
    cairo_fill_preserve(canvas->cr);
    swl_canvas_colour(canvas, swl_ink, 0.85);
    swl_canvas_stroke(canvas, 1.4, NULL);
}

/* Keeps labels off the band's edges. */
void swl_band_map_take(const swl_panel *panel, const swl_chart *chart)
{
    if (chart->spread != NULL) {
        swl_panel_take(panel, chart->spread->outline_vdot_m3_s, chart->spread->outline_p_ratio,
                       chart->spread->outline_count);
    }
}

static const swl_spread_output *output_of(const swl_spread *spread, const char *name)
{
    for (size_t k = 0; k < spread->output_count; k++) {
        if (strcmp(spread->outputs[k].name, name) == 0) {
            return &spread->outputs[k];
        }
    }
    return NULL;
}

void swl_band_curve_span(const swl_chart *chart, swl_spread_quantity quantity, swl_show show, double *low, double *high)
{
    for (size_t i = 0; chart->spread != NULL && i < chart->spread->row_count; i++) {
        const swl_interval *of = &chart->spread->rows[i].of[quantity];
        *low = fmin(*low, swl_shown_value(of->p05, show, chart->units));
        *high = fmax(*high, swl_shown_value(of->p95, show, chart->units));
    }
}

/* Between 5 and 95 % from row to row, broken where a row has no value. */
void swl_band_curve_draw(const swl_panel *panel, const swl_chart *chart, swl_spread_quantity quantity, swl_show show)
{
    swl_canvas *canvas = panel->canvas;
    size_t rows = chart->spread == NULL ? 0 : chart->spread->row_count;
    for (size_t i = 0; i + 1 < rows; i++) {
        const swl_spread_row *from = &chart->spread->rows[i];
        const swl_spread_row *to = from + 1;
        const double x[] = {from->engine_rpm, to->engine_rpm, to->engine_rpm, from->engine_rpm};
        const double si[] = {from->of[quantity].p05, to->of[quantity].p05, to->of[quantity].p95,
                             from->of[quantity].p95};
        double y[4];
        bool sound = true;
        for (size_t k = 0; k < 4; k++) {
            y[k] = swl_shown_value(si[k], show, chart->units);
            sound = sound && isfinite(y[k]);
        }
        if (sound) {
            swl_panel_path(panel, x, y, 4);
            cairo_close_path(canvas->cr);
        }
    }
    /* One fill, so that no seam shows between rows. */
    swl_canvas_colour(canvas, swl_ink, 0.2);
    cairo_fill(canvas->cr);
}

void swl_band_over_rev_draw(const swl_panel *panel, const swl_chart *chart)
{
    if (chart->spread == NULL) {
        return;
    }
    const swl_spread_output *limit = output_of(chart->spread, "blower_speed_at_limit_rpm");
    const swl_spread_output *over = output_of(chart->spread, "blower_speed_at_over_rev_rpm");
    const swl_engine *engine = &chart->build->engine;
    double top_rpm = engine->speed_limit_rpm;
    double over_rpm = top_rpm + engine->over_rev_rpm;
    if (limit == NULL || over == NULL) {
        return;
    }
    const double x[] = {top_rpm, over_rpm, over_rpm, top_rpm};
    const double y[] = {limit->interval.p05, over->interval.p05, over->interval.p95, limit->interval.p95};
    swl_panel_path(panel, x, y, 4);
    cairo_close_path(panel->canvas->cr);
    swl_canvas_colour(panel->canvas, swl_ink, 0.2);
    cairo_fill(panel->canvas->cr);
}
