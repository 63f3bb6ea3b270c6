/* A unit file beside a sound map; the input may bring a map and a picture of its own. */
#include "fuzz.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static const char picture[] = "picture 200 120\n";
    fuzz_files files;
    swl_blower blower;
    swl_scan scan = {0};
    swl_diags diags = {0};
    swl_err err = {0};
    fuzz_split(&files, "main.ini", data, size);
    fuzz_add_unit(&files);
    fuzz_add(&files, "chart.png", picture, sizeof picture - 1);
    swl_source source = fuzz_source(&files);
    swl_status status = swl_unit_load(&source, "main.ini", &blower, &scan, &diags, &err);
    fuzz_hold_findings(&diags, status, &err);
    if (status == SWL_OK) {
        swl_buf text = {0};
        swl_buf json = {0};
        fuzz_hold_map(&blower);
        FUZZ_HOLD(blower.map != NULL || scan.given);
        swl_report_unit_text(&text, &blower, &scan, &diags, SWL_UNITS_US);
        fuzz_hold_text(&text);
        FUZZ_HOLD(swl_report_unit_json(&json, &blower, &scan, &diags, &err) == SWL_OK);
        fuzz_hold_json(&json);
        swl_buf_free(&text);
        swl_buf_free(&json);
        swl_blower_free(&blower);
        swl_scan_free(&scan);
    }
    swl_diag_free(&diags);
    return 0;
}
