#include "sweptline/report.h"

#include "report/columns.h"
#include "report/limits.h"
#include "report/margin.h"
#include "report/value.h"
#include "report/water.h"

#include <math.h>
#include <string.h>

static void put_value(swl_buf *out, double si, swl_show show, swl_units units)
{
    swl_report_value(out, si, show, units);
}

static void text_head(swl_buf *out, const swl_build *build, const swl_check *check, swl_units units)
{
    swl_buf_puts(out, "Build   ");
    swl_report_wrap(out, build->name, SWL_PAGE_WIDTH - 8, "        ");
    if (build->note[0] != '\0') {
        swl_buf_puts(out, "        ");
        swl_report_wrap(out, build->note, SWL_PAGE_WIDTH - 8, "        ");
    }
    swl_buf unit = {0};
    swl_put_unit(&unit, &build->blower, units);
    swl_buf_puts(out, "Unit    ");
    swl_report_wrap(out, swl_buf_text(&unit), SWL_PAGE_WIDTH - 8, "        ");
    swl_buf_free(&unit);
    swl_buf_puts(out, "Site    ");
    swl_report_site(out, &build->site, units);
    swl_buf_puts(out, "\nDrive   ");
    swl_put_drive(out, build, check->drive_ratio, units);
    swl_buf_puts(out, "\n");
}

static void text_line_head(swl_buf *out, swl_units units)
{
    for (int row = 0; row < 2; row++) {
        for (size_t c = 0; c < SWL_COLUMNS; c++) {
            const swl_column *column = &swl_columns[c];
            if (column->width == 0) {
                continue;
            }
            const char *bottom = column->bottom[0] != '\0' ? column->bottom : swl_shown_as(column->show, units).unit;
            swl_buf_printf(out, "%s%*s", c == 0 ? "" : " ", column->width, row == 0 ? column->top : bottom);
        }
        swl_buf_puts(out, row == 0 ? "  map\n" : "\n");
    }
}

static const char *where_word(unsigned where)
{
    if (where == SWL_MAP_INSIDE) {
        return "in";
    }
    if (where & SWL_MAP_BELOW_SLOWEST) {
        return "slow";
    }
    if (where & SWL_MAP_ABOVE_FASTEST) {
        return "fast";
    }
    return where & SWL_MAP_BELOW_RATIO ? "low" : "high";
}

static void text_line(swl_buf *out, const swl_build *build, const swl_check *check, swl_units units)
{
    swl_buf_puts(out, "\nOperating line, wide-open throttle\n");
    text_line_head(out, units);
    bool outside = false;
    for (size_t i = 0; i < check->line_count; i++) {
        for (size_t c = 0; c < SWL_COLUMNS; c++) {
            const swl_column *column = &swl_columns[c];
            if (column->width == 0) {
                continue;
            }
            double value = swl_shown_value(swl_point_number(&check->line[i], column->value), column->show, units);
            swl_buf_printf(out, "%*.*f ", column->width, swl_shown_as(column->show, units).decimals, value);
        }
        swl_buf_printf(out, " %s\n", where_word(check->line[i].map_where));
        outside = outside || check->line[i].map_where != SWL_MAP_INSIDE;
    }
    if (outside) {
        swl_buf_puts(out, "map: in = inside the map; slow, fast, low, high = outside it, on that side\n");
    }
    swl_buf slip = {0};
    swl_slip_words(&slip, build);
    if (slip.len > 0) {
        swl_report_wrap(out, swl_buf_text(&slip), SWL_PAGE_WIDTH, "");
    }
    out->failed = out->failed || slip.failed;
    swl_buf_free(&slip);
}

/* What throttle, ducts and cooler cost where they cost most. */
static void text_losses(swl_buf *out, const swl_build *build, const swl_check *check, swl_units units)
{
    const swl_point *inlet = &check->line[0];
    const swl_point *charge = inlet;
    const swl_point *heat = inlet;
    for (size_t i = 1; i < check->line_count; i++) {
        const swl_point *point = &check->line[i];
        inlet = point->p1_pa < inlet->p1_pa ? point : inlet;
        charge = point->p2_pa - point->p3_pa > charge->p2_pa - charge->p3_pa ? point : charge;
        heat = point->q_cooler_w > heat->q_cooler_w ? point : heat;
    }
    swl_buf_puts(out, "\nLargest losses\nfilter, ducts and throttle   ");
    put_value(out, build->site.p_pa - inlet->p1_pa, SWL_SHOW_BOOST, units);
    swl_buf_printf(out, " below site pressure at the blower inlet, at %.0f rpm\n", inlet->engine_rpm);
    if (swl_cooler_there(&build->cooler) || build->cooler.loss.dp_pa > 0) {
        swl_buf_puts(out, "charge cooler                ");
        put_value(out, charge->p2_pa - charge->p3_pa, SWL_SHOW_BOOST, units);
        swl_buf_printf(out, " at %.0f rpm; ", charge->engine_rpm);
        put_value(out, heat->q_cooler_w, SWL_SHOW_POWER, units);
        swl_buf_printf(out, " of heat into the coolant at %.0f rpm\n", heat->engine_rpm);
    }
}

static void text_power_basis(swl_buf *out, const swl_check *check)
{
    swl_buf text = {0};
    swl_power_basis_words(&text, check);
    swl_report_wrap(out, swl_buf_text(&text), SWL_PAGE_WIDTH, "");
    swl_buf_free(&text);
}

static void text_power(swl_buf *out, const swl_check *check, swl_units units)
{
    if (isnan(check->basis.indicated_eff_frac)) {
        return; /* a note says why */
    }
    size_t best = swl_power_best(check);
    bool wheel = !isnan(check->power[best].wheel_w);
    swl_buf_puts(out, "\nEstimated power\n");
    for (int head = 0; head < 2; head++) {
        swl_buf_printf(out, "%6s", head == 0 ? "engine" : "rpm");
        for (size_t c = 0; c < SWL_POWER_COLUMNS; c++) {
            const swl_power_column *column = &swl_power_columns[c];
            if (wheel || column->json[0] != 'w') {
                swl_buf_printf(out, "%*s", column->width,
                               head == 0 ? column->top : swl_shown_as(column->show, units).unit);
            }
        }
        swl_buf_puts(out, "\n");
    }
    for (size_t i = 0; i < check->line_count; i++) {
        if (!swl_row_shown(check->line_count, i) && i != best) {
            continue;
        }
        swl_buf_printf(out, "%6.0f", check->line[i].engine_rpm);
        for (size_t c = 0; c < SWL_POWER_COLUMNS; c++) {
            const swl_power_column *column = &swl_power_columns[c];
            if (wheel || column->json[0] != 'w') {
                swl_buf_printf(out, "%*.*f", column->width, swl_shown_as(column->show, units).decimals,
                               swl_shown_value(swl_power_number(&check->power[i], column->value), column->show, units));
            }
        }
        swl_buf_puts(out, i == best ? "  highest\n" : "\n");
    }
    text_power_basis(out, check);
}

static void text_verdict(swl_buf *out, swl_verdict verdict, bool colour)
{
    static const char *const on[] = {"\033[32m", "\033[33m", "\033[1;31m"};
    static const char *const words[] = {"kept", "close", "EXCEEDED"};
    swl_buf_printf(out, "%s%s%s", colour ? on[verdict] : "", words[verdict], colour ? "\033[0m" : "");
}

static void text_limit_row(swl_buf *out, const swl_limit_row *row, swl_units units, bool colour)
{
    swl_shown shown = swl_shown_as(row->show, units);
    if (isinf(row->value)) {
        /* Injectors through which nothing flows would have to be open for ever. */
        swl_buf_printf(out, "%-31s %9s %9.*f %9s %-8s %7s %9.0f  ", row->words, "no flow", shown.decimals,
                       swl_shown_value(row->limit, row->show, units), "-", shown.unit, "-", row->engine_rpm);
        text_verdict(out, row->verdict, colour);
        swl_buf_puts(out, row->on_map ? "\n" : " *\n");
        return;
    }
    /* A difference of temperatures has no shift. */
    double spare = (row->limit - row->value) * shown.scale;
    int decimals = swl_spare_decimals(row, units);
    /* No "-0.00". */
    spare = fabs(spare) < 0.5 * pow(10, -decimals) ? 0 : spare;
    swl_buf_printf(out, "%-31s %9.*f %9.*f %9.*f %-8s ", row->words, decimals,
                   swl_shown_value(row->value, row->show, units), shown.decimals,
                   swl_shown_value(row->limit, row->show, units), decimals, spare, shown.unit);
    swl_margin_put(out, 7, row->margin_frac);
    swl_buf_printf(out, " %9.0f  ", row->engine_rpm);
    text_verdict(out, row->verdict, colour);
    swl_buf_puts(out, row->on_map ? "\n" : " *\n");
}

static void text_speed_advice(swl_buf *out, const swl_check *check, swl_units units)
{
    swl_notes advice = {0};
    swl_notes_advice(&advice, check, units);
    for (size_t i = 0; i < advice.count; i++) {
        swl_report_wrap(out, advice.items[i], SWL_PAGE_WIDTH, "");
    }
    out->failed = out->failed || advice.failed;
    swl_notes_free(&advice);
}

static void speed_share(swl_buf *out, double rpm, double limit_rpm)
{
    if (isnan(limit_rpm)) {
        swl_buf_printf(out, "%22s", "not stated");
    } else {
        swl_buf_printf(out, "%20.1f %%", 100 * rpm / limit_rpm);
    }
}

/* Both engine speeds against both of the maker's limits; the verdicts are in the limits' table. */
static void text_speeds(swl_buf *out, const swl_build *build, const swl_check *check)
{
    const swl_engine *engine = &build->engine;
    const struct {
        const char *words;
        double engine_rpm;
        double blower_rpm;
    } rows[] = {
        {"at the rev limit", engine->speed_limit_rpm, check->blower_rpm_at_limit},
        {"in an over-rev", engine->speed_limit_rpm + engine->over_rev_rpm, check->blower_rpm_at_over_rev},
    };
    swl_buf_printf(out, "\nBlower speed without slip\n%-18s%9s%9s%22s%22s\n%-18s%9s%9s%22s%22s\n", "", "engine",
                   "blower", "of the continuous", "of the short-time", "", "rpm", "rpm", "limit", "limit");
    for (size_t i = 0; i < (engine->over_rev_rpm > 0 ? 2 : 1); i++) {
        swl_buf_printf(out, "%-18s%9.0f%9.0f", rows[i].words, rows[i].engine_rpm, rows[i].blower_rpm);
        speed_share(out, rows[i].blower_rpm, build->blower.continuous_rpm);
        speed_share(out, rows[i].blower_rpm, build->blower.short_time_rpm);
        swl_buf_puts(out, "\n");
    }
}

static bool has_temperature(const swl_check *check)
{
    for (size_t i = 0; i < check->limit_count; i++) {
        if (check->limits[i].show == SWL_SHOW_TEMPERATURE) {
            return true;
        }
    }
    return false;
}

static void text_limits(swl_buf *out, const swl_check *check, swl_units units, bool colour)
{
    swl_buf_printf(out, "\nLimits\n%-31s %9s %9s %9s %-8s %7s %9s\n%-31s %9s %9s %9s %-8s %7s %9s\n", "", "", "", "",
                   "", "margin", "worst at", "", "value", "limit", "spare", "unit", "%", "rpm");
    if (check->limit_count == 0) {
        swl_buf_puts(out, "no limit is given, so none was checked\n");
    }
    size_t counts[3] = {0};
    size_t starred = 0;
    for (size_t i = 0; i < check->limit_count; i++) {
        text_limit_row(out, &check->limits[i], units, colour);
        counts[check->limits[i].verdict]++;
        starred += !check->limits[i].on_map;
    }
    if (starred > 0) {
        swl_buf_puts(
            out,
            "* rests on a point outside the map's data or the pump's, whose edge is held: no verdict to build on\n");
    }
    if (has_temperature(check)) {
        swl_buf_puts(out, "margin: spare over limit; of a temperature, over the absolute temperature\n");
    }
    swl_buf_puts(out, "\n");
    text_speed_advice(out, check, units);
    if (check->limit_count > 0) {
        swl_buf_puts(out, "Result: ");
        swl_limits_counted(out, counts, "");
        swl_buf_puts(out, ".\n");
    }
    if (starred > 0) {
        swl_buf_printf(out, "        %zu of them rest%s on points outside the map.\n", starred,
                       starred == 1 ? "s" : "");
    }
    swl_line_tally tally = swl_check_tally(check);
    if (tally.without_boost > 0) {
        swl_buf_printf(out, "%sNO BOOST at %zu of %zu points.\n",
                       check->limit_count > 0 ? "        " : "Result: ", tally.without_boost, tally.points);
    }
}

void swl_report_check_text(swl_buf *out, const swl_build *build, const swl_check *check, const swl_notes *notes,
                           swl_units units, bool colour)
{
    text_head(out, build, check, units);
    text_line(out, build, check, units);
    text_losses(out, build, check, units);
    swl_water_text(out, build, check, units);
    text_power(out, check, units);
    text_speeds(out, build, check);
    text_limits(out, check, units, colour);
    swl_report_foot(out, notes);
}

static const char *yes_no(bool value)
{
    return value ? "yes" : "no";
}

void swl_report_check_csv(swl_buf *out, const swl_check *check, swl_units units)
{
    for (size_t c = 0; c < SWL_COLUMNS; c++) {
        const char *unit = swl_shown_as(swl_columns[c].show, units).unit;
        swl_buf_printf(out, unit[0] == '\0' ? "%s%s" : "%s [%s]", swl_columns[c].csv, unit);
        swl_buf_puts(out, ",");
    }
    for (size_t c = 0; c < SWL_POWER_COLUMNS; c++) {
        swl_buf_printf(out, "%s [%s],", swl_power_columns[c].csv, swl_shown_as(swl_power_columns[c].show, units).unit);
    }
    swl_buf_puts(out, "on map,map side,volumetric efficiency held,throttle choked\n");
    for (size_t i = 0; i < check->line_count; i++) {
        for (size_t c = 0; c < SWL_COLUMNS; c++) {
            double value = swl_point_number(&check->line[i], swl_columns[c].value);
            swl_buf_printf(out, isnan(value) ? "," : "%.10g,", swl_shown_value(value, swl_columns[c].show, units));
        }
        for (size_t c = 0; c < SWL_POWER_COLUMNS; c++) {
            const swl_power_column *column = &swl_power_columns[c];
            double value = swl_power_number(&check->power[i], column->value);
            swl_buf_printf(out, isnan(value) ? "," : "%.10g,", swl_shown_value(value, column->show, units));
        }
        const swl_point *point = &check->line[i];
        swl_buf_printf(out, "%s,%s,%s,%s\n", yes_no(point->map_where == SWL_MAP_INSIDE), where_word(point->map_where),
                       yes_no(point->ve_held), yes_no(point->choked));
    }
}
