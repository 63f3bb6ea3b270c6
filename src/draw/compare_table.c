#include "draw/compare_parts.h"

#include "base/locale_c.h"

#include "draw/panel.h"

#include <math.h>
#include <stdio.h>

static const size_t quantities[] = {SWL_COMPARE_RATIO,       SWL_COMPARE_BOOST_AT,   SWL_COMPARE_AIR,
                                    SWL_COMPARE_DISCHARGE,   SWL_COMPARE_CHARGE,     SWL_COMPARE_EFFICIENCY,
                                    SWL_COMPARE_DRIVE_POWER, SWL_COMPARE_CRANK_POWER};
enum { ROWS = sizeof quantities / sizeof quantities[0] };

/* Rows of the head: engine speed, letters, and room for the rule. */
#define HEAD_ROWS 2.35

static double type_size(const swl_canvas *canvas)
{
    return 0.86 * canvas->font;
}

static double row_height(const swl_canvas *canvas)
{
    return 1.32 * type_size(canvas);
}

double swl_compare_table_height(const swl_canvas *canvas, const swl_compare_chart *chart)
{
    (void)chart;
    return (ROWS + HEAD_ROWS) * row_height(canvas);
}

static void put(swl_canvas *canvas, double x, double y, int across, bool bold, const char *text)
{
    swl_label label = {
        .x = x, .y = y, .across = across, .down = -1, .size = type_size(canvas), .bold = bold, .colour = swl_ink};
    (void)snprintf(label.text, sizeof label.text, "%s", text);
    swl_canvas_label(canvas, &label);
}

static double width_of(const swl_canvas *canvas, const char *text, bool bold)
{
    double width = 0;
    double height = 0;
    swl_canvas_measure(canvas, text, type_size(canvas), bold, &width, &height);
    return width;
}

static void head_of(const swl_compare_quantity *quantity, swl_units units, char *text, size_t size)
{
    const char *unit = swl_shown_as(quantity->show, units).unit;
    (void)snprintf(text, size, "%s%s%s", quantity->words, unit[0] == '\0' ? "" : ", ", unit);
}

/* Two builds have a column of differences beside their values. */
static size_t columns_of(const swl_compare *compare)
{
    return compare->count == 2 ? 3 : compare->count;
}

static void put_change(swl_canvas *canvas, const swl_compare_chart *chart, const swl_compare_quantity *quantity,
                       double change, double right, double top)
{
    char text[64];
    swl_shown shown = swl_shown_as(quantity->show, chart->units);
    double value = change * shown.scale;
    /* No "-0.0". */
    bool zero = fabs(value) < 0.5 * pow(10, -shown.decimals);
    (void)swl_locale_print(text, sizeof text, zero ? "%.*f" : "%+.*f", shown.decimals, zero ? 0.0 : value);
    put(canvas, right, top, 1, false, isnan(change) ? "-" : text);
}

/* One engine speed: the speed above, the builds' letters, and a value of each. */
static void block(swl_canvas *canvas, const swl_compare_chart *chart, size_t k, double x, double y, double cell)
{
    const swl_compare *compare = chart->compare;
    double height = row_height(canvas);
    double star = width_of(canvas, "*", false);
    char text[64];
    (void)swl_locale_print(text, sizeof text, "%.6g rpm", compare->speeds_rpm[k]);
    put(canvas, x + cell * (double)columns_of(compare) - star, y, 1, true, text);
    for (size_t i = 0; i < compare->count; i++) {
        (void)snprintf(text, sizeof text, "%c", (int)('A' + (int)i));
        put(canvas, x + cell * (double)(i + 1) - star, y + height, 1, true, text);
    }
    if (compare->count == 2) {
        put(canvas, x + cell * 3 - star, y + height, 1, true, "B - A");
    }
    for (size_t r = 0; r < ROWS; r++) {
        const swl_compare_quantity *quantity = &swl_compare_values[quantities[r]];
        const swl_compare_value *values[SWL_COMPARE_MOST];
        for (size_t i = 0; i < compare->count; i++) {
            values[i] = &compare->builds[i].at[k][quantities[r]];
        }
        size_t best = swl_compare_best(quantity, values, compare->count);
        for (size_t i = 0; i < compare->count; i++) {
            double right = x + cell * (double)(i + 1) - star;
            double top = y + height * ((double)r + HEAD_ROWS);
            bool there = !isnan(values[i]->value);
            (void)swl_locale_print(text, sizeof text, "%.*f", swl_shown_as(quantity->show, chart->units).decimals,
                                   swl_shown_value(values[i]->value, quantity->show, chart->units));
            put(canvas, right, top, 1, i == best, there ? text : "-");
            if (there && !values[i]->on_map) {
                put(canvas, right, top, -1, false, "*");
            }
        }
        if (compare->count == 2) {
            put_change(canvas, chart, quantity, values[1]->value - values[0]->value, x + cell * 3 - star,
                       y + height * ((double)r + HEAD_ROWS));
        }
    }
}

static void rule(swl_canvas *canvas, double x0, double x1, double y, double alpha)
{
    cairo_move_to(canvas->cr, x0, y);
    cairo_line_to(canvas->cr, x1, y);
    swl_canvas_colour(canvas, swl_ink, alpha);
    swl_canvas_stroke(canvas, 0.8, NULL);
}

void swl_compare_table(swl_canvas *canvas, const swl_compare_chart *chart, swl_rect box)
{
    const swl_compare *compare = chart->compare;
    size_t columns = columns_of(compare);
    double size = type_size(canvas);
    double height = row_height(canvas);
    double head = 0;
    char text[96];
    for (size_t r = 0; r < ROWS; r++) {
        head_of(&swl_compare_values[quantities[r]], chart->units, text, sizeof text);
        head = fmax(head, width_of(canvas, text, false));
    }
    double gap = 1.6 * size;
    double cell = width_of(canvas, "12345.0*", true) + 0.25 * size;
    double each = cell * (double)columns + gap;
    double room = box.x1 - box.x0 - head - gap;
    size_t shown = room < each ? 0 : (size_t)((room + gap) / each);
    shown = shown > compare->speed_count ? compare->speed_count : shown;
    if (shown == 0) {
        /* One engine speed with narrower cells rather than none. */
        cell = (room - gap) / (double)columns;
        shown = 1;
    } else {
        double spare = room - each * (double)shown + gap;
        gap += fmin(spare / (double)shown, 3 * size);
        cell += fmin((room + gap - (cell * (double)columns + gap) * (double)shown) / ((double)shown * (double)columns),
                     1.5 * size);
    }
    for (size_t r = 0; r < ROWS; r++) {
        head_of(&swl_compare_values[quantities[r]], chart->units, text, sizeof text);
        put(canvas, box.x0, box.y0 + height * ((double)r + HEAD_ROWS), -1, false, text);
    }
    double x = box.x0 + head + 0.6 * size;
    for (size_t k = compare->speed_count - shown; k < compare->speed_count; k++) {
        block(canvas, chart, k, x, box.y0, cell);
        x += cell * (double)columns + gap;
        if (k + 1 < compare->speed_count) {
            cairo_move_to(canvas->cr, x - 0.55 * gap, box.y0);
            cairo_line_to(canvas->cr, x - 0.55 * gap, box.y1);
            swl_canvas_colour(canvas, swl_grey, 0.5);
            swl_canvas_stroke(canvas, 0.8, NULL);
        }
    }
    double right = x - gap;
    rule(canvas, box.x0, right, box.y0 + 1.95 * height, 0.9);
}
