#include "sweptline/report.h"

#include "base/locale_c.h"

#include "report/spread.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

enum { SPEEDS_MAX = 9, CAUSES_MAX = 4 };
#define STUDENT_95 2.131

static bool of_key(const swl_input *input, const char *section, const char *name)
{
    return strcmp(input->section, section) == 0 && strcmp(input->name, name) == 0;
}

static swl_show input_show(const swl_input *input)
{
    switch (input->dim) {
    case SWL_DIM_LENGTH:
        return SWL_SHOW_LENGTH;
    case SWL_DIM_VOLUME:
        return of_key(input, "cooler", "coolant_volume") ? SWL_SHOW_LIQUID_VOLUME : SWL_SHOW_VOLUME;
    case SWL_DIM_VOLUME_REV:
        return SWL_SHOW_VOLUME;
    case SWL_DIM_SPEED:
        return SWL_SHOW_ENGINE_SPEED;
    case SWL_DIM_TEMPERATURE:
        return SWL_SHOW_TEMPERATURE;
    case SWL_DIM_TEMP_CHANGE:
        return SWL_SHOW_TEMP_CHANGE;
    case SWL_DIM_PRESSURE:
        return SWL_SHOW_BOOST;
    case SWL_DIM_MASS_FLOW:
        return of_key(input, "fuel", "injector_flow") ? SWL_SHOW_FUEL_FLOW
               : input->by_volume                     ? SWL_SHOW_VOLUME_FLOW
                                                      : SWL_SHOW_MASS_FLOW;
    case SWL_DIM_VOLUME_FLOW: /* of air it is kept as a mass flow */
        return SWL_SHOW_LIQUID_FLOW;
    case SWL_DIM_HEAT_CAPACITY:
        return SWL_SHOW_HEAT_CAPACITY;
    case SWL_DIM_POWER:
        return SWL_SHOW_POWER;
    case SWL_DIM_FRACTION:
        return SWL_SHOW_FRACTION;
    default:
        return SWL_SHOW_RATIO;
    }
}

/* How an input is shown: in the kind of unit that it was typed in, with as many decimals as give its half-width two
 * digits. */
static swl_shown input_shown(const swl_input *input, swl_units units)
{
    swl_shown shown = swl_shown_as(input_show(input), units);
    if (input->by_volume) {
        shown.scale /= SWL_LOSS_DENSITY_KG_M3;
    } else if (input->dim == SWL_DIM_VOLUME_FLOW && of_key(input, "fuel", "injector_flow")) {
        shown = (swl_shown){.unit = "cc/min", .scale = 60e6};
    } else if (input->dim == SWL_DIM_HEAT_RATE || input->dim == SWL_DIM_TIME) {
        shown.unit = input->dim == SWL_DIM_TIME ? "s" : "W/K";
    }
    /* A half-width that prints as 10 has one digit before the last. */
    double places = 1 - floor(log10(input->half_width * shown.scale) + 1e-9);
    shown.decimals = (int)fmax(0, fmin(6, places));
    return shown;
}

static bool is_curve(const swl_input *input)
{
    return input->offset == offsetof(swl_build, engine.ve_shift);
}

static void text_inputs(swl_buf *out, const swl_spread *spread, swl_units units)
{
    swl_buf_printf(out, "\nInputs given with +- (half-width of a 95 %% interval)\n%-40s %11s %11s\n", "", "middle",
                   "half-width");
    for (size_t i = 0; i < spread->input_count; i++) {
        const swl_input *input = &spread->inputs[i].of;
        swl_shown shown = input_shown(input, units);
        swl_buf_printf(out, "%-40s", swl_spread_input_name(input).text);
        if (is_curve(input)) {
            swl_buf_printf(out, " %11s %11s together\n", "curve", "as given");
            continue;
        }
        /* A temperature's half-width has no shift. */
        swl_buf_printf(out, " %11.*f %11.*f%s%s\n", shown.decimals, input->middle * shown.scale + shown.shift,
                       shown.decimals, input->half_width * shown.scale, shown.unit[0] == '\0' ? "" : " ", shown.unit);
    }
    swl_buf_printf(out, "%zu samples, all inputs at once\n", 2 * spread->samples);
}

/* The row of an engine speed, row_count when there is none. */
static size_t row_at(const swl_spread *spread, double rpm)
{
    size_t row = 0;
    while (row < spread->row_count && fabs(spread->rows[row].engine_rpm - rpm) > 0.5) {
        row++;
    }
    return row;
}

/* The ends and every multiple of a step between them, a last one close before the end left out. Returns: how many, 0
 * when a multiple has no row or there are too many. */
static size_t rows_by_step(const swl_spread *spread, double step_rpm, size_t rows[SPEEDS_MAX])
{
    double first_rpm = spread->rows[0].engine_rpm;
    double last_rpm = spread->rows[spread->row_count - 1].engine_rpm;
    size_t count = 0;
    rows[count++] = 0;
    for (long k = (long)floor(first_rpm / step_rpm + 1e-6) + 1; (double)k * step_rpm < last_rpm - 0.2 * step_rpm; k++) {
        size_t row = row_at(spread, (double)k * step_rpm);
        if (row == spread->row_count || count + 1 >= SPEEDS_MAX) {
            return 0;
        }
        rows[count++] = row;
    }
    rows[count++] = spread->row_count - 1;
    return count;
}

/* Rows for the tables, the line's ends among them: all where they fit, else those of round engine speeds, else every
 * second, third and so on. */
static size_t chosen_rows(const swl_spread *spread, size_t rows[SPEEDS_MAX])
{
    static const double round_rpm[] = {100, 200, 250, 500, 1000, 2000, 2500};
    size_t count = 0;
    for (size_t k = 0; k < sizeof round_rpm / sizeof round_rpm[0] && spread->row_count > SPEEDS_MAX; k++) {
        count = rows_by_step(spread, round_rpm[k], rows);
        if (2 * count > SPEEDS_MAX) {
            return count;
        }
    }
    size_t stride = 1;
    while ((spread->row_count - 2) / stride + 2 > SPEEDS_MAX && spread->row_count > SPEEDS_MAX) {
        stride++;
    }
    count = 0;
    for (size_t row = 0; row + 1 < spread->row_count; row += stride) {
        rows[count++] = row;
    }
    rows[count++] = spread->row_count - 1;
    return count;
}

/* Decimals that keep a column of six within its width. */
static int column_decimals(const swl_spread *spread, const swl_spread_column *column, swl_units units)
{
    swl_shown shown = swl_shown_as(column->show, units);
    double largest = 0;
    for (size_t i = 0; i < spread->row_count; i++) {
        double value = swl_shown_value(spread->rows[i].of[column->quantity].p95, column->show, units);
        largest = fmax(largest, fabs(value));
    }
    int room = largest >= 999.95 ? 0 : largest >= 99.995 ? 1 : 3;
    return shown.decimals < room ? shown.decimals : room;
}

static void put_cell(swl_buf *out, int width, int decimals, double si, swl_show show, swl_units units)
{
    if (isfinite(si)) {
        swl_buf_printf(out, "%*.*f", width, decimals, swl_shown_value(si, show, units));
    } else {
        swl_buf_printf(out, "%*s", width, "-");
    }
}

static void table_head(swl_buf *out, const swl_spread_column *columns, size_t count, bool shares, swl_units units)
{
    swl_buf_printf(out, "\n%6s", "engine");
    for (size_t c = 0; c < count; c++) {
        const char *unit = swl_shown_as(columns[c].show, units).unit;
        char head[40];
        (void)snprintf(head, sizeof head, unit[0] == '\0' ? "%s%s" : "%s, %s", columns[c].words, unit);
        swl_buf_printf(out, "%18s", head);
    }
    swl_buf_printf(out, "%s\n%6s", shares ? " off map no point" : "", "rpm");
    for (size_t c = 0; c < count; c++) {
        swl_buf_printf(out, "%6s%6s%6s", "5 %", "50 %", "95 %");
    }
    swl_buf_puts(out, shares ? "       %        %\n" : "\n");
}

static void table_lines(swl_buf *out, const swl_spread *spread, const swl_spread_column *columns, size_t count,
                        bool shares, swl_units units)
{
    size_t rows[SPEEDS_MAX];
    size_t chosen = chosen_rows(spread, rows);
    table_head(out, columns, count, shares, units);
    for (size_t i = 0; i < chosen; i++) {
        const swl_spread_row *row = &spread->rows[rows[i]];
        swl_buf_printf(out, "%6.0f", row->engine_rpm);
        for (size_t c = 0; c < count; c++) {
            const swl_interval *of = &row->of[columns[c].quantity];
            int decimals = column_decimals(spread, &columns[c], units);
            put_cell(out, 6, decimals, of->p05, columns[c].show, units);
            put_cell(out, 6, decimals, of->p50, columns[c].show, units);
            put_cell(out, 6, decimals, of->p95, columns[c].show, units);
        }
        if (shares) {
            put_cell(out, 8, 1, row->off_map_frac, SWL_SHOW_FRACTION, units);
            put_cell(out, 9, 1, row->no_point_frac, SWL_SHOW_FRACTION, units);
        }
        swl_buf_puts(out, "\n");
    }
}

static void text_tables(swl_buf *out, const swl_spread *spread, swl_units units)
{
    size_t rows[SPEEDS_MAX];
    size_t chosen = chosen_rows(spread, rows);
    swl_buf_printf(out,
                   "\nOver engine speed, wide-open throttle: 5, 50 and 95 %% of the samples lie below\n"
                   "(%zu of %zu engine speeds; CSV and JSON have all)\n",
                   chosen, spread->row_count);
    table_lines(out, spread, swl_spread_columns, 5, false, units);
    bool crank = isfinite(spread->rows[0].of[SWL_SPREAD_CRANK_POWER].p50);
    bool wheel = isfinite(spread->rows[0].of[SWL_SPREAD_WHEEL_POWER].p50);
    /* Both powers have no room beside the shares. */
    table_lines(out, spread, swl_spread_columns + 5, crank && !wheel ? 4 : 3, true, units);
    if (wheel) {
        table_lines(out, spread, swl_spread_columns + 8, 2, false, units);
    }
    swl_buf_puts(out, "blower speed without slip");
    swl_buf_puts(out, crank ? "; power is an estimate\n" : "\n");
}

static void text_outputs(swl_buf *out, const swl_spread *spread, swl_units units)
{
    swl_buf_printf(out, "\n%-40s %9s %9s %9s %9s\n", "Over the whole line", "middle", "5 %", "50 %", "95 %");
    for (size_t k = 0; k < spread->output_count; k++) {
        const swl_spread_output *output = &spread->outputs[k];
        swl_shown shown = swl_shown_as(output->show, units);
        if (output->is_margin || !isfinite(output->middle)) {
            continue;
        }
        swl_buf_printf(out, "%-40s ", output->words);
        put_cell(out, 9, shown.decimals, output->middle, output->show, units);
        put_cell(out, 10, shown.decimals, output->interval.p05, output->show, units);
        put_cell(out, 10, shown.decimals, output->interval.p50, output->show, units);
        put_cell(out, 10, shown.decimals, output->interval.p95, output->show, units);
        swl_buf_printf(out, " %s\n", shown.unit);
    }
}

/* A share with its error, to the digits the error allows; the ends of the scale in words. */
static void put_share(swl_buf *out, const swl_spread_limit *limit)
{
    double share = 100 * limit->over_frac;
    double error = 100 * limit->over_error_frac;
    char text[40];
    if (isnan(share)) {
        (void)snprintf(text, sizeof text, "unknown");
    } else if (!(share > 0)) {
        (void)swl_locale_print(text, sizeof text, "none (< %.1f)", fmax(0.1, ceil(10 * error) / 10));
    } else if (!(share < 100)) {
        (void)swl_locale_print(text, sizeof text, "all (> %.1f)", fmin(99.9, floor(10 * (100 - error)) / 10));
    } else {
        /* A share that would round to none or to all keeps a digit more. */
        bool fine = share < 0.1 || share > 99.9;
        (void)swl_locale_print(text, sizeof text, "%.*f +- %.*f", fine ? 2 : 1, share, fine ? 2 : 1, error);
    }
    swl_buf_printf(out, "%16s", text);
}

static void text_limits(swl_buf *out, const swl_spread *spread, swl_units units, bool colour)
{
    static const char *const words[] = {"kept", "close", "EXCEEDED"};
    static const char *const on[] = {"\033[32m", "\033[33m", "\033[1;31m"};
    swl_buf_printf(out, "\n%-31s %9s %-6s %6s %6s %6s %15s\n%-31s %9s %-6s %6s %6s %6s %15s  %s\n", "Limits", "", "",
                   "", "margin", "", "over in", "", "limit", "", "5 %", "50 %", "95 %", "% of samples", "middle");
    if (spread->limit_count == 0) {
        swl_buf_puts(out, "no limit is given, so none was checked\n");
    }
    for (size_t k = 0; k < spread->limit_count; k++) {
        const swl_spread_limit *limit = &spread->limits[k];
        const swl_interval *margin = &spread->outputs[limit->output].interval;
        swl_shown shown = swl_shown_as(limit->row.show, units);
        swl_buf_printf(out, "%-31s %9.*f %-6s", limit->row.words, shown.decimals,
                       swl_shown_value(limit->row.limit, limit->row.show, units), shown.unit);
        put_cell(out, 7, 1, margin->p05, SWL_SHOW_FRACTION, units);
        put_cell(out, 7, 1, margin->p50, SWL_SHOW_FRACTION, units);
        put_cell(out, 7, 1, margin->p95, SWL_SHOW_FRACTION, units);
        put_share(out, limit);
        swl_buf_printf(out, "  %s%s%s%s\n", colour ? on[limit->row.verdict] : "", words[limit->row.verdict],
                       colour ? "\033[0m" : "", limit->row.on_map ? "" : " *");
    }
    swl_buf_puts(out, "margin: spare over limit in %, below 0 when exceeded; of a temperature, over the absolute one\n"
                      "middle: the verdict with every input at its middle; the exit status rests on it; * outside the "
                      "map\n");
}

static void put_index(swl_buf *out, double index, double error)
{
    char text[32];
    if (swl_sobol_tells(index, error)) {
        (void)swl_locale_print(text, sizeof text, "%.1f +- %.1f", 100 * index, 100 * STUDENT_95 * error);
    } else {
        (void)swl_locale_print(text, sizeof text, "~0 (< %.1f)",
                               fmax(0.1, 100 * (fmax(index, 0) + STUDENT_95 * error)));
    }
    swl_buf_printf(out, " %15s", text);
}

static void text_causes_of(swl_buf *out, const swl_spread *spread, const swl_spread_output *output)
{
    size_t order[SWL_INPUTS_MAX];
    swl_spread_rank(spread, output, order);
    const swl_sobol_index *largest = &output->index[order[0]];
    if (isnan(largest->total)) {
        swl_buf_printf(out, "%-29s none of the inputs moves it\n", output->words);
        return;
    }
    size_t shown = 0;
    double rest = 0;
    for (size_t i = 0; i < spread->input_count; i++) {
        const swl_sobol_index *index = &output->index[order[i]];
        bool tells = swl_sobol_tells(index->total, index->total_error);
        if (i < CAUSES_MAX && (i == 0 || (tells && index->total >= 0.005))) {
            swl_buf_printf(out, "%-29s %-36s", i == 0 ? output->words : "",
                           swl_spread_input_name(&spread->inputs[order[i]].of).text);
            put_index(out, index->first, index->first_error);
            put_index(out, index->total, index->total_error);
            swl_buf_puts(out, "\n");
            shown++;
        } else {
            rest = fmax(rest, index->total);
        }
    }
    if (shown < spread->input_count && rest > 0) {
        swl_buf_printf(out, "%-29s %zu more, each %.1f or less\n", "", spread->input_count - shown,
                       fmax(0.1, ceil(1000 * rest) / 10));
    }
}

static void text_causes(swl_buf *out, const swl_spread *spread)
{
    swl_buf_printf(out, "\n%-29s %-36s %15s %15s\n%-29s %-36s %15s %15s\n", "What the spread comes from", "",
                   "% of variance", "% of variance", "", "", "by itself", "in all");
    for (size_t k = 0; k < spread->output_count; k++) {
        const swl_spread_output *output = &spread->outputs[k];
        if (!output->is_margin && isfinite(output->middle)) {
            text_causes_of(out, spread, output);
        }
    }
    swl_buf_puts(out, "in all: with its part in all interplay of inputs; ~0: not told from none by these samples\n");
}

void swl_report_spread_text(swl_buf *out, const swl_build *build, const swl_spread *spread, const swl_notes *notes,
                            swl_units units, bool colour)
{
    swl_buf_puts(out, "Build   ");
    swl_report_wrap(out, build->name, SWL_PAGE_WIDTH - 8, "        ");
    swl_buf_printf(out, "Unit    %s\n", build->blower.name);
    text_inputs(out, spread, units);
    text_tables(out, spread, units);
    text_outputs(out, spread, units);
    text_limits(out, spread, units, colour);
    text_causes(out, spread);
    swl_report_foot(out, notes);
}

void swl_report_spread_csv(swl_buf *out, const swl_spread *spread, swl_units units)
{
    static const char *const parts[] = {"5 %", "50 %", "95 %"};
    swl_buf_puts(out, "engine speed [rpm]");
    for (size_t c = 0; c < SWL_SPREAD_COLUMNS; c++) {
        const swl_spread_column *column = &swl_spread_columns[c];
        const char *unit = swl_shown_as(column->show, units).unit;
        for (size_t p = 0; p < 3; p++) {
            swl_buf_printf(out, ",%s %s", column->words, parts[p]);
            swl_buf_printf(out, unit[0] == '\0' ? "%s" : " [%s]", unit);
        }
    }
    swl_buf_puts(out, ",off map [%],no operating point [%]\n");
    for (size_t i = 0; i < spread->row_count; i++) {
        const swl_spread_row *row = &spread->rows[i];
        swl_buf_printf(out, "%.10g", row->engine_rpm);
        for (size_t c = 0; c < SWL_SPREAD_COLUMNS; c++) {
            const swl_interval *of = &row->of[swl_spread_columns[c].quantity];
            const double values[] = {of->p05, of->p50, of->p95};
            for (size_t p = 0; p < 3; p++) {
                swl_buf_puts(out, ",");
                if (isfinite(values[p])) {
                    swl_buf_printf(out, "%.10g", swl_shown_value(values[p], swl_spread_columns[c].show, units));
                }
            }
        }
        swl_buf_puts(out, ",");
        if (isfinite(row->off_map_frac)) {
            swl_buf_printf(out, "%.10g", 100 * row->off_map_frac);
        }
        swl_buf_printf(out, ",%.10g\n", 100 * row->no_point_frac);
    }
}
