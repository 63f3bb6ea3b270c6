#include "draw/chart.h"
#include "draw/compare_parts.h"
#include "draw/page.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* How the lines of the builds differ: by dash and weight first, so that they do in black and white too. */
static const double dash_b[] = {9, 4, 0};
static const double dash_c[] = {2.5, 3, 0};
static const double dash_d[] = {11, 3, 2.5, 3, 0};
static const double dash_f[] = {5, 2.5, 0};
static const swl_build_line lines[SWL_COMPARE_MOST] = {
    {3.0, NULL, {0.09, 0.10, 0.13}},   {2.2, dash_b, {0.10, 0.36, 0.62}}, {2.8, dash_c, {0.55, 0.32, 0.04}},
    {1.8, dash_d, {0.08, 0.42, 0.33}}, {1.1, NULL, {0.42, 0.24, 0.54}},   {1.3, dash_f, {0.36, 0.38, 0.42}},
};

const swl_build_line *swl_build_line_of(size_t build)
{
    return &lines[build];
}

void swl_build_line_sample(swl_canvas *canvas, size_t build, double x, double y, double width)
{
    cairo_move_to(canvas->cr, x, y);
    cairo_line_to(canvas->cr, x + width, y);
    swl_canvas_colour(canvas, lines[build].colour, 1);
    swl_canvas_stroke(canvas, lines[build].width, lines[build].dash);
}

typedef struct page {
    swl_canvas *canvas;
    const swl_compare_chart *chart;
    const swl_islands *islands;
} page;

/* Cuts a text at its last comma, or with dots, until it fits a width. */
static void fit(const swl_canvas *canvas, swl_label *label, double width)
{
    double w = 0;
    double h = 0;
    swl_canvas_measure(canvas, label->text, label->size, label->bold, &w, &h);
    char *comma = strrchr(label->text, ',');
    if (w > width && comma != NULL) {
        *comma = '\0';
        swl_canvas_measure(canvas, label->text, label->size, label->bold, &w, &h);
    }
    size_t n = strlen(label->text);
    while (w > width && n > 4) {
        n--;
        while (n > 4 && ((unsigned char)label->text[n] & 0xC0) == 0x80) {
            n--;
        }
        (void)snprintf(label->text + n, sizeof label->text - n, "...");
        swl_canvas_measure(canvas, label->text, label->size, label->bold, &w, &h);
    }
}

/* The letter of a build, a sample of its line and its words, above its map. */
static void map_title(const page *p, size_t i, swl_rect box)
{
    swl_canvas *canvas = p->canvas;
    double f = canvas->font;
    double sample = 3 * f;
    swl_label label = {.x = box.x0 + 2.8 * f,
                       .y = box.y0 + 0.1 * f,
                       .across = -1,
                       .down = -1,
                       .size = f,
                       .bold = true,
                       .colour = swl_ink};
    (void)snprintf(label.text, sizeof label.text, "%c", (int)('A' + (int)i));
    swl_canvas_label(canvas, &label);
    swl_build_line_sample(canvas, i, label.x + 1.2 * f, label.y + 0.4 * f, sample);
    label.x += 1.2 * f + sample + 0.6 * f;
    label.bold = false;
    label.size = 0.92 * f;
    (void)snprintf(label.text, sizeof label.text, "%s", p->chart->charts[i].title);
    swl_utf8_clean(label.text);
    fit(canvas, &label, box.x1 - 0.6 * f - label.x);
    swl_canvas_label(canvas, &label);
}

/* Maps of one size in rows. Only the outer ones carry the titles of the axes. */
static swl_status maps(const page *p, swl_rect box, size_t columns, swl_err *err)
{
    double f = p->canvas->font;
    size_t count = p->chart->compare->count;
    size_t rows = (count + columns - 1) / columns;
    /* What the axes' titles take is taken off first, so that all maps come out alike. */
    double left = 1.2 * f;
    double below = 1.3 * f;
    double width = (box.x1 - box.x0 - left) / (double)columns;
    double height = (box.y1 - box.y0 - below) / (double)rows;
    swl_status status = SWL_OK;
    for (size_t i = 0; i < count && status == SWL_OK; i++) {
        size_t row = i / columns;
        bool outer_left = i % columns == 0;
        bool lowest = i + columns >= count;
        swl_rect cell = {.x0 = box.x0 + left + width * (double)(i % columns), .y0 = box.y0 + height * (double)row};
        cell.x1 = cell.x0 + width;
        cell.y1 = cell.y0 + height;
        map_title(p, i, cell);
        cell.y0 += 1.5 * f;
        cell.x0 -= outer_left ? left : 0;
        cell.y1 += lowest ? below : 0;
        swl_chart chart = p->chart->charts[i];
        chart.lean = SWL_LEAN | (outer_left ? 0 : SWL_LEAN_NO_RATIO_TITLE) | (lowest ? 0 : SWL_LEAN_NO_FLOW_TITLE);
        status = swl_draw_map(p->canvas, &chart, &p->islands[i], cell, err);
    }
    return status;
}

/* How much of the page's body is for maps, and whether curves and table find room beside them. */
typedef struct layout {
    size_t columns;
    bool table;
    bool curves;
    double split; /* end of the maps */
    double table_top;
    char words[120]; /* what is left out */
} layout;

/* table: whether there may be one. */
static layout layout_of(const page *p, swl_rect room, bool table)
{
    double width = room.x1 - room.x0;
    double top = room.y0;
    double bottom = room.y1;
    double f = p->canvas->font;
    size_t count = p->chart->compare->count;
    layout l = {.columns = count <= 4 ? count : 3, .table = true, .curves = true};
    l.columns = count == 4 && width < 80 * f ? 2 : l.columns;
    while (l.columns > 1 && (width - 1.2 * f) / (double)l.columns < 14 * f) {
        l.columns--;
    }
    size_t rows = (count + l.columns - 1) / l.columns;
    double least = 12 * f * (double)rows + 1.3 * f;
    for (int attempt = table ? 0 : 1; attempt < 3; attempt++) {
        l.table = attempt == 0;
        l.curves = attempt < 2;
        l.table_top = l.table ? bottom - swl_compare_table_height(p->canvas, p->chart) : bottom;
        double body = l.table_top - (l.table ? 0.6 * f : 0) - top;
        /* Two rows of maps want more of the page than one; curves have a height that is enough. */
        double share = fmin(0.9, fmax(rows > 1 ? 0.68 : 0.60, least / body));
        l.split = top + (l.curves ? share : 1) * body;
        if (l.split - top >= least && (!l.curves || (1 - share) * body >= 8 * f)) {
            break;
        }
    }
    if (!l.table) {
        (void)snprintf(l.words, sizeof l.words, "A larger picture has room for %s too.",
                       l.curves ? "the table of values" : "curves and the table of values");
    }
    return l;
}

static swl_status page_draw(void *context, swl_err *err)
{
    const page *p = context;
    swl_canvas *canvas = p->canvas;
    const swl_compare_chart *chart = p->chart;
    double f = canvas->font;
    swl_buf full = {0};
    swl_buf_printf(&full, "%s%s%s", chart->table_caption, chart->table_caption[0] == '\0' ? "" : " ", chart->caption);
    layout l = layout_of(p, swl_page_room(canvas, chart->subtitle, swl_buf_text(&full)), true);
    bool table = l.table;
    swl_rect room = swl_page_frame(canvas, chart->title, chart->subtitle, table ? swl_buf_text(&full) : chart->caption);
    swl_status status = swl_buf_status(&full, err);
    swl_buf_free(&full);
    if (status != SWL_OK) {
        return status;
    }
    l = layout_of(p, room, table);
    if (l.words[0] != '\0') {
        room.y1 -= 1.4 * f;
        l = layout_of(p, room, table);
        swl_label label = {
            .x = room.x0, .y = room.y1 + 0.4 * f, .across = -1, .down = -1, .size = 0.86 * f, .colour = swl_ink};
        (void)snprintf(label.text, sizeof label.text, "%s", l.words);
        swl_canvas_label(canvas, &label);
    }
    if (l.table) {
        swl_compare_table(canvas, chart, (swl_rect){room.x0, l.table_top, room.x1, room.y1});
    }
    status = maps(p, (swl_rect){room.x0, room.y0, room.x1, l.split}, l.columns, err);
    if (status == SWL_OK && l.curves) {
        double end = l.table_top - (l.table ? 0.6 * f : 0);
        status = swl_compare_curves(canvas, chart, (swl_rect){room.x0, l.split + 0.5 * f, room.x1, end}, err);
    }
    return status;
}

swl_status swl_draw_compare(const swl_compare_chart *chart, const swl_picture *picture, swl_buf *out, swl_err *err)
{
    swl_canvas canvas;
    swl_islands islands[SWL_COMPARE_MOST] = {{.count = 0}};
    size_t count = chart->compare->count;
    swl_status status = swl_canvas_open(&canvas, picture, chart->title, err);
    if (status != SWL_OK) {
        return status;
    }
    for (size_t i = 0; i < count && status == SWL_OK; i++) {
        const swl_chart *one = &chart->charts[i];
        status = swl_islands_init(&islands[i], one->field, one->t_discharge_limit_k, one->scale, err);
    }
    if (status == SWL_OK) {
        page p = {.canvas = &canvas, .chart = chart, .islands = islands};
        status = swl_plot_run(&canvas, page_draw, &p, err);
    }
    for (size_t i = 0; i < count; i++) {
        swl_islands_free(&islands[i]);
    }
    if (status == SWL_OK) {
        status = swl_canvas_close(&canvas, out, err);
    }
    swl_canvas_free(&canvas);
    return status;
}
