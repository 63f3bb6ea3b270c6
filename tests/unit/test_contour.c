/* What a chart is drawn from: contours, ticks and the colour ramp. Expected values are calculated. */
#include "support/builds.h"

#include "draw/contour.h"
#include "draw/panel.h"

#include <stdlib.h>

/* ---- contours ---- */

enum { SIDE_MAX = 121, NODES_MAX = SIDE_MAX * SIDE_MAX };

/* A square grid, rows to the right and columns up, as the contour's contract puts it. */
typedef struct board {
    size_t rows, columns;
    double x[NODES_MAX], y[NODES_MAX], value[NODES_MAX];
    swl_loops loops;
} board;

static void board_init(board *b, size_t rows, size_t columns, double x0, double x1, double y0, double y1)
{
    b->rows = rows;
    b->columns = columns;
    for (size_t i = 0; i < rows; i++) {
        for (size_t j = 0; j < columns; j++) {
            b->x[i * columns + j] = x0 + (x1 - x0) * (double)i / (double)(rows - 1);
            b->y[i * columns + j] = y0 + (y1 - y0) * (double)j / (double)(columns - 1);
            b->value[i * columns + j] = 0;
        }
    }
}

static void board_contour(board *b, double level)
{
    swl_grid grid = {.rows = b->rows, .columns = b->columns, .x = b->x, .y = b->y, .value = b->value};
    swl_err err = {0};
    assert_int_equal(swl_contour(&grid, level, &b->loops, &err), SWL_OK);
}

/* Area on the left of a loop, below 0 when it runs around clockwise. */
static double loop_area(const swl_loops *loops, size_t k)
{
    double twice = 0;
    for (size_t i = loops->start[k]; i < loops->start[k + 1]; i++) {
        size_t n = i + 1 < loops->start[k + 1] ? i + 1 : loops->start[k];
        twice += loops->x[i] * loops->y[n] - loops->x[n] * loops->y[i];
    }
    return twice / 2;
}

static double area_of_all(const swl_loops *loops)
{
    double area = 0;
    for (size_t k = 0; k < loops->count; k++) {
        area += loop_area(loops, k);
    }
    return area;
}

/* No step is longer than a cell, the one from the last point to the first included. */
static void check_closed(const swl_loops *loops, double longest)
{
    for (size_t k = 0; k < loops->count; k++) {
        assert_true(loops->start[k + 1] - loops->start[k] >= 3);
        for (size_t i = loops->start[k]; i < loops->start[k + 1]; i++) {
            size_t n = i + 1 < loops->start[k + 1] ? i + 1 : loops->start[k];
            assert_true(hypot(loops->x[n] - loops->x[i], loops->y[n] - loops->y[i]) <= longest * 1.0001);
        }
    }
    assert_true(loops->points == (loops->count == 0 ? 0 : loops->start[loops->count]));
}

static size_t edge_steps(const swl_loops *loops)
{
    size_t count = 0;
    for (size_t i = 0; i < loops->points; i++) {
        count += loops->edge[i];
    }
    return count;
}

static void cone(void **state)
{
    (void)state;
    board *b = calloc(1, sizeof *b);
    board_init(b, 121, 121, -1.5, 1.5, -1.5, 1.5);
    for (size_t n = 0; n < b->rows * b->columns; n++) {
        b->value[n] = 1 - hypot(b->x[n], b->y[n]);
    }
    for (double radius = 0.2; radius < 1.45; radius += 0.11) {
        board_contour(b, 1 - radius);
        assert_int_equal(b->loops.count, 1);
        assert_int_equal(edge_steps(&b->loops), 0);
        check_closed(&b->loops, 0.025 * sqrt(2));
        /* pi r^2, less what chords of 0.025 cut off; the region is on the left. */
        swl_near(TEST_PI * radius * radius, area_of_all(&b->loops), 0.004);
        for (size_t i = 0; i < b->loops.points; i++) {
            swl_near(radius, hypot(b->loops.x[i], b->loops.y[i]), 0.002);
        }
        swl_loops_free(&b->loops);
        assert_null(b->loops.x);
    }
    free(b);
}

/* A ring: the outer loop has the region on its left, and so has the hole, which therefore runs the other way. */
static void ring(void **state)
{
    (void)state;
    board *b = calloc(1, sizeof *b);
    board_init(b, 121, 121, -1.5, 1.5, -1.5, 1.5);
    for (size_t n = 0; n < b->rows * b->columns; n++) {
        b->value[n] = -fabs(hypot(b->x[n], b->y[n]) - 1);
    }
    board_contour(b, -0.2);
    assert_int_equal(b->loops.count, 2);
    double one = loop_area(&b->loops, 0);
    double other = loop_area(&b->loops, 1);
    swl_near(TEST_PI * 1.44, fmax(one, other), 0.004);
    swl_near(-TEST_PI * 0.64, fmin(one, other), 0.004);
    swl_loops_free(&b->loops);
    free(b);
}

static void all_and_none(void **state)
{
    (void)state;
    board *b = calloc(1, sizeof *b);
    board_init(b, 7, 5, 0, 3, 0, 2);
    for (size_t n = 0; n < b->rows * b->columns; n++) {
        b->value[n] = 1;
    }
    /* At the level itself is at least the level. */
    const double levels[] = {0.5, 1.0};
    for (size_t k = 0; k < 2; k++) {
        board_contour(b, levels[k]);
        assert_int_equal(b->loops.count, 1);
        swl_near(6, area_of_all(&b->loops), 1e-14);
        assert_int_equal(edge_steps(&b->loops), b->loops.points);
        check_closed(&b->loops, 0.5);
        swl_loops_free(&b->loops);
    }
    board_contour(b, 1.0000001);
    assert_int_equal(b->loops.count, 0);
    assert_int_equal(b->loops.points, 0);
    swl_loops_free(&b->loops);
    free(b);
}

/* A region that ends at the border: half of the board. */
static void touching_the_border(void **state)
{
    (void)state;
    board *b = calloc(1, sizeof *b);
    board_init(b, 11, 6, 0, 2, 0, 1);
    for (size_t n = 0; n < b->rows * b->columns; n++) {
        b->value[n] = b->x[n];
    }
    board_contour(b, 0.9);
    assert_int_equal(b->loops.count, 1);
    swl_near(1.1, area_of_all(&b->loops), 1e-14);
    /* Along the level there are five steps, and no other step is on it. */
    assert_int_equal(b->loops.points - edge_steps(&b->loops), 5);
    for (size_t i = 0; i < b->loops.points; i++) {
        size_t n = (i + 1) % b->loops.points;
        bool on_level = fabs(b->loops.x[i] - 0.9) < 1e-12 && fabs(b->loops.x[n] - 0.9) < 1e-12;
        assert_true(b->loops.edge[i] == !on_level);
    }
    swl_loops_free(&b->loops);
    free(b);
}

/* Two high corners across a cell. At a level below the mean of the four they are joined, above it apart.
 * Around a node of 1 among nodes of 0 the level l makes a diamond of half diagonal 1 - l. */
static void check_saddle(size_t i0, size_t j0, size_t i1, size_t j1)
{
    board *b = calloc(1, sizeof *b);
    board_init(b, 4, 4, 0, 3, 0, 3);
    b->value[i0 * 4 + j0] = 1;
    b->value[i1 * 4 + j1] = 1;
    board_contour(b, 0.6);
    assert_int_equal(b->loops.count, 2);
    swl_near(2 * 0.4 * 0.4, loop_area(&b->loops, 0), 1e-14);
    swl_near(2 * 0.4 * 0.4, loop_area(&b->loops, 1), 1e-14);
    swl_loops_free(&b->loops);
    board_contour(b, 0.4);
    assert_int_equal(b->loops.count, 1);
    /* Three quarters of both diamonds, and the cell between less two corners of 0.4. */
    swl_near(0.75 * 2 * 2 * 0.6 * 0.6 + 1 - 0.4 * 0.4, area_of_all(&b->loops), 1e-14);
    assert_int_equal(edge_steps(&b->loops), 0);
    swl_loops_free(&b->loops);
    free(b);
}

static void saddles(void **state)
{
    (void)state;
    check_saddle(1, 1, 2, 2);
    check_saddle(1, 2, 2, 1);
}

/* A saddle of four nodes that are a whole board. */
static void saddle_at_the_border(void **state)
{
    (void)state;
    board *b = calloc(1, sizeof *b);
    board_init(b, 2, 2, 0, 1, 0, 1);
    b->value[0] = 1;
    b->value[3] = 1;
    board_contour(b, 0.6);
    assert_int_equal(b->loops.count, 2);
    swl_near(0.4 * 0.4, area_of_all(&b->loops), 1e-14);
    swl_loops_free(&b->loops);
    board_contour(b, 0.4);
    assert_int_equal(b->loops.count, 1);
    swl_near(1 - 0.4 * 0.4, area_of_all(&b->loops), 1e-14);
    swl_loops_free(&b->loops);
    free(b);
}

/* The region's part of one unit cell, corner by corner; a saddle's corners are cut off or joined by the mean. */
static double cell_area(const double v[4], double level)
{
    static const double corner_x[4] = {0, 1, 1, 0};
    static const double corner_y[4] = {0, 0, 1, 1};
    bool in[4];
    for (int k = 0; k < 4; k++) {
        in[k] = v[k] >= level;
    }
    double share[4]; /* along side k from corner k to the crossing */
    for (int k = 0; k < 4; k++) {
        share[k] = (level - v[k]) / (v[(k + 1) % 4] - v[k]);
    }
    if (in[0] == in[2] && in[1] == in[3] && in[0] != in[1]) {
        bool joined = (v[0] + v[1] + v[2] + v[3]) / 4 >= level;
        double area = joined ? 1 : 0;
        for (int k = in[0] == joined ? 1 : 0; k < 4; k += 2) {
            area += (joined ? -0.5 : 0.5) * share[k] * (1 - share[(k + 3) % 4]);
        }
        return area;
    }
    double x[8];
    double y[8];
    int count = 0;
    for (int k = 0; k < 4; k++) {
        int n = (k + 1) % 4;
        if (in[k]) {
            x[count] = corner_x[k];
            y[count++] = corner_y[k];
        }
        if (in[k] != in[n]) {
            x[count] = corner_x[k] + share[k] * (corner_x[n] - corner_x[k]);
            y[count++] = corner_y[k] + share[k] * (corner_y[n] - corner_y[k]);
        }
    }
    double twice = 0;
    for (int k = 0; k < count; k++) {
        int n = (k + 1) % count;
        twice += x[k] * y[n] - x[n] * y[k];
    }
    return twice / 2;
}

static bool whole(double v)
{
    return fabs(v - round(v)) < 1e-12;
}

/* Every point lies on a grid line where the values between its two nodes are at the level, or is a border node;
 * a step is on the border when it runs along one side of the board, and nowhere else. */
static void check_points(const board *b, double level)
{
    const swl_loops *loops = &b->loops;
    double right = (double)(b->rows - 1);
    double top = (double)(b->columns - 1);
    for (size_t k = 0; k < loops->count; k++) {
        for (size_t i = loops->start[k]; i < loops->start[k + 1]; i++) {
            size_t n = i + 1 < loops->start[k + 1] ? i + 1 : loops->start[k];
            double x = loops->x[i];
            double y = loops->y[i];
            assert_true(whole(x) || whole(y));
            double along = whole(x) ? y : x;
            size_t low = (size_t)fmax(0, floor(along + 1e-12));
            size_t other = (size_t)round(whole(x) ? x : y);
            size_t node = whole(x) ? other * b->columns + low : low * b->columns + other;
            size_t step = whole(x) ? 1 : b->columns;
            double share = along - (double)low;
            double value =
                share < 1e-12 ? b->value[node] : b->value[node] * (1 - share) + b->value[node + step] * share;
            bool border_node = whole(x) && whole(y) && (x < 1e-9 || y < 1e-9 || x > right - 1e-9 || y > top - 1e-9);
            assert_true(border_node ? value >= level : fabs(value - level) < 1e-9);
            bool same_side = (x < 1e-9 && loops->x[n] < 1e-9) || (y < 1e-9 && loops->y[n] < 1e-9) ||
                             (x > right - 1e-9 && loops->x[n] > right - 1e-9) ||
                             (y > top - 1e-9 && loops->y[n] > top - 1e-9);
            assert_true(loops->edge[i] == same_side);
        }
    }
}

/* Random boards: the area to the left of all loops is the region's, cell by cell. */
static void random_boards(void **state)
{
    (void)state;
    test_random random = {3};
    board *b = calloc(1, sizeof *b);
    size_t loops = 0;
    for (int round_at = 0; round_at < 400; round_at++) {
        size_t rows = (size_t)test_whole(&random, 2, 14);
        size_t columns = (size_t)test_whole(&random, 2, 14);
        board_init(b, rows, columns, 0, (double)(rows - 1), 0, (double)(columns - 1));
        for (size_t n = 0; n < rows * columns; n++) {
            b->value[n] = test_uniform(&random, 0, 1);
        }
        double level = test_uniform(&random, 0.1, 0.9);
        board_contour(b, level);
        double want = 0;
        for (size_t i = 0; i + 1 < rows; i++) {
            for (size_t j = 0; j + 1 < columns; j++) {
                const double v[4] = {b->value[i * columns + j], b->value[(i + 1) * columns + j],
                                     b->value[(i + 1) * columns + j + 1], b->value[i * columns + j + 1]};
                want += cell_area(v, level);
            }
        }
        swl_near_abs(want, area_of_all(&b->loops), 1e-10);
        check_points(b, level);
        loops += b->loops.count;
        swl_loops_free(&b->loops);
    }
    assert_true(loops > 1500);
    free(b);
}

/* ---- ticks ---- */

static void ticks(void **state)
{
    (void)state;
    static const double nice[] = {1, 2, 2.5, 5};
    test_random random = {9};
    for (int n = 0; n < 3000; n++) {
        double span = pow(10, test_uniform(&random, -2, 6));
        int most = test_whole(&random, 1, 14);
        swl_ticks t = swl_ticks_for(span, most);
        double power = pow(10, floor(log10(t.step * (1 + 1e-9))));
        int at = -1;
        for (int k = 0; k < 4; k++) {
            at = fabs(t.step / power - nice[k]) < 1e-9 ? k : at;
        }
        assert_true(at >= 0);
        assert_true(span / t.step <= most * (1 + 1e-6));
        /* The next step down would be one too many. */
        double finer = at == 0 ? 0.5 * power : nice[at - 1] * power;
        assert_true(span / finer > most * (1 - 1e-6));
        /* Enough decimals to print the step, and none to spare. */
        double scaled = t.step * pow(10, t.decimals);
        swl_near(round(scaled), scaled, 1e-9);
        assert_true(t.decimals == 0 || fabs(scaled / 10 - round(scaled / 10)) > 1e-6);
        assert_true(t.minor == 4 || t.minor == 5);
    }
    swl_ticks t = swl_ticks_for(1400, 10);
    assert_true(t.step == 200 && t.decimals == 0 && t.minor == 4);
    t = swl_ticks_for(1.8, 10);
    swl_near(0.2, t.step, 1e-15);
    assert_int_equal(t.decimals, 1);
    t = swl_ticks_for(0.25, 10);
    swl_near(0.025, t.step, 1e-15);
    assert_int_equal(t.decimals, 3);
}

/* ---- the ramp ---- */

static double linear_of_srgb(double v)
{
    return v <= 0.04045 ? v / 12.92 : pow((v + 0.055) / 1.055, 2.4);
}

/* CIE L* of an sRGB colour. Source: IEC 61966-2-1 for the curve and the Y row, CIE 15 for L*. */
static double lightness(swl_rgb c)
{
    double y = 0.2126 * linear_of_srgb(c.r) + 0.7152 * linear_of_srgb(c.g) + 0.0722 * linear_of_srgb(c.b);
    return y > 216.0 / 24389 ? 116 * cbrt(y) - 16 : y * 24389 / 27;
}

static bool in_gamut(swl_rgb c)
{
    return c.r > 0 && c.r < 1 && c.g > 0 && c.g < 1 && c.b > 0 && c.b < 1;
}

static void ramp_rises_evenly(void **state)
{
    (void)state;
    enum { STEPS = 64 };
    double dark = lightness(swl_ramp(0));
    double light = lightness(swl_ramp(1));
    assert_true(dark > 15 && dark < 50 && light > 90);
    double each = (light - dark) / STEPS;
    for (int i = 0; i < STEPS; i++) {
        swl_rgb here = swl_ramp((double)i / STEPS);
        double rise = lightness(swl_ramp((double)(i + 1) / STEPS)) - lightness(here);
        swl_near(each, rise, 0.15);
        /* A colour cut off at the gamut's edge would bend the ramp. */
        assert_true(in_gamut(here));
    }
    swl_rgb below = swl_ramp(-3);
    swl_rgb above = swl_ramp(7);
    swl_near(dark, lightness(below), 1e-15);
    swl_near(light, lightness(above), 1e-15);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(cone),
        cmocka_unit_test(ring),
        cmocka_unit_test(all_and_none),
        cmocka_unit_test(touching_the_border),
        cmocka_unit_test(saddles),
        cmocka_unit_test(saddle_at_the_border),
        cmocka_unit_test(random_boards),
        cmocka_unit_test(ticks),
        cmocka_unit_test(ramp_rises_evenly),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
