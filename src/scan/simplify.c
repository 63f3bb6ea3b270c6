#include "sweptline/track.h"

#include <math.h>
#include <stdlib.h>

typedef struct span {
    size_t from, to;
} span;

static double off_chord(swl_pixel p, swl_pixel a, swl_pixel b)
{
    double dx = b.x - a.x;
    double dy = b.y - a.y;
    double length2 = dx * dx + dy * dy;
    double share = length2 > 0 ? ((p.x - a.x) * dx + (p.y - a.y) * dy) / length2 : 0;
    share = share < 0 ? 0 : share > 1 ? 1 : share;
    return hypot(p.x - a.x - share * dx, p.y - a.y - share * dy);
}

static size_t farthest(const swl_pixel *points, span s, double *off_px)
{
    size_t best = s.from;
    *off_px = -1;
    for (size_t i = s.from + 1; i < s.to; i++) {
        double off = off_chord(points[i], points[s.from], points[s.to]);
        if (off > *off_px) {
            *off_px = off;
            best = i;
        }
    }
    return best;
}

swl_status swl_simplify(const swl_pixel *points, size_t count, double error_px, swl_pixel *out, size_t *kept,
                        swl_err *err)
{
    *kept = 0;
    if (count == 0) {
        return SWL_OK;
    }
    /* A span waits for each point that was split at, so count of them are enough. */
    span *waiting = calloc(count, sizeof *waiting);
    unsigned char *keep = calloc(count, 1);
    if (waiting == NULL || keep == NULL) {
        free(waiting);
        free(keep);
        return swl_err_set(err, SWL_ERR_MEMORY, "out of memory for a curve");
    }
    size_t depth = 0;
    waiting[depth++] = (span){0, count - 1};
    keep[0] = keep[count - 1] = 1;
    while (depth > 0) {
        span s = waiting[--depth];
        double off_px = 0;
        size_t at = farthest(points, s, &off_px);
        if (off_px > error_px) {
            keep[at] = 1;
            waiting[depth++] = (span){s.from, at};
            waiting[depth++] = (span){at, s.to};
        }
    }
    for (size_t i = 0; i < count; i++) {
        if (keep[i]) {
            out[(*kept)++] = points[i];
        }
    }
    free(waiting);
    free(keep);
    return SWL_OK;
}
