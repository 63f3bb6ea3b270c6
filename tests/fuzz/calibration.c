/* The [scan] section of a unit file: which pixel stands for which values. */
#include "fuzz.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* A pixel and the values there are each other's inverse. */
static void hold_inverse(const swl_calibration *c)
{
    for (double px = 0; px <= 199; px += 199.0 / 4) {
        double x = 0;
        double y = 0;
        double back_x = 0;
        double back_y = 0;
        swl_calibration_value(c, px, 119 - px / 2, &x, &y);
        /* Of a logarithmic axis that covers many decades a pixel outside may be beyond every number. */
        bool in_range = fabs(x) < 1e100 && fabs(y) < 1e100 && (!c->x_log || x > 1e-100) && (!c->y_log || y > 1e-100);
        if (in_range) {
            swl_calibration_pixel(c, x, y, &back_x, &back_y);
            FUZZ_HOLD(fabs(back_x - px) < 1e-3 && fabs(back_y - (119 - px / 2)) < 1e-3);
        }
    }
}

static void hold_calibration(const swl_calibration *c)
{
    FUZZ_HOLD(c->count >= 4 && c->count <= SWL_CALIBRATION_POINTS_MAX && c->suspect <= c->count);
    FUZZ_HOLD(c->residual_px >= 0 && c->worst_px < 1e6 && c->residual_px <= c->worst_px * (1 + 1e-9));
    for (int i = 0; i < 2; i++) {
        FUZZ_HOLD(isfinite(c->origin[i]) && isfinite(c->along_x[i]) && isfinite(c->along_y[i]));
    }
    hold_inverse(c);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static const char picture[] = "picture 200 120\n";
    static const char head[] = "[unit]\nname = Invented\nkind = roots\ndisplacement = 1 L/rev\n"
                               "[map]\ntable = unit.csv\ntemperature = 25 degC\npressure = 100 kPa\n"
                               "efficiency_from = temperature rise\n[scan]\nimage = chart.png\n";
    swl_buf text = {0};
    swl_buf_put(&text, head, sizeof head - 1);
    swl_buf_put_raw(&text, (const char *)data, size);
    fuzz_files files = {0};
    swl_blower blower;
    swl_scan scan = {0};
    swl_diags diags = {0};
    swl_err err = {0};
    fuzz_add(&files, "main.ini", swl_buf_text(&text), text.len);
    fuzz_add(&files, "chart.png", picture, sizeof picture - 1);
    fuzz_add_unit(&files);
    swl_source source = fuzz_source(&files);
    swl_status status = swl_unit_load(&source, "main.ini", &blower, &scan, &diags, &err);
    fuzz_hold_findings(&diags, status, &err);
    if (status == SWL_OK) {
        hold_calibration(&scan.calibration);
        swl_blower_free(&blower);
        swl_scan_free(&scan);
    }
    swl_diag_free(&diags);
    swl_buf_free(&text);
    return 0;
}
