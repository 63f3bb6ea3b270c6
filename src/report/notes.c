#include "sweptline/report.h"

#include "report/limits.h"
#include "report/outside.h"
#include "report/water.h"

#include "base/locale_c.h"

#include "report/value.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

void swl_notes_add(swl_notes *notes, const char *format, ...)
{
    char text[900];
    va_list args;
    va_start(args, format);
    swl_locale saved = swl_locale_enter();
    (void)vsnprintf(text, sizeof text, format, args);
    swl_locale_leave(saved);
    va_end(args);
    notes->failed = notes->failed || swl_buf_is_lost(text);
    swl_utf8_clean(text);
    char *copy = strdup(text);
    char **grown = copy == NULL ? NULL : realloc(notes->items, (notes->count + 1) * sizeof *grown);
    if (grown == NULL) {
        free(copy);
        notes->failed = true;
        return;
    }
    grown[notes->count++] = copy;
    notes->items = grown;
}

void swl_notes_free(swl_notes *notes)
{
    for (size_t i = 0; i < notes->count; i++) {
        free(notes->items[i]);
    }
    free(notes->items);
    *notes = (swl_notes){0};
}

static void note_outside(swl_notes *notes, const swl_check *check)
{
    for (size_t k = 0; k < SWL_MAP_SIDES; k++) {
        const swl_outside_side *side = &swl_outside_sides[k];
        size_t count = 0;
        double first = 0;
        double last = 0;
        for (size_t i = 0; i < check->line_count; i++) {
            if ((check->line[i].map_where & side->where) != 0) {
                first = count == 0 ? check->line[i].engine_rpm : first;
                last = check->line[i].engine_rpm;
                count++;
            }
        }
        if (count == 0) {
            continue;
        }
        char span[128];
        if (count == 1) {
            (void)swl_locale_print(span, sizeof span, "1 of %zu points, at %.0f rpm, is", check->line_count, first);
        } else {
            (void)swl_locale_print(span, sizeof span, "%zu of %zu points, from %.0f to %.0f rpm, are", count,
                                   check->line_count, first, last);
        }
        swl_notes_add(notes, "Outside the map: %s %s. %s", span, side->words, side->bias);
    }
}

/* What a wrong pulley or unit looks like. */
static void note_no_boost(swl_notes *notes, const swl_build *build, const swl_check *check)
{
    swl_line_tally tally = swl_check_tally(check);
    if (tally.without_boost > 0) {
        swl_notes_add(
            notes,
            "NO BOOST at %zu of %zu engine speeds: the blower turns too slowly for this engine there and holds "
            "it back. Check the pulleys (crank and blower swapped?), the unit's displacement and the flow's unit.",
            tally.without_boost, tally.points);
    }
    if (tally.driven > 0) {
        swl_notes_add(notes, "Drive power is below zero at %zu engine speeds: the air drives the blower there.",
                      tally.driven);
    }
    if (build->engine.over_rev_rpm > 0.25 * build->engine.speed_limit_rpm) {
        swl_notes_add(notes, "over_rev is added to speed_limit: the over-rev reaches %.0f rpm.",
                      build->engine.speed_limit_rpm + build->engine.over_rev_rpm);
    }
}

static void note_line(swl_notes *notes, const swl_build *build, const swl_check *check)
{
    const swl_curve *ve = build->engine.ve;
    size_t held = 0;
    size_t several = 0;
    double choked_rpm = 0;
    double wet_rpm = 0;
    for (size_t i = 0; i < check->line_count; i++) {
        const swl_point *point = &check->line[i];
        held += point->ve_held;
        several += point->several;
        choked_rpm = point->choked && !(choked_rpm > 0) ? point->engine_rpm : choked_rpm;
        wet_rpm = point->below_dew_point && !(wet_rpm > 0) ? point->engine_rpm : wet_rpm;
    }
    if (held > 0) {
        swl_notes_add(notes,
                      "Volumetric efficiency is given from %.0f to %.0f rpm; its end values are held for %zu of %zu "
                      "points outside.",
                      swl_curve_first_x(ve), swl_curve_last_x(ve), held, check->line_count);
    }
    if (several > 0) {
        swl_notes_add(
            notes,
            "At %zu of %zu engine speeds blower and engine balance at more than one pressure ratio, since the "
            "map's efficiency falls so fast; the lowest is shown. Check the map, and expect boost to jump there.",
            several, check->line_count);
    }
    if (choked_rpm > 0) {
        swl_notes_add(
            notes,
            "The throttle body is choked (sonic) from %.0f rpm: it cannot pass more air whatever the blower does.",
            choked_rpm);
    }
    if (wet_rpm > 0) {
        swl_notes_add(notes,
                      "From %.0f rpm the charge is below its dew point; the model leaves out that water would condense "
                      "in the cooler.",
                      wet_rpm);
    }
}

static void note_small(swl_notes *notes, const swl_build *build, swl_units units)
{
    bool small = build->drive.belt_profile[0] != '\0' && build->drive.d_blower_m < 0.045;
    if (small) {
        swl_notes_add(
            notes, "The blower pulley of %s is below 45 mm, the smallest effective diameter of ISO 9981 for a PK belt.",
            swl_value_of(build->drive.d_blower_m, SWL_SHOW_LENGTH, units).text);
    }
}

static void note_assumed(swl_notes *notes, const swl_build *build, swl_units units)
{
    const unsigned assumed = build->assumed;
    if (assumed & SWL_ASSUMED_SITE_PRESSURE) {
        swl_notes_add(notes, "No site pressure or altitude is given: %s is taken, ISO 2533 at sea level.",
                      swl_value_of(build->site.p_pa, SWL_SHOW_PRESSURE, units).text);
    }
    if (assumed & SWL_ASSUMED_SITE_TEMPERATURE) {
        swl_notes_add(notes, "No site temperature is given: %s is taken, ISO 2533 for that pressure.",
                      swl_value_of(build->site.t_k, SWL_SHOW_TEMPERATURE, units).text);
    }
    if (assumed & SWL_ASSUMED_DRY_AIR) {
        swl_notes_add(notes, "No relative humidity is given: dry air is taken.");
    }
    if (assumed & SWL_ASSUMED_NO_OVER_REV) {
        swl_notes_add(notes, "No over_rev is given: the short-time speed is checked at the rev limit itself.");
    }
    if (assumed & SWL_ASSUMED_NO_SLIP) {
        swl_notes_add(notes, "No belt slip is given: 0 %% is taken.");
    }
    if (assumed & SWL_ASSUMED_PLAIN_DIAMETERS) {
        swl_notes_add(notes, "No belt profile is given: the drive ratio is that of the plain diameters.");
    }
    if (assumed & SWL_ASSUMED_COEFFICIENT) {
        swl_notes_add(notes, "No throttle_coefficient is given: %.2f is taken (common practice, no source).",
                      build->intake.discharge_coefficient);
    }
    if (assumed & SWL_ASSUMED_NO_VE_TEMPERATURE) {
        swl_notes_add(notes,
                      "No ve_temperature is given: volumetric efficiency is not corrected for charge temperature.");
    }
    if (assumed & SWL_ASSUMED_NO_VE_PRESSURE) {
        swl_notes_add(
            notes,
            "No compression_ratio is given: volumetric efficiency is not corrected for exhaust and manifold pressure.");
    }
    if (assumed & SWL_ASSUMED_NO_BACK_PRESSURE) {
        swl_notes_add(notes, "No back_pressure is given: the exhaust is taken at site pressure.");
    }
    if (assumed & SWL_ASSUMED_NO_MECHANICAL_LOSS) {
        swl_notes_add(
            notes,
            "No mechanical_efficiency is given for the unit: 100 %% is taken, so drive power is a low estimate.");
    }
    if (build->input_count > 0) {
        swl_notes_add(notes, "Values given with +- are taken at their middle here.");
    }
}

static void note_pump(swl_notes *notes, const swl_check *check)
{
    if (check->pump_held > 0) {
        swl_notes_add(notes,
                      "At %zu of %zu engine speeds the rail pressure lies outside pump_flow, whose end value is held "
                      "there: no verdict on the pump to build on. Give its flow at the pressures of the rail.",
                      check->pump_held, check->line_count);
    }
}

void swl_notes_line(swl_notes *notes, const swl_build *build, const swl_check *check)
{
    note_line(notes, build, check);
    note_pump(notes, check);
    swl_water_notes_line(notes, build, check);
}

static void note_power(swl_notes *notes, const swl_build *build, const swl_power_basis *basis, swl_units units)
{
    const unsigned assumed = basis->assumed;
    if (assumed & SWL_POWER_NO_FIT) {
        char range[80];
        (void)swl_locale_print(range, sizeof range, "%.0f to %.0f %%", 100 * SWL_POWER_INDICATED_EFF_MIN,
                               100 * SWL_POWER_INDICATED_EFF_MAX);
        swl_notes_add(notes,
                      "No power is estimated: the known_power of %s at %.0f rpm would take an indicated efficiency of "
                      "%.1f %%, outside %s. Check known_power, volumetric_efficiency, displacement and fuel.",
                      swl_value_of(build->engine.known_power_w, SWL_SHOW_POWER, units).text,
                      build->engine.known_power_speed_rpm, 100 * basis->fitted_eff_frac, range);
        return;
    }
    swl_buf taken = {0};
    swl_buf keys = {0};
    const char *sep = "";
    const struct {
        unsigned bit;
        const char *key;
    } rows[] = {{SWL_POWER_ASSUMED_FUEL, "fuel"},
                {SWL_POWER_ASSUMED_LAMBDA, "lambda"},
                {SWL_POWER_ASSUMED_EFFICIENCY, "known_power"},
                {SWL_POWER_ASSUMED_FRICTION, "friction"}};
    for (size_t i = 0; i < 4; i++) {
        if ((assumed & rows[i].bit) == 0) {
            continue;
        }
        swl_buf_printf(&keys, "%s%s", sep, rows[i].key);
        swl_buf_puts(&taken, sep);
        sep = ", ";
        switch (rows[i].bit) {
        case SWL_POWER_ASSUMED_FUEL:
            swl_buf_puts(&taken, basis->fuel->name);
            break;
        case SWL_POWER_ASSUMED_LAMBDA:
            swl_buf_printf(&taken, "lambda %.2f", basis->lambda);
            break;
        case SWL_POWER_ASSUMED_EFFICIENCY:
            swl_buf_printf(&taken, "an indicated efficiency of %.0f %%", 100 * basis->indicated_eff_frac);
            break;
        default:
            swl_buf_puts(&taken, "friction of a formula for engines of the 1970s");
            break;
        }
    }
    if (keys.len > 0) {
        swl_notes_add(notes, "Estimated power takes %s; give %s for a better one.", swl_buf_text(&taken),
                      swl_buf_text(&keys));
    }
    notes->failed = notes->failed || taken.failed || keys.failed;
    swl_buf_free(&taken);
    swl_buf_free(&keys);
}

/* A set of --site in place of the build's own site. */
static void note_site(swl_notes *notes, const swl_build *build, swl_units units)
{
    const swl_site *site = &build->site;
    if (site->name[0] == '\0') {
        return;
    }
    swl_buf also = {0};
    if (!swl_cooler_has_loop(&build->cooler)) {
        swl_buf_puts(&also, ", and the coolant's temperature, are");
    } else if (build->cooler.t_front_air_k > 0) {
        swl_buf_puts(&also, ", and the front_air_temperature of ");
        swl_report_value(&also, build->cooler.t_front_air_k, SWL_SHOW_TEMPERATURE, units);
        swl_buf_puts(&also, ", are");
    } else {
        swl_buf_puts(&also, " is");
    }
    swl_notes_add(notes,
                  "Computed at the site `%s` of --site, not at the build's own; what that site leaves out%s the "
                  "build's.",
                  site->name, swl_buf_text(&also));
    notes->failed = notes->failed || also.failed;
    swl_buf_free(&also);
    if (!isnan(site->altitude_m)) {
        swl_notes_add(notes, "%s: its pressure of %s is that of ISO 2533 at %s (geopotential); a real day differs.",
                      site->name, swl_value_of(site->p_pa, SWL_SHOW_PRESSURE, units).text,
                      swl_value_of(site->altitude_m, SWL_SHOW_ALTITUDE, units).text);
    }
}

void swl_notes_check(swl_notes *notes, const swl_build *build, const swl_check *check, const swl_diags *diags,
                     swl_units units)
{
    swl_notes_speed_limits(notes, build);
    if (swl_belt_left_words(build) != NULL) {
        swl_notes_add(notes, "%s", swl_belt_left_words(build));
    }
    note_no_boost(notes, build, check);
    swl_notes_warnings(notes, diags);
    note_outside(notes, check);
    note_line(notes, build, check);
    note_small(notes, build, units);
    note_site(notes, build, units);
    note_assumed(notes, build, units);
    note_pump(notes, check);
    note_power(notes, build, &check->basis, units);
    swl_water_notes_check(notes, build, check, units);
    swl_notes_findings(notes, diags);
}

void swl_notes_soak(swl_notes *notes, const swl_build *build, const swl_soak *soak, const swl_diags *diags,
                    swl_units units)
{
    swl_water_note_held(notes, build, soak);
    swl_notes_speed_limits(notes, build);
    swl_notes_warnings(notes, diags);
    swl_notes_exceeded(notes, "Limits of the build, each engine speed held until the coolant settles", soak->over,
                       soak->over_count, units);
    if (soak->steady_charge_over) {
        swl_notes_add(notes,
                      "Held at %.0f rpm until the coolant settles, the charge would be at %s, over its limit (see "
                      "`sweptline check`); the verdict here is that of the pulls.",
                      soak->steady_charge.engine_rpm,
                      swl_value_of(soak->steady_charge.value, SWL_SHOW_TEMPERATURE, units).text);
    }
    if (soak->failure[0] != '\0') {
        swl_notes_add(notes, "The limits of `sweptline check` have NOT been checked: %s.", soak->failure);
    }
    note_site(notes, build, units);
    swl_water_notes_soak(notes, build, soak, units);
    note_assumed(notes, build, units);
    swl_notes_findings(notes, diags);
}

static void note_diags(swl_notes *notes, const swl_diags *diags, bool warnings)
{
    for (size_t i = 0; i < diags->count; i++) {
        if ((diags->items[i].severity == SWL_WARNING) != warnings) {
            continue;
        }
        swl_buf text = {0};
        swl_diag_text(&diags->items[i], &text);
        swl_notes_add(notes, "%s.", swl_buf_text(&text));
        notes->failed = notes->failed || text.failed;
        swl_buf_free(&text);
    }
}

void swl_notes_warnings(swl_notes *notes, const swl_diags *diags)
{
    note_diags(notes, diags, true);
}

void swl_notes_findings(swl_notes *notes, const swl_diags *diags)
{
    note_diags(notes, diags, false);
    if (diags->dropped > 0) {
        swl_notes_add(notes, "%zu further findings on the files are not shown.", diags->dropped);
    }
}

/* What a check of each size would say of its line. */
static void note_rows(swl_notes *notes, const swl_pulley_study *study, swl_units units)
{
    static const swl_line_tally none = {0};
    swl_told_line *lines = study->count > 0 ? calloc(study->count, sizeof *lines) : NULL;
    if (lines == NULL) {
        notes->failed = true;
        return;
    }
    for (size_t i = 0; i < study->count; i++) {
        const swl_pulley_row *row = &study->rows[i];
        lines[i].tally = row->end == SWL_MATCH_SOLVED ? &row->tally : &none;
        (void)snprintf(lines[i].name, sizeof lines[i].name, "%s", swl_value_of(row->d_m, SWL_SHOW_LENGTH, units).text);
    }
    swl_notes_told(notes, "with", lines, study->count, true);
    free(lines);
}

void swl_notes_pulley(swl_notes *notes, const swl_build *build, const swl_pulley_study *study, const swl_diags *diags,
                      swl_units units)
{
    swl_notes_speed_limits(notes, build);
    swl_notes_warnings(notes, diags);
    size_t small = 0;
    for (size_t i = 0; i < study->count; i++) {
        small += study->rows[i].d_m < 0.045 - 1e-9;
    }
    if (build->drive.belt_profile[0] != '\0' && small > 0) {
        swl_notes_add(notes,
                      "Listed sizes below %s: %zu. That is the smallest effective diameter of ISO 9981 for a "
                      "PK belt.",
                      swl_value_of(0.045, SWL_SHOW_LENGTH, units).text, small);
    }
    note_rows(notes, study, units);
    const swl_power_basis basis = swl_power_basis_of(build);
    note_site(notes, build, units);
    note_power(notes, build, &basis, units);
    note_assumed(notes, build, units);
    swl_notes_findings(notes, diags);
}

void swl_report_foot(swl_buf *out, const swl_notes *notes)
{
    swl_buf_puts(out, notes->count > 0 ? "\nNotes\n" : "");
    for (size_t i = 0; i < notes->count; i++) {
        swl_buf_puts(out, "- ");
        swl_report_wrap(out, notes->items[i], SWL_PAGE_WIDTH - 2, "  ");
    }
    swl_buf_puts(out, "\n");
    swl_report_wrap(out, swl_report_caution(), SWL_PAGE_WIDTH, "");
}

const char *swl_report_caution(void)
{
    return "These are estimates from a model and from map data as typed in, not measurements, and no statement that "
           "anything "
           "is safe. The limits of the makers of blower, belt, pulleys and engine, local codes and licensed practice "
           "come first. Rotors, "
           "belts, pressure, fuel and heat can injure; detonation must be watched for on the engine itself.";
}

void swl_report_site(swl_buf *out, const swl_site *site, swl_units units)
{
    swl_report_value(out, site->t_k, SWL_SHOW_TEMPERATURE, units);
    swl_buf_puts(out, ", ");
    swl_report_value(out, site->p_pa, SWL_SHOW_PRESSURE, units);
    swl_buf_printf(out, ", %.0f %% relative humidity", site->rh_frac * 100);
    if (site->name[0] != '\0') {
        swl_buf_printf(out, " (%s, by --site)", site->name);
    }
}

void swl_report_value(swl_buf *out, double si, swl_show show, swl_units units)
{
    swl_shown shown = swl_shown_as(show, units);
    swl_buf_printf(out, "%.*f%s%s", shown.decimals, swl_shown_value(si, show, units), shown.unit[0] == '\0' ? "" : " ",
                   shown.unit);
}
