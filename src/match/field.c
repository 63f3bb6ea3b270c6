#include "sweptline/field.h"

#include <math.h>
#include <stdlib.h>

static void field_fill(swl_field *field, swl_match *match)
{
    for (size_t i = 0; i < field->speeds; i++) {
        for (size_t j = 0; j < field->ratios; j++) {
            swl_map_state state = swl_match_map_state(match, field->speed_rpm[i], field->p_ratio[j]);
            size_t node = i * field->ratios + j;
            field->vdot_m3_s[node] = state.map_vdot_m3_s;
            field->ea_frac[node] = state.ea_frac;
            field->t2_k[node] = state.t2_k;
        }
    }
}

static void field_axes(swl_field *field, const swl_map *map, size_t cuts)
{
    double low = 0;
    double high = 0;
    swl_map_ratio_range(map, &low, &high);
    for (size_t j = 0; j < field->ratios; j++) {
        field->p_ratio[j] = low + (high - low) * (double)j / (double)(field->ratios - 1);
    }
    for (size_t k = 0; k < field->lines; k++) {
        swl_map_line line = swl_map_line_at(map, k);
        field->line_speed[k] = k * cuts;
        field->line_low[k] = line.p_ratio[0];
        field->line_high[k] = line.p_ratio[line.count - 1];
        field->speed_rpm[k * cuts] = line.speed_rpm;
        if (k == 0) {
            continue;
        }
        double before = field->speed_rpm[(k - 1) * cuts];
        for (size_t c = 1; c < cuts; c++) {
            field->speed_rpm[(k - 1) * cuts + c] = before + (line.speed_rpm - before) * (double)c / (double)cuts;
        }
    }
}

swl_status swl_field_init(swl_field *field, swl_match *match, const swl_map *map, size_t cuts, size_t ratios,
                          swl_err *err)
{
    *field = (swl_field){0};
    if (cuts < 1 || cuts > 100 || ratios < 2 || ratios > 10000) {
        return swl_err_set(err, SWL_ERR_USAGE, "a field wants 1 to 100 cuts and 2 to 10000 pressure ratios");
    }
    *field = (swl_field){.lines = swl_map_line_count(map), .ratios = ratios};
    field->speeds = (field->lines - 1) * cuts + 1;
    size_t nodes = field->speeds * ratios;
    field->speed_rpm = calloc(field->speeds, sizeof *field->speed_rpm);
    field->p_ratio = calloc(ratios, sizeof *field->p_ratio);
    field->vdot_m3_s = calloc(nodes, sizeof *field->vdot_m3_s);
    field->ea_frac = calloc(nodes, sizeof *field->ea_frac);
    field->t2_k = calloc(nodes, sizeof *field->t2_k);
    field->line_speed = calloc(field->lines, sizeof *field->line_speed);
    field->line_low = calloc(field->lines, sizeof *field->line_low);
    field->line_high = calloc(field->lines, sizeof *field->line_high);
    bool ok = field->speed_rpm != NULL && field->p_ratio != NULL && field->vdot_m3_s != NULL &&
              field->ea_frac != NULL && field->t2_k != NULL && field->line_speed != NULL && field->line_low != NULL &&
              field->line_high != NULL;
    if (!ok) {
        swl_field_free(field);
        return swl_err_set(err, SWL_ERR_MEMORY, "out of memory for drawing the map");
    }
    field_axes(field, map, cuts);
    field_fill(field, match);
    return SWL_OK;
}

void swl_field_free(swl_field *field)
{
    free(field->speed_rpm);
    free(field->p_ratio);
    free(field->vdot_m3_s);
    free(field->ea_frac);
    free(field->t2_k);
    free(field->line_speed);
    free(field->line_low);
    free(field->line_high);
    *field = (swl_field){0};
}

static swl_trace trace_at(swl_match *match, const swl_blower *blower, const swl_field *field, double blower_rpm)
{
    swl_trace trace = {.blower_rpm = blower_rpm,
                       .corrected_rpm = swl_blower_corrected_rpm(blower, blower_rpm, swl_match_t1_k(match))};
    double slowest = swl_map_line_at(blower->map, 0).speed_rpm;
    double fastest = swl_map_line_at(blower->map, swl_map_line_count(blower->map) - 1).speed_rpm;
    double low = field->p_ratio[0];
    double high = field->p_ratio[field->ratios - 1];
    trace.inside = trace.corrected_rpm >= slowest && trace.corrected_rpm <= fastest;
    for (size_t i = 0; i < SWL_TRACE_POINTS; i++) {
        trace.p_ratio[i] = low + (high - low) * (double)i / (SWL_TRACE_POINTS - 1);
        trace.vdot_m3_s[i] = swl_match_map_state(match, trace.corrected_rpm, trace.p_ratio[i]).map_vdot_m3_s;
    }
    return trace;
}

size_t swl_field_traces(swl_match *match, const swl_blower *blower, const swl_field *field, swl_trace *traces)
{
    size_t count = 0;
    if (!isnan(blower->continuous_rpm)) {
        traces[count] = trace_at(match, blower, field, blower->continuous_rpm);
        traces[count++].words = "continuous limit";
    }
    if (!isnan(blower->short_time_rpm)) {
        traces[count] = trace_at(match, blower, field, blower->short_time_rpm);
        traces[count].short_time = true;
        traces[count++].words = "short-time limit";
    }
    return count;
}
