#include "cli/cli.h"

static swl_status picture_of(const void *context, const swl_picture *picture, swl_buf *out, swl_err *err)
{
    return swl_draw_belt(context, picture, out, err);
}

/* A build's belt and what is said about it. */
typedef struct job {
    cli_in in;
    swl_belt_study study;
} job;

static swl_status belt_draw(const job *j, swl_err *err)
{
    const swl_build *build = &j->in.build;
    const swl_belt_study *study = &j->study;
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
        .units = j->in.units,
    };
    swl_status status = cli_draw_with(j->in.options, picture_of, &chart, swl_buf_text(&j->in.stem), err);
    swl_buf_free(&subtitle);
    return status;
}

static swl_status notes_make(const job *j, swl_units units, swl_notes *notes, swl_err *err)
{
    swl_notes_belt(notes, &j->in.build, &j->study, &j->in.diags, units);
    return cli_notes_made(notes, err);
}

static swl_status belt_write(const job *j, swl_err *err)
{
    cli_out out = {.notes = {0}};
    swl_status status = notes_make(j, j->in.units, &out.notes, err);
    if (status == SWL_OK && j->in.options->json != NULL) {
        status = notes_make(j, SWL_UNITS_SI, &out.si_notes, err);
        status =
            status == SWL_OK ? swl_report_belt_json(&out.json, &j->in.build, &j->study, &out.si_notes, err) : status;
    }
    if (j->in.options->csv != NULL) {
        swl_report_belt_csv(&out.csv, &j->study, j->in.units);
    }
    swl_report_belt_text(&out.text, &j->in.build, &j->study, &out.notes, j->in.units);
    if (status == SWL_OK) {
        status = cli_write(j->in.options, &out, err);
    }
    cli_out_free(&out);
    return status;
}

int cli_belt(const cli_options *options)
{
    swl_err err = {0};
    job j = {.in = {.options = options, .at_fault = options->file}};
    bool draws = cli_draws(options);
    swl_status status = cli_in_read(&j.in, &err);
    if (status == SWL_OK) {
        status = cli_in_may_write(&j.in, options->file, "belt", &err);
    }
    if (status == SWL_OK) {
        swl_err own = {0};
        status = swl_belt_study_run(&j.in.build, &j.study, &own);
        if (status != SWL_OK) {
            status = cli_study_failed(options, &own, &err);
        }
    }
    if (status == SWL_OK && draws) {
        status = belt_draw(&j, &err);
    }
    if (status == SWL_OK) {
        status = belt_write(&j, &err);
    }
    int code = status == SWL_OK ? (j.study.exceeded ? 1 : 0) : cli_fail(&j.in.diags, &err, j.in.at_fault);
    swl_belt_study_free(&j.study);
    cli_in_free(&j.in);
    return code;
}
