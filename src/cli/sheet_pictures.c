#include "cli/sheet_pictures.h"

#include "match/column.h"

#include <math.h>
#include <stdlib.h>

/* A picture that is shown on a narrow page has larger type, since it is shown smaller than it is drawn. */
static const swl_picture map_alone[SWL_SHEET_WIDTHS] = {
    {.format = SWL_FORMAT_SVG, .parts = SWL_PARTS_MAP, .width = 1000, .height = 590, .dpi = 96, .type = 1.1},
    {.format = SWL_FORMAT_SVG, .parts = SWL_PARTS_MAP, .width = 420, .height = 460, .dpi = 96, .type = 1.45}};
static const swl_picture map_of_two[SWL_SHEET_WIDTHS] = {
    {.format = SWL_FORMAT_SVG, .parts = SWL_PARTS_MAP, .width = 560, .height = 380, .dpi = 96, .type = 1.3},
    {.format = SWL_FORMAT_SVG, .parts = SWL_PARTS_MAP, .width = 420, .height = 430, .dpi = 96, .type = 1.45}};
static const swl_picture curves[SWL_SHEET_WIDTHS] = {
    {.format = SWL_FORMAT_SVG, .parts = SWL_PARTS_CURVES, .width = 1000, .height = 600, .dpi = 96, .type = 1.1},
    {.format = SWL_FORMAT_SVG, .parts = SWL_PARTS_CURVES, .width = 420, .height = 900, .dpi = 96, .type = 1.25}};
static const swl_picture lines[SWL_SHEET_WIDTHS] = {
    {.format = SWL_FORMAT_SVG, .width = 1000, .height = 600, .dpi = 96, .type = 1.1},
    {.format = SWL_FORMAT_SVG, .width = 420, .height = 960, .dpi = 96, .type = 1.25}};

/* What one map is drawn from. */
typedef struct map_job {
    swl_field field;
    swl_point marks[SWL_MARKS_MAX];
    swl_chart chart;
} map_job;

static swl_status map_open(swl_sheet *sheet, size_t i, swl_trace *traces, map_job *m, swl_err *err)
{
    swl_sheet_build *one = &sheet->builds[i];
    const swl_build *build = one->build;
    swl_match *match = swl_match_new(build, err);
    swl_status status =
        match == NULL ? SWL_ERR_MEMORY : swl_field_init(&m->field, match, build->blower.map, 5, 65, err);
    if (status == SWL_OK) {
        one->traces = traces;
        one->trace_count = swl_field_traces(match, &build->blower, &m->field, traces);
        m->chart = (swl_chart){
            .title = "",
            .subtitle = "",
            .caption = "",
            .blower = &build->blower,
            .build = one->check == NULL ? NULL : build,
            .check = one->check,
            .marks = m->marks,
            .mark_count = one->check == NULL ? 0 : swl_check_marks(match, one->check, m->marks),
            .field = &m->field,
            .traces = traces,
            .trace_count = one->trace_count,
            .site_pa = build->site.p_pa,
            .t_discharge_limit_k = build->limits.t_discharge_k,
            .units = sheet->units,
        };
    }
    swl_match_free(match);
    return status;
}

/* Room for the places of a line's rows; drawn into where there is a line. */
static swl_status draw_chart(const swl_chart *chart, const swl_picture *picture, swl_sheet_drawing *drawing,
                             swl_err *err)
{
    swl_chart placed = *chart;
    if (chart->check != NULL) {
        drawing->places = calloc(chart->check->line_count + 1, sizeof *drawing->places);
        if (drawing->places == NULL) {
            return swl_err_set(err, SWL_ERR_MEMORY, "out of memory for a picture");
        }
        placed.places = drawing->places;
    }
    return swl_draw_chart(&placed, picture, &drawing->svg, err);
}

/* On the curves a row is told by what its point on the map carries. */
static void keep_on_map(const swl_sheet_build *one, swl_sheet_drawing *drawing, int width)
{
    for (size_t i = 0; drawing->places != NULL && i < one->check->line_count; i++) {
        drawing->places[i].x = one->map[width].places[i].x;
        drawing->places[i].y = one->map[width].places[i].y;
    }
}

enum { PANELS = 6, ROWS = SWL_LINE_ROWS_MAX };

/* The values of one quantity of one build over engine speed. */
typedef struct series {
    double x[ROWS];
    double y[ROWS];
    bool inside[ROWS];
} series;

static swl_line_data fill(series *to, const swl_check *check, swl_number_at value)
{
    for (size_t i = 0; i < check->line_count; i++) {
        to->x[i] = check->line[i].engine_rpm;
        to->y[i] = swl_row_number(check, i, value);
        to->inside[i] = check->line[i].map_where == SWL_MAP_INSIDE;
    }
    return (swl_line_data){.x = to->x, .y = to->y, .inside = to->inside, .count = check->line_count};
}

/* A limit that both builds share; NAN for others. */
static double limit_of_both(const swl_sheet *sheet, int panel)
{
    double limits[SWL_SHEET_BUILDS_MAX] = {NAN, NAN};
    for (size_t i = 0; i < sheet->count && i < SWL_SHEET_BUILDS_MAX; i++) {
        const swl_limit_values *given = &sheet->builds[i].build->limits;
        const double of[PANELS] = {given->boost_pa,   given->mdot_sensor_kg_s, given->t_discharge_k,
                                   given->t_charge_k, given->p_drive_w,        NAN};
        limits[i] = of[panel];
    }
    return fabs(limits[0] - limits[1]) < 1e-9 * fabs(limits[0]) ? limits[0] : (double)NAN;
}

static void panel_fill(const swl_sheet *sheet, swl_lines_chart *chart, series *room, int panel)
{
    static const struct {
        const char *title;
        swl_show show;
        swl_number_at value;
        bool free_foot;
    } panels[PANELS] = {
        {"Boost", SWL_SHOW_BOOST, SWL_OF_POINT(boost_pa), false},
        {"Air mass flow", SWL_SHOW_MASS_FLOW, SWL_OF_POINT(mdot_kg_s), false},
        {"Discharge temperature", SWL_SHOW_TEMPERATURE, SWL_OF_POINT(t2_k), true},
        {"Charge temperature", SWL_SHOW_TEMPERATURE, SWL_OF_POINT(t3_k), true},
        {"Drive power", SWL_SHOW_POWER, SWL_OF_POINT(p_shaft_w), false},
        {"Estimated crank power", SWL_SHOW_POWER, SWL_OF_POWER(crank_w), false},
    };
    static const char *const names[] = {"A", "B"};
    swl_lines_panel *to = &chart->panels[chart->panel_count];
    *to = (swl_lines_panel){.title = panels[panel].title,
                            .show = panels[panel].show,
                            .free_foot = panels[panel].free_foot,
                            .limit = limit_of_both(sheet, panel)};
    for (size_t i = 0; i < sheet->count && i < SWL_SHEET_BUILDS_MAX; i++) {
        const swl_check *check = sheet->builds[i].check;
        if (check == NULL || isnan(swl_row_number(check, 0, panels[panel].value))) {
            continue;
        }
        to->names[to->count] = names[i];
        to->lines[to->count] = fill(&room[panel * SWL_SHEET_BUILDS_MAX + (int)i], check, panels[panel].value);
        to->count++;
    }
    chart->panel_count += to->count > 0;
}

static swl_status draw_lines(swl_sheet *sheet, swl_err *err)
{
    series *room = calloc((size_t)PANELS * SWL_SHEET_BUILDS_MAX, sizeof *room);
    if (room == NULL) {
        return swl_err_set(err, SWL_ERR_MEMORY, "out of memory for the curves");
    }
    swl_lines_chart chart = {
        .title = "", .subtitle = "", .caption = "", .xa = INFINITY, .xb = -INFINITY, .units = sheet->units};
    for (size_t i = 0; i < sheet->count; i++) {
        chart.xa = fmin(chart.xa, sheet->builds[i].build->engine.speed_from_rpm);
        chart.xb = fmax(chart.xb, sheet->builds[i].build->engine.speed_limit_rpm);
    }
    for (int panel = 0; panel < PANELS; panel++) {
        panel_fill(sheet, &chart, room, panel);
    }
    swl_status status = SWL_OK;
    for (int width = 0; width < SWL_SHEET_WIDTHS && status == SWL_OK; width++) {
        chart.abreast = width == SWL_SHEET_NARROW ? 1 : 2;
        status = swl_draw_lines(&chart, &lines[width], &sheet->curves[width].svg, err);
    }
    free(room);
    return status;
}

swl_status cli_sheet_draw(swl_sheet *sheet, cli_sheet_traces *traces, swl_err *err)
{
    map_job maps[SWL_SHEET_BUILDS_MAX] = {{.field = {0}}};
    swl_chart charts[SWL_SHEET_BUILDS_MAX];
    swl_map_scale scale = {0};
    swl_status status = SWL_OK;
    for (size_t i = 0; i < sheet->count && status == SWL_OK; i++) {
        status = map_open(sheet, i, traces->of[i], &maps[i], err);
        charts[i] = maps[i].chart;
    }
    if (status == SWL_OK && sheet->count > 1) {
        status = swl_draw_scale(charts, sheet->count, &scale, err);
    }
    for (size_t i = 0; i < sheet->count && status == SWL_OK; i++) {
        swl_sheet_build *one = &sheet->builds[i];
        maps[i].chart.scale = sheet->count > 1 ? &scale : NULL;
        for (int width = 0; width < SWL_SHEET_WIDTHS && status == SWL_OK; width++) {
            const swl_picture *picture = sheet->count > 1 ? &map_of_two[width] : &map_alone[width];
            status = draw_chart(&maps[i].chart, picture, &one->map[width], err);
            if (status == SWL_OK && sheet->count == 1) {
                status = draw_chart(&maps[i].chart, &curves[width], &sheet->curves[width], err);
                keep_on_map(one, &sheet->curves[width], width);
            }
        }
    }
    if (status == SWL_OK && sheet->count > 1) {
        status = draw_lines(sheet, err);
    }
    for (size_t i = 0; i < sheet->count; i++) {
        swl_field_free(&maps[i].field);
    }
    return status;
}

void cli_sheet_drawings_free(swl_sheet *sheet)
{
    for (int width = 0; width < SWL_SHEET_WIDTHS; width++) {
        swl_buf_free(&sheet->curves[width].svg);
        free(sheet->curves[width].places);
        for (size_t i = 0; i < sheet->count; i++) {
            swl_buf_free(&sheet->builds[i].map[width].svg);
            free(sheet->builds[i].map[width].places);
        }
    }
}
