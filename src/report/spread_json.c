#include "sweptline/report.h"

#include "report/json.h"
#include "report/spread.h"

#include <math.h>

static json_t *json_interval(const swl_interval *interval, double scale)
{
    return json_pack("{s:o, s:o, s:o}", "p05", swl_json_number(interval->p05 * scale), "p50",
                     swl_json_number(interval->p50 * scale), "p95", swl_json_number(interval->p95 * scale));
}

static const char *dim_unit(swl_dim dim)
{
    static const char *const units[SWL_DIM_COUNT] = {
        [SWL_DIM_LENGTH] = "m",      [SWL_DIM_VOLUME] = "m3",      [SWL_DIM_VOLUME_REV] = "m3",
        [SWL_DIM_SPEED] = "rpm",     [SWL_DIM_TEMPERATURE] = "K",  [SWL_DIM_TEMP_CHANGE] = "K",
        [SWL_DIM_PRESSURE] = "Pa",   [SWL_DIM_MASS_FLOW] = "kg/s", [SWL_DIM_VOLUME_FLOW] = "m3/s",
        [SWL_DIM_POWER] = "W",       [SWL_DIM_TORQUE] = "N m",     [SWL_DIM_FORCE] = "N",
        [SWL_DIM_HEAT_RATE] = "W/K",
    };
    return units[dim] == NULL ? "1" : units[dim];
}

static json_t *json_input(const swl_spread_input *input)
{
    return json_pack("{s:s, s:s, s:s?, s:s, s:o, s:o, s:o, s:o, s:o}", "section", input->of.section, "name",
                     input->of.name, "part", input->of.part, "unit", dim_unit(input->of.dim), "middle",
                     swl_json_number(input->of.middle), "half_width", swl_json_number(input->of.half_width), "low",
                     swl_json_number(input->of.low), "high", swl_json_number(input->of.high), "share_cut",
                     swl_json_number(input->cut_frac));
}

static json_t *json_line_row(const swl_spread_row *row)
{
    json_t *o = json_pack("{s:f}", "engine_speed_rpm", row->engine_rpm);
    int bad = o == NULL;
    for (size_t c = 0; c < SWL_SPREAD_COLUMNS; c++) {
        const swl_spread_column *column = &swl_spread_columns[c];
        bad |= json_object_set_new(o, column->json, json_interval(&row->of[column->quantity], 1));
    }
    bad |= json_object_set_new(o, "map_volume_flow_m3_s", json_interval(&row->of[SWL_SPREAD_MAP_VOLUME_FLOW], 1));
    bad |= json_object_set_new(o, "share_off_map", swl_json_number(row->off_map_frac));
    bad |= json_object_set_new(o, "share_without_point", swl_json_number(row->no_point_frac));
    return swl_json_whole(o, bad);
}

static json_t *json_output(const swl_spread_output *output)
{
    return json_pack("{s:s, s:o, s:o, s:o, s:o, s:o}", "output", output->name, "middle",
                     swl_json_number(output->middle), "p05", swl_json_number(output->interval.p05), "p50",
                     swl_json_number(output->interval.p50), "p95", swl_json_number(output->interval.p95),
                     "share_without", swl_json_number(output->without_frac));
}

static json_t *json_limit(const swl_spread *spread, const swl_spread_limit *limit)
{
    return json_pack("{s:s, s:s, s:o, s:o, s:s, s:o, s:o, s:o, s:o, s:o}", "name", limit->row.name, "verdict",
                     swl_verdict_word(limit->row.verdict), "value", swl_json_number(limit->row.value), "limit",
                     swl_json_number(limit->row.limit), "unit", limit->row.unit, "margin",
                     json_interval(&spread->outputs[limit->output].interval, 100), "margin_middle",
                     swl_json_number(limit->row.margin_frac * 100), "share_over", swl_json_number(limit->over_frac),
                     "share_error", swl_json_number(limit->over_error_frac), "share_undecided",
                     swl_json_number(limit->undecided_frac));
}

/* Every output's inputs, the largest total first; a margin is named after its limit. */
static int json_contributions(const swl_spread *spread, json_t *array)
{
    int bad = array == NULL;
    for (size_t k = 0; k < spread->output_count; k++) {
        const swl_spread_output *output = &spread->outputs[k];
        size_t order[SWL_INPUTS_MAX];
        swl_buf name = {0};
        swl_buf_printf(&name, "%s%s", output->is_margin ? "margin " : "", output->name);
        swl_spread_rank(spread, output, order);
        for (size_t i = 0; i < spread->input_count; i++) {
            const swl_sobol_index *index = &output->index[order[i]];
            bad |= json_array_append_new(
                array,
                json_pack("{s:s, s:s, s:o, s:o, s:o, s:o, s:b}", "output", swl_buf_text(&name), "input",
                          swl_spread_input_name(&spread->inputs[order[i]].of).text, "first_order",
                          swl_json_number(index->first), "first_order_error", swl_json_number(index->first_error),
                          "total", swl_json_number(index->total), "total_error", swl_json_number(index->total_error),
                          "told_from_zero", (int)swl_sobol_tells(index->total, index->total_error)));
        }
        swl_buf_free(&name);
    }
    return bad;
}

/* Where the band about the operating line runs on the map. */
static int json_outline(const swl_spread *spread, json_t *array)
{
    int bad = array == NULL;
    for (size_t i = 0; i < spread->outline_count; i++) {
        bad |= json_array_append_new(array, json_pack("{s:o, s:o}", "map_volume_flow_m3_s",
                                                      swl_json_number(spread->outline_vdot_m3_s[i]), "pressure_ratio",
                                                      swl_json_number(spread->outline_p_ratio[i])));
    }
    return bad;
}

static json_t *json_head(const swl_build *build, const swl_spread *spread)
{
    json_t *root = swl_json_head("spread");
    int bad = root == NULL;
    bad |= json_object_set_new(root, "build", json_string(build->name));
    bad |= json_object_set_new(root, "unit", json_string(build->blower.name));
    bad |= json_object_set_new(root, "samples", json_integer((json_int_t)spread->samples));
    bad |= json_object_set_new(root, "samples_of_intervals", json_integer(2 * (json_int_t)spread->samples));
    bad |= json_object_set_new(root, "builds_solved", json_integer((json_int_t)spread->builds));
    bad |= json_object_set_new(root, "seed", json_integer((json_int_t)spread->seed));
    bad |= json_object_set_new(root, "sequence", json_string(spread->quasi ? "sobol" : "pseudo-random"));
    bad |= json_object_set_new(root, "share_without_point", swl_json_number(spread->no_point_frac));
    return swl_json_whole(root, bad);
}

swl_status swl_report_spread_json(swl_buf *out, const swl_build *build, const swl_spread *spread,
                                  const swl_notes *notes, swl_err *err)
{
    json_t *root = json_head(build, spread);
    json_t *arrays[6] = {NULL};
    static const char *const names[6] = {"inputs", "line", "outputs", "limits", "contributions", "band"};
    int bad = root == NULL;
    for (size_t i = 0; i < 6; i++) {
        arrays[i] = json_array();
        bad |= json_object_set_new(root, names[i], arrays[i]);
    }
    if (bad) {
        json_decref(root);
        return swl_json_write(out, NULL, err);
    }
    for (size_t i = 0; i < spread->input_count; i++) {
        bad |= json_array_append_new(arrays[0], json_input(&spread->inputs[i]));
    }
    for (size_t i = 0; i < spread->row_count; i++) {
        bad |= json_array_append_new(arrays[1], json_line_row(&spread->rows[i]));
    }
    for (size_t i = 0; i < spread->output_count; i++) {
        bad |= spread->outputs[i].is_margin ? 0 : json_array_append_new(arrays[2], json_output(&spread->outputs[i]));
    }
    for (size_t i = 0; i < spread->limit_count; i++) {
        bad |= json_array_append_new(arrays[3], json_limit(spread, &spread->limits[i]));
    }
    bad |= json_contributions(spread, arrays[4]);
    bad |= json_outline(spread, arrays[5]);
    bad |= json_object_set_new(root, "notes", swl_json_notes(notes));
    if (bad) {
        json_decref(root);
        root = NULL;
    }
    return swl_json_write(out, root, err);
}
