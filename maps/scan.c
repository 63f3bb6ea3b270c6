/* Draws the invented chart that stands in for a maker's, as a scanner gives it: on tinted paper, and a little askew.
 * scan UNIT.ini > PICTURE.png. Where a value stands follows from page_of and the turn in main. */
#include "draw/contour.h"

#include "sweptline/sweptline.h"

#include <cairo.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#define WIDTH 1240
#define HEIGHT 880
#define FLOW_MAX_M3_H 1600.0
#define RATIO_MAX 2.4
#define TURN (1.2 * 3.14159265358979 / 180)

/* Values to the upright page, in pixels. */
static void page_of(double flow_m3_h, double ratio, double *x, double *y)
{
    *x = 130 + 1000 * flow_m3_h / FLOW_MAX_M3_H;
    *y = 780 - 660 * (ratio - 1) / (RATIO_MAX - 1);
}

static void at(cairo_t *cr, double flow_m3_h, double ratio, int first)
{
    double x = 0;
    double y = 0;
    page_of(flow_m3_h, ratio, &x, &y);
    if (first) {
        cairo_move_to(cr, x, y);
    } else {
        cairo_line_to(cr, x, y);
    }
}

static void words(cairo_t *cr, double x, double y, double share, const char *text)
{
    cairo_text_extents_t size;
    cairo_text_extents(cr, text, &size);
    cairo_move_to(cr, x - share * size.x_advance, y);
    cairo_show_text(cr, text);
}

static void axes(cairo_t *cr)
{
    char text[40];
    double x = 0;
    double y = 0;
    cairo_set_source_rgb(cr, 0.62, 0.62, 0.60);
    cairo_set_line_width(cr, 1);
    for (int flow = 0; flow <= 1600; flow += 200) {
        at(cr, flow, 1, 1);
        at(cr, flow, RATIO_MAX, 0);
    }
    for (int k = 0; k <= 7; k++) {
        at(cr, 0, 1 + 0.2 * k, 1);
        at(cr, FLOW_MAX_M3_H, 1 + 0.2 * k, 0);
    }
    cairo_stroke(cr);
    cairo_set_source_rgb(cr, 0.15, 0.15, 0.17);
    cairo_set_line_width(cr, 2);
    at(cr, 0, RATIO_MAX, 1);
    at(cr, 0, 1, 0);
    at(cr, FLOW_MAX_M3_H, 1, 0);
    cairo_stroke(cr);
    for (int flow = 0; flow <= 1600; flow += 200) {
        (void)snprintf(text, sizeof text, "%d", flow);
        page_of(flow, 1, &x, &y);
        words(cr, x, y + 26, 0.5, text);
    }
    for (int k = 0; k <= 7; k++) {
        (void)snprintf(text, sizeof text, "%.1f", 1 + 0.2 * k);
        page_of(0, 1 + 0.2 * k, &x, &y);
        words(cr, x - 12, y + 6, 1, text);
    }
    words(cr, 630, 836, 0.5, "inlet volume flow, m3/h");
    words(cr, 40, 90, 0, "pressure ratio");
    words(cr, 630, 50, 0.5,
          "Invented Roots unit 185: adiabatic efficiency in per cent, lines of constant speed in rev/min");
}

static void speed_lines(cairo_t *cr, const swl_blower *blower)
{
    char text[40];
    for (size_t i = 0; i < swl_map_line_count(blower->map); i++) {
        swl_map_line line = swl_map_line_at(blower->map, i);
        double m3_h = blower->disp_m3_rev * line.speed_rpm * 60;
        for (size_t k = 0; k < line.count; k++) {
            at(cr, line.ev_frac[k] * m3_h, line.p_ratio[k], k == 0);
        }
        cairo_set_source_rgb(cr, 0.13, 0.25, 0.55);
        cairo_set_line_width(cr, 2);
        cairo_stroke(cr);
        double x = 0;
        double y = 0;
        page_of(line.ev_frac[line.count - 1] * m3_h, line.p_ratio[line.count - 1], &x, &y);
        (void)snprintf(text, sizeof text, "%.0f", line.speed_rpm);
        words(cr, x, y - 8, 0.5, text);
    }
}

static void islands(cairo_t *cr, const swl_field *field, const double *ratios)
{
    for (int percent = 45; percent < 80; percent += percent < 70 ? 5 : 2) {
        swl_grid grid = {field->speeds, field->ratios, field->vdot_m3_s, ratios, field->ea_frac};
        swl_loops loops = {0};
        swl_err err = {0};
        if (swl_contour(&grid, percent / 100.0, &loops, &err) != SWL_OK) {
            continue;
        }
        size_t longest = 0;
        for (size_t k = 0; k < loops.count; k++) {
            size_t count = loops.start[k + 1] - loops.start[k];
            for (size_t n = 0; n < count; n++) {
                size_t a = loops.start[k] + n;
                size_t b = loops.start[k] + (n + 1) % count;
                if (!loops.edge[a]) {
                    at(cr, loops.x[a] * 3600, loops.y[a], 1);
                    at(cr, loops.x[b] * 3600, loops.y[b], 0);
                    longest = n > count / 3 && longest == 0 ? a : longest;
                }
            }
        }
        cairo_set_source_rgb(cr, 0.60, 0.22, 0.10);
        cairo_set_line_width(cr, 1.6);
        cairo_stroke(cr);
        if (longest > 0) {
            char text[20];
            double x = 0;
            double y = 0;
            page_of(loops.x[longest] * 3600, loops.y[longest], &x, &y);
            (void)snprintf(text, sizeof text, "%d", percent);
            words(cr, x + 3, y - 3, 0, text);
        }
        swl_loops_free(&loops);
    }
}

static cairo_status_t put(void *closure, const unsigned char *bytes, unsigned len)
{
    return fwrite(bytes, 1, len, closure) == len ? CAIRO_STATUS_SUCCESS : CAIRO_STATUS_WRITE_ERROR;
}

int main(int argc, char **argv)
{
    swl_err err = {0};
    swl_diags diags = {0};
    swl_build bench = {.drive = {.d_crank_m = 0.1, .d_blower_m = 0.1, .jackshaft_ratio = 1},
                       .intake = {.bore_m = NAN, .adapter_bore_m = NAN, .inlet_bore_m = NAN}};
    swl_source disk = swl_source_disk();
    if (argc != 2 || swl_blower_load(&disk, argv[1], &bench.blower, &diags, &err) != SWL_OK) {
        (void)fprintf(stderr, "scan: one unit file is wanted; %s\n", err.text);
        return 2;
    }
    bench.site = (swl_site){.t_k = bench.blower.t_map_k, .p_pa = 1e5};
    swl_field field = {0};
    swl_match *match = swl_match_new(&bench, &err);
    if (match == NULL || swl_field_init(&field, match, bench.blower.map, 8, 97, &err) != SWL_OK) {
        return 3;
    }
    double *ratios = malloc(field.speeds * field.ratios * sizeof *ratios);
    for (size_t n = 0; ratios != NULL && n < field.speeds * field.ratios; n++) {
        ratios[n] = field.p_ratio[n % field.ratios];
    }
    cairo_surface_t *surface = cairo_image_surface_create(CAIRO_FORMAT_RGB24, WIDTH, HEIGHT);
    cairo_t *cr = cairo_create(surface);
    cairo_set_source_rgb(cr, 0.965, 0.955, 0.925);
    cairo_paint(cr);
    /* The sheet lies askew under the glass, turned clockwise about its middle. The middle of a pixel is half a unit
     * from its edge. */
    cairo_translate(cr, WIDTH / 2.0 + 0.5, HEIGHT / 2.0 + 0.5);
    cairo_rotate(cr, TURN);
    cairo_translate(cr, -WIDTH / 2.0, -HEIGHT / 2.0);
    cairo_select_font_face(cr, "DejaVu Sans", CAIRO_FONT_SLANT_NORMAL, CAIRO_FONT_WEIGHT_NORMAL);
    cairo_set_font_size(cr, 17);
    axes(cr);
    cairo_set_font_size(cr, 14);
    islands(cr, &field, ratios);
    speed_lines(cr, &bench.blower);
    int bad = cairo_surface_write_to_png_stream(surface, put, stdout) != CAIRO_STATUS_SUCCESS || fflush(stdout) != 0;
    cairo_destroy(cr);
    cairo_surface_destroy(surface);
    free(ratios);
    swl_field_free(&field);
    swl_match_free(match);
    swl_blower_free(&bench.blower);
    swl_diag_free(&diags);
    return bad ? 3 : 0;
}
