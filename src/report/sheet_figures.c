#include "report/sheet.h"

#include "report/columns.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* Points that carry their numbers on a picture at most; the table has all. */
enum { POINTS_MAX = 120 };

static void put_value(swl_buf *out, double si, swl_show show, swl_units units)
{
    swl_report_value(out, si, show, units);
}

/* The numbers of one row, a quantity each, with "; " between. */
static void point_words(const swl_point *point, const swl_power *power, swl_units units, swl_buf *out)
{
    swl_buf_printf(out, "%.0f rpm", point->engine_rpm);
    if (point->map_where != SWL_MAP_INSIDE) {
        swl_buf_puts(out, ", outside the map's data");
    }
    for (size_t c = 1; c < SWL_COLUMNS; c++) {
        const swl_column *column = &swl_columns[c];
        if (column->width > 0) {
            swl_buf_printf(out, "; %s ", column->csv);
            put_value(out, swl_point_number(point, column->value), column->show, units);
        }
    }
    if (!isnan(power->crank_w)) {
        swl_buf_puts(out, "; estimated crank power ");
        put_value(out, power->crank_w, SWL_SHOW_POWER, units);
    }
}

/* A picture's size, from the file itself. */
static bool size_of(const char *svg, double *width, double *height)
{
    static const char opens[] = "viewBox=\"0 0 ";
    const char *at = strstr(svg, opens);
    if (at == NULL) {
        return false;
    }
    swl_slice rest = swl_slice_of(at + sizeof opens - 1);
    swl_fault fault;
    swl_slice box = swl_slice_split(&rest, '"');
    swl_slice first = swl_slice_split(&box, ' ');
    return swl_number_read(first, width, &fault) && box.at != NULL && swl_number_read(box, height, &fault);
}

/* What is hovered over or stepped through on a picture. Each lies over its place and carries its numbers. */
typedef struct overlay {
    const swl_sheet *sheet;
    size_t build;
    const swl_place *places;
    double width, height;
} overlay;

static size_t every(const swl_check *check)
{
    return 1 + check->line_count / (POINTS_MAX + 1);
}

static bool carries(const swl_check *check, size_t row)
{
    size_t step = every(check);
    return step < 2 || row % step == 0 || row + 1 == check->line_count;
}

static void open_overlay(swl_buf *out, const overlay *o)
{
    swl_buf_printf(out, "<svg xmlns=\"http://www.w3.org/2000/svg\" class=\"points\" viewBox=\"0 0 %g %g\"", o->width,
                   o->height);
}

static void put_points(swl_buf *out, const overlay *o, double radius)
{
    const swl_check *check = o->sheet->builds[o->build].check;
    open_overlay(out, o);
    swl_buf_puts(out, " role=\"group\" aria-label=\"Points of the operating line, by engine speed\">\n");
    for (size_t i = 0; i < check->line_count; i++) {
        swl_buf words = {0};
        const swl_place *place = &o->places[i];
        if (isnan(place->x) || !carries(check, i)) {
            continue;
        }
        point_words(&check->line[i], &check->power[i], o->sheet->units, &words);
        swl_buf_printf(out, "<circle data-set=\"%zu\" data-row=\"%zu\" cx=\"%.1f\" cy=\"%.1f\" r=\"%g\"", o->build, i,
                       place->x, place->y, radius);
        swl_buf_puts(out, " tabindex=\"0\" role=\"img\" aria-label=\"");
        swl_html_text(out, swl_buf_text(&words));
        swl_buf_puts(out, "\"><title>");
        swl_html_text(out, swl_buf_text(&words));
        swl_buf_puts(out, "</title></circle>\n");
        out->failed = out->failed || words.failed;
        swl_buf_free(&words);
    }
    swl_buf_puts(out, "</svg>\n");
}

/* A band about each row, half way to its neighbours. Only for a pointer: the map's points say the same. */
static void put_bands(swl_buf *out, const overlay *o)
{
    const swl_check *check = o->sheet->builds[o->build].check;
    open_overlay(out, o);
    swl_buf_puts(out, " aria-hidden=\"true\">\n");
    double before = NAN;
    size_t step = every(check);
    for (size_t i = 0; i < check->line_count; i++) {
        const swl_place *place = &o->places[i];
        size_t next = i + step < check->line_count ? i + step : check->line_count - 1;
        if (!carries(check, i) || isnan(place->curves_x) || isnan(place->x)) {
            continue;
        }
        double half = next > i ? (o->places[next].curves_x - place->curves_x) / 2 : 6;
        double left = isnan(before) ? place->curves_x - half : before;
        double right = next > i ? place->curves_x + half : place->curves_x + 4;
        swl_buf_printf(out,
                       "<rect data-set=\"%zu\" data-row=\"%zu\" x=\"%.1f\" y=\"%.1f\" width=\"%.1f\" height=\"%.1f\" "
                       "/>\n",
                       o->build, i, left, place->curves_top, right - left, place->curves_bottom - place->curves_top);
        before = right;
    }
    swl_buf_puts(out, "</svg>\n");
}

/* The best along a line of a column, as "highest 73.3 % at 4500 rpm". */
static void put_highest(swl_buf *out, const swl_check *check, swl_number_at value, swl_show show, swl_units units)
{
    const swl_point *best = &check->line[0];
    for (size_t i = 1; i < check->line_count; i++) {
        best = swl_point_number(&check->line[i], value) > swl_point_number(best, value) ? &check->line[i] : best;
    }
    swl_buf_puts(out, "highest ");
    put_value(out, swl_point_number(best, value), show, units);
    swl_buf_printf(out, " at %.0f rpm", best->engine_rpm);
}

static void put_end(swl_buf *out, const swl_point *point, swl_units units)
{
    swl_buf_printf(out, "%.0f rpm (", point->engine_rpm);
    put_value(out, point->map_vdot_m3_s, SWL_SHOW_VOLUME_FLOW, units);
    swl_buf_puts(out, ", pressure ratio ");
    put_value(out, point->p_ratio, SWL_SHOW_RATIO, units);
    swl_buf_puts(out, ", adiabatic efficiency ");
    put_value(out, point->ea_frac, SWL_SHOW_FRACTION, units);
    swl_buf_puts(out, ")");
}

/* What the map shows, in words. */
static void map_words(const swl_sheet *sheet, const swl_sheet_build *one, swl_buf *out)
{
    const swl_check *check = one->check;
    swl_buf_printf(out, "Adiabatic efficiency of %s as bands over inlet volume flow and pressure ratio. ",
                   one->build->blower.name);
    if (check == NULL) {
        swl_buf_puts(out, "This build was not solved, so that there is no operating line on it.");
        return;
    }
    swl_line_tally tally = swl_check_tally(check);
    swl_buf_puts(out, "The operating line runs from ");
    put_end(out, &check->line[0], sheet->units);
    if (check->line_count > 1) {
        swl_buf_puts(out, " to ");
        put_end(out, &check->line[check->line_count - 1], sheet->units);
    }
    swl_buf_puts(out, "; efficiency along it is ");
    put_highest(out, check, (swl_number_at)SWL_OF_POINT(ea_frac), SWL_SHOW_FRACTION, sheet->units);
    if (tally.outside == 0) {
        swl_buf_printf(out, ". All %zu points lie inside the map's data.", tally.points);
    } else {
        swl_buf_printf(out, ". %zu of %zu points lie outside the map's data, where the line is dashed.", tally.outside,
                       tally.points);
    }
}

/* Which limits are drawn on it, for whoever does not see it. */
static void limit_words(const swl_sheet *sheet, const swl_sheet_build *one, swl_buf *out)
{
    for (size_t k = 0; k < one->trace_count; k++) {
        swl_buf_printf(out, " The %s of %.0f rpm %s.", one->traces[k].words, one->traces[k].blower_rpm,
                       one->traces[k].inside ? "is drawn, hatched on its forbidden side"
                                             : "lies beyond the map and is not drawn");
    }
    if (!isnan(one->build->limits.t_discharge_k)) {
        swl_buf_puts(out, " The discharge temperature limit of ");
        put_value(out, one->build->limits.t_discharge_k, SWL_SHOW_TEMPERATURE, sheet->units);
        swl_buf_puts(out, " is drawn where the map reaches it.");
    }
}

static swl_status put_plot(swl_buf *out, const swl_sheet_drawing *drawing, overlay *o, const swl_html_picture *picture,
                           int width, bool curves, swl_err *err)
{
    const char *svg = swl_buf_text(&drawing->svg);
    swl_buf_printf(out, "<div class=\"plot %s\">\n", width == SWL_SHEET_NARROW ? "narrow" : "broad");
    swl_status status = swl_html_svg(out, picture, svg, err);
    o->places = drawing->places;
    if (status == SWL_OK && o->places != NULL && size_of(svg, &o->width, &o->height)) {
        if (curves) {
            put_bands(out, o);
        } else {
            put_points(out, o, width == SWL_SHEET_NARROW ? 9 : 11);
        }
    }
    swl_buf_puts(out, "</div>\n");
    return status;
}

swl_status swl_sheet_map(swl_buf *out, const swl_sheet *sheet, size_t build, swl_err *err)
{
    static const char *const prefixes[SWL_SHEET_BUILDS_MAX][SWL_SHEET_WIDTHS] = {{"am-", "an-"}, {"bm-", "bn-"}};
    const swl_sheet_build *one = &sheet->builds[build];
    swl_buf words = {0};
    swl_buf described = {0};
    swl_buf name = {0};
    overlay o = {.sheet = sheet, .build = build};
    map_words(sheet, one, &words);
    swl_buf_puts(&described, swl_buf_text(&words));
    limit_words(sheet, one, &described);
    swl_buf_printf(&name, "Operating line on the map of %s", one->build->blower.name);
    swl_status status = SWL_OK;
    swl_buf_puts(out, "<figure>\n");
    for (int width = 0; width < SWL_SHEET_WIDTHS && status == SWL_OK; width++) {
        swl_html_picture picture = {.class = "picture",
                                    .prefix = prefixes[build][width],
                                    .name = swl_buf_text(&name),
                                    .words = swl_buf_text(&described)};
        status = put_plot(out, &one->map[width], &o, &picture, width, false, err);
    }
    swl_buf_puts(out, "<figcaption>");
    if (sheet->count > 1) {
        swl_buf_printf(out, "%c: ", swl_sheet_letter(build));
    }
    swl_html_text(out, swl_buf_text(&words));
    swl_buf_puts(out, "</figcaption>\n</figure>\n");
    out->failed = out->failed || words.failed || described.failed || name.failed;
    swl_buf_free(&words);
    swl_buf_free(&described);
    swl_buf_free(&name);
    return status;
}

/* First, highest and last of what matters over engine speed. */
static void curves_words(const swl_sheet *sheet, const swl_sheet_build *one, swl_buf *out)
{
    static const size_t shown[] = {8, 10, 15, 16, 17};
    const swl_check *check = one->check;
    const char *separator = "";
    for (size_t k = 0; k < sizeof shown / sizeof shown[0]; k++) {
        const swl_column *column = &swl_columns[shown[k]];
        swl_buf_printf(out, "%s%s ", separator, column->csv);
        put_value(out, swl_point_number(&check->line[0], column->value), column->show, sheet->units);
        swl_buf_printf(out, " at %.0f rpm, ", check->line[0].engine_rpm);
        put_highest(out, check, column->value, column->show, sheet->units);
        separator = "; ";
    }
    swl_buf_puts(out, ".");
}

swl_status swl_sheet_curves(swl_buf *out, const swl_sheet *sheet, swl_err *err)
{
    static const char *const prefixes[SWL_SHEET_WIDTHS] = {"cw-", "cn-"};
    swl_buf words = {0};
    overlay o = {.sheet = sheet, .build = 0};
    swl_buf_puts(&words, "Over engine speed: ");
    for (size_t i = 0; i < sheet->count; i++) {
        if (sheet->builds[i].check != NULL) {
            if (sheet->count > 1) {
                swl_buf_printf(&words, "%s%c: ", i > 0 ? " " : "", swl_sheet_letter(i));
            }
            curves_words(sheet, &sheet->builds[i], &words);
        }
    }
    swl_status status = SWL_OK;
    swl_buf_puts(out, "<figure>\n");
    for (int width = 0; width < SWL_SHEET_WIDTHS && status == SWL_OK; width++) {
        swl_html_picture picture = {.class = "picture",
                                    .prefix = prefixes[width],
                                    .name = "Curves over engine speed",
                                    .words = swl_buf_text(&words)};
        status = put_plot(out, &sheet->curves[width], &o, &picture, width, true, err);
    }
    swl_buf_puts(out, "<figcaption>");
    swl_html_text(out, swl_buf_text(&words));
    swl_buf_puts(out, "</figcaption>\n</figure>\n");
    out->failed = out->failed || words.failed;
    swl_buf_free(&words);
    return status;
}
