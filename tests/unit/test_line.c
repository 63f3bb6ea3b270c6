/* The rows of the operating line and the points that a chart marks on it. Expected values are calculated. */
#include "support/builds.h"

#include <string.h>

/* ---- rows ---- */

/* Rows at from, every step after it, and one at the limit itself. */
static void check_rows(double from_rpm, double step_rpm, double limit_rpm, size_t rows)
{
    swl_build build = test_build_two_to_one();
    build.engine.speed_from_rpm = from_rpm;
    build.engine.speed_step_rpm = step_rpm;
    build.engine.speed_limit_rpm = limit_rpm;
    swl_check check = test_check_run(&build);
    if (check.line_count != rows) {
        fail_msg("from %g by %g to %g rpm: want %zu rows, got %zu", from_rpm, step_rpm, limit_rpm, rows,
                 check.line_count);
    }
    for (size_t i = 0; i + 1 < rows; i++) {
        swl_near(from_rpm + step_rpm * (double)i, check.line[i].engine_rpm, 1e-15);
        assert_true(check.line[i].engine_rpm < check.line[i + 1].engine_rpm);
    }
    assert_true(check.line[rows - 1].engine_rpm == limit_rpm);
    for (size_t i = 0; i < rows; i++) {
        assert_int_equal(check.line[i].end, SWL_MATCH_SOLVED);
    }
    swl_check_free(&check);
    assert_null(check.line);
    swl_build_free(&build);
}

static void rows_of_the_line(void **state)
{
    (void)state;
    check_rows(1000, 500, 7000, 13);                /* the step divides the range */
    check_rows(1000, 600, 4200, 7);                 /* 1000 to 4000 and 4200 */
    check_rows(1000, 600, 4001, 7);                 /* a last step of 1 rpm is a row of its own */
    check_rows(1500, 250, 6400, 21);                /* the example of the build file */
    check_rows(3000, 500, 3000, 1);                 /* from = limit */
    check_rows(3000, 5000, 4000, 2);                /* a step beyond the limit */
    check_rows(3000, 1000, 4000, 2);                /* one whole step */
    check_rows(1000, 1000.0 / 3, 2000, 4);          /* thirds, which no binary number is */
    check_rows(1000, 0.1 * 1000 + 1e-13, 2000, 11); /* a step that is too long in its last digits */
    check_rows(1000, 0.1 * 1000 - 1e-13, 2000, 11); /* and too short */
    check_rows(1000, 3, 6997, SWL_LINE_ROWS_MAX);   /* as many as are accepted */
}

static void too_many_rows(void **state)
{
    (void)state;
    swl_build build = test_build_two_to_one();
    build.engine.speed_from_rpm = 1000;
    build.engine.speed_step_rpm = 3;
    build.engine.speed_limit_rpm = 7000;
    swl_check check;
    swl_err err = {0};
    assert_int_equal(swl_check_run(&build, &check, &err), SWL_ERR_USAGE);
    assert_non_null(strstr(err.text, "2001"));
    assert_null(check.line);
    swl_check_free(&check);
    swl_build_free(&build);
}

static void a_point_that_fails_is_named(void **state)
{
    (void)state;
    swl_build build = test_build_two_to_one();
    build.blower.disp_m3_rev = 20e-3;
    swl_check check;
    swl_err err = {0};
    assert_int_equal(swl_check_run(&build, &check, &err), SWL_ERR_SOLVE);
    assert_non_null(strstr(err.text, "1000 rpm"));
    assert_non_null(strstr(err.text, swl_match_reason(SWL_MATCH_ENGINE_TOO_SMALL)));
    assert_non_null(strstr(err.text, "13 of 13"));
    assert_null(check.line);
    swl_build_free(&build);
}

/* The rows are what the solver gives at those speeds. */
static void rows_are_the_solvers(void **state)
{
    (void)state;
    swl_build build = test_build_load("maps/estate-roots.ini");
    swl_match *match = test_match_new(&build);
    swl_check check = test_check_run(&build);
    for (size_t i = 0; i < check.line_count; i++) {
        swl_point p = swl_match_point(match, check.line[i].engine_rpm);
        assert_memory_equal(&p, &check.line[i], offsetof(swl_point, map_where));
    }
    swl_check_free(&check);
    swl_match_free(match);
    swl_build_free(&build);
}

/* ---- marks ---- */

/* The ends of the line and whole multiples of one step between them, each solved and not too near to an end. */
static void check_marks(double from_rpm, double limit_rpm)
{
    swl_build build = test_build_two_to_one();
    build.engine.speed_from_rpm = from_rpm;
    build.engine.speed_step_rpm = 370;
    build.engine.speed_limit_rpm = limit_rpm;
    swl_check check = test_check_run(&build);
    swl_match *match = test_match_new(&build);
    swl_point marks[SWL_MARKS_MAX];
    size_t count = swl_check_marks(match, &check, marks);
    assert_true(marks[0].engine_rpm == from_rpm && marks[count - 1].engine_rpm == limit_rpm);
    assert_true(count <= 12 && (count >= 3 || limit_rpm - from_rpm < 150));
    double step_rpm = count > 3 ? marks[2].engine_rpm - marks[1].engine_rpm : 1;
    for (size_t i = 1; i < count; i++) {
        assert_int_equal(marks[i].end, SWL_MATCH_SOLVED);
        assert_true(marks[i].engine_rpm > marks[i - 1].engine_rpm);
        if (i + 1 < count) {
            swl_near(round(marks[i].engine_rpm / step_rpm) * step_rpm, marks[i].engine_rpm, 1e-12);
            swl_point p = swl_match_point(match, marks[i].engine_rpm);
            assert_true(p.p_ratio == marks[i].p_ratio);
        }
    }
    swl_match_free(match);
    swl_check_free(&check);
    swl_build_free(&build);
}

static void marks_of_the_line(void **state)
{
    (void)state;
    check_marks(1500, 6400);
    check_marks(1000, 7000);
    check_marks(1499, 6001);
    check_marks(3000, 3100);
    check_marks(3000, 3001);
    check_marks(800, 20000);
    /* A line of one row has one mark. */
    swl_build build = test_build_two_to_one();
    build.engine.speed_from_rpm = build.engine.speed_limit_rpm;
    swl_check check = test_check_run(&build);
    swl_match *match = test_match_new(&build);
    swl_point marks[SWL_MARKS_MAX];
    assert_int_equal(swl_check_marks(match, &check, marks), 1);
    swl_match_free(match);
    swl_check_free(&check);
    swl_build_free(&build);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(rows_of_the_line),
        cmocka_unit_test(too_many_rows),
        cmocka_unit_test(a_point_that_fails_is_named),
        cmocka_unit_test(rows_are_the_solvers),
        cmocka_unit_test(marks_of_the_line),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
