#include "sweptline/report.h"

#include "report/log_columns.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

const swl_log_column swl_log_columns[SWL_LOG_KINDS] = {
    [SWL_LOG_MANIFOLD_PRESSURE] = {"manifold pressure", "manifold_pressure_pa", "boost", SWL_SHOW_PRESSURE,
                                   SWL_SHOW_BOOST},
    [SWL_LOG_CHARGE_TEMPERATURE] = {"charge temperature", "charge_temperature_k", "charge", SWL_SHOW_TEMPERATURE,
                                    SWL_SHOW_TEMP_CHANGE},
    [SWL_LOG_MASS_FLOW] = {"air mass flow", "air_mass_flow_kg_s", "air flow", SWL_SHOW_MASS_FLOW, SWL_SHOW_MASS_FLOW},
    [SWL_LOG_INLET_PRESSURE] = {"intake pressure", "inlet_pressure_pa", "intake", SWL_SHOW_PRESSURE, SWL_SHOW_BOOST},
    [SWL_LOG_DISCHARGE_TEMPERATURE] = {"discharge temperature", "discharge_temperature_k", "discharge",
                                       SWL_SHOW_TEMPERATURE, SWL_SHOW_TEMP_CHANGE},
    [SWL_LOG_CRANK_POWER] = {"crank power", "crank_power_w", "crank", SWL_SHOW_POWER, SWL_SHOW_POWER},
    [SWL_LOG_WHEEL_POWER] = {"wheel power", "wheel_power_w", "wheels", SWL_SHOW_POWER, SWL_SHOW_POWER},
};

const swl_fit_column swl_fit_columns[SWL_FIT_PARAMETERS] = {
    [SWL_FIT_SLIP] = {"slip", "slip", "slip", 100, "%", 2},
    [SWL_FIT_VE_FACTOR] = {"vol. eff. factor", "the volumetric efficiency factor", "volumetric_efficiency_factor", 1,
                           "", 4},
    [SWL_FIT_EFFECTIVENESS] = {"effectiveness", "the effectiveness", "effectiveness", 100, "%", 1},
    [SWL_FIT_SLIP_RISE] = {"slip growing by", "the rise of slip", "slip_rise_per_rpm", 1e5, "% per 1000 rpm", 2},
    [SWL_FIT_SLIP_ONSET] = {"from a blower speed of", "the onset of slip", "slip_onset_rpm", 1, "rpm", 0},
};

/* A short text of one value, for use inside a sentence. */
typedef struct value_text {
    char text[96];
} value_text;

static value_text value_of(double si, swl_show show, swl_units units)
{
    swl_buf buf = {0};
    value_text out = {""};
    swl_report_value(&buf, si, show, units);
    (void)snprintf(out.text, sizeof out.text, "%s", swl_buf_text(&buf));
    swl_buf_free(&buf);
    return out;
}

/* "1 row", "7 rows". */
static value_text rows_of(size_t count)
{
    value_text out = {""};
    (void)snprintf(out.text, sizeof out.text, "%zu row%s", count, count == 1 ? "" : "s");
    return out;
}

/* "0.8 kPa above the prediction", or that it is none to the last digit shown. */
static value_text off_of(double si, swl_show show, swl_units units, const char *below, const char *above,
                         const char *none)
{
    value_text out = {""};
    value_text size = value_of(fabs(si), show, units);
    if (swl_buf_is_lost(size.text)) {
        return size;
    }
    char first = size.text[strspn(size.text, "0.")];
    bool there = first >= '1' && first <= '9';
    (void)snprintf(out.text, sizeof out.text, "%.40s%s%s", there ? size.text : "", there ? " " : "",
                   !there   ? none
                   : si < 0 ? below
                            : above);
    return out;
}

/* "5.06 % (95 % interval 4.65 to 5.47)". */
static value_text fitted_of(const swl_log_value *value)
{
    const swl_fit_column *column = &swl_fit_columns[value->parameter];
    swl_buf buf = {0};
    value_text out = {""};
    const char *blank = column->unit[0] == '\0' ? "" : " ";
    swl_buf_printf(&buf, "%.*f%s%s", column->decimals, value->value * column->scale, blank, column->unit);
    swl_buf_printf(&buf, " (95 %% interval %.*f to %.*f)", column->decimals, value->low * column->scale,
                   column->decimals, value->high * column->scale);
    (void)snprintf(out.text, sizeof out.text, "%s", swl_buf_text(&buf));
    swl_buf_free(&buf);
    return out;
}

static const swl_log_value *value_find(const swl_log_fit *fit, swl_log_parameter parameter)
{
    for (size_t k = 0; k < fit->count; k++) {
        if (fit->values[k].parameter == parameter) {
            return &fit->values[k];
        }
    }
    return NULL;
}

static const char *above_below(double difference)
{
    return difference < 0 ? "below" : "above";
}

static void say_gauge(swl_notes *out, const swl_build *build, const swl_log *log, swl_units units)
{
    value_text off = value_of(fabs(log->residuals[SWL_LOG_MANIFOLD_PRESSURE].mean), SWL_SHOW_BOOST, units);
    value_text site = value_of(build->site.p_pa, SWL_SHOW_PRESSURE, units);
    if (log->gauge < 0) {
        swl_notes_add(out,
                      "The measured manifold pressure is %s below the prediction on average and shows hardly any boost "
                      "over the site's %s: it looks like a gauge pressure that was given as an absolute one.",
                      off.text, site.text);
        swl_notes_add(out, "If so, head the column `boost` instead of `manifold pressure` and run again. If it is "
                           "absolute, the blower makes next to no boost: look for a bypass valve that stands open, a "
                           "belt or a hose that is off, or rows that were not at wide open.");
    } else {
        swl_notes_add(out,
                      "The measured boost is %s above the prediction on average and more than the site's %s: it looks "
                      "like an absolute pressure that was given as boost.",
                      off.text, site.text);
        swl_notes_add(out, "If so, head the column `manifold pressure` instead of `boost` and run again. If it is "
                           "boost, it is far beyond the prediction: do not run on.");
    }
    swl_notes_add(out, "Nothing was fitted to it, and no pressure is judged against its limit.");
}

static void say_boost(swl_notes *out, const swl_log *log, swl_units units)
{
    const swl_log_residual *left = &log->residuals[SWL_LOG_MANIFOLD_PRESSURE];
    const swl_log_shape *shape = &log->shape;
    value_text mean =
        off_of(left->mean, SWL_SHOW_BOOST, units, "below the prediction", "above the prediction", "as predicted");
    swl_buf thirds = {0};
    if (isfinite(shape->third_pa[0]) && isfinite(shape->third_pa[1]) && isfinite(shape->third_pa[2])) {
        swl_shown shown = swl_shown_as(SWL_SHOW_BOOST, units);
        swl_buf_printf(&thirds,
                       ": %+.*f %s (%+.1f %%) in the slowest third of blower speeds, %+.*f %s (%+.1f %%) in the middle "
                       "one and %+.*f %s (%+.1f %%) in the fastest",
                       shown.decimals, shape->third_pa[0] * shown.scale, shown.unit, shape->third_frac[0] * 100,
                       shown.decimals, shape->third_pa[1] * shown.scale, shown.unit, shape->third_frac[1] * 100,
                       shown.decimals, shape->third_pa[2] * shown.scale, shown.unit, shape->third_frac[2] * 100);
    }
    swl_notes_add(out, "Over %s the measured boost is %s%s, %.1f %% of the absolute manifold pressure%s.",
                  rows_of(left->count).text, left->count == 1 ? "" : "on average ", mean.text,
                  fabs(left->mean_frac) * 100, swl_buf_text(&thirds));
    swl_buf_free(&thirds);
}

static const char *cause_words(swl_log_cause cause)
{
    static const char *const words[SWL_CAUSES] = {
        [SWL_CAUSE_NONE] = "the build as it stands",
        [SWL_CAUSE_SLIP] = "belt slip that is alike at all speeds",
        [SWL_CAUSE_VE] = "another volumetric efficiency",
        [SWL_CAUSE_SLIP_ONSET] = "belt slip that starts at a blower speed and grows",
        [SWL_CAUSE_SLIP_AND_VE] = "slip and volumetric efficiency together",
    };
    return words[cause];
}

/* How far the best explanation is ahead of the next one. */
static void put_margin(swl_buf *out, const swl_log *log)
{
    double margin = log->best_margin;
    if (!isfinite(margin)) {
        return;
    }
    if (margin < SWL_LOG_AHEAD) {
        swl_buf_printf(out, "; these readings cannot tell it from %s, whose AICc is %.1f %s%s",
                       cause_words(log->second), fabs(margin), margin < 0 ? "lower" : "higher",
                       margin < 0 ? ", but with more values fitted" : " where 6 would tell them apart");
    } else {
        swl_buf_printf(out, "; they speak %sagainst the next best, %s, whose AICc is %.0f higher",
                       margin >= 10 ? "clearly " : "", cause_words(log->second), margin);
    }
}

static void say_cause(swl_notes *out, const swl_log *log)
{
    const swl_log_fit *best = &log->fits[log->best];
    const swl_log_value *slip = value_find(best, SWL_FIT_SLIP);
    const swl_log_value *ve = value_find(best, SWL_FIT_VE_FACTOR);
    const swl_log_value *rise = value_find(best, SWL_FIT_SLIP_RISE);
    const swl_log_value *onset = value_find(best, SWL_FIT_SLIP_ONSET);
    swl_buf text = {0};
    if (slip != NULL && ve != NULL) {
        swl_buf_printf(&text,
                       "It takes both a belt slip of %s where the build has %.2f %% and a volumetric efficiency factor "
                       "of %s where it has %.3f",
                       fitted_of(slip).text, slip->stated * 100, fitted_of(ve).text, ve->stated);
    } else if (slip != NULL) {
        swl_buf_printf(&text, "A belt slip of %s at all speeds, where the build has %.2f %%, explains it best",
                       fitted_of(slip).text, slip->stated * 100);
    } else if (ve != NULL) {
        swl_buf_printf(&text,
                       "It is off in proportion everywhere: a volumetric efficiency factor of %s, where the build has "
                       "%.3f, explains it best",
                       fitted_of(ve).text, ve->stated);
    } else if (rise != NULL && onset != NULL) {
        swl_buf_printf(&text,
                       "Belt slip explains it best that starts at a blower speed of %s and grows by %s on top of the "
                       "build's own",
                       fitted_of(onset).text, fitted_of(rise).text);
    } else {
        swl_buf_puts(&text, "The boost asks for no other slip and no other volumetric efficiency");
    }
    swl_buf_printf(&text, ": chi2 falls from %.0f to %.0f over %zu readings", best->chi2_before, best->chi2,
                   best->readings);
    put_margin(&text, log);
    swl_notes_add(out, "%s.", swl_buf_text(&text));
    swl_buf_free(&text);
}

static value_text temperature_off(double k, swl_units units)
{
    return off_of(k, SWL_SHOW_TEMP_CHANGE, units, "colder than predicted", "hotter than predicted", "as predicted");
}

/* Why the cooler's effectiveness is left as it is. */
static void put_cooler_kept(swl_buf *out, const swl_build *build, const swl_log *log, swl_units units)
{
    const swl_log_residual *left = &log->residuals[SWL_LOG_CHARGE_TEMPERATURE];
    if (!swl_cooler_there(&build->cooler)) {
        swl_buf_puts(out, "; the build has no cooler");
        return;
    }
    if (!swl_cooler_is_constant(&build->cooler)) {
        swl_buf_puts(out, "; no effectiveness is fitted, since the build's cooler has none of one value at a known "
                          "coolant temperature");
        return;
    }
    if (log->fits_made == 0) {
        return;
    }
    bool small = log->best > 0 ? fabs(left->mean_after) <= left->sigma_mean : log->agrees;
    if (log->best > 0) {
        swl_buf_printf(out, ", and %s with the explanation of the boost",
                       temperature_off(left->mean_after, units).text);
    }
    swl_buf_puts(out, small ? ", so no other effectiveness of the cooler is called for"
                            : ", but no other effectiveness of the cooler explains it surely enough");
}

static void put_discharge(swl_buf *out, const swl_log *log, swl_units units)
{
    const swl_log_residual *discharge = &log->residuals[SWL_LOG_DISCHARGE_TEMPERATURE];
    bool after = log->best > 0;
    swl_buf_printf(out, "; the discharge is %s%s",
                   temperature_off(after ? discharge->mean_after : discharge->mean, units).text,
                   after ? " with that" : "");
    if (isfinite(log->cooler_frac)) {
        swl_buf_printf(out, ", and both measured temperatures alone give an effectiveness of %.1f +- %.1f %%",
                       log->cooler_frac * 100, log->cooler_half_width * 100);
    }
}

static void say_cooler(swl_notes *out, const swl_build *build, const swl_log *log, swl_units units)
{
    const swl_log_residual *left = &log->residuals[SWL_LOG_CHARGE_TEMPERATURE];
    const swl_log_value *value = value_find(&log->fits[log->best], SWL_FIT_EFFECTIVENESS);
    bool worse = value != NULL && value->value < value->stated;
    swl_buf text = {0};
    if (left->count == 0) {
        swl_notes_add(out, "No charge temperature was measured, so nothing is said about the cooler.");
        return;
    }
    swl_buf_printf(&text, "The charge is %s%s", temperature_off(left->mean, units).text,
                   left->count == 1 ? "" : " on average");
    if (value != NULL) {
        /* What explains the boost moves the charge temperature too, so the cooler may have to make up for more. */
        bool alike = worse == (left->mean > 0) && fabs(left->mean) > 0.1;
        swl_buf_printf(&text, "; %sa cooler effectiveness of %s, where the build has %.1f %%, explains it",
                       alike ? "" : "beside what explains the boost, ", fitted_of(value).text, value->stated * 100);
    } else {
        put_cooler_kept(&text, build, log, units);
    }
    if (log->residuals[SWL_LOG_DISCHARGE_TEMPERATURE].count > 0) {
        put_discharge(&text, log, units);
    } else if (value != NULL) {
        swl_buf_printf(&text, ", and so would %s coolant or a %s discharge than the map's, which were not measured",
                       worse ? "warmer" : "colder", worse ? "hotter" : "colder");
    }
    swl_notes_add(out, "%s.", swl_buf_text(&text));
    swl_buf_free(&text);
}

/* What slip and volumetric efficiency cannot be told from. A measured flow tells whether the blower gives less or the
 * engine takes more; without one each of them may be either. */
static void put_alike(swl_buf *out, swl_log_cause cause, bool low, bool flow)
{
    bool supply = cause != SWL_CAUSE_VE || !flow;
    bool demand = cause != SWL_CAUSE_SLIP || !flow;
    swl_buf_puts(out, "Not told apart from it: ");
    if (supply) {
        swl_buf_puts(out, low ? "another pulley than the file's, a bypass valve that does not close, a blower worn "
                                "beyond its map"
                              : "another pulley than the file's, a blower better than its map");
    }
    if (demand) {
        swl_buf_printf(out, "%s%s", supply ? ", " : "",
                       low ? "a leak between blower and engine, a pressure sensor that reads low"
                           : "a restricted exhaust, a pressure sensor that reads high");
    }
}

/* What would look the same in these columns. */
static void say_others(swl_notes *out, const swl_log *log, swl_units units)
{
    const swl_log_fit *best = &log->fits[log->best];
    const swl_log_residual *inlet = &log->residuals[SWL_LOG_INLET_PRESSURE];
    bool low = best->cause == SWL_CAUSE_SLIP_ONSET || log->residuals[SWL_LOG_MANIFOLD_PRESSURE].mean < 0;
    swl_buf text = {0};
    if (best->cause == SWL_CAUSE_SLIP_ONSET) {
        swl_buf_puts(&text, "Not told apart from it: a bypass valve that blows open at high boost, and a leak or a "
                            "hose that opens or collapses as speed rises");
    } else if (best->cause != SWL_CAUSE_NONE) {
        put_alike(&text, best->cause, low, log->fitted[SWL_LOG_MASS_FLOW]);
    }
    if (inlet->count > 0) {
        const char *link = text.len > 0 ? ";" : "For the intake:";
        value_text off = value_of(fabs(inlet->mean), SWL_SHOW_BOOST, units);
        if (fabs(inlet->mean) <= inlet->sigma_mean) {
            swl_buf_printf(&text,
                           "%s the intake pressure agrees with the prediction to within %s on average, so a "
                           "restriction ahead of the blower is not what is seen",
                           link, off.text);
        } else {
            swl_buf_printf(&text, "%s the intake pressure is %s %s the prediction on average, so %s", link, off.text,
                           above_below(inlet->mean),
                           inlet->mean < 0 ? "a restriction ahead of the blower has a part in it"
                                           : "there is less restriction ahead of the blower than the file states");
        }
    } else if (best->cause != SWL_CAUSE_NONE && low) {
        swl_buf_puts(&text, "; nor a restriction ahead of the blower, since no intake pressure was measured");
    }
    if (text.len > 0 || text.failed) {
        swl_notes_add(out, "%s.", swl_buf_text(&text));
    }
    swl_buf_free(&text);
}

static void say_unexplained(swl_notes *out, const swl_log *log)
{
    const swl_log_fit *best = &log->fits[log->best];
    double spread = best->chi2 / (double)best->degrees_of_freedom;
    if (log->best > 0 && spread > 1.5) {
        swl_notes_add(out,
                      "What is left scatters %.1f times as far as the noise assumed of a reading, so either the "
                      "sensors are noisier or something else is going on; the intervals are widened by that.",
                      sqrt(spread));
    }
    if (log->best > 0 && !best->converged) {
        swl_notes_add(out, "The fit did not settle, so its values are no more than a direction.");
    }
}

/* Whether a fit that may not be taken comes far nearer to the readings than the one that is. */
static bool others_come_nearer(const swl_log *log)
{
    for (size_t i = 0; i < log->fit_count; i++) {
        if (!log->fits[i].stands && log->fits[i].aicc < log->fits[log->best].aicc - SWL_LOG_AHEAD) {
            return true;
        }
    }
    return false;
}

static void say_unchanged(swl_notes *out, const swl_log *log)
{
    const swl_log_fit *none = &log->fits[0];
    const char *plural = none->readings == 1 ? "" : "s";
    if (log->fits_made == 0) {
        swl_notes_add(out,
                      "Nothing could be fitted to %zu reading%s, so nothing is said of slip, volumetric efficiency and "
                      "the cooler; a dozen rows over the rev range tell much more.",
                      none->readings, plural);
    } else if (log->agrees) {
        swl_notes_add(out,
                      "The run agrees with the prediction within the noise assumed of a reading (chi2 %.1f over %zu "
                      "reading%s): no slip, volumetric efficiency or cooler other than the build's is called for.",
                      none->chi2, none->readings, plural);
    } else {
        swl_notes_add(out,
                      "It differs by more than the noise assumed of a reading (chi2 %.0f over %zu reading%s), but "
                      "neither slip, volumetric efficiency nor the cooler explains it%s.",
                      none->chi2, none->readings, plural,
                      others_come_nearer(log) ? ": the fits that come nearer are held at a bound or unsure" : "");
    }
}

void swl_log_finding(swl_notes *out, const swl_build *build, const swl_log *log, swl_units units)
{
    if (log->gauge != 0) {
        say_gauge(out, build, log, units);
        return;
    }
    say_boost(out, log, units);
    if (log->best > 0) {
        say_cause(out, log);
    } else {
        say_unchanged(out, log);
    }
    say_cooler(out, build, log, units);
    say_others(out, log, units);
    say_unexplained(out, log);
}

static bool is_key(const swl_log_value *value)
{
    return value->parameter != SWL_FIT_SLIP_RISE && value->parameter != SWL_FIT_SLIP_ONSET;
}

/* Whether the values of a fit are sure enough to be put into a build file, which takes no half-width above its value.
 */
static bool fit_adoptable(const swl_log_fit *fit)
{
    bool sure = fit->stands && fit->converged;
    for (size_t k = 0; k < fit->count; k++) {
        sure = sure && (!is_key(&fit->values[k]) || fit->values[k].half_width < fabs(fit->values[k].value));
    }
    return sure;
}

void swl_log_adopt(swl_notes *out, const swl_log *log)
{
    static const char *const sections[SWL_FIT_PARAMETERS] = {"drive", "engine", "cooler", "", ""};
    const swl_log_fit *best = &log->fits[log->best];
    for (size_t k = 0; k < best->count && fit_adoptable(best); k++) {
        const swl_log_value *value = &best->values[k];
        const swl_fit_column *column = &swl_fit_columns[value->parameter];
        const char *unit = column->unit[0] == '\0' ? "" : " %";
        if (is_key(value)) {
            swl_notes_add(out, "[%s] %s = %.*f%s +- %.*f%s", sections[value->parameter], column->json, column->decimals,
                          value->value * column->scale, unit, column->decimals, value->half_width * column->scale,
                          unit);
        }
    }
}

static value_text rows_are(size_t count)
{
    value_text out = {""};
    (void)snprintf(out.text, sizeof out.text, "%zu row%s", count, count == 1 ? " is" : "s are");
    return out;
}

static void note_rows(swl_notes *notes, const swl_build *build, const swl_run *run, const swl_log *log)
{
    if (log->part_throttle > 0) {
        swl_notes_add(notes, "%s left out since the throttle is below 95 %% there or not given.",
                      rows_are(log->part_throttle).text);
    }
    if (!run->has_throttle) {
        swl_notes_add(notes, "The run has no throttle column, so every row is taken to be at wide open.");
    }
    if (log->outside > 0) {
        swl_notes_add(notes, "%s left out since the engine speed is outside %.0f to %.0f rpm, the build's.",
                      rows_are(log->outside).text, build->engine.speed_from_rpm, build->engine.speed_limit_rpm);
    }
    if (log->unsolved > 0) {
        swl_notes_add(notes, "%s left out since the model has no operating point there.", rows_are(log->unsolved).text);
    }
    if (log->off_map > 0) {
        swl_notes_add(notes,
                      "At %zu of %zu rows the prediction is outside the map, whose edge is held; a difference there "
                      "may be the map's.",
                      log->off_map, log->count);
    }
}

static void note_held(swl_notes *notes, const swl_log_fit *fit, const swl_log_value *value)
{
    const swl_fit_column *column = &swl_fit_columns[value->parameter];
    const char *blank = column->unit[0] == '\0' ? "" : " ";
    double held = value->value * column->scale;
    if (value->parameter == SWL_FIT_SLIP_ONSET) {
        swl_notes_add(
            notes,
            "Fit \"%s\": the run shows no speed at which slip begins, so its beginning is held at %.0f rpm of "
            "the blower, an end of the run.",
            fit->words, held);
    } else {
        swl_notes_add(notes, "Fit \"%s\": %s would have to be %.*f%s%s, so it is held at %.*f%s%s.", fit->words,
                      column->noun, column->decimals, value->wanted * column->scale, blank, column->unit,
                      column->decimals, held, blank, column->unit);
    }
}

static void note_fits(swl_notes *notes, const swl_log *log)
{
    for (size_t i = 1; i < log->fit_count; i++) {
        const swl_log_fit *fit = &log->fits[i];
        for (size_t k = 0; k < fit->count && fit->failure == NULL; k++) {
            if (fit->values[k].at_bound) {
                note_held(notes, fit, &fit->values[k]);
            }
        }
        if (fit->failure == NULL && !fit->converged) {
            swl_notes_add(notes, "Fit \"%s\" did not settle; its values are a direction only.", fit->words);
        }
        if (fabs(fit->correlation) > SWL_LOG_COLLINEAR) {
            swl_notes_add(notes,
                          "Slip and volumetric efficiency pull these readings the same way (correlation %.3f), so the "
                          "joint fit does not tell them apart; %s.",
                          fit->correlation,
                          log->fitted[SWL_LOG_MASS_FLOW] ? "a longer range of engine speeds would help"
                                                         : "a mass flow column would");
        }
    }
}

static void note_power(swl_notes *notes, const swl_build *build, const swl_run *run, const swl_log *log)
{
    if (log->has[SWL_LOG_CRANK_POWER] || log->has[SWL_LOG_WHEEL_POWER]) {
        swl_notes_add(notes, "Power is compared but not fitted: what its estimate assumes of burning and friction is "
                             "less sure than the readings.");
    }
    if (run->has[SWL_LOG_WHEEL_POWER] && isnan(build->engine.driveline_loss_frac)) {
        swl_notes_add(notes, "Wheel power is not compared: the build states no driveline_loss.");
    }
}

/* A pull of some seconds is over before the coolant has taken up its heat. */
static void note_coolant(swl_notes *notes, const swl_build *build)
{
    if (swl_cooler_has_loop(&build->cooler)) {
        swl_notes_add(notes, "The prediction holds each engine speed until the coolant settles. A short run finds the "
                             "coolant cooler, and so the charge; one after others finds it warmer. `sweptline soak` "
                             "follows the coolant over pulls and rests.");
    }
}

void swl_notes_log(swl_notes *notes, const swl_build *build, const swl_run *run, const swl_log *log, swl_units units)
{
    value_text site = value_of(build->site.p_pa, SWL_SHOW_PRESSURE, units);
    note_rows(notes, build, run, log);
    if (run->from_boost) {
        swl_notes_add(notes, "Boost was measured; the manifold pressure is it and the site's %s.", site.text);
    }
    swl_notes_add(
        notes, "Site, coolant and losses are the build's: state the day of the run in its file, or its air by --site.");
    note_power(notes, build, run, log);
    note_fits(notes, log);
    swl_notes_add(notes,
                  "The model is of steady running. In a quick run sensors lag, metal soaks up heat and speed changes "
                  "store energy: charge temperatures and powers come out too low; compare slow runs.");
    note_coolant(notes, build);
    swl_notes_add(notes,
                  "Noise assumed of a reading (common practice, no source): pressures 1 %% of the absolute value, "
                  "temperatures 3 K, flow and power 3 %%. Intervals count scatter, not a sensor's own offset, "
                  "and take the rows as independent.");
}
