#include "sweptline/report.h"

#include "report/columns.h"
#include "report/json.h"

#include <math.h>

static const char caution[] =
    "A relative figure from one correlation of the 1970s, made for petrol-like reference fuels of 80 to 100 octane. It "
    "shows which build asks more of fuel and spark; it does not show that any spark, fuel or boost is fit to run. It "
    "replaces no detonation monitoring: listen on the engine itself, and leave spark and mixture to licensed practice.";

static void put_figure(swl_buf *out, int width, int decimals, const swl_knock_figure *figure)
{
    if (isinf(figure->high)) {
        swl_buf_printf(out, "%*.*f (%.*f to over 40)", width, decimals, figure->middle, decimals, figure->low);
    } else {
        swl_buf_printf(out, "%*.*f (%.*f to %.*f)", width, decimals, figure->middle, decimals, figure->low, decimals,
                       figure->high);
    }
}

static void text_row(swl_buf *out, const swl_knock_row *row, swl_units units)
{
    const double values[] = {row->p_na_pa, row->p3_pa, row->t_na_k, row->t3_k};
    swl_buf_printf(out, "%6.0f", row->engine_rpm);
    for (size_t k = 0; k < 4; k++) {
        swl_show show = k < 2 ? SWL_SHOW_PRESSURE : SWL_SHOW_TEMPERATURE;
        swl_buf_printf(out, "%8.*f", swl_shown_as(show, units).decimals, swl_shown_value(values[k], show, units));
    }
    put_figure(out, 7, 2, &row->ratio);
    put_figure(out, 6, 2, &row->octane_factor);
    if (isinf(row->retard_deg.middle)) {
        swl_buf_puts(out, row->on_map ? "  over 40\n" : "  over 40 *\n");
    } else {
        put_figure(out, 6, 0, &row->retard_deg);
        swl_buf_puts(out, row->on_map ? "\n" : " *\n");
    }
}

void swl_report_knock_text(swl_buf *out, const swl_build *build, const swl_knock_study *study, const swl_notes *notes,
                           swl_units units)
{
    bool outside = false;
    const char *pressure = swl_shown_as(SWL_SHOW_PRESSURE, units).unit;
    const char *temperature = swl_shown_as(SWL_SHOW_TEMPERATURE, units).unit;
    swl_buf_puts(out, "Build   ");
    swl_report_wrap(out, build->name, SWL_PAGE_WIDTH - 8, "        ");
    swl_buf_puts(out,
                 "\nEnd-gas autoignition against the same engine without its blower, same spark, in (least to most)\n");
    static const char *const heads[][7] = {
        {"engine", "", "manifold", "", "charge", "integral over", "octane number"},
        {"", "without", "with", "without", "with", "that without", "times"},
        {"rpm", NULL, NULL, NULL, NULL, "", ""},
    };
    static const char *const last[] = {"later burning", "for the same", "deg"};
    static const int widths[] = {6, 8, 8, 8, 8, 22, 21};
    for (size_t head = 0; head < 3; head++) {
        for (size_t c = 0; c < 7; c++) {
            const char *word = heads[head][c] != NULL ? heads[head][c] : c < 3 ? pressure : temperature;
            swl_buf_printf(out, "%*s", widths[c], word);
        }
        swl_buf_printf(out, "%17s\n", last[head]);
    }
    for (size_t i = 0; i < study->count; i++) {
        if (swl_row_shown(study->count, i)) {
            text_row(out, &study->rows[i], units);
            outside = outside || !study->rows[i].on_map;
        }
    }
    if (outside) {
        swl_buf_puts(out, "* outside the map's data, whose edge is held there: nothing to build on\n");
    }
    swl_buf_puts(out, "\n");
    swl_report_wrap(out, caution, SWL_PAGE_WIDTH, "");
    swl_report_foot(out, notes);
}

static void csv_figure(swl_buf *out, const swl_knock_figure *figure)
{
    const double values[] = {figure->middle, figure->low, figure->high};
    for (size_t k = 0; k < 3; k++) {
        swl_buf_printf(out, isfinite(values[k]) ? ",%.10g" : ",", values[k]);
    }
}

void swl_report_knock_csv(swl_buf *out, const swl_knock_study *study, swl_units units)
{
    const char *pressure = swl_shown_as(SWL_SHOW_PRESSURE, units).unit;
    const char *temperature = swl_shown_as(SWL_SHOW_TEMPERATURE, units).unit;
    swl_buf_printf(out,
                   "engine speed [rpm],manifold pressure without blower [%s],manifold pressure [%s],charge temperature "
                   "without blower [%s],charge temperature [%s]",
                   pressure, pressure, temperature, temperature);
    static const char *const names[] = {"integral ratio", "octane factor", "retard [deg]"};
    for (size_t k = 0; k < 3; k++) {
        swl_buf_printf(out, ",%s,least %s,most %s", names[k], names[k], names[k]);
    }
    swl_buf_puts(out, ",on map\n");
    for (size_t i = 0; i < study->count; i++) {
        const swl_knock_row *row = &study->rows[i];
        swl_buf_printf(out, "%.10g,%.10g,%.10g,%.10g,%.10g", row->engine_rpm,
                       swl_shown_value(row->p_na_pa, SWL_SHOW_PRESSURE, units),
                       swl_shown_value(row->p3_pa, SWL_SHOW_PRESSURE, units),
                       swl_shown_value(row->t_na_k, SWL_SHOW_TEMPERATURE, units),
                       swl_shown_value(row->t3_k, SWL_SHOW_TEMPERATURE, units));
        csv_figure(out, &row->ratio);
        csv_figure(out, &row->octane_factor);
        csv_figure(out, &row->retard_deg);
        swl_buf_puts(out, row->on_map ? ",yes\n" : ",no\n");
    }
}

static json_t *json_figure(const swl_knock_figure *figure)
{
    return json_pack("{s:o, s:o, s:o}", "middle", swl_json_number(figure->middle), "least",
                     swl_json_number(figure->low), "most", swl_json_number(figure->high));
}

swl_status swl_report_knock_json(swl_buf *out, const swl_build *build, const swl_knock_study *study,
                                 const swl_notes *notes, swl_err *err)
{
    json_t *root = swl_json_head("knock");
    json_t *rows = json_array();
    int bad = root == NULL || rows == NULL;
    for (size_t i = 0; i < study->count; i++) {
        const swl_knock_row *row = &study->rows[i];
        bad |= json_array_append_new(
            rows, json_pack("{s:f, s:b, s:f, s:f, s:f, s:f, s:o, s:o, s:o}", "engine_speed_rpm", row->engine_rpm,
                            "on_map", row->on_map, "manifold_pressure_pa", row->p3_pa, "charge_temperature_k",
                            row->t3_k, "aspirated_manifold_pressure_pa", row->p_na_pa, "aspirated_charge_temperature_k",
                            row->t_na_k, "integral_ratio", json_figure(&row->ratio), "octane_factor",
                            json_figure(&row->octane_factor), "retard_deg", json_figure(&row->retard_deg)));
    }
    bad |= json_object_set_new(root, "build", json_string(build->name));
    bad |= json_object_set_new(root, "knock", rows);
    json_t *words = swl_json_notes(notes);
    bad |= json_array_insert_new(words, 0, json_string(caution));
    bad |= json_object_set_new(root, "notes", words);
    if (bad) {
        json_decref(root);
        root = NULL;
    }
    return swl_json_write(out, root, err);
}
