#include "scan/follow.h"

#include "scan/edge.h"

#include <math.h>
#include <string.h>

/* A seed is read off a screen by eye, so the line is looked for within this many pixels. */
enum { REACH = 2, REACH_COLOUR = 4, WINDOW = 20, ANGLES = 36 };
/* A line stands off its background by this distance at least; grain alone makes half of it. */
#define SEEN_LEAST 0.08
#define SHARE_LEAST 0.15
/* Wide enough for any line while its width is not known. */
#define WIDTH_GUESS_PX 8.0

static const unsigned char *at_pixel(const swl_image *image, int x, int y)
{
    return image->rgb + 3 * ((size_t)y * (size_t)image->width + (size_t)x);
}

static bool holds(const swl_image *image, int x, int y)
{
    return x >= 0 && y >= 0 && x < image->width && y < image->height;
}

/* The commonest colour around: 16 steps a channel, the mean of what fell into the fullest. */
static swl_oklab ground_of(const swl_image *image, int x0, int y0)
{
    unsigned count[4096] = {0};
    unsigned best = 0;
    for (int pass = 0; pass < 2; pass++) {
        double sum[3] = {0, 0, 0};
        double n = 0;
        for (int y = y0 - WINDOW; y <= y0 + WINDOW; y++) {
            for (int x = x0 - WINDOW; x <= x0 + WINDOW; x++) {
                if (!holds(image, x, y)) {
                    continue;
                }
                const unsigned char *rgb = at_pixel(image, x, y);
                unsigned bin = (unsigned)(rgb[0] >> 4 << 8 | rgb[1] >> 4 << 4 | rgb[2] >> 4);
                if (pass == 0) {
                    count[bin]++;
                    best = count[bin] > count[best] ? bin : best;
                } else if (bin == best) {
                    n++;
                    for (int c = 0; c < 3; c++) {
                        sum[c] += rgb[c];
                    }
                }
            }
        }
        if (pass == 1) {
            return swl_oklab_of(sum[0] / n, sum[1] / n, sum[2] / n);
        }
    }
    return (swl_oklab){0, 0, 0};
}

/* The pixel near the seed that is line most plainly. Returns: how plainly; below its least there is none. */
static double plainest(const swl_image *image, const swl_track_order *order, int x0, int y0, const swl_oklab *ink,
                       int *best_x, int *best_y)
{
    swl_oklab ground = ground_of(image, x0, y0);
    int reach = ink == NULL ? REACH : REACH_COLOUR;
    double best = -1;
    for (int y = y0 - reach; y <= y0 + reach; y++) {
        for (int x = x0 - reach; x <= x0 + reach; x++) {
            if (!holds(image, x, y)) {
                continue;
            }
            const unsigned char *rgb = at_pixel(image, x, y);
            swl_oklab colour = swl_oklab_of(rgb[0], rgb[1], rgb[2]);
            double plain = ink == NULL ? swl_oklab_distance(colour, ground)
                                       : fmin(swl_share_of(colour, ground, *ink, order->tolerance), 1);
            /* Of equals the nearest. */
            plain -= 1e-3 * hypot(x - x0, y - y0);
            if (plain > best) {
                best = plain;
                *best_x = x;
                *best_y = y;
            }
        }
    }
    return best;
}

static swl_pixel direction(int angle)
{
    double turn = angle * acos(-1.0) / ANGLES;
    return (swl_pixel){cos(turn), sin(turn)};
}

/* How much line lies along a heading on both sides of a place. */
static double along(const swl_image *image, const swl_stroke *stroke, swl_pixel at, swl_pixel heading)
{
    double sum = 0;
    for (int k = -3; k <= 3; k++) {
        double d = 2.0 * k;
        double gate_px = 0.6 + 0.15 * fabs(d);
        swl_pixel place = {at.x + d * heading.x, at.y + d * heading.y};
        swl_section section = swl_section_read(image, stroke, place, heading, gate_px);
        sum += section.found ? fmin(section.peak, 1.5 * stroke->peak) / (1 + 0.3 * section.width_px) : 0;
    }
    return sum;
}

static void settle(const swl_image *image, swl_stroke *stroke, swl_pixel *centre, swl_pixel *heading)
{
    double best = -1;
    swl_pixel from = *centre;
    for (int angle = 0; angle < ANGLES; angle++) {
        swl_pixel way = direction(angle);
        swl_section section = swl_section_read(image, stroke, from, way, REACH + 1);
        if (!section.found) {
            continue;
        }
        swl_pixel middle = {from.x - way.y * section.offset_px, from.y + way.x * section.offset_px};
        double score = along(image, stroke, middle, way);
        if (score > best) {
            best = score;
            *centre = middle;
            *heading = way;
        }
    }
}

swl_track_fault swl_track_start(const swl_image *image, const swl_track_order *order, swl_stroke *stroke,
                                swl_pixel *centre, swl_pixel *heading, unsigned char found[3])
{
    double sx = floor(order->seed.x + 0.5);
    double sy = floor(order->seed.y + 0.5);
    if (!(sx >= 0 && sy >= 0 && sx < image->width && sy < image->height)) {
        return SWL_TRACK_SEED_OUTSIDE;
    }
    if (order->is_edge) {
        return swl_edge_start(image, order, stroke, centre, heading, found);
    }
    int x = (int)sx;
    int y = (int)sy;
    memcpy(found, at_pixel(image, x, y), 3);
    swl_oklab ink = swl_oklab_of(order->rgb[0], order->rgb[1], order->rgb[2]);
    double plain = plainest(image, order, x, y, order->has_colour ? &ink : NULL, &x, &y);
    if (plain < (order->has_colour ? SHARE_LEAST : SEEN_LEAST)) {
        return order->has_colour ? SWL_TRACK_NO_SUCH_COLOUR : SWL_TRACK_ON_BACKGROUND;
    }
    const unsigned char *rgb = at_pixel(image, x, y);
    if (!order->has_colour) {
        memcpy(found, rgb, 3);
        ink = swl_oklab_of(rgb[0], rgb[1], rgb[2]);
    } else {
        memcpy(found, order->rgb, 3);
    }
    *stroke = (swl_stroke){.ink = ink, .tolerance = order->tolerance, .width_px = WIDTH_GUESS_PX};
    /* Without a colour the seed's own is all line. */
    stroke->peak = order->has_colour ? fmin(plain, 0.5) : 0.5;
    *centre = (swl_pixel){x, y};
    *heading = (swl_pixel){1, 0};
    for (int pass = 0; pass < 2; pass++) {
        settle(image, stroke, centre, heading);
        swl_section section = swl_section_read(image, stroke, *centre, *heading, REACH);
        if (section.found) {
            stroke->width_px = fmin(fmax(section.width_px, 1), 4 * WIDTH_GUESS_PX);
            stroke->peak = section.peak;
        }
    }
    return SWL_TRACK_FOLLOWED;
}
