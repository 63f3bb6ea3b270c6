/* Every limit held against the operating line. Expected values are calculated. */
#include "support/builds.h"

#include "sweptline/drive.h"

#include <string.h>

/* Returns: the row of that name, NULL when there is none; fails when there are two. */
static const swl_limit_row *row_of(const swl_check *check, const char *name)
{
    const swl_limit_row *found = NULL;
    for (size_t i = 0; i < check->limit_count; i++) {
        if (strcmp(check->limits[i].name, name) == 0) {
            assert_null(found);
            found = &check->limits[i];
        }
    }
    return found;
}

static const swl_limit_row *row_wanted(const swl_check *check, const char *name)
{
    const swl_limit_row *row = row_of(check, name);
    if (row == NULL) {
        fail_msg("there is no limit %s", name);
    }
    return row;
}

/* ---- speed limits ---- */

/* The continuous speed that the 14000 rpm of the 2 to 1 drive at 7000 rpm are held to. */
static void check_verdict(double limit_rpm, swl_verdict verdict)
{
    swl_build build = test_build_two_to_one();
    build.blower.continuous_rpm = limit_rpm;
    swl_check check = test_check_run(&build);
    const swl_limit_row *row = row_wanted(&check, "continuous_speed");
    assert_true(row->value == 14000);
    assert_true(row->limit == limit_rpm);
    if (row->verdict != verdict) {
        fail_msg("14000 of %.17g rpm: want %s, got %s", limit_rpm, swl_verdict_word(verdict),
                 swl_verdict_word(row->verdict));
    }
    swl_near_abs((limit_rpm - 14000) / limit_rpm, row->margin_frac, 1e-15);
    assert_true(check.exceeded == (verdict == SWL_EXCEEDED));
    swl_check_free(&check);
    swl_build_free(&build);
}

static void verdicts(void **state)
{
    (void)state;
    check_verdict(14000, SWL_CLOSE); /* on the limit is not over it */
    check_verdict(14000 * (1 - 1e-8), SWL_EXCEEDED);
    check_verdict(14000 * (1 + 1e-8), SWL_CLOSE);
    check_verdict(13000, SWL_EXCEEDED);
    /* 5 % of the limit to spare, and a hair less and more. */
    check_verdict(14000 / 0.95 * (1 - 1e-8), SWL_CLOSE);
    check_verdict(14000 / 0.95 * (1 + 1e-8), SWL_KEPT);
    check_verdict(30000, SWL_KEPT);
}

/* At 5 % to the last digit: 19000 of 20000 rpm. */
static void margin_of_five_per_cent_is_kept(void **state)
{
    (void)state;
    swl_build build = test_build_two_to_one();
    build.engine.speed_limit_rpm = 9500;
    build.blower.continuous_rpm = 20000;
    swl_check check = test_check_run(&build);
    const swl_limit_row *row = row_wanted(&check, "continuous_speed");
    assert_true(row->value == 19000);
    assert_int_equal(row->verdict, SWL_KEPT);
    swl_check_free(&check);
    swl_build_free(&build);
}

static void verdict_words(void **state)
{
    (void)state;
    assert_string_equal(swl_verdict_word(SWL_KEPT), "kept");
    assert_string_equal(swl_verdict_word(SWL_CLOSE), "close");
    assert_string_equal(swl_verdict_word(SWL_EXCEEDED), "exceeded");
}

static void speeds_are_without_slip(void **state)
{
    (void)state;
    swl_build build = test_build_two_to_one();
    build.drive.slip_frac = 0.03;
    build.engine.over_rev_rpm = 250;
    build.blower.continuous_rpm = 15000;
    build.blower.short_time_rpm = 16000;
    swl_check check = test_check_run(&build);
    const swl_limit_row *continuous = row_wanted(&check, "continuous_speed");
    const swl_limit_row *short_time = row_wanted(&check, "short_time_speed");
    assert_true(check.drive_ratio == 2);
    assert_true(continuous->value == 14000 && continuous->engine_rpm == 7000);
    assert_true(short_time->value == 14500 && short_time->engine_rpm == 7250);
    assert_true(check.blower_rpm_at_limit == 14000 && check.blower_rpm_at_over_rev == 14500);
    assert_true(continuous->on_map && short_time->on_map);
    assert_string_equal(continuous->unit, "rpm");
    assert_string_equal(short_time->unit, "rpm");
    /* The operating line itself slips. */
    swl_near(14000 * 0.97, check.line[check.line_count - 1].blower_rpm, 1e-14);
    /* 15000 and 16000 rpm are reached at half of that. */
    swl_near(7500, continuous->engine_rpm_at_limit, 1e-14);
    swl_near(8000, short_time->engine_rpm_at_limit, 1e-14);
    /* 0.25 m * 7000/15000 and 0.25 m * 7250/16000. */
    swl_near(0.25 * 7000 / 15000, continuous->smallest_pulley_m, 1e-14);
    swl_near(0.25 * 7250 / 16000, short_time->smallest_pulley_m, 1e-14);
    assert_null(row_of(&check, "over_rev_speed"));
    assert_int_equal(check.limit_count, 2);
    swl_check_free(&check);
    swl_build_free(&build);
}

static void over_rev_without_a_short_time_limit(void **state)
{
    (void)state;
    swl_build build = test_build_two_to_one();
    build.engine.over_rev_rpm = 250;
    build.blower.continuous_rpm = 14200;
    swl_check check = test_check_run(&build);
    assert_int_equal(check.limit_count, 2);
    assert_int_equal(row_wanted(&check, "continuous_speed")->verdict, SWL_CLOSE);
    const swl_limit_row *row = row_wanted(&check, "over_rev_speed");
    assert_true(row->value == 14500 && row->limit == 14200 && row->engine_rpm == 7250);
    assert_int_equal(row->verdict, SWL_EXCEEDED);
    assert_true(check.exceeded);
    swl_check_free(&check);
    /* With no over-rev there is nothing to hold. */
    build.engine.over_rev_rpm = 0;
    check = test_check_run(&build);
    assert_int_equal(check.limit_count, 1);
    assert_null(row_of(&check, "over_rev_speed"));
    assert_false(check.exceeded);
    swl_check_free(&check);
    /* A short-time limit alone is held at the rev limit and over-rev, also when that is 0. */
    build.blower.continuous_rpm = (double)NAN;
    build.blower.short_time_rpm = 13999;
    check = test_check_run(&build);
    assert_int_equal(check.limit_count, 1);
    assert_int_equal(row_wanted(&check, "short_time_speed")->verdict, SWL_EXCEEDED);
    swl_check_free(&check);
    /* No limit at all. */
    build.blower.short_time_rpm = (double)NAN;
    check = test_check_run(&build);
    assert_int_equal(check.limit_count, 0);
    assert_false(check.exceeded);
    swl_check_free(&check);
    swl_build_free(&build);
}

/* The same air whatever the drive, so that every pulley has an operating line. */
static swl_check run_on_pulley(swl_build *build, double d_blower_m)
{
    build->drive.d_blower_m = d_blower_m;
    build->blower.disp_m3_rev = 1.6e-3 / swl_drive_ratio(&build->drive, build->blower.gear_ratio);
    return test_check_run(build);
}

/* A build with the smallest pulley stands on the limit and keeps it; a hundredth of a millimetre less does not. */
static void check_smallest_pulley(swl_build *build, double given_m, const char *name)
{
    swl_check check = run_on_pulley(build, given_m);
    const swl_limit_row *row = row_wanted(&check, name);
    double smallest_m = row->smallest_pulley_m;
    swl_near(row->limit, check.drive_ratio * row->engine_rpm_at_limit, 1e-14);
    swl_check_free(&check);
    check = run_on_pulley(build, smallest_m);
    row = row_wanted(&check, name);
    swl_near(row->limit, row->value, 1e-14);
    if (row->verdict != SWL_CLOSE) {
        fail_msg("%s: with the smallest pulley that keeps it, %.17g m, %.17g of %.17g rpm are %s", name, smallest_m,
                 row->value, row->limit, swl_verdict_word(row->verdict));
    }
    swl_check_free(&check);
    check = run_on_pulley(build, smallest_m - 1e-5);
    assert_int_equal(row_wanted(&check, name)->verdict, SWL_EXCEEDED);
    swl_check_free(&check);
}

static void smallest_pulley_round_trip(void **state)
{
    (void)state;
    test_random random = {5};
    for (size_t b = 0; b < 300; b++) {
        swl_build build = test_build_two_to_one();
        build.engine.over_rev_rpm = test_uniform(&random, 0, 500);
        build.drive.d_crank_m = test_uniform(&random, 0.1, 0.25);
        build.drive.line_differential_m = b % 2 == 0 ? 0.002 : 0;
        build.drive.jackshaft_ratio = test_uniform(&random, 0.5, 1.5);
        build.blower.gear_ratio = test_uniform(&random, 0.8, 3);
        build.blower.continuous_rpm = test_uniform(&random, 8000, 16000);
        build.blower.short_time_rpm = build.blower.continuous_rpm * 1.1;
        check_smallest_pulley(&build, 0.08, "continuous_speed");
        check_smallest_pulley(&build, 0.08, "short_time_speed");
        swl_build_free(&build);
    }
}

/* No pulley is so small that it takes a slow drive to a fast limit: (dc + 2b) N/Nb - 2b falls to 0 and below. */
static void no_pulley_that_small(void **state)
{
    (void)state;
    swl_build build = test_build_two_to_one();
    build.drive.line_differential_m = 0.002;
    build.blower.continuous_rpm = 0.254 * 7000 / 0.004 * 1.01;
    swl_check check = test_check_run(&build);
    assert_true(row_wanted(&check, "continuous_speed")->smallest_pulley_m <= 0);
    assert_int_equal(row_wanted(&check, "continuous_speed")->verdict, SWL_KEPT);
    swl_check_free(&check);
    swl_build_free(&build);
}

/* ---- limits along the line ---- */

typedef struct line_limit {
    const char *name;
    const char *unit;
    size_t at;    /* of the value in a point */
    size_t given; /* of the limit in the limits */
} line_limit;

static const line_limit line_limits[] = {
    {"boost", "Pa", offsetof(swl_point, boost_pa), offsetof(swl_limit_values, boost_pa)},
    {"pressure_ratio", "1", offsetof(swl_point, p_ratio), offsetof(swl_limit_values, p_ratio)},
    {"discharge_temperature", "K", offsetof(swl_point, t2_k), offsetof(swl_limit_values, t_discharge_k)},
    {"charge_temperature", "K", offsetof(swl_point, t3_k), offsetof(swl_limit_values, t_charge_k)},
    {"drive_power", "W", offsetof(swl_point, p_shaft_w), offsetof(swl_limit_values, p_drive_w)},
    {"manifold_pressure_sensor", "Pa", offsetof(swl_point, p3_pa), offsetof(swl_limit_values, p_sensor_pa)},
    {"mass_flow_sensor", "kg/s", offsetof(swl_point, mdot_kg_s), offsetof(swl_limit_values, mdot_sensor_kg_s)},
};
enum { LINE_LIMITS = sizeof line_limits / sizeof line_limits[0] };

static double member(const void *object, size_t at)
{
    double value;
    memcpy(&value, (const char *)object + at, sizeof value);
    return value;
}

static void limit_set(swl_build *build, size_t k, double value)
{
    memcpy((char *)&build->limits + line_limits[k].given, &value, sizeof value);
}

/* Every limit is held where the line is at its highest. */
static void check_worst(const swl_check *check, size_t k)
{
    const swl_limit_row *row = row_wanted(check, line_limits[k].name);
    double highest = -INFINITY;
    const swl_point *worst = NULL;
    for (size_t i = 0; i < check->line_count; i++) {
        double value = member(&check->line[i], line_limits[k].at);
        if (value > highest) {
            highest = value;
            worst = &check->line[i];
        }
    }
    assert_non_null(worst);
    assert_true(row->value == highest && row->engine_rpm == worst->engine_rpm);
    assert_true(row->on_map == (worst->map_where == SWL_MAP_INSIDE));
    assert_string_equal(row->unit, line_limits[k].unit);
    assert_true(strlen(row->words) > 4);
    swl_near_abs((row->limit - highest) / row->limit, row->margin_frac, 1e-14);
    swl_is_nan(row->engine_rpm_at_limit);
    swl_is_nan(row->smallest_pulley_m);
    swl_verdict want = highest > row->limit ? SWL_EXCEEDED : row->margin_frac < 0.05 ? SWL_CLOSE : SWL_KEPT;
    assert_int_equal(row->verdict, want);
    assert_true(isnan(row->exceeded_from_rpm) == (want != SWL_EXCEEDED));
}

/* From the speed given on the value is over its limit; a little below it is not. */
static void exceeded_from_where_the_line_crosses(void **state)
{
    (void)state;
    for (size_t k = 0; k < LINE_LIMITS; k++) {
        swl_build build = test_build_load("maps/estate-screw.ini");
        swl_match *match = test_match_new(&build);
        swl_point point = swl_match_point(match, 6111);
        double limit = member(&point, line_limits[k].at);
        limit_set(&build, k, limit);
        swl_check check = test_check_run(&build);
        const swl_limit_row *row = row_wanted(&check, line_limits[k].name);
        assert_int_equal(row->verdict, SWL_EXCEEDED);
        bool from_start = member(&check.line[0], line_limits[k].at) > limit;
        swl_near_abs(from_start ? build.engine.speed_from_rpm : 6111, row->exceeded_from_rpm, 0.011);
        swl_check_free(&check);
        swl_match_free(match);
        swl_build_free(&build);
    }
}

static void worst_row_of_every_line_limit(void **state)
{
    (void)state;
    test_random random = {11};
    size_t early = 0;
    size_t on_map = 0;
    size_t held = 0;
    for (size_t b = 0; b < 200; b++) {
        swl_build build = test_build_random(&random);
        build.blower.continuous_rpm = (double)NAN;
        build.blower.short_time_rpm = (double)NAN;
        for (size_t k = 0; k < LINE_LIMITS; k++) {
            /* Some of each verdict: limits around what such builds come to. */
            static const double around[LINE_LIMITS] = {60e3, 1.7, 400, 350, 30e3, 170e3, 0.3};
            limit_set(&build, k, around[k] * test_uniform(&random, 0.5, 1.5));
        }
        swl_check check;
        if (swl_check_run(&build, &check, NULL) == SWL_OK) {
            assert_int_equal(check.limit_count, LINE_LIMITS);
            bool exceeded = false;
            for (size_t k = 0; k < LINE_LIMITS; k++) {
                check_worst(&check, k);
                exceeded = exceeded || check.limits[k].verdict == SWL_EXCEEDED;
                on_map += check.limits[k].on_map;
                early += row_wanted(&check, line_limits[k].name)->engine_rpm < build.engine.speed_limit_rpm;
            }
            assert_true(check.exceeded == exceeded);
            held++;
            swl_check_free(&check);
        }
        swl_build_free(&build);
    }
    /* Not every line is at its highest at the rev limit. */
    assert_true(held > 120 && early > 50);
    assert_true(on_map > 50 && on_map < held * LINE_LIMITS - 50);
}

/* One limit alone makes one row; on the limit is close, a hair over it exceeded. */
static void each_line_limit_alone(void **state)
{
    (void)state;
    for (size_t k = 0; k < LINE_LIMITS; k++) {
        swl_build build = test_build_two_to_one();
        limit_set(&build, k, 1e7);
        swl_check check = test_check_run(&build);
        assert_int_equal(check.limit_count, 1);
        double value = row_wanted(&check, line_limits[k].name)->value;
        assert_int_equal(check.limits[0].verdict, SWL_KEPT);
        swl_check_free(&check);
        const struct {
            double limit;
            swl_verdict verdict;
        } rows[] = {{value, SWL_CLOSE},
                    {value * (1 - 1e-8), SWL_EXCEEDED},
                    {value * (1 + 1e-8), SWL_CLOSE},
                    {value / 0.95 * (1 - 1e-8), SWL_CLOSE},
                    {value / 0.95 * (1 + 1e-8), SWL_KEPT}};
        for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
            limit_set(&build, k, rows[i].limit);
            check = test_check_run(&build);
            assert_int_equal(check.limits[0].verdict, rows[i].verdict);
            assert_true(check.exceeded == (rows[i].verdict == SWL_EXCEEDED));
            swl_check_free(&check);
        }
        swl_build_free(&build);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(verdicts),
        cmocka_unit_test(margin_of_five_per_cent_is_kept),
        cmocka_unit_test(verdict_words),
        cmocka_unit_test(speeds_are_without_slip),
        cmocka_unit_test(over_rev_without_a_short_time_limit),
        cmocka_unit_test(smallest_pulley_round_trip),
        cmocka_unit_test(no_pulley_that_small),
        cmocka_unit_test(worst_row_of_every_line_limit),
        cmocka_unit_test(each_line_limit_alone),
        cmocka_unit_test(exceeded_from_where_the_line_crosses),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
