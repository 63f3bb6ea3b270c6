/* Pulley sizes: the table against checks of changed builds, and every search there and back. */
#include "support/near.h"

#include "support/builds.h"
#include "sweptline/files.h"
#include "sweptline/pulley.h"

#include <string.h>

static const double speeds_rpm[SWL_PULLEY_SPEEDS] = {2500, 4500, 6400};

static void row_is_that_of_a_check(void **state)
{
    (void)state;
    swl_build build = test_build_load("maps/estate-roots.ini");
    const double d_m[] = {0.080, 0.100};
    swl_pulley_row rows[2];
    assert_int_equal(swl_pulley_table(&build, SWL_PULLEY_BLOWER, d_m, 2, speeds_rpm, rows, NULL), SWL_OK);
    swl_build changed = build;
    changed.drive.d_blower_m = 0.080;
    swl_check check = test_check_run(&changed);
    const swl_point *last = &check.line[check.line_count - 1];
    swl_near(check.blower_rpm_at_over_rev, rows[0].blower_rpm_at_over_rev, 1e-15);
    swl_near(last->boost_pa, rows[0].boost_pa[2], 1e-12);
    swl_near(last->boost_pa, rows[0].boost_peak_pa, 1e-12);
    swl_near(6400, rows[0].boost_peak_rpm, 1e-15);
    swl_near(last->t2_k, rows[0].t2_max_k, 1e-12);
    swl_near(last->p_shaft_w, rows[0].p_shaft_max_w, 1e-12);
    assert_int_equal(rows[0].verdict, SWL_EXCEEDED);
    assert_int_equal(rows[1].verdict, SWL_KEPT);
    swl_check_free(&check);
    swl_build_free(&build);
}

/* A size that was found gives what was asked for, and no more. */
static void found_sizes_give_the_goal(void **state)
{
    (void)state;
    swl_build build = test_build_load("maps/estate-roots.ini");
    for (int crank = 0; crank < 2; crank++) {
        swl_pulley pulley = crank ? SWL_PULLEY_CRANK : SWL_PULLEY_BLOWER;
        swl_pulley_found found;
        swl_pulley_row row;
        assert_int_equal(swl_pulley_find(&build, pulley, SWL_GOAL_BOOST_AT, 60e3, 4500, &found, NULL), SWL_OK);
        assert_int_equal(swl_pulley_table(&build, pulley, &found.exact_m, 1, speeds_rpm, &row, NULL), SWL_OK);
        swl_near(60e3, row.boost_pa[1], 1e-5);
        assert_int_equal(swl_pulley_find(&build, pulley, SWL_GOAL_BOOST_PEAK, 60e3, 0, &found, NULL), SWL_OK);
        assert_int_equal(swl_pulley_table(&build, pulley, &found.exact_m, 1, speeds_rpm, &row, NULL), SWL_OK);
        swl_near(60e3, row.boost_peak_pa, 1e-5);
        assert_int_equal(swl_pulley_find(&build, pulley, SWL_GOAL_SPEED, 11000, 0, &found, NULL), SWL_OK);
        assert_int_equal(swl_pulley_table(&build, pulley, &found.exact_m, 1, speeds_rpm, &row, NULL), SWL_OK);
        swl_near(11000, row.blower_rpm_at_limit, 1e-7);
        assert_true(row.blower_rpm_at_limit <= 11000);
        assert_int_equal(swl_pulley_find(&build, pulley, SWL_GOAL_FLOW, 0.33, 0, &found, NULL), SWL_OK);
        assert_int_equal(swl_pulley_table(&build, pulley, &found.exact_m, 1, speeds_rpm, &row, NULL), SWL_OK);
        swl_near(0.33, row.mdot_max_kg_s, 1e-6);
    }
    swl_build_free(&build);
}

/* The smallest that keeps every limit keeps them; a hundredth of a millimetre less does not, by the limit named. */
static void smallest_is_on_the_border(void **state)
{
    (void)state;
    swl_build build = test_build_load("maps/estate-roots.ini");
    swl_pulley_found found;
    assert_int_equal(swl_pulley_find(&build, SWL_PULLEY_BLOWER, SWL_GOAL_LIMITS, 0, 0, &found, NULL), SWL_OK);
    assert_string_equal(found.binds, "boost");
    const double d_m[] = {found.exact_m - 1e-5, found.exact_m};
    swl_pulley_row rows[2];
    assert_int_equal(swl_pulley_table(&build, SWL_PULLEY_BLOWER, d_m, 2, speeds_rpm, rows, NULL), SWL_OK);
    assert_int_equal(rows[0].verdict, SWL_EXCEEDED);
    assert_string_equal(rows[0].worst, "boost");
    assert_int_equal(rows[1].verdict, SWL_CLOSE);
    /* With no other limit than the rotors' the closed form of a check answers. */
    build.limits = (swl_limit_values){NAN, NAN, NAN, NAN, NAN, NAN, NAN};
    assert_int_equal(swl_pulley_find(&build, SWL_PULLEY_BLOWER, SWL_GOAL_LIMITS, 0, 0, &found, NULL), SWL_OK);
    assert_string_equal(found.binds, "continuous_speed");
    swl_near(swl_drive_blower_pulley_m(&build.drive, 1, 6400, 12000), found.exact_m, 1e-7);
    swl_build_free(&build);
}

static void what_no_pulley_gives_is_told(void **state)
{
    (void)state;
    swl_build build = test_build_load("maps/estate-roots.ini");
    swl_pulley_found found;
    swl_err err = {0};
    assert_int_equal(swl_pulley_find(&build, SWL_PULLEY_BLOWER, SWL_GOAL_BOOST_PEAK, 3e6, 0, &found, &err),
                     SWL_ERR_SOLVE);
    assert_non_null(strstr(err.text, "no size gives 3000 kPa; the nearest is "));
    /* A sensor that site air alone takes past its scale binds whatever the pulley. */
    build.limits.p_sensor_pa = 20e3;
    err = (swl_err){0};
    assert_int_equal(swl_pulley_find(&build, SWL_PULLEY_BLOWER, SWL_GOAL_LIMITS, 0, 0, &found, &err), SWL_ERR_SOLVE);
    assert_non_null(strstr(err.text, "does not depend on the pulley"));
    swl_build_free(&build);
}

static swl_status no_file(void *context, const char *path, swl_buf *out, swl_err *err)
{
    (void)path;
    swl_buf_puts(out, context);
    return swl_buf_status(out, err);
}

static size_t sizes_of(const char *given, char *file, double *d_m, swl_status want, const char *words)
{
    swl_source source = {.read = no_file, .context = file};
    size_t count = 0;
    swl_err err = {0};
    assert_int_equal(swl_sizes_read(&source, given, d_m, &count, &err), want);
    if (words != NULL && strstr(err.text, words) == NULL) {
        fail_msg("want ...%s..., got %s", words, err.text);
    }
    return count;
}

static void sizes_are_read(void **state)
{
    (void)state;
    double d_m[SWL_PULLEY_SIZES_MAX];
    assert_int_equal(sizes_of("70mm:100mm:2mm", NULL, d_m, SWL_OK, NULL), 16);
    swl_near(0.07, d_m[0], 1e-12);
    swl_near(0.1, d_m[15], 1e-12);
    assert_int_equal(sizes_of("3in, 70 mm,2.9 in,70mm", NULL, d_m, SWL_OK, NULL), 3);
    swl_near(0.07, d_m[0], 1e-12);
    swl_near(3 * 0.0254, d_m[2], 1e-12);
    char table[] = "size [in], note\n3.5, steel\n3.25,\n";
    assert_int_equal(sizes_of("shelf.csv", table, d_m, SWL_OK, NULL), 2);
    swl_near(3.25 * 0.0254, d_m[0], 1e-12);
}

static void sizes_are_refused(void **state)
{
    (void)state;
    double d_m[SWL_PULLEY_SIZES_MAX];
    (void)sizes_of("70mm:100mm:0mm", NULL, d_m, SWL_ERR_USAGE, "a step above zero");
    (void)sizes_of("100mm:70mm:2mm", NULL, d_m, SWL_ERR_USAGE, "TO at or above FROM");
    (void)sizes_of("70mm:100mm", NULL, d_m, SWL_ERR_USAGE, "FROM:TO:STEP");
    (void)sizes_of("70mm:100mm:0.1mm", NULL, d_m, SWL_ERR_USAGE, "at most 200 sizes");
    (void)sizes_of("70", NULL, d_m, SWL_ERR_USAGE, "the unit is missing");
    (void)sizes_of("70mm,,80mm", NULL, d_m, SWL_ERR_USAGE, "read nothing");
    (void)sizes_of("", NULL, d_m, SWL_ERR_USAGE, "read nothing");
    (void)sizes_of("5mm", NULL, d_m, SWL_ERR_USAGE, "20 mm to 1000 mm");
    char bare[] = "size\n3.5\n";
    char words[] = "size [mm]\nlarge\n";
    char empty[] = "size [mm]\n";
    (void)sizes_of("a.csv", bare, d_m, SWL_ERR_INPUT, "must name a unit of length");
    (void)sizes_of("a.csv", words, d_m, SWL_ERR_INPUT, "a.csv:2:1: read `large`");
    (void)sizes_of("a.csv", empty, d_m, SWL_ERR_USAGE, "holds none");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(row_is_that_of_a_check),
        cmocka_unit_test(found_sizes_give_the_goal),
        cmocka_unit_test(smallest_is_on_the_border),
        cmocka_unit_test(what_no_pulley_gives_is_told),
        cmocka_unit_test(sizes_are_read),
        cmocka_unit_test(sizes_are_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
