/* Charts as PNG, SVG or PDF bytes. One at a time in a process: the plotting library has one global stream. */
#ifndef SWEPTLINE_DRAW_H
#define SWEPTLINE_DRAW_H

#include "sweptline/beltrun.h"
#include "sweptline/compare.h"
#include "sweptline/field.h"
#include "sweptline/log.h"
#include "sweptline/pulley.h"
#include "sweptline/scan.h"
#include "sweptline/sites.h"
#include "sweptline/soak.h"
#include "sweptline/spread.h"
#include "sweptline/trace.h"

typedef enum swl_format { SWL_FORMAT_PNG, SWL_FORMAT_SVG, SWL_FORMAT_PDF } swl_format;
typedef enum swl_parts { SWL_PARTS_BOTH, SWL_PARTS_MAP, SWL_PARTS_CURVES } swl_parts;

/* width and height in pixels of the PNG, in px of the SVG; a PDF page is A4 landscape when they are 0.
 * dpi is the PNG's: 96 draws type at its plain size, 192 twice as large in pixels. type is how many times larger type
 * and lines are than suits the size, for a picture that will be shown small; 0 stands for 1. */
typedef struct swl_picture {
    swl_format format;
    swl_parts parts;
    int width;
    int height;
    double dpi;
    double type;
} swl_picture;

enum { SWL_PICTURE_MIN = 320, SWL_PICTURE_MAX = 12000 };
#define SWL_DPI_MIN 48.0
#define SWL_DPI_MAX 1200.0

/* What several maps share so that they can be held against each other: the spans of their axes and the levels of their
 * bands, rising, as fractions. */
enum { SWL_BANDS_MAX = 24 };
typedef struct swl_map_scale {
    double vdot_m3_s; /* the largest flow to be shown */
    double ratio_low, ratio_high;
    double level[SWL_BANDS_MAX];
    size_t level_count;
} swl_map_scale;

/* One pair of axes in few words and thinner lines; and without the title of an axis that a neighbour carries. */
enum { SWL_LEAN = 1, SWL_LEAN_NO_FLOW_TITLE = 2, SWL_LEAN_NO_RATIO_TITLE = 4 };

/* What a chart shows; nothing in it is computed while drawing. check is NULL for a unit's map alone. */
typedef struct swl_chart {
    const char *title;
    const char *subtitle;
    const char *caption; /* notes under the chart, one paragraph */
    const swl_blower *blower;
    const swl_build *build; /* NULL with check */
    const swl_check *check;
    const swl_spread *spread; /* of the same build, for bands about the line and the curves; NULL: none */
    const swl_point *marks;   /* where the operating line carries its engine speed, ends first and last */
    size_t mark_count;
    const swl_field *field;
    const swl_trace *traces;
    size_t trace_count;
    double site_pa;             /* what the boost axis stands on */
    double t_discharge_limit_k; /* NAN: none */
    swl_units units;
    const swl_map_scale *scale; /* NULL: what suits this map alone */
    unsigned lean;              /* a map among others: SWL_LEAN_... */

    const swl_log *log; /* a measured run laid over it; NULL for none */

    swl_place *places; /* room for one a row of check's line, filled in by drawing; NULL where they are not wanted */

    /* The picture of the unit's own chart, which then takes the map's place, its pixels mixed with that share of
     * white. NULL: none. Over one, blower and field may be of a unit without a map: field is NULL then. */
    const swl_scan *scan;
    double scan_dim_frac;
} swl_chart;

/* A scale that suits the maps and operating lines of all charts. Errors: SWL_ERR_MEMORY. */
swl_status swl_draw_scale(const swl_chart *charts, size_t count, swl_map_scale *scale, swl_err *err) SWL_MUST_CHECK;

/* A heat soak over time. */
typedef struct swl_soak_chart {
    const char *title;
    const char *subtitle;
    const char *caption;
    const swl_soak *soak;
    swl_units units;
} swl_soak_chart;
swl_status swl_draw_soak(const swl_soak_chart *chart, const swl_picture *picture, swl_buf *out,
                         swl_err *err) SWL_MUST_CHECK;

/* Draws into out. Errors: SWL_ERR_USAGE for a size out of range, SWL_ERR_DRAW with the library's reason,
 * SWL_ERR_MEMORY. */
swl_status swl_draw_chart(const swl_chart *chart, const swl_picture *picture, swl_buf *out,
                          swl_err *err) SWL_MUST_CHECK;

/* One line of a panel over engine speed in rev/min, values in SI; NAN where there is none. inside is NULL when all of
 * it rests on the map. */
typedef struct swl_line_data {
    const double *x;
    const double *y;
    const bool *inside;
    size_t count;
} swl_line_data;

enum { SWL_LINES_MAX = 6, SWL_LINES_PANELS_MAX = 6 };

/* A panel of up to six lines, the first the one that matters. names stand beside the axes; NULL for a line alone. */
typedef struct swl_lines_panel {
    const char *title;
    swl_show show;
    bool change;    /* the values are differences: a temperature has no shift */
    bool free_foot; /* the axis need not start at zero */
    double limit;   /* NAN: none */
    const char *names[SWL_LINES_MAX];
    swl_line_data lines[SWL_LINES_MAX];
    size_t count;
} swl_lines_panel;

/* Small multiples over engine speed from xa to xb, so many abreast; 0 stands for 2. */
typedef struct swl_lines_chart {
    const char *title;
    const char *subtitle;
    const char *caption;
    double xa, xb;
    swl_lines_panel panels[SWL_LINES_PANELS_MAX];
    size_t panel_count;
    size_t abreast;
    swl_units units;
} swl_lines_chart;

/* Errors as swl_draw_chart. */
swl_status swl_draw_lines(const swl_lines_chart *chart, const swl_picture *picture, swl_buf *out,
                          swl_err *err) SWL_MUST_CHECK;

/* How many sites a chart of them draws, the build's own first; the others are left out of it. */
enum { SWL_SITES_DRAWN = 6 };

/* A build on several sites over engine speed: boost, air flow, charge temperature and crank power, a line a site. */
typedef struct swl_site_chart {
    const char *title;
    const char *subtitle;
    const char *caption;
    const swl_build *build;
    const swl_sites *sites;
    swl_units units;
} swl_site_chart;

/* Errors as swl_draw_chart. */
swl_status swl_draw_sites(const swl_site_chart *chart, const swl_picture *picture, swl_buf *out,
                          swl_err *err) SWL_MUST_CHECK;

/* What a plot over pulley sizes shows; nothing in it is computed while drawing. curve is the fine table of
 * swl_pulley_curve, the study's rows are marked on it. Its found sizes are lettered A, B, ... from the
 * smallest on. */
typedef struct swl_pulley_chart {
    const char *title;
    const char *subtitle;
    const char *caption;
    const swl_build *build;
    const swl_pulley_study *study;
    const swl_pulley_row *curve;
    size_t curve_count;
    swl_units units;
} swl_pulley_chart;

/* Returns: the letter of a wish whose size was found and lies in the plot's span; 0 for another. */
char swl_pulley_chart_letter(const swl_pulley_chart *chart, const swl_pulley_wish *wish);

/* Draws small multiples over pulley size into out. Errors as swl_draw_chart. */
swl_status swl_draw_pulley(const swl_pulley_chart *chart, const swl_picture *picture, swl_buf *out,
                           swl_err *err) SWL_MUST_CHECK;

/* A comparison: a map for each build on one scale, the curves over engine speed of all in the same panels, and a table
 * of values. charts are those of the builds, in the comparison's order, of which title is the words above its map and
 * check is NULL where the build was not solved. scale is that of the charts. Panels and engine speeds that the page has
 * no room for are left out, the least asked for first. table_caption is what the caption says of the table, where there
 * is one. */
typedef struct swl_compare_chart {
    const char *title;
    const char *subtitle;
    const char *table_caption;
    const char *caption;
    const swl_compare *compare;
    const swl_chart *charts;
    const swl_map_scale *scale;
    swl_units units;
} swl_compare_chart;

/* Draws into out. Errors as swl_draw_chart. */
swl_status swl_draw_compare(const swl_compare_chart *chart, const swl_picture *picture, swl_buf *out,
                            swl_err *err) SWL_MUST_CHECK;

/* A belt's path to scale, a panel for each alternative. */
typedef struct swl_belt_chart {
    const char *title;
    const char *subtitle;
    const char *caption;
    const swl_belt_study *study;
    swl_units units;
} swl_belt_chart;

/* Draws into out. Errors as of swl_draw_chart. */
swl_status swl_draw_belt(const swl_belt_chart *chart, const swl_picture *picture, swl_buf *out,
                         swl_err *err) SWL_MUST_CHECK;

/* A scan with the curves that were traced on it, between rulers in its pixels. */
typedef struct swl_trace_preview {
    const char *title;
    const char *subtitle;
    const char *caption;
    const swl_tracing *tracing;
} swl_trace_preview;

/* Draws into out. Errors as swl_draw_chart. */
swl_status swl_draw_trace(const swl_trace_preview *preview, const swl_picture *picture, swl_buf *out,
                          swl_err *err) SWL_MUST_CHECK;

/* Appends what draws, with versions: "cairo 1.16.0, PLplot 5.15.0". */
void swl_draw_versions(swl_buf *out);

#endif
