#include "sweptline/trace.h"

#include "scan/region.h"
#include "scan/speed_line.h"
#include "scan/surface.h"

#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

/* Points of all islands that the surface is chosen by, and then goes through. */
enum { POINTS_TRY = 180, POINTS_FIT = 420, POINTS_LEAST = 4, ROWS_MAX = 200 };
/* Rows stand at multiples of this pressure ratio, and at a line's ends; a multiple this near to an end is left to it.
 */
#define RATIO_STEP 0.05
#define RATIO_NEAR 0.02
/* Near a ratio of 1 the efficiency of a blower changes fast, so that a surface over ln(r - 0.9) may be the smoother
 * one.
 */
#define RATIO_FOOT 0.9
#define RATIO_FOOT_ROOM 0.05
/* Inside the highest islands the surface is believed when it foretells them from the others to this share of a step. */
#define TOP_SHARE 0.25
#define TOP_SLACK 5e-4
/* Both forms of the ratio fit the islands. Where their surfaces differ by more than this share of a step, the islands
 * do not tell. */
#define UNTOLD_SHARE 0.1
/* A row on the hull itself may stand outside by the grain. */
#define HULL_SLACK_PX 1.5

typedef struct maker {
    swl_trace_curve *curves;
    size_t count;
    const swl_calibration *calibration;
    double x_per_m3_s;
    /* Flow and pressure ratio that u and v of the surface run from 0 to 1 over. */
    double x0, x_span, y0, y_span;
    bool stretched; /* v runs with ln(r - RATIO_FOOT), else with r */
    double y_least, y_most;
    swl_surface surface;
    swl_surface other; /* over the other form of the ratio; no points where that is not to be had */
    double step;       /* mean, between the values of the islands */
    swl_region region;
    double level_low, level_next, level_high, level_under;
    swl_trace_map *map;
} maker;

void swl_trace_curve_free(swl_trace_curve *curve)
{
    free(curve->order.line);
    swl_track_free(&curve->track);
    *curve = (swl_trace_curve){0};
}

void swl_trace_map_free(swl_trace_map *map)
{
    free(map->rows);
    *map = (swl_trace_map){0};
}

static double level(const maker *m, double p_ratio)
{
    return m->stretched ? log(fmax(p_ratio - RATIO_FOOT, RATIO_FOOT_ROOM / 2)) : p_ratio;
}

static void stretch(maker *m, bool stretched)
{
    m->stretched = stretched;
    m->y0 = level(m, m->y_least);
    m->y_span = level(m, m->y_most) - m->y0;
}

static bool is_island(const maker *m, size_t i)
{
    return m->curves[i].kind == SWL_TRACE_ISLAND;
}

/* The span of all islands, which scales the surface's axes; and the two lowest and two highest values. */
static void measure(maker *m)
{
    double x1 = -INFINITY;
    m->x0 = m->y_least = m->level_low = INFINITY;
    m->y_most = m->level_high = -INFINITY;
    for (size_t i = 0; i < m->count; i++) {
        const swl_track *track = &m->curves[i].track;
        for (size_t k = 0; k < track->count && is_island(m, i); k++) {
            double x = 0;
            double y = 0;
            swl_calibration_value(m->calibration, track->points[k].x, track->points[k].y, &x, &y);
            m->x0 = fmin(m->x0, x);
            m->y_least = fmin(m->y_least, y);
            m->y_most = fmax(m->y_most, y);
            x1 = fmax(x1, x);
        }
        if (is_island(m, i)) {
            m->level_low = fmin(m->level_low, m->curves[i].value);
            m->level_high = fmax(m->level_high, m->curves[i].value);
        }
    }
    m->x_span = x1 - m->x0;
    stretch(m, false);
    m->level_next = m->level_high;
    m->level_under = m->level_low;
    for (size_t i = 0; i < m->count; i++) {
        double value = m->curves[i].value;
        if (is_island(m, i) && value > m->level_low) {
            m->level_next = fmin(m->level_next, value);
        }
        if (is_island(m, i) && value < m->level_high) {
            m->level_under = fmax(m->level_under, value);
        }
    }
}

static void place(const maker *m, swl_pixel at, double *u, double *v)
{
    double x = 0;
    double y = 0;
    swl_calibration_value(m->calibration, at.x, at.y, &x, &y);
    *u = (x - m->x0) / m->x_span;
    *v = (level(m, y) - m->y0) / m->y_span;
}

/* Goes along an island and takes so many points evenly over a length, ends included. Returns: the length gone, in the
 * surface's own axes. */
static double walk_island(maker *m, size_t i, double length, size_t wanted)
{
    const swl_track *track = &m->curves[i].track;
    swl_surface *s = &m->surface;
    double gone = 0;
    double u0 = 0;
    double v0 = 0;
    size_t taken = 0;
    for (size_t k = 0; k < track->count; k++) {
        double u = 0;
        double v = 0;
        place(m, track->points[k], &u, &v);
        gone += k > 0 ? hypot(u - u0, v - v0) : 0;
        u0 = u;
        v0 = v;
        /* The last of a closed island stands beside its first. */
        if (taken < wanted &&
            gone >= length * (double)taken / (double)(wanted - (track->closed ? 0 : 1)) * (1 - 1e-9)) {
            s->u[s->count] = u;
            s->v[s->count] = v;
            s->z[s->count] = m->curves[i].value;
            s->group[s->count++] = i;
            taken++;
        }
    }
    return gone;
}

static swl_status take_points(maker *m, size_t most, swl_err *err)
{
    swl_surface *s = &m->surface;
    double total = 0;
    swl_surface_free(s);
    for (size_t i = 0; i < m->count; i++) {
        total += is_island(m, i) ? walk_island(m, i, 0, 0) : 0;
    }
    size_t room = most + (POINTS_LEAST + 1) * m->count;
    s->u = malloc(room * sizeof *s->u);
    s->v = malloc(room * sizeof *s->v);
    s->z = malloc(room * sizeof *s->z);
    s->group = malloc(room * sizeof *s->group);
    if (s->u == NULL || s->v == NULL || s->z == NULL || s->group == NULL) {
        return swl_err_set(err, SWL_ERR_MEMORY, "out of memory for a fit");
    }
    for (size_t i = 0; i < m->count; i++) {
        if (is_island(m, i)) {
            double length = walk_island(m, i, 0, 0);
            (void)walk_island(m, i, length, (size_t)fmax(POINTS_LEAST, length / total * (double)most));
        }
    }
    return SWL_OK;
}

/* Leaving out an island can be told only where others stand on both sides of its value. */
static bool between(const maker *m, size_t i)
{
    return is_island(m, i) && m->curves[i].value > m->level_low && m->curves[i].value < m->level_high;
}

static bool at_top(const maker *m, size_t i)
{
    return is_island(m, i) && !(m->curves[i].value < m->level_high);
}

/* Root mean square over the islands between the lowest and the highest, and the highest when top. */
static double unseen_rms(const maker *m, const swl_surface_unseen *unseen, bool top, size_t *islands)
{
    double sum2 = 0;
    size_t count = 0;
    *islands = 0;
    for (size_t i = 0; i < m->count; i++) {
        bool counts = between(m, i) || (top && m->level_under > m->level_low && at_top(m, i));
        if (counts && unseen[i].count > 0) {
            sum2 += unseen[i].sum2;
            count += unseen[i].count;
            (*islands)++;
        }
    }
    return count > 0 ? sqrt(sum2 / (double)count) : (double)NAN;
}

/* The price on bending, and whether the ratio is stretched, that foretell left-out islands best; of nearly equals the
 * smaller price, which keeps nearer to what was traced, and no stretching. */
static swl_status choose_surface(maker *m, swl_surface_unseen *unseen, double *smoothing, swl_err *err)
{
    static const double prices[] = {1e-8, 1e-7, 1e-6, 1e-5};
    double best = INFINITY;
    bool best_stretched = false;
    int forms = m->y_least > RATIO_FOOT + RATIO_FOOT_ROOM ? 2 : 1;
    *smoothing = prices[1];
    swl_status status = SWL_OK;
    for (int form = 0; form < forms && status == SWL_OK; form++) {
        stretch(m, form == 1);
        status = take_points(m, POINTS_TRY, err);
        for (size_t i = 0; i < sizeof prices / sizeof prices[0] && status == SWL_OK; i++) {
            size_t islands = 0;
            status = swl_surface_fit(&m->surface, prices[i], unseen, m->count, err);
            double rms = status == SWL_OK ? unseen_rms(m, unseen, true, &islands) : (double)NAN;
            if (rms < 0.98 * best) {
                best = rms;
                best_stretched = form == 1;
                *smoothing = prices[i];
            }
        }
    }
    stretch(m, best_stretched);
    return status;
}

/* The surface over the other form of the ratio, by fewer points. */
static swl_status fit_other(maker *m, swl_err *err)
{
    if (!(m->y_least > RATIO_FOOT + RATIO_FOOT_ROOM)) {
        return SWL_OK;
    }
    stretch(m, !m->stretched);
    swl_status status = take_points(m, POINTS_TRY, err);
    if (status == SWL_OK) {
        status = swl_surface_fit(&m->surface, m->map->smoothing, NULL, 0, err);
    }
    m->other = m->surface;
    m->surface = (swl_surface){0};
    stretch(m, !m->stretched);
    return status;
}

static void measure_step(maker *m)
{
    size_t values = 0;
    for (size_t i = 0; i < m->count; i++) {
        bool first = is_island(m, i);
        for (size_t k = 0; k < i && first; k++) {
            first = !is_island(m, k) || m->curves[k].value != m->curves[i].value;
        }
        values += first;
    }
    m->step = (m->level_high - m->level_low) / (double)(values - 1);
}

/* How far off the highest islands are foretold by the others; NAN with fewer than three values. */
static double top_rms(const maker *m, const swl_surface_unseen *unseen)
{
    double sum2 = 0;
    size_t count = 0;
    for (size_t i = 0; i < m->count; i++) {
        if (at_top(m, i)) {
            sum2 += unseen[i].sum2;
            count += unseen[i].count;
        }
    }
    return count > 0 && m->level_under > m->level_low ? sqrt(sum2 / (double)count) : (double)NAN;
}

/* How well the surface keeps what was traced, at every traced point. */
static void measure_fit(maker *m, const swl_surface_unseen *unseen)
{
    double sum2 = 0;
    size_t count = 0;
    for (size_t i = 0; i < m->count; i++) {
        swl_trace_curve *curve = &m->curves[i];
        double own2 = 0;
        for (size_t k = 0; k < curve->track.count && is_island(m, i); k++) {
            double u = 0;
            double v = 0;
            place(m, curve->track.points[k], &u, &v);
            double off = swl_surface_at(&m->surface, u, v) - curve->value;
            own2 += off * off;
            if (fabs(off) > m->map->worst_frac) {
                m->map->worst_frac = fabs(off);
                m->map->worst_curve = i;
                m->map->worst_at = curve->track.points[k];
            }
        }
        if (is_island(m, i)) {
            curve->residual_frac = sqrt(own2 / (double)curve->track.count);
            curve->unseen_frac =
                between(m, i) && unseen[i].count > 0 ? sqrt(unseen[i].sum2 / (double)unseen[i].count) : (double)NAN;
            sum2 += own2;
            count += curve->track.count;
        }
    }
    m->map->rms_frac = sqrt(sum2 / (double)count);
    m->map->unseen_rms_frac = unseen_rms(m, unseen, false, &m->map->unseen_islands);
    m->map->top_rms_frac = top_rms(m, unseen);
    m->map->top_told = m->map->top_rms_frac <= TOP_SHARE * (m->level_high - m->level_under);
    m->map->stretched = m->stretched;
}

static swl_status fit_islands(maker *m, swl_err *err)
{
    swl_surface_unseen *unseen = calloc(m->count, sizeof *unseen);
    if (unseen == NULL) {
        return swl_err_set(err, SWL_ERR_MEMORY, "out of memory for a fit");
    }
    swl_status status = choose_surface(m, unseen, &m->map->smoothing, err);
    if (status == SWL_OK) {
        status = fit_other(m, err);
    }
    if (status == SWL_OK) {
        status = take_points(m, POINTS_FIT, err);
    }
    if (status == SWL_OK) {
        status = swl_surface_fit(&m->surface, m->map->smoothing, unseen, m->count, err);
    }
    if (status == SWL_OK) {
        m->map->fit_points = m->surface.count;
        measure_fit(m, unseen);
    }
    free(unseen);
    return status;
}

static bool untold(maker *m, double p_ratio, double flow, double ea)
{
    stretch(m, !m->stretched);
    double other = swl_surface_at(&m->other, (flow - m->x0) / m->x_span, (level(m, p_ratio) - m->y0) / m->y_span);
    stretch(m, !m->stretched);
    return fabs(other - ea) > UNTOLD_SHARE * m->step;
}

/* Reads one row. Returns: false when it is left out, and counts why. */
static bool take_row(maker *m, double speed_rpm, double p_ratio, double flow)
{
    swl_pixel at;
    swl_trace_map *map = m->map;
    swl_calibration_pixel(m->calibration, flow, p_ratio, &at.x, &at.y);
    if (!(swl_region_outside(&m->region, at) <= HULL_SLACK_PX)) {
        map->left_outside++;
        return false;
    }
    double ea = swl_surface_at(&m->surface, (flow - m->x0) / m->x_span, (level(m, p_ratio) - m->y0) / m->y_span);
    if (!(ea >= m->level_low - 0.5 * (m->level_next - m->level_low))) {
        map->left_below++;
        return false;
    }
    double top = map->top_told ? m->level_high - m->level_under : TOP_SLACK;
    if (!(ea <= m->level_high + top)) {
        map->left_above++;
        return false;
    }
    if (ea <= m->level_high && m->other.count > 0 && untold(m, p_ratio, flow, ea)) {
        map->left_untold++;
        return false;
    }
    map->above_highest += ea > m->level_high;
    map->reached += !(swl_region_outside_islands(&m->region, at) <= HULL_SLACK_PX);
    map->ea_top_frac = fmax(map->ea_top_frac, ea);
    map->rows[map->count++] = (swl_trace_row){
        .speed_rpm = speed_rpm,
        .p_ratio = p_ratio,
        .vdot_m3_s = flow / m->x_per_m3_s,
        .ea_frac = ea,
    };
    return true;
}

static swl_status take_speed_line(maker *m, size_t i, swl_err *err)
{
    swl_speed_line line;
    swl_trace_curve *curve = &m->curves[i];
    swl_status status = swl_speed_line_fit(&curve->track, m->calibration, &line, &curve->residual_px, err);
    if (status != SWL_OK) {
        return status;
    }
    double step = RATIO_STEP;
    while ((line.high - line.low) / step > ROWS_MAX - 2) {
        step *= 2;
    }
    bool any = take_row(m, curve->value, line.low, swl_speed_line_at(&line, line.low));
    for (long k = (long)ceil((line.low + RATIO_NEAR) / step); (double)k * step <= line.high - RATIO_NEAR; k++) {
        double p_ratio = (double)k * step;
        any = take_row(m, curve->value, p_ratio, swl_speed_line_at(&line, p_ratio)) || any;
    }
    any = take_row(m, curve->value, line.high, swl_speed_line_at(&line, line.high)) || any;
    m->map->lines_without += !any;
    return SWL_OK;
}

static int row_order(const void *left, const void *right)
{
    const swl_trace_row *a = left;
    const swl_trace_row *b = right;
    if (a->speed_rpm != b->speed_rpm) {
        return a->speed_rpm < b->speed_rpm ? -1 : 1;
    }
    return a->p_ratio < b->p_ratio ? -1 : a->p_ratio > b->p_ratio;
}

static swl_status take_rows(maker *m, swl_err *err)
{
    swl_trace_map *map = m->map;
    swl_trace_row *rows = calloc(m->count * ROWS_MAX, sizeof *rows);
    map->rows = rows;
    if (rows == NULL) {
        return swl_err_set(err, SWL_ERR_MEMORY, "out of memory for a map");
    }
    swl_status status = SWL_OK;
    for (size_t i = 0; i < m->count && status == SWL_OK; i++) {
        if (!is_island(m, i)) {
            status = take_speed_line(m, i, err);
        }
    }
    if (status == SWL_OK && map->count == 0) {
        status = swl_err_set(err, SWL_ERR_SOLVE,
                             "no point of the speed lines lies among the islands, so there is no row for a table");
    }
    if (status == SWL_OK) {
        qsort(map->rows, map->count, sizeof *map->rows, row_order);
    }
    return status;
}

swl_status swl_trace_map_make(swl_trace_curve *curves, size_t count, const swl_calibration *calibration,
                              double x_per_m3_s, swl_trace_map *map, swl_err *err)
{
    *map = (swl_trace_map){.ea_top_frac = -INFINITY};
    maker m = {.curves = curves, .count = count, .calibration = calibration, .x_per_m3_s = x_per_m3_s, .map = map};
    measure(&m);
    map->ea_low_frac = m.level_low;
    map->ea_high_frac = m.level_high;
    measure_step(&m);
    swl_status status = SWL_OK;
    if (!(m.x_span > 0 && m.y_span > 0)) {
        status = swl_err_set(err, SWL_ERR_SOLVE, "no surface fits: the islands lie on one straight line");
    }
    if (status == SWL_OK) {
        status = fit_islands(&m, err);
    }
    if (status == SWL_OK) {
        status = swl_region_make(curves, count, &m.region, err);
    }
    if (status == SWL_OK) {
        status = take_rows(&m, err);
    }
    swl_surface_free(&m.surface);
    swl_surface_free(&m.other);
    swl_region_free(&m.region);
    if (status != SWL_OK) {
        swl_trace_map_free(map);
    }
    return status;
}
