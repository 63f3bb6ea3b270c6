#include "scan/region.h"

#include "scan/hull.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* A place on a track: the point before it and the share of the way to the next. */
typedef struct place {
    double along;
    swl_pixel at;
} place;

static place nearest(const swl_track *track, swl_pixel to, double *off_px)
{
    place best = {0};
    *off_px = INFINITY;
    for (size_t i = 0; i + 1 < track->count; i++) {
        swl_pixel a = track->points[i];
        swl_pixel way = {track->points[i + 1].x - a.x, track->points[i + 1].y - a.y};
        double length2 = way.x * way.x + way.y * way.y;
        double share = length2 > 0 ? ((to.x - a.x) * way.x + (to.y - a.y) * way.y) / length2 : 0;
        share = fmin(fmax(share, 0), 1);
        swl_pixel at = {a.x + share * way.x, a.y + share * way.y};
        double off = hypot(at.x - to.x, at.y - to.y);
        if (off < *off_px) {
            *off_px = off;
            best = (place){.along = (double)i + share, .at = at};
        }
    }
    return best;
}

/* Adds what the islands reach of one speed line. Returns: how many points. */
static size_t take_reached(const swl_trace_curve *curves, size_t count, const swl_trace_curve *line, swl_pixel *out)
{
    place first = {.along = INFINITY};
    place last = {.along = -INFINITY};
    double reach_px = line->track.width_px + SWL_TRACE_REACH_PX;
    for (size_t i = 0; i < count; i++) {
        const swl_track *island = &curves[i].track;
        for (int end = 0; end < 2 && curves[i].kind == SWL_TRACE_ISLAND && !island->closed; end++) {
            double off_px = 0;
            place at = nearest(&line->track, island->points[end == 0 ? 0 : island->count - 1], &off_px);
            if (off_px <= reach_px) {
                first = at.along < first.along ? at : first;
                last = at.along > last.along ? at : last;
            }
        }
    }
    if (!(first.along <= last.along)) {
        return 0;
    }
    size_t n = 0;
    out[n++] = first.at;
    for (size_t k = 0; k < line->track.count; k++) {
        if ((double)k > first.along && (double)k < last.along) {
            out[n++] = line->track.points[k];
        }
    }
    out[n++] = last.at;
    return n;
}

static swl_status make_hull(swl_pixel *points, size_t count, swl_pixel **corners, size_t *corner_count, swl_err *err)
{
    *corners = malloc((count + 1) * sizeof **corners);
    if (*corners == NULL) {
        return swl_err_set(err, SWL_ERR_MEMORY, "out of memory for the hull");
    }
    *corner_count = swl_hull(points, count, *corners);
    return SWL_OK;
}

swl_status swl_region_make(const swl_trace_curve *curves, size_t count, swl_region *region, swl_err *err)
{
    *region = (swl_region){0};
    size_t most = 1;
    for (size_t i = 0; i < count; i++) {
        most += curves[i].track.count + 2;
    }
    swl_pixel *all = malloc(most * sizeof *all);
    if (all == NULL) {
        return swl_err_set(err, SWL_ERR_MEMORY, "out of memory for the hull");
    }
    size_t n = 0;
    for (size_t i = 0; i < count; i++) {
        const swl_track *track = &curves[i].track;
        if (curves[i].kind == SWL_TRACE_ISLAND) {
            memcpy(all + n, track->points, track->count * sizeof *all);
            n += track->count;
        }
    }
    swl_status status = make_hull(all, n, &region->islands, &region->islands_count, err);
    for (size_t i = 0; i < count && status == SWL_OK; i++) {
        if (curves[i].kind == SWL_TRACE_SPEED_LINE) {
            n += take_reached(curves, count, &curves[i], all + n);
        }
    }
    if (status == SWL_OK) {
        status = make_hull(all, n, &region->reached, &region->reached_count, err);
    }
    free(all);
    return status;
}

void swl_region_free(swl_region *region)
{
    free(region->islands);
    free(region->reached);
    *region = (swl_region){0};
}

double swl_region_outside(const swl_region *region, swl_pixel at)
{
    return swl_hull_outside(region->reached, region->reached_count, at);
}

double swl_region_outside_islands(const swl_region *region, swl_pixel at)
{
    return swl_hull_outside(region->islands, region->islands_count, at);
}
