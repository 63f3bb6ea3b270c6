#include "sweptline/units.h"

#include "base/locale_c.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* SI value = (number + offset) * factor. */
typedef struct unit_row {
    swl_dim dim;
    bool listed; /* named in messages; the others are further spellings */
    const char *name;
    double factor;
    double offset;
} unit_row;

/* Exact by definition: inch 25.4 mm, pound 0.45359237 kg, standard gravity 9.80665 m/s2, columns of mercury and water
 * at the conventional densities (NIST SP 811, appendix B); horsepower 550 ft.lbf/s; metric horsepower (PS) 75 kgf.m/s.
 */
#define MERCURY 13595.1
#define WATER 1000.0
#define INCH 0.0254
#define POUND 0.45359237
#define GRAVITY 9.80665
#define US_GALLON (231 * INCH * INCH * INCH)
#define BTU 1055.05585262 /* of the international table */
#define DEGREE (3.14159265358979323846 / 180)

static const unit_row unit_rows[] = {
    {SWL_DIM_FRACTION, true, "%", 0.01, 0},
    {SWL_DIM_FRACTION, false, "percent", 0.01, 0},
    {SWL_DIM_LENGTH, true, "mm", 1e-3, 0},
    {SWL_DIM_LENGTH, true, "cm", 1e-2, 0},
    {SWL_DIM_LENGTH, true, "m", 1, 0},
    {SWL_DIM_LENGTH, true, "in", INCH, 0},
    {SWL_DIM_LENGTH, true, "ft", 12 * INCH, 0},
    {SWL_DIM_VOLUME, true, "L", 1e-3, 0},
    {SWL_DIM_VOLUME, true, "cc", 1e-6, 0},
    {SWL_DIM_VOLUME, true, "cm3", 1e-6, 0},
    {SWL_DIM_VOLUME, true, "in3", INCH *INCH *INCH, 0},
    {SWL_DIM_VOLUME, true, "cu in", INCH *INCH *INCH, 0},
    {SWL_DIM_VOLUME, true, "m3", 1, 0},
    {SWL_DIM_VOLUME, true, "ft3", 1728 * INCH *INCH *INCH, 0},
    {SWL_DIM_VOLUME, true, "US gal", US_GALLON, 0},
    {SWL_DIM_VOLUME_REV, true, "L/rev", 1e-3, 0},
    {SWL_DIM_VOLUME_REV, true, "cc/rev", 1e-6, 0},
    {SWL_DIM_VOLUME_REV, true, "cm3/rev", 1e-6, 0},
    {SWL_DIM_VOLUME_REV, true, "in3/rev", INCH *INCH *INCH, 0},
    {SWL_DIM_VOLUME_REV, true, "ft3/rev", 1728 * INCH *INCH *INCH, 0},
    {SWL_DIM_VOLUME_REV, true, "m3/rev", 1, 0},
    {SWL_DIM_SPEED, true, "rpm", 1, 0},
    {SWL_DIM_SPEED, false, "rev/min", 1, 0},
    {SWL_DIM_SPEED, false, "1/min", 1, 0},
    {SWL_DIM_TEMPERATURE, true, "degC", 1, 273.15},
    {SWL_DIM_TEMPERATURE, true, "degF", 5.0 / 9.0, 459.67},
    {SWL_DIM_TEMPERATURE, true, "K", 1, 0},
    {SWL_DIM_TEMPERATURE, false, "°C", 1, 273.15},
    {SWL_DIM_TEMPERATURE, false, "°F", 5.0 / 9.0, 459.67},
    {SWL_DIM_TEMP_CHANGE, true, "K", 1, 0},
    {SWL_DIM_TEMP_CHANGE, true, "degC", 1, 0},
    {SWL_DIM_TEMP_CHANGE, true, "degF", 5.0 / 9.0, 0},
    {SWL_DIM_TEMP_CHANGE, false, "°C", 1, 0},
    {SWL_DIM_TEMP_CHANGE, false, "°F", 5.0 / 9.0, 0},
    {SWL_DIM_PRESSURE, true, "kPa", 1e3, 0},
    {SWL_DIM_PRESSURE, true, "bar", 1e5, 0},
    {SWL_DIM_PRESSURE, true, "mbar", 100, 0},
    {SWL_DIM_PRESSURE, true, "psi", POUND *GRAVITY / (INCH * INCH), 0},
    {SWL_DIM_PRESSURE, true, "inHg", MERCURY *GRAVITY *INCH, 0},
    {SWL_DIM_PRESSURE, true, "mmHg", MERCURY *GRAVITY * 1e-3, 0},
    {SWL_DIM_PRESSURE, true, "inH2O", WATER *GRAVITY *INCH, 0},
    {SWL_DIM_PRESSURE, true, "Pa", 1, 0},
    {SWL_DIM_PRESSURE, false, "hPa", 100, 0},
    {SWL_DIM_MASS_FLOW, true, "kg/s", 1, 0},
    {SWL_DIM_MASS_FLOW, true, "g/s", 1e-3, 0},
    {SWL_DIM_MASS_FLOW, true, "kg/h", 1.0 / 3600, 0},
    {SWL_DIM_MASS_FLOW, true, "kg/min", 1.0 / 60, 0},
    {SWL_DIM_MASS_FLOW, true, "lb/min", POUND / 60, 0},
    {SWL_DIM_MASS_FLOW, true, "lb/h", POUND / 3600, 0},
    {SWL_DIM_VOLUME_FLOW, true, "m3/s", 1, 0},
    {SWL_DIM_VOLUME_FLOW, true, "m3/h", 1.0 / 3600, 0},
    {SWL_DIM_VOLUME_FLOW, true, "L/s", 1e-3, 0},
    {SWL_DIM_VOLUME_FLOW, true, "L/min", 1e-3 / 60, 0},
    {SWL_DIM_VOLUME_FLOW, true, "cc/min", 1e-6 / 60, 0},
    {SWL_DIM_VOLUME_FLOW, true, "L/h", 1e-3 / 3600, 0},
    {SWL_DIM_VOLUME_FLOW, true, "ft3/min", 1728 * INCH *INCH *INCH / 60, 0},
    {SWL_DIM_VOLUME_FLOW, true, "cfm", 1728 * INCH *INCH *INCH / 60, 0},
    {SWL_DIM_VOLUME_FLOW, false, "m3/min", 1.0 / 60, 0},
    {SWL_DIM_VOLUME_FLOW, true, "US gal/min", US_GALLON / 60, 0},
    {SWL_DIM_POWER, true, "kW", 1e3, 0},
    {SWL_DIM_POWER, true, "hp", 550 * 12 * INCH *POUND *GRAVITY, 0},
    {SWL_DIM_POWER, true, "PS", 75 * GRAVITY, 0},
    {SWL_DIM_POWER, true, "W", 1, 0},
    {SWL_DIM_POWER, false, "Btu/min", BTU / 60, 0},
    {SWL_DIM_TORQUE, true, "N.m", 1, 0},
    {SWL_DIM_TORQUE, false, "Nm", 1, 0},
    {SWL_DIM_TORQUE, true, "lbf.ft", 12 * INCH *POUND *GRAVITY, 0},
    {SWL_DIM_FORCE, true, "N", 1, 0},
    {SWL_DIM_FORCE, true, "lbf", POUND *GRAVITY, 0},
    {SWL_DIM_HEAT_RATE, true, "W/K", 1, 0},
    {SWL_DIM_HEAT_RATE, true, "kW/K", 1e3, 0},
    {SWL_DIM_HEAT_CAPACITY, true, "kJ/K", 1e3, 0},
    {SWL_DIM_HEAT_CAPACITY, true, "J/K", 1, 0},
    {SWL_DIM_HEAT_CAPACITY, false, "Btu/degF", BTU * 1.8, 0},
    {SWL_DIM_TIME, true, "s", 1, 0},
    {SWL_DIM_TIME, true, "ms", 1e-3, 0},
    {SWL_DIM_TIME, true, "min", 60, 0},
    {SWL_DIM_ANGLE, true, "deg", DEGREE, 0},
    {SWL_DIM_ANGLE, true, "rad", 1, 0},
    {SWL_DIM_ANGLE, false, "°", DEGREE, 0},
    {SWL_DIM_VELOCITY, true, "m/s", 1, 0},
    {SWL_DIM_VELOCITY, true, "ft/min", 12 * INCH / 60, 0},
    {SWL_DIM_VELOCITY, true, "ft/s", 12 * INCH, 0},
    {SWL_DIM_LINE_MASS, true, "kg/m", 1, 0},
    {SWL_DIM_LINE_MASS, true, "g/m", 1e-3, 0},
    {SWL_DIM_LINE_MASS, true, "lb/ft", POUND / (12 * INCH), 0},
};

enum { UNIT_ROWS = sizeof unit_rows / sizeof unit_rows[0] };

static const char *const dim_words[SWL_DIM_COUNT] = {
    [SWL_DIM_NUMBER] = "a bare number",
    [SWL_DIM_FRACTION] = "a percentage or a bare fraction",
    [SWL_DIM_LENGTH] = "a length with its unit",
    [SWL_DIM_VOLUME] = "a volume with its unit",
    [SWL_DIM_VOLUME_REV] = "a volume per revolution with its unit",
    [SWL_DIM_SPEED] = "a shaft speed with its unit",
    [SWL_DIM_TEMPERATURE] = "a temperature with its unit",
    [SWL_DIM_TEMP_CHANGE] = "a temperature difference with its unit",
    [SWL_DIM_PRESSURE] = "a pressure with its unit",
    [SWL_DIM_MASS_FLOW] = "a mass flow with its unit",
    [SWL_DIM_VOLUME_FLOW] = "a volume flow with its unit",
    [SWL_DIM_POWER] = "a power with its unit",
    [SWL_DIM_TORQUE] = "a torque with its unit",
    [SWL_DIM_FORCE] = "a force with its unit",
    [SWL_DIM_HEAT_RATE] = "a heat rate per kelvin with its unit",
    [SWL_DIM_HEAT_CAPACITY] = "a heat capacity with its unit",
    [SWL_DIM_TIME] = "a time with its unit",
    [SWL_DIM_ANGLE] = "an angle with its unit",
    [SWL_DIM_VELOCITY] = "a velocity with its unit",
    [SWL_DIM_LINE_MASS] = "a mass to a length with its unit",
};

/* What a unit makes of a number, without "with its unit". */
static int dim_noun(swl_dim dim)
{
    const char *end = strstr(dim_words[dim], " with its unit");
    return end == NULL ? (int)strlen(dim_words[dim]) : (int)(end - dim_words[dim]);
}

const char *swl_dim_words(swl_dim dim)
{
    return dim_words[dim];
}

void swl_dim_units(swl_dim dim, swl_buf *out)
{
    const char *separator = "";
    for (size_t i = 0; i < UNIT_ROWS; i++) {
        if (unit_rows[i].dim == dim && unit_rows[i].listed) {
            swl_buf_printf(out, "%s%s", separator, unit_rows[i].name);
            separator = ", ";
        }
    }
}

static void fault_set(swl_fault *fault, const char *at, const char *format, ...) SWL_PRINTF(3, 4);

static void fault_set(swl_fault *fault, const char *at, const char *format, ...)
{
    va_list args;
    va_start(args, format);
    fault->at = at;
    (void)vsnprintf(fault->text, sizeof fault->text, format, args);
    va_end(args);
}

static int shown_len(swl_slice slice)
{
    const char *line = slice.len > 0 ? memchr(slice.at, '\n', slice.len) : NULL;
    size_t n = line != NULL ? (size_t)(line - slice.at) : slice.len;
    if (n > 40) {
        for (n = 40; n > 0 && ((unsigned char)slice.at[n] & 0xC0) == 0x80;) {
            n--;
        }
    }
    return (int)n;
}

static bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}

static size_t digits(swl_slice slice, size_t from)
{
    while (from < slice.len && is_digit(slice.at[from])) {
        from++;
    }
    return from;
}

/* Returns: the length of the number at the slice's start, 0 when there is none. */
static size_t number_length(swl_slice slice)
{
    size_t i = slice.len > 0 && (slice.at[0] == '-' || slice.at[0] == '+') ? 1 : 0;
    size_t whole_end = digits(slice, i);
    size_t count = whole_end - i;
    size_t end = whole_end;
    if (end < slice.len && slice.at[end] == '.') {
        size_t part_end = digits(slice, end + 1);
        count += part_end - end - 1;
        end = part_end;
    }
    if (count == 0) {
        return 0;
    }
    if (end < slice.len && (slice.at[end] == 'e' || slice.at[end] == 'E')) {
        size_t sign = end + 1 < slice.len && (slice.at[end + 1] == '-' || slice.at[end + 1] == '+') ? 1 : 0;
        size_t exponent_end = digits(slice, end + 1 + sign);
        if (exponent_end > end + 1 + sign) {
            end = exponent_end;
        }
    }
    return end;
}

static bool number_convert(swl_slice slice, double *value, swl_fault *fault)
{
    char copy[64];
    if (slice.len >= sizeof copy) {
        fault_set(fault, slice.at, "read a number of %zu characters; at most %zu are accepted", slice.len,
                  sizeof copy - 1);
        return false;
    }
    memcpy(copy, slice.at, slice.len);
    copy[slice.len] = '\0';
    swl_locale saved = swl_locale_enter();
    double read = strtod(copy, NULL);
    swl_locale_leave(saved);
    if (!isfinite(read)) {
        fault_set(fault, slice.at, "read `%s`, which is too large to be a number here", copy);
        return false;
    }
    *value = read;
    return true;
}

static bool number_start(swl_slice slice, const char *wanted, double *value, size_t *used, swl_fault *fault)
{
    size_t n = number_length(slice);
    if (n == 0) {
        if (slice.len == 0) {
            fault_set(fault, slice.at, "read nothing; %s is accepted", wanted);
        } else {
            fault_set(fault, slice.at, "read `%.*s`, which does not start with a number; %s is accepted",
                      shown_len(slice), slice.at, wanted);
        }
        return false;
    }
    if (n < slice.len && slice.at[n] == ',') {
        fault_set(fault, slice.at + n,
                  "read `%.*s`, a number with a comma; write 1.5 or 14000, with a point and no separators",
                  shown_len(slice), slice.at);
        return false;
    }
    *used = n;
    return number_convert((swl_slice){slice.at, n}, value, fault);
}

bool swl_number_read(swl_slice slice, double *value, swl_fault *fault)
{
    slice = swl_slice_trim(slice);
    size_t used = 0;
    if (!number_start(slice, dim_words[SWL_DIM_NUMBER], value, &used, fault)) {
        return false;
    }
    if (used < slice.len) {
        fault_set(fault, slice.at, "read `%.*s`; a bare number is accepted", shown_len(slice), slice.at);
        return false;
    }
    return true;
}

/* Returns: a kind that has a unit of this name, SWL_DIM_COUNT when none has. */
static swl_dim dim_of_unit(swl_slice unit, swl_dim not_this)
{
    for (size_t i = 0; i < UNIT_ROWS; i++) {
        if (unit_rows[i].dim != not_this && swl_slice_is(unit, unit_rows[i].name)) {
            return unit_rows[i].dim;
        }
    }
    return SWL_DIM_COUNT;
}

/* What a shop writes that is not taken, since it may mean something else elsewhere, and the unit it is asked about. */
static const char *const spoken[][2] = {
    {"gal", "US gal"},   {"gallon", "US gal"}, {"gallons", "US gal"}, {"gpm", "US gal/min"}, {"gal/min", "US gal/min"},
    {"lph", "L/h"},      {"lpm", "L/min"},     {"pph", "lb/h"},       {"bhp", "hp"},         {"ft-lb", "lbf.ft"},
    {"lb-ft", "lbf.ft"}, {"ft.lb", "lbf.ft"},  {"lb.ft", "lbf.ft"},   {"cid", "in3"},        {"inch", "in"},
    {"inches", "in"},    {"litre", "L"},       {"litres", "L"},       {"liter", "L"},        {"liters", "L"},
};

/* Returns: the unit of this kind that a shop's spelling most likely means: another case, a letter too many or too few,
 * the bare letter of a temperature, or a word for it; NULL when none is near. */
static const char *unit_near(swl_slice unit, swl_dim dim)
{
    const char *near = NULL;
    for (size_t i = 0; i < sizeof spoken / sizeof spoken[0]; i++) {
        if (swl_edit_distance(unit, swl_slice_of(spoken[i][0])) == 0 &&
            dim_of_unit(swl_slice_of(spoken[i][1]), SWL_DIM_COUNT) == dim) {
            return spoken[i][1];
        }
    }
    for (size_t i = 0; i < UNIT_ROWS; i++) {
        const char *name = unit_rows[i].name;
        size_t n = strlen(name);
        if (unit_rows[i].dim != dim || !unit_rows[i].listed) {
            continue;
        }
        bool ending =
            n > unit.len && strncmp(name, "deg", 3) == 0 && memcmp(name + n - unit.len, unit.at, unit.len) == 0;
        int distance = swl_edit_distance(unit, swl_slice_of(name));
        /* Another letter in its place may be another unit: km/h is not kg/h. */
        bool slip = distance == 1 && n != unit.len && n > 2;
        if (ending || distance == 0 || (slip && near == NULL)) {
            near = name;
        }
    }
    return near;
}

static const unit_row *unit_find(swl_slice unit, swl_dim dim, swl_fault *fault)
{
    for (size_t i = 0; i < UNIT_ROWS; i++) {
        if (unit_rows[i].dim == dim && swl_slice_is(unit, unit_rows[i].name)) {
            return &unit_rows[i];
        }
    }
    swl_buf list = {0};
    swl_dim_units(dim, &list);
    swl_dim other = dim_of_unit(unit, dim);
    if (unit.len == 0) {
        fault_set(fault, unit.at, "the unit is missing; %s is accepted: %s", dim_words[dim], swl_buf_text(&list));
    } else if (other != SWL_DIM_COUNT) {
        fault_set(fault, unit.at, "read the unit `%.*s`, which makes it %.*s; %s is accepted: %s", shown_len(unit),
                  unit.at, dim_noun(other), dim_words[other], dim_words[dim], swl_buf_text(&list));
    } else {
        const char *near = unit_near(unit, dim);
        fault_set(fault, unit.at, "read the unit `%.*s`, which is not known; %s%s%s%s is accepted: %s", shown_len(unit),
                  unit.at, near != NULL ? "did you mean " : "", near != NULL ? near : "", near != NULL ? "? " : "",
                  dim_words[dim], swl_buf_text(&list));
    }
    swl_buf_free(&list);
    return NULL;
}

bool swl_unit_read(swl_slice slice, swl_dim dim, double *factor, double *offset, swl_fault *fault)
{
    const unit_row *row = unit_find(swl_slice_trim(slice), dim, fault);
    if (row == NULL) {
        return false;
    }
    *factor = row->factor;
    *offset = row->offset;
    return true;
}

/* Reads one "number unit"; the unit may be missing for a bare number or a fraction. */
static bool measure_read(swl_slice slice, swl_dim dim, double *number, const unit_row **unit, swl_fault *fault)
{
    static const unit_row none = {SWL_DIM_NUMBER, false, "", 1, 0};
    size_t used = 0;
    slice = swl_slice_trim(slice);
    if (!number_start(slice, dim_words[dim], number, &used, fault)) {
        return false;
    }
    swl_slice rest = swl_slice_trim((swl_slice){slice.at + used, slice.len - used});
    if (rest.len == 0) {
        rest.at = slice.at + used;
    }
    if (rest.len == 0 && (dim == SWL_DIM_NUMBER || dim == SWL_DIM_FRACTION)) {
        *unit = &none;
        return true;
    }
    if (rest.len > 0 && memchr(rest.at, '\n', rest.len) != NULL) {
        fault_set(
            fault, rest.at,
            "read `%.*s` and more in the next line, which goes on with this value as it is indented; %s is accepted",
            shown_len(slice), slice.at, dim_words[dim]);
        return false;
    }
    if (dim == SWL_DIM_NUMBER) {
        fault_set(fault, rest.at, "read `%.*s` after the number; a bare number is accepted", shown_len(rest), rest.at);
        return false;
    }
    *unit = unit_find(rest, dim, fault);
    return *unit != NULL;
}

const char *swl_plus_minus_find(swl_slice slice)
{
    for (size_t i = 0; i + 1 < slice.len; i++) {
        if (slice.at[i] == '+' && slice.at[i + 1] == '-') {
            return slice.at + i;
        }
    }
    return NULL;
}

/* Reads what follows "+-". A half-width is a difference, so its unit's offset does not count. A unit that is
 * written once stands for both numbers. */
static bool half_width_read(swl_slice slice, swl_dim dim, const unit_row **unit, double *half_width, swl_fault *fault)
{
    swl_dim width_dim = dim == SWL_DIM_TEMPERATURE && *unit != NULL ? SWL_DIM_TEMP_CHANGE : dim;
    swl_slice trimmed = swl_slice_trim(slice);
    const unit_row *own = NULL;
    double number = 0;
    size_t used = 0;
    bool bare = *unit != NULL && trimmed.len > 0 && number_length(trimmed) == trimmed.len;
    if (bare) {
        own = *unit;
    }
    if (bare ? !number_start(trimmed, dim_words[dim], &number, &used, fault)
             : !measure_read(slice, width_dim, &number, &own, fault)) {
        return false;
    }
    if (!(number >= 0)) {
        fault_set(fault, trimmed.at, "read `%.*s` after +-; 0 or more is accepted", shown_len(trimmed), trimmed.at);
        return false;
    }
    if (*unit == NULL) {
        *unit = own;
    }
    *half_width = number * own->factor;
    return true;
}

bool swl_quantity_read(swl_slice slice, swl_dim dim, swl_quantity *quantity, swl_fault *fault)
{
    slice = swl_slice_trim(slice);
    const unit_row *unit = NULL;
    double number = 0;
    double half_width = 0;
    const char *mark = swl_plus_minus_find(slice);
    if (mark == NULL) {
        if (!measure_read(slice, dim, &number, &unit, fault)) {
            return false;
        }
    } else {
        swl_slice left = swl_slice_trim((swl_slice){slice.at, (size_t)(mark - slice.at)});
        swl_slice right = {mark + 2, slice.len - (size_t)(mark + 2 - slice.at)};
        bool bare = number_length(left) == left.len && left.len > 0;
        bool per_cent = memchr(right.at, '%', right.len) != NULL;
        if (bare) {
            size_t used = 0;
            if (!number_start(left, dim_words[dim], &number, &used, fault)) {
                return false;
            }
            if (dim == SWL_DIM_FRACTION && per_cent && fabs(number) <= 1) {
                fault_set(fault, slice.at,
                          "read `%.*s`: is the value a fraction or %%? Write %% on both numbers or on neither",
                          shown_len(slice), slice.at);
                return false;
            }
        } else if (!measure_read(left, dim, &number, &unit, fault)) {
            return false;
        }
        if (!half_width_read(right, dim, &unit, &half_width, fault)) {
            return false;
        }
    }
    quantity->value = (number + unit->offset) * unit->factor;
    quantity->half_width = half_width;
    return true;
}
