#include "draw/chart.h"

#include "base/locale_c.h"
#include "draw/page.h"
#include "draw/panel.h"

#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>

/* Blue for speed lines, vermilion for islands: apart for every kind of sight, and in grey. */
static const swl_rgb line_colour = {0.05, 0.25, 0.62};
static const swl_rgb island_colour = {0.84, 0.30, 0.02};

/* The scan on the page: page = origin + pixel * scale, a pixel's centre half a pixel in. */
typedef struct frame {
    swl_canvas *canvas;
    const swl_trace_preview *preview;
    swl_rect box;
    double scale;
} frame;

static void to_page(const frame *f, swl_pixel at, double *x, double *y)
{
    *x = f->box.x0 + (at.x + 0.5) * f->scale;
    *y = f->box.y0 + (at.y + 0.5) * f->scale;
}

static void fit_box(frame *f, swl_rect room)
{
    const swl_image *image = &f->preview->tracing->scan.image;
    double font = f->canvas->font;
    double left = 3.2 * font;
    double top = 1.6 * font;
    double width = room.x1 - room.x0 - left;
    double height = room.y1 - room.y0 - top;
    f->scale = fmin(width / image->width, height / image->height);
    double x0 = room.x0 + left + (width - f->scale * image->width) / 2;
    double y0 = room.y0 + top;
    f->box = (swl_rect){x0, y0, x0 + f->scale * image->width, y0 + f->scale * image->height};
}

/* The scan, paled so that what was traced stands out. */
static swl_status draw_scan(const frame *f, swl_err *err)
{
    cairo_t *cr = f->canvas->cr;
    cairo_surface_t *surface = swl_scan_surface(&f->preview->tracing->scan.image, 0);
    if (cairo_surface_status(surface) != CAIRO_STATUS_SUCCESS) {
        cairo_surface_destroy(surface);
        return swl_err_set(err, SWL_ERR_MEMORY, "out of memory for the picture of the chart");
    }
    cairo_save(cr);
    cairo_rectangle(cr, f->box.x0, f->box.y0, f->box.x1 - f->box.x0, f->box.y1 - f->box.y0);
    cairo_clip(cr);
    cairo_translate(cr, f->box.x0, f->box.y0);
    cairo_scale(cr, f->scale, f->scale);
    cairo_set_source_surface(cr, surface, 0, 0);
    cairo_pattern_set_filter(cairo_get_source(cr), CAIRO_FILTER_GOOD);
    cairo_paint(cr);
    cairo_restore(cr);
    cairo_surface_destroy(surface);
    cairo_save(cr);
    cairo_rectangle(cr, f->box.x0, f->box.y0, f->box.x1 - f->box.x0, f->box.y1 - f->box.y0);
    swl_canvas_colour(f->canvas, (swl_rgb){1, 1, 1}, 0.45);
    cairo_fill(cr);
    cairo_restore(cr);
    return SWL_OK;
}

/* Pixels between labelled ticks: 1, 2 or 5 times a power of ten, about eight font sizes apart. */
static double tick_step(const frame *f)
{
    double wanted = 6 * f->canvas->font / f->scale;
    double power = pow(10, floor(log10(wanted)));
    double share = wanted / power;
    return fmax(1, power * (share <= 1 ? 1 : share <= 2 ? 2 : share <= 5 ? 5 : 10));
}

static void ruler(const frame *f, bool down)
{
    swl_canvas *canvas = f->canvas;
    const swl_image *image = &f->preview->tracing->scan.image;
    double step = tick_step(f);
    double font = canvas->font;
    double last = (down ? image->height : image->width) - 1;
    swl_canvas_colour(canvas, swl_grey, 1);
    for (int k = 0; k * step / 5 <= last; k++) {
        double x = 0;
        double y = 0;
        double at = k * step / 5;
        bool large = k % 5 == 0;
        double length = (large ? 0.45 : 0.22) * font;
        to_page(f, down ? (swl_pixel){0, at} : (swl_pixel){at, 0}, &x, &y);
        cairo_move_to(canvas->cr, down ? f->box.x0 : x, down ? y : f->box.y0);
        cairo_line_to(canvas->cr, down ? f->box.x0 - length : x, down ? y : f->box.y0 - length);
        if (large) {
            swl_label label = {.x = down ? f->box.x0 - 0.65 * font : x,
                               .y = down ? y : f->box.y0 - 0.65 * font,
                               .across = down ? 1 : 0,
                               .down = down ? 0 : 1,
                               .size = 0.8 * font,
                               .colour = swl_grey};
            (void)swl_locale_print(label.text, sizeof label.text, "%.0f", at);
            swl_canvas_label(canvas, &label);
        }
    }
    swl_canvas_stroke(canvas, 1, NULL);
}

static void frame_line(const frame *f)
{
    swl_canvas_colour(f->canvas, swl_grey, 1);
    cairo_rectangle(f->canvas->cr, f->box.x0, f->box.y0, f->box.x1 - f->box.x0, f->box.y1 - f->box.y0);
    swl_canvas_stroke(f->canvas, 1, NULL);
}

/* The stretches between neighbouring points, or those over gaps. */
static void path_of(const frame *f, const swl_track *track, bool over_gaps)
{
    cairo_t *cr = f->canvas->cr;
    double gap_px = fmax(4, 1.9 * track->width_px);
    size_t count = track->count + (track->closed ? 1 : 0);
    for (size_t i = 1; i < count; i++) {
        swl_pixel a = track->points[i - 1];
        swl_pixel b = track->points[i % track->count];
        double x = 0;
        double y = 0;
        bool gap = hypot(b.x - a.x, b.y - a.y) > gap_px;
        if (gap != over_gaps) {
            continue;
        }
        to_page(f, a, &x, &y);
        double have_x = 0;
        double have_y = 0;
        bool goes_on = cairo_has_current_point(cr);
        cairo_get_current_point(cr, &have_x, &have_y);
        if (!goes_on || hypot(have_x - x, have_y - y) > 1e-6) {
            cairo_move_to(cr, x, y);
        }
        to_page(f, b, &x, &y);
        cairo_line_to(cr, x, y);
    }
}

static void draw_curve(const frame *f, const swl_trace_curve *curve)
{
    static const double dots[] = {1.5, 2.5, 0};
    swl_canvas *canvas = f->canvas;
    swl_rgb colour = curve->kind == SWL_TRACE_ISLAND ? island_colour : line_colour;
    cairo_save(canvas->cr);
    cairo_rectangle(canvas->cr, f->box.x0, f->box.y0, f->box.x1 - f->box.x0, f->box.y1 - f->box.y0);
    cairo_clip(canvas->cr);
    cairo_new_path(canvas->cr);
    path_of(f, &curve->track, false);
    swl_canvas_colour(canvas, (swl_rgb){1, 1, 1}, 0.8);
    swl_canvas_stroke(canvas, 3.6, NULL);
    cairo_new_path(canvas->cr);
    path_of(f, &curve->track, false);
    swl_canvas_colour(canvas, colour, 1);
    swl_canvas_stroke(canvas, 1.6, NULL);
    cairo_new_path(canvas->cr);
    path_of(f, &curve->track, true);
    swl_canvas_colour(canvas, colour, 1);
    swl_canvas_stroke(canvas, 1.6, dots);
    if (curve->order.line_count == 0) {
        double x = 0;
        double y = 0;
        to_page(f, curve->order.seed, &x, &y);
        cairo_new_sub_path(canvas->cr);
        cairo_arc(canvas->cr, x, y, 0.32 * canvas->font, 0, 2 * acos(-1.0));
        swl_canvas_stroke(canvas, 1.4, NULL);
    }
    cairo_restore(canvas->cr);
}

/* The value beside its curve, at the first of several places where there is room. */
static void label_curve(const frame *f, const swl_trace_curve *curve)
{
    static const double shares[] = {0.5, 0.3, 0.7, 0.15, 0.85, 0.4, 0.6, 0.03, 0.97};
    bool island = curve->kind == SWL_TRACE_ISLAND;
    swl_label label = {
        .size = 0.9 * f->canvas->font, .bold = true, .halo = true, .colour = island ? island_colour : line_colour};
    (void)swl_locale_print(label.text, sizeof label.text, island ? "%.4g %%" : "%.6g rpm",
                           island ? curve->value * 100 : curve->value);
    /* A speed line is named beyond its upper end, where no island is, above the name that the chart gives it. */
    size_t last = curve->track.count - 1;
    bool upper = curve->track.points[0].y < curve->track.points[last].y;
    to_page(f, curve->track.points[upper ? 0 : last], &label.x, &label.y);
    label.y -= 2.3 * f->canvas->font;
    if (!island && swl_canvas_label_try(f->canvas, &label, f->box)) {
        return;
    }
    for (size_t i = 0; i < sizeof shares / sizeof shares[0]; i++) {
        double share = shares[i];
        size_t at = (size_t)(share * (double)(curve->track.count - 1));
        to_page(f, curve->track.points[at], &label.x, &label.y);
        if (swl_canvas_label_try(f->canvas, &label, f->box)) {
            return;
        }
    }
}

static swl_status page_draw(frame *f, swl_err *err)
{
    const swl_trace_preview *preview = f->preview;
    const swl_tracing *tracing = preview->tracing;
    swl_rect room = swl_page_frame(f->canvas, preview->title, preview->subtitle, preview->caption);
    fit_box(f, room);
    if (!(f->box.x1 - f->box.x0 > 8 * f->canvas->font && f->box.y1 - f->box.y0 > 8 * f->canvas->font)) {
        return swl_no_room(f->canvas, err);
    }
    swl_status status = draw_scan(f, err);
    if (status != SWL_OK) {
        return status;
    }
    for (size_t i = 0; i < tracing->count; i++) {
        draw_curve(f, &tracing->curves[i]);
    }
    for (size_t i = 0; i < tracing->count; i++) {
        label_curve(f, &tracing->curves[i]);
    }
    frame_line(f);
    ruler(f, false);
    ruler(f, true);
    return SWL_OK;
}

swl_status swl_draw_trace(const swl_trace_preview *preview, const swl_picture *picture, swl_buf *out, swl_err *err)
{
    swl_canvas canvas;
    swl_status status = swl_canvas_open(&canvas, picture, preview->title, err);
    if (status != SWL_OK) {
        return status;
    }
    frame f = {.canvas = &canvas, .preview = preview};
    status = page_draw(&f, err);
    if (status == SWL_OK) {
        status = swl_canvas_close(&canvas, out, err);
    }
    swl_canvas_free(&canvas);
    return status;
}
