#include "files/key_words.h"

#include "sweptline/fuel.h"

#include <math.h>
#include <string.h>

/* A choice is read into a place behind the struct, which nothing here looks at: swl_key_choice tells what it came to.
 */
const void *swl_key_place(const swl_build *build, const swl_key *key)
{
    return (const char *)build + (key->offset < sizeof *build ? key->offset : 0);
}

bool swl_key_is(const swl_key *key, const char *section, const char *name)
{
    return strcmp(key->section, section) == 0 && strcmp(key->name, name) == 0;
}

bool swl_key_is_curve(const swl_key *key)
{
    return key->type == KEY_CURVE || key->type == KEY_FLOW_CURVE || key->type == KEY_PRESSURE_CURVE;
}

const char *swl_key_choice(const swl_build *build, const swl_key *key)
{
    if (swl_key_is(key, "build", "units")) {
        return build->units == SWL_UNITS_US ? "us" : "si";
    }
    if (swl_key_is(key, "fuel", "rail_reference")) {
        return !build->injection.given ? "not given" : build->injection.rail_follows_boost ? "manifold" : "site";
    }
    if (swl_key_is(key, "unit", "kind")) {
        return build->blower.kind == SWL_BLOWER_SCREW ? "screw" : "roots";
    }
    if (swl_key_is(key, "map", "efficiency_from")) {
        return build->blower.efficiency_from == SWL_FROM_SHAFT_POWER ? "shaft power" : "temperature rise";
    }
    if (swl_key_is(key, "engine", "ve_temperature_effect")) {
        return build->engine.ve_t_sqrt ? "sqrt" : "none";
    }
    return build->engine.ve_p_ideal ? "ideal cycle" : "none";
}

const char *swl_key_text(const swl_build *build, const swl_key *key)
{
    const swl_fuel *fuel = swl_key_is(key, "engine", "fuel") ? swl_fuel_find(build->engine.fuel) : NULL;
    return fuel == NULL ? swl_key_place(build, key) : fuel->name;
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
            bool absolute = swl_key_is(key, "site", "pressure") || swl_key_is(key, "map", "pressure") ||
                            swl_key_is(key, "limits", "manifold_pressure_sensor");
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
    /* Liquids, whose flows are nothing in the unit of air's. */
    if (swl_key_is(key, "cooler", "coolant_flow")) {
        swl_buf_printf(out, full ? "%.10g L/min" : "%.1f L/min", si * 6e4);
        return true;
    }
    if (swl_key_is(key, "fuel", "pump_flow")) {
        swl_buf_printf(out, full ? "%.10g L/h" : "%.1f L/h", si * 3.6e6);
        return true;
    }
    return false;
}

/* In a water circuit and its soak 0 stands for what is not given, but where none is a value of its own. */
static bool absent(const swl_key *key, double si)
{
    bool circuit = strcmp(key->section, "cooler") == 0 || strcmp(key->section, "soak") == 0;
    return isnan(si) || (circuit && si <= 0 && !swl_key_is(key, "soak", "rest_heat"));
}

void swl_key_quantity_put(swl_buf *out, const swl_key *key, double si, swl_units units, bool full)
{
    swl_show show = SWL_SHOW_RATIO;
    if (absent(key, si)) {
        swl_buf_puts(out, "not given");
    } else if (put_plain(out, key, si, full)) {
        return;
    } else if (key->type == KEY_AIR_FLOW) {
        put_shown(out, si, SWL_SHOW_MASS_FLOW, units, full);
    } else if (swl_key_is(key, "site", "altitude")) {
        bool us = units == SWL_UNITS_US;
        swl_buf_printf(out, full ? "%.10g %s" : "%.0f %s", us ? si / 0.3048 : si, us ? "ft" : "m");
    } else if (show_of(key, &show)) {
        put_shown(out, si, show, units, full);
    } else {
        swl_buf_printf(out, full ? "%.10g" : "%.6g", si);
    }
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

static void put_belt(swl_buf *out, const swl_drive *drive)
{
    if (drive->belt_profile[0] == '\0') {
        swl_buf_puts(out, "not given");
    } else if (drive->belt_ribs == 0) {
        swl_buf_puts(out, drive->belt_profile);
    } else {
        swl_buf_printf(out, "%s %d", drive->belt_profile, drive->belt_ribs);
    }
}

void swl_key_put(swl_buf *out, const swl_key *key, const swl_build *build, swl_units units, bool full)
{
    const void *at = swl_key_place(build, key);
    switch (key->type) {
    case KEY_TEXT:
        swl_buf_puts(out, swl_key_text(build, key));
        break;
    case KEY_QUANTITY:
    case KEY_AIR_FLOW:
        swl_key_quantity_put(out, key, *(const double *)at, units, full);
        break;
    case KEY_COUNT:
        if (*(const int *)at == 0) {
            swl_buf_puts(out, "not given");
        } else {
            swl_buf_printf(out, "%d", *(const int *)at);
        }
        break;
    case KEY_CHOICE:
        swl_buf_puts(out, swl_key_choice(build, key));
        break;
    case KEY_COOLANT:
        put_coolant(out, &build->cooler);
        break;
    case KEY_RATING:
        put_rating(out, at, units, full);
        break;
    case KEY_LOSS:
    case KEY_POWER_AT:
        put_pair(out, key, at, units, full);
        break;
    case KEY_BELT:
        put_belt(out, &build->drive);
        break;
    case KEY_FILE:
        swl_buf_puts(out, strcmp(key->section, "blower") == 0 ? build->blower.name : "");
        break;
    /* Curves have words of their own; the others are of the belt's sections. */
    case KEY_CURVE:
    case KEY_FLOW_CURVE:
    case KEY_PRESSURE_CURVE:
    case KEY_PAIR:
    case KEY_OWN:
    case KEY_LATER:
        break;
    }
}
