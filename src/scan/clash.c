#include "sweptline/trace.h"

#include <math.h>

/* Points nearer than this to another curve lie on it; half of them make the curve the same. */
#define SAME_PX 1.5
#define SAME_SHARE 0.5

double swl_off_segment(swl_pixel p, swl_pixel a, swl_pixel b)
{
    double dx = b.x - a.x;
    double dy = b.y - a.y;
    double length2 = dx * dx + dy * dy;
    double t = length2 > 0 ? ((p.x - a.x) * dx + (p.y - a.y) * dy) / length2 : 0;
    t = fmin(fmax(t, 0), 1);
    return hypot(p.x - a.x - t * dx, p.y - a.y - t * dy);
}

/* Share of a curve's points that lie on another. */
static double share_on(const swl_track *of, const swl_track *on)
{
    size_t same = 0;
    for (size_t i = 0; i < of->simple_count; i++) {
        bool near = false;
        for (size_t k = 1; k < on->simple_count && !near; k++) {
            near = swl_off_segment(of->simple[i], on->simple[k - 1], on->simple[k]) < SAME_PX;
        }
        same += near;
    }
    return (double)same / (double)of->simple_count;
}

/* Where two stretches cross. Returns: false when they do not. */
static bool crosses(swl_pixel a, swl_pixel b, swl_pixel c, swl_pixel d, swl_pixel *at)
{
    double rx = b.x - a.x;
    double ry = b.y - a.y;
    double sx = d.x - c.x;
    double sy = d.y - c.y;
    double det = rx * sy - ry * sx;
    if (!(fabs(det) > 0)) {
        return false;
    }
    double t = ((c.x - a.x) * sy - (c.y - a.y) * sx) / det;
    double u = ((c.x - a.x) * ry - (c.y - a.y) * rx) / det;
    *at = (swl_pixel){a.x + t * rx, a.y + t * ry};
    return t >= 0 && t <= 1 && u >= 0 && u <= 1;
}

static bool lines_cross(const swl_track *a, const swl_track *b, swl_pixel *at)
{
    for (size_t i = 1; i < a->simple_count; i++) {
        for (size_t k = 1; k < b->simple_count; k++) {
            if (crosses(a->simple[i - 1], a->simple[i], b->simple[k - 1], b->simple[k], at)) {
                return true;
            }
        }
    }
    return false;
}

bool swl_trace_clashes(const swl_trace_curve *curves, size_t count, swl_trace_clash *clash)
{
    for (size_t i = 1; i < count; i++) {
        for (size_t k = 0; k < i; k++) {
            const swl_track *first = &curves[k].track;
            const swl_track *second = &curves[i].track;
            *clash = (swl_trace_clash){.first = k, .second = i, .at = second->points[second->count / 2]};
            double share = fmax(share_on(second, first), share_on(first, second));
            if (share > SAME_SHARE) {
                clash->share = share;
                return true;
            }
            bool both = curves[i].kind == SWL_TRACE_SPEED_LINE && curves[k].kind == SWL_TRACE_SPEED_LINE;
            if (both && lines_cross(first, second, &clash->at)) {
                return true;
            }
        }
    }
    return false;
}
