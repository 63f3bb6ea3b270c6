#include "sweptline/scan.h"

bool swl_scan_has_spare(const swl_scan *scan)
{
    const swl_calibration *c = &scan->calibration;
    return c->way == SWL_CALIBRATION_CORNERS || c->count > 4;
}

void swl_scan_pixel(const swl_scan *scan, double vdot_m3_s, double p_ratio, double *px, double *py)
{
    swl_calibration_pixel(&scan->calibration, vdot_m3_s * scan->x_per_m3_s, p_ratio, px, py);
}

void swl_scan_free(swl_scan *scan)
{
    swl_image_free(&scan->image);
    *scan = (swl_scan){0};
}
