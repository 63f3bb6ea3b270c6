#include "sweptline/report.h"

#include "report/columns.h"
#include "report/json.h"

#include <math.h>

typedef double throttle_value(const swl_throttle_row *row);

static double ducts(const swl_throttle_row *row)
{
    return row->site_pa - row->with.p_t_pa;
}

static double throttle(const swl_throttle_row *row)
{
    return row->with.p_t_pa - row->with.p_throttle_pa;
}

static double step(const swl_throttle_row *row)
{
    return row->with.p_throttle_pa - row->with.p1_pa;
}

static double ratio_with(const swl_throttle_row *row)
{
    return row->with.p_ratio;
}

static double ratio_without(const swl_throttle_row *row)
{
    return row->without.p_ratio;
}

static double boost(const swl_throttle_row *row)
{
    return row->with.boost_pa - row->without.boost_pa;
}

static double air(const swl_throttle_row *row)
{
    return row->with.mdot_kg_s - row->without.mdot_kg_s;
}

static double discharge(const swl_throttle_row *row)
{
    return row->with.t2_k - row->without.t2_k;
}

static double drive(const swl_throttle_row *row)
{
    return row->with.p_shaft_w - row->without.p_shaft_w;
}

static double crank(const swl_throttle_row *row)
{
    return row->power_with.crank_w - row->power_without.crank_w;
}

static double speed(const swl_throttle_row *row)
{
    return row->with.engine_rpm;
}

/* Differences are those the throttle body makes: with it less without it. */
static const struct {
    const char *csv;
    const char *json;
    const char *top;
    int width;
    bool change;
    swl_show show;
    throttle_value *value;
} columns[] = {
    {"engine speed", "engine_speed_rpm", "engine", 6, false, SWL_SHOW_ENGINE_SPEED, speed},
    {"loss of filter and ducts", "duct_loss_pa", "ducts", 8, false, SWL_SHOW_BOOST, ducts},
    {"loss of throttle body", "throttle_loss_pa", "throttle", 9, false, SWL_SHOW_BOOST, throttle},
    {"loss of adapter step", "step_loss_pa", "step", 7, false, SWL_SHOW_BOOST, step},
    {"pressure ratio", "pressure_ratio", "ratio", 8, false, SWL_SHOW_RATIO, ratio_with},
    {"pressure ratio without throttle", "pressure_ratio_without", "without", 9, false, SWL_SHOW_RATIO, ratio_without},
    {"boost change", "boost_change_pa", "boost", 9, true, SWL_SHOW_BOOST, boost},
    {"air flow change", "air_mass_flow_change_kg_s", "air", 9, true, SWL_SHOW_MASS_FLOW, air},
    {"discharge temperature change", "discharge_temperature_change_k", "disch.", 9, true, SWL_SHOW_TEMP_CHANGE,
     discharge},
    {"drive power change", "drive_power_change_w", "drive", 8, true, SWL_SHOW_POWER, drive},
    {"estimated crank power change", "crank_power_change_w", "crank", 8, true, SWL_SHOW_POWER, crank},
};
enum { COLUMNS = sizeof columns / sizeof columns[0] };

static void text_table(swl_buf *out, const swl_throttle_study *study, swl_units units)
{
    swl_buf_printf(out, "%30s%17s   with throttle less without\n", "losses up to the blower inlet", "pressure");
    for (int head = 0; head < 2; head++) {
        for (size_t c = 0; c < COLUMNS; c++) {
            swl_buf_printf(out, "%*s", columns[c].width,
                           head == 0 ? columns[c].top : swl_shown_as(columns[c].show, units).unit);
        }
        swl_buf_puts(out, "\n");
    }
    bool choked = false;
    bool outside = false;
    for (size_t i = 0; i < study->count; i++) {
        if (!swl_row_shown(study->count, i)) {
            continue;
        }
        const swl_throttle_row *row = &study->rows[i];
        for (size_t c = 0; c < COLUMNS; c++) {
            swl_shown shown = swl_shown_as(columns[c].show, units);
            double value = columns[c].value(row) * shown.scale;
            int decimals = shown.decimals + (columns[c].show == SWL_SHOW_BOOST);
            if (isnan(value)) {
                swl_buf_printf(out, "%*s", columns[c].width, "-");
            } else {
                swl_buf_printf(out, columns[c].change ? "%+*.*f" : "%*.*f", columns[c].width, decimals, value);
            }
        }
        bool on_map = row->with.map_where == SWL_MAP_INSIDE && row->without.map_where == SWL_MAP_INSIDE;
        swl_buf_printf(out, "%s%s\n", row->with.choked ? " choked" : "", on_map ? "" : " *");
        choked = choked || row->with.choked;
        outside = outside || !on_map;
    }
    if (outside) {
        swl_buf_puts(out,
                     "* with or without throttle outside the map's data, whose edge is held: nothing to build on\n");
    }
    if (choked) {
        swl_buf_puts(out, "choked: the air is at the speed of sound there, and no blower draws more through it\n");
    }
}

static void text_half(swl_buf *out, const swl_build *build, const swl_throttle_study *study, swl_units units)
{
    const swl_throttle_row *last = &study->rows[study->count - 1];
    swl_buf text = {0};
    swl_buf_printf(&text, "At the rev limit of %.0f rpm the throttle body of ", last->with.engine_rpm);
    if (build->intake.throttle_count > 1) {
        swl_buf_printf(&text, "%d bores of ", build->intake.throttle_count);
    }
    swl_report_value(&text, build->intake.bore_m, SWL_SHOW_LENGTH, units);
    swl_buf_puts(&text, " costs ");
    swl_report_value(&text, throttle(last), SWL_SHOW_BOOST, units);
    if (isnan(study->bore_half_m)) {
        swl_buf_puts(&text, "; no bore up to ten times as large halves that.");
    } else {
        swl_buf_puts(&text, "; a bore of ");
        swl_report_value(&text, study->bore_half_m, SWL_SHOW_LENGTH, units);
        swl_buf_puts(&text, " would halve that, and boost would be ");
        swl_report_value(&text, study->boost_half_pa, SWL_SHOW_BOOST, units);
        swl_buf_puts(&text, " instead of ");
        swl_report_value(&text, last->with.boost_pa, SWL_SHOW_BOOST, units);
        swl_buf_puts(&text, ".");
    }
    swl_buf_puts(out, "\n");
    swl_report_wrap(out, swl_buf_text(&text), SWL_PAGE_WIDTH, "");
    swl_buf_free(&text);
}

void swl_report_throttle_text(swl_buf *out, const swl_build *build, const swl_throttle_study *study,
                              const swl_notes *notes, swl_units units)
{
    swl_buf_puts(out, "Build   ");
    swl_report_wrap(out, build->name, SWL_PAGE_WIDTH - 8, "        ");
    swl_buf_puts(out, "\nWhat throttle body and adapter cost at wide-open throttle\n");
    text_table(out, study, units);
    text_half(out, build, study, units);
    swl_report_foot(out, notes);
}

void swl_report_throttle_csv(swl_buf *out, const swl_throttle_study *study, swl_units units)
{
    for (size_t c = 0; c < COLUMNS; c++) {
        const char *unit = swl_shown_as(columns[c].show, units).unit;
        swl_buf_printf(out, unit[0] == '\0' ? "%s%s" : "%s [%s]", columns[c].csv, unit);
        swl_buf_puts(out, ",");
    }
    swl_buf_puts(out, "throttle choked,on map\n");
    for (size_t i = 0; i < study->count; i++) {
        for (size_t c = 0; c < COLUMNS; c++) {
            double value = columns[c].value(&study->rows[i]) * swl_shown_as(columns[c].show, units).scale;
            swl_buf_printf(out, isnan(value) ? "," : "%.10g,", value);
        }
        swl_buf_puts(out, study->rows[i].with.choked ? "yes," : "no,");
        swl_buf_puts(out, study->rows[i].with.map_where == SWL_MAP_INSIDE ? "yes\n" : "no\n");
    }
}

swl_status swl_report_throttle_json(swl_buf *out, const swl_build *build, const swl_throttle_study *study,
                                    const swl_notes *notes, swl_err *err)
{
    json_t *root = swl_json_head("throttle");
    json_t *rows = json_array();
    int bad = root == NULL || rows == NULL;
    for (size_t i = 0; i < study->count; i++) {
        json_t *o = json_object();
        for (size_t c = 0; c < COLUMNS; c++) {
            bad |= json_object_set_new(o, columns[c].json, swl_json_number(columns[c].value(&study->rows[i])));
        }
        bad |= json_object_set_new(o, "on_map", json_boolean(study->rows[i].with.map_where == SWL_MAP_INSIDE));
        bad |= json_object_set_new(o, "throttle_choked", json_boolean(study->rows[i].with.choked));
        bad |= json_array_append_new(rows, o);
    }
    bad |= json_object_set_new(root, "build", json_string(build->name));
    bad |= json_object_set_new(root, "throttle_bore_m", swl_json_number(build->intake.bore_m));
    bad |= json_object_set_new(root, "throttle", rows);
    bad |= json_object_set_new(root, "halved",
                               json_pack("{s:o, s:o, s:o}", "throttle_bore_m", swl_json_number(study->bore_half_m),
                                         "throttle_loss_pa", swl_json_number(study->loss_half_pa), "boost_pa",
                                         swl_json_number(study->boost_half_pa)));
    bad |= json_object_set_new(root, "notes", swl_json_notes(notes));
    if (bad) {
        json_decref(root);
        root = NULL;
    }
    return swl_json_write(out, root, err);
}
