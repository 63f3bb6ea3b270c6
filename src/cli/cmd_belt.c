#include "cli/cli.h"

static swl_status picture_of(const void *context, const swl_picture *picture, swl_buf *out, swl_err *err)
{
    return swl_draw_belt(context, picture, out, err);
}

static swl_status belt_draw(const cli_options *options, const swl_build *build, const swl_belt_study *study,
                            const char *stem, swl_units units, swl_err *err)
{
    swl_buf subtitle = {0};
    swl_buf_printf(&subtitle, "%s belt%s; %s", study->belt->kind == SWL_BELT_FLAT ? "flat" : "ribbed",
                   build->drive.belt_ribs > 0 ? "" : " (ribs not stated)",
                   study->belt->hold == SWL_BELT_AUTOMATIC ? "automatic tensioner" : "fixed centres");
    if (build->drive.belt_ribs > 0) {
        swl_buf_printf(&subtitle, "; %s %d", build->drive.belt_profile, build->drive.belt_ribs);
    }
    swl_belt_chart chart = {
        .title = build->name,
        .subtitle = swl_buf_text(&subtitle),
        .caption = study->count > 1 ? "To scale. The belt stands at its pitch line, thick where it wraps a pulley; the "
                                      "arrow shows where it runs to. Darker pulleys pass on power. Dashed: ends of the "
                                      "tensioner's travel. Grey: the build as it is. Estimates, no statement that "
                                      "anything is safe."
                                    : "To scale. The belt stands at its pitch line, thick where it wraps a pulley; the "
                                      "arrow shows where it runs to. Darker pulleys pass on power. Dashed: ends of the "
                                      "tensioner's travel. Estimates, no statement that anything is safe.",
        .study = study,
        .units = units,
    };
    swl_status status = cli_draw_with(options, picture_of, &chart, stem, err);
    swl_buf_free(&subtitle);
    return status;
}

static swl_status belt_write(const cli_options *options, const swl_build *build, const swl_belt_study *study,
                             const swl_diags *diags, swl_units units, swl_err *err)
{
    swl_buf json = {0};
    swl_buf csv = {0};
    swl_buf text = {0};
    swl_notes notes = {0};
    swl_notes si_notes = {0};
    swl_status status = SWL_OK;
    swl_notes_belt(&notes, build, study, diags, units);
    /* JSON is in SI, and so are the values in its notes. */
    swl_notes_belt(&si_notes, build, study, diags, SWL_UNITS_SI);
    if (notes.failed || si_notes.failed) {
        status = swl_err_set(err, SWL_ERR_MEMORY, "out of memory for the notes");
    }
    if (status == SWL_OK && options->json != NULL) {
        status = swl_report_belt_json(&json, build, study, &si_notes, err);
    }
    swl_report_belt_csv(&csv, study, units);
    swl_report_belt_text(&text, build, study, &notes, units);
    if (status == SWL_OK) {
        status = cli_write(options, &json, &csv, &text, err);
    }
    swl_notes_free(&notes);
    swl_notes_free(&si_notes);
    swl_buf_free(&json);
    swl_buf_free(&csv);
    swl_buf_free(&text);
    return status;
}

int cli_belt(const cli_options *options)
{
    swl_err err = {0};
    cli_inputs inputs = {0};
    swl_diags diags = {0};
    swl_build build = {0};
    swl_belt_study study = {0};
    swl_buf stem = {0};
    swl_source source = cli_source(&inputs);
    bool draws = cli_draws(options);
    cli_stem(options->file, "belt", &stem);
    swl_status status = swl_buf_status(&stem, &err);
    if (status == SWL_OK) {
        status = swl_build_load(&source, options->file, &build, &diags, &err);
    }
    if (status == SWL_OK) {
        status = cli_may_write_all(options, &inputs, swl_buf_text(&stem), &err);
    }
    if (status == SWL_OK) {
        swl_err own = {0};
        status = swl_belt_study_run(&build, &study, &own);
        if (status != SWL_OK) {
            status = cli_study_failed(options, &own, &err);
        }
    }
    swl_units units = cli_units(options, &build);
    if (status == SWL_OK && draws) {
        status = belt_draw(options, &build, &study, swl_buf_text(&stem), units, &err);
    }
    if (status == SWL_OK) {
        status = belt_write(options, &build, &study, &diags, units, &err);
    }
    int code = status == SWL_OK ? (study.exceeded ? 1 : 0) : cli_fail(&diags, &err, options->file);
    swl_belt_study_free(&study);
    swl_build_free(&build);
    swl_diag_free(&diags);
    swl_buf_free(&stem);
    cli_inputs_free(&inputs);
    return code;
}
