#include "cli/cli.h"

static swl_status study_write(const cli_options *options, const swl_build *build, const swl_fueling *study,
                              swl_err *err)
{
    swl_units units = cli_units(options, build);
    swl_buf json = {0};
    swl_buf csv = {0};
    swl_buf text = {0};
    swl_status status = SWL_OK;
    if (options->json != NULL) {
        status = swl_report_fueling_json(&json, build, study, err);
    }
    swl_report_fueling_csv(&csv, study, units);
    swl_report_fueling_text(&text, build, study, units);
    if (status == SWL_OK) {
        status = cli_write(options, &json, &csv, &text, err);
    }
    swl_buf_free(&json);
    swl_buf_free(&csv);
    swl_buf_free(&text);
    return status;
}

int cli_fuel(const cli_options *options)
{
    swl_err err = {0};
    cli_inputs inputs = {0};
    swl_diags diags = {0};
    swl_build build = {0};
    swl_fueling study = {0};
    swl_source source = cli_source(&inputs);
    swl_status status = swl_build_load(&source, options->file, &build, &diags, &err);
    if (status == SWL_OK) {
        status = cli_may_write_all(options, &inputs, "", &err);
    }
    if (status == SWL_OK) {
        status = swl_fueling_run(&build, &study, &err);
    }
    if (status == SWL_OK) {
        status = study_write(options, &build, &study, &err);
    }
    int code = status == SWL_OK ? (study.exceeded ? 1 : 0) : cli_fail(&diags, &err, options->file);
    swl_fueling_free(&study);
    swl_build_free(&build);
    swl_diag_free(&diags);
    cli_inputs_free(&inputs);
    return code;
}
