#include "sweptline/power.h"

#include <math.h>

#define PI 3.14159265358979323846
#define WATER_KG_MOL 18.01528e-3

double swl_power_friction_pa(double engine_rpm)
{
    double n = engine_rpm / 1000;
    return 1e5 * (0.97 + 0.15 * n + 0.05 * n * n);
}

/* Power in W of a mean effective pressure in Pa, four-stroke. */
static double mep_w(const swl_engine *engine, double mep_pa, double engine_rpm)
{
    return mep_pa * engine->disp_m3 * engine_rpm / 120;
}

static double friction_w(const swl_engine *engine, double engine_rpm)
{
    double fmep_pa =
        engine->friction != NULL ? swl_curve_at(engine->friction, engine_rpm) : swl_power_friction_pa(engine_rpm);
    return mep_w(engine, fmep_pa, engine_rpm);
}

static double dry_frac(const swl_air *air)
{
    return 1 - air->x_water * WATER_KG_MOL / air->molar_mass_kg_mol;
}

static void fit(const swl_engine *engine, swl_power_basis *basis)
{
    double vapour_share = SWL_POWER_REFERENCE_VAPOUR_PA / swl_air_saturation_pa(SWL_POWER_REFERENCE_T_K);
    swl_air air = swl_air_humid(SWL_POWER_REFERENCE_T_K, SWL_POWER_REFERENCE_P_PA, vapour_share);
    double t_k = isnan(engine->t_ve_k) ? SWL_POWER_REFERENCE_T_K : engine->t_ve_k;
    swl_aspirated aspirated =
        swl_engine_aspirated(engine, SWL_POWER_REFERENCE_P_PA, t_k, air.r_j_kg_k, engine->known_power_speed_rpm);
    double pumping_w = mep_w(engine, SWL_POWER_REFERENCE_P_PA - aspirated.p_exhaust_pa, engine->known_power_speed_rpm);
    basis->na_mdot_kg_s = aspirated.mdot_kg_s;
    double indicated_w = engine->known_power_w - pumping_w + friction_w(engine, engine->known_power_speed_rpm);
    basis->fitted_eff_frac = indicated_w / (basis->na_mdot_kg_s * dry_frac(&air) * basis->heat_j_kg);
    bool sound =
        basis->fitted_eff_frac >= SWL_POWER_INDICATED_EFF_MIN && basis->fitted_eff_frac <= SWL_POWER_INDICATED_EFF_MAX;
    basis->indicated_eff_frac = sound ? basis->fitted_eff_frac : (double)NAN;
    basis->assumed |= sound ? 0U : SWL_POWER_NO_FIT;
}

swl_power_basis swl_power_basis_of(const swl_build *build)
{
    const swl_engine *engine = &build->engine;
    swl_air air = swl_air_humid(build->site.t_k, build->site.p_pa, build->site.rh_frac);
    swl_power_basis basis = {
        .fuel = swl_fuel_find(engine->fuel),
        .lambda = isnan(engine->lambda) ? SWL_POWER_LAMBDA : engine->lambda,
        .indicated_eff_frac = engine->indicated_eff_frac,
        .dry_frac = dry_frac(&air),
        .fitted_eff_frac = NAN,
        .na_mdot_kg_s = NAN,
    };
    basis.fuel = basis.fuel == NULL ? swl_fuel_at(0) : basis.fuel;
    basis.heat_j_kg = basis.fuel->lhv_j_kg / basis.fuel->air_fuel_ratio * fmin(1, 1 / basis.lambda);
    basis.assumed |= engine->fuel[0] == '\0' ? SWL_POWER_ASSUMED_FUEL : 0U;
    basis.assumed |= isnan(engine->lambda) ? SWL_POWER_ASSUMED_LAMBDA : 0U;
    basis.assumed |= engine->friction == NULL ? SWL_POWER_ASSUMED_FRICTION : 0U;
    if (!isnan(engine->known_power_w)) {
        fit(engine, &basis);
    } else if (isnan(engine->indicated_eff_frac)) {
        basis.indicated_eff_frac = SWL_POWER_INDICATED_EFF;
        basis.assumed |= SWL_POWER_ASSUMED_EFFICIENCY;
    }
    return basis;
}

swl_power swl_power_at(const swl_build *build, const swl_power_basis *basis, const swl_point *point)
{
    const swl_engine *engine = &build->engine;
    double dry_kg_s = point->mdot_kg_s * basis->dry_frac;
    /* What the belt loses by slipping comes off the crankshaft too, and off what the air gives back. */
    double kept_frac = 1 - build->drive.slip_frac;
    swl_power power = {
        .indicated_w = dry_kg_s * basis->heat_j_kg * basis->indicated_eff_frac,
        .pumping_w = mep_w(engine, point->p3_pa - point->p_e_pa, point->engine_rpm),
        .friction_w = friction_w(engine, point->engine_rpm),
        .drive_w = point->p_shaft_w < 0 ? point->p_shaft_w * kept_frac : point->p_shaft_w / kept_frac,
        .fuel_kg_s = dry_kg_s / (basis->fuel->air_fuel_ratio * basis->lambda),
    };
    power.crank_w = power.indicated_w + power.pumping_w - power.friction_w - power.drive_w;
    power.crank_torque_nm = power.crank_w / (2 * PI * point->engine_rpm / 60);
    power.wheel_w = power.crank_w * (1 - engine->driveline_loss_frac);
    return power;
}
