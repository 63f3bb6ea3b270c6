/* The operating point at the edges of its range, under change, and over and over again. */
#include "support/builds.h"

#include <malloc.h>
#include <stdlib.h>
#include <string.h>

static const char *const demo_files[] = {"maps/estate-roots.ini", "maps/estate-screw.ini"};
enum { DEMOS = 2 };

/* ---- what a change of pulley does ---- */

static void grows(const char *file, const char *what, double rpm, double before, double after)
{
    if (!(after > before)) {
        fail_msg("%s at %g rpm: a smaller blower pulley takes %s from %.12g to %.12g", file, rpm, what, before, after);
    }
}

/* More blower speed brings more of everything. Source: calculated, the model's flows are monotone in it. */
static void smaller_pulley_gives_more(void **state)
{
    (void)state;
    enum { SPEEDS = 60 };
    for (size_t d = 0; d < DEMOS; d++) {
        swl_build build = test_build_load(demo_files[d]);
        swl_match *match = test_match_new(&build);
        double given_m = build.drive.d_blower_m;
        swl_point before[SPEEDS] = {0};
        size_t compared = 0;
        for (int cut = 0; cut <= 60; cut++) {
            build.drive.d_blower_m = given_m * (1.35 - 0.01 * cut);
            swl_match_set(match, &build);
            for (size_t i = 0; i < SPEEDS; i++) {
                double rpm = 1500 + 4900 * (double)i / (SPEEDS - 1);
                swl_point p = swl_match_point(match, rpm);
                assert_int_equal(p.end, SWL_MATCH_SOLVED);
                if (cut > 0 && p.map_where == SWL_MAP_INSIDE && before[i].map_where == SWL_MAP_INSIDE) {
                    grows(demo_files[d], "boost", rpm, before[i].boost_pa, p.boost_pa);
                    grows(demo_files[d], "discharge temperature", rpm, before[i].t2_k, p.t2_k);
                    grows(demo_files[d], "drive power", rpm, before[i].p_shaft_w, p.p_shaft_w);
                    grows(demo_files[d], "mass flow", rpm, before[i].mdot_kg_s, p.mdot_kg_s);
                    grows(demo_files[d], "pressure ratio", rpm, before[i].p_ratio, p.p_ratio);
                    compared++;
                }
                before[i] = p;
            }
        }
        assert_true(compared > 1000);
        swl_match_free(match);
        swl_build_free(&build);
    }
}

/* ---- a build that can be worked out by hand ---- */

/* The flat map and the bare engine leave p2/p1 = c T2/T1, c = 2 ev D ratio/(ve Vd), with T2 by the enthalpies.
 * Source: calculated from the model, by bisection here. */
static double plain_ratio(const swl_air *air, double c, double t1_k, double ea_frac)
{
    double low = 1;
    double high = 8;
    double h1_j_kg = swl_air_h_j_kg(air, t1_k);
    for (int i = 0; i < 100; i++) {
        double r = (low + high) / 2;
        double t2s_k = swl_air_t_isentropic_k(air, t1_k, r);
        double h2_j_kg = h1_j_kg + (swl_air_h_j_kg(air, t2s_k) - h1_j_kg) / ea_frac;
        double t2_k = swl_air_t_of_h_k(air, h2_j_kg, t2s_k);
        if (r < c * t2_k / t1_k) {
            low = r;
        } else {
            high = r;
        }
    }
    return (low + high) / 2;
}

static void bare_build(void **state)
{
    (void)state;
    swl_build build = test_build_plain(0.92, 0.65);
    swl_match *match = test_match_new(&build);
    const swl_air *air = swl_match_air(match);
    /* No throttle body, no loss, no cooler, dry air: nothing is lost and nothing is cooled. */
    assert_true(air->x_water == 0);
    /* R of the dry air stated in the model, from its molar mass 28.9646 g/mol (CIPM-2007 gives 28.96546). */
    swl_near(287.05, air->r_j_kg_k, 1e-4);
    const double speeds_rpm[] = {1000, 2500, 4000, 7000};
    for (size_t i = 0; i < 4; i++) {
        swl_point p = swl_match_point(match, speeds_rpm[i]);
        assert_int_equal(p.end, SWL_MATCH_SOLVED);
        assert_true(p.p_t_pa == 99000 && p.p1_pa == 99000 && p.t1_k == 298.15);
        assert_true(p.t3_k == p.t2_k && p.p3_pa == p.p2_pa && p.p_e_pa == 99000);
        assert_false(p.choked || p.below_dew_point || p.ve_held);
        double ve_frac = swl_curve_at(build.engine.ve, speeds_rpm[i]);
        double c = 2 * 0.92 * 1.0e-3 * 1.5 / (ve_frac * 2.0e-3);
        swl_near(plain_ratio(air, c, 298.15, 0.65), p.p_ratio, 1e-10);
    }
    swl_match_free(match);
    swl_build_free(&build);
}

/* A blower that moves just what the engine takes raises no pressure: ev D ratio = ve Vd/2. */
static void even_build_makes_no_boost(void **state)
{
    (void)state;
    swl_build build = test_build_plain(0.90, 0.65);
    build.drive.d_blower_m = build.drive.d_crank_m;
    swl_match *match = test_match_new(&build);
    swl_point p = swl_match_point(match, 4000);
    assert_int_equal(p.end, SWL_MATCH_SOLVED);
    swl_near(1, p.p_ratio, 1e-11);
    swl_near_abs(0, p.boost_pa, 1e-6);
    swl_near_abs(0, p.p_shaft_w, 1e-5);
    swl_near(298.15, p.t2_k, 1e-11);
    swl_match_free(match);
    swl_build_free(&build);
}

/* ---- the throttle body ---- */

/* Choked flow: Cd A p phi_max/sqrt(R T0), phi_max = sqrt(g) (2/(g+1))^((g+1)/(2(g-1))).
 * Source: Heywood (1988), appendix C, eq. C.9. */
static void tiny_throttle_chokes(void **state)
{
    (void)state;
    swl_build build = test_build_plain(0.92, 0.65);
    build.intake.bore_m = 0.013;
    build.intake.throttle_count = 2;
    build.intake.discharge_coefficient = 0.8;
    swl_match *match = test_match_new(&build);
    const swl_air *air = swl_match_air(match);
    double g = swl_air_gamma(air, 298.15);
    double area_m2 = 2 * TEST_PI / 4 * 0.013 * 0.013;
    double choked_kg_s =
        0.8 * area_m2 * 99000 / sqrt(air->r_j_kg_k * 298.15) * sqrt(g) * pow(2 / (g + 1), (g + 1) / (2 * (g - 1)));
    for (double rpm = 5000; rpm <= 7000; rpm += 500) {
        swl_point p = swl_match_point(match, rpm);
        assert_int_equal(p.end, SWL_MATCH_SOLVED);
        assert_true(p.choked);
        assert_true(p.p1_pa < 0.53 * p.p_t_pa);
        swl_near(choked_kg_s, p.mdot_kg_s, 1e-12);
    }
    /* At idle the same bore is open enough. */
    swl_point slow = swl_match_point(match, 1000);
    assert_int_equal(slow.end, SWL_MATCH_SOLVED);
    assert_false(slow.choked);
    assert_true(slow.mdot_kg_s < 0.9 * choked_kg_s);
    swl_match_free(match);
    swl_build_free(&build);
}

/* A wider bore tends to no throttle body at all. */
static void wide_throttle_is_none(void **state)
{
    (void)state;
    swl_build build = test_build_plain(0.92, 0.65);
    swl_match *match = test_match_new(&build);
    swl_point none = swl_match_point(match, 6000);
    double loss_pa = INFINITY;
    for (double bore_m = 0.05; bore_m < 3; bore_m *= 2) {
        build.intake.bore_m = bore_m;
        swl_match_set(match, &build);
        swl_point p = swl_match_point(match, 6000);
        assert_int_equal(p.end, SWL_MATCH_SOLVED);
        assert_true(none.p1_pa - p.p1_pa < loss_pa / 8 && p.p1_pa < none.p1_pa);
        loss_pa = none.p1_pa - p.p1_pa;
    }
    /* The drop goes with the fourth power of the bore. */
    assert_true(loss_pa < 0.01);
    swl_match_free(match);
    swl_build_free(&build);
}

/* ---- ends without a point ---- */

static swl_point point_of(const swl_build *build, double rpm)
{
    swl_match *match = test_match_new(build);
    swl_point p = swl_match_point(match, rpm);
    swl_match_free(match);
    return p;
}

static void ends_have_their_names(void **state)
{
    (void)state;
    /* A hundredth of what the engine takes cannot be raised from pressure ratio 0.3. */
    swl_build build = test_build_plain(0.92, 0.65);
    build.blower.disp_m3_rev = 1e-5;
    assert_int_equal(point_of(&build, 4000).end, SWL_MATCH_BLOWER_TOO_SMALL);
    /* Twenty times as much is more than the engine takes at pressure ratio 8. */
    build.blower.disp_m3_rev = 20e-3;
    assert_int_equal(point_of(&build, 4000).end, SWL_MATCH_ENGINE_TOO_SMALL);
    swl_build_free(&build);
    /* Pressure ratio 7 at 30 %: the rise of 298 K (7^0.286 - 1)/0.3 is more than 700 K. */
    build = test_build_plain(0.92, 0.30);
    build.blower.disp_m3_rev = 1.4e-3;
    swl_point hot = point_of(&build, 4000);
    assert_int_equal(hot.end, SWL_MATCH_AIR_RANGE);
    assert_true(hot.t2_k > 1000 && hot.p_ratio < 8);
    /* What no reader lets through must still end with a name. */
    build.site.t_k = (double)NAN;
    assert_int_equal(point_of(&build, 4000).end, SWL_MATCH_NOT_FINITE);
    build.site.t_k = 298.15;
    build.site.p_pa = INFINITY;
    assert_int_equal(point_of(&build, 4000).end, SWL_MATCH_NOT_FINITE);
    swl_build_free(&build);
}

/* One step inside and outside of the bracket's ends, where p2/p1 = c T2/T1 turns. */
static void ends_stand_at_the_bracket(void **state)
{
    (void)state;
    swl_build build = test_build_plain(0.92, 0.65);
    const double ends_ratio[] = {SWL_MATCH_RATIO_MIN, SWL_MATCH_RATIO_MAX};
    const swl_match_end names[] = {SWL_MATCH_BLOWER_TOO_SMALL, SWL_MATCH_ENGINE_TOO_SMALL};
    for (int k = 0; k < 2; k++) {
        /* The displacement that balances at the end of the bracket: the flow goes with it. */
        swl_match *match = test_match_new(&build);
        double share = 1 - swl_match_state(match, 4000, ends_ratio[k]).balance_frac;
        swl_match_free(match);
        double even_m3 = build.blower.disp_m3_rev * share;
        double given_m3 = build.blower.disp_m3_rev;
        double outside = k == 0 ? 0.9999 : 1.0001;
        build.blower.disp_m3_rev = even_m3 * outside;
        assert_int_equal(point_of(&build, 4000).end, names[k]);
        build.blower.disp_m3_rev = even_m3 / outside;
        swl_point p = point_of(&build, 4000);
        assert_true(p.end == SWL_MATCH_SOLVED || p.end == SWL_MATCH_AIR_RANGE);
        swl_near(ends_ratio[k], p.p_ratio, 1e-3);
        build.blower.disp_m3_rev = given_m3;
    }
    swl_build_free(&build);
}

static void every_end_has_words(void **state)
{
    (void)state;
    for (int a = SWL_MATCH_SOLVED; a <= SWL_MATCH_NOT_FINITE; a++) {
        const char *words = swl_match_reason((swl_match_end)a);
        assert_non_null(words);
        assert_true(strlen(words) > 5 && strcmp(words, "unknown") != 0);
        for (int b = SWL_MATCH_SOLVED; b < a; b++) {
            assert_string_not_equal(words, swl_match_reason((swl_match_end)b));
        }
    }
}

/* ---- more than one balance ---- */

/* A unit whose efficiency falls away fast heats the air more than it packs it, so that what the engine takes goes
 * down and up again with the pressure ratio: here it balances near 1.2, near 1.8 and far beyond the map. An engine
 * comes up from pressure ratio 1 and stays at the first; the others lie where the map's edge is only held. */
static void the_lowest_balance_is_taken(void **state)
{
    (void)state;
    const double ratios[] = {1.1, 1.3, 1.5, 1.7, 1.9, 2.1};
    const double ea_frac[] = {0.60, 0.55, 0.45, 0.34, 0.24, 0.17};
    const double displacements_m3[] = {1.03e-3, 1.05e-3, 1.07e-3};
    swl_map_row rows[12];
    for (size_t i = 0; i < 12; i++) {
        rows[i] = (swl_map_row){.speed_rpm = i < 6 ? 1000 : 6000,
                                .p_ratio = ratios[i % 6],
                                .ev_frac = 0.92 - 0.01 * (double)(i % 6),
                                .ea_frac = ea_frac[i % 6]};
    }
    swl_build build = test_build_plain(0.9, 0.6);
    swl_map_free(build.blower.map);
    build.blower.map = swl_map_new(rows, 12, NULL);
    build.drive.d_blower_m = build.drive.d_crank_m;
    for (size_t d = 0; d < 3; d++) {
        build.blower.disp_m3_rev = displacements_m3[d];
        swl_match *match = test_match_new(&build);
        double first = 0;
        size_t balances = 0;
        bool before = true;
        for (double r = SWL_MATCH_RATIO_MIN; r < SWL_MATCH_RATIO_MAX; r += 0.01) {
            bool spare = swl_match_state(match, 3000, r).balance_frac > 0;
            first = spare != before && balances == 0 ? r : first;
            balances += spare != before;
            before = spare;
        }
        assert_int_equal(balances, 3);
        swl_point p = swl_match_point(match, 3000);
        assert_int_equal(p.end, SWL_MATCH_SOLVED);
        swl_near_abs(first - 0.005, p.p_ratio, 0.0051);
        assert_int_equal(p.map_where, SWL_MAP_INSIDE);
        swl_match_free(match);
    }
    swl_build_free(&build);
}

/* ---- over and over again ---- */

/* All doubles stand before map_where, so there are no bytes between them. */
static bool same_bits(const swl_point *a, const swl_point *b)
{
    return memcmp(a, b, offsetof(swl_point, map_where)) == 0 && a->map_where == b->map_where &&
           a->ve_held == b->ve_held && a->choked == b->choked && a->below_dew_point == b->below_dew_point &&
           a->evaluations == b->evaluations && a->end == b->end;
}

static void solves_are_the_same_every_time(void **state)
{
    (void)state;
    enum { SOLVES = 10000, SPEEDS = 8 };
    swl_build build = test_build_load(demo_files[0]);
    swl_build other = test_build_load(demo_files[1]);
    swl_match *match = test_match_new(&build);
    swl_point first[SPEEDS];
    for (size_t i = 0; i < SPEEDS; i++) {
        first[i] = swl_match_point(match, 1500 + 700 * (double)i);
    }
    assert_false(same_bits(&first[0], &first[1]));
    for (size_t n = 0; n < SOLVES; n++) {
        size_t i = (n * 5) % SPEEDS;
        swl_point p = swl_match_point(match, 1500 + 700 * (double)i);
        if (!same_bits(&p, &first[i])) {
            fail_msg("solve %zu at %g rpm differs from the first", n, p.engine_rpm);
        }
    }
    /* To another build and back. */
    swl_match_set(match, &other);
    swl_point between = swl_match_point(match, 1500);
    assert_false(same_bits(&between, &first[0]));
    swl_point fresh = point_of(&other, 1500);
    assert_true(same_bits(&between, &fresh));
    swl_match_set(match, &build);
    for (size_t i = 0; i < SPEEDS; i++) {
        swl_point p = swl_match_point(match, 1500 + 700 * (double)i);
        assert_true(same_bits(&p, &first[i]));
    }
    swl_match_free(match);
    swl_build_free(&build);
    swl_build_free(&other);
}

/* ---- no allocation inside a solve ---- */

#if defined(__has_feature)
#if __has_feature(address_sanitizer)
#define OWN_MALLOC_TAKEN
#endif
#endif
#if defined(__SANITIZE_ADDRESS__) || !defined(__GLIBC__)
#define OWN_MALLOC_TAKEN
#endif

static size_t allocations;

#ifndef OWN_MALLOC_TAKEN
/* glibc's own names behind its allocator; these here stand before them for the whole test program. */
extern void *__libc_malloc(size_t size);
extern void *__libc_calloc(size_t count, size_t size);
extern void *__libc_realloc(void *old, size_t size);

void *malloc(size_t size)
{
    allocations++;
    return __libc_malloc(size);
}

void *calloc(size_t count, size_t size)
{
    allocations++;
    return __libc_calloc(count, size);
}

void *realloc(void *old, size_t size)
{
    allocations++;
    return __libc_realloc(old, size);
}
#endif

static void solves_do_not_allocate(void **state)
{
    (void)state;
    swl_build build = test_build_load(demo_files[0]);
    swl_build other = test_build_load(demo_files[1]);
    allocations = 0;
    swl_match *match = test_match_new(&build);
    bool counted = allocations > 0;
    size_t held_before = mallinfo2().uordblks;
    allocations = 0;
    double sum = 0;
    for (size_t i = 0; i < 1000; i++) {
        swl_match_set(match, i % 2 == 0 ? &other : &build);
        sum += swl_match_point(match, 1500 + (double)i).mdot_kg_s;
        sum += swl_match_state(match, 1500 + (double)i, 1.5).mdot_kg_s;
        sum += swl_match_map_state(match, 5000 + (double)i, 1.5).t2_k;
    }
    size_t made = allocations;
    size_t held_after = mallinfo2().uordblks;
    assert_true(isfinite(sum));
    assert_int_equal(made, 0);
    assert_int_equal(held_before, held_after);
    swl_match_free(match);
    swl_build_free(&build);
    swl_build_free(&other);
    if (!counted) {
        print_message("allocations are not counted here: another allocator stands in front\n");
        skip();
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(smaller_pulley_gives_more),   cmocka_unit_test(bare_build),
        cmocka_unit_test(even_build_makes_no_boost),   cmocka_unit_test(tiny_throttle_chokes),
        cmocka_unit_test(wide_throttle_is_none),       cmocka_unit_test(ends_have_their_names),
        cmocka_unit_test(ends_stand_at_the_bracket),   cmocka_unit_test(every_end_has_words),
        cmocka_unit_test(the_lowest_balance_is_taken), cmocka_unit_test(solves_are_the_same_every_time),
        cmocka_unit_test(solves_do_not_allocate),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
