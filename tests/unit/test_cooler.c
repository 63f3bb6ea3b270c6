/* Heat exchangers, coolant and the water circuit: limits, identities, and the way each value goes. */
#include "support/near.h"

#include "support/builds.h"
#include "sweptline/coolant.h"
#include "sweptline/exchanger.h"

#include <string.h>

static void effectiveness_has_its_limits(void **state)
{
    (void)state;
    const double ratios[] = {0, 1e-9, 0.25, 0.5, 1};
    for (size_t i = 0; i < 5; i++) {
        for (int passes = 1; passes <= 3; passes++) {
            swl_near_abs(0, swl_exchanger_passes_eff(0, ratios[i], passes), 0);
            swl_near_abs(0, swl_exchanger_passes_eff(1e-12, ratios[i], passes), 2e-12);
            swl_near(1, swl_exchanger_passes_eff(1e9, ratios[i], passes), 1e-6);
        }
    }
    /* Without a capacity ratio all arrangements are one: 1 - exp(-NTU). */
    for (double ntu = 0.1; ntu < 6; ntu += 0.3) {
        swl_near(1 - exp(-ntu), swl_exchanger_crossflow_eff(ntu, 0), 1e-14);
        swl_near(1 - exp(-ntu), swl_exchanger_crossflow_eff(ntu, 1e-12), 1e-9);
        swl_near(1 - exp(-ntu), swl_exchanger_passes_eff(ntu, 0, 3), 1e-13);
    }
    assert_true(isnan(swl_exchanger_crossflow_eff(NAN, 0.5)));
}

/* n e/(1 + (n - 1) e) is the limit at a capacity ratio of 1. Source: Kays and London, chapter 2, from memory. */
static void passes_meet_their_limit_at_one(void **state)
{
    (void)state;
    for (int passes = 1; passes <= 3; passes++) {
        for (double ntu = 0.2; ntu < 6; ntu += 0.5) {
            double e = swl_exchanger_crossflow_eff(ntu / passes, 1);
            swl_near(passes * e / (1 + (passes - 1) * e), swl_exchanger_passes_eff(ntu, 1, passes), 1e-14);
            swl_near(swl_exchanger_passes_eff(ntu, 1, passes), swl_exchanger_passes_eff(ntu, 1 - 1e-10, passes), 1e-9);
        }
    }
}

/* Counterflow, which many passes come near. Source: Incropera, table 11.3. */
static double counterflow(double ntu, double c_ratio)
{
    return (1 - exp(-ntu * (1 - c_ratio))) / (1 - c_ratio * exp(-ntu * (1 - c_ratio)));
}

static void more_transfer_more_passes_and_less_ratio_help(void **state)
{
    (void)state;
    for (double c = 0.1; c < 1; c += 0.2) {
        for (double ntu = 0.5; ntu < 5; ntu += 0.5) {
            double one = swl_exchanger_passes_eff(ntu, c, 1);
            double two = swl_exchanger_passes_eff(ntu, c, 2);
            double three = swl_exchanger_passes_eff(ntu, c, 3);
            assert_true(one < two && two < three);
            assert_true(three < counterflow(ntu, c) * 1.005);
            assert_true(swl_exchanger_passes_eff(ntu + 0.1, c, 2) > two);
            assert_true(swl_exchanger_passes_eff(ntu, c + 0.05, 2) < two);
        }
    }
}

/* What one side gives up the other takes: shares times capacity flows are equal. */
static void both_sides_carry_the_same_heat(void **state)
{
    (void)state;
    for (double other = 50; other < 5000; other *= 1.7) {
        double a = swl_exchanger_side_eff(600, 400, other, 2) * 400;
        double b = swl_exchanger_side_eff(600, other, 400, 2) * other;
        swl_near(a, b, 1e-12);
    }
    swl_near(swl_exchanger_side_eff(600, 400, 400 * (1 - 1e-12), 1), swl_exchanger_side_eff(600, 400, 400, 1), 1e-9);
}

/* The loop of group 20, temperature by temperature. Source: Kays and London, formula from memory, derived again. */
static void loop_closes_between_its_exchangers(void **state)
{
    (void)state;
    double hot = 0.80 * 402.4;
    double cold = 0.45 * 1260;
    double heat = swl_exchanger_loop_heat_w(hot, cold, 1260, 400, 303.15);
    double in_k = 303.15 + heat * (1 / cold - 1.0 / 1260);
    double out_k = in_k + heat / 1260;
    swl_near_abs(326.196, in_k, 0.0005);
    swl_near_abs(345.053, out_k, 0.0005);
    swl_near(heat, hot * (400 - in_k), 1e-12);
    swl_near(heat, cold * (out_k - 303.15), 1e-12);
}

static void enthalpy_is_the_integral_of_heat_capacity(void **state)
{
    (void)state;
    const double glycol[] = {0, 0.1, 0.35, 0.6};
    for (size_t i = 0; i < 4; i++) {
        swl_near_abs(0, swl_coolant_h_j_kg(glycol[i], 273.15), 1e-9);
        for (double t_k = 230; t_k < 420; t_k += 7) {
            double slope =
                (swl_coolant_h_j_kg(glycol[i], t_k + 0.01) - swl_coolant_h_j_kg(glycol[i], t_k - 0.01)) / 0.02;
            swl_near(swl_coolant_cp_j_kg_k(glycol[i], t_k), slope, 1e-5);
        }
    }
    /* Held beyond what is known. */
    swl_near(swl_coolant_rho_kg_m3(0, 273.15), swl_coolant_rho_kg_m3(0, 260), 0);
    swl_near(swl_coolant_cp_j_kg_k(0.5, 393.15), swl_coolant_cp_j_kg_k(0.5, 500), 0);
    assert_true(swl_coolant_covers(0, 300) && !swl_coolant_covers(0, 272) && swl_coolant_covers(0.3, 272));
}

static swl_cooler circuit(void)
{
    return (swl_cooler){
        .ua_w_k = 600, .passes = 2, .coolant_m3_s = 10 / 6e4, .front_effectiveness_frac = 0.45, .front_air_kg_s = 0.5};
}

static const double t_site_k = 298.15;

/* The heat from the charge is that of the coolant and that of the front exchanger, to the last digits. */
static void steady_circuit_balances(void **state)
{
    (void)state;
    swl_air air = swl_air_humid(t_site_k, 1e5, 0.5);
    swl_cooler cooler = circuit();
    for (double m = 0.02; m < 0.6; m += 0.03) {
        swl_cooler_state s = swl_cooler_solve(&cooler, &air, m, 370, t_site_k, NAN);
        assert_true(s.settled);
        double heat = m * (swl_air_h_j_kg(&air, 370) - swl_air_h_j_kg(&air, s.t3_k));
        swl_near(heat, s.flow_w_k * (s.t_out_k - s.t_in_k), 1e-10);
        swl_near(heat, s.front_w_k * (s.t_out_k - t_site_k), 1e-10);
        swl_near(s.eff_frac, (370 - s.t3_k) / (370 - s.t_in_k), 1e-12);
        assert_true(s.t_in_k > t_site_k && s.t_out_k < 370 && s.t3_k > s.t_in_k);
    }
}

/* No end of coolant and of front air is coolant at the temperature of that air. */
static void endless_flows_hold_the_coolant(void **state)
{
    (void)state;
    swl_air air = swl_air_humid(t_site_k, 1e5, 0.5);
    swl_cooler cooler = circuit();
    cooler.ua_w_k = 0;
    cooler.effectiveness_frac = 0.7;
    cooler.coolant_m3_s = 1e6;
    cooler.front_air_kg_s = 1e9;
    swl_cooler_state loop = swl_cooler_solve(&cooler, &air, 0.3, 370, t_site_k, NAN);
    swl_cooler known = {.effectiveness_frac = 0.7, .t_coolant_k = t_site_k};
    swl_cooler_state held = swl_cooler_solve(&known, &air, 0.3, 370, t_site_k, NAN);
    swl_near_abs(held.t3_k, loop.t3_k, 1e-6);
    assert_true(isnan(held.t_out_k));
    swl_near_abs(t_site_k, loop.t_in_k, 1e-6);
}

/* Each makes the charge colder. */
static void more_of_anything_cools(void **state)
{
    (void)state;
    swl_air air = swl_air_humid(t_site_k, 1e5, 0.5);
    swl_cooler base = circuit();
    double t3_k = swl_cooler_solve(&base, &air, 0.3, 370, t_site_k, NAN).t3_k;
    swl_cooler more[5];
    for (size_t i = 0; i < 5; i++) {
        more[i] = base;
    }
    more[0].ua_w_k *= 1.1;
    more[1].passes = 3;
    more[2].front_air_kg_s *= 1.1;
    more[3].front_effectiveness_frac *= 1.1;
    more[4].t_front_air_k = t_site_k - 1;
    for (size_t i = 0; i < 5; i++) {
        assert_true(swl_cooler_solve(&more[i], &air, 0.3, 370, t_site_k, NAN).t3_k < t3_k);
    }
    /* With the coolant held at the inlet, less heat capacity in it warms the charge; in a loop there is a best flow. */
    double held_k = swl_cooler_solve(&base, &air, 0.3, 370, t_site_k, 310).t3_k;
    swl_cooler glycol = base;
    glycol.glycol_frac = 0.6;
    assert_true(swl_cooler_solve(&glycol, &air, 0.3, 370, t_site_k, 310).t3_k > held_k);
    swl_cooler slow = base;
    slow.coolant_m3_s *= 0.5;
    assert_true(swl_cooler_solve(&slow, &air, 0.3, 370, t_site_k, 310).t3_k > held_k);
}

/* A match with its loop solved is the match with a coolant of the temperature that came out. */
static void match_agrees_with_a_held_coolant(void **state)
{
    (void)state;
    swl_build build = test_build_load("maps/estate-roots-water.ini");
    swl_match *match = test_match_new(&build);
    for (double rpm = 1500; rpm <= 6400; rpm += 700) {
        swl_match_hold_coolant(match, NAN);
        swl_point loop = swl_match_point(match, rpm);
        assert_int_equal(loop.end, SWL_MATCH_SOLVED);
        swl_match_hold_coolant(match, loop.t_coolant_in_k);
        swl_point held = swl_match_point(match, rpm);
        swl_near(loop.t3_k, held.t3_k, 1e-12);
        swl_near(loop.p_ratio, held.p_ratio, 1e-11);
        swl_near(loop.q_cooler_w, loop.front_w_k * (loop.t_coolant_out_k - 303.15), 1e-10);
    }
    swl_match_free(match);
    swl_build_free(&build);
}

/* Without a key of the water circuit nothing of it is computed. */
static void known_coolant_is_as_before(void **state)
{
    (void)state;
    swl_build build = test_build_load("maps/estate-roots.ini");
    swl_match *match = test_match_new(&build);
    swl_point point = swl_match_point(match, 4000);
    double t3_k = point.t2_k - 0.7 * (point.t2_k - 318.15);
    swl_near(t3_k, point.t3_k, 1e-15); /* two orders of one sum */
    swl_near(318.15, point.t_coolant_in_k, 0);
    swl_is_nan(point.t_coolant_out_k);
    swl_match_free(match);
    swl_build_free(&build);
}

/* A curve of one value is that value. */
static void curve_of_one_value_is_a_constant(void **state)
{
    (void)state;
    swl_build build = test_build_load("maps/estate-roots-water.ini");
    const double flow_kg_s[] = {0.05, 0.3};
    const double eff_frac[] = {0.7, 0.7};
    build.cooler.ua_w_k = 0;
    build.cooler.effectiveness_frac = 0.7;
    swl_match *match = test_match_new(&build);
    swl_point constant = swl_match_point(match, 5000);
    build.cooler.effectiveness_frac = 0;
    build.cooler.effectiveness = swl_curve_new(flow_kg_s, eff_frac, 2, NULL);
    swl_match_set(match, &build);
    swl_point curve = swl_match_point(match, 5000);
    swl_near(constant.t3_k, curve.t3_k, 1e-12);
    swl_match_free(match);
    swl_build_free(&build);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(effectiveness_has_its_limits),
        cmocka_unit_test(passes_meet_their_limit_at_one),
        cmocka_unit_test(more_transfer_more_passes_and_less_ratio_help),
        cmocka_unit_test(both_sides_carry_the_same_heat),
        cmocka_unit_test(loop_closes_between_its_exchangers),
        cmocka_unit_test(enthalpy_is_the_integral_of_heat_capacity),
        cmocka_unit_test(steady_circuit_balances),
        cmocka_unit_test(endless_flows_hold_the_coolant),
        cmocka_unit_test(more_of_anything_cools),
        cmocka_unit_test(match_agrees_with_a_held_coolant),
        cmocka_unit_test(known_coolant_is_as_before),
        cmocka_unit_test(curve_of_one_value_is_a_constant),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
