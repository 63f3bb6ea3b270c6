#include "reference/full_water.h"

#include "sweptline/coolant.h"

#include <math.h>

static bool pumped(const swl_cooler *cooler)
{
    return cooler->coolant_m3_s > 0;
}

static bool looped(const swl_cooler *cooler)
{
    return cooler->front_effectiveness_frac > 0 || cooler->front_ua_w_k > 0;
}

/* (W1), charge. */
static double charge_w_k(const full_model *model, const full_unknowns *u)
{
    double drop_k = u->t2_k - u->t3_k;
    if (fabs(drop_k) < 1e-3) {
        return u->mdot_kg_s * swl_air_cp_j_kg_k(&model->air, u->t2_k);
    }
    return u->mdot_kg_s * (swl_air_h_j_kg(&model->air, u->t2_k) - swl_air_h_j_kg(&model->air, u->t3_k)) / drop_k;
}

/* (W1), coolant. */
static double coolant_w_k(const swl_cooler *cooler, const full_unknowns *u)
{
    return cooler->coolant_m3_s * swl_coolant_rho_kg_m3(cooler->glycol_frac, u->t_coolant_in_k) *
           swl_coolant_cp_j_kg_k(cooler->glycol_frac, (u->t_coolant_in_k + u->t_coolant_out_k) / 2);
}

/* (W2) and (W3) as they stand in the document. */
static double passes_eff(double ua_w_k, double a_w_k, double b_w_k, int passes)
{
    double c = fmin(a_w_k, b_w_k) / fmax(a_w_k, b_w_k);
    double ntu = ua_w_k / fmin(a_w_k, b_w_k) / passes;
    double e = 1 - exp(pow(ntu, 0.22) / c * (exp(-c * pow(ntu, 0.78)) - 1));
    double z = pow((1 - e * c) / (1 - e), passes);
    return passes == 1 || e >= 1 ? e : (z - 1) / (z - c);
}

double full_core_share(const full_model *model, const full_unknowns *u)
{
    const swl_cooler *cooler = &model->build->cooler;
    if (cooler->ua_w_k > 0) {
        double charge = charge_w_k(model, u);
        double coolant = coolant_w_k(cooler, u);
        int passes = cooler->passes > 1 ? cooler->passes : 1;
        return passes_eff(cooler->ua_w_k, charge, coolant, passes) * fmin(charge, coolant) / charge; /* (W4) */
    }
    return cooler->effectiveness != NULL ? swl_curve_at(cooler->effectiveness, u->mdot_kg_s)
                                         : cooler->effectiveness_frac;
}

/* (W5) */
static double front_w_k(const full_model *model, const full_unknowns *u, double t_air_k)
{
    const swl_cooler *cooler = &model->build->cooler;
    double air = cooler->front_air_kg_s * swl_air_cp_j_kg_k(&model->air, t_air_k);
    double coolant = coolant_w_k(cooler, u);
    double eff =
        cooler->front_ua_w_k > 0 ? passes_eff(cooler->front_ua_w_k, air, coolant, 1) : cooler->front_effectiveness_frac;
    return eff * fmin(air, coolant);
}

static double front_air_k(const full_model *model)
{
    double t_k = model->build->cooler.t_front_air_k;
    return t_k > 0 ? t_k : model->t0_k;
}

static double heat_w(const full_model *model, const full_unknowns *u)
{
    return u->mdot_kg_s * (swl_air_h_j_kg(&model->air, u->t2_k) - swl_air_h_j_kg(&model->air, u->t3_k));
}

/* A build without a cooler gives no temperature; any will do then. */
static double given_k(const full_model *model)
{
    double t_k = model->build->cooler.t_coolant_k;
    return t_k > 0 ? t_k : model->t0_k;
}

/* (W6), before it is solved for the heat. */
void full_water_left(const full_model *model, const full_unknowns *u, double left[2])
{
    const swl_cooler *cooler = &model->build->cooler;
    double t_air_k = front_air_k(model);
    left[0] = u->t_coolant_in_k / given_k(model) - 1;
    if (looped(cooler)) {
        left[0] = (u->t_coolant_out_k - t_air_k - heat_w(model, u) / front_w_k(model, u, t_air_k)) / model->t0_k;
    }
    left[1] = u->t_coolant_out_k / u->t_coolant_in_k - 1;
    if (pumped(cooler)) {
        left[1] = (u->t_coolant_out_k - u->t_coolant_in_k - heat_w(model, u) / coolant_w_k(cooler, u)) / model->t0_k;
    }
}

void full_water_reduced(const full_model *model, full_unknowns *u)
{
    const swl_cooler *cooler = &model->build->cooler;
    double t_air_k = front_air_k(model);
    u->t_coolant_in_k = looped(cooler) ? t_air_k : given_k(model);
    u->t_coolant_out_k = u->t_coolant_in_k;
    u->t3_k = (u->t2_k + u->t_coolant_in_k) / 2;
    double before_k = 0;
    for (int i = 0; i < 200 && fabs(u->t3_k - before_k) > 1e-12; i++) {
        before_k = u->t3_k;
        u->t3_k = u->t2_k - full_core_share(model, u) * (u->t2_k - u->t_coolant_in_k);
        if (!pumped(cooler)) {
            break;
        }
        double rise_k = heat_w(model, u) / coolant_w_k(cooler, u);
        if (looped(cooler)) {
            double out_k = t_air_k + heat_w(model, u) / front_w_k(model, u, t_air_k);
            u->t_coolant_in_k += 0.3 * (out_k - rise_k - u->t_coolant_in_k);
        }
        u->t_coolant_out_k = u->t_coolant_in_k + rise_k;
    }
}

void full_water_point(const full_model *model, const full_unknowns *u, swl_point *p)
{
    const swl_cooler *cooler = &model->build->cooler;
    bool there = cooler->effectiveness_frac > 0 || cooler->effectiveness != NULL || cooler->ua_w_k > 0;
    p->t_coolant_in_k = there ? u->t_coolant_in_k : (double)NAN;
    p->t_coolant_out_k = pumped(cooler) ? u->t_coolant_out_k : (double)NAN;
    p->cooler_eff_frac = full_core_share(model, u);
    p->front_w_k = looped(cooler) ? front_w_k(model, u, front_air_k(model)) : 0;
    double lowest_k = cooler->glycol_frac > 0 ? 238.15 : 273.15;
    p->coolant_held = pumped(cooler) && (fmin(u->t_coolant_in_k, u->t_coolant_out_k) < lowest_k ||
                                         fmax(u->t_coolant_in_k, u->t_coolant_out_k) > 393.15);
}
