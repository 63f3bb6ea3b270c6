#include "sweptline/knock.h"

#include "base/gsl_quiet.h"
#include "sweptline/power.h"

#include <gsl/gsl_errno.h>
#include <gsl/gsl_roots.h>
#include <math.h>
#include <stdlib.h>

#define PI 3.14159265358979323846
#define ATM_PA 101325.0
#define ROD_RATIO 3.5
#define WIEBE_A 5.0
#define WIEBE_M 2.0
#define RETARD_MOST_DEG 40.0
#define STEP_DEG 0.5

swl_knock_model swl_knock_model_default(void)
{
    return (swl_knock_model){
        .pressure_power = 1.7,
        .activation_k = 3800,
        .octane_power = 3.402,
        .half_burned_deg = 8,
        .duration_deg = 50,
        .gamma_unburned = 1.33,
        .gamma_mixture = 1.30,
        .heat_kept_frac = 0.85,
        .residual_k = 1100,
    };
}

/* Cylinder volume over the swept volume at a crank angle after top dead centre, and its change with the angle in rad.
 */
static double volume_at(double angle_rad, double compression_ratio, double *slope)
{
    double s = sin(angle_rad);
    double c = cos(angle_rad);
    double rod = sqrt(ROD_RATIO * ROD_RATIO - s * s);
    *slope = 0.5 * (s + s * c / rod);
    return 1 / (compression_ratio - 1) + 0.5 * (1 + ROD_RATIO - c - rod);
}

/* Where a share is burned, in parts of the duration: the y of 1 - exp(-a y^(m+1)). */
static double burned_place(double share)
{
    return pow(-log(1 - share) / WIEBE_A, 1 / (WIEBE_M + 1));
}

/* Change of the share burned with the angle, per rad. */
static double burning_at(const swl_knock_model *model, double angle_deg)
{
    double y = (angle_deg - model->half_burned_deg) / model->duration_deg + burned_place(0.5);
    if (y <= 0) {
        return 0;
    }
    double left = exp(-WIEBE_A * pow(y, WIEBE_M + 1));
    return left * WIEBE_A * (WIEBE_M + 1) * pow(y, WIEBE_M) / (model->duration_deg * PI / 180);
}

/* What of the first law stands at a crank angle whatever the pressure is. */
typedef struct moment {
    double volume;
    double volume_slope;
    double heat_pa;
} moment;

static moment moment_at(const swl_knock_model *model, const swl_knock_charge *charge, double angle_deg)
{
    moment at;
    at.volume = volume_at(angle_deg * PI / 180, charge->compression_ratio, &at.volume_slope);
    at.heat_pa = charge->heat_pa * model->heat_kept_frac * burning_at(model, angle_deg);
    return at;
}

/* First law for the cylinder's contents: dp/dangle. */
static double pressure_slope(const swl_knock_model *model, const moment *at, double p_pa)
{
    return ((model->gamma_mixture - 1) * at->heat_pa - model->gamma_mixture * p_pa * at->volume_slope) / at->volume;
}

/* One step of the classical Runge-Kutta method of fourth order; the slopes are smooth and the step short. */
static double pressure_step(const swl_knock_model *model, const moment *from, const moment *middle, const moment *to,
                            double p_pa, double step_deg)
{
    double h = step_deg * PI / 180;
    double k1 = pressure_slope(model, from, p_pa);
    double k2 = pressure_slope(model, middle, p_pa + h / 2 * k1);
    double k3 = pressure_slope(model, middle, p_pa + h / 2 * k2);
    double k4 = pressure_slope(model, to, p_pa + h * k3);
    return p_pa + h / 6 * (k1 + 2 * k2 + 2 * k3 + k4);
}

/* 1/tau in 1/s for fuel of 100 octane. */
static double ignition_rate(const swl_knock_model *model, const swl_knock_charge *charge, double p_pa)
{
    double exponent = (model->gamma_unburned - 1) / model->gamma_unburned;
    double t_k = charge->t_k * pow(p_pa / charge->p_pa, exponent);
    return pow(p_pa / ATM_PA, model->pressure_power) * exp(-model->activation_k / t_k) / 17.68e-3;
}

double swl_knock_integral(const swl_knock_model *model, const swl_knock_charge *charge, double octane_share)
{
    /* Burning counts as ended at the latest half a revolution after top dead centre. */
    double end_deg = model->half_burned_deg + model->duration_deg * (burned_place(0.9) - burned_place(0.5));
    end_deg = fmin(end_deg, 180);
    double p_pa = charge->p_pa;
    double rate = ignition_rate(model, charge, p_pa);
    double sum = 0;
    moment from = moment_at(model, charge, -180);
    /* The last step is cut where burning ends, so that the integral has no jumps as the spark moves. */
    int steps = (int)ceil((end_deg + 180) / STEP_DEG);
    for (int i = 0; i < steps; i++) {
        double angle_deg = -180 + i * STEP_DEG;
        double step_deg = fmin(STEP_DEG, end_deg - angle_deg);
        moment middle = moment_at(model, charge, angle_deg + step_deg / 2);
        moment to = moment_at(model, charge, angle_deg + step_deg);
        p_pa = pressure_step(model, &from, &middle, &to, p_pa, step_deg);
        from = to;
        double next = ignition_rate(model, charge, p_pa);
        sum += (rate + next) / 2 * step_deg;
        rate = next;
    }
    double s_per_deg = 1 / (6 * charge->engine_rpm);
    return sum * s_per_deg / pow(octane_share, model->octane_power);
}

/* Temperature at the start of compression from what is trapped: the fresh charge and what the clearance holds. */
static swl_knock_charge charge_of(const swl_build *build, const swl_knock_model *model, double engine_rpm, double p_pa,
                                  double t_k, double exhaust_pa, double ve_frac)
{
    swl_power_basis basis = swl_power_basis_of(build);
    swl_air air = swl_air_humid(build->site.t_k, build->site.p_pa, build->site.rh_frac);
    double r = build->engine.compression_ratio;
    double fresh_kg_m3 = ve_frac * p_pa / (air.r_j_kg_k * t_k);
    double residual_kg_m3 = exhaust_pa / (r - 1) / (air.r_j_kg_k * model->residual_k);
    return (swl_knock_charge){
        .p_pa = p_pa,
        .t_k = p_pa * r / (r - 1) / (air.r_j_kg_k * (fresh_kg_m3 + residual_kg_m3)),
        .heat_pa = fresh_kg_m3 * basis.dry_frac * basis.heat_j_kg,
        .engine_rpm = engine_rpm,
        .compression_ratio = r,
    };
}

swl_knock_charge swl_knock_charge_boosted(const swl_build *build, const swl_knock_model *model, const swl_point *point)
{
    return charge_of(build, model, point->engine_rpm, point->p3_pa, point->t3_k, point->p_e_pa, point->engine_ve_frac);
}

/* T_ve is the charge of a day of 25 degC, as the known power has it; on another day the engine warms its air as much.
 */
static double aspirated_t_k(const swl_build *build)
{
    double warmed_k = isnan(build->engine.t_ve_k) ? 0 : build->engine.t_ve_k - SWL_POWER_REFERENCE_T_K;
    return build->site.t_k + warmed_k;
}

swl_knock_charge swl_knock_charge_aspirated(const swl_build *build, const swl_knock_model *model, double engine_rpm)
{
    swl_air air = swl_air_humid(build->site.t_k, build->site.p_pa, build->site.rh_frac);
    double p_pa = build->site.p_pa;
    double t_k = aspirated_t_k(build);
    swl_aspirated own = swl_engine_aspirated(&build->engine, p_pa, t_k, air.r_j_kg_k, engine_rpm);
    return charge_of(build, model, engine_rpm, p_pa, t_k, own.p_exhaust_pa, own.ve_frac);
}

/* The search for the angle at which an integral is what is wanted; what is known at its ends is not asked anew. */
typedef struct search {
    const swl_knock_model *model;
    const swl_knock_charge *charge;
    double wanted;
    double at_none; /* the integral with no retard */
    double at_most; /* and with the most */
} search;

/* Logarithm of the integral over the wanted one, which is close to straight in the retard. */
static double excess(double later_deg, void *params)
{
    const search *s = params;
    swl_knock_model later = *s->model;
    later.half_burned_deg += later_deg;
    double integral = later_deg <= 0                 ? s->at_none
                      : later_deg >= RETARD_MOST_DEG ? s->at_most
                                                     : swl_knock_integral(&later, s->charge, 1);
    return log(integral / s->wanted);
}

/* How much later half must be burned for the integral to be what it is without the blower, by Brent's method (R. P.
 * Brent, Algorithms for Minimization without Derivatives, 1973; computed by the GNU Scientific Library). */
static double retard(gsl_root_fsolver *brent, const swl_knock_model *model, const swl_knock_charge *charge,
                     double wanted, double boosted)
{
    swl_knock_model latest = *model;
    latest.half_burned_deg += RETARD_MOST_DEG;
    search s = {model, charge, wanted, boosted, swl_knock_integral(&latest, charge, 1)};
    if (!(s.at_most <= wanted)) {
        return INFINITY;
    }
    gsl_function function = {excess, &s};
    int code = gsl_root_fsolver_set(brent, &function, 0, RETARD_MOST_DEG);
    for (int i = 0; i < 60 && code == GSL_SUCCESS; i++) {
        code = gsl_root_fsolver_iterate(brent);
        if (gsl_root_test_interval(gsl_root_fsolver_x_lower(brent), gsl_root_fsolver_x_upper(brent), 1e-3, 0) ==
            GSL_SUCCESS) {
            break;
        }
    }
    return code == GSL_SUCCESS ? gsl_root_fsolver_root(brent) : (double)NAN;
}

static void figure_take(swl_knock_figure *figure, double value, bool first)
{
    if (first) {
        *figure = (swl_knock_figure){value, value, value};
    } else {
        figure->low = fmin(figure->low, value);
        figure->high = fmax(figure->high, value);
    }
}

/* The model and its numbers varied by what is not known of them; the spread rests on these. */
enum { VARIANTS = 15 };

static swl_knock_model variant(size_t k)
{
    swl_knock_model model = swl_knock_model_default();
    double sign = k % 2 == 1 ? 1 : -1;
    switch ((k + 1) / 2) {
    case 1:
        model.pressure_power += sign * 0.3;
        break;
    case 2:
        model.activation_k += sign * 500;
        break;
    case 3:
        model.half_burned_deg += sign * 4;
        break;
    case 4:
        model.duration_deg += sign * 10;
        break;
    case 5:
        model.gamma_unburned += sign * 0.02;
        break;
    case 6:
        model.heat_kept_frac += sign * 0.05;
        break;
    case 7:
        model.residual_k += sign * 200;
        break;
    default:
        break;
    }
    return model;
}

static swl_knock_row row_of(gsl_root_fsolver *brent, const swl_build *build, const swl_point *point)
{
    swl_knock_row row = {
        .engine_rpm = point->engine_rpm,
        .on_map = point->map_where == SWL_MAP_INSIDE,
        .p3_pa = point->p3_pa,
        .t3_k = point->t3_k,
        .p_na_pa = build->site.p_pa,
        .t_na_k = aspirated_t_k(build),
    };
    for (size_t k = 0; k < VARIANTS; k++) {
        swl_knock_model model = variant(k);
        swl_knock_charge boosted = swl_knock_charge_boosted(build, &model, point);
        swl_knock_charge aspirated = swl_knock_charge_aspirated(build, &model, point->engine_rpm);
        double wanted = swl_knock_integral(&model, &aspirated, 1);
        double integral = swl_knock_integral(&model, &boosted, 1);
        double ratio = integral / wanted;
        figure_take(&row.ratio, ratio, k == 0);
        figure_take(&row.octane_factor, pow(ratio, 1 / model.octane_power), k == 0);
        figure_take(&row.retard_deg, ratio > 1 ? retard(brent, &model, &boosted, wanted, integral) : 0, k == 0);
    }
    return row;
}

swl_status swl_knock_run(const swl_build *build, const swl_progress *progress, swl_knock_study *study, swl_err *err)
{
    *study = (swl_knock_study){0};
    if (isnan(build->engine.compression_ratio)) {
        return swl_err_set(err, SWL_ERR_USAGE, "the comparison wants compression_ratio in [engine]");
    }
    swl_check check = {0};
    swl_status status = swl_check_run(build, &check, err);
    if (status != SWL_OK) {
        return status;
    }
    study->exceeded = check.exceeded;
    study->rows = calloc(check.line_count, sizeof *study->rows);
    swl_gsl_quiet();
    gsl_root_fsolver *brent = gsl_root_fsolver_alloc(gsl_root_fsolver_brent);
    if (study->rows == NULL || brent == NULL) {
        status = swl_err_set(err, SWL_ERR_MEMORY, "out of memory for the comparison");
    } else {
        study->count = check.line_count;
    }
    for (size_t i = 0; i < study->count; i++) {
        study->rows[i] = row_of(brent, build, &check.line[i]);
        swl_progress_tell(progress, "comparing charges", i + 1, study->count);
    }
    if (brent != NULL) {
        gsl_root_fsolver_free(brent);
    }
    swl_check_free(&check);
    return status;
}

void swl_knock_free(swl_knock_study *study)
{
    free(study->rows);
    *study = (swl_knock_study){0};
}
