/* Drawing over a picture: what is drawn must stand on the pixels that the calibration says. All data is invented. */
#include "support/near.h"
#include "support/scene.h"

#include "sweptline/image.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { WIDTH = 1300, HEIGHT = 820, SQUARES = 3 };

/* Where blue squares of 9 pixels stand in the picture, which is all green. */
static const int squares[SQUARES][2] = {{60, 50}, {1230, 70}, {80, 770}};

typedef struct known {
    const char *words;
    double o[2], e[2], f[2];
    bool x_log, y_log;
} known;

/* Upright, turned and sheared, upside down, logarithmic. Flows of the demo's line are 0.06 to 0.31 m3/s. */
static const known maps[] = {
    {"upright", {100, 1210}, {3000, 0}, {0, -480}, false, false},
    {"turned", {151.7, 1190.2}, {2950, 104.3}, {-31.9, -470.6}, false, false},
    {"mirrored", {1200, 1210}, {-3000, 20}, {9, -480}, false, false},
    {"logarithmic", {1600, 720}, {480, 9}, {-12, -700}, true, true},
};

static swl_scan scan_of(const known *map)
{
    swl_scan scan = {.given = true, .x_per_m3_s = 1, .x_factor = 1.0 / 3600, .image_name = "green.png"};
    scan.image.width = WIDTH;
    scan.image.height = HEIGHT;
    scan.image.rgb = malloc(3UL * WIDTH * HEIGHT);
    assert_non_null(scan.image.rgb);
    for (size_t i = 0; i < (size_t)WIDTH * HEIGHT; i++) {
        memcpy(scan.image.rgb + 3 * i, "\0\xFF\0", 3);
    }
    for (size_t s = 0; s < SQUARES; s++) {
        for (int dy = -4; dy <= 4; dy++) {
            for (int dx = -4; dx <= 4; dx++) {
                size_t at = (size_t)(squares[s][1] + dy) * WIDTH + (size_t)(squares[s][0] + dx);
                memcpy(scan.image.rgb + 3 * at, "\0\0\xFF", 3);
            }
        }
    }
    swl_calibration *c = &scan.calibration;
    *c = (swl_calibration){.way = SWL_CALIBRATION_CORNERS, .x_log = map->x_log, .y_log = map->y_log, .count = 4};
    for (size_t i = 0; i < 4; i++) {
        double x = i % 2 == 0 ? 0.05 : 0.3;
        double y = i / 2 == 0 ? 1.1 : 2.2;
        double u = map->x_log ? log(x) : x;
        double v = map->y_log ? log(y) : y;
        c->points[i] = (swl_calibration_point){.x = x,
                                               .y = y,
                                               .px = map->o[0] + u * map->e[0] + v * map->f[0],
                                               .py = map->o[1] + u * map->e[1] + v * map->f[1]};
    }
    swl_calibration_fault fault;
    assert_int_equal(swl_calibration_fit(c, &fault, NULL), SWL_OK);
    swl_near_abs(0, c->residual_px, 1e-9);
    return scan;
}

/* Middle of what is not green within a radius, or of what is blue in the whole picture's quarter around a place. */
static void middle_of(const swl_image *drawn, double px, double py, double radius, bool blue, double got[2])
{
    double weight = 0;
    got[0] = 0;
    got[1] = 0;
    for (int y = (int)fmax(0, py - radius); y <= (int)fmin(drawn->height - 1, py + radius); y++) {
        for (int x = (int)fmax(0, px - radius); x <= (int)fmin(drawn->width - 1, px + radius); x++) {
            const unsigned char *rgb = drawn->rgb + 3 * ((size_t)y * (size_t)drawn->width + (size_t)x);
            double part = blue ? fmax(0, rgb[2] - fmax(rgb[0], rgb[1])) : fmax(rgb[0], fmax(rgb[2], 255 - rgb[1]));
            if (hypot(x - px, y - py) <= radius) {
                weight += part;
                got[0] += part * x;
                got[1] += part * y;
            }
        }
    }
    assert_true(weight > 255);
    got[0] /= weight;
    got[1] /= weight;
}

/* Where pixels of the picture stand on the page, found by the squares. */
typedef struct placing {
    double x0, y0, scale;
} placing;

static placing find_placing(const swl_image *drawn, double dpi)
{
    /* The first guess comes from the outermost green. */
    int left = drawn->width;
    int right = 0;
    int top = drawn->height;
    for (int y = 0; y < drawn->height; y++) {
        for (int x = 0; x < drawn->width; x++) {
            const unsigned char *rgb = drawn->rgb + 3 * ((size_t)y * (size_t)drawn->width + (size_t)x);
            if (rgb[0] < 30 && rgb[1] > 225 && rgb[2] < 30) {
                left = x < left ? x : left;
                right = x > right ? x : right;
                top = y < top ? y : top;
            }
        }
    }
    double guess = (right - left + 1.0) / WIDTH;
    double at[SQUARES][2];
    for (size_t s = 0; s < SQUARES; s++) {
        middle_of(drawn, left + guess * squares[s][0], top + guess * squares[s][1], 9 * guess + 3 * dpi / 96, true,
                  at[s]);
    }
    placing p = {.scale = (at[1][0] - at[0][0]) / (squares[1][0] - squares[0][0])};
    /* As wide as high, and not turned. */
    swl_near(p.scale, (at[2][1] - at[0][1]) / (squares[2][1] - squares[0][1]), 1e-3);
    swl_near_abs(p.scale * (squares[1][1] - squares[0][1]), at[1][1] - at[0][1], 0.3);
    p.x0 = at[0][0] - p.scale * squares[0][0];
    p.y0 = at[0][1] - p.scale * squares[0][1];
    return p;
}

/* The marker of one operating point alone, which is put at several places of the map. */
static void check_marker(scene *s, const known *map, int width, int height, double dpi)
{
    static const double places[][2] = {{0.07, 1.2}, {0.15, 1.9}, {0.22, 1.5}, {0.29, 2.1}, {0.31, 1.25}};
    swl_scan scan = scan_of(map);
    s->chart.scan = &scan;
    s->chart.scan_dim_frac = 0;
    for (size_t i = 0; i < sizeof places / sizeof places[0]; i++) {
        swl_point mark = s->marks[0];
        mark.map_vdot_m3_s = places[i][0];
        mark.p_ratio = places[i][1];
        s->chart.marks = &mark;
        s->chart.mark_count = 1;
        swl_picture picture = picture_of(SWL_FORMAT_PNG, width, height, dpi);
        picture.parts = SWL_PARTS_MAP;
        swl_buf out = draw(s, picture);
        swl_image drawn = {0};
        swl_err err = {0};
        assert_int_equal(swl_image_read(swl_buf_text(&out), out.len, &drawn, &err), SWL_OK);
        placing p = find_placing(&drawn, dpi);
        double u = map->x_log ? log(places[i][0]) : places[i][0];
        double v = map->y_log ? log(places[i][1]) : places[i][1];
        double want[2];
        for (size_t k = 0; k < 2; k++) {
            double pixel = map->o[k] + u * map->e[k] + v * map->f[k];
            want[k] = (k == 0 ? p.x0 : p.y0) + p.scale * pixel;
        }
        double got[2];
        middle_of(&drawn, want[0], want[1], 7 * dpi / 96 * pow((width * 96 / dpi) * (height * 96 / dpi) / 1.6e6, 0.275),
                  false, got);
        swl_near_row(map->words, want[0], got[0], 0.5);
        swl_near_row(map->words, want[1], got[1], 0.5);
        swl_image_free(&drawn);
        swl_buf_free(&out);
    }
    swl_scan_free(&scan);
}

/* Nothing but the markers: no line, no limits. */
static void bare(scene *s)
{
    scene_demo(s);
    s->check.line_count = 0;
    s->chart.trace_count = 0;
    s->chart.t_discharge_limit_k = NAN;
}

static void test_registered(void **state)
{
    (void)state;
    scene s;
    bare(&s);
    for (size_t m = 0; m < sizeof maps / sizeof maps[0]; m++) {
        check_marker(&s, &maps[m], 1600, 1000, 96);
        check_marker(&s, &maps[m], 1100, 900, 96);
        check_marker(&s, &maps[m], 2600, 1500, 192);
    }
    scene_close(&s);
}

/* The same in SVG, whose numbers can be read: the picture's own transformation against the marker's ring, which starts
 * at its right. */
static void test_registered_svg(void **state)
{
    (void)state;
    scene s;
    bare(&s);
    for (size_t m = 0; m < sizeof maps / sizeof maps[0]; m++) {
        swl_scan scan = scan_of(&maps[m]);
        s.chart.scan = &scan;
        swl_point mark = s.marks[0];
        mark.map_vdot_m3_s = 0.2;
        mark.p_ratio = 1.7;
        s.chart.marks = &mark;
        s.chart.mark_count = 1;
        swl_picture picture = picture_of(SWL_FORMAT_SVG, 1600, 1000, 96);
        picture.parts = SWL_PARTS_MAP;
        swl_buf out = draw(&s, picture);
        const char *svg = swl_buf_text(&out);
        const char *use = strstr(svg, "<use xlink:href=\"#image");
        assert_non_null(use);
        double a[6];
        const char *matrix = strstr(use, "matrix(");
        assert_non_null(matrix);
        assert_int_equal(sscanf(matrix, "matrix(%lf,%lf,%lf,%lf,%lf,%lf)", &a[0], &a[1], &a[2], &a[3], &a[4], &a[5]),
                         6);
        const char *ring = strstr(use, "fill:rgb(100%,100%,100%);fill-opacity:1;stroke-width");
        assert_non_null(ring);
        double x = 0;
        double y = 0;
        assert_int_equal(sscanf(strstr(ring, "M "), "M %lf %lf C", &x, &y), 2);
        double u = maps[m].x_log ? log(0.2) : 0.2;
        double v = maps[m].y_log ? log(1.7) : 1.7;
        double px = maps[m].o[0] + u * maps[m].e[0] + v * maps[m].f[0] + 0.5;
        double py = maps[m].o[1] + u * maps[m].e[1] + v * maps[m].f[1] + 0.5;
        swl_near_row(maps[m].words, a[4] + a[0] * px, x - 5.2, 0.01);
        swl_near_row(maps[m].words, a[5] + a[3] * py, y, 0.01);
        swl_buf_free(&out);
        swl_scan_free(&scan);
    }
    scene_close(&s);
}

/* A share of white: 255 stays, 0 becomes the share of 255. */
static void test_dim(void **state)
{
    (void)state;
    static const double shares[] = {0, 0.3, 0.5, 0.95};
    scene s;
    bare(&s);
    swl_scan scan = scan_of(&maps[0]);
    s.chart.scan = &scan;
    s.chart.mark_count = 0;
    for (size_t i = 0; i < 4; i++) {
        s.chart.scan_dim_frac = shares[i];
        swl_picture picture = picture_of(SWL_FORMAT_PNG, 800, 600, 96);
        picture.parts = SWL_PARTS_MAP;
        swl_buf out = draw(&s, picture);
        swl_image drawn = {0};
        assert_int_equal(swl_image_read(swl_buf_text(&out), out.len, &drawn, NULL), SWL_OK);
        const unsigned char *rgb = drawn.rgb + 3 * ((size_t)300 * 800 + 400);
        swl_near_abs(255 * shares[i], rgb[0], 1);
        swl_near_abs(255, rgb[1], 1);
        swl_image_free(&drawn);
        swl_buf_free(&out);
    }
    swl_scan_free(&scan);
    scene_close(&s);
}

/* A unit of a picture alone, and a chart of one with a table; every format; a mass flow axis. */
static void test_kinds(void **state)
{
    (void)state;
    scene s;
    scene_demo(&s);
    swl_scan scan = scan_of(&maps[1]);
    s.chart.scan = &scan;
    for (int format = 0; format < 3; format++) {
        swl_buf whole = draw(&s, picture_of((swl_format)format, 1200, 800, 96));
        assert_true(whole.len > 10000);
        swl_buf_free(&whole);
    }
    s.chart.check = NULL;
    swl_buf table = draw(&s, picture_of(SWL_FORMAT_SVG, 1200, 800, 96));
    text_has(&table, "8000");
    swl_buf_free(&table);
    s.chart.field = NULL;
    s.chart.trace_count = 0;
    scan.x_is_mass = true;
    swl_buf alone = draw(&s, picture_of(SWL_FORMAT_SVG, 1200, 800, 96));
    text_has(&alone, "mass flow, kg/h");
    swl_buf_free(&alone);
    swl_scan_free(&scan);
    scene_close(&s);
}

/* Flow of the map's air times its density is what a mass flow axis says. */
static void test_mass_flow_axis(void **state)
{
    (void)state;
    swl_scan scan = scan_of(&maps[1]);
    double volume[2];
    double mass[2];
    swl_scan_pixel(&scan, 0.2, 1.5, &volume[0], &volume[1]);
    scan.x_per_m3_s = 1.25;
    swl_scan_pixel(&scan, 0.2 / 1.25, 1.5, &mass[0], &mass[1]);
    swl_near_abs(volume[0], mass[0], 1e-9);
    swl_near_abs(volume[1], mass[1], 1e-9);
    swl_scan_free(&scan);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_registered), cmocka_unit_test(test_registered_svg), cmocka_unit_test(test_dim),
        cmocka_unit_test(test_kinds),      cmocka_unit_test(test_mass_flow_axis),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
