#include "sweptline/report.h"

#include "report/json.h"

#include <math.h>

static json_t *json_values(const swl_site_values *v)
{
    return json_pack("{s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o}", "air_density_kg_m3",
                     swl_json_number(v->rho_kg_m3), "boost_peak_pa", swl_json_number(v->boost_peak_pa),
                     "boost_at_limit_pa", swl_json_number(v->boost_limit_pa), "air_mass_flow_kg_s",
                     swl_json_number(v->mdot_limit_kg_s), "discharge_temperature_k", swl_json_number(v->t2_k),
                     "charge_temperature_k", swl_json_number(v->t3_k), "drive_power_w", swl_json_number(v->p_shaft_w),
                     "crank_power_w", swl_json_number(v->crank_w), "wheel_power_w", swl_json_number(v->wheel_w),
                     "margin", swl_json_number(v->margin_frac * 100));
}

static json_t *json_site_row(const swl_site_row *row)
{
    bool failed = row->failure[0] != '\0';
    json_t *o =
        json_pack("{s:s, s:f, s:f, s:f, s:o, s:o, s:o, s:s?, s:s?, s:I, s:s?, s:o}", "name", row->set.name,
                  "temperature_k", row->site.t_k, "pressure_pa", row->site.p_pa, "relative_humidity", row->site.rh_frac,
                  "altitude_m", swl_json_number(row->site.altitude_m), "boost_peak_speed_rpm",
                  swl_json_number(row->boost_peak_rpm), "crank_power_speed_rpm", swl_json_number(row->crank_rpm),
                  "verdict", failed || row->worst == NULL ? NULL : swl_verdict_word(row->verdict), "worst_limit",
                  row->worst == NULL ? NULL : row->worst->name, "points_outside_map", (json_int_t)row->outside,
                  "failure", failed ? row->failure : NULL, "change", json_values(&row->change));
    json_t *values = json_values(&row->values);
    int bad = o == NULL || values == NULL || json_object_update(o, values) != 0;
    json_decref(values);
    return swl_json_whole(o, bad);
}

static json_t *json_corrections(const swl_measured *measured)
{
    json_t *rows = json_array();
    int bad = rows == NULL;
    for (int form = 0; form < SWL_CORRECTIONS; form++) {
        const swl_correction *c = &measured->corrections[form];
        swl_buf reason = {0};
        swl_report_correction_reason(&reason, (swl_correction_form)form, measured, SWL_UNITS_SI);
        bad |= json_array_append_new(rows, json_pack("{s:s, s:o, s:o, s:b, s:s?}", "standard",
                                                     swl_correction_range_of((swl_correction_form)form)->name, "factor",
                                                     swl_json_number(c->factor), "corrected_power_w",
                                                     swl_json_number(c->factor * measured->measured_w), "in_range",
                                                     c->broken == 0, "reason",
                                                     c->broken == 0 ? NULL : swl_buf_text(&reason)));
        swl_buf_free(&reason);
    }
    return swl_json_whole(rows, bad);
}

static json_t *json_measured(const swl_measured *m)
{
    return json_pack("{s:f, s:s, s:f, s:f, s:f, s:f, s:f, s:o, s:o, s:o, s:o}", "power_w", m->measured_w, "site",
                     m->site.name[0] == '\0' ? SWL_SITE_OWN : m->site.name, "temperature_k", m->site.t_k, "pressure_pa",
                     m->site.p_pa, "relative_humidity", m->site.rh_frac, "dry_air_pressure_pa", m->p_dry_pa,
                     "vapour_pressure_pa", m->p_vapour_pa, "model_crank_power_w", swl_json_number(m->crank_site_w),
                     "model_reference_crank_power_w", swl_json_number(m->crank_reference_w), "model_factor",
                     swl_json_number(m->model_factor), "model_corrected_power_w",
                     swl_json_number(m->model_factor * m->measured_w));
}

swl_status swl_report_sites_json(swl_buf *out, const swl_build *build, const swl_sites *sites,
                                 const swl_measured *measured, const swl_notes *notes, swl_err *err)
{
    json_t *root = swl_json_head("site");
    json_t *rows = json_array();
    json_t *words = swl_json_notes(notes);
    int bad = root == NULL || rows == NULL || words == NULL;
    for (size_t i = 0; i < sites->count; i++) {
        bad |= json_array_append_new(rows, json_site_row(&sites->rows[i]));
    }
    bad |= json_object_set_new(root, "build", json_string(build->name));
    bad |= json_object_set_new(root, "unit", json_string(build->blower.name));
    bad |= json_object_set_new(root, "sites", rows);
    if (measured != NULL) {
        bad |= json_object_set_new(root, "measured", json_measured(measured));
        bad |= json_object_set_new(root, "corrections", json_corrections(measured));
    }
    bad |= json_object_set_new(root, "notes", words);
    if (bad) {
        json_decref(root);
        root = NULL;
    }
    return swl_json_write(out, root, err);
}
