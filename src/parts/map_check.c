#include "sweptline/map.h"

#include "base/locale_c.h"
#include "parts/steep.h"
#include "sweptline/curve.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>

typedef struct checker {
    const swl_map_row *rows;
    size_t count;
    swl_map_report *report;
    void *context;
    bool broken; /* a number out of range: the shape is not looked at */
} checker;

/* A rise of flow along a line up to this is what rounding and reading off a chart make. */
#define RISE_ROUNDING 0.0005
#define RISE_REFUSED 0.01
#define LINES_FEW 5
#define POINTS_FEW 4
/* What units of these kinds reach; outside, a unit or a figure is wrong more often than the blower is odd.
 * Common practice, no source. */
#define EV_BEST_LOW 0.75
#define EV_BEST_HIGH 1.0
#define EA_BEST_LOW 0.40
#define EA_BEST_HIGH 0.88

static void tell(checker *c, swl_severity severity, size_t row, const char *format, ...) SWL_PRINTF(4, 5);

static void tell(checker *c, swl_severity severity, size_t row, const char *format, ...)
{
    char text[300];
    va_list args;
    va_start(args, format);
    swl_locale saved = swl_locale_enter();
    (void)vsnprintf(text, sizeof text, format, args);
    swl_locale_leave(saved);
    va_end(args);
    c->broken = c->broken || severity == SWL_ERROR;
    c->report(c->context, severity, row, text);
}

static int row_order(const void *left, const void *right)
{
    const swl_map_row *a = left;
    const swl_map_row *b = right;
    if (a->speed_rpm != b->speed_rpm) {
        return a->speed_rpm < b->speed_rpm ? -1 : 1;
    }
    if (a->p_ratio != b->p_ratio) {
        return a->p_ratio < b->p_ratio ? -1 : 1;
    }
    return a->id < b->id ? -1 : a->id > b->id;
}

static void check_numbers(checker *c)
{
    for (size_t i = 0; i < c->count; i++) {
        const swl_map_row *row = &c->rows[i];
        if (!(row->speed_rpm > 0 && row->speed_rpm <= 200000)) {
            tell(c, SWL_ERROR, i, "blower speed %.6g rpm; above 0 and up to 200000 rpm is accepted", row->speed_rpm);
        }
        if (!(row->p_ratio >= 0.3 && row->p_ratio <= 8)) {
            tell(c, SWL_ERROR, i, "pressure ratio %.6g; 0.3 to 8 is accepted", row->p_ratio);
        }
        if (!(row->ev_frac > 0 && row->ev_frac <= 1.1)) {
            tell(c, SWL_ERROR, i,
                 "this flow is a volumetric efficiency of %.4g %%; above 0 and up to 110 %% is accepted, so check the "
                 "flow, its unit and the unit's displacement",
                 row->ev_frac * 100);
        }
        if (!(row->ea_frac > 0 && row->ea_frac < 1)) {
            tell(c, SWL_ERROR, i, "adiabatic efficiency %.4g %%; above 0 and below 100 %% is accepted",
                 row->ea_frac * 100);
        }
    }
}

static size_t line_end(const checker *c, size_t start)
{
    size_t end = start + 1;
    while (end < c->count && c->rows[end].speed_rpm == c->rows[start].speed_rpm) {
        end++;
    }
    return end;
}

static void check_counts(checker *c)
{
    size_t lines = 0;
    for (size_t start = 0; start < c->count; lines++) {
        size_t end = line_end(c, start);
        if (end - start > SWL_CURVE_POINTS_MAX) {
            tell(c, SWL_ERROR, start, "the speed line at %.6g rpm has %zu points; at most %d are accepted",
                 c->rows[start].speed_rpm, end - start, SWL_CURVE_POINTS_MAX);
        }
        start = end;
    }
    if (lines > SWL_MAP_LINES_MAX) {
        tell(c, SWL_ERROR, c->count, "the map has %zu speed lines; at most %d are accepted", lines, SWL_MAP_LINES_MAX);
    }
}

/* How far a point's efficiency is off the straight line between its neighbours; 0 at a line's ends. */
static double off_neighbours(const swl_map_row *rows, size_t start, size_t end, size_t i)
{
    if (i <= start || i + 1 >= end) {
        return 0;
    }
    double share = (rows[i].p_ratio - rows[i - 1].p_ratio) / (rows[i + 1].p_ratio - rows[i - 1].p_ratio);
    return rows[i].ea_frac - rows[i - 1].ea_frac - share * (rows[i + 1].ea_frac - rows[i - 1].ea_frac);
}

static void check_along(checker *c, size_t start, size_t end)
{
    const swl_map_row *rows = c->rows;
    if (end - start == 1) {
        tell(c, SWL_WARNING, start, "the speed line at %.6g rpm has one point, so it covers one pressure ratio only",
             rows[start].speed_rpm);
    } else if (end - start < POINTS_FEW) {
        tell(c, SWL_WARNING, start, "the speed line at %.6g rpm has %zu points; the values between them are rough",
             rows[start].speed_rpm, end - start);
    }
    size_t lowest = start;
    for (size_t i = start + 1; i < end; i++) {
        if (rows[i].p_ratio == rows[i - 1].p_ratio) {
            tell(c, SWL_ERROR, i, "the point at %.6g rpm and pressure ratio %.6g is given twice; keep one",
                 rows[i].speed_rpm, rows[i].p_ratio);
        }
        lowest = rows[i - 1].ev_frac < rows[lowest].ev_frac ? i - 1 : lowest;
        double rise = rows[i].ev_frac / rows[lowest].ev_frac - 1;
        if (rise > RISE_ROUNDING) {
            swl_severity severity = rise > RISE_REFUSED ? SWL_ERROR : SWL_WARNING;
            tell(c, severity, i,
                 "at %.6g rpm the flow rises by %.3g %% from pressure ratio %.6g to %.6g; a blower's flow falls as the "
                 "pressure ratio rises",
                 rows[i].speed_rpm, rise * 100, rows[lowest].p_ratio, rows[i].p_ratio);
        }
    }
    for (size_t i = start + 1; i < end; i++) {
        if (swl_steepness(rows[i - 1].p_ratio, rows[i - 1].ev_frac, rows[i - 1].ea_frac, rows[i].p_ratio,
                          rows[i].ev_frac, rows[i].ea_frac) > 0) {
            tell(c, SWL_WARNING, i,
                 "at %.6g rpm the efficiency falls so fast from pressure ratio %.6g to %.6g that without a cooler "
                 "several "
                 "operating points may balance; check the figures",
                 rows[i].speed_rpm, rows[i - 1].p_ratio, rows[i].p_ratio);
        }
    }
    for (size_t i = start + 1; i + 1 < end; i++) {
        double off = off_neighbours(rows, start, end, i);
        bool worst = fabs(off) >= fabs(off_neighbours(rows, start, end, i - 1)) &&
                     fabs(off) > fabs(off_neighbours(rows, start, end, i + 1));
        if (fabs(off) > 0.10 && worst) {
            tell(c, SWL_WARNING, i,
                 "adiabatic efficiency %.4g %% stands %.3g points off its neighbours on the line; check the figure",
                 rows[i].ea_frac * 100, off * 100);
        }
    }
}

/* Flow per unit displacement of a line at a pressure ratio it covers, by straight lines. */
static double line_flow(const checker *c, size_t start, size_t end, double p_ratio)
{
    const swl_map_row *rows = c->rows;
    if (p_ratio < rows[start].p_ratio || p_ratio > rows[end - 1].p_ratio) {
        return NAN;
    }
    size_t i = start;
    while (i + 2 < end && rows[i + 1].p_ratio < p_ratio) {
        i++;
    }
    size_t j = i + 1 < end ? i + 1 : i;
    double width = rows[j].p_ratio - rows[i].p_ratio;
    double share = width > 0 ? (p_ratio - rows[i].p_ratio) / width : 0;
    return rows[start].speed_rpm * (rows[i].ev_frac + share * (rows[j].ev_frac - rows[i].ev_frac));
}

static void check_crossing(checker *c, size_t start, size_t middle, size_t end)
{
    double slow = c->rows[start].speed_rpm;
    double fast = c->rows[middle].speed_rpm;
    if (fast / slow < 1.005) {
        tell(c, SWL_WARNING, middle, "speed lines at %.6g and %.6g rpm are less than 0.5 %% apart; check the speeds",
             slow, fast);
    }
    for (size_t i = start; i < end; i++) {
        double flow_slow = line_flow(c, start, middle, c->rows[i].p_ratio);
        double flow_fast = line_flow(c, middle, end, c->rows[i].p_ratio);
        if (flow_fast <= flow_slow) {
            tell(c, SWL_ERROR, i,
                 "the speed lines at %.6g and %.6g rpm cross at pressure ratio %.6g: the faster one gives no more flow",
                 slow, fast, c->rows[i].p_ratio);
            return;
        }
    }
}

/* The best figures of a map tell a wrong unit or displacement that each figure alone does not. */
static void check_best(checker *c)
{
    size_t ev = 0;
    size_t ea = 0;
    for (size_t i = 1; i < c->count; i++) {
        ev = c->rows[i].ev_frac > c->rows[ev].ev_frac ? i : ev;
        ea = c->rows[i].ea_frac > c->rows[ea].ea_frac ? i : ea;
    }
    double best_ev = c->rows[ev].ev_frac;
    double best_ea = c->rows[ea].ea_frac;
    if (best_ev < EV_BEST_LOW) {
        tell(c, SWL_WARNING, ev,
             "the best volumetric efficiency of the map is %.3g %%; most units reach 85 to 98 %%, so check the flow's "
             "unit (ft3/min taken for m3/h is a factor of 1.7) and the unit's displacement",
             best_ev * 100);
    } else if (best_ev > EV_BEST_HIGH) {
        tell(c, SWL_WARNING, ev,
             "the best volumetric efficiency of the map is %.4g %%; above 100 %% check the unit's displacement, and "
             "that "
             "the flow is a volume at the inlet, not a mass flow",
             best_ev * 100);
    }
    if (best_ea < EA_BEST_LOW) {
        tell(c, SWL_WARNING, ea,
             "the best adiabatic efficiency of the map is %.3g %%; most units reach 55 to 80 %%, so check whether "
             "fractions stand under %%",
             best_ea * 100);
    } else if (best_ea > EA_BEST_HIGH) {
        tell(c, SWL_WARNING, ea, "the best adiabatic efficiency of the map is %.3g %%; most units reach 55 to 80 %%",
             best_ea * 100);
    }
}

static void check_roots_limit(checker *c)
{
    size_t above = 0;
    size_t worst = 0;
    double excess = 0;
    for (size_t i = 0; i < c->count; i++) {
        double over =
            c->rows[i].p_ratio > 1.0001 ? c->rows[i].ea_frac - swl_map_roots_limit(c->rows[i].p_ratio, 1.4) : 0;
        above += over > 0;
        if (over > excess) {
            excess = over;
            worst = i;
        }
    }
    if (above > 0) {
        tell(c, SWL_NOTE, worst,
             "%zu of %zu points stand above the ideal Roots efficiency, this one by %.2g points; porting and leakage "
             "shift that line, or the unit compresses inside",
             above, c->count, excess * 100);
    }
}

void swl_map_check(swl_map_row *rows, size_t count, bool pure_roots, swl_map_report *report, void *context)
{
    checker c = {.rows = rows, .count = count, .report = report, .context = context};
    check_numbers(&c);
    if (c.broken) {
        return;
    }
    if (count > 1) {
        qsort(rows, count, sizeof *rows, row_order);
    }
    check_counts(&c);
    if (c.broken) {
        return;
    }
    size_t lines = 0;
    size_t previous = count;
    for (size_t start = 0; start < count;) {
        size_t end = line_end(&c, start);
        check_along(&c, start, end);
        if (previous < count) {
            check_crossing(&c, previous, start, end);
        }
        previous = start;
        start = end;
        lines++;
    }
    if (lines < 2) {
        tell(&c, SWL_ERROR, count,
             "the map has %zu speed line%s; at least two are needed to read between them, and five or more make a map",
             lines, lines == 1 ? "" : "s");
    } else if (lines < LINES_FEW) {
        tell(&c, SWL_WARNING, count,
             "the map has %zu speed lines; with fewer than %d the values between them are rough", lines, LINES_FEW);
    }
    if (count > 0) {
        check_best(&c);
    }
    if (pure_roots) {
        check_roots_limit(&c);
    }
}

double swl_map_roots_limit(double p_ratio, double gamma)
{
    double k = (gamma - 1) / gamma;
    return fabs(p_ratio - 1) < 1e-15 ? 1 : expm1(k * log(p_ratio)) / (k * (p_ratio - 1));
}
