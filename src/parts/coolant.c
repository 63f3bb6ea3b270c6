#include "sweptline/coolant.h"

#define ZERO_C_K 273.15
#define WATER_LOW_C 0.0
#define GLYCOL_LOW_C (-35.0)
#define HIGH_C 120.0

enum { TERMS = 5 };

/* Coefficients of powers of t/(100 degC). */
typedef struct series {
    double c[TERMS];
} series;

static series rho_of(double x)
{
    if (x <= 0) {
        return (series){{999.953, 4.22832, -70.5595, 34.0726, -9.27269}};
    }
    return (series){{1000.76 + x * (184.165 - 47.0682 * x), -19.0421 - 29.4286 * x, -24.3, 0, 0}};
}

static series cp_of(double x)
{
    if (x <= 0) {
        return (series){{4216.69, -244.693, 502.128, -396.274, 137.922}};
    }
    return (series){{4093.35 - x * (1516.71 + 532.143 * x), 123.1 + 529.0 * x, 0, 0, 0}};
}

static double series_at(const series *s, double t)
{
    double sum = 0;
    for (int i = TERMS; i-- > 0;) {
        sum = sum * t + s->c[i];
    }
    return sum;
}

static double series_integral(const series *s, double t)
{
    double sum = 0;
    for (int i = TERMS; i-- > 0;) {
        sum = sum * t + s->c[i] / (i + 1);
    }
    return sum * t;
}

/* Temperature in hundreds of degC, held within what the series cover. */
static double held(double glycol_frac, double t_k)
{
    double t_c = t_k - ZERO_C_K;
    double low_c = glycol_frac > 0 ? GLYCOL_LOW_C : WATER_LOW_C;
    return (t_c < low_c ? low_c : t_c > HIGH_C ? HIGH_C : t_c) / 100;
}

double swl_coolant_rho_kg_m3(double glycol_frac, double t_k)
{
    series s = rho_of(glycol_frac);
    return series_at(&s, held(glycol_frac, t_k));
}

double swl_coolant_cp_j_kg_k(double glycol_frac, double t_k)
{
    series s = cp_of(glycol_frac);
    return series_at(&s, held(glycol_frac, t_k));
}

double swl_coolant_h_j_kg(double glycol_frac, double t_k)
{
    series s = cp_of(glycol_frac);
    double t = held(glycol_frac, t_k);
    double beyond_k = t_k - ZERO_C_K - 100 * t;
    return 100 * series_integral(&s, t) + beyond_k * series_at(&s, t);
}

bool swl_coolant_covers(double glycol_frac, double t_k)
{
    double t_c = t_k - ZERO_C_K;
    return t_c >= (glycol_frac > 0 ? GLYCOL_LOW_C : WATER_LOW_C) && t_c <= HIGH_C;
}
