#include "sweptline/report.h"

#include "report/json.h"
#include "report/log_columns.h"

#include <math.h>
#include <string.h>

static void csv_number(swl_buf *out, double value)
{
    swl_buf_puts(out, ",");
    if (isfinite(value)) {
        swl_buf_printf(out, "%.10g", value);
    }
}

void swl_report_log_csv(swl_buf *out, const swl_log *log, swl_units units)
{
    swl_buf_puts(out, "line,engine speed [rpm],time [s],blower speed [rpm]");
    for (size_t k = 0; k < SWL_LOG_KINDS; k++) {
        const swl_log_column *column = &swl_log_columns[k];
        const char *unit = swl_shown_as(column->show, units).unit;
        if (log->has[k]) {
            swl_buf_printf(out, ",measured %s [%s],predicted %s [%s],%s difference [%s],%s difference [%%]",
                           column->words, unit, column->words, unit, column->words,
                           swl_shown_as(column->difference, units).unit, column->words);
        }
    }
    swl_buf_puts(out, ",prediction on map\n");
    for (size_t i = 0; i < log->count; i++) {
        const swl_log_row *row = &log->rows[i];
        swl_buf_printf(out, "%d", row->measured->line);
        csv_number(out, row->measured->engine_rpm);
        csv_number(out, row->measured->time_s);
        csv_number(out, row->blower_rpm);
        for (size_t k = 0; k < SWL_LOG_KINDS; k++) {
            const swl_log_column *column = &swl_log_columns[k];
            double left = row->measured->value[k] - row->predicted[k];
            if (!log->has[k]) {
                continue;
            }
            csv_number(out, swl_shown_value(row->measured->value[k], column->show, units));
            csv_number(out, swl_shown_value(row->predicted[k], column->show, units));
            csv_number(out, left * swl_shown_as(column->difference, units).scale);
            csv_number(out, 100 * left / row->predicted[k]);
        }
        swl_buf_puts(out, row->on_map ? ",yes\n" : ",no\n");
    }
}

/* Takes the value. Returns: 0, or -1 when it could not be added, as Jansson does. */
static int put(json_t *object, const char *key, json_t *value)
{
    return json_object_set_new(object, key, value);
}

static json_t *json_values(const swl_log *log, const double *value)
{
    json_t *o = json_object();
    int bad = o == NULL;
    for (size_t k = 0; k < SWL_LOG_KINDS; k++) {
        if (log->has[k]) {
            bad |= put(o, swl_log_columns[k].json, swl_json_number(value[k]));
        }
    }
    return swl_json_whole(o, bad);
}

static json_t *json_row(const swl_log *log, const swl_log_row *row)
{
    return json_pack("{s:i, s:f, s:o, s:f, s:o, s:o, s:o, s:o, s:b}", "line", row->measured->line, "engine_speed_rpm",
                     row->measured->engine_rpm, "time_s", swl_json_number(row->measured->time_s), "blower_speed_rpm",
                     row->blower_rpm, "measured", json_values(log, row->measured->value), "predicted",
                     json_values(log, row->predicted), "map_volume_flow_m3_s", swl_json_number(row->map_vdot_m3_s),
                     "pressure_ratio", swl_json_number(row->p_ratio), "on_map", row->on_map);
}

static json_t *json_residuals(const swl_log *log)
{
    json_t *list = json_array();
    int bad = list == NULL;
    for (size_t k = 0; k < SWL_LOG_KINDS; k++) {
        const swl_log_residual *left = &log->residuals[k];
        if (!log->has[k]) {
            continue;
        }
        bad |= json_array_append_new(
            list, json_pack("{s:s, s:I, s:f, s:o, s:f, s:f, s:f, s:f, s:o, s:b}", "name", swl_log_columns[k].json,
                            "rows", (json_int_t)left->count, "mean", left->mean, "mean_fraction",
                            swl_json_number(left->mean_frac), "rms", left->rms, "assumed_noise", left->sigma_mean,
                            "worst", left->worst, "worst_engine_speed_rpm", left->worst_rpm, "mean_after_best_fit",
                            swl_json_number(left->mean_after), "fitted", log->fitted[k]));
    }
    return swl_json_whole(list, bad);
}

static json_t *json_value(const swl_log_value *value)
{
    return json_pack("{s:s, s:f, s:o, s:o, s:o, s:b, s:o, s:f, s:f}", "name", swl_fit_columns[value->parameter].json,
                     "value", value->value, "half_width", swl_json_number(value->half_width), "low",
                     swl_json_number(value->low), "high", swl_json_number(value->high), "at_bound", value->at_bound,
                     "wanted", swl_json_number(value->wanted), "stated", value->stated, "stated_half_width",
                     value->stated_half_width);
}

static json_t *json_fit(const swl_log_fit *fit, bool best)
{
    json_t *values = json_array();
    int bad = values == NULL;
    for (size_t k = 0; k < fit->count && fit->failure == NULL; k++) {
        bad |= json_array_append_new(values, json_value(&fit->values[k]));
    }
    values = swl_json_whole(values, bad);
    return json_pack("{s:s, s:o, s:o, s:o, s:I, s:I, s:o, s:o, s:b, s:b, s:b, s:s?}", "name", fit->name, "parameters",
                     values, "chi2_before", swl_json_number(fit->chi2_before), "chi2",
                     swl_json_number(fit->failure == NULL ? fit->chi2 : (double)NAN), "readings",
                     (json_int_t)fit->readings, "degrees_of_freedom", (json_int_t)fit->degrees_of_freedom, "aicc",
                     swl_json_number(fit->aicc), "correlation", swl_json_number(fit->correlation), "converged",
                     fit->failure == NULL && fit->converged, "stands", fit->stands, "best", best, "failure",
                     fit->failure);
}

static json_t *json_limit(const swl_log_limit *limit)
{
    const swl_limit_row *row = &limit->row;
    return json_pack("{s:s, s:s, s:f, s:o, s:f, s:s, s:o, s:f, s:i, s:o}", "name", row->name, "verdict",
                     limit->judged ? swl_verdict_word(row->verdict) : "not_judged", "value", row->value,
                     "value_otherwise", swl_json_number(limit->otherwise), "limit", row->limit, "unit", row->unit,
                     "margin", swl_json_number(row->margin_frac * 100), "engine_speed_rpm", row->engine_rpm, "line",
                     limit->line, "rows_over", limit->judged ? json_integer((json_int_t)limit->over) : json_null());
}

static json_t *json_shape(const swl_log_shape *shape)
{
    json_t *thirds = json_array();
    int bad = thirds == NULL;
    for (size_t t = 0; t < 3; t++) {
        bad |=
            json_array_append_new(thirds, json_pack("{s:o, s:o}", "difference_pa", swl_json_number(shape->third_pa[t]),
                                                    "difference_fraction", swl_json_number(shape->third_frac[t])));
    }
    thirds = swl_json_whole(thirds, bad);
    return json_pack("{s:f, s:f, s:o, s:o, s:o}", "blower_speed_low_rpm", shape->low_rpm, "blower_speed_high_rpm",
                     shape->high_rpm, "thirds", thirds, "slope_fraction_per_rpm",
                     swl_json_number(shape->slope_frac_rpm), "slope_half_width",
                     swl_json_number(shape->slope_half_width));
}

static json_t *json_gauge(int gauge)
{
    return gauge == 0 ? json_null() : json_string(gauge < 0 ? "gauge_given_as_absolute" : "absolute_given_as_boost");
}

static int put_words(json_t *root, const swl_build *build, const swl_log *log, const swl_notes *notes)
{
    swl_notes finding = {0};
    swl_notes adopt = {0};
    swl_log_finding(&finding, build, log, SWL_UNITS_SI);
    swl_log_adopt(&adopt, log);
    int bad = put(root, "finding", swl_json_notes(&finding));
    bad |= put(root, "adopt", swl_json_notes(&adopt));
    bad |= put(root, "notes", swl_json_notes(notes));
    swl_notes_free(&finding);
    swl_notes_free(&adopt);
    return bad;
}

swl_status swl_report_log_json(swl_buf *out, const swl_build *build, const char *run_name, const swl_run *run,
                               const swl_check *check, const swl_log *log, const swl_notes *notes, swl_err *err)
{
    json_t *root = swl_json_head("log");
    json_t *rows = json_array();
    json_t *fits = json_array();
    json_t *limits = json_array();
    int bad = root == NULL || rows == NULL || fits == NULL || limits == NULL;
    for (size_t i = 0; i < log->count; i++) {
        bad |= json_array_append_new(rows, json_row(log, &log->rows[i]));
    }
    for (size_t i = 0; i < log->fit_count; i++) {
        bad |= json_array_append_new(fits, json_fit(&log->fits[i], i == log->best && log->fits_made > 0));
    }
    for (size_t i = 0; i < log->limit_count; i++) {
        bad |= json_array_append_new(limits, json_limit(&log->limits[i]));
    }
    bad |= put(root, "build", json_string(build->name));
    bad |= put(root, "unit", json_string(build->blower.name));
    bad |= put(root, "run", json_string(run_name));
    bad |= put(root, "rows_read", json_integer((json_int_t)run->rows_read));
    bad |= put(root, "rows_used", json_integer((json_int_t)log->count));
    bad |= put(root, "rows_left_out",
               json_pack("{s:I, s:I, s:I, s:I}", "empty_cell", (json_int_t)run->without, "part_throttle",
                         (json_int_t)log->part_throttle, "outside_rev_range", (json_int_t)log->outside,
                         "no_operating_point", (json_int_t)log->unsolved));
    bad |= put(root, "measured_exceeded", json_boolean(log->exceeded));
    bad |= put(root, "measured_not_judged", json_boolean(log->unjudged));
    bad |= put(root, "prediction_exceeded", json_boolean(check->exceeded));
    bad |= put(root, "pressure_looks_like", json_gauge(log->gauge));
    bad |= put(root, "limits", limits);
    bad |= put(root, "rows", rows);
    bad |= put(root, "residuals", json_residuals(log));
    bad |= put(root, "shape", json_shape(&log->shape));
    bad |= put(root, "confidence", json_real(SWL_LOG_CONFIDENCE));
    bad |= put(root, "spread", json_real(log->spread));
    bad |= put(root, "agrees", log->fits_made > 0 ? json_boolean(log->agrees) : json_null());
    bad |= put(root, "fits", fits);
    bad |= put_words(root, build, log, notes);
    if (bad) {
        json_decref(root);
        root = NULL;
    }
    return swl_json_write(out, root, err);
}
