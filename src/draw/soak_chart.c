#include "draw/chart.h"

#include "base/locale_c.h"
#include "draw/page.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

typedef struct page {
    swl_canvas *canvas;
    const swl_soak_chart *chart;
    double *x; /* room for a row each */
    double *y;
} page;

static const double dash_limit[] = {14, 3, 3, 3, 0};
static const double dash_outside[] = {4, 4, 0};
static const double dash_heat_out[] = {8, 4, 0};

static double coolant(const swl_soak_row *row)
{
    return row->t_coolant_k;
}

static double charge(const swl_soak_row *row)
{
    return row->t_charge_k;
}

static double heat_in(const swl_soak_row *row)
{
    return row->heat_in_w;
}

static double heat_out(const swl_soak_row *row)
{
    return row->heat_out_w;
}

typedef double row_value(const swl_soak_row *row);

static double shown(const page *p, const swl_soak_row *row, row_value *value, swl_show show)
{
    return swl_shown_value(value(row), show, p->chart->units);
}

/* A long recovery is cut where it would crowd the pulls; the caption and the label at the edge tell of the rest. */
static double end_s(const swl_soak *soak)
{
    double all_s = soak->rows[soak->row_count - 1].time_s;
    return fmin(all_s, 2 * soak->pulls[soak->pull_count - 1].end_s);
}

/* Minutes where the whole takes long, else seconds. */
static double time_scale(const swl_soak *soak)
{
    return end_s(soak) > 400 ? 1.0 / 60 : 1;
}

static void shade_pulls(const page *p, const swl_panel *panel)
{
    const swl_soak *soak = p->chart->soak;
    double scale = time_scale(soak);
    for (size_t i = 0; i < soak->pull_count; i++) {
        double from = swl_panel_x(panel, soak->pulls[i].start_s * scale);
        double to = swl_panel_x(panel, soak->pulls[i].end_s * scale);
        cairo_rectangle(p->canvas->cr, from, panel->box.y0, to - from, panel->box.y1 - panel->box.y0);
    }
    swl_canvas_colour(p->canvas, swl_grey, 0.16);
    cairo_fill(p->canvas->cr);
}

/* Rows from one on for which a curve goes on in one stroke: all with a value, in one pull or rest, on the map or not.
 * Returns: how many are in p->x and p->y. */
static size_t stretch(const page *p, size_t from, row_value *value, swl_show show)
{
    const swl_soak *soak = p->chart->soak;
    size_t count = 0;
    for (size_t i = from; i < soak->row_count; i++) {
        const swl_soak_row *row = &soak->rows[i];
        bool ends = isnan(value(row)) || (i > from && row->pull != soak->rows[i - 1].pull);
        if (ends || (i > from && soak->rows[i - 1].on_map != soak->rows[from].on_map)) {
            break;
        }
        p->x[count] = row->time_s * time_scale(soak);
        p->y[count++] = shown(p, row, value, show);
    }
    return count;
}

static void curve(const page *p, const swl_panel *panel, row_value *value, swl_show show, double width,
                  const double *dash)
{
    const swl_soak *soak = p->chart->soak;
    for (size_t from = 0; from < soak->row_count;) {
        size_t count = stretch(p, from, value, show);
        const double *dashes = soak->rows[from].on_map ? dash : dash_outside;
        if (count > 1) {
            swl_panel_take(panel, p->x, p->y, count);
            swl_panel_path(panel, p->x, p->y, count);
            swl_canvas_colour(panel->canvas, swl_ink, 1);
            swl_canvas_stroke(panel->canvas, width, dashes);
        }
        /* The last row of a stretch that leaves the map starts the next one. */
        bool joins = count > 1 && from + count < soak->row_count &&
                     soak->rows[from + count].pull == soak->rows[from].pull && !isnan(value(&soak->rows[from + count]));
        from += count > 1 ? count - joins : 1;
    }
}

static void limit_line(const page *p, const swl_panel *panel)
{
    double limit = swl_shown_value(p->chart->soak->limit_k, SWL_SHOW_TEMPERATURE, p->chart->units);
    double size = 0.86 * p->canvas->font;
    swl_label label = {.size = size, .colour = swl_warn, .halo = true, .across = 1, .down = 1};
    if (isnan(limit)) {
        return;
    }
    (void)swl_locale_print(label.text, sizeof label.text, "charge limit %.*f%s",
                           swl_shown_decimals(limit, SWL_SHOW_TEMPERATURE, p->chart->units), limit,
                           limit > panel->yb ? " is above this scale" : "");
    label.x = panel->box.x1 - 0.6 * size;
    label.y = panel->box.y0 + 2.0 * size;
    if (limit <= panel->yb) {
        double x[2] = {panel->xa, panel->xb};
        double y[2] = {limit, limit};
        swl_panel_path(panel, x, y, 2);
        swl_canvas_colour(p->canvas, swl_warn, 1);
        swl_canvas_stroke(p->canvas, 1.5, dash_limit);
        label.y = swl_panel_y(panel, limit) - 0.5 * size;
        swl_panel_take(panel, x, y, 2);
    }
    swl_canvas_label(p->canvas, &label);
}

/* A curve's name to the right of it in the last pull that has room, or above or below it at rest. */
static void name_curve(const page *p, const swl_panel *panel, row_value *value, swl_show show, bool in_pull,
                       const char *text)
{
    const swl_soak *soak = p->chart->soak;
    double size = 0.86 * p->canvas->font;
    swl_label label = {.size = size, .colour = swl_ink, .halo = true, .across = in_pull ? -1 : 0};
    (void)snprintf(label.text, sizeof label.text, "%s", text);
    for (int pass = 0; pass < 2; pass++) {
        for (size_t k = 0; k < soak->row_count; k++) {
            const swl_soak_row *row = &soak->rows[soak->row_count - 1 - k];
            if (isnan(value(row)) || (row->pull > 0) != in_pull || row->time_s > end_s(soak)) {
                continue;
            }
            label.down = in_pull ? 0 : pass == 0 ? 1 : -1;
            label.x = swl_panel_x(panel, row->time_s * time_scale(soak)) + (in_pull ? 0.8 * size : 0);
            label.y = swl_panel_y(panel, shown(p, row, value, show)) - 0.7 * label.down * size;
            if (swl_canvas_label_try(p->canvas, &label, panel->box)) {
                return;
            }
        }
    }
}

/* Where the coolant is back, or that the rest of its recovery is cut off. */
static void mark_recovery(const page *p, const swl_panel *panel)
{
    const swl_soak *soak = p->chart->soak;
    double size = 0.86 * p->canvas->font;
    double at_s = soak->pulls[soak->pull_count - 1].end_s + soak->recovery_s;
    double t = swl_shown_value(soak->t_recovered_k, SWL_SHOW_TEMPERATURE, p->chart->units);
    swl_label label = {.size = size, .colour = swl_ink, .halo = true, .across = 1, .down = -1};
    if (!(at_s <= end_s(soak))) {
        if (isnan(soak->recovery_s)) {
            (void)snprintf(label.text, sizeof label.text, "not recovered");
        } else {
            (void)swl_locale_print(label.text, sizeof label.text, "recovered beyond this edge, at %.1f %s",
                                   at_s * time_scale(soak), time_scale(soak) < 1 ? "min" : "s");
        }
        label.x = panel->box.x1 - 0.6 * size;
        label.y = panel->box.y1 - 1.6 * size;
        (void)swl_canvas_label_try(p->canvas, &label, panel->box);
        return;
    }
    double x = swl_panel_x(panel, at_s * time_scale(soak));
    double y = swl_panel_y(panel, t);
    cairo_new_sub_path(p->canvas->cr);
    cairo_arc(p->canvas->cr, x, y, 4 * p->canvas->stroke, 0, 6.2831853);
    swl_canvas_colour(p->canvas, swl_ink, 1);
    cairo_fill(p->canvas->cr);
    (void)snprintf(label.text, sizeof label.text, "recovered");
    label.x = x - 0.2 * size;
    label.y = y + 0.7 * size;
    (void)swl_canvas_label_try(p->canvas, &label, panel->box);
}

/* The number of each pull over its shade, where the shades are wide enough. */
static void number_pulls(const page *p, const swl_panel *panel)
{
    const swl_soak *soak = p->chart->soak;
    double size = 0.8 * p->canvas->font;
    size_t every = 1;
    double pitch = soak->pull_count > 1 ? swl_panel_x(panel, soak->pulls[1].start_s * time_scale(soak)) -
                                              swl_panel_x(panel, soak->pulls[0].start_s * time_scale(soak))
                                        : 1e9;
    while (pitch * (double)every < 2.2 * size) {
        every++;
    }
    for (size_t i = 0; i < soak->pull_count; i += every) {
        const swl_soak_pull *pull = &soak->pulls[i];
        bool over = pull->verdict == SWL_EXCEEDED;
        swl_label label = {.size = size, .colour = over ? swl_warn : swl_grey, .bold = over, .down = -1};
        label.x = swl_panel_x(panel, (pull->start_s + pull->end_s) / 2 * time_scale(soak));
        label.y = panel->box.y0 + 0.35 * size;
        (void)snprintf(label.text, sizeof label.text, "%zu%s", i + 1, over ? "!" : "");
        swl_canvas_label(p->canvas, &label);
    }
}

static void span(const page *p, row_value *value, swl_show show, double *low, double *high)
{
    for (size_t i = 0; i < p->chart->soak->row_count; i++) {
        double v = shown(p, &p->chart->soak->rows[i], value, show);
        *low = fmin(*low, v); /* a NAN is left out */
        *high = fmax(*high, v);
    }
}

static void panel_end(const page *p, const swl_panel *panel, swl_ticks x, swl_ticks y, const char *title, bool last)
{
    double size = 0.86 * p->canvas->font;
    swl_panel_frame(panel, x, y);
    swl_panel_numbers_y(panel, y, false, 1, 0, size);
    if (last) {
        swl_panel_numbers_x(panel, x, false, 1, 0, size);
    }
    swl_label label = {.x = panel->box.x0,
                       .y = panel->box.y0 - 0.4 * size,
                       .across = -1,
                       .down = 1,
                       .size = size,
                       .bold = true,
                       .colour = swl_ink};
    (void)snprintf(label.text, sizeof label.text, "%s", title);
    swl_canvas_label(p->canvas, &label);
}

static swl_ticks ticks_x(const swl_panel *panel, double size)
{
    double across = (panel->box.x1 - panel->box.x0) / (5 * size);
    return swl_ticks_for(panel->xb - panel->xa, across > 14 ? 14 : across < 1 ? 1 : (int)across);
}

static void temperatures(const page *p, swl_panel *panel)
{
    const swl_soak *soak = p->chart->soak;
    double low = INFINITY;
    double high = -INFINITY;
    char title[80];
    span(p, coolant, SWL_SHOW_TEMPERATURE, &low, &high);
    span(p, charge, SWL_SHOW_TEMPERATURE, &low, &high);
    double limit = swl_shown_value(soak->limit_k, SWL_SHOW_TEMPERATURE, p->chart->units);
    high = limit < high + 0.6 * (high - low) ? fmax(high, limit) : high;
    double room = fmax(high - low, 1);
    panel->ya = low - 0.08 * room;
    panel->yb = high + 0.16 * room;
    swl_ticks y = swl_ticks_for(panel->yb - panel->ya, 7);
    y.minor = 1;
    shade_pulls(p, panel);
    swl_panel_clip(panel);
    swl_panel_grid_y(panel, y);
    curve(p, panel, coolant, SWL_SHOW_TEMPERATURE, 1.6, NULL);
    curve(p, panel, charge, SWL_SHOW_TEMPERATURE, 3.0, NULL);
    swl_panel_unclip(panel);
    number_pulls(p, panel);
    limit_line(p, panel);
    mark_recovery(p, panel);
    name_curve(p, panel, charge, SWL_SHOW_TEMPERATURE, true, "charge");
    name_curve(p, panel, coolant, SWL_SHOW_TEMPERATURE, false, "coolant");
    (void)snprintf(title, sizeof title, "Temperature, %s", swl_shown_as(SWL_SHOW_TEMPERATURE, p->chart->units).unit);
    panel_end(p, panel, ticks_x(panel, p->canvas->font), y, title, false);
}

static void heats(const page *p, swl_panel *panel)
{
    double low = 0;
    double high = 0;
    char title[80];
    span(p, heat_in, SWL_SHOW_HEAT_FLOW, &low, &high);
    span(p, heat_out, SWL_SHOW_HEAT_FLOW, &low, &high);
    double room = fmax(high - low, 0.1);
    panel->ya = low < 0 ? low - 0.08 * room : 0;
    panel->yb = high + 0.15 * room;
    swl_ticks y = swl_ticks_for(panel->yb - panel->ya, 4);
    y.minor = 1;
    shade_pulls(p, panel);
    swl_panel_clip(panel);
    swl_panel_grid_y(panel, y);
    curve(p, panel, heat_in, SWL_SHOW_HEAT_FLOW, 1.6, NULL);
    curve(p, panel, heat_out, SWL_SHOW_HEAT_FLOW, 1.6, dash_heat_out);
    swl_panel_unclip(panel);
    name_curve(p, panel, heat_in, SWL_SHOW_HEAT_FLOW, true, "into the coolant");
    name_curve(p, panel, heat_out, SWL_SHOW_HEAT_FLOW, true, "out at the front");
    (void)snprintf(title, sizeof title, "Heat, %s", swl_shown_as(SWL_SHOW_HEAT_FLOW, p->chart->units).unit);
    panel_end(p, panel, ticks_x(panel, p->canvas->font), y, title, true);
}

static swl_status page_draw(void *context, swl_err *err)
{
    const page *p = context;
    const swl_soak *soak = p->chart->soak;
    double f = p->canvas->font;
    swl_rect room = swl_page_frame(p->canvas, p->chart->title, p->chart->subtitle, p->chart->caption);
    swl_rect box = {room.x0 + 3.6 * f, room.y0 + 1.4 * f, room.x1 - 1.0 * f, room.y1 - 3.4 * f};
    double gap = 2.0 * f;
    double split = box.y0 + 0.66 * (box.y1 - box.y0 - gap);
    if (box.y1 - box.y0 < 14 * f || box.x1 - box.x0 < 16 * f) {
        return swl_no_room(p->canvas, err);
    }
    double scale = time_scale(soak);
    swl_panel upper = {.canvas = p->canvas, .box = {box.x0, box.y0, box.x1, split}, .xa = 0, .xb = end_s(soak) * scale};
    swl_panel lower = upper;
    lower.box = (swl_rect){box.x0, split + gap, box.x1, box.y1};
    temperatures(p, &upper);
    heats(p, &lower);
    swl_label label = {.x = (box.x0 + box.x1) / 2, .y = box.y1 + 1.9 * f, .down = -1, .size = f, .colour = swl_ink};
    (void)snprintf(label.text, sizeof label.text, "Time, %s", scale < 1 ? "min" : "s");
    swl_canvas_label(p->canvas, &label);
    return SWL_OK;
}

swl_status swl_draw_soak(const swl_soak_chart *chart, const swl_picture *picture, swl_buf *out, swl_err *err)
{
    swl_canvas canvas;
    swl_status status = swl_canvas_open(&canvas, picture, chart->title, err);
    if (status != SWL_OK) {
        return status;
    }
    /* Made before the plotting library runs, which leaves by a jump when it aborts. */
    page p = {.canvas = &canvas,
              .chart = chart,
              .x = calloc(chart->soak->row_count, sizeof(double)),
              .y = calloc(chart->soak->row_count, sizeof(double))};
    if (p.x == NULL || p.y == NULL) {
        status = swl_err_set(err, SWL_ERR_MEMORY, "out of memory for the chart");
    }
    if (status == SWL_OK) {
        status = swl_plot_run(&canvas, page_draw, &p, err);
    }
    if (status == SWL_OK) {
        status = swl_canvas_close(&canvas, out, err);
    }
    free(p.x);
    free(p.y);
    swl_canvas_free(&canvas);
    return status;
}
