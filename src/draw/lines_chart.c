#include "draw/chart.h"

#include "base/locale_c.h"
#include "draw/page.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* How a line is drawn, by its place: told apart without colour. */
typedef struct pen {
    double width;
    double dash[5];
} pen;

static const pen pens[SWL_LINES_MAX] = {
    {3.2, {0}}, {1.9, {10, 4, 0}}, {1.9, {2.5, 3, 0}}, {1.9, {14, 4, 2.5, 4, 0}}, {1.1, {0}}, {1.9, {5, 7, 0}},
};

static double shown(const swl_lines_chart *chart, const swl_lines_panel *v, double si)
{
    swl_shown as = swl_shown_as(v->show, chart->units);
    return si * as.scale + (v->change ? 0 : as.shift);
}

/* Span of a panel in the units shown: all its lines, and its limit when that is not far above them. */
static bool view_span(const swl_lines_chart *chart, const swl_lines_panel *v, double *low, double *high)
{
    *low = INFINITY;
    *high = -INFINITY;
    for (size_t s = 0; s < v->count; s++) {
        for (size_t i = 0; i < v->lines[s].count; i++) {
            double y = shown(chart, v, v->lines[s].y[i]);
            *low = isfinite(y) ? fmin(*low, y) : *low;
            *high = isfinite(y) ? fmax(*high, y) : *high;
        }
    }
    if (!(isfinite(*low) && isfinite(*high))) {
        *low = 0;
        *high = 1;
        return false;
    }
    double limit = shown(chart, v, v->limit);
    double span = *high - *low;
    if (limit < *high + fmax(0.6 * span, 0.25 * fabs(*high))) {
        *high = fmax(*high, limit);
        *low = fmin(*low, limit);
    }
    bool from_zero = !v->free_foot && v->show != SWL_SHOW_TEMPERATURE && *low > 0;
    *low = from_zero ? 0 : *low;
    double room = 0.08 * (*high - *low);
    *high += room > 0 ? 1.5 * room : 1;
    *low -= from_zero ? 0 : room;
    return true;
}

/* The last place of the longest stretch from a place on that is all inside the map, or all not; where a value is
 * missing the stretch ends. */
static size_t stretch_end(const swl_line_data *line, size_t from, bool *inside)
{
    size_t to = from + 1;
    *inside = line->inside == NULL || (line->inside[from] && line->inside[to]);
    while (to + 1 < line->count && isfinite(line->y[to + 1]) &&
           *inside == (line->inside == NULL || (line->inside[to] && line->inside[to + 1]))) {
        to++;
    }
    return to;
}

static void draw_line(const swl_panel *panel, const swl_lines_chart *chart, const swl_lines_panel *v, size_t which)
{
    const swl_line_data *line = &v->lines[which];
    double y[SWL_LINE_ROWS_MAX];
    size_t count = line->count < SWL_LINE_ROWS_MAX ? line->count : SWL_LINE_ROWS_MAX;
    for (size_t i = 0; i < count; i++) {
        y[i] = shown(chart, v, line->y[i]);
    }
    if (count == 1 && isfinite(y[0])) {
        cairo_arc(panel->canvas->cr, swl_panel_x(panel, line->x[0]), swl_panel_y(panel, y[0]),
                  3.5 * panel->canvas->stroke, 0, 6.2831853);
        swl_canvas_colour(panel->canvas, swl_ink, 1);
        cairo_fill(panel->canvas->cr);
    }
    for (size_t from = 0; from + 1 < count;) {
        if (!isfinite(y[from]) || !isfinite(y[from + 1])) {
            from++;
            continue;
        }
        bool inside = false;
        size_t to = stretch_end(line, from, &inside);
        swl_panel_take(panel, line->x + from, y + from, to - from + 1);
        swl_panel_path(panel, line->x + from, y + from, to - from + 1);
        swl_canvas_colour(panel->canvas, inside ? swl_ink : swl_grey, inside ? 1 : 0.75);
        swl_canvas_stroke(panel->canvas, pens[which].width, pens[which].dash);
        from = to;
    }
}

static void draw_limit(const swl_panel *panel, const swl_lines_chart *chart, const swl_lines_panel *v, double size)
{
    double limit = shown(chart, v, v->limit);
    swl_label label = {.size = size, .colour = swl_warn, .halo = true, .across = -1};
    if (isnan(limit)) {
        return;
    }
    (void)swl_locale_print(label.text, sizeof label.text, "limit %.*f",
                           swl_shown_decimals(limit, v->show, chart->units), limit);
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

/* A line's name beside the axes, where its line ends or as near as there is room. */
typedef struct end {
    size_t line;
    double at;   /* where the line ends on the page */
    double name; /* where the name stands */
} end;

static size_t ends_sorted(const swl_panel *panel, const swl_lines_chart *chart, const swl_lines_panel *v, end *ends)
{
    size_t count = 0;
    for (size_t s = 0; s < v->count; s++) {
        /* A line may end before the axes do. */
        size_t rows = v->lines[s].count;
        while (rows > 0 && !isfinite(v->lines[s].y[rows - 1])) {
            rows--;
        }
        double at = rows == 0 ? (double)NAN : swl_panel_y(panel, shown(chart, v, v->lines[s].y[rows - 1]));
        if (!isfinite(at)) {
            continue;
        }
        size_t k = count++;
        for (; k > 0 && ends[k - 1].at > at; k--) {
            ends[k] = ends[k - 1];
        }
        ends[k] = (end){.line = s, .at = at, .name = at};
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

/* Beside a line alone in its panel, whose title says it, stands nothing. */
static void draw_names(const swl_panel *panel, const swl_lines_chart *chart, const swl_lines_panel *v, double size)
{
    swl_canvas *canvas = panel->canvas;
    if (v->names[0] == NULL) {
        return;
    }
    end ends[SWL_LINES_MAX];
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
        swl_canvas_stroke(canvas, pens[ends[i].line].width, pens[ends[i].line].dash);
        swl_label label = {.x = x + 3.8 * size,
                           .y = ends[i].name,
                           .across = -1,
                           .size = size,
                           .bold = ends[i].line == 0,
                           .colour = swl_ink};
        (void)snprintf(label.text, sizeof label.text, "%s", v->names[ends[i].line]);
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

static void draw_title(const swl_panel *panel, const swl_lines_chart *chart, const swl_lines_panel *v, double size)
{
    swl_label title = {.x = panel->box.x0,
                       .y = panel->box.y0 - 0.45 * size,
                       .across = -1,
                       .down = 1,
                       .size = size,
                       .bold = true,
                       .colour = swl_ink};
    const char *unit = swl_shown_as(v->show, chart->units).unit;
    (void)snprintf(title.text, sizeof title.text, "%s%s%s", v->title, unit[0] == '\0' ? "" : ", ", unit);
    swl_canvas_label(panel->canvas, &title);
}

static void view_draw(swl_panel *panel, const swl_lines_chart *chart, const swl_lines_panel *v)
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
        /* The first last, so that it lies on top. */
        for (size_t s = v->count; s-- > 0;) {
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
static double names_width(const swl_canvas *canvas, const swl_lines_chart *chart)
{
    double widest = 0;
    for (size_t k = 0; k < chart->panel_count; k++) {
        const swl_lines_panel *v = &chart->panels[k];
        for (size_t s = 0; s < v->count && v->names[0] != NULL; s++) {
            double width = 0;
            double height = 0;
            swl_canvas_measure(canvas, v->names[s], 0.86 * canvas->font, s == 0, &width, &height);
            widest = fmax(widest, width);
        }
    }
    return widest + 3.8 * 0.86 * canvas->font;
}

static size_t most_lines(const swl_lines_chart *chart)
{
    size_t most = 0;
    for (size_t k = 0; k < chart->panel_count; k++) {
        most = chart->panels[k].count > most ? chart->panels[k].count : most;
    }
    return most;
}

static swl_status page_draw(void *context, swl_err *err)
{
    const swl_page *p = context;
    swl_canvas *canvas = p->canvas;
    const swl_lines_chart *chart = p->chart;
    double f = canvas->font;
    swl_rect room = swl_page_frame(canvas, chart->title, chart->subtitle, chart->caption);
    double names = names_width(canvas, chart);
    double left = 4.0 * f;
    double gap = 1.4 * f;
    size_t abreast = chart->abreast > 0 ? chart->abreast : 2;
    double pitch = (room.x1 - room.x0 + gap) / (double)abreast;
    double width = pitch - gap - left - names;
    size_t below_most = (chart->panel_count + abreast - 1) / abreast;
    /* A title and numbers for each row of axes, and the name of the speed under the last. */
    double height = (room.y1 - room.y0 - 1.6 * f) / (double)below_most - 3.4 * f;
    if (width < 10 * f || height < 5 * f || height < 1.35 * 0.86 * f * (double)most_lines(chart)) {
        return swl_no_room(canvas, err);
    }
    for (size_t k = 0; k < chart->panel_count; k++) {
        double x0 = room.x0 + left + (double)(k % abreast) * pitch;
        size_t below = k / abreast;
        double y0 = room.y0 + 1.6 * f + (double)below * (height + 3.6 * f);
        swl_panel panel = {
            .canvas = canvas, .box = {x0, y0, x0 + width, y0 + height}, .xa = chart->xa, .xb = chart->xb};
        view_draw(&panel, chart, &chart->panels[k]);
        if (k + abreast < chart->panel_count) {
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

swl_status swl_draw_lines(const swl_lines_chart *chart, const swl_picture *picture, swl_buf *out, swl_err *err)
{
    return swl_page_draw(chart->title, chart, page_draw, picture, out, err);
}
