#include "draw/page.h"

#include "draw/panel.h"

#include <stdio.h>
#include <string.h>

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

/* draw is false to measure only. */
static swl_rect frame(swl_canvas *canvas, const char *title, const char *subtitle, const char *caption, bool draw)
{
    double f = canvas->font;
    double margin = 1.2 * f;
    double small = 0.86 * f;
    double width = canvas->width - 2 * margin;
    if (draw && title[0] != '\0') {
        page_text(canvas, margin, margin, 1.4 * f, true, title);
    }
    int sub = caption_lines(canvas, subtitle, margin, margin + 2.0 * f, width, f * 0.95, draw);
    int lines = caption_lines(canvas, caption, margin, 0, width, small, false);
    double foot = canvas->height - margin - lines * 1.35 * small;
    if (draw) {
        (void)caption_lines(canvas, caption, margin, foot, width, small, true);
    }
    /* Without a title the room is the page's. */
    double head = title[0] == '\0' && sub == 0 && draw ? 0 : 2.4 * f + sub * 1.35 * 0.95 * f;
    return (swl_rect){margin, margin + head, canvas->width - margin, foot - (lines == 0 ? 0 : 0.6 * f)};
}

swl_rect swl_page_frame(swl_canvas *canvas, const char *title, const char *subtitle, const char *caption)
{
    return frame(canvas, title, subtitle, caption, true);
}

swl_rect swl_page_room(swl_canvas *canvas, const char *subtitle, const char *caption)
{
    return frame(canvas, "", subtitle, caption, false);
}

swl_status swl_page_draw(const char *title, const void *chart, swl_draw_function *draw, const swl_picture *picture,
                         swl_buf *out, swl_err *err)
{
    swl_canvas canvas;
    swl_status status = swl_canvas_open(&canvas, picture, title, err);
    if (status != SWL_OK) {
        return status;
    }
    swl_page page = {.canvas = &canvas, .chart = chart};
    status = swl_plot_run(&canvas, draw, &page, err);
    if (status == SWL_OK) {
        status = swl_canvas_close(&canvas, out, err);
    }
    swl_canvas_free(&canvas);
    return status;
}
