#include "draw/islands.h"

#include "base/locale_c.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static bool node_inside(const swl_field *field, size_t speed, size_t ratio)
{
    for (size_t k = 0; k + 1 < field->lines; k++) {
        bool between = speed >= field->line_speed[k] && speed <= field->line_speed[k + 1];
        double low = fmax(field->line_low[k], field->line_low[k + 1]);
        double high = fmin(field->line_high[k], field->line_high[k + 1]);
        if (between && field->p_ratio[ratio] >= low && field->p_ratio[ratio] <= high) {
            return true;
        }
    }
    return false;
}

static int rising(const void *a, const void *b)
{
    double left = *(const double *)a;
    double right = *(const double *)b;
    return (left > right) - (left < right);
}

/* Levels close together where most of the map is, wide apart in the poor corners: the best islands are the ones
 * that are looked for, and a map is steep only at its edges. Given: the values of all nodes inside, rising. */
static size_t levels_of(const double *values, size_t count, double *level)
{
    static const double fine[] = {0.005, 0.01, 0.02, 0.025, 0.05, 0.10};
    static const double wide[] = {0.01, 0.02, 0.10, 0.05, 0.10, 0.10};
    double low = values[0];
    double shoulder = values[count / 5];
    double high = values[count - 1];
    size_t levels = 0;
    size_t s = 0;
    while (s < 5 && (high - shoulder) / fine[s] > 7) {
        s++;
    }
    /* Down from the shoulder in wide steps, up from it in fine ones. */
    double join = floor(shoulder / wide[s]) * wide[s];
    double next = 0;
    for (long k = (long)floor(low / wide[s]) + 1; next < join && levels < SWL_ISLANDS_MAX; k++) {
        next = (double)k * wide[s];
        level[levels] = next;
        levels += next < join - 1e-9;
    }
    for (long k = lround(join / fine[s]); levels < SWL_ISLANDS_MAX && (double)k * fine[s] < high; k++) {
        level[levels] = (double)k * fine[s];
        levels += level[levels] > low;
    }
    return levels;
}

swl_status swl_islands_levels(const swl_field *const *fields, size_t count, double *level, size_t *levels, swl_err *err)
{
    size_t nodes = 0;
    for (size_t f = 0; f < count; f++) {
        nodes += fields[f]->speeds * fields[f]->ratios;
    }
    double *values = malloc(nodes * sizeof *values);
    if (values == NULL) {
        return swl_err_set(err, SWL_ERR_MEMORY, "out of memory for the islands");
    }
    size_t inside = 0;
    for (size_t f = 0; f < count; f++) {
        const swl_field *field = fields[f];
        for (size_t n = 0; n < field->speeds * field->ratios; n++) {
            if (node_inside(field, n / field->ratios, n % field->ratios)) {
                values[inside++] = field->ea_frac[n];
            }
        }
    }
    qsort(values, inside, sizeof *values, rising);
    *levels = inside == 0 ? 0 : levels_of(values, inside, level);
    free(values);
    return SWL_OK;
}

swl_status swl_islands_init(swl_islands *islands, const swl_field *field, double t_limit_k, const swl_map_scale *scale,
                            swl_err *err)
{
    *islands = (swl_islands){0};
    size_t nodes = field->speeds * field->ratios;
    islands->p_ratio = malloc(nodes * sizeof *islands->p_ratio);
    if (islands->p_ratio == NULL) {
        return swl_err_set(err, SWL_ERR_MEMORY, "out of memory for the islands");
    }
    for (size_t n = 0; n < nodes; n++) {
        islands->p_ratio[n] = field->p_ratio[n % field->ratios];
    }
    swl_status status = SWL_OK;
    if (scale != NULL) {
        islands->count = scale->level_count;
        memcpy(islands->level, scale->level, sizeof islands->level);
    } else {
        status = swl_islands_levels(&field, 1, islands->level, &islands->count, err);
    }
    swl_grid grid = {.rows = field->speeds,
                     .columns = field->ratios,
                     .x = field->vdot_m3_s,
                     .y = islands->p_ratio,
                     .value = field->ea_frac};
    for (size_t k = 0; k < islands->count && status == SWL_OK; k++) {
        status = swl_contour(&grid, islands->level[k], &islands->loops[k], err);
    }
    if (status == SWL_OK && !isnan(t_limit_k)) {
        grid.value = field->t2_k;
        status = swl_contour(&grid, t_limit_k, &islands->hot, err);
    }
    if (status != SWL_OK) {
        swl_islands_free(islands);
    }
    return status;
}

void swl_islands_free(swl_islands *islands)
{
    for (size_t k = 0; k < islands->count; k++) {
        swl_loops_free(&islands->loops[k]);
    }
    swl_loops_free(&islands->hot);
    free(islands->p_ratio);
    *islands = (swl_islands){0};
}

/* The node at or below a ratio that has another above it. */
static size_t node_below(const swl_field *field, double ratio)
{
    size_t a = 0;
    while (a + 2 < field->ratios && field->p_ratio[a + 1] <= ratio) {
        a++;
    }
    return a;
}

/* One side of a patch of the region: a grid speed from one pressure ratio to another. */
static void region_side(const swl_field *field, size_t speed, double from, double to, swl_region_point *point,
                        void *context, bool started)
{
    double low = fmin(from, to);
    double high = fmax(from, to);
    const double *vdot = field->vdot_m3_s + speed * field->ratios;
    for (size_t n = 0; n < field->ratios + 2; n++) {
        size_t j = to > from ? n : field->ratios + 1 - n;
        double ratio = j == 0 ? low : j == field->ratios + 1 ? high : field->p_ratio[j - 1];
        if ((ratio < low || ratio > high) && j != 0) {
            continue;
        }
        /* The flow at a ratio between two nodes, on the straight line that is drawn there. */
        bool is_node = j != 0 && j != field->ratios + 1;
        size_t a = is_node ? (j == field->ratios ? j - 2 : j - 1) : node_below(field, ratio);
        double share = (ratio - field->p_ratio[a]) / (field->p_ratio[a + 1] - field->p_ratio[a]);
        point(context, vdot[a] + share * (vdot[a + 1] - vdot[a]), ratio, !started);
        started = true;
    }
}

void swl_region_walk(const swl_field *field, swl_region_point *point, void *context)
{
    for (size_t k = 0; k + 1 < field->lines; k++) {
        double low = fmax(field->line_low[k], field->line_low[k + 1]);
        double high = fmin(field->line_high[k], field->line_high[k + 1]);
        if (high > low) {
            region_side(field, field->line_speed[k], low, high, point, context, false);
            region_side(field, field->line_speed[k + 1], high, low, point, context, true);
        }
    }
}

static void region_to_path(void *context, double vdot_m3_s, double p_ratio, bool first)
{
    const swl_panel *panel = context;
    cairo_t *cr = panel->canvas->cr;
    swl_spot spot = swl_panel_spot(panel, vdot_m3_s, p_ratio);
    if (first) {
        cairo_close_path(cr);
        cairo_move_to(cr, spot.x, spot.y);
    } else {
        cairo_line_to(cr, spot.x, spot.y);
    }
}

void swl_region_path(const swl_panel *panel, const swl_field *field)
{
    swl_panel copy = *panel;
    swl_region_walk(field, region_to_path, &copy);
    cairo_close_path(panel->canvas->cr);
}

static void loops_path(const swl_panel *panel, const swl_loops *loops)
{
    for (size_t k = 0; k < loops->count; k++) {
        size_t from = loops->start[k];
        swl_panel_path(panel, loops->x + from, loops->y + from, loops->start[k + 1] - from);
        cairo_close_path(panel->canvas->cr);
    }
}

/* The part of the loops that runs along the level. */
static void level_path(const swl_panel *panel, const swl_loops *loops)
{
    cairo_t *cr = panel->canvas->cr;
    for (size_t k = 0; k < loops->count; k++) {
        size_t from = loops->start[k];
        size_t count = loops->start[k + 1] - from;
        for (size_t n = 0; n < count; n++) {
            size_t a = from + n;
            size_t b = from + (n + 1) % count;
            if (loops->edge[a]) {
                continue;
            }
            bool goes_on = n > 0 && !loops->edge[a - 1];
            if (!goes_on) {
                swl_spot start = swl_panel_spot(panel, loops->x[a], loops->y[a]);
                cairo_move_to(cr, start.x, start.y);
            }
            swl_spot to = swl_panel_spot(panel, loops->x[b], loops->y[b]);
            cairo_line_to(cr, to.x, to.y);
        }
    }
}

void swl_islands_draw(const swl_panel *panel, const swl_field *field, const swl_islands *islands)
{
    swl_canvas *canvas = panel->canvas;
    cairo_t *cr = canvas->cr;
    bool fill = panel->scan == NULL;
    swl_panel_clip(panel);
    swl_region_path(panel, field);
    if (fill) {
        swl_canvas_colour(canvas, swl_ramp(0), 1);
        cairo_fill_preserve(cr);
    }
    cairo_clip(cr);
    cairo_set_fill_rule(cr, CAIRO_FILL_RULE_EVEN_ODD);
    for (size_t k = 0; k < islands->count && fill; k++) {
        loops_path(panel, &islands->loops[k]);
        swl_canvas_colour(canvas, swl_ramp((double)(k + 1) / (double)islands->count), 1);
        cairo_fill(cr);
    }
    cairo_set_fill_rule(cr, CAIRO_FILL_RULE_WINDING);
    for (size_t k = 0; k < islands->count; k++) {
        level_path(panel, &islands->loops[k]);
    }
    swl_canvas_colour(canvas, swl_ink, fill ? 0.45 : 0.9);
    swl_canvas_stroke(canvas, fill ? 0.8 : 1.2, NULL);
    swl_panel_unclip(panel);
}

bool swl_region_holds(const swl_panel *panel, const swl_field *field, const swl_label *label)
{
    cairo_t *cr = panel->canvas->cr;
    double width = 0;
    double height = 0;
    swl_canvas_measure(panel->canvas, label->text, label->size, label->bold, &width, &height);
    double half = width / 2 + 0.4 * height;
    double middle = label->y - 0.36 * height * label->down;
    bool inside = true;
    cairo_new_path(cr);
    swl_region_path(panel, field);
    for (int corner = 0; corner < 4; corner++) {
        double dx = corner % 2 == 0 ? -half : half;
        double dy = corner / 2 == 0 ? -0.8 * height : 0.8 * height;
        inside = inside && cairo_in_fill(cr, label->x + dx, middle + dy) != 0;
    }
    cairo_new_path(cr);
    return inside;
}

static bool label_island(const swl_panel *panel, const swl_field *field, const swl_islands *islands, size_t k,
                         double size)
{
    const swl_loops *loops = &islands->loops[k];
    swl_label label = {.size = size, .halo = true, .colour = swl_ink};
    double percent = islands->level[k] * 100;
    (void)swl_locale_print(label.text, sizeof label.text, fabs(percent - round(percent)) < 1e-6 ? "%.0f %%" : "%.1f %%",
                           percent);
    /* Points spread over the curve, those in its middle first. */
    for (size_t pass = 0; pass < 24; pass++) {
        size_t away = pass / 2;
        double share = 0.5 + (pass % 2 == 0 ? 1 : -1) * (double)away / 24;
        size_t at = (size_t)(share * (double)(loops->points - 1));
        if (loops->edge[at]) {
            continue;
        }
        swl_spot spot = swl_panel_spot(panel, loops->x[at], loops->y[at]);
        label.x = spot.x;
        label.y = spot.y;
        if (swl_region_holds(panel, field, &label) && swl_canvas_label_try(panel->canvas, &label, panel->box)) {
            return true;
        }
    }
    return false;
}

void swl_islands_label(const swl_panel *panel, const swl_field *field, const swl_islands *islands, double size)
{
    for (size_t k = islands->count; k-- > 0;) {
        if (islands->loops[k].points > 1) {
            (void)label_island(panel, field, islands, k, size);
        }
    }
}
