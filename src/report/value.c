#include "report/value.h"

#include <math.h>
#include <stdio.h>

swl_value_text swl_value_of(double si, swl_show show, swl_units units)
{
    swl_buf buf = {0};
    swl_value_text out = {""};
    swl_report_value(&buf, si, show, units);
    (void)snprintf(out.text, sizeof out.text, "%s", swl_buf_text(&buf));
    swl_buf_free(&buf);
    return out;
}

void swl_put_number(swl_buf *out, int width, double si, swl_show show, swl_units units)
{
    if (isfinite(si)) {
        swl_buf_printf(out, "%*.*f", width, swl_shown_as(show, units).decimals, swl_shown_value(si, show, units));
    } else {
        swl_buf_printf(out, "%*s", width, "-");
    }
}

void swl_put_csv(swl_buf *out, double si, swl_show show, swl_units units)
{
    if (isfinite(si)) {
        swl_buf_printf(out, ",%.10g", swl_shown_value(si, show, units));
    } else {
        swl_buf_puts(out, ",");
    }
}

void swl_put_unit(swl_buf *out, const swl_blower *blower, swl_units units)
{
    swl_buf_printf(out, "%s, %s, ", blower->name, blower->kind == SWL_BLOWER_ROOTS ? "roots" : "screw");
    swl_report_value(out, blower->disp_m3_rev, SWL_SHOW_VOLUME, units);
    swl_buf_puts(out, " a revolution");
}

void swl_put_drive(swl_buf *out, const swl_build *build, double drive_ratio, swl_units units)
{
    swl_report_value(out, build->drive.d_crank_m, SWL_SHOW_LENGTH, units);
    swl_buf_puts(out, " crank pulley on ");
    swl_report_value(out, build->drive.d_blower_m, SWL_SHOW_LENGTH, units);
    swl_buf_puts(out, " blower pulley");
    if (!isnan(drive_ratio)) {
        swl_buf_printf(out, ", ratio %.4f", drive_ratio);
    }
    if (build->blower.gear_ratio < 1 || build->blower.gear_ratio > 1) {
        swl_buf_printf(out, " with the unit's gears of %.6g", build->blower.gear_ratio);
    }
}
