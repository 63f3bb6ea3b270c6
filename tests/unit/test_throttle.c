/* What the throttle body costs, and the step behind it. */
#include "support/near.h"

#include "support/builds.h"
#include "sweptline/throttle.h"

/* Borda-Carnot worked by hand: air of 1.2 kg/m3 at 60 m/s from a bore of half the area, rho v^2/2 (1 - 1/2)^2 =
 * 540 Pa; k so small that x differs from 1 - k by k^2. */
static void a_step_costs_what_borda_and_carnot_say(void **state)
{
    (void)state;
    double bore_m = 0.08;
    double area_m2 = TEST_PI / 4 * bore_m * bore_m;
    double r = 287.05;
    double t_k = 101325 / (1.2 * r);
    double ratio = swl_flow_step_ratio(bore_m, bore_m * sqrt(2), 60 * area_m2, r, t_k);
    swl_near_abs(540, 101325 * (1 - ratio), 540 * 0.012);
    /* and exactly: the loss at the state that the equation itself leaves */
    double m = ratio * 101325 * 60 * area_m2 / (r * t_k);
    double v_m_s = m / (1.2 * area_m2);
    swl_near(0.25 * 1.2 * v_m_s * v_m_s / 2, 101325 * (1 - ratio), 1e-10);
    swl_near_abs(1, swl_flow_step_ratio(bore_m, bore_m, 60 * area_m2, r, t_k), 0);
    swl_near_abs(1, swl_flow_step_ratio(bore_m, 0.1, 0, r, t_k), 0);
}

static swl_build build_of_throttle(double bore_m)
{
    swl_build build = test_build_plain(0.92, 0.65);
    build.intake.bore_m = bore_m;
    return build;
}

static void the_difference_is_that_of_two_builds(void **state)
{
    (void)state;
    swl_build build = build_of_throttle(0.055);
    build.intake.adapter_bore_m = 0.055;
    build.intake.inlet_bore_m = 0.09;
    swl_throttle_study study;
    assert_int_equal(swl_throttle_run(&build, &study, NULL), SWL_OK);
    for (size_t i = 0; i < study.count; i++) {
        const swl_throttle_row *row = &study.rows[i];
        swl_near(row->with.engine_rpm, row->without.engine_rpm, 0);
        assert_true(row->with.p1_pa < row->with.p_throttle_pa && row->with.p_throttle_pa < row->with.p_t_pa);
        swl_near(row->site_pa, row->without.p1_pa, 1e-12);
        assert_true(row->with.mdot_kg_s < row->without.mdot_kg_s && row->with.boost_pa < row->without.boost_pa);
    }
    /* the step alone: with equal bores it is gone, and the throttle's own loss is as large as before or larger */
    build.intake.inlet_bore_m = 0.055;
    swl_throttle_study level;
    assert_int_equal(swl_throttle_run(&build, &level, NULL), SWL_OK);
    const swl_point *last = &level.rows[level.count - 1].with;
    swl_near(last->p_throttle_pa, last->p1_pa, 1e-14);
    assert_true(last->boost_pa > study.rows[study.count - 1].with.boost_pa);
    swl_throttle_free(&level);
    swl_throttle_free(&study);
    swl_build_free(&build);
}

static void the_bore_found_halves_the_loss(void **state)
{
    (void)state;
    const double bores_m[] = {0.03, 0.055, 0.09};
    for (size_t i = 0; i < 3; i++) {
        swl_build build = build_of_throttle(bores_m[i]);
        swl_throttle_study study;
        assert_int_equal(swl_throttle_run(&build, &study, NULL), SWL_OK);
        const swl_point *last = &study.rows[study.count - 1].with;
        double loss_pa = last->p_t_pa - last->p_throttle_pa;
        assert_true(study.bore_half_m > bores_m[i]);
        swl_near(loss_pa / 2, study.loss_half_pa, 1e-3);
        build.intake.bore_m = study.bore_half_m;
        swl_check check = test_check_run(&build);
        last = &check.line[check.line_count - 1];
        swl_near(loss_pa / 2, last->p_t_pa - last->p_throttle_pa, 1e-3);
        swl_near(study.boost_half_pa, last->boost_pa, 1e-9);
        swl_check_free(&check);
        swl_throttle_free(&study);
        swl_build_free(&build);
    }
}

static void a_build_without_one_is_refused(void **state)
{
    (void)state;
    swl_build build = build_of_throttle(NAN);
    swl_throttle_study study;
    swl_err err = {0};
    assert_int_equal(swl_throttle_run(&build, &study, &err), SWL_ERR_USAGE);
    assert_string_equal(err.text, "the build has no throttle body; give throttle_bore in [intake]");
    swl_build_free(&build);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_step_costs_what_borda_and_carnot_say),
        cmocka_unit_test(the_difference_is_that_of_two_builds),
        cmocka_unit_test(the_bore_found_halves_the_loss),
        cmocka_unit_test(a_build_without_one_is_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
