#include "sweptline/report.h"

#include "report/limits.h"

#include "report/value.h"

#include <math.h>
#include <stdio.h>

static void note_model(swl_notes *notes, const swl_build *build, const swl_belt *belt)
{
    if (belt->hold == SWL_BELT_AUTOMATIC) {
        swl_notes_add(
            notes, "Automatic tensioner: its two spans press on it with static_tension at any speed; to every span the "
                   "centrifugal tension comes on top. Its damping and the change of its force along its travel are "
                   "left out.");
    } else {
        swl_notes_add(
            notes, "Fixed centres: the mean tension along the belt stays static_tension, as in a spring whose length "
                   "stays, so at speed the centrifugal tension is lost to the grip. Stretch that remains, wear and "
                   "warmth are left out.");
    }
    swl_notes_add(notes,
                  "A pulley slips where its pull exceeds the slack tension, less the centrifugal one, times "
                  "exp(friction x wrap) - 1 (Euler and Eytelwein), at a steady speed: jerks, acceleration of the "
                  "rotors, misalignment, oil and water are left out. A belt wants more than it just needs.");
    if (build->drive.jackshaft_ratio != 1) {
        swl_notes_add(notes,
                      "The belt laid here ends at the pulley called blower; a jackshaft behind it is taken to pass "
                      "on all of the power.");
    }
}

static void note_assumed(swl_notes *notes, const swl_belt *belt, swl_units units)
{
    if (belt->assumed & SWL_BELT_ASSUMED_FRICTION) {
        swl_notes_add(
            notes,
            "No friction is given: %.2f is taken (from memory; with grooves of 40 degrees it gives the ratio of "
            "tensions of 4 at half a turn that design tables of ribbed belts use).",
            belt->friction);
    }
    if (belt->assumed & SWL_BELT_ASSUMED_BACK_FRICTION) {
        swl_notes_add(notes, "No back_friction is given: %.2f is taken (from memory, rubber on bare steel).",
                      belt->back_friction);
    }
    if (belt->assumed & SWL_BELT_ASSUMED_GROOVE) {
        swl_notes_add(notes, "No groove_angle is given: 40 degrees is taken (PK, from memory).");
    }
    if ((belt->assumed & SWL_BELT_ASSUMED_BACK_OFFSET) && belt->kind == SWL_BELT_RIBBED) {
        swl_notes_add(notes, "No back_offset is given: the pitch line is taken %s from the back (PK, from memory).",
                      swl_value_of(belt->back_offset_m, SWL_SHOW_LENGTH, units).text);
    }
    if (belt->assumed & SWL_BELT_ASSUMED_MASS) {
        swl_notes_add(notes, "No mass is given: %s is taken for the whole width (PK, from memory).",
                      swl_value_of(belt->mass_kg_m, SWL_SHOW_LINE_MASS, units).text);
    }
    if (belt->assumed & SWL_BELT_NO_MASS) {
        swl_notes_add(notes,
                      "Neither mass nor the number of ribs is given: centrifugal tension is left out, so grip at "
                      "high speed comes out too high.");
    }
}

/* A belt that is taut at two places of the travel. */
static void note_fits(swl_notes *notes, const swl_belt *belt, const swl_belt_alternative *a, const char *name)
{
    size_t several = 0;
    for (size_t i = 0; i < belt->length_count; i++) {
        several += a->fits[i].places > 1;
    }
    if (several > 0) {
        swl_notes_add(notes,
                      "%s: %zu of the listed belts %s taut at more than one place, since the length turns round within "
                      "the travel; where its arm's spring pulls towards decides, and near the turn it takes up little.",
                      name, several, several == 1 ? "is" : "are");
    }
}

static void note_geometry(swl_notes *notes, const swl_belt *belt, const swl_belt_alternative *a, swl_units units)
{
    const char *name = a->layout.name[0] == '\0' ? "as built" : a->layout.name;
    if (a->gap.kind != SWL_BELT_SOUND) {
        swl_buf words = {0};
        swl_belt_fault_words(&a->layout, &a->gap, &words);
        swl_notes_add(notes, "%s: %s%s.", name, swl_buf_text(&words),
                      a->gap.kind == SWL_BELT_CROSSED
                          ? "; a crossed belt is one for flat belts only, and rubs on itself at the crossing"
                          : "");
        swl_buf_free(&words);
    }
    if (!a->travel_whole) {
        swl_notes_add(
            notes,
            "%s: the belt cannot be laid over all of the travel; lengths, wraps and belts are those of the part "
            "over which it can.",
            name);
    }
    if (a->slack > 0) {
        swl_notes_add(notes,
                      "%s: SLACK at %zu of %zu engine speeds: the pulls take more out of a span than static_tension "
                      "puts into it. The belt holds nothing there, and neither tensions nor bearing loads are known.",
                      name, a->slack, a->row_count);
    }
    note_fits(notes, belt, a, name);
    swl_notes_exceeded(notes, name, a->others, a->other_count, units);
    if (a->outside > 0) {
        swl_notes_add(
            notes,
            "%s: %zu of %zu points of the operating line lie outside the blower's map, whose edge is held; the "
            "power there is a guide only.",
            name, a->outside, a->row_count);
    }
    for (size_t k = 0; k < a->path.count; k++) {
        if (a->path.stops[k].wrap_rad < 1e-6) {
            swl_notes_add(notes, "%s: the belt only touches %s.", name,
                          a->layout.pulleys[a->path.stops[k].pulley].name);
        }
    }
}

void swl_notes_belt(swl_notes *notes, const swl_build *build, const swl_belt_study *study, const swl_diags *diags,
                    swl_units units)
{
    const swl_belt *belt = study->belt;
    const swl_belt_alternative *built = &study->alternatives[0];
    if (isnan(built->layout.static_tension_n)) {
        swl_notes_add(notes, "Grip is NOT known: [belt] states no static_tension, so whether a pulley slips is no part "
                             "of the verdict. Measure it, or compare with the static tension wanted.");
    }
    swl_notes_warnings(notes, diags);
    swl_notes_add(notes, "With x to the right and y up the belt runs %s%s.",
                  built->path.direction > 0 ? "counterclockwise" : "clockwise",
                  built->path.count == 2 && belt->runs == SWL_BELT_EITHER_WAY
                      ? " (taken so: the path of two pulleys does not tell)"
                      : "");
    note_model(notes, build, belt);
    swl_notes_speed_limits(notes, build);
    note_assumed(notes, belt, units);
    for (size_t i = 0; i < study->count; i++) {
        note_geometry(notes, belt, &study->alternatives[i], units);
    }
    if (belt->length_count > 0) {
        swl_notes_add(
            notes,
            "Lengths of belts are taken at the %s%s; their tolerance and stretch are left out, so leave travel "
            "on both sides.",
            belt->lengths_at == SWL_BELT_PITCH_LINE ? "pitch line" : "effective line",
            belt->lengths_at == SWL_BELT_PITCH_LINE ? "" : ", where ISO 9981 measures them (from memory)");
    }
    if (study->count > 1) {
        swl_notes_add(notes,
                      "The exit status is that of the build as it is, the limits of `sweptline check` among it; the "
                      "alternatives have their own verdicts.");
    }
    if (build->input_count > 0) {
        swl_notes_add(notes, "Values given with +- are taken at their middle here.");
    }
    swl_notes_findings(notes, diags);
}
