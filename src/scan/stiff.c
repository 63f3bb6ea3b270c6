#include "scan/stiff.h"

#include "scan/edge.h"

#include <math.h>
#include <stdlib.h>

/* The parabola rests on so much of the curve, and on a line while there is less than the second. */
#define HISTORY_PX 90.0
#define BEND_FROM_PX 60.0
/* How far beside the course a point may stand: a share of the way since the last one more, up to a bound; while little
 * of the curve is known, more. */
#define GATE_PX 1.0
#define GATE_SHARE 0.03
#define GATE_SHARE_YOUNG 0.07
#define GATE_MOST_PX 3.0
/* The heading at the seed is sought in a fan, by how much line lies along each way. */
#define FAN_PX 30
enum { FAN_WAYS = 40, FAN_FINE = 6 };
/* A gap that is so many times the usual one, and so many pixels, longer is unusual. */
#define GAP_TIMES 1.7
#define GAP_MORE_PX 3.0

typedef struct stiff {
    const swl_image *image;
    swl_stroke stroke;
    double gap_px;
    double step_px;
    double peak_start;
    swl_pixel *points;
    unsigned char *crossed; /* whether the way to a point from the one before lies under another line */
    size_t count, most;
    swl_pixel heading; /* at the start, for as long as there is one point */
} stiff;

static swl_pixel unit(double x, double y)
{
    double n = hypot(x, y);
    return n > 0 ? (swl_pixel){x / n, y / n} : (swl_pixel){1, 0};
}

static double apart(swl_pixel a, swl_pixel b)
{
    return hypot(a.x - b.x, a.y - b.y);
}

/* Where the curve goes on: v = a + b u + c u2 across and along a heading, from a place. */
typedef struct course {
    swl_pixel from, heading;
    double a, b, c;
    double known_px;
} course;

/* Sums of the powers of u, and of v with them. */
static void powers(const stiff *w, course *c, double s[5], double t[3])
{
    for (size_t i = w->count; i-- > 0;) {
        double dx = w->points[i].x - c->from.x;
        double dy = w->points[i].y - c->from.y;
        double u = dx * c->heading.x + dy * c->heading.y;
        double v = dy * c->heading.x - dx * c->heading.y;
        if (-u > HISTORY_PX) {
            break;
        }
        c->known_px = fmax(c->known_px, -u);
        double power = 1;
        for (int k = 0; k < 5; k++) {
            s[k] += power;
            if (k < 3) {
                t[k] += power * v;
            }
            power *= u;
        }
    }
}

static course course_now(const stiff *w)
{
    course c = {.from = w->points[w->count - 1], .heading = w->heading};
    size_t back = w->count - 1;
    while (back > 0 && apart(w->points[back], c.from) < HISTORY_PX) {
        back--;
    }
    if (apart(w->points[back], c.from) > FAN_PX / 2.0) {
        c.heading = unit(c.from.x - w->points[back].x, c.from.y - w->points[back].y);
    }
    double s[5] = {0};
    double t[3] = {0};
    powers(w, &c, s, t);
    double line = s[0] * s[2] - s[1] * s[1];
    if (c.known_px < FAN_PX / 2.0 || !(line > 0)) {
        return c;
    }
    c.b = (s[0] * t[1] - s[1] * t[0]) / line;
    c.a = (t[0] - c.b * s[1]) / s[0];
    double d =
        s[0] * (s[2] * s[4] - s[3] * s[3]) - s[1] * (s[1] * s[4] - s[2] * s[3]) + s[2] * (s[1] * s[3] - s[2] * s[2]);
    if (c.known_px >= BEND_FROM_PX && fabs(d) > 0) {
        c.a = (t[0] * (s[2] * s[4] - s[3] * s[3]) - s[1] * (t[1] * s[4] - t[2] * s[3]) +
               s[2] * (t[1] * s[3] - t[2] * s[2])) /
              d;
        c.b = (s[0] * (t[1] * s[4] - t[2] * s[3]) - t[0] * (s[1] * s[4] - s[2] * s[3]) +
               s[2] * (s[1] * t[2] - s[2] * t[1])) /
              d;
        c.c = (s[0] * (s[2] * t[2] - s[3] * t[1]) - s[1] * (s[1] * t[2] - s[2] * t[1]) +
               t[0] * (s[1] * s[3] - s[2] * s[2])) /
              d;
    }
    return c;
}

static swl_pixel course_at(const course *c, double along_px, swl_pixel *heading)
{
    double v = c->a + (c->b + c->c * along_px) * along_px;
    double slope = c->b + 2 * c->c * along_px;
    *heading = unit(c->heading.x - slope * c->heading.y, c->heading.y + slope * c->heading.x);
    return (swl_pixel){c->from.x + c->heading.x * along_px - c->heading.y * v,
                       c->from.y + c->heading.y * along_px + c->heading.x * v};
}

static bool inside(const swl_image *image, swl_pixel at)
{
    return at.x >= 0 && at.y >= 0 && at.x <= image->width - 1 && at.y <= image->height - 1;
}

static swl_pixel beside(swl_pixel at, swl_pixel heading, double right_px)
{
    return (swl_pixel){at.x - heading.y * right_px, at.y + heading.x * right_px};
}

static void push(stiff *w, swl_pixel at, bool crossed, double peak)
{
    w->points[w->count] = at;
    w->crossed[w->count++] = crossed;
    w->stroke.peak += 0.02 * (peak - w->stroke.peak);
    w->stroke.peak = fmin(fmax(w->stroke.peak, 0.7 * w->peak_start), 1.4 * w->peak_start);
}

/* Goes on to the next point. Returns: false where there is none within the gap. */
static bool next(stiff *w)
{
    course c = course_now(w);
    double share = c.known_px < BEND_FROM_PX ? GATE_SHARE_YOUNG : GATE_SHARE;
    size_t covered = 0;
    size_t blank = 0;
    int steps = (int)(w->gap_px / w->step_px + 1);
    for (int i = 1; i <= steps; i++) {
        double along_px = i * w->step_px;
        swl_pixel heading;
        swl_pixel at = course_at(&c, along_px, &heading);
        if (!inside(w->image, at)) {
            return false;
        }
        double gate_px = fmin(GATE_PX + share * along_px, GATE_MOST_PX);
        swl_section section = swl_section_read(w->image, &w->stroke, at, heading, gate_px);
        if (section.found && !section.merged) {
            push(w, beside(at, heading, section.offset_px), covered > blank, section.peak);
            return true;
        }
        covered += section.merged;
        blank += !section.merged;
    }
    return false;
}

static double usual_gap(const stiff *w)
{
    double sum = 0;
    size_t count = 0;
    for (size_t i = 1; i < w->count; i++) {
        double gap_px = apart(w->points[i], w->points[i - 1]);
        if (gap_px > 1.6 * w->step_px && !w->crossed[i]) {
            /* The mean of the roots: a few long gaps count little. */
            sum += sqrt(gap_px);
            count++;
        }
    }
    return count > 2 ? (sum / (double)count) * (sum / (double)count) : w->step_px;
}

/* Drops what stands behind an unusual gap near the end. */
static void drop_label(stiff *w)
{
    double longest_px = GAP_TIMES * usual_gap(w) + GAP_MORE_PX;
    size_t end = w->count;
    for (size_t i = w->count - 1; i > 0 && apart(w->points[i], w->points[w->count - 1]) < w->gap_px; i--) {
        if (!w->crossed[i] && apart(w->points[i], w->points[i - 1]) > longest_px) {
            end = i;
        }
    }
    if (end > 1) {
        w->count = end;
    }
}

static void turn_round(stiff *w)
{
    for (size_t i = 0, k = w->count - 1; i < k; i++, k--) {
        swl_pixel kept = w->points[i];
        w->points[i] = w->points[k];
        w->points[k] = kept;
    }
    /* A way belongs to its later point, which now is the other one. */
    for (size_t i = 1, k = w->count - 1; i < k; i++, k--) {
        unsigned char kept = w->crossed[i];
        w->crossed[i] = w->crossed[k];
        w->crossed[k] = kept;
    }
    w->heading = (swl_pixel){-w->heading.x, -w->heading.y};
    w->stroke.peak = w->peak_start;
    if (w->stroke.is_edge) {
        swl_edge_turn(&w->stroke);
    }
}

/* How much line lies along a way on both sides of a place, and how far beside it on average. */
static double along(const stiff *w, swl_pixel at, swl_pixel way, double gate_share, double *off_px)
{
    double sum = 0;
    double moment = 0;
    for (int d = -FAN_PX; d <= FAN_PX; d += 2) {
        double gate_px = 1.2 + gate_share * abs(d);
        swl_pixel place = {at.x + d * way.x, at.y + d * way.y};
        swl_section section = {0};
        if (inside(w->image, place)) {
            section = swl_section_read(w->image, &w->stroke, place, way, gate_px);
        }
        double share = section.found && !section.merged ? 1 - fabs(section.offset_px) / (gate_px + 0.5) : 0;
        sum += share;
        moment += share * section.offset_px;
    }
    *off_px = sum > 0 ? moment / sum : 0;
    return sum;
}

/* Turns the heading to where most line lies: all round, then finely. Moves the centre onto it. */
static void settle(stiff *w, swl_pixel *centre)
{
    double pi = acos(-1.0);
    for (int pass = 0; pass < 2; pass++) {
        swl_pixel from = w->heading;
        swl_pixel start = *centre;
        double best = -1;
        int ways = pass == 0 ? FAN_WAYS / 2 : FAN_FINE;
        double step = pass == 0 ? pi / FAN_WAYS : pi / FAN_WAYS / FAN_FINE;
        for (int k = -ways; k <= ways; k++) {
            double turn = k * step;
            double off_px = 0;
            swl_pixel way = {from.x * cos(turn) - from.y * sin(turn), from.x * sin(turn) + from.y * cos(turn)};
            /* Of equals the one nearest to what the seed showed. */
            double score = along(w, start, way, pass == 0 ? 0.5 * step : 0.02, &off_px) - 0.01 * abs(k);
            if (score > best) {
                best = score;
                w->heading = way;
                *centre = beside(start, way, off_px);
            }
        }
    }
    swl_section section = swl_section_read(w->image, &w->stroke, *centre, w->heading, 1.5);
    if (section.found && !w->stroke.is_edge) {
        w->stroke.peak = section.peak;
        w->stroke.width_px = fmax(section.width_px, 1);
    }
}

static void walk_on(stiff *w)
{
    while (w->count < w->most && next(w)) {
    }
    drop_label(w);
}

static void count_gaps(const stiff *w, swl_track *track)
{
    for (size_t i = 1; i < w->count; i++) {
        double gap_px = apart(w->points[i], w->points[i - 1]);
        if (w->crossed[i]) {
            track->crossings++;
        } else if (gap_px > 1.6 * w->step_px && gap_px > 1.6) {
            track->gaps++;
            track->longest_gap_px = fmax(track->longest_gap_px, gap_px);
        }
    }
}

swl_status swl_stiff_follow(const swl_image *image, swl_stroke *stroke, double gap_px, swl_pixel centre,
                            swl_pixel heading, size_t most, swl_track *track, swl_err *err)
{
    stiff w = {.image = image,
               .stroke = *stroke,
               .gap_px = gap_px,
               .step_px = fmax(1, 0.4 * stroke->width_px),
               .peak_start = stroke->peak,
               .most = most};
    w.points = malloc((most + 1) * sizeof *w.points);
    w.crossed = malloc(most + 1);
    if (w.points == NULL || w.crossed == NULL) {
        free(w.points);
        free(w.crossed);
        return swl_err_set(err, SWL_ERR_MEMORY, "out of memory for a curve");
    }
    w.heading = heading;
    settle(&w, &centre);
    w.peak_start = w.stroke.peak;
    push(&w, centre, false, w.stroke.peak);
    walk_on(&w);
    turn_round(&w);
    walk_on(&w);
    *stroke = w.stroke;
    track->points = w.points;
    track->count = w.count;
    track->fault = w.count >= most ? SWL_TRACK_ENDLESS : SWL_TRACK_FOLLOWED;
    count_gaps(&w, track);
    free(w.crossed);
    return SWL_OK;
}
