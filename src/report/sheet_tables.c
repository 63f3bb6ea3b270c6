#include "report/sheet.h"

#include "report/columns.h"
#include "report/limits.h"
#include "report/margin.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Heads of a column of numbers: what it is, and its unit below. */
static void number_head(swl_buf *out, const char *top, const char *bottom)
{
    swl_buf_puts(out, "<th scope=\"col\" class=\"n\">");
    swl_html_text(out, top);
    if (bottom[0] != '\0') {
        swl_buf_puts(out, "<br />");
        swl_html_text(out, bottom);
    }
    swl_buf_puts(out, "</th>");
}

static const swl_limit_row *limit_named(const swl_check *check, const char *name)
{
    for (size_t i = 0; check != NULL && i < check->limit_count; i++) {
        if (strcmp(check->limits[i].name, name) == 0) {
            return &check->limits[i];
        }
    }
    return NULL;
}

static void put_margin(swl_buf *out, double margin_frac)
{
    swl_buf_puts(out, "<td class=\"n\">");
    swl_margin_put(out, 0, margin_frac);
    swl_buf_puts(out, "</td>");
}

/* The verdict, then what it rests on, so that it is seen on a narrow page too. */
static void limit_cells(swl_buf *out, const swl_limit_row *row, bool brief, swl_units units)
{
    swl_shown shown = swl_shown_as(row->show, units);
    int decimals = swl_spare_decimals(row, units);
    swl_buf_puts(out, "<td>");
    swl_html_verdict(out, row->verdict, row->on_map);
    swl_buf_puts(out, "</td>");
    if (isinf(row->value)) {
        /* Injectors through which nothing flows would have to be open for ever. */
        swl_html_cell(out, "n", "no flow");
    } else {
        swl_html_number(out, swl_shown_value(row->value, row->show, units), decimals);
    }
    swl_html_number(out, swl_shown_value(row->limit, row->show, units), shown.decimals);
    if (!brief) {
        /* A difference of temperatures has no shift. */
        swl_html_number(out, (row->limit - row->value) * shown.scale, decimals);
    }
    put_margin(out, row->margin_frac);
    swl_html_number(out, row->engine_rpm, 0);
}

static void limit_name(swl_buf *out, const swl_limit_row *row, swl_units units)
{
    const char *unit = swl_shown_as(row->show, units).unit;
    swl_buf_puts(out, "<tr><th scope=\"row\">");
    swl_html_printf(out, "%s%s%s", row->words, unit[0] == '\0' ? "" : ", ", unit);
    swl_buf_puts(out, "</th>");
}

static void verdicts_of_one(swl_buf *out, const swl_sheet *sheet)
{
    const swl_check *check = sheet->builds[0].check;
    swl_html_table_open(out, NULL, "Each limit with its value where it is worst; margin is the spare over the limit");
    swl_buf_puts(out, "<thead><tr><th scope=\"col\">Limit</th><th scope=\"col\">Verdict</th>");
    number_head(out, "Value", "");
    number_head(out, "Limit", "");
    number_head(out, "Spare", "");
    number_head(out, "Margin, %", "");
    number_head(out, "Worst at, rpm", "");
    swl_buf_puts(out, "</tr></thead>\n<tbody>\n");
    for (size_t i = 0; i < check->limit_count; i++) {
        limit_name(out, &check->limits[i], sheet->units);
        limit_cells(out, &check->limits[i], false, sheet->units);
        swl_buf_puts(out, "</tr>\n");
    }
    swl_buf_puts(out, "</tbody>\n");
    swl_html_table_close(out);
}

static void verdicts_of_two(swl_buf *out, const swl_sheet *sheet)
{
    const swl_check *checks[] = {sheet->builds[0].check, sheet->builds[1].check};
    swl_html_table_open(out, NULL,
                        "Each limit of both builds with its value where it is worst; margin is the spare over the "
                        "limit");
    swl_buf_puts(out, "<thead><tr><td></td><th scope=\"colgroup\" colspan=\"5\">A</th><th scope=\"colgroup\" "
                      "colspan=\"5\">B</th></tr>\n<tr><th scope=\"col\">Limit</th>");
    for (size_t i = 0; i < 2; i++) {
        swl_buf_puts(out, "<th scope=\"col\">Verdict</th>");
        number_head(out, "Value", "");
        number_head(out, "Limit", "");
        number_head(out, "Margin, %", "");
        number_head(out, "At, rpm", "");
    }
    swl_buf_puts(out, "</tr></thead>\n<tbody>\n");
    for (size_t i = 0; i < 2; i++) {
        for (size_t k = 0; checks[i] != NULL && k < checks[i]->limit_count; k++) {
            const char *name = checks[i]->limits[k].name;
            if (i == 1 && limit_named(checks[0], name) != NULL) {
                continue;
            }
            limit_name(out, &checks[i]->limits[k], sheet->units);
            for (size_t b = 0; b < 2; b++) {
                const swl_limit_row *row = limit_named(checks[b], name);
                if (row != NULL) {
                    limit_cells(out, row, true, sheet->units);
                } else {
                    swl_buf_puts(out, "<td colspan=\"5\">not given</td>");
                }
            }
            swl_buf_puts(out, "</tr>\n");
        }
    }
    swl_buf_puts(out, "</tbody>\n");
    swl_html_table_close(out);
}

void swl_sheet_verdicts(swl_buf *out, const swl_sheet *sheet)
{
    size_t limits = 0;
    bool starred = false;
    for (size_t i = 0; i < sheet->count; i++) {
        const swl_check *check = sheet->builds[i].check;
        limits += check == NULL ? 0 : check->limit_count;
        for (size_t k = 0; check != NULL && k < check->limit_count; k++) {
            starred = starred || !check->limits[k].on_map;
        }
    }
    if (limits == 0) {
        swl_html_paragraph(out, NULL, "No limit is given, so none was checked.");
        return;
    }
    if (sheet->count == 1) {
        verdicts_of_one(out, sheet);
    } else {
        verdicts_of_two(out, sheet);
    }
    if (starred) {
        swl_html_paragraph(out, NULL,
                           "* rests on a point outside the map's data or the pump's, whose edge is held: no verdict to "
                           "build on.");
    }
    swl_html_paragraph(out, "soft",
                       "CLOSE: less than 5 % to spare. The margin of a temperature is over the absolute "
                       "temperature.");
}

static void open_of(swl_buf *out, const swl_sheet *sheet, size_t build, const char *words)
{
    swl_buf caption = {0};
    if (sheet->count > 1) {
        swl_buf_printf(&caption, "%c: ", swl_sheet_letter(build));
    }
    swl_buf_puts(&caption, words);
    swl_html_table_open(out, NULL, swl_buf_text(&caption));
    out->failed = out->failed || caption.failed;
    swl_buf_free(&caption);
}

void swl_sheet_line(swl_buf *out, const swl_sheet *sheet, size_t build)
{
    const swl_check *check = sheet->builds[build].check;
    open_of(out, sheet, build, "Operating line, wide-open throttle; crank: estimated power");
    swl_buf_puts(out, "<thead><tr>");
    for (size_t c = 0; c < SWL_COLUMNS; c++) {
        const swl_column *column = &swl_columns[c];
        if (column->width > 0) {
            number_head(out, column->top,
                        column->bottom[0] != '\0' ? column->bottom : swl_shown_as(column->show, sheet->units).unit);
        }
    }
    bool power = !isnan(check->basis.indicated_eff_frac);
    swl_shown shown = swl_shown_as(SWL_SHOW_POWER, sheet->units);
    if (power) {
        number_head(out, "crank", shown.unit);
    }
    swl_buf_puts(out, "<th scope=\"col\">map</th></tr></thead>\n<tbody>\n");
    for (size_t i = 0; i < check->line_count; i++) {
        const swl_point *point = &check->line[i];
        swl_buf_printf(out, "<tr><th scope=\"row\" class=\"n\">%.0f</th>", point->engine_rpm);
        for (size_t c = 1; c < SWL_COLUMNS; c++) {
            const swl_column *column = &swl_columns[c];
            if (column->width > 0) {
                swl_html_number(out,
                                swl_shown_value(swl_point_number(point, column->value), column->show, sheet->units),
                                swl_shown_as(column->show, sheet->units).decimals);
            }
        }
        if (power) {
            swl_html_number(out, swl_shown_value(check->power[i].crank_w, SWL_SHOW_POWER, sheet->units),
                            shown.decimals);
        }
        swl_html_cell(out, NULL, point->map_where == SWL_MAP_INSIDE ? "in" : "outside");
        swl_buf_puts(out, "</tr>\n");
    }
    swl_buf_puts(out, "</tbody>\n");
    swl_html_table_close(out);
    swl_buf slip = {0};
    swl_slip_words(&slip, sheet->builds[build].build);
    if (slip.len > 0) {
        swl_buf_puts(&slip, ".");
        swl_html_paragraph(out, "soft small", swl_buf_text(&slip));
    }
    out->failed = out->failed || slip.failed;
    swl_buf_free(&slip);
}

static bool power_shown(const swl_check *check, size_t best, const swl_power_column *column)
{
    return column->json[0] != 'w' || !isnan(check->power[best].wheel_w);
}

void swl_sheet_power(swl_buf *out, const swl_sheet *sheet, size_t build)
{
    const swl_check *check = sheet->builds[build].check;
    if (isnan(check->basis.indicated_eff_frac)) {
        return; /* a note says why */
    }
    size_t best = swl_power_best(check);
    swl_buf words = {0};
    swl_buf_puts(&words, "Estimated power; ");
    swl_power_basis_words(&words, check);
    open_of(out, sheet, build, swl_buf_text(&words));
    out->failed = out->failed || words.failed;
    swl_buf_free(&words);
    swl_buf_puts(out, "<thead><tr>");
    number_head(out, "engine", "rpm");
    for (size_t c = 0; c < SWL_POWER_COLUMNS; c++) {
        if (power_shown(check, best, &swl_power_columns[c])) {
            number_head(out, swl_power_columns[c].top, swl_shown_as(swl_power_columns[c].show, sheet->units).unit);
        }
    }
    swl_buf_puts(out, "</tr></thead>\n<tbody>\n");
    for (size_t i = 0; i < check->line_count; i++) {
        if (!swl_row_shown(check->line_count, i) && i != best) {
            continue;
        }
        swl_buf_printf(out, "<tr><th scope=\"row\" class=\"n\">%.0f%s</th>", check->line[i].engine_rpm,
                       i == best ? " highest" : "");
        for (size_t c = 0; c < SWL_POWER_COLUMNS; c++) {
            const swl_power_column *column = &swl_power_columns[c];
            if (power_shown(check, best, column)) {
                swl_html_number(
                    out, swl_shown_value(swl_power_number(&check->power[i], column->value), column->show, sheet->units),
                    swl_shown_as(column->show, sheet->units).decimals);
            }
        }
        swl_buf_puts(out, "</tr>\n");
    }
    swl_buf_puts(out, "</tbody>\n");
    swl_html_table_close(out);
}

static void speed_row(swl_buf *out, const swl_sheet *sheet, size_t i, bool over_rev)
{
    const swl_build *build = sheet->builds[i].build;
    const swl_check *check = sheet->builds[i].check;
    double engine_rpm = build->engine.speed_limit_rpm + (over_rev ? build->engine.over_rev_rpm : 0);
    double blower_rpm = over_rev ? check->blower_rpm_at_over_rev : check->blower_rpm_at_limit;
    const double limits_rpm[] = {build->blower.continuous_rpm, build->blower.short_time_rpm};
    swl_buf_puts(out, "<tr><th scope=\"row\">");
    if (sheet->count > 1) {
        swl_buf_printf(out, "%c, ", swl_sheet_letter(i));
    }
    swl_buf_puts(out, over_rev ? "in an over-rev</th>" : "at the rev limit</th>");
    swl_html_number(out, engine_rpm, 0);
    swl_html_number(out, blower_rpm, 0);
    for (size_t k = 0; k < 2; k++) {
        if (isnan(limits_rpm[k])) {
            swl_html_cell(out, "n", "not stated");
        } else {
            swl_html_number(out, 100 * blower_rpm / limits_rpm[k], 1);
        }
    }
    swl_buf_puts(out, "</tr>\n");
}

void swl_sheet_speeds(swl_buf *out, const swl_sheet *sheet)
{
    swl_html_table_open(out, NULL,
                        "Blower speed without slip, and its share of the limits that the unit's maker states");
    swl_buf_puts(out, "<thead><tr><th scope=\"col\">When</th>");
    number_head(out, "engine", "rpm");
    number_head(out, "blower", "rpm");
    number_head(out, "of continuous", "%");
    number_head(out, "of short-time", "%");
    swl_buf_puts(out, "</tr></thead>\n<tbody>\n");
    for (size_t i = 0; i < sheet->count; i++) {
        if (sheet->builds[i].check != NULL) {
            speed_row(out, sheet, i, false);
            if (sheet->builds[i].build->engine.over_rev_rpm > 0) {
                speed_row(out, sheet, i, true);
            }
        }
    }
    swl_buf_puts(out, "</tbody>\n");
    swl_html_table_close(out);
}

/* A key may be broken behind its underscores. */
static void put_key(swl_buf *out, const char *key)
{
    swl_slice rest = swl_slice_of(key);
    while (rest.at != NULL) {
        char *part = swl_slice_dup(swl_slice_split(&rest, '_'));
        if (part == NULL) {
            out->failed = true;
            return;
        }
        swl_html_text(out, part);
        swl_buf_puts(out, rest.at != NULL ? "_<wbr />" : "");
        free(part);
    }
}

static bool same_key(const swl_input_row *a, const swl_input_row *b)
{
    return a->of_unit == b->of_unit && strcmp(a->section, b->section) == 0 && strcmp(a->key, b->key) == 0;
}

static const swl_input_row *row_of(const swl_input_rows *rows, const swl_input_row *wanted)
{
    for (size_t i = 0; i < rows->count; i++) {
        if (same_key(&rows->items[i], wanted)) {
            return &rows->items[i];
        }
    }
    return NULL;
}

static bool shown_otherwise(const swl_input_row *row)
{
    return row->shown[0] != '\0' && strcmp(row->shown, row->typed) != 0;
}

static void cells_of_one(swl_buf *out, const swl_input_row *row)
{
    swl_html_cell(out, row->given ? "typed" : NULL, row->given ? row->typed : "filled in");
    swl_html_cell(out, NULL, shown_otherwise(row) ? row->shown : "as typed");
}

/* What was typed, what it is used as where that reads otherwise, and in B only what A has not. */
static void cell_of_two(swl_buf *out, const swl_input_row *row, const swl_input_row *other)
{
    if (row == NULL) {
        swl_html_cell(out, NULL, "not given");
    } else if (other != NULL && row->given == other->given && strcmp(row->typed, other->typed) == 0 &&
               strcmp(row->shown, other->shown) == 0) {
        swl_html_cell(out, NULL, "as A");
    } else {
        swl_buf_puts(out, row->given ? "<td><span class=\"typed\">" : "<td>filled in");
        swl_html_text(out, row->typed);
        swl_buf_puts(out, row->given ? "</span>" : "");
        if (shown_otherwise(row)) {
            swl_html_printf(out, ": %.300s", row->shown);
        }
        swl_buf_puts(out, "</td>");
    }
}

/* The rows of a build, with what the other has beside them; of the second only those that the first has not. */
static void input_rows(swl_buf *out, const swl_sheet *sheet, size_t build, bool of_unit)
{
    const swl_input_rows *rows = sheet->builds[build].rows;
    const swl_input_rows *others = sheet->count > 1 ? sheet->builds[1 - build].rows : NULL;
    const char *section = NULL;
    bool given = true;
    for (size_t i = 0; i < rows->count; i++) {
        const swl_input_row *row = &rows->items[i];
        const swl_input_row *other = others == NULL ? NULL : row_of(others, row);
        if (row->of_unit != of_unit || (build == 1 && other != NULL)) {
            continue;
        }
        if (section == NULL || strcmp(row->section, section) != 0 || row->given != given) {
            swl_buf_puts(out, section == NULL ? "<tbody>\n" : "</tbody>\n<tbody>\n");
            swl_buf_puts(out, "<tr class=\"group\"><th scope=\"rowgroup\" colspan=\"3\">");
            swl_html_printf(out, "[%s]%s%s", row->section, row->given ? "" : ", filled in",
                            build == 1 ? ", in B only" : "");
            swl_buf_puts(out, "</th></tr>\n");
            section = row->section;
            given = row->given;
        }
        swl_buf_puts(out, "<tr><th scope=\"row\">");
        put_key(out, row->key);
        swl_buf_puts(out, "</th>");
        if (sheet->count == 1) {
            cells_of_one(out, row);
        } else {
            cell_of_two(out, build == 0 ? row : NULL, NULL);
            cell_of_two(out, build == 0 ? other : row, build == 0 ? row : NULL);
        }
        swl_buf_puts(out, "</tr>\n");
    }
    swl_buf_puts(out, section == NULL ? "" : "</tbody>\n");
}

static void left_out(swl_buf *out, const swl_sheet *sheet, size_t build, bool of_unit)
{
    const swl_input_rows *rows = sheet->builds[build].rows;
    const char *words = of_unit ? rows->left_out_unit : rows->left_out;
    if (words[0] == '\0') {
        return;
    }
    swl_buf_puts(out, "<p class=\"soft small\">");
    if (sheet->count > 1) {
        swl_buf_printf(out, "%c: ", swl_sheet_letter(build));
    }
    swl_buf_puts(out, "Not given, and nothing stands in for it: ");
    put_key(out, words);
    swl_buf_puts(out, ".</p>\n");
}

void swl_sheet_inputs(swl_buf *out, const swl_sheet *sheet)
{
    bool two = sheet->count > 1;
    for (int of_unit = 0; of_unit < 2; of_unit++) {
        swl_html_table_open(out, "inputs", of_unit ? "Unit file, every key as read" : "Build file, every key as read");
        swl_buf_puts(out, "<thead><tr><th scope=\"col\">Key</th>");
        swl_html_head(out, NULL, "col", two ? "A, as typed: as used" : "As typed");
        swl_html_head(out, NULL, "col", two ? "B" : "Used as");
        swl_buf_puts(out, "</tr></thead>\n");
        for (size_t i = 0; i < sheet->count; i++) {
            input_rows(out, sheet, i, of_unit == 1);
        }
        swl_html_table_close(out);
        for (size_t i = 0; i < sheet->count; i++) {
            const swl_input_rows *first = sheet->builds[0].rows;
            const swl_input_rows *rows = sheet->builds[i].rows;
            bool again = i == 1 && strcmp(of_unit ? rows->left_out_unit : rows->left_out,
                                          of_unit ? first->left_out_unit : first->left_out) == 0;
            if (!again) {
                left_out(out, sheet, i, of_unit == 1);
            }
        }
    }
}

void swl_sheet_files(swl_buf *out, const swl_sheet *sheet)
{
    swl_html_table_open(out, NULL, "Every file that was read, and the SHA-256 of its bytes");
    swl_buf_puts(out, "<thead><tr><th scope=\"col\">File</th><th scope=\"col\" class=\"n\">Bytes</th><th "
                      "scope=\"col\">SHA-256</th></tr></thead>\n<tbody>\n");
    for (size_t i = 0; i < sheet->file_count; i++) {
        const swl_sheet_file *file = &sheet->files[i];
        swl_buf_puts(out, "<tr>");
        swl_html_head(out, NULL, "row", strcmp(file->path, "-") == 0 ? "standard input" : file->path);
        swl_buf_printf(out, "<td class=\"n\">%zu</td>", file->bytes);
        swl_html_cell(out, "hash", file->sha256);
        swl_buf_puts(out, "</tr>\n");
    }
    swl_buf_puts(out, "</tbody>\n");
    swl_html_table_close(out);
}
