#include "scan/follow.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static double apart(swl_pixel a, swl_pixel b)
{
    return hypot(a.x - b.x, a.y - b.y);
}

swl_status swl_track_smooth(swl_pixel *points, size_t count, double gap_px, swl_err *err)
{
    static const double weight[7] = {-2.0 / 21, 3.0 / 21, 6.0 / 21, 7.0 / 21, 6.0 / 21, 3.0 / 21, -2.0 / 21};
    swl_pixel *raw = malloc(count * sizeof *raw);
    if (raw == NULL) {
        return swl_err_set(err, SWL_ERR_MEMORY, "out of memory for a curve");
    }
    memcpy(raw, points, count * sizeof *raw);
    for (size_t i = 3; i + 3 < count; i++) {
        bool broken = false;
        swl_pixel sum = {0, 0};
        for (size_t k = 0; k < 7; k++) {
            broken = broken || (k > 0 && apart(raw[i + k - 3], raw[i + k - 4]) > gap_px);
            sum.x += weight[k] * raw[i + k - 3].x;
            sum.y += weight[k] * raw[i + k - 3].y;
        }
        if (!broken) {
            points[i] = sum;
        }
    }
    free(raw);
    return SWL_OK;
}

swl_status swl_track_finish(swl_track *track, swl_err *err)
{
    track->length_px = 0;
    for (size_t i = 1; i < track->count; i++) {
        track->length_px += apart(track->points[i], track->points[i - 1]);
    }
    if (track->closed) {
        track->length_px += apart(track->points[0], track->points[track->count - 1]);
    }
    track->simple = malloc(track->count * sizeof *track->simple);
    if (track->simple == NULL) {
        return swl_err_set(err, SWL_ERR_MEMORY, "out of memory for a curve");
    }
    return swl_simplify(track->points, track->count, SWL_TRACK_SIMPLE_PX, track->simple, &track->simple_count, err);
}

swl_status swl_track_take_line(const swl_track_order *order, swl_track *track, swl_err *err)
{
    size_t count = 1;
    for (size_t i = 1; i < order->line_count; i++) {
        count += (size_t)fmax(1, ceil(apart(order->line[i], order->line[i - 1]) / 2));
    }
    track->points = malloc(count * sizeof *track->points);
    if (track->points == NULL) {
        return swl_err_set(err, SWL_ERR_MEMORY, "out of memory for a curve");
    }
    track->points[track->count++] = order->line[0];
    for (size_t i = 1; i < order->line_count; i++) {
        swl_pixel a = order->line[i - 1];
        swl_pixel b = order->line[i];
        size_t parts = (size_t)fmax(1, ceil(apart(a, b) / 2));
        for (size_t k = 1; k <= parts; k++) {
            double share = (double)k / (double)parts;
            track->points[track->count++] = (swl_pixel){a.x + share * (b.x - a.x), a.y + share * (b.y - a.y)};
        }
    }
    track->closed = order->line_count > 3 && apart(order->line[0], order->line[order->line_count - 1]) < 1;
    return swl_track_finish(track, err);
}

swl_status swl_track_cut(swl_track *track, size_t from, size_t to, swl_err *err)
{
    memmove(track->points, track->points + from, (to - from) * sizeof *track->points);
    track->count = to - from;
    free(track->simple);
    track->simple = NULL;
    track->simple_count = 0;
    return swl_track_finish(track, err);
}

void swl_track_free(swl_track *track)
{
    free(track->points);
    free(track->simple);
    *track = (swl_track){0};
}
