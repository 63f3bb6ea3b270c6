#include "sweptline/report.h"

#include "report/json.h"
#include "report/value.h"

#include <math.h>

static const char *const verdict_shout[] = {"kept", "close", "EXCEEDED"};

static void put_named(swl_buf *out, const char *words, double si, swl_show show, swl_units units)
{
    swl_buf_printf(out, "%s", words);
    swl_report_value(out, si, show, units);
}

static void text_core(swl_buf *out, const swl_cooler *cooler)
{
    if (cooler->ua_w_k > 0) {
        swl_buf_printf(out, "UA %.6g W/K, %d pass%s", cooler->ua_w_k, cooler->passes > 1 ? cooler->passes : 1,
                       cooler->passes > 1 ? "es" : "");
    } else if (cooler->effectiveness != NULL) {
        swl_buf_puts(out, "effectiveness over air flow");
    } else {
        swl_buf_printf(out, "effectiveness %.1f %%", cooler->effectiveness_frac * 100);
    }
}

static void text_circuit(swl_buf *out, const swl_build *build, const swl_soak *soak, swl_units units)
{
    const swl_cooler *cooler = &build->cooler;
    const swl_cycle *cycle = &build->cycle;
    swl_buf_puts(out, "Core    ");
    text_core(out, cooler);
    put_named(out, "\nCircuit ", cooler->coolant_volume_m3, SWL_SHOW_LIQUID_VOLUME, units);
    if (cooler->glycol_frac > 0) {
        swl_buf_printf(out, " of water with %.0f %% glycol", cooler->glycol_frac * 100);
    } else {
        swl_buf_puts(out, " of water");
    }
    put_named(out, ", pumped at ", cooler->coolant_m3_s, SWL_SHOW_LIQUID_FLOW, units);
    put_named(out, "; ", soak->capacity_j_k, SWL_SHOW_HEAT_CAPACITY, units);
    swl_buf_puts(out, " with its metal\nFront   ");
    if (swl_cooler_has_loop(cooler)) {
        put_named(out, "air at ", soak->t_front_air_k, SWL_SHOW_TEMPERATURE, units);
        put_named(out, ", ", cooler->front_air_kg_s, SWL_SHOW_MASS_FLOW, units);
        if (!isnan(cycle->rest_air_kg_s)) {
            put_named(out, " in a pull, ", cycle->rest_air_kg_s, SWL_SHOW_MASS_FLOW, units);
            swl_buf_puts(out, " at rest");
        }
    } else {
        swl_buf_puts(out, "no exchanger: the circuit keeps its heat");
    }
    const swl_soak_row *first = &soak->rows[0];
    double last_rpm = cycle->to_rpm > 0 ? cycle->to_rpm : build->engine.speed_limit_rpm;
    swl_buf_printf(out, "\nCycle   %d x (pull %.6g s from %.0f to %.0f rpm, rest %.6g s)\n", cycle->pulls,
                   cycle->pull_s, first->engine_rpm, last_rpm, cycle->rest_s);
}

static void text_pull_head(swl_buf *out, swl_units units)
{
    const char *t = swl_shown_as(SWL_SHOW_TEMPERATURE, units).unit;
    const char *q = swl_shown_as(SWL_SHOW_ENERGY, units).unit;
    swl_buf_printf(out, "\nPulls\n%5s%8s%10s%10s%10s%8s%10s%10s%10s\n%5s%8s%10s%10s%10s%8s%10s%10s%10s\n", "pull",
                   "ends at", "coolant", "coolant", "charge", "at", "air at", "heat", "heat", "", "s", "start", "end",
                   "peak", "rpm", "end", "in", "out");
    swl_buf_printf(out, "%5s%8s%10s%10s%10s%8s%10s%10s%10s\n", "", "", t, t, t, "",
                   swl_shown_as(SWL_SHOW_MASS_FLOW, units).unit, q, q);
}

static void text_pulls(swl_buf *out, const swl_soak *soak, swl_units units)
{
    bool limit = !isnan(soak->limit_k);
    bool starred = false;
    bool held = false;
    text_pull_head(out, units);
    for (size_t i = 0; i < soak->pull_count; i++) {
        const swl_soak_pull *pull = &soak->pulls[i];
        swl_buf_printf(out, "%5zu%8.1f", i + 1, pull->end_s);
        swl_put_number(out, 10, pull->t_coolant_start_k, SWL_SHOW_TEMPERATURE, units);
        swl_put_number(out, 10, pull->t_coolant_end_k, SWL_SHOW_TEMPERATURE, units);
        swl_put_number(out, 10, pull->t_charge_peak_k, SWL_SHOW_TEMPERATURE, units);
        swl_put_number(out, 8, pull->peak_rpm, SWL_SHOW_ENGINE_SPEED, units);
        swl_put_number(out, 10, pull->mdot_end_kg_s, SWL_SHOW_MASS_FLOW, units);
        swl_put_number(out, 10, pull->heat_in_j, SWL_SHOW_ENERGY, units);
        swl_put_number(out, 10, pull->heat_out_j, SWL_SHOW_ENERGY, units);
        swl_buf_printf(out, "  %s%s%s\n", limit ? verdict_shout[pull->verdict] : "no limit", pull->on_map ? "" : " *",
                       pull->coolant_held ? " +" : "");
        starred = starred || !pull->on_map;
        held = held || pull->coolant_held;
    }
    if (starred) {
        swl_buf_puts(out, "* rests on a point outside the map's data, whose edge is held: no verdict to build on\n");
    }
    if (held) {
        swl_buf_puts(out, "+ rests on a coolant outside the range of its properties, which are held: no verdict to "
                          "build on\n");
    }
    if (limit) {
        put_named(out, "Limit of the charge temperature: ", soak->limit_k, SWL_SHOW_TEMPERATURE, units);
        swl_buf_puts(out, "; close: less than 5 % of the absolute one to spare\n");
    }
}

static void text_recovery(swl_buf *out, const swl_soak *soak, swl_units units)
{
    swl_buf_puts(out, "\nAfter the last pull\n");
    if (isnan(soak->recovery_s)) {
        put_named(out, "not recovered: still above ", soak->t_recovered_k, SWL_SHOW_TEMPERATURE, units);
        swl_buf_printf(out, " after %.0f min%s\n", SWL_SOAK_WATCH_S / 60,
                       swl_soak_settles_above(soak) ? ", and at rest it never comes down to that" : "");
    } else {
        swl_buf_printf(out, "recovered after %.0f s: coolant back at ", soak->recovery_s);
        swl_report_value(out, soak->t_recovered_k, SWL_SHOW_TEMPERATURE, units);
        put_named(out, " (start ", soak->t_start_k, SWL_SHOW_TEMPERATURE, units);
        swl_buf_puts(out, ")\n");
    }
    if (!isnan(soak->t_rest_k)) {
        put_named(out, "the coolant settles at ", soak->t_rest_k, SWL_SHOW_TEMPERATURE, units);
        swl_buf_puts(out, " at rest");
        if (!isnan(soak->t_pull_k)) {
            put_named(out, ", and would at ", soak->t_pull_k, SWL_SHOW_TEMPERATURE, units);
            swl_buf_puts(out, " were the end of a pull held");
        }
        swl_buf_puts(out, "\n");
    }
    put_named(out, "Heat over all: ", soak->energy.in_j, SWL_SHOW_ENERGY, units);
    put_named(out, " in, ", soak->energy.out_j, SWL_SHOW_ENERGY, units);
    put_named(out, " out, ", soak->energy.stored_j, SWL_SHOW_ENERGY, units);
    /* Rounded up to a power of ten. */
    double within = pow(10, ceil(log10(fmax(soak->energy.error_frac, 1e-12)) - 1e-9));
    swl_buf_printf(out, " stored; balance within %.0e\n", within);
}

void swl_report_soak_text(swl_buf *out, const swl_build *build, const swl_soak *soak, const swl_notes *notes,
                          swl_units units)
{
    swl_buf_puts(out, "Build   ");
    swl_report_wrap(out, build->name, SWL_PAGE_WIDTH - 8, "        ");
    if (build->site.name[0] != '\0') {
        swl_buf_puts(out, "Site    ");
        swl_report_site(out, &build->site, units);
        swl_buf_puts(out, "\n");
    }
    text_circuit(out, build, soak, units);
    text_pulls(out, soak, units);
    text_recovery(out, soak, units);
    swl_report_foot(out, notes);
}

void swl_report_soak_csv(swl_buf *out, const swl_soak *soak, swl_units units)
{
    const char *t = swl_shown_as(SWL_SHOW_TEMPERATURE, units).unit;
    const char *q = swl_shown_as(SWL_SHOW_HEAT_FLOW, units).unit;
    swl_buf_printf(out,
                   "time [s],pull,engine speed [rpm],coolant temperature [%s],charge temperature [%s],heat in "
                   "[%s],heat out [%s],on map\n",
                   t, t, q, q);
    for (size_t i = 0; i < soak->row_count; i++) {
        const swl_soak_row *row = &soak->rows[i];
        swl_buf_printf(out, "%.10g,%zu", row->time_s, row->pull);
        swl_put_csv(out, row->engine_rpm, SWL_SHOW_ENGINE_SPEED, units);
        swl_put_csv(out, row->t_coolant_k, SWL_SHOW_TEMPERATURE, units);
        swl_put_csv(out, row->t_charge_k, SWL_SHOW_TEMPERATURE, units);
        swl_put_csv(out, row->heat_in_w, SWL_SHOW_HEAT_FLOW, units);
        swl_put_csv(out, row->heat_out_w, SWL_SHOW_HEAT_FLOW, units);
        swl_buf_printf(out, ",%s\n", row->pull == 0 ? "" : row->on_map ? "yes" : "no");
    }
}

static json_t *json_row(const swl_soak_row *row)
{
    return json_pack("{s:f, s:I, s:o, s:f, s:o, s:f, s:f, s:o}", "time_s", row->time_s, "pull", (json_int_t)row->pull,
                     "engine_speed_rpm", swl_json_number(row->engine_rpm), "coolant_temperature_k", row->t_coolant_k,
                     "charge_temperature_k", swl_json_number(row->t_charge_k), "heat_in_w", row->heat_in_w,
                     "heat_out_w", row->heat_out_w, "on_map", row->pull == 0 ? json_null() : json_boolean(row->on_map));
}

static json_t *json_pull(const swl_soak *soak, const swl_soak_pull *pull)
{
    bool limit = !isnan(soak->limit_k);
    return json_pack("{s:f, s:f, s:f, s:f, s:f, s:f, s:f, s:f, s:f, s:f, s:f, s:s?, s:o, s:b, s:b}", "start_s",
                     pull->start_s, "end_s", pull->end_s, "coolant_start_temperature_k", pull->t_coolant_start_k,
                     "coolant_end_temperature_k", pull->t_coolant_end_k, "charge_peak_temperature_k",
                     pull->t_charge_peak_k, "peak_time_s", pull->peak_s, "peak_engine_speed_rpm", pull->peak_rpm,
                     "charge_end_temperature_k", pull->t_charge_end_k, "end_air_mass_flow_kg_s", pull->mdot_end_kg_s,
                     "heat_in_j", pull->heat_in_j, "heat_out_j", pull->heat_out_j, "verdict",
                     limit ? swl_verdict_word(pull->verdict) : NULL, "margin", swl_json_number(pull->margin_frac * 100),
                     "on_map", pull->on_map, "coolant_in_range", !pull->coolant_held);
}

static json_t *json_energy(const swl_soak_energy *energy)
{
    return json_pack("{s:f, s:f, s:f, s:f}", "heat_in_j", energy->in_j, "heat_out_j", energy->out_j, "stored_j",
                     energy->stored_j, "balance_error", energy->error_frac);
}

swl_status swl_report_soak_json(swl_buf *out, const swl_build *build, const swl_soak *soak, const swl_notes *notes,
                                swl_err *err)
{
    json_t *root = swl_json_head("soak");
    json_t *series = json_array();
    json_t *pulls = json_array();
    json_t *words = swl_json_notes(notes);
    json_t *over = json_array();
    int bad = root == NULL || series == NULL || pulls == NULL || words == NULL || over == NULL;
    for (size_t i = 0; i < soak->over_count; i++) {
        bad |= json_array_append_new(over, swl_json_limit(&soak->over[i]));
    }
    for (size_t i = 0; i < soak->row_count; i++) {
        bad |= json_array_append_new(series, json_row(&soak->rows[i]));
    }
    for (size_t i = 0; i < soak->pull_count; i++) {
        bad |= json_array_append_new(pulls, json_pull(soak, &soak->pulls[i]));
    }
    bad |= json_object_set_new(root, "build", json_string(build->name));
    bad |= json_object_set_new(root, "unit", json_string(build->blower.name));
    bad |= json_object_set_new(root, "series", series);
    bad |= json_object_set_new(root, "pulls", pulls);
    bad |= json_object_set_new(root, "energy", json_energy(&soak->energy));
    bad |= json_object_set_new(root, "recovery_time_s", swl_json_number(soak->recovery_s));
    bad |= json_object_set_new(root, "recovered_temperature_k", swl_json_number(soak->t_recovered_k));
    bad |= json_object_set_new(root, "start_temperature_k", swl_json_number(soak->t_start_k));
    bad |= json_object_set_new(root, "coolant_peak_temperature_k", swl_json_number(soak->t_peak_k));
    bad |= json_object_set_new(root, "rest_settled_temperature_k", swl_json_number(soak->t_rest_k));
    bad |= json_object_set_new(root, "pull_settled_temperature_k", swl_json_number(soak->t_pull_k));
    bad |= json_object_set_new(root, "heat_capacity_j_k", swl_json_number(soak->capacity_j_k));
    bad |= json_object_set_new(root, "charge_temperature_limit_k", swl_json_number(soak->limit_k));
    bad |= json_object_set_new(root, "exceeded", json_boolean(soak->exceeded));
    bad |= json_object_set_new(root, "exceeded_limits", over);
    bad |= json_object_set_new(root, "notes", words);
    if (bad) {
        json_decref(root);
        root = NULL;
    }
    return swl_json_write(out, root, err);
}
