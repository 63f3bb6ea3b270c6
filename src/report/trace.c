#include "sweptline/report.h"

#include "base/locale_c.h"

#include "report/json.h"

#include <math.h>
#include <stdio.h>

enum { PAGE_WIDTH = 98 };

static const char *kind_words(const swl_trace_curve *curve)
{
    return curve->kind == SWL_TRACE_ISLAND ? "island" : "speed line";
}

static size_t rows_of(const swl_trace_map *map, double speed_rpm)
{
    size_t count = 0;
    for (size_t i = 0; i < map->count; i++) {
        count += map->rows[i].speed_rpm == speed_rpm;
    }
    return count;
}

static size_t left_out(const swl_trace_map *map)
{
    return map->left_outside + map->left_below + map->left_above + map->left_untold;
}

/* Adds "3000 rpm", "3000 rpm and 4500 rpm" or "3000 rpm, 4500 rpm and 6000 rpm": the lines without a row. */
static void put_lines_without(swl_buf *text, const swl_tracing *tracing)
{
    size_t told = 0;
    for (size_t i = 0; i < tracing->count; i++) {
        const swl_trace_curve *curve = &tracing->curves[i];
        if (curve->kind == SWL_TRACE_SPEED_LINE && rows_of(&tracing->map, curve->value) == 0) {
            told++;
            swl_buf_printf(text, "%s%.6g rpm",
                           told == 1                            ? ""
                           : told == tracing->map.lines_without ? " and "
                                                                : ", ",
                           curve->value);
        }
    }
}

static void note_lines_without(swl_notes *notes, const swl_tracing *tracing)
{
    bool many = tracing->map.lines_without > 1;
    swl_buf text = {0};
    put_lines_without(&text, tracing);
    swl_notes_add(notes, "The speed line%s of %s %s no point among the islands and %s not in the table.",
                  many ? "s" : "", swl_buf_text(&text), many ? "have" : "has", many ? "are" : "is");
    notes->failed = notes->failed || text.failed;
    swl_buf_free(&text);
}

static void notes_rows(swl_notes *notes, const swl_tracing *tracing)
{
    const swl_trace_map *map = &tracing->map;
    if (left_out(map) > 0) {
        swl_notes_add(notes,
                      "%zu points of the speed lines are left out: %zu outside the hull of the islands, %zu where the "
                      "efficiency falls more than half a step below the lowest island, %zu where it rises above the "
                      "highest by more than %s, %zu where two smooth surfaces through all islands differ by over a "
                      "tenth of their step. Outside the traced islands nothing is known.",
                      left_out(map), map->left_outside, map->left_below, map->left_above,
                      map->top_told ? "a step" : "can be told", map->left_untold);
    }
    if (map->lines_without > 0) {
        note_lines_without(notes, tracing);
    }
    if (map->reached > 0) {
        swl_notes_add(notes,
                      "%zu row%s on or inside speed lines that islands reach: an island counts as reaching a line "
                      "when it ends within its stroke and %.3g pixels of it, as the edges of filled bands do. The "
                      "efficiency is read that far beyond the islands.",
                      map->reached, map->reached == 1 ? " stands" : "s stand", SWL_TRACE_REACH_PX);
    }
    if (map->above_highest > 0) {
        swl_notes_add(
            notes,
            "%zu rows stand above the highest island of %.3g %%; there the surface only rises on smoothly, to "
            "%.1f %%. How high the peak inside the innermost island is, a chart of islands does not tell; that island "
            "itself, left out, is foretold %.2f points off by the others.",
            map->above_highest, map->ea_high_frac * 100, map->ea_top_frac * 100, map->top_rms_frac * 100);
    }
}

static void notes_followed(swl_notes *notes, const swl_tracing *tracing)
{
    size_t gaps = 0;
    size_t crossings = 0;
    size_t given = 0;
    for (size_t i = 0; i < tracing->count; i++) {
        gaps += tracing->curves[i].track.gaps;
        crossings += tracing->curves[i].track.crossings;
        given += tracing->curves[i].order.line_count > 0;
    }
    if (gaps + crossings > 0) {
        swl_notes_add(notes,
                      "%zu gaps (dashes, labels) were bridged and %zu places passed where another line or sign of the "
                      "same colour touches; whether the right line was met beyond, the preview shows (--format png).",
                      gaps, crossings);
    }
    if (given > 0) {
        swl_notes_add(notes, "%zu curves are lines given in pixels and taken as they are.", given);
    }
}

void swl_notes_trace(swl_notes *notes, const swl_tracing *tracing, const swl_diags *diags)
{
    const swl_trace_map *map = &tracing->map;
    swl_notes_warnings(notes, diags);
    notes_rows(notes, tracing);
    notes_followed(notes, tracing);
    if (isnan(map->unseen_rms_frac)) {
        swl_notes_add(notes, "The efficiency between the islands could not be tested: that takes three islands of "
                             "different values.");
    } else {
        swl_notes_add(
            notes,
            "Each of %zu islands between the lowest and the highest was left out in turn and foretold by the "
            "others, %.2f points off (root mean square). With it the step between islands is half as wide, so "
            "the table errs less than that between them; it does not know of faults in the chart itself.",
            map->unseen_islands, map->unseen_rms_frac * 100);
    }
    if (tracing->scan.image.has_profile) {
        swl_notes_add(notes, "The picture has a colour profile of its own, which is passed over: its colours are taken "
                             "as sRGB. Give colours as read off the pixels themselves.");
    }
    if (!swl_scan_has_spare(&tracing->scan)) {
        swl_notes_add(notes, "The calibration has no more points than it needs, so a wrong one does not show.");
    }
    swl_notes_add(notes, "A map read off a picture is as good as the chart and its calibration. Compare the table with "
                         "figures the maker prints before you rest anything on it.");
    swl_notes_findings(notes, diags);
}

static void text_curve(swl_buf *out, const swl_tracing *tracing, const swl_trace_curve *curve)
{
    const swl_track *track = &curve->track;
    bool island = curve->kind == SWL_TRACE_ISLAND;
    char value[24];
    char off[24];
    char rows[24] = "";
    (void)swl_locale_print(value, sizeof value, island ? "%.4g %%" : "%.6g rpm",
                           island ? curve->value * 100 : curve->value);
    (void)swl_locale_print(off, sizeof off, island ? "%.2f pt" : "%.2f px",
                           island ? curve->residual_frac * 100 : curve->residual_px);
    if (!island) {
        (void)snprintf(rows, sizeof rows, "%zu", rows_of(&tracing->map, curve->value));
    } else if (!isnan(curve->unseen_frac)) {
        (void)swl_locale_print(rows, sizeof rows, "%.2f pt", curve->unseen_frac * 100);
    }
    swl_buf_printf(out, "%-14.14s %-10s %10s %9.0f %7zu%s %6zu %9zu %9s %9s\n", curve->name, kind_words(curve), value,
                   track->length_px, track->simple_count, track->closed ? "*" : " ", track->gaps, track->crossings, off,
                   rows);
}

void swl_report_trace_text(swl_buf *out, const swl_tracing *tracing, const swl_notes *notes)
{
    const swl_trace_map *map = &tracing->map;
    const swl_scan *scan = &tracing->scan;
    swl_buf_printf(out, "%-22s", "Unit");
    swl_report_wrap(out, tracing->blower.name, PAGE_WIDTH - 22, "                      ");
    swl_buf_printf(out, "%-22s%s, %d by %d pixels\n", "Picture", scan->image_name, scan->image.width,
                   scan->image.height);
    swl_buf_printf(out, "%-22s%.2f pixels off its points (root mean square)\n", "Calibration",
                   scan->calibration.residual_px);
    swl_buf_printf(out,
                   "\nTraced curves\n%-14s %-10s %10s %9s %7s  %6s %9s %9s %9s\n%-14s %-10s %10s %9s %7s  %6s %9s "
                   "%9s %9s\n",
                   "name", "kind", "value", "length", "points", "gaps", "crossings", "off the", "rows, or", "", "", "",
                   "pixels", "", "", "", "fit", "left out");
    for (size_t i = 0; i < tracing->count; i++) {
        text_curve(out, tracing, &tracing->curves[i]);
    }
    swl_buf_puts(out,
                 "* closed. Off the fit: of a speed line in pixels, of an island in points of efficiency. Last, how\n"
                 "  far an island left out was foretold wrongly.\n");
    swl_buf_printf(out, "\nThe table\n%-22s%zu, %zu left out\n%-22s%.1f to %.1f %%, highest row %.1f %%\n", "Rows",
                   map->count, left_out(map), "Islands", map->ea_low_frac * 100, map->ea_high_frac * 100,
                   map->ea_top_frac * 100);
    swl_buf_printf(out, "%-22s", "Efficiency fit");
    swl_buf fit = {0};
    swl_buf_printf(&fit,
                   "%.2f points root mean square off the traced points of the islands, %.2f at most, on `%s` at pixel "
                   "(%.0f, %.0f); how far these points are off the print is not in it",
                   map->rms_frac * 100, map->worst_frac * 100, tracing->curves[map->worst_curve].name, map->worst_at.x,
                   map->worst_at.y);
    swl_report_wrap(out, swl_buf_text(&fit), PAGE_WIDTH - 22, "                      ");
    out->failed = out->failed || fit.failed;
    swl_buf_free(&fit);
    if (!isnan(map->unseen_rms_frac)) {
        swl_buf_printf(out, "%-22s%.2f points root mean square, each island left out in turn\n", "Cross-validated",
                       map->unseen_rms_frac * 100);
    }
    swl_buf_puts(out, "\nNotes\n");
    for (size_t i = 0; i < notes->count; i++) {
        swl_buf_puts(out, "- ");
        swl_report_wrap(out, notes->items[i], PAGE_WIDTH - 2, "  ");
    }
    swl_buf_puts(out, "\n");
    swl_report_wrap(out, swl_report_caution(), PAGE_WIDTH, "");
}

void swl_report_trace_csv(swl_buf *out, const swl_tracing *tracing, swl_units units)
{
    const swl_trace_map *map = &tracing->map;
    swl_buf_printf(out, "blower speed [rpm],pressure ratio,flow [%s],adiabatic efficiency [%%]\n",
                   swl_shown_as(SWL_SHOW_VOLUME_FLOW, units).unit);
    for (size_t i = 0; i < map->count; i++) {
        const swl_trace_row *row = &map->rows[i];
        swl_buf_printf(out, "%.10g,%.6g,%.6g,%.5g\n", row->speed_rpm, row->p_ratio,
                       swl_shown_value(row->vdot_m3_s, SWL_SHOW_VOLUME_FLOW, units), row->ea_frac * 100);
    }
}

static json_t *json_curve(const swl_tracing *tracing, const swl_trace_curve *curve)
{
    const swl_track *track = &curve->track;
    bool island = curve->kind == SWL_TRACE_ISLAND;
    json_t *points = json_array();
    json_t *colour = json_null();
    int bad = points == NULL;
    for (size_t i = 0; i < track->simple_count; i++) {
        bad |= json_array_append_new(points, json_pack("[f, f]", track->simple[i].x, track->simple[i].y));
    }
    if (curve->order.line_count == 0) {
        char hex[20];
        const unsigned char *b = curve->order.rgb_beyond;
        int n = snprintf(hex, sizeof hex, "%02x%02x%02x", track->found[0], track->found[1], track->found[2]);
        if (curve->order.is_edge && n > 0) {
            (void)snprintf(hex + n, sizeof hex - (size_t)n, ", %02x%02x%02x", b[0], b[1], b[2]);
        }
        colour = json_string(hex);
    }
    json_t *o = json_pack(
        "{s:s, s:s, s:f, s:s, s:o, s:b, s:f, s:f, s:i, s:i, s:f, s:o, s:o, s:o, s:o, s:o}", "name", curve->name, "kind",
        kind_words(curve), "value", curve->value, "unit", island ? "1" : "rpm", "colour", colour, "closed",
        (int)track->closed, "length_px", track->length_px, "line_width_px", track->width_px, "gaps_bridged",
        (int)track->gaps, "crossings_passed", (int)track->crossings, "longest_gap_px", track->longest_gap_px,
        "residual_px", swl_json_number(island ? (double)NAN : curve->residual_px), "residual_efficiency",
        swl_json_number(island ? curve->residual_frac : (double)NAN), "left_out_efficiency_error",
        swl_json_number(island ? curve->unseen_frac : (double)NAN), "rows",
        island ? json_null() : json_integer((json_int_t)rows_of(&tracing->map, curve->value)), "points_px", points);
    return swl_json_whole(o, bad);
}

static json_t *json_fit(const swl_tracing *tracing)
{
    const swl_trace_map *map = &tracing->map;
    return json_pack("{s:o, s:o, s:s, s:[f, f], s:o, s:o, s:b, s:i, s:i, s:i, s:i, s:i, s:i, s:i, s:i, s:i, s:i, s:f, "
                     "s:f, s:f, s:i, s:f}",
                     "rms", swl_json_number(map->rms_frac), "worst", swl_json_number(map->worst_frac), "worst_curve",
                     tracing->curves[map->worst_curve].name, "worst_at_px", map->worst_at.x, map->worst_at.y,
                     "cross_validated_rms", swl_json_number(map->unseen_rms_frac), "highest_left_out_rms",
                     swl_json_number(map->top_rms_frac), "ratio_stretched", (int)map->stretched,
                     "islands_left_out_in_turn", (int)map->unseen_islands, "rows", (int)map->count, "left_out",
                     (int)left_out(map), "left_out_outside_islands", (int)map->left_outside, "left_out_below_lowest",
                     (int)map->left_below, "left_out_above_highest", (int)map->left_above, "left_out_untold",
                     (int)map->left_untold, "speed_lines_without_rows", (int)map->lines_without,
                     "rows_at_reached_lines", (int)map->reached, "rows_above_highest_island", (int)map->above_highest,
                     "lowest_island", map->ea_low_frac, "highest_island", map->ea_high_frac, "highest_row",
                     map->ea_top_frac, "points", (int)map->fit_points, "smoothing", map->smoothing);
}

static json_t *json_row(const swl_trace_row *row)
{
    return json_pack("{s:f, s:f, s:f, s:f}", "blower_speed_rpm", row->speed_rpm, "pressure_ratio", row->p_ratio,
                     "volume_flow_m3_s", row->vdot_m3_s, "adiabatic_efficiency", row->ea_frac);
}

swl_status swl_report_trace_json(swl_buf *out, const swl_tracing *tracing, const swl_notes *notes, swl_err *err)
{
    const swl_scan *scan = &tracing->scan;
    json_t *root = swl_json_head("trace");
    json_t *curves = json_array();
    json_t *rows = json_array();
    json_t *words = swl_json_notes(notes);
    int bad = root == NULL || curves == NULL || rows == NULL || words == NULL;
    for (size_t i = 0; i < tracing->count; i++) {
        bad |= json_array_append_new(curves, json_curve(tracing, &tracing->curves[i]));
    }
    for (size_t i = 0; i < tracing->map.count; i++) {
        bad |= json_array_append_new(rows, json_row(&tracing->map.rows[i]));
    }
    bad |= json_object_set_new(root, "unit", json_string(tracing->blower.name));
    bad |= json_object_set_new(root, "scan",
                               json_pack("{s:s, s:i, s:i, s:f}", "image", scan->image_name, "width_px",
                                         scan->image.width, "height_px", scan->image.height, "calibration_rms_px",
                                         scan->calibration.residual_px));
    bad |= json_object_set_new(root, "curves", curves);
    bad |= json_object_set_new(root, "fit", json_fit(tracing));
    bad |= json_object_set_new(root, "table", rows);
    bad |= json_object_set_new(root, "notes", words);
    if (bad) {
        json_decref(root);
        root = NULL;
    }
    return swl_json_write(out, root, err);
}
