/* Builds side by side: against checks of the same builds, mirrored, alike, solved for the same, and key by key. */
#include "support/near.h"

#include "support/builds.h"
#include "sweptline/compare.h"
#include "sweptline/report.h"

#include <string.h>

static const double speeds_rpm[] = {2000, 4000, 6400};
static const swl_compare_wish as_fitted = {.value = NAN, .engine_rpm = NAN};

static void run(const swl_build *a, const swl_build *b, const swl_compare_wish *wish, swl_compare *compare)
{
    const swl_build *builds[] = {a, b};
    swl_err err = {0};
    if (swl_compare_run(builds, 2, wish, speeds_rpm, 3, compare, &err) != SWL_OK) {
        fail_msg("%s", err.text);
    }
}

static void values_are_those_of_a_check(void **state)
{
    (void)state;
    swl_build roots = test_build_load("maps/estate-roots.ini");
    swl_build screw = test_build_load("maps/estate-screw.ini");
    swl_compare compare;
    run(&roots, &screw, &as_fitted, &compare);
    assert_int_equal(compare.solved, 2);
    swl_check check = test_check_run(&screw);
    const swl_compare_build *one = &compare.builds[1];
    const swl_point *last = &check.line[check.line_count - 1];
    const swl_power *power = &check.power[check.line_count - 1];
    swl_near(last->p_ratio, one->at[2][SWL_COMPARE_RATIO].value, 1e-12);
    swl_near(last->boost_pa, one->at[2][SWL_COMPARE_BOOST_AT].value, 1e-12);
    swl_near(last->mdot_kg_s, one->at[2][SWL_COMPARE_AIR].value, 1e-12);
    swl_near(last->t2_k, one->at[2][SWL_COMPARE_DISCHARGE].value, 1e-12);
    swl_near(last->t3_k, one->at[2][SWL_COMPARE_CHARGE].value, 1e-12);
    swl_near(last->p_shaft_w, one->at[2][SWL_COMPARE_DRIVE_POWER].value, 1e-12);
    swl_near(last->torque_nm, one->at[2][SWL_COMPARE_DRIVE_TORQUE].value, 1e-12);
    swl_near(last->blower_rpm, one->at[2][SWL_COMPARE_BLOWER_SPEED].value, 1e-12);
    swl_near(power->crank_w, one->at[2][SWL_COMPARE_CRANK_POWER].value, 1e-12);
    double hottest_k = 0;
    double lowest_frac = INFINITY;
    size_t exceeded = 0;
    for (size_t i = 0; i < check.line_count; i++) {
        hottest_k = fmax(hottest_k, check.line[i].t2_k);
    }
    for (size_t i = 0; i < check.limit_count; i++) {
        lowest_frac = fmin(lowest_frac, check.limits[i].margin_frac);
        exceeded += check.limits[i].verdict == SWL_EXCEEDED;
    }
    swl_near(hottest_k, one->figures[SWL_FIGURE_DISCHARGE].value, 1e-12);
    swl_near(lowest_frac, one->figures[SWL_FIGURE_LEAST_MARGIN].value, 1e-12);
    assert_int_equal(one->exceeded, exceeded);
    /* The speed margins are what the limits' table says. */
    swl_near(check.limits[0].margin_frac, one->figures[SWL_FIGURE_SPEED_MARGIN].value, 1e-9);
    swl_near(check.limits[1].margin_frac, one->figures[SWL_FIGURE_OVER_REV_MARGIN].value, 1e-9);
    /* The best of a typed map is its best row, and the level is the highest multiple of 5 below the poorer one. */
    swl_near(0.8368, one->figures[SWL_FIGURE_EFFICIENCY_BEST].value, 1e-12);
    swl_near(0.70, compare.common_level_frac, 1e-12);
    swl_check_free(&check);
    swl_compare_free(&compare);
    swl_build_free(&roots);
    swl_build_free(&screw);
}

/* Shares by a sum of one's own over another grid of engine speeds. */
static void shares_are_those_of_the_rev_range(void **state)
{
    (void)state;
    swl_build roots = test_build_load("maps/estate-roots.ini");
    swl_build fast = roots;
    fast.drive.d_blower_m = 0.070;
    fast.engine.speed_from_rpm = 900;
    swl_compare compare;
    run(&roots, &fast, &as_fitted, &compare);
    for (size_t i = 0; i < 2; i++) {
        const swl_compare_build *one = &compare.builds[i];
        enum { CUTS = 7777 };
        swl_match *match = test_match_new(&one->build);
        double near_best = 0;
        double common = 0;
        double outside = 0;
        double mean_frac = 0;
        for (size_t k = 0; k < CUTS; k++) {
            const swl_engine *engine = &one->build.engine;
            double rpm =
                engine->speed_from_rpm + (engine->speed_limit_rpm - engine->speed_from_rpm) * ((double)k + 0.5) / CUTS;
            swl_point point = swl_match_point(match, rpm);
            bool in = point.map_where == SWL_MAP_INSIDE;
            near_best += in && point.ea_frac >= one->figures[SWL_FIGURE_EFFICIENCY_BEST].value - 0.02;
            common += in && point.ea_frac >= compare.common_level_frac;
            outside += !in;
            mean_frac += point.ea_frac / CUTS;
        }
        swl_match_free(match);
        swl_near_abs(near_best / CUTS, one->figures[SWL_FIGURE_SHARE_OWN_BEST].value, 0.002);
        swl_near_abs(common / CUTS, one->figures[SWL_FIGURE_SHARE_COMMON].value, 0.002);
        swl_near_abs(outside / CUTS, one->figures[SWL_FIGURE_SHARE_OUTSIDE].value, 0.002);
        swl_near_abs(mean_frac, one->figures[SWL_FIGURE_EFFICIENCY_MEAN].value, 1e-5);
        assert_true(one->figures[SWL_FIGURE_SHARE_COMMON].value + one->figures[SWL_FIGURE_SHARE_OUTSIDE].value <= 1);
        assert_true(one->figures[SWL_FIGURE_EFFICIENCY_MEAN].value < one->figures[SWL_FIGURE_EFFICIENCY_BEST].value);
    }
    assert_true(compare.builds[1].figures[SWL_FIGURE_SHARE_OUTSIDE].value > 0.01);
    assert_true(compare.builds[1].points_outside > 0);
    swl_compare_free(&compare);
    swl_build_free(&roots);
}

static bool says(const swl_notes *notes, const char *words)
{
    for (size_t i = 0; i < notes->count; i++) {
        if (strstr(notes->items[i], words) != NULL) {
            return true;
        }
    }
    return false;
}

static swl_notes summary_of(const swl_compare *compare, const swl_build *a, const swl_build *b)
{
    const swl_build *builds[] = {a, b};
    swl_differences differences;
    swl_notes summary = {0};
    assert_int_equal(swl_build_differences(builds, 2, SWL_UNITS_SI, &differences, NULL), SWL_OK);
    const swl_compare_report report = {.compare = compare, .differences = &differences};
    swl_notes_compare_summary(&summary, &report, SWL_UNITS_SI);
    assert_false(summary.failed);
    swl_differences_free(&differences);
    return summary;
}

static void builds_alike_have_no_difference(void **state)
{
    (void)state;
    swl_build build = test_build_load("maps/estate-roots.ini");
    swl_build same = build;
    swl_compare compare;
    run(&build, &same, &as_fitted, &compare);
    for (size_t q = 0; q < SWL_FIGURES; q++) {
        const swl_compare_value *values[] = {&compare.builds[0].figures[q], &compare.builds[1].figures[q]};
        bool alike = values[0]->value == values[1]->value || (isnan(values[0]->value) && isnan(values[1]->value));
        assert_true(alike);
        assert_int_equal(swl_compare_best(&swl_compare_figures[q], values, 2), 2);
    }
    swl_notes summary = summary_of(&compare, &build, &same);
    assert_true(says(&summary, "On none of these is there a difference to build on."));
    assert_false(says(&summary, " is cooler"));
    assert_false(says(&summary, "make different boost"));
    swl_notes_free(&summary);
    const swl_build *builds[] = {&build, &same};
    swl_differences differences;
    assert_int_equal(swl_build_differences(builds, 2, SWL_UNITS_SI, &differences, NULL), SWL_OK);
    assert_int_equal(differences.count, 0);
    swl_differences_free(&differences);
    swl_compare_free(&compare);
    swl_build_free(&build);
}

static void order_mirrors(void **state)
{
    (void)state;
    swl_build roots = test_build_load("maps/estate-roots.ini");
    swl_build screw = test_build_load("maps/estate-screw.ini");
    swl_compare one;
    swl_compare other;
    run(&roots, &screw, &as_fitted, &one);
    run(&screw, &roots, &as_fitted, &other);
    for (size_t q = 0; q < SWL_FIGURES; q++) {
        const swl_compare_value *left[] = {&one.builds[0].figures[q], &one.builds[1].figures[q]};
        const swl_compare_value *right[] = {&other.builds[0].figures[q], &other.builds[1].figures[q]};
        for (size_t i = 0; i < 2; i++) {
            assert_true(left[i]->value == right[1 - i]->value || isnan(left[i]->value));
        }
        size_t a = swl_compare_best(&swl_compare_figures[q], left, 2);
        size_t b = swl_compare_best(&swl_compare_figures[q], right, 2);
        assert_true(a == 2 ? b == 2 : b == 1 - a);
    }
    swl_notes summary = summary_of(&one, &roots, &screw);
    assert_true(says(&summary, "Discharge temperature at its highest: A is cooler by 3.7 K"));
    assert_true(says(&summary, "B exceeds 2 of 8 (continuous_speed, boost)"));
    assert_true(says(&summary, "make different boost"));
    swl_notes mirrored = summary_of(&other, &screw, &roots);
    assert_true(says(&mirrored, "Discharge temperature at its highest: B is cooler by 3.7 K"));
    swl_notes_free(&summary);
    swl_notes_free(&mirrored);
    swl_compare_free(&one);
    swl_compare_free(&other);
    swl_build_free(&roots);
    swl_build_free(&screw);
}

static void solved_builds_give_the_goal(void **state)
{
    (void)state;
    swl_build roots = test_build_load("maps/estate-roots.ini");
    swl_build screw = test_build_load("maps/estate-screw.ini");
    const swl_compare_wish wishes[] = {
        {.goal = SWL_COMPARE_BOOST, .value = 60e3, .engine_rpm = NAN},
        {.goal = SWL_COMPARE_BOOST, .value = 55e3, .engine_rpm = 4000},
        {.goal = SWL_COMPARE_FLOW, .value = 0.33, .engine_rpm = NAN},
    };
    for (size_t w = 0; w < 3; w++) {
        swl_compare compare;
        run(&roots, &screw, &wishes[w], &compare);
        assert_int_equal(compare.solved, 2);
        for (size_t i = 0; i < 2; i++) {
            const swl_compare_build *one = &compare.builds[i];
            double got = w == 0   ? one->figures[SWL_FIGURE_BOOST].value
                         : w == 1 ? one->at[1][SWL_COMPARE_BOOST_AT].value
                                  : one->at[2][SWL_COMPARE_AIR].value;
            swl_near(wishes[w].value, got, 1e-5);
            swl_near(i == 0 ? 0.092 : 0.053, one->fitted_m, 1e-12);
            assert_true(fabs(one->build.drive.d_blower_m - one->fitted_m) > 1e-4);
        }
        swl_compare_free(&compare);
    }
    swl_build_free(&roots);
    swl_build_free(&screw);
}

/* A build that cannot give it is told; the others are compared all the same, against the first that can. */
static void what_cannot_be_given_is_told(void **state)
{
    (void)state;
    swl_build shut = test_build_load("maps/estate-roots.ini");
    swl_build roots = shut;
    swl_build screw = test_build_load("maps/estate-screw.ini");
    shut.cooler.loss = (swl_loss){.dp_pa = 90e3, .mdot_kg_s = 0.03};
    const swl_build *builds[] = {&shut, &roots, &screw};
    const swl_compare_wish wish = {.goal = SWL_COMPARE_FLOW, .value = 0.33, .engine_rpm = NAN};
    swl_compare compare;
    assert_int_equal(swl_compare_run(builds, 3, &wish, speeds_rpm, 3, &compare, NULL), SWL_OK);
    assert_int_equal(compare.solved, 2);
    assert_int_equal(compare.first, 1);
    assert_false(compare.builds[0].solved);
    assert_int_equal(compare.builds[0].found.stop, SWL_STOP_FAST_POINT);
    swl_buf why = {0};
    swl_report_compare_failure(&why, &compare, 0, SWL_UNITS_US);
    assert_non_null(
        strstr(swl_buf_text(&why), "no blower pulley gives 43.65 lb/min of air at the rev limit; the most is "));
    assert_non_null(strstr(swl_buf_text(&why), "a smaller one has no operating point at 6400 rpm: "));
    swl_buf_free(&why);
    swl_is_nan(compare.builds[0].at[0][SWL_COMPARE_AIR].value);
    swl_is_nan(compare.builds[0].figures[SWL_FIGURE_BOOST].value);
    swl_compare_free(&compare);
    const swl_build *lone[] = {&shut, &shut};
    assert_int_equal(swl_compare_run(lone, 2, &wish, speeds_rpm, 3, &compare, NULL), SWL_ERR_SOLVE);
    swl_compare_free(&compare);
    swl_build_free(&shut);
    swl_build_free(&screw);
}

static void speeds_and_counts_are_held(void **state)
{
    (void)state;
    swl_build build = test_build_load("maps/estate-roots.ini");
    swl_build short_range = build;
    short_range.engine.speed_limit_rpm = 5200;
    const swl_build *builds[] = {&build, &short_range};
    double found_rpm[SWL_COMPARE_SPEEDS_MAX];
    assert_int_equal(swl_compare_speeds(builds, 1, found_rpm), 4);
    swl_near(2000, found_rpm[0], 0);
    swl_near(4000, found_rpm[1], 0);
    swl_near(6000, found_rpm[2], 0);
    swl_near(6400, found_rpm[3], 0);
    size_t count = swl_compare_speeds(builds, 2, found_rpm);
    assert_int_equal(count, 4);
    swl_near(5200, found_rpm[count - 1], 0);
    for (size_t k = 0; k < count; k++) {
        assert_true(found_rpm[k] >= 1500 && found_rpm[k] <= 5200 && (k == 0 || found_rpm[k] > found_rpm[k - 1]));
    }
    swl_compare compare;
    swl_err err = {0};
    assert_int_equal(swl_compare_run(builds, 2, &as_fitted, speeds_rpm, 3, &compare, &err), SWL_ERR_USAGE);
    assert_non_null(strstr(err.text, "6400 rpm lies outside the rev range"));
    err = (swl_err){0};
    const swl_compare_wish late = {.goal = SWL_COMPARE_BOOST, .value = 5e4, .engine_rpm = 6000};
    assert_int_equal(swl_compare_run(builds, 2, &late, speeds_rpm, 2, &compare, &err), SWL_ERR_USAGE);
    assert_int_equal(swl_compare_run(builds, 1, &as_fitted, speeds_rpm, 2, &compare, NULL), SWL_ERR_USAGE);
    assert_int_equal(swl_compare_run(builds, 2, &as_fitted, speeds_rpm, 0, &compare, NULL), SWL_ERR_USAGE);
    short_range.engine.speed_from_rpm = 5200;
    build.engine.speed_limit_rpm = 5000;
    assert_int_equal(swl_compare_speeds(builds, 2, found_rpm), 0);
    swl_build_free(&build);
}

/* A unit without a stated limit has no margin: then none is best, and who lacks it is said. Four builds whose others
 * are alike are told in one figure. */
static void a_missing_figure_is_told(void **state)
{
    (void)state;
    swl_build roots = test_build_load("maps/estate-roots.ini");
    swl_build without = roots;
    swl_build slower = roots;
    without.blower.continuous_rpm = NAN;
    slower.drive.d_blower_m *= 1.1;
    const swl_build *builds[] = {&roots, &without, &slower, &roots};
    swl_compare compare;
    swl_differences differences;
    assert_int_equal(swl_compare_run(builds, 4, &as_fitted, speeds_rpm, 3, &compare, NULL), SWL_OK);
    assert_int_equal(swl_build_differences(builds, 4, SWL_UNITS_SI, &differences, NULL), SWL_OK);
    const swl_compare_value *values[4];
    for (size_t i = 0; i < 4; i++) {
        values[i] = &compare.builds[i].figures[SWL_FIGURE_SPEED_MARGIN];
    }
    assert_int_equal(swl_compare_best(&swl_compare_figures[SWL_FIGURE_SPEED_MARGIN], values, 4), 4);
    swl_notes summary = {0};
    const swl_compare_report report = {.compare = &compare, .differences = &differences};
    swl_notes_compare_summary(&summary, &report, SWL_UNITS_SI);
    assert_true(says(&summary, " B has no such figure."));
    assert_true(says(&summary, " points away."));
    assert_false(says(&summary, "points to "));
    swl_notes_free(&summary);
    swl_differences_free(&differences);
    swl_compare_free(&compare);
    swl_build_free(&roots);
}

/* The point a pulley is solved on may be one where the map's edge is held. */
static void a_pulley_solved_off_its_map_is_told(void **state)
{
    (void)state;
    swl_build roots = test_build_load("maps/estate-roots.ini");
    swl_build screw = test_build_load("maps/estate-screw.ini");
    const swl_compare_wish wishes[] = {
        {.goal = SWL_COMPARE_BOOST, .value = 60e3, .engine_rpm = NAN},
        {.goal = SWL_COMPARE_BOOST, .value = 200e3, .engine_rpm = 4000},
    };
    for (size_t w = 0; w < 2; w++) {
        swl_compare compare;
        run(&roots, &screw, &wishes[w], &compare);
        bool off = w == 1;
        assert_int_equal(compare.builds[0].solved_on_map, !off);
        if (off) {
            swl_near(4000, compare.builds[0].solved_rpm, 0);
        }
        swl_notes summary = summary_of(&compare, &roots, &screw);
        assert_int_equal(says(&summary, "The pulley of A is solved on a point outside its map, at 4000 rpm"), off);
        /* A figure outside the map is starred, and neither build is then called better. */
        bool mean_off = !compare.builds[0].figures[SWL_FIGURE_EFFICIENCY_MEAN].on_map;
        assert_int_equal(mean_off, off);
        assert_int_equal(says(&summary, " %* in A, "), off);
        assert_int_equal(says(&summary, "neither is called higher, for * rests on points outside the map."), off);
        swl_notes_free(&summary);
        swl_buf text = {0};
        const char *const files[] = {"a.ini", "b.ini"};
        const swl_differences differences = {0};
        const swl_notes none = {0};
        const swl_compare_report report = {
            .compare = &compare, .files = files, .differences = &differences, .summary = &none, .notes = &none};
        swl_report_compare_text(&text, &report, SWL_UNITS_SI, false);
        assert_int_equal(strstr(swl_buf_text(&text), "solved OFF ITS MAP* at 4000 rpm (fitted 92.0 mm)") != NULL, off);
        assert_non_null(strstr(swl_buf_text(&text), "\nleast of all limits "));
        swl_buf_free(&text);
        swl_report_compare_csv(&text, &report, SWL_UNITS_SI);
        assert_non_null(strstr(swl_buf_text(&text), ",best,outside the map\n"));
        const char *mean = strstr(swl_buf_text(&text), "\nrev range,mean,%,");
        assert_non_null(mean);
        const char *end = strchr(mean + 1, '\n');
        assert_non_null(end);
        assert_int_equal(end[-1] != ',', off);
        swl_buf_free(&text);
        swl_compare_free(&compare);
    }
    swl_build_free(&roots);
    swl_build_free(&screw);
}

/* best is the better by more than the resolution, with all on their maps, and of two at least. */
static void best_wants_a_difference(void **state)
{
    (void)state;
    const swl_compare_quantity *less = &swl_compare_values[SWL_COMPARE_DISCHARGE];
    const swl_compare_quantity *more = &swl_compare_values[SWL_COMPARE_AIR];
    swl_compare_value a = {.value = 400, .on_map = true};
    swl_compare_value b = {.value = 401.5, .on_map = true};
    swl_compare_value c = {.value = NAN, .on_map = true};
    const swl_compare_value *values[] = {&a, &b, &c};
    assert_int_equal(swl_compare_best(less, values, 2), 0);
    assert_int_equal(swl_compare_best(more, values, 2), 2);
    assert_int_equal(swl_compare_best(&swl_compare_values[SWL_COMPARE_RATIO], values, 2), 2);
    b.value = 401;
    assert_int_equal(swl_compare_best(less, values, 2), 2);
    b.value = 410;
    assert_int_equal(swl_compare_best(more, values, 2), 1);
    /* A third that has no value may be better than both. */
    assert_int_equal(swl_compare_best(more, values, 3), 3);
    assert_int_equal(swl_compare_best(less, values, 3), 3);
    c.value = 405;
    assert_int_equal(swl_compare_best(more, values, 3), 1);
    assert_int_equal(swl_compare_best(less, values, 3), 0);
    b.on_map = false;
    assert_int_equal(swl_compare_best(more, values, 3), 3);
    assert_int_equal(swl_compare_best(less, values, 3), 3);
    b.value = NAN;
    assert_int_equal(swl_compare_best(less, values, 2), 2);
    assert_int_equal(swl_compare_best(less, values, 1), 1);
    assert_false(swl_compare_differ(less, 1, NAN));
}

static const swl_difference *difference(const swl_differences *differences, const char *section, const char *key)
{
    for (size_t i = 0; i < differences->count; i++) {
        if (strcmp(differences->items[i].section, section) == 0 && strcmp(differences->items[i].key, key) == 0) {
            return &differences->items[i];
        }
    }
    fail_msg("[%s] %s is not among the differences", section, key);
    return NULL;
}

static void holds(const swl_differences *differences, const char *section, const char *key, bool expected,
                  const char *a, const char *b)
{
    const swl_difference *item = difference(differences, section, key);
    assert_string_equal(item->value[0], a);
    assert_string_equal(item->value[1], b);
    assert_true(item->expected == expected);
}

static void differences_are_told_key_by_key(void **state)
{
    (void)state;
    swl_build roots = test_build_load("maps/estate-roots.ini");
    swl_build screw = test_build_load("maps/estate-screw.ini");
    const swl_build *builds[] = {&roots, &screw};
    swl_differences found;
    assert_int_equal(swl_build_differences(builds, 2, SWL_UNITS_SI, &found, NULL), SWL_OK);
    assert_int_equal(found.count, 2);
    holds(&found, "blower", "unit", true, "Invented Roots unit 185", "Invented screw unit 120");
    holds(&found, "drive", "blower_pulley", true, "92.0 mm", "53.0 mm");
    swl_differences_free(&found);

    swl_build other = roots;
    const double x[] = {1500, 4500, 6400};
    const double y[] = {0.79, 0.80, 0.82};
    other.engine.ve = swl_curve_new(x, y, 3, NULL);
    other.engine.disp_m3 = 0.0046;
    other.engine.cylinders = 0;
    other.engine.compression_ratio = NAN;
    other.engine.ve_t_sqrt = false;
    other.engine.back_pressure = (swl_loss){0};
    other.engine.known_power_w = NAN;
    other.engine.known_power_speed_rpm = NAN;
    (void)snprintf(other.engine.fuel, sizeof other.engine.fuel, "ethanol");
    other.site.altitude_m = 500;
    other.site.p_pa = 95461;
    other.drive.belt_profile[0] = '\0';
    other.cooler.loss.dp_pa = 5000.01;
    other.limits.boost_pa = NAN;
    builds[1] = &other;
    assert_int_equal(swl_build_differences(builds, 2, SWL_UNITS_SI, &found, NULL), SWL_OK);
    holds(&found, "engine", "displacement", false, "4.40 L", "4.60 L");
    holds(&found, "engine", "cylinders", false, "8", "not given");
    holds(&found, "engine", "compression_ratio", false, "9.6", "not given");
    holds(&found, "engine", "volumetric_efficiency", false, "91.0 % at 4500 rpm, 6 points",
          "80.0 % at 4500 rpm, 3 points");
    holds(&found, "engine", "ve_temperature_effect", false, "sqrt", "none");
    holds(&found, "engine", "back_pressure", false, "24.0 kPa at 1440.0 kg/h", "none");
    holds(&found, "engine", "fuel", false, "petrol", "ethanol");
    holds(&found, "engine", "known_power", false, "225.0 kW at 6000 rpm", "not given");
    holds(&found, "site", "altitude", false, "180 m", "500 m");
    holds(&found, "drive", "belt", true, "PK 8", "not given");
    /* Values that look alike when rounded are told to their last digits. */
    holds(&found, "cooler", "loss", false, "5 kPa at 1260 kg/h", "5.00001 kPa at 1260 kg/h");
    holds(&found, "limits", "boost", false, "70.0 kPa", "not given");
    assert_int_equal(found.count, 12);
    swl_differences_free(&found);
    /* An altitude on one side only is no difference in itself; the pressure is. */
    other.site.altitude_m = NAN;
    assert_int_equal(swl_build_differences(builds, 2, SWL_UNITS_US, &found, NULL), SWL_OK);
    holds(&found, "site", "pressure", false, "14.39 psia", "13.85 psia");
    holds(&found, "engine", "displacement", false, "268.5 in3", "280.7 in3");
    swl_differences_free(&found);
    assert_int_equal(swl_build_differences(builds, 1, SWL_UNITS_SI, &found, NULL), SWL_ERR_USAGE);
    swl_curve_free(other.engine.ve);
    swl_build_free(&roots);
    swl_build_free(&screw);
}

/* Any builds: shares lie within 0 and 1, what is marked best is best, and nothing depends on the order. */
static void random_builds(void **state)
{
    (void)state;
    test_random random = {77};
    size_t held = 0;
    for (size_t n = 0; n < 40; n++) {
        swl_build a = test_build_random(&random);
        swl_build b = test_build_random(&random);
        const swl_build *builds[] = {&a, &b};
        double found_rpm[SWL_COMPARE_SPEEDS_MAX];
        size_t speeds = swl_compare_speeds(builds, 2, found_rpm);
        swl_compare compare;
        if (speeds > 0 && swl_compare_run(builds, 2, &as_fitted, found_rpm, speeds, &compare, NULL) == SWL_OK) {
            for (size_t i = 0; i < 2; i++) {
                for (size_t q = SWL_FIGURE_SHARE_OWN_BEST; compare.builds[i].solved && q < SWL_FIGURES; q++) {
                    double share = compare.builds[i].figures[q].value;
                    assert_true(share >= 0 && share <= 1);
                }
            }
            held += compare.solved == 2;
            swl_compare_free(&compare);
        }
        swl_build_free(&a);
        swl_build_free(&b);
    }
    assert_true(held > 15);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(values_are_those_of_a_check),     cmocka_unit_test(shares_are_those_of_the_rev_range),
        cmocka_unit_test(builds_alike_have_no_difference), cmocka_unit_test(order_mirrors),
        cmocka_unit_test(solved_builds_give_the_goal),     cmocka_unit_test(what_cannot_be_given_is_told),
        cmocka_unit_test(speeds_and_counts_are_held),      cmocka_unit_test(best_wants_a_difference),
        cmocka_unit_test(a_missing_figure_is_told),        cmocka_unit_test(a_pulley_solved_off_its_map_is_told),
        cmocka_unit_test(differences_are_told_key_by_key), cmocka_unit_test(random_builds),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
