/* Heat soak: closed forms, balances and the way it goes. */
#include "support/near.h"

#include "support/builds.h"
#include "sweptline/coolant.h"
#include "sweptline/soak.h"

#include <string.h>

static swl_build demo(void)
{
    return test_build_load("maps/estate-roots-water.ini");
}

static swl_soak run(const swl_build *build)
{
    swl_soak soak;
    swl_err err = {0};
    if (swl_soak_run(build, &soak, &err) != SWL_OK) {
        fail_msg("%s", err.text);
    }
    return soak;
}

/* The series is in order, heats are those of an operating point, and all of them add up. */
static void series_is_made_of_points(void **state)
{
    (void)state;
    swl_build build = demo();
    swl_soak soak = run(&build);
    swl_match *match = test_match_new(&build);
    assert_int_equal(soak.pull_count, 6);
    swl_near(0, soak.rows[0].time_s, 0);
    for (size_t i = 0; i < soak.row_count; i++) {
        const swl_soak_row *row = &soak.rows[i];
        assert_true(i == 0 || row->time_s >= soak.rows[i - 1].time_s);
        if (row->pull == 0) {
            swl_is_nan(row->engine_rpm);
            swl_is_nan(row->t_charge_k);
            swl_near(200, row->heat_in_w, 1e-12);
            continue;
        }
        double since_s = row->time_s - soak.pulls[row->pull - 1].start_s;
        swl_near(2500 + (6400 - 2500) * since_s / 12, row->engine_rpm, 1e-10);
        swl_match_hold_coolant(match, row->t_coolant_k);
        swl_point point = swl_match_point(match, row->engine_rpm);
        swl_near(point.t3_k, row->t_charge_k, 1e-13);
        swl_near(point.q_cooler_w, row->heat_in_w, 1e-10);
    }
    assert_true(soak.energy.error_frac < 1e-9);
    double in_j = 0;
    for (size_t i = 0; i < soak.pull_count; i++) {
        const swl_soak_pull *pull = &soak.pulls[i];
        swl_near(57.0 * (double)i, pull->start_s, 1e-12);
        swl_near(57.0 * (double)i + 12, pull->end_s, 1e-12);
        in_j += pull->heat_in_j;
    }
    double rest_s = soak.rows[soak.row_count - 1].time_s - 6 * 12;
    swl_near(soak.energy.in_j, in_j + 200 * rest_s, 1e-9);
    swl_match_free(match);
    swl_soak_free(&soak);
    swl_build_free(&build);
}

/* Without a front exchanger and with a constant heat the coolant rises on a line: at rest the heat is constant. */
static void no_front_rises_on_a_line(void **state)
{
    (void)state;
    swl_build build = demo();
    build.cooler.front_ua_w_k = 0;
    build.cooler.front_air_kg_s = 0;
    build.cooler.t_coolant_k = 303.15;
    build.cooler.coolant_volume_m3 = 1e-9;
    build.cooler.metal_j_k = 50e3;
    build.cycle.rest_heat_w = 1000;
    swl_soak soak = run(&build);
    double t_k = soak.pulls[5].t_coolant_end_k;
    const swl_soak_row *last = &soak.rows[soak.row_count - 1];
    swl_near(t_k + 1000 * (last->time_s - soak.pulls[5].end_s) / soak.capacity_j_k, last->t_coolant_k, 1e-9);
    swl_near_abs(0, soak.energy.out_j, 0);
    swl_is_nan(soak.t_rest_k);
    swl_is_nan(soak.recovery_s);
    swl_soak_free(&soak);
    swl_build_free(&build);
}

/* So much metal that the coolant stays where it was: every pull is the same, and is that of a held coolant. */
static void endless_capacity_holds_the_coolant(void **state)
{
    (void)state;
    swl_build build = demo();
    build.cooler.metal_j_k = 1e13;
    swl_soak soak = run(&build);
    swl_match *match = test_match_new(&build);
    swl_match_hold_coolant(match, 303.15);
    swl_point point = swl_match_point(match, 6400);
    for (size_t i = 0; i < soak.pull_count; i++) {
        swl_near_abs(303.15, soak.pulls[i].t_coolant_end_k, 1e-6);
        swl_near_abs(point.t3_k, soak.pulls[i].t_charge_peak_k, 1e-6);
    }
    swl_near(0, soak.recovery_s, 0);
    swl_match_free(match);
    swl_soak_free(&soak);
    swl_build_free(&build);
}

/* A rest without heat is an exponential when nothing depends on temperature: metal alone, coolant flow far above that
 * of the air, so that the front exchanger's share is that of the air. */
static void rest_falls_on_an_exponential(void **state)
{
    (void)state;
    swl_build build = demo();
    build.cooler.coolant_volume_m3 = 1e-9;
    build.cooler.metal_j_k = 30e3;
    build.cooler.coolant_m3_s = 1e-3;
    build.cooler.front_ua_w_k = 0;
    build.cooler.front_effectiveness_frac = 0.45;
    build.cycle.rest_heat_w = 0;
    swl_soak soak = run(&build);
    swl_air air = swl_air_humid(build.site.t_k, build.site.p_pa, build.site.rh_frac);
    double front_w_k = 0.45 * build.cycle.rest_air_kg_s * swl_air_cp_j_kg_k(&air, 303.15);
    double start_k = soak.pulls[5].t_coolant_end_k;
    for (size_t i = soak.row_count - 30; i < soak.row_count; i++) {
        double since_s = soak.rows[i].time_s - soak.pulls[5].end_s;
        swl_near_abs(303.15 + (start_k - 303.15) * exp(-since_s * front_w_k / 30e3), soak.rows[i].t_coolant_k, 1e-6);
    }
    double recovery_s = 30e3 / front_w_k * log((start_k - 303.15) / 2);
    swl_near(recovery_s, soak.recovery_s, 1e-6);
    swl_near_abs(303.15, soak.t_rest_k, 1e-9);
    swl_soak_free(&soak);
    swl_build_free(&build);
}

/* One long pull at one speed comes to rest where the steady match of the build puts the coolant. */
static void long_pull_settles_at_the_steady_loop(void **state)
{
    (void)state;
    swl_build build = demo();
    build.cycle.pulls = 1;
    build.cycle.from_rpm = 5000;
    build.cycle.to_rpm = 5000;
    build.cycle.pull_s = 3600;
    swl_soak soak = run(&build);
    swl_match *match = test_match_new(&build);
    swl_point point = swl_match_point(match, 5000);
    swl_near_abs(point.t_coolant_in_k, soak.pulls[0].t_coolant_end_k, 1e-6);
    swl_near_abs(point.t_coolant_in_k, soak.t_pull_k, 1e-9);
    swl_near_abs(point.t3_k, soak.pulls[0].t_charge_end_k, 1e-6);
    swl_match_free(match);
    swl_soak_free(&soak);
    swl_build_free(&build);
}

static double hottest_k(const swl_build *build)
{
    swl_soak soak = run(build);
    double t_k = soak.pulls[soak.pull_count - 1].t_charge_peak_k;
    swl_soak_free(&soak);
    return t_k;
}

static void it_goes_the_right_way(void **state)
{
    (void)state;
    swl_build build = demo();
    double base_k = hottest_k(&build);
    swl_build changed = build;
    changed.cooler.coolant_volume_m3 *= 2;
    assert_true(hottest_k(&changed) < base_k);
    changed = build;
    changed.cycle.rest_s *= 3;
    assert_true(hottest_k(&changed) < base_k);
    changed = build;
    changed.cycle.pull_s *= 2;
    assert_true(hottest_k(&changed) > base_k);
    changed = build;
    changed.cycle.rest_air_kg_s = NAN;
    assert_true(hottest_k(&changed) < base_k);
    changed = build;
    changed.cycle.t_start_k = 320;
    assert_true(hottest_k(&changed) > base_k);
    swl_build_free(&build);
}

static void verdicts_are_those_of_the_peak(void **state)
{
    (void)state;
    swl_build build = demo();
    swl_soak soak = run(&build);
    double second_k = soak.pulls[1].t_charge_peak_k;
    swl_soak_free(&soak);
    build.limits.t_charge_k = second_k;
    soak = run(&build);
    assert_int_equal(soak.pulls[0].verdict, SWL_CLOSE);
    assert_int_equal(soak.pulls[1].verdict, SWL_CLOSE);
    assert_int_equal(soak.pulls[2].verdict, SWL_EXCEEDED);
    assert_true(soak.exceeded);
    swl_soak_free(&soak);
    build.limits.t_charge_k = NAN;
    soak = run(&build);
    assert_false(soak.exceeded);
    swl_is_nan(soak.pulls[0].margin_frac);
    swl_soak_free(&soak);
    swl_build_free(&build);
}

/* Limits of check are held against the whole line in steady flow; what has no line there is told. */
static void limits_of_check_are_held(void **state)
{
    (void)state;
    swl_build build = demo();
    swl_soak soak = run(&build);
    assert_false(soak.exceeded);
    assert_int_equal(soak.over_count, 0);
    /* The demo's pulls keep what it would not keep for good. */
    assert_true(soak.steady_charge_over);
    build.limits.t_charge_k = NAN;
    assert_int_equal(soak.failure[0], 0);
    swl_soak_free(&soak);
    build.drive.d_blower_m = 0.080;
    build.limits.boost_pa = 1000;
    soak = run(&build);
    swl_check check = test_check_run(&build);
    size_t over = 0;
    for (size_t i = 0; i < check.limit_count; i++) {
        assert_string_not_equal(check.limits[i].name, "charge_temperature");
        if (check.limits[i].verdict == SWL_EXCEEDED) {
            assert_string_equal(check.limits[i].name, soak.over[over].name);
            over++;
        }
    }
    assert_int_equal(over, soak.over_count);
    assert_true(over >= 2 && soak.exceeded);
    swl_check_free(&check);
    swl_soak_free(&soak);
    swl_build_free(&build);
}

static void refuses(const swl_build *build, swl_status want, const char *words)
{
    swl_soak soak;
    swl_err err = {0};
    assert_int_equal(swl_soak_run(build, &soak, &err), want);
    if (strstr(err.text, words) == NULL) {
        fail_msg("want ...%s..., got %s", words, err.text);
    }
    swl_soak_free(&soak);
}

static void what_is_missing_is_told(void **state)
{
    (void)state;
    swl_build build = demo();
    swl_build changed = build;
    changed.cycle.pulls = 0;
    refuses(&changed, SWL_ERR_USAGE, "section [soak]");
    changed = build;
    changed.cooler = (swl_cooler){0};
    refuses(&changed, SWL_ERR_USAGE, "section [cooler]");
    changed = build;
    changed.cooler.coolant_m3_s = 0;
    refuses(&changed, SWL_ERR_USAGE, "coolant_flow");
    changed = build;
    changed.cooler.coolant_volume_m3 = 0;
    refuses(&changed, SWL_ERR_USAGE, "coolant_volume");
    changed = build;
    changed.engine.disp_m3 *= 0.01;
    refuses(&changed, SWL_ERR_SOLVE, "no operating point at 2500 rpm in pull 1");
    swl_build_free(&build);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(series_is_made_of_points),
        cmocka_unit_test(no_front_rises_on_a_line),
        cmocka_unit_test(endless_capacity_holds_the_coolant),
        cmocka_unit_test(rest_falls_on_an_exponential),
        cmocka_unit_test(long_pull_settles_at_the_steady_loop),
        cmocka_unit_test(it_goes_the_right_way),
        cmocka_unit_test(verdicts_are_those_of_the_peak),
        cmocka_unit_test(limits_of_check_are_held),
        cmocka_unit_test(what_is_missing_is_told),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
