/* Sites: the correction to a standard day, what a set does to a build, and reading sets. */
#include "support/near.h"

#include "support/builds.h"
#include "support/memory.h"
#include "sweptline/atmosphere.h"
#include "sweptline/correction.h"
#include "sweptline/files.h"
#include "sweptline/report.h"
#include "sweptline/sites.h"

#include <string.h>

static const swl_site_set nothing = {"nothing", NAN, NAN, NAN, NAN, false};

/* ---- correction ---- */

static void the_reference_day_is_not_corrected(void **state)
{
    (void)state;
    /* SAE J1349: 25 degC and 990 mbar dry; ISO 1585: 298 K and 99 kPa dry. */
    swl_correction j1349 = swl_correction_at(SWL_CORRECTION_J1349, 298.15, 99e3);
    swl_correction iso = swl_correction_at(SWL_CORRECTION_ISO_1585, 298, 99e3);
    swl_near(1, j1349.factor, 1e-14);
    swl_near(1, iso.factor, 1e-14);
    assert_int_equal(j1349.broken | iso.broken, 0);
}

static void factors_rise_with_temperature_and_fall_with_pressure(void **state)
{
    (void)state;
    for (int form = 0; form < SWL_CORRECTIONS; form++) {
        for (double p_pa = 60e3; p_pa <= 115e3; p_pa += 5e3) {
            double before = 0;
            for (double t_k = 240; t_k <= 330; t_k += 5) {
                double factor = swl_correction_at((swl_correction_form)form, t_k, p_pa).factor;
                assert_true(factor > before);
                assert_true(factor < swl_correction_at((swl_correction_form)form, t_k, p_pa - 1).factor);
                before = factor;
            }
        }
    }
}

/* A bound belongs to the range, a little beyond does not, and the factor goes on either way. */
static void bounds_are_told_and_nothing_is_held(void **state)
{
    (void)state;
    for (int form = 0; form < SWL_CORRECTIONS; form++) {
        const swl_correction_range *range = swl_correction_range_of((swl_correction_form)form);
        const struct {
            double t_k, p_pa;
            unsigned want;
        } rows[] = {
            {range->t_min_k, 99e3, 0},
            {range->t_max_k, 99e3, 0},
            {range->t_min_k - 0.01, 99e3, SWL_CORRECTION_COLD},
            {range->t_max_k + 0.01, 99e3, SWL_CORRECTION_HOT},
            {298, range->p_dry_min_pa - 1, SWL_CORRECTION_THIN},
            {298, range->p_dry_max_pa + 1, SWL_CORRECTION_DENSE},
        };
        for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
            swl_correction got = swl_correction_at((swl_correction_form)form, rows[i].t_k, rows[i].p_pa);
            /* The factor has a range of its own, which other air than this may break too. */
            unsigned factor = got.factor < range->factor_min   ? SWL_CORRECTION_FACTOR_LOW
                              : got.factor > range->factor_max ? SWL_CORRECTION_FACTOR_HIGH
                                                               : 0U;
            unsigned air = SWL_CORRECTION_COLD | SWL_CORRECTION_HOT | SWL_CORRECTION_THIN | SWL_CORRECTION_DENSE;
            assert_int_equal(got.broken & air, rows[i].want);
            assert_int_equal(got.broken & ~air, factor);
        }
        swl_correction thin = swl_correction_at((swl_correction_form)form, 298, 50e3);
        assert_true(thin.factor > 1.9);
        assert_int_equal(thin.broken, SWL_CORRECTION_THIN | SWL_CORRECTION_FACTOR_HIGH);
        swl_is_nan(swl_correction_at((swl_correction_form)form, NAN, 99e3).factor);
        swl_is_nan(swl_correction_at((swl_correction_form)form, 298, 0).factor);
    }
}

/* ---- sites ---- */

static swl_sites sites_of(const swl_build *build, const swl_site_set *sets, size_t count)
{
    swl_sites sites;
    swl_err err = {0};
    if (swl_sites_run(build, sets, count, &sites, &err) != SWL_OK) {
        fail_msg("%s", err.text);
    }
    assert_int_equal(sites.count, count + 1);
    return sites;
}

static void values_same(const swl_site_values *a, const swl_site_values *b)
{
    assert_true(a->rho_kg_m3 - b->rho_kg_m3 == 0 && a->boost_peak_pa - b->boost_peak_pa == 0 &&
                a->boost_limit_pa - b->boost_limit_pa == 0 && a->mdot_limit_kg_s - b->mdot_limit_kg_s == 0 &&
                a->t2_k - b->t2_k == 0 && a->t3_k - b->t3_k == 0 && a->p_shaft_w - b->p_shaft_w == 0 &&
                a->crank_w - b->crank_w == 0);
}

/* A set that gives nothing, and one that gives the build's own values, change nothing. */
static void the_own_site_again_changes_nothing(void **state)
{
    (void)state;
    swl_build build = test_build_load("maps/estate-roots.ini");
    build.engine.driveline_loss_frac = 0.15;
    swl_site_set sets[] = {nothing, {"again", build.site.t_k, build.site.p_pa, NAN, build.site.rh_frac, false}};
    swl_sites sites = sites_of(&build, sets, 2);
    static const swl_site_values zero = {0};
    assert_string_equal(sites.rows[0].set.name, SWL_SITE_OWN);
    for (size_t i = 0; i < 3; i++) {
        values_same(&zero, &sites.rows[i].change);
        values_same(&sites.rows[0].values, &sites.rows[i].values);
        swl_near_abs(0, sites.rows[i].change.wheel_w, 0);
        swl_near_abs(0, sites.rows[i].change.margin_frac, 0);
        assert_string_equal(sites.rows[i].worst->name, "discharge_temperature");
    }
    swl_near(0.85 * sites.rows[0].values.crank_w, sites.rows[0].values.wheel_w, 1e-12);
    swl_sites_free(&sites);
    swl_build_free(&build);
}

static void a_row_is_that_of_a_check(void **state)
{
    (void)state;
    swl_build build = test_build_load("maps/estate-roots.ini");
    build.engine.driveline_loss_frac = NAN;
    swl_site_set set = {"hut", 280, 70e3, NAN, 0.9, false};
    swl_sites sites = sites_of(&build, &set, 1);
    swl_build changed = build;
    changed.site = (swl_site){.t_k = 280, .p_pa = 70e3, .rh_frac = 0.9, .altitude_m = NAN};
    swl_check check = test_check_run(&changed);
    const swl_site_values *v = &sites.rows[1].values;
    const swl_point *last = &check.line[check.line_count - 1];
    double crank_w = 0;
    double t3_k = 0;
    for (size_t i = 0; i < check.line_count; i++) {
        crank_w = fmax(crank_w, check.power[i].crank_w);
        t3_k = fmax(t3_k, check.line[i].t3_k);
    }
    swl_near(last->boost_pa, v->boost_limit_pa, 1e-12);
    swl_near(last->mdot_kg_s, v->mdot_limit_kg_s, 1e-12);
    swl_near(t3_k, v->t3_k, 1e-12);
    swl_near(crank_w, v->crank_w, 1e-12);
    swl_is_nan(v->wheel_w);
    swl_air air = swl_air_humid(280, 70e3, 0.9);
    swl_near(70e3 / (air.r_j_kg_k * 280), v->rho_kg_m3, 1e-12);
    swl_near(v->crank_w - sites.rows[0].values.crank_w, sites.rows[1].change.crank_w, 1e-12);
    swl_near(180, build.site.altitude_m, 0);
    swl_check_free(&check);
    swl_sites_free(&sites);
    swl_build_free(&build);
}

static void an_altitude_is_its_pressure(void **state)
{
    (void)state;
    swl_build build = test_build_load("maps/estate-roots.ini");
    swl_site_set sets[] = {{"by altitude", NAN, NAN, 2300, NAN, false},
                           {"by pressure", NAN, swl_atmosphere_p_pa(2300), NAN, NAN, false}};
    swl_sites sites = sites_of(&build, sets, 2);
    values_same(&sites.rows[1].values, &sites.rows[2].values);
    /* The temperature stays the build's, whatever ISO 2533 has up there. */
    swl_near(build.site.t_k, sites.rows[1].site.t_k, 0);
    swl_near(2300, sites.rows[1].site.altitude_m, 0);
    swl_is_nan(sites.rows[2].site.altitude_m);
    swl_sites_free(&sites);
    swl_build_free(&build);
}

/* Thin or warm air: less of it, and less power. */
static void air_and_power_follow_density(void **state)
{
    (void)state;
    swl_build build = test_build_load("maps/estate-roots.ini");
    swl_site_set sets[8];
    for (size_t i = 0; i < 8; i++) {
        sets[i] = nothing;
        (void)snprintf(sets[i].name, sizeof sets[i].name, "%zu", i);
        if (i < 4) {
            sets[i].p_pa = 105e3 - 10e3 * (double)i;
        } else {
            sets[i].t_k = 260 + 15 * (double)(i - 4);
        }
    }
    swl_sites sites = sites_of(&build, sets, 8);
    for (size_t i = 2; i <= 8; i++) {
        const swl_site_values *a = &sites.rows[i - 1].values;
        const swl_site_values *b = &sites.rows[i].values;
        if (i != 5) {
            assert_true(b->rho_kg_m3 < a->rho_kg_m3 && b->mdot_limit_kg_s < a->mdot_limit_kg_s &&
                        b->crank_w < a->crank_w);
        }
    }
    swl_sites_free(&sites);
    swl_build_free(&build);
}

/* What a set gives anew is no longer assumed, and has lost the half-width of the file. */
static void a_set_takes_off_what_no_longer_holds(void **state)
{
    (void)state;
    swl_build build = test_build_load("maps/estate-roots.ini");
    build.assumed |= SWL_ASSUMED_SITE_PRESSURE | SWL_ASSUMED_SITE_TEMPERATURE | SWL_ASSUMED_DRY_AIR;
    build.inputs[0] = (swl_input){.offset = offsetof(swl_build, site.t_k), .half_width = 3};
    build.inputs[1] = (swl_input){.offset = offsetof(swl_build, drive.d_blower_m), .half_width = 0.001};
    build.inputs[2] = (swl_input){.offset = offsetof(swl_build, site.p_pa), .half_width = 500};
    build.input_count = 3;
    swl_build at;
    swl_site_set set = nothing;
    assert_int_equal(swl_site_apply(&build, &set, &at, NULL), SWL_OK);
    assert_int_equal(at.assumed, build.assumed);
    assert_int_equal(at.input_count, 3);
    set.altitude_m = 500;
    assert_int_equal(swl_site_apply(&build, &set, &at, NULL), SWL_OK);
    assert_int_equal(at.assumed & SWL_ASSUMED_SITE_PRESSURE, 0);
    assert_int_equal(at.assumed & SWL_ASSUMED_DRY_AIR, SWL_ASSUMED_DRY_AIR);
    assert_int_equal(at.input_count, 2);
    assert_true(at.inputs[1].offset == offsetof(swl_build, drive.d_blower_m));
    set.t_k = 290;
    set.rh_frac = 0.5;
    assert_int_equal(swl_site_apply(&build, &set, &at, NULL), SWL_OK);
    assert_int_equal(at.assumed & SWL_ASSUMED_DRY_AIR, 0);
    assert_int_equal(at.input_count, 1);
    assert_string_equal(at.site.name, "nothing");
    assert_int_equal(build.input_count, 3);
    /* 70 degC at 30 kPa is above the boiling point. */
    swl_err err = {0};
    set = (swl_site_set){"steam", 343.15, 30e3, NAN, 1, false};
    assert_int_equal(swl_site_apply(&build, &set, &at, &err), SWL_ERR_INPUT);
    assert_non_null(strstr(err.text, "more than half of the air"));
    swl_build_free(&build);
}

static void a_site_without_a_point_is_told(void **state)
{
    (void)state;
    swl_build build = test_build_load("maps/estate-roots.ini");
    /* Beyond what the air properties cover, which no file can ask for. */
    swl_site_set sets[] = {nothing, nothing};
    (void)snprintf(sets[1].name, sizeof sets[1].name, "furnace");
    sets[1].t_k = 1200;
    sets[1].rh_frac = 0;
    swl_sites sites = sites_of(&build, sets, 2);
    const swl_site_row *row = &sites.rows[2];
    assert_true(sites.exceeded);
    assert_non_null(strstr(row->failure, "no operating point"));
    assert_int_equal(row->check.line_count, 0);
    assert_null(row->worst);
    swl_is_nan(row->values.boost_peak_pa);
    swl_is_nan(row->change.crank_w);
    assert_true(row->values.rho_kg_m3 > 0);
    assert_int_equal(sites.rows[1].failure[0], '\0');
    swl_sites_free(&sites);
    /* Without a point at home there is nothing to compare with. */
    build.site.t_k = 1200;
    build.site.rh_frac = 0;
    swl_err err = {0};
    assert_int_equal(swl_sites_run(&build, sets, 2, &sites, &err), SWL_ERR_SOLVE);
    assert_int_equal(swl_sites_run(&build, sets, SWL_SITES_MAX + 1, &sites, NULL), SWL_ERR_USAGE);
    swl_build_free(&build);
}

/* On the reference day itself the standards and the model agree that there is nothing to correct. */
static void a_power_of_the_reference_day_stays(void **state)
{
    (void)state;
    swl_build build = test_build_load("maps/estate-roots.ini");
    build.site = (swl_site){.t_k = SWL_POWER_REFERENCE_T_K,
                            .p_pa = SWL_POWER_REFERENCE_P_PA,
                            .rh_frac = SWL_POWER_REFERENCE_VAPOUR_PA / swl_air_saturation_pa(SWL_POWER_REFERENCE_T_K),
                            .altitude_m = NAN};
    swl_check check = test_check_run(&build);
    swl_measured m;
    assert_int_equal(swl_measured_correct(&build, &check, 250e3, &m, NULL), SWL_OK);
    swl_near(1000, m.p_vapour_pa, 1e-12);
    swl_near(99e3, m.p_dry_pa, 1e-12);
    swl_near(1, m.corrections[SWL_CORRECTION_J1349].factor, 1e-12);
    /* ISO 1585 counts from 298 K, which is 0.15 K less. */
    swl_near(pow(298.15 / 298, 0.6), m.corrections[SWL_CORRECTION_ISO_1585].factor, 1e-12);
    swl_near(1, m.model_factor, 1e-12);
    swl_near(250e3, m.measured_w, 0);
    swl_check_free(&check);
    /* A day with less oxygen is corrected upwards by all three. */
    build.site.p_pa = 95e3;
    build.site.t_k = 305;
    check = test_check_run(&build);
    assert_int_equal(swl_measured_correct(&build, &check, 250e3, &m, NULL), SWL_OK);
    assert_true(m.corrections[0].factor > 1.02 && m.corrections[1].factor > 1.02 && m.model_factor > 1.02);
    swl_near(m.crank_reference_w / m.crank_site_w, m.model_factor, 1e-12);
    swl_check_free(&check);
    swl_build_free(&build);
}

static void no_estimate_gives_no_model_factor(void **state)
{
    (void)state;
    swl_build build = test_build_load("maps/estate-roots.ini");
    build.engine.known_power_w = 1e3;
    build.engine.known_power_speed_rpm = 6000;
    swl_check check = test_check_run(&build);
    swl_measured m;
    assert_int_equal(swl_measured_correct(&build, &check, 250e3, &m, NULL), SWL_OK);
    swl_is_nan(m.model_factor);
    assert_non_null(strstr(m.failure, "no estimate of crank power"));
    assert_true(m.corrections[0].factor > 0.9);
    swl_check_free(&check);
    swl_build_free(&build);
}

/* ---- reading ---- */

static size_t read_sets(const char *given, const char *file_text, swl_site_set *sets, const char *refused)
{
    memory_text file = {file_text};
    swl_source source = {.read = memory_text_read, .context = &file};
    swl_diags diags = {0};
    swl_err err = {0};
    size_t count = 0;
    swl_status status = swl_sites_read(&source, "--site", given, sets, &count, &diags, &err);
    swl_buf said = {0};
    swl_diag_print(&diags, SWL_ERROR, &said);
    swl_buf_puts(&said, err.text);
    if (refused == NULL && status != SWL_OK) {
        fail_msg("%s: %s", given, swl_buf_text(&said));
    }
    if (refused != NULL && (status == SWL_OK || strstr(swl_buf_text(&said), refused) == NULL)) {
        fail_msg("%s: want ...%s..., got %s", given, refused, swl_buf_text(&said));
    }
    swl_buf_free(&said);
    swl_diag_free(&diags);
    return count;
}

static void sets_are_read(void **state)
{
    (void)state;
    swl_site_set sets[SWL_SITES_MAX];
    assert_int_equal(
        read_sets("hot day; pass: 12 degC, 2300 m ;-5degC,40 %; psi: 14.2 psi; f: 86 degF, 5000 ft", NULL, sets, NULL),
        5);
    assert_memory_equal(&sets[0], swl_site_ready(0), sizeof sets[0]);
    assert_string_equal(sets[1].name, "pass");
    swl_near(285.15, sets[1].t_k, 1e-12);
    swl_near(2300, sets[1].altitude_m, 1e-12);
    swl_is_nan(sets[1].p_pa);
    swl_is_nan(sets[1].rh_frac);
    assert_string_equal(sets[2].name, "site 3");
    swl_near(268.15, sets[2].t_k, 1e-12);
    swl_near(0.4, sets[2].rh_frac, 1e-12);
    swl_near(14.2 * 6894.757293, sets[3].p_pa, 1e-9);
    swl_near(303.15, sets[4].t_k, 1e-12);
    swl_near(1524, sets[4].altitude_m, 1e-12);
    for (size_t i = 0; swl_site_ready(i) != NULL; i++) {
        assert_int_equal(read_sets(swl_site_ready(i)->name, NULL, sets, NULL), 1);
    }
}

static void tables_are_read(void **state)
{
    (void)state;
    swl_site_set sets[SWL_SITES_MAX];
    assert_int_equal(read_sets("lake: 20 degC; days.csv",
                               "Name;Relative_Humidity [%];temperature [degF];altitude [ft];who\n"
                               "\"fen; misty\";95;;;me\npass;40;59;7546;you\n",
                               sets, NULL),
                     3);
    assert_string_equal(sets[1].name, "fen; misty");
    swl_near(0.95, sets[1].rh_frac, 1e-12);
    swl_is_nan(sets[1].t_k);
    swl_near(288.15, sets[2].t_k, 1e-12);
    swl_near(7546 * 0.3048, sets[2].altitude_m, 1e-12);
    assert_int_equal(read_sets("days.csv", "name,pressure [kPa],altitude [m]\na,90,\nb,,100\n", sets, NULL), 2);
    swl_near(90e3, sets[0].p_pa, 1e-12);
    swl_near(100, sets[1].altitude_m, 1e-12);
}

static void sets_are_refused(void **state)
{
    (void)state;
    swl_site_set sets[SWL_SITES_MAX];
    static const struct {
        const char *given;
        const char *file;
        const char *want;
    } rows[] = {
        {"", NULL, "--site: read nothing"},
        {"  ", NULL, "read nothing where a site is wanted"},
        {"hot day;", NULL, "read nothing where a site is wanted"},
        {"hot dai", NULL, "did you mean `hot day`?"},
        {"moon", NULL, "which is no ready site; hot day, cold day, mountain pass"},
        {"a:", NULL, "read nothing; a temperature as"},
        {": 20 degC", NULL, "a name is wanted"},
        {"own site: 20 degC", NULL, "another name is accepted"},
        {"a name of far too many letters: 20 degC", NULL, "at most 20 characters"},
        {"a: 20 degC; a: 21 degC", NULL, "--site:1:13: error: the site `a` has been read already"},
        {"20 degC, 21 degC", NULL, "one temperature has been read already"},
        {"84 kPa, 1500 m", NULL, "a pressure or an altitude; keep one"},
        {"1500 m, 84 kPa", NULL, "a pressure or an altitude; keep one"},
        {"150 %", NULL, "relative humidity: read `150 %`; 0 % to 100 %"},
        {"-80 degC", NULL, "-60 degC to 70 degC"},
        {"10 kPa", NULL, "30 to 120 kPa"},
        {"30 km", NULL, "read `30 km`; a temperature as"},
        {"9001 m", NULL, "-500 m to 9000 m"},
        {"0.4", NULL, "read `0.4`; a temperature as"},
        {"20 degC +- 1 degC", NULL, "without +-"},
        {"x: nan degC", NULL, "read `nan degC`"},
        {"no.csv", NULL, "no.csv: error: "},
        {"d.csv", "name,temperature\na,20\n", "d.csv:1:6: error: column `temperature` names no unit"},
        {"d.csv", "name,temperature [kPa]\na,20\n", "d.csv:1:19: error: "},
        {"d.csv", "temperature [degC]\n20\n", "no column `name`"},
        {"d.csv", "name,who\na,me\n", "no column with values"},
        {"d.csv", "name,temperature [degC]\n", "no rows under its header"},
        {"d.csv", "name,temperature [degC],temperature [K]\na,20,\n", "two columns named `temperature`"},
        {"d.csv", "name,temperature [degC]\na,warm\n", "d.csv:2:3: error: temperature: read `warm`"},
        {"d.csv", "name,temperature [degC]\na,\n", "d.csv:2:1: error: the site `a` has no value"},
        {"d.csv", "name,temperature [degC]\n,20\n", "a name is wanted"},
        {"d.csv", "name,pressure [kPa],altitude [m]\na,90,500\n", "d.csv:2:6: error: altitude: read `500`; a site has"},
        {"d.csv", "name,temperature [degC]\n\"a\nb\",20\n", "a name on one line"},
        {"d.csv", "name,relative humidity [%]\na,150\n", "d.csv:2:3: error: relative humidity: read `150`"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        (void)read_sets(rows[i].given, rows[i].file, sets, rows[i].want);
    }
    swl_buf many = {0};
    for (int i = 0; i <= SWL_SITES_MAX; i++) {
        swl_buf_printf(&many, "%sn%d: 20 degC", i == 0 ? "" : "; ", i);
    }
    (void)read_sets(swl_buf_text(&many), NULL, sets, "more than 24 sites");
    swl_buf_free(&many);
}

/* The reason names what is broken and by what; none inside. */
static void reasons_are_told(void **state)
{
    (void)state;
    swl_measured m = {.site = {.t_k = 320}, .p_dry_pa = 70e3};
    m.corrections[0] = swl_correction_at(SWL_CORRECTION_J1349, 320, 70e3);
    swl_buf words = {0};
    swl_report_correction_reason(&words, SWL_CORRECTION_J1349, &m, SWL_UNITS_SI);
    assert_string_equal(swl_buf_text(&words), "46.9 degC is above 35.0 degC; 70.0 kPa of dry air is below 90.0 kPa; "
                                              "factor 1.5490 is above 1.07");
    swl_buf_free(&words);
    m.corrections[0].broken = 0;
    swl_report_correction_reason(&words, SWL_CORRECTION_J1349, &m, SWL_UNITS_SI);
    assert_string_equal(swl_buf_text(&words), "");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_reference_day_is_not_corrected),
        cmocka_unit_test(factors_rise_with_temperature_and_fall_with_pressure),
        cmocka_unit_test(bounds_are_told_and_nothing_is_held),
        cmocka_unit_test(the_own_site_again_changes_nothing),
        cmocka_unit_test(a_row_is_that_of_a_check),
        cmocka_unit_test(an_altitude_is_its_pressure),
        cmocka_unit_test(air_and_power_follow_density),
        cmocka_unit_test(a_set_takes_off_what_no_longer_holds),
        cmocka_unit_test(a_site_without_a_point_is_told),
        cmocka_unit_test(a_power_of_the_reference_day_stays),
        cmocka_unit_test(no_estimate_gives_no_model_factor),
        cmocka_unit_test(sets_are_read),
        cmocka_unit_test(tables_are_read),
        cmocka_unit_test(sets_are_refused),
        cmocka_unit_test(reasons_are_told),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
