#include "report/water.h"

#include "match/column.h"
#include "report/value.h"

#include <math.h>
#include <stdio.h>

/* "LOW at N rpm to HIGH at N rpm", or one value where the line has one. */
static void text_range(swl_buf *out, const swl_check *check, swl_number_at value, swl_show show, swl_units units)
{
    const swl_point *low = &check->line[0];
    const swl_point *high = low;
    for (size_t i = 1; i < check->line_count; i++) {
        const swl_point *point = &check->line[i];
        low = swl_point_number(point, value) < swl_point_number(low, value) ? point : low;
        high = swl_point_number(point, value) > swl_point_number(high, value) ? point : high;
    }
    swl_report_value(out, swl_point_number(low, value), show, units);
    if (swl_point_number(high, value) > swl_point_number(low, value)) {
        swl_buf_printf(out, " at %.0f rpm to ", low->engine_rpm);
        swl_report_value(out, swl_point_number(high, value), show, units);
        swl_buf_printf(out, " at %.0f rpm", high->engine_rpm);
    }
    swl_buf_puts(out, "\n");
}

void swl_water_text(swl_buf *out, const swl_build *build, const swl_check *check, swl_units units)
{
    const swl_cooler *cooler = &build->cooler;
    if (!swl_cooler_there(cooler) || !(cooler->coolant_m3_s > 0)) {
        return;
    }
    swl_buf_printf(out, "\nWater circuit%s\ncoolant into the core        ",
                   swl_cooler_has_loop(cooler) ? ", each speed held until the coolant settles" : "");
    text_range(out, check, (swl_number_at)SWL_OF_POINT(t_coolant_in_k), SWL_SHOW_TEMPERATURE, units);
    swl_buf_puts(out, "coolant out of the core      ");
    text_range(out, check, (swl_number_at)SWL_OF_POINT(t_coolant_out_k), SWL_SHOW_TEMPERATURE, units);
    swl_buf_puts(out, "effectiveness of the core    ");
    text_range(out, check, (swl_number_at)SWL_OF_POINT(cooler_eff_frac), SWL_SHOW_FRACTION, units);
}

static void note_properties(swl_notes *notes, const swl_build *build)
{
    swl_notes_add(notes, build->cooler.glycol_frac > 0
                             ? "The coolant reaches temperatures outside -35 to 120 degC, where its properties are "
                               "held; freezing and boiling are left out: nothing to build on there."
                             : "The coolant reaches temperatures outside 0 to 120 degC, where its properties are "
                               "held; freezing and boiling are left out: nothing to build on there.");
}

/* A constant effectiveness knows nothing of the pump, and may ask for more than the coolant can carry. */
static void note_carries(swl_notes *notes, const swl_check *check)
{
    size_t beyond = 0;
    for (size_t i = 0; i < check->line_count; i++) {
        const swl_point *point = &check->line[i];
        bool cools = point->t2_k > point->t_coolant_in_k;
        beyond += cools && point->t_coolant_out_k > point->t2_k;
    }
    if (beyond > 0) {
        swl_notes_add(notes,
                      "At %zu of %zu engine speeds the coolant would leave hotter than the charge comes in: so little "
                      "coolant cannot give the stated effectiveness.",
                      beyond, check->line_count);
    }
}

static void note_curve(swl_notes *notes, const swl_build *build, const swl_check *check)
{
    const swl_curve *curve = build->cooler.effectiveness;
    size_t held = 0;
    for (size_t i = 0; curve != NULL && i < check->line_count; i++) {
        double mdot_kg_s = check->line[i].mdot_kg_s;
        held += mdot_kg_s < swl_curve_first_x(curve) || mdot_kg_s > swl_curve_last_x(curve);
    }
    if (held > 0) {
        swl_notes_add(notes,
                      "The cooler's effectiveness is given from %.4g to %.4g kg/s of air; its end values are held for "
                      "%zu of %zu points outside.",
                      swl_curve_first_x(curve), swl_curve_last_x(curve), held, check->line_count);
    }
}

static void note_assumed(swl_notes *notes, const swl_build *build, swl_units units)
{
    if (build->assumed & SWL_ASSUMED_WATER) {
        swl_notes_add(notes, "No coolant is given: water is taken.");
    }
    if (build->assumed & SWL_ASSUMED_ONE_PASS) {
        swl_notes_add(notes, "No passes are given: the core is taken as one pass.");
    }
    if (build->assumed & SWL_ASSUMED_FRONT_AIR) {
        swl_notes_add(notes,
                      "No front_air_temperature is given: the site's %s is taken; air behind other coolers is "
                      "warmer.",
                      swl_value_of(build->site.t_k, SWL_SHOW_TEMPERATURE, units).text);
    }
}

void swl_water_notes_line(swl_notes *notes, const swl_build *build, const swl_check *check)
{
    bool held = false;
    for (size_t i = 0; i < check->line_count; i++) {
        held = held || check->line[i].coolant_held;
    }
    if (held) {
        note_properties(notes, build);
    }
    note_carries(notes, check);
    note_curve(notes, build, check);
}

void swl_water_notes_check(swl_notes *notes, const swl_build *build, const swl_check *check, swl_units units)
{
    swl_water_notes_line(notes, build, check);
    note_assumed(notes, build, units);
}

void swl_water_note_held(swl_notes *notes, const swl_build *build, const swl_soak *soak)
{
    if (soak->coolant_held) {
        note_properties(notes, build);
    }
}

static void note_rest(swl_notes *notes, const swl_build *build)
{
    if (!(build->cycle.rest_heat_w > 0)) {
        swl_notes_add(notes, "No rest_heat is given: at rest the idling engine gives the coolant no heat, nor does "
                             "the engine bay.");
    }
    if (isnan(build->cycle.rest_air_kg_s) && swl_cooler_has_loop(&build->cooler)) {
        swl_notes_add(notes, "No rest_air_flow is given: at rest the front exchanger keeps the air it has in a pull, "
                             "which a car that stands still does not.");
    }
    if (!(build->cooler.metal_j_k > 0)) {
        swl_notes_add(notes, "No metal_heat_capacity is given: the coolant alone stores heat, so it warms faster.");
    }
}

void swl_water_notes_soak(swl_notes *notes, const swl_build *build, const swl_soak *soak, swl_units units)
{
    if (isnan(soak->limit_k)) {
        swl_notes_add(notes, "No limit of the charge temperature is given, so none was checked.");
    }
    if (soak->outside > 0) {
        swl_notes_add(notes, "%zu of %zu rows of the pulls lie outside the map's data, whose edge is held there.",
                      soak->outside, soak->pull_rows);
    }
    if (isnan(soak->recovery_s) && swl_soak_settles_above(soak)) {
        swl_notes_add(notes,
                      "After the last pull the coolant does not come back to %s however long it rests: it settles at "
                      "%s. recovery_time_s has no value.",
                      swl_value_of(soak->t_recovered_k, SWL_SHOW_TEMPERATURE, units).text,
                      swl_value_of(soak->t_rest_k, SWL_SHOW_TEMPERATURE, units).text);
    } else if (isnan(soak->recovery_s)) {
        swl_notes_add(notes,
                      "After the last pull the coolant did not come back to %s within %.0f min; recovery_time_s has no "
                      "value.",
                      swl_value_of(soak->t_recovered_k, SWL_SHOW_TEMPERATURE, units).text, SWL_SOAK_WATCH_S / 60);
    }
    note_rest(notes, build);
    note_assumed(notes, build, units);
}
