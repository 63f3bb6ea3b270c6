/* The operating point against the model's own equations, written out again here. */
#include "support/builds.h"

#include <stdlib.h>
#include <string.h>

static const char *const demo_files[] = {"maps/estate-roots.ini", "maps/estate-screw.ini"};
enum { DEMOS = 2, RANDOM_BUILDS = 400, RANDOM_SPEEDS = 12 };
#define RANDOM_SEED 20u

/* Where a sweep stands, for its messages. */
static char context[240];

static void near_at(const char *what, double want, double got, double scale, double tolerance)
{
    char row[320];
    (void)snprintf(row, sizeof row, "%s: %s", context, what);
    swl_near_row(row, want, got, tolerance * fabs(scale));
}

static void holds(const char *what, bool truth)
{
    if (!truth) {
        fail_msg("%s: %s does not hold", context, what);
    }
}

/* ---- a second statement of the model -------------------------------------------------------------------- */

/* m sqrt(R T)/(Cd A p). Source: Heywood (1988), appendix C, eq. C.8. */
static double phi(double r, double g)
{
    return pow(r, 1 / g) * sqrt(2 * g / (g - 1) * (1 - pow(r, (g - 1) / g)));
}

/* Its maximum. Source: Heywood (1988), appendix C, eq. C.9, which states it without the pressure ratio. */
static double phi_max(double g)
{
    return sqrt(g) * pow(2 / (g + 1), (g + 1) / (2 * (g - 1)));
}

/* The pressure ratio, above the critical one, at which phi has a value: bisection. */
static double phi_inverse(double value, double g)
{
    double low = pow(2 / (g + 1), g / (g - 1));
    double high = 1;
    for (int i = 0; i < 200; i++) {
        double middle = (low + high) / 2;
        if (phi(middle, g) > value) {
            low = middle;
        } else {
            high = middle;
        }
    }
    return (low + high) / 2;
}

/* Pressure drop of a loss entered at 1.2 kg/m3. Source: the project's model, step 5. */
static double drop_pa(swl_loss loss, double mdot_kg_s, double rho_kg_m3)
{
    if (!(loss.dp_pa > 0)) {
        return 0;
    }
    double share = mdot_kg_s / loss.mdot_kg_s;
    return loss.dp_pa * share * share * 1.2 / rho_kg_m3;
}

/* Source: Heywood (1988), section 6.2.1, eq. 5.38, gamma 1.4. */
static double ideal_ve(double r, double exhaust_ratio)
{
    return r / (r - 1) - 1 / (1.4 * (r - 1)) * (exhaust_ratio + 0.4);
}

static void check_finite(const swl_point *point)
{
    double values[offsetof(swl_point, map_where) / sizeof(double)];
    memcpy(values, point, sizeof values);
    for (size_t i = 0; i < sizeof values / sizeof values[0]; i++) {
        if (!isfinite(values[i])) {
            fail_msg("%s: the member at place %zu is %g", context, i, values[i]);
        }
    }
}

static void check_drive(const swl_build *build, const swl_point *p)
{
    const swl_drive *drive = &build->drive;
    const swl_blower *blower = &build->blower;
    double twice_b = 2 * drive->line_differential_m;
    double shaft_rpm = p->engine_rpm * (1 - drive->slip_frac) * drive->jackshaft_ratio * (drive->d_crank_m + twice_b) /
                       (drive->d_blower_m + twice_b);
    near_at("blower speed", shaft_rpm * blower->gear_ratio, p->blower_rpm, p->blower_rpm, 1e-12);
    double corrected_rpm = p->blower_rpm * sqrt(blower->t_map_k / p->t1_k);
    near_at("corrected speed", corrected_rpm, p->corrected_rpm, corrected_rpm, 1e-12);
    near_at("torque", p->p_shaft_w, p->torque_nm * shaft_rpm * 2 * TEST_PI / 60, p->p_shaft_w, 1e-12);
}

static void check_map(const swl_build *build, swl_map_reader *reader, const swl_point *p)
{
    const swl_blower *blower = &build->blower;
    swl_map_reading reading = swl_map_read(blower->map, reader, p->corrected_rpm, p->p_ratio);
    near_at("map's volumetric efficiency", reading.ev_frac, p->ev_frac, 1, 1e-13);
    near_at("map's adiabatic efficiency", reading.ea_frac, p->ea_frac, 1, 1e-13);
    near_at("inlet volume flow", p->ev_frac * blower->disp_m3_rev * p->blower_rpm / 60, p->vdot1_m3_s, p->vdot1_m3_s,
            1e-12);
    near_at("volume flow on the map", p->vdot1_m3_s * p->corrected_rpm / p->blower_rpm, p->map_vdot_m3_s, p->vdot1_m3_s,
            1e-12);
    bool inside = false;
    for (size_t i = 0; i + 1 < swl_map_line_count(blower->map); i++) {
        swl_map_line slow = swl_map_line_at(blower->map, i);
        swl_map_line fast = swl_map_line_at(blower->map, i + 1);
        inside = inside || (p->corrected_rpm > slow.speed_rpm && p->corrected_rpm < fast.speed_rpm &&
                            p->p_ratio >= slow.p_ratio[0] && p->p_ratio >= fast.p_ratio[0] &&
                            p->p_ratio <= slow.p_ratio[slow.count - 1] && p->p_ratio <= fast.p_ratio[fast.count - 1]);
    }
    holds("inside between two lines that cover the ratio", inside == (p->map_where == SWL_MAP_INSIDE));
}

static void check_intake(const swl_build *build, const swl_air *air, const swl_point *p)
{
    const swl_site *site = &build->site;
    const swl_intake *intake = &build->intake;
    near_at("heat pick-up", site->t_k + intake->heat_pickup_k, p->t1_k, p->t1_k, 1e-14);
    double rho0_kg_m3 = site->p_pa / (air->r_j_kg_k * site->t_k);
    near_at("duct loss", drop_pa(intake->loss, p->mdot_kg_s, rho0_kg_m3), site->p_pa - p->p_t_pa, site->p_pa, 1e-12);
    near_at("gas law at the blower", p->p1_pa * p->vdot1_m3_s, p->mdot_kg_s * air->r_j_kg_k * p->t1_k,
            p->p1_pa * p->vdot1_m3_s, 1e-12);
    if (isnan(intake->bore_m)) {
        near_at("no throttle body", p->p_t_pa, p->p1_pa, p->p_t_pa, 1e-14);
        holds("no throttle, not choked", !p->choked);
        return;
    }
    double g = swl_air_gamma(air, site->t_k);
    double area_m2 = intake->throttle_count * TEST_PI * intake->bore_m * intake->bore_m / 4;
    double unit_kg_s = intake->discharge_coefficient * area_m2 * p->p_t_pa / sqrt(air->r_j_kg_k * site->t_k);
    double r = p->p1_pa / p->p_t_pa;
    holds("choked at and below the critical ratio only", p->choked == (r <= pow(2 / (g + 1), g / (g - 1))));
    double flow = p->choked ? phi_max(g) : phi(r, g);
    near_at("throttle flow from pressures", flow * unit_kg_s, p->mdot_kg_s, p->mdot_kg_s, 1e-9);
    if (!p->choked) {
        near_at("throttle pressures from flow", phi_inverse(p->mdot_kg_s / unit_kg_s, g), r, 1, 1e-9);
    }
}

static void check_compression(const swl_build *build, const swl_air *air, const swl_point *p)
{
    const swl_blower *blower = &build->blower;
    near_at("pressure ratio", p->p_ratio * p->p1_pa, p->p2_pa, p->p2_pa, 1e-14);
    double entropy = swl_air_s0_j_kg_k(air, p->t2s_k) - swl_air_s0_j_kg_k(air, p->t1_k);
    near_at("isentropic temperature", air->r_j_kg_k * log(p->p_ratio), entropy, air->r_j_kg_k, 1e-9);
    double h1_j_kg = swl_air_h_j_kg(air, p->t1_k);
    double rise_j_kg = swl_air_h_j_kg(air, p->t2_k) - h1_j_kg;
    double ideal_j_kg = swl_air_h_j_kg(air, p->t2s_k) - h1_j_kg;
    /* Enthalpies are differences of numbers of some 1e5 J/kg, which bounds what a small rise can show. */
    double scale_w = fmax(fabs(p->p_shaft_w), p->mdot_kg_s * 1000);
    /* Friction takes from what goes in at the shaft, and from what comes out there when the air drives the blower. */
    double eta = p->p_ratio < 1 ? 1 / blower->mechanical_eff_frac : blower->mechanical_eff_frac;
    near_at("energy balance", p->p_shaft_w * eta, p->mdot_kg_s * rise_j_kg, scale_w, 1e-9);
    double spent_w = blower->efficiency_from == SWL_FROM_SHAFT_POWER ? p->p_shaft_w : p->mdot_kg_s * rise_j_kg;
    double want_w = p->mdot_kg_s * (p->p_ratio < 1 ? ideal_j_kg * p->ea_frac : ideal_j_kg / p->ea_frac);
    near_at("adiabatic efficiency", want_w, spent_w, scale_w, 1e-9);
}

static void check_cooler(const swl_build *build, const swl_air *air, const swl_point *p)
{
    const swl_cooler *cooler = &build->cooler;
    if (cooler->effectiveness_frac > 0) {
        near_at("cooler effectiveness", cooler->effectiveness_frac * (p->t2_k - cooler->t_coolant_k), p->t2_k - p->t3_k,
                p->t2_k, 1e-12);
    } else {
        near_at("no cooler", p->t2_k, p->t3_k, p->t2_k, 1e-14);
    }
    double rho2_kg_m3 = p->p2_pa / (air->r_j_kg_k * p->t2_k);
    near_at("cooler loss", drop_pa(cooler->loss, p->mdot_kg_s, rho2_kg_m3), p->p2_pa - p->p3_pa, p->p2_pa, 1e-12);
    near_at("boost", p->p3_pa - build->site.p_pa, p->boost_pa, p->p3_pa, 1e-14);
    double heat_w = p->mdot_kg_s * (swl_air_h_j_kg(air, p->t2_k) - swl_air_h_j_kg(air, p->t3_k));
    near_at("cooler heat", heat_w, p->q_cooler_w, p->mdot_kg_s * 1000, 1e-9);
    double vapour_pa = air->x_water * p->p3_pa;
    holds("dew point", p->below_dew_point == (vapour_pa > 0 && p->t3_k < swl_air_dew_point_k(air, p->p3_pa)));
}

static void check_engine(const swl_build *build, const swl_air *air, const swl_point *p)
{
    const swl_engine *engine = &build->engine;
    double back_pa = engine->back_pressure.dp_pa > 0
                         ? engine->back_pressure.dp_pa * pow(p->mdot_kg_s / engine->back_pressure.mdot_kg_s, 2)
                         : 0;
    near_at("exhaust pressure", build->site.p_pa + back_pa, p->p_e_pa, p->p_e_pa, 1e-12);
    double ve = swl_curve_at(engine->ve, p->engine_rpm);
    ve *= engine->ve_t_sqrt ? sqrt(p->t3_k / engine->t_ve_k) : 1;
    if (engine->ve_p_ideal) {
        ve *= ideal_ve(engine->compression_ratio, p->p_e_pa / p->p3_pa) /
              ideal_ve(engine->compression_ratio, engine->ve_p_exhaust_ratio);
    }
    near_at("engine's volumetric efficiency", ve, p->engine_ve_frac, 1, 1e-12);
    double rho3_kg_m3 = p->p3_pa / (air->r_j_kg_k * p->t3_k);
    near_at("mass balance", ve * rho3_kg_m3 * engine->disp_m3 * p->engine_rpm / 2 / 60, p->mdot_kg_s, p->mdot_kg_s,
            1e-9);
    near_at("balance left", 0, p->balance_frac, 1, 1e-9);
    size_t last = swl_curve_count(engine->ve) - 1;
    holds("curve held outside",
          p->ve_held == (p->engine_rpm < swl_curve_x(engine->ve)[0] || p->engine_rpm > swl_curve_x(engine->ve)[last]));
}

static void check_point(const swl_build *build, swl_map_reader *reader, const swl_point *p)
{
    swl_air air = swl_air_humid(build->site.t_k, build->site.p_pa, build->site.rh_frac);
    check_finite(p);
    check_drive(build, p);
    check_map(build, reader, p);
    check_intake(build, &air, p);
    check_compression(build, &air, p);
    check_cooler(build, &air, p);
    check_engine(build, &air, p);
}

/* A second solver: bisection on the balance. */
static double bisected_ratio(swl_match *match, double engine_rpm)
{
    double low = SWL_MATCH_RATIO_MIN;
    double high = SWL_MATCH_RATIO_MAX;
    while (high - low > 1e-13) {
        double middle = (low + high) / 2;
        if (middle <= low || middle >= high) {
            break;
        }
        if (swl_match_state(match, engine_rpm, middle).balance_frac > 0) {
            low = middle;
        } else {
            high = middle;
        }
    }
    return (low + high) / 2;
}

/* A failed point must carry the reason that is true. */
static void check_failed(swl_match *match, const swl_point *p)
{
    switch (p->end) {
    case SWL_MATCH_BLOWER_TOO_SMALL:
        holds("blower too small", swl_match_state(match, p->engine_rpm, SWL_MATCH_RATIO_MIN).balance_frac < 0);
        break;
    case SWL_MATCH_ENGINE_TOO_SMALL:
        holds("engine too small", swl_match_state(match, p->engine_rpm, SWL_MATCH_RATIO_MAX).balance_frac > 0);
        break;
    case SWL_MATCH_AIR_RANGE:
        holds("a temperature outside 200 to 1000 K", fmax(p->t2_k, p->t2s_k) > 1000 || fmin(p->t2s_k, p->t3_k) < 200);
        near_at("balance left", 0, p->balance_frac, 1, 1e-9);
        break;
    default:
        fail_msg("%s: ended with %d, %s", context, (int)p->end, swl_match_reason(p->end));
    }
}

typedef struct tally {
    size_t ends[SWL_MATCH_NOT_FINITE + 1];
    size_t inside, outside, choked, open, wet, vacuum, from_power, throttled, cooled, geared, slipping, high, dry;
} tally;

static void tally_point(tally *t, const swl_build *build, const swl_point *p)
{
    t->ends[p->end]++;
    if (p->end != SWL_MATCH_SOLVED) {
        return;
    }
    t->inside += p->map_where == SWL_MAP_INSIDE;
    t->outside += p->map_where != SWL_MAP_INSIDE;
    t->choked += p->choked;
    t->throttled += !isnan(build->intake.bore_m) && !p->choked;
    t->open += isnan(build->intake.bore_m) != 0;
    t->wet += p->below_dew_point;
    t->vacuum += p->p_ratio < 1;
    t->from_power += build->blower.efficiency_from == SWL_FROM_SHAFT_POWER;
    t->cooled += build->cooler.effectiveness_frac > 0;
    t->geared += build->blower.gear_ratio > 1;
    t->slipping += build->drive.slip_frac > 0;
    t->high += build->site.p_pa < 75000;
    t->dry += build->site.rh_frac <= 0;
}

static void sweep_build(const swl_build *build, size_t speeds, swl_map_reader *reader, tally *t)
{
    swl_match *match = test_match_new(build);
    const swl_engine *engine = &build->engine;
    for (size_t i = 0; i < speeds; i++) {
        double rpm = engine->speed_from_rpm +
                     (engine->speed_limit_rpm - engine->speed_from_rpm) * (double)i / (double)(speeds - 1);
        char named[sizeof context];
        (void)snprintf(named, sizeof named, "%s", context);
        size_t n = strlen(context);
        (void)snprintf(context + n, sizeof context - n, ", %.6g rpm", rpm);
        swl_point p = swl_match_point(match, rpm);
        tally_point(t, build, &p);
        if (p.end == SWL_MATCH_SOLVED) {
            check_point(build, reader, &p);
            near_at("a second solver", bisected_ratio(match, rpm), p.p_ratio, p.p_ratio, 1e-10);
        } else {
            check_failed(match, &p);
        }
        (void)snprintf(context, sizeof context, "%s", named);
    }
    swl_match_free(match);
}

static void demo_points(void **state)
{
    (void)state;
    tally t = {0};
    swl_map_reader *reader = swl_map_reader_new(NULL);
    for (size_t d = 0; d < DEMOS; d++) {
        swl_build build = test_build_load(demo_files[d]);
        (void)snprintf(context, sizeof context, "%s", demo_files[d]);
        sweep_build(&build, 99, reader, &t);
        swl_build_free(&build);
    }
    swl_map_reader_free(reader);
    assert_int_equal(t.ends[SWL_MATCH_SOLVED], 99 * DEMOS);
}

static void count_errors(void *count, swl_severity severity, size_t row, const char *text)
{
    (void)row;
    (void)text;
    *(size_t *)count += severity == SWL_ERROR;
}

/* The generator makes maps that a file could hold. */
static void check_map_valid(const swl_map *map)
{
    swl_map_row rows[TEST_MAP_ROWS];
    size_t count = 0;
    for (size_t i = 0; i < swl_map_line_count(map); i++) {
        swl_map_line line = swl_map_line_at(map, i);
        for (size_t k = 0; k < line.count; k++) {
            rows[count] = (swl_map_row){line.speed_rpm, line.p_ratio[k], line.ev_frac[k], line.ea_frac[k], count};
            count++;
        }
    }
    size_t errors = 0;
    swl_map_check(rows, count, false, count_errors, &errors);
    holds("a valid map", errors == 0);
}

static void random_points(void **state)
{
    (void)state;
    tally t = {0};
    test_random random = {RANDOM_SEED};
    swl_map_reader *reader = swl_map_reader_new(NULL);
    for (size_t b = 0; b < RANDOM_BUILDS; b++) {
        swl_build build = test_build_random(&random);
        (void)snprintf(context, sizeof context, "random build %zu (%s)", b, build.name);
        check_map_valid(build.blower.map);
        sweep_build(&build, RANDOM_SPEEDS, reader, &t);
        swl_build_free(&build);
    }
    swl_map_reader_free(reader);
    /* The sweep is worth something only when every part of the model was in it. */
    print_message("random builds: %zu points solved, %zu inside the map, %zu choked, %zu below ratio 1; "
                  "%zu blowers too small, %zu engines too small, %zu outside the air properties\n",
                  t.ends[SWL_MATCH_SOLVED], t.inside, t.choked, t.vacuum, t.ends[SWL_MATCH_BLOWER_TOO_SMALL],
                  t.ends[SWL_MATCH_ENGINE_TOO_SMALL], t.ends[SWL_MATCH_AIR_RANGE]);
    const size_t seen[] = {t.inside,    t.outside, t.choked, t.open,     t.wet,  t.vacuum, t.from_power,
                           t.throttled, t.cooled,  t.geared, t.slipping, t.high, t.dry};
    for (size_t i = 0; i < sizeof seen / sizeof seen[0]; i++) {
        if (seen[i] < 20) {
            fail_msg("kind %zu of point came up %zu times only", i, seen[i]);
        }
    }
    assert_true(t.ends[SWL_MATCH_SOLVED] > 3500);
    assert_true(t.ends[SWL_MATCH_BLOWER_TOO_SMALL] > 0 && t.ends[SWL_MATCH_ENGINE_TOO_SMALL] > 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(demo_points),
        cmocka_unit_test(random_points),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
