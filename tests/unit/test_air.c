/* Humid air, the standard atmosphere and flow through a restriction, against published values and identities. */
#include "support/near.h"

#include "sweptline/air.h"
#include "sweptline/atmosphere.h"
#include "sweptline/flow.h"

#define ZERO_C_K 273.15
#define SEA_PA 101325.0
#define R_MOLAR 8.31446261815324 /* J/(mol K), SI 2019, exact */
#define LENGTH(array) (sizeof(array) / sizeof((array)[0]))

static swl_air dry_air(void)
{
    return swl_air_humid(288.15, SEA_PA, 0);
}

/* Warm and very damp, so that every part of the mixture counts. */
static swl_air damp_air(void)
{
    return swl_air_humid(318.15, SEA_PA, 1);
}

/* ---- the standard atmosphere ---- */

static void iso_2533_troposphere(void **state)
{
    (void)state;
    /* Debian python3-fluids, ATMOSPHERE_1976, which is ISO 2533 below 11 km; by geopotential altitude. Its exponent
     * is 34.163195/6.5 (memory) where the standard's constants give 5.255880; that is 0.02 Pa at most here. */
    static const struct {
        double altitude_m, t_k, p_pa, rho_kg_m3, rho_digit;
    } rows[] = {
        {0, 288.150, 101325.00, 1.22500, 1e-5},    {500, 284.900, 95460.84, 1.167268, 1e-6},
        {1000, 281.650, 89874.57, 1.111642, 1e-6}, {1500, 278.400, 84556.00, 1.058067, 1e-6},
        {2000, 275.150, 79495.22, 1.006490, 1e-6}, {3000, 268.650, 70108.54, 0.909121, 1e-6},
    };
    for (size_t i = 0; i < LENGTH(rows); i++) {
        double t_k = swl_atmosphere_t_k(rows[i].altitude_m);
        double p_pa = swl_atmosphere_p_pa(rows[i].altitude_m);
        swl_near_abs(rows[i].t_k, t_k, 1e-9);
        swl_near_abs(rows[i].p_pa, p_pa, 0.025);
        swl_near_abs(rows[i].rho_kg_m3, p_pa / (287.05287 * t_k), rows[i].rho_digit);
        swl_near_abs(rows[i].altitude_m, swl_atmosphere_altitude_m(p_pa), 1e-8);
    }
    /* A geometric altitude of 3000 m is the geopotential r z/(r + z), r = 6356766 m (ISO 2533), 12.6 Pa off. */
    double geopotential_m = 6356766.0 * 3000 / (6356766.0 + 3000);
    swl_near_abs(12.6, swl_atmosphere_p_pa(geopotential_m) - swl_atmosphere_p_pa(3000), 0.05);
    swl_is_nan(swl_atmosphere_t_k(NAN));
    swl_is_nan(swl_atmosphere_p_pa(NAN));
    swl_is_nan(swl_atmosphere_altitude_m(NAN));
}

/* ---- water vapour ---- */

static void saturation_pressure(void **state)
{
    (void)state;
    /* npm psychrolib 1.1.1 (Hyland and Wexler); Debian python3-iapws (IF97), 0 where it was not computed. */
    static const struct {
        double t_c, hyland_pa, if97_pa;
    } rows[] = {{10, 1227.995, 1228.184}, {20, 2338.804, 2339.215}, {25, 3169.217, 0},
                {30, 4246.030, 4246.688}, {40, 7383.460, 7384.428}, {50, 12349.857, 12351.270}};
    for (size_t i = 0; i < LENGTH(rows); i++) {
        double p_pa = swl_air_saturation_pa(rows[i].t_c + ZERO_C_K);
        swl_near_abs(rows[i].hyland_pa, p_pa, 0.001); /* a unit in the last digit */
        if (rows[i].if97_pa > 0) {
            swl_near(rows[i].if97_pa, p_pa, 0.00025);
        }
    }
    double ice_pa = swl_air_saturation_pa(nextafter(ZERO_C_K, 0));
    swl_near_abs(611.154, ice_pa, 0.0005); /* psychrolib, over ice */
    /* Where ice meets water the two curves differ by little, and the pressure never falls as it gets warmer. */
    double step = swl_air_saturation_pa(ZERO_C_K) / ice_pa - 1;
    assert_true(step > 0 && step < 2e-4);
    for (double t_k = 173; t_k < 473; t_k += 0.5) {
        assert_true(swl_air_saturation_pa(t_k + 0.5) > swl_air_saturation_pa(t_k));
    }
    swl_is_nan(swl_air_saturation_pa(NAN));
}

static void humid_air_density_and_dew_point(void **state)
{
    (void)state;
    /* npm psychrolib 1.1.1; its R of dry air is 287.042 and its dew point is found to 0.001 K. */
    static const struct {
        double t_c, rh, p_pa, rho_kg_m3, dew_c;
    } rows[] = {
        {20, 0.5, SEA_PA, 1.198898, 9.272},  {25, 0.5, SEA_PA, 1.176958, 13.864}, {30, 0.6, SEA_PA, 1.153362, 21.388},
        {35, 0.9, SEA_PA, 1.123888, 33.108}, {40, 0.5, SEA_PA, 1.111719, 27.585}, {25, 0.5, 99000, 1.149791, 13.864},
        {30, 0.5, 84556, 0.962497, 18.447},
    };
    for (size_t i = 0; i < LENGTH(rows); i++) {
        double t_k = rows[i].t_c + ZERO_C_K;
        swl_air air = swl_air_humid(t_k, rows[i].p_pa, rows[i].rh);
        swl_near(rows[i].rho_kg_m3, rows[i].p_pa / (air.r_j_kg_k * t_k), 0.0003);
        swl_near_abs(rows[i].dew_c, swl_air_dew_point_k(&air, rows[i].p_pa) - ZERO_C_K, 0.0015);
    }
}

static void dew_point_of_saturated_air_is_its_temperature(void **state)
{
    (void)state;
    for (double t_k = 223.15; t_k < 333; t_k += 0.37) {
        swl_air air = swl_air_humid(t_k, 90000, 1);
        swl_near_abs(t_k, swl_air_dew_point_k(&air, 90000), 1e-9);
        /* Compressed, the same air gives off water sooner. */
        assert_true(swl_air_dew_point_k(&air, 180000) > t_k);
    }
}

static void dry_limit(void **state)
{
    (void)state;
    swl_air dry = dry_air();
    swl_near_abs(0, dry.x_water, 0);
    swl_near_abs(0, swl_air_dew_point_k(&dry, SEA_PA), 0);
    swl_near_abs(28.9646, dry.molar_mass_kg_mol * 1000, 0.0015); /* ISO 2533: 28.96442; CO2 then was less */
    swl_near_abs(287.05, dry.r_j_kg_k, 0.015);                   /* ISO 2533: 287.05287 */
    swl_near(R_MOLAR, dry.r_j_kg_k * dry.molar_mass_kg_mol, 1e-15);
    /* As the humidity goes to nothing every property goes to that of dry air. */
    swl_air nearly = swl_air_humid(288.15, SEA_PA, 1e-9);
    swl_near(dry.r_j_kg_k, nearly.r_j_kg_k, 1e-10);
    swl_near(swl_air_cp_j_kg_k(&dry, 400), swl_air_cp_j_kg_k(&nearly, 400), 1e-10);
    /* Vapour is lighter than air and has the larger heat capacity. */
    swl_air damp = damp_air();
    assert_true(damp.molar_mass_kg_mol < dry.molar_mass_kg_mol);
    assert_true(swl_air_cp_j_kg_k(&damp, 300) > swl_air_cp_j_kg_k(&dry, 300));
    swl_near(swl_air_saturation_pa(318.15) / SEA_PA, damp.x_water, 1e-15);
    swl_air half = swl_air_humid(318.15, SEA_PA, 0.5);
    swl_near(damp.x_water / 2, half.x_water, 1e-15);
}

/* ---- NASA polynomials ---- */

typedef struct gas {
    double share, molar_mass_g; /* of dry air by mole, design; McBride et al. table of species, from memory */
    double a[7], b_h, b_s;
} gas;

/* B. J. McBride, M. J. Zehe, S. Gordon, NASA/TP-2002-211556 (2002), 200 to 1000 K. N2 and O2 read in the source;
 * Ar, CO2 and H2O from memory, confirmed by their cp at 298.15 K below. */
static const gas gases[] = {
    {0.780840,
     28.0134,
     {2.210371497e4, -3.818461820e2, 6.082738360, -8.530914410e-3, 1.384646189e-5, -9.625793620e-9, 2.519705809e-12},
     7.108460860e2,
     -1.076003744e1},
    {0.209476,
     31.9988,
     {-3.425563420e4, 4.847000970e2, 1.119010961, 4.293889240e-3, -6.836300520e-7, -2.023372700e-9, 1.039040018e-12},
     -3.391454870e3,
     1.849699470e1},
    {0.009365, 39.948, {0, 0, 2.5, 0, 0, 0, 0}, -7.45375e2, 4.37967491},
    {0.000319,
     44.0095,
     {4.943650540e4, -6.264116010e2, 5.301725240, 2.503813816e-3, -2.127308728e-7, -7.689988780e-10, 2.849677801e-13},
     -4.528198460e4,
     -7.048279440},
    {0,
     18.01528,
     {-3.947960830e4, 5.755731020e2, 9.317826530e-1, 7.222712860e-3, -7.342557370e-6, 4.955043490e-9, -1.336933246e-12},
     -3.303974310e4,
     1.724205775e1},
};
enum { GASES = LENGTH(gases), WATER = GASES - 1 };

static double share_of(size_t g, double x_water)
{
    return g == WATER ? x_water : gases[g].share * (1 - x_water);
}

/* The three sums term by term, each over R: cp, h/T and s. */
static void gas_sums(const gas *g, double t, double *cp, double *h, double *s)
{
    *cp = 0;
    *h = g->b_h / t;
    *s = g->b_s;
    for (int i = 0; i < 7; i++) {
        int n = i - 2; /* exponent of T in cp */
        double term = g->a[i] * pow(t, n);
        *cp += term;
        *h += n == -1 ? term * log(t) : term / (n + 1);
        *s += n == 0 ? term * log(t) : term / n;
    }
}

static void nasa_mixture(void **state)
{
    (void)state;
    const swl_air airs[] = {dry_air(), damp_air()};
    for (size_t k = 0; k < LENGTH(airs); k++) {
        const swl_air *air = &airs[k];
        double s_first = NAN;
        double mass_g = 0;
        for (size_t g = 0; g < GASES; g++) {
            mass_g += share_of(g, air->x_water) * gases[g].molar_mass_g;
        }
        swl_near(mass_g, air->molar_mass_kg_mol * 1000, 1e-14);
        for (double t = 200; t <= 1000; t += 50) {
            double sum[3] = {0, 0, 0};
            for (size_t g = 0; g < GASES; g++) {
                double cp, h, s;
                gas_sums(&gases[g], t, &cp, &h, &s);
                sum[0] += share_of(g, air->x_water) * cp;
                sum[1] += share_of(g, air->x_water) * h * t;
                sum[2] += share_of(g, air->x_water) * s;
            }
            double r = air->r_j_kg_k;
            s_first = isnan(s_first) ? sum[2] * r - swl_air_s0_j_kg_k(air, t) : s_first;
            swl_near(sum[0] * r, swl_air_cp_j_kg_k(air, t), 1e-13);
            swl_near_abs(sum[1] * r, swl_air_h_j_kg(air, t), 1e-6);
            /* s0 leaves out the constant of each species, so it is off by one number at every temperature. */
            swl_near_abs(sum[2] * r - s_first, swl_air_s0_j_kg_k(air, t), 1e-9);
        }
    }
}

static void nasa_figures_at_298_k(void **state)
{
    (void)state;
    /* Same source: cp in J/(mol K) at 298.15 K, heat of formation in J/mol, from memory. */
    static const double cp_j_mol_k[GASES] = {29.124, 29.378, 20.786, 37.135, 33.588};
    static const double formation_j_mol[GASES] = {0, 0, 0, -393510, -241826};
    const swl_air airs[] = {dry_air(), damp_air()};
    for (size_t k = 0; k < LENGTH(airs); k++) {
        double cp = 0;
        double h = 0;
        for (size_t g = 0; g < GASES; g++) {
            cp += share_of(g, airs[k].x_water) * cp_j_mol_k[g];
            h += share_of(g, airs[k].x_water) * formation_j_mol[g];
        }
        swl_near_abs(cp, swl_air_cp_j_kg_k(&airs[k], 298.15) * airs[k].molar_mass_kg_mol, 0.0005);
        swl_near_abs(h, swl_air_h_j_kg(&airs[k], 298.15) * airs[k].molar_mass_kg_mol, 0.5);
    }
}

static void keenan_and_kaye(void **state)
{
    (void)state;
    /* Gas tables of Keenan and Kaye, from memory; tolerance 0.15 % as agreed for other constants of the same air. */
    static const struct {
        double t_k, dh_kj_kg, pr;
    } rows[] = {
        {250, -50.14, 0.7329}, {350, 50.30, 2.379}, {400, 100.79, 3.806}, {450, 151.61, 5.775}, {500, 202.83, 8.411}};
    static const double pr_300 = 1.3860;
    swl_air air = dry_air();
    double h_300 = swl_air_h_j_kg(&air, 300);
    double s_300 = swl_air_s0_j_kg_k(&air, 300);
    for (size_t i = 0; i < LENGTH(rows); i++) {
        double t_k = rows[i].t_k;
        swl_near(rows[i].dh_kj_kg * 1e3, swl_air_h_j_kg(&air, t_k) - h_300, 0.0015);
        double pr = exp((swl_air_s0_j_kg_k(&air, t_k) - s_300) / air.r_j_kg_k);
        swl_near(rows[i].pr / pr_300, pr, 0.0015);
        /* 0.15 % of pressure is 0.043 % of temperature at k = 1.4. */
        swl_near(t_k, swl_air_t_isentropic_k(&air, 300, rows[i].pr / pr_300), 0.00043);
    }
    /* Borgnakke and Sonntag, Fundamentals of Thermodynamics, table A.7. */
    swl_near(100.83e3, swl_air_h_j_kg(&air, 400) - h_300, 0.0015);
    swl_near(202.89e3, swl_air_h_j_kg(&air, 500) - h_300, 0.0015);
    swl_near(2.74646, exp((swl_air_s0_j_kg_k(&air, 400) - s_300) / air.r_j_kg_k), 0.0015);
    swl_near(6.07061, exp((swl_air_s0_j_kg_k(&air, 500) - s_300) / air.r_j_kg_k), 0.0015);
}

/* ---- isentropic change and the way back from h ---- */

static void isentropic_at_constant_k(void **state)
{
    (void)state;
    /* Debian python3-fluids, k = 1.4. A gas whose cp is 3.5 R at every temperature must give these digits; air,
     * whose k falls from 1.401 to 1.396 over these temperatures, comes within 0.1 % (calculated). */
    static const struct {
        double t1_k, p_ratio, t2_k;
    } rows[] = {{288.15, 1.2, 303.558}, {288.15, 1.5, 323.542}, {288.15, 1.6, 329.563},
                {288.15, 2.0, 351.259}, {298.15, 2.0, 363.449}, {298.15, 2.2, 373.482}};
    swl_air ideal = {.r_j_kg_k = 287, .molar_mass_kg_mol = R_MOLAR / 287, .cp = {[2] = 3.5}};
    swl_air air = dry_air();
    for (size_t i = 0; i < LENGTH(rows); i++) {
        swl_near_abs(rows[i].t2_k, swl_air_t_isentropic_k(&ideal, rows[i].t1_k, rows[i].p_ratio), 0.0005);
        swl_near(rows[i].t2_k, swl_air_t_isentropic_k(&air, rows[i].t1_k, rows[i].p_ratio), 0.001);
    }
    swl_near(1.4, swl_air_gamma(&ideal, 500), 1e-15);
    swl_near_abs(1.4, swl_air_gamma(&air, 300), 0.001);
}

static void there_and_back(void **state)
{
    (void)state;
    const swl_air airs[] = {dry_air(), damp_air()};
    for (size_t k = 0; k < LENGTH(airs); k++) {
        for (double t_k = 210; t_k < 700; t_k += 13.7) {
            for (double ratio = 0.31; ratio < 4; ratio += 0.35) {
                double there_k = swl_air_t_isentropic_k(&airs[k], t_k, ratio);
                assert_true((there_k > t_k) == (ratio > 1));
                swl_near(t_k, swl_air_t_isentropic_k(&airs[k], there_k, 1 / ratio), 1e-12);
            }
            double h = swl_air_h_j_kg(&airs[k], t_k);
            swl_near(t_k, swl_air_t_of_h_k(&airs[k], h, 300), 1e-12);
            swl_near(t_k, swl_air_t_of_h_k(&airs[k], h, 5), 1e-12); /* a poor guess */
            swl_near(t_k, swl_air_t_of_h_k(&airs[k], h, 3000), 1e-12);
        }
        swl_near(300, swl_air_t_isentropic_k(&airs[k], 300, 1), 1e-15);
    }
}

/* Central differences: dh/dT = cp and ds0/dT = cp/T, inside the range and in what continues it. */
static void slopes_are_heat_capacity(void **state)
{
    (void)state;
    const swl_air airs[] = {dry_air(), damp_air()};
    static const double temperatures_k[] = {150, 190, 201, 250, 300, 400, 500, 700, 900, 999, 1100, 2000};
    for (size_t k = 0; k < LENGTH(airs); k++) {
        for (size_t i = 0; i < LENGTH(temperatures_k); i++) {
            double t = temperatures_k[i];
            double d = 0.01;
            double cp = swl_air_cp_j_kg_k(&airs[k], t);
            double dh = swl_air_h_j_kg(&airs[k], t + d) - swl_air_h_j_kg(&airs[k], t - d);
            double ds = swl_air_s0_j_kg_k(&airs[k], t + d) - swl_air_s0_j_kg_k(&airs[k], t - d);
            swl_near(cp, dh / (2 * d), 1e-6);
            swl_near(cp / t, ds / (2 * d), 1e-6);
            swl_near(cp / (cp - airs[k].r_j_kg_k), swl_air_gamma(&airs[k], t), 1e-15);
        }
        swl_near(swl_air_cp_j_kg_k(&airs[k], 200), swl_air_cp_j_kg_k(&airs[k], 120), 0);
        swl_near(swl_air_cp_j_kg_k(&airs[k], 1000), swl_air_cp_j_kg_k(&airs[k], 1500), 0);
    }
    assert_true(swl_air_covers(200) && swl_air_covers(1000) && swl_air_covers(300));
    assert_false(swl_air_covers(199.99) || swl_air_covers(1000.01) || swl_air_covers(NAN));
}

static void nan_goes_through(void **state)
{
    (void)state;
    swl_air air = dry_air();
    swl_is_nan(swl_air_cp_j_kg_k(&air, NAN));
    swl_is_nan(swl_air_gamma(&air, NAN));
    swl_is_nan(swl_air_h_j_kg(&air, NAN));
    swl_is_nan(swl_air_s0_j_kg_k(&air, NAN));
    swl_is_nan(swl_air_t_isentropic_k(&air, NAN, 2));
    swl_is_nan(swl_air_t_isentropic_k(&air, 300, NAN));
    swl_is_nan(swl_air_t_of_h_k(&air, 3e5, NAN));
    swl_is_nan(swl_air_humid(NAN, SEA_PA, 0.5).r_j_kg_k);
    swl_is_nan(swl_air_humid(300, NAN, 0.5).r_j_kg_k);
}

/* ---- flow through a restriction ---- */

static void heywood_orifice(void **state)
{
    (void)state;
    /* Calculated from J. B. Heywood, Internal Combustion Engine Fundamentals (1988), eqs C.8 and C.9, g = 1.4. */
    static const struct {
        double p_ratio, phi;
    } rows[] = {{.99, .140662}, {.95, .307641}, {.9, .422581}, {.8, .560661}, {.7, .638317}};
    for (size_t i = 0; i < LENGTH(rows); i++) {
        swl_near_abs(rows[i].phi, swl_flow_orifice(rows[i].p_ratio, 1.4), 0.5e-6);
    }
    swl_near_abs(0.528282, swl_flow_critical_ratio(1.4), 0.5e-6);
    swl_near_abs(0.684731, swl_flow_orifice(0.528282, 1.4), 0.5e-6);
    swl_near_abs(0.684731, swl_flow_orifice(0.1, 1.4), 0.5e-6);
    swl_near_abs(0, swl_flow_orifice(1, 1.4), 0);
    /* A 90 mm bore at 101325 Pa, 298.15 K, coefficient 0.9; R is not stated there, 287.05 gives every digit. */
    double area_m2 = acos(-1.0) / 4 * 0.09 * 0.09;
    double per_phi_kg_s = 0.9 * area_m2 * SEA_PA / sqrt(287.05 * 298.15);
    swl_near_abs(0.392341, per_phi_kg_s * swl_flow_orifice(0.98, 1.4), 0.5e-5);
    swl_near_abs(0.610073, per_phi_kg_s * swl_flow_orifice(0.95, 1.4), 0.5e-5);
    swl_is_nan(swl_flow_orifice(NAN, 1.4));
    swl_is_nan(swl_flow_orifice(0.9, NAN));
}

static void orifice_meets_choking_smoothly(void **state)
{
    (void)state;
    for (double g = 1.25; g < 1.68; g += 0.05) {
        double critical = swl_flow_critical_ratio(g);
        double most = swl_flow_orifice(critical, g);
        /* Heywood eq. C.9: sqrt(g) (2/(g+1))^((g+1)/(2(g-1))). */
        swl_near(sqrt(g) * pow(2 / (g + 1), (g + 1) / (2 * (g - 1))), most, 1e-14);
        swl_near(most, swl_flow_orifice(critical * (1 + 1e-9), g), 1e-14);
        swl_near(most, swl_flow_orifice(critical / 2, g), 0);
        for (double r = critical; r < 0.999; r += 0.01) {
            assert_true(swl_flow_orifice(r, g) > swl_flow_orifice(r + 0.001, g));
        }
    }
}

/* Root of orifice(r) = demand r by halving, knowing nothing of the closed form. */
static double throttle_by_halving(double demand, double g)
{
    double low = 0;
    double high = 1;
    for (int i = 0; i < 200; i++) {
        double middle = (low + high) / 2;
        if (swl_flow_orifice(middle, g) > demand * middle) {
            low = middle;
        } else {
            high = middle;
        }
    }
    return low;
}

static void throttle_closed_form(void **state)
{
    (void)state;
    int choked_rows = 0;
    int open_rows = 0;
    for (double g = 1.3; g < 1.45; g += 0.05) {
        double critical = swl_flow_critical_ratio(g);
        double last = 1;
        for (double demand = 0.01; demand < 6; demand *= 1.1) {
            bool choked = false;
            double ratio = swl_flow_throttle_ratio(demand, g, &choked);
            swl_near(throttle_by_halving(demand, g), ratio, 1e-9);
            swl_near(demand * ratio, swl_flow_orifice(ratio, g), 1e-9);
            assert_true(choked == (ratio <= critical));
            assert_true(ratio < last);
            last = ratio;
            choked_rows += choked;
            open_rows += !choked;
        }
        /* On the edge of choking both branches give the critical ratio. */
        double edge = swl_flow_orifice(critical, g) / critical;
        bool choked = false;
        swl_near(critical, swl_flow_throttle_ratio(edge * (1 - 1e-10), g, &choked), 1e-8);
        assert_false(choked);
        swl_near(critical, swl_flow_throttle_ratio(edge * (1 + 1e-10), g, &choked), 1e-8);
        assert_true(choked);
    }
    assert_true(choked_rows > 10 && open_rows > 10);
    bool choked = true;
    swl_near(1, swl_flow_throttle_ratio(0, 1.4, &choked), 0);
    assert_false(choked);
    swl_is_nan(swl_flow_throttle_ratio(NAN, 1.4, &choked));
}

static void loss_factor(void **state)
{
    (void)state;
    swl_loss loss = {.dp_pa = 1200, .mdot_kg_s = 0.30};
    double k = swl_flow_loss_factor(loss);
    swl_near(16000, k, 1e-15); /* calculated: 1200 * 1.2 / 0.09 */
    swl_near(1200, k * 0.30 * 0.30 / 1.2, 1e-15);
    swl_near(4800, k * 0.60 * 0.60 / 1.2, 1e-15); /* twice the flow, four times the drop */
    swl_near_abs(0, swl_flow_loss_factor((swl_loss){0, 0}), 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(iso_2533_troposphere),
        cmocka_unit_test(saturation_pressure),
        cmocka_unit_test(humid_air_density_and_dew_point),
        cmocka_unit_test(dew_point_of_saturated_air_is_its_temperature),
        cmocka_unit_test(dry_limit),
        cmocka_unit_test(nasa_mixture),
        cmocka_unit_test(nasa_figures_at_298_k),
        cmocka_unit_test(keenan_and_kaye),
        cmocka_unit_test(isentropic_at_constant_k),
        cmocka_unit_test(there_and_back),
        cmocka_unit_test(slopes_are_heat_capacity),
        cmocka_unit_test(nan_goes_through),
        cmocka_unit_test(heywood_orifice),
        cmocka_unit_test(orifice_meets_choking_smoothly),
        cmocka_unit_test(throttle_closed_form),
        cmocka_unit_test(loss_factor),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
