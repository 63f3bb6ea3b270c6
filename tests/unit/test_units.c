/* Units, numbers and what reports show. */
#include "support/near.h"

#include "sweptline/diag.h"
#include "sweptline/units.h"

#include <locale.h>
#include <stdio.h>
#include <string.h>

/* ---- every unit against its definition ---- */

enum { EXACT, SEVEN_DIGITS };

typedef struct unit_case {
    swl_dim dim;
    const char *unit;
    double number; /* so many of the unit */
    double si;     /* make so much in SI */
    int digits;
} unit_case;

/* SEVEN_DIGITS: as printed in A. Thompson, B. N. Taylor, Guide for the Use of the International System of Units,
 * NIST SP 811 (2008), appendix B.8, from memory. EXACT: by definition, there or in the SI brochure. */
static const unit_case unit_cases[] = {
    {SWL_DIM_FRACTION, "%", 25, 0.25, EXACT},
    {SWL_DIM_FRACTION, "percent", 25, 0.25, EXACT},
    {SWL_DIM_LENGTH, "mm", 1, 0.001, EXACT},
    {SWL_DIM_LENGTH, "cm", 1, 0.01, EXACT},
    {SWL_DIM_LENGTH, "m", 3, 3, EXACT},
    {SWL_DIM_LENGTH, "in", 1, 2.54e-2, EXACT},
    {SWL_DIM_LENGTH, "ft", 1, 3.048e-1, EXACT},
    {SWL_DIM_VOLUME, "L", 1, 1e-3, EXACT},
    {SWL_DIM_VOLUME, "cc", 1, 1e-6, EXACT},
    {SWL_DIM_VOLUME, "cm3", 1, 1e-6, EXACT},
    {SWL_DIM_VOLUME, "in3", 1, 1.6387064e-5, EXACT},
    {SWL_DIM_VOLUME, "cu in", 1, 1.6387064e-5, EXACT},
    {SWL_DIM_VOLUME, "m3", 2, 2, EXACT},
    {SWL_DIM_VOLUME, "ft3", 1, 2.831685e-2, SEVEN_DIGITS},
    {SWL_DIM_VOLUME_REV, "L/rev", 1, 1e-3, EXACT},
    {SWL_DIM_VOLUME_REV, "cc/rev", 1, 1e-6, EXACT},
    {SWL_DIM_VOLUME_REV, "cm3/rev", 1, 1e-6, EXACT},
    {SWL_DIM_VOLUME_REV, "in3/rev", 1, 1.6387064e-5, EXACT},
    {SWL_DIM_VOLUME, "US gal", 1, 3.785412e-3, SEVEN_DIGITS},
    {SWL_DIM_VOLUME_REV, "ft3/rev", 1, 2.831685e-2, SEVEN_DIGITS},
    {SWL_DIM_VOLUME_REV, "m3/rev", 2, 2, EXACT},
    {SWL_DIM_SPEED, "rpm", 6400, 6400, EXACT},
    {SWL_DIM_SPEED, "rev/min", 6400, 6400, EXACT},
    {SWL_DIM_SPEED, "1/min", 6400, 6400, EXACT},
    {SWL_DIM_TEMPERATURE, "degC", 25, 298.15, EXACT},
    {SWL_DIM_TEMPERATURE, "°C", -40, 233.15, EXACT},
    {SWL_DIM_TEMPERATURE, "degF", 212, 373.15, EXACT},
    {SWL_DIM_TEMPERATURE, "°F", -40, 233.15, EXACT},
    {SWL_DIM_TEMPERATURE, "K", 300, 300, EXACT},
    {SWL_DIM_TEMP_CHANGE, "K", 9, 9, EXACT},
    {SWL_DIM_TEMP_CHANGE, "degC", 9, 9, EXACT},
    {SWL_DIM_TEMP_CHANGE, "°C", 9, 9, EXACT},
    {SWL_DIM_TEMP_CHANGE, "degF", 9, 5, EXACT},
    {SWL_DIM_TEMP_CHANGE, "°F", 9, 5, EXACT},
    {SWL_DIM_PRESSURE, "Pa", 1, 1, EXACT},
    {SWL_DIM_PRESSURE, "hPa", 1, 100, EXACT},
    {SWL_DIM_PRESSURE, "kPa", 1, 1000, EXACT},
    {SWL_DIM_PRESSURE, "bar", 1, 1e5, EXACT},
    {SWL_DIM_PRESSURE, "mbar", 1, 100, EXACT},
    {SWL_DIM_PRESSURE, "psi", 1, 6.894757e3, SEVEN_DIGITS},
    {SWL_DIM_PRESSURE, "inHg", 1, 3.386389e3, SEVEN_DIGITS},  /* conventional */
    {SWL_DIM_PRESSURE, "mmHg", 1, 1.333224e2, SEVEN_DIGITS},  /* conventional */
    {SWL_DIM_PRESSURE, "inH2O", 1, 2.490889e2, SEVEN_DIGITS}, /* conventional */
    {SWL_DIM_MASS_FLOW, "kg/s", 1, 1, EXACT},
    {SWL_DIM_MASS_FLOW, "g/s", 1, 1e-3, EXACT},
    {SWL_DIM_MASS_FLOW, "kg/h", 3600, 1, EXACT},
    {SWL_DIM_MASS_FLOW, "kg/min", 60, 1, EXACT},
    {SWL_DIM_MASS_FLOW, "lb/min", 1, 7.559873e-3, SEVEN_DIGITS},
    {SWL_DIM_MASS_FLOW, "lb/h", 1, 1.259979e-4, SEVEN_DIGITS},
    {SWL_DIM_VOLUME_FLOW, "m3/s", 1, 1, EXACT},
    {SWL_DIM_VOLUME_FLOW, "m3/h", 3600, 1, EXACT},
    {SWL_DIM_VOLUME_FLOW, "m3/min", 60, 1, EXACT},
    {SWL_DIM_VOLUME_FLOW, "L/s", 1, 1e-3, EXACT},
    {SWL_DIM_VOLUME_FLOW, "L/min", 60, 1e-3, EXACT},
    {SWL_DIM_VOLUME_FLOW, "cc/min", 6e7, 1, EXACT},
    {SWL_DIM_VOLUME_FLOW, "L/h", 3.6e6, 1, EXACT},
    {SWL_DIM_VOLUME_FLOW, "ft3/min", 1, 4.719474e-4, SEVEN_DIGITS},
    {SWL_DIM_VOLUME_FLOW, "cfm", 1, 4.719474e-4, SEVEN_DIGITS},
    {SWL_DIM_VOLUME_FLOW, "US gal/min", 1, 6.309020e-5, SEVEN_DIGITS},
    {SWL_DIM_POWER, "W", 1, 1, EXACT},
    {SWL_DIM_POWER, "kW", 1, 1000, EXACT},
    {SWL_DIM_POWER, "hp", 1, 7.456999e2, SEVEN_DIGITS}, /* 550 ft lbf/s */
    {SWL_DIM_POWER, "PS", 1, 7.354988e2, SEVEN_DIGITS}, /* metric */
    {SWL_DIM_TORQUE, "N.m", 1, 1, EXACT},
    {SWL_DIM_TORQUE, "Nm", 1, 1, EXACT},
    {SWL_DIM_TORQUE, "lbf.ft", 1, 1.355818, SEVEN_DIGITS},
    {SWL_DIM_FORCE, "N", 1, 1, EXACT},
    {SWL_DIM_FORCE, "lbf", 1, 4.448222, SEVEN_DIGITS},
    {SWL_DIM_HEAT_RATE, "W/K", 1, 1, EXACT},
    {SWL_DIM_HEAT_RATE, "kW/K", 1, 1000, EXACT},
    {SWL_DIM_TIME, "s", 1, 1, EXACT},
    {SWL_DIM_TIME, "ms", 1, 0.001, EXACT},
    {SWL_DIM_HEAT_CAPACITY, "J/K", 1, 1, EXACT},
    {SWL_DIM_HEAT_CAPACITY, "kJ/K", 1, 1000, EXACT},
    {SWL_DIM_TIME, "min", 1, 60, EXACT},
    {SWL_DIM_ANGLE, "rad", 1, 1, EXACT},
    {SWL_DIM_ANGLE, "deg", 180, 3.14159265358979324, EXACT},
    {SWL_DIM_VELOCITY, "m/s", 1, 1, EXACT},
    {SWL_DIM_VELOCITY, "ft/s", 1, 0.3048, EXACT},
    {SWL_DIM_VELOCITY, "ft/min", 1, 0.00508, EXACT},
    {SWL_DIM_LINE_MASS, "kg/m", 1, 1, EXACT},
    {SWL_DIM_LINE_MASS, "g/m", 1, 0.001, EXACT},
    {SWL_DIM_LINE_MASS, "lb/ft", 1, 1.488164, SEVEN_DIGITS},
};
enum { UNIT_CASES = sizeof unit_cases / sizeof unit_cases[0] };

static double case_tolerance(const unit_case *row)
{
    return row->digits == EXACT ? 4e-16 * fabs(row->si) : 0.5e-6 * pow(10, floor(log10(row->si)));
}

static double quantity(const char *text, swl_dim dim)
{
    swl_quantity read = {0};
    swl_fault fault = {0};
    if (!swl_quantity_read(swl_slice_of(text), dim, &read, &fault)) {
        fail_msg("`%s`: %s", text, fault.text);
    }
    return read.value;
}

static void units_by_definition(void **state)
{
    (void)state;
    for (size_t i = 0; i < UNIT_CASES; i++) {
        const unit_case *row = &unit_cases[i];
        char text[64];
        (void)snprintf(text, sizeof text, "%g %s", row->number, row->unit);
        swl_near_row(text, row->si, quantity(text, row->dim), case_tolerance(row));
        double factor = 0;
        double offset = 0;
        swl_fault fault;
        assert_true(swl_unit_read(swl_slice_of(row->unit), row->dim, &factor, &offset, &fault));
        swl_near_row(row->unit, row->si, (row->number + offset) * factor, case_tolerance(row));
    }
}

/* A unit that messages name and that no row above defines would go unchecked. */
static void units_listed_are_all_checked(void **state)
{
    (void)state;
    for (swl_dim dim = SWL_DIM_NUMBER; dim < SWL_DIM_COUNT; dim++) {
        assert_true(strlen(swl_dim_words(dim)) > 5);
        swl_buf list = {0};
        swl_dim_units(dim, &list);
        swl_slice rest = swl_slice_of(swl_buf_text(&list));
        assert_true(dim == SWL_DIM_NUMBER ? rest.len == 0 : rest.len > 0);
        while (dim != SWL_DIM_NUMBER && rest.at != NULL) {
            swl_slice unit = swl_slice_trim(swl_slice_split(&rest, ','));
            size_t at = 0;
            while (at < UNIT_CASES && !(unit_cases[at].dim == dim && swl_slice_is(unit, unit_cases[at].unit))) {
                at++;
            }
            if (at == UNIT_CASES) {
                fail_msg("no check for the unit %.*s of %s", (int)unit.len, unit.at, swl_dim_words(dim));
            }
        }
        swl_buf_free(&list);
    }
}

static void units_refuse(void **state)
{
    (void)state;
    static const struct {
        const char *text;
        swl_dim dim;
        size_t at;
        const char *words;
    } rows[] = {
        {"12", SWL_DIM_LENGTH, 2, "the unit is missing; a length with its unit is accepted: mm, cm, m, in, ft"},
        {"12 ", SWL_DIM_SPEED, 2, "the unit is missing; a shaft speed with its unit is accepted: rpm"},
        {"12 psi", SWL_DIM_LENGTH, 3, "read the unit `psi`, which makes it a pressure; a length"},
        {"12 furlong", SWL_DIM_LENGTH, 3, "read the unit `furlong`, which is not known; a length"},
        {"12 MM", SWL_DIM_LENGTH, 3, "read the unit `MM`, which is not known; did you mean mm? a length"},
        {"12 C", SWL_DIM_TEMPERATURE, 3, "read the unit `C`, which is not known; did you mean degC? a temperature"},
        {"12 F", SWL_DIM_TEMP_CHANGE, 3, "read the unit `F`, which is not known; did you mean degF? a temperature"},
        {"12 mba", SWL_DIM_PRESSURE, 3, "read the unit `mba`, which is not known; did you mean mbar? a pressure"},
        {"12 gal", SWL_DIM_VOLUME, 3, "read the unit `gal`, which is not known; did you mean US gal? a volume"},
        {"12 gpm", SWL_DIM_VOLUME_FLOW, 3, "read the unit `gpm`, which is not known; did you mean US gal/min? a vol"},
        {"12 LPH", SWL_DIM_VOLUME_FLOW, 3, "read the unit `LPH`, which is not known; did you mean L/h? a volume flow"},
        {"12 pph", SWL_DIM_MASS_FLOW, 3, "read the unit `pph`, which is not known; did you mean lb/h? a mass flow"},
        {"12 ft-lb", SWL_DIM_TORQUE, 3, "read the unit `ft-lb`, which is not known; did you mean lbf.ft? a torque"},
        {"12 bhp", SWL_DIM_POWER, 3, "read the unit `bhp`, which is not known; did you mean hp? a power"},
        {"12 gal", SWL_DIM_LENGTH, 3, "read the unit `gal`, which is not known; a length"},
        {"12 m", SWL_DIM_NUMBER, 3, "read `m` after the number; a bare number is accepted"},
        {"fast", SWL_DIM_SPEED, 0, "read `fast`, which does not start with a number; a shaft speed"},
        {"", SWL_DIM_SPEED, 0, "read nothing; a shaft speed with its unit is accepted"},
        {"12,5 mm", SWL_DIM_LENGTH, 2, "read `12,5 mm`, a number with a comma; write 1.5 or 14000"},
        {"1 000 rpm", SWL_DIM_SPEED, 2, "read the unit `000 rpm`, which is not known"},
        {"10 % x", SWL_DIM_FRACTION, 3, "read the unit `% x`, which is not known; a percentage or a bare fraction"},
        {"5 kg/s +- 1 psi", SWL_DIM_MASS_FLOW, 12, "read the unit `psi`, which makes it a pressure"},
        {"5 +- -1 kg/s", SWL_DIM_MASS_FLOW, 5, "read `-1 kg/s` after +-; 0 or more is accepted"},
        {"5 kg/s +-", SWL_DIM_MASS_FLOW, 9, "read nothing; a mass flow with its unit is accepted"},
        {"+- 1 kg/s", SWL_DIM_MASS_FLOW, 0, "read nothing; a mass flow with its unit is accepted"},
        {"1e999 +- 1 K", SWL_DIM_TEMPERATURE, 0, "read `1e999`, which is too large"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        swl_quantity read = {0};
        swl_fault fault = {0};
        assert_false(swl_quantity_read(swl_slice_of(rows[i].text), rows[i].dim, &read, &fault));
        if (strncmp(fault.text, rows[i].words, strlen(rows[i].words)) != 0) {
            fail_msg("row %zu: want %s..., got %s", i, rows[i].words, fault.text);
        }
        assert_int_equal(fault.at - rows[i].text, rows[i].at);
    }
    double factor = 0;
    double offset = 0;
    swl_fault fault;
    assert_false(swl_unit_read(swl_slice_of(" psi "), SWL_DIM_SPEED, &factor, &offset, &fault));
}

/* A long word is shown cut, and between characters. */
static void fault_shows_forty_bytes(void **state)
{
    (void)state;
    swl_buf text = {0};
    swl_buf_puts(&text, "1 a");
    for (int i = 0; i < 30; i++) {
        swl_buf_puts(&text, "\xC3\xA9");
    }
    swl_quantity read;
    swl_fault fault;
    assert_false(swl_quantity_read(swl_slice_of(swl_buf_text(&text)), SWL_DIM_LENGTH, &read, &fault));
    const char *close = strstr(fault.text, "`, which");
    assert_non_null(close);
    assert_int_equal(close - strchr(fault.text, '`') - 1, 39);
    swl_buf_free(&text);
}

/* ---- half-widths ---- */

static void half_widths(void **state)
{
    (void)state;
    static const struct {
        const char *text;
        swl_dim dim;
        double value, half_width;
    } rows[] = {
        {"5 kPa", SWL_DIM_PRESSURE, 5000, 0},
        {"5 +- 0.5 kPa", SWL_DIM_PRESSURE, 5000, 500},
        {"5 kPa +- 2 mbar", SWL_DIM_PRESSURE, 5000, 200},
        {"5+-1kPa", SWL_DIM_PRESSURE, 5000, 1000},
        {"1e3 +- 1e1 rpm", SWL_DIM_SPEED, 1000, 10},
        {"-5 +- 2 degC", SWL_DIM_TEMPERATURE, 268.15, 2},
        {"-5 degC +- 2 K", SWL_DIM_TEMPERATURE, 268.15, 2},
        {"77 +- 9 degF", SWL_DIM_TEMPERATURE, 298.15, 5},
        {"77 degF +- 9 degF", SWL_DIM_TEMPERATURE, 298.15, 5},
        {"25 degC +- 9 degF", SWL_DIM_TEMPERATURE, 298.15, 5},
        {"80 +- 2 %", SWL_DIM_FRACTION, 0.8, 0.02},
        {"0.8 +- 0.02", SWL_DIM_FRACTION, 0.8, 0.02},
        {"1.4 +- 0.1", SWL_DIM_NUMBER, 1.4, 0.1},
        {" +3 +- 0 m ", SWL_DIM_LENGTH, 3, 0},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        swl_quantity read = {0};
        swl_fault fault = {0};
        if (!swl_quantity_read(swl_slice_of(rows[i].text), rows[i].dim, &read, &fault)) {
            fail_msg("`%s`: %s", rows[i].text, fault.text);
        }
        swl_near_row(rows[i].text, rows[i].value, read.value, 1e-15 * fabs(rows[i].value));
        swl_near_row(rows[i].text, rows[i].half_width, read.half_width, 1e-15 * rows[i].half_width);
    }
}

/* ---- numbers ---- */

static void numbers_accepted(void **state)
{
    (void)state;
    static const struct {
        const char *text;
        double value;
    } rows[] = {
        {"0", 0},
        {"-0", 0},
        {"7", 7},
        {"+7", 7},
        {"-7.25", -7.25},
        {"007", 7},
        {".5", 0.5},
        {"5.", 5},
        {"1e3", 1e3},
        {"1E+3", 1e3},
        {"2.5e-3", 2.5e-3},
        {" 12\t", 12},
        {"1.5\n", 1.5},
        {"1e308", 1e308},
        {"0.1", 0.1},
        {"14000", 14000},
        {"1e-999", 0},
        {"123456789012345678901234567890", 123456789012345678901234567890.0},
        {"000000000000000000000000000000000000000000000000000000000000001", 1}, /* 63 characters */
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        double value = NAN;
        swl_fault fault;
        if (!swl_number_read(swl_slice_of(rows[i].text), &value, &fault)) {
            fail_msg("`%s`: %s", rows[i].text, fault.text);
        }
        swl_near_row(rows[i].text, rows[i].value, value, 0);
    }
    double value = NAN;
    swl_fault fault;
    assert_true(swl_number_read((swl_slice){"1234", 2}, &value, &fault)); /* no NUL behind it */
    swl_near(12, value, 0);
}

static void numbers_refused(void **state)
{
    (void)state;
    static const char *const rows[] = {
        "",
        " ",
        "x",
        "nan",
        "NaN",
        "inf",
        "-Infinity",
        "0x10",
        "1,5",
        "14,000",
        "1 2",
        "1_000",
        "1e",
        "1e+",
        "1.2.3",
        "--1",
        "+-1",
        "- 1",
        ".",
        "-.",
        "e5",
        ".e5",
        "1f",
        "1d0",
        "1e999",
        "5 m",
        "-1e999",
        "１２",
        "1'000.0",
        "0b11",
        "1e5.5",
        "(1)",
        "\xC2\xBD",
        "1;",
        "0000000000000000000000000000000000000000000000000000000000000001", /* 64 characters */
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        double value = 0;
        swl_fault fault = {0};
        if (swl_number_read(swl_slice_of(rows[i]), &value, &fault)) {
            fail_msg("`%s` was read as %g", rows[i], value);
        }
        assert_true(strlen(fault.text) > 10);
        assert_true(fault.at >= rows[i] && fault.at <= rows[i] + strlen(rows[i]));
    }
}

/* ---- what reports show ---- */

/* A shown value with its unit reads back as the SI value it came from. */
static void shown_is_the_inverse_of_read(void **state)
{
    (void)state;
    static const swl_dim dims[SWL_SHOW_COUNT] = {
        [SWL_SHOW_ENGINE_SPEED] = SWL_DIM_SPEED,
        [SWL_SHOW_BLOWER_SPEED] = SWL_DIM_SPEED,
        [SWL_SHOW_RATIO] = SWL_DIM_NUMBER,
        [SWL_SHOW_FRACTION] = SWL_DIM_FRACTION,
        [SWL_SHOW_BOOST] = SWL_DIM_PRESSURE,
        [SWL_SHOW_PRESSURE] = SWL_DIM_PRESSURE,
        [SWL_SHOW_TEMPERATURE] = SWL_DIM_TEMPERATURE,
        [SWL_SHOW_TEMP_CHANGE] = SWL_DIM_TEMP_CHANGE,
        [SWL_SHOW_MASS_FLOW] = SWL_DIM_MASS_FLOW,
        [SWL_SHOW_VOLUME_FLOW] = SWL_DIM_VOLUME_FLOW,
        [SWL_SHOW_POWER] = SWL_DIM_POWER,
        [SWL_SHOW_TORQUE] = SWL_DIM_TORQUE,
        [SWL_SHOW_LENGTH] = SWL_DIM_LENGTH,
        [SWL_SHOW_ALTITUDE] = SWL_DIM_LENGTH,
        [SWL_SHOW_VOLUME] = SWL_DIM_VOLUME,
        [SWL_SHOW_FUEL_FLOW] = SWL_DIM_MASS_FLOW,
        [SWL_SHOW_ANGLE] = SWL_DIM_ANGLE,
        [SWL_SHOW_VELOCITY] = SWL_DIM_VELOCITY,
        [SWL_SHOW_FORCE] = SWL_DIM_FORCE,
        [SWL_SHOW_LINE_MASS] = SWL_DIM_LINE_MASS,
        [SWL_SHOW_HEAT_FLOW] = SWL_DIM_POWER,
        [SWL_SHOW_HEAT_CAPACITY] = SWL_DIM_HEAT_CAPACITY,
        [SWL_SHOW_LIQUID_VOLUME] = SWL_DIM_VOLUME,
        [SWL_SHOW_LIQUID_FLOW] = SWL_DIM_VOLUME_FLOW,
    };
    static const double values[] = {0.1, 1, 273.15, 298.15, 12345.678};
    for (swl_show show = 0; show < SWL_SHOW_COUNT; show++) {
        for (swl_units units = SWL_UNITS_SI; units <= SWL_UNITS_US; units++) {
            swl_shown shown = swl_shown_as(show, units);
            assert_in_range(shown.decimals, 0, 4);
            if (show == SWL_SHOW_DENSITY || show == SWL_SHOW_ENERGY) {
                continue; /* no file gives one; a known figure below */
            }
            for (size_t i = 0; i < sizeof values / sizeof values[0]; i++) {
                char text[80];
                /* A report says that a pressure is absolute; in a file the key does. */
                const char *unit = strcmp(shown.unit, "psia") == 0 ? "psi" : shown.unit;
                (void)snprintf(text, sizeof text, "%.17g %s", swl_shown_value(values[i], show, units), unit);
                swl_near_row(text, values[i], quantity(text, dims[show]), 1e-13 * (values[i] + 273.15));
            }
        }
    }
}

static void shown_in_known_figures(void **state)
{
    (void)state;
    swl_near(14.69595, swl_shown_value(101325, SWL_SHOW_PRESSURE, SWL_UNITS_US), 4e-7); /* NIST SP 811: 1 atm */
    swl_near(101.325, swl_shown_value(101325, SWL_SHOW_PRESSURE, SWL_UNITS_SI), 1e-15);
    swl_near(1.055056e3, 1 / swl_shown_value(1, SWL_SHOW_ENERGY, SWL_UNITS_US), 5e-7);    /* NIST SP 811: 1 Btu (IT) */
    swl_near(1.758427e1, 1 / swl_shown_value(1, SWL_SHOW_HEAT_FLOW, SWL_UNITS_US), 5e-7); /* NIST SP 811: Btu/min */
    swl_near(1.899101e3, 1 / swl_shown_value(1, SWL_SHOW_HEAT_CAPACITY, SWL_UNITS_US),
             5e-7); /* NIST SP 811: Btu/degF */
    swl_near(3.785412e-3, 1 / swl_shown_value(1, SWL_SHOW_LIQUID_VOLUME, SWL_UNITS_US), 4e-7); /* NIST SP 811: 1 gal */
    swl_near(6.309020e-5, 1 / swl_shown_value(1, SWL_SHOW_LIQUID_FLOW, SWL_UNITS_US), 4e-7); /* NIST SP 811: gal/min */
    swl_near(16.01846, 1 / swl_shown_value(1, SWL_SHOW_DENSITY, SWL_UNITS_US), 4e-7);        /* NIST SP 811: 1 lb/ft3 */
    swl_near(212, swl_shown_value(373.15, SWL_SHOW_TEMPERATURE, SWL_UNITS_US), 1e-14);
    swl_near(100, swl_shown_value(373.15, SWL_SHOW_TEMPERATURE, SWL_UNITS_SI), 1e-14);
    swl_near(180, swl_shown_value(100, SWL_SHOW_TEMP_CHANGE, SWL_UNITS_US), 1e-15);
    swl_is_nan(swl_shown_value(NAN, SWL_SHOW_POWER, SWL_UNITS_US));
    assert_string_equal(swl_shown_as(SWL_SHOW_BOOST, SWL_UNITS_US).unit, "psi");
    assert_string_equal(swl_shown_as(SWL_SHOW_BOOST, SWL_UNITS_SI).unit, "kPa");
}

/* NACA Technical Report 230 (Ware, 1926), abstract: 0.51 cubic feet per revolution, which is 14.44 L. */
static void naca_230_displacement(void **state)
{
    (void)state;
    swl_near_abs(14.44e-3, quantity("0.51 ft3/rev", SWL_DIM_VOLUME_REV), 0.005e-3);
}

/* ---- locale ---- */

static bool decimal_comma_set(void)
{
    static const char *const names[] = {"de_DE.UTF-8", "de_DE.utf8",  "de_DE",       "fr_FR.UTF-8", "fr_FR",
                                        "it_IT.UTF-8", "es_ES.UTF-8", "nl_NL.UTF-8", "pt_BR.UTF-8", "cs_CZ.UTF-8"};
    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++) {
        if (setlocale(LC_ALL, names[i]) != NULL && strcmp(localeconv()->decimal_point, ",") == 0) {
            return true;
        }
    }
    (void)setlocale(LC_ALL, "C");
    return false;
}

static void numbers_without_locale(void **state)
{
    (void)state;
    if (!decimal_comma_set()) {
        print_message("no locale with a decimal comma is installed: not checked\n");
        skip();
    }
    char host[32];
    swl_buf buf = {0};
    swl_err err = {0};
    swl_diags diags = {0};
    swl_near(1234.5, quantity("1234.5 kPa", SWL_DIM_PRESSURE) / 1000, 1e-15);
    swl_buf_printf(&buf, "%.1f %'d %.600f", 1.5, 1234567, 0.5);
    assert_int_equal(strncmp(swl_buf_text(&buf), "1.5 1234567 0.5000", 18), 0);
    assert_int_equal(swl_err_set(&err, SWL_ERR_INPUT, "%.1f", 1.5), SWL_ERR_INPUT);
    assert_string_equal(err.text, "1.5");
    swl_diag_file(&diags, SWL_NOTE, "a", "%.1f", 1.5);
    assert_string_equal(diags.items[0].message, "1.5");
    /* The host program's own locale still holds afterwards. */
    (void)snprintf(host, sizeof host, "%.1f", 1.5);
    assert_string_equal(host, "1,5");
    (void)setlocale(LC_ALL, "C");
    swl_diag_free(&diags);
    swl_buf_free(&buf);
}

/* A limit of a chart is the table's figure: never rounded to one that is not the limit. */
static void figures_take_the_decimals_they_need(void **state)
{
    (void)state;
    assert_int_equal(swl_shown_decimals(65.5, SWL_SHOW_BOOST, SWL_UNITS_SI), 1);
    assert_int_equal(swl_shown_decimals(70.000000001, SWL_SHOW_BOOST, SWL_UNITS_SI), 0);
    assert_int_equal(swl_shown_decimals(10.15, SWL_SHOW_BOOST, SWL_UNITS_US), 2);
    assert_int_equal(swl_shown_decimals(9.5, SWL_SHOW_BOOST, SWL_UNITS_US), 1);
    assert_int_equal(swl_shown_decimals(120, SWL_SHOW_TEMPERATURE, SWL_UNITS_SI), 0);
    assert_int_equal(swl_shown_decimals(12345, SWL_SHOW_BLOWER_SPEED, SWL_UNITS_SI), 0);
    assert_int_equal(swl_shown_decimals(-40, SWL_SHOW_TEMPERATURE, SWL_UNITS_SI), 0);
    assert_int_equal(swl_shown_decimals(0, SWL_SHOW_POWER, SWL_UNITS_SI), 0);
    assert_true(swl_shown_decimals(NAN, SWL_SHOW_POWER, SWL_UNITS_SI) <= 1);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(figures_take_the_decimals_they_need),
        cmocka_unit_test(units_by_definition),
        cmocka_unit_test(units_listed_are_all_checked),
        cmocka_unit_test(units_refuse),
        cmocka_unit_test(fault_shows_forty_bytes),
        cmocka_unit_test(half_widths),
        cmocka_unit_test(numbers_accepted),
        cmocka_unit_test(numbers_refused),
        cmocka_unit_test(shown_is_the_inverse_of_read),
        cmocka_unit_test(shown_in_known_figures),
        cmocka_unit_test(naca_230_displacement),
        cmocka_unit_test(numbers_without_locale),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
