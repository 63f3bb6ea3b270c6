#include "cli/serve.h"

#include "report/json.h"
#include "report/margin.h"

#include <math.h>
#include <string.h>

/* One row of the table of values: words with their unit, a cell for each build. */
static json_t *quantity_json(const swl_compare *compare, const swl_compare_quantity *quantity,
                             const swl_compare_value *const *values, swl_units units)
{
    swl_shown shown = swl_shown_as(quantity->show, units);
    size_t best = swl_compare_best(quantity, values, compare->count);
    json_t *cells = json_array();
    int bad = cells == NULL;
    for (size_t i = 0; i < compare->count; i++) {
        double value = swl_shown_value(values[i]->value, quantity->show, units);
        bad |= json_array_append_new(
            cells, json_pack("{s:o, s:b, s:b}", "text", serve_number_text(value, shown.decimals), "best",
                             (int)(i == best), "on_map", (int)(isnan(values[i]->value) || values[i]->on_map)));
    }
    if (bad) {
        json_decref(cells);
        return NULL;
    }
    return json_pack("{s:s, s:s, s:s, s:o}", "name", quantity->name, "words", quantity->words, "unit", shown.unit,
                     "cells", cells);
}

/* Whether any build has the value. */
static bool there(const swl_compare *compare, const swl_compare_value *const *values)
{
    for (size_t i = 0; i < compare->count; i++) {
        if (!isnan(values[i]->value)) {
            return true;
        }
    }
    return false;
}

static json_t *group(json_t *title, json_t *rows)
{
    return json_pack("{s:o, s:o}", "title", title, "rows", rows);
}

static json_t *at_speed(const swl_compare *compare, size_t k, swl_units units)
{
    json_t *rows = json_array();
    int bad = rows == NULL;
    for (size_t q = 0; q < SWL_COMPARE_VALUES; q++) {
        const swl_compare_value *values[SWL_COMPARE_MOST];
        for (size_t i = 0; i < compare->count; i++) {
            values[i] = &compare->builds[i].at[k][q];
        }
        if (there(compare, values)) {
            bad |= json_array_append_new(rows, quantity_json(compare, &swl_compare_values[q], values, units));
        }
    }
    swl_buf title = {0};
    swl_buf_printf(&title, "At %.6g rpm", compare->speeds_rpm[k]);
    bad |= title.failed;
    json_t *told = bad ? NULL : group(json_string(swl_buf_text(&title)), rows);
    swl_buf_free(&title);
    return told;
}

/* Figures from one to another, as the text report groups them. */
static json_t *figures(const swl_compare *compare, const char *title, size_t from, size_t to, swl_units units)
{
    json_t *rows = json_array();
    int bad = rows == NULL;
    for (size_t q = from; q <= to; q++) {
        const swl_compare_value *values[SWL_COMPARE_MOST];
        for (size_t i = 0; i < compare->count; i++) {
            values[i] = &compare->builds[i].figures[q];
        }
        if (there(compare, values)) {
            bad |= json_array_append_new(rows, quantity_json(compare, &swl_compare_figures[q], values, units));
        }
    }
    return bad ? NULL : group(json_string(title), rows);
}

static json_t *groups_json(const swl_compare *compare, swl_units units)
{
    static const struct {
        const char *title;
        size_t from, to;
    } parts[] = {{"Highest of the rev range", SWL_FIGURE_BOOST, SWL_FIGURE_WHEEL_POWER},
                 {"Margin", SWL_FIGURE_SPEED_MARGIN, SWL_FIGURE_LEAST_MARGIN},
                 {"Adiabatic efficiency", SWL_FIGURE_EFFICIENCY_MEAN, SWL_FIGURE_EFFICIENCY_BEST},
                 {"Share of the rev range", SWL_FIGURE_SHARE_OWN_BEST, SWL_FIGURE_SHARE_OUTSIDE}};
    json_t *list = json_array();
    int bad = list == NULL;
    for (size_t i = 0; i < sizeof parts / sizeof parts[0]; i++) {
        bad |= json_array_append_new(list, figures(compare, parts[i].title, parts[i].from, parts[i].to, units));
    }
    for (size_t k = 0; k < compare->speed_count; k++) {
        bad |= json_array_append_new(list, at_speed(compare, k, units));
    }
    return swl_json_whole(list, bad);
}

static const swl_limit_row *limit_named(const swl_compare_build *one, const char *name)
{
    for (size_t i = 0; i < one->check.limit_count; i++) {
        if (strcmp(one->check.limits[i].name, name) == 0) {
            return &one->check.limits[i];
        }
    }
    return NULL;
}

static json_t *limit_json(const swl_compare *compare, const swl_limit_row *named)
{
    json_t *cells = json_array();
    int bad = cells == NULL;
    for (size_t i = 0; i < compare->count; i++) {
        const swl_limit_row *row = limit_named(&compare->builds[i], named->name);
        swl_buf margin = {0};
        swl_margin_put(&margin, 0, row == NULL ? (double)NAN : row->margin_frac);
        bad |= json_array_append_new(cells, json_pack("{s:s, s:s, s:b}", "margin", swl_buf_text(&margin), "verdict",
                                                      row == NULL ? "" : swl_verdict_word(row->verdict), "on_map",
                                                      (int)(row == NULL || row->on_map)));
        swl_buf_free(&margin);
    }
    if (bad) {
        json_decref(cells);
        return NULL;
    }
    return json_pack("{s:s, s:s, s:o}", "name", named->name, "words", named->words, "cells", cells);
}

/* Every limit of any build, once. */
static json_t *limits_json(const swl_compare *compare)
{
    json_t *rows = json_array();
    int bad = rows == NULL;
    for (size_t i = 0; i < compare->count; i++) {
        const swl_check *check = &compare->builds[i].check;
        for (size_t n = 0; n < check->limit_count; n++) {
            bool before = false;
            for (size_t k = 0; k < i; k++) {
                before = before || limit_named(&compare->builds[k], check->limits[n].name) != NULL;
            }
            if (!before) {
                bad |= json_array_append_new(rows, limit_json(compare, &check->limits[n]));
            }
        }
    }
    return swl_json_whole(rows, bad);
}

/* Each build with its pulley, and what is drawn of it; or why there is nothing to draw. */
static json_t *builds_json(const swl_compare *compare, swl_units units)
{
    json_t *list = json_array();
    int bad = list == NULL;
    for (size_t i = 0; i < compare->count; i++) {
        const swl_compare_build *one = &compare->builds[i];
        swl_err ignored = {0};
        swl_buf why = {0};
        if (!one->solved) {
            swl_report_compare_failure(&why, compare, i, units);
        }
        bad |= json_array_append_new(
            list, json_pack("{s:s, s:s, s:o, s:b, s:o}", "name", one->build.name, "failure", swl_buf_text(&why),
                            "blower_pulley_m", one->solved ? json_real(one->build.drive.d_blower_m) : json_null(),
                            "solved_on_map", (int)one->solved_on_map, "view",
                            one->solved ? serve_view(&one->build, &one->check, units, &ignored) : json_null()));
        swl_buf_free(&why);
    }
    return swl_json_whole(list, bad);
}

/* What differs in the files, each key with its value in each build. */
static json_t *differences_json(const swl_differences *differences, size_t count)
{
    json_t *list = json_array();
    int bad = list == NULL;
    for (size_t k = 0; k < differences->count; k++) {
        const swl_difference *item = &differences->items[k];
        json_t *values = json_array();
        for (size_t i = 0; i < count; i++) {
            bad |= json_array_append_new(values, json_string(item->value[i]));
        }
        bad |= json_array_append_new(list, json_pack("{s:s, s:s, s:b, s:o}", "section", item->section, "key", item->key,
                                                     "compared", (int)item->expected, "values", values));
    }
    return swl_json_whole(list, bad);
}

json_t *serve_compare_view(const swl_compare_report *report, swl_units units)
{
    const swl_compare *compare = report->compare;
    return json_pack("{s:o, s:o, s:o, s:o, s:o, s:o}", "builds", builds_json(compare, units), "groups",
                     groups_json(compare, units), "limits", limits_json(compare), "summary",
                     swl_json_notes(report->summary), "notes", swl_json_notes(report->notes), "differences",
                     differences_json(report->differences, compare->count));
}
