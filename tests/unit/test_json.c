/* The JSON of a check read back by a parser: every number to its last digit. */
#include "support/builds.h"

#include "sweptline/report.h"
#include "sweptline/version.h"

#include <jansson.h>
#include <string.h>

static json_t *member(const json_t *object, const char *key)
{
    json_t *value = json_object_get(object, key);
    if (value == NULL) {
        fail_msg("there is no member %s", key);
    }
    return value;
}

/* Equal to the last digit; null for what is not finite. */
static void holds_number(const json_t *object, const char *key, double want)
{
    json_t *value = member(object, key);
    if (!isfinite(want)) {
        assert_true(json_is_null(value));
    } else if (!json_is_real(value) || json_real_value(value) != want) {
        fail_msg("%s: want %.17g, got %.17g", key, want, json_number_value(value));
    }
}

static void holds_words(const json_t *object, const char *key, const char *want)
{
    assert_string_equal(json_string_value(member(object, key)), want);
}

static void holds_point(const json_t *row, const swl_point *p)
{
    holds_number(row, "engine_speed_rpm", p->engine_rpm);
    holds_number(row, "blower_speed_rpm", p->blower_rpm);
    holds_number(row, "corrected_speed_rpm", p->corrected_rpm);
    holds_number(row, "pressure_ratio", p->p_ratio);
    holds_number(row, "inlet_pressure_pa", p->p1_pa);
    holds_number(row, "discharge_pressure_pa", p->p2_pa);
    holds_number(row, "manifold_pressure_pa", p->p3_pa);
    holds_number(row, "boost_pa", p->boost_pa);
    holds_number(row, "air_mass_flow_kg_s", p->mdot_kg_s);
    holds_number(row, "inlet_volume_flow_m3_s", p->vdot1_m3_s);
    holds_number(row, "blower_volumetric_efficiency", p->ev_frac);
    holds_number(row, "blower_adiabatic_efficiency", p->ea_frac);
    holds_number(row, "engine_volumetric_efficiency", p->engine_ve_frac);
    holds_number(row, "discharge_temperature_k", p->t2_k);
    holds_number(row, "charge_temperature_k", p->t3_k);
    holds_number(row, "drive_power_w", p->p_shaft_w);
    holds_number(row, "drive_torque_n_m", p->torque_nm);
    holds_number(row, "cooler_heat_w", p->q_cooler_w);
    assert_true(json_is_boolean(member(row, "on_map")));
    assert_true(json_is_true(member(row, "on_map")) == (p->map_where == SWL_MAP_INSIDE));
}

static void holds_limit(const json_t *row, const swl_limit_row *limit)
{
    holds_words(row, "name", limit->name);
    holds_words(row, "verdict", swl_verdict_word(limit->verdict));
    holds_words(row, "unit", limit->unit);
    holds_number(row, "value", limit->value);
    holds_number(row, "limit", limit->limit);
    holds_number(row, "margin", limit->margin_frac * 100);
    holds_number(row, "engine_speed_rpm", limit->engine_rpm);
    assert_true(json_is_true(member(row, "on_map")) == limit->on_map);
}

static void check_json(const swl_build *build, const swl_check *check)
{
    swl_notes notes = {0};
    swl_notes_add(&notes, "A \"note\" of %d %%, with \\ and a tab\tand \xC3\xA9.", 5);
    swl_buf out = {0};
    swl_err err = {0};
    assert_int_equal(swl_report_check_json(&out, "check", build, check, NULL, &notes, &err), SWL_OK);
    assert_int_equal(strlen(swl_buf_text(&out)), out.len);
    json_error_t why;
    json_t *root = json_loads(swl_buf_text(&out), JSON_REJECT_DUPLICATES, &why);
    if (root == NULL) {
        fail_msg("line %d: %s", why.line, why.text);
    }
    holds_words(root, "program", "sweptline");
    holds_words(root, "version", SWL_VERSION);
    holds_words(root, "command", "check");
    holds_words(root, "build", build->name);
    holds_number(member(root, "site"), "temperature_k", build->site.t_k);
    holds_number(member(root, "site"), "pressure_pa", build->site.p_pa);
    holds_number(member(root, "site"), "relative_humidity", build->site.rh_frac);
    json_t *line = member(root, "line");
    json_t *limits = member(root, "limits");
    json_t *words = member(root, "notes");
    assert_int_equal(json_array_size(line), check->line_count);
    assert_int_equal(json_array_size(limits), check->limit_count);
    assert_true(json_is_array(limits) && json_array_size(words) == 1);
    for (size_t i = 0; i < check->line_count; i++) {
        holds_point(json_array_get(line, i), &check->line[i]);
    }
    for (size_t i = 0; i < check->limit_count; i++) {
        holds_limit(json_array_get(limits, i), &check->limits[i]);
    }
    assert_string_equal(json_string_value(json_array_get(words, 0)), notes.items[0]);
    json_decref(root);
    swl_buf_free(&out);
    swl_notes_free(&notes);
}

static void demo_builds(void **state)
{
    (void)state;
    static const char *const files[] = {"maps/estate-roots.ini", "maps/estate-screw.ini"};
    for (size_t i = 0; i < 2; i++) {
        swl_build build = test_build_load(files[i]);
        swl_check check;
        assert_int_equal(swl_check_run(&build, &check, NULL), SWL_OK);
        check_json(&build, &check);
        swl_check_free(&check);
        swl_build_free(&build);
    }
}

static void random_builds(void **state)
{
    (void)state;
    test_random random = {31};
    size_t held = 0;
    for (size_t b = 0; b < 60; b++) {
        swl_build build = test_build_random(&random);
        build.limits.boost_pa = test_uniform(&random, 1e4, 2e5);
        swl_check check;
        if (swl_check_run(&build, &check, NULL) == SWL_OK) {
            check_json(&build, &check);
            swl_check_free(&check);
            held++;
        }
        swl_build_free(&build);
    }
    assert_true(held > 30);
}

/* What has no number in JSON, and names that want care. */
static void odd_values(void **state)
{
    (void)state;
    swl_build build = test_build_plain(0.92, 0.65);
    build.limits.boost_pa = 5e4;
    swl_check check;
    assert_int_equal(swl_check_run(&build, &check, NULL), SWL_OK);
    check.line[0].p_shaft_w = (double)NAN;
    check.line[1].boost_pa = INFINITY;
    check.limits[0].value = -INFINITY;
    (void)snprintf(build.name, sizeof build.name, "%s", "\"\\ / \xE2\x82\xAC \xF0\x9F\x94\xA7 </script>");
    check_json(&build, &check);
    swl_check_free(&check);
    swl_build_free(&build);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(demo_builds),
        cmocka_unit_test(random_builds),
        cmocka_unit_test(odd_values),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
