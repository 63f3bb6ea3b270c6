/* Injectors, pump, and the fuels of the table. */
#include "support/near.h"

#include "support/builds.h"
#include "sweptline/fueling.h"

#include <string.h>

static swl_build build_of_fuel(bool follows)
{
    swl_build build = test_build_plain(0.92, 0.65);
    const double pressures_pa[] = {300e3, 500e3};
    const double flows_m3_s[] = {255e-3 / 3600, 190e-3 / 3600};
    build.engine.cylinders = 4;
    build.engine.lambda = 0.9;
    build.injection = (swl_injection){.given = true,
                                      .rating = {.mdot_kg_s = NAN, .vdot_m3_s = 600e-6 / 60, .dp_pa = 300e3},
                                      .rail_pa = 350e3,
                                      .rail_follows_boost = follows,
                                      .pump = swl_curve_new(pressures_pa, flows_m3_s, 2, NULL)};
    return build;
}

/* Worked by hand: 600 cc/min of petrol of 745 kg/m3 at 300 kPa is 7.45 g/s, at 350 kPa sqrt(7/6) times that. */
static void rows_are_those_of_the_formulas(void **state)
{
    (void)state;
    for (int follows = 0; follows < 2; follows++) {
        swl_build build = build_of_fuel(follows == 1);
        swl_check check = test_check_run(&build);
        swl_fueling study;
        assert_int_equal(swl_fueling_run(&build, &study, NULL), SWL_OK);
        assert_int_equal(study.count, check.line_count);
        assert_int_equal(study.injectors, 4);
        for (size_t i = 0; i < study.count; i++) {
            const swl_supply *row = &study.rows[i];
            double boost_pa = check.line[i].boost_pa;
            double across_pa = 350e3 - (follows == 1 ? 0 : boost_pa);
            double rail_pa = 350e3 + (follows == 1 ? boost_pa : 0);
            swl_near(across_pa, row->dp_pa, 1e-12);
            swl_near(rail_pa, row->rail_pa, 1e-12);
            swl_near(7.45e-3 * sqrt(across_pa / 300e3), row->injector_kg_s, 1e-12);
            /* dry air: the builds' air is dry */
            double fuel_kg_s = check.line[i].mdot_kg_s / (swl_fuel_air_ratio(1.85, 0) * 0.9);
            swl_near(fuel_kg_s, row->fuel_kg_s, 1e-12);
            swl_near(fuel_kg_s / (4 * row->injector_kg_s), row->duty_frac, 1e-12);
            double pump_kg_s = 745 * (255 - (fmin(rail_pa, 500e3) - 300e3) / 200e3 * 65) * 1e-3 / 3600;
            swl_near(pump_kg_s, row->pump_kg_s, 1e-12);
            /* beyond the pump's curve its end is held, and told */
            assert_true(row->pump_held == (rail_pa > 500e3));
        }
        swl_fueling_free(&study);
        swl_check_free(&check);
        swl_build_free(&build);
    }
}

/* A rating is that of petrol by either unit; a denser fuel passes as the square root of its density, 785 of 745 kg/m3.
 */
static void ratings_by_mass_and_by_volume_agree(void **state)
{
    (void)state;
    const swl_injection by_volume = {.rating = {NAN, 600e-6 / 60, 300e3}};
    const swl_injection by_mass = {.rating = {745 * 600e-6 / 60, NAN, 300e3}};
    for (size_t k = 0; swl_fuel_at(k) != NULL; k++) {
        double density_kg_m3 = swl_fuel_at(k)->density_kg_m3;
        double volume_kg_s = swl_injection_flow_kg_s(&by_volume, density_kg_m3, 400e3);
        swl_near(volume_kg_s, swl_injection_flow_kg_s(&by_mass, density_kg_m3, 400e3), 1e-14);
        swl_near(7.45e-3 * sqrt(density_kg_m3 / 745 * 4 / 3), volume_kg_s, 1e-12);
    }
}

/* A pump whose curve ends below the rail's pressure gives no verdict that looks sound. */
static void a_held_pump_is_marked(void **state)
{
    (void)state;
    swl_build build = build_of_fuel(true);
    build.injection.rail_pa = 600e3;
    swl_check check = test_check_run(&build);
    assert_int_equal(check.pump_held, check.line_count);
    for (size_t i = 0; i < check.limit_count; i++) {
        bool pump = strcmp(check.limits[i].name, "fuel_pump") == 0;
        assert_true(!pump || !check.limits[i].on_map);
    }
    swl_check_free(&check);
    swl_build_free(&build);
}

static const swl_limit_row *limit_of(const swl_check *check, const char *name)
{
    for (size_t i = 0; i < check->limit_count; i++) {
        if (strcmp(check->limits[i].name, name) == 0) {
            return &check->limits[i];
        }
    }
    fail_msg("no limit %s", name);
    return NULL;
}

/* Injectors of the size found, and no smaller, keep the duty. */
static void the_smallest_injectors_keep_the_duty(void **state)
{
    (void)state;
    swl_build build = build_of_fuel(false);
    build.limits.injector_duty_frac = 0.85;
    swl_fueling study;
    assert_int_equal(swl_fueling_run(&build, &study, NULL), SWL_OK);
    for (int i = 0; i < 2; i++) {
        build.injection.rating =
            (swl_injector_rating){study.injector_least_kg_s * (i == 0 ? 1 + 1e-9 : 1 - 1e-9), NAN, 300e3};
        swl_check check = test_check_run(&build);
        const swl_limit_row *row = limit_of(&check, "injector_duty");
        swl_near(0.85, row->value, 1e-8);
        assert_int_equal(row->verdict, i == 0 ? SWL_CLOSE : SWL_EXCEEDED);
        swl_check_free(&check);
    }
    swl_fueling_free(&study);
    swl_build_free(&build);
}

/* Boost at the rail's pressure stops the injectors, and that is exceeded, not hidden. */
static void no_pressure_across_is_no_flow(void **state)
{
    (void)state;
    swl_build build = build_of_fuel(false);
    build.injection.rail_pa = 12e3;
    swl_check check = test_check_run(&build);
    assert_true(check.line[check.line_count - 1].boost_pa > 12e3);
    const swl_limit_row *row = limit_of(&check, "injector_duty");
    assert_true(isinf(row->value) && row->verdict == SWL_EXCEEDED && check.exceeded);
    swl_fueling study;
    assert_int_equal(swl_fueling_run(&build, &study, NULL), SWL_OK);
    assert_true(isinf(study.injector_least_kg_s) && study.rows[study.count - 1].pump_held);
    swl_fueling_free(&study);
    swl_check_free(&check);
    swl_build_free(&build);
}

/* The pump's limit is told where it is tightest, not where fuel is highest. */
static void the_pump_is_held_at_its_tightest(void **state)
{
    (void)state;
    swl_build build = build_of_fuel(true);
    swl_check check = test_check_run(&build);
    const swl_limit_row *row = limit_of(&check, "fuel_pump");
    swl_fueling study;
    assert_int_equal(swl_fueling_run(&build, &study, NULL), SWL_OK);
    double worst = 0;
    for (size_t i = 0; i < study.count; i++) {
        worst = fmax(worst, study.rows[i].fuel_kg_s / study.rows[i].pump_kg_s);
    }
    swl_near(worst, row->value / row->limit, 1e-12);
    swl_near(1 - worst, row->margin_frac, 1e-9);
    const swl_fueling_fuel *petrol = &study.fuels[0];
    assert_string_equal(petrol->fuel->name, "petrol");
    swl_near(worst, petrol->pump_share, 1e-12);
    for (size_t k = 0; k < study.fuel_count; k++) {
        const swl_fueling_fuel *f = &study.fuels[k];
        swl_near(petrol->fuel_kg_s * petrol->fuel->air_fuel_ratio / f->fuel->air_fuel_ratio, f->fuel_kg_s, 1e-12);
    }
    swl_fueling_free(&study);
    swl_check_free(&check);
    build.injection.given = false;
    assert_int_equal(swl_fueling_run(&build, &study, NULL), SWL_ERR_USAGE);
    swl_build_free(&build);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(rows_are_those_of_the_formulas), cmocka_unit_test(ratings_by_mass_and_by_volume_agree),
        cmocka_unit_test(a_held_pump_is_marked),          cmocka_unit_test(the_smallest_injectors_keep_the_duty),
        cmocka_unit_test(no_pressure_across_is_no_flow),  cmocka_unit_test(the_pump_is_held_at_its_tightest),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
