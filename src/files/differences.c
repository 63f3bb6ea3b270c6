#include "files/key_words.h"

#include "sweptline/fuel.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* Equal, or neither given. */
static bool same_number(double a, double b)
{
    return (isnan(a) && isnan(b)) || fabs(a - b) <= 1e-12 * fmax(fabs(a), fabs(b));
}

/* Where two curves lie furthest apart, among the points of both. */
static double apart_x(const swl_curve *a, const swl_curve *b, double *most)
{
    double at_x = swl_curve_first_x(a);
    for (int side = 0; side < 2; side++) {
        const swl_curve *curve = side == 0 ? a : b;
        for (size_t i = 0; i < swl_curve_count(curve); i++) {
            double x = swl_curve_x(curve)[i];
            double off = fabs(swl_curve_at(a, x) - swl_curve_at(b, x));
            if (off > *most) {
                *most = off;
                at_x = x;
            }
        }
    }
    return at_x;
}

static bool same_curve(const swl_curve *a, const swl_curve *b)
{
    if (a == NULL || b == NULL || swl_curve_count(a) != swl_curve_count(b)) {
        return a == b;
    }
    for (size_t i = 0; i < swl_curve_count(a); i++) {
        if (!same_number(swl_curve_x(a)[i], swl_curve_x(b)[i]) || !same_number(swl_curve_y(a)[i], swl_curve_y(b)[i])) {
            return false;
        }
    }
    return true;
}

static bool same_map(const swl_map *a, const swl_map *b)
{
    bool same = swl_map_line_count(a) == swl_map_line_count(b);
    for (size_t k = 0; same && k < swl_map_line_count(a); k++) {
        swl_map_line left = swl_map_line_at(a, k);
        swl_map_line right = swl_map_line_at(b, k);
        same = left.count == right.count && same_number(left.speed_rpm, right.speed_rpm);
        for (size_t i = 0; same && i < left.count; i++) {
            same = same_number(left.p_ratio[i], right.p_ratio[i]) && same_number(left.ev_frac[i], right.ev_frac[i]) &&
                   same_number(left.ea_frac[i], right.ea_frac[i]);
        }
    }
    return same;
}

/* All that a unit file says and that is computed with. */
static bool same_unit(const swl_blower *a, const swl_blower *b)
{
    return strcmp(a->name, b->name) == 0 && a->kind == b->kind && a->efficiency_from == b->efficiency_from &&
           same_number(a->disp_m3_rev, b->disp_m3_rev) && same_number(a->gear_ratio, b->gear_ratio) &&
           same_number(a->continuous_rpm, b->continuous_rpm) && same_number(a->short_time_rpm, b->short_time_rpm) &&
           same_number(a->mechanical_eff_frac, b->mechanical_eff_frac) && same_number(a->ev_factor, b->ev_factor) &&
           same_number(a->ea_factor, b->ea_factor) && same_number(a->t_map_k, b->t_map_k) && same_map(a->map, b->map);
}

static bool same(const swl_build *a, const swl_build *b, const swl_key *key)
{
    const void *left = swl_key_place(a, key);
    const void *right = swl_key_place(b, key);
    const double *x = left;
    const double *y = right;
    switch (key->type) {
    case KEY_TEXT:
        return strcmp(swl_key_text(a, key), swl_key_text(b, key)) == 0;
    case KEY_QUANTITY:
    case KEY_AIR_FLOW:
    case KEY_COOLANT:
        return same_number(*x, *y);
    case KEY_COUNT:
        return *(const int *)left == *(const int *)right;
    case KEY_CHOICE:
        return strcmp(swl_key_choice(a, key), swl_key_choice(b, key)) == 0;
    case KEY_RATING: {
        const swl_injector_rating *p = left;
        const swl_injector_rating *q = right;
        return same_number(p->mdot_kg_s, q->mdot_kg_s) && same_number(p->vdot_m3_s, q->vdot_m3_s) &&
               same_number(p->dp_pa, q->dp_pa);
    }
    case KEY_CURVE:
    case KEY_FLOW_CURVE:
    case KEY_PRESSURE_CURVE:
        return same_curve(*(const swl_curve *const *)left, *(const swl_curve *const *)right);
    case KEY_LOSS:
    case KEY_POWER_AT:
    case KEY_PAIR:
        return same_number(x[0], y[0]) && same_number(x[1], y[1]);
    case KEY_BELT:
        return strcmp(a->drive.belt_profile, b->drive.belt_profile) == 0 && a->drive.belt_ribs == b->drive.belt_ribs;
    case KEY_FILE:
        return same_unit(&a->blower, &b->blower);
    case KEY_OWN:
    case KEY_LATER:
        break;
    }
    return true;
}

static void put_curve(swl_buf *out, const swl_key *key, const swl_build *const *builds, size_t count, size_t which,
                      swl_units units, bool full)
{
    const swl_curve *mine = *(const swl_curve *const *)swl_key_place(builds[which], key);
    double most = -1;
    double at_x = NAN;
    if (mine == NULL) {
        swl_buf_puts(out, "not given");
        return;
    }
    /* One place for all: where one lies furthest from the first. */
    const swl_curve *first = *(const swl_curve *const *)swl_key_place(builds[0], key);
    for (size_t i = 1; i < count && first != NULL; i++) {
        const swl_curve *other = *(const swl_curve *const *)swl_key_place(builds[i], key);
        double before = most;
        double rpm = other == NULL ? (double)NAN : apart_x(first, other, &most);
        at_x = most > before ? rpm : at_x;
    }
    at_x = isnan(at_x) ? swl_curve_first_x(mine) : at_x;
    swl_key_quantity_put(out, key, swl_curve_at(mine, at_x), units, full);
    swl_buf_printf(out, " at %.6g %s, %zu point%s", at_x,
                   key->type == KEY_FLOW_CURVE       ? "kg/s"
                   : key->type == KEY_PRESSURE_CURVE ? "Pa"
                                                     : "rpm",
                   swl_curve_count(mine), swl_curve_count(mine) == 1 ? "" : "s");
}

static void put_value(swl_buf *out, const swl_key *key, const swl_build *const *builds, size_t count, size_t which,
                      swl_units units, bool full)
{
    if (swl_key_is_curve(key)) {
        put_curve(out, key, builds, count, which, units, full);
    } else {
        swl_key_put(out, key, builds[which], units, full);
    }
}

/* What is no property of the engine or its parts, as a cycle of pulls, or is told by another key. */
static bool left_out(const swl_key *key, const swl_build *const *builds, size_t count)
{
    bool kept = strcmp(key->section, "build") != 0 && strcmp(key->section, "soak") != 0;
    if (!kept || key->type == KEY_LATER) {
        return true;
    }
    bool altitudes = true;
    for (size_t i = 0; i < count; i++) {
        altitudes = altitudes && !isnan(builds[i]->site.altitude_m);
    }
    return altitudes ? swl_key_is(key, "site", "pressure") : swl_key_is(key, "site", "altitude");
}

static void fill(swl_difference *item, const swl_key *key, const swl_build *const *builds, size_t count,
                 swl_units units)
{
    *item = (swl_difference){.section = key->section,
                             .key = key->name,
                             .expected = strcmp(key->section, "blower") == 0 || strcmp(key->section, "drive") == 0};
    bool alike = true;
    for (int full = 0; full < 2 && alike; full++) {
        for (size_t i = 0; i < count; i++) {
            swl_buf text = {0};
            put_value(&text, key, builds, count, i, units, full == 1);
            (void)snprintf(item->value[i], sizeof item->value[i], "%s", swl_buf_text(&text));
            swl_utf8_clean(item->value[i]);
            swl_buf_free(&text);
            alike = alike && strcmp(item->value[i], item->value[0]) == 0;
        }
    }
}

swl_status swl_build_differences(const swl_build *const *builds, size_t count, swl_units units,
                                 swl_differences *differences, swl_err *err)
{
    size_t key_count = 0;
    const swl_key *keys = swl_build_keys(&key_count);
    *differences = (swl_differences){0};
    if (count < 2 || count > SWL_DIFFERENCE_BUILDS_MAX) {
        return swl_err_set(err, SWL_ERR_USAGE, "%zu builds; 2 to %d are accepted", count, SWL_DIFFERENCE_BUILDS_MAX);
    }
    differences->items = calloc(key_count, sizeof *differences->items);
    if (differences->items == NULL) {
        return swl_err_set(err, SWL_ERR_MEMORY, "out of memory for the differences");
    }
    for (size_t k = 0; k < key_count; k++) {
        bool differs = false;
        for (size_t i = 1; i < count && !left_out(&keys[k], builds, count); i++) {
            differs = differs || !same(builds[0], builds[i], &keys[k]);
        }
        if (differs) {
            fill(&differences->items[differences->count++], &keys[k], builds, count, units);
        }
    }
    return SWL_OK;
}

void swl_differences_free(swl_differences *differences)
{
    free(differences->items);
    *differences = (swl_differences){0};
}
