#include "sweptline/fueling.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

static swl_fueling_fuel fuel_row(const swl_build *build, const swl_check *check, const swl_fuel *fuel)
{
    /* A flat copy: curves and map stay the original's. */
    swl_build changed = *build;
    (void)snprintf(changed.engine.fuel, sizeof changed.engine.fuel, "%s", fuel->name);
    swl_power_basis basis = swl_power_basis_of(&changed);
    swl_fueling_fuel row = {.fuel = fuel, .duty_frac = -1, .pump_share = NAN};
    for (size_t i = 0; i < check->line_count; i++) {
        swl_power power = swl_power_at(&changed, &basis, &check->line[i]);
        swl_supply supply = swl_supply_at(&changed, &basis, &check->line[i], &power);
        row.fuel_kg_s = fmax(row.fuel_kg_s, supply.fuel_kg_s);
        row.pump_share = fmax(row.pump_share, supply.fuel_kg_s / supply.pump_kg_s);
        if (supply.duty_frac > row.duty_frac) {
            row.duty_frac = supply.duty_frac;
            row.engine_rpm = check->line[i].engine_rpm;
        }
    }
    return row;
}

static void fill(const swl_build *build, const swl_check *check, swl_fueling *study)
{
    double worst = 0;
    for (size_t i = 0; i < study->count; i++) {
        study->engine_rpm[i] = check->line[i].engine_rpm;
        study->rows[i] = swl_supply_at(build, &check->basis, &check->line[i], &check->power[i]);
        worst = fmax(worst, study->rows[i].duty_frac);
    }
    const swl_injection *injection = &build->injection;
    study->injectors = swl_supply_injectors(build);
    study->duty_limit_frac = isnan(build->limits.injector_duty_frac) ? 1 : build->limits.injector_duty_frac;
    study->injector_rated_kg_s =
        swl_injection_flow_kg_s(injection, check->basis.fuel->density_kg_m3, injection->rating.dp_pa);
    study->injector_least_kg_s = study->injector_rated_kg_s * worst / study->duty_limit_frac;
    study->fuel = check->basis.fuel;
    study->lambda = check->basis.lambda;
    study->exceeded = check->exceeded;
    for (size_t k = 0; swl_fuel_at(k) != NULL && k < SWL_FUELING_FUELS_MAX; k++) {
        study->fuels[study->fuel_count++] = fuel_row(build, check, swl_fuel_at(k));
    }
}

swl_status swl_fueling_run(const swl_build *build, swl_fueling *study, swl_err *err)
{
    *study = (swl_fueling){0};
    if (!build->injection.given) {
        return swl_err_set(err, SWL_ERR_USAGE,
                           "the build has no [fuel] section; give injector_flow, rail_pressure and "
                           "rail_reference there");
    }
    swl_check check = {0};
    swl_status status = swl_check_run(build, &check, err);
    if (status != SWL_OK) {
        return status;
    }
    study->rows = calloc(check.line_count, sizeof *study->rows);
    study->engine_rpm = calloc(check.line_count, sizeof *study->engine_rpm);
    if (study->rows == NULL || study->engine_rpm == NULL) {
        status = swl_err_set(err, SWL_ERR_MEMORY, "out of memory for the table");
    } else {
        study->count = check.line_count;
        fill(build, &check, study);
    }
    swl_check_free(&check);
    return status;
}

void swl_fueling_free(swl_fueling *study)
{
    free(study->rows);
    free(study->engine_rpm);
    *study = (swl_fueling){0};
}
