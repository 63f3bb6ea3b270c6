#include "report/pulley.h"

#include "report/margin.h"
#include "report/value.h"

#include <math.h>

static const char *verdict_text(const swl_pulley_row *row)
{
    static const char *const words[] = {"kept", "close", "EXCEEDED"};
    bool no_boost = row->tally.without_boost > 0 && row->tally.without_boost == row->tally.points;
    return row->end != SWL_MATCH_SOLVED               ? "no point"
           : no_boost && row->verdict != SWL_EXCEEDED ? "NO BOOST"
           : row->worst == NULL                       ? "no limit"
                                                      : words[row->verdict];
}

const char *swl_pulley_word(const swl_pulley_study *study)
{
    return study->pulley == SWL_PULLEY_CRANK ? "crank" : "blower";
}

static bool any_wheel(const swl_pulley_study *study)
{
    for (size_t i = 0; i < study->count; i++) {
        if (!isnan(study->rows[i].wheel_max_w)) {
            return true;
        }
    }
    return false;
}

static void text_speeds(swl_buf *out, const swl_pulley_study *study, swl_units units)
{
    swl_buf_printf(out, "\n%8s%8s%18s%18s%18s\n%8s%8s%8s%10s%8s%10s%10s\n", swl_pulley_word(study), "ratio",
                   "at the rev limit", "in an over-rev", "least to spare", swl_shown_as(SWL_SHOW_LENGTH, units).unit,
                   "", "rpm", "margin %", "rpm", "margin %", "margin %");
    for (size_t i = 0; i < study->count; i++) {
        const swl_pulley_row *row = &study->rows[i];
        swl_put_number(out, 8, row->d_m, SWL_SHOW_LENGTH, units);
        swl_buf_printf(out, "%8.3f%8.0f", row->drive_ratio, row->blower_rpm_at_limit);
        swl_margin_put(out, 10, row->margin_at_limit_frac);
        swl_buf_printf(out, "%8.0f", row->blower_rpm_at_over_rev);
        swl_margin_put(out, 10, row->margin_at_over_rev_frac);
        swl_margin_put(out, 10, row->worst_margin_frac);
        swl_buf_printf(out, " %-25s%s\n", row->worst == NULL ? "" : row->worst, verdict_text(row));
    }
}

static void text_air_head(swl_buf *out, const swl_pulley_study *study, bool wheel, swl_units units)
{
    static const char *const heads[] = {"peak", "disch.", "charge", "drive", "crank", "wheel"};
    static const swl_show shows[] = {SWL_SHOW_BOOST, SWL_SHOW_TEMPERATURE, SWL_SHOW_TEMPERATURE,
                                     SWL_SHOW_POWER, SWL_SHOW_POWER,       SWL_SHOW_POWER};
    size_t columns = wheel ? 6 : 5;
    swl_buf_printf(out, "\n%8s", swl_pulley_word(study));
    for (size_t k = 0; k < study->speeds.count; k++) {
        swl_buf_printf(out, "%8.0f", study->speeds.rpm[k]);
    }
    for (size_t k = 0; k < columns; k++) {
        swl_buf_printf(out, "%8s", heads[k]);
    }
    swl_buf_printf(out, "\n%8s", swl_shown_as(SWL_SHOW_LENGTH, units).unit);
    for (size_t k = 0; k < study->speeds.count; k++) {
        swl_buf_printf(out, "%8s", swl_shown_as(SWL_SHOW_BOOST, units).unit);
    }
    for (size_t k = 0; k < columns; k++) {
        swl_buf_printf(out, "%8s", swl_shown_as(shows[k], units).unit);
    }
    swl_buf_puts(out, "\n");
}

static void text_air(swl_buf *out, const swl_pulley_study *study, swl_units units)
{
    bool wheel = any_wheel(study);
    size_t starred = 0;
    size_t all_outside = 0;
    text_air_head(out, study, wheel, units);
    for (size_t i = 0; i < study->count; i++) {
        const swl_pulley_row *row = &study->rows[i];
        swl_put_number(out, 8, row->d_m, SWL_SHOW_LENGTH, units);
        for (size_t k = 0; k < study->speeds.count; k++) {
            swl_put_number(out, 8, row->boost_pa[k], SWL_SHOW_BOOST, units);
        }
        swl_put_number(out, 8, row->boost_peak_pa, SWL_SHOW_BOOST, units);
        swl_put_number(out, 8, row->t2_max_k, SWL_SHOW_TEMPERATURE, units);
        swl_put_number(out, 8, row->t3_max_k, SWL_SHOW_TEMPERATURE, units);
        swl_put_number(out, 8, row->p_shaft_max_w, SWL_SHOW_POWER, units);
        swl_put_number(out, 8, row->crank_max_w, SWL_SHOW_POWER, units);
        if (wheel) {
            swl_put_number(out, 8, row->wheel_max_w, SWL_SHOW_POWER, units);
        }
        bool whole_line = row->tally.outside > 0 && row->tally.outside == row->tally.points;
        all_outside += whole_line;
        starred += row->tally.outside > 0 && !whole_line;
        swl_buf_puts(out, whole_line ? " **\n" : row->tally.outside > 0 ? " *\n" : "\n");
    }
    if (starred > 0) {
        swl_buf_puts(out, "* part of the line lies outside the map's data, where its edge is held\n");
    }
    if (all_outside > 0) {
        swl_buf_puts(out, "** the whole line lies outside the map's data, where its edge is held\n");
    }
}

static bool same_end(const swl_pulley_row *a, const swl_pulley_row *b)
{
    return a->end == b->end && a->end_rpm == b->end_rpm;
}

/* Why sizes have no operating point, neighbours of one reason together. */
static void text_without(swl_buf *out, const swl_pulley_study *study, swl_units units)
{
    for (size_t i = 0; i < study->count; i++) {
        const swl_pulley_row *row = &study->rows[i];
        if (row->end == SWL_MATCH_SOLVED) {
            continue;
        }
        swl_buf text = {0};
        swl_report_value(&text, row->d_m, SWL_SHOW_LENGTH, units);
        size_t first = i;
        while (i + 1 < study->count && same_end(row, &study->rows[i + 1])) {
            i++;
        }
        if (i > first) {
            swl_buf_puts(&text, " to ");
            swl_report_value(&text, study->rows[i].d_m, SWL_SHOW_LENGTH, units);
        }
        swl_buf_printf(&text, ": no operating point at %.0f rpm: %s.", row->end_rpm, swl_match_reason(row->end));
        swl_report_wrap(out, swl_buf_text(&text), SWL_PAGE_WIDTH, "  ");
        swl_buf_free(&text);
    }
}

void swl_report_pulley_text(swl_buf *out, const swl_build *build, const swl_pulley_study *study, const swl_notes *notes,
                            swl_units units)
{
    swl_buf_puts(out, "Build   ");
    swl_report_wrap(out, build->name, SWL_PAGE_WIDTH - 8, "        ");
    swl_buf_printf(out, "Unit    %s\n", build->blower.name);
    if (build->site.name[0] != '\0') {
        swl_buf_puts(out, "Site    ");
        swl_report_site(out, &build->site, units);
        swl_buf_puts(out, "\n        instead of the build's own; the coolant's temperature stays the build's\n");
    }
    swl_buf_printf(out, "\nSizes of the %s pulley, all else as in the build. Blower speed without slip.\n",
                   swl_pulley_word(study));
    text_speeds(out, study, units);
    static const char *const counts[] = {"", "one engine speed", "two engine speeds", "three engine speeds"};
    swl_buf_printf(out,
                   "margin: spare over limit; of a temperature, over the absolute temperature\n\nBoost at %s; boost, "
                   "temperatures and power at their highest over the line.\n",
                   counts[study->speeds.count]);
    text_air(out, study, units);
    text_without(out, study, units);
    swl_buf_puts(out, study->wish_count > 0 ? "\nSizes sought\n" : "");
    for (size_t i = 0; i < study->wish_count; i++) {
        swl_buf text = {0};
        swl_pulley_wish_text(&text, study, &study->wishes[i], units);
        swl_buf_puts(out, "- ");
        swl_report_wrap(out, swl_buf_text(&text), SWL_PAGE_WIDTH - 2, "  ");
        swl_buf_free(&text);
    }
    swl_report_foot(out, notes);
}

static void csv_head(swl_buf *out, const swl_pulley_study *study, swl_units units)
{
    const char *boost = swl_shown_as(SWL_SHOW_BOOST, units).unit;
    const char *temperature = swl_shown_as(SWL_SHOW_TEMPERATURE, units).unit;
    const char *power = swl_shown_as(SWL_SHOW_POWER, units).unit;
    swl_buf_printf(out,
                   "%s pulley [%s],drive ratio,blower speed at rev limit [rpm],margin at rev limit [%%],blower speed "
                   "in over-rev [rpm],margin in over-rev [%%]",
                   swl_pulley_word(study), swl_shown_as(SWL_SHOW_LENGTH, units).unit);
    for (size_t k = 0; k < study->speeds.count; k++) {
        swl_buf_printf(out, ",boost at %.10g rpm [%s]", study->speeds.rpm[k], boost);
    }
    swl_buf_printf(out,
                   ",peak boost [%s],peak boost at [rpm],discharge temperature [%s],charge temperature [%s],drive "
                   "power [%s],crank power [%s],wheel power [%s],air flow [%s],verdict,limit with least to "
                   "spare,margin [%%],points outside map,points without boost,points of line\n",
                   boost, temperature, temperature, power, power, power, swl_shown_as(SWL_SHOW_MASS_FLOW, units).unit);
}

void swl_report_pulley_csv(swl_buf *out, const swl_pulley_study *study, swl_units units)
{
    csv_head(out, study, units);
    for (size_t i = 0; i < study->count; i++) {
        const swl_pulley_row *row = &study->rows[i];
        bool solved = row->end == SWL_MATCH_SOLVED;
        swl_buf_printf(out, "%.10g", swl_shown_value(row->d_m, SWL_SHOW_LENGTH, units));
        swl_put_csv(out, row->drive_ratio, SWL_SHOW_RATIO, units);
        swl_put_csv(out, row->blower_rpm_at_limit, SWL_SHOW_BLOWER_SPEED, units);
        swl_put_csv(out, row->margin_at_limit_frac, SWL_SHOW_FRACTION, units);
        swl_put_csv(out, row->blower_rpm_at_over_rev, SWL_SHOW_BLOWER_SPEED, units);
        swl_put_csv(out, row->margin_at_over_rev_frac, SWL_SHOW_FRACTION, units);
        for (size_t k = 0; k < study->speeds.count; k++) {
            swl_put_csv(out, row->boost_pa[k], SWL_SHOW_BOOST, units);
        }
        swl_put_csv(out, row->boost_peak_pa, SWL_SHOW_BOOST, units);
        swl_put_csv(out, row->boost_peak_rpm, SWL_SHOW_ENGINE_SPEED, units);
        swl_put_csv(out, row->t2_max_k, SWL_SHOW_TEMPERATURE, units);
        swl_put_csv(out, row->t3_max_k, SWL_SHOW_TEMPERATURE, units);
        swl_put_csv(out, row->p_shaft_max_w, SWL_SHOW_POWER, units);
        swl_put_csv(out, row->crank_max_w, SWL_SHOW_POWER, units);
        swl_put_csv(out, row->wheel_max_w, SWL_SHOW_POWER, units);
        swl_put_csv(out, row->mdot_max_kg_s, SWL_SHOW_MASS_FLOW, units);
        swl_buf_printf(out, ",%s,%s",
                       !solved              ? "no operating point"
                       : row->worst == NULL ? "no limit"
                                            : swl_verdict_word(row->verdict),
                       row->worst == NULL ? "" : row->worst);
        swl_put_csv(out, row->worst_margin_frac, SWL_SHOW_FRACTION, units);
        if (solved) {
            swl_buf_printf(out, ",%zu,%zu,%zu\n", row->tally.outside, row->tally.without_boost, row->tally.points);
        } else {
            swl_buf_puts(out, ",,,\n");
        }
    }
}
