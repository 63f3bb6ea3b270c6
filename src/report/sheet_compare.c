#include "report/sheet.h"

#include <math.h>
#include <stdio.h>

void swl_sheet_differences(swl_buf *out, const swl_sheet *sheet)
{
    const swl_differences *differences = sheet->report->differences;
    if (differences->count == 0) {
        swl_html_paragraph(out, NULL, "No key of the build files has another value.");
        return;
    }
    swl_html_table_open(out, NULL, "What differs in the build files");
    swl_buf_puts(out, "<thead><tr><th scope=\"col\">Key</th><th scope=\"col\">A</th><th scope=\"col\">B</th></tr>"
                      "</thead>\n<tbody>\n");
    for (size_t i = 0; i < differences->count; i++) {
        const swl_difference *item = &differences->items[i];
        swl_buf_puts(out, "<tr><th scope=\"row\">");
        swl_html_printf(out, "[%s] %s", item->section, item->key);
        swl_buf_puts(out, "</th>");
        swl_html_cell(out, NULL, item->value[0]);
        swl_html_cell(out, NULL, item->value[1]);
        swl_buf_puts(out, "</tr>\n");
    }
    swl_buf_puts(out, "</tbody>\n");
    swl_html_table_close(out);
}

static void put_quantity_head(swl_buf *out, const swl_compare_quantity *quantity, swl_units units)
{
    const char *unit = swl_shown_as(quantity->show, units).unit;
    swl_buf_puts(out, "<tr><th scope=\"row\">");
    swl_html_printf(out, "%s%s%s", quantity->words, unit[0] == '\0' ? "" : ", ", unit);
    swl_buf_puts(out, "</th>");
}

/* A and B, with what is better in bold and in a word. */
static void put_two(swl_buf *out, const swl_compare_quantity *quantity, const swl_compare_value *const *values,
                    swl_units units)
{
    swl_shown shown = swl_shown_as(quantity->show, units);
    size_t best = swl_compare_best(quantity, values, SWL_SHEET_BUILDS_MAX);
    for (size_t i = 0; i < SWL_SHEET_BUILDS_MAX; i++) {
        if (isnan(values[i]->value)) {
            swl_html_cell(out, "n", "-");
            continue;
        }
        swl_buf_printf(out, "<td class=\"n%s\">%.*f%s%s</td>", i == best ? " best" : "", shown.decimals,
                       swl_shown_value(values[i]->value, quantity->show, units), values[i]->on_map ? "" : "*",
                       i == best ? " best" : "");
    }
}

static bool any(const swl_compare_value *const *values)
{
    return !isnan(values[0]->value) || !isnan(values[1]->value);
}

void swl_sheet_values(swl_buf *out, const swl_sheet *sheet)
{
    const swl_compare *compare = sheet->report->compare;
    swl_html_table_open(out, NULL,
                        "At a few engine speeds; bold and \"best\" where one is better by more than can be told");
    swl_buf_puts(out, "<thead><tr><td></td>");
    for (size_t k = 0; k < compare->speed_count; k++) {
        swl_buf_printf(out, "<th scope=\"colgroup\" colspan=\"2\">%.6g rpm</th>", compare->speeds_rpm[k]);
    }
    swl_buf_puts(out, "</tr>\n<tr><th scope=\"col\">Quantity</th>");
    for (size_t k = 0; k < compare->speed_count; k++) {
        swl_buf_puts(out, "<th scope=\"col\" class=\"n\">A</th><th scope=\"col\" class=\"n\">B</th>");
    }
    swl_buf_puts(out, "</tr></thead>\n<tbody>\n");
    for (size_t q = 0; q < SWL_COMPARE_VALUES; q++) {
        bool there = false;
        for (size_t k = 0; k < compare->speed_count; k++) {
            const swl_compare_value *values[] = {&compare->builds[0].at[k][q], &compare->builds[1].at[k][q]};
            there = there || any(values);
        }
        if (!there) {
            continue;
        }
        put_quantity_head(out, &swl_compare_values[q], sheet->units);
        for (size_t k = 0; k < compare->speed_count; k++) {
            const swl_compare_value *values[] = {&compare->builds[0].at[k][q], &compare->builds[1].at[k][q]};
            put_two(out, &swl_compare_values[q], values, sheet->units);
        }
        swl_buf_puts(out, "</tr>\n");
    }
    swl_buf_puts(out, "</tbody>\n");
    swl_html_table_close(out);
}

/* What a figure is of, since its words alone do not tell. */
static const char *group_of(size_t figure)
{
    switch (figure) {
    case SWL_FIGURE_BOOST:
        return "Highest of the rev range";
    case SWL_FIGURE_SPEED_MARGIN:
        return "Speed margin, no slip";
    case SWL_FIGURE_LEAST_MARGIN:
        return "Margin";
    case SWL_FIGURE_EFFICIENCY_MEAN:
        return "Adiabatic efficiency";
    case SWL_FIGURE_SHARE_OWN_BEST:
        return "Share of the rev range";
    default:
        return NULL;
    }
}

void swl_sheet_figures(swl_buf *out, const swl_sheet *sheet)
{
    const swl_compare *compare = sheet->report->compare;
    swl_html_table_open(out, NULL, "Figures of the whole rev range");
    swl_buf_puts(out, "<thead><tr><th scope=\"col\">Figure</th><th scope=\"col\" class=\"n\">A</th><th scope=\"col\" "
                      "class=\"n\">B</th></tr></thead>\n");
    for (size_t q = 0; q < SWL_FIGURES; q++) {
        const swl_compare_value *values[] = {&compare->builds[0].figures[q], &compare->builds[1].figures[q]};
        if (group_of(q) != NULL) {
            swl_buf_printf(out, "%s<tbody>\n<tr class=\"group\"><th scope=\"rowgroup\" colspan=\"3\">%s</th></tr>\n",
                           q == 0 ? "" : "</tbody>\n", group_of(q));
        }
        if (any(values)) {
            put_quantity_head(out, &swl_compare_figures[q], sheet->units);
            put_two(out, &swl_compare_figures[q], values, sheet->units);
            swl_buf_puts(out, "</tr>\n");
        }
    }
    swl_buf_puts(out, "</tbody>\n");
    swl_html_table_close(out);
}
