#include "files/keys.h"

#include "sweptline/fuel.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* A choice is read into a place behind the build, which nothing here looks at: choice_word tells what it came to. */
static const void *place(const swl_build *build, const swl_key *key)
{
    return (const char *)build + (key->offset < sizeof *build ? key->offset : 0);
}

static bool is(const swl_key *key, const char *section, const char *name)
{
    return strcmp(key->section, section) == 0 && strcmp(key->name, name) == 0;
}

/* Equal, or neither given. */
static bool same_number(double a, double b)
{
    return (isnan(a) && isnan(b)) || fabs(a - b) <= 1e-12 * fmax(fabs(a), fabs(b));
}

/* What a key that is a choice came to. */
static const char *choice_word(const swl_build *build, const swl_key *key)
{
    if (strcmp(key->name, "ve_temperature_effect") == 0) {
        return build->engine.ve_t_sqrt ? "sqrt" : "none";
    }
    return build->engine.ve_p_ideal ? "ideal cycle" : "none";
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

static const char *text_of(const swl_build *build, const swl_key *key)
{
    const swl_fuel *fuel = is(key, "engine", "fuel") ? swl_fuel_find(build->engine.fuel) : NULL;
    return fuel == NULL ? place(build, key) : fuel->name;
}

static bool same(const swl_build *a, const swl_build *b, const swl_key *key)
{
    const void *left = place(a, key);
    const void *right = place(b, key);
    const double *x = left;
    const double *y = right;
    switch (key->type) {
    case KEY_TEXT:
        return strcmp(text_of(a, key), text_of(b, key)) == 0;
    case KEY_QUANTITY:
    case KEY_AIR_FLOW:
    case KEY_COOLANT:
        return same_number(*x, *y);
    case KEY_COUNT:
        return *(const int *)left == *(const int *)right;
    case KEY_CHOICE:
        return strcmp(choice_word(a, key), choice_word(b, key)) == 0;
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

/* How a report shows a kind of quantity; false where it is a bare number. */
static bool show_of(const swl_key *key, swl_show *show)
{
    static const struct {
        swl_dim dim;
        swl_show show;
    } shows[] = {
        {SWL_DIM_FRACTION, SWL_SHOW_FRACTION},
        {SWL_DIM_LENGTH, SWL_SHOW_LENGTH},
        {SWL_DIM_VOLUME, SWL_SHOW_VOLUME},
        {SWL_DIM_VOLUME_REV, SWL_SHOW_VOLUME},
        {SWL_DIM_SPEED, SWL_SHOW_ENGINE_SPEED},
        {SWL_DIM_TEMPERATURE, SWL_SHOW_TEMPERATURE},
        {SWL_DIM_TEMP_CHANGE, SWL_SHOW_TEMP_CHANGE},
        {SWL_DIM_PRESSURE, SWL_SHOW_BOOST},
        {SWL_DIM_MASS_FLOW, SWL_SHOW_MASS_FLOW},
        {SWL_DIM_VOLUME_FLOW, SWL_SHOW_VOLUME_FLOW},
        {SWL_DIM_POWER, SWL_SHOW_POWER},
        {SWL_DIM_TORQUE, SWL_SHOW_TORQUE},
    };
    for (size_t i = 0; i < sizeof shows / sizeof shows[0]; i++) {
        if (shows[i].dim == key->dim) {
            bool absolute = is(key, "site", "pressure") || is(key, "limits", "manifold_pressure_sensor");
            *show = absolute ? SWL_SHOW_PRESSURE : shows[i].show;
            return true;
        }
    }
    return false;
}

/* full: to the last digits, where rounded values would look the same. */
static void put_shown(swl_buf *out, double si, swl_show show, swl_units units, bool full)
{
    swl_shown shown = swl_shown_as(show, units);
    double value = swl_shown_value(si, show, units);
    const char *blank = shown.unit[0] == '\0' ? "" : " ";
    if (full) {
        swl_buf_printf(out, "%.10g%s%s", value, blank, shown.unit);
    } else {
        swl_buf_printf(out, "%.*f%s%s", shown.decimals, value, blank, shown.unit);
    }
}

/* Kinds that reports show in one unit only. Returns: false for the others. */
static bool put_plain(swl_buf *out, const swl_key *key, double si, bool full)
{
    static const struct {
        swl_dim dim;
        const char *unit;
        double scale;
    } plain[] = {{SWL_DIM_HEAT_RATE, "W/K", 1}, {SWL_DIM_HEAT_CAPACITY, "kJ/K", 1e-3}, {SWL_DIM_TIME, "s", 1}};
    for (size_t i = 0; i < sizeof plain / sizeof plain[0]; i++) {
        if (plain[i].dim == key->dim) {
            swl_buf_printf(out, full ? "%.10g %s" : "%.6g %s", si * plain[i].scale, plain[i].unit);
            return true;
        }
    }
    if (is(key, "cooler", "coolant_flow")) {
        swl_buf_printf(out, full ? "%.10g L/min" : "%.1f L/min", si * 6e4);
        return true;
    }
    return false;
}

/* In a water circuit and its soak 0 stands for what is not given, but where none is a value of its own. */
static bool absent(const swl_key *key, double si)
{
    bool circuit = strcmp(key->section, "cooler") == 0 || strcmp(key->section, "soak") == 0;
    return isnan(si) || (circuit && si <= 0 && !is(key, "soak", "rest_heat"));
}

static void put_quantity(swl_buf *out, const swl_key *key, double si, swl_units units, bool full)
{
    swl_show show = SWL_SHOW_RATIO;
    if (absent(key, si)) {
        swl_buf_puts(out, "not given");
    } else if (put_plain(out, key, si, full)) {
        return;
    } else if (key->type == KEY_AIR_FLOW) {
        put_shown(out, si, SWL_SHOW_MASS_FLOW, units, full);
    } else if (is(key, "site", "altitude")) {
        bool us = units == SWL_UNITS_US;
        swl_buf_printf(out, full ? "%.10g %s" : "%.0f %s", us ? si / 0.3048 : si, us ? "ft" : "m");
    } else if (show_of(key, &show)) {
        put_shown(out, si, show, units, full);
    } else {
        swl_buf_printf(out, full ? "%.10g" : "%.6g", si);
    }
}

static void put_curve(swl_buf *out, const swl_key *key, const swl_build *const *builds, size_t count, size_t which,
                      swl_units units, bool full)
{
    const swl_curve *mine = *(const swl_curve *const *)place(builds[which], key);
    double most = -1;
    double at_x = NAN;
    if (mine == NULL) {
        swl_buf_puts(out, "not given");
        return;
    }
    /* One place for all: where one lies furthest from the first. */
    const swl_curve *first = *(const swl_curve *const *)place(builds[0], key);
    for (size_t i = 1; i < count && first != NULL; i++) {
        const swl_curve *other = *(const swl_curve *const *)place(builds[i], key);
        double before = most;
        double rpm = other == NULL ? (double)NAN : apart_x(first, other, &most);
        at_x = most > before ? rpm : at_x;
    }
    at_x = isnan(at_x) ? swl_curve_first_x(mine) : at_x;
    put_quantity(out, key, swl_curve_at(mine, at_x), units, full);
    swl_buf_printf(out, " at %.6g %s, %zu point%s", at_x,
                   key->type == KEY_FLOW_CURVE       ? "kg/s"
                   : key->type == KEY_PRESSURE_CURVE ? "Pa"
                                                     : "rpm",
                   swl_curve_count(mine), swl_curve_count(mine) == 1 ? "" : "s");
}

static void put_pair(swl_buf *out, const swl_key *key, const double *pair, swl_units units, bool full)
{
    bool loss = key->type == KEY_LOSS;
    if (isnan(pair[0]) || (loss && pair[0] <= 0)) {
        swl_buf_puts(out, isnan(pair[0]) ? "not given" : "none");
        return;
    }
    put_shown(out, pair[0], loss ? SWL_SHOW_BOOST : SWL_SHOW_POWER, units, full);
    swl_buf_puts(out, " at ");
    put_shown(out, pair[1], loss ? SWL_SHOW_MASS_FLOW : SWL_SHOW_ENGINE_SPEED, units, full);
}

static void put_rating(swl_buf *out, const swl_injector_rating *rating, swl_units units, bool full)
{
    if (!(rating->dp_pa > 0)) {
        swl_buf_puts(out, "not given");
        return;
    }
    if (isnan(rating->vdot_m3_s)) {
        put_shown(out, rating->mdot_kg_s, SWL_SHOW_FUEL_FLOW, units, full);
    } else {
        swl_buf_printf(out, full ? "%.10g cc/min" : "%.6g cc/min", rating->vdot_m3_s * 60e6);
    }
    swl_buf_puts(out, " at ");
    put_shown(out, rating->dp_pa, SWL_SHOW_BOOST, units, full);
}

static void put_coolant(swl_buf *out, const swl_cooler *cooler)
{
    if (cooler->glycol_frac > 0) {
        swl_buf_printf(out, "water-glycol %.4g %%", cooler->glycol_frac * 100);
    } else {
        swl_buf_puts(out, cooler->coolant_m3_s > 0 || cooler->coolant_volume_m3 > 0 ? "water" : "not given");
    }
}

static void put_value(swl_buf *out, const swl_key *key, const swl_build *const *builds, size_t count, size_t which,
                      swl_units units, bool full)
{
    const swl_build *build = builds[which];
    const void *at = place(build, key);
    switch (key->type) {
    case KEY_TEXT:
        swl_buf_puts(out, text_of(build, key));
        break;
    case KEY_QUANTITY:
    case KEY_AIR_FLOW:
        put_quantity(out, key, *(const double *)at, units, full);
        break;
    case KEY_COUNT:
        if (*(const int *)at == 0) {
            swl_buf_puts(out, "not given");
        } else {
            swl_buf_printf(out, "%d", *(const int *)at);
        }
        break;
    case KEY_CHOICE:
        swl_buf_puts(out, choice_word(build, key));
        break;
    case KEY_COOLANT:
        put_coolant(out, &build->cooler);
        break;
    case KEY_RATING:
        put_rating(out, at, units, full);
        break;
    case KEY_CURVE:
    case KEY_FLOW_CURVE:
    case KEY_PRESSURE_CURVE:
        put_curve(out, key, builds, count, which, units, full);
        break;
    case KEY_LOSS:
    case KEY_POWER_AT:
        put_pair(out, key, at, units, full);
        break;
    case KEY_BELT:
        if (build->drive.belt_profile[0] == '\0') {
            swl_buf_puts(out, "not given");
        } else if (build->drive.belt_ribs == 0) {
            swl_buf_puts(out, build->drive.belt_profile);
        } else {
            swl_buf_printf(out, "%s %d", build->drive.belt_profile, build->drive.belt_ribs);
        }
        break;
    case KEY_FILE:
        swl_buf_puts(out, build->blower.name);
        break;
    /* Of the belt's sections, which are not in the table of a build's keys. */
    case KEY_PAIR:
    case KEY_OWN:
    case KEY_LATER:
        break;
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
    return altitudes ? is(key, "site", "pressure") : is(key, "site", "altitude");
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
