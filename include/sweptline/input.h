/* A number of a file that was given with +-. */
#ifndef SWEPTLINE_INPUT_H
#define SWEPTLINE_INPUT_H

#include "sweptline/units.h"

#include <stddef.h>

enum { SWL_INPUTS_MAX = 96, SWL_UNIT_INPUTS_MAX = 16 };

/* Where the number stands in its struct, and what it may be: half_width, above 0, is that of a 95 % interval about
 * middle; low and high are what a file may say. All in SI. A curve's points move together: the number is then
 * engine.ve_shift, in half-widths, with middle 0 and half_width 1. */
typedef struct swl_input {
    const char *section;
    const char *name;
    const char
        *part;     /* "drop" or "flow" of a loss, "power" or "speed" of a power, "pressure" of an altitude; else NULL */
    swl_dim dim;   /* what kind of number; SWL_DIM_NUMBER for a curve's half-widths */
    size_t offset; /* of the double, in swl_build or, while the unit file is read, in swl_blower */
    double middle, half_width;
    double low, high;
    bool by_volume; /* a mass flow of air that was typed as a volume flow, at SWL_LOSS_DENSITY_KG_M3 */
} swl_input;

#endif
