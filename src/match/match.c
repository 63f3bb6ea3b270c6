#include "sweptline/match.h"

#include "sweptline/coolant.h"

#include "base/gsl_quiet.h"

#include <gsl/gsl_errno.h>
#include <gsl/gsl_roots.h>
#include <math.h>
#include <stdlib.h>

#define PI 3.14159265358979323846

enum { ITERATIONS_MAX = 100 };
#define BALANCE_TOLERANCE 1e-12

/* A pressure ratio, and blower flow less engine flow there. */
typedef struct bracket_end {
    double p_ratio;
    double left_kg_s;
} bracket_end;

struct swl_match {
    const swl_build *build;
    swl_map_reader *reader;
    gsl_root_fsolver *solver;
    gsl_function function; /* the solver keeps a pointer to it */
    /* what does not change with speed or pressure ratio */
    swl_air air;
    double rho0_kg_m3;
    double gamma0;
    double t1_k;
    double area_effective_m2; /* all throttle bores with their coefficient, 0 without a throttle body */
    double loss_intake;
    double loss_cooler;
    double drive_ratio;
    double t_held_k; /* coolant at the core's inlet; NAN: as the build says */
    bool steep;      /* the map may have the flows balance more than once */
    /* the engine speed being solved */
    double engine_rpm;
    double ve_curve_frac;
    int evaluations;
    bracket_end bracket[2]; /* low, high */
    swl_point last;
};

swl_match *swl_match_new(const swl_build *build, swl_err *err)
{
    swl_gsl_quiet();
    swl_match *match = calloc(1, sizeof *match);
    if (match != NULL) {
        match->reader = swl_map_reader_new(err);
        match->solver = gsl_root_fsolver_alloc(gsl_root_fsolver_brent);
    }
    if (match == NULL || match->reader == NULL || match->solver == NULL) {
        (void)swl_err_set(err, SWL_ERR_MEMORY, "out of memory for the solver");
        swl_match_free(match);
        return NULL;
    }
    swl_match_set(match, build);
    return match;
}

void swl_match_free(swl_match *match)
{
    if (match != NULL) {
        swl_map_reader_free(match->reader);
        if (match->solver != NULL) {
            gsl_root_fsolver_free(match->solver);
        }
        free(match);
    }
}

void swl_match_set(swl_match *match, const swl_build *build)
{
    const swl_site *site = &build->site;
    const swl_intake *intake = &build->intake;
    match->build = build;
    match->air = swl_air_humid(site->t_k, site->p_pa, site->rh_frac);
    match->rho0_kg_m3 = site->p_pa / (match->air.r_j_kg_k * site->t_k);
    match->gamma0 = swl_air_gamma(&match->air, site->t_k);
    match->t1_k = site->t_k + intake->heat_pickup_k;
    match->area_effective_m2 = isnan(intake->bore_m) ? 0
                                                     : intake->discharge_coefficient * intake->throttle_count * PI / 4 *
                                                           intake->bore_m * intake->bore_m;
    match->loss_intake = swl_flow_loss_factor(intake->loss);
    match->loss_cooler = swl_flow_loss_factor(build->cooler.loss);
    match->t_held_k = NAN;
    match->steep = swl_map_is_steep(build->blower.map);
    match->drive_ratio = swl_drive_ratio(&build->drive, build->blower.gear_ratio);
}

void swl_match_hold_coolant(swl_match *match, double t_k)
{
    match->t_held_k = t_k;
}

const swl_air *swl_match_air(const swl_match *match)
{
    return &match->air;
}

double swl_match_t1_k(const swl_match *match)
{
    return match->t1_k;
}

/* Site to blower inlet. The blower draws a volume, so mass flow is proportional to pressure all the way up,
 * and both the throttle and the duct loss have a closed form. */
static void state_intake(const swl_match *match, swl_point *point)
{
    double r_gas = match->air.r_j_kg_k;
    double p0_pa = match->build->site.p_pa;
    const swl_intake *intake = &match->build->intake;
    double r_step = isnan(intake->adapter_bore_m) ? 1
                                                  : swl_flow_step_ratio(intake->adapter_bore_m, intake->inlet_bore_m,
                                                                        point->vdot1_m3_s, r_gas, point->t1_k);
    double r_throttle = 1;
    if (match->area_effective_m2 > 0) {
        double demand = r_step * point->vdot1_m3_s * sqrt(r_gas * match->build->site.t_k) /
                        (match->area_effective_m2 * r_gas * point->t1_k);
        r_throttle = swl_flow_throttle_ratio(demand, match->gamma0, &point->choked);
    }
    double mass_per_p = r_throttle * r_step * point->vdot1_m3_s / (r_gas * point->t1_k);
    double k = match->loss_intake * mass_per_p * mass_per_p / match->rho0_kg_m3;
    /* k p_t^2 + p_t - p0 = 0, in the form that loses no digits for a small k */
    point->p_t_pa = 2 * p0_pa / (1 + sqrt(1 + 4 * k * p0_pa));
    point->p_throttle_pa = r_throttle * point->p_t_pa;
    point->p1_pa = r_step * point->p_throttle_pa;
    point->mdot_kg_s = mass_per_p * point->p_t_pa;
}

static void state_cooler(const swl_match *match, swl_point *point)
{
    const swl_cooler *cooler = &match->build->cooler;
    double rho2_kg_m3 = point->p2_pa / (match->air.r_j_kg_k * point->t2_k);
    swl_cooler_state state =
        swl_cooler_solve(cooler, &match->air, point->mdot_kg_s, point->t2_k, match->build->site.t_k, match->t_held_k);
    point->t3_k = state.t3_k;
    point->t_coolant_in_k = state.t_in_k;
    point->t_coolant_out_k = state.t_out_k;
    point->cooler_eff_frac = state.eff_frac;
    point->front_w_k = state.front_w_k;
    point->cooler_settled = state.settled;
    point->p3_pa = point->p2_pa - match->loss_cooler * point->mdot_kg_s * point->mdot_kg_s / rho2_kg_m3;
    point->boost_pa = point->p3_pa - match->build->site.p_pa;
}

/* Returns: the engine's mass flow; none where the cooler's loss would eat all the pressure. */
static double state_engine(const swl_match *match, swl_point *point)
{
    const swl_engine *engine = &match->build->engine;
    point->p_e_pa = swl_engine_exhaust_pa(engine, match->build->site.p_pa, point->mdot_kg_s);
    if (!(point->p3_pa > 0)) {
        point->engine_ve_frac = 0;
        return 0;
    }
    point->engine_ve_frac = swl_engine_ve_frac(engine, match->ve_curve_frac, point->t3_k, point->p_e_pa / point->p3_pa);
    return swl_engine_mdot_kg_s(engine, point->engine_ve_frac, point->p3_pa, point->t3_k, match->air.r_j_kg_k,
                                point->engine_rpm);
}

static void state_speed(swl_match *match, double engine_rpm)
{
    match->engine_rpm = engine_rpm;
    match->ve_curve_frac = swl_engine_ve_curve_frac(&match->build->engine, engine_rpm);
    match->evaluations = 0;
}

/* The whole path at one pressure ratio, docs/model.md steps 1 to 9. Returns: blower flow less engine flow, kg/s. */
static double state_at(double p_ratio, void *context)
{
    swl_match *match = context;
    const swl_blower *blower = &match->build->blower;
    swl_point point = {.engine_rpm = match->engine_rpm, .p_ratio = p_ratio, .t1_k = match->t1_k};
    point.blower_rpm = match->engine_rpm * match->drive_ratio * (1 - match->build->drive.slip_frac);
    point.corrected_rpm = swl_blower_corrected_rpm(blower, point.blower_rpm, point.t1_k);
    swl_map_reading reading = swl_map_read(blower->map, match->reader, point.corrected_rpm, p_ratio);
    point.ev_frac = reading.ev_frac * blower->ev_factor;
    point.ea_frac = reading.ea_frac * blower->ea_factor;
    point.map_where = reading.where;
    point.vdot1_m3_s = point.ev_frac * blower->disp_m3_rev * point.blower_rpm / 60;
    point.map_vdot_m3_s = point.ev_frac * blower->disp_m3_rev * point.corrected_rpm / 60;
    state_intake(match, &point);
    point.p2_pa = p_ratio * point.p1_pa;
    swl_compression compression = swl_blower_compress(blower, &match->air, point.t1_k, p_ratio, point.ea_frac);
    point.t2s_k = compression.t2s_k;
    point.t2_k = compression.t2_k;
    point.p_shaft_w = point.mdot_kg_s * compression.work_shaft_j_kg;
    state_cooler(match, &point);
    double left_kg_s = point.mdot_kg_s - state_engine(match, &point);
    point.balance_frac = left_kg_s / point.mdot_kg_s;
    point.evaluations = ++match->evaluations;
    match->last = point;
    return left_kg_s;
}

/* Fills in what only a finished point needs. */
static swl_point point_finish(const swl_match *match, swl_match_end end)
{
    swl_point point = match->last;
    const swl_curve *ve = match->build->engine.ve;
    double shaft_rpm = point.blower_rpm / match->build->blower.gear_ratio;
    point.q_cooler_w =
        point.mdot_kg_s * (swl_air_h_j_kg(&match->air, point.t2_k) - swl_air_h_j_kg(&match->air, point.t3_k));
    point.coolant_held =
        !isnan(point.t_coolant_out_k) && !(swl_coolant_covers(match->build->cooler.glycol_frac, point.t_coolant_in_k) &&
                                           swl_coolant_covers(match->build->cooler.glycol_frac, point.t_coolant_out_k));
    point.torque_nm = point.p_shaft_w / (2 * PI * shaft_rpm / 60);
    point.ve_held = point.engine_rpm < swl_curve_first_x(ve) || point.engine_rpm > swl_curve_last_x(ve);
    double vapour_pa = match->air.x_water * point.p3_pa;
    point.below_dew_point = vapour_pa > 0 && vapour_pa > swl_air_saturation_pa(point.t3_k);
    point.end = end;
    if (end == SWL_MATCH_SOLVED && !(isfinite(point.p_shaft_w) && isfinite(point.t3_k) && isfinite(point.p3_pa))) {
        point.end = SWL_MATCH_NOT_FINITE;
    } else if (end == SWL_MATCH_SOLVED && !(swl_air_covers(point.t1_k) && swl_air_covers(point.t2_k) &&
                                            swl_air_covers(point.t2s_k) && swl_air_covers(point.t3_k))) {
        point.end = SWL_MATCH_AIR_RANGE;
    }
    return point;
}

swl_point swl_match_state(swl_match *match, double engine_rpm, double p_ratio)
{
    state_speed(match, engine_rpm);
    (void)state_at(p_ratio, match);
    return point_finish(match, SWL_MATCH_SOLVED);
}

/* What Brent's method is given. It asks at the bracket's ends again, where the answer is known. */
static double left_at(double p_ratio, void *context)
{
    swl_match *match = context;
    for (int end = 0; end < 2; end++) {
        bool known = p_ratio >= match->bracket[end].p_ratio && p_ratio <= match->bracket[end].p_ratio;
        if (known) {
            return match->bracket[end].left_kg_s;
        }
    }
    return state_at(p_ratio, match);
}

static bracket_end end_at(swl_match *match, double p_ratio)
{
    return (bracket_end){.p_ratio = p_ratio, .left_kg_s = state_at(p_ratio, match)};
}

/* The next pressure ratio to ask at. A steep map is walked in small steps, since pairs of balances may lie close. */
static double step_up(const swl_match *match, double p_ratio)
{
    double step = match->steep ? 0.02 : p_ratio < 4 ? 0.25 : 1;
    return p_ratio + step < SWL_MATCH_RATIO_MAX ? p_ratio + step : SWL_MATCH_RATIO_MAX;
}

/* Finds the lowest pressure ratio at which the flows cross, to a step: a map whose efficiency collapses makes the
 * charge so hot that demand falls again, and then there are balances above it that an engine coming up from no
 * boost does not reach. Below ratio 1 there is one crossing at most. */
static swl_match_end bracket_find(swl_match *match)
{
    bracket_end *low = &match->bracket[0];
    bracket_end *high = &match->bracket[1];
    *high = end_at(match, 1);
    if (high->left_kg_s < 0) {
        *low = end_at(match, SWL_MATCH_RATIO_MIN);
        if (low->left_kg_s < 0) {
            return SWL_MATCH_BLOWER_TOO_SMALL;
        }
        return isfinite(low->left_kg_s) ? SWL_MATCH_SOLVED : SWL_MATCH_NOT_FINITE;
    }
    while (high->left_kg_s >= 0 && high->p_ratio < SWL_MATCH_RATIO_MAX) {
        *low = *high;
        *high = end_at(match, step_up(match, low->p_ratio));
    }
    if (high->left_kg_s > 0) {
        return match->last.p3_pa > 0 ? SWL_MATCH_ENGINE_TOO_SMALL : SWL_MATCH_COOLER_LOSS;
    }
    return isfinite(high->left_kg_s) ? SWL_MATCH_SOLVED : SWL_MATCH_NOT_FINITE;
}

static swl_match_end solve(swl_match *match)
{
    swl_match_end end = bracket_find(match);
    if (end != SWL_MATCH_SOLVED) {
        return end;
    }
    match->function = (gsl_function){.function = left_at, .params = match};
    if (gsl_root_fsolver_set(match->solver, &match->function, match->bracket[0].p_ratio, match->bracket[1].p_ratio) !=
        GSL_SUCCESS) {
        return SWL_MATCH_NOT_FINITE;
    }
    for (int i = 0; i < ITERATIONS_MAX; i++) {
        if (gsl_root_fsolver_iterate(match->solver) != GSL_SUCCESS) {
            return SWL_MATCH_NOT_FINITE;
        }
        if (fabs(match->last.balance_frac) <= BALANCE_TOLERANCE) {
            return SWL_MATCH_SOLVED;
        }
        double low = gsl_root_fsolver_x_lower(match->solver);
        double high = gsl_root_fsolver_x_upper(match->solver);
        if (gsl_root_test_interval(low, high, 0, 4e-16) == GSL_SUCCESS) {
            (void)state_at(gsl_root_fsolver_root(match->solver), match);
            return SWL_MATCH_SOLVED;
        }
    }
    return SWL_MATCH_NOT_CONVERGED;
}

swl_point swl_match_point(swl_match *match, double engine_rpm)
{
    state_speed(match, engine_rpm);
    swl_match_end end = solve(match);
    if (end == SWL_MATCH_SOLVED && !match->last.cooler_settled) {
        end = SWL_MATCH_NOT_CONVERGED;
    }
    return point_finish(match, end);
}

bool swl_match_several(swl_match *match, const swl_point *point)
{
    if (!match->steep) {
        return false;
    }
    size_t crossings = 0;
    bool before = true;
    state_speed(match, point->engine_rpm);
    double p_ratio = 1;
    while (p_ratio < SWL_MATCH_RATIO_MAX) {
        bool spare = state_at(p_ratio, match) > 0;
        crossings += spare != before;
        before = spare;
        p_ratio = step_up(match, p_ratio);
    }
    return crossings > 1;
}

swl_map_state swl_match_map_state(swl_match *match, double corrected_rpm, double p_ratio)
{
    const swl_blower *blower = &match->build->blower;
    swl_map_reading reading = swl_map_read(blower->map, match->reader, corrected_rpm, p_ratio);
    double ea_frac = reading.ea_frac * blower->ea_factor;
    swl_compression compression = swl_blower_compress(blower, &match->air, match->t1_k, p_ratio, ea_frac);
    return (swl_map_state){
        .map_vdot_m3_s = reading.ev_frac * blower->ev_factor * blower->disp_m3_rev * corrected_rpm / 60,
        .ea_frac = ea_frac,
        .t2_k = compression.t2_k,
        .where = reading.where,
    };
}

const char *swl_match_reason(swl_match_end end)
{
    switch (end) {
    case SWL_MATCH_SOLVED:
        return "solved";
    case SWL_MATCH_BLOWER_TOO_SMALL:
        return "the blower cannot supply the air: even at pressure ratio 0.3 the engine swallows more than the blower "
               "delivers";
    case SWL_MATCH_ENGINE_TOO_SMALL:
        return "the engine cannot swallow the air: even at pressure ratio 8 the blower delivers more than the engine "
               "takes";
    case SWL_MATCH_COOLER_LOSS:
        return "the loss of the charge cooler takes all the pressure that the blower makes";
    case SWL_MATCH_AIR_RANGE:
        return "a temperature lies outside the 200 to 1000 K that the air properties cover";
    case SWL_MATCH_NOT_CONVERGED:
        return "the solver did not close the mass balance, or did not find the coolant's steady temperatures, within "
               "its "
               "iterations";
    case SWL_MATCH_NOT_FINITE:
        return "a number in the air path is not finite";
    }
    return "unknown";
}
