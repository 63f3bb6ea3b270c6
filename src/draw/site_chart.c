#include "sweptline/draw.h"

#include <math.h>
#include <stdlib.h>

enum { PANELS = 4 };

/* The values of one site's line, as the drawing of lines wants them. */
typedef struct columns {
    double x[SWL_LINE_ROWS_MAX];
    double y[PANELS][SWL_LINE_ROWS_MAX];
    bool inside[SWL_LINE_ROWS_MAX];
} columns;

static void columns_fill(const swl_check *check, columns *out)
{
    for (size_t i = 0; i < check->line_count; i++) {
        const swl_point *point = &check->line[i];
        out->x[i] = point->engine_rpm;
        out->y[0][i] = point->boost_pa;
        out->y[1][i] = point->mdot_kg_s;
        out->y[2][i] = point->t3_k;
        out->y[3][i] = check->power[i].crank_w;
        out->inside[i] = point->map_where == SWL_MAP_INSIDE;
    }
}

swl_status swl_draw_sites(const swl_site_chart *chart, const swl_picture *picture, swl_buf *out, swl_err *err)
{
    const swl_sites *sites = chart->sites;
    const swl_limit_values *limits = &chart->build->limits;
    const swl_engine *engine = &chart->build->engine;
    size_t count = sites->count < SWL_SITES_DRAWN ? sites->count : SWL_SITES_DRAWN;
    columns *data = calloc(count, sizeof *data);
    if (data == NULL) {
        return swl_err_set(err, SWL_ERR_MEMORY, "out of memory for the chart");
    }
    double alone = sites->rows[0].check.line_count == 1 ? 100 : 0;
    swl_lines_chart lines = {
        .title = chart->title,
        .subtitle = chart->subtitle,
        .caption = chart->caption,
        .xa = engine->speed_from_rpm - alone,
        .xb = engine->speed_limit_rpm + alone,
        .panels = {{.title = "Boost", .show = SWL_SHOW_BOOST, .limit = limits->boost_pa},
                   {.title = "Air flow", .show = SWL_SHOW_MASS_FLOW, .limit = limits->mdot_sensor_kg_s},
                   {.title = "Charge temperature", .show = SWL_SHOW_TEMPERATURE, .limit = limits->t_charge_k},
                   {.title = "Crank power, estimated", .show = SWL_SHOW_POWER, .limit = NAN}},
        .panel_count = PANELS,
        .units = chart->units,
    };
    for (size_t s = 0; s < count; s++) {
        columns_fill(&sites->rows[s].check, &data[s]);
        for (size_t k = 0; k < PANELS; k++) {
            lines.panels[k].names[s] = sites->rows[s].set.name;
            lines.panels[k].lines[s] = (swl_line_data){
                .x = data[s].x, .y = data[s].y[k], .inside = data[s].inside, .count = sites->rows[s].check.line_count};
            lines.panels[k].count = count;
        }
    }
    swl_status status = swl_draw_lines(&lines, picture, out, err);
    free(data);
    return status;
}
