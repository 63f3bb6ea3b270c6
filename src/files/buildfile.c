#include "files/keys.h"

#include "sweptline/atmosphere.h"
#include "sweptline/check.h"
#include "sweptline/coolant.h"
#include "sweptline/exchanger.h"
#include "sweptline/fuel.h"
#include "sweptline/soak.h"

#include "files/water.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* What the file's words are read into before they become a build. */
typedef struct build_raw {
    swl_build build;
    int units;
    int t_effect;
    int p_effect;
    int rail_reference;
} build_raw;

#define AT(member) offsetof(build_raw, build.member)
#define RAW(member) offsetof(build_raw, member)

static const char *const units_words[] = {"si", "us", NULL};
static const char *const t_effect_words[] = {"none", "sqrt", NULL};
static const char *const p_effect_words[] = {"none", "ideal cycle", NULL};

static const char *const rail_words[] = {"site", "manifold", NULL};

#define TEMPERATURE_RANGE 213.15, 343.15, "-60 degC to 70 degC, as -10 degC, 75 degF or 297 K,"
#define LOSS_RANGE 0, 101325, "a pressure drop at a flow, as `1.2 kPa at 0.30 kg/s` or `4 inH2O at 400 cfm`,"

#define FACTOR_RANGE 0.5, 1.5, "0.5 to 1.5, by which the values are multiplied,"

static const swl_key build_keys[] = {
    {"build", "name", KEY_TEXT, 0, AT(name), 0, 0, "a name", NULL, 0, SWL_NAME_MAX},
    {"build", "note", KEY_TEXT, 0, AT(note), 0, 0, "a text", NULL, 0, SWL_NOTE_MAX},
    {"build", "units", KEY_CHOICE, 0, RAW(units), 0, 0, "si or us", units_words, 0, 0},

    {"site", "temperature", KEY_QUANTITY, SWL_DIM_TEMPERATURE, AT(site.t_k), TEMPERATURE_RANGE, NULL, 0, 0},
    {"site", "pressure", KEY_QUANTITY, SWL_DIM_PRESSURE, AT(site.p_pa), 3e4, 1.2e5,
     "an absolute pressure of 30 to 120 kPa", NULL, 0, 0},
    {"site", "altitude", KEY_QUANTITY, SWL_DIM_LENGTH, AT(site.altitude_m), -500, 9000, "-500 m to 9000 m", NULL, 0, 0},
    {"site", "relative_humidity", KEY_QUANTITY, SWL_DIM_FRACTION, AT(site.rh_frac), 0, 1, "0 % to 100 %", NULL, 0, 0},

    {"engine", "displacement", KEY_QUANTITY, SWL_DIM_VOLUME, AT(engine.disp_m3), 2e-5, 0.1,
     "20 cc to 100 L, as 3.6 L or 220 in3,", NULL, KEY_REQUIRED, 0},
    {"engine", "cylinders", KEY_COUNT, 0, AT(engine.cylinders), 1, 32, "a whole number from 1 to 32", NULL, 0, 0},
    {"engine", "compression_ratio", KEY_QUANTITY, SWL_DIM_NUMBER, AT(engine.compression_ratio), 3, 30, "3 to 30", NULL,
     0, 0},
    {"engine", "speed_from", KEY_QUANTITY, SWL_DIM_SPEED, AT(engine.speed_from_rpm), 100, 30000, "100 rpm to 30000 rpm",
     NULL, KEY_REQUIRED, 0},
    {"engine", "speed_step", KEY_QUANTITY, SWL_DIM_SPEED, AT(engine.speed_step_rpm), 1, 10000, "1 rpm to 10000 rpm",
     NULL, KEY_REQUIRED, 0},
    {"engine", "speed_limit", KEY_QUANTITY, SWL_DIM_SPEED, AT(engine.speed_limit_rpm), 100, 30000,
     "100 rpm to 30000 rpm", NULL, KEY_REQUIRED, 0},
    {"engine", "over_rev", KEY_QUANTITY, SWL_DIM_SPEED, AT(engine.over_rev_rpm), 0, 5000,
     "0 rpm to 5000 rpm above speed_limit", NULL, 0, 0},
    {"engine", "volumetric_efficiency", KEY_CURVE, SWL_DIM_FRACTION, AT(engine.ve), 0.05, 1.5,
     "5 % to 150 %, a curve as `1500 rpm: 78 %, 2500 rpm: 84 %` or a CSV file,", NULL, KEY_REQUIRED,
     AT(engine.ve_half_width)},
    {"engine", "volumetric_efficiency_factor", KEY_QUANTITY, SWL_DIM_NUMBER, AT(engine.ve_factor), FACTOR_RANGE, NULL,
     0, 0},
    {"engine", "ve_temperature", KEY_QUANTITY, SWL_DIM_TEMPERATURE, AT(engine.t_ve_k), TEMPERATURE_RANGE, NULL, 0, 0},
    {"engine", "ve_temperature_effect", KEY_CHOICE, 0, RAW(t_effect), 0, 0, "sqrt or none", t_effect_words, 0, 0},
    {"engine", "ve_pressure_effect", KEY_CHOICE, 0, RAW(p_effect), 0, 0, "ideal cycle or none", p_effect_words, 0, 0},
    {"engine", "ve_exhaust_ratio", KEY_QUANTITY, SWL_DIM_NUMBER, AT(engine.ve_p_exhaust_ratio), 0.3, 3,
     "0.3 to 3, exhaust over intake pressure where the volumetric efficiency was measured,", NULL, 0, 0},
    {"engine", "back_pressure", KEY_LOSS, SWL_DIM_MASS_FLOW, AT(engine.back_pressure), 0, 3e5,
     "an exhaust gauge pressure at a mass flow, as `18 kPa at 0.32 kg/s`,", NULL, 0, 0},
    {"engine", "lambda", KEY_QUANTITY, SWL_DIM_NUMBER, AT(engine.lambda), 0.5, 2, "0.5 to 2", NULL, 0, 0},
    {"engine", "fuel", KEY_TEXT, 0, AT(engine.fuel), 0, 0, "a fuel's name", NULL, 0, SWL_FUEL_MAX},
    {"engine", "known_power", KEY_POWER_AT, 0, AT(engine.known_power_w), 0, 0,
     "a power at an engine speed, as `210 kW at 6000 rpm`,", NULL, 0, 0},
    {"engine", "indicated_efficiency", KEY_QUANTITY, SWL_DIM_FRACTION, AT(engine.indicated_eff_frac), 0.1, 0.6,
     "10 % to 60 %", NULL, 0, 0},
    {"engine", "friction", KEY_CURVE, SWL_DIM_PRESSURE, AT(engine.friction), 1e3, 2e6,
     "a mean effective pressure of 1 kPa to 2000 kPa, as `1500 rpm: 110 kPa, 6000 rpm: 240 kPa` or a CSV file,", NULL,
     0, 0},
    {"engine", "driveline_loss", KEY_QUANTITY, SWL_DIM_FRACTION, AT(engine.driveline_loss_frac), 0, 0.5, "0 % to 50 %",
     NULL, 0, 0},

    {"intake", "throttle_bore", KEY_QUANTITY, SWL_DIM_LENGTH, AT(intake.bore_m), 0.005, 0.5, "5 mm to 500 mm", NULL, 0,
     0},
    {"intake", "throttle_count", KEY_COUNT, 0, AT(intake.throttle_count), 1, 32, "a whole number from 1 to 32", NULL, 0,
     0},
    {"intake", "throttle_coefficient", KEY_QUANTITY, SWL_DIM_FRACTION, AT(intake.discharge_coefficient), 0.1, 1,
     "0.1 to 1", NULL, 0, 0},
    {"intake", "adapter_bore", KEY_QUANTITY, SWL_DIM_LENGTH, AT(intake.adapter_bore_m), 0.005, 0.5, "5 mm to 500 mm",
     NULL, 0, 0},
    {"intake", "blower_inlet_bore", KEY_QUANTITY, SWL_DIM_LENGTH, AT(intake.inlet_bore_m), 0.005, 0.5, "5 mm to 500 mm",
     NULL, 0, 0},
    {"intake", "loss", KEY_LOSS, SWL_DIM_VOLUME_FLOW, AT(intake.loss), LOSS_RANGE, NULL, 0, 0},
    {"intake", "heat_pickup", KEY_QUANTITY, SWL_DIM_TEMP_CHANGE, AT(intake.heat_pickup_k), 0, 80, "0 K to 80 K", NULL,
     0, 0},

    {"blower", "unit", KEY_FILE, 0, 0, 0, 0, "the name of a unit file", NULL, KEY_REQUIRED, 0},

    {"drive", "crank_pulley", KEY_QUANTITY, SWL_DIM_LENGTH, AT(drive.d_crank_m), 0.02, 1, "20 mm to 1000 mm", NULL,
     KEY_REQUIRED, 0},
    {"drive", "blower_pulley", KEY_QUANTITY, SWL_DIM_LENGTH, AT(drive.d_blower_m), 0.02, 1, "20 mm to 1000 mm", NULL,
     KEY_REQUIRED, 0},
    {"drive", "jackshaft_ratio", KEY_QUANTITY, SWL_DIM_NUMBER, AT(drive.jackshaft_ratio), 0.05, 20, "0.05 to 20", NULL,
     0, 0},
    {"drive", "belt", KEY_BELT, 0, AT(drive), 0, 0,
     "PK and 1 to 30 ribs, as `PK 8` (for another profile leave belt out and give line_differential),", NULL, 0, 0},
    {"drive", "line_differential", KEY_QUANTITY, SWL_DIM_LENGTH, AT(drive.line_differential_m), 0, 0.02,
     "0 mm to 20 mm", NULL, 0, 0},
    {"drive", "slip", KEY_QUANTITY, SWL_DIM_FRACTION, AT(drive.slip_frac), 0, 0.3, "0 % to 30 %", NULL, KEY_FEW_CENT,
     0},

    {"cooler", "effectiveness", KEY_QUANTITY, SWL_DIM_FRACTION, AT(cooler.effectiveness_frac), 0, 1, "0 % to 100 %",
     NULL, 0, 0},
    {"cooler", "effectiveness_over_flow", KEY_FLOW_CURVE, SWL_DIM_FRACTION, AT(cooler.effectiveness), 0, 1,
     "0 % to 100 %, a curve as `0.05 kg/s: 85 %, 0.30 kg/s: 70 %` or a CSV file,", NULL, 0,
     AT(cooler.effectiveness_half_width)},
    {"cooler", "ua", KEY_QUANTITY, SWL_DIM_HEAT_RATE, AT(cooler.ua_w_k), 1, 1e5, "1 W/K to 100 kW/K", NULL, 0, 0},
    {"cooler", "passes", KEY_COUNT, 0, AT(cooler.passes), 1, SWL_PASSES_MAX, "a whole number from 1 to 3", NULL, 0, 0},
    {"cooler", "coolant_temperature", KEY_QUANTITY, SWL_DIM_TEMPERATURE, AT(cooler.t_coolant_k), 233.15, 393.15,
     "-40 degC to 120 degC", NULL, 0, 0},
    {"cooler", "loss", KEY_LOSS, SWL_DIM_VOLUME_FLOW, AT(cooler.loss), LOSS_RANGE, NULL, 0, 0},
    {"cooler", "coolant", KEY_COOLANT, 0, AT(cooler.glycol_frac), SWL_GLYCOL_MIN_FRAC, SWL_GLYCOL_MAX_FRAC,
     "water, or water-glycol and 10 % to 60 % of ethylene glycol by volume, as `water-glycol 40 %`,", NULL, 0, 0},
    {"cooler", "coolant_flow", KEY_QUANTITY, SWL_DIM_VOLUME_FLOW, AT(cooler.coolant_m3_s), 1e-6, 0.1,
     "0.001 L/s to 100 L/s, as 18 L/min,", NULL, 0, 0},
    {"cooler", "coolant_volume", KEY_QUANTITY, SWL_DIM_VOLUME, AT(cooler.coolant_volume_m3), 1e-5, 10,
     "10 cc to 10000 L", NULL, 0, 0},
    {"cooler", "metal_heat_capacity", KEY_QUANTITY, SWL_DIM_HEAT_CAPACITY, AT(cooler.metal_j_k), 0, 1e7,
     "0 J/K to 10000 kJ/K", NULL, 0, 0},
    {"cooler", "front_effectiveness", KEY_QUANTITY, SWL_DIM_FRACTION, AT(cooler.front_effectiveness_frac), 0.01, 1,
     "1 % to 100 %", NULL, 0, 0},
    {"cooler", "front_ua", KEY_QUANTITY, SWL_DIM_HEAT_RATE, AT(cooler.front_ua_w_k), 1, 1e5, "1 W/K to 100 kW/K", NULL,
     0, 0},
    {"cooler", "front_air_flow", KEY_AIR_FLOW, SWL_DIM_VOLUME_FLOW, AT(cooler.front_air_kg_s), 1e-3, 100,
     "1 g/s to 100 kg/s, as 0.9 kg/s or 2500 m3/h,", NULL, 0, 0},
    {"cooler", "front_air_temperature", KEY_QUANTITY, SWL_DIM_TEMPERATURE, AT(cooler.t_front_air_k), 213.15, 373.15,
     "-60 degC to 100 degC", NULL, 0, 0},

    {"soak", "pulls", KEY_COUNT, 0, AT(cycle.pulls), 1, SWL_SOAK_PULLS_MAX, "a whole number from 1 to 100", NULL,
     KEY_REQUIRED, 0},
    {"soak", "pull_time", KEY_QUANTITY, SWL_DIM_TIME, AT(cycle.pull_s), 0.1, 7200, "0.1 s to 120 min", NULL,
     KEY_REQUIRED, 0},
    {"soak", "rest_time", KEY_QUANTITY, SWL_DIM_TIME, AT(cycle.rest_s), 0.1, 7200, "0.1 s to 120 min", NULL,
     KEY_REQUIRED, 0},
    {"soak", "pull_from", KEY_QUANTITY, SWL_DIM_SPEED, AT(cycle.from_rpm), 100, 30000, "100 rpm to 30000 rpm", NULL, 0,
     0},
    {"soak", "pull_to", KEY_QUANTITY, SWL_DIM_SPEED, AT(cycle.to_rpm), 100, 30000, "100 rpm to 30000 rpm", NULL, 0, 0},
    {"soak", "start_temperature", KEY_QUANTITY, SWL_DIM_TEMPERATURE, AT(cycle.t_start_k), 233.15, 393.15,
     "-40 degC to 120 degC", NULL, 0, 0},
    {"soak", "recovered_within", KEY_QUANTITY, SWL_DIM_TEMP_CHANGE, AT(cycle.t_recovered_k), 0.01, 50, "0.01 K to 50 K",
     NULL, 0, 0},
    {"soak", "rest_heat", KEY_QUANTITY, SWL_DIM_POWER, AT(cycle.rest_heat_w), 0, 1e5, "0 kW to 100 kW", NULL, 0, 0},
    {"soak", "rest_air_flow", KEY_AIR_FLOW, SWL_DIM_VOLUME_FLOW, AT(cycle.rest_air_kg_s), 1e-3, 100,
     "1 g/s to 100 kg/s, as 0.2 kg/s or 600 m3/h,", NULL, 0, 0},

    {"fuel", "injectors", KEY_COUNT, 0, AT(injection.injectors), 1, 64, "a whole number from 1 to 64", NULL, 0, 0},
    {"fuel", "injector_flow", KEY_RATING, 0, AT(injection.rating), 0, 0,
     "a flow of 10 cc/min to 10 L/min, or by mass, at a pressure, as `650 cc/min at 300 kPa` or `62 lb/h at 43.5 psi`,",
     NULL, KEY_REQUIRED, 0},
    {"fuel", "rail_pressure", KEY_QUANTITY, SWL_DIM_PRESSURE, AT(injection.rail_pa), 1e4, 4e7,
     "10 kPa to 40000 kPa above what rail_reference says", NULL, KEY_REQUIRED, 0},
    {"fuel", "rail_reference", KEY_CHOICE, 0, RAW(rail_reference), 0, 0, "manifold or site", rail_words, KEY_REQUIRED,
     0},
    {"fuel", "pump_flow", KEY_PRESSURE_CURVE, SWL_DIM_VOLUME_FLOW, AT(injection.pump), 1e-7, 1e-2,
     "0.36 L/h to 36000 L/h, a curve over rail pressure as `300 kPa: 255 L/h, 500 kPa: 190 L/h` or a CSV file,", NULL,
     0, 0},

    {"limits", "injector_duty", KEY_QUANTITY, SWL_DIM_FRACTION, AT(limits.injector_duty_frac), 0.1, 1, "10 % to 100 %",
     NULL, 0, 0},
    {"limits", "boost", KEY_QUANTITY, SWL_DIM_PRESSURE, AT(limits.boost_pa), 1e3, 7e5,
     "1 kPa to 700 kPa above site pressure", NULL, 0, 0},
    {"limits", "pressure_ratio", KEY_QUANTITY, SWL_DIM_NUMBER, AT(limits.p_ratio), 1, 8,
     "the maker's largest pressure ratio, 1 to 8,", NULL, 0, 0},
    {"limits", "charge_temperature", KEY_QUANTITY, SWL_DIM_TEMPERATURE, AT(limits.t_charge_k), 253.15, 573.15,
     "-20 degC to 300 degC", NULL, 0, 0},
    {"limits", "discharge_temperature", KEY_QUANTITY, SWL_DIM_TEMPERATURE, AT(limits.t_discharge_k), 273.15, 673.15,
     "0 degC to 400 degC", NULL, 0, 0},
    {"limits", "drive_power", KEY_QUANTITY, SWL_DIM_POWER, AT(limits.p_drive_w), 100, 1e6, "0.1 kW to 1000 kW", NULL, 0,
     0},
    {"limits", "manifold_pressure_sensor", KEY_QUANTITY, SWL_DIM_PRESSURE, AT(limits.p_sensor_pa), 5e4, 1e6,
     "the sensor's full scale, an absolute pressure of 50 to 1000 kPa,", NULL, 0, 0},
    {"limits", "mass_flow_sensor", KEY_QUANTITY, SWL_DIM_MASS_FLOW, AT(limits.mdot_sensor_kg_s), 1e-3, 10,
     "the sensor's full scale, 1 g/s to 10 kg/s,", NULL, 0, 0},
};

#define BUILD_KEYS (sizeof build_keys / sizeof build_keys[0])
_Static_assert(BUILD_KEYS <= (size_t)KEYS_MAX, "place[] holds a slot for every key");

_Static_assert(offsetof(swl_cooler, effectiveness_shift) ==
                   offsetof(swl_cooler, effectiveness_half_width) + sizeof(swl_curve *),
               "keys.c finds the shift behind the curve of half-widths");
_Static_assert(offsetof(build_raw, build) == 0, "an input's place in the raw build is that in the build");
_Static_assert(offsetof(swl_engine, ve_shift) == offsetof(swl_engine, ve_half_width) + sizeof(swl_curve *),
               "keys.c finds the shift behind the curve of half-widths");

const swl_key *swl_build_keys(size_t *count)
{
    *count = BUILD_KEYS;
    return build_keys;
}

static const char *const build_sections[] = {"build", "site", "engine", "intake", "blower",  "drive",        "cooler",
                                             "fuel",  "soak", "limits", "belt",   "pulley ", "alternative ", NULL};

static build_raw build_defaults(void)
{
    return (build_raw){
        .build =
            {
                .site = {.t_k = NAN, .p_pa = NAN, .altitude_m = NAN},
                .engine = {.ve_factor = 1,
                           .indicated_eff_frac = NAN,
                           .compression_ratio = NAN,
                           .t_ve_k = NAN,
                           .ve_p_exhaust_ratio = 1,
                           .lambda = NAN,
                           .known_power_w = NAN,
                           .known_power_speed_rpm = NAN,
                           .driveline_loss_frac = NAN},
                .intake = {.bore_m = NAN,
                           .adapter_bore_m = NAN,
                           .inlet_bore_m = NAN,
                           .throttle_count = 1,
                           .discharge_coefficient = 0.85},
                .drive = {.jackshaft_ratio = 1},
                .injection = {.rating = {NAN, NAN, NAN}},
                .cycle = {.t_recovered_k = 2, .rest_air_kg_s = NAN},
                .limits = {NAN, NAN, NAN, NAN, NAN, NAN, NAN, NAN},
            },
        .t_effect = -1,
        .p_effect = -1,
    };
}

static bool given(const swl_keys_file *file, const char *section, const char *name)
{
    return swl_keys_given(file, section, name).at != NULL;
}

static void finish_site(const swl_keys_file *file, swl_build *build)
{
    swl_site *site = &build->site;
    bool pressure = given(file, "site", "pressure");
    bool altitude = given(file, "site", "altitude");
    if (pressure && altitude) {
        swl_diag_add(file->diags, SWL_ERROR, file->text, swl_keys_given(file, "site", "altitude").at,
                     "altitude: the pressure is given too; keep one of the two");
        return;
    }
    if (!pressure) {
        build->assumed |= altitude ? 0U : SWL_ASSUMED_SITE_PRESSURE;
        site->p_pa = swl_atmosphere_p_pa(altitude ? site->altitude_m : 0);
    }
    if (!given(file, "site", "temperature")) {
        build->assumed |= SWL_ASSUMED_SITE_TEMPERATURE;
        site->t_k = swl_atmosphere_t_k(pressure   ? swl_atmosphere_altitude_m(site->p_pa)
                                       : altitude ? site->altitude_m
                                                  : 0);
    }
    build->assumed |= given(file, "site", "relative_humidity") ? 0U : SWL_ASSUMED_DRY_AIR;
    if (site->rh_frac > 0 && swl_air_humid(site->t_k, site->p_pa, site->rh_frac).x_water > 0.5) {
        swl_diag_add(
            file->diags, SWL_ERROR, file->text, swl_keys_given(file, "site", "relative_humidity").at,
            "relative_humidity: at this temperature and pressure more than half of the air would be water vapour");
    }
}

static void finish_speeds(const swl_keys_file *file, swl_build *build)
{
    swl_engine *engine = &build->engine;
    swl_slice from = swl_keys_given(file, "engine", "speed_from");
    swl_slice limit = swl_keys_given(file, "engine", "speed_limit");
    swl_slice step = swl_keys_given(file, "engine", "speed_step");
    build->assumed |= given(file, "engine", "over_rev") ? 0U : SWL_ASSUMED_NO_OVER_REV;
    /* A speed that was refused is still 0, and its own finding is enough. */
    if (!(engine->speed_from_rpm > 0 && engine->speed_limit_rpm > 0)) {
        return;
    }
    if (engine->speed_limit_rpm < engine->speed_from_rpm) {
        swl_diag_add(file->diags, SWL_ERROR, file->text, limit.at,
                     "speed_limit: read `%.*s`, which is below speed_from, `%.*s`", swl_slice_shown(limit), limit.at,
                     swl_slice_shown(from), from.at);
    } else if (engine->speed_step_rpm > 0 &&
               (engine->speed_limit_rpm - engine->speed_from_rpm) / engine->speed_step_rpm > SWL_LINE_ROWS_MAX - 2) {
        swl_diag_add(file->diags, SWL_ERROR, file->text, step.at,
                     "speed_step: read `%.*s`, which makes more than %d rows; a larger step is accepted",
                     swl_slice_shown(step), step.at, SWL_LINE_ROWS_MAX);
    }
}

static void finish_ve(const swl_keys_file *file, build_raw *raw)
{
    swl_engine *engine = &raw->build.engine;
    bool temperature = given(file, "engine", "ve_temperature");
    bool ratio = given(file, "engine", "compression_ratio");
    if (raw->t_effect == 1 && !temperature) {
        swl_diag_add(file->diags, SWL_ERROR, file->text, swl_keys_given(file, "engine", "ve_temperature_effect").at,
                     "ve_temperature_effect: sqrt wants ve_temperature, the charge temperature at which the volumetric "
                     "efficiency was measured");
    }
    if (raw->p_effect == 1 && !ratio) {
        swl_diag_add(file->diags, SWL_ERROR, file->text, swl_keys_given(file, "engine", "ve_pressure_effect").at,
                     "ve_pressure_effect: ideal cycle wants compression_ratio");
    }
    swl_slice exhaust = swl_keys_given(file, "engine", "ve_exhaust_ratio");
    if (exhaust.at != NULL && (!ratio || raw->p_effect == 0)) {
        swl_diag_add(
            file->diags, SWL_ERROR, file->text, exhaust.at,
            "ve_exhaust_ratio: nothing uses it without compression_ratio and ve_pressure_effect = ideal cycle");
    }
    /* Left out, a correction is used when what it needs is there, and a note tells when it is not. */
    engine->ve_t_sqrt = raw->t_effect == 1 || (raw->t_effect < 0 && temperature);
    engine->ve_p_ideal = raw->p_effect == 1 || (raw->p_effect < 0 && ratio);
    bool back_pressure = given(file, "engine", "back_pressure");
    raw->build.assumed |= engine->ve_p_ideal && !back_pressure ? SWL_ASSUMED_NO_BACK_PRESSURE : 0U;
    raw->build.assumed |= raw->t_effect < 0 && !temperature ? SWL_ASSUMED_NO_VE_TEMPERATURE : 0U;
    raw->build.assumed |= raw->p_effect < 0 && !ratio ? SWL_ASSUMED_NO_VE_PRESSURE : 0U;
}

/* The step from the adapter into the blower's inlet wants both bores, the adapter's the smaller. */
static void finish_adapter(const swl_keys_file *file, const swl_build *build)
{
    static const char *const names[] = {"adapter_bore", "blower_inlet_bore"};
    swl_slice values[2] = {swl_keys_given(file, "intake", names[0]), swl_keys_given(file, "intake", names[1])};
    for (size_t i = 0; i < 2; i++) {
        if (values[i].at != NULL && values[1 - i].at == NULL) {
            swl_diag_add(file->diags, SWL_ERROR, file->text, values[i].at,
                         "%s: wants %s too; the step between the two costs pressure", names[i], names[1 - i]);
        }
    }
    if (build->intake.adapter_bore_m > build->intake.inlet_bore_m) {
        swl_diag_add(
            file->diags, SWL_ERROR, file->text, values[0].at,
            "adapter_bore: read `%.*s`, which is above blower_inlet_bore, `%.*s`; the loss is that of a step into "
            "a larger bore",
            swl_slice_shown(values[0]), values[0].at, swl_slice_shown(values[1]), values[1].at);
    }
}

static void finish_power(const swl_keys_file *file, swl_build *build)
{
    swl_slice fuel = swl_keys_given(file, "engine", "fuel");
    if (fuel.at != NULL && build->engine.fuel[0] != '\0' && swl_fuel_find(build->engine.fuel) == NULL) {
        swl_buf names = {0};
        for (size_t i = 0; swl_fuel_at(i) != NULL; i++) {
            swl_buf_printf(&names, "%s%s", i == 0 ? "" : ", ", swl_fuel_at(i)->name);
        }
        swl_diag_add(file->diags, SWL_ERROR, file->text, fuel.at, "fuel: read `%.*s`; one of these is accepted: %s",
                     swl_slice_shown(fuel), fuel.at, swl_buf_text(&names));
        swl_buf_free(&names);
    }
    swl_slice efficiency = swl_keys_given(file, "engine", "indicated_efficiency");
    if (efficiency.at != NULL && given(file, "engine", "known_power")) {
        swl_diag_add(file->diags, SWL_ERROR, file->text, efficiency.at,
                     "indicated_efficiency: known_power is given too, and it follows from that; keep one of the two");
    }
}

/* What injectors and pumps do not do; a unit or a figure is wrong more often. Common practice, no source. */
#define RATING_DP_LOW_PA 5e4

static void doubt_fuel(const swl_keys_file *file, const swl_injection *injection)
{
    if (injection->rating.dp_pa < RATING_DP_LOW_PA) {
        swl_slice at = swl_keys_given(file, "fuel", "injector_flow");
        swl_diag_add(file->diags, SWL_WARNING, file->text, at.at,
                     "injector_flow: read `%.*s`, which is at less than 50 kPa; most injectors are rated at 250 to "
                     "400 kPa across them, so check the pressure and its unit",
                     swl_slice_shown(at), at.at);
    }
    const double *flow_m3_s = injection->pump == NULL ? NULL : swl_curve_y(injection->pump);
    for (size_t i = 1; flow_m3_s != NULL && i < swl_curve_count(injection->pump); i++) {
        if (flow_m3_s[i] > 1.001 * flow_m3_s[i - 1]) {
            swl_diag_add(file->diags, SWL_WARNING, file->text, swl_keys_given(file, "fuel", "pump_flow").at,
                         "pump_flow: the flow rises from %.4g to %.4g kPa; a pump delivers less against more pressure, "
                         "so check the figures",
                         swl_curve_x(injection->pump)[i - 1] / 1000, swl_curve_x(injection->pump)[i] / 1000);
            return;
        }
    }
}

static void finish_fuel(const swl_keys_file *file, build_raw *raw)
{
    swl_injection *injection = &raw->build.injection;
    injection->given = swl_keys_section(file, "fuel");
    injection->rail_follows_boost = raw->rail_reference == 1;
    if (injection->given && injection->injectors == 0 && raw->build.engine.cylinders == 0) {
        swl_diag_add(file->diags, SWL_ERROR, file->text, NULL,
                     "[fuel] wants injectors, or cylinders in [engine] for one injector each");
    }
    doubt_fuel(file, injection);
    swl_slice duty = swl_keys_given(file, "limits", "injector_duty");
    if (duty.at != NULL && !injection->given) {
        swl_diag_add(file->diags, SWL_ERROR, file->text, duty.at,
                     "injector_duty: there is no [fuel] section with injectors for it");
    }
}

static void finish_parts(const swl_keys_file *file, swl_build *build)
{
    if (given(file, "intake", "throttle_bore")) {
        build->assumed |= given(file, "intake", "throttle_coefficient") ? 0U : SWL_ASSUMED_COEFFICIENT;
    } else {
        static const char *const names[] = {"throttle_count", "throttle_coefficient"};
        for (size_t i = 0; i < 2; i++) {
            swl_slice value = swl_keys_given(file, "intake", names[i]);
            if (value.at != NULL) {
                swl_diag_add(file->diags, SWL_ERROR, file->text, value.at, "%s: there is no throttle_bore for it",
                             names[i]);
            }
        }
    }
    swl_slice differential = swl_keys_given(file, "drive", "line_differential");
    if (given(file, "drive", "belt") && differential.at != NULL) {
        swl_diag_add(file->diags, SWL_ERROR, file->text, differential.at,
                     "line_differential: the belt's profile is given too and has its own; keep one of the two");
    }
    bool profile = given(file, "drive", "belt") || given(file, "drive", "line_differential");
    build->assumed |= profile ? 0U : SWL_ASSUMED_PLAIN_DIAMETERS;
    build->assumed |= given(file, "drive", "slip") ? 0U : SWL_ASSUMED_NO_SLIP;
}

/* A half-width of the altitude is one of the pressure that follows from it. */
static void pressure_of_altitude(const swl_site *site, swl_input *input)
{
    double up_m = input->middle + input->half_width;
    double down_m = input->middle - input->half_width;
    input->part = "pressure";
    input->dim = SWL_DIM_PRESSURE;
    input->offset = offsetof(swl_build, site.p_pa);
    input->half_width = fabs(swl_atmosphere_p_pa(down_m) - swl_atmosphere_p_pa(up_m)) / 2;
    input->low = swl_atmosphere_p_pa(input->high);
    input->high = swl_atmosphere_p_pa(-500);
    input->middle = site->p_pa;
}

/* Every input with +-, those of the unit file too. */
static void finish_inputs(const swl_keys_file *file, swl_build *build)
{
    build->input_count = file->input_count;
    for (size_t i = 0; i < build->input_count; i++) {
        if (build->inputs[i].offset == offsetof(swl_build, site.altitude_m)) {
            pressure_of_altitude(&build->site, &build->inputs[i]);
        }
    }
    for (size_t i = 0; i < build->blower.input_count && build->input_count < SWL_INPUTS_MAX; i++) {
        swl_input *input = &build->inputs[build->input_count++];
        *input = build->blower.inputs[i];
        input->offset += offsetof(swl_build, blower);
    }
}

static void sections_wanted(const swl_keys_file *file)
{
    static const char *const wanted[] = {"engine", "blower", "drive"};
    for (size_t i = 0; i < 3; i++) {
        if (!swl_keys_section(file, wanted[i])) {
            swl_diag_add(file->diags, SWL_ERROR, file->text, NULL, "section [%s] is missing", wanted[i]);
        }
    }
}

static swl_status unit_of_build(const swl_keys_file *file, swl_build *build, swl_scan *scan, swl_err *err)
{
    swl_slice name = swl_unquoted(swl_keys_given(file, "blower", "unit"));
    if (name.at == NULL || name.len == 0) {
        return SWL_OK;
    }
    if (swl_slice_is(name, "-")) {
        swl_diag_add(file->diags, SWL_ERROR, file->text, name.at,
                     "unit: read `-`; the name of a unit file is accepted");
        return SWL_OK;
    }
    char *path = swl_path_beside(file->path, name);
    if (path == NULL) {
        return swl_err_set(err, SWL_ERR_MEMORY, "out of memory");
    }
    swl_err own = {0};
    swl_beside beside = swl_beside_of(file, path, name);
    swl_source source = swl_source_beside(&beside);
    swl_status status = swl_blower_of_build(&source, path, &build->blower, scan, file->diags, &own);
    free(path);
    return status == SWL_ERR_MEMORY ? swl_err_set(err, status, "%s", own.text) : SWL_OK;
}

/* The file's name without folder and ending, for a build that has none of its own. */
static void name_of_path(const char *path, char *name, size_t size)
{
    const char *slash = strrchr(path, '/');
    const char *base = slash == NULL ? path : slash + 1;
    const char *dot = strrchr(base, '.');
    size_t n = dot != NULL && dot > base ? (size_t)(dot - base) : strlen(base);
    n = n < size - 1 ? n : size - 1;
    memcpy(name, base, n);
    name[n] = '\0';
    swl_utf8_clean(name);
    if (name[0] == '\0') {
        (void)snprintf(name, size, "build");
    }
}

static swl_status belt_of_build(swl_keys_file *file, const swl_ini *ini, void *target, swl_err *err)
{
    build_raw *raw = target;
    return swl_belt_sections_read(file, ini, &raw->build, err);
}

static swl_status build_load(const swl_source *source, const char *path, swl_build *build, swl_scan *scan,
                             swl_diags *diags, swl_err *err)
{
    swl_text text = {0};
    build_raw raw = build_defaults();
    *build = raw.build;
    swl_keys_file file = {.source = source,
                          .path = path,
                          .text = &text,
                          .diags = diags,
                          .keys = build_keys,
                          .key_count = BUILD_KEYS,
                          .sections = build_sections,
                          .inputs = raw.build.inputs,
                          .inputs_max = SWL_INPUTS_MAX - SWL_UNIT_INPUTS_MAX,
                          .more = belt_of_build,
                          .foreign_section = "unit",
                          .foreign_words =
                              "this is a unit file; a build file, which names it under [blower], is wanted here"};
    swl_status status = swl_text_load(source, path, &text, diags, err);
    if (status != SWL_OK) {
        return status == SWL_ERR_INPUT ? swl_diag_status(diags, err) : status;
    }
    status = swl_keys_read(&file, &raw, err);
    if (status == SWL_OK && !file.foreign) {
        sections_wanted(&file);
        finish_site(&file, &raw.build);
        finish_speeds(&file, &raw.build);
        finish_ve(&file, &raw);
        finish_parts(&file, &raw.build);
        finish_adapter(&file, &raw.build);
        finish_power(&file, &raw.build);
        swl_water_finish(&file, &raw.build);
        finish_fuel(&file, &raw);
        raw.build.units = raw.units == 1 ? SWL_UNITS_US : SWL_UNITS_SI;
        if (raw.build.name[0] == '\0') {
            name_of_path(path, raw.build.name, sizeof raw.build.name);
        }
        status = unit_of_build(&file, &raw.build, scan, err);
        finish_inputs(&file, &raw.build);
    }
    swl_text_free(&text);
    if (status == SWL_OK) {
        status = swl_diag_status(diags, err);
    }
    *build = raw.build;
    if (status == SWL_OK && isnan(build->blower.mechanical_eff_frac)) {
        build->blower.mechanical_eff_frac = 1;
        build->assumed |= SWL_ASSUMED_NO_MECHANICAL_LOSS;
    }
    if (status != SWL_OK) {
        swl_build_free(build);
        if (scan != NULL) {
            swl_scan_free(scan);
        }
    }
    return status;
}

swl_status swl_build_load(const swl_source *source, const char *path, swl_build *build, swl_diags *diags, swl_err *err)
{
    return build_load(source, path, build, NULL, diags, err);
}

swl_status swl_build_scan_load(const swl_source *source, const char *path, swl_build *build, swl_scan *scan,
                               swl_diags *diags, swl_err *err)
{
    *scan = (swl_scan){0};
    return build_load(source, path, build, scan, diags, err);
}
