/* A measured run over a build that is sound, with all that `log` says of it. */
#include "fuzz.h"

#include <string.h>

static void report(const swl_build *build, const swl_run *run, const swl_diags *diags)
{
    swl_check check = {0};
    swl_log log = {0};
    swl_notes notes = {0};
    swl_err err = {0};
    swl_buf out[3] = {0};
    FUZZ_HOLD(swl_check_run(build, &check, &err) == SWL_OK);
    swl_status status = swl_log_run(build, run, &log, &err);
    FUZZ_HOLD(status == SWL_OK || (status == SWL_ERR_INPUT && err.text[0] != '\0'));
    if (status == SWL_OK) {
        swl_notes_log(&notes, build, run, &log, SWL_UNITS_US);
        swl_notes_check(&notes, build, &check, diags, SWL_UNITS_US);
        swl_report_log_text(&out[0], build, "run.csv", run, &check, &log, &notes, SWL_UNITS_US, false);
        fuzz_hold_text(&out[0]);
        swl_report_log_csv(&out[1], &log, SWL_UNITS_SI);
        fuzz_hold_csv(&out[1]);
        FUZZ_HOLD(swl_report_log_json(&out[2], build, "run.csv", run, &check, &log, &notes, &err) == SWL_OK);
        fuzz_hold_json(&out[2]);
    }
    for (size_t i = 0; i < 3; i++) {
        swl_buf_free(&out[i]);
    }
    swl_notes_free(&notes);
    swl_log_free(&log);
    swl_check_free(&check);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    fuzz_files files;
    swl_build build;
    swl_run run = {0};
    swl_diags diags = {0};
    swl_err err = {0};
    fuzz_split(&files, "run.csv", data, size);
    fuzz_add_build(&files);
    swl_source source = fuzz_source(&files);
    if (swl_build_load(&source, "build.ini", &build, &diags, &err) != SWL_OK) {
        /* The input brought a build of its own, which is another target's. */
        swl_diag_free(&diags);
        return 0;
    }
    swl_status status = swl_run_load(&source, "run.csv", build.site.p_pa, &run, &diags, &err);
    fuzz_hold_findings(&diags, status, &err);
    if (status == SWL_OK) {
        FUZZ_HOLD(run.count <= SWL_RUN_ROWS_MAX && run.count + run.without == run.rows_read);
        report(&build, &run, &diags);
        swl_run_free(&run);
    }
    swl_build_free(&build);
    swl_diag_free(&diags);
    return 0;
}
