#include "sweptline/sites.h"

#include "sweptline/atmosphere.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static const swl_site_set ready[] = {
    {.name = "hot day", .t_k = 311.15, .p_pa = NAN, .altitude_m = NAN, .rh_frac = 0.30, .ready = true},
    {.name = "cold day", .t_k = 263.15, .p_pa = NAN, .altitude_m = NAN, .rh_frac = 0.70, .ready = true},
    {.name = "mountain pass", .t_k = 288.15, .p_pa = NAN, .altitude_m = 2300, .rh_frac = 0.40, .ready = true},
};

const swl_site_set *swl_site_ready(size_t index)
{
    return index < sizeof ready / sizeof ready[0] ? &ready[index] : NULL;
}

/* An input that a set has given anew is no longer the file's. */
static void inputs_drop(swl_build *build, size_t offset)
{
    size_t kept = 0;
    for (size_t i = 0; i < build->input_count; i++) {
        if (build->inputs[i].offset != offset) {
            build->inputs[kept++] = build->inputs[i];
        }
    }
    build->input_count = kept;
}

swl_status swl_site_apply(const swl_build *build, const swl_site_set *set, swl_build *at, swl_err *err)
{
    *at = *build;
    swl_site *site = &at->site;
    memcpy(site->name, set->name, sizeof site->name);
    bool altitude = !isnan(set->altitude_m);
    if (altitude || !isnan(set->p_pa)) {
        site->p_pa = altitude ? swl_atmosphere_p_pa(set->altitude_m) : set->p_pa;
        site->altitude_m = set->altitude_m;
        /* A temperature that was assumed for the build's pressure is the build's own from here on. */
        at->assumed &= ~(unsigned)(SWL_ASSUMED_SITE_PRESSURE | SWL_ASSUMED_SITE_TEMPERATURE);
        inputs_drop(at, offsetof(swl_build, site.p_pa));
    }
    if (!isnan(set->t_k)) {
        site->t_k = set->t_k;
        at->assumed &= ~(unsigned)SWL_ASSUMED_SITE_TEMPERATURE;
        inputs_drop(at, offsetof(swl_build, site.t_k));
    }
    if (!isnan(set->rh_frac)) {
        site->rh_frac = set->rh_frac;
        at->assumed &= ~(unsigned)SWL_ASSUMED_DRY_AIR;
        inputs_drop(at, offsetof(swl_build, site.rh_frac));
    }
    if (site->rh_frac > 0 && swl_air_humid(site->t_k, site->p_pa, site->rh_frac).x_water > 0.5) {
        return swl_err_set(err, SWL_ERR_INPUT,
                           "site `%s`: more than half of the air would be water vapour at %.1f degC, %.1f kPa and "
                           "%.0f %% relative humidity",
                           site->name, site->t_k - 273.15, site->p_pa / 1000, site->rh_frac * 100);
    }
    return SWL_OK;
}

static const swl_site_values no_values = {NAN, NAN, NAN, NAN, NAN, NAN, NAN, NAN, NAN, NAN};

static void row_line(swl_site_row *row)
{
    const swl_check *check = &row->check;
    swl_site_values *v = &row->values;
    for (size_t i = 0; i < check->line_count; i++) {
        const swl_point *point = &check->line[i];
        const swl_power *power = &check->power[i];
        if (!(point->boost_pa <= v->boost_peak_pa)) {
            v->boost_peak_pa = point->boost_pa;
            row->boost_peak_rpm = point->engine_rpm;
        }
        if (power->crank_w > v->crank_w || (isnan(v->crank_w) && !isnan(power->crank_w))) {
            v->crank_w = power->crank_w;
            v->wheel_w = power->wheel_w;
            row->crank_rpm = point->engine_rpm;
        }
        v->t2_k = fmax(v->t2_k, point->t2_k);
        v->t3_k = fmax(v->t3_k, point->t3_k);
        v->p_shaft_w = fmax(v->p_shaft_w, point->p_shaft_w);
        row->outside += point->map_where != SWL_MAP_INSIDE;
    }
    v->boost_limit_pa = check->line[check->line_count - 1].boost_pa;
    v->mdot_limit_kg_s = check->line[check->line_count - 1].mdot_kg_s;
}

static void row_limits(swl_site_row *row)
{
    for (size_t i = 0; i < row->check.limit_count; i++) {
        const swl_limit_row *limit = &row->check.limits[i];
        if (row->worst == NULL || limit->margin_frac < row->values.margin_frac) {
            row->worst = limit;
            row->values.margin_frac = limit->margin_frac;
        }
        row->verdict = limit->verdict > row->verdict ? limit->verdict : row->verdict;
    }
}

static swl_site_values less(const swl_site_values *a, const swl_site_values *b)
{
    return (swl_site_values){
        .rho_kg_m3 = a->rho_kg_m3 - b->rho_kg_m3,
        .boost_peak_pa = a->boost_peak_pa - b->boost_peak_pa,
        .boost_limit_pa = a->boost_limit_pa - b->boost_limit_pa,
        .mdot_limit_kg_s = a->mdot_limit_kg_s - b->mdot_limit_kg_s,
        .t2_k = a->t2_k - b->t2_k,
        .t3_k = a->t3_k - b->t3_k,
        .p_shaft_w = a->p_shaft_w - b->p_shaft_w,
        .crank_w = a->crank_w - b->crank_w,
        .wheel_w = a->wheel_w - b->wheel_w,
        .margin_frac = a->margin_frac - b->margin_frac,
    };
}

static swl_status row_solve(const swl_build *at, swl_site_row *row, swl_err *err)
{
    row->site = at->site;
    row->values = no_values;
    row->boost_peak_rpm = NAN;
    row->crank_rpm = NAN;
    swl_air air = swl_air_humid(at->site.t_k, at->site.p_pa, at->site.rh_frac);
    row->values.rho_kg_m3 = at->site.p_pa / (air.r_j_kg_k * at->site.t_k);
    swl_err own = {0};
    swl_status status = swl_check_run(at, &row->check, &own);
    if (status == SWL_ERR_SOLVE) {
        memcpy(row->failure, own.text, sizeof row->failure);
        return SWL_OK;
    }
    if (status != SWL_OK) {
        return swl_err_set(err, status, "%s", own.text);
    }
    row_line(row);
    row_limits(row);
    return SWL_OK;
}

swl_status swl_sites_run(const swl_build *build, const swl_site_set *sets, size_t count, swl_sites *sites, swl_err *err)
{
    *sites = (swl_sites){0};
    if (count > SWL_SITES_MAX) {
        return swl_err_set(err, SWL_ERR_USAGE, "%zu sites; at most %d are accepted", count, SWL_SITES_MAX);
    }
    sites->rows = calloc(count + 1, sizeof *sites->rows);
    if (sites->rows == NULL) {
        return swl_err_set(err, SWL_ERR_MEMORY, "out of memory for the sites");
    }
    swl_status status = SWL_OK;
    for (size_t i = 0; i <= count && status == SWL_OK; i++) {
        swl_site_row *row = &sites->rows[i];
        swl_build at = *build;
        row->set = (swl_site_set){SWL_SITE_OWN, NAN, NAN, NAN, NAN, false};
        if (i > 0) {
            row->set = sets[i - 1];
            status = swl_site_apply(build, &row->set, &at, err);
        }
        if (status == SWL_OK) {
            status = row_solve(&at, row, err);
        }
        if (status == SWL_OK && i == 0 && row->failure[0] != '\0') {
            status = swl_err_set(err, SWL_ERR_SOLVE, "%s", row->failure);
        }
        row->change = less(&row->values, &sites->rows[0].values);
        sites->exceeded = sites->exceeded || row->check.exceeded || row->failure[0] != '\0';
        sites->count = i + 1;
    }
    if (status != SWL_OK) {
        swl_sites_free(sites);
    }
    return status;
}

void swl_sites_free(swl_sites *sites)
{
    for (size_t i = 0; i < sites->count; i++) {
        swl_check_free(&sites->rows[i].check);
    }
    free(sites->rows);
    *sites = (swl_sites){0};
}

static double crank_peak_w(const swl_check *check)
{
    double peak_w = NAN;
    for (size_t i = 0; i < check->line_count; i++) {
        peak_w = fmax(peak_w, check->power[i].crank_w);
    }
    return peak_w;
}

/* The model on the reference day. */
static swl_status measured_model(const swl_build *build, swl_measured *out, swl_err *err)
{
    const swl_site_set day = {
        .name = "reference day",
        .t_k = SWL_POWER_REFERENCE_T_K,
        .p_pa = SWL_POWER_REFERENCE_P_PA,
        .altitude_m = NAN,
        .rh_frac = SWL_POWER_REFERENCE_VAPOUR_PA / swl_air_saturation_pa(SWL_POWER_REFERENCE_T_K),
    };
    swl_build at;
    swl_check check;
    swl_err own = {0};
    swl_status status = swl_site_apply(build, &day, &at, err);
    if (status != SWL_OK) {
        return status;
    }
    status = swl_check_run(&at, &check, &own);
    if (status == SWL_ERR_SOLVE) {
        memcpy(out->failure, own.text, sizeof out->failure);
        return SWL_OK;
    }
    if (status != SWL_OK) {
        return swl_err_set(err, status, "%s", own.text);
    }
    out->crank_reference_w = crank_peak_w(&check);
    swl_check_free(&check);
    /* A ratio of powers says nothing where an engine gives none. */
    if (out->crank_site_w > 0 && out->crank_reference_w > 0) {
        out->model_factor = out->crank_reference_w / out->crank_site_w;
    } else {
        static const char words[] = "there is no estimate of crank power above zero";
        memcpy(out->failure, words, sizeof words);
    }
    return SWL_OK;
}

swl_status swl_measured_correct(const swl_build *build, const swl_check *check, double measured_w, swl_measured *out,
                                swl_err *err)
{
    const swl_site *site = &build->site;
    *out = (swl_measured){
        .measured_w = measured_w,
        .site = *site,
        .p_vapour_pa = site->rh_frac * swl_air_saturation_pa(site->t_k),
        .crank_site_w = crank_peak_w(check),
        .crank_reference_w = NAN,
        .model_factor = NAN,
    };
    out->p_dry_pa = site->p_pa - out->p_vapour_pa;
    for (int form = 0; form < SWL_CORRECTIONS; form++) {
        out->corrections[form] = swl_correction_at((swl_correction_form)form, site->t_k, out->p_dry_pa);
    }
    return measured_model(build, out, err);
}
