#include "parts/steep.h"

#include <math.h>

static double temperature_ratio(double p_ratio, double ea_frac)
{
    return 1 + (pow(p_ratio, 2.0 / 7) - 1) / ea_frac;
}

double swl_steepness(double ratio_a, double ev_a, double ea_a, double ratio_b, double ev_b, double ea_b)
{
    double heat = log(temperature_ratio(ratio_b, ea_b) / temperature_ratio(ratio_a, ea_a));
    return heat - log(ratio_b / ratio_a) - log(ev_a / ev_b);
}
