#include "draw/chart.h"

#include "base/locale_c.h"
#include "draw/page.h"
#include "draw/pulley_graph.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static const double dash_limit[] = {14, 3, 3, 3, 0};
static const double dash_own[] = {1.5, 3.5, 0};

static int limit_words(const swl_pulley_chart *chart, const swl_graph *g, size_t k, char *out, size_t room)
{
    double limit = swl_shown_value(g->limits[k].value, g->show, chart->units);
    return swl_locale_print(out, room, "%s %.*f", g->limits[k].words, swl_shown_decimals(limit, g->show, chart->units),
                            limit);
}

/* Names a limit by its line, or at the edge that it lies beyond. Returns: whether there was room. */
static bool limit_label(const swl_panel *panel, const swl_pulley_chart *chart, const swl_graph *g, size_t k,
                        double size)
{
    double limit = swl_shown_value(g->limits[k].value, g->show, chart->units);
    bool above = limit >= panel->yb;
    bool below = limit <= panel->ya;
    swl_label label = {.size = size, .colour = swl_warn, .halo = true, .across = -1};
    int n = limit_words(chart, g, k, label.text, sizeof label.text);
    (void)snprintf(label.text + n, sizeof label.text - (size_t)n, "%s",
                   above   ? " is above this scale"
                   : below ? " is below this scale"
                           : "");
    double width = panel->box.x1 - panel->box.x0;
    for (int pass = 0; pass < 24; pass++) {
        label.x = panel->box.x0 + 0.8 * size + pass % 8 * 0.11 * width;
        int rows_in = pass / 8;
        double row = 1.3 * rows_in;
        if (above || below) {
            label.down = above ? -1 : 1;
            label.y = above ? panel->box.y0 + (0.5 + row) * size : panel->box.y1 - (0.5 + row) * size;
        } else {
            /* Under the line first: the strokes of the forbidden side are over it. */
            bool under = pass < 8;
            label.down = under ? -1 : 1;
            label.y = swl_panel_y(panel, limit) + (under ? 0.45 : -0.95) * size;
        }
        if (swl_canvas_label_try(panel->canvas, &label, panel->box)) {
            return true;
        }
    }
    return false;
}

static void limits_draw(const swl_panel *panel, const swl_pulley_chart *chart, const swl_graph *g)
{
    for (size_t k = 0; k < 2; k++) {
        double limit = swl_shown_value(g->limits[k].value, g->show, chart->units);
        if (!(limit > panel->ya && limit < panel->yb)) {
            continue;
        }
        double x[2] = {panel->xa, panel->xb};
        double y[2] = {limit, limit};
        swl_panel_path(panel, x, y, 2);
        swl_canvas_colour(panel->canvas, swl_warn, 1);
        swl_canvas_stroke(panel->canvas, g->limits[k].solid ? 2.0 : 1.5, g->limits[k].solid ? NULL : dash_limit);
        swl_mark_forbidden(panel, x, y, 2, true);
        swl_canvas_stroke(panel->canvas, 0.7, NULL);
        double py = swl_panel_y(panel, limit);
        swl_canvas_take(panel->canvas,
                        (swl_rect){panel->box.x0, py - 6 * panel->canvas->stroke, panel->box.x1, py + 1});
    }
}

static void margin_name(const swl_panel *panel, double size)
{
    swl_label label = {.size = size, .colour = swl_warn, .halo = true, .across = 1};
    (void)snprintf(label.text, sizeof label.text, "a limit is exceeded below 0");
    double width = panel->box.x1 - panel->box.x0;
    for (int pass = 0; pass < 12; pass++) {
        bool under = pass < 6;
        label.down = under ? -1 : 1;
        label.x = panel->box.x1 - 0.8 * size - pass % 6 * 0.13 * width;
        label.y = swl_panel_y(panel, 0) + (under ? 0.95 : -0.45) * size;
        if (swl_canvas_label_try(panel->canvas, &label, panel->box)) {
            return;
        }
    }
}

/* Zero, with the exceeded side hatched, and what counts as close. */
static void margin_lines(const swl_panel *panel, double size)
{
    swl_canvas *canvas = panel->canvas;
    double x[2] = {panel->xa, panel->xb};
    const double y[2][2] = {{0, 0}, {100 * SWL_CLOSE_MARGIN_FRAC, 100 * SWL_CLOSE_MARGIN_FRAC}};
    swl_panel_path(panel, x, y[0], 2);
    swl_canvas_colour(canvas, swl_warn, 1);
    swl_canvas_stroke(canvas, 1.8, NULL);
    swl_mark_forbidden(panel, x, y[0], 2, false);
    swl_canvas_stroke(canvas, 0.7, NULL);
    swl_panel_path(panel, x, y[1], 2);
    swl_canvas_stroke(canvas, 0.9, dash_limit);
    for (int k = 0; k < 2; k++) {
        double py = swl_panel_y(panel, y[k][0]);
        swl_canvas_take(canvas,
                        (swl_rect){panel->box.x0, py - 1, panel->box.x1, py + (k == 0 ? 6 : 1) * canvas->stroke});
    }
    margin_name(panel, size);
}

static bool holds(const swl_pulley_chart *chart, const swl_pulley_wish *wish)
{
    double d_m = wish->found.exact_m;
    return wish->found.stop == SWL_STOP_FOUND && d_m >= chart->curve[0].d_m &&
           d_m <= chart->curve[chart->curve_count - 1].d_m;
}

char swl_pulley_chart_letter(const swl_pulley_chart *chart, const swl_pulley_wish *wish)
{
    const swl_pulley_study *study = chart->study;
    int rank = 0;
    for (const swl_pulley_wish *other = study->wishes; other < study->wishes + study->wish_count; other++) {
        bool before =
            other->found.exact_m < wish->found.exact_m || (other->found.exact_m == wish->found.exact_m && other < wish);
        rank += holds(chart, other) && before;
    }
    return holds(chart, wish) ? (char)('A' + rank) : '\0';
}

static void vertical(const swl_panel *panel, double x, double width, const double *dash)
{
    double at[2] = {x, x};
    double y[2] = {panel->ya, panel->yb};
    swl_panel_path(panel, at, y, 2);
    swl_canvas_colour(panel->canvas, swl_ink, 0.75);
    swl_canvas_stroke(panel->canvas, width, dash);
}

/* The letter stands at the head of its line, with the size where that is named and there is room. */
static void found_draw(const swl_panel *panel, const swl_pulley_chart *chart, const swl_pulley_wish *wish, bool named,
                       double size)
{
    char letter = swl_pulley_chart_letter(chart, wish);
    if (letter == '\0') {
        return;
    }
    double x = swl_pulley_length(chart, wish->found.exact_m);
    int decimals = swl_shown_as(SWL_SHOW_LENGTH, chart->units).decimals;
    vertical(panel, x, 1.0, NULL);
    swl_label label = {.size = size, .bold = true, .colour = swl_ink, .halo = true, .down = -1};
    /* With its size or else alone, at the head of its line or else further down, on either side. */
    int places = 2 * (int)((panel->box.y1 - panel->box.y0) / (1.3 * size));
    for (int pass = named ? 0 : places; pass < 2 * places; pass++) {
        if (pass < places) {
            (void)swl_locale_print(label.text, sizeof label.text, "%c %.*f", letter, decimals,
                                   swl_pulley_rounded(chart->study->pulley, x, decimals));
        } else {
            (void)snprintf(label.text, sizeof label.text, "%c", letter);
        }
        label.across = pass % 2 == 0 ? -1 : 1;
        label.x = swl_panel_x(panel, x) - 0.35 * label.across * size;
        int down = pass % places / 2;
        label.y = panel->box.y0 + (0.5 + 1.3 * down) * size;
        if (swl_canvas_label_try(panel->canvas, &label, panel->box)) {
            return;
        }
    }
    /* Better on a line than not there at all. */
    label.across = -1;
    label.x = swl_panel_x(panel, x) + 0.35 * size;
    label.y = panel->box.y0 + 0.5 * size;
    swl_canvas_label(panel->canvas, &label);
}

/* The found sizes with their letters, the build's own size, and sizes that have no operating point. */
static void sizes_draw(const swl_panel *panel, const swl_pulley_chart *chart, bool named, double size)
{
    const swl_pulley_study *study = chart->study;
    swl_canvas *canvas = panel->canvas;
    double own = swl_pulley_length(chart, study->own_m);
    if (own >= panel->xa && own <= panel->xb) {
        vertical(panel, own, 1.4, dash_own);
        swl_label label = {.size = size, .colour = swl_ink, .halo = true, .across = -1, .down = 1, .text = "as built"};
        label.x = swl_panel_x(panel, own) + 0.4 * size;
        label.y = panel->box.y1 - 0.6 * size;
        for (int pass = 0; named && pass < 2 && !swl_canvas_label_try(canvas, &label, panel->box); pass++) {
            label.across = 1;
            label.x = swl_panel_x(panel, own) - 0.4 * size;
        }
    }
    for (size_t i = 0; i < study->wish_count; i++) {
        found_draw(panel, chart, &study->wishes[i], named, size);
    }
    for (size_t i = 0; i < study->count; i++) {
        if (study->rows[i].end != SWL_MATCH_SOLVED) {
            double px = swl_panel_x(panel, swl_pulley_length(chart, study->rows[i].d_m));
            double r = 3.5 * canvas->stroke;
            double py = panel->box.y1 - 2.5 * r;
            cairo_move_to(canvas->cr, px - r, py - r);
            cairo_line_to(canvas->cr, px + r, py + r);
            cairo_move_to(canvas->cr, px - r, py + r);
            cairo_line_to(canvas->cr, px + r, py - r);
            swl_canvas_colour(canvas, swl_warn, 1);
            swl_canvas_stroke(canvas, 1.6, NULL);
        }
    }
}

/* Names beside the right end of the lines, pushed apart where they would touch. */
static void names_draw(const swl_panel *panel, const swl_pulley_chart *chart, const swl_graph *g, double size)
{
    double at[SWL_GRAPH_LINES];
    size_t order[SWL_GRAPH_LINES];
    size_t n = 0;
    double end_m = 0;
    for (size_t c = 0; c < g->count; c++) {
        size_t last = chart->curve_count;
        while (last > 0 && isnan(swl_graph_shown(chart, g, c, &chart->curve[last - 1]))) {
            last--;
        }
        if (last == 0 || g->lines[c].label[0] == '\0') {
            continue;
        }
        end_m = fmax(end_m, chart->curve[last - 1].d_m);
        double y = swl_panel_y(panel, swl_graph_shown(chart, g, c, &chart->curve[last - 1]));
        size_t place = n++;
        while (place > 0 && at[place - 1] > y) {
            at[place] = at[place - 1];
            order[place] = order[place - 1];
            place--;
        }
        at[place] = y;
        order[place] = c;
    }
    double step = 1.2 * size;
    for (int pass = 0; pass < 60; pass++) {
        for (size_t k = 1; k < n; k++) {
            double lack = step - (at[k] - at[k - 1]);
            if (lack > 0.01) {
                at[k - 1] -= lack / 2;
                at[k] += lack / 2;
            }
        }
    }
    for (size_t k = 0; k < n; k++) {
        const swl_graph_line *line = &g->lines[order[k]];
        swl_label label = {.x = swl_panel_x(panel, swl_pulley_length(chart, end_m)) + 0.7 * size,
                           .y = at[k],
                           .across = -1,
                           .size = size,
                           .colour = swl_ink,
                           .bold = line->width > 2.2};
        (void)snprintf(label.text, sizeof label.text, "%s", line->label);
        swl_canvas_label(panel->canvas, &label);
    }
}

/* Drive ratios on the top axis, where the table's sizes have them. */
static void ratio_axis(const swl_panel *panel, const swl_pulley_chart *chart, double size)
{
    const swl_pulley_row *rows = chart->curve;
    size_t last = chart->curve_count - 1;
    double low = fmin(rows[0].drive_ratio, rows[last].drive_ratio);
    double high = fmax(rows[0].drive_ratio, rows[last].drive_ratio);
    double width = panel->box.x1 - panel->box.x0;
    swl_ticks ticks = swl_ticks_for(high - low, (int)fmax(1, fmin(8, width / (5 * size))));
    for (long k = (long)ceil(low / ticks.step - 1e-9); (double)k * ticks.step <= high * (1 + 1e-12); k++) {
        double ratio = (double)k * ticks.step;
        for (size_t i = 0; i < last; i++) {
            double a = rows[i].drive_ratio;
            double b = rows[i + 1].drive_ratio;
            if ((ratio - a) * (ratio - b) > 0 || a == b) {
                continue;
            }
            double d_m = rows[i].d_m + (ratio - a) / (b - a) * (rows[i + 1].d_m - rows[i].d_m);
            double px = swl_panel_x(panel, swl_pulley_length(chart, d_m));
            cairo_move_to(panel->canvas->cr, px, panel->box.y0);
            cairo_rel_line_to(panel->canvas->cr, 0, -0.35 * size);
            swl_label label = {.x = px, .y = panel->box.y0 - 0.6 * size, .down = 1, .size = size, .colour = swl_ink};
            (void)swl_locale_print(label.text, sizeof label.text, "%.*f", ticks.decimals, ratio);
            swl_canvas_label(panel->canvas, &label);
            break;
        }
    }
    swl_canvas_colour(panel->canvas, swl_ink, 1);
    swl_canvas_stroke(panel->canvas, 1.1, NULL);
}

/* unnamed: bit k stands for a limit whose name found no room by its line. */
static void graph_title(const swl_panel *panel, const swl_pulley_chart *chart, const swl_graph *g, bool first,
                        double size, unsigned unnamed)
{
    swl_label title = {.x = panel->box.x0,
                       .y = panel->box.y0 - (first ? 2.0 : 0.45) * size,
                       .across = -1,
                       .down = 1,
                       .size = size,
                       .bold = true,
                       .colour = swl_ink};
    int n = snprintf(title.text, sizeof title.text, "%s, %s", g->title, swl_shown_as(g->show, chart->units).unit);
    if (g->is_margin) {
        n += swl_locale_print(title.text + n, sizeof title.text - (size_t)n, "; close below %.0f",
                              100 * SWL_CLOSE_MARGIN_FRAC);
    }
    for (size_t k = 0; k < 2; k++) {
        if ((unnamed & (1U << k)) != 0) {
            n += snprintf(title.text + n, sizeof title.text - (size_t)n, ", ");
            n += limit_words(chart, g, k, title.text + n, sizeof title.text - (size_t)n);
        }
    }
    swl_canvas_label(panel->canvas, &title);
}

static void graph_empty(const swl_panel *panel, const swl_graph *g, const swl_pulley_study *study, double size)
{
    bool points = false;
    for (size_t i = 0; i < study->count; i++) {
        points = points || study->rows[i].end == SWL_MATCH_SOLVED;
    }
    swl_label label = {.x = (panel->box.x0 + panel->box.x1) / 2,
                       .y = (panel->box.y0 + panel->box.y1) / 2,
                       .size = size,
                       .colour = swl_grey};
    (void)snprintf(label.text, sizeof label.text, "%s",
                   points && g->empty != NULL ? g->empty : "no size here has an operating point");
    swl_canvas_label(panel->canvas, &label);
}

static void graph_draw(swl_panel *panel, const swl_pulley_chart *chart, const swl_graph *g, bool first, bool last)
{
    swl_canvas *canvas = panel->canvas;
    double size = 0.86 * canvas->font;
    double height = panel->box.y1 - panel->box.y0;
    double width = panel->box.x1 - panel->box.x0;
    bool any = swl_graph_span(chart, g, &panel->ya, &panel->yb);
    if (!any) {
        panel->ya = 0;
        panel->yb = 1;
    }
    swl_ticks y = swl_ticks_for(panel->yb - panel->ya, height > 9 * size ? 5 : height > 6 * size ? 4 : 3);
    swl_ticks x = swl_ticks_for(panel->xb - panel->xa, (int)fmax(1, fmin(8, width / (4.4 * size))));
    y.minor = 1;
    unsigned unnamed = 0;
    swl_panel_clip(panel);
    if (any) {
        swl_panel_grid_y(panel, y);
        swl_graph_lines(panel, chart, g);
        if (g->is_margin) {
            margin_lines(panel, size);
        }
        limits_draw(panel, chart, g);
        for (size_t k = 0; k < 2; k++) {
            if (!isnan(g->limits[k].value) && !limit_label(panel, chart, g, k, size)) {
                unnamed |= 1U << k;
            }
        }
    }
    sizes_draw(panel, chart, first, size);
    swl_graph_markers(panel, chart, g);
    swl_panel_unclip(panel);
    graph_title(panel, chart, g, first, size, unnamed);
    if (any) {
        names_draw(panel, chart, g, size);
        swl_panel_numbers_y(panel, y, false, 1, 0, size);
    } else {
        graph_empty(panel, g, chart->study, size);
        y = (swl_ticks){.step = 10, .minor = 1};
    }
    swl_panel_frame(panel, x, y);
    if (first) {
        ratio_axis(panel, chart, size);
    }
    if (last) {
        swl_panel_numbers_x(panel, x, false, 1, 0, size);
    }
}

/* A letter's height of words above and below the panels of one column. */
static void column_titles(swl_canvas *canvas, const swl_pulley_chart *chart, double x0, double x1, double top,
                          double bottom)
{
    double f = canvas->font;
    swl_label label = {.x = (x0 + x1) / 2, .y = bottom + 1.9 * f, .down = -1, .size = f, .colour = swl_ink};
    (void)snprintf(label.text, sizeof label.text, "%s pulley, outside diameter, %s",
                   chart->study->pulley == SWL_PULLEY_CRANK ? "Crank" : "Blower",
                   swl_shown_as(SWL_SHOW_LENGTH, chart->units).unit);
    swl_canvas_label(canvas, &label);
    swl_label ratio = {.x = x1,
                       .y = top - 1.72 * f,
                       .across = 1,
                       .down = 1,
                       .size = 0.86 * f,
                       .colour = swl_ink,
                       .text = "drive ratio"};
    swl_canvas_label(canvas, &ratio);
}

static swl_status graphs_draw(swl_canvas *canvas, const swl_pulley_chart *chart, swl_rect box, swl_err *err)
{
    swl_graph graphs[SWL_GRAPHS];
    swl_graphs_fill(chart, graphs);
    double f = canvas->font;
    size_t columns = canvas->width > 0.9 * canvas->height ? 2 : 1;
    size_t rows = SWL_GRAPHS / columns;
    double top = box.y0 + 3.2 * f;
    double bottom = box.y1 - 3.2 * f;
    double gap = 1.9 * f;
    double height = (bottom - top - (double)(rows - 1) * gap) / (double)rows;
    double across = (box.x1 - box.x0) / (double)columns;
    if (height < 3.5 * f || across < 22 * f) {
        return swl_no_room(canvas, err);
    }
    for (size_t k = 0; k < SWL_GRAPHS; k++) {
        size_t row = columns == 2 ? k / 2 : k;
        double x0 = box.x0 + (double)(columns == 2 ? k % 2 : 0) * across;
        double y0 = top + (double)row * (height + gap);
        swl_panel panel = {.canvas = canvas,
                           .box = {x0 + 4.2 * f, y0, x0 + across - 6.6 * f, y0 + height},
                           .xa = swl_pulley_length(chart, chart->curve[0].d_m),
                           .xb = swl_pulley_length(chart, chart->curve[chart->curve_count - 1].d_m)};
        graph_draw(&panel, chart, &graphs[k], row == 0, row + 1 == rows);
        if (row == 0) {
            column_titles(canvas, chart, panel.box.x0, panel.box.x1, top, bottom);
        }
    }
    return SWL_OK;
}

static swl_status page_draw(void *context, swl_err *err)
{
    const swl_page *p = context;
    const swl_pulley_chart *chart = p->chart;
    swl_canvas *canvas = p->canvas;
    swl_rect room = swl_page_frame(canvas, chart->title, chart->subtitle, chart->caption);
    return graphs_draw(canvas, chart, room, err);
}

swl_status swl_draw_pulley(const swl_pulley_chart *chart, const swl_picture *picture, swl_buf *out, swl_err *err)
{
    return swl_page_draw(chart->title, chart, page_draw, picture, out, err);
}
