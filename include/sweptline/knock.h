/* How much nearer to end-gas autoignition the charge comes than the engine's own without the blower. A relative figure:
 * it replaces no detonation monitoring. */
#ifndef SWEPTLINE_KNOCK_H
#define SWEPTLINE_KNOCK_H

#include "sweptline/check.h"
#include "sweptline/progress.h"

/* What the comparison takes for one cycle. Common practice, no source, unless said. */
typedef struct swl_knock_model {
    double pressure_power;  /* of the ignition delay; Douaud and Eyzat 1.7 */
    double activation_k;    /* their 3800 K */
    double octane_power;    /* their 3.402 */
    double half_burned_deg; /* crank angle after top dead centre at which half is burned */
    double duration_deg;    /* from no heat to all of it */
    double gamma_unburned;
    double gamma_mixture;  /* of the first law over the cylinder's contents */
    double heat_kept_frac; /* of the heat that walls and crevices leave to the gas */
    double residual_k;     /* burned gas left in the clearance volume */
} swl_knock_model;

swl_knock_model swl_knock_model_default(void);

/* A trapped charge, for a cylinder of unit swept volume. */
typedef struct swl_knock_charge {
    double p_pa; /* at the start of compression */
    double t_k;
    double heat_pa; /* heat released over the swept volume, J/m3 */
    double engine_rpm;
    double compression_ratio;
} swl_knock_charge;

/* The integral of dt/tau over the unburned charge from bottom dead centre until 90 % is burned.
 * Given: an octane number's share of 100, above 0. Returns: 1 where the correlation has it ignite by itself.
 * tau = 17.68 ms (ON/100)^3.402 (p/atm)^-1.7 exp(3800 K/T). Source: A. M. Douaud and P. Eyzat, SAE 780080 (1978), for
 * primary reference fuels of 80 to 100 octane; in J. B. Heywood (1988), section 9.6.2; from memory.
 * The pressure follows from the first law with constant gamma, Heywood section 9.2, and a Wiebe function (a 5, m 2);
 * connecting rod 3.5 crank radii. Left out: heat to the walls but as heat_kept_frac, two-stage ignition, hot spots. */
double swl_knock_integral(const swl_knock_model *model, const swl_knock_charge *charge, double octane_share);

/* The charge of a solved point, and of the same engine without its blower. That breathes the site's air, which it warms
 * as much as T_ve is above 25 degC; not at all where T_ve is not given. */
swl_knock_charge swl_knock_charge_boosted(const swl_build *build, const swl_knock_model *model, const swl_point *point);
swl_knock_charge swl_knock_charge_aspirated(const swl_build *build, const swl_knock_model *model, double engine_rpm);

/* A figure and the least and most that it becomes when the model's numbers are varied, one after another. */
typedef struct swl_knock_figure {
    double middle, low, high;
} swl_knock_figure;

/* ratio: integral with the blower over that without. octane_factor: what the octane number would have to be multiplied
 * by for the same integral. retard_deg: how much later half must be burned for it; high is INFINITY where 40 degrees do
 * not do it. */
typedef struct swl_knock_row {
    double engine_rpm;
    bool on_map; /* whether the point lies inside the blower's map */
    double p3_pa, t3_k;
    double p_na_pa, t_na_k;
    swl_knock_figure ratio;
    swl_knock_figure octane_factor;
    swl_knock_figure retard_deg;
} swl_knock_row;

typedef struct swl_knock_study {
    swl_knock_row *rows; /* owned */
    size_t count;
    bool exceeded; /* the build exceeds a limit */
} swl_knock_study;

/* Compares every row of the operating line.
 * Given: a build with a compression ratio, who is told of the rows done (may be NULL). Errors: SWL_ERR_USAGE without
 * one; those of swl_check_run. */
swl_status swl_knock_run(const swl_build *build, const swl_progress *progress, swl_knock_study *study,
                         swl_err *err) SWL_MUST_CHECK;
void swl_knock_free(swl_knock_study *study);

#endif
