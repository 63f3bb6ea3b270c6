#include "draw/chart.h"

#include "base/locale_c.h"
#include "draw/compare_parts.h"
#include "match/column.h"

#include <math.h>
#include <stdio.h>

/* A panel: one quantity, a line for each build. */
typedef struct strip_spec {
    const char *title;
    swl_show show;
    swl_number_at value;
} strip_spec;

/* The ones asked for most come first: those that find no room are left out from the end. */
enum { BOOST, DISCHARGE, DRIVE, CRANK, SPEED, CHARGE, AIR, STRIPS };
static const strip_spec strips[STRIPS] = {
    [BOOST] = {"Boost", SWL_SHOW_BOOST, SWL_OF_POINT(boost_pa)},
    [DISCHARGE] = {"Discharge", SWL_SHOW_TEMPERATURE, SWL_OF_POINT(t2_k)},
    [DRIVE] = {"Drive power", SWL_SHOW_POWER, SWL_OF_POINT(p_shaft_w)},
    [CRANK] = {"Crank power", SWL_SHOW_POWER, SWL_OF_POWER(crank_w)},
    [SPEED] = {"Speed, % of limit", SWL_SHOW_FRACTION, SWL_OF_POINT(engine_rpm)},
    [CHARGE] = {"Charge", SWL_SHOW_TEMPERATURE, SWL_OF_POINT(t3_k)},
    [AIR] = {"Air flow", SWL_SHOW_MASS_FLOW, SWL_OF_POINT(mdot_kg_s)},
};

static double value_of(const swl_compare_build *one, const strip_spec *spec, size_t row)
{
    double value = swl_row_number(&one->check, row, spec->value);
    /* Of the continuous limit; without slip, as the limit is held. */
    return spec == &strips[SPEED] ? value * one->check.drive_ratio / one->build.blower.continuous_rpm : value;
}

/* NAN where there is none. */
static double limit_of(const swl_compare_build *one, const strip_spec *spec)
{
    const swl_limit_values *given = &one->build.limits;
    const double limits[STRIPS] = {
        [BOOST] = given->boost_pa,
        [DISCHARGE] = given->t_discharge_k,
        [DRIVE] = given->p_drive_w,
        [CRANK] = NAN,
        [SPEED] = isnan(one->build.blower.continuous_rpm) ? (double)NAN : 1,
        [CHARGE] = given->t_charge_k,
        [AIR] = given->mdot_sensor_kg_s,
    };
    return limits[spec - strips];
}

/* What a panel is drawn from. */
typedef struct strip {
    swl_panel panel;
    const swl_compare_chart *chart;
    const strip_spec *spec;
    double size;
} strip;

static double shown_at(const strip *s, size_t build, size_t row)
{
    return swl_shown_value(value_of(&s->chart->compare->builds[build], s->spec, row), s->spec->show, s->chart->units);
}

/* The limit in the units shown; NAN unless every solved build has the same. */
static double shared_limit(const strip *s)
{
    const swl_compare *compare = s->chart->compare;
    double limit = NAN;
    for (size_t i = 0; i < compare->count; i++) {
        if (!compare->builds[i].solved) {
            continue;
        }
        double own = limit_of(&compare->builds[i], s->spec);
        if (isnan(own) || (!isnan(limit) && fabs(own - limit) > 1e-9 * fabs(limit))) {
            return NAN;
        }
        limit = own;
    }
    return swl_shown_value(limit, s->spec->show, s->chart->units);
}

/* Returns: whether any build has the quantity. */
static bool span(strip *s)
{
    double low = INFINITY;
    double high = -INFINITY;
    const swl_compare *compare = s->chart->compare;
    for (size_t i = 0; i < compare->count; i++) {
        for (size_t row = 0; compare->builds[i].solved && row < compare->builds[i].check.line_count; row++) {
            low = fmin(low, shown_at(s, i, row));
            high = fmax(high, shown_at(s, i, row));
        }
    }
    if (!(low <= high)) {
        return false;
    }
    double limit = shared_limit(s);
    if (limit < high + fmax(0.6 * (high - low), 0.25 * fabs(high))) {
        high = fmax(high, limit);
        low = fmin(low, limit);
    }
    bool from_zero = s->spec->show != SWL_SHOW_TEMPERATURE && low > 0;
    low = from_zero ? 0 : low;
    double room = high - low > 0 ? high - low : 1;
    s->panel.ya = low - (from_zero ? 0 : 0.1 * room);
    s->panel.yb = high + 0.15 * room;
    return true;
}

/* One build's line, pale where its point lies outside its map. */
static void draw_line(const strip *s, size_t build)
{
    const swl_check *check = &s->chart->compare->builds[build].check;
    const swl_build_line *line = swl_build_line_of(build);
    double x[SWL_LINE_ROWS_MAX];
    double y[SWL_LINE_ROWS_MAX];
    for (size_t i = 0; i < check->line_count; i++) {
        x[i] = check->line[i].engine_rpm;
        y[i] = shown_at(s, build, i);
    }
    if (check->line_count == 1) {
        cairo_arc(s->panel.canvas->cr, swl_panel_x(&s->panel, x[0]), swl_panel_y(&s->panel, y[0]),
                  3 * s->panel.canvas->stroke, 0, 6.2831853);
        swl_canvas_colour(s->panel.canvas, line->colour, 1);
        cairo_fill(s->panel.canvas->cr);
    }
    for (size_t from = 0; from + 1 < check->line_count;) {
        bool inside = false;
        size_t to = swl_run_end(check, from, &inside);
        swl_panel_path(&s->panel, x + from, y + from, to - from + 1);
        swl_canvas_colour(s->panel.canvas, line->colour, inside ? 1 : 0.35);
        swl_canvas_stroke(s->panel.canvas, line->width, line->dash);
        from = to;
    }
}

/* The builds' letters right of the panel, at the ends of their lines, moved apart where they would touch. */
static void put_letters(const strip *s)
{
    const swl_compare *compare = s->chart->compare;
    double y[SWL_COMPARE_MOST] = {0};
    size_t order[SWL_COMPARE_MOST] = {0};
    size_t count = 0;
    for (size_t i = 0; i < compare->count; i++) {
        const swl_compare_build *one = &compare->builds[i];
        double value = one->solved ? shown_at(s, i, one->check.line_count - 1) : (double)NAN;
        if (isnan(value)) {
            continue;
        }
        y[i] = swl_panel_y(&s->panel, value);
        size_t at = count++;
        for (; at > 0 && y[i] < y[order[at - 1]]; at--) {
            order[at] = order[at - 1];
        }
        order[at] = i;
    }
    /* Down the page, then back up from the lower edge. */
    double least = 0.92 * s->size;
    for (size_t n = 1; n < count; n++) {
        y[order[n]] = fmax(y[order[n]], y[order[n - 1]] + least);
    }
    double lowest = s->panel.box.y1 - 0.2 * s->size;
    for (size_t n = count; n-- > 0;) {
        y[order[n]] = fmin(y[order[n]], lowest);
        lowest = y[order[n]] - least;
    }
    for (size_t n = 0; n < count; n++) {
        swl_label label = {.x = s->panel.box.x1 + 0.35 * s->size,
                           .y = y[order[n]],
                           .across = -1,
                           .size = s->size,
                           .bold = true,
                           .colour = swl_build_line_of(order[n])->colour};
        (void)snprintf(label.text, sizeof label.text, "%c", (int)('A' + (int)order[n]));
        swl_canvas_label(s->panel.canvas, &label);
    }
}

static void put_limit(const strip *s)
{
    static const double dash_limit[] = {14, 3, 3, 3, 0};
    double limit = shared_limit(s);
    swl_canvas *canvas = s->panel.canvas;
    if (isnan(limit)) {
        return;
    }
    swl_label label = {.size = 0.92 * s->size, .colour = swl_warn, .halo = true, .across = -1};
    bool above = limit >= s->panel.yb;
    (void)swl_locale_print(label.text, sizeof label.text, "limit %.*f%s",
                           swl_shown_decimals(limit, s->spec->show, s->chart->units), limit, above ? " is above" : "");
    label.x = s->panel.box.x0 + 0.5 * s->size;
    label.y = above ? s->panel.box.y0 + 0.45 * s->size : swl_panel_y(&s->panel, limit) - 0.35 * s->size;
    label.down = above ? -1 : 1;
    if (!above) {
        double x[2] = {s->panel.xa, s->panel.xb};
        double y[2] = {limit, limit};
        swl_panel_path(&s->panel, x, y, 2);
        swl_canvas_colour(canvas, swl_warn, 1);
        swl_canvas_stroke(canvas, 1.4, dash_limit);
        if (label.y - s->size < s->panel.box.y0) {
            label.y = swl_panel_y(&s->panel, limit) + 0.35 * s->size;
            label.down = -1;
        }
    }
    swl_canvas_label(canvas, &label);
}

static void draw_strip(const strip *s)
{
    const swl_panel *panel = &s->panel;
    swl_canvas *canvas = panel->canvas;
    double high = (panel->box.y1 - panel->box.y0) / (2 * s->size);
    double wide = (panel->box.x1 - panel->box.x0) / (3.6 * s->size);
    swl_ticks y = swl_ticks_for(panel->yb - panel->ya, high > 5 ? 5 : high < 2 ? 2 : (int)high);
    swl_ticks x = swl_ticks_for(panel->xb - panel->xa, wide > 6 ? 6 : wide < 1 ? 1 : (int)wide);
    y.minor = 1;
    swl_panel_clip(panel);
    swl_panel_grid_y(panel, y);
    /* The first build last, so that it lies on top. */
    for (size_t i = s->chart->compare->count; i-- > 0;) {
        if (s->chart->compare->builds[i].solved) {
            draw_line(s, i);
        }
    }
    put_limit(s);
    swl_panel_unclip(panel);
    swl_label title = {.x = panel->box.x0,
                       .y = panel->box.y0 - 0.35 * s->size,
                       .across = -1,
                       .down = 1,
                       .size = s->size,
                       .bold = true,
                       .colour = swl_ink};
    bool share = s->spec->show == SWL_SHOW_FRACTION;
    (void)snprintf(title.text, sizeof title.text, "%s%s%s", s->spec->title, share ? "" : ", ",
                   share ? "" : swl_shown_as(s->spec->show, s->chart->units).unit);
    swl_canvas_label(canvas, &title);
    swl_panel_frame(panel, x, y);
    swl_panel_numbers_y(panel, y, false, 1, 0, 0.92 * s->size);
    swl_panel_numbers_x(panel, x, false, 1, 0, 0.92 * s->size);
    put_letters(s);
}

/* The rev ranges of all builds together. */
static void speed_span(const swl_compare *compare, swl_panel *panel)
{
    panel->xa = INFINITY;
    panel->xb = -INFINITY;
    for (size_t i = 0; i < compare->count; i++) {
        panel->xa = fmin(panel->xa, compare->builds[i].build.engine.speed_from_rpm);
        panel->xb = fmax(panel->xb, compare->builds[i].build.engine.speed_limit_rpm);
    }
    if (!(panel->xb > panel->xa)) {
        panel->xa -= 100;
        panel->xb += 100;
    }
}

swl_status swl_compare_curves(swl_canvas *canvas, const swl_compare_chart *chart, swl_rect box, swl_err *err)
{
    double f = canvas->font;
    double size = 0.86 * f;
    strip ready[STRIPS];
    size_t count = 0;
    for (size_t k = 0; k < STRIPS; k++) {
        strip s = {.panel = {.canvas = canvas}, .chart = chart, .spec = &strips[k], .size = size};
        if (span(&s)) {
            speed_span(chart->compare, &s.panel);
            ready[count++] = s;
        }
    }
    /* Numbers on the left, a letter on the right. */
    double left = 3.1 * f;
    double right = 1.5 * f;
    size_t across = (size_t)((box.x1 - box.x0) / (7.5 * f + left + right));
    size_t down = (size_t)((box.y1 - box.y0) / (11 * f));
    down = down < 1 ? 1 : down;
    if (across == 0 || count == 0 || box.y1 - box.y0 < 7 * f) {
        return swl_no_room(canvas, err);
    }
    /* One row when all fit in it, more where the page is high. */
    size_t rows = (count + across - 1) / across < down ? (count + across - 1) / across : down;
    count = count < across * rows ? count : across * rows;
    size_t columns = (count + rows - 1) / rows;
    double wide = (box.x1 - box.x0) / (double)columns;
    double high = (box.y1 - 1.1 * f - box.y0) / (double)rows;
    for (size_t k = 0; k < count; k++) {
        size_t row = k / columns;
        double x = box.x0 + wide * (double)(k % columns);
        double y = box.y0 + high * (double)row;
        ready[k].panel.box = (swl_rect){x + left, y + 1.3 * f, x + wide - right, y + high - 1.5 * f};
        draw_strip(&ready[k]);
    }
    swl_label label = {.x = (box.x0 + box.x1) / 2,
                       .y = box.y1 - 1.1 * f,
                       .down = -1,
                       .size = size,
                       .colour = swl_ink,
                       .text = "Engine speed, rpm"};
    swl_canvas_label(canvas, &label);
    return SWL_OK;
}
