#include "sweptline/belt.h"

#include <math.h>

#define TWO_PI (2 * 3.14159265358979323846)
/* Of an angle in radians: well above what rounding does to a wrap of nothing. */
#define ANGLE_SLACK_RAD 1e-9

static double pitch_radius_m(const swl_belt *belt, const swl_belt_pulley *pulley, double b_m)
{
    return pulley->d_m / 2 + (pulley->side == SWL_BELT_RIBS ? b_m : belt->back_offset_m);
}

static double distance_m(swl_xy a, swl_xy b)
{
    return hypot(b.x_m - a.x_m, b.y_m - a.y_m);
}

/* The point of a circle at which a belt that runs along (ux, uy) touches it: on its right when it turns to the left. */
static swl_xy touch(swl_xy centre, const swl_belt_stop *stop, double ux, double uy)
{
    double r_m = stop->turn * stop->r_m;
    return (swl_xy){centre.x_m + r_m * uy, centre.y_m - r_m * ux};
}

/* The common tangent of two stops, (B1): its direction in *angle_rad. With D between the centres and k = sj rj - si ri
 * it stands at asin(k/|D|) to D. Returns: false when there is none. */
static bool span_find(const swl_belt_layout *layout, swl_belt_stop *from, swl_belt_stop *to, double *angle_rad)
{
    swl_xy a = layout->pulleys[from->pulley].centre;
    swl_xy b = layout->pulleys[to->pulley].centre;
    double d_m = distance_m(a, b);
    double k_m = to->turn * to->r_m - from->turn * from->r_m;
    if (!(d_m > fabs(k_m))) {
        return false;
    }
    *angle_rad = atan2(b.y_m - a.y_m, b.x_m - a.x_m) - asin(k_m / d_m);
    double ux = cos(*angle_rad);
    double uy = sin(*angle_rad);
    from->off = touch(a, from, ux, uy);
    to->on = touch(b, to, ux, uy);
    from->span_m = sqrt((d_m - k_m) * (d_m + k_m));
    return true;
}

/* An angle brought into 0 to 2 pi; a hair below 2 pi is rounding about 0. */
static double angle_wrapped(double angle_rad)
{
    double wrapped = angle_rad - TWO_PI * floor(angle_rad / TWO_PI);
    return wrapped > TWO_PI - ANGLE_SLACK_RAD ? 0 : wrapped;
}

/* Lays the belt in one direction, (B1) to (B3). Returns: false with a fault when two pulleys have no common tangent. */
static bool path_lay(const swl_belt *belt, const swl_belt_layout *layout, double b_m, int direction,
                     swl_belt_path *path, swl_belt_fault *fault)
{
    double angle_rad[SWL_BELT_PULLEYS_MAX] = {0};
    size_t n = layout->path_count;
    *path = (swl_belt_path){.count = n, .direction = direction};
    for (size_t k = 0; k < n; k++) {
        const swl_belt_pulley *pulley = &layout->pulleys[layout->path[k]];
        path->stops[k].pulley = layout->path[k];
        path->stops[k].turn = pulley->side == SWL_BELT_RIBS ? direction : -direction;
        path->stops[k].r_m = pitch_radius_m(belt, pulley, b_m);
    }
    for (size_t k = 0; k < n; k++) {
        swl_belt_stop *to = &path->stops[(k + 1) % n];
        if (!span_find(layout, &path->stops[k], to, &angle_rad[k])) {
            *fault = (swl_belt_fault){.kind = SWL_BELT_NO_TANGENT, .a = path->stops[k].pulley, .b = to->pulley};
            return false;
        }
        path->length_m += path->stops[k].span_m;
    }
    for (size_t k = 0; k < n; k++) {
        swl_belt_stop *stop = &path->stops[k];
        stop->wrap_rad = angle_wrapped(stop->turn * (angle_rad[k] - angle_rad[(k + n - 1) % n]));
        path->turned_rad += stop->turn * direction * stop->wrap_rad;
        path->length_m += stop->r_m * stop->wrap_rad;
    }
    path->effective_length_m = path->length_m - b_m * path->turned_rad;
    return true;
}

static double cross_of(swl_xy o, swl_xy a, swl_xy b)
{
    return (a.x_m - o.x_m) * (b.y_m - o.y_m) - (a.y_m - o.y_m) * (b.x_m - o.x_m);
}

static bool segments_cross(swl_xy a, swl_xy b, swl_xy c, swl_xy d)
{
    return cross_of(a, b, c) * cross_of(a, b, d) < 0 && cross_of(c, d, a) * cross_of(c, d, b) < 0;
}

static double to_segment_m(swl_xy p, swl_xy a, swl_xy b)
{
    double dx = b.x_m - a.x_m;
    double dy = b.y_m - a.y_m;
    double t = ((p.x_m - a.x_m) * dx + (p.y_m - a.y_m) * dy) / (dx * dx + dy * dy);
    t = t < 0 ? 0 : t > 1 ? 1 : t;
    return distance_m(p, (swl_xy){a.x_m + t * dx, a.y_m + t * dy});
}

/* Bodies of pulleys that overlap or touch; and gaps that a belt does not pass. */
static bool bodies_apart(const swl_belt *belt, const swl_belt_layout *layout, double b_m, swl_belt_fault *fault)
{
    for (size_t k = 0; k < layout->path_count; k++) {
        for (size_t m = k + 1; m < layout->path_count; m++) {
            size_t i = layout->path[k];
            size_t j = layout->path[m];
            double gap_m = distance_m(layout->pulleys[i].centre, layout->pulleys[j].centre) -
                           (layout->pulleys[i].d_m + layout->pulleys[j].d_m) / 2;
            if (!(gap_m > 0)) {
                *fault = (swl_belt_fault){.kind = SWL_BELT_OVERLAP, .a = i, .b = j};
                return false;
            }
            if (gap_m < b_m + belt->back_offset_m && fault->kind == SWL_BELT_SOUND) {
                *fault = (swl_belt_fault){.kind = SWL_BELT_TIGHT_GAP, .a = i, .b = j, .c = layout->pulley_count};
            }
        }
    }
    return true;
}

static bool spans_cross(const swl_belt_path *path, swl_belt_fault *fault)
{
    size_t n = path->count;
    for (size_t i = 0; i < n; i++) {
        for (size_t j = i + 1; j < n; j++) {
            const swl_belt_stop *a = &path->stops[i];
            const swl_belt_stop *b = &path->stops[j];
            const swl_belt_stop *a_next = &path->stops[(i + 1) % n];
            const swl_belt_stop *b_next = &path->stops[(j + 1) % n];
            if (segments_cross(a->off, a_next->on, b->off, b_next->on)) {
                *fault = (swl_belt_fault){.kind = SWL_BELT_CROSSED,
                                          .a = a->pulley,
                                          .b = b->pulley,
                                          .a_next = a_next->pulley,
                                          .b_next = b_next->pulley};
                return true;
            }
        }
    }
    return false;
}

/* Spans that run through a pulley they do not end at. */
static bool spans_clear(const swl_belt *belt, const swl_belt_layout *layout, const swl_belt_path *path, double b_m,
                        swl_belt_fault *fault)
{
    for (size_t k = 0; k < path->count; k++) {
        const swl_belt_stop *from = &path->stops[k];
        const swl_belt_stop *to = &path->stops[(k + 1) % path->count];
        for (size_t m = 0; m < path->count; m++) {
            size_t i = path->stops[m].pulley;
            if (i == from->pulley || i == to->pulley) {
                continue;
            }
            const swl_belt_pulley *other = &layout->pulleys[i];
            double gap_m = to_segment_m(other->centre, from->off, to->on) - other->d_m / 2;
            bool through = !(gap_m > 0);
            if (through || (gap_m < b_m + belt->back_offset_m && fault->kind == SWL_BELT_SOUND)) {
                *fault = (swl_belt_fault){.kind = through ? SWL_BELT_THROUGH : SWL_BELT_TIGHT_GAP,
                                          .a = from->pulley,
                                          .b = to->pulley,
                                          .c = i};
            }
            if (through) {
                return false;
            }
        }
    }
    return true;
}

static swl_belt_fault turns_fault(const swl_belt_path *path)
{
    swl_belt_fault fault = {.kind = SWL_BELT_TURNS, .angle_rad = -1};
    for (size_t k = 0; k < path->count; k++) {
        if (path->stops[k].wrap_rad > fault.angle_rad) {
            fault.angle_rad = path->stops[k].wrap_rad;
            fault.a = path->stops[k].pulley;
        }
    }
    return fault;
}

/* Lays the belt in one direction and looks it over. Returns: whether it is sound; fault tells why not, or what is to be
 * told of a sound one. */
static bool path_try(const swl_belt *belt, const swl_belt_layout *layout, double b_m, int direction,
                     swl_belt_path *path, swl_belt_fault *fault)
{
    swl_belt_fault crossing = {0};
    if (!path_lay(belt, layout, b_m, direction, path, fault)) {
        return false;
    }
    bool once = fabs(path->turned_rad - TWO_PI) < 1e-6;
    bool crossed = spans_cross(path, &crossing);
    swl_belt_fault wound = turns_fault(path);
    /* A wrap that misses 0 from below comes out near a whole turn: the belt does not reach that pulley. */
    bool missed = path->count > 2 && wound.angle_rad > 0.75 * TWO_PI;
    if (!once && (missed || !crossed)) {
        *fault = wound;
        return false;
    }
    /* A flat belt may cross as it does between two pulleys, but not wind itself up. */
    if (crossed && (belt->kind == SWL_BELT_RIBBED || path->turned_rad > TWO_PI + 1e-6)) {
        *fault = crossing;
        return false;
    }
    if (!spans_clear(belt, layout, path, b_m, fault)) {
        return false;
    }
    *fault = crossed ? crossing : *fault;
    return true;
}

/* The way round in which the centres follow each other: 1 counterclockwise, -1 clockwise or neither. */
static int centres_turn(const swl_belt_layout *layout)
{
    double twice_area = 0;
    for (size_t k = 0; k < layout->path_count; k++) {
        swl_xy a = layout->pulleys[layout->path[k]].centre;
        swl_xy b = layout->pulleys[layout->path[(k + 1) % layout->path_count]].centre;
        twice_area += a.x_m * b.y_m - b.x_m * a.y_m;
    }
    return twice_area > 0 ? 1 : -1;
}

bool swl_belt_path_find(const swl_belt *belt, const swl_belt_layout *layout, double line_differential_m,
                        swl_belt_path *path, swl_belt_fault *fault)
{
    double b_m = line_differential_m;
    swl_belt_path other;
    *fault = (swl_belt_fault){0};
    if (!bodies_apart(belt, layout, b_m, fault)) {
        return false;
    }
    swl_belt_fault other_fault = *fault;
    if (belt->runs != SWL_BELT_EITHER_WAY) {
        return path_try(belt, layout, b_m, belt->runs == SWL_BELT_CLOCKWISE ? -1 : 1, path, fault);
    }
    int likely = layout->path_count == 2 ? -1 : centres_turn(layout);
    bool sound = path_try(belt, layout, b_m, likely, path, fault);
    bool other_sound = path_try(belt, layout, b_m, -likely, &other, &other_fault);
    if (sound && other_sound && layout->path_count > 2) {
        *fault = (swl_belt_fault){.kind = SWL_BELT_BOTH_WAYS};
        return false;
    }
    if (!sound && other_sound) {
        *path = other;
        *fault = other_fault;
    }
    return sound || other_sound;
}

void swl_belt_fault_words(const swl_belt_layout *layout, const swl_belt_fault *fault, swl_buf *out)
{
    const swl_belt_pulley *p = layout->pulleys;
    switch (fault->kind) {
    case SWL_BELT_SOUND:
        break;
    case SWL_BELT_OVERLAP:
        swl_buf_printf(out, "pulleys %s and %s touch or overlap", p[fault->a].name, p[fault->b].name);
        break;
    case SWL_BELT_NO_TANGENT:
        swl_buf_printf(out,
                       "no straight span fits from %s to %s: they stand too close for the belt between them, or one "
                       "lies within the other's circle",
                       p[fault->a].name, p[fault->b].name);
        break;
    case SWL_BELT_TURNS:
        swl_buf_printf(
            out,
            "the belt does not close in one turn: to meet the pulleys in this order and with these sides it "
            "would wrap %s by %.0f degrees; does the belt miss it, or is it on the wrong side or in the wrong "
            "order?",
            p[fault->a].name, fault->angle_rad * 360 / TWO_PI);
        break;
    case SWL_BELT_BOTH_WAYS:
        swl_buf_puts(out, "the belt can be laid clockwise and counterclockwise; say which with runs in [belt]");
        break;
    case SWL_BELT_CROSSED:
        swl_buf_printf(out, "the span from %s to %s crosses the one from %s to %s", p[fault->a].name,
                       p[fault->a_next].name, p[fault->b].name, p[fault->b_next].name);
        break;
    case SWL_BELT_THROUGH:
        swl_buf_printf(out, "the span from %s to %s runs through pulley %s", p[fault->a].name, p[fault->b].name,
                       p[fault->c].name);
        break;
    case SWL_BELT_TIGHT_GAP:
        if (fault->c < layout->pulley_count) {
            swl_buf_printf(out, "the span from %s to %s passes pulley %s closer than the belt is thick",
                           p[fault->a].name, p[fault->b].name, p[fault->c].name);
        } else {
            swl_buf_printf(out, "pulleys %s and %s are closer than the belt is thick", p[fault->a].name,
                           p[fault->b].name);
        }
        break;
    }
}
