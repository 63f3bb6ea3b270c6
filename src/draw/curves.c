#include "draw/chart.h"

#include "base/locale_c.h"
#include "match/column.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* One curve of a panel. */
typedef struct series {
    swl_number_at value;
    const char *label;            /* NULL where a panel has one curve */
    swl_spread_quantity quantity; /* what its band is of */
    int measured;                 /* swl_log_kind and 1 of what a run measures of it, 0 for nothing */
} series;

/* A panel: what it shows, and up to two limits drawn in it (NAN: none). */
typedef struct strip_spec {
    const char *title;
    swl_show show;
    series curves[2];
    size_t count;
    double limits[2];
    bool is_speed;
} strip_spec;

enum { STRIPS = 6 };

static const double dash_limit[] = {14, 3, 3, 3, 0};
static const double dash_outside[] = {4, 4, 0};

static void strips_fill(const swl_chart *chart, strip_spec strips[STRIPS])
{
    const swl_limit_values *limits = &chart->build->limits;
    strips[0] = (strip_spec){.title = "Boost",
                             .show = SWL_SHOW_BOOST,
                             .curves = {{.value = SWL_OF_POINT(boost_pa),
                                         .quantity = SWL_SPREAD_BOOST,
                                         .measured = SWL_LOG_MANIFOLD_PRESSURE + 1}},
                             .count = 1,
                             .limits = {limits->boost_pa, NAN}};
    strips[1] = (strip_spec){.title = "Air flow",
                             .show = SWL_SHOW_MASS_FLOW,
                             .curves = {{.value = SWL_OF_POINT(mdot_kg_s),
                                         .quantity = SWL_SPREAD_MASS_FLOW,
                                         .measured = SWL_LOG_MASS_FLOW + 1}},
                             .count = 1,
                             .limits = {limits->mdot_sensor_kg_s, NAN}};
    strips[2] = (strip_spec){.title = "Temperature",
                             .show = SWL_SHOW_TEMPERATURE,
                             .curves = {{.value = SWL_OF_POINT(t2_k),
                                         .label = "discharge",
                                         .quantity = SWL_SPREAD_DISCHARGE,
                                         .measured = SWL_LOG_DISCHARGE_TEMPERATURE + 1},
                                        {.value = SWL_OF_POINT(t3_k),
                                         .label = "charge",
                                         .quantity = SWL_SPREAD_CHARGE,
                                         .measured = SWL_LOG_CHARGE_TEMPERATURE + 1}},
                             .count = 2,
                             .limits = {limits->t_discharge_k, limits->t_charge_k}};
    strips[3] = (strip_spec){.title = "Drive power",
                             .show = SWL_SHOW_POWER,
                             .curves = {{.value = SWL_OF_POINT(p_shaft_w), .quantity = SWL_SPREAD_DRIVE_POWER}},
                             .count = 1,
                             .limits = {limits->p_drive_w, NAN}};
    strips[4] = (strip_spec){.title = "Blower speed",
                             .show = SWL_SHOW_BLOWER_SPEED,
                             .curves = {{.value = SWL_OF_POINT(blower_rpm), .quantity = SWL_SPREAD_BLOWER_SPEED}},
                             .count = 1,
                             .limits = {chart->blower->continuous_rpm, chart->blower->short_time_rpm},
                             .is_speed = true};
    bool wheel = !isnan(chart->check->power[0].wheel_w);
    strips[5] = (strip_spec){.title = wheel ? "Estimated power" : "Estimated crank power",
                             .show = SWL_SHOW_POWER,
                             .curves = {{.value = SWL_OF_POWER(crank_w),
                                         .label = "crank",
                                         .quantity = SWL_SPREAD_CRANK_POWER,
                                         .measured = SWL_LOG_CRANK_POWER + 1},
                                        {.value = SWL_OF_POWER(wheel_w),
                                         .label = "wheels",
                                         .quantity = SWL_SPREAD_WHEEL_POWER,
                                         .measured = SWL_LOG_WHEEL_POWER + 1}},
                             .count = wheel ? 2 : 1,
                             .limits = {NAN, NAN}};
}

/* A curve's value at a row in the units shown. */
static double shown_at(const swl_chart *chart, const strip_spec *strip, size_t c, size_t row)
{
    return swl_shown_value(swl_row_number(chart->check, row, strip->curves[c].value), strip->show, chart->units);
}

/* Span of a strip in the units shown: its curves, and its limits when they are not far above them. */
static void strip_span(const swl_chart *chart, const strip_spec *strip, double *low, double *high)
{
    *low = INFINITY;
    *high = -INFINITY;
    for (size_t c = 0; c < strip->count; c++) {
        for (size_t i = 0; i < chart->check->line_count; i++) {
            double shown = shown_at(chart, strip, c, i);
            *low = fmin(*low, shown);
            *high = fmax(*high, shown);
        }
        swl_band_curve_span(chart, strip->curves[c].quantity, strip->show, low, high);
    }
    for (size_t c = 0; c < strip->count; c++) {
        swl_measured_span(chart, strip->curves[c].measured, strip->show, low, high);
    }
    if (strip->is_speed) {
        *high = fmax(*high, chart->check->blower_rpm_at_over_rev);
    }
    double reach = *high + fmax(0.6 * (*high - *low), 0.25 * fabs(*high));
    for (size_t k = 0; k < 2; k++) {
        double limit = swl_shown_value(strip->limits[k], strip->show, chart->units);
        if (limit < reach) {
            *high = fmax(*high, limit);
            *low = fmin(*low, limit);
        }
    }
    /* Beside readings the difference is what counts. */
    bool from_zero = strip->show != SWL_SHOW_TEMPERATURE && chart->log == NULL && *low > 0;
    *low = from_zero ? 0 : *low;
    double room = 0.1 * (*high - *low);
    double above = (strip->is_speed ? 0.3 : 0.2) * (*high - *low);
    *high += above > 0 ? above : 1;
    *low -= from_zero ? 0 : room;
}

/* A low panel has no room for the names of two limits; its title gives their figures. */
static bool is_low(const swl_panel *panel, double size)
{
    return panel->box.y1 - panel->box.y0 < 8 * size;
}

/* The highest value of a curve in the unit shown. */
static double highest(const swl_chart *chart, const strip_spec *strip, size_t c)
{
    double most = -INFINITY;
    for (size_t i = 0; i < chart->check->line_count; i++) {
        most = fmax(most, shown_at(chart, strip, c, i));
    }
    return most;
}

static void strip_limit_label(const swl_panel *panel, const swl_chart *chart, const strip_spec *strip, size_t k,
                              double size)
{
    double limit = swl_shown_value(strip->limits[k], strip->show, chart->units);
    if (isnan(limit)) {
        return;
    }
    static const char *const speed_words[] = {"continuous limit", "short-time limit"};
    static const char *const temperature_words[] = {"discharge limit", "charge limit"};
    /* A limit that the other curve crosses says whose it is. */
    bool others =
        strip->show == SWL_SHOW_TEMPERATURE && k == 1 && strip->count == 2 && highest(chart, strip, 0) > limit;
    const char *words = strip->is_speed ? speed_words[k] : strip->count == 2 ? temperature_words[k] : "limit";
    swl_label label = {.size = size, .colour = swl_warn, .halo = true, .across = -1};
    (void)swl_locale_print(label.text, sizeof label.text, "%s %.*f%s", words,
                           swl_shown_decimals(limit, strip->show, chart->units), limit, others ? " (thin curve)" : "");
    if (is_low(panel, size) && strip->is_speed) {
        return;
    }
    double width = panel->box.x1 - panel->box.x0;
    if (limit >= panel->yb) {
        /* Far above the curves: named at the edge, so that it is not missed. */
        size_t n = strlen(label.text);
        (void)snprintf(label.text + n, sizeof label.text - n, " is above this scale");
        label.down = -1;
        label.x = panel->box.x0 + 0.6 * size;
        label.y = panel->box.y0 + 0.5 * size;
        for (int pass = 0; pass < 4 && !swl_canvas_label_try(panel->canvas, &label, panel->box); pass++) {
            label.x += 0.16 * width;
        }
        return;
    }
    /* Of the two speed limits the lower one is named below its line, the higher one above. */
    bool below_first = strip->is_speed && k == 0;
    for (int pass = 0; pass < 12; pass++) {
        bool below = (pass < 6) == below_first;
        label.down = below ? -1 : 1;
        label.x = panel->box.x0 + 0.6 * size + pass % 6 * 0.16 * width;
        label.y = swl_panel_y(panel, limit) + (below ? 0.4 : -0.55) * size;
        if (swl_canvas_label_try(panel->canvas, &label, panel->box)) {
            return;
        }
    }
    /* Where curves and readings leave no room, beside the title. */
    label.across = 1;
    label.down = 1;
    label.x = panel->box.x1;
    label.y = panel->box.y0 - 0.35 * size;
    (void)swl_canvas_label_try(
        panel->canvas, &label,
        (swl_rect){panel->box.x0, panel->box.y0 - 3 * size, panel->box.x1 + size, panel->box.y0 + size});
}

static void strip_limits(const swl_panel *panel, const swl_chart *chart, const strip_spec *strip, double size)
{
    swl_canvas *canvas = panel->canvas;
    for (size_t k = 0; k < 2; k++) {
        double limit = swl_shown_value(strip->limits[k], strip->show, chart->units);
        if (!(limit > panel->ya && limit < panel->yb)) {
            continue;
        }
        double x[2] = {panel->xa, panel->xb};
        double y[2] = {limit, limit};
        swl_panel_path(panel, x, y, 2);
        swl_canvas_colour(canvas, swl_warn, 1);
        /* Of two curves each limit is as strong as its curve. */
        double weight = strip->is_speed || strip->count == 1 ? 1.5 : k == 0 ? 2.0 : 1.0;
        swl_canvas_stroke(canvas, weight, strip->is_speed && k == 1 ? NULL : dash_limit);
        swl_canvas_take(canvas, (swl_rect){panel->box.x0, swl_panel_y(panel, limit) - 1, panel->box.x1,
                                           swl_panel_y(panel, limit) + 1});
    }
    for (size_t k = 0; k < 2; k++) {
        strip_limit_label(panel, chart, strip, k, size);
    }
}

static void strip_curve(const swl_panel *panel, const swl_chart *chart, const strip_spec *strip, size_t c)
{
    const swl_check *check = chart->check;
    double x[SWL_LINE_ROWS_MAX];
    double y[SWL_LINE_ROWS_MAX];
    for (size_t i = 0; i < check->line_count; i++) {
        x[i] = check->line[i].engine_rpm;
        y[i] = shown_at(chart, strip, c, i);
    }
    double width = c == 0 ? 2.4 : 1.5;
    swl_panel_take(panel, x, y, check->line_count);
    if (check->line_count == 1) {
        cairo_arc(panel->canvas->cr, swl_panel_x(panel, x[0]), swl_panel_y(panel, y[0]), 3.5 * panel->canvas->stroke, 0,
                  6.2831853);
        swl_canvas_colour(panel->canvas, swl_ink, 1);
        cairo_fill(panel->canvas->cr);
    }
    for (size_t from = 0; from + 1 < check->line_count;) {
        bool inside = false;
        size_t to = swl_run_end(check, from, &inside);
        if (inside) {
            swl_panel_curve(panel, x + from, y + from, to - from + 1, width, swl_ink);
        } else {
            swl_panel_path(panel, x + from, y + from, to - from + 1);
            swl_canvas_colour(panel->canvas, swl_ink, 1);
            swl_canvas_stroke(panel->canvas, width, dash_outside);
        }
        from = to;
    }
}

/* The blower's speed in an over-rev, without slip, beyond the rev limit. */
static void strip_over_rev(const swl_panel *panel, const swl_chart *chart, double size)
{
    const swl_engine *engine = &chart->build->engine;
    double x[2] = {engine->speed_limit_rpm, engine->speed_limit_rpm + engine->over_rev_rpm};
    double y[2] = {chart->check->blower_rpm_at_limit, chart->check->blower_rpm_at_over_rev};
    swl_band_over_rev_draw(panel, chart);
    swl_panel_path(panel, x, y, 2);
    swl_canvas_colour(panel->canvas, swl_ink, 1);
    swl_canvas_stroke(panel->canvas, 1.2, NULL);
    swl_panel_take(panel, x, y, 2);
    swl_label label = {.size = size, .colour = swl_ink, .halo = true, .across = 1, .down = -1};
    (void)snprintf(label.text, sizeof label.text, "over-rev");
    label.x = panel->box.x1 - 0.4 * size;
    label.y = swl_panel_y(panel, y[0]) + 1.8 * size;
    (void)swl_canvas_label_try(panel->canvas, &label, panel->box);
}

static void strip_names(const swl_panel *panel, const swl_chart *chart, const strip_spec *strip, double size)
{
    const swl_check *check = chart->check;
    swl_canvas *canvas = panel->canvas;
    for (size_t c = 0; c < strip->count && strip->count > 1; c++) {
        swl_label label = {.size = size, .colour = swl_ink, .halo = true, .across = 0};
        (void)snprintf(label.text, sizeof label.text, "%s", strip->curves[c].label);
        /* The upper curve is named above it and the lower one below, close by; a steep curve wants more room. */
        for (size_t pass = 0; pass < 32; pass++) {
            size_t i = (check->line_count - 1) * (10 - pass % 8) / 11;
            bool above = (c == 0) == (pass < 16);
            double away = pass / 8 % 2 == 0 ? 0.55 : 1.2;
            label.down = above ? 1 : -1;
            label.x = swl_panel_x(panel, check->line[i].engine_rpm);
            label.y = swl_panel_y(panel, shown_at(chart, strip, c, i)) - away * label.down * size;
            if (swl_canvas_label_try(canvas, &label, panel->box)) {
                break;
            }
        }
    }
}

static void strip_draw(const swl_panel *panel, const swl_chart *chart, const strip_spec *strip, bool last)
{
    swl_canvas *canvas = panel->canvas;
    double size = 0.86 * canvas->font;
    double height = panel->box.y1 - panel->box.y0;
    int most = height > 9 * size ? 5 : height > 6 * size ? 4 : 3;
    swl_ticks y = swl_ticks_for(panel->yb - panel->ya, most);
    double across = (panel->box.x1 - panel->box.x0) / (4.2 * size);
    swl_ticks x = swl_ticks_for(panel->xb - panel->xa, across > 8 ? 8 : across < 1 ? 1 : (int)across);
    y.minor = 1;
    swl_panel_clip(panel);
    swl_panel_grid_y(panel, y);
    for (size_t c = 0; c < strip->count; c++) {
        swl_band_curve_draw(panel, chart, strip->curves[c].quantity, strip->show);
    }
    for (size_t c = 0; c < strip->count; c++) {
        strip_curve(panel, chart, strip, c);
    }
    for (size_t c = 0; c < strip->count; c++) {
        swl_measured_curve(panel, chart, strip->curves[c].measured, strip->show, c);
    }
    swl_panel_unclip(panel);
    swl_label title = {.x = panel->box.x0,
                       .y = panel->box.y0 - 0.35 * size,
                       .across = -1,
                       .down = 1,
                       .size = size,
                       .bold = true,
                       .colour = swl_ink};
    (void)snprintf(title.text, sizeof title.text, "%s, %s", strip->title, swl_shown_as(strip->show, chart->units).unit);
    if (is_low(panel, size) && strip->is_speed && !isnan(strip->limits[0]) && !isnan(strip->limits[1])) {
        size_t n = strlen(title.text);
        (void)swl_locale_print(title.text + n, sizeof title.text - n, ", limits %.0f and %.0f", strip->limits[0],
                               strip->limits[1]);
    }
    swl_canvas_label(canvas, &title);
    swl_panel_clip(panel);
    strip_limits(panel, chart, strip, size);
    if (strip->is_speed && chart->build->engine.over_rev_rpm > 0) {
        strip_over_rev(panel, chart, size);
    }
    swl_panel_unclip(panel);
    strip_names(panel, chart, strip, size);
    swl_panel_frame(panel, x, y);
    swl_panel_numbers_y(panel, y, false, 1, 0, size);
    if (last) {
        swl_panel_numbers_x(panel, x, false, 1, 0, size);
    }
}

/* Beside a run only the panels with readings stand, so that these have room. Returns: how many. */
static size_t strips_measured(const swl_chart *chart, strip_spec strips[STRIPS])
{
    size_t kept = 0;
    for (size_t k = 0; k < STRIPS; k++) {
        bool measured = false;
        for (size_t c = 0; c < strips[k].count; c++) {
            int kind = strips[k].curves[c].measured;
            measured = measured || (kind > 0 && chart->log->has[kind - 1]);
        }
        if (measured) {
            strips[kept++] = strips[k];
        }
    }
    return kept;
}

static void tell_places(const swl_panel *panel, const swl_chart *chart, bool first)
{
    for (size_t i = 0; chart->places != NULL && i < chart->check->line_count; i++) {
        swl_place *place = &chart->places[i];
        place->curves_x = swl_panel_x(panel, chart->check->line[i].engine_rpm);
        place->curves_top = first ? panel->box.y0 : place->curves_top;
        place->curves_bottom = panel->box.y1;
    }
}

swl_status swl_draw_curves(swl_canvas *canvas, const swl_chart *chart, swl_rect box, swl_err *err)
{
    strip_spec strips[STRIPS];
    strips_fill(chart, strips);
    double f = canvas->font;
    const swl_engine *engine = &chart->build->engine;
    double top = box.y0 + 1.4 * f;
    double bottom = box.y1 - 3.4 * f;
    double gap = 1.75 * f;
    /* Power is there when it could be estimated and the page has room for it. */
    size_t count = chart->log == NULL ? STRIPS : strips_measured(chart, strips);
    double height = (bottom - top - (double)(count - 1) * gap) / (double)count;
    if (count == STRIPS && (isnan(chart->check->basis.indicated_eff_frac) || height < 5 * f)) {
        count = STRIPS - 1;
        height = (bottom - top - (double)(count - 1) * gap) / (double)count;
    }
    if (height < 2.5 * f || box.x1 - box.x0 < 14 * f) {
        return swl_no_room(canvas, err);
    }
    for (size_t k = 0; k < count; k++) {
        swl_panel panel = {
            .canvas = canvas,
            .box = {box.x0 + 4.2 * f, top + (double)k * (height + gap), box.x1 - 1.2 * f,
                    top + (double)k * (height + gap) + height},
            .xa = engine->speed_from_rpm,
            .xb = engine->speed_limit_rpm + engine->over_rev_rpm,
        };
        /* One engine speed alone still needs an axis with room on both sides. */
        if (chart->check->line_count == 1) {
            panel.xa -= 100;
            panel.xb += 100;
        }
        tell_places(&panel, chart, k == 0);
        strip_span(chart, &strips[k], &panel.ya, &panel.yb);
        strip_draw(&panel, chart, &strips[k], k + 1 == count);
    }
    swl_label label = {.x = (box.x0 + 4.2 * f + box.x1 - 1.2 * f) / 2,
                       .y = bottom + 2.0 * f,
                       .down = -1,
                       .size = f,
                       .colour = swl_ink,
                       .text = "Engine speed, rpm"};
    swl_canvas_label(canvas, &label);
    return SWL_OK;
}
