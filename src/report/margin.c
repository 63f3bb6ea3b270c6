#include "report/margin.h"

#include <math.h>

/* Nearer to a bound than this is at it but for rounding, as in a check. */
#define AT_BOUND 1e-12
enum { DECIMALS_MORE = 8 };

static double rounded(double value, int decimals)
{
    double step = pow(10, decimals);
    return round(value * step) / step;
}

static int margin_decimals(double percent)
{
    double close = 100 * SWL_CLOSE_MARGIN_FRAC;
    int decimals = 1;
    for (; decimals < DECIMALS_MORE; decimals++) {
        double shown = rounded(percent, decimals);
        bool below_zero = percent < -100 * AT_BOUND;
        bool below_close = percent < close - 100 * AT_BOUND;
        if (!(below_zero && shown >= 0) && !(below_close && shown >= close)) {
            break;
        }
    }
    return decimals;
}

void swl_margin_put(swl_buf *out, int width, double margin_frac)
{
    double percent = 100 * margin_frac;
    if (!isfinite(percent)) {
        swl_buf_printf(out, "%*s", width, "-");
        return;
    }
    int decimals = margin_decimals(percent);
    /* No "-0.0". */
    bool nothing = fabs(rounded(percent, decimals)) < 0.5 * pow(10, -decimals);
    swl_buf_printf(out, "%*.*f", width, decimals, nothing ? 0 : percent);
}

int swl_spare_decimals(const swl_limit_row *row, swl_units units)
{
    swl_shown shown = swl_shown_as(row->show, units);
    double spare = (row->limit - row->value) * shown.scale;
    int decimals = shown.decimals;
    bool apart = row->verdict == SWL_EXCEEDED && row->margin_frac < -AT_BOUND;
    while (apart && decimals < DECIMALS_MORE && !(fabs(rounded(spare, decimals)) > 0)) {
        decimals++;
    }
    return decimals;
}

void swl_report_limit(swl_buf *out, const swl_limit_row *row, swl_units units)
{
    swl_buf_printf(out, "%.*f %s of ", swl_spare_decimals(row, units), swl_shown_value(row->value, row->show, units),
                   swl_shown_as(row->show, units).unit);
    swl_report_value(out, row->limit, row->show, units);
}
