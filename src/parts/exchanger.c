#include "sweptline/exchanger.h"

#include <math.h>

double swl_exchanger_crossflow_eff(double ntu, double c_ratio)
{
    /* NTU^0.22 is NTU/NTU^0.78, so the exponent is NTU (exp(-x) - 1)/x, which keeps its digits down to x = 0. */
    double x = c_ratio * pow(ntu, 0.78);
    return -expm1(ntu * (x > 0 ? expm1(-x) / x : -1));
}

double swl_exchanger_passes_eff(double ntu, double c_ratio, int passes)
{
    double e = swl_exchanger_crossflow_eff(ntu / passes, c_ratio);
    if (passes <= 1 || e >= 1) {
        return e;
    }
    /* z = 1 + d; (z^n - 1)/((z^n - 1) + (1 - C_r)), and both parts have a factor 1 - C_r, which may be 0. */
    double d = e * (1 - c_ratio) / (1 - e);
    double growth = 0; /* (z^n - 1)/(z - 1) */
    double power = 1;
    for (int i = 0; i < passes; i++) {
        growth += power;
        power *= 1 + d;
    }
    double share = growth * e / (1 - e);
    return share / (share + 1);
}

double swl_exchanger_side_eff(double ua_w_k, double c_own_w_k, double c_other_w_k, int passes)
{
    double c_min_w_k = fmin(c_own_w_k, c_other_w_k);
    double c_max_w_k = fmax(c_own_w_k, c_other_w_k);
    return swl_exchanger_passes_eff(ua_w_k / c_min_w_k, c_min_w_k / c_max_w_k, passes) * c_min_w_k / c_own_w_k;
}

double swl_exchanger_loop_heat_w(double hot_w_k, double cold_w_k, double loop_w_k, double t_hot_k, double t_cold_k)
{
    return (t_hot_k - t_cold_k) / (1 / hot_w_k + 1 / cold_w_k - 1 / loop_w_k);
}
