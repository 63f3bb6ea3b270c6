#include "draw/chart.h"

#include "base/locale_c.h"

#include <math.h>
#include <stdint.h>
#include <stdio.h>

enum { VALUES_MAX = 60 };

static const swl_rgb grid_colour = {0.05, 0.33, 0.62};

swl_panel swl_scan_panel(swl_canvas *canvas, const swl_scan *scan, swl_rect box)
{
    double width = scan->image.width;
    double height = scan->image.height;
    double scale = fmin((box.x1 - box.x0) / width, (box.y1 - box.y0) / height);
    double middle = (box.x0 + box.x1) / 2;
    /* The middle of the first pixel is at 0, so that the picture's edges are half a pixel further out. */
    return (swl_panel){
        .canvas = canvas,
        .box = {middle - scale * width / 2, box.y0, middle + scale * width / 2, box.y0 + scale * height},
        .xa = -0.5,
        .xb = width - 0.5,
        .ya = height - 0.5,
        .yb = -0.5,
        .scan = scan,
    };
}

cairo_surface_t *swl_scan_surface(const swl_image *image, double dim_frac)
{
    cairo_surface_t *surface = cairo_image_surface_create(CAIRO_FORMAT_RGB24, image->width, image->height);
    if (cairo_surface_status(surface) != CAIRO_STATUS_SUCCESS) {
        return surface;
    }
    unsigned char mixed[256];
    for (int v = 0; v < 256; v++) {
        mixed[v] = (unsigned char)(v + dim_frac * (255 - v) + 0.5);
    }
    unsigned char *data = cairo_image_surface_get_data(surface);
    int stride = cairo_image_surface_get_stride(surface);
    for (int y = 0; y < image->height; y++) {
        uint32_t *to = (uint32_t *)(void *)(data + (ptrdiff_t)y * stride);
        const unsigned char *from = image->rgb + 3 * (size_t)y * (size_t)image->width;
        for (int x = 0; x < image->width; x++, from += 3) {
            to[x] = (uint32_t)mixed[from[0]] << 16 | (uint32_t)mixed[from[1]] << 8 | mixed[from[2]];
        }
    }
    cairo_surface_mark_dirty(surface);
    return surface;
}

swl_status swl_scan_draw(const swl_panel *panel, const swl_chart *chart, swl_err *err)
{
    const swl_image *image = &chart->scan->image;
    cairo_t *cr = panel->canvas->cr;
    if (image->rgb == NULL) {
        return swl_err_set(err, SWL_ERR_USAGE, "the picture's pixels were not read");
    }
    cairo_surface_t *surface = swl_scan_surface(image, chart->scan_dim_frac);
    if (cairo_surface_status(surface) != CAIRO_STATUS_SUCCESS) {
        cairo_surface_destroy(surface);
        return swl_err_set(err, SWL_ERR_MEMORY, "out of memory for a picture of %d x %d pixels", image->width,
                           image->height);
    }
    cairo_save(cr);
    cairo_rectangle(cr, panel->box.x0, panel->box.y0, panel->box.x1 - panel->box.x0, panel->box.y1 - panel->box.y0);
    cairo_clip(cr);
    cairo_translate(cr, panel->box.x0, panel->box.y0);
    double scale = (panel->box.x1 - panel->box.x0) / image->width;
    cairo_scale(cr, scale, scale);
    cairo_set_source_surface(cr, surface, 0, 0);
    if (panel->canvas->picture.format == SWL_FORMAT_PNG) {
        /* Beyond its edge the picture goes on, so that its rim is not mixed with nothing. */
        cairo_pattern_set_extend(cairo_get_source(cr), CAIRO_EXTEND_PAD);
    }
    cairo_paint(cr);
    cairo_restore(cr);
    cairo_surface_destroy(surface);
    cairo_rectangle(cr, panel->box.x0, panel->box.y0, panel->box.x1 - panel->box.x0, panel->box.y1 - panel->box.y0);
    swl_canvas_colour(panel->canvas, swl_grey, 1);
    swl_canvas_stroke(panel->canvas, 0.8, NULL);
    return SWL_OK;
}

/* What the calibration's points span, and round values within it, in SI and as shown. */
typedef struct frame {
    double low[2], high[2];
    double value[2][VALUES_MAX];
    double shown[2][VALUES_MAX];
    int count[2];
    int decimals[2];
    const char *unit;
} frame;

static void frame_span(const swl_calibration *c, frame *f)
{
    for (int k = 0; k < 2; k++) {
        f->low[k] = INFINITY;
        f->high[k] = -INFINITY;
        for (size_t i = 0; i < c->count; i++) {
            double value = k == 0 ? c->points[i].x : c->points[i].y;
            if (!isnan(value)) {
                f->low[k] = fmin(f->low[k], value);
                f->high[k] = fmax(f->high[k], value);
            }
        }
    }
}

/* Decimals that a value of 1, 2 or 5 times a power of ten wants. */
static int decimals_of(double step)
{
    int n = (int)ceil(-log10(step) - 1e-9);
    return n > 0 ? n : 0;
}

static void frame_values(frame *f, int k, bool is_log, double scale, int most)
{
    double low = f->low[k] * scale;
    double high = f->high[k] * scale;
    /* A logarithmic axis of a decade or more is told in 1, 2 and 5; a shorter one in even steps. */
    if (is_log && high / low >= 8) {
        static const double steps[] = {1, 2, 5};
        f->decimals[k] = decimals_of(low);
        for (int n = 3 * (int)floor(log10(low)); f->count[k] < VALUES_MAX; n++) {
            int decade = (int)floor(n / 3.0);
            double shown = steps[n - 3 * decade] * pow(10, decade);
            if (shown > high * (1 + 1e-9)) {
                break;
            }
            if (shown >= low * (1 - 1e-9)) {
                f->shown[k][f->count[k]++] = shown;
            }
        }
    } else {
        swl_ticks ticks = swl_ticks_for(high - low, most);
        f->decimals[k] = ticks.decimals;
        long last = lround(floor(high / ticks.step + 1e-9));
        for (long n = lround(ceil(low / ticks.step - 1e-9)); n <= last && f->count[k] < VALUES_MAX; n++) {
            f->shown[k][f->count[k]++] = (double)n * ticks.step;
        }
    }
    for (int i = 0; i < f->count[k]; i++) {
        f->value[k][i] = f->shown[k][i] / scale;
    }
}

static frame frame_of(const swl_panel *panel, const swl_chart *chart)
{
    const swl_scan *scan = chart->scan;
    const swl_calibration *c = &scan->calibration;
    swl_shown flow = swl_shown_as(scan->x_is_mass ? SWL_SHOW_MASS_FLOW : SWL_SHOW_VOLUME_FLOW, chart->units);
    frame f = {.unit = flow.unit};
    double size = panel->canvas->font;
    int across = (int)fmin(12, (panel->box.x1 - panel->box.x0) / (5 * size));
    int up = (int)fmin(10, (panel->box.y1 - panel->box.y0) / (3 * size));
    frame_span(c, &f);
    frame_values(&f, 0, c->x_log, flow.scale, across < 2 ? 2 : across);
    frame_values(&f, 1, c->y_log, 1, up < 2 ? 2 : up);
    return f;
}

static swl_spot spot_of(const swl_panel *panel, double x, double y)
{
    double px = 0;
    double py = 0;
    swl_calibration_pixel(&panel->scan->calibration, x, y, &px, &py);
    return (swl_spot){swl_panel_x(panel, px), swl_panel_y(panel, py)};
}

static void line_between(const swl_panel *panel, double xa, double ya, double xb, double yb)
{
    swl_spot from = spot_of(panel, xa, ya);
    swl_spot to = spot_of(panel, xb, yb);
    cairo_move_to(panel->canvas->cr, from.x, from.y);
    cairo_line_to(panel->canvas->cr, to.x, to.y);
}

/* A cross at each point of the calibration, where its user saw it: of one with one coordinate, a stroke on the edge of
 * the frame. */
static void draw_points(const swl_panel *panel, const frame *f)
{
    const swl_calibration *c = &panel->scan->calibration;
    cairo_t *cr = panel->canvas->cr;
    double arm = 7 * panel->canvas->stroke;
    for (size_t i = 0; i < c->count; i++) {
        const swl_calibration_point *point = &c->points[i];
        swl_spot at = spot_of(panel, isnan(point->x) ? f->low[0] : point->x, isnan(point->y) ? f->low[1] : point->y);
        at.x = isnan(point->px) ? at.x : swl_panel_x(panel, point->px);
        at.y = isnan(point->py) ? at.y : swl_panel_y(panel, point->py);
        cairo_move_to(cr, at.x - arm, at.y);
        cairo_line_to(cr, at.x + arm, at.y);
        cairo_move_to(cr, at.x, at.y - arm);
        cairo_line_to(cr, at.x, at.y + arm);
    }
    swl_canvas_colour(panel->canvas, (swl_rgb){1, 1, 1}, 0.9);
    cairo_path_t *path = cairo_copy_path(cr);
    swl_canvas_stroke(panel->canvas, 4.5, NULL);
    cairo_append_path(cr, path);
    cairo_path_destroy(path);
    swl_canvas_colour(panel->canvas, swl_warn, 1);
    swl_canvas_stroke(panel->canvas, 1.8, NULL);
}

void swl_scan_grid(const swl_panel *panel, const swl_chart *chart)
{
    static const double dash[] = {2, 3, 0};
    frame f = frame_of(panel, chart);
    swl_panel_clip(panel);
    for (int i = 0; i < f.count[0]; i++) {
        line_between(panel, f.value[0][i], f.low[1], f.value[0][i], f.high[1]);
    }
    for (int i = 0; i < f.count[1]; i++) {
        line_between(panel, f.low[0], f.value[1][i], f.high[0], f.value[1][i]);
    }
    swl_canvas_colour(panel->canvas, grid_colour, 0.85);
    swl_canvas_stroke(panel->canvas, 1.1, dash);
    draw_points(panel, &f);
    swl_panel_unclip(panel);
}

/* One value beside the frame's end of its line, and a tick towards it. */
static void value_mark(const swl_panel *panel, swl_spot end, swl_spot before, bool is_x, double shown, int decimals,
                       double size)
{
    swl_canvas *canvas = panel->canvas;
    double run = hypot(end.x - before.x, end.y - before.y);
    double ux = run > 0 ? (end.x - before.x) / run : 0;
    double uy = run > 0 ? (end.y - before.y) / run : 0;
    double tick = 5 * canvas->stroke;
    cairo_move_to(canvas->cr, end.x, end.y);
    cairo_line_to(canvas->cr, end.x + ux * tick, end.y + uy * tick);
    swl_label label = {.x = end.x + ux * 1.8 * tick,
                       .y = end.y + uy * 1.8 * tick,
                       .across = is_x     ? 0
                                 : ux > 0 ? -1
                                          : 1,
                       .down = !is_x    ? 0
                               : uy < 0 ? 1
                                        : -1,
                       .size = size,
                       .halo = true,
                       .colour = grid_colour};
    /* No "-0". */
    (void)swl_locale_print(label.text, sizeof label.text, "%.*f", decimals, fabs(shown) < 1e-9 ? 0.0 : shown);
    (void)swl_canvas_label_try(canvas, &label, (swl_rect){0, 0, canvas->width, canvas->height});
}

void swl_scan_axes(const swl_panel *panel, const swl_chart *chart, double size)
{
    swl_canvas *canvas = panel->canvas;
    frame f = frame_of(panel, chart);
    swl_label title = {.x = (panel->box.x0 + panel->box.x1) / 2,
                       .y = panel->box.y1 + 0.6 * size,
                       .down = -1,
                       .size = canvas->font * 0.9,
                       .colour = grid_colour};
    line_between(panel, f.low[0], f.high[1], f.high[0], f.high[1]);
    line_between(panel, f.high[0], f.low[1], f.high[0], f.high[1]);
    for (int i = 0; i < f.count[0]; i++) {
        value_mark(panel, spot_of(panel, f.value[0][i], f.high[1]), spot_of(panel, f.value[0][i], f.low[1]), true,
                   f.shown[0][i], f.decimals[0], size);
    }
    for (int i = 0; i < f.count[1]; i++) {
        value_mark(panel, spot_of(panel, f.high[0], f.value[1][i]), spot_of(panel, f.low[0], f.value[1][i]), false,
                   f.shown[1][i], f.decimals[1], size);
    }
    swl_canvas_colour(canvas, grid_colour, 1);
    swl_canvas_stroke(canvas, 1.1, NULL);
    (void)snprintf(title.text, sizeof title.text,
                   "In blue, by the calibration: %s flow, %s, above; pressure ratio, right",
                   panel->scan->x_is_mass ? "mass" : "inlet volume", f.unit);
    swl_canvas_label(canvas, &title);
}
