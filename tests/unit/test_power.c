/* Estimated power: its parts, the fit to a known power, fuels. */
#include "support/near.h"

#include "support/builds.h"
#include "sweptline/power.h"

#include <string.h>

static swl_build build_of_power(void)
{
    swl_build build = test_build_plain(0.92, 0.65);
    build.engine.back_pressure = (swl_loss){.dp_pa = 15000, .mdot_kg_s = 0.15};
    build.engine.compression_ratio = 10;
    build.engine.ve_p_ideal = true;
    build.engine.ve_t_sqrt = true;
    build.engine.t_ve_k = 303.15;
    build.drive.slip_frac = 0.01;
    return build;
}

static void near_to(double got, double want, double tolerance)
{
    swl_near_abs(want, got, tolerance);
}

/* The same known power from the parts, worked out here in another order. */
static void a_fit_gives_the_known_power_back(void **state)
{
    (void)state;
    swl_build build = build_of_power();
    build.engine.known_power_w = 95e3;
    build.engine.known_power_speed_rpm = 5500;
    swl_power_basis basis = swl_power_basis_of(&build);
    assert_true(basis.assumed == (SWL_POWER_ASSUMED_FUEL | SWL_POWER_ASSUMED_LAMBDA | SWL_POWER_ASSUMED_FRICTION));
    double swept_m3_s = 2.0e-3 * 5500 / 120;
    double m = basis.na_mdot_kg_s;
    double exhaust_pa = 1e5 + 15000 * (m / 0.15) * (m / 0.15);
    /* 1 kPa of vapour in 100 kPa: mass of dry air 99 M_air of 99 M_air + 1 M_water */
    double dry = 99 * 28.9651 / (99 * 28.9651 + 18.01528);
    double indicated_w = m * dry * 44.0e6 / swl_fuel_air_ratio(1.85, 0) * basis.indicated_eff_frac;
    double friction_w = 1e5 * (0.97 + 0.15 * 5.5 + 0.05 * 5.5 * 5.5) * swept_m3_s;
    near_to(indicated_w + (1e5 - exhaust_pa) * swept_m3_s - friction_w, 95e3, 0.5);
    /* the flow is the engine's own at that exhaust pressure */
    double f = swl_engine_ideal_ve_frac(10, exhaust_pa / 1e5) / swl_engine_ideal_ve_frac(10, 1);
    double r = 8.31446261815324 / ((99 * 28.9651 + 18.01528) / 100 * 1e-3);
    double ve = swl_curve_at(build.engine.ve, 5500);
    near_to(m, ve * f * 1e5 / (r * 303.15) * swept_m3_s, 1e-6);
    swl_build_free(&build);
}

/* Where back pressure is so high that steps of guess and guess again would swing for ever, the balance is still found.
 */
static void a_choked_exhaust_still_balances(void **state)
{
    (void)state;
    swl_build build = build_of_power();
    build.engine.compression_ratio = 4;
    build.engine.back_pressure = (swl_loss){.dp_pa = 300e3, .mdot_kg_s = 0.05};
    swl_aspirated a = swl_engine_aspirated(&build.engine, 1e5, 300, 287, 6000);
    double exhaust_pa = swl_engine_exhaust_pa(&build.engine, 1e5, a.mdot_kg_s);
    double ve = swl_engine_ve_frac(&build.engine, swl_engine_ve_curve_frac(&build.engine, 6000), 300, exhaust_pa / 1e5);
    swl_near(swl_engine_mdot_kg_s(&build.engine, ve, 1e5, 300, 287, 6000), a.mdot_kg_s, 1e-12);
    swl_near(exhaust_pa, a.p_exhaust_pa, 1e-12);
    assert_true(a.mdot_kg_s > 0.01);
    swl_build_free(&build);
}

static void the_parts_add_up(void **state)
{
    (void)state;
    test_random random = {7};
    for (int round = 0; round < 200; round++) {
        swl_build build = test_build_random(&random);
        build.engine.lambda = test_uniform(&random, 0.7, 1.3);
        build.engine.driveline_loss_frac = test_uniform(&random, 0, 0.3);
        swl_match *match = test_match_new(&build);
        swl_power_basis basis = swl_power_basis_of(&build);
        swl_point point = swl_match_point(match, build.engine.speed_limit_rpm);
        swl_match_free(match);
        if (point.end == SWL_MATCH_SOLVED) {
            swl_power power = swl_power_at(&build, &basis, &point);
            double sum_w = power.indicated_w + power.pumping_w - power.friction_w - power.drive_w;
            assert_true(fabs(power.crank_w - sum_w) <= 1e-9 * power.indicated_w);
            assert_true(fabs(power.wheel_w - power.crank_w * (1 - build.engine.driveline_loss_frac)) <= 1e-6);
            /* heat released: all the fuel's when lean, what the oxygen allows when rich */
            double burnt_kg_s = power.fuel_kg_s * fmin(1, build.engine.lambda);
            assert_true(fabs(power.indicated_w - burnt_kg_s * basis.fuel->lhv_j_kg * SWL_POWER_INDICATED_EFF) <=
                        1e-9 * power.indicated_w);
            assert_true(power.drive_w >= point.p_shaft_w);
            assert_true((power.pumping_w > 0) == (point.p3_pa > point.p_e_pa));
        }
        swl_build_free(&build);
    }
}

/* What the program must not do with a power that the air cannot give. */
static void a_fit_that_cannot_be_leaves_no_power(void **state)
{
    (void)state;
    const double powers_w[] = {10e3, 200e3};
    for (size_t i = 0; i < 2; i++) {
        swl_build build = build_of_power();
        build.engine.known_power_w = powers_w[i];
        build.engine.known_power_speed_rpm = 5500;
        swl_power_basis basis = swl_power_basis_of(&build);
        assert_true((basis.assumed & SWL_POWER_NO_FIT) != 0);
        assert_true(isnan(basis.indicated_eff_frac) && isfinite(basis.fitted_eff_frac));
        swl_check check = test_check_run(&build);
        assert_true(isnan(check.power[0].crank_w) && isfinite(check.power[0].fuel_kg_s));
        swl_check_free(&check);
        swl_build_free(&build);
    }
}

static void friction_of_the_file_takes_the_place_of_the_formula(void **state)
{
    (void)state;
    /* Heywood's formula at 1000 and 4000 rpm, calculated: 1.17 and 2.37 bar */
    near_to(swl_power_friction_pa(1000), 117000, 1e-6);
    near_to(swl_power_friction_pa(4000), 237000, 1e-6);
    swl_build build = build_of_power();
    const double speeds_rpm[] = {1000, 7000};
    const double fmep_pa[] = {117000, 237000};
    build.engine.friction = swl_curve_new(speeds_rpm, fmep_pa, 2, NULL);
    swl_check check = test_check_run(&build);
    near_to(check.power[0].friction_w, 117000 * 2.0e-3 * 1000 / 120, 1e-6);
    assert_true((check.basis.assumed & SWL_POWER_ASSUMED_FRICTION) == 0);
    swl_check_free(&check);
    swl_build_free(&build);
}

/* Blends worked out from the pure fuels by mass. */
static void fuels_follow_from_their_composition(void **state)
{
    (void)state;
    const swl_fuel *petrol = swl_fuel_find("petrol");
    const swl_fuel *ethanol = swl_fuel_find("ethanol");
    const struct {
        const char *name;
        double volume;
    } blends[] = {{"e10", 0.10}, {"e85", 0.85}};
    for (size_t i = 0; i < 2; i++) {
        const swl_fuel *blend = swl_fuel_find(blends[i].name);
        double v = blends[i].volume;
        double density = v * ethanol->density_kg_m3 + (1 - v) * petrol->density_kg_m3;
        double w = v * ethanol->density_kg_m3 / density;
        near_to(blend->density_kg_m3, density, 0.5);
        near_to(blend->lhv_j_kg, w * ethanol->lhv_j_kg + (1 - w) * petrol->lhv_j_kg, 10);
        near_to(blend->air_fuel_ratio, w * ethanol->air_fuel_ratio + (1 - w) * petrol->air_fuel_ratio, 1e-5);
    }
    for (size_t i = 0; swl_fuel_at(i) != NULL; i++) {
        const swl_fuel *fuel = swl_fuel_at(i);
        near_to(fuel->air_fuel_ratio, swl_fuel_air_ratio(fuel->hydrogen, fuel->oxygen), 1e-9);
        assert_ptr_equal(swl_fuel_find(fuel->name), fuel);
        assert_true(fuel->source[0] != '\0');
    }
    assert_null(swl_fuel_find("paraffin"));
    assert_ptr_equal(swl_fuel_find(""), petrol);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_fit_gives_the_known_power_back),
        cmocka_unit_test(a_choked_exhaust_still_balances),
        cmocka_unit_test(the_parts_add_up),
        cmocka_unit_test(a_fit_that_cannot_be_leaves_no_power),
        cmocka_unit_test(friction_of_the_file_takes_the_place_of_the_formula),
        cmocka_unit_test(fuels_follow_from_their_composition),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
