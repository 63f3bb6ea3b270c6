#include "scan/edge.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { HALF = 10, WINDOW = 2 * HALF + 1, CHANNELS = 3, PARTS = 3, REACH_SEED = 4, ANGLES = 72, SEED_HALF = 8 };
/* Of the sections beside a seed so many at least have to show the edge. */
#define SEED_SCORE_LEAST 2.0
#define SAMPLE_PX 0.5
/* Samples count by a bell of this width about the edge, so that the next area's edge counts little. */
#define WEIGHT_PX 1.8
#define PLACE_STEP_PX 0.25
#define GATE_MAX_PX 60.0
/* JPEG keeps colour at half the resolution of lightness. */
#define CHROMA_WEIGHT 0.5
/* What the fit may be off, as a share of the step between the areas: root of the weighted mean square. */
#define MISFIT_SHARE 0.42
/* A larger step allows no more. */
#define STEP_MOST 0.2
#define BLUR_LEAST_PX 0.35
#define BLUR_STEP_PX 0.1
#define BLUR_GUESS_PX 0.6
#define STACK_LEAST 12
/* The same of what a line on the edge adds. */
#define LINE_SHARE 0.08
/* No line where one betters the fit by no more than a factor and a share of the step. */
#define NO_LINE_TIMES 1.3
#define NO_LINE_SHARE 0.03
#define LINE_PRICE 1e-7
enum { LINE_WIDTHS = 7, WIDTHS_SEED = 3 };
static const double line_widths_px[LINE_WIDTHS] = {0.5, 1, 1.5, 2, 2.5, 3, 4};
static const double seed_widths_px[WIDTHS_SEED] = {0.7, 1.8, 3.5};

typedef double colour3[CHANNELS];

/* Lightness and two chroma axes, 0 to 1. Source: ITU-R BT.601-7, section 2.5. */
static void luma_of(const double rgb[3], colour3 out)
{
    double y = 0.299 * rgb[0] + 0.587 * rgb[1] + 0.114 * rgb[2];
    out[0] = y / 255;
    out[1] = CHROMA_WEIGHT * 0.564 * (rgb[2] - y) / 255;
    out[2] = CHROMA_WEIGHT * 0.713 * (rgb[0] - y) / 255;
}

/* Mean of five samples along the heading. */
static void sample(const swl_image *image, swl_pixel at, swl_pixel heading, double right_px, colour3 out)
{
    double rgb[3] = {0, 0, 0};
    for (int k = -2; k <= 2; k++) {
        swl_image_mix(image, at.x - heading.y * right_px + heading.x * k, at.y + heading.x * right_px + heading.y * k,
                      0.2, rgb);
    }
    luma_of(rgb, out);
}

static double step_of(double t_px, double blur_px)
{
    return 0.5 * erfc(-t_px / (sqrt(2.0) * blur_px));
}

/* A line on the edge, blurred the same. */
static double line_of(double t_px, double line_px, double blur_px)
{
    return step_of(t_px + line_px / 2, blur_px) - step_of(t_px - line_px / 2, blur_px);
}

/* Shapes of left area, right area and line at the samples of a window whose edge is off its middle. */
typedef struct shapes {
    double weight[WINDOW];
    double part[WINDOW][PARTS];
} shapes;

static void shape(shapes *s, double off_px, double line_px, double blur_px)
{
    double sum = 0;
    double wide_px = WEIGHT_PX + line_px / 2;
    for (int i = 0; i < WINDOW; i++) {
        double t_px = (i - HALF) * SAMPLE_PX - off_px;
        s->weight[i] = exp(-t_px * t_px / (2 * wide_px * wide_px));
        sum += s->weight[i];
        s->part[i][1] = step_of(t_px, blur_px);
        s->part[i][0] = 1 - s->part[i][1];
        s->part[i][2] = line_of(t_px, line_px, blur_px);
    }
    for (int i = 0; i < WINDOW; i++) {
        s->weight[i] /= sum;
    }
}

static double contrast2(const swl_stroke *stroke)
{
    double sum = 0;
    for (int c = 0; c < CHANNELS; c++) {
        sum += (stroke->right[c] - stroke->left[c]) * (stroke->right[c] - stroke->left[c]);
    }
    return sum;
}

static double off_areas(const swl_stroke *stroke, const shapes *s, const colour3 *window, int i, int c)
{
    return window[i][c] - s->part[i][0] * stroke->left[c] - s->part[i][1] * stroke->right[c];
}

/* The weighted mean square that the window is off an edge, as a share of what is allowed: by the step between the areas
 * and by what the line adds. */
static double misfit2(const swl_stroke *stroke, const shapes *s, const colour3 *window)
{
    double sum = 0;
    double line2 = 0;
    for (int c = 0; c < CHANNELS; c++) {
        double line = stroke->line[c];
        double own = 0;
        double all = 0;
        for (int i = 0; stroke->line_free && i < WINDOW; i++) {
            own += s->weight[i] * s->part[i][2] * s->part[i][2];
            all += s->weight[i] * s->part[i][2] * off_areas(stroke, s, window, i, c);
        }
        line = stroke->line_free ? all / own : line;
        line2 += line * line;
        for (int i = 0; i < WINDOW; i++) {
            double off = off_areas(stroke, s, window, i, c) - s->part[i][2] * line;
            sum += s->weight[i] * off * off;
        }
    }
    double step2 = fmin(contrast2(stroke), STEP_MOST * STEP_MOST);
    return sum / (MISFIT_SHARE * MISFIT_SHARE * step2 + LINE_SHARE * LINE_SHARE * line2);
}

/* Where a parabola through three even values is least, in steps off the middle one. */
static double least_of(double before, double here, double after)
{
    double bend = before - 2 * here + after;
    return bend > 0 ? fmin(fmax(0.5 * (before - after) / bend, -0.5), 0.5) : 0;
}

/* At each quarter pixel of the gate: the misfit of an edge there. */
static swl_section best_of(const double *misfit, int count, double first_px)
{
    swl_section best = {.offset_px = INFINITY, .width_px = 1, .peak = 1};
    for (int i = 0; i < count; i++) {
        bool low =
            misfit[i] <= 1 && (i == 0 || misfit[i] <= misfit[i - 1]) && (i + 1 == count || misfit[i] < misfit[i + 1]);
        bool inner = i > 0 && i + 1 < count;
        double off_px = first_px + PLACE_STEP_PX * i;
        off_px += inner && low ? PLACE_STEP_PX * least_of(misfit[i - 1], misfit[i], misfit[i + 1]) : 0;
        if (low && inner && fabs(off_px) < fabs(best.offset_px)) {
            best.found = true;
            best.offset_px = off_px;
            best.peak = 1 - misfit[i];
        }
    }
    return best;
}

swl_section swl_edge_read(const swl_image *image, const swl_stroke *stroke, swl_pixel at, swl_pixel heading,
                          double gate_px)
{
    enum { PLACES = 2 * (int)(GATE_MAX_PX / PLACE_STEP_PX) + 3, SAMPLES = PLACES / 2 + WINDOW + 3 };
    double misfit[PLACES];
    colour3 profile[SAMPLES] = {{0}};
    int half = (int)ceil(fmin(gate_px, GATE_MAX_PX - 1) / PLACE_STEP_PX) + 1;
    half += half % 2;
    int reach = half / 2 + HALF;
    for (int i = 0; i <= 2 * reach; i++) {
        sample(image, at, heading, (i - reach) * SAMPLE_PX, profile[i]);
    }
    /* Places between two samples have shapes of their own. */
    shapes even;
    shapes odd;
    shape(&even, 0, stroke->line_px, stroke->blur_px);
    shape(&odd, PLACE_STEP_PX, stroke->line_px, stroke->blur_px);
    for (int k = 0; k <= 2 * half; k++) {
        misfit[k] = misfit2(stroke, k % 2 == 0 ? &even : &odd, profile + k / 2);
    }
    return best_of(misfit, 2 * half + 1, -half * PLACE_STEP_PX);
}

/* Solves three normal equations for each channel by elimination with pivots. Returns: false when they are singular. */
static bool solve3(double a[PARTS][PARTS], double b[PARTS][CHANNELS])
{
    for (int k = 0; k < PARTS; k++) {
        int pivot = k;
        for (int i = k + 1; i < PARTS; i++) {
            pivot = fabs(a[i][k]) > fabs(a[pivot][k]) ? i : pivot;
        }
        if (!(fabs(a[pivot][k]) > 1e-9)) {
            return false;
        }
        for (int j = 0; j < PARTS; j++) {
            double kept = a[k][j];
            a[k][j] = a[pivot][j];
            a[pivot][j] = kept;
            kept = b[k][j];
            b[k][j] = b[pivot][j];
            b[pivot][j] = kept;
        }
        for (int i = 0; i < PARTS; i++) {
            double share = i == k ? 0 : a[i][k] / a[k][k];
            for (int j = 0; j < PARTS; j++) {
                a[i][j] -= share * a[k][j];
                b[i][j] -= share * b[k][j];
            }
        }
    }
    for (int k = 0; k < PARTS; k++) {
        for (int c = 0; c < CHANNELS; c++) {
            b[k][c] /= a[k][k];
        }
    }
    return true;
}

/* Fits colours and line to a window for an edge and a blur. Returns: the misfit, INFINITY where there is no fit. */
static double fit_window(const colour3 *window, double off_px, double line_px, double blur_px, swl_stroke *stroke)
{
    shapes s;
    double a[PARTS][PARTS] = {{0}};
    double b[PARTS][CHANNELS] = {{0}};
    shape(&s, off_px, line_px, blur_px);
    for (int i = 0; i < WINDOW; i++) {
        for (int k = 0; k < PARTS; k++) {
            for (int j = 0; j < PARTS; j++) {
                a[k][j] += s.weight[i] * s.part[i][k] * s.part[i][j];
                b[k][j] += s.weight[i] * s.part[i][k] * window[i][j];
            }
        }
    }
    a[2][2] += LINE_PRICE; /* none where there is no line */
    if (!solve3(a, b)) {
        return INFINITY;
    }
    memcpy(stroke->left, b[0], sizeof stroke->left);
    memcpy(stroke->right, b[1], sizeof stroke->right);
    memcpy(stroke->line, b[2], sizeof stroke->line);
    stroke->blur_px = blur_px;
    stroke->line_px = line_px;
    stroke->line_free = false;
    double sum = 0;
    for (int i = 0; i < WINDOW; i++) {
        for (int c = 0; c < CHANNELS; c++) {
            double off = off_areas(stroke, &s, window, i, c) - s.part[i][2] * stroke->line[c];
            sum += s.weight[i] * off * off;
        }
    }
    return sum;
}

/* The best fit of an edge to a window over blur and place, with a line of one of so many widths. */
static double fit_best(const colour3 *window, const double *widths_px, int widths, swl_stroke *stroke)
{
    enum { PLACES = 13, MIDDLE = 6, BLURS = 10 };
    const swl_stroke from = *stroke;
    double least = INFINITY;
    for (int blur = 0; blur < BLURS; blur++) {
        double blur_px = BLUR_LEAST_PX + blur * BLUR_STEP_PX;
        for (int k = 0; k < PLACES * widths; k++) {
            swl_stroke tried = from;
            double off_px = (k % PLACES - MIDDLE) * PLACE_STEP_PX;
            double misfit = fit_window(window, off_px, widths_px[k / PLACES], blur_px, &tried);
            if (misfit < least) {
                least = misfit;
                *stroke = tried;
            }
        }
    }
    return least;
}

/* Fits everything to a mean window; the stroke keeps what it had when that contradicts the two areas. */
static void fit_stack(const colour3 *window, swl_stroke *stroke)
{
    static const double none_px = 0;
    swl_stroke best = *stroke;
    swl_stroke bare = *stroke;
    double lined = fit_best(window, line_widths_px, LINE_WIDTHS, &best);
    double unlined = fit_best(window, &none_px, 1, &bare);
    if (unlined < NO_LINE_TIMES * lined + NO_LINE_SHARE * NO_LINE_SHARE * contrast2(stroke)) {
        best = bare;
    }
    double off2 = 0;
    for (int c = 0; c < CHANNELS; c++) {
        off2 = fmax(off2, (best.left[c] - stroke->left[c]) * (best.left[c] - stroke->left[c]));
        off2 = fmax(off2, (best.right[c] - stroke->right[c]) * (best.right[c] - stroke->right[c]));
    }
    if (off2 < 0.16 * contrast2(stroke)) {
        *stroke = best;
    }
}

static void stack_add(const swl_image *image, swl_pixel at, swl_pixel heading, colour3 *sum)
{
    for (int i = 0; i < WINDOW; i++) {
        colour3 one;
        sample(image, at, heading, (i - HALF) * SAMPLE_PX, one);
        for (int c = 0; c < CHANNELS; c++) {
            sum[i][c] += one[c];
        }
    }
}

static void stack_mean(colour3 *sum, size_t count)
{
    for (int i = 0; i < WINDOW; i++) {
        for (int c = 0; c < CHANNELS; c++) {
            sum[i][c] /= (double)count;
        }
    }
}

/* The heading at a point, over its neighbours on this side of any gap. */
static swl_pixel heading_at(const swl_pixel *points, size_t count, size_t i, double gap_px)
{
    size_t from = i;
    size_t to = i;
    for (size_t k = 0; k < 3; k++) {
        bool back =
            from > 0 && hypot(points[from].x - points[from - 1].x, points[from].y - points[from - 1].y) < gap_px;
        bool on = to + 1 < count && hypot(points[to + 1].x - points[to].x, points[to + 1].y - points[to].y) < gap_px;
        from -= back;
        to += on;
    }
    double x = points[to].x - points[from].x;
    double y = points[to].y - points[from].y;
    double length = hypot(x, y);
    return length > 0 ? (swl_pixel){x / length, y / length} : (swl_pixel){0, 0};
}

size_t swl_edge_place(const swl_image *image, swl_stroke *stroke, swl_pixel *points, size_t count, double step_px)
{
    bool *seen = calloc(count + 1, sizeof *seen);
    if (seen == NULL) {
        return count; /* placed as they were followed */
    }
    for (int pass = 0; pass < 2; pass++) {
        colour3 sum[WINDOW] = {{0}};
        size_t stacked = 0;
        for (size_t i = 0; i < count; i++) {
            swl_pixel heading = heading_at(points, count, i, 2.2 * step_px);
            if (heading.x != 0 || heading.y != 0) {
                stack_add(image, points[i], heading, sum);
                stacked++;
            }
        }
        if (stacked < STACK_LEAST) {
            free(seen);
            return count;
        }
        stack_mean(sum, stacked);
        fit_stack(sum, stroke);
        for (size_t i = 0; i < count; i++) {
            swl_pixel heading = heading_at(points, count, i, 2.2 * step_px);
            swl_section section = {0};
            if (heading.x != 0 || heading.y != 0) {
                section = swl_edge_read(image, stroke, points[i], heading, 1.5);
            }
            seen[i] = section.found;
            if (section.found) {
                points[i].x -= heading.y * section.offset_px;
                points[i].y += heading.x * section.offset_px;
            }
        }
    }
    size_t kept = 0;
    for (size_t i = 0; i < count; i++) {
        points[kept] = points[i];
        kept += seen[i] || i == 0;
    }
    free(seen);
    return kept;
}

void swl_edge_turn(swl_stroke *stroke)
{
    for (int c = 0; c < CHANNELS; c++) {
        double kept = stroke->left[c];
        stroke->left[c] = stroke->right[c];
        stroke->right[c] = kept;
    }
}

/* How many sections along a heading on both sides of a place show the edge. */
static double along(const swl_image *image, const swl_stroke *stroke, swl_pixel at, swl_pixel heading)
{
    double sum = 0;
    for (int k = -SEED_HALF; k <= SEED_HALF; k++) {
        swl_pixel place = {at.x + k * heading.x, at.y + k * heading.y};
        swl_section section = swl_edge_read(image, stroke, place, heading, 1 + 0.2 * abs(k));
        sum += section.found ? (0.2 + section.peak) / (1 + fabs(section.offset_px)) : 0;
    }
    return sum;
}

static double settle(const swl_image *image, const swl_stroke *stroke, swl_pixel *centre, swl_pixel *heading)
{
    double best = 0;
    swl_pixel from = *centre;
    for (int angle = 0; angle < ANGLES; angle++) {
        double turn = 2 * acos(-1.0) * angle / ANGLES;
        swl_pixel way = {cos(turn), sin(turn)};
        swl_section section = swl_edge_read(image, stroke, from, way, REACH_SEED);
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
    return best;
}

swl_track_fault swl_edge_start(const swl_image *image, const swl_track_order *order, swl_stroke *stroke,
                               swl_pixel *centre, swl_pixel *heading, unsigned char found[3])
{
    int x = (int)fmin(fmax(floor(order->seed.x + 0.5), 0), image->width - 1);
    int y = (int)fmin(fmax(floor(order->seed.y + 0.5), 0), image->height - 1);
    memcpy(found, image->rgb + 3 * ((size_t)y * (size_t)image->width + (size_t)x), 3);
    double left[3] = {order->rgb[0], order->rgb[1], order->rgb[2]};
    double right[3] = {order->rgb_beyond[0], order->rgb_beyond[1], order->rgb_beyond[2]};
    *stroke = (swl_stroke){.is_edge = true, .width_px = 1.5, .blur_px = BLUR_GUESS_PX, .line_free = true};
    luma_of(left, stroke->left);
    luma_of(right, stroke->right);
    double best = 0;
    for (int i = 0; i < WIDTHS_SEED; i++) {
        swl_stroke tried = *stroke;
        swl_pixel at = {x, y};
        swl_pixel way = {1, 0};
        tried.line_px = seed_widths_px[i];
        double score = settle(image, &tried, &at, &way);
        if (score > best) {
            best = score;
            *stroke = tried;
            *centre = at;
            *heading = way;
        }
    }
    if (!(best > SEED_SCORE_LEAST)) {
        return SWL_TRACK_NO_SUCH_COLOUR;
    }
    colour3 sum[WINDOW] = {{0}};
    size_t count = 0;
    for (int k = -SEED_HALF; k <= SEED_HALF; k++) {
        swl_pixel place = {centre->x + k * heading->x, centre->y + k * heading->y};
        swl_section section = swl_edge_read(image, stroke, place, *heading, 1 + 0.2 * abs(k));
        if (section.found) {
            place.x -= heading->y * section.offset_px;
            place.y += heading->x * section.offset_px;
            stack_add(image, place, *heading, sum);
            count++;
        }
    }
    if (count >= STACK_LEAST) {
        stack_mean(sum, count);
        fit_stack(sum, stroke);
        (void)settle(image, stroke, centre, heading);
    }
    memcpy(found, order->rgb, 3);
    return SWL_TRACK_FOLLOWED;
}
