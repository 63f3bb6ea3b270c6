/* Compression, the blower, its drive, flow through restrictions, the engine, and units. */
#include "quantities.h"

#include "sweptline/air.h"
#include "sweptline/atmosphere.h"
#include "sweptline/blower.h"
#include "sweptline/correction.h"
#include "sweptline/drive.h"
#include "sweptline/engine.h"
#include "sweptline/flow.h"
#include "sweptline/fuel.h"
#include "sweptline/map.h"
#include "sweptline/units.h"

#include <math.h>
#include <stddef.h>
#include <string.h>

#define ZERO_C_K 273.15
#define SEA_PA 101325.0
#define FOOT_M 0.3048
#define R_MOLAR 8.31446261815324

static swl_air dry(void)
{
    return swl_air_humid(288.15, SEA_PA, 0);
}

/* A gas of constant heat capacity, which textbook examples use. */
static swl_air constant_gas(double cp_j_kg_k, double gamma)
{
    double r_j_kg_k = cp_j_kg_k * (gamma - 1) / gamma;
    return (swl_air){.r_j_kg_k = r_j_kg_k, .molar_mass_kg_mol = R_MOLAR / r_j_kg_k, .cp = {[2] = gamma / (gamma - 1)}};
}

/* ---- compression ---- */

static double isentropic_t2_k(const double *in)
{
    swl_air air = dry();
    return swl_air_t_isentropic_k(&air, in[0], in[1]);
}

static double humid_isentropic_t2_k(const double *in)
{
    double t1_k = in[0] + ZERO_C_K;
    swl_air air = swl_air_humid(t1_k, in[2], in[1] / 100);
    return swl_air_t_isentropic_k(&air, t1_k, in[3]);
}

static double isentropic_constant_t2_k(const double *in)
{
    swl_air air = constant_gas(1005, in[2]);
    return swl_air_t_isentropic_k(&air, in[0], in[1]);
}

/* Inlet temperature, pressure ratio, adiabatic and mechanical efficiency stand first. */
static swl_compression compressed(swl_air air, const double *in, swl_efficiency_from from)
{
    swl_blower blower = {.mechanical_eff_frac = in[3], .efficiency_from = from};
    return swl_blower_compress(&blower, &air, in[0], in[1], in[2]);
}

static double compress_t2_k(const double *in)
{
    return compressed(dry(), in, SWL_FROM_TEMPERATURE_RISE).t2_k;
}

static double compress_work_kj_kg(const double *in)
{
    return compressed(dry(), in, SWL_FROM_TEMPERATURE_RISE).work_shaft_j_kg / 1000;
}

static double compress_constant_t2_k(const double *in)
{
    return compressed(constant_gas(in[4] * 1000, in[5]), in, SWL_FROM_TEMPERATURE_RISE).t2_k;
}

static double compress_constant_work_kj_kg(const double *in)
{
    return compressed(constant_gas(in[4] * 1000, in[5]), in, SWL_FROM_TEMPERATURE_RISE).work_shaft_j_kg / 1000;
}

static double compress_shaft_t2_k(const double *in)
{
    return compressed(constant_gas(in[4] * 1000, in[5]), in, SWL_FROM_SHAFT_POWER).t2_k;
}

static double compress_shaft_work_kj_kg(const double *in)
{
    return compressed(constant_gas(in[4] * 1000, in[5]), in, SWL_FROM_SHAFT_POWER).work_shaft_j_kg / 1000;
}

/* ---- blower ---- */

static double roots_limit(const double *in)
{
    return swl_map_roots_limit(in[0], in[1]);
}

/* Power that isentropic compression saves over a Roots blower, from the pressure at an altitude to sea level. */
static double roots_saving_percent(const double *in)
{
    double ratio = SEA_PA / swl_atmosphere_p_pa(in[0] * FOOT_M);
    return 100 * (1 - swl_map_roots_limit(ratio, 1.4));
}

/* A Roots blower's power: a compression at its own limit. p1, p2 in bar, m3 a cycle, cycles a minute, inlet K. */
static double roots_power_kw(const double *in)
{
    double ratio = in[1] / in[0];
    swl_air air = constant_gas(1005, 1.4);
    double state[] = {in[4], ratio, swl_map_roots_limit(ratio, 1.4), 1};
    double mdot_kg_s = in[0] * 1e5 / (air.r_j_kg_k * in[4]) * in[2] * in[3] / 60;
    return mdot_kg_s * compressed(air, state, SWL_FROM_TEMPERATURE_RISE).work_shaft_j_kg / 1000;
}

static double corrected_rpm(const double *in)
{
    swl_blower blower = {.t_map_k = in[1] + ZERO_C_K};
    return swl_blower_corrected_rpm(&blower, in[0], in[2] + ZERO_C_K);
}

/* ---- drive ---- */

static double drive_ratio(const double *in)
{
    swl_drive drive = {.d_crank_m = in[0] / 1000,
                       .d_blower_m = in[1] / 1000,
                       .line_differential_m = in[2] / 1000,
                       .jackshaft_ratio = in[4]};
    return swl_drive_ratio(&drive, in[3]);
}

static double drive_pulley_mm(const double *in)
{
    swl_drive drive = {.d_crank_m = in[0] / 1000, .line_differential_m = in[1] / 1000, .jackshaft_ratio = 1};
    return swl_drive_blower_pulley_m(&drive, 1, in[2], in[3]) * 1000;
}

/* ---- flow ---- */

static double orifice(const double *in)
{
    return swl_flow_orifice(in[0], in[1]);
}

static double critical_ratio(const double *in)
{
    return swl_flow_critical_ratio(in[0]);
}

/* Area over throat area of an isentropic stream at a Mach number: the choked flow function over that at its p/p0. */
static double area_ratio(const double *in)
{
    double g = in[1];
    double p_ratio = pow(1 + (g - 1) / 2 * in[0] * in[0], -g / (g - 1));
    return swl_flow_orifice(0.01, g) / swl_flow_orifice(p_ratio, g);
}

/* Choked m sqrt(T)/(A p) in air, in sqrt(K) s/m. */
static double choked_parameter(const double *in)
{
    (void)in;
    return swl_flow_orifice(0.1, 1.4) / sqrt(dry().r_j_kg_k);
}

static double throttle_mdot_kg_s(const double *in)
{
    double area_m2 = 3.14159265358979323846 / 4 * in[0] * in[0] * 1e-6;
    return in[1] * area_m2 * in[2] * swl_flow_orifice(in[4], 1.4) / sqrt(dry().r_j_kg_k * in[3]);
}

static double throttle_ratio(const double *in)
{
    bool choked = false;
    return swl_flow_throttle_ratio(in[0], in[1], &choked);
}

static double loss_pa(const double *in)
{
    double k = swl_flow_loss_factor((swl_loss){.dp_pa = in[0], .mdot_kg_s = in[1]});
    return k * in[2] * in[2] / in[3];
}

/* ---- engine ---- */

static double ideal_ve(const double *in)
{
    return swl_engine_ideal_ve_frac(in[0], in[1]);
}

static double ve_at_temperature(const double *in)
{
    swl_engine engine = {.ve_t_sqrt = true, .t_ve_k = in[1] + ZERO_C_K};
    return swl_engine_ve_frac(&engine, in[0], in[2] + ZERO_C_K, 1);
}

/* Air in a full cylinder; R from a density stated at p0, T0. In: p0, T0, density, p, T, cm3. */
static double charge_g(const double *in)
{
    swl_engine engine = {.disp_m3 = in[5] * 1e-6};
    double r_j_kg_k = in[0] / (in[2] * in[1]);
    return 1000 * swl_engine_mdot_kg_s(&engine, 1, in[3], in[4], r_j_kg_k, 120);
}

static double exhaust_kpa(const double *in)
{
    swl_engine engine = {.back_pressure = {.dp_pa = in[1] * 1000, .mdot_kg_s = in[2]}};
    return swl_engine_exhaust_pa(&engine, in[0] * 1000, in[3]) / 1000;
}

static double j1349_factor(const double *in)
{
    return swl_correction_at(SWL_CORRECTION_J1349, in[1] + ZERO_C_K, in[0] * 100).factor;
}

static double iso1585_factor(const double *in)
{
    return swl_correction_at(SWL_CORRECTION_ISO_1585, in[1], in[0] * 1000).factor;
}

/* Atoms of carbon, hydrogen and oxygen. */
static double stoichiometric_afr(const double *in)
{
    return swl_fuel_air_ratio(in[1] / in[0], in[2] / in[0]);
}

/* ---- units ---- */

/* Given: "pressure, 1 psi": a kind and what is read as one. Returns: SI, NaN when it is not read. */
static double si(const char *text)
{
    static const struct {
        const char *kind;
        swl_dim dim;
    } kinds[] = {{"length", SWL_DIM_LENGTH},
                 {"volume", SWL_DIM_VOLUME},
                 {"volume a turn", SWL_DIM_VOLUME_REV},
                 {"temperature", SWL_DIM_TEMPERATURE},
                 {"pressure", SWL_DIM_PRESSURE},
                 {"mass flow", SWL_DIM_MASS_FLOW},
                 {"volume flow", SWL_DIM_VOLUME_FLOW},
                 {"power", SWL_DIM_POWER},
                 {"torque", SWL_DIM_TORQUE},
                 {"force", SWL_DIM_FORCE}};
    swl_slice slice = {text, strlen(text)};
    swl_slice kind = swl_slice_split(&slice, ',');
    swl_quantity quantity;
    swl_fault fault;
    for (size_t i = 0; i < sizeof kinds / sizeof kinds[0]; i++) {
        if (swl_slice_is(kind, kinds[i].kind) && slice.at != NULL) {
            return swl_quantity_read(swl_slice_trim(slice), kinds[i].dim, &quantity, &fault) ? quantity.value
                                                                                             : (double)NAN;
        }
    }
    return (double)NAN;
}

/* The inputs are part of the name, so that a table cannot mistake their order. */
const pub_quantity pub_quantities_parts[] = {
    {"isentropic_t2_k(t1_k, p_ratio)", isentropic_t2_k, NULL},
    {"humid_isentropic_t2_k(t_c, rh_percent, p_pa, p_ratio)", humid_isentropic_t2_k, NULL},
    {"isentropic_constant_t2_k(t1_k, p_ratio, gamma)", isentropic_constant_t2_k, NULL},
    {"compress_t2_k(t1_k, p_ratio, ea, em)", compress_t2_k, NULL},
    {"compress_work_kj_kg(t1_k, p_ratio, ea, em)", compress_work_kj_kg, NULL},
    {"compress_constant_t2_k(t1_k, p_ratio, ea, em, cp_kj_kg_k, gamma)", compress_constant_t2_k, NULL},
    {"compress_constant_work_kj_kg(t1_k, p_ratio, ea, em, cp_kj_kg_k, gamma)", compress_constant_work_kj_kg, NULL},
    {"compress_shaft_t2_k(t1_k, p_ratio, ea, em, cp_kj_kg_k, gamma)", compress_shaft_t2_k, NULL},
    {"compress_shaft_work_kj_kg(t1_k, p_ratio, ea, em, cp_kj_kg_k, gamma)", compress_shaft_work_kj_kg, NULL},
    {"roots_limit(p_ratio, gamma)", roots_limit, NULL},
    {"roots_saving_percent(altitude_ft)", roots_saving_percent, NULL},
    {"roots_power_kw(p1_bar, p2_bar, cycle_m3, cycles_min, t1_k)", roots_power_kw, NULL},
    {"corrected_rpm(speed_rpm, t_map_c, t1_c)", corrected_rpm, NULL},
    {"drive_ratio(crank_mm, blower_mm, differential_mm, gear, jackshaft)", drive_ratio, NULL},
    {"drive_pulley_mm(crank_mm, differential_mm, engine_rpm, blower_rpm)", drive_pulley_mm, NULL},
    {"orifice(p_ratio, gamma)", orifice, NULL},
    {"critical_ratio(gamma)", critical_ratio, NULL},
    {"area_ratio(mach, gamma)", area_ratio, NULL},
    {"choked_parameter()", choked_parameter, NULL},
    {"throttle_mdot_kg_s(bore_mm, p_pa, cd, t_k, p_ratio)", throttle_mdot_kg_s, NULL},
    {"throttle_ratio(demand, gamma)", throttle_ratio, NULL},
    {"loss_pa(dp_ref_pa, mdot_ref_kg_s, mdot_kg_s, rho_kg_m3)", loss_pa, NULL},
    {"ideal_ve(compression_ratio, p_exhaust_ratio)", ideal_ve, NULL},
    {"ve_at_temperature(ve, t_ve_c, t_charge_c)", ve_at_temperature, NULL},
    {"charge_g(p0_pa, t0_k, rho0_kg_m3, p_pa, t_k, disp_cm3)", charge_g, NULL},
    {"exhaust_kpa(p0_kpa, dp_ref_kpa, mdot_ref_kg_s, mdot_kg_s)", exhaust_kpa, NULL},
    {"j1349_factor(p_mbar, t_c)", j1349_factor, NULL},
    {"iso1585_factor(ps_kpa, t_k)", iso1585_factor, NULL},
    {"stoichiometric_afr(c, h, o)", stoichiometric_afr, NULL},
    {"si(kind, words)", NULL, si},
    {NULL, NULL, NULL},
};
