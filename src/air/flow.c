#include "sweptline/flow.h"

#include <math.h>

#define PI 3.14159265358979323846

double swl_flow_critical_ratio(double gamma)
{
    return pow(2 / (gamma + 1), gamma / (gamma - 1));
}

static double orifice_at(double p_ratio, double gamma)
{
    double drop = -expm1((gamma - 1) / gamma * log(p_ratio));
    return pow(p_ratio, 1 / gamma) * sqrt(2 * gamma / (gamma - 1) * drop);
}

double swl_flow_orifice(double p_ratio, double gamma)
{
    double critical = swl_flow_critical_ratio(gamma);
    return orifice_at(p_ratio < critical ? critical : p_ratio, gamma);
}

double swl_flow_throttle_ratio(double demand, double gamma, bool *choked)
{
    double k = demand * demand * (gamma - 1) / (2 * gamma);
    double u = 2 / (1 + sqrt(1 + 4 * k));
    *choked = u <= 2 / (gamma + 1);
    return *choked ? orifice_at(swl_flow_critical_ratio(gamma), gamma) / demand : pow(u, gamma / (gamma - 1));
}

double swl_flow_step_ratio(double bore_m, double bore_large_m, double vdot_m3_s, double r_j_kg_k, double t_k)
{
    double area_m2 = PI / 4 * bore_m * bore_m;
    double lost = 1 - bore_m * bore_m / (bore_large_m * bore_large_m);
    double v_m_s = vdot_m3_s / area_m2;
    double k = lost * lost * v_m_s * v_m_s / (2 * r_j_kg_k * t_k);
    return 2 / (1 + sqrt(1 + 4 * k));
}

double swl_flow_loss_factor(swl_loss loss)
{
    return loss.dp_pa > 0 ? loss.dp_pa * SWL_LOSS_DENSITY_KG_M3 / (loss.mdot_kg_s * loss.mdot_kg_s) : 0;
}
