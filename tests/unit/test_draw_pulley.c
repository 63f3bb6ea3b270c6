/* Plots over pulley sizes: every format and size, what is named in them, and what they must bear. */
#include "support/scene.h"

#include "sweptline/pulley.h"

#include <stdlib.h>
#include <string.h>

typedef struct plot {
    swl_build build;
    swl_pulley_study study;
    swl_pulley_row rows[SWL_PULLEY_SIZES_MAX];
    swl_pulley_row *curve;
    swl_pulley_chart chart;
} plot;

/* Keeps what the caller changed of the build, solves and lays out. */
static void plot_solve(plot *p, const double *d_m, size_t count, swl_units units)
{
    swl_pulley_study *study = &p->study;
    bool crank = study->pulley == SWL_PULLEY_CRANK;
    study->own_m = crank ? p->build.drive.d_crank_m : p->build.drive.d_blower_m;
    study->speeds = (swl_pulley_speeds){.rpm = {2000, 4000, 6400}, .count = 3};
    study->rows = p->rows;
    study->count = count;
    assert_int_equal(swl_pulley_table(&p->build, study->pulley, d_m, count, &study->speeds, p->rows, NULL), SWL_OK);
    assert_int_equal(swl_pulley_wishes(&p->build, study, NULL), SWL_OK);
    p->chart = (swl_pulley_chart){.title = "Estate car (invented)",
                                  .subtitle = "Invented & drawn for a test",
                                  .caption = "A caption <of> one paragraph.",
                                  .build = &p->build,
                                  .study = study,
                                  .units = units};
    assert_int_equal(swl_pulley_curve(&p->build, study, &p->curve, &p->chart.curve_count, NULL), SWL_OK);
    p->chart.curve = p->curve;
}

static void plot_close(plot *p)
{
    free(p->curve);
    swl_build_free(&p->build);
}

static swl_status plot_drawer(const void *chart, const swl_picture *picture, swl_buf *out, swl_err *err)
{
    return swl_draw_pulley(chart, picture, out, err);
}

static swl_buf plot_draw(const plot *p, swl_picture picture)
{
    return drawn_by(plot_drawer, &p->chart, picture);
}

static plot demo(void)
{
    plot p = {.build = test_build_load("maps/estate-roots.ini")};
    p.study.wishes[0] = (swl_pulley_wish){.goal = SWL_GOAL_LIMITS, .words = "limits"};
    p.study.wishes[1] = (swl_pulley_wish){.goal = SWL_GOAL_BOOST_PEAK, .words = "boost", .value = 85e3};
    p.study.wishes[2] = (swl_pulley_wish){.goal = SWL_GOAL_BOOST_PEAK, .words = "boost", .value = 3e6};
    p.study.wish_count = 3;
    return p;
}

static const double shelf_m[] = {0.076, 0.080, 0.084, 0.088, 0.092, 0.096};

static void svg_names_what_it_shows(void **state)
{
    (void)state;
    plot p = demo();
    plot_solve(&p, shelf_m, 6, SWL_UNITS_SI);
    swl_buf svg = plot_draw(&p, picture_of(SWL_FORMAT_SVG, 1600, 1000, 96));
    const char *const words[] = {"Boost, kPa",
                                 "Blower speed without slip, rpm",
                                 "Highest temperature, degC",
                                 "Highest blower drive power, kW",
                                 "Highest engine power, estimated, kW",
                                 "Least to spare of all limits, %",
                                 ">peak<",
                                 ">2000 rpm<",
                                 ">in over-rev<",
                                 ">continuous limit 12000<",
                                 ">short-time limit 13500<",
                                 ">discharge limit 120<",
                                 ">charge limit 85<",
                                 ">crank<",
                                 ">as built<",
                                 ">drive ratio<",
                                 "Blower pulley, outside diameter, mm",
                                 ">a limit is exceeded below 0<",
                                 ">A 76.6<",
                                 ">B 84.4<"};
    for (size_t i = 0; i < sizeof words / sizeof words[0]; i++) {
        text_has(&svg, words[i]);
    }
    /* Letters by size, in each panel; none for the search that failed. */
    assert_int_equal(swl_pulley_chart_letter(&p.chart, &p.study.wishes[0]), 'B');
    assert_int_equal(swl_pulley_chart_letter(&p.chart, &p.study.wishes[1]), 'A');
    assert_int_equal(swl_pulley_chart_letter(&p.chart, &p.study.wishes[2]), '\0');
    assert_int_equal(text_times(&svg, ">A<") + text_times(&svg, ">A 76.6<"), 6);
    assert_int_equal(text_times(&svg, ">C<"), 0);
    swl_buf_free(&svg);
    plot_close(&p);
}

static void us_units_are_shown(void **state)
{
    (void)state;
    plot p = demo();
    p.build.engine.driveline_loss_frac = 0.15;
    plot_solve(&p, shelf_m, 6, SWL_UNITS_US);
    swl_buf svg = plot_draw(&p, picture_of(SWL_FORMAT_SVG, 1600, 1000, 96));
    const char *const words[] = {"Boost, psi", "degF", "estimated, hp", "outside diameter, in", ">wheel<"};
    for (size_t i = 0; i < sizeof words / sizeof words[0]; i++) {
        text_has(&svg, words[i]);
    }
    swl_buf_free(&svg);
    plot_close(&p);
}

static void formats_and_same_bytes(void **state)
{
    (void)state;
    static const char *const heads[] = {"\x89PNG", "<?xml", "%PDF"};
    plot p = demo();
    plot_solve(&p, shelf_m, 6, SWL_UNITS_SI);
    for (int f = 0; f < 3; f++) {
        bool page = f == SWL_FORMAT_PDF;
        swl_picture picture = picture_of((swl_format)f, page ? 0 : 900, page ? 0 : 1270, 96);
        swl_buf first = plot_draw(&p, picture);
        swl_buf second = plot_draw(&p, picture);
        assert_memory_equal(swl_buf_text(&first), heads[f], 4);
        same_bytes(&first, &second);
        swl_buf_free(&first);
        swl_buf_free(&second);
    }
    plot_close(&p);
}

/* One size, no limit, no power, no operating point: each is drawn, and says so. */
static void bare_studies_are_drawn(void **state)
{
    (void)state;
    plot p = {.build = test_build_load("maps/estate-roots.ini")};
    p.build.limits = (swl_limit_values){NAN, NAN, NAN, NAN, NAN, NAN, NAN, NAN};
    p.build.blower.continuous_rpm = NAN;
    p.build.blower.short_time_rpm = NAN;
    p.build.engine.over_rev_rpm = 0;
    p.build.engine.known_power_w = 1e6;
    p.build.engine.known_power_speed_rpm = 6000;
    const double one_m = 0.092;
    plot_solve(&p, &one_m, 1, SWL_UNITS_SI);
    swl_buf svg = plot_draw(&p, picture_of(SWL_FORMAT_SVG, 1200, 800, 96));
    text_has(&svg, "no limit is given");
    text_has(&svg, "not estimated");
    text_lacks(&svg, "nan");
    swl_buf_free(&svg);
    plot_close(&p);

    p = (plot){.build = test_build_load("maps/estate-roots.ini"), .study = {.pulley = SWL_PULLEY_CRANK}};
    const double large_m[] = {0.8, 0.9};
    plot_solve(&p, large_m, 2, SWL_UNITS_SI);
    svg = plot_draw(&p, picture_of(SWL_FORMAT_SVG, 1200, 800, 96));
    assert_int_equal(text_times(&svg, "no size here has an operating point"), 6);
    text_has(&svg, "Crank pulley, outside diameter, mm");
    text_lacks(&svg, "nan");
    swl_buf_free(&svg);
    plot_close(&p);
}

static void every_size_is_drawn_or_refused(void **state)
{
    (void)state;
    static const int sizes[][2] = {{320, 320}, {320, 2000}, {2000, 320}, {800, 600}, {12000, 320}, {1600, 1000}};
    static const double dpis[] = {SWL_DPI_MIN, 96, 300, SWL_DPI_MAX};
    plot p = demo();
    plot_solve(&p, shelf_m, 6, SWL_UNITS_SI);
    assert_in_range(sizes_refused(plot_drawer, &p.chart, sizes, sizeof sizes / sizeof sizes[0], dpis, 4), 1, 20);
    plot_close(&p);
}

/* The curve passes through every size listed, found and built. */
static void curve_holds_every_size(void **state)
{
    (void)state;
    plot p = demo();
    plot_solve(&p, shelf_m, 6, SWL_UNITS_SI);
    double wanted_m[9];
    memcpy(wanted_m, shelf_m, sizeof shelf_m);
    wanted_m[6] = p.build.drive.d_blower_m;
    wanted_m[7] = p.study.wishes[0].found.exact_m;
    wanted_m[8] = p.study.wishes[1].found.exact_m;
    for (size_t k = 0; k < 9; k++) {
        size_t hits = 0;
        for (size_t i = 0; i < p.chart.curve_count; i++) {
            assert_true(i == 0 || p.curve[i].d_m > p.curve[i - 1].d_m);
            hits += fabs(p.curve[i].d_m - wanted_m[k]) <= 1e-9;
        }
        assert_int_equal(hits, 1);
    }
    plot_close(&p);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(svg_names_what_it_shows),        cmocka_unit_test(us_units_are_shown),
        cmocka_unit_test(formats_and_same_bytes),         cmocka_unit_test(bare_studies_are_drawn),
        cmocka_unit_test(every_size_is_drawn_or_refused), cmocka_unit_test(curve_holds_every_size),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
