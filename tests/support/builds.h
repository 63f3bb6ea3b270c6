/* Invented builds made in memory: one plain, and as many random ones as a test wants. */
#ifndef TESTS_SUPPORT_BUILDS_H
#define TESTS_SUPPORT_BUILDS_H

#include "support/near.h"

#include "sweptline/check.h"
#include "sweptline/files.h"

#include <stdio.h>

#define TEST_PI 3.14159265358979323846

/* splitmix64. Source: G. L. Steele, D. Lea, C. H. Flood, Fast splittable pseudorandom number generators (2014). */
typedef struct test_random {
    uint64_t state;
} test_random;

static inline double test_uniform(test_random *random, double low, double high)
{
    random->state += 0x9E3779B97F4A7C15U;
    uint64_t z = random->state;
    z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9U;
    z = (z ^ (z >> 27)) * 0x94D049BB133111EBU;
    z ^= z >> 31;
    return low + (high - low) * ((double)(z >> 11) / 9007199254740992.0);
}

static inline bool test_chance(test_random *random, double share)
{
    return test_uniform(random, 0, 1) < share;
}

/* A whole number from low to high. */
static inline int test_whole(test_random *random, int low, int high)
{
    int n = low + (int)floor(test_uniform(random, 0, 1) * (high - low + 1));
    return n > high ? high : n;
}

enum { TEST_MAP_ROWS = 100 };

/* What a random map is drawn from; every figure is invented. */
typedef struct test_map_shape {
    double filling;
    double filling_fall; /* share of filling lost at the fastest line */
    double leak;         /* of the displacement at the slowest line and pressure ratio 2 */
    double best;         /* best adiabatic efficiency */
    double best_ratio;
} test_map_shape;

static inline swl_map_row test_map_row(const test_map_shape *shape, double slow_rpm, double fast_rpm, double speed_rpm,
                                       double p_ratio)
{
    double share = speed_rpm / fast_rpm;
    /* Efficiency stays above a third: in a worse map several pressure ratios can balance. */
    double off = (p_ratio - shape->best_ratio) / 3;
    double slow = share < 0.4 ? 0.4 - share : 0;
    return (swl_map_row){.speed_rpm = speed_rpm,
                         .p_ratio = p_ratio,
                         .ev_frac = shape->filling - shape->filling_fall * share * share -
                                    shape->leak * slow_rpm / speed_rpm * (p_ratio - 0.5) / 1.5,
                         .ea_frac = shape->best * exp(-off * off) * (1 - 0.5 * slow)};
}

/* Fills rows in the order a map wants. Returns: how many. */
static inline size_t test_map_rows(test_random *random, double slow_rpm, double fast_rpm, swl_map_row *rows)
{
    test_map_shape shape = {.filling = test_uniform(random, 0.88, 1.02),
                            .filling_fall = test_uniform(random, 0, 0.12),
                            .leak = test_uniform(random, 0.02, 0.3),
                            .best = test_uniform(random, 0.6, 0.88),
                            .best_ratio = test_uniform(random, 1.3, 1.9)};
    int lines = test_whole(random, 2, 9);
    size_t count = 0;
    for (int i = 0; i < lines; i++) {
        double speed_rpm = slow_rpm + (fast_rpm - slow_rpm) * i / (lines - 1);
        int points = test_whole(random, 1, 9);
        double low = test_uniform(random, 0.9, 1.15);
        double high = test_uniform(random, 1.7, 3.2);
        for (int k = 0; k < points; k++) {
            double p_ratio = points == 1 ? high : low + (high - low) * k / (points - 1);
            rows[count++] = test_map_row(&shape, slow_rpm, fast_rpm, speed_rpm, p_ratio);
        }
    }
    return count;
}

/* Reads a build from the disk; the test fails when it is refused. */
static inline swl_build test_build_load(const char *path)
{
    swl_source source = swl_source_disk();
    swl_build build;
    swl_diags diags = {0};
    swl_err err = {0};
    if (swl_build_load(&source, path, &build, &diags, &err) != SWL_OK) {
        fail_msg("%s: %s", path, err.text);
    }
    swl_diag_free(&diags);
    return build;
}

static inline swl_match *test_match_new(const swl_build *build)
{
    swl_err err = {0};
    swl_match *match = swl_match_new(build, &err);
    if (match == NULL) {
        fail_msg("%s", err.text);
    }
    return match;
}

/* Everything that is not given. */
static inline swl_build test_build_blank(void)
{
    return (swl_build){
        .name = "Invented",
        .site = {.t_k = 298.15, .p_pa = 99000, .altitude_m = NAN},
        .engine = {.ve_factor = 1,
                   .indicated_eff_frac = NAN,
                   .compression_ratio = NAN,
                   .t_ve_k = NAN,
                   .ve_p_exhaust_ratio = 1,
                   .lambda = NAN,
                   .known_power_w = NAN,
                   .known_power_speed_rpm = NAN,
                   .driveline_loss_frac = NAN},
        .intake = {.bore_m = NAN,
                   .adapter_bore_m = NAN,
                   .inlet_bore_m = NAN,
                   .throttle_count = 1,
                   .discharge_coefficient = 0.85},
        .drive = {.jackshaft_ratio = 1},
        .blower = {.name = "Invented unit",
                   .gear_ratio = 1,
                   .continuous_rpm = NAN,
                   .short_time_rpm = NAN,
                   .d_rotor_m = NAN,
                   .mechanical_eff_frac = 1,
                   .ev_factor = 1,
                   .ea_factor = 1,
                   .t_map_k = 298.15,
                   .p_map_pa = NAN},
        .limits = {.boost_pa = NAN,
                   .p_ratio = NAN,
                   .t_charge_k = NAN,
                   .t_discharge_k = NAN,
                   .p_drive_w = NAN,
                   .p_sensor_pa = NAN,
                   .mdot_sensor_kg_s = NAN,
                   .injector_duty_frac = NAN},
    };
}

/* A two-litre engine on a one-litre unit with a flat map and nothing else: no throttle body, no loss, no cooler, dry
 * air, no correction. ev_frac and ea_frac are those of the whole map. */
static inline swl_build test_build_plain(double ev_frac, double ea_frac)
{
    const swl_map_row rows[] = {{.speed_rpm = 1000, .p_ratio = 0.9, .ev_frac = ev_frac, .ea_frac = ea_frac},
                                {.speed_rpm = 1000, .p_ratio = 3.0, .ev_frac = ev_frac, .ea_frac = ea_frac},
                                {.speed_rpm = 20000, .p_ratio = 0.9, .ev_frac = ev_frac, .ea_frac = ea_frac},
                                {.speed_rpm = 20000, .p_ratio = 3.0, .ev_frac = ev_frac, .ea_frac = ea_frac}};
    const double speeds_rpm[] = {1000, 4000, 7000};
    const double ve_frac[] = {0.80, 0.90, 0.85};
    swl_build build = test_build_blank();
    build.engine.disp_m3 = 2.0e-3;
    build.engine.speed_from_rpm = 1000;
    build.engine.speed_step_rpm = 500;
    build.engine.speed_limit_rpm = 7000;
    build.engine.ve = swl_curve_new(speeds_rpm, ve_frac, 3, NULL);
    build.drive.d_crank_m = 0.150;
    build.drive.d_blower_m = 0.100;
    build.blower.disp_m3_rev = 1.0e-3;
    build.blower.map = swl_map_new(rows, 4, NULL);
    return build;
}

/* A drive of exactly 2 to 1 in binary numbers, so that a limit can be met to the last digit. */
static inline swl_build test_build_two_to_one(void)
{
    swl_build build = test_build_plain(0.92, 0.65);
    build.drive.d_crank_m = 0.250;
    build.drive.d_blower_m = 0.125;
    build.blower.disp_m3_rev = 0.8e-3;
    return build;
}

static inline swl_check test_check_run(const swl_build *build)
{
    swl_check check;
    swl_err err = {0};
    if (swl_check_run(build, &check, &err) != SWL_OK) {
        fail_msg("%s", err.text);
    }
    return check;
}

static inline void test_random_engine(test_random *random, swl_build *build)
{
    swl_engine *engine = &build->engine;
    double speeds_rpm[8];
    double ve_frac[8];
    engine->disp_m3 = test_uniform(random, 0.5e-3, 8e-3);
    engine->speed_from_rpm = test_uniform(random, 800, 2000);
    engine->speed_limit_rpm = test_uniform(random, 4000, 9000);
    engine->speed_step_rpm = test_uniform(random, 100, 1000);
    engine->over_rev_rpm = test_chance(random, 0.7) ? test_uniform(random, 100, 600) : 0;
    int points = test_whole(random, 1, 8);
    for (int i = 0; i < points; i++) {
        speeds_rpm[i] = 1200 + 700 * i + test_uniform(random, 0, 300);
        ve_frac[i] = test_uniform(random, 0.6, 1.05);
    }
    engine->ve = swl_curve_new(speeds_rpm, ve_frac, (size_t)points, NULL);
    engine->ve_t_sqrt = test_chance(random, 0.5);
    engine->t_ve_k = engine->ve_t_sqrt ? test_uniform(random, 273, 323) : (double)NAN;
    engine->ve_p_ideal = test_chance(random, 0.5);
    engine->compression_ratio = engine->ve_p_ideal ? test_uniform(random, 7, 13) : (double)NAN;
    engine->ve_p_exhaust_ratio = test_chance(random, 0.3) ? test_uniform(random, 0.9, 1.3) : 1;
}

static inline void test_random_site(test_random *random, swl_site *site)
{
    double altitude_m = test_chance(random, 0.3) ? test_uniform(random, 2000, 5000) : test_uniform(random, 0, 600);
    /* A thin atmosphere of one scale height is near enough for a site's pressure. */
    site->p_pa = 101325 * exp(-altitude_m / 8000);
    site->t_k = test_uniform(random, 243, 318);
    site->rh_frac = test_chance(random, 0.3) ? 0 : test_uniform(random, 0, 1);
}

/* over is the blower's swept volume over the engine's, mdot_kg_s about the flow at the rev limit. */
static inline void test_random_blower(test_random *random, swl_build *build, double over)
{
    swl_drive *drive = &build->drive;
    swl_blower *blower = &build->blower;
    drive->d_crank_m = test_uniform(random, 0.1, 0.22);
    drive->d_blower_m = test_uniform(random, 0.05, 0.14);
    drive->jackshaft_ratio = test_chance(random, 0.3) ? test_uniform(random, 0.6, 1.8) : 1;
    drive->line_differential_m = test_chance(random, 0.5) ? 0.002 : 0;
    drive->slip_frac = test_chance(random, 0.6) ? test_uniform(random, 0, 0.03) : 0;
    blower->gear_ratio = test_chance(random, 0.4) ? test_uniform(random, 1, 3) : 1;
    blower->mechanical_eff_frac = test_uniform(random, 0.8, 1);
    blower->efficiency_from = test_chance(random, 0.5) ? SWL_FROM_SHAFT_POWER : SWL_FROM_TEMPERATURE_RISE;
    blower->t_map_k = test_uniform(random, 280, 310);
    double twice_b = 2 * drive->line_differential_m;
    double ratio =
        (drive->d_crank_m + twice_b) / (drive->d_blower_m + twice_b) * blower->gear_ratio * drive->jackshaft_ratio;
    blower->disp_m3_rev = over * build->engine.disp_m3 / 2 / ratio;
    double top_rpm = ratio * build->engine.speed_limit_rpm;
    blower->continuous_rpm = test_chance(random, 0.8) ? top_rpm * test_uniform(random, 0.8, 1.3) : (double)NAN;
    blower->short_time_rpm = test_chance(random, 0.7) ? top_rpm * test_uniform(random, 1.3, 1.5) : (double)NAN;
    swl_map_row rows[TEST_MAP_ROWS];
    size_t count =
        test_map_rows(random, top_rpm * test_uniform(random, 0.1, 0.3), top_rpm * test_uniform(random, 0.8, 1.2), rows);
    blower->map = swl_map_new(rows, count, NULL);
}

static inline swl_loss test_random_loss(test_random *random, double mdot_kg_s, double most_pa)
{
    double share = test_uniform(random, 0.5, 1.5);
    return (swl_loss){.dp_pa = test_uniform(random, 100, most_pa), .mdot_kg_s = share * mdot_kg_s};
}

static inline void test_random_path(test_random *random, swl_build *build, double mdot_kg_s)
{
    swl_intake *intake = &build->intake;
    swl_cooler *cooler = &build->cooler;
    if (test_chance(random, 0.7)) {
        intake->throttle_count = test_whole(random, 1, 4);
        intake->discharge_coefficient = test_uniform(random, 0.7, 0.95);
        /* The flow without a throttle body over its choked flow, which is 0.04 p A/sqrt(T). */
        double share = test_chance(random, 0.2) ? test_uniform(random, 1.5, 4) : test_uniform(random, 0.15, 1.1);
        double area_m2 = mdot_kg_s * sqrt(build->site.t_k) / (0.04 * build->site.p_pa * share);
        intake->bore_m = sqrt(area_m2 * 4 / TEST_PI / (intake->discharge_coefficient * (double)intake->throttle_count));
    }
    if (test_chance(random, 0.7)) {
        intake->loss = test_random_loss(random, mdot_kg_s, 6000);
    }
    intake->heat_pickup_k = test_chance(random, 0.6) ? test_uniform(random, 0, 15) : 0;
    if (test_chance(random, 0.6)) {
        cooler->effectiveness_frac = test_uniform(random, 0.2, 1);
        cooler->t_coolant_k = build->site.t_k + test_uniform(random, -5, 40);
        cooler->loss = test_chance(random, 0.8) ? test_random_loss(random, mdot_kg_s, 15000) : (swl_loss){0};
    }
    if (test_chance(random, 0.7)) {
        build->engine.back_pressure = test_random_loss(random, mdot_kg_s, 40000);
    }
}

/* A build that a file could hold. One in ten has a blower far too small or too large for its engine. */
static inline swl_build test_build_random(test_random *random)
{
    swl_build build = test_build_blank();
    test_random_site(random, &build.site);
    test_random_engine(random, &build);
    double over = test_uniform(random, 0.8, 2.4);
    if (test_chance(random, 0.1)) {
        over = test_chance(random, 0.5) ? test_uniform(random, 0.05, 0.3) : test_uniform(random, 6, 20);
    }
    test_random_blower(random, &build, over);
    double engine_m3_s = build.engine.disp_m3 * build.engine.speed_limit_rpm / 120;
    double mdot_kg_s = over * engine_m3_s * build.site.p_pa / (287 * build.site.t_k);
    test_random_path(random, &build, mdot_kg_s);
    (void)snprintf(build.name, sizeof build.name, "Invented, blower %.2f of the engine", over);
    return build;
}

#endif
