#include "sweptline/spread.h"

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_statistics_double.h>
#include <math.h>
#include <stdlib.h>

/* Half-width of a 95 % interval over its standard deviation. */
#define HALF_WIDTHS 1.959963984540054

double swl_spread_value(const swl_input *input, double share)
{
    double sigma = input->half_width / HALF_WIDTHS;
    double from = gsl_cdf_ugaussian_P((input->low - input->middle) / sigma);
    double to = gsl_cdf_ugaussian_P((input->high - input->middle) / sigma);
    double value = input->middle + sigma * gsl_cdf_ugaussian_Pinv(from + share * (to - from));
    /* Rounding may not carry it past the ends. */
    return fmin(fmax(value, fmin(input->low, input->middle)), fmax(input->high, input->middle));
}

static int ascending(const void *a, const void *b)
{
    double x = *(const double *)a;
    double y = *(const double *)b;
    return (x > y) - (x < y);
}

swl_interval swl_spread_interval(double *values, size_t count)
{
    size_t kept = 0;
    for (size_t i = 0; i < count; i++) {
        if (isfinite(values[i])) {
            double value = values[i];
            values[i] = values[kept];
            values[kept++] = value;
        }
    }
    if (kept == 0) {
        return (swl_interval){NAN, NAN, NAN};
    }
    qsort(values, kept, sizeof *values, ascending);
    return (swl_interval){.p05 = gsl_stats_quantile_from_sorted_data(values, 1, kept, 0.05),
                          .p50 = gsl_stats_quantile_from_sorted_data(values, 1, kept, 0.50),
                          .p95 = gsl_stats_quantile_from_sorted_data(values, 1, kept, 0.95)};
}

/* Where the cumulative beta distribution has a value, to 1e-15: the library's own inverse of it fails for ordinary
 * arguments. */
static double beta_inverse(double p, double a, double b)
{
    double low = 0;
    double high = 1;
    for (int i = 0; i < 60 && high - low > 1e-15; i++) {
        double middle = (low + high) / 2;
        *(gsl_cdf_beta_P(middle, a, b) < p ? &low : &high) = middle;
    }
    return (low + high) / 2;
}

double swl_spread_share_error(size_t over, size_t of)
{
    double share = (double)over / (double)of;
    double k = (double)over;
    double n = (double)of;
    double low = over == 0 ? 0 : beta_inverse(0.025, k, n - k + 1);
    double high = over == of ? 1 : beta_inverse(0.975, k + 1, n - k);
    return fmax(share - low, high - share);
}
