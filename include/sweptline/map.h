/* A blower's map: speed lines of volumetric and adiabatic efficiency over pressure ratio. */
#ifndef SWEPTLINE_MAP_H
#define SWEPTLINE_MAP_H

#include "sweptline/diag.h"

#include <stdbool.h>
#include <stddef.h>

/* One measured point. id is the caller's own (a row of its table). */
typedef struct swl_map_row {
    double speed_rpm;
    double p_ratio;
    double ev_frac; /* volumetric efficiency */
    double ea_frac; /* adiabatic efficiency */
    size_t id;
} swl_map_row;

enum { SWL_MAP_LINES_MAX = 200 };

typedef struct swl_map swl_map;
typedef struct swl_map_reader swl_map_reader;

/* Called once for each finding; row is an index into the checked rows, or their count when it is about the whole. */
typedef void swl_map_report(void *context, swl_severity severity, size_t row, const char *text);

/* Sorts rows by speed, then pressure ratio, and tells what is physically wrong or doubtful in them.
 * Errors: numbers outside volumetric efficiency (0, 1.1], adiabatic efficiency (0, 1), speed (0, 200000] rpm,
 * pressure ratio [0.3, 8]; a point given twice; fewer than two speed lines; flow that rises along a
 * speed line by more than 1 %; speed lines that cross. Warnings: less of the same, few lines, a line with one
 * point, an efficiency far off its neighbours, best efficiencies of the map that most units do not have. Notes: points
 * above the Roots limit when pure_roots. */
void swl_map_check(swl_map_row *rows, size_t count, bool pure_roots, swl_map_report *report, void *context);

/* Efficiency of an ideal Roots blower, which raises the pressure at constant volume.
 * Given: pressure ratio above 1, gamma. Returns: isentropic over actual work.
 * Source: Mechanical Engineer's Data Handbook, section 3.11.3. */
double swl_map_roots_limit(double p_ratio, double gamma);

/* Makes a map of checked and sorted rows.
 * Returns: the map, which the caller frees; NULL with an error. */
swl_map *swl_map_new(const swl_map_row *rows, size_t count, swl_err *err) SWL_MUST_CHECK;
void swl_map_free(swl_map *map);

/* Where a reading stands; 0 is inside, else one or more of these. */
enum {
    SWL_MAP_INSIDE = 0,
    SWL_MAP_BELOW_SLOWEST = 1,
    SWL_MAP_ABOVE_FASTEST = 2,
    SWL_MAP_BELOW_RATIO = 4,
    SWL_MAP_ABOVE_RATIO = 8
};
enum { SWL_MAP_SIDES = 4 };

typedef struct swl_map_reading {
    double ev_frac;
    double ea_frac;
    unsigned where;
} swl_map_reading;

/* Memory that reading wants, one a thread. Returns: NULL when out of memory; the caller frees it. */
swl_map_reader *swl_map_reader_new(swl_err *err) SWL_MUST_CHECK;
void swl_map_reader_free(swl_map_reader *reader);

/* Reads the map: along each line by Steffen in pressure ratio, across lines by Steffen in speed, held at the
 * ends of both. A point is inside when its speed lies between two lines that both cover its pressure ratio.
 * Given: corrected speed in rev/min, pressure ratio. Returns: the reading. Never allocates. */
swl_map_reading swl_map_read(const swl_map *map, swl_map_reader *reader, double speed_rpm, double p_ratio);

/* The lines as measured, slowest first; arrays belong to the map. */
typedef struct swl_map_line {
    double speed_rpm;
    size_t count;
    const double *p_ratio;
    const double *ev_frac;
    const double *ea_frac;
} swl_map_line;

size_t swl_map_line_count(const swl_map *map);
swl_map_line swl_map_line_at(const swl_map *map, size_t index);
/* Returns: whether efficiency falls so fast along a line that blower and engine may balance more than once. */
bool swl_map_is_steep(const swl_map *map);
/* Returns: the lowest and the highest pressure ratio of all lines. */
void swl_map_ratio_range(const swl_map *map, double *low, double *high);

#endif
