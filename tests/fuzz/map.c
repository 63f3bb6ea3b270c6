/* A map table under a unit that is sound; what is accepted and written as a table again is accepted and the same. */
#include "fuzz.h"

#include <math.h>

static swl_status load(const char *bytes, size_t len, swl_blower *blower, swl_diags *diags, swl_err *err)
{
    fuzz_files files = {0};
    fuzz_add(&files, "unit.csv", bytes, len);
    fuzz_add_unit(&files);
    swl_source source = fuzz_source(&files);
    return swl_blower_load(&source, "unit.ini", blower, diags, err);
}

static bool is_near(double a, double b)
{
    return fabs(a - b) <= 1e-8 * fmax(1, fabs(a));
}

static void hold_same(const swl_map *a, const swl_map *b)
{
    FUZZ_HOLD(swl_map_line_count(a) == swl_map_line_count(b));
    for (size_t i = 0; i < swl_map_line_count(a); i++) {
        swl_map_line one = swl_map_line_at(a, i);
        swl_map_line other = swl_map_line_at(b, i);
        FUZZ_HOLD(one.count == other.count && is_near(one.speed_rpm, other.speed_rpm));
        for (size_t k = 0; k < one.count; k++) {
            FUZZ_HOLD(is_near(one.p_ratio[k], other.p_ratio[k]));
            FUZZ_HOLD(is_near(one.ev_frac[k], other.ev_frac[k]));
            FUZZ_HOLD(is_near(one.ea_frac[k], other.ea_frac[k]));
        }
    }
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    swl_blower blower;
    swl_diags diags = {0};
    swl_err err = {0};
    swl_status status = load(size > 0 ? (const char *)data : "", size, &blower, &diags, &err);
    fuzz_hold_findings(&diags, status, &err);
    if (status == SWL_OK) {
        swl_buf csv = {0};
        swl_blower again;
        fuzz_hold_map(&blower);
        swl_report_unit_csv(&csv, &blower, SWL_UNITS_SI);
        fuzz_hold_csv(&csv);
        FUZZ_HOLD(load(swl_buf_text(&csv), csv.len, &again, &diags, &err) == SWL_OK);
        hold_same(blower.map, again.map);
        swl_buf_free(&csv);
        swl_blower_free(&again);
        swl_blower_free(&blower);
    }
    swl_diag_free(&diags);
    return 0;
}
