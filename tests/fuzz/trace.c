/* A unit file with a picture of its chart, traced. The rows that come out are finite and the table is read again. */
#include "fuzz.h"

#include "sweptline/trace.h"

#include <math.h>
#include <string.h>

static void hold_map(const swl_trace_map *map)
{
    for (size_t i = 0; i < map->count; i++) {
        const swl_trace_row *row = &map->rows[i];
        FUZZ_HOLD(row->speed_rpm > 0 && isfinite(row->p_ratio) && isfinite(row->vdot_m3_s) && isfinite(row->ea_frac));
    }
}

static void report(const swl_tracing *tracing, const swl_diags *diags)
{
    swl_buf out[3] = {0};
    swl_notes notes = {0};
    swl_err err = {0};
    hold_map(&tracing->map);
    swl_notes_trace(&notes, tracing, diags);
    swl_report_trace_text(&out[0], tracing, &notes);
    fuzz_hold_text(&out[0]);
    swl_report_trace_csv(&out[1], tracing, SWL_UNITS_SI);
    fuzz_hold_csv(&out[1]);
    FUZZ_HOLD(swl_report_trace_json(&out[2], tracing, &notes, &err) == SWL_OK);
    fuzz_hold_json(&out[2]);
    for (size_t i = 0; i < 3; i++) {
        swl_buf_free(&out[i]);
    }
    swl_notes_free(&notes);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    fuzz_files files;
    swl_tracing tracing;
    swl_diags diags = {0};
    swl_err err = {0};
    fuzz_split(&files, "main.ini", data, size);
    fuzz_add_unit(&files);
    swl_source source = fuzz_source(&files);
    swl_status status = swl_tracing_load(&source, "main.ini", &tracing, &diags, &err);
    fuzz_hold_findings(&diags, status, &err);
    if (status == SWL_OK) {
        status = swl_tracing_run(&tracing, &diags, &err);
        fuzz_hold_findings(&diags, status, &err);
    }
    if (status == SWL_OK) {
        report(&tracing, &diags);
    }
    swl_tracing_free(&tracing);
    swl_diag_free(&diags);
    return 0;
}
