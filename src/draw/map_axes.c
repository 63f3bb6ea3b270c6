#include "draw/chart.h"

#include "base/locale_c.h"

#include <stdio.h>

static void axis_title(swl_canvas *canvas, double x, double y, double angle, int down, const char *text)
{
    swl_label label = {.x = x, .y = y, .angle_deg = angle, .down = down, .size = canvas->font, .colour = swl_ink};
    (void)snprintf(label.text, sizeof label.text, "%s", text);
    swl_canvas_label(canvas, &label);
}

static int tick_count(double pixels, double size)
{
    int most = (int)(pixels / (4.2 * size));
    return most > 9 ? 9 : most < 1 ? 1 : most;
}

static void draw_flow_axis(const swl_panel *panel, const swl_chart *chart, double size)
{
    bool us = chart->units == SWL_UNITS_US;
    swl_shown main = swl_shown_as(SWL_SHOW_VOLUME_FLOW, chart->units);
    swl_shown other = swl_shown_as(SWL_SHOW_VOLUME_FLOW, us ? SWL_UNITS_SI : SWL_UNITS_US);
    swl_shown temperature = swl_shown_as(SWL_SHOW_TEMPERATURE, chart->units);
    double span = panel->xb - panel->xa;
    int most = tick_count(panel->box.x1 - panel->box.x0, size);
    double middle_x = (panel->box.x0 + panel->box.x1) / 2;
    char text[160];
    swl_panel_numbers_x(panel, swl_ticks_for(span * main.scale, most), false, main.scale, 0, size);
    double air = swl_shown_value(chart->blower->t_map_k, SWL_SHOW_TEMPERATURE, chart->units);
    (void)swl_locale_print(text, sizeof text, "Inlet volume flow, %s, in the map's air of %.*f %s", main.unit,
                           swl_shown_decimals(air, SWL_SHOW_TEMPERATURE, chart->units), air, temperature.unit);
    axis_title(panel->canvas, middle_x, panel->box.y1 + 2.1 * size, 0, -1, text);
    if (us) {
        swl_ticks top = swl_ticks_for(span * other.scale, most);
        swl_panel_ticks_side(panel, top, true, other.scale, 0);
        swl_panel_numbers_x(panel, top, true, other.scale, 0, size);
        axis_title(panel->canvas, middle_x, panel->box.y0 - 1.6 * size, 0, 1, other.unit);
    }
}

/* One pair of axes; the page has no room for the boost axis beside each map. */
static void draw_lean_axes(const swl_panel *panel, const swl_chart *chart, double size)
{
    swl_shown shown = swl_shown_as(SWL_SHOW_VOLUME_FLOW, chart->units);
    double width = panel->box.x1 - panel->box.x0;
    double height = panel->box.y1 - panel->box.y0;
    double small = 0.9 * size;
    swl_ticks flow = swl_ticks_for((panel->xb - panel->xa) * shown.scale, tick_count(width, size));
    swl_ticks flow_si = {.step = flow.step / shown.scale, .minor = flow.minor};
    int most = (int)(height / (2.2 * size));
    swl_ticks ratio = swl_ticks_for(panel->yb - panel->ya, most > 8 ? 8 : most < 2 ? 2 : most);
    swl_panel_frame(panel, flow_si, ratio);
    swl_panel_numbers_x(panel, flow, false, shown.scale, 0, small);
    swl_panel_numbers_y(panel, ratio, false, 1, 0, small);
    swl_label label = {.x = (panel->box.x0 + panel->box.x1) / 2,
                       .y = panel->box.y1 + 1.75 * small,
                       .down = -1,
                       .size = small,
                       .colour = swl_ink};
    (void)snprintf(label.text, sizeof label.text, "Inlet volume flow, %s, in the map's air", shown.unit);
    if ((chart->lean & SWL_LEAN_NO_FLOW_TITLE) == 0) {
        swl_canvas_label(panel->canvas, &label);
    }
    label.x = panel->box.x0 - 3.5 * small;
    label.y = (panel->box.y0 + panel->box.y1) / 2;
    label.down = 0;
    label.angle_deg = 90;
    (void)snprintf(label.text, sizeof label.text, "Pressure ratio");
    if ((chart->lean & SWL_LEAN_NO_RATIO_TITLE) == 0) {
        swl_canvas_label(panel->canvas, &label);
    }
}

void swl_map_axes_draw(const swl_panel *panel, const swl_chart *chart)
{
    swl_canvas *canvas = panel->canvas;
    double size = canvas->font * 0.95;
    double middle_y = (panel->box.y0 + panel->box.y1) / 2;
    swl_shown main = swl_shown_as(SWL_SHOW_VOLUME_FLOW, chart->units);
    swl_ticks flow =
        swl_ticks_for((panel->xb - panel->xa) * main.scale, tick_count(panel->box.x1 - panel->box.x0, size));
    swl_ticks flow_si = {.step = flow.step / main.scale, .minor = flow.minor, .decimals = 0};
    swl_ticks ratio = swl_ticks_for(panel->yb - panel->ya, 9);
    swl_shown boost = swl_shown_as(SWL_SHOW_BOOST, chart->units);
    double boost_scale = chart->site_pa * boost.scale;
    swl_ticks boost_ticks = swl_ticks_for((panel->yb - panel->ya) * boost_scale, 9);
    if (chart->lean != 0) {
        draw_lean_axes(panel, chart, size);
        return;
    }
    swl_panel_frame(panel, flow_si, ratio);
    draw_flow_axis(panel, chart, size);
    swl_panel_numbers_y(panel, ratio, false, 1, 0, size);
    swl_panel_ticks_side(panel, boost_ticks, false, boost_scale, -boost_scale);
    swl_panel_numbers_y(panel, boost_ticks, true, boost_scale, -boost_scale, size);
    char text[160];
    axis_title(canvas, panel->box.x0 - 3.6 * size, middle_y, 90, 0, "Pressure ratio");
    (void)snprintf(text, sizeof text,
                   chart->check == NULL ? "Rise over the map's inlet pressure, %s"
                                        : "Rise from an inlet at site pressure, before any loss, %s",
                   boost.unit);
    axis_title(canvas, panel->box.x1 + 3.7 * size, middle_y, 90, 0, text);
}
