#include "sweptline/report.h"

#include "base/locale_c.h"

#include "report/spread.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* A cut of less than this is not worth a word. */
#define CUT_TOLD 0.005

typedef struct range_text {
    char text[32];
} range_text;

static range_text indicated_range(void)
{
    range_text out = {""};
    (void)swl_locale_print(out.text, sizeof out.text, "%.0f to %.0f %%", 100 * SWL_POWER_INDICATED_EFF_MIN,
                           100 * SWL_POWER_INDICATED_EFF_MAX);
    return out;
}

static void note_no_point(swl_notes *notes, const swl_spread *spread)
{
    if (spread->no_point_frac > 0) {
        swl_notes_add(
            notes,
            "%.2f %% of the samples have no operating point at one engine speed or more, or values that do not go "
            "together, as an adapter wider than the blower's inlet. They are left out of the peaks and of the limits "
            "on the line; at each engine speed only those without one there are.",
            100 * spread->no_point_frac);
    }
    size_t without = spread->output_count > 0 ? spread->outputs[0].rows_left_out : 0;
    if (without > 0) {
        swl_notes_add(notes,
                      "The shares of the variance leave out %zu of %zu base samples for that; they hold for the rest.",
                      without, spread->samples);
    }
}

/* Samples that have an operating line and no power: more are left out of it than of the first output, a peak too. */
static void note_no_power(swl_notes *notes, const swl_build *build, const swl_spread *spread)
{
    const swl_spread_output *crank = NULL;
    for (size_t k = 0; k < spread->output_count; k++) {
        crank = strcmp(spread->outputs[k].name, "crank_power_peak_w") == 0 ? &spread->outputs[k] : crank;
    }
    if (crank == NULL || isnan(crank->middle) || !(crank->without_frac > spread->outputs[0].without_frac)) {
        return;
    }
    bool known = !isnan(build->engine.known_power_w);
    swl_notes_add(notes,
                  "%.2f %% of the samples have no estimate of power%s%s. Crank and wheel power leave them out, and %zu "
                  "of %zu base samples in their shares of the variance.",
                  100 * (crank->without_frac - spread->outputs[0].without_frac),
                  known ? ": with the engine as drawn, known_power would take an indicated efficiency outside " : "",
                  known ? indicated_range().text : "", crank->rows_left_out, spread->samples);
}

static void note_outside(swl_notes *notes, const swl_spread *spread)
{
    size_t rows = 0;
    double most = 0;
    for (size_t i = 0; i < spread->row_count; i++) {
        rows += spread->rows[i].off_map_frac > 0;
        most = fmax(most, spread->rows[i].off_map_frac);
    }
    if (rows > 0) {
        swl_notes_add(
            notes,
            "At %zu of %zu engine speeds some of the samples, up to %.1f %%, lie outside the map's data, whose "
            "edge is held there; what the intervals take from them is a guide only.",
            rows, spread->row_count, 100 * most);
    }
}

static void note_inputs(swl_notes *notes, const swl_spread *spread)
{
    for (size_t i = 0; i < spread->input_count; i++) {
        const swl_spread_input *input = &spread->inputs[i];
        if (input->cut_frac > CUT_TOLD) {
            swl_notes_add(notes,
                          "%s: %.1f %% of its normal distribution lies beyond what a file may say and is cut off, so "
                          "its middle moves inwards.",
                          swl_spread_input_name(&input->of).text, 100 * input->cut_frac);
        }
    }
    if (spread->left_out > 0) {
        swl_notes_add(notes,
                      "speed_from and speed_step only say where the line has its rows; their +- is not sampled.");
    }
    if (!spread->quasi) {
        swl_notes_add(notes,
                      "With more than %d inputs the samples are pseudo-random, not a Sobol sequence: take more of them "
                      "(--samples) for the same error.",
                      SWL_SOBOL_QUASI_INPUTS_MAX);
    }
}

void swl_notes_spread(swl_notes *notes, const swl_build *build, const swl_check *check, const swl_spread *spread,
                      const swl_diags *diags, swl_units units)
{
    swl_notes_add(
        notes,
        "Only what carries +- is varied, each input by itself and not with another. The error of the model and of "
        "every other value, those assumed for the power among them, is not in these intervals, so they are "
        "narrower than what is not known.");
    note_no_point(notes, spread);
    note_no_power(notes, build, spread);
    note_outside(notes, spread);
    note_inputs(notes, spread);
    /* The middle build's own, without the word that its inputs stand at their middle. */
    swl_build middle = *build;
    middle.input_count = 0;
    swl_notes_check(notes, &middle, check, diags, units);
}
