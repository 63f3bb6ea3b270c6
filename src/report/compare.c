#include "sweptline/csv.h"

#include "base/locale_c.h"
#include "sweptline/report.h"

#include "report/margin.h"
#include "report/value.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* A row is a head and a cell of value, star and word for each build; six fit the page. With two or three builds the
 * differences to the first have columns of their own. */
enum { HEAD_WIDTH = 25, CHANGE_WIDTH = 10 };

static char letter(size_t build)
{
    return (char)('A' + (int)build);
}

static bool has_changes(const swl_compare *compare)
{
    return compare->count <= 3;
}

/* Appends a row without its trailing blanks. */
static void put_row(swl_buf *out, const swl_buf *row)
{
    const char *text = swl_buf_text(row);
    size_t n = row->len;
    while (n > 0 && text[n - 1] == ' ') {
        n--;
    }
    swl_buf_put(out, text, n);
    swl_buf_puts(out, "\n");
    out->failed = out->failed || row->failed;
}

static void put_build(swl_buf *out, const swl_compare_report *report, size_t i, swl_units units)
{
    const swl_compare_build *one = &report->compare->builds[i];
    const swl_build *build = &one->build;
    swl_buf_printf(out, "%c  ", letter(i));
    swl_report_wrap(out, report->files[i], SWL_PAGE_WIDTH - 3, "   ");
    swl_buf_puts(out, "   ");
    swl_report_wrap(out, build->name, SWL_PAGE_WIDTH - 3, "   ");
    swl_buf unit = {0};
    swl_put_unit(&unit, &build->blower, units);
    swl_buf_puts(out, "   ");
    swl_report_wrap(out, swl_buf_text(&unit), SWL_PAGE_WIDTH - 3, "   ");
    swl_buf_free(&unit);
    if (!one->solved) {
        swl_buf_puts(out, "   NOT SOLVED: ");
        swl_buf why = {0};
        swl_report_compare_failure(&why, report->compare, i, units);
        swl_report_wrap(out, swl_buf_text(&why), SWL_PAGE_WIDTH - 15, "   ");
        swl_buf_free(&why);
        return;
    }
    swl_shown length = swl_shown_as(SWL_SHOW_LENGTH, units);
    swl_buf_puts(out, "   ");
    swl_report_value(out, build->drive.d_crank_m, SWL_SHOW_LENGTH, units);
    swl_buf_puts(out, " crank pulley on ");
    if (report->compare->wish.goal == SWL_COMPARE_AS_FITTED) {
        swl_report_value(out, build->drive.d_blower_m, SWL_SHOW_LENGTH, units);
        swl_buf_puts(out, " blower pulley");
    } else {
        /* Two digits more than is turned on a lathe, so that the figures below follow from it. */
        swl_buf_printf(out, "%.*f %s blower pulley, solved ", length.decimals + 2,
                       build->drive.d_blower_m * length.scale, length.unit);
        if (!one->solved_on_map) {
            swl_buf_printf(out, "OFF ITS MAP* at %.0f rpm ", one->solved_rpm);
        }
        swl_buf_puts(out, "(fitted ");
        swl_report_value(out, one->fitted_m, SWL_SHOW_LENGTH, units);
        swl_buf_puts(out, ")");
    }
    swl_buf_printf(out, ", ratio %.4f\n", one->check.drive_ratio);
}

/* The site, once where all builds have the same. */
static void put_sites(swl_buf *out, const swl_compare *compare, swl_units units)
{
    swl_buf first = {0};
    bool alike = true;
    swl_report_site(&first, &compare->builds[0].build.site, units);
    for (size_t i = 1; i < compare->count; i++) {
        swl_buf other = {0};
        swl_report_site(&other, &compare->builds[i].build.site, units);
        out->failed = out->failed || first.failed || other.failed;
        alike = alike && strcmp(swl_buf_text(&first), swl_buf_text(&other)) == 0;
        swl_buf_free(&other);
    }
    for (size_t i = 0; i < (alike ? 1 : compare->count); i++) {
        swl_buf_puts(out, "Site ");
        if (!alike) {
            swl_buf_printf(out, "of %c  ", letter(i));
        }
        swl_report_site(out, &compare->builds[i].build.site, units);
        swl_buf_puts(out, "\n");
    }
    swl_buf_free(&first);
}

/* "[engine] displacement: 4.40 L in A and C, 4.60 L in B" */
static void put_difference(swl_buf *out, const swl_difference *item, size_t count)
{
    swl_buf text = {0};
    swl_buf_printf(&text, "[%s] %s: ", item->section, item->key);
    const char *separator = "";
    for (size_t i = 0; i < count; i++) {
        size_t before = 0;
        while (before < i && strcmp(item->value[before], item->value[i]) != 0) {
            before++;
        }
        if (before < i) {
            continue;
        }
        swl_buf_printf(&text, "%s%s in %c", separator, item->value[i], letter(i));
        for (size_t k = i + 1; k < count; k++) {
            if (strcmp(item->value[k], item->value[i]) == 0) {
                swl_buf_printf(&text, ", %c", letter(k));
            }
        }
        separator = "; ";
    }
    swl_buf_puts(out, "- ");
    swl_report_wrap(out, swl_buf_text(&text), SWL_PAGE_WIDTH - 2, "  ");
    out->failed = out->failed || text.failed;
    swl_buf_free(&text);
}

static void put_differences(swl_buf *out, const swl_compare_report *report)
{
    for (int expected = 1; expected >= 0; expected--) {
        size_t n = 0;
        swl_buf_puts(out, expected ? "\nWhat is compared: donor unit and drive, as in the files\n"
                                   : "\nWhat else differs in the files\n");
        for (size_t k = 0; k < report->differences->count; k++) {
            const swl_difference *item = &report->differences->items[k];
            if (item->expected == (expected == 1)) {
                put_difference(out, item, report->compare->count);
                n++;
            }
        }
        if (n == 0) {
            swl_buf_puts(out, expected ? "- nothing: unit and drive are the same\n" : "- nothing\n");
        }
    }
}

static void put_head(swl_buf *out, const swl_compare *compare, const char *title)
{
    swl_buf row = {0};
    swl_buf_printf(&row, "%-*s", HEAD_WIDTH, title);
    for (size_t i = 0; i < compare->count; i++) {
        swl_buf_printf(&row, "%7c     ", letter(i));
    }
    for (size_t i = 0; i < compare->count && has_changes(compare); i++) {
        if (i != compare->first) {
            swl_buf_printf(&row, "%*s%c - %c", CHANGE_WIDTH - 5, "", letter(i), letter(compare->first));
        }
    }
    put_row(out, &row);
    swl_buf_free(&row);
}

/* A cell: the value, a star where it rests on a point outside the map, and a word. */
static void put_cell(swl_buf *row, const swl_compare_quantity *quantity, const swl_compare_value *value, bool best,
                     swl_units units, bool colour)
{
    swl_shown shown = swl_shown_as(quantity->show, units);
    bool bold = best && colour;
    if (!isfinite(value->value)) {
        swl_buf_printf(row, "%7s     ", "-");
        return;
    }
    swl_buf_printf(row, "%s%7.*f%s%s%s", bold ? "\033[1m" : "", shown.decimals,
                   swl_shown_value(value->value, quantity->show, units), value->on_map ? " " : "*",
                   best ? "best" : "    ", bold ? "\033[0m" : "");
}

static void put_change(swl_buf *row, const swl_compare_quantity *quantity, double change, swl_units units)
{
    swl_shown shown = swl_shown_as(quantity->show, units);
    double value = change * shown.scale;
    /* No "-0.0". */
    if (!isfinite(change)) {
        swl_buf_printf(row, "%*s", CHANGE_WIDTH, "-");
    } else if (fabs(value) < 0.5 * pow(10, -shown.decimals)) {
        swl_buf_printf(row, "%*.*f", CHANGE_WIDTH, shown.decimals, 0.0);
    } else {
        swl_buf_printf(row, "%+*.*f", CHANGE_WIDTH, shown.decimals, value);
    }
}

/* A row of one quantity; none where no build has it. */
static void put_quantity(swl_buf *out, const swl_compare *compare, const swl_compare_quantity *quantity,
                         const swl_compare_value *const *values, swl_units units, bool colour)
{
    size_t there = 0;
    for (size_t i = 0; i < compare->count; i++) {
        there += isnan(values[i]->value) ? 0 : 1;
    }
    if (there == 0) {
        return;
    }
    swl_buf row = {0};
    char head[64];
    const char *unit = swl_shown_as(quantity->show, units).unit;
    (void)snprintf(head, sizeof head, "%s%s%s", quantity->words, unit[0] == '\0' ? "" : ", ", unit);
    swl_buf_printf(&row, "%-*s", HEAD_WIDTH, head);
    size_t best = swl_compare_best(quantity, values, compare->count);
    for (size_t i = 0; i < compare->count; i++) {
        put_cell(&row, quantity, values[i], i == best, units, colour);
    }
    for (size_t i = 0; i < compare->count && has_changes(compare); i++) {
        if (i != compare->first) {
            put_change(&row, quantity, values[i]->value - values[compare->first]->value, units);
        }
    }
    put_row(out, &row);
    swl_buf_free(&row);
}

static void put_speeds(swl_buf *out, const swl_compare *compare, swl_units units, bool colour)
{
    for (size_t k = 0; k < compare->speed_count; k++) {
        char title[40];
        (void)swl_locale_print(title, sizeof title, "At %.6g rpm", compare->speeds_rpm[k]);
        swl_buf_puts(out, "\n");
        put_head(out, compare, title);
        for (size_t q = 0; q < SWL_COMPARE_VALUES; q++) {
            const swl_compare_value *values[SWL_COMPARE_MOST];
            for (size_t i = 0; i < compare->count; i++) {
                values[i] = &compare->builds[i].at[k][q];
            }
            put_quantity(out, compare, &swl_compare_values[q], values, units, colour);
        }
    }
}

/* Where the highest stands, unless it is each build's rev limit. */
static void put_where(swl_buf *out, const swl_compare *compare, const swl_compare_value *const *values)
{
    bool elsewhere = false;
    swl_buf row = {0};
    swl_buf_printf(&row, "%-*s", HEAD_WIDTH, "  at, rpm");
    for (size_t i = 0; i < compare->count; i++) {
        if (isnan(values[i]->engine_rpm)) {
            swl_buf_printf(&row, "%7s     ", "-");
            continue;
        }
        elsewhere = elsewhere || values[i]->engine_rpm < compare->builds[i].build.engine.speed_limit_rpm;
        swl_buf_printf(&row, "%7.0f     ", values[i]->engine_rpm);
    }
    if (elsewhere) {
        put_row(out, &row);
    }
    swl_buf_free(&row);
}

static void put_figures(swl_buf *out, const swl_compare *compare, size_t from, size_t to, swl_units units, bool colour)
{
    for (size_t q = from; q <= to; q++) {
        const swl_compare_value *values[SWL_COMPARE_MOST];
        for (size_t i = 0; i < compare->count; i++) {
            values[i] = &compare->builds[i].figures[q];
        }
        put_quantity(out, compare, &swl_compare_figures[q], values, units, colour);
        if (q <= SWL_FIGURE_WHEEL_POWER) {
            put_where(out, compare, values);
        }
    }
}

static void put_range(swl_buf *out, const swl_compare *compare, swl_units units, bool colour)
{
    swl_buf_puts(out, "\n");
    put_head(out, compare, "Highest of the rev range");
    put_figures(out, compare, SWL_FIGURE_BOOST, SWL_FIGURE_WHEEL_POWER, units, colour);
    swl_buf_puts(out, "highest at the rev limit where no speed is told\n\n");
    put_head(out, compare, "Adiabatic efficiency");
    put_figures(out, compare, SWL_FIGURE_EFFICIENCY_MEAN, SWL_FIGURE_EFFICIENCY_BEST, units, colour);
    swl_buf_puts(out, "mean over the rev range by engine speed; best of the map's own points\n\n");
    put_head(out, compare, "Share of the rev range");
    put_figures(out, compare, SWL_FIGURE_SHARE_OWN_BEST, SWL_FIGURE_SHARE_OUTSIDE, units, colour);
    swl_buf text = {0};
    swl_buf_printf(&text,
                   "near its own best: inside the map, within %.0f points of the best of its own map; common level: "
                   "%.0f %%, the highest multiple of %.0f that every map has points at",
                   100 * SWL_COMPARE_ISLAND_FRAC, 100 * compare->common_level_frac, 100 * SWL_COMPARE_LEVEL_STEP_FRAC);
    swl_report_wrap(out, swl_buf_text(&text), SWL_PAGE_WIDTH, "");
    swl_buf_free(&text);
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

static void put_limit(swl_buf *out, const swl_compare *compare, const char *name, bool colour)
{
    static const char *const words[] = {"     ", "close", "OVER "};
    swl_buf row = {0};
    swl_buf_printf(&row, "%-*s", HEAD_WIDTH, name);
    for (size_t i = 0; i < compare->count; i++) {
        const swl_limit_row *limit = limit_named(&compare->builds[i], name);
        if (limit == NULL) {
            swl_buf_printf(&row, "%6s      ", "-");
            continue;
        }
        bool over = colour && limit->verdict == SWL_EXCEEDED;
        swl_buf_puts(&row, over ? "\033[1;31m" : "");
        swl_margin_put(&row, 6, limit->margin_frac);
        swl_buf_printf(&row, "%s%s%s", limit->on_map ? " " : "*", words[limit->verdict], over ? "\033[0m" : "");
    }
    put_row(out, &row);
    swl_buf_free(&row);
}

/* The least margin of all limits of each build. */
static void put_least(swl_buf *out, const swl_compare *compare, bool colour)
{
    const swl_compare_quantity *quantity = &swl_compare_figures[SWL_FIGURE_LEAST_MARGIN];
    const swl_compare_value *values[SWL_COMPARE_MOST];
    for (size_t i = 0; i < compare->count; i++) {
        values[i] = &compare->builds[i].figures[SWL_FIGURE_LEAST_MARGIN];
    }
    size_t best = swl_compare_best(quantity, values, compare->count);
    swl_buf row = {0};
    swl_buf_printf(&row, "%-*s", HEAD_WIDTH, quantity->words);
    for (size_t i = 0; i < compare->count; i++) {
        if (isnan(values[i]->value)) {
            swl_buf_printf(&row, "%6s      ", "-");
            continue;
        }
        bool bold = i == best && colour;
        swl_buf_puts(&row, bold ? "\033[1m" : "");
        swl_margin_put(&row, 6, values[i]->value);
        swl_buf_printf(&row, "%s%s%s", values[i]->on_map ? " " : "*", i == best ? "best " : "     ",
                       bold ? "\033[0m" : "");
    }
    put_row(out, &row);
    swl_buf_free(&row);
}

static void put_limits(swl_buf *out, const swl_compare *compare, swl_units units, bool colour)
{
    swl_buf_puts(out, "\n");
    put_head(out, compare, "Speed margin, no slip");
    put_figures(out, compare, SWL_FIGURE_SPEED_MARGIN, SWL_FIGURE_OVER_REV_CONTINUOUS, units, colour);
    swl_buf_puts(out, "spare over the continuous or the short-time limit\n\n");
    swl_buf row = {0};
    swl_buf_printf(&row, "%-*s", HEAD_WIDTH, "Margin of each limit, %");
    for (size_t i = 0; i < compare->count; i++) {
        swl_buf_printf(&row, "%6c      ", letter(i));
    }
    put_row(out, &row);
    swl_buf_free(&row);
    /* Every limit that any build has, in the order of the first that has it. */
    for (size_t i = 0; i < compare->count; i++) {
        for (size_t k = 0; k < compare->builds[i].check.limit_count; k++) {
            const char *name = compare->builds[i].check.limits[k].name;
            bool before = false;
            for (size_t j = 0; j < i; j++) {
                before = before || limit_named(&compare->builds[j], name) != NULL;
            }
            if (!before) {
                put_limit(out, compare, name, colour);
            }
        }
    }
    put_least(out, compare, colour);
    swl_buf last = {0};
    swl_buf_printf(&last, "%-*s", HEAD_WIDTH, "exceeded");
    for (size_t i = 0; i < compare->count; i++) {
        if (compare->builds[i].solved) {
            swl_buf_printf(&last, "%2zu of %-2zu    ", compare->builds[i].exceeded,
                           compare->builds[i].check.limit_count);
        } else {
            swl_buf_printf(&last, "%6s      ", "-");
        }
    }
    put_row(out, &last);
    swl_buf_free(&last);
    swl_buf_puts(out, "OVER: exceeded; close: less than 5 % to spare; of a temperature, over the absolute one\n");
}

static void put_list(swl_buf *out, const char *title, const swl_notes *notes)
{
    if (notes->count > 0) {
        swl_buf_printf(out, "\n%s\n", title);
    }
    for (size_t i = 0; i < notes->count; i++) {
        swl_buf_puts(out, "- ");
        swl_report_wrap(out, notes->items[i], SWL_PAGE_WIDTH - 2, "  ");
    }
}

static bool any_outside(const swl_compare *compare)
{
    for (size_t i = 0; i < compare->count; i++) {
        const swl_compare_build *one = &compare->builds[i];
        if (one->solved && (one->points_outside > 0 || one->figures[SWL_FIGURE_SHARE_OUTSIDE].value > 0)) {
            return true;
        }
    }
    return false;
}

void swl_report_compare_text(swl_buf *out, const swl_compare_report *report, swl_units units, bool colour)
{
    const swl_compare *compare = report->compare;
    swl_buf_puts(out, compare->wish.goal == SWL_COMPARE_AS_FITTED ? "Compared " : "Compared at ");
    swl_report_compare_goal(out, compare, units);
    swl_buf_puts(out, ", wide-open throttle\n");
    for (size_t i = 0; i < compare->count; i++) {
        put_build(out, report, i, units);
    }
    put_sites(out, compare, units);
    put_differences(out, report);
    put_list(out, "In short", report->summary);
    put_speeds(out, compare, units, colour);
    put_range(out, compare, units, colour);
    put_limits(out, compare, units, colour);
    swl_buf_puts(out, "\n");
    swl_report_wrap(out,
                    "best: better than every other by more than 1 K, 1 % of a flow or of engine power, 2 % of drive "
                    "power, one point of an efficiency, share or margin. Boost, pressure ratio, blower speed and drive "
                    "torque have no better side. Crank and wheel figures are estimated from the air.",
                    SWL_PAGE_WIDTH, "");
    if (any_outside(compare)) {
        swl_buf_puts(out, "* rests on a point outside the map's data, whose edge is held: nothing to build\n"
                          "  on, and none of such a row is called best\n");
    }
    put_list(out, "Notes", report->notes);
    swl_buf_puts(out, "\n");
    swl_report_wrap(out, swl_report_caution(), SWL_PAGE_WIDTH, "");
}

static void csv_row(swl_buf *out, const swl_compare *compare, double engine_rpm, const char *name,
                    const swl_compare_quantity *quantity, const swl_compare_value *const *values, swl_units units)
{
    if (isnan(engine_rpm)) {
        swl_buf_puts(out, "rev range");
    } else {
        swl_buf_printf(out, "%.10g", engine_rpm);
    }
    swl_buf_puts(out, ",");
    swl_csv_put(out, name);
    const char *unit = swl_shown_as(quantity->show, units).unit;
    swl_buf_printf(out, ",%s", unit);
    size_t best = swl_compare_best(quantity, values, compare->count);
    for (size_t i = 0; i < compare->count; i++) {
        swl_buf_puts(out, ",");
        if (isfinite(values[i]->value)) {
            swl_buf_printf(out, "%.10g", swl_shown_value(values[i]->value, quantity->show, units));
        }
    }
    double scale = swl_shown_as(quantity->show, units).scale;
    for (size_t i = 0; i < compare->count; i++) {
        double change = values[i]->value - values[compare->first]->value;
        if (i == compare->first) {
            continue;
        }
        swl_buf_puts(out, ",");
        if (isfinite(change)) {
            swl_buf_printf(out, "%.10g", change * scale);
        }
    }
    swl_buf_puts(out, ",");
    if (best < compare->count) {
        swl_buf_printf(out, "%c", letter(best));
    }
    const char *separator = ",";
    for (size_t i = 0; i < compare->count; i++) {
        if (isfinite(values[i]->value) && !values[i]->on_map) {
            swl_buf_printf(out, "%s%c", separator, letter(i));
            separator = " ";
        }
    }
    swl_buf_puts(out, *separator == ',' ? ",\n" : "\n");
}

void swl_report_compare_csv(swl_buf *out, const swl_compare_report *report, swl_units units)
{
    const swl_compare *compare = report->compare;
    const swl_compare_value *values[SWL_COMPARE_MOST];
    swl_buf_puts(out, "engine speed [rpm],quantity,unit");
    for (size_t i = 0; i < compare->count; i++) {
        char head[400];
        (void)snprintf(head, sizeof head, "%c: %.380s", letter(i), report->files[i]);
        swl_buf_puts(out, ",");
        swl_csv_put(out, head);
    }
    for (size_t i = 0; i < compare->count; i++) {
        if (i != compare->first) {
            swl_buf_printf(out, ",%c - %c", letter(i), letter(compare->first));
        }
    }
    swl_buf_puts(out, ",best,outside the map\n");
    for (size_t k = 0; k < compare->speed_count; k++) {
        for (size_t q = 0; q < SWL_COMPARE_VALUES; q++) {
            for (size_t i = 0; i < compare->count; i++) {
                values[i] = &compare->builds[i].at[k][q];
            }
            csv_row(out, compare, compare->speeds_rpm[k], swl_compare_values[q].words, &swl_compare_values[q], values,
                    units);
        }
    }
    for (size_t q = 0; q < SWL_FIGURES; q++) {
        for (size_t i = 0; i < compare->count; i++) {
            values[i] = &compare->builds[i].figures[q];
        }
        csv_row(out, compare, NAN, swl_compare_figures[q].words, &swl_compare_figures[q], values, units);
    }
}
