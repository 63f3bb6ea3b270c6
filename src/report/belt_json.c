#include "sweptline/report.h"

#include "report/json.h"

#include <math.h>

static const char *pulley_name(const swl_belt_alternative *a, size_t stop)
{
    return a->layout.pulleys[a->path.stops[stop].pulley].name;
}

static json_t *json_range(swl_range range)
{
    return json_pack("[f, f]", range.least, range.most);
}

static json_t *json_pulley(const swl_belt_alternative *a, size_t k)
{
    const swl_belt_pulley *pulley = &a->layout.pulleys[a->path.stops[k].pulley];
    const swl_belt_stop *stop = &a->path.stops[k];
    const swl_belt_stop_run *run = &a->stops[k];
    return json_pack("{s:s, s:s, s:f, s:f, s:f, s:f, s:o, s:f, s:f, s:o, s:o}", "name", pulley->name, "side",
                     pulley->side == SWL_BELT_RIBS ? "ribs" : "back", "diameter_m", pulley->d_m, "x_m",
                     pulley->centre.x_m, "y_m", pulley->centre.y_m, "wrap_rad", stop->wrap_rad, "wrap_over_travel_rad",
                     json_range(run->wrap_rad), "span_to_next_m", stop->span_m, "speed_at_limit_rpm", run->rpm_at_limit,
                     "hub_load_max_n", swl_json_number(run->hub_load_max_n), "static_tension_wanted_n",
                     swl_json_number(run->static_needed_n));
}

static json_t *json_margin(const swl_belt_limit *limit)
{
    const char *unit = limit->show == SWL_SHOW_VELOCITY ? "m/s" : limit->show == SWL_SHOW_BLOWER_SPEED ? "rpm" : "N";
    return json_pack("{s:s, s:s?, s:s, s:o, s:f, s:s, s:o, s:f}", "name", limit->name, "pulley", limit->pulley,
                     "verdict", swl_verdict_word(limit->verdict), "value", swl_json_number(limit->value), "limit",
                     limit->limit, "unit", unit, "margin", swl_json_number(limit->margin_frac * 100),
                     "engine_speed_rpm", limit->engine_rpm);
}

static json_t *json_numbers(const double *values, size_t count)
{
    json_t *array = json_array();
    int bad = array == NULL;
    for (size_t k = 0; k < count; k++) {
        bad |= json_array_append_new(array, swl_json_number(values[k]));
    }
    return swl_json_whole(array, bad);
}

static json_t *json_row(const swl_belt_alternative *a, const swl_belt_row *row)
{
    size_t n = a->path.count;
    return json_pack("{s:f, s:f, s:f, s:o, s:o, s:o}", "engine_speed_rpm", row->engine_rpm, "belt_speed_m_s",
                     row->state.speed_m_s, "centrifugal_tension_n", row->state.centrifugal_n, "pull_n",
                     json_numbers(row->state.pull_n, n), "pull_carried_n", json_numbers(row->pull_max_n, n),
                     "span_tension_n", json_numbers(row->state.tension_n, n));
}

static json_t *json_fit(double length_m, double share, double wrap_rad)
{
    return json_pack("{s:f, s:f, s:f}", "length_m", length_m, "travel_share", share, "blower_wrap_rad", wrap_rad);
}

static json_t *json_alternative(const swl_belt *belt, const swl_belt_alternative *a)
{
    json_t *pulleys = json_array();
    json_t *margins = json_array();
    json_t *line = json_array();
    json_t *fits = json_array();
    json_t *others = json_array();
    int bad = 0;
    for (size_t k = 0; k < a->path.count; k++) {
        bad |= json_array_append_new(pulleys, json_pulley(a, k));
    }
    for (size_t i = 0; i < a->limit_count; i++) {
        bad |= json_array_append_new(margins, json_margin(&a->limits[i]));
    }
    for (size_t i = 0; i < a->row_count; i++) {
        bad |= json_array_append_new(line, json_row(a, &a->rows[i]));
    }
    for (size_t i = 0; i < belt->length_count; i++) {
        const swl_belt_fit *fit = &a->fits[i];
        if (fit->fits) {
            bad |= json_array_append_new(fits, json_fit(fit->length_m, fit->share, fit->blower_wrap_rad));
        }
        if (fit->places > 1) {
            bad |= json_array_append_new(fits, json_fit(fit->length_m, fit->last_share, fit->last_wrap_rad));
        }
    }
    for (size_t i = 0; i < a->other_count; i++) {
        bad |= json_array_append_new(others, swl_json_limit(&a->others[i]));
    }
    json_t *object = json_pack(
        "{s:s, s:b, s:s?, s:f, s:f, s:o, s:f, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:s?}", "name",
        a->layout.name[0] == '\0' ? "as built" : a->layout.name, "exceeded", a->exceeded, "failure",
        a->solved ? NULL : a->failure, "length_m", a->path.length_m, "effective_length_m", a->path.effective_length_m,
        "effective_length_over_travel_m", json_range(a->effective_length_m), "belt_speed_at_limit_m_s",
        a->speed_max_m_s, "static_tension_wanted_n", swl_json_number(a->solved ? a->static_needed_n : (double)NAN),
        "static_tension_wanted_slick_n", swl_json_number(a->solved ? a->static_needed_slick_n : (double)NAN),
        "tension_max_n", swl_json_number(a->solved ? a->tension_max_n : (double)NAN), "pulleys", pulleys, "margins",
        margins, "exceeded_limits", others, "belts_that_fit", fits, "line", line, "tensioner",
        a->mover_stop < a->path.count ? pulley_name(a, a->mover_stop) : NULL);
    return swl_json_whole(object, bad);
}

swl_status swl_report_belt_json(swl_buf *out, const swl_build *build, const swl_belt_study *study,
                                const swl_notes *notes, swl_err *err)
{
    json_t *root = swl_json_head("belt");
    json_t *alternatives = json_array();
    json_t *sentences = swl_json_notes(notes);
    int bad = root == NULL || alternatives == NULL || sentences == NULL;
    for (size_t i = 0; i < study->count; i++) {
        bad |= json_array_append_new(alternatives, json_alternative(study->belt, &study->alternatives[i]));
    }
    bad |= json_object_set_new(root, "build", json_string(build->name));
    bad |= json_object_set_new(root, "unit", json_string(build->blower.name));
    bad |= json_object_set_new(root, "alternatives", alternatives);
    bad |= json_object_set_new(root, "notes", sentences);
    if (bad) {
        json_decref(root);
        root = NULL;
    }
    return swl_json_write(out, root, err);
}
