#include "property/wide.h"

#include "support/builds.h"

#include <string.h>

typedef struct maker {
    wide *out;
    test_random random;
    swl_buf *build;
    swl_buf *unit;
    /* What one section takes from another, in SI. */
    double disp_m3, limit_rpm, from_rpm;
    double p_pa, t_k;
    double mdot_kg_s;
    double ratio, top_rpm;
    double d_crank_m, d_blower_m;
    bool known_ratio; /* of compression */
} maker;

static double uniform(maker *m, double low, double high)
{
    return test_uniform(&m->random, low, high);
}

static double even_ratio(maker *m, double low, double high)
{
    return low * pow(high / low, uniform(m, 0, 1));
}

static bool chance(maker *m, double share)
{
    return test_chance(&m->random, share);
}

static int whole(maker *m, int low, int high)
{
    return test_whole(&m->random, low, high);
}

static swl_buf *new_file(maker *m, const char *name)
{
    wide_file *file = &m->out->files[m->out->count++];
    (void)snprintf(file->name, sizeof file->name, "%s", name);
    return &file->text;
}

/* One of the units that the program names for a kind, with what it stands for. */
static void pick_unit(maker *m, swl_dim dim, char *unit, size_t size, double *factor, double *offset)
{
    swl_buf names = {0};
    swl_fault fault;
    swl_dim_units(dim, &names);
    swl_slice rest = swl_slice_of(swl_buf_text(&names));
    swl_slice all[16];
    int count = 0;
    while (rest.at != NULL && count < 16) {
        swl_slice one = swl_slice_trim(swl_slice_split(&rest, ','));
        if (swl_unit_read(one, dim, factor, offset, &fault)) {
            all[count++] = one;
        }
    }
    unit[0] = '\0';
    *factor = 1;
    *offset = 0;
    if (count > 0 && !(dim == SWL_DIM_FRACTION && chance(m, 0.2))) {
        swl_slice one = all[whole(m, 0, count - 1)];
        if (swl_unit_read(one, dim, factor, offset, &fault)) {
            (void)snprintf(unit, size, "%.*s", (int)one.len, one.at);
        }
    }
    swl_buf_free(&names);
}

/* A value in a random unit, now and then with a half-width of about a hundredth. */
static void put_value(maker *m, swl_buf *out, double si, swl_dim dim, bool spread)
{
    char unit[24];
    double factor = 1;
    double offset = 0;
    pick_unit(m, dim, unit, sizeof unit, &factor, &offset);
    double number = si / factor - offset;
    swl_buf_printf(out, "%.7g", number);
    /* Below 1 % with a half-width, the sign would leave open whether a fraction is meant. */
    bool clear = dim != SWL_DIM_FRACTION || unit[0] == '\0' || number >= 1;
    if (spread && clear && chance(m, 0.12) && si > 0 && fabs(number) > 0.01) {
        double half = dim == SWL_DIM_TEMPERATURE ? 0.5 : fabs(number) / 100;
        if (unit[0] != '\0' && chance(m, 0.5)) {
            swl_buf_printf(out, " %s", unit);
        }
        swl_buf_printf(out, " +- %.3g", half);
    }
    swl_buf_printf(out, "%s%s", unit[0] == '\0' ? "" : " ", unit);
}

static void put(maker *m, swl_buf *out, const char *key, double si, swl_dim dim)
{
    swl_buf_printf(out, "%s = ", key);
    put_value(m, out, si, dim, true);
    swl_buf_puts(out, chance(m, 0.05) ? " ; a remark\n" : "\n");
}

static void maybe(maker *m, swl_buf *out, double share, const char *key, double low, double high, swl_dim dim)
{
    if (chance(m, share)) {
        put(m, out, key, uniform(m, low, high), dim);
    }
}

static void put_text(swl_buf *out, const char *key, const char *text)
{
    swl_buf_printf(out, "%s = %s\n", key, text);
}

/* A drop at a mass flow, or at the volume flow of air of 1.2 kg/m3. */
static void put_loss(maker *m, swl_buf *out, const char *key, double dp_pa, double flow_kg_s)
{
    double mdot_kg_s = fmin(fmax(flow_kg_s, 2e-4), 19);
    swl_buf_printf(out, "%s = ", key);
    put_value(m, out, dp_pa, SWL_DIM_PRESSURE, true);
    swl_buf_puts(out, " at ");
    /* The exhaust's density is not known, so a back pressure stands at a mass flow. */
    if (strcmp(key, "back_pressure") == 0 || chance(m, 0.7)) {
        put_value(m, out, mdot_kg_s, SWL_DIM_MASS_FLOW, true);
    } else {
        put_value(m, out, mdot_kg_s / 1.2, SWL_DIM_VOLUME_FLOW, true);
    }
    swl_buf_puts(out, "\n");
}

/* The points of a curve, rising in x: inline, or in a file of its own. */
typedef struct curve_of {
    const char *key;
    const char *file;
    const char *head;
    swl_dim x_dim, y_dim;
    double x_scale, y_scale; /* of the file's units */
} curve_of;

static void put_curve(maker *m, swl_buf *out, const curve_of *c, const double *x, const double *y, int count)
{
    if (c->file != NULL && count > 1 && chance(m, 0.2)) {
        swl_buf *file = new_file(m, c->file);
        swl_buf_printf(file, "%s\n", c->head);
        for (int i = 0; i < count; i++) {
            swl_buf_printf(file, "%.8g,%.8g\n", x[i] / c->x_scale, y[i] / c->y_scale);
        }
        put_text(out, c->key, c->file);
        return;
    }
    swl_buf_printf(out, "%s = ", c->key);
    for (int i = 0; i < count; i++) {
        if (c->x_dim == SWL_DIM_SPEED) {
            swl_buf_printf(out, chance(m, 0.3) ? "%.7g rpm: " : "%.7g: ", x[i]);
        } else {
            put_value(m, out, x[i], c->x_dim, false);
            swl_buf_puts(out, ": ");
        }
        put_value(m, out, y[i], c->y_dim, true);
        swl_buf_puts(out, i + 1 == count ? "\n" : i % 3 == 2 ? ",\n    " : ", ");
    }
}

static void make_site(maker *m)
{
    swl_buf *out = m->build;
    double altitude_m = chance(m, 0.3) ? uniform(m, 2000, 4500) : uniform(m, -100, 600);
    m->p_pa = 101325 * pow(1 - 2.25577e-5 * altitude_m, 5.25588);
    m->t_k = uniform(m, 243, 318);
    swl_buf_puts(out, "[site]\n");
    bool temperature = chance(m, 0.9);
    if (temperature) {
        put(m, out, "temperature", m->t_k, SWL_DIM_TEMPERATURE);
    } else {
        m->t_k = 288.15 - 0.0065 * altitude_m;
    }
    if (chance(m, 0.5)) {
        put(m, out, "pressure", m->p_pa, SWL_DIM_PRESSURE);
    } else {
        put(m, out, "altitude", altitude_m, SWL_DIM_LENGTH);
    }
    maybe(m, out, 0.7, "relative_humidity", 0, 1, SWL_DIM_FRACTION);
}

static void make_corrections(maker *m)
{
    swl_buf *out = m->build;
    bool warm = chance(m, 0.6);
    if (warm) {
        put(m, out, "ve_temperature", uniform(m, 273, 323), SWL_DIM_TEMPERATURE);
        if (chance(m, 0.4)) {
            put_text(out, "ve_temperature_effect", chance(m, 0.8) ? "sqrt" : "none");
        }
    }
    bool ideal = m->known_ratio;
    if (m->known_ratio && chance(m, 0.4)) {
        ideal = chance(m, 0.7);
        put_text(out, "ve_pressure_effect", ideal ? "ideal cycle" : "none");
    }
    if (ideal) {
        maybe(m, out, 0.3, "ve_exhaust_ratio", 0.9, 1.3, SWL_DIM_NUMBER);
    }
    maybe(m, out, 0.2, "volumetric_efficiency_factor", 0.8, 1.2, SWL_DIM_NUMBER);
}

static void make_power(maker *m)
{
    static const char *const fuels[] = {"petrol", "e10", "e85", "ethanol", "methanol", "iso-octane"};
    static const curve_of friction = {
        "friction", "friction.csv", "engine speed [rpm],friction [kPa]", SWL_DIM_SPEED, SWL_DIM_PRESSURE, 1, 1000};
    swl_buf *out = m->build;
    if (chance(m, 0.6)) {
        put_text(out, "fuel", fuels[whole(m, 0, 5)]);
    }
    maybe(m, out, 0.6, "lambda", 0.7, 1.3, SWL_DIM_NUMBER);
    if (chance(m, 0.4)) {
        double rpm = uniform(m, 0.8, 1) * m->limit_rpm;
        swl_buf_puts(out, "known_power = ");
        put_value(m, out, uniform(m, 0.7, 1.1) * 1.2e6 * m->disp_m3 * rpm / 120, SWL_DIM_POWER, true);
        swl_buf_puts(out, " at ");
        put_value(m, out, rpm, SWL_DIM_SPEED, true);
        swl_buf_puts(out, "\n");
    } else {
        maybe(m, out, 0.4, "indicated_efficiency", 0.25, 0.45, SWL_DIM_FRACTION);
    }
    if (chance(m, 0.3)) {
        const double x[] = {m->from_rpm, 0.6 * m->limit_rpm + 0.4 * m->from_rpm, m->limit_rpm};
        const double y[] = {uniform(m, 8e4, 1.2e5), uniform(m, 1.2e5, 1.6e5), uniform(m, 1.6e5, 2.4e5)};
        put_curve(m, out, &friction, x, y, 3);
    }
    maybe(m, out, 0.5, "driveline_loss", 0, 0.3, SWL_DIM_FRACTION);
}

static void make_engine(maker *m)
{
    static const curve_of ve = {"volumetric_efficiency",
                                "ve.csv",
                                "engine speed [rpm],volumetric efficiency [%]",
                                SWL_DIM_SPEED,
                                SWL_DIM_FRACTION,
                                1,
                                0.01};
    swl_buf *out = m->build;
    double x[9];
    double y[9];
    swl_buf_puts(out, "[engine]\n");
    put(m, out, "displacement", m->disp_m3, SWL_DIM_VOLUME);
    if (chance(m, 0.7)) {
        swl_buf_printf(out, "cylinders = %d\n", whole(m, 1, 16));
    }
    m->known_ratio = chance(m, 0.6);
    if (m->known_ratio) {
        put(m, out, "compression_ratio", uniform(m, 7, 13), SWL_DIM_NUMBER);
    }
    put(m, out, "speed_from", m->from_rpm, SWL_DIM_SPEED);
    put(m, out, "speed_step", uniform(m, 400, 2500), SWL_DIM_SPEED);
    put(m, out, "speed_limit", m->limit_rpm, SWL_DIM_SPEED);
    maybe(m, out, 0.6, "over_rev", 50, 600, SWL_DIM_SPEED);
    int points = whole(m, 1, 9);
    for (int i = 0; i < points; i++) {
        x[i] = 1000 + 900 * i + uniform(m, 0, 400);
        y[i] = uniform(m, 0.6, 1.1);
    }
    put_curve(m, out, &ve, x, y, points);
    make_corrections(m);
    make_power(m);
    if (chance(m, 0.7)) {
        put_loss(m, out, "back_pressure", uniform(m, 500, 40000), uniform(m, 0.5, 1.5) * m->mdot_kg_s);
    }
}

static void make_intake(maker *m)
{
    swl_buf *out = m->build;
    /* The flow over the choked flow of the bore, which is 0.04 p A/sqrt(T). */
    double share = chance(m, 0.2) ? uniform(m, 1.2, 3) : uniform(m, 0.15, 1);
    double area_m2 = m->mdot_kg_s * sqrt(m->t_k) / (0.04 * m->p_pa * share);
    int bores = chance(m, 0.3) ? whole(m, 2, 8) : 1;
    double bore_m = sqrt(area_m2 / bores * 4 / TEST_PI);
    if (chance(m, 0.2)) {
        return;
    }
    swl_buf_puts(out, "[intake]\n");
    if (chance(m, 0.8)) {
        put(m, out, "throttle_bore", fmin(fmax(bore_m, 0.006), 0.48), SWL_DIM_LENGTH);
        if (bores > 1) {
            swl_buf_printf(out, "throttle_count = %d\n", bores);
        }
        maybe(m, out, 0.6, "throttle_coefficient", 0.6, 1, SWL_DIM_NUMBER);
    }
    if (chance(m, 0.2)) {
        double adapter_m = fmin(fmax(uniform(m, 0.9, 1.3) * sqrt(area_m2 * 4 / TEST_PI), 0.006), 0.3);
        put(m, out, "adapter_bore", adapter_m, SWL_DIM_LENGTH);
        put(m, out, "blower_inlet_bore", adapter_m * uniform(m, 1.05, 1.5), SWL_DIM_LENGTH);
    }
    if (chance(m, 0.7)) {
        put_loss(m, out, "loss", uniform(m, 100, 6000), uniform(m, 0.5, 1.5) * m->mdot_kg_s);
    }
    maybe(m, out, 0.5, "heat_pickup", 0.1, 15, SWL_DIM_TEMP_CHANGE);
}

static void make_drive(maker *m, double gear_ratio)
{
    swl_buf *out = m->build;
    double jackshaft = chance(m, 0.25) ? uniform(m, 0.6, 1.8) : 1;
    double b_m = 0;
    m->d_crank_m = uniform(m, 0.1, 0.22);
    m->d_blower_m = uniform(m, 0.05, 0.14);
    swl_buf_puts(out, "[drive]\n");
    put(m, out, "crank_pulley", m->d_crank_m, SWL_DIM_LENGTH);
    put(m, out, "blower_pulley", m->d_blower_m, SWL_DIM_LENGTH);
    if (jackshaft != 1) {
        put(m, out, "jackshaft_ratio", jackshaft, SWL_DIM_NUMBER);
    }
    if (chance(m, 0.5)) {
        swl_buf_printf(out, "belt = PK %d\n", whole(m, 3, 12));
        b_m = 0.002;
    } else if (chance(m, 0.4)) {
        b_m = uniform(m, 0.0005, 0.005);
        put(m, out, "line_differential", b_m, SWL_DIM_LENGTH);
    }
    maybe(m, out, 0.6, "slip", 0, 0.03, SWL_DIM_FRACTION);
    m->ratio = (m->d_crank_m + 2 * b_m) / (m->d_blower_m + 2 * b_m) * gear_ratio * jackshaft;
    m->top_rpm = m->ratio * m->limit_rpm;
}

static void make_front(maker *m)
{
    swl_buf *out = m->build;
    if (chance(m, 0.5)) {
        put(m, out, "front_effectiveness", uniform(m, 0.2, 0.9), SWL_DIM_FRACTION);
    } else {
        put(m, out, "front_ua", fmin(fmax(even_ratio(m, 0.5, 5) * 1000 * m->mdot_kg_s, 1.1), 9e4), SWL_DIM_HEAT_RATE);
    }
    put(m, out, "front_air_flow", fmin(fmax(uniform(m, 1, 6) * m->mdot_kg_s, 2e-3), 90), SWL_DIM_MASS_FLOW);
    maybe(m, out, 0.4, "front_air_temperature", 260, 320, SWL_DIM_TEMPERATURE);
}

static void make_soak(maker *m)
{
    swl_buf *out = m->build;
    swl_buf_puts(out, "[soak]\n");
    swl_buf_printf(out, "pulls = %d\n", whole(m, 1, 4));
    put(m, out, "pull_time", uniform(m, 2, 15), SWL_DIM_TIME);
    put(m, out, "rest_time", uniform(m, 5, 120), SWL_DIM_TIME);
    maybe(m, out, 0.3, "start_temperature", 283, 320, SWL_DIM_TEMPERATURE);
    maybe(m, out, 0.3, "recovered_within", 0.5, 10, SWL_DIM_TEMP_CHANGE);
    maybe(m, out, 0.3, "rest_heat", 50, 1500, SWL_DIM_POWER);
}

static void make_cooler(maker *m)
{
    static const curve_of curve = {"effectiveness_over_flow",
                                   "cooler.csv",
                                   "air mass flow [kg/s],effectiveness [%]",
                                   SWL_DIM_MASS_FLOW,
                                   SWL_DIM_FRACTION,
                                   1,
                                   0.01};
    swl_buf *out = m->build;
    double kind = uniform(m, 0, 1);
    if (chance(m, 0.25)) {
        return;
    }
    swl_buf_puts(out, "[cooler]\n");
    bool core = kind > 0.6;
    if (kind < 0.4) {
        put(m, out, "effectiveness", uniform(m, 0.2, 1), SWL_DIM_FRACTION);
    } else if (!core) {
        double most_kg_s = fmin(fmax(1.2 * m->mdot_kg_s, 2e-3), 19);
        const double x[] = {0.1 * most_kg_s, 0.5 * most_kg_s, most_kg_s};
        const double y[] = {uniform(m, 0.8, 0.95), uniform(m, 0.65, 0.8), uniform(m, 0.4, 0.65)};
        put_curve(m, out, &curve, x, y, whole(m, 1, 3));
    } else {
        put(m, out, "ua", fmin(fmax(even_ratio(m, 0.5, 4) * 1000 * m->mdot_kg_s, 1.1), 9e4), SWL_DIM_HEAT_RATE);
        if (chance(m, 0.5)) {
            swl_buf_printf(out, "passes = %d\n", whole(m, 1, 3));
        }
    }
    bool front = core ? chance(m, 0.5) : chance(m, 0.3);
    bool pump = core || front || chance(m, 0.2);
    if (pump) {
        put(m, out, "coolant_flow", fmin(fmax(even_ratio(m, 0.3, 4) * m->mdot_kg_s * 1e-3, 2e-6), 0.09),
            SWL_DIM_VOLUME_FLOW);
    }
    if (front) {
        make_front(m);
    } else {
        put(m, out, "coolant_temperature", m->t_k + uniform(m, -3, 35), SWL_DIM_TEMPERATURE);
    }
    bool volume = pump && chance(m, 0.6);
    if (volume) {
        put(m, out, "coolant_volume", uniform(m, 2e-3, 15e-3), SWL_DIM_VOLUME);
        maybe(m, out, 0.5, "metal_heat_capacity", 500, 20000, SWL_DIM_HEAT_CAPACITY);
    }
    if (pump && chance(m, 0.5)) {
        swl_buf_printf(out, "coolant = water-glycol %d %%\n", whole(m, 10, 60));
    }
    if (chance(m, 0.8)) {
        put_loss(m, out, "loss", uniform(m, 100, 12000), uniform(m, 0.8, 1.5) * m->mdot_kg_s);
    }
    if (volume && chance(m, 0.7)) {
        make_soak(m);
    }
}

static void make_fuel(maker *m)
{
    static const curve_of pump = {
        "pump_flow", "pump.csv", "pressure [kPa],flow [L/h]", SWL_DIM_PRESSURE, SWL_DIM_VOLUME_FLOW, 1000, 1e-3 / 3600};
    swl_buf *out = m->build;
    double rail_pa = uniform(m, 2.5e5, 6e5);
    double fuel_m3_s = m->mdot_kg_s / 12 / 745;
    int injectors = whole(m, 1, 12);
    swl_buf_puts(out, "[fuel]\n");
    swl_buf_printf(out, "injectors = %d\ninjector_flow = ", injectors);
    double each_m3_s = fmin(fmax(uniform(m, 0.9, 2.5) * fuel_m3_s / injectors, 3e-7), 1.4e-4);
    if (chance(m, 0.6)) {
        put_value(m, out, each_m3_s, SWL_DIM_VOLUME_FLOW, true);
    } else {
        put_value(m, out, each_m3_s * 745, SWL_DIM_MASS_FLOW, true);
    }
    swl_buf_puts(out, " at ");
    put_value(m, out, uniform(m, 2.5e5, 4e5), SWL_DIM_PRESSURE, true);
    swl_buf_puts(out, "\n");
    put(m, out, "rail_pressure", rail_pa, SWL_DIM_PRESSURE);
    put_text(out, "rail_reference", chance(m, 0.7) ? "manifold" : "site");
    if (chance(m, 0.6)) {
        const double x[] = {0.5 * rail_pa, rail_pa, 2 * rail_pa};
        double some_m3_s = fmin(fmax(fuel_m3_s, 3e-7), 3e-3);
        const double y[] = {uniform(m, 2, 3) * some_m3_s, uniform(m, 1.2, 2) * some_m3_s,
                            uniform(m, 0.6, 1.2) * some_m3_s};
        put_curve(m, out, &pump, x, y, 3);
    }
}

static void make_limits(maker *m)
{
    swl_buf *out = m->build;
    swl_buf_puts(out, "[limits]\n");
    maybe(m, out, 0.5, "boost", 2e4, 1.5e5, SWL_DIM_PRESSURE);
    maybe(m, out, 0.3, "pressure_ratio", 1.2, 3, SWL_DIM_NUMBER);
    maybe(m, out, 0.5, "discharge_temperature", 330, 460, SWL_DIM_TEMPERATURE);
    maybe(m, out, 0.5, "charge_temperature", 310, 400, SWL_DIM_TEMPERATURE);
    maybe(m, out, 0.4, "drive_power", 1000, 60000, SWL_DIM_POWER);
    maybe(m, out, 0.4, "manifold_pressure_sensor", 1.05e5, 3e5, SWL_DIM_PRESSURE);
    if (chance(m, 0.4)) {
        put(m, out, "mass_flow_sensor", fmin(fmax(uniform(m, 0.5, 2) * m->mdot_kg_s, 0.002), 9), SWL_DIM_MASS_FLOW);
    }
}

/* Crank, blower and an idler that presses on the back of the slack span. */
static void make_belt(maker *m)
{
    swl_buf *out = m->build;
    double apart_m = uniform(m, 0.35, 0.6);
    swl_buf_puts(out, "[belt]\npath = crank, blower\ntension = fixed centres\n");
    maybe(m, out, 0.7, "static_tension", 150, 900, SWL_DIM_FORCE);
    maybe(m, out, 0.4, "friction", 0.1, 0.4, SWL_DIM_NUMBER);
    maybe(m, out, 0.4, "speed_limit", 30, 80, SWL_DIM_VELOCITY);
    maybe(m, out, 0.4, "tension_limit", 500, 4000, SWL_DIM_FORCE);
    swl_buf_printf(out, "[pulley crank]\ncentre = 0 mm, 0 mm\n[pulley blower]\ncentre = %.5g mm, %.5g mm\n",
                   apart_m * uniform(m, -300, 300), apart_m * 1000);
}

static const char *decimal_separator(maker *m)
{
    return chance(m, 0.2) ? ";" : ",";
}

static void make_map(maker *m, double disp_m3_rev)
{
    swl_map_row rows[TEST_MAP_ROWS];
    char unit[24];
    double factor = 1;
    double offset = 0;
    double slow_rpm = m->top_rpm * uniform(m, 0.1, 0.3);
    double fast_rpm = m->top_rpm * uniform(m, 0.8, 1.2);
    size_t count = test_map_rows(&m->random, slow_rpm, fast_rpm, rows);
    const char *sep = decimal_separator(m);
    bool flow = chance(m, 0.6);
    bool extra = chance(m, 0.1);
    swl_buf *out = new_file(m, "map.csv");
    pick_unit(m, SWL_DIM_VOLUME_FLOW, unit, sizeof unit, &factor, &offset);
    if (flow) {
        swl_buf_printf(out, "blower speed [rpm]%spressure ratio%sflow [%s]", sep, sep, unit);
    } else {
        swl_buf_printf(out, "blower speed [rpm]%spressure ratio%svolumetric efficiency [%%]", sep, sep);
    }
    swl_buf_printf(out, "%sadiabatic efficiency [%%]%s%s\n", sep, extra ? sep : "", extra ? "remark" : "");
    /* Order is free: every other row from the end. */
    for (size_t k = 0; k < count; k++) {
        const swl_map_row *row = &rows[k % 2 == 0 ? k / 2 : count - 1 - k / 2];
        double vdot_m3_s = row->ev_frac * disp_m3_rev * row->speed_rpm / 60;
        swl_buf_printf(out, "%.8g%s%.8g%s%.10g%s%.8g%s%s\n", row->speed_rpm, sep, row->p_ratio, sep,
                       flow ? vdot_m3_s / factor - offset : row->ev_frac * 100, sep, row->ea_frac * 100,
                       extra ? sep : "", extra ? "read twice" : "");
    }
}

static void make_unit(maker *m, double disp_m3_rev, double gear_ratio)
{
    swl_buf *out = m->unit;
    swl_buf_printf(out, "[unit]\nname = Invented unit\nkind = %s\n", chance(m, 0.5) ? "roots" : "screw");
    put(m, out, "displacement", disp_m3_rev, SWL_DIM_VOLUME_REV);
    if (gear_ratio != 1) {
        put(m, out, "gear_ratio", gear_ratio, SWL_DIM_NUMBER);
    }
    maybe(m, out, 0.7, "continuous_speed", 0.8 * m->top_rpm, 1.25 * m->top_rpm, SWL_DIM_SPEED);
    maybe(m, out, 0.5, "short_time_speed", 1.3 * m->top_rpm, 1.5 * m->top_rpm, SWL_DIM_SPEED);
    maybe(m, out, 0.3, "rotor_diameter", 0.05, 0.2, SWL_DIM_LENGTH);
    maybe(m, out, 0.7, "mechanical_efficiency", 0.8, 1, SWL_DIM_FRACTION);
    swl_buf_puts(out, "[map]\ntable = map.csv\n");
    put(m, out, "temperature", uniform(m, 280, 310), SWL_DIM_TEMPERATURE);
    maybe(m, out, 0.4, "pressure", 9e4, 1.03e5, SWL_DIM_PRESSURE);
    put_text(out, "efficiency_from", chance(m, 0.5) ? "shaft power" : "temperature rise");
    maybe(m, out, 0.2, "volumetric_efficiency_factor", 0.93, 1.03, SWL_DIM_NUMBER);
    maybe(m, out, 0.2, "adiabatic_efficiency_factor", 0.9, 1.05, SWL_DIM_NUMBER);
    if (chance(m, 0.5)) {
        put_text(out, "source", "invented");
    }
}

wide wide_make(uint64_t seed)
{
    wide w = {0};
    maker m = {.out = &w, .random = {.state = seed * 0x2545F4914F6CDD1DU}};
    m.build = new_file(&m, "build.ini");
    m.unit = new_file(&m, "unit.ini");
    double over = uniform(&m, 0.8, 2.4);
    if (chance(&m, 0.1)) {
        over = chance(&m, 0.5) ? uniform(&m, 0.05, 0.3) : uniform(&m, 6, 20);
        w.odd = true;
    }
    swl_buf_printf(m.build, "[build]\nname = Invented %llu\nunits = %s\n", (unsigned long long)seed,
                   chance(&m, 0.5) ? "si" : "us");
    make_site(&m);
    m.disp_m3 = even_ratio(&m, 0.4e-3, 20e-3);
    m.from_rpm = uniform(&m, 800, 2000);
    m.limit_rpm = uniform(&m, 4000, 9000);
    /* About what the engine takes at its rev limit. */
    m.mdot_kg_s = over * m.disp_m3 * m.limit_rpm / 120 * m.p_pa / (287 * m.t_k);
    make_engine(&m);
    make_intake(&m);
    swl_buf_puts(m.build, "[blower]\nunit = unit.ini\n");
    double gear_ratio = chance(&m, 0.4) ? uniform(&m, 1, 3) : 1;
    make_drive(&m, gear_ratio);
    double disp_m3_rev = fmin(fmax(over * m.disp_m3 / 2 / m.ratio, 11e-6), 95e-3);
    make_cooler(&m);
    if (chance(&m, 0.4)) {
        make_fuel(&m);
    }
    make_limits(&m);
    if (chance(&m, 0.2)) {
        make_belt(&m);
    }
    make_unit(&m, disp_m3_rev, gear_ratio);
    make_map(&m, disp_m3_rev);
    return w;
}

void wide_free(wide *w)
{
    for (size_t i = 0; i < w->count; i++) {
        swl_buf_free(&w->files[i].text);
    }
    *w = (wide){0};
}

static swl_status read_wide(void *context, const char *path, swl_buf *out, swl_err *err)
{
    wide *w = context;
    for (size_t i = 0; i < w->count; i++) {
        if (strcmp(w->files[i].name, path) == 0) {
            swl_buf_put(out, swl_buf_text(&w->files[i].text), w->files[i].text.len);
            return swl_buf_status(out, err);
        }
    }
    return swl_err_set(err, SWL_ERR_READ, "is not among the files made");
}

swl_source wide_source(wide *w)
{
    return (swl_source){.read = read_wide, .context = w};
}

bool wide_write(const wide *w, const char *folder)
{
    bool good = true;
    for (size_t i = 0; i < w->count; i++) {
        char path[512];
        (void)snprintf(path, sizeof path, "%s/%s", folder, w->files[i].name);
        good = good && swl_file_save(path, swl_buf_text(&w->files[i].text), w->files[i].text.len, NULL) == SWL_OK;
    }
    return good;
}
