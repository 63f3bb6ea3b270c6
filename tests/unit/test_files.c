/* Reading build, unit and map through a source in memory. All data here is invented. */
#include "support/memory.h"
#include "support/near.h"

#include "sweptline/files.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define LENGTH(array) (sizeof(array) / sizeof((array)[0]))

/* ---- files in memory ---- */

static const char build_text[] =
    "[build]\nname = Example\nnote = \"two  words,\"\nunits = us\n[site]\ntemperature = 24 degC\n"
    "pressure = 98.5 kPa\nrelative_humidity = 45 %\n[engine]\ndisplacement = 3.6 L\ncylinders = 6\n"
    "compression_ratio = 9.8\nspeed_from = 1500 rpm\nspeed_step = 250 rpm\nspeed_limit = 6400 rpm\n"
    "over_rev = 300 rpm\nvolumetric_efficiency = 1500: 78 %, 2500 rpm: 84 %,\n    6400: 82 %,\n"
    "ve_temperature = 30 degC\nve_temperature_effect = sqrt\nve_pressure_effect = ideal cycle\n"
    "ve_exhaust_ratio = 1.1\nback_pressure = 18 kPa at 0.32 kg/s\nlambda = 0.85\nfuel = petrol\n"
    "known_power = 210 kW at 6000 rpm\ndriveline_loss = 15 %\n[intake]\nthrottle_bore = 68 mm\n"
    "throttle_count = 2\nthrottle_coefficient = 0.88\nloss = 1.2 kPa at 600 m3/h\nheat_pickup = 4 K\n[blower]\n"
    "unit = unit.ini\n[drive]\ncrank_pulley = 165 mm\nblower_pulley = 82 mm\njackshaft_ratio = 1.5\nbelt = PK 8\n"
    "slip = 0.8 %\n[cooler]\neffectiveness = 70 +- 5 %\ncoolant_temperature = 45 degC\n"
    "loss = 4 kPa at 0.30 kg/s\n[limits]\nboost = 12 psi\npressure_ratio = 2.4\ncharge_temperature = 85 degC\n"
    "discharge_temperature = 150 degC\ndrive_power = 35 kW\nmanifold_pressure_sensor = 200 kPa\n"
    "mass_flow_sensor = 1500 kg/h\n[belt]\npath = crank, blower, idler\ntension = fixed centres\nfriction = 0.3\n"
    "[pulley crank]\ncentre = 0 mm, 0 mm\n[pulley blower]\ncentre = 0 mm, 300 mm\ndiameter = 82 mm\n"
    "[pulley idler]\ncentre = 12 cm, 6 in\ndiameter = 60 mm\nside = ribs\npower = 1.5 kW\n"
    "[alternative other hole]\nidler.centre = 140 mm, 150 mm\nidler.power = 1000: 1 kW, 6000: 2 kW\n";

static const char unit_text[] =
    "[unit]\nname = Invented\nkind = roots\ndisplacement = 1.8 L/rev\ngear_ratio = 1.05\n"
    "continuous_speed = 14000 rpm\nshort_time_speed = 16000 rpm\nrotor_diameter = 98 mm\n"
    "mechanical_efficiency = 96 %\n[map]\ntable = unit.csv\ntemperature = 25 degC\npressure = 100 kPa\n"
    "efficiency_from = temperature rise\nsource = invented\n";

/* 54 m3/h is half of 1.8 L a revolution at 1000 rpm. */
static const char table_text[] = "blower speed [rpm],pressure ratio,flow [m3/h],adiabatic efficiency [%]\n"
                                 "2000,1.2,172.8,62\n2000,1.6,151.2,58\n2000,1.8,145,56\n2000,2.0,140,54\n"
                                 "1000,1.2,75.6,60\n1000,1.6,54.0,50\n1000,1.8,50,47\n1000,2.0,47,44\n";

static swl_status load(const memory_file *files, const char *path, swl_build *build, swl_diags *diags)
{
    memory_file own[MEMORY_FILES];
    memcpy(own, files, sizeof own);
    const swl_source source = {.read = memory_read, .context = own};
    return swl_build_load(&source, path, build, diags, NULL);
}

static swl_build load_sound(const memory_file *files, const char *path, size_t findings)
{
    swl_build build;
    swl_diags diags = {0};
    swl_buf out = {0};
    swl_status status = load(files, path, &build, &diags);
    if (status != SWL_OK || diags.count != findings) {
        swl_diag_print(&diags, SWL_NOTE, &out);
        fail_msg("%s", swl_buf_text(&out));
    }
    swl_diag_free(&diags);
    return build;
}

/* Text with one piece put in place of another; on the heap. */
static char *edited(const char *text, const char *find, const char *put)
{
    const char *at = find == NULL ? NULL : strstr(text, find);
    assert_true(find == NULL || at != NULL);
    swl_buf out = {0};
    swl_buf_put(&out, text, at == NULL ? strlen(text) : (size_t)(at - text));
    if (at != NULL) {
        swl_buf_puts(&out, put);
        swl_buf_puts(&out, at + strlen(find));
    }
    return out.bytes;
}

/* ---- reading ---- */

/* The belt's sections: a layout for the build and one for its alternative, which keeps what it does not change. */
static void reads_the_belt(void **state)
{
    (void)state;
    const memory_file files[MEMORY_FILES] = {
        {"build.ini", build_text}, {"unit.ini", unit_text}, {"unit.csv", table_text}};
    swl_build b = load_sound(files, "build.ini", 1);
    assert_non_null(b.belt);
    assert_int_equal(b.belt->layout_count, 2);
    const swl_belt_layout *built = &b.belt->layouts[0];
    const swl_belt_layout *other = &b.belt->layouts[1];
    assert_string_equal(other->name, "other hole");
    assert_int_equal(b.belt->hold, SWL_BELT_FIXED_CENTRES);
    assert_int_equal(b.belt->assumed, SWL_BELT_ASSUMED_BACK_FRICTION | SWL_BELT_ASSUMED_GROOVE |
                                          SWL_BELT_ASSUMED_BACK_OFFSET | SWL_BELT_ASSUMED_MASS);
    swl_near(0.3, b.belt->friction, 1e-15);
    swl_near(8 * SWL_BELT_MASS_PER_RIB_KG_M, b.belt->mass_kg_m, 1e-15);
    assert_int_equal(built->pulley_count, 3);
    assert_int_equal(built->path[2], 2);
    swl_is_nan(built->pulleys[0].d_m);
    swl_is_nan(built->static_tension_n);
    swl_near(0.12, built->pulleys[2].centre.x_m, 1e-15);
    swl_near(0.1524, built->pulleys[2].centre.y_m, 1e-15);
    swl_near(0.14, other->pulleys[2].centre.x_m, 1e-15);
    swl_near(0.06, other->pulleys[2].d_m, 1e-15);
    swl_near(1500, swl_curve_at(built->pulleys[2].power_w, 4000), 1e-15);
    swl_near(1600, swl_curve_at(other->pulleys[2].power_w, 4000), 1e-12);
    assert_string_equal(other->pulleys[other->path[1]].name, "blower");
    swl_build_free(&b);
}

static void reads_every_key(void **state)
{
    (void)state;
    const memory_file files[MEMORY_FILES] = {
        {"build.ini", build_text}, {"unit.ini", unit_text}, {"unit.csv", table_text}};
    swl_build b = load_sound(files, "build.ini", 1); /* few speed lines */
    assert_string_equal(b.name, "Example");
    assert_string_equal(b.note, "two words,");
    assert_string_equal(b.engine.fuel, "petrol");
    assert_string_equal(b.drive.belt_profile, "PK");
    assert_string_equal(b.blower.name, "Invented");
    assert_string_equal(b.blower.source, "invented");
    assert_int_equal(b.units, SWL_UNITS_US);
    assert_int_equal(b.engine.cylinders, 6);
    assert_int_equal(b.intake.throttle_count, 2);
    assert_int_equal(b.drive.belt_ribs, 8);
    assert_int_equal(b.blower.kind, SWL_BLOWER_ROOTS);
    assert_int_equal(b.blower.efficiency_from, SWL_FROM_TEMPERATURE_RISE);
    assert_int_equal(b.assumed, 0);
    assert_true(b.engine.ve_t_sqrt && b.engine.ve_p_ideal && isnan(b.site.altitude_m));
    /* Calculated from the definitions of the units; 600 m3/h stands for air at 1.2 kg/m3, 0.2 kg/s. */
    const double rows[][2] = {
        {297.15, b.site.t_k},
        {98500, b.site.p_pa},
        {0.45, b.site.rh_frac},
        {3.6e-3, b.engine.disp_m3},
        {9.8, b.engine.compression_ratio},
        {1500, b.engine.speed_from_rpm},
        {250, b.engine.speed_step_rpm},
        {6400, b.engine.speed_limit_rpm},
        {300, b.engine.over_rev_rpm},
        {0.78, swl_curve_at(b.engine.ve, 1500)},
        {0.84, swl_curve_at(b.engine.ve, 2500)},
        {0.82, swl_curve_at(b.engine.ve, 6400)},
        {303.15, b.engine.t_ve_k},
        {1.1, b.engine.ve_p_exhaust_ratio},
        {18000, b.engine.back_pressure.dp_pa},
        {0.32, b.engine.back_pressure.mdot_kg_s},
        {0.85, b.engine.lambda},
        {210e3, b.engine.known_power_w},
        {6000, b.engine.known_power_speed_rpm},
        {0.15, b.engine.driveline_loss_frac},
        {0.068, b.intake.bore_m},
        {0.88, b.intake.discharge_coefficient},
        {1200, b.intake.loss.dp_pa},
        {0.2, b.intake.loss.mdot_kg_s},
        {4, b.intake.heat_pickup_k},
        {0.165, b.drive.d_crank_m},
        {0.082, b.drive.d_blower_m},
        {1.5, b.drive.jackshaft_ratio},
        {0.002, b.drive.line_differential_m},
        {0.008, b.drive.slip_frac},
        {0.7, b.cooler.effectiveness_frac},
        {318.15, b.cooler.t_coolant_k},
        {4000, b.cooler.loss.dp_pa},
        {0.3, b.cooler.loss.mdot_kg_s},
        {82737.0875, b.limits.boost_pa},
        {2.4, b.limits.p_ratio},
        {358.15, b.limits.t_charge_k},
        {423.15, b.limits.t_discharge_k},
        {35e3, b.limits.p_drive_w},
        {2e5, b.limits.p_sensor_pa},
        {1500.0 / 3600, b.limits.mdot_sensor_kg_s},
        {1.8e-3, b.blower.disp_m3_rev},
        {1.05, b.blower.gear_ratio},
        {14000, b.blower.continuous_rpm},
        {16000, b.blower.short_time_rpm},
        {0.098, b.blower.d_rotor_m},
        {0.96, b.blower.mechanical_eff_frac},
        {298.15, b.blower.t_map_k},
        {1e5, b.blower.p_map_pa},
        {0.5, swl_map_line_at(b.blower.map, 0).ev_frac[1]},
        {0.8, swl_map_line_at(b.blower.map, 1).ev_frac[0]},
        {0.58, swl_map_line_at(b.blower.map, 1).ea_frac[1]},
    };
    for (size_t i = 0; i < LENGTH(rows); i++) {
        char row[16];
        (void)snprintf(row, sizeof row, "row %zu", i);
        swl_near_row(row, rows[i][0], rows[i][1], 1e-9 * rows[i][0]);
    }
    swl_build_free(&b);
}

static void fills_in_what_is_left_out(void **state)
{
    (void)state;
    static const char plain[] =
        "[engine]\ndisplacement = 220 in3\nspeed_from = 1500 rpm\nspeed_step = 250 rpm\n"
        "speed_limit = 6400 rpm\nvolumetric_efficiency = ve.csv\n"
        "[blower]\nunit = units/u.ini\n[drive]\ncrank_pulley = 6.5 in\nblower_pulley = 3.2 in\n";
    static const char unit[] = "[unit]\nname = u\nkind = screw\ndisplacement = 100 in3/rev\n[map]\ntable = ../t.csv\n"
                               "temperature = 77 degF\nefficiency_from = shaft power\n";
    static const char table[] = "\xEF\xBB\xBF# invented\r\nBlower_Speed [rpm];Pressure Ratio;volumetric efficiency [%];"
                                "adiabatic efficiency;remark\r\n1000;1.2;\"70\";0.6;a\r\n2000;1.2;80;0.62;b";
    static const char ve[] = "engine speed [rpm],ve\n1500,0.8\n3000,0.9\n";
    const memory_file files[MEMORY_FILES] = {
        {"a/b/shed.v2.ini", plain}, {"a/b/units/u.ini", unit}, {"a/b/units/../t.csv", table}, {"a/b/ve.csv", ve}};
    swl_build b = load_sound(files, "a/b/shed.v2.ini", 4); /* few lines, two of one point, a column ignored */
    assert_string_equal(b.name, "shed.v2");
    assert_int_equal(b.units, SWL_UNITS_SI);
    assert_int_equal(b.assumed, SWL_ASSUMED_SITE_PRESSURE | SWL_ASSUMED_SITE_TEMPERATURE | SWL_ASSUMED_DRY_AIR |
                                    SWL_ASSUMED_NO_OVER_REV | SWL_ASSUMED_NO_SLIP | SWL_ASSUMED_NO_VE_TEMPERATURE |
                                    SWL_ASSUMED_NO_VE_PRESSURE | SWL_ASSUMED_PLAIN_DIAMETERS |
                                    SWL_ASSUMED_NO_MECHANICAL_LOSS);
    swl_near(101325, b.site.p_pa, 1e-15); /* ISO 2533 at sea level */
    swl_near(288.15, b.site.t_k, 1e-15);
    swl_near(0.9, swl_curve_at(b.engine.ve, 9000), 1e-15);
    swl_near(1, b.blower.mechanical_eff_frac, 0);
    swl_near(1, b.drive.jackshaft_ratio, 0);
    swl_near(0.8, swl_map_line_at(b.blower.map, 1).ev_frac[0], 1e-15);
    swl_near(0.62, swl_map_line_at(b.blower.map, 1).ea_frac[0], 1e-15);
    assert_int_equal(b.blower.kind, SWL_BLOWER_SCREW);
    assert_int_equal(b.blower.efficiency_from, SWL_FROM_SHAFT_POWER);
    assert_true(isnan(b.intake.bore_m) && isnan(b.limits.boost_pa) && isnan(b.blower.continuous_rpm));
    assert_false(b.engine.ve_t_sqrt || b.engine.ve_p_ideal);
    swl_near_abs(0, b.cooler.effectiveness_frac, 0);
    swl_build_free(&b);
}

static void tells_what_it_assumes(void **state)
{
    (void)state;
    static const struct {
        const char *left_out;
        unsigned assumed;
    } rows[] = {
        {"throttle_coefficient = 0.88\n", SWL_ASSUMED_COEFFICIENT},
        {"back_pressure = 18 kPa at 0.32 kg/s\n", SWL_ASSUMED_NO_BACK_PRESSURE},
        {"over_rev = 300 rpm\n", SWL_ASSUMED_NO_OVER_REV},
        {"slip = 0.8 %\n", SWL_ASSUMED_NO_SLIP},
        {"belt = PK 8\n", SWL_ASSUMED_PLAIN_DIAMETERS},
        {"relative_humidity = 45 %\n", SWL_ASSUMED_DRY_AIR},
        {"ve_temperature = 30 degC\nve_temperature_effect = sqrt\n", SWL_ASSUMED_NO_VE_TEMPERATURE},
    };
    for (size_t i = 0; i < LENGTH(rows); i++) {
        char *text = edited(build_text, rows[i].left_out, "");
        const memory_file files[MEMORY_FILES] = {{"b", text}, {"unit.ini", unit_text}, {"unit.csv", table_text}};
        swl_build b = load_sound(files, "b", 1);
        assert_int_equal(b.assumed, rows[i].assumed);
        swl_near(i == 0 ? 0.85 : 0.88, b.intake.discharge_coefficient, 0); /* 0.85 is the program's own choice */
        swl_build_free(&b);
        free(text);
    }
}

/* What [site] is made of, and the air that then stands there. */
typedef struct site_case {
    const char *put;
    double p_pa, t_k; /* ISO 2533, Debian python3-fluids */
    unsigned assumed;
} site_case;

static void site_follows_altitude(void **state)
{
    (void)state;
    static const site_case rows[] = {
        {"altitude = 2000 m\n", 79495.22, 275.15, SWL_ASSUMED_SITE_TEMPERATURE | SWL_ASSUMED_DRY_AIR},
        {"pressure = 79495.22 Pa\n", 79495.22, 275.15, SWL_ASSUMED_SITE_TEMPERATURE | SWL_ASSUMED_DRY_AIR},
        {"altitude = 2000 m\ntemperature = 30 degC\n", 79495.22, 303.15, SWL_ASSUMED_DRY_AIR},
        {"relative_humidity = 0\n", 101325, 288.15, SWL_ASSUMED_SITE_TEMPERATURE | SWL_ASSUMED_SITE_PRESSURE},
    };
    for (size_t i = 0; i < LENGTH(rows); i++) {
        char *text =
            edited(build_text, "temperature = 24 degC\npressure = 98.5 kPa\nrelative_humidity = 45 %\n", rows[i].put);
        const memory_file files[MEMORY_FILES] = {{"b", text}, {"unit.ini", unit_text}, {"unit.csv", table_text}};
        swl_build b = load_sound(files, "b", 1);
        swl_near_abs(rows[i].p_pa, b.site.p_pa, 0.025);
        swl_near_abs(rows[i].t_k, b.site.t_k, 0.001);
        assert_int_equal(b.assumed, rows[i].assumed);
        swl_build_free(&b);
        free(text);
    }
}

/* ---- refusing ---- */

enum { BUILD, UNIT, TABLE };

#define X40 "xxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxx"
#define X400 X40 X40 X40 X40 X40 X40 X40 X40 X40 X40

typedef struct refused_edit {
    int file;
    const char *find, *put;
    const char *want; /* the first error: how it starts */
} refused_edit;

static const refused_edit edits[] = {
    {BUILD, "units = us", "units = imperial", "build.ini:4:9: error: units: read `imperial`; si or us is accepted"},
    {BUILD, "note = \"two", "note = " X400 "\"two", "build.ini:3:8: error: note: read 4"},
    {BUILD, "temperature = 24 degC", "temperature = 24", "build.ini:6:17: error: temperature: the unit is missing"},
    {BUILD, "24 degC", "75 degC", "build.ini:6:15: error: temperature: read `75 degC`; -60 degC to 70 degC"},
    {BUILD, "45 %", "145 %", "build.ini:8:21: error: relative_humidity: read `145 %`; 0 % to 100 % is accepted"},
    {BUILD, "45 %", "45",
     "build.ini:8:21: error: relative_humidity: read `45`; 0 % to 100 % is accepted, and a bare number is a fraction"},
    {BUILD, "98.5 kPa", "98.5 kPa\naltitude = 1 m", "build.ini:8:12: error: altitude: the pressure is given too"},
    {BUILD, "24 degC\npressure = 98.5 kPa\nrelative_humidity = 45",
     "70 degC\npressure = 30 kPa\nrelative_humidity = 99",
     "build.ini:8:21: error: relative_humidity: at this temperature and pressure more than half"},
    {BUILD, "cylinders = 6", "cylinders = 6.5", "build.ini:11:13: error: cylinders: read `6.5`; a whole number from 1"},
    {BUILD, "cylinders = 6", "cylinders = six", "build.ini:11:13: error: cylinders: read `six`, which does not start"},
    {BUILD, "displacement = 3.6 L\n", "", "build.ini: error: displacement is missing from [engine]; 20 cc to 100 L"},
    {BUILD, "6400 rpm\n", "1400 rpm\n", "build.ini:15:15: error: speed_limit: read `1400 rpm`, which is below"},
    {BUILD, "6400 rpm\n", "40000 rpm\n", "build.ini:15:15: error: speed_limit: read `40000 rpm`; 100 rpm to 30000"},
    {BUILD, "250 rpm", "1 rpm", "build.ini:14:14: error: speed_step: read `1 rpm`, which makes more than 2000 rows"},
    {BUILD, "ve_temperature = 30 degC\n", "", "build.ini:19:25: error: ve_temperature_effect: sqrt wants ve_tempera"},
    {BUILD, "compression_ratio = 9.8\n", "", "build.ini:20:22: error: ve_pressure_effect: ideal cycle wants compre"},
    {BUILD, "18 kPa at", "18 kPa by", "build.ini:23:17: error: back_pressure: read `18 kPa by 0.32 kg/s`; an exhaust"},
    {BUILD, "18 kPa at 0.32", "18 kPa by \n  0.32", "build.ini:23:17: error: back_pressure: read `18 kPa by`; an exha"},
    {BUILD, "PK 8", X40 "xxxxxxxxxxxxxxxxxxx\u20ac",
     "build.ini:40:8: error: belt: read `" X40 "xxxxxxxxxxxxxxxxxxx`; PK"},
    {BUILD, "18 kPa at 0.32 kg/s", "18 kPa at 600 m3/h",
     "build.ini:23:31: error: back_pressure: read `600 m3/h` as the flow"},
    {BUILD, "18 kPa at", "301 kPa at", "build.ini:23:17: error: back_pressure: read `301 kPa`; a drop of 0 to 300 kPa"},
    {BUILD, "1.2 kPa at 600 m3/h", "1.2 kPa at", "build.ini:32:8: error: loss: read `1.2 kPa at`; a pressure drop"},
    {BUILD, "210 kW at 6000 rpm", "210 kW", "build.ini:26:15: error: known_power: read `210 kW`; a power at an engi"},
    {BUILD, "210 kW at", "210 kPa at", "build.ini:26:19: error: known_power: read the unit `kPa`"},
    {BUILD, "210 kW at", "210 W at", "build.ini:26:15: error: known_power: read `210 W at 6000 rpm`"},
    {BUILD, "throttle_bore = 68 mm\n", "", "build.ini:29:18: error: throttle_count: there is no throttle_bore for"},
    {BUILD, "PK 8", "PJ 8", "build.ini:40:8: error: belt: read `PJ 8`; PK and 1 to 30 ribs"},
    {BUILD, "PK 8", "PK 8.5", "build.ini:40:8: error: belt: read `PK 8.5`"},
    {BUILD, "slip = 0.8 %", "slipp = 0.8 %",
     "build.ini:41:1: error: `slipp` is not a key of [drive]; did you mean slip"},
    {BUILD, "slip = 0.8 %", "fuel = 1", "build.ini:41:1: error: `fuel` is not a key of [drive]; it belongs in [engine"},
    {BUILD, "slip = 0.8 %", "weather = 1", "build.ini:41:1: error: `weather` is not a key of [drive]; accepted are "},
    {BUILD, "slip = 0.8 %", "slip = 0.8",
     "build.ini:41:8: error: slip: read `0.8`; 0 % to 30 % is accepted, and a bare number is a fraction: is `0.8 %`"},
    {BUILD, "slip = 0.8 %", "slip = 0.8 +- 0.1",
     "build.ini:41:8: error: slip: read `0.8 +- 0.1`; 0 % to 30 % is accepted, and a bare number is a fraction: is "
     "`0.8 % +- 0.1 %` meant?\n"},
    {BUILD, "slip = 0.8 %", "slip = 40", "build.ini:41:8: error: slip: read `40`; 0 % to 30 % is accepted\n"},
    {BUILD, "slip = 0.8 %", "slip = 40 %", "build.ini:41:8: error: slip: read `40 %`; 0 % to 30 % is accepted\n"},
    {BUILD, "1500: 78 %", "1500: 78",
     "build.ini:17:31: error: volumetric_efficiency: read `78`; 5 % to 150 %, a curve as `1500 rpm: 78 %, 2500 rpm: 84 "
     "%` or a CSV file, is accepted, and a bare number is a fraction: is `78 %` meant?"},
    {BUILD, "displacement = 3.6 L", "displacement = 0.95 gal",
     "build.ini:10:21: error: displacement: read the unit `gal`, which is not known; did you mean US gal? "},
    {BUILD, "[cooler]", "[coolr]",
     "build.ini:42:2: error: [coolr] is not a section of this file; did you mean [cooler"},
    {BUILD, "[cooler]", "[radiogram]", "build.ini:42:2: error: [radiogram] is not a section of this file; accepted ar"},
    {BUILD, "effectiveness = 70 +- 5 %", "ua = 400 W/K", "build.ini:43:6: error: ua: wants coolant_flow"},
    {BUILD, "[blower]\nunit = unit.ini\n", "", "build.ini: error: section [blower] is missing"},
    {BUILD, "unit = unit.ini", "unit =", "build.ini:35:1: error: unit has no value after the equals sign"},
    {BUILD, "unit = unit.ini", "unit = u.ini",
     "u.ini: error: could not be opened: not there; named in line 35 of build.ini, relative to that file's folder"},
    {BUILD, "unit = unit.ini", "unit = /u.ini", "/u.ini: error: could not be opened: not there"},
    {BUILD, "name = Example", "name = \x80", "build.ini:2:8: error: read a byte that is not UTF-8"},
    {BUILD, build_text, "", "build.ini: error: the file is empty"},
    {BUILD, "1500: 78 %", "1500 78 %", "build.ini:17:25: error: volumetric_efficiency: read `1500 78 %`; a curve is x"},
    {BUILD, "1500: 78 %", "1500: 178 %", "build.ini:17:31: error: volumetric_efficiency: read `178 %`; 5 % to 150 %"},
    {BUILD, "1500: 78 %", "0.5: 78 %", "build.ini:17:25: error: volumetric_efficiency: read an engine speed of `0.5`"},
    {BUILD, "1500: 78 %", "1500: 78 %,, ", "build.ini:17:36: error: volumetric_efficiency: read nothing between two"},
    {BUILD, "1500: 78 %", "1500:", "build.ini:17:30: error: volumetric_efficiency: read nothing; a percentage"},
    {BUILD, "1500: 78 %", "3500: 78 %", "build.ini:17:37: error: volumetric_efficiency: read `2500 rpm` after `3500`"},
    {BUILD, "1500: 78 %", "slow: 78 %", "build.ini:17:25: error: volumetric_efficiency: read `slow`, which does not"},
    {UNIT, "kind = roots", "kind = vane", "unit.ini:3:8: error: kind: read `vane`; roots or screw is accepted"},
    {UNIT, "kind = roots\n", "", "unit.ini: error: kind is missing from [unit]; roots or screw is wanted"},
    {UNIT, "16000", "13000", "unit.ini:7:20: error: short_time_speed: read `13000 rpm`, which is below continuous_spe"},
    {UNIT, "[map]", "[scan]\nimage = a.png\n[map]",
     "unit.ini:11:9: error: image: `a.png` could not be opened: not there"},
    {UNIT, "table = unit.csv", "table = no.csv", "no.csv: error: could not be opened"},
    {UNIT, "1.8 L/rev", "1.8 mL/rev", "unit.ini:4:20: error: displacement: read the unit `mL/rev`, which is not known"},
    {UNIT, unit_text, "[other]\n", "unit.ini:1:2: error: [other] is not a section of this file; accepted are [unit]"},
    {TABLE, "[m3/h]", "",
     "unit.csv:1:35: error: column `flow` names no unit; write it as `flow [unit]` with one of m3/"},
    {TABLE, "[m3/h]", "[kg/s]", "unit.csv:1:41: error: read the unit `kg/s`, which makes it a mass flow"},
    {TABLE, "efficiency [%]", "efficiency",
     "unit.csv:1:47: error: column `adiabatic efficiency` names no unit, so it is read as fractions, and holds `62`: "
     "is "
     "`adiabatic efficiency [%]` meant?"},
    {BUILD, "[cooler]",
     "[fuel]\ninjector_flow = 42 pph at 43.5 psi\nrail_pressure = 3 bar\nrail_reference = site\n[cooler]",
     "build.ini:43:20: error: injector_flow: read the unit `pph`, which is not known; did you mean lb/h? a mass flow"},
    {TABLE, "172.8,62", "172.8,6200", "unit.csv:2:1: error: adiabatic efficiency 6200 %; above 0 and below 100 %"},
    {TABLE, "ratio", "ratio [bar]", "unit.csv:1:36: error: a pressure ratio has no unit"},
    {TABLE, "flow [m3/h]", "pressure ratio", "unit.csv:1:1: error: the table has neither a column `flow`"},
    {TABLE, "flow", "stream", "unit.csv:1:1: error: the table has neither a column `flow` nor"},
    {TABLE, "pressure ratio", "pressure", "unit.csv:1:1: error: the table has no column `pressure ratio`; wanted are"},
    {TABLE, "172.8", "", "unit.csv:2:10: error: the cell for `flow` is empty"},
    {TABLE, "172.8", "fast", "unit.csv:2:10: error: flow: read `fast`, which does not start with a number"},
    {TABLE, "172.8,62", "172.8", "unit.csv:2:1: error: read 3 cells where the header names 4 columns"},
    {TABLE, "1000,1.6,54.0,50", "0,1.6,54.0,50", "unit.csv:7:1: error: blower speed 0 rpm"},
    {TABLE, "54.0", "99.0", "unit.csv:7:1: error: at 1000 rpm the flow rises by 31 %"},
    {TABLE, "1000,1.2,75.6,60\n1000,1.6,54.0,50\n1000,1.8,50,47\n1000,2.0,47,44\n", "",
     "unit.csv: error: the map has 1 speed line"},
    {TABLE, "172.8,62\n", "172.8,\"62\n", "unit.csv:2:16: error: this quote never closes"},
};

static void refuses_with_a_place(void **state)
{
    (void)state;
    static const char *const texts[] = {build_text, unit_text, table_text};
    for (size_t i = 0; i < LENGTH(edits); i++) {
        char *own[3];
        for (int f = 0; f < 3; f++) {
            own[f] = edited(texts[f], f == edits[i].file ? edits[i].find : NULL, edits[i].put);
        }
        const memory_file files[MEMORY_FILES] = {{"build.ini", own[0]}, {"unit.ini", own[1]}, {"unit.csv", own[2]}};
        swl_build build;
        swl_diags diags = {0};
        swl_buf out = {0};
        assert_int_equal(load(files, "build.ini", &build, &diags), SWL_ERR_INPUT);
        assert_null(build.engine.ve);
        assert_null(build.blower.map);
        swl_diag_print(&diags, SWL_ERROR, &out);
        if (strncmp(swl_buf_text(&out), edits[i].want, strlen(edits[i].want)) != 0) {
            fail_msg("edit %zu: want %s..., got %s", i, edits[i].want, swl_buf_text(&out));
        }
        swl_buf_free(&out);
        swl_diag_free(&diags);
        for (int f = 0; f < 3; f++) {
            free(own[f]);
        }
    }
}

/* Read, and doubted. */
static void warns_of_what_is_odd(void **state)
{
    (void)state;
    static const struct {
        const char *find, *put, *want;
    } odd[] = {
        {"slip = 0.8 %", "slip = 0.008",
         "build.ini:41:8: warning: slip: a bare number is a fraction, so `0.008` is read as 0.8 %; write it with %"},
        {"[cooler]",
         "[fuel]\ninjector_flow = 650 cc/min at 3 psi\nrail_pressure = 3 bar\nrail_reference = site\n[cooler]",
         "build.ini:43:17: warning: injector_flow: read `650 cc/min at 3 psi`, which is at less than 50 kPa"},
        {"[cooler]",
         "[fuel]\ninjector_flow = 650 cc/min at 3 bar\nrail_pressure = 3 bar\nrail_reference = site\n"
         "pump_flow = 3 bar: 255 L/h, 5 bar: 260 L/h\n[cooler]",
         "build.ini:46:13: warning: pump_flow: the flow rises from 300 to 500 kPa"},
    };
    for (size_t i = 0; i < LENGTH(odd); i++) {
        char *own = edited(build_text, odd[i].find, odd[i].put);
        const memory_file files[MEMORY_FILES] = {{"build.ini", own}, {"unit.ini", unit_text}, {"unit.csv", table_text}};
        swl_build build;
        swl_diags diags = {0};
        swl_buf out = {0};
        assert_int_equal(load(files, "build.ini", &build, &diags), SWL_OK);
        swl_diag_print(&diags, SWL_WARNING, &out);
        if (strncmp(swl_buf_text(&out), odd[i].want, strlen(odd[i].want)) != 0) {
            fail_msg("want %s..., got %s", odd[i].want, swl_buf_text(&out));
        }
        swl_buf_free(&out);
        swl_diag_free(&diags);
        swl_build_free(&build);
        free(own);
    }
}

static void refuses_curve_tables(void **state)
{
    (void)state;
    swl_buf many = {0};
    swl_buf_puts(&many, "speed [rpm],ve\n");
    for (int i = 1; i <= SWL_CURVE_POINTS_MAX + 1; i++) {
        swl_buf_printf(&many, "%d,0.8\n", i);
    }
    const char *const rows[][2] = {
        {"ve\n0.8\n", "ve.csv:1:1: error: volumetric_efficiency: the table has one column; two are wanted"},
        {"speed,ve\n1500,0.8\n", "ve.csv:1:1: error: column `speed` names no unit; write it as name [unit]"},
        {"speed [m],ve\n1500,0.8\n", "ve.csv:1:8: error: read the unit `m`, which makes it a length"},
        {"speed [rpm],ve [psi]\n1500,0.8\n", "ve.csv:1:17: error: read the unit `psi`, which makes it a pressure"},
        {"speed [rpm],ve [%]\n", "ve.csv: error: volumetric_efficiency: the table has no rows under its header"},
        {"speed [rpm],ve [%]\n1500,x\n", "ve.csv:2:6: error: volumetric_efficiency: read `x`, which does not start"},
        {"speed [rpm],ve [%]\n1500,80\n1500,81\n",
         "ve.csv:3:1: error: volumetric_efficiency: read `1500` after `1500`"},
        {"speed [rpm],ve [%]\n1500,0.8\n", "ve.csv:2:6: error: volumetric_efficiency: read `0.8`; 5 % to 150 %"},
        {"speed [rpm],ve\n1500,80\n", "ve.csv:2:6: error: volumetric_efficiency: read `80`; 5 % to 150 %, a curve as "
                                      "`1500 rpm: 78 %, 2500 rpm: 84 %` or a CSV file, is accepted, and a column "
                                      "without a unit holds fractions: is `[%]` meant in its head?"},
        {"speed [rpm],ve [%]\n1500,180\n", "ve.csv:2:6: error: volumetric_efficiency: read `180`; 5 % to 150 %, a "
                                           "curve as `1500 rpm: 78 %, 2500 rpm: 84 %` or a CSV file, is accepted\n"},
        {"speed [rpm],ve [%]\n\"1500,80\n", "ve.csv:2:1: error: this quote never closes"},
        {"", "ve.csv: error: the file is empty"},
        {swl_buf_text(&many), "ve.csv:502:1: error: volumetric_efficiency: more than 500 points"},
    };
    char *build_by_table = edited(build_text, "1500: 78 %, 2500 rpm: 84 %,\n    6400: 82 %,", "ve.csv");
    for (size_t i = 0; i < LENGTH(rows); i++) {
        const memory_file files[MEMORY_FILES] = {
            {"b", build_by_table}, {"unit.ini", unit_text}, {"unit.csv", table_text}, {"ve.csv", rows[i][0]}};
        swl_build build;
        swl_diags diags = {0};
        swl_buf out = {0};
        assert_int_equal(load(files, "b", &build, &diags), SWL_ERR_INPUT);
        swl_diag_print(&diags, SWL_ERROR, &out);
        if (strncmp(swl_buf_text(&out), rows[i][1], strlen(rows[i][1])) != 0) {
            fail_msg("table %zu: want %s..., got %s", i, rows[i][1], swl_buf_text(&out));
        }
        swl_buf_free(&out);
        swl_diag_free(&diags);
    }
    free(build_by_table);
    swl_buf_free(&many);
}

static void tells_every_file_in_one_go(void **state)
{
    (void)state;
    char *build_own = edited(build_text, "[engine]\ndisplacement = 3.6 L", "[engine]\nstroke = 1\ndisplacement = 3");
    char *unit_own = edited(unit_text, "gear_ratio = 1.05", "gear_ratio = 0");
    char *table_own = edited(table_text, "172.8", "1,2");
    const memory_file files[MEMORY_FILES] = {{"b", build_own}, {"unit.ini", unit_own}, {"unit.csv", table_own}};
    swl_build build;
    swl_diags diags = {0};
    assert_int_equal(load(files, "b", &build, &diags), SWL_ERR_INPUT);
    assert_int_equal(diags.errors, 4);
    assert_string_equal(diags.items[3].file, "unit.csv");
    swl_diag_free(&diags);
    free(build_own);
    free(unit_own);
    free(table_own);
}

static void out_of_memory_is_its_own_status(void **state)
{
    (void)state;
    char *build_by_table = edited(build_text, "1500: 78 %, 2500 rpm: 84 %,\n    6400: 82 %,", "ve.csv");
    for (size_t missing = 0; missing < 4; missing++) {
        memory_file files[MEMORY_FILES] = {
            {"b", build_by_table}, {"unit.ini", unit_text}, {"unit.csv", table_text}, {"ve.csv", "s [rpm],ve\n1,1"}};
        files[missing].text = NULL;
        swl_build build;
        swl_diags diags = {0};
        assert_int_equal(load(files, "b", &build, &diags), SWL_ERR_MEMORY);
        assert_int_equal(diags.errors, 0);
        swl_diag_free(&diags);
    }
    free(build_by_table);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(reads_every_key),
        cmocka_unit_test(reads_the_belt),
        cmocka_unit_test(fills_in_what_is_left_out),
        cmocka_unit_test(tells_what_it_assumes),
        cmocka_unit_test(site_follows_altitude),
        cmocka_unit_test(refuses_with_a_place),
        cmocka_unit_test(warns_of_what_is_odd),
        cmocka_unit_test(refuses_curve_tables),
        cmocka_unit_test(tells_every_file_in_one_go),
        cmocka_unit_test(out_of_memory_is_its_own_status),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
