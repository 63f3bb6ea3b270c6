/* Estimated engine power at an operating point: from the air, what burns in it, and what takes its share. */
#ifndef SWEPTLINE_POWER_H
#define SWEPTLINE_POWER_H

#include "sweptline/fuel.h"
#include "sweptline/match.h"

/* What the build left out and this estimate filled in. */
enum {
    SWL_POWER_ASSUMED_FUEL = 1,       /* petrol */
    SWL_POWER_ASSUMED_LAMBDA = 2,     /* SWL_POWER_LAMBDA */
    SWL_POWER_ASSUMED_EFFICIENCY = 4, /* SWL_POWER_INDICATED_EFF */
    SWL_POWER_ASSUMED_FRICTION = 8,   /* swl_power_friction_pa */
    SWL_POWER_NO_FIT = 16             /* the known power asks for an efficiency outside the range below */
};

/* Common practice, no source: a boosted petrol engine at full load, and gross indicated work over the heat that the
 * charge's oxygen can release. */
#define SWL_POWER_LAMBDA 0.85
#define SWL_POWER_INDICATED_EFF 0.38
/* What a fit to a known power may come out at. */
#define SWL_POWER_INDICATED_EFF_MIN 0.25
#define SWL_POWER_INDICATED_EFF_MAX 0.55

/* The day a known power is taken to be corrected to, the reference of SAE J1349 and of ISO 1585: 25 degC, 99 kPa dry
 * and 1 kPa of vapour. */
#define SWL_POWER_REFERENCE_T_K 298.15
#define SWL_POWER_REFERENCE_P_PA 100000.0
#define SWL_POWER_REFERENCE_VAPOUR_PA 1000.0

/* What is the same at every point of a build. */
typedef struct swl_power_basis {
    const swl_fuel *fuel;
    double lambda;
    double indicated_eff_frac; /* NAN with SWL_POWER_NO_FIT, and then there is no power */
    double heat_j_kg;          /* that a kilogram of dry air can release */
    double dry_frac;           /* mass of dry air in the charge's */
    double fitted_eff_frac;    /* what the known power asks for; NAN when none is given */
    double na_mdot_kg_s;       /* air flow without the blower at the known power; NAN when none is given */
    unsigned assumed;
} swl_power_basis;

/* All in W but the flow; NAN where there is no estimate. wheel_w is NAN when no driveline loss is given. */
typedef struct swl_power {
    double indicated_w; /* gross */
    double pumping_w;   /* of the gas exchange loop; above 0 where boost pushes the piston down */
    double friction_w;
    double drive_w; /* taken off the crankshaft by the blower, belt slip included */
    double crank_w;
    double crank_torque_nm;
    double wheel_w;
    double fuel_kg_s;
} swl_power;

/* Finds what a build's power estimate rests on. With a known power the indicated efficiency is fitted to it: the
 * engine without the blower breathes the reference day at manifold pressure 100 kPa and charge temperature T_ve.
 * Given: a build whose fuel is one of the table. */
swl_power_basis swl_power_basis_of(const swl_build *build);

/* crank = gross indicated + pumping - friction - blower drive, with gross indicated = m_dry eta_i LHV/AFR_st
 * min(1, 1/lambda), pumping = (p3 - pe) Vd N/120, friction = fmep Vd N/120, drive = W/(1 - slip).
 * Given: a solved point of the build. Equations: docs/model.md (28) to (33).
 * Left out: knock and the spark it takes back, charge cooling by the fuel, incomplete burning but by lambda. */
swl_power swl_power_at(const swl_build *build, const swl_power_basis *basis, const swl_point *point);

/* Friction mean effective pressure in Pa at an engine speed in rev/min: 0.97 + 0.15 (N/1000) + 0.05 (N/1000)^2 bar.
 * Source: J. B. Heywood (1988), eq. 13.6, after Barnes-Moss (1975), four-cylinder spark-ignition engines of 845 to
 * 2000 cm3 at wide-open throttle, accessories included; formula from memory. Engines since lose less. */
double swl_power_friction_pa(double engine_rpm);

#endif
