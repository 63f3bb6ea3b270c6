/* The curve through points, the blower's compression, the drive and the engine. */
#include "support/near.h"

#include "sweptline/build.h"

#include <string.h>

#define LENGTH(array) (sizeof(array) / sizeof((array)[0]))

/* ---- curves ---- */

static swl_curve *curve_of(const double *x, const double *y, size_t count)
{
    swl_err err = {0};
    swl_curve *curve = swl_curve_new(x, y, count, &err);
    if (curve == NULL) {
        fail_msg("%s", err.text);
    }
    return curve;
}

static void curve_of_one_and_two_points(void **state)
{
    (void)state;
    static const double x[] = {1000, 3000};
    static const double y[] = {0.8, 0.9};
    swl_curve *one = curve_of(x, y, 1);
    swl_near_abs(0.8, swl_curve_at(one, -1e9), 0);
    swl_near_abs(0.8, swl_curve_at(one, 1000), 0);
    swl_near_abs(0.8, swl_curve_at(one, 1e9), 0);
    swl_is_nan(swl_curve_at(one, NAN));
    assert_int_equal(swl_curve_count(one), 1);
    swl_curve_free(one);
    swl_curve *two = curve_of(x, y, 2);
    swl_near(0.825, swl_curve_at(two, 1500), 1e-15); /* calculated: a straight line */
    swl_near(0.8, swl_curve_at(two, 999), 0);
    swl_near(0.9, swl_curve_at(two, 3001), 0);
    swl_near(1000, swl_curve_first_x(two), 0);
    swl_near(3000, swl_curve_last_x(two), 0);
    swl_near(0.9, swl_curve_y(two)[1], 0);
    swl_near(3000, swl_curve_x(two)[1], 0);
    swl_curve_free(two);
    swl_curve_free(NULL);
}

/* Calculated by hand from Steffen (1990), eqs 8, 9 and 11, with the secant as slope at the ends (section 2.2):
 * points (0,0) (1,1) (3,2): secants 1 and 1/2, p = (1*2 + 1/2*1)/3 = 5/6, middle slope min(2*1/2, 5/6) = 5/6.
 * At 0.5 on [0,1] a = 1 + 5/6 - 2 = -1/6, b = 3 - 2 - 5/6 = 1/6, c = 1: y = -1/48 + 1/24 + 1/2 = 25/48. */
static void curve_of_three_points(void **state)
{
    (void)state;
    static const double x[] = {0, 1, 3};
    static const double y[] = {0, 1, 2};
    swl_curve *curve = curve_of(x, y, 3);
    swl_near(25.0 / 48, swl_curve_at(curve, 0.5), 1e-15);
    for (size_t i = 0; i < 3; i++) {
        swl_near_abs(y[i], swl_curve_at(curve, x[i]), 0);
    }
    swl_near_abs(0, swl_curve_at(curve, -INFINITY), 0);
    swl_near(2, swl_curve_at(curve, INFINITY), 0);
    swl_is_nan(swl_curve_at(curve, NAN));
    swl_curve_free(curve);
}

/* Steffen's promise: between two points the curve stays between them and does not turn. */
static void curve_has_no_overshoot(void **state)
{
    (void)state;
    static const double x[] = {0, 1, 2, 2.1, 5, 6, 9, 9.5};
    static const double y[] = {0, 0, 10, 10.1, 3, 3, 3, -50};
    enum { COUNT = sizeof x / sizeof x[0], STEPS = 200 };
    swl_curve *curve = curve_of(x, y, COUNT);
    for (size_t i = 0; i + 1 < COUNT; i++) {
        double rise = y[i + 1] - y[i];
        double last = y[i];
        for (int s = 1; s <= STEPS; s++) {
            double now = swl_curve_at(curve, x[i] + (x[i + 1] - x[i]) * s / STEPS);
            assert_true((now - last) * (rise < 0 ? -1 : 1) >= -1e-12);
            assert_true(rise != 0 || now == last);
            last = now;
        }
        swl_near_abs(y[i + 1], last, 1e-12);
    }
    swl_curve_free(curve);
}

static void curve_refuses(void **state)
{
    (void)state;
    static const double rows[][4] = {{1, 1, 0, 0},        {2, 1, 0, 0},   {NAN, 1, 0, 0},     {0, NAN, 0, 0},
                                     {0, INFINITY, 0, 0}, {0, 1, NAN, 0}, {0, 1, 0, INFINITY}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        swl_err err = {0};
        assert_null(swl_curve_new(rows[i], rows[i] + 2, 2, &err));
        assert_int_equal(err.status, SWL_ERR_USAGE);
    }
    double many[SWL_CURVE_POINTS_MAX + 1];
    for (size_t i = 0; i <= SWL_CURVE_POINTS_MAX; i++) {
        many[i] = (double)i;
    }
    assert_null(swl_curve_new(many, many, 0, NULL));
    assert_null(swl_curve_new(many, many, SWL_CURVE_POINTS_MAX + 1, NULL));
    swl_curve *most = curve_of(many, many, SWL_CURVE_POINTS_MAX);
    swl_near(123.25, swl_curve_at(most, 123.25), 1e-14);
    swl_curve_free(most);
}

/* ---- blower ---- */

static swl_air dry_air(void)
{
    return swl_air_humid(288.15, 101325, 0);
}

/* A gas whose cp is 3.5 R at every temperature, with the cp of a textbook. */
static swl_air ideal_air(double cp_j_kg_k)
{
    return (swl_air){.r_j_kg_k = cp_j_kg_k / 3.5, .molar_mass_kg_mol = 0.029, .cp = {[2] = 3.5}};
}

static void corrected_speed(void **state)
{
    (void)state;
    swl_blower blower = {.t_map_k = 298.15};
    swl_near(10000, swl_blower_corrected_rpm(&blower, 10000, 298.15), 1e-15);
    swl_near(5000, swl_blower_corrected_rpm(&blower, 10000, 4 * 298.15), 1e-15); /* calculated: sqrt(1/4) */
    assert_true(swl_blower_corrected_rpm(&blower, 10000, 320) < 10000);
    for (double t_k = 220; t_k < 400; t_k += 7) {
        double corrected = swl_blower_corrected_rpm(&blower, 12345, t_k);
        swl_near(12345, swl_blower_speed_rpm(&blower, corrected, t_k), 1e-15);
    }
    swl_is_nan(swl_blower_corrected_rpm(&blower, NAN, 300));
    swl_is_nan(swl_blower_speed_rpm(&blower, 10000, NAN));
}

/* Rajput, Thermal Engineering, ex. 16.1 (companion): 0.914667 kg/s unblown, 325 K, ratio 1.6, efficiency 0.70,
 * mechanical 0.90, cp 1.005 kJ/(kg K): T2 391.73 K; the flow rises with the density, and the blower takes 90.47 kW. */
static void rajput_16_1(void **state)
{
    (void)state;
    swl_blower blower = {.mechanical_eff_frac = 0.90, .efficiency_from = SWL_FROM_TEMPERATURE_RISE};
    swl_air air = ideal_air(1005);
    swl_compression got = swl_blower_compress(&blower, &air, 325, 1.6, 0.70);
    double mdot_kg_s = 0.914667 * 1.6 * 325 / got.t2_k;
    swl_near_abs(391.73, got.t2_k, 0.005);
    swl_near_abs(90.47, mdot_kg_s * got.work_shaft_j_kg / 1e3, 0.01);
}

/* Textbook exercise: a Roots blower from 1 to 1.5 bar, 0.05 m3 a cycle, 120 cycles a minute takes 5.00 kW and has an
 * efficiency of 0.8598 (calculated). The ideal work over that efficiency must be V (p2 - p1). */
static void roots_exercise(void **state)
{
    (void)state;
    swl_blower blower = {.mechanical_eff_frac = 1, .efficiency_from = SWL_FROM_SHAFT_POWER};
    swl_air air = ideal_air(1005);
    double ea = swl_map_roots_limit(1.5, 1.4);
    swl_near_abs(0.8598, ea, 0.00005);
    double mdot_kg_s = 1e5 / (air.r_j_kg_k * 300) * 0.05 * 120 / 60;
    swl_near_abs(5.00, mdot_kg_s * swl_blower_compress(&blower, &air, 300, 1.5, ea).work_shaft_j_kg / 1e3, 0.005);
}

/* h2 - h1, h2s - h1 and the shaft work of one compression. */
typedef struct balance {
    double rise_j_kg, ideal_j_kg, work_j_kg;
} balance;

static balance balance_of(const swl_blower *blower, const swl_air *air, double t1_k, double p_ratio, double ea)
{
    swl_compression got = swl_blower_compress(blower, air, t1_k, p_ratio, ea);
    double h1 = swl_air_h_j_kg(air, t1_k);
    swl_near(swl_air_t_isentropic_k(air, t1_k, p_ratio), got.t2s_k, 1e-15);
    return (balance){swl_air_h_j_kg(air, got.t2_k) - h1, swl_air_h_j_kg(air, got.t2s_k) - h1, got.work_shaft_j_kg};
}

/* The energy balance that the header states, for both kinds of efficiency and for a blower that the air drives. */
static void compression_balances(void **state)
{
    (void)state;
    swl_blower from_rise = {.mechanical_eff_frac = 0.93, .efficiency_from = SWL_FROM_TEMPERATURE_RISE};
    swl_blower from_power = {.mechanical_eff_frac = 0.93, .efficiency_from = SWL_FROM_SHAFT_POWER};
    swl_air airs[] = {dry_air(), swl_air_humid(313.15, 95000, 0.9)};
    for (size_t k = 0; k < LENGTH(airs); k++) {
        for (double ratio = 1.05; ratio < 3; ratio += 0.15) {
            double ea = 0.62;
            balance a = balance_of(&from_rise, &airs[k], 301, ratio, ea);
            swl_near(a.ideal_j_kg / ea, a.rise_j_kg, 1e-9);
            swl_near(a.rise_j_kg / 0.93, a.work_j_kg, 1e-9);
            balance b = balance_of(&from_power, &airs[k], 301, ratio, ea);
            swl_near(b.ideal_j_kg / ea, b.work_j_kg, 1e-12);
            swl_near(b.work_j_kg * 0.93, b.rise_j_kg, 1e-9);
        }
        /* Below ratio 1 the air gives work, and less of it than an ideal expansion would. */
        balance down = balance_of(&from_power, &airs[k], 301, 0.8, 0.6);
        assert_true(down.work_j_kg < 0);
        swl_near(down.ideal_j_kg * 0.6, down.work_j_kg, 1e-12);
        balance cooled = balance_of(&from_rise, &airs[k], 301, 0.8, 0.6);
        swl_near(cooled.ideal_j_kg * 0.6, cooled.rise_j_kg, 1e-9);
    }
}

static void compression_limits(void **state)
{
    (void)state;
    swl_blower blower = {.mechanical_eff_frac = 1};
    swl_air air = dry_air();
    swl_compression none = swl_blower_compress(&blower, &air, 300, 1, 0.6);
    swl_near(300, none.t2_k, 1e-13);
    swl_near_abs(0, none.work_shaft_j_kg, 1e-6);
    swl_compression ideal = swl_blower_compress(&blower, &air, 300, 2, 1);
    swl_near(ideal.t2s_k, ideal.t2_k, 1e-12);
    double last_k = 300;
    for (double ratio = 1.05; ratio < 4; ratio += 0.05) {
        double t2_k = swl_blower_compress(&blower, &air, 300, ratio, 0.6).t2_k;
        assert_true(t2_k > last_k);
        last_k = t2_k;
    }
    swl_is_nan(swl_blower_compress(&blower, &air, NAN, 2, 0.6).t2_k);
    swl_is_nan(swl_blower_compress(&blower, &air, 300, NAN, 0.6).t2_k);
    swl_is_nan(swl_blower_compress(&blower, &air, 300, 2, NAN).work_shaft_j_kg);
}

/* ---- drive ---- */

/* ISO 9981:2020: the ratio of a PK belt is (d1 + 4 mm)/(d2 + 4 mm), as its effective line differential is 2 mm;
 * 7.5 in on 3.0 in gives 2.42519 where plain diameters give 2.5 (calculated). */
static void iso_9981_ratio(void **state)
{
    (void)state;
    swl_drive drive = {.d_crank_m = 7.5 * 0.0254, .d_blower_m = 3.0 * 0.0254, .jackshaft_ratio = 1};
    swl_near(2.5, swl_drive_ratio(&drive, 1), 1e-15);
    drive.line_differential_m = 0.002;
    swl_near_abs(2.42519, swl_drive_ratio(&drive, 1), 0.5e-5);
    double plain = swl_drive_ratio(&drive, 1);
    swl_near(plain * 1.8, swl_drive_ratio(&drive, 1.8), 1e-15);
    drive.jackshaft_ratio = 0.5;
    swl_near(plain * 0.9, swl_drive_ratio(&drive, 1.8), 1e-15);
}

static void pulley_there_and_back(void **state)
{
    (void)state;
    swl_drive drive = {.d_crank_m = 0.165, .jackshaft_ratio = 1.1, .line_differential_m = 0.002, .slip_frac = 0.02};
    for (double d_m = 0.05; d_m < 0.2; d_m += 0.007) {
        drive.d_blower_m = d_m;
        double blower_rpm = 6400 * swl_drive_ratio(&drive, 1.7);
        swl_near(d_m, swl_drive_blower_pulley_m(&drive, 1.7, 6400, blower_rpm), 1e-14);
    }
    assert_true(swl_drive_blower_pulley_m(&drive, 1, 1000, 1e6) <= 0);
    swl_is_nan(swl_drive_blower_pulley_m(&drive, 1, NAN, 12000));
}

/* ---- engine ---- */

/* r/(r-1) - (pe/pi + g - 1)/(g (r-1)), Heywood (1988), section 6.2.1; the first row calculated by hand:
 * 9.8/8.8 - 1.4/(1.4 * 8.8) = 1. */
static void ideal_cycle(void **state)
{
    (void)state;
    for (double r = 4; r < 20; r += 1.5) {
        swl_near(1, swl_engine_ideal_ve_frac(r, 1), 1e-14); /* equal pressures: no effect, at any ratio */
        double low = swl_engine_ideal_ve_frac(r, 0.5);
        double high = swl_engine_ideal_ve_frac(r, 2);
        swl_near(1 + 0.5 / (1.4 * (r - 1)), low, 1e-14); /* calculated from the same formula, rearranged */
        swl_near(1 - 1 / (1.4 * (r - 1)), high, 1e-14);
    }
    assert_true(swl_engine_ideal_ve_frac(9, 20) < 0);
    swl_is_nan(swl_engine_ideal_ve_frac(9, NAN));
}

static void exhaust_pressure(void **state)
{
    (void)state;
    swl_engine engine = {.back_pressure = {.dp_pa = 18000, .mdot_kg_s = 0.32}};
    swl_near(118000, swl_engine_exhaust_pa(&engine, 100000, 0.32), 1e-15);
    swl_near(104500, swl_engine_exhaust_pa(&engine, 100000, 0.16), 1e-15); /* a quarter of the drop */
    swl_near(100000, swl_engine_exhaust_pa(&engine, 100000, 0), 0);
    swl_is_nan(swl_engine_exhaust_pa(&engine, 100000, NAN));
    engine.back_pressure = (swl_loss){0};
    swl_near(100000, swl_engine_exhaust_pa(&engine, 100000, 0.32), 0);
}

static void volumetric_efficiency_corrections(void **state)
{
    (void)state;
    swl_engine engine = {.compression_ratio = 9.8, .t_ve_k = 303.15, .ve_p_exhaust_ratio = 1};
    swl_near(0.9, swl_engine_ve_frac(&engine, 0.9, 400, 0.5), 0); /* both off */
    engine.ve_t_sqrt = true;
    swl_near(0.9, swl_engine_ve_frac(&engine, 0.9, 303.15, 0.5), 1e-15);
    swl_near(1.8, swl_engine_ve_frac(&engine, 0.9, 4 * 303.15, 0.5), 1e-15); /* calculated: sqrt(4) */
    engine.ve_t_sqrt = false;
    engine.ve_p_ideal = true;
    swl_near(0.9, swl_engine_ve_frac(&engine, 0.9, 400, 1), 1e-15);
    swl_near(0.9 * (1 + 0.5 / (1.4 * 8.8)), swl_engine_ve_frac(&engine, 0.9, 400, 0.5), 1e-14);
    engine.ve_p_exhaust_ratio = 0.5; /* measured where it is now: no correction */
    swl_near(0.9, swl_engine_ve_frac(&engine, 0.9, 400, 0.5), 1e-15);
    swl_near_abs(0, swl_engine_ve_frac(&engine, 0.9, 400, 30), 0); /* the clearance gas fills the cylinder */
    swl_is_nan(swl_engine_ve_frac(&engine, 0.9, 400, NAN));
    swl_is_nan(swl_engine_ve_frac(&engine, NAN, 400, 1));
}

/* Young and Freedman, University Physics, exercise on a supercharged engine: a cylinder of 575 cm3 at 1.45e5 Pa holds
 * 0.91569e-3 kg at 319.51 K, and 1.01536e-3 kg once cooled to 15 degC; 1.23 kg/m3 at 1.01e5 Pa and 15 degC sets R. */
static void young_and_freedman_charge(void **state)
{
    (void)state;
    double r_j_kg_k = 1.01e5 / (1.23 * 288.15);
    double per_cycle_s = 120.0 / 6000;
    swl_engine engine = {.disp_m3 = 575e-6};
    double warm_kg = swl_engine_mdot_kg_s(&engine, 1, 1.45e5, 319.51, r_j_kg_k, 6000) * per_cycle_s;
    double cool_kg = swl_engine_mdot_kg_s(&engine, 1, 1.45e5, 288.15, r_j_kg_k, 6000) * per_cycle_s;
    swl_near_abs(0.91569e-3, warm_kg, 0.5e-8 + 0.91569e-3 * 0.005 / 319.51); /* 319.51 is rounded too */
    swl_near_abs(1.01536e-3, cool_kg, 0.5e-8);
    swl_air air = ideal_air(1005);
    swl_near_abs(319.51, swl_air_t_isentropic_k(&air, 288.15, 1.45 / 1.01), 0.005);
    swl_near(cool_kg / 2, swl_engine_mdot_kg_s(&engine, 0.5, 1.45e5, 288.15, r_j_kg_k, 6000) * per_cycle_s, 1e-15);
    swl_is_nan(swl_engine_mdot_kg_s(&engine, NAN, 1.45e5, 288.15, r_j_kg_k, 6000));
}

static void build_frees_what_it_owns(void **state)
{
    (void)state;
    static const double x[] = {1000};
    static const double y[] = {0.8};
    static const swl_map_row rows[] = {{1000, 1.2, 0.8, 0.6, 0}, {2000, 1.2, 0.8, 0.6, 1}};
    swl_build build = {.engine.ve = curve_of(x, y, 1), .blower.map = swl_map_new(rows, 2, NULL)};
    assert_non_null(build.blower.map);
    swl_build_free(&build);
    assert_null(build.engine.ve);
    assert_null(build.blower.map);
    swl_build_free(&build);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(curve_of_one_and_two_points),
        cmocka_unit_test(curve_of_three_points),
        cmocka_unit_test(curve_has_no_overshoot),
        cmocka_unit_test(curve_refuses),
        cmocka_unit_test(corrected_speed),
        cmocka_unit_test(rajput_16_1),
        cmocka_unit_test(roots_exercise),
        cmocka_unit_test(compression_balances),
        cmocka_unit_test(compression_limits),
        cmocka_unit_test(iso_9981_ratio),
        cmocka_unit_test(pulley_there_and_back),
        cmocka_unit_test(ideal_cycle),
        cmocka_unit_test(exhaust_pressure),
        cmocka_unit_test(volumetric_efficiency_corrections),
        cmocka_unit_test(young_and_freedman_charge),
        cmocka_unit_test(build_frees_what_it_owns),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
