#include "sweptline/engine.h"

#include <math.h>

#define GAMMA_CYCLE 1.4

double swl_engine_ideal_ve_frac(double compression_ratio, double p_exhaust_ratio)
{
    double r = compression_ratio;
    return r / (r - 1) - (p_exhaust_ratio + GAMMA_CYCLE - 1) / (GAMMA_CYCLE * (r - 1));
}

double swl_engine_ve_curve_frac(const swl_engine *engine, double speed_rpm)
{
    double ve = swl_curve_at(engine->ve, speed_rpm);
    if (engine->ve_half_width != NULL) {
        ve += engine->ve_shift * swl_curve_at(engine->ve_half_width, speed_rpm);
    }
    return fmax(0, engine->ve_factor * ve);
}

double swl_engine_exhaust_pa(const swl_engine *engine, double p0_pa, double mdot_kg_s)
{
    if (!(engine->back_pressure.dp_pa > 0)) {
        return p0_pa;
    }
    double share = mdot_kg_s / engine->back_pressure.mdot_kg_s;
    return p0_pa + engine->back_pressure.dp_pa * share * share;
}

double swl_engine_ve_frac(const swl_engine *engine, double ve_frac, double t3_k, double p_exhaust_ratio)
{
    double ve = ve_frac;
    if (engine->ve_t_sqrt) {
        ve *= sqrt(t3_k / engine->t_ve_k);
    }
    if (engine->ve_p_ideal) {
        double r = engine->compression_ratio;
        ve *= swl_engine_ideal_ve_frac(r, p_exhaust_ratio) / swl_engine_ideal_ve_frac(r, engine->ve_p_exhaust_ratio);
    }
    return ve < 0 ? 0 : ve;
}

double swl_engine_mdot_kg_s(const swl_engine *engine, double ve_frac, double p3_pa, double t3_k, double r_j_kg_k,
                            double speed_rpm)
{
    return ve_frac * p3_pa / (r_j_kg_k * t3_k) * engine->disp_m3 * speed_rpm / 120;
}

/* What the engine takes when the exhaust is that of a flow. */
static swl_aspirated aspirated_at(const swl_engine *engine, double p_pa, double t_k, double r_j_kg_k, double speed_rpm,
                                  double mdot_kg_s)
{
    swl_aspirated at = {.p_exhaust_pa = swl_engine_exhaust_pa(engine, p_pa, mdot_kg_s)};
    at.ve_frac = swl_engine_ve_frac(engine, swl_engine_ve_curve_frac(engine, speed_rpm), t_k, at.p_exhaust_pa / p_pa);
    at.mdot_kg_s = swl_engine_mdot_kg_s(engine, at.ve_frac, p_pa, t_k, r_j_kg_k, speed_rpm);
    return at;
}

swl_aspirated swl_engine_aspirated(const swl_engine *engine, double p_pa, double t_k, double r_j_kg_k, double speed_rpm)
{
    double low_kg_s = 0;
    double high_kg_s = aspirated_at(engine, p_pa, t_k, r_j_kg_k, speed_rpm, 0).mdot_kg_s;
    for (int i = 0; i < 60 && high_kg_s - low_kg_s > 1e-16 * high_kg_s; i++) {
        double middle_kg_s = (low_kg_s + high_kg_s) / 2;
        bool takes_more = aspirated_at(engine, p_pa, t_k, r_j_kg_k, speed_rpm, middle_kg_s).mdot_kg_s > middle_kg_s;
        *(takes_more ? &low_kg_s : &high_kg_s) = middle_kg_s;
    }
    swl_aspirated found = aspirated_at(engine, p_pa, t_k, r_j_kg_k, speed_rpm, (low_kg_s + high_kg_s) / 2);
    found.mdot_kg_s = (low_kg_s + high_kg_s) / 2;
    return found;
}
