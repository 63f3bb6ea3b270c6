#include "sweptline/correction.h"

#include <math.h>

#define ZERO_C_K 273.15

static const swl_correction_range ranges[SWL_CORRECTIONS] = {
    [SWL_CORRECTION_J1349] = {"SAE J1349 (1990)", "SAE J1349:1990", 15 + ZERO_C_K, 35 + ZERO_C_K, 90e3, 105e3, 0.93,
                              1.07},
    [SWL_CORRECTION_ISO_1585] = {"ISO 1585", "ISO 1585", 288, 308, 80e3, 110e3, 0.93, 1.07},
};

const swl_correction_range *swl_correction_range_of(swl_correction_form form)
{
    return &ranges[form];
}

/* Below and above a span whose ends, but for rounding, belong to it. */
static unsigned outside(double value, double low, double high, unsigned below, unsigned above)
{
    return value < low * (1 - 1e-12) ? below : value > high * (1 + 1e-12) ? above : 0;
}

swl_correction swl_correction_at(swl_correction_form form, double t_k, double p_dry_pa)
{
    const swl_correction_range *range = &ranges[form];
    swl_correction out = {.factor = NAN};
    if (!(t_k > 0 && p_dry_pa > 0)) {
        return out;
    }
    if (form == SWL_CORRECTION_J1349) {
        /* The standard counts from 273, not 273.15. */
        out.factor = 1.180 * (99e3 / p_dry_pa) * sqrt((t_k - ZERO_C_K + 273) / 298) - 0.18;
    } else {
        out.factor = pow(99e3 / p_dry_pa, 1.2) * pow(t_k / 298, 0.6);
    }
    out.broken =
        outside(t_k, range->t_min_k, range->t_max_k, SWL_CORRECTION_COLD, SWL_CORRECTION_HOT) |
        outside(p_dry_pa, range->p_dry_min_pa, range->p_dry_max_pa, SWL_CORRECTION_THIN, SWL_CORRECTION_DENSE) |
        outside(out.factor, range->factor_min, range->factor_max, SWL_CORRECTION_FACTOR_LOW,
                SWL_CORRECTION_FACTOR_HIGH);
    return out;
}
