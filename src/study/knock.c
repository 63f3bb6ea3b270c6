#include "sweptline/knock.h"

#include <math.h>
#include <stdlib.h>

#define PI 3.14159265358979323846
#define ATM_PA 101325.0
#define ROD_RATIO 3.5
#define WIEBE_A 5.0
#define WIEBE_M 2.0
#define RETARD_MOST_DEG 40.0

enum { STEPS_PER_DEG = 2 };

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

/* Share burned at an angle in degrees, and its change with the angle in rad. */
static double burned_at(const swl_knock_model *model, double angle_deg, double *slope)
{
    /* Half is burned at the share of the duration where 1 - exp(-a y^(m+1)) is a half. */
    double half = pow(log(2) / WIEBE_A, 1 / (WIEBE_M + 1));
    double y = (angle_deg - model->half_burned_deg) / model->duration_deg + half;
    if (y <= 0) {
        *slope = 0;
        return 0;
    }
    double left = exp(-WIEBE_A * pow(y, WIEBE_M + 1));
    *slope = left * WIEBE_A * (WIEBE_M + 1) * pow(y, WIEBE_M) / (model->duration_deg * PI / 180);
    return 1 - left;
}

/* First law for the cylinder's contents: dp/dangle. */
static double pressure_slope(const swl_knock_model *model, const swl_knock_charge *charge, double angle_deg,
                             double p_pa)
{
    double volume_slope = 0;
    double burned_slope = 0;
    double volume = volume_at(angle_deg * PI / 180, charge->compression_ratio, &volume_slope);
    (void)burned_at(model, angle_deg, &burned_slope);
    double heat_pa = charge->heat_pa * model->heat_kept_frac * burned_slope;
    return ((model->gamma_mixture - 1) * heat_pa - model->gamma_mixture * p_pa * volume_slope) / volume;
}

/* One step of the classical Runge-Kutta method of fourth order; the slopes are smooth and the step short. */
static double pressure_step(const swl_knock_model *model, const swl_knock_charge *charge, double angle_deg, double p_pa,
                            double step_deg)
{
    double h = step_deg * PI / 180;
    double k1 = pressure_slope(model, charge, angle_deg, p_pa);
    double k2 = pressure_slope(model, charge, angle_deg + step_deg / 2, p_pa + h / 2 * k1);
    double k3 = pressure_slope(model, charge, angle_deg + step_deg / 2, p_pa + h / 2 * k2);
    double k4 = pressure_slope(model, charge, angle_deg + step_deg, p_pa + h * k3);
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
    const double step_deg = 1.0 / STEPS_PER_DEG;
    double p_pa = charge->p_pa;
    double rate = ignition_rate(model, charge, p_pa);
    double sum = 0;
    double ignored = 0;
    /* Burning ends at the latest half a revolution after top dead centre. */
    for (int i = 0; i < 360 * STEPS_PER_DEG; i++) {
        double angle_deg = -180 + i * step_deg;
        if (burned_at(model, angle_deg, &ignored) >= 0.9) {
            break;
        }
        p_pa = pressure_step(model, charge, angle_deg, p_pa, step_deg);
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

static double aspirated_t_k(const swl_build *build)
{
    return isnan(build->engine.t_ve_k) ? build->site.t_k : build->engine.t_ve_k;
}

swl_knock_charge swl_knock_charge_aspirated(const swl_build *build, const swl_knock_model *model, double engine_rpm)
{
    swl_air air = swl_air_humid(build->site.t_k, build->site.p_pa, build->site.rh_frac);
    double p_pa = build->site.p_pa;
    double t_k = aspirated_t_k(build);
    swl_aspirated own = swl_engine_aspirated(&build->engine, p_pa, t_k, air.r_j_kg_k, engine_rpm);
    return charge_of(build, model, engine_rpm, p_pa, t_k, own.p_exhaust_pa, own.ve_frac);
}

/* How much later half must be burned for the integral to be what it is without the blower. */
static double retard(const swl_knock_model *model, const swl_knock_charge *charge, double wanted)
{
    swl_knock_model later = *model;
    double low = 0;
    double high = RETARD_MOST_DEG;
    later.half_burned_deg = model->half_burned_deg + high;
    if (!(swl_knock_integral(&later, charge, 1) <= wanted)) {
        return INFINITY;
    }
    for (int i = 0; i < 12; i++) {
        double middle = (low + high) / 2;
        later.half_burned_deg = model->half_burned_deg + middle;
        *(swl_knock_integral(&later, charge, 1) <= wanted ? &high : &low) = middle;
    }
    return (low + high) / 2;
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

static swl_knock_row row_of(const swl_build *build, const swl_point *point)
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
        double ratio = swl_knock_integral(&model, &boosted, 1) / wanted;
        figure_take(&row.ratio, ratio, k == 0);
        figure_take(&row.octane_factor, pow(ratio, 1 / model.octane_power), k == 0);
        figure_take(&row.retard_deg, ratio > 1 ? retard(&model, &boosted, wanted) : 0, k == 0);
    }
    return row;
}

swl_status swl_knock_run(const swl_build *build, swl_knock_study *study, swl_err *err)
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
    if (study->rows == NULL) {
        status = swl_err_set(err, SWL_ERR_MEMORY, "out of memory for the comparison");
    } else {
        study->count = check.line_count;
    }
    for (size_t i = 0; i < study->count && study->rows != NULL; i++) {
        study->rows[i] = row_of(build, &check.line[i]);
    }
    swl_check_free(&check);
    return status;
}

void swl_knock_free(swl_knock_study *study)
{
    free(study->rows);
    *study = (swl_knock_study){0};
}
