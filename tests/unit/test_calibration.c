/* Fitting pixels to values. Every calibration here is made from a known map, so the truth is known. */
#include "support/near.h"

#include "sweptline/calibration.h"

#include <stdlib.h>
#include <string.h>

/* pixel = o + u e + v f of a chart scanned askew: turned and sheared. */
typedef struct truth {
    double o[2], e[2], f[2];
    bool x_log, y_log;
} truth;

static const truth level = {.o = {120, 1840}, .e = {2580, 0}, .f = {0, -1000}};
static const truth askew = {.o = {115.3, 1802.7}, .e = {2574.1, 61.9}, .f = {-24.4, -998.6}};
static const truth logs = {.o = {900, 840}, .e = {260, 3}, .f = {-4, -700}, .x_log = true, .y_log = true};

static swl_calibration_point at(const truth *t, double x, double y)
{
    double u = t->x_log ? log(x) : x;
    double v = t->y_log ? log(y) : y;
    return (swl_calibration_point){
        .px = t->o[0] + u * t->e[0] + v * t->f[0], .py = t->o[1] + u * t->e[1] + v * t->f[1], .x = x, .y = y};
}

static void put(swl_calibration *c, swl_calibration_point point)
{
    c->points[c->count++] = point;
}

static swl_calibration blank(const truth *t, swl_calibration_way way)
{
    return (swl_calibration){.way = way, .x_log = t->x_log, .y_log = t->y_log};
}

/* Points along both axes, x's at a pressure ratio of y0, y's at a flow of x0. */
static swl_calibration along_axes(const truth *t, swl_calibration_way way, double x0, double y0)
{
    static const double flows[] = {0.05, 0.1, 0.2, 0.33};
    static const double ratios[] = {1.0, 1.4, 1.8};
    swl_calibration c = blank(t, way);
    for (size_t i = 0; i < 4; i++) {
        swl_calibration_point point = at(t, flows[i], y0);
        point.y = NAN;
        point.py = way == SWL_CALIBRATION_UPRIGHT ? (double)NAN : point.py;
        put(&c, point);
    }
    for (size_t i = 0; i < 3; i++) {
        swl_calibration_point point = at(t, x0, ratios[i]);
        point.x = NAN;
        point.px = way == SWL_CALIBRATION_UPRIGHT ? (double)NAN : point.px;
        put(&c, point);
    }
    return c;
}

static swl_calibration corners(const truth *t)
{
    swl_calibration c = blank(t, SWL_CALIBRATION_CORNERS);
    put(&c, at(t, 0.05, 1.0));
    put(&c, at(t, 0.33, 1.0));
    put(&c, at(t, 0.33, 1.8));
    put(&c, at(t, 0.05, 1.8));
    put(&c, at(t, 0.21, 1.35));
    return c;
}

static void holds(const truth *t, swl_calibration c)
{
    swl_calibration_fault fault = {0};
    swl_err err = {0};
    if (swl_calibration_fit(&c, &fault, &err) != SWL_OK) {
        fail_msg("%s", err.text);
    }
    swl_near_abs(0, c.residual_px, 1e-7);
    for (int i = 0; i <= 10; i++) {
        for (int k = 0; k <= 10; k++) {
            double x = 0.02 + 0.04 * i;
            double y = 0.9 + 0.12 * k;
            swl_calibration_point want = at(t, x, y);
            double got[2];
            double back[2];
            swl_calibration_pixel(&c, x, y, &got[0], &got[1]);
            swl_near_abs(want.px, got[0], 1e-6);
            swl_near_abs(want.py, got[1], 1e-6);
            swl_calibration_value(&c, want.px, want.py, &back[0], &back[1]);
            swl_near_abs(x, back[0], 1e-9);
            swl_near_abs(y, back[1], 1e-9);
        }
    }
}

static void test_upright(void **state)
{
    (void)state;
    holds(&level, along_axes(&level, SWL_CALIBRATION_UPRIGHT, 0.05, 1.0));
    truth upright_logs = logs;
    upright_logs.e[1] = 0;
    upright_logs.f[0] = 0;
    holds(&upright_logs, along_axes(&upright_logs, SWL_CALIBRATION_UPRIGHT, 0.05, 1.0));
}

/* The axes need not meet at their first values, nor the points stand on the chart's own axes. */
static void test_axes(void **state)
{
    (void)state;
    holds(&level, along_axes(&level, SWL_CALIBRATION_AXES, 0.05, 1.0));
    holds(&askew, along_axes(&askew, SWL_CALIBRATION_AXES, 0.05, 1.0));
    holds(&askew, along_axes(&askew, SWL_CALIBRATION_AXES, 0.27, 1.9));
    holds(&logs, along_axes(&logs, SWL_CALIBRATION_AXES, 0.27, 0.8));
}

static void test_corners(void **state)
{
    (void)state;
    holds(&level, corners(&level));
    holds(&askew, corners(&askew));
    holds(&logs, corners(&logs));
}

/* The order of the points does not matter. */
static void test_order_free(void **state)
{
    (void)state;
    swl_calibration c = along_axes(&askew, SWL_CALIBRATION_AXES, 0.1, 1.2);
    for (size_t i = 0; i < c.count / 2; i++) {
        swl_calibration_point kept = c.points[i];
        c.points[i] = c.points[c.count - 1 - i];
        c.points[c.count - 1 - i] = kept;
    }
    holds(&askew, c);
}

/* Four corners of a square moved by d along the diagonals' pattern that no affine map follows: all of it is left, so
 * the residual is d itself. From the algebra of the fit: (+,-,+,-) is orthogonal to 1, x and y. */
static void test_residual(void **state)
{
    (void)state;
    swl_calibration c = corners(&askew);
    c.count = 4;
    for (size_t i = 0; i < 4; i++) {
        c.points[i].px += i % 2 == 0 ? 1.5 : -1.5;
    }
    swl_calibration_fault fault = {0};
    assert_int_equal(swl_calibration_fit(&c, &fault, NULL), SWL_OK);
    swl_near(1.5, c.residual_px, 1e-9);
    swl_near(1.5, c.worst_px, 1e-9);
    /* Three points evenly along an upright axis, the middle one 6 pixels off: +-2, 4, 2 are left by algebra. */
    swl_calibration u = blank(&level, SWL_CALIBRATION_UPRIGHT);
    static const double px[] = {100, 506, 900};
    for (size_t i = 0; i < 3; i++) {
        put(&u, (swl_calibration_point){.px = px[i], .py = NAN, .x = 0.1 * (double)i, .y = NAN});
    }
    put(&u, (swl_calibration_point){.px = NAN, .py = 800, .x = NAN, .y = 1});
    put(&u, (swl_calibration_point){.px = NAN, .py = 100, .x = NAN, .y = 2});
    assert_int_equal(swl_calibration_fit(&u, &fault, NULL), SWL_OK);
    swl_near(4, u.worst_px, 1e-9);
    assert_int_equal(u.suspect, u.count);
    swl_near(sqrt((4.0 + 16 + 4) / 5), u.residual_px, 1e-9);
}

/* One wrong point among those that a fit bends to is found where the others are enough to tell; four are not. */
static void test_suspect(void **state)
{
    (void)state;
    swl_calibration_fault fault = {0};
    for (size_t wrong = 0; wrong < 5; wrong++) {
        swl_calibration c = corners(&askew);
        c.points[wrong].px += 20;
        assert_int_equal(swl_calibration_fit(&c, &fault, NULL), SWL_OK);
        assert_int_equal(c.suspect, wrong);
        swl_near_abs(0, c.rest_px, 1e-7);
        assert_true(c.residual_px > 3);
    }
    for (size_t wrong = 0; wrong < 4; wrong++) {
        swl_calibration c = corners(&askew);
        c.count = 4;
        c.points[wrong].py -= 20;
        assert_int_equal(swl_calibration_fit(&c, &fault, NULL), SWL_OK);
        assert_int_equal(c.suspect, 4);
        swl_near(5, c.worst_px, 1e-9);
    }
    for (size_t wrong = 0; wrong < 4; wrong++) {
        swl_calibration c = along_axes(&level, SWL_CALIBRATION_UPRIGHT, 0.05, 1.0);
        c.points[wrong].px += 9;
        assert_int_equal(swl_calibration_fit(&c, &fault, NULL), SWL_OK);
        assert_int_equal(c.suspect, wrong);
    }
    swl_calibration c = along_axes(&level, SWL_CALIBRATION_UPRIGHT, 0.05, 1.0);
    c.points[5].py += 9;
    assert_int_equal(swl_calibration_fit(&c, &fault, NULL), SWL_OK);
    assert_int_equal(c.suspect, c.count);
}

/* More points than needed, each read with an error of its own: the map is nearer the truth than the readings. */
static void test_noise(void **state)
{
    (void)state;
    swl_calibration c = blank(&askew, SWL_CALIBRATION_CORNERS);
    unsigned seed = 7;
    for (int i = 0; i < 36; i++) {
        swl_calibration_point point = at(&askew, 0.05 * (i % 6 + 1), 1 + 0.2 * (i / 6));
        seed = seed * 1103515245U + 12345U;
        point.px += (double)(seed >> 16 & 1023) / 1023.0 - 0.5;
        seed = seed * 1103515245U + 12345U;
        point.py += (double)(seed >> 16 & 1023) / 1023.0 - 0.5;
        put(&c, point);
    }
    swl_calibration_fault fault = {0};
    assert_int_equal(swl_calibration_fit(&c, &fault, NULL), SWL_OK);
    /* Two coordinates, each even over one pixel: the root of 2/12, less what six factors take of 72. */
    swl_near(sqrt(2.0 / 12), c.residual_px, 0.15);
    swl_calibration_point want = at(&askew, 0.18, 1.5);
    double px = 0;
    double py = 0;
    swl_calibration_pixel(&c, 0.18, 1.5, &px, &py);
    swl_near_abs(want.px, px, 0.15);
    swl_near_abs(want.py, py, 0.15);
}

static void refused(swl_calibration c, size_t first, size_t second, const char *words)
{
    swl_calibration_fault fault = {99, 99, ""};
    assert_int_equal(swl_calibration_fit(&c, &fault, NULL), SWL_ERR_INPUT);
    if (strstr(fault.text, words) == NULL) {
        fail_msg("want `%s`, got `%s`", words, fault.text);
    }
    assert_int_equal(fault.first, first);
    assert_int_equal(fault.second, second);
}

static void test_refused_axes(void **state)
{
    (void)state;
    swl_calibration good = along_axes(&askew, SWL_CALIBRATION_AXES, 0.05, 1.0);
    swl_calibration c = good;
    c.points[2].px = c.points[1].px;
    c.points[2].py = c.points[1].py;
    refused(c, 2, 1, "same pixel");
    c = good;
    c.points[3].x = c.points[0].x;
    refused(c, 3, 0, "same value");
    c = good;
    c.points[1].x = 0.25;
    refused(c, 2, 1, "do not rise");
    c = good;
    c.points[5].y = 2.2;
    refused(c, 6, 5, "do not rise");
    c = good;
    c.count = 4;
    refused(c, 0, 0, "on the y axis");
    c = good;
    for (size_t i = 0; i < 3; i++) {
        c.points[i] = c.points[i + 4];
    }
    c.points[3] = c.points[4];
    c.count = 4;
    refused(c, 0, 0, "on the x axis");
    /* y's points along the x axis. */
    c = good;
    for (size_t i = 4; i < 7; i++) {
        c.points[i].px = 200 + 300.0 * (double)i;
        c.points[i].py = 1700 + 7.0 * (double)i;
    }
    refused(c, 0, 0, "on one line");
}

static void test_refused_corners(void **state)
{
    (void)state;
    swl_calibration good = corners(&askew);
    swl_calibration c = good;
    c.count = 3;
    refused(c, 0, 0, "four points");
    c = good;
    c.points[4] = c.points[2];
    c.points[4].x = 0.2;
    refused(c, 4, 2, "same pixel");
    c = good;
    c.points[3].x = c.points[1].x;
    c.points[3].y = c.points[1].y;
    refused(c, 3, 1, "same value");
    c = good;
    for (size_t i = 0; i < 5; i++) {
        c.points[i].px = 100 + 50.0 * (double)i;
        c.points[i].py = 700 - 20.0 * (double)i;
    }
    refused(c, 0, 0, "one line of the picture");
    c = good;
    for (size_t i = 0; i < 5; i++) {
        c.points[i].x = 0.1 + 0.01 * (double)i;
        c.points[i].y = 1 + 0.1 * (double)i;
    }
    refused(c, 0, 0, "one line of the chart");
    c = good;
    for (size_t i = 0; i < 5; i++) {
        c.points[i].x = 0.1;
        c.points[i].y = 1 + 0.1 * (double)i;
    }
    refused(c, 0, 0, "same flow");
    c = good;
    for (size_t i = 0; i < 5; i++) {
        c.points[i].x = 0.1 + 0.01 * (double)i;
        c.points[i].y = 1.5;
    }
    refused(c, 0, 0, "same pressure ratio");
}

static void test_no_logarithm(void **state)
{
    (void)state;
    swl_calibration c = corners(&logs);
    swl_calibration_fault fault = {0};
    assert_int_equal(swl_calibration_fit(&c, &fault, NULL), SWL_OK);
    double px = 0;
    double py = 0;
    swl_calibration_pixel(&c, 0, 1.5, &px, &py);
    swl_is_nan(px);
    swl_is_nan(py);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_upright),         cmocka_unit_test(test_axes),
        cmocka_unit_test(test_corners),         cmocka_unit_test(test_order_free),
        cmocka_unit_test(test_residual),        cmocka_unit_test(test_noise),
        cmocka_unit_test(test_suspect),         cmocka_unit_test(test_refused_axes),
        cmocka_unit_test(test_refused_corners), cmocka_unit_test(test_no_logarithm),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
