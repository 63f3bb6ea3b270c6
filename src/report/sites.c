#include "sweptline/report.h"

#include "report/margin.h"
#include "report/value.h"
#include "sweptline/csv.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

enum { NAME_WIDTH = SWL_SITE_NAME_CHARACTERS };

/* One result of a site, in the order of the tables. */
typedef struct column {
    const char *top;
    const char *middle;
    const char *csv;
    swl_show show;
    size_t offset;
    size_t rpm_offset; /* of the engine speed where it stands, 0 for none */
    int width;
} column;

#define VALUE(member) offsetof(swl_site_values, member)
#define RPM(member) offsetof(swl_site_row, member)

static const column columns[] = {
    {"peak", "boost", "peak boost", SWL_SHOW_BOOST, VALUE(boost_peak_pa), RPM(boost_peak_rpm), 8},
    {"rev lim.", "boost", "boost at rev limit", SWL_SHOW_BOOST, VALUE(boost_limit_pa), 0, 9},
    {"rev lim.", "air", "air flow at rev limit", SWL_SHOW_MASS_FLOW, VALUE(mdot_limit_kg_s), 0, 9},
    {"disch.", "temp.", "discharge temperature", SWL_SHOW_TEMPERATURE, VALUE(t2_k), 0, 8},
    {"charge", "temp.", "charge temperature", SWL_SHOW_TEMPERATURE, VALUE(t3_k), 0, 8},
    {"drive", "power", "drive power", SWL_SHOW_POWER, VALUE(p_shaft_w), 0, 8},
    {"crank", "power", "crank power", SWL_SHOW_POWER, VALUE(crank_w), RPM(crank_rpm), 8},
    {"wheel", "power", "wheel power", SWL_SHOW_POWER, VALUE(wheel_w), 0, 8},
};
enum { COLUMNS = sizeof columns / sizeof columns[0] };

static double value_of(const swl_site_values *values, const column *c)
{
    return *(const double *)(const void *)((const char *)values + c->offset);
}

static double rpm_of(const swl_site_row *row, const column *c)
{
    return *(const double *)(const void *)((const char *)row + c->rpm_offset);
}

/* A name of at most NAME_WIDTH characters, whatever its bytes. */
static void put_name(swl_buf *out, const char *name)
{
    int shown = 0;
    for (const char *p = name; *p != '\0'; p++) {
        shown += ((unsigned char)*p & 0xC0) != 0x80;
    }
    swl_buf_printf(out, "%s%*s", name, shown < NAME_WIDTH ? NAME_WIDTH - shown : 0, "");
}

/* A difference with its sign; none where it rounds to nothing. */
static void put_change(swl_buf *out, int width, double si, swl_show show, swl_units units)
{
    swl_shown shown = swl_shown_as(show, units);
    double value = si * shown.scale;
    bool nothing = fabs(value) < 0.5 * pow(10, -shown.decimals);
    if (!isfinite(si)) {
        swl_buf_printf(out, "%*s", width, "-");
    } else {
        swl_buf_printf(out, nothing ? "%*.*f" : "%+*.*f", width, shown.decimals, nothing ? 0 : value);
    }
}

static const char *verdict_text(const swl_site_row *row)
{
    static const char *const words[] = {"kept", "close", "EXCEEDED"};
    return row->failure[0] != '\0' ? "no point" : row->worst == NULL ? "no limit" : words[row->verdict];
}

static bool all_outside(const swl_site_row *row)
{
    return row->outside > 0 && row->outside == row->check.line_count;
}

static const char *outside_star(const swl_site_row *row)
{
    return row->outside == 0 ? "" : all_outside(row) ? " **" : " *";
}

static void text_sites(swl_buf *out, const swl_sites *sites, swl_units units)
{
    swl_buf_printf(out, "\n%*s%8s%8s%9s%9s  %-24s%7s\n%-*s%8s%8s%9s%9s  %-24s%7s\n", NAME_WIDTH, "", "temp.", "press.",
                   "rel.hum.", "density", "limit with the least", "margin", NAME_WIDTH, "Site",
                   swl_shown_as(SWL_SHOW_TEMPERATURE, units).unit, swl_shown_as(SWL_SHOW_PRESSURE, units).unit, "%",
                   swl_shown_as(SWL_SHOW_DENSITY, units).unit, "to spare", "%");
    for (size_t i = 0; i < sites->count; i++) {
        const swl_site_row *row = &sites->rows[i];
        put_name(out, row->set.name);
        swl_put_number(out, 8, row->site.t_k, SWL_SHOW_TEMPERATURE, units);
        swl_put_number(out, 8, row->site.p_pa, SWL_SHOW_PRESSURE, units);
        swl_buf_printf(out, "%9.0f", row->site.rh_frac * 100);
        swl_put_number(out, 9, row->values.rho_kg_m3, SWL_SHOW_DENSITY, units);
        swl_buf_printf(out, "  %-24s", row->worst == NULL ? "-" : row->worst->name);
        if (row->worst == NULL) {
            swl_buf_printf(out, "%7s", "-");
        } else {
            swl_margin_put(out, 7, row->values.margin_frac);
        }
        swl_buf_printf(out, "  %s%s\n", verdict_text(row), outside_star(row));
    }
}

/* The heads of the values' table, or of the differences', which have no engine speeds. */
static void values_head(swl_buf *out, const char *title, bool change, swl_units units)
{
    for (int line = 0; line < 3; line++) {
        swl_buf_printf(out, "%-*s", NAME_WIDTH, line == 2 ? title : "");
        for (size_t c = 0; c < COLUMNS; c++) {
            const column *col = &columns[c];
            bool temperature = change && col->show == SWL_SHOW_TEMPERATURE;
            const char *unit = swl_shown_as(temperature ? SWL_SHOW_TEMP_CHANGE : col->show, units).unit;
            swl_buf_printf(out, "%*s", col->width, line == 0 ? col->top : line == 1 ? col->middle : unit);
            if (!change && col->rpm_offset > 0) {
                swl_buf_printf(out, "%6s", line == 0 ? "" : line == 1 ? "at" : "rpm");
            }
        }
        swl_buf_printf(out, "%s\n", !change ? "" : line == 0 ? "" : line == 1 ? "   margin" : "   points");
    }
}

static void text_values(swl_buf *out, const swl_sites *sites, swl_units units)
{
    swl_buf_puts(out, "\n");
    values_head(out, "Gives", false, units);
    for (size_t i = 0; i < sites->count; i++) {
        const swl_site_row *row = &sites->rows[i];
        put_name(out, row->set.name);
        for (size_t c = 0; c < COLUMNS; c++) {
            swl_put_number(out, columns[c].width, value_of(&row->values, &columns[c]), columns[c].show, units);
            if (columns[c].rpm_offset > 0) {
                swl_put_number(out, 6, rpm_of(row, &columns[c]), SWL_SHOW_ENGINE_SPEED, units);
            }
        }
        swl_buf_puts(out, "\n");
    }
}

static void text_changes(swl_buf *out, const swl_sites *sites, swl_units units)
{
    if (sites->count < 2) {
        return;
    }
    swl_buf_puts(out, "\n");
    values_head(out, "Less the own site", true, units);
    for (size_t i = 1; i < sites->count; i++) {
        const swl_site_row *row = &sites->rows[i];
        put_name(out, row->set.name);
        for (size_t c = 0; c < COLUMNS; c++) {
            swl_show show = columns[c].show == SWL_SHOW_TEMPERATURE ? SWL_SHOW_TEMP_CHANGE : columns[c].show;
            put_change(out, columns[c].width, value_of(&row->change, &columns[c]), show, units);
        }
        put_change(out, 9, row->change.margin_frac, SWL_SHOW_FRACTION, units);
        swl_buf_puts(out, "\n");
    }
}

static void reason_add(swl_buf *out, const char **separator, double value, double bound, swl_show show,
                       const char *than, swl_units units)
{
    swl_buf_puts(out, *separator);
    if (show == SWL_SHOW_RATIO) {
        swl_buf_printf(out, "factor %.4f is %s %.2f", value, than, bound);
    } else {
        swl_report_value(out, value, show, units);
        swl_buf_printf(out, "%s is %s ", show == SWL_SHOW_PRESSURE ? " of dry air" : "", than);
        swl_report_value(out, bound, show, units);
    }
    *separator = "; ";
}

void swl_report_correction_reason(swl_buf *out, swl_correction_form form, const swl_measured *measured, swl_units units)
{
    const swl_correction_range *range = swl_correction_range_of(form);
    const swl_correction *c = &measured->corrections[form];
    const struct {
        unsigned bit;
        double value, bound;
        swl_show show;
        const char *than;
    } bounds[] = {
        {SWL_CORRECTION_COLD, measured->site.t_k, range->t_min_k, SWL_SHOW_TEMPERATURE, "below"},
        {SWL_CORRECTION_HOT, measured->site.t_k, range->t_max_k, SWL_SHOW_TEMPERATURE, "above"},
        {SWL_CORRECTION_THIN, measured->p_dry_pa, range->p_dry_min_pa, SWL_SHOW_PRESSURE, "below"},
        {SWL_CORRECTION_DENSE, measured->p_dry_pa, range->p_dry_max_pa, SWL_SHOW_PRESSURE, "above"},
        {SWL_CORRECTION_FACTOR_LOW, c->factor, range->factor_min, SWL_SHOW_RATIO, "below"},
        {SWL_CORRECTION_FACTOR_HIGH, c->factor, range->factor_max, SWL_SHOW_RATIO, "above"},
    };
    const char *separator = "";
    for (size_t i = 0; i < sizeof bounds / sizeof bounds[0]; i++) {
        if ((c->broken & bounds[i].bit) != 0) {
            reason_add(out, &separator, bounds[i].value, bounds[i].bound, bounds[i].show, bounds[i].than, units);
        }
    }
}

static void text_factor(swl_buf *out, const char *name, double factor, double measured_w, swl_units units)
{
    swl_buf_printf(out, "%-*s%9.4f", NAME_WIDTH, name, factor);
    swl_put_number(out, 11, factor * measured_w, SWL_SHOW_POWER, units);
    swl_buf_puts(out, "  ");
}

static void text_measured(swl_buf *out, const swl_measured *measured, swl_units units)
{
    swl_buf head = {0};
    swl_buf_puts(&head, "Measured power of ");
    swl_report_value(&head, measured->measured_w, SWL_SHOW_POWER, units);
    swl_buf_puts(&head, " at ");
    swl_report_site(&head, &measured->site, units);
    swl_buf_puts(&head, ": dry air of ");
    swl_report_value(&head, measured->p_dry_pa, SWL_SHOW_PRESSURE, units);
    swl_buf_puts(&head, " and vapour of ");
    swl_report_value(&head, measured->p_vapour_pa, SWL_SHOW_PRESSURE, units);
    swl_buf_puts(out, "\n");
    swl_report_wrap(out, swl_buf_text(&head), SWL_PAGE_WIDTH, "");
    swl_buf_free(&head);
    swl_buf_printf(out, "%*s%9s%11s\n%-*s%9s%11s\n", NAME_WIDTH, "", "", "corrected", NAME_WIDTH, "Correction",
                   "factor", swl_shown_as(SWL_SHOW_POWER, units).unit);
    for (int form = 0; form < SWL_CORRECTIONS; form++) {
        const swl_correction *c = &measured->corrections[form];
        text_factor(out, swl_correction_range_of((swl_correction_form)form)->standard, c->factor, measured->measured_w,
                    units);
        swl_buf reason = {0};
        swl_buf_puts(&reason, c->broken == 0 ? "inside the standard's range" : "OUTSIDE its range: ");
        swl_report_correction_reason(&reason, (swl_correction_form)form, measured, units);
        swl_report_wrap(out, swl_buf_text(&reason), SWL_PAGE_WIDTH - NAME_WIDTH - 22,
                        "                                          ");
        swl_buf_free(&reason);
    }
    if (isnan(measured->model_factor)) {
        swl_buf_printf(out, "%-*s%9s%11s  ", NAME_WIDTH, "the model's", "-", "-");
        swl_report_wrap(out, measured->failure, SWL_PAGE_WIDTH - NAME_WIDTH - 22,
                        "                                          ");
        return;
    }
    text_factor(out, "the model's", measured->model_factor, measured->measured_w, units);
    swl_buf_puts(out, "crank power of ");
    swl_report_value(out, measured->crank_reference_w, SWL_SHOW_POWER, units);
    swl_buf_puts(out, " on the standard day over ");
    swl_report_value(out, measured->crank_site_w, SWL_SHOW_POWER, units);
    swl_buf_puts(out, "\n");
}

void swl_report_sites_text(swl_buf *out, const swl_build *build, const swl_sites *sites, const swl_measured *measured,
                           const swl_notes *notes, swl_units units)
{
    bool starred = false;
    bool twice = false;
    bool temperature = false;
    swl_buf_puts(out, "Build   ");
    swl_report_wrap(out, build->name, SWL_PAGE_WIDTH - 8, "        ");
    swl_buf_printf(out, "Unit    %s\n", build->blower.name);
    text_sites(out, sites, units);
    for (size_t i = 0; i < sites->count; i++) {
        const swl_site_row *row = &sites->rows[i];
        starred = starred || (row->outside > 0 && !all_outside(row));
        twice = twice || all_outside(row);
        temperature = temperature || (row->worst != NULL && row->worst->show == SWL_SHOW_TEMPERATURE);
    }
    if (temperature) {
        swl_buf_puts(out, "margin: spare over limit; of a temperature, over the absolute temperature\n");
    }
    if (starred) {
        swl_buf_puts(out, "* part of the line lies outside the map's data, where its edge is held\n");
    }
    if (twice) {
        swl_buf_puts(out, "** the whole line lies outside the map's data, where its edge is held\n");
    }
    text_values(out, sites, units);
    text_changes(out, sites, units);
    if (measured != NULL) {
        text_measured(out, measured, units);
    }
    swl_report_foot(out, notes);
}

void swl_report_sites_csv(swl_buf *out, const swl_sites *sites, swl_units units)
{
    swl_buf_printf(out, "site,temperature [%s],pressure [%s],relative humidity [%%],air density [%s]",
                   swl_shown_as(SWL_SHOW_TEMPERATURE, units).unit, swl_shown_as(SWL_SHOW_PRESSURE, units).unit,
                   swl_shown_as(SWL_SHOW_DENSITY, units).unit);
    for (size_t c = 0; c < COLUMNS; c++) {
        swl_buf_printf(out, ",%s [%s]", columns[c].csv, swl_shown_as(columns[c].show, units).unit);
        if (columns[c].rpm_offset > 0) {
            swl_buf_printf(out, ",%s at [rpm]", columns[c].csv);
        }
    }
    swl_buf_puts(out, ",limit with least to spare,margin [%],verdict,points outside map\n");
    for (size_t i = 0; i < sites->count; i++) {
        const swl_site_row *row = &sites->rows[i];
        swl_csv_put(out, row->set.name);
        swl_put_csv(out, row->site.t_k, SWL_SHOW_TEMPERATURE, units);
        swl_put_csv(out, row->site.p_pa, SWL_SHOW_PRESSURE, units);
        swl_put_csv(out, row->site.rh_frac, SWL_SHOW_FRACTION, units);
        swl_put_csv(out, row->values.rho_kg_m3, SWL_SHOW_DENSITY, units);
        for (size_t c = 0; c < COLUMNS; c++) {
            swl_put_csv(out, value_of(&row->values, &columns[c]), columns[c].show, units);
            if (columns[c].rpm_offset > 0) {
                swl_put_csv(out, rpm_of(row, &columns[c]), SWL_SHOW_ENGINE_SPEED, units);
            }
        }
        bool failed = row->failure[0] != '\0';
        swl_buf_printf(out, ",%s", row->worst == NULL ? "" : row->worst->name);
        swl_put_csv(out, row->values.margin_frac, SWL_SHOW_FRACTION, units);
        swl_buf_printf(out, ",%s,%zu\n",
                       failed               ? "no operating point"
                       : row->worst == NULL ? ""
                                            : swl_verdict_word(row->verdict),
                       row->outside);
    }
}
