#include "report/json.h"
#include "report/pulley.h"

#include <math.h>

static int put(json_t *object, const char *name, json_t *value)
{
    return json_object_set_new(object, name, value);
}

static int put_number(json_t *object, const char *name, double value)
{
    return json_object_set_new(object, name, swl_json_number(value));
}

static int put_word(json_t *object, const char *name, const char *word)
{
    return json_object_set_new(object, name, word == NULL ? json_null() : json_string(word));
}

/* A count of the line's points, null where there is no line. */
static int put_count(json_t *object, const char *name, bool solved, size_t count)
{
    return put(object, name, solved ? json_integer((json_int_t)count) : json_null());
}

static json_t *json_boost(const swl_pulley_study *study, const swl_pulley_row *row)
{
    json_t *boost = json_array();
    int bad = boost == NULL;
    for (size_t k = 0; k < study->speeds.count; k++) {
        json_t *at = json_object();
        bad |= put_number(at, "engine_speed_rpm", study->speeds.rpm[k]);
        bad |= put_number(at, "boost_pa", row->boost_pa[k]);
        bad |= json_array_append_new(boost, at);
    }
    return swl_json_whole(boost, bad);
}

static json_t *json_row(const swl_pulley_study *study, const swl_pulley_row *row)
{
    json_t *o = json_object();
    bool solved = row->end == SWL_MATCH_SOLVED;
    int bad = o == NULL;
    bad |= put_number(o, "diameter_m", row->d_m);
    bad |= put_number(o, "drive_ratio", row->drive_ratio);
    bad |= put_number(o, "blower_speed_at_limit_rpm", row->blower_rpm_at_limit);
    bad |= put_number(o, "margin_at_limit", 100 * row->margin_at_limit_frac);
    bad |= put_number(o, "blower_speed_at_over_rev_rpm", row->blower_rpm_at_over_rev);
    bad |= put_number(o, "margin_at_over_rev", 100 * row->margin_at_over_rev_frac);
    bad |= put(o, "boost", json_boost(study, row));
    bad |= put_number(o, "boost_peak_pa", row->boost_peak_pa);
    bad |= put_number(o, "boost_peak_speed_rpm", row->boost_peak_rpm);
    bad |= put_number(o, "discharge_temperature_k", row->t2_max_k);
    bad |= put_number(o, "charge_temperature_k", row->t3_max_k);
    bad |= put_number(o, "drive_power_w", row->p_shaft_max_w);
    bad |= put_number(o, "crank_power_w", row->crank_max_w);
    bad |= put_number(o, "wheel_power_w", row->wheel_max_w);
    bad |= put_number(o, "air_mass_flow_kg_s", row->mdot_max_kg_s);
    bad |= put_word(o, "verdict", solved && row->worst != NULL ? swl_verdict_word(row->verdict) : NULL);
    bad |= put_word(o, "least_to_spare", row->worst);
    bad |= put_number(o, "margin", 100 * row->worst_margin_frac);
    bad |= put_count(o, "points", solved, row->tally.points);
    bad |= put_count(o, "points_outside_map", solved, row->tally.outside);
    bad |= put_count(o, "points_without_boost", solved, row->tally.without_boost);
    bad |= put_count(o, "points_driven_by_air", solved, row->tally.driven);
    bad |= put_word(o, "no_operating_point", solved ? NULL : swl_match_reason(row->end));
    bad |= put_number(o, "no_operating_point_speed_rpm", row->end_rpm);
    return swl_json_whole(o, bad);
}

static json_t *json_mean(const swl_island_mean *mean)
{
    return json_pack("{s:o, s:o, s:o}", "diameter_m", swl_json_number(mean->d_m), "mean_adiabatic_efficiency",
                     swl_json_number(mean->eff_frac), "share_on_map", swl_json_number(mean->inside_frac));
}

static json_t *json_island(const swl_pulley_wish *wish)
{
    const swl_pulley_island *island = &wish->island;
    json_t *o = json_object();
    json_t *peaks = json_array();
    int bad = o == NULL || peaks == NULL;
    for (size_t i = 0; i < island->peak_count; i++) {
        bad |= json_array_append_new(peaks, json_mean(&island->peaks[i]));
    }
    bad |= put_number(o, "from_rpm", wish->span.from_rpm);
    bad |= put_number(o, "to_rpm", wish->span.to_rpm);
    bad |= put(o, "weighted", json_boolean(wish->span.weight != NULL));
    bad |= put_number(o, "map_best_adiabatic_efficiency", island->map_best_frac);
    bad |= put(o, "maxima", peaks);
    bad |= put(o, "still_improving_at_end", json_boolean(island->at_end));
    bad |= put(o, "own", json_mean(&island->own));
    bad |= put(o, "listed", isnan(island->listed.d_m) ? json_null() : json_mean(&island->listed));
    return swl_json_whole(o, bad);
}

/* The goal's number as it was asked for, with its SI unit in the name. */
static int put_wanted(json_t *o, const swl_pulley_wish *wish)
{
    bool boost = wish->goal == SWL_GOAL_BOOST_AT || wish->goal == SWL_GOAL_BOOST_PEAK;
    const char *name = boost                          ? "boost_pa"
                       : wish->goal == SWL_GOAL_SPEED ? "blower_speed_rpm"
                       : wish->goal == SWL_GOAL_FLOW  ? "air_mass_flow_kg_s"
                                                      : NULL;
    if (name == NULL) {
        return put(o, "wanted", json_null()) | put(o, "reached", json_null());
    }
    json_t *wanted = json_object();
    json_t *reached = json_object();
    int bad = put_number(wanted, name, wish->value) | put_number(reached, name, wish->found.reached);
    if (wish->goal == SWL_GOAL_BOOST_AT) {
        bad |= put_number(wanted, "engine_speed_rpm", wish->engine_rpm);
    }
    return bad | put(o, "wanted", wanted) | put(o, "reached", reached);
}

static json_t *json_wish(const swl_pulley_study *study, const swl_pulley_wish *wish)
{
    const swl_pulley_found *found = &wish->found;
    bool done = found->stop == SWL_STOP_FOUND;
    bool listed = done && wish->row < study->count;
    bool nearest = !isnan(found->exact_m);
    swl_buf failure = {0};
    swl_pulley_failure_text(&failure, study, wish, SWL_UNITS_SI);
    json_t *o = json_object();
    int bad = o == NULL || failure.failed;
    bad |= put_word(o, "goal", wish->words);
    bad |= put_wanted(o, wish);
    bad |= put_number(o, "diameter_m", done ? found->exact_m : (double)NAN);
    bad |= put_number(o, "listed_diameter_m", listed ? study->rows[wish->row].d_m : (double)NAN);
    bad |= put_word(o, "binds", found->binds);
    bad |= put_word(o, "failure", done ? NULL : swl_buf_text(&failure));
    bad |= put(o, "nearest", nearest ? json_row(study, &wish->exact) : json_null());
    bad |= put(o, "island", wish->goal == SWL_GOAL_ISLAND ? json_island(wish) : json_null());
    swl_buf_free(&failure);
    return swl_json_whole(o, bad);
}

swl_status swl_report_pulley_json(swl_buf *out, const swl_build *build, const swl_pulley_study *study,
                                  const swl_notes *notes, swl_err *err)
{
    json_t *root = swl_json_head("pulley");
    json_t *rows = json_array();
    json_t *wishes = json_array();
    json_t *words = swl_json_notes(notes);
    int bad = root == NULL || rows == NULL || wishes == NULL || words == NULL;
    for (size_t i = 0; i < study->count; i++) {
        bad |= json_array_append_new(rows, json_row(study, &study->rows[i]));
    }
    for (size_t i = 0; i < study->wish_count; i++) {
        bad |= json_array_append_new(wishes, json_wish(study, &study->wishes[i]));
    }
    bad |= put(root, "build", json_string(build->name));
    bad |= put(root, "unit", json_string(build->blower.name));
    if (build->site.name[0] != '\0') {
        bad |= put(root, "site", swl_json_site(&build->site));
    }
    bad |= put_word(root, "pulley", swl_pulley_word(study));
    bad |= put(root, "pulleys", rows);
    bad |= put(root, "solved", wishes);
    bad |= put(root, "notes", words);
    return swl_json_write(out, swl_json_whole(root, bad), err);
}
