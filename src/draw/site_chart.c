#include "draw/chart.h"
#include "draw/page.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* One panel: a value of the operating line, and its limit (NAN: none). */
typedef struct view {
    const char *title;
    swl_show show;
    double (*value)(const swl_check *check, size_t i);
    double limit;
} view;

enum { VIEWS = 4 };

/* How the line of a site is drawn, by its place: told apart without colour. */
typedef struct pen {
    double width;
    double dash[5];
} pen;

static const pen pens[SWL_SITES_DRAWN] = {
    {3.2, {0}}, {1.9, {10, 4, 0}}, {1.9, {2.5, 3, 0}}, {1.9, {14, 4, 2.5, 4, 0}}, {1.1, {0}}, {1.9, {5, 7, 0}},
};

static double boost(const swl_check *check, size_t i)
{
    return check->line[i].boost_pa;
}

static double flow(const swl_check *check, size_t i)
{
    return check->line[i].mdot_kg_s;
}

static double charge(const swl_check *check, size_t i)
{
    return check->line[i].t3_k;
}

static double crank(const swl_check *check, size_t i)
{
    return check->power[i].crank_w;
}

static size_t drawn(const swl_site_chart *chart)
{
    return chart->sites->count < SWL_SITES_DRAWN ? chart->sites->count : SWL_SITES_DRAWN;
}

static double shown(const swl_site_chart *chart, const view *v, size_t site, size_t i)
{
    return swl_shown_value(v->value(&chart->sites->rows[site].check, i), v->show, chart->units);
}

/* Span of a panel in the units shown: all its lines, and its limit when that is not far above them. */
static bool view_span(const swl_site_chart *chart, const view *v, double *low, double *high)
{
    *low = INFINITY;
    *high = -INFINITY;
    for (size_t s = 0; s < drawn(chart); s++) {
        for (size_t i = 0; i < chart->sites->rows[s].check.line_count; i++) {
            *low = fmin(*low, shown(chart, v, s, i));
            *high = fmax(*high, shown(chart, v, s, i));
        }
    }
    if (!(isfinite(*low) && isfinite(*high))) {
        *low = 0;
        *high = 1;
        return false;
    }
    double limit = swl_shown_value(v->limit, v->show, chart->units);
    double span = *high - *low;
    if (limit < *high + fmax(0.6 * span, 0.25 * fabs(*high))) {
        *high = fmax(*high, limit);
        *low = fmin(*low, limit);
    }
    bool from_zero = v->show != SWL_SHOW_TEMPERATURE && *low > 0;
    *low = from_zero ? 0 : *low;
    double room = 0.08 * (*high - *low);
    *high += room > 0 ? 1.5 * room : 1;
    *low -= from_zero ? 0 : room;
    return true;
}

static void draw_line(const swl_panel *panel, const swl_site_chart *chart, const view *v, size_t site)
{
    const swl_check *check = &chart->sites->rows[site].check;
    double x[SWL_LINE_ROWS_MAX];
    double y[SWL_LINE_ROWS_MAX];
    for (size_t i = 0; i < check->line_count; i++) {
        x[i] = check->line[i].engine_rpm;
        y[i] = shown(chart, v, site, i);
    }
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
        swl_panel_path(panel, x + from, y + from, to - from + 1);
        swl_canvas_colour(panel->canvas, inside ? swl_ink : swl_grey, inside ? 1 : 0.75);
        swl_canvas_stroke(panel->canvas, pens[site].width, pens[site].dash);
        from = to;
    }
}

static void draw_limit(const swl_panel *panel, const swl_site_chart *chart, const view *v, double size)
{
    double limit = swl_shown_value(v->limit, v->show, chart->units);
    swl_label label = {.size = size, .colour = swl_warn, .halo = true, .across = -1};
    if (isnan(limit)) {
        return;
    }
    (void)snprintf(label.text, sizeof label.text, "limit %.*f",
                   swl_shown_as(v->show, chart->units).decimals > 1 ? 1 : 0, limit);
    if (limit >= panel->yb) {
        size_t n = strlen(label.text);
        (void)snprintf(label.text + n, sizeof label.text - n, " is above this scale");
        label.down = -1;
        label.y = panel->box.y0 + 0.7 * size;
        for (int pass = 0; pass < 6; pass++) {
            label.x = panel->box.x0 + (0.6 + pass * 4) * size;
            if (swl_canvas_label_try(panel->canvas, &label, panel->box)) {
                return;
            }
        }
        return;
    }
    double x[2] = {panel->xa, panel->xb};
    double y[2] = {limit, limit};
    swl_panel_path(panel, x, y, 2);
    swl_canvas_colour(panel->canvas, swl_warn, 1);
    swl_canvas_stroke(panel->canvas, 1.3, NULL);
    swl_mark_forbidden(panel, x, y, 2, true);
    swl_canvas_stroke(panel->canvas, 0.8, NULL);
    swl_panel_take(panel, x, y, 2);
    for (int pass = 0; pass < 12; pass++) {
        bool below = pass >= 6;
        label.down = below ? -1 : 1;
        label.x = panel->box.x0 + 0.6 * size + pass % 6 * 0.15 * (panel->box.x1 - panel->box.x0);
        label.y = swl_panel_y(panel, limit) + (below ? 0.5 : -0.9) * size;
        if (swl_canvas_label_try(panel->canvas, &label, panel->box)) {
            return;
        }
    }
}

/* A site's name beside the axes, where its line ends or as near as there is room. */
typedef struct end {
    size_t site;
    double at;   /* where the line ends on the page */
    double name; /* where the name stands */
} end;

static size_t ends_sorted(const swl_panel *panel, const swl_site_chart *chart, const view *v, end *ends)
{
    size_t count = 0;
    for (size_t s = 0; s < drawn(chart); s++) {
        size_t rows = chart->sites->rows[s].check.line_count;
        double at = rows == 0 ? (double)NAN : swl_panel_y(panel, shown(chart, v, s, rows - 1));
        if (!isfinite(at)) {
            continue;
        }
        size_t k = count++;
        for (; k > 0 && ends[k - 1].at > at; k--) {
            ends[k] = ends[k - 1];
        }
        ends[k] = (end){.site = s, .at = at, .name = at};
    }
    return count;
}

/* Moves names apart, downwards first and then back up from the foot of the axes. */
static void ends_apart(const swl_panel *panel, end *ends, size_t count, double step)
{
    double low = panel->box.y0 + step / 2;
    for (size_t i = 0; i < count; i++) {
        ends[i].name = fmax(ends[i].name, low);
        low = ends[i].name + step;
    }
    double high = panel->box.y1 - step / 2;
    for (size_t i = count; i-- > 0;) {
        ends[i].name = fmin(ends[i].name, high);
        high = ends[i].name - step;
    }
}

static void draw_names(const swl_panel *panel, const swl_site_chart *chart, const view *v, double size)
{
    swl_canvas *canvas = panel->canvas;
    end ends[SWL_SITES_DRAWN];
    size_t count = ends_sorted(panel, chart, v, ends);
    ends_apart(panel, ends, count, 1.35 * size);
    for (size_t i = 0; i < count; i++) {
        double x = panel->box.x1;
        cairo_move_to(canvas->cr, x, ends[i].at);
        cairo_line_to(canvas->cr, x + 0.9 * size, ends[i].name);
        swl_canvas_colour(canvas, swl_grey, 0.8);
        swl_canvas_stroke(canvas, 0.8, NULL);
        cairo_move_to(canvas->cr, x + 0.9 * size, ends[i].name);
        cairo_line_to(canvas->cr, x + 3.3 * size, ends[i].name);
        swl_canvas_colour(canvas, swl_ink, 1);
        swl_canvas_stroke(canvas, pens[ends[i].site].width, pens[ends[i].site].dash);
        swl_label label = {.x = x + 3.8 * size,
                           .y = ends[i].name,
                           .across = -1,
                           .size = size,
                           .bold = ends[i].site == 0,
                           .colour = swl_ink};
        (void)snprintf(label.text, sizeof label.text, "%s", chart->sites->rows[ends[i].site].set.name);
        swl_canvas_label(canvas, &label);
    }
}

static void draw_grid(const swl_panel *panel, double step)
{
    for (long k = (long)ceil(panel->ya / step); (double)k * step < panel->yb; k++) {
        double x[2] = {panel->xa, panel->xb};
        double y[2] = {(double)k * step, (double)k * step};
        swl_panel_path(panel, x, y, 2);
    }
    swl_canvas_colour(panel->canvas, swl_grey, 0.25);
    swl_canvas_stroke(panel->canvas, 0.8, NULL);
}

static void draw_title(const swl_panel *panel, const swl_site_chart *chart, const view *v, double size)
{
    swl_label title = {.x = panel->box.x0,
                       .y = panel->box.y0 - 0.45 * size,
                       .across = -1,
                       .down = 1,
                       .size = size,
                       .bold = true,
                       .colour = swl_ink};
    (void)snprintf(title.text, sizeof title.text, "%s, %s", v->title, swl_shown_as(v->show, chart->units).unit);
    swl_canvas_label(panel->canvas, &title);
}

static void view_draw(swl_panel *panel, const swl_site_chart *chart, const view *v)
{
    swl_canvas *canvas = panel->canvas;
    double size = 0.86 * canvas->font;
    bool any = view_span(chart, v, &panel->ya, &panel->yb);
    double height = panel->box.y1 - panel->box.y0;
    double across = (panel->box.x1 - panel->box.x0) / (4.2 * size);
    swl_ticks y = swl_ticks_for(panel->yb - panel->ya, height > 12 * size ? 6 : height > 6 * size ? 4 : 3);
    swl_ticks x = swl_ticks_for(panel->xb - panel->xa, across > 8 ? 8 : across < 1 ? 1 : (int)across);
    y.minor = 1;
    draw_title(panel, chart, v, 0.94 * canvas->font);
    swl_panel_clip(panel);
    draw_grid(panel, y.step);
    if (any) {
        /* The own site last, so that it lies on top. */
        for (size_t s = drawn(chart); s-- > 0;) {
            draw_line(panel, chart, v, s);
        }
        draw_limit(panel, chart, v, size);
    }
    swl_panel_unclip(panel);
    if (any) {
        draw_names(panel, chart, v, size);
    } else {
        swl_label none = {.x = (panel->box.x0 + panel->box.x1) / 2,
                          .y = (panel->box.y0 + panel->box.y1) / 2,
                          .size = size,
                          .colour = swl_grey,
                          .text = "no estimate"};
        swl_canvas_label(canvas, &none);
    }
    swl_panel_frame(panel, x, y);
    if (any) {
        swl_panel_numbers_y(panel, y, false, 1, 0, size);
    }
    swl_panel_numbers_x(panel, x, false, 1, 0, size);
}

/* Width that the names beside the axes take. */
static double names_width(const swl_canvas *canvas, const swl_site_chart *chart)
{
    double widest = 0;
    for (size_t s = 0; s < drawn(chart); s++) {
        double width = 0;
        double height = 0;
        swl_canvas_measure(canvas, chart->sites->rows[s].set.name, 0.86 * canvas->font, s == 0, &width, &height);
        widest = fmax(widest, width);
    }
    return widest + 3.8 * 0.86 * canvas->font;
}

typedef struct page {
    swl_canvas *canvas;
    const swl_site_chart *chart;
} page;

static swl_status page_draw(void *context, swl_err *err)
{
    const page *p = context;
    swl_canvas *canvas = p->canvas;
    const swl_site_chart *chart = p->chart;
    const swl_limit_values *limits = &chart->build->limits;
    const view views[VIEWS] = {
        {"Boost", SWL_SHOW_BOOST, boost, limits->boost_pa},
        {"Air flow", SWL_SHOW_MASS_FLOW, flow, limits->mdot_sensor_kg_s},
        {"Charge temperature", SWL_SHOW_TEMPERATURE, charge, limits->t_charge_k},
        {"Crank power, estimated", SWL_SHOW_POWER, crank, NAN},
    };
    double f = canvas->font;
    swl_rect room = swl_page_frame(canvas, chart->title, chart->subtitle, chart->caption);
    double names = names_width(canvas, chart);
    double left = 4.0 * f;
    double gap = 1.4 * f;
    double width = (room.x1 - room.x0 - gap) / 2 - left - names;
    /* A title and numbers for each row of axes, and the name of the speed under the last. */
    double height = (room.y1 - room.y0 - 1.6 * f) / 2 - 3.4 * f;
    if (width < 10 * f || height < 5 * f || height < 1.35 * 0.86 * f * (double)drawn(chart)) {
        return swl_no_room(canvas, err);
    }
    for (size_t k = 0; k < VIEWS; k++) {
        double x0 = room.x0 + left + (double)(k % 2) * ((room.x1 - room.x0 + gap) / 2);
        size_t below = k / 2;
        double y0 = room.y0 + 1.6 * f + (double)below * (height + 3.6 * f);
        swl_panel panel = {.canvas = canvas,
                           .box = {x0, y0, x0 + width, y0 + height},
                           .xa = chart->build->engine.speed_from_rpm,
                           .xb = chart->build->engine.speed_limit_rpm};
        if (chart->sites->rows[0].check.line_count == 1) {
            panel.xa -= 100;
            panel.xb += 100;
        }
        view_draw(&panel, chart, &views[k]);
        if (k < 2) {
            continue;
        }
        swl_label axis = {.x = x0 + width / 2,
                          .y = y0 + height + 1.9 * f,
                          .down = -1,
                          .size = 0.86 * f,
                          .colour = swl_ink,
                          .text = "Engine speed, rpm"};
        swl_canvas_label(canvas, &axis);
    }
    return SWL_OK;
}

swl_status swl_draw_sites(const swl_site_chart *chart, const swl_picture *picture, swl_buf *out, swl_err *err)
{
    swl_canvas canvas;
    swl_status status = swl_canvas_open(&canvas, picture, chart->title, err);
    if (status != SWL_OK) {
        return status;
    }
    page p = {.canvas = &canvas, .chart = chart};
    status = swl_plot_run(&canvas, page_draw, &p, err);
    if (status == SWL_OK) {
        status = swl_canvas_close(&canvas, out, err);
    }
    swl_canvas_free(&canvas);
    return status;
}
