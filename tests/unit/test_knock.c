/* The relative figure of end-gas autoignition. */
#include "support/near.h"

#include "support/builds.h"
#include "sweptline/knock.h"

static const swl_knock_charge plain_charge = {
    .p_pa = 100e3, .t_k = 370, .heat_pa = 2.8e6, .engine_rpm = 3000, .compression_ratio = 9};

/* Without heat and with one gamma the pressure is that of isentropic compression, and the integral a quadrature of the
 * correlation on it, done here by Simpson's rule on the closed form. */
static void an_unfired_cylinder_is_a_quadrature(void **state)
{
    (void)state;
    swl_knock_model model = swl_knock_model_default();
    swl_knock_charge charge = plain_charge;
    charge.heat_pa = 0;
    model.gamma_mixture = 1.33;
    double half_burned = pow(log(2) / 5, 1.0 / 3);
    double end_deg = model.half_burned_deg + model.duration_deg * (pow(log(10) / 5, 1.0 / 3) - half_burned);
    enum { N = 4000 };
    double sum = 0;
    for (int i = 0; i <= N; i++) {
        double a = (-180 + (end_deg + 180) * i / N) * TEST_PI / 180;
        double volume = 1.0 / 8 + 0.5 * (1 + 3.5 - cos(a) - sqrt(3.5 * 3.5 - sin(a) * sin(a)));
        double squeeze = 9.0 / 8 / volume;
        double p_pa = charge.p_pa * pow(squeeze, 1.33);
        double t_k = charge.t_k * pow(squeeze, 0.33);
        double rate = pow(p_pa / 101325, 1.7) * exp(-3800 / t_k) / 17.68e-3;
        sum += rate * (i == 0 || i == N ? 1 : i % 2 == 1 ? 4 : 2);
    }
    double want = sum * (end_deg + 180) / N / 3 / (6 * charge.engine_rpm);
    swl_near(want, swl_knock_integral(&model, &charge, 1), 2e-4);
}

static void it_goes_the_way_of_the_trade(void **state)
{
    (void)state;
    swl_knock_model model = swl_knock_model_default();
    double base = swl_knock_integral(&model, &plain_charge, 0.95);
    swl_knock_charge changed = plain_charge;
    changed.t_k += 10;
    assert_true(swl_knock_integral(&model, &changed, 0.95) > base);
    changed = plain_charge;
    changed.p_pa *= 1.1;
    changed.heat_pa *= 1.1;
    assert_true(swl_knock_integral(&model, &changed, 0.95) > base);
    changed = plain_charge;
    changed.engine_rpm = 6000;
    swl_near(base / 2, swl_knock_integral(&model, &changed, 0.95), 1e-12);
    changed = plain_charge;
    changed.compression_ratio = 11;
    assert_true(swl_knock_integral(&model, &changed, 0.95) > base);
    swl_near(base * pow(0.95, 3.402), swl_knock_integral(&model, &plain_charge, 1), 1e-12);
    model.half_burned_deg += 10;
    assert_true(swl_knock_integral(&model, &plain_charge, 0.95) < base);
}

/* A spark moved by a hundredth of a degree moves the integral by as little each time. */
static void it_has_no_jumps(void **state)
{
    (void)state;
    swl_knock_model model = swl_knock_model_default();
    double earlier = swl_knock_integral(&model, &plain_charge, 1);
    double most = 0;
    double least = 1;
    for (int i = 0; i < 200; i++) {
        model.half_burned_deg += 0.01;
        double now = swl_knock_integral(&model, &plain_charge, 1);
        most = fmax(most, 1 - now / earlier);
        least = fmin(least, 1 - now / earlier);
        earlier = now;
    }
    assert_true(least > 0 && most < 1.5 * least);
}

/* A manifold state equal to the engine's own gives 1, no more octane and no later burning. */
static void the_engine_against_itself_is_one(void **state)
{
    (void)state;
    swl_build build = test_build_plain(0.92, 0.65);
    build.engine.compression_ratio = 10;
    swl_knock_model model = swl_knock_model_default();
    double ve = swl_curve_at(build.engine.ve, 4000);
    swl_point point = {.engine_rpm = 4000,
                       .p3_pa = build.site.p_pa,
                       .t3_k = build.site.t_k,
                       .p_e_pa = build.site.p_pa,
                       .engine_ve_frac = ve};
    swl_knock_charge a = swl_knock_charge_boosted(&build, &model, &point);
    swl_knock_charge b = swl_knock_charge_aspirated(&build, &model, 4000);
    swl_near(b.t_k, a.t_k, 1e-12);
    swl_near(b.heat_pa, a.heat_pa, 1e-12);
    /* mass: what fills the cylinder at the start is fresh charge and residual */
    swl_air air = swl_air_humid(build.site.t_k, build.site.p_pa, build.site.rh_frac);
    double trapped = b.p_pa * 10 / 9 / (air.r_j_kg_k * b.t_k);
    double fresh = ve * build.site.p_pa / (air.r_j_kg_k * build.site.t_k);
    swl_near(trapped - fresh, build.site.p_pa / 9 / (air.r_j_kg_k * 1100), 1e-9);
    swl_build_free(&build);
}

typedef struct heard {
    size_t times, done, of;
} heard;

static void hear(void *context, const char *what, size_t done, size_t of)
{
    heard *h = context;
    assert_string_equal(what, "comparing charges");
    assert_int_equal(done, h->done + 1);
    *h = (heard){h->times + 1, done, of};
}

static void a_study_brackets_its_middle(void **state)
{
    (void)state;
    heard h = {0};
    const swl_progress progress = {.tell = hear, .context = &h};
    swl_build build = test_build_load("maps/estate-roots.ini");
    swl_knock_study study;
    assert_int_equal(swl_knock_run(&build, &progress, &study, NULL), SWL_OK);
    assert_true(h.times == 21 && h.of == 21);
    assert_true(study.count == 21 && !study.exceeded);
    for (size_t i = 0; i < study.count; i++) {
        const swl_knock_row *row = &study.rows[i];
        assert_true(row->ratio.low < row->ratio.middle && row->ratio.middle < row->ratio.high);
        assert_true(row->ratio.low > 1 && row->retard_deg.low > 0 && row->octane_factor.low > 1);
        swl_near(pow(row->ratio.middle, 1 / 3.402), row->octane_factor.middle, 1e-12);
    }
    /* the retard found brings the integral back */
    swl_match *match = test_match_new(&build);
    swl_point point = swl_match_point(match, study.rows[20].engine_rpm);
    swl_knock_model model = swl_knock_model_default();
    swl_knock_charge boosted = swl_knock_charge_boosted(&build, &model, &point);
    swl_knock_charge aspirated = swl_knock_charge_aspirated(&build, &model, point.engine_rpm);
    double wanted = swl_knock_integral(&model, &aspirated, 1);
    model.half_burned_deg += study.rows[20].retard_deg.middle;
    swl_near(wanted, swl_knock_integral(&model, &boosted, 1), 1e-4);
    swl_match_free(match);
    swl_knock_free(&study);
    build.engine.compression_ratio = NAN;
    swl_err err = {0};
    assert_int_equal(swl_knock_run(&build, NULL, &study, &err), SWL_ERR_USAGE);
    swl_build_free(&build);
}

/* The engine warms the day's air by what T_ve is above 25 degC: 5 K in the demo. */
static void without_the_blower_it_is_of_the_day(void **state)
{
    (void)state;
    static const double days_k[] = {253.15, 298.15, 313.15};
    for (size_t i = 0; i < 3; i++) {
        for (int given = 0; given < 2; given++) {
            swl_build build = test_build_load("maps/estate-roots.ini");
            swl_knock_study study;
            build.site.t_k = days_k[i];
            build.engine.t_ve_k = given ? build.engine.t_ve_k : (double)NAN;
            build.engine.ve_t_sqrt = given;
            assert_int_equal(swl_knock_run(&build, NULL, &study, NULL), SWL_OK);
            swl_near(days_k[i] + 5 * given, study.rows[0].t_na_k, 1e-12);
            swl_knock_free(&study);
            swl_build_free(&build);
        }
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(an_unfired_cylinder_is_a_quadrature),
        cmocka_unit_test(it_goes_the_way_of_the_trade),
        cmocka_unit_test(it_has_no_jumps),
        cmocka_unit_test(the_engine_against_itself_is_one),
        cmocka_unit_test(a_study_brackets_its_middle),
        cmocka_unit_test(without_the_blower_it_is_of_the_day),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
