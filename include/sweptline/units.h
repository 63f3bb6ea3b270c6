/* Numbers with units: reading what a shop writes, and the two sets of units that reports show. */
#ifndef SWEPTLINE_UNITS_H
#define SWEPTLINE_UNITS_H

#include "sweptline/buf.h"
#include "sweptline/text.h"

/* A temperature and a temperature difference are two kinds. */
typedef enum swl_dim {
    SWL_DIM_NUMBER,        /* bare number */
    SWL_DIM_FRACTION,      /* per cent, or a bare fraction */
    SWL_DIM_LENGTH,        /* m */
    SWL_DIM_VOLUME,        /* m3 */
    SWL_DIM_VOLUME_REV,    /* m3 per revolution */
    SWL_DIM_SPEED,         /* rev/min */
    SWL_DIM_TEMPERATURE,   /* K */
    SWL_DIM_TEMP_CHANGE,   /* K */
    SWL_DIM_PRESSURE,      /* Pa, absolute or a difference as the key says */
    SWL_DIM_MASS_FLOW,     /* kg/s */
    SWL_DIM_VOLUME_FLOW,   /* m3/s */
    SWL_DIM_POWER,         /* W */
    SWL_DIM_TORQUE,        /* N m */
    SWL_DIM_FORCE,         /* N */
    SWL_DIM_HEAT_RATE,     /* W/K */
    SWL_DIM_HEAT_CAPACITY, /* J/K */
    SWL_DIM_TIME,          /* s */
    SWL_DIM_ANGLE,         /* rad */
    SWL_DIM_VELOCITY,      /* m/s */
    SWL_DIM_LINE_MASS,     /* kg/m */
    SWL_DIM_COUNT
} swl_dim;

/* A value in SI with its half-width (95 %, 0 when none was given). */
typedef struct swl_quantity {
    double value;
    double half_width;
} swl_quantity;

/* Why a piece of text was not read; at points into the text. */
typedef struct swl_fault {
    const char *at;
    char text[360];
} swl_fault;

/* Reads a number written in plain or exponent form with a decimal point, the C locale's rules.
 * Returns: true and the value; false with the reason for anything else: words, trailing
 * characters, a comma, hexadecimal, nan, inf, or a number too large for a double. */
bool swl_number_read(swl_slice slice, double *value, swl_fault *fault) SWL_MUST_CHECK;

/* Returns: where "+-" stands in a value, NULL where it does not. */
const char *swl_plus_minus_find(swl_slice slice);
/* Reads "number unit", "number +- number unit" or "number unit +- number unit".
 * Given: the slice, the kind of quantity.  Returns: true and the quantity in SI, or false and
 * the reason, which names what was read and the units accepted. */
bool swl_quantity_read(swl_slice slice, swl_dim dim, swl_quantity *quantity, swl_fault *fault) SWL_MUST_CHECK;

/* Reads a unit alone, as in a column head. Returns: true, and SI value = (read + offset) * factor. */
bool swl_unit_read(swl_slice slice, swl_dim dim, double *factor, double *offset, swl_fault *fault) SWL_MUST_CHECK;

/* Returns: "a length with its unit", and so on, for messages. */
const char *swl_dim_words(swl_dim dim);
/* Appends the accepted units of a kind: "mm, cm, m, in, ft". */
void swl_dim_units(swl_dim dim, swl_buf *out);

typedef enum swl_units { SWL_UNITS_SI, SWL_UNITS_US } swl_units;

/* What a report shows. */
typedef enum swl_show {
    SWL_SHOW_ENGINE_SPEED,
    SWL_SHOW_BLOWER_SPEED,
    SWL_SHOW_RATIO,
    SWL_SHOW_FRACTION,
    SWL_SHOW_BOOST,
    SWL_SHOW_PRESSURE,
    SWL_SHOW_TEMPERATURE,
    SWL_SHOW_TEMP_CHANGE,
    SWL_SHOW_MASS_FLOW,
    SWL_SHOW_VOLUME_FLOW,
    SWL_SHOW_POWER,
    SWL_SHOW_TORQUE,
    SWL_SHOW_LENGTH,
    SWL_SHOW_VOLUME,
    SWL_SHOW_FUEL_FLOW,
    SWL_SHOW_DENSITY,
    SWL_SHOW_ENERGY,
    SWL_SHOW_ANGLE,
    SWL_SHOW_VELOCITY,
    SWL_SHOW_FORCE,
    SWL_SHOW_LINE_MASS,
    SWL_SHOW_ALTITUDE,
    SWL_SHOW_HEAT_FLOW,
    SWL_SHOW_HEAT_CAPACITY,
    SWL_SHOW_LIQUID_VOLUME,
    SWL_SHOW_LIQUID_FLOW,
    SWL_SHOW_COUNT
} swl_show;

/* shown value = si * scale + shift; decimals is how many a report prints. */
typedef struct swl_shown {
    const char *unit;
    double scale;
    double shift;
    int decimals;
} swl_shown;

swl_shown swl_shown_as(swl_show show, swl_units units);
/* Returns: an SI value in the units shown. */
double swl_shown_value(double si, swl_show show, swl_units units);
/* Returns: the fewest decimals, up to those of a table, that show a value as a table does: 70 but 65.5. */
int swl_shown_decimals(double shown_value, swl_show show, swl_units units);

#endif
