#include "sweptline/blower.h"

#include <math.h>

void swl_blower_free(swl_blower *blower)
{
    swl_map_free(blower->map);
    *blower = (swl_blower){0};
}

double swl_blower_corrected_rpm(const swl_blower *blower, double speed_rpm, double t1_k)
{
    return speed_rpm * sqrt(blower->t_map_k / t1_k);
}

double swl_blower_speed_rpm(const swl_blower *blower, double corrected_rpm, double t1_k)
{
    return corrected_rpm / sqrt(blower->t_map_k / t1_k);
}

swl_compression swl_blower_compress(const swl_blower *blower, const swl_air *air, double t1_k, double p_ratio,
                                    double ea_frac)
{
    double h1 = swl_air_h_j_kg(air, t1_k);
    double t2s_k = swl_air_t_isentropic_k(air, t1_k, p_ratio);
    double ideal_j_kg = swl_air_h_j_kg(air, t2s_k) - h1;
    double actual_j_kg = p_ratio < 1 ? ideal_j_kg * ea_frac : ideal_j_kg / ea_frac;
    /* Friction takes its share of what goes into the shaft, and of what comes out of it. */
    double eta = p_ratio < 1 ? 1 / blower->mechanical_eff_frac : blower->mechanical_eff_frac;
    bool from_power = blower->efficiency_from == SWL_FROM_SHAFT_POWER;
    double work_j_kg = from_power ? actual_j_kg : actual_j_kg / eta;
    double rise_j_kg = from_power ? actual_j_kg * eta : actual_j_kg;
    double guess_k = t1_k + rise_j_kg / swl_air_cp_j_kg_k(air, (t1_k + t2s_k) / 2);
    return (swl_compression){
        .t2s_k = t2s_k,
        .t2_k = swl_air_t_of_h_k(air, h1 + rise_j_kg, guess_k),
        .work_shaft_j_kg = work_j_kg,
    };
}
