/* Charts as PNG, SVG or PDF bytes. One at a time in a process: the plotting library has one global stream. */
#ifndef SWEPTLINE_DRAW_H
#define SWEPTLINE_DRAW_H

#include "sweptline/check.h"
#include "sweptline/field.h"
#include "sweptline/pulley.h"
#include "sweptline/sites.h"
#include "sweptline/spread.h"

typedef enum swl_format { SWL_FORMAT_PNG, SWL_FORMAT_SVG, SWL_FORMAT_PDF } swl_format;
typedef enum swl_parts { SWL_PARTS_BOTH, SWL_PARTS_MAP, SWL_PARTS_CURVES } swl_parts;

/* width and height in pixels of the PNG, in px of the SVG; a PDF page is A4 landscape when they are 0.
 * dpi is the PNG's: 96 draws type at its plain size, 192 twice as large in pixels. */
typedef struct swl_picture {
    swl_format format;
    swl_parts parts;
    int width;
    int height;
    double dpi;
} swl_picture;

enum { SWL_PICTURE_MIN = 320, SWL_PICTURE_MAX = 12000 };
#define SWL_DPI_MIN 48.0
#define SWL_DPI_MAX 1200.0

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
} swl_chart;

/* Draws into out. Errors: SWL_ERR_USAGE for a size out of range, SWL_ERR_DRAW with the library's reason,
 * SWL_ERR_MEMORY. */
swl_status swl_draw_chart(const swl_chart *chart, const swl_picture *picture, swl_buf *out,
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

#endif
