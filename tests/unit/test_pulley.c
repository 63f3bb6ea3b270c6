/* Pulley sizes: the table against checks of changed builds, and every search there and back. */
#include "support/near.h"

#include "support/builds.h"
#include "support/memory.h"
#include "sweptline/files.h"
#include "sweptline/pulley.h"
#include "sweptline/report.h"

#include <stdlib.h>
#include <string.h>

static const swl_pulley_speeds speeds = {.rpm = {2500, 4500, 6400}, .count = 3};

static void row_is_that_of_a_check(void **state)
{
    (void)state;
    swl_build build = test_build_load("maps/estate-roots.ini");
    const double d_m[] = {0.080, 0.100};
    swl_pulley_row rows[2];
    assert_int_equal(swl_pulley_table(&build, SWL_PULLEY_BLOWER, d_m, 2, &speeds, rows, NULL), SWL_OK);
    swl_build changed = build;
    changed.drive.d_blower_m = 0.080;
    swl_check check = test_check_run(&changed);
    const swl_point *last = &check.line[check.line_count - 1];
    swl_near(check.blower_rpm_at_over_rev, rows[0].blower_rpm_at_over_rev, 1e-15);
    swl_near(last->boost_pa, rows[0].boost_pa[2], 1e-12);
    swl_near(last->boost_pa, rows[0].boost_peak_pa, 1e-12);
    swl_near(6400, rows[0].boost_peak_rpm, 1e-15);
    swl_near(last->t2_k, rows[0].t2_max_k, 1e-12);
    swl_near(last->p_shaft_w, rows[0].p_shaft_max_w, 1e-12);
    double crank_w = 0;
    for (size_t i = 0; i < check.line_count; i++) {
        crank_w = fmax(crank_w, check.power[i].crank_w);
    }
    swl_near(crank_w, rows[0].crank_max_w, 1e-12);
    swl_near((1 - build.engine.driveline_loss_frac) * crank_w, rows[0].wheel_max_w, 1e-12);
    assert_string_equal(check.limits[0].name, "continuous_speed");
    assert_string_equal(check.limits[1].name, "short_time_speed");
    swl_near(check.limits[0].margin_frac, rows[0].margin_at_limit_frac, 1e-12);
    swl_near(check.limits[1].margin_frac, rows[0].margin_at_over_rev_frac, 1e-12);
    assert_int_equal(rows[0].verdict, SWL_EXCEEDED);
    assert_int_equal(rows[1].verdict, SWL_KEPT);
    swl_check_free(&check);
    swl_build_free(&build);
}

/* A size that was found gives what was asked for, and no more. */
static void found_sizes_give_the_goal(void **state)
{
    (void)state;
    swl_build build = test_build_load("maps/estate-roots.ini");
    for (int crank = 0; crank < 2; crank++) {
        swl_pulley pulley = crank ? SWL_PULLEY_CRANK : SWL_PULLEY_BLOWER;
        swl_pulley_found found;
        swl_pulley_row row;
        assert_int_equal(swl_pulley_find(&build, pulley, SWL_GOAL_BOOST_AT, 60e3, 4500, &found, NULL), SWL_OK);
        assert_int_equal(swl_pulley_table(&build, pulley, &found.exact_m, 1, &speeds, &row, NULL), SWL_OK);
        swl_near(60e3, row.boost_pa[1], 1e-5);
        assert_int_equal(swl_pulley_find(&build, pulley, SWL_GOAL_BOOST_PEAK, 60e3, 0, &found, NULL), SWL_OK);
        assert_int_equal(swl_pulley_table(&build, pulley, &found.exact_m, 1, &speeds, &row, NULL), SWL_OK);
        swl_near(60e3, row.boost_peak_pa, 1e-5);
        assert_int_equal(swl_pulley_find(&build, pulley, SWL_GOAL_SPEED, 11000, 0, &found, NULL), SWL_OK);
        assert_int_equal(swl_pulley_table(&build, pulley, &found.exact_m, 1, &speeds, &row, NULL), SWL_OK);
        swl_near(11000, row.blower_rpm_at_limit, 1e-7);
        assert_true(row.blower_rpm_at_limit <= 11000);
        assert_int_equal(swl_pulley_find(&build, pulley, SWL_GOAL_FLOW, 0.33, 0, &found, NULL), SWL_OK);
        assert_int_equal(swl_pulley_table(&build, pulley, &found.exact_m, 1, &speeds, &row, NULL), SWL_OK);
        swl_near(0.33, row.mdot_max_kg_s, 1e-6);
    }
    swl_build_free(&build);
}

/* The smallest that keeps every limit keeps them; a hundredth of a millimetre less does not, by the limit named. */
static void smallest_is_on_the_border(void **state)
{
    (void)state;
    swl_build build = test_build_load("maps/estate-roots.ini");
    swl_pulley_found found;
    assert_int_equal(swl_pulley_find(&build, SWL_PULLEY_BLOWER, SWL_GOAL_LIMITS, 0, 0, &found, NULL), SWL_OK);
    assert_string_equal(found.binds, "boost");
    const double d_m[] = {found.exact_m - 1e-5, found.exact_m};
    swl_pulley_row rows[2];
    assert_int_equal(swl_pulley_table(&build, SWL_PULLEY_BLOWER, d_m, 2, &speeds, rows, NULL), SWL_OK);
    assert_int_equal(rows[0].verdict, SWL_EXCEEDED);
    assert_string_equal(rows[0].worst, "boost");
    assert_int_equal(rows[1].verdict, SWL_CLOSE);
    /* With no other limit than the rotors' the closed form of a check answers. */
    build.limits = (swl_limit_values){NAN, NAN, NAN, NAN, NAN, NAN, NAN, NAN};
    assert_int_equal(swl_pulley_find(&build, SWL_PULLEY_BLOWER, SWL_GOAL_LIMITS, 0, 0, &found, NULL), SWL_OK);
    assert_string_equal(found.binds, "continuous_speed");
    swl_near(swl_drive_blower_pulley_m(&build.drive, 1, 6400, 12000), found.exact_m, 1e-7);
    swl_build_free(&build);
}

/* Without a short-time limit the over-rev is held to the continuous one; without any nothing is. */
static void margins_follow_the_limits_given(void **state)
{
    (void)state;
    swl_build build = test_build_load("maps/estate-roots.ini");
    build.engine.driveline_loss_frac = 0.15;
    build.blower.short_time_rpm = NAN;
    const double d_m = 0.092;
    swl_pulley_row row;
    assert_int_equal(swl_pulley_table(&build, SWL_PULLEY_BLOWER, &d_m, 1, &speeds, &row, NULL), SWL_OK);
    swl_near((12000 - row.blower_rpm_at_over_rev) / 12000, row.margin_at_over_rev_frac, 1e-12);
    swl_near(0.85 * row.crank_max_w, row.wheel_max_w, 1e-12);
    build.engine.over_rev_rpm = 0;
    build.engine.driveline_loss_frac = NAN;
    assert_int_equal(swl_pulley_table(&build, SWL_PULLEY_BLOWER, &d_m, 1, &speeds, &row, NULL), SWL_OK);
    assert_true(isnan(row.margin_at_over_rev_frac) && !isnan(row.margin_at_limit_frac));
    assert_true(isnan(row.wheel_max_w) && row.crank_max_w > 0);
    build.blower.continuous_rpm = NAN;
    assert_int_equal(swl_pulley_table(&build, SWL_PULLEY_BLOWER, &d_m, 1, &speeds, &row, NULL), SWL_OK);
    assert_true(isnan(row.margin_at_limit_frac));
    swl_build_free(&build);
}

/* What a check of the same build says of its line, the study of its sizes says too. */
static void a_line_off_the_map_is_told(void **state)
{
    (void)state;
    swl_build build = test_build_load("maps/estate-roots.ini");
    double d_m[] = {0.2286, 0.092};
    swl_pulley_row rows[2];
    swl_pulley_study study = {.pulley = SWL_PULLEY_BLOWER, .own_m = 0.092, .speeds = speeds, .rows = rows, .count = 2};
    assert_int_equal(swl_pulley_table(&build, SWL_PULLEY_BLOWER, d_m, 2, &speeds, rows, NULL), SWL_OK);
    swl_check check;
    swl_build slow = swl_pulley_build(&build, SWL_PULLEY_BLOWER, d_m[0]);
    assert_int_equal(swl_check_run(&slow, &check, NULL), SWL_OK);
    assert_int_equal(rows[0].tally.points, check.line_count);
    assert_int_equal(rows[0].tally.outside, check.line_count);
    assert_int_equal(rows[0].tally.without_boost, check.line_count);
    assert_int_equal(rows[0].tally.driven, check.line_count);
    assert_int_equal(rows[0].tally.on_side[2], check.line_count);
    swl_check_free(&check);
    assert_int_equal(rows[1].tally.outside + rows[1].tally.without_boost + rows[1].tally.driven, 0);
    study.wishes[study.wish_count++] = (swl_pulley_wish){
        .words = "Size for boost at its peak", .goal = SWL_GOAL_BOOST_PEAK, .value = 207e3, .engine_rpm = NAN};
    assert_int_equal(swl_pulley_wishes(&build, &study, NULL), SWL_OK);
    swl_notes notes = {0};
    swl_diags none = {0};
    swl_notes_pulley(&notes, &build, &study, &none, SWL_UNITS_SI);
    swl_buf text = {0};
    swl_report_pulley_text(&text, &build, &study, &notes, SWL_UNITS_SI);
    static const char *const told[] = {
        " charge_temperature       NO BOOST",
        "-0.7   126.2   108.5 **",
        "NO BOOST on the whole line with 228.6 mm.",
        "Drive power is below zero on the whole line with 228.6 mm.",
        "below the pressure ratios of the lines around it: the whole line with 228.6 mm.",
        "the whole line outside the map, faster than its lines and above its pressure ratios, so temperature and "
        "power come out too low)",
    };
    /* Where lines are broken is no matter. */
    char *flat = strdup(swl_buf_text(&text));
    for (char *at = strstr(flat, "\n  "); at != NULL; at = strstr(flat, "\n  ")) {
        memmove(at, at + 2, strlen(at + 2) + 1);
        *at = ' ';
    }
    for (size_t i = 0; i < sizeof told / sizeof told[0]; i++) {
        if (strstr(flat, told[i]) == NULL) {
            fail_msg("want ...%s..., got %s", told[i], flat);
        }
    }
    free(flat);
    swl_notes_free(&notes);
    swl_buf_free(&text);
    swl_build_free(&build);
}

static swl_pulley_found not_found(const swl_build *build, swl_pulley_goal goal, double value, swl_pulley_stop stop)
{
    swl_pulley_found found;
    swl_err err = {0};
    assert_int_equal(swl_pulley_find(build, SWL_PULLEY_BLOWER, goal, value, 4000, &found, &err), SWL_ERR_SOLVE);
    assert_non_null(strstr(err.text, "no size from 9.2 mm to 920 mm gives"));
    assert_int_equal(found.stop, stop);
    return found;
}

/* What stops a search, and that the nearest it names is what can be reached. */
static void what_no_pulley_gives_is_told(void **state)
{
    (void)state;
    swl_build build = test_build_load("maps/estate-roots.ini");
    swl_pulley_row row;
    swl_pulley_found found = not_found(&build, SWL_GOAL_BOOST_PEAK, 3e6, SWL_STOP_FAST_POINT);
    assert_int_equal(found.end, SWL_MATCH_ENGINE_TOO_SMALL);
    const double d_m[] = {found.exact_m, found.exact_m - 1e-8};
    for (int i = 0; i < 2; i++) {
        assert_int_equal(swl_pulley_table(&build, SWL_PULLEY_BLOWER, &d_m[i], 1, &speeds, &row, NULL), SWL_OK);
        assert_int_equal(row.end == SWL_MATCH_SOLVED, i == 0);
        if (i == 0) {
            swl_near(found.reached, row.boost_peak_pa, 1e-12);
        }
    }
    /* Rotor speed knows no operating points: the range of sizes is what ends it. */
    found = not_found(&build, SWL_GOAL_SPEED, 1e6, SWL_STOP_FAST_END);
    swl_near(0.0092, found.exact_m, 1e-12);
    found = not_found(&build, SWL_GOAL_SPEED, 100, SWL_STOP_SLOW_END);
    swl_near(0.92, found.exact_m, 1e-12);
    found = not_found(&build, SWL_GOAL_BOOST_AT, -90e3, SWL_STOP_SLOW_POINT);
    assert_int_equal(found.end, SWL_MATCH_BLOWER_TOO_SMALL);
    assert_true(found.reached > -90e3);
    /* A sensor that site air alone takes past its scale binds whatever the pulley. */
    build.limits.p_sensor_pa = 20e3;
    found = not_found(&build, SWL_GOAL_LIMITS, 0, SWL_STOP_SLOW_POINT);
    assert_string_equal(found.binds, "manifold_pressure_sensor");
    /* A cooler that keeps the charge hot binds too, and there the slowest size has an operating point. */
    build.limits.p_sensor_pa = NAN;
    build.engine.disp_m3 /= 8;
    build.limits.t_charge_k = 290;
    found = not_found(&build, SWL_GOAL_LIMITS, 0, SWL_STOP_SLOW_END);
    assert_string_equal(found.binds, "charge_temperature");
    swl_build_free(&build);
}

/* With no limit but one that is never reached, the operating points end first, and that is told. */
static void limits_may_end_at_an_operating_point(void **state)
{
    (void)state;
    swl_build build = test_build_load("maps/estate-roots.ini");
    build.blower.continuous_rpm = NAN;
    build.blower.short_time_rpm = NAN;
    build.limits = (swl_limit_values){NAN, NAN, NAN, NAN, NAN, NAN, 100, NAN};
    swl_pulley_found found;
    assert_int_equal(swl_pulley_find(&build, SWL_PULLEY_BLOWER, SWL_GOAL_LIMITS, 0, 0, &found, NULL), SWL_OK);
    assert_null(found.binds);
    assert_int_equal(found.end, SWL_MATCH_ENGINE_TOO_SMALL);
    swl_build_free(&build);
}

static size_t sizes_of(const char *given, const char *table, double *d_m, swl_status want, const char *words)
{
    memory_text file = {table};
    swl_source source = {.read = memory_text_read, .context = &file};
    size_t count = 0;
    swl_err err = {0};
    swl_diags diags = {0};
    assert_int_equal(swl_sizes_read(&source, "--blower", given, d_m, &count, &diags, &err), want);
    assert_int_equal(diags.count, strstr(given, "crank") != NULL);
    swl_diag_free(&diags);
    if (words != NULL && strstr(err.text, words) == NULL) {
        fail_msg("want ...%s..., got %s", words, err.text);
    }
    return count;
}

static void sizes_are_read(void **state)
{
    (void)state;
    double d_m[SWL_PULLEY_SIZES_MAX];
    assert_int_equal(sizes_of("70mm:100mm:2mm", NULL, d_m, SWL_OK, NULL), 16);
    swl_near(0.07, d_m[0], 1e-12);
    swl_near(0.1, d_m[15], 1e-12);
    assert_int_equal(sizes_of("3in, 70 mm,2.9 in,70mm", NULL, d_m, SWL_OK, NULL), 3);
    swl_near(0.07, d_m[0], 1e-12);
    swl_near(3 * 0.0254, d_m[2], 1e-12);
    static const char table[] = "size [in], note\n3.5, steel\n3.25,\n";
    assert_int_equal(sizes_of("shelf.csv", table, d_m, SWL_OK, NULL), 2);
    swl_near(3.25 * 0.0254, d_m[0], 1e-12);
    /* The other pulley's sizes are taken as asked, and that is told. */
    static const char other[] = "crank pulley [in]\n3.5\n";
    assert_int_equal(sizes_of("crank-shelf.csv", other, d_m, SWL_OK, NULL), 1);
}

static void sizes_are_refused(void **state)
{
    (void)state;
    double d_m[SWL_PULLEY_SIZES_MAX];
    (void)sizes_of("70mm:100mm:0mm", NULL, d_m, SWL_ERR_USAGE, "a step above zero");
    (void)sizes_of("100mm:70mm:2mm", NULL, d_m, SWL_ERR_USAGE, "TO at or above FROM");
    (void)sizes_of("70mm:100mm", NULL, d_m, SWL_ERR_USAGE, "FROM:TO:STEP");
    (void)sizes_of("70mm:100mm:0.1mm", NULL, d_m, SWL_ERR_USAGE, "at most 200 sizes");
    (void)sizes_of("70", NULL, d_m, SWL_ERR_USAGE, "--blower: read `70`; the unit is missing");
    (void)sizes_of("70mm,,80mm", NULL, d_m, SWL_ERR_USAGE, "--blower: read `70mm,,80mm`; size 2: read nothing");
    (void)sizes_of("", NULL, d_m, SWL_ERR_USAGE, "read nothing");
    (void)sizes_of("70mm:9:1mm", NULL, d_m, SWL_ERR_USAGE, "--blower: read `70mm:9:1mm`; TO, `9`: the unit is missing");
    (void)sizes_of("3,2in", NULL, d_m, SWL_ERR_USAGE, "--blower: read `3,2in`; a comma stands between sizes");
    (void)sizes_of("5mm", NULL, d_m, SWL_ERR_USAGE, "20 mm to 1000 mm");
    static const char bare[] = "size\n3.5\n";
    static const char words[] = "size [mm]\nlarge\n";
    static const char empty[] = "size [mm]\n";
    (void)sizes_of("a.csv", bare, d_m, SWL_ERR_INPUT, "must name a unit of length");
    (void)sizes_of("a.csv", words, d_m, SWL_ERR_INPUT, "a.csv:2:1: read `large`");
    (void)sizes_of("a.csv", empty, d_m, SWL_ERR_USAGE, "holds no size");
}

static void speeds_of(const char *given, swl_status want, size_t count, const char *words)
{
    const swl_engine engine = {.speed_from_rpm = 1500, .speed_limit_rpm = 6400};
    double rpm[SWL_PULLEY_SPEEDS] = {0, 0, 0};
    size_t read = 0;
    swl_err err = {0};
    assert_int_equal(swl_speeds_read("--speeds", given, &engine, SWL_PULLEY_SPEEDS, rpm, &read, &err), want);
    if (want == SWL_OK) {
        assert_int_equal(read, count);
        swl_near(2000, rpm[0], 1e-12);
    } else if (strstr(err.text, words) == NULL) {
        fail_msg("want ...%s..., got %s", words, err.text);
    }
}

static void span_of(const char *given, swl_status want, const char *words)
{
    const swl_engine engine = {.speed_from_rpm = 1500, .speed_limit_rpm = 6400};
    double from = 0;
    double to = 0;
    swl_err err = {0};
    assert_int_equal(swl_speed_span_read("--island", given, &engine, &from, &to, &err), want);
    if (want == SWL_OK) {
        swl_near(2500, from, 1e-12);
        swl_near(5500, to, 1e-12);
    } else if (strstr(err.text, words) == NULL) {
        fail_msg("want ...%s..., got %s", words, err.text);
    }
}

static void engine_speeds_are_read_or_refused(void **state)
{
    (void)state;
    speeds_of("2000", SWL_OK, 1, NULL);
    speeds_of("2000 rpm, 4000rpm,6400", SWL_OK, 3, NULL);
    speeds_of("2000,3000,4000,5000", SWL_ERR_USAGE, 0, "one to 3 engine speeds");
    speeds_of("7000rpm", SWL_ERR_USAGE, 0, "read `7000rpm`; an engine speed within the build's rev range, 1500 rpm to");
    speeds_of("1499", SWL_ERR_USAGE, 0, "rev range");
    speeds_of("fast", SWL_ERR_USAGE, 0, "read `fast`");
    speeds_of("2000,", SWL_ERR_USAGE, 0, "read nothing");
    speeds_of("nan", SWL_ERR_USAGE, 0, "read `nan`");
    span_of("2500:5500rpm", SWL_OK, NULL);
    span_of("2500", SWL_ERR_USAGE, "FROM:TO, as 2500rpm:5500rpm");
    span_of("2500:3000:5500", SWL_ERR_USAGE, "FROM:TO, as");
    span_of("5500:2500", SWL_ERR_USAGE, "TO above FROM");
    span_of("2500:2500", SWL_ERR_USAGE, "TO above FROM");
    span_of("2500:9000", SWL_ERR_USAGE, "rev range");
}

static void weights_of(const char *given, const char *table, swl_status want, const char *words)
{
    memory_text file = {table};
    swl_source source = {.read = memory_text_read, .context = &file};
    swl_curve *weights = NULL;
    swl_diags diags = {0};
    swl_err err = {0};
    assert_int_equal(swl_weights_read(&source, "--weights", given, &weights, &diags, &err), want);
    if (want == SWL_OK) {
        swl_near(3, swl_curve_at(weights, 4000), 1e-12);
        swl_curve_free(weights);
    } else {
        swl_buf text = {0};
        swl_diag_print(&diags, SWL_ERROR, &text);
        swl_buf_puts(&text, err.text);
        assert_null(weights);
        if (strstr(swl_buf_text(&text), words) == NULL) {
            fail_msg("want ...%s..., got %s", words, swl_buf_text(&text));
        }
        swl_buf_free(&text);
    }
    swl_diag_free(&diags);
}

static void weights_are_read_or_refused(void **state)
{
    (void)state;
    static const char table[] = "speed [rpm], weight\n2500, 1\n4000, 3\n";
    weights_of("2500: 1, 4000rpm: 3, 5500: 1", NULL, SWL_OK, NULL);
    weights_of("weights.csv", table, SWL_OK, NULL);
    weights_of("", NULL, SWL_ERR_USAGE, "read nothing");
    weights_of(" ", NULL, SWL_ERR_USAGE, "read nothing; a curve");
    weights_of(",", NULL, SWL_ERR_USAGE, "read nothing between two commas");
    weights_of("2500: 0", NULL, SWL_ERR_USAGE, "--weights:1:7: error: weight: read `0`; 0.001 to 1000 is accepted");
    weights_of("2500: -1", NULL, SWL_ERR_USAGE, "read `-1`; 0.001 to 1000 is accepted");
    weights_of("2500: nan", NULL, SWL_ERR_USAGE, "read `nan`");
    weights_of("4000: 1, 2500: 1", NULL, SWL_ERR_USAGE, "must rise");
    weights_of("2500: 1 +- 0.1", NULL, SWL_ERR_USAGE, "no +-");
    weights_of("heavy", NULL, SWL_ERR_USAGE, "read `heavy`");
}

/* In cold air a far too large pulley leaves the air colder than its properties reach; sizes that work are found all the
 * same. */
static void cold_air_does_not_hide_the_sizes(void **state)
{
    (void)state;
    for (double t_k = 233.15; t_k < 275; t_k += 10) {
        swl_build build = test_build_load("maps/estate-roots.ini");
        build.site.t_k = t_k;
        build.site.rh_frac = 0;
        swl_pulley_found found;
        assert_int_equal(swl_pulley_find(&build, SWL_PULLEY_BLOWER, SWL_GOAL_BOOST_PEAK, 50e3, 0, &found, NULL),
                         SWL_OK);
        assert_int_equal(found.stop, SWL_STOP_FOUND);
        swl_near(50e3, found.reached, 1e-6);
        swl_build_free(&build);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(row_is_that_of_a_check),
        cmocka_unit_test(found_sizes_give_the_goal),
        cmocka_unit_test(smallest_is_on_the_border),
        cmocka_unit_test(margins_follow_the_limits_given),
        cmocka_unit_test(a_line_off_the_map_is_told),
        cmocka_unit_test(what_no_pulley_gives_is_told),
        cmocka_unit_test(limits_may_end_at_an_operating_point),
        cmocka_unit_test(sizes_are_read),
        cmocka_unit_test(sizes_are_refused),
        cmocka_unit_test(engine_speeds_are_read_or_refused),
        cmocka_unit_test(weights_are_read_or_refused),
        cmocka_unit_test(cold_air_does_not_hide_the_sizes),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
