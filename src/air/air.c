#include "sweptline/air.h"

#include <math.h>
#include <stddef.h>

#define R_MOLAR 8.31446261815324

typedef struct species {
    double molar_mass_kg_mol;
    double a[7];
    double b_h;
} species;

enum { N2, O2, AR, CO2, H2O, SPECIES };

/* McBride, Zehe, Gordon (2002), 200 to 1000 K; molar masses as printed there. */
static const species table[SPECIES] = {
    [N2] = {28.0134e-3,
            {2.210371497e4, -3.818461820e2, 6.082738360, -8.530914410e-3, 1.384646189e-5, -9.625793620e-9,
             2.519705809e-12},
            7.108460860e2},
    [O2] = {31.9988e-3,
            {-3.425563420e4, 4.847000970e2, 1.119010961, 4.293889240e-3, -6.836300520e-7, -2.023372700e-9,
             1.039040018e-12},
            -3.391454870e3},
    [AR] = {39.948e-3, {0, 0, 2.5, 0, 0, 0, 0}, -7.45375e2},
    [CO2] = {44.0095e-3,
             {4.943650540e4, -6.264116010e2, 5.301725240, 2.503813816e-3, -2.127308728e-7, -7.689988780e-10,
              2.849677801e-13},
             -4.528198460e4},
    [H2O] = {18.01528e-3,
             {-3.947960830e4, 5.755731020e2, 9.317826530e-1, 7.222712860e-3, -7.342557370e-6, 4.955043490e-9,
              -1.336933246e-12},
             -3.303974310e4},
};

static const double dry_fraction[SPECIES] = {[N2] = 0.780840, [O2] = 0.209476, [AR] = 0.009365, [CO2] = 0.000319};

swl_air swl_air_humid(double t_k, double p_pa, double rh_frac)
{
    double x_water = rh_frac > 0 ? rh_frac * swl_air_saturation_pa(t_k) / p_pa : 0;
    swl_air air = {.x_water = x_water};
    for (size_t s = 0; s < SPECIES; s++) {
        double x = s == H2O ? x_water : dry_fraction[s] * (1 - x_water);
        air.molar_mass_kg_mol += x * table[s].molar_mass_kg_mol;
        air.b_h += x * table[s].b_h;
        for (size_t i = 0; i < 7; i++) {
            air.cp[i] += x * table[s].a[i];
        }
    }
    air.r_j_kg_k = R_MOLAR / air.molar_mass_kg_mol;
    return air;
}

bool swl_air_covers(double t_k)
{
    return t_k >= SWL_AIR_T_MIN_K && t_k <= SWL_AIR_T_MAX_K;
}

static double held(double t_k)
{
    if (t_k < SWL_AIR_T_MIN_K) {
        return SWL_AIR_T_MIN_K;
    }
    return t_k > SWL_AIR_T_MAX_K ? SWL_AIR_T_MAX_K : t_k;
}

/* cp/R = a1 T^-2 + a2 T^-1 + a3 + a4 T + a5 T^2 + a6 T^3 + a7 T^4 */
static double cp_over_r(const double *a, double t)
{
    double u = 1 / t;
    return (a[0] * u + a[1]) * u + a[2] + t * (a[3] + t * (a[4] + t * (a[5] + t * a[6])));
}

/* h/(R T) = -a1 T^-2 + a2 ln(T)/T + a3 + a4 T/2 + a5 T^2/3 + a6 T^3/4 + a7 T^4/5 + b1/T, times T */
static double h_over_r(const double *a, double b, double t, double ln_t)
{
    return -a[0] / t + a[1] * ln_t + b + t * (a[2] + t * (a[3] / 2 + t * (a[4] / 3 + t * (a[5] / 4 + t * a[6] / 5))));
}

/* s/R = -a1 T^-2/2 - a2 T^-1 + a3 ln(T) + a4 T + a5 T^2/2 + a6 T^3/3 + a7 T^4/4 */
static double s_over_r(const double *a, double t, double ln_t)
{
    double u = 1 / t;
    return -(a[0] * u / 2 + a[1]) * u + a[2] * ln_t + t * (a[3] + t * (a[4] / 2 + t * (a[5] / 3 + t * a[6] / 4)));
}

double swl_air_cp_j_kg_k(const swl_air *air, double t_k)
{
    return air->r_j_kg_k * cp_over_r(air->cp, held(t_k));
}

double swl_air_gamma(const swl_air *air, double t_k)
{
    double cp = swl_air_cp_j_kg_k(air, t_k);
    return cp / (cp - air->r_j_kg_k);
}

double swl_air_h_j_kg(const swl_air *air, double t_k)
{
    double t = held(t_k);
    double beyond = t_k == t ? 0 : cp_over_r(air->cp, t) * (t_k - t);
    return air->r_j_kg_k * (h_over_r(air->cp, air->b_h, t, log(t)) + beyond);
}

double swl_air_s0_j_kg_k(const swl_air *air, double t_k)
{
    double t = held(t_k);
    double beyond = t_k == t ? 0 : cp_over_r(air->cp, t) * log(t_k / t);
    return air->r_j_kg_k * (s_over_r(air->cp, t, log(t)) + beyond);
}

/* The loops below end on NaN, since a comparison with NaN is false. */
enum { NEWTON_MAX = 60 };
/* A step, as a share of the temperature, leaves an error of T cp'/(2 cp) of its square, about a tenth. */
#define NEWTON_STEP_LAST 1e-7

double swl_air_t_of_h_k(const swl_air *air, double h_j_kg, double guess_k)
{
    double t = guess_k;
    double step = t;
    for (int i = 0; i < NEWTON_MAX && fabs(step) > NEWTON_STEP_LAST * t; i++) {
        step = (h_j_kg - swl_air_h_j_kg(air, t)) / swl_air_cp_j_kg_k(air, t);
        t = t + step < t / 2 ? t / 2 : t + step;
    }
    return t;
}

double swl_air_t_isentropic_k(const swl_air *air, double t1_k, double p_ratio)
{
    double rise = air->r_j_kg_k * log(p_ratio);
    double target = swl_air_s0_j_kg_k(air, t1_k) + rise;
    double t = t1_k * exp(rise / swl_air_cp_j_kg_k(air, t1_k));
    double step = 1;
    for (int i = 0; i < NEWTON_MAX && fabs(step) > NEWTON_STEP_LAST; i++) {
        /* ds0/d(ln T) = cp */
        step = (target - swl_air_s0_j_kg_k(air, t)) / swl_air_cp_j_kg_k(air, t);
        t *= exp(step);
    }
    return t;
}

double swl_air_saturation_pa(double t_k)
{
    double t = t_k;
    if (t < 273.15) {
        return exp(-5.6745359e3 / t + 6.3925247 +
                   t * (-9.6778430e-3 + t * (6.2215701e-7 + t * (2.0747825e-9 + t * -9.4840240e-13))) +
                   4.1635019 * log(t));
    }
    return exp(-5.8002206e3 / t + 1.3914993 + t * (-4.8640239e-2 + t * (4.1764768e-5 + t * -1.4452093e-8)) +
               6.5459673 * log(t));
}

double swl_air_dew_point_k(const swl_air *air, double p_pa)
{
    double vapour_pa = air->x_water * p_pa;
    if (!(vapour_pa > 0)) {
        return 0;
    }
    /* Bisection: the curve has a step of 0.02 % where ice meets water. */
    double low = 150;
    double high = 473;
    for (int i = 0; i < 60; i++) {
        double middle = (low + high) / 2;
        if (swl_air_saturation_pa(middle) < vapour_pa) {
            low = middle;
        } else {
            high = middle;
        }
    }
    return (low + high) / 2;
}
