#include "sweptline/report.h"

#include "report/json.h"

#include <math.h>

enum { PAGE_WIDTH = 98 };

static const char *verdict_text(const swl_pulley_row *row)
{
    static const char *const words[] = {"kept", "close", "EXCEEDED"};
    return row->end != SWL_MATCH_SOLVED ? "no point" : row->worst == NULL ? "no limit" : words[row->verdict];
}

static void put_number(swl_buf *out, int width, double si, swl_show show, swl_units units)
{
    swl_shown shown = swl_shown_as(show, units);
    if (isnan(si)) {
        swl_buf_printf(out, "%*s", width, "-");
    } else {
        swl_buf_printf(out, "%*.*f", width, shown.decimals, si * shown.scale + shown.shift);
    }
}

static void table_head(swl_buf *out, const swl_pulley_study *study, swl_units units)
{
    static const swl_show shows[] = {SWL_SHOW_BOOST, SWL_SHOW_TEMPERATURE, SWL_SHOW_TEMPERATURE, SWL_SHOW_POWER};
    swl_buf_printf(out, "\n%8s%8s%8s%9s", study->pulley == SWL_PULLEY_CRANK ? "crank" : "blower", "ratio", "rev lim",
                   "over-rev");
    for (size_t k = 0; k < SWL_PULLEY_SPEEDS; k++) {
        swl_buf_printf(out, "%8.0f", study->speeds_rpm[k]);
    }
    swl_buf_printf(out, "%8s%8s%8s%8s\n%8s%8s%8s%9s", "peak", "disch.", "charge", "drive",
                   swl_shown_as(SWL_SHOW_LENGTH, units).unit, "", "rpm", "rpm");
    for (size_t k = 0; k < SWL_PULLEY_SPEEDS; k++) {
        swl_buf_printf(out, "%8s", swl_shown_as(SWL_SHOW_BOOST, units).unit);
    }
    for (size_t k = 0; k < 4; k++) {
        swl_buf_printf(out, "%8s", swl_shown_as(shows[k], units).unit);
    }
    swl_buf_puts(out, "\n");
}

static void table_row(swl_buf *out, const swl_pulley_row *row, swl_units units)
{
    bool solved = row->end == SWL_MATCH_SOLVED;
    put_number(out, 8, row->d_m, SWL_SHOW_LENGTH, units);
    swl_buf_printf(out, "%8.3f%8.0f%9.0f", row->drive_ratio, row->blower_rpm_at_limit, row->blower_rpm_at_over_rev);
    for (size_t k = 0; k < SWL_PULLEY_SPEEDS; k++) {
        put_number(out, 8, solved ? row->boost_pa[k] : (double)NAN, SWL_SHOW_BOOST, units);
    }
    put_number(out, 8, solved ? row->boost_peak_pa : (double)NAN, SWL_SHOW_BOOST, units);
    put_number(out, 8, solved ? row->t2_max_k : (double)NAN, SWL_SHOW_TEMPERATURE, units);
    put_number(out, 8, solved ? row->t3_max_k : (double)NAN, SWL_SHOW_TEMPERATURE, units);
    put_number(out, 8, solved ? row->p_shaft_max_w : (double)NAN, SWL_SHOW_POWER, units);
    swl_buf_printf(out, " %s%s\n", verdict_text(row), row->outside > 0 ? " *" : "");
}

static const char *pulley_word(const swl_pulley_study *study)
{
    return study->pulley == SWL_PULLEY_CRANK ? "crank" : "blower";
}

/* A size rounded to the digits shown, to the side that turns the blower slower, so that the figure itself gives no
 * more than was asked for. */
static void put_size(swl_buf *out, const swl_pulley_study *study, double d_m, swl_units units)
{
    swl_shown shown = swl_shown_as(SWL_SHOW_LENGTH, units);
    double step = pow(10, -shown.decimals);
    double steps = d_m * shown.scale / step;
    double whole = study->pulley == SWL_PULLEY_CRANK ? floor(steps + 1e-6) : ceil(steps - 1e-6);
    swl_buf_printf(out, "%.*f %s", shown.decimals, whole * step, shown.unit);
}

static void put_gives(swl_buf *out, const swl_pulley_row *row, swl_units units)
{
    swl_buf_puts(out, " (peak boost ");
    swl_report_value(out, row->boost_peak_pa, SWL_SHOW_BOOST, units);
    swl_buf_printf(out, ", limits %s%s)", row->worst == NULL ? "not given" : swl_verdict_word(row->verdict),
                   row->outside > 0 ? ", part of the line outside the map" : "");
}

static void text_found(swl_buf *out, const swl_pulley_study *study, const swl_pulley_wish *wish, swl_units units)
{
    swl_buf text = {0};
    swl_buf_printf(&text, "%s: ", wish->words);
    if (wish->failure[0] != '\0') {
        swl_buf_puts(&text, wish->failure);
    } else {
        put_size(&text, study, wish->found.exact_m, units);
        put_gives(&text, &wish->exact, units);
        if (wish->found.binds != NULL) {
            swl_buf_printf(&text, "; %s decides", wish->found.binds);
        }
        if (wish->row < study->count) {
            swl_buf_puts(&text, ". The nearest listed that turns the blower no faster is ");
            swl_report_value(&text, study->rows[wish->row].d_m, SWL_SHOW_LENGTH, units);
            put_gives(&text, &study->rows[wish->row], units);
        } else {
            swl_buf_puts(&text, ". None of the sizes listed turns the blower as slowly");
        }
    }
    swl_buf_puts(&text, ".");
    swl_buf_puts(out, "- ");
    swl_report_wrap(out, swl_buf_text(&text), PAGE_WIDTH - 2, "  ");
    swl_buf_free(&text);
}

void swl_report_pulley_text(swl_buf *out, const swl_build *build, const swl_pulley_study *study, swl_units units)
{
    swl_buf_puts(out, "Build   ");
    swl_report_wrap(out, build->name, PAGE_WIDTH - 8, "        ");
    swl_buf_printf(out, "Unit    %s\n", build->blower.name);
    if (build->site.name[0] != '\0') {
        swl_buf_puts(out, "Site    ");
        swl_report_site(out, &build->site, units);
        swl_buf_puts(out, "\n        instead of the build's own; the coolant's temperature stays the build's\n");
    }
    swl_buf_printf(out,
                   "\nSizes of the %s pulley, all else as in the build. Blower speed without slip; boost at "
                   "three\nengine speeds; boost, temperatures and drive power at their highest over the line.\n",
                   pulley_word(study));
    table_head(out, study, units);
    bool starred = false;
    for (size_t i = 0; i < study->count; i++) {
        table_row(out, &study->rows[i], units);
        starred = starred || study->rows[i].outside > 0;
    }
    if (starred) {
        swl_buf_puts(out, "* part of the line lies outside the map's data, where its edge is held\n");
    }
    swl_buf_puts(out, "\n");
    for (size_t i = 0; i < study->wish_count; i++) {
        text_found(out, study, &study->wishes[i], units);
    }
    swl_buf_puts(out, "\n");
    swl_report_wrap(out, swl_report_caution(), PAGE_WIDTH, "");
}

void swl_report_pulley_csv(swl_buf *out, const swl_pulley_study *study, swl_units units)
{
    const char *length = swl_shown_as(SWL_SHOW_LENGTH, units).unit;
    const char *boost = swl_shown_as(SWL_SHOW_BOOST, units).unit;
    const char *temperature = swl_shown_as(SWL_SHOW_TEMPERATURE, units).unit;
    swl_buf_printf(out, "%s pulley [%s],drive ratio,blower speed at rev limit [rpm],blower speed in over-rev [rpm]",
                   pulley_word(study), length);
    for (size_t k = 0; k < SWL_PULLEY_SPEEDS; k++) {
        swl_buf_printf(out, ",boost at %.0f rpm [%s]", study->speeds_rpm[k], boost);
    }
    swl_buf_printf(out,
                   ",peak boost [%s],peak boost at [rpm],discharge temperature [%s],charge temperature [%s],drive "
                   "power [%s],air flow [%s],verdict,limit with least to spare,points outside map\n",
                   boost, temperature, temperature, swl_shown_as(SWL_SHOW_POWER, units).unit,
                   swl_shown_as(SWL_SHOW_MASS_FLOW, units).unit);
    for (size_t i = 0; i < study->count; i++) {
        const swl_pulley_row *row = &study->rows[i];
        swl_buf_printf(out, "%.10g,%.10g,%.10g,%.10g", swl_shown_value(row->d_m, SWL_SHOW_LENGTH, units),
                       row->drive_ratio, row->blower_rpm_at_limit, row->blower_rpm_at_over_rev);
        if (row->end != SWL_MATCH_SOLVED) {
            swl_buf_puts(out, ",,,,,,,,,,no operating point,,\n");
            continue;
        }
        for (size_t k = 0; k < SWL_PULLEY_SPEEDS; k++) {
            swl_buf_printf(out, ",%.10g", swl_shown_value(row->boost_pa[k], SWL_SHOW_BOOST, units));
        }
        swl_buf_printf(out, ",%.10g,%.10g,%.10g,%.10g,%.10g,%.10g,%s,%s,%zu\n",
                       swl_shown_value(row->boost_peak_pa, SWL_SHOW_BOOST, units), row->boost_peak_rpm,
                       swl_shown_value(row->t2_max_k, SWL_SHOW_TEMPERATURE, units),
                       swl_shown_value(row->t3_max_k, SWL_SHOW_TEMPERATURE, units),
                       swl_shown_value(row->p_shaft_max_w, SWL_SHOW_POWER, units),
                       swl_shown_value(row->mdot_max_kg_s, SWL_SHOW_MASS_FLOW, units), swl_verdict_word(row->verdict),
                       row->worst == NULL ? "" : row->worst, row->outside);
    }
}

static json_t *json_row(const swl_pulley_study *study, const swl_pulley_row *row)
{
    json_t *boost = json_array();
    bool solved = row->end == SWL_MATCH_SOLVED;
    for (size_t k = 0; k < SWL_PULLEY_SPEEDS; k++) {
        (void)json_array_append_new(boost, json_pack("{s:f, s:o}", "engine_speed_rpm", study->speeds_rpm[k], "boost_pa",
                                                     swl_json_number(solved ? row->boost_pa[k] : (double)NAN)));
    }
    return json_pack("{s:f, s:f, s:f, s:f, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:s?, s:s?, s:o, s:I}", "diameter_m",
                     row->d_m, "drive_ratio", row->drive_ratio, "blower_speed_at_limit_rpm", row->blower_rpm_at_limit,
                     "blower_speed_at_over_rev_rpm", row->blower_rpm_at_over_rev, "boost", boost, "boost_peak_pa",
                     swl_json_number(solved ? row->boost_peak_pa : (double)NAN), "boost_peak_speed_rpm",
                     swl_json_number(solved ? row->boost_peak_rpm : (double)NAN), "discharge_temperature_k",
                     swl_json_number(solved ? row->t2_max_k : (double)NAN), "charge_temperature_k",
                     swl_json_number(solved ? row->t3_max_k : (double)NAN), "drive_power_w",
                     swl_json_number(solved ? row->p_shaft_max_w : (double)NAN), "air_mass_flow_kg_s",
                     swl_json_number(solved ? row->mdot_max_kg_s : (double)NAN), "verdict",
                     solved && row->worst != NULL ? swl_verdict_word(row->verdict) : NULL, "least_to_spare", row->worst,
                     "margin", swl_json_number(row->worst == NULL ? (double)NAN : row->worst_margin_frac * 100),
                     "points_outside_map", (json_int_t)row->outside);
}

static json_t *json_wish(const swl_pulley_study *study, const swl_pulley_wish *wish)
{
    bool found = wish->failure[0] == '\0';
    bool listed = found && wish->row < study->count;
    return json_pack("{s:s, s:o, s:o, s:s?, s:s?}", "goal", wish->words, "diameter_m",
                     swl_json_number(found ? wish->found.exact_m : (double)NAN), "listed_diameter_m",
                     swl_json_number(listed ? study->rows[wish->row].d_m : (double)NAN), "binds",
                     found ? wish->found.binds : NULL, "failure", found ? NULL : wish->failure);
}

swl_status swl_report_pulley_json(swl_buf *out, const swl_build *build, const swl_pulley_study *study, swl_err *err)
{
    json_t *root = swl_json_head("pulley");
    json_t *rows = json_array();
    json_t *wishes = json_array();
    int bad = root == NULL || rows == NULL || wishes == NULL;
    for (size_t i = 0; i < study->count; i++) {
        bad |= json_array_append_new(rows, json_row(study, &study->rows[i]));
    }
    for (size_t i = 0; i < study->wish_count; i++) {
        bad |= json_array_append_new(wishes, json_wish(study, &study->wishes[i]));
    }
    bad |= json_object_set_new(root, "build", json_string(build->name));
    bad |= json_object_set_new(root, "unit", json_string(build->blower.name));
    if (build->site.name[0] != '\0') {
        bad |= json_object_set_new(root, "site", swl_json_site(&build->site));
    }
    bad |= json_object_set_new(root, "pulley", json_string(pulley_word(study)));
    bad |= json_object_set_new(root, "pulleys", rows);
    bad |= json_object_set_new(root, "solved", wishes);
    if (bad) {
        json_decref(root);
        root = NULL;
    }
    return swl_json_write(out, root, err);
}
