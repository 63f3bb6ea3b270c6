#include "sweptline/pulley.h"

#include "base/gsl_quiet.h"

#include <gsl/gsl_errno.h>
#include <gsl/gsl_math.h>
#include <gsl/gsl_min.h>
#include <math.h>

/* Steps of engine speed in a span; halvings of the step in which the line leaves the map; sizes of the scan. */
enum { SPAN_STEPS = 96, EDGE_HALVINGS = 20, SCAN_SIZES = 241 };

typedef struct hunt {
    const swl_build *build;
    swl_pulley pulley;
    const swl_island_span *span;
    swl_match *match;
} hunt;

/* One engine speed of the span. */
typedef struct node {
    double rpm;
    double weight;
    double eff_frac;
    bool inside;
} node;

static node node_at(const hunt *h, double rpm)
{
    swl_point point = swl_match_point(h->match, rpm);
    return (node){.rpm = rpm,
                  .weight = h->span->weight == NULL ? 1 : swl_curve_at(h->span->weight, rpm),
                  .eff_frac = point.ea_frac,
                  .inside = point.end == SWL_MATCH_SOLVED && point.map_where == SWL_MAP_INSIDE};
}

/* The last speed inside between one that is and one that is not, so that the mean moves with the size without steps. */
static node edge_between(const hunt *h, node inside, node outside)
{
    for (int i = 0; i < EDGE_HALVINGS; i++) {
        node middle = node_at(h, (inside.rpm + outside.rpm) / 2);
        if (middle.inside) {
            inside = middle;
        } else {
            outside = middle;
        }
    }
    return inside;
}

/* Adds the stretch between two speeds inside, by the trapezium rule. */
static void stretch_add(node a, node b, double *gain, double *share)
{
    double half_rpm = fabs(b.rpm - a.rpm) / 2;
    *gain += half_rpm * (a.weight * a.eff_frac + b.weight * b.eff_frac);
    *share += half_rpm * (a.weight + b.weight);
}

static swl_island_mean mean_of(const hunt *h, double d_m)
{
    swl_build changed = swl_pulley_build(h->build, h->pulley, d_m);
    swl_match_set(h->match, &changed);
    double gain = 0;
    double share = 0;
    double whole = 0;
    node last = node_at(h, h->span->from_rpm);
    for (int i = 1; i <= SPAN_STEPS; i++) {
        double step_rpm = (h->span->to_rpm - h->span->from_rpm) / SPAN_STEPS;
        node next = node_at(h, i == SPAN_STEPS ? h->span->to_rpm : h->span->from_rpm + i * step_rpm);
        whole += (next.rpm - last.rpm) / 2 * (last.weight + next.weight);
        if (last.inside && next.inside) {
            stretch_add(last, next, &gain, &share);
        } else if (last.inside) {
            stretch_add(last, edge_between(h, last, next), &gain, &share);
        } else if (next.inside) {
            stretch_add(next, edge_between(h, next, last), &gain, &share);
        }
        last = next;
    }
    swl_match_set(h->match, h->build);
    return (swl_island_mean){.d_m = d_m, .eff_frac = gain / whole, .inside_frac = share / whole};
}

static swl_status hunt_open(hunt *h, swl_err *err)
{
    const swl_island_span *span = h->span;
    if (!(span->from_rpm > 0 && span->to_rpm > span->from_rpm && isfinite(span->to_rpm))) {
        return swl_err_set(err, SWL_ERR_USAGE, "a span of engine speed wants its end above its start");
    }
    h->match = swl_match_new(h->build, err);
    return h->match == NULL ? SWL_ERR_MEMORY : SWL_OK;
}

swl_status swl_pulley_island_mean(const swl_build *build, swl_pulley pulley, const swl_island_span *span, double d_m,
                                  swl_island_mean *mean, swl_err *err)
{
    hunt h = {.build = build, .pulley = pulley, .span = span};
    swl_status status = hunt_open(&h, err);
    if (status == SWL_OK) {
        *mean = mean_of(&h, d_m);
        swl_match_free(h.match);
    }
    return status;
}

static double less_of(double d_m, void *context)
{
    return -mean_of(context, d_m).eff_frac;
}

/* Brent's minimisation (R. P. Brent, Algorithms for Minimization without Derivatives, 1973; computed by the GNU
 * Scientific Library) between two sizes around a better one. Where the bracket is none, as on a flat top, the size in
 * the middle stays. */
static swl_status refine(hunt *h, double low_m, double high_m, swl_island_mean *peak, swl_err *err)
{
    gsl_min_fminimizer *brent = gsl_min_fminimizer_alloc(gsl_min_fminimizer_brent);
    if (brent == NULL) {
        return swl_err_set(err, SWL_ERR_MEMORY, "out of memory for a minimisation");
    }
    gsl_function loss = {less_of, h};
    int code = gsl_min_fminimizer_set(brent, &loss, peak->d_m, low_m, high_m);
    for (int i = 0; i < 60 && code == GSL_SUCCESS; i++) {
        code = gsl_min_fminimizer_iterate(brent);
        double a_m = gsl_min_fminimizer_x_lower(brent);
        double b_m = gsl_min_fminimizer_x_upper(brent);
        if (code != GSL_SUCCESS || gsl_min_test_interval(a_m, b_m, 1e-7, 0) == GSL_SUCCESS) {
            break;
        }
    }
    swl_island_mean better = mean_of(h, gsl_min_fminimizer_x_minimum(brent));
    if (better.eff_frac > peak->eff_frac) {
        *peak = better;
    }
    gsl_min_fminimizer_free(brent);
    return SWL_OK;
}

/* A size a thousandth of a step inside the end, when that is better than the end itself. */
static swl_status refine_end(hunt *h, const swl_island_mean *scan, size_t at, swl_island_mean *peak, bool *at_end,
                             swl_err *err)
{
    const swl_island_mean *beside = at == 0 ? &scan[1] : &scan[at - 1];
    double end_m = scan[at].d_m;
    swl_island_mean inner = mean_of(h, end_m + (beside->d_m - end_m) / 1000);
    *at_end = !(inner.eff_frac > peak->eff_frac);
    if (*at_end) {
        return SWL_OK;
    }
    *peak = inner;
    return refine(h, fmin(end_m, beside->d_m), fmax(end_m, beside->d_m), peak, err);
}

static swl_status peak_add(hunt *h, const swl_island_mean *scan, size_t at, swl_pulley_island *island, swl_err *err)
{
    swl_island_mean peak = scan[at];
    bool at_end = false;
    if (!(peak.eff_frac > 0)) {
        return SWL_OK;
    }
    bool is_end = at == 0 || at + 1 == SCAN_SIZES;
    swl_status status = is_end ? refine_end(h, scan, at, &peak, &at_end, err)
                               : refine(h, scan[at - 1].d_m, scan[at + 1].d_m, &peak, err);
    size_t place = island->peak_count;
    while (place > 0 && island->peaks[place - 1].eff_frac < peak.eff_frac) {
        place--;
    }
    if (place == SWL_ISLAND_PEAKS_MAX) {
        return status;
    }
    island->peak_count += island->peak_count < SWL_ISLAND_PEAKS_MAX;
    for (size_t i = island->peak_count - 1; i > place; i--) {
        island->peaks[i] = island->peaks[i - 1];
    }
    island->peaks[place] = peak;
    island->at_end = place == 0 ? at_end : island->at_end;
    return status;
}

/* Maxima and dips by turns; each counts once the scan has come away from it by what stands out. */
static swl_status peaks_find(hunt *h, const swl_island_mean *scan, swl_pulley_island *island, swl_err *err)
{
    size_t top = 0;
    size_t dip = 0;
    bool rising = true;
    swl_status status = SWL_OK;
    for (size_t i = 0; i < SCAN_SIZES && status == SWL_OK; i++) {
        double at = scan[i].eff_frac;
        top = at > scan[top].eff_frac ? i : top;
        dip = at < scan[dip].eff_frac ? i : dip;
        if (rising && at < scan[top].eff_frac - SWL_ISLAND_STANDS_OUT_FRAC) {
            status = peak_add(h, scan, top, island, err);
            rising = false;
            dip = i;
        } else if (!rising && at > scan[dip].eff_frac + SWL_ISLAND_STANDS_OUT_FRAC) {
            rising = true;
            top = i;
        }
    }
    return rising && status == SWL_OK ? peak_add(h, scan, top, island, err) : status;
}

static double map_best_frac(const swl_map *map)
{
    double best_frac = 0;
    for (size_t i = 0; i < swl_map_line_count(map); i++) {
        swl_map_line line = swl_map_line_at(map, i);
        for (size_t k = 0; k < line.count; k++) {
            best_frac = fmax(best_frac, line.ea_frac[k]);
        }
    }
    return best_frac;
}

static void listed_best(const hunt *h, const double *listed_m, size_t count, swl_pulley_island *island)
{
    island->listed = (swl_island_mean){.d_m = NAN};
    for (size_t i = 0; i < count; i++) {
        swl_island_mean mean = mean_of(h, listed_m[i]);
        if (mean.eff_frac > island->listed.eff_frac) {
            island->listed = mean;
        }
    }
}

swl_status swl_pulley_find_island(const swl_build *build, swl_pulley pulley, const swl_island_span *span,
                                  const double *listed_m, size_t count, swl_pulley_island *island, swl_err *err)
{
    hunt h = {.build = build, .pulley = pulley, .span = span};
    double own_m = pulley == SWL_PULLEY_CRANK ? build->drive.d_crank_m : build->drive.d_blower_m;
    *island = (swl_pulley_island){.small_m = own_m / 2, .large_m = own_m * 2, .listed = {.d_m = NAN}};
    swl_gsl_quiet();
    swl_status status = hunt_open(&h, err);
    if (status != SWL_OK) {
        return status;
    }
    island->map_best_frac = map_best_frac(build->blower.map);
    island->own = mean_of(&h, own_m);
    listed_best(&h, listed_m, count, island);
    swl_island_mean scan[SCAN_SIZES] = {{0}};
    for (size_t i = 0; i < SCAN_SIZES; i++) {
        /* Even steps of the ratio; the ends exactly. */
        double share = (double)i / (SCAN_SIZES - 1);
        scan[i] = mean_of(&h, i == 0 ? own_m / 2 : i + 1 == SCAN_SIZES ? own_m * 2 : own_m * pow(4, share - 0.5));
    }
    status = peaks_find(&h, scan, island, err);
    swl_match_free(h.match);
    if (status == SWL_OK && island->peak_count == 0) {
        status = swl_err_set(err, SWL_ERR_SOLVE, "no size from %.4g mm to %.4g mm puts any of the span on the map",
                             1000 * island->small_m, 1000 * island->large_m);
    }
    return status;
}
