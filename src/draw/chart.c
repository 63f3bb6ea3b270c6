#include "draw/chart.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

typedef struct page {
    swl_canvas *canvas;
    const swl_chart *chart;
    const swl_islands *islands;
} page;

static bool step_inside(const swl_check *check, size_t i)
{
    return check->line[i].map_where == SWL_MAP_INSIDE && check->line[i + 1].map_where == SWL_MAP_INSIDE;
}

size_t swl_run_end(const swl_check *check, size_t from, bool *inside)
{
    *inside = step_inside(check, from);
    size_t to = from + 1;
    while (to + 1 < check->line_count && step_inside(check, to) == *inside) {
        to++;
    }
    return to;
}

static void page_text(swl_canvas *canvas, double x, double y, double size, bool bold, const char *text)
{
    swl_label label = {.x = x, .y = y, .across = -1, .down = -1, .size = size, .bold = bold, .colour = swl_ink};
    (void)snprintf(label.text, sizeof label.text, "%s", text);
    swl_utf8_clean(label.text);
    swl_canvas_label(canvas, &label);
}

/* Breaks the caption into lines of the page's width. Returns: how many; draw is false to count only. */
static int caption_lines(swl_canvas *canvas, const char *text, double x, double y, double width, double size, bool draw)
{
    char line[200] = "";
    int lines = 0;
    for (const char *word = text; *word != '\0';) {
        size_t n = strcspn(word, " ");
        size_t have = strlen(line);
        char longer[404];
        (void)snprintf(longer, sizeof longer, "%s%s%.*s", line, have > 0 ? " " : "", (int)n, word);
        double w = 0;
        double h = 0;
        swl_canvas_measure(canvas, longer, size, false, &w, &h);
        bool fits = (w <= width || have == 0) && have + n + 2 < sizeof line;
        if (!fits && have > 0) {
            if (draw) {
                page_text(canvas, x, y + lines * 1.35 * size, size, false, line);
            }
            lines++;
            (void)snprintf(line, sizeof line, "%.*s", (int)n, word);
        } else {
            memcpy(line, longer, have + n + 2);
        }
        word += n;
        word += strspn(word, " ");
    }
    if (line[0] != '\0') {
        if (draw) {
            page_text(canvas, x, y + lines * 1.35 * size, size, false, line);
        }
        lines++;
    }
    return lines;
}

swl_status swl_no_room(const swl_canvas *canvas, swl_err *err)
{
    const swl_picture *picture = &canvas->picture;
    return swl_err_set(err, SWL_ERR_USAGE,
                       "a picture of %dx%d leaves no room for its type at %g dpi; a larger size or a smaller dpi is "
                       "accepted",
                       picture->width, picture->height, picture->dpi);
}

static swl_status page_draw(void *context, swl_err *err)
{
    const page *p = context;
    swl_canvas *canvas = p->canvas;
    const swl_chart *chart = p->chart;
    double f = canvas->font;
    double margin = 1.2 * f;
    double small = 0.86 * f;
    double width = canvas->width - 2 * margin;
    page_text(canvas, margin, margin, 1.4 * f, true, chart->title);
    int sub = caption_lines(canvas, chart->subtitle, margin, margin + 2.0 * f, width, f * 0.95, true);
    double top = margin + 2.4 * f + sub * 1.35 * 0.95 * f;
    int lines = caption_lines(canvas, chart->caption, margin, 0, width, small, false);
    double foot = canvas->height - margin - lines * 1.35 * small;
    (void)caption_lines(canvas, chart->caption, margin, foot, width, small, true);
    double bottom = foot - 0.6 * f;
    bool curves = chart->check != NULL && canvas->picture.parts != SWL_PARTS_MAP;
    bool map = canvas->picture.parts != SWL_PARTS_CURVES || chart->check == NULL;
    double split = !curves ? canvas->width - margin : !map ? margin : margin + 0.63 * width;
    swl_status status = SWL_OK;
    if (map) {
        status = swl_draw_map(canvas, chart, p->islands, (swl_rect){margin, top, split, bottom}, err);
    }
    if (curves && status == SWL_OK) {
        status = swl_draw_curves(canvas, chart, (swl_rect){split, top, canvas->width - margin, bottom}, err);
    }
    return status;
}

swl_status swl_draw_chart(const swl_chart *chart, const swl_picture *picture, swl_buf *out, swl_err *err)
{
    swl_canvas canvas;
    swl_status status = swl_canvas_open(&canvas, picture, chart->title, err);
    if (status != SWL_OK) {
        return status;
    }
    /* Made before the plotting library runs, which leaves by a jump when it aborts. */
    swl_islands islands;
    status = swl_islands_init(&islands, chart->field, chart->t_discharge_limit_k, err);
    if (status == SWL_OK) {
        page p = {.canvas = &canvas, .chart = chart, .islands = &islands};
        status = swl_plot_run(&canvas, page_draw, &p, err);
        swl_islands_free(&islands);
    }
    if (status == SWL_OK) {
        status = swl_canvas_close(&canvas, out, err);
    }
    swl_canvas_free(&canvas);
    return status;
}
