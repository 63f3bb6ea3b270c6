#include "sweptline/report.h"

#include "report/json.h"
#include "report/scan.h"

#include <math.h>

static void text_speed(swl_buf *out, const char *words, double rpm)
{
    swl_buf_printf(out, "%-22s", words);
    if (isnan(rpm)) {
        swl_buf_puts(out, "not stated\n");
    } else {
        swl_buf_printf(out, "%.0f rpm\n", rpm);
    }
}

static void text_facts(swl_buf *out, const swl_blower *blower, swl_units units)
{
    swl_buf_printf(out, "%-22s", "Unit");
    swl_report_wrap(out, blower->name, SWL_PAGE_WIDTH - 22, "                      ");
    swl_buf_printf(out, "%-22s%s\n%-22s", "Kind", blower->kind == SWL_BLOWER_ROOTS ? "roots" : "screw", "Displacement");
    swl_report_value(out, blower->disp_m3_rev, SWL_SHOW_VOLUME, units);
    swl_buf_printf(out, " a revolution\n%-22s%.6g\n", "Gear ratio", blower->gear_ratio);
    text_speed(out, "Continuous speed", blower->continuous_rpm);
    text_speed(out, "Short-time speed", blower->short_time_rpm);
    if (!isnan(blower->d_rotor_m)) {
        swl_buf_printf(out, "%-22s", "Rotor diameter");
        swl_report_value(out, blower->d_rotor_m, SWL_SHOW_LENGTH, units);
        swl_buf_puts(out, "\n");
    }
    if (isnan(blower->mechanical_eff_frac)) {
        swl_buf_printf(out, "%-22s%s\n", "Mechanical efficiency", "not stated");
    } else {
        swl_buf_printf(out, "%-22s%.1f %%\n", "Mechanical efficiency", blower->mechanical_eff_frac * 100);
    }
    if (isnan(blower->t_map_k)) {
        swl_buf_printf(out, "%-22s%s\n", "Map", "none yet");
        return;
    }
    swl_buf_printf(out, "%-22s", "Map measured in");
    swl_report_value(out, blower->t_map_k, SWL_SHOW_TEMPERATURE, units);
    if (!isnan(blower->p_map_pa)) {
        swl_buf_puts(out, ", ");
        swl_report_value(out, blower->p_map_pa, SWL_SHOW_PRESSURE, units);
    }
    swl_buf_printf(out, "\n%-22s%s\n%-22s", "Efficiency from",
                   blower->efficiency_from == SWL_FROM_SHAFT_POWER ? "shaft power" : "temperature rise", "Source");
    swl_report_wrap(out, blower->source[0] == '\0' ? "not stated" : blower->source, SWL_PAGE_WIDTH - 22,
                    "                      ");
}

static double flow_of(const swl_blower *blower, const swl_map_line *line, size_t point)
{
    return line->ev_frac[point] * blower->disp_m3_rev * line->speed_rpm / 60;
}

static size_t best_of(const swl_map_line *line)
{
    size_t best = 0;
    for (size_t i = 1; i < line->count; i++) {
        best = line->ea_frac[i] > line->ea_frac[best] ? i : best;
    }
    return best;
}

static void text_lines(swl_buf *out, const swl_blower *blower, swl_units units)
{
    const char *flow_unit = swl_shown_as(SWL_SHOW_VOLUME_FLOW, units).unit;
    swl_buf_printf(out, "\nSpeed lines\n%8s %7s %15s %17s %15s %23s\n%8s %7s %15s %17s %15s %23s\n", "speed", "points",
                   "pressure", "flow", "volumetric", "best adiabatic", "rpm", "", "ratio", flow_unit, "efficiency %",
                   "efficiency, at ratio");
    for (size_t i = 0; i < swl_map_line_count(blower->map); i++) {
        swl_map_line line = swl_map_line_at(blower->map, i);
        size_t last = line.count - 1;
        size_t best = best_of(&line);
        swl_buf_printf(out, "%8.0f %7zu %7.2f to %4.2f %7.0f to %6.0f %7.1f to %4.1f %10.1f %%, at %5.2f\n",
                       line.speed_rpm, line.count, line.p_ratio[0], line.p_ratio[last],
                       swl_shown_value(flow_of(blower, &line, last), SWL_SHOW_VOLUME_FLOW, units),
                       swl_shown_value(flow_of(blower, &line, 0), SWL_SHOW_VOLUME_FLOW, units),
                       line.ev_frac[last] * 100, line.ev_frac[0] * 100, line.ea_frac[best] * 100, line.p_ratio[best]);
    }
}

void swl_report_unit_text(swl_buf *out, const swl_blower *blower, const swl_scan *scan, const swl_diags *diags,
                          swl_units units)
{
    text_facts(out, blower, units);
    if (scan->given) {
        swl_report_scan_text(out, scan);
    }
    if (blower->map != NULL) {
        text_lines(out, blower, units);
    } else {
        swl_buf_puts(out, "\nThere is no table yet, only the picture, so that nothing can be matched.\n"
                          "`sweptline trace` makes one.\n");
    }
    swl_buf_puts(out, blower->map != NULL ? "\nFindings on the map\n" : "\nFindings\n");
    if (diags->count == 0) {
        swl_buf_puts(out, blower->map != NULL
                              ? "- nothing found by these checks, which cannot tell a chart read wrongly throughout\n"
                              : "- nothing found; draw the picture with its axes by --format png and look at it\n");
    }
    for (size_t i = 0; i < diags->count; i++) {
        swl_buf_puts(out, "- ");
        swl_buf text = {0};
        swl_diag_text(&diags->items[i], &text);
        swl_report_wrap(out, swl_buf_text(&text), SWL_PAGE_WIDTH - 2, "  ");
        swl_buf_free(&text);
    }
    swl_buf_puts(out, "\n");
    swl_report_wrap(out, swl_report_caution(), SWL_PAGE_WIDTH, "");
}

void swl_report_unit_csv(swl_buf *out, const swl_blower *blower, swl_units units)
{
    swl_buf_printf(out,
                   "blower speed [rpm],pressure ratio,flow [%s],volumetric efficiency [%%],adiabatic efficiency [%%]\n",
                   swl_shown_as(SWL_SHOW_VOLUME_FLOW, units).unit);
    for (size_t i = 0; i < swl_map_line_count(blower->map); i++) {
        swl_map_line line = swl_map_line_at(blower->map, i);
        for (size_t j = 0; j < line.count; j++) {
            swl_buf_printf(out, "%.10g,%.10g,%.10g,%.10g,%.10g\n", line.speed_rpm, line.p_ratio[j],
                           swl_shown_value(flow_of(blower, &line, j), SWL_SHOW_VOLUME_FLOW, units),
                           line.ev_frac[j] * 100, line.ea_frac[j] * 100);
        }
    }
}

static json_t *json_points(const swl_blower *blower, const swl_map_line *line)
{
    json_t *points = json_array();
    int bad = points == NULL;
    for (size_t i = 0; i < line->count; i++) {
        bad |= json_array_append_new(points,
                                     json_pack("{s:f, s:f, s:f, s:f}", "pressure_ratio", line->p_ratio[i],
                                               "volume_flow_m3_s", flow_of(blower, line, i), "volumetric_efficiency",
                                               line->ev_frac[i], "adiabatic_efficiency", line->ea_frac[i]));
    }
    return swl_json_whole(points, bad);
}

swl_status swl_report_unit_json(swl_buf *out, const swl_blower *blower, const swl_scan *scan, const swl_diags *diags,
                                swl_err *err)
{
    json_t *root = swl_json_head("inspect");
    json_t *lines = json_array();
    json_t *notes = json_array();
    int bad = root == NULL || lines == NULL || notes == NULL;
    for (size_t i = 0; blower->map != NULL && i < swl_map_line_count(blower->map); i++) {
        swl_map_line line = swl_map_line_at(blower->map, i);
        bad |= json_array_append_new(
            lines, json_pack("{s:f, s:o}", "blower_speed_rpm", line.speed_rpm, "points", json_points(blower, &line)));
    }
    for (size_t i = 0; i < diags->count; i++) {
        swl_buf text = {0};
        swl_diag_text(&diags->items[i], &text);
        bad |= text.failed;
        bad |= json_array_append_new(notes, json_string(swl_buf_text(&text)));
        swl_buf_free(&text);
    }
    json_t *unit = json_pack(
        "{s:s, s:s, s:f, s:f, s:o, s:o, s:o, s:o, s:o, s:o, s:s}", "name", blower->name, "kind",
        blower->kind == SWL_BLOWER_ROOTS ? "roots" : "screw", "displacement_m3_rev", blower->disp_m3_rev, "gear_ratio",
        blower->gear_ratio, "continuous_speed_rpm", swl_json_number(blower->continuous_rpm), "short_time_speed_rpm",
        swl_json_number(blower->short_time_rpm), "rotor_diameter_m", swl_json_number(blower->d_rotor_m),
        "mechanical_efficiency", swl_json_number(blower->mechanical_eff_frac), "map_temperature_k",
        swl_json_number(blower->t_map_k), "efficiency_from",
        isnan(blower->t_map_k)
            ? json_null()
            : json_string(blower->efficiency_from == SWL_FROM_SHAFT_POWER ? "shaft power" : "temperature rise"),
        "source", blower->source);
    bad |= json_object_set_new(root, "unit", unit);
    bad |= json_object_set_new(root, "scan", swl_json_scan(scan));
    bad |= json_object_set_new(root, "lines", lines);
    bad |= json_object_set_new(root, "notes", notes);
    if (bad) {
        json_decref(root);
        root = NULL;
    }
    return swl_json_write(out, root, err);
}
