/* The standard atmosphere, water vapour, and heat capacity, enthalpy and entropy of air. */
#include "quantities.h"

#include "sweptline/air.h"
#include "sweptline/atmosphere.h"

#include <math.h>
#include <stddef.h>

#define ZERO_C_K 273.15
#define SEA_PA 101325.0
#define FOOT_M 0.3048
#define INHG_PA 3386.389         /* conventional, NIST SP 811 */
#define EARTH_RADIUS_M 6356766.0 /* nominal, ISO 2533 */

static swl_air dry(void)
{
    return swl_air_humid(288.15, SEA_PA, 0);
}

/* Nothing but vapour: the humidity at which its share is 1. */
static swl_air vapour(void)
{
    return swl_air_humid(373.15, SEA_PA, SEA_PA / swl_air_saturation_pa(373.15));
}

/* ---- atmosphere ---- */

static double atmosphere_t_k(const double *in)
{
    return swl_atmosphere_t_k(in[0]);
}

static double atmosphere_p_pa(const double *in)
{
    return swl_atmosphere_p_pa(in[0]);
}

static double atmosphere_p_hpa(const double *in)
{
    return swl_atmosphere_p_pa(in[0]) / 100;
}

static double atmosphere_p_inhg(const double *in)
{
    return swl_atmosphere_p_pa(in[0] * FOOT_M) / INHG_PA;
}

static double atmosphere_altitude_m(const double *in)
{
    return swl_atmosphere_altitude_m(in[0] * 100);
}

static double atmosphere_density_kg_m3(const double *in)
{
    return swl_atmosphere_p_pa(in[0]) / (dry().r_j_kg_k * swl_atmosphere_t_k(in[0]));
}

static double atmosphere_geometric_pa(const double *in)
{
    return swl_atmosphere_p_pa(EARTH_RADIUS_M * in[0] / (EARTH_RADIUS_M + in[0])) - swl_atmosphere_p_pa(in[0]);
}

/* ---- water vapour ---- */

static double saturation_pa(const double *in)
{
    return swl_air_saturation_pa(in[0] + ZERO_C_K);
}

static double saturation_kpa(const double *in)
{
    return swl_air_saturation_pa(in[0] + ZERO_C_K) / 1000;
}

static double saturation_at_k_pa(const double *in)
{
    return swl_air_saturation_pa(in[0]);
}

static swl_air humid(const double *in)
{
    return swl_air_humid(in[0] + ZERO_C_K, in[2], in[1] / 100);
}

static double dew_point_c(const double *in)
{
    swl_air air = humid(in);
    return swl_air_dew_point_k(&air, in[2]) - ZERO_C_K;
}

static double humid_density_kg_m3(const double *in)
{
    return in[2] / (humid(in).r_j_kg_k * (in[0] + ZERO_C_K));
}

/* Mass of water in a mass of dry air. */
static double saturated_humidity_ratio(const double *in)
{
    swl_air air = swl_air_humid(in[0] + ZERO_C_K, SEA_PA, 1);
    return vapour().molar_mass_kg_mol * air.x_water / (dry().molar_mass_kg_mol * (1 - air.x_water));
}

/* ---- heat capacity, enthalpy, entropy ---- */

static double dry_molar_mass_g_mol(const double *in)
{
    (void)in;
    return dry().molar_mass_kg_mol * 1000;
}

static double dry_r_j_kg_k(const double *in)
{
    (void)in;
    return dry().r_j_kg_k;
}

static double molar_cp(swl_air air, double t_k)
{
    return swl_air_cp_j_kg_k(&air, t_k) * air.molar_mass_kg_mol;
}

static double molar_h(swl_air air, double t_k)
{
    return swl_air_h_j_kg(&air, t_k) * air.molar_mass_kg_mol;
}

static double ds0_j_kg_k(swl_air air, double t_k, double ref_k)
{
    return swl_air_s0_j_kg_k(&air, t_k) - swl_air_s0_j_kg_k(&air, ref_k);
}

static double dry_cp_j_mol_k(const double *in)
{
    return molar_cp(dry(), in[0]);
}

static double dry_cp_kj_kg_k(const double *in)
{
    swl_air air = dry();
    return swl_air_cp_j_kg_k(&air, in[0]) / 1000;
}

static double dry_gamma(const double *in)
{
    swl_air air = dry();
    return swl_air_gamma(&air, in[0]);
}

static double dry_h_j_mol(const double *in)
{
    return molar_h(dry(), in[0]);
}

static double dry_dh_j_mol(const double *in)
{
    return molar_h(dry(), in[0]) - molar_h(dry(), in[1]);
}

static double dry_dh_kj_kg(const double *in)
{
    swl_air air = dry();
    return (swl_air_h_j_kg(&air, in[0]) - swl_air_h_j_kg(&air, in[1])) / 1000;
}

static double dry_ds0_j_mol_k(const double *in)
{
    return ds0_j_kg_k(dry(), in[0], in[1]) * dry().molar_mass_kg_mol;
}

static double dry_ds0_kj_kg_k(const double *in)
{
    return ds0_j_kg_k(dry(), in[0], in[1]) / 1000;
}

static double dry_pr_ratio(const double *in)
{
    return exp(ds0_j_kg_k(dry(), in[0], in[1]) / dry().r_j_kg_k);
}

static double vapour_cp_j_mol_k(const double *in)
{
    return molar_cp(vapour(), in[0]);
}

static double vapour_h_kj_mol(const double *in)
{
    return molar_h(vapour(), in[0]) / 1000;
}

static double vapour_dh_kj_mol(const double *in)
{
    return (molar_h(vapour(), in[0]) - molar_h(vapour(), in[1])) / 1000;
}

static double vapour_ds0_j_mol_k(const double *in)
{
    return ds0_j_kg_k(vapour(), in[0], in[1]) * vapour().molar_mass_kg_mol;
}

/* The inputs are part of the name, so that a table cannot mistake their order. */
const pub_quantity pub_quantities_air[] = {
    {"atmosphere_t_k(altitude_m)", atmosphere_t_k, NULL},
    {"atmosphere_p_pa(altitude_m)", atmosphere_p_pa, NULL},
    {"atmosphere_p_hpa(altitude_m)", atmosphere_p_hpa, NULL},
    {"atmosphere_p_inhg(altitude_ft)", atmosphere_p_inhg, NULL},
    {"atmosphere_altitude_m(p_hpa)", atmosphere_altitude_m, NULL},
    {"atmosphere_density_kg_m3(altitude_m)", atmosphere_density_kg_m3, NULL},
    {"atmosphere_geometric_pa(altitude_m)", atmosphere_geometric_pa, NULL},
    {"saturation_pa(t_c)", saturation_pa, NULL},
    {"saturation_kpa(t_c)", saturation_kpa, NULL},
    {"saturation_at_k_pa(t_k)", saturation_at_k_pa, NULL},
    {"dew_point_c(t_c, rh_percent, p_pa)", dew_point_c, NULL},
    {"humid_density_kg_m3(t_c, rh_percent, p_pa)", humid_density_kg_m3, NULL},
    {"saturated_humidity_ratio(t_c)", saturated_humidity_ratio, NULL},
    {"dry_molar_mass_g_mol()", dry_molar_mass_g_mol, NULL},
    {"dry_r_j_kg_k()", dry_r_j_kg_k, NULL},
    {"dry_cp_j_mol_k(t_k)", dry_cp_j_mol_k, NULL},
    {"dry_cp_kj_kg_k(t_k)", dry_cp_kj_kg_k, NULL},
    {"dry_gamma(t_k)", dry_gamma, NULL},
    {"dry_h_j_mol(t_k)", dry_h_j_mol, NULL},
    {"dry_dh_j_mol(t_k, ref_k)", dry_dh_j_mol, NULL},
    {"dry_dh_kj_kg(t_k, ref_k)", dry_dh_kj_kg, NULL},
    {"dry_ds0_j_mol_k(t_k, ref_k)", dry_ds0_j_mol_k, NULL},
    {"dry_ds0_kj_kg_k(t_k, ref_k)", dry_ds0_kj_kg_k, NULL},
    {"dry_pr_ratio(t_k, ref_k)", dry_pr_ratio, NULL},
    {"vapour_cp_j_mol_k(t_k)", vapour_cp_j_mol_k, NULL},
    {"vapour_h_kj_mol(t_k)", vapour_h_kj_mol, NULL},
    {"vapour_dh_kj_mol(t_k, ref_k)", vapour_dh_kj_mol, NULL},
    {"vapour_ds0_j_mol_k(t_k, ref_k)", vapour_ds0_j_mol_k, NULL},
    {NULL, NULL, NULL},
};
