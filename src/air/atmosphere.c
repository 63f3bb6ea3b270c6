#include "sweptline/atmosphere.h"

#include <math.h>

#define T_SEA_K 288.15
#define P_SEA_PA 101325.0
#define LAPSE_K_M 0.0065
#define EXPONENT (9.80665 / (287.05287 * LAPSE_K_M))

double swl_atmosphere_t_k(double altitude_m)
{
    return T_SEA_K - LAPSE_K_M * altitude_m;
}

double swl_atmosphere_p_pa(double altitude_m)
{
    return P_SEA_PA * pow(swl_atmosphere_t_k(altitude_m) / T_SEA_K, EXPONENT);
}

double swl_atmosphere_altitude_m(double p_pa)
{
    return T_SEA_K / LAPSE_K_M * (1 - pow(p_pa / P_SEA_PA, 1 / EXPONENT));
}
