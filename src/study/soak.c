#include "sweptline/soak.h"

#include "sweptline/coolant.h"

#include "base/gsl_quiet.h"

#include <gsl/gsl_errno.h>
#include <gsl/gsl_odeiv2.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { PULL_STEPS = 40, REST_STEPS = 30, WATCH_STEPS = 120, BISECTIONS = 60, ROUNDS_MAX = 40 };
/* A hundred pulls of two hours each with two hours between them take a third of this. A circuit that holds next to
 * nothing beside its flows wants steps far shorter than its cycle, and would take minutes or hours. */
#define RATES_MAX 1000000
#define ERROR_ABS 1e-8
#define ERROR_REL 1e-10

/* What is integrated. */
enum { COOLANT_K, HEAT_IN_J, HEAT_OUT_J, STATES };

typedef struct circuit {
    const swl_build *build;
    swl_match *match;
    gsl_odeiv2_system system;
    gsl_odeiv2_driver *driver;
    double mass_kg;
    double t_air_k;
    double cp_air_j_kg_k;
    double rest_air_kg_s;
    double from_rpm, to_rpm;
    size_t pull;        /* 0 at rest */
    double pull_from_s; /* when the present pull began */
    double time_s;
    double state[STATES];
    swl_point failed; /* where a pull has no operating point */
    size_t rates;     /* how often they were asked for */
} circuit;

typedef struct heats {
    double in_w, out_w;
    double engine_rpm, t_charge_k, mdot_kg_s;
    bool on_map;
} heats;

static double capacity_j_k(const circuit *c, double t_k)
{
    const swl_cooler *cooler = &c->build->cooler;
    return c->mass_kg * swl_coolant_cp_j_kg_k(cooler->glycol_frac, t_k) + cooler->metal_j_k;
}

static double stored_j(const circuit *c, double from_k, double to_k)
{
    const swl_cooler *cooler = &c->build->cooler;
    double dh_j_kg = swl_coolant_h_j_kg(cooler->glycol_frac, to_k) - swl_coolant_h_j_kg(cooler->glycol_frac, from_k);
    return c->mass_kg * dh_j_kg + cooler->metal_j_k * (to_k - from_k);
}

/* Flow and outlet temperature of the coolant at rest, when the core gives it a known heat. */
static double rest_out_k(const circuit *c, double t_k, double heat_w, double *flow_w_k)
{
    double out_k = t_k;
    for (int i = 0; i < ROUNDS_MAX; i++) {
        *flow_w_k = swl_cooler_flow_w_k(&c->build->cooler, t_k, out_k);
        double next_k = t_k + heat_w / *flow_w_k;
        bool done = !(fabs(next_k - out_k) > 1e-12);
        out_k = next_k;
        if (done) {
            break;
        }
    }
    return out_k;
}

static heats heats_at_rest(const circuit *c, double t_k)
{
    double heat_w = c->build->cycle.rest_heat_w;
    double flow_w_k = 0;
    double out_k = rest_out_k(c, t_k, heat_w, &flow_w_k);
    double front_w_k = swl_cooler_front_w_k(&c->build->cooler, flow_w_k, c->rest_air_kg_s, c->cp_air_j_kg_k);
    return (heats){.in_w = heat_w,
                   .out_w = front_w_k * (out_k - c->t_air_k),
                   .engine_rpm = NAN,
                   .t_charge_k = NAN,
                   .on_map = true};
}

static double pull_rpm(const circuit *c, double time_s)
{
    double share = (time_s - c->pull_from_s) / c->build->cycle.pull_s;
    share = share < 0 ? 0 : share > 1 ? 1 : share;
    return c->from_rpm + share * (c->to_rpm - c->from_rpm);
}

/* Returns: false when there is no operating point, which failed then tells. */
static bool heats_in_pull(circuit *c, double time_s, double t_k, heats *out)
{
    swl_match_hold_coolant(c->match, t_k);
    swl_point point = swl_match_point(c->match, pull_rpm(c, time_s));
    if (point.end != SWL_MATCH_SOLVED) {
        c->failed = point;
        return false;
    }
    *out = (heats){.in_w = point.q_cooler_w,
                   .out_w = point.front_w_k * (point.t_coolant_out_k - c->t_air_k),
                   .engine_rpm = point.engine_rpm,
                   .t_charge_k = point.t3_k,
                   .mdot_kg_s = point.mdot_kg_s,
                   .on_map = point.map_where == SWL_MAP_INSIDE};
    return true;
}

static bool heats_at(circuit *c, double time_s, double t_k, heats *out)
{
    if (c->pull > 0) {
        return heats_in_pull(c, time_s, t_k, out);
    }
    *out = heats_at_rest(c, t_k);
    return true;
}

static int rates(double time_s, const double state[], double rate[], void *context)
{
    circuit *c = context;
    heats h = {0};
    c->rates++;
    if (c->rates > RATES_MAX || !isfinite(state[COOLANT_K]) || !heats_at(c, time_s, state[COOLANT_K], &h)) {
        return GSL_EBADFUNC;
    }
    rate[COOLANT_K] = (h.in_w - h.out_w) / capacity_j_k(c, state[COOLANT_K]);
    rate[HEAT_IN_J] = h.in_w;
    rate[HEAT_OUT_J] = h.out_w;
    return GSL_SUCCESS;
}

/* Further digits of where an integration gave up hang on the machine's arithmetic. */
static double two_digits(double value)
{
    double unit = value > 0 ? pow(10, floor(log10(value)) - 1) : 1;
    return round(value / unit) * unit;
}

static swl_status solve_error(const circuit *c, swl_err *err)
{
    if (c->failed.end != SWL_MATCH_SOLVED) {
        return swl_err_set(err, SWL_ERR_SOLVE, "no operating point at %.6g rpm in pull %zu: %s", c->failed.engine_rpm,
                           c->pull, swl_match_reason(c->failed.end));
    }
    if (c->rates > RATES_MAX) {
        return swl_err_set(
            err, SWL_ERR_SOLVE,
            "the circuit of coolant and metal holds %.3g kJ/K, and with that little follows the charge too "
            "fast for a cycle this long: it could be followed to about %.6g s only; give coolant_volume and "
            "metal_heat_capacity of the whole circuit, or a shorter cycle",
            capacity_j_k(c, c->state[COOLANT_K]) / 1000, two_digits(c->time_s));
    }
    return swl_err_set(err, SWL_ERR_SOLVE, "the coolant's temperature could not be followed beyond about %.6g s",
                       two_digits(c->time_s));
}

static swl_status advance(circuit *c, double to_s, swl_err *err)
{
    if (to_s <= c->time_s) {
        return SWL_OK;
    }
    int code = gsl_odeiv2_driver_apply(c->driver, &c->time_s, to_s, c->state);
    return code == GSL_SUCCESS ? SWL_OK : solve_error(c, err);
}

/* Rates jump where a pull starts or ends: nothing of the steps before holds there. */
static void turn(circuit *c, size_t pull)
{
    c->pull = pull;
    c->pull_from_s = c->time_s;
    (void)gsl_odeiv2_driver_reset(c->driver);
    (void)gsl_odeiv2_driver_reset_hstart(c->driver, 1e-3);
}

static swl_status row_add(circuit *c, swl_soak *soak, swl_err *err)
{
    heats h = {0};
    if (!heats_at(c, c->time_s, c->state[COOLANT_K], &h)) {
        return solve_error(c, err);
    }
    soak->rows[soak->row_count++] = (swl_soak_row){.time_s = c->time_s,
                                                   .pull = c->pull,
                                                   .engine_rpm = h.engine_rpm,
                                                   .t_coolant_k = c->state[COOLANT_K],
                                                   .t_charge_k = h.t_charge_k,
                                                   .heat_in_w = h.in_w,
                                                   .heat_out_w = h.out_w,
                                                   .on_map = h.on_map};
    soak->t_peak_k = fmax(soak->t_peak_k, c->state[COOLANT_K]);
    bool held = !swl_coolant_covers(c->build->cooler.glycol_frac, c->state[COOLANT_K]);
    soak->coolant_held = soak->coolant_held || held;
    if (c->pull == 0) {
        return SWL_OK;
    }
    soak->pull_rows++;
    soak->outside += !h.on_map;
    swl_soak_pull *pull = &soak->pulls[c->pull - 1];
    if (!(h.t_charge_k <= pull->t_charge_peak_k)) {
        pull->t_charge_peak_k = h.t_charge_k;
        pull->peak_s = c->time_s;
        pull->peak_rpm = h.engine_rpm;
        pull->on_map = h.on_map;
    }
    pull->coolant_held = pull->coolant_held || held;
    pull->t_charge_end_k = h.t_charge_k;
    pull->mdot_end_kg_s = h.mdot_kg_s;
    return SWL_OK;
}

static void pull_verdict(swl_soak *soak, swl_soak_pull *pull)
{
    pull->margin_frac = (soak->limit_k - pull->t_charge_peak_k) / soak->limit_k;
    /* At the limit but for rounding is not over it. */
    bool over = pull->t_charge_peak_k > soak->limit_k * (1 + 1e-12);
    pull->verdict = over ? SWL_EXCEEDED : pull->margin_frac < SWL_CLOSE_MARGIN_FRAC ? SWL_CLOSE : SWL_KEPT;
    soak->exceeded = soak->exceeded || pull->verdict == SWL_EXCEEDED;
}

static swl_status run_pull(circuit *c, swl_soak *soak, size_t number, swl_err *err)
{
    double from_s = c->time_s;
    double in_j = c->state[HEAT_IN_J];
    double out_j = c->state[HEAT_OUT_J];
    swl_soak_pull *pull = &soak->pulls[number - 1];
    *pull = (swl_soak_pull){
        .start_s = from_s, .t_coolant_start_k = c->state[COOLANT_K], .t_charge_peak_k = -INFINITY, .on_map = true};
    turn(c, number);
    swl_status status = row_add(c, soak, err);
    for (int i = 1; i <= PULL_STEPS && status == SWL_OK; i++) {
        status = advance(c, from_s + c->build->cycle.pull_s * i / PULL_STEPS, err);
        if (status == SWL_OK) {
            status = row_add(c, soak, err);
        }
    }
    pull->end_s = c->time_s;
    pull->t_coolant_end_k = c->state[COOLANT_K];
    pull->heat_in_j = c->state[HEAT_IN_J] - in_j;
    pull->heat_out_j = c->state[HEAT_OUT_J] - out_j;
    pull_verdict(soak, pull);
    return status;
}

/* A time with the circuit's state then. */
typedef struct moment {
    double time_s;
    double state[STATES];
} moment;

static moment moment_of(const circuit *c)
{
    moment m = {.time_s = c->time_s};
    memcpy(m.state, c->state, sizeof m.state);
    return m;
}

static void go_to(circuit *c, const moment *m)
{
    c->time_s = m->time_s;
    memcpy(c->state, m->state, sizeof c->state);
    turn(c, 0);
}

/* The time since an earlier row of a rest at which the coolant fell to a temperature, by bisection. */
static swl_status fell_to(circuit *c, const moment *before, double t_k, double *at_s, swl_err *err)
{
    moment now = moment_of(c);
    double low_s = before->time_s;
    double high_s = now.time_s;
    swl_status status = SWL_OK;
    for (int i = 0; i < BISECTIONS && status == SWL_OK && high_s - low_s > 1e-9; i++) {
        double middle_s = low_s + (high_s - low_s) / 2;
        go_to(c, before);
        status = advance(c, middle_s, err);
        bool above = c->state[COOLANT_K] > t_k;
        low_s = above ? middle_s : low_s;
        high_s = above ? high_s : middle_s;
    }
    go_to(c, &now);
    *at_s = high_s;
    return status;
}

/* One step of a rest, with its row. pull_end_s: when the last pull ended, NAN while there are more to come. */
static swl_status run_rest_step(circuit *c, swl_soak *soak, double to_s, double pull_end_s, swl_err *err)
{
    moment before = moment_of(c);
    swl_status status = advance(c, to_s, err);
    if (status == SWL_OK) {
        status = row_add(c, soak, err);
    }
    bool watched = !isnan(pull_end_s) && isnan(soak->recovery_s);
    if (status == SWL_OK && watched && c->state[COOLANT_K] <= soak->t_recovered_k) {
        double at_s = 0;
        status = fell_to(c, &before, soak->t_recovered_k, &at_s, err);
        soak->recovery_s = at_s - pull_end_s;
    }
    return status;
}

static swl_status run_rest(circuit *c, swl_soak *soak, bool last, swl_err *err)
{
    double from_s = c->time_s;
    double rest_s = c->build->cycle.rest_s;
    turn(c, 0);
    double pull_end_s = last ? from_s : (double)NAN;
    swl_status status = row_add(c, soak, err);
    if (last && c->state[COOLANT_K] <= soak->t_recovered_k) {
        soak->recovery_s = 0;
    }
    for (int i = 1; i <= REST_STEPS && status == SWL_OK; i++) {
        status = run_rest_step(c, soak, from_s + rest_s * i / REST_STEPS, pull_end_s, err);
    }
    for (int i = 1; last && i <= WATCH_STEPS && status == SWL_OK && isnan(soak->recovery_s); i++) {
        double to_s = from_s + SWL_SOAK_WATCH_S * i / WATCH_STEPS;
        if (to_s > c->time_s) {
            status = run_rest_step(c, soak, to_s, pull_end_s, err);
        }
    }
    return status;
}

/* The coolant's temperature at which heat in and out are equal at rest. */
static double settled_at_rest_k(const circuit *c)
{
    double heat_w = c->build->cycle.rest_heat_w;
    double t_k = c->t_air_k;
    if (!swl_cooler_has_loop(&c->build->cooler)) {
        return NAN;
    }
    for (int i = 0; i < ROUNDS_MAX; i++) {
        double flow_w_k = 0;
        (void)rest_out_k(c, t_k, heat_w, &flow_w_k);
        double front_w_k = swl_cooler_front_w_k(&c->build->cooler, flow_w_k, c->rest_air_kg_s, c->cp_air_j_kg_k);
        t_k = c->t_air_k + heat_w * (1 / front_w_k - 1 / flow_w_k);
    }
    return t_k;
}

static swl_status missing(const swl_build *build, swl_err *err)
{
    const swl_cooler *cooler = &build->cooler;
    const char *what = build->cycle.pulls < 1        ? "section [soak], the cycle of pulls and rests, is missing"
                       : !swl_cooler_there(cooler)   ? "there is no charge cooler to soak; section [cooler] is missing"
                       : !(cooler->coolant_m3_s > 0) ? "coolant_flow is missing from [cooler]"
                       : !(cooler->coolant_volume_m3 > 0) ? "coolant_volume is missing from [cooler]"
                                                          : NULL;
    return what == NULL ? SWL_OK : swl_err_set(err, SWL_ERR_USAGE, "%s", what);
}

static double start_k(const swl_build *build, double t_air_k)
{
    if (build->cycle.t_start_k > 0) {
        return build->cycle.t_start_k;
    }
    return swl_cooler_has_loop(&build->cooler) ? t_air_k : build->cooler.t_coolant_k;
}

static swl_status circuit_open(circuit *c, const swl_build *build, swl_err *err)
{
    const swl_cycle *cycle = &build->cycle;
    const swl_cooler *cooler = &build->cooler;
    *c = (circuit){.build = build, .failed = {.end = SWL_MATCH_SOLVED}};
    swl_gsl_quiet();
    c->match = swl_match_new(build, err);
    if (c->match == NULL) {
        return SWL_ERR_MEMORY;
    }
    c->t_air_k = swl_cooler_front_air_k(cooler, build->site.t_k);
    c->cp_air_j_kg_k = swl_air_cp_j_kg_k(swl_match_air(c->match), c->t_air_k);
    c->rest_air_kg_s = isnan(cycle->rest_air_kg_s) ? cooler->front_air_kg_s : cycle->rest_air_kg_s;
    c->from_rpm = cycle->from_rpm > 0 ? cycle->from_rpm : build->engine.speed_from_rpm;
    c->to_rpm = cycle->to_rpm > 0 ? cycle->to_rpm : build->engine.speed_limit_rpm;
    c->state[COOLANT_K] = start_k(build, c->t_air_k);
    c->mass_kg = cooler->coolant_volume_m3 * swl_coolant_rho_kg_m3(cooler->glycol_frac, c->state[COOLANT_K]);
    c->system = (gsl_odeiv2_system){.function = rates, .dimension = STATES, .params = c};
    c->driver = swl_gsl_odeiv2_driver_alloc_y_new(&c->system, gsl_odeiv2_step_rk8pd, 1e-3, ERROR_ABS, ERROR_REL);
    return c->driver == NULL ? swl_err_set(err, SWL_ERR_MEMORY, "out of memory for the integrator") : SWL_OK;
}

static void circuit_close(circuit *c)
{
    swl_match_free(c->match);
    if (c->driver != NULL) {
        gsl_odeiv2_driver_free(c->driver);
    }
}

static swl_status soak_room(const swl_build *build, swl_soak *soak, swl_err *err)
{
    size_t pulls = (size_t)build->cycle.pulls;
    soak->rows = calloc(pulls * (PULL_STEPS + REST_STEPS + 2) + WATCH_STEPS, sizeof *soak->rows);
    soak->pulls = calloc(pulls, sizeof *soak->pulls);
    return soak->rows == NULL || soak->pulls == NULL ? swl_err_set(err, SWL_ERR_MEMORY, "out of memory for the series")
                                                     : SWL_OK;
}

/* Where the coolant would settle were the end speed of a pull held: the steady match of the build. */
static double settled_in_pull_k(circuit *c)
{
    swl_match_hold_coolant(c->match, NAN);
    swl_point point = swl_match_point(c->match, c->to_rpm);
    bool known = swl_cooler_has_loop(&c->build->cooler) && point.end == SWL_MATCH_SOLVED;
    return known ? point.t_coolant_in_k : (double)NAN;
}

static void soak_results(circuit *c, swl_soak *soak)
{
    swl_soak_energy *energy = &soak->energy;
    soak->t_end_k = c->state[COOLANT_K];
    energy->in_j = c->state[HEAT_IN_J];
    energy->out_j = c->state[HEAT_OUT_J];
    energy->stored_j = stored_j(c, soak->t_start_k, soak->t_end_k);
    double scale_j = fmax(fmax(fabs(energy->in_j), fabs(energy->out_j)), 1e-9);
    energy->error_frac = fabs(energy->in_j - energy->out_j - energy->stored_j) / scale_j;
    soak->t_rest_k = settled_at_rest_k(c);
    soak->t_pull_k = settled_in_pull_k(c);
}

/* What check finds exceeded in steady flow. The charge's limit is held in the pulls instead, whose coolant is not in
 * steady flow. A cycle can keep to speeds at which there is an operating point on a build
 * that has none at others. */
static swl_status limits_check(const swl_build *build, swl_soak *soak, swl_err *err)
{
    swl_check check;
    swl_err own = {0};
    swl_status status = swl_check_run(build, &check, &own);
    if (status == SWL_ERR_SOLVE) {
        (void)snprintf(soak->failure, sizeof soak->failure, "%s", own.text);
        return SWL_OK;
    }
    if (status != SWL_OK) {
        return swl_err_set(err, status, "%s", own.text);
    }
    for (size_t i = 0; i < check.limit_count; i++) {
        const swl_limit_row *row = &check.limits[i];
        if (row->verdict != SWL_EXCEEDED) {
            continue;
        }
        if (strcmp(row->name, "charge_temperature") == 0) {
            soak->steady_charge = *row;
            soak->steady_charge_over = true;
        } else {
            soak->over[soak->over_count++] = *row;
            soak->exceeded = true;
        }
    }
    swl_check_free(&check);
    return SWL_OK;
}

swl_status swl_soak_run(const swl_build *build, swl_soak *soak, swl_err *err)
{
    *soak = (swl_soak){.limit_k = build->limits.t_charge_k, .recovery_s = NAN};
    swl_status status = missing(build, err);
    circuit c = {0};
    if (status == SWL_OK) {
        status = circuit_open(&c, build, err);
    }
    if (status == SWL_OK) {
        status = soak_room(build, soak, err);
    }
    if (status == SWL_OK) {
        soak->t_start_k = c.state[COOLANT_K];
        soak->t_recovered_k = soak->t_start_k + build->cycle.t_recovered_k;
        soak->capacity_j_k = capacity_j_k(&c, soak->t_start_k);
        soak->t_front_air_k = c.t_air_k;
    }
    size_t pulls = (size_t)build->cycle.pulls;
    for (size_t i = 1; i <= pulls && status == SWL_OK; i++) {
        status = run_pull(&c, soak, i, err);
        soak->pull_count = i;
        if (status == SWL_OK) {
            status = run_rest(&c, soak, i == pulls, err);
        }
    }
    if (status == SWL_OK) {
        soak_results(&c, soak);
        status = limits_check(build, soak, err);
    }
    circuit_close(&c);
    return status;
}

bool swl_soak_settles_above(const swl_soak *soak)
{
    return soak->t_rest_k > soak->t_recovered_k;
}

void swl_soak_free(swl_soak *soak)
{
    free(soak->rows);
    free(soak->pulls);
    *soak = (swl_soak){0};
}
