#include "sweptline/trace.h"

#include <math.h>
#include <stdlib.h>

/* A speed line that stands so far off a smooth one has jumped onto another or was typed wrong; half of that is
 * doubtful. Common practice, no source. */
#define RESIDUAL_REFUSED_PX 8.0
#define RESIDUAL_DOUBTFUL_PX 1.5
/* An island does not run along a speed line, this near to it, for so long. Colours nearer than this are one ink. */
#define ALONG_PX 1.5
#define ALONG_MOST_PX 16.0
#define SAME_INK 0.15

typedef struct run {
    swl_tracing *tracing;
    swl_diags *diags;
} run;

static void tell_fault(const run *r, const swl_trace_curve *curve)
{
    const swl_image *image = &r->tracing->scan.image;
    const swl_track *track = &curve->track;
    const swl_text *text = &r->tracing->text;
    double x = curve->order.seed.x;
    double y = curve->order.seed.y;
    const unsigned char *c = track->found;
    const unsigned char *w = curve->order.rgb;
    switch (track->fault) {
    case SWL_TRACK_FOLLOWED:
        break;
    case SWL_TRACK_SEED_OUTSIDE:
        swl_diag_add(r->diags, SWL_ERROR, text, curve->at_place,
                     "seed: read %.6g, %.6g, which is outside the picture; 0, 0 to %d, %d is accepted", x, y,
                     image->width - 1, image->height - 1);
        break;
    case SWL_TRACK_ON_BACKGROUND:
        swl_diag_add(
            r->diags, SWL_ERROR, text, curve->at_place,
            "seed: %.6g, %.6g is on the background, whose colour there is %02x%02x%02x; a place within 2 pixels "
            "of a line is wanted",
            x, y, c[0], c[1], c[2]);
        break;
    case SWL_TRACK_NO_SUCH_COLOUR:
        if (curve->order.is_edge) {
            const unsigned char *b = curve->order.rgb_beyond;
            swl_diag_add(r->diags, SWL_ERROR, text, curve->at_place,
                         "seed: no edge between %02x%02x%02x and %02x%02x%02x within 4 pixels of %.6g, %.6g, where the "
                         "colour is %02x%02x%02x; another place or the two colours beside it are wanted",
                         w[0], w[1], w[2], b[0], b[1], b[2], x, y, c[0], c[1], c[2]);
            break;
        }
        swl_diag_add(r->diags, SWL_ERROR, text, curve->at_place,
                     "seed: no line of the colour %02x%02x%02x within 4 pixels of %.6g, %.6g, where the colour is "
                     "%02x%02x%02x; another place, colour or tolerance is wanted",
                     w[0], w[1], w[2], x, y, c[0], c[1], c[2]);
        break;
    case SWL_TRACK_ENDLESS:
        swl_diag_add(r->diags, SWL_ERROR, text, curve->at_place,
                     "seed: [trace %s] goes round without end, so it has left its line, for the chart's frame perhaps; "
                     "give its colour, lessen gap, or give it as a line in pixels",
                     curve->name);
        break;
    case SWL_TRACK_TOO_SHORT:
        swl_diag_add(r->diags, SWL_ERROR, text, curve->at_place,
                     "%s: [trace %s] is %.3g pixels long and never leaves its start; a curve of %g pixels or more is "
                     "wanted%s",
                     curve->order.line_count > 0 ? "line" : "seed", curve->name, track->length_px,
                     SWL_TRACK_SHORTEST_PX, curve->order.line_count > 0 ? "" : ", or give it as a line in pixels");
        break;
    }
}

static bool line_inside(const run *r, const swl_trace_curve *curve)
{
    const swl_image *image = &r->tracing->scan.image;
    for (size_t i = 0; i < curve->order.line_count; i++) {
        swl_pixel p = curve->order.line[i];
        if (!(p.x >= 0 && p.y >= 0 && p.x <= image->width - 1 && p.y <= image->height - 1)) {
            swl_diag_add(r->diags, SWL_ERROR, &r->tracing->text, curve->at_place,
                         "line: place %zu of it, %.6g %.6g, is outside the picture; 0 0 to %d %d is accepted", i + 1,
                         p.x, p.y, image->width - 1, image->height - 1);
            return false;
        }
    }
    return true;
}

static swl_status follow_all(const run *r, swl_err *err)
{
    swl_tracing *t = r->tracing;
    swl_status status = SWL_OK;
    for (size_t i = 0; i < t->count && status == SWL_OK; i++) {
        swl_trace_curve *curve = &t->curves[i];
        if (isnan(curve->order.gap_px)) {
            curve->order.gap_px = swl_track_gap_px(&t->scan.image, curve->order.corners);
        }
        if (line_inside(r, curve)) {
            status = swl_track_follow(&t->scan.image, &curve->order, &curve->track, err);
            tell_fault(r, curve);
        }
        swl_progress_tell(t->progress, "following curves", i + 1, t->count);
    }
    return status;
}

/* Distance of a place from a traced curve. */
static double off_curve(const swl_track *track, swl_pixel at)
{
    double least = INFINITY;
    for (size_t i = 1; i < track->simple_count; i++) {
        least = fmin(least, swl_off_segment(at, track->simple[i - 1], track->simple[i]));
    }
    return least;
}

static bool along_any(const swl_tracing *t, const swl_trace_curve *island, swl_pixel at)
{
    swl_oklab own = swl_oklab_of(island->track.found[0], island->track.found[1], island->track.found[2]);
    for (size_t i = 0; i < t->count; i++) {
        const swl_trace_curve *line = &t->curves[i];
        const unsigned char *c = line->track.found;
        bool same = line->kind == SWL_TRACE_SPEED_LINE && line->order.line_count == 0 &&
                    swl_oklab_distance(own, swl_oklab_of(c[0], c[1], c[2])) < SAME_INK;
        if (same && off_curve(&line->track, at) < ALONG_PX + 0.5 * line->track.width_px) {
            return true;
        }
    }
    return false;
}

/* Where an open island goes on along a speed line of its own colour, it has turned onto that. Cuts it there, from its
 * seed outwards. */
static swl_status cut_along(const swl_tracing *t, swl_trace_curve *island, swl_err *err)
{
    swl_track *track = &island->track;
    size_t seed = 0;
    for (size_t i = 0; i < track->count; i++) {
        double best = hypot(track->points[seed].x - island->order.seed.x, track->points[seed].y - island->order.seed.y);
        double here = hypot(track->points[i].x - island->order.seed.x, track->points[i].y - island->order.seed.y);
        seed = here < best ? i : seed;
    }
    size_t ends[2] = {0, track->count};
    for (int side = -1; side <= 1; side += 2) {
        double along_px = 0;
        size_t clear = seed;
        for (size_t i = seed; (side < 0 ? i > 0 : i + 1 < track->count) && along_px < ALONG_MOST_PX;) {
            swl_pixel from = track->points[i];
            i = side < 0 ? i - 1 : i + 1;
            bool along = along_any(t, island, track->points[i]);
            along_px = along ? along_px + hypot(track->points[i].x - from.x, track->points[i].y - from.y) : 0;
            clear = along ? clear : i;
        }
        if (along_px > 0) { /* at the end or for too long */
            ends[side > 0] = side > 0 ? clear + 1 : clear;
        }
    }
    return ends[0] == 0 && ends[1] == track->count ? SWL_OK : swl_track_cut(track, ends[0], ends[1], err);
}

static swl_status cut_all(const run *r, swl_err *err)
{
    swl_status status = SWL_OK;
    swl_tracing *t = r->tracing;
    for (size_t i = 0; i < t->count && status == SWL_OK; i++) {
        swl_trace_curve *curve = &t->curves[i];
        bool open = curve->kind == SWL_TRACE_ISLAND && !curve->track.closed && curve->order.line_count == 0 &&
                    !curve->order.is_edge && curve->track.count > 0;
        status = open ? cut_along(t, curve, err) : SWL_OK;
        if (open && curve->track.length_px < SWL_TRACK_SHORTEST_PX) {
            curve->track.fault = SWL_TRACK_TOO_SHORT;
            tell_fault(r, curve);
        }
    }
    return status;
}

static void tell_clash(const run *r)
{
    const swl_tracing *t = r->tracing;
    swl_trace_clash clash;
    if (!swl_trace_clashes(t->curves, t->count, &clash)) {
        return;
    }
    const swl_trace_curve *first = &t->curves[clash.first];
    const swl_trace_curve *second = &t->curves[clash.second];
    if (clash.share > 0) {
        swl_diag_add(
            r->diags, SWL_ERROR, &t->text, second->at_place,
            "[trace %s] runs along [trace %s] for %.0f %% of its length; one of them is on the wrong line, or a "
            "seed is given twice",
            second->name, first->name, clash.share * 100);
        return;
    }
    swl_diag_add(
        r->diags, SWL_ERROR, &t->text, second->at_place,
        "the speed lines [trace %s] and [trace %s] cross at pixel %.0f, %.0f; speed lines do not cross, so one "
        "has left its line there: move its seed, lessen gap, or give it as a line in pixels",
        first->name, second->name, clash.at.x, clash.at.y);
}

static void tell_residuals(const run *r)
{
    const swl_tracing *t = r->tracing;
    for (size_t i = 0; i < t->count; i++) {
        const swl_trace_curve *curve = &t->curves[i];
        if (curve->kind == SWL_TRACE_SPEED_LINE && curve->residual_px > RESIDUAL_DOUBTFUL_PX) {
            swl_diag_add(r->diags, curve->residual_px > RESIDUAL_REFUSED_PX ? SWL_ERROR : SWL_WARNING, &t->text,
                         curve->at_place,
                         "[trace %s] stands %.3g pixels off a smooth line; a speed line bends slowly, so it may have "
                         "left its line: look at the preview",
                         curve->name, curve->residual_px);
        }
    }
}

static void found(void *context, swl_severity severity, size_t row, const char *words)
{
    const run *r = context;
    const swl_tracing *t = r->tracing;
    const char *at = NULL;
    for (size_t i = 0; i < t->count && row < t->map.count; i++) {
        bool own = t->curves[i].kind == SWL_TRACE_SPEED_LINE && t->curves[i].value == t->map.rows[row].speed_rpm;
        at = own ? t->curves[i].at_value : at;
    }
    swl_diag_add(r->diags, severity, &t->text, at, "the traced table: %s", words);
}

/* What every command would find wrong in the table. */
static swl_status check_map(run *r, swl_err *err)
{
    const swl_tracing *t = r->tracing;
    swl_map_row *rows = calloc(t->map.count, sizeof *rows);
    if (rows == NULL) {
        return swl_err_set(err, SWL_ERR_MEMORY, "out of memory for a map");
    }
    for (size_t i = 0; i < t->map.count; i++) {
        const swl_trace_row *row = &t->map.rows[i];
        rows[i] = (swl_map_row){.speed_rpm = row->speed_rpm,
                                .p_ratio = row->p_ratio,
                                .ev_frac = row->vdot_m3_s / (t->blower.disp_m3_rev * row->speed_rpm / 60),
                                .ea_frac = row->ea_frac,
                                .id = i};
    }
    swl_map_check(rows, t->map.count, t->blower.kind == SWL_BLOWER_ROOTS, found, r);
    free(rows);
    return SWL_OK;
}

swl_status swl_tracing_run(swl_tracing *tracing, swl_diags *diags, swl_err *err)
{
    run r = {.tracing = tracing, .diags = diags};
    swl_status status = follow_all(&r, err);
    if (status == SWL_OK) {
        status = swl_diag_status(diags, err);
    }
    if (status == SWL_OK) {
        status = cut_all(&r, err);
    }
    if (status == SWL_OK) {
        status = swl_diag_status(diags, err);
    }
    if (status == SWL_OK) {
        tell_clash(&r);
        status = swl_diag_status(diags, err);
    }
    if (status == SWL_OK) {
        swl_progress_tell(tracing->progress, "fitting the table to the curves", tracing->count, tracing->count);
        status = swl_trace_map_make(tracing->curves, tracing->count, &tracing->scan.calibration,
                                    tracing->scan.x_per_m3_s, &tracing->map, err);
    }
    if (status == SWL_OK) {
        tell_residuals(&r);
        status = check_map(&r, err);
    }
    return status == SWL_OK ? swl_diag_status(diags, err) : status;
}

void swl_tracing_free(swl_tracing *tracing)
{
    for (size_t i = 0; tracing->curves != NULL && i < tracing->count; i++) {
        swl_trace_curve_free(&tracing->curves[i]);
    }
    free(tracing->curves);
    swl_trace_map_free(&tracing->map);
    swl_scan_free(&tracing->scan);
    swl_blower_free(&tracing->blower);
    swl_text_free(&tracing->text);
    *tracing = (swl_tracing){0};
}
