#include "sweptline/map.h"

#include "base/gsl_quiet.h"
#include "parts/steep.h"

#include "sweptline/curve.h"

#include <gsl/gsl_errno.h>
#include <gsl/gsl_interp.h>
#include <math.h>
#include <stdlib.h>

struct swl_map {
    size_t count;
    double speed_rpm[SWL_MAP_LINES_MAX];
    swl_curve *ev[SWL_MAP_LINES_MAX];
    swl_curve *ea[SWL_MAP_LINES_MAX];
    bool steep;
};

/* Steffen's slopes at the two ends of an interval rest on four points, so reading across the map needs the two
 * lines on each side of a speed and no more; at the edge of the map three, or the two lines that there are. */
enum { NEAR_MAX = 4 };

struct swl_map_reader {
    gsl_interp *interp[NEAR_MAX + 1]; /* by number of lines, 2 to 4 */
};

static swl_status map_line_add(swl_map *map, const swl_map_row *rows, size_t count, swl_err *err)
{
    if (count > SWL_CURVE_POINTS_MAX || map->count >= SWL_MAP_LINES_MAX) {
        return swl_err_set(err, SWL_ERR_INPUT, "a map has at most %d speed lines of at most %d points",
                           SWL_MAP_LINES_MAX, SWL_CURVE_POINTS_MAX);
    }
    double p_ratio[SWL_CURVE_POINTS_MAX];
    double ev[SWL_CURVE_POINTS_MAX];
    double ea[SWL_CURVE_POINTS_MAX];
    for (size_t i = 0; i < count; i++) {
        p_ratio[i] = rows[i].p_ratio;
        ev[i] = rows[i].ev_frac;
        ea[i] = rows[i].ea_frac;
    }
    size_t at = map->count++;
    map->speed_rpm[at] = rows[0].speed_rpm;
    map->ev[at] = swl_curve_new(p_ratio, ev, count, err);
    map->ea[at] = swl_curve_new(p_ratio, ea, count, err);
    if (map->ev[at] == NULL || map->ea[at] == NULL) {
        return err == NULL ? SWL_ERR_MEMORY : err->status;
    }
    return SWL_OK;
}

/* The margin is for what lies between the points and between the lines. */
#define STEEP_MARGIN (-0.02)

static bool lines_steep(const swl_map *map)
{
    for (size_t i = 0; i < map->count; i++) {
        swl_map_line line = swl_map_line_at(map, i);
        for (size_t k = 1; k < line.count; k++) {
            double run = line.p_ratio[k] - line.p_ratio[k - 1];
            double steepness = swl_steepness(line.p_ratio[k - 1], line.ev_frac[k - 1], line.ea_frac[k - 1],
                                             line.p_ratio[k], line.ev_frac[k], line.ea_frac[k]);
            if (steepness > STEEP_MARGIN * run / 0.1) {
                return true;
            }
        }
    }
    return false;
}

swl_map *swl_map_new(const swl_map_row *rows, size_t count, swl_err *err)
{
    swl_gsl_quiet();
    swl_status status = SWL_OK;
    swl_map *map = calloc(1, sizeof *map);
    if (map == NULL) {
        (void)swl_err_set(err, SWL_ERR_MEMORY, "out of memory for a map");
        return NULL;
    }
    for (size_t start = 0; start < count && status == SWL_OK;) {
        size_t end = start + 1;
        while (end < count && rows[end].speed_rpm == rows[start].speed_rpm) {
            end++;
        }
        status = map_line_add(map, rows + start, end - start, err);
        start = end;
    }
    if (status == SWL_OK && map->count < 2) {
        status = swl_err_set(err, SWL_ERR_INPUT, "a map needs at least two speed lines");
    }
    if (status != SWL_OK) {
        swl_map_free(map);
        return NULL;
    }
    map->steep = lines_steep(map);
    return map;
}

void swl_map_free(swl_map *map)
{
    if (map == NULL) {
        return;
    }
    for (size_t i = 0; i < map->count; i++) {
        swl_curve_free(map->ev[i]);
        swl_curve_free(map->ea[i]);
    }
    free(map);
}

swl_map_reader *swl_map_reader_new(swl_err *err)
{
    swl_gsl_quiet();
    swl_map_reader *reader = calloc(1, sizeof *reader);
    bool ok = reader != NULL;
    for (size_t n = 2; ok && n <= NEAR_MAX; n++) {
        reader->interp[n] = gsl_interp_alloc(n > 2 ? gsl_interp_steffen : gsl_interp_linear, n);
        ok = reader->interp[n] != NULL;
    }
    if (!ok) {
        (void)swl_err_set(err, SWL_ERR_MEMORY, "out of memory for reading a map");
        swl_map_reader_free(reader);
        return NULL;
    }
    return reader;
}

void swl_map_reader_free(swl_map_reader *reader)
{
    if (reader != NULL) {
        for (size_t n = 2; n <= NEAR_MAX; n++) {
            gsl_interp_free(reader->interp[n]);
        }
        free(reader);
    }
}

/* Index of the last line that is not faster, at most the last but one. */
static size_t map_interval(const swl_map *map, double speed_rpm)
{
    size_t low = 0;
    size_t high = map->count - 1;
    while (high - low > 1) {
        size_t middle = (low + high) / 2;
        if (map->speed_rpm[middle] <= speed_rpm) {
            low = middle;
        } else {
            high = middle;
        }
    }
    return low;
}

static unsigned line_where(const swl_map *map, size_t line, double p_ratio)
{
    unsigned where = p_ratio < swl_curve_first_x(map->ev[line]) ? SWL_MAP_BELOW_RATIO : 0;
    return where | (p_ratio > swl_curve_last_x(map->ev[line]) ? SWL_MAP_ABOVE_RATIO : 0);
}

static unsigned map_where(const swl_map *map, size_t line, double speed_rpm, double p_ratio)
{
    unsigned where = speed_rpm < map->speed_rpm[0] ? SWL_MAP_BELOW_SLOWEST : 0;
    where |= speed_rpm > map->speed_rpm[map->count - 1] ? SWL_MAP_ABOVE_FASTEST : 0;
    if (speed_rpm < map->speed_rpm[line + 1]) {
        where |= line_where(map, line, p_ratio);
    }
    if (speed_rpm > map->speed_rpm[line]) {
        where |= line_where(map, line + 1, p_ratio);
    }
    return where;
}

static double map_across(swl_map_reader *reader, const double *speed_rpm, const double *value, size_t near,
                         double at_rpm)
{
    gsl_interp *interp = reader->interp[near];
    if (gsl_interp_init(interp, speed_rpm, value, near) != GSL_SUCCESS) {
        return NAN;
    }
    return gsl_interp_eval(interp, speed_rpm, value, at_rpm, NULL);
}

swl_map_reading swl_map_read(const swl_map *map, swl_map_reader *reader, double speed_rpm, double p_ratio)
{
    size_t line = map_interval(map, speed_rpm);
    if (isnan(speed_rpm) || isnan(p_ratio)) {
        return (swl_map_reading){NAN, NAN, SWL_MAP_BELOW_SLOWEST | SWL_MAP_BELOW_RATIO};
    }
    unsigned where = map_where(map, line, speed_rpm, p_ratio);
    double slowest = map->speed_rpm[0];
    double fastest = map->speed_rpm[map->count - 1];
    double at_rpm = speed_rpm < slowest ? slowest : speed_rpm > fastest ? fastest : speed_rpm;
    size_t first = line > 0 ? line - 1 : 0;
    size_t last = line + 2 < map->count ? line + 2 : map->count - 1;
    double ev[NEAR_MAX];
    double ea[NEAR_MAX];
    for (size_t i = first; i <= last; i++) {
        ev[i - first] = swl_curve_at(map->ev[i], p_ratio);
        ea[i - first] = swl_curve_at(map->ea[i], p_ratio);
    }
    size_t near = last - first + 1;
    return (swl_map_reading){
        .ev_frac = map_across(reader, map->speed_rpm + first, ev, near, at_rpm),
        .ea_frac = map_across(reader, map->speed_rpm + first, ea, near, at_rpm),
        .where = where,
    };
}

size_t swl_map_line_count(const swl_map *map)
{
    return map->count;
}

swl_map_line swl_map_line_at(const swl_map *map, size_t index)
{
    return (swl_map_line){
        .speed_rpm = map->speed_rpm[index],
        .count = swl_curve_count(map->ev[index]),
        .p_ratio = swl_curve_x(map->ev[index]),
        .ev_frac = swl_curve_y(map->ev[index]),
        .ea_frac = swl_curve_y(map->ea[index]),
    };
}

void swl_map_ratio_range(const swl_map *map, double *low, double *high)
{
    *low = INFINITY;
    *high = -INFINITY;
    for (size_t i = 0; i < map->count; i++) {
        *low = fmin(*low, swl_curve_first_x(map->ev[i]));
        *high = fmax(*high, swl_curve_last_x(map->ev[i]));
    }
}

bool swl_map_is_steep(const swl_map *map)
{
    return map->steep;
}
