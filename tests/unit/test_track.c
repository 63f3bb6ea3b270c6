/* Following lines on pictures made here, whose centres are known. */
#include "support/near.h"

#include "sweptline/trace.h"

#include <stdlib.h>
#include <string.h>

enum { SIDE = 240 };

static swl_image blank(void)
{
    swl_image image = {.width = SIDE, .height = SIDE};
    image.rgb = malloc((size_t)SIDE * SIDE * 3);
    assert_non_null(image.rgb);
    memset(image.rgb, 255, (size_t)SIDE * SIDE * 3);
    return image;
}

/* Mixes a colour into a pixel by a share, as anti-aliasing does. */
static void mix(swl_image *image, int x, int y, double share, const unsigned char rgb[3])
{
    unsigned char *to = image->rgb + 3 * ((size_t)y * SIDE + (size_t)x);
    for (int c = 0; c < 3; c++) {
        to[c] = (unsigned char)lround((1 - share) * to[c] + share * rgb[c]);
    }
}

/* How much of a pixel a line of a width covers whose centre is off_px away. */
static double cover(double off_px, double width_px)
{
    return fmin(fmax((width_px + 1) / 2 - fabs(off_px), 0), fmin(1, width_px));
}

static const unsigned char black[3] = {20, 20, 20};
static const unsigned char blue[3] = {31, 95, 174};

/* x = a + b y; dashes of so many pixels with as many between, 0 for solid. */
static void draw_line(swl_image *image, double a, double b, double width_px, int dash_px, const unsigned char rgb[3])
{
    for (int y = 10; y < SIDE - 10; y++) {
        if (dash_px > 0 && y / dash_px % 2 == 1) {
            continue;
        }
        for (int x = 0; x < SIDE; x++) {
            mix(image, x, y, cover((x - a - b * y) / hypot(1, b), width_px), rgb);
        }
    }
}

static void draw_circle(swl_image *image, double cx, double cy, double r, double width_px, const unsigned char rgb[3])
{
    for (int y = 0; y < SIDE; y++) {
        for (int x = 0; x < SIDE; x++) {
            mix(image, x, y, cover(hypot(x - cx, y - cy) - r, width_px), rgb);
        }
    }
}

static swl_track follow(const swl_image *image, double x, double y, bool corners)
{
    swl_track_order order = {.seed = {x, y}, .tolerance = SWL_TRACK_TOLERANCE, .gap_px = 20, .corners = corners};
    swl_track track;
    swl_err err = {0};
    assert_int_equal(swl_track_follow(image, &order, &track, &err), SWL_OK);
    return track;
}

/* A circle at a fraction of a pixel is found to a tenth of a pixel, closed and of its length. */
static void circles_are_found(void **state)
{
    (void)state;
    for (int i = 0; i < 8; i++) {
        double shift = i / 8.0;
        double r = 40 + 5.3 * i;
        swl_image image = blank();
        draw_circle(&image, 120 + shift, 118 - shift, r, 1 + 0.4 * i, blue);
        swl_track track = follow(&image, 120 + shift + r, 118, true);
        assert_int_equal(track.fault, SWL_TRACK_FOLLOWED);
        assert_true(track.closed);
        assert_true(track.count > 60);
        for (size_t k = 0; k < track.count; k++) {
            swl_near_abs(r, hypot(track.points[k].x - 120 - shift, track.points[k].y - 118 + shift), 0.12);
        }
        swl_near(2 * acos(-1.0) * r, track.length_px, 0.01);
        assert_int_equal(track.gaps, 0);
        assert_true(track.simple_count < track.count / 2);
        swl_track_free(&track);
        swl_image_free(&image);
    }
}

/* Straight lines at sub-pixel places: the mean offset is within 0.02 pixels, each point within 0.1. */
static void straight_lines_are_found(void **state)
{
    (void)state;
    for (int i = 0; i < 10; i++) {
        double a = 100 + 0.13 * i;
        double b = 0.11 * (i - 4);
        swl_image image = blank();
        draw_line(&image, a, b, 1.3, 0, black);
        swl_track track = follow(&image, a + b * 120, 120, false);
        double sum = 0;
        assert_true(track.count > 80);
        for (size_t k = 2; k + 2 < track.count; k++) {
            double off = (track.points[k].x - a - b * track.points[k].y) / hypot(1, b);
            swl_near_abs(0, off, 0.12);
            sum += off / (double)track.count;
        }
        swl_near_abs(0, sum, 0.02);
        swl_near_abs((SIDE - 21) * hypot(1, b), track.length_px, 4);
        swl_track_free(&track);
        swl_image_free(&image);
    }
}

static void dashes_are_bridged_and_counted(void **state)
{
    (void)state;
    swl_image image = blank();
    draw_line(&image, 90, 0.2, 1.6, 8, black);
    swl_track track = follow(&image, 90 + 0.2 * 116, 116, false);
    assert_int_equal(track.fault, SWL_TRACK_FOLLOWED);
    assert_in_range(track.gaps, 11, 15);
    swl_near_abs(8, track.longest_gap_px, 3);
    swl_near_abs(220 * hypot(1, 0.2), track.length_px, 12);
    for (size_t k = 0; k < track.count; k++) {
        swl_near_abs(90 + 0.2 * track.points[k].y, track.points[k].x, 0.35);
    }
    swl_track_free(&track);
    /* A gap longer than allowed ends the line. */
    swl_track_order order = {.seed = {90 + 0.2 * 116, 116}, .tolerance = SWL_TRACK_TOLERANCE, .gap_px = 3};
    swl_err err = {0};
    assert_int_equal(swl_track_follow(&image, &order, &track, &err), SWL_OK);
    assert_int_equal(track.fault, SWL_TRACK_TOO_SHORT);
    swl_track_free(&track);
    swl_image_free(&image);
}

/* Lines of one colour that cross at angles down to 15 degrees: each goes straight on. */
static void crossings_are_passed(void **state)
{
    (void)state;
    static const double slopes[] = {0.27, 0.6, 1.0, 1.8};
    for (size_t i = 0; i < 4; i++) {
        swl_image image = blank();
        draw_line(&image, 120, 0, 1.6, 0, black);
        draw_line(&image, 120.4 - 120 * slopes[i], slopes[i], 1.6, 0, black);
        swl_track track = follow(&image, 120, 40, false);
        assert_int_equal(track.fault, SWL_TRACK_FOLLOWED);
        for (size_t k = 0; k < track.count; k++) {
            swl_near_abs(120, track.points[k].x, fabs(track.points[k].y - 120) < 15 ? 1.2 : 0.3);
        }
        swl_near_abs(SIDE - 21, track.length_px, 5);
        swl_track_free(&track);
        swl_image_free(&image);
    }
}

/* Two areas that meet on a circle, with a pale line on the edge or without: found to a tenth of a pixel, though the
 * line is darker than both. */
static void edges_between_areas_are_found(void **state)
{
    (void)state;
    static const unsigned char in[3] = {0xdb, 0xe7, 0xb4};
    static const unsigned char out[3] = {0xb9, 0xd9, 0xab};
    for (int i = 0; i < 6; i++) {
        double r = 60.3 + 4.7 * i;
        double width_px = i % 3 * 0.8;
        swl_image image = blank();
        for (int y = 0; y < SIDE; y++) {
            for (int x = 0; x < SIDE; x++) {
                double off_px = hypot(x - 119.6, y - 120.3) - r;
                mix(&image, x, y, 1, out);
                mix(&image, x, y, fmin(fmax(0.5 - off_px, 0), 1), in);
                mix(&image, x, y, 0.4 * cover(off_px, width_px), black);
            }
        }
        swl_track_order order = {.seed = {round(119.6 + r), 120}, .gap_px = 20, .corners = true, .is_edge = true};
        memcpy(order.rgb, i % 2 == 0 ? in : out, 3);
        memcpy(order.rgb_beyond, i % 2 == 0 ? out : in, 3);
        swl_track track;
        swl_err err = {0};
        assert_int_equal(swl_track_follow(&image, &order, &track, &err), SWL_OK);
        assert_int_equal(track.fault, SWL_TRACK_FOLLOWED);
        assert_true(track.closed);
        double sum = 0;
        for (size_t k = 0; k < track.count; k++) {
            double off_px = hypot(track.points[k].x - 119.6, track.points[k].y - 120.3) - r;
            swl_near_abs(0, off_px, 0.3);
            sum += off_px / (double)track.count;
        }
        swl_near_abs(0, sum, 0.08);
        swl_track_free(&track);
        /* Other areas than those two have no edge there. */
        order.rgb[0] = 20;
        assert_int_equal(swl_track_follow(&image, &order, &track, &err), SWL_OK);
        assert_int_equal(track.fault, SWL_TRACK_NO_SUCH_COLOUR);
        swl_image_free(&image);
    }
}

/* Dashes of three pixels in a pale colour, and a sign beyond the line's end that is not part of it. */
static void short_dashes_are_followed_and_signs_left(void **state)
{
    (void)state;
    static const unsigned char pale[3] = {150, 155, 150};
    swl_image image = blank();
    for (int y = 40; y < SIDE - 10; y++) {
        for (int x = 0; x < SIDE && y % 5 < 3; x++) {
            mix(&image, x, y, cover((x - 90 - 0.1 * y) / hypot(1, 0.1), 1), pale);
        }
    }
    draw_circle(&image, 94, 24, 5, 1, pale);
    swl_track track = follow(&image, 102, 121, false);
    assert_int_equal(track.fault, SWL_TRACK_FOLLOWED);
    swl_near_abs(190 * hypot(1, 0.1), track.length_px, 6);
    for (size_t k = 0; k < track.count; k++) {
        swl_near_abs(90 + 0.1 * track.points[k].y, track.points[k].x, 0.3);
        assert_true(track.points[k].y > 37);
    }
    swl_track_free(&track);
    swl_image_free(&image);
}

/* A line of another colour beside and across does not draw it away. */
static void another_colour_is_left(void **state)
{
    (void)state;
    swl_image image = blank();
    draw_circle(&image, 120, 120, 60, 1.6, blue);
    draw_line(&image, 120, 0.3, 1.6, 0, black);
    swl_track track = follow(&image, 60, 120, true);
    assert_true(track.closed);
    for (size_t k = 0; k < track.count; k++) {
        swl_near_abs(60, hypot(track.points[k].x - 120, track.points[k].y - 120), 0.7);
    }
    swl_track_free(&track);
    swl_image_free(&image);
}

static void seeds_that_lead_to_nothing_say_why(void **state)
{
    (void)state;
    swl_image image = blank();
    draw_line(&image, 100, 0, 1.5, 0, black);
    draw_circle(&image, 180, 60, 1.5, 3, black);
    swl_track track = follow(&image, 300, 20, false);
    assert_int_equal(track.fault, SWL_TRACK_SEED_OUTSIDE);
    track = follow(&image, NAN, 20, false);
    assert_int_equal(track.fault, SWL_TRACK_SEED_OUTSIDE);
    track = follow(&image, 30, 30, false);
    assert_int_equal(track.fault, SWL_TRACK_ON_BACKGROUND);
    assert_int_equal(track.found[1], 255);
    track = follow(&image, 180, 60, false);
    assert_int_equal(track.fault, SWL_TRACK_TOO_SHORT);
    swl_track_free(&track);
    swl_track_order order = {
        .seed = {100, 100}, .tolerance = 0.1, .gap_px = 20, .has_colour = true, .rgb = {220, 30, 30}};
    swl_err err = {0};
    assert_int_equal(swl_track_follow(&image, &order, &track, &err), SWL_OK);
    assert_int_equal(track.fault, SWL_TRACK_NO_SUCH_COLOUR);
    swl_image_free(&image);
}

/* B. Ottosson (2020), values of the article's table for XYZ white and, from memory, sRGB red. */
static void oklab_of_known_colours(void **state)
{
    (void)state;
    swl_oklab white = swl_oklab_of(255, 255, 255);
    swl_near_abs(1, white.l, 1e-4);
    swl_near_abs(0, white.a, 1e-4);
    swl_near_abs(0, white.b, 1e-4);
    swl_oklab red = swl_oklab_of(255, 0, 0);
    swl_near_abs(0.6280, red.l, 5e-4);
    swl_near_abs(0.2249, red.a, 5e-4);
    swl_near_abs(0.1258, red.b, 5e-4);
    swl_near_abs(0, swl_oklab_of(0, 0, 0).l, 1e-9);
}

/* What is left out stands within the stated distance of what is kept. */
static void simplifying_keeps_its_distance(void **state)
{
    (void)state;
    enum { N = 400 };
    swl_pixel points[N];
    swl_pixel kept[N];
    size_t count = 0;
    swl_err err = {0};
    for (int i = 0; i < N; i++) {
        points[i] = (swl_pixel){i, 30 * sin(i / 40.0)};
    }
    assert_int_equal(swl_simplify(points, N, 0.25, kept, &count, &err), SWL_OK);
    assert_in_range(count, 10, 80);
    for (int i = 0; i < N; i++) {
        size_t k = 1;
        while (k + 1 < count && kept[k].x < i) {
            k++;
        }
        double share = (i - kept[k - 1].x) / (kept[k].x - kept[k - 1].x);
        swl_near_abs(points[i].y, kept[k - 1].y + share * (kept[k].y - kept[k - 1].y), 0.25 * 1.5);
    }
    assert_int_equal(swl_simplify(points, 1, 0.25, kept, &count, &err), SWL_OK);
    assert_int_equal(count, 1);
    assert_int_equal(swl_simplify(points, 0, 0.25, kept, &count, &err), SWL_OK);
    assert_int_equal(count, 0);
}

/* Curves of a closed form, given in pixels: the table has the form's values, inside the islands only. */
enum { LEVELS = 4, CURVE_POINTS = 120 };

static void a_known_map_comes_back(void **state)
{
    (void)state;
    swl_trace_curve curves[LEVELS + 3] = {{.name = ""}};
    static swl_pixel lines[LEVELS + 3][CURVE_POINTS];
    swl_err err = {0};
    /* 1 pixel is 1 L/s and 0.01 in ratio from 3 downwards. */
    swl_calibration calibration = {
        .way = SWL_CALIBRATION_UPRIGHT,
        .points = {{0, NAN, 0, NAN}, {1000, NAN, 1, NAN}, {NAN, 0, NAN, 3}, {NAN, 200, NAN, 1}},
        .count = 4};
    swl_calibration_fault fault = {0};
    assert_int_equal(swl_calibration_fit(&calibration, &fault, &err), SWL_OK);
    for (int i = 0; i < LEVELS; i++) {
        /* Ellipses about (500, 120): efficiency 0.76 less 0.04 (i + 1). */
        for (int k = 0; k < CURVE_POINTS; k++) {
            double angle = 2 * acos(-1.0) * k / (CURVE_POINTS - 1);
            double r = sqrt(i + 1);
            lines[i][k] = (swl_pixel){500 + 150 * r * cos(angle), 120 + 35 * r * sin(angle)};
        }
        curves[i].kind = SWL_TRACE_ISLAND;
        curves[i].value = 0.76 - 0.04 * (i + 1);
    }
    for (int i = 0; i < 3; i++) {
        for (int k = 0; k < CURVE_POINTS; k++) {
            double y = 40 + 1.3 * k;
            lines[LEVELS + i][k] = (swl_pixel){350 + 150 * i + 0.1 * y, y};
        }
        curves[LEVELS + i].value = 6000 + 2000 * i;
    }
    for (int i = 0; i < LEVELS + 3; i++) {
        curves[i].order.line = lines[i];
        curves[i].order.line_count = CURVE_POINTS;
        assert_int_equal(swl_track_follow(NULL, &curves[i].order, &curves[i].track, &err), SWL_OK);
    }
    swl_trace_clash clash;
    assert_false(swl_trace_clashes(curves, LEVELS + 3, &clash));
    swl_trace_map map;
    assert_int_equal(swl_trace_map_make(curves, LEVELS + 3, &calibration, 1, &map, &err), SWL_OK);
    assert_true(map.count > 30);
    assert_true(map.left_outside + map.left_below > 3);
    for (size_t i = 0; i < map.count; i++) {
        const swl_trace_row *row = &map.rows[i];
        double y = (3 - row->p_ratio) * 100;
        double x = row->vdot_m3_s * 1000;
        swl_near_abs(350 + 150 * (row->speed_rpm - 6000) / 2000 + 0.1 * y, x, 0.05);
        double r2 = (x - 500) * (x - 500) / 22500 + (y - 120) * (y - 120) / 1225;
        /* Above the highest island only the rise goes on. */
        swl_near_abs(0.76 - 0.04 * r2, row->ea_frac, r2 < 1 ? 0.012 : 0.002);
        assert_true(r2 < 4.6);
    }
    swl_near_abs(0, map.rms_frac, 0.001);
    assert_true(map.unseen_rms_frac < 0.01);
    assert_int_equal(map.unseen_islands, LEVELS - 2);
    /* A mass flow at twice the density is half the volume. */
    swl_trace_map half;
    assert_int_equal(swl_trace_map_make(curves, LEVELS + 3, &calibration, 2, &half, &err), SWL_OK);
    swl_near(map.rows[3].vdot_m3_s / 2, half.rows[3].vdot_m3_s, 1e-12);
    swl_trace_map_free(&half);
    swl_trace_map_free(&map);
    /* Islands on one straight line carry no surface. */
    for (int i = 0; i < LEVELS; i++) {
        for (size_t k = 0; k < curves[i].track.count; k++) {
            curves[i].track.points[k].y = 120;
        }
    }
    assert_int_equal(swl_trace_map_make(curves, LEVELS + 3, &calibration, 1, &map, &err), SWL_ERR_SOLVE);
    for (int i = 0; i < LEVELS + 3; i++) {
        swl_track_free(&curves[i].track);
    }
}

/* Islands that end short of the first speed line by a given distance, as the edges of filled bands do, and the rows
 * that the line then has. */
static size_t rows_beside(double short_px, size_t *reached)
{
    enum { POINTS = 60 };
    static swl_pixel lines[6][POINTS];
    swl_trace_curve curves[6] = {{.name = ""}};
    swl_err err = {0};
    /* 1 pixel is 1 L/s and 0.01 in ratio from 3 downwards. */
    swl_calibration calibration = {
        .way = SWL_CALIBRATION_UPRIGHT,
        .points = {{0, NAN, 0, NAN}, {1000, NAN, 1, NAN}, {NAN, 0, NAN, 3}, {NAN, 200, NAN, 1}},
        .count = 4};
    swl_calibration_fault fault = {0};
    assert_int_equal(swl_calibration_fit(&calibration, &fault, &err), SWL_OK);
    for (int i = 0; i < 6; i++) {
        bool island = i >= 3;
        for (int k = 0; k < POINTS; k++) {
            double share = k / (POINTS - 1.0);
            /* Islands lie across, speed lines along. */
            lines[i][k] = island ? (swl_pixel){300 + short_px + (400 - short_px) * share, 40 + 45 * (i - 3) + 8 * share}
                                 : (swl_pixel){300 + 150 * i, 20 + 170 * share};
        }
        curves[i].kind = island ? SWL_TRACE_ISLAND : SWL_TRACE_SPEED_LINE;
        curves[i].value = island ? 0.7 - 0.05 * (i - 3) : 4000 + 2000 * i;
        curves[i].order.line = lines[i];
        curves[i].order.line_count = POINTS;
        assert_int_equal(swl_track_follow(NULL, &curves[i].order, &curves[i].track, &err), SWL_OK);
        curves[i].track.width_px = 2;
    }
    swl_trace_map map;
    assert_int_equal(swl_trace_map_make(curves, 6, &calibration, 1, &map, &err), SWL_OK);
    size_t rows = 0;
    for (size_t i = 0; i < map.count; i++) {
        rows += map.rows[i].speed_rpm == 4000;
        /* Between the highest and the lowest island, 40 to 138 pixels down. */
        assert_true(map.rows[i].p_ratio < 2.62 && map.rows[i].p_ratio > 1.6);
    }
    assert_int_equal(rows == 0, map.lines_without == 1);
    *reached = map.reached;
    swl_trace_map_free(&map);
    for (int i = 0; i < 6; i++) {
        swl_track_free(&curves[i].track);
    }
    return rows;
}

static void islands_that_end_at_a_stroke_reach_its_line(void **state)
{
    (void)state;
    size_t reached = 0;
    size_t all = rows_beside(0, &reached);
    assert_true(all > 15);
    assert_int_equal(reached, 0);
    assert_int_equal(rows_beside(SWL_TRACE_REACH_PX + 1.5, &reached), all);
    assert_int_equal(reached, all);
    assert_int_equal(rows_beside(SWL_TRACE_REACH_PX + 2.5, &reached), 0);
    assert_int_equal(reached, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(circles_are_found),
        cmocka_unit_test(straight_lines_are_found),
        cmocka_unit_test(dashes_are_bridged_and_counted),
        cmocka_unit_test(crossings_are_passed),
        cmocka_unit_test(edges_between_areas_are_found),
        cmocka_unit_test(short_dashes_are_followed_and_signs_left),
        cmocka_unit_test(another_colour_is_left),
        cmocka_unit_test(seeds_that_lead_to_nothing_say_why),
        cmocka_unit_test(oklab_of_known_colours),
        cmocka_unit_test(simplifying_keeps_its_distance),
        cmocka_unit_test(a_known_map_comes_back),
        cmocka_unit_test(islands_that_end_at_a_stroke_reach_its_line),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
