#include "scan/hull.h"

#include <math.h>
#include <stdlib.h>

static int order(const void *left, const void *right)
{
    const swl_pixel *a = left;
    const swl_pixel *b = right;
    if (a->x != b->x) {
        return a->x < b->x ? -1 : 1;
    }
    return a->y < b->y ? -1 : a->y > b->y;
}

static double cross(swl_pixel o, swl_pixel a, swl_pixel b)
{
    return (a.x - o.x) * (b.y - o.y) - (a.y - o.y) * (b.x - o.x);
}

size_t swl_hull(swl_pixel *points, size_t count, swl_pixel *corners)
{
    size_t n = 0;
    if (count < 3) {
        return 0;
    }
    qsort(points, count, sizeof *points, order);
    for (size_t i = 0; i < count; i++) {
        while (n >= 2 && cross(corners[n - 2], corners[n - 1], points[i]) <= 0) {
            n--;
        }
        corners[n++] = points[i];
    }
    size_t lower = n + 1;
    for (size_t i = count - 1; i-- > 0;) {
        while (n >= lower && cross(corners[n - 2], corners[n - 1], points[i]) <= 0) {
            n--;
        }
        corners[n++] = points[i];
    }
    return n - 1;
}

double swl_hull_outside(const swl_pixel *corners, size_t count, swl_pixel at)
{
    double worst = -INFINITY;
    for (size_t i = 0; i < count; i++) {
        swl_pixel a = corners[i];
        swl_pixel b = corners[(i + 1) % count];
        double length = hypot(b.x - a.x, b.y - a.y);
        if (length > 0) {
            worst = fmax(worst, -cross(a, b, at) / length);
        }
    }
    return count < 3 ? (double)INFINITY : worst;
}
