#include "study/spread_outline.h"

#include <math.h>

#define PI 3.14159265358979323846
/* Shares of the map's spans that are no distance: rounding may not cut all away where samples lie on a line. */
#define NO_DISTANCE 1e-12

static double along(spread_place a, spread_place b)
{
    return a.v * b.v + a.r * b.r;
}

/* How far the samples lie from the middle's point in a direction. */
static swl_interval reach(const spread_cloud *cloud, spread_place d, double *scratch)
{
    for (size_t i = 0; i < cloud->count; i++) {
        spread_place place = {(cloud->vdot_m3_s[i] - cloud->middle->map_vdot_m3_s) / cloud->v_span,
                              (cloud->p_ratio[i] - cloud->middle->p_ratio) / cloud->r_span};
        scratch[i] = along(d, place);
    }
    return swl_spread_interval(scratch, cloud->count);
}

static void add(spread_section *section, spread_place corner)
{
    if (section->count < SPREAD_CORNERS_MAX) {
        section->corner[section->count++] = corner;
    }
}

/* Keeps what lies up to the limit in a direction; all of it where rounding alone would leave nothing. */
static void cut(spread_section *section, spread_place d, double limit)
{
    spread_section kept = {.count = 0};
    for (size_t i = 0; i < section->count; i++) {
        spread_place from = section->corner[i];
        spread_place to = section->corner[(i + 1) % section->count];
        double over_from = along(d, from) - limit;
        double over_to = along(d, to) - limit;
        if (over_from <= NO_DISTANCE) {
            add(&kept, from);
        }
        if ((over_from > NO_DISTANCE && over_to < -NO_DISTANCE) ||
            (over_from < -NO_DISTANCE && over_to > NO_DISTANCE)) {
            double share = over_from / (over_from - over_to);
            add(&kept, (spread_place){from.v + share * (to.v - from.v), from.r + share * (to.r - from.r)});
        }
    }
    if (kept.count > 0) {
        *section = kept;
    }
}

static void cut_both(const spread_cloud *cloud, spread_section *section, spread_place d, double *scratch)
{
    swl_interval of = reach(cloud, d, scratch);
    cut(section, d, of.p95);
    cut(section, (spread_place){-d.v, -d.r}, -of.p05);
}

void swl_spread_section(const spread_cloud *cloud, spread_place line, double *scratch, spread_section *out)
{
    swl_interval v = reach(cloud, (spread_place){1, 0}, scratch);
    swl_interval r = reach(cloud, (spread_place){0, 1}, scratch);
    if (isnan(v.p05)) {
        v = r = (swl_interval){0, 0, 0};
    }
    *out = (spread_section){.corner = {{v.p05, r.p05}, {v.p95, r.p05}, {v.p95, r.p95}, {v.p05, r.p95}}, .count = 4};
    spread_place normal = {-line.r, line.v};
    for (int k = 1; k < SPREAD_DIRECTIONS && v.p95 > v.p05; k++) {
        double angle = PI * k / SPREAD_DIRECTIONS;
        if (2 * k != SPREAD_DIRECTIONS) {
            cut_both(cloud, out, (spread_place){cos(angle), sin(angle)}, scratch);
        }
    }
    if (v.p95 > v.p05) {
        cut_both(cloud, out, normal, scratch);
    }
    for (size_t i = 1; i < out->count; i++) {
        out->upper = along(normal, out->corner[i]) > along(normal, out->corner[out->upper]) ? i : out->upper;
        out->lower = along(normal, out->corner[i]) < along(normal, out->corner[out->lower]) ? i : out->lower;
    }
}

/* What the outline is put together in. */
typedef struct outline {
    const spread_section *sections;
    const swl_point *middle;
    double v_span, r_span;
    double *vdot_m3_s;
    double *p_ratio;
    size_t count;
} outline;

static void put(outline *o, size_t row, size_t corner)
{
    spread_place place = o->sections[row].corner[corner];
    o->vdot_m3_s[o->count] = o->middle[row].map_vdot_m3_s + o->v_span * place.v;
    o->p_ratio[o->count++] = o->middle[row].p_ratio + o->r_span * place.r;
}

/* The corners between two, clockwise. */
static void put_between(outline *o, size_t row, size_t from, size_t to)
{
    size_t n = o->sections[row].count;
    for (size_t k = (from + n - 1) % n; from != to && k != to; k = (k + n - 1) % n) {
        put(o, row, k);
    }
}

size_t swl_spread_outline(const spread_section *sections, const swl_point *middle, size_t count, double v_span,
                          double r_span, double *vdot_m3_s, double *p_ratio)
{
    outline o = {.sections = sections,
                 .middle = middle,
                 .v_span = v_span,
                 .r_span = r_span,
                 .vdot_m3_s = vdot_m3_s,
                 .p_ratio = p_ratio};
    for (size_t row = 0; row < count; row++) {
        put(&o, row, sections[row].upper);
    }
    put_between(&o, count - 1, sections[count - 1].upper, sections[count - 1].lower);
    for (size_t row = count; row-- > 0;) {
        put(&o, row, sections[row].lower);
    }
    put_between(&o, 0, sections[0].lower, sections[0].upper);
    return o.count;
}
