#include "study/log_fit.h"

#include <math.h>
#include <string.h>

static void fit_add(swl_log *log, const char *name, const char *words, swl_log_cause cause, bool cooler)
{
    swl_log_fit *fit = &log->fits[log->fit_count++];
    *fit = (swl_log_fit){.name = name, .words = words, .cause = cause, .cooler = cooler, .correlation = NAN};
    if (cause == SWL_CAUSE_SLIP || cause == SWL_CAUSE_SLIP_AND_VE) {
        fit->values[fit->count++].parameter = SWL_FIT_SLIP;
    }
    if (cause == SWL_CAUSE_VE || cause == SWL_CAUSE_SLIP_AND_VE) {
        fit->values[fit->count++].parameter = SWL_FIT_VE_FACTOR;
    }
    if (cause == SWL_CAUSE_SLIP_ONSET) {
        fit->values[fit->count++].parameter = SWL_FIT_SLIP_RISE;
        fit->values[fit->count++].parameter = SWL_FIT_SLIP_ONSET;
    }
    if (cooler) {
        fit->values[fit->count++].parameter = SWL_FIT_EFFECTIVENESS;
    }
}

/* Every cause alone, each with the cooler's effectiveness where a charge temperature tells it, and all together. */
void swl_log_fits_list(const swl_build *build, swl_log *log)
{
    bool cooler = log->has[SWL_LOG_CHARGE_TEMPERATURE] && swl_cooler_is_constant(&build->cooler);
    fit_add(log, "none", "the build unchanged", SWL_CAUSE_NONE, false);
    fit_add(log, "slip", "belt slip", SWL_CAUSE_SLIP, false);
    fit_add(log, "volumetric_efficiency", "volumetric efficiency", SWL_CAUSE_VE, false);
    fit_add(log, "slip_onset", "slip from a speed on", SWL_CAUSE_SLIP_ONSET, false);
    if (cooler) {
        fit_add(log, "effectiveness", "cooler", SWL_CAUSE_NONE, true);
        fit_add(log, "slip_effectiveness", "belt slip, cooler", SWL_CAUSE_SLIP, true);
        fit_add(log, "volumetric_efficiency_effectiveness", "vol. eff., cooler", SWL_CAUSE_VE, true);
        fit_add(log, "slip_onset_effectiveness", "slip from a speed, cooler", SWL_CAUSE_SLIP_ONSET, true);
    }
    fit_add(log, "joint", cooler ? "slip, vol. eff., cooler" : "slip, vol. eff.", SWL_CAUSE_SLIP_AND_VE, cooler);
}

/* AICc with chi2 over the spread that the best fit leaves, as QAICc does.
 * Source: K. P. Burnham and D. R. Anderson, Model Selection and Multimodel Inference (2002), sections 2.4 and 2.5;
 * formulas from memory. */
static void fits_score(swl_log *log)
{
    log->spread = log->fits_made > 0 ? (double)INFINITY : 1;
    for (size_t i = 0; i < log->fit_count; i++) {
        const swl_log_fit *fit = &log->fits[i];
        if (fit->failure == NULL && fit->degrees_of_freedom > 0) {
            log->spread = fmin(log->spread, fit->chi2 / (double)fit->degrees_of_freedom);
        }
    }
    log->spread = isfinite(log->spread) ? fmax(1, log->spread) : 1;
    for (size_t i = 0; i < log->fit_count; i++) {
        swl_log_fit *fit = &log->fits[i];
        double k = (double)fit->count;
        double n = (double)fit->readings;
        bool scored = log->fits_made > 0 && fit->failure == NULL && n > k + 1;
        fit->aicc = scored ? fit->chi2 / log->spread + 2 * k + 2 * k * (k + 1) / (n - k - 1) : (double)NAN;
    }
}

/* A value at a bound is not what the readings ask for; one whose interval holds the build's own value may be that. The
 * build has no onset of slip to compare with. */
static bool value_stands(const swl_log_value *value)
{
    bool other = value->parameter == SWL_FIT_SLIP_ONSET || value->low > value->stated || value->high < value->stated;
    return !value->at_bound && isfinite(value->half_width) && other;
}

static void fits_weigh(swl_log *log)
{
    log->fits_made = 0;
    for (size_t i = 0; i < log->fit_count; i++) {
        swl_log_fit *fit = &log->fits[i];
        fit->stands = fit->failure == NULL;
        for (size_t k = 0; k < fit->count && fit->stands; k++) {
            fit->stands = value_stands(&fit->values[k]);
        }
        log->fits_made += i > 0 && fit->failure == NULL;
    }
}

static double earned(const swl_log_fit *fit)
{
    return fit->aicc + (SWL_LOG_AHEAD - 2) * (double)fit->count;
}

/* Whether a fit may be what the best one is held against. One that does not stand still blurs a best one that is no
 * more than a little ahead of it, but cannot be better. */
static bool is_rival(const swl_log *log, const swl_log_fit *fit)
{
    const swl_log_fit *best = &log->fits[log->best];
    return fit->cause != best->cause && fit->cause != SWL_CAUSE_SLIP_AND_VE && (fit->stands || fit->aicc >= best->aicc);
}

/* The fit that stands in which every parameter earns its place, and how far behind the nearest other cause is. */
void swl_log_fits_choose(swl_log *log)
{
    fits_weigh(log);
    fits_score(log);
    log->best = 0;
    for (size_t i = 1; i < log->fit_count; i++) {
        if (log->fits[i].stands && earned(&log->fits[i]) < earned(&log->fits[log->best])) {
            log->best = i;
        }
    }
    log->best_margin = INFINITY;
    log->second = log->fits[log->best].cause;
    for (size_t i = 0; i < log->fit_count; i++) {
        const swl_log_fit *fit = &log->fits[i];
        double margin = fit->aicc - log->fits[log->best].aicc;
        if (is_rival(log, fit) && margin < log->best_margin) {
            log->best_margin = margin;
            log->second = fit->cause;
        }
    }
}

double swl_log_own_half_width(const swl_build *build, swl_log_parameter parameter)
{
    static const char *const names[SWL_FIT_PARAMETERS] = {"slip", "volumetric_efficiency_factor", "effectiveness", "",
                                                          ""};
    static const char *const sections[SWL_FIT_PARAMETERS] = {"drive", "engine", "cooler", "", ""};
    for (size_t i = 0; i < build->input_count; i++) {
        const swl_input *input = &build->inputs[i];
        if (strcmp(input->name, names[parameter]) == 0 && strcmp(input->section, sections[parameter]) == 0) {
            return input->half_width;
        }
    }
    return 0;
}
