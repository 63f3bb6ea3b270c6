#include "sweptline/report.h"

#include "report/columns.h"
#include "report/json.h"

#include <math.h>

static double fuel(const swl_supply *row)
{
    return row->fuel_kg_s;
}

static double rail(const swl_supply *row)
{
    return row->rail_pa;
}

static double across(const swl_supply *row)
{
    return row->dp_pa;
}

static double injector(const swl_supply *row)
{
    return row->injector_kg_s;
}

static double duty(const swl_supply *row)
{
    return row->duty_frac;
}

static double pump(const swl_supply *row)
{
    return row->pump_kg_s;
}

static double spare(const swl_supply *row)
{
    return (row->pump_kg_s - row->fuel_kg_s) / row->pump_kg_s;
}

static const struct {
    const char *csv;
    const char *json;
    const char *top;
    const char *middle;
    swl_show show;
    double (*value)(const swl_supply *row);
} columns[] = {
    {"fuel flow", "fuel_mass_flow_kg_s", "fuel", "wanted", SWL_SHOW_FUEL_FLOW, fuel},
    {"rail pressure", "rail_pressure_pa", "rail", "gauge", SWL_SHOW_BOOST, rail},
    {"pressure across injector", "injector_pressure_pa", "across", "injector", SWL_SHOW_BOOST, across},
    {"injector flow held open", "injector_mass_flow_kg_s", "injector", "open", SWL_SHOW_FUEL_FLOW, injector},
    {"injector duty", "injector_duty", "injector", "duty", SWL_SHOW_FRACTION, duty},
    {"pump flow at rail pressure", "pump_mass_flow_kg_s", "pump", "flow", SWL_SHOW_FUEL_FLOW, pump},
    {"pump spare", "pump_spare", "pump", "spare", SWL_SHOW_FRACTION, spare},
};
enum { COLUMNS = sizeof columns / sizeof columns[0], WIDTH = 10 };

static void put_cell(swl_buf *out, int width, double si, swl_show show, swl_units units)
{
    swl_shown shown = swl_shown_as(show, units);
    if (!isfinite(si)) {
        swl_buf_printf(out, "%*s", width, isnan(si) ? "-" : "no flow");
    } else {
        swl_buf_printf(out, "%*.*f", width, shown.decimals, si * shown.scale + shown.shift);
    }
}

static void text_table(swl_buf *out, const swl_fueling *study, swl_units units)
{
    for (int head = 0; head < 3; head++) {
        swl_buf_printf(out, "%6s", head == 0 ? "engine" : head == 2 ? "rpm" : "");
        for (size_t c = 0; c < COLUMNS; c++) {
            swl_buf_printf(out, "%*s", WIDTH,
                           head == 0   ? columns[c].top
                           : head == 1 ? columns[c].middle
                                       : swl_shown_as(columns[c].show, units).unit);
        }
        swl_buf_puts(out, "\n");
    }
    bool held = false;
    bool outside = false;
    for (size_t i = 0; i < study->count; i++) {
        held = held || study->rows[i].pump_held;
        if (!swl_row_shown(study->count, i)) {
            continue;
        }
        swl_buf_printf(out, "%6.0f", study->engine_rpm[i]);
        for (size_t c = 0; c < COLUMNS; c++) {
            put_cell(out, WIDTH, columns[c].value(&study->rows[i]), columns[c].show, units);
        }
        swl_buf_printf(out, "%s%s\n", study->rows[i].pump_held ? " *" : "", study->rows[i].on_map ? "" : " +");
        outside = outside || !study->rows[i].on_map;
    }
    if (outside) {
        swl_buf_puts(out, "+ outside the map's data, whose edge is held there: nothing to build on\n");
    }
    if (held) {
        swl_buf_puts(out,
                     "* the rail pressure lies outside the pump's curve, whose end is held: nothing to build on\n");
    }
}

/* Injectors are sold by cc/min and lb/h at a pressure. */
static void put_size(swl_buf *out, const swl_fueling *study, double kg_s, double dp_pa, swl_units units)
{
    swl_buf_printf(out, "%.0f cc/min (", kg_s / study->fuel->density_kg_m3 * 60e6);
    swl_report_value(out, kg_s, SWL_SHOW_FUEL_FLOW, units);
    swl_buf_puts(out, ") at ");
    swl_report_value(out, dp_pa, SWL_SHOW_BOOST, units);
}

/* The size as it is stated in the file, where the build's fuel does not flow as the petrol that it is rated with. */
static void put_rated(swl_buf *out, const swl_build *build, const swl_fueling *study, swl_units units)
{
    const swl_injector_rating *rating = &build->injection.rating;
    double density_kg_m3 = study->fuel->density_kg_m3;
    if (!isfinite(study->injector_least_kg_s) || fabs(density_kg_m3 / SWL_RATING_KG_M3 - 1) < 1e-6) {
        return;
    }
    bool by_mass = isnan(rating->vdot_m3_s);
    swl_buf_puts(out, " The build's ");
    if (by_mass) {
        swl_report_value(out, rating->mdot_kg_s, SWL_SHOW_FUEL_FLOW, units);
    } else {
        swl_buf_printf(out, "%.0f cc/min", rating->vdot_m3_s * 60e6);
    }
    swl_buf_printf(out,
                   " is taken as rated with petrol of %.0f kg/m3; the sizes here are of %s, of %.0f kg/m3, which "
                   "passes the same orifice at %.1f %% of that %s flow.",
                   SWL_RATING_KG_M3, study->fuel->name, density_kg_m3,
                   100 * pow(density_kg_m3 / SWL_RATING_KG_M3, by_mass ? 0.5 : -0.5), by_mass ? "mass" : "volume");
}

static void text_size(swl_buf *out, const swl_build *build, const swl_fueling *study, swl_units units)
{
    swl_buf text = {0};
    double dp_pa = build->injection.rating.dp_pa;
    if (isfinite(study->injector_least_kg_s)) {
        swl_buf_printf(&text, "%d injectors of ", study->injectors);
        put_size(&text, study, study->injector_rated_kg_s, dp_pa, units);
        swl_buf_printf(&text, "; the smallest that keep a duty of %.0f %% are of ", study->duty_limit_frac * 100);
        put_size(&text, study, study->injector_least_kg_s, dp_pa, units);
        swl_buf_puts(&text, ", with the time they take to open and close left out.");
    } else {
        swl_buf_puts(&text,
                     "Boost reaches the rail's pressure: no injector flows there. Raise rail_pressure or let the "
                     "regulator follow the manifold.");
    }
    put_rated(&text, build, study, units);
    swl_buf_puts(out, "\n");
    swl_report_wrap(out, swl_buf_text(&text), SWL_PAGE_WIDTH, "");
    swl_buf_free(&text);
}

static void text_fuels(swl_buf *out, const swl_fueling *study, swl_units units)
{
    swl_buf_printf(out,
                   "\nThe same air and lambda on each fuel, highest of the "
                   "line\n%-12s%10s%10s%10s%12s%12s%10s\n%-12s%10s%10s%10s%12s%12s%10s\n",
                   "", "air-fuel", "heating", "fuel", "injector", "of the", "at", "", "ratio", "MJ/kg",
                   swl_shown_as(SWL_SHOW_FUEL_FLOW, units).unit, "duty %", "pump %", "rpm");
    for (size_t k = 0; k < study->fuel_count; k++) {
        const swl_fueling_fuel *row = &study->fuels[k];
        swl_buf_printf(out, "%-12s%10.2f%10.1f", row->fuel->name, row->fuel->air_fuel_ratio, row->fuel->lhv_j_kg / 1e6);
        put_cell(out, 10, row->fuel_kg_s, SWL_SHOW_FUEL_FLOW, units);
        put_cell(out, 12, row->duty_frac, SWL_SHOW_FRACTION, units);
        put_cell(out, 12, row->pump_share, SWL_SHOW_FRACTION, units);
        swl_buf_printf(out, "%10.0f%s\n", row->engine_rpm, row->fuel == study->fuel ? "  the build's" : "");
    }
}

void swl_report_fueling_text(swl_buf *out, const swl_build *build, const swl_fueling *study, const swl_notes *notes,
                             swl_units units)
{
    swl_buf_puts(out, "Build   ");
    swl_report_wrap(out, build->name, SWL_PAGE_WIDTH - 8, "        ");
    swl_buf_printf(out, "Fuel    %s at lambda %.3g; rail %s\n\nFuel at wide-open throttle\n", study->fuel->name,
                   study->lambda,
                   build->injection.rail_follows_boost ? "pressure follows the manifold" : "at a fixed gauge pressure");
    text_table(out, study, units);
    text_size(out, build, study, units);
    text_fuels(out, study, units);
    swl_buf_puts(out, "\n");
    swl_report_wrap(
        out,
        "A fuel's own heat, spark and mixture are not in this table. Fuel under pressure burns: lines, pump "
        "and connections are work for licensed practice.",
        SWL_PAGE_WIDTH, "");
    swl_report_foot(out, notes);
}

void swl_report_fueling_csv(swl_buf *out, const swl_fueling *study, swl_units units)
{
    swl_buf_puts(out, "engine speed [rpm]");
    for (size_t c = 0; c < COLUMNS; c++) {
        swl_buf_printf(out, ",%s [%s]", columns[c].csv, swl_shown_as(columns[c].show, units).unit);
    }
    swl_buf_puts(out, ",rail pressure outside pump curve,on map\n");
    for (size_t i = 0; i < study->count; i++) {
        swl_buf_printf(out, "%.10g", study->engine_rpm[i]);
        for (size_t c = 0; c < COLUMNS; c++) {
            double value = columns[c].value(&study->rows[i]) * swl_shown_as(columns[c].show, units).scale;
            swl_buf_printf(out, isfinite(value) ? ",%.10g" : ",", value);
        }
        swl_buf_puts(out, study->rows[i].pump_held ? ",yes" : ",no");
        swl_buf_puts(out, study->rows[i].on_map ? ",yes\n" : ",no\n");
    }
}

static json_t *json_fuels(const swl_fueling *study)
{
    json_t *fuels = json_array();
    int bad = fuels == NULL;
    for (size_t k = 0; k < study->fuel_count; k++) {
        const swl_fueling_fuel *row = &study->fuels[k];
        bad |= json_array_append_new(
            fuels, json_pack("{s:s, s:f, s:f, s:f, s:o, s:o, s:f, s:s}", "fuel", row->fuel->name,
                             "stoichiometric_air_fuel_ratio", row->fuel->air_fuel_ratio, "lower_heating_value_j_kg",
                             row->fuel->lhv_j_kg, "fuel_mass_flow_kg_s", row->fuel_kg_s, "injector_duty",
                             swl_json_number(row->duty_frac), "pump_share", swl_json_number(row->pump_share),
                             "engine_speed_rpm", row->engine_rpm, "source", row->fuel->source));
    }
    return swl_json_whole(fuels, bad);
}

swl_status swl_report_fueling_json(swl_buf *out, const swl_build *build, const swl_fueling *study,
                                   const swl_notes *notes, swl_err *err)
{
    json_t *root = swl_json_head("fuel");
    json_t *rows = json_array();
    int bad = root == NULL || rows == NULL;
    for (size_t i = 0; i < study->count; i++) {
        json_t *o = json_object();
        bad |= json_object_set_new(o, "engine_speed_rpm", swl_json_number(study->engine_rpm[i]));
        for (size_t c = 0; c < COLUMNS; c++) {
            bad |= json_object_set_new(o, columns[c].json, swl_json_number(columns[c].value(&study->rows[i])));
        }
        bad |= json_object_set_new(o, "on_map", json_boolean(study->rows[i].on_map));
        bad |= json_object_set_new(o, "outside_pump_curve", json_boolean(study->rows[i].pump_held));
        bad |= json_array_append_new(rows, o);
    }
    bad |= json_object_set_new(root, "build", json_string(build->name));
    bad |= json_object_set_new(root, "fuel", json_string(study->fuel->name));
    bad |= json_object_set_new(root, "lambda", swl_json_number(study->lambda));
    bad |= json_object_set_new(root, "injectors", json_integer(study->injectors));
    bad |= json_object_set_new(root, "injector_rated_mass_flow_kg_s", swl_json_number(study->injector_rated_kg_s));
    bad |= json_object_set_new(root, "injector_least_mass_flow_kg_s", swl_json_number(study->injector_least_kg_s));
    bad |= json_object_set_new(root, "duty_limit", swl_json_number(study->duty_limit_frac));
    bad |= json_object_set_new(root, "supply", rows);
    bad |= json_object_set_new(root, "fuels", json_fuels(study));
    bad |= json_object_set_new(root, "notes", swl_json_notes(notes));
    if (bad) {
        json_decref(root);
        root = NULL;
    }
    return swl_json_write(out, root, err);
}
