/* The most efficient size over a span of engine speed: the mean against its definition, the search against a plain
 * scan, and the same ratio by either pulley. */
#include "support/near.h"

#include "support/builds.h"
#include "sweptline/files.h"
#include "sweptline/pulley.h"

#include <string.h>

static const swl_island_span even = {.from_rpm = 2500, .to_rpm = 5500};

static swl_island_mean mean_at(const swl_build *build, swl_pulley pulley, const swl_island_span *span, double d_m)
{
    swl_island_mean mean = {0};
    assert_int_equal(swl_pulley_island_mean(build, pulley, span, d_m, &mean, NULL), SWL_OK);
    return mean;
}

/* A map of one efficiency: the mean is that efficiency, wherever the line lies within the map. */
static void flat_map_gives_its_efficiency(void **state)
{
    (void)state;
    swl_build build = test_build_load("maps/estate-roots.ini");
    swl_map_row rows[6];
    for (size_t i = 0; i < 6; i++) {
        rows[i] = (swl_map_row){.speed_rpm = i < 3 ? 1000 : 20000,
                                .p_ratio = 1.0 + 0.75 * (double)(i % 3),
                                .ev_frac = 0.9,
                                .ea_frac = 0.625};
    }
    swl_map *whole = build.blower.map;
    build.blower.map = swl_map_new(rows, 6, NULL);
    assert_non_null(build.blower.map);
    for (double d_m = 0.07; d_m < 0.11; d_m += 0.01) {
        swl_island_mean mean = mean_at(&build, SWL_PULLEY_BLOWER, &even, d_m);
        swl_near(0.625, mean.eff_frac, 1e-12);
        swl_near(1, mean.inside_frac, 1e-12);
    }
    /* Half of the span slower than the slowest line: half the efficiency. */
    swl_match *match = test_match_new(&build);
    double slowest_rpm = swl_match_point(match, 4000).corrected_rpm;
    swl_match_free(match);
    swl_map_free(build.blower.map);
    for (size_t i = 0; i < 3; i++) {
        rows[i].speed_rpm = slowest_rpm;
    }
    build.blower.map = swl_map_new(rows, 6, NULL);
    swl_island_mean mean = mean_at(&build, SWL_PULLEY_BLOWER, &even, 0.092);
    swl_near(0.5, mean.inside_frac, 1e-7);
    swl_near(0.5 * 0.625, mean.eff_frac, 1e-7);
    swl_map_free(build.blower.map);
    build.blower.map = whole;
    swl_build_free(&build);
}

/* Against a sum over 6001 speeds, even and weighted. */
static void mean_is_its_definition(void **state)
{
    (void)state;
    swl_build build = test_build_load("maps/estate-roots.ini");
    const double x[] = {2500, 4000, 5500};
    const double y[] = {1, 3, 1};
    swl_curve *weight = swl_curve_new(x, y, 3, NULL);
    assert_non_null(weight);
    for (int weighted = 0; weighted < 2; weighted++) {
        const swl_island_span span = {2500, 5500, weighted ? weight : NULL};
        for (double d_m = 0.062; d_m < 0.13; d_m += 0.016) {
            swl_build changed = swl_pulley_build(&build, SWL_PULLEY_BLOWER, d_m);
            swl_match *match = test_match_new(&changed);
            double gain = 0;
            double whole = 0;
            for (int i = 0; i <= 6000; i++) {
                double rpm = 2500 + 0.5 * i;
                double w = (weighted ? swl_curve_at(weight, rpm) : 1) * (i == 0 || i == 6000 ? 0.5 : 1);
                swl_point point = swl_match_point(match, rpm);
                gain += point.end == SWL_MATCH_SOLVED && point.map_where == SWL_MAP_INSIDE ? w * point.ea_frac : 0;
                whole += w;
            }
            swl_match_free(match);
            swl_near(gain / whole, mean_at(&build, SWL_PULLEY_BLOWER, &span, d_m).eff_frac, 4e-4);
        }
    }
    swl_curve_free(weight);
    swl_build_free(&build);
}

/* Only the proportions of weights count. */
static void weights_count_by_proportion(void **state)
{
    (void)state;
    swl_build build = test_build_load("maps/estate-roots.ini");
    const double x[] = {2500, 4000, 5500};
    const double y[] = {1, 3, 1};
    const double y7[] = {7, 21, 7};
    const double one[] = {5, 5, 5};
    swl_curve *weight = swl_curve_new(x, y, 3, NULL);
    swl_curve *sevenfold = swl_curve_new(x, y7, 3, NULL);
    swl_curve *same = swl_curve_new(x, one, 3, NULL);
    const swl_island_span spans[] = {{2500, 5500, weight}, {2500, 5500, sevenfold}, {2500, 5500, same}};
    for (double d_m = 0.06; d_m < 0.15; d_m += 0.01) {
        swl_near(mean_at(&build, SWL_PULLEY_BLOWER, &spans[0], d_m).eff_frac,
                 mean_at(&build, SWL_PULLEY_BLOWER, &spans[1], d_m).eff_frac, 1e-12);
        swl_near(mean_at(&build, SWL_PULLEY_BLOWER, &even, d_m).eff_frac,
                 mean_at(&build, SWL_PULLEY_BLOWER, &spans[2], d_m).eff_frac, 1e-12);
    }
    swl_curve_free(weight);
    swl_curve_free(sevenfold);
    swl_curve_free(same);
    swl_build_free(&build);
}

static void found_is_the_best_of_a_plain_scan(void **state)
{
    (void)state;
    const char *const files[] = {"maps/estate-roots.ini", "maps/estate-screw.ini"};
    const swl_island_span spans[] = {{2500, 5500, NULL}, {1500, 2000, NULL}, {3000, 6400, NULL}};
    for (size_t f = 0; f < 2; f++) {
        swl_build build = test_build_load(files[f]);
        for (size_t k = 0; k < 3; k++) {
            swl_pulley_island island;
            assert_int_equal(swl_pulley_find_island(&build, SWL_PULLEY_BLOWER, &spans[k], NULL, 0, &island, NULL),
                             SWL_OK);
            double own_m = build.drive.d_blower_m;
            double best = 0;
            for (int i = 0; i <= 500; i++) {
                best = fmax(best, mean_at(&build, SWL_PULLEY_BLOWER, &spans[k], own_m * (0.5 + 0.003 * i)).eff_frac);
            }
            assert_true(island.peaks[0].eff_frac >= best - 1e-9);
            assert_true(island.peaks[0].eff_frac <= best + 1e-3);
            assert_true(island.peaks[0].eff_frac <= island.map_best_frac + 0.01);
            for (size_t i = 1; i < island.peak_count; i++) {
                assert_true(island.peaks[i].eff_frac <= island.peaks[i - 1].eff_frac);
            }
            assert_true(isnan(island.listed.d_m));
        }
        swl_build_free(&build);
    }
}

/* The ratio is all that counts, so either pulley leads to the same one. */
static void either_pulley_gives_one_ratio(void **state)
{
    (void)state;
    swl_build build = test_build_load("maps/estate-roots.ini");
    double ratio[2];
    for (int crank = 0; crank < 2; crank++) {
        swl_pulley pulley = crank ? SWL_PULLEY_CRANK : SWL_PULLEY_BLOWER;
        swl_pulley_island island;
        assert_int_equal(swl_pulley_find_island(&build, pulley, &even, NULL, 0, &island, NULL), SWL_OK);
        swl_build changed = swl_pulley_build(&build, pulley, island.peaks[0].d_m);
        ratio[crank] = swl_drive_ratio(&changed.drive, changed.blower.gear_ratio);
        assert_false(island.at_end);
    }
    swl_near(ratio[0], ratio[1], 1e-3);
    swl_build_free(&build);
}

static void ends_and_nothing_are_told(void **state)
{
    (void)state;
    swl_build build = test_build_load("maps/estate-roots.ini");
    swl_pulley_island island;
    /* Half of the best size as the build's own: twice that is below the best. */
    build.drive.d_blower_m = 0.050;
    assert_int_equal(swl_pulley_find_island(&build, SWL_PULLEY_BLOWER, &even, NULL, 0, &island, NULL), SWL_OK);
    assert_true(island.at_end);
    swl_near(0.100, island.peaks[0].d_m, 1e-12);
    /* So small that no point is on the map. */
    build.drive.d_blower_m = 0.020;
    swl_err err = {0};
    assert_int_equal(swl_pulley_find_island(&build, SWL_PULLEY_BLOWER, &even, NULL, 0, &island, &err), SWL_ERR_SOLVE);
    assert_non_null(strstr(err.text, "puts any of the span on the map"));
    assert_int_equal(island.peak_count, 0);
    const swl_island_span none = {4000, 4000, NULL};
    err = (swl_err){0};
    assert_int_equal(swl_pulley_find_island(&build, SWL_PULLEY_BLOWER, &none, NULL, 0, &island, &err), SWL_ERR_USAGE);
    swl_build_free(&build);
}

static void listed_best_is_among_the_listed(void **state)
{
    (void)state;
    swl_build build = test_build_load("maps/estate-roots.ini");
    const double d_m[] = {0.080, 0.104, 0.090};
    swl_pulley_island island;
    assert_int_equal(swl_pulley_find_island(&build, SWL_PULLEY_BLOWER, &even, d_m, 3, &island, NULL), SWL_OK);
    swl_near(0.104, island.listed.d_m, 1e-15);
    swl_near(mean_at(&build, SWL_PULLEY_BLOWER, &even, 0.104).eff_frac, island.listed.eff_frac, 1e-12);
    swl_near(mean_at(&build, SWL_PULLEY_BLOWER, &even, 0.092).eff_frac, island.own.eff_frac, 1e-12);
    swl_build_free(&build);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(flat_map_gives_its_efficiency),   cmocka_unit_test(mean_is_its_definition),
        cmocka_unit_test(weights_count_by_proportion),     cmocka_unit_test(found_is_the_best_of_a_plain_scan),
        cmocka_unit_test(either_pulley_gives_one_ratio),   cmocka_unit_test(ends_and_nothing_are_told),
        cmocka_unit_test(listed_best_is_among_the_listed),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
