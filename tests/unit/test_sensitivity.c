/* The table of small changes against builds that are changed by hand. */
#include "support/near.h"

#include "support/builds.h"
#include "sweptline/sensitivity.h"

#include <string.h>

static const swl_sensitivity_row *row_of(const swl_sensitivity *table, const char *name)
{
    for (size_t i = 0; i < table->count; i++) {
        if (strcmp(table->rows[i].name, name) == 0) {
            return &table->rows[i];
        }
    }
    return NULL;
}

static swl_point solved(const swl_build *build)
{
    swl_match *match = test_match_new(build);
    swl_point point = swl_match_point(match, 6000);
    swl_match_free(match);
    assert_int_equal(point.end, SWL_MATCH_SOLVED);
    return point;
}

static void changes_are_those_of_a_changed_build(void **state)
{
    (void)state;
    swl_build build = test_build_load("maps/estate-roots.ini");
    swl_sensitivity table;
    assert_int_equal(swl_sensitivity_run(&build, 6000, &table, NULL), SWL_OK);
    assert_int_equal(table.count, 11);
    swl_point base = solved(&build);
    swl_build changed = build;
    changed.drive.d_blower_m += 0.001;
    swl_point point = solved(&changed);
    swl_near(point.boost_pa - base.boost_pa, row_of(&table, "blower_pulley")->d_boost_pa, 1e-12);
    swl_near(point.p_shaft_w - base.p_shaft_w, row_of(&table, "blower_pulley")->d_p_shaft_w, 1e-12);
    changed = build;
    changed.drive.slip_frac += 0.01;
    swl_near(solved(&changed).t2_k - base.t2_k, row_of(&table, "slip")->d_t2_k, 1e-12);
    swl_build_free(&build);
}

/* On a flat map with the temperature-rise efficiency a point more is exactly the rise times ea/(ea + 0.01). */
static void a_better_map_is_cooler(void **state)
{
    (void)state;
    swl_build build = test_build_plain(0.9, 0.60);
    swl_build better = test_build_plain(0.9, 0.61);
    swl_sensitivity table;
    assert_int_equal(swl_sensitivity_run(&build, 6000, &table, NULL), SWL_OK);
    const swl_sensitivity_row *row = row_of(&table, "blower_adiabatic_efficiency");
    swl_near(solved(&better).t2_k - solved(&build).t2_k, row->d_t2_k, 1e-9);
    assert_true(row->d_t2_k < 0);
    swl_build_free(&build);
    swl_build_free(&better);
}

/* Only the changes of parts that the build has, and the build itself is left as it was. */
static void parts_that_are_not_there_have_no_row(void **state)
{
    (void)state;
    swl_build build = test_build_plain(0.9, 0.6);
    swl_build before = build;
    swl_sensitivity table;
    assert_int_equal(swl_sensitivity_run(&build, 6000, &table, NULL), SWL_OK);
    assert_null(row_of(&table, "cooler_effectiveness"));
    assert_null(row_of(&table, "coolant_temperature"));
    assert_null(row_of(&table, "throttle_coefficient"));
    assert_null(row_of(&table, "back_pressure"));
    assert_non_null(row_of(&table, "site_pressure"));
    assert_memory_equal(&before, &build, sizeof build);
    swl_build_free(&build);
}

static void no_operating_point_is_an_error(void **state)
{
    (void)state;
    swl_build build = test_build_plain(0.9, 0.6);
    build.blower.disp_m3_rev *= 1000;
    swl_sensitivity table;
    swl_err err = {0};
    assert_int_equal(swl_sensitivity_run(&build, 6000, &table, &err), SWL_ERR_SOLVE);
    assert_non_null(strstr(err.text, "the build as it is"));
    swl_build_free(&build);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(changes_are_those_of_a_changed_build),
        cmocka_unit_test(a_better_map_is_cooler),
        cmocka_unit_test(parts_that_are_not_there_have_no_row),
        cmocka_unit_test(no_operating_point_is_an_error),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
