#include "draw/chart.h"

#include "base/locale_c.h"
#include "draw/islands.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* Dash patterns, in line widths of one unit. */
static const double dash_speed[] = {5, 4, 0};
static const double dash_outside[] = {7, 5, 0};
static const double dash_limit[] = {14, 3, 3, 3, 0};

enum { CASE_WIDTH = 9, HERO_WIDTH = 4 };

void swl_mark_forbidden(const swl_panel *panel, const double *x, const double *y, size_t count, bool left)
{
    cairo_t *cr = panel->canvas->cr;
    double spacing = 9 * panel->canvas->stroke;
    double length = spacing;
    double carried = 0;
    for (size_t i = 0; i + 1 < count; i++) {
        swl_spot from = swl_panel_spot(panel, x[i], y[i]);
        swl_spot to = swl_panel_spot(panel, x[i + 1], y[i + 1]);
        double dx = to.x - from.x;
        double dy = to.y - from.y;
        double run = hypot(dx, dy);
        while (carried < run) {
            /* Half forward, half to the side. */
            double side = left ? -1 : 1;
            double ux = (dx + side * -dy) / run;
            double uy = (dy + side * dx) / run;
            cairo_move_to(cr, from.x + dx * carried / run, from.y + dy * carried / run);
            cairo_rel_line_to(cr, ux * length / 1.414, uy * length / 1.414);
            carried += spacing;
        }
        carried -= run;
    }
}

static double nice_up(double value, double step)
{
    return ceil(value / step - 1e-9) * step;
}

/* Widens a scale so that it holds a map and its operating line. */
static void scale_widen(swl_map_scale *scale, const swl_chart *chart)
{
    const swl_field *field = chart->field;
    scale->ratio_low = fmin(scale->ratio_low, field->p_ratio[0]);
    scale->ratio_high = fmax(scale->ratio_high, field->p_ratio[field->ratios - 1]);
    for (size_t n = 0; n < field->speeds * field->ratios; n++) {
        scale->vdot_m3_s = fmax(scale->vdot_m3_s, field->vdot_m3_s[n]);
    }
    for (size_t i = 0; chart->check != NULL && i < chart->check->line_count; i++) {
        const swl_point *point = &chart->check->line[i];
        scale->vdot_m3_s = fmax(scale->vdot_m3_s, point->map_vdot_m3_s);
        scale->ratio_low = fmin(scale->ratio_low, point->p_ratio);
        scale->ratio_high = fmax(scale->ratio_high, point->p_ratio);
    }
    swl_band_map_span(chart, &scale->vdot_m3_s, &scale->ratio_low, &scale->ratio_high);
    swl_measured_map_span(chart, &scale->vdot_m3_s, &scale->ratio_low, &scale->ratio_high);
}

swl_status swl_draw_scale(const swl_chart *charts, size_t count, swl_map_scale *scale, swl_err *err)
{
    const swl_field *fields[SWL_COMPARE_MOST] = {NULL};
    *scale = (swl_map_scale){.ratio_low = INFINITY, .ratio_high = -INFINITY};
    if (count < 1 || count > SWL_COMPARE_MOST) {
        return swl_err_set(err, SWL_ERR_USAGE, "%zu maps; 1 to %d are accepted", count, SWL_COMPARE_MOST);
    }
    for (size_t i = 0; i < count; i++) {
        scale_widen(scale, &charts[i]);
        fields[i] = charts[i].field;
    }
    return swl_islands_levels(fields, count, scale->level, &scale->level_count, err);
}

/* Spans that hold the map and the operating line, with room above for the speed lines' labels. */
static swl_panel map_axes(swl_canvas *canvas, const swl_chart *chart, swl_rect box)
{
    swl_map_scale scale = {.ratio_low = INFINITY, .ratio_high = -INFINITY};
    if (chart->scale != NULL) {
        scale = *chart->scale;
    } else {
        scale_widen(&scale, chart);
    }
    double low = scale.ratio_low;
    double high = scale.ratio_high;
    if (!(high > low)) {
        /* A map of one pressure ratio still needs an axis. */
        low -= 0.05;
        high += 0.05;
    }
    swl_ticks across = swl_ticks_for(scale.vdot_m3_s * 3600, 10);
    swl_ticks up = swl_ticks_for(high - low, 10);
    double bottom = floor(fmin(low, 1.0 + up.step) / up.step - 1e-9) * up.step;
    bottom = low >= 1 ? fmax(1, floor(low / up.step) * up.step) : bottom;
    return (swl_panel){
        .canvas = canvas,
        .box = box,
        .xa = 0,
        .xb = nice_up(scale.vdot_m3_s * 3600 * 1.03, across.step / 2) / 3600,
        .ya = bottom,
        .yb = nice_up(high + 0.09 * (high - bottom), up.step / 2),
    };
}

static void draw_speed_lines(const swl_panel *panel, const swl_field *field)
{
    swl_canvas *canvas = panel->canvas;
    for (size_t k = 0; k < field->lines; k++) {
        const double *vdot = field->vdot_m3_s + field->line_speed[k] * field->ratios;
        size_t first = 0;
        size_t last = field->ratios - 1;
        while (first < last && field->p_ratio[first] < field->line_low[k] - 1e-12) {
            first++;
        }
        while (last > first && field->p_ratio[last] > field->line_high[k] + 1e-12) {
            last--;
        }
        swl_panel_path(panel, vdot + first, field->p_ratio + first, last - first + 1);
    }
    swl_canvas_colour(canvas, swl_ink, 0.55);
    swl_canvas_stroke(canvas, 1, dash_speed);
}

static void label_speed_lines(const swl_panel *panel, const swl_field *field, double size)
{
    /* On a picture, at the other end of the line than where a chart has its own. */
    bool below = panel->scan != NULL;
    for (size_t k = field->lines; k-- > 0;) {
        const double *vdot = field->vdot_m3_s + field->line_speed[k] * field->ratios;
        size_t last = field->ratios - 1;
        while (last > 0 && field->p_ratio[last] > field->line_high[k] + 1e-12) {
            last--;
        }
        size_t first = 0;
        while (first < last && field->p_ratio[first] < field->line_low[k] - 1e-12) {
            first++;
        }
        swl_label label = {.size = size, .colour = swl_grey, .halo = true, .across = 0, .down = below ? -1 : 1};
        swl_spot end = below ? swl_panel_spot(panel, vdot[first], field->line_low[k])
                             : swl_panel_spot(panel, vdot[last], field->line_high[k]);
        label.x = end.x;
        label.y = end.y + (below ? 0.35 : -0.35) * size;
        (void)swl_locale_print(label.text, sizeof label.text, "%.0f%s", field->speed_rpm[field->line_speed[k]],
                               k + 1 == field->lines ? " rpm" : "");
        if (!swl_canvas_label_try(panel->canvas, &label, panel->box) && k + 1 == field->lines) {
            label.across = 1;
            label.x = panel->box.x1 - 0.5 * size;
            (void)swl_canvas_label_try(panel->canvas, &label, panel->box);
        }
    }
}

static void draw_traces(const swl_panel *panel, const swl_chart *chart)
{
    swl_canvas *canvas = panel->canvas;
    for (size_t k = 0; k < chart->trace_count; k++) {
        const swl_trace *trace = &chart->traces[k];
        if (!trace->inside) {
            continue;
        }
        swl_panel_path(panel, trace->vdot_m3_s, trace->p_ratio, SWL_TRACE_POINTS);
        swl_canvas_colour(canvas, swl_warn, 1);
        swl_canvas_stroke(canvas, trace->short_time ? 2.6 : 1.8, trace->short_time ? NULL : dash_limit);
        /* The line runs up the page with more speed on its right. */
        swl_mark_forbidden(panel, trace->vdot_m3_s, trace->p_ratio, SWL_TRACE_POINTS, false);
        swl_canvas_stroke(canvas, 0.8, NULL);
    }
}

/* Half the room that a label along the line takes, in pixels. */
static double label_reach(const swl_canvas *canvas, const swl_label *label)
{
    double width = 0;
    double height = 0;
    swl_canvas_measure(canvas, label->text, label->size, label->bold, &width, &height);
    return width / 2 + height;
}

/* Where a leaning line is furthest left beside an upright label, so that the label stands clear of it. */
static double left_most(const swl_panel *panel, const swl_trace *trace, size_t at, double reach)
{
    swl_spot middle = swl_panel_spot(panel, trace->vdot_m3_s[at], trace->p_ratio[at]);
    double left = middle.x;
    for (size_t i = 0; i < SWL_TRACE_POINTS; i++) {
        swl_spot spot = swl_panel_spot(panel, trace->vdot_m3_s[i], trace->p_ratio[i]);
        if (fabs(spot.y - middle.y) <= reach) {
            left = fmin(left, spot.x);
        }
    }
    return left;
}

static void label_traces(const swl_panel *panel, const swl_chart *chart, double size)
{
    for (size_t k = 0; k < chart->trace_count; k++) {
        const swl_trace *trace = &chart->traces[k];
        swl_label label = {.size = size, .colour = swl_warn, .halo = true, .angle_deg = 90, .down = 1};
        bool placed = !trace->inside;
        if (trace->inside) {
            swl_panel_take(panel, trace->vdot_m3_s, trace->p_ratio, SWL_TRACE_POINTS);
        }
        /* The short form goes where the long one finds no room. */
        for (int pass = 0; pass < 28 && !placed; pass++) {
            size_t at = (size_t)(SWL_TRACE_POINTS * (0.78 - 0.05 * (pass % 14)));
            (void)swl_locale_print(label.text, sizeof label.text, pass < 14 ? "%s %.0f rpm" : "%.5s. %.0f",
                                   trace->words, trace->blower_rpm);
            label.x = left_most(panel, trace, at, label_reach(panel->canvas, &label)) - 0.75 * size;
            label.y = swl_panel_spot(panel, trace->vdot_m3_s[at], trace->p_ratio[at]).y;
            placed = swl_canvas_label_try(panel->canvas, &label, panel->box);
        }
    }
}

/* Under the line, then further under it where it slants, then over its strokes; the short form where the long one finds
 * no room. Returns: whether there was room. */
static bool label_discharge(const swl_panel *panel, const swl_chart *chart, const double *x, const double *y,
                            size_t count, double size)
{
    enum { PLACES = 24, WAYS = 5 };
    static const double below[WAYS] = {0.9, 1.5, 2.3, -1.3, -2};
    swl_label label = {.size = size, .colour = swl_warn, .halo = true};
    swl_shown shown = swl_shown_as(SWL_SHOW_TEMPERATURE, chart->units);
    double limit = swl_shown_value(chart->t_discharge_limit_k, SWL_SHOW_TEMPERATURE, chart->units);
    int decimals = swl_shown_decimals(limit, SWL_SHOW_TEMPERATURE, chart->units);
    for (int way = 0; way < 2 * WAYS; way++) {
        double offset = below[way % WAYS];
        label.down = offset > 0 ? -1 : 1;
        (void)swl_locale_print(label.text, sizeof label.text, way < WAYS ? "discharge limit %.*f %s" : "disch. %.*f %s",
                               decimals, limit, shown.unit);
        for (size_t place = 1; place < PLACES; place++) {
            swl_spot spot = swl_panel_spot(panel, x[(count - 1) * place / PLACES], y[(count - 1) * place / PLACES]);
            label.x = spot.x;
            label.y = spot.y + offset * size;
            if (swl_region_holds(panel, chart->field, &label) &&
                swl_canvas_label_try(panel->canvas, &label, panel->box)) {
                return true;
            }
        }
    }
    return false;
}

/* One stretch of the discharge limit; the hot side is on its left. */
static void draw_discharge_run(const swl_panel *panel, const double *x, const double *y, size_t count)
{
    swl_panel_path(panel, x, y, count);
    swl_canvas_colour(panel->canvas, swl_warn, 1);
    swl_canvas_stroke(panel->canvas, 1.8, dash_outside);
    swl_mark_forbidden(panel, x, y, count, true);
    swl_canvas_stroke(panel->canvas, 0.8, NULL);
    swl_panel_take(panel, x, y, count);
}

/* Loop by loop, the stretches that run along the level; a loop's last step leads back to its first point. */
static void draw_discharge(const swl_panel *panel, const swl_chart *chart, const swl_loops *hot, double size)
{
    enum { RUN_MAX = 2000 };
    double x[RUN_MAX];
    double y[RUN_MAX];
    swl_panel_clip(panel);
    swl_region_path(panel, chart->field);
    cairo_clip(panel->canvas->cr);
    for (size_t k = 0; k < hot->count; k++) {
        size_t first = hot->start[k];
        size_t points = hot->start[k + 1] - first;
        size_t count = 0;
        for (size_t n = 0; n <= points; n++) {
            size_t at = first + n % points;
            x[count] = hot->x[at];
            y[count++] = hot->y[at];
            bool ends = n == points || hot->edge[at] || count == RUN_MAX;
            if (ends && count > 1) {
                draw_discharge_run(panel, x, y, count);
                (void)label_discharge(panel, chart, x, y, count, size);
            }
            if (ends) {
                x[0] = hot->x[at];
                y[0] = hot->y[at];
                count = count == RUN_MAX ? 1 : 0;
            }
        }
    }
    swl_panel_unclip(panel);
}

static void hero_path(const swl_panel *panel, const swl_check *check, bool wanted)
{
    cairo_t *cr = panel->canvas->cr;
    for (size_t from = 0; from + 1 < check->line_count;) {
        bool inside = false;
        size_t to = swl_run_end(check, from, &inside);
        for (size_t i = from; i <= to && inside == wanted; i++) {
            swl_spot spot = swl_panel_spot(panel, check->line[i].map_vdot_m3_s, check->line[i].p_ratio);
            if (i == from) {
                cairo_move_to(cr, spot.x, spot.y);
            } else {
                cairo_line_to(cr, spot.x, spot.y);
            }
        }
        from = to;
    }
}

static void draw_hero(const swl_panel *panel, const swl_check *check, double thick)
{
    swl_canvas *canvas = panel->canvas;
    for (int inside = 0; inside < 2; inside++) {
        hero_path(panel, check, inside == 1);
        swl_canvas_colour(canvas, (swl_rgb){1, 1, 1}, 0.95);
        swl_canvas_stroke(canvas, thick * CASE_WIDTH, NULL);
    }
    hero_path(panel, check, true);
    swl_canvas_colour(canvas, swl_ink, 1);
    swl_canvas_stroke(canvas, thick * HERO_WIDTH, NULL);
    hero_path(panel, check, false);
    swl_canvas_colour(canvas, swl_ink, 1);
    swl_canvas_stroke(canvas, thick * HERO_WIDTH, dash_outside);
}

static void take_line(const swl_panel *panel, const swl_check *check)
{
    for (size_t i = 0; i + 1 < check->line_count; i++) {
        const double vdot[2] = {check->line[i].map_vdot_m3_s, check->line[i + 1].map_vdot_m3_s};
        const double ratio[2] = {check->line[i].p_ratio, check->line[i + 1].p_ratio};
        swl_panel_take(panel, vdot, ratio, 2);
    }
}

static swl_spot mark_spot(const swl_panel *panel, const swl_point *mark)
{
    return swl_panel_spot(panel, mark->map_vdot_m3_s, mark->p_ratio);
}

/* The place in a box that is nearest to a spot. */
static swl_spot nearest_in(swl_rect box, swl_spot spot)
{
    return (swl_spot){fmin(fmax(spot.x, box.x0), box.x1), fmin(fmax(spot.y, box.y0), box.y1)};
}

static double gap_px(swl_rect box, swl_spot spot)
{
    swl_spot nearest = nearest_in(box, spot);
    return hypot(nearest.x - spot.x, nearest.y - spot.y);
}

/* Whether a label stands so much nearer to its own mark than to any other that it is read as that one's without a line.
 */
static bool reads_as_own(const swl_panel *panel, const swl_chart *chart, size_t own, const swl_label *label)
{
    swl_rect box = swl_canvas_label_box(panel->canvas, label);
    double own_px = gap_px(box, mark_spot(panel, &chart->marks[own]));
    for (size_t i = 0; i < chart->mark_count; i++) {
        swl_spot other = mark_spot(panel, &chart->marks[i]);
        if (i != own && own_px > 0.8 * gap_px(box, other)) {
            return false;
        }
    }
    return true;
}

/* Whether a line comes into a box. */
static bool enters(swl_spot from, swl_spot to, swl_rect box)
{
    enum { STEPS = 40 };
    for (int n = 0; n <= STEPS; n++) {
        double x = from.x + (to.x - from.x) * n / STEPS;
        double y = from.y + (to.y - from.y) * n / STEPS;
        if (x > box.x0 && x < box.x1 && y > box.y0 && y < box.y1) {
            return true;
        }
    }
    return false;
}

/* Whether the line from a mark to its label runs clear of the other marks and of the labels that stand already. */
static bool leader_is_clear(const swl_panel *panel, const swl_chart *chart, size_t own, double radius_px,
                            const swl_label *label)
{
    const swl_canvas *canvas = panel->canvas;
    double clear_px = 1.6 * radius_px;
    swl_spot from = mark_spot(panel, &chart->marks[own]);
    swl_spot to = nearest_in(swl_canvas_label_box(canvas, label), from);
    for (size_t i = 0; i < chart->mark_count; i++) {
        swl_spot other = mark_spot(panel, &chart->marks[i]);
        swl_rect box = {other.x - clear_px, other.y - clear_px, other.x + clear_px, other.y + clear_px};
        if (i != own && enters(from, to, box)) {
            return false;
        }
    }
    for (size_t i = 0; i < canvas->label_count; i++) {
        if (enters(from, to, swl_canvas_label_box(canvas, &canvas->labels[i]))) {
            return false;
        }
    }
    return true;
}

/* A label moved by as little as brings it into the panel. */
static void label_inside(const swl_panel *panel, swl_label *label)
{
    swl_rect box = swl_canvas_label_box(panel->canvas, label);
    label->x += fmax(0, panel->box.x0 - box.x0) - fmax(0, box.x1 - panel->box.x1);
    label->y += fmax(0, panel->box.y0 - box.y0) - fmax(0, box.y1 - panel->box.y1);
}

/* From a mark to its label, where that does not stand right beside it. */
static void draw_leader(const swl_panel *panel, swl_spot mark, double radius_px, const swl_label *label)
{
    swl_canvas *canvas = panel->canvas;
    swl_spot end = nearest_in(swl_canvas_label_box(canvas, label), mark);
    double run = hypot(end.x - mark.x, end.y - mark.y);
    if (run <= radius_px) {
        return;
    }
    double share = radius_px / run;
    for (int pass = 0; pass < 2; pass++) {
        cairo_move_to(canvas->cr, mark.x + share * (end.x - mark.x), mark.y + share * (end.y - mark.y));
        cairo_line_to(canvas->cr, end.x, end.y);
        swl_canvas_colour(canvas, pass == 0 ? (swl_rgb){1, 1, 1} : swl_ink, 1);
        swl_canvas_stroke(canvas, pass == 0 ? 3 : 1, NULL);
    }
}

/* Beside the mark, or else further off with a line that leads to it. */
static void label_mark(const swl_panel *panel, const swl_chart *chart, size_t own, double radius_px, double size)
{
    enum { WAYS = 8, REACHES = 6 };
    static const double away[WAYS][2] = {{0, 1}, {0, -1}, {1, 0}, {-1, 0}, {1, 1}, {-1, -1}, {1, -1}, {-1, 1}};
    const swl_point *mark = &chart->marks[own];
    bool end = own == 0 || own + 1 == chart->mark_count;
    swl_label label = {.size = size, .bold = true, .halo = true, .colour = swl_ink};
    (void)swl_locale_print(label.text, sizeof label.text, "%.0f%s", mark->engine_rpm, end ? " rpm" : "");
    swl_spot spot = mark_spot(panel, mark);
    bool placed = !swl_panel_shows(panel, spot);
    for (int n = 0; n < WAYS * REACHES && !placed; n++) {
        int way = n % WAYS;
        int turn = n / WAYS;
        double reach_px = 1.9 * radius_px * (1 + 0.8 * turn);
        label.x = spot.x + away[way][0] * reach_px;
        label.y = spot.y + away[way][1] * reach_px;
        label.across = (int)-away[way][0];
        label.down = (int)-away[way][1];
        bool own_seen =
            turn == 0 ? reads_as_own(panel, chart, own, &label) : leader_is_clear(panel, chart, own, radius_px, &label);
        placed = own_seen && swl_canvas_label_try(panel->canvas, &label, panel->box);
        if (placed && turn > 0) {
            draw_leader(panel, spot, radius_px, &label);
        }
    }
    /* The ends must be read, whatever they stand on. */
    if (!placed && end) {
        label.x = spot.x + (own == 0 ? -1.9 : 1.9) * radius_px;
        label.y = spot.y;
        label.across = own == 0 ? 1 : -1;
        label.down = 0;
        label_inside(panel, &label);
        swl_canvas_label(panel->canvas, &label);
    }
}

static void draw_marks(const swl_panel *panel, const swl_chart *chart, double size)
{
    swl_canvas *canvas = panel->canvas;
    double radius = (chart->lean != 0 ? 4.0 : 5.2) * canvas->stroke;
    take_line(panel, chart->check);
    for (size_t i = 0; i < chart->mark_count; i++) {
        swl_spot spot = mark_spot(panel, &chart->marks[i]);
        cairo_new_sub_path(canvas->cr);
        cairo_arc(canvas->cr, spot.x, spot.y, radius, 0, 6.2831853);
        swl_canvas_colour(canvas, (swl_rgb){1, 1, 1}, 1);
        cairo_fill_preserve(canvas->cr);
        swl_canvas_colour(canvas, swl_ink, 1);
        swl_canvas_stroke(canvas, 2.2, NULL);
        swl_canvas_take(canvas, (swl_rect){spot.x - radius, spot.y - radius, spot.x + radius, spot.y + radius});
    }
    for (size_t n = 0; n < chart->mark_count; n++) {
        size_t i = n == 0 ? chart->mark_count - 1 : n - 1;
        label_mark(panel, chart, i, radius, size);
    }
}

static void tell_places(const swl_panel *panel, const swl_chart *chart)
{
    for (size_t i = 0; chart->places != NULL && i < chart->check->line_count; i++) {
        const swl_point *point = &chart->check->line[i];
        swl_spot spot = swl_panel_spot(panel, point->map_vdot_m3_s, point->p_ratio);
        chart->places[i].x = swl_panel_shows(panel, spot) ? spot.x : (double)NAN;
        chart->places[i].y = swl_panel_shows(panel, spot) ? spot.y : (double)NAN;
    }
}

/* The operating line with what is measured and marked on it. */
static void draw_line(const swl_panel *panel, const swl_chart *chart)
{
    double f = panel->canvas->font;
    if (chart->check == NULL) {
        return;
    }
    tell_places(panel, chart);
    swl_band_map_draw(panel, chart);
    draw_hero(panel, chart->check, chart->lean != 0 ? 0.75 : 1);
    swl_measured_map(panel, chart);
    swl_band_map_take(panel, chart);
    draw_marks(panel, chart, (chart->lean != 0 ? 0.8 : 0.95) * f);
}

/* The user's own picture says what the map is, so that only the line and the limits go on it. Without a line the table,
 * where there is one, is laid over it, to show whether both say the same. */
static swl_status draw_on_scan(const swl_panel *panel, const swl_chart *chart, const swl_islands *islands, swl_err *err)
{
    double small = 0.86 * panel->canvas->font;
    bool table = chart->field != NULL && chart->check == NULL;
    swl_status status = swl_scan_draw(panel, chart, err);
    if (status != SWL_OK) {
        return status;
    }
    if (chart->check == NULL) {
        swl_scan_grid(panel, chart);
    }
    if (table) {
        swl_islands_draw(panel, chart->field, islands);
    }
    swl_panel_clip(panel);
    if (table) {
        draw_speed_lines(panel, chart->field);
    }
    draw_traces(panel, chart);
    for (size_t k = 0; k < chart->trace_count; k++) {
        if (chart->traces[k].inside) {
            swl_panel_take(panel, chart->traces[k].vdot_m3_s, chart->traces[k].p_ratio, SWL_TRACE_POINTS);
        }
    }
    draw_line(panel, chart);
    swl_panel_unclip(panel);
    if (table) {
        label_speed_lines(panel, chart->field, small);
    }
    label_traces(panel, chart, small);
    if (chart->field != NULL) {
        draw_discharge(panel, chart, &islands->hot, small);
    }
    if (table) {
        swl_islands_label(panel, chart->field, islands, small);
    }
    swl_scan_axes(panel, chart, small);
    return SWL_OK;
}

swl_status swl_draw_map(swl_canvas *canvas, const swl_chart *chart, const swl_islands *islands, swl_rect box,
                        swl_err *err)
{
    double f = canvas->font;
    swl_rect inner = {box.x0 + 4.2 * f, box.y0 + (chart->units == SWL_UNITS_US ? 2.8 : 0.5) * f, box.x1 - 4.2 * f,
                      box.y1 - 3.4 * f};
    double least = 8 * f;
    if (chart->lean != 0) {
        double below = (chart->lean & SWL_LEAN_NO_FLOW_TITLE) != 0 ? 1.5 * f : 2.8 * f;
        double left = (chart->lean & SWL_LEAN_NO_RATIO_TITLE) != 0 ? 2.8 * f : 4.0 * f;
        inner = (swl_rect){box.x0 + left, box.y0, box.x1 - 0.6 * f, box.y1 - below};
        least = 5 * f;
    }
    if (chart->scan != NULL) {
        /* The picture brings its own axes. */
        inner = (swl_rect){box.x0, box.y0 + 0.5 * f, box.x1 - (chart->check == NULL ? 0 : 3.2 * f), box.y1 - 1.8 * f};
    }
    if (inner.x1 - inner.x0 < 10 * f || inner.y1 - inner.y0 < least) {
        return swl_no_room(canvas, err);
    }
    swl_panel panel = chart->scan == NULL ? map_axes(canvas, chart, inner) : swl_scan_panel(canvas, chart->scan, inner);
    if (chart->scan != NULL) {
        return draw_on_scan(&panel, chart, islands, err);
    }
    double small = 0.86 * f;
    swl_islands_draw(&panel, chart->field, islands);
    swl_panel_clip(&panel);
    draw_speed_lines(&panel, chart->field);
    draw_traces(&panel, chart);
    draw_line(&panel, chart);
    swl_panel_unclip(&panel);
    label_speed_lines(&panel, chart->field, small);
    label_traces(&panel, chart, small);
    draw_discharge(&panel, chart, &islands->hot, small);
    swl_islands_label(&panel, chart->field, islands, small);
    swl_map_axes_draw(&panel, chart);
    return SWL_OK;
}
