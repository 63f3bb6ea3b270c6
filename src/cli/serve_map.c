#include "cli/serve.h"

#include "draw/islands.h"
#include "report/json.h"

#include <math.h>

/* Cuts and ratios of the map's grid, and of the coarser one that is laid anew for each change. */
enum { CUTS = 8, RATIOS = 97, HOT_CUTS = 4, HOT_RATIOS = 65 };

/* Six digits are a hundredth of a pixel. Returns: whether it failed. */
static int add_point(json_t *list, double vdot_m3_s, double p_ratio)
{
    int bad = json_array_append_new(list, json_real(vdot_m3_s));
    return bad | json_array_append_new(list, json_real(p_ratio));
}

typedef struct patches {
    json_t *list;
    json_t *last;
    int bad;
} patches;

static void add_to_patch(void *context, double vdot_m3_s, double p_ratio, bool first)
{
    patches *p = context;
    if (first) {
        p->last = json_array();
        p->bad |= json_array_append_new(p->list, p->last);
    }
    p->bad |= add_point(p->last, vdot_m3_s, p_ratio);
}

static json_t *region_json(const swl_field *field)
{
    patches p = {.list = json_array()};
    p.bad = p.list == NULL;
    swl_region_walk(field, add_to_patch, &p);
    if (p.bad) {
        json_decref(p.list);
        return NULL;
    }
    return p.list;
}

/* Whole loops, for filling. */
static json_t *loops_json(const swl_loops *loops)
{
    json_t *list = json_array();
    int bad = list == NULL;
    for (size_t k = 0; k < loops->count; k++) {
        json_t *one = json_array();
        for (size_t n = loops->start[k]; n < loops->start[k + 1]; n++) {
            bad |= add_point(one, loops->x[n], loops->y[n]);
        }
        bad |= json_array_append_new(list, one);
    }
    return swl_json_whole(list, bad);
}

/* The pieces of loops that run along the level, for a stroke. */
static json_t *level_json(const swl_loops *loops)
{
    json_t *list = json_array();
    int bad = list == NULL;
    for (size_t k = 0; k < loops->count; k++) {
        size_t from = loops->start[k];
        size_t count = loops->start[k + 1] - from;
        json_t *piece = NULL;
        for (size_t n = 0; n < count; n++) {
            size_t a = from + n;
            size_t b = from + (n + 1) % count;
            if (loops->edge[a]) {
                piece = NULL;
                continue;
            }
            if (piece == NULL) {
                piece = json_array();
                bad |= json_array_append_new(list, piece);
                bad |= add_point(piece, loops->x[a], loops->y[a]);
            }
            bad |= add_point(piece, loops->x[b], loops->y[b]);
        }
    }
    return swl_json_whole(list, bad);
}

/* Lines of constant speed, each over the pressure ratios that it was measured at. */
static json_t *speed_lines_json(const swl_field *field)
{
    json_t *list = json_array();
    int bad = list == NULL;
    for (size_t k = 0; k < field->lines; k++) {
        const double *vdot = field->vdot_m3_s + field->line_speed[k] * field->ratios;
        json_t *points = json_array();
        for (size_t j = 0; j < field->ratios; j++) {
            double slack = 1e-9 * field->p_ratio[j];
            if (field->p_ratio[j] >= field->line_low[k] - slack && field->p_ratio[j] <= field->line_high[k] + slack) {
                bad |= add_point(points, vdot[j], field->p_ratio[j]);
            }
        }
        bad |= json_array_append_new(
            list, json_pack("{s:f, s:o}", "speed_rpm", field->speed_rpm[field->line_speed[k]], "points", points));
    }
    return swl_json_whole(list, bad);
}

static json_t *colour(double share)
{
    swl_rgb rgb = swl_ramp(share);
    return json_sprintf("rgb(%.0f %.0f %.0f)", rgb.r * 255, rgb.g * 255, rgb.b * 255);
}

static json_t *bands_json(const swl_islands *islands)
{
    json_t *list = json_array();
    int bad = list == NULL;
    for (size_t k = 0; k < islands->count; k++) {
        bad |= json_array_append_new(list, json_pack("{s:f, s:o, s:o, s:o}", "level", islands->level[k], "colour",
                                                     colour((double)(k + 1) / (double)islands->count), "loops",
                                                     loops_json(&islands->loops[k]), "edges",
                                                     level_json(&islands->loops[k])));
    }
    return swl_json_whole(list, bad);
}

swl_status serve_levels(const serve_job *job, double *level, size_t *levels, swl_err *err)
{
    const swl_field *fields[CLI_FILES_MAX];
    for (size_t i = 0; i < job->count; i++) {
        fields[i] = &job->builds[i].field;
    }
    return swl_islands_levels(fields, job->count, level, levels, err);
}

json_t *serve_map(const serve_build *build, const double *level, size_t levels)
{
    swl_map_scale scale = {.level_count = levels};
    for (size_t i = 0; i < levels; i++) {
        scale.level[i] = level[i];
    }
    swl_islands islands;
    swl_err ignored = {0};
    const swl_field *field = &build->field;
    if (swl_islands_init(&islands, field, NAN, &scale, &ignored) != SWL_OK) {
        return NULL;
    }
    double highest = 0;
    for (size_t n = 0; n < field->speeds * field->ratios; n++) {
        highest = fmax(highest, field->vdot_m3_s[n]);
    }
    json_t *map = json_pack("{s:f, s:f, s:f, s:f, s:o, s:o, s:o, s:o}", "air_temperature_k",
                            build->build.blower.t_map_k, "flow_most_m3_s", highest, "ratio_least", field->p_ratio[0],
                            "ratio_most", field->p_ratio[field->ratios - 1], "paper", colour(0), "region",
                            region_json(field), "bands", bands_json(&islands), "speed_lines", speed_lines_json(field));
    swl_islands_free(&islands);
    return map;
}

swl_status serve_field(serve_build *build, swl_err *err)
{
    swl_match *match = swl_match_new(&build->build, err);
    swl_status status = match == NULL
                            ? SWL_ERR_MEMORY
                            : swl_field_init(&build->field, match, build->build.blower.map, CUTS, RATIOS, err);
    swl_match_free(match);
    return status;
}

json_t *serve_hot(swl_match *match, const swl_build *build, swl_err *err)
{
    const swl_map_scale none = {.level_count = 0};
    swl_field field = {0};
    swl_islands islands = {.count = 0};
    json_t *pieces = NULL;
    if (isnan(build->limits.t_discharge_k)) {
        return json_array();
    }
    swl_status status = swl_field_init(&field, match, build->blower.map, HOT_CUTS, HOT_RATIOS, err);
    if (status == SWL_OK) {
        status = swl_islands_init(&islands, &field, build->limits.t_discharge_k, &none, err);
    }
    if (status == SWL_OK) {
        pieces = level_json(&islands.hot);
        swl_islands_free(&islands);
    }
    swl_field_free(&field);
    return pieces;
}
