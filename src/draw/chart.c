#include "draw/chart.h"
#include "draw/page.h"

#include <math.h>

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
    swl_rect room = swl_page_frame(canvas, chart->title, chart->subtitle, chart->caption);
    bool curves = chart->check != NULL && canvas->picture.parts != SWL_PARTS_MAP;
    bool map = canvas->picture.parts != SWL_PARTS_CURVES || chart->check == NULL;
    double split = !curves ? room.x1 : !map ? room.x0 : room.x0 + 0.63 * (room.x1 - room.x0);
    swl_status status = SWL_OK;
    if (map) {
        status = swl_draw_map(canvas, chart, p->islands, (swl_rect){room.x0, room.y0, split, room.y1}, err);
    }
    if (curves && status == SWL_OK) {
        status = swl_draw_curves(canvas, chart, (swl_rect){split, room.y0, room.x1, room.y1}, err);
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
    swl_islands islands = {0};
    status = chart->field == NULL
                 ? SWL_OK
                 : swl_islands_init(&islands, chart->field, chart->t_discharge_limit_k, chart->scale, err);
    for (size_t i = 0; chart->places != NULL && i < chart->check->line_count; i++) {
        chart->places[i] = (swl_place){NAN, NAN, NAN, NAN, NAN};
    }
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
