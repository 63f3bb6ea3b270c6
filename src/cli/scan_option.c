#include "cli/cli.h"

#include <stdio.h>

#define DIM_WHEN_LEFT_OUT 0.5
#define DIM_MOST 0.95

swl_status cli_dim(const cli_options *options, bool draws_scan, double *dim_frac, swl_err *err)
{
    swl_quantity quantity = {.value = DIM_WHEN_LEFT_OUT};
    swl_fault fault = {0};
    if (options->dim != NULL && !draws_scan) {
        return swl_err_set(err, SWL_ERR_USAGE, "--dim: no picture of a chart is drawn on here; give --over-scan too");
    }
    if (options->dim != NULL && (!swl_quantity_read(swl_slice_of(options->dim), SWL_DIM_FRACTION, &quantity, &fault) ||
                                 !(quantity.value >= 0 && quantity.value <= DIM_MOST) || quantity.half_width > 0)) {
        return swl_err_set(err, SWL_ERR_USAGE,
                           "--dim read `%s`; 0 %% to 95 %%, the share of white that the picture is mixed with, is "
                           "accepted",
                           options->dim);
    }
    *dim_frac = quantity.value;
    return SWL_OK;
}

swl_status cli_wants_scan(const cli_options *options, const swl_scan *scan, swl_err *err)
{
    if (options->over_scan && !scan->given) {
        return swl_err_set(err, SWL_ERR_USAGE,
                           "--over-scan: the unit file has no [scan] section, which names a picture of the chart and "
                           "the values of some of its pixels");
    }
    if (options->over_scan && options->picture.parts == SWL_PARTS_CURVES) {
        return swl_err_set(err, SWL_ERR_USAGE, "--over-scan: no map is drawn with --only curves");
    }
    return SWL_OK;
}

void cli_scan_caption(const swl_scan *scan, const swl_check *check, swl_buf *out)
{
    const swl_calibration *c = &scan->calibration;
    swl_buf_printf(out, "Drawn over the picture %s as calibrated by %zu points", scan->image_name, c->count);
    if (swl_scan_has_spare(scan)) {
        swl_buf_printf(out, ", which it fits to %.2f pixels (root mean square; worst %.2f). ", c->residual_px,
                       c->worst_px);
    } else {
        swl_buf_puts(out, ", with none to spare that would tell how well it fits. ");
    }
    size_t outside = 0;
    for (size_t i = 0; check != NULL && i < check->line_count; i++) {
        double px = 0;
        double py = 0;
        swl_scan_pixel(scan, check->line[i].map_vdot_m3_s, check->line[i].p_ratio, &px, &py);
        outside += !(px >= -0.5 && px <= scan->image.width - 0.5 && py >= -0.5 && py <= scan->image.height - 0.5);
    }
    if (outside > 0) {
        swl_buf_printf(out, "%zu of %zu points of the line lie outside the picture. ", outside, check->line_count);
    }
}
