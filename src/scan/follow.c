#include "scan/follow.h"

#include "scan/edge.h"
#include "scan/stiff.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* History that a gap is bridged by: so long, and turning no more than this from the last heading. */
#define HISTORY_PX 40.0
#define HISTORY_COS 0.75
#define BEND_FROM_PX 12.0
/* What is found behind a gap has to go on for a share of a typical run, and by no other heading than this. */
#define CONFIRM_SHARE 0.6
#define CONFIRM_LEAST_PX 3.0
#define CONFIRM_COS 0.85
#define CONFIRM_COS_FAR 0.94
#define CONFIRM_COS_STIFF 0.96
#define HOP_PX 12.0
#define END_GATE_PX 0.4
#define EDGE_TRIM_STEPS 1.25
/* A line whose runs are so long is solid. Behind a blank in it, which is a label then, and behind a corner it has to go
 * on without another for a share of the longest gap, up to a bound: signs have strokes and corners too. */
#define SOLID_PX 40.0
#define BLANK_LEAST_PX 3.0
#define CORNER_SHARE 0.4
#define BLANK_SHARE 0.5
#define WANTED_MOST_PX 60.0
/* A corner is looked for where the line does not go on within so much, in steps of a turn (radians). */
#define CORNER_FROM_PX 8.0
#define CORNER_STEP 0.2618

enum { CORNER_STEPS = 8, START_POINTS = 40, START_CLEAR = 24, EDGE_BLANK_PX = 6 };

/* A curve being followed at the end of its points. A run is what lies between two gaps. */
typedef struct walk {
    const swl_image *image;
    swl_stroke stroke;
    double gap_px;
    double step_px;
    bool corners;
    double peak_start;
    swl_pixel *points;
    size_t count, cap;
    size_t most;
    size_t run_from;
    swl_pixel run_heading;
    double run_px; /* a typical run's length */
    swl_pixel start, start_heading;
    swl_track *track;
    bool out_of_memory;
} walk;

double swl_track_gap_px(const swl_image *image, bool corners)
{
    return corners ? 8 + 0.04 * image->width : 6 + 0.02 * image->width;
}

static swl_pixel unit(double x, double y)
{
    double n = hypot(x, y);
    return n > 0 ? (swl_pixel){x / n, y / n} : (swl_pixel){1, 0};
}

static double apart(swl_pixel a, swl_pixel b)
{
    return hypot(a.x - b.x, a.y - b.y);
}

static void push(walk *w, swl_pixel point)
{
    if (w->count == w->cap) {
        size_t cap = w->cap == 0 ? 512 : 2 * w->cap;
        swl_pixel *grown = realloc(w->points, cap * sizeof *grown);
        if (grown == NULL) {
            w->out_of_memory = true;
            return;
        }
        w->points = grown;
        w->cap = cap;
    }
    w->points[w->count++] = point;
}

/* The way of the run's last few pixels; of a line that bends slowly, of a longer stretch, gaps counted in. */
static swl_pixel heading_now(const walk *w)
{
    double reach_px = w->corners ? fmax(5, 1.6 * w->stroke.width_px) : 16 + 4 * w->stroke.width_px;
    size_t last = w->count - 1;
    size_t back = last;
    size_t first = w->corners ? w->run_from : 0;
    while (back > first && apart(w->points[last], w->points[back]) < reach_px) {
        back--;
    }
    double have_px = apart(w->points[last], w->points[back]);
    swl_pixel way = unit(w->points[last].x - w->points[back].x, w->points[last].y - w->points[back].y);
    if (have_px >= reach_px || have_px <= 0) {
        return have_px <= 0 ? w->run_heading : way;
    }
    double share = have_px / reach_px;
    return unit(share * way.x + (1 - share) * w->run_heading.x, share * way.y + (1 - share) * w->run_heading.y);
}

static bool inside(const walk *w, swl_pixel at)
{
    return at.x >= 0 && at.y >= 0 && at.x <= w->image->width - 1 && at.y <= w->image->height - 1;
}

static swl_pixel ahead(swl_pixel at, swl_pixel heading, double along_px, double right_px)
{
    return (swl_pixel){at.x + heading.x * along_px - heading.y * right_px,
                       at.y + heading.y * along_px + heading.x * right_px};
}

/* One step along the line, by up to gate_px beside it. Returns: false where there is no line, or it touches another. */
static bool step_by(walk *w, double step_px, double gate_px)
{
    swl_pixel heading = heading_now(w);
    swl_pixel at = ahead(w->points[w->count - 1], heading, step_px, 0);
    if (!inside(w, at)) {
        return false;
    }
    swl_section section = swl_section_read(w->image, &w->stroke, at, heading, gate_px);
    if (!section.found || section.merged) {
        return false;
    }
    push(w, ahead(at, heading, 0, section.offset_px));
    double peak = w->stroke.peak + 0.02 * (section.peak - w->stroke.peak);
    w->stroke.peak = fmin(fmax(peak, 0.7 * w->peak_start), 1.4 * w->peak_start);
    return !w->out_of_memory;
}

static bool step(walk *w, double step_px)
{
    return step_by(w, step_px, w->corners ? step_px + 0.5 : 0.2 * step_px + 0.4);
}

/* Where the line goes on when it is not seen: a parabola over its last pixels. */
typedef struct course {
    swl_pixel from;
    swl_pixel heading;
    double bend; /* to the right, 1/px */
} course;

static course course_now(const walk *w)
{
    course c = {.from = w->points[w->count - 1], .heading = heading_now(w)};
    double s[5] = {0};
    double t[3] = {0};
    double reach_px = 0;
    for (size_t i = w->count; i-- > 0;) {
        double dx = w->points[i].x - c.from.x;
        double dy = w->points[i].y - c.from.y;
        double u = dx * c.heading.x + dy * c.heading.y;
        double v = dy * c.heading.x - dx * c.heading.y;
        /* Behind the place and not yet turned away. */
        if (hypot(u, v) > HISTORY_PX || (i + 1 < w->count && -u < HISTORY_COS * hypot(u, v))) {
            break;
        }
        reach_px = fmax(reach_px, -u);
        double power = 1;
        for (int k = 0; k < 5; k++) {
            s[k] += power;
            t[k < 3 ? k : 0] += k < 3 ? power * v : 0;
            power *= u;
        }
    }
    /* v = a + b u + c u2 by least squares. */
    double d =
        s[0] * (s[2] * s[4] - s[3] * s[3]) - s[1] * (s[1] * s[4] - s[2] * s[3]) + s[2] * (s[1] * s[3] - s[2] * s[2]);
    if (reach_px < BEND_FROM_PX || !(fabs(d) > 0)) {
        return c;
    }
    double a =
        (t[0] * (s[2] * s[4] - s[3] * s[3]) - s[1] * (t[1] * s[4] - t[2] * s[3]) + s[2] * (t[1] * s[3] - t[2] * s[2])) /
        d;
    double b =
        (s[0] * (t[1] * s[4] - t[2] * s[3]) - t[0] * (s[1] * s[4] - s[2] * s[3]) + s[2] * (s[1] * t[2] - s[2] * t[1])) /
        d;
    double q =
        (s[0] * (s[2] * t[2] - s[3] * t[1]) - s[1] * (s[1] * t[2] - s[2] * t[1]) + t[0] * (s[1] * s[3] - s[2] * s[2])) /
        d;
    /* Half the bend where little of it was seen. */
    double trust = fmin(1, reach_px / HISTORY_PX);
    c.from = ahead(c.from, c.heading, 0, a);
    c.heading = unit(c.heading.x - b * c.heading.y, c.heading.y + b * c.heading.x);
    c.bend = 2 * q * trust;
    return c;
}

static swl_pixel course_at(const course *c, double along_px, swl_pixel *heading)
{
    double turn = c->bend * along_px;
    *heading = unit(c->heading.x - turn * c->heading.y, c->heading.y + turn * c->heading.x);
    return ahead(c->from, c->heading, along_px, c->bend * along_px * along_px / 2);
}

/* Steps over a short gap on what has been found, of a solid line only under others. Returns: whether the line goes on.
 */
static bool hop(walk *w, bool solid)
{
    int blank = 0;
    swl_pixel heading = heading_now(w);
    for (int step = 1; step <= (int)HOP_PX; step++) {
        double along_px = step;
        swl_pixel at = ahead(w->points[w->count - 1], heading, along_px, 0);
        if (!inside(w, at)) {
            return false;
        }
        swl_section section = swl_section_read(w->image, &w->stroke, at, heading, 1.5);
        if (section.found && !section.merged) {
            push(w, ahead(at, heading, 0, section.offset_px));
            return true;
        }
        blank += !section.merged;
        if (solid && blank > (w->stroke.is_edge ? EDGE_BLANK_PX : 2)) {
            return false;
        }
    }
    return false;
}

/* Follows what was found for as long as tells that it is the line: a share of a typical run, and behind a long
 * gap HOP_PX at least, over several dashes if need be.
 * Returns: false, with nothing added, when it is not. */
static bool confirm(walk *w, swl_pixel found, swl_pixel heading, double gap_px, double least_px)
{
    size_t count = w->count;
    size_t run_from = w->run_from;
    swl_pixel run_heading = w->run_heading;
    double peak = w->stroke.peak;
    double wanted_px = fmin(CONFIRM_SHARE * w->run_px, 10 + 2 * w->stroke.width_px);
    wanted_px = fmax(wanted_px, CONFIRM_LEAST_PX);
    double first_px = wanted_px;
    wanted_px = fmax(wanted_px, gap_px > HOP_PX ? fmax(1.5 * HOP_PX, least_px) : least_px);
    push(w, found);
    w->run_from = count;
    w->run_heading = heading;
    double cos_least = !w->corners ? CONFIRM_COS_STIFF : gap_px > HOP_PX ? CONFIRM_COS_FAR : CONFIRM_COS;
    double step_px = fmin(w->step_px, first_px / 2);
    double far_px = 0;
    bool holds = true;
    while (holds && !w->out_of_memory && far_px < wanted_px) {
        holds = step(w, step_px) || (gap_px > 0 && far_px >= first_px && hop(w, least_px > 0));
        if (holds) {
            swl_pixel last = w->points[w->count - 1];
            swl_pixel way = unit(last.x - found.x, last.y - found.y);
            far_px = apart(found, last);
            holds = far_px < 0.6 * first_px || way.x * heading.x + way.y * heading.y > cos_least;
            holds = holds && w->count - count < 64;
        }
    }
    if (!holds) {
        w->count = count;
        w->run_from = run_from;
        w->run_heading = run_heading;
        w->stroke.peak = peak;
    }
    return holds;
}

/* Whether a place is back at the start: near one of the first points, since the very first may lie on a label or beyond
 * a gap. The points before that one are dropped, for the curve has come there by the other way. */
static bool at_start(walk *w, swl_pixel at, swl_pixel heading, double gate_px)
{
    for (size_t k = 0; k < START_POINTS && k + START_CLEAR < w->count; k++) {
        swl_pixel way = unit(w->points[k + 1].x - w->points[k].x, w->points[k + 1].y - w->points[k].y);
        if (apart(at, w->points[k]) <= gate_px && heading.x * way.x + heading.y * way.y > 0.6) {
            memmove(w->points, w->points + k, (w->count - k) * sizeof *w->points);
            w->count -= k;
            w->run_from = w->run_from > k ? w->run_from - k : 0;
            return true;
        }
    }
    return false;
}

/* A run through a crossing is several dashes long, so the typical one moves by part of the ratio. */
static void run_ended(walk *w)
{
    double run_px = fmax(apart(w->points[w->run_from], w->points[w->count - 1]), 1);
    w->run_px = w->run_px > 0 ? w->run_px * pow(run_px / w->run_px, 0.25) : run_px;
}

/* Seeks the line along its course, from one distance to another. Returns: whether it goes on. */
static bool bridge(walk *w, double from_px, double to_px)
{
    course c = course_now(w);
    swl_pixel last = w->points[w->count - 1];
    size_t blank = 0;
    size_t covered = 0;
    for (int step = 0; from_px + step <= to_px; step++) {
        double along_px = from_px + step;
        swl_pixel heading;
        swl_pixel at = course_at(&c, along_px, &heading);
        if (!inside(w, at)) {
            return false;
        }
        double gate_px = 1.5 + 0.16 * along_px;
        if (at_start(w, at, heading, gate_px + 1)) {
            w->track->closed = true;
            w->track->gaps += blank > covered;
            return false;
        }
        swl_section section = swl_section_read(w->image, &w->stroke, at, heading, gate_px);
        covered += !section.found && section.merged;
        blank += !section.found && !section.merged;
        bool label =
            blank > covered && along_px > (w->stroke.is_edge ? EDGE_BLANK_PX : BLANK_LEAST_PX) && w->run_px > SOLID_PX;
        double least_px = label ? fmin(BLANK_SHARE * w->gap_px, WANTED_MOST_PX) : 0;
        if (!section.found || section.merged ||
            !confirm(w, ahead(at, heading, 0, section.offset_px), heading, along_px, least_px)) {
            continue;
        }
        double gap_px = apart(last, w->points[w->run_from]);
        if (covered > 0 && covered >= blank) {
            w->track->crossings++;
        } else if (gap_px > 1.5 * w->step_px) {
            w->track->gaps++;
            w->track->longest_gap_px = fmax(w->track->longest_gap_px, gap_px);
        }
        return true;
    }
    return false;
}

/* Seeks the line round a corner, the smallest turn first. Returns: whether it goes on. */
static bool corner(walk *w)
{
    swl_pixel heading = heading_now(w);
    swl_pixel last = w->points[w->count - 1];
    for (int turn = 2; turn <= CORNER_STEPS; turn++) {
        for (int side = -1; side <= 1; side += 2) {
            double angle = side * turn * CORNER_STEP;
            swl_pixel way = {heading.x * cos(angle) - heading.y * sin(angle),
                             heading.x * sin(angle) + heading.y * cos(angle)};
            /* The corner lies up to a step ahead. */
            swl_pixel at = ahead(ahead(last, heading, w->step_px / 2, 0), way, 1.5 * w->step_px, 0);
            if (!inside(w, at)) {
                continue;
            }
            swl_section section = swl_section_read(w->image, &w->stroke, at, way, w->step_px / 2 + 0.5);
            if (section.found && !section.merged &&
                confirm(w, ahead(at, way, 0, section.offset_px), way, 0,
                        fmax(1.5 * HOP_PX, CORNER_SHARE * w->gap_px))) {
                return true;
            }
        }
    }
    return false;
}

/* Where the next step finds nothing. Returns: whether the line goes on. */
static bool find_again(walk *w)
{
    run_ended(w);
    double near_px = fmin(CORNER_FROM_PX, w->gap_px);
    if (bridge(w, fmin(1, w->step_px), near_px)) {
        return true;
    }
    if (w->track->closed) {
        return false;
    }
    return (w->corners && corner(w)) || (!w->track->closed && bridge(w, near_px + 1, w->gap_px));
}

/* Goes on from the last point to the curve's end. */
static void walk_on(walk *w)
{
    while (!w->out_of_memory && w->count < w->most) {
        if (!step(w, w->step_px) && !find_again(w)) {
            break;
        }
        swl_pixel at = w->points[w->count - 1];
        if (at_start(w, at, heading_now(w), 0.75 * w->step_px + 0.5)) {
            w->track->closed = true;
            break;
        }
    }
    if (!w->track->closed && !w->out_of_memory) {
        /* The end lies within a step. */
        (void)(step_by(w, w->step_px / 2, END_GATE_PX) || step_by(w, w->step_px / 4, END_GATE_PX));
    }
}

static void turn_round(walk *w)
{
    run_ended(w);
    for (size_t i = 0, k = w->count - 1; i < k; i++, k--) {
        swl_pixel kept = w->points[i];
        w->points[i] = w->points[k];
        w->points[k] = kept;
    }
    /* The run that holds the seed reaches back to the first gap. */
    w->run_from = w->count - 1;
    while (w->run_from > 0 && apart(w->points[w->run_from], w->points[w->run_from - 1]) < 2 * w->step_px) {
        w->run_from--;
    }
    w->run_heading = (swl_pixel){-w->start_heading.x, -w->start_heading.y};
    if (w->stroke.is_edge) {
        swl_edge_turn(&w->stroke);
    }
}

/* Where an edge ends at a line that covers it, its last step bends along that line. */
static void trim_edge(swl_track *track, double trim_px)
{
    size_t from = 0;
    size_t to = track->count;
    while (to > from + 1 && apart(track->points[from], track->points[0]) < trim_px) {
        from++;
    }
    while (to > from + 1 && apart(track->points[to - 1], track->points[track->count - 1]) < trim_px) {
        to--;
    }
    memmove(track->points, track->points + from, (to - from) * sizeof *track->points);
    track->count = to - from;
}

/* Smooths what was followed and simplifies it. */
static swl_status settle(walk *w, double step_px, swl_err *err)
{
    swl_track *track = w->track;
    if (w->stroke.is_edge) {
        track->count = swl_edge_place(w->image, &w->stroke, track->points, track->count, step_px);
        if (!track->closed) {
            trim_edge(track, EDGE_TRIM_STEPS * step_px);
        }
    }
    swl_status status = swl_track_smooth(track->points, track->count, 2.2 * step_px, err);
    return status == SWL_OK ? swl_track_finish(track, err) : status;
}

static swl_status follow_both(walk *w, swl_err *err)
{
    swl_track *track = w->track;
    push(w, w->start);
    w->run_heading = w->start_heading;
    if (!w->out_of_memory) {
        walk_on(w);
    }
    if (!w->out_of_memory && !track->closed) {
        turn_round(w);
        w->stroke.peak = w->peak_start;
        walk_on(w);
        /* Both ways ended at the same place, as at a corner. */
        track->closed =
            track->closed || (w->count > 8 && apart(w->points[0], w->points[w->count - 1]) < 1.6 * w->step_px);
    }
    track->points = w->points;
    track->count = w->count;
    track->fault = w->count >= w->most ? SWL_TRACK_ENDLESS : SWL_TRACK_FOLLOWED;
    if (w->out_of_memory) {
        return swl_err_set(err, SWL_ERR_MEMORY, "out of memory for a curve");
    }
    return settle(w, w->step_px, err);
}

swl_status swl_track_follow(const swl_image *image, const swl_track_order *order, swl_track *track, swl_err *err)
{
    *track = (swl_track){0};
    swl_status status = SWL_OK;
    if (order->line_count > 1) {
        status = swl_track_take_line(order, track, err);
    } else {
        walk w = {.image = image, .gap_px = order->gap_px, .corners = order->corners, .track = track};
        track->fault = swl_track_start(image, order, &w.stroke, &w.start, &w.start_heading, track->found);
        if (track->fault != SWL_TRACK_FOLLOWED) {
            return SWL_OK;
        }
        w.peak_start = w.stroke.peak;
        w.step_px = fmax(2, 0.8 * w.stroke.width_px);
        /* Twice round the picture. */
        w.most = (size_t)(4 * (image->width + image->height) / w.step_px);
        track->width_px = w.stroke.width_px;
        if (order->corners) {
            status = follow_both(&w, err);
        } else {
            status = swl_stiff_follow(image, &w.stroke, w.gap_px, w.start, w.start_heading, 2 * w.most, track, err);
            status = status == SWL_OK ? settle(&w, fmax(1, 0.4 * w.stroke.width_px), err) : status;
        }
    }
    if (status == SWL_OK && track->fault == SWL_TRACK_FOLLOWED && track->length_px < SWL_TRACK_SHORTEST_PX) {
        track->fault = SWL_TRACK_TOO_SHORT;
    }
    if (status != SWL_OK) {
        swl_track_free(track);
    }
    return status;
}
