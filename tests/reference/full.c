/* A second, different solution of the match. The equations of docs/model.md are solved unreduced, all seventeen
 * unknowns at once (full_model.h, full_solve.h), and every field of the library's point is held against them
 * (full_compare.h) over 1000 random builds, over maps that collapse, so that the flows balance more than once, over
 * coolers that choke, and over water circuits. Where the library says that there is no operating point, the pressure
 * ratio is scanned with the same equations.
 *
 * Source of every figure compared: docs/model.md, calculated here. Prints the worst deviation of each field and ends
 * with "N passed, N failed", a point each. */
#include "reference/full_compare.h"
#include "support/builds.h"

#include <gsl/gsl_errno.h>

enum {
    BUILDS = 1000,
    COLLAPSING_BUILDS = 150,
    CHOKED_COOLER_BUILDS = 100,
    CIRCUIT_BUILDS = 200,
    SPEEDS = 4,
    KIND_LEAST = 20
};
#define SEED 19901
#define COLLAPSING_SEED 443
#define CHOKED_COOLER_SEED 5631
#define CIRCUIT_SEED 7041

/* Both ends of the rev range and speeds between them that stand on no grid. */
static void try_build(full_solver *solver, const swl_build *build, test_random *speeds, const char *name, full_tally *t)
{
    full_trial at = {.solver = solver, .tally = t};
    const swl_engine *engine = &build->engine;
    at.model = full_model_new(build);
    at.match = test_match_new(build);
    for (int i = 0; i < SPEEDS; i++) {
        double share = i == 0 ? 0 : i == 1 ? 1 : test_uniform(speeds, 0, 1);
        double rpm = engine->speed_from_rpm + share * (engine->speed_limit_rpm - engine->speed_from_rpm);
        (void)snprintf(at.where, sizeof at.where, "%s, %.17g rpm", name, rpm);
        full_try_point(&at, rpm);
    }
    swl_match_free(at.match);
    full_model_free(at.model);
}

/* ---- the three series ---- */

static void count_errors(void *count, swl_severity severity, size_t row, const char *text)
{
    (void)row;
    (void)text;
    *(size_t *)count += severity == SWL_ERROR;
}

/* No cooler, and a map whose efficiency collapses at a pressure ratio; every figure is invented. */
static void collapse_map(test_random *random, swl_build *build)
{
    enum { LINES = 4, POINTS = 12 };
    swl_map_row rows[LINES * POINTS];
    size_t lines = swl_map_line_count(build->blower.map);
    double slow_rpm = swl_map_line_at(build->blower.map, 0).speed_rpm;
    double fast_rpm = swl_map_line_at(build->blower.map, lines - 1).speed_rpm;
    double leak = test_uniform(random, 0.005, 0.03);
    double at_ratio = test_uniform(random, 1.2, 1.9);
    double width = test_uniform(random, 0.02, 0.12);
    double least = test_uniform(random, 0.06, 0.25);
    size_t count = 0;
    for (int i = 0; i < LINES; i++) {
        double speed_rpm = slow_rpm + (fast_rpm - slow_rpm) * i / (LINES - 1);
        for (int k = 0; k < POINTS; k++) {
            double p_ratio = 0.9 + 0.18 * k;
            rows[count++] = (swl_map_row){.speed_rpm = speed_rpm,
                                          .p_ratio = p_ratio,
                                          .ev_frac = 0.95 - leak * p_ratio * slow_rpm / speed_rpm,
                                          .ea_frac = least + (0.7 - least) / (1 + exp((p_ratio - at_ratio) / width))};
        }
    }
    swl_map_free(build->blower.map);
    build->blower.map = swl_map_new(rows, count, NULL);
    build->cooler = (swl_cooler){0};
}

/* Returns: whether the map could come from a file. */
static bool map_valid(const swl_map *map)
{
    swl_map_row rows[TEST_MAP_ROWS];
    size_t count = 0;
    size_t errors = 0;
    for (size_t i = 0; i < swl_map_line_count(map); i++) {
        swl_map_line line = swl_map_line_at(map, i);
        for (size_t k = 0; k < line.count; k++) {
            rows[count] = (swl_map_row){line.speed_rpm, line.p_ratio[k], line.ev_frac[k], line.ea_frac[k], count};
            count++;
        }
    }
    swl_map_check(rows, count, false, count_errors, &errors);
    return errors == 0;
}

/* A cooler so narrow that its loss can take all the pressure there is. */
static void choke_cooler(test_random *random, swl_build *build)
{
    double engine_kg_s = build->engine.disp_m3 * build->engine.speed_limit_rpm / 120 * 1.2;
    build->cooler.effectiveness_frac = test_uniform(random, 0, 1);
    build->cooler.t_coolant_k = build->site.t_k + test_uniform(random, 0, 40);
    build->cooler.loss.dp_pa = test_uniform(random, 2e4, 1e5);
    build->cooler.loss.mdot_kg_s = engine_kg_s * test_uniform(random, 0.05, 0.6);
}

/* Every kind of core, pump and front exchanger that a file can describe. */
static void add_circuit(test_random *random, swl_build *build)
{
    swl_cooler *cooler = &build->cooler;
    double mdot_kg_s = build->engine.disp_m3 * build->engine.speed_limit_rpm / 120 * 1.6;
    double charge_w_k = 1005 * mdot_kg_s;
    const double flow_kg_s[] = {0.2 * mdot_kg_s, 0.6 * mdot_kg_s, 1.1 * mdot_kg_s};
    const double eff_frac[] = {test_uniform(random, 0.8, 0.95), test_uniform(random, 0.65, 0.8),
                               test_uniform(random, 0.5, 0.65)};
    int core = test_whole(random, 0, 3);
    cooler->effectiveness_frac = core == 0 ? test_uniform(random, 0.3, 0.9) : 0;
    cooler->effectiveness = core == 1 ? swl_curve_new(flow_kg_s, eff_frac, 3, NULL) : NULL;
    cooler->ua_w_k = core > 1 ? charge_w_k * test_uniform(random, 0.3, 5) : 0;
    cooler->passes = core > 1 ? test_whole(random, 1, 3) : 0;
    cooler->glycol_frac = test_chance(random, 0.5) ? test_uniform(random, 0.1, 0.6) : 0;
    cooler->coolant_m3_s = charge_w_k / 4e6 * test_uniform(random, core > 1 ? 0.3 : 1.2, 6);
    if (test_chance(random, 0.25)) {
        cooler->t_coolant_k = build->site.t_k + test_uniform(random, 0, 40);
        return;
    }
    cooler->t_coolant_k = 0;
    cooler->front_air_kg_s = mdot_kg_s * test_uniform(random, 1, 10);
    cooler->t_front_air_k = test_chance(random, 0.5) ? build->site.t_k + test_uniform(random, 0, 25) : 0;
    if (test_chance(random, 0.5)) {
        cooler->front_effectiveness_frac = test_uniform(random, 0.2, 0.9);
    } else {
        cooler->front_ua_w_k = charge_w_k * test_uniform(random, 0.5, 6);
    }
}

typedef void change_build(test_random *random, swl_build *build);

static void series(full_solver *solver, uint64_t seed, size_t builds, change_build *change, full_tally *t)
{
    test_random random = {seed};
    test_random speeds = {seed + 1};
    full_tally_init(t);
    for (size_t b = 0; b < builds; b++) {
        char name[40];
        swl_build build = test_build_random(&random);
        if (change != NULL) {
            change(&random, &build);
        }
        (void)snprintf(name, sizeof name, "seed %d build %zu", (int)seed, b);
        if (map_valid(build.blower.map)) {
            try_build(solver, &build, &speeds, name, t);
        } else {
            printf("%s: the map is not valid\n", name);
            t->failed++;
        }
        swl_build_free(&build);
    }
}

/* ---- the report ---- */

static void print_counts(const char *name, const full_tally *t)
{
    printf("%s: %zu points\n", name, t->points);
    printf(
        "  solved %zu, outside the air properties %zu; blower too small %zu, engine too small %zu, cooler loss %zu\n",
        t->solved, t->refused, t->too_small_blower, t->too_small_engine, t->cooler_loss);
    printf(
        "  of the solved: choked %zu, throttled %zu, no throttle body %zu; below ratio 1 %zu; inside the map %zu, "
        "outside %zu;\n    with cooler %zu, without %zu; below the dew point %zu; VE held %zu; efficiency from shaft "
        "power %zu, from temperature rise %zu\n",
        t->choked, t->throttled, t->open, t->below_one, t->inside, t->outside, t->cooled, t->uncooled, t->wet, t->held,
        t->from_power, t->from_rise);
    printf("  reference: from ratio 1.4 %zu, from the scanned ratio %zu, from the scanned state %zu, not reached %zu; "
           "largest residual %.1e\n",
           t->plain, t->scanned, t->stepped, t->unreached, t->left);
    printf("  several balances %zu, of which told %zu; a higher one taken than the "
           "lowest %zu, none seen where there are some %zu\n",
           t->several, t->several_told, t->not_lowest, t->none_seen);
    printf("  largest |m - m_e|/m that the library left %.1e\n", t->balance);
}

static void print_fields(const full_tally *random, const full_tally *collapsing, const full_tally *coolers,
                         const full_tally *circuits)
{
    static const char *const scales[] = {"own value", "own, at least 0.01 p0", "own, at least 0.01 m cp T1",
                                         "own, at least 0.01 m cp T1/w"};
    printf("\n%-16s %-29s %10s %10s %10s %10s  worst of the random builds at\n", "field", "share of", "random",
           "collapsing", "coolers", "circuits");
    for (size_t i = 0; i < FULL_FIELDS; i++) {
        const full_field *f = &random->fields[i];
        printf("%-16s %-29s %10.1e %10.1e %10.1e %10.1e  %s\n", f->name, scales[f->scale], f->worst,
               collapsing->fields[i].worst, coolers->fields[i].worst, circuits->fields[i].worst, f->where);
    }
}

/* The series are worth something only when every part of the model was in them. Returns: how many kinds are missing. */
static size_t missing_kinds(const full_tally *t, const full_tally *collapsing, const full_tally *coolers,
                            const full_tally *circuits)
{
    const size_t seen[] = {t->choked,
                           t->throttled,
                           t->open,
                           t->below_one,
                           t->inside,
                           t->outside,
                           t->cooled,
                           t->uncooled,
                           t->wet,
                           t->held,
                           t->from_power,
                           t->from_rise,
                           t->too_small_blower,
                           t->too_small_engine,
                           t->refused,
                           collapsing->several,
                           coolers->solved,
                           coolers->cooler_loss,
                           circuits->looped,
                           circuits->by_ua,
                           circuits->by_curve};
    size_t missing = 0;
    for (size_t i = 0; i < sizeof seen / sizeof seen[0]; i++) {
        if (seen[i] < KIND_LEAST) {
            printf("kind %zu of point came up %zu times only\n", i, seen[i]);
            missing++;
        }
    }
    return missing;
}

int main(void)
{
    static full_tally random;
    static full_tally collapsing;
    static full_tally coolers;
    static full_tally circuits;
    full_solver *solver = full_solver_new();
    (void)gsl_set_error_handler_off();
    series(solver, SEED, BUILDS, NULL, &random);
    series(solver, COLLAPSING_SEED, COLLAPSING_BUILDS, collapse_map, &collapsing);
    series(solver, CHOKED_COOLER_SEED, CHOKED_COOLER_BUILDS, choke_cooler, &coolers);
    series(solver, CIRCUIT_SEED, CIRCUIT_BUILDS, add_circuit, &circuits);
    full_solver_free(solver);
    print_counts("random builds", &random);
    print_counts("collapsing maps without cooler", &collapsing);
    print_counts("choked coolers", &coolers);
    print_counts("water circuits", &circuits);
    print_fields(&random, &collapsing, &coolers, &circuits);
    size_t passed = random.passed + collapsing.passed + coolers.passed + circuits.passed;
    size_t failed = random.failed + collapsing.failed + coolers.failed + circuits.failed +
                    missing_kinds(&random, &collapsing, &coolers, &circuits);
    printf("full set: %zu passed, %zu failed\n", passed, failed);
    return failed > 0;
}
