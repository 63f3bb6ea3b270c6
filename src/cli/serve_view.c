#include "cli/serve.h"

#include "match/column.h"
#include "report/json.h"
#include "report/margin.h"
#include "report/outside.h"

#include <math.h>
#include <stdio.h>

json_t *serve_text(swl_buf *buf)
{
    json_t *text = buf->failed ? NULL : json_string(swl_buf_text(buf));
    swl_buf_free(buf);
    return text;
}

json_t *serve_number_text(double value, int decimals)
{
    double step = pow(10, -decimals);
    /* No "-0.0". */
    double shown = fabs(value) < 0.5 * step ? 0 : value;
    swl_buf text = {0};
    if (isfinite(value)) {
        swl_buf_printf(&text, "%.*f", decimals, shown);
    } else {
        swl_buf_puts(&text, "-");
    }
    return serve_text(&text);
}

static json_t *verdict_json(const swl_limit_row *row, swl_units units)
{
    swl_shown shown = swl_shown_as(row->show, units);
    int decimals = swl_spare_decimals(row, units);
    swl_buf margin = {0};
    swl_margin_put(&margin, 0, row->margin_frac);
    bool flows = !isinf(row->value);
    return json_pack(
        "{s:s, s:s, s:o, s:o, s:o, s:s, s:o, s:o, s:s, s:b}", "name", row->name, "words", row->words, "value",
        flows ? serve_number_text(swl_shown_value(row->value, row->show, units), decimals) : json_string("no flow"),
        "limit", serve_number_text(swl_shown_value(row->limit, row->show, units), shown.decimals), "spare",
        serve_number_text((row->limit - row->value) * shown.scale, decimals), "unit", shown.unit, "margin",
        serve_text(&margin), "engine_rpm", serve_number_text(row->engine_rpm, 0), "verdict",
        swl_verdict_word(row->verdict), "on_map", (int)row->on_map);
}

static json_t *verdicts_json(const swl_check *check, swl_units units)
{
    json_t *list = json_array();
    int bad = list == NULL;
    for (size_t i = 0; i < check->limit_count; i++) {
        bad |= json_array_append_new(list, verdict_json(&check->limits[i], units));
    }
    return swl_json_whole(list, bad);
}

static json_t *result_json(const swl_build *build, const swl_check *check)
{
    size_t counts[3] = {0};
    swl_buf text = {0};
    for (size_t i = 0; i < check->limit_count; i++) {
        counts[check->limits[i].verdict]++;
    }
    if (check->limit_count > 0) {
        swl_buf_printf(&text, "%zu of %zu limits exceeded, %zu close, %zu kept", counts[SWL_EXCEEDED],
                       check->limit_count, counts[SWL_CLOSE], counts[SWL_KEPT]);
    } else {
        swl_buf_puts(&text, "no limit is given, so none was checked");
    }
    if (isnan(build->blower.continuous_rpm) && isnan(build->blower.short_time_rpm)) {
        swl_buf_puts(&text, "; rotor speed has NOT been checked: the unit file states no limit");
    }
    swl_line_tally tally = swl_check_tally(check);
    swl_outside_put(&text, &tally);
    return serve_text(&text);
}

/* A column of the line: a value of each row in the units shown. */
static json_t *column(const swl_check *check, swl_number_at of, swl_show show, swl_units units)
{
    json_t *list = json_array();
    int bad = list == NULL;
    for (size_t i = 0; i < check->line_count; i++) {
        bad |= json_array_append_new(list, swl_json_number(swl_shown_value(swl_row_number(check, i, of), show, units)));
    }
    return swl_json_whole(list, bad);
}

typedef struct panel {
    const char *title;
    swl_show show;
    const char *names[2]; /* NULL for no second one */
    swl_number_at of[2];
    double limits[2];
    const char *limit_names[2];
} panel;

static json_t *panel_json(const panel *p, const swl_check *check, swl_units units)
{
    swl_shown shown = swl_shown_as(p->show, units);
    json_t *series = json_array();
    json_t *limits = json_array();
    int bad = series == NULL || limits == NULL;
    for (size_t c = 0; c < 2; c++) {
        if (p->names[c] != NULL) {
            bad |= json_array_append_new(series, json_pack("{s:s, s:o}", "name", p->names[c], "values",
                                                           column(check, p->of[c], p->show, units)));
        }
        if (!isnan(p->limits[c])) {
            bad |= json_array_append_new(limits, json_pack("{s:s, s:f}", "name", p->limit_names[c], "value",
                                                           swl_shown_value(p->limits[c], p->show, units)));
        }
    }
    if (bad) {
        json_decref(series);
        json_decref(limits);
        return NULL;
    }
    return json_pack("{s:s, s:s, s:i, s:o, s:o}", "title", p->title, "unit", shown.unit, "decimals", shown.decimals,
                     "series", series, "limits", limits);
}

static json_t *panels_json(const swl_build *build, const swl_check *check, swl_units units)
{
    const swl_limit_values *l = &build->limits;
    const swl_blower *b = &build->blower;
    const panel panels[] = {
        {"Boost", SWL_SHOW_BOOST, {"boost"}, {SWL_OF_POINT(boost_pa)}, {l->boost_pa, NAN}, {"limit"}},
        {"Air flow", SWL_SHOW_MASS_FLOW, {"air"}, {SWL_OF_POINT(mdot_kg_s)}, {l->mdot_sensor_kg_s, NAN}, {"sensor"}},
        {"Temperature",
         SWL_SHOW_TEMPERATURE,
         {"discharge", "charge"},
         {SWL_OF_POINT(t2_k), SWL_OF_POINT(t3_k)},
         {l->t_discharge_k, l->t_charge_k},
         {"discharge limit", "charge limit"}},
        {"Drive power", SWL_SHOW_POWER, {"drive"}, {SWL_OF_POINT(p_shaft_w)}, {l->p_drive_w, NAN}, {"limit"}},
        {"Blower speed",
         SWL_SHOW_BLOWER_SPEED,
         {"blower"},
         {SWL_OF_POINT(blower_rpm)},
         {b->continuous_rpm, b->short_time_rpm},
         {"continuous", "short-time"}},
        {"Estimated crank power", SWL_SHOW_POWER, {"crank"}, {SWL_OF_POWER(crank_w)}, {NAN, NAN}, {NULL}},
    };
    json_t *list = json_array();
    int bad = list == NULL;
    for (size_t i = 0; i < sizeof panels / sizeof panels[0]; i++) {
        /* An engine without what its power rests on has none to show. */
        if (!panels[i].of[0].of_power || !isnan(check->basis.indicated_eff_frac)) {
            bad |= json_array_append_new(list, panel_json(&panels[i], check, units));
        }
    }
    return swl_json_whole(list, bad);
}

static json_t *points_json(const swl_point *points, size_t count)
{
    json_t *list = json_array();
    int bad = list == NULL;
    for (size_t i = 0; i < count; i++) {
        bad |= json_array_append_new(list, json_pack("{s:f, s:f, s:f, s:b}", "engine_rpm", points[i].engine_rpm,
                                                     "flow_m3_s", points[i].map_vdot_m3_s, "ratio", points[i].p_ratio,
                                                     "on_map", (int)(points[i].map_where == SWL_MAP_INSIDE)));
    }
    return swl_json_whole(list, bad);
}

static json_t *trace_json(const swl_trace *trace)
{
    json_t *points = json_array();
    int bad = points == NULL;
    for (size_t i = 0; i < SWL_TRACE_POINTS; i++) {
        bad |= json_array_append_new(points, json_real(trace->vdot_m3_s[i]));
        bad |= json_array_append_new(points, json_real(trace->p_ratio[i]));
    }
    if (bad) {
        json_decref(points);
        return NULL;
    }
    return json_pack("{s:s, s:f, s:b, s:b, s:o}", "words", trace->words, "blower_rpm", trace->blower_rpm, "inside",
                     (int)trace->inside, "short_time", (int)trace->short_time, "points", points);
}

/* What lies on the map: the line, its marks, the speed limits and where the discharge is too hot. */
static json_t *on_map_json(const swl_build *build, const swl_check *check, swl_err *err)
{
    swl_match *match = swl_match_new(build, err);
    swl_field field = {0};
    swl_trace traces[SWL_TRACES_MAX];
    swl_point marks[SWL_MARKS_MAX];
    json_t *root = NULL;
    swl_status status = match == NULL ? SWL_ERR_MEMORY : swl_field_init(&field, match, build->blower.map, 1, 2, err);
    if (status == SWL_OK) {
        json_t *hot = serve_hot(match, build, err);
        json_t *lines = json_array();
        size_t count = swl_field_traces(match, &build->blower, &field, traces);
        int bad = 0;
        for (size_t i = 0; i < count; i++) {
            bad |= json_array_append_new(lines, trace_json(&traces[i]));
        }
        if (bad) {
            json_decref(lines);
            lines = NULL;
        }
        root = json_pack("{s:o, s:o, s:o, s:o}", "line", points_json(check->line, check->line_count), "marks",
                         points_json(marks, swl_check_marks(match, check, marks)), "speed_limits", lines, "hot", hot);
    }
    swl_field_free(&field);
    swl_match_free(match);
    return root;
}

static json_t *drive_text(const swl_build *build, const swl_check *check, swl_units units)
{
    swl_buf text = {0};
    swl_report_value(&text, build->drive.d_crank_m, SWL_SHOW_LENGTH, units);
    swl_buf_puts(&text, " crank pulley on ");
    swl_report_value(&text, build->drive.d_blower_m, SWL_SHOW_LENGTH, units);
    swl_buf_printf(&text, " blower pulley, ratio %.4f", check->drive_ratio);
    return serve_text(&text);
}

json_t *serve_view(const swl_build *build, const swl_check *check, swl_units units, swl_err *err)
{
    swl_shown volume = swl_shown_as(SWL_SHOW_VOLUME_FLOW, units);
    swl_shown rise = swl_shown_as(SWL_SHOW_BOOST, units);
    swl_buf site = {0};
    swl_report_site(&site, &build->site, units);
    swl_buf air = {0};
    swl_report_value(&air, build->blower.t_map_k, SWL_SHOW_TEMPERATURE, units);
    json_t *root = json_pack("{s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:{s:s, s:f, s:o}, s:{s:s, s:f}}", "drive",
                             drive_text(build, check, units), "site", serve_text(&site), "result",
                             result_json(build, check), "verdicts", verdicts_json(check, units), "engine_rpm",
                             column(check, (swl_number_at)SWL_OF_POINT(engine_rpm), SWL_SHOW_ENGINE_SPEED, units),
                             "panels", panels_json(build, check, units), "map", on_map_json(build, check, err), "flow",
                             "unit", volume.unit, "scale", volume.scale, "air", serve_text(&air), "rise", "unit",
                             rise.unit, "scale", build->site.p_pa * rise.scale);
    if (root == NULL) {
        (void)swl_err_set(err, SWL_ERR_MEMORY, "out of memory for the page");
    }
    return root;
}
