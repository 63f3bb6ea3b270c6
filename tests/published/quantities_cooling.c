/* Heat exchangers, the water circuit and its liquid. */
#include "quantities.h"

#include "sweptline/coolant.h"
#include "sweptline/exchanger.h"

#include <math.h>
#include <stddef.h>

#define ZERO_C_K 273.15

/* Heat that water takes up between two temperatures. */
static double water_heat_w(const double *in)
{
    return in[0] * (swl_coolant_h_j_kg(0, in[2] + ZERO_C_K) - swl_coolant_h_j_kg(0, in[1] + ZERO_C_K));
}

static double side_effectiveness(const double *in)
{
    return swl_exchanger_side_eff(in[0], in[1], in[2], 1);
}

static double crossflow_effectiveness(const double *in)
{
    return swl_exchanger_crossflow_eff(in[0], in[1]);
}

/* By bisection on the library's effectiveness, which rises with NTU. */
static double exchanger_ntu(const double *in)
{
    double low = 0;
    double high = 100;
    for (int i = 0; i < 200; i++) {
        double middle = (low + high) / 2;
        bool below = swl_exchanger_crossflow_eff(middle, in[1]) < in[0];
        low = below ? middle : low;
        high = below ? high : middle;
    }
    return low;
}

static double passes_effectiveness(const double *in)
{
    return swl_exchanger_passes_eff(in[0], in[1], (int)in[2]);
}

/* In: both streams' heat capacity flows and inlet temperatures and the effectiveness of their exchangers; the loop. */
static double loop_w(const double *in)
{
    double hot_w_k = in[2] * fmin(in[0], in[6]);
    double cold_w_k = in[5] * fmin(in[3], in[6]);
    return swl_exchanger_loop_heat_w(hot_w_k, cold_w_k, in[6], in[1], in[4]);
}

static double loop_heat_kw(const double *in)
{
    return loop_w(in) / 1000;
}

static double loop_charge_k(const double *in)
{
    return in[1] - loop_w(in) / in[0];
}

static double coolant_rho(const double *in)
{
    return swl_coolant_rho_kg_m3(in[0] / 100, in[1] + ZERO_C_K);
}

static double coolant_cp(const double *in)
{
    return swl_coolant_cp_j_kg_k(in[0] / 100, in[1] + ZERO_C_K) / 1000;
}

#define LOOP "(c_charge_w_k, t_charge_k, eps_charge, c_front_w_k, t_front_k, eps_front, c_loop_w_k)"

const pub_quantity pub_quantities_cooling[] = {
    {"water_heat_w(water_kg_s, in_c, out_c)", water_heat_w, NULL},
    {"side_effectiveness(ua_w_k, c_own_w_k, c_other_w_k)", side_effectiveness, NULL},
    {"exchanger_ntu(effectiveness, capacity_ratio)", exchanger_ntu, NULL},
    {"crossflow_effectiveness(ntu, capacity_ratio)", crossflow_effectiveness, NULL},
    {"passes_effectiveness(ntu, capacity_ratio, passes)", passes_effectiveness, NULL},
    {"loop_heat_kw" LOOP, loop_heat_kw, NULL},
    {"loop_charge_k" LOOP, loop_charge_k, NULL},
    {"coolant_rho_kg_m3(glycol_percent, t_c)", coolant_rho, NULL},
    {"coolant_cp_kj_kg_k(glycol_percent, t_c)", coolant_cp, NULL},
    {NULL, NULL, NULL},
};
