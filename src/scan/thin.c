#include "scan/thin.h"

#include "scan/edge.h"

#include <math.h>

enum { SAMPLES_MAX = 401, BESIDE_BEST = 3 };
#define SAMPLE_PX 0.5
/* How far beside a line its background is read: past the anti-aliasing, short of the next line. */
#define BESIDE_FROM_PX 1.25
#define BESIDE_WIDTH_PX 4.0
/* Share of the line's peak that belongs to it, and that its foot reaches down to. */
#define RUN_SHARE 0.4
#define FOOT_SHARE 0.1
/* A line this much wider than drawn touches another. */
#define MERGED_TIMES 1.6
#define MERGED_PX 0.7
/* A background nearer to the line's colour than this is none. */
#define CONTRAST_LEAST 0.04
/* What a pixel may be off at least, as a share of the tolerance, and how fast trust in it falls beyond. */
#define PALE_SHARE 0.25
#define TRUST_FALL 4.0

/* Colours and line shares of a section; sample i stands at (i - middle) * SAMPLE_PX. */
typedef struct profile {
    int count;
    int middle;
    swl_oklab colour[SAMPLES_MAX];
    double off_ink[SAMPLES_MAX]; /* distance from the line's colour */
    double share[SAMPLES_MAX];
} profile;

static double place(const profile *p, int i)
{
    return (i - p->middle) * SAMPLE_PX;
}

/* Each sample is the mean of three along the heading, which halves the grain of a scan. */
static void profile_read(profile *p, const swl_image *image, swl_oklab ink, swl_pixel at, swl_pixel heading,
                         double reach_px)
{
    const int most = SAMPLES_MAX / 2;
    int half = (int)fmin(ceil(reach_px / SAMPLE_PX), most);
    p->middle = half;
    p->count = 2 * half + 1;
    for (int i = 0; i < p->count; i++) {
        double t = place(p, i);
        double rgb[3] = {0, 0, 0};
        for (int k = -1; k <= 1; k++) {
            double along = 0.7 * k;
            swl_image_mix(image, at.x - heading.y * t + heading.x * along, at.y + heading.x * t + heading.y * along,
                          1.0 / 3, rgb);
        }
        p->colour[i] = swl_oklab_of(rgb[0], rgb[1], rgb[2]);
        p->off_ink[i] = swl_oklab_distance(p->colour[i], ink);
    }
}

/* Colour of the background on one side (-1 left, 1 right) of a place: of the samples beside it the third that is least
 * like the line, so that a neighbouring line does not count. Returns: false at the section's end. */
static bool background(const profile *p, int at, double from_px, int side, swl_oklab *mean)
{
    int from = at + side * (int)ceil(from_px / SAMPLE_PX);
    int to = from + side * (int)(BESIDE_WIDTH_PX / SAMPLE_PX);
    int best[BESIDE_BEST] = {-1, -1, -1};
    for (int i = from; i != to; i += side) {
        if (i < 0 || i >= p->count) {
            break;
        }
        int moved = i;
        for (int k = 0; k < BESIDE_BEST; k++) {
            if (best[k] < 0 || p->off_ink[moved] > p->off_ink[best[k]]) {
                int pushed = best[k];
                best[k] = moved;
                moved = pushed;
                if (moved < 0) {
                    break;
                }
            }
        }
    }
    *mean = (swl_oklab){0, 0, 0};
    for (int k = 0; k < BESIDE_BEST && best[BESIDE_BEST - 1] >= 0; k++) {
        mean->l += p->colour[best[k]].l / BESIDE_BEST;
        mean->a += p->colour[best[k]].a / BESIDE_BEST;
        mean->b += p->colour[best[k]].b / BESIDE_BEST;
    }
    return best[BESIDE_BEST - 1] >= 0;
}

double swl_share_of(swl_oklab colour, swl_oklab ground, swl_oklab ink, double tolerance)
{
    swl_oklab way = {ink.l - ground.l, ink.a - ground.a, ink.b - ground.b};
    swl_oklab off = {colour.l - ground.l, colour.a - ground.a, colour.b - ground.b};
    double length2 = way.l * way.l + way.a * way.a + way.b * way.b;
    if (length2 < CONTRAST_LEAST * CONTRAST_LEAST) {
        return 0;
    }
    double share = (off.l * way.l + off.a * way.a + off.b * way.b) / length2;
    swl_oklab on = {ground.l + share * way.l, ground.a + share * way.a, ground.b + share * way.b};
    double beside = swl_oklab_distance(colour, on);
    /* A pale pixel is nearer to every colour, so that less is allowed of it. */
    double allowed = tolerance * fmin(fmax(share, PALE_SHARE), 1);
    double trust = beside <= allowed ? 1 : 1 - TRUST_FALL * (beside / allowed - 1);
    return share <= 0 || trust <= 0 ? 0 : share * trust;
}

/* Shares for finding a line: of each sample against what lies on both sides of it, the lesser; the edge of a filled
 * area has none. */
static void shares_seek(profile *p, const swl_stroke *stroke)
{
    double from_px = stroke->width_px / 2 + BESIDE_FROM_PX;
    for (int i = 0; i < p->count; i++) {
        swl_oklab left;
        swl_oklab right;
        p->share[i] = 0;
        if (background(p, i, from_px, -1, &left) && background(p, i, from_px, 1, &right)) {
            p->share[i] = fmin(swl_share_of(p->colour[i], left, stroke->ink, stroke->tolerance),
                               swl_share_of(p->colour[i], right, stroke->ink, stroke->tolerance));
        }
    }
}

/* Shares for placing it: each sample against the background beside the line. */
static void shares_place(profile *p, const swl_stroke *stroke, double centre_px)
{
    double from_px = stroke->width_px / 2 + BESIDE_FROM_PX;
    int centre = p->middle + (int)floor(centre_px / SAMPLE_PX + 0.5);
    swl_oklab left = stroke->ink;
    swl_oklab right = stroke->ink;
    (void)background(p, centre, from_px, -1, &left);
    (void)background(p, centre, from_px, 1, &right);
    for (int i = 0; i < p->count; i++) {
        p->share[i] =
            swl_share_of(p->colour[i], place(p, i) < centre_px ? left : right, stroke->ink, stroke->tolerance);
    }
}

/* The run of samples around a top that belong to one line, weighted. */
static swl_section run_read(const profile *p, const swl_stroke *stroke, int from, int to)
{
    double top = 0;
    for (int i = from; i <= to; i++) {
        top = fmax(top, p->share[i]);
    }
    int low = from;
    int high = to;
    while (low > 0 && p->share[low - 1] > FOOT_SHARE * top && p->share[low - 1] < p->share[low]) {
        low--;
    }
    while (high + 1 < p->count && p->share[high + 1] > FOOT_SHARE * top && p->share[high + 1] < p->share[high]) {
        high++;
    }
    double sum = 0;
    double moment = 0;
    for (int i = low; i <= high; i++) {
        sum += p->share[i];
        moment += p->share[i] * place(p, i);
    }
    double width = sum * SAMPLE_PX / top;
    return (swl_section){
        .found = true,
        .merged = width > MERGED_TIMES * stroke->width_px + MERGED_PX,
        .offset_px = moment / sum,
        .width_px = width,
        .peak = top,
    };
}

/* Of all lines in the section, the one nearest to the place. */
static swl_section nearest_run(const profile *p, const swl_stroke *stroke, double gate_px)
{
    swl_section best = {.offset_px = INFINITY};
    double least = RUN_SHARE * stroke->peak;
    for (int i = 0; i < p->count; i++) {
        if (!(p->share[i] > least)) {
            continue;
        }
        int to = i;
        while (to + 1 < p->count && p->share[to + 1] > least) {
            to++;
        }
        swl_section run = run_read(p, stroke, i, to);
        if (fabs(run.offset_px) <= gate_px && fabs(run.offset_px) < fabs(best.offset_px)) {
            best = run;
        }
        i = to;
    }
    return best;
}

/* Whether the place itself is covered by the line's colour, against the palest beside it. */
static bool covered(const profile *p, const swl_stroke *stroke)
{
    double most = 0;
    for (int i = 0; i < p->count; i++) {
        most = fmax(most, p->off_ink[i]);
    }
    return p->off_ink[p->middle] < (1 - 0.6 * fmin(stroke->peak, 1)) * most;
}

swl_section swl_section_read(const swl_image *image, const swl_stroke *stroke, swl_pixel at, swl_pixel heading,
                             double gate_px)
{
    if (stroke->is_edge) {
        return swl_edge_read(image, stroke, at, heading, gate_px);
    }
    profile p;
    double beside_px = stroke->width_px / 2 + BESIDE_FROM_PX + BESIDE_WIDTH_PX;
    profile_read(&p, image, stroke->ink, at, heading, gate_px + stroke->width_px + beside_px);
    shares_seek(&p, stroke);
    swl_section first = nearest_run(&p, stroke, gate_px);
    if (!first.found) {
        return (swl_section){.merged = covered(&p, stroke)};
    }
    shares_place(&p, stroke, first.offset_px);
    swl_section second = nearest_run(&p, stroke, gate_px + 0.5);
    return second.found ? second : first;
}
