#include "sweptline/report.h"

#include "report/json.h"

#include <math.h>

static int put(json_t *object, const char *key, json_t *value)
{
    return json_object_set_new(object, key, value);
}

/* Values by their names; null where the build was not solved. on_map is told where it is a point's. */
static json_t *json_values(const swl_compare_build *one, const swl_compare_value *values)
{
    if (!one->solved) {
        return json_null();
    }
    json_t *o = json_object();
    int bad = o == NULL;
    for (size_t q = 0; q < SWL_COMPARE_VALUES; q++) {
        bad |= put(o, swl_compare_values[q].name, swl_json_number(values[q].value));
    }
    bad |= put(o, "on_map", json_boolean(values[SWL_COMPARE_RATIO].on_map));
    return swl_json_whole(o, bad);
}

static json_t *json_figures(const swl_compare_build *one)
{
    if (!one->solved) {
        return json_null();
    }
    json_t *o = json_object();
    int bad = o == NULL;
    for (size_t q = 0; q < SWL_FIGURES; q++) {
        const swl_compare_value *value = &one->figures[q];
        bool fraction = swl_compare_figures[q].show == SWL_SHOW_FRACTION;
        /* Margins are per cent, as those of limits are. */
        bool margin = fraction && q <= SWL_FIGURE_LEAST_MARGIN;
        bad |= put(o, swl_compare_figures[q].name,
                   json_pack("{s:o, s:o, s:b}", "value", swl_json_number(margin ? 100 * value->value : value->value),
                             "engine_speed_rpm", swl_json_number(value->engine_rpm), "on_map", value->on_map));
    }
    bad |= put(o, "least_margin_limit", one->least_margin == NULL ? json_null() : json_string(one->least_margin));
    bad |= put(o, "limits_exceeded", json_integer((json_int_t)one->exceeded));
    bad |= put(o, "points_outside_map", json_integer((json_int_t)one->points_outside));
    return swl_json_whole(o, bad);
}

static json_t *json_build(const swl_compare *compare, size_t build, const char *file)
{
    const swl_compare_build *one = &compare->builds[build];
    swl_buf why = {0};
    json_t *o = json_object();
    json_t *line = json_array();
    json_t *limits = json_array();
    int bad = o == NULL || line == NULL || limits == NULL;
    for (size_t i = 0; i < one->check.line_count; i++) {
        bad |= json_array_append_new(line, swl_json_point(&one->check.line[i], &one->check.power[i]));
    }
    for (size_t i = 0; i < one->check.limit_count; i++) {
        bad |= json_array_append_new(limits, swl_json_limit(&one->check.limits[i]));
    }
    bool solved = one->solved;
    bad |= put(o, "file", json_string(file));
    bad |= put(o, "build", json_string(one->build.name));
    bad |= put(o, "unit", json_string(one->build.blower.name));
    bad |= put(o, "crank_pulley_m", swl_json_number(one->build.drive.d_crank_m));
    bad |= put(o, "blower_pulley_m", swl_json_number(solved ? one->build.drive.d_blower_m : (double)NAN));
    bad |= put(o, "fitted_blower_pulley_m", swl_json_number(one->fitted_m));
    bad |= put(o, "solved_at_speed_rpm", swl_json_number(one->solved_rpm));
    bad |= put(o, "solved_on_map", isnan(one->solved_rpm) ? json_null() : json_boolean(one->solved_on_map));
    bad |= put(o, "drive_ratio", swl_json_number(solved ? one->check.drive_ratio : (double)NAN));
    swl_report_compare_failure(&why, compare, build, SWL_UNITS_SI);
    bad |= put(o, "failure", solved ? json_null() : json_string(swl_buf_text(&why)));
    bad |= why.failed;
    swl_buf_free(&why);
    bad |= put(o, "line", line);
    bad |= put(o, "limits", limits);
    bad |= put(o, "figures", json_figures(one));
    return swl_json_whole(o, bad);
}

static json_t *json_speeds(const swl_compare *compare)
{
    json_t *rows = json_array();
    int bad = rows == NULL;
    for (size_t k = 0; k < compare->speed_count; k++) {
        json_t *values = json_array();
        bad |= values == NULL;
        for (size_t i = 0; i < compare->count; i++) {
            bad |= json_array_append_new(values, json_values(&compare->builds[i], compare->builds[i].at[k]));
        }
        bad |= json_array_append_new(
            rows, json_pack("{s:f, s:o}", "engine_speed_rpm", compare->speeds_rpm[k], "values", values));
    }
    return swl_json_whole(rows, bad);
}

static json_t *json_differences(const swl_differences *differences, size_t count)
{
    json_t *rows = json_array();
    int bad = rows == NULL;
    for (size_t k = 0; k < differences->count; k++) {
        const swl_difference *item = &differences->items[k];
        json_t *values = json_array();
        bad |= values == NULL;
        for (size_t i = 0; i < count; i++) {
            bad |= json_array_append_new(values, json_string(item->value[i]));
        }
        bad |= json_array_append_new(rows, json_pack("{s:s, s:s, s:b, s:o}", "section", item->section, "key", item->key,
                                                     "compared", item->expected, "values", values));
    }
    return swl_json_whole(rows, bad);
}

static json_t *json_goal(const swl_compare_wish *wish)
{
    if (wish->goal == SWL_COMPARE_AS_FITTED) {
        return json_null();
    }
    return json_pack("{s:o, s:o}", wish->goal == SWL_COMPARE_BOOST ? "boost_pa" : "air_mass_flow_kg_s",
                     swl_json_number(wish->value), "engine_speed_rpm", swl_json_number(wish->engine_rpm));
}

swl_status swl_report_compare_json(swl_buf *out, const swl_compare_report *report, swl_err *err)
{
    static const char *const goals[] = {NULL, "boost", "air_flow"};
    const swl_compare *compare = report->compare;
    const char *goal = goals[compare->wish.goal];
    json_t *root = swl_json_head("compare");
    json_t *builds = json_array();
    int bad = root == NULL || builds == NULL;
    for (size_t i = 0; i < compare->count; i++) {
        bad |= json_array_append_new(builds, json_build(compare, i, report->files[i]));
    }
    bad |= put(root, "solved_for", goal == NULL ? json_null() : json_string(goal));
    bad |= put(root, "goal", json_goal(&compare->wish));
    bad |= put(root, "common_efficiency_level", swl_json_number(compare->common_level_frac));
    bad |= put(root, "builds", builds);
    bad |= put(root, "speeds", json_speeds(compare));
    bad |= put(root, "differences", json_differences(report->differences, compare->count));
    bad |= put(root, "summary", swl_json_notes(report->summary));
    bad |= put(root, "notes", swl_json_notes(report->notes));
    if (bad) {
        json_decref(root);
        root = NULL;
    }
    return swl_json_write(out, root, err);
}
