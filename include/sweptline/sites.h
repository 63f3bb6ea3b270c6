/* One build on other days and in other places, and a power measured there. */
#ifndef SWEPTLINE_SITES_H
#define SWEPTLINE_SITES_H

#include "sweptline/check.h"
#include "sweptline/correction.h"

enum { SWL_SITES_MAX = 24, SWL_SITE_NAME_CHARACTERS = 20 };

/* The name of the build's own site, which no set may have. */
#define SWL_SITE_OWN "own site"

/* What is to be changed about a build's site. NAN: as in the build; at most one of pressure and altitude is given. */
typedef struct swl_site_set {
    char name[SWL_SITE_NAME_MAX];
    double t_k;
    double p_pa;
    double altitude_m; /* geopotential; its pressure is that of ISO 2533 */
    double rh_frac;
    bool ready; /* one of swl_site_ready */
} swl_site_set;

/* The ready sets: round numbers, invented for comparison. Returns: NULL past the last one. */
const swl_site_set *swl_site_ready(size_t index);

/* Puts a build on a site. An altitude changes the pressure alone; what is not given stays as in the build, the
 * temperature of the coolant too. Half-widths and assumptions of what is given no longer hold and are taken off.
 * Given: a build that stays alive and is the one to be freed: at is a flat copy.
 * Errors: SWL_ERR_INPUT when more than half of the air there would be water vapour. */
swl_status swl_site_apply(const swl_build *build, const swl_site_set *set, swl_build *at, swl_err *err) SWL_MUST_CHECK;

/* What a site gives: the highest of each over the operating line unless said otherwise. Powers are NAN where there is
 * no estimate; wheel_w stands at the engine speed of crank_w. As differences, each less the own site's. */
typedef struct swl_site_values {
    double rho_kg_m3; /* of the site's air */
    double boost_peak_pa;
    double boost_limit_pa;  /* at the rev limit */
    double mdot_limit_kg_s; /* at the rev limit */
    double t2_k;            /* discharge */
    double t3_k;            /* charge */
    double p_shaft_w;       /* blower drive */
    double crank_w;
    double wheel_w;
    double margin_frac; /* of the limit with the least to spare; NAN when none is given */
} swl_site_values;

/* One site. check, with its operating line, is empty where failure tells why there is none; then all values but the
 * air's density are NAN. worst is the limit with the least to spare, NULL when none is given. */
typedef struct swl_site_row {
    swl_site_set set; /* all NAN for the build's own site */
    swl_site site;
    swl_check check;
    swl_site_values values;
    swl_site_values change;
    double boost_peak_rpm;
    double crank_rpm;
    swl_verdict verdict;
    const swl_limit_row *worst;
    size_t outside; /* rows of the line outside the map */
    char failure[SWL_ERR_TEXT_MAX];
} swl_site_row;

/* rows[0] is the build's own site. exceeded: a limit is, or a site has no operating line. Owned. */
typedef struct swl_sites {
    swl_site_row *rows;
    size_t count;
    bool exceeded;
} swl_sites;

/* Solves the build on its own site and on each set.
 * Errors: SWL_ERR_SOLVE when the own site has no operating line; SWL_ERR_INPUT as swl_site_apply; SWL_ERR_USAGE for
 * more than SWL_SITES_MAX sets; SWL_ERR_MEMORY. */
swl_status swl_sites_run(const swl_build *build, const swl_site_set *sets, size_t count, swl_sites *sites,
                         swl_err *err) SWL_MUST_CHECK;
void swl_sites_free(swl_sites *sites);

/* A power measured on a build's site, corrected by each standard, and what the model says to the same change of air:
 * highest crank power on the reference day of include/sweptline/power.h over that on the site. model_factor is NAN,
 * with a reason, where the model has no estimate. */
typedef struct swl_measured {
    double measured_w;
    swl_site site;
    double p_vapour_pa;
    double p_dry_pa;
    swl_correction corrections[SWL_CORRECTIONS];
    double crank_site_w;
    double crank_reference_w;
    double model_factor;
    char failure[SWL_ERR_TEXT_MAX];
} swl_measured;

/* Given: the build on the site where the power was measured, its check, the power in W.
 * Errors: SWL_ERR_MEMORY. */
swl_status swl_measured_correct(const swl_build *build, const swl_check *check, double measured_w, swl_measured *out,
                                swl_err *err) SWL_MUST_CHECK;

#endif
