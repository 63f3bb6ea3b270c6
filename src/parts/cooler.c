#include "sweptline/cooler.h"

#include "sweptline/coolant.h"
#include "sweptline/exchanger.h"

#include <math.h>

enum { ROUNDS_MAX = 60 };
/* In charge temperature a third of what the flows' balance may be off; the rounds left out would change less still. */
#define SETTLED_K 1e-10
/* What rounding may keep the rounds from settling closer than. */
#define ROUNDING_K 1e-9

bool swl_cooler_there(const swl_cooler *cooler)
{
    return cooler->effectiveness_frac > 0 || cooler->effectiveness != NULL || cooler->ua_w_k > 0;
}

bool swl_cooler_is_constant(const swl_cooler *cooler)
{
    return cooler->t_coolant_k > 0 && !(cooler->ua_w_k > 0) && cooler->effectiveness == NULL;
}

bool swl_cooler_has_loop(const swl_cooler *cooler)
{
    return cooler->front_effectiveness_frac > 0 || cooler->front_ua_w_k > 0;
}

double swl_cooler_front_air_k(const swl_cooler *cooler, double t_site_k)
{
    return cooler->t_front_air_k > 0 ? cooler->t_front_air_k : t_site_k;
}

double swl_cooler_flow_w_k(const swl_cooler *cooler, double t_in_k, double t_out_k)
{
    return cooler->coolant_m3_s * swl_coolant_rho_kg_m3(cooler->glycol_frac, t_in_k) *
           swl_coolant_cp_j_kg_k(cooler->glycol_frac, (t_in_k + t_out_k) / 2);
}

double swl_cooler_front_w_k(const swl_cooler *cooler, double flow_w_k, double air_kg_s, double cp_air_j_kg_k)
{
    double air_w_k = air_kg_s * cp_air_j_kg_k;
    if (!swl_cooler_has_loop(cooler) || !(air_w_k > 0)) {
        return 0;
    }
    if (cooler->front_ua_w_k > 0) {
        return flow_w_k * swl_exchanger_side_eff(cooler->front_ua_w_k, flow_w_k, air_w_k, 1);
    }
    return cooler->front_effectiveness_frac * fmin(flow_w_k, air_w_k);
}

/* Temperature effectiveness of the charge side. */
static double core_eff(const swl_cooler *cooler, double mdot_kg_s, double charge_w_k, double flow_w_k)
{
    if (cooler->ua_w_k > 0) {
        return swl_exchanger_side_eff(cooler->ua_w_k, charge_w_k, flow_w_k, cooler->passes > 1 ? cooler->passes : 1);
    }
    if (cooler->effectiveness == NULL) {
        return cooler->effectiveness_frac;
    }
    double eff_frac = swl_curve_at(cooler->effectiveness, mdot_kg_s);
    if (cooler->effectiveness_half_width != NULL) {
        eff_frac += cooler->effectiveness_shift * swl_curve_at(cooler->effectiveness_half_width, mdot_kg_s);
    }
    return eff_frac < 0 ? 0 : eff_frac > 1 ? 1 : eff_frac;
}

/* Mean heat capacity between two temperatures. */
static double mean_cp_j_kg_k(const swl_air *air, double h2_j_kg, double t2_k, double t3_k)
{
    double dt_k = t2_k - t3_k;
    return fabs(dt_k) > 1e-3 ? (h2_j_kg - swl_air_h_j_kg(air, t3_k)) / dt_k : swl_air_cp_j_kg_k(air, (t2_k + t3_k) / 2);
}

/* What does not change while the heat capacities are found. */
typedef struct round_context {
    const swl_cooler *cooler;
    const swl_air *air;
    double mdot_kg_s, t2_k, h2_j_kg;
    double t_air_k, cp_air_j_kg_k;
    double t_given_k; /* NAN: the loop's */
} round_context;

static swl_cooler_state round_next(const round_context *c, const swl_cooler_state *now)
{
    swl_cooler_state next = {0};
    double charge_w_k = c->mdot_kg_s * mean_cp_j_kg_k(c->air, c->h2_j_kg, c->t2_k, now->t3_k);
    next.flow_w_k = swl_cooler_flow_w_k(c->cooler, now->t_in_k, now->t_out_k);
    next.eff_frac = core_eff(c->cooler, c->mdot_kg_s, charge_w_k, next.flow_w_k);
    next.front_w_k = swl_cooler_front_w_k(c->cooler, next.flow_w_k, c->cooler->front_air_kg_s, c->cp_air_j_kg_k);
    next.t_in_k = c->t_given_k;
    double heat_w = charge_w_k * next.eff_frac * (c->t2_k - c->t_given_k);
    if (isnan(c->t_given_k)) {
        heat_w =
            swl_exchanger_loop_heat_w(charge_w_k * next.eff_frac, next.front_w_k, next.flow_w_k, c->t2_k, c->t_air_k);
        next.t_in_k = c->t_air_k + heat_w * (1 / next.front_w_k - 1 / next.flow_w_k);
    }
    next.t_out_k = next.t_in_k + heat_w / next.flow_w_k;
    next.t3_k = c->t2_k - next.eff_frac * (c->t2_k - next.t_in_k);
    return next;
}

static bool settled(const swl_cooler_state *a, const swl_cooler_state *b, double within_k)
{
    return fabs(a->t3_k - b->t3_k) <= within_k && fabs(a->t_in_k - b->t_in_k) <= within_k &&
           fabs(a->t_out_k - b->t_out_k) <= within_k;
}

static swl_cooler_state solve_capacities(const round_context *c)
{
    double start_k = isnan(c->t_given_k) ? c->t_air_k : c->t_given_k;
    swl_cooler_state now = {.t3_k = (c->t2_k + start_k) / 2, .t_in_k = start_k, .t_out_k = start_k};
    for (int i = 0; i < ROUNDS_MAX; i++) {
        swl_cooler_state next = round_next(c, &now);
        bool done = !isfinite(next.t3_k) || settled(&now, &next, SETTLED_K);
        next.settled = settled(&now, &next, ROUNDING_K);
        now = next;
        if (done) {
            break;
        }
    }
    return now;
}

swl_cooler_state swl_cooler_solve(const swl_cooler *cooler, const swl_air *air, double mdot_kg_s, double t2_k,
                                  double t_site_k, double t_held_k)
{
    bool loop = swl_cooler_has_loop(cooler) && isnan(t_held_k);
    double t_given_k = loop ? (double)NAN : isnan(t_held_k) ? cooler->t_coolant_k : t_held_k;
    if (!(cooler->coolant_m3_s > 0)) {
        double eff_frac = core_eff(cooler, mdot_kg_s, 0, 0);
        bool there = swl_cooler_there(cooler);
        return (swl_cooler_state){.t3_k = t2_k - eff_frac * (t2_k - t_given_k),
                                  .t_in_k = there ? t_given_k : (double)NAN,
                                  .t_out_k = NAN,
                                  .eff_frac = eff_frac,
                                  .settled = true};
    }
    double t_air_k = swl_cooler_front_air_k(cooler, t_site_k);
    round_context context = {.cooler = cooler,
                             .air = air,
                             .mdot_kg_s = mdot_kg_s,
                             .t2_k = t2_k,
                             .h2_j_kg = swl_air_h_j_kg(air, t2_k),
                             .t_air_k = t_air_k,
                             .cp_air_j_kg_k = swl_air_cp_j_kg_k(air, t_air_k),
                             .t_given_k = t_given_k};
    return solve_capacities(&context);
}
