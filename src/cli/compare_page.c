#include "cli/compare_page.h"

#include <math.h>

/* What one map of the chart is drawn from. */
typedef struct map_job {
    swl_field field;
    swl_trace traces[SWL_TRACES_MAX];
    swl_point marks[SWL_MARKS_MAX];
    swl_buf title;
} map_job;

static swl_status map_open(const swl_compare *compare, size_t i, swl_units units, map_job *m, swl_chart *chart,
                           swl_err *err)
{
    const swl_compare_build *one = &compare->builds[i];
    const swl_build *build = &one->build;
    swl_match *match = swl_match_new(build, err);
    swl_status status =
        match == NULL ? SWL_ERR_MEMORY : swl_field_init(&m->field, match, build->blower.map, 5, 65, err);
    if (status == SWL_OK) {
        swl_buf_printf(&m->title, "%s, ", build->blower.name);
        if (one->solved) {
            swl_report_value(&m->title, build->drive.d_blower_m, SWL_SHOW_LENGTH, units);
            swl_buf_puts(&m->title, " pulley");
        } else {
            swl_buf_puts(&m->title, "cannot give it");
        }
        *chart = (swl_chart){
            .title = swl_buf_text(&m->title),
            .subtitle = "",
            .caption = "",
            .blower = &build->blower,
            .build = one->solved ? build : NULL,
            .check = one->solved ? &one->check : NULL,
            .marks = m->marks,
            .mark_count = one->solved ? swl_check_marks(match, &one->check, m->marks) : 0,
            .field = &m->field,
            .traces = m->traces,
            .trace_count = swl_field_traces(match, &build->blower, &m->field, m->traces),
            .site_pa = build->site.p_pa,
            .t_discharge_limit_k = build->limits.t_discharge_k,
            .units = units,
            .lean = SWL_LEAN,
        };
    }
    swl_match_free(match);
    return status;
}

/* The site, where all builds have the same. */
static void site_words(const swl_compare *compare, swl_units units, swl_buf *out)
{
    const swl_site *site = &compare->builds[0].build.site;
    for (size_t i = 1; i < compare->count; i++) {
        const swl_site *other = &compare->builds[i].build.site;
        if (fabs(other->t_k - site->t_k) > 1e-9 || fabs(other->p_pa - site->p_pa) > 1e-6 ||
            fabs(other->rh_frac - site->rh_frac) > 1e-9) {
            swl_buf_puts(out, "; sites differ");
            return;
        }
    }
    swl_buf_puts(out, "; site ");
    swl_report_value(out, site->t_k, SWL_SHOW_TEMPERATURE, units);
    swl_buf_puts(out, ", ");
    swl_report_value(out, site->p_pa, SWL_SHOW_PRESSURE, units);
    swl_buf_printf(out, ", %.0f %% humidity", site->rh_frac * 100);
}

static bool any_outside(const swl_compare *compare)
{
    size_t outside = 0;
    for (size_t i = 0; i < compare->count; i++) {
        outside += compare->builds[i].points_outside;
    }
    return outside > 0;
}

/* What only the table needs said. */
static void table_words(const swl_compare *compare, swl_buf *caption)
{
    swl_buf_printf(
        caption,
        "In the table bold: better than every other by more than 1 K, 1 %% of a flow or of engine power, 2 %% "
        "of drive power, one point%s.",
        any_outside(compare) ? "; *: outside the map's data" : "");
}

static void chart_words(const swl_compare *compare, swl_units units, swl_buf *title, swl_buf *subtitle,
                        swl_buf *caption)
{
    swl_buf_puts(title, compare->wish.goal == SWL_COMPARE_AS_FITTED ? "Donors compared " : "Donors compared at ");
    swl_report_compare_goal(title, compare, units);
    for (size_t i = 0; i < compare->count; i++) {
        const swl_build *build = &compare->builds[i].build;
        swl_buf_printf(subtitle, "%s%c: %s, ", i == 0 ? "" : "; ", (int)('A' + (int)i), build->name);
        swl_report_value(subtitle, build->drive.d_crank_m, SWL_SHOW_LENGTH, units);
        if (compare->builds[i].solved) {
            swl_buf_puts(subtitle, " on ");
            swl_report_value(subtitle, build->drive.d_blower_m, SWL_SHOW_LENGTH, units);
        } else {
            swl_buf_puts(subtitle, " crank pulley");
        }
    }
    site_words(compare, units, subtitle);
    swl_buf_puts(subtitle, "; wide-open throttle");
    swl_buf_puts(caption, "Limits: ");
    for (size_t i = 0; i < compare->count; i++) {
        const swl_compare_build *one = &compare->builds[i];
        swl_buf_printf(caption, "%s%c ", i == 0 ? "" : "; ", (int)('A' + (int)i));
        if (!one->solved) {
            swl_buf_puts(caption, "not solved");
        } else if (one->check.limit_count == 0) {
            swl_buf_puts(caption, "has none given");
        } else if (one->exceeded == 0) {
            swl_buf_printf(caption, "keeps all %zu", one->check.limit_count);
        } else {
            swl_buf_printf(caption, "EXCEEDS %zu of %zu", one->exceeded, one->check.limit_count);
            const char *between = " (";
            for (size_t k = 0; k < one->check.limit_count; k++) {
                if (one->check.limits[k].verdict == SWL_EXCEEDED) {
                    swl_buf_printf(caption, "%s%s", between, one->check.limits[k].words);
                    between = ", ";
                }
            }
            swl_buf_puts(caption, ")");
        }
    }
    swl_buf_puts(caption, ". All maps have the same axes, bands and colours; numbers in them: adiabatic efficiency. "
                          "Speed: of the rotors  without slip, of the continuous limit. ");
    if (any_outside(compare)) {
        swl_buf_puts(caption, "Dashed on a map, pale over engine speed: outside the map's data, whose "
                              "edge is held: nothing to build on. ");
    }
    swl_buf_puts(caption, cli_estimates);
}

static swl_status draw_compare(const void *context, const swl_picture *picture, swl_buf *out, swl_err *err)
{
    return swl_draw_compare(context, picture, out, err);
}

swl_status cli_compare_draw(const cli_options *options, const swl_compare *compare, swl_units units, const char *stem,
                            swl_err *err)
{
    map_job maps[SWL_COMPARE_MOST] = {{.field = {0}}};
    swl_chart charts[SWL_COMPARE_MOST];
    swl_map_scale scale = {0};
    swl_buf title = {0};
    swl_buf subtitle = {0};
    swl_buf caption = {0};
    swl_buf table = {0};
    swl_status status = SWL_OK;
    for (size_t i = 0; i < compare->count && status == SWL_OK; i++) {
        status = map_open(compare, i, units, &maps[i], &charts[i], err);
    }
    if (status == SWL_OK) {
        status = swl_draw_scale(charts, compare->count, &scale, err);
    }
    if (status == SWL_OK) {
        for (size_t i = 0; i < compare->count; i++) {
            charts[i].scale = &scale;
        }
        chart_words(compare, units, &title, &subtitle, &caption);
        table_words(compare, &table);
        swl_compare_chart chart = {.title = swl_buf_text(&title),
                                   .subtitle = swl_buf_text(&subtitle),
                                   .table_caption = swl_buf_text(&table),
                                   .caption = swl_buf_text(&caption),
                                   .compare = compare,
                                   .charts = charts,
                                   .scale = &scale,
                                   .units = units};
        status = cli_draw_with(options, draw_compare, &chart, stem, err);
    }
    for (size_t i = 0; i < compare->count; i++) {
        swl_field_free(&maps[i].field);
        swl_buf_free(&maps[i].title);
    }
    swl_buf_free(&title);
    swl_buf_free(&subtitle);
    swl_buf_free(&caption);
    swl_buf_free(&table);
    return status;
}
