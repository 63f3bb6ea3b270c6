#include "sweptline/sensitivity.h"

#include <math.h>
#include <stdlib.h>

/* A change of a copied build. Returns: false when the build has no such part, or no memory is left. */
typedef bool sensitivity_change(swl_build *build);

static bool more_ve(swl_build *build)
{
    /* The engine's flow holds volumetric efficiency and displacement as a product. */
    build->engine.disp_m3 *= 1.01;
    return true;
}

static bool more_filling(swl_build *build)
{
    build->blower.disp_m3_rev *= 1.01;
    return true;
}

static bool more_slip(swl_build *build)
{
    build->drive.slip_frac += 0.01;
    return true;
}

static bool larger_pulley(swl_build *build)
{
    build->drive.d_blower_m += 0.001;
    return true;
}

static bool warmer_site(swl_build *build)
{
    build->site.t_k += 1;
    return true;
}

static bool more_site_pressure(swl_build *build)
{
    build->site.p_pa += 1000;
    return true;
}

static bool better_cooler(swl_build *build)
{
    swl_cooler *cooler = &build->cooler;
    bool has = cooler->effectiveness_frac > 0 && cooler->effectiveness_frac <= 0.99;
    cooler->effectiveness_frac += 0.01;
    return has;
}

static bool warmer_coolant(swl_build *build)
{
    build->cooler.t_coolant_k += 1;
    return swl_cooler_there(&build->cooler) && !swl_cooler_has_loop(&build->cooler);
}

static bool more_ua(swl_build *build)
{
    build->cooler.ua_w_k *= 1.1;
    return build->cooler.ua_w_k > 0;
}

static bool more_coolant(swl_build *build)
{
    build->cooler.coolant_m3_s *= 1.1;
    return swl_cooler_has_loop(&build->cooler) || build->cooler.ua_w_k > 0;
}

static bool more_front_air(swl_build *build)
{
    build->cooler.front_air_kg_s *= 1.1;
    return swl_cooler_has_loop(&build->cooler);
}

static bool more_back_pressure(swl_build *build)
{
    build->engine.back_pressure.dp_pa *= 1.1;
    return build->engine.back_pressure.dp_pa > 0 && build->engine.ve_p_ideal;
}

static bool smaller_throttle(swl_build *build)
{
    build->intake.discharge_coefficient -= 0.05;
    return !isnan(build->intake.bore_m) && build->intake.discharge_coefficient > 0;
}

static size_t map_points(const swl_map *map)
{
    size_t count = 0;
    for (size_t i = 0; i < swl_map_line_count(map); i++) {
        count += swl_map_line_at(map, i).count;
    }
    return count;
}

/* Puts a map of its own into the build, one point better. Returns: the map to free, NULL when out of memory. */
static swl_map *map_better(const swl_map *map)
{
    size_t count = map_points(map);
    swl_map_row *rows = count > 0 ? calloc(count, sizeof *rows) : NULL;
    if (rows == NULL) {
        return NULL;
    }
    size_t n = 0;
    for (size_t i = 0; i < swl_map_line_count(map); i++) {
        swl_map_line line = swl_map_line_at(map, i);
        for (size_t k = 0; k < line.count; k++) {
            rows[n++] = (swl_map_row){.speed_rpm = line.speed_rpm,
                                      .p_ratio = line.p_ratio[k],
                                      .ev_frac = line.ev_frac[k],
                                      .ea_frac = line.ea_frac[k] + 0.01};
        }
    }
    swl_map *better = swl_map_new(rows, count, NULL);
    free(rows);
    return better;
}

static const struct {
    const char *name;
    const char *words;
    sensitivity_change *change; /* NULL: the map, which is made anew */
} changes[] = {
    {"engine_volumetric_efficiency", "engine volumetric efficiency 1 % more", more_ve},
    {"blower_adiabatic_efficiency", "map's adiabatic efficiency 1 point more", NULL},
    {"blower_volumetric_efficiency", "map's flow 1 % more", more_filling},
    {"slip", "belt slip 1 point more", more_slip},
    {"blower_pulley", "blower pulley 1 mm larger", larger_pulley},
    {"cooler_effectiveness", "cooler effectiveness 1 point more", better_cooler},
    {"coolant_temperature", "coolant 1 K warmer", warmer_coolant},
    {"cooler_ua", "cooler UA 10 % more", more_ua},
    {"coolant_flow", "pump flow 10 % more", more_coolant},
    {"front_air_flow", "front exchanger's air 10 % more", more_front_air},
    {"site_temperature", "site 1 K warmer", warmer_site},
    {"site_pressure", "site pressure 1 kPa more", more_site_pressure},
    {"back_pressure", "back pressure 10 % more", more_back_pressure},
    {"throttle_coefficient", "throttle coefficient 0.05 less", smaller_throttle},
};

enum { CHANGES = sizeof changes / sizeof changes[0] };
_Static_assert((int)CHANGES <= (int)SWL_SENSITIVITY_MAX, "every change has a row");

static swl_status solve(swl_match *match, const swl_build *build, double engine_rpm, const char *words,
                        swl_point *point, swl_err *err)
{
    swl_match_set(match, build);
    *point = swl_match_point(match, engine_rpm);
    if (point->end != SWL_MATCH_SOLVED) {
        return swl_err_set(err, SWL_ERR_SOLVE, "no operating point at %.6g rpm with %s: %s", engine_rpm, words,
                           swl_match_reason(point->end));
    }
    return SWL_OK;
}

static swl_status change_solve(swl_match *match, const swl_build *build, size_t k, const swl_point *base,
                               swl_sensitivity *out, swl_err *err)
{
    /* A flat copy: the curve and the map stay the original's. */
    swl_build changed = *build;
    swl_map *better = NULL;
    if (changes[k].change == NULL) {
        better = map_better(build->blower.map);
        if (better == NULL) {
            return swl_err_set(err, SWL_ERR_MEMORY, "out of memory for a changed map");
        }
        changed.blower.map = better;
    } else if (!changes[k].change(&changed)) {
        return SWL_OK;
    }
    swl_point point;
    swl_status status = solve(match, &changed, base->engine_rpm, changes[k].words, &point, err);
    if (status == SWL_OK) {
        out->rows[out->count++] = (swl_sensitivity_row){
            .name = changes[k].name,
            .words = changes[k].words,
            .d_boost_pa = point.boost_pa - base->boost_pa,
            .d_mdot_kg_s = point.mdot_kg_s - base->mdot_kg_s,
            .d_t2_k = point.t2_k - base->t2_k,
            .d_t3_k = point.t3_k - base->t3_k,
            .d_p_shaft_w = point.p_shaft_w - base->p_shaft_w,
        };
    }
    swl_match_set(match, build);
    swl_map_free(better);
    return status;
}

swl_status swl_sensitivity_run(const swl_build *build, double engine_rpm, swl_sensitivity *out, swl_err *err)
{
    *out = (swl_sensitivity){.engine_rpm = engine_rpm};
    swl_match *match = swl_match_new(build, err);
    if (match == NULL) {
        return SWL_ERR_MEMORY;
    }
    swl_point base;
    swl_status status = solve(match, build, engine_rpm, "the build as it is", &base, err);
    for (size_t k = 0; k < CHANGES && status == SWL_OK; k++) {
        status = change_solve(match, build, k, &base, out, err);
    }
    swl_match_free(match);
    return status;
}
