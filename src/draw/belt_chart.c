#include "draw/chart.h"

#include "base/locale_c.h"
#include "draw/page.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#define PI 3.14159265358979323846

/* One alternative on its part of the page. */
typedef struct belt_panel {
    swl_canvas *canvas;
    const swl_belt_alternative *a;
    swl_rect box;    /* the room of this panel */
    swl_rect drawn;  /* what the path takes of it */
    double scale;    /* page units to a metre */
    double x_m, y_m; /* what stands in the middle of drawn */
    swl_units units;
} belt_panel;

static double page_x(const belt_panel *p, double x_m)
{
    return (p->drawn.x0 + p->drawn.x1) / 2 + (x_m - p->x_m) * p->scale;
}

static double page_y(const belt_panel *p, double y_m)
{
    return (p->drawn.y0 + p->drawn.y1) / 2 - (y_m - p->y_m) * p->scale;
}

/* What all alternatives take together, so that every panel has one scale and one place for one centre. */
static void extent(const swl_belt_study *study, double *low_m, double *high_m)
{
    low_m[0] = low_m[1] = INFINITY;
    high_m[0] = high_m[1] = -INFINITY;
    for (size_t i = 0; i < study->count; i++) {
        const swl_belt_alternative *a = &study->alternatives[i];
        for (size_t k = 0; k < a->path.count; k++) {
            const swl_belt_pulley *pulley = &a->layout.pulleys[a->path.stops[k].pulley];
            double r_m = fmax(a->path.stops[k].r_m, pulley->d_m / 2);
            low_m[0] = fmin(low_m[0], pulley->centre.x_m - r_m);
            high_m[0] = fmax(high_m[0], pulley->centre.x_m + r_m);
            low_m[1] = fmin(low_m[1], pulley->centre.y_m - r_m);
            high_m[1] = fmax(high_m[1], pulley->centre.y_m + r_m);
        }
    }
}

/* ---- the drawing ---- */

/* Adds the arc from on to off. Angles on the page run the other way round, as y does. */
static void arc_path(const belt_panel *p, const swl_belt_stop *stop)
{
    swl_xy centre = p->a->layout.pulleys[stop->pulley].centre;
    double from_rad = atan2(stop->on.y_m - centre.y_m, stop->on.x_m - centre.x_m);
    double to_rad = from_rad + stop->turn * stop->wrap_rad;
    double r = stop->r_m * p->scale;
    if (stop->turn > 0) {
        cairo_arc_negative(p->canvas->cr, page_x(p, centre.x_m), page_y(p, centre.y_m), r, -from_rad, -to_rad);
    } else {
        cairo_arc(p->canvas->cr, page_x(p, centre.x_m), page_y(p, centre.y_m), r, -from_rad, -to_rad);
    }
}

static void circle(const belt_panel *p, swl_xy centre, double d_m)
{
    cairo_new_sub_path(p->canvas->cr);
    cairo_arc(p->canvas->cr, page_x(p, centre.x_m), page_y(p, centre.y_m), d_m / 2 * p->scale, 0, 2 * PI);
}

/* A cross at the centre of a pulley that has no words there. */
static void draw_cross(const belt_panel *p, size_t k)
{
    swl_canvas *canvas = p->canvas;
    swl_xy centre = p->a->layout.pulleys[p->a->path.stops[k].pulley].centre;
    double x = page_x(p, centre.x_m);
    double y = page_y(p, centre.y_m);
    double arm = 0.35 * canvas->font;
    cairo_move_to(canvas->cr, x - arm, y);
    cairo_line_to(canvas->cr, x + arm, y);
    cairo_move_to(canvas->cr, x, y - arm);
    cairo_line_to(canvas->cr, x, y + arm);
    swl_canvas_colour(canvas, swl_ink, 1);
    swl_canvas_stroke(canvas, 0.8, NULL);
}

/* Ends of the travel as fine circles, and the way between them. */
static void draw_travel(const belt_panel *p)
{
    static const double dash[] = {3, 3, 0};
    swl_canvas *canvas = p->canvas;
    size_t mover = swl_belt_mover(&p->a->layout);
    if (mover == p->a->layout.pulley_count) {
        return;
    }
    for (int end = 0; end < 2; end++) {
        swl_belt_layout moved = p->a->layout;
        swl_belt_move(&moved, end);
        circle(p, moved.pulleys[mover].centre, moved.pulleys[mover].d_m);
        swl_canvas_colour(canvas, swl_grey, 0.8);
        swl_canvas_stroke(canvas, 0.8, dash);
    }
    for (int i = 0; i <= 24; i++) {
        swl_belt_layout moved = p->a->layout;
        swl_belt_move(&moved, i / 24.0);
        swl_xy at = moved.pulleys[mover].centre;
        (i == 0 ? cairo_move_to : cairo_line_to)(canvas->cr, page_x(p, at.x_m), page_y(p, at.y_m));
    }
    swl_canvas_colour(canvas, swl_grey, 0.8);
    swl_canvas_stroke(canvas, 0.8, NULL);
}

/* Driving and driven pulleys are filled darker than idlers, so that they stand apart in grey too. */
static void draw_pulleys(const belt_panel *p)
{
    swl_canvas *canvas = p->canvas;
    for (size_t k = 0; k < p->a->path.count; k++) {
        const swl_belt_pulley *pulley = &p->a->layout.pulleys[p->a->path.stops[k].pulley];
        circle(p, pulley->centre, pulley->d_m);
        swl_canvas_colour(canvas, p->a->stops[k].carries ? swl_ramp(0.72) : swl_ramp(0.97), 1);
        cairo_fill_preserve(canvas->cr);
        swl_canvas_colour(canvas, swl_ink, 1);
        swl_canvas_stroke(canvas, 1, NULL);
    }
}

/* Spans and arcs of a path as it runs. */
static void belt_outline(const belt_panel *p)
{
    const swl_belt_path *path = &p->a->path;
    for (size_t k = 0; k < path->count; k++) {
        const swl_xy *on = &path->stops[(k + 1) % path->count].on;
        cairo_new_sub_path(p->canvas->cr);
        arc_path(p, &path->stops[k]);
        cairo_line_to(p->canvas->cr, page_x(p, on->x_m), page_y(p, on->y_m));
    }
}

/* Under an alternative, the belt of the build as it is. */
static void draw_ghost(const belt_panel *p, const swl_belt_alternative *built)
{
    belt_panel ghost = *p;
    ghost.a = built;
    belt_outline(&ghost);
    swl_canvas_colour(p->canvas, swl_grey, 0.45);
    swl_canvas_stroke(p->canvas, 3, NULL);
    for (size_t k = 0; k < built->path.count; k++) {
        const swl_belt_pulley *pulley = &built->layout.pulleys[built->path.stops[k].pulley];
        circle(p, pulley->centre, pulley->d_m);
        swl_canvas_colour(p->canvas, swl_grey, 0.45);
        swl_canvas_stroke(p->canvas, 1, NULL);
    }
}

static void draw_belt(const belt_panel *p)
{
    swl_canvas *canvas = p->canvas;
    const swl_belt_path *path = &p->a->path;
    cairo_new_path(canvas->cr);
    for (size_t k = 0; k < path->count; k++) {
        const swl_belt_stop *stop = &path->stops[k];
        const swl_belt_stop *next = &path->stops[(k + 1) % path->count];
        cairo_move_to(canvas->cr, page_x(p, stop->off.x_m), page_y(p, stop->off.y_m));
        cairo_line_to(canvas->cr, page_x(p, next->on.x_m), page_y(p, next->on.y_m));
    }
    swl_canvas_colour(canvas, swl_ink, 1);
    swl_canvas_stroke(canvas, 2, NULL);
    for (size_t k = 0; k < path->count; k++) {
        if (path->stops[k].wrap_rad > 0) {
            cairo_new_sub_path(canvas->cr);
            arc_path(p, &path->stops[k]);
            swl_canvas_colour(canvas, swl_ink, 1);
            swl_canvas_stroke(canvas, 4.5, NULL);
        }
    }
}

/* An arrow head on the longest span, where the belt runs to. */
static void draw_arrow(const belt_panel *p)
{
    const swl_belt_path *path = &p->a->path;
    size_t longest = 0;
    for (size_t k = 1; k < path->count; k++) {
        longest = path->stops[k].span_m > path->stops[longest].span_m ? k : longest;
    }
    swl_xy from = path->stops[longest].off;
    swl_xy to = path->stops[(longest + 1) % path->count].on;
    double x = (page_x(p, from.x_m) + page_x(p, to.x_m)) / 2;
    double y = (page_y(p, from.y_m) + page_y(p, to.y_m)) / 2;
    double angle = atan2(page_y(p, to.y_m) - page_y(p, from.y_m), page_x(p, to.x_m) - page_x(p, from.x_m));
    double size = 0.8 * p->canvas->font;
    cairo_save(p->canvas->cr);
    cairo_translate(p->canvas->cr, x, y);
    cairo_rotate(p->canvas->cr, angle);
    cairo_move_to(p->canvas->cr, size, 0);
    cairo_line_to(p->canvas->cr, -size, -0.6 * size);
    cairo_line_to(p->canvas->cr, -size, 0.6 * size);
    cairo_close_path(p->canvas->cr);
    swl_canvas_colour(p->canvas, swl_ink, 1);
    cairo_fill(p->canvas->cr);
    cairo_restore(p->canvas->cr);
    swl_canvas_take(p->canvas, (swl_rect){x - size, y - size, x + size, y + size});
}

/* ---- the words ---- */

/* Takes the room of a line or an arc in small boxes, so that no label is put on it. */
static void take_along(const belt_panel *p)
{
    const swl_belt_path *path = &p->a->path;
    double half = 0.3 * p->canvas->font;
    for (size_t k = 0; k < path->count; k++) {
        const swl_belt_stop *stop = &path->stops[k];
        swl_xy to = path->stops[(k + 1) % path->count].on;
        swl_xy centre = p->a->layout.pulleys[stop->pulley].centre;
        double from_rad = atan2(stop->on.y_m - centre.y_m, stop->on.x_m - centre.x_m);
        int steps = 1 + (int)(stop->span_m * p->scale / half);
        for (int i = 0; i <= steps; i++) {
            double x = page_x(p, stop->off.x_m + (to.x_m - stop->off.x_m) * i / steps);
            double y = page_y(p, stop->off.y_m + (to.y_m - stop->off.y_m) * i / steps);
            swl_canvas_take(p->canvas, (swl_rect){x - half, y - half, x + half, y + half});
        }
        int turns = 1 + (int)(stop->r_m * stop->wrap_rad * p->scale / half);
        for (int i = 0; i <= turns; i++) {
            double angle = from_rad + stop->turn * stop->wrap_rad * i / turns;
            double x = page_x(p, centre.x_m + stop->r_m * cos(angle));
            double y = page_y(p, centre.y_m + stop->r_m * sin(angle));
            swl_canvas_take(p->canvas, (swl_rect){x - half, y - half, x + half, y + half});
        }
    }
}

/* Whether a block of words may stand there: within the panel, on no line, label or pulley but its own. */
static bool block_free(const belt_panel *p, swl_rect box, bool inside)
{
    const swl_canvas *canvas = p->canvas;
    double gap = inside ? 0 : 0.35 * canvas->font;
    if (box.x0 < p->box.x0 || box.x1 > p->box.x1 || box.y0 < p->box.y0 || box.y1 > p->box.y1) {
        return false;
    }
    for (size_t i = 0; i < canvas->taken_count; i++) {
        swl_rect other = canvas->taken[i];
        if (box.x0 < other.x1 && other.x0 < box.x1 && box.y0 - gap < other.y1 && other.y0 < box.y1 + gap) {
            return false;
        }
    }
    for (size_t k = 0; k < p->a->path.count && !inside; k++) {
        const swl_belt_pulley *pulley = &p->a->layout.pulleys[p->a->path.stops[k].pulley];
        double x = page_x(p, pulley->centre.x_m);
        double y = page_y(p, pulley->centre.y_m);
        double dx = fmax(fmax(box.x0 - x, x - box.x1), 0);
        double dy = fmax(fmax(box.y0 - y, y - box.y1), 0);
        if (hypot(dx, dy) <= pulley->d_m / 2 * p->scale + 0.2 * canvas->font) {
            return false;
        }
    }
    return true;
}

/* Writes the lines of a block, the first in bold. */
static void block_write(const belt_panel *p, swl_rect box, char (*lines)[80], int count, double size, bool halo)
{
    for (int i = 0; i < count; i++) {
        swl_label label = {.x = (box.x0 + box.x1) / 2,
                           .y = box.y0 + size / 2 + 1.25 * size * i,
                           .size = size,
                           .bold = i == 0,
                           .halo = halo,
                           .colour = swl_ink};
        (void)snprintf(label.text, sizeof label.text, "%.79s", lines[i]);
        swl_canvas_label(p->canvas, &label);
    }
}

/* A fine line from a pulley's rim to a block that stands off it. */
static void leader(const belt_panel *p, double cx, double cy, double r, double angle, swl_rect box)
{
    cairo_move_to(p->canvas->cr, cx + r * cos(angle), cy + r * sin(angle));
    cairo_line_to(p->canvas->cr, fmax(box.x0, fmin(box.x1, cx)), fmax(box.y0, fmin(box.y1, cy)));
    swl_canvas_colour(p->canvas, swl_grey, 1);
    swl_canvas_stroke(p->canvas, 0.8, NULL);
}

/* Puts one to three lines at the first place round a pulley that is free: in its middle, then on so many rings about
 * it. Returns: false when there is no place. */
static bool put_block(const belt_panel *p, size_t k, char (*lines)[80], int count, int rings)
{
    enum { PLACES = 32 };
    swl_canvas *canvas = p->canvas;
    const swl_belt_pulley *pulley = &p->a->layout.pulleys[p->a->path.stops[k].pulley];
    double size = 0.82 * canvas->font;
    double width = 0;
    for (int i = 0; i < count; i++) {
        double w = 0;
        double h = 0;
        swl_canvas_measure(canvas, lines[i], size, i == 0, &w, &h);
        width = fmax(width, w);
    }
    double high = (count - 1) * 1.25 * size + size;
    double r = fmax(p->a->path.stops[k].r_m, pulley->d_m / 2) * p->scale;
    double cx = page_x(p, pulley->centre.x_m);
    double cy = page_y(p, pulley->centre.y_m);
    for (int n = hypot(width, high) > 1.9 * r ? 1 : 0; n <= rings * PLACES; n++) {
        bool inside = n == 0;
        int turns = (n - 1) / PLACES;
        int ring = inside ? 0 : 1 + turns;
        double angle = 2 * PI * ((n - 1) % PLACES) / PLACES;
        double away = r + (0.6 + 1.2 * (ring - 1)) * canvas->font;
        /* The block's edge, not its middle, stands that far away. */
        double x = inside ? cx : cx + (away + width / 2 * fabs(cos(angle))) * cos(angle);
        double y = inside ? cy : cy + (away + high / 2 * fabs(sin(angle)) + 0.3 * size) * sin(angle);
        swl_rect box = {x - width / 2, y - high / 2, x + width / 2, y + high / 2};
        if (!block_free(p, box, inside)) {
            continue;
        }
        if (!inside) {
            draw_cross(p, k);
        }
        if (ring > 1) {
            leader(p, cx, cy, r, angle, box);
        }
        block_write(p, box, lines, count, size, !inside);
        return true;
    }
    return false;
}

static void label_pulley(const belt_panel *p, size_t k)
{
    const swl_belt_pulley *pulley = &p->a->layout.pulleys[p->a->path.stops[k].pulley];
    char lines[3][80];
    swl_buf size = {0};
    swl_shown shown = swl_shown_as(SWL_SHOW_LENGTH, p->units);
    swl_buf_printf(&size, "%.*f %s, %s", shown.decimals, swl_shown_value(pulley->d_m, SWL_SHOW_LENGTH, p->units),
                   shown.unit, pulley->side == SWL_BELT_RIBS ? "ribs" : "back");
    (void)snprintf(lines[0], sizeof lines[0], "%s", pulley->name);
    (void)swl_locale_print(lines[1], sizeof lines[1], "%.1f deg wrap", p->a->path.stops[k].wrap_rad * 180 / PI);
    (void)snprintf(lines[2], sizeof lines[2], "%s", swl_buf_text(&size));
    swl_buf_free(&size);
    /* All of the words within sight of the pulley before fewer of them, and fewer before far from it. */
    for (int ring = 1; ring <= 3; ring++) {
        if (put_block(p, k, lines, 3, ring)) {
            return;
        }
    }
    static const int rings[] = {1, 2, 4, 8};
    for (size_t i = 0; i < sizeof rings / sizeof rings[0]; i++) {
        for (int count = 3; count > 0; count--) {
            if (put_block(p, k, lines, count, rings[i])) {
                return;
            }
        }
    }
    draw_cross(p, k);
}

/* The pulley nearest to slipping; NULL where grip is not known. */
static const swl_belt_limit *least_grip(const swl_belt_alternative *a)
{
    const swl_belt_limit *worst = NULL;
    for (size_t i = 0; i < a->limit_count; i++) {
        bool slip = a->limits[i].pulley != NULL;
        if (slip && (worst == NULL || a->limits[i].margin_frac < worst->margin_frac)) {
            worst = &a->limits[i];
        }
    }
    return worst;
}

/* A limit that is exceeded though no pulley slips; NULL where there is none. */
static const char *exceeded_words(const swl_belt_alternative *a)
{
    for (size_t i = 0; i < a->limit_count; i++) {
        const swl_belt_limit *limit = &a->limits[i];
        if (limit->verdict == SWL_EXCEEDED && limit->pulley == NULL) {
            return limit->show == SWL_SHOW_BLOWER_SPEED ? "blower speed"
                   : limit->show == SWL_SHOW_VELOCITY   ? "belt speed"
                                                        : "largest tension";
        }
    }
    return a->other_count > 0 ? a->others[0].words : NULL;
}

/* That a pulley slips, with the other limit where the panel is wide enough for both. */
static void put_slip(const belt_panel *p, swl_buf *out, const char *pulley, const char *over)
{
    char both[160];
    double w = 0;
    double h = 0;
    (void)snprintf(both, sizeof both, "SLIPS at the %s, EXCEEDED: %s", pulley, over == NULL ? "" : over);
    swl_canvas_measure(p->canvas, both, 0.86 * p->canvas->font, true, &w, &h);
    bool fits = over != NULL && w < p->box.x1 - p->box.x0;
    if (fits) {
        swl_buf_puts(out, both);
    } else {
        swl_buf_printf(out, "SLIPS at the %s%s", pulley, over == NULL ? "" : "; more EXCEEDED");
    }
}

/* Name, length and margin over the panel, the bar of the scale under it. */
static void panel_words(const belt_panel *p, double head_y)
{
    swl_canvas *canvas = p->canvas;
    const swl_belt_alternative *a = p->a;
    const swl_belt_limit *worst = least_grip(a);
    swl_buf lines[3] = {{0}, {0}, {0}};
    swl_shown length = swl_shown_as(SWL_SHOW_LENGTH, p->units);
    bool slips = worst != NULL && worst->verdict == SWL_EXCEEDED;
    const char *over = exceeded_words(a);
    swl_buf_puts(&lines[0], a->layout.name[0] == '\0' ? "as built" : a->layout.name);
    swl_buf_printf(&lines[1], "effective length %.*f %s", length.decimals,
                   swl_shown_value(a->path.effective_length_m, SWL_SHOW_LENGTH, p->units), length.unit);
    if (!a->solved) {
        swl_buf_puts(&lines[2], "no operating line with it");
    } else if (slips) {
        put_slip(p, &lines[2], worst->pulley, over);
    } else if (over != NULL) {
        swl_buf_printf(&lines[2], "EXCEEDED: %s", over);
    } else if (worst != NULL) {
        swl_buf_printf(&lines[2], "least margin %.0f %%, at the %s", worst->margin_frac * 100, worst->pulley);
    }
    for (int i = 0; i < 3; i++) {
        swl_label label = {.x = p->box.x0, .y = head_y + (i == 0 ? 0 : 0.15 + 1.2 * i) * canvas->font};
        label.across = -1;
        label.down = -1;
        label.size = (i == 0 ? 1 : 0.86) * canvas->font;
        label.bold = i == 0 || (i == 2 && (slips || over != NULL));
        label.colour = i == 2 && (slips || over != NULL) ? swl_warn : swl_ink;
        (void)snprintf(label.text, sizeof label.text, "%.199s", swl_buf_text(&lines[i]));
        swl_utf8_clean(label.text);
        swl_canvas_label(canvas, &label);
        swl_buf_free(&lines[i]);
    }
}

static void scale_bar(const belt_panel *p, double bottom)
{
    swl_canvas *canvas = p->canvas;
    bool us = p->units == SWL_UNITS_US;
    double bar_m = us ? 4 * 0.0254 : 0.1;
    double x = p->box.x0;
    double y = bottom - 0.5 * canvas->font;
    cairo_move_to(canvas->cr, x, y - 4);
    cairo_line_to(canvas->cr, x, y);
    cairo_line_to(canvas->cr, x + bar_m * p->scale, y);
    cairo_line_to(canvas->cr, x + bar_m * p->scale, y - 4);
    swl_canvas_colour(canvas, swl_ink, 1);
    swl_canvas_stroke(canvas, 1.2, NULL);
    swl_label label = {.x = x + bar_m * p->scale + 0.5 * canvas->font,
                       .y = y,
                       .across = -1,
                       .down = 0,
                       .size = 0.82 * canvas->font,
                       .colour = swl_ink};
    (void)snprintf(label.text, sizeof label.text, us ? "4 in" : "100 mm");
    swl_canvas_label(canvas, &label);
}

static void panel_draw(const belt_panel *p)
{
    draw_pulleys(p);
    draw_travel(p);
    draw_belt(p);
    take_along(p);
    draw_arrow(p);
    for (size_t k = 0; k < p->a->path.count; k++) {
        label_pulley(p, k);
    }
}

/* What stands round the drawing in a panel: words over it, labels beside it. */
static double panel_scale(double wide, double high, double font, const double *size_m)
{
    return fmin((wide - 7.4 * font) / size_m[0], (high - 7.4 * font) / size_m[1]);
}

/* Columns of a grid of panels that make them largest. */
static int grid_columns(size_t count, double width, double height, double font, const double *size_m)
{
    int best = 1;
    double best_scale = 0;
    for (int columns = 1; columns <= (int)count; columns++) {
        int rows = ((int)count + columns - 1) / columns;
        double scale = panel_scale(width / columns, height / rows, font, size_m);
        if (scale > best_scale) {
            best_scale = scale;
            best = columns;
        }
    }
    return best;
}

static swl_status belt_page(swl_canvas *canvas, const swl_belt_chart *chart, swl_err *err)
{
    const swl_belt_study *study = chart->study;
    swl_rect room = swl_page_frame(canvas, chart->title, chart->subtitle, chart->caption);
    double low_m[2];
    double high_m[2];
    double f = canvas->font;
    extent(study, low_m, high_m);
    double foot = 1.6 * f;
    const double size_m[2] = {high_m[0] - low_m[0], high_m[1] - low_m[1]};
    int columns = grid_columns(study->count, room.x1 - room.x0, room.y1 - room.y0 - foot, f, size_m);
    int rows = ((int)study->count + columns - 1) / columns;
    double wide = (room.x1 - room.x0) / columns;
    double high = (room.y1 - foot - room.y0) / rows;
    double head = 4.2 * f;
    double scale = panel_scale(wide, high, f, size_m);
    if (!(scale > 0) || !(scale * size_m[1] > 4 * f)) {
        return swl_no_room(canvas, err);
    }
    for (size_t i = 0; i < study->count; i++) {
        size_t row = i / (size_t)columns;
        double x0 = room.x0 + wide * (double)(i % (size_t)columns);
        double y0 = room.y0 + high * (double)row;
        belt_panel p = {.canvas = canvas,
                        .a = &study->alternatives[i],
                        .box = {x0, y0 + head, x0 + wide - f, y0 + high},
                        .drawn = {x0, y0 + head, x0 + wide - f, y0 + high},
                        .scale = scale,
                        .x_m = (low_m[0] + high_m[0]) / 2,
                        .y_m = (low_m[1] + high_m[1]) / 2,
                        .units = chart->units};
        panel_words(&p, y0 + 0.4 * f);
        if (i > 0) {
            draw_ghost(&p, &study->alternatives[0]);
        }
        panel_draw(&p);
        if (i == 0) {
            scale_bar(&p, room.y1);
        }
    }
    return SWL_OK;
}

swl_status swl_draw_belt(const swl_belt_chart *chart, const swl_picture *picture, swl_buf *out, swl_err *err)
{
    swl_canvas canvas;
    swl_status status = swl_canvas_open(&canvas, picture, chart->title, err);
    if (status != SWL_OK) {
        return status;
    }
    status = belt_page(&canvas, chart, err);
    if (status == SWL_OK) {
        status = swl_canvas_close(&canvas, out, err);
    }
    swl_canvas_free(&canvas);
    return status;
}
