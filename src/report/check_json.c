#include "sweptline/report.h"

#include "sweptline/version.h"

#include "report/columns.h"
#include "report/json.h"

#include <math.h>
#include <stdlib.h>

/* A number, or null when it is not finite: JSON has no word for that. */
json_t *swl_json_number(double value)
{
    return isfinite(value) ? json_real(value) : json_null();
}

json_t *swl_json_whole(json_t *value, int bad)
{
    if (bad) {
        json_decref(value);
        return NULL;
    }
    return value;
}

static int put_piece(const char *piece, size_t len, void *out)
{
    swl_buf_put(out, piece, len);
    return 0;
}

/* Not by json_dumps, which leaves pieces out when its own buffer cannot grow. */
static swl_status dump(swl_buf *out, json_t *root, size_t flags, swl_err *err)
{
    int bad = root == NULL || json_dump_callback(root, put_piece, out, flags) != 0;
    json_decref(root);
    if (bad) {
        return swl_err_set(err, SWL_ERR_MEMORY,
                           "the JSON could not be made: out of memory, or a name that is not UTF-8");
    }
    return swl_buf_status(out, err);
}

swl_status swl_json_write(swl_buf *out, json_t *root, swl_err *err)
{
    swl_status status = dump(out, root, JSON_INDENT(2) | JSON_REAL_PRECISION(17), err);
    swl_buf_puts(out, "\n");
    return status == SWL_OK ? swl_buf_status(out, err) : status;
}

swl_status swl_json_write_short(swl_buf *out, json_t *root, swl_err *err)
{
    return dump(out, root, JSON_COMPACT | JSON_REAL_PRECISION(7), err);
}

/* Takes the value. Returns: 0, or -1 when it could not be added, as Jansson does. */
static int put(json_t *object, const char *key, json_t *value)
{
    return json_object_set_new(object, key, value);
}

json_t *swl_json_point(const swl_point *point, const swl_power *power)
{
    json_t *o = json_object();
    int bad = o == NULL;
    bad |= put(o, "engine_speed_rpm", swl_json_number(point->engine_rpm));
    bad |= put(o, "blower_speed_rpm", swl_json_number(point->blower_rpm));
    bad |= put(o, "corrected_speed_rpm", swl_json_number(point->corrected_rpm));
    bad |= put(o, "pressure_ratio", swl_json_number(point->p_ratio));
    bad |= put(o, "throttle_inlet_pressure_pa", swl_json_number(point->p_t_pa));
    bad |= put(o, "throttle_outlet_pressure_pa", swl_json_number(point->p_throttle_pa));
    bad |= put(o, "inlet_pressure_pa", swl_json_number(point->p1_pa));
    bad |= put(o, "discharge_pressure_pa", swl_json_number(point->p2_pa));
    bad |= put(o, "manifold_pressure_pa", swl_json_number(point->p3_pa));
    bad |= put(o, "exhaust_pressure_pa", swl_json_number(point->p_e_pa));
    bad |= put(o, "boost_pa", swl_json_number(point->boost_pa));
    bad |= put(o, "air_mass_flow_kg_s", swl_json_number(point->mdot_kg_s));
    bad |= put(o, "inlet_volume_flow_m3_s", swl_json_number(point->vdot1_m3_s));
    bad |= put(o, "map_volume_flow_m3_s", swl_json_number(point->map_vdot_m3_s));
    bad |= put(o, "blower_volumetric_efficiency", swl_json_number(point->ev_frac));
    bad |= put(o, "blower_adiabatic_efficiency", swl_json_number(point->ea_frac));
    bad |= put(o, "engine_volumetric_efficiency", swl_json_number(point->engine_ve_frac));
    bad |= put(o, "inlet_temperature_k", swl_json_number(point->t1_k));
    bad |= put(o, "discharge_temperature_k", swl_json_number(point->t2_k));
    bad |= put(o, "charge_temperature_k", swl_json_number(point->t3_k));
    bad |= put(o, "drive_power_w", swl_json_number(point->p_shaft_w));
    bad |= put(o, "drive_torque_n_m", swl_json_number(point->torque_nm));
    bad |= put(o, "cooler_heat_w", swl_json_number(point->q_cooler_w));
    bad |= put(o, "coolant_in_temperature_k", swl_json_number(point->t_coolant_in_k));
    bad |= put(o, "coolant_out_temperature_k", swl_json_number(point->t_coolant_out_k));
    bad |= put(o, "cooler_effectiveness", swl_json_number(point->cooler_eff_frac));
    for (size_t c = 0; c < SWL_POWER_COLUMNS; c++) {
        bad |= put(o, swl_power_columns[c].json, swl_json_number(swl_power_number(power, swl_power_columns[c].value)));
    }
    bad |= put(o, "on_map", json_boolean(point->map_where == SWL_MAP_INSIDE));
    bad |= put(o, "volumetric_efficiency_held", json_boolean(point->ve_held));
    bad |= put(o, "throttle_choked", json_boolean(point->choked));
    return swl_json_whole(o, bad);
}

json_t *swl_json_limit(const swl_limit_row *row)
{
    json_t *o = json_object();
    int bad = o == NULL;
    bad |= put(o, "name", json_string(row->name));
    bad |= put(o, "verdict", json_string(swl_verdict_word(row->verdict)));
    bad |= put(o, "value", swl_json_number(row->value));
    bad |= put(o, "limit", swl_json_number(row->limit));
    bad |= put(o, "unit", json_string(row->unit));
    bad |= put(o, "margin", swl_json_number(row->margin_frac * 100));
    bad |= put(o, "engine_speed_rpm", swl_json_number(row->engine_rpm));
    bad |= put(o, "on_map", json_boolean(row->on_map));
    if (!isnan(row->exceeded_from_rpm)) {
        bad |= put(o, "exceeded_from_speed_rpm", swl_json_number(row->exceeded_from_rpm));
    }
    if (!isnan(row->engine_rpm_at_limit)) {
        bad |= put(o, "engine_speed_at_limit_rpm", swl_json_number(row->engine_rpm_at_limit));
        bad |= put(o, "smallest_blower_pulley_m",
                   row->smallest_pulley_m > 0 ? swl_json_number(row->smallest_pulley_m) : json_null());
    }
    return swl_json_whole(o, bad);
}

json_t *swl_json_notes(const swl_notes *notes)
{
    json_t *words = json_array();
    int bad = words == NULL || notes->failed;
    for (size_t i = 0; i < notes->count; i++) {
        bad |= json_array_append_new(words, json_string(notes->items[i]));
    }
    return swl_json_whole(words, bad);
}

json_t *swl_json_head(const char *command)
{
    json_t *root = json_object();
    int bad = root == NULL;
    bad |= put(root, "program", json_string("sweptline"));
    bad |= put(root, "version", json_string(SWL_VERSION));
    bad |= put(root, "command", json_string(command));
    return swl_json_whole(root, bad);
}

static json_t *json_drive(const swl_build *build, const swl_check *check)
{
    json_t *o = json_object();
    int bad = o == NULL;
    bad |= put(o, "ratio", swl_json_number(check->drive_ratio));
    bad |= put(o, "crank_pulley_m", swl_json_number(build->drive.d_crank_m));
    bad |= put(o, "blower_pulley_m", swl_json_number(build->drive.d_blower_m));
    bad |= put(o, "blower_speed_at_limit_rpm", swl_json_number(check->blower_rpm_at_limit));
    bad |= put(o, "blower_speed_at_over_rev_rpm", swl_json_number(check->blower_rpm_at_over_rev));
    return swl_json_whole(o, bad);
}

json_t *swl_json_site(const swl_site *site)
{
    json_t *o = json_pack("{s:f, s:f, s:f}", "temperature_k", site->t_k, "pressure_pa", site->p_pa, "relative_humidity",
                          site->rh_frac);
    if (o != NULL && site->name[0] != '\0' && put(o, "name", json_string(site->name)) != 0) {
        json_decref(o);
        return NULL;
    }
    return o;
}

static json_t *json_power_basis(const swl_power_basis *basis)
{
    json_t *o = json_object();
    int bad = o == NULL;
    bad |= put(o, "fuel", json_string(basis->fuel->name));
    bad |= put(o, "lambda", swl_json_number(basis->lambda));
    bad |= put(o, "stoichiometric_air_fuel_ratio", swl_json_number(basis->fuel->air_fuel_ratio));
    bad |= put(o, "lower_heating_value_j_kg", swl_json_number(basis->fuel->lhv_j_kg));
    bad |= put(o, "indicated_efficiency", swl_json_number(basis->indicated_eff_frac));
    bad |= put(o, "fitted", json_boolean(!isnan(basis->fitted_eff_frac)));
    bad |= put(o, "naturally_aspirated_air_mass_flow_kg_s", swl_json_number(basis->na_mdot_kg_s));
    return swl_json_whole(o, bad);
}

static json_t *json_sensitivity(const swl_sensitivity *sensitivity)
{
    json_t *rows = json_array();
    int bad = rows == NULL;
    for (size_t i = 0; i < sensitivity->count; i++) {
        const swl_sensitivity_row *row = &sensitivity->rows[i];
        bad |= json_array_append_new(
            rows, json_pack("{s:s, s:s, s:f, s:f, s:f, s:f, s:f, s:f}", "name", row->name, "change", row->words,
                            "engine_speed_rpm", sensitivity->engine_rpm, "boost_pa", row->d_boost_pa,
                            "air_mass_flow_kg_s", row->d_mdot_kg_s, "discharge_temperature_k", row->d_t2_k,
                            "charge_temperature_k", row->d_t3_k, "drive_power_w", row->d_p_shaft_w));
    }
    return swl_json_whole(rows, bad);
}

swl_status swl_report_check_json(swl_buf *out, const char *command, const swl_build *build, const swl_check *check,
                                 const swl_sensitivity *sensitivity, const swl_notes *notes, swl_err *err)
{
    json_t *root = swl_json_head(command);
    json_t *line = json_array();
    json_t *limits = json_array();
    json_t *words = swl_json_notes(notes);
    int bad = root == NULL || line == NULL || limits == NULL || words == NULL;
    for (size_t i = 0; i < check->line_count; i++) {
        bad |= json_array_append_new(line, swl_json_point(&check->line[i], &check->power[i]));
    }
    for (size_t i = 0; i < check->limit_count; i++) {
        bad |= json_array_append_new(limits, swl_json_limit(&check->limits[i]));
    }
    bad |= put(root, "build", json_string(build->name));
    bad |= put(root, "unit", json_string(build->blower.name));
    bad |= put(root, "site", swl_json_site(&build->site));
    bad |= put(root, "drive", json_drive(build, check));
    bad |= put(root, "power", json_power_basis(&check->basis));
    bad |= put(root, "line", line);
    bad |= put(root, "limits", limits);
    if (sensitivity != NULL) {
        bad |= put(root, "sensitivity", json_sensitivity(sensitivity));
    }
    bad |= put(root, "notes", words);
    if (bad) {
        json_decref(root);
        root = NULL;
    }
    return swl_json_write(out, root, err);
}
