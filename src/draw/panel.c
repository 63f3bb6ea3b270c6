#include "draw/panel.h"

#include "base/locale_c.h"

#include <math.h>
#include <plplot.h>
#include <setjmp.h>
#include <stdio.h>

/* PLplot has one global stream and ends the process on an error unless its exit hook jumps away; the hook
 * has no argument, so its target cannot be anything but a global. */
static jmp_buf plot_jump;
static char plot_reason[200];

static int plot_exit(PLCHAR_VECTOR reason)
{
    (void)snprintf(plot_reason, sizeof plot_reason, "%s", reason == NULL ? "unknown" : reason);
    longjmp(plot_jump, 1);
}

static void plot_abort(PLCHAR_VECTOR reason)
{
    (void)plot_exit(reason);
}

swl_status swl_plot_run(swl_canvas *canvas, swl_draw_function *draw, void *context, swl_err *err)
{
    cairo_matrix_t matrix;
    cairo_get_matrix(canvas->cr, &matrix);
    volatile swl_status status = SWL_OK;
    plsexit(plot_exit);
    plsabort(plot_abort);
    if (setjmp(plot_jump) == 0) {
        (void)plsdev("extcairo");
        (void)plsetopt("drvopt", "set_background=0");
        plspage(0, 0, (PLINT)canvas->width, (PLINT)canvas->height, 0, 0);
        plinit();
        pl_cmd(PLESC_DEVINIT, canvas->cr);
        pladv(0);
        cairo_set_matrix(canvas->cr, &matrix);
        status = draw(context, err);
    } else {
        status = swl_err_set(err, SWL_ERR_DRAW, "the plotting library stopped: %s", plot_reason);
    }
    if (setjmp(plot_jump) == 0) {
        plend();
    }
    plsexit(NULL);
    plsabort(NULL);
    cairo_set_matrix(canvas->cr, &matrix);
    return status;
}

void swl_draw_versions(swl_buf *out)
{
    char version[80] = "";
    plgver(version);
    swl_buf_printf(out, "cairo %s, PLplot %s", cairo_version_string(), version);
}

/* PLplot counts pages of whole units from the bottom. Its matrix is set for the time of a call and ours put back. */
static void plot_enter(const swl_panel *panel, cairo_matrix_t *ours)
{
    const swl_canvas *canvas = panel->canvas;
    double width = floor(canvas->width);
    double height = floor(canvas->height);
    cairo_get_matrix(canvas->cr, ours);
    cairo_translate(canvas->cr, 0, height);
    cairo_scale(canvas->cr, 1, -1);
    plvpor(panel->box.x0 / width, panel->box.x1 / width, 1 - panel->box.y1 / height, 1 - panel->box.y0 / height);
    plwind(panel->xa, panel->xb, panel->ya, panel->yb);
}

static void plot_leave(const swl_panel *panel, const cairo_matrix_t *ours)
{
    cairo_set_matrix(panel->canvas->cr, ours);
}

static void plot_pen(swl_rgb colour, double width)
{
    plscol0(1, (PLINT)(colour.r * 255 + 0.5), (PLINT)(colour.g * 255 + 0.5), (PLINT)(colour.b * 255 + 0.5));
    plcol0(1);
    plwidth(width);
    pllsty(1);
}

swl_ticks swl_ticks_for(double span, int most)
{
    static const double steps[] = {1, 2, 2.5, 5, 10};
    static const int minors[] = {5, 4, 5, 5, 5};
    double rough = (span > 0 ? span : 1) / most;
    double power = pow(10, floor(log10(rough)));
    size_t k = 0;
    while (k < 4 && steps[k] * power < rough * (1 - 1e-9)) {
        k++;
    }
    double step = steps[k] * power;
    int decimals = 0;
    while (decimals < 6 && fabs(step * pow(10, decimals) - round(step * pow(10, decimals))) > 1e-6) {
        decimals++;
    }
    return (swl_ticks){.step = step, .minor = minors[k], .decimals = decimals};
}

double swl_panel_x(const swl_panel *panel, double x)
{
    return panel->box.x0 + (x - panel->xa) / (panel->xb - panel->xa) * (panel->box.x1 - panel->box.x0);
}

double swl_panel_y(const swl_panel *panel, double y)
{
    return panel->box.y1 - (y - panel->ya) / (panel->yb - panel->ya) * (panel->box.y1 - panel->box.y0);
}

swl_spot swl_panel_spot(const swl_panel *panel, double x, double y)
{
    double across = x;
    double up = y;
    if (panel->scan != NULL) {
        swl_scan_pixel(panel->scan, x, y, &across, &up);
    }
    swl_spot spot = {swl_panel_x(panel, across), swl_panel_y(panel, up)};
    /* A flow of 0 has no place on a logarithmic axis: far off the page, since cairo takes no NaN. */
    return isnan(spot.x) || isnan(spot.y) ? (swl_spot){-1e4, 1e4} : spot;
}

bool swl_panel_shows(const swl_panel *panel, swl_spot spot)
{
    return spot.x >= panel->box.x0 && spot.x <= panel->box.x1 && spot.y >= panel->box.y0 && spot.y <= panel->box.y1;
}

void swl_panel_clip(const swl_panel *panel)
{
    cairo_t *cr = panel->canvas->cr;
    cairo_save(cr);
    cairo_rectangle(cr, panel->box.x0, panel->box.y0, panel->box.x1 - panel->box.x0, panel->box.y1 - panel->box.y0);
    cairo_clip(cr);
}

void swl_panel_unclip(const swl_panel *panel)
{
    cairo_restore(panel->canvas->cr);
}

void swl_panel_path(const swl_panel *panel, const double *x, const double *y, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        swl_spot spot = swl_panel_spot(panel, x[i], y[i]);
        if (i == 0) {
            cairo_move_to(panel->canvas->cr, spot.x, spot.y);
        } else {
            cairo_line_to(panel->canvas->cr, spot.x, spot.y);
        }
    }
}

void swl_panel_take(const swl_panel *panel, const double *x, const double *y, size_t count)
{
    double step = 6 * panel->canvas->stroke;
    double half = 2 * panel->canvas->stroke;
    for (size_t i = 0; i < count; i++) {
        swl_spot from = swl_panel_spot(panel, x[i], y[i]);
        swl_spot to = i + 1 < count ? swl_panel_spot(panel, x[i + 1], y[i + 1]) : from;
        double dx = to.x - from.x;
        double dy = to.y - from.y;
        int pieces = 1 + (int)fmin(hypot(dx, dy) / step, 500);
        for (int k = 0; k < pieces; k++) {
            double px = from.x + dx * k / pieces;
            double py = from.y + dy * k / pieces;
            swl_canvas_take(panel->canvas, (swl_rect){px - half, py - half, px + half, py + half});
        }
    }
}

void swl_panel_grid_y(const swl_panel *panel, swl_ticks y)
{
    for (long k = (long)ceil(panel->ya / y.step); (double)k * y.step < panel->yb; k++) {
        double gx[2] = {panel->xa, panel->xb};
        double gy[2] = {(double)k * y.step, (double)k * y.step};
        swl_panel_path(panel, gx, gy, 2);
    }
    swl_canvas_colour(panel->canvas, swl_grey, 0.25);
    swl_canvas_stroke(panel->canvas, 0.8, NULL);
}

void swl_panel_frame(const swl_panel *panel, swl_ticks x, swl_ticks y)
{
    cairo_matrix_t ours;
    plot_enter(panel, &ours);
    plot_pen(swl_ink, 1.1 * panel->canvas->stroke);
    cairo_set_dash(panel->canvas->cr, NULL, 0, 0);
    double size_mm = 1.6 * panel->canvas->stroke;
    plsmaj(size_mm, 1);
    plsmin(size_mm / 2, 1);
    plbox("bcts", x.step, x.minor, "bcts", y.step, y.minor);
    plot_leave(panel, &ours);
}

void swl_panel_curve(const swl_panel *panel, const double *x, const double *y, size_t count, double width,
                     swl_rgb colour)
{
    cairo_matrix_t ours;
    plot_enter(panel, &ours);
    plot_pen(colour, width * panel->canvas->stroke);
    /* The plotting library strokes with whatever dashes the context holds. */
    cairo_set_dash(panel->canvas->cr, NULL, 0, 0);
    plline((PLINT)count, x, y);
    plot_leave(panel, &ours);
}

/* The first and the last whole multiple of a step within a span. */
static long first_multiple(double from, double step)
{
    return (long)ceil(from / step - 1e-9);
}

static long last_multiple(double to, double step)
{
    return (long)floor(to / step + 1e-9);
}

static swl_label number_label(double value, int decimals, double size)
{
    swl_label label = {.size = size, .colour = swl_ink};
    /* No "-0". */
    (void)swl_locale_print(label.text, sizeof label.text, "%.*f", decimals, fabs(value) < 1e-9 ? 0.0 : value);
    return label;
}

void swl_panel_numbers_x(const swl_panel *panel, swl_ticks ticks, bool top, double scale, double shift, double size)
{
    double from = panel->xa * scale + shift;
    double to = panel->xb * scale + shift;
    for (long k = first_multiple(from, ticks.step); k <= last_multiple(to, ticks.step); k++) {
        swl_label label = number_label((double)k * ticks.step, ticks.decimals, size);
        label.x = swl_panel_x(panel, ((double)k * ticks.step - shift) / scale);
        label.y = top ? panel->box.y0 - 0.4 * size : panel->box.y1 + 0.45 * size;
        label.down = top ? 1 : -1;
        swl_canvas_label(panel->canvas, &label);
    }
}

void swl_panel_numbers_y(const swl_panel *panel, swl_ticks ticks, bool right, double scale, double shift, double size)
{
    double from = panel->ya * scale + shift;
    double to = panel->yb * scale + shift;
    for (long k = first_multiple(from, ticks.step); k <= last_multiple(to, ticks.step); k++) {
        swl_label label = number_label((double)k * ticks.step, ticks.decimals, size);
        label.x = right ? panel->box.x1 + 0.5 * size : panel->box.x0 - 0.5 * size;
        label.y = swl_panel_y(panel, ((double)k * ticks.step - shift) / scale);
        label.across = right ? -1 : 1;
        swl_canvas_label(panel->canvas, &label);
    }
}

void swl_panel_ticks_side(const swl_panel *panel, swl_ticks ticks, bool is_x, double scale, double shift)
{
    cairo_t *cr = panel->canvas->cr;
    double from = (is_x ? panel->xa : panel->ya) * scale + shift;
    double to = (is_x ? panel->xb : panel->yb) * scale + shift;
    double length = 6 * panel->canvas->stroke;
    for (long k = first_multiple(from, ticks.step); k <= last_multiple(to, ticks.step); k++) {
        double at = ((double)k * ticks.step - shift) / scale;
        if (is_x) {
            cairo_move_to(cr, swl_panel_x(panel, at), panel->box.y0);
            cairo_rel_line_to(cr, 0, length);
        } else {
            cairo_move_to(cr, panel->box.x1, swl_panel_y(panel, at));
            cairo_rel_line_to(cr, -length, 0);
        }
    }
    swl_canvas_colour(panel->canvas, swl_ink, 1);
    swl_canvas_stroke(panel->canvas, 1.1, NULL);
}
