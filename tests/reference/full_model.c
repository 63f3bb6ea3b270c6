#include "reference/full_model.h"

#include "reference/full_water.h"

#include <gsl/gsl_errno.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#define PI 3.14159265358979323846
#define GAMMA_CYCLE 1.4

static void *not_null(void *memory)
{
    if (memory == NULL) {
        (void)fputs("full: out of memory\n", stderr);
        exit(2);
    }
    return memory;
}

/* ---- curves and map ---- */

static gsl_interp *interp_new(size_t count)
{
    return count < 2 ? NULL : not_null(gsl_interp_alloc(count > 2 ? gsl_interp_steffen : gsl_interp_linear, count));
}

static full_curve curve_of(const double *x, const double *y, size_t count)
{
    full_curve curve = {.x = x, .y = y, .count = count, .interp = interp_new(count)};
    if (curve.interp != NULL) {
        (void)gsl_interp_init(curve.interp, x, y, count);
    }
    return curve;
}

static double within(double x, double low, double high)
{
    return x < low ? low : x > high ? high : x;
}

static double curve_at(const full_curve *curve, double x)
{
    if (curve->interp == NULL) {
        return curve->y[0];
    }
    double at = within(x, curve->x[0], curve->x[curve->count - 1]);
    return gsl_interp_eval(curve->interp, curve->x, curve->y, at, NULL);
}

static void map_init(full_map *map, const swl_map *from)
{
    map->count = swl_map_line_count(from);
    for (size_t i = 0; i < map->count; i++) {
        swl_map_line line = swl_map_line_at(from, i);
        map->speed_rpm[i] = line.speed_rpm;
        map->ev[i] = curve_of(line.p_ratio, line.ev_frac, line.count);
        map->ea[i] = curve_of(line.p_ratio, line.ea_frac, line.count);
    }
    map->across = interp_new(map->count);
}

static double map_at(const full_map *map, const full_curve *lines, double corrected_rpm, double p_ratio)
{
    double value[SWL_MAP_LINES_MAX];
    for (size_t i = 0; i < map->count; i++) {
        value[i] = curve_at(&lines[i], p_ratio);
    }
    double at_rpm = within(corrected_rpm, map->speed_rpm[0], map->speed_rpm[map->count - 1]);
    (void)gsl_interp_init(map->across, map->speed_rpm, value, map->count);
    return gsl_interp_eval(map->across, map->speed_rpm, value, at_rpm, NULL);
}

/* "A point is inside the map when its speed lies between two lines that both cover its pressure ratio." */
static unsigned map_where(const full_map *map, double corrected_rpm, double p_ratio)
{
    size_t last = map->count - 1;
    unsigned where = corrected_rpm < map->speed_rpm[0] ? SWL_MAP_BELOW_SLOWEST : 0;
    where |= corrected_rpm > map->speed_rpm[last] ? SWL_MAP_ABOVE_FASTEST : 0;
    for (size_t i = 0; i <= last; i++) {
        /* A line bounds the point when no other line stands between them. */
        bool slower = map->speed_rpm[i] <= corrected_rpm && (i == last || map->speed_rpm[i + 1] > corrected_rpm);
        bool faster = map->speed_rpm[i] >= corrected_rpm && (i == 0 || map->speed_rpm[i - 1] < corrected_rpm);
        if (slower || faster) {
            const full_curve *line = &map->ev[i];
            where |= p_ratio < line->x[0] ? SWL_MAP_BELOW_RATIO : 0;
            where |= p_ratio > line->x[line->count - 1] ? SWL_MAP_ABOVE_RATIO : 0;
        }
    }
    return where;
}

/* ---- the model's constants ---- */

/* (14) */
static double loss_factor(swl_loss loss)
{
    return loss.dp_pa > 0 ? 1.2 * loss.dp_pa / (loss.mdot_kg_s * loss.mdot_kg_s) : 0;
}

full_model *full_model_new(const swl_build *build)
{
    full_model *model = not_null(calloc(1, sizeof *model));
    const swl_intake *intake = &build->intake;
    model->build = build;
    map_init(&model->map, build->blower.map);
    const swl_curve *ve = build->engine.ve;
    model->ve = curve_of(swl_curve_x(ve), swl_curve_y(ve), swl_curve_count(ve));
    model->root = not_null(gsl_root_fsolver_alloc(gsl_root_fsolver_brent));
    model->p0_pa = build->site.p_pa;
    model->t0_k = build->site.t_k;
    model->air = swl_air_humid(model->t0_k, model->p0_pa, build->site.rh_frac);
    model->t1_k = model->t0_k + intake->heat_pickup_k; /* (8) */
    model->h1_j_kg = swl_air_h_j_kg(&model->air, model->t1_k);
    model->cp1_j_kg_k = swl_air_cp_j_kg_k(&model->air, model->t1_k);
    model->gamma0 = swl_air_gamma(&model->air, model->t0_k);
    model->rho0_kg_m3 = model->p0_pa / (model->air.r_j_kg_k * model->t0_k);
    double bores_m2 = PI / 4 * intake->bore_m * intake->bore_m * intake->throttle_count;
    model->area_m2 = isnan(intake->bore_m) ? 0 : intake->discharge_coefficient * bores_m2;
    model->loss_intake = loss_factor(intake->loss);
    model->loss_cooler = loss_factor(build->cooler.loss);
    return model;
}

void full_model_free(full_model *model)
{
    for (size_t i = 0; i < model->map.count; i++) {
        gsl_interp_free(model->map.ev[i].interp);
        gsl_interp_free(model->map.ea[i].interp);
    }
    gsl_interp_free(model->map.across);
    gsl_interp_free(model->ve.interp);
    gsl_root_fsolver_free(model->root);
    free(model);
}

void full_model_speed(full_model *model, double engine_rpm)
{
    const swl_drive *drive = &model->build->drive;
    const swl_blower *blower = &model->build->blower;
    double b_m = drive->line_differential_m;
    model->engine_rpm = engine_rpm;
    model->blower_rpm = engine_rpm * (drive->d_crank_m + 2 * b_m) / (drive->d_blower_m + 2 * b_m) * blower->gear_ratio *
                        drive->jackshaft_ratio * (1 - drive->slip_frac);            /* (7) */
    model->corrected_rpm = model->blower_rpm * sqrt(blower->t_map_k / model->t1_k); /* (8) */
    model->ve_curve_frac = curve_at(&model->ve, engine_rpm);
}

/* ---- the equations ---- */

double full_critical_ratio(double gamma)
{
    return pow(2 / (gamma + 1), gamma / (gamma - 1));
}

/* (11), squared: f has an endless slope where there is no drop, its square has none. Past no drop it goes on below 0.
 */
static double orifice_squared(double p_ratio, double gamma)
{
    double x = fmax(p_ratio, full_critical_ratio(gamma));
    return pow(x, 2 / gamma) * 2 * gamma / (gamma - 1) * (1 - pow(x, (gamma - 1) / gamma));
}

/* (10), both sides squared, over p_t. */
static double throttle_left(const full_model *model, const full_unknowns *u)
{
    if (model->area_m2 <= 0) {
        return 1 - u->p1_pa / u->p_t_pa;
    }
    double share = u->mdot_kg_s / (model->area_m2 * u->p_t_pa);
    return share * share * model->air.r_j_kg_k * model->t0_k - orifice_squared(u->p1_pa / u->p_t_pa, model->gamma0);
}

/* (9) and the map's two readings. */
static void map_left(const full_model *model, const full_unknowns *u, double left[3])
{
    double p_ratio = u->p2_pa / u->p1_pa;
    left[0] = u->ev_frac - map_at(&model->map, model->map.ev, model->corrected_rpm, p_ratio);
    left[1] = u->ea_frac - map_at(&model->map, model->map.ea, model->corrected_rpm, p_ratio);
    left[2] = 1 - u->ev_frac * model->build->blower.disp_m3_rev * model->blower_rpm / 60 / u->vdot1_m3_s;
}

typedef struct work {
    double shaft_w;
    double rise_j_kg; /* h2 - h1 */
} work;

/* (17) or (18), and what stands below them for a ratio under 1, given the unknowns on their right. */
static work work_of(const full_model *model, const full_unknowns *u)
{
    const swl_blower *blower = &model->build->blower;
    double em = blower->mechanical_eff_frac;
    double ideal_j_kg = swl_air_h_j_kg(&model->air, u->t2s_k) - model->h1_j_kg;
    double actual_j_kg = swl_air_h_j_kg(&model->air, u->t2_k) - model->h1_j_kg;
    bool driven = u->p2_pa < u->p1_pa;
    if (blower->efficiency_from == SWL_FROM_TEMPERATURE_RISE) {
        return (work){.rise_j_kg = driven ? ideal_j_kg * u->ea_frac : ideal_j_kg / u->ea_frac,
                      .shaft_w = driven ? u->mdot_kg_s * actual_j_kg * em : u->mdot_kg_s * actual_j_kg / em};
    }
    double shaft_j_kg = u->p_shaft_w / u->mdot_kg_s;
    return (work){.shaft_w = driven ? u->mdot_kg_s * ideal_j_kg * u->ea_frac : u->mdot_kg_s * ideal_j_kg / u->ea_frac,
                  .rise_j_kg = driven ? shaft_j_kg / em : shaft_j_kg * em};
}

/* (16), then (17) or (18). */
static void compression_left(const full_model *model, const full_unknowns *u, double left[3])
{
    const swl_air *air = &model->air;
    double rise_s0 = swl_air_s0_j_kg_k(air, u->t2s_k) - swl_air_s0_j_kg_k(air, model->t1_k);
    double scale_j_kg = model->cp1_j_kg_k * model->t1_k;
    work w = work_of(model, u);
    left[0] = rise_s0 / air->r_j_kg_k - log(u->p2_pa / u->p1_pa);
    left[1] = (swl_air_h_j_kg(air, u->t2_k) - model->h1_j_kg - w.rise_j_kg) / scale_j_kg;
    left[2] = (u->p_shaft_w - w.shaft_w) / (u->mdot_kg_s * scale_j_kg);
}

/* (19), T3. */
static double cooled_k(const full_model *model, const full_unknowns *u)
{
    return u->t2_k - full_core_share(model, u) * (u->t2_k - u->t_coolant_in_k);
}

/* (19), p2 - p3. */
static double cooler_drop_pa(const full_model *model, const full_unknowns *u)
{
    double rho2_kg_m3 = u->p2_pa / (model->air.r_j_kg_k * u->t2_k);
    return model->loss_cooler * u->mdot_kg_s * u->mdot_kg_s / rho2_kg_m3;
}

/* (20) */
static double exhaust_pa(const full_model *model, double mdot_kg_s)
{
    swl_loss back = model->build->engine.back_pressure;
    double share = back.dp_pa > 0 ? mdot_kg_s / back.mdot_kg_s : 0;
    return model->p0_pa + back.dp_pa * share * share;
}

/* F of (23) */
static double ideal_cycle(double compression_ratio, double y)
{
    return compression_ratio / (compression_ratio - 1) -
           (y + GAMMA_CYCLE - 1) / (GAMMA_CYCLE * (compression_ratio - 1));
}

/* VE(N) f_T f_p with (22) and (23), not below 0. */
static double ve_corrected(const full_model *model, double t3_k, double p_exhaust_ratio)
{
    const swl_engine *engine = &model->build->engine;
    double f_t = engine->ve_t_sqrt ? sqrt(t3_k / engine->t_ve_k) : 1;
    double f_p = 1;
    if (engine->ve_p_ideal) {
        f_p = ideal_cycle(engine->compression_ratio, p_exhaust_ratio) /
              ideal_cycle(engine->compression_ratio, engine->ve_p_exhaust_ratio);
    }
    return fmax(model->ve_curve_frac * f_t * f_p, 0);
}

/* (21), VE being what the two corrections left of it. */
static double engine_kg_s(const full_model *model, const full_unknowns *u)
{
    return u->ve_frac * u->p3_pa * model->build->engine.disp_m3 * model->engine_rpm /
           (120 * model->air.r_j_kg_k * u->t3_k);
}

void full_residuals(const full_model *model, const full_unknowns *u, double left[FULL_UNKNOWNS])
{
    double m2 = u->mdot_kg_s * u->mdot_kg_s;
    map_left(model, u, left); /* (8), (9) */
    left[3] = throttle_left(model, u);
    left[4] = 1 - u->p1_pa * u->vdot1_m3_s / (model->air.r_j_kg_k * model->t1_k) / u->mdot_kg_s;       /* before (12) */
    left[5] = (u->p_t_pa - model->p0_pa + model->loss_intake * m2 / model->rho0_kg_m3) / model->p0_pa; /* (14) */
    compression_left(model, u, left + 6); /* (16) to (18) */
    left[9] = 1 - cooled_k(model, u) / u->t3_k;
    left[10] = (u->p3_pa - u->p2_pa + cooler_drop_pa(model, u)) / model->p0_pa;
    left[11] = (u->p_e_pa - exhaust_pa(model, u->mdot_kg_s)) / model->p0_pa;
    left[12] = (u->ve_frac - ve_corrected(model, u->t3_k, u->p_e_pa / u->p3_pa)) / model->ve_curve_frac;
    left[13] = 1 - engine_kg_s(model, u) / u->mdot_engine_kg_s;
    left[14] = 1 - u->mdot_engine_kg_s / u->mdot_kg_s; /* (24) */
    full_water_left(model, u, left + 15);              /* (W6) */
}

/* ---- the set at a given pressure ratio ---- */

typedef struct intake_context {
    const full_model *model;
    double vdot1_m3_s;
} intake_context;

/* What (10) lets through, or (14) alone without a throttle body, less a flow. Falls as the flow rises. */
static double intake_left(double mdot_kg_s, void *context)
{
    const intake_context *c = context;
    const full_model *model = c->model;
    double r_gas = model->air.r_j_kg_k;
    double p_t_pa = model->p0_pa - model->loss_intake * mdot_kg_s * mdot_kg_s / model->rho0_kg_m3;
    double p1_pa = mdot_kg_s * r_gas * model->t1_k / c->vdot1_m3_s;
    if (model->area_m2 <= 0) {
        return p_t_pa * c->vdot1_m3_s / (r_gas * model->t1_k) - mdot_kg_s;
    }
    if (p1_pa >= p_t_pa) {
        return -mdot_kg_s;
    }
    double f = sqrt(orifice_squared(p1_pa / p_t_pa, model->gamma0));
    return model->area_m2 * p_t_pa * f / sqrt(r_gas * model->t0_k) - mdot_kg_s;
}

static double intake_kg_s(const full_model *model, double vdot1_m3_s)
{
    intake_context context = {.model = model, .vdot1_m3_s = vdot1_m3_s};
    gsl_function left = {.function = intake_left, .params = &context};
    double high_kg_s = vdot1_m3_s * model->p0_pa / (model->air.r_j_kg_k * model->t1_k) * 1.000001;
    (void)gsl_root_fsolver_set(model->root, &left, high_kg_s * 1e-6, high_kg_s);
    for (int i = 0; i < 100; i++) {
        (void)gsl_root_fsolver_iterate(model->root);
        if (gsl_root_test_interval(gsl_root_fsolver_x_lower(model->root), gsl_root_fsolver_x_upper(model->root), 0,
                                   1e-13) == GSL_SUCCESS) {
            break;
        }
    }
    return gsl_root_fsolver_root(model->root);
}

static void reduced_compression(const full_model *model, double p_ratio, full_unknowns *u)
{
    const swl_blower *blower = &model->build->blower;
    const swl_air *air = &model->air;
    u->t2s_k = swl_air_t_isentropic_k(air, model->t1_k, p_ratio);
    double ideal_j_kg = swl_air_h_j_kg(air, u->t2s_k) - model->h1_j_kg;
    double ea = p_ratio < 1 ? 1 / u->ea_frac : u->ea_frac;
    double em = p_ratio < 1 ? 1 / blower->mechanical_eff_frac : blower->mechanical_eff_frac;
    bool from_power = blower->efficiency_from == SWL_FROM_SHAFT_POWER;
    double rise_j_kg = ideal_j_kg / ea * (from_power ? em : 1);
    u->p_shaft_w = u->mdot_kg_s * rise_j_kg / em;
    u->t2_k = swl_air_t_of_h_k(air, model->h1_j_kg + rise_j_kg, model->t1_k + rise_j_kg / model->cp1_j_kg_k);
}

double full_reduced(const full_model *model, double p_ratio, full_unknowns *u)
{
    u->ev_frac = map_at(&model->map, model->map.ev, model->corrected_rpm, p_ratio);
    u->ea_frac = map_at(&model->map, model->map.ea, model->corrected_rpm, p_ratio);
    u->vdot1_m3_s = u->ev_frac * model->build->blower.disp_m3_rev * model->blower_rpm / 60;
    u->mdot_kg_s = intake_kg_s(model, u->vdot1_m3_s);
    u->p_t_pa = model->p0_pa - model->loss_intake * u->mdot_kg_s * u->mdot_kg_s / model->rho0_kg_m3;
    u->p1_pa = u->mdot_kg_s * model->air.r_j_kg_k * model->t1_k / u->vdot1_m3_s;
    u->p2_pa = p_ratio * u->p1_pa;
    reduced_compression(model, p_ratio, u);
    full_water_reduced(model, u);
    u->p3_pa = u->p2_pa - cooler_drop_pa(model, u);
    u->p_e_pa = exhaust_pa(model, u->mdot_kg_s);
    /* "where the cooler's loss would eat all of p2, m_e = 0" */
    u->ve_frac = u->p3_pa > 0 ? ve_corrected(model, u->t3_k, u->p_e_pa / u->p3_pa) : 0;
    u->mdot_engine_kg_s = engine_kg_s(model, u);
    return 1 - u->mdot_engine_kg_s / u->mdot_kg_s;
}

full_unknowns full_guess(const full_model *model, double p_ratio)
{
    const swl_blower *blower = &model->build->blower;
    full_unknowns u = {.p_t_pa = 0.98 * model->p0_pa, .ev_frac = 0.85, .ea_frac = 0.6, .ve_frac = 0.85};
    u.p1_pa = 0.97 * u.p_t_pa;
    u.p2_pa = p_ratio * u.p1_pa;
    u.p3_pa = 0.98 * u.p2_pa;
    u.p_e_pa = 1.05 * model->p0_pa;
    u.t2s_k = model->t1_k * pow(p_ratio, 2.0 / 7);
    u.t2_k = model->t1_k + (u.t2s_k - model->t1_k) / u.ea_frac;
    u.vdot1_m3_s = u.ev_frac * blower->disp_m3_rev * model->blower_rpm / 60;
    u.mdot_kg_s = u.p1_pa * u.vdot1_m3_s / (model->air.r_j_kg_k * model->t1_k);
    full_water_reduced(model, &u);
    u.mdot_engine_kg_s = u.mdot_kg_s;
    u.p_shaft_w = u.mdot_kg_s * model->cp1_j_kg_k * (u.t2_k - model->t1_k);
    return u;
}

/* ---- results ---- */

static void point_results(const full_model *model, const full_unknowns *u, swl_point *p)
{
    const swl_blower *blower = &model->build->blower;
    const swl_air *air = &model->air;
    p->boost_pa = u->p3_pa - model->p0_pa;                                                /* (25) */
    p->torque_nm = u->p_shaft_w / (2 * PI * model->blower_rpm / blower->gear_ratio / 60); /* (25) */
    p->map_vdot_m3_s = u->ev_frac * blower->disp_m3_rev * model->corrected_rpm / 60;      /* (9) at Nc */
    p->q_cooler_w = u->mdot_kg_s * (swl_air_h_j_kg(air, u->t2_k) - swl_air_h_j_kg(air, u->t3_k));
    full_water_point(model, u, p);
    p->map_where = map_where(&model->map, model->corrected_rpm, p->p_ratio);
    p->ve_held = model->engine_rpm < model->ve.x[0] || model->engine_rpm > model->ve.x[model->ve.count - 1];
    p->choked = model->area_m2 > 0 && u->p1_pa / u->p_t_pa <= full_critical_ratio(model->gamma0); /* (13) */
    p->below_dew_point = swl_air_saturation_pa(u->t3_k) < air->x_water * u->p3_pa;
}

swl_point full_point(const full_model *model, const full_unknowns *u)
{
    swl_point p = {.engine_rpm = model->engine_rpm,
                   .blower_rpm = model->blower_rpm,
                   .corrected_rpm = model->corrected_rpm,
                   .p_ratio = u->p2_pa / u->p1_pa,
                   .p_t_pa = u->p_t_pa,
                   .p1_pa = u->p1_pa,
                   .p2_pa = u->p2_pa,
                   .p3_pa = u->p3_pa,
                   .p_e_pa = u->p_e_pa,
                   .t1_k = model->t1_k,
                   .t2s_k = u->t2s_k,
                   .t2_k = u->t2_k,
                   .t3_k = u->t3_k,
                   .mdot_kg_s = u->mdot_kg_s,
                   .vdot1_m3_s = u->vdot1_m3_s,
                   .ev_frac = u->ev_frac,
                   .ea_frac = u->ea_frac,
                   .engine_ve_frac = u->ve_frac,
                   .p_shaft_w = u->p_shaft_w};
    point_results(model, u, &p);
    return p;
}
