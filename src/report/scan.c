#include "report/scan.h"

#include <math.h>
#include <stdio.h>

static const char *const way_words[] = {"upright", "axes", "corners"};

static double degrees(double radians)
{
    return radians * 180 / 3.14159265358979;
}

/* How far the x axis is turned against the picture's rows, up being above 0, and what it makes with the y axis. */
static void angles(const swl_calibration *c, double *turned_deg, double *between_deg)
{
    double x_deg = degrees(atan2(-c->along_x[1], c->along_x[0]));
    double y_deg = degrees(atan2(-c->along_y[1], c->along_y[0]));
    *turned_deg = x_deg;
    *between_deg = fabs(remainder(y_deg - x_deg, 360));
}

void swl_report_scan_text(swl_buf *out, const swl_scan *scan)
{
    const swl_calibration *c = &scan->calibration;
    swl_buf_printf(out, "%-22s%s, %d x %d pixels", "Picture of the chart", scan->image_name, scan->image.width,
                   scan->image.height);
    if (scan->image.dpi > 0) {
        swl_buf_printf(out, ", %.0f dpi", scan->image.dpi);
    }
    swl_buf_printf(out, "\n%-22sacross: %s flow, %s, %s; up: pressure ratio, %s\n", "Its axes",
                   scan->x_is_mass ? "mass" : "inlet volume", scan->x_unit, c->x_log ? "logarithmic" : "linear",
                   c->y_log ? "logarithmic" : "linear");
    swl_buf_printf(out, "%-22s%zu points, ", "Calibration", c->count);
    if (swl_scan_has_spare(scan)) {
        swl_buf_printf(out, "off by %.2f pixels (root mean square), the worst by %.2f\n", c->residual_px, c->worst_px);
    } else {
        swl_buf_puts(out, "none to spare: whether they are right does not show; give more\n");
    }
    if (c->way != SWL_CALIBRATION_UPRIGHT) {
        double turned_deg = 0;
        double between_deg = 0;
        angles(c, &turned_deg, &between_deg);
        swl_buf_printf(out, "%-22sturned by %.2f degrees%s, axes at %.2f degrees to each other\n", "", fabs(turned_deg),
                       fabs(turned_deg) < 0.005 ? ""
                       : turned_deg < 0         ? " clockwise"
                                                : " anticlockwise",
                       between_deg);
    }
    if (!c->x_log && !c->y_log) {
        double x[2];
        double y[2];
        swl_calibration_value(c, 0, 0, &x[0], &y[0]);
        swl_calibration_value(c, 1, 1, &x[1], &y[1]);
        swl_buf_printf(out, "%-22s%.3g %s across, %.2g of pressure ratio up\n", "One pixel is",
                       fabs(x[1] - x[0]) / scan->x_factor, scan->x_unit, fabs(y[1] - y[0]));
    }
}

static json_t *json_pair(const double pair[2])
{
    return json_pack("[f, f]", pair[0], pair[1]);
}

json_t *swl_json_scan(const swl_scan *scan)
{
    if (scan == NULL || !scan->given) {
        return json_null();
    }
    const swl_calibration *c = &scan->calibration;
    double none = NAN;
    bool spare = swl_scan_has_spare(scan);
    return json_pack("{s:s, s:i, s:i, s:o, s:{s:s, s:s, s:s}, s:{s:s, s:s}, s:s, s:I, s:o, s:o, s:o, s:o, s:o}",
                     "image", scan->image_name, "width_px", scan->image.width, "height_px", scan->image.height, "dpi",
                     swl_json_number(scan->image.dpi > 0 ? scan->image.dpi : none), "x_axis", "quantity",
                     scan->x_is_mass ? "mass_flow_kg_s" : "volume_flow_m3_s", "unit_on_chart", scan->x_unit, "scale",
                     c->x_log ? "logarithmic" : "linear", "y_axis", "quantity", "pressure_ratio", "scale",
                     c->y_log ? "logarithmic" : "linear", "calibrated_by", way_words[c->way], "points",
                     (json_int_t)c->count, "residual_px", swl_json_number(spare ? c->residual_px : none), "worst_px",
                     swl_json_number(spare ? c->worst_px : none), "origin_px", json_pair(c->origin), "along_x_px",
                     json_pair(c->along_x), "along_y_px", json_pair(c->along_y));
}
